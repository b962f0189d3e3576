"""Keep curves and areas inside the panel they belong to.

The geometry itself is cut, because not every output format honours a clip set on the painter, and
because a value far outside the axis must not reach a file as a coordinate of 1e12.
"""

from __future__ import annotations

import numpy as np

from core.charts.label_placement import Box
from core.numeric import BoolArray, FloatArray


def clip_polyline(points: FloatArray, box: Box) -> list[FloatArray]:
    """Return the parts of a polyline, shape (n, 2), that lie in the box; NaN breaks the line.

    Each segment is cut by the parametric method of Liang and Barsky (ACM Transactions on
    Graphics 3(1), 1984; from memory), all segments at once.

    >>> [p.tolist() for p in clip_polyline(np.array([[-1.0, 0.5], [3.0, 0.5]]), Box(0.0, 0.0, 2.0, 1.0))]
    [[[0.0, 0.5], [2.0, 0.5]]]
    """
    if len(points) < 2:
        return []
    start, step = points[:-1], np.diff(points, axis=0)
    enter, leave = np.zeros(len(start)), np.ones(len(start))
    for axis, low, high in ((0, box.left, box.right), (1, box.top, box.bottom)):
        for p, q in ((-step[:, axis], start[:, axis] - low), (step[:, axis], high - start[:, axis])):
            with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
                t = q / p
            enter = np.where(p < 0.0, np.maximum(enter, t), enter)
            leave = np.where(p > 0.0, np.minimum(leave, t), leave)
            leave = np.where((p == 0.0) & (q < 0.0), -1.0, leave)
    seen = np.isfinite(step).all(axis=1) & (enter <= leave)
    begin = start + enter[:, None] * step
    # The end is taken from the data where nothing is cut, so that joints meet exactly.
    finish = np.where((leave < 1.0)[:, None], start + leave[:, None] * step, points[1:])
    return _joined(begin, finish, seen, joins=seen[1:] & seen[:-1] & (leave[:-1] >= 1.0) & (enter[1:] <= 0.0))


def _joined(begin: FloatArray, finish: FloatArray, seen: BoolArray, joins: BoolArray) -> list[FloatArray]:
    """Chain the cut segments into as few polylines as possible."""
    kept = np.flatnonzero(seen)
    if not len(kept):
        return []
    breaks = [k for k in kept if k == 0 or not joins[k - 1]]
    runs = []
    for number, first in enumerate(breaks):
        until = breaks[number + 1] if number + 1 < len(breaks) else kept[-1] + 1
        last = kept[kept < until][-1]
        runs.append(np.vstack([begin[first : first + 1], finish[first : last + 1]]))
    return runs


def clip_polygon(points: FloatArray, box: Box) -> FloatArray:
    """Return the polygon, shape (n, 2), cut by the box: Sutherland and Hodgman, 1974; from memory.

    >>> square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    >>> sorted(clip_polygon(square, Box(0.0, 0.0, 5.0, 5.0)).tolist())
    [[0.0, 0.0], [0.0, 1.0], [1.0, 0.0], [1.0, 1.0]]
    """
    for axis, sign, edge in (
        (0, 1.0, box.left),
        (0, -1.0, box.right),
        (1, 1.0, box.top),
        (1, -1.0, box.bottom),
    ):
        if not len(points):
            break
        points = _cut(points, sign * (points[:, axis] - edge))
    return points


def _cut(points: FloatArray, inside: FloatArray) -> FloatArray:
    """Keep the side of a polygon on which the signed distance `inside` is not negative."""
    kept: list[FloatArray] = []
    for index in range(len(points)):
        before, here = inside[index - 1], inside[index]
        if (before < 0.0) != (here < 0.0):
            kept.append(points[index - 1] + (points[index] - points[index - 1]) * before / (before - here))
        if here >= 0.0:
            kept.append(points[index])
    return np.array(kept).reshape(-1, 2)


def sampled(points: FloatArray, spacing: float) -> FloatArray:
    """Return points at most about `spacing` apart along a polyline, its ends included."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    if along[-1] <= 0.0:
        return points[:1]
    places = np.linspace(0.0, along[-1], 2 + int(along[-1] / spacing))
    return np.column_stack([np.interp(places, along, points[:, 0]), np.interp(places, along, points[:, 1])])
