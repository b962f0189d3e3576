"""The pages of the drive beside the cycle, on a small project of their own."""

from __future__ import annotations

from typing import TypeVar

from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.views.cycle_pages import CyclePages
from core.project.candidate import Candidate
from core.project.project import Project
from core.results import CandidateResult
from tests.app.bench_views import Desk

Page = TypeVar("Page")


class DriveDesk(Desk):
    """Document and views with one of the pages turned to."""

    def __init__(self, qtbot: QtBot, project: Project, page: str) -> None:
        super().__init__(project)
        self.preferences.dress()
        self.qtbot = qtbot
        self.pages = CyclePages(self.document, self.selection, self.preferences)
        qtbot.addWidget(self.pages)
        self.pages.resize(640, 420)
        self.pages.show()
        qtbot.waitExposed(self.pages)
        self.wire(self.pages)
        self.pages.turn_to(page)

    @property
    def candidate(self) -> Candidate:
        """The chosen candidate of the document."""
        candidate = self.document.project.chosen_candidate
        assert candidate is not None
        return candidate

    @property
    def found(self) -> CandidateResult:
        """The result of the chosen candidate."""
        assert self.recompute.result is not None
        found = self.recompute.result.chosen_candidate
        assert found is not None
        return found

    def settle(self) -> None:
        """Let the event loop do what is due."""
        for _ in range(4):
            QApplication.processEvents()

    def undo(self) -> None:
        """Undo one step and let the views follow."""
        self.document.undo_stack.undo()
        self.settle()
