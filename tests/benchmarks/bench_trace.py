"""Time and memory of a trace from file to repeating temperatures, at 10^4, 10^5 and 10^6 rows.

Run from the checkout: python -m tests.benchmarks.bench_trace [rows ...]. Times are those of the processor,
best of several runs, also given as multiples of one pass of numpy over as many samples (a sine, a product
and a sum) in the same run. Memory is the largest at once beyond what was held before, as seen by
tracemalloc, in a run of its own, because watching slows down.
"""

from __future__ import annotations

import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import TypeVar

import numpy as np

from core.numeric import FloatArray
from core.physics.drag import DragLaw
from core.physics.heat_pieces import CopperLaw
from core.physics.sampled_trace import Trace
from core.physics.temperatures import repeating_state
from core.physics.trace_duty import trace_pieces
from core.physics.trace_points import reduced_load_points
from core.trace_import import read_trace
from tests.core.example_networks import random_motor

ROWS = (10_000, 100_000, 1_000_000)
DRAG = DragLaw(0.003, 1e-5, 2e-7)
Result = TypeVar("Result")


def trace_columns(rows: int, noisy: bool) -> FloatArray:
    """A drive that reverses every 1.5 s at 1 kHz sampling, clean or with the noise of its sensors."""
    rng = np.random.default_rng(1)
    t = np.arange(float(rows)) * 1e-3
    wave = 2.0 * np.pi * t / 3.0
    torque = 100.0 * np.cos(wave) + 50.0 * np.sin(0.1 * t)
    speed = 2900.0 * np.sin(wave)
    if noisy:
        torque, speed = torque + rng.normal(size=rows) * 50.0, speed + rng.normal(size=rows) * 20.0
    return np.stack([t, torque, speed], axis=1)


def write_file(path: Path, columns: FloatArray) -> None:
    """Write as a spreadsheet set to decimal commas does."""
    with path.open("w", encoding="utf-8") as file:
        file.write("time [s];torque [mN m];speed [rpm]\n")
        for start in range(0, len(columns), 50_000):
            text = "".join(f"{t:.3f};{m:.4f};{n:.3f}\n" for t, m, n in columns[start : start + 50_000])
            file.write(text.replace(".", ","))


def measured(task: Callable[[], Result], runs: int) -> tuple[Result, float, float]:
    """Return what a task gives, its best time [s] and its largest memory [MiB]."""
    best = np.inf
    for _ in range(runs):
        begin = time.process_time()
        result = task()
        best = min(best, time.process_time() - begin)
    tracemalloc.start()
    result = task()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return result, best, peak / 2**20


def one_pass(rows: int) -> float:
    """Time of the yardstick. [s]"""
    x = np.linspace(0.0, 1.0, rows)
    return measured(lambda: float((np.sin(x) * x).sum()), 5)[1]


def report(rows: int, noisy: bool, folder: Path) -> dict[str, float]:
    path = folder / "trace.csv"
    write_file(path, trace_columns(rows, noisy))
    network, law = random_motor(3), CopperLaw(magnet_temp_coefficient=-0.0011)
    runs = 2 if rows > 200_000 else 4
    found, reading, reading_memory = measured(lambda: read_trace(path), runs)
    trace: Trace = found.trace
    pieces, reducing, reducing_memory = measured(
        lambda: trace_pieces(trace, network, DRAG, 2e-5, 400.0), runs
    )
    _, solving, solving_memory = measured(lambda: repeating_state(network, pieces, law), runs)
    _, points, points_memory = measured(lambda: reduced_load_points(trace, 2e-5), runs)
    yardstick = one_pass(rows)
    size = path.stat().st_size / 2**20
    print(f"{rows:>9} rows, {'noisy' if noisy else 'clean'}, {size:.1f} MiB, {pieces.duration.size} pieces")
    times = {"read": reading, "reduce": reducing, "repeating state": solving, "load points": points}
    memories = (reading_memory, reducing_memory, solving_memory, points_memory)
    for (name, seconds), memory in zip(times.items(), memories, strict=True):
        ratio = seconds / yardstick
        print(f"    {name:<16} {seconds * 1e3:9.1f} ms  {ratio:8.1f} passes of numpy  {memory:7.1f} MiB")
    return times


def main() -> None:
    """Print the table and how it grows with the rows."""
    rows = tuple(int(text) for text in sys.argv[1:]) or ROWS
    for noisy in (False, True):
        with tempfile.TemporaryDirectory() as folder:
            tables = [report(count, noisy, Path(folder)) for count in rows]
        for name in tables[0]:
            growth = [b[name] / a[name] for a, b in pairwise(tables)]
            shown = ", ".join(f"{value:.1f}" for value in growth)
            print(f"    growth of {name} from step to step: {shown}")


if __name__ == "__main__":
    main()
