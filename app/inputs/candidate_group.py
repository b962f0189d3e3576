"""A group of inputs asked of each candidate: one column a candidate, results above, rows made when opened."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, set_read_only, show_mark
from app.inputs.asked import Asked, CandidateQuestions, PartRow, by_letter
from app.inputs.candidate_column import underlined
from app.inputs.editors import ChoiceInput, Input, QuantityInput, TextInput, reason_of
from app.inputs.figure_block import FigureBlock
from app.inputs.fold_group import FoldGroup
from app.inputs.part_input import PartInput
from app.inputs.rows import ChoiceRow, Heading, QuantityRow
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.widgets.candidate_mark import letter_of
from core.project.candidate import Candidate
from core.project.project import Project
from core.records import dataclass
from core.results import Result
from core.units import DisplayUnits

LABEL_WIDTH, COLUMN_WIDTH, GAP = 94, 66, 6
_WIDEST_UNIT = "g·cm²"

Editor = Input | PartInput


@dataclass(frozen=True, slots=True)
class _Line:
    """The widgets of one row: its words, its mark, its unit, and what holds the editor of each candidate."""

    asked: Asked
    label: QLabel
    mark: QLabel
    unit: QLabel
    cells: tuple[QWidget, ...]
    around: QWidget | None  # holds the cells of a wide row


class CandidateGroup(FoldGroup):
    """Rebuilt only when the number of candidates changes."""

    def __init__(
        self,
        questions: CandidateQuestions,
        document: ProjectDocument,
        preferences: Preferences,
        shelf: PartsShelf,
    ) -> None:
        self._questions, self._document, self._shelf = questions, document, shelf
        self._read_only = False
        self._shown: tuple[tuple[Candidate, ...], DisplayUnits] | None = None
        self._result: Result | None = None
        self._holder: QWidget | None = None
        self._lines: dict[str, _Line] = {}
        self._headings: list[tuple[QLabel, list[str]]] = []  # with the rows below each
        self.columns: list[dict[str, Editor]] = []
        self.results: FigureBlock | None = None
        super().__init__(questions.title, questions.key, preferences, open_at_first=False, fill=self._fill)
        document.replaced.connect(self._forget_parts)
        shelf.changed.connect(self._on_shelf)

    def _fill(self) -> None:
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 4)
        column.setSpacing(4)
        if self._questions.source is not None:
            widths = (LABEL_WIDTH, GAP, self._unit_width())
            name = f"Results: {self._questions.title.lower()}"
            self.results = FigureBlock(
                name, self._questions.source, self._document, self._preferences, widths
            )
            column.addWidget(self.results)
        self.forget()
        self.show_project(self._document.project)
        if self.results is not None:
            self.results.show_result(self._result)

    def show_project(self, project: Project) -> None:
        """Show what a project has; nothing to do while its candidates are the same."""
        shown = (project.candidates, self._preferences.display_units)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] is shown[1]:
            return
        self._shown = shown
        self.sum_up(by_letter([self._questions.sum_up(one, shown[1]) for one in project.candidates]))
        if not self.is_filled:
            return
        if self._holder is None or len(self.columns) != len(project.candidates):
            self._build(len(project.candidates))
        for line in self._lines.values():
            self._show_line(line, project)
        for heading, labels in self._headings:
            heading.setVisible(any(not self._lines[label].label.isHidden() for label in labels))

    def show_result(self, result: Result) -> None:
        """Show the results beside the inputs, now or when the group is opened."""
        self._result = result
        if self.results is not None:
            self.results.show_result(result)

    def show_units(self) -> None:
        """Show every quantity in the display units of the moment."""
        units = self._preferences.display_units
        for line in self._lines.values():
            line.unit.setText(self._unit(line.asked))
        for column in self.columns:
            for editor in column.values():
                if isinstance(editor, QuantityInput):
                    editor.set_display_units(units)
        if self.results is not None:
            self.results.restyle()
        self.forget()
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        for column in self.columns:
            set_read_only((one for one in column.values() if not isinstance(one, PartInput)), read_only)
            for editor in column.values():
                if isinstance(editor, PartInput):
                    editor.setEnabled(not read_only)

    def mark(self, label: str) -> str:
        """Return what is said under a row, empty where nothing is."""
        mark = self._lines[label].mark
        return "" if mark.isHidden() else mark.text()

    def differs(self, label: str) -> bool:
        """Return whether a row is said to differ between the candidates."""
        return bool(self._lines[label].label.property("type") == "differs")

    # the rows ------------------------------------------------------------------------------------------

    def _build(self, count: int) -> None:
        """Make the columns of this number of candidates."""
        if self._holder is not None:
            for line in self._holder.findChildren(QLineEdit):
                line.setModified(False)  # a hidden field would commit its text to a candidate that is gone
            self._holder.hide()
            self._holder.deleteLater()
        self._holder = holder = QWidget()
        grid = QGridLayout(holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(GAP)
        grid.setVerticalSpacing(2)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        grid.setColumnMinimumWidth(count + 1, self._unit_width())
        for number in range(1, count + 1):
            grid.setColumnStretch(number, 1)
            grid.setColumnMinimumWidth(number, COLUMN_WIDTH)
        self.columns = [{} for _ in range(count)]
        self._lines, self._headings = {}, []
        for number, row in enumerate(self._questions.rows):
            if isinstance(row, Heading):
                self._add_heading(grid, 2 * number, row, count)
            elif count:
                self._add_row(grid, 2 * number, row)
        layout = self.body.layout()
        if layout is not None:
            layout.addWidget(holder)
        self.set_read_only(self._read_only)

    def _add_heading(self, grid: QGridLayout, line: int, row: Heading, count: int) -> None:
        label = QLabel(row.label)
        label.setProperty("type", "small")
        label.setContentsMargins(0, 4, 0, 0)
        grid.addWidget(label, line, 0, 1, count + 2)
        self._headings.append((label, []))

    def _add_row(self, grid: QGridLayout, number: int, asked: Asked) -> None:
        name, count = asked.row.label, len(self.columns)
        label, mark, unit = QLabel(name), mark_label(), QLabel(self._unit(asked))
        label.setFixedWidth(LABEL_WIDTH)
        for words in (label, unit):
            words.setProperty("type", "soft")
        for index, column in enumerate(self.columns):
            column[name] = self._editor(index, asked)
        cells = tuple(underlined(column[name], index) for index, column in enumerate(self.columns))
        top = Qt.AlignmentFlag.AlignTop if asked.wide and count > 1 else Qt.AlignmentFlag.AlignVCenter
        grid.addWidget(label, number, 0, top)
        around = None
        if asked.wide:
            around = QWidget()
            stack = QVBoxLayout(around)
            stack.setContentsMargins(0, 0, 0, 0)
            stack.setSpacing(2)
            for cell in cells:
                stack.addWidget(cell)
            grid.addWidget(around, number, 1, 1, count + 1)
        else:
            for place, cell in enumerate(cells, start=1):
                grid.addWidget(cell, number, place)
            grid.addWidget(unit, number, count + 1, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(mark, number + 1, 0, 1, count + 2)
        self._lines[name] = _Line(asked, label, mark, unit, cells, around)
        if self._headings:
            self._headings[-1][1].append(name)

    def _editor(self, index: int, asked: Asked) -> Editor:
        row = asked.row
        name = f"{row.label}, {self._questions.whose} of {letter_of(index)}"
        if isinstance(row, PartRow):
            return PartInput(row, index, self._document, self._shelf, name)
        binding = asked.bound(index)
        if isinstance(row, ChoiceRow):
            return ChoiceInput(row, binding, self._document, name)
        editor: QuantityInput | TextInput
        if isinstance(row, QuantityRow):
            editor = QuantityInput(row, binding, self._document, self._preferences, name, True)
            editor.unit.hide()
        else:
            editor = TextInput(row, binding, self._document, name)
        editor.refused.connect(lambda _reason, label=row.label: self._say(label))
        return editor

    def _unit(self, asked: Asked) -> str:
        if not isinstance(asked.row, QuantityRow):
            return ""
        symbol = self._preferences.display_units.symbol(asked.row.kind)
        note = "" if asked.unit_note is None else asked.unit_note()
        return f"{symbol} {note}".strip()

    def _unit_width(self) -> int:
        return self.fontMetrics().horizontalAdvance(_WIDEST_UNIT) + 2

    # what they show ------------------------------------------------------------------------------------

    def _show_line(self, line: _Line, project: Project) -> None:
        """Show a row for the candidates of which it is asked; text typed into one that goes is forgotten."""
        asked, candidates = line.asked, project.candidates
        wanted = [asked.is_wanted(candidate) for candidate in candidates]
        for index, cell in enumerate(line.cells):
            editor = self.columns[index][asked.row.label]
            if wanted[index]:
                editor.show_project(project)
            else:
                text = editor.line if isinstance(editor, QuantityInput) else editor
                if isinstance(text, QLineEdit):
                    text.setModified(False)  # or it would commit itself when it loses the focus
            cell.setVisible(wanted[index])
        for part in (line.label, line.unit):
            part.setVisible(any(wanted))
        if line.around is not None:
            line.around.setVisible(any(wanted))
        self._say(asked.row.label)

    def _say(self, label: str) -> None:
        """Say under a row what is refused or missing, and in its label whether the candidates differ."""
        if label not in self._lines:
            return
        line, project = self._lines[label], self._document.project
        said: dict[str, list[str]] = {}
        values, asked_of = [], 0
        for index, candidate in enumerate(project.candidates[: len(self.columns)]):
            if not line.asked.is_wanted(candidate):
                continue
            asked_of += 1
            value = self._value(line.asked, index, candidate)
            values.append(repr(value))
            editor = self.columns[index][label]
            words = reason_of(editor) or line.asked.remarked(candidate, value)
            if words:
                said.setdefault(words, []).append(letter_of(index))
        lines = [w if len(who) == asked_of else f"{', '.join(who)}: {w}" for w, who in said.items()]
        show_mark(line.mark, "\n".join(lines))
        _show_difference(line.label, len(set(values)) > 1)

    def _value(self, asked: Asked, index: int, candidate: Candidate) -> object:
        if isinstance(asked.row, PartRow):
            part = getattr(candidate, asked.row.part)
            return None if part is None else part.name
        return asked.bound(index).read(self._document.project)

    def _forget_parts(self) -> None:
        """Offer nothing that a candidate of another document had."""
        for column in self.columns:
            for editor in column.values():
                if isinstance(editor, PartInput):
                    editor.forget()
        self._on_shelf()

    def _on_shelf(self) -> None:
        self.forget()
        self.show_project(self._document.project)


def _show_difference(label: QLabel, differs: bool) -> None:
    wanted = "differs" if differs else "soft"
    if label.property("type") == wanted:
        return
    label.setProperty("type", wanted)
    label.setToolTip("differs between the candidates" if differs else "")
    label.style().unpolish(label)
    label.style().polish(label)
