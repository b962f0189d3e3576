"""Candidates in the head of the window: moved by hand and keys, renamed, dropped with a reason, undone."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.widgets.candidate_chip import CandidateChip
from core.charts.chart import MOST_CANDIDATES
from core.project import edits
from tests.app.whole_window import open_window, type_into

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    window, _ = open_window(qtbot)
    window.candidate_asked("empty", -1)
    return window


def names(window: MainWindow) -> list[str]:
    return [candidate.name for candidate in window.document.project.candidates]


def drag(chip: CandidateChip, away: int) -> None:
    """Drag a chip along the row and let it go."""
    start = chip.rect().center()
    QTest.mousePress(chip, LEFT, pos=start)
    QTest.mouseMove(chip, start + QPoint(away // 2, 0))
    QTest.mouseMove(chip, start + QPoint(away - away // 2, 0))
    QTest.mouseRelease(chip, LEFT, pos=start)
    QApplication.processEvents()


def test_an_empty_candidate_asks_for_its_frame(window: MainWindow) -> None:
    added = window.document.project.candidates[-1]
    assert added.motor is None
    assert len(names(window)) == 3
    assert window.document.undo_stack.undoText() == "Add an empty candidate"


def test_a_chip_is_dragged_to_another_place(window: MainWindow) -> None:
    a, b, c = names(window)
    chosen = window.document.project.chosen_candidate
    first, last = window.header.chips[0], window.header.chips[-1]
    drag(first, last.geometry().right() - first.geometry().left())
    assert names(window) == [b, c, a]
    assert window.document.project.chosen_candidate == chosen
    assert window.header.chips[2].text().endswith(a)
    assert window.header.chips[0].geometry().left() < window.header.chips[1].geometry().left()
    window.document.undo_stack.undo()
    assert names(window) == [a, b, c]


def test_a_chip_let_go_where_it_was_changes_nothing(window: MainWindow) -> None:
    before, count = window.document.project, window.document.undo_stack.count()
    chip = window.header.chips[1]
    place = chip.geometry()
    drag(chip, 2 * QApplication.startDragDistance() + 4)
    assert window.document.project is before
    assert window.document.undo_stack.count() == count
    assert chip.geometry() == place


def test_a_short_press_still_chooses(window: MainWindow) -> None:
    QTest.mouseClick(window.header.chips[2], LEFT)
    assert window.document.project.chosen == names(window)[2]


def test_keys_move_a_candidate_and_stop_at_the_ends(window: MainWindow) -> None:
    a, b, c = names(window)
    control = Qt.KeyboardModifier.ControlModifier
    QTest.keyClick(window.header.chips[0], Qt.Key.Key_Right, control)
    assert names(window) == [b, a, c]
    count = window.document.undo_stack.count()
    QTest.keyClick(window.header.chips[0], Qt.Key.Key_Left, control)
    QTest.keyClick(window.header.chips[2], Qt.Key.Key_Right, control)
    assert names(window) == [b, a, c]
    assert window.document.undo_stack.count() == count
    QTest.keyClick(window.header.chips[1], Qt.Key.Key_Delete)
    assert names(window) == [b, c]


def test_renaming_leads_to_the_name(window: MainWindow) -> None:
    panel = window.bench.inputs.what_drives_it
    panel.set_open(False)
    QTest.keyClick(window.header.chips[1], Qt.Key.Key_F2)
    editor = panel.columns[1].name
    assert panel.is_open
    assert editor.hasFocus()
    type_into(editor, "The long one")
    assert names(window)[1] == "The long one"
    assert window.header.chips[1].text() == "B  The long one"


def test_a_dropped_candidate_says_so_in_words_and_can_be_taken_back(window: MainWindow) -> None:
    chip = window.header.chips[1]
    window.candidate_asked("drop", 1)
    assert window.bench.inputs.what_drives_it.verdict.is_open
    project = window.document.project
    window.document.edit(edits.change_candidate(project, 1, dropped_because="too hot in the box"), "Drop")
    assert [one.is_dropped for one in window.header.chips] == [False, True, False]
    assert chip.toolTip().endswith("dropped: too hot in the box")
    assert chip.accessibleDescription().endswith("dropped: too hot in the box")
    window.document.undo_stack.undo()
    assert not any(one.is_dropped for one in window.header.chips)
    assert "dropped" not in chip.toolTip()


def test_more_candidates_than_have_lines_of_their_own_are_shown_and_one_more_is_refused(
    qtbot: QtBot,
) -> None:
    window, _ = open_window(qtbot)
    project = window.document.project
    many = tuple(replace(project.candidates[0], name=f"number {i}") for i in range(MOST_CANDIDATES + 2))
    window.document.edit(replace(project, candidates=many, chosen=None), "Many")
    QApplication.processEvents()
    assert len(window.header.chips) == len(window.bench.inputs.what_drives_it.columns) == MOST_CANDIDATES + 2
    assert window.recompute.result is not None
    assert len(window.recompute.result.candidates) == MOST_CANDIDATES + 2
    count = window.document.undo_stack.count()
    window.candidate_asked("duplicate", 0)
    assert window.document.undo_stack.count() == count
    assert f"at most {MOST_CANDIDATES} candidates" in window.messages.message("failure")


def test_the_menu_adds_a_candidate_with_a_frame_of_the_shelf(window: MainWindow) -> None:
    window.menus.fill_frames()
    window.menus.frames.actions()[-1].trigger()
    assert window.document.project.candidates[-1].motor == window.shelf.motors[-1]


def test_a_word_that_means_no_candidate_changes_nothing(window: MainWindow) -> None:
    """Pages ask for other things by the same way, as for the sheet to be saved."""
    before = window.document.project
    for word, index in (("save sheet", -1), ("choose", 99), ("remove", -1)):
        window.candidate_asked(word, index)
    assert window.document.project is before
