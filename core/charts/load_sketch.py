"""The free-body sketch of a load: the mechanism with its figures, and what each cause asks of its axis.

Under the drawing, arrows on one common scale show the torque by cause at the instant of the selected
part of the cycle in which it is largest: to the right where it resists the reference direction and the
drive must supply it, to the left where it helps. For a load that travels along a line the same is
given as a force.
"""

from __future__ import annotations

import numpy as np

from core.charts.load_bodies import Pose, body, fact_rows, speed_row
from core.charts.sketch_shapes import Arrow, Label, Shape, Stroke
from core.evaluation.load_side import CAUSES, physics_mechanism
from core.load_draft import form_of
from core.project import mechanism as saved
from core.project.load import Load
from core.records import dataclass
from core.results import LoadCourse
from core.units import DisplayUnits, Kind

_LADDER_TOP, _STEP = 0.46, 0.078
_ZERO, _REACH, _VALUE_LEFT = 0.61, 0.24, 0.90
_TOGETHER = "together"
_STILL = 1e-9  # a payload slower than this stands
_AXES: dict[type, str] = {
    saved.RotaryTable: "at the table's axis",
    saved.SwingArm: "at the arm's axis",
    saved.DirectRotaryLoad: "at the axis",
    saved.ScrewDrive: "at the screw",
    saved.BeltDrive: "at the pulley",
    saved.DrumWinch: "at the drum",
    saved.WheelDrive: "at one driven wheel",
    saved.FanLoad: "at the shaft",
    saved.DisplacementPump: "at the shaft",
}


@dataclass(frozen=True, slots=True)
class LoadSketch:
    """Shapes in the frame of `sketch_shapes`, and the same in words."""

    shapes: tuple[Shape, ...]
    description: str


@dataclass(frozen=True, slots=True)
class Moment:
    """The instant that is drawn: torque by cause at the axis, payload position and part of the cycle. [N m]

    `speed` is the largest one within the part, with its sign.
    """

    torque: dict[str, float]
    position: float
    speed: float
    segment: int

    @property
    def way(self) -> int:
        """Which way the payload moves: -1, 0 or 1."""
        return 0 if abs(self.speed) < _STILL else 1 if self.speed > 0.0 else -1

    @property
    def together(self) -> float:
        """All causes together. [N m]"""
        return sum(self.torque.values())


def moment_of(course: LoadCourse, segment: int | None) -> Moment:
    """Return the instant of a part of the cycle at which the axis is asked for most; of all parts for None.

    A part that does not exist counts as none selected.
    """
    within = course.segment == segment
    if segment is None or not within.any():
        within = np.ones_like(within)
    total = sum(course.torque[cause] for cause in CAUSES)
    at = int(np.argmax(np.where(within, np.abs(total), -1.0)))
    part = course.time[course.segment == course.segment[at]]
    inside = (course.payload_time >= part.min()) & (course.payload_time <= part.max())
    speeds = course.speed[inside]
    return Moment(
        torque={cause: float(course.torque[cause][at]) for cause in CAUSES},
        position=float(np.interp(course.time[at], course.payload_time, course.position)),
        speed=float(speeds[np.argmax(np.abs(speeds))]) if speeds.size else 0.0,
        segment=int(course.segment[at]),
    )


def load_sketch(
    load: Load,
    course: LoadCourse | None,
    units: DisplayUnits,
    segment: int | None = None,
    names: tuple[str, ...] = (),
) -> LoadSketch:
    """Return the sketch of a load; without a course, as while its motion is missing, the mechanism alone.

    `names` says what the parts of the cycle are called.
    """
    mechanism = load.mechanism
    moment = None if course is None else moment_of(course, segment)
    pose = Pose(position=load.start_position)
    if moment is not None:
        pose = Pose(moment.position, moment.way)
    drawing, facts = body(mechanism, pose, units)
    shapes: tuple[Shape, ...] = (*drawing, *fact_rows(facts))
    if moment is not None and moment.way:
        shapes += (speed_row(len(facts), f"to {_speed(mechanism, moment, units)}"),)
    words = [f"{form_of(mechanism).words.capitalize()}: {', '.join(facts)}."]
    if moment is not None:
        words += _in_words(mechanism, moment, units, names)
        shapes += _ladder(mechanism, moment, units, names)
    return LoadSketch(shapes, " ".join(words))


def _ladder(
    mechanism: saved.Mechanism, moment: Moment, units: DisplayUnits, names: tuple[str, ...]
) -> tuple[Shape, ...]:
    rows = (*moment.torque.items(), (_TOGETHER, moment.together))
    largest = max(abs(torque) for _cause, torque in rows) or 1.0
    bottom = _LADDER_TOP - _STEP * (len(rows) + 0.9)
    shapes: list[Shape] = [
        Label((0.0, _LADDER_TOP), _heading(mechanism, moment, names), "soft"),
        Stroke(((_ZERO, _LADDER_TOP - 0.5 * _STEP), (_ZERO, bottom)), "faint", "thin"),
    ]
    for number, (cause, torque) in enumerate(rows, start=1):
        y, bold = _LADDER_TOP - number * _STEP - 0.3 * _STEP, cause == _TOGETHER
        shapes.append(Label((0.0, y), cause, "ink", bold=bold))
        shapes.append(Label((_VALUE_LEFT, y), _amount(mechanism, torque, units), "ink", bold=bold))
        if abs(torque) > 1e-3 * largest:
            end = (_ZERO + _REACH * torque / largest, y)
            shapes.append(Arrow((_ZERO, y), end, "ink" if bold else "force"))
    return tuple(shapes)


def _heading(mechanism: saved.Mechanism, moment: Moment, names: tuple[str, ...]) -> str:
    name = names[moment.segment] if moment.segment < len(names) else ""
    return f"asked {_AXES[type(mechanism)]}, {moment.segment + 1} {name}".rstrip()


def _amount(mechanism: saved.Mechanism, torque: float, units: DisplayUnits) -> str:
    words = units.format_quantity(torque, Kind.LOAD_TORQUE)
    if torque == 0.0 or not isinstance(mechanism, saved.LINEAR):
        return words
    force = torque * physics_mechanism(mechanism).axis_load().input_per_payload
    return f"{words}, {units.format_quantity(force, Kind.FORCE)}"


def _in_words(
    mechanism: saved.Mechanism, moment: Moment, units: DisplayUnits, names: tuple[str, ...]
) -> list[str]:
    moves = (
        f"The payload moves at up to {_speed(mechanism, moment, units)}."
        if moment.way
        else "The payload stands still."
    )
    rows = (*moment.torque.items(), (_TOGETHER, moment.together))
    torques = ", ".join(f"{cause} {_amount(mechanism, torque, units)}" for cause, torque in rows)
    heading = _heading(mechanism, moment, names)
    return [moves, f"{heading[:1].upper()}{heading[1:]}: {torques}."]


def _speed(mechanism: saved.Mechanism, moment: Moment, units: DisplayUnits) -> str:
    kind = Kind.LINEAR_SPEED if isinstance(mechanism, saved.LINEAR) else Kind.SPEED
    return units.format_quantity(moment.speed, kind)
