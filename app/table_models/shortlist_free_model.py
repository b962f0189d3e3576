"""Turns or ratios found as rows, best first. `data` is total: an exception in it would end the process."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.preferences import Preferences
from app.shortlist_free_search import FreeRow
from core.margin_rows import percent
from core.sentences import as_text
from core.shortlist.chunk_result import ABSENT
from core.shortlist.free_values import FreeKind
from core.shortlist.reasons import why
from core.units import Kind

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
HEADINGS: Final = (
    "Torque constant",
    "Turns",
    "Above target before",
    "Above target now",
    "Status",
    "All is met",
    "Governed or out by",
    "Made from",
)
VALUE, TURNS, BEFORE, MARGIN, STATUS, ALL_MET, REASON, LISTED = range(8)
_RIGHT: Final = (VALUE, BEFORE, MARGIN)
_EXPLAINED: Final = {
    VALUE: "The value with the largest smallest margin, after turns are made whole where they are known",
    TURNS: "Over those of the listed winding, in the same copper",
    BEFORE: "Smallest margin above target, of what was computed, of the listed candidate it is made from",
    MARGIN: "Smallest margin above target with this value",
    ALL_MET: "The range around the best value in which every requirement is met",
}


class FreeModel(QAbstractTableModel):
    """Shows what a search has found so far."""

    def __init__(self, preferences: Preferences, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self._kind: FreeKind = "turns"
        self.rows: Sequence[FreeRow] = ()

    def show_rows(self, kind: FreeKind, rows: Sequence[FreeRow]) -> None:
        """Show values of a kind."""
        self.beginResetModel()
        self._kind, self.rows = kind, rows
        self.endResetModel()

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(HEADINGS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(HEADINGS):
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(section)
        if role == Qt.ItemDataRole.ToolTipRole:
            return _EXPLAINED.get(section)
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return "Ratio" if section == VALUE and self._kind == "ratio" else HEADINGS[section]

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not 0 <= index.row() < len(self.rows):
            return None
        row, column = self.rows[index.row()], index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(column)
        if role == Qt.ItemDataRole.ToolTipRole:
            if column == BEFORE:
                return as_text(row.why_before, self._preferences.display_units)
            return row.value.candidate.name if column == LISTED else self.why(index.row())
        return self._words(row, column) if role == Qt.ItemDataRole.DisplayRole else None

    def why(self, row: int) -> str:
        """Return the verdict on a row with its reasons."""
        return as_text(why(self.rows[row].value.outcome, 0), self._preferences.display_units)

    def _words(self, row: FreeRow, column: int) -> str:
        value = row.value
        if column == VALUE:
            return self._value(value.value)
        if column == TURNS:
            each = "" if value.turns_per_coil is None else f", {value.turns_per_coil} a coil"
            return "" if value.turns_factor is None else f"{value.turns_factor:.3g} times{each}"
        if column in (BEFORE, MARGIN):
            return percent(row.before if column == BEFORE else row.smallest_margin, 0.0)
        if column == STATUS:
            return (
                row.verdict
                if row.verdict == row.verdict_before
                else f"{row.verdict}, was {row.verdict_before}"
            )
        if column == ALL_MET:
            return "nowhere" if value.met is None else self._range(*value.met)
        if column == REASON:
            place = int(value.outcome.reason()[0])
            return "" if place == ABSENT else value.outcome.criteria[place].label
        return value.listed if column == LISTED else ""

    def _value(self, value: float) -> str:
        return self._preferences.display_units.format_quantity(value, self._value_kind)

    def _range(self, low: float, high: float) -> str:
        first = self._preferences.display_units.format_value(low, self._value_kind)
        return f"{first} to {self._value(high)}"

    @property
    def _value_kind(self) -> Kind:
        return Kind.TORQUE_CONSTANT if self._kind == "turns" else Kind.NUMBER


def _side(column: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if column in _RIGHT else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter
