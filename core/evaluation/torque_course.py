"""Continuous torque of candidates over speed at a common axis: the motor shaft, or the load behind gears."""

from __future__ import annotations

import numpy as np

from core.evaluation.duty import gear_of
from core.numeric import FloatArray
from core.physics.transmission import DIRECT
from core.physics.transmission import Transmission as Gear
from core.records import dataclass
from core.results import Result


@dataclass(frozen=True, slots=True)
class TorqueCourse:
    """Continuous torque, motoring, over the speed of the common axis. [rad/s, N m]

    Arrays have shape (speeds,). `speed` starts at rest, where one phase carries more than its share: the
    torque jumps to that of the next speed as soon as the motor turns. `voltage_limit` is None where it is
    not known, NaN where the speed is not reached. `effects` with shape (sources, speeds) is the relative
    change by the half width of each of `sources`, `low` and `high` is the band of the torque; None where no
    uncertainty is known.
    """

    speed: FloatArray
    torque: FloatArray
    voltage_limit: FloatArray | None
    sources: tuple[str, ...]
    effects: FloatArray | None
    low: FloatArray | None
    high: FloatArray | None
    shared: tuple[bool, ...]
    frame: str
    variant: str

    def torque_at(self, speed: float) -> float | None:
        """Return the torque at a speed, None beyond the curve or where it has none. [N m]"""
        return _value(self.speed, self.torque, speed)

    def torques_at(self, speed: FloatArray) -> FloatArray:
        """Return the torque at speeds within the curve. [N m]"""
        return _at_speeds(self.speed, self.torque, speed)

    def effects_at(self, speed: FloatArray) -> FloatArray | None:
        """Return the effects at speeds, shape (sources, speeds), None where no uncertainty is known."""
        if self.effects is None:
            return None
        rows = [_at_speeds(self.speed, row, speed) for row in self.effects]
        return np.array(rows).reshape(len(rows), len(speed))

    def voltage_limit_at(self, speed: float) -> float | None:
        """Return the torque that the voltage allows, None where it is not known or not reached. [N m]"""
        return None if self.voltage_limit is None else _value(self.speed, self.voltage_limit, speed)

    def reached(self, speed: float) -> bool:
        """Return whether the voltage reaches a speed; yes where no limit is known."""
        return self.voltage_limit is None or self.voltage_limit_at(speed) is not None


def common_gears(result: Result, indices: tuple[int, ...]) -> tuple[Gear, ...] | None:
    """Return the gear of each candidate where the load passes them and they differ, else None.

    None says that all turn at the same speed, so the motor shaft is the common axis.
    """
    application = result.project.application
    trace = application.trace
    through = application.duty_from == "load" or (
        application.duty_from == "trace" and trace is not None and trace.at == "load"
    )
    gears = tuple(gear_of(result.project.candidates[index].transmission) for index in indices)
    if not through:
        return None
    alike = {(gear.ratio, gear.efficiency, gear.drag_torque) for gear in gears}
    return gears if len(alike) > 1 else None


def torque_course(result: Result, index: int, gear: Gear | None = None) -> TorqueCourse | None:
    """Return the continuous torque of a candidate, None where it is not known.

    With a gear it stands at the load: the gear's drag is taken off, what is left drives with its
    efficiency. The relative effects grow as the drag takes its part.
    """
    candidate = result.candidates[index]
    curves = candidate.curves
    if curves is None or curves.continuous is None:
        return None
    through = gear or DIRECT
    ratio = abs(through.ratio)
    torque = _behind(curves.continuous, through)
    sources: tuple[str, ...] = ()
    shared: tuple[bool, ...] = ()
    effects = low = high = None
    if (band := candidate.band) is not None:
        sources, shared = band.sources, band.shared
        rows = [_at_speeds(band.speed, row, curves.speed) for row in band.effects]
        absolute = np.array(rows).reshape(len(rows), len(curves.speed)) * curves.continuous
        with np.errstate(divide="ignore", invalid="ignore"):
            effects = np.where(torque > 0.0, absolute * through.efficiency * ratio / torque, np.nan)
        # the band has speeds of its own, so it is told as a share of its middle
        low, high = (
            _behind(curves.continuous * _at_speeds(band.speed, _share(edge, band.mid), curves.speed), through)
            for edge in (band.low, band.high)
        )
    motor = result.project.candidates[index].motor
    return TorqueCourse(
        speed=curves.speed / ratio,
        torque=torque,
        voltage_limit=None if curves.voltage_limit is None else _behind(curves.voltage_limit, through),
        sources=sources,
        effects=effects,
        low=low,
        high=high,
        shared=shared,
        frame="" if motor is None else motor.name,
        variant=result.project.candidates[index].variant or "",
    )


def _behind(torque: FloatArray, gear: Gear) -> FloatArray:
    """Return what a motoring torque drives behind a gear; NaN stays, below the drag nothing is left."""
    left: FloatArray = np.maximum(torque - gear.drag_torque, 0.0) * gear.efficiency * abs(gear.ratio)
    return left


def _share(edge: FloatArray, middle: FloatArray) -> FloatArray:
    share: FloatArray = np.divide(edge, middle, out=np.ones_like(edge), where=middle > 0.0)
    return share


def _at_speeds(speed: FloatArray, values: FloatArray, wanted: FloatArray) -> FloatArray:
    """Return values at other speeds; rest stands for itself."""
    turning = speed > 0.0
    if not turning.any():
        return np.full(wanted.shape, values[0])
    moving = np.interp(wanted, speed[turning], values[turning])
    at_rest = values[0] if speed[0] == 0.0 else moving[0]
    return np.where(wanted > 0.0, moving, at_rest)


def _value(speed: FloatArray, values: FloatArray, at: float) -> float | None:
    """Return a value of a curve at one speed; what touches a gap is a gap."""
    if not speed[0] <= at <= speed[-1]:
        return None
    value = float(_at_speeds(speed, values, np.array([at]))[0])
    return value if np.isfinite(value) else None
