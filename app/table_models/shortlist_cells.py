"""Frames and windings of one variant as cells: in each the best over all other choices, or why there is none.

`data` is total: it answers every index and role, since an exception in it would end the process.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QBrush, QColor

from app.preferences import Preferences
from app.table_models.shortlist_model import margin_words
from core.numeric import IntArray
from core.records import dataclass
from core.sentences import as_text
from core.shortlist.choices import Choices
from core.shortlist.chunk_result import ABSENT, MET, MISSED, NOT_CHECKED, STATUSES
from core.shortlist.listing import Listing
from core.shortlist.reasons import why

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
_MARKS: Final = {MET: "\N{CHECK MARK}", NOT_CHECKED: "?", MISSED: "\N{BALLOT X}"}
_TO_COME: Final = "…"


@dataclass(frozen=True, slots=True)
class Cell:
    """The candidates of one frame, winding and variant: numbers, the best, how many meet all."""

    first: int
    stop: int  # the number behind the last one
    count: int  # that are evaluated
    best: int  # -1 while none is evaluated
    met: int


class ShortlistCells(QAbstractTableModel):
    """One row a frame, one column a winding name."""

    def __init__(self, preferences: Preferences, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self._listing: Listing | None = None
        self.frames: tuple[str, ...] = ()
        self.windings: tuple[str, ...] = ()
        self._cells: dict[tuple[int, int], Cell] = {}
        self._reason: IntArray = np.zeros(0, dtype=np.int64)

    def show_listing(self, listing: Listing, choices: Choices, variant: str, rank: IntArray) -> None:
        """Show what has been evaluated so far of one variant; `rank` is the place of each candidate."""
        blocks = [(k, block) for k, block in enumerate(choices.blocks) if block.variant == variant]
        frames = tuple(dict.fromkeys(block.motor.name for _, block in blocks))
        windings = tuple(dict.fromkeys(name for _, block in blocks for name in block.windings))
        anew = (frames, windings) != (self.frames, self.windings)
        if anew:
            self.beginResetModel()
        self._listing, self.frames, self.windings, self._cells = listing, frames, windings, {}
        self._reason = listing.reason()
        is_met = listing.verdict == MET
        for k, block in blocks:
            each = len(block) // len(block.windings)  # the winding is the first digit of the number
            for place, name in enumerate(block.windings):
                first = choices.start_of(k) + place * each
                last = min(first + each, len(listing))
                some = slice(first, max(first, last))
                best = first + int(rank[some].argmin()) if last > first else ABSENT
                cell = Cell(first, first + each, max(0, last - first), best, int(is_met[some].sum()))
                self._cells[frames.index(block.motor.name), windings.index(name)] = cell
        if anew:
            self.endResetModel()
        elif self._cells:
            self.dataChanged.emit(self.index(0, 0), self.index(len(frames) - 1, len(windings) - 1))

    def cell(self, row: int, column: int) -> Cell | None:
        """Return what is known of a frame with a winding, None where the frame has no such winding."""
        return self._cells.get((row, column))

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self.frames)

    def columnCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self.windings)

    def flags(self, index: Index) -> Qt.ItemFlag:
        there = self.cell(index.row(), index.column()) is not None
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable if there else Qt.ItemFlag.NoItemFlags

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        names = self.windings if orientation == Qt.Orientation.Horizontal else self.frames
        if role != Qt.ItemDataRole.DisplayRole or not 0 <= section < len(names):
            return None
        return names[section]

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        cell, listing = self.cell(index.row(), index.column()), self._listing
        if cell is None or listing is None:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._words(listing, cell)
        if role == Qt.ItemDataRole.ToolTipRole and cell.best != ABSENT:
            return as_text(why(listing, cell.best), self._preferences.display_units)
        if role == Qt.ItemDataRole.ForegroundRole:
            tokens = self._preferences.tokens
            return QBrush(QColor(tokens.ink if cell.met else tokens.soft_ink))
        return None

    def _words(self, listing: Listing, cell: Cell) -> str:
        if cell.best == ABSENT:
            return _TO_COME
        verdict = int(listing.verdict[cell.best])
        reason = int(self._reason[cell.best]) if verdict not in (MET, NOT_CHECKED) else ABSENT
        said = margin_words(listing, cell.best) if reason == ABSENT else listing.criteria[reason].label
        count = f"\n{cell.met} of {cell.count}" if cell.met else ""
        return f"{_MARKS.get(verdict, STATUSES[verdict])} {said}{count}"
