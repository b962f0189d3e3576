"""The candidates in equal columns: who it is, plane, temperatures, losses, margins, cautions, row by row."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QPointF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.preferences import Preferences
from app.selection import Selection
from app.views.margins_panel import summary
from app.views.side_cautions import SideCautions
from app.views.side_chart import ChartPicture
from app.views.side_margins import SideMargins, margins_name, worst_entries
from app.widgets.candidate_mark import draw_mark, letter_of
from core.charts.bar_charts import LOSSES_TITLE, PEAKS_TITLE
from core.charts.display_axis import shown_candidates
from core.charts.side_charts import losses_charts, peaks_charts, plane_charts
from core.charts.speed_torque_chart import TITLE as PLANE_TITLE
from core.results import CandidateResult, Result

_GAP, _SIDE = 8, 17
_PLANE_HEIGHTS: Final = {2: 270, 3: 240, 4: 220}  # by the number of columns
_BARS_HEIGHT: Final = 200
UPDATING: Final = "updating"


class _Mark(QWidget):
    """The line of a candidate."""

    def __init__(self, index: int) -> None:
        super().__init__()
        self._index = index
        self.setFixedSize(24, 18)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        draw_mark(painter, self._index, QPointF(0.0, 0.5 * self.height()), self.width())
        painter.end()


class _Title(QLabel):
    """The title of a row within a column, with room for a few quiet words behind it."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self._words = words
        self.setProperty("type", "group")

    def add_words(self, words: str) -> None:
        """Say something behind the title."""
        self.setText(f"{self._words}, {words}" if words else self._words)

    def minimumSizeHint(self) -> QSize:
        return QSize(40, super().minimumSizeHint().height())


