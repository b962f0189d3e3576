"""Mechanisms: terms in their limits, energy over closed cycles, directions, rest, findings, bad input."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from core.errors import InputRangeError
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.body_inertia import (
    block_inertia,
    disc_inertia,
    offset_inertia,
    ring_inertia,
    rod_inertia,
    screw_inertia,
)
from core.physics.fluid_mechanisms import DisplacementPump, FanLoad
from core.physics.linear_mechanisms import BeltDrive, DrumWinch, ScrewDrive, WheelDrive, back_efficiency_of
from core.physics.load_friction import LinearFriction, RotaryFriction
from core.physics.load_terms import AxisLoad, axis_terms
from core.physics.mechanism_kinds import Mechanism, with_friction
from core.physics.mechanisms import load_terms
from core.physics.motion import LoadMotion, motion_of_speeds
from core.physics.motion_profiles import MotionProfile
from core.physics.moves import Dwell, Move, MoveBy, Ramp, Run, load_motion
from core.physics.profile_shapes import cycloid, harmonic, polynomial_345, polynomial_4567, s_curve
from core.physics.resonance import two_mass_frequencies
from core.physics.rotary_mechanisms import DirectRotaryLoad, RotaryTable, SwingArm
from core.physics.term_shares import term_shares, work_by_cause

UP = math.pi / 2.0
BEARING = RotaryFriction(0.05, 0.002, 0.08)
GUIDE = LinearFriction(0.05, 3.0, 10.0, 1.5)

MECHANISMS: dict[str, Mechanism] = {
    "table": RotaryTable(0.05, 0.7, 2.0, 0.1, 0.4, BEARING, 0.1, 0.2),
    "arm": SwingArm(1.0, 0.3, 0.5, 0.15, 0.2, 0.01, 0.002, 0.8, 0.1, BEARING),
    "direct": DirectRotaryLoad(0.02, 0.3, BEARING, 0.1, 1e-3),
    "screw": ScrewDrive(5.0, 0.005, 0.6, 0.85, None, 0.016, 2e-5, 0.02, GUIDE, 20.0, 15.0),
    "self-locking screw": ScrewDrive(
        5.0, 0.003, UP, friction_angle=0.15, pitch_diameter=0.014, friction=GUIDE
    ),
    "belt": BeltDrive(3.0, 0.02, 0.3, 1e-4, 0.95, GUIDE, 5.0, 4.0),
    "winch": DrumWinch(20.0, 0.05, UP, 6.0, 0.01, 0.92, GUIDE, 2.0),
    "wheels": WheelDrive(60.0, 0.1, 0.08, 2, LinearFriction(0.02, 1.0, 2.0, 1.5), 4, 0.01, 0.5, 1.2, 0.95),
    "fan": FanLoad(0.4, 150.0, 1e-3, BEARING),
    "pump": DisplacementPump(1e-6, 3e5, 0.85, 0.2, 1e-4, BEARING),
}
every_mechanism = pytest.mark.parametrize("mechanism", MECHANISMS.values(), ids=MECHANISMS.keys())

# there slowly, back fast: what is sampled differently each way must still cancel
CYCLE: list[Move] = [
    MoveBy(1.2, 1.7, cycloid()),
    Dwell(0.3),
    Ramp(0.0, -2.0, 0.4),
    Run(-2.0, 0.2),
    Ramp(-2.0, 0.0, 0.4),
    Dwell(0.2, held=False),
]


def codes(findings: list[Finding]) -> set[str]:
    return {found.code for found in findings}


def fine_grid(motion: LoadMotion, per_piece: int = 40) -> FloatArray:
    """Return midpoints of a fine division of every piece, for quadrature independent of the pieces' law."""
    edges = [np.linspace(a, b, per_piece + 1) for a, b in zip(motion.time[:-1], motion.time[1:], strict=True)]
    return np.concatenate([0.5 * (edge[1:] + edge[:-1]) for edge in edges])


