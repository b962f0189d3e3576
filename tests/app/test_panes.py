"""Panes: dragged, folded, put back, remembered, and never lost to a damaged file or a small window."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.panes import PaneSplitter
from app.preferences import Preferences
from app.window_place import fitted
from tests.app.whole_window import open_window

LEFT = Qt.MouseButton.LeftButton


def drag(splitter: PaneSplitter, handle: int, step: QPoint) -> None:
    """Drag the handle before a pane with the mouse."""
    grip = splitter.handle(handle)
    middle = grip.rect().center()
    QTest.mousePress(grip, LEFT, Qt.KeyboardModifier.NoModifier, middle)
    QTest.mouseMove(grip, middle + step)
    QTest.mouseRelease(grip, LEFT, Qt.KeyboardModifier.NoModifier, middle + step)


def splitters(window: MainWindow) -> list[PaneSplitter]:
    bench = window.bench
    return [bench.across, bench.middle, bench.right]


def test_a_drag_is_kept_and_a_double_click_gives_the_usual_shares(qtbot: QtBot, tmp_path: Path) -> None:
    settings = tmp_path / "preferences.ini"
    window, _ = open_window(qtbot, preferences=Preferences(settings))
    across = window.bench.across
    across.take_usual()
    usual = across.sizes()
    drag(across, 2, QPoint(-60, 0))
    dragged = across.sizes()
    assert dragged[2] == pytest.approx(usual[2] + 60, abs=3)
    window.close()
    again, _ = open_window(qtbot, preferences=Preferences(settings))
    assert again.bench.across.sizes() == dragged
    grip = again.bench.across.handle(2)
    QTest.mouseDClick(grip, LEFT, Qt.KeyboardModifier.NoModifier, grip.rect().center())
    assert again.bench.across.sizes() == usual


def test_usual_layout_puts_every_splitter_of_the_page_back(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.menus.usual.trigger()
    before = [one.sizes() for one in splitters(window)]
    drag(window.bench.middle, 1, QPoint(0, 50))
    drag(window.bench.right, 1, QPoint(0, 70))
    window.menus.sides["inputs"].trigger()
    assert [one.sizes() for one in splitters(window)] != before
    window.menus.usual.trigger()
    assert [one.sizes() for one in splitters(window)] == before
    assert window.menus.sides["inputs"].isChecked() or not window.bench.is_folded("inputs")


@pytest.mark.parametrize(("side", "key"), [("inputs", Qt.Key.Key_F8), ("margins", Qt.Key.Key_F9)])
def test_panes_fold_away_by_key_and_come_back_as_they_were(
    qtbot: QtBot, tmp_path: Path, side: str, key: Qt.Key
) -> None:
    settings = tmp_path / "preferences.ini"
    window, _ = open_window(qtbot, preferences=Preferences(settings))
    pane: QWidget = window.bench.inputs if side == "inputs" else window.bench.right
    before, wide = window.bench.across.sizes(), window.bench.plane.width()
    pane.findChildren(QWidget, options=Qt.FindChildOption.FindChildrenRecursively)[0].setFocus()
    QTest.keyClick(window, key)
    QApplication.processEvents()
    assert not pane.isVisible()
    assert window.bench.plane.width() > wide + 200
    focus = QApplication.focusWidget()
    assert focus is not None
    assert focus.isVisible()
    window.close()
    again, _ = open_window(qtbot, preferences=Preferences(settings))
    folded: QWidget = again.bench.inputs if side == "inputs" else again.bench.right
    assert not folded.isVisible(), "a folded pane stays folded"
    QTest.keyClick(again, key)
    QApplication.processEvents()
    assert folded.isVisible()
    assert again.bench.across.sizes() == pytest.approx(before, abs=2)


def test_what_needs_the_inputs_unfolds_them(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)

    def begin_anew() -> None:
        window.files.new()
        window.guide.start()

    asks: tuple[Callable[[], object], ...] = (
        lambda: window.candidate_asked("rename", 0),
        window.help.take_tour,
        begin_anew,
    )
    for ask in asks:
        window.bench.fold("inputs", True)
        ask()
        assert window.bench.inputs.isVisible()
        if window.help.tour is not None:
            window.help.tour.end()


@pytest.mark.parametrize("shares", [(0, 99_000, 0), (1, 1, 99_000), (99_000, 0, 1), (0, 0, 1)])
def test_no_pane_is_lost_to_damaged_sizes_or_a_small_window(qtbot: QtBot, shares: tuple[int, ...]) -> None:
    preferences = Preferences()
    found = preferences.sizes
    kept = {"across": shares, "middle": shares, "right": shares[:2]}
    preferences.sizes = lambda name: kept.get(name) or found(name)  # type: ignore[method-assign]
    window, _ = open_window(qtbot, preferences=preferences)
    for size in ((1280, 800), (1100, 640), (640, 420), (1600, 1000)):
        window.resize(*size)
        QApplication.processEvents()
        for splitter in splitters(window):
            least = 20 if splitter is window.bench.middle else 60  # the folded table is one line
            assert min(splitter.sizes()) >= least


def test_a_window_that_is_too_small_scrolls_to_everything(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.resize(640, 420)
    QApplication.processEvents()
    page = window.centralWidget()
    needed = window.bench.minimumSizeHint()
    assert window.bench.width() >= needed.width()
    assert window.bench.height() >= needed.height()
    assert page.size().width() < needed.width(), "or this test shows nothing"


@pytest.mark.parametrize(
    ("wanted", "got"),
    [
        ((100, 100, 800, 600), (100, 100, 800, 600)),  # as it was
        ((2000, 100, 1600, 900), (2000, 100, 1600, 900)),  # on the second screen
        ((10, 10, 2000, 790), (0, 32, 1280, 768)),  # of a larger screen
        ((-500, -40, 800, 600), (0, 32, 800, 600)),  # half beside it
        ((9_000, 9_000, 800, 600), (480, 200, 800, 600)),  # of a screen that is gone
    ],
)
def test_a_place_fits_the_screens(wanted: tuple[int, int, int, int], got: tuple[int, ...]) -> None:
    screens = [QRect(0, 0, 1280, 800), QRect(1280, 0, 2560, 1440)]
    assert fitted(QRect(*wanted), screens).getRect() == got