class SideColumn(QFrame):
    """One candidate. Its parts stand in the grid of all columns, over the pane that this is."""

    chosen = Signal(int)

    def __init__(
        self, index: int, count: int, selection: Selection, preferences: Preferences, parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.index = index
        self.setProperty("surface", "pane")
        self.mark, self.name, self.standing = _Mark(index), QLabel(), QLabel()
        for label in (self.name, self.standing):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.name.setWordWrap(True)
        self.name.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.name.setProperty("type", "title" if count <= 2 else "group")
        self.standing.setProperty("type", "small")
        self.standing.setWordWrap(True)
        self.standing.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.choose = QPushButton()
        self._choose_words = "choose this candidate" if count <= 2 else "choose"
        self.choose.clicked.connect(lambda: self.chosen.emit(self.index))
        of = f"of candidate {letter_of(index)}"
        self.plane = ChartPicture(f"{PLANE_TITLE} {of}", _PLANE_HEIGHTS[max(2, min(count, 4))])
        self.peaks = ChartPicture(f"{PEAKS_TITLE} {of}", _BARS_HEIGHT)
        self.losses = ChartPicture(f"{LOSSES_TITLE} {of}", _BARS_HEIGHT)
        self.margins = SideMargins(selection, preferences)
        self.margins.setAccessibleName(margins_name(index))
        self.peaks_title, self.left_out = _Title(PEAKS_TITLE), QLabel()
        self.left_out.setTextFormat(Qt.TextFormat.PlainText)
        self.left_out.setProperty("type", "small")
        self.left_out.setContentsMargins(_SIDE - 1, 4, _SIDE - 1, 0)

    def parts(self, count: int) -> list[QWidget]:
        """Return the rows of the column from top to bottom."""
        head = _row(self.mark, self.name, self.choose, gap=9)
        head.setContentsMargins(_SIDE, 12, _SIDE, 0)
        peaks, losses = _titled(self.peaks_title, self.peaks), _titled(_Title(LOSSES_TITLE), self.losses)
        if count <= 2:
            both = _row(peaks, losses)
            both.setStretch(0, 5)
            both.setStretch(1, 4)
            bars = [_widget(both, (0, 6, 0, 0))]
        else:
            bars = [_widget(_row(peaks), (0, 6, 0, 0)), _widget(_row(losses), (0, 6, 0, 0))]
        margins = QVBoxLayout()
        margins.setSpacing(0)
        margins.addWidget(_indented(_Title("Margins, the worst first"), _SIDE - 1))
        margins.addWidget(self.margins)
        margins.addWidget(self.left_out)
        margins.addStretch(1)
        return [
            _widget(head),
            _indented(self.standing),
            _titled(_Title(PLANE_TITLE), self.plane),
            *bars,
            _widget(margins, (1, 6, 1, 0)),
        ]

    def show_candidate(self, candidate: CandidateResult, is_chosen: bool) -> None:
        """Show who it is and how it stands."""
        self.name.setText(f"{letter_of(self.index)}  {candidate.name}")
        self.standing.setText(summary(candidate))
        self.choose.setText("chosen" if is_chosen else self._choose_words)
        self.choose.setEnabled(not is_chosen)
        self.choose.setAccessibleName(
            f"Candidate {letter_of(self.index)} is chosen" if is_chosen else f"Choose {self.name.text()}"
        )


class SideColumns(QWidget):
    """All columns on one grid, so that what can be compared stands in one row."""

    chosen = Signal(int)

    def __init__(self, selection: Selection, preferences: Preferences, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._selection, self._preferences = selection, preferences
        self.columns: list[SideColumn] = []
        self._result: Result | None = None
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(_GAP)
        self._grid.setVerticalSpacing(4)
        self.cautions = SideCautions()
        selection.changed.connect(self.mark_segment)
        self._level_soon = QTimer(self)
        self._level_soon.setSingleShot(True)
        self._level_soon.setInterval(0)
        self._level_soon.timeout.connect(self._level)

    def _level(self) -> None:
        """Give the margins of all columns rows of the same height."""
        heights = [column.margins.own_heights() for column in self.columns]
        highest = [max(row) for row in zip(*heights, strict=True)]
        for column in self.columns:
            column.margins.level(highest)

    def show_result(self, result: Result) -> None:
        """Show everything that is there at once; the temperatures wait for their band."""
        self._result = result
        shown = shown_candidates(result)
        if [column.index for column in self.columns] != [one.index for one in shown]:
            self._build([one.index for one in shown])
        units, tokens = self._preferences.display_units, self._preferences.tokens
        entries, left_out = worst_entries(result, units)
        losses = losses_charts(result, units)
        for column, one, own, chart in zip(self.columns, shown, entries, losses, strict=True):
            column.show_candidate(one, one.index == result.chosen)
            column.losses.show_chart(chart, tokens)
            column.margins.show_entries(own, self._preferences)
            column.left_out.setText(left_out)
            column.peaks_title.add_words(UPDATING)
        self._level()
        self.mark_segment()
        self.cautions.show_candidates(shown, units, tokens)

    def show_peaks(self, result: Result) -> None:
        """Show the temperatures with their band, which is there now."""
        charts = peaks_charts(result, self._preferences.display_units)
        for column, chart in zip(self.columns, charts, strict=True):
            column.peaks.show_chart(chart, self._preferences.tokens)
            column.peaks_title.add_words("")

    def mark_segment(self) -> None:
        """Draw the planes with the point of the selected segment heavier; hidden ones when they are shown."""
        if self._result is None or not self.isVisible():
            return
        charts = plane_charts(self._result, self._preferences.display_units, self._selection.segment)
        for column, chart in zip(self.columns, charts, strict=True):
            column.plane.show_chart(chart, self._preferences.tokens)

    def _build(self, indices: Sequence[int]) -> None:
        """Make the columns anew for other candidates."""
        self.columns = []
        while (item := self._grid.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None and widget is not self.cautions:
                widget.hide()
                widget.deleteLater()
        for place in range(self._grid.columnCount()):  # a grid never forgets how many it had
            self._grid.setColumnStretch(place, 0)
        for place, index in enumerate(indices):
            column = SideColumn(index, len(indices), self._selection, self._preferences, self)
            column.chosen.connect(self.chosen)
            column.margins.resized.connect(self._level_soon.start)
            parts = column.parts(len(indices))
            self._grid.addWidget(column, 0, place, len(parts) + 1, 1)
            for row, part in enumerate(parts):
                self._grid.addWidget(part, row, place)
            self._grid.setColumnStretch(place, 1)
            self.columns.append(column)
        self._grid.addWidget(self.cautions, len(parts), 0, 1, len(indices))


def _widget(layout: QHBoxLayout | QVBoxLayout, margins: tuple[int, int, int, int] | None = None) -> QWidget:
    widget = QWidget()
    widget.setLayout(layout)
    if margins is not None:
        layout.setContentsMargins(*margins)
    widget.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
    return widget


def _row(*widgets: QWidget, gap: int = 0) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(gap)
    for widget in widgets:
        row.addWidget(widget, 0 if isinstance(widget, _Mark | QPushButton) else 1)
    return row


def _indented(label: QLabel, side: int = _SIDE) -> QLabel:
    label.setContentsMargins(side, 0, side, 0)
    label.setSizePolicy(QSizePolicy.Policy.Ignored, label.sizePolicy().verticalPolicy())
    return label


def _titled(title: QLabel, picture: ChartPicture) -> QWidget:
    """Return a chart below its title."""
    column = QVBoxLayout()
    column.setSpacing(4)
    column.addWidget(title)
    column.addWidget(picture)
    return _widget(column, (_SIDE, 6, _SIDE, 0))
