"""The terms of the load at the selected segment as a small table, with the one that dominates in words."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.theme import HATCH_OPACITY, WASH_OF_HATCH, Tokens
from app.views.plot_marks import PATTERNS
from core.charts.load_chart import HATCHES, LoadTable
from core.charts.ticks import fixed_text
from core.units import DisplayUnits, Kind

_WIDTH: Final = 246
_SWATCH: Final = QSize(14, 10)
_HEADINGS: Final = ("cause", "peak", "share")
_NARROW: Final = "QHeaderView::section { padding: 2px 3px; }"


class TermsTable(QWidget):
    """Cause, largest torque and share of the mean square; the hatching is that of the chart."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFixedWidth(_WIDTH)
        self.title = QLabel()
        self.title.setProperty("type", "group")
        self.words = QLabel()
        self.words.setProperty("type", "soft")
        self.words.setWordWrap(True)
        self.grid = QTableWidget(len(HATCHES), len(_HEADINGS))
        self._set_up_grid()
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 2, 10, 2)
        column.setSpacing(4)
        column.addWidget(self.title)
        column.addWidget(self.grid)
        column.addWidget(self.words)
        column.addStretch(1)
        self._shown: tuple[LoadTable, DisplayUnits, Tokens, str] | None = None

    def _set_up_grid(self) -> None:
        grid = self.grid
        grid.setAccessibleName("Terms of the load torque")
        grid.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        grid.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        grid.setShowGrid(False)
        grid.setIconSize(_SWATCH)
        grid.verticalHeader().hide()
        grid.verticalHeader().setDefaultSectionSize(20)
        grid.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        grid.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        header = grid.horizontalHeader()
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setMinimumSectionSize(30)
        digit = grid.fontMetrics().horizontalAdvance("0")
        for section, width in ((1, 9 * digit), (2, 5 * digit)):  # "−0.0467" with air to both sides
            header.setSectionResizeMode(section, QHeaderView.ResizeMode.Fixed)
            grid.setColumnWidth(section, width)
        grid.setStyleSheet(_NARROW)
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        rows = 2 * header.fontMetrics().height() + 8
        header.setFixedHeight(rows)
        grid.setFixedHeight(20 * len(HATCHES) + rows + 4)

    def show_table(self, table: LoadTable, name: str, units: DisplayUnits, tokens: Tokens) -> None:
        """Show the terms of a segment by its name, or of the cycle."""
        shown = (table, units, tokens, name)
        if shown == self._shown:
            return
        self._shown = shown
        number = None if table.segment is None else table.segment + 1
        self.title.setText("Whole cycle" if number is None else f"{number} {name}".rstrip())
        self.words.setText(table.words)
        headings = (_HEADINGS[0], f"{_HEADINGS[1]}\n{units.symbol(Kind.LOAD_TORQUE)}", f"{_HEADINGS[2]}\n%")
        for section, words in enumerate(headings):
            heading = QTableWidgetItem(words)
            side = Qt.AlignmentFlag.AlignRight if section else Qt.AlignmentFlag.AlignLeft
            heading.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
            self.grid.setHorizontalHeaderItem(section, heading)
        for row, term in enumerate(table.terms):
            cause = QTableWidgetItem(swatch(term.cause, tokens), term.cause)
            peak = units.format_value(term.peak, Kind.LOAD_TORQUE) if term.peak else "0"
            numbers = (peak, fixed_text(100.0 * term.share + 0.0, 0))
            self.grid.setItem(row, 0, cause)
            for section, number_words in enumerate(numbers, 1):
                cell = QTableWidgetItem(number_words)
                cell.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.grid.setItem(row, section, cell)


def swatch(cause: str, tokens: Tokens) -> QIcon:
    """Return the hatching of a cause as a small picture."""
    picture = QPixmap(_SWATCH)
    picture.fill(QColor(tokens.pane))
    ink = QColor(tokens.soft_ink)
    painter = QPainter(picture)
    painter.setPen(ink)
    rect = QRectF(0.5, 0.5, _SWATCH.width() - 1.0, _SWATCH.height() - 1.0)
    wash = QColor(ink)
    wash.setAlphaF(WASH_OF_HATCH * HATCH_OPACITY)
    painter.fillRect(rect, wash)
    ink.setAlphaF(HATCH_OPACITY)
    painter.setBrush(QBrush(ink, PATTERNS[HATCHES[cause]]))
    painter.drawRect(rect)
    painter.end()
    return QIcon(picture)
