"""One list of candidates under several conditions: the worst of each, and which condition it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from msgspec.structs import replace

from core.errors import AmpturnError
from core.numeric import FloatArray, IntArray
from core.project.application import Application
from core.project.mounting import Mounting
from core.records import dataclass
from core.sentences import Sentence, joined, sentence
from core.shortlist.chunk_result import ABSENT, OBJECTIVES, STATUSES
from core.shortlist.listing import NUMBERS, ORDER_OF_VERDICTS, Listing, Reasons
from core.units import Kind

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


@dataclass(frozen=True, slots=True)
class WorstCase:
    """Of each candidate the worst condition, as its place in the list of conditions.

    `verdict` and `smallest_margin` are those under that condition; arrays have shape (candidates,).
    """

    condition: IntArray
    verdict: IntArray
    smallest_margin: FloatArray

    def verdicts(self) -> dict[str, int]:
        """Return how many candidates have each verdict under the worst of the conditions."""
        return {status: int((self.verdict == place).sum()) for place, status in enumerate(STATUSES)}


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition under which all candidates are evaluated: what differs, in words, and the application."""

    words: Sentence
    application: Application


@dataclass(frozen=True, slots=True)
class Study:
    """Conditions, with the trace that each refers to if any, and the worst of them for each candidate."""

    conditions: tuple[Condition, ...]
    measured: tuple[ImportedTrace | None, ...]
    worst: WorstCase


def named_conditions(
    applications: Sequence[Application],
    *,
    ambients: Sequence[float] = (),
    lowest_voltages: Sequence[float] = (),
    mountings: Sequence[Mounting] = (),
) -> tuple[Condition, ...]:
    """Return every combination of conditions for each variant of the duty, named by what is varied.

    The first application is the one asked about; of each further one only the duty is taken. Mountings are
    called by their names, variants of the duty by the titles of their applications.

    Raises
    ------
    AmpturnError
        If one duty is given at the motor shaft and another is not: they have no transmissions in common.
    """
    base = applications[0]
    found: list[Condition] = []
    for one in applications:
        if (one.duty_from == "segments") != (base.duty_from == "segments"):
            raise AmpturnError(
                f"variants of a duty must all be given at the motor shaft or none: that of {one.title} comes "
                f"from {one.duty_from}, that of {base.title} from {base.duty_from}"
            )
        duty = replace(
            base, duty_from=one.duty_from, duty_cycle=one.duty_cycle, load=one.load, trace=one.trace
        )
        for made in conditions(duty, ambients=ambients, lowest_voltages=lowest_voltages, mountings=mountings):
            words: list[Sentence] = []
            if len(applications) > 1:
                words.append(joined(one.title))
            if ambients and made.site.ambient is not None:
                words.append(sentence("ambient {ambient}", ambient=(made.site.ambient, Kind.TEMPERATURE)))
            if lowest_voltages and made.supply.lowest_voltage is not None:
                voltage = made.supply.lowest_voltage
                words.append(sentence("lowest voltage {voltage}", voltage=(voltage, Kind.VOLTAGE)))
            if mountings:
                words.append(joined(made.site.mounting.name))
            parts = [part for one_word in words for part in (", ", one_word)][1:]
            found.append(Condition(joined(*parts) if parts else joined("as the project says"), made))
    return tuple(found)


def conditions(
    application: Application,
    *,
    ambients: Sequence[float] = (),
    lowest_voltages: Sequence[float] = (),
    mountings: Sequence[Mounting] = (),
) -> tuple[Application, ...]:
    """Return an application under every combination of conditions; what is not listed stays as it is.

    Variants of the duty are applications of their own, to which this can be applied one by one.
    """
    site, supply = application.site, application.supply
    warmths: Sequence[float | None] = ambients or [site.ambient]
    voltages: Sequence[float | None] = lowest_voltages or [supply.lowest_voltage]
    sites = [
        replace(site, ambient=ambient, mounting=mounting)
        for ambient in warmths
        for mounting in (mountings or [site.mounting])
    ]
    supplies = [replace(supply, lowest_voltage=one) for one in voltages]
    return tuple(replace(application, site=one, supply=other) for one in sites for other in supplies)


def worst_case(listings: Sequence[Listing]) -> WorstCase:
    """Return the worst of the same candidates under several conditions, one listing for each.

    The worse verdict decides, then the smaller margin above target, then the earlier condition.
    """
    if not listings or len({len(one) for one in listings}) > 1:
        sizes = ", ".join(str(len(one)) for one in listings) or "none"
        raise AmpturnError(f"a worst case needs listings of the same candidates, got {sizes}")
    verdict = np.stack([one.verdict for one in listings])
    margin = np.stack([one.objectives["smallest_margin"] for one in listings])
    rank = np.argsort(ORDER_OF_VERDICTS)[verdict]
    # a margin that is not known is not the worst while another one is known
    known = np.where(np.isnan(margin), np.inf, margin)
    known = np.where(rank == rank.max(axis=0), known, np.inf)
    worst = np.lexsort((known, -rank), axis=0)[0]
    column = np.arange(verdict.shape[1])
    return WorstCase(worst, verdict[worst, column], margin[worst, column])


def worst_listing(listings: Sequence[Listing], worst: WorstCase) -> Listing:
    """Return one listing that has of each candidate what it came to under its worst condition.

    Who cannot be evaluated under one of the conditions is refused.
    """
    criteria = tuple({column.code: column for one in listings for column in one.criteria}.values())
    order = [column.code for column in criteria]
    count = len(listings[0])
    rows = [np.flatnonzero(worst.condition == k) for k in range(len(listings))]

    def reasons(kind: str) -> Reasons:
        column: IntArray = np.full(count, ABSENT)
        status: IntArray = np.full(count, ABSENT)
        numbers = {name: np.full(count, np.nan) for name in NUMBERS}
        for one, at in zip(listings, rows, strict=True):
            own: Reasons = getattr(one, kind)
            places = np.array([*(order.index(each.code) for each in one.criteria), ABSENT], dtype=np.int64)
            column[at] = places[own.column[at]]  # the last place stands for ABSENT, which is -1
            status[at] = own.status[at]
            for name in NUMBERS:
                numbers[name][at] = own.numbers[name][at]
        return Reasons(column, status, numbers)

    objectives = {name: np.full(count, np.nan) for name in OBJECTIVES}
    for one, at in zip(listings, rows, strict=True):
        for name in OBJECTIVES:
            objectives[name][at] = one.objectives[name][at]
    refused = {number: reason for one in listings for number, reason in one.refused.items()}
    return Listing(
        criteria,
        worst.verdict,
        reasons("governing"),
        reasons("first"),
        objectives,
        dict(sorted(refused.items())),
    )
