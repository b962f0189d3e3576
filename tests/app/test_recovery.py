"""Unsaved changes outlive a crash: kept beside the user's files, offered at the next start."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import QLockFile
from pytestqt.qtbot import QtBot

from app.files import FIRST_SAMPLE
from app.main_window import MainWindow
from app.recovery import LONGEST_S, QUIET_S, wait_ms
from core.project import edits
from core.project.project_file import read_project
from core.project.recovery_file import kept_changes, read_kept_changes, write_kept_changes
from tests.app.whole_window import open_window

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def project_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(FIRST_SAMPLE, tmp_path / "p.json"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "data" / "recovery"


def rename(window: MainWindow, title: str) -> None:
    window.document.edit(edits.change_application(window.document.project, title=title), "Rename")


def kept(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.json"))


def keep(qtbot: QtBot, window: MainWindow) -> None:
    """Let the time pass that the window waits before it keeps changes."""
    assert window.care.recovery.timer.isActive()
    window.care.recovery.keep()
    qtbot.waitUntil(lambda: not window.care.recovery._background.is_busy)


def leave(folder: Path, path: Path | None, title: str, age: float = 0.0, token: str = "1-abcdef") -> Path:
    """Put changes into the folder as a window that died leaves them; no process has this lock."""
    project = read_project(FIRST_SAMPLE)
    project = replace(project, application=replace(project.application, title=title))
    folder.mkdir(parents=True, exist_ok=True)
    place = folder / f"0123456789abcdef-{token}.json"
    write_kept_changes(place, kept_changes(project, path, None, time.time() - age))
    os.utime(place, (time.time() - age,) * 2)
    return place


def press(window: MainWindow, words: str) -> None:
    (button,) = [b for b in window.messages.offers("recovery") if b.text() == words]
    button.click()


def offered(window: MainWindow) -> str:
    window.care.offer_left()
    return window.messages.message("recovery")


# keeping ----------------------------------------------------------------------------------------------


def test_changes_are_kept_soon_and_never_in_the_users_file(
    qtbot: QtBot, project_file: Path, folder: Path
) -> None:
    content = project_file.read_bytes()
    window, _ = open_window(qtbot, project_file, recovery_folder=folder)
    assert not window.care.recovery.timer.isActive()
    rename(window, "Changed")
    assert window.care.recovery.timer.isActive()
    assert window.care.recovery.timer.interval() <= 1000 * QUIET_S
    keep(qtbot, window)
    (place,) = kept(folder)
    found = read_kept_changes(place)
    assert (found.path, found.beside) == (project_file, project_file.parent)
    assert found.project == window.document.project
    assert project_file.read_bytes() == content
    assert f"-{os.getpid()}-" in place.name
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_changes_without_a_pause_are_kept_too() -> None:
    waits = [wait_ms(now, first=0.0) for now in (0.0, 10.0, LONGEST_S - 0.5, LONGEST_S, 1e6)]
    assert waits == [2000, 2000, 500, 0, 0]


def test_each_change_is_kept_once(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    window, _ = open_window(qtbot, project_file, recovery_folder=folder)
    rename(window, "Changed")
    keep(qtbot, window)
    window.files.state_changed.emit()
    assert not window.care.recovery.timer.isActive()
    rename(window, "Changed again")
    keep(qtbot, window)
    (place,) = kept(folder)
    assert read_kept_changes(place).project.application.title == "Changed again"


def save(window: MainWindow) -> object:
    return window.save_project()


def undo(window: MainWindow) -> None:
    window.document.undo_stack.undo()


def open_another(window: MainWindow) -> None:
    window.open_path(FIRST_SAMPLE)


@pytest.mark.parametrize("act", [save, undo, open_another, MainWindow.close])
def test_what_is_saved_or_given_up_is_not_kept(
    qtbot: QtBot, project_file: Path, folder: Path, act: Callable[[MainWindow], object]
) -> None:
    window, dialogs = open_window(qtbot, project_file, recovery_folder=folder)
    dialogs.unsaved = "discard"
    rename(window, "Changed")
    keep(qtbot, window)
    assert len(kept(folder)) == 1
    act(window)
    qtbot.waitUntil(lambda: kept(folder) == [])


def test_saving_to_another_file_leaves_nothing_behind(
    qtbot: QtBot, project_file: Path, folder: Path, tmp_path: Path
) -> None:
    window, dialogs = open_window(qtbot, project_file, recovery_folder=folder)
    rename(window, "Changed")
    keep(qtbot, window)
    dialogs.path = tmp_path / "other.json"
    assert window.save_project_as()
    rename(window, "Changed again")
    keep(qtbot, window)
    (place,) = kept(folder)
    assert read_kept_changes(place).path == dialogs.path
    dialogs.unsaved = "discard"
    window.close()
    assert list(folder.iterdir()) == []


def test_closing_that_was_stayed_keeps_on_keeping(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    window, dialogs = open_window(qtbot, project_file, recovery_folder=folder)
    rename(window, "Changed")
    keep(qtbot, window)
    dialogs.unsaved = "cancel"
    assert not window.close()
    assert len(kept(folder)) == 1


def test_a_folder_that_cannot_be_made_is_said_once(qtbot: QtBot, project_file: Path, tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a file in the place")
    folder = tmp_path / "data" / "recovery"
    window, _ = open_window(qtbot, project_file, recovery_folder=folder)
    rename(window, "Changed")
    window.care.recovery.keep()
    qtbot.waitUntil(lambda: "not kept for the case of a crash" in window.messages.message("notice"))
    assert str(folder) in window.messages.message("notice")
    window.messages.show_message("notice", "")
    rename(window, "Changed again")
    keep(qtbot, window)
    assert window.messages.message("notice") == ""
    (tmp_path / "data").unlink()
    rename(window, "Changed a third time")
    keep(qtbot, window)
    assert len(kept(folder)) == 1
    assert window.save_project()


# offering ---------------------------------------------------------------------------------------------


def test_left_changes_are_opened_unsaved_and_can_be_undone(
    qtbot: QtBot, project_file: Path, folder: Path
) -> None:
    content = project_file.read_bytes()
    place = leave(folder, project_file, "Recovered")
    window, dialogs = open_window(qtbot, recovery_folder=folder)
    assert str(project_file) in offered(window)
    press(window, "Open them")
    assert window.document.project.application.title == "Recovered"
    assert window.files.path == project_file
    assert window.files.is_unsaved
    assert project_file.read_bytes() == content
    assert window.messages.message("recovery") == ""
    assert not place.exists()
    (own,) = kept(folder)  # a second crash right now loses nothing either
    assert read_kept_changes(own).project == window.document.project
    window.document.undo_stack.undo()
    assert window.document.project == read_project(project_file)
    window.document.undo_stack.redo()
    assert window.save_project()
    assert read_project(project_file).application.title == "Recovered"
    assert dialogs.questions == []


def test_several_are_offered_one_after_another(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    older = leave(folder, project_file, "Older", age=7200.0, token="1-aaaaaa")
    newer = leave(folder, None, "Newer", token="2-bbbbbb")
    window, _ = open_window(qtbot, recovery_folder=folder)
    told = offered(window)
    assert "“Newer”, which had no file yet" in told
    assert "1 more after this" in told
    press(window, "Later")
    assert newer.exists()
    told = window.messages.message("recovery")
    assert "saved since then" in told  # the file is a fresh copy, newer than two hours
    press(window, "Discard")
    assert not older.exists()
    assert window.messages.message("recovery") == ""
    assert "Newer" in offered(window)
    window.close()
    assert newer.exists()


def test_two_windows_do_not_offer_the_same(qtbot: QtBot, folder: Path) -> None:
    leave(folder, None, "Left")
    first, _ = open_window(qtbot, recovery_folder=folder)
    second, _ = open_window(qtbot, recovery_folder=folder)
    assert offered(first)
    assert not offered(second)
    press(first, "Later")
    assert offered(second)


def test_what_a_living_window_keeps_is_not_offered(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    window, _ = open_window(qtbot, project_file, recovery_folder=folder)
    rename(window, "Changed")
    keep(qtbot, window)
    second, _ = open_window(qtbot, recovery_folder=folder)
    assert not offered(second)
    assert len(kept(folder)) == 1


def test_a_dead_process_that_had_our_number_is_one(qtbot: QtBot, folder: Path) -> None:
    leave(folder, None, "Left", token=f"{os.getpid()}-abcdef")
    (folder / f"{os.getpid()}-abcdef.lock").write_text(f"{os.getpid()}\npython3\n\n")
    window, _ = open_window(qtbot, recovery_folder=folder)
    assert "Left" in offered(window)


def test_changes_that_the_file_has_are_not_offered(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    place = leave(folder, project_file, read_project(project_file).application.title)
    window, _ = open_window(qtbot, recovery_folder=folder)
    assert not offered(window)
    assert not place.exists()


def test_changes_of_a_file_that_is_gone_open_without_a_file(
    qtbot: QtBot, project_file: Path, folder: Path
) -> None:
    leave(folder, project_file, "Recovered")
    project_file.unlink()
    window, _ = open_window(qtbot, recovery_folder=folder)
    assert "not there any more" in offered(window)
    press(window, "Open them")
    assert window.files.path is None
    assert window.document.project.application.title == "Recovered"
    assert window.files.is_unsaved


def test_changes_of_a_file_that_is_open_elsewhere_open_without_a_file(
    qtbot: QtBot, project_file: Path, folder: Path
) -> None:
    leave(folder, project_file, "Recovered")
    _other, _ = open_window(qtbot, project_file)
    window, _ = open_window(qtbot, recovery_folder=folder)
    offered(window)
    press(window, "Open them")
    assert window.files.path is None
    assert window.document.project.application.title == "Recovered"
    rename(window, "Can be changed")
    assert window.document.project.application.title == "Can be changed"


@pytest.mark.parametrize("content", [b"", b"{", b"[1]", b'{"format": "ampturn project", "version": 1}'])
def test_a_recovery_file_that_cannot_be_read_is_said(qtbot: QtBot, folder: Path, content: bytes) -> None:
    place = leave(folder, None, "Left")
    place.write_bytes(content)
    window, _ = open_window(qtbot, recovery_folder=folder)
    assert "cannot be read" in offered(window)
    assert [b.text() for b in window.messages.offers("recovery")] == ["Later", "Discard"]
    press(window, "Discard")
    assert not place.exists()


def test_staying_with_unsaved_changes_leaves_the_offer(
    qtbot: QtBot, project_file: Path, folder: Path
) -> None:
    place = leave(folder, project_file, "Recovered")
    window, dialogs = open_window(qtbot, recovery_folder=folder)
    offered(window)
    rename(window, "In the middle of something")
    dialogs.unsaved = "cancel"
    press(window, "Open them")
    assert window.document.project.application.title == "In the middle of something"
    assert window.messages.message("recovery")
    assert place.exists()


def test_a_path_that_is_no_text_survives(folder: Path, tmp_path: Path) -> None:
    folder.mkdir(parents=True)
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/caf\xe9 %41.json"))
    place = folder / "a-1-b.json"
    write_kept_changes(place, kept_changes(read_project(FIRST_SAMPLE), path, None, 0.0))
    assert read_kept_changes(place).path == path
    assert read_kept_changes(place).beside is None


CRASH = """
import os, sys
from pathlib import Path
from PySide6.QtWidgets import QApplication
application = QApplication([])
from app.preferences import Preferences
from app.start import build_window
from core.project import edits
window = build_window(Preferences(), Path(sys.argv[1]), recovery_folder=Path(sys.argv[2]))
window.document.edit(edits.change_application(window.document.project, title="Typed last"), "Rename")
window.care.recovery.keep_at_once()
os.kill(os.getpid(), 9)
"""


def test_a_window_that_is_killed_leaves_its_changes(qtbot: QtBot, project_file: Path, folder: Path) -> None:
    content = project_file.read_bytes()
    done = subprocess.run(
        [sys.executable, "-c", CRASH, str(project_file), str(folder)],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == -9, done.stderr
    assert project_file.read_bytes() == content
    window, _ = open_window(qtbot, project_file, recovery_folder=folder)
    assert window.messages.message("read only") == ""  # its lock is taken over
    assert offered(window)
    press(window, "Open them")
    assert window.document.project.application.title == "Typed last"
    assert window.files.path == project_file


def test_what_was_left_of_keeping_is_removed_when_its_window_is_dead(qtbot: QtBot, tmp_path: Path) -> None:
    mine = QLockFile(str(tmp_path / "77-abcdef.lock"))
    mine.setStaleLockTime(0)
    assert mine.tryLock(0)
    living = tmp_path / ".0123456789abcdef-77-abcdef.json.01234567.new"
    dead = tmp_path / ".0123456789abcdef-78-abcdef.json.01234567.new"
    for place in (living, dead):
        place.write_text("half")
    window, _ = open_window(qtbot, recovery_folder=tmp_path)
    window.care.offer_left()
    assert living.exists()
    assert not dead.exists()
    mine.unlock()
