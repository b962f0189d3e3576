"""The candidates of a shortlist as rows, best first; words of a candidate are made when a row is looked at.

`data` is total: it answers every index and role, since an exception in it would end the process.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt

from app.preferences import Preferences
from app.table_models.shortlist_columns import OBJECTIVES
from core.margin_rows import percent
from core.numeric import BoolArray, FloatArray, IntArray
from core.sentences import as_text
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import ABSENT, STATUSES
from core.shortlist.listing import ORDER_OF_VERDICTS, Listing
from core.shortlist.reasons import why

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
HEADINGS: Final = (
    "Rank",
    "Pareto",
    "Status",
    "Least margin",
    "Governed or out by",
    "Worst under",
    *(one.heading for one in OBJECTIVES),
    "Candidate",
)
RANK, PARETO, STATUS, MARGIN, REASON, CONDITION = range(6)
CANDIDATE: Final = len(HEADINGS) - 1
IN_SET: Final = "\N{BLACK DIAMOND}"
_EXPLAINED: Final = {
    RANK: "What meets all stands first; then the margin of what governs, above its target, decides",
    PARETO: "In the Pareto set of the objectives of the points: what is better in one is worse in another",
    MARGIN: "Margin of the criterion beside it: of all criteria the least above its target, which ranks",
    REASON: "The criterion whose margin is the least above its target, or the one that rules it out",
    CONDITION: "Of several conditions the worst for this candidate; all its numbers hold under it",
}


class ShortlistModel(QAbstractTableModel):
    """Shows those candidates of a listing that pass, in the order of a column."""

    def __init__(self, preferences: Preferences, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self.listing: Listing | None = None
        self.choices: Choices | None = None
        self._rank: IntArray = np.zeros(0, dtype=np.int64)
        self._rows: IntArray = np.zeros(0, dtype=np.int64)
        self._reason: IntArray = np.zeros(0, dtype=np.int64)
        self._best: BoolArray = np.zeros(0, dtype=bool)
        self._condition: IntArray = np.zeros(0, dtype=np.int64)
        self._conditions: Sequence[str] = ()
        self._passing: BoolArray = np.zeros(0, dtype=bool)
        self._sorted = (RANK, Qt.SortOrder.AscendingOrder)

    def show_listing(
        self,
        listing: Listing,
        choices: Choices,
        passing: BoolArray,
        rank: IntArray,
        best: BoolArray,
    ) -> None:
        """Show the candidates that pass; `rank` is the place of each, `best` are those of the Pareto set."""
        self.beginResetModel()
        self.listing, self.choices, self._passing = listing, choices, passing
        self._rank, self._best = rank, best
        self._reason = listing.reason()
        self._arrange()
        self.endResetModel()

    def show_conditions(self, condition: IntArray, words: Sequence[str]) -> None:
        """Take note of the worst condition of each candidate, and of what conditions are called."""
        self._condition, self._conditions = condition, words

    def mark_best(self, best: BoolArray) -> None:
        """Mark the Pareto set; the rows are ordered anew only where they are ordered by it."""
        self._best = best
        if self._sorted[0] == PARETO:
            self.sort(*self._sorted)
        elif len(self._rows):
            self.dataChanged.emit(self.index(0, PARETO), self.index(len(self._rows) - 1, PARETO))

    def number(self, row: int) -> int:
        """Return the number of the candidate in a row."""
        return int(self._rows[row])

    def numbers(self, rows: IntArray) -> list[int]:
        """Return the numbers of the candidates in some rows, leaving out rows that there are not."""
        found: list[int] = self._rows[rows[rows < len(self._rows)]].tolist()
        return found

    def rows_of(self, numbers: Sequence[int]) -> list[int]:
        """Return the rows of those of some candidates that are listed."""
        found: list[int] = np.flatnonzero(np.isin(self._rows, numbers)).tolist()
        return found

    def sort(self, column: int, order: Qt.SortOrder = Qt.SortOrder.AscendingOrder) -> None:
        """Order the rows by a column; what is selected and current stays with its candidate."""
        self.layoutAboutToBeChanged.emit()
        before = self.persistentIndexList()
        numbers = [self.number(index.row()) for index in before]
        self._sorted = (column, order)
        self._arrange()
        place = np.empty(0 if self.listing is None else len(self.listing), dtype=np.int64)
        place[self._rows] = np.arange(len(self._rows))
        after = [
            self.index(int(place[number]), index.column())
            for number, index in zip(numbers, before, strict=True)
        ]
        self.changePersistentIndexList(before, after)
        self.layoutChanged.emit()

    def _arrange(self) -> None:
        """Order the rows by a column, those of equal value by rank; what is unknown stands last."""
        column, order = self._sorted
        rows = np.flatnonzero(self._passing)
        rows = rows[np.argsort(self._rank[rows], kind="stable")]
        key = None if self.listing is None else self._key(self.listing, column)
        if key is not None:
            values = key[rows]
            values = -values if order == Qt.SortOrder.DescendingOrder else values
            rows = rows[np.argsort(values, kind="stable")]  # unknown ones are sorted last
        elif order == Qt.SortOrder.DescendingOrder:
            rows = rows[::-1]
        self._rows = rows

    def _key(self, listing: Listing, column: int) -> FloatArray | None:
        if column == PARETO:
            return (~self._best).astype(np.float64)
        if column == STATUS:
            return np.argsort(ORDER_OF_VERDICTS)[listing.verdict].astype(np.float64)
        if column == MARGIN:
            return listing.governing.numbers["margin"]
        if column == REASON:
            labels = [one.label for one in listing.criteria]
            place = np.array([*np.argsort(np.argsort(labels)), np.nan], dtype=np.float64)
            return place[self._reason]  # none is -1, the last
        if column == CONDITION and self._conditions:
            return self._condition.astype(np.float64)
        if CONDITION < column < CANDIDATE:
            return listing.objectives[OBJECTIVES[column - CONDITION - 1].name]
        # by the numbers of the candidates, which follow the order of the parts
        return np.arange(len(listing), dtype=np.float64) if column == CANDIDATE else None

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(HEADINGS)

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(HEADINGS):
            return None
        if role == Qt.ItemDataRole.TextAlignmentRole and section in (REASON, CONDITION, CANDIDATE):
            return _side(section)  # the others stand in the middle, clear of the arrow of the order
        if role == Qt.ItemDataRole.ToolTipRole:
            return _EXPLAINED.get(section)
        return HEADINGS[section] if role == Qt.ItemDataRole.DisplayRole else None

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        listing, choices = self.listing, self.choices
        if listing is None or choices is None or not 0 <= index.row() < len(self._rows):
            return None
        number, column = self.number(index.row()), index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(column)
        if role == Qt.ItemDataRole.ToolTipRole:
            if column == CANDIDATE:
                return choices.words(number)
            return as_text(why(listing, number), self._preferences.display_units)
        if role != Qt.ItemDataRole.DisplayRole:
            return None
        return self._words(listing, choices, number, column)

    def _words(self, listing: Listing, choices: Choices, number: int, column: int) -> str:
        if column == RANK:
            return str(int(self._rank[number]) + 1)
        if column == PARETO:
            return IN_SET if number < len(self._best) and self._best[number] else ""
        if column == STATUS:
            return STATUSES[int(listing.verdict[number])]
        if column == MARGIN:
            return margin_words(listing, number)
        if column == REASON:
            place = int(self._reason[number])
            return "" if place == ABSENT else listing.criteria[place].label
        if column == CONDITION:
            known = bool(self._conditions) and number < len(self._condition)
            return self._conditions[int(self._condition[number])] if known else ""
        if column == CANDIDATE:
            return choices.words(number)
        objective = OBJECTIVES[column - CONDITION - 1]
        value = float(listing.objectives[objective.name][number])
        units = self._preferences.display_units
        return "–" if math.isnan(value) else units.format_quantity(value, objective.kind)


def ranks(listing: Listing) -> IntArray:
    """Return the place of each candidate in the ranking, from 0."""
    order = listing.ranking()
    rank: IntArray = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return rank


def margin_words(listing: Listing, number: int) -> str:
    """Return the margin of what governs, a dash where it has no number."""
    numbers = listing.governing.numbers
    return percent(float(numbers["margin"][number]), float(numbers["target"][number]))


def _side(column: int) -> Qt.AlignmentFlag:
    right = column in (RANK, MARGIN) or CONDITION < column < CANDIDATE
    middle = Qt.AlignmentFlag.AlignHCenter
    side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    return (middle if column == PARETO else side) | Qt.AlignmentFlag.AlignVCenter
