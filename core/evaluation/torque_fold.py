"""The torque reserve where saturation ends all states before anything meets its limit.

Warmer magnets need more current for the same torque, beyond the linear range so much more that the state at a
limit may belong to less torque than a cooler one. Such a state is unstable: a motor that comes from cold
passes the torques of all cooler ones before it runs away, and the largest of these is its reserve.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from core.numeric import FloatArray
from core.physics.false_position import rising_root
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperBeyond, CopperLaw, HeatPieces
from core.physics.torque_reserve import TorqueReserve
from core.records import dataclass

_COOLER = 0.98  # share of the rises at which a state is asked for what it would take [-]
_AT_LIMIT = 1.0  # [K]
_FIRST_STEP, _LAST_STEP = 0.08, 0.03  # of the share of all rises [-]
_SHARES = 17


@dataclass(frozen=True, slots=True)
class HeatOfStates:
    """What tells the heat that a cycle would have at temperatures that are not its own."""

    network: HeatNetwork
    law: CopperLaw
    pieces: HeatPieces
    beyond: CopperBeyond

    @property
    def cold(self) -> float:
        """Temperature from which rises count. [degC]"""
        return float(self.network.sink_temp.max())

    def copper_loss(self, factor: float, temps: FloatArray) -> float:
        """Return the mean copper loss of a factor at temperatures of the nodes. [W]"""
        law, share = self.law, self.pieces.duration / self.pieces.duration.sum()
        winding, magnets = temps[[self.network.winding, self.network.magnets]].tolist()
        reference = float(share @ self.pieces.copper_at_reference(factor)) + self.beyond.mean(factor, magnets)
        flux = 1.0 + law.magnet_temp_coefficient * (magnets - law.magnet_ref_temp)
        warmer = (law.copper_constant + winding) / (law.copper_constant + law.winding_ref_temp)
        return reference * warmer / flux**2 if flux > 0.0 else float("inf")


def largest_of_states(
    heat: HeatOfStates, limits: FloatArray, reserve_within: Callable[[FloatArray], TorqueReserve]
) -> tuple[TorqueReserve, FloatArray]:
    """Return the reserve within limits, or the larger one of a cooler state, and the limits it is met at.

    `reserve_within` seeks the reserve with other limits of the nodes. A cooler state ends by run-away.
    """
    found = reserve_within(limits)
    ended = found.end in ("limit", "run-away") and found.factor > 0.0 and np.isfinite(limits).any()
    if not ended or (limits <= heat.cold).any() or _is_reached(heat, limits, found):
        return found, limits
    tried = {1.0: found}

    def larger(share: float, than: float) -> bool:
        for one in (share, than):
            if one not in tried:
                tried[one] = reserve_within(heat.cold + one * (limits - heat.cold))
        return tried[share].factor > tried[than].factor

    best, step = _likely_share(heat, limits, found), _FIRST_STEP
    while step > _LAST_STEP:
        # cooler ones first: beyond the largest torque the search takes ten times as long
        for share in (round(best - step, 3), round(min(best + step, 1.0), 3)):
            if share > 0.0 and larger(share, best):
                best = share
                break
        else:
            step *= 0.5
    best = max(tried, key=lambda share: tried[share].factor)
    if best == 1.0:
        return found, limits
    runs_away = TorqueReserve(tried[best].factor, "run-away", -1, False, tried[best].peak)
    return runs_away, heat.cold + best * (limits - heat.cold)


def _likely_share(heat: HeatOfStates, limits: FloatArray, found: TorqueReserve) -> float:
    """Return at which share of the limits' rises the largest torque is, were all rises of the copper loss."""
    rises, loss = found.peak - heat.cold, heat.copper_loss(found.factor, found.peak)
    reach = float(((limits - heat.cold) / np.maximum(rises, 1e-9)).min())

    def torque(share: float) -> float:
        def excess(factor: float) -> float:
            asked = heat.copper_loss(factor, heat.cold + share * reach * rises)
            return math.log(max(asked, 1e-9 * loss) / (share * reach * loss))

        return rising_root(excess, found.factor, 4.0 * found.factor, 2.0)

    shares: list[float] = np.linspace(0.2, 1.0, _SHARES).tolist()
    return max(shares, key=torque)


def _is_reached(heat: HeatOfStates, limits: FloatArray, found: TorqueReserve) -> bool:
    """Return whether a motor that comes from cold gets to the state at the limit.

    It does where a slightly cooler one asks for more heat than it gives away. That all rises are of copper
    loss, and peaks last, is on the side of looking once too often.
    """
    if found.end != "limit" or limits[found.node] - found.peak[found.node] > _AT_LIMIT:
        return False
    cooler = heat.cold + _COOLER * (found.peak - heat.cold)
    here, there = (heat.copper_loss(found.factor, temps) for temps in (found.peak, cooler))
    return there > _COOLER * here
