"""Files as a user meets them: saved and opened equal, refused in words, the old project never lost."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QCloseEvent, QDropEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.files import FIRST_SAMPLE, sample_files
from app.main_window import MainWindow
from app.preferences import Preferences
from core.project import edits
from core.project.project import PROJECT_VERSION
from core.project.project_file import read_project
from tests.app.whole_window import open_window


def rename(window: MainWindow, title: str) -> None:
    project = window.document.project
    window.document.edit(edits.change_application(project, title=title), f"Call it {title}")


def sample_text() -> str:
    return FIRST_SAMPLE.read_text(encoding="utf-8")


def test_saved_and_opened_again_is_equal(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    rename(window, "Tube carousel Ω")
    dialogs.path = tmp_path / "tubes"
    assert window.save_project()
    saved = tmp_path / "tubes.json"  # the ending is added
    assert read_project(saved) == window.document.project
    window.new_project()
    assert window.document.project.candidates == ()
    window.open_path(saved)
    assert window.document.project == read_project(saved)
    assert not window.files.is_unsaved
    assert dialogs.questions == ["Save the project"]


def test_title_tells_file_and_unsaved_changes(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    assert window.windowTitle() == "Sample carousel, no file[*] – Ampturn"
    assert not window.isWindowModified()
    rename(window, "Tubes")
    assert window.isWindowModified()
    assert window.header.state.text() == "changed, not saved"
    dialogs.path = tmp_path / "a.json"
    window.save_project()
    assert window.windowTitle() == "Tubes, a.json[*] – Ampturn"
    assert not window.isWindowModified()
    window.document.undo_stack.undo()  # the file has the later state, so this is a change
    assert window.isWindowModified()
    window.document.undo_stack.redo()
    assert not window.isWindowModified()


def changed(change: Callable[[dict[str, object]], object]) -> bytes:
    raw = json.loads(sample_text())
    change(raw)
    return json.dumps(raw).encode()


BAD_FILES: dict[str, tuple[bytes, str]] = {
    "not JSON": (b"{", "not valid JSON"),
    "empty": (b"", "not valid JSON"),
    "noise": (bytes(range(256)) * 50, "not valid JSON"),
    "another kind of file": (b"[1, 2]", "JSON object"),
    "another format": (b'{"format": "something else", "version": 1}', "format"),
    "wrong type": (changed(lambda raw: raw.update(candidates="none")), "candidates"),
    "NaN": (sample_text().replace("21.6", "NaN").encode(), "not valid JSON"),
    "negative duration": (
        changed(lambda raw: raw["application"]["duty_cycle"][1].update(duration_s=-1.0)),  # type: ignore[index]
        "duty_cycle[1].duration_s",
    ),
    "unknown winding": (
        changed(lambda raw: raw["candidates"][0].update(winding="13 V")),  # type: ignore[index]
        "winding",
    ),
    "10 MB": (b" " * 10_000_000, "at most"),
    "deeply nested": (b"[" * 100_000, "not valid JSON"),
}


@pytest.mark.parametrize("name", BAD_FILES)
def test_bad_file_is_refused_and_the_project_stays(qtbot: QtBot, tmp_path: Path, name: str) -> None:
    content, word = BAD_FILES[name]
    bad = tmp_path / "bad.json"
    bad.write_bytes(content)
    window, dialogs = open_window(qtbot)
    rename(window, "Kept")
    dialogs.unsaved = "discard"
    before = window.document.project
    window.open_path(bad)
    assert window.document.project is before
    assert window.document.undo_stack.canUndo()
    message = window.messages.message("failure")
    assert message.startswith("bad.json is not opened: ")
    assert word in message
    window.open_path(FIRST_SAMPLE)
    assert window.messages.message("failure") == ""


def test_missing_file_is_refused_and_forgotten(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    gone = tmp_path / "gone.json"
    window.preferences.add_recent_file(gone)
    window.open_path(gone)
    assert "gone.json is not opened" in window.messages.message("failure")
    assert gone not in window.preferences.recent_files


def newer_file(folder: Path) -> Path:
    path = folder / "newer.json"
    path.write_bytes(changed(lambda raw: raw.update(version=PROJECT_VERSION + 1, later_key={"x": 1})))
    return path


def test_file_of_a_later_version_is_read_only(qtbot: QtBot, tmp_path: Path) -> None:
    path = newer_file(tmp_path)
    content = path.read_bytes()
    window, dialogs = open_window(qtbot, path)
    assert window.document.project.application.title == "Sample carousel"
    assert "later version" in window.messages.message("read only")
    before = window.document.project
    rename(window, "Changed")
    assert window.document.project is before
    assert "Nothing was changed" in window.messages.message("failure")
    dialogs.path = tmp_path / "copy.json"
    for save in (window.save_project, window.save_project_as):
        assert not save()
        assert "Not saved" in window.messages.message("failure")
    assert not dialogs.path.exists()
    assert path.read_bytes() == content
    assert window.close()  # nothing to ask
    assert dialogs.questions == []


def test_banner_of_a_read_only_file_goes_with_it(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot, newer_file(tmp_path))
    window.open_path(FIRST_SAMPLE)
    assert window.messages.message("read only") == ""
    rename(window, "Changed")
    assert window.document.project.application.title == "Changed"


def test_unwritable_place_is_said_and_nothing_is_lost(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    rename(window, "Kept")
    dialogs.path = tmp_path / "no such folder" / "a.json"
    assert not window.save_project()
    assert "Not saved" in window.messages.message("failure")
    assert "cannot be written" in window.messages.message("failure")
    assert window.files.is_unsaved
    assert window.files.path is None


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write everywhere")
def test_folder_without_the_right_to_write(qtbot: QtBot, tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(0o500)
    window, dialogs = open_window(qtbot)
    dialogs.path = folder / "a.json"
    assert not window.save_project_as()
    assert "cannot be written" in window.messages.message("failure")


@pytest.mark.parametrize(("answer", "closes"), [("cancel", False), ("discard", True), ("save", True)])
def test_closing_asks_once_about_changes(qtbot: QtBot, tmp_path: Path, answer: str, closes: bool) -> None:
    window, dialogs = open_window(qtbot)
    rename(window, "Changed")
    dialogs.unsaved = answer  # type: ignore[assignment]
    dialogs.path = tmp_path / "kept.json"
    event = QCloseEvent()
    window.closeEvent(event)
    assert event.isAccepted() is closes
    assert dialogs.questions.count("unsaved") == 1
    assert dialogs.path.exists() is (answer == "save")


def test_closing_without_changes_asks_nothing(qtbot: QtBot) -> None:
    window, dialogs = open_window(qtbot)
    assert window.close()
    assert dialogs.questions == []


def test_text_being_typed_counts_when_the_window_is_closed(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    line = window.header.title
    line.setFocus()
    line.selectAll()
    line.insert("Typed last")
    line.setModified(True)
    dialogs.unsaved, dialogs.path = "save", tmp_path / "typed.json"
    assert window.close()
    assert read_project(dialogs.path).application.title == "Typed last"


def test_recent_files_last_first_and_kept(qtbot: QtBot, tmp_path: Path) -> None:
    settings = tmp_path / "preferences.ini"
    window, dialogs = open_window(qtbot, preferences=Preferences(settings))
    for name in ("one.json", "two.json"):
        dialogs.path = tmp_path / name
        window.save_project_as()
    window.close()
    again, _ = open_window(qtbot, preferences=Preferences(settings))
    assert [path.name for path in again.preferences.recent_files] == ["two.json", "one.json"]
    again.menus.fill_recent()
    assert [action.text() for action in again.menus.recent.actions()] == ["two.json", "one.json"]
    again.menus.recent.actions()[1].trigger()
    assert again.files.path == tmp_path / "one.json"


def test_sample_is_a_copy_that_asks_for_a_file(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    content = FIRST_SAMPLE.read_bytes()
    window.menus.fill_samples()
    names = [action.text() for action in window.menus.samples.actions()]
    assert len(names) == len(sample_files()) >= 2
    window.menus.samples.actions()[0].trigger()
    dialogs.path = tmp_path / "mine.json"
    assert window.save_project()
    assert dialogs.questions == ["Save the project"]
    assert FIRST_SAMPLE.read_bytes() == content


def drop(*paths: Path) -> tuple[QDropEvent, QMimeData]:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    copy, left = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton
    return QDropEvent(QPointF(5, 5), copy, mime, left, Qt.KeyboardModifier.NoModifier), mime


def test_dropped_file_is_opened(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    path = tmp_path / "dropped.json"
    path.write_text(sample_text().replace("Sample carousel", "Dropped"), encoding="utf-8")
    event, _mime = drop(path)
    window.dropEvent(event)
    qtbot.waitUntil(lambda: window.document.project.application.title == "Dropped")
    assert window.files.path == path


def test_dropping_anything_else_does_nothing(qtbot: QtBot, tmp_path: Path) -> None:
    window, _ = open_window(qtbot)
    before = window.document.project
    for event, _mime in (drop(), drop(tmp_path / "a.json", tmp_path / "b.json")):
        window.dropEvent(event)
    QApplication.processEvents()
    assert window.document.project is before
    assert window.messages.message("failure") == ""


@pytest.mark.parametrize("ending", ["pdf", "svg", "png"])
def test_charts_are_exported(qtbot: QtBot, tmp_path: Path, ending: str) -> None:
    window, dialogs = open_window(qtbot)
    charts = [action for action in window.menus.export.actions() if not action.isSeparator()]
    for action in charts:
        dialogs.path = tmp_path / f"{action.text().strip('…')}.{ending}"
        action.trigger()
        if not dialogs.path.exists():  # of what the sample does not have, as a load
            assert "it needs" in window.messages.message("failure")
            continue
        assert dialogs.path.stat().st_size > 1000
        assert dialogs.path.name in window.messages.message("notice")
    heads = {"pdf": b"%PDF", "svg": b"<?xml", "png": b"\x89PNG"}
    assert all(path.read_bytes().startswith(heads[ending]) for path in tmp_path.iterdir())
    assert 7 <= len(list(tmp_path.iterdir())) <= len(charts)


def test_export_that_fails_says_so(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    for path in (tmp_path / "chart.doc", tmp_path / "nowhere" / "chart.pdf"):
        dialogs.path = path
        window.exports.export_chart("cycle")
        assert "Nothing was exported" in window.messages.message("failure")
        assert not path.exists()
