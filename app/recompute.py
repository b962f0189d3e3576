"""Keep the result in step with the document: the latest edit wins, once per turn of the event loop."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from app.document import ProjectDocument
from core.project.project import Project
from core.results import Result


class Recompute(QObject):
    """Evaluate the newest project soon after it changed; edits overtaken meanwhile are skipped.

    One evaluation takes a few milliseconds, so it runs in the window's thread: a result can then
    never belong to another revision than the one on screen when it is painted. If an evaluation
    fails, `failed` carries the message and the views say that what they show is old.
    """

    result_ready = Signal(object)  # Result
    failed = Signal(str)

    def __init__(
        self,
        document: ProjectDocument,
        evaluate: Callable[[Project], Result],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._evaluate = document, evaluate
        self.result: Result | None = None
        self.result_revision = -1
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.run_now)
        document.changed.connect(self._on_changed)

    @property
    def is_stale(self) -> bool:
        """Whether the result on screen belongs to an older revision."""
        return self.result_revision != self._document.revision

    @Slot(object, int)
    def _on_changed(self, _project: Project, revision: int) -> None:
        if revision != self.result_revision:
            self._soon.start()
        elif self.result is not None:
            self.result_ready.emit(self.result)  # the end of a gesture: views release what they froze

    @Slot()
    def run_now(self) -> None:
        """Evaluate at once, so that tests and the first paint need not wait for the event loop."""
        self._soon.stop()
        revision = self._document.revision
        try:
            result = self._evaluate(self._document.project)
        except Exception as error:  # noqa: BLE001  the one boundary: a defect must reach the user
            self.failed.emit(f"The evaluation failed: {error}. What is shown belongs to an earlier state.")
            return
        self.result, self.result_revision = result, revision
        self.result_ready.emit(result)
