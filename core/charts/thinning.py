"""Curves with no more points than a picture can show, so that a long trace is drawn like a short one."""

from __future__ import annotations

import numpy as np

from core.numeric import FloatArray

# From so many points to a pixel on, a column of pixels is drawn from its first, lowest, highest and last.
_DENSE = 8.0


def finite_runs(points: FloatArray) -> list[FloatArray]:
    """Return the pieces of a line between its gaps, each of shape (n, 2).

    >>> [run.tolist() for run in finite_runs(np.array([[0.0, 1.0], [1.0, np.nan], [2.0, 3.0]]))]
    [[[0.0, 1.0]], [[2.0, 3.0]]]
    """
    known = np.isfinite(points).all(axis=1)
    if known.all():
        return [points] if len(points) else []
    borders = np.flatnonzero(np.diff(np.concatenate(([False], known, [False])).astype(np.int8)))
    return [points[start:end] for start, end in zip(borders[::2], borders[1::2], strict=True)]


def thinned(points: FloatArray) -> FloatArray:
    """Return a line whose x rises with no more than four points to a pixel; others stay as they are.

    Nothing that can be seen is lost: each column of pixels keeps its extremes and its ends.
    """
    count = len(points)
    if count < 64 or np.any(np.diff(points[:, 0]) < 0.0):
        return points
    width = float(points[-1, 0] - points[0, 0])
    if count < _DENSE * max(width, 8.0):
        return points
    column = np.floor(points[:, 0] - points[0, 0]).astype(np.int64)
    first = np.flatnonzero(np.diff(column, prepend=-1))
    last = np.append(first[1:], count) - 1
    order = np.lexsort((points[:, 1], column))
    kept = np.unique(np.concatenate((first, last, order[first], order[last])))
    fewer: FloatArray = points[kept]
    return fewer
