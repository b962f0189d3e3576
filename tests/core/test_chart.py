"""Charts as values, ticks, clipping, contours and label places: limit cases and plain geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.charts.chart import Axis, Band, Chart, ChartError, Map, Panel, Point, Rule, Series, Span, Style
from core.charts.clipping import clip_polygon, clip_polyline, sampled
from core.charts.contours import contour_lines
from core.charts.label_placement import Box, LabelPlacer
from core.charts.ticks import fixed_text, nice_range, nice_step, tick_labels, tick_values
from core.errors import AmpturnError

UNIT_BOX = Box(0.0, 0.0, 1.0, 1.0)


def _chart(panel: Panel, x: Axis | None = None) -> Chart:
    return Chart("Title", "at 25 °C", x or Axis("time", "s"), (panel,), "One sentence.")


class TestTicks:
    @pytest.mark.parametrize(
        ("low", "high", "most", "expected"),
        [
            (0.0, 8000.0, 8, ("0", "1000", "2000", "3000", "4000", "5000", "6000", "7000", "8000")),
            (-0.6, 0.6, 6, ("−0.6", "−0.4", "−0.2", "0.0", "0.2", "0.4", "0.6")),
            (0.07, 0.13, 3, ("0.08", "0.10", "0.12")),
            (118.0, 122.0, 4, ("118", "119", "120", "121", "122")),
        ],
    )
    def test_labels_as_a_person_would_write_them(
        self, low: float, high: float, most: int, expected: tuple[str, ...]
    ) -> None:
        assert tick_labels(tick_values(low, high, most)) == expected

    @given(
        low=st.floats(-1e6, 1e6),
        span=st.floats(1e-3, 1e6),
        most=st.integers(1, 20),
    )
    def test_ticks_are_evenly_spaced_inside_and_few(self, low: float, span: float, most: int) -> None:
        high = low + span
        values = tick_values(low, high, most)
        step = nice_step(high - low, most)
        assert len(values) <= most + 1
        assert all(low - 1e-6 * step <= value <= high + 1e-6 * step for value in values)
        assert np.allclose(np.diff(values), step, rtol=1e-6)
        mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
        assert any(math.isclose(mantissa, allowed) for allowed in (1.0, 2.0, 5.0))

    @given(low=st.floats(-1e6, 1e6), span=st.floats(0.0, 1e6))
    def test_a_nice_range_holds_the_data(self, low: float, span: float) -> None:
        bottom, top = nice_range(low, low + span)
        slack = 1e-6 * (top - bottom)
        assert bottom < top
        assert bottom - slack <= low
        assert low + span <= top + slack

    def test_no_data_gives_a_drawable_range(self) -> None:
        assert nice_range(math.nan, math.nan) == (0.0, 1.0)

    def test_the_minus_is_a_minus_and_zero_has_none(self) -> None:
        assert fixed_text(-3.0, 1) == "\u22123.0"
        assert fixed_text(-0.0, 0) == "0"


class TestChart:
    def test_arrays_are_copied_and_locked(self) -> None:
        x = np.array([0.0, 1.0])
        series = Series("a", x, np.array([1.0, math.nan]))
        x[0] = 99.0
        assert series.x[0] == 0.0
        with pytest.raises(ValueError, match="read-only"):
            series.y[0] = 2.0

    @pytest.mark.parametrize(
        ("x", "y", "words"),
        [
            ([0.0, math.nan], [1.0, 1.0], r"series a: x\[1\] must be finite, got nan"),
            ([0.0, 1.0], [1.0, math.inf], r"series a: y\[1\] must be finite, got inf"),
            ([0.0, 1.0], [1.0], "as many y as x values, got 1 for 2"),
        ],
    )
    def test_a_series_refuses_what_cannot_be_drawn(self, x: list[float], y: list[float], words: str) -> None:
        with pytest.raises(ChartError, match=words):
            Series("a", np.array(x), np.array(y))

    def test_a_table_is_not_a_row(self) -> None:
        with pytest.raises(ChartError, match=r"one row of numbers, got shape \(2, 2\)"):
            Series("a", np.zeros((2, 2)), np.zeros((2, 2)))

    def test_other_parts_refuse_too(self) -> None:
        row = np.array([0.0, 1.0])
        with pytest.raises(ChartError, match="range must rise"):
            Axis("speed", range=(2.0, 2.0))
        with pytest.raises(ChartError, match="candidate must be 0 to 3"):
            Style("candidate", 4)
        with pytest.raises(ChartError, match="point p"):
            Point("p", math.nan, 0.0)
        with pytest.raises(ChartError, match="before it starts"):
            Span(2.0, 1.0)
        with pytest.raises(ChartError, match="band b"):
            Band("b", row, row, np.zeros(3))
        with pytest.raises(ChartError, match="values must be 2 rows by 2 columns"):
            Map("m", row, row, np.zeros((3, 2)), (), ())
        with pytest.raises(AmpturnError, match="summary"):
            Chart("Title", "", Axis("x"), (Panel(Axis("y")),), " ")

    def test_units_turn_around_exactly(self) -> None:
        fahrenheit = Axis("temperature", "°F", scale=1.8, offset=32.0)
        assert fahrenheit.shown(100.0) == pytest.approx(212.0)
        assert fahrenheit.si(212.0) == pytest.approx(100.0)

    def test_ranges_come_from_all_data_in_round_shown_units(self) -> None:
        panel = Panel(
            Axis("torque", "mN·m", 1000.0),
            series=(Series("a", np.array([0.0, 2.0]), np.array([0.001, math.nan])),),
            points=(Point("1", 4.7, -0.046),),
            rules=(Rule(0.118),),
        )
        assert panel.y_range() == pytest.approx((-0.060, 0.120))
        assert _chart(panel).x_range() == pytest.approx((0.0, 5.0))

    def test_an_empty_panel_still_has_axes(self) -> None:
        panel = Panel(Axis("torque"))
        assert panel.y_range() == (0.0, 1.0)
        assert _chart(panel).x_range() == (0.0, 1.0)


class TestClipping:
    def test_a_line_leaving_and_returning_becomes_two(self) -> None:
        tent = np.array([[0.0, 0.5], [0.5, 1.5], [1.0, 0.5]])
        parts = [part.tolist() for part in clip_polyline(tent, UNIT_BOX)]
        assert parts == [[[0.0, 0.5], [0.25, 1.0]], [[0.75, 1.0], [1.0, 0.5]]]

    def test_nan_breaks_and_outside_vanishes(self) -> None:
        line = np.array([[0.1, 0.1], [0.2, 0.1], [math.nan, math.nan], [0.4, 0.1], [0.5, 0.1]])
        assert [len(part) for part in clip_polyline(line, UNIT_BOX)] == [2, 2]
        assert clip_polyline(line + 3.0, UNIT_BOX) == []

    def test_a_line_inside_comes_back_unchanged(self) -> None:
        line = np.column_stack([np.linspace(0.0, 1.0, 50), np.linspace(0.2, 0.9, 50) ** 2])
        (part,) = clip_polyline(line, UNIT_BOX)
        assert np.array_equal(part, line)

    @given(st.lists(st.tuples(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9)), min_size=2, max_size=12))
    def test_nothing_drawn_is_ever_outside(self, points: list[tuple[float, float]]) -> None:
        for part in clip_polyline(np.array(points), UNIT_BOX):
            assert part.min() >= -1e-6
            assert part.max() <= 1.0 + 1e-6

    def test_a_polygon_larger_than_the_box_becomes_the_box(self) -> None:
        large = np.array([[-9.0, -9.0], [9.0, -9.0], [9.0, 9.0], [-9.0, 9.0]])
        cut = clip_polygon(large, UNIT_BOX)
        x, y = cut[:, 0], cut[:, 1]
        area = 0.5 * abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))
        assert area == pytest.approx(1.0)

    def test_samples_are_close_together_and_keep_the_ends(self) -> None:
        samples = sampled(np.array([[0.0, 0.0], [3.0, 4.0]]), 0.5)
        assert samples[0].tolist() == [0.0, 0.0]
        assert samples[-1].tolist() == [3.0, 4.0]
        assert np.hypot(*np.diff(samples, axis=0).T).max() <= 0.5


class TestContours:
    def test_the_level_of_a_cone_is_a_closed_circle(self) -> None:
        axis = np.linspace(-1.0, 1.0, 81)
        grid = Map("cone", axis, axis, np.hypot(*np.meshgrid(axis, axis)), (0.5,), ("0.5",))
        (circle,) = contour_lines(grid, 0.5)
        assert circle[0].tolist() == circle[-1].tolist()
        # Linear interpolation of sqrt(x^2 + y^2) errs by at most h^2 / (8 r), here 1.6e-4.
        assert np.allclose(np.hypot(circle[:, 0], circle[:, 1]), 0.5, atol=2e-4)

    def test_the_level_of_a_plane_is_one_straight_line(self) -> None:
        x, y = np.linspace(0.0, 4.0, 9), np.linspace(0.0, 2.0, 5)
        grid = Map("plane", x, y, np.add.outer(y, x), (3.0,), ("3",))
        (line,) = contour_lines(grid, 3.0)
        assert np.allclose(line.sum(axis=1), 3.0)
        assert sorted(line[[0, -1], 0].tolist()) == [1.0, 3.0]

    def test_a_saddle_gives_two_lines_and_nan_gives_none(self) -> None:
        row = np.array([0.0, 1.0])
        saddle = Map("saddle", row, row, np.array([[1.0, 0.0], [0.0, 1.0]]), (0.6,), ("",))
        assert len(contour_lines(saddle, 0.6)) == 2
        unknown = Map("nan", row, row, np.array([[1.0, 0.0], [0.0, math.nan]]), (0.6,), ("",))
        assert contour_lines(unknown, 0.6) == []


class TestLabels:
    def test_labels_of_one_place_do_not_overlap(self) -> None:
        placer = LabelPlacer(Box(0.0, 0.0, 100.0, 60.0))
        placer.keep_clear(Box(48.0, 28.0, 4.0, 4.0))
        placed = [placer.place(name, (20.0, 3.0), [(50.0, 30.0)], gap=3.0) for name in "abcd"]
        assert all(one.free for one in placed)
        for index, one in enumerate(placed):
            for other in placed[index + 1 :]:
                assert one.box.shared_area(other.box) <= 0.02 * one.box.area

    def test_a_label_leaves_the_curve_free_where_it_can(self) -> None:
        placer = LabelPlacer(Box(0.0, 0.0, 100.0, 60.0))
        placer.add_curve("other", sampled(np.array([[0.0, 25.0], [100.0, 25.0]]), 0.5))
        placed = placer.place("own", (20.0, 3.0), [(50.0, 28.0)], gap=0.8)
        assert not placed.on_curve
        assert placed.box.top > 25.0

    def test_a_label_without_room_says_so(self) -> None:
        placer = LabelPlacer(Box(0.0, 0.0, 10.0, 3.0))
        assert not placer.place("long", (20.0, 3.0), [(5.0, 1.5)]).free
