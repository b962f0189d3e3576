"""Project files: read with migration, written in one step and read back."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import msgspec

from core.project import saved_file
from core.project.project import PROJECT_FORMAT, PROJECT_VERSION, Project
from core.project.saved_file import Migration
from core.project.sheet_file import attached_project, is_sheet

# One entry for each version that is no longer current: MIGRATIONS[n] turns version n into n + 1.
# Version 1 is the first, so there is none yet; tests/core/test_project_file.py shows how one runs.
MIGRATIONS: Mapping[int, Migration] = {}


def read_project(path: Path) -> Project:
    """Return the project in a file.

    Raises `NewerVersionError` or `ProjectFileError`, which name the place, the rule and the value.
    """
    return decode_project(saved_file.read_bytes(path))


def decode_project(content: bytes) -> Project:
    """Return the project in a JSON text, or the one that is attached to a sheet."""
    content = attached_project(content) if is_sheet(content) else content
    return saved_file.decode(content, Project, PROJECT_FORMAT, PROJECT_VERSION, MIGRATIONS)


def encode_project(project: Project) -> bytes:
    """Return the JSON text of a project; the same project always gives the same text."""
    return saved_file.encode(project)


def write_project(path: Path, project: Project) -> None:
    """Save a project in one step: the old file stays until the new one has been read back equal."""
    saved_file.write_bytes(path, encode_project(project), lambda read: decode_project(read) == project)


def decode_newer_project(content: bytes) -> Project:
    """Return as much of a project of a later version as this one understands, to be looked at only.

    Saving it would lose what the later version knows, so the caller must keep it read-only.
    """
    raw = msgspec.json.decode(attached_project(content) if is_sheet(content) else content)
    raw["version"] = PROJECT_VERSION
    return saved_file.convert(raw, Project)
