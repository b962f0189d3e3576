"""The search for turns or ratios of one's own: what it is for, and its run in a process beside the window."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from threading import Event

from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.background import Background
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


class FreeSearch(QObject):
    """Runs one search at a time; `arrived` brings all that is found so far, after each family."""

    arrived = Signal(object)  # Sought
    ended = Signal(str)  # why it failed, empty where it did not
    _sent = Signal(int, object)  # number of the search, Sought: from the thread

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._number = 0
        self._background = Background()
        self._background.finished.connect(self._on_finished)
        self._background.failed.connect(self._on_failed)
        self.destroyed.connect(self._background.shut_down)
        self._sent.connect(self._on_sent, Qt.ConnectionType.QueuedConnection)

    @property
    def is_running(self) -> bool:
        """Whether more is to come."""
        return self._background.is_busy

    def start(self, kind: FreeKind, ground: Ground, ends: Ends) -> None:
        """Seek the best value for the best of each family of a list."""
        self.cancel()
        number = self._number
        self._background.start(_seeking(kind, ground, ends, lambda sought: self._sent.emit(number, sought)))

    @Slot()
    def cancel(self) -> None:
        """Stop; nothing more arrives."""
        self._number += 1
        self._background.cancel()

    def shut_down(self) -> None:
        """Stop, and wait until thread and process have ended."""
        self.cancel()
        self._background.shut_down()

    @Slot(int, object)
    def _on_sent(self, number: int, sought: object) -> None:
        if number == self._number:
            self.arrived.emit(sought)

    @Slot(object)
    def _on_finished(self, _value: object) -> None:
        self.ended.emit("")

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        self.ended.emit(str(error))


def _seeking(
    kind: FreeKind, ground: Ground, ends: Ends, send: Callable[[Sought], None]
) -> Callable[[Callable[[float], None], Event], object]:
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
