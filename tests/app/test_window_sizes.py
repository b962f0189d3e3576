"""The window scrolls only where it is smaller than what it must show, whatever stands above the page."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget
from pytestqt.qtbot import QtBot

from app.files import SAMPLE_FOLDER
from app.inputs.fold_group import FoldGroup
from app.main_window import MainWindow
from app.preferences import Preferences
from app.theme import ThemeChoice
from tests.app.whole_window import open_window

SIZES = ((1280, 800), (1440, 900), (1100, 640))
LONG_MESSAGE = "The file cannot be read: it ends in the middle of a number. " * 4


def _guide(window: MainWindow) -> None:
    window.new_project()
    assert window.guide.is_on_show


def _guide_with_load(window: MainWindow) -> None:
    _guide(window)
    window.bench.inputs.what_moves.source.chosen.emit("load")


def _tour(window: MainWindow) -> None:
    window.help.take_tour()


def _table(window: MainWindow) -> None:
    window.bench.open_table()


def _message(window: MainWindow) -> None:
    window.fail(LONG_MESSAGE)


def _nothing(_window: MainWindow) -> None:
    pass


SCENES: tuple[Callable[[MainWindow], None], ...] = (
    _nothing,
    _guide,
    _guide_with_load,
    _tour,
    _table,
    _message,
)


def opened(qtbot: QtBot, theme: ThemeChoice = "light") -> MainWindow:
    preferences = Preferences()
    preferences.theme = theme
    return open_window(qtbot, preferences=preferences)[0]


def settle() -> None:
    for _ in range(4):
        QApplication.processEvents()


def hidden_part(area: QWidget) -> tuple[int, int]:
    """Return by how much an area can be scrolled, across and down [px]."""
    assert isinstance(area, QScrollArea)
    return area.horizontalScrollBar().maximum(), area.verticalScrollBar().maximum()


def inputs_area(window: MainWindow) -> QScrollArea:
    found = window.bench.inputs.findChild(QScrollArea)
    assert isinstance(found, QScrollArea)
    return found


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.__name__.strip("_"))
def test_no_scroll_bar_where_there_is_room(
    qtbot: QtBot, theme: ThemeChoice, scene: Callable[[MainWindow], None]
) -> None:
    window = opened(qtbot, theme)
    scene(window)
    for size in SIZES:
        window.resize(*size)
        settle()
        assert hidden_part(window.centralWidget()) == (0, 0), size
        assert hidden_part(inputs_area(window))[0] == 0, size
    if window.help.tour is not None:
        assert window.help.tour.geometry() == window.rect()
        window.help.tour.end()


def test_a_window_that_is_too_small_is_scrolled_to_its_smallest_height_and_no_further(qtbot: QtBot) -> None:
    window = opened(qtbot)
    _guide(window)
    _table(window)
    _message(window)
    window.resize(1100, 500)
    settle()
    area = window.centralWidget()
    assert isinstance(area, QScrollArea)
    page, bench = area.widget(), window.bench
    assert page is not None
    assert hidden_part(area)[1] > 0, "or nothing is shown by this test"
    above = page.height() - bench.height()
    assert bench.height() <= bench.minimumSizeHint().height() + 2
    assert above > window.header.height() + 50, "guide and message stand above the page"
    area.verticalScrollBar().setValue(area.verticalScrollBar().maximum())
    bottom = window.bench.table_fold.mapTo(window, bench.table_fold.rect().bottomLeft()).y()
    assert bottom < window.height()


@pytest.mark.parametrize("name", sorted(path.name for path in SAMPLE_FOLDER.glob("*.json")))
def test_inputs_are_never_cut_at_the_side(qtbot: QtBot, name: str) -> None:
    window = opened(qtbot)
    window.files.open_sample(SAMPLE_FOLDER / name)
    window.resize(1100, 640)
    window.bench.across.setSizes([1, 2000, 300])  # as narrow as it can be dragged
    for is_open in (True, False, True):
        for group in window.bench.inputs.findChildren(FoldGroup):
            group.header.setChecked(is_open)
        settle()
        assert hidden_part(inputs_area(window))[0] == 0
