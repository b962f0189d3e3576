"""What stands on the Shortlist page and where; what it does is in the page."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QProgressBar,
    QPushButton,
    QScrollArea,
    QSplitter,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.preferences import Preferences
from app.table_models.shortlist_model import (
    CANDIDATE,
    CONDITION,
    HEADINGS,
    MARGIN,
    PARETO,
    RANK,
    REASON,
    STATUS,
    ShortlistModel,
)
from app.views.shortlist_conditions import ConditionsPanel
from app.views.shortlist_filters import BoundsPanel, FilterRow
from app.views.shortlist_grid import ShortlistGrid
from app.views.shortlist_scatter import ShortlistScatter
from core.shortlist.choices import Choices

_GAP: Final = 8
_ROW: Final = 24  # px
_WIDTHS: Final = {RANK: 66, PARETO: 66, STATUS: 92, MARGIN: 104, REASON: 180, CONDITION: 150, CANDIDATE: 370}
_OBJECTIVE: Final = 82  # px
_SIDE: Final = 400  # px, what is beside the table


class ShortlistParts:
    """Makes the widgets of the page and lays them out."""

    def __init__(self, preferences: Preferences, page: QWidget) -> None:
        self.seek, self.stop = QPushButton("Find candidates"), QPushButton("Stop")
        self.take, self.compare = QPushButton("Add to the candidates"), QPushButton("Compare side by side")
        self.everyone, self.free = QPushButton("List all"), QPushButton("Turns or ratio…")
        self.free.setToolTip("What the best of the list would be with turns or a ratio of one's own")
        self.bounds_shown, self.conditions_shown = QPushButton("Bounds"), QPushButton("Conditions")
        self.words, self.count, self.reason = QLabel(), QLabel(), QLabel()
        for label in (self.words, self.count, self.reason):
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.count.setProperty("type", "soft")
        self.reason.setWordWrap(True)
        self.reason.setProperty("type", "small")
        self.bar = QProgressBar()
        self.bar.setAccessibleName("Share of the candidates that is evaluated")
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.variant = QComboBox()
        self.variant.setAccessibleName("Variant in the grid")
        self.variant.setMinimumWidth(110)
        self.filters = FilterRow()
        self.bounds, self.conditions = BoundsPanel(preferences), ConditionsPanel(preferences)
        self.grid, self.scatter = ShortlistGrid(preferences), ShortlistScatter(preferences)
        self.model = ShortlistModel(preferences, page)
        self.table = _table(self.model)
        self.side = self._side()
        self._lay_out(page)

    def show_words(self, words: str, is_caution: bool) -> None:
        """Say how the list stands."""
        self.words.setText(words)
        kind = "caution" if is_caution else ""
        if self.words.property("type") != kind:
            self.words.setProperty("type", kind)
            self.words.style().unpolish(self.words)
            self.words.style().polish(self.words)

    def show_count(self, passing: int, known: int | None) -> None:
        """Say how many are listed."""
        cell = self.grid.chosen_words()
        where = f" of {cell}" if cell else ""
        self.count.setText("" if known is None else f"{passing} listed{where}")
        for field in (self.variant, self.filters):
            field.setEnabled(known is not None)
        self.everyone.setEnabled(known is not None and passing < known)

    def show_variants(self, choices: Choices) -> None:
        """Offer the variants that there are; the one looked at stays where it is among them."""
        variants = list(dict.fromkeys(block.variant for block in choices.blocks))
        chosen = self.variant.currentText()
        self.variant.blockSignals(True)
        self.variant.clear()
        self.variant.addItems(variants)
        self.variant.setCurrentIndex(max(0, self.variant.findText(chosen)))
        self.variant.blockSignals(False)

    def _side(self) -> QWidget:
        """Return the pane beside the table, with what is asked for in it."""
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(_GAP, _GAP, _GAP + 8, _GAP)
        for button, panel, words in (
            (self.conditions_shown, self.conditions, "Conditions: the worst counts"),
            (self.bounds_shown, self.bounds, "Bounds"),
        ):
            head = QLabel(words)
            head.setProperty("type", "group")
            button.setCheckable(True)
            button.setFlat(True)  # so that it is seen which are open
            for part in (head, panel):
                part.setVisible(False)
                button.toggled.connect(part.setVisible)
                column.addWidget(part)
            button.toggled.connect(self._show_side)
        column.addStretch(1)
        scroller = QScrollArea()
        scroller.setWidgetResizable(True)
        scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroller.setWidget(inside)
        frame = QFrame()
        frame.setProperty("surface", "pane")
        holder = QVBoxLayout(frame)
        holder.setContentsMargins(1, 1, 1, 1)
        holder.addWidget(scroller)
        frame.setMinimumWidth(_SIDE)
        frame.hide()
        return frame

    def _show_side(self) -> None:
        self.side.setVisible(self.bounds_shown.isChecked() or self.conditions_shown.isChecked())

    def _lay_out(self, page: QWidget) -> None:
        head, middle, foot, actions = QHBoxLayout(), QHBoxLayout(), QHBoxLayout(), QHBoxLayout()
        for button in (self.seek, self.stop):
            head.addWidget(button)
        head.addWidget(self.words, 1)
        head.addWidget(self.conditions_shown)
        middle.addWidget(self.variant)
        middle.addWidget(self.filters, 1)
        for button in (self.bounds_shown, self.everyone):
            middle.addWidget(button)
        for button in (self.take, self.compare, self.free):
            actions.addWidget(button)
        foot.addLayout(actions)
        foot.addWidget(self.reason, 1)
        foot.addWidget(self.count)
        above, below = QSplitter(Qt.Orientation.Horizontal), QSplitter(Qt.Orientation.Horizontal)
        for splitter, parts, sizes in (
            (above, (self.grid, self.scatter), [760, 480]),
            (below, (self.table, self.side), [900, _SIDE]),
        ):
            for part in parts:
                splitter.addWidget(part)
            splitter.setSizes(sizes)
            splitter.setStretchFactor(0, 1)
            splitter.setChildrenCollapsible(False)
        both = QSplitter(Qt.Orientation.Vertical)
        both.addWidget(above)
        both.addWidget(below)
        both.setSizes([270, 430])
        both.setChildrenCollapsible(False)
        column = QVBoxLayout(page)
        column.setContentsMargins(_GAP + 2, _GAP, _GAP + 2, _GAP + 2)
        column.setSpacing(_GAP)
        for row in (head, middle):
            column.addLayout(row)
        column.addWidget(self.bar)
        column.addWidget(both, 1)
        column.addLayout(foot)


def _table(model: ShortlistModel) -> QTableView:
    table = QTableView()
    table.setAccessibleName("Candidates")
    table.setModel(model)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    # the headings show no selection; with that of the rows each would look through all of them when painted
    table.horizontalHeader().setSelectionModel(QItemSelectionModel(model, table))
    table.setSortingEnabled(True)
    table.sortByColumn(RANK, Qt.SortOrder.AscendingOrder)
    table.verticalHeader().hide()
    table.verticalHeader().setDefaultSectionSize(_ROW)
    table.horizontalHeader().setHighlightSections(False)
    table.setTabKeyNavigation(False)
    table.setWordWrap(False)
    table.horizontalHeader().setStretchLastSection(True)
    table.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    for column in range(len(HEADINGS)):
        table.setColumnWidth(column, _WIDTHS.get(column, _OBJECTIVE))
    table.setColumnHidden(CONDITION, True)
    table.horizontalHeader().setSectionsMovable(True)
    table.horizontalHeader().moveSection(CANDIDATE, REASON)  # what it is stands before what it comes to
    return table
