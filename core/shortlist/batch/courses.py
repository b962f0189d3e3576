"""The duty of a chunk at the shaft: one course per transmission, with the drag of each motor on it.

The inertia of a rotor only adds to the torque of its course, so that the parts of the course, where they
are cut and what the drag means over each of them are found once.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from core.evaluation.duty import duty_at_shaft
from core.evaluation.overload import lasting_rest
from core.evaluation.supply_course import BARELY_MOVING
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.drag import DragLaw, RampMeans, drag_torque, mean_drag_over_ramp
from core.physics.shaft_duty import ShaftDuty
from core.results import DutyTrace

FOUR_NODES, FOUR_WEIGHTS = np.polynomial.legendre.leggauss(4)  # of the mean loss in the switches
SHARES = np.linspace(0.0, 1.0, 5)  # of a part, where its power is taken


@dataclass(frozen=True, slots=True)
class Course:
    """A duty without the rotor's part: `duty` at no inertia, `acceleration` of each part. [rad/s2]

    `resting` tells in which parts the motor holds still in a rest that lasts longer than electronics carry
    an overload.
    """

    trace: DutyTrace
    duty: ShaftDuty
    acceleration: FloatArray
    resting: BoolArray

    @property
    def parts(self) -> int:
        """Number of parts."""
        return self.duty.duration.size

    @property
    def top_speed(self) -> float:
        """Highest amount of the speed. [rad/s]"""
        return float(max(np.abs(self.duty.speed_start).max(), np.abs(self.duty.speed_end).max()))


def course_of(trace: DutyTrace) -> Course:
    """Return the course of a duty."""
    plain = duty_at_shaft(trace, 0.0)
    assert plain is not None  # there is a trace
    return Course(trace, plain, (plain.speed_end - plain.speed_start) / plain.duration, lasting_rest(plain))


@dataclass(frozen=True, slots=True)
class DragOnCourse:
    """The drag of one motor on a course. [N m]

    Amounts: `at_ends` has shape (parts, 2), `at_shares` (parts, 5), `at_nodes` (parts, 4); `means` are those
    of each part.
    """

    law: DragLaw
    at_ends: FloatArray
    at_shares: FloatArray
    at_nodes: FloatArray
    means: RampMeans


def drag_on_course(drag: DragLaw, course: Course) -> DragOnCourse:
    """Return the drag of a motor on a course."""
    duty = course.duty
    start, change = duty.speed_start[:, None], (duty.speed_end - duty.speed_start)[:, None]
    at_shares = np.abs(start + SHARES * change + BARELY_MOVING * duty.direction[:, None])
    ends = np.abs(np.column_stack((duty.speed_start, duty.speed_end)))
    return DragOnCourse(
        law=drag,
        at_ends=np.asarray(drag_torque(drag, ends)),
        at_shares=np.asarray(drag_torque(drag, at_shares)),
        at_nodes=np.asarray(drag_torque(drag, np.abs(start + change * 0.5 * (1.0 + FOUR_NODES)))),
        means=mean_drag_over_ramp(drag, duty.speed_start, duty.speed_end),
    )


@dataclass(frozen=True, slots=True)
class DutyRows:
    """Duty, drag and electromagnetic torque of candidates whose courses have equally many parts.

    Arrays over parts have shape (rows, parts), those over ends (rows, parts, 2), those over shares
    (rows, parts, 5); `rows` are the numbers of the candidates in the chunk.
    """

    rows: IntArray
    duration: FloatArray
    direction: FloatArray
    resting: BoolArray
    torque: FloatArray
    speed: FloatArray
    drag: FloatArray
    torque_at_shares: FloatArray
    speed_at_shares: FloatArray
    drag_at_shares: FloatArray
    mean_square: FloatArray
    inertia: FloatArray
    course: IntArray
    drags: list[DragOnCourse]
    drag_index: IntArray

    def only(self, chosen: IntArray | slice) -> DutyRows:
        """Return the duty of some candidates."""
        values = {field.name: getattr(self, field.name) for field in fields(self)}
        return DutyRows(
            **{name: value if name == "drags" else value[chosen] for name, value in values.items()}
        )

    @property
    def cycle_time(self) -> FloatArray:
        """Duration of each cycle, shape (rows,). [s]"""
        total: FloatArray = self.duration.sum(axis=1)
        return total

    @property
    def em_torque(self) -> FloatArray:
        """Electromagnetic torque at both ends of each part. [N m]"""
        return self.torque + self.direction[..., None] * self.drag

    @property
    def top_speed(self) -> FloatArray:
        """Highest amount of the speed, shape (rows,). [rad/s]"""
        top: FloatArray = np.abs(self.speed).max(axis=(1, 2))
        return top


def duty_rows(
    rows: IntArray,
    courses: list[Course],
    course: IntArray,
    drags: list[DragOnCourse],
    drag: IntArray,
    inertia: FloatArray,
) -> DutyRows:
    """Return the duty of some candidates.

    Parameters
    ----------
    courses, drags : list
        Distinct courses, all with as many parts, and drags on them.
    course, drag : ndarray of int, shape (rows,)
        Which one each candidate has.
    inertia : ndarray, shape (rows,)
        Of its rotor with what sits on the shaft. [kg m2]
    """
    plain = np.array([np.stack((one.duty.torque_start, one.duty.torque_end), axis=-1) for one in courses])
    turning = np.array([np.stack((one.duty.speed_start, one.duty.speed_end), axis=-1) for one in courses])
    along = np.array([one.acceleration for one in courses])
    direction = np.array([one.duty.direction for one in courses])
    torque = plain[course] + (inertia[:, None] * along[course])[..., None]
    speed = turning[course]
    change = torque[..., 1] - torque[..., 0]
    way = turning[..., 1:] - turning[..., :1]
    at_shares = turning[..., :1] + SHARES * way + BARELY_MOVING * direction[..., None]
    return DutyRows(
        rows=rows,
        duration=np.array([one.duty.duration for one in courses])[course],
        direction=direction[course],
        resting=np.array([one.resting for one in courses])[course],
        torque=torque,
        speed=speed,
        drag=np.array([one.at_ends for one in drags])[drag],
        torque_at_shares=torque[..., :1] + SHARES * change[..., None],
        speed_at_shares=at_shares[course],
        drag_at_shares=np.array([one.at_shares for one in drags])[drag],
        mean_square=_mean_square(torque, change, direction[course], drags, drag),
        inertia=inertia,
        course=course,
        drags=drags,
        drag_index=drag,
    )


def _mean_square(
    torque: FloatArray, change: FloatArray, direction: FloatArray, drags: list[DragOnCourse], drag: IntArray
) -> FloatArray:
    """Return the mean square of the electromagnetic torque in each part, shape (rows, parts). [(N m)^2]"""
    mean = np.array([one.means.torque for one in drags])[drag]
    square = np.array([one.means.torque_squared for one in drags])[drag]
    moment = np.array([one.means.moment for one in drags])[drag]
    middle = 0.5 * (torque[..., 0] + torque[..., 1])
    moved = np.where(direction != 0.0, square, 0.0)
    crossed = direction * (middle * mean + change * moment)
    total: FloatArray = moved + 2.0 * crossed + (middle**2 + change**2 / 12.0)
    return total
