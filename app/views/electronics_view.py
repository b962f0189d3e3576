"""Electronics and supply: the ripple of the current, live with its choke, and what braking does."""

from __future__ import annotations

from html import escape
from typing import Final

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.late_pane import LatePane, still_needed, whose
from app.views.plot_gesture import NudgeBurst
from app.views.ripple_words import choke_words, no_ripple_words, ripple_facts
from app.widgets.candidate_mark import letter_of
from app.widgets.fact_list import FactList
from app.widgets.marked_slider import MarkedSlider
from app.widgets.quantity_edit import QuantityEdit
from core.charts.ticks import nice_range
from core.deferred import Deferred
from core.project import edits
from core.results import CandidateResult
from core.ripple_results import Ripple
from core.sentences import as_text
from core.supply_results import SupplyDetail
from core.units import Kind

TITLE: Final = "Electronics and supply"
CHOKE: Final = "Choke in each lead"
_ROOM = 1.5  # of the slider beyond what is needed or there


class ElectronicsView(LatePane[SupplyDetail]):
    """Facts about the ripple, a slider for the choke, and the statements about the supply."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, parent)
        self.facts = FactList()
        self.no_ripple, self.choke_note = _small(), _small()
        self.slider = MarkedSlider(CHOKE)
        self.field = QuantityEdit(CHOKE, Kind.INDUCTANCE, preferences.display_units, check=_not_negative)
        self.field.setMaximumWidth(120)
        self.supply = QLabel()
        self.nudges = NudgeBurst(document, self)
        self._lay_out()
        self.slider.sliderPressed.connect(self._on_pressed)
        self.slider.valueChanged.connect(self._on_slid)
        self.slider.sliderReleased.connect(self._on_released)
        self.slider.escaped.connect(self._on_escaped)
        self.field.committed.connect(self._write)
        self.setFocusProxy(self.slider)

    def _lay_out(self) -> None:
        choke = QHBoxLayout()
        choke.setSpacing(10)
        choke.addWidget(QLabel(CHOKE))
        choke.addWidget(self.slider, 1)
        choke.addWidget(self.field)
        self.supply.setWordWrap(True)
        self.supply.setTextFormat(Qt.TextFormat.RichText)
        self.supply.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(14, 4, 14, 4)
        column.setSpacing(6)
        column.addWidget(_group("Ripple of the current"))
        column.addWidget(self.no_ripple)
        column.addWidget(self.facts)
        column.addLayout(choke)
        column.addWidget(self.choke_note)
        column.addSpacing(6)
        column.addWidget(_group("Supply"))
        column.addWidget(self.supply)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidget(inside)
        area.setWidgetResizable(True)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for part in (inside, area.viewport()):
            part.setAutoFillBackground(False)  # the ground of the pane goes on under the words
        whole = QVBoxLayout(self.body)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addWidget(area)

    # the result ----------------------------------------------------------------------------------------

    def later(self, candidate: CandidateResult) -> Deferred[SupplyDetail] | None:
        """Return the details of the supply."""
        return candidate.supply_later

    def missing_words(self, candidate: CandidateResult) -> str:
        """Return why nothing is known about electronics and supply."""
        return still_needed(candidate, "Ripple and supply need a duty and a supply voltage.")

    def headline_of(self, candidate: CandidateResult, _found: SupplyDetail) -> str:
        """Return whose electronics they are."""
        return f"{whose(candidate)}, ripple at the highest supply voltage, at the worst duty of the cycle"

    def fill(self, _candidate: CandidateResult, found: SupplyDetail) -> None:
        """Show the statements about the supply."""
        units = self._preferences.display_units
        rows = (escape(as_text(words, units)) for words in found.statements)
        self.supply.setText("".join(f'<p style="margin: 0 0 4px 0">{row}</p>' for row in rows))

    @Slot()
    def redraw(self) -> None:
        """Show the ripple at once, within a drag too; the supply follows when the hand rests."""
        super().redraw()
        candidate = None if self.result is None else self.result.chosen_candidate
        if candidate is not None and self.isVisible():
            self._show_ripple(candidate)

    def _show_ripple(self, candidate: CandidateResult) -> None:
        units, ripple = self._preferences.display_units, candidate.ripple
        self.no_ripple.setVisible(ripple is None)
        self.no_ripple.setText("" if ripple is not None else no_ripple_words(candidate, units))
        self.facts.show_facts(() if ripple is None else ripple_facts(candidate, ripple, units))
        self.choke_note.setText("" if ripple is None else choke_words(ripple, units))
        self._show_choke(ripple)

    def _show_choke(self, ripple: Ripple | None) -> None:
        index, choke = self.chosen_index, 0.0
        if self.result is not None and self.result.project.chosen_candidate is not None:
            choke = self.result.project.chosen_candidate.choke
        least = None if ripple is None else ripple.least_choke
        for part in (self.slider, self.field):
            part.setEnabled(index is not None and ripple is not None)
        if not self._document.in_gesture:
            # where none is needed the slider reaches as far as the path itself
            needed = least or (0.0 if ripple is None else 0.5 * ripple.inductance)
            self.slider.top = nice_range(0.0, _ROOM * max(needed, choke, 1e-6))[1]
        self.slider.show_amount(choke, least or None)
        self.field.setValue(choke)

    def restyle(self) -> None:
        """Show everything in the units and colours that are preferred now."""
        self.field.set_display_units(self._preferences.display_units)
        super().restyle()

    # the hand ------------------------------------------------------------------------------------------

    @Slot()
    def _on_pressed(self) -> None:
        self.nudges.end()
        self._document.begin_gesture()

    @Slot()
    def _on_slid(self) -> None:
        if self.slider.isSliderDown():
            self._write(self.slider.amount)
            return
        index, choke = self.chosen_index, self.slider.amount
        if index is not None:
            self.nudges.edit(
                lambda: edits.change_candidate(self._document.project, index, choke=choke), _text(index)
            )

    @Slot()
    def _on_released(self) -> None:
        if self._document.in_gesture:
            self._document.end_gesture()

    @Slot()
    def _on_escaped(self) -> None:
        if self._document.in_gesture:
            self._document.cancel_gesture()
        self.slider.setSliderDown(False)
        self.redraw()

    @Slot(float)
    def _write(self, choke: float) -> None:
        index = self.chosen_index
        if index is not None:
            after = edits.change_candidate(self._document.project, index, choke=choke)
            self._document.edit(after, _text(index))


def _text(index: int) -> str:
    return f"change the choke of {letter_of(index)}"


def _not_negative(choke: float) -> None:
    from core.physics.input_ranges import require_not_negative

    require_not_negative("choke", choke, "H")


def _small() -> QLabel:
    label = QLabel()
    label.setProperty("type", "small")
    label.setWordWrap(True)
    return label


def _group(words: str) -> QLabel:
    label = QLabel(words)
    label.setProperty("type", "group")
    return label


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(ElectronicsView)
