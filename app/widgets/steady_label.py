"""Running text that is renewed while something is dragged, without laying out the window each time."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QLabel

_UNLIMITED: Final = 16_777_215  # Qt's own largest size


class SteadyLabel(QLabel):
    """A label that keeps its room while it is held: a new number is painted, nothing is laid out anew.

    Qt asks the layout for room with every text unless a widget's size is fixed. Where a text needs another
    number of rows, the layout is asked, held or not.
    """

    def __init__(self, words: str = "") -> None:
        super().__init__(words)
        self._held = False
        self.setWordWrap(True)

    def setText(self, words: str) -> None:
        if words != self.text():
            super().setText(words)
            if self._held:
                self._keep_room()

    def hold(self, held: bool) -> None:
        """Keep the room from now on, or let the layout have it again."""
        if held and not self._held:
            self._keep_room()
        elif self._held and not held:
            self.setMinimumSize(0, 0)
            self.setMaximumSize(_UNLIMITED, _UNLIMITED)
        self._held = held

    def _keep_room(self) -> None:
        """Fix the width as it is, the height as the text needs it."""
        if self.isVisible() and self.text():
            size = QSize(self.width(), self.heightForWidth(self.width()))
            if size != self.minimumSize() or size != self.maximumSize():
                self.setFixedSize(size)
