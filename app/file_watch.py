"""Notices when another program changes, replaces or removes the open file.

What counts is the content: a file that was only touched, or written anew the same, is no change. The system
tells of changes on this computer; those on a shared disk are seen when the window is turned to or saves.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal, Slot

from core.errors import ProjectFileError
from core.project import saved_file

FileState = Literal["as known", "changed", "gone"]

# A program that saves by writing and renaming makes several changes at once.
_QUIET_MS = 200


class FileWatch(QObject):
    """Compares one file with what this window last read from it or wrote to it."""

    changed = Signal(str)  # FileState

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.path: Path | None = None
        self.state: FileState = "as known"
        self._known = b""
        self._seen: bytes | None = None  # what the state was told for
        self._watcher: QFileSystemWatcher | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_QUIET_MS)
        self._soon.timeout.connect(self.look)

    def follow(self, path: Path | None, content: bytes = b"") -> None:
        """Watch a file with the content it is known by, or nothing."""
        self.path, self._known, self._seen, self.state = path, content, content, "as known"
        self._soon.stop()
        if self._watcher is not None:
            watched = [*self._watcher.files(), *self._watcher.directories()]
            if watched:
                self._watcher.removePaths(watched)
        self._watch_again()

    def accept(self) -> None:
        """Take the file as it is now for known: the user has decided to keep what is in the window."""
        if self.path is not None and self._seen is not None:
            self.follow(self.path, self._seen)

    @Slot()
    def look(self) -> FileState:
        """Compare the file with what is known of it, and tell of a change that was not told before."""
        if self.path is None:
            return "as known"
        self._watch_again()
        content = _content(self.path)
        if content != self._seen:
            self._seen = content
            self.state = "gone" if content is None else "as known" if content == self._known else "changed"
            self.changed.emit(self.state)
        return self.state

    def _watch_again(self) -> None:
        """Watch the file and its folder: a file that is replaced by another one falls out of the watch."""
        if self.path is None:
            return
        if self._watcher is None:
            self._watcher = QFileSystemWatcher(self)
            self._watcher.fileChanged.connect(lambda _path: self._soon.start())
            self._watcher.directoryChanged.connect(lambda _path: self._soon.start())
        real = Path(os.path.realpath(self.path))
        wanted = {str(place) for place in (self.path, real, self.path.parent, real.parent) if place.exists()}
        missing = wanted - {*self._watcher.files(), *self._watcher.directories()}
        if missing:
            self._watcher.addPaths(sorted(missing))


def _content(path: Path) -> bytes | None:
    """Return what is in a file, None where there is none; one that cannot be read counts as empty."""
    try:
        return saved_file.read_bytes(path)
    except ProjectFileError:
        return b"" if path.exists() else None
