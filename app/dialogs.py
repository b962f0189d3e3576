"""The questions that the window asks. Tests put answers in their place."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

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

    def ask_unsaved(self, parent: QWidget, title: str) -> Unsaved:
        """Ask what becomes of unsaved changes."""
        box = QMessageBox(parent)
        box.setWindowTitle("Ampturn")
        box.setText(f"{title} has changes that are not saved.")
        save = box.addButton("Save", QMessageBox.ButtonRole.AcceptRole)
        discard = box.addButton("Discard the changes", QMessageBox.ButtonRole.DestructiveRole)
        cancel = box.addButton("Stay here", QMessageBox.ButtonRole.RejectRole)
        box.setDefaultButton(save)
        box.setEscapeButton(cancel)
        box.exec()
        if box.clickedButton() is save:
            return "save"
        return "discard" if box.clickedButton() is discard else "cancel"

    def ask_replace(self, parent: QWidget, path: Path) -> bool:
        """Ask whether a file that another program has changed is replaced."""
        box = QMessageBox(parent)
        box.setWindowTitle("Ampturn")
        box.setText(f"{path} was changed by another program since it was opened here.")
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
