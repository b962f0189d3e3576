"""Moving about in a chart, and typing what could be dragged: middle button, two fingers, double click."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QNativeGestureEvent, QPointingDevice
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.views.cycle_lanes import ends_of
from app.views.cycle_view import CyclePlot
from app.views.plot_canvas import PlotCanvas
from core.charts.cycle_chart import SPEED_LANE, TORQUE_LANE
from tests.app.mouse import Mouse
from tests.app.whole_window import open_window


def pinch(canvas: PlotCanvas, place: QPointF, by: float) -> None:
    event = QNativeGestureEvent(
        Qt.NativeGestureType.ZoomNativeGesture,
        QPointingDevice.primaryPointingDevice(),
        2,
        place,
        place,
        QPointF(canvas.viewport().mapToGlobal(place.toPoint())),
        by,
        QPointF(),
    )
    QApplication.sendEvent(canvas.viewport(), event)


def test_two_fingers_zoom_about_their_place_and_never_out_of_the_chart(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    plane = window.bench.plane
    lane = plane.lane
    assert lane is not None
    home = lane.x_range, lane.y_range
    place = lane.frame.center()
    under = lane.from_px(place.x(), place.y())
    pinch(plane.canvas, place, 0.25)
    assert lane.x_range[1] - lane.x_range[0] == pytest.approx((home[0][1] - home[0][0]) / 1.25)
    assert lane.from_px(place.x(), place.y()) == pytest.approx(under)
    for _ in range(4):
        pinch(plane.canvas, place, -0.4)
    assert (lane.x_range, lane.y_range) == home


def test_middle_button_moves_the_chart_also_from_a_load_point(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    plane = window.bench.plane
    lane = plane.lane
    assert lane is not None
    home, before = lane.x_range, window.document.project
    point = QPointF(plane.points[0].pos())
    pinch(plane.canvas, point, 1.0)
    zoomed, point = lane.x_range, QPointF(plane.points[0].pos())
    step = -30.0
    Mouse(plane.canvas, Qt.MouseButton.MiddleButton).drag(point, point + QPointF(step, 0.0))
    shift = -step / lane.frame.width() * (zoomed[1] - zoomed[0])
    assert lane.x_range == pytest.approx((zoomed[0] + shift, zoomed[1] + shift))
    assert plane.points[0].pos().x() == pytest.approx(point.x() + step)
    assert window.document.project is before
    assert lane.x_range[1] <= home[1]


def test_double_click_on_a_load_point_types_its_torque(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    plane, table = window.bench.plane, window.bench.table
    Mouse(plane.canvas).double_click(QPointF(plane.points[1].pos()))
    editor = table.table.findChild(QLineEdit)
    assert editor is not None
    assert editor.isVisible()
    assert editor.accessibleName() == "shaft torque of segment 2"
    QTest.keyClicks(editor, "42 mN*m")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    duty = window.document.project.application.duty_cycle
    assert duty[1].shaft_torque == pytest.approx(0.042)
    assert window.document.undo_stack.count() == 1


@pytest.mark.parametrize(
    ("what", "cell"),
    [
        ("level", "shaft torque of segment 2"),
        ("corner", "speed at end of segment 1"),
        ("edge", "duration of segment 2"),
    ],
)
def test_double_click_in_the_cycle_types_what_is_under_it(qtbot: QtBot, what: str, cell: str) -> None:
    window, _ = open_window(qtbot)
    cycle = window.bench.cycle.findChild(CyclePlot)
    assert cycle is not None
    assert cycle.result is not None
    duty, lanes = cycle.result.duty, cycle.canvas.lanes
    torque, speed = lanes[TORQUE_LANE], lanes[SPEED_LANE]
    (_, corner), (second, _) = ends_of(duty)[0], ends_of(duty)[1]
    middle = float(duty.edges[1] + duty.edges[2]) / 2.0
    place = {
        "level": torque.to_px(middle, float(duty.shaft_torque[second])),
        "corner": speed.to_px(float(duty.time[corner]), float(duty.speed[corner])),
        "edge": QPointF(torque.to_px(float(duty.edges[2]), 0.0).x(), torque.frame.bottom() - 2.0),
    }[what]
    Mouse(cycle.canvas).double_click(place)
    editor = window.bench.table.table.findChild(QLineEdit)
    assert editor is not None
    assert editor.accessibleName() == cell
    assert window.document.undo_stack.count() == 0
