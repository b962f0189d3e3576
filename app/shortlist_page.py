"""Shortlist: every combination of the parts on the shelf against the application, found beside the window."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from threading import Event
from typing import Final

import numpy as np
from PySide6.QtCore import QModelIndex, Qt, Signal, Slot
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QProgressBar,
    QPushButton,
    QSplitter,
    QTableView,
    QVBoxLayout,
    QWidget,
)

from app.background import Background
from app.document import ProjectDocument
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.table_models.shortlist_model import HEADINGS, RANK, REASON, ShortlistModel
from app.views.shortlist_grid import ShortlistGrid
from app.views.shortlist_scatter import ShortlistScatter
from core.catalogue.designation import with_pattern
from core.charts.chart import MOST_CANDIDATES
from core.project import edits
from core.results import Result, Status
from core.sentences import as_text
from core.shortlist.choices import choices_of
from core.shortlist.chunk_result import MET, STATUSES
from core.shortlist.filters import Filter
from core.shortlist.listing import Listing, ListingInProgress
from core.shortlist.reasons import why
from core.shortlist.runner import Task, run
from core.shortlist.workers import processes

_GAP: Final = 8
_CHUNK: Final = 500  # candidates: the list grows a few times a second
_TEXT_WIDTH: Final = 240  # px: a frame, a winding and a variant
_ALL: Final = "all candidates"
_VERDICTS: Final[dict[str, tuple[Status, ...]]] = {
    _ALL: STATUSES,
    "who meet all": ("met",),
    "who may meet all": ("met", "not checked"),
    "who are out": ("missed", "excluded"),
}
_BEFORE: Final = "Nothing is evaluated yet: Find candidates tries every combination of the parts."
_TRACE: Final = "A measured trace is not searched here: ampturn shortlist does it on the command line."
_STALE: Final = "The application has changed since. Find candidates again to see what holds now."


class ShortlistPage(QWidget):
    """Grid, list and what can be done with them. The search runs in a process, so the window stays free."""

    asked = Signal(str, int)  # every page has it
    _arrived = Signal(int, object)  # number of the search and the listing so far: sent from the thread

    def __init__(
        self,
        document: ProjectDocument,
        preferences: Preferences,
        shelf: PartsShelf,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences, self._shelf = document, preferences, shelf
        self.task: Task | None = None
        self.listing: Listing | None = None
        self._result: Result | None = None
        self._search = 0
        self._background = Background()
        self._background.finished.connect(self._on_finished)
        self._background.failed.connect(self._on_failed)
        self.destroyed.connect(self._background.shut_down)
        self._arrived.connect(self._on_arrived, Qt.ConnectionType.QueuedConnection)
        self._make_controls()
        self._lay_out()
        self._connect()
        self._show_state()

    @property
    def is_searching(self) -> bool:
        """Whether more candidates are to come."""
        return self._background.is_busy

    def _make_controls(self) -> None:
        self.seek, self.stop = QPushButton("Find candidates"), QPushButton("Stop")
        self.words, self.reason = QLabel(), QLabel()
        self.bar = QProgressBar()
        self.bar.setAccessibleName("Share of the candidates that is evaluated")
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(6)
        self.variant, self.verdict, self.text = QComboBox(), QComboBox(), QLineEdit()
        self.variant.setAccessibleName("Variant in the grid")
        self.variant.setMinimumWidth(110)
        self.verdict.setAccessibleName("Which candidates are listed")
        self.verdict.addItems(list(_VERDICTS))
        self.text.setAccessibleName("Words of the candidate")
        self.text.setPlaceholderText("words of the candidate")
        self.text.setMinimumWidth(_TEXT_WIDTH)
        self.take = QPushButton("Add to the candidates")
        self.reason.setWordWrap(True)
        self.reason.setProperty("type", "small")
        self.grid, self.scatter = ShortlistGrid(self._preferences), ShortlistScatter(self._preferences)
        self.model = ShortlistModel(self._preferences, self)
        self.table = QTableView()
        self.table.setAccessibleName("Candidates")
        self.table.setModel(self.model)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSortingEnabled(True)
        self.table.sortByColumn(RANK, Qt.SortOrder.AscendingOrder)
        self.table.verticalHeader().hide()
        self.table.setTabKeyNavigation(False)
        self.table.setWordWrap(False)
        self.table.horizontalHeader().setStretchLastSection(True)
        for column in range(len(HEADINGS)):
            self.table.setColumnWidth(column, 190 if column == REASON else 76)

    def _lay_out(self) -> None:
        head, foot = QHBoxLayout(), QHBoxLayout()
        for part in (self.seek, self.stop):
            head.addWidget(part)
        head.addWidget(self.words, 1)
        for field in (self.variant, self.verdict, self.text):
            head.addWidget(field)
        foot.addWidget(self.take)
        foot.addWidget(self.reason, 1)
        both = QSplitter(Qt.Orientation.Vertical)
        above = QSplitter(Qt.Orientation.Horizontal)
        above.addWidget(self.grid)
        above.addWidget(self.scatter)
        above.setSizes([820, 420])
        both.addWidget(above)
        both.addWidget(self.table)
        both.setSizes([260, 440])
        column = QVBoxLayout(self)
        column.setContentsMargins(_GAP + 2, _GAP, _GAP + 2, _GAP + 2)
        column.setSpacing(_GAP)
        column.addLayout(head)
        column.addWidget(self.bar)
        column.addWidget(both, 1)
        column.addLayout(foot)
        self.setFocusProxy(self.table)

    def _connect(self) -> None:
        self.seek.clicked.connect(self.search)
        self.stop.clicked.connect(self.cancel)
        self.take.clicked.connect(self.add_selected)
        self.table.doubleClicked.connect(self.add_selected)
        self.table.selectionModel().selectionChanged.connect(self._show_choice)
        self.variant.currentTextChanged.connect(self._show_listing)
        self.verdict.currentTextChanged.connect(self._show_listing)
        self.text.textChanged.connect(self._show_listing)
        self.grid.picked.connect(self._on_picked)
        self.scatter.picked.connect(self._on_point)
        self._preferences.changed.connect(self._show_listing)

    # what is asked of every page -------------------------------------------------------------------------

    def show_result(self, result: Result) -> None:
        """Take note of the application: a list of another one is marked."""
        self._result = result
        self._show_state()

    def set_stale(self, stale: bool) -> None:
        """Nothing: the list does not follow the application by itself."""

    # the search ------------------------------------------------------------------------------------------

    @Slot()
    def search(self) -> None:
        """Evaluate every combination of the parts on the shelf against the application as it is now."""
        self._shelf.load()
        project, parts = self._document.project, self._shelf.parts
        if parts is None or project.application.duty_from == "trace":
            return
        self.cancel()
        application = project.application
        self.task = Task(application, choices_of([parts], application, project.chosen_candidate))
        self.listing = ListingInProgress().listing()
        variants = list(dict.fromkeys(block.variant for block in self.task.choices.blocks))
        self.variant.clear()
        self.variant.addItems(variants)
        self.bar.setRange(0, max(1, len(self.task.choices)))
        self._background.start(_searching(self.task, self._search, self._arrived.emit))
        self._show_listing()

    @Slot()
    def cancel(self) -> None:
        """Stop the search; what was found stays."""
        self._search += 1
        self._background.cancel()
        self._show_state()

    def shut_down(self) -> None:
        """Stop the search and wait until its thread and process have ended."""
        self.cancel()
        self._background.shut_down()

    @Slot(int, object)
    def _on_arrived(self, search: int, listing: object) -> None:
        if search == self._search and isinstance(listing, Listing):
            self.listing = listing
            self._show_listing()

    @Slot(object)
    def _on_finished(self, _value: object) -> None:
        self._show_state()

    @Slot(object)
    def _on_failed(self, error: object) -> None:
        self._show_state()
        self.words.setText(f"The search ended: {error}")

    # what is shown ---------------------------------------------------------------------------------------

    @Slot()
    def _show_listing(self) -> None:
        """Show grid and list of what is evaluated; who was selected stays so."""
        task, listing = self.task, self.listing
        if task is not None and listing is not None:
            wanted = Filter(frozenset(_VERDICTS[self.verdict.currentText()]), text=self.text.text())
            kept = set(self.selected())
            self.grid.show_listing(listing, task.choices, self.variant.currentText())
            passing = wanted.passes(listing, task.choices)
            self.model.show_listing(listing, task.choices, passing)
            self.scatter.show_listing(listing, passing)
            self._select(kept)
        self._show_state()

    def _select(self, numbers: set[int]) -> None:
        rows = (
            [row for row in range(self.model.rowCount()) if self.model.number(row) in numbers]
            if numbers
            else []
        )
        flags = self.table.selectionModel().SelectionFlag
        for row in rows:
            index = self.model.index(row, RANK)
            self.table.selectionModel().select(index, flags.Select | flags.Rows)

    @Slot()
    def _show_state(self) -> None:
        task, listing, project = self.task, self.listing, self._document.project
        from_trace = project.application.duty_from == "trace"
        self.seek.setEnabled(not from_trace)
        self.stop.setEnabled(self.is_searching)
        self.bar.setValue(0 if listing is None else len(listing))
        if task is None or listing is None:
            self.words.setText(_TRACE if from_trace else _BEFORE)
        elif project.application != task.application:
            self.words.setText(_STALE)
        else:
            met = int(np.count_nonzero(listing.verdict == MET))
            done = f"{len(listing)} of {len(task.choices)} candidates"
            self.words.setText(f"{done}, {met} meet every requirement")
        self._show_choice()

    @Slot()
    def _show_choice(self) -> None:
        """Say why the selected candidate stands where it does, and whether it can be added."""
        numbers, room = self.selected(), MOST_CANDIDATES - len(self._document.project.candidates)
        self.take.setEnabled(0 < len(numbers) <= room)
        self.scatter.mark(numbers)
        if not numbers or self.listing is None:
            self.reason.setText("Select candidates to add them to the project.")
        elif len(numbers) > room:
            self.reason.setText(
                f"At most {MOST_CANDIDATES} candidates fit side by side; there is room for {room}."
            )
        else:
            units = self._preferences.display_units
            self.reason.setText("  ".join(as_text(why(self.listing, number), units) for number in numbers))

    def selected(self) -> list[int]:
        """Return the numbers of the selected candidates, in the order of the rows."""
        rows = sorted(index.row() for index in self.table.selectionModel().selectedRows(RANK))
        return [self.model.number(row) for row in rows if row < self.model.rowCount()]

    @Slot(int)
    def _on_point(self, number: int) -> None:
        """Select the candidate of a point, and bring its row into sight."""
        self.table.clearSelection()
        self._select({number})
        rows = self.table.selectionModel().selectedRows(RANK)
        if rows:
            self.table.scrollTo(rows[0])

    @Slot(str, str)
    def _on_picked(self, frame: str, winding: str) -> None:
        """List only the candidates of a cell, or all again."""
        words = f"{frame} {winding} {self.variant.currentText()}" if frame else ""
        self.text.setText(words)

    @Slot()
    @Slot(QModelIndex)
    def add_selected(self, _index: QModelIndex | None = None) -> None:
        """Make the selected combinations candidates of the project, in one undo step."""
        numbers = self.selected()
        if self.task is None or not numbers or not self.take.isEnabled():
            return
        project = self._document.project
        for number in numbers:
            candidate = with_pattern(self.task.choices.candidate(number), self._shelf.files)
            project = edits.add_candidate(project, candidate)
        text = (
            "Add a candidate of the shortlist"
            if len(numbers) == 1
            else f"Add {len(numbers)} of the shortlist"
        )
        self._document.edit(project, text)
        self._show_choice()


def _searching(
    task: Task, search: int, arrived: Callable[[int, object], object]
) -> Callable[[Callable[[float], None], Event], object]:
    """Return the job of the thread: chunks come from a process, each listing so far goes to the window."""

    def job(_tell: Callable[[float], None], stop: Event) -> object:
        found = ListingInProgress()
        with closing(run(task, processes(1), chunk=_CHUNK, cancel=stop)) as results:
            for _, result in results:
                found.add(result)
                arrived(search, found.listing())
        return len(found.listing())

    return job
