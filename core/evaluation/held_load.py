"""What pulls at the motor shaft when nothing drives it: what a brake must hold, friction left out."""

from __future__ import annotations

import numpy as np

from core.evaluation.duty import DerivedDuty, derived_duty
from core.evaluation.remembered import remembered
from core.physics.shaft_duty import ShaftDuty
from core.project.application import Application
from core.project.load import Load
from core.project.mechanism import LINEAR
from core.project.transmission import Transmission
from core.records import dataclass

LEAST_PULL = 1e-6  # [N m] below this nothing pulls


@dataclass(frozen=True, slots=True)
class HeldLoad:
    """The pull at the motor shaft.

    `pull` [N m] is its largest amount, the other way round than what the motor delivers to hold it. `along`
    and `against` [rad/s] are the highest speeds with and against the pull, both positive. `inertia` [kg m2]
    is that of load and transmission at the motor shaft, None where not known; `friction` [N m] holds at
    the same shaft while it lasts. `per_angle` is what the load moves per angle of the motor [m or rad],
    `linear` says which.
    """

    pull: float
    where: str
    along: float
    against: float
    inertia: float | None
    friction: float
    self_locking: bool
    ratio: float
    per_angle: float
    linear: bool

    @property
    def top_speed(self) -> float:
        """Highest speed of either direction. [rad/s]"""
        return max(self.along, self.against)


def held_load(
    application: Application, transmission: Transmission | None, duty: ShaftDuty | None
) -> HeldLoad | None:
    """Return what pulls at the shaft of a candidate; None without a duty."""
    if duty is None:
        return None
    if application.duty_from == "load" and application.load is not None:
        pull = _pull_of_load(application.load, transmission)
        if pull is None:
            return None
        return _with_speeds(pull, duty)
    return _from_duty(duty)


@dataclass(frozen=True, slots=True)
class _Pull:
    """The same before the speeds; `sign` of the pull, 0 where it changes over the cycle."""

    load: HeldLoad
    sign: float


@remembered()
def _pull_of_load(load: Load, transmission: Transmission | None) -> _Pull | None:
    from core.evaluation.load_side import physics_mechanism  # only where there is a load

    derived = derived_duty(load, transmission)
    if not isinstance(derived, DerivedDuty):
        return None
    axis, motion, gear = physics_mechanism(load.mechanism).axis_load(), derived.load.motion, derived.gear
    angle = motion.position / axis.input_per_payload + axis.gravity_phase
    torque = axis.gravity_torque + axis.gravity_swing * np.sin(angle) + axis.steady_torque
    pull = float(np.abs(torque).max()) / abs(gear.ratio)
    fixed = bool((torque >= 0.0).all() or (torque <= 0.0).all())
    linear = isinstance(load.mechanism, LINEAR)
    held = HeldLoad(
        pull=pull,
        where="gravity and steady process torque of the load, over the ratio",
        along=0.0,
        against=0.0,
        inertia=float(derived.load.terms.inertia.max()) / gear.ratio**2 + gear.input_inertia,
        friction=axis.starting_friction / abs(gear.ratio) + gear.drag_torque,
        self_locking=gear.self_locking or axis.back_efficiency <= 0.0,
        ratio=abs(gear.ratio),
        per_angle=1.0 / abs(gear.ratio) / (abs(axis.input_per_payload) if linear else 1.0),
        linear=linear,
    )
    return _Pull(held, -float(np.sign(torque[np.argmax(np.abs(torque))])) if fixed else 0.0)


def _with_speeds(pull: _Pull, duty: ShaftDuty) -> HeldLoad:
    along, against = _speeds(duty, pull.sign)
    one = pull.load
    return HeldLoad(
        one.pull, one.where, along, against, one.inertia, one.friction, one.self_locking, one.ratio,
        one.per_angle, one.linear,
    )  # fmt: skip


def _from_duty(duty: ShaftDuty) -> HeldLoad:
    """Return the pull that shows in a duty at the shaft: at rest, or in a steady overhauling motion."""
    middle = 0.5 * (duty.torque_start + duty.torque_end)
    power = middle * duty.direction
    shows = (duty.direction == 0.0) | ((duty.speed_start == duty.speed_end) & (power < 0.0))
    ends = np.where(np.abs(duty.torque_start) >= np.abs(duty.torque_end), duty.torque_start, duty.torque_end)
    held = np.where(shows, ends, 0.0)
    worst = int(np.argmax(np.abs(held)))
    pull = float(np.abs(held[worst]))
    along, against = _speeds(duty, -float(np.sign(held[worst])))
    state = "at rest" if duty.direction[worst] == 0.0 else "at steady speed"
    where = f"torque {state} in segment {int(duty.segment[worst]) + 1}" if pull > LEAST_PULL else ""
    return HeldLoad(pull, where, along, against, None, 0.0, False, 1.0, 1.0, False)


def _speeds(duty: ShaftDuty, sign: float) -> tuple[float, float]:
    high = max(float(duty.speed_start.max()), float(duty.speed_end.max()), 0.0)
    low = max(-float(duty.speed_start.min()), -float(duty.speed_end.min()), 0.0)
    if sign == 0.0:
        return max(high, low), max(high, low)
    return (high, low) if sign > 0.0 else (low, high)
