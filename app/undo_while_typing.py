"""Undo and redo in a field: they mean the text while it is being typed, and the project otherwise."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QWidget
from shiboken6 import isValid

_KEYS = (QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo)


class UndoWhileTyping(QObject):
    """Follows the focus and leaves undo and redo to the window where no text is being typed.

    A line edit claims both for itself, so that after Enter they would do nothing at all. Only the field
    with the focus is watched: every event of a watched field costs a call.
    """

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._line: QLineEdit | None = None

    def follow(self, _old: QWidget | None, new: QWidget | None) -> None:
        """Watch the field that has got the focus."""
        if self._line is not None and isValid(self._line):
            self._line.removeEventFilter(self)
        self._line = new if isinstance(new, QLineEdit) else None
        if self._line is not None:
            self._line.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() is not QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        if not isinstance(watched, QLineEdit) or not any(event.matches(key) for key in _KEYS):
            return False
        event.ignore()
        return not watched.isModified()
