"""Where the energy of a braking event comes from: load, mechanism, gear, rotor, and what gravity gives.

What a person sees braking, from where the speed starts to fall until it no longer does, holds the event:
power flows back a little later and stops a little earlier, as the losses want their share first. Where a
load slows down although the motor drives it, that is no braking.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from core.evaluation.duty import derived_duty
from core.evaluation.feeding_findings import inertias
from core.evaluation.motor_model import MotorModel
from core.evaluation.no_duty import NoDuty
from core.numeric import FloatArray
from core.physics.power_course import BrakingEvents
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application
from core.project.transmission import Transmission
from core.supply_results import EnergyPart, EnergySplit

SMALLEST = 1e-9  # [J] what is less is rounding


class _Stretch(NamedTuple):
    """A stretch of the repeating cycle with the speeds at its ends; its end may lie in the next cycle."""

    start: float
    end: float
    speed_before: float
    speed_after: float


def energy_split(
    application: Application,
    transmission: Transmission | None,
    motor: MotorModel,
    duty: ShaftDuty,
    events: BrakingEvents,
) -> EnergySplit | None:
    """Return the energies around the largest braking event, None if nothing flows back.

    With a load, energies of motion are told by body, and gravity and process by the work they do. Without
    one only the rotor is known apart from what comes through the shaft.
    """
    if events.energy.size == 0:
        return None
    largest = int(np.argmax(events.energy))
    begin = float(events.start[largest])
    stretch = _whole_braking(duty, begin, begin + float(events.duration[largest]))
    released = 0.5 * (stretch.speed_before**2 - stretch.speed_after**2)  # per moment of inertia
    if application.duty_from == "load" and application.load is not None:
        bodies = inertias(application.load.mechanism, transmission, motor.inertia)
        parts = [EnergyPart(name, inertia * released) for name, inertia in bodies.items()]
        parts.append(EnergyPart("gravity and process", _work_of_load(application, transmission, stretch)))
    else:
        rotor = motor.inertia * released
        all_of_it = -_integral(
            duty.start,
            duty.duration,
            (duty.torque_start, duty.torque_end),
            (duty.speed_start, duty.speed_end),
            stretch,
        )
        parts = [EnergyPart("through the shaft", all_of_it - rotor), EnergyPart("rotor", rotor)]
    return EnergySplit(
        start=stretch.start,
        end=stretch.end,
        parts=tuple(part for part in parts if abs(part.energy) > SMALLEST),
        returned=float(events.energy[largest]),
    )


def _whole_braking(duty: ShaftDuty, begin: float, end: float) -> _Stretch:
    """Return an event with all of the slowing down at whose ends it lies."""
    cycle = duty.cycle_time
    # three cycles in a row, the event in the middle one or from there into the last
    edges = np.concatenate((duty.start, duty.start + cycle, duty.start + 2.0 * cycle))
    length, before, after = (np.tile(x, 3) for x in (duty.duration, duty.speed_start, duty.speed_end))
    keeps = np.tile((np.abs(duty.speed_end) >= np.abs(duty.speed_start)) | (_work(duty) >= 0.0), 3)
    nearly = 1e-9 * cycle  # an event that begins or ends with a part does so within rounding
    first = int(np.searchsorted(edges, begin + cycle + nearly)) - 1
    last = int(np.searchsorted(edges, end + cycle - nearly)) - 1
    start, stop = begin + cycle, end + cycle
    if not keeps[first] and keeps[:first].any():
        first = int(np.flatnonzero(keeps[:first])[-1]) + 1
        start = float(edges[first])
    if not keeps[last] and keeps[last:].any():
        last += int(np.argmax(keeps[last:])) - 1
        stop = float(edges[last] + length[last])
    speeds = [
        float(before[part] + (after[part] - before[part]) * (time - edges[part]) / length[part])
        for part, time in ((first, start), (last, stop))
    ]
    start, stop = start - cycle, min(stop, start + cycle) - cycle
    turns = math.floor(start / cycle) * cycle  # slowing down that began before the cycle did
    return _Stretch(start - turns, stop - turns, *speeds)


def _work(duty: ShaftDuty) -> FloatArray:
    """Return per time what the motor delivers in each part, torque and speed linear in it. [W]"""
    t0, t1, w0, w1 = duty.torque_start, duty.torque_end, duty.speed_start, duty.speed_end
    work: FloatArray = (2.0 * (t0 * w0 + t1 * w1) + t0 * w1 + t1 * w0) / 6.0
    return work


def _work_of_load(application: Application, transmission: Transmission | None, stretch: _Stretch) -> float:
    """Return what gravity and process give at the mechanism's axis; negative where they take. [J]"""
    derived = derived_duty(application.load, transmission)
    if isinstance(derived, NoDuty):
        return 0.0
    motion, terms = derived.load.motion, derived.load.terms
    torque = terms.gravity + terms.process
    return -_integral(
        motion.time[:-1],
        np.diff(motion.time),
        (torque[:, 0], torque[:, 1]),
        (motion.speed[:-1], motion.speed[1:]),
        stretch,
    )


def _integral(
    start: FloatArray,
    duration: FloatArray,
    torque: tuple[FloatArray, FloatArray],
    speed: tuple[FloatArray, FloatArray],
    stretch: _Stretch,
) -> float:
    """Return the integral of torque times speed over a stretch of the repeating cycle. [J]

    Both are linear in each part, so Simpson's rule on what the stretch has of it is exact.
    """

    def power(share: FloatArray) -> FloatArray:
        product: FloatArray = (torque[0] + share * (torque[1] - torque[0])) * (
            speed[0] + share * (speed[1] - speed[0])
        )
        return product

    total = 0.0
    for cycle in (0.0, float(duration.sum())):
        low, high = (np.clip((t - cycle - start) / duration, 0.0, 1.0) for t in stretch[:2])
        mean = (power(low) + 4.0 * power(0.5 * (low + high)) + power(high)) / 6.0
        total += float(mean @ ((high - low) * duration))
    return total
