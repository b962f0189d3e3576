"""Candidates evaluated side by side in processes of this computer, so that a drag of many costs as one.

The result is that of `core.evaluate.evaluate`, to the bit; what does not come back in time is evaluated here.
A process evaluates the same candidates from one frame to the next, so that it remembers what a drag leaves
alone, and it ends when its pipe does.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Final

from core.carried_result import CarriedResult, arrived, carried
from core.evaluate import evaluate, evaluate_candidate, result_of
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import CandidateResult, Result
from core.shared_parts import sharing

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from core.trace_import import ImportedTrace

MOST_PROCESSES: Final = 3  # beside this one; more candidates are seldom dragged at a time
_PATIENCE: Final = 2.0  # until a process that does not answer is given up [s]
_READY: Final = "ready"
_MOST_STARTS: Final = 12  # where processes end as soon as they start, no more are started

Numbered = tuple[tuple[int, Candidate], ...]
Asked = tuple[Application, Numbered | None]  # None: the same candidates as before


class CandidateProcesses:
    """Evaluates projects with the help of some processes; none of them is needed."""

    def __init__(self, most: int | None = None) -> None:
        self._most = min(MOST_PROCESSES, _processors() - 1) if most is None else most
        self._processes: list[_Process] = []
        self._starts_left = _MOST_STARTS

    @property
    def started(self) -> int:
        """How many processes there are that have not ended."""
        return sum(one.is_alive for one in self._processes)

    @property
    def ready(self) -> int:
        """How many processes can be asked."""
        return sum([one.is_ready for one in self._processes])

    def prepare(self, candidates: int) -> None:
        """Start as many processes as so many candidates are worth; it takes them some time to be ready."""
        self._processes = [one for one in self._processes if one.is_alive]
        while len(self._processes) < min(self._most, candidates - 1) and self._starts_left:
            self._starts_left -= 1
            self._processes.append(_Process())

    def evaluate(self, project: Project, measured: ImportedTrace | None = None) -> Result:
        """Return the result of a project. What is deferred in a result from elsewhere is computed here."""
        ready = [one for one in self._processes if one.is_ready]
        count = len(project.candidates)
        if measured is not None or not ready or count < 2:
            return evaluate(project, measured)
        application, found = project.application, dict[int, CandidateResult]()
        shares = [range(place, count, len(ready) + 1) for place in range(len(ready) + 1)]
        asked = [
            one.ask(application, tuple((k, project.candidates[k]) for k in share))
            for one, share in zip(ready, shares[1:], strict=True)
        ]
        for k in shares[0]:
            found[k] = evaluate_candidate(application, project.candidates[k], k)
        for one, share, was_asked in zip(ready, shares[1:], asked, strict=True):
            answers = one.answers() if was_asked else None
            for place, k in enumerate(share):
                here = partial(evaluate_candidate, application, project.candidates[k], k)
                # a refused input is found again here, where its message belongs
                found[k] = here() if answers is None else one.taken(k, answers[place], here)
        self._processes = [one for one in self._processes if one.is_alive]
        return result_of(project, tuple(found[k] for k in range(count)))

    def close(self) -> None:
        """Leave nothing running."""
        for one in self._processes:
            one.close()
        self._processes = []


class _Process:
    """One process and this end of its pipe."""

    def __init__(self) -> None:
        from multiprocessing import get_context  # not needed for a start

        from core.shortlist.workers import one_thread_each

        spawn = get_context("spawn")  # not forked: a process with a window or threads must not be copied
        self._here, there = spawn.Pipe()
        self._process = spawn.Process(target=_serve, args=(there,), daemon=True)
        with one_thread_each():
            self._process.start()
        there.close()
        self._is_ready, self.is_alive = False, True
        self._sent: Numbered = ()
        self._before: dict[int, CandidateResult] = {}

    @property
    def is_ready(self) -> bool:
        """Whether it waits to be asked."""
        try:
            if not self._is_ready and self.is_alive and self._here.poll():
                self._is_ready = self._here.recv() == _READY
        except (EOFError, OSError):
            self.close()
        return self._is_ready and self.is_alive

    def ask(self, application: Application, candidates: Numbered) -> bool:
        """Ask for candidates; return whether it could be asked."""
        known = len(candidates) == len(self._sent) and all(
            k == sent and candidate is before
            for (k, candidate), (sent, before) in zip(candidates, self._sent, strict=True)
        )
        asked: Asked = (application, None if known else candidates)
        self._sent = candidates
        try:
            self._here.send(asked)
        except OSError:
            self.close()
        return self.is_alive

    def answers(self) -> Sequence[CarriedResult] | None:
        """Return what it was asked for, None where it refuses or has ended."""
        try:
            if self._here.poll(_PATIENCE):
                answers: Sequence[CarriedResult] | None = self._here.recv()
                return answers
        except (EOFError, OSError):
            pass
        self.close()
        return None

    def taken(
        self, k: int, answer: CarriedResult, evaluate: Callable[[], CandidateResult]
    ) -> CandidateResult:
        """Return the result of a candidate by its answer, which has only what is new since the one before."""
        self._before[k] = arrived(answer, evaluate, self._before.get(k))
        return self._before[k]

    def close(self) -> None:
        """End it."""
        if self.is_alive:
            self.is_alive = False
            self._here.close()
            self._process.kill()  # it has nothing to save, and may not listen
            self._process.join()


def _serve(connection: Connection) -> None:
    """Evaluate what is asked for until the pipe ends."""
    from core.shortlist.workers import leave_to_parent

    leave_to_parent()
    last: tuple[Application, Numbered] | None = None
    before: dict[int, CandidateResult] = {}
    connection.send(_READY)
    while True:
        try:
            asked: Asked = connection.recv()
        except (EOFError, ConnectionResetError):  # the window has ended, by itself or by force
            return
        application, candidates = asked
        if last is None:
            last = (application, candidates or ())
        else:
            last = (sharing(application, last[0]), sharing(candidates, last[1]) if candidates else last[1])
        connection.send(_answers(*last, before))


def _answers(
    application: Application, candidates: Numbered, before: dict[int, CandidateResult]
) -> list[CarriedResult] | None:
    """Return the results as they are sent, and note in `before` what the other end has then."""
    try:
        results = {k: evaluate_candidate(application, candidate, k) for k, candidate in candidates}
    except Exception:  # noqa: BLE001  whoever asked evaluates it again and hears why
        return None
    answers = [carried(result, before.get(k)) for k, result in results.items()]
    before.update(results)
    return answers


def _processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1
