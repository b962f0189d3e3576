"""The transmission of each candidate, side by side: none is direct drive."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.application_group import mark_label, set_read_only, show_mark
from app.inputs.candidate_column import underlined
from app.inputs.editors import ChoiceInput, Input, QuantityInput, TextInput
from app.inputs.fold_group import FoldGroup
from app.inputs.rows import Binding, ChoiceRow, QuantityRow, TextRow, ValueRow
from app.preferences import Preferences
from app.widgets.candidate_mark import letter_of
from core.errors import AmpturnError
from core.number_entry import split_number
from core.project import edits
from core.project.candidate import Candidate
from core.project.project import Project
from core.project.transmission import Transmission
from core.units import DisplayUnits, Kind, format_number

TITLE = "Transmission"
DIRECT, GEARED = "direct drive", "geared"
ANY_RATIO = "any"
LABEL_WIDTH, COLUMN_WIDTH, GAP = 88, 66, 6
_WIDEST_UNIT = "g·cm²"

KIND = ChoiceRow(("transmission",), "To the load", ((False, "direct"), (True, GEARED)))
RATIO = QuantityRow(("ratio",), "Ratio, to 1", Kind.NUMBER)
EFFICIENCY = QuantityRow(("efficiency",), "Efficiency", Kind.RATIO)
RATIOS = TextRow(("available_ratios",), "Ratios to have")
ROWS: tuple[ValueRow, ...] = (
    KIND,
    TextRow(("name",), "Name"),
    RATIO,
    EFFICIENCY,
    QuantityRow(("back_driving_efficiency",), "Driven back", Kind.RATIO, True,
                "assumed: 2 − 1/efficiency", "assumed"),
    QuantityRow(("drag_torque",), "Drag, input", Kind.TORQUE),
    QuantityRow(("input_inertia",), "Inertia, input", Kind.INERTIA),
    QuantityRow(("backlash",), "Backlash", Kind.ANGLE),
    QuantityRow(("continuous_torque",), "Lasting torque", Kind.LOAD_TORQUE, True,
                "missing: lasting torque at the load is not checked"),
    QuantityRow(("intermittent_torque",), "Peak torque", Kind.LOAD_TORQUE, True,
                "missing: peak torque at the load is not checked"),
    QuantityRow(("largest_input_speed",), "Input speed", Kind.SPEED, True,
                "missing: input speed is not checked"),
    RATIOS,
)  # fmt: skip


class TransmissionGroup(FoldGroup):
    """One column a candidate; while all drive directly only the choice is on show."""

    def __init__(self, document: ProjectDocument, preferences: Preferences) -> None:
        self._document = document
        self._read_only = False
        self._count = -1
        self._shown: tuple[tuple[Candidate, ...], DisplayUnits] | None = None
        self._left: dict[int, Transmission] = {}  # what a candidate had before it drove directly
        self._refused: dict[tuple[int, str], str] = {}
        self.columns: list[dict[str, Input]] = []
        self.marks: dict[str, QLabel] = {}
        self._labels: dict[str, QLabel] = {}
        self._units: dict[str, QLabel] = {}
        self._holders: dict[str, list[QWidget]] = {}
        self._grid: QWidget | None = None
        super().__init__(TITLE, "transmission", preferences, open_at_first=False, fill=self._fill)
        document.replaced.connect(self._left.clear)

    def _fill(self) -> None:
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 0)
        self.forget()
        self.show_project(self._document.project)

    def show_project(self, project: Project) -> None:
        """Show the transmissions of a project; nothing to do while the candidates are the same."""
        shown = (project.candidates, self._preferences.display_units)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] is shown[1]:
            return
        self._shown = shown
        letters = tuple(letter_of(i) for i in range(len(project.candidates)))
        self.sum_up(summary(project, letters, shown[1]))
        if not self.is_filled:
            return
        if self._count != len(project.candidates):
            self._build(len(project.candidates))
        self._refused.clear()
        geared = [candidate.transmission is not None for candidate in project.candidates]
        for index, column in enumerate(self.columns):
            for label, editor in column.items():
                editor.show_project(project)
                editor.setVisible(geared[index] or label == KIND.label)
        for row in ROWS:
            on_show = any(geared) or row is KIND
            for part in self._holders[row.label]:
                part.setVisible(on_show)
            self._mark_row(row)

    def show_units(self) -> None:
        """Show every quantity in the display units of the moment."""
        units = self._preferences.display_units
        for row in ROWS:
            if isinstance(row, QuantityRow) and row.label in self._units:
                self._units[row.label].setText(units.symbol(row.kind))
        for column in self.columns:
            for editor in column.values():
                if isinstance(editor, QuantityInput):
                    editor.set_display_units(units)
        self.forget()
        self.show_project(self._document.project)

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None

    def set_read_only(self, read_only: bool) -> None:
        """Forbid or allow editing."""
        self._read_only = read_only
        for column in self.columns:
            set_read_only(column.values(), read_only)

    def _build(self, count: int) -> None:
        """Make the columns of this number of candidates."""
        if self._grid is not None:
            for line in self._grid.findChildren(QLineEdit):
                line.setModified(False)  # a hidden field would commit its text to a candidate that is gone
            self._grid.hide()
            self._grid.deleteLater()
        self._count = count
        self._left.clear()  # its candidates may have moved up
        self._grid = holder = QWidget()
        grid = QGridLayout(holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(GAP)
        grid.setVerticalSpacing(2)
        grid.setColumnMinimumWidth(0, LABEL_WIDTH)
        grid.setColumnMinimumWidth(count + 1, holder.fontMetrics().horizontalAdvance(_WIDEST_UNIT) + 2)
        self.columns = [{row.label: self._editor(i, row) for row in ROWS} for i in range(count)]
        for number in range(1, count + 1):
            grid.setColumnStretch(number, 1)
            grid.setColumnMinimumWidth(number, COLUMN_WIDTH)
        for number, row in enumerate(ROWS):
            self._add_row(grid, 2 * number, row)
        layout = self.body.layout()
        if layout is not None:
            layout.addWidget(holder)
        self.set_read_only(self._read_only)

    def _add_row(self, grid: QGridLayout, line: int, row: ValueRow) -> None:
        words, mark, unit = QLabel(row.label), mark_label(), QLabel()
        words.setFixedWidth(LABEL_WIDTH)
        words.setProperty("type", "soft")
        unit.setProperty("type", "soft")
        if isinstance(row, QuantityRow):
            unit.setText(self._preferences.display_units.symbol(row.kind))
        grid.addWidget(words, line, 0)
        cells = [underlined(column[row.label], index) for index, column in enumerate(self.columns)]
        for number, cell in enumerate(cells, start=1):
            grid.addWidget(cell, line, number)
        grid.addWidget(unit, line, len(cells) + 1, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(mark, line + 1, 0, 1, len(cells) + 2)
        self.marks[row.label], self._labels[row.label], self._units[row.label] = mark, words, unit
        self._holders[row.label] = [words, unit, *cells]

    def _editor(self, index: int, row: ValueRow) -> Input:
        letter = letter_of(index)
        binding, name = self._binding(index, row), f"{row.label} of the transmission of {letter}"
        if isinstance(row, ChoiceRow):
            return ChoiceInput(row, binding, self._document, name)
        editor: QuantityInput | TextInput
        if isinstance(row, QuantityRow):
            editor = QuantityInput(row, binding, self._document, self._preferences, name, True)
            editor.unit.hide()
        else:
            editor = TextInput(row, binding, self._document, name)
        editor.refused.connect(lambda reason: self._refuse(index, row, reason))
        return editor

    def _binding(self, index: int, row: ValueRow) -> Binding:
        whose = f" of {letter_of(index)}"
        if row is KIND:
            return Binding(
                lambda project: _transmission(project, index) is not None, self._chooser(index), whose
            )
        if row is RATIOS:
            return Binding(
                lambda project: ratios_in_words(_transmission(project, index)),
                _writer(index, RATIOS.place, read_ratios),
                whose,
            )
        name = row.place[0]
        missing = "" if isinstance(row, TextRow) else None
        return Binding(
            lambda project: getattr(_transmission(project, index), name, missing),
            _writer(index, row.place, lambda value: value),
            whose,
        )

    def _chooser(self, index: int) -> Callable[[Project, Any], Project]:
        def write(project: Project, geared: Any) -> Project:
            old = _transmission(project, index)
            if bool(geared) == (old is not None):
                return project
            if old is not None:
                self._left[index] = old
            taken = self._left.get(index, Transmission()) if geared else None
            return edits.change_candidate(project, index, transmission=taken)

        return write

    def _refuse(self, index: int, row: ValueRow, reason: str) -> None:
        self._refused[index, row.label] = reason
        self._mark_row(row)

    def _mark_row(self, row: ValueRow) -> None:
        """Say under a row what is refused or missing, and in its label whether the candidates differ."""
        if row.label not in self.marks:
            return
        candidates = self._document.project.candidates
        said: dict[str, list[str]] = {}
        for index in range(min(self._count, len(candidates))):
            words = self._refused.get((index, row.label), "") or _remark(candidates[index], row)
            if words:
                said.setdefault(words, []).append(letter_of(index))
        geared = [c for c in candidates if c.transmission is not None]
        lines = [w if len(who) == len(geared) else f"{', '.join(who)}: {w}" for w, who in said.items()]
        show_mark(self.marks[row.label], "\n".join(lines))
        differs = len({repr(_value(candidate, row)) for candidate in candidates}) > 1
        label, wanted = self._labels[row.label], "differs" if differs else "soft"
        if label.property("type") != wanted:
            label.setProperty("type", wanted)
            label.setToolTip("differs between the candidates" if differs else "")
            label.style().unpolish(label)
            label.style().polish(label)


def read_ratios(text: str) -> tuple[float, ...]:
    """Return ratios from a typed list; "any" says that there is no list.

    Examples
    --------
    >>> read_ratios("14; 9 25,5"), read_ratios("any")
    ((9.0, 14.0, 25.5), ())
    """
    if text.strip().lower() == ANY_RATIO:
        return ()
    ratios = []
    for part in text.replace(";", " ").split():
        number, rest = split_number(part)
        if rest or number <= 0.0:
            raise AmpturnError(f"{part} is no ratio: write numbers above 0, as 9; 14; 25, or {ANY_RATIO}")
        ratios.append(number)
    return tuple(sorted(set(ratios)))


def ratios_in_words(transmission: Transmission | None) -> str:
    """Return the ratios in which a transmission can be had, as they are typed."""
    if transmission is None or not transmission.available_ratios:
        return ANY_RATIO
    return "; ".join(f"{ratio:g}" for ratio in transmission.available_ratios)


def summary(project: Project, letters: tuple[str, ...], units: DisplayUnits) -> str:
    """Return the transmissions in one line, once where all are the same."""
    words = []
    for candidate in project.candidates:
        transmission = candidate.transmission
        if transmission is None:
            words.append(DIRECT)
        else:
            efficiency = units.format_quantity(transmission.efficiency, Kind.RATIO)
            words.append(f"{format_number(transmission.ratio)} : 1, efficiency {efficiency}")
    if len(set(words)) <= 1:
        return words[0] if words else ""
    return "; ".join(f"{letter} {text}" for letter, text in zip(letters, words, strict=True))


def _transmission(project: Project, index: int) -> Transmission | None:
    return project.candidates[index].transmission if index < len(project.candidates) else None


def _writer(index: int, place: edits.Place, read: Callable[[Any], Any]) -> Callable[[Project, Any], Project]:
    def write(project: Project, value: Any) -> Project:
        if _transmission(project, index) is None:
            raise AmpturnError("there is no transmission: this candidate drives directly")
        return edits.change_candidate_part(project, index, ("transmission", *place), read(value))

    return write


def _value(candidate: Candidate, row: ValueRow) -> object:
    """Return what a row shows of a candidate."""
    transmission = candidate.transmission
    return transmission is not None if row is KIND else getattr(transmission, row.place[0], None)


def _remark(candidate: Candidate, row: ValueRow) -> str:
    """Return what is said where a value is missing or taken to be perfect."""
    transmission = candidate.transmission
    if transmission is None or not isinstance(row, QuantityRow):
        return ""
    if row is EFFICIENCY and transmission.efficiency == 1.0:
        return "assumed: no loss"
    if row is RATIO and transmission.ratio == 1.0:
        return "assumed: load and motor turn alike"
    return str(row.absent) if _value(candidate, row) is None else ""
