"""A process that saves and keeps changes without end, and is killed at a random moment.

Whatever the moment: the file is one of the states that were saved, whole, and the kept changes are readable.
"""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

from core.project.project_file import read_project
from core.project.recovery_file import read_kept_changes

ROOT = Path(__file__).resolve().parents[2]

# State n has the title n and notes whose length depends on n, so that a mixture of two states shows.
_SAVER = """
import sys
from pathlib import Path
from msgspec.structs import replace
from core.project.project_file import read_project, write_project
from core.project.recovery_file import kept_changes, write_kept_changes
path, recovery = Path(sys.argv[1]), Path(sys.argv[2])
project = read_project(path)
number = int(project.application.title) if project.application.title.isdecimal() else 0
print("ready", flush=True)
while True:
    number += 1
    notes = str(number) * (number % 900)
    project = replace(project, application=replace(project.application, title=str(number), notes=notes))
    write_kept_changes(recovery / "0-1-a.json", kept_changes(project, path, path.parent, float(number)))
    write_project(path, project)
"""


class KilledSaver:
    """Starts, kills and judges such processes on one file."""

    def __init__(self, path: Path, recovery: Path, seed: int) -> None:
        self.path, self.recovery = path, recovery
        self._random = random.Random(seed)
        self.states: set[int] = set()  # that were found after a kill

    def kill_once(self) -> None:
        """Let it save for a moment, kill it, and see what is there."""
        saver = subprocess.Popen(
            [sys.executable, "-c", _SAVER, str(self.path), str(self.recovery)],
            cwd=ROOT, stdout=subprocess.PIPE,
        )  # fmt: skip
        assert saver.stdout is not None
        assert saver.stdout.readline() == b"ready\n"
        time.sleep(self._random.uniform(0.0, 0.12))
        saver.send_signal(signal.SIGKILL)
        saver.communicate()
        assert saver.returncode == -signal.SIGKILL
        self._judge()

    def _judge(self) -> None:
        """See that file and kept changes are whole states, and that the changes are not the older ones."""
        application = read_project(self.path).application
        saved = int(application.title) if application.title.isdecimal() else 0
        if saved:
            assert application.notes == str(saved) * (saved % 900)
        self.states.add(saved)
        place = self.recovery / "0-1-a.json"
        if place.exists():
            kept = read_kept_changes(place)
            assert kept.path == self.path
            number = int(kept.project.application.title)
            assert kept.project.application.notes == str(number) * (number % 900)
            assert number in (saved, saved + 1)
