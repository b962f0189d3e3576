"""What drives it: the candidates side by side, what differs between them in heavier words."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, set_read_only, show_mark
from app.inputs.asked import CandidateQuestions
from app.inputs.brake_rows import QUESTIONS as BRAKE
from app.inputs.candidate_column import NAME_ROW, CandidateColumn, underlined
from app.inputs.candidate_group import COLUMN_WIDTH, GAP, LABEL_WIDTH, CandidateGroup
from app.inputs.candidate_rows import summary
from app.inputs.differences_group import DifferencesGroup
from app.inputs.electronics_group import ElectronicsGroup
from app.inputs.feedback_rows import QUESTIONS as FEEDBACK
from app.inputs.fold_group import FoldGroup
from app.inputs.lead_rows import CABLE_QUESTIONS, WINDING_QUESTIONS
from app.inputs.shaft_rows import DROPPED_LABEL, VERDICT_QUESTIONS
from app.inputs.shaft_rows import QUESTIONS as SHAFT
from app.inputs.transmission_rows import QUESTIONS as TRANSMISSION
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.widgets.candidate_mark import letter_of
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import Result

TITLE = "What drives it"
_WIDEST_UNIT = "g·cm²"
_WIDE_ROWS = (NAME_ROW.label, "Frame")  # words too long for a column: a line for each candidate
_CHOICE_ROWS = (NAME_ROW.label, "Frame", "Winding", "Variant", "Commutation")


class WhatDrivesIt(FoldGroup):
    """One column a candidate. Rebuilt only when the number of candidates changes."""

    asked = Signal(str, int)  # "choose", "duplicate", "remove" and which; "add" and "parts" with -1

    def __init__(self, document: ProjectDocument, preferences: Preferences, shelf: PartsShelf) -> None:
        super().__init__(TITLE, "what_drives_it", preferences, open_at_first=True, fill=lambda: None)
        self._document, self._shelf = document, shelf
        self.columns: list[CandidateColumn] = []
        self.labels: dict[str, QLabel] = {}
        self.marks: dict[str, QLabel] = {}
        self._shown: tuple[tuple[Candidate, ...], str | None] | None = None
        self._read_only = False
        self._preferences = preferences
        self.winding = self._group(WINDING_QUESTIONS)
        self.electronics = ElectronicsGroup(document, preferences, shelf)
        self.cable = self._group(CABLE_QUESTIONS)
        self.feedback = self._group(FEEDBACK)
        self.transmission = self._group(TRANSMISSION)
        self.brake = self._group(BRAKE)
        self.shaft = self._group(SHAFT)
        self.verdict = self._group(VERDICT_QUESTIONS)
        self.groups: tuple[CandidateGroup, ...] = (
            self.winding,
            self.electronics,
            self.cable,
            self.feedback,
            self.transmission,
            self.brake,
            self.shaft,
            self.verdict,
        )
        self.differences = DifferencesGroup(document, preferences)
        self.note = mark_label()
        self.parts = QLabel()
        self.parts.setProperty("type", "small")
        self._choice_holder: QWidget | None = None
        self._column = QVBoxLayout(self.body)
        self._column.setContentsMargins(0, 0, 0, 6)
        self._column.setSpacing(4)
        for part in (self.note, *self.groups, self.differences, self._buttons(), self.parts):
            self._column.addWidget(part)
        shelf.changed.connect(self._on_shelf)

    def _group(self, questions: CandidateQuestions) -> CandidateGroup:
        return CandidateGroup(questions, self._document, self._preferences, self._shelf)

    def _buttons(self) -> QWidget:
        holder = QWidget()
        column = QVBoxLayout(holder)
        column.setContentsMargins(0, 2, 0, 0)
        column.setSpacing(0)
        row = QHBoxLayout()
        self.add = QPushButton("Add candidate")
        self.open_parts = QPushButton("Open parts file…")
        for button, word in ((self.add, "add"), (self.open_parts, "parts")):
            button.setFlat(True)
            button.clicked.connect(lambda _checked, word=word: self.asked.emit(word, -1))
            row.addWidget(button)
        row.addStretch(1)
        self.from_sheet = QPushButton("Enter a motor from its data sheet…")
        self.from_sheet.setFlat(True)
        column.addLayout(row)
        column.addWidget(self.from_sheet, 0, Qt.AlignmentFlag.AlignLeft)
        return holder

    def show_project(self, project: Project) -> None:
        """Show the candidates of a project; nothing to do while they are the same."""
        shown = (project.candidates, project.chosen)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] == shown[1]:
            return
        self._shown = shown
        show_mark(self.note, "")
        if len(self.columns) != len(project.candidates):
            self._build(len(project.candidates))
        for column in self.columns:
            column.show_project(project)
        for label in self.labels:
            self._mark_row(label)
        letters = tuple(letter_of(i) for i in range(len(project.candidates)))
        self.sum_up(summary(project, letters))
        for group in self.groups:
            group.setVisible(bool(project.candidates))
            group.show_project(project)
        self.differences.show_project(project)
        self.parts.setText(f"Parts: {self._shelf.name}")

    def show_result(self, result: Result) -> None:
        """Show what each candidate comes to, beside its inputs."""
        for group in self.groups:
            group.show_result(result)

    def ask_words(self, word: str, index: int) -> None:
        """Go to the name of a candidate, or to the reason for which it is dropped."""
        self.set_open(True)
        if word == "drop":
            self.verdict.set_open(True)
            editor = self.verdict.columns[index][DROPPED_LABEL]
        else:
            editor = self.columns[index].name
        editor.setFocus(Qt.FocusReason.OtherFocusReason)
        if isinstance(editor, QLineEdit):
            editor.selectAll()

    def narrowest(self) -> int:
        """Return the width below which the columns cannot be read [px]."""
        unit = self.fontMetrics().horizontalAdvance(_WIDEST_UNIT) + 2
        return LABEL_WIDTH + len(self.columns) * (COLUMN_WIDTH + GAP) + GAP + unit

    def show_units(self) -> None:
        """Show every quantity in the display units of the moment."""
        for group in self.groups:
            group.show_units()
        self.forget()
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None
        self.differences.forget()
        for group in self.groups:
            group.forget()

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        for group in self.groups:
            group.set_read_only(read_only)
        for column in self.columns:
            set_read_only(column.inputs(), read_only)
            for part in (column.frame, column.winding, column.variant):
                part.setEnabled(not read_only)

    def _build(self, count: int) -> None:
        """Make the columns of this number of candidates."""
        holder = self._choice_holder
        if holder is not None:
            # a field that is hidden would commit its text to a candidate that may be gone
            for line in holder.findChildren(QLineEdit):
                line.setModified(False)
            holder.hide()
            holder.deleteLater()
        for column in self.columns:
            column.deleteLater()
        self.labels, self.marks = {}, {}
        self.columns = [
            CandidateColumn(i, self._document, self._preferences, self._shelf, self) for i in range(count)
        ]
        for column in self.columns:
            column.asked.connect(self.asked)
            column.noted.connect(lambda note: show_mark(self.note, note))
            column.refused.connect(lambda label, _reason: self._mark_row(label))
        self._choice_holder = self._grid()
        self._column.insertWidget(0, self._choice_holder)
        self.set_read_only(self._read_only)

    def _grid(self) -> QWidget:
        holder = QWidget()
        grid = QGridLayout(holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(GAP)
        grid.setVerticalSpacing(2)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        for number, column in enumerate(self.columns, start=1):
            grid.setColumnStretch(number, 1)
            grid.setColumnMinimumWidth(number, COLUMN_WIDTH)
            grid.addWidget(column.head, 0, number)
        if self.columns:
            for line, label in enumerate(_CHOICE_ROWS):
                self._add_row(grid, 2 * line + 1, label)
        return holder

    def _add_row(self, grid: QGridLayout, line: int, label: str) -> None:
        words, mark = QLabel(label), mark_label()
        words.setFixedWidth(LABEL_WIDTH)
        words.setProperty("type", "soft")
        top = Qt.AlignmentFlag.AlignTop if label in _WIDE_ROWS else Qt.AlignmentFlag.AlignVCenter
        grid.addWidget(words, line, 0, top)
        cells = [underlined(column.choices[label], column.index) for column in self.columns]
        if label in _WIDE_ROWS:
            around = QWidget()
            stack = QVBoxLayout(around)
            stack.setContentsMargins(0, 0, 0, 0)
            stack.setSpacing(2)
            for cell in cells:
                stack.addWidget(cell)
            grid.addWidget(around, line, 1, 1, len(cells))
        else:
            for number, cell in enumerate(cells, start=1):
                grid.addWidget(cell, line, number)
        grid.addWidget(mark, line + 1, 0, 1, len(self.columns) + 1)
        self.labels[label], self.marks[label] = words, mark

    def _on_shelf(self) -> None:
        self.forget()
        self.show_project(self._document.project)

    def _mark_row(self, label: str) -> None:
        """Say under a row what is refused or missing, and in its label whether the candidates differ."""
        candidates = self._document.project.candidates
        said: dict[str, list[str]] = {}
        for column in self.columns[: len(candidates)]:
            words = column.reason(label) or _missing(candidates[column.index], label)
            if words:
                said.setdefault(words, []).append(column.letter)
        everyone = len(self.columns)
        show_mark(
            self.marks[label],
            "\n".join(
                words if len(who) == everyone else f"{', '.join(who)}: {words}" for words, who in said.items()
            ),
        )
        differs = len({repr(_value(candidate, label)) for candidate in candidates}) > 1
        wanted = "differs" if differs and label != NAME_ROW.label else "soft"
        words_label = self.labels[label]
        if words_label.property("type") != wanted:
            words_label.setProperty("type", wanted)
            words_label.setToolTip("differs between the candidates" if wanted == "differs" else "")
            words_label.style().unpolish(words_label)
            words_label.style().polish(words_label)


def _value(candidate: Candidate, label: str) -> object:
    """Return what a row shows of a candidate."""
    shown = {
        NAME_ROW.label: candidate.name,
        "Frame": candidate.motor.name if candidate.motor else None,
        "Winding": candidate.winding,
        "Variant": candidate.variant,
        "Commutation": candidate.commutation,
    }
    return shown[label]


def _missing(candidate: Candidate, label: str) -> str:
    """Return what is said where a row has no value."""
    if label in ("Frame", "Winding", "Variant") and _value(candidate, label) is None:
        return f"missing: no {label.lower()} is chosen"
    return ""
