"""The editors of the inputs: each shows one value of the project and turns what is typed into an edit."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QLineEdit,
    QSizePolicy,
    QStyle,
    QStyleOptionComboBox,
    QStylePainter,
)

from app.document import ProjectDocument
from app.inputs.rows import Binding, ChoiceRow, QuantityRow, TextRow, refusal
from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.widgets.quantity_edit import QuantityEdit
from core.errors import AmpturnError
from core.project.project import Project

LONGEST_NAME, LONGEST_TEXT = 200, 20_000  # what the project takes


def _lower_first(label: str) -> str:
    return label[:1].lower() + label[1:]


class QuantityInput(QuantityEdit):
    """A quantity of the project. One typed value and one drag of the unit are one undo step each."""

    refused = Signal(str)  # why the text is not taken; empty when it is again

    def __init__(
        self,
        row: QuantityRow,
        binding: Binding,
        document: ProjectDocument,
        preferences: Preferences,
        name: str = "",
        message_elsewhere: bool = False,
    ) -> None:
        self._row, self._binding = row, binding
        self._document, self._preferences = document, preferences
        self._message_elsewhere = message_elsewhere
        super().__init__(
            name or row.label,
            row.kind,
            preferences.display_units,
            optional=row.optional,
            check=self._try,
            scrub=True,
        )
        if row.placeholder:
            self.line.setPlaceholderText(row.placeholder)
        self.setProperty("helps", ".".join(row.place))
        self.committed.connect(self._write)
        self.cleared.connect(self._clear)
        self.scrub_started.connect(self._on_scrub_started)
        self.scrubbed.connect(self._on_scrubbed)
        self.scrub_finished.connect(self._on_scrub_finished)

    def show_project(self, project: Project) -> None:
        """Show the value that the project has."""
        value = self._binding.read(project)
        if value != self.value() or self.is_refused():
            self.setValue(value)

    def _try(self, value: float) -> None:
        """Refuse what the project would refuse, in the words of the field."""
        try:
            self._binding.write(self._document.project, value)
        except AmpturnError as error:
            units = self._preferences.display_units
            raise AmpturnError(refusal(error, self._row.label, self._row.kind, units)) from error

    def _text(self, value: float) -> str:
        shown = self._preferences.display_units.format_quantity(value, self._row.kind, 4)
        return f"Set {_lower_first(self._row.label)}{self._binding.whose} to {shown}"

    def _write(self, value: float) -> None:
        self._document.edit(self._binding.write(self._document.project, value), self._text(value))

    def _clear(self) -> None:
        text = f"Take away {_lower_first(self._row.label)}{self._binding.whose}"
        self._document.edit(self._binding.write(self._document.project, None), text)

    def _on_scrub_started(self, _gesture: int) -> None:
        self._document.begin_gesture()

    def _on_scrubbed(self, value: float, _gesture: int) -> None:
        before = self._document.before_gesture
        after = self._binding.write(before, value)
        # back where it began is the very project it began with, so that no empty step is left
        self._document.edit(before if after == before else after, self._text(value))

    def _on_scrub_finished(self, _gesture: int) -> None:
        self._document.end_gesture()

    def _set_reason(self, reason: str) -> None:
        super()._set_reason(reason)
        if self._message_elsewhere:
            self.message.hide()
        self.refused.emit(reason)


class QuietCombo(QComboBox):
    """A list that shrinks with the panel and ends in dots; the wheel scrolls the panel, never the choice."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setMinimumContentsLength(3)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def showPopup(self) -> None:
        self.view().setMinimumWidth(self.view().sizeHintForColumn(0) + 24)
        super().showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QStylePainter(self)
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        field = self.style().subControlRect(
            QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, self
        )
        option.currentText = self.fontMetrics().elidedText(
            self.currentText() or self.placeholderText(), Qt.TextElideMode.ElideRight, field.width()
        )
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        painter.end()


