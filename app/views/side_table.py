"""The difference table: every quantity of the two, the better value bold and named in a column of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QRect, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QBrush, QColor, QFont, QGuiApplication, QKeySequence, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QSizePolicy,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.plain_tip import plain_tip
from app.theme import Tokens
from core.charts.display_axis import letter
from core.comparison_text import better_words, comparison_cells, tabbed
from core.evaluation.comparison import ComparisonTable
from core.evaluation.comparison_rows import ComparisonRow
from core.sentences import as_text
from core.units import DisplayUnits

_MIDDLE: Final = Qt.AlignmentFlag.AlignVCenter
_LEFT: Final = Qt.AlignmentFlag.AlignLeft | _MIDDLE
_RIGHT: Final = Qt.AlignmentFlag.AlignRight | _MIDDLE
_CENTRE: Final = Qt.AlignmentFlag.AlignHCenter | _MIDDLE
_BETTER_WIDTH: Final = 84
_PADDED: Final = "QHeaderView::section { padding: 3px 3px; }"  # as far as the cells stand in


class DifferenceTable(QTableWidget):
    """Rows by groups, in full height: the page scrolls, the table does not."""

    row_in_sight = Signal(QRect)  # where the row of the cursor is, so that the page can follow

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setStyleSheet(_PADDED)
        self._table: ComparisonTable | None = None
        self._names: tuple[str, ...] = ()
        self._units = DisplayUnits()
        self.setAccessibleName("Differences, the better one named in each row")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.setWordWrap(True)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(30)
        self.copy = QAction("Copy table", self)
        self.copy.setShortcut(QKeySequence(QKeySequence.StandardKey.Copy))
        self.copy.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self.copy.triggered.connect(self.copy_all)
        self.addAction(self.copy)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self._fit_soon = QTimer(self)
        self._fit_soon.setSingleShot(True)
        self._fit_soon.setInterval(0)
        self._fit_soon.timeout.connect(self.fit)
        self.currentCellChanged.connect(self._tell_row)

    def show_table(
        self, table: ComparisonTable, names: Sequence[str], units: DisplayUnits, tokens: Tokens
    ) -> None:
        """Show a table of two or more candidates with their names."""
        self._table, self._names, self._units = table, tuple(names), units
        kept = self.currentRow()
        count = len(table.indices)
        self.clearSpans()
        self.setColumnCount(count + 3)
        self.setRowCount(len(table.rows) + len(table.groups))
        heads = [f"{letter(index)}  {name}" for index, name in zip(table.indices, names, strict=True)]
        for column, words in enumerate(["quantity", *heads, "better", "note"]):
            head = QTableWidgetItem(words)
            head.setTextAlignment(_side(column, count))
            head.setToolTip(plain_tip(words))
            self.setHorizontalHeaderItem(column, head)
        place = 0
        for title, rows in table.groups:
            self._put_group(place, title)
            for row in rows:
                place += 1
                self._put_row(place, row, table.indices, tokens)
            place += 1
        self._share_width()
        if 0 <= kept < self.rowCount():
            self.setCurrentCell(kept, 0)
        self.fit()

    def _put_group(self, place: int, title: str) -> None:
        self.setSpan(place, 0, 1, self.columnCount())
        item = _item(title, _LEFT)
        item.setFont(_bold(self.font()))
        self.setItem(place, 0, item)

    def _put_row(self, place: int, row: ComparisonRow, indices: Sequence[int], tokens: Tokens) -> None:
        count = len(indices)
        label, note = as_text(row.label, self._units), as_text(row.note, self._units)
        better = better_words(row, indices)
        cells = [_item(label, _LEFT)]
        for k in range(count):
            cell = _item(row.shown(k, self._units), _RIGHT)
            if k in row.best:
                cell.setFont(_bold(self.font()))
                cell.setData(Qt.ItemDataRole.AccessibleDescriptionRole, "better")
            cells.append(cell)
        mark = _item(better, _CENTRE)
        if row.better is not None:
            mark.setFont(_bold(self.font()))
            colour = tokens.candidates[indices[row.better] % len(tokens.candidates)].colour
            mark.setForeground(QBrush(QColor(colour)))
        quiet = _item(note, _LEFT)
        quiet.setForeground(QBrush(QColor(tokens.soft_ink)))
        for column, cell in enumerate([*cells, mark, quiet]):
            self.setItem(place, column, cell)

    def words_at(self, row: int, column: int) -> str:
        """Return what stands in a cell."""
        item = self.item(row, column)
        return "" if item is None else item.text()

    def copy_all(self) -> None:
        """Put the whole table on the clipboard, with tabs between its cells."""
        if self._table is not None:
            cells = comparison_cells(self._table, self._names, self._units)
            QGuiApplication.clipboard().setText(tabbed(cells))

    def fit(self) -> None:
        """Take the height of all rows."""
        self.resizeRowsToContents()
        height = self.horizontalHeader().height() + self.verticalHeader().length() + 2
        if height != self.height():
            self.setFixedHeight(height)

    def _share_width(self) -> None:
        """Share the width: words left and right, numbers between them in equal columns."""
        count = self.columnCount() - 3
        if count < 1:
            return
        room = self.viewport().width() - _BETTER_WIDTH
        number = max(90, min(250, round(0.17 * room)))
        words = room - count * number
        widths = [round(0.52 * words), *(number,) * count, _BETTER_WIDTH]
        for column, width in enumerate(widths):
            self.setColumnWidth(column, width)
        self.horizontalHeader().setSectionResizeMode(count + 2, QHeaderView.ResizeMode.Stretch)

    def _tell_row(self) -> None:
        item = self.item(self.currentRow(), 0)
        if item is not None and self.hasFocus():
            rect = self.visualItemRect(item)
            self.row_in_sight.emit(QRect(self.viewport().mapTo(self, rect.topLeft()), rect.size()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._share_width()
            self._fit_soon.start()


def _side(column: int, count: int) -> Qt.AlignmentFlag:
    """Return how a column is aligned: numbers right, the letter of the better one in the middle."""
    return _CENTRE if column == count + 1 else _RIGHT if 1 <= column <= count else _LEFT


def _item(words: str, side: Qt.AlignmentFlag) -> QTableWidgetItem:
    item = QTableWidgetItem(words)
    item.setTextAlignment(side)
    return item


def _bold(font: QFont) -> QFont:
    bold = QFont(font)
    bold.setBold(True)
    return bold
