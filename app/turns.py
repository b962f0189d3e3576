"""Views that are read take turns while something is dragged; those that are watched follow each move."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from PySide6.QtCore import QObject, QTimer, Slot

from app.document import ProjectDocument
from core.results import Result

Show = Callable[[Result], None]
_REST_MS: Final = 40  # without a new result for so long, nobody waits for his turn


class Turns(QObject):
    """Shows results to views one after the other, each result of a drag to one of them.

    Numbers cannot be read at the pace of the screen, and what it takes to write them all would be missing for
    what the hand holds. When it rests, and at the end of the gesture, everybody has the newest result.
    """

    def __init__(self, document: ProjectDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._waiting: list[Show] = []  # who has not seen the newest result, the longest first
        self._result: Result | None = None
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self.catch_up)

    def show(self, result: Result, shows: Sequence[Show]) -> None:
        """Show a result to whoever has waited longest, or to all of them outside a gesture."""
        self._result = result
        late = [show for show in self._waiting if show in shows]
        self._waiting = [*late, *(show for show in shows if show not in late)]
        if self._document.in_gesture:
            self._waiting.pop(0)(result)
            self._rest.start()
        else:
            self.catch_up()

    @Slot()
    def catch_up(self) -> None:
        """Show the newest result to everybody who has not seen it."""
        self._rest.stop()
        waiting, self._waiting = self._waiting, []
        for show in waiting:
            if self._result is not None:
                show(self._result)
