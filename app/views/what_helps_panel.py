"""What would help: every single change of the chosen candidate, worked out when the hand rests."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec.structs import replace
from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.candidate_edits import require_room
from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.change_table import ChangeTable
from app.views.plot_base import ElidedLabel
from app.views.sliced_work import SlicedWork
from app.widgets.candidate_mark import letter_of
from core.errors import AmpturnError
from core.evaluation.what_helps import Change, what_helps_steps, with_change
from core.project.project import Project
from core.results import Result
from core.sentences import as_text

TITLE: Final = "What would help"
UPDATING: Final = "updating"
NO_CANDIDATE: Final = "There is no candidate to change yet."
FROM_TRACE: Final = (
    "The duty is a measured trace. What would help is worked out for a duty from segments or from a load."
)
TO_CANDIDATE: Final = "Make it a candidate"
TO_APPLICATION: Final = "Change the application"
_CALM_MS = 100  # as of the plots: nothing is worked out while the hand moves

Conditions = tuple[object, ...]


class WhatHelpsPanel(QFrame):
    """The changes with what they gain, and a button that makes the current one."""

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
        self.result: Result | None = None
        self.changes: tuple[Change, ...] = ()
        self._of: Conditions | None = None
        self._coming: Conditions | None = None
        self.table = ChangeTable(preferences.tokens)
        self._lay_out()
        self._calm = QTimer(self)
        self._calm.setSingleShot(True)
        self._calm.setInterval(_CALM_MS)
        self._calm.timeout.connect(self._on_calm)
        self._work = SlicedWork(self)
        self._work.finished.connect(self.redraw)
        self._work.refused.connect(self._on_refused)
        self.table.row_changed.connect(self._show_button)
        self.table.wanted.connect(self.make)
        self.button.clicked.connect(self.make)
        preferences.changed.connect(self.restyle)

    def _lay_out(self) -> None:
        self.title = QLabel(TITLE)
        self.title.setProperty("type", "group")
        self.headline = ElidedLabel()
        self.headline.setProperty("type", "small")
        self.headline.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        head = QHBoxLayout()
        head.setContentsMargins(14, 0, 8, 0)
        head.setSpacing(10)
        head.addWidget(self.title)
        head.addWidget(self.headline, 1)
        self.empty = QLabel()
        self.empty.setProperty("type", "soft")
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.pages = QStackedWidget()
        self.pages.setContentsMargins(8, 0, 2, 0)  # the words of the table begin below the title
        self.pages.addWidget(self.table)
        self.pages.addWidget(self.empty)
        self.button = QPushButton(TO_CANDIDATE)
        self.said = ElidedLabel()
        self.said.setProperty("type", "small")
        self.said.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        foot = QHBoxLayout()
        foot.setContentsMargins(14, 4, 14, 2)
        foot.setSpacing(10)
        foot.addWidget(self.button)
        foot.addWidget(self.said, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 6, 1, 6)
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(self.pages, 1)
        column.addLayout(foot)
        self.setFocusProxy(self.table)

    def hide_title(self) -> None:
        """Leave the title out, where it stands above the panel."""
        self.title.hide()

    def show_result(self, result: Result) -> None:
        """Take a result; its changes are worked out when the hand rests."""
        self.result = result
        self.redraw()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.redraw()

    def restyle(self) -> None:
        """Show the changes again in the units and colours that are preferred now."""
        self.table.delegate.restyle(self._preferences.tokens)
        self._fill()
        self.redraw()

    def is_late(self, result: Result) -> bool:
        """Return whether the changes are still to be worked out."""
        return _why_not(result) == "" and _conditions(result.project) != self._of

    @Slot()
    def redraw(self) -> None:
        """Show the changes that are there; those of an older state are said to be old."""
        if self.result is None or not self.isVisible():
            return
        late = self.is_late(self.result)
        if self._work.running and (_conditions(self.result.project) != self._coming or self._frozen):
            self._work.stop()
        if late and not self._frozen and not self._work.running:
            self._calm.start()
        why_not = _why_not(self.result)
        if not why_not and not self.changes:
            why_not = UPDATING if late else _missing(self.result)
        self.empty.setText(why_not)
        self.pages.setCurrentWidget(self.empty if why_not else self.table)
        self.headline.setText("" if why_not else self._words(late))
        self._show_button()

    @property
    def _frozen(self) -> bool:
        return self._document.in_gesture

    def _words(self, late: bool) -> str:
        assert self.result is not None  # `redraw` asks
        helping = sum(change.helps for change in self.changes)
        who = "" if self.result.chosen is None else f"{letter_of(self.result.chosen)}: "
        words = f"{who}{helping} of {len(self.changes)} single changes gain margin"
        return f"{words}, {UPDATING}" if late else words

    @Slot()
    def _on_calm(self) -> None:
        result = self.result
        if result is None or result.chosen is None or self._frozen or self._work.running:
            return
        if self.isVisible() and self.is_late(result):
            self._coming = _conditions(result.project)
            self._work.start(self._steps(result.project, result.chosen))

    def _steps(self, project: Project, index: int) -> Iterator[object]:
        found: tuple[Change, ...] = ()
        for step in what_helps_steps(project, index):
            found = step or ()
            yield step
        self.changes, self._of = found, self._coming
        self._fill()

    def _fill(self) -> None:
        self.table.show_changes(self.changes, self._preferences.display_units)

    @Slot(str)
    def _on_refused(self, reason: str) -> None:
        self.changes, self._of = (), self._coming
        self._fill()
        self.pages.setCurrentWidget(self.empty)
        self.empty.setText(f"The changes cannot be worked out: {reason}")
        self._show_button()

    @property
    def _ready(self) -> Change | None:
        """The current change, where it still belongs to the project as it is now."""
        if self.pages.currentWidget() is not self.table or _conditions(self._document.project) != self._of:
            return None
        return self.table.change

    @Slot()
    def _show_button(self) -> None:
        """Let the button say what it would change."""
        change = self._ready
        twin = None if change is None else _twin(self._document.project, change)
        self.button.setEnabled(change is not None and twin is None)
        self.said.setText("")
        if change is None:
            return
        if change.kind == "application":
            self.button.setText(TO_APPLICATION)
            self.said.setText("holds for all candidates")
            return
        self.button.setText(TO_CANDIDATE)
        if twin is None:
            name = with_change(self._document.project, change).candidates[-1].name
            self.said.setText(f"adds “{name}”")
        else:
            self.said.setText(f"candidate {letter_of(twin)} is this already")

    @Slot()
    def make(self) -> None:
        """Make the current change: one step to undo."""
        change, project = self._ready, self._document.project
        if change is None or _twin(project, change) is not None:
            return
        words = as_text(change.label, self._preferences.display_units)
        try:
            if change.kind == "candidate":
                require_room(self._document)
            after = with_change(project, change)
        except AmpturnError as error:
            self.said.setText(str(error))
            return
        what = "Make a candidate" if change.kind == "candidate" else TO_APPLICATION
        self._document.edit(after, f"{what}: {words}")
        self._show_button()


def _twin(project: Project, change: Change) -> int | None:
    """Return which candidate a change would make once more, by another name or the same; None."""
    made = change.proposal.candidate
    if made is None:
        return None
    return next(
        (
            index
            for index, candidate in enumerate(project.candidates)
            if replace(candidate, name=made.name, note=made.note) == made
        ),
        None,
    )


def _why_not(result: Result) -> str:
    """Return why there is nothing to work out for a result; empty where there is."""
    if result.chosen is None:
        return NO_CANDIDATE
    return FROM_TRACE if result.project.application.duty_from == "trace" else ""


def _missing(result: Result) -> str:
    chosen = result.chosen_candidate
    missing = () if chosen is None else chosen.missing
    return f"Still needed: {', '.join(missing)}." if missing else "There is no duty to evaluate yet."


def _conditions(project: Project) -> Conditions:
    """Return what the changes depend on."""
    application = project.application
    return (
        project.chosen_candidate,
        application.duty_from,
        application.duty_cycle,
        application.load,
        application.site,
        application.supply,
        application.requirements,
    )


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(WhatHelpsPanel)