@every_mechanism
def test_closed_cycle_returns_kinetic_energy_and_gravity(mechanism: Mechanism) -> None:
    motion, terms, _ = load_terms(mechanism, load_motion(CYCLE))
    assert motion.position_drift == pytest.approx(0.0, abs=1e-9)
    work = work_by_cause(motion, terms)
    scale = float(np.abs(terms.total * motion.speed_ends).max()) * motion.cycle_time
    assert work["acceleration"] == pytest.approx(0.0, abs=1e-12 * scale)
    assert work["gravity"] == pytest.approx(0.0, abs=1e-12 * scale)
    total = float(
        np.sum(motion.duration / 6.0 * _simpson(terms.total * motion.speed_ends, terms.total, motion))
    )
    assert total == pytest.approx(work["friction"] + work["process"], rel=1e-6)
    assert work["friction"] > 0.0


def _simpson(ends: FloatArray, torque: FloatArray, motion: LoadMotion) -> FloatArray:
    middle = torque.mean(axis=1) * motion.speed_ends.mean(axis=1)
    result: FloatArray = ends[:, 0] + 4.0 * middle + ends[:, 1]
    return result


@every_mechanism
def test_work_of_process_and_plain_friction_is_that_of_their_laws(mechanism: Mechanism) -> None:
    """Integrate the laws over time on a fine grid, with nothing but the speed taken from the pieces."""
    load = replace(mechanism.axis_load(), efficiency=1.0, back_efficiency=1.0)
    motion, terms = axis_terms(load, load_motion(CYCLE))
    time = fine_grid(motion)
    width = np.repeat(motion.duration / 40.0, 40)
    w = np.interp(time, motion.time, motion.speed)
    process = (load.steady_torque + load.resisting_torque * np.sign(w) + load.square_torque * w * abs(w)) * w
    friction = (load.running_friction * np.sign(w) + load.friction_viscous * w) * w
    work = work_by_cause(motion, terms)
    # midpoint rule of 40 parts a piece: a few 1e-5 of the quadratic parts
    assert work["process"] == pytest.approx(float(process @ width), rel=2e-4, abs=1e-12)
    assert work["friction"] == pytest.approx(float(friction @ width), rel=2e-4, abs=1e-12)


def test_energy_of_square_law_is_exact() -> None:
    # ramp 0 to w in t: integral of c w^3 = c w^3 t/4, by hand 0.01 * 1e6 * 2/4 = 5000 J
    fan = FanLoad(0.01 * 100.0**2, 100.0)
    motion, terms, _ = load_terms(fan, load_motion([Ramp(0.0, 100.0, 2.0)], repeats=False))
    assert work_by_cause(motion, terms)["process"] == pytest.approx(5000.0, rel=1e-9)
    # mean square of c w^2 over the ramp is a fifth of its peak's
    assert term_shares(motion, terms).rms_torque == pytest.approx(100.0 / math.sqrt(5.0), rel=1e-3)
    assert terms.total.max() == pytest.approx(100.0, rel=1e-3)


@pytest.mark.parametrize("tilt", [0.2, UP])
def test_rms_and_peak_of_swinging_gravity(tilt: float) -> None:
    # constant speed over whole turns: RMS amplitude/sqrt 2, amplitude m g r sin(tilt)
    table = RotaryTable(0.05, tilt, 2.0, 0.1)
    amplitude = 2.0 * 9.81 * 0.1 * math.sin(tilt)
    motion, terms, _ = load_terms(table, load_motion([Run(3.0, distance=4.0 * math.pi)]))
    assert term_shares(motion, terms).rms_torque == pytest.approx(amplitude / math.sqrt(2.0), rel=1e-4)
    assert np.abs(terms.gravity).max() == pytest.approx(amplitude, rel=1.1e-3)


