"""What a start loads, and in which order: a fresh process each, since this one has loaded everything."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

# As `python -m app` starts the window, up to its first paint.
START = """
import json, sys
sys.argv = ["ampturn"]
from app import commands
from PySide6.QtWidgets import QApplication

def shown_once(self):
    self.processEvents()
    print(json.dumps(list(sys.modules)))
    return 0

QApplication.exec = shown_once
sys.exit(commands.run([]))
"""

# Slow to load, and needed by what the first paint does not show.
NOT_YET = (
    "scipy",
    "pint",
    "hashlib",
    "importlib.metadata",
    "core.result_json",
    "core.trace_import",
    "core.evaluation.faults",
    "core.evaluation.heat_band",
    "core.evaluation.heat_flows",
    "core.evaluation.supply_detail",
    "core.evaluation.what_helps",
    "core.evaluation.winding_choice",
    "core.project.differences",
    "core.project.first_steps",
    "core.project.recovery_file",
    "core.quantity_help",
    "core.unit_presets",
    "app.guide_strip",
    "app.help_panel",
    "app.side_by_side_page",
    "app.tour",
    "app.views.heat_picture_view",
    "app.views.what_helps_panel",
)


@pytest.fixture(scope="module")
def loaded(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """Return the modules that are there after the first paint, in the order in which they came."""
    settings = str(tmp_path_factory.mktemp("settings"))
    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "XDG_CONFIG_HOME": settings,
        "XDG_DATA_HOME": settings,
    }
    done = subprocess.run(
        [sys.executable, "-c", START],
        cwd=ROOT,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    modules: list[str] = json.loads(done.stdout.splitlines()[-1])
    return modules


def test_a_start_shows_the_window_with_an_answer(loaded: list[str]) -> None:
    """The list below says something only if these were loaded and used."""
    assert {"app.main_window", "core.evaluate", "app.views.speed_torque_plane"} <= set(loaded)


@pytest.mark.parametrize("module", NOT_YET)
def test_a_start_does_not_load(module: str, loaded: list[str]) -> None:
    assert module not in loaded


def test_the_core_is_loaded_before_qt(loaded: list[str]) -> None:
    """Qt for Python reads the source of every module that is imported after it."""
    assert loaded.index("core.evaluate") < loaded.index("PySide6")
