"""A measured trace from a text file: a million rows in about a second, every bad row named.

The numbers are read in blocks by the array reader of numpy. A block that holds anything else (quotes,
blank lines, comments, a cell that is no number) is read again line by line, which either succeeds or
says which row, which column and which rule.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event
from typing import Final

import numpy as np

from core.errors import AmpturnError
from core.findings import Finding
from core.number_entry import shown
from core.numeric import FloatArray, IntArray
from core.physics.sampled_trace import Trace
from core.records import dataclass
from core.trace_columns import FIELDS
from core.trace_format import TraceError, TraceFormat, is_comment, multiplier, preview_trace

__all__ = ["ImportedTrace", "TraceCancelledError", "TraceError", "preview_trace", "read_trace"]

# Bytes read at once: large enough for the array reader, small enough for a live progress bar.
_BLOCK: Final = 1 << 21
# Steps longer than so many usual ones are called gaps (common practice, no source).
_GAP: Final = 10.0
_NUMBER = {mark: re.compile(rf"[+-]?(?:\d+(?:\{mark}\d*)?|\{mark}\d+)(?:[eE][+-]?\d+)?") for mark in ".,"}
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity|∞|n/?a|null|none|#.*)", re.IGNORECASE)
_MINUS = str.maketrans({"\u2212": "-", "\u00a0": ""})


class TraceCancelledError(AmpturnError):
    """Reading was stopped by the one who asked for it."""


@dataclass(frozen=True, slots=True)
class ImportedTrace:
    """A trace, with time from its first sample, what is doubtful about it, and how it was read."""

    trace: Trace
    findings: tuple[Finding, ...]
    format: TraceFormat


@dataclass(frozen=True, slots=True)
class _Rows:
    """Numbers of some rows, shape (rows, 3), and the lines they stand in: an array, or the first of a run."""

    numbers: FloatArray
    lines: IntArray | int


def read_trace(
    path: Path,
    form: TraceFormat | None = None,
    progress: Callable[[float], None] | None = None,
    cancel: Event | None = None,
) -> ImportedTrace:
    """Read a trace file; `form` as from `preview_trace`, with columns and units corrected where needed.

    Parameters
    ----------
    path : Path
        The file: text with separated columns, of any size.
    form : TraceFormat, optional
        How it is written; found from its first lines when left out.
    progress : callable, optional
        Called with the share that is done, from 0 to 1, after every block.
    cancel : Event, optional
        Set by another thread to stop reading.

    Raises
    ------
    TraceError
        If a row or a heading cannot be read, with its row (line of the file, from 1), column and rule.
    TraceCancelledError
        If `cancel` was set.
    """
    form = form or preview_trace(path).format
    factors = np.array([multiplier(form, field) for field in FIELDS])
    size = max(path.stat().st_size, 1)
    parts: list[_Rows] = []
    line, done = form.first_row, 0
    for block, used in _blocks(path, form):
        if cancel is not None and cancel.is_set():
            raise TraceCancelledError("reading the trace was cancelled")
        rows = _read_block(block, line, form)
        if len(rows.numbers):
            parts.append(rows)
        line += block.count(b"\n")
        done += used
        if progress is not None:
            progress(min(done / size, 1.0))
    count = sum(len(part.numbers) for part in parts)
    if count < 2:
        found = "1 row of numbers" if count else "no row of numbers"
        raise TraceError(0, 0, f"there is {found}; at least 2 are needed")
    numbers = np.concatenate([part.numbers for part in parts]) * factors
    time, torque, speed = (np.ascontiguousarray(numbers[:, k]) for k in range(3))
    _check_time(time, parts, form)
    findings = _gaps(time, parts)
    time -= time[0]
    return ImportedTrace(Trace(time, torque, speed), findings, form)


def _blocks(path: Path, form: TraceFormat) -> Iterator[tuple[bytes, int]]:
    """Yield blocks of whole lines from the first row of numbers on, as bytes with plain line ends."""
    rest, skip = b"", form.first_row - 1
    with path.open("rb") as file:
        text = io.TextIOWrapper(file, encoding="utf-16", newline="") if form.encoding == "utf-16" else None
        while chunk := (text.read(_BLOCK).encode() if text else file.read(_BLOCK)):
            used = len(chunk) * (2 if text else 1)
            rest += chunk
            if rest.endswith(b"\r"):  # half of a line end, perhaps
                continue
            if b"\r" in rest:
                rest = rest.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
            end = rest.rfind(b"\n") + 1
            block, rest = rest[:end], rest[end:]
            while skip and block:
                skip, block = skip - 1, block[block.index(b"\n") + 1 :]
            if block:
                yield block, used
        rest = rest.replace(b"\r", b"\n")
        while skip and b"\n" in rest:
            skip, rest = skip - 1, rest[rest.index(b"\n") + 1 :]
        if rest:
            yield rest, len(rest)


def _read_block(block: bytes, first_line: int, form: TraceFormat) -> _Rows:
    numbers = _read_quickly(block, form)
    if numbers is not None:
        return _Rows(numbers, first_line)
    return _read_carefully(block, first_line, form)


def _read_quickly(block: bytes, form: TraceFormat) -> FloatArray | None:
    """Return the numbers of a block that holds nothing but complete rows of numbers, else None."""
    separator = form.separator.encode()
    if b'"' in block:
        block, separator = _without_quotes(block, separator)
    lines = block.count(b"\n") + (not block.endswith(b"\n"))
    if b'"' in block or block.count(separator) != lines * (form.cells - 1):
        return None
    if form.decimal == ",":
        if b"." in block or separator == b",":
            return None
        block = block.replace(b",", b".")
    columns = [form.column(field).number for field in FIELDS]
    try:
        text = io.StringIO(block.decode("latin-1"))
        numbers = np.loadtxt(text, delimiter=separator.decode(), comments=None, usecols=columns, ndmin=2)
    except ValueError:
        return None
    return numbers if len(numbers) == lines and np.isfinite(numbers).all() else None


def _without_quotes(block: bytes, separator: bytes) -> tuple[bytes, bytes]:
    """Take the quotes off a block in which every one begins or ends a cell; return it and its separator.

    Where a comma may also be a decimal comma, the separators between quotes become tabs. A block with
    other quotes comes back as it is.
    """
    framed = b"\n" + block + (b"" if block.endswith(b"\n") else b"\n")
    opening = framed.count(separator + b'"') + framed.count(b'\n"')
    closing = framed.count(b'"' + separator) + framed.count(b'"\n')
    if b'""' in block or opening != closing or 2 * opening != block.count(b'"'):
        return block, separator
    if separator == b"," and b"\t" not in block:
        block, separator = block.replace(b'","', b"\t"), b"\t"
    return block.replace(b'"', b""), separator


def _read_carefully(block: bytes, first_line: int, form: TraceFormat) -> _Rows:
    """Read a block line by line; blank lines and comments are passed over."""
    encoding = "utf-8" if form.encoding == "utf-16" else form.encoding
    text = block.decode(encoding, errors="replace")
    text = text.removesuffix("\n")
    columns = [form.column(field) for field in FIELDS]
    rows: list[list[float]] = []
    lines: list[int] = []
    for line, row in enumerate(text.split("\n"), first_line):
        if not row.strip() or is_comment(row):
            continue
        cells = _cells(row, line, form)
        rows.append([_value(cells[c.number], line, c.number + 1, form.decimal) for c in columns])
        lines.append(line)
    return _Rows(np.array(rows, dtype=np.float64).reshape(-1, 3), np.array(lines, dtype=np.int64))


def _cells(row: str, line: int, form: TraceFormat) -> list[str]:
    try:
        cells = next(csv.reader([row], delimiter=form.separator, strict=True))
    except csv.Error as error:
        raise TraceError(line, 0, f"the quotation marks do not match ({error})") from error
    if any(cell.strip() for cell in cells[form.cells :]):
        hint = ""
        if form.separator == ",":
            hint = "; decimal commas in a file separated by commas must stand in quotes"
        raise TraceError(
            line, form.cells + 1, f"the row has {len(cells)} cells, the others {form.cells}{hint}"
        )
    return cells + [""] * (form.cells - len(cells))


def _value(cell: str, line: int, column: int, decimal: str) -> float:
    text = cell.translate(_MINUS).strip()
    if _NUMBER[decimal].fullmatch(text):
        value = float(text.replace(",", "."))
        if np.isfinite(value):
            return value
        raise TraceError(line, column, f"{shown(cell)} is too large for a number")
    if not text:
        raise TraceError(line, column, "the cell is empty, a number is needed")
    if _NOT_FINITE.fullmatch(text):
        raise TraceError(line, column, f"{shown(cell)} is not a finite number")
    other = {".": ",", ",": "."}[decimal]
    if other in text and _NUMBER[other].fullmatch(text):
        names = {".": "decimal point", ",": "decimal comma"}
        rule = f"{shown(cell)} has a {names[other]}, but the file is read with a {names[decimal]}"
        raise TraceError(line, column, rule)
    raise TraceError(line, column, f"{shown(cell)} is not a number")


def _line_of(sample: int, parts: list[_Rows]) -> int:
    """Return the line of the file in which a sample stands."""
    for part in parts:
        if sample < len(part.numbers):
            return part.lines + sample if isinstance(part.lines, int) else int(part.lines[sample])
        sample -= len(part.numbers)
    raise IndexError(sample)


def _check_time(time: FloatArray, parts: list[_Rows], form: TraceFormat) -> None:
    bad = np.flatnonzero(np.diff(time) <= 0.0)
    if not bad.size:
        return
    before, after = float(time[bad[0]]), float(time[bad[0] + 1])
    what = "repeats" if before == after else "goes back"
    more = f" (and in {bad.size - 1} more rows)" if bad.size > 1 else ""
    raise TraceError(
        _line_of(int(bad[0]) + 1, parts), form.column("time").number + 1,
        f"the time must rise, it {what}: {after:.9g} s after {before:.9g} s{more}",
    )  # fmt: skip


def _gaps(time: FloatArray, parts: list[_Rows]) -> tuple[Finding, ...]:
    step = np.diff(time)
    usual = float(np.median(step))
    gaps = np.flatnonzero(step > _GAP * usual)
    if not gaps.size:
        return ()
    longest = int(gaps[np.argmax(step[gaps])])
    row = _line_of(longest + 1, parts)
    text = (
        f"The trace has {gaps.size} gap{'s' if gaps.size > 1 else ''} of more than 10 usual steps "
        f"({usual:.3g} s); the longest, {step[longest]:.4g} s, ends in row {row}. Torque and speed are taken "
        "as straight lines across them."
    )
    values = {
        "gaps": float(gaps.size),
        "longest_s": float(step[longest]),
        "usual_step_s": usual,
        "row": float(row),
        "first_row": float(_line_of(int(gaps[0]) + 1, parts)),
    }
    return (Finding("trace_gap", "warning", text, values),)
