"""Drive the whole window at random for thousands of steps, and see that memory does not grow.

Run: python -m tests.endurance random_walk [--steps 5000] [--seed 1]
"""

from __future__ import annotations

import argparse
import gc
import os
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from app.files import FIRST_SAMPLE
from app.preferences import Preferences
from app.start import build_window
from tests.app.random_walk import RandomWalk
from tests.app.whole_window import AnsweredDialogs

ROUND = 500  # steps between two looks at the memory
WARM_UP = 3  # rounds until every page and dialog was made once
# What may be added for each round to what Python holds, by tracemalloc; caches fill slowly. What the process
# has of the system is printed too, but holds pictures of windows and what the allocators keep in pieces.
MOST_GROWTH_MB = 1.0


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
        grown = _walk(chosen.steps, chosen.seed, Path(folder))
    if grown > MOST_GROWTH_MB:
        print(f"memory grows by {grown:.1f} MB in {ROUND} steps, more than {MOST_GROWTH_MB:g} MB")
    return int(grown > MOST_GROWTH_MB)


def _walk(steps: int, seed: int, folder: Path) -> float:
    """Return by how much the memory grew in a round after the first ones, on average. [MB]"""
    dialogs = AnsweredDialogs()
    window = build_window(Preferences(), None, dialogs, folder / "recovery")
    window.shelf.load()
    window.resize(1280, 800)
    window.show()
    (folder / "files").mkdir()
    walk = RandomWalk(window, dialogs, seed, folder / "files")
    used: list[float] = []
    start = time.perf_counter()
    for number in range(1, max(1, steps // ROUND) + 1):
        walk.walk(ROUND)
        window.files.open_sample(FIRST_SAMPLE)  # so that what is measured does not depend on the project
        QApplication.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        gc.collect()
        used.append(tracemalloc.get_traced_memory()[0] / 2.0**20)
        spent = time.perf_counter() - start
        whole = f"{memory_mb():.0f} MB of the system"
        print(f"{number * ROUND} steps, {spent:.0f} s, {used[-1]:.1f} MB held, {whole}", flush=True)
    window.document.undo_stack.setClean()
    window.close()
    settled = used[WARM_UP:]
    return (settled[-1] - settled[0]) / (len(settled) - 1) if len(settled) > 1 else 0.0


def memory_mb() -> float:
    """Return the memory that this process has of the system. [MB]"""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024.0
    raise RuntimeError("the system does not tell the memory in use")
