"""The search for turns or ratios of one's own: what it is for, and its run in a process beside the window."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from threading import Event

from app.search_beside import Job, SearchBeside
from app.shortlist_search import Basis, Found
from core.records import dataclass
from core.results import Status
from core.sentences import Sentence
from core.shortlist.chunk_result import STATUSES
from core.shortlist.free_values import Ends, FreeKind, FreeValue, each_free_value, families
from core.shortlist.listing import ORDER_OF_VERDICTS, Listing
from core.shortlist.reasons import why
from core.shortlist.runner import Task
from core.shortlist.studies import Condition


@dataclass(frozen=True, slots=True)
class Ground:
    """The list that turns or ratios are sought for, with all that it depends on."""

    found: Found
    basis: Basis
    conditions: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class FreeRow:
    """A value found, with verdict, reasons and smallest margin above target of the listed candidate before.

    Who was ruled out before its heat was computed has the smallest margin of what was computed.
    """

    value: FreeValue
    before: float
    verdict_before: Status
    why_before: Sentence

    @property
    def smallest_margin(self) -> float:
        """The smallest margin above target with this value."""
        return float(self.value.outcome.objectives["smallest_margin"][0])

    @property
    def verdict(self) -> Status:
        """The verdict with this value."""
        return STATUSES[int(self.value.outcome.verdict[0])]

    @property
    def order(self) -> tuple[int, float, int]:
        """What sorts rows, best first."""
        place = ORDER_OF_VERDICTS.index(STATUSES.index(self.verdict))
        margin = self.smallest_margin
        return place, -margin if margin == margin else float("inf"), self.value.number


@dataclass(frozen=True, slots=True)
class Sought:
    """What is found so far, best first; `done` families of `wanted` are looked at."""

    rows: tuple[FreeRow, ...]
    done: int
    wanted: int


class FreeSearch(SearchBeside):
    """Seeks the best values; a `Sought` arrives after each family."""

    def start(self, kind: FreeKind, ground: Ground, ends: Ends) -> None:
        """Seek the best value for the best of each family of a list."""
        self.begin(lambda send: _seeking(kind, ground, ends, send))


def _seeking(kind: FreeKind, ground: Ground, ends: Ends, send: Callable[[Sought], None]) -> Job:
    """Return the job of the thread, which waits for the process most of the time."""

    def job(_tell: Callable[[float], None], stop: Event) -> object:
        listing, choices = ground.found.listing, ground.found.choices
        numbers = families(kind, listing, choices)
        task = Task(ground.conditions[0].application, choices, ground.basis.measured)
        rows: list[FreeRow] = []
        send(Sought((), 0, len(numbers)))
        with closing(each_free_value(kind, task, numbers, ends, stop)) as values:
            for done, value in enumerate(values, start=1):
                if value is not None:
                    rows.append(_row(value, listing))
                    rows.sort(key=lambda row: row.order)
                send(Sought(tuple(rows), done, len(numbers)))
        return None

    return job


def _row(value: FreeValue, listing: Listing) -> FreeRow:
    before = float(listing.objectives["smallest_margin"][value.number])
    verdict = STATUSES[int(listing.verdict[value.number])]
    return FreeRow(value, before, verdict, why(listing, value.number))
