"""The items that draw numbers in a lane: lines with gaps, and areas.

They hold their points in pixels of the canvas and are mapped anew when a number, the frame or a range
changes, so that painting has nothing left to compute.
"""

from __future__ import annotations

import ctypes

import numpy as np
import shiboken6
from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF
from PySide6.QtWidgets import QGraphicsItem, QStyleOptionGraphicsItem, QWidget

from app.theme import WASH_OF_HATCH
from core.charts.thinning import finite_runs, thinned
from core.numeric import FloatArray

# Half of the widest pen and a pixel of antialiasing: what a line covers beyond its points.
_BLEED = 4.0
# How far outside the picture a point may lie: far enough to keep slopes, near enough for the painter.
_FARTHEST_PX = 1e5
_EMPTY: FloatArray = np.zeros(0)
# A line with more points is painted in one go: to make that many stretches would take as long.
_MOST_STRETCHES = 16


def polygon_of(points: FloatArray) -> QPolygonF:
    """Return points of shape (n, 2) as Qt's own polygon, copied in one go."""
    polygon = QPolygonF()
    count = len(points)
    if count:
        polygon.resize(count)
        address = shiboken6.getCppPointer(polygon.data())[0]
        row = np.ascontiguousarray(points, dtype=np.float64)  # a QPointF is two doubles
        ctypes.memmove(address, row.ctypes.data, row.nbytes)
    return polygon


class LineItem(QGraphicsItem):
    """A curve of a lane; NaN in y is a gap.

    Qt smooths a polyline wider than a pixel over its whole rectangle. A few stretches one by one take a fifth
    of that and look the same, since their square ends fill the corners.
    """

    def __init__(self, parent: QGraphicsItem) -> None:
        super().__init__(parent)
        self.x_values: FloatArray = _EMPTY
        self.y_values: FloatArray = _EMPTY
        self.pen = QPen()
        self._runs: list[QPolygonF] = []
        self._stretches: list[QLineF] = []
        self._polylines: list[QPolygonF] = []
        self._rect = QRectF()

    def set_pen(self, pen: QPen) -> None:
        """Change how it is drawn."""
        if pen != self.pen:
            self.pen = QPen(pen)
            if pen.style() is Qt.PenStyle.SolidLine:
                self.pen.setCapStyle(Qt.PenCapStyle.SquareCap)
            self._split()
            self.update()

    def set_line(self, x: FloatArray, y: FloatArray, pixels: FloatArray) -> None:
        """Change what is drawn: the numbers, and where they stand on the canvas, shape (n, 2)."""
        self.x_values, self.y_values = x, y
        self.prepareGeometryChange()
        runs = finite_runs(np.clip(pixels, -_FARTHEST_PX, _FARTHEST_PX))
        self._runs = [polygon_of(thinned(run)) for run in runs]
        self._rect = QRectF()
        for run in self._runs:
            self._rect |= run.boundingRect().adjusted(-_BLEED, -_BLEED, _BLEED, _BLEED)
        self._split()
        self.update()

    def _split(self) -> None:
        """Choose how each run is painted: a dash goes on over the corners of a polyline only."""
        longest = _MOST_STRETCHES if self.pen.style() is Qt.PenStyle.SolidLine else 2
        self._polylines = [run for run in self._runs if run.size() > longest]
        short = [run for run in self._runs if run.size() <= longest]
        self._stretches = [QLineF(run.at(k), run.at(k + 1)) for run in short for k in range(run.size() - 1)]

    def boundingRect(self) -> QRectF:
        return self._rect

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        painter.setPen(self.pen)
        painter.drawLines(self._stretches)
        for run in self._polylines:
            painter.drawPolyline(run)


class AreaItem(QGraphicsItem):
    """A shaded area of a lane, without an edge of its own."""

    def __init__(self, parent: QGraphicsItem) -> None:
        super().__init__(parent)
        self.brush = QBrush()
        self._outline = QPolygonF()

    def set_brush(self, brush: QBrush) -> None:
        """Change colour or pattern."""
        if brush != self.brush:
            self.brush = brush
            self.update()

    def set_outline(self, pixels: FloatArray) -> None:
        """Change the outline, in pixels of the canvas, shape (n, 2)."""
        self.prepareGeometryChange()
        self._outline = polygon_of(np.clip(pixels, -_FARTHEST_PX, _FARTHEST_PX))
        self.update()

    def boundingRect(self) -> QRectF:
        return self._outline.boundingRect()

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        painter.setPen(Qt.PenStyle.NoPen)
        if self.brush.style() is not Qt.BrushStyle.SolidPattern:
            wash = QColor(self.brush.color())
            wash.setAlphaF(WASH_OF_HATCH * wash.alphaF())
            painter.setBrush(wash)  # a pattern alone leaves the area too pale beside its neighbour
            painter.drawPolygon(self._outline)
        painter.setBrush(self.brush)
        painter.drawPolygon(self._outline)
