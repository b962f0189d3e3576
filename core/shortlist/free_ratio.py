"""A ratio of one's own: where wheels of a belt are chosen freely, which ratio suits a candidate best.

A transmission that is fitted to the motor comes in the ratios of its maker. One beside it, as a belt, takes
any ratio; efficiency, drag, inertia at the motor side and limits are taken to stay what they are listed with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from core.errors import AmpturnError
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.transmission import Transmission
from core.records import dataclass
from core.shortlist.choices import Choices, Chosen
from core.shortlist.listing import Listing
from core.shortlist.one_variable import Optimum, best_of_each, best_values, require_range

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

MOST: Final = 20  # families whose ratio is sought, best first


@dataclass(frozen=True, slots=True)
class FreeRatio:
    """A candidate at the ratio that suits it best.

    `listed` is the candidate at its listed ratio, `number` that one's number. `best` has the ratio as its
    value, and in `met` the ratios between which every requirement is met.
    """

    number: int
    listed: Candidate
    candidate: Candidate
    best: Optimum


def takes_any_ratio(transmission: Transmission | None) -> bool:
    """Return whether the ratio is free: that of a transmission which is not fitted to the motor."""
    return transmission is not None and not transmission.on_motor


def ratio_families(listing: Listing, choices: Choices, most: int = MOST) -> list[int]:
    """Return numbers of the best listed candidate of each family whose ratio is free, best first.

    A family has frame, variant, winding, commutation, electronics and kind of transmission in common; of its
    ratios, feedback and brakes the best listed ones are taken.
    """

    def family(chosen: Chosen) -> object:
        gear = chosen.transmission
        if gear is None or not takes_any_ratio(gear):
            return None
        return id(chosen.block), chosen.winding, id(chosen.drive), chosen.commutation, gear.name

    return best_of_each(listing, choices, family, most)


def with_ratio(candidate: Candidate, ratio: float) -> Candidate:
    """Return a candidate whose transmission has another ratio."""
    gear = candidate.transmission
    if gear is None:
        raise AmpturnError(f"{candidate.name}: a free ratio needs a transmission")
    words = candidate.name.replace(f"{gear.name} {gear.ratio:g}:1", f"{gear.name} {ratio:.4g}:1")
    return replace(candidate, name=words, transmission=replace(gear, ratio=ratio))


def free_ratios(
    application: Application,
    choices: Choices,
    numbers: Sequence[int],
    ratios: tuple[float, float],
    measured: ImportedTrace | None = None,
) -> Iterator[FreeRatio]:
    """Yield for each numbered candidate the ratio between two that suits it best.

    Close the iterator to cancel.

    Raises
    ------
    InputRangeError
        If the ratios are not two positive numbers, the smaller first.
    AmpturnError
        If the duty is given at the motor shaft, where no ratio changes it, or if a ratio is not free.
    """
    require_range("ratio of a transmission", *ratios, "")
    if application.duty_from != "load":
        raise AmpturnError(
            f"a free ratio needs the duty from a load, and that of {application.title} is given as "
            f"{'segments at the motor shaft' if application.duty_from == 'segments' else 'a trace'}"
        )
    listed = [choices.candidate(number) for number in numbers]
    for one in listed:
        if not takes_any_ratio(one.transmission):
            raise AmpturnError(f"{one.name}: its transmission does not take any ratio")
    found = best_values(
        application, lambda k, ratio: with_ratio(listed[k], ratio), [ratios] * len(listed), measured
    )
    for k, best in found:
        yield FreeRatio(numbers[k], listed[k], with_ratio(listed[k], best.value), best)
