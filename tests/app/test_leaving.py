"""Closing the window: one question about all that is not saved, and only what was asked for is given up."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication, QLineEdit, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs import Dialogs
from app.main_window import MainWindow
from core.project import edits
from core.project.project_file import read_project
from tests.app.whole_window import AnsweredDialogs, open_window, type_into


def _rename(window: MainWindow) -> None:
    after = edits.change_application(window.document.project, title="Changed")
    window.document.edit(after, "rename")


def _type_frame(window: MainWindow) -> None:
    window.menus.enter_motor.trigger()
    entry = window.parts.entry
    assert entry is not None
    line = entry.form.frame.rows["frame"].editor
    assert isinstance(line, QLineEdit)
    type_into(line, "disc 60", then_enter=False)


def all_unsaved(qtbot: QtBot) -> tuple[MainWindow, AnsweredDialogs]:
    window, dialogs = open_window(qtbot)
    _rename(window)
    _type_frame(window)
    window.turn_to("shortlist")
    window.pages.shortlist.search()
    assert window.pages.shortlist.is_searching
    return window, dialogs


def test_everything_unsaved_is_asked_about_at_once(qtbot: QtBot) -> None:
    window, dialogs = all_unsaved(qtbot)
    dialogs.unsaved = "cancel"
    assert not window.close()
    assert dialogs.questions == ["unsaved"]
    motor, project, search = dialogs.unsaved_things
    assert "disc 60" in motor, "typed, not yet committed, and still known"
    assert "Changed" in project
    assert "search" in search
    assert window.isVisible()
    assert window.parts.entry is not None
    assert window.pages.shortlist.is_searching
    dialogs.unsaved = "discard"
    assert window.close()
    assert dialogs.questions == ["unsaved", "unsaved"]
    assert window.parts.entry is None


def test_save_saves_and_a_motor_that_cannot_be_saved_keeps_the_window(qtbot: QtBot, tmp_path: Path) -> None:
    window, dialogs = open_window(qtbot)
    _rename(window)
    dialogs.unsaved, dialogs.path = "save", tmp_path / "changed.json"
    _type_frame(window)  # a motor without figures is no motor
    assert not window.close()
    entry = window.parts.entry
    assert entry is not None
    assert entry.message.text().startswith("Not saved")
    entry.set_draft(type(entry.form.draft())())
    assert window.close()
    assert read_project(tmp_path / "changed.json").application.title == "Changed"


def test_nothing_unsaved_asks_nothing(qtbot: QtBot) -> None:
    window, dialogs = open_window(qtbot)
    assert window.close()
    assert dialogs.questions == []


@pytest.mark.parametrize(
    ("words", "answer"), [("Save", "save"), ("Discard all of it", "discard"), ("Stay here", "cancel")]
)
def test_the_question_names_each_thing_as_plain_text(qtbot: QtBot, words: str, answer: str) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    seen = []

    def press() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        seen.append((box.textFormat(), box.informativeText()))
        next(button for button in box.buttons() if button.text() == words).click()

    QTimer.singleShot(0, press)
    assert Dialogs().ask_unsaved(parent, ("the motor <b>x</b>", "the project y")) == answer
    assert seen == [(Qt.TextFormat.PlainText, "– the motor <b>x</b>\n– the project y")]


def test_what_cannot_be_saved_offers_no_saving(qtbot: QtBot) -> None:
    parent = QWidget()
    qtbot.addWidget(parent)
    offered: list[str] = []

    def press() -> None:
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        offered.extend(button.text() for button in box.buttons())
        box.reject()

    QTimer.singleShot(0, press)
    assert Dialogs().ask_unsaved(parent, ("the search",), can_save=False) == "cancel"
    assert sorted(offered) == ["End it", "Stay here"]
