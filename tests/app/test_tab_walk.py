"""Real Tab keys through every page: each control is reached, in reading order, seen, and shows its focus."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot
from shiboken6 import getCppPointer

from app.inputs.fold_group import FoldGroup
from app.main_window import MainWindow
from app.pages import PAGES
from tests.app.test_accessible import controls, name_of
from tests.app.whole_window import open_window

MOST = 600
ROOM = 3  # px around a control in which its frame may be drawn


def address(widget: QWidget) -> int:
    return int(getCppPointer(widget)[0])


def focus() -> QWidget:
    found = QApplication.focusWidget()
    assert found is not None
    return found


def walk(window: MainWindow, key: Qt.Key) -> list[QWidget]:
    """Press Tab until the focus is where it began; return what it reached."""
    window.header.title.setFocus()
    reached: list[QWidget] = []
    for _ in range(MOST):
        reached.append(focus())
        QTest.keyClick(focus(), key)
        if focus() is window.header.title:
            return reached
    raise AssertionError(f"the focus does not come round: it is at {name_of(focus())}")


def shown(qtbot: QtBot, page: str) -> MainWindow:
    window, _ = open_window(qtbot)
    for group in window.findChildren(FoldGroup):
        group.header.setChecked(True)
    window.turn_to(page)
    with qtbot.waitActive(window):
        window.activateWindow()
    QApplication.processEvents()
    return window


@pytest.mark.parametrize("page", [kind.name for kind in PAGES])
def test_tab_reaches_every_control_and_comes_round(qtbot: QtBot, page: str) -> None:
    window = shown(qtbot, page)
    forward = walk(window, Qt.Key.Key_Tab)
    reached = {address(widget) for widget in forward}
    missed = []
    for control in controls(window):
        proxy = control.focusProxy()
        if address(control) not in reached and (proxy is None or address(proxy) not in reached):
            missed.append(f"{type(control).__name__} {name_of(control)}")
    assert not missed
    back = {address(widget) for widget in walk(window, Qt.Key.Key_Backtab)}
    assert reached == back


def place(window: MainWindow, widget: QWidget) -> QRect:
    return QRect(widget.mapTo(window, QPoint()), widget.size())


@pytest.mark.parametrize("page", [kind.name for kind in PAGES])
def test_what_has_the_focus_is_in_sight_and_shows_it(qtbot: QtBot, page: str) -> None:
    window = shown(qtbot, page)
    QApplication.setCursorFlashTime(0)
    window.header.title.setFocus()
    unseen = []
    for _ in range(MOST):
        QTest.keyClick(focus(), Qt.Key.Key_Tab)
        widget = focus()
        if widget is window.header.title:
            break
        if in_sight(widget).isEmpty():
            unseen.append(f"{type(widget).__name__} {name_of(widget)} is out of sight")
        area = place(window, widget).adjusted(-ROOM, -ROOM, ROOM, ROOM)
        lit = window.grab(area).toImage()
        widget.clearFocus()
        if _looks_same(lit, window.grab(area).toImage()):
            unseen.append(f"{type(widget).__name__} {name_of(widget)} looks the same without it")
        widget.setFocus(Qt.FocusReason.TabFocusReason)
    assert not unseen


def in_sight(widget: QWidget) -> QRect:
    """Return the part of a widget that no area which it lies in cuts off."""
    left, above, parent = widget.rect(), widget, widget.parentWidget()
    while parent is not None and not above.isWindow():
        left = QRect(above.mapToParent(left.topLeft()), left.size()) & parent.rect()
        above, parent = parent, parent.parentWidget()
    return left


def _looks_same(one: QImage, other: QImage) -> bool:
    return one == other


def test_groups_opened_later_keep_their_place(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    window.activateWindow()
    group = window.bench.inputs.what_drives_it
    group.set_open(False)
    window.bench.inputs.what_moves.set_open(False)
    QApplication.processEvents()
    window.bench.inputs.what_moves.set_open(True)
    QApplication.processEvents()
    names = [name_of(widget) for widget in walk(window, Qt.Key.Key_Tab)]
    assert (
        names.index("What moves") < names.index("Where the duty comes from") < names.index("What drives it")
    )
    assert names.index("What drives it") < names.index("Speed–torque plane") < names.index("Cycle")


@pytest.mark.parametrize("size", [(853, 512), (640, 384)])  # of 1280x800 scaled by 1.5 and by 2
def test_on_a_small_screen_tab_brings_every_control_into_sight(qtbot: QtBot, size: tuple[int, int]) -> None:
    window = shown(qtbot, "bench")
    window.resize(*size)
    QApplication.processEvents()
    assert window.bench.width() > window.width(), "or nothing has to be scrolled"
    window.header.title.setFocus()
    for _ in range(MOST):
        QTest.keyClick(focus(), Qt.Key.Key_Tab)
        assert not in_sight(focus()).isEmpty(), name_of(focus())
        if focus() is window.header.title:
            return
    raise AssertionError("the focus does not come round")
