"""The load page: lanes and table show the result, linked with the other views."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.cycle_pages import CyclePages
from app.views.load_view import LoadView
from core.charts.load_chart import POSITION_LANE, SPEED_LANE, TERMS_LANE
from core.project import edits
from tests.app.bench_views import Desk
from tests.app.load_desk import load_project, with_friction
from tests.app.mouse import Mouse


class Bench(Desk):
    """A desk with the cycle view turned to the load."""

    def __init__(self, qtbot: QtBot) -> None:
        super().__init__(load_project())
        self.preferences.dress()
        self.pages = CyclePages(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.pages)
        self.pages.resize(860, 440)
        self.pages.show()
        qtbot.waitExposed(self.pages)
        self.wire(self.pages)
        self.pages.to_load.click()
        self.settle()
        self.mouse = Mouse(self.view.canvas)

    @property
    def view(self) -> LoadView:
        return self.pages.load

    def settle(self) -> None:
        for _ in range(4):
            QApplication.processEvents()

    def spot(self, lane: int, time: float, value: float = 0.0) -> QPointF:
        return self.view.canvas.lanes[lane].to_px(time, value)

    def row(self, cause: str) -> list[str]:
        grid = self.view.table.grid
        for row in range(grid.rowCount()):
            cells = [grid.item(row, column) for column in range(grid.columnCount())]
            words = [cell.text() for cell in cells if cell is not None]
            if words[0] == cause:
                return words
        raise AssertionError(f"no row for {cause}")


@pytest.fixture
def bench(qtbot: QtBot) -> Iterator[Bench]:
    made = Bench(qtbot)
    yield made
    made.preferences.theme = "light"


def test_lanes_are_the_load_of_the_result(bench: Bench) -> None:
    assert bench.pages.current_page() is bench.view
    course = None if bench.view.result is None else bench.view.result.load
    assert course is not None
    items = bench.view.canvas.items_of_lanes
    assert items[TERMS_LANE].curves["sum"].y_values.max() == pytest.approx(0.25)
    assert items[SPEED_LANE].curves["speed"].y_values.max() == pytest.approx(40.0)
    # 0.1 s and 0.4 s and 0.1 s at 40 rad/s
    assert items[POSITION_LANE].curves["position"].y_values.max() == pytest.approx(24.0)


def test_a_segment_is_selected_and_hovered_as_in_the_cycle(bench: Bench) -> None:
    bench.mouse.click(bench.spot(SPEED_LANE, 0.4, 10.0))
    assert bench.selection.segment == 1
    shaded = [span.shaded for span in bench.view.canvas.lanes[TERMS_LANE].chart_panel.spans]
    assert shaded == [False, True, False, False]
    bench.mouse.hover(bench.spot(TERMS_LANE, 0.7))
    QTest.qWait(40)
    assert bench.selection.hovered_segment == 2
    assert bench.view.bubble.isVisible()
    assert "acceleration −0.200" in bench.view.bubble.words
    bench.selection.select_segment(3)
    assert bench.view.canvas.lanes[TERMS_LANE].chart_panel.spans[3].shaded
    QTest.keyClick(bench.view.canvas, Qt.Key.Key_Backtab)
    assert bench.selection.segment == 2


def test_table_says_peak_and_share_of_the_selected_segment(bench: Bench) -> None:
    assert bench.view.table.title.text() == "Whole cycle"
    bench.selection.select_segment(0)
    assert bench.view.table.title.text() == "1 accelerate"
    # J alpha = 1e-3 * 200 = 0.2 of 0.25 N m
    assert bench.row("acceleration")[1:] == ["0.200", "80"]
    assert bench.row("friction")[1:] == ["0.0500", "20"]
    assert "acceleration dominates with 80 %" in bench.view.table.words.text()


def test_the_load_follows_its_inputs_live(bench: Bench) -> None:
    mechanism = with_friction(0.10).mechanism
    bench.document.edit(edits.change_load(bench.document.project, mechanism=mechanism), "more friction")
    bench.settle()
    curve = bench.view.canvas.items_of_lanes[TERMS_LANE].curves["sum"]
    assert curve.y_values.max() == pytest.approx(0.30)


def test_units_reach_lanes_and_table(bench: Bench) -> None:
    from core.units import Kind

    units = bench.preferences.display_units
    bench.preferences.display_units = units.with_units({Kind.LOAD_TORQUE: "mN·m", Kind.ANGLE: "rev"})
    bench.settle()
    assert bench.view.canvas.lanes[POSITION_LANE].chart_panel.y.unit == "rev"
    heading = bench.view.table.grid.horizontalHeaderItem(1)
    assert heading is not None
    assert heading.text().endswith("mN·m")
    bench.preferences.display_units = units


def test_a_motion_that_does_not_fit_is_said_and_comes_back(bench: Bench) -> None:
    before = bench.document.project
    bench.document.edit(edits.change_load(before, motion=()), "no motion")
    bench.settle()
    assert len(bench.view.canvas.lanes) == 1
    assert not bench.view.table.isVisible()
    bench.document.undo_stack.undo()
    bench.settle()
    assert len(bench.view.canvas.lanes) == 4
    labels = [item for item in bench.view.canvas.scene().items() if type(item).__name__ == "LabelItem"]
    known = {label for items in bench.view.canvas.items_of_lanes for label in items._labels.values()}
    assert set(labels) == known, "the labels of the lanes before are gone"


def test_without_a_load_the_cycle_is_shown_again(bench: Bench) -> None:
    plain = edits.change_application(bench.document.project, load=None, duty_from="segments")
    bench.document.edit(plain, "no load")
    bench.settle()
    assert bench.pages.current_page() is bench.pages.cycle


def test_hatching_tells_the_causes_apart(bench: Bench) -> None:
    areas = bench.view.canvas.items_of_lanes[TERMS_LANE]._areas
    patterns = {name.split()[0]: area.brush.style() for name, area in areas.items()}
    assert len(set(patterns.values())) == len(patterns) == 2
    assert np.all([area.brush.color().name() == next(iter(areas.values())).brush.color().name()
                   for area in areas.values()])  # fmt: skip
