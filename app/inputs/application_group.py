"""A group of inputs of the shared application, built from its rows."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.editors import ChoiceInput, Input, QuantityInput, TextInput
from app.inputs.figure_block import FigureBlock
from app.inputs.figures import FigureSource
from app.inputs.fold_group import FoldGroup
from app.inputs.rows import (
    Binding,
    ChoiceRow,
    Heading,
    QuantityRow,
    Questions,
    Row,
    ValueRow,
    bound_to_application,
)
from app.preferences import Preferences
from core.project.application import Application
from core.project.project import Project
from core.project.saved import Saved
from core.results import Result
from core.units import DisplayUnits

LABEL_WIDTH = 124
_FIGURE_LABEL_WIDTH = 94


class ApplicationGroup(FoldGroup):
    """Rows of label and editor, with a word under a row where something is missing."""

    def __init__(self, questions: Questions, document: ProjectDocument, preferences: Preferences) -> None:
        self._questions, self._document = questions, document
        self._read_only = False
        self._inner: FoldGroup | None = None
        self.inputs: dict[tuple[str, ...], Input] = {}
        self.marks: dict[tuple[str, ...], QLabel] = {}
        self._rows: dict[tuple[str, ...], ValueRow] = {}
        self._lines: dict[tuple[str, ...], tuple[QWidget, QWidget]] = {}  # label and field of a row
        self._shown: tuple[Saved, DisplayUnits] | None = None
        self._result: Result | None = None
        self.results: FigureBlock | None = None
        super().__init__(
            questions.title, questions.key, preferences, questions.open_at_first, self._make_rows
        )

    def _make_rows(self) -> None:
        grid = QGridLayout()
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 6)
        column.addLayout(grid)
        grid.setHorizontalSpacing(6)
        grid.setVerticalSpacing(3)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        grid.setColumnStretch(1, 1)
        for number, row in enumerate(self._questions.rows):
            self._add(grid, 2 * number, row)
        if self._questions.source is not None:
            self._add_results(column, self._questions.source)
        if self._inner is not None:
            column.addWidget(self._inner)
        self.set_read_only(self._read_only)
        self.forget()
        self.show_project(self._document.project)

    def _add_results(self, column: QVBoxLayout, source: FigureSource) -> None:
        widths = (_FIGURE_LABEL_WIDTH, 6, self.fontMetrics().horizontalAdvance("mN·m/A"))
        name = f"Results: {self._questions.title.lower()}"
        self.results = FigureBlock(name, source, self._document, self._preferences, widths)
        self.results.show_result(self._result)
        column.addWidget(self.results)

    def first_field(self) -> QWidget | None:
        """Return the first editor, made now if the group was never open."""
        self.set_open(True)
        return next(iter(self.inputs.values()), None)

    def take_in(self, group: FoldGroup) -> None:
        """Show another group below the rows of this one."""
        self._inner = group
        layout = self.body.layout()
        if layout is not None:
            layout.addWidget(group)

    def _add(self, grid: QGridLayout, line: int, row: Row) -> None:
        label = QLabel(row.label)
        label.setProperty("type", "soft")
        if isinstance(row, Heading):
            label.setProperty("type", "small")
            grid.addWidget(label, line, 0, 1, 2)
            return
        editor = self._editor(row)
        label.setBuddy(editor)
        mark = mark_label()
        grid.addWidget(label, line, 0, Qt.AlignmentFlag.AlignTop)
        label.setMinimumHeight(22)
        label.setFixedWidth(LABEL_WIDTH)
        grid.addWidget(editor, line, 1)  # words take the room of the unit, too: they are cut otherwise
        grid.addWidget(mark, line + 1, 0, 1, 2)
        self.inputs[row.place], self.marks[row.place], self._rows[row.place] = editor, mark, row
        self._lines[row.place] = (label, editor)

    def _editor(self, row: ValueRow) -> Input:
        binding = self._binding(row)
        if isinstance(row, QuantityRow):
            return QuantityInput(row, binding, self._document, self._preferences)
        if isinstance(row, ChoiceRow):
            return ChoiceInput(row, binding, self._document)
        text = TextInput(row, binding, self._document)
        text.refused.connect(lambda _reason, place=row.place: self._show_mark(place))
        return text

    def _binding(self, row: ValueRow) -> Binding:
        """Return how a row reads and writes; a group whose values are checked together has its own way."""
        return bound_to_application(row.place)

    def show_project(self, project: Project) -> None:
        """Show the values of a project; nothing to do while this part of the application is the same."""
        application, units = project.application, self._preferences.display_units
        shown = (getattr(application, self._questions.part), units)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] is shown[1]:
            return
        self._shown = shown
        for place, editor in self.inputs.items():
            self._show_row(place, application)
            editor.show_project(project)
            self._show_mark(place)
        self.sum_up(self._questions.sum_up(application, units))

    def _show_row(self, place: tuple[str, ...], application: Application) -> None:
        """Show a row where it is asked for; text typed into one that goes is forgotten."""
        row, editor = self._rows[place], self.inputs[place]
        if not isinstance(row, QuantityRow) or row.only_if is None:
            return
        wanted = _is_wanted(row, application)
        if not wanted and isinstance(editor, QuantityInput):
            editor.line.setModified(False)  # or it would commit itself when it loses the focus
        for widget in self._lines[place]:
            widget.setVisible(wanted)

    def show_units(self) -> None:
        """Show every quantity in the display units of the moment."""
        for editor in self.inputs.values():
            if isinstance(editor, QuantityInput):
                editor.set_display_units(self._preferences.display_units)
        if self.results is not None:
            self.results.restyle()
        self._shown = None
        self.show_project(self._document.project)

    def show_result(self, result: Result) -> None:
        """Show the results beside the inputs, now or when the group is opened."""
        self._result = result
        if self.results is not None:
            self.results.show_result(result)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        set_read_only(self.inputs.values(), read_only)

    def _show_mark(self, place: tuple[str, ...]) -> None:
        row = self._rows[place]
        value = self._binding(row).read(self._document.project)
        editor = self.inputs[place]
        words = editor.reason() if isinstance(editor, TextInput) else ""
        application = self._document.project.application
        if isinstance(row, QuantityRow) and value is None and _is_wanted(row, application):
            words = words or (row.absent if isinstance(row.absent, str) else row.absent(application))
        if isinstance(row, QuantityRow) and row.remark is not None and value is not None:
            words = words or row.remark(application)
        if isinstance(row, ChoiceRow) and value == "unknown":
            words = words or row.unknown
        show_mark(self.marks[place], words)


def _is_wanted(row: QuantityRow, application: Application) -> bool:
    return row.only_if is None or row.only_if(application)


def mark_label() -> QLabel:
    """Return the small label under a field that says what is missing or assumed."""
    label = QLabel()
    label.setProperty("type", "mark")
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.hide()
    return label


def show_mark(label: QLabel, words: str) -> None:
    """Show words in a mark, or take it away."""
    if words != label.text():
        label.setText(words)
    label.setVisible(bool(words))


def set_read_only(inputs: Iterable[Input], read_only: bool) -> None:
    """Forbid or allow editing of inputs; values can still be selected and copied."""
    for editor in inputs:
        if isinstance(editor, QuantityInput):
            editor.set_read_only(read_only)
        elif isinstance(editor, TextInput):
            editor.setReadOnly(read_only)
        else:
            editor.setEnabled(not read_only)
