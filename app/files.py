"""New, open, save: one document and the file it belongs to.

Knows no dialogs, so that a test, the window and a dropped file go the same way. Whatever is wrong with a
file is said once by `failed`, and the document that was open stays as it is.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

import app
from app.document import ProjectDocument
from app.preferences import Preferences
from core.errors import AmpturnError, NewerVersionError
from core.project import saved_file
from core.project.project import Project
from core.project.project_file import decode_newer_project, decode_project, write_project

SAMPLE_FOLDER = Path(app.__file__).resolve().parent.parent / "sample_projects"
FIRST_SAMPLE = SAMPLE_FOLDER / "sample_carousel.json"
PROJECT_FILES = "Ampturn projects (*.json);;All files (*)"

READ_ONLY = (
    "This file was written by a later version of Ampturn. It can be looked at, but neither changed "
    "nor saved: saving would lose what this version does not know."
)


class ProjectFiles(QObject):
    """Moves projects between the document and files, and knows whether there is something to save."""

    state_changed = Signal()  # another file, or saved, or changed since
    failed = Signal(str)
    said = Signal(str)
    saved = Signal(object)  # the folder that the project had until now, None where it had none

    def __init__(self, document: ProjectDocument, preferences: Preferences) -> None:
        super().__init__(document)
        self._document, self._preferences = document, preferences
        self.path: Path | None = None
        self.folder: Path | None = None  # where files beside the project lie: of a copied sample, its own
        document.undo_stack.cleanChanged.connect(self._on_clean_changed)

    @property
    def is_unsaved(self) -> bool:
        """Whether there are changes that no file has."""
        return not self._document.undo_stack.isClean()

    @property
    def name(self) -> str:
        """The file's name without its ending, empty for a project that has no file yet."""
        return self.path.stem if self.path is not None else ""

    def new(self) -> None:
        """Start an empty project."""
        self._show(Project(), None, "")

    def open(self, path: Path) -> bool:
        """Open a project file; one of a later version is opened read-only."""
        loaded = self._read(path)
        if loaded is None:
            return False
        project, reason = loaded
        self._show(project, path, reason)
        self._preferences.add_recent_file(path)
        return True

    def open_sample(self, path: Path) -> bool:
        """Open a copy of a sample project, which gets a file of its own when it is saved."""
        loaded = self._read(path)
        if loaded is None:
            return False
        self._show(loaded[0], None, loaded[1], path.parent)
        return True

    def save_to(self, path: Path) -> bool:
        """Save the project, and keep the path as its file."""
        if self._document.read_only_reason:
            self.failed.emit(f"Not saved. {self._document.read_only_reason}")
            return False
        if not path.suffix:
            path = path.with_suffix(".json")
        try:
            write_project(path, self._document.project)
        except AmpturnError as error:
            self.failed.emit(f"Not saved: {error}")
            return False
        before, self.path, self.folder = self.folder, path, path.parent
        self._document.undo_stack.setClean()
        self._preferences.add_recent_file(path)
        self.said.emit(f"Saved {path.name}")
        self.saved.emit(before)
        self.state_changed.emit()
        return True

    def _read(self, path: Path) -> tuple[Project, str] | None:
        """Return the project in a file and why it is read-only, if so; None after saying what is wrong."""
        try:
            content = saved_file.read_bytes(path)
            try:
                return decode_project(content), ""
            except NewerVersionError:
                return decode_newer_project(content), READ_ONLY
        except AmpturnError as error:
            self._preferences.forget_recent_file(path)
            self.failed.emit(f"{path.name} is not opened: {error}")
            return None

    def _show(self, project: Project, path: Path | None, reason: str, folder: Path | None = None) -> None:
        self.path = path
        self.folder = folder if path is None else path.parent
        self._document.open(project, reason)
        self.state_changed.emit()

    def _on_clean_changed(self, _clean: bool) -> None:
        self.state_changed.emit()


def sample_files() -> list[Path]:
    """Return the sample projects that came with the program."""
    return sorted(SAMPLE_FOLDER.glob("*.json"))
