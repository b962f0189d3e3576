"""Which column holds time, torque and speed, and in which unit: what was recognised, open to correction."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QWidget

from core.project.load import TraceSource
from core.trace_columns import FIELDS, KINDS, TraceField
from core.trace_format import TraceError, TraceFormat
from core.units import accepted_units

_NONE = -1
_LONGEST_NAME = 40
_TOLD: dict[TraceField, str] = {
    "time": "When each row was measured. Times must rise from row to row; the steps need not be equal.",
    "torque": "Torque where it was measured, on the motor shaft or on the load. It drives where it has the "
    "sign of the speed, and brakes where it has the other one.",
    "speed": "Speed of what turns, with its sign. Its course tells the acceleration where inertia is added.",
}


class FieldRow:
    """The choosers of one quantity, and a line that says how they came about or what is wrong."""

    def __init__(self, field: TraceField) -> None:
        self.field = field
        self.column, self.unit, self.note = QComboBox(), QComboBox(), QLabel()
        self.column.setAccessibleName(f"Column of {field}")
        self.column.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.column.setMinimumContentsLength(16)
        self.unit.setAccessibleName(f"Unit of {field}")
        self.unit.addItem("choose a unit", "")
        for symbol in accepted_units(KINDS[field]):
            self.unit.addItem(symbol, symbol)
        for chooser in (self.column, self.unit):
            chooser.setProperty("told", _TOLD[field])
        self.note.setWordWrap(True)
        self.recognised: tuple[int, str] = (_NONE, "")

    @property
    def chosen(self) -> tuple[int, str]:
        """Column from 0 and unit; -1 and no text where nothing is chosen."""
        return int(self.column.currentData()), str(self.unit.currentData())

    def choose(self, number: int, unit: str) -> None:
        """Show a column and a unit as chosen."""
        self.column.setCurrentIndex(max(self.column.findData(number), 0))
        self.unit.setCurrentIndex(max(self.unit.findData(unit), 0))

    def say(self, words: str, wrong: bool) -> None:
        """Show a note under the choosers."""
        self.note.setText(words)
        self.note.setProperty("type", "caution" if wrong else "small")
        self.note.style().unpolish(self.note)
        self.note.style().polish(self.note)


class TraceColumnChoice(QWidget):
    """One row a quantity. `form` is the format as chosen, None while something is wrong."""

    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.rows: dict[TraceField, FieldRow] = {field: FieldRow(field) for field in FIELDS}
        self._found: TraceFormat | None = None
        self.form: TraceFormat | None = None
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(1, 1)
        for place, (field, row) in enumerate(self.rows.items()):
            grid.addWidget(QLabel(field.capitalize()), 2 * place, 0)
            grid.addWidget(row.column, 2 * place, 1)
            grid.addWidget(row.unit, 2 * place, 2)
            grid.addWidget(row.note, 2 * place + 1, 1, 1, 2)
            row.column.activated.connect(lambda _index, chosen=row: self._on_column(chosen))
            row.unit.activated.connect(self._follow)

    def show_format(self, found: TraceFormat, source: TraceSource | None = None) -> None:
        """Show what was recognised in a file, or the choices of a source that was imported before."""
        self._found = found
        for row in self.rows.values():
            row.column.clear()
            row.column.addItem("choose a column", _NONE)
            for column in found.columns:
                name = column.heading[:_LONGEST_NAME] or "without heading"
                row.column.addItem(f"{column.number + 1}: {name}", column.number)
            row.recognised = _recognised(found, row.field)
            row.choose(*row.recognised)
        if source is not None:
            for field, choice in (("time", source.time), ("torque", source.torque), ("speed", source.speed)):
                self.rows[field].choose(choice.number, choice.unit)  # type: ignore[index]
        self._follow()

    def take_decimal(self, decimal: str) -> None:
        """Read the numbers with this decimal mark."""
        if self._found is not None:
            self._found = replace(self._found, decimal=decimal)
            self._follow()

    def _on_column(self, row: FieldRow) -> None:
        """Take the unit that the heading of the chosen column gives; without one it must be chosen."""
        if self._found is not None:
            number = row.chosen[0]
            column = next((c for c in self._found.columns if c.number == number), None)
            row.choose(number, column.unit if column is not None and column.field == row.field else "")
        self._follow()

    def _follow(self) -> None:
        self.form = self._composed()
        self.changed.emit()

    def _composed(self) -> TraceFormat | None:
        """Say beside each row what is wrong, and return the format if nothing is."""
        if self._found is None:
            return None
        problems = {field: self._problem(row) for field, row in self.rows.items()}
        for field, row in self.rows.items():
            by_hand = "chosen by hand" if row.chosen != row.recognised else "recognised from the heading"
            row.say(problems[field] or by_hand, bool(problems[field]))
        if any(problems.values()):
            return None
        bare = tuple(replace(column, field=None, unit="", problem="") for column in self._found.columns)
        form = replace(self._found, columns=bare)
        for field, row in self.rows.items():
            form = form.with_column(field, *row.chosen)
        return form

    def _problem(self, row: FieldRow) -> str:
        number, unit = row.chosen
        others = [r.field for r in self.rows.values() if r is not row and r.chosen[0] == number]
        if number == _NONE:
            return self._reason(row) or "choose the column"
        if others:
            return f"column {number + 1} is chosen for {others[0]} too"
        if not unit:
            reason = self._reason(row) if number == row.recognised[0] else ""
            accepted = ", ".join(accepted_units(KINDS[row.field])[:6])
            return reason or f"choose the unit in which the numbers are, such as {accepted}"
        return ""

    def _reason(self, row: FieldRow) -> str:
        """Return why nothing was recognised for a row."""
        assert self._found is not None
        try:
            self._found.unit(row.field)
        except TraceError as error:
            return error.rule
        return ""


def _recognised(found: TraceFormat, field: TraceField) -> tuple[int, str]:
    columns = [column for column in found.columns if column.field == field]
    return (columns[0].number, columns[0].unit) if len(columns) == 1 else (_NONE, "")
