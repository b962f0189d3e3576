"""What drives it: the candidates side by side, what differs between them in heavier words."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, set_read_only, show_mark
from app.inputs.candidate_column import NAME_ROW, CandidateColumn, underlined, unit_of
from app.inputs.candidate_rows import LIMIT_ROWS, limits_summary, summary
from app.inputs.fold_group import FoldGroup
from app.inputs.rows import QuantityRow
from app.inputs.transmission_rows import TransmissionGroup
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.widgets.candidate_mark import letter_of
from core.project import edits
from core.project.candidate import Candidate
from core.project.project import Project

TITLE = "What drives it"
ELECTRONICS = "Electronics"
LABEL_WIDTH, COLUMN_WIDTH, GAP = 88, 66, 6
_WIDEST_UNIT = "mΩ"
_CHOICE_ROWS = (NAME_ROW.label, "Frame", "Winding", "Variant", "Commutation")


class WhatDrivesIt(FoldGroup):
    """One column a candidate. Rebuilt only when the number of candidates changes."""

    asked = Signal(str, int)  # "choose", "duplicate", "remove" and which; "add" and "parts" with -1

    def __init__(self, document: ProjectDocument, preferences: Preferences, shelf: PartsShelf) -> None:
        super().__init__(TITLE, "what_drives_it", preferences, open_at_first=True, fill=lambda: None)
        self._document, self._shelf = document, shelf
        self.columns: list[CandidateColumn] = []
        self.labels: dict[str, QLabel] = {}
        self.units: dict[str, QLabel] = {}
        self.marks: dict[str, QLabel] = {}
        self._refused: dict[tuple[int, str], str] = {}
        self._shown: tuple[tuple[Candidate, ...], str | None] | None = None
        self._read_only = False
        self._limit_holder: QWidget | None = None
        self.limits = FoldGroup(
            "Electronics and leads", "drive_limits", preferences, open_at_first=False, fill=self._fill_limits
        )
        self.transmission = TransmissionGroup(document, preferences)
        self.note = mark_label()
        self.parts = QLabel()
        self.parts.setProperty("type", "small")
        self._choice_holder: QWidget | None = None
        self._column = QVBoxLayout(self.body)
        self._column.setContentsMargins(0, 0, 0, 6)
        self._column.setSpacing(4)
        for part in (self.note, self.transmission, self.limits, self._buttons(), self.parts):
            self._column.addWidget(part)
        shelf.changed.connect(self._on_shelf)

    def _buttons(self) -> QWidget:
        holder = QWidget()
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 2, 0, 0)
        self.add = QPushButton("Add candidate")
        self.open_parts = QPushButton("Open parts file…")
        for button, word in ((self.add, "add"), (self.open_parts, "parts")):
            button.setFlat(True)
            button.clicked.connect(lambda _checked, word=word: self.asked.emit(word, -1))
            row.addWidget(button)
        row.addStretch(1)
        return holder

    def show_project(self, project: Project) -> None:
        """Show the candidates of a project; nothing to do while they are the same."""
        shown = (project.candidates, project.chosen)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] == shown[1]:
            return
        self._shown = shown
        self._refused.clear()
        show_mark(self.note, "")
        if len(self.columns) != len(project.candidates):
            self._build(len(project.candidates))
        for column in self.columns:
            column.show_project(project)
        for label in self.labels:
            self._mark_row(label)
        letters = tuple(letter_of(i) for i in range(len(project.candidates)))
        self.sum_up(summary(project, letters))
        self.transmission.setVisible(bool(project.candidates))
        self.transmission.show_project(project)
        self.limits.sum_up(limits_summary(project, letters, self._preferences.display_units))
        self.parts.setText(f"Parts: {self._shelf.name}")

    def narrowest(self) -> int:
        """Return the width below which the columns cannot be read [px]."""
        unit = self.fontMetrics().horizontalAdvance(_WIDEST_UNIT) + 2
        return LABEL_WIDTH + len(self.columns) * (COLUMN_WIDTH + GAP) + GAP + unit

    def show_units(self) -> None:
        """Show every quantity in the display units of the moment."""
        for column in self.columns:
            column.show_units()
        for label, unit in self.units.items():
            kind = unit_of(label)
            unit.setText(self._preferences.display_units.symbol(kind) if kind else "")
        self.transmission.show_units()
        self.forget()
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None
        self.transmission.forget()

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        self.transmission.set_read_only(read_only)
        for column in self.columns:
            set_read_only(column.inputs(), read_only)
            for part in (column.frame, column.winding, column.variant, column.electronics):
                part.setEnabled(not read_only)

    def _build(self, count: int) -> None:
        """Make the columns of this number of candidates."""
        for holder in (self._choice_holder, self._limit_holder):
            if holder is not None:
                # a field that is hidden would commit its text to a candidate that may be gone
                for line in holder.findChildren(QLineEdit):
                    line.setModified(False)
                holder.hide()
                holder.deleteLater()
        for column in self.columns:
            column.deleteLater()
        self.labels, self.units, self.marks = {}, {}, {}
        self.columns = [
            CandidateColumn(i, self._document, self._preferences, self._shelf, self) for i in range(count)
        ]
        for column in self.columns:
            column.asked.connect(self.asked)
            column.noted.connect(lambda note: show_mark(self.note, note))
            column.refused.connect(self._on_refused)
        self._choice_holder = self._grid(_CHOICE_ROWS, heads=True)
        self._column.insertWidget(0, self._choice_holder)
        if self.limits.is_filled:
            self._make_limits()
        self.limits.setVisible(count > 0)
        self.set_read_only(self._read_only)

    def _fill_limits(self) -> None:
        """Make the rows of the electronics when they are first looked at."""
        column = QVBoxLayout(self.limits.body)
        column.setContentsMargins(0, 0, 0, 0)
        if self.columns:
            self._make_limits()
            self.set_read_only(self._read_only)
            self.forget()
            self.show_project(self._document.project)

    def _make_limits(self) -> None:
        for column in self.columns:
            column.make_limits()
        labels = (ELECTRONICS, *(row.label for row in LIMIT_ROWS))
        self._limit_holder = self._grid(labels, heads=False)
        layout = self.limits.body.layout()
        if layout is not None:
            layout.addWidget(self._limit_holder)

    def _grid(self, labels: tuple[str, ...], heads: bool) -> QWidget:
        holder = QWidget()
        grid = QGridLayout(holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(GAP)
        grid.setVerticalSpacing(2)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        unit_column = len(self.columns) + 1
        grid.setColumnMinimumWidth(unit_column, holder.fontMetrics().horizontalAdvance(_WIDEST_UNIT) + 2)
        for number, column in enumerate(self.columns, start=1):
            grid.setColumnStretch(number, 1)
            grid.setColumnMinimumWidth(number, COLUMN_WIDTH)
            if heads:
                grid.addWidget(column.head, 0, number)
        if self.columns:
            for line, label in enumerate(labels):
                self._add_row(grid, 2 * line + 1, label, unit_column)
        return holder

    def _add_row(self, grid: QGridLayout, line: int, label: str, unit_column: int) -> None:
        words, mark, unit = QLabel(_short(label)), mark_label(), QLabel()
        words.setFixedWidth(LABEL_WIDTH)
        words.setProperty("type", "soft")
        unit.setProperty("type", "soft")
        kind = unit_of(label)
        unit.setText(self._preferences.display_units.symbol(kind) if kind else "")
        grid.addWidget(words, line, 0)
        for number, column in enumerate(self.columns, start=1):
            editor = column.editor(label)
            grid.addWidget(underlined(editor, column.index), line, number)
        grid.addWidget(unit, line, unit_column, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(mark, line + 1, 0, 1, unit_column + 1)
        self.labels[label], self.units[label], self.marks[label] = words, unit, mark

    def _on_refused(self, label: str, reason: str) -> None:
        column = self.sender()
        if isinstance(column, CandidateColumn) and label in self.marks:
            self._refused[column.index, label] = reason
            self._mark_row(label)

    def _on_shelf(self) -> None:
        self.forget()
        self.show_project(self._document.project)

    def _mark_row(self, label: str) -> None:
        """Say under a row what is refused or missing, and in its label whether the candidates differ."""
        candidates = self._document.project.candidates
        said: dict[str, list[str]] = {}
        for column in self.columns[: len(candidates)]:
            words = self._refused.get((column.index, label), "") or _missing(candidates[column.index], label)
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
    limit = next((row for row in LIMIT_ROWS if row.label == label), None)
    if limit is not None:
        return edits.part_at(candidate, limit.place)
    shown = {
        NAME_ROW.label: candidate.name,
        "Frame": candidate.motor.name if candidate.motor else None,
        "Winding": candidate.winding,
        "Variant": candidate.variant,
        "Commutation": candidate.commutation,
        ELECTRONICS: candidate.drive.name,
    }
    return shown[label]


def _short(label: str) -> str:
    """Return what a row is called where there is little room."""
    row = next((row for row in LIMIT_ROWS if row.label == label), None)
    return (row.short or label) if isinstance(row, QuantityRow) else label


def _missing(candidate: Candidate, label: str) -> str:
    """Return what is said where a row has no value."""
    limit = next((row for row in LIMIT_ROWS if row.label == label), None)
    if isinstance(limit, QuantityRow):
        return str(limit.absent) if _value(candidate, label) is None else ""
    if label in ("Frame", "Winding", "Variant") and _value(candidate, label) is None:
        return f"missing: no {label.lower()} is chosen"
    return ""
