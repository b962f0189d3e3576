"""Results painted as a small table under the columns of the candidates: one widget, so that a drag is cheap.

New numbers of the same rows only repaint it; no label is laid out again.
"""

from __future__ import annotations

import math

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.theme import SMALL_PT, current_tokens
from app.widgets.candidate_mark import draw_mark, letter_of, look_of
from core.records import dataclass
from core.sentences import Sentence, as_text
from core.units import DisplayUnits

_LEFT = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
_RIGHT = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight
_MARK = 12.0  # length of the candidate's line beside its letter [px]


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands under one candidate; `short` where the whole text has no room."""

    text: str
    short: str
    bad: bool = False
    why: str | Sentence = ""
    old: bool = False


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One row: what it is called, a cell for each candidate (None where it has none), the unit."""

    label: str
    cells: tuple[Cell | None, ...]
    unit: str = ""


class FigureTable(QWidget):
    """Rows of results; `label_width`, `gap` and `unit_width` are those of the inputs above."""

    def __init__(self, name: str, label_width: int, gap: int, unit_width: int) -> None:
        super().__init__()
        self._label_width, self._gap, self._unit_width = label_width, gap, unit_width
        self.rows: tuple[FigureRow, ...] = ()
        self._count = 0
        self._widest_unit = unit_width
        self._units = DisplayUnits()
        self.setAccessibleName(name)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def show_rows(self, rows: tuple[FigureRow, ...], count: int, units: DisplayUnits) -> None:
        """Show rows for this number of candidates; only another number of rows changes the layout."""
        self._units = units
        if rows == self.rows and count == self._count:
            return
        taller = (len(rows), count > 1) != (len(self.rows), self._count > 1)
        self.rows, self._count = rows, count
        metrics = QFontMetrics(self._small())
        self._widest_unit = max(
            (self._unit_width, *(metrics.horizontalAdvance(row.unit) + 2 for row in rows))
        )
        if taller:
            self.updateGeometry()
        self.update()

    def spoken(self) -> str:
        """Return the whole table as text, for whoever does not see it."""
        lines = []
        for row in self.rows:
            cells = [
                f"{letter_of(index)} {cell.text}" + (" (missed)" if cell.bad else "")
                for index, cell in enumerate(row.cells)
                if cell is not None
            ]
            lines.append(f"{row.label}: {', '.join(cells)} {row.unit}".strip())
        return "; ".join(lines)

    def sizeHint(self) -> QSize:
        lines = len(self.rows) + (1 if self._count > 1 and self.rows else 0)
        return QSize(120, lines * self._line_height() + (9 if self.rows else 0))

    def minimumSizeHint(self) -> QSize:
        return QSize(60, self.sizeHint().height())

    def _small(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(SMALL_PT)
        return font

    def _line_height(self) -> int:
        return QFontMetrics(self._small()).height() + 3

    def _cell_area(self, index: int, top: float, line: int) -> QRectF:
        """Return where the cell of a candidate stands in the row that begins at `top`."""
        room = self.width() - self._label_width - self._widest_unit - self._gap * (self._count + 1)
        width = max(room / max(self._count, 1), 1.0)
        left = self._label_width + self._gap + index * (width + self._gap)
        return QRectF(left, top, width, line)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setFont(self._small())
        top, line = 3.0, self._line_height()
        if self._count > 1 and self.rows:
            self._paint_heads(painter, top, line)
            top += line
        for row in self.rows:
            self._paint_row(painter, row, top, line)
            top += line
        painter.end()

    def _paint_heads(self, painter: QPainter, top: float, line: int) -> None:
        painter.setPen(QColor(current_tokens().soft_ink))
        painter.drawText(QRectF(0.0, top, self._label_width, line), _LEFT, "Results")
        for index in range(self._count):
            area = self._cell_area(index, top, line)
            painter.setPen(QColor(look_of(index).colour))
            painter.drawText(area, _RIGHT, letter_of(index))
            end = area.right() - painter.fontMetrics().horizontalAdvance(letter_of(index)) - 4.0
            start = area.center()
            start.setX(end - _MARK)
            draw_mark(painter, index, start, _MARK, 2.0)

    def _paint_row(self, painter: QPainter, row: FigureRow, top: float, line: int) -> None:
        tokens = current_tokens()
        painter.setPen(QColor(tokens.soft_ink))
        painter.drawText(QRectF(0.0, top, self._label_width, line), _LEFT, row.label)
        unit = QRectF(self.width() - self._widest_unit, top, self._widest_unit, line)
        painter.drawText(unit, _LEFT, row.unit)
        for index, cell in enumerate(row.cells):
            if cell is None:
                continue
            area = self._cell_area(index, top, line)
            metrics, room = painter.fontMetrics(), math.ceil(area.width())
            text = cell.text
            if metrics.horizontalAdvance(text) > room:
                text = metrics.elidedText(cell.short, Qt.TextElideMode.ElideRight, room)
            colour = tokens.missed if cell.bad else tokens.soft_ink if cell.old else tokens.ink
            painter.setPen(QPen(QColor(colour)))
            painter.drawText(area, _RIGHT, text)

    def cell_at(self, x: float, y: float) -> Cell | None:
        """Return the cell at a place of the widget."""
        line = self._line_height()
        top = 3.0 + (line if self._count > 1 else 0.0)
        place = int((y - top) // line)
        if not 0 <= place < len(self.rows):
            return None
        for index, cell in enumerate(self.rows[place].cells):
            area = self._cell_area(index, top + place * line, line)
            if cell is not None and area.contains(x, area.center().y()):
                return cell
        return None

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            cell = self.cell_at(event.pos().x(), event.pos().y())
            QToolTip.showText(event.globalPos(), "" if cell is None else self.tip_of(cell), self)
            return True
        return super().event(event)

    def tip_of(self, cell: Cell) -> str:
        """Return what is said where the mouse rests: the whole text, and the equation or the reason."""
        return "\n".join(part for part in (cell.text, as_text(cell.why, self._units)) if part)
