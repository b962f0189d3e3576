"""What lies on top of the speed-torque plane: numbered load points, the rms point, the bubble with numbers.

All stand in pixels of the canvas; the view gives them their places.
"""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.theme import BODY_PT, SMALL_PT, Tokens
from app.views.plot_axes import plot_font

RING_PX = 9.0
HIT_PX = 13.0
_HALO_PX = 4.0
_COVERS_PX = 36.0
_BUBBLE_PAD, _BUBBLE_GAP = 8.0, 16.0


class MarkItem(QGraphicsItem):
    """A load point as a numbered ring, or the rms point as a diamond where there is no number."""

    def __init__(self, number: str) -> None:
        super().__init__()
        self.number = number
        self._selected = self._hovered = self._focused = False
        self._tokens: Tokens | None = None
        self._covers = ""
        self.setZValue(30.0 if number else 25.0)

    def set_covers(self, numbers: str) -> None:
        """Name the load points that lie hidden below this one."""
        if numbers != self._covers:
            self._covers = numbers
            self.update()

    @property
    def covers(self) -> str:
        """The numbers of the load points that lie hidden below this one."""
        return self._covers

    def set_look(self, tokens: Tokens, selected: bool, hovered: bool, focused: bool) -> None:
        """Change how it is drawn; the place stays."""
        look = (tokens, selected, hovered, focused)
        if look != (self._tokens, self._selected, self._hovered, self._focused):
            self._tokens, self._selected, self._hovered, self._focused = look
            self.setZValue(31.0 if selected else 30.0 if self.number else 25.0)
            self.update()

    def boundingRect(self) -> QRectF:
        half = RING_PX + _HALO_PX + 2.0
        return QRectF(-half, -half, 2.0 * half + _COVERS_PX, 2.0 * half)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        tokens = self._tokens
        if tokens is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self._hovered or self._focused:
            halo = QPen(
                QColor(tokens.focus if self._focused else tokens.hairline), 2.0 if self._focused else 3.0
            )
            painter.setPen(halo)
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(QPointF(), RING_PX + _HALO_PX, RING_PX + _HALO_PX)
        ink = QColor(tokens.ink)
        if not self.number:
            painter.setPen(QPen(QColor(tokens.pane), 1.2))
            painter.setBrush(ink)
            side = 7.5
            painter.drawPolygon(
                QPolygonF([QPointF(0, -side), QPointF(side, 0), QPointF(0, side), QPointF(-side, 0)])
            )
            return
        painter.setPen(QPen(ink, 2.8 if self._selected else 1.3))
        painter.setBrush(QColor(tokens.pane))
        painter.drawEllipse(QPointF(), RING_PX, RING_PX)
        painter.setFont(plot_font(SMALL_PT, bold=True))
        painter.drawText(QRectF(-12.0, -12.0, 24.0, 24.0), Qt.AlignmentFlag.AlignCenter, self.number)
        if self._covers:
            painter.setPen(QColor(tokens.soft_ink))
            painter.drawText(QPointF(RING_PX + 3.0, -RING_PX + 5.0), f"+{self._covers}")


class GhostItem(QGraphicsItem):
    """A load point of the duty that the load itself would give: a dashed ring behind the others."""

    def __init__(self, number: str) -> None:
        super().__init__()
        self.number = number
        self._ink = QColor()
        self.setZValue(24.0)

    def set_look(self, tokens: Tokens) -> None:
        """Change its colour; the place stays."""
        if QColor(tokens.soft_ink) != self._ink:
            self._ink = QColor(tokens.soft_ink)
            self.update()

    def boundingRect(self) -> QRectF:
        half = RING_PX + 2.0
        return QRectF(-half, -half, 2.0 * half, 2.0 * half)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        pen = QPen(self._ink, 1.0)
        pen.setDashPattern([2.0, 2.0])
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawEllipse(QPointF(), RING_PX, RING_PX)
        painter.setFont(plot_font(SMALL_PT))
        painter.drawText(QRectF(-12.0, -12.0, 24.0, 24.0), Qt.AlignmentFlag.AlignCenter, self.number)


