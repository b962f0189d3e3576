"""Importing a trace as a user does it: shown before it is read, corrected in place, refused in words."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.trace_dialog import TraceDialog
from core.physics.sampled_trace import Trace
from core.trace_columns import TraceField
from tests.app.whole_window import open_window

# half a second at rest, a ramp to 1000 rpm, a run, a ramp to rest
ROWS = [
    (0.0, 0.0, 0.0), (0.5, 0.0, 0.0), (1.0, 20.0, 1000.0), (3.0, 10.0, 1000.0), (3.5, -5.0, 0.0),
    (4.0, 0.0, 0.0),
]  # fmt: skip
HEADING = "time [s];torque [mN·m];speed [rpm]"


def written(
    path: Path, heading: str = HEADING, rows: list[str] | None = None, encoding: str = "utf-8"
) -> Path:
    """Write a small trace with decimal commas."""
    lines = rows or [f"{t};{m};{n}".replace(".", ",") for t, m, n in ROWS]
    path.write_text("\n".join((heading, *lines, "")), encoding=encoding)
    return path


def dialog_on(window: MainWindow, path: Path) -> TraceDialog:
    window.traces.show_dialog(path)
    dialog = window.traces.dialog
    assert dialog is not None
    return dialog


def is_read(dialog: TraceDialog) -> bool:
    return dialog.read is not None


def read(qtbot: QtBot, dialog: TraceDialog) -> Trace:
    """Wait until the file is read, and return its trace."""
    qtbot.waitUntil(lambda: is_read(dialog))
    assert dialog.read is not None
    return dialog.read.imported.trace


def duty_from(window: MainWindow) -> str:
    return window.document.project.application.duty_from


def note(dialog: TraceDialog, field: TraceField) -> str:
    return dialog.columns.rows[field].note.text()


def choose(dialog: TraceDialog, field: TraceField, column: int | None = None, unit: str = "") -> None:
    """Choose in the lists as the mouse does."""
    row = dialog.columns.rows[field]
    for chooser, value in ((row.column, column), (row.unit, unit or None)):
        if value is not None:
            index = chooser.findData(value)
            assert index >= 0
            chooser.setCurrentIndex(index)
            chooser.activated.emit(index)


def test_menu_imports_a_trace_as_one_undo_step(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    before = window.document.project
    dialogs.path = written(tmp_path / "run.csv")
    window.menus.import_trace.trigger()
    dialog = window.traces.dialog
    assert dialog is not None
    assert not dialog.accept_button.isEnabled()
    read(qtbot, dialog)
    assert window.document.project == before  # looking changes nothing
    assert "semicolons" in dialog.facts.text()
    assert "heading in row 1" in dialog.facts.text()
    assert dialog.decimal.currentText() == "decimal comma"
    cell = dialog.rows.item(2, 1)
    assert cell is not None
    assert cell.text() == "20,0"
    assert dialog.plot.lines[0] == "torque from −5.00\N{NO-BREAK SPACE}mN·m to 20.0\N{NO-BREAK SPACE}mN·m"
    QTest.mouseClick(dialog.accept_button, Qt.MouseButton.LeftButton)
    application = window.document.project.application
    assert application.duty_from == "trace"
    assert application.trace is not None
    assert (application.trace.file, application.trace.torque.unit) == ("run.csv", "mN·m")
    assert window.document.undo_stack.count() == 1
    assert window.menus.undo.text() == "Undo: Import trace"
    qtbot.waitUntil(lambda: not window.recompute.is_stale)
    result = window.recompute.result
    assert result is not None
    assert result.duty.time[-1] == 4.0
    window.document.undo_stack.undo()
    assert window.document.project == before
    window.document.undo_stack.redo()
    assert window.traces.traces.measured(window.document.project) is not None  # kept in memory


def test_a_trace_in_memory_is_copied_when_the_project_is_saved(qtbot: QtBot, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    window, dialogs = open_window(qtbot)
    dialog = dialog_on(window, written(elsewhere / "run.csv"))
    read(qtbot, dialog)
    assert "kept in memory" in dialog.copying.text()
    dialog.accept()
    dialogs.path = tmp_path / "project.json"
    assert window.save_project()
    assert (tmp_path / "run.csv").read_bytes() == (elsewhere / "run.csv").read_bytes()
    window.open_path(tmp_path / "project.json")
    qtbot.waitUntil(lambda: window.traces.traces.measured(window.document.project) is not None)
    assert window.messages.message("trace") == ""


def test_a_file_elsewhere_is_copied_beside_the_project(qtbot: QtBot, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    window, dialogs = open_window(qtbot)
    dialogs.path = tmp_path / "project.json"
    assert window.save_project()
    (tmp_path / "run.csv").write_text("another file", encoding="utf-8")
    dialog = dialog_on(window, written(elsewhere / "run.csv"))
    read(qtbot, dialog)
    assert "under the name run 2.csv" in dialog.copying.text()
    assert dialog.accept_button.text() == "Copy and import"
    dialog.accept()
    source = window.document.project.application.trace
    assert source is not None
    assert source.file == "run 2.csv"
    assert (tmp_path / "run 2.csv").is_file()
    assert (tmp_path / "run.csv").read_text(encoding="utf-8") == "another file"
    beside = dialog_on(window, tmp_path / "run 2.csv")
    assert beside.copying.text() == ""
    assert beside.accept_button.text() == "Import"
    beside.reject()


def test_missing_units_are_asked_for_with_the_accepted_ones(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    dialog = dialog_on(window, written(tmp_path / "bare.csv", heading="t;torque;n [rpm]"))
    assert not is_read(dialog)
    assert not dialog.background.is_busy  # nothing is read on a guess
    assert "mN·m, N·m" in note(dialog, "torque")
    assert "choose one of s, ms" in note(dialog, "time")
    assert note(dialog, "speed") == "recognised from the heading"
    choose(dialog, "time", unit="s")
    assert note(dialog, "time") == "chosen by hand"
    choose(dialog, "torque", unit="N·m")
    assert read(qtbot, dialog).torque.max() == 20.0
    dialog.accept()
    source = window.document.project.application.trace
    assert source is not None
    assert (source.time.unit, source.torque.unit, source.speed.unit) == ("s", "N·m", "rpm")


def test_a_unit_that_is_none_is_named(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    dialog = dialog_on(window, written(tmp_path / "mass.csv", heading="time [s];torque [kg cm];speed [rpm]"))
    assert "kgf·cm" in note(dialog, "torque")
    dialog.reject()


def test_the_same_column_twice_and_columns_that_both_fit(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    rows = [f"{t};{m};{n};{m / 2}" for t, m, n in ROWS]
    path = written(tmp_path / "two.csv", "time [s];torque [mN·m];speed [rpm];torque [mN·m]", rows)
    dialog = dialog_on(window, path)
    assert "columns 2 and 4 all hold torque: choose one" in note(dialog, "torque")
    choose(dialog, "torque", 2, "mN·m")
    assert "column 3 is chosen for speed too" in note(dialog, "torque")
    assert not dialog.accept_button.isEnabled()
    choose(dialog, "torque", 3)
    trace = read(qtbot, dialog)
    assert trace.torque.max() == pytest.approx(0.010)  # the unit of the heading came with the column
    head = dialog.rows.horizontalHeaderItem(3)
    assert head is not None
    assert head.text().endswith("torque in mN·m")
    dialog.reject()


BAD = {
    "nan": (["0;1;2", "1;nan;2", "2;1;2"], "row 3, column 2: 'nan' is not a finite number"),
    "back": (["0;1;2", "1;1;2", "0.5;1;2"], "row 4, column 1: the time must rise, it goes back"),
    "twice": (["0;1;2", "1;1;2", "1;1;2"], "row 4, column 1: the time must rise, it repeats"),
    "word": (["0;1;2", "1;stop;2", "2;1;2"], "row 3, column 2: 'stop' is not a number"),
    "hole": (["0;1;2", "1;;2", "2;1;2"], "row 3, column 2: the cell is empty"),
    "one": (["0;1;2"], "at least 2 are needed"),
    "comma": (["0.5;1.5;2", "1.5;1.5;2", "2.5;1,5;2"], "is read with a decimal point"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_rows_are_said_with_row_column_and_rule(qtbot: QtBot, tmp_path: Path, name: str) -> None:
    rows, words = BAD[name]
    window, _ = open_window(qtbot)
    before = window.document.project
    dialog = dialog_on(window, written(tmp_path / "bad.csv", rows=rows))
    qtbot.waitUntil(lambda: bool(dialog.message.text()))
    assert words in dialog.message.text()
    assert not dialog.accept_button.isEnabled()
    dialog.accept()
    assert window.document.project is before
    dialog.reject()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the file is empty"),
        (b"\x00\x01\x02" * 50, "no text file"),
        (b"only words\nand more of them\n", "three columns"),
        (b"1;2\n3;4\n5;6\n", "three columns"),
    ],
)
def test_what_is_no_trace_is_refused_at_once(
    qtbot: QtBot, tmp_path: Path, content: bytes, words: str
) -> None:
    path = tmp_path / "no.csv"
    path.write_bytes(content)
    window, _ = open_window(qtbot)
    dialog = dialog_on(window, path)
    assert words in dialog.message.text()
    assert not dialog.stop.isEnabled()
    dialog.reject()
    gone = dialog_on(window, tmp_path / "gone.csv")
    assert "No such file" in gone.message.text()
    gone.reject()


def test_the_decimal_mark_can_be_corrected(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    rows = ["0,5;1;2", "1.5;1.5;2", "2.5;1.5;2"]
    dialog = dialog_on(window, written(tmp_path / "mixed.csv", rows=rows))
    qtbot.waitUntil(lambda: "decimal comma" in dialog.message.text())
    dialog.decimal.setCurrentIndex(1)
    dialog.decimal.activated.emit(1)
    qtbot.waitUntil(lambda: "row 3, column 1: '1.5' has a decimal point" in dialog.message.text())
    dialog.reject()


def test_gaps_are_said_before_the_import(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    rows = [f"{t};1;2" for t in (0, 1, 2, 3, 4, 40, 41)]
    dialog = dialog_on(window, written(tmp_path / "gap.csv", rows=rows))
    read(qtbot, dialog)
    assert "ends in row 7" in dialog.message.text()
    assert dialog.accept_button.isEnabled()
    dialog.reject()


def test_reading_can_be_stopped_and_begun_again(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    rows = "\n".join(f"{k / 1000:.3f},{k % 7},{k % 11}" for k in range(200_000))
    path.write_text(f"time [s],torque [mN·m],speed [rpm]\n{rows}\n", encoding="utf-8")
    window, _ = open_window(qtbot)
    dialog = dialog_on(window, path)
    assert dialog.background.is_busy
    QTest.mouseClick(dialog.stop, Qt.MouseButton.LeftButton)
    assert "stopped" in dialog.message.text()
    assert dialog.stop.text() == "Read the file"
    qtbot.wait(100)
    assert not is_read(dialog)
    assert dialog.progress.value() == 0
    QTest.mouseClick(dialog.stop, Qt.MouseButton.LeftButton)
    shares: list[float] = []
    dialog.background.progressed.connect(shares.append)
    assert read(qtbot, dialog).time.size == 200_000
    assert shares
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert dialog.plot.picture is not None
    assert dialog.plot.picture.torque.low.size == 600
    dialog.reject()


def test_closing_the_dialog_while_it_reads_changes_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    before = window.document.project
    dialog = dialog_on(window, written(tmp_path / "run.csv"))
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert not dialog.background.is_busy
    assert window.traces.dialog is None
    assert window.document.project is before
    assert window.document.undo_stack.count() == 0


def test_place_and_rotor_reach_the_project_and_come_back(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    dialog = dialog_on(window, written(tmp_path / "run.csv"))
    read(qtbot, dialog)
    dialog.options.smoothed.setValue(5)
    assert "over 5 intervals" in dialog.options.meaning.text()
    dialog.accept()
    source = window.document.project.application.trace
    assert source is not None
    assert (source.at, source.contains_rotor, source.smoothed_over) == ("motor shaft", False, 5)
    window.traces.choose_columns()
    again = window.traces.dialog
    assert again is not None
    assert again.options.smoothed.value() == 5
    read(qtbot, again)
    again.options.contains_rotor.setChecked(True)
    again.options.place.setCurrentIndex(1)
    assert not again.options.contains_rotor.isEnabled()  # a load has no rotor
    again.accept()
    source = window.document.project.application.trace
    assert source is not None
    assert (source.at, source.contains_rotor, source.smoothed_over) == ("load", False, 5)


def test_the_menu_leads_back_to_segments_and_to_the_trace(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    cycle = window.document.project.application.duty_cycle
    dialog = dialog_on(window, written(tmp_path / "run.csv"))
    read(qtbot, dialog)
    dialog.accept()
    window.menus.fill_duty()
    segments, load, trace = window.menus.duty.actions()
    assert [action.isEnabled() for action in (segments, load, trace)] == [True, False, True]
    assert trace.isChecked()
    segments.trigger()
    assert duty_from(window) == "segments"
    assert window.document.project.application.duty_cycle == cycle
    window.menus.fill_duty()
    window.menus.duty.actions()[2].trigger()
    assert duty_from(window) == "trace"


def test_what_moves_leads_to_the_import_and_to_the_columns(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    group = window.bench.inputs.what_moves
    dialogs.path = None
    group.source.chosen.emit("trace")
    assert dialogs.questions == ["Import a measured trace"]
    assert duty_from(window) == "segments"
    assert group.source.currentText() == "segments, entered"  # nothing was picked, so nothing is chosen
    dialogs.path = written(tmp_path / "run.csv")
    group.source.chosen.emit("trace")
    dialog = window.traces.dialog
    assert dialog is not None
    read(qtbot, dialog)
    dialog.accept()
    assert group.source.currentText() == "measured trace"
    assert group.facts.text() == "run.csv, measured at the motor shaft."
    assert group.columns.isVisible()
    QTest.mouseClick(group.columns, Qt.MouseButton.LeftButton)
    again = window.traces.dialog
    assert again is not None
    assert again.path == dialogs.path
    again.reject()


def test_a_dropped_trace_opens_the_dialog(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(written(tmp_path / "run.csv")))])
    place, left = QPointF(5, 5), Qt.MouseButton.LeftButton
    window.dropEvent(QDropEvent(place, Qt.DropAction.CopyAction, mime, left, Qt.KeyboardModifier.NoModifier))
    qtbot.waitUntil(lambda: window.traces.dialog is not None)
    dialog = window.traces.dialog
    assert dialog is not None
    assert dialog.path == tmp_path / "run.csv"
    dialog.reject()
    assert window.messages.message("failure") == ""


def test_a_read_only_project_takes_no_trace(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    window.document.read_only_reason = "This file is of a later version."
    dialogs.path = written(tmp_path / "run.csv")
    window.menus.import_trace.trigger()
    assert window.traces.dialog is None
    assert "later version" in window.messages.message("failure")
    window.document.read_only_reason = ""
