"""The table of single changes: what each gains, and below its words the reason."""

from __future__ import annotations

import math
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

from app.theme import BODY_PT, SMALL_PT, Tokens
from core.charts.ticks import fixed_text
from core.evaluation.change_reasons import NOTABLE
from core.evaluation.what_helps import Change, Standing
from core.margin_rows import outcome, percent
from core.sentences import as_text
from core.units import DisplayUnits, Kind

Index = QModelIndex | QPersistentModelIndex
HEADINGS: Final = ("change", "margin\ngained", "torque\nreserve", "winding\npeak")
AS_IT_IS: Final = "as it is"
_REASON_ROLE: Final = int(Qt.ItemDataRole.UserRole)
_STRONG_ROLE: Final = _REASON_ROLE + 1
_SOFT_ROLE: Final = _REASON_ROLE + 2
_WRAPPED: Final = int(Qt.TextFlag.TextWordWrap)
_SIDE, _PADDING, _GAP = 6, 4, 1  # px beside a cell's text, above and below it, between words and reason
_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class ChangeDelegate(QStyledItemDelegate):
    """Paints the cells of a change, all from the same first line on; the reason stands below the words."""

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
        return self._bold if index.data(_STRONG_ROLE) else self._body

    def _heights(self, index: Index, width: int) -> tuple[int, int]:
        """Return the heights of words and reason in a column of this width."""
        texts = (str(index.data() or ""), str(index.data(_REASON_ROLE) or ""))
        words, reason = (
            QFontMetrics(font).boundingRect(QRect(0, 0, width, 10_000), _WRAPPED, text).height()
            for font, text in zip((self._words_font(index), self._small), texts, strict=True)
        )
        return words, reason if texts[1] else 0

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        view = option.widget
        width = view.columnWidth(index.column()) if isinstance(view, QTableWidget) else 200
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
        painter.setPen(self._soft if index.data(_SOFT_ROLE) else self._ink)
        side = Qt.AlignmentFlag.AlignRight if index.column() else Qt.AlignmentFlag.AlignLeft
        painter.drawText(room, int(side) | _WRAPPED, str(index.data() or ""))
        reason = str(index.data(_REASON_ROLE) or "")
        if reason:
            words_height, _ = self._heights(index, room.width())
            painter.setFont(self._small)
            painter.setPen(self._soft)
            painter.drawText(room.adjusted(0, words_height + _GAP, 0, 0), _WRAPPED, reason)
        painter.restore()


class ChangeTable(QTableWidget):
    """One row for the candidate as it is, then one for each change, the largest gain first."""

    wanted = Signal()  # Enter or a double click on the current row
    row_changed = Signal()

    def __init__(self, tokens: Tokens, parent: QWidget | None = None) -> None:
        super().__init__(0, len(HEADINGS), parent)
        self.changes: tuple[Change, ...] = ()
        self.delegate = ChangeDelegate(tokens, self)
        self.setItemDelegate(self.delegate)
        self.setAccessibleName("Single changes, the largest gain first")
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self._set_up_header()
        self.currentCellChanged.connect(self.row_changed)
        self.cellDoubleClicked.connect(self.wanted)

    def _set_up_header(self) -> None:
        header = self.horizontalHeader()
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        for section, words in enumerate(HEADINGS):
            heading = QTableWidgetItem(words)
            heading.setTextAlignment(_side(section))
            self.setHorizontalHeaderItem(section, heading)
        digit = self.fontMetrics().horizontalAdvance("0")
        for section, width in ((1, 10 * digit), (2, 9 * digit), (3, 10 * digit)):
            header.setSectionResizeMode(section, QHeaderView.ResizeMode.Fixed)
            self.setColumnWidth(section, width)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        # a narrower column wraps its reasons into more lines, which can bring a scroll bar that narrows it
        self._fit_soon = QTimer(self)
        self._fit_soon.setSingleShot(True)
        self._fit_soon.setInterval(0)
        self._fit_soon.timeout.connect(self.resizeRowsToContents)
        header.sectionResized.connect(lambda: self._fit_soon.start())

    @property
    def change(self) -> Change | None:
        """The change of the current row, None on the row of the candidate as it is."""
        row = self.currentRow() - 1
        return self.changes[row] if 0 <= row < len(self.changes) else None

    def show_changes(self, changes: Sequence[Change], units: DisplayUnits) -> None:
        """Show changes; the row that was current stays so where its words are still there."""
        kept = self._label(self.currentRow())
        self.changes = tuple(changes)
        self.setRowCount(len(changes) + 1 if changes else 0)
        for row, change in enumerate(changes, 1):
            label, reason = as_text(change.label, units), as_text(change.reason, units)
            numbers = (gained_text(change), *_numbers(change.after, units))
            self._fill(row, (label, *numbers), reason, change.helps)
        if changes:
            before = changes[0].before
            self._fill(0, (AS_IT_IS, "", *_numbers(before, units)), governing_text(before), False)
            labels = [self._label(row) for row in range(self.rowCount())]
            self.setCurrentCell(labels.index(kept) if kept in labels else 1, 0)
        self.resizeRowsToContents()

    def _fill(self, row: int, words: Sequence[str], reason: str, strong: bool) -> None:
        for section, text in enumerate(words):
            cell = QTableWidgetItem(text)
            cell.setTextAlignment(_side(section))
            if section <= 1:
                cell.setData(_STRONG_ROLE, strong)
            if section == 0:
                cell.setData(_REASON_ROLE, reason)
                cell.setData(Qt.ItemDataRole.AccessibleDescriptionRole, reason)
                cell.setToolTip(f"{text}\n{reason}".strip())
            elif section == 1:
                cell.setData(_SOFT_ROLE, not strong)
            self.setItem(row, section, cell)

    def _label(self, row: int) -> str:
        item = self.item(row, 0)
        return "" if item is None else item.text()

    def reason_at(self, row: int) -> str:
        """Return the reason that stands in a row."""
        item = self.item(row, 0)
        return "" if item is None else str(item.data(_REASON_ROLE))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _ENTER:
            self.wanted.emit()
        else:
            super().keyPressEvent(event)


def _side(section: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignRight if section else Qt.AlignmentFlag.AlignLeft
    return side | Qt.AlignmentFlag.AlignVCenter


def gained_text(change: Change) -> str:
    """Return the gain in tenths of a percent of the limit, or the word where there is no number."""
    if change.gained is None:
        if change.helps:
            return "comes in"
        return "–" if change.before.least_margin is None else "ruled out"
    if abs(change.gained) <= NOTABLE:
        return "none"
    tenths = fixed_text(100.0 * change.gained, 1)
    return f"{'+' if change.gained > 0.0 else ''}{tenths}\N{NO-BREAK SPACE}%"


def governing_text(standing: Standing) -> str:
    """Return what governs a candidate, with its margin and target."""
    margin = standing.governing
    if margin is None:
        return "nothing governs yet"
    target = "" if margin.margin is None else f", target {percent(margin.target, margin.target)}"
    return f"governed by {margin.label.lower()}: {outcome(margin)}{target}"


def _numbers(standing: Standing, units: DisplayUnits) -> tuple[str, str]:
    reserve, temp = standing.torque_reserve, standing.winding_temp
    winding = "–" if temp is None else units.format_quantity(temp, Kind.TEMPERATURE)
    if reserve is None:
        return "–", winding
    words = "∞" if math.isinf(reserve) else fixed_text(reserve, 2)
    return words, "runs away" if temp is None else winding
