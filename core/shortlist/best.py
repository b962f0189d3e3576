"""The best candidates of a list as rows: place, choice, what governs and where, objectives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.evaluate import evaluate_candidate
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.results import Margin, Status
from core.sentences import Sentence
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import STATUSES
from core.shortlist.listing import Listing
from core.shortlist.reasons import tie, why

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


@dataclass(frozen=True, slots=True)
class Row:
    """One of the best. `tie` says why it stands behind the one before with the same smallest margin."""

    rank: int
    number: int
    candidate: Candidate
    verdict: Status
    governing: Margin | None
    why: Sentence
    tie: Sentence | None
    objectives: dict[str, float]


def best(
    listing: Listing,
    choices: Choices,
    application: Application,
    count: int,
    measured: ImportedTrace | None = None,
) -> tuple[Row, ...]:
    """Return so many candidates, best first; where it happens comes from their single evaluation."""
    order = listing.ranking()[:count].tolist()
    rows = []
    for place, number in enumerate(order):
        candidate = choices.candidate(number)
        rows.append(
            Row(
                rank=place + 1,
                number=number,
                candidate=candidate,
                verdict=STATUSES[listing.verdict[number]],
                governing=None
                if number in listing.refused
                else evaluate_candidate(application, candidate, 0, measured).governing,
                why=why(listing, number),
                tie=tie(listing, order[place - 1], number) if place else None,
                objectives={name: float(values[number]) for name, values in listing.objectives.items()},
            )
        )
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class Shortlist:
    """What a run has found: `possible` candidates there are, `listing` has those that were evaluated."""

    title: str
    possible: int
    listing: Listing
    rows: tuple[Row, ...]

    @property
    def complete(self) -> bool:
        """Whether every candidate was evaluated."""
        return len(self.listing) == self.possible
