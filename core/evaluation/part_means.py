"""Means over each part of the duty, computed once for the steps that share them."""

from __future__ import annotations

from core.evaluation.remembered import remembered
from core.numeric import FloatArray
from core.physics.cycle_heat import mean_square_torque
from core.physics.drag import DragLaw, RampMeans, mean_drag_over_ramp
from core.physics.shaft_duty import ShaftDuty
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class PartMeans:
    """Time means of each part of a duty, shape (parts,).

    `square` [(N m)^2] is that of the electromagnetic torque, `drag_torque` [N m] its drag, zero at rest;
    `drag` holds what the drag law gives, friction about to break away at rest included.
    """

    square: FloatArray
    drag_torque: FloatArray
    drag: RampMeans


@remembered(size=2)
def part_means(duty: ShaftDuty, drag: DragLaw) -> PartMeans:
    """Return the means over each part of a duty."""
    means = mean_drag_over_ramp(drag, duty.speed_start, duty.speed_end)
    return PartMeans(*mean_square_torque(duty, drag, means), means)
