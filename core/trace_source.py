"""The trace that a project refers to, read from the file beside it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from threading import Event

from core.findings import Finding
from core.project.load import TraceColumnChoice, TraceSource
from core.trace_columns import FIELDS
from core.trace_format import TraceFormat, preview_trace
from core.trace_import import ImportedTrace, read_trace


def source_of(path: Path, form: TraceFormat) -> TraceSource:
    """Return the reference to a trace file that goes into a project, with its fingerprint.

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
        sha256=fingerprint(path),
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
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()
