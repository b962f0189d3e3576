"""The best candidates of a list as rows: place, choice, what governs and where, objectives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from core.evaluate import evaluate_candidate
from core.numeric import BoolArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.results import Margin, Status
from core.sentences import Sentence
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import STATUSES
from core.shortlist.free_ratio import FreeRatio
from core.shortlist.listing import Listing
from core.shortlist.reasons import tie, why
from core.shortlist.special_winding import SpecialWinding
from core.shortlist.studies import Study

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace


@dataclass(frozen=True, slots=True)
class Row:
    """One of the best. `tie` says why it stands behind the one before with the same smallest margin.

    `condition` is the worst of several for it, under which all its numbers hold; None where there is one.
    """

    rank: int
    number: int
    candidate: Candidate
    verdict: Status
    governing: Margin | None
    why: Sentence
    tie: Sentence | None
    objectives: dict[str, float]
    condition: Sentence | None = None


def best(
    listing: Listing,
    choices: Choices,
    application: Application,
    count: int,
    measured: ImportedTrace | None = None,
    *,
    among: BoolArray | None = None,
    study: Study | None = None,
) -> tuple[Row, ...]:
    """Return so many candidates, best first; where it happens comes from their single evaluation.

    `among` tells who is looked at, all without it. With a `study` each is under its worst condition.
    """
    ranking = listing.ranking()
    order = ranking[:count].tolist() if among is None else ranking[among[ranking]][:count].tolist()
    rows = []
    for place, number in enumerate(order):
        candidate, condition, asked, trace = choices.candidate(number), None, application, measured
        if study is not None:
            worst = int(study.worst.condition[number])
            condition, asked = study.conditions[worst].words, study.conditions[worst].application
            trace = study.measured[worst]
        governing = None
        if number not in listing.refused:
            governing = evaluate_candidate(asked, candidate, 0, trace).governing
        rows.append(
            Row(
                rank=place + 1,
                number=number,
                candidate=candidate,
                verdict=STATUSES[listing.verdict[number]],
                governing=governing,
                why=why(listing, number),
                tie=tie(listing, order[place - 1], number) if place else None,
                objectives={name: float(values[number]) for name, values in listing.objectives.items()},
                condition=condition,
            )
        )
    return tuple(rows)


@dataclass(frozen=True, slots=True)
class Shortlist:
    """What a run has found: `possible` candidates there are, `listing` has those that were evaluated.

    `looked_at` is how many a filter let pass, None without one; `pareto` the objectives over whose Pareto set
    the rows are.
    """

    title: str
    possible: int
    listing: Listing
    rows: tuple[Row, ...]
    looked_at: int | None = None
    pareto: tuple[str, ...] = ()
    study: Study | None = None
    special_windings: tuple[SpecialWinding, ...] = ()
    free_ratios: tuple[FreeRatio, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every candidate was evaluated."""
        return len(self.listing) == self.possible
