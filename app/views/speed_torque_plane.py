"""The speed-torque plane: limits of all candidates, and the load points of the chosen one to be dragged."""

from __future__ import annotations

import math
from dataclasses import replace
from types import MappingProxyType

import numpy as np
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtWidgets import QWidget

from app.document import ProjectDocument
from app.preferences import Preferences
from app.selection import Selection
from app.views.plane_items import HIT_PX, RING_PX, BubbleItem, DotItem, GhostItem, MarkItem
from app.views.plot_axes import Lane
from app.views.plot_base import PlotPane
from app.views.plot_gesture import Grip
from core.charts.chart import Chart, Map
from core.charts.efficiency_layer import efficiency_layer
from core.charts.speed_torque_chart import GHOST, TITLE, speed_torque_chart
from core.charts.ticks import nice_step
from core.evaluation.detached import detaching
from core.evaluation.efficiency import efficiency_map
from core.project import edits
from core.project.project import Project
from core.results import LoadPoints, Result
from core.units import Kind

_UNDO_TEXT = "move load point"
_NEAR_CURVE_PX = 14.0
# A snap or a nudge is one of about this many steps across the whole axis.
_STEPS = 200


class SpeedTorquePlane(PlotPane):
    """Draws the plane; a load point moves torque (up and down) and the shared speed (left and right)."""

    lit_by = MappingProxyType(
        {
            "torque_reserve": "continuous",
            "winding_temperature": "continuous",
            "magnet_temperature": "continuous",
            "outside_temperature": "continuous",
            "voltage_reserve": "voltage limit",
            "peak_torque": "peak",
            "peak_current": "peak",
            "mechanical_speed": "largest speed",
        }
    )

    def __init__(
        self,
        document: ProjectDocument,
        selection: Selection,
        preferences: Preferences,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(document, selection, preferences, TITLE, pans_y=True, parent=parent)
        self.points: list[MarkItem] = []
        self.ghosts: list[GhostItem] = []
        self.rms = MarkItem("")
        self.bubble, self.dot = BubbleItem(), DotItem()
        for item in (self.rms, self.bubble, self.dot):
            self.canvas.scene().addItem(item)
        self.rms.setVisible(False)
        self.map_button = self.add_button(
            "efficiency", "Efficiency map of the chosen candidate as contour lines"
        )
        self.map_button.setCheckable(True)
        self.map_button.toggled.connect(self.redraw)
        self._map: Map | None = None
        self._map_of: tuple[object, ...] | None = None

    def chart(self, result: Result) -> Chart:
        """Return the plane of a result."""
        units, wanted, late = (
            self._preferences.display_units,
            self.map_button.isChecked(),
            self.is_late(result),
        )
        grid = self._map if wanted and not late else None
        chart = speed_torque_chart(result, units, self._selection.segment, grid)
        return replace(chart, headline=f"{chart.headline}, efficiency updating") if late else chart

    def is_late(self, result: Result) -> bool:
        """Return whether the efficiency map is wanted and belongs to other conditions."""
        return self.map_button.isChecked() and self._map_of != _map_conditions(result)

    def fetch_late(self, result: Result) -> None:
        """Compute the efficiency map of the chosen candidate."""
        candidate, self._map_of = result.project.chosen_candidate, _map_conditions(result)
        top = float(self.loads.speed.max()) if self.loads is not None else 0.0
        found = None if candidate is None else efficiency_map(result.project.application, candidate, top)
        self._map = None if found is None else efficiency_layer(found)

    @property
    def lane(self) -> Lane | None:
        """The lane of the plane once something is shown."""
        return self.canvas.lanes[0] if self.canvas.lanes else None

    @property
    def loads(self) -> LoadPoints | None:
        """The load points on screen: those of the chosen candidate."""
        chosen = self.result.chosen_candidate if self.result is not None else None
        return chosen.load_points if chosen is not None else None

    def laid_out(self) -> None:
        """Place load points and rms point; show the numbers of the one that is dragged or selected."""
        lane = self.lane
        if lane is None:
            return
        loads = self.loads
        count = 0 if loads is None else len(loads.speed)
        while len(self.points) < count:
            item = MarkItem(str(len(self.points) + 1))
            self.points.append(item)
            self.canvas.scene().addItem(item)
        while len(self.points) > count:
            self.canvas.scene().removeItem(self.points.pop())
        tokens, focus = self._preferences.tokens, self.canvas.hasFocus()
        for k, item in enumerate(self.points):
            self._put(item, self._place(k))
            selected = k == self._selection.segment
            item.set_look(tokens, selected, k == self._selection.hovered_segment, selected and focus)
        self._name_covered()
        self._place_ghosts(lane)
        old, rms = self.rms.pos(), [point for point in lane.chart_panel.points if point.id == "rms"]
        self.rms.setVisible(bool(rms))
        if rms:
            self._put(self.rms, lane.to_px(rms[0].x, rms[0].y))
            self.rms.set_look(tokens, False, False, False)
            step = self.rms.pos() - old
            self.canvas.items_of_lanes[0].move_label("rms", step.x(), step.y())
        self._show_numbers()

    def _place_ghosts(self, lane: Lane) -> None:
        """Show where the points lie that the load itself asks for, once the duty was taken out of it."""
        ghosts = [point for point in lane.chart_panel.points if point.id.startswith(GHOST)]
        while len(self.ghosts) < len(ghosts):
            item = GhostItem(str(len(self.ghosts) + 1))
            self.ghosts.append(item)
            self.canvas.scene().addItem(item)
        while len(self.ghosts) > len(ghosts):
            self.canvas.scene().removeItem(self.ghosts.pop())
        for item, ghost in zip(self.ghosts, ghosts, strict=True):
            item.setPos(lane.to_px(ghost.x, ghost.y))
            item.setVisible(lane.frame.adjusted(-1.0, -1.0, 1.0, 1.0).contains(item.pos()))
            item.set_look(self._preferences.tokens)

    def _name_covered(self) -> None:
        """Let a ring that hides others say so: the number below it would vanish without a word."""
        seen = sorted((item for item in self.points if item.isVisible()), key=lambda item: item.zValue())
        hidden: dict[MarkItem, list[str]] = {item: [] for item in seen}
        for k, below in enumerate(seen):
            for above in reversed(seen[k + 1 :]):
                if (above.pos() - below.pos()).manhattanLength() < RING_PX:
                    hidden[above].append(below.number)
                    break
        for item, numbers in hidden.items():
            item.set_covers(" ".join(numbers))

    def _put(self, item: MarkItem, place: QPointF) -> None:
        lane = self.lane
        item.setPos(place)
        item.setVisible(lane is not None and lane.frame.adjusted(-1.0, -1.0, 1.0, 1.0).contains(place))

    def _place(self, segment: int) -> QPointF:
        lane, loads = self.lane, self.loads
        if lane is None or loads is None:
            return QPointF()
        return lane.to_px(float(loads.speed[segment]), float(loads.torque[segment]))

    def _show_numbers(self) -> None:
        """Show the bubble of the dragged, hovered or selected point; hide it where there is none."""
        grip = self.gesture.grip
        candidates = (
            grip.segment if grip is not None else None,
            self._selection.hovered_segment,
            self._selection.segment,
        )
        shown = next((k for k in candidates if k is not None), None)
        lane, result = self.lane, self.result
        self.dot.setVisible(False)
        if lane is None or result is None or shown is None or not 0 <= shown < len(self.points):
            self.bubble.setVisible(False)
            return
        item = self.points[shown]
        if not item.isVisible():
            self.bubble.setVisible(False)
            return
        title, words = self._numbers_of(shown, result)
        self.bubble.show_words(title, words, self._preferences.tokens, item.pos(), lane.frame)

    def _numbers_of(self, segment: int, result: Result) -> tuple[str, str]:
        units, loads = self._preferences.display_units, self.loads
        names = result.duty.names
        name = names[segment] if segment < len(names) else ""
        if loads is None:
            return str(segment + 1), ""
        end = "start" if loads.at_start[segment] else "end"
        constant = math.isclose(loads.speed[segment], loads.other_speed[segment], abs_tol=1e-9)
        title = f"{segment + 1} {name}".rstrip() + ("" if constant else f", {end}")
        words = (
            f"{units.format_quantity(float(loads.torque[segment]), Kind.TORQUE)} at "
            f"{units.format_quantity(float(loads.speed[segment]), Kind.SPEED)}, "
            f"{units.format_quantity(float(loads.current[segment]), Kind.CURRENT, 2)}"
        )
        return title, words

    def kept_clear(self) -> list[QRectF]:
        """Return the marks and the bubble."""
        marks = [*self.points, self.rms]
        half = RING_PX + 2.0
        clear = [
            QRectF(item.x() - half, item.y() - half, 2.0 * half, 2.0 * half)
            for item in marks
            if item.isVisible()
        ]
        return [*clear, self.bubble.place()] if self.bubble.isVisible() else clear

    def point_at(self, place: QPointF) -> int | None:
        """Return the load point under the cursor: of several the selected, else the nearest one."""
        near = [
            (k != self._selection.segment, math.hypot(item.x() - place.x(), item.y() - place.y()), k)
            for k, item in enumerate(self.points)
            if item.isVisible()
        ]
        near = [found for found in near if found[1] <= HIT_PX]
        return min(near)[2] if near else None

    def grip_at(self, place: QPointF) -> Grip | None:
        """Return the load point under the cursor as something to drag."""
        segment = self.point_at(place)
        loads, inertia = self.loads, self._rotor_inertia()
        if segment is None or loads is None or inertia is None or not self.editable:
            return None
        result = self.result
        if result is None:
            return None
        taken_out, direction = detaching(result), float(loads.direction[segment])
        shown_speed = float(loads.speed[segment])

        def moved(x: float, y: float, snap: bool) -> Project:
            lane = self.lane
            before = taken_out(self._document.before_gesture)
            if lane is None:
                return before
            speed, torque = lane.from_px(x, y)
            if snap:
                speed, torque = self._snapped(speed, Kind.SPEED), self._snapped(torque, Kind.TORQUE)
            # a derived point may lie within its segment: then its faster end moves by as much
            end = abs(edits.point_speed(before.application.duty_cycle[segment]))
            speed = max(0.0, end + speed - shown_speed)
            return edits.move_load_point(before, segment, direction * torque, direction * speed, inertia)

        return Grip(segment, _UNDO_TEXT, self._place(segment), moved, "shaft_torque", taken_out=self.derived)

    def _rotor_inertia(self) -> float | None:
        candidate = self._document.project.chosen_candidate
        return None if candidate is None or candidate.chosen_variant is None else candidate.rotor_inertia

    def _step(self, kind: Kind) -> float:
        """Return a round step of the display unit, in SI."""
        lane = self.lane
        if lane is None:
            return 0.0
        axis, bounds = (
            (lane.x_axis, lane.x_range) if kind is Kind.SPEED else (lane.chart_panel.y, lane.y_range)
        )
        return nice_step((bounds[1] - bounds[0]) * axis.scale, _STEPS) / axis.scale

    def _snapped(self, value: float, kind: Kind) -> float:
        step = self._step(kind)
        return round(value / step) * step if step > 0.0 else value

    def clicked_at(self, place: QPointF) -> None:
        """Select a load point; a click on the ground drops the selection."""
        self._selection.select_segment(self.point_at(place))

    def hovered_at(self, place: QPointF | None) -> None:
        """Mark the load point under the cursor, or read the nearest curve."""
        segment = None if place is None else self.point_at(place)
        self._selection.hover_segment(segment)
        on_ground = place is not None and segment is None
        if place is None or (on_ground and not self._read_curve(place)):
            self._show_numbers()

    def hover_changed(self) -> None:
        """Mark the hovered segment."""
        self.laid_out()

    def _read_curve(self, place: QPointF) -> bool:
        """Show the numbers of the nearest curve with a label; False where none is near."""
        lane = self.lane
        if lane is None or not lane.frame.contains(place):
            return False
        best: tuple[float, float, float, str, str] | None = None
        for series in lane.chart_panel.series:
            name = series.label or _words_of(series.id)
            if not name or len(series.x) < 2:
                continue
            spots = lane.curve_px(series.x, series.y)
            distance, x, y = _nearest(spots, place)
            if distance <= _NEAR_CURVE_PX and (best is None or distance < best[0]):
                best = (distance, x, y, name, self._preferences.tokens.colour_of(series.style))
        if best is None:
            return False
        _, x, y, name, colour = best
        speed, torque = lane.from_px(x, y)
        units = self._preferences.display_units
        words = f"{units.format_quantity(torque, Kind.TORQUE)} at {units.format_quantity(speed, Kind.SPEED)}"
        self.bubble.show_words(name, words, self._preferences.tokens, QPointF(x, y), lane.frame)
        self.dot.show_at(QPointF(x, y), colour, self._preferences.tokens.pane)
        return True

    def nudged(self, across: int, up: int) -> None:
        """Move the selected load point by round steps."""
        segment, loads, inertia = self._selection.segment, self.loads, self._rotor_inertia()
        if segment is None or loads is None or inertia is None or not self.editable:
            return
        if not 0 <= segment < len(loads.speed):
            return  # selected elsewhere and gone since
        across_step, up_step = across * self._step(Kind.SPEED), up * self._step(Kind.TORQUE)
        from_picture = self.derived

        def changed(project: Project) -> Project:
            # From the project, not from the picture: several keys may come before the next result.
            old = project.application.duty_cycle[segment]
            speed = edits.point_speed(old)
            direction = -1.0 if speed < 0.0 else 1.0
            torque = old.shaft_torque + inertia * (old.speed_end - old.speed_start) / old.duration
            if from_picture:  # the torque that is drawn, the largest of the segment
                torque = float(loads.torque[segment] * loads.direction[segment])
            new_speed = max(0.0, direction * speed + across_step) * direction
            return edits.move_load_point(project, segment, torque + direction * up_step, new_speed, inertia)

        self.nudge(changed, _UNDO_TEXT)

    def walked(self, forward: bool) -> bool:
        """Select the next load point with Tab; after the last one the focus moves on."""
        now = self._selection.segment
        following = (0 if forward else len(self.points) - 1) if now is None else now + (1 if forward else -1)
        if not 0 <= following < len(self.points):
            return False
        self.nudges.end()
        self._selection.select_segment(following)
        return True


def _map_conditions(result: Result) -> tuple[object, ...]:
    """Return what the efficiency map depends on: not the duty cycle, so a drag leaves it alone."""
    application = result.project.application
    return result.project.chosen_candidate, application.site, application.supply, application.requirements


def _words_of(series_id: str) -> str:
    """Return words for a curve without a label of its own, such as the braking half."""
    if "area" in series_id or "travel" in series_id:
        return ""
    first, _, rest = series_id.partition(" ")
    return f"{chr(ord('A') + int(first))} {rest}" if first.isdigit() else series_id


def _nearest(
    spots: np.ndarray[tuple[int, ...], np.dtype[np.float64]], place: QPointF
) -> tuple[float, float, float]:
    """Return distance and place of the nearest point of a polyline, gaps left out."""
    start, step = spots[:-1], np.diff(spots, axis=0)
    target = np.array([place.x(), place.y()])
    length = np.maximum((step**2).sum(axis=1), 1e-12)
    share = np.clip(((target - start) * step).sum(axis=1) / length, 0.0, 1.0)
    near = start + share[:, None] * step
    distance = np.hypot(*(near - target).T)
    if not np.isfinite(distance).any():
        return math.inf, 0.0, 0.0
    k = int(np.nanargmin(distance))
    return float(distance[k]), float(near[k, 0]), float(near[k, 1])


if __name__ == "__main__":
    from app.views.plot_preview import preview

    preview(SpeedTorquePlane)
