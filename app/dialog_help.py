"""F1 and Shift+F1 in a dialog; the help itself is loaded when it is first asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QDialog

if TYPE_CHECKING:
    from app.help_window import HelpWindow


def give_help(dialog: QDialog) -> None:
    """Let F1 show the help on the field that has the focus in a dialog, and Shift+F1 the search."""
    windows: list[HelpWindow] = []

    def window() -> HelpWindow:
        from app.help_window import HelpWindow

        if not windows:
            windows.append(HelpWindow(dialog))
        return windows[0]

    focus = QShortcut(QKeySequence(QKeySequence.StandardKey.HelpContents), dialog)
    focus.activated.connect(lambda: window().on_focus())
    search = QShortcut(QKeySequence("Shift+F1"), dialog)
    search.activated.connect(lambda: window().go_to_search())