def test_gravity_of_a_pendulum_agrees_with_the_equation_of_motion() -> None:
    # let the arm swing freely: with that motion the drive must supply nothing
    arm = SwingArm(1.0, 0.3, 0.0, 0.0, -UP)
    free = solve_ivp(
        lambda _t, y: [y[1], -9.81 / 0.3 * math.sin(y[0])],
        (0.0, 1.0),
        [0.0, 3.0],
        rtol=1e-10,
        atol=1e-12,
        dense_output=True,
    )
    assert free.sol is not None
    time = np.linspace(0.0, 1.0, 401)
    swing = motion_of_speeds(time, np.ascontiguousarray(free.sol(time)[1]))
    _, terms, _ = load_terms(arm, swing)
    weight = 9.81 * 0.3
    assert np.abs(terms.gravity).max() > 0.5 * weight
    assert np.abs(terms.total.mean(axis=1)).max() < 1e-3 * weight


@pytest.mark.parametrize("factor", [0.0, 1.0])
def test_released_rest_asks_nothing_and_powered_rest_gives_friction_no_credit(factor: float) -> None:
    winch = with_friction(MECHANISMS["winch"], factor)
    _, held, _ = load_terms(winch, load_motion([Dwell(1.0)]))
    assert held.total[0].tolist() == pytest.approx([(20.0 - 6.0) * 9.81 * 0.05] * 2)
    assert not held.friction.any()
    _, released, _ = load_terms(winch, load_motion([Dwell(1.0, held=False)]))
    assert not released.total.any()


def test_pump_and_fan_ask_nothing_at_rest() -> None:
    for name in ("fan", "pump"):
        _, terms, _ = load_terms(MECHANISMS[name], load_motion([Dwell(1.0)]))
        assert not terms.total.any()


@every_mechanism
def test_breakaway_stands_apart_at_starts_only(mechanism: Mechanism) -> None:
    load = mechanism.axis_load()
    motion, terms, _ = load_terms(mechanism, load_motion(CYCLE))
    starts = np.flatnonzero(terms.breakaway)
    assert motion.move[starts].tolist() == [0, 2]
    assert np.sign(terms.breakaway[starts]).tolist() == [1.0, -1.0]
    assert np.abs(terms.breakaway[starts]) == pytest.approx(load.starting_friction)
    extra = terms.starting_torque[starts] - terms.total[starts, 0]
    assert np.abs(extra) == pytest.approx(load.starting_friction - load.running_friction, abs=1e-9)


def test_friction_turns_with_the_speed_and_splits_a_reversing_piece() -> None:
    load = DirectRotaryLoad(0.0, 0.0, RotaryFriction(0.4, 0.01))
    swing = motion_of_speeds(np.array([0.0, 2.0]), np.array([10.0, -10.0]))
    motion, terms, _ = load_terms(load, swing)
    assert motion.time.tolist() == [0.0, 1.0, 2.0]
    assert terms.friction.tolist() == [pytest.approx([0.5, 0.4]), pytest.approx([-0.4, -0.5])]


def test_losses_turn_round_where_the_power_behind_them_does() -> None:
    # viscous load 1 N m s/rad against a weight of 5 N m that helps: power turns at 5 rad/s
    load = AxisLoad(gravity_torque=-5.0, friction_viscous=1.0, efficiency=0.8, back_efficiency=0.75)
    ramp = motion_of_speeds(np.array([0.0, 1.0]), np.array([0.0, 10.0]))
    motion, terms = axis_terms(load, ramp)
    assert motion.time.tolist() == pytest.approx([0.0, 0.5, 1.0])
    assert terms.total[0].tolist() == pytest.approx([-5.0 * 0.75, 0.0])
    assert terms.total[1].tolist() == pytest.approx([0.0, 5.0 / 0.8], abs=1e-12)


def test_parts_before_the_losses_are_not_divided_by_the_efficiency() -> None:
    # slide accelerating on the level: load part / 0.8, own inertia and preload as they are
    screw = ScrewDrive(10.0, 2.0 * math.pi * 0.01, 0.0, 0.8, screw_inertia=0.003, preload_torque=0.05)
    _, terms, _ = load_terms(screw, load_motion([Ramp(0.0, 1.0, 1.0)], repeats=False))
    # axis: 100 rad/s2; load 10 * 1e-4 * 100 = 0.1; own 0.3
    assert terms.total.max() == pytest.approx(0.1 / 0.8 + 0.3 + 0.05)


