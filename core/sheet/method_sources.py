"""The methods that a result was computed with, and their sources as the equations themselves state them."""

from __future__ import annotations

import importlib
import inspect
import re
from operator import attrgetter
from typing import Final

from core.sheet.blocks import Cell, Column, Paragraph, Section, Table
from core.sheet.methods_used import METHODS
from core.sheet.subject import Subject, lacking

TITLE: Final = "Methods and their sources"
_POINTER = re.compile(r"(?:as|see) (?:in )?(?:(?P<module>\w+)\.)?(?P<name>\w+_\w+)", re.IGNORECASE)
_SECTION = re.compile(r"^References\n-+\n(.*?)(?=^\w[\w ]*\n-+$|\Z)", re.MULTILINE | re.DOTALL)
_NUMBERED = re.compile(r"\s*\.\. \[\d+\]\s*")


def method_sources(subject: Subject) -> Section:
    """Return a row for each method that this result used, with its sources."""
    rows = tuple(
        (Cell(method.what), Cell(source_of(method.module, method.function)),
         Cell(f"{method.module}.{method.function}", "soft"))
        for method in METHODS
        if method.used(subject)
    )  # fmt: skip
    if not rows:
        return Section(TITLE, (lacking(subject, "The methods"),))
    columns = (Column("Method"), Column("Source", weight=2.4), Column("Equation in the program"))
    words = Paragraph(
        "Each source stands with its equation in the program; this is a copy. “From memory” means that the "
        "page was not at hand when it was written down. How each equation was checked stands with its tests.",
        "soft",
    )
    return Section(TITLE, (words, Table(columns, rows, compact=True)))


def source_of(module: str, function: str) -> str:
    """Return the sources that the docstring of an equation names, as one line.

    A source that only points to another equation is followed.

    Examples
    --------
    >>> source_of("bus", "bus_rise")
    'First principles.'
    """
    text = _references(module, function)
    pointer = _POINTER.fullmatch(text.rstrip("."))
    if pointer is None:
        return text
    return _references(pointer["module"] or module, pointer["name"])


def _references(module: str, function: str) -> str:
    owner = attrgetter(function)(importlib.import_module(f"core.physics.{module}"))
    found = _SECTION.search(inspect.getdoc(owner) or "")
    if found is None:
        return "stated with the equation"
    parts = [" ".join(part.split()) for part in _NUMBERED.split(found[1])]
    return " ".join(part for part in parts if part).replace("`", "")
