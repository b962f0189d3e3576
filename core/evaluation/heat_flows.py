"""The heat network over one repeating cycle: temperatures, the flow in every link, and what drives it.

Mean flows are means of products: within a piece the state was found with one mean conductance of each
link, so that conductance times the mean temperature difference of the piece is its mean flow exactly, and
the flows out of a node balance the heat into it. The course over the cycle is for drawing and takes the
conductance at the speed of each instant.
"""

from __future__ import annotations

import numpy as np

from core.evaluation.motor_model import MotorModel
from core.evaluation.part_means import part_means
from core.evaluation.temperatures import CycleTemperatures
from core.numeric import FloatArray, IntArray, read_only
from core.physics.heat_network import HeatNetwork, link_conductance, mean_link_conductance
from core.physics.shaft_duty import ShaftDuty
from core.physics.temperatures import RepeatingState, RunAway, cycle_trace
from core.results import HeatFlows
from core.sentences import Sentence, sentence
from core.units import Kind

# Enough instants that a slider over the cycle moves without steps that the eye sees.
_INSTANTS, _MOST_A_PIECE = 600, 60
# Times closer than this share of the cycle are one: sums of durations differ in their last digits.
_SAME_TIME = 1e-12
# Beyond so many ramps each counts with its middle speed, read from a table of so many speeds.
_MOST_RAMPS, _SPEEDS = 5_000, 400


