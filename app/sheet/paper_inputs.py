"""What only the sheet says: whose requirement, who answers for it, and what the supplier is told."""

from __future__ import annotations

from functools import partial
from typing import Any, Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.editors import TextInput
from app.inputs.rows import Binding, TextRow
from app.widgets.candidate_mark import letter_of
from core.errors import AmpturnError
from core.project.paperwork import Pin
from core.project.paperwork_edits import (
    add_pin,
    change_hand_over,
    change_paperwork,
    change_pin,
    hand_over_of,
    paperwork_of,
    remove_pin,
)
from core.project.project import Project

_PAPERWORK: Final = (
    ("customer", "Customer"),
    ("customer_reference", "Their reference"),
    ("requirement_source", "Requirement from"),
    ("revision", "Its revision"),
    ("requirement_date", "Its date"),
    ("prepared_by", "Prepared by"),
    ("checked_by", "Checked by"),
)
_HAND_OVER: Final = (
    ("quantity", "Quantity"),
    ("designation", "Designation"),
    ("shaft_front", "Front shaft end"),
    ("shaft_rear", "Rear shaft end"),
    ("leads", "Leads"),
    ("connector", "Connector"),
    ("counterpart", "Its counterpart"),
    ("lubrication", "Lubrication"),
    ("wishes", "Special wishes"),
)


class PaperInputs(QWidget):
    """Fields of the paperwork and of the hand-over list of the chosen candidate; every edit can be undone."""

    refused = Signal(str)

    def __init__(self, document: ProjectDocument) -> None:
        super().__init__()
        self._document = document
        self._chosen: int | None = None
        self._pins = -1
        self._fields: list[TextInput] = []
        self._hand_over: list[TextInput] = []
        self.remark = QLabel()
        self.remark.setProperty("type", "missed")
        self.remark.setTextFormat(Qt.TextFormat.PlainText)
        self.remark.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(_heading("Requirement"))
        form = _form()
        for name, label in _PAPERWORK:
            self._fields.append(self._field(form, label, _of_paperwork(name)))
        column.addLayout(form)
        self._title = _heading("")
        column.addWidget(self._title)
        self._place = QVBoxLayout()
        column.addLayout(self._place)
        self._body: QWidget | None = None
        column.addWidget(self.remark)
        column.addStretch(1)

    def show_project(self, project: Project) -> None:
        """Show what the project has; the hand-over list is that of the chosen candidate."""
        for field in self._fields:
            field.show_project(project)
        candidate = project.chosen_candidate
        chosen = None if candidate is None else project.candidates.index(candidate)
        pins = 0 if chosen is None else len(hand_over_of(project, chosen).pins)
        if chosen != self._chosen or pins != self._pins:
            self._chosen, self._pins = chosen, pins
            self._rebuild(chosen, pins)
        for field in self._hand_over:
            field.show_project(project)

    def _rebuild(self, chosen: int | None, pins: int) -> None:
        if self._body is not None:
            self._body.hide()
            self._body.deleteLater()
        self._body, self._hand_over = QWidget(), []
        self._place.addWidget(self._body)
        self._title.setText("" if chosen is None else f"Hand-over list, {letter_of(chosen)}")
        if chosen is None:
            return
        form = _form()
        self._body.setLayout(form)
        whose = f" of {letter_of(chosen)}"
        for name, label in _HAND_OVER:
            self._hand_over.append(self._field(form, label, _of_hand_over(chosen, name, whose)))
        for pin in range(pins):
            for name, label in (("contact", "Contact"), ("signal", "carries"), ("colour", "colour")):
                binding = _of_pin(chosen, pin, name, whose)
                self._hand_over.append(
                    self._field(form, f"{label} {pin + 1}", binding, optional=name == "colour")
                )
        more, less = QPushButton("Add a contact"), QPushButton("Remove the last")
        more.clicked.connect(partial(self._add_pin, chosen, pins))
        less.clicked.connect(partial(self._remove_pin, chosen, pins))
        less.setEnabled(pins > 0)
        form.addRow(more, less)

    def _field(self, form: QFormLayout, label: str, binding: Binding, *, optional: bool = True) -> TextInput:
        row = TextRow((label,), label, optional=optional)
        field = TextInput(row, binding, self._document)
        field.refused.connect(self._show_remark)
        words = QLabel(label)
        words.setBuddy(field)
        form.addRow(words, field)
        return field

    def _show_remark(self, reason: str) -> None:
        self.remark.setText(reason)

    def _add_pin(self, chosen: int, pins: int) -> None:
        taken = {pin.contact for pin in hand_over_of(self._document.project, chosen).pins}
        number = next(k for k in range(pins + 1, pins + 2 + len(taken)) if str(k) not in taken)
        pin = Pin(contact=str(number), signal="not named yet")
        self._document.edit(add_pin(self._document.project, chosen, pin), "Add a contact")

    def _remove_pin(self, chosen: int, pins: int) -> None:
        self._document.edit(remove_pin(self._document.project, chosen, pins - 1), "Remove a contact")


def _of_paperwork(name: str) -> Binding:
    return Binding(
        lambda project: getattr(paperwork_of(project), name),
        lambda project, text: change_paperwork(project, **{name: text}),
    )


def _of_hand_over(index: int, name: str, whose: str) -> Binding:
    def read(project: Project) -> Any:
        if index >= len(project.candidates):  # the candidate is gone, and the field will be
            return ""
        value = getattr(hand_over_of(project, index), name)
        return "" if value is None else value

    def write(project: Project, text: str) -> Project:
        return change_hand_over(project, index, **{name: _count(text) if name == "quantity" else text})

    return Binding(read, write, whose)


def _of_pin(index: int, place: int, name: str, whose: str) -> Binding:
    def read(project: Project) -> Any:
        pins = hand_over_of(project, index).pins if index < len(project.candidates) else ()
        return getattr(pins[place], name) if place < len(pins) else ""

    return Binding(read, lambda project, text: change_pin(project, index, place, **{name: text}), whose)


def _count(text: str) -> int | None:
    if not text:
        return None
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 1_000_000):
        raise AmpturnError(f"The quantity must be a whole number from 1 to 1000000, got '{text}'.")
    return int(text)


def _heading(text: str) -> QLabel:
    label = QLabel(text)
    label.setProperty("type", "group")
    return label


def _form() -> QFormLayout:
    form = QFormLayout()
    form.setContentsMargins(0, 2, 0, 8)
    form.setVerticalSpacing(4)
    form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
    return form
