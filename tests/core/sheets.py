"""Sheets for the tests: of samples and of projects made here, as values and as text."""

from __future__ import annotations

import functools
from datetime import date
from pathlib import Path

from core.evaluate import evaluate
from core.project.project import Project
from core.project.project_file import encode_project, read_project
from core.results import Result
from core.sheet.blocks import Block, Section, Sheet, Table, flat
from core.sheet.plain_text import plain_text
from core.sheet.sheet import sheet_of
from core.trace_source import open_trace
from core.units import DisplayUnits

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_projects").glob("*.json"))
UNITS = DisplayUnits()
DAY = date(2026, 3, 31)


@functools.cache
def evaluated_sample(name: str) -> tuple[Project, Result]:
    """Return a sample project with its result."""
    path = next(path for path in SAMPLES if path.stem == name)
    project = read_project(path)
    trace = project.application.trace
    measured = None
    if project.application.duty_from == "trace" and trace is not None:
        measured = open_trace(trace, path.parent)
    return project, evaluate(project, measured)


def sheet(project: Project, result: Result | None = None, units: DisplayUnits = UNITS) -> Sheet:
    """Return the sheet of a project, evaluated here unless a result is given."""
    found = evaluate(project) if result is None else result
    return sheet_of(project, found, issued=DAY, project_file=encode_project(project), units=units)


@functools.cache
def sample_sheet(name: str) -> Sheet:
    """Return the sheet of a sample project."""
    return sheet(*evaluated_sample(name))


def text_of(made: Sheet, units: DisplayUnits = UNITS) -> str:
    """Return a sheet as text in lines that are long enough to keep every sentence whole."""
    return plain_text(made, units, 4000)


def section(made: Sheet, title: str) -> Section:
    """Return the section that begins with a title."""
    return next(one for one in made.sections if one.title.startswith(title))


def tables(blocks: tuple[Block, ...]) -> list[Table]:
    """Return the tables among blocks, those in columns too."""
    return [block for block in flat(blocks) if isinstance(block, Table)]
