"""A whole window for tests: real evaluation, preferences in memory, dialogs answered in advance."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs import Dialogs, Unsaved
from app.main_window import MainWindow
from app.preferences import Preferences
from app.start import build_window


class AnsweredDialogs(Dialogs):
    """Gives prepared answers and counts the questions."""

    def __init__(self) -> None:
        super().__init__()
        self.path: Path | None = None
        self.unsaved: Unsaved = "cancel"
        self.unsaved_things: tuple[str, ...] = ()
        self.replaces = False
        self.questions: list[str] = []

    def ask_open(self, parent: QWidget, title: str, kinds: str) -> Path | None:
        self.questions.append(title)
        return self.path

    def ask_save(self, parent: QWidget, title: str, proposed: str, kinds: str) -> Path | None:
        self.questions.append(title)
        return self.path

    def ask_unsaved(self, parent: QWidget, unsaved: Sequence[str], can_save: bool = True) -> Unsaved:
        self.questions.append("unsaved")
        self.unsaved_things = tuple(unsaved)
        return self.unsaved

    def ask_replace(self, parent: QWidget, path: Path) -> bool:
        self.questions.append("replace")
        return self.replaces


def open_window(
    qtbot: QtBot,
    path: Path | None = None,
    preferences: Preferences | None = None,
    recovery_folder: Path | None = None,
) -> tuple[MainWindow, AnsweredDialogs]:
    """Return a shown window and the dialogs that answer for the user."""
    dialogs = AnsweredDialogs()
    window = build_window(preferences or Preferences(), path, dialogs, recovery_folder)
    window.shelf.load()
    qtbot.addWidget(window, before_close_func=_forget_changes)
    window.resize(1280, 800)
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    return window, dialogs


def type_into(line: QLineEdit, text: str, then_enter: bool = True) -> None:
    """Type over what stands in a field."""
    line.setFocus()
    line.selectAll()
    QTest.keyClick(line, Qt.Key.Key_Delete)
    QTest.keyClicks(line, text)
    if then_enter:
        QTest.keyClick(line, Qt.Key.Key_Return)


def _forget_changes(window: QWidget) -> None:
    """Let the window close at the end of a test without a question."""
    assert isinstance(window, MainWindow)
    window.document.undo_stack.setClean()
