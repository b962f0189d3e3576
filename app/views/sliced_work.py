"""Work of some tenths of a second done in small slices of the event loop, so that the window stays fluid."""

from __future__ import annotations

import time
from collections.abc import Iterator

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from core.errors import AmpturnError

# A slice ends at the first step after this time; between slices the window does what waits.
_SLICE_S = 0.004


class SlicedWork(QObject):
    """Runs an iterator step by step; `finished` comes when it is used up, `refused` where it raises."""

    finished = Signal()
    refused = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._steps: Iterator[object] | None = None
        self._next = QTimer(self)
        self._next.setInterval(0)
        self._next.timeout.connect(self._run)

    @property
    def running(self) -> bool:
        """Whether there is something left to do."""
        return self._steps is not None

    def start(self, steps: Iterator[object]) -> None:
        """Begin; what was under way is dropped."""
        self._steps = steps
        self._next.start()

    def stop(self) -> None:
        """Drop what is under way."""
        self._steps = None
        self._next.stop()

    @Slot()
    def _run(self) -> None:
        until = time.perf_counter() + _SLICE_S
        while self._steps is not None:
            try:
                next(self._steps)
            except StopIteration:
                self.stop()
                self.finished.emit()
                return
            except AmpturnError as error:
                self.stop()
                self.refused.emit(str(error))
                return
            if time.perf_counter() >= until:
                return