class ChoiceInput(QuietCombo):
    """One of a few words of the project."""

    def __init__(self, row: ChoiceRow, binding: Binding, document: ProjectDocument, name: str = "") -> None:
        super().__init__(name or row.label)
        self._row, self._binding, self._document = row, binding, document
        self.setProperty("helps", ".".join(row.place))
        for value, words in row.options:
            self.addItem(words, value)
        self.activated.connect(self._write)

    def show_project(self, project: Project) -> None:
        """Show the choice that the project has."""
        value = self._binding.read(project)
        index = next((i for i, (option, _) in enumerate(self._row.options) if option == value), -1)
        if index != self.currentIndex():
            self.setCurrentIndex(index)
            self.setToolTip(plain_tip(self.currentText()))

    def _write(self, index: int) -> None:
        if 0 <= index < len(self._row.options):
            value, words = self._row.options[index]
            text = f"Set {_lower_first(self._row.label)}{self._binding.whose} to {words}"
            self._document.edit(self._binding.write(self._document.project, value), text)


class PartChoice(QuietCombo):
    """A list that the owner fills, as the frames of a parts file; `chosen` carries the item's value."""

    chosen = Signal(object)

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self._values: tuple[Any, ...] = ()
        self._words: tuple[str, ...] = ()
        self.activated.connect(self._on_activated)

    def offer(self, words: tuple[str, ...], values: tuple[Any, ...], current: int) -> None:
        """Offer values under their words, the current one shown; -1 shows none."""
        if words != self._words:
            self.clear()
            self.addItems(list(words))
        self._words, self._values = words, values
        if current != self.currentIndex():
            self.setCurrentIndex(current)
        self.setToolTip(plain_tip(words[current] if 0 <= current < len(words) else "nothing chosen"))

    def _on_activated(self, index: int) -> None:
        if 0 <= index < len(self._values):
            self.chosen.emit(self._values[index])


class TextInput(QLineEdit):
    """A text in the project. An empty one that must not be is put back; a refused one stays as typed.

    Escape brings the last good text back.
    """

    refused = Signal(str)  # why the text is not taken; empty when it is again

    def __init__(self, row: TextRow, binding: Binding, document: ProjectDocument, name: str = "") -> None:
        super().__init__()
        self._row, self._binding, self._document = row, binding, document
        self._value = ""
        self._reason = ""  # why the text in the field is not taken
        self._note = ""  # why the text before it was not
        self.setProperty("helps", ".".join(row.place))
        self.setMaxLength(LONGEST_TEXT if row.optional else LONGEST_NAME)
        self.setMinimumWidth(40)
        self.setAccessibleName(name or row.label)
        self.editingFinished.connect(self._write)

    def reason(self) -> str:
        """Return why the last text was not taken, empty where it was."""
        return self._reason or self._note

    def show_project(self, project: Project) -> None:
        """Show the text that the project has, unless another is being typed or was refused for it."""
        text = str(self._binding.read(project))
        unchanged, self._value, self._note = text == self._value, text, ""
        if not (self.hasFocus() and self.isModified()) and not (self._reason and unchanged):
            self._show()

    def _show(self) -> None:
        if self._value != self.text():
            self.setText(self._value)
            self.setCursorPosition(0)
        self.setModified(False)
        self._set_reason("")

    def _set_reason(self, reason: str) -> None:
        if bool(reason) != bool(self._reason):
            self.setProperty("refused", bool(reason))
            self.style().unpolish(self)
            self.style().polish(self)
        self._reason = reason
        self.setAccessibleDescription(reason)
        self.setToolTip(plain_tip(reason or self._value))

    def _write(self) -> None:
        if not self.isModified():
            return
        text = self.text().strip()
        if not text and not self._row.optional:
            self._show()
            self._note = f"{self._row.label} must not be empty; the old one is kept"
        else:
            self._take(text)
        self.refused.emit(self.reason())

    def _take(self, text: str) -> None:
        try:
            after = self._binding.write(self._document.project, text)
        except AmpturnError as error:
            self._set_reason(str(error))
            return
        self.setModified(False)
        self._set_reason("")
        label, whose = _lower_first(self._row.label), self._binding.whose
        self._document.edit(after, f"Set {label}{whose} to {text}" if text else f"Empty {label}{whose}")
        self.show_project(self._document.project)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and (self.isModified() or self._reason):
            self._show()
            self.refused.emit("")
        else:
            super().keyPressEvent(event)


Input = QuantityInput | ChoiceInput | TextInput


def reason_of(editor: object) -> str:
    """Return why the text in an editor is not taken; empty where it is, or where nothing is typed."""
    return editor.reason() if isinstance(editor, QuantityInput | TextInput) else ""
