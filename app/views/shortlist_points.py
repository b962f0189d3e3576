"""Candidates as points over two objectives, painted from a picture of the many and marks for the few."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QImage, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from app.theme import current_tokens
from core.charts.ticks import nice_range, tick_labels, tick_values
from core.numeric import BoolArray, FloatArray, IntArray

_NEAR: Final = 9.0  # px from a point within which a click means it
_LEFT, _TOP, _RIGHT, _BOTTOM = 54.0, 22.0, 14.0, 36.0
_DOT, _RING = 2.8, 2.6  # px, radius of who meets all and of who does not
_MOST_MARKED: Final = 200  # selected candidates that get a ring of their own


class ShortlistPoints(QWidget):
    """Full points meet all, rings do not; a line joins the Pareto set, a wide ring marks what is selected."""

    picked = Signal(int)  # number of the candidate whose point was clicked

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._numbers: IntArray = np.zeros(0, dtype=np.int64)
        self._x: FloatArray = np.zeros(0)
        self._y: FloatArray = np.zeros(0)
        self._met: BoolArray = np.zeros(0, dtype=bool)
        self._best: BoolArray = np.zeros(0, dtype=bool)
        self._titles = ("", "")
        self._joined = True
        self._marked: IntArray = np.zeros(0, dtype=np.int64)
        self._many: tuple[object, QImage] | None = None  # the picture of the many, and what it was made of
        self._shown = 0
        self.setMinimumSize(220, 120)
        self.setAccessibleName("Two objectives of the candidates")

    def show_points(
        self,
        numbers: IntArray,
        x: FloatArray,
        y: FloatArray,
        met: BoolArray,
        best: BoolArray,
        titles: tuple[str, str],
        joined: bool = True,
    ) -> None:
        """Show candidates; the line through the best is drawn where it is a border of the two axes."""
        self._numbers, self._x, self._y, self._met, self._best = numbers, x, y, met, best
        self._titles, self._joined = titles, joined
        self._shown += 1
        self.update()

    def mark(self, numbers: IntArray) -> None:
        """Mark the candidates that are selected in the list."""
        self._marked = numbers[:_MOST_MARKED]
        self.update()

    def places(self) -> FloatArray:
        """Return where the points stand, shape (candidates, 2). [px]"""
        area = self._area()
        columns = []
        for values, low_px, high_px in (
            (self._x, area.left(), area.right()),
            (self._y, area.bottom(), area.top()),
        ):
            low, high = _range_of(values)
            columns.append(low_px + (values - low) / (high - low) * (high_px - low_px))
        return np.column_stack(columns)

    def _area(self) -> QRectF:
        return QRectF(self.rect()).adjusted(_LEFT, _TOP, -_RIGHT, -_BOTTOM)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if not self._numbers.size:
            return
        place = event.position()
        distance = np.hypot(*(self.places() - [place.x(), place.y()]).T)
        nearest = int(np.argmin(distance))
        if distance[nearest] <= _NEAR:
            self.picked.emit(int(self._numbers[nearest]))

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens = current_tokens()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(tokens.pane))
        if self._numbers.size:
            self._paint_axes(painter)
            places = self.places()
            painter.drawImage(0, 0, self._picture_of_many(places))
            self._paint_best(painter, places)
            self._paint_marked(painter, places)
        else:
            painter.setPen(QColor(tokens.soft_ink))
            painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "No candidate to show")
        painter.end()

    def _paint_axes(self, painter: QPainter) -> None:
        tokens, area = current_tokens(), self._area()
        side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        for values, across in ((self._x, True), (self._y, False)):
            low, high = _range_of(values)
            ticks = tick_values(low, high, 5)
            for tick, words in zip(ticks, tick_labels(ticks), strict=True):
                share = (tick - low) / (high - low)
                x, y = area.left() + share * area.width(), area.bottom() - share * area.height()
                start = QPointF(x, area.top()) if across else QPointF(area.left(), y)
                end = QPointF(x, area.bottom()) if across else QPointF(area.right(), y)
                painter.setPen(QPen(QColor(tokens.grid), 1.0))
                painter.drawLine(start, end)
                painter.setPen(QColor(tokens.soft_ink))
                if across:
                    box = QRectF(x - 30.0, area.bottom() + 2.0, 60.0, 16.0)
                    painter.drawText(box, Qt.AlignmentFlag.AlignHCenter, words)
                else:
                    painter.drawText(QRectF(0.0, y - 8.0, _LEFT - 6.0, 16.0), side, words)
        painter.setPen(QPen(QColor(tokens.hairline), 1.0))
        painter.drawRect(area)
        painter.setPen(QColor(tokens.ink))
        painter.drawText(QPointF(area.left(), area.top() - 7.0), self._titles[1])
        below = QRectF(area.left(), area.bottom() + 18.0, area.width(), 16.0)
        painter.drawText(below, Qt.AlignmentFlag.AlignRight, self._titles[0])

    def _picture_of_many(self, places: FloatArray) -> QImage:
        """Return all points but the best as a picture, made anew only when it would be another one."""
        scale, tokens = self.devicePixelRatioF(), current_tokens()
        size = QSize(round(self.width() * scale), round(self.height() * scale))
        basis = (self._shown, size.width(), size.height(), tokens.name)
        if self._many is None or self._many[0] != basis:
            alpha = np.zeros((size.height(), size.width()))
            rest = ~self._best
            _stamp(alpha, places[rest & ~self._met] * scale, _RING * scale, 1.1 * scale)
            _stamp(alpha, places[rest & self._met] * scale, _DOT * scale, None)
            image = _tinted(alpha, QColor(tokens.soft_ink))
            image.setDevicePixelRatio(scale)
            self._many = (basis, image)
        return self._many[1]

    def _paint_best(self, painter: QPainter, places: FloatArray) -> None:
        tokens, best = current_tokens(), places[self._best]
        met = self._met[self._best]
        painter.setPen(QPen(QColor(tokens.focus), 1.2))
        if self._joined:
            painter.drawPolyline([QPointF(x, y) for x, y in best[np.argsort(best[:, 0])].tolist()])
        # of many on one pixel one is drawn
        _, seen = np.unique(best.round().astype(np.int64), axis=0, return_index=True)
        for k in seen.tolist():
            painter.setBrush(QColor(tokens.focus if met[k] else tokens.pane))
            painter.drawEllipse(QPointF(*best[k].tolist()), 4.0, 4.0)

    def _paint_marked(self, painter: QPainter, places: FloatArray) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(current_tokens().ink), 2.0))
        for x, y in places[np.isin(self._numbers, self._marked)].tolist():
            painter.drawEllipse(QPointF(x, y), 7.0, 7.0)


def _stamp(alpha: FloatArray, places: FloatArray, radius: float, line: float | None) -> None:
    """Set a disc, or a ring of some line width, at places into a picture of opacities; the larger stays. [px]

    A place counts by its pixel, so each pixel is stamped once, whatever the number of points.
    """
    reach = int(np.ceil(radius + 1.0))
    height, width = alpha.shape
    inside = (places >= reach).all(axis=1) & (places < [width - reach - 1, height - reach - 1]).all(axis=1)
    columns, rows = places[inside].round().astype(np.int64).T
    taken: BoolArray = np.zeros(alpha.shape, dtype=bool)
    taken[rows, columns] = True
    y, x = np.nonzero(taken)
    for dy in range(-reach, reach + 1):
        for dx in range(-reach, reach + 1):
            away = float(np.hypot(dx, dy)) - radius
            away = away if line is None else abs(away) - 0.5 * line
            share = min(1.0, max(0.0, 0.5 - away))
            if share > 0.0:
                alpha[y + dy, x + dx] = np.maximum(alpha[y + dy, x + dx], share)


def _tinted(alpha: FloatArray, colour: QColor) -> QImage:
    """Return a picture of one colour with opacities, shape (height, width)."""
    height, width = alpha.shape
    opacity = alpha[..., np.newaxis]
    tint = np.array([colour.blueF(), colour.greenF(), colour.redF(), 1.0])
    pixels = np.ascontiguousarray((255.0 * opacity * tint).round().astype(np.uint8))
    image = QImage(pixels.tobytes(), width, height, 4 * width, QImage.Format.Format_ARGB32_Premultiplied)
    return image.copy()  # has pixels of its own, so the bytes may go


def _range_of(values: FloatArray) -> tuple[float, float]:
    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9 * max(abs(high), 1e-30):
        spread = max(0.1 * abs(high), 1e-6)
        return low - spread, high + spread
    return nice_range(low, high)
