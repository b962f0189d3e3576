"""One row of a comparison: a quantity of several candidates, and which of them is better."""

from __future__ import annotations

from collections.abc import Sequence

from core.records import dataclass
from core.sentences import Sentence, as_text
from core.units import DisplayUnits, Kind

UNKNOWN = "not known"
TIE = 5e-3
"""Relative difference up to which nobody is better: three digits need not show it. [-]"""

TIE_TEMPERATURE = 0.5
"""Difference of temperatures up to which nobody is better: no law of heat tells it. [K]"""


@dataclass(frozen=True, slots=True)
class ComparisonRow:
    """A quantity or a property of the candidates compared, in their order.

    `code` is stable and made for programs. A number is in `values` (SI) with its `kind`; where it is None,
    `texts` has the words instead, and `kind` is None where the whole row has words. `best` holds the
    places (0, 1, ...) of those that are ahead: empty where all are equal, where it is a matter of need, and
    where the uncertainty leaves it open, of which `note` then speaks.
    """

    code: str
    group: str
    label: str | Sentence
    kind: Kind | None
    values: tuple[float | None, ...]
    texts: tuple[str | Sentence, ...]
    best: tuple[int, ...] = ()
    note: str | Sentence = ""

    @property
    def better(self) -> int | None:
        """The one that is ahead of all others; None where there is no such one."""
        return self.best[0] if len(self.best) == 1 else None

    def shown(self, place: int, units: DisplayUnits) -> str:
        """Return what stands in a cell, with its unit."""
        value = self.values[place]
        if value is None or self.kind is None:
            return as_text(self.texts[place], units)
        return units.format_quantity(value, self.kind)


def number_row(
    group: str,
    code: str,
    label: str | Sentence,
    kind: Kind,
    values: Sequence[float | None],
    prefer: int = 0,
    note: str | Sentence = "",
    why_unknown: Sequence[str] = (),
) -> ComparisonRow:
    """Return a row of numbers; `prefer` is 1 where more is better, -1 where less is, 0 a matter of need."""
    reasons = tuple(why_unknown) or (UNKNOWN,) * len(values)
    texts = tuple("" if v is not None else why for v, why in zip(values, reasons, strict=True))
    best = best_of([None if v is None else prefer * v for v in values]) if prefer else ()
    return ComparisonRow(code, group, label, kind, tuple(values), texts, best, note)


def text_row(
    group: str,
    code: str,
    label: str,
    texts: Sequence[str | Sentence],
    best: tuple[int, ...] = (),
    note: str | Sentence = "",
) -> ComparisonRow:
    """Return a row of words."""
    return ComparisonRow(code, group, label, None, (None,) * len(texts), tuple(texts), best, note)


def best_of(merits: Sequence[float | None], tie: float | None = None) -> tuple[int, ...]:
    """Return the places of the largest merits, empty where all known ones are equal or fewer than two.

    `tie` is the absolute difference that does not count; without it the relative `TIE` holds.

    Examples
    --------
    >>> best_of([1.0, 2.0, None]), best_of([2.0, 2.0001]), best_of([3.0, None])
    ((1,), (), ())
    """
    known = [(place, merit) for place, merit in enumerate(merits) if merit is not None]
    if len(known) < 2:
        return ()
    top = max(merit for _, merit in known)
    slack = TIE * max(abs(top), min(abs(merit) for _, merit in known)) if tie is None else tie
    best = tuple(place for place, merit in known if merit >= top - slack)
    return () if len(best) == len(known) else best
