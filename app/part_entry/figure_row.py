"""One figure of a data sheet: its label and its editor, a quantity, a count, a word or a text."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QSizePolicy, QWidget

from app.widgets.quantity_edit import QuantityEdit
from core.catalogue.sheet_figures import SheetFigure, Value
from core.errors import UnitError
from core.units import DisplayUnits, Kind

LONGEST_TEXT = 200


class _Chooser(QComboBox):
    """A list that the wheel does not change while the form is scrolled."""

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class FigureRow(QObject):
    """Label and editor of a figure. `changed` is heard when the user gives, changes or takes away a value."""

    changed = Signal()

    def __init__(self, figure: SheetFigure, display: DisplayUnits, parent: QObject) -> None:
        super().__init__(parent)
        self.figure = figure
        words = figure.key[:1].upper() + figure.key[1:]
        self.label = QLabel(words)
        self.label.setWordWrap(True)
        self.label.setMinimumHeight(22)
        self.label.setToolTip(figure.hint)
        self._quantity: QuantityEdit | None = None
        self._choice: _Chooser | None = None
        self._line: QLineEdit | None = None
        self._settled = ""
        self._is_marked = False
        if figure.kind is not None or figure.whole:
            self.editor: QWidget = self._make_quantity(words, display)
        elif figure.choices:
            self.editor = self._make_choice(words)
        else:
            self.editor = self._make_line(words)
        self.label.setBuddy(self.editor)
        self.editor.setProperty("told", figure.hint)

    def _make_quantity(self, words: str, display: DisplayUnits) -> QuantityEdit:
        kind = self.figure.kind or Kind.NUMBER
        edit = QuantityEdit(words, kind, display, optional=True, check=self._check())
        if self.figure.needed:
            edit.line.setPlaceholderText("needed")
        edit.committed.connect(lambda _value: self.changed.emit())
        edit.cleared.connect(self.changed)
        if isinstance(self.figure.default, float):
            edit.setValue(self.figure.default)
        self._quantity = edit
        return edit

    def _check(self) -> Callable[[float], object]:
        return self._whole if self.figure.whole else self.figure.check

    def _whole(self, value: float) -> None:
        if value != int(value) or value < 1.0:
            raise UnitError(f"{self.figure.key} must be a whole number from 1 on")

    def _make_choice(self, words: str) -> _Chooser:
        choice = _Chooser()
        choice.setAccessibleName(words)
        choice.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        choice.setMinimumContentsLength(12)
        choice.setToolTip(self.figure.hint)
        asks = self.figure.needed or self.figure.key.endswith(" meaning")
        if self.figure.default is None:
            choice.addItem(f"{self.figure.hint}?" if asks else "not given", None)
        for word in self.figure.choices:
            choice.addItem(word, word)
        if self.figure.default is not None:
            choice.setCurrentIndex(choice.findData(self.figure.default))
        choice.activated.connect(lambda _index: self.changed.emit())
        choice.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._choice = choice
        return choice

    def _make_line(self, words: str) -> QLineEdit:
        line = QLineEdit()
        line.setAccessibleName(words)
        line.setMaxLength(LONGEST_TEXT)
        line.setPlaceholderText("needed" if self.figure.needed else "not given")
        if isinstance(self.figure.default, str):
            line.setText(self.figure.default)
        self._settled = line.text()
        line.editingFinished.connect(self._on_text)
        self._line = line
        return line

    def _on_text(self) -> None:
        if self._line is not None and self._line.text() != self._settled:
            self._settled = self._line.text()
            self.changed.emit()

    @property
    def is_refused(self) -> bool:
        """Whether what is typed cannot be read."""
        return self._quantity is not None and self._quantity.is_refused()

    def value(self) -> Value | None:
        """Return the value in SI, the word or the text; None where it is not given."""
        if self._quantity is not None:
            return self._quantity.value()
        if self._choice is not None:
            word: Any = self._choice.currentData()
            return None if word is None else str(word)
        text = self._line.text().strip() if self._line is not None else ""
        return text or None

    def set_value(self, value: Value | None) -> None:
        """Show a value, silently."""
        if self._quantity is not None:
            self._quantity.setValue(value if isinstance(value, float) else None)
        elif self._choice is not None:
            self._choice.setCurrentIndex(max(self._choice.findData(value), 0))
        elif self._line is not None:
            self._line.setText("" if value is None else str(value))
            self._settled = self._line.text()

    def set_display_units(self, display: DisplayUnits) -> None:
        """Show the value in other units."""
        if self._quantity is not None:
            self._quantity.set_display_units(display)

    def mark(self, is_wrong: bool) -> None:
        """Draw the label so that a figure that is needed or wrong is found."""
        if is_wrong == self._is_marked:
            return
        self._is_marked = is_wrong
        self.label.setProperty("type", "missed" if is_wrong else "")
        self.label.style().unpolish(self.label)
        self.label.style().polish(self.label)