@pytest.mark.parametrize(
    ("friction_angle", "back", "locks"),
    [
        # lead angle atan(5/(16 pi)) = 0.09914: tan(0.09914 - 0.05)/tan 0.09914 = 0.4945
        (0.05, 0.4945, False),
        # tan(0.09914 - 0.15)/tan 0.09914 = -0.5118
        (0.15, -0.5118, True),
    ],
)
def test_screw_lowers_by_its_thread(friction_angle: float, back: float, locks: bool) -> None:
    screw = ScrewDrive(100.0, 0.005, UP, friction_angle=friction_angle, pitch_diameter=0.016)
    assert screw.back_efficiency == pytest.approx(back, rel=1e-3)
    _, terms, findings = load_terms(screw, load_motion([Run(-0.01, 1.0)], repeats=False))
    lossless = 100.0 * 9.81 * 0.005 / (2.0 * math.pi)
    # positive at negative speed: the motor brakes; negative: it must drive the load down
    assert terms.total.max() == pytest.approx(back * lossless, rel=1e-3)
    assert ("screw_self_locking" in codes(findings)) is locks
    _, _, rest = load_terms(screw, load_motion([Dwell(1.0, held=False)]))
    assert ("released_under_gravity" in codes(rest)) is not locks


def test_screw_knows_its_back_efficiency_from_either_figure() -> None:
    by_angle = ScrewDrive(1.0, 0.005, UP, friction_angle=0.02, pitch_diameter=0.016)
    by_efficiency = ScrewDrive(1.0, 0.005, UP, by_angle.drive_efficiency, pitch_diameter=0.016)
    assert by_efficiency.back_efficiency == pytest.approx(by_angle.back_efficiency, rel=1e-12)
    unknown = ScrewDrive(1.0, 0.005, UP, by_angle.drive_efficiency)
    # 2 - 1/eta: near for a small friction angle
    assert unknown.back_efficiency == pytest.approx(by_angle.back_efficiency, abs=0.01)
    assert "back_efficiency_assumed" in codes(load_terms(unknown, load_motion([Dwell(1.0)]))[2])
    # a coefficient of friction of 0.1 is not an efficiency of 0.9
    assert ScrewDrive(
        1.0, 0.005, UP, friction_angle=math.atan(0.1), pitch_diameter=0.016
    ).drive_efficiency == pytest.approx(0.4937, rel=1e-3)


@every_mechanism
@settings(max_examples=20, deadline=None)
@given(amount=st.floats(0.05, 5.0), duration=st.floats(0.2, 5.0))
def test_mirrored_motion_mirrors_what_has_no_fixed_direction(
    mechanism: Mechanism, amount: float, duration: float
) -> None:
    load = replace(mechanism.axis_load(), gravity_torque=0.0, steady_torque=0.0, gravity_phase=0.0)
    forward = load_motion([MoveBy(amount, duration, polynomial_345())], repeats=False)
    backward = load_motion([MoveBy(-amount, duration, polynomial_345())], repeats=False)
    motion, terms = axis_terms(load, forward)
    mirrored, opposite = axis_terms(load, backward)
    np.testing.assert_array_equal(mirrored.speed, -motion.speed)
    for name in ("acceleration", "gravity", "friction", "process", "breakaway"):
        ahead, behind = getattr(terms, name), getattr(opposite, name)
        np.testing.assert_allclose(behind, -ahead, rtol=1e-9, atol=1e-12)


