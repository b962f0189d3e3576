"""What is asked of each candidate, as values: rows that lie side by side, parts that are picked."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from app.inputs.figures import FigureSource
from app.inputs.rows import Binding, Heading, QuantityRow, TextRow, ValueRow, bound_to_candidate
from app.parts_shelf import PartsShelf
from app.widgets.candidate_mark import letter_of
from core.project import part_edits
from core.project.candidate import Candidate
from core.project.part_edits import Part
from core.project.project import Project
from core.project.saved import Saved
from core.records import dataclass
from core.units import DisplayUnits

SQUARE_MM = 1e-6  # [m2]


@dataclass(frozen=True, slots=True)
class PartRow:
    """A part to be picked from the shelf.

    `none` says in the list that there is no such part, empty where there must be one; `begin_with` are parts
    of one's own under their words.
    """

    part: Part
    label: str
    on_shelf: Callable[[PartsShelf], tuple[Any, ...]]
    none: str = ""
    begin_with: tuple[tuple[str, Saved], ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """A row of each candidate.

    Without a `binding` its place lies in the candidate. It is on show for the candidates of which it is
    `wanted`; `remark` says what is missing or assumed, `unit_note` what follows the unit. A `wide` one has
    a line for each candidate.
    """

    row: ValueRow | PartRow
    binding: Callable[[int], Binding] | None = None
    wanted: Callable[[Candidate], bool] | None = None
    remark: Callable[[Candidate], str] | None = None
    unit_note: Callable[[], str] | None = None
    wide: bool = False

    def bound(self, index: int) -> Binding:
        """Return how the value of a candidate is read and written."""
        if self.binding is not None:
            return self.binding(index)
        assert not isinstance(self.row, PartRow)
        return bound_to_candidate(index, self.row.place, letter_of(index))

    def is_wanted(self, candidate: Candidate) -> bool:
        """Return whether it is asked of a candidate."""
        return self.wanted is None or self.wanted(candidate)

    def remarked(self, candidate: Candidate, value: Any) -> str:
        """Return what is said under the row."""
        if self.remark is not None:
            return self.remark(candidate)
        if isinstance(self.row, QuantityRow) and value is None:
            return str(self.row.absent)
        return ""


@dataclass(frozen=True, slots=True)
class CandidateQuestions:
    """A group of rows asked of each candidate; `whose` makes the names of its fields differ from others."""

    title: str
    key: str
    whose: str
    rows: tuple[Asked | Heading, ...]
    sum_up: Callable[[Candidate, DisplayUnits], str]
    source: FigureSource | None = None


def bound_to_part(
    part: Part, field: str, words: str, stored: Callable[[float], Any] | None = None
) -> Callable[[int], Binding]:
    """Return the bindings of a figure of a part, which reads as not given where there is no such part."""

    def binding(index: int) -> Binding:
        def write(project: Project, value: Any) -> Project:
            kept = value if stored is None or value is None else stored(value)
            return part_edits.change_part(project, index, part, **{field: kept})

        return Binding(lambda project: _figure(project, index, part, field), write, whose(words, index))

    return binding


def named(part: Part, words: str) -> Asked:
    """Return the row of a part's name, on show where there is such a part."""

    def binding(index: int) -> Binding:
        plain = bound_to_part(part, "name", words)(index)
        return Binding(lambda project: plain.read(project) or "", plain.write, plain.whose)

    row = TextRow((part, "name"), "Name")
    return Asked(row, binding, lambda candidate: getattr(candidate, part) is not None)


def begun_with(part: Part) -> Callable[[Candidate], str]:
    """Return what says of a candidate's part that it has nothing but the figures it begins with."""
    words = "assumed: figures to begin with, enter your own"
    return lambda candidate: words if getattr(candidate, part) in part_edits.BEGUN_WITH else ""


def whose(words: str, index: int) -> str:
    """Return the end of an undo text.

    Examples
    --------
    >>> whose("", 0), whose("the brake", 1)
    (' of A', ' of the brake of B')
    """
    return f" of {words} of {letter_of(index)}" if words else f" of {letter_of(index)}"


def candidate_at(project: Project, index: int) -> Candidate | None:
    """Return a candidate, None where it is gone: a field may outlive it by an instant."""
    return project.candidates[index] if index < len(project.candidates) else None


def _figure(project: Project, index: int, part: Part, field: str) -> Any:
    return getattr(getattr(candidate_at(project, index), part, None), field, None)


def by_letter(words: list[str]) -> str:
    """Return what is said of each candidate, once where it is the same of several or of all.

    Examples
    --------
    >>> by_letter(["none", "none"]), by_letter(["none", "0.15 N·m"]), by_letter(["1 m", "none", "1 m"])
    ('none', 'A none; B 0.15 N·m', 'A, C 1 m; B none')
    """
    said: dict[str, list[str]] = {}
    for index, text in enumerate(words):
        said.setdefault(text, []).append(letter_of(index))
    if len(said) <= 1:
        return words[0] if words else ""
    return "; ".join(f"{', '.join(letters)} {text}" for text, letters in said.items())
