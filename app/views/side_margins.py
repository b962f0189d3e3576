"""The worst margins of one candidate; the same criteria in the same order stand in every column."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QStyleOptionViewItem, QWidget

from app.preferences import Preferences
from app.selection import Selection
from app.table_models.margin_list import ENTRY_ROLE, Entry, Outcome
from app.views.margin_row import MarginRowDelegate
from app.views.margins_panel import RowList
from core.charts.display_axis import letter, shown_candidates
from core.margin_rows import MarginRow, margin_rows, order_of, outcome
from core.results import Result
from core.sentences import as_text
from core.units import DisplayUnits

Index = QModelIndex | QPersistentModelIndex
_TOP = QModelIndex()
_NO_PLACE: Final = "\N{NO-BREAK SPACE}"  # keeps the height of a row whose place is known of another only


class SideMarginList(QAbstractListModel):
    """Rows of one candidate. `data` is total, and every entry can be read as text."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.entries: list[Entry] = []

    def rowCount(self, parent: Index = _TOP) -> int:
        return 0 if parent.isValid() else len(self.entries)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or not 0 <= index.row() < len(self.entries):
            return None
        entry = self.entries[index.row()]
        if role == ENTRY_ROLE:
            return entry
        if role == Qt.ItemDataRole.DisplayRole:
            return entry.title
        spoken = (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole)
        return entry.spoken if role in spoken else None

    def show_entries(self, entries: Sequence[Entry]) -> None:
        """Show other entries."""
        self.beginResetModel()
        self.entries = list(entries)
        self.endResetModel()


class LevelRows(MarginRowDelegate):
    """Rows that are at least so high, so that those of all columns stand level. [px]"""

    least: tuple[int, ...] = ()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        size = super().sizeHint(option, index)
        row = index.row()
        return size.expandedTo(QSize(0, self.least[row])) if row < len(self.least) else size


class SideMargins(RowList):
    """The rows in full height: the page scrolls, the list does not. A row selects its criterion."""

    resized = Signal()  # what wraps takes other heights

    def __init__(self, selection: Selection, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._selection = selection
        self.rows = SideMarginList(self)
        self.setModel(self.rows)
        self.delegate = LevelRows(preferences.tokens, self)
        self.setItemDelegate(self.delegate)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.opened.connect(self._choose)
        self.moved.connect(self._choose)
        self.escaped.connect(lambda: selection.select_segment(None))
        selection.changed.connect(self.follow_selection)

    def show_entries(self, entries: Sequence[Entry], preferences: Preferences) -> None:
        """Show the rows of a candidate."""
        self.delegate.restyle(preferences.tokens)
        self.rows.show_entries(entries)
        self.follow_selection()

    def follow_selection(self) -> None:
        """Mark the row of the selected criterion."""
        keys = [entry.key for entry in self.rows.entries]
        model = self.selectionModel()
        if self._selection.criterion in keys:
            index = self.rows.index(keys.index(self._selection.criterion))
            model.setCurrentIndex(index, model.SelectionFlag.ClearAndSelect)
        else:
            model.clearSelection()

    def _choose(self, index: Index) -> None:
        entry = index.data(ENTRY_ROLE)
        if isinstance(entry, Entry):
            self._selection.select_criterion(entry.key, entry.segment)

    def own_heights(self) -> list[int]:
        """Return how high the rows would be in this column alone."""
        self.delegate.least = ()
        return [self.sizeHintForRow(row) for row in range(self.rows.rowCount())]

    def level(self, heights: Sequence[int]) -> None:
        """Take these heights, and that of all of them together."""
        self.delegate.least = tuple(heights)
        self.scheduleDelayedItemsLayout()
        height = sum(heights)
        if height != self.height():
            self.setFixedHeight(height)

    def sizeHint(self) -> QSize:
        return QSize(200, self.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.resized.emit()


def worst_entries(result: Result, units: DisplayUnits) -> tuple[tuple[list[Entry], ...], str]:
    """Return the rows of each candidate that is shown, and what is left out in words."""
    shown = shown_candidates(result)
    rows = margin_rows(shown)
    order = order_of(rows)
    count = order.open_count
    worst = [rows[criterion] for criterion in order.criteria[:count]]
    entries = tuple(
        [_entry(row, place, one.index, units) for row in worst] for place, one in enumerate(shown)
    )
    left, unchecked = len(order.criteria) - count, len(rows) - len(order.criteria)
    words = [
        f"{left} more {'is' if left == 1 else 'are'} met" if left else "",
        f"{unchecked} not checked" if unchecked else "",
    ]
    return entries, ", ".join(word for word in words if word)


def _entry(row: MarginRow, place: int, index: int, units: DisplayUnits) -> Entry:
    margin = row.margins[place]
    has_numbers = any(one is not None and one.margin is not None for one in row.margins)
    words = ""
    if margin is not None:
        words = as_text(margin.where, units)
        if margin.status in ("excluded", "not checked") or not words:
            words = as_text(margin.why, units) or words
    if has_numbers and not words:
        words = _NO_PLACE
    is_bad = margin is not None and margin.status in ("missed", "excluded")
    one = Outcome(
        candidate=index,
        share=None if margin is None else margin.margin,
        target=0.0 if margin is None else margin.target,
        text=outcome(margin),
        bad=is_bad,
    )
    return Entry(
        kind="margin" if has_numbers else "answer",
        key=row.criterion,
        title=row.label,
        place=words,
        outcomes=(one,),
        bad=is_bad,
        segment=None if margin is None else margin.segment,
    )


def margins_name(index: int) -> str:
    """Return what the list of a candidate is called."""
    return f"Margins of {letter(index)}, those of the worst criteria"
