"""Sources on a sheet are those of the equations, and only of those that were used."""

from __future__ import annotations

import importlib
import inspect
from operator import attrgetter

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project.project import Project
from core.sheet.method_sources import method_sources, source_of
from core.sheet.methods_used import METHODS, Method
from core.sheet.subject import Subject
from core.version import VERSION
from tests.core.projects import candidate, project, segment
from tests.core.sheets import UNITS, evaluated_sample, tables


@pytest.mark.parametrize("method", METHODS, ids=lambda method: f"{method.module}.{method.function}")
def test_every_method_names_an_equation_with_a_source(method: Method) -> None:
    equation = attrgetter(method.function)(importlib.import_module(f"core.physics.{method.module}"))
    source = source_of(method.module, method.function)
    assert len(source) > 5
    assert source != "stated with the equation"
    assert "`" not in source
    first = source.split()[0]
    assert first in " ".join((inspect.getdoc(equation) or "").split()) or "s `" in (
        inspect.getdoc(equation) or ""
    )


def test_a_source_is_copied_from_the_docstring() -> None:
    assert source_of("materials", "copper_resistance_factor").startswith("IEC 60034-1")
    assert source_of("rms_torque", "rms_is_valid") == "Common practice, no source."


def test_a_source_that_points_to_another_equation_is_followed() -> None:
    assert source_of("stated_figures", "back_emf_constant_of") == source_of(
        "stated_figures", "convention_factor"
    )


def used(whole: Project) -> set[str]:
    subject = Subject(whole, evaluate(whole), UNITS)
    return {str(row[0].text) for table in tables(method_sources(subject).blocks) for row in table.rows}


def test_only_methods_that_were_used_are_named() -> None:
    duty = segment(1.0, 0.02, 100.0)
    sinusoidal = used(project(duty, candidates=(candidate(),)))
    assert "Overlap of six-step commutation" not in sinusoidal
    assert "Work in the transmission" not in sinusoidal
    assert "Heat network from stated figures" not in sinusoidal
    assert "Continuous torque" in sinusoidal
    six_step = used(project(duty, candidates=(candidate(commutation="six-step"),)))
    assert "Overlap of six-step commutation" in six_step


def test_a_load_names_its_motion_and_a_brake_its_stop() -> None:
    whole, result = evaluated_sample("tide_pool_winch")
    rows = [
        row for table in tables(method_sources(Subject(whole, result, UNITS)).blocks) for row in table.rows
    ]
    names = {str(row[0].text) for row in rows}
    assert {
        "Torque of the load by cause",
        "Trapezoidal move",
        "Work in the transmission",
        "Stop by the brake",
    } <= names
    assert "Battery" not in names


def test_nothing_is_named_where_nothing_was_computed() -> None:
    assert not used(Project())
    assert not used(
        project(
            segment(1.0, 0.02, 100.0),
            candidates=(replace(candidate(), motor=None, winding=None, variant=None),),
        )
    )


def test_the_version_is_that_of_the_package() -> None:
    from pathlib import Path

    text = (Path(__file__).resolve().parents[2] / "pyproject.toml").read_text(encoding="utf-8")
    assert f'\nversion = "{VERSION}"\n' in text
