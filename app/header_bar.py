"""The head of the window: what the project is called, its candidates, and the pages to turn to."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QFontMetrics
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QLineEdit, QPushButton, QWidget

from app.document import ProjectDocument
from app.pages import PAGES
from app.theme import TITLE_PT
from app.views.page_words import PageWords
from app.widgets.candidate_chip import CandidateChip
from app.widgets.candidate_mark import letter_of
from core.project import edits
from core.project.project import Project

LONGEST_TITLE = 200
_NARROWEST_TITLE, _WIDEST_TITLE = 120, 320


class HeaderBar(QFrame):
    """Title, candidates, and the pages. The title is edited in place."""

    add_candidate = Signal()
    page_asked = Signal(str)
    asked = Signal(str, int)  # what is wanted of a candidate, and which, see `CandidateChip`

    def __init__(self, document: ProjectDocument, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self.title = QLineEdit()
        self.title.setProperty("heading", True)
        self.title.setMaxLength(LONGEST_TITLE)
        self.title.setAccessibleName("Title of the application")
        self.title.setToolTip("Title of the application; click to change it")
        self.title.editingFinished.connect(self._rename)
        self.state = QLabel()
        self.state.setTextFormat(Qt.TextFormat.PlainText)
        self.state.setProperty("type", "small")
        self.add = QPushButton("Add candidate")
        self.add.setFlat(True)
        self.add.clicked.connect(self.add_candidate)
        self.chips: list[CandidateChip] = []
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(14, 7, 14, 7)
        self._row.setSpacing(9)
        for widget in (self.title, self.state):
            self._row.addWidget(widget)
        self._row.addSpacing(8)
        self._first_chip = self._row.count()
        self._row.addWidget(self.add)
        self._row.addStretch(1)
        self.work = QLabel()
        self.work.setTextFormat(Qt.TextFormat.PlainText)
        self.work.setProperty("type", "small")
        self._row.addWidget(self.work)
        self.pages = PageWords()
        for page in PAGES:
            self.pages.add(page.name, page.words, page.explanation)
        self.pages.asked.connect(self.page_asked)
        self.pages.show_current(PAGES[0].name)
        self._row.addWidget(self.pages)
        document.changed.connect(self.show_project)
        self.show_project(document.project, document.revision)

    def show_project(self, project: Project, _revision: int = 0) -> None:
        """Show title and candidates of a project."""
        if not (self.title.hasFocus() and self.title.isModified()):
            self._show_title(project.application.title)
        while len(self.chips) > len(project.candidates):
            chip = self.chips.pop()
            self._row.removeWidget(chip)
            chip.hide()
            chip.deleteLater()
        while len(self.chips) < len(project.candidates):
            chip = CandidateChip(len(self.chips))
            chip.clicked.connect(self._choose)
            chip.asked.connect(self.asked)
            chip.moved.connect(self._move)
            self._row.insertWidget(self._first_chip + len(self.chips), chip)
            self.chips.append(chip)
        chosen = project.chosen_candidate
        for chip, candidate in zip(self.chips, project.candidates, strict=True):
            chip.show_candidate(candidate, candidate is chosen)

    def show_state(self, words: str) -> None:
        """Show whether the project is saved, in a word beside the title."""
        self.state.setText(words)

    def show_work(self, words: str) -> None:
        """Show what is being done beside the window; empty when nothing is."""
        self.work.setText(words)
        self.work.setAccessibleName(words)

    def _show_title(self, title: str) -> None:
        if title != self.title.text():
            self.title.setText(title)
            self.title.setCursorPosition(0)
        wide = QFontMetrics(_title_font(self.title.font())).horizontalAdvance(title) + 20
        self.title.setFixedWidth(max(_NARROWEST_TITLE, min(wide, _WIDEST_TITLE)))

    def _rename(self) -> None:
        title = self.title.text().strip()
        project = self._document.project
        if title and title != project.application.title:
            self._document.edit(edits.change_application(project, title=title), f"Call it {title}")
        self.title.setModified(False)
        self._show_title(self._document.project.application.title)

    def _choose(self) -> None:
        chip = self.sender()
        if isinstance(chip, CandidateChip) and chip.index < len(self._document.project.candidates):
            project = self._document.project
            name = project.candidates[chip.index].name
            self._document.edit(edits.choose_candidate(project, chip.index), f"Choose {name}")

    def _move(self, index: int, x: int) -> None:
        """Put the dragged candidate where it was let go; the chips themselves stay in their order."""
        self._row.invalidate()  # the dragged chip goes back to its place in the row
        self._row.activate()
        if x < 0:
            return
        to = sum(chip.geometry().center().x() < x for chip in self.chips if chip.index != index)
        text = f"Move candidate {letter_of(index)} to {letter_of(to)}"
        self._document.edit(edits.move_candidate(self._document.project, index, to), text)


def _title_font(font: QFont) -> QFont:
    """Return the font that the stylesheet gives a heading."""
    heading = QFont(font)
    heading.setPointSizeF(TITLE_PT)
    heading.setBold(True)
    return heading
