"""Add parts to a parts file on disk, new or there already."""

from __future__ import annotations

from pathlib import Path
from threading import Event

from core.catalogue.parts_edits import add_parts
from core.catalogue.parts_file import PartsFile, read_parts, write_parts
from core.errors import AmpturnError

PARTS_FILES = "Ampturn parts (*.json);;All files (*)"


class SavingStoppedError(AmpturnError):
    """Saving was stopped before anything was written."""


def save_parts(path: Path, more: PartsFile, replacing: bool, stop: Event | None = None) -> PartsFile:
    """Write a file with the parts it has and those, and return them all.

    A name that is taken is refused unless `replacing`. Until the writing begins, `stop` ends it.
    """
    there = read_parts(path) if path.exists() else PartsFile(origin=more.origin)
    parts = add_parts(there, more, replacing)
    if stop is not None and stop.is_set():
        raise SavingStoppedError(f"saving was stopped, and {path.name} is as it was")
    write_parts(path, parts)
    return parts
