"""A field for one quantity: typed in any accepted unit, kept in SI, shown in the display unit.

What is typed stays as typed until Enter or until the field is left. Text that cannot be read stays too,
marked and with the reason under the field; Escape brings the last good value back.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.gestures import LARGE_STEPS
from app.plain_tip import plain_tip
from core.errors import AmpturnError
from core.units import DisplayUnits, Kind, accepted_units, format_number, si_symbol

PIXELS_PER_STEP: Final = 4
_COARSE: Final = 10
_ARROWS: Final = {int(Qt.Key.Key_Up): 1, int(Qt.Key.Key_Down): -1}

_own_gestures = itertools.count(1)


class _NumberLine(QLineEdit):
    """The line that is typed into; arrows step, Escape restores if there is something to restore."""

    stepped = Signal(int)

    def __init__(self, restore: Callable[[], bool]) -> None:
        super().__init__()
        self._restore = restore

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = _ARROWS.get(int(event.key()), 0)
        if steps and not self.isReadOnly():
            coarse = bool(event.modifiers() & LARGE_STEPS)
            self.stepped.emit(steps * _COARSE if coarse else steps)
        elif event.key() != Qt.Key.Key_Escape or not self._restore():
            super().keyPressEvent(event)


class _UnitLabel(QLabel):
    """The unit beside the number; dragging it sideways reports whole steps from where it was pressed."""

    dragged = Signal(int)
    released = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("type", "soft")
        self._pressed_at: float | None = None
        self._steps = 0

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._pressed_at, self._steps = event.position().x(), 0

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._pressed_at is None:
            return
        steps = int((event.position().x() - self._pressed_at) / PIXELS_PER_STEP)
        if steps != self._steps:
            self._steps = steps
            self.dragged.emit(steps)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self._pressed_at is not None:
            self._pressed_at = None
            self.released.emit()


class QuantityEdit(QWidget):
    """Edits one SI value of a kind. `setValue` shows a value and is silent; only the user is heard.

    `check` is called with a typed value and refuses it by raising an `AmpturnError`. `step` is the size of
    an arrow key press in SI; without it one unit in the second digit. With `scrub` the unit can be dragged:
    all values of one drag carry the same gesture number, which `new_gesture` hands out.
    """

    committed = Signal(float)
    cleared = Signal()
    scrub_started = Signal(int)
    scrubbed = Signal(float, int)
    scrub_finished = Signal(int)

    def __init__(
        self,
        name: str,
        kind: Kind,
        display: DisplayUnits,
        *,
        optional: bool = False,
        step: float | None = None,
        check: Callable[[float], object] | None = None,
        scrub: bool = False,
        new_gesture: Callable[[], int] = _own_gestures.__next__,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._name, self._kind, self._display = name, kind, display
        self._optional, self._step, self._check, self._new_gesture = optional, step, check, new_gesture
        self._value: float | None = None
        self._reason = ""
        self._scrub_start: float | None = None
        self._gesture: int | None = None
        self._scrub_cancelled = False

        self.line = _NumberLine(self._restore)
        self.line.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.line.setPlaceholderText("not given" if optional else "needed")
        self.line.editingFinished.connect(self._commit_typed)
        self.line.stepped.connect(self._step_by)
        self.unit = _UnitLabel()
        if scrub:
            self.unit.setCursor(Qt.CursorShape.SizeHorCursor)
            self.unit.dragged.connect(self._scrub_to)
            self.unit.released.connect(self._finish_scrub)
        self.message = QLabel()
        self.message.setProperty("type", "missed")
        self.message.setWordWrap(True)
        self.message.hide()
        self._lay_out()
        self.set_display_units(display)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(self.line, 1)
        row.addWidget(self.unit)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(row)
        column.addWidget(self.message)
        self.setFocusProxy(self.line)

    def value(self) -> float | None:
        """Return the last good value in SI, None if not given."""
        return self._value

    def setValue(self, value: float | None) -> None:
        """Show an SI value without a signal. Text being typed, or refused for the same value, stays."""
        unchanged = value == self._value
        self._value = value
        typing = self.line.hasFocus() and self.line.isModified()
        if not typing and not (self._reason and unchanged):
            self._show()

    def is_refused(self) -> bool:
        """Tell whether the text in the field could not be taken."""
        return bool(self._reason)

    def reason(self) -> str:
        """Return why the text in the field is not taken; empty where it is."""
        return self._reason

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing; the value can still be selected and copied."""
        self.line.setReadOnly(read_only)

    def set_display_units(self, display: DisplayUnits) -> None:
        """Show the value in other units. Uncommitted text is dropped: its bare number meant the old unit."""
        self._display = display
        symbol = display.symbol(self._kind)
        self.unit.setText(symbol)
        # one width for the usual symbols, and for none, so that the fields of a column line up
        self.unit.setMinimumWidth(self.unit.fontMetrics().horizontalAdvance("mN·m/A"))
        self.line.setAccessibleName(f"{self._name}, {symbol}" if symbol else self._name)
        self._show()

    def _show(self) -> None:
        self.line.setText("" if self._value is None else self._display.format_entry(self._value, self._kind))
        self.line.setCursorPosition(0)  # of a number too long for its field the first digits are seen
        self._set_reason("")

    def _set_reason(self, reason: str) -> None:
        self.message.setText(reason)
        self.message.setVisible(bool(reason))
        self.line.setAccessibleDescription(reason)
        self.line.setToolTip(plain_tip(reason or self._in_si()))
        if bool(reason) != bool(self._reason):
            self.line.setProperty("refused", bool(reason))
            self.line.style().unpolish(self.line)
            self.line.style().polish(self.line)
        self._reason = reason

    def _in_si(self) -> str:
        """Return the value in the unit of the calculation, and what may be typed."""
        units = ", ".join(symbol for symbol in accepted_units(self._kind) if symbol)
        accepts = f"accepts {units}" if units else ""
        if self._value is None:
            return accepts
        return f"{format_number(self._value, 6)} {si_symbol(self._kind)}\n{accepts}".strip()

    def _read(self, text: str) -> float:
        value = self._display.parse(text, self._kind)
        if self._check is not None:
            self._check(value)
        return value

    def _commit_typed(self) -> None:
        """Take the text as the new value, or say why not. Runs at Enter and when the field is left."""
        text = self.line.text()
        if not self.line.isModified():
            return
        if self._value is not None and text == self._display.format_entry(self._value, self._kind):
            self._show()
        elif not text.strip():
            self._commit_empty()
        else:
            try:
                value = self._read(text)
            except AmpturnError as error:
                self._set_reason(str(error))
            else:
                self._commit(value)

    def _commit_empty(self) -> None:
        if not self._optional:
            self._set_reason(f"{self._name} is needed")
            return
        given = self._value is not None
        self._value = None
        self._show()
        if given:
            self.cleared.emit()

    def _commit(self, value: float) -> None:
        self._value = value
        self._show()
        self.committed.emit(value)

    def _restore(self) -> bool:
        """Bring back the last good value, or that from before the drag; False if there is nothing to do."""
        if self._gesture is not None and self._scrub_start is not None:
            gesture, self._value, self._scrub_cancelled = self._gesture, self._scrub_start, True
            self._gesture = None
            self._show()
            self.scrubbed.emit(self._scrub_start, gesture)
            self.scrub_finished.emit(gesture)
            return True
        if not self.line.isModified():
            return False
        self._show()
        return True

    def _stepped(self, value: float, steps: int) -> float:
        """Return `value` moved by whole steps, rounded so that the display unit shows a short number."""
        number = self._display.to_display(value, self._kind)
        if self._step is None:
            size = 10.0 ** (math.floor(math.log10(abs(number))) - 1) if number else 1.0
        else:
            size = self._display.to_display(value + self._step, self._kind) - number
        moved = self._display.from_display(float(f"{number + steps * size:.10g}"), self._kind)
        return moved if math.isfinite(moved) else value

    def _step_by(self, steps: int) -> None:
        """Move the value, or the text just typed, and commit it at once."""
        try:
            start = self._read(self.line.text()) if self.line.isModified() else self._value
            if start is None or not math.isfinite(start):
                return
            value = self._stepped(start, steps)
            if self._check is not None:
                self._check(value)
        except AmpturnError as error:
            self._set_reason(str(error))
        else:
            self._commit(value)

    def _scrub_to(self, steps: int) -> None:
        if self._scrub_cancelled or self.line.isReadOnly():
            return
        if self._gesture is None and not self._begin_scrub():
            return
        assert self._scrub_start is not None
        value = self._stepped(self._scrub_start, steps)
        try:
            if self._check is not None:
                self._check(value)
        except AmpturnError:
            return  # the drag stops at the last value that is allowed
        self._value = value
        self._show()
        self.scrubbed.emit(value, self._gesture)

    def _begin_scrub(self) -> bool:
        """Start a gesture from the last good value; text typed before it is taken or refused first."""
        self._commit_typed()
        if self._reason or self._value is None or not math.isfinite(self._value):
            return False
        self.line.setFocus(Qt.FocusReason.MouseFocusReason)  # so that Escape reaches this field
        self._scrub_start, self._gesture = self._value, self._new_gesture()
        self.scrub_started.emit(self._gesture)
        return True

    def _finish_scrub(self) -> None:
        gesture, self._gesture = self._gesture, None
        self._scrub_start, self._scrub_cancelled = None, False
        if gesture is not None:
            self.scrub_finished.emit(gesture)
