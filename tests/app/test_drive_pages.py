"""Electronics with their choke, feedback, shaft and faults beside the cycle."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.views.electronics_view import ElectronicsView
from app.views.fault_view import FaultView
from app.views.feedback_view import VERDICTS, FeedbackView
from app.views.late_pane import UPDATING
from app.views.shaft_view import NO_FORCE
from core.charts.cycle_chart import TEMPERATURE_LANE
from core.project import edits
from core.project.feedback import Encoder, HallSensors, Sensorless
from core.project.fittings import ShaftForce
from core.project.project import Project
from core.project.project_file import read_project
from core.units import Kind
from tests.app.bench_views import SAMPLES, project_of, same
from tests.app.drive_desk import DriveDesk

SUPPLY_LANE = TEMPERATURE_LANE + 1


def with_chosen(project: Project, **fields: object) -> Project:
    index = next(i for i, one in enumerate(project.candidates) if one is project.chosen_candidate)
    return edits.change_candidate(project, index, **fields)


def rippling() -> Project:
    """Return the sample with slow pulses, so that the ripple is above its limit."""
    project = project_of()
    assert project.chosen_candidate is not None
    return with_chosen(project, drive=replace(project.chosen_candidate.drive, pwm_frequency=2_000.0))


# --- the list of pages ------------------------------------------------------------------------------


def test_the_list_bears_the_words_of_its_page_and_nothing_is_loaded_before(qtbot: QtBot) -> None:
    code = (
        "import sys, app.start; "
        "new = ('winding', 'electronics', 'feedback', 'shaft', 'fault'); "
        "print([m for m in sys.modules if m.startswith('app.views.') and m.endswith('_view') "
        "and any(w in m for w in new)])"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "[]"
    desk = DriveDesk(qtbot, project_of(), "cycle")
    words = desk.pages.words.list
    assert words is not None
    assert words.text().startswith("Drive")
    next(a for a in words.made_menu().actions() if a.text() == "Feedback").trigger()
    assert desk.pages.current_page() is desk.pages.feedback
    assert words.text().startswith("Feedback")
    assert words.property("current") == "true"
    desk.pages.words.buttons["cycle"].click()
    assert words.text().startswith("Drive")


# --- ripple and choke -------------------------------------------------------------------------------


def electronics(desk: DriveDesk) -> ElectronicsView:
    view = desk.pages.electronics
    desk.settle()
    desk.qtbot.waitUntil(lambda: view.shown is not None, timeout=10_000)
    return view


def test_a_drag_of_the_choke_is_live_and_one_step_to_undo(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, rippling(), "electronics")
    view = electronics(desk)
    before = desk.found.ripple
    assert before is not None
    assert before.choke is not None
    assert before.choke > 0.0
    slider = view.slider
    slider.setSliderDown(True)
    seen = []
    for value in (200, 400, 600):
        slider.setSliderPosition(value)
        desk.settle()
        assert desk.found.ripple is not None
        seen.append(desk.found.ripple.peak_to_peak)
        assert (
            desk.preferences.display_units.format_quantity(seen[-1], Kind.CURRENT) in view.facts.facts[0][1]
        )
    assert seen == sorted(seen, reverse=True)
    assert seen[0] < before.peak_to_peak
    slider.setSliderDown(False)
    desk.settle()
    assert not desk.document.in_gesture
    assert desk.document.undo_stack.count() == 1
    assert desk.candidate.choke > 0.0
    desk.undo()
    assert desk.candidate.choke == 0.0
    assert slider.value() == 0


def test_the_mark_stands_at_the_choke_that_cures_it(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, rippling(), "electronics")
    view = electronics(desk)
    for _ in range(6):  # less ripple leaves more continuous current, which moves the mark a little
        assert desk.found.ripple is not None
        least = desk.found.ripple.least_choke
        assert least is not None
        assert view.slider.mark == least
        view.field.committed.emit(least)
        desk.settle()
    assert least is not None
    assert view.slider.mark == pytest.approx(least, rel=1e-3)
    for choke, status in ((1.01 * least, "met"), (0.99 * least, "missed")):
        view.field.committed.emit(choke)
        desk.settle()
        margin = desk.found.margin("current_ripple")
        assert margin is not None
        assert margin.status == status


def test_escape_takes_a_drag_of_the_choke_back(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, rippling(), "electronics")
    slider = electronics(desk).slider
    slider.setSliderDown(True)
    slider.setSliderPosition(500)
    assert desk.candidate.choke > 0.0
    QTest.keyClick(slider, Qt.Key.Key_Escape)
    assert desk.candidate.choke == 0.0
    assert not desk.document.in_gesture
    assert desk.document.undo_stack.count() == 0


def test_the_supply_is_told_of_when_the_hand_rests(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, project_of(), "electronics")
    view = electronics(desk)
    detail = desk.found.supply_detail
    assert detail is not None
    assert "braking" in view.supply.text()
    desk.document.begin_gesture()
    desk.document.edit(edits.change_segment(desk.document.project, 0, shaft_torque=0.05), "")
    desk.settle()
    assert view.headline.text().endswith(UPDATING)
    desk.document.end_gesture()
    qtbot.waitUntil(lambda: not view.headline.text().endswith(UPDATING), timeout=10_000)


# --- the lane of the supply -------------------------------------------------------------------------


def test_the_supply_is_a_lane_of_the_cycle_with_its_limits(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, project_of(), "cycle")
    view = desk.pages.cycle
    assert len(view.canvas.lanes) == SUPPLY_LANE
    view.supply.setChecked(True)
    qtbot.waitUntil(lambda: not view.is_late(view.result), timeout=10_000)  # type: ignore[arg-type]
    view.redraw()
    detail = desk.found.supply_detail
    assert detail is not None
    assert detail.at_lowest is not None
    curve = view.canvas.items_of_lanes[SUPPLY_LANE].curves["voltage at the lowest supply voltage"]
    assert same(curve.x_values, detail.at_lowest.time)
    assert same(curve.y_values, detail.at_lowest.voltage)
    rules = view.canvas.lanes[SUPPLY_LANE].chart_panel.rules
    assert {(rule.label, rule.y) for rule in rules} == {(line.name, line.voltage) for line in detail.lines}
    assert {"trip", "highest supply of the electronics"} <= {rule.label for rule in rules}
    view.supply.setChecked(False)
    assert len(view.canvas.lanes) == SUPPLY_LANE


# --- feedback ---------------------------------------------------------------------------------------


def feedback(desk: DriveDesk) -> FeedbackView:
    view = desk.pages.feedback
    desk.settle()
    desk.qtbot.waitUntil(lambda: view.headline.text().endswith("asked"), timeout=10_000)
    return view


def test_each_verdict_has_a_symbol_a_word_and_a_reason(qtbot: QtBot) -> None:
    project = with_chosen(project_of(), feedback=Encoder(counts=4096, largest_signal_frequency=1_000.0))
    desk = DriveDesk(qtbot, project, "feedback")
    view = feedback(desk)
    found = desk.found.feedback_table
    assert found is not None
    row = 0
    verdicts = set()
    for kind in found.rows:
        assert view.table.words_at(row, 3) == VERDICTS[kind.verdict]
        row += 1
        for cell in kind.cells:
            assert view.table.words_at(row, 3) == VERDICTS[cell.verdict]
            assert view.table.reason_at(row)
            verdicts.add(cell.verdict)
            row += 1
    assert row == view.table.rowCount()
    assert "fail" in verdicts, "the signal of the encoder is too fast for 1000 Hz"
    for words in VERDICTS.values():
        symbol, word = words.split(" ", 1)
        assert len(symbol) == 1
        assert word.replace(" ", "").isalpha()


def test_the_feedback_of_the_current_row_is_taken_and_undone(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, with_chosen(project_of(), feedback=HallSensors()), "feedback")
    view = feedback(desk)
    assert not view.button.isEnabled(), "Hall sensors are chosen"
    for row in range(view.table.rowCount()):
        if view.table.words_at(row).startswith("No sensor"):
            view.table.setCurrentCell(row, 0)
    assert view.kind == "sensorless"
    view.button.click()
    assert isinstance(desk.candidate.feedback, Sensorless)
    desk.undo()
    assert isinstance(desk.candidate.feedback, HallSensors)


def test_a_double_click_takes_a_kind_from_any_of_its_rows(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, with_chosen(project_of(), feedback=Sensorless()), "feedback")
    view = feedback(desk)
    item = view.table.item(0, 0)
    assert item is not None
    place = view.table.visualItemRect(item).center()
    QTest.mouseClick(view.table.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place))
    QTest.mouseDClick(view.table.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place))
    assert isinstance(desk.candidate.feedback, HallSensors)


# --- shaft ------------------------------------------------------------------------------------------


def test_the_shaft_shows_the_allowed_force_and_lives_in_hours(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, project_of(), "shaft")
    desk.settle()
    view, load = desk.pages.shaft, desk.found.shaft_load
    assert load is not None
    assert load.allowed is not None
    curve = view.canvas.items_of_lanes[0].curves["allowed"]
    assert same(curve.x_values, load.distances)
    assert same(curve.y_values, load.allowed)
    assert [item.isVisible() for item in view.points.items.values()] == [True]
    facts = dict(view.facts.facts)
    digits = facts["Front bearing"].rpartition("lasts ")[2]
    assert digits.endswith(" h")
    assert float(digits.split()[0]) == pytest.approx(load.front_life, rel=5e-3)
    assert "ISO 281" in view.convention.text()


def test_without_a_force_the_shaft_says_so(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, with_chosen(project_of(), shaft_force=None), "shaft")
    desk.settle()
    assert NO_FORCE in desk.pages.shaft.accessibleDescription()
    assert not desk.pages.shaft.words.isVisible()


def test_bearing_margins_are_shown_in_hours(qtbot: QtBot) -> None:
    force = ShaftForce(radial=20.0, distance=0.008, wanted_life=10_000.0)
    desk = DriveDesk(qtbot, with_chosen(project_of(), shaft_force=force), "shaft")
    margin = desk.found.margin("front_bearing_life")
    assert margin is not None
    assert margin.demand is not None
    assert (
        desk.preferences.display_units.format_quantity(margin.demand, margin.kind)
        == "10000\N{NO-BREAK SPACE}h"
    )


def test_the_margins_of_the_brake_stand_beside_the_shaft(qtbot: QtBot) -> None:
    winch = read_project(SAMPLES / "tide_pool_winch.json")
    desk = DriveDesk(qtbot, winch, "shaft")
    desk.settle()
    assert desk.candidate.brake is not None
    view, units = desk.pages.shaft, desk.preferences.display_units
    facts = dict(view.brake.facts)
    for margin in desk.found.margins:
        if margin.criterion.startswith("brake_"):
            words = facts.pop(margin.label.removesuffix(" of the brake"))
            if margin.demand is not None:
                assert words.startswith(units.format_quantity(margin.demand, margin.kind))
    assert not facts
    desk.document.edit(with_chosen(winch, brake=None), "no brake")
    desk.settle()
    assert view.brake.facts == ()
    assert not view.brake_title.isVisible()


# --- faults -----------------------------------------------------------------------------------------


def test_each_fault_is_a_caution_with_its_numbers(qtbot: QtBot) -> None:
    desk = DriveDesk(qtbot, project_of(), "faults")
    view: FaultView = desk.pages.faults
    desk.settle()
    qtbot.waitUntil(lambda: view.shown is not None, timeout=10_000)
    found = desk.found.faults
    assert found is not None
    assert view.table.rowCount() == len(found.rows)
    for row, fault in enumerate(found.rows):
        assert view.table.words_at(row).endswith(fault.fault)
        assert any(letter.isdigit() for letter in view.table.reason_at(row))
        assert fault.measure in view.table.reason_at(row)
        if fault.energy is not None:
            shown = float(np.float64(view.table.words_at(row, 1).split()[0]))
            assert shown == pytest.approx(fault.energy, rel=5e-3)
