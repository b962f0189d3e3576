"""The result as terminal text: columns line up, nothing is hidden, and lines stay readable."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.margin_table import HEADINGS, margin_table, report
from core.project.application import Supply
from core.project.candidate import Candidate
from core.project.project import Project
from core.project.project_file import read_project
from core.units import DisplayUnits, Kind

UNITS = DisplayUnits()
SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_projects").glob("*.json"))
PROJECTS = {path.stem: read_project(path) for path in SAMPLES}
CAROUSEL = PROJECTS["sample_carousel"]
UNFED = replace(CAROUSEL, application=replace(CAROUSEL.application, supply=Supply()))
EMPTY = Project(candidates=(Candidate(name="nothing yet"),))


@pytest.mark.parametrize("project", [*PROJECTS.values(), UNFED], ids=[*PROJECTS, "unfed"])
def test_each_criterion_stands_once(project: Project) -> None:
    result = evaluate(project)
    for candidate in result.candidates:
        text = report(result, candidate, UNITS)
        table = margin_table(candidate.margins, UNITS).splitlines()
        for margin in candidate.margins:
            rows = [line for line in table if line.startswith(margin.label + "  ")]
            assert len(rows) == (margin.status != "not checked"), margin.label
            if margin.status == "not checked":
                assert f"\n  {margin.label}: " in text


def test_columns_line_up() -> None:
    candidate = evaluate(CAROUSEL).candidates[0]
    heading, rule, *rows = margin_table(candidate.margins, UNITS).splitlines()
    assert set(rule) == {"-"}
    status = heading.index("Status")
    assert all(row[status:].startswith(("met", "missed", "excluded")) for row in rows)
    # numbers stand right-aligned under their heading
    margin_end = heading.index("Margin") + len("Margin")
    assert all(row[margin_end - 1] in "% " and row[margin_end] == " " for row in rows)
    assert [word for word in HEADINGS if word in heading] == list(HEADINGS)


def test_numbers_are_in_the_units_asked_for() -> None:
    candidate = evaluate(CAROUSEL).candidates[0]
    units = UNITS.with_units({Kind.TEMPERATURE: "degF"})
    row = next(
        line
        for line in margin_table(candidate.margins, units).splitlines()
        if line.startswith("Magnet temperature")
    )
    assert "248\N{NO-BREAK SPACE}°F" in row  # the limit of 120 degC


def test_prose_is_wrapped_and_plain() -> None:
    result = evaluate(PROJECTS["orchard_sprayer"])
    for candidate in result.candidates:
        text = report(result, candidate, UNITS, with_equations=True)
        assert "\N{NO-BREAK SPACE}" not in text
        assert all(len(line) <= 100 for line in text.splitlines() if line.startswith("  "))


def test_heading_names_the_choice_and_the_duty() -> None:
    # what stands in the file: 60 s in all, four steps of which each move has three phases
    result = evaluate(PROJECTS["tide_pool_winch"])
    _title, name, choice, conditions, *_rest = report(result, result.candidates[1], UNITS).splitlines()
    assert name == "38 mm frame, enclosed (the chosen candidate)"
    assert choice.endswith("two-stage spur gear 18:1")
    assert conditions.endswith("cycle 60.0 s in 8 segments")


def test_what_is_missing_is_said_where_nothing_can_be_computed() -> None:
    result = evaluate(EMPTY)
    lines = report(result, result.candidates[0], UNITS).splitlines()
    assert "Missing: a motor." in lines
    assert not any(line.startswith("Criterion") for line in lines)
    assert lines[-1].startswith("An engineering estimate.")
