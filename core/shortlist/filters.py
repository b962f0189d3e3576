"""Which candidates of a list are looked at."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

import numpy as np

from core.errors import AmpturnError
from core.numeric import BoolArray
from core.records import dataclass
from core.results import Status
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import OBJECTIVES, STATUSES
from core.shortlist.listing import Listing


@dataclass(frozen=True, slots=True)
class Filter:
    """What a candidate must be to be looked at; as it stands it lets all pass.

    `reasons` are codes of criteria that rule out or govern. `bounds` are lowest and highest value of
    objectives, both included; who lacks the number does not pass. All words of `text` must stand in the
    candidate's own, whatever their case.
    """

    verdicts: frozenset[Status] = frozenset(STATUSES)
    reasons: frozenset[str] | None = None
    bounds: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    text: str = ""

    def passes(self, listing: Listing, choices: Choices) -> BoolArray:
        """Return who passes, of the candidates listed so far."""
        wanted = [STATUSES.index(status) for status in self.verdicts]
        passing: BoolArray = np.isin(listing.verdict, wanted)
        if self.reasons is not None:
            columns = [k for k, one in enumerate(listing.criteria) if one.code in self.reasons]
            passing &= np.isin(listing.reason(), columns)
        for name, (low, high) in self.bounds.items():
            if name not in OBJECTIVES:
                raise AmpturnError(f"a filter's objective must be one of {', '.join(OBJECTIVES)}, got {name}")
            values = listing.objectives[name]
            passing &= (values >= low) & (values <= high)
        words = self.text.casefold().split()
        if words:
            for number in np.flatnonzero(passing).tolist():
                said = choices.words(number).casefold()
                passing[number] = all(word in said for word in words)
        return passing
