"""The lock that keeps two windows from saving over each other: a small file beside the project.

The lock of a window that died is taken over at once. Whether one on another computer still lives cannot be
seen from here, so that is left to the user. A folder that cannot be written to is not locked: nothing can be
saved there anyway.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from typing import Final

from PySide6.QtCore import QLockFile, QSysInfo

from core.project.saved_file import half_written
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class Holder:
    """Who has a file open. `is_elsewhere` is true where nobody can tell from here whether he still has."""

    process: int
    host: str

    @property
    def is_elsewhere(self) -> bool:
        """Whether the lock was made on another computer, or does not say by whom."""
        return self.process <= 0 or self.host != _this_computer()

    @property
    def words(self) -> str:
        """Who it is, as part of a sentence."""
        if self.process <= 0:
            return "another window, or was when that ended,"
        where = f"the computer {self.host}" if self.is_elsewhere else "this computer"
        return f"another window on {where} (process {self.process})"


# The locks of this process. A lock that bears our number without being among them is of a dead process that
# had the number before us, as in a container where each start gets the same one.
_OURS: Final[set[Path]] = set()


class FileLock:
    """The lock of one file; two names of one file have the same lock."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.place = lock_place(path)
        self.holder: Holder | None = None
        self._lock = QLockFile(str(self.place))
        self._lock.setStaleLockTime(0)  # a file may be open for days; only a dead owner makes a lock stale

    @property
    def is_held(self) -> bool:
        """Whether the lock is ours."""
        return self._lock.isLocked()

    def take(self) -> bool:
        """Take the lock; false where somebody else has it, who is then the `holder`."""
        self.holder = None
        if self._lock.isLocked():
            return True
        told = _told_owner(self._lock)
        if told.process == os.getpid() and not told.is_elsewhere and self.place not in _OURS:
            self._remove()
        if self._lock.tryLock(0):
            _OURS.add(self.place)
            self._clear_up()
            return True
        if self._lock.error() != QLockFile.LockError.LockFailedError:
            return True  # no lock can be made here, so saving will be refused too, with the reason
        self.holder = _told_owner(self._lock)
        return False

    def take_over(self) -> bool:
        """Take the lock from whoever has it; for one that is on another computer or has no owner."""
        self._remove()
        return self.take()

    def release(self) -> None:
        """Let others have the file."""
        if self._lock.isLocked():
            _OURS.discard(self.place)
            self._lock.unlock()

    def _clear_up(self) -> None:
        """Remove what a process left that was killed while it saved: made before the lock, which nobody held.

        A process that saves without a lock, as a command does, has made its file since.
        """
        with contextlib.suppress(OSError):
            since = self.place.stat().st_mtime
            for left in half_written(self.path):
                if left.stat().st_mtime < since:
                    left.unlink(missing_ok=True)

    def _remove(self) -> None:
        with contextlib.suppress(OSError):
            self.place.unlink(missing_ok=True)


def lock_place(path: Path) -> Path:
    """Return where the lock of a file is."""
    real = Path(os.path.realpath(path))
    return real.with_name(f".{real.name}.lock") if real.name else real


def _told_owner(lock: QLockFile) -> Holder:
    """Return who has a lock by what it says; its process is 0 where it says nothing."""
    process, host, _program = lock.getLockInfo()
    return Holder(int(process), str(host))


def _this_computer() -> str:
    return QSysInfo.machineHostName()
