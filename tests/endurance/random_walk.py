"""Drive the whole window at random for thousands of steps, and see that memory does not grow.

Run: python -m tests.endurance random_walk [--steps 5000] [--seed 1]
"""

from __future__ import annotations

import argparse
import ctypes
import gc
import os
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

import numpy as np
from PySide6.QtCore import QEvent
from PySide6.QtGui import QPixmapCache
from PySide6.QtWidgets import QApplication

from app.files import FIRST_SAMPLE
from app.preferences import Preferences
from app.start import build_window
from tests.app.random_walk import RandomWalk
from tests.app.whole_window import AnsweredDialogs

ROUND = 500  # steps between two looks at the memory
WARM_UP = 4  # rounds until every page and dialog was made once
# What may be added for each round to what Python holds, by tracemalloc; caches fill slowly.
MOST_GROWTH_MB = 1.0
# The same for everything that the C allocator has handed out, Qt's widgets and pictures included. It swings
# by 20 MB with what is on show; what the allocator keeps in pieces grows on for some thousand steps, unused.
MOST_HEAP_GROWTH_MB = 3.0


def main(arguments: list[str]) -> int:
    """Walk, tell the memory after each round, and return 1 where it keeps growing."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance random_walk", description=__doc__)
    parser.add_argument("--steps", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args(arguments)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    tracemalloc.start()
    application = QApplication(sys.argv[:1])
    assert application is not None
    with tempfile.TemporaryDirectory() as folder:
        held, heap = _walk(chosen.steps, chosen.seed, Path(folder))
    for name, grown, most in (
        ("what Python holds", held, MOST_GROWTH_MB),
        ("the heap in use", heap, MOST_HEAP_GROWTH_MB),
    ):
        print(f"{name} grows by {grown:.1f} MB in {ROUND} steps, allowed are {most:g} MB")
    return int(held > MOST_GROWTH_MB or heap > MOST_HEAP_GROWTH_MB)


def _walk(steps: int, seed: int, folder: Path) -> tuple[float, float]:
    """Return by how much Python's memory and the heap grew in a round after the first ones. [MB]"""
    dialogs = AnsweredDialogs()
    window = build_window(Preferences(), None, dialogs, folder / "recovery")
    window.shelf.load()
    window.resize(1280, 800)
    window.show()
    (folder / "files").mkdir()
    walk = RandomWalk(window, dialogs, seed, folder / "files")
    used: list[float] = []
    heap: list[float] = []
    start = time.perf_counter()
    for number in range(1, max(1, steps // ROUND) + 1):
        walk.walk(ROUND)
        window.files.open_sample(FIRST_SAMPLE)  # so that what is measured does not depend on the project
        QApplication.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        gc.collect()
        used.append(tracemalloc.get_traced_memory()[0] / 2.0**20)
        QPixmapCache.clear()
        heap.append(heap_mb())
        spent = time.perf_counter() - start
        whole = f"{heap[-1]:.0f} MB of heap in use, {memory_mb():.0f} MB of the system"
        print(f"{number * ROUND} steps, {spent:.0f} s, {used[-1]:.1f} MB held, {whole}", flush=True)
    window.document.undo_stack.setClean()
    window.close()
    return _slope(used[WARM_UP:]), _slope(heap[WARM_UP:])


def _slope(settled: list[float]) -> float:
    """Return the growth of one round, by the straight line that fits best."""
    if len(settled) < 2:
        return 0.0
    return float(np.polynomial.Polynomial.fit(range(len(settled)), settled, 1).convert().coef[-1])


class _Heap(ctypes.Structure):
    """What `mallinfo2` of the GNU C library tells, in bytes."""

    _fields_ = [
        (name, ctypes.c_size_t)
        for name in (
            "arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks", "fordblks",
            "keepcost",
        )
    ]  # fmt: skip


def heap_mb() -> float:
    """Return what the C allocator has handed out, after it gave back what it can; 0 if it does not tell."""
    try:
        library = ctypes.CDLL("libc.so.6")
        library.mallinfo2.restype = _Heap
        library.malloc_trim(0)
        told = library.mallinfo2()
    except (OSError, AttributeError):
        return 0.0
    return float(told.uordblks + told.hblkhd) / 2.0**20


def memory_mb() -> float:
    """Return the memory that this process has of the system. [MB]"""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024.0
    raise RuntimeError("the system does not tell the memory in use")
