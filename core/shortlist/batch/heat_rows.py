"""The heat of many candidates: networks, copper laws and pieces of their cycles as arrays.

A group holds candidates whose networks have the same nodes and whose courses are cut at the same parts.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.cycle_rounds import CycleProblem
from core.physics.drag import DragLaw
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.records import dataclass
from core.shortlist.batch.courses import Course
from core.shortlist.batch.cuts import CutCourse
from core.shortlist.batch.engine import Engine

STEPS = 16  # of each part, in which copper loss that no torque makes is counted


@dataclass(frozen=True, slots=True)
class PieceRows:
    """The pieces of many cycles, arrays of shape (rows, pieces, ...) as those of `HeatPieces`."""

    duration: FloatArray
    conductance: FloatArray
    inflow: FloatArray
    copper: FloatArray
    phase_factor: FloatArray
    cut: CutCourse

    def only(self, chosen: IntArray | BoolArray) -> PieceRows:
        """Return the pieces of some rows."""
        return PieceRows(
            self.duration[chosen],
            self.conductance[chosen],
            self.inflow[chosen],
            self.copper[chosen],
            self.phase_factor[chosen],
            self.cut,
        )

    def loss(self, factor: FloatArray) -> FloatArray:
        """Return the copper loss at reference temperatures for factors on the torque, (rows, pieces). [W]"""
        lam = factor[:, None]
        return np.maximum(
            self.copper[..., 0] + 2.0 * lam * self.copper[..., 1] + lam**2 * self.copper[..., 2], 0.0
        )

    @property
    def share(self) -> FloatArray:
        """Share of each piece in its cycle, shape (rows, pieces). [-]"""
        share: FloatArray = self.duration / self.duration.sum(axis=1, keepdims=True)
        return share


class HeatGroup:
    """Candidates with networks of the same nodes on courses that are cut at the same parts.

    Parameters
    ----------
    models, model
        Distinct heat models, and which one each row has; `courses` and `drags` likewise.
    limit, coil : ndarray, shape (rows, n)
        Limits with those of what is fitted [degC], and heat that brakes put into the nodes [W].
    torque : ndarray, shape (rows, parts, 2)
        Torque that the motor delivers at both ends of each part. [N m]
    phase_factor, copper : ndarray, shape (rows, parts)
        Rise of the hottest phase over the mean [-], copper loss per square of torque [W/(N m)^2].
    extra : ndarray, shape (rows, parts, 16), optional
        Copper loss that no torque makes, of ripple and field weakening, in each step of every part at
        reference temperatures. [W]
    law : CopperLaw
        With fields of shape (rows, 1).
    """

    def __init__(
        self,
        engine: Engine,
        models: Sequence[HeatModel],
        model: IntArray,
        courses: Sequence[Course],
        course: IntArray,
        drags: Sequence[DragLaw],
        drag: IntArray,
        *,
        limit: FloatArray,
        coil: FloatArray,
        torque: FloatArray,
        phase_factor: FloatArray,
        copper: FloatArray,
        extra: FloatArray | None,
        law: CopperLaw,
    ) -> None:
        self.engine = engine
        self.models, self.model = models, model
        self.courses, self.course = courses, course
        self.drags, self.drag = drags, drag
        self.limit, self.coil, self.torque = limit, coil, torque
        self.phase_factor, self.copper, self.extra, self.law = phase_factor, copper, extra, law

    def __len__(self) -> int:
        return len(self.model)

    @property
    def network(self) -> HeatNetwork:
        """A network that tells the nodes of all."""
        return self.models[0].network

    @cached_property
    def capacity(self) -> FloatArray:
        """Heat capacities of the nodes, shape (rows, 1, n). [J/K]"""
        return np.array([one.network.capacity for one in self.models])[self.model][:, None]

    def piece_count(self, per_ramp: int) -> int:
        """Number of pieces of each cycle with ramps cut into so many."""
        return int(self.engine.cut(self.courses[0], per_ramp).part.size)

    @cached_property
    def ramps(self) -> bool:
        """Whether any part is cut."""
        return bool(self.piece_count(2) > self.torque.shape[1])

    def pieces(self, chosen: IntArray, per_ramp: int) -> PieceRows:
        """Return the pieces of some rows with every ramp cut into so many."""
        engine, courses = self.engine, self.courses
        cut = engine.cut(courses[0], per_ramp)
        duration = np.array([engine.cut(one, per_ramp).duration for one in courses])[self.course[chosen]]
        start, end = cut.between(self.torque[chosen, :, 0], self.torque[chosen, :, 1])
        conductance, inflow = self._links(chosen, per_ramp)
        first, pair = self._pairs(chosen, self.drag)
        drags = [
            engine.drag_on_cut(self.drags[self.drag[row]], courses[self.course[row]], per_ramp)
            for row in first
        ]
        inflow[:, :, self.network.core] += np.array([one.means.core_power for one in drags])[pair]
        if self.network.air >= 0:
            inflow[:, :, self.network.air] += np.array([one.means.air_power for one in drags])[pair]
        mean, square, moment, direction = (
            np.array(values)[pair]
            for values in zip(
                *((d.means.torque, d.means.torque_squared, d.means.moment, d.direction) for d in drags),
                strict=True,
            )
        )
        middle, change = 0.5 * (start + end), end - start
        copper = np.empty((*middle.shape, 3))
        copper[..., 0] = np.where(direction != 0.0, square, 0.0)
        copper[..., 1] = direction * (middle * mean + change * moment)
        copper[..., 2] = middle**2 + change**2 / 12.0
        copper *= self.copper[chosen][:, cut.part, None]
        if self.extra is not None:
            copper[..., 0] += self._extra_on(cut, chosen)
        return PieceRows(duration, conductance, inflow, copper, self.phase_factor[chosen][:, cut.part], cut)

    def _links(self, chosen: IntArray, per_ramp: int) -> tuple[FloatArray, FloatArray]:
        """Return node matrices and the heat that flows in from sinks and coils."""
        first, pair = self._pairs(chosen, self.model)
        found = [
            self.engine.links(self.models[self.model[row]].network, self.courses[self.course[row]], per_ramp)
            for row in first
        ]
        matrix = np.array([one.matrix for one in found])[pair]
        inflow = np.array([one.inflow for one in found])[pair]
        inflow += self.coil[chosen][:, None]
        return matrix, inflow

    def _pairs(self, chosen: IntArray, part: IntArray) -> tuple[list[int], IntArray]:
        """Return a row for each distinct part on a course, and which of them each chosen row has."""
        code = part[chosen] * len(self.courses) + self.course[chosen]
        _, first, index = np.unique(code, return_index=True, return_inverse=True)
        return chosen[first].tolist(), index

    def _extra_on(self, cut: CutCourse, chosen: IntArray) -> FloatArray:
        """Return the mean of the extra copper loss in each piece. [W]"""
        assert self.extra is not None  # asked for where there is one
        loss = self.extra[chosen]
        if cut.per_ramp >= STEPS:
            return loss[:, cut.part, cut.position * STEPS // cut.count]
        found = np.empty((len(chosen), cut.part.size))
        for count in np.unique(cut.count).tolist():
            at = np.flatnonzero(cut.count == count)
            means = loss.reshape(*loss.shape[:2], count, STEPS // count).mean(axis=3)
            found[:, at] = means[:, cut.part[at], cut.position[at]]
        return found

    def problem(self, chosen: IntArray, pieces: PieceRows, loss: FloatArray) -> CycleProblem:
        """Return the cycles of some rows with given copper losses at reference temperatures."""
        law = CopperLaw(
            self.law.copper_constant[chosen],  # type: ignore[index]
            self.law.winding_ref_temp[chosen],  # type: ignore[index]
            self.law.magnet_ref_temp[chosen],  # type: ignore[index]
            self.law.magnet_temp_coefficient[chosen],  # type: ignore[index]
        )
        return CycleProblem(
            pieces.conductance,
            pieces.inflow,
            loss,
            pieces.duration,
            self.capacity[chosen],
            self.network.winding,
            self.network.magnets,
            law,
        )
