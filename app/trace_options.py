"""Where a trace was measured and what its torque contains: what no file can tell of itself."""

from __future__ import annotations

from typing import Literal

from msgspec.structs import replace
from PySide6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QSpinBox, QWidget

from core.project.load import TraceSource

Place = Literal["motor shaft", "load"]
_PLACES: tuple[tuple[Place, str], ...] = (
    ("motor shaft", "at the motor shaft"),
    ("load", "at the load, behind the transmission"),
)
_MOST_SMOOTHED = 100_000


class TraceOptions(QWidget):
    """Three choices, and a sentence that says what the evaluation will make of them."""

    def __init__(self) -> None:
        super().__init__()
        self.place = QComboBox()
        for value, words in _PLACES:
            self.place.addItem(words, value)
        self.contains_rotor = QCheckBox("the torque already contains what the rotor takes")
        self.smoothed = QSpinBox()
        self.smoothed.setRange(1, _MOST_SMOOTHED)
        self.meaning = QLabel()
        self.meaning.setWordWrap(True)
        self.meaning.setProperty("type", "soft")
        form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.addRow("Measured", self.place)
        form.addRow("Rotor", self.contains_rotor)
        form.addRow("Acceleration averaged over", self.smoothed)
        form.addRow(self.meaning)
        self.place.setAccessibleName("Where torque and speed were measured")
        self.smoothed.setAccessibleName("Number of intervals over which the acceleration is averaged")
        self.place.currentIndexChanged.connect(self._follow)
        self.contains_rotor.toggled.connect(self._follow)
        self.smoothed.valueChanged.connect(self._follow)
        self._follow()

    def show_source(self, source: TraceSource) -> None:
        """Show the choices of a trace that was imported before."""
        self.place.setCurrentIndex([value for value, _ in _PLACES].index(source.at))
        self.contains_rotor.setChecked(source.contains_rotor)
        self.smoothed.setValue(source.smoothed_over)

    def applied(self, source: TraceSource) -> TraceSource:
        """Return a source with the choices made here."""
        at_load = self.place.currentData() == "load"
        return replace(
            source,
            at="load" if at_load else "motor shaft",
            contains_rotor=self.contains_rotor.isChecked() and not at_load,
            smoothed_over=self.smoothed.value(),
        )

    def _follow(self) -> None:
        at_load = self.place.currentData() == "load"
        contains = self.contains_rotor.isChecked()
        self.contains_rotor.setEnabled(not at_load)
        self.smoothed.setEnabled(at_load or not contains)
        self.smoothed.setSuffix(" interval" if self.smoothed.value() == 1 else " intervals")
        self.meaning.setText(_meaning(at_load, contains, self.smoothed.value()))


def _meaning(at_load: bool, contains_rotor: bool, smoothed: int) -> str:
    over = "from sample to sample" if smoothed == 1 else f"over {smoothed} intervals"
    if at_load:
        return (
            "Torque and speed pass the transmission of each candidate; what gear and rotor take to speed "
            f"up is added, from the change of speed {over}. A noisy speed needs more intervals."
        )
    if contains_rotor:
        return "The torque is taken as it is, for every candidate: nothing is added for the rotor."
    return (
        f"What the rotor of each candidate takes to speed up is added, from the change of speed {over}. "
        "A noisy speed needs more intervals."
    )
