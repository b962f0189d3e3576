"""How long one mouse move takes until the whole window is repainted, while a load point is dragged.

The main page at 1280x800, offscreen, with a sample project: synthetic moves of a load point, each followed
to its finished repaint. The split: the evaluation, showing the result to each view, and the rest (edit,
undo stack, painting). Candidates are evaluated in processes beside this one, as the program does it where
there is more than one processor; `--alone` leaves them out.

Run: python tests/benchmarks/bench_drag.py [SAMPLE] [MOVES] [--alone]
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import numpy as np
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QApplication, QWidget

from app.collector import release_collection
from app.document import ProjectDocument
from app.main_window import MainWindow
from app.preferences import Preferences
from app.recompute import Evaluation, Recompute
from core.candidate_processes import CandidateProcesses
from core.evaluate import evaluate
from core.project.project import Project
from core.project.project_file import read_project
from core.results import Result
from core.trace_import import ImportedTrace

ROOT = Path(__file__).resolve().parents[2]
SEGMENT = 0
WARM_UP = 20


class Split:
    """Adds up the time spent in named parts of one move."""

    def __init__(self) -> None:
        self.now: dict[str, float] = {}
        self.rows: dict[str, list[float]] = {"evaluate": []}

    def timed(self, name: str, work: Callable[[Result], None]) -> Callable[[Result], None]:
        self.rows[name] = []

        def measured(result: Result) -> None:
            start = time.perf_counter()
            work(result)
            self.now[name] = self.now.get(name, 0.0) + time.perf_counter() - start

        return measured

    def evaluated(self, work: Evaluation) -> Evaluation:
        def measured_too(project: Project, measured: ImportedTrace | None = None) -> Result:
            start = time.perf_counter()
            result = work(project, measured)
            self.now["evaluate"] = time.perf_counter() - start
            return result

        return measured_too

    def next_move(self) -> None:
        for name, rows in self.rows.items():
            rows.append(self.now.get(name, 0.0))  # views that are read take turns
        self.now = {}


def send(target: QWidget, kind: QEvent.Type, place: QPointF, down: bool) -> None:
    """Send one mouse event with the left button as it is."""
    left, none = Qt.MouseButton.LeftButton, Qt.MouseButton.NoButton
    button = none if kind is QEvent.Type.MouseMove else left
    event = QMouseEvent(kind, place, place, button, left if down else none, Qt.KeyboardModifier.NoModifier)
    QApplication.sendEvent(target, event)


def settle() -> None:
    """Let queued edits, evaluation and painting finish."""
    for _ in range(3):
        QApplication.processEvents()


def drag(window: MainWindow, split: Split, moves: int) -> list[float]:
    """Drag a load point around a small ellipse and return the seconds of each move."""
    plane = window.bench.plane
    target = plane.canvas.viewport()
    start = QPointF(plane.points[SEGMENT].pos())
    send(target, QEvent.Type.MouseButtonPress, start, True)
    times = []
    for k in range(moves + WARM_UP):
        angle = 0.13 * k
        place = start + QPointF(60.0 * math.sin(angle), 40.0 * math.sin(2.0 * angle + 0.4))
        before = window.document.revision
        begin = time.perf_counter()
        send(target, QEvent.Type.MouseMove, place, True)
        settle()
        taken = time.perf_counter() - begin
        if k >= WARM_UP:
            times.append(taken)
            split.next_move()
            assert window.document.revision > before, "the move changed nothing"
        split.now = {}
    send(target, QEvent.Type.MouseButtonRelease, place, False)
    settle()
    return times


def row(name: str, seconds: list[float]) -> str:
    """Return one line of the table in milliseconds."""
    ms = 1e3 * np.array(seconds)
    return f"{name:22}{np.median(ms):8.2f}{np.percentile(ms, 95):8.2f}{ms.max():8.2f}"


def main() -> None:
    arguments = [argument for argument in sys.argv[1:] if argument != "--alone"]
    alone = len(arguments) < len(sys.argv) - 1
    sample = arguments[0] if arguments else "sample_carousel"
    moves = int(arguments[1]) if len(arguments) > 1 else 300
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    _app = QApplication(sys.argv[:1])
    split = Split()
    preferences = Preferences()
    preferences.theme = "light"
    preferences.dress()
    document = ProjectDocument(read_project(ROOT / "sample_projects" / f"{sample}.json"))
    recompute = Recompute(document, split.evaluated(evaluate))
    processes = CandidateProcesses(0 if alone else None)
    recompute.dragging = split.evaluated(processes.evaluate)
    window = MainWindow(document, recompute, preferences)
    bench = window.bench
    watched, read = ("plane", "cycle", "table", "findings"), ("inputs", "margins")
    bench.watched = tuple(split.timed(name, show) for name, show in zip(watched, bench.watched, strict=True))
    bench.read = tuple(split.timed(name, show) for name, show in zip(read, bench.read, strict=True))
    window.resize(1280, 800)
    window.show()
    recompute.run_now()
    settle()
    release_collection()  # as the program does after its first paint
    processes.prepare(len(document.project.candidates))  # as the program does when the window rests
    while processes.ready < processes.started:
        time.sleep(0.01)
    times = drag(window, split, moves)
    print(
        f"{sample}, {moves} moves of load point {SEGMENT + 1}, window {window.width()}x{window.height()}, "
        f"{processes.ready} processes beside"
    )
    print(f"{'ms':22}{'p50':>8}{'p95':>8}{'max':>8}")
    print(row("move to repaint", times))
    for name, seconds in split.rows.items():
        print(row(f"  {name}", seconds))
    known = np.sum(list(split.rows.values()), axis=0)
    print(row("  edit and painting", list(np.array(times) - known)))
    print(f"target: p95 16.7 ms; reached {np.percentile(1e3 * np.array(times), 95):.1f} ms")
    processes.close()
    document.undo_stack.setClean()  # nobody is there to say whether to save
    window.close()


if __name__ == "__main__":
    main()
