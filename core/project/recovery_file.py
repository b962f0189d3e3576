"""What is kept of unsaved changes, so that a crash or a power failure costs seconds and not an afternoon."""

import os
import urllib.parse
from pathlib import Path
from typing import Literal

from core.project import saved_file
from core.project.project import Project
from core.project.saved import Saved, Text

RECOVERY_VERSION = 1
RECOVERY_FORMAT: Literal["ampturn recovery"] = "ampturn recovery"


class KeptChanges(Saved, frozen=True, kw_only=True):
    """A project with changes that its own file does not have.

    Parameters
    ----------
    document : str
        File of the project, empty where it has none; percent-encoded, as a path need not be a text.
    folder : str
        Where files beside the project lie, in the same way.
    kept_at : float
        Time of the last change kept, since 1970. [s]
    project : Project
        The project as it was then.
    """

    format: Literal["ampturn recovery"] = RECOVERY_FORMAT
    version: Literal[1] = 1
    document: Text = ""
    folder: Text = ""
    kept_at: float = 0.0
    project: Project

    @property
    def path(self) -> Path | None:
        """The file that the project belongs to."""
        return _path_of(self.document)

    @property
    def beside(self) -> Path | None:
        """The folder of the files beside the project."""
        return _path_of(self.folder)


def kept_changes(project: Project, path: Path | None, folder: Path | None, kept_at: float) -> KeptChanges:
    """Return what is kept of a project that belongs to a file, or to none yet."""
    return KeptChanges(project=project, document=_text_of(path), folder=_text_of(folder), kept_at=kept_at)


def read_kept_changes(place: Path) -> KeptChanges:
    """Return what a recovery file holds.

    Raises `ProjectFileError`, which names the place, the rule and the value.
    """
    return _decode(saved_file.read_bytes(place))


def write_kept_changes(place: Path, kept: KeptChanges) -> None:
    """Write a recovery file in one step."""
    saved_file.write_bytes(place, saved_file.encode(kept), lambda read: _decode(read) == kept)


def _decode(content: bytes) -> KeptChanges:
    return saved_file.decode(content, KeptChanges, RECOVERY_FORMAT, RECOVERY_VERSION, {})


def _text_of(path: Path | None) -> str:
    return "" if path is None else urllib.parse.quote_from_bytes(os.fsencode(path.absolute()))


def _path_of(text: str) -> Path | None:
    return Path(os.fsdecode(urllib.parse.unquote_to_bytes(text))) if text else None
