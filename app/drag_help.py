"""Processes that evaluate candidates during a drag, started when the window has come to rest."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QObject, QTimer, Slot

from app.recompute import Recompute
from core.candidate_processes import CandidateProcesses

_REST_MS: Final = 700  # after a result: a start takes 20 ms that no drag should see


class DragHelp(QObject):
    """Gives a `Recompute` processes for its drags, as many as its candidates are worth."""

    def __init__(self, recompute: Recompute, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.processes = CandidateProcesses()
        self._recompute = recompute
        recompute.dragging = self.processes.evaluate
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._prepare)
        recompute.result_ready.connect(self._rest.start)
        self._rest.start()

    @Slot()
    def _prepare(self) -> None:
        if self._recompute.result is not None:
            self.processes.prepare(len(self._recompute.result.candidates))

    def shut_down(self) -> None:
        """Leave nothing running."""
        self._recompute.result_ready.disconnect(self._rest.start)
        self._rest.stop()
        self._recompute.dragging = None
        self.processes.close()
