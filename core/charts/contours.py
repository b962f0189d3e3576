"""Contour lines of a map on a rectangular grid, by marching squares."""

from __future__ import annotations

import numpy as np

from core.charts.chart import Map
from core.numeric import BoolArray, FloatArray

# An end of a contour piece is named by the grid edge it lies on: (row, column, 0) runs along x from
# that node, (row, column, 1) along y. Neighbouring cells share the edge, so pieces join by name.
Edge = tuple[int, int, int]


def contour_lines(grid: Map, level: float) -> list[FloatArray]:
    """Return the lines of one level as polylines of (x, y), most points first.

    A closed line ends where it starts. Cells with a NaN corner are left out. Where a cell is a
    saddle, the mean of its corners decides which pairs join (common practice, no source).
    """
    above = grid.values >= level
    pieces: list[tuple[Edge, Edge]] = []
    for row, column in _crossed_cells(grid.values, above):
        pieces += _pairs(grid.values, above, level, row, column)
    chains = _chained(pieces)
    lines = [np.array([_crossing(grid, level, edge) for edge in chain]) for chain in chains]
    return sorted(lines, key=len, reverse=True)


def _crossed_cells(values: FloatArray, above: BoolArray) -> list[tuple[int, int]]:
    count = above[:-1, :-1].astype(int) + above[1:, :-1] + above[:-1, 1:] + above[1:, 1:]
    known = np.isfinite(values)
    whole = known[:-1, :-1] & known[1:, :-1] & known[:-1, 1:] & known[1:, 1:]
    rows, columns = np.nonzero((count > 0) & (count < 4) & whole)
    return list(zip(rows.tolist(), columns.tolist(), strict=True))


def _pairs(
    values: FloatArray, above: BoolArray, level: float, row: int, column: int
) -> list[tuple[Edge, Edge]]:
    """Return which edges of a cell the level joins."""
    south, north = (row, column, 0), (row + 1, column, 0)
    west, east = (row, column, 1), (row, column + 1, 1)
    a, b = bool(above[row, column]), bool(above[row, column + 1])
    d, c = bool(above[row + 1, column]), bool(above[row + 1, column + 1])
    crossed = [
        edge for edge, cut in ((south, a != b), (east, b != c), (north, c != d), (west, d != a)) if cut
    ]
    if len(crossed) == 2:
        return [(crossed[0], crossed[1])]
    centre = float(values[row : row + 2, column : column + 2].mean())
    if (centre >= level) == a:
        return [(south, east), (north, west)]
    return [(south, west), (north, east)]


def _chained(pieces: list[tuple[Edge, Edge]]) -> list[list[Edge]]:
    """Join pieces that share an edge into chains; open chains first, then the closed ones."""
    beside: dict[Edge, list[Edge]] = {}
    for first, second in pieces:
        beside.setdefault(first, []).append(second)
        beside.setdefault(second, []).append(first)
    ends = [edge for edge, others in beside.items() if len(others) == 1]
    chains = []
    for start in [*ends, *beside]:
        if not beside[start]:
            continue
        chain = [start]
        while beside[chain[-1]]:
            here = chain[-1]
            there = beside[here].pop()
            beside[there].remove(here)
            chain.append(there)
        chains.append(chain)
    return chains


def _crossing(grid: Map, level: float, edge: Edge) -> tuple[float, float]:
    """Return where the level crosses a grid edge, by linear interpolation."""
    row, column, along_y = edge
    far_row, far_column = (row + 1, column) if along_y else (row, column + 1)
    near, far = grid.values[row, column], grid.values[far_row, far_column]
    share = (level - near) / (far - near)
    x = grid.x[column] + share * (grid.x[far_column] - grid.x[column])
    y = grid.y[row] + share * (grid.y[far_row] - grid.y[row])
    return float(x), float(y)
