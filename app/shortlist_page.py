"""Shortlist: every combination of the parts on the shelf against the application, found beside the window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Final

import numpy as np
from PySide6.QtCore import QItemSelection, QItemSelectionModel, QModelIndex, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QWidget

from app.document import ProjectDocument
from app.parts_shelf import PartsShelf
from app.preferences import Preferences
from app.shortlist_search import Basis, Found, ShortlistSearch, basis_of
from app.table_models.shortlist_model import CONDITION, RANK
from app.views.shortlist_parts import ShortlistParts
from core.charts.chart import MOST_CANDIDATES
from core.errors import AmpturnError
from core.numeric import BoolArray
from core.project import edits
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import Result
from core.sentences import as_text
from core.shortlist.chunk_result import MET
from core.shortlist.reasons import why
from core.shortlist.studies import Condition

if TYPE_CHECKING:
    from app.shortlist_free_search import Ground
    from app.views.shortlist_free import ShortlistFree
    from core.trace_import import ImportedTrace

_BEFORE: Final = "Nothing is evaluated yet: Find candidates tries every combination of the parts."
_NO_TRACE: Final = "The duty comes from a measured trace, which is not there: see the message above."
_STALE: Final = "Out of date: {what} changed since. Find candidates again to see what holds now."
_MOST_REASONS: Final = 3  # candidates whose reasons are told together


class ShortlistPage(QWidget):
    """Grid, points, list and what can be done with them. The search runs in a process beside the window."""

    asked = Signal(str, int)  # every page has it

    def __init__(
        self,
        document: ProjectDocument,
        preferences: Preferences,
        shelf: PartsShelf,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._preferences, self._shelf = document, preferences, shelf
        self.measured: Callable[[Project], ImportedTrace | None] = lambda _project: None
        self.found: Found | None = None
        self._basis: Basis | None = None  # of what is on show
        self._conditions: tuple[Condition, ...] = ()
        self._passing: BoolArray = np.zeros(0, dtype=bool)
        self._failure = ""
        self.free: ShortlistFree | None = None  # made when it is first asked for
        self.run = ShortlistSearch()
        self.parts = ShortlistParts(preferences, self)
        self.model, self.table = self.parts.model, self.parts.table
        self.setFocusProxy(self.table)
        self._connect()
        self._show_state()

    @property
    def is_searching(self) -> bool:
        """Whether more candidates are to come."""
        return self.run.is_running

    @property
    def is_at_work(self) -> bool:
        """Whether anything is being sought beside the window."""
        return self.is_searching or (self.free is not None and self.free.run.is_running)

    def _connect(self) -> None:
        parts = self.parts
        self.run.arrived.connect(self._on_arrived)
        self.run.ended.connect(self._on_ended)
        parts.seek.clicked.connect(self.search)
        parts.stop.clicked.connect(self.cancel)
        parts.take.clicked.connect(self.add_selected)
        parts.compare.clicked.connect(self.compare_selected)
        parts.everyone.clicked.connect(self.list_everyone)
        parts.free.clicked.connect(self.seek_own)
        self.table.activated.connect(self.add_selected)
        self.table.selectionModel().selectionChanged.connect(self._show_choice)
        parts.variant.currentTextChanged.connect(self._on_variant)
        for part in (parts.filters, parts.bounds):
            part.changed.connect(self._show_listing)
        parts.conditions.changed.connect(self._show_state)
        parts.grid.picked.connect(self._show_listing)
        parts.scatter.picked.connect(self._on_point)
        parts.scatter.best_changed.connect(self._on_best)
        self._preferences.changed.connect(self._show_listing)
        self._shelf.changed.connect(self._on_changed)
        self._document.changed.connect(self._on_changed)

    # what is asked of every page -------------------------------------------------------------------------

    def show_result(self, result: Result) -> None:
        """Take note of another state of the project: a list of another one is marked."""
        self._on_changed()

    def set_stale(self, stale: bool) -> None:
        """Nothing: the list does not follow the application by itself."""

    # the search ------------------------------------------------------------------------------------------

    @Slot()
    def search(self) -> None:
        """Evaluate every combination of the parts on the shelf against the application as it is now."""
        self._shelf.load()
        basis, conditions = self._wanted(), self._wanted_conditions()
        if basis is None or conditions is None:
            return
        self._basis, self._conditions, self._failure = basis, conditions, ""
        self.found = None
        self.table.clearSelection()
        self.parts.grid.clearSelection()
        self.table.setColumnHidden(CONDITION, len(conditions) < 2)
        self.run.start(basis, conditions)
        self._show_state()

    @Slot()
    def cancel(self) -> None:
        """Stop the search; what was found stays."""
        self.run.cancel()
        self._show_state()

    def shut_down(self) -> None:
        """Stop every search and wait until its thread and process have ended."""
        self.run.shut_down()
        if self.free is not None:
            self.free.shut_down()

    def _wanted(self) -> Basis | None:
        """Return what a search would be for now, None where one cannot be made."""
        project, parts = self._document.project, self._shelf.parts
        measured = self.measured(project)
        if parts is None or (project.application.duty_from == "trace" and measured is None):
            return None
        return basis_of(project, parts, measured)

    def _wanted_conditions(self) -> tuple[Condition, ...] | None:
        try:
            return self.parts.conditions.conditions(self._document.project.application)
        except AmpturnError:
            return None  # the panel says so

    @Slot(object)
    def _on_arrived(self, found: object) -> None:
        if not isinstance(found, Found):
            return
        first = self.found is None
        self.found = found
        if first:
            self.parts.show_variants(found.choices)
        words = [as_text(one.words, self._preferences.display_units) for one in found.conditions]
        self.model.show_conditions(found.condition, words if len(words) > 1 else ())
        self.parts.filters.show_reasons(found.listing)
        self._show_listing()

    @Slot(str)
    def _on_ended(self, failure: str) -> None:
        self._failure = failure
        self._show_state()

    # what is shown ---------------------------------------------------------------------------------------

    @Slot()
    def _on_variant(self) -> None:
        self.parts.grid.clearSelection()
        self._show_listing()

    @Slot()
    def _show_listing(self) -> None:
        """Show grid, points and list of what is evaluated; the selection and the place in it stay."""
        found, parts = self.found, self.parts
        if found is not None:
            kept, place = self.selected(), self.table.verticalScrollBar().value()
            parts.grid.show_listing(found.listing, found.choices, parts.variant.currentText(), found.rank)
            passing = parts.filters.wanted(parts.bounds.bounds()).passes(found.listing, found.choices)
            cell = parts.grid.chosen()
            if cell is not None:
                numbers = np.arange(len(passing))
                passing &= (numbers >= cell.first) & (numbers < cell.stop)
            self._passing = passing
            parts.scatter.show_listing(found.listing, passing)
            self.model.show_listing(found.listing, found.choices, passing, found.rank, parts.scatter.best)
            self._select(kept)
            self.table.verticalScrollBar().setValue(place)
        self._show_state()

    @Slot()
    def _on_best(self) -> None:
        self.model.mark_best(self.parts.scatter.best)

    def _select(self, numbers: list[int]) -> None:
        """Select candidates in the list, in one step."""
        if not numbers:
            return
        selection = QItemSelection()
        for row in self.model.rows_of(numbers):
            index = self.model.index(row, RANK)
            selection.select(index, index)
        flags = QItemSelectionModel.SelectionFlag
        self.table.selectionModel().select(selection, flags.ClearAndSelect | flags.Rows)

    @Slot()
    def _on_changed(self) -> None:
        """Mark a list that is out of date; a page that is hidden does so when it is shown."""
        if self.isVisible() or (self.free is not None and self.free.isVisible()):
            self._show_state()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._show_state()

    @Slot()
    def _show_state(self) -> None:
        from_trace = self._document.project.application.duty_from == "trace"
        no_trace = from_trace and self.measured(self._document.project) is None
        conditions = self._wanted_conditions()
        self.parts.seek.setEnabled(not no_trace and conditions is not None)
        self.parts.stop.setEnabled(self.is_searching)
        stale = "" if self._basis is None else self._what_changed(self._basis, self._conditions)
        self.parts.show_words(self._words(no_trace, stale), bool(stale or self._failure))
        found = self.found
        self.parts.bar.setRange(0, max(1, 1 if found is None else found.wanted))
        self.parts.bar.setValue(0 if found is None else found.done)
        self.parts.bar.setVisible(self.is_searching)
        self.parts.show_count(int(self._passing.sum()), None if found is None else len(found.listing))
        self._show_choice()

    def _words(self, no_trace: bool, stale: str) -> str:
        found = self.found
        if self._failure:
            return f"The search ended: {self._failure}"
        if stale:
            return _STALE.format(what=stale)
        if found is None:
            return "Starting…" if self.is_searching else (_NO_TRACE if no_trace else _BEFORE)
        if not len(found.choices):
            return "The parts on the shelf allow no candidate for this application."
        met = int(np.count_nonzero(found.listing.verdict == MET))
        count = len(found.choices)
        under = f" under {len(found.conditions)} conditions" if len(found.conditions) > 1 else ""
        share = "" if found.done == found.wanted else f" ({100 * found.done // found.wanted} %)"
        who = f"{len(found.listing)} of {count} candidates{share}" if share else f"{count} candidates"
        return f"{who}, {met} meet every requirement{under}"

    def _what_changed(self, basis: Basis, of_list: tuple[Condition, ...]) -> str:
        """Return what differs between the list on show and one that would be made now, empty if nothing."""
        now = self._wanted()
        if now is None or basis.application != now.application:
            return "the application has"
        if basis.pattern != now.pattern:
            return "cable, choke or what else all candidates take from the chosen one has"
        if not basis.same_as(now):
            return "the parts on the shelf have"
        conditions = self._wanted_conditions()
        return "" if conditions is None or conditions == of_list else "the conditions have"

    @Slot()
    def _show_choice(self) -> None:
        """Say why the selected candidates stand where they do, and whether they can be added."""
        numbers, room = self.selected(), MOST_CANDIDATES - len(self._document.project.candidates)
        for button in (self.parts.take, self.parts.compare):
            button.setEnabled(0 < len(numbers) <= room)
        self.parts.scatter.mark(numbers)
        if not numbers or self.found is None:
            words = "" if self.found is None else "Select candidates to add them to the project."
        elif len(numbers) > room:
            words = f"At most {MOST_CANDIDATES} candidates fit side by side; there is room for {room}."
        else:
            units, listing = self._preferences.display_units, self.found.listing
            words = "\n".join(as_text(why(listing, number), units) for number in numbers[:_MOST_REASONS])
        self.parts.reason.setText(words)
        self._tell_free()

    def selected(self) -> list[int]:
        """Return the numbers of the selected candidates, in the order of the rows."""
        selection = self.table.selectionModel().selection()
        ranges = [selection.at(k) for k in range(selection.count())]  # far fewer than rows
        rows = [np.arange(one.top(), one.bottom() + 1) for one in ranges]
        return self.model.numbers(np.unique(np.concatenate(rows)) if rows else np.zeros(0, dtype=np.int64))

    @Slot(int)
    def _on_point(self, number: int) -> None:
        """Select the candidate of a point, and bring its row into sight."""
        self._select([number])
        rows = self.model.rows_of([number])
        if rows:
            index = self.model.index(rows[0], RANK)
            self.table.selectionModel().setCurrentIndex(index, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.table.scrollTo(index)

    @Slot()
    def list_everyone(self) -> None:
        """Take back all filters, bounds and the chosen cell."""
        self.parts.grid.clearSelection()
        self.parts.bounds.clear()
        self.parts.filters.clear()

    @Slot()
    @Slot(QModelIndex)
    def add_selected(self, _index: QModelIndex | None = None) -> bool:
        """Make the selected combinations candidates of the project, in one undo step; tell whether it did."""
        numbers = self.selected()
        if self.found is None or not numbers or not self.parts.take.isEnabled():
            return False
        return self._add([self.found.choices.candidate(number) for number in numbers])

    def _add(self, candidates: Sequence[Candidate]) -> bool:
        """Add candidates in one undo step; tell whether there are more of them now."""
        before = project = self._document.project
        for candidate in candidates:
            project = edits.add_candidate(project, candidate)
        one = len(candidates) == 1
        text = "Add a candidate of the shortlist" if one else f"Add {len(candidates)} of the shortlist"
        self._document.edit(project, text)
        self._show_choice()
        return self._document.project is not before

    @Slot()
    def compare_selected(self) -> None:
        """Add the selected combinations, and go where candidates stand side by side."""
        if self.add_selected():
            self.asked.emit("side by side", -1)

    # turns or a ratio of one's own ------------------------------------------------------------------------

    @Slot()
    def seek_own(self) -> None:
        """Open the dialog that seeks turns or ratios for the best of the list."""
        if self.free is None:
            from app.views.shortlist_free import ShortlistFree

            self.free = ShortlistFree(
                self._preferences, lambda ground: self._what_changed(ground.basis, ground.conditions), self
            )
            self.free.taken.connect(self._on_taken)
        self.free.show()
        self._tell_free()
        self.free.raise_()
        self.free.activateWindow()

    def _tell_free(self) -> None:
        if self.free is None or not self.free.isVisible():
            return
        from app.shortlist_free_search import Ground

        ground: Ground | None = None
        if self.found is not None and self._basis is not None:
            ground = Ground(self.found, self._basis, self._conditions)
        room = MOST_CANDIDATES - len(self._document.project.candidates)
        self.free.show_list(ground, self._no_own(), room)

    def _no_own(self) -> str:
        """Return why turns and ratios cannot be sought now, empty where they can."""
        if self.is_searching:
            return "The list is still being made."
        if self.found is None or self._basis is None or not len(self.found.listing):
            return "There is no list yet: Find candidates makes it."
        if self._what_changed(self._basis, self._conditions):
            return "The list is out of date: Find candidates again."
        count = len(self._conditions)
        return "" if count < 2 else f"Sought under one condition; the list was made under {count}."

    @Slot(object, bool)
    def _on_taken(self, candidates: list[Candidate], compare: bool) -> None:
        if self._add(candidates) and compare:
            self.asked.emit("side by side", -1)
