"""The head of the window: what the project is called, its candidates, and the pages to turn to."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from app.document import ProjectDocument
from app.pages import PAGES
from app.theme import TITLE_PT, current_tokens
from app.views.page_words import PageWords
from app.widgets.candidate_mark import draw_mark, letter_of, look_of
from core.project import edits
from core.project.project import Project

LONGEST_TITLE = 200
_LINE, _GAP, _SIDE = 24, 9, 14
_WIDEST_CHIP = 250
_NARROWEST_TITLE, _WIDEST_TITLE = 120, 320


class CandidateChip(QAbstractButton):
    """One candidate by its line, letter and name; pressing it chooses the candidate."""

    def __init__(self, index: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.index = index
        self.setCheckable(True)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def show_candidate(self, name: str, chosen: bool) -> None:
        """Show the candidate's name and whether it is the chosen one."""
        text = f"{letter_of(self.index)}  {name}"
        if (text, chosen) == (self.text(), self.isChecked()):
            return
        self.setText(text)
        self.setChecked(chosen)
        state = "chosen" if chosen else "press to choose"
        self.setToolTip(f"{name}: {state}")
        self.setAccessibleName(f"Candidate {letter_of(self.index)}, {name}")
        self.setAccessibleDescription(state)
        self.updateGeometry()
        self.update()

    def nextCheckState(self) -> None:
        """Leave the mark to the document: the chip shows what is chosen there."""

    def sizeHint(self) -> QSize:
        bold = self.font()
        bold.setBold(True)
        wide = QFontMetrics(bold).horizontalAdvance(self.text())
        return QSize(min(wide + _LINE + _GAP + 2 * _SIDE + 2, _WIDEST_CHIP), 28)

    def minimumSizeHint(self) -> QSize:
        return QSize(_LINE + _GAP + 2 * _SIDE + 30, 28)

    def paintEvent(self, event: QPaintEvent) -> None:
        tokens, look = current_tokens(), look_of(self.index)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        shape = QRectF(self.rect()).adjusted(1.5, 1.5, -1.5, -1.5)
        chosen, marked = self.isChecked(), self.hasFocus()
        edge = tokens.focus if marked else look.colour if chosen else tokens.hairline
        painter.setPen(QPen(QColor(edge), 1.8 if chosen or marked else 1.0))
        painter.setBrush(QColor(tokens.selection if chosen or self.underMouse() else tokens.pane))
        painter.drawRoundedRect(shape, 13.0, 13.0)
        draw_mark(painter, self.index, QPointF(shape.left() + _SIDE, shape.center().y()), _LINE)
        font = self.font()
        font.setBold(chosen)
        painter.setFont(font)
        painter.setPen(QColor(tokens.ink if chosen else tokens.soft_ink))
        words = shape.adjusted(_SIDE + _LINE + _GAP, 0.0, -_SIDE + 4.0, 0.0)
        text = QFontMetrics(font).elidedText(self.text(), Qt.TextElideMode.ElideRight, int(words.width()))
        painter.drawText(words, Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft, text)
        painter.end()


class HeaderBar(QFrame):
    """Title, candidates, and the pages. The title is edited in place."""

    add_candidate = Signal()
    page_asked = Signal(str)

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
            self._row.insertWidget(self._first_chip + len(self.chips), chip)
            self.chips.append(chip)
        chosen = project.chosen_candidate
        for chip, candidate in zip(self.chips, project.candidates, strict=True):
            chip.show_candidate(candidate.name, candidate is chosen)

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


def _title_font(font: QFont) -> QFont:
    """Return the font that the stylesheet gives a heading."""
    heading = QFont(font)
    heading.setPointSizeF(TITLE_PT)
    heading.setBold(True)
    return heading
