"""Keep the result in step with the document: the latest edit wins, once per turn of the event loop."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from threading import Event
from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.background import Background
from app.document import ProjectDocument
from core.project.project import Project
from core.results import Result

if TYPE_CHECKING:
    from core.trace_import import ImportedTrace

# From so many rows on the heating up from cold takes longer than a frame too (20 ms measured).
_MANY_ROWS = 10_000


class Evaluation(Protocol):
    """`core.evaluate.evaluate`, or one that counts or times it."""

    def __call__(self, project: Project, measured: ImportedTrace | None = None) -> Result: ...


class Recompute(QObject):
    """Evaluate the newest project soon after it changed; edits overtaken meanwhile are skipped.

    One evaluation takes a few milliseconds, so it runs in the window's thread: a result can then
    never belong to another revision than the one on screen when it is painted. If an evaluation
    fails, `failed` carries the message and the views say that what they show is old.

    While something is dragged, candidates may be evaluated in processes beside this one, where `dragging`
    does so. What is deferred in such a result would be computed a second time, so that the result of the last
    frame is computed here when the hand lets go.

    A measured trace takes longer than a frame (28 ms were measured for 2,000 rows, two candidates), so
    it is evaluated beside the window. Whatever is newer than what is on screen is then shown, although
    the project may have moved on: waiting for an exact match would show nothing during a drag.
    """

    result_ready = Signal(object)  # Result
    failed = Signal(str)
    working = Signal(bool)  # whether a result is being computed beside the window
    _wanted = Signal()

    def __init__(
        self,
        document: ProjectDocument,
        evaluate: Evaluation,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._evaluate = document, evaluate
        self.dragging: Evaluation | None = None
        self._is_of_a_drag = False
        self.measured: Callable[[Project], ImportedTrace | None] = lambda _project: None
        self.result: Result | None = None
        self.result_revision = -1
        self._background = Background(self)
        self._background.finished.connect(self._on_finished)
        self._background.failed.connect(self._on_failed)
        self._is_wanted = False
        # Posted, not timed: it is taken before the window is painted, so that an edit and its result are
        # one picture; moves of the mouse that wait are taken before it.
        self._wanted.connect(self._run_wanted, Qt.ConnectionType.QueuedConnection)
        document.changed.connect(self._on_changed)

    @property
    def is_stale(self) -> bool:
        """Whether the result on screen belongs to an older revision, or a newer result is under way."""
        return self.result_revision != self._document.revision or self.is_working

    @property
    def is_working(self) -> bool:
        """Whether a result is being computed beside the window."""
        return self._background.is_busy

    def shut_down(self) -> None:
        """Leave nothing running."""
        self._is_wanted = False
        self._background.shut_down()

    @Slot(object, int)
    def _on_changed(self, _project: Project, revision: int) -> None:
        if revision != self.result_revision or (self._is_of_a_drag and not self._document.in_gesture):
            self._want()
        elif self.result is not None:
            self.result_ready.emit(self.result)  # the end of a gesture: views release what they froze

    def _want(self) -> None:
        if not self._is_wanted:
            self._is_wanted = True
            self._wanted.emit()

    @Slot()
    def _run_wanted(self) -> None:
        if self._is_wanted:
            self.run_now()

    def run_now(self) -> None:
        """Evaluate at once, so that tests and the first paint need not wait for the event loop."""
        self._is_wanted = False
        revision, project = self._document.revision, self._document.project
        measured = self.measured(project)
        if measured is not None:
            self._background.start(partial(self._evaluated, revision, project, measured))
            self.working.emit(True)
            return
        if self.is_working:
            self._background.cancel()  # of a trace that is no longer asked for
            self.working.emit(False)
        dragging = self.dragging if self._document.in_gesture else None
        try:
            result = self._evaluate(project) if dragging is None else dragging(project)
        except Exception as error:  # noqa: BLE001  the one boundary: a defect must reach the user
            self._say(error)
            return
        self._is_of_a_drag = dragging is not None
        self._show(revision, result)

    def _evaluated(
        self,
        revision: int,
        project: Project,
        measured: ImportedTrace,
        _progress: Callable[[float], None],
        _stop: Event,
    ) -> tuple[int, Result]:
        """Return the result of a trace with the revision it belongs to; runs in the thread."""
        result = self._evaluate(project, measured)
        chosen = result.chosen_candidate
        if measured.trace.time.size > _MANY_ROWS and chosen is not None and chosen.heating_up_later:
            chosen.heating_up_later.value()  # the views would ask for it when the hand rests, and wait
        return revision, result

    @Slot(object)
    def _on_finished(self, answer: tuple[int, Result]) -> None:
        revision, result = answer
        if revision >= self.result_revision:
            self._show(revision, result)
        if not self.is_working:
            self.working.emit(False)

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        if self.is_working:
            return  # a newer one is under way and will tell
        self.working.emit(False)
        self._say(error)

    def _show(self, revision: int, result: Result) -> None:
        self.result, self.result_revision = result, revision
        self.result_ready.emit(result)

    def _say(self, error: Exception) -> None:
        self.failed.emit(f"The evaluation failed: {error}. What is shown belongs to an earlier state.")
