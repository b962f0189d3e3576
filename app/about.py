"""What the tool is, what it must not be taken for, and where its figures come from."""

from __future__ import annotations

import platform
from importlib import metadata

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from core.project.project import PROJECT_VERSION

CAUTIONS = (
    "A calculation tool for professionals. It judges a choice of motor by the figures that it is given; it "
    "does not replace the data sheet, a measurement on the real machine, or the judgement of whoever signs "
    "for it. Where somebody could be hurt by a turning part, a hot surface, a falling load or electricity, "
    "the local codes, the standards and licensed practice decide, not a margin on a screen. "
    "The parts that come with the tool are invented."
)
SOURCES = (
    "Each equation is stated with its source where it is programmed, and each margin shows its equation with "
    "the numbers put in: press the margin. Touch thresholds follow ISO 13732-1, duty types and the law of "
    "copper IEC 60034-1; their numbers are from memory, not copied from the printed clauses. Where a figure "
    "is common practice without a source, that is what it says. Input that is missing is marked where it is "
    "entered."
)
_PARTS = ("PySide6-Essentials", "numpy", "scipy", "msgspec", "pint")


def versions() -> str:
    """Return the versions of the tool and of what it runs on, in one line."""
    words = [f"Ampturn {_version('ampturn')}", f"project format {PROJECT_VERSION}"]
    words += [f"Python {platform.python_version()}", *(f"{name} {_version(name)}" for name in _PARTS)]
    return ", ".join(words)


class AboutDialog(QDialog):
    """Versions, cautions and sources."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.finished.connect(self.deleteLater)  # the window would keep each one that was opened
        self.setWindowTitle("About Ampturn")
        column = QVBoxLayout(self)
        column.setSpacing(10)
        for kind, words in (
            ("title", "Ampturn"),
            ("soft", "From a load to a justified choice of small flat brushless motor."),
            ("group", "Cautions"),
            ("", CAUTIONS),
            ("group", "Where the figures come from"),
            ("", SOURCES),
            ("group", "Versions"),
            ("small", versions()),
        ):
            label = QLabel(words)
            label.setProperty("type", kind)
            label.setWordWrap(True)
            column.addWidget(label)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self.setMinimumWidth(520)


def _version(name: str) -> str:
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return "(run from its folder)"
