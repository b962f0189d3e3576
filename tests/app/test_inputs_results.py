"""Results beside the inputs: read off the result, live in a drag, the costly ones when the hand rests."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QEvent, QPoint
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from app.inputs.candidate_group import CandidateGroup
from app.inputs.figure_block import FigureBlock
from app.main_window import MainWindow
from core.deferred import Deferred
from core.errors import InputRangeError
from core.feedback_results import FeedbackTable
from core.project import edits
from core.results import CandidateResult
from core.units import DisplayUnits, Kind
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    window = open_window(qtbot)[0]
    window.recompute.run_now()
    return window


def block(window: MainWindow, name: str) -> FigureBlock:
    """Return the results of a group, opened."""
    group = getattr(window.bench.inputs.what_drives_it, name)
    assert isinstance(group, CandidateGroup)
    group.set_open(True)
    assert group.results is not None
    return group.results


def cells(shown: FigureBlock, label: str) -> list[str]:
    """Return the texts of one row, or none where there is no such row."""
    row = next((row for row in shown.table.rows if row.label == label), None)
    return [] if row is None else ["" if cell is None else cell.text for cell in row.cells]


def result(window: MainWindow, index: int = 0) -> CandidateResult:
    assert window.recompute.result is not None
    return window.recompute.result.candidates[index]


def of(window: MainWindow, criterion: str, index: int) -> str:
    """Return demand and limit of a criterion as the margins list has them."""
    margin = result(window, index).margin(criterion)
    assert margin is not None
    assert margin.demand is not None
    assert margin.limit is not None
    units = DisplayUnits()
    demand, limit = (units.format_value(value, margin.kind) for value in (margin.demand, margin.limit))
    return f"{demand} of {limit}"


def test_electronics_show_the_cycle_of_each_candidate_of_their_limits(window: MainWindow) -> None:
    shown = block(window, "electronics")
    for label, criterion in (
        ("Usable voltage", "voltage_reserve"),
        ("Cont. current", "continuous_current"),
        ("Peak current", "peak_current"),
        ("Electr. freq.", "electrical_frequency"),
    ):
        assert cells(shown, label) == [of(window, criterion, 0), of(window, criterion, 1)]
    ripple = result(window).ripple
    assert ripple is not None
    assert cells(shown, "Ripple")[0] == DisplayUnits().format_value(ripple.peak_to_peak, Kind.CURRENT)


def test_a_missed_limit_is_coloured_and_told(window: MainWindow) -> None:
    shown = block(window, "electronics")
    project = edits.change_candidate_part(window.document.project, 1, ("drive", "peak_current"), 5.0)
    window.document.edit(project, "Weaker")
    window.recompute.run_now()
    row = next(row for row in shown.table.rows if row.label == "Peak current")
    assert [cell is not None and cell.bad for cell in row.cells] == [False, True]
    assert "B 7.23 of 5.00 (missed)" in shown.table.spoken()


def test_nothing_is_shown_or_computed_while_a_group_is_folded(window: MainWindow) -> None:
    panel = window.bench.inputs.what_drives_it
    assert panel.winding.results is None
    later = result(window).winding_later
    assert later is not None
    QApplication.processEvents()
    assert not later.known


def test_the_study_of_windings_is_worked_out_when_the_hand_rests(window: MainWindow, qtbot: QtBot) -> None:
    window.document.begin_gesture()
    shown = block(window, "winding")
    later = [result(window, index).winding_later for index in (0, 1)]
    qtbot.wait(250)
    assert not any(one is not None and one.known for one in later)
    assert cells(shown, "Fastest fitting") == ["…", "…"]
    window.document.end_gesture()
    qtbot.waitUntil(lambda: cells(shown, "Fastest fitting") == ["18 V", "18 V"], timeout=5000)
    study = result(window).winding_study
    assert study is not None
    assert study.fastest == "18 V"


def test_a_drag_moves_the_numbers_but_no_line(window: MainWindow) -> None:
    shown = block(window, "electronics")
    before, height = cells(shown, "Peak current"), shown.table.sizeHint().height()
    window.document.begin_gesture()
    project = window.document.project
    window.document.edit(edits.move_load_point(project, 0, 0.25, 310.0, 0.0), "Drag")
    window.recompute.run_now()
    assert cells(shown, "Peak current") != before
    assert shown.table.sizeHint().height() == height
    reasons = shown.reasons.text()
    window.document.cancel_gesture()
    window.recompute.run_now()
    assert cells(shown, "Peak current") == before
    assert shown.reasons.text() == reasons


def test_old_numbers_stay_until_the_new_ones_are_there(window: MainWindow, qtbot: QtBot) -> None:
    shown = block(window, "feedback")
    qtbot.waitUntil(lambda: cells(shown, "Steps a turn") == ["48", "48"], timeout=5000)
    window.document.begin_gesture()
    window.document.edit(edits.move_load_point(window.document.project, 0, 0.2, 300.0, 0.0), "Drag")
    window.recompute.run_now()
    row = next(row for row in shown.table.rows if row.label == "Steps a turn")
    assert [cell is not None and (cell.text, cell.old) for cell in row.cells] == [("48", True), ("48", True)]
    window.document.cancel_gesture()


def test_feedback_says_why_it_is_not_adequate(window: MainWindow, qtbot: QtBot) -> None:
    shown = block(window, "feedback")
    place = ("requirements", "motion", "position_accuracy")
    window.document.edit(edits.change_application_part(window.document.project, place, 1e-3), "Ask")
    window.recompute.run_now()
    qtbot.waitUntil(lambda: cells(shown, "Adequate") == ["no", "no"], timeout=5000)
    assert shown.reasons.text().startswith("Adequate: position accuracy: 8.00°")


def test_supply_shows_what_each_candidate_draws(window: MainWindow, qtbot: QtBot) -> None:
    shown = window.bench.inputs.what_feeds_it.results
    assert shown is not None
    demand = result(window, 1).supply
    assert demand is not None
    units = DisplayUnits()
    assert cells(shown, "Mean power")[1] == units.format_value(demand.mean_power, Kind.POWER)
    assert cells(shown, "Bus rises to") == [of(window, "bus_voltage", 0), of(window, "bus_voltage", 1)]
    assert cells(shown, "Battery lasts") in ([], ["…", "…"])
    place = ("supply", "battery_energy")
    window.document.edit(edits.change_application_part(window.document.project, place, 360e3), "Battery")
    window.recompute.run_now()
    qtbot.waitUntil(lambda: cells(shown, "Battery lasts") not in ([], ["…", "…"]), timeout=5000)
    detail = result(window).supply_detail
    assert detail is not None
    assert detail.battery is not None
    assert cells(shown, "Battery lasts")[0] == units.format_value(
        detail.battery.run_time / 3600.0, Kind.NUMBER
    )


def test_numbers_follow_the_units(window: MainWindow) -> None:
    shown = block(window, "shaft")
    newton = cells(shown, "Front bearing")
    units = window.preferences.display_units
    window.preferences.display_units = units.with_units({Kind.FORCE: "mN"})
    assert float(cells(shown, "Front bearing")[0]) == pytest.approx(1000.0 * float(newton[0]))
    assert next(row for row in shown.table.rows if row.label == "Front bearing").unit == "mN"


def test_the_equation_stands_where_the_mouse_rests(window: MainWindow, qtbot: QtBot) -> None:
    table = block(window, "electronics").table
    qtbot.waitUntil(lambda: table.height() == table.sizeHint().height())
    cell = next(row for row in table.rows if row.label == "Peak current").cells[1]
    assert cell is not None
    assert table.tip_of(cell).startswith(cell.text + "\n")
    x = table.width() - 60
    spots = [QPoint(x, y) for y in range(table.height()) if table.cell_at(x, y) is cell]
    assert spots
    QApplication.sendEvent(table, QHelpEvent(QEvent.Type.ToolTip, spots[0], table.mapToGlobal(spots[0])))
    assert QToolTip.text() == table.tip_of(cell)
    QToolTip.hideText()


def test_what_cannot_be_worked_out_is_said_once(window: MainWindow, qtbot: QtBot) -> None:
    tries = []

    def fail() -> FeedbackTable:
        tries.append(1)
        raise InputRangeError("distance", -1.0, "m", ">= 0")

    shown = block(window, "feedback")
    assert window.recompute.result is not None
    broken = replace(result(window), feedback_later=Deferred(fail))
    whole = replace(window.recompute.result, candidates=(broken, result(window, 1)))
    shown.show_result(whole)
    qtbot.waitUntil(lambda: "cannot be worked out: distance must be >= 0" in shown.reasons.text())
    qtbot.wait(250)
    assert tries == [1]
    assert cells(shown, "Steps a turn") == ["", "48"]
    shown.show_result(window.recompute.result)
    assert "cannot" not in shown.reasons.text()


def test_a_long_trace_leaves_the_study_of_windings_to_its_page(window: MainWindow) -> None:
    assert window.recompute.result is not None
    found = result(window)
    assert found.duty is not None
    long = replace(found.duty, time=np.linspace(0.0, 100.0, 60_000))
    whole = replace(window.recompute.result, candidates=(replace(found, duty=long), result(window, 1)))
    shown = block(window, "winding")
    shown.show_result(whole)
    assert cells(shown, "Fastest fitting") == ["see its page", "…"]
