"""A slider with a mark at the value from which on something is cured."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSlider, QStyle, QWidget

from app.theme import current_tokens

STEPS = 1000
_HANDLE = 12  # px, as the stylesheet makes it
_MARK, _ROOM = 5.0, 9  # px


class MarkedSlider(QSlider):
    """Shows a value between zero and `top`; `mark` is drawn above the groove, None is no mark."""

    escaped = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(Qt.Orientation.Horizontal, parent)
        self.setRange(0, STEPS)
        self.setSingleStep(STEPS // 100)
        self.setPageStep(STEPS // 10)
        self.setAccessibleName(name)
        self.top = 1.0
        self.mark: float | None = None

    @property
    def amount(self) -> float:
        """The value that the slider stands at."""
        return self.value() / STEPS * self.top

    def show_amount(self, amount: float, mark: float | None) -> None:
        """Show a value and a mark; silent."""
        self.mark = mark
        blocked = self.blockSignals(True)
        if not self.isSliderDown():
            self.setValue(round(amount / self.top * STEPS))
        self.blockSignals(blocked)
        self.update()

    def mark_place(self) -> float | None:
        """Return where the mark stands. [px]"""
        if self.mark is None or not 0.0 <= self.mark <= self.top:
            return None
        place = QStyle.sliderPositionFromValue(
            0, STEPS, round(self.mark / self.top * STEPS), self.width() - _HANDLE
        )
        return place + 0.5 * _HANDLE

    def sizeHint(self) -> QSize:
        return super().sizeHint() + QSize(0, _ROOM)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        place = self.mark_place()
        if place is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(current_tokens().ink))
        tip = 0.5 * self.height() - 5.0
        painter.drawPolygon(
            QPolygonF(
                [
                    QPointF(place, tip),
                    QPointF(place - _MARK, tip - 1.4 * _MARK),
                    QPointF(place + _MARK, tip - 1.4 * _MARK),
                ]
            )
        )
        painter.end()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.isSliderDown():
            self.escaped.emit()
        else:
            super().keyPressEvent(event)
