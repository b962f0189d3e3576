"""What a screen reader says and the keyboard reaches: every control of every page has a name."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QScrollBar, QSplitterHandle, QWidget
from pytestqt.qtbot import QtBot

from app.inputs.fold_group import FoldGroup
from app.main_window import MainWindow
from app.pages import PAGES
from tests.app.whole_window import open_window


def controls(window: MainWindow) -> list[QWidget]:
    """Return what the keyboard can reach."""
    return [
        widget
        for widget in window.findChildren(QWidget)
        if widget.isVisible()
        and widget.isEnabled()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not isinstance(widget, QScrollBar | QSplitterHandle)
        and not (widget.objectName().startswith("qt_") and not widget.accessibleName())
    ]


def name_of(widget: QWidget) -> str:
    """Return what is said of a control: its name, its words, or those of its label."""
    text = getattr(widget, "text", None)
    words = text() if callable(text) and not hasattr(widget, "setEchoMode") else ""
    proxy = widget.focusProxy()
    return widget.accessibleName() or str(words) or ("" if proxy is None else proxy.accessibleName())


@pytest.mark.parametrize("page", [kind.name for kind in PAGES])
def test_every_control_has_a_name(qtbot: QtBot, page: str) -> None:
    window, _ = open_window(qtbot)
    for group in window.findChildren(FoldGroup):
        group.header.setChecked(True)
    window.turn_to(page)
    QApplication.processEvents()
    found = controls(window)
    assert len(found) > 8
    nameless = [f"{type(widget).__name__} in {type(widget.parentWidget()).__name__}" for widget in found
                if not name_of(widget)]  # fmt: skip
    assert not nameless


def test_charts_tell_their_values(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    for view in (window.bench.plane, window.bench.cycle.pages[0]):
        said = view.accessibleDescription()
        assert any(letter.isdigit() for letter in said), "a chart says its numbers"


@pytest.mark.parametrize("page", [kind.name for kind in PAGES])
def test_tab_reaches_every_control_and_comes_back(qtbot: QtBot, page: str) -> None:
    window, _ = open_window(qtbot)
    window.turn_to(page)
    QApplication.processEvents()
    wanted = {id(widget) for widget in controls(window) if not isinstance(widget, QAbstractScrollArea)}
    start: QWidget = window.header
    widget: QWidget | None = start
    reached = set[int]()
    for _ in range(2000):
        widget = None if widget is None else widget.nextInFocusChain()
        reached.add(id(widget))
        if widget is start:
            break
    assert wanted <= reached


def test_menus_have_letters_and_keys_of_their_own(qtbot: QtBot) -> None:
    window, _ = open_window(qtbot)
    keys: dict[str, str] = {}
    for menu in (window.menus.file, window.menus.edit, window.menus.view, window.menus.candidate,
                 window.menus.parts, window.menus.help):  # fmt: skip
        letters: dict[str, str] = {}
        for action in menu.actions():
            words = action.text().replace("&&", "")
            if "&" in words:
                letter = words[words.index("&") + 1].lower()
                assert letter not in letters, f"{menu.title()}: {words!r} and {letters[letter]!r}"
                letters[letter] = words
            for shortcut in action.shortcuts():
                text = shortcut.toString()
                assert text not in keys, f"{text}: {words!r} and {keys[text]!r}"
                keys[text] = words
