"""The grid of frames and windings; the cell that is chosen tells which candidates are listed."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QItemSelection, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from app.preferences import Preferences
from app.table_models.shortlist_cells import Cell, ShortlistCells
from core.numeric import IntArray
from core.shortlist.choices import Choices
from core.shortlist.listing import Listing

_ROW: Final = 34  # px


class ShortlistGrid(QTableView):
    """One row a frame, one column a winding name. Escape, or a second click, lists all again."""

    picked = Signal()  # another cell is chosen, or none

    def __init__(self, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.cells = ShortlistCells(preferences, self)
        self.setModel(self.cells)
        self.setAccessibleName("Frames and windings")
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.horizontalHeader().setHighlightSections(False)
        self.verticalHeader().setHighlightSections(False)
        self.verticalHeader().setDefaultSectionSize(_ROW)
        self.selectionModel().selectionChanged.connect(self._on_chosen)
        self.clicked.connect(self._on_clicked)
        self._chosen_before: tuple[int, int] | None = None

    def show_listing(self, listing: Listing, choices: Choices, variant: str, rank: IntArray) -> None:
        """Show what has been evaluated so far of one variant."""
        self.cells.show_listing(listing, choices, variant, rank)

    def chosen(self) -> Cell | None:
        """Return the cell that is chosen, None where all are looked at."""
        indexes = self.selectedIndexes()
        return self.cells.cell(indexes[0].row(), indexes[0].column()) if indexes else None

    def chosen_words(self) -> str:
        """Return frame and winding of the chosen cell, empty where none is."""
        indexes = self.selectedIndexes()
        if not indexes:
            return ""
        return f"{self.cells.frames[indexes[0].row()]} {self.cells.windings[indexes[0].column()]}"

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self.selectedIndexes():
            self.clearSelection()
            return
        super().keyPressEvent(event)

    @Slot(QItemSelection, QItemSelection)
    def _on_chosen(self, _selected: QItemSelection, _deselected: QItemSelection) -> None:
        self._chosen_before = None
        self.picked.emit()

    @Slot()
    def _on_clicked(self) -> None:
        """Take the choice back at the second click on the same cell."""
        chosen = [(index.row(), index.column()) for index in self.selectedIndexes()]
        if chosen and self._chosen_before == chosen[0]:
            self.clearSelection()
        else:
            self._chosen_before = chosen[0] if chosen else None
