"""One variable of many candidates at its best: turns of a winding, ratio of a transmission.

What is sought is the largest smallest margin above target. Over turns or ratio it is the least of curves of
which some rise and some fall (current against voltage, torque against speed), so it has one hill, with a
kink or a flat at its top: a grid finds the hill, then the places beside the best are divided again and again.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np

from core.errors import InputRangeError
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.results import Status
from core.shortlist.choices import Choices, Chosen
from core.shortlist.chunk_result import STATUSES
from core.shortlist.each_candidate import evaluate_each
from core.shortlist.listing import ORDER_OF_VERDICTS, Listing, verdicts

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

GRID: Final = 13  # values over the whole range, evenly in their logarithm
PARTS: Final = 9  # into which both neighbours of the best are divided
ROUNDS: Final = 3  # of a range of ten to one the last step is 0.2 % of the value
EDGE_ROUNDS: Final = 2
TOGETHER: Final = 20  # candidates searched side by side: some hundred evaluated in one chunk
FLAT: Final = 1e-9  # margins closer than this are the same

Rank = tuple[int, bool, float]
Make = Callable[[int, float], Candidate]
"""Makes a candidate, by its number, with a value of the variable."""


@dataclass(frozen=True, slots=True)
class Optimum:
    """The best value of the variable for one candidate, with its verdict and smallest margin above target.

    `met` is the range around it in which every requirement is met, None where none is found; an end of it
    may be the end of what was allowed.
    """

    value: float
    verdict: Status
    smallest_margin: float
    met: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class _Tried:
    """What one value came to."""

    value: float
    rank: Rank

    @property
    def meets(self) -> bool:
        """Whether every requirement is met."""
        return self.rank[0] == 0


def best_values(
    application: Application,
    make: Make,
    ranges: Sequence[tuple[float, float]],
    measured: ImportedTrace | None = None,
) -> Iterator[tuple[int, Optimum]]:
    """Yield number and optimum of each candidate, of which there is one for each range of the variable.

    Values are compared by verdict, then by the smallest margin above target. The grid decides on which hill
    the search goes on, and what is narrower than its steps is not seen. Close the iterator to cancel.

    Raises
    ------
    InputRangeError
        If a range is not two positive numbers, the smaller first.
    """
    for low, high in ranges:
        require_range("the range searched", low, high, "")
    for start in range(0, len(ranges), TOGETHER):
        team = list(range(start, min(start + TOGETHER, len(ranges))))
        yield from zip(team, _searched(application, make, team, ranges, measured), strict=True)


def require_range(name: str, low: float, high: float, unit: str) -> None:
    """Refuse a range that is not two positive numbers with the smaller one first."""
    if not (0.0 < low < math.inf):
        raise InputRangeError(f"{name}, lower end", low, unit, "positive")
    if not (low < high < math.inf):
        raise InputRangeError(f"{name}, upper end", high, unit, f"above its lower end {low:g}")


def best_first(optimum: Optimum) -> tuple[int, float]:
    """Return what sorts optima, best first."""
    return ORDER_OF_VERDICTS.index(STATUSES.index(optimum.verdict)), -optimum.smallest_margin


def best_of_each(
    listing: Listing, choices: Choices, family: Callable[[Chosen], object], most: int
) -> list[int]:
    """Return the numbers of the best listed candidate of each family, best first, at most so many.

    Candidates whose `family` is None are left out.
    """
    found: dict[object, int] = {}
    for number in listing.ranking().tolist():
        if len(found) == most:
            break
        key = None if number in listing.refused else family(choices.chosen(number))
        if key is not None:
            found.setdefault(key, number)
    return list(found.values())


def _searched(
    application: Application,
    make: Make,
    team: Sequence[int],
    ranges: Sequence[tuple[float, float]],
    measured: ImportedTrace | None,
) -> list[Optimum]:
    def tried(wanted: Sequence[Sequence[float]]) -> list[list[_Tried]]:
        return _tried(application, make, team, wanted, measured)

    known = tried([np.geomspace(*ranges[k], GRID).tolist() for k in team])
    for _ in range(ROUNDS):
        known = _with(known, tried([_beside(values) for values in known]))
    for _ in range(EDGE_ROUNDS):
        known = _with(known, tried([_at_edges(values) for values in known]))
    return [_optimum(values) for values in known]


def ranks(
    application: Application, candidates: Sequence[Candidate], measured: ImportedTrace | None = None
) -> list[Rank]:
    """Return what orders candidates, best first: who was ruled out before its heat stands behind the whole.

    The rank is (place of the verdict, ruled out, minus smallest margin above target).
    """
    result = evaluate_each(application, candidates, measured)
    place = np.argsort(ORDER_OF_VERDICTS)[verdicts(result)]
    place[list(result.refused)] = len(ORDER_OF_VERDICTS) - 1  # no value is worse than one that is refused
    margin = np.nan_to_num(result.objectives["smallest_margin"], nan=-np.inf)
    return list(zip(place.tolist(), (~result.whole).tolist(), (-margin).tolist(), strict=True))


def _tried(
    application: Application,
    make: Make,
    team: Sequence[int],
    wanted: Sequence[Sequence[float]],
    measured: ImportedTrace | None,
) -> list[list[_Tried]]:
    candidates = [make(k, value) for k, values in zip(team, wanted, strict=True) for value in values]
    rows = iter(ranks(application, candidates, measured))
    return [[_Tried(value, next(rows)) for value in values] for values in wanted]


def _with(known: Sequence[list[_Tried]], more: Sequence[list[_Tried]]) -> list[list[_Tried]]:
    return [
        sorted((*one, *other), key=lambda tried: tried.value) for one, other in zip(known, more, strict=True)
    ]


def _best(values: Sequence[_Tried]) -> int:
    """Return the place of the best value; of a flat of equal ones the middle."""
    best = min(one.rank for one in values)
    equal = [
        k
        for k, one in enumerate(values)
        if one.rank == best or (one.rank[:2] == best[:2] and one.rank[2] - best[2] <= FLAT)
    ]
    return equal[len(equal) // 2]


def _beside(values: Sequence[_Tried]) -> list[float]:
    """Return values between the best and its neighbours."""
    place = _best(values)
    ends = (values[max(place - 1, 0)].value, values[min(place + 1, len(values) - 1)].value)
    inner = np.geomspace(*ends, PARTS + 1)[1:-1].tolist()
    return [value for value in inner if value != values[place].value]


def _at_edges(values: Sequence[_Tried]) -> list[float]:
    """Return values between the ends of what meets all around the best and the first that does not."""
    found: list[float] = []
    low, high = _met_around(values)
    if low is not None and high is not None:
        for inside, outside in ((low, low - 1), (high, high + 1)):
            if 0 <= outside < len(values):
                found += np.geomspace(values[inside].value, values[outside].value, PARTS + 1)[1:-1].tolist()
    return found


def _met_around(values: Sequence[_Tried]) -> tuple[int, int] | tuple[None, None]:
    """Return the places of the first and last value around the best that meet all."""
    low = high = _best(values)
    if not values[low].meets:
        return None, None
    while low > 0 and values[low - 1].meets:
        low -= 1
    while high + 1 < len(values) and values[high + 1].meets:
        high += 1
    return low, high


def _optimum(values: Sequence[_Tried]) -> Optimum:
    best = values[_best(values)]
    low, high = _met_around(values)
    met = None if low is None or high is None else (values[low].value, values[high].value)
    return Optimum(best.value, STATUSES[ORDER_OF_VERDICTS[best.rank[0]]], -best.rank[2], met)
