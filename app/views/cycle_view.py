"""The cycle: torque, speed and temperature above one time axis, with what can be dragged of it."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from PySide6.QtCore import QPointF, QRectF, Slot
from PySide6.QtWidgets import QLabel, QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.cycle_lanes import (
    Base,
    HandlesItem,
    corner_grip,
    edge_grip,
    level_grip,
    round_step,
    segment_at,
)
from app.views.plane_items import BubbleItem
from app.views.plot_axes import Lane
from app.views.plot_base import PlotPane
from app.views.plot_gesture import Grip
from core.charts.chart import Chart, Panel
from core.charts.cycle_chart import SPEED_LANE, TEMPERATURE_LANE, TITLE, TORQUE_LANE, cycle_chart
from core.charts.display_axis import time_words
from core.charts.supply_lane import supply_lane, waiting_lane
from core.evaluation.detached import TAKEN_OUT, detaching, is_taken_out
from core.project import edits
from core.project.project import Project
from core.results import Result
from core.units import Kind


class CyclePlot(PlotPane):
    """Draws one cycle; torque levels and speed corners move up and down, edges move in time."""

    lit_by = MappingProxyType(
        {
            "torque_reserve": "winding",
            "winding_temperature": "winding",
            "magnet_temperature": "magnets",
            "outside_temperature": "outside",
        }
    )

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=False, parent=parent)
        self.taken_out = QLabel(TAKEN_OUT)
        self.taken_out.setToolTip("The segments no longer follow the load; what it asks is drawn dotted")
        self.buttons.addWidget(self.taken_out)
        self._supply_lane: Panel | None = None
        self.follow = self.add_button(
            "follow the load again", "Derive the duty from load and motion again; one step to undo"
        )
        self.follow.clicked.connect(self._follow_load)
        # its room is kept: the canvas must not move under the hand when a drag takes the duty out
        kept = self.follow.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.follow.setSizePolicy(kept)
        self.supply = self.add_button(
            "supply voltage", "A lane with the voltage at the electronics and the limits that bound it"
        )
        self.supply.setCheckable(True)
        self.supply.setChecked(preferences.flag("supply_lane", False))
        self.supply.toggled.connect(self._on_supply)
        self.handles, self.bubble = HandlesItem(), BubbleItem()
        self.canvas.scene().addItem(self.handles)
        self.canvas.scene().addItem(self.bubble)

    def chart(self, result: Result) -> Chart:
        """Return the cycle of a result."""
        units, below = self._preferences.display_units, self._lanes_below(result)
        late = self._settling_is_late(result)
        chart = cycle_chart(result, units, self._selection.segment, not late, below)
        return replace(chart, headline=f"{chart.headline}, settling time updating") if late else chart

    def _lanes_below(self, result: Result) -> tuple[Panel, ...]:
        """Return the lane of the supply where it is wanted; the one before while it is not there yet."""
        if not self.supply.isChecked():
            return ()
        chosen = result.chosen_candidate
        if self._supply_is_late(result):
            return (self._supply_lane or waiting_lane("updating"),)
        self._supply_lane = None if chosen is None else supply_lane(chosen, self._preferences.display_units)
        return (self._supply_lane or waiting_lane("no voltage of the supply is known"),)

    @Slot(bool)
    def _on_supply(self, wanted: bool) -> None:
        self._preferences.keep_flag("supply_lane", wanted)
        self.redraw()

    def show_result(self, result: Result) -> None:
        """Draw a result, and say where its duty comes from."""
        for part in (self.taken_out, self.follow):
            part.setVisible(is_taken_out(result.project))
        super().show_result(result)

    @Slot()
    def _follow_load(self) -> None:
        project = self._document.project
        if is_taken_out(project):
            self._document.edit(edits.follow_load(project), "follow the load again")

    def is_late(self, result: Result) -> bool:
        """Return whether the settling time or the lane of the supply is still to be computed."""
        return self._settling_is_late(result) or self._supply_is_late(result)

    def _settling_is_late(self, result: Result) -> bool:
        chosen = result.chosen_candidate
        later = chosen.heating_up_later if chosen is not None else None
        return later is not None and not later.known

    def _supply_is_late(self, result: Result) -> bool:
        chosen = result.chosen_candidate
        later = chosen.supply_later if chosen is not None and self.supply.isChecked() else None
        return later is not None and not later.known

    def fetch_late(self, result: Result) -> None:
        """Look at the heating up of the chosen candidate once, and at its supply where that is on show."""
        chosen = result.chosen_candidate
        if chosen is None:
            return
        if chosen.heating_up_later is not None:
            chosen.heating_up_later.value()
        if self.supply.isChecked() and chosen.supply_later is not None:
            chosen.supply_later.value()

    def laid_out(self) -> None:
        """Place the handles, and the numbers of what is dragged."""
        result = self.result
        if result is None or len(self.canvas.lanes) <= SPEED_LANE:
            return
        lane = self.canvas.lanes[SPEED_LANE]
        tokens, selected = self._preferences.tokens, self._selection.segment
        self.handles.setVisible(result.project.application.duty_from != "trace")  # nothing of it is dragged
        self.handles.show_handles(lane, result.duty, tokens, selected)
        self._show_numbers(result)

    def _show_numbers(self, result: Result) -> None:
        grip, application = self.gesture.grip, result.project.application
        segments = application.duty_cycle
        if grip is None or application.duty_from != "segments" or grip.segment >= len(segments):
            self.bubble.setVisible(False)
            return
        units, segment = self._preferences.display_units, segments[grip.segment]
        title = f"{grip.segment + 1} {segment.name}".rstrip()
        end = float(result.duty.edges[grip.segment + 1])
        if grip.across:
            lane = self.canvas.lanes[SPEED_LANE]
            words = f"{time_words(segment.duration, units)}, ends at {time_words(end, units)}"
            place = QPointF(lane.to_px(end, 0.0).x(), lane.frame.center().y())
        elif grip.text == "change torque":
            lane = self.canvas.lanes[TORQUE_LANE]
            words = f"{units.format_quantity(segment.shaft_torque, Kind.TORQUE)} at the shaft"
            place = QPointF(grip.place.x(), lane.to_px(0.0, segment.shaft_torque).y())
        else:
            lane = self.canvas.lanes[SPEED_LANE]
            start, stop = (
                units.format_quantity(speed, Kind.SPEED) for speed in (segment.speed_start, segment.speed_end)
            )
            words = start if start == stop else f"from {start} to {stop}"
            place = QPointF(grip.place.x(), lane.frame.top())
        self.bubble.show_words(
            title, words, self._preferences.tokens, place, lane.frame.adjusted(0, -40, 0, 0)
        )

    def kept_clear(self) -> list[QRectF]:
        """Return nothing: handles stand in lanes without labels."""
        return []

    def grip_at(self, place: QPointF) -> Grip | None:
        """Return the handle under the cursor: corners first, then edges, then levels."""
        result, lanes = self.result, self.canvas.lanes
        if result is None or len(lanes) <= TEMPERATURE_LANE or not self.editable:
            return None
        taken_out = detaching(result)
        grip = self._handle_at(result, place, lambda: taken_out(self._document.before_gesture))
        return replace(grip, taken_out=True) if grip is not None and self.derived else grip

    def _handle_at(self, result: Result, place: QPointF, base: Base) -> Grip | None:
        duty, lanes = result.duty, self.canvas.lanes
        if len(duty.edges) < 2:
            return None
        torque, speed = lanes[TORQUE_LANE], lanes[SPEED_LANE]
        in_speed = speed.frame.adjusted(-12.0, -6.0, 12.0, 6.0).contains(place)
        corner = corner_grip(speed, duty, base, place) if in_speed else None
        if corner is not None and not self._on_pill(speed, result, place):
            return corner
        if torque.frame.top() - 20.0 <= place.y() <= lanes[TEMPERATURE_LANE].frame.bottom():
            edge = edge_grip(speed, duty, base, place)
            if edge is not None:
                return edge
        return corner or level_grip(torque, duty, base, place)

    def _on_pill(self, lane: Lane, result: Result, place: QPointF) -> bool:
        """Return whether the cursor is on the handle of an edge, which is meant where both overlap."""
        if abs(place.y() - lane.frame.center().y()) > 8.0:
            return False
        return any(abs(lane.to_px(float(t), 0.0).x() - place.x()) <= 5.0 for t in result.duty.edges[1:])

    def _segment_at(self, place: QPointF | None) -> int | None:
        if place is None or self.result is None or not self.canvas.lanes:
            return None
        top, bottom = self.canvas.lanes[0].frame, self.canvas.lanes[-1].frame
        if not QRectF(top.left(), top.top() - 20.0, top.width(), bottom.bottom() - top.top() + 20.0).contains(
            place
        ):
            return None
        return segment_at(self.result.duty, self.canvas.lanes[0].from_px(place.x(), place.y())[0])

    def clicked_at(self, place: QPointF) -> None:
        """Select the segment; a click outside drops the selection."""
        self._selection.select_segment(self._segment_at(place))

    def hovered_at(self, place: QPointF | None) -> None:
        """Mark the segment under the cursor, here and in the other views."""
        self._selection.hover_segment(self._segment_at(place))

    def hover_changed(self) -> None:
        """Shade the hovered segment lightly."""
        self.canvas.axes.hovered_span = self._selection.hovered_segment
        self.canvas.axes.update()

    def nudged(self, across: int, up: int) -> None:
        """Change torque (up, down) or end (left, right) of the selected segment by round steps."""
        segment = self._selection.segment
        if segment is None or not self.canvas.lanes:
            return
        lane = self.canvas.lanes[TORQUE_LANE]

        def changed(project: Project) -> Project:
            cycle = project.application.duty_cycle
            if up:
                torque = cycle[segment].shaft_torque + up * round_step(lane, along_x=False)
                return edits.change_segment(project, segment, shaft_torque=torque)
            end = sum(s.duration for s in cycle[: segment + 1]) + across * round_step(lane, along_x=True)
            return edits.move_edge(project, segment, end)

        self.nudge(changed, "change torque" if up else "move edge")

    def walked(self, forward: bool) -> bool:
        """Select the next segment with Tab; after the last one the focus moves on."""
        count = 0 if self.result is None else len(self.result.duty.edges) - 1
        now = self._selection.segment
        following = (0 if forward else count - 1) if now is None else now + (1 if forward else -1)
        if not 0 <= following < count:
            return False
        self.nudges.end()
        self._selection.select_segment(following)
        return True


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(CyclePlot)
