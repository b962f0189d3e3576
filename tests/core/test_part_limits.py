"""What is fitted to a motor limits its torque where it bears less heat, and turns with its shaft."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project.feedback import Encoder, Feedback, HallSensors
from core.project.fittings import HoldingBrake
from core.results import CandidateResult, HeatFlows
from tests.core.projects import candidate, project, segment

STEADY = segment(10.0, 0.05, 150.0)
NOT_HOT = 70.0  # [degC] less than winding and magnets of the frame bear


def driven(torque: float, feedback: Feedback | None, **fields: object) -> CandidateResult:
    one = candidate(feedback=feedback, **fields)  # type: ignore[arg-type]
    return evaluate(project(replace(STEADY, shaft_torque=torque), candidates=(one,))).candidates[0]


@pytest.mark.parametrize(
    ("feedback", "part"),
    [
        (HallSensors(highest_temp=NOT_HOT), "Hall board"),
        (Encoder(counts=4096, highest_temp=NOT_HOT), "encoder"),
    ],
)
def test_a_part_that_bears_less_than_the_winding_limits_the_torque(feedback: Feedback, part: str) -> None:
    bare, limited = driven(0.05, None), driven(0.05, feedback)
    factor = limited.torque_reserve
    assert factor is not None
    assert bare.torque_reserve is not None
    assert factor < bare.torque_reserve
    reserve = limited.margin("torque_reserve")
    assert reserve is not None
    assert part in str(reserve.where)
    assert part in str(reserve.equation)
    # the reserve is what it says: at that torque the part is just as warm as it may be
    full = driven(0.05 * factor, feedback)
    assert full.torque_reserve == pytest.approx(1.0, rel=1e-6)
    flows = full.flows
    assert flows is not None
    node = flows.nodes.index(str(reserve.where).split("(")[1].split(")")[0])
    assert flows.temps[:, node].max() == pytest.approx(NOT_HOT, abs=0.01)
    # and the continuous torque knows it too
    assert limited.curves is not None
    assert bare.curves is not None
    assert limited.curves.continuous is not None
    assert bare.curves.continuous is not None
    assert np.nanmax(limited.curves.continuous) < np.nanmax(bare.curves.continuous)


def test_a_part_that_is_not_at_the_motor_limits_nothing() -> None:
    away = Encoder(counts=4096, highest_temp=NOT_HOT, at_load=True)
    assert driven(0.05, away).torque_reserve == driven(0.05, None).torque_reserve


def test_the_hall_limit_of_the_motor_counts_where_its_halls_are_used() -> None:
    one = candidate()
    assert one.motor is not None
    motor = replace(one.motor, hall_limit=NOT_HOT)
    bare = driven(0.05, None, motor=motor).torque_reserve
    assert bare == driven(0.05, None).torque_reserve
    for feedback in (HallSensors(highest_temp=150.0), Encoder(counts=4096, start="Hall sensors")):
        limited = driven(0.05, feedback, motor=motor).torque_reserve
        assert limited == driven(0.05, HallSensors(highest_temp=NOT_HOT)).torque_reserve
    assert driven(0.05, Encoder(counts=4096, start="absolute"), motor=motor).torque_reserve == bare


def test_encoder_and_brake_are_accelerated_with_the_rotor() -> None:
    ramp = (segment(1.0, 0.0, 0.0, 100.0), segment(1.0, 0.0, 100.0, 0.0))
    encoder, brake = Encoder(counts=4096, inertia=3e-6), HoldingBrake(holding_torque=0.5, inertia=5e-6)
    plain, fitted = candidate(), candidate(name="fitted", feedback=encoder, brake=brake)
    both = evaluate(project(*ramp, candidates=(plain, fitted))).candidates
    points = [one.load_points for one in both]
    assert points[0] is not None
    assert points[1] is not None
    more = points[1].inertia_torque[0] - points[0].inertia_torque[0]
    assert more == pytest.approx(8e-6 * 100.0)  # by hand: J alpha
    assert fitted.rotor_inertia - plain.rotor_inertia == pytest.approx(8e-6)


def test_idle_power_of_built_in_electronics_warms_the_motor() -> None:
    drive = replace(candidate().drive, idle_power=2.0)
    loose, built_in = (driven(0.0, None, drive=replace(drive, built_in=inside)) for inside in (False, True))
    flows, warmed = loose.flows, built_in.flows
    assert flows is not None
    assert warmed is not None

    def into_sinks(one: HeatFlows) -> float:
        """Return the mean heat that leaves the motor: what has a sink at its second end. [W]"""
        leaves = one.ends[:, 1] >= len(one.nodes)
        return float(one.mean_flow[leaves].sum())

    # energy balance: all of it flows off
    assert into_sinks(warmed) - into_sinks(flows) == pytest.approx(2.0, abs=0.02)
    assert warmed.mean_temps.min() > flows.mean_temps.min()
