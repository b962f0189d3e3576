"""The margins panel: every criterion of every candidate, the worst first, each opening to its equation."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from PySide6.QtCore import QEvent, QModelIndex, QPersistentModelIndex, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHBoxLayout, QLabel, QListView, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.table_models.margin_list import SAME_ROOM, MarginList
from app.views.margin_details import MarginDetails
from app.views.margin_row import MarginRowDelegate
from app.widgets.steady_label import SteadyLabel
from core.charts.display_axis import letter
from core.results import CandidateResult, Result

Index = QModelIndex | QPersistentModelIndex
_TEXT_PACE: Final = 66  # ms; running text is renewed 15 times a second while something is dragged
_OPENING_KEYS: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class RowList(QListView):
    """A list whose lines open by click, Enter or Space; Escape lets go."""

    opened = Signal(QModelIndex)
    moved = Signal(QModelIndex)  # by a key; that the list gets the focus alone selects nothing
    escaped = Signal()
    row_hovered = Signal(QModelIndex)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setMouseTracking(True)
        self.clicked.connect(self.opened)
        self.entered.connect(self.row_hovered)

    def dataChanged(self, first: Index, last: Index, roles: Sequence[int] = ()) -> None:
        """Paint a line that keeps its height where it stands; Qt would lay out and paint the whole list."""
        if first == last and list(roles) == SAME_ROOM:
            self.update(first)
        else:
            super().dataChanged(first, last, roles)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _OPENING_KEYS and self.currentIndex().isValid():
            self.opened.emit(self.currentIndex())
        elif event.key() == Qt.Key.Key_Escape:
            self.escaped.emit()
        else:
            before = self.currentIndex()
            super().keyPressEvent(event)
            if self.currentIndex() != before:
                self.moved.emit(self.currentIndex())

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.row_hovered.emit(QModelIndex())


class MarginsPanel(QFrame):
    """Margins of all candidates. The order is by margin minus target and holds still during a drag."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setProperty("surface", "pane")
        self._document, self._selection, self._preferences = document, selection, preferences
        self._result: Result | None = None
        self.model = MarginList(self)
        self.list = RowList()
        self.list.setModel(self.model)
        self.list.setAccessibleName("Margins, the smallest above its target first")
        self.delegate = MarginRowDelegate(preferences.tokens, self)
        self.list.setItemDelegate(self.delegate)
        self.details = MarginDetails(self)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_TEXT_PACE)
        self._soon.timeout.connect(self._show_texts)
        self._lay_out()
        self.list.opened.connect(self._open)
        self.list.escaped.connect(lambda: selection.select_segment(None))
        self.list.row_hovered.connect(self._hover)
        self.list.moved.connect(self._move_to)
        selection.changed.connect(self._follow_selection)
        preferences.changed.connect(self.restyle)

    def _lay_out(self) -> None:
        title = QLabel("Margins")
        title.setProperty("type", "group")
        legend = QLabel("margin, tick = target")
        legend.setProperty("type", "soft")
        head = QHBoxLayout()
        head.setContentsMargins(16, 10, 16, 2)
        head.addWidget(title)
        head.addStretch(1)
        head.addWidget(legend)
        self.summary = SteadyLabel()
        self.summary.setProperty("type", "small")
        self.summary.setContentsMargins(16, 0, 16, 6)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 1, 1, 1)  # inside the hairline
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(self.summary)
        column.addWidget(self.list, 1)
        self.rule = QFrame()
        self.rule.setProperty("surface", "pane")
        self.rule.setFixedHeight(1)
        column.addWidget(self.rule)
        column.addWidget(self.details)
        self.setFocusProxy(self.list)

    def show_result(self, result: Result) -> None:
        """Show new margins; within a gesture the lines stay where they are."""
        self._result = result
        moved = self.model.show_result(result, self._preferences.display_units, self._document.in_gesture)
        if moved:
            self._follow_selection()
        if not self._document.in_gesture:
            self._soon.stop()
            self._show_texts()
        elif not self._soon.isActive():
            self._soon.start()

    def restyle(self) -> None:
        """Take over units and colours."""
        self.delegate.restyle(self._preferences.tokens)
        if self._result is not None:
            self.show_result(self._result)
        self.list.doItemsLayout()

    def _show_texts(self) -> None:
        if self._result is not None:
            self.summary.hold(self._document.in_gesture)
            lines = [summary(candidate) for candidate in self._result.candidates]
            self.summary.setText("\n".join(lines) or "There is no candidate to check.")
        self.setProperty("helps", self._selection.criterion or "")
        row = self.model.row(self._selection.criterion)
        self.details.show_row(row, self._result, self._preferences.display_units, self._preferences.tokens)
        self.rule.setVisible(self.details.isVisibleTo(self))

    def _open(self, index: Index) -> None:
        """Open a criterion, or open and fold what a line stands for."""
        entry = self.model.entry(index)
        if entry is None:
            return
        if entry.kind == "fold":
            self.model.toggle(entry.key)
            self.list.setCurrentIndex(self.model.index_of(entry.key))
            self._mark()
        else:
            self._move_to(index)

    def _move_to(self, index: Index) -> None:
        """Select the criterion that the cursor came to."""
        entry = self.model.entry(index)
        if entry is not None and self.model.row(entry.key) is not None:
            self._selection.select_criterion(entry.key, entry.segment)

    def _hover(self, index: Index) -> None:
        entry = self.model.entry(index)
        self._selection.hover_segment(entry.segment if entry is not None else None)

    def _follow_selection(self) -> None:
        criterion = self._selection.criterion
        if criterion is not None:
            self.model.unfold(criterion)
            index = self.model.index_of(criterion)
            if index.isValid() and index != self.list.currentIndex():
                self.list.setCurrentIndex(index)
        self._mark()
        self._show_texts()
        if self.details.isVisible():  # it takes room from the list: keep the line in sight
            QTimer.singleShot(0, self, lambda: self.list.scrollTo(self.list.currentIndex()))

    def _mark(self) -> None:
        """Mark the line of the selected criterion, which need not be where the cursor is."""
        index = self.model.index_of(self._selection.criterion or "")
        model = self.list.selectionModel()
        if index.isValid():
            model.select(index, model.SelectionFlag.ClearAndSelect)
        else:
            model.clearSelection()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.details.isVisible():
            self.details.fit()


def summary(candidate: CandidateResult) -> str:
    """Return in one line how a candidate stands and what governs it."""
    who = letter(candidate.index)
    excluded = [margin.label for margin in candidate.margins if margin.status == "excluded"]
    if excluded:
        return f"{who} is excluded: {', '.join(excluded)}"
    missed = sum(margin.status == "missed" for margin in candidate.margins)
    checked = sum(margin.status in ("met", "missed") for margin in candidate.margins)
    if not checked:
        return f"{who}: nothing could be checked yet"
    unchecked = len(candidate.margins) - checked
    standing = f"misses {missed} of {checked}" if missed else f"meets {'' if unchecked else 'all '}{checked}"
    standing += f", {unchecked} not checked" if unchecked else ""
    governing = f"; {candidate.governing.label} governs" if candidate.governing else ""
    return f"{who} {standing}{governing}"


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(MarginsPanel)
