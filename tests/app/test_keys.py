"""Help > Keys and mouse lists what there is, no key does two things, and F1 helps in dialogs too."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QWidget
from pytestqt.qtbot import QtBot

from app import gestures
from app.help_window import HelpWindow
from app.key_list import key_list, keys_of
from app.keys_dialog import KeysDialog
from app.main_window import MainWindow
from app.pages import PAGES
from app.trace_dialog import TraceDialog
from app.units_dialog import UnitsDialog
from core.quantity_help import help_on
from core.units import DisplayUnits, Kind
from tests.app.whole_window import open_window


def everything(qtbot: QtBot) -> MainWindow:
    """Return a window that has made every page."""
    window, _ = open_window(qtbot)
    for page in PAGES:
        window.turn_to(page.name)
    return window


def test_every_action_with_a_key_is_listed(qtbot: QtBot) -> None:
    window = everything(qtbot)
    listed = Counter(one.how for one in keys_of(window))
    native = QKeySequence.SequenceFormat.NativeText
    there = {
        key.toString(native) for action in window.findChildren(QAction) for key in action.shortcuts()
    } - {""}
    assert len(there) > 20
    assert there <= set(listed)
    assert {"Ctrl+S", "F1", "F8", "Alt+1"} <= set(listed)


def test_no_key_does_two_things_in_one_place(qtbot: QtBot) -> None:
    window = everything(qtbot)
    found = keys_of(window)
    assert all(one.what and one.where.strip(" On:") for one in found)
    menus = [one.how for one in found if one.where.startswith("Menu")]
    assert len(menus) == len(set(menus))
    for where in {one.where for one in found}:
        keys = [one.how for one in found if one.where == where]
        assert len(keys) == len(set(keys)), where
    every = Counter((one.where, one.how) for one in gestures.GESTURES)
    assert set(every.values()) == {1}


def test_a_new_candidate_has_its_key_at_once(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.candidate_asked("duplicate", 0)
    count = len(window.document.project.candidates)
    QTest.keyClick(window, getattr(Qt.Key, f"Key_{count}"), Qt.KeyboardModifier.AltModifier)
    project = window.document.project
    assert project.chosen_candidate is project.candidates[count - 1]


def test_keys_of_a_candidate_do_what_the_list_says(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    chip = window.header.chips[0]
    asked: list[str] = []
    chip.asked.disconnect()
    chip.asked.connect(lambda word, _index: asked.append(word))
    for key in gestures.CHIP_KEYS:
        press = QKeySequence(key)[0]  # type: ignore[index]
        QTest.keyClick(chip, press.key(), press.keyboardModifiers())
    assert asked == list(gestures.CHIP_KEYS.values())


def test_the_list_is_shown_and_can_be_searched(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    dialog = KeysDialog(window)
    qtbot.addWidget(dialog)
    lines = sum(place.childCount() for place in dialog.places.values())
    assert lines == len(key_list(window))
    dialog.seek.setText("round values")
    left = [
        place.child(number).text(1)
        for place in dialog.places.values()
        for number in range(place.childCount())
        if not place.isHidden() and not place.child(number).isHidden()
    ]
    assert left == ["stop at round values"]


def help_of(dialog: QDialog) -> HelpWindow:
    found = dialog.findChildren(HelpWindow)
    assert len(found) == 1
    return found[0]


def press_in(qtbot: QtBot, dialog: QDialog, field: QWidget, shift: bool = False) -> None:
    dialog.show()
    QApplication.processEvents()  # what made another window the active one is over
    with qtbot.waitActive(dialog):
        dialog.activateWindow()
    field.setFocus()
    modifier = Qt.KeyboardModifier.ShiftModifier if shift else Qt.KeyboardModifier.NoModifier
    qtbot.waitUntil(lambda: QApplication.activeWindow() is dialog)
    QTest.keyClick(field, Qt.Key.Key_F1, modifier)
    qtbot.waitUntil(lambda: bool(dialog.findChildren(HelpWindow)))


def test_f1_in_the_parts_editor_tells_of_the_figure(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.menus.enter_motor.trigger()
    entry = window.parts.entry
    assert entry is not None
    row = entry.form.frame.rows["pole pairs"]
    press_in(qtbot, entry, row.editor.focusProxy() or row.editor)
    helped = help_of(entry)
    assert helped.isVisible()
    assert row.figure.hint in helped.content.text.toPlainText()
    helped.content.found.setCurrentRow(0)
    assert helped.content.key == "motor.pole_pairs"
    assert help_on("motor.pole_pairs").meaning in helped.content.text.toPlainText()
    entry.reject()


def test_f1_and_the_search_work_in_the_dialog_of_units(qtbot: QtBot) -> None:
    dialog = UnitsDialog(DisplayUnits())
    qtbot.addWidget(dialog)
    press_in(qtbot, dialog, dialog.lists[Kind.TORQUE])
    assert "typed" in help_of(dialog).content.text.toPlainText()
    press_in(qtbot, dialog, dialog.lists[Kind.TORQUE], shift=True)
    qtbot.waitUntil(help_of(dialog).content.search.hasFocus)


def test_f1_works_in_the_import_of_a_trace(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    dialog = TraceDialog(window.preferences, None)
    qtbot.addWidget(dialog)
    path = tmp_path / "trace.csv"
    path.write_text("time s,torque Nm,speed rpm\n" + "".join(f"{k},0.1,100\n" for k in range(20)))
    dialog.show_file(path)
    press_in(qtbot, dialog, dialog.columns.rows["torque"].column)
    assert "motor shaft" in help_of(dialog).content.text.toPlainText()
    dialog.reject()
