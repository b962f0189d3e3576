"""Shaft and brake: what the shaft end may carry and carries, life of the bearings, margins of the brake."""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import PlotPane
from app.views.point_marks import PointMarks
from app.widgets.fact_list import FactList
from core.charts.chart import Chart
from core.charts.shaft_chart import CONVENTION, TITLE, empty_shaft_chart, shaft_chart, shaft_facts
from core.margin_rows import percent
from core.results import CandidateResult, Margin, Result
from core.sentences import as_text
from core.units import DisplayUnits

NO_CANDIDATE: Final = "No candidate is chosen."
NO_FORCE: Final = "No force on the shaft end is given."
BRAKE: Final = "brake_"  # how the criteria of the brake begin
_WIDTH = 268  # px


class ShaftView(PlotPane):
    """Draws the allowed radial force of the chosen candidate, and tells of its bearings."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self._chart: Chart | None = None
        self.points = PointMarks(self.canvas.scene())
        self.facts = FactList()
        self.convention = QLabel(CONVENTION)
        self.convention.setProperty("type", "small")
        self.convention.setWordWrap(True)
        self.words = QWidget()
        self.words.setFixedWidth(_WIDTH)
        side = QVBoxLayout(self.words)
        side.setContentsMargins(4, 4, 14, 4)
        side.setSpacing(8)
        side.addWidget(self.facts)
        side.addWidget(self.convention)
        self.brake_title = QLabel("Brake")
        self.brake_title.setProperty("type", "group")
        self.brake = FactList()
        side.addWidget(self.brake_title)
        side.addWidget(self.brake)
        side.addStretch(1)
        self.column.removeWidget(self.canvas)
        row = QHBoxLayout()
        row.addWidget(self.canvas, 1)
        row.addWidget(self.words)
        self.column.addLayout(row, 1)

    def chart(self, result: Result) -> Chart:
        """Return the allowed force of the chosen candidate."""
        candidate = result.chosen_candidate
        load = None if candidate is None else candidate.shaft_load
        units = self._preferences.display_units
        brake = () if candidate is None else brake_facts(candidate, units)
        self.brake.show_facts(brake)
        self.brake_title.setVisible(bool(brake))
        self.words.setVisible(load is not None or bool(brake))
        for part in (self.facts, self.convention):
            part.setVisible(load is not None)
        if candidate is None or load is None:
            self._chart = None
            return empty_shaft_chart(NO_CANDIDATE if candidate is None else self._why_not(candidate))
        self.facts.show_facts(shaft_facts(load, units))
        self._chart = shaft_chart(candidate, load, units)
        return self._chart

    def _why_not(self, candidate: CandidateResult) -> str:
        margin = candidate.margin("front_bearing_life")
        why = "" if margin is None else as_text(margin.why, self._preferences.display_units)
        return f"Not checked: {why}." if why else NO_FORCE

    def laid_out(self) -> None:
        """Place the force that is there."""
        lane = self.canvas.lanes[0] if self.canvas.lanes and self._chart is not None else None
        points = () if self._chart is None else self._chart.panels[0].points
        self.points.show(lane, points, self._preferences.tokens)

    def kept_clear(self) -> list[QRectF]:
        """Return the place of the force."""
        return self.points.rects()


def brake_facts(candidate: CandidateResult, units: DisplayUnits) -> tuple[tuple[str, str], ...]:
    """Return the margins of the brake, a label and what is asked, allowed and left each."""
    return tuple(
        (margin.label.removesuffix(" of the brake"), _brake_words(margin, units))
        for margin in candidate.margins
        if margin.criterion.startswith(BRAKE)
    )


def _brake_words(margin: Margin, units: DisplayUnits) -> str:
    if margin.demand is None or margin.limit is None or margin.margin is None:
        why = as_text(margin.why, units)
        return f"{margin.status}: {why}" if why else margin.status
    demand, limit = (units.format_quantity(value, margin.kind) for value in (margin.demand, margin.limit))
    left, target = percent(margin.margin, margin.target), percent(margin.target, margin.target)
    return f"{demand} of {limit}, {left}, target {target}"


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(ShaftView)
