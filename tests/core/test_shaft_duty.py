"""The duty that the rotor sees: inertia added, reversals split, nothing lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.shaft_duty import ShaftDuty, shaft_duty


def cycle(seed: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, 9))
    speed = rng.uniform(-200.0, 200.0, count + 1) * (rng.random(count + 1) > 0.2)
    return rng.uniform(0.01, 3.0, count), rng.uniform(-1.0, 1.0, (count, 2)), speed[:-1], speed[1:]


def impulse(duty: ShaftDuty) -> float:
    return float((0.5 * (duty.torque_start + duty.torque_end)) @ duty.duration)


@given(st.integers(0, 10_000))
def test_splitting_keeps_time_impulse_angle_and_the_sign_of_the_speed(seed: int) -> None:
    duration, torque, start, end = cycle(seed)
    duty = shaft_duty(duration, torque, start, end, 0.0)
    assert duty.cycle_time == pytest.approx(duration.sum())
    assert impulse(duty) == pytest.approx(float(torque.mean(axis=1) @ duration), abs=1e-12)
    angle = (0.5 * (duty.speed_start + duty.speed_end)) @ duty.duration
    assert angle == pytest.approx(float(0.5 * (start + end) @ duration), abs=1e-9)
    assert (duty.speed_start * duty.speed_end >= 0.0).all()
    assert (duty.duration > 0.0).all()
    np.testing.assert_allclose(duty.start[1:], np.cumsum(duty.duration)[:-1], atol=1e-12)
    assert (np.diff(duty.segment) >= 0).all()
    assert set(duty.segment) == set(range(duration.size))


@given(st.integers(0, 10_000), st.floats(0.0, 1e-2))
def test_the_rotor_takes_what_changes_its_speed_and_gives_it_back(seed: int, inertia: float) -> None:
    duration, torque, start, end = cycle(seed)
    without, with_rotor = (shaft_duty(duration, torque, start, end, j) for j in (0.0, inertia))
    momentum = inertia * float((end - start).sum())
    assert impulse(with_rotor) - impulse(without) == pytest.approx(momentum, abs=1e-9)


def test_a_linear_torque_is_cut_where_the_speed_passes_zero() -> None:
    duty = shaft_duty(np.array([4.0]), np.array([[0.0, 4.0]]), np.array([-10.0]), np.array([30.0]), 0.0)
    assert duty.duration.tolist() == [1.0, 3.0]
    assert duty.torque_start.tolist() == [0.0, 1.0]
    assert duty.torque_end.tolist() == [1.0, 4.0]
    assert duty.direction.tolist() == [-1.0, 1.0]
    assert not duty.is_steady


def test_rest_and_constant_speed_have_their_direction() -> None:
    zero, fast = np.zeros(1), np.full(1, -5.0)
    assert shaft_duty(np.ones(1), zero, zero, zero, 0.0).direction.tolist() == [0.0]
    assert shaft_duty(np.ones(1), zero, fast, fast, 0.0).is_steady


def test_bad_durations_and_inertias_are_refused() -> None:
    zero = np.zeros(1)
    with pytest.raises(InputRangeError, match="duration must be > 0, got -1 s"):
        shaft_duty(np.array([-1.0]), zero, zero, zero, 0.0)
    with pytest.raises(InputRangeError, match="rotor inertia"):
        shaft_duty(np.ones(1), zero, zero, zero, -1e-9)
