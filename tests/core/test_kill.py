"""A process killed while it saves leaves the old file or the new one; `python -m tests.endurance kills`."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.core.killed_saver import ROOT, KilledSaver


def test_a_kill_at_any_moment_leaves_whole_files(tmp_path: Path) -> None:
    path, recovery = tmp_path / "p.json", tmp_path / "recovery"
    shutil.copy(ROOT / "sample_projects" / "sample_carousel.json", path)
    recovery.mkdir()
    saver = KilledSaver(path, recovery, seed=1)
    for _ in range(20):
        saver.kill_once()
    assert len(saver.states) > 5  # it was killed at different moments, while it saved
