"""A thinned curve looks like the whole one: ends and extremes of every column of pixels stay."""

from __future__ import annotations

import numpy as np

from core.charts.thinning import finite_runs, thinned


def test_each_column_keeps_its_ends_and_extremes() -> None:
    x = np.linspace(0.0, 300.0, 60_001)
    y = np.sin(x) * 100.0
    y[31_234] = 900.0  # a spike of one sample
    fewer = thinned(np.column_stack((x, y)))
    assert len(fewer) <= 4 * 302
    assert fewer[0].tolist() == [x[0], y[0]]
    assert fewer[-1].tolist() == [x[-1], y[-1]]
    assert fewer[:, 1].max() == 900.0
    for column in (0, 17, 156, 299):
        whole = y[(x >= column) & (x < column + 1)]
        part = fewer[(fewer[:, 0] >= column) & (fewer[:, 0] < column + 1), 1]
        assert (part.min(), part.max()) == (whole.min(), whole.max())


def test_short_lines_and_lines_that_turn_back_stay_as_they_are() -> None:
    few = np.column_stack((np.linspace(0.0, 300.0, 400), np.zeros(400)))
    assert thinned(few) is few
    round_trip = np.column_stack((np.sin(np.linspace(0.0, 6.0, 9000)), np.zeros(9000)))
    assert thinned(round_trip) is round_trip


def test_gaps_part_a_line() -> None:
    points = np.array([[0.0, np.nan], [1.0, 1.0], [2.0, 2.0], [3.0, np.nan], [4.0, 4.0]])
    assert [run.tolist() for run in finite_runs(points)] == [[[1.0, 1.0], [2.0, 2.0]], [[4.0, 4.0]]]
    assert finite_runs(np.full((2, 2), np.nan)) == []
