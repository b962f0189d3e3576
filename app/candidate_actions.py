"""What menu, head and panel ask for a candidate, and what is said where it cannot be."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app import candidate_edits
from core.errors import AmpturnError
from core.project.motor import Motor

if TYPE_CHECKING:
    from app.main_window import MainWindow

_PARTS_FILES = "Ampturn parts (*.json);;All files (*)"


class CandidateActions(QObject):
    """Turns words into edits of the candidates; a refusal is said in the message bar."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self._window = window

    def ask(self, word: str, index: int) -> None:
        """Do what is asked for one candidate, or for none of them with index -1."""
        window = self._window
        try:
            if word == "add":
                candidate_edits.add_candidate(window.document, window.shelf)
            elif word == "empty":
                candidate_edits.add_empty_candidate(window.document)
            elif word == "parts":
                self._open_parts()
            elif word == "named":
                self._add_named()
            elif not 0 <= index < len(window.document.project.candidates):
                return  # gone, or a word of the pages that means no candidate
            elif word in ("rename", "drop"):
                window.panes.on_inputs(partial(window.bench.inputs.what_drives_it.ask_words, word, index))
            elif word in candidate_edits.ACTS:
                candidate_edits.ACTS[word](window.document, index)
        except AmpturnError as error:
            window.fail(str(error))

    def add_of(self, motor: Motor) -> None:
        """Add a candidate with a frame of the shelf."""
        try:
            candidate_edits.add_candidate_of(self._window.document, motor, self._window.shelf)
        except AmpturnError as error:
            self._window.fail(str(error))

    @property
    def has_designations(self) -> bool:
        """Whether the parts on the shelf have a pattern by which their owner names products."""
        return any(parts.designation is not None for parts in self._window.shelf.files)

    def _add_named(self) -> None:
        """Add the candidate that a typed designation names."""
        from app.designation_dialog import DesignationDialog

        window = self._window
        named = next((parts for parts in window.shelf.files if parts.designation is not None), None)
        if named is None:
            return
        dialog = DesignationDialog(named, window)
        accepted = dialog.exec()
        taken = dialog.candidate if accepted else None
        dialog.deleteLater()  # the window would keep each one that was opened
        if taken is not None:
            candidate_edits.add_made_candidate(window.document, taken)

    def _open_parts(self) -> None:
        window = self._window
        path = window.dialogs.ask_open(window, "Open a parts file", _PARTS_FILES)
        if path is not None:
            window.shelf.begin_opening(path)
