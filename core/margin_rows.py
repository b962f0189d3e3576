"""The margins of several candidates as one list: a row per criterion, worst first."""

from __future__ import annotations

from collections.abc import Sequence

from core.records import dataclass
from core.results import CandidateResult, Margin, Status

ALWAYS_OPEN = 5
_ROUNDING = 0.01  # closer to the target than this, whole percents would hide which side it is on
_MINUS = "\N{MINUS SIGN}"


@dataclass(frozen=True, slots=True)
class MarginRow:
    """One criterion; `margins` has one entry per candidate, None where it has no such criterion."""

    criterion: str
    label: str
    margins: tuple[Margin | None, ...]

    @property
    def worst(self) -> tuple[int, Margin]:
        """The candidate that is worst here, and its margin."""
        return min(
            ((index, margin) for index, margin in enumerate(self.margins) if margin is not None),
            key=lambda pair: _rank(pair[1]),
        )

    @property
    def status(self) -> Status:
        """The status of the worst candidate."""
        return self.worst[1].status

    def with_status(self, status: Status) -> tuple[int, ...]:
        """Return the candidates that have a status here."""
        return tuple(
            i for i, margin in enumerate(self.margins) if margin is not None and margin.status == status
        )


@dataclass(frozen=True, slots=True)
class MarginOrder:
    """Which criteria are shown in which order, and how many of them stay open. Kept while a drag lasts."""

    criteria: tuple[str, ...]
    open_count: int


def margin_rows(candidates: Sequence[CandidateResult]) -> dict[str, MarginRow]:
    """Return a row per criterion of these candidates, in the order of their own lists."""
    labels: dict[str, str] = {}
    for candidate in candidates:
        for margin in candidate.margins:
            labels.setdefault(margin.criterion, margin.label)
    found = [{margin.criterion: margin for margin in candidate.margins} for candidate in candidates]
    return {
        criterion: MarginRow(criterion, label, tuple(margins.get(criterion) for margins in found))
        for criterion, label in labels.items()
    }


def order_of(rows: dict[str, MarginRow]) -> MarginOrder:
    """Return the order: excluded, then smallest margin above target, then the rest.

    What no candidate could check stands apart. The worst five stay open, and whatever is not met.
    """
    checked = [row for row in rows.values() if row.status != "not checked"]
    checked.sort(key=lambda row: (*_rank(row.worst[1]), row.label))
    not_met = sum(row.status != "met" for row in checked)
    return MarginOrder(tuple(row.criterion for row in checked), min(len(checked), max(ALWAYS_OPEN, not_met)))


def kept_order(order: MarginOrder, rows: dict[str, MarginRow]) -> MarginOrder:
    """Return an earlier order for new rows: those that are gone left out, new ones at the end."""
    checked = [row.criterion for row in rows.values() if row.status != "not checked"]
    kept = [criterion for criterion in order.criteria if criterion in checked]
    open_count = sum(criterion in checked for criterion in order.criteria[: order.open_count])
    return MarginOrder((*kept, *(c for c in checked if c not in kept)), open_count)


def percent(margin: float, target: float) -> str:
    """Return a margin in percent with its sign; a tenth more where rounding would hide the miss.

    Examples
    --------
    >>> [percent(margin, 0.15).replace(chr(160), " ") for margin in (0.2, -0.04, 0.146)]
    ['+20 %', '−4 %', '+14.6 %']
    """
    if margin in (float("inf"), -float("inf")) or margin != margin:
        return ("–" if margin != margin else "+∞" if margin > 0 else f"{_MINUS}∞") + "\N{NO-BREAK SPACE}%"
    digits = 1 if 0.0 < abs(margin - target) < _ROUNDING else 0
    text = f"{abs(margin) * 100.0:.{digits}f}"
    sign = "" if float(text) == 0.0 else "+" if margin > 0 else _MINUS
    return f"{sign}{text}\N{NO-BREAK SPACE}%"


def outcome(margin: Margin | None) -> str:
    """Return what stands at the end of a row: the margin, or the word where there is no number."""
    if margin is None:
        return "–"
    return margin.status if margin.margin is None else percent(margin.margin, margin.target)


def _rank(margin: Margin) -> tuple[int, float]:
    """Sort key of one margin: what was not checked is never before what was."""
    if margin.status == "excluded":
        return 0, 0.0
    if margin.status == "not checked":
        return 3, 0.0
    above = margin.above_target
    if above is None:
        return (1, -float("inf")) if margin.status == "missed" else (2, 0.0)
    return 1, above
