"""The plane: dragging a load point changes the project as the hand meant it; the result is what is drawn."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt, QTimer
from PySide6.QtGui import QImage, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.theme import DARK, LIGHT
from app.views.plot_axes import Lane
from app.views.speed_torque_plane import SpeedTorquePlane
from core.charts.chart import ChartError
from core.units import Kind
from tests.app.bench_views import CYCLE, Desk, backwards, project_of, same
from tests.app.mouse import Mouse

SHIFT = Qt.KeyboardModifier.ShiftModifier
CONTROL = Qt.KeyboardModifier.ControlModifier

AT = 30  # a speed at which the curves of both candidates have parted and the voltage is no limit yet


class Bench(Desk):
    """A desk with the plane on it."""

    def __init__(self, qtbot: QtBot, cycle: tuple[object, ...] = CYCLE) -> None:
        super().__init__(project_of(cycle))  # type: ignore[arg-type]
        self.preferences.dress()
        self.plane = SpeedTorquePlane(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.plane)
        self.plane.resize(800, 460)
        self.plane.show()
        qtbot.waitExposed(self.plane)
        self.wire(self.plane)
        QApplication.processEvents()
        self.mouse = Mouse(self.plane.canvas)

    @property
    def lane(self) -> Lane:
        lane = self.plane.lane
        assert lane is not None
        return lane

    def place(self, segment: int) -> QPointF:
        return QPointF(self.plane.points[segment].pos())

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    yield made
    made.preferences.theme = "light"


def test_points_stand_where_shaft_and_rotor_torque_put_them(bench: Bench) -> None:
    # T_shaft + J alpha at the faster end, by hand from the cycle: alpha = 200 rad/s in 0.1 s.
    alpha = 200.0 / 0.1
    torques = [0.04 + bench.rotor_inertia * alpha, 0.02, -0.03 - bench.rotor_inertia * alpha, 0.01]
    for segment, (speed, torque) in enumerate(zip([200.0, 200.0, 200.0, 0.0], torques, strict=True)):
        wanted = bench.lane.to_px(speed, torque)
        assert (bench.place(segment) - wanted).manhattanLength() < 1e-6


def test_vertical_drag_changes_the_torque_of_its_segment_alone(bench: Bench) -> None:
    start = bench.place(1)
    end = QPointF(start.x(), bench.lane.to_px(0.0, 0.05).y())
    bench.mouse.drag(start, end)
    assert bench.cycle[1].shaft_torque == pytest.approx(0.05, abs=1e-9)
    assert [s.shaft_torque for k, s in enumerate(bench.cycle) if k != 1] == [0.04, -0.03, 0.01]
    assert [s.speed_end for s in bench.cycle] == pytest.approx([200.0, 200.0, 0.0, 0.0])


def test_horizontal_drag_changes_the_speed_that_neighbours_share(bench: Bench) -> None:
    start = bench.place(0)
    end = QPointF(bench.lane.to_px(150.0, 0.0).x(), start.y())
    wanted = 0.04 + bench.rotor_inertia * 2000.0
    bench.mouse.drag(start, end)
    assert bench.cycle[0].speed_end == pytest.approx(150.0)
    assert bench.cycle[1].speed_start == bench.cycle[0].speed_end
    # The torque in the plane stays, so the shaft torque takes what the rotor no longer needs.
    assert bench.cycle[0].shaft_torque + bench.rotor_inertia * 1500.0 == pytest.approx(wanted, abs=1e-6)


def test_point_follows_the_hand_without_a_jump(bench: Bench) -> None:
    start = bench.place(1)
    held = start + QPointF(5.0, -4.0)
    bench.mouse.press(held)
    bench.mouse.drag_on(held, held + QPointF(40.0, -30.0))
    bench.settle()
    assert (bench.place(1) - (start + QPointF(40.0, -30.0))).manhattanLength() < 1.0
    bench.mouse.release(held + QPointF(40.0, -30.0))


def test_one_drag_is_one_undo_step_and_comes_back(bench: Bench) -> None:
    before = bench.document.project
    start = bench.place(1)
    bench.mouse.drag(start, start + QPointF(30.0, -40.0), steps=9)
    after = bench.document.project
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    assert bench.document.project == before
    bench.document.undo_stack.redo()
    assert bench.document.project == after


def test_escape_restores_and_the_rest_of_the_drag_does_nothing(bench: Bench) -> None:
    before, start = bench.document.project, bench.place(1)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start + QPointF(30.0, -40.0))
    assert bench.document.project != before
    QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Escape)
    assert bench.document.project == before
    assert bench.document.undo_stack.count() == 0
    bench.mouse.drag_on(start, start + QPointF(60.0, 10.0))
    bench.mouse.release(start + QPointF(60.0, 10.0))
    assert bench.document.project == before
    assert not bench.document.in_gesture


def test_shift_keeps_the_direction_that_moved_more(bench: Bench) -> None:
    start = bench.place(1)
    bench.mouse.drag(start, start + QPointF(9.0, -50.0), SHIFT)
    assert bench.cycle[1].speed_start == pytest.approx(200.0)
    assert bench.cycle[1].shaft_torque > 0.021
    torque, start = bench.cycle[1].shaft_torque, bench.place(1)
    bench.mouse.drag(start, start + QPointF(50.0, 9.0), SHIFT)
    assert bench.cycle[1].shaft_torque == pytest.approx(torque)
    assert bench.cycle[1].speed_start > 201.0


def test_control_snaps_to_round_numbers_of_the_display_unit(bench: Bench) -> None:
    start = bench.place(1)
    bench.mouse.drag(start, start + QPointF(33.3, -41.7), CONTROL)
    units = bench.preferences.display_units
    torque = units.to_display(bench.cycle[1].shaft_torque, Kind.TORQUE)
    speed = units.to_display(bench.cycle[1].speed_start, Kind.SPEED)
    assert torque == pytest.approx(round(torque, 1), abs=1e-6)
    assert speed == pytest.approx(5.0 * round(speed / 5.0), abs=1e-6)


@pytest.mark.parametrize("far", [QPointF(5000.0, -5000.0), QPointF(-5000.0, 5000.0)])
def test_drag_outside_stays_inside_the_axes(bench: Bench, far: QPointF) -> None:
    start = bench.place(1)
    speeds, torques = bench.lane.x_range, bench.lane.y_range
    bench.mouse.drag(start, start + far)
    assert speeds[0] - 1e-9 <= bench.cycle[1].speed_start <= speeds[1] + 1e-9
    assert torques[0] - 1e-9 <= bench.cycle[1].shaft_torque <= torques[1] + 1e-9


def test_axes_are_frozen_while_dragging(bench: Bench) -> None:
    start = bench.place(1)
    ranges = bench.lane.x_range, bench.lane.y_range
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start + QPointF(600.0, -600.0))
    bench.settle()
    assert (bench.lane.x_range, bench.lane.y_range) == ranges
    bench.mouse.release(start + QPointF(600.0, -600.0))
    bench.settle()
    top = bench.lane.to_px(0.0, bench.cycle[1].shaft_torque)
    assert bench.lane.frame.top() < top.y() < bench.lane.frame.bottom()


def test_a_cycle_that_turns_backwards_drags_alike(qtbot: QtBot) -> None:
    bench = Bench(qtbot, backwards(CYCLE))
    start = bench.place(1)
    end = bench.lane.to_px(150.0, 0.05)
    bench.mouse.drag(start, end)
    assert bench.cycle[1].speed_start == pytest.approx(-150.0)
    assert bench.cycle[1].shaft_torque == pytest.approx(-0.05)


def test_arrows_nudge_and_a_burst_is_one_undo_step(bench: Bench) -> None:
    bench.selection.select_segment(1)
    for _ in range(3):
        QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Up)
    small = bench.cycle[1].shaft_torque - 0.02
    assert small > 0.0
    bench.plane.nudges.end()
    QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Down, SHIFT)
    assert bench.cycle[1].shaft_torque == pytest.approx(0.02 + small - 10.0 * small / 3.0)
    bench.plane.nudges.end()
    assert bench.document.undo_stack.count() == 2
    QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Right)
    assert bench.cycle[1].speed_start > 200.0
    bench.plane.nudges.end()
    for _ in range(3):
        bench.document.undo_stack.undo()
    assert bench.cycle == CYCLE


def test_tab_walks_the_points_and_then_leaves(bench: Bench) -> None:
    bench.plane.canvas.setFocus()
    walked = []
    for _ in range(5):
        QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Tab)
        walked.append(bench.selection.segment)
    assert walked == [0, 1, 2, 3, 3]


def test_click_selects_and_hover_marks(bench: Bench, qtbot: QtBot) -> None:
    bench.mouse.click(bench.place(2))
    assert bench.selection.segment == 2
    assert bench.document.undo_stack.count() == 0
    bench.mouse.hover(bench.place(0) + QPointF(6.0, 6.0))
    qtbot.waitUntil(lambda: bench.selection.hovered_segment == 0)
    assert bench.plane.bubble.isVisible()
    assert "accelerate" in bench.plane.bubble.title
    bench.mouse.click(bench.lane.frame.bottomRight() - QPointF(5.0, 5.0))
    assert bench.selection.segment is None


def test_hover_reads_the_nearest_curve_in_trade_units(bench: Bench, qtbot: QtBot) -> None:
    assert bench.plane.result is not None
    chosen = bench.plane.result.chosen_candidate
    assert chosen is not None
    assert chosen.curves is not None
    assert chosen.curves.continuous is not None
    spot = bench.lane.to_px(float(chosen.curves.speed[AT]), float(chosen.curves.continuous[AT]))
    bench.mouse.hover(spot + QPointF(0.0, 4.0))
    qtbot.waitUntil(lambda: bench.plane.bubble.isVisible())
    assert bench.plane.bubble.title == "A continuous"
    units = bench.preferences.display_units
    assert units.format_quantity(float(chosen.curves.continuous[AT]), Kind.TORQUE) in bench.plane.bubble.words


def test_wheel_zooms_and_empty_ground_pans_without_an_edit(bench: Bench) -> None:
    home = bench.lane.x_range, bench.lane.y_range
    ground = bench.lane.to_px(0.75 * home[0][1], 0.8 * home[1][1])
    canvas = bench.plane.canvas
    wheel = QWheelEvent(
        ground,
        QPointF(canvas.viewport().mapToGlobal(ground.toPoint())),
        QPoint(),
        QPoint(0, 480),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas.viewport(), wheel)
    zoomed = bench.lane.x_range
    assert zoomed[1] - zoomed[0] < home[0][1] - home[0][0]
    bench.mouse.drag(ground, ground + QPointF(40.0, 20.0))
    assert bench.lane.x_range[0] < zoomed[0]
    assert bench.document.undo_stack.count() == 0
    QTest.keyClick(canvas, Qt.Key.Key_Home)
    assert (bench.lane.x_range, bench.lane.y_range) == home
    QApplication.sendEvent(canvas.viewport(), wheel)
    bench.mouse.double_click(ground)
    assert (bench.lane.x_range, bench.lane.y_range) == home


def test_theme_and_units_change_live(bench: Bench) -> None:
    curve = bench.plane.canvas.items_of_lanes[0].curves["0 continuous"]
    assert curve.pen.color().name().upper() == LIGHT.candidates[0].colour
    bench.preferences.theme = "dark"
    bench.settle()
    assert curve.pen.color().name().upper() == DARK.candidates[0].colour
    assert bench.plane.canvas.backgroundBrush().color().name().upper() == DARK.pane
    bench.preferences.display_units = bench.preferences.display_units.with_units({Kind.TORQUE: "N·m"})
    assert bench.lane.chart_panel.y.title == "torque N·m"


def test_what_is_drawn_is_the_result(bench: Bench) -> None:
    assert bench.plane.result is not None
    drawn = bench.plane.canvas.items_of_lanes[0].curves
    for candidate in bench.plane.result.candidates:
        assert candidate.curves is not None
        curve = drawn[f"{candidate.index} continuous"]
        reached = np.isfinite(curve.y_values)
        assert reached.sum() > 20
        assert same(curve.x_values, candidate.curves.speed)
        assert candidate.curves.continuous is not None
        assert same(curve.y_values[reached], candidate.curves.continuous[reached])


def test_a_curve_that_stays_is_not_touched_by_a_drag(bench: Bench) -> None:
    items = bench.plane.canvas.items_of_lanes[0]
    curve, kept = items.curves["0 continuous"], items._shown["0 continuous"]
    start = bench.place(1)
    bench.mouse.drag(start, start + QPointF(0.0, -30.0))
    bench.settle()
    assert items.curves["0 continuous"] is curve
    assert items._shown["0 continuous"] is kept


def test_another_document_under_the_hand_ends_the_drag(bench: Bench) -> None:
    start = bench.place(1)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start + QPointF(10.0, -30.0))
    other = project_of(CYCLE[:2])
    bench.document.open(other)
    bench.mouse.drag_on(start, start + QPointF(40.0, -50.0))
    bench.mouse.release(start + QPointF(40.0, -50.0))
    bench.settle()
    assert bench.document.project == other
    assert len(bench.plane.points) == 2


def test_empty_project_draws_and_takes_every_key(qtbot: QtBot) -> None:
    bench = Bench(qtbot, ())
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Tab, Qt.Key.Key_Home, Qt.Key.Key_Escape):
        QTest.keyClick(bench.plane.canvas, key)
    bench.mouse.drag(QPointF(200.0, 200.0), QPointF(300.0, 100.0))
    assert bench.document.undo_stack.count() == 0


def test_canvas_says_in_one_sentence_what_it_shows(bench: Bench) -> None:
    assert bench.plane.canvas.accessibleName() == "Speed–torque plane"
    words = bench.plane.canvas.accessibleDescription()
    assert "4 load points" in words
    start = bench.place(0)
    bench.mouse.drag(start, start - QPointF(0.0, 20.0))
    bench.settle()
    assert bench.plane.canvas.accessibleDescription() != words


def test_efficiency_map_comes_on_request_and_stays_through_a_drag(bench: Bench, qtbot: QtBot) -> None:
    bench.plane.map_button.click()
    assert bench.plane.headline.text().endswith("efficiency updating")
    qtbot.waitUntil(lambda: bench.lane.chart_panel.map is not None)
    grid = bench.lane.chart_panel.map
    start = bench.place(1)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, start - QPointF(0.0, 20.0))
    bench.settle()
    assert bench.lane.chart_panel.map is grid
    bench.mouse.release(start - QPointF(0.0, 20.0))
    bench.plane.map_button.click()
    assert bench.lane.chart_panel.map is None


def test_selected_criterion_lights_its_curves(bench: Bench) -> None:
    curves = bench.plane.canvas.items_of_lanes[0].curves
    before = {name: curve.pen.widthF() for name, curve in curves.items()}
    bench.selection.select_criterion("voltage_reserve", 0)
    wider = {name for name, curve in curves.items() if curve.pen.widthF() > before[name]}
    assert wider
    assert all("voltage limit" in name for name in wider)
    bench.selection.select_segment(None)
    assert before == {name: curve.pen.widthF() for name, curve in curves.items()}


def test_keys_for_a_segment_that_is_gone_do_nothing(bench: Bench) -> None:
    bench.selection.select_segment(7)
    for key in (Qt.Key.Key_Up, Qt.Key.Key_Right, Qt.Key.Key_Tab, Qt.Key.Key_Escape):
        QTest.keyClick(bench.plane.canvas, key)
    assert bench.cycle == CYCLE
    assert bench.document.undo_stack.count() == 0


def test_keyboard_focus_is_seen(bench: Bench) -> None:
    canvas = bench.plane.canvas

    def shown() -> bool:  # asked anew each time, as a checker of types would not
        return canvas.axes.focus_shown

    canvas.clearFocus()
    canvas.setFocus(Qt.FocusReason.TabFocusReason)
    assert shown()
    canvas.clearFocus()
    assert not shown()
    canvas.setFocus(Qt.FocusReason.MouseFocusReason)
    assert not shown()


def test_a_hidden_load_point_is_named_by_the_one_above(qtbot: QtBot) -> None:
    steady = CYCLE[1]
    bench = Bench(qtbot, (steady, steady, steady))
    assert [item.covers for item in bench.plane.points] == ["", "", "1 2"]
    bench.selection.select_segment(0)
    assert bench.plane.points[0].covers == "2 3"
    start = bench.place(0)
    bench.mouse.drag(start, start - QPointF(0.0, 60.0))
    bench.settle()
    assert [item.covers for item in bench.plane.points] == ["", "", "2"]


def test_a_chart_that_cannot_be_made_is_said_and_ends_nothing(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(_result: object) -> None:
        raise ChartError("axis torque: range must rise, got nan to nan")

    monkeypatch.setattr(bench.plane, "chart", refuse)
    bench.plane.hide()
    bench.plane.show()
    assert "cannot be drawn: axis torque" in bench.plane.headline.text()
    monkeypatch.undo()
    bench.plane.redraw()
    assert "cannot be drawn" not in bench.plane.headline.text()


def alike(one: QImage, other: QImage) -> bool:
    """Return whether two pictures look the same: clipping moves the smoothing of lines by a level or two."""
    levels = [np.frombuffer(image.constBits(), dtype=np.uint8).astype(np.int16) for image in (one, other)]
    return bool(np.abs(levels[0] - levels[1]).max() <= 4)


def test_what_a_drag_leaves_on_screen_is_the_whole_picture(bench: Bench, qtbot: QtBot) -> None:
    """Only what has changed is painted anew; painting everything again must not show anything else."""

    def on_screen() -> QImage:
        bench.settle()
        return bench.plane.screen().grabWindow(bench.plane.winId()).toImage()

    def painted_anew() -> QImage:
        bench.plane.canvas.viewport().update()
        return on_screen()

    first, start = on_screen(), bench.place(1)
    bench.mouse.press(start)
    for step in range(1, 9):
        bench.mouse.move(start + QPointF(-20.0 * step, -14.0 * step))
        bench.settle()
        assert alike(on_screen(), painted_anew()), step
    bench.mouse.release(start + QPointF(-160.0, -112.0))
    timers = bench.plane.findChildren(QTimer)  # the cursor tells again what is under it, labels are placed
    qtbot.waitUntil(lambda: not any(timer.isActive() for timer in timers))
    after = on_screen()  # with the labels, which have found new places
    assert alike(after, painted_anew())
    assert not alike(after, first)
