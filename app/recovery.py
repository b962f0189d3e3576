"""Unsaved changes kept beside the user's files: written while he works, offered after a crash.

A window writes to one file of its own in the recovery folder, never to the project's file. It bears a hash of
the project's path and the number of the process, and is written beside the window from the frozen project.
A lock tells whether the process that wrote it still lives.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QLockFile, QObject, QTimer, Signal, Slot

from app.background import Background
from app.document import ProjectDocument
from app.files import ProjectFiles
from core.errors import AmpturnError
from core.records import dataclass

if TYPE_CHECKING:
    from core.project.recovery_file import KeptChanges

# After the last change; while changes follow each other without a pause, from the first that is not kept.
QUIET_S: Final = 2.0
LONGEST_S: Final = 30.0

_tokens_here: set[str] = set()  # of the windows in this process


@dataclass(frozen=True, slots=True)
class LeftChanges:
    """Changes that a window which died has left. While they are held no other window offers them."""

    place: Path
    kept: KeptChanges | None  # None where the file cannot be read
    trouble: str
    lock: QLockFile

    @property
    def file_is_newer(self) -> bool:
        """Whether the project's file was saved after these changes were kept."""
        path = self.kept.path if self.kept is not None else None
        with contextlib.suppress(OSError):
            return self.kept is not None and path is not None and path.stat().st_mtime > self.kept.kept_at
        return False

    def release(self) -> None:
        """Leave the changes where they are; the next start offers them again."""
        self.lock.unlock()

    def discard(self) -> None:
        """Remove the changes for good."""
        with contextlib.suppress(OSError):
            self.place.unlink(missing_ok=True)
        self.lock.unlock()


