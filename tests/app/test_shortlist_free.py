"""Turns or a ratio of one's own beside the Shortlist: seek, read, cancel, add; greyed and out of date."""

from __future__ import annotations

import multiprocessing
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QPushButton, QRadioButton, QTableView
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.pages import SHORTLIST, SIDE_BY_SIDE
from app.shortlist_free_search import Sought
from app.shortlist_page import ShortlistPage
from app.table_models.shortlist_free_model import (
    ALL_MET,
    BEFORE,
    LISTED,
    MARGIN,
    REASON,
    STATUS,
    TURNS,
    VALUE,
)
from app.views.shortlist_free import ShortlistFree
from core.catalogue.parts_file import PartsFile, load_demo_parts, write_parts
from core.project import edits
from core.shortlist.chunk_result import ABSENT
from core.units import Kind
from tests.app.whole_window import open_window, type_into
from tests.core.projects import sheet_motor

SAMPLES = Path(__file__).parents[2] / "sample_projects"
DEMO = load_demo_parts()
ORDER = ("met", "not checked", "missed", "excluded")  # best first
BELTS = tuple(one for one in DEMO.transmissions if not one.on_motor)


def desk(qtbot: QtBot, folder: Path, sample: str = "sample_carousel") -> tuple[MainWindow, ShortlistPage]:
    """Return a window whose shelf has one motor of a data sheet, and its page with a finished list."""
    window, dialogs = open_window(qtbot)
    dialogs.unsaved = "discard"
    window.files.open_sample(SAMPLES / f"{sample}.json")
    write_parts(
        folder / "few.json",
        PartsFile(
            motors=(sheet_motor(),),
            drives=DEMO.drives[:1],
            feedback=DEMO.feedback[:1],
            transmissions=BELTS,
        ),
    )
    assert window.shelf.open(folder / "few.json")
    window.turn_to(SHORTLIST)
    page = window.pages.shortlist
    page.parts.seek.click()
    qtbot.waitUntil(lambda: not page.is_searching, timeout=30_000)
    return window, page


def opened(page: ShortlistPage) -> ShortlistFree:
    page.parts.free.click()
    assert page.free is not None
    return page.free


def sought(dialog: ShortlistFree, qtbot: QtBot) -> None:
    QTest.mouseClick(dialog.seek, Qt.MouseButton.LeftButton)
    assert dialog.run.is_running
    qtbot.waitUntil(lambda: not dialog.run.is_running, timeout=60_000)
    assert not multiprocessing.active_children()


def cell(dialog: ShortlistFree, row: int, column: int) -> str:
    return str(dialog.model.index(row, column).data())


def test_turns_are_found_and_told(qtbot: QtBot, tmp_path: Path) -> None:
    _, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    sought(dialog, qtbot)
    assert page.found is not None
    rows = dialog.model.rows
    assert len(rows) >= 2
    assert f"{len(rows)} families looked at" in dialog.words.text()
    order = [row.order for row in rows]
    assert order == sorted(order)
    for k, row in enumerate(rows):
        number = row.value.number
        assert cell(dialog, k, LISTED) == page.found.choices.words(number)
        assert row.before == page.found.listing.objectives["smallest_margin"][number]
        assert ORDER.index(row.verdict) <= ORDER.index(row.verdict_before)
        # the listed turns are tried too; a margin before is that of all criteria only where none ruled out
        is_whole = page.found.listing.first.column[number] == ABSENT
        if is_whole and row.value.turns_per_coil is None:
            assert row.smallest_margin >= row.before - 1e-9
        for column in (VALUE, TURNS, BEFORE, MARGIN, STATUS, ALL_MET, REASON):
            assert cell(dialog, k, column), column
    assert not dialog.table.isColumnHidden(TURNS)
    dialog.table.selectRow(0)
    assert "against" in dialog.reason.text()


