"""Step 5: temperatures of the repeating cycle, and by how much its torque may grow."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.evaluation.extra_copper import CycleWithExtra, extra_copper
from core.evaluation.heat_model import HeatModel
from core.evaluation.motor_model import MotorModel
from core.evaluation.operating_rows import standing_copper_factor, standing_phase_factor
from core.evaluation.torque_heat import follows_torque
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.cycle_heat import cycle_cut
from core.physics.heat_pieces import HeatPieces
from core.physics.heating_up import HeatingUp, heating_up
from core.physics.rms_torque import rms_is_valid
from core.physics.run_away_time import averaged_time_to_limit
from core.physics.settled_cycle import CutCycle, SettledCycle, settled_cycle
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RepeatingState, RunAway, cycle_trace
from core.physics.torque_reserve import TorqueReserve, torque_reserve
from core.records import dataclass
from core.results import CycleTrace, HeatingUpTrace, PeakTemperature
from core.sentences import sentence
from core.units import Kind

SAMPLES_PER_PIECE = 6


@dataclass(frozen=True, slots=True)
class CycleTemperatures:
    """The repeating state or its run-away, the pieces it was found with, and the torque reserve."""

    heat: HeatModel
    pieces: HeatPieces
    state: RepeatingState | RunAway
    reserve: TorqueReserve
    findings: tuple[Finding, ...]

    @property
    def winding_peak(self) -> tuple[float, int, float] | None:
        """Peak of the winding's hottest phase [degC], its segment and time [s]; None in run-away."""
        if isinstance(self.state, RunAway):
            return None
        return self.state.hot_phase_peak, self.state.hot_phase_segment, self.state.hot_phase_time

    def trace(self) -> CycleTrace | None:
        """Return the course over one cycle, None in run-away."""
        if isinstance(self.state, RunAway):
            return None
        drawn = cycle_trace(self.state, self.pieces, _samples(self.pieces))
        return CycleTrace(drawn.time, self.heat.network.nodes, drawn.temps)


def cycle_temperatures(
    duty: ShaftDuty, motor: MotorModel, heat: HeatModel, binned: CutCycle | None = None
) -> CycleTemperatures:
    """Return the temperatures of the repeating cycle and its torque reserve.

    Parameters
    ----------
    binned : CutCycle, optional
        The cycle in pieces that are fine enough already, as those of a trace are.
    """
    # a slow ramp creeps as much as a slow constant speed: its mean speed counts, and is zero only at rest
    speed = 0.5 * (duty.speed_start + duty.speed_end)
    phase = standing_phase_factor(heat, motor, speed)
    copper = standing_copper_factor(motor, speed)

    extra = extra_copper(duty, motor)

    @functools.cache
    def linear(pieces_per_ramp: int) -> CutCycle:
        torque = motor.copper_per_torque_squared
        pieces = binned or cycle_cut(duty, motor.drag, torque, pieces_per_ramp, phase, copper)
        return pieces if extra is None else CycleWithExtra(pieces, extra)

    if follows_torque(motor):
        from core.evaluation.torque_rounds import temperatures_with  # only where heat follows the torque

        return temperatures_with(duty, motor, heat, linear)
    return solved_cycle(heat, linear)


def solved_cycle(heat: HeatModel, cut: Callable[[int], CutCycle]) -> CycleTemperatures:
    """Return the temperatures and the reserve of a cycle that can be cut into so many pieces a ramp."""
    cycle = settled_cycle(heat.network, cut, heat.law)
    settled, follows = replace(heat, network=cycle.network), pieces_follow(heat, cut(cycle.pieces_per_ramp))
    reserve = torque_reserve(settled.network, cycle.pieces, heat.law, heat.limit, cycle.state, follows)
    return judged(settled, cycle, reserve)


def pieces_follow(heat: HeatModel, used: CutCycle) -> Callable[[FloatArray], HeatPieces] | None:
    """Return what gives the pieces at other temperatures of the surfaces, None where none follow them."""
    if heat.network.by_temperature is None:
        return None

    def pieces_at(temps: FloatArray) -> HeatPieces:
        return used.on(heat.network, temps)

    return pieces_at


