"""One piece of work at a time in a thread beside the window; of those that wait, the newest is done."""

from __future__ import annotations

import threading
from collections.abc import Callable
from threading import Event

from PySide6.QtCore import QObject, Qt, Signal, Slot

# What is done gets a way to tell its share from 0 to 1, and an event that asks it to stop.
Job = Callable[[Callable[[float], None], Event], object]


class Background(QObject):
    """Does jobs in a thread that lives only while there is work, and tells the window's thread.

    Jobs take and return frozen values and touch no widget, so there is nothing to lock but the job
    that waits. After `cancel` nothing is heard of what was started before.
    """

    finished = Signal(object)  # what the job returned
    failed = Signal(object)  # the exception it ended with
    progressed = Signal(float)
    _told = Signal(int, str, object)  # number of the job, what happened, value: sent from the thread

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._lock = threading.Lock()
        self._waiting: tuple[int, Job] | None = None
        self._thread: threading.Thread | None = None
        self._is_running = False
        self._stop = Event()
        self._newest = self._heard = 0
        self._told.connect(self._hear, Qt.ConnectionType.QueuedConnection)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is still to come."""
        return self._heard < self._newest

    def start(self, job: Job) -> None:
        """Do a job soon; one that still waits is dropped for it, one that runs goes on."""
        self._newest += 1
        with self._lock:
            self._waiting = (self._newest, job)
            if self._is_running:
                return
            self._is_running, self._stop = True, Event()
            self._thread = threading.Thread(target=self._work, name="ampturn background")
        self._thread.start()

    def cancel(self) -> None:
        """Ask the running job to stop, and hear nothing more of any job so far."""
        self._heard = self._newest
        with self._lock:
            self._waiting = None
            self._stop.set()

    def shut_down(self) -> None:
        """Cancel, and wait until the thread has ended."""
        self.cancel()
        if self._thread is not None:
            self._thread.join()

    def _work(self) -> None:
        while True:
            with self._lock:
                if self._waiting is None:
                    self._is_running = False
                    return
                (number, job), self._waiting = self._waiting, None
                self._stop = stop = Event()
            self._do(number, job, stop)
            del job  # nothing is kept alive while the thread ends

    def _do(self, number: int, job: Job, stop: Event) -> None:
        def tell(share: float) -> None:
            self._told.emit(number, "progress", share)

        try:
            value = job(tell, stop)
        except Exception as error:  # noqa: BLE001  the one boundary: whatever fails must reach the user
            self._told.emit(number, "failed", error)
        else:
            self._told.emit(number, "finished", value)

    @Slot(int, str, object)
    def _hear(self, number: int, what: str, value: object) -> None:
        if number <= self._heard:
            return
        if what == "progress":
            if isinstance(value, float):
                self.progressed.emit(value)
            return
        self._heard = number
        (self.finished if what == "finished" else self.failed).emit(value)
