"""What a row of inputs is, as a value: where it lies in the project, what it is called, what it holds."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from app.inputs.figures import FigureSource
from core.errors import AmpturnError, InputRangeError
from core.project import edits
from core.project.application import Application
from core.project.project import Project
from core.records import dataclass
from core.units import DisplayUnits, Kind


@dataclass(frozen=True, slots=True)
class QuantityRow:
    """A number with a unit.

    While it is not given, `absent` is said under the field (where it depends on other inputs, a function of
    the application) and `placeholder` in it. `short` stands for the
    label where there is little room. With `only_if` the row is on show only where that holds; `remark` says
    what is assumed where a value stands that nobody entered, or what it contradicts.
    """

    place: edits.Place
    label: str
    kind: Kind
    optional: bool = False
    absent: str | Callable[[Application], str] = ""
    placeholder: str = ""
    short: str = ""
    only_if: Callable[[Application], bool] | None = None
    remark: Callable[[Application], str] | None = None


@dataclass(frozen=True, slots=True)
class ChoiceRow:
    """One of a few words; `unknown` is said under the field while the answer is "unknown"."""

    place: edits.Place
    label: str
    options: tuple[tuple[Any, str], ...]
    unknown: str = ""


@dataclass(frozen=True, slots=True)
class TextRow:
    """A short text that must not be empty, unless it is `optional`."""

    place: edits.Place
    label: str
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Heading:
    """A soft line between rows."""

    label: str


ValueRow = QuantityRow | ChoiceRow | TextRow
Row = ValueRow | Heading


@dataclass(frozen=True, slots=True)
class Questions:
    """A group of rows that all lie in one `part` of the application, named as its field is.

    Below them stands what `source` reads off a result.
    """

    title: str
    key: str
    part: str
    rows: tuple[Row, ...]
    sum_up: Callable[[Application, DisplayUnits], str]
    open_at_first: bool = True
    source: FigureSource | None = None


YES_NO = (("yes", "yes"), ("no", "no"), ("unknown", "unknown"))


@dataclass(frozen=True, slots=True)
class Binding:
    """How an input reads and writes its value; `whose` ends the undo text, as "of A"."""

    read: Callable[[Project], Any]
    write: Callable[[Project, Any], Project]
    whose: str = ""


def bound_to_application(place: edits.Place) -> Binding:
    """Return the binding of a value of the shared application."""
    return Binding(
        lambda project: edits.part_at(project.application, place),
        lambda project, value: edits.change_application_part(project, place, value),
    )


def bound_to_candidate(index: int, place: edits.Place, letter: str) -> Binding:
    """Return the binding of a value of one candidate."""
    return Binding(
        lambda project: edits.part_at(project.candidates[index], place),
        lambda project, value: edits.change_candidate_part(project, index, place, value),
        f" of {letter}",
    )


def refusal(error: AmpturnError, label: str, kind: Kind, units: DisplayUnits) -> str:
    """Return a refusal in the words and units of the field, where the core speaks SI and field names.

    Examples
    --------
    >>> error = InputRangeError("largest_duty", 1.5, "", "> 0 and <= 1")
    >>> refusal(error, "Largest PWM duty", Kind.RATIO, DisplayUnits())
    'Largest PWM duty must be > 0\\xa0% and ≤ 100\\xa0%'
    """
    if not isinstance(error, InputRangeError):
        return str(error)

    def in_units(match: re.Match[str]) -> str:
        return f"{match[1]} {units.format_entry(float(match[2]), kind)}\N{NO-BREAK SPACE}{units.symbol(kind)}"

    rule = re.sub(r"([<>]=?) (-?[0-9][0-9.e+-]*)", in_units, error.rule)
    return f"{label} must be {rule}".replace(">=", "≥").replace("<=", "≤").strip()
