"""Ripple and switching of the electronics: their size by hand, and that their heat arrives everywhere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.integrate import quad

from core.evaluate import evaluate
from core.evaluation.feed import highest_voltage, peak_to_peak, ripple_law
from core.evaluation.motor_model import motor_of
from core.physics.machine_constants import MachineConstants
from core.project.application import Supply
from core.project.drive import Drive
from core.project.project import Project
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

# trapezoidal, so that the EMF of a path is k_e w: 24 V at 800 rad/s
MACHINE = MachineConstants(0.030, 0.8, 100e-6, 8, emf_shape="trapezoidal")


def pulsed(drive: Drive, **fields: object) -> Drive:
    return replace(drive, **({"pwm_frequency": 20e3} | fields))


def with_drive(*segments: object, commutation: str = "six-step", **fields: object) -> Project:
    base = candidate(commutation=commutation)
    return project(*segments, candidates=(replace(base, drive=pulsed(base.drive, **fields)),))  # type: ignore[arg-type]


def only(of: Project) -> CandidateResult:
    return evaluate(of).candidates[0]


def test_unipolar_ripple_at_half_duty_is_voltage_over_four_frequency_inductance() -> None:
    law = ripple_law(MACHINE, "six-step", Drive(), 24.0, 50e3)
    assert law.full_speed == pytest.approx(800.0)
    # U/(4 f L) = 24/(4 * 50e3 * 100e-6) = 1.2 A; rms 1.2/sqrt(12); loss in R_LL
    assert peak_to_peak(law.rms_at(0.5)) == pytest.approx(1.2)
    assert float(law.loss(np.array([400.0]))[0]) == pytest.approx(1.2**2 / 12.0 * 0.8)
    assert float(law.loss(np.array([-400.0]))[0]) == pytest.approx(1.2**2 / 12.0 * 0.8)
    assert law.loss(np.array([0.0, 800.0, 1200.0])) == pytest.approx([0.0, 0.0, 0.0], abs=1e-12)


def test_bipolar_ripple_is_largest_at_rest_where_nothing_moves() -> None:
    law = ripple_law(MACHINE, "six-step", Drive(switching="bipolar"), 24.0, 50e3)
    # U/(2 f L) = 2.4 A at rest
    assert float(law.loss(np.zeros(1))[0]) == pytest.approx(2.4**2 / 12.0 * 0.8)
    assert law.worst_ratio(0.0, 1.0) == 0.0


@pytest.mark.parametrize("switching", ["unipolar", "bipolar"])
@pytest.mark.parametrize("commutation", ["six-step", "sinusoidal"])
def test_the_mean_over_a_ramp_is_the_integral_along_it(commutation: str, switching: str) -> None:
    law = ripple_law(MACHINE, commutation, Drive(switching=switching), 24.0, 50e3)  # type: ignore[arg-type]
    start, end = 100.0, 0.97 * law.full_speed
    whole, _ = quad(lambda w: float(law.loss(np.array([w]))[0]), start, end, epsrel=1e-12)
    mean = law.mean_loss(np.array([start]), np.array([end]))
    assert float(mean[0]) == pytest.approx(whole / (end - start), rel=1e-10)


def test_sinusoidal_ripple_is_the_harmonic_loss_function() -> None:
    law = ripple_law(MACHINE, "sinusoidal", Drive(modulation="sine-triangle"), 24.0, 50e3)
    # Holmes and Lipo, as core.physics.pwm_ripple: M = 1 at the end of the linear range of sine-triangle;
    # U/(12 L f) sqrt(3/2 - 4 sqrt3/pi + 9/8) = 0.4 A * 0.6480; three phases of R_LL/2
    rms = 24.0 / (12.0 * 100e-6 * 50e3) * math.sqrt(1.5 - 4.0 * math.sqrt(3.0) / math.pi + 1.125)
    assert law.rms_at(1.0) == pytest.approx(rms)
    assert float(law.loss(np.array([law.full_speed]))[0]) == pytest.approx(1.5 * rms**2 * 0.8)


def test_the_highest_known_voltage_counts() -> None:
    assert highest_voltage(Supply(nominal_voltage=24.0, highest_voltage=28.0)) == 28.0
    assert highest_voltage(Supply(lowest_voltage=20.0)) == 20.0
    assert highest_voltage(Supply()) is None


def test_ripple_heats_without_load_and_the_supply_pays_for_it() -> None:
    steady = segment(10.0, 0.0, 150.0)
    with_ripple, without = only(with_drive(steady)), only(with_drive(steady, pwm_frequency=None))
    for result in (with_ripple, without):
        assert result.losses is not None
        assert result.supply is not None
    assert with_ripple.losses is not None
    assert without.losses is not None
    extra = with_ripple.losses.copper - without.losses.copper
    motor = motor_of(with_drive(steady).application, with_drive(steady).candidates[0])
    assert motor is not None
    assert motor.feed.ripple is not None
    # 26 V, the whole path at a steady duty: D (1 - D) U/(f L), at the temperature of the winding
    duty = motor.torque_constant * 150.0 / 26.0
    swing = 26.0 * duty * (1.0 - duty) / (20e3 * motor.constants.inductance)
    cold = swing**2 / 12.0 * motor.constants.resistance
    winding = next(peak.mean for peak in with_ripple.peaks if peak.role == "winding")
    ref = motor.constants.resistance_ref_temp
    # the magnets' flux stands in the copper law too: up to its square more, see extra_copper
    hot = cold * (235.0 + winding) / (235.0 + ref)
    assert hot * 0.999 < extra < hot * 1.25
    assert with_ripple.supply is not None
    assert without.supply is not None
    paid = with_ripple.supply.mean_power - without.supply.mean_power
    assert paid == pytest.approx(hot, rel=0.03)
    warmer = next(p.mean for p in without.peaks if p.role == "winding")
    assert winding > warmer + 0.05


def test_ripple_takes_continuous_torque_and_reserve() -> None:
    duty = (segment(4.0, 0.05, 100.0, 250.0), segment(4.0, 0.02, 250.0, 100.0))
    slow, none = only(with_drive(*duty, pwm_frequency=8e3)), only(with_drive(*duty, pwm_frequency=None))
    assert slow.curves is not None
    assert none.curves is not None
    assert slow.curves.continuous is not None
    assert none.curves.continuous is not None
    middle = slow.curves.speed.size // 3
    assert slow.curves.continuous[middle] < none.curves.continuous[middle]
    assert slow.torque_reserve is not None
    assert none.torque_reserve is not None
    assert slow.torque_reserve < none.torque_reserve


def test_a_choke_quarters_the_heat_where_it_doubles_the_inductance() -> None:
    base = with_drive(segment(10.0, 0.01, 150.0))
    motor = motor_of(base.application, base.candidates[0])
    assert motor is not None
    choke = 0.5 * motor.winding_inductance
    choked = motor_of(base.application, replace(base.candidates[0], choke=choke))
    assert choked is not None
    speed = np.array([150.0])
    assert choked.feed.ripple_loss(speed) == pytest.approx(motor.feed.ripple_loss(speed) / 4.0)
    assert choked.canonical.inductance == motor.canonical.inductance


def test_all_of_the_choke_is_what_is_there_and_what_is_still_wanted() -> None:
    of = with_drive(segment(10.0, 0.01, 150.0), pwm_frequency=1e3)
    bare = only(of).ripple
    assert bare is not None
    assert bare.choke is not None
    assert bare.least_choke == pytest.approx(bare.choke), "without a choke all of it is still wanted"
    there = 0.25 * bare.choke
    some = only(replace(of, candidates=(replace(of.candidates[0], choke=there),))).ripple
    assert some is not None
    assert some.choke is not None
    assert some.least_choke == pytest.approx(there + some.choke)
    # time constant over the period of the control
    assert bare.control_frequency is not None
    assert bare.control_periods == pytest.approx(bare.time_constant * bare.control_frequency)


def test_switching_loss_is_voltage_current_frequency_time_of_the_legs_that_switch() -> None:
    for switching, legs in (("unipolar", 1.0), ("bipolar", 2.0)):
        of = with_drive(segment(10.0, 0.05, 150.0), switching=switching, switching_time=200e-9)
        motor = motor_of(of.application, of.candidates[0])
        assert motor is not None
        # U I f t / 2 a leg: 26 V * 20 kHz * 200 ns = 0.104 W/A
        assert motor.feed.switching_loss_per_ampere == pytest.approx(0.5 * legs * 0.104)
    with_time = only(with_drive(segment(10.0, 0.05, 150.0), switching_time=200e-9))
    without = only(with_drive(segment(10.0, 0.05, 150.0)))
    assert with_time.losses is not None
    assert without.losses is not None
    assert with_time.load_points is not None
    added = with_time.losses.leads_and_switches - without.losses.leads_and_switches
    assert added == pytest.approx(0.052 * float(with_time.load_points.current[0]), rel=0.1)
    assert with_time.supply is not None
    assert without.supply is not None
    assert with_time.supply.mean_power - without.supply.mean_power == pytest.approx(added, rel=1e-3)
