"""The segment table: typing, refusing, rows, clipboard, undo and the links to other views."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.table_models.segment_model import COLUMNS
from app.views.segment_table import HOW_TO_BEGIN, SegmentTable
from core.project import edits
from core.project.project import Project
from core.units import Kind
from tests.app.synthetic_result import SEGMENTS, project, result

NAME, DURATION, TORQUE, START, END, MOTOR_TORQUE, CURRENT, VOLTAGE = range(1, 9)
TYPED = (NAME, DURATION, TORQUE, START, END)
ROLES = list(Qt.ItemDataRole)


@dataclass
class Bench:
    view: SegmentTable
    document: ProjectDocument
    selection: Selection
    preferences: Preferences
    messages: list[str]

    @property
    def segments(self) -> tuple[object, ...]:
        return self.document.project.application.duty_cycle

    def shown(self, row: int, column: int) -> str:
        return str(self.view.model.index(row, column).data())

    def edit(self, row: int, column: int, text: str) -> QLineEdit:
        """Open the editor of a cell and type into it, Enter not yet pressed."""
        grid = self.view.table
        grid.setCurrentIndex(self.view.model.index(row, column))
        QTest.keyClick(grid, Qt.Key.Key_F2)
        editor = self.editor()
        assert editor is not None
        editor.selectAll()
        editor.insert(text)
        return editor

    def editor(self) -> QLineEdit | None:
        QApplication.processEvents()
        found = [e for e in self.view.table.viewport().findChildren(QLineEdit) if e.isVisible()]
        return found[0] if found else None


@pytest.fixture
def bench(qtbot: QtBot) -> Bench:
    return make(qtbot, project())


def make(qtbot: QtBot, of: Project) -> Bench:
    document, selection, preferences = ProjectDocument(of), Selection(), Preferences()
    preferences.theme = "light"
    view = SegmentTable(document, selection, preferences)
    qtbot.addWidget(view)
    view.resize(760, 260)
    with qtbot.waitExposed(view):
        view.show()
    view.activateWindow()
    view.table.setFocus()
    messages: list[str] = []
    view.message.connect(messages.append)
    view.show_result(result(of))
    return Bench(view, document, selection, preferences, messages)


def test_shows_segments_and_results_in_display_units(bench: Bench) -> None:
    bench.preferences.display_units = bench.preferences.display_units.with_units(
        {Kind.TIME: "ms", Kind.TORQUE: "mN·m", Kind.SPEED: "rad/s"}
    )
    row = [bench.shown(2, column) for column in range(len(COLUMNS))]
    # 250 of 400 rad/s are 62.5 %, 46 mN·m at 40 A per N·m are 1.84 A: the numbers of the invented result
    assert row == ["3", "brake", "40", "−46", "250", "0", "−46.0", "1.84", "62.5"]
    heads = [bench.view.model.headerData(c, Qt.Orientation.Horizontal) for c in range(len(COLUMNS))]
    assert heads[DURATION:END] == ["duration\nms", "shaft\ntorque\nmN·m", "speed\nat start\nrad/s"]
    assert "A Open rotor" in bench.view.source.text()


def test_results_follow_the_chosen_candidate(bench: Bench) -> None:
    bench.view.show_result(result(edits.choose_candidate(project(), 1)))
    assert bench.shown(0, MOTOR_TORQUE) == "63.8"  # 58 mN·m times the 1.1 of the invented result
    assert "B Enclosed" in bench.view.source.text()


def test_the_model_answers_every_index_and_role(bench: Bench) -> None:
    model = bench.view.model
    bench.document.edit(edits.duplicate_segments(project(), [0, 1]), "more rows than the result has")
    for row in range(-1, 8):
        for column in range(-1, 11):
            for role in ROLES:
                model.data(model.index(row, column), role)
                model.headerData(column, Qt.Orientation.Horizontal, role)
                model.headerData(column, Qt.Orientation.Vertical, role)
    assert bench.shown(5, CURRENT) == "–"
    assert not model.setData(model.index(0, CURRENT), "5")
    assert not model.setData(model.index(-1, -1), "5")


@pytest.mark.parametrize(
    ("column", "text", "field", "value"),
    [
        (NAME, "ramp  up", "name", "ramp up"),
        (DURATION, "60 ms", "duration", 0.06),
        (DURATION, "0,5", "duration", 0.5),
        (TORQUE, "1 N·m", "shaft_torque", 1.0),
        (TORQUE, "12.5", "shaft_torque", 0.0125),
        (START, "-3 rad/s", "speed_start", -3.0),
        (END, "100 rad/s", "speed_end", 100.0),
    ],
)
def test_typing_changes_the_project_as_one_undo_step(
    bench: Bench, column: int, text: str, field: str, value: object
) -> None:
    editor = bench.edit(0, column, text)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert bench.editor() is None
    changed = getattr(bench.segments[0], field)
    assert changed == (pytest.approx(value) if isinstance(value, float) else value)
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    assert bench.document.project == project()
    bench.document.undo_stack.redo()
    assert getattr(bench.segments[0], field) == changed


def test_a_shared_speed_stays_shared(bench: Bench) -> None:
    QTest.keyClick(bench.edit(1, START, "200 rad/s"), Qt.Key.Key_Return)
    assert (SEGMENTS[0].speed_end, bench.document.project.application.duty_cycle[0].speed_end) == (
        250.0,
        200.0,
    )


@pytest.mark.parametrize("column", [DURATION, TORQUE, START, END])
@pytest.mark.parametrize(
    "text", ["nonsense", "1,234", "", "nan", "1e999", "5 kg*cm", "=1+1", "💥", "5 lumen"]
)
def test_nonsense_is_refused_and_stays_in_the_editor(bench: Bench, column: int, text: str) -> None:
    editor = bench.edit(0, column, text)
    if not text:
        editor.selectAll()
        QTest.keyClick(editor, Qt.Key.Key_Backspace)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert bench.editor() is editor
    assert editor.text() == text
    assert bench.document.undo_stack.count() == 0
    assert bench.view.refusal.isVisible()
    assert bench.messages[-1] == bench.view.refusal.text()
    assert f"Segment 1, {COLUMNS[column].heading}" in bench.messages[-1]
    QTest.keyClick(editor, Qt.Key.Key_Escape)
    assert bench.editor() is None
    assert not bench.view.refusal.isVisible()
    assert bench.document.project == project()


@pytest.mark.parametrize("text", ["0", "-1 s"])
def test_a_duration_must_be_positive(bench: Bench, text: str) -> None:
    QTest.keyClick(bench.edit(0, DURATION, text), Qt.Key.Key_Return)
    assert "duration must be > 0" in bench.messages[-1]
    assert bench.document.project == project()


def test_a_name_that_no_file_can_hold_is_refused(bench: Bench) -> None:
    before = bench.document.project
    model = bench.view.model
    assert not model.setData(model.index(0, NAME), "\ud83d")
    assert bench.document.project is before


def test_refused_text_survives_a_click_elsewhere_and_a_change_behind_it(bench: Bench) -> None:
    editor = bench.edit(0, TORQUE, "12 apples")
    grid = bench.view.table
    where = grid.visualRect(bench.view.model.index(2, END)).center()
    QTest.mouseClick(grid.viewport(), Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, where)
    assert bench.editor() is editor
    bench.document.edit(edits.change_segment(bench.document.project, 0, shaft_torque=0.03), "from elsewhere")
    assert editor.text() == "12 apples"
    editor.setText("20")
    editor.setModified(True)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert bench.document.project.application.duty_cycle[0].shaft_torque == pytest.approx(0.02)
    assert not bench.view.refusal.isVisible()


def test_leaving_a_cell_unchanged_changes_nothing(bench: Bench) -> None:
    odd = edits.change_segment(project(), 0, duration=1.0 / 3.0)
    bench.document.open(odd)
    QTest.keyClick(bench.edit(0, DURATION, ""), Qt.Key.Key_Escape)
    editor = bench.edit(0, DURATION, "")
    editor.setText(str(bench.view.model.index(0, DURATION).data(Qt.ItemDataRole.EditRole)))
    editor.setModified(True)
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert bench.document.project == odd


def test_enter_goes_down_and_tab_to_the_right(bench: Bench) -> None:
    grid = bench.view.table
    QTest.keyClick(bench.edit(0, DURATION, "50 ms"), Qt.Key.Key_Return)
    assert (grid.currentIndex().row(), grid.currentIndex().column()) == (1, DURATION)
    QTest.keyClick(grid, Qt.Key.Key_Return)
    assert grid.currentIndex().row() == 2
    QTest.keyClick(grid, Qt.Key.Key_Tab)
    assert (grid.currentIndex().row(), grid.currentIndex().column()) == (2, TORQUE)


def test_typing_over_a_cell_begins_editing(bench: Bench) -> None:
    grid = bench.view.table
    grid.setCurrentIndex(bench.view.model.index(1, TORQUE))
    QTest.keyClicks(grid, "9")
    editor = bench.editor()
    assert editor is not None
    assert editor.text() == "9"
    QTest.keyClick(editor, Qt.Key.Key_Return)
    assert bench.document.project.application.duty_cycle[1].shaft_torque == pytest.approx(0.009)


def test_tab_leaves_the_table_at_its_end(bench: Bench) -> None:
    grid = bench.view.table
    grid.setCurrentIndex(bench.view.model.index(3, VOLTAGE))
    QTest.keyClick(grid, Qt.Key.Key_Tab)
    assert not grid.hasFocus()


def test_rows_are_inserted_duplicated_and_deleted(bench: Bench) -> None:
    view = bench.view
    view.table.selectRow(1)
    view.insert_after.trigger()
    names = [s.name for s in bench.document.project.application.duty_cycle]
    assert names == ["accelerate", "travel", "", "brake", "dwell"]
    assert bench.document.project.application.duty_cycle[2].speed_start == 250.0  # goes on where it is
    assert bench.selection.segment == 2
    view.table.selectRow(0)
    view.insert_before.trigger()
    assert bench.document.project.application.duty_cycle[1].name == "accelerate"
    view.table.selectRow(1)
    view.duplicate.trigger()
    assert [s.name for s in bench.document.project.application.duty_cycle[1:3]] == ["accelerate"] * 2
    view.table.setFocus()
    QTest.keyClick(view.table, Qt.Key.Key_Delete)
    assert len(bench.segments) == 6
    for _ in range(4):
        bench.document.undo_stack.undo()
    assert bench.document.project == project()
    assert view.model.rowCount() == 4
    while bench.document.undo_stack.canRedo():
        bench.document.undo_stack.redo()
    assert view.model.rowCount() == 6


def test_all_rows_can_be_deleted_and_the_empty_table_says_how_to_begin(bench: Bench) -> None:
    assert not bench.view.table.empty.isVisible()
    bench.view.table.selectAll()
    bench.view.delete.trigger()
    assert bench.view.model.rowCount() == 0
    assert bench.selection.segment is None
    assert bench.view.table.empty.isVisible()
    assert bench.view.table.empty.text() == HOW_TO_BEGIN
    assert not bench.view.delete.isEnabled()
    bench.view.insert_after.trigger()
    assert len(bench.segments) == 1
    assert not bench.view.table.empty.isVisible()


def test_copied_rows_paste_over_and_past_the_end(bench: Bench) -> None:
    bench.view.table.selectAll()
    bench.view.copy.trigger()
    copied = QGuiApplication.clipboard().text()
    assert copied.splitlines()[0].startswith("name\tduration (")
    bench.view.table.clearSelection()
    bench.view.table.selectRow(3)
    bench.view.paste.trigger()
    names = [s.name for s in bench.document.project.application.duty_cycle]
    assert names == ["accelerate", "travel", "brake", "accelerate", "travel", "brake", "dwell"]
    assert bench.document.undo_stack.count() == 1
    bench.document.undo_stack.undo()
    assert bench.document.project == project()


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("duration\ttorque\tspeed\n1\t2\t3\n1\tx\t3", "row 3, column 2"),
        ("1;2;3;4\n1;1,234;3;4", "row 2, column 2"),
        ("duration\ttorque\tspeed\n-1\t2\t3", "row 2, column 1"),
        ("some words", "row 1"),
        ("", "no rows"),
    ],
)
def test_a_refused_paste_names_the_cell_and_changes_nothing(bench: Bench, text: str, place: str) -> None:
    QGuiApplication.clipboard().setText(text)
    bench.view.paste.trigger()
    assert place in bench.view.refusal.text()
    assert bench.messages[-1] == bench.view.refusal.text()
    assert bench.document.project == project()
    assert bench.document.undo_stack.count() == 0


def test_a_paste_into_an_empty_cycle(qtbot: QtBot) -> None:
    empty = edits.remove_segments(project(), range(4))
    bench = make(qtbot, empty)
    assert bench.view.paste_text("name;duration;torque;speed\nrun;1 s;20 mN·m;3000 rpm\n")
    assert bench.shown(0, NAME) == "run"
    assert bench.selection.segment == 0


def test_selection_goes_both_ways_and_keeps_the_criterion(bench: Bench) -> None:
    bench.view.table.selectRow(2)
    assert bench.selection.segment == 2
    bench.selection.select_criterion("voltage", 0)
    assert bench.view.table.currentIndex().row() == 0
    assert bench.selection.criterion == "voltage"


def test_hovering_goes_both_ways(bench: Bench) -> None:
    index = bench.view.model.index(2, NAME)
    viewport = bench.view.table.viewport()
    QTest.mouseMove(viewport, bench.view.table.visualRect(index).center())
    QApplication.processEvents()
    assert bench.selection.hovered_segment == 2
    bench.selection.hover_segment(1)
    assert bench.view.model.index(1, 0).data(Qt.ItemDataRole.BackgroundRole) is not None
    assert index.data(Qt.ItemDataRole.BackgroundRole) is None
    bench.selection.hover_segment(None)
    assert bench.view.model.index(1, 0).data(Qt.ItemDataRole.BackgroundRole) is None


def test_columns_hold_their_width_while_rows_and_numbers_change(bench: Bench) -> None:
    def widths() -> list[int]:
        return [bench.view.table.columnWidth(column) for column in range(len(COLUMNS))]

    before = widths()
    bench.document.edit(edits.change_segment(project(), 0, shaft_torque=123456.0), "wide")
    bench.document.edit(edits.duplicate_segments(project(), [0, 1, 2, 3] * 8), "many rows")
    QApplication.processEvents()
    bench.view.show_result(result(bench.document.project))
    assert widths() == before


def test_another_theme_and_other_units_are_taken_over(bench: Bench) -> None:
    cell = bench.view.model.index(0, CURRENT)
    light = cell.data(Qt.ItemDataRole.ForegroundRole)
    bench.preferences.theme = "dark"
    assert cell.data(Qt.ItemDataRole.ForegroundRole) != light
    bench.preferences.theme = "light"
    bench.preferences.display_units = bench.preferences.display_units.with_units({Kind.TIME: "min"})
    assert bench.shown(3, DURATION) == "0.003"


def test_everything_has_a_name_for_screen_readers(bench: Bench) -> None:
    assert bench.view.table.accessibleName()
    index = bench.view.model.index(0, TORQUE)
    assert index.data(Qt.ItemDataRole.AccessibleTextRole) == "segment 1, shaft torque: 58 mN·m"
    head = bench.view.model.headerData(0, Qt.Orientation.Horizontal, Qt.ItemDataRole.AccessibleTextRole)
    assert head == "number"


def test_the_message_goes_when_another_project_is_opened(bench: Bench) -> None:
    bench.view.paste_text("nonsense")
    assert bench.view.refusal.isVisible()
    bench.document.open(project())
    assert not bench.view.refusal.isVisible()


def test_keys_are_the_tables_own_where_the_window_has_them_too(bench: Bench) -> None:
    heard: list[str] = []
    for keys in ("Ctrl+D", "Ctrl+Return", "Del"):
        action = QAction(keys, bench.view)
        action.setShortcut(keys)
        action.triggered.connect(lambda _=False, keys=keys: heard.append(keys))
        bench.view.addAction(action)  # the view is the window here
    bench.view.table.setFocus()
    bench.view.table.selectRow(0)
    rows = [bench.view.model.rowCount()]
    for key, modifier in (
        (Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier),
        (Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier),
        (Qt.Key.Key_Delete, Qt.KeyboardModifier.NoModifier),
    ):
        QTest.keyClick(bench.view.table, key, modifier)
        rows.append(bench.view.model.rowCount())
    assert rows == [4, 5, 6, 5]
    assert heard == []


def test_the_context_menu_has_every_action(bench: Bench) -> None:
    texts = [action.text() for action in bench.view.table.actions()]
    assert texts == ["Insert after", "Insert before", "Duplicate", "Remove", "Copy rows", "Paste rows"]
    assert all(not action.shortcut().isEmpty() for action in bench.view.table.actions())
    assert bench.view.table.mapToGlobal(QPoint(0, 0)) is not None