@every_mechanism
def test_pieces_do_not_depend_on_each_other(mechanism: Mechanism) -> None:
    whole = load_motion(CYCLE)
    load = mechanism.axis_load()
    motion, terms = axis_terms(load, whole)
    for k in range(whole.acceleration.size):
        one = LoadMotion(
            whole.time[k : k + 2],
            whole.position[k : k + 2],
            whole.speed[k : k + 2],
            whole.acceleration[k : k + 1],
            whole.move[k : k + 1],
            whole.held[k : k + 1],
        )
        alone, its_terms = axis_terms(load, one)
        inside = (motion.time[:-1] >= one.time[0] - 1e-12) & (motion.time[1:] <= one.time[-1] + 1e-12)
        # the square of speed is cut by the speed range of the whole cycle, so ends alone are compared
        rel = 2e-2 if load.square_torque else 1e-9
        ends = terms.total[inside]
        expected = [ends[0, 0], ends[-1, 1]]
        np.testing.assert_allclose(
            [its_terms.total[0, 0], its_terms.total[-1, 1]], expected, rtol=rel, atol=1e-9 + rel
        )
        assert alone.time[-1] == motion.time[1:][inside][-1]


@every_mechanism
def test_friction_study_brackets_the_load(mechanism: Mechanism) -> None:
    cycle = load_motion(CYCLE)
    friction = []
    for factor in (0.0, 0.5, 1.0, 2.0):
        motion, terms, _ = load_terms(with_friction(mechanism, factor), cycle)
        friction.append(work_by_cause(motion, terms)["friction"])
    assert friction[0] == pytest.approx(0.0, abs=1e-9 * friction[2])
    assert friction[1] < friction[2] < friction[3]
    assert with_friction(mechanism, 1.0).axis_load().friction_torque == mechanism.axis_load().friction_torque


@pytest.mark.parametrize("shape", [cycloid(), polynomial_345(), polynomial_4567(), harmonic(), s_curve()])
def test_sampled_torque_keeps_rms_and_never_hides_a_peak(shape: MotionProfile) -> None:
    """Against the curves themselves: inertia, friction, viscous friction of one move of 1.5 rad in 1 s."""
    inertia, constant, viscous = 0.05, 0.1, 0.05
    load = DirectRotaryLoad(inertia, 0.0, RotaryFriction(constant, viscous))
    motion, terms, _ = load_terms(load, load_motion([MoveBy(1.5, 1.0, shape)], repeats=False))
    tau = (np.arange(200_000) + 0.5) / 200_000
    _, v, a, _ = shape.derivatives(tau)
    torque = inertia * 1.5 * a + constant + viscous * 1.5 * v
    shares = term_shares(motion, terms)
    assert shares.rms_torque == pytest.approx(math.sqrt(float(np.mean(torque**2))), rel=1e-3)
    # acceleration is constant and speed linear in a piece, so their sum overshoots a little at its end
    peak = float(np.abs(torque).max())
    assert 0.999 * peak < shares.peak_torque < 1.03 * peak


def test_shares_add_up_and_name_the_dominant_cause() -> None:
    for mechanism in MECHANISMS.values():
        motion, terms, _ = load_terms(mechanism, load_motion(CYCLE))
        shares = term_shares(motion, terms)
        assert sum(shares.rms_share.values()) == pytest.approx(1.0)
        assert shares.peak_torque <= shares.sum_of_peaks * (1.0 + 1e-12)
    motion, terms, _ = load_terms(MECHANISMS["winch"], load_motion(CYCLE))
    assert term_shares(motion, terms).dominant == "gravity"


def findings_of(mechanism: Mechanism, moves: list[Move], repeats: bool = True) -> dict[str, Finding]:
    return {found.code: found for found in load_terms(mechanism, load_motion(moves, repeats=repeats))[2]}


def test_vertical_axis_says_what_a_tilt_would_cost() -> None:
    found = findings_of(RotaryTable(0.05, 0.0, 2.0, 0.1), [MoveBy(1.0, 1.0), MoveBy(-1.0, 1.0)])
    per_degree = found["gravity_absent_axis_vertical"].values["torque_per_degree_Nm"]
    assert per_degree == pytest.approx(2.0 * 9.81 * 0.1 * 0.0174524, rel=1e-5)


