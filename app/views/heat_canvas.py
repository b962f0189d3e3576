"""The picture of a heat network on screen: it draws what it is given, and tells which line is chosen."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.plain_tip import plain_tip
from app.theme import BODY_PT, SMALL_PT, Tokens
from app.views.heat_strokes import arrow_head, distance, rounded, shortened
from app.views.plot_axes import plot_font
from core.charts.heat_picture import HeatBox, HeatLine, HeatPicture
from core.charts.label_placement import Box

_THINNEST, _THICKEST = 1.6, 8.5  # of a line [px at full size]
_CORNER, _ROUND = 7.0, 5.0  # radius of a line's corners and of a box's [px at full size]
_REACH = 9.0  # how far from a line a click still means it [px]
_HALO = 7.0  # what shows of the mark under a chosen line, both sides together [px]
_FORWARD = (Qt.Key.Key_Right, Qt.Key.Key_Down)
_BACKWARD = (Qt.Key.Key_Left, Qt.Key.Key_Up)


class HeatCanvas(QWidget):
    """Draws a picture, fitted in whole. Lines are chosen by a click, or by arrow keys and left by Escape."""

    chosen = Signal(object)  # number of a line, None for no line
    resized = Signal()
    scroll_asked = Signal(int)  # pages of the law to go on

    def __init__(self, tokens: Tokens) -> None:
        super().__init__()
        self.picture: HeatPicture | None = None
        self.selected: int | None = None
        self._hovered: int | None = None
        self._tokens, self._colour = tokens, tokens.ink
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 110)

    @property
    def room(self) -> tuple[float, float]:
        """Width and height in rows of small type, as a picture counts them."""
        row = _row()
        return self.width() / row, self.height() / row

    def show_picture(
        self, picture: HeatPicture | None, selected: int | None, tokens: Tokens, colour: str
    ) -> None:
        """Draw a picture in the colour of its candidate."""
        self.picture, self.selected, self._tokens, self._colour = picture, selected, tokens, colour
        self._hovered = None
        self.setAccessibleDescription("" if picture is None else picture.words)
        self.update()

    # places --------------------------------------------------------------------------------------------

    @property
    def _scale(self) -> float:
        """Pixels of one row: those of the type, fewer where the picture would not fit."""
        if self.picture is None:
            return _row()
        return min(_row(), self.width() / self.picture.width, self.height() / self.picture.height)

    def _offset(self) -> QPointF:
        assert self.picture is not None
        scale = self._scale
        return QPointF(
            0.5 * (self.width() - scale * self.picture.width),
            0.5 * (self.height() - scale * self.picture.height),
        )

    def rect_of(self, box: Box) -> QRectF:
        """Return the pixels of a place in the picture."""
        scale, offset = self._scale, self._offset()
        return QRectF(
            offset.x() + scale * box.left,
            offset.y() + scale * box.top,
            scale * box.width,
            scale * box.height,
        )

    def points_of(self, line: HeatLine) -> list[QPointF]:
        """Return the pixels of the corners of a line."""
        scale, offset = self._scale, self._offset()
        return [QPointF(offset.x() + scale * x, offset.y() + scale * y) for x, y in line.path]

    def line_at(self, place: QPointF) -> int | None:
        """Return the line that is meant at a place, by its words or by being near."""
        if self.picture is None:
            return None
        nearest: tuple[float, int] | None = None
        for number, line in enumerate(self.picture.lines):
            on_words = self.rect_of(line.label).contains(place)
            away = 0.0 if on_words else distance(self.points_of(line), place)
            if away <= _REACH and (nearest is None or away < nearest[0]):
                nearest = away, number
        return None if nearest is None else nearest[1]

    def _box_at(self, place: QPointF) -> HeatBox | None:
        if self.picture is None:
            return None
        return next((box for box in self.picture.boxes if self.rect_of(box.place).contains(place)), None)

    # what is drawn -------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if self.picture is not None:
            order = sorted(range(len(self.picture.lines)), key=lambda k: (k == self.selected, k))
            for number in order:
                self._paint_line(painter, number, self.picture.lines[number])
            for box in self.picture.boxes:
                self._paint_box(painter, box)
            for number, line in enumerate(self.picture.lines):
                self._paint_label(painter, number, line)
        if self.hasFocus():
            painter.setPen(QPen(QColor(self._tokens.focus), 1.0))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(3.5, 0.5, -3.5, -0.5), 4.0, 4.0)
        painter.end()

    def _paint_line(self, painter: QPainter, number: int, line: HeatLine) -> None:
        zoom = self._scale / _row()
        width = (_THINNEST + (_THICKEST - _THINNEST) * line.width) * zoom
        points = self.points_of(line)
        colour = QColor(self._colour if line.flows else self._tokens.soft_ink)
        head = (6.0 + 1.1 * width) if line.flows else 0.0
        path = rounded(shortened(points, 0.8 * head), _CORNER * zoom)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        # the ground beside a line parts it from one that it crosses; the chosen one has a mark there
        marked = number in (self.selected, self._hovered)
        ground = QColor(self._tokens.selection if marked else self._tokens.pane)
        halo = _HALO + (3.0 if number == self.selected else 0.0)
        painter.setPen(QPen(ground, width + halo, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        painter.drawPath(path)
        painter.setPen(QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        painter.drawPath(path)
        if line.flows:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(colour)
            painter.drawPolygon(arrow_head(points, head, 0.5 * width + 3.2 * zoom))

    def _paint_label(self, painter: QPainter, number: int, line: HeatLine) -> None:
        chosen = number == self.selected
        place, down = self.rect_of(line.label), line.path[0][0] == line.path[-1][0]
        align = Qt.AlignmentFlag.AlignVCenter | (
            Qt.AlignmentFlag.AlignLeft if down else Qt.AlignmentFlag.AlignHCenter
        )
        if chosen:
            painter.setPen(QPen(QColor(self._tokens.focus), 1.0) if self.hasFocus() else Qt.PenStyle.NoPen)
            painter.setBrush(QColor(self._tokens.selection))
            painter.drawRoundedRect(place.adjusted(-3.0, -1.0, 3.0, 2.0), 3.0, 3.0)
        painter.setFont(self._font(SMALL_PT, bold=chosen))
        painter.setPen(QColor(self._tokens.ink if line.flows else self._tokens.soft_ink))
        painter.drawText(place.adjusted(-2.0, -2.0, 2.0, 2.0), align, line.watts)

    def _paint_box(self, painter: QPainter, box: HeatBox) -> None:
        tokens, place = self._tokens, self.rect_of(box.place)
        painter.setPen(QPen(QColor(tokens.hairline), 1.2))
        painter.setBrush(QColor(tokens.ground if box.is_sink else tokens.pane))
        painter.drawRoundedRect(place, _ROUND, _ROUND)
        rows: list[tuple[str, float, bool, str]] = []
        if box.is_sink and place.width() > 2.0 * place.height():  # the rail has one row
            rows.append((f"{' '.join(box.name)}  {box.temp}", SMALL_PT, False, tokens.soft_ink))
        else:
            rows += [(name, SMALL_PT, False, tokens.soft_ink) for name in box.name]
            rows.append((box.temp, BODY_PT, True, tokens.ink))
        if box.heat:
            rows.append((box.heat, SMALL_PT, False, tokens.soft_ink))
        self._paint_rows(painter, place, rows, box.share is not None)
        if box.share is not None:
            self._paint_share(painter, place, box.share)

    def _paint_rows(
        self, painter: QPainter, place: QRectF, rows: list[tuple[str, float, bool, str]], bar: bool
    ) -> None:
        heights = [self._scale * (1.3 if bold else 1.0) for _, _, bold, _ in rows]
        free = place.height() - (0.6 * self._scale if bar else 0.0)
        top = place.top() + 0.5 * (free - sum(heights))
        for (words, size, bold, colour), height in zip(rows, heights, strict=True):
            painter.setFont(self._font(size, bold))
            painter.setPen(QColor(colour))
            row = QRectF(place.left() - 4.0, top - 2.0, place.width() + 8.0, height + 4.0)
            painter.drawText(row, Qt.AlignmentFlag.AlignCenter, words)
            top += height

    def _paint_share(self, painter: QPainter, place: QRectF, share: float) -> None:
        """Draw how much of the rise up to the limit is used, as a bar in the foot of the box."""
        margin, thickness = 0.6 * self._scale, 0.25 * self._scale
        whole = QRectF(
            place.left() + margin,
            place.bottom() - 2.4 * thickness,
            place.width() - 2.0 * margin,
            thickness,
        )
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(self._tokens.hairline))
        painter.drawRoundedRect(whole, 0.5 * thickness, 0.5 * thickness)
        used = QRectF(whole)
        used.setWidth(whole.width() * min(share, 1.0))
        painter.setBrush(QColor(self._colour if share <= 1.0 else self._tokens.missed))
        painter.drawRoundedRect(used, 0.5 * thickness, 0.5 * thickness)

    def _font(self, points: float, bold: bool) -> QFont:
        return plot_font(points * self._scale / _row(), bold)

    # what is heard -------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton:
            self.chosen.emit(self.line_at(event.position()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        hovered = self.line_at(event.position())
        if hovered != self._hovered:
            self._hovered = hovered
            self.setCursor(
                Qt.CursorShape.ArrowCursor if hovered is None else Qt.CursorShape.PointingHandCursor
            )
            self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._hovered = None
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        count = 0 if self.picture is None else len(self.picture.lines)
        key = event.key()
        if count and key in (*_FORWARD, *_BACKWARD):
            step = 1 if key in _FORWARD else -1
            first = 0 if step > 0 else count - 1
            self.chosen.emit(first if self.selected is None else (self.selected + step) % count)
        elif key == Qt.Key.Key_Escape and self.selected is not None:
            self.chosen.emit(None)
        elif key in (Qt.Key.Key_PageDown, Qt.Key.Key_PageUp):
            self.scroll_asked.emit(1 if key == Qt.Key.Key_PageDown else -1)
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        if event.type() is QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), plain_tip(self.words_at(QPointF(event.pos()))), self)
            return True
        return super().event(event)

    def words_at(self, place: QPointF) -> str:
        """Return what is to be said about a place: the flow of a line, or temperature and heat of a node."""
        number = self.line_at(place)
        if self.picture is not None and number is not None:
            return self.picture.lines[number].title
        box = self._box_at(place)
        return "" if box is None else box.words

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.resized.emit()


def _row() -> float:
    """Return the height of a row of small type. [px]"""
    return QFontMetricsF(plot_font(SMALL_PT)).height()
