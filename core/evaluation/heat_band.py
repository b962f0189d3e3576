"""How far heat may be off: continuous torque over speed and peak temperatures, low, mid and high."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.evaluation.heat_model import HeatModel
from core.evaluation.lasting_torque import lasting_torque
from core.evaluation.motor_model import MotorModel
from core.evaluation.temperatures import cycle_temperatures
from core.numeric import FloatArray
from core.physics.calibration_findings import FACTOR_WORDS
from core.physics.heat_calibration import FACTOR_NAMES
from core.physics.heat_network import HeatNetwork
from core.physics.heat_uncertainty import (
    HOT_SPOT_NAME,
    Band,
    HeatSources,
    band,
    heat_sources,
    network_sources,
    varied_network,
)
from core.physics.motor_dimensions import LawFactors
from core.physics.settled_cycle import CutCycle
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RepeatingState
from core.records import dataclass
from core.results import HeatBand

BAND_SPEEDS = 25  # the curves are smooth; a chart draws straight lines between


@dataclass(frozen=True, slots=True)
class _Doubt:
    """What is evaluated again and again with other factors on the laws of heat."""

    heat: HeatModel
    motor: MotorModel
    duty: ShaftDuty | None
    speed: FloatArray
    binned: CutCycle | None

    def quantity(self, factors: LawFactors, hot_spot: float) -> FloatArray:
        """Return continuous torque over speed, then peak of winding and outside, infinite in run-away."""
        limit = self.heat.limit.copy()
        if self.motor.winding_limit is not None:
            limit[self.heat.network.winding] = self.motor.winding_limit - hot_spot
        heat = replace(self.heat, network=self._network(factors), limit=limit)
        torque = lasting_torque(heat, self.motor, self.speed).motoring
        return np.concatenate((torque, self._peaks(heat, hot_spot)))

    def _network(self, factors: LawFactors) -> HeatNetwork:
        if self.heat.geometry is not None:
            # what other parts heat stays: the coil of a brake
            return replace(self.heat.geometry.build(factors), heat=self.heat.network.heat)
        return varied_network(self.heat.network, surface=factors.surface, turning=factors.turning)

    def _peaks(self, heat: HeatModel, hot_spot: float) -> FloatArray:
        if self.duty is None:
            return np.full(2, np.inf)
        state = cycle_temperatures(self.duty, self.motor, heat, self.binned).state
        if not isinstance(state, RepeatingState):
            return np.full(2, np.inf)
        return np.array([state.hot_phase_peak + hot_spot, float(state.peak[heat.network.outside])])


def heat_band(
    heat: HeatModel,
    motor: MotorModel,
    duty: ShaftDuty | None,
    allowance: float,
    highest: float,
    binned: CutCycle | None = None,
) -> HeatBand | None:
    """Return the band of a candidate; None where the winding has no limit.

    Parameters
    ----------
    allowance : float
        By how much the hottest place of the winding is above its mean, as the requirements have it. [K]
    highest : float
        Last speed of the curves. [rad/s]
    binned : CutCycle, optional
        The cycle in pieces that are fine enough already, as those of a trace are.
    """
    if motor.winding_limit is None:
        return None
    sources = _sources(heat, allowance)
    speed = np.linspace(0.0, highest, BAND_SPEEDS)
    found = band(_Doubt(heat, motor, duty, speed, binned).quantity, sources)
    curve = slice(0, BAND_SPEEDS)
    mid = found.mid[curve]
    effects = found.effects[:, curve] / np.where(mid > 0.0, mid, np.inf)
    return HeatBand(
        speed=speed,
        low=np.maximum(found.low[curve], 0.0),
        mid=mid,
        high=found.high[curve],
        sources=found.sources,
        effects=effects,
        shared=_shared(heat, found.sources),
        winding=_three(found, BAND_SPEEDS),
        outside=_three(found, BAND_SPEEDS + 1),
        peak_effects=_peak_effects(found),
    )


def _sources(heat: HeatModel, allowance: float) -> HeatSources:
    if heat.geometry is None:
        return network_sources(hot_spot=allowance)
    return heat_sources(heat.geometry.calibration, hot_spot=allowance, lasting=True)


def _shared(heat: HeatModel, sources: tuple[str, ...]) -> tuple[bool, ...]:
    """Return which causes two variants of a frame have in common: laws that no figure has told, hot spot."""
    told = {} if heat.geometry is None else heat.geometry.calibration.told_by_data
    untold = {FACTOR_WORDS[name] for name in FACTOR_NAMES if told.get(name) is False}
    return tuple(name == HOT_SPOT_NAME or name in untold for name in sources)


def _peak_effects(found: Band) -> FloatArray | None:
    """Return what each cause does to the peaks; None where one of them makes the temperatures run away."""
    effects: FloatArray = found.effects[:, BAND_SPEEDS:]
    return effects if np.isfinite(effects).all() else None


def _three(found: Band, number: int) -> tuple[float, float, float] | None:
    if not np.isfinite(found.mid[number]):
        return None
    return float(found.low[number]), float(found.mid[number]), float(found.high[number])
