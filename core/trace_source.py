"""The trace that a project refers to, read from the file beside it."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import Event
from typing import TYPE_CHECKING

from core.findings import Finding
from core.project.load import TraceColumnChoice, TraceSource
from core.trace_columns import FIELDS

if TYPE_CHECKING:
    from core.trace_format import TraceFormat
    from core.trace_import import ImportedTrace


def source_of(path: Path, form: TraceFormat, sha256: str = "") -> TraceSource:
    """Return the reference to a trace file that goes into a project, with its fingerprint.

    `sha256` is the fingerprint where it is known already, so that the file is not read again.

    Raises `TraceError` where the format names no column or no unit for time, torque or speed.
    """
    chosen = {
        field: TraceColumnChoice(
            number=form.column(field).number, unit=form.unit(field), heading=form.column(field).heading
        )
        for field in FIELDS
    }
    return TraceSource(
        file=path.name,
        sha256=sha256 or fingerprint(path),
        time=chosen["time"],
        torque=chosen["torque"],
        speed=chosen["speed"],
    )


def open_trace(
    source: TraceSource,
    folder: Path,
    progress: Callable[[float], None] | None = None,
    cancel: Event | None = None,
) -> ImportedTrace:
    """Read the trace of a project from its folder; a file that is not the imported one is a finding.

    Raises `TraceError` or `TraceCancelledError`, and `OSError` where the file cannot be read.
    """
    # only where there is a trace: a start of the window needs neither
    from core.trace_format import preview_trace
    from core.trace_import import read_trace

    path = folder / source.file
    form = preview_trace(path).format
    for field, choice in (("time", source.time), ("torque", source.torque), ("speed", source.speed)):
        form = form.with_column(field, choice.number, choice.unit)  # type: ignore[arg-type]
    imported = read_trace(path, form, progress, cancel)
    if not source.sha256 or fingerprint(path) == source.sha256:
        return imported
    text = f"{source.file} is not the file that was imported: its content has changed since."
    changed = Finding("trace_file_changed", "warning", text)
    return replace(imported, findings=(changed, *imported.findings))


def fingerprint(path: Path) -> str:
    """Return the SHA-256 of a file as hexadecimal digits."""
    import hashlib  # loads a library of its own: only where there is a trace

    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def name_beside(path: Path, folder: Path) -> str:
    """Return the name under which a file is, or may be put, into a folder without replacing another one.

    Its own name where it is free or taken by the same content, else one with a number.
    """
    name, number = path.name, 2
    while (folder / name).exists() and not _same_content(path, folder / name):
        name, number = f"{path.stem} {number}{path.suffix}", number + 1
    return name


def copy_beside(path: Path, folder: Path) -> Path:
    """Copy a trace file into the folder of a project, whole or not at all, and return the copy."""
    target = folder / name_beside(path, folder)
    if target.exists():
        return target
    handle, part = tempfile.mkstemp(dir=folder, prefix=f".{target.name}.")
    os.close(handle)
    try:
        shutil.copyfile(path, part)
        shutil.copymode(path, part)
        Path(part).replace(target)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise
    return target


def _same_content(one: Path, other: Path) -> bool:
    if one.samefile(other):
        return True
    return one.stat().st_size == other.stat().st_size and fingerprint(one) == fingerprint(other)
