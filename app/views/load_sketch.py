"""Paint the free-body sketch of a load: in millimetres on paper, and in the window beside its figures."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.chart_canvas import Canvas
from app.plain_tip import plain_tip
from app.theme import DASHED, SMALL_PT, Tokens, current_tokens
from core.charts.load_sketch import LoadSketch
from core.charts.sketch_shapes import (
    HEIGHT,
    WIDTH,
    ArcArrow,
    Arrow,
    Circle,
    Label,
    Point,
    Role,
    Shape,
    Stroke,
    Weight,
)
from core.numeric import FloatArray

WIDTHS_MM: Final[dict[Weight, float]] = {"thin": 0.2, "regular": 0.35, "heavy": 0.6}
_HEAD = 0.035  # length of an arrow head, in the sketch's frame
_ARROW_MM = 0.45
_ARC_STEP = math.radians(6.0)
_PIXELS_PER_MM = 96.0 / 25.4
_NARROWEST = 220  # below it the rows of type would meet [px]
_EMPTY = LoadSketch((), "")


def paint_sketch(
    painter: QPainter, sketch: LoadSketch, rect_mm: QRectF, tokens: Tokens, pt: float = SMALL_PT
) -> None:
    """Paint a sketch into the rectangle; the painter's unit must be one millimetre."""
    painter.save()
    _SketchPainter(Canvas(painter, tokens), rect_mm, pt).paint(sketch.shapes)
    painter.restore()


class _SketchPainter:
    """Places the sketch's frame in a rectangle, whole and undistorted, and draws shape by shape."""

    def __init__(self, canvas: Canvas, rect: QRectF, pt: float) -> None:
        self._canvas, self._pt = canvas, pt
        self._scale = min(rect.width() / WIDTH, rect.height() / HEIGHT)
        self._left = rect.center().x() - 0.5 * WIDTH * self._scale
        self._bottom = rect.center().y() + 0.5 * HEIGHT * self._scale

    def paint(self, shapes: tuple[Shape, ...]) -> None:
        for shape in shapes:
            if isinstance(shape, Stroke):
                self._stroke(shape)
            elif isinstance(shape, Circle):
                self._circle(shape)
            elif isinstance(shape, Arrow):
                self._arrow(shape)
            elif isinstance(shape, ArcArrow):
                self._arc(shape)
            else:
                self._label(shape)

    def _colour(self, role: Role) -> str:
        tokens = self._canvas.tokens
        return {
            "ink": tokens.ink,
            "soft": tokens.soft_ink,
            "faint": tokens.edge,
            "motion": tokens.focus,
            "force": tokens.ink,
        }[role]

    def _placed(self, points: tuple[Point, ...]) -> FloatArray:
        x, y = np.array(points, dtype=float).T
        return np.column_stack((self._left + self._scale * x, self._bottom - self._scale * y))

    def _stroke(self, stroke: Stroke) -> None:
        points = self._placed(stroke.points)
        if stroke.closed:
            self._canvas.area(points, self._canvas.tokens.pane)
            points = np.vstack((points, points[:2]))  # past the first corner, so that it is joined too
        dashes = DASHED if stroke.dashed else ()
        self._canvas.polyline(points, self._colour(stroke.role), WIDTHS_MM[stroke.weight], dashes)

    def _circle(self, circle: Circle) -> None:
        (x, y), colour = self._placed((circle.centre,))[0], self._colour(circle.role)
        ground = colour if circle.filled else self._canvas.tokens.pane
        radius = circle.radius * self._scale
        self._canvas.ring(float(x), float(y), radius, ground, colour, WIDTHS_MM[circle.weight])

    def _arrow(self, arrow: Arrow) -> None:
        (x1, y1), (x2, y2) = arrow.start, arrow.end
        length = math.hypot(x2 - x1, y2 - y1)
        head = min(_HEAD, 0.6 * length)
        angle = math.atan2(y2 - y1, x2 - x1)
        neck = (x2 - head * math.cos(angle), y2 - head * math.sin(angle))
        colour = self._colour(arrow.role)
        self._canvas.polyline(self._placed((arrow.start, neck)), colour, _ARROW_MM)
        self._head(arrow.end, angle, head, colour)

    def _arc(self, arc: ArcArrow) -> None:
        count = max(2, 1 + round(abs(arc.sweep) / _ARC_STEP))
        angles = np.linspace(arc.start, arc.start + arc.sweep, count)
        (cx, cy), r = arc.centre, arc.radius
        points = tuple((cx + r * math.cos(a), cy + r * math.sin(a)) for a in angles)
        colour = self._colour(arc.role)
        width = _ARROW_MM if arc.head else WIDTHS_MM["thin"]
        self._canvas.polyline(self._placed(points), colour, width)
        if arc.head:
            turn = 0.5 * math.pi if arc.sweep > 0.0 else -0.5 * math.pi
            self._head(points[-1], arc.start + arc.sweep + turn, _HEAD, colour)

    def _head(self, tip: Point, angle: float, length: float, colour: str) -> None:
        def back(side: float) -> Point:
            turned = angle + math.pi + side * math.radians(24.0)
            return tip[0] + length * math.cos(turned), tip[1] + length * math.sin(turned)

        self._canvas.area(self._placed((tip, back(1.0), back(-1.0))), colour)

    def _label(self, label: Label) -> None:
        x, y = self._placed((label.at,))[0]
        self._canvas.text(
            label.text, float(x), float(y), self._pt, self._colour(label.role), label.align, label.bold
        )


class LoadSketchView(QWidget):
    """Shows a sketch; what it shows is said in words to those who do not see it."""

    def __init__(self) -> None:
        super().__init__()
        self._sketch = _EMPTY
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("Sketch of what moves")

    @property
    def sketch(self) -> LoadSketch:
        """What is on show."""
        return self._sketch

    def show_sketch(self, sketch: LoadSketch) -> None:
        """Show another sketch."""
        if sketch != self._sketch:
            self._sketch = sketch
            self.setAccessibleDescription(sketch.description)
            self.setToolTip(plain_tip(sketch.description))
            self.update()

    def sizeHint(self) -> QSize:
        return QSize(264, self.heightForWidth(264))

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return round(max(width, _NARROWEST) * HEIGHT / WIDTH)

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.scale(_PIXELS_PER_MM, _PIXELS_PER_MM)
        rect = QRectF(0.0, 0.0, self.width() / _PIXELS_PER_MM, self.height() / _PIXELS_PER_MM)
        paint_sketch(painter, self._sketch, rect, current_tokens())
        painter.end()
