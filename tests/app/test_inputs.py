"""The inputs panel: what is typed reaches the project and comes back with undo; what is missing is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.inputs.application_group import ApplicationGroup
from app.inputs.candidate_column import CandidateColumn
from app.inputs.editors import ChoiceInput, QuantityInput, TextInput
from app.main_window import MainWindow
from app.widgets.quantity_edit import PIXELS_PER_STEP
from core.catalogue.designation import designation_of
from core.catalogue.parts_file import encode_parts, load_demo_parts
from core.project import edits
from core.project.designation_pattern import DesignationPattern
from core.project.project import Project
from tests.app.whole_window import open_window, type_into

PLACES = [
    (("site", "ambient"), "45", 45.0),
    (("site", "lowest_ambient"), "59 degF", 15.0),
    (("site", "altitude"), "6562 ft", 6562 * 0.3048),
    (("supply", "nominal_voltage"), "48 V", 48.0),
    (("supply", "lowest_voltage"), "20000 mV", 20.0),
    (("supply", "highest_voltage"), "30", 30.0),
    (("supply", "source_resistance"), "20 mohm", 0.02),
    (("requirements", "targets", "torque_reserve"), "20", 0.2),
    (("requirements", "envelope", "largest_diameter"), "2 in", 0.0508),
    (("requirements", "envelope", "largest_mass"), "200 g", 0.2),
    (("requirements", "short_time"), "1 min", 60.0),
    (("requirements", "hot_spot_allowance"), "5", 5.0),
]


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def fields(window: MainWindow, place: tuple[str, ...]) -> ApplicationGroup:
    """Return the group that holds a field, opened."""
    panel = window.bench.inputs
    groups = {
        "site": panel.where_it_sits,
        "supply": panel.what_feeds_it,
        "requirements": panel.what_it_must_meet,
    }
    group = panel.surroundings if place[:2] == ("site", "surroundings") else groups[place[0]]
    group.set_open(True)
    return group


def shared(window: MainWindow, *place: str) -> QuantityInput:
    editor = fields(window, place).inputs[place]
    assert isinstance(editor, QuantityInput)
    return editor


def mark(window: MainWindow, *place: str) -> str:
    label = fields(window, place).marks[place]
    return "" if label.isHidden() else label.text()


def columns(window: MainWindow) -> list[CandidateColumn]:
    return window.bench.inputs.what_drives_it.columns


def wait_marked(window: MainWindow, label: str) -> str:
    label_mark = window.bench.inputs.what_drives_it.marks[label]
    return "" if label_mark.isHidden() else label_mark.text()


@pytest.mark.parametrize(("place", "text", "value"), PLACES)
def test_typed_value_reaches_the_project_and_undo_takes_it_back(
    window: MainWindow, place: tuple[str, ...], text: str, value: float
) -> None:
    before = window.document.project
    editor = shared(window, *place)
    type_into(editor.line, text)
    assert edits.part_at(window.document.project.application, place) == pytest.approx(value, rel=1e-12)
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before
    assert editor.value() == edits.part_at(before.application, place)


@pytest.mark.parametrize("text", ["abc", "1,234", "12 N", "-5", "nan", "1e400", "12 V 3", "0 V", "--"])
def test_nonsense_is_refused_in_place_and_kept_as_typed(window: MainWindow, text: str) -> None:
    before = window.document.project
    editor = shared(window, "supply", "lowest_voltage")
    type_into(editor.line, text)
    assert window.document.project is before
    assert editor.is_refused()
    assert not editor.message.isHidden()
    assert editor.line.text() == text
    QTest.keyClick(editor.line, Qt.Key.Key_Escape)
    assert editor.line.text() == "21.6"
    assert not editor.is_refused()


def test_refusal_speaks_the_words_of_the_field(window: MainWindow) -> None:
    editor = shared(window, "requirements", "targets", "voltage")
    type_into(editor.line, "120")
    assert editor.message.text().replace("\N{NO-BREAK SPACE}", " ") == "Voltage reserve must be ≤ 100 %"


def test_missing_value_is_said_and_asked_for(window: MainWindow) -> None:
    assert mark(window, "supply", "lowest_voltage") == ""
    editor = shared(window, "supply", "lowest_voltage")
    type_into(editor.line, " ")
    assert window.document.project.application.supply.lowest_voltage is None
    assert mark(window, "supply", "lowest_voltage") == "assumed: the nominal voltage"
    type_into(shared(window, "supply", "nominal_voltage").line, "")
    assert mark(window, "supply", "lowest_voltage") == "missing: voltage reserve is not checked"
    window.recompute.run_now()
    result = window.recompute.result
    assert result is not None
    assert result.candidates[0].margin("voltage_reserve").status == "not checked"  # type: ignore[union-attr]
    window.document.undo_stack.setIndex(0)
    assert mark(window, "supply", "lowest_voltage") == ""


def test_answers_are_chosen_and_unknown_is_marked(window: MainWindow) -> None:
    place = ("site", "surroundings", "dust")
    choice = fields(window, place).inputs[place]
    assert isinstance(choice, ChoiceInput)
    choice.setFocus()
    QTest.keyClicks(choice, "u")  # the first letter, as the keyboard chooses in any list
    assert window.document.project.application.site.surroundings.dust == "unknown"
    assert mark(window, *place) == "unknown: not checked"
    window.document.undo_stack.undo()
    assert choice.currentText() == "no"


def test_wheel_over_a_list_changes_nothing(window: MainWindow) -> None:
    before = window.document.project
    choice = columns(window)[0].winding
    choice.setFocus()
    middle = QPointF(choice.rect().center())
    turn = QWheelEvent(
        middle,
        choice.mapToGlobal(middle),
        QPoint(),
        QPoint(0, -240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(choice, turn)
    assert window.document.project is before


def drag_unit(editor: QuantityInput, steps: int, release: bool = True) -> None:
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    kinds = [(QEvent.Type.MouseButtonPress, 0, left)]
    kinds += [(QEvent.Type.MouseMove, n * PIXELS_PER_STEP, left) for n in range(1, steps + 1)]
    if release:
        kinds.append((QEvent.Type.MouseButtonRelease, steps * PIXELS_PER_STEP, none))
    for kind, x, held in kinds:
        at = QPointF(x + 0.5, 5.0)
        button = none if kind is QEvent.Type.MouseMove else left
        event = QMouseEvent(
            kind, at, editor.unit.mapToGlobal(at), button, held, Qt.KeyboardModifier.NoModifier
        )
        QApplication.sendEvent(editor.unit, event)


def test_dragging_the_unit_is_one_undo_step(window: MainWindow) -> None:
    before = window.document.project
    editor = shared(window, "site", "ambient")
    drag_unit(editor, 5)
    assert window.document.project.application.site.ambient == pytest.approx(45.0)  # steps of 1 degC
    assert window.document.undo_stack.count() == 1
    assert not window.document.in_gesture
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_escape_in_the_middle_of_a_drag_leaves_no_step(window: MainWindow) -> None:
    before = window.document.project
    editor = shared(window, "site", "ambient")
    drag_unit(editor, 4, release=False)
    QTest.keyClick(editor.line, Qt.Key.Key_Escape)
    assert window.document.project is before
    assert window.document.undo_stack.count() == 0
    assert not window.document.in_gesture


def test_undo_works_from_a_field_that_was_just_committed(window: MainWindow) -> None:
    before = window.document.project
    editor = shared(window, "site", "ambient")
    type_into(editor.line, "50")
    assert editor.line.hasFocus()
    QTest.keyClick(editor.line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.project == before
    assert editor.line.text() == "40"


def test_undo_while_typing_belongs_to_the_field(window: MainWindow) -> None:
    window.candidate_asked("choose", 1)
    changed = window.document.project
    editor = shared(window, "site", "ambient")
    type_into(editor.line, "77", then_enter=False)
    QTest.keyClick(editor.line, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert window.document.project is changed


def test_mounting_name_must_not_be_empty(window: MainWindow) -> None:
    group = window.bench.inputs.where_it_sits
    place = ("site", "mounting", "name")
    name = group.inputs[place]
    assert isinstance(name, TextInput)
    type_into(name, "steel plate")
    assert window.document.project.application.site.mounting.name == "steel plate"
    type_into(name, "   ")
    assert name.text() == "steel plate"
    assert "must not be empty" in mark(window, *place)


def test_cycle_is_stated_and_leads_to_the_table(window: MainWindow) -> None:
    moves = window.bench.inputs.what_moves
    count = len(window.document.project.application.duty_cycle)
    assert moves.facts.text().startswith(f"{count} segments in ")
    assert not window.bench.table.isVisible()
    moves.to_table.click()
    assert window.bench.table.isVisible()
    window.document.edit(edits.remove_segments(window.document.project, range(count)), "Remove all")
    assert "No segments yet" in moves.facts.text()


def test_group_folds_to_a_line_and_stays_folded(window: MainWindow) -> None:
    group = window.bench.inputs.what_feeds_it
    assert group.is_open
    QTest.mouseClick(group.header, Qt.MouseButton.LeftButton)
    assert not group.body.isVisible()
    text = group.summary.text().replace("\N{NO-BREAK SPACE}", " ")
    assert text == "24.0 V, lowest 21.6 V, highest 25.2 V, takes no energy back"
    QTest.keyClick(group.header, Qt.Key.Key_Space)
    assert group.body.isVisible()


def test_candidate_values_are_edited_side_by_side(window: MainWindow) -> None:
    before = window.document.project
    panel = window.bench.inputs.what_drives_it.electronics
    panel.set_open(True)
    peak = panel.columns[1]["Peak current"]
    assert isinstance(peak, QuantityInput)
    type_into(peak.line, "20000 mA")
    candidates = window.document.project.candidates
    assert candidates[1].drive.peak_current == 20.0
    assert candidates[0] is before.candidates[0]
    assert window.document.undo_stack.undoText() == "Set peak current of B to 20.00\N{NO-BREAK SPACE}A"
    assert panel.differs("Peak current")
    type_into(peak.line, "")
    assert panel.mark("Peak current") == "B: missing: peak current is not checked"
    type_into(peak.line, "much")
    assert panel.mark("Peak current").startswith("B: 'much'")


def test_two_candidates_cannot_have_one_name(window: MainWindow) -> None:
    before = window.document.project
    first, second = columns(window)
    type_into(second.name, first.name.text())
    assert window.document.project is before
    assert "a name of its own" in wait_marked(window, "Name")
    type_into(second.name, "Closed one")
    assert window.document.project.candidates[1].name == "Closed one"
    assert window.header.chips[1].text().endswith("Closed one")
    assert wait_marked(window, "Name") == ""


def pick(column: CandidateColumn, name: str, text: str) -> None:
    combo = getattr(column, name)
    index = combo.findText(text)
    assert index >= 0, [combo.itemText(i) for i in range(combo.count())]
    combo.setCurrentIndex(index)
    combo.activated.emit(index)


def test_another_frame_keeps_the_names_that_it_has(window: MainWindow) -> None:
    first = columns(window)[0]
    old = window.document.project.candidates[0]
    pick(first, "frame", "58 mm frame")
    new = window.document.project.candidates[0]
    assert new.motor == load_demo_parts().motor("58 mm frame")
    assert (new.winding, new.variant) == (old.winding, old.variant)
    assert window.bench.inputs.what_drives_it.note.isHidden()
    assert window.bench.inputs.what_drives_it.labels["Frame"].property("type") == "differs"


def test_replaced_winding_is_said_twice(window: MainWindow) -> None:
    first = columns(window)[0]
    pick(first, "winding", "12 V")
    pick(first, "frame", "73 mm frame")  # its windings begin at 18 V
    assert window.document.project.candidates[0].winding == "18 V"
    words = "73 mm frame has no winding 12 V: 18 V is taken"
    assert window.bench.inputs.what_drives_it.note.text() == f"A: {words}"
    assert words in window.document.undo_stack.undoText()
    window.document.undo_stack.undo()
    assert window.document.project.candidates[0].winding == "12 V"
    assert window.bench.inputs.what_drives_it.note.isHidden()


def test_variant_and_commutation_are_chosen(window: MainWindow) -> None:
    first = columns(window)[0]
    pick(first, "variant", "enclosed")
    pick(first, "commutation", "six-step")
    candidate = window.document.project.candidates[0]
    assert (candidate.variant, candidate.commutation) == ("enclosed", "six-step")
    assert window.document.undo_stack.count() == 2


def test_motor_of_the_project_that_no_shelf_has_is_offered(window: MainWindow) -> None:
    project = window.document.project
    motor = project.candidates[0].motor
    assert motor is not None
    own = edits.change_candidate(project, 0, motor=replace(motor, cogging_torque=0.5))
    window.document.edit(own, "own motor")
    frame = columns(window)[0].frame
    assert frame.currentText() == f"{motor.name} (this project's)"
    pick(columns(window)[0], "frame", motor.name)
    assert window.document.project.candidates[0].motor == motor


def test_candidates_are_added_removed_and_brought_back(window: MainWindow) -> None:
    start = window.document.project
    panel = window.bench.inputs.what_drives_it
    panel.add.click()
    panel.asked.emit("duplicate", 0)
    assert len(columns(window)) == len(window.header.chips) == 4
    panel.add.click()
    assert "at most 4" in window.messages.message("failure")
    assert len(window.document.project.candidates) == 4
    names = [candidate.name for candidate in window.document.project.candidates]
    assert len(set(names)) == 4
    for left in (3, 2, 1, 0):
        panel.asked.emit("remove", 0)
        assert len(window.document.project.candidates) == left
    assert columns(window) == []
    assert panel.summary.text() == "no candidate yet"
    window.recompute.run_now()
    assert window.messages.message("stale") == ""
    while window.document.undo_stack.canUndo():
        window.document.undo_stack.undo()
    assert window.document.project == start
    assert len(columns(window)) == 2


def test_summary_names_what_is_shared_and_what_differs(window: MainWindow) -> None:
    panel = window.bench.inputs.what_drives_it
    assert panel.summary.text() == "47 mm frame, 24 V, sinusoidal; A open rotor; B enclosed"


def test_project_without_anything_shows_what_is_missing(window: MainWindow) -> None:
    window.document.open(Project())
    window.recompute.run_now()
    assert window.messages.message("stale") == ""
    assert mark(window, "site", "ambient").startswith("missing")
    window.candidate_asked("add", -1)
    window.recompute.run_now()
    assert window.messages.message("stale") == ""
    assert len(columns(window)) == 1


def test_every_field_has_a_name_of_its_own(window: MainWindow) -> None:
    names = [line.accessibleName() for line in window.bench.inputs.findChildren(QLineEdit)]
    assert all(names)
    assert len(set(names)) == len(names)


def test_folded_group_makes_its_fields_when_it_is_opened(window: MainWindow) -> None:
    group = window.bench.inputs.what_it_must_meet
    assert not group.is_filled
    assert "reserve 25" in group.summary.text()
    group.set_open(True)
    reserve = group.inputs["requirements", "targets", "torque_reserve"]
    assert isinstance(reserve, QuantityInput)
    assert reserve.line.text() == "25"


def test_groups_opened_in_a_read_only_project_are_read_only(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.document.open(window.document.project, "a reason")
    meet, drive = window.bench.inputs.what_it_must_meet, window.bench.inputs.what_drives_it
    meet.set_open(True)
    drive.electronics.set_open(True)
    editors = [*meet.inputs.values(), *drive.electronics.columns[0].values()]
    quantities = [editor for editor in editors if isinstance(editor, QuantityInput)]
    assert len(quantities) > 15
    assert all(editor.line.isReadOnly() for editor in quantities)
    assert not any(editor.isEnabled() for editor in editors if isinstance(editor, ChoiceInput))


def test_typing_while_the_number_of_candidates_changes(window: MainWindow) -> None:
    start = window.document.project
    second = columns(window)[1]
    type_into(second.name, "Renamed", then_enter=False)
    window.bench.inputs.what_drives_it.asked.emit("duplicate", 0)
    assert window.document.project.candidates[1].name == "Renamed"  # the text was taken first
    type_into(columns(window)[2].name, "Half typed", then_enter=False)
    window.document.open(start)
    assert window.document.project is start
    assert [column.index for column in columns(window)] == [0, 1]
    QApplication.processEvents()
    shown = [line for line in window.findChildren(TextInput) if line.isVisible()]
    assert [line.text() for line in shown if "Name of" in line.accessibleName()] == [
        candidate.name for candidate in start.candidates
    ]


def test_a_refused_name_is_kept_as_typed_until_it_is_taken_back(window: MainWindow) -> None:
    first, second = columns(window)
    old, taken = second.name.text(), first.name.text()
    type_into(second.name, taken)
    window.document.edit(edits.change_application(window.document.project, title="Other"), "Rename")
    assert second.name.text() == taken
    assert "a name of its own" in wait_marked(window, "Name")
    QTest.keyClick(second.name, Qt.Key.Key_Escape)
    assert second.name.text() == old
    assert wait_marked(window, "Name") == ""


def test_a_frame_of_a_patterned_file_brings_its_designations(window: MainWindow, tmp_path: Path) -> None:
    codes = {"frame": {"47": "47 mm frame"}, "winding": {"A": "24 V"},
             "variant": {"O": "open rotor", "E": "enclosed"}}  # fmt: skip
    pattern = DesignationPattern(pattern="M{frame}-{winding}{variant}", codes=codes)
    held = window.document.project.candidates[0].motor
    assert held is not None
    motor = replace(held, bearings="plain")
    file = tmp_path / "parts.json"
    parts = replace(load_demo_parts(), motors=(motor,), designation=pattern)
    file.write_bytes(encode_parts(parts))
    assert window.shelf.open(file)
    columns(window)[0].frame.chosen.emit(window.shelf.motors[0])
    assert designation_of(window.document.project.candidates[0]) == "M47-AO"
    window.document.undo_stack.undo()
    assert designation_of(window.document.project.candidates[0]) is None
