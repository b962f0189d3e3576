"""Add parts to a parts file on disk, new or there already."""

from __future__ import annotations

from pathlib import Path

from core.catalogue.parts_edits import add_parts
from core.catalogue.parts_file import PartsFile, read_parts, write_parts

PARTS_FILES = "Ampturn parts (*.json);;All files (*)"


def save_parts(path: Path, more: PartsFile, replacing: bool) -> None:
    """Write a file with the parts it has and those; a name that is taken is refused unless `replacing`."""
    there = read_parts(path) if path.exists() else PartsFile(origin=more.origin)
    write_parts(path, add_parts(there, more, replacing))
