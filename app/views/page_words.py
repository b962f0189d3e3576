"""A row of words, one for each page that can stand in the same place; the one of the page shown is marked."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

_GAP = 2


class PageWords(QWidget):
    """Words to press, in the order in which they were added."""

    asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.buttons: dict[str, QPushButton] = {}
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(2, 0, 2, 2)
        self._row.setSpacing(_GAP)
        self._row.addStretch(1)

    def add(self, name: str, words: str, explanation: str) -> QPushButton:
        """Add the words of a page at the end of the row."""
        button = QPushButton(words)
        button.setProperty("flat", "true")
        button.setToolTip(explanation)
        button.clicked.connect(lambda: self.asked.emit(name))
        self.buttons[name] = button
        self._row.insertWidget(self._row.count() - 1, button)
        return button

    def show_current(self, name: str) -> None:
        """Mark the page that is shown."""
        for other, button in self.buttons.items():
            is_current = other == name
            button.setProperty("current", "true" if is_current else "false")
            button.setAccessibleDescription("shown" if is_current else "press to show")
            button.style().unpolish(button)  # so that the stylesheet looks at the property again
            button.style().polish(button)
