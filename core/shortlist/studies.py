"""One list of candidates under several conditions: the worst of each, and which condition it is."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace

from core.errors import AmpturnError
from core.numeric import FloatArray, IntArray
from core.project.application import Application
from core.project.mounting import Mounting
from core.records import dataclass
from core.shortlist.chunk_result import STATUSES
from core.shortlist.listing import ORDER_OF_VERDICTS, Listing


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
