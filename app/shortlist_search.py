"""The search of the Shortlist page: what it is for, and its run in a process beside the window."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from threading import Event
from typing import TYPE_CHECKING, Final

import numpy as np
from msgspec.structs import replace

from app.search_beside import Job, SearchBeside
from app.table_models.shortlist_model import ranks
from core.catalogue.parts_file import PartsFile
from core.numeric import FloatArray, IntArray
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.shortlist.choices import Choices, choices_of
from core.shortlist.chunk_result import ABSENT, MET
from core.shortlist.listing import Listing, ListingInProgress, Reasons
from core.shortlist.runner import Task, run
from core.shortlist.studies import Condition, worst_case, worst_listing
from core.shortlist.workers import processes

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

_CHUNK: Final = 500  # candidates
_PAUSE: Final = 0.25  # between two lists that are sent to the window [s]


@dataclass(frozen=True, slots=True)
class Basis:
    """All that a list depends on: while it is the same, the list holds. The application names the trace."""

    application: Application
    pattern: Candidate
    parts: PartsFile
    measured: ImportedTrace | None

    def same_as(self, other: Basis) -> bool:
        """Return whether a list of one is a list of the other."""
        same_shelf = self.parts is other.parts or self.parts == other.parts
        mine, theirs = (self.application, self.pattern), (other.application, other.pattern)
        return mine == theirs and same_shelf


@dataclass(frozen=True, slots=True)
class Found:
    """What is evaluated so far. `condition` is the worst for each candidate, `done` counts evaluations."""

    choices: Choices
    conditions: tuple[Condition, ...]
    listing: Listing
    rank: IntArray
    condition: IntArray
    done: int

    @property
    def wanted(self) -> int:
        """How many evaluations there are to be."""
        return len(self.choices) * len(self.conditions)


def basis_of(project: Project, parts: PartsFile, measured: ImportedTrace | None) -> Basis:
    """Return what a list of a project depends on: of the chosen candidate only what all candidates take."""
    chosen = project.chosen_candidate
    pattern = Candidate(name="candidate") if chosen is None else replace(
        chosen,
        name="candidate",
        motor=None,
        winding=None,
        variant=None,
        commutation="sinusoidal",
        brake=None,
        dropped_because="",
        note="",
        hand_over=None,
    )  # fmt: skip
    if parts.drives:
        pattern = replace(pattern, drive=Candidate(name="candidate").drive)
    if parts.feedback:
        pattern = replace(pattern, feedback=None)
    if project.application.duty_from != "segments":
        pattern = replace(pattern, transmission=None)
    return Basis(project.application, pattern, parts, measured)


class ShortlistSearch(SearchBeside):
    """Searches a list; a `Found` arrives a few times a second."""

    def start(self, basis: Basis, conditions: Sequence[Condition]) -> None:
        """Evaluate every combination of the parts under each condition."""
        self.begin(lambda send: _searching(basis, tuple(conditions), send))


def _searching(basis: Basis, conditions: tuple[Condition, ...], send: Callable[[Found], None]) -> Job:
    """Return the job of the thread; all that takes long is done in it, so the window only shows."""

    def job(_tell: Callable[[float], None], stop: Event) -> object:
        choices = choices_of([basis.parts], basis.application, basis.pattern)
        shown, whole = -math.inf, list[Listing]()

        def show(now: Listing) -> None:
            done = len(whole) * len(choices) + len(now)
            listing, condition = _worst([*whole, _filled_up(now, len(whole[0]))]) if whole else _worst([now])
            send(Found(choices, conditions, listing, ranks(listing), condition, done))

        for one in conditions:
            gathered, task = ListingInProgress(), Task(one.application, choices, basis.measured)
            with closing(run(task, processes(1), chunk=_CHUNK, cancel=stop)) as results:
                for _, result in results:
                    gathered.add(result)
                    if time.monotonic() - shown > _PAUSE:
                        show(gathered.listing())
                        shown = time.monotonic()
            if stop.is_set():
                return None
            show(gathered.listing())
            whole.append(gathered.listing())
        return None

    return job


def _worst(listings: Sequence[Listing]) -> tuple[Listing, IntArray]:
    """Return the worst of each candidate under the conditions so far, and which of them that is."""
    if len(listings) == 1:
        return listings[0], np.zeros(len(listings[0]), dtype=np.int64)
    worst = worst_case(listings)
    return worst_listing(listings, worst), worst.condition


def _filled_up(now: Listing, count: int) -> Listing:
    """Return a list made as long as others by candidates of which nothing is known: never the worst."""
    more = count - len(now)

    def longer(values: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
        return {name: np.concatenate([one, np.full(more, np.nan)]) for name, one in values.items()}

    def reasons(one: Reasons) -> Reasons:
        nobody = np.full(more, ABSENT)
        column, status = np.concatenate([one.column, nobody]), np.concatenate([one.status, nobody])
        return Reasons(column, status, longer(one.numbers))

    return Listing(
        now.criteria,
        np.concatenate([now.verdict, np.full(more, MET)]),
        reasons(now.governing),
        reasons(now.first),
        longer(now.objectives),
        now.refused,
    )