def test_counterbalance_is_suggested_above_80_percent_only() -> None:
    slow: list[Move] = [MoveBy(1.0, 4.0), Dwell(1.0), MoveBy(-1.0, 4.0)]
    heavy = SwingArm(1.0, 0.3, 0.2, 0.15, 0.0)
    balanced = replace(heavy, counter_mass=3.3, counter_lever=0.1)
    assert "gravity_dominates" in findings_of(heavy, slow)
    # a slope cannot be balanced
    climb: list[Move] = [Run(1.0, 1.0)]
    uphill = WheelDrive(60.0, 0.1, 0.5, 2, LinearFriction(0.02))
    assert "gravity_dominates" not in findings_of(uphill, climb)
    assert "gravity_dominates" not in findings_of(balanced, slow)


def test_mistakes_of_the_hand_sheet_are_named() -> None:
    swing: list[Move] = [MoveBy(1.0, 1.0), MoveBy(-1.0, 1.0)]
    assert "arm_without_mass" in findings_of(SwingArm(1.0, 0.3, 0.0, 0.0, 0.0), swing)
    assert "arm_without_mass" not in findings_of(SwingArm(1.0, 0.3, 0.1, 0.1, 0.0), swing)
    dragged = DirectRotaryLoad(0.01, 0.0, RotaryFriction(0.5))
    assert "friction_uncertain" in findings_of(dragged, swing)
    assert "no_acceleration_in_cycle" in findings_of(dragged, [Run(1.0, 1.0)])
    spun: list[Move] = [Ramp(0.0, 500.0, 5.0), Ramp(500.0, 0.0, 5.0)]
    assert "windage_left_out" in findings_of(dragged, spun)
    assert "windage_left_out" not in findings_of(replace(dragged, square_torque=1e-7), spun)
    sticky = DirectRotaryLoad(0.0, 0.0, RotaryFriction(0.1, breakaway=0.9))
    assert findings_of(sticky, swing)["breakaway_sets_the_peak"].values[
        "starting_torque_Nm"
    ] == pytest.approx(0.9)


def test_sum_of_worst_cases_is_told_from_peak_and_rms() -> None:
    belt = BeltDrive(10.0, 0.1, 0.0)
    found = findings_of(belt, [Ramp(0.0, 1.0, 0.1), Run(1.0, 3.0), Ramp(1.0, 0.0, 0.1), Dwell(1.0)])
    values = found["sum_of_worst_cases_is_a_peak"].values
    # peak 10 kg * 10 m/s2 * 0.1 m for 0.2 s of 4.2 s
    assert values["peak_Nm"] == pytest.approx(10.0)
    assert values["rms_Nm"] == pytest.approx(10.0 * math.sqrt(0.2 / 4.2))


def test_rope_goes_slack_when_lowered_faster_than_it_falls() -> None:
    winch = DrumWinch(10.0, 0.05, UP)

    def lowering(acceleration: float) -> list[Move]:
        down = [Ramp(0.0, -1.0, acceleration=acceleration), Ramp(-1.0, 0.0, acceleration=acceleration)]
        return [*down, MoveBy(1.0 / acceleration, 1.0)]

    assert "rope_slack" not in findings_of(winch, lowering(9.0))
    slack = findings_of(winch, lowering(11.0))["rope_slack"]
    # 10 (9.81 - 11) = -11.9 N in the first move
    assert slack.values["rope_pull_N"] == pytest.approx(-11.9)
    assert slack.segment == 0


def test_vehicle_tips_when_braked_too_hard() -> None:
    # level: g b/h = 9.81 * 0.1/0.3 = 3.27 m/s2; on 0.2 rad: 9.81 (0.1 cos 0.2 - 0.3 sin 0.2)/0.3 = 1.256
    cart = WheelDrive(60.0, 0.1, 0.0, 2, LinearFriction(), centre_height=0.3, support_distance=0.1)
    assert cart.tipping_acceleration == pytest.approx(3.27)
    assert replace(cart, slope=-0.2).tipping_acceleration == pytest.approx(1.256, rel=1e-3)
    stop: list[Move] = [Ramp(0.0, 1.0, acceleration=1.0), Ramp(1.0, 0.0, acceleration=3.5)]
    assert findings_of(cart, stop)["vehicle_tips"].segment == 1
    stop[1] = Ramp(1.0, 0.0, acceleration=3.2)
    assert "vehicle_tips" not in findings_of(cart, stop)
    stop[1] = Ramp(1.0, 0.0, acceleration=50.0)
    assert "vehicle_tips" not in findings_of(replace(cart, centre_height=0.0), stop)


