"""Moves put together into a cycle: joints, drift, limits, and cutting without changing the movement."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.physics.motion import (
    LoadMotion,
    motion_of_speeds,
    scaled,
    split_at,
    split_at_reversals,
    subdivided,
)
from core.physics.moves import (
    Dwell,
    MotionLimits,
    Move,
    MoveBy,
    Ramp,
    Run,
    limit_findings,
    load_motion,
    move_within_limits,
)
from core.physics.profile_shapes import cycloid, s_curve, trapezoid

THERE_AND_BACK: list[Move] = [
    MoveBy(2.0, 1.0, cycloid()),
    Dwell(0.5),
    MoveBy(-2.0, 3.0),
    Dwell(0.5, held=False),
]


def position_at(motion: LoadMotion, time: float) -> float:
    k = min(int(np.searchsorted(motion.time, time, side="right")) - 1, motion.acceleration.size - 1)
    passed = time - motion.time[k]
    return float(motion.position[k] + (motion.speed[k] + 0.5 * motion.acceleration[k] * passed) * passed)


def test_cycle_goes_there_and_back() -> None:
    motion = load_motion(THERE_AND_BACK, start_position=0.3)
    assert motion.cycle_time == pytest.approx(5.0)
    assert motion.position.max() == pytest.approx(2.3, rel=1e-12)
    assert motion.position_drift == pytest.approx(0.0, abs=1e-12)
    assert motion.speed.min() == pytest.approx(-1.0, rel=1e-12)  # 1.5 * 2 / 3
    rests = ~motion.moving
    assert motion.move[rests].tolist() == [1, 3]
    assert motion.held[rests].tolist() == [True, False]
    assert not motion.held[motion.moving].any()


def test_ramp_and_run_by_time_or_by_their_other_given() -> None:
    by_time: list[Move] = [Ramp(0.0, 4.0, 2.0), Run(4.0, 3.0), Ramp(4.0, 0.0, 1.0)]
    by_other: list[Move] = [
        Ramp(0.0, 4.0, acceleration=2.0),
        Run(4.0, distance=12.0),
        Ramp(4.0, 0.0, acceleration=4.0),
    ]
    first, second = load_motion(by_time), load_motion(by_other)
    np.testing.assert_allclose(first.time, second.time)
    assert first.position_drift == pytest.approx(4.0 + 12.0 + 2.0)


def test_reversing_ramp_is_cut_where_it_turns() -> None:
    motion = load_motion([Ramp(-2.0, 6.0, 4.0), Ramp(6.0, -2.0, 4.0)])
    assert motion.time.tolist() == pytest.approx([0.0, 1.0, 4.0, 7.0, 8.0])
    assert motion.speed.tolist() == [-2.0, 0.0, 6.0, 0.0, -2.0]
    assert motion.direction.tolist() == [-1.0, 1.0, 1.0, -1.0]
    assert motion.move.tolist() == [0, 0, 1, 1]


def test_speeds_must_join_inside_the_cycle_and_over_its_end() -> None:
    with pytest.raises(
        InputRangeError, match="step 2 of the motion must be the 4 at which step 1 ends, got 5"
    ):
        load_motion([Ramp(0.0, 4.0, 1.0), Run(5.0, 1.0), Ramp(5.0, 0.0, 1.0)])
    with pytest.raises(
        InputRangeError, match=r"step 1 of the motion must be the 4 at which the last step \(1\)"
    ):
        load_motion([Ramp(0.0, 4.0, 1.0)])
    assert load_motion([Ramp(0.0, 4.0, 1.0)], repeats=False).position_drift == pytest.approx(2.0)
    with pytest.raises(InputRangeError, match="start speed of step 2 of the motion must be the 4"):
        load_motion([Ramp(0.0, 4.0, 1.0), Dwell(1.0)], repeats=False)


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: load_motion([]), "number of moves"),
        (lambda: MoveBy(0.0, 1.0), "use a dwell"),
        (lambda: MoveBy(1.0, 0.0), "duration of a move must be > 0, got 0 s"),
        (lambda: MoveBy(math.nan, 1.0), "distance of a move must be finite"),
        (lambda: Ramp(0.0, 1.0), "exactly one"),
        (lambda: Ramp(0.0, 1.0, 1.0, 1.0), "exactly one"),
        (lambda: Ramp(0.0, 1.0, 0.0), "duration of a ramp"),
        (lambda: Ramp(0.0, 1.0, acceleration=-1.0), "acceleration of a ramp"),
        (lambda: Ramp(1.0, 1.0, 1.0), "use a run"),
        (lambda: Run(0.0, 1.0), "use a dwell"),
        (lambda: Run(1.0), "exactly one"),
        (lambda: Run(1.0, distance=0.0), "distance of a run"),
        (lambda: Dwell(-1.0), "duration of a dwell"),
        (lambda: MotionLimits(speed=0.0), "limit of speed"),
        (lambda: motion_of_speeds(np.array([0.0]), np.array([0.0])), "number of knots"),
        (
            lambda: motion_of_speeds(np.array([0.0, 2.0, 1.0]), np.zeros(3)),
            "time between knots 1 and 2 must be > 0, got -1 s",
        ),
    ],
)
def test_bad_input_is_refused(build: object, message: str) -> None:
    assert callable(build)
    with pytest.raises(InputRangeError, match=message):
        build()


def test_limits_name_the_move_the_value_and_the_limit() -> None:
    moves: list[Move] = [MoveBy(1.0, 2.0, cycloid()), Dwell(1.0), MoveBy(-1.0, 1.0, s_curve(0.5, 1.0))]
    # cycloid over 2 s: v 2/2, a 2 pi/4, j 4 pi^2/8; S-curve of four sections in 1 s: 2, 8, 32
    findings = limit_findings(moves, MotionLimits(speed=1.0, acceleration=2.0, jerk=33.0))
    assert [(f.code, f.segment) for f in findings] == [
        ("move_exceeds_speed_limit", 2),
        ("move_exceeds_acceleration_limit", 2),
    ]
    assert findings[0].values["value"] == pytest.approx(2.0)
    assert findings[1].values == pytest.approx({"value": 8.0, "limit": 2.0, "move": 3.0})
    assert "Step 3 of the motion reaches an acceleration of" in str(findings[1].text)
    assert not limit_findings(moves, MotionLimits())


def test_quickest_move_keeps_its_limits() -> None:
    limits = MotionLimits(speed=2.0, acceleration=4.0, jerk=8.0)
    move = move_within_limits(-4.0, limits)
    # by hand: jerk time 0.5 s, ramps of 1 s over 1 m each, 2 m at 2 m/s
    assert move.duration == pytest.approx(3.0)
    assert load_motion([move], repeats=False).position_drift == pytest.approx(-4.0)
    assert not limit_findings([move], limits)
    with pytest.raises(InputRangeError, match="limit of speed must be finite"):
        move_within_limits(1.0, MotionLimits(acceleration=1.0))


def test_jump_of_acceleration_breaks_every_jerk_limit() -> None:
    findings = limit_findings([MoveBy(1.0, 1.0, trapezoid()), Run(1.0, 1.0)], MotionLimits(jerk=1e9))
    assert [f.code for f in findings] == ["move_exceeds_jerk_limit"]
    assert "no bound" in str(findings[0].text)
    ramp = limit_findings([Ramp(0.0, -3.0, 0.5)], MotionLimits(speed=2.0, acceleration=5.0))
    assert [f.values["value"] for f in ramp] == pytest.approx([3.0, 6.0])


@given(
    speeds=st.lists(st.floats(-50.0, 50.0), min_size=3, max_size=8),
    shares=st.lists(st.floats(0.05, 0.95), min_size=8, max_size=8),
    counts=st.lists(st.integers(1, 5), min_size=8, max_size=8),
)
def test_cutting_leaves_the_movement_alone(
    speeds: list[float], shares: list[float], counts: list[int]
) -> None:
    time = np.linspace(0.0, 0.7 * (len(speeds) - 1), len(speeds))
    motion = motion_of_speeds(time, np.array(speeds), start_position=-1.0)
    pieces = len(speeds) - 1
    for cut in (
        split_at(motion, np.array(shares[:pieces])),
        subdivided(motion, np.array(counts[:pieces])),
        split_at_reversals(motion),
    ):
        for moment in np.linspace(0.0, float(time[-1]), 23):
            # a reversal within 1e-9 of a knot moves onto it: up to 1e-9 of 100 rad/s for 0.7 s
            assert position_at(cut, moment) == pytest.approx(position_at(motion, moment), abs=1e-7)
        assert cut.position_drift == pytest.approx(motion.position_drift, abs=1e-12)
    turned = split_at_reversals(motion)
    assert (turned.speed[:-1] * turned.speed[1:] >= 0.0).all()


@given(factor=st.floats(0.1, 1e3))
def test_scaling_scales_all(factor: float) -> None:
    motion = load_motion(THERE_AND_BACK)
    axis = scaled(motion, -factor)
    np.testing.assert_allclose(axis.position, -factor * motion.position)
    np.testing.assert_allclose(axis.speed, -factor * motion.speed)
    np.testing.assert_allclose(axis.acceleration, -factor * motion.acceleration)
    np.testing.assert_array_equal(axis.held, motion.held)


def test_mirrored_moves_mirror_the_motion() -> None:
    forward = load_motion([MoveBy(2.0, 1.0, cycloid()), MoveBy(-2.0, 1.0)])
    backward = load_motion([MoveBy(-2.0, 1.0, cycloid()), MoveBy(2.0, 1.0)])
    np.testing.assert_array_equal(forward.speed, -backward.speed)
