"""The geometry of lines with arrows: paths through points, in pixels."""

from __future__ import annotations

import itertools
import math

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF


def distance(points: list[QPointF], place: QPointF) -> float:
    """Return how far a place is from connected lines. [px]"""
    least = math.inf
    for a, b in itertools.pairwise(points):
        along = b - a
        square = QPointF.dotProduct(along, along)
        share = 0.0 if square == 0.0 else QPointF.dotProduct(place - a, along) / square
        foot = a + along * min(max(share, 0.0), 1.0)
        least = min(least, math.hypot(place.x() - foot.x(), place.y() - foot.y()))
    return least


def _unit(a: QPointF, b: QPointF) -> QPointF:
    length = math.hypot(b.x() - a.x(), b.y() - a.y())
    return (b - a) * (1.0 / length) if length > 0.0 else QPointF(0.0, 0.0)


def shortened(points: list[QPointF], by: float) -> list[QPointF]:
    """Return a path without its last bit, where the head of its arrow stands."""
    return [*points[:-1], points[-1] - _unit(points[-2], points[-1]) * by]


def rounded(points: list[QPointF], radius: float) -> QPainterPath:
    """Return a path through points with round corners."""
    path = QPainterPath(points[0])
    for before, corner, after in zip(points, points[1:], points[2:], strict=False):
        path.lineTo(corner - _unit(before, corner) * radius)
        path.quadTo(corner, corner + _unit(corner, after) * radius)
    path.lineTo(points[-1])
    return path


def arrow_head(points: list[QPointF], length: float, half: float) -> QPolygonF:
    """Return the head of the arrow at the end of a path."""
    tip, way = points[-1], _unit(points[-2], points[-1])
    foot, aside = tip - way * length, QPointF(-way.y(), way.x())
    return QPolygonF([tip, foot + aside * half, foot - aside * half])
