"""The ratio study: it comes when the hand rests, is read at the cursor, and a click takes a ratio."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.ratio_view import TAKEN_OUT, RatioView
from core.evaluation.detached import detached
from core.project import edits
from core.project.transmission import Transmission
from tests.app.bench_views import Desk
from tests.app.load_desk import GEAR, load_project, with_friction
from tests.app.mouse import Mouse


class Bench(Desk):
    """A desk with the ratio study on it."""

    def __init__(self, qtbot: QtBot, gear: Transmission | None = GEAR) -> None:
        super().__init__(load_project(gear=gear))
        self.preferences.dress()
        self.qtbot = qtbot
        self.view = RatioView(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.view)
        self.view.resize(860, 440)
        self.view.show()
        qtbot.waitExposed(self.view)
        self.wire(self.view)
        self.mouse = Mouse(self.view.canvas)

    def wait_for_study(self) -> None:
        result = self.view.result
        assert result is not None
        self.qtbot.waitUntil(lambda: not self.view.is_late(self.view.result), timeout=20_000)  # type: ignore[arg-type]
        for _ in range(4):
            QApplication.processEvents()

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    def at(self, ratio: float) -> QPointF:
        lane = self.view.canvas.lanes[2]
        return QPointF(lane.to_px(math.log(ratio), 0.0).x(), lane.frame.center().y())

    @property
    def ratio(self) -> float:
        candidate = self.document.project.chosen_candidate
        assert candidate is not None
        assert candidate.transmission is not None
        return candidate.transmission.ratio


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    made.wait_for_study()
    yield made
    made.preferences.theme = "light"


def test_it_says_updating_until_the_study_is_there(qtbot: QtBot) -> None:
    bench = Bench(qtbot)
    bench.settle()
    assert bench.view.canvas.accessibleDescription() == "updating"
    bench.wait_for_study()
    assert len(bench.view.canvas.lanes) == 6
    assert "updating" not in bench.view.headline.text()


def test_cursor_reads_the_lanes(bench: Bench) -> None:
    bench.mouse.hover(bench.at(8.0))
    QTest.qWait(40)
    cursor = bench.view.cursor_line
    assert cursor.title == "8 : 1, available"
    # 40 rad/s times 8
    speed = cursor.numbers[2].replace("\u00a0", " ")
    assert speed == "3060 rpm"
    bench.mouse.hover(QPointF(2.0, 2.0))
    QTest.qWait(40)
    assert cursor.title.startswith("5 : 1")


def test_a_click_takes_the_ratio_that_can_be_had_nearby_as_one_undo_step(bench: Bench) -> None:
    bench.mouse.click(bench.at(8.0) + QPointF(6.0, 0.0))
    bench.settle()
    assert bench.ratio == 8.0
    assert bench.document.undo_stack.count() == 1
    assert bench.document.undo_stack.undoText() == "Take the ratio 8 : 1"
    bench.mouse.click(bench.at(6.2))
    bench.settle()
    assert bench.ratio == pytest.approx(6.2, rel=0.02)
    bench.document.undo_stack.undo()
    bench.document.undo_stack.undo()
    assert bench.ratio == 5.0


def test_another_ratio_needs_no_new_study(bench: Bench) -> None:
    study = bench.view.study
    bench.mouse.click(bench.at(8.0))
    bench.settle()
    assert bench.view.study is study
    assert "updating" not in bench.view.headline.text()
    now = bench.view.canvas.items_of_lanes[0].curves["now"]
    assert now.x_values[0] == pytest.approx(math.log(8.0))


def test_other_inputs_ask_for_a_new_one_when_the_hand_rests(bench: Bench) -> None:
    old = bench.view.study
    mechanism = with_friction(0.10).mechanism
    bench.document.begin_gesture()
    bench.document.edit(edits.change_load(bench.document.project, mechanism=mechanism), "more friction")
    QTest.qWait(250)
    assert bench.view.study is old, "nothing is computed within a gesture"
    assert bench.view.headline.text().endswith("updating")
    bench.document.end_gesture()
    bench.wait_for_study()
    assert bench.view.study is not old
    assert old is not None
    assert bench.view.study is not None
    assert (bench.view.study.scan.values["rms_torque"] > old.scan.values["rms_torque"]).any()


def test_keys_go_from_ratio_to_ratio_and_enter_takes_one(bench: Bench) -> None:
    bench.view.canvas.setFocus()
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Right)
    assert bench.view.pointed == 8.0
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Left)
    assert bench.view.pointed == 5.0
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Left)
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Return)
    assert bench.ratio == 3.0
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Escape)
    assert bench.view.pointed is None


def test_friction_range_is_said_below(bench: Bench) -> None:
    assert bench.view.friction.isVisible()
    assert bench.view.friction.text().startswith("Low friction, 0.5 times: torque reserve")


def test_a_direct_drive_gets_a_transmission(qtbot: QtBot) -> None:
    bench = Bench(qtbot, gear=None)
    bench.wait_for_study()
    bench.mouse.click(bench.at(3.0))
    bench.settle()
    assert bench.ratio == pytest.approx(3.0, rel=0.02)


def test_a_duty_taken_out_of_the_load_has_no_study(bench: Bench) -> None:
    result = bench.view.result
    assert result is not None
    bench.document.edit(detached(bench.document.project, result.duty), "take out")
    bench.settle()
    assert bench.view.canvas.accessibleDescription() == TAKEN_OUT
    bench.mouse.click(QPointF(400.0, 200.0))
    bench.document.edit(edits.follow_load(bench.document.project), "follow")
    bench.wait_for_study()
    assert len(bench.view.canvas.lanes) == 6


def test_each_slice_is_short(bench: Bench, qtbot: QtBot) -> None:
    """Between two slices the event loop turns: a timer of the window is served many times meanwhile."""
    served: list[int] = []
    mechanism = with_friction(0.02).mechanism
    bench.document.edit(edits.change_load(bench.document.project, mechanism=mechanism), "less friction")
    bench.settle()
    qtbot.waitUntil(lambda: bench.view._work.running, timeout=5_000)
    while bench.view._work.running:
        QApplication.processEvents()
        served.append(1)
    assert len(served) > 10
