"""Courses cut into pieces for the heat: speeds, drag and conductances of the pieces, once per distinct part.

As `cycle_cut` does for one candidate; the torque of each candidate comes on top (`heat_rows`).
"""

from __future__ import annotations

import numpy as np

from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.drag import DragLaw, RampMeans, mean_drag_over_ramp
from core.physics.heat_network import HeatNetwork, mean_link_conductance, node_matrices
from core.records import dataclass
from core.shortlist.batch.courses import Course


@dataclass(frozen=True, slots=True)
class CutCourse:
    """A course with every ramp cut into `per_ramp` equal pieces, arrays of shape (pieces,).

    `part` is the part of the course to which a piece belongs, `position` its place there, `count` how many
    pieces that part has.
    """

    per_ramp: int
    part: IntArray
    position: IntArray
    count: IntArray
    duration: FloatArray
    speed_start: FloatArray
    speed_end: FloatArray

    def between(self, first: FloatArray, last: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return values at both ends of the pieces of what is linear in each part, shape (..., pieces)."""
        step = (last - first)[..., self.part] / self.count
        start = first[..., self.part] + self.position * step
        ends = self.position + 1 == self.count
        return start, np.where(ends, last[..., self.part], start + step)


def ramps_of(course: Course) -> BoolArray:
    """Return which parts are cut: those along which speed or torque changes, shape (parts,)."""
    duty = course.duty
    ramps: BoolArray = (duty.speed_start != duty.speed_end) | (duty.torque_start != duty.torque_end)
    return ramps


def cut_course(course: Course, per_ramp: int) -> CutCourse:
    """Return a course cut into pieces."""
    duty = course.duty
    count = np.where(ramps_of(course), per_ramp, 1)
    part = np.repeat(np.arange(count.size), count)
    position = np.arange(part.size) - np.repeat(np.cumsum(count) - count, count)
    none = np.zeros(part.size)
    bare = CutCourse(per_ramp, part, position, count[part], duty.duration[part] / count[part], none, none)
    start, end = bare.between(duty.speed_start, duty.speed_end)
    return CutCourse(per_ramp, part, position, bare.count, bare.duration, start, end)


@dataclass(frozen=True, slots=True)
class DragOnCut:
    """The drag of a motor on the pieces: the sign of the speed and the means of each."""

    direction: FloatArray
    means: RampMeans


def drag_on_cut(drag: DragLaw, cut: CutCourse) -> DragOnCut:
    """Return the drag of a motor on the pieces of a course."""
    return DragOnCut(
        direction=np.sign(cut.speed_start + cut.speed_end),
        means=mean_drag_over_ramp(drag, cut.speed_start, cut.speed_end),
    )


@dataclass(frozen=True, slots=True)
class LinksOnCut:
    """Node matrices (pieces, n, n) [W/K] and inflow (pieces, n) [W] of a network over the pieces."""

    matrix: FloatArray
    inflow: FloatArray


def links_on_cut(network: HeatNetwork, cut: CutCourse) -> LinksOnCut:
    """Return what a network that does not follow its temperatures is in each piece."""
    return LinksOnCut(*node_matrices(network, mean_link_conductance(network, cut.speed_start, cut.speed_end)))