def heat_flows(temps: CycleTemperatures, duty: ShaftDuty, motor: MotorModel) -> HeatFlows:
    """Return temperatures and flows of the network over one cycle; the cycle must have a repeating state."""
    state, network = temps.state, temps.heat.network
    if isinstance(state, RunAway):
        raise ValueError("heat that runs away has no flows that repeat")
    samples = max(2, min(_MOST_A_PIECE, _INSTANTS // temps.pieces.duration.size))
    course = cycle_trace(state, temps.pieces, samples)
    ends = np.stack((network.end_a, network.end_b), axis=1)
    conductance = link_conductance(network, speed_at(duty, course.time))
    flow = conductance * _difference(network, ends, course.temps)
    mean_flow = _mean_flow(network, ends, state, duty, temps.pieces.duration)
    sink_temp = network.sink_temp.copy()
    read_only(flow, mean_flow, sink_temp)
    return HeatFlows(
        nodes=network.nodes,
        sinks=network.sinks,
        sink_temp=sink_temp,
        links=_names(network, ends),
        ends=ends,
        time=course.time,
        temps=course.temps,
        flow=flow,
        mean_temps=state.mean,
        mean_flow=mean_flow,
        heat_in=_heat_in(temps, state, duty, motor),
        laws=_laws(network, duty),
    )


def speed_at(duty: ShaftDuty, time: FloatArray) -> FloatArray:
    """Return the speed at times of the cycle; where it jumps, that after the jump. [rad/s]"""
    edges = np.append(0.0, np.cumsum(duty.duration))
    part = np.searchsorted(edges, time + _SAME_TIME * edges[-1], side="right") - 1
    part = np.clip(part, 0, duty.duration.size - 1)
    share = np.clip((time - edges[part]) / duty.duration[part], 0.0, 1.0)
    speed: FloatArray = duty.speed_start[part] + share * (duty.speed_end - duty.speed_start)[part]
    return speed


def piece_conductance(network: HeatNetwork, duty: ShaftDuty, piece_duration: FloatArray) -> FloatArray:
    """Return the mean conductance of every link over every piece, shape (pieces, links). [W/K]"""
    pieces, parts = np.cumsum(piece_duration), np.cumsum(duty.duration)
    whole = float(pieces[-1])
    edges = np.unique(np.concatenate(([0.0], pieces, parts)))
    edges = edges[np.diff(edges, prepend=-1.0) > _SAME_TIME * whole]
    edges = edges[(edges == 0.0) | (edges < whole * (1.0 - _SAME_TIME))]
    length = np.diff(edges, append=whole)
    middle = edges + 0.5 * length
    part = np.minimum(np.searchsorted(parts, middle), parts.size - 1)
    piece = np.minimum(np.searchsorted(pieces, middle), pieces.size - 1)
    slope = (duty.speed_end - duty.speed_start) / duty.duration
    mid_speed = duty.speed_start[part] + slope[part] * (middle - parts[part] + duty.duration[part])
    if length.size > _MOST_RAMPS:
        total = _by_dwell(network, mid_speed, length, piece, pieces.size)
    else:
        half = 0.5 * slope[part] * length
        mean = mean_link_conductance(network, mid_speed - half, mid_speed + half)
        total = np.zeros((pieces.size, network.end_a.size))
        np.add.at(total, piece, mean * length[:, None])
    return total / piece_duration[:, None]


def _by_dwell(
    network: HeatNetwork, speed: FloatArray, length: FloatArray, piece: IntArray, pieces: int
) -> FloatArray:
    """Return conductance times time of every link in every piece, from the time spent at each speed. [J/K]

    The work of the laws does not grow with the length of a trace.
    """
    last = _SPEEDS - 1
    highest = max(float(np.abs(speed).max()), 1e-9)
    # evenly spaced in the root of the speed, where the laws are nearly straight
    place = np.sqrt(np.abs(speed) / highest) * last
    below = np.minimum(place.astype(np.int64), last - 1)
    share, at = place - below, piece * _SPEEDS + below
    dwell = np.bincount(at, length * (1.0 - share), pieces * _SPEEDS)
    dwell += np.bincount(at + 1, length * share, pieces * _SPEEDS)
    table = link_conductance(network, highest * np.linspace(0.0, 1.0, _SPEEDS) ** 2)
    total: FloatArray = dwell.reshape(pieces, _SPEEDS) @ table
    return total


def _mean_flow(
    network: HeatNetwork,
    ends: IntArray,
    state: RepeatingState,
    duty: ShaftDuty,
    piece_duration: FloatArray,
) -> FloatArray:
    """Return the mean flow in every link, shape (links,). [W]"""
    flow = piece_conductance(network, duty, piece_duration) * _difference(network, ends, state.piece_mean)
    mean: FloatArray = piece_duration @ flow / piece_duration.sum()
    return mean


def _difference(network: HeatNetwork, ends: IntArray, temps: FloatArray) -> FloatArray:
    """Return temperature of first less second end for node temperatures (m, n), shape (m, links). [K]"""
    sinks = np.broadcast_to(network.sink_temp, (len(temps), network.sink_temp.size))
    every = np.concatenate((temps, sinks), axis=1)
    difference: FloatArray = every[:, ends[:, 0]] - every[:, ends[:, 1]]
    return difference


def _names(network: HeatNetwork, ends: IntArray) -> tuple[str, ...]:
    if network.names:
        return network.names
    every = (*network.nodes, *network.sinks)
    return tuple(f"{every[a]} to {every[b]}" for a, b in ends)


def _heat_in(
    temps: CycleTemperatures, state: RepeatingState, duty: ShaftDuty, motor: MotorModel
) -> dict[str, FloatArray]:
    """Return the mean heat into each node by cause, causes without heat left out. [W]"""
    network, pieces = temps.heat.network, temps.pieces
    drag = part_means(duty, motor.drag).drag
    heat = {name: np.zeros(len(network.nodes)) for name in ("copper", "core and bearing", "air drag")}
    heat["copper"][network.winding] = state.copper_loss @ pieces.duration / pieces.duration.sum()
    heat["core and bearing"][network.core] = drag.core_power @ duty.duration / duty.cycle_time
    if network.air >= 0:  # otherwise it leaves with the ambient air
        heat["air drag"][network.air] = drag.air_power @ duty.duration / duty.cycle_time
    if network.heat is not None:
        heat["other heat"] = np.array(network.heat)
    read_only(*heat.values())
    return {name: values for name, values in heat.items() if values.any()}


def _laws(network: HeatNetwork, duty: ShaftDuty) -> tuple[Sentence, ...]:
    """Return the law of each link with its numbers at the mean speed of the cycle."""
    speed = 0.5 * float(np.abs(duty.speed_start + duty.speed_end) @ duty.duration) / duty.cycle_time
    at_speed = link_conductance(network, np.array([speed]))[0]
    table, by_temp = network.forced, network.by_temperature
    if table is None:
        driven = network.rotating * speed**network.exponent
        with_speed = (network.rotating > 0.0) & (network.exponent > 0.0)
    else:
        driven = table.at(np.array([speed]))[0]
        with_speed = np.ptp(table.conductance, axis=0) > 0.0
    with_temp = np.zeros(at_speed.size, dtype=bool)
    if by_temp is not None:
        with_temp = (np.ptp(by_temp.fixed, axis=0) > 0.0) | (np.ptp(by_temp.natural, axis=0) > 0.0)
    return tuple(
        _law(
            {"total": float(at_speed[k]), "fixed": float(network.fixed[k]),
             "natural": float(network.natural[k]), "driven": float(driven[k])},
            speed,
            f", as speed to the power {network.exponent[k]:.3g}" if table is None else "",
            bool(with_speed[k]),
            bool(with_temp[k]),
        )
        for k in range(at_speed.size)
    )  # fmt: skip


def _law(part: dict[str, float], speed: float, power: str, with_speed: bool, with_temp: bool) -> Sentence:
    """Return the law of one link: its total, what it is made of, and what it follows."""
    made_of = []
    if part["fixed"] > 0.0:
        made_of.append("{fixed} fixed, by conduction or radiation")
    if part["natural"] > 0.0 and part["driven"] > 0.0:
        made_of.append(
            f"{{natural}} by natural convection and {{driven}} driven by the rotor{power}, of which the "
            "larger counts most (cube root of the sum of cubes)"
        )
    elif part["natural"] > 0.0:
        made_of.append("{natural} by natural convection")
    elif part["driven"] > 0.0:
        made_of.append(f"{{driven}} driven by the rotor{power}")
    if with_speed and part["driven"] == 0.0:
        made_of.append("nothing yet driven by the rotor")
    follows = {
        (True, True): "Follows the speed and the temperatures",
        (True, False): "Follows the speed, not the temperatures",
        (False, True): "Follows the temperatures, not the speed",
        (False, False): "The same at every speed and temperature",
    }[with_speed, with_temp]
    where = " at the mean speed of {speed}" if with_speed else ""
    alone = len(made_of) == 1 and " and " not in made_of[0]
    sum_of = f"{made_of[0]}{where}" if alone else f"{{total}}{where}: {'; '.join(made_of)}"
    template = f"{sum_of}. {follows}." if made_of else f"Nothing flows here{where}. {follows}."
    values = {name: (value, Kind.THERMAL_CONDUCTANCE) for name, value in part.items()}
    return sentence(template, **values, speed=(speed, Kind.SPEED))
