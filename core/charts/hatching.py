"""The lines of a hatching, as geometry: a pattern of a painter has no size in millimetres.

Lengths are millimetres (or any length).
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from core.charts.chart import Hatch
from core.numeric import FloatArray

SPACING = 1.4
DOT, DOT_GAP = 0.3, 1.1
"""A dot is a short stroke of a level line."""

_ANGLES: dict[Hatch, float] = {"rising": 45.0, "falling": -45.0, "level": 0.0, "dots": 0.0}


def hatch_lines(outline: FloatArray, hatch: Hatch, spacing: float = SPACING) -> list[FloatArray]:
    """Return the strokes, each of shape (2, 2), that hatch a polygon of shape (n, 2); y grows downwards.

    A plain area has none. The lines hang on the origin, so that those of neighbouring areas meet.

    >>> square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    >>> [line.round(6).tolist() for line in hatch_lines(square, "level", 1.25)]
    [[[0.0, 1.25], [2.0, 1.25]]]
    """
    if hatch == "plain" or len(outline) < 3:
        return []
    # on the page y grows downwards, so a line that rises for the reader turns the other way
    angle = math.radians(-_ANGLES[hatch])
    turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    level = outline @ turn  # in these axes every stroke is level
    first = math.floor(float(level[:, 1].min()) / spacing) + 1
    last = math.ceil(float(level[:, 1].max()) / spacing) - 1
    strokes: list[FloatArray] = []
    for row in range(first, last + 1):
        height = row * spacing
        for start, end in _inside(level, height):
            pieces = _dots(start, end, row) if hatch == "dots" else ((start, end),)
            strokes += [np.array([[a, height], [b, height]]) @ turn.T for a, b in pieces]
    return strokes


def _inside(polygon: FloatArray, height: float) -> Iterator[tuple[float, float]]:
    """Return the stretches of a level line within a polygon, by the even-odd rule."""
    before = np.roll(polygon, 1, axis=0)
    crosses = (before[:, 1] > height) != (polygon[:, 1] > height)
    a, b = before[crosses], polygon[crosses]
    x = np.sort(a[:, 0] + (height - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0]))
    yield from zip(x[0::2].tolist(), x[1::2].tolist(), strict=True)


def _dots(start: float, end: float, row: int) -> Iterator[tuple[float, float]]:
    """Return the dots of a line, every other line moved by half a step."""
    step = DOT + DOT_GAP
    offset = 0.5 * step if row % 2 else 0.0
    for number in range(math.ceil((start - offset) / step), math.floor((end - offset - DOT) / step) + 1):
        yield number * step + offset, number * step + offset + DOT
