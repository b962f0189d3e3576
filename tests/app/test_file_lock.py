"""Two windows on one file: the second one looks, and nobody saves over the other."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QSysInfo
from pytestqt.qtbot import QtBot

from app.file_lock import FileLock, lock_place
from app.files import FIRST_SAMPLE
from app.main_window import MainWindow
from core.project import edits
from tests.app.whole_window import open_window

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def project_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(FIRST_SAMPLE, tmp_path / "p.json"))


def rename(window: MainWindow, title: str) -> None:
    window.document.edit(edits.change_application(window.document.project, title=title), "Rename")


def press(window: MainWindow, words: str) -> None:
    (button,) = [b for b in window.messages.offers("read only") if b.text() == words]
    button.click()


def test_second_window_looks_and_takes_the_file_when_it_is_free(qtbot: QtBot, project_file: Path) -> None:
    first, _ = open_window(qtbot, project_file)
    second, _ = open_window(qtbot, project_file)
    told = second.messages.message("read only")
    assert f"another window on this computer (process {os.getpid()})" in told
    before = second.document.project
    rename(second, "Nobody may")
    assert second.document.project is before
    press(second, "Try again")
    assert second.document.read_only_reason
    rename(first, "Changed meanwhile")
    assert first.save_project()
    first.close()
    press(second, "Try again")
    assert second.messages.message("read only") == ""
    assert second.document.project.application.title == "Changed meanwhile"
    rename(second, "Mine now")
    assert second.save_project()


def test_a_copy_can_be_worked_on(qtbot: QtBot, project_file: Path, tmp_path: Path) -> None:
    _first, _ = open_window(qtbot, project_file)
    second, dialogs = open_window(qtbot, project_file)
    press(second, "Work on a copy")
    assert second.files.path is None
    rename(second, "Copy")
    dialogs.path = tmp_path / "copy.json"
    assert second.save_project()
    dialogs.path = project_file
    assert not second.save_project_as()
    assert "is open in another window" in second.messages.message("failure")
    assert "Sample carousel" in project_file.read_text(encoding="utf-8")


def test_a_lock_goes_when_the_window_closes_or_turns_to_another_file(
    qtbot: QtBot, project_file: Path, tmp_path: Path
) -> None:
    window, dialogs = open_window(qtbot, project_file)
    assert lock_place(project_file).exists()
    dialogs.path = tmp_path / "other.json"
    assert window.save_project_as()
    assert not lock_place(project_file).exists()
    assert lock_place(dialogs.path).exists()
    assert window.save_project()  # its own lock is no hindrance
    window.open_path(tmp_path / "not there.json")
    assert lock_place(dialogs.path).exists()
    window.close()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["other.json", "p.json"]


def test_two_names_of_one_file_have_one_lock(project_file: Path, tmp_path: Path) -> None:
    link = tmp_path / "link.json"
    link.symlink_to(project_file)
    one, other = FileLock(project_file), FileLock(link)
    assert one.take()
    assert not other.take()
    one.release()
    assert other.take()
    other.release()


HOLD = """
import sys, time
from pathlib import Path
from app.file_lock import FileLock
lock = FileLock(Path(sys.argv[1]))
print(lock.take(), flush=True)
sys.stdin.read()
"""


def test_the_lock_of_a_process_that_died_is_taken_at_once(project_file: Path) -> None:
    other = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(project_file)],
        cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert other.stdout is not None
    try:
        assert other.stdout.readline() == "True\n"
        lock = FileLock(project_file)
        assert not lock.take()
        assert lock.holder is not None
        assert lock.holder.process == other.pid
        assert not lock.holder.is_elsewhere
    finally:
        other.kill()
        other.communicate()
    assert lock_place(project_file).exists()
    later = FileLock(project_file)
    assert later.take()
    assert later.holder is None
    later.release()


def lock_text(process: int, host: str) -> str:
    """Return a lock file as Qt writes it: process, program, computer, machine, start of the system."""
    return f"{process}\npython3\n{host}\nmachine\nboot\n\n"


def test_a_window_on_another_computer_is_left_to_the_user(qtbot: QtBot, project_file: Path) -> None:
    lock_place(project_file).write_text(lock_text(123, "elsewhere"))
    window, _ = open_window(qtbot, project_file)
    assert "the computer elsewhere (process 123)" in window.messages.message("read only")
    press(window, "Take it over")
    assert window.messages.message("read only") == ""
    rename(window, "Taken")
    assert window.save_project()


def test_a_lock_that_says_nothing_is_left_to_the_user(qtbot: QtBot, project_file: Path) -> None:
    lock_place(project_file).write_text("")
    window, _ = open_window(qtbot, project_file)
    assert "another window" in window.messages.message("read only")
    press(window, "Take it over")
    assert window.messages.message("read only") == ""


def test_a_dead_process_that_had_our_number_does_not_lock_us_out(project_file: Path) -> None:
    lock_place(project_file).write_text(lock_text(os.getpid(), QSysInfo.machineHostName()))
    lock = FileLock(project_file)
    assert lock.take()
    lock.release()


def test_where_no_lock_can_be_made_the_file_can_be_used(tmp_path: Path) -> None:
    lock = FileLock(tmp_path / "no folder" / "p.json")
    assert lock.take()
    assert not lock.is_held
    lock = FileLock(tmp_path / ("n" * 250 + ".json"))  # the name of its lock would be too long
    assert lock.take()
    assert not lock.is_held


SAVING_FOR_EVER = """
import os, sys, time
from pathlib import Path
from core.project import saved_file
def look(content):
    print("saving", flush=True)
    time.sleep(600)
