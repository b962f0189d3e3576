"""Every key of the window with what it does, read off the actions, and the gestures of the views."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMenuBar, QWidget

from app.gestures import GESTURES, Gesture

if TYPE_CHECKING:
    from app.main_window import MainWindow

_NATIVE: Final = QKeySequence.SequenceFormat.NativeText
# Actions that each of many alike has: where they hold, in words.
_OF_MANY: Final = {"Copy text": "On a caution or finding"}


def keys_of(window: MainWindow) -> tuple[Gesture, ...]:
    """Return each key of an action: where it holds, the key, what it does; menus in their order first."""
    menus = window.menus
    found: list[Gesture] = []
    listed: list[QAction] = []  # keeps the wrappers, by which an action is known again
    for menu in (menus.file, menus.edit, menus.view, menus.candidate, menus.parts, menus.help):
        actions = menu.actions()
        listed += actions
        found += _of(actions, f"Menu {plain(menu.title())}")
    for widget in window.findChildren(QWidget):
        if not isinstance(widget, QMenu | QMenuBar):
            own = [action for action in widget.actions() if action not in listed]
            listed += own
            found += _of(own, f"On: {widget.accessibleName()}")
    return tuple(dict.fromkeys(found))


def key_list(window: MainWindow) -> tuple[Gesture, ...]:
    """Return all that keys and mouse do."""
    return keys_of(window) + GESTURES


def plain(words: str) -> str:
    """Return the words of a menu without the mark of its letter.

    Examples
    --------
    >>> plain("Save &as…"), plain("R&&D")
    ('Save as', 'R&D')
    """
    return words.replace("&&", "\0").replace("&", "").replace("\0", "&").rstrip("…:")


def _of(actions: Sequence[QAction], where: str) -> list[Gesture]:
    return [
        Gesture(_OF_MANY.get(action.text(), where), key.toString(_NATIVE), plain(action.text()))
        for action in actions
        for key in action.shortcuts()
    ]
