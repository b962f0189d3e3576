"""Help on quantities: every input and criterion has some, and every word of it stands in a docstring."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from core.errors import AmpturnError
from core.evaluate import evaluate
from core.help_subjects import CRITERIA
from core.project.project_file import read_project
from core.quantity_help import all_keys, fields_of, help_on, plain_notes, searched, sections_of, symbols

ROOT = Path(__file__).resolve().parents[2]
SOURCE = {path: path.read_text(encoding="utf-8") for path in (ROOT / "core").rglob("*.py")}
# the registry and the reader are no docstrings of quantities
DOCSTRINGS = " ".join(
    " ".join((ast.get_docstring(node) or "").split())
    for path, text in SOURCE.items()
    if path.name not in ("help_subjects.py", "quantity_help.py")
    for node in ast.walk(ast.parse(text))
    if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
).casefold()


def criteria_in_the_source() -> set[str]:
    """Return the codes that are written out where criteria are made."""
    codes = set()
    for path in (ROOT / "core/evaluation").glob("*.py"):
        for node in ast.walk(ast.parse(SOURCE[path])):
            if (
                isinstance(node, ast.Call)
                and getattr(node.func, "id", "") in ("Criterion", "_Row")
                and node.args
            ):
                code = node.args[0]
                if isinstance(code, ast.Constant) and isinstance(code.value, str):
                    codes.add(code.value)
    return codes


def test_there_is_help_on_every_criterion_that_is_made() -> None:
    made = criteria_in_the_source()
    assert len(made) > 30
    assert made - set(CRITERIA) == set()


@pytest.mark.parametrize("path", sorted((ROOT / "sample_projects").glob("*.json")), ids=lambda p: p.stem)
def test_there_is_help_on_every_margin_of_the_samples(path: Path) -> None:
    for candidate in evaluate(read_project(path)).candidates:
        assert {margin.criterion for margin in candidate.margins} <= set(CRITERIA)


@pytest.mark.parametrize("key", all_keys())
def test_the_meaning_stands_in_a_docstring(key: str) -> None:
    found = help_on(key)
    assert found.title
    assert found.meaning
    for part in re.split(r"(?<=\.) ", found.meaning):
        assert part.casefold() in DOCSTRINGS, part


def test_the_equations_of_a_criterion_bring_formula_and_source() -> None:
    found = help_on("voltage_reserve")
    assert [one.name for one in found.equations] == ["voltage.required_voltage", "voltage.available_voltage"]
    assert "√((E + R I + U_d)² + (ω_e L I)²)" in found.equations[0].notes
    assert "Mohan" in found.equations[0].source


def test_every_equation_that_is_shown_names_a_source() -> None:
    shown = {one.name: one.source for key in all_keys() for one in help_on(key).equations}
    assert len(shown) > 30
    assert all(shown.values())


def test_symbols_are_those_of_the_nomenclature() -> None:
    assert symbols()["rotor_inertia"] == "J"
    assert symbols()["shaft_torque"] == "T_shaft"


def test_the_unit_is_the_one_of_the_docstring() -> None:
    assert help_on("requirements.short_time").unit == "s"
    assert help_on("site.mounting.plate.side").unit == "m"
    assert help_on("drive.on_resistance").unit == "ohm"


def test_the_search_finds_all_words_and_prefers_titles() -> None:
    assert searched("torque reserve")[0].key == "torque_reserve"
    assert all("emissivity" in one.text for one in searched("EMISSIVITY"))
    assert searched("no such quantity at all") == ()


def test_an_unknown_place_is_refused_by_name() -> None:
    with pytest.raises(AmpturnError, match=r"no help on site\.colour"):
        help_on("site.colour")


def test_docstrings_are_taken_apart() -> None:
    class Two:
        """Sum of it.

        Parameters
        ----------
        a, b : float
            Both of them,
            on two lines. [m]
        """

    assert fields_of(Two) == {"a": "Both of them, on two lines. [m]", "b": "Both of them, on two lines. [m]"}
    assert sections_of("x") == {"": "x"}
    assert plain_notes("As in `f`.") == "As in f."