saved_file.write_bytes(Path(sys.argv[1]), b"half", look)
"""


def half_of(folder: Path) -> list[str]:
    return sorted(place.name for place in folder.glob(".*.new"))


def test_what_a_killed_save_left_goes_at_the_next_opening(
    qtbot: QtBot, project_file: Path, tmp_path: Path
) -> None:
    saving = subprocess.Popen(
        [sys.executable, "-c", SAVING_FOR_EVER, str(project_file)], cwd=ROOT, stdout=subprocess.PIPE
    )
    assert saving.stdout is not None
    assert saving.stdout.readline() == b"saving\n"
    (left,) = half_of(tmp_path)
    saving.kill()
    saving.communicate()
    assert half_of(tmp_path) == [left], "a kill leaves it"
    kept = [".p.json.0123456.new", ".p.json.new", ".other.json.01234567.new", ".p.jsonx.01234567.new"]
    young = ".p.json.89abcdef.new"
    for name in (*kept, young):
        (tmp_path / name).write_text("not ours to remove")
    ahead = project_file.stat().st_mtime + 3600.0
    os.utime(tmp_path / young, (ahead, ahead))  # begun after the lock was taken: somebody is at it
    window, _ = open_window(qtbot, project_file)
    assert half_of(tmp_path) == sorted((*kept, young))
    window.close()


def test_nothing_is_removed_while_another_window_has_the_file(
    qtbot: QtBot, project_file: Path, tmp_path: Path
) -> None:
    first, _ = open_window(qtbot, project_file)
    left = tmp_path / ".p.json.01234567.new"
    left.write_text("half")
    os.utime(left, (0.0, 0.0))
    second, _ = open_window(qtbot, project_file)
    assert left.exists()
    first.close()
    press(second, "Try again")
    assert not left.exists()


def test_what_a_killed_save_left_goes_at_the_next_save_to_that_file(qtbot: QtBot, tmp_path: Path) -> None:
    left = tmp_path / ".new.json.01234567.new"
    left.write_text("half")
    os.utime(left, (0.0, 0.0))
    window, dialogs = open_window(qtbot)
    dialogs.path = tmp_path / "new.json"
    assert window.save_project_as()
    assert not left.exists()
