"""A mouse for plots: real mouse events sent to a view, in pixels of its viewport.

The buttons field is always set and every drag has several moves, as a hand makes them.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QGraphicsView

NO_KEYS = Qt.KeyboardModifier.NoModifier


class Mouse:
    """Presses, moves and releases over one view, with the left button unless another one is given."""

    def __init__(self, view: QGraphicsView, button: Qt.MouseButton = Qt.MouseButton.LeftButton) -> None:
        self._view, self._button = view, button
        self._down = False

    def hover(self, place: QPointF) -> None:
        """Move without a button."""
        self._send(QEvent.Type.MouseMove, place, Qt.MouseButton.NoButton, NO_KEYS)

    def press(self, place: QPointF, keys: Qt.KeyboardModifier = NO_KEYS) -> None:
        """Hover and press the button."""
        self.hover(place)
        self._down = True
        self._send(QEvent.Type.MouseButtonPress, place, self._button, keys)

    def move(self, place: QPointF, keys: Qt.KeyboardModifier = NO_KEYS) -> None:
        """Move with the button as it is."""
        self._send(QEvent.Type.MouseMove, place, Qt.MouseButton.NoButton, keys)

    def release(self, place: QPointF, keys: Qt.KeyboardModifier = NO_KEYS) -> None:
        """Let go of the button."""
        self._down = False
        self._send(QEvent.Type.MouseButtonRelease, place, self._button, keys)

    def click(self, place: QPointF) -> None:
        """Press and release at one place."""
        self.press(place)
        self.release(place)

    def double_click(self, place: QPointF) -> None:
        """Click twice."""
        self.click(place)
        self._down = True
        self._send(QEvent.Type.MouseButtonDblClick, place, self._button, NO_KEYS)
        self.release(place)

    def drag(self, start: QPointF, end: QPointF, keys: Qt.KeyboardModifier = NO_KEYS, steps: int = 6) -> None:
        """Press, move in several steps, release."""
        self.press(start, keys)
        self.drag_on(start, end, keys, steps)
        self.release(end, keys)

    def drag_on(
        self, start: QPointF, end: QPointF, keys: Qt.KeyboardModifier = NO_KEYS, steps: int = 6
    ) -> None:
        """Move in several steps with the button down."""
        for step in range(1, steps + 1):
            self.move(start + (end - start) * (step / steps), keys)
            QApplication.processEvents()

    def _send(
        self, kind: QEvent.Type, place: QPointF, button: Qt.MouseButton, keys: Qt.KeyboardModifier
    ) -> None:
        held = self._button if self._down else Qt.MouseButton.NoButton
        target = self._view.viewport()
        event = QMouseEvent(kind, place, QPointF(target.mapToGlobal(place.toPoint())), button, held, keys)
        QApplication.sendEvent(target, event)
        QApplication.processEvents()
