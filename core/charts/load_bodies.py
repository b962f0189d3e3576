"""The drawing of each mechanism: what it looks like, where it pulls and which way it moves.

Angles are true, lengths are not. A body fills the upper part of the sketch's frame; the figures that
belong to it stand in rows on its right.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from core.charts.sketch_shapes import ArcArrow, Arrow, Circle, Direction, Label, Point, Shape, Stroke, fitted
from core.project import mechanism as saved
from core.records import dataclass
from core.units import DisplayUnits, Kind

FACTS_LEFT, TOP, ROW = 0.86, 1.10, 0.078
_ROOM: tuple[Point, Point] = ((0.02, 0.53), (0.80, 1.13))
_CENTRE: Point = (0.38, 0.80)
_WEIGHT = 0.14  # length of an arrow that says that a weight pulls, not how much
_UP = 0.5 * math.pi


@dataclass(frozen=True, slots=True)
class Pose:
    """Where the payload is at the instant that is drawn, and which way it moves: -1, 0 or 1."""

    position: float = 0.0
    way: int = 0


Facts = tuple[str, ...]
Drawing = tuple[tuple[Shape, ...], Facts]


def body(mechanism: saved.Mechanism, pose: Pose, units: DisplayUnits) -> Drawing:
    """Return the drawing of a mechanism and its figures in words."""
    drawing = _DRAWINGS[type(mechanism)](mechanism, pose, _Words(units))
    return fitted(drawing[0], *_ROOM), tuple(fact for fact in drawing[1] if fact)


def fact_rows(facts: Facts) -> tuple[Label, ...]:
    """Return the figures as rows beside the body."""
    return tuple(Label((FACTS_LEFT, TOP - ROW * (i + 0.5)), fact, "soft") for i, fact in enumerate(facts))


def speed_row(row: int, words: str) -> Label:
    """Return the row that says how fast the payload moves, under the other figures."""
    return Label((FACTS_LEFT, TOP - ROW * (row + 0.5)), words, "motion")


class _Words:
    """Figures in display units; an empty text where a figure is zero and so not there."""

    def __init__(self, units: DisplayUnits) -> None:
        self._units = units

    def __call__(self, value: float, kind: Kind, words: str, needed: bool = False) -> str:
        shown = self._units.format_quantity(value, kind)
        return f"{words} {shown}" if value or needed else ""


def _turning(centre: Point, radius: float, way: int, start: float = 0.75) -> tuple[Shape, ...]:
    """Return the arrow of a rotation, counted positive to the left."""
    if way == 0:
        return ()
    return (ArcArrow(centre, radius, start * math.pi if way < 0 else 0.25 * math.pi,
                     way * 0.5 * math.pi, "motion", head=True),)  # fmt: skip


def _travel(direction: Direction, at: Point, way: int) -> tuple[Shape, ...]:
    """Return the arrow of a travel, its middle at a point."""
    if way == 0:
        return ()
    return (Arrow(direction.at(at, -0.10 * way), direction.at(at, 0.10 * way), "motion"),)


def _weight(at: Point) -> Arrow:
    return Arrow(at, (at[0], at[1] - _WEIGHT))


def _tilt(at: Point, angle: float, radius: float = 0.30) -> tuple[Shape, ...]:
    """Return the level line and the arc of an angle above it, nothing for a level way."""
    if abs(angle) < 1e-6:
        return ()
    level = Stroke((at, (at[0] + radius + 0.05, at[1])), "faint", "thin", dashed=True)
    return level, ArcArrow(at, radius, 0.0, angle)


def _table(it: saved.RotaryTable, pose: Pose, words: _Words) -> Drawing:
    axis = Direction(_UP - it.axis_tilt)
    place = axis.at(_CENTRE, 0.05)
    # seen from the side: the figure swings between both ends of the plate, uphill and downhill
    side = math.cos(pose.position - it.lowest_position) if it.axis_tilt else 1.0
    mass = axis.at(place, 0.055, -0.17 * side)
    shapes: list[Shape] = [
        Stroke((_CENTRE, (_CENTRE[0], _CENTRE[1] + 0.30)), "faint", "thin", dashed=True),
        Stroke((axis.at(_CENTRE, -0.20), axis.at(_CENTRE, 0.28)), "soft", "thin", dashed=True),
        Stroke(axis.box(axis.at(_CENTRE, -0.07), 0.14, 0.09), closed=True),
        Stroke(axis.box(axis.at(_CENTRE, 0.02), 0.045, 0.50), closed=True),
        *_turning(axis.at(_CENTRE, 0.16), 0.09, pose.way),
    ]
    if it.axis_tilt:
        shapes.append(ArcArrow(_CENTRE, 0.27, _UP, -it.axis_tilt))
    if it.off_centre_mass and it.off_centre_distance:
        shapes += [Circle(mass, 0.04, filled=True), _weight(mass)]
    facts = (
        words(it.inertia, Kind.LOAD_INERTIA, "inertia", needed=True),
        words(it.axis_tilt, Kind.ANGLE, "axis from vertical", needed=True),
        words(it.off_centre_mass, Kind.MASS, "off centre"),
        words(it.off_centre_distance, Kind.LENGTH, "at"),
        words(it.friction.constant, Kind.LOAD_TORQUE, "friction"),
    )
    return tuple(shapes), facts


def _arm(it: saved.SwingArm, pose: Pose, words: _Words) -> Drawing:
    pivot = (0.36, 0.80)
    angle = it.zero_angle + pose.position
    arm = Direction(angle)
    end, middle = arm.at(pivot, 0.27), arm.at(pivot, 0.13)
    shapes: list[Shape] = [
        *_tilt(pivot, math.remainder(angle, 2.0 * math.pi), 0.16),
        Stroke(arm.box(arm.at(pivot, 0.12), 0.30, 0.035), closed=True),
        Circle(pivot, 0.035),
        Circle(end, 0.05, filled=True),
        _weight(end),
        *_turning(pivot, 0.10, pose.way),
    ]
    if it.arm_mass:
        shapes.append(_weight(middle))
    if it.counter_mass:
        back = arm.at(pivot, -0.17)
        shapes += [Stroke((pivot, back)), Circle(back, 0.045, filled=True), _weight(back)]
    facts = (
        words(it.payload_mass, Kind.MASS, "payload", needed=True),
        words(it.lever, Kind.LENGTH, "at", needed=True),
        words(it.arm_mass, Kind.MASS, "arm", needed=True),
        words(it.counter_mass, Kind.MASS, "counterweight"),
        words(math.remainder(angle, 2.0 * math.pi), Kind.ANGLE, "above level", needed=True),
    )
    return tuple(shapes), facts


def _direct(it: saved.DirectRotaryLoad, pose: Pose, words: _Words) -> Drawing:
    facts = (
        words(it.inertia, Kind.LOAD_INERTIA, "inertia", needed=True),
        words(it.steady_torque, Kind.LOAD_TORQUE, "steady", needed=True),
        words(it.resisting_torque, Kind.LOAD_TORQUE, "resisting"),
        words(it.friction.constant, Kind.LOAD_TORQUE, "friction"),
    )
    wheel = (Circle(_CENTRE, 0.20), Circle(_CENTRE, 0.03), *_turning(_CENTRE, 0.25, pose.way))
    return wheel, facts


def _screw(it: saved.ScrewDrive, pose: Pose, words: _Words) -> Drawing:
    way = Direction(it.inclination)
    foot = way.at(_CENTRE, -0.30)
    box = way.at(_CENTRE, 0.0, 0.075)
    thread = tuple(
        Stroke((way.at(foot, 0.03 * i, -0.02), way.at(foot, 0.03 * i + 0.02, 0.02)), "soft", "thin")
        for i in range(1, 20)
    )
    shapes = (
        *_tilt(foot, it.inclination),
        Stroke(way.box(_CENTRE, 0.60, 0.04), closed=True),
        *thread,
        Stroke(way.box(_CENTRE, 0.10, 0.09), closed=True),
        Stroke(way.box(box, 0.20, 0.10), closed=True),
        _weight(box),
        *_travel(way, way.at(box, 0.0, 0.10), pose.way),
    )
    facts = (
        words(it.mass, Kind.MASS, "mass", needed=True),
        words(it.lead, Kind.LENGTH, "lead", needed=True),
        words(it.inclination, Kind.ANGLE, "way above level", needed=True),
        words(it.efficiency or 0.0, Kind.RATIO, "efficiency"),
        words(it.process_force, Kind.FORCE, "process"),
        words(it.resisting_force, Kind.FORCE, "resisting"),
    )
    return shapes, facts


def _belt(it: saved.BeltDrive, pose: Pose, words: _Words) -> Drawing:
    way, r = Direction(it.inclination), 0.07
    foot, head = way.at(_CENTRE, -0.25), way.at(_CENTRE, 0.25)
    box = way.at(_CENTRE, 0.0, r + 0.055)
    shapes = (
        *_tilt(foot, it.inclination, 0.34),
        Stroke((way.at(foot, 0.0, r), way.at(head, 0.0, r))),
        Stroke((way.at(foot, 0.0, -r), way.at(head, 0.0, -r))),
        Circle(foot, r),
        Circle(head, r),
        Circle(foot, 0.012, filled=True),
        Circle(head, 0.012, filled=True),
        Stroke(way.box(box, 0.20, 0.10), closed=True),
        _weight(box),
        *_travel(way, way.at(box, 0.0, 0.10), pose.way),
    )
    facts = (
        words(it.mass, Kind.MASS, "mass", needed=True),
        words(it.pulley_radius, Kind.LENGTH, "pulley radius", needed=True),
        words(it.inclination, Kind.ANGLE, "way above level", needed=True),
        words(it.process_force, Kind.FORCE, "process"),
        words(it.resisting_force, Kind.FORCE, "resisting"),
    )
    return shapes, facts


def _winch(it: saved.DrumWinch, pose: Pose, words: _Words) -> Drawing:
    # the load hangs below the drum or lies down the slope, so the rope pulls along the inclination
    pull, r = Direction(it.inclination), 0.09
    drum = (0.30 + 0.24 * math.cos(it.inclination), 0.97)
    leaves = pull.at(drum, 0.0, -r)
    load = pull.at(leaves, -0.27)
    shapes: list[Shape] = [
        Circle(drum, r),
        Circle(drum, 0.02, filled=True),
        Stroke((leaves, pull.at(load, 0.06))),
        Stroke(pull.box(load, 0.12, 0.12), closed=True),
        _weight(load),
        *_travel(pull, pull.at(load, 0.02, -0.13), pose.way),
    ]
    if it.inclination < 0.5 * math.pi - 1e-6:
        bed = pull.at(load, 0.0, -0.06)
        shapes += [Stroke((pull.at(bed, -0.12), pull.at(bed, 0.22)), "soft", "thin"),
                   *_tilt(pull.at(bed, -0.12), it.inclination, 0.26)]  # fmt: skip
    if it.counterweight:
        # on the side where the load is not
        side = (drum[0] + (-r if it.inclination > math.pi / 3.0 else r), drum[1])
        low = (side[0], side[1] - 0.20)
        box = Direction(0.0).box(low, 0.08, 0.08)
        shapes += [Stroke((side, low)), Stroke(box, closed=True), _weight(low)]
    facts = (
        words(it.mass, Kind.MASS, "mass", needed=True),
        words(it.drum_radius, Kind.LENGTH, "drum radius", needed=True),
        words(it.inclination, Kind.ANGLE, "pull above level", needed=True),
        words(it.counterweight, Kind.MASS, "counterweight"),
        words(it.resisting_force, Kind.FORCE, "resisting"),
    )
    return tuple(shapes), facts


def _wheels(it: saved.WheelDrive, pose: Pose, words: _Words) -> Drawing:
    way = Direction(it.slope)
    ground = (_CENTRE[0], 0.66)
    foot = way.at(ground, -0.33)
    box = way.at(ground, 0.0, 0.19)
    axles = [way.at(ground, along, 0.075) for along in (-0.14, 0.14)]
    shapes = (
        *_tilt(foot, it.slope, 0.55),
        Stroke((foot, way.at(ground, 0.33)), "soft"),
        Stroke(way.box(box, 0.42, 0.14), closed=True),
        *(Circle(axle, 0.075) for axle in axles),
        Circle(axles[0], 0.02, filled=True),
        Circle(axles[1], 0.02, filled=it.driven_wheels >= it.wheels),
        _weight(box),
        *_travel(way, way.at(box, 0.0, 0.13), pose.way),
    )
    facts = (
        words(it.mass, Kind.MASS, "mass", needed=True),
        words(it.wheel_radius, Kind.LENGTH, "wheel radius", needed=True),
        words(it.slope, Kind.ANGLE, "slope", needed=True),
        f"{it.driven_wheels} of {it.wheels} wheels driven",
        words(it.friction.coefficient, Kind.RATIO, "rolling", needed=True),
    )
    return shapes, facts


def _fan(it: saved.FanLoad, pose: Pose, words: _Words) -> Drawing:
    blades = tuple(
        Stroke((_CENTRE, blade.at(_CENTRE, 0.19, 0.035), blade.at(_CENTRE, 0.19, -0.035)), closed=True)
        for blade in (Direction(i * 2.0 * math.pi / 5.0 + _UP) for i in range(5))
    )
    shapes = (Circle(_CENTRE, 0.22, "soft", "thin"), *blades, Circle(_CENTRE, 0.04),
              *_turning(_CENTRE, 0.26, pose.way))  # fmt: skip
    facts = (
        words(it.torque, Kind.LOAD_TORQUE, "known point", needed=True),
        words(it.speed, Kind.SPEED, "at", needed=True),
        "with the square of speed",
        words(it.inertia, Kind.LOAD_INERTIA, "inertia"),
    )
    return shapes, facts


def _pump(it: saved.DisplacementPump, pose: Pose, words: _Words) -> Drawing:
    upper, lower = (0.38, 0.89), (0.38, 0.71)
    shapes: tuple[Shape, ...] = (
        Stroke(Direction(0.0).box(_CENTRE, 0.24, 0.40), "soft", closed=True),
        Circle(upper, 0.09),
        Circle(lower, 0.09),
        Circle(upper, 0.02, filled=True),
        Circle(lower, 0.02, filled=True),
        Arrow((0.08, 0.80), (0.25, 0.80), "soft"),
        Arrow((0.51, 0.80), (0.68, 0.80), "force"),
        *_turning(upper, 0.13, pose.way),
    )
    facts = (
        words(it.displacement, Kind.VOLUME, "per turn", needed=True),
        words(it.pressure, Kind.PRESSURE, "pressure", needed=True),
        words(it.efficiency, Kind.RATIO, "efficiency", needed=True),
        words(it.dry_start_torque, Kind.LOAD_TORQUE, "dry start"),
    )
    return shapes, facts


_DRAWINGS: dict[type, Callable[..., Drawing]] = {
    saved.RotaryTable: _table,
    saved.SwingArm: _arm,
    saved.DirectRotaryLoad: _direct,
    saved.ScrewDrive: _screw,
    saved.BeltDrive: _belt,
    saved.DrumWinch: _winch,
    saved.WheelDrive: _wheels,
    saved.FanLoad: _fan,
    saved.DisplacementPump: _pump,
}
