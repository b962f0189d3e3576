"""Step 4: electrical power over the cycle, what the supply gives, and what braking returns to it.

Power is taken at five points of each part: both ends, the middle and half way to it. In each half it is then
a parabola in time, as torque and speed are linear there; only the exponents of the drag and the ripple make a
difference, of fourth order in the length of the half. Energy to change the speed of the rotor is shaft power
here, so it comes and goes.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.clamped_energy import burned, keeps_energy
from core.evaluation.losses import motor_balance
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_points import lowest_voltage
from core.evaluation.temperatures import CycleTemperatures
from core.evaluation.wires import source_resistance
from core.numeric import FloatArray
from core.physics.bus import supply_current
from core.physics.power_course import BrakingEvents, PowerCourse, braking_events, power_course
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RunAway
from core.project.application import Supply
from core.records import dataclass
from core.results import SupplyDemand

HOT, MEAN, COLD = range(3)

# The short parts of a trace are not halved, and are taken in blocks, so that they do not fill the memory.
_FEW_PARTS, _LARGEST_BLOCK = 5_000, 50_000
_SHARES = {halves: np.linspace(0.0, 1.0, 2 * halves + 1) for halves in (1, 2)}
_SIMPSON = {1: np.array([1.0, 4.0, 1.0]) / 6.0, 2: np.array([1.0, 4.0, 2.0, 4.0, 1.0]) / 12.0}
# Enough to give the drag of a moving part its direction where the part begins or ends at rest. [rad/s]
BARELY_MOVING = 1e-12


@dataclass(frozen=True, slots=True)
class PowerPeak:
    """The largest power that the supply must give, hot winding and magnets. [W, s]"""

    power: float
    segment: int
    instant: float


@dataclass(frozen=True, slots=True)
class SupplyState:
    """What the supply meets over one cycle.

    `rms_current` [A] is that of the supply at its lowest voltage, None as in `demand`, with what flows back:
    more than flows in a supply that takes nothing. `returning` is the power with cold winding and magnets,
    which returns the most, and `events` are the stretches of it in which it flows back.
    """

    demand: SupplyDemand
    rms_current: float | None
    peak: PowerPeak
    returning: PowerCourse
    events: BrakingEvents


def supply_state(
    duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None, supply: Supply
) -> SupplyState:
    """Return power and current from the supply over the cycle, and what flows back.

    The demand is that of winding and magnets at their mean temperatures in the cycle, where these are
    known, else at the hot ones. Currents are at the lowest voltage, less the drop in the source. Energy
    that flows back counts as used again, by the supply or, as long as no clamp burns it, from the
    capacitors of the bus (`clamped_energy`); a supply that takes nothing back gives no less than nothing.
    """
    states = _temperatures(motor, temps)
    halves = 2 if duty.duration.size <= _FEW_PARTS else 1
    totals, peaks, cold, mean = [], [], [], []
    for block in duty.blocks(_LARGEST_BLOCK):
        power = _power(block, motor, states, _SHARES[halves])
        totals.append(_totals(power[MEAN], block.duration, supply, _SIMPSON[halves]))
        peaks.append(_peak(power[HOT], block, _SHARES[halves]))
        cold.append(power[COLD])
        mean.append(power[MEAN])
    returning = _course(duty.duration, cold[0] if len(cold) == 1 else np.concatenate(cold))
    events = braking_events(returning)
    work, charge, square, peak_power, peak_current = np.array(totals).T
    known = lowest_voltage(supply) is not None and bool(np.isfinite(charge).all())
    cycle = duty.cycle_time
    given = _given(float(work.sum()), float(charge.sum()), duty.duration, mean, motor, supply)
    return SupplyState(
        demand=SupplyDemand(
            mean_power=given[0] / cycle,
            peak_power=float(peak_power.max()),
            mean_current=given[1] / cycle if known else None,
            peak_current=float(peak_current.max()) if known else None,
            energy_back=events.total_energy,
        ),
        rms_current=float(np.sqrt(square.sum() / cycle)) if known else None,
        peak=max(peaks, key=lambda peak: peak.power),
        returning=returning,
        events=events,
    )


def hot_course(duty: ShaftDuty, motor: MotorModel) -> PowerCourse:
    """Return the power over the cycle with hot winding and magnets, which asks for the most."""
    halves = 2 if duty.duration.size <= _FEW_PARTS else 1
    hot = (np.array([motor.hot_winding_temp]), np.array([motor.hot_magnet_temp]))
    powers = [_power(block, motor, hot, _SHARES[halves])[0] for block in duty.blocks(_LARGEST_BLOCK)]
    return _course(duty.duration, np.concatenate(powers))


def mean_course(duty: ShaftDuty, motor: MotorModel, temps: CycleTemperatures | None) -> PowerCourse:
    """Return the power over the cycle at the mean temperatures, as the demand counts it."""
    halves = 2 if duty.duration.size <= _FEW_PARTS else 1
    mean = tuple(temp[MEAN : MEAN + 1] for temp in _temperatures(motor, temps))
    powers = [
        _power(block, motor, (mean[0], mean[1]), _SHARES[halves])[0] for block in duty.blocks(_LARGEST_BLOCK)
    ]
    return _course(duty.duration, np.concatenate(powers))


def _temperatures(motor: MotorModel, temps: CycleTemperatures | None) -> tuple[FloatArray, FloatArray]:
    """Return winding and magnet temperatures of the three states: hot, mean in the cycle, cold. [degC]"""
    winding, magnets = motor.hot_winding_temp, motor.hot_magnet_temp
    if temps is not None and not isinstance(temps.state, RunAway):
        network = temps.heat.network
        winding, magnets = (float(temps.state.mean[node]) for node in (network.winding, network.magnets))
    cold = motor.cold_temp
    return (
        np.array([motor.hot_winding_temp, winding, cold]),
        np.array([motor.hot_magnet_temp, magnets, cold]),
    )


def _power(
    duty: ShaftDuty, motor: MotorModel, states: tuple[FloatArray, FloatArray], shares: FloatArray
) -> FloatArray:
    """Return the power of each state at shares of each part, shape (states, parts, shares). [W]"""
    torque = duty.torque_start[:, None] + shares * (duty.torque_end - duty.torque_start)[:, None]
    speed = duty.speed_start[:, None] + shares * (duty.speed_end - duty.speed_start)[:, None]
    speed = speed + BARELY_MOVING * duty.direction[:, None]
    winding, magnets = (temp[:, None, None] for temp in states)
    return motor_balance(motor, torque, speed, winding, magnets).supply_power


def _totals(
    power: FloatArray, duration: FloatArray, supply: Supply, weight: FloatArray
) -> tuple[float, float, float, float, float]:
    """Return work [J], charge [A s], its square [A2 s], peak power [W] and current [A] of some parts.

    Those of the current are 0 where no voltage is known, NaN where the supply cannot give the power.
    """
    work, peak = float((power @ weight) @ duration), float(power.max())
    lowest = lowest_voltage(supply)
    if lowest is None:
        return work, 0.0, 0.0, peak, 0.0
    current = supply_current(lowest, source_resistance(supply), power)
    charge, square = (float((value @ weight) @ duration) for value in (current, current * current))
    return work, charge, square, peak, float(current.max())


def _given(
    work: float,
    charge: float,
    duration: FloatArray,
    power: list[FloatArray],
    motor: MotorModel,
    supply: Supply,
) -> tuple[float, float]:
    """Return work [J] and charge [A s] of the supply from those of the drive and its power at shares."""
    if not keeps_energy(supply):
        return work, charge
    if supply.clamp_voltage is not None:
        parts, at = _halves(duration, power[0] if len(power) == 1 else np.concatenate(power))
        lost = burned(supply, motor.drive.bus_capacitance, parts, at)
        if lost is not None:
            work, charge = work + float(lost.energy), charge + float(lost.charge)
    return max(work, 0.0), max(charge, 0.0)


def _peak(power: FloatArray, duty: ShaftDuty, shares: FloatArray) -> PowerPeak:
    part, node = divmod(int(power.argmax()), shares.size)
    instant = float(duty.start[part] + shares[node] * duty.duration[part])
    return PowerPeak(float(power[part, node]), int(duty.segment[part]), instant)


def _course(duration: FloatArray, power: FloatArray) -> PowerCourse:
    """Return the course of power at three or five points of each part, shape (parts, points)."""
    parts, (start, middle, end) = _halves(duration, power)
    return power_course(parts, start, middle, end)


def _halves(duration: FloatArray, power: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the durations of the halves of parts, and power at their starts, middles and ends."""
    halves = (power.shape[1] - 1) // 2
    at = np.stack([power[:, k : k + 2 * halves - 1 : 2].ravel() for k in range(3)])
    return np.repeat(duration / halves, halves), at
