"""Frames and windings of one variant: in each cell the best over all other choices, or why there is none."""

from __future__ import annotations

from typing import Final

import numpy as np
from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QBrush, QColor
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from app.preferences import Preferences
from app.table_models.shortlist_model import margin_words
from core.numeric import IntArray
from core.sentences import as_text
from core.shortlist.choices import Block, Choices
from core.shortlist.chunk_result import ABSENT, MET, MISSED, NOT_CHECKED, STATUSES
from core.shortlist.listing import Listing
from core.shortlist.reasons import why

_MARKS: Final = {MET: "\N{CHECK MARK}", NOT_CHECKED: "?", MISSED: "\N{BALLOT X}"}


class ShortlistGrid(QTableWidget):
    """One row a frame, one column a winding name; a chosen cell tells which of them is looked at."""

    picked = Signal(str, str)  # frame and winding, both empty for none

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._preferences = preferences
        self._names: list[tuple[str, ...]] = [(), ()]
        self.setAccessibleName("Frames and windings")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.itemSelectionChanged.connect(self._on_picked)

    def show_listing(self, listing: Listing, choices: Choices, variant: str) -> None:
        """Show what has been evaluated so far of one variant."""
        blocks = [(k, block) for k, block in enumerate(choices.blocks) if block.variant == variant]
        frames = tuple(dict.fromkeys(block.motor.name for _, block in blocks))
        windings = tuple(dict.fromkeys(name for _, block in blocks for name in block.windings))
        if [frames, windings] != self._names:
            self._names = [frames, windings]
            self.clear()
            self.setRowCount(len(frames))
            self.setColumnCount(len(windings))
            self.setVerticalHeaderLabels(frames)
            self.setHorizontalHeaderLabels(windings)
        place = np.empty(len(listing), dtype=np.int64)
        order = listing.ranking()
        place[order] = np.arange(len(order))
        for k, block in blocks:
            start = choices.start_of(k)
            for number, name in enumerate(block.windings):
                members = _members(block, start, number, len(listing))
                item = self._cell(listing, members, place)
                self.setItem(frames.index(block.motor.name), windings.index(name), item)

    def _cell(self, listing: Listing, members: IntArray, place: IntArray) -> QTableWidgetItem:
        if not members.size:
            return QTableWidgetItem("…")
        best = int(members[place[members].argmin()])
        verdict, reason = int(listing.verdict[best]), int(listing.reason()[best])
        met = int((listing.verdict[members] == MET).sum())
        said = margin_words(listing, best) if verdict in (MET, NOT_CHECKED) or reason == ABSENT else ""
        said = said or listing.criteria[reason].label
        count = f"{met} of {members.size}" if met else f"none of {members.size}"
        item = QTableWidgetItem(f"{_MARKS.get(verdict, STATUSES[verdict])} {said}\n{count}")
        tokens = self._preferences.tokens
        item.setForeground(QBrush(QColor(tokens.ink if verdict == MET else tokens.soft_ink)))
        item.setToolTip(as_text(why(listing, best), self._preferences.display_units))
        return item

    @Slot()
    def _on_picked(self) -> None:
        cells = self.selectedIndexes()
        frames, windings = self._names
        if cells and self.item(cells[0].row(), cells[0].column()) is not None:
            self.picked.emit(frames[cells[0].row()], windings[cells[0].column()])
        else:
            self.picked.emit("", "")


def _members(block: Block, start: int, winding: int, known: int) -> IntArray:
    """Return the numbers of the candidates with one winding of a block, as far as they are evaluated."""
    each = len(block) // len(block.windings)
    first = start + winding * each
    return np.arange(min(first, known), min(first + each, known))
