"""The group of the electronics: its currents are typed as amplitudes or rms values, as one prefers."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.inputs.candidate_group import GAP, LABEL_WIDTH, CandidateGroup
from app.inputs.editors import PartChoice
from app.inputs.electronics_rows import questions
from app.parts_shelf import PartsShelf
from app.preferences import Preferences

_FLAG = "currents_as_rms"
_WAYS = ("amplitudes", "rms in a lead")


class ElectronicsGroup(CandidateGroup):
    """The choice between the two ways is kept with the preferences: the project holds amplitudes."""

    def __init__(self, document: ProjectDocument, preferences: Preferences, shelf: PartsShelf) -> None:
        self.currents: PartChoice | None = None
        self._as_rms = preferences.flag(_FLAG, False)
        super().__init__(questions(self._stated_as_rms), document, preferences, shelf)

    def _stated_as_rms(self) -> bool:
        return self._as_rms

    def _fill(self) -> None:
        super()._fill()
        holder, words = QWidget(), QLabel("Currents as")
        words.setFixedWidth(LABEL_WIDTH)
        words.setProperty("type", "soft")
        self.currents = PartChoice("Currents of the electronics as")
        self.currents.offer(_WAYS, (False, True), int(self._stated_as_rms()))
        self.currents.chosen.connect(self._on_chosen)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(GAP)
        row.addWidget(words)
        row.addWidget(self.currents, 1)
        layout = self.body.layout()
        if isinstance(layout, QVBoxLayout):
            layout.insertWidget(1, holder)  # below the results, above the rows

    def _on_chosen(self, as_rms: bool) -> None:
        self._as_rms = as_rms
        self._preferences.keep_flag(_FLAG, as_rms)
        self.show_units()
