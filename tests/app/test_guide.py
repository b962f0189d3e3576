"""A new project is led through its three questions: ticked as they are answered, nothing locked."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.guide_strip import DONE, HINTS, GuideStrip
from app.inputs.editors import QuantityInput
from app.inputs.what_moves import ASKING
from app.main_window import MainWindow
from core.load_draft import FORMS
from core.project import edits
from tests.app.whole_window import open_window, type_into
from tests.core.projects import segment


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def strip_of(window: MainWindow) -> GuideStrip:
    assert window.guide.strip is not None
    return window.guide.strip


def ticks(window: MainWindow) -> list[bool]:
    return [button.text().startswith("✓") for button in strip_of(window).steps.values()]


def settle() -> None:
    for _ in range(3):
        QApplication.processEvents()


def test_a_sample_needs_no_guide(window: MainWindow) -> None:
    assert window.guide.strip is None


def test_a_new_project_is_led_through_three_steps(window: MainWindow) -> None:
    inputs = window.bench.inputs
    for group in inputs.groups:
        group.set_open(False)
    window.new_project()
    settle()
    assert window.guide.is_on_show
    assert ticks(window) == [False, False, False]
    assert inputs.what_moves.is_open
    assert inputs.what_moves.source.hasFocus()
    assert strip_of(window).hint.text() == HINTS["What moves"]

    project = edits.change_application(window.document.project, duty_cycle=(segment(1.0, 0.05, 100.0),))
    window.document.edit(project, "Say what moves")
    settle()
    assert ticks(window) == [True, False, False]
    voltage = inputs.what_feeds_it.inputs[("supply", "nominal_voltage")]
    assert isinstance(voltage, QuantityInput)
    assert voltage.line.hasFocus()

    type_into(voltage.line, "24")
    settle()
    assert ticks(window) == [True, False, False]
    lowest = inputs.what_feeds_it.inputs[("supply", "lowest_voltage")]
    assert isinstance(lowest, QuantityInput)
    type_into(lowest.line, "21,6")
    settle()
    assert ticks(window) == [True, True, False]
    assert lowest.line.hasFocus()  # the highest voltage may be typed next

    strip_of(window).steps["What drives it"].click()
    assert inputs.what_drives_it.add.hasFocus()
    QTest.keyClick(inputs.what_drives_it.add, Qt.Key.Key_Space)
    settle()
    assert ticks(window) == [True, True, True]
    assert strip_of(window).hint.text() == DONE
    assert window.recompute.result is not None
    assert window.recompute.result.candidates[0].margins
    window.document.undo_stack.undo()
    assert ticks(window) == [True, True, False]


def test_a_step_can_be_taken_out_of_turn_and_the_guide_closed(window: MainWindow) -> None:
    window.new_project()
    settle()
    strip = strip_of(window)
    strip.steps["What drives it"].click()
    assert window.bench.inputs.what_drives_it.add.hasFocus()
    strip.close_button.click()
    assert not window.guide.is_on_show
    window.menus.guide.trigger()
    assert window.guide.is_on_show


def test_typing_in_the_table_is_not_left(window: MainWindow) -> None:
    window.new_project()
    settle()
    window.bench.open_table()
    window.insert_segment()
    settle()
    assert ticks(window) == [False, False, False]
    window.bench.table.table.setFocus()
    window.document.edit(edits.change_segment(window.document.project, 0, shaft_torque=0.05), "torque")
    settle()
    assert ticks(window) == [True, False, False]
    assert window.bench.table.table.hasFocus()


def test_a_motion_is_typed_to_its_end(window: MainWindow) -> None:
    window.new_project()
    settle()
    moves = window.bench.inputs.what_moves
    moves.source.chosen.emit("load")
    panel = moves.load
    assert panel is not None
    assert panel.mechanism.currentText() == ""
    assert moves.facts.text() == ASKING
    panel.mechanism.chosen.emit(next(form for form in FORMS if form.words == "rotary table"))
    assert panel.draft is not None
    for field, text in zip(tuple(panel.draft.fields.values()), ("18", "0"), strict=True):
        field.line.setFocus()
        QTest.keyClicks(field.line, text)
        QTest.keyClick(field.line, Qt.Key.Key_Return)
        settle()
    assert panel.motion.add_move.hasFocus()
    for add in (panel.motion.add_move, panel.motion.add_hold):
        QTest.mouseClick(add, Qt.MouseButton.LeftButton)
        settle()
    assert ticks(window) == [True, False, False]
    time = QApplication.focusWidget()
    assert isinstance(time, QLineEdit)
    QTest.keyClicks(time, "0.35")  # replaces the time that a hold begins with
    QTest.keyClick(time, Qt.Key.Key_Return)
    load = window.document.project.application.load
    assert load is not None
    assert load.motion[1].duration == 0.35


def test_a_motor_of_ones_own_is_entered_from_where_candidates_are_added(window: MainWindow) -> None:
    window.new_project()
    window.bench.inputs.what_drives_it.from_sheet.click()
    assert window.parts.entry is not None
    assert window.parts.entry.isVisible()


def test_opening_a_filled_project_takes_the_guide_away(window: MainWindow) -> None:
    window.new_project()
    settle()
    window.document.open(window.document.project)
    assert window.guide.is_on_show
    project = edits.change_application(window.document.project, title="another")
    window.document.open(project)
    assert not window.guide.is_on_show