def judged(heat: HeatModel, cycle: SettledCycle, reserve: TorqueReserve) -> CycleTemperatures:
    """Return a settled cycle with its torque reserve and what is to be said about it."""
    state, pieces = cycle.state, cycle.pieces
    findings = (_run_away_finding(state, heat, pieces),) if isinstance(state, RunAway) else ()
    return CycleTemperatures(heat, pieces, state, reserve, findings)


def peak_temperatures(
    temps: CycleTemperatures, motor: MotorModel, touch_limit: float | None, allowance: float
) -> tuple[PeakTemperature, ...]:
    """Return the peaks of winding (hot spot included), magnets and outside; nothing in run-away."""
    state, network = temps.state, temps.heat.network
    if isinstance(state, RunAway):
        return ()

    def peak(role: str, node: int, limit: float | None) -> PeakTemperature:
        return PeakTemperature(
            role=role,
            node=network.nodes[node],
            temp=float(state.peak[node]),
            mean=float(state.mean[node]),
            limit=limit,
            segment=int(state.peak_segment[node]),
            instant=float(state.peak_time[node]),
        )

    winding = PeakTemperature(
        role="winding",
        node=network.nodes[network.winding],
        temp=state.hot_phase_peak + allowance,
        mean=float(state.mean[network.winding]),
        limit=motor.winding_limit,
        segment=state.hot_phase_segment,
        instant=state.hot_phase_time,
    )
    return (
        winding,
        peak("magnets", network.magnets, motor.magnet_limit),
        peak("outside", network.outside, touch_limit),
    )


def heating_up_trace(temps: CycleTemperatures) -> HeatingUpTrace:
    """Return the heating-up from ambient to the repeating state, or past the first limit in run-away."""
    course = _from_cold(temps.heat, temps.pieces, temps.state)
    settles = None if isinstance(temps.state, RunAway) else course.settling_time
    # a violent run-away leaves all bounds within a cycle: what is beyond numbers is not drawn
    sound = np.isfinite(course.low).all(axis=1) & np.isfinite(course.high).all(axis=1)
    count = int(np.argmin(sound)) if not sound.all() else sound.size
    nodes = temps.heat.network.nodes
    if count == 0:
        still = np.full((1, len(nodes)), temps.heat.ambient)
        return HeatingUpTrace(np.zeros(1), nodes, still, still, settles)
    return HeatingUpTrace(course.time[:count], nodes, course.low[:count], course.high[:count], settles)


def _from_cold(heat: HeatModel, pieces: HeatPieces, state: RepeatingState | RunAway) -> HeatingUp:
    start: FloatArray = np.full(len(heat.network.nodes), heat.ambient)
    return heating_up(heat.network, pieces, heat.law, start, heat.limit, state)


def _samples(pieces: HeatPieces) -> int:
    """Return how many samples of each piece are drawn: fewer where ramps were cut finely."""
    return max(2, min(SAMPLES_PER_PIECE, 600 // pieces.duration.size))


def _time_to_limit(heat: HeatModel, pieces: HeatPieces, state: RepeatingState | RunAway) -> float:
    """Return how long a run-away from ambient takes to the first limit. [s]

    Short cycles are averaged, which costs a tenth of the march through every piece that long ones need.
    """
    if not np.isfinite(heat.limit).any():
        return float("inf")
    if not rms_is_valid(float(pieces.duration.sum()), heat.winding_time_constant):
        return float(_from_cold(heat, pieces, state).time_to_limit.min())
    start: FloatArray = np.full(len(heat.network.nodes), heat.ambient)
    return averaged_time_to_limit(heat.network, pieces, heat.law, heat.limit, start)


def _run_away_finding(state: RepeatingState | RunAway, heat: HeatModel, pieces: HeatPieces) -> Finding:
    time = _time_to_limit(heat, pieces, state)
    reason = state.reason if isinstance(state, RunAway) else ""
    why = {
        "constant duty": "the copper loss grows faster with temperature than the heat flows off",
        "cycle": "over a cycle the copper loss grows faster with temperature than the heat flows off",
        "magnets": "warmer magnets need more current for the same torque, and no temperature is hot enough "
        "to get rid of that heat",
    }[reason]
    text = sentence(
        f"Thermal run-away: {why}. From ambient the first limit is passed after {{time}}.",
        time=(time, Kind.TIME),
    )
    return Finding("thermal_run_away", "serious", text, {"time_to_limit_s": time})
