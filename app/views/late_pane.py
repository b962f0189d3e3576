"""A pane of words or tables about the chosen candidate, worked out when the hand rests."""

from __future__ import annotations

from typing import Final, Generic, TypeVar

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QStackedWidget, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import CALM_MS, ElidedLabel
from app.widgets.candidate_mark import letter_of
from core.deferred import Deferred
from core.errors import AmpturnError
from core.results import CandidateResult, Result

NO_CANDIDATE: Final = "No candidate is chosen."
UPDATING: Final = "updating"

Found = TypeVar("Found")


class LatePane(QFrame, Generic[Found]):
    """Shows what a candidate's result holds as a deferred value; it computes nothing within a drag.

    While a newer value is still to come, the last one stays on show and is said to be old.
    """

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        title: str,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._preferences = document, selection, preferences
        self.result: Result | None = None
        self.shown: Found | None = None
        self._of: str | None = None  # whose value is shown
        self.setProperty("surface", "pane")
        self.title = QLabel(title)
        self.title.setProperty("type", "group")
        self.headline = ElidedLabel()
        self.headline.setProperty("type", "small")
        self.headline.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.empty = QLabel()
        self.empty.setProperty("type", "soft")
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.empty.setMargin(24)
        self.body = QWidget()
        self.pages = QStackedWidget()
        self.pages.addWidget(self.body)
        self.pages.addWidget(self.empty)
        head = QHBoxLayout()
        head.setContentsMargins(14, 0, 8, 0)
        head.setSpacing(10)
        head.addWidget(self.title)
        head.addWidget(self.headline, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 6, 1, 6)
        column.setSpacing(2)
        column.addLayout(head)
        column.addWidget(self.pages, 1)
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(CALM_MS)
        self._calm.timeout.connect(self._on_calm)
        preferences.changed.connect(self.restyle)

    # what each pane has of its own ----------------------------------------------------------------------

    def later(self, _candidate: CandidateResult) -> Deferred[Found] | Deferred[Found | None] | None:
        """Return where the value of a candidate comes from; None where it cannot be had."""
        raise NotImplementedError

    def missing_words(self, _candidate: CandidateResult) -> str:
        """Return why there is nothing to show."""
        raise NotImplementedError

    def headline_of(self, _candidate: CandidateResult, _found: Found) -> str:
        """Return what stands above a value."""
        raise NotImplementedError

    def fill(self, _candidate: CandidateResult, _found: Found) -> None:
        """Show a value."""
        raise NotImplementedError

    # the life of a result -------------------------------------------------------------------------------

    def hide_title(self) -> None:
        """Leave the title out, where it stands above the pane."""
        self.title.hide()

    def show_result(self, result: Result) -> None:
        """Take a result; its value is asked for when the hand rests."""
        self.result = result
        self.redraw()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.redraw()

    def restyle(self) -> None:
        """Show the value again in the units and colours that are preferred now."""
        self.redraw()

    @property
    def chosen_index(self) -> int | None:
        """Which candidate of the document the value on show belongs to; None where they differ."""
        index = None if self.result is None else self.result.chosen
        if index is None or index >= len(self._document.project.candidates):
            return None
        return index

    @Slot()
    def redraw(self) -> None:
        """Show the value that is there; one of an older state is said to be old."""
        if self.result is None or not self.isVisible():
            return
        candidate = self.result.chosen_candidate
        later = None if candidate is None else self.later(candidate)
        if candidate is None:
            self._say(NO_CANDIDATE)
        elif later is None:
            self._say(self.missing_words(candidate))
        elif not later.known:
            self._wait(candidate)
        else:
            self._show(candidate, later.value())

    def _wait(self, candidate: CandidateResult) -> None:
        if not self._document.in_gesture:
            self._calm.start()
        if self.shown is None or self._of != candidate.name:
            self._say(UPDATING)
        else:
            self.headline.setText(f"{letter_of(candidate.index)} {candidate.name}, {UPDATING}")

    def _show(self, candidate: CandidateResult, found: Found | None) -> None:
        if found is None:
            self._say(self.missing_words(candidate))
            return
        self.shown, self._of = found, candidate.name
        self.fill(candidate, found)
        self.headline.setText(self.headline_of(candidate, found))
        self.pages.setCurrentWidget(self.body)

    def _say(self, words: str) -> None:
        self.shown = None
        self.headline.setText("")
        self.empty.setText(words)
        self.pages.setCurrentWidget(self.empty)

    @Slot()
    def _on_calm(self) -> None:
        candidate = None if self.result is None else self.result.chosen_candidate
        later = None if candidate is None else self.later(candidate)
        if later is None or self._document.in_gesture or not self.isVisible():
            return
        try:
            later.value()
        except AmpturnError as error:
            self._say(f"This cannot be worked out: {error}")
            return
        self.redraw()


def whose(candidate: CandidateResult) -> str:
    """Return the letter and name of a candidate, as headlines begin."""
    return f"{letter_of(candidate.index)} {candidate.name}"


def still_needed(candidate: CandidateResult, otherwise: str) -> str:
    """Return what a candidate still needs, or other words where nothing is missing."""
    return f"Still needed: {', '.join(candidate.missing)}." if candidate.missing else otherwise