class Recovery(QObject):
    """Keeps the unsaved changes of one document. Without a folder nothing is kept, as tests want it."""

    failed = Signal(str)  # said once, until keeping works again

    def __init__(
        self,
        document: ProjectDocument,
        files: ProjectFiles,
        folder: Path | None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._files, self._folder = document, files, folder
        self._token = f"{os.getpid()}-{os.urandom(3).hex()}"
        self._lock: QLockFile | None = None
        self._first: float | None = None  # when the oldest change was made that is not kept
        self._revision = -1  # the last one that was kept or is being kept
        self._is_kept = self._has_failed = False
        self._background = Background(self)
        self._background.finished.connect(self._on_written)
        self._background.failed.connect(self._on_failed)
        self.timer = QTimer(self)
        self.timer.setSingleShot(True)
        self.timer.timeout.connect(self.keep)
        if folder is not None:
            _tokens_here.add(self._token)
            document.changed.connect(self._on_changed)
            files.state_changed.connect(self._on_changed)

    @Slot()
    def keep(self) -> None:
        """Write the changes beside the window."""
        self.timer.stop()
        self._first = None
        if self._folder is not None and self._is_worth_keeping():
            self._background.start(self._writing())

    def keep_at_once(self) -> bool:
        """Write the changes now; tell whether they are on the disk."""
        self.timer.stop()
        self._first = None
        if self._folder is None:
            return False
        self._background.shut_down()
        try:
            self._writing()(lambda _share: None, Event())
        except (AmpturnError, OSError) as error:
            self._on_failed(error)
            return False
        self._has_failed = False
        return True

    def left(self) -> list[LeftChanges]:
        """Return what windows that died have left, the newest first; what the file has anyway is removed."""
        found = []
        self._clear_up()
        for place in _recovery_files(self._folder):
            token = place.stem.partition("-")[2]
            lock = _lock_of(place.parent, token)
            if token in _tokens_here:
                continue
            if token.partition("-")[0] == str(os.getpid()):  # of a dead process that had our number before us
                _remove(place.parent / f"{token}.lock")
            if lock.tryLock(0):
                left = _read_left(place, lock)
                if left is not None:
                    found.append(left)
        return found

    def _clear_up(self) -> None:
        """Remove what windows left that were killed while they kept their changes."""
        for place in [] if self._folder is None else self._folder.glob(".*-*-*.json.*.new"):
            token = place.name.split(".")[1].partition("-")[2]
            lock = _lock_of(place.parent, token)
            if token not in _tokens_here and lock.tryLock(0):
                _remove(place)
                lock.unlock()

    def shut_down(self) -> None:
        """Remove what was kept: the window closes with everything saved, or discarded by its user."""
        self.timer.stop()
        self._background.shut_down()
        if self._is_kept and self._folder is not None:
            _remove_all_but(self._folder, self._token, None)
            self._is_kept = False
        if self._lock is not None:
            self._lock.unlock()
            self._lock = None
        _tokens_here.discard(self._token)

    def _is_worth_keeping(self) -> bool:
        return self._files.is_unsaved and not self._document.read_only_reason

    @Slot()
    def _on_changed(self) -> None:
        if not self._is_worth_keeping():
            self.timer.stop()
            self._first, self._revision = None, -1
            if self._is_kept and self._folder is not None:
                self._is_kept = False
                self._background.start(partial(_forget, self._folder, self._token))
        elif self._document.revision != self._revision:
            now = time.monotonic()
            self._first = now if self._first is None else self._first
            self.timer.start(wait_ms(now, self._first))

    def _writing(self) -> Callable[[Callable[[float], None], Event], None]:
        """Return the job that writes the project as it is now."""
        from core.project.recovery_file import kept_changes  # not needed before something is changed

        assert self._folder is not None
        files, self._revision, self._is_kept = self._files, self._document.revision, True
        kept = kept_changes(self._document.project, files.path, files.folder, time.time())
        if self._lock is None:
            with contextlib.suppress(OSError):
                self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            self._lock = _lock_of(self._folder, self._token)
            self._lock.tryLock(0)
        return partial(_write, self._folder, self._token, kept)

    @Slot(object)
    def _on_written(self, _value: object) -> None:
        self._has_failed = False

    @Slot(object)
    def _on_failed(self, error: Exception) -> None:
        self._revision = -1  # so that the next change tries again
        if not self._has_failed:
            self._has_failed = True
            self.failed.emit(
                f"Unsaved changes are not kept for the case of a crash: {error}. "
                "Work can go on; save from time to time."
            )


def wait_ms(now: float, first: float) -> int:
    """Return how long to wait before changes are kept, the oldest of which was made at `first`. [ms]

    Examples
    --------
    >>> wait_ms(now=100.0, first=100.0), wait_ms(now=129.5, first=100.0), wait_ms(now=200.0, first=100.0)
    (2000, 500, 0)
    """
    return round(1000.0 * max(0.0, min(QUIET_S, first + LONGEST_S - now)))


def _write(
    folder: Path, token: str, kept: KeptChanges, _progress: Callable[[float], None], _stop: Event
) -> None:
    import hashlib  # loads a library of its own: not needed before something is changed

    from core.project.recovery_file import write_kept_changes

    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    document = hashlib.sha256(kept.document.encode()).hexdigest()[:16]
    place = folder / f"{document}-{token}.json"
    write_kept_changes(place, kept)
    _remove_all_but(folder, token, place)


def _forget(folder: Path, token: str, _progress: Callable[[float], None], _stop: Event) -> None:
    _remove_all_but(folder, token, None)


def _remove_all_but(folder: Path, token: str, kept: Path | None) -> None:
    for place in folder.glob(f"*-{token}.json"):
        if place != kept:
            _remove(place)


def _remove(place: Path) -> None:
    with contextlib.suppress(OSError):
        place.unlink(missing_ok=True)


def _recovery_files(folder: Path | None) -> list[Path]:
    if folder is None:
        return []
    dated = []
    for place in folder.glob("*-*-*.json"):
        with contextlib.suppress(OSError):
            dated.append((place.stat().st_mtime, place))
    return [place for _, place in sorted(dated, reverse=True)]


def _lock_of(folder: Path, token: str) -> QLockFile:
    lock = QLockFile(str(folder / f"{token}.lock"))
    lock.setStaleLockTime(0)  # a window may be open for days; only a dead owner makes a lock stale
    return lock


def _read_left(place: Path, lock: QLockFile) -> LeftChanges | None:
    """Return what a dead window has left, None after removing what its file has anyway."""
    from core.project.project_file import read_project
    from core.project.recovery_file import read_kept_changes

    try:
        kept = read_kept_changes(place)
    except AmpturnError as error:
        return LeftChanges(place, None, str(error), lock)
    left = LeftChanges(place, kept, "", lock)
    with contextlib.suppress(AmpturnError):
        if kept.path is not None and read_project(kept.path) == kept.project:
            left.discard()
            return None
    return left
