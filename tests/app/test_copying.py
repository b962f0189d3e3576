"""What the clipboard holds after copying a chart or the margins."""

import re

import pytest
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.copying import table_data
from app.main_window import MainWindow
from tests.app.whole_window import open_window


@pytest.fixture
def window(qtbot: QtBot) -> MainWindow:
    return open_window(qtbot)[0]


def test_a_chart_is_copied_as_lines_and_as_picture(window: MainWindow) -> None:
    window.copying.copy_chart()
    data = QGuiApplication.clipboard().mimeData()
    assert data.hasImage()
    svg = bytes(data.data("image/svg+xml").data()).decode()
    assert svg.lstrip().startswith("<?xml")
    assert "continuous" in re.sub(r"<[^>]*>", "", svg)


def test_the_chart_in_focus_is_the_one(window: MainWindow) -> None:
    window.copying.copy_chart()
    plane = QGuiApplication.clipboard().mimeData().text()
    cycle = window.bench.cycle.pages[0]
    cycle.canvas.setFocus()
    window.copying.copy_chart()
    assert cycle.result is not None
    assert QGuiApplication.clipboard().mimeData().text() == cycle.chart(cycle.result).summary != plane


def test_margins_are_copied_as_cells_and_table(window: MainWindow) -> None:
    window.copying.copy_margins()
    data = QGuiApplication.clipboard().mimeData()
    rows = [line.split("\t") for line in data.text().split("\n")]
    assert any(row[0] == "Torque reserve" for row in rows)
    assert "<th>Criterion</th>" in data.html()


def test_hostile_cells_stay_text() -> None:
    data = table_data([("<b>x", [["head"], ["=1+1"], ["<img src=x>"]])])
    assert "<img" not in data.html()
    assert "\n'=1+1\n" in data.text()
