"""The duty cycle as rows: what is typed on the left, what it asks of the motor on the right.

A duty derived from a load is shown as the segments it becomes when one of them is changed by hand.

`data` is total: it answers every index and role, since an exception in it would end the process.
"""

from __future__ import annotations

import math
from typing import Any, Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor

from app.document import ProjectDocument
from app.preferences import Preferences
from app.views.plot_gesture import detach_text
from core.errors import AmpturnError
from core.evaluation.detached import detached
from core.evaluation.duty import as_segments
from core.project import edits
from core.project.duty_cycle import Segment
from core.project.project import Project
from core.records import dataclass
from core.results import CandidateResult, Result
from core.units import DisplayUnits, Kind

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
_LONGEST_NAME: Final = 200


@dataclass(frozen=True, slots=True)
class Column:
    """One column: a field of the segment that can be typed, or a result (no field)."""

    heading: str
    kind: Kind | None = None
    field: str = ""
    result: str = ""

    @property
    def lines(self) -> str:
        """The heading as it stands above the column, in two lines where it has two words."""
        return self.heading.replace(" ", "\n", 1)


COLUMNS: Final = (
    Column(""),
    Column("name", None, "name"),
    Column("duration", Kind.TIME, "duration"),
    Column("shaft torque", Kind.TORQUE, "shaft_torque"),
    Column("speed at start", Kind.SPEED, "speed_start"),
    Column("speed at end", Kind.SPEED, "speed_end"),
    Column("motor torque", Kind.TORQUE, "", "torque"),
    Column("current", Kind.CURRENT, "", "current"),
    Column("voltage", Kind.RATIO, "", "voltage"),
)
NAME_COLUMN: Final = 1


