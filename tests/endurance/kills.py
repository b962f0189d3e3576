"""Kill a process 500 times while it saves: the file is the old or the new one, the kept changes are whole.

Run: python -m tests.endurance kills [--times 500] [--seed 1]
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path

from tests.core.killed_saver import ROOT, KilledSaver


def main(arguments: list[str]) -> int:
    """Kill so many times; a file that is not whole ends it with the reason."""
    parser = argparse.ArgumentParser(prog="python -m tests.endurance kills", description=__doc__)
    parser.add_argument("--times", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as folder:
        path, recovery = Path(folder) / "p.json", Path(folder) / "recovery"
        shutil.copy(ROOT / "sample_projects" / "sample_carousel.json", path)
        recovery.mkdir()
        saver = KilledSaver(path, recovery, chosen.seed)
        for _ in range(chosen.times):
            saver.kill_once()
        left = len(list(Path(folder).glob(".*.new"))) + len(list(recovery.glob(".*.new")))
    print(f"{chosen.times} kills, {len(saver.states)} different states found, all whole; "
          f"{left} unfinished files left beside them")  # fmt: skip
    return 0