def test_drift_matters_where_travel_or_gravity_does_not_repeat() -> None:
    onward: list[Move] = [MoveBy(1.0, 1.0)]
    assert "position_drifts" in findings_of(MECHANISMS["screw"], onward)
    assert "position_drifts" in findings_of(MECHANISMS["table"], onward)
    assert "position_drifts" not in findings_of(MECHANISMS["table"], [MoveBy(2.0 * math.pi, 1.0)])
    assert "position_drifts" not in findings_of(MECHANISMS["wheels"], onward)
    assert "position_drifts" not in findings_of(MECHANISMS["belt"], onward)


def test_released_arm_is_safe_only_where_it_hangs() -> None:
    arm = SwingArm(1.0, 0.3, 0.2, 0.15, -UP)
    hanging = findings_of(arm, [MoveBy(1.0, 1.0), MoveBy(-1.0, 1.0), Dwell(1.0, held=False)])
    assert "load_moves_without_power" in hanging
    assert "released_under_gravity" not in hanging
    raised = findings_of(arm, [MoveBy(1.0, 1.0), Dwell(1.0, held=False), MoveBy(-1.0, 1.0)])
    assert raised["released_under_gravity"].segment == 1


def test_backward_pump_and_many_turns_are_named() -> None:
    assert "pump_turns_backward" in findings_of(MECHANISMS["pump"], [Run(-5.0, 1.0)])
    turning = findings_of(RotaryTable(0.05, UP, 2.0, 0.1), [Run(100.0, 100.0)])
    assert "gravity_followed_coarsely" in turning


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: RotaryTable(-1.0, 0.0), "inertia must be >= 0, got -1 kg m2"),
        (lambda: RotaryTable(1.0, 4.0), "tilt of the axis"),
        (lambda: RotaryTable(1.0, math.nan), "tilt of the axis"),
        (lambda: SwingArm(-1.0, 0.1, 0.0, 0.0, 0.0), "payload mass"),
        (lambda: SwingArm(1.0, 0.1, 0.0, 0.0, math.inf), "angle at position 0"),
        (lambda: DirectRotaryLoad(1.0, math.nan), "steady torque"),
        (lambda: ScrewDrive(1.0, 0.0, 0.0, 0.9), "lead must be > 0, got 0 m"),
        (lambda: ScrewDrive(1.0, 0.005, 0.0), "exactly one"),
        (lambda: ScrewDrive(1.0, 0.005, 0.0, 0.9, 0.1, 0.016), "exactly one"),
        (lambda: ScrewDrive(1.0, 0.005, 0.0, friction_angle=0.1), "pitch diameter"),
        (lambda: ScrewDrive(1.0, 0.005, 0.0, friction_angle=1.6, pitch_diameter=0.01), "friction angle"),
        (lambda: ScrewDrive(1.0, 0.005, 2.0, 0.9), "inclination"),
        (lambda: BeltDrive(1.0, 0.01, 0.0, efficiency=1.2), "efficiency must be > 0 and <= 1"),
        (lambda: BeltDrive(1.0, 0.0, 0.0), "pulley radius"),
        (lambda: DrumWinch(1.0, 0.1, -0.1), "a rope only pulls"),
        (lambda: WheelDrive(1.0, 0.1, 0.0, 0, LinearFriction()), "number of driven wheels"),
        (lambda: WheelDrive(1.0, 0.1, 0.0, 5, LinearFriction()), "number of wheels"),
        (lambda: FanLoad(1.0, 0.0), "speed of the known point"),
        (lambda: DisplacementPump(1e-6, 1e5, 0.0), "hydraulic-mechanical efficiency"),
        (lambda: RotaryFriction(-0.1), "constant friction"),
        (lambda: LinearFriction(breakaway_ratio=0.9), "breakaway ratio"),
        (lambda: AxisLoad(friction_torque=-1.0), "friction torque"),
        (lambda: AxisLoad(efficiency=0.0), "efficiency"),
        (lambda: AxisLoad(back_efficiency=1.1), "back-driving efficiency"),
        (lambda: back_efficiency_of(0.0), "efficiency"),
        (lambda: with_friction(FanLoad(1.0, 1.0), -1.0), "factor of friction"),
        (lambda: ring_inertia(1.0, 0.2, 0.1), "inner radius must be < the outer radius 0.1, got 0.2 m"),
        (lambda: screw_inertia(0.0, 1.0), "diameter"),
        (lambda: two_mass_frequencies(0.0, 1.0, 1.0), "motor inertia"),
    ],
)
def test_bad_input_names_what_is_wrong(build: object, message: str) -> None:
    assert callable(build)
    with pytest.raises(InputRangeError, match=message):
        build()


