"""A search beside the window that brings what it has found so far, again and again until it ends."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event

from PySide6.QtCore import QObject, Qt, Signal, Slot

from app.background import Background

Send = Callable[[object], None]
Job = Callable[[Callable[[float], None], Event], object]


class SearchBeside(QObject):
    """Runs one search at a time; what an earlier one still sends is not heard."""

    arrived = Signal(object)  # all that is found so far
    ended = Signal(str)  # why it failed, empty where it did not
    _sent = Signal(int, object)  # number of the search, what is found: from the thread

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

    def begin(self, job_with: Callable[[Send], Job]) -> None:
        """Stop what runs, and run the job that `job_with` makes with the way to send what is found."""
        self.cancel()
        number = self._number
        self._background.start(job_with(lambda found: self._sent.emit(number, found)))

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
    def _on_sent(self, number: int, found: object) -> None:
        if number == self._number:
            self.arrived.emit(found)

    @Slot(object)
    def _on_finished(self, _value: object) -> None:
        self.ended.emit("")

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        self.ended.emit(str(error))
