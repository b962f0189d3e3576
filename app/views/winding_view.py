"""All windings of the frame over speed: which the voltage and the electronics allow."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from msgspec.structs import replace as replaced
from PySide6.QtCore import QPointF, QRectF, Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QLabel, QSlider, QVBoxLayout, QWidget

from app.candidate_edits import require_room
from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plot_base import PlotPane
from app.views.point_marks import PointMarks
from app.views.winding_table import WindingTable
from app.widgets.candidate_mark import letter_of
from core.charts.chart import Chart
from core.charts.winding_chart import TITLE, empty_winding_chart, turns_words, winding_chart
from core.errors import AmpturnError
from core.numeric import FloatArray
from core.project import edits
from core.project.candidate import Candidate
from core.results import CandidateResult, Result
from core.units import Kind
from core.winding_results import WindingFit, WindingStudy

UPDATING = "updating"
NO_CANDIDATE = "No candidate is chosen."
NO_STUDY = "This needs a supply voltage, a motor with its winding, and a duty."
_NEAR_PX = 10.0
_OCTAVE = 60  # steps of the slider that double the turns


class WindingView(PlotPane):
    """Draws the study of the chosen candidate; a click on a line gives the candidate that winding."""

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self._drawn: tuple[CandidateResult, WindingStudy] | None = None
        self._chart: Chart | None = None
        self.points = PointMarks(self.canvas.scene())
        self.table = WindingTable(preferences)
        self.slider = QSlider(Qt.Orientation.Horizontal)
        self.slider.setRange(-2 * _OCTAVE, 2 * _OCTAVE)
        self.slider.setPageStep(_OCTAVE // 4)
        self.slider.setAccessibleName("Turns over those of the chosen winding")
        self.slider.setToolTip("Any number of turns in the same copper, over those of the chosen winding")
        self.turns_label = QLabel()
        self.turns_label.setTextFormat(Qt.TextFormat.PlainText)
        self.turns_label.setProperty("type", "small")
        self.turns_label.setWordWrap(True)
        self._lay_out()
        self.slider.valueChanged.connect(self.redraw)
        self.table.pointed.connect(self.redraw)
        self.table.take_asked.connect(self.take)
        self.table.copy_asked.connect(self.take_as_new)

    def _lay_out(self) -> None:
        self.column.removeWidget(self.canvas)
        self.turns_row = QWidget()
        turns = QHBoxLayout(self.turns_row)
        turns.setContentsMargins(14, 0, 8, 0)
        turns.setSpacing(8)
        turns.addWidget(QLabel("turns"))
        turns.addWidget(self.slider, 1)
        left = QVBoxLayout()
        left.setSpacing(2)
        left.addWidget(self.canvas, 1)
        left.addWidget(self.turns_row)
        self.turns_label.setContentsMargins(14, 0, 8, 0)
        left.addWidget(self.turns_label)
        row = QHBoxLayout()
        row.setSpacing(4)
        row.addLayout(left, 1)
        row.addWidget(self.table)
        self.column.addLayout(row, 1)

    # the result ----------------------------------------------------------------------------------------

    def chart(self, result: Result) -> Chart:
        """Return the windings of a result; those before, said to be old, while it is not there yet."""
        candidate, late = result.chosen_candidate, self.is_late(result)
        if candidate is None or candidate.winding_later is None:
            self._drawn = None
        elif not late:
            study = candidate.winding_study
            self._drawn = None if study is None else (candidate, study)
        elif self._drawn is not None and self._drawn[0].name != candidate.name:
            self._drawn = None
        self.table.show_study(None if self._drawn is None else self._drawn[1])
        for part in (self.table, self.turns_row, self.turns_label):
            part.setVisible(self._drawn is not None)
        if self._drawn is None:
            words = NO_CANDIDATE if candidate is None else UPDATING if late else NO_STUDY
            return empty_winding_chart(words)
        fit = self._rewound()
        self._show_turns(fit)
        chart = winding_chart(*self._drawn, self._preferences.display_units, self.table.current_name, fit)
        self._chart = chart
        return replace(chart, headline=UPDATING) if late else chart

    def laid_out(self) -> None:
        """Place the points that the cycle asks for."""
        lane = self.canvas.lanes[0] if self.canvas.lanes and self._drawn is not None else None
        points = () if self._chart is None else self._chart.panels[0].points
        segment = self._selection.segment
        self.points.show(lane, points, self._preferences.tokens, "" if segment is None else str(segment + 1))

    def kept_clear(self) -> list[QRectF]:
        """Return the places of the points."""
        return self.points.rects()

    def is_late(self, result: Result) -> bool:
        """Return whether the study is still to be computed."""
        candidate = result.chosen_candidate
        later = None if candidate is None else candidate.winding_later
        return later is not None and not later.known

    def fetch_late(self, result: Result) -> None:
        """Compute the study of the chosen candidate."""
        candidate = result.chosen_candidate
        if candidate is not None and candidate.winding_later is not None:
            candidate.winding_later.value()

    def restyle(self) -> None:
        """Draw again in the units and colours that are preferred now."""
        self.table.restyle()
        super().restyle()

    @property
    def turns(self) -> float:
        """The turns that the slider stands at, over those of the chosen winding."""
        return float(2.0 ** (self.slider.value() / _OCTAVE))

    def _rewound(self) -> WindingFit | None:
        if self._drawn is None or self.slider.value() == 0:
            return None
        return self._drawn[1].at_turns(self.turns)

    def _show_turns(self, fit: WindingFit | None) -> None:
        assert self._drawn is not None  # `chart` asks
        units, study = self._preferences.display_units, self._drawn[1]
        window = turns_words(study, units)
        if fit is None:
            self.turns_label.setText(f"{window}.")
            return
        share = units.format_quantity(fit.voltage_share, Kind.RATIO, 3)
        peak, lasting = (
            units.format_quantity(amps, Kind.CURRENT, 3) for amps in (fit.peak_current, fit.lasting_current)
        )
        self.turns_label.setText(
            f"{fit.name}: {share} of the voltage, {peak} peak, {lasting} continuous; {window}."
        )

    # the hand ------------------------------------------------------------------------------------------

    def winding_at(self, place: QPointF) -> str | None:
        """Return the winding whose line is near a place of the canvas."""
        if self._drawn is None or not self.canvas.lanes:
            return None
        lane = self.canvas.lanes[0]
        if not lane.frame.contains(place):
            return None
        away: dict[str, float] = {}
        for fit in self._drawn[1].windings:
            known = np.isfinite(fit.torque)
            if not known.any():
                continue
            pixels = lane.curve_px(self._drawn[1].speed[known], fit.torque[known])
            away[fit.name] = _distance(pixels, place)
        nearest = min(away, key=lambda name: away[name], default=None)
        return nearest if nearest is not None and away[nearest] < _NEAR_PX else None

    def hovered_at(self, place: QPointF | None) -> None:
        """Point at the winding under the cursor."""
        name = None if place is None else self.winding_at(place)
        if name is not None:
            self.table.point_at(name)

    def clicked_at(self, place: QPointF) -> None:
        """Take the winding whose line is clicked."""
        name = self.winding_at(place)
        if name is not None:
            self.table.point_at(name)
            self.take(name)

    def nudged(self, across: int, up: int) -> None:
        """Go through the windings with the arrow keys: right and down to more turns."""
        self.table.step(across - up)

    def taken(self) -> bool:
        """Take the winding that the arrow keys have gone to."""
        self.take(self.table.current_name)
        return True

    def _changed(self, name: str) -> tuple[int, Candidate] | None:
        """Return which candidate would have another winding, and what it would be."""
        project = self._document.project
        index = None if self.result is None else self.result.chosen
        if index is None or index >= len(project.candidates):
            return None
        candidate = project.candidates[index]
        names = () if candidate.motor is None else [winding.name for winding in candidate.motor.windings]
        if name not in names or name == candidate.winding:
            return None
        return index, replaced(candidate, winding=name)

    @Slot(str)
    def take(self, name: str) -> None:
        """Give the chosen candidate a winding: one step to undo."""
        changed = self._changed(name)
        if changed is not None:
            index, candidate = changed
            after = edits.change_candidate(self._document.project, index, winding=candidate.winding)
            self._document.edit(after, f"take winding {name} for {letter_of(index)}")

    @Slot(str)
    def take_as_new(self, name: str) -> None:
        """Add a candidate with this winding: one step to undo."""
        changed = self._changed(name)
        if changed is None:
            return
        try:
            require_room(self._document)
        except AmpturnError as error:
            self.headline.setText(str(error))
            return
        made = replaced(changed[1], name=f"{changed[1].name}, {name}")
        self._document.edit(edits.add_candidate(self._document.project, made), f"add a candidate with {name}")


def _distance(line: FloatArray, place: QPointF) -> float:
    """Return the distance of a place from a line of points, shape (n, 2). [px]"""
    to = line - np.array([place.x(), place.y()])
    if len(line) == 1:
        return math.hypot(*to[0])
    step = np.diff(line, axis=0)
    square = np.maximum((step**2).sum(axis=1), 1e-12)
    along = np.clip(-(to[:-1] * step).sum(axis=1) / square, 0.0, 1.0)
    return float(np.sqrt(((to[:-1] + along[:, None] * step) ** 2).sum(axis=1)).min())


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(WindingView)
