"""New, open, save: one document and the file it belongs to.

Knows no dialogs, so that a test, the window and a dropped file go the same way. Whatever is wrong with a
file is said once by `failed`, and the document that was open stays as it is. The open file is locked against
other windows and watched for changes by other programs.
"""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Signal

import app
from app.document import ProjectDocument
from app.file_lock import FileLock, Holder, lock_place
from app.file_watch import FileWatch
from app.preferences import Preferences
from core.errors import AmpturnError, NewerVersionError
from core.project import saved_file
from core.project.project import Project
from core.project.project_file import decode_newer_project, decode_project, encode_project, write_project

SAMPLE_FOLDER = Path(app.__file__).resolve().parent.parent / "sample_projects"
FIRST_SAMPLE = SAMPLE_FOLDER / "sample_carousel.json"
PROJECT_FILES = "Ampturn projects (*.json);;All files (*)"
PROJECTS_AND_SHEETS = "Ampturn projects and sheets (*.json *.pdf);;All files (*)"
SHEET_ENDING = ".pdf"

READ_ONLY = (
    "This file was written by a later version of Ampturn. It can be looked at, but neither changed "
    "nor saved: saving would lose what this version does not know."
)

OPEN_ELSEWHERE = (
    "This file is open in {holder}. It can be looked at, but not changed here, so that neither window saves "
    "over the other."
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
        self.holder: Holder | None = None  # who has the file open, where it is read-only for that
        self.watch = FileWatch(self)
        self._lock: FileLock | None = None
        self.watch.changed.connect(self._on_file_changed)
        document.undo_stack.cleanChanged.connect(self._on_clean_changed)

    @property
    def is_unsaved(self) -> bool:
        """Whether there are changes that no file has."""
        return not self._document.undo_stack.isClean()

    @property
    def name(self) -> str:
        """The file's name without its ending, empty for a project that has no file yet."""
        return self.path.stem if self.path is not None else ""

    def new(self, folder: Path | None = None) -> None:
        """Start an empty project, which may have files in a folder."""
        self._use(None)
        self._show(Project(), None, "", folder)

    def open(self, path: Path, take_over: bool = False) -> bool:
        """Open a project file; one of a later version or open elsewhere is opened read-only.

        With `take_over` the file is taken from a window that nobody can tell is still there.
        """
        if path.suffix.lower() == SHEET_ENDING:  # a sheet is no file to save to: its project gets a new one
            return self.open_sample(path)
        lock = self._lock_of(path)
        is_free = lock.take_over() if take_over else lock.take()
        loaded = self._read(path)
        if loaded is None:
            if lock is not self._lock:
                lock.release()
            return False
        project, reason, content = loaded
        if not is_free and lock.holder is not None:
            reason = reason or OPEN_ELSEWHERE.format(holder=lock.holder.words)
        self._use(lock)
        self._show(project, path, reason)
        self.watch.follow(path, content)
        self._preferences.add_recent_file(path)
        return True

    def open_sample(self, path: Path) -> bool:
        """Open a copy of a project, which gets a file of its own when it is saved."""
        loaded = self._read(path)
        if loaded is None:
            return False
        self._use(None)
        self._show(loaded[0], None, loaded[1], path.parent)
        return True

    def read_anew(self) -> bool:
        """Take what the file holds now, as a step that can be undone; the file counts as saved then."""
        loaded = self._read(self.path) if self.path is not None else None
        if loaded is None or self.path is None:
            return False
        project, reason, content = loaded
        if reason or self._document.read_only_reason:
            return self.open(self.path)
        self._document.edit(project, f"Read {self.path.name} anew")
        self._document.undo_stack.setClean()
        self.watch.follow(self.path, content)
        self.state_changed.emit()
        return True

    def keep_mine(self) -> None:
        """Keep what is in the window though the file has changed; saving replaces the file."""
        self.watch.accept()

    def save_to(self, path: Path) -> bool:
        """Save the project, and keep the path as its file."""
        if self._document.read_only_reason:
            self.failed.emit(f"Not saved. {self._document.read_only_reason}")
            return False
        if not path.suffix:
            path = path.with_name(f"{path.name}.json") if path.name else path
        if path.suffix.lower() == SHEET_ENDING:
            self.failed.emit(f"Not saved: {path.name} would be a sheet; a project is saved as .json.")
            return False
        lock = self._lock_of(path)
        if not lock.take() and lock.holder is not None:
            words = f"Not saved: {path} is open in {lock.holder.words}."
            self.failed.emit(f"{words} Close it there, or save under another name.")
            return False
        try:
            write_project(path, self._document.project)
        except AmpturnError as error:
            if lock is not self._lock:
                lock.release()
            self.failed.emit(f"Not saved: {error}")
            return False
        self._use(lock)
        self.watch.follow(path, encode_project(self._document.project))
        before, self.path, self.folder = self.folder, path, path.parent
        self._document.undo_stack.setClean()
        self._preferences.add_recent_file(path)
        self.said.emit(f"Saved {path.name}")
        self.saved.emit(before)
        self.state_changed.emit()
        return True

    def shut_down(self) -> None:
        """Let others have the file, and watch it no more."""
        self.watch.follow(None)
        self._use(None)

    def _lock_of(self, path: Path) -> FileLock:
        """Return the lock of a file: the one that is held, where it is the same file."""
        is_same = self._lock is not None and self._lock.place == lock_place(path)
        return self._lock if is_same and self._lock is not None else FileLock(path)

    def _use(self, lock: FileLock | None) -> None:
        """Hold this lock in place of the one before."""
        if self._lock is not None and self._lock is not lock:
            self._lock.release()
        self._lock = lock
        self.holder = lock.holder if lock is not None else None

    def _read(self, path: Path) -> tuple[Project, str, bytes] | None:
        """Return project, why it is read-only, and content of a file; None after saying what is wrong."""
        try:
            content = saved_file.read_bytes(path)
            try:
                return decode_project(content), "", content
            except NewerVersionError:
                return decode_newer_project(content), READ_ONLY, content
        except AmpturnError as error:
            self._preferences.forget_recent_file(path)
            self.failed.emit(f"{path.name} is not opened: {error}")
            return None

    def _show(self, project: Project, path: Path | None, reason: str, folder: Path | None = None) -> None:
        self.path = path
        self.folder = folder if path is None else path.parent
        self.watch.follow(None)
        self._document.open(project, reason)
        self.state_changed.emit()

    def _on_file_changed(self, state: str) -> None:
        """Count the project as unsaved where its file does not have it any more."""
        if state != "as known" and not self._document.read_only_reason:
            self._document.undo_stack.resetClean()

    def _on_clean_changed(self, _clean: bool) -> None:
        self.state_changed.emit()


def sample_files() -> list[Path]:
    """Return the sample projects that came with the program."""
    return sorted(SAMPLE_FOLDER.glob("*.json"))
