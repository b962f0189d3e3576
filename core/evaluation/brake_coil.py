"""The heat of the coil that keeps a holding brake open: its mean over the cycle, in the node it heats."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.duty import duty_of
from core.evaluation.heat_model import HeatModel, NoHeatModel, stator_side
from core.evaluation.no_duty import NoDuty
from core.evaluation.remembered import remembered
from core.physics.brake import coil_heat
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.fittings import HoldingBrake
from core.project.motor import VariantKind
from core.results import DutyTrace


def coil_power(application: Application, candidate: Candidate) -> float:
    """Return the mean power of the brake's coil over the cycle; zero without a coil at the motor. [W]"""
    brake = candidate.brake
    if brake is None or not brake.on_motor or brake.pull_in_power == 0.0:
        return 0.0
    trace = duty_of(application, candidate.transmission)
    # a trace does not tell when the brake is applied: it then counts as held open throughout
    return held_open_power(brake) if isinstance(trace, NoDuty) else _mean_power(trace, brake)


def held_open_power(brake: HoldingBrake) -> float:
    """Return the power of the coil while it is held open. [W]"""
    return brake.pull_in_power * brake.hold_voltage_share**2


@remembered()
def _mean_power(trace: DutyTrace, brake: HoldingBrake) -> float:
    """Return the mean over a cycle in which the brake is applied where neither torque nor speed is."""
    duration = trace.time[1::2] - trace.time[::2]
    busy = (np.abs(trace.shaft_torque) > 0.0) | (trace.speed != 0.0)
    applied = ~busy.reshape(-1, 2).any(axis=1)
    released = float(duration[~applied].sum())
    cycle = float(duration.sum())
    releases = int(np.count_nonzero(applied & ~np.roll(applied, -1)))
    if releases == 0:  # open throughout, or never
        return held_open_power(brake) if released > 0.0 else 0.0
    energy = coil_heat(
        brake.pull_in_power,
        released / releases,
        pull_in_time=brake.pull_in_time,
        hold_voltage_share=brake.hold_voltage_share,
    )
    return releases * float(energy) / cycle


@remembered()
def with_coil(heat: HeatModel | NoHeatModel, power: float, kind: VariantKind) -> HeatModel | NoHeatModel:
    """Return a heat model with the heat of a coil in its node, the same where there is none."""
    if power == 0.0 or isinstance(heat, NoHeatModel):
        return heat
    network = heat.network
    into = np.zeros(len(network.nodes)) if network.heat is None else network.heat.copy()
    into[stator_side(network, kind)] += power
    return replace(heat, network=replace(network, heat=into))
