"""The cycle: levels, corners and edges change the project as the hand meant it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.theme import DARK
from app.views.cycle_pages import CyclePages
from app.views.plot_axes import Lane
from core.charts.cycle_chart import SPEED_LANE, TEMPERATURE_LANE, TORQUE_LANE
from tests.app.bench_views import CYCLE, Desk, project_of, same
from tests.app.mouse import Mouse


class Bench(Desk):
    """A desk with the cycle on it."""

    def __init__(self, qtbot: QtBot, cycle: tuple[object, ...] = CYCLE) -> None:
        super().__init__(project_of(cycle))  # type: ignore[arg-type]
        self.preferences.dress()
        self.view = CyclePages(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.view)
        self.view.resize(800, 420)
        self.view.show()
        qtbot.waitExposed(self.view)
        self.wire(self.view)
        self.settle()
        self.canvas = self.view.cycle.canvas
        self.mouse = Mouse(self.canvas)

    def lane(self, number: int) -> Lane:
        return self.canvas.lanes[number]

    def spot(self, number: int, time: float, value: float) -> QPointF:
        return self.lane(number).to_px(time, value)

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    @property
    def durations(self) -> list[float]:
        return [segment.duration for segment in self.cycle]


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    yield made
    made.preferences.theme = "light"


def test_torque_level_moves_up_and_down_only(bench: Bench) -> None:
    start = bench.spot(TORQUE_LANE, 0.2, 0.02)
    end = bench.spot(TORQUE_LANE, 0.25, 0.03)
    bench.mouse.drag(start, end)
    assert bench.cycle[1].shaft_torque == pytest.approx(0.03)
    assert bench.durations == pytest.approx([0.1, 0.2, 0.1, 0.1])
    assert bench.document.undo_stack.count() == 1


def test_speed_corner_moves_the_shared_speed(bench: Bench) -> None:
    bench.mouse.drag(bench.spot(SPEED_LANE, 0.1, 200.0), bench.spot(SPEED_LANE, 0.1, 120.0))
    assert bench.cycle[0].speed_end == pytest.approx(120.0)
    assert bench.cycle[1].speed_start == bench.cycle[0].speed_end
    assert bench.cycle[1].speed_end == 200.0


def test_level_of_constant_speed_moves_both_ends_and_their_neighbours(bench: Bench) -> None:
    bench.mouse.drag(bench.spot(SPEED_LANE, 0.2, 200.0), bench.spot(SPEED_LANE, 0.2, 120.0))
    speeds = [(s.speed_start, s.speed_end) for s in bench.cycle]
    assert np.array(speeds) == pytest.approx(np.array([(0, 120), (120, 120), (120, 0), (0, 0)]), abs=1e-9)


def test_inner_edge_keeps_the_cycle_time(bench: Bench) -> None:
    middle = bench.lane(SPEED_LANE).frame.center().y()
    start = QPointF(bench.spot(SPEED_LANE, 0.1, 0.0).x(), middle)
    end = QPointF(bench.spot(SPEED_LANE, 0.15, 0.0).x(), middle)
    bench.mouse.drag(start, end)
    assert bench.durations == pytest.approx([0.15, 0.15, 0.1, 0.1])
    assert sum(bench.durations) == pytest.approx(0.5)
    bench.document.undo_stack.undo()
    assert bench.cycle == CYCLE
    bench.document.undo_stack.redo()
    assert bench.durations == pytest.approx([0.15, 0.15, 0.1, 0.1])


def test_inner_edge_stops_at_its_neighbours(bench: Bench) -> None:
    middle = bench.lane(SPEED_LANE).frame.center().y()
    start = QPointF(bench.spot(SPEED_LANE, 0.3, 0.0).x(), middle)
    bench.mouse.drag(start, start + QPointF(3000.0, 0.0))
    assert sum(bench.durations) == pytest.approx(0.5)
    assert 0.0 < bench.durations[2] < 0.001


def test_last_edge_changes_the_cycle_time_and_may_leave_the_picture(bench: Bench) -> None:
    lane = bench.lane(SPEED_LANE)
    start = QPointF(lane.to_px(0.5, 0.0).x(), lane.frame.center().y())
    end = QPointF(lane.to_px(0.6, 0.0).x(), start.y())
    bench.mouse.drag(start, end)
    assert bench.durations == pytest.approx([0.1, 0.2, 0.1, 0.2])
    bench.settle()
    assert bench.lane(SPEED_LANE).x_range == pytest.approx((0.0, 0.6))


def test_axes_stay_while_dragging(bench: Bench) -> None:
    ranges = [(lane.x_range, lane.y_range) for lane in bench.canvas.lanes]
    start = bench.spot(TORQUE_LANE, 0.2, 0.02)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start - QPointF(0.0, 900.0))
    bench.settle()
    assert [(lane.x_range, lane.y_range) for lane in bench.canvas.lanes] == ranges
    bench.mouse.release(start - QPointF(0.0, 900.0))


def test_escape_restores_with_an_empty_history(bench: Bench) -> None:
    start = bench.spot(TORQUE_LANE, 0.2, 0.02)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start - QPointF(0.0, 20.0))
    assert bench.cycle != CYCLE
    QTest.keyClick(bench.canvas, Qt.Key.Key_Escape)
    bench.mouse.release(start)
    assert bench.cycle == CYCLE
    assert bench.document.undo_stack.count() == 0


def test_arrows_change_torque_and_end_of_the_selected_segment(bench: Bench) -> None:
    bench.selection.select_segment(1)
    QTest.keyClick(bench.canvas, Qt.Key.Key_Up)
    QTest.keyClick(bench.canvas, Qt.Key.Key_Up)
    QTest.keyClick(bench.canvas, Qt.Key.Key_Right)
    bench.view.cycle.nudges.end()
    assert bench.cycle[1].shaft_torque > 0.02
    assert bench.cycle[1].duration > 0.2
    assert sum(bench.durations) == pytest.approx(0.5)
    assert bench.document.undo_stack.count() == 1


def test_selection_is_shared(bench: Bench) -> None:
    place = bench.spot(TEMPERATURE_LANE, 0.35, 0.0)
    bench.mouse.click(QPointF(place.x(), bench.lane(TEMPERATURE_LANE).frame.center().y()))
    assert bench.selection.segment == 2
    shaded = [span.shaded for span in bench.lane(TORQUE_LANE).chart_panel.spans]
    assert shaded == [False, False, True, False]
    bench.selection.select_segment(0)
    assert bench.lane(TORQUE_LANE).chart_panel.spans[0].shaded


def test_hover_marks_the_segment(bench: Bench, qtbot: QtBot) -> None:
    frame = bench.lane(TORQUE_LANE).frame
    bench.mouse.hover(QPointF(bench.spot(TORQUE_LANE, 0.35, 0.0).x(), frame.top() + 2.0))
    qtbot.waitUntil(lambda: bench.selection.hovered_segment == 2)


def test_what_is_drawn_is_the_result(bench: Bench) -> None:
    result = bench.view.cycle.result
    assert result is not None
    torque, speed, temps = (items.curves for items in bench.canvas.items_of_lanes)
    assert same(torque["torque"].x_values, result.duty.time)
    assert same(torque["torque"].y_values, result.duty.shaft_torque)
    assert same(speed["speed"].y_values, result.duty.speed)
    allowance = result.project.application.requirements.hot_spot_allowance
    for candidate in result.candidates:
        assert candidate.cycle is not None
        drawn = temps[f"{candidate.index} winding"]
        winding = candidate.cycle.temps[:, candidate.cycle.nodes.index("winding")]
        assert same(drawn.x_values, candidate.cycle.time)
        assert drawn.y_values == pytest.approx(winding + allowance)


def test_from_cold_has_its_own_axis_and_the_way_back(bench: Bench) -> None:
    bench.view.words.buttons["from cold"].click()
    bench.settle()
    assert bench.view.current_page() is bench.view.heating_up
    lane = bench.view.heating_up.canvas.lanes[0]
    assert lane.x_axis.unit == "min"
    result = bench.view.heating_up.result
    assert result is not None
    for candidate in result.candidates:
        assert candidate.heating_up is not None
        curve = bench.view.heating_up.canvas.items_of_lanes[0].curves[f"{candidate.index} winding highest"]
        column = candidate.heating_up.nodes.index("winding")
        allowance = result.project.application.requirements.hot_spot_allowance
        assert curve.y_values == pytest.approx(candidate.heating_up.highest[:, column] + allowance)
    bench.view.words.buttons["cycle"].click()
    assert bench.view.current_page() is bench.view.cycle


def test_theme_changes_live(bench: Bench) -> None:
    bench.preferences.theme = "dark"
    bench.settle()
    curve = bench.canvas.items_of_lanes[TORQUE_LANE].curves["torque"]
    assert curve.pen.color().name().upper() == DARK.ink


def test_summary_is_kept_current(bench: Bench) -> None:
    words = bench.canvas.accessibleDescription()
    assert words.startswith("4 segments in 500 ms")
    bench.mouse.drag(bench.spot(TORQUE_LANE, 0.2, 0.02), bench.spot(TORQUE_LANE, 0.2, 0.04))
    bench.settle()
    assert bench.canvas.accessibleDescription() != words


def test_empty_project_draws_and_takes_every_key(qtbot: QtBot) -> None:
    bench = Bench(qtbot, ())
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Right, Qt.Key.Key_Tab, Qt.Key.Key_Home, Qt.Key.Key_Escape):
        QTest.keyClick(bench.canvas, key)
    bench.mouse.drag(QPointF(200.0, 80.0), QPointF(300.0, 100.0))
    assert bench.document.undo_stack.count() == 0


def test_settling_time_is_left_out_of_a_drag_and_comes_after_it(bench: Bench, qtbot: QtBot) -> None:
    headline = bench.view.cycle.headline
    qtbot.waitUntil(lambda: "settles after" in headline.text())
    start = bench.spot(TORQUE_LANE, 0.2, 0.02)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start - QPointF(0.0, 10.0))
    bench.settle()
    assert headline.text().endswith("settling time updating")
    result = bench.view.cycle.result
    assert result is not None
    assert result.chosen_candidate is not None
    assert result.chosen_candidate.heating_up_later is not None
    assert not result.chosen_candidate.heating_up_later.known
    bench.mouse.release(start - QPointF(0.0, 10.0))
    qtbot.waitUntil(lambda: "settles after" in headline.text())
