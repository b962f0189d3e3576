"""Time from a fresh process to the first finished paint with a sample project, against a bare plot window.

Both are started in turn, in the same run and on the same machine; the ratio of the medians counts. The bare
window is pyqtgraph with one empty plot. Both stop when their first paint has been delivered.
Compiled modules are there for both, in a folder of this run.

Run: python tests/benchmarks/bench_first_paint.py [REPEATS]
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parents[2]

BARE = """
from PySide6.QtWidgets import QApplication
import pyqtgraph as pg
app = QApplication([])
window = pg.PlotWidget()
window.resize(1280, 800)
"""

# In the order of `python -m app`: commands and core first, then Qt, which reads the source of each module
# that is imported after it.
OURS = """
from app.collector import hold_collection
hold_collection()
import app.commands
from PySide6.QtWidgets import QApplication
from app.preferences import Preferences
from app.start import build_window
app = QApplication([])
window = build_window(Preferences())
window.resize(1280, 800)
"""

# A timer of no duration runs after the paint events that `show` posted; the shown pixels are then there.
FIRST_PAINT = """
from PySide6.QtCore import QEvent, QObject, QTimer
class Painted(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.UpdateRequest:
            QTimer.singleShot(0, app.quit)
        return False
painted = Painted()
window.installEventFilter(painted)
window.show()
QTimer.singleShot(10_000, lambda: app.exit(3))
code = app.exec()
import os
os._exit(code)
"""


def seconds(program: str, caches: str) -> float:
    """Run a program in a fresh process until its first paint, with compiled modules as any second start."""
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "PYTHONPYCACHEPREFIX": caches}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    begin = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-c", program + FIRST_PAINT],
        cwd=ROOT,
        env=environment,
        check=False,
        capture_output=True,
    )
    taken = time.perf_counter() - begin
    if done.returncode != 0:
        raise SystemExit(f"no first paint (code {done.returncode}):\n{done.stderr.decode()}")
    return taken


def main() -> None:
    repeats = max(7, int(sys.argv[1]) if len(sys.argv) > 1 else 9)
    bare, ours = [], []
    with TemporaryDirectory() as caches:
        for program in (BARE, OURS):
            seconds(program, caches)  # compiled modules and the disk cache are there for both
        for _ in range(repeats):
            bare.append(seconds(BARE, caches))
            ours.append(seconds(OURS, caches))
    print(f"first paint, medians of {repeats}: bare plot window {1e3 * median(bare):.0f} ms, ", end="")
    print(f"Ampturn with the sample project {1e3 * median(ours):.0f} ms")
    print(f"ratio {median(ours) / median(bare):.2f}, target at most 1.60")


if __name__ == "__main__":
    main()
