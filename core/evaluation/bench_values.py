"""What a bench should measure on the motor of a candidate before it is used, and while it warms up.

The motor is at one temperature throughout, magnets included, unless it has run.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from core.evaluation.motor_model import MotorModel, motor_of
from core.numeric import FloatArray
from core.physics.drag import drag_torque
from core.physics.electrical_frequency import electrical_frequency
from core.physics.fault_facts import run_away_speed
from core.physics.machine_constants import torque_constant
from core.physics.materials import copper_resistance_factor, magnet_flux_factor
from core.physics.voltage import available_voltage
from core.project.application import Application
from core.project.candidate import Candidate
from core.records import dataclass
from core.results import CandidateResult, HeatingUpTrace

COLD: Final = (20.0, 25.0)
"""Temperatures of a cold bench. [degC]"""

THOUSAND_RPM: Final = 1000.0 * 2.0 * math.pi / 60.0
ONE_TIME_CONSTANT: Final = 1.0 - math.exp(-1.0)
_HALL_STATES = 6  # in one electrical turn


@dataclass(frozen=True, slots=True)
class NoLoadRun:
    """An unloaded motor on its electronics, at `COLD[1]` throughout. [V, rad/s, A, N m, Hz]

    `current` is the amplitude of the candidate's commutation.
    """

    voltage: float
    speed: float
    current: float
    drag_torque: float
    frequency: float


@dataclass(frozen=True, slots=True)
class WarmingUp:
    """The outside of the motor in the cycle from cold: its end, and when it is 63 % of the way. [degC, s]

    `winding` is the mean temperature of the winding in the end, `resistance` [ohm] what it measures then,
    line to line; None where the temperatures do not settle.
    """

    outside_end: float
    outside_then: float
    time: float
    winding: float
    resistance: float


@dataclass(frozen=True, slots=True)
class BenchValues:
    """Expected values of one motor.

    `resistance` [ohm] is line to line at each temperature of `COLD`. `back_emf` [V] is the peak between two
    leads at `speed`, 1000 rpm, and `COLD[1]`, `back_emf_rms` where it is sinusoidal. `phase_frequency`
    [Hz] is the electrical one there, `hall_edges` come each turn. `no_load` is None without a
    nominal voltage.
    """

    resistance: tuple[float, ...]
    speed: float
    back_emf: float
    back_emf_rms: float | None
    phase_frequency: float
    hall_edges: int
    no_load: NoLoadRun | None


def bench_values(application: Application, candidate: Candidate) -> BenchValues | None:
    """Return what the motor of a candidate should measure; None where it has no constants."""
    motor = motor_of(application, candidate)
    if motor is None:
        return None
    c = motor.constants
    emf = c.back_emf_constant * _flux(motor, COLD[1]) * THOUSAND_RPM
    return BenchValues(
        resistance=tuple(_resistance(motor, temp) for temp in COLD),
        speed=THOUSAND_RPM,
        back_emf=emf,
        back_emf_rms=emf / math.sqrt(2.0) if c.emf_shape == "sinusoidal" else None,
        phase_frequency=float(electrical_frequency(THOUSAND_RPM, c.pole_pairs)),
        hall_edges=_HALL_STATES * c.pole_pairs,
        no_load=_no_load(motor, application.supply.nominal_voltage),
    )


def warming_up(application: Application, candidate: Candidate, result: CandidateResult) -> WarmingUp | None:
    """Return how the motor of a candidate warms up in the cycle; None where it does not settle."""
    motor = motor_of(application, candidate)
    course = result.heating_up
    peaks = {peak.role: peak for peak in result.peaks}
    if motor is None or course is None or course.settled_after is None or result.cycle is None:
        return None
    if "winding" not in peaks or "outside" not in peaks:
        return None
    outside = course.nodes.index(peaks["outside"].node)
    highest = course.highest[:, outside]
    start, end = float(highest[0]), peaks["outside"].temp
    then = start + ONE_TIME_CONSTANT * (end - start)
    time = first_time_above(course, highest, then)
    if time is None:
        return None
    winding = peaks["winding"].mean
    return WarmingUp(end, then, time, winding, _resistance(motor, winding))


def first_time_above(course: HeatingUpTrace, temps: FloatArray, level: float) -> float | None:
    """Return when temperatures of a course first reach a level, in proportion between two times. [s]"""
    above = np.flatnonzero(temps >= level)
    if not above.size:
        return None
    k = int(above[0])
    if k == 0:
        return float(course.time[0])
    share = (level - temps[k - 1]) / (temps[k] - temps[k - 1])
    return float(course.time[k - 1] + share * (course.time[k] - course.time[k - 1]))


def _resistance(motor: MotorModel, temp: float) -> float:
    c = motor.constants
    return c.resistance * float(copper_resistance_factor(temp, c.resistance_ref_temp, c.copper_constant))


def _flux(motor: MotorModel, temp: float) -> float:
    c = motor.constants
    return float(magnet_flux_factor(temp, c.magnet_temp_coefficient, c.magnet_ref_temp))


def _no_load(motor: MotorModel, voltage: float | None) -> NoLoadRun | None:
    if voltage is None:
        return None
    drive, c, temp = motor.drive, motor.constants, COLD[1]
    available = float(available_voltage(motor.commutation, voltage, drive.largest_duty, drive.modulation))
    speed = run_away_speed(c, motor.commutation, available, motor.drag, temp, temp, motor.path)
    drag = float(drag_torque(motor.drag, speed))
    current = drag / (torque_constant(c, motor.commutation) * _flux(motor, temp))
    return NoLoadRun(voltage, speed, current, drag, float(electrical_frequency(speed, c.pole_pairs)))