def test_a_typed_range_holds_and_a_turned_one_is_refused(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    low, high = dialog.fields["turns"]
    type_into(low.line, "60 mN*m/A")
    type_into(high.line, "50 mN*m/A")
    assert not dialog.seek.isEnabled()
    assert "must begin below" in dialog.words.text()
    type_into(high.line, "0.07 N*m/A")
    assert high.value() == pytest.approx(0.07)
    sought(dialog, qtbot)
    assert dialog.model.rows
    for row in dialog.model.rows:
        turns = row.value.turns_per_coil
        one_turn = 1e-9 if turns is None else row.value.value / turns  # where no whole number is inside
        assert 0.06 - one_turn <= row.value.value <= 0.07 + one_turn
    units = window.preferences.display_units
    shown = units.format_quantity(dialog.model.rows[0].value.value, Kind.TORQUE_CONSTANT)
    assert cell(dialog, 0, VALUE) == shown


def test_one_is_added_by_return_and_two_are_compared_in_one_undo_step(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    sought(dialog, qtbot)
    before = window.document.project
    dialog.table.selectRow(0)
    dialog.table.setFocus()
    QTest.keyClick(dialog.table, Qt.Key.Key_Return)
    assert len(window.document.project.candidates) == len(before.candidates) + 1
    added = window.document.project.candidates[-1]
    assert added.winding is not None
    assert "times the turns" in added.winding
    window.document.undo_stack.undo()
    assert window.document.project == before
    dialog.table.selectRow(0)
    QTest.keyClick(dialog.table, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    assert dialog.selected() == [0, 1]
    QTest.mouseClick(dialog.compare, Qt.MouseButton.LeftButton)
    assert window.pages.current == SIDE_BY_SIDE
    assert len(window.document.project.candidates) == len(before.candidates) + 2
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_what_is_selected_stays_so_while_better_ones_arrive(qtbot: QtBot, tmp_path: Path) -> None:
    _, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    sought(dialog, qtbot)
    rows = tuple(dialog.model.rows)
    dialog._on_arrived(Sought(rows[1:], len(rows) - 1, len(rows)))
    dialog.table.selectRow(0)
    dialog._on_arrived(Sought(rows, len(rows), len(rows)))
    assert dialog.selected() == [1]


def test_a_ratio_is_greyed_with_its_reason_where_the_duty_is_at_the_shaft(
    qtbot: QtBot, tmp_path: Path
) -> None:
    _, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    assert not dialog.ratio.isEnabled()
    assert "at the motor shaft" in dialog.greyed.text()
    assert dialog.turns.isChecked()


def test_a_ratio_is_found_where_the_duty_is_from_a_load(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = desk(qtbot, tmp_path, "museum_turntable")
    dialog = opened(page)
    assert dialog.ratio.isEnabled()
    assert not dialog.greyed.text()
    QTest.mouseClick(dialog.ratio, Qt.MouseButton.LeftButton)
    assert dialog.fields["ratio"][0].isVisible()
    assert not dialog.fields["turns"][0].isVisible()
    type_into(dialog.fields["ratio"][0].line, "3")
    type_into(dialog.fields["ratio"][1].line, "60")
    sought(dialog, qtbot)
    assert dialog.model.rows
    assert all(3.0 * (1 - 1e-9) <= row.value.value <= 60.0 * (1 + 1e-9) for row in dialog.model.rows)
    assert all(row.value.candidate.transmission is not None for row in dialog.model.rows)
    assert dialog.table.isColumnHidden(TURNS)
    assert dialog.model.headerData(VALUE, Qt.Orientation.Horizontal) == "Ratio"
    dialog.table.selectRow(0)
    dialog.take.click()
    gear = window.document.project.candidates[-1].transmission
    assert gear is not None
    assert gear.ratio == dialog.model.rows[0].value.value


def test_a_changed_application_marks_it_out_of_date(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    sought(dialog, qtbot)
    project = window.document.project
    window.document.edit(
        edits.change_application_part(project, ("supply", "nominal_voltage"), 23.0), "Lower the voltage"
    )
    qtbot.waitUntil(lambda: "Out of date" in dialog.words.text())
    assert not dialog.seek.isEnabled()
    window.document.undo_stack.undo()
    qtbot.waitUntil(lambda: "families looked at" in dialog.words.text())
    assert dialog.seek.isEnabled()


def test_nothing_is_sought_without_a_list_or_under_several_conditions(qtbot: QtBot, tmp_path: Path) -> None:
    _, page = desk(qtbot, tmp_path)
    page.parts.conditions_shown.click()
    type_into(page.parts.conditions.ambients, "20; 40")
    page.parts.seek.click()
    dialog = opened(page)
    assert not dialog.seek.isEnabled()
    assert "still being made" in dialog.words.text()
    qtbot.waitUntil(lambda: not page.is_searching, timeout=60_000)
    assert "under one condition; the list was made under 2" in dialog.words.text()
    assert not dialog.seek.isEnabled()


def test_cancel_and_close_leave_nothing_running(qtbot: QtBot, tmp_path: Path) -> None:
    window, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    dialog.seek.click()
    assert page.is_at_work
    assert window.pages.search_under_way()
    QTest.mouseClick(dialog.stop, Qt.MouseButton.LeftButton)
    assert not dialog.run.is_running
    qtbot.waitUntil(lambda: not multiprocessing.active_children(), timeout=30_000)
    dialog.seek.click()
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.isVisible()
    assert not dialog.run.is_running
    opened(page).seek.click()
    window.document.undo_stack.setClean()
    assert window.close()
    assert not multiprocessing.active_children()
    assert not [thread for thread in threading.enumerate() if "background" in thread.name]


def test_every_control_has_a_name_and_tab_reaches_it(qtbot: QtBot, tmp_path: Path) -> None:
    _, page = desk(qtbot, tmp_path)
    dialog = opened(page)
    sought(dialog, qtbot)
    dialog.table.selectRow(0)
    wanted: set[object] = {dialog.seek, dialog.take, dialog.compare, dialog.close_button, dialog.table}
    wanted |= {field.line for field in dialog.fields["turns"]} | {dialog.turns}
    dialog.turns.setFocus()
    reached: set[object] = set()
    for _ in range(20):
        widget = dialog.focusWidget()
        assert isinstance(widget, QLineEdit | QPushButton | QRadioButton | QTableView)
        said = widget.accessibleName() or (
            widget.text() if isinstance(widget, QPushButton | QRadioButton) else ""
        )
        assert said
        reached.add(widget)
        QTest.keyClick(widget, Qt.Key.Key_Tab)
    assert reached == wanted
