"""Limit cases of cogging, of the unpowered shaft and of a start with Hall signals."""

from __future__ import annotations

import math

import numpy as np
import pytest

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.low_speed import (
    cogging_frequency,
    cogging_speed_swing,
    commutation_ripple_amplitude,
    hall_start_torque,
    linear_speed_dip,
    lowest_smooth_speed,
    unpowered_shaft,
)
from core.physics.machine_constants import MachineConstants

MOTOR = (2e-3, 84, 1e-4)


def test_arrays_equal_scalars_and_direction_does_not_matter() -> None:
    speeds = np.array([[0.5, -2.0], [30.0, 400.0]])
    swing = cogging_speed_swing(*MOTOR, speeds)
    for place, speed in np.ndenumerate(speeds):
        one = cogging_speed_swing(*MOTOR, abs(float(speed)))
        assert swing.lowest[place] == one.lowest
        assert swing.highest[place] == one.highest
        assert swing.ripple[place] == one.ripple


def test_energy_between_crest_and_notch() -> None:
    # 1/2 J (w_max^2 - w_min^2) is the work of half a period, 2 T / n
    swing = cogging_speed_swing(*MOTOR, np.geomspace(0.1, 1e3, 30))
    work = 0.5 * 1e-4 * (swing.highest - swing.lowest) * (swing.highest + swing.lowest)
    np.testing.assert_allclose(work, 2.0 * 2e-3 / 84, rtol=1e-9)


def test_slow_rotor_stops_in_each_crest() -> None:
    swing = cogging_speed_swing(*MOTOR, 1e-4)
    assert float(swing.lowest) < 1e-250
    assert float(swing.highest) == pytest.approx(math.sqrt(4.0 * 2e-3 / (1e-4 * 84)))


def test_no_cogging_no_swing() -> None:
    swing = cogging_speed_swing(0.0, 84, 1e-4, 10.0)
    assert float(swing.lowest) == float(swing.highest) == pytest.approx(10.0, rel=1e-12)
    assert float(swing.ripple) == 0.0
    assert lowest_smooth_speed(0.0, 84, 1e-4, 0.01) == 0.0


@pytest.mark.parametrize("ripple", [1e-12, 1e-6, 0.02, 0.5, 3.0])
def test_lowest_smooth_speed_is_the_inverse_of_the_swing(ripple: float) -> None:
    speed = lowest_smooth_speed(*MOTOR, ripple)
    assert float(cogging_speed_swing(*MOTOR, speed).ripple) == pytest.approx(ripple, rel=1e-6)


def test_small_ripple_by_hand() -> None:
    assert lowest_smooth_speed(*MOTOR, 1e-4) == pytest.approx(math.sqrt(4e-3 / (84e-4 * 1e-4)), rel=1e-6)


def test_twice_the_inertia_halves_the_dip() -> None:
    assert linear_speed_dip(2e-3, 84, 2e-4, 50.0) == pytest.approx(
        0.5 * float(linear_speed_dip(*MOTOR, 50.0))
    )


def test_cogging_frequency_of_seven_pole_pairs_on_twelve_slots() -> None:
    # 84 periods a turn at 60 rpm
    assert cogging_frequency(84, -2.0 * math.pi) == pytest.approx(84.0)


def test_unpowered_shaft_rests_anywhere_with_enough_friction() -> None:
    loose, stiff = unpowered_shaft(3e-3, 1e-3, 84), unpowered_shaft(1e-3, 3e-3, 84)
    assert loose.turning_torque == stiff.turning_torque == pytest.approx(4e-3)
    assert (loose.snaps, loose.rest_positions) == (True, 84)
    assert (stiff.snaps, stiff.rest_positions) == (False, 0)


def test_two_sensors_start_worse_than_three() -> None:
    assert hall_start_torque(2).least == pytest.approx(math.sqrt(0.5))
    # an edge 5 degrees off: 35 degrees from the best angle
    assert hall_start_torque(3, math.radians(5.0)).least == pytest.approx(math.cos(math.radians(35.0)))


def harmonic_of(torque: FloatArray) -> float:
    """Return the sixth harmonic of a torque over one electrical turn, over its mean."""
    spectrum = np.fft.rfft(torque) / len(torque)
    return float(2.0 * abs(spectrum[6]) / spectrum[0].real)


def test_six_step_ripple_against_its_wave() -> None:
    constants = MachineConstants(0.03, 0.8, 0.35e-3, 7)
    angle = 2.0 * np.pi * np.arange(60000) / 60000
    wave = np.cos((angle + np.pi / 6.0) % (np.pi / 3.0) - np.pi / 6.0)
    amplitude = commutation_ripple_amplitude(constants, "six-step")
    assert amplitude == pytest.approx(harmonic_of(wave), rel=1e-6)
    # the speed follows the integral of the whole wave, which the first harmonic nearly is
    speed = np.cumsum(wave / wave.mean() - 1.0) * angle[1]
    assert amplitude / 6.0 == pytest.approx(0.5 * float(np.ptp(speed)), rel=0.03)
    assert commutation_ripple_amplitude(constants, "sinusoidal") == 0.0


@pytest.mark.parametrize("flat_top", [120.0, 150.0])
def test_sinusoidal_current_on_a_trapezoid_against_its_wave(flat_top: float) -> None:
    constants = MachineConstants(0.03, 0.8, 0.35e-3, 7, emf_shape="trapezoidal", flat_top_deg=flat_top)
    angle = 2.0 * np.pi * np.arange(60000) / 60000
    ramp = np.radians(180.0 - flat_top) / 2.0
    torque = np.zeros_like(angle)
    for phase in range(3):
        own = angle - 2.0 * np.pi * phase / 3.0
        # a triangle of unit slope cut off at the flat value
        emf = np.clip(np.arcsin(np.sin(own)), -ramp, ramp)
        torque += emf * np.sin(own)
    amplitude = commutation_ripple_amplitude(constants, "sinusoidal")
    assert amplitude == pytest.approx(harmonic_of(torque), rel=1e-6)
    assert commutation_ripple_amplitude(constants, "six-step") == 0.0


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputRangeError, match="mean_speed"):
        cogging_speed_swing(*MOTOR, np.array([1.0, 0.0]))
    with pytest.raises(InputRangeError, match="total_inertia"):
        linear_speed_dip(2e-3, 84, 0.0, 10.0)
    with pytest.raises(InputRangeError, match="cogging_torque"):
        lowest_smooth_speed(-1e-3, 84, 1e-4, 0.01)
    with pytest.raises(InputRangeError, match="speed_ripple"):
        lowest_smooth_speed(*MOTOR, 0.0)
    with pytest.raises(InputRangeError, match="friction_torque"):
        unpowered_shaft(1e-3, -1e-3, 84)
    with pytest.raises(InputRangeError, match="sensors"):
        hall_start_torque(1)
    with pytest.raises(InputRangeError, match="half a state"):
        hall_start_torque(3, math.radians(60.0))
