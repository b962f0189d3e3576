"""A table whose cells hold words and, below them, quieter words; both wrap to the width of the column."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QModelIndex, QObject, QPersistentModelIndex, QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QHeaderView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from app.plain_tip import plain_tip
from app.theme import BODY_PT, SMALL_PT, Tokens
from core.records import dataclass

Index = QModelIndex | QPersistentModelIndex
REASON_ROLE: Final = int(Qt.ItemDataRole.UserRole)
STRONG_ROLE: Final = REASON_ROLE + 1
SOFT_ROLE: Final = REASON_ROLE + 2
_WRAPPED: Final = int(Qt.TextFlag.TextWordWrap)
_SIDE, _PADDING, _GAP = 6, 4, 1  # px beside a cell's text, above and below it, between words and reason
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_MIDDLE = Qt.AlignmentFlag.AlignVCenter


class WrappedDelegate(QStyledItemDelegate):
    """Paints the cells of a row, all from the same first line on; the reason stands below the words."""

    def __init__(self, tokens: Tokens, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.restyle(tokens)

    def restyle(self, tokens: Tokens) -> None:
        """Take over the colours and fonts of a theme."""
        self._body = QFont(QApplication.font())
        self._body.setPointSizeF(BODY_PT)
        self._bold = QFont(self._body)
        self._bold.setBold(True)
        self._small = QFont(self._body)
        self._small.setPointSizeF(SMALL_PT)
        self._ink, self._soft = QColor(tokens.ink), QColor(tokens.soft_ink)

    def _words_font(self, index: Index) -> QFont:
        return self._bold if index.data(STRONG_ROLE) else self._body

    def _heights(self, index: Index, width: int) -> tuple[int, int]:
        """Return the heights of words and reason in a column of this width."""
        texts = (str(index.data() or ""), str(index.data(REASON_ROLE) or ""))
        words, reason = (
            QFontMetrics(font).boundingRect(QRect(0, 0, width, 10_000), _WRAPPED, text).height()
            for font, text in zip((self._words_font(index), self._small), texts, strict=True)
        )
        return words, reason if texts[1] else 0

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        view = option.widget
        width = 200
        if isinstance(view, QTableWidget):
            spanned = range(index.column(), index.column() + view.columnSpan(index.row(), index.column()))
            width = sum(view.columnWidth(column) for column in spanned)
        words, reason = self._heights(index, max(width - 2 * _SIDE, 40))
        return QSize(120, 2 * _PADDING + words + (reason + _GAP if reason else 0))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        bare = QStyleOptionViewItem(option)
        self.initStyleOption(bare, index)
        bare.text = ""
        style = QApplication.style()  # with the stylesheet of the application
        style.drawControl(QStyle.ControlElement.CE_ItemViewItem, bare, painter, bare.widget)
        room: QRect = bare.rect.adjusted(_SIDE, _PADDING, -_SIDE, -_PADDING)
        painter.save()
        painter.setFont(self._words_font(index))
        painter.setPen(self._soft if index.data(SOFT_ROLE) else self._ink)
        asked = int(index.data(Qt.ItemDataRole.TextAlignmentRole) or 0)
        right = int(Qt.AlignmentFlag.AlignRight)
        side = right if asked & right else int(Qt.AlignmentFlag.AlignLeft)
        painter.drawText(room, side | _WRAPPED, str(index.data() or ""))
        reason = str(index.data(REASON_ROLE) or "")
        if reason:
            words_height, _ = self._heights(index, room.width())
            painter.setFont(self._small)
            painter.setPen(self._soft)
            painter.drawText(room.adjusted(0, words_height + _GAP, 0, 0), side | _WRAPPED, reason)
        painter.restore()


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell: words, quieter words below them, how they look, and over how many columns."""

    words: str
    reason: str = ""
    strong: bool = False
    soft: bool = False
    span: int = 1


class WrappedTable(QTableWidget):
    """Rows to read and to choose from. The first column takes the room that the others leave."""

    wanted = Signal()  # Enter or a double click on the current row
    row_changed = Signal()

    def __init__(
        self,
        name: str,
        headings: Sequence[str],
        widths: Sequence[int],
        tokens: Tokens,
        parent: QWidget | None = None,
    ) -> None:
        """`widths` are those of the columns behind the first, in digits."""
        super().__init__(0, len(headings), parent)
        self.delegate = WrappedDelegate(tokens, self)
        self.setItemDelegate(self.delegate)
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self._set_up_header(headings, widths)
        self.currentCellChanged.connect(self.row_changed)
        self.cellDoubleClicked.connect(self.wanted)

    def _set_up_header(self, headings: Sequence[str], widths: Sequence[int]) -> None:
        header = self.horizontalHeader()
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        for section, words in enumerate(headings):
            heading = QTableWidgetItem(words)
            heading.setTextAlignment(_side(section))
            self.setHorizontalHeaderItem(section, heading)
        digit = self.fontMetrics().horizontalAdvance("0")
        for section, width in enumerate(widths, 1):
            header.setSectionResizeMode(section, QHeaderView.ResizeMode.Fixed)
            self.setColumnWidth(section, width * digit)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        # a narrower column wraps its words into more lines, which can bring a scroll bar that narrows it
        self._fit_soon = QTimer(self)
        self._fit_soon.setSingleShot(True)
        self._fit_soon.setInterval(0)
        self._fit_soon.timeout.connect(self.resizeRowsToContents)
        header.sectionResized.connect(lambda: self._fit_soon.start())

    def explain(self, words: Sequence[str]) -> None:
        """Give the headings behind the first a tool tip each."""
        for section, explanation in enumerate(words, 1):
            heading = self.horizontalHeaderItem(section)
            if heading is not None:
                heading.setToolTip(plain_tip(explanation))

    def show_rows(self, rows: Sequence[Sequence[Cell]], otherwise: int = 0) -> None:
        """Show rows; the one that was current stays so where its first words are still there."""
        kept = self.words_at(self.currentRow())
        self.clearSpans()
        self.setRowCount(len(rows))
        for row, cells in enumerate(rows):
            section = 0
            for cell in cells:
                self.setItem(row, section, _item(cell, section))
                if cell.span > 1:
                    self.setSpan(row, section, 1, cell.span)
                section += cell.span
        words = [self.words_at(row) for row in range(len(rows))]
        if rows:
            self.setCurrentCell(words.index(kept) if kept in words else otherwise, 0)
        self.resizeRowsToContents()

    def words_at(self, row: int, column: int = 0) -> str:
        """Return the words of a cell, empty where there is none."""
        item = self.item(row, column)
        return "" if item is None else item.text()

    def reason_at(self, row: int, column: int = 0) -> str:
        """Return the quieter words of a cell."""
        item = self.item(row, column)
        return "" if item is None else str(item.data(REASON_ROLE))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _ENTER:
            self.wanted.emit()
        else:
            super().keyPressEvent(event)


def _item(cell: Cell, section: int) -> QTableWidgetItem:
    item = QTableWidgetItem(cell.words)
    item.setTextAlignment(_side(section))
    item.setData(REASON_ROLE, cell.reason)
    item.setData(STRONG_ROLE, cell.strong)
    item.setData(SOFT_ROLE, cell.soft)
    item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, cell.reason)
    item.setToolTip(plain_tip(f"{cell.words}\n{cell.reason}".strip()))
    return item


def _side(section: int) -> Qt.AlignmentFlag:
    return (Qt.AlignmentFlag.AlignRight if section else Qt.AlignmentFlag.AlignLeft) | _MIDDLE
