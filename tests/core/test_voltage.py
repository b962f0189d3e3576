"""Voltage: limits, inverses, symmetry, worst case and sag. Simulations are in tests/reference."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError, UnitError
from core.physics.commutation_overlap import overlap_factor, overlap_finding, overlap_ratio
from core.physics.losses import SeriesPath
from core.physics.machine_constants import Commutation, EmfShape, MachineConstants
from core.physics.voltage import (
    CASES,
    available_voltage,
    braking_limit_torque,
    required_voltage,
    sagged_voltage,
    voltage_limit_torque,
    worst_voltage,
)

BOTH: list[Commutation] = ["six-step", "sinusoidal"]
SHAPES: list[EmfShape] = ["sinusoidal", "trapezoidal"]
MACHINE = MachineConstants(0.030, 0.8, 0.35e-3, 8)
PATH = SeriesPath(lead_resistance=0.03, switch_resistance=0.01, device_drop=0.5)
TORQUES = st.floats(0.0, 1.0)
SPEEDS = st.floats(0.0, 1500.0)
INDUCTANCES = st.floats(1e-7, 3e-3)


def machine(shape: EmfShape, inductance: float) -> MachineConstants:
    return MachineConstants(0.030, 0.8, inductance, 8, emf_shape=shape)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("commutation", BOTH)
@given(torque=TORQUES, speed=SPEEDS, inductance=INDUCTANCES, path=st.sampled_from([SeriesPath(), PATH]))
def test_limit_torque_inverts_required_voltage(
    commutation: Commutation,
    shape: EmfShape,
    torque: float,
    speed: float,
    inductance: float,
    path: SeriesPath,
) -> None:
    m = machine(shape, inductance)
    needed = required_voltage(m, commutation, torque, speed, 90.0, 60.0, path)
    if needed > 1e-6:
        limit = voltage_limit_torque(m, commutation, speed, needed, 90.0, 60.0, path)
        assert float(limit) == pytest.approx(torque, rel=1e-6, abs=1e-7)


@pytest.mark.parametrize("commutation", BOTH)
@given(speed=SPEEDS, voltage=st.floats(1.0, 60.0), inductance=INDUCTANCES, share=st.floats(0.0, 1.0))
def test_braking_up_to_the_limit_stays_within_the_voltage(
    commutation: Commutation, speed: float, voltage: float, inductance: float, share: float
) -> None:
    m = machine("sinusoidal", inductance)
    limit = float(braking_limit_torque(m, commutation, speed, voltage, 25.0, 25.0))
    if limit > 0.0:
        assert float(required_voltage(m, commutation, -share * limit, speed, 25.0, 25.0)) <= voltage * (
            1 + 1e-9
        )
        assert float(required_voltage(m, commutation, -1.001 * limit, speed, 25.0, 25.0)) > voltage * (
            1 - 1e-9
        )


@pytest.mark.parametrize("commutation", BOTH)
@given(torque=TORQUES, speed=SPEEDS, inductance=INDUCTANCES)
def test_braking_never_needs_more_than_motoring(
    commutation: Commutation, torque: float, speed: float, inductance: float
) -> None:
    m = machine("trapezoidal", inductance)
    motoring, braking = required_voltage(m, commutation, np.array([torque, -torque]), speed, 25.0, 25.0, PATH)
    assert braking <= motoring * (1 + 1e-12)


@pytest.mark.parametrize("commutation", BOTH)
@given(
    points=st.lists(st.tuples(st.floats(-1.0, 1.0), st.floats(-1500.0, 1500.0)), min_size=1, max_size=5),
    inductance=INDUCTANCES,
)
def test_scalar_equals_array_and_mirror(
    commutation: Commutation, points: list[tuple[float, float]], inductance: float
) -> None:
    m = machine("sinusoidal", inductance)
    torque, speed = np.array(points).T
    together = required_voltage(m, commutation, torque, speed, 90.0, 60.0, PATH)
    mirrored = required_voltage(m, commutation, -torque, -speed, 90.0, 60.0, PATH)
    alone = [float(required_voltage(m, commutation, t, w, 90.0, 60.0, PATH)) for t, w in points]
    assert together == pytest.approx(mirrored, rel=1e-12, abs=1e-12)
    assert together == pytest.approx(alone, rel=1e-12, abs=1e-12)
    for function in (voltage_limit_torque, braking_limit_torque):
        curve = function(m, commutation, speed, 24.0, 90.0, 60.0, PATH)
        one_by_one = [float(function(m, commutation, w, 24.0, 90.0, 60.0, PATH)) for w in speed.tolist()]
        assert curve == pytest.approx(one_by_one, rel=1e-12, abs=1e-12)


def test_limit_cases_by_hand() -> None:
    # at rest: I R; six-step 0.8 ohm with 4 A, sinusoidal 0.4 ohm with 5 A
    six, sine = 4.0 * 0.030 * 3 / math.pi, 5.0 * 0.030 * math.sqrt(3) / 2
    assert float(required_voltage(MACHINE, "six-step", six, 0.0, 25.0, 25.0)) == pytest.approx(3.2)
    assert float(required_voltage(MACHINE, "sinusoidal", -sine, 0.0, 25.0, 25.0)) == pytest.approx(2.0)
    # without torque: the EMF, 0.030 * 500 peak line-to-line
    assert float(required_voltage(MACHINE, "six-step", 0.0, -500.0, 25.0, 25.0)) == pytest.approx(
        15.0 * 3 / math.pi
    )
    assert float(required_voltage(MACHINE, "sinusoidal", 0.0, 500.0, 25.0, 25.0)) == pytest.approx(
        15.0 / math.sqrt(3)
    )
    # 5 A peak at 500 rad/s: E 8.660, R I 2.0, w_e L_ph I = 4000 * 0.175e-3 * 5 = 3.5
    by_hand = math.hypot(8.660254 + 2.0, 3.5)
    assert float(required_voltage(MACHINE, "sinusoidal", sine, 500.0, 25.0, 25.0)) == pytest.approx(
        by_hand, rel=1e-6
    )
    # leads and switches: 0.04 ohm a phase more; drop: (2/pi) 0.5 V
    more = math.hypot(8.660254 + 2.2 + 1 / math.pi, 3.5)
    with_path = required_voltage(MACHINE, "sinusoidal", sine, 500.0, 25.0, 25.0, PATH)
    assert float(with_path) == pytest.approx(more, rel=1e-6)


@pytest.mark.parametrize("commutation", BOTH)
def test_no_torque_beyond_the_speed_of_the_emf(commutation: Commutation) -> None:
    u = 12.0
    speeds = np.array([u / 0.030 * 0.9, u / 0.030 * 2.0])
    assert voltage_limit_torque(MACHINE, commutation, speeds[1:], u, 25.0, 25.0) == pytest.approx([0.0])
    assert braking_limit_torque(MACHINE, commutation, speeds[1:], u, 25.0, 25.0) == pytest.approx([0.0])
    assert voltage_limit_torque(MACHINE, commutation, speeds[:1], u, 25.0, 25.0)[0] > 0.0


@pytest.mark.parametrize("commutation", BOTH)
def test_limit_falls_with_speed(commutation: Commutation) -> None:
    curve = voltage_limit_torque(MACHINE, commutation, np.linspace(0.0, 1000.0, 200), 14.0, 120.0, 80.0)
    assert (np.diff(curve) <= 0.0).all()
    assert curve[0] > 0.0 == curve[-1]


def test_available_voltage() -> None:
    assert available_voltage("six-step", 24.0, 0.9) == pytest.approx(21.6)
    assert available_voltage("sinusoidal", 24.0, 0.9) == pytest.approx(21.6 / math.sqrt(3))
    assert available_voltage("sinusoidal", 24.0, 0.9, "sine-triangle") == pytest.approx(10.8)
    for duty in (0.0, 1.1, math.nan):
        with pytest.raises(InputRangeError, match="duty_limit"):
            available_voltage("six-step", 24.0, duty)
    with pytest.raises(InputRangeError, match="link_voltage"):
        available_voltage("six-step", 0.0)
    with pytest.raises(UnitError, match="modulation"):
        available_voltage("six-step", 24.0, 1.0, "hysteresis")  # type: ignore[arg-type]
    with pytest.raises(UnitError, match="commutation"):
        available_voltage("block", 24.0)  # type: ignore[arg-type]


@pytest.mark.parametrize("commutation", BOTH)
def test_worst_case_turns_from_cold_to_hot_with_torque(commutation: Commutation) -> None:
    torque = np.array([0.0, 0.6])
    worst = worst_voltage(MACHINE, commutation, torque, 300.0, (20.0, 120.0), (20.0, 90.0), 14.0)
    assert CASES[worst.case[0]].endswith("cold magnets")
    assert CASES[worst.case[1]] == "hot winding, hot magnets"
    each = [
        [
            float(required_voltage(MACHINE, commutation, t, 300.0, w, m))
            for w in (20.0, 120.0)
            for m in (20.0, 90.0)
        ]
        for t in torque
    ]
    assert worst.required == pytest.approx([max(cases) for cases in each])
    assert worst.utilisation == pytest.approx(worst.required / 14.0)
    with pytest.raises(InputRangeError, match="available voltage"):
        worst_voltage(MACHINE, commutation, 0.1, 300.0, (20.0, 120.0), (20.0, 90.0), 0.0)


@given(voltage=st.floats(5.0, 60.0), resistance=st.floats(0.0, 1.0), power=st.floats(-500.0, 1000.0))
def test_sag_satisfies_ohms_law(voltage: float, resistance: float, power: float) -> None:
    sagged, reachable = sagged_voltage(voltage, resistance, power)
    if reachable:
        assert float(sagged) == pytest.approx(voltage - resistance * power / float(sagged), rel=1e-6)
        assert float(sagged) >= 0.5 * voltage
    else:
        assert power > voltage**2 / (4.0 * resistance) * (1 - 1e-9)
        assert float(sagged) == pytest.approx(0.5 * voltage)


def test_published_sag() -> None:
    # 12.6 V, 20 mohm, 200 A: 8.6 V (stated by a user); at the power 200 A * 8.6 V
    assert float(sagged_voltage(12.6, 0.020, 200.0 * 8.6)[0]) == pytest.approx(8.6)
    with pytest.raises(InputRangeError, match="source_resistance"):
        sagged_voltage(12.6, -0.1, 10.0)


def test_overlap_never_below_the_bridge_equation_and_vanishes_at_rest() -> None:
    e, x = np.meshgrid(np.linspace(0.0, 1.2, 25), np.geomspace(1e-6, 1e3, 40))
    kappa = overlap_factor(e, x)
    assert (kappa >= 3.0 / math.pi).all()
    assert (kappa <= 1.0 / 0.28).all()
    assert float(overlap_ratio(MACHINE, 0.0, 25.0)) == 0.0


def test_finding_where_the_plain_term_is_optimistic() -> None:
    speeds = np.array([52.4, -712.1, 300.0])
    finding = overlap_finding(MACHINE, speeds, 25.0)
    assert finding is not None
    assert finding.code == "overlap_term_optimistic"
    # (3/pi) * 8 * 712.1 * 0.175 mH / 0.8 ohm
    assert finding.values["overlap_ratio"] == pytest.approx(1.190, abs=1e-3)
    assert finding.values["speed_rad_s"] == 712.1
    assert overlap_finding(MACHINE, np.array([52.4, 300.0]), 25.0) is None
    # a hot winding has more resistance: the same speed is then inside the validity
    edge = 490.0
    assert overlap_finding(MACHINE, edge, 25.0) is not None
    assert overlap_finding(MACHINE, edge, 60.0) is None


def test_limit_refuses_no_voltage() -> None:
    for function in (voltage_limit_torque, braking_limit_torque):
        with pytest.raises(InputRangeError, match="voltage"):
            function(MACHINE, "six-step", 100.0, 0.0, 25.0, 25.0)
