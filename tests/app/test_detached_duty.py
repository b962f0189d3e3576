"""Dragging a derived duty takes it out of the load in the same gesture, and there is a way back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.table_models.segment_model import COLUMNS
from app.views.cycle_pages import CyclePages
from app.views.plot_canvas import PlotCanvas
from app.views.segment_table import SegmentTable
from app.views.speed_torque_plane import SpeedTorquePlane
from core.charts.cycle_chart import SPEED_LANE, TORQUE_LANE
from core.project import edits
from core.project.project import Project
from tests.app.bench_views import Desk
from tests.app.load_desk import LOAD, load_project, with_friction
from tests.app.mouse import Mouse

# Newton at the shaft, ratio 5: J alpha / i + friction / i = (1e-3 * 200 + 0.05) / 5; speed 40 * 5.
PULLING, RUNNING, FASTEST = 0.05, 0.01, 200.0


class Bench(Desk):
    """Plane and cycle over one document, as on the bench."""

    def __init__(self, qtbot: QtBot, project: Project) -> None:
        super().__init__(project)
        self.preferences.dress()
        self.plane = SpeedTorquePlane(self.document, self.selection, self.preferences)
        self.view = CyclePages(self.document, self.selection, self.preferences)
        for widget in (self.plane, self.view):
            self._put_up(qtbot, widget)
            self.recompute.result_ready.connect(widget.show_result)
        self.recompute.run_now()
        self.settle()
        self.canvas: PlotCanvas = self.view.cycle.canvas
        self.mouse = Mouse(self.canvas)

    def _put_up(self, qtbot: QtBot, widget: QWidget) -> None:
        qtbot.addWidget(widget)
        widget.resize(860, 440)
        widget.show()
        qtbot.waitExposed(widget)

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    def spot(self, lane: int, time: float, value: float) -> QPointF:
        return self.canvas.lanes[lane].to_px(time, value)

    @property
    def source(self) -> str:
        return self.document.project.application.duty_from


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot, load_project())
    yield made
    made.preferences.theme = "light"


def test_lanes_draw_the_derived_parts(bench: Bench) -> None:
    result = bench.view.cycle.result
    assert result is not None
    curve = bench.canvas.items_of_lanes[TORQUE_LANE].curves["torque"]
    assert curve.y_values.max() == pytest.approx(PULLING)
    assert len(curve.x_values) == len(result.duty.time)
    assert not bench.view.cycle.follow.isVisible()
    assert bench.view.to_load.isVisible()


def test_dragging_a_level_takes_the_duty_out_in_one_undo_step(bench: Bench) -> None:
    before = bench.document.project
    bench.mouse.drag(bench.spot(TORQUE_LANE, 0.4, RUNNING), bench.spot(TORQUE_LANE, 0.4, 0.03))
    bench.settle()
    assert bench.source == "segments"
    assert [s.name for s in bench.cycle] == ["accelerate", "run", "decelerate", "hold"]
    assert bench.cycle[1].shaft_torque == pytest.approx(0.03, rel=0.02)
    assert bench.cycle[0].shaft_torque == pytest.approx(PULLING)
    stack = bench.document.undo_stack
    assert stack.count() == 1
    assert stack.undoText() == "Take the duty out of the load, change torque"
    stack.undo()
    assert bench.document.project is before


def test_escape_restores_the_derived_duty(bench: Bench) -> None:
    before = bench.document.project
    start = bench.spot(SPEED_LANE, 0.2, FASTEST)
    bench.mouse.press(start)
    bench.mouse.drag_on(start, bench.spot(SPEED_LANE, 0.2, 120.0))
    bench.settle()
    assert bench.source == "segments"
    QTest.keyClick(bench.canvas, Qt.Key.Key_Escape)
    bench.settle()
    assert bench.document.project is before
    assert bench.document.undo_stack.count() == 0
    bench.mouse.release(start)
    assert not bench.view.cycle.taken_out.isVisible()


def test_corner_and_edge_of_a_derived_duty_move(bench: Bench) -> None:
    bench.mouse.drag(bench.spot(SPEED_LANE, 0.2, FASTEST), bench.spot(SPEED_LANE, 0.2, 120.0))
    assert bench.cycle[0].speed_end == pytest.approx(120.0, rel=0.02)
    assert bench.cycle[1].speed_start == bench.cycle[0].speed_end
    bench.document.undo_stack.undo()
    bench.settle()
    assert bench.source == "load"
    middle = bench.canvas.lanes[SPEED_LANE].frame.center().y()
    edge = QPointF(bench.spot(SPEED_LANE, 0.6, 0.0).x(), middle)
    bench.mouse.drag(edge, QPointF(bench.spot(SPEED_LANE, 0.5, 0.0).x(), middle))
    assert bench.cycle[1].duration == pytest.approx(0.3, abs=0.01)
    assert bench.document.undo_stack.undoText() == "Take the duty out of the load, move edge"


def test_dragging_a_load_point_keeps_it_under_the_hand(bench: Bench) -> None:
    lane = bench.plane.lane
    assert lane is not None
    start = QPointF(bench.plane.points[1].pos())
    end = start - QPointF(40.0, 30.0)
    Mouse(bench.plane.canvas).drag(start, end)
    bench.settle()
    assert bench.source == "segments"
    assert (bench.plane.points[1].pos() - end).manhattanLength() < 2.0
    speed, torque = lane.from_px(end.x(), end.y())
    assert bench.cycle[1].shaft_torque == pytest.approx(torque, rel=0.02)
    assert bench.cycle[1].speed_start == pytest.approx(speed, rel=0.02)
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == "Take the duty out of the load, move load point"


def test_arrow_keys_take_the_duty_out_too(bench: Bench) -> None:
    bench.selection.select_segment(1)
    QTest.keyClick(bench.canvas, Qt.Key.Key_Up)
    QTest.keyClick(bench.canvas, Qt.Key.Key_Up)
    bench.canvas.clearFocus()
    bench.settle()
    assert bench.source == "segments"
    assert bench.cycle[1].shaft_torque > RUNNING
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    bench.settle()
    ring = bench.plane.points[1].pos()
    QTest.keyClick(bench.plane.canvas, Qt.Key.Key_Up)
    bench.settle()
    assert bench.source == "segments"
    assert 0.0 < ring.y() - bench.plane.points[1].pos().y() < 10.0


def test_ghost_and_the_way_back(bench: Bench) -> None:
    assert bench.plane.ghosts == []
    bench.mouse.drag(bench.spot(TORQUE_LANE, 0.4, RUNNING), bench.spot(TORQUE_LANE, 0.4, 0.03))
    bench.settle()
    cycle = bench.view.cycle
    assert cycle.taken_out.isVisible()
    assert cycle.taken_out.text() == "taken out of the load"
    ghost = bench.canvas.items_of_lanes[TORQUE_LANE].curves["torque of the load"]
    assert ghost.y_values.max() == pytest.approx(PULLING)
    assert len(bench.plane.ghosts) == 4
    assert (bench.plane.ghosts[0].pos() - bench.plane.points[0].pos()).manhattanLength() < 2.0
    assert not bench.view.to_ratio.isVisible()
    cycle.follow.click()
    bench.settle()
    assert bench.source == "load"
    assert bench.document.undo_stack.undoText() == "Follow the load again"
    assert not cycle.taken_out.isVisible()
    assert "torque of the load" not in bench.canvas.items_of_lanes[TORQUE_LANE].curves
    assert bench.plane.ghosts == []


def test_the_ghost_follows_the_load(bench: Bench) -> None:
    bench.mouse.drag(bench.spot(TORQUE_LANE, 0.4, RUNNING), bench.spot(TORQUE_LANE, 0.4, 0.03))
    mechanism = with_friction(0.10).mechanism
    bench.document.edit(edits.change_load(bench.document.project, mechanism=mechanism), "more friction")
    bench.settle()
    ghost = bench.canvas.items_of_lanes[TORQUE_LANE].curves["torque of the load"]
    assert ghost.y_values.max() == pytest.approx((0.2 + 0.1) / 5.0)
    assert bench.cycle[0].shaft_torque == pytest.approx(PULLING), "the segments stay as they are"


def test_a_plain_project_shows_no_word_of_a_load(qtbot: QtBot) -> None:
    plain = edits.change_application(load_project(), load=None, duty_from="segments", duty_cycle=())
    bench = Bench(qtbot, plain)
    assert not bench.view.to_load.isVisible()
    assert not bench.view.to_ratio.isVisible()
    assert not bench.view.cycle.taken_out.isVisible()
    assert LOAD.motion  # the fixture itself has one


@pytest.fixture
def table(qtbot: QtBot) -> Iterator[tuple[Desk, SegmentTable]]:
    desk = Desk(load_project())
    desk.preferences.dress()
    view = SegmentTable(desk.document, desk.selection, desk.preferences)
    qtbot.addWidget(view)
    view.resize(800, 300)
    view.show()
    desk.wire(view)
    yield desk, view
    desk.preferences.theme = "light"


def test_table_shows_the_derived_segments_and_keeps_the_selection(
    table: tuple[Desk, SegmentTable],
) -> None:
    desk, view = table
    assert [segment.name for segment in view.model.segments] == ["accelerate", "run", "decelerate", "hold"]
    assert view.model.segments[1].shaft_torque == pytest.approx(RUNNING)
    assert "derived from the load" in view.source.text()
    desk.selection.select_segment(2)
    mechanism = with_friction(0.10).mechanism
    desk.document.edit(edits.change_load(desk.document.project, mechanism=mechanism), "more friction")
    QApplication.processEvents()
    assert desk.selection.segment == 2
    assert view.model.segments[1].shaft_torque == pytest.approx(2.0 * RUNNING)


def test_typing_in_a_derived_row_takes_the_duty_out(table: tuple[Desk, SegmentTable]) -> None:
    desk, view = table
    before = desk.document.project
    column = next(i for i, c in enumerate(COLUMNS) if c.field == "shaft_torque")
    assert view.model.setData(view.model.index(1, column), "30 mN*m")
    QApplication.processEvents()
    assert desk.document.project.application.duty_from == "segments"
    assert desk.cycle[1].shaft_torque == pytest.approx(0.03)
    assert desk.cycle[0].shaft_torque == pytest.approx(PULLING)
    assert desk.document.undo_stack.undoText().startswith(
        "Take the duty out of the load, change shaft torque"
    )
    desk.document.undo_stack.undo()
    assert desk.document.project is before
    QApplication.processEvents()
    assert view.model.segments[1].shaft_torque == pytest.approx(RUNNING)


def test_a_segment_inserted_into_a_derived_duty_stands_among_the_others(
    table: tuple[Desk, SegmentTable],
) -> None:
    desk, view = table
    desk.selection.select_segment(1)
    view.insert_after.trigger()
    assert len(desk.cycle) == 5
    assert desk.cycle[2].speed_start == pytest.approx(FASTEST)
