"""The line under the header that says what must not be overlooked; it never waits for an answer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

Topic = Literal["failure", "file", "recovery", "stale", "trace", "read only", "notice"]
Offer = tuple[str, Callable[[], object]]  # words of a button and what it does

# What stays until its cause is gone, or until it is answered, cannot be closed.
_LASTING: Final[tuple[Topic, ...]] = ("file", "recovery", "stale", "trace", "read only")


class _Line(QFrame):
    """One message with what can be done about it; a passing one has a button that closes it."""

    def __init__(self, topic: Topic, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("surface", "caution")
        self.words = QLabel()
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.words.setProperty("type", "missed" if topic in ("failure", "stale") else "caution")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.offers: list[QPushButton] = []
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(12, 5, 8, 5)
        row.addWidget(self.words, 1)
        if topic not in _LASTING:
            close = QPushButton("Close")
            close.setFlat(True)
            close.setAccessibleName("Close this message")
            close.clicked.connect(self.hide)
            row.addWidget(close)

    def offer(self, offers: Sequence[Offer]) -> None:
        """Put buttons beside the message in place of those that were there."""
        for old in self.offers:
            self._row.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.offers = []
        for place, (words, act) in enumerate(offers, 1):
            button = QPushButton(words)
            button.clicked.connect(lambda _checked=False, act=act: act())
            self._row.insertWidget(place, button)
            self.offers.append(button)


class MessageBar(QWidget):
    """At most one message of each topic; an empty text takes it away."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        topics: tuple[Topic, ...] = ("failure", "file", "recovery", "stale", "trace", "read only", "notice")
        self._lines = {topic: _Line(topic, self) for topic in topics}
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 0, 12, 0)
        column.setSpacing(4)
        for line in self._lines.values():
            line.hide()
            column.addWidget(line)

    def show_message(self, topic: Topic, text: str, offers: Sequence[Offer] = ()) -> None:
        """Show a message and what can be done about it, or take it away where the text is empty."""
        line = self._lines[topic]
        line.offer(offers)
        line.words.setText(text)
        line.words.setAccessibleName(text)
        line.setVisible(bool(text))

    def offers(self, topic: Topic) -> list[QPushButton]:
        """Return the buttons beside the message on a topic."""
        return self._lines[topic].offers

    def message(self, topic: Topic) -> str:
        """Return what is shown on a topic, empty where nothing is."""
        line = self._lines[topic]
        return "" if line.isHidden() else line.words.text()
