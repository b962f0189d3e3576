"""A typed designation becomes a candidate; where nothing fits, the place is told and the text stays."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QAction
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.designation_dialog import DesignationDialog
from app.main_window import MainWindow
from core.catalogue.parts_file import encode_parts, load_demo_parts
from tests.app.whole_window import open_window
from tests.core.test_designation import PATTERN

ENTRY = "Add candidate by its &designation…"


def entry(window: MainWindow) -> QAction:
    window.menus.fill_candidate()
    return next(action for action in window.menus.candidate.actions() if action.text() == ENTRY)


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path) -> MainWindow:
    made, _ = open_window(qtbot)
    assert not entry(made).isEnabled()  # the demo parts carry no pattern
    path = tmp_path / "parts.json"
    path.write_bytes(encode_parts(replace(load_demo_parts(), designation=PATTERN)))
    made.shelf.open(path)
    return made


def typed(window: MainWindow, text: str) -> list[str]:
    """Type a designation, take it or, where it names nothing, press Escape; return what was said."""
    said: list[str] = []

    def answer() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, DesignationDialog)
        QTest.keyClicks(dialog.line, text)
        said.append(dialog.said.text())
        ok = dialog.buttons.button(QDialogButtonBox.StandardButton.Ok)
        said.append("taken" if ok.isEnabled() else "not taken")
        if ok.isEnabled():
            ok.click()
        else:
            assert dialog.line.text() == text
            QTest.keyClick(dialog, Qt.Key.Key_Escape)

    QTimer.singleShot(0, answer)
    entry(window).trigger()
    return said


def test_a_designation_becomes_a_candidate_in_one_step(window: MainWindow) -> None:
    before = window.document.project
    said = typed(window, "m47-BE2-K")
    assert said[0].startswith("47 mm frame, 12 V, enclosed")
    assert "holding brake, 0.15 N m" in said[0]
    assert "shaft without flat" in said[0]
    added = window.document.project.candidates[-1]
    assert (added.name, added.winding, added.variant) == ("M47-BE2-K", "12 V", "enclosed")
    assert added.drive == before.candidates[0].drive  # the designation names none
    assert added.hand_over is not None
    assert added.hand_over.pattern == PATTERN
    assert window.document.undo_stack.count() == 1
    window.document.undo_stack.undo()
    assert window.document.project == before


def test_what_fits_nothing_is_told_in_place_and_adds_nothing(window: MainWindow) -> None:
    before = window.document.project
    said = typed(window, "M47-X")
    assert said[1] == "not taken"
    assert "M47-" in said[0]
    assert window.document.project is before