class SegmentModel(QAbstractTableModel):
    """Rows of the duty cycle. `refused` tells why a typed text was not taken, empty when one was."""

    refused = Signal(str)

    def __init__(
        self, document: ProjectDocument, preferences: Preferences, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences = document, preferences
        self._segments: tuple[Segment, ...] = ()
        self._derived: tuple[Segment, ...] = ()
        self._result: Result | None = None
        self._candidate: CandidateResult | None = None
        self._results: dict[str, list[float]] = {}
        self._hovered: int | None = None
        self.show_project()

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The segments on show."""
        return self._segments

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self._segments)

    def columnCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if index.isValid() and index.column() < len(COLUMNS) and COLUMNS[index.column()].field:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation is not Qt.Orientation.Horizontal or not 0 <= section < len(COLUMNS):
            return None
        column = COLUMNS[section]
        unit = self._preferences.display_units.symbol(column.kind) if column.kind else ""
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return f"{column.lines}\n{unit}" if unit else column.lines
            case Qt.ItemDataRole.AccessibleTextRole:
                return f"{column.heading or 'number'} in {unit}" if unit else column.heading or "number"
            case Qt.ItemDataRole.TextAlignmentRole:
                return _alignment(section, Qt.AlignmentFlag.AlignBottom)
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row, section = index.row(), index.column()
        if not (index.isValid() and 0 <= row < len(self._segments) and section < len(COLUMNS)):
            return None
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return self._shown(row, COLUMNS[section])
            case Qt.ItemDataRole.EditRole:
                return self._entry(row, COLUMNS[section])
            case Qt.ItemDataRole.TextAlignmentRole:
                return _alignment(section)
            case Qt.ItemDataRole.ForegroundRole:
                typed = bool(COLUMNS[section].field)
                return None if typed else QColor(self._preferences.tokens.soft_ink)
            case Qt.ItemDataRole.BackgroundRole:
                return QColor(self._preferences.tokens.ground) if row == self._hovered else None
            case Qt.ItemDataRole.AccessibleTextRole:
                return self._spoken(row, COLUMNS[section])
        return None

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        row = index.row()
        if role != Qt.ItemDataRole.EditRole or not index.isValid() or not 0 <= row < len(self._segments):
            return False
        column = COLUMNS[index.column()]
        if not column.field:
            return False
        try:
            after = self._read(row, column, str(value))
        except AmpturnError as error:
            self.refused.emit(f"Segment {row + 1}, {column.heading}: {error}")
            return False
        self.refused.emit("")
        if after is not None:
            project = edits.change_segment(self.base(), row, **{column.field: after})
            self._document.edit(project, self.words(f"change {column.heading} of segment {row + 1}"))
        return True

    def _read(self, row: int, column: Column, text: str) -> float | str | None:
        """Return the typed value, None where it is what was there; raises where it is refused."""
        if column.kind is not None and text == self._entry(row, column):
            return None  # twelve digits are shown, the value may have more
        value: float | str = " ".join(text.split())[:_LONGEST_NAME]
        if column.kind is not None:
            value = self._units.parse(text, column.kind)
        edits.change_segment(self.base(), row, **{column.field: value})  # its rules, before it
        return value

    @property
    def is_derived(self) -> bool:
        """Whether the rows follow a load, so that a change takes them out of it."""
        return self._document.project.application.duty_from == "load"

    def base(self) -> Project:
        """Return the project that a change starts from: with the rows on show as its segments.

        Beside a trace no rows are on show; a change takes the duty from the segments again, so that
        nothing is edited unseen.
        """
        project = self._document.project
        if project.application.duty_from == "trace":
            return edits.follow_segments(project)
        return detached(project, self._result.duty) if self.is_derived and self._result else project

    def words(self, text: str) -> str:
        """Return the words of an undo step; they say where the duty was taken from."""
        if self._document.project.application.duty_from == "trace":
            return f"{text}, duty from segments"
        return detach_text(text) if self.is_derived else text

    def show_project(self) -> None:
        """Take over the segments of the document; selection and editors of unchanged rows stay."""
        application = self._document.project.application
        entered = application.duty_cycle if application.duty_from == "segments" else ()
        self._show_segments(self._derived if self.is_derived else entered)

    def _show_segments(self, new: tuple[Segment, ...]) -> None:
        old = self._segments
        if new is old:
            return
        if len(new) == len(old):
            self._segments = new
            changed = [i for i, (a, b) in enumerate(zip(old, new, strict=True)) if a is not b]
            if changed:
                self._tell(changed[0], changed[-1])
            return
        same = next(
            (i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new))
        )
        difference = len(new) - len(old)
        if difference > 0:
            self.beginInsertRows(_TOP, same, same + difference - 1)
            self._segments = new
            self.endInsertRows()
        else:
            self.beginRemoveRows(_TOP, same, same - difference - 1)
            self._segments = new
            self.endRemoveRows()
        self._tell(0, len(new) - 1)

    def show_result(self, result: Result) -> None:
        """Show what the chosen candidate must do in each segment."""
        self._result = result
        if result.project.application.duty_from == "load":
            derived = as_segments(result.duty)
            self._derived = self._derived if derived == self._derived else derived
            self.show_project()
        index = result.chosen if result.chosen is not None else 0
        self._candidate = result.candidates[index] if index < len(result.candidates) else None
        points = self._candidate.load_points if self._candidate else None
        self._results = {}
        if points is not None:
            self._results = {
                "torque": [float(x) for x in points.torque * points.direction],
                "current": [float(x) for x in points.current],
            }
            if points.voltage_utilisation is not None:
                self._results["voltage"] = [float(x) for x in points.voltage_utilisation]
        if self._segments:
            first = next(i for i, column in enumerate(COLUMNS) if column.result)
            self.dataChanged.emit(self.index(0, first), self.index(len(self._segments) - 1, len(COLUMNS) - 1))

    @property
    def candidate(self) -> CandidateResult | None:
        """The candidate whose results are shown."""
        return self._candidate

    def set_hovered(self, row: int | None) -> None:
        """Mark the row under the cursor, here or in another view."""
        rows = [r for r in (self._hovered, row) if r is not None and r < len(self._segments)]
        self._hovered = row
        for changed in rows:
            self._tell(changed, changed)

    def tell_units_or_theme_changed(self) -> None:
        """Ask the view to read everything anew."""
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(COLUMNS) - 1)
        self._tell(0, len(self._segments) - 1)

    @property
    def _units(self) -> DisplayUnits:
        return self._preferences.display_units

    def _tell(self, first: int, last: int) -> None:
        if 0 <= first <= last:
            self.dataChanged.emit(self.index(first, 0), self.index(last, len(COLUMNS) - 1))

    def _value(self, row: int, column: Column) -> float:
        """Return the number of a cell, NaN where there is none."""
        if column.result:
            values = self._results.get(column.result, [])
            return values[row] if row < len(values) else math.nan
        return float(getattr(self._segments[row], column.field))

    def _shown(self, row: int, column: Column) -> str:
        if column.kind is None:
            return self._segments[row].name if column.field else str(row + 1)
        value = self._value(row, column)
        if column.result:
            return self._units.format_value(value, column.kind)
        return _as_typed(self._units.format_value(value, column.kind, 4))

    def _entry(self, row: int, column: Column) -> str:
        if column.kind is None:
            return self._segments[row].name if column.field else str(row + 1)
        return self._units.format_entry(self._value(row, column), column.kind)

    def _spoken(self, row: int, column: Column) -> str:
        unit = self._units.symbol(column.kind) if column.kind else ""
        words = f"segment {row + 1}, {column.heading or 'number'}: {self._shown(row, column)} {unit}"
        return words.strip()


def _as_typed(number: str) -> str:
    """Drop zeros that nobody typed: 0.07000 is 0.07."""
    return number.rstrip("0").rstrip(".") if "." in number and "e" not in number else number


def _alignment(section: int, upright: Qt.AlignmentFlag = Qt.AlignmentFlag.AlignVCenter) -> int:
    side = Qt.AlignmentFlag.AlignRight if COLUMNS[section].kind else Qt.AlignmentFlag.AlignLeft
    return int(side | upright)
