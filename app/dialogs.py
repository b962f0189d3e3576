"""The questions that the window asks. Tests put answers in their place."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QMessageBox, QWidget

Unsaved = Literal["save", "discard", "cancel"]


class Dialogs:
    """Asks by the dialogs of Qt."""

    def __init__(self) -> None:
        self._folder = Path.home()

    def ask_open(self, parent: QWidget, title: str, kinds: str) -> Path | None:
        """Return the file to open, None where nothing was picked."""
        name, _ = QFileDialog.getOpenFileName(parent, title, str(self._folder), kinds)
        return self._picked(name)

    def ask_save(self, parent: QWidget, title: str, proposed: str, kinds: str) -> Path | None:
        """Return the file to write, None where nothing was picked."""
        name, _ = QFileDialog.getSaveFileName(parent, title, str(self._folder / proposed), kinds)
        return self._picked(name)

    def ask_file_to_add_to(self, parent: QWidget, title: str, proposed: str, kinds: str) -> Path | None:
        """Return the file to add to, new or there already; nothing in it is lost, so nothing is asked."""
        quiet = QFileDialog.Option.DontConfirmOverwrite
        start = str(self._folder / proposed)
        name, _ = QFileDialog.getSaveFileName(parent, title, start, kinds, "", quiet)
        return self._picked(name)

    def ask_unsaved(self, parent: QWidget, unsaved: Sequence[str], can_save: bool = True) -> Unsaved:
        """Ask what becomes of everything that is not saved, each thing said in a line."""
        box = _question(parent, "This is not saved:" if can_save else "This would end:")
        box.setInformativeText("\n".join(f"– {words}" for words in unsaved))
        roles = QMessageBox.ButtonRole
        save = box.addButton("Save", roles.AcceptRole) if can_save else None
        words = "Discard it" if len(unsaved) == 1 else "Discard all of it"
        discard = box.addButton(words if can_save else "End it", roles.DestructiveRole)
        cancel = box.addButton("Stay here", roles.RejectRole)
        box.setDefaultButton(save or cancel)
        box.setEscapeButton(cancel)
        box.exec()
        if save is not None and box.clickedButton() is save:
            return "save"
        return "discard" if box.clickedButton() is discard else "cancel"

    def ask_replace(self, parent: QWidget, path: Path) -> bool:
        """Ask whether a file that another program has changed is replaced."""
        box = _question(parent, f"{path} was changed by another program since it was opened here.")
        box.setInformativeText("Saving replaces what that program wrote.")
        replace = box.addButton("Replace it", QMessageBox.ButtonRole.DestructiveRole)
        stay = box.addButton("Stay here", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(stay)
        box.setEscapeButton(stay)
        box.exec()
        return box.clickedButton() is replace

    def _picked(self, name: str) -> Path | None:
        if not name:
            return None
        path = Path(name)
        self._folder = path.parent
        return path


def _question(parent: QWidget, words: str) -> QMessageBox:
    """Return a box that shows what it is told as it is: names come from files."""
    box = QMessageBox(parent)
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setWindowTitle("Ampturn")
    box.setText(words)
    return box
