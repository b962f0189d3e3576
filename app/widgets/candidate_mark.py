"""The mark of a candidate: a short line in its colour and dash, painted wherever the candidate is named."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.theme import CandidateLook, current_tokens


def look_of(index: int) -> CandidateLook:
    """Return the look of a candidate; a fifth one shares the line of the first, under a letter of its own."""
    looks = current_tokens().candidates
    look = looks[index % len(looks)]
    return look if index < len(looks) else CandidateLook(letter_of(index), look.colour, look.dashes)


def letter_of(index: int) -> str:
    """Return A, B, C and so on.

    Examples
    --------
    >>> letter_of(0), letter_of(3), letter_of(26)
    ('A', 'D', 'A1')
    """
    turn, letter = divmod(index, 26)
    return chr(ord("A") + letter) + (str(turn) if turn else "")


def draw_mark(painter: QPainter, index: int, start: QPointF, length: float, width: float = 3.0) -> None:
    """Paint the line of a candidate to the right of a point."""
    look = look_of(index)
    pen = QPen(QColor(look.colour), width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if look.dashes:
        pen.setDashPattern([dash * 2.0 / width for dash in look.dashes])
    painter.setPen(pen)
    painter.drawLine(start, start + QPointF(length, 0.0))


class CandidateLine(QWidget):
    """A line across its whole width under a field of one candidate."""

    def __init__(self, index: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.index = index
        self.setFixedHeight(3)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        area = QRectF(self.rect())
        draw_mark(painter, self.index, QPointF(area.left() + 2.0, area.center().y()), area.width() - 4.0, 2.0)
        painter.end()
