"""How one criterion becomes a margin: met, missed, not checked or excluded, always with a reason."""

from __future__ import annotations

from dataclasses import replace

from core.records import dataclass
from core.results import Margin, Status
from core.sentences import Sentence
from core.units import Kind, si_symbol


@dataclass(frozen=True, slots=True)
class Criterion:
    """What a margin is about: stable code, label in words, kind of its demand and limit, target."""

    code: str
    label: str
    kind: Kind
    target: float = 0.0
    required: bool = True


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the cycle something happens."""

    words: str | Sentence
    segment: int | None = None
    instant: float | None = None


WHOLE_CYCLE = Place("whole cycle")
MOTOR = Place("motor")


def checked(
    criterion: Criterion,
    demand: float,
    limit: float,
    place: Place,
    equation: str | Sentence,
    *,
    zero: float = 0.0,
    why: str | Sentence = "",
) -> Margin:
    """Return the margin of a demand against a limit, both counted from `zero` (ambient for temperatures).

    A limit at or below `zero` cannot be met whatever the demand: the criterion is missed, without a
    number, and says so.
    """
    if limit <= zero:
        reason = why or "the limit is at or below what is there without any load"
        return _margin(criterion, "missed", place, equation, reason, demand, limit, None, None)
    utilisation = (demand - zero) / (limit - zero)
    margin = 1.0 - utilisation
    status: Status = "met" if margin >= criterion.target else "missed"
    return _margin(criterion, status, place, equation, why, demand, limit, utilisation, margin)


def checked_reserve(criterion: Criterion, reserve: float, place: Place, equation: str | Sentence) -> Margin:
    """Return the margin of a reserve factor above zero: utilisation is its reciprocal."""
    utilisation = 1.0 / reserve
    margin = 1.0 - utilisation
    status: Status = "met" if margin >= criterion.target else "missed"
    return _margin(criterion, status, place, equation, "", 1.0, reserve, utilisation, margin)


def missed(criterion: Criterion, place: Place, why: str | Sentence, told_by: str = "") -> Margin:
    """Return a criterion that is missed beyond any number, such as a temperature that runs away.

    `told_by` is the code of a criterion that says with a number how far off it is.
    """
    return replace(_margin(criterion, "missed", place, "", why, None, None, None, None), told_by=told_by)


def answered(criterion: Criterion, place: Place, why: str | Sentence) -> Margin:
    """Return a criterion without a number that is met, such as dust that is not there."""
    return _margin(criterion, "met", place, "", why, None, None, None, None)


def not_checked(criterion: Criterion, why: str | Sentence) -> Margin:
    """Return a criterion that could not be computed because something is missing."""
    return _margin(criterion, "not checked", Place(""), "", why, None, None, None, None)


def excluded(criterion: Criterion, place: Place, why: str | Sentence) -> Margin:
    """Return a criterion that rules the candidate out."""
    return _margin(criterion, "excluded", place, "", why, None, None, None, None)


def ordered(margins: list[Margin]) -> tuple[Margin, ...]:
    """Return the margins as they are shown: excluded, then smallest margin above target, then the rest."""

    def key(margin: Margin) -> tuple[int, float, str]:
        above = margin.above_target
        if above is not None:
            return 1, above, margin.label
        # missed beyond any number: the worst, unless another criterion tells how far off it is
        beyond = -0.0 if margin.told_by else -float("inf")
        rank = {"excluded": 0, "missed": 1, "met": 2, "not checked": 3}[margin.status]
        return rank, beyond, margin.label

    return tuple(sorted(margins, key=key))


def governing(margins: tuple[Margin, ...]) -> Margin | None:
    """Return the criterion that governs: an exclusion, else the smallest margin minus target."""
    first = margins[0] if margins else None
    return first if first and (first.margin is not None or first.status in ("excluded", "missed")) else None


def _margin(
    criterion: Criterion,
    status: Status,
    place: Place,
    equation: str | Sentence,
    why: str | Sentence,
    demand: float | None,
    limit: float | None,
    utilisation: float | None,
    margin: float | None,
) -> Margin:
    return Margin(
        criterion=criterion.code,
        label=criterion.label,
        kind=criterion.kind,
        unit=si_symbol(criterion.kind),
        demand=demand,
        limit=limit,
        utilisation=utilisation,
        margin=margin,
        target=criterion.target,
        status=status,
        required=criterion.required,
        where=place.words,
        why=why,
        equation=equation,
        segment=place.segment,
        instant=place.instant,
    )
