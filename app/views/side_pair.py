"""The two that are compared: which they are, the verdict, their torque over speed, and every difference."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QComboBox, QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.plain_tip import plain_tip
from app.preferences import Preferences
from app.views.side_chart import ChartPicture
from app.views.side_table import DifferenceTable
from app.widgets.candidate_mark import letter_of
from core.charts.comparison_charts import (
    RATIO_TITLE,
    TORQUE_TITLE,
    continuous_torque_chart,
    torque_ratio_chart,
)
from core.charts.speed_torque_chart import headline
from core.evaluation.comparison import Comparison
from core.notices import CLOSING
from core.results import Result

_SIDE: Final = 17
_CHART_HEIGHT: Final = 270
_WIDEST: Final = 230
UPDATING: Final = "updating …"

Pair = tuple[int, int]


class PairChoice(QWidget):
    """Two fields that say which two are compared; choosing the other one's candidate exchanges both."""

    chosen = Signal(int, int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.pair: Pair = (0, 1)
        self.fields = (QComboBox(), QComboBox())
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(6)
        names = ("First of the two compared", "Second of the two compared")
        for words, field, name in zip(("compare", "with"), self.fields, names, strict=True):
            label = QLabel(words)
            label.setProperty("type", "soft")
            label.setBuddy(field)
            field.setAccessibleName(name)
            row.addWidget(label)
            row.addWidget(field)
        self.fields[0].activated.connect(lambda index: self._take(index, self.pair[1], 0))
        self.fields[1].activated.connect(lambda index: self._take(self.pair[0], index, 1))

    def show_pair(self, pair: Pair, names: Sequence[str]) -> None:
        """Show which two of these are compared."""
        self.pair = pair
        words = [f"{letter_of(index)}  {name}" for index, name in enumerate(names)]
        for field, index in zip(self.fields, pair, strict=True):
            if [field.itemText(k) for k in range(field.count())] != words:
                field.clear()
                field.addItems(words)
                metrics = QFontMetrics(field.font())
                wide = max((metrics.horizontalAdvance(text) for text in words), default=0) + 40
                field.setFixedWidth(min(wide, _WIDEST))
            field.setCurrentIndex(index)
            field.setToolTip(plain_tip(words[index]))

    def _take(self, first: int, second: int, moved: int) -> None:
        if first == second:  # the other field takes what this one had
            first, second = (first, self.pair[0]) if moved == 0 else (self.pair[1], second)
        self.chosen.emit(first, second)


class VerdictStrip(QFrame):
    """Who is ahead, why and by how much, in one sentence; below it what all of it holds for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("surface", "pane")
        self.verdict, self.conditions, self.choice = QLabel(), QLabel(), PairChoice()
        for label in (self.verdict, self.conditions):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.verdict.setProperty("type", "group")
        self.verdict.setWordWrap(True)
        self.verdict.setAccessibleName("Verdict")
        self.conditions.setProperty("type", "small")
        self.conditions.setWordWrap(True)
        foot = QHBoxLayout()
        foot.setSpacing(16)
        foot.addWidget(self.conditions, 1)
        foot.addWidget(self.choice)
        column = QVBoxLayout(self)
        column.setContentsMargins(_SIDE, 10, _SIDE, 8)
        column.setSpacing(6)
        column.addWidget(self.verdict)
        column.addLayout(foot)

    def show_conditions(self, result: Result, pair: Pair, preferences: Preferences) -> None:
        """Show what all of the page holds for, and which two are compared."""
        self.conditions.setText(f"All {headline(result, preferences.display_units)}")
        self.choice.show_pair(pair, [one.name for one in result.candidates])

    def show_updating(self) -> None:
        """Say that the verdict is being worked out."""
        self.verdict.setText(UPDATING)

    def show_comparison(self, found: Comparison, preferences: Preferences) -> None:
        """Show the verdict."""
        self.verdict.setText(found.verdict.text(preferences.display_units))
        self.verdict.setAccessibleDescription(self.verdict.text())


class PairSection(QFrame):
    """Ratio and torques over speed with the band, where they cross in words, and the difference table."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("surface", "pane")
        self.title, self.crossing = QLabel(), QLabel()
        for label in (self.title, self.crossing):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.title.setProperty("type", "title")
        self.crossing.setWordWrap(True)
        self.crossing.setAccessibleName("Where they cross")
        self.ratio = ChartPicture(RATIO_TITLE, _CHART_HEIGHT)
        self.torques = ChartPicture(TORQUE_TITLE, _CHART_HEIGHT)
        self.table = DifferenceTable()
        self.copy = QPushButton("copy table")
        self.copy.setProperty("flat", "true")
        self.copy.setToolTip("Put the table on the clipboard, with tabs between its cells: Ctrl+C")
        self.copy.clicked.connect(self.table.copy_all)
        self._lay_out()

    def _lay_out(self) -> None:
        charts = QHBoxLayout()
        charts.setSpacing(2 * _SIDE)
        for words, picture in ((RATIO_TITLE, self.ratio), (TORQUE_TITLE, self.torques)):
            title = QLabel(words)
            title.setProperty("type", "group")
            chart = QVBoxLayout()
            chart.setSpacing(4)
            chart.addWidget(title)
            chart.addWidget(picture)
            charts.addLayout(chart, 1)
        differences = QLabel("Differences")
        differences.setProperty("type", "group")
        head = QHBoxLayout()
        head.addWidget(differences, 1)
        head.addWidget(self.copy)
        column = QVBoxLayout(self)
        column.setContentsMargins(_SIDE, 12, _SIDE, 12)
        column.setSpacing(8)
        column.addWidget(self.title)
        column.addWidget(self.crossing)
        column.addLayout(charts)
        column.addLayout(head)
        column.addWidget(self.table)
        closing = QLabel(CLOSING)
        closing.setProperty("type", "small")
        column.addWidget(closing)

    def show_updating(self, pair: Pair) -> None:
        """Say that what is shown belongs to an earlier state."""
        self.title.setText(f"{_against(pair)}, {UPDATING}")

    def show_comparison(self, result: Result, found: Comparison, preferences: Preferences) -> None:
        """Show two candidates of a result."""
        units, tokens = preferences.display_units, preferences.tokens
        first, second = found.first, found.second
        self.title.setText(_against((first, second)))
        self.crossing.setText(found.crossing.text(units))
        self.crossing.setAccessibleDescription(self.crossing.text())
        self.ratio.show_chart(torque_ratio_chart(result, first, second, units), tokens)
        self.torques.show_chart(continuous_torque_chart(result, first, second, units), tokens)
        names = [result.candidates[index].name for index in found.table.indices]
        self.table.show_table(found.table, names, units, tokens)


def _against(pair: Pair) -> str:
    return f"{letter_of(pair[0])} against {letter_of(pair[1])}"
