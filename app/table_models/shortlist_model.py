"""The candidates of a shortlist as rows, best first; words of a candidate are made when a row is looked at.

`data` is total: it answers every index and role, since an exception in it would end the process.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.preferences import Preferences
from core.margin_rows import percent
from core.numeric import BoolArray, IntArray
from core.sentences import as_text
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import ABSENT, STATUSES
from core.shortlist.listing import ORDER_OF_VERDICTS, Listing
from core.shortlist.reasons import why
from core.units import Kind

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
_OBJECTIVES: Final = (
    ("Mass", "mass", Kind.MASS),
    ("Length", "length", Kind.LENGTH),
    ("Losses", "mean_losses", Kind.POWER),
    ("Outside", "outside_temperature", Kind.TEMPERATURE),
)
HEADINGS: Final = (
    "Rank",
    "Status",
    "Margin",
    "Governed or out by",
    *(o[0] for o in _OBJECTIVES),
    "Candidate",
)
RANK, STATUS, MARGIN, REASON = range(4)
CANDIDATE: Final = len(HEADINGS) - 1


class ShortlistModel(QAbstractTableModel):
    """Shows those candidates of a listing that pass, in the order of a column."""

    def __init__(self, preferences: Preferences, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.listing: Listing | None = None
        self.choices: Choices | None = None
        self._rank: IntArray = np.zeros(0, dtype=np.int64)
        self._rows: IntArray = np.zeros(0, dtype=np.int64)
        self._passing: BoolArray = np.zeros(0, dtype=bool)
        self._sorted = (RANK, Qt.SortOrder.AscendingOrder)

    def show_listing(self, listing: Listing | None, choices: Choices | None, passing: BoolArray) -> None:
        """Show the candidates that pass."""
        self.beginResetModel()
        self.listing, self.choices, self._passing = listing, choices, passing
        order = np.zeros(0, dtype=np.int64) if listing is None else listing.ranking()
        self._rank = np.empty_like(order)
        self._rank[order] = np.arange(len(order))
        self._arrange()
        self.endResetModel()

    def number(self, row: int) -> int:
        """Return the number of the candidate in a row."""
        return int(self._rows[row])

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        self.beginResetModel()
        self._sorted = (column, order)
        self._arrange()
        self.endResetModel()

    def _arrange(self) -> None:
        """Order the rows by a column, those of equal value by rank; what is unknown stands last."""
        column, order = self._sorted
        rows = np.flatnonzero(self._passing)
        rows = rows[np.argsort(self._rank[rows], kind="stable")]
        key = None if self.listing is None else self._key(self.listing, column)
        if key is not None:
            values = key[rows]
            unknown = np.isnan(values)
            values = -values if order == Qt.SortOrder.DescendingOrder else values
            rows = rows[np.lexsort((np.where(unknown, np.inf, values), unknown))]
        elif order == Qt.SortOrder.DescendingOrder:
            rows = rows[::-1]
        self._rows = rows

    def _key(self, listing: Listing, column: int) -> np.ndarray | None:
        if column == STATUS:
            return np.argsort(ORDER_OF_VERDICTS)[listing.verdict].astype(np.float64)
        if column == MARGIN:
            return listing.objectives["smallest_margin"]
        if column == REASON:
            labels = [one.label for one in listing.criteria]
            place = np.array([*np.argsort(np.argsort(labels)), len(labels)], dtype=np.float64)
            return place[listing.reason()]  # none is -1, the last
        if REASON < column < CANDIDATE:
            return listing.objectives[_OBJECTIVES[column - REASON - 1][1]]
        return None

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(HEADINGS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return HEADINGS[section] if 0 <= section < len(HEADINGS) else None
        return None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        listing, choices = self.listing, self.choices
        if listing is None or choices is None or not 0 <= index.row() < len(self._rows):
            return None
        number, column = self.number(index.row()), index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            right = column in (RANK, MARGIN) or REASON < column < CANDIDATE
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.ToolTipRole:
            return as_text(why(listing, number), self._preferences.display_units)
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return self._words(listing, choices, number, column)

    def _words(self, listing: Listing, choices: Choices, number: int, column: int) -> str:
        if column == RANK:
            return str(int(self._rank[number]) + 1)
        if column == STATUS:
            return STATUSES[int(listing.verdict[number])]
        if column == MARGIN:
            return margin_words(listing, number)
        if column == REASON:
            place = int(listing.reason()[number])
            return "" if place == ABSENT else listing.criteria[place].label
        if column == CANDIDATE:
            return choices.words(number)
        _, name, kind = _OBJECTIVES[column - REASON - 1]
        value = float(listing.objectives[name][number])
        return "–" if math.isnan(value) else self._preferences.display_units.format_quantity(value, kind)


def margin_words(listing: Listing, number: int) -> str:
    """Return the margin of what governs, a dash where it has no number."""
    numbers = listing.governing.numbers
    return percent(float(numbers["margin"][number]), float(numbers["target"][number]))
