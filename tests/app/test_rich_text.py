"""Text from a file is shown as it is: no name turns into bold letters or has a picture fetched."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import QAbstractListModel, QModelIndex, Qt
from PySide6.QtGui import Qt as GuiQt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractItemView, QApplication, QLabel, QTextEdit, QWidget
from pytestqt.qtbot import QtBot

from app.files import SAMPLE_FOLDER
from app.inputs.fold_group import FoldGroup
from app.main_window import MainWindow
from app.pages import PAGES
from core.project.project_file import read_project
from tests.app.whole_window import open_window

EVIL = '<b>x</b><img src="file:///nowhere.png">'
# Texts that may be anything; others are words of a list, file names or fingerprints.
FREE = {
    "title", "name", "origin", "customer", "customer_reference", "requirement_source", "prepared_by",
    "checked_by", "designation", "wishes", "leads", "connector", "lubrication", "mounting", "note", "notes",
    "dropped_because", "winding", "chosen", "shaft_front", "shaft_rear", "label", "protection", "text",
}  # fmt: skip


def poisoned(raw: Any, key: str = "") -> Any:
    """Return what a file holds with the free texts replaced, names kept apart from each other."""
    if isinstance(raw, dict):
        return {name: poisoned(value, name) for name, value in raw.items()}
    if isinstance(raw, list):
        return [poisoned(value, key) for value in raw]
    return f"{EVIL}{raw}" if isinstance(raw, str) and key in FREE else raw


@pytest.fixture(params=["sample_carousel.json", "tide_pool_winch.json"])
def evil_file(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    raw = json.loads((SAMPLE_FOLDER / request.param).read_text(encoding="utf-8"))
    raw = poisoned(raw)
    raw["candidates"][1]["dropped_because"] = EVIL
    path = tmp_path / "evil.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    assert EVIL in read_project(path).application.title
    return path


def rich_in(widget: QWidget) -> list[str]:
    """Return which texts of a widget would be read as rich text though they come from the file."""
    found = []
    named = f"{type(widget).__name__} in {type(widget.parentWidget()).__name__}"
    is_plain = isinstance(widget, QLabel) and widget.textFormat() is Qt.TextFormat.PlainText
    if isinstance(widget, QLabel) and EVIL in widget.text() and not is_plain:
        found.append(f"{named}: text {widget.text()[:200]}")
    if isinstance(widget, QTextEdit) and "<img" in widget.toHtml():
        found.append(f"{named}: html")
    for words in (widget.toolTip(), widget.statusTip(), widget.whatsThis()):
        if EVIL in words and GuiQt.mightBeRichText(words):
            found.append(f"{named}: tool tip {words[:60]}")
    if isinstance(widget, QAbstractItemView) and widget.model() is not None:
        model = widget.model()
        top = QModelIndex()
        columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount(top)
        for row in range(min(model.rowCount(top), 60)):
            for column in range(columns):
                tip = model.index(row, column).data(Qt.ItemDataRole.ToolTipRole)
                if isinstance(tip, str) and EVIL in tip and GuiQt.mightBeRichText(tip):
                    found.append(f"{named}: tool tip of a cell")
    return found


def everywhere(window: MainWindow) -> list[str]:
    shown = [one for one in QApplication.allWidgets() if one.window() is window or one.parentWidget()]
    return sorted({words for widget in shown for words in rich_in(widget)})


def test_no_text_of_a_file_is_rich_in_the_window(qtbot: QtBot, evil_file: Path) -> None:
    window, _ = open_window(qtbot, evil_file)
    assert EVIL in window.document.project.application.title
    for group in window.findChildren(FoldGroup):
        group.header.setChecked(True)
    found = set[str]()
    for page in PAGES:
        window.turn_to(page.name)
        QTest.qWait(700)  # what comes when the hand rests
        found |= set(everywhere(window))
    window.turn_to("bench")
    for name in ("from cold", "heat flow", "what would help", "windings", "electronics", "feedback", "shaft",
                 "faults"):  # fmt: skip
        window.bench.cycle.turn_to(name)
        QTest.qWait(500)
        found |= set(everywhere(window))
    window.fail(EVIL)
    window.messages.show_message("notice", EVIL)
    window.header.show_work(EVIL)
    found |= set(everywhere(window))
    assert not found


def test_the_test_sees_rich_text(qtbot: QtBot) -> None:
    label = QLabel(EVIL)
    qtbot.addWidget(label)
    label.setToolTip(EVIL)
    assert len(rich_in(label)) == 2
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setToolTip("")
    assert rich_in(label) == []
