"""The line under the header that says what must not be overlooked; it never waits for an answer."""

from __future__ import annotations

from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

Topic = Literal["failure", "stale", "trace", "read only", "notice"]

# What stays until its cause is gone cannot be closed.
_LASTING: Final[tuple[Topic, ...]] = ("stale", "trace", "read only")


class _Line(QFrame):
    """One message; a passing one has a button that closes it."""

    def __init__(self, topic: Topic, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("surface", "caution")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setProperty("type", "missed" if topic in ("failure", "stale") else "caution")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 5, 8, 5)
        row.addWidget(self.words, 1)
        if topic not in _LASTING:
            close = QPushButton("Close")
            close.setFlat(True)
            close.setAccessibleName("Close this message")
            close.clicked.connect(self.hide)
            row.addWidget(close)


class MessageBar(QWidget):
    """At most one message of each topic; an empty text takes it away."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        topics: tuple[Topic, ...] = ("failure", "stale", "trace", "read only", "notice")
        self._lines = {topic: _Line(topic, self) for topic in topics}
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 0, 12, 0)
        column.setSpacing(4)
        for line in self._lines.values():
            line.hide()
            column.addWidget(line)

    def show_message(self, topic: Topic, text: str) -> None:
        """Show a message, or take it away where the text is empty."""
        line = self._lines[topic]
        line.words.setText(text)
        line.words.setAccessibleName(text)
        line.setVisible(bool(text))

    def message(self, topic: Topic) -> str:
        """Return what is shown on a topic, empty where nothing is."""
        line = self._lines[topic]
        return "" if line.isHidden() else line.words.text()
