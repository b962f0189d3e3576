"""Open one view alone on a sample project: `python -m app.views.cycle_view [PICTURE.png] [light|dark]`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QApplication, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.recompute import Recompute
from app.selection import Selection
from core.evaluate import evaluate
from core.project.project_file import read_project

_SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"


def preview(view: Callable[[ProjectDocument, Selection, Preferences], QWidget]) -> None:
    """Show a view on a sample project; with a picture's name, write the picture and leave."""
    app = QApplication(sys.argv[:1])
    preferences = Preferences()
    preferences.theme = "dark" if "dark" in sys.argv else "light"
    preferences.dress()
    document = ProjectDocument(read_project(sorted(_SAMPLES.glob("*.json"))[-1]))
    recompute = Recompute(document, evaluate)
    widget = view(document, Selection(), preferences)
    recompute.result_ready.connect(widget.show_result)  # type: ignore[attr-defined]
    recompute.run_now()
    widget.resize(800, 440)
    widget.show()
    pictures = [name for name in sys.argv[1:] if name.endswith(".png")]
    if not pictures:
        sys.exit(app.exec())
    app.processEvents()
    widget.grab().save(pictures[0])
