"""What differs between the candidates, input by input, to be read in one place."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout

from app.document import ProjectDocument
from app.inputs.candidate_rows import differences as kinds_of_difference
from app.inputs.fold_group import FoldGroup
from app.preferences import Preferences
from app.theme import current_tokens
from app.widgets.candidate_mark import letter_of, look_of
from core.project.candidate import Candidate
from core.project.project import Project
from core.sentences import as_text
from core.units import DisplayUnits

TITLE = "What differs"
NOTHING = "Nothing: the candidates are the same in every input."


class DifferencesGroup(FoldGroup):
    """A list of every input in which candidates differ; made only while it is open."""

    def __init__(self, document: ProjectDocument, preferences: Preferences) -> None:
        self._document, self._preferences = document, preferences
        self._shown: tuple[tuple[Candidate, ...], DisplayUnits] | None = None
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.RichText)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.text.setAccessibleName("What differs between the candidates")
        super().__init__(TITLE, "differences", preferences, open_at_first=False, fill=self._make)
        self.header.toggled.connect(self._on_opened)

    def _make(self) -> None:
        column = QVBoxLayout(self.body)
        column.setContentsMargins(0, 0, 0, 4)
        column.addWidget(self.text)

    def show_project(self, project: Project) -> None:
        """Show what a project's candidates differ in; nothing to do while they are the same as before."""
        self.setVisible(len(project.candidates) > 1)
        shown = (project.candidates, self._preferences.display_units)
        if self._shown is not None and self._shown[0] is shown[0] and self._shown[1] is shown[1]:
            return
        self._shown = shown
        self.sum_up(", ".join(kinds_of_difference(project)) or NOTHING)
        if self.is_open:
            self.text.setText(differences_as_html(project, shown[1]))

    def forget(self) -> None:
        """Show everything anew at the next project, whether it changed or not."""
        self._shown = None

    def _on_opened(self, _is_open: bool) -> None:
        self.forget()
        self.show_project(self._document.project)


def differences_as_html(project: Project, units: DisplayUnits) -> str:
    """Return every difference as rich text: the input, and below it the value of each candidate."""
    from core.project.differences import differences  # read only where the list is open

    found = differences(project)
    soft = current_tokens().soft_ink
    lines = []
    for one in found:
        values = "&nbsp;&nbsp; ".join(
            f'<b style="color:{look_of(index).colour}">{letter_of(index)}</b>'
            f"&nbsp;{escape(as_text(value, units))}"
            for index, value in enumerate(one.values)
        )
        name = f'<span style="color:{soft}">{escape(one.name)}</span>'
        lines.append(f'<p style="margin:0 0 5px 0">{name}<br>{values}</p>')
    return "".join(lines) or NOTHING
