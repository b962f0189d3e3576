"""A candidate in the head of the window: pressed it is chosen, dragged it is moved among the others."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFontMetrics,
    QKeyEvent,
    QKeySequence,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
)
from PySide6.QtWidgets import QAbstractButton, QApplication, QMenu, QSizePolicy, QWidget

from app.gestures import CHIP_KEYS
from app.plain_tip import plain_tip
from app.theme import current_tokens
from app.widgets.candidate_mark import draw_mark, letter_of, look_of
from core.project.candidate import Candidate

_LINE, _GAP, _SIDE = 24, 9, 14
_WIDEST = 250
_MENU = ("choose", "rename", "duplicate", "move left", "move right", "drop", "remove")


class CandidateChip(QAbstractButton):
    """One candidate by its line, letter and name. A dropped one is struck through, its reason on hover."""

    asked = Signal(str, int)  # what is wanted of the candidate, as "rename", and which it is
    moved = Signal(int, int)  # which was dragged, and where it was let go in the parent [px]

    def __init__(self, index: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.index = index
        self.is_dropped = False
        self._pressed_at: QPointF | None = None
        self._dragging = False
        self.setCheckable(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_candidate(self, candidate: Candidate, chosen: bool) -> None:
        """Show the candidate's name, whether it is the chosen one, and why it is dropped where it is."""
        text, reason = f"{letter_of(self.index)}  {candidate.name}", candidate.dropped_because
        state = "chosen" if chosen else "press to choose, drag to move"
        state = f"{state}; dropped: {reason}" if reason else state
        if (text, chosen, state) == (self.text(), self.isChecked(), self.accessibleDescription()):
            return
        self.is_dropped = bool(reason)
        self.setText(text)
        self.setChecked(chosen)
        self.setToolTip(plain_tip(f"{candidate.name}: {state}"))
        self.setAccessibleName(f"Candidate {letter_of(self.index)}, {candidate.name}")
        self.setAccessibleDescription(state)
        self.updateGeometry()
        self.update()

    def nextCheckState(self) -> None:
        """Leave the mark to the document: the chip shows what is chosen there."""

    def sizeHint(self) -> QSize:
        bold = self.font()
        bold.setBold(True)
        wide = QFontMetrics(bold).horizontalAdvance(self.text())
        return QSize(min(wide + _LINE + _GAP + 2 * _SIDE + 2, _WIDEST), 28)

    def minimumSizeHint(self) -> QSize:
        return QSize(_LINE + _GAP + 2 * _SIDE + 30, 28)

    # what the hand does --------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._pressed_at = event.position() if event.button() is Qt.MouseButton.LeftButton else None
        super().mousePressEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed_at is None:
            return
        away = event.position().x() - self._pressed_at.x()
        if not self._dragging and abs(away) >= QApplication.startDragDistance():
            self._dragging = True
            self.setDown(False)
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
            self.raise_()
        if self._dragging:
            self.move(self.x() + int(away), self.y())

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        dragged, self._dragging, self._pressed_at = self._dragging, False, None
        if not dragged:
            super().mouseReleaseEvent(event)
            return
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.moved.emit(self.index, self.geometry().center().x())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self._pressed_at = None
        self.asked.emit("rename", self.index)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        word = CHIP_KEYS.get(QKeySequence(event.keyCombination()).toString())
        if word is not None:
            self.asked.emit(word, self.index)
        elif event.key() == Qt.Key.Key_Escape and self._dragging:
            self._dragging, self._pressed_at = False, None
            self.moved.emit(self.index, -1)  # nowhere: the row is laid out as it was
        else:
            super().keyPressEvent(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for word in _MENU:
            text = "Say why it is dropped" if word == "drop" else word.capitalize()
            menu.addAction(text).triggered.connect(
                lambda _=False, word=word: self.asked.emit(word, self.index)
            )
        menu.popup(event.globalPos())

    # what is seen --------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens, look = current_tokens(), look_of(self.index)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        shape = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        chosen, marked = self.isChecked(), self.hasFocus()
        # the colour of A is that of the focus, so on a chosen one the focus is drawn in ink
        focus = tokens.ink if chosen else tokens.focus
        edge = focus if marked else look.colour if chosen else tokens.hairline
        painter.setPen(QPen(QColor(edge), 1.8 if chosen or marked else 1.0))
        painter.setBrush(QColor(tokens.selection if chosen or self.underMouse() else tokens.pane))
        painter.drawRoundedRect(shape, 13.0, 13.0)
        draw_mark(painter, self.index, QPointF(shape.left() + _SIDE, shape.center().y()), _LINE)
        font = self.font()
        font.setBold(chosen)
        font.setStrikeOut(self.is_dropped)
        painter.setFont(font)
        painter.setPen(QColor(tokens.ink if chosen and not self.is_dropped else tokens.soft_ink))
        words = shape.adjusted(_SIDE + _LINE + _GAP, 0.0, -_SIDE + 4.0, 0.0)
        # in the middle: names of one frame begin alike and differ at the end
        text = QFontMetrics(font).elidedText(self.text(), Qt.TextElideMode.ElideMiddle, int(words.width()))
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
        painter.end()