class BubbleItem(QGraphicsItem):
    """Numbers at the cursor or at the selected point, in trade units, on a plate of their own."""

    def __init__(self) -> None:
        super().__init__()
        self.title, self.words = "", ""
        self._tokens: Tokens | None = None
        self._size = (0.0, 0.0)
        self.setZValue(40.0)
        self.setVisible(False)

    def show_words(self, title: str, words: str, tokens: Tokens, beside: QPointF, frame: QRectF) -> None:
        """Show words beside a place, inside the frame."""
        if (title, words, tokens) != (self.title, self.words, self._tokens):
            self.prepareGeometryChange()
            self.title, self.words, self._tokens = title, words, tokens
            wide = QFontMetricsF(plot_font(BODY_PT, bold=True)).horizontalAdvance(title) if title else 0.0
            metrics = QFontMetricsF(plot_font(BODY_PT))
            lines = words.split("\n") if words else []
            rows = bool(title) + len(lines)
            width = max([wide, *(metrics.horizontalAdvance(line) for line in lines)]) + 2.0 * _BUBBLE_PAD
            self._size = (width, rows * (metrics.height() + 2.0) + _BUBBLE_PAD)
            self.update()
        width, height = self._size
        left = beside.x() + _BUBBLE_GAP
        if left + width > frame.right():
            left = beside.x() - _BUBBLE_GAP - width
        top = beside.y() - height - 4.0
        if top < frame.top():
            top = beside.y() + 12.0
        left = max(frame.left() + 2.0, min(left, frame.right() - width))
        self.setPos(round(left), round(max(frame.top(), min(top, frame.bottom() - height))))
        self.setVisible(True)

    def place(self) -> QRectF:
        """Return what it covers on the canvas."""
        return QRectF(self.pos(), self.pos() + QPointF(*self._size))

    def boundingRect(self) -> QRectF:
        return QRectF(-1.0, -1.0, self._size[0] + 2.0, self._size[1] + 2.0)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        tokens = self._tokens
        if tokens is None:
            return
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(tokens.hairline), 1.0))
        painter.setBrush(QColor(tokens.pane))
        painter.drawRoundedRect(QRectF(0.5, 0.5, self._size[0] - 1.0, self._size[1] - 1.0), 4.0, 4.0)
        font = plot_font(BODY_PT, bold=True)
        row = QFontMetricsF(font).height() + 2.0
        base = 0.5 * _BUBBLE_PAD + QFontMetricsF(font).ascent()
        if self.title:
            painter.setFont(font)
            painter.setPen(QColor(tokens.ink))
            painter.drawText(QPointF(_BUBBLE_PAD, base), self.title)
            base += row
        painter.setFont(plot_font(BODY_PT))
        painter.setPen(QColor(tokens.soft_ink))
        for line in self.words.split("\n"):
            painter.drawText(QPointF(_BUBBLE_PAD, base), line)
            base += row


class DotItem(QGraphicsItem):
    """The place on a curve that a read-out belongs to."""

    def __init__(self) -> None:
        super().__init__()
        self._colour, self._pane = QColor(), QColor()
        self.setZValue(35.0)
        self.setVisible(False)

    def show_at(self, place: QPointF, colour: str, pane: str) -> None:
        """Show the dot at a place."""
        self._colour, self._pane = QColor(colour), QColor(pane)
        self.setPos(place)
        self.setVisible(True)
        self.update()

    def boundingRect(self) -> QRectF:
        return QRectF(-6.0, -6.0, 12.0, 12.0)

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self._pane, 1.5))
        painter.setBrush(self._colour)
        painter.drawEllipse(QPointF(), 4.0, 4.0)
