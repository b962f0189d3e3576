"""The open file changed, replaced, renamed or removed by another program: noticed, and nothing lost."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.files import FIRST_SAMPLE
from app.main_window import MainWindow
from core.project import edits
from core.project.project_file import read_project
from tests.app.whole_window import open_window

OTHER = FIRST_SAMPLE.read_text(encoding="utf-8").replace("Sample carousel", "By another program")


@pytest.fixture
def project_file(tmp_path: Path) -> Path:
    return Path(shutil.copy(FIRST_SAMPLE, tmp_path / "p.json"))


def rename(window: MainWindow, title: str) -> None:
    window.document.edit(edits.change_application(window.document.project, title=title), "Rename")


def title(window: MainWindow) -> str:
    return window.document.project.application.title


def press(window: MainWindow, words: str) -> None:
    (button,) = [b for b in window.messages.offers("file") if b.text() == words]
    button.click()


def replace_by_renaming(path: Path, text: str) -> None:
    new = path.with_suffix(".new")
    new.write_text(text, encoding="utf-8")
    new.replace(path)


@pytest.mark.parametrize("way", ["written", "renamed"])
def test_the_system_tells_of_a_change(qtbot: QtBot, project_file: Path, way: str) -> None:
    window, _ = open_window(qtbot, project_file)
    for text in (OTHER, OTHER.replace("another", "a third")):  # also the second time
        if way == "written":
            project_file.write_text(text, encoding="utf-8")
        else:
            replace_by_renaming(project_file, text)
        qtbot.waitUntil(lambda: window.messages.message("file") != "")
        press(window, "Read it anew")
        assert window.document.project == read_project(project_file)
        assert window.messages.message("file") == ""


def test_reading_anew_can_be_undone(qtbot: QtBot, project_file: Path) -> None:
    window, dialogs = open_window(qtbot, project_file)
    rename(window, "Mine")
    project_file.write_text(OTHER, encoding="utf-8")
    window.files.watch.look()
    assert f"{project_file} was changed by another program" in window.messages.message("file")
    press(window, "Read it anew")
    assert title(window) == "By another program"
    assert not window.files.is_unsaved
    window.document.undo_stack.undo()
    assert title(window) == "Mine"
    assert window.isWindowModified()
    assert window.save_project()
    assert dialogs.questions == []
    assert read_project(project_file).application.title == "Mine"


def test_keeping_mine_saves_over_it_without_a_question(qtbot: QtBot, project_file: Path) -> None:
    window, dialogs = open_window(qtbot, project_file)
    project_file.write_text(OTHER, encoding="utf-8")
    window.files.watch.look()
    press(window, "Keep mine")
    assert window.messages.message("file") == ""
    assert window.files.is_unsaved  # the file has something else
    assert window.save_project()
    assert read_project(project_file).application.title == "Sample carousel"
    assert dialogs.questions == []


@pytest.mark.parametrize("replaces", [False, True])
def test_saving_before_an_answer_asks(qtbot: QtBot, project_file: Path, replaces: bool) -> None:
    window, dialogs = open_window(qtbot, project_file)
    rename(window, "Mine")
    project_file.write_text(OTHER, encoding="utf-8")  # not noticed yet
    dialogs.replaces = replaces
    assert window.save_project() is replaces
    assert dialogs.questions == ["replace"]
    expected = "Mine" if replaces else "By another program"
    assert read_project(project_file).application.title == expected
    assert window.files.is_unsaved is not replaces
    assert bool(window.messages.message("file")) is not replaces


def test_a_file_that_vanished_is_said_and_written_again(qtbot: QtBot, project_file: Path) -> None:
    window, dialogs = open_window(qtbot, project_file)
    project_file.unlink()
    qtbot.waitUntil(lambda: "not there any more" in window.messages.message("file"))
    assert window.files.is_unsaved
    dialogs.unsaved = "save"
    assert window.close()
    assert dialogs.questions == ["unsaved"]
    assert read_project(project_file) == window.document.project


def test_a_file_that_came_back_is_as_before(qtbot: QtBot, project_file: Path) -> None:
    window, _ = open_window(qtbot, project_file)
    aside = project_file.with_suffix(".aside")
    project_file.rename(aside)
    window.files.watch.look()
    assert window.messages.message("file")
    aside.rename(project_file)
    window.files.watch.look()
    assert window.messages.message("file") == ""
    assert window.save_project()


def test_a_change_that_cannot_be_read_leaves_the_project(qtbot: QtBot, project_file: Path) -> None:
    window, _ = open_window(qtbot, project_file)
    before = window.document.project
    for content in ("{", ""):
        project_file.write_text(content, encoding="utf-8")
        window.files.watch.look()
        press(window, "Read it anew")
        assert "is not opened" in window.messages.message("failure")
        assert window.document.project is before
        assert window.messages.message("file")
    press(window, "Keep mine")
    assert window.save_project()
    assert read_project(project_file) == before


def test_a_folder_in_the_place_of_the_file(qtbot: QtBot, project_file: Path) -> None:
    window, dialogs = open_window(qtbot, project_file)
    project_file.unlink()
    project_file.mkdir()
    window.files.watch.look()
    assert window.messages.message("file")
    dialogs.replaces = True
    assert not window.save_project()
    assert "a folder has this name" in window.messages.message("failure")
    assert window.files.is_unsaved


def test_what_is_written_anew_the_same_is_no_change(qtbot: QtBot, project_file: Path) -> None:
    window, _ = open_window(qtbot, project_file)
    replace_by_renaming(project_file, project_file.read_text(encoding="utf-8"))
    assert window.files.watch.look() == "as known"
    rename(window, "Mine")
    assert window.save_project()
    assert window.files.watch.look() == "as known"
    assert window.messages.message("file") == ""


def test_turning_to_the_window_looks_at_the_file(qtbot: QtBot, project_file: Path) -> None:
    """Of changes on a shared disk the system tells nothing."""
    window, _ = open_window(qtbot, project_file)
    window.files.watch.blockSignals(True)
    project_file.write_text(OTHER, encoding="utf-8")
    window.files.watch.blockSignals(False)
    window.care._on_turned_to(Qt.ApplicationState.ApplicationActive)
    assert window.messages.message("file")


def test_another_project_takes_the_message_away(qtbot: QtBot, project_file: Path) -> None:
    window, dialogs = open_window(qtbot, project_file)
    project_file.write_text(OTHER, encoding="utf-8")
    window.files.watch.look()
    dialogs.unsaved = "discard"
    window.new_project()
    assert window.messages.message("file") == ""
    project_file.unlink()
    assert window.files.watch.look() == "as known"  # it is not our file any more
