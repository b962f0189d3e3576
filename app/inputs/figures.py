"""The handful of results beside a group of inputs, as values: what a candidate comes to, and its limit."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from core.deferred import Deferred
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.results import CandidateResult, Status
from core.sentences import Sentence
from core.units import DisplayUnits, Kind


@dataclass(frozen=True, slots=True)
class Figure:
    """One result of one candidate: a number, of a limit where it has one, or `words` in their place.

    `why` is the equation or the reason. With `awaited` it is computed when the hand rests.
    """

    label: str
    kind: Kind = Kind.NUMBER
    value: float | None = None
    limit: float | None = None
    words: str = ""
    status: Status = "met"
    why: str | Sentence = ""
    awaited: bool = False
    note: str = ""  # after the unit

    def text(self, units: DisplayUnits) -> str:
        """Return what stands in the cell, without the unit."""
        if self.value is None or self.limit is None or not math.isfinite(self.limit):
            return self.short(units)
        return f"{self.short(units)} of {units.format_value(self.limit, self.kind)}"

    def short(self, units: DisplayUnits) -> str:
        """Return what stands in a cell with little room: the number without its limit."""
        if self.value is None:
            return self.words
        if self.kind is Kind.NUMBER and self.value == int(self.value):  # a count has all its digits
            return str(int(self.value))
        return units.format_value(self.value, self.kind)


@dataclass(frozen=True, slots=True)
class Looked:
    """What the figures of a candidate are read from; `detail` is None while it is awaited or not there."""

    result: CandidateResult
    candidate: Candidate
    detail: Any = None
    awaited: bool = False


def _nothing_later(_result: CandidateResult, _project: Project) -> Deferred[Any] | None:
    return None


@dataclass(frozen=True, slots=True)
class FigureSource:
    """How the figures of a group are read off a result, and what of it is computed only when looked at."""

    figures: Callable[[Looked], tuple[Figure, ...]]
    later: Callable[[CandidateResult, Project], Deferred[Any] | None] = _nothing_later


_WITHOUT_NUMBER: dict[Status, str] = {
    "met": "met", "missed": "missed", "not checked": "not checked", "excluded": "ruled out",
}  # fmt: skip


def of_margin(looked: Looked, criterion: str, label: str) -> tuple[Figure, ...]:
    """Return what a criterion asks for of what there is; nothing where it is not in the list."""
    margin = looked.result.margin(criterion)
    if margin is None:
        return ()
    if margin.demand is None or margin.limit is None:
        words = _WITHOUT_NUMBER[margin.status]
        return (Figure(label, margin.kind, words=words, status=margin.status, why=margin.why),)
    why = margin.why or margin.equation
    return (Figure(label, margin.kind, margin.demand, margin.limit, status=margin.status, why=why),)


def given(label: str, kind: Kind, value: float | None, why: str | Sentence = "") -> tuple[Figure, ...]:
    """Return a number as a figure, nothing where there is none."""
    return () if value is None else (Figure(label, kind, value, why=why),)


def with_numbers(figures: tuple[Figure, ...]) -> tuple[Figure, ...]:
    """Return figures without those that are met and have no number to tell."""
    return tuple(figure for figure in figures if figure.value is not None or figure.status != "met")
