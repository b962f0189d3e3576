"""A trace as a small picture before it is imported: read, fingerprinted, and reduced to what can be seen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from threading import Event

import numpy as np

from core.numeric import FloatArray, IntArray
from core.physics.sampled_trace import Trace
from core.records import dataclass
from core.trace_format import TraceFormat
from core.trace_import import ImportedTrace, read_trace
from core.trace_source import fingerprint

BUCKETS = 600  # columns of a picture; each has the lowest and the highest value in it


@dataclass(frozen=True, slots=True)
class Band:
    """Lowest and highest value in each bucket of samples, shape (buckets,)."""

    low: FloatArray
    high: FloatArray


@dataclass(frozen=True, slots=True)
class TracePicture:
    """Torque and speed of a trace over `time`, shape (buckets + 1,), the edges of the buckets. [SI]"""

    time: FloatArray
    torque: Band
    speed: Band


@dataclass(frozen=True, slots=True)
class ReadTrace:
    """A trace file that was read whole, with the fingerprint of the file."""

    imported: ImportedTrace
    sha256: str
    picture: TracePicture


def read_for_import(
    path: Path, form: TraceFormat, progress: Callable[[float], None], cancel: Event
) -> ReadTrace:
    """Read a trace file that may be imported. Raises as `core.trace_import.read_trace` does."""
    imported = read_trace(path, form, progress, cancel)
    return ReadTrace(imported, fingerprint(path), picture_of(imported.trace))


def picture_of(trace: Trace, buckets: int = BUCKETS) -> TracePicture:
    """Return a trace reduced to no more than so many buckets of samples.

    Examples
    --------
    >>> ramp = Trace(np.arange(6.0), np.array([0.0, 5.0, 1.0, 1.0, -2.0, 0.0]), np.zeros(6))
    >>> picture = picture_of(ramp, 2)
    >>> picture.torque.low.tolist(), picture.torque.high.tolist(), picture.time.tolist()
    ([0.0, -2.0], [5.0, 1.0], [0.0, 3.0, 5.0])
    """
    count = trace.time.size
    first = np.unique(np.linspace(0, count, min(buckets, count) + 1).astype(np.int64))[:-1]
    time = np.append(trace.time[first], trace.time[-1])
    return TracePicture(time, _band(trace.torque, first), _band(trace.speed, first))


def _band(value: FloatArray, first: IntArray) -> Band:
    return Band(np.minimum.reduceat(value, first), np.maximum.reduceat(value, first))