def test_a_tilt_or_incline_cannot_be_forgotten() -> None:
    for kind, given_fields in ((RotaryTable, (1.0,)), (ScrewDrive, (1.0, 0.005)), (BeltDrive, (1.0, 0.02))):
        with pytest.raises(TypeError, match="missing"):
            kind(*given_fields)


def test_inertia_of_bodies_by_summing_small_masses() -> None:
    x = (np.arange(400) + 0.5) / 400 - 0.5
    block = 3.0 * float(np.mean((0.4 * x[:, None]) ** 2 + (0.5 * x[None, :]) ** 2))
    assert block_inertia(3.0, 0.4, 0.5) == pytest.approx(block, rel=1e-4)
    assert rod_inertia(3.0, 0.4) == pytest.approx(3.0 * float(np.mean((0.4 * x) ** 2)), rel=1e-4)
    assert offset_inertia(rod_inertia(3.0, 0.4), 3.0, 0.2) == pytest.approx(
        3.0 * float(np.mean((0.4 * (x + 0.5)) ** 2)), rel=1e-4
    )
    radius = 0.05 + 0.1 * (np.arange(4000) + 0.5) / 4000
    ring = 3.0 * float(np.average(radius**2, weights=radius))
    assert ring_inertia(3.0, 0.05, 0.15) == pytest.approx(ring, rel=1e-4)
    assert disc_inertia(3.0, 0.1) == pytest.approx(0.015)
    mass = 7850.0 * math.pi / 4.0 * 0.02**2 * 0.5
    assert screw_inertia(0.02, 0.5) == pytest.approx(disc_inertia(mass, 0.01))


def test_two_mass_frequencies_are_eigenvalues() -> None:
    motor, load, k, ratio = 2e-4, 0.05, 800.0, 10.0
    found = two_mass_frequencies(motor, load, k, ratio)
    seen = load / ratio**2
    stiffness = np.array([[k, -k], [-k, k]])
    free = np.linalg.eigvals(np.diag([1.0 / motor, 1.0 / seen]) @ stiffness).real.max()
    assert found.resonance == pytest.approx(math.sqrt(free) / (2.0 * math.pi), rel=1e-9)
    # motor held still: the load alone on the spring
    assert found.anti_resonance == pytest.approx(math.sqrt(k / seen) / (2.0 * math.pi), rel=1e-9)
    assert found.resonance > found.anti_resonance
    assert found.inertia_ratio == pytest.approx(2.5)
    assert found.bandwidth_below(0.5) == pytest.approx(0.5 * found.anti_resonance)


def test_terms_of_an_ideal_load_vanish() -> None:
    _, terms, findings = load_terms(DirectRotaryLoad(0.0, 0.0), load_motion(CYCLE))
    assert not terms.total.any()
    assert not findings
