"""Entering a motor as a user does it: required figures, comparisons, saving, candidate, leaving."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from threading import Event

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.part_entry import parts_saving
from app.part_entry.csv_entry import CsvEntry
from app.part_entry.figure_form import FigureForm
from app.part_entry.motor_entry import MotorEntry
from app.part_entry.parts_saving import save_parts
from app.preferences import Preferences
from app.widgets.quantity_edit import QuantityEdit
from core.catalogue.csv_import import parts_of_table
from core.catalogue.motor_draft import MotorDraft
from core.catalogue.parts_file import PartsFile, read_parts, write_parts
from core.units import Kind
from tests.app.whole_window import AnsweredDialogs, open_window, type_into

SAMPLE = Path(__file__).resolve().parents[2] / "sample_projects" / "sample_carousel.json"


class _Dialogs(AnsweredDialogs):
    def ask_file_to_add_to(self, parent: QWidget, title: str, proposed: str, kinds: str) -> Path | None:
        self.questions.append(proposed)
        return self.path


def opened(qtbot: QtBot) -> tuple[MainWindow, MotorEntry, _Dialogs]:
    window, _ = open_window(qtbot)
    dialogs = _Dialogs()
    window.dialogs = dialogs
    window.menus.enter_motor.trigger()
    entry = window.parts.entry
    assert entry is not None
    return window, entry, dialogs


@pytest.fixture
def alone(qtbot: QtBot) -> Iterator[tuple[MotorEntry, _Dialogs]]:
    """The editor without the main window; leaving it at the end is not asked about."""
    dialogs = _Dialogs()
    entry = MotorEntry(Preferences(), dialogs, lambda motor: None, lambda path, parts: None)
    qtbot.addWidget(entry)
    with qtbot.waitExposed(entry):
        entry.show()
    entry.activateWindow()
    yield entry, dialogs
    dialogs.unsaved = "discard"


def give(form: FigureForm, **figures: str) -> None:
    """Type figures and choose words, each named as its label with _ for a blank."""
    for name, text in figures.items():
        row = form.rows[name.replace("_", " ").replace("EMF ", "EMF ")]
        editor = row.editor
        if isinstance(editor, QComboBox):
            index = editor.findData(text)
            assert index >= 0, text
            editor.setCurrentIndex(index)
            editor.activated.emit(index)
        elif isinstance(editor, QuantityEdit):
            type_into(editor.line, text)
        else:
            assert isinstance(editor, QLineEdit)
            type_into(editor, text)


def fill(entry: MotorEntry, name: str = "disc 60") -> None:
    """Enter what is needed and nothing else."""
    give(entry.form.frame, frame=name, pole_pairs="7")
    give(
        entry.form.windings.forms[0], winding="24 V", torque_constant="49.5",
        torque_constant_meaning="per link ampere, six-step", resistance="1200 mohm", inductance="0,6",
    )  # fmt: skip
    give(entry.form.variants.forms[0], variant="open rotor", rotor_inertia="105")
    entry.refresh()


def wait_until_read(qtbot: QtBot, table: CsvEntry) -> None:
    qtbot.waitUntil(lambda: not table.background.is_busy)


def words(entry: MotorEntry) -> str:
    return "\n".join(entry.results.texts).replace("\N{NO-BREAK SPACE}", " ")


def test_what_is_needed_is_listed_and_leads_to_its_field(
    qtbot: QtBot, alone: tuple[MotorEntry, _Dialogs]
) -> None:
    entry, _ = alone
    assert not entry.save_button.isEnabled()
    assert "Still needed" in words(entry)
    links = entry.results.findChildren(QPushButton)
    wanted = next(link for link in links if link.text().startswith("variant 1: rotor inertia"))
    QTest.mouseClick(wanted, Qt.MouseButton.LeftButton)
    field = entry.form.variants.forms[0].rows["rotor inertia"].editor
    assert isinstance(field, QuantityEdit)
    assert entry.focusWidget() is field.line


def test_the_needed_figures_make_a_motor_with_its_canonical_set(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    fill(entry)
    assert entry.save_button.isEnabled()
    motor = entry.reading.motor
    assert motor is not None
    assert motor.windings[0].resistance.value == pytest.approx(1.2)
    assert motor.variants[0].rotor_inertia == pytest.approx(105e-7)
    assert "49.50 mN·m/A" in words(entry)


def test_a_constant_asks_for_its_meaning(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    fill(entry)
    give(entry.form.windings.forms[0], **{"back-EMF_constant": "5.4 V/krpm"})
    entry.refresh()
    assert "winding 24 V: back-EMF constant meaning, which volt is meant" in words(entry)
    assert not entry.save_button.isEnabled()


def test_a_contradiction_is_explained_as_it_is_typed(
    qtbot: QtBot, alone: tuple[MotorEntry, _Dialogs]
) -> None:
    entry, _ = alone
    fill(entry)
    # 24 V over 1.2 ohm is 20 A; half of it means the resistance of one phase of a star
    give(entry.form.windings.forms[0], sheet_voltage="24", stall_current="10")
    qtbot.waitUntil(lambda: "stall current" in words(entry))
    assert "1 of 1 contradict" in words(entry)
    assert "10.00 against 20.00 A, −50.0 %" in words(entry)
    assert "If the resistance means 'phase of star' and not 'line-to-line', nothing contradicts." in words(
        entry
    )
    give(entry.form.windings.forms[0], resistance_meaning="phase of star")
    qtbot.waitUntil(lambda: "none contradicts" in words(entry))


def test_text_that_cannot_be_read_stays_and_forbids_saving(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    fill(entry)
    give(entry.form.frame, pole_pairs="7.5")
    entry.refresh()
    field = entry.form.frame.rows["pole pairs"].editor
    assert isinstance(field, QuantityEdit)
    assert field.line.text() == "7.5"
    assert "must be a whole number" in field.message.text()
    assert "One field cannot be read" in words(entry)
    assert not entry.save_button.isEnabled()


def test_saving_adds_to_a_file_and_puts_it_on_the_shelf(qtbot: QtBot, tmp_path: Path) -> None:
    window, entry, dialogs = opened(qtbot)
    dialogs.path = tmp_path / "own.json"
    fill(entry)
    entry.save_button.click()
    assert dialogs.questions == ["disc_60.json"]
    assert [motor.name for motor in read_parts(dialogs.path).motors] == ["disc 60"]
    assert [motor.name for motor in window.shelf.motors] == ["disc 60"]
    give(entry.form.frame, frame="disc 80")
    entry.save_button.click()
    assert [motor.name for motor in read_parts(dialogs.path).motors] == ["disc 60", "disc 80"]


def test_a_part_of_the_same_name_is_replaced_only_when_asked(
    alone: tuple[MotorEntry, _Dialogs], tmp_path: Path
) -> None:
    entry, dialogs = alone
    dialogs.path = tmp_path / "own.json"
    fill(entry)
    entry.save_button.click()
    give(entry.form.frame, pole_pairs="8")
    entry.save_button.click()
    assert "it already has motor disc 60" in entry.message.text()
    assert read_parts(dialogs.path).motors[0].pole_pairs == 7
    assert not entry.replace_button.isHidden()
    entry.replace_button.click()
    assert read_parts(dialogs.path).motors[0].pole_pairs == 8


def test_a_file_that_is_no_parts_file_is_left_alone(
    alone: tuple[MotorEntry, _Dialogs], tmp_path: Path
) -> None:
    entry, dialogs = alone
    dialogs.path = tmp_path / "letter.json"
    dialogs.path.write_text("dear friend", encoding="utf-8")
    fill(entry)
    entry.save_button.click()
    assert entry.message.text().startswith("Not saved: ")
    assert dialogs.path.read_text(encoding="utf-8") == "dear friend"
    assert entry.form.draft().frame["frame"] == "disc 60"


def test_a_candidate_is_one_undo_step(qtbot: QtBot) -> None:
    window, entry, _ = opened(qtbot)
    before = window.document.project
    fill(entry)
    entry.use_button.click()
    added = window.document.project.candidates[-1]
    assert added.motor is not None
    assert (added.motor.name, added.winding, added.variant) == ("disc 60", "24 V", "open rotor")
    window.document.undo_stack.undo()
    assert window.document.project == before


@pytest.mark.parametrize(("answer", "stays"), [("cancel", True), ("discard", False)])
def test_leaving_with_unsaved_figures_asks_once(qtbot: QtBot, answer: str, stays: bool) -> None:
    window, entry, dialogs = opened(qtbot)
    dialogs.unsaved = "cancel" if answer == "cancel" else "discard"
    give(entry.form.frame, frame="disc 60")
    QTest.keyClick(entry.close_button, Qt.Key.Key_Escape)
    assert dialogs.questions == ["unsaved"]
    assert (window.parts.entry is not None) is stays
    if stays:
        assert entry.form.draft().frame["frame"] == "disc 60"
        dialogs.unsaved = "discard"
        entry.reject()


def test_leaving_an_untouched_or_saved_entry_asks_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    window, entry, dialogs = opened(qtbot)
    entry.reject()
    window.menus.enter_motor.trigger()
    again = window.parts.entry
    assert again is not None
    assert again is not entry
    dialogs.path = tmp_path / "own.json"
    fill(again)
    again.save_button.click()
    again.reject()
    assert dialogs.questions == ["disc_60.json"]


def test_closing_the_window_asks_for_the_entry_too(qtbot: QtBot) -> None:
    window, entry, dialogs = opened(qtbot)
    give(entry.form.frame, frame="disc 60")
    window.close()
    assert dialogs.questions == ["unsaved"]
    assert window.isVisible()
    dialogs.unsaved = "discard"


def test_windings_are_added_copied_and_removed(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    fill(entry)
    tabs = entry.form.windings
    tabs.copy_button.click()
    give(tabs.forms[1], winding="48 V", torque_constant="99", resistance="4.8", inductance="2.4")
    entry.refresh()
    assert [tabs.bar.tabText(index) for index in range(2)] == ["winding 24 V", "winding 48 V"]
    motor = entry.reading.motor
    assert motor is not None
    assert [winding.name for winding in motor.windings] == ["24 V", "48 V"]
    tabs.remove_button.click()
    entry.refresh()
    assert [figures["winding"] for figures in entry.form.draft().windings] == ["24 V"]


def test_there_are_at_most_two_variants(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    entry.form.variants.add()
    assert not entry.form.variants.add_button.isEnabled()


def test_a_draft_shown_is_given_back_and_opens_what_it_fills(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, dialogs = alone
    draft = MotorDraft(
        {"frame": "disc 60", "pole pairs": 7.0, "slots": 12.0},
        ({"winding": "24 V", "stall current": 10.0}, {"winding": "48 V"}),
        ({"variant": "enclosed", "mass": 0.2},),
    )
    entry.set_draft(draft)
    assert entry.form.frame.own_figures() == draft.frame
    assert [form.own_figures() for form in entry.form.windings.forms] == list(draft.windings)
    assert entry.form.windings.forms[0].folds["at a voltage"].isChecked()
    assert not entry.form.windings.forms[1].folds["at a voltage"].isChecked()
    dialogs.unsaved = "discard"


def test_every_field_has_a_name_and_a_label_that_leads_to_it(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    forms = (entry.form.frame, entry.form.windings.forms[0], entry.form.variants.forms[0])
    for row in (row for form in forms for row in form.rows.values()):
        assert row.label.buddy() is row.editor
        field = row.editor.line if isinstance(row.editor, QuantityEdit) else row.editor
        assert field.accessibleName()


def test_tab_leads_from_a_figure_to_its_meaning(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, _ = alone
    rows = entry.form.windings.forms[0].rows
    value, meaning = rows["torque constant"].editor, rows["torque constant meaning"].editor
    assert isinstance(value, QuantityEdit)
    value.line.setFocus()
    QTest.keyClick(value.line, Qt.Key.Key_Tab)
    assert entry.focusWidget() is meaning


def test_enter_takes_a_figure_and_presses_nothing(alone: tuple[MotorEntry, _Dialogs]) -> None:
    entry, dialogs = alone
    fill(entry)
    line = entry.form.frame.rows["frame"].editor
    QTest.keyClick(line, Qt.Key.Key_Return)
    assert dialogs.questions == []
    assert entry.isVisible()


def test_figures_follow_the_display_units(qtbot: QtBot) -> None:
    window, entry, dialogs = opened(qtbot)
    fill(entry)
    units = window.preferences.display_units.with_units({Kind.INERTIA: "kg*mm^2"})
    window.preferences.display_units = units
    field = entry.form.variants.forms[0].rows["rotor inertia"].editor
    assert isinstance(field, QuantityEdit)
    assert field.line.text() == "10.5"  # 105 g cm2
    dialogs.unsaved = "discard"


def test_nothing_of_it_is_loaded_before_it_is_asked_for() -> None:
    parts = ("app.part_entry", "core.catalogue.sheet", "core.catalogue.csv", "core.catalogue.motor_draft")
    code = f"import sys, app.main_window; print([m for m in sys.modules if m.startswith({parts})])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


TABLE = """\
frame,pole pairs,variant,rotor inertia [g cm2],winding,torque constant [mN m/A],torque constant meaning,\
resistance [ohm],inductance [mH]
disc 60,7,open rotor,105,24 V,49.5,"per link ampere, six-step",1.2,0.6
disc 60,7,open rotor,105,48 V,wrong,"per link ampere, six-step",4.8,2.4
"""


def test_a_table_is_shown_with_its_bad_rows_and_saved(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    dialogs = _Dialogs()
    window.dialogs = dialogs
    dialogs.path = tmp_path / "own.csv"
    dialogs.path.write_text(TABLE, encoding="utf-8")
    window.menus.import_parts.trigger()
    table = window.parts.table
    assert table is not None
    assert not table.save_button.isEnabled()
    wait_until_read(qtbot, table)
    assert table.summary.text() == "1 motor, 1 winding; 1 row taken, 1 not"
    assert "line 3, torque constant: 'wrong' does not begin with a number" in table.text.toPlainText()
    dialogs.path.write_text(TABLE.replace("wrong", "99"), encoding="utf-8")
    table.read_button.click()
    wait_until_read(qtbot, table)
    assert table.summary.text() == "1 motor, 2 windings; 2 rows taken, 0 not"
    dialogs.path = tmp_path / "own.json"
    table.save_button.click()
    qtbot.waitUntil(lambda: window.parts.table is None)
    assert len(read_parts(dialogs.path).motors[0].windings) == 2
    assert [motor.name for motor in window.shelf.motors] == ["disc 60"]


def test_saving_a_table_under_names_that_are_taken_offers_to_replace(qtbot: QtBot, tmp_path: Path) -> None:
    table, _, target = table_to_save(qtbot, tmp_path)
    save_parts(target, parts_of_table(TABLE.replace(",7,", ",6,").encode()).parts, replacing=False)
    table.save_button.click()
    assert table.progress.isVisible()
    assert not table.save_button.isEnabled()
    qtbot.waitUntil(lambda: not table.background.is_busy)
    assert "with other figures" in table.message.text()
    assert not table.progress.isVisible()
    with qtbot.waitSignal(table.finished):
        table.replace_button.click()
    assert read_parts(target).motors[0].pole_pairs == 7


def test_a_saving_that_is_stopped_writes_nothing(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table, _, target = table_to_save(qtbot, tmp_path)
    save_parts(target, parts_of_table(TABLE.replace("disc 60", "disc 50").encode()).parts, replacing=False)
    before = target.read_bytes()
    may_go_on = Event()

    def slow(path: Path) -> PartsFile:
        may_go_on.wait()
        return read_parts(path)

    monkeypatch.setattr(parts_saving, "read_parts", slow)
    table.save_button.click()
    table.reject()
    assert table.isVisible(), "it stays to tell how the saving ended"
    may_go_on.set()
    qtbot.waitUntil(lambda: not table.background.is_busy)
    assert "stopped" in table.message.text()
    assert target.read_bytes() == before
    table.reject()
    assert not table.isVisible()


def table_to_save(qtbot: QtBot, folder: Path) -> tuple[CsvEntry, _Dialogs, Path]:
    """Return a table that is read, with a file to save it to."""
    window, _ = open_window(qtbot)
    window.dialogs = dialogs = _Dialogs()
    source = folder / "own.csv"
    source.write_text(TABLE.replace("wrong", "99"), encoding="utf-8")
    dialogs.path = folder / "own.json"
    window.parts.show_table(source)
    table = window.parts.table
    assert table is not None
    wait_until_read(qtbot, table)
    return table, dialogs, dialogs.path


def test_reading_a_table_can_be_stopped_and_begun_again(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    path = tmp_path / "own.csv"
    path.write_text(TABLE, encoding="utf-8")
    window.parts.show_table(path)
    table = window.parts.table
    assert table is not None
    assert table.stop_button.isVisible()
    table.stop_button.click()
    assert table.summary.text() == "Reading was stopped; nothing is imported"
    assert not table.stop_button.isVisible()
    assert not table.save_button.isEnabled()
    table.read_button.click()
    wait_until_read(qtbot, table)
    assert table.summary.text() == "1 motor, 1 winding; 1 row taken, 1 not"
    table.reject()


def test_a_table_that_cannot_be_read_says_why(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    path = tmp_path / "own.csv"
    path.write_bytes(b"frame,winding\nm\xfcller,y\n")
    window.parts.show_table(path)
    table = window.parts.table
    assert table is not None
    wait_until_read(qtbot, table)
    assert "byte 0xFC" in table.text.toPlainText()
    assert not table.save_button.isEnabled()
    table.reject()


def test_the_chosen_motor_is_saved_but_never_over_another(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, SAMPLE)
    dialogs = _Dialogs()
    window.dialogs = dialogs
    dialogs.path = tmp_path / "own.json"
    chosen = window.document.project.chosen_candidate
    assert chosen is not None
    assert chosen.motor is not None
    window.menus.save_parts.trigger()
    assert read_parts(dialogs.path).motors == (chosen.motor,)
    other = replace(chosen.motor, pole_pairs=chosen.motor.pole_pairs + 1)
    write_parts(dialogs.path, PartsFile(motors=(other,)))
    window.menus.save_parts.trigger()
    assert read_parts(dialogs.path).motors == (other,)
    assert "with other figures" in window.messages.message("failure")
