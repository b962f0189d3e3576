"""Short ways to the cells, facts and columns of a sheet, and the words that stand where nothing is known."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from core.sentences import Sentence, joined, sentence
from core.sheet.blocks import Cell, Column, Tone, Words
from core.units import Kind

UNKNOWN = "not known"
NOT_GIVEN = "not given"
DASH = "–"


def quantity(value: float | None, kind: Kind, absent: str = DASH) -> Words:
    r"""Return a number in the reader's unit, or the words for a number that is not there.

    Examples
    --------
    >>> str(quantity(0.05, Kind.TORQUE)).replace("\N{NO-BREAK SPACE}", " "), quantity(None, Kind.TORQUE)
    ('50.0 mN·m', '–')
    """
    if value is None or value != value:
        return absent
    return sentence("{value}", value=(value, kind))


def number(value: float | None, kind: Kind, tone: Tone = "plain", absent: str = DASH) -> Cell:
    """Return the cell of a number."""
    return Cell(quantity(value, kind, absent), tone)


def without_dust(value: float, largest: float) -> float:
    """Return a number of a column, zero where it is no more than the rounding of its largest one.

    Examples
    --------
    >>> without_dust(2.9e-17, 0.05), without_dust(2.9e-3, 0.05)
    (0.0, 0.0029)
    """
    return 0.0 if abs(value) < 1e-9 * largest else value


def figures(head: Words, kind: Kind | None = None, weight: float = 0.0) -> Column:
    """Return a column of numbers."""
    return Column(head, "right", weight, kind)


def span(low: float, high: float, kind: Kind) -> Sentence:
    """Return a range in the reader's unit."""
    return sentence("{low} to {high}", low=(low, kind), high=(high, kind))


def given(pairs: Iterable[tuple[Words, Words | None]]) -> tuple[tuple[Words, Words], ...]:
    """Return the pairs of which something is known."""
    return tuple((name, words) for name, words in pairs if words is not None and words != "")


def listed(parts: Sequence[Words], mark: str = ", ") -> Words:
    """Return parts with a mark between them, those without words left out."""
    there = [part for part in parts if part]
    if all(isinstance(part, str) for part in there):
        return mark.join(str(part) for part in there)
    return joined(*[piece for part in there for piece in (mark, part)][1:])
