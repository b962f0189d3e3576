"""A short tour over the real window: a veil with a hole at what is spoken of, and a few words beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPainterPath, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.theme import current_tokens
from core.records import dataclass

if TYPE_CHECKING:
    from app.main_window import MainWindow

CALLOUT_WIDTH = 330
_GAP, _ROUND, _VEIL = 12, 6.0, 130
_ON = (Qt.Key.Key_Right, Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Enter)


@dataclass(frozen=True, slots=True)
class Stop:
    """Where the tour rests: the part of the window that is spoken of, and what is said."""

    part: QWidget
    title: str
    words: str


def stops_of(window: MainWindow) -> tuple[Stop, ...]:
    """Return where the tour of a window rests."""
    bench = window.bench
    return (
        Stop(
            bench.inputs,
            "What is given",
            "Five questions, from what moves to what it must meet. Any field takes any unit, as 1.7 oz·in or "
            "12,5 mN·m. F1 in a field says what it means and which equations it enters.",
        ),
        Stop(
            bench.plane,
            "Speed and torque",
            "What each candidate can do, and what the cycle asks. Drag a load point: everything follows. "
            "The wheel zooms, a double click shows all again.",
        ),
        Stop(
            bench.cycle,
            "One cycle",
            "Torque, speed and temperatures over time, as they repeat. The words above it lead to the "
            "heating up from cold, the flow of heat, what would help, and the drive.",
        ),
        Stop(
            bench.margins,
            "Margins, the smallest first",
            "Each limit with its margin and the margin that you want, the tick. Press one to see its "
            "equation with the numbers and where it happens.",
        ),
        Stop(
            bench.findings,
            "Cautions and findings",
            "What can hurt, what was assumed, what does not fit. None of it is decided for you.",
        ),
        Stop(
            window.header,
            "Candidates and pages",
            "Press a candidate to choose it, drag it to another place. The pages compare candidates and "
            "print the sheet. Nothing is lost: every edit can be undone.",
        ),
    )


class Tour(QWidget):
    """Covers the window while it lasts. Right, Space and Enter go on, Left goes back, Escape ends it."""

    ended = Signal()

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.stops = stops_of(window)
        self.at = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Tour of the window")
        self.callout = QFrame(self)
        self.callout.setProperty("surface", "pane")
        self.callout.setFixedWidth(CALLOUT_WIDTH)
        self.title, self.words, self.count = QLabel(), QLabel(), QLabel()
        self.title.setProperty("type", "group")
        self.count.setProperty("type", "small")
        self.words.setWordWrap(True)
        self.skip, self.back, self.on = QPushButton("Skip"), QPushButton("Back"), QPushButton("Next")
        for button, act in ((self.skip, self.end), (self.back, self.go_back), (self.on, self.go_on)):
            button.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # the keys belong to the tour
            button.clicked.connect(act)
        row = QHBoxLayout()
        row.addWidget(self.count)
        row.addStretch(1)
        for button in (self.skip, self.back, self.on):
            row.addWidget(button)
        column = QVBoxLayout(self.callout)
        column.setContentsMargins(16, 12, 16, 12)
        column.setSpacing(8)
        column.addWidget(self.title)
        column.addWidget(self.words)
        column.addLayout(row)
        window.installEventFilter(self)
        self.setGeometry(window.rect())
        self.show()
        self.raise_()
        self.setFocus()
        self._show_stop()

    def go_on(self) -> None:
        """Go to the next stop; after the last one the tour ends."""
        if self.at + 1 == len(self.stops):
            self.end()
            return
        self.at += 1
        self._show_stop()

    def go_back(self) -> None:
        """Go to the stop before."""
        self.at = max(self.at - 1, 0)
        self._show_stop()

    def end(self) -> None:
        """Take the tour away."""
        self.hide()
        self.ended.emit()
        self.deleteLater()

    def hole(self) -> QRect:
        """Return what is spoken of, in the coordinates of the window."""
        part = self.stops[self.at].part
        corner = part.mapTo(self.window(), QPoint(0, 0))
        return QRect(corner, part.size()).adjusted(-3, -3, 3, 3) & self.rect()

    def _show_stop(self) -> None:
        stop = self.stops[self.at]
        self.title.setText(stop.title)
        self.words.setText(stop.words)
        self.count.setText(f"{self.at + 1} of {len(self.stops)}")
        self.back.setEnabled(self.at > 0)
        self.on.setText("Done" if self.at + 1 == len(self.stops) else "Next")
        self.setAccessibleDescription(f"{stop.title}. {stop.words}")
        self._place()

    def _place(self) -> None:
        """Put the words beside the hole where there is room, else below or in it."""
        self.callout.adjustSize()
        hole, size = self.hole(), self.callout.size()
        top = max(min(hole.top() + 20, self.height() - size.height() - _GAP), _GAP)
        if hole.right() + _GAP + size.width() < self.width():
            place = QPoint(hole.right() + _GAP, top)
        elif hole.left() - _GAP - size.width() > 0:
            place = QPoint(hole.left() - _GAP - size.width(), top)
        else:
            below = min(hole.bottom() + _GAP, self.height() - size.height() - _GAP)
            place = QPoint(hole.center().x() - size.width() // 2, below)
        self.callout.move(place)
        self.update()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is QEvent.Type.Resize and isinstance(watched, QWidget):
            self.setGeometry(watched.rect())
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.end()
        elif event.key() in _ON:
            self.go_on()
        elif event.key() == Qt.Key.Key_Left:
            self.go_back()

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        veil = QColor(tokens.veil)
        veil.setAlpha(_VEIL)
        around, hole = QPainterPath(), QPainterPath()
        around.addRect(QRectF(self.rect()))
        hole.addRoundedRect(QRectF(self.hole()), _ROUND, _ROUND)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillPath(around.subtracted(hole), veil)
        painter.setPen(QPen(QColor(tokens.focus), 2.0))
        painter.drawPath(hole)
        painter.end()
