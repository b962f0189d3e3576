"""What a sketch is made of: strokes, circles, arrows and labels, without a device and without colours.

A sketch stands in a frame `WIDTH` wide and `HEIGHT` high, x to the right and y up, so that angles are as
in the trade; the painter fits the frame into its rectangle. A role is given its colour by the theme.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from core.records import dataclass

Point = tuple[float, float]
Role = Literal["ink", "soft", "faint", "motion", "force"]
Weight = Literal["thin", "regular", "heavy"]
Align = Literal["left", "centre", "right"]

WIDTH, HEIGHT = 1.5, 1.15
_ARC_PARTS = 16


@dataclass(frozen=True, slots=True)
class Stroke:
    """Connected straight lines; `closed` joins the ends and lays a ground under the figure."""

    points: tuple[Point, ...]
    role: Role = "ink"
    weight: Weight = "regular"
    closed: bool = False
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle with a ground of its own; `filled` with the colour of its role."""

    centre: Point
    radius: float
    role: Role = "ink"
    weight: Weight = "regular"
    filled: bool = False


@dataclass(frozen=True, slots=True)
class Arrow:
    """A straight arrow from start to end."""

    start: Point
    end: Point
    role: Role = "force"


@dataclass(frozen=True, slots=True)
class ArcArrow:
    """A part of a circle, angles in rad from the x axis, with a head at its end where `head`."""

    centre: Point
    radius: float
    start: float
    sweep: float
    role: Role = "soft"
    head: bool = False


@dataclass(frozen=True, slots=True)
class Label:
    """One row of words; `at` is its left end, centre or right end, halfway up its capitals."""

    at: Point
    text: str
    role: Role = "ink"
    align: Align = "left"
    bold: bool = False


Shape = Stroke | Circle | Arrow | ArcArrow | Label


@dataclass(frozen=True, slots=True)
class Direction:
    """A unit vector and the one to its left, to draw along an incline.

    Examples
    --------
    >>> up = Direction(math.pi / 2.0)
    >>> tuple(round(value, 9) for value in up.at((1.0, 1.0), 0.5))
    (1.0, 1.5)
    """

    angle: float

    def at(self, origin: Point, along: float, left: float = 0.0) -> Point:
        """Return the point this far along and this far to the left of an origin."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return origin[0] + along * c - left * s, origin[1] + along * s + left * c

    def box(self, middle: Point, length: float, height: float) -> tuple[Point, ...]:
        """Return the corners of a box that lies along the direction."""
        half, rise = 0.5 * length, 0.5 * height
        corners = ((-half, -rise), (half, -rise), (half, rise), (-half, rise))
        return tuple(self.at(middle, along, left) for along, left in corners)


def outline(shape: Shape) -> tuple[Point, ...]:
    """Return points that bound a shape; of a label its anchor alone."""
    if isinstance(shape, Stroke):
        return shape.points
    if isinstance(shape, Arrow):
        return shape.start, shape.end
    if isinstance(shape, Label):
        return (shape.at,)
    (x, y), r = shape.centre, shape.radius
    if isinstance(shape, Circle):
        return (x - r, y - r), (x + r, y + r)
    angles = [shape.start + shape.sweep * i / _ARC_PARTS for i in range(_ARC_PARTS + 1)]
    return tuple((x + r * math.cos(angle), y + r * math.sin(angle)) for angle in angles)


def fitted(shapes: tuple[Shape, ...], low: Point, high: Point) -> tuple[Shape, ...]:
    """Return shapes made to fit a box: moved to its middle, and smaller where they must be, never larger.

    Examples
    --------
    >>> fitted((Circle((3.0, 0.0), 2.0),), (0.0, 0.0), (2.0, 1.0))
    (Circle(centre=(1.0, 0.5), radius=0.5, role='ink', weight='regular', filled=False),)
    """
    points = [point for shape in shapes for point in outline(shape)]
    left, right = min(x for x, _ in points), max(x for x, _ in points)
    bottom, top = min(y for _, y in points), max(y for _, y in points)
    room = (high[0] - low[0]) / max(right - left, 1e-9), (high[1] - low[1]) / max(top - bottom, 1e-9)
    scale = min(1.0, *room)

    def placed(point: Point) -> Point:
        return (
            0.5 * (low[0] + high[0]) + scale * (point[0] - 0.5 * (left + right)),
            0.5 * (low[1] + high[1]) + scale * (point[1] - 0.5 * (bottom + top)),
        )

    return tuple(_moved(shape, placed, scale) for shape in shapes)


def _moved(shape: Shape, placed: Callable[[Point], Point], scale: float) -> Shape:
    if isinstance(shape, Stroke):
        return replace(shape, points=tuple(placed(point) for point in shape.points))
    if isinstance(shape, Arrow):
        return replace(shape, start=placed(shape.start), end=placed(shape.end))
    if isinstance(shape, Label):
        return replace(shape, at=placed(shape.at))
    return replace(shape, centre=placed(shape.centre), radius=scale * shape.radius)
