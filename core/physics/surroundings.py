r"""What stands around a motor: a heat network behind a guard, or in a closed box, whose air is a node.

Each function takes any heat network and returns another one. Links that ended at the ambient air end
at the air inside, and that air has ways of its own to the ambient. Radiation that falls on a wall from
inside is counted with the air inside: wall and air are told apart only by the film between them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, IntArray
from core.physics.closed_box import ClosedBox, box_capacity, box_wall_conductance
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.physics.heat_network import HeatNetwork
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.rotor_guard import (
    RotorGuard,
    draught_conductance,
    driven_conductance,
    guard_capacity,
    guard_wall_conductance,
)
from core.records import dataclass

AIR_IN_BOX = "air in the box"
AIR_BEHIND_GUARD = "air behind the guard"

USUAL_DIFFERENCE = 20.0
"""Difference to the ambient for which a network has its conductances before the first solution. [K]"""

_TABLE_ROWS = 25  # over the root of the difference: 0.2 % between two rows for the films of a wall


@dataclass(frozen=True, slots=True)
class _WayOut:
    """A link from the air inside to the ambient.

    `at_difference` gives its conductance over the temperature difference [W/K], `per_speed` what the
    turning rotor adds [W/K per rad/s].
    """

    name: str
    at_difference: Callable[[FloatArray], FloatArray]
    per_speed: float = 0.0


@dataclass(frozen=True, slots=True)
class _Rerouted:
    """The links of a network anew: which old link each comes from, its parts of it, new ends and names."""

    source: IntArray
    fixed_share: FloatArray
    moving_share: FloatArray
    end_a: IntArray
    end_b: IntArray
    names: tuple[str, ...]


def in_box(
    network: HeatNetwork,
    box: ClosedBox,
    pressure: float,
    *,
    sink: str = "ambient air",
    highest_temp: float = 200.0,
) -> HeatNetwork:
    r"""Return a network inside a closed box; every link to the ambient air ends at the air in the box.

    Parameters
    ----------
    network : HeatNetwork
        Motor with its mounting. [-]
    box : ClosedBox
        Size and walls; other heat in it. [-]
    pressure : float
        Of the air inside and outside; 0 is vacuum. [Pa]
    sink : str, default "ambient air"
        Sink that is shut out; links to other sinks leave the box as they are. [-]
    highest_temp : float, default 200
        Up to which the table of the wall reaches; beyond it the last slope goes on. [degC]

    Returns
    -------
    network : HeatNetwork
        One node more, "air in the box", last of the nodes, and one link more, last of the links. [-]

    Raises
    ------
    InputRangeError
        If the network has no such sink, or the temperature is not above the ambient.

    Notes
    -----
    The conductance of the walls follows the difference between inside and ambient and stands in the
    column of natural convection, radiation and conduction included, because one of its ends is the
    ambient. Windage that went straight to the ambient heats the air in the box.

    References
    ----------
    Own formulation; no source for a motor in a box. Films and wall as in `box_wall_conductance`.
    """
    to = _sink_number(network, sink)
    ambient = float(network.sink_temp[to])
    n, count = len(network.nodes), network.end_a.size
    ends = [np.where(old == n + to, n, old + (old >= n)) for old in (network.end_a, network.end_b)]
    moved = (network.end_a == n + to) | (network.end_b == n + to)
    names = _renamed(network, to, moved, AIR_IN_BOX)
    links = _Rerouted(np.arange(count), np.ones(count), np.ones(count), ends[0], ends[1], names)
    wall = _WayOut(
        "walls of the box", lambda difference: box_wall_conductance(box, difference, ambient, pressure)
    )
    return _with_air_inside(
        network, links, to, AIR_IN_BOX, box_capacity(box, ambient, pressure), (wall,), box.other_heat,
        highest_temp,
    )  # fmt: skip


def behind_guard(
    network: HeatNetwork,
    guard: RotorGuard,
    pressure: float,
    *,
    sink: str = "ambient air",
    guarded: BoolArray | None = None,
    staying: FloatArray | None = None,
    highest_temp: float = 200.0,
) -> HeatNetwork:
    r"""Return a network whose turning parts are behind a guard; flange and mounting stay in the free air.

    Parameters
    ----------
    network : HeatNetwork
        An open motor. [-]
    guard : RotorGuard
        Its size and its open share. [-]
    pressure : float
        Of the air; 0 is vacuum. [Pa]
    sink : str, default "ambient air"
        Sink that the guarded links ended at. [-]
    guarded : ndarray of bool, shape (l,), optional
        Links behind the guard; by default those to the sink that the turning rotor ventilates or that
        begin at the magnets. [-]
    staying : ndarray, shape (l,), optional
        Part of each fixed conductance that goes through the mounting and so stays outside. [W/K]
    highest_temp : float, default 200
        Up to which the tables reach. [degC]

    Returns
    -------
    network : HeatNetwork
        One node more, "air behind the guard"; a guarded link with radiation has become two. With an
        open share of 1 there is no guard and the network comes back as it is. [-]

    Raises
    ------
    InputRangeError
        If the network has no such sink, or more stays outside than a link has.

    Notes
    -----
    Of the fixed part of a guarded link, taken as radiation, the open share goes straight out and the
    rest meets the wall. The air behind the guard gives its heat through the openings, with the air
    that the rotor drives and with the draught of its own warmth (`driven_conductance`,
    `draught_conductance`), and through the wall (`guard_wall_conductance`).

    References
    ----------
    Own formulation, no source; every law of it is assumed.
    """
    to = _sink_number(network, sink)
    if guard.open_share == 1.0:
        return network
    inside = _guarded(network, to) if guarded is None else guarded
    stays = np.zeros(network.end_a.size) if staying is None else staying
    if (stays > network.fixed * (1.0 + 1e-12)).any():
        worst = int(np.argmax(stays - network.fixed))
        rule = f"at most the fixed part of its link, {network.fixed[worst]:.4g} W/K"
        raise InputRangeError("conductance through the mounting", float(stays[worst]), "W/K", rule)
    ambient = float(network.sink_temp[to])
    ways = [
        _WayOut("wall of the guard", lambda d: guard_wall_conductance(guard, d, ambient, pressure)),
        _WayOut(
            "openings of the guard",
            lambda d: draught_conductance(guard, d, ambient, pressure),
            driven_conductance(guard, 1.0, ambient, pressure),
        ),
    ]
    through_openings = pressure > 0.0 and guard.open_share > 0.0
    return _with_air_inside(
        network, _split_links(network, to, inside, stays, guard.open_share), to, AIR_BEHIND_GUARD,
        guard_capacity(guard, ambient, pressure), tuple(ways if through_openings else ways[:1]), 0.0,
        highest_temp,
    )  # fmt: skip


def _sink_number(network: HeatNetwork, sink: str) -> int:
    if sink not in network.sinks:
        raise InputRangeError("sinks of the network", len(network.sinks), "", f'with one called "{sink}"')
    return network.sinks.index(sink)


def _guarded(network: HeatNetwork, to: int) -> BoolArray:
    outside = len(network.nodes) + to
    forced = network.forced
    ventilated = network.rotating > 0.0 if forced is None else forced.conductance[-1] > 0.0
    at_rotor = (network.end_a == network.magnets) | (network.end_b == network.magnets)
    at_sink = (network.end_a == outside) | (network.end_b == outside)
    guarded: BoolArray = at_sink & (ventilated | at_rotor)
    return guarded


def _split_links(
    network: HeatNetwork, to: int, inside: BoolArray, stays: FloatArray, open_share: float
) -> _Rerouted:
    """Return the links with the guarded ones moved to the new node, and what still goes straight out."""
    n, count = len(network.nodes), network.end_a.size
    fixed = np.where(network.fixed > 0.0, network.fixed, 1.0)
    # of the radiating part of a guarded link the open share sees the surroundings
    outside_share = np.where(inside, (stays + open_share * (fixed - stays)) / fixed, 0.0)
    straight = np.flatnonzero((outside_share > 0.0) & (network.fixed > 0.0))
    ends = []
    for old in (network.end_a, network.end_b):
        shifted = old + (old >= n)
        moved = np.where(inside & (old == n + to), n, shifted)
        ends.append(np.concatenate((moved, shifted[straight])))
    past = (f"{_name(network, int(link))}, past the guard" for link in straight)
    return _Rerouted(
        source=np.concatenate((np.arange(count), straight)),
        fixed_share=np.concatenate((1.0 - outside_share, outside_share[straight])),
        moving_share=np.concatenate((np.ones(count), np.zeros(straight.size))),
        end_a=ends[0],
        end_b=ends[1],
        names=(*_renamed(network, to, inside, AIR_BEHIND_GUARD), *past),
    )


def _with_air_inside(
    network: HeatNetwork,
    links: _Rerouted,
    to: int,
    node: str,
    capacity: float,
    ways: tuple[_WayOut, ...],
    other_heat: float,
    highest_temp: float,
) -> HeatNetwork:
    """Return the network with rerouted links, one node more and its ways out to sink `to`."""
    n, own = len(network.nodes), len(ways)
    require_positive(f"heat capacity of {node}", capacity, "J/K")
    require_not_negative("other heat", other_heat, "W")
    usual = np.array([float(way.at_difference(np.array([USUAL_DIFFERENCE]))[0]) for way in ways])
    heat = np.zeros(n) if network.heat is None else network.heat
    return replace(
        network,
        nodes=(*network.nodes, node),
        capacity=np.append(network.capacity, capacity),
        end_a=np.concatenate((links.end_a, np.full(own, n))),
        end_b=np.concatenate((links.end_b, np.full(own, n + 1 + to))),
        fixed=np.append(network.fixed[links.source] * links.fixed_share, np.zeros(own)),
        natural=np.append(network.natural[links.source] * links.moving_share, usual),
        rotating=np.append(network.rotating[links.source] * links.moving_share, [w.per_speed for w in ways]),
        exponent=np.append(network.exponent[links.source], np.ones(own)),
        air=n if network.air == -1 else network.air,
        forced=_forced_table(network.forced, links, ways),
        by_temperature=_temperature_table(network, links, ways, highest_temp - float(network.sink_temp[to])),
        names=(*links.names, *(way.name for way in ways)),
        heat=np.append(heat, other_heat),
    )


def _name(network: HeatNetwork, link: int) -> str:
    if network.names:
        return network.names[link]
    every = (*network.nodes, *network.sinks)
    return f"{every[network.end_a[link]]} to {every[network.end_b[link]]}"


def _renamed(network: HeatNetwork, to: int, moved: BoolArray, node: str) -> tuple[str, ...]:
    """Return the names of all links, the moved ones with the new node in place of the ambient."""
    names = [_name(network, link) for link in range(network.end_a.size)]
    for link in np.flatnonzero(moved):
        for word in (network.sinks[to], "ambient"):
            names[link] = names[link].replace(word, node)
    return tuple(names)


def _forced_table(
    forced: ForcedTable | None, links: _Rerouted, ways: tuple[_WayOut, ...]
) -> ForcedTable | None:
    if forced is None:
        return None
    speed = forced.highest * np.linspace(0.0, 1.0, len(forced.conductance)) ** 2
    driven = [speed[:, None] * way.per_speed for way in ways]
    kept = forced.conductance[:, links.source] * links.moving_share
    return ForcedTable(forced.highest, np.concatenate((kept, *driven), axis=1))


def _temperature_table(
    network: HeatNetwork, links: _Rerouted, ways: tuple[_WayOut, ...], reach: float
) -> TemperatureTable:
    """Return the table of a network, or one of constants, with the columns of the ways out."""
    require_positive("reach of the table above ambient", reach, "K")
    old = network.by_temperature or TemperatureTable(
        mean_start=float(network.sink_temp[0]),
        mean_step=reach,
        fixed=np.tile(network.fixed, (2, 1)),
        difference_step=float(np.sqrt(reach)) / (_TABLE_ROWS - 1),
        natural=np.tile(network.natural, (_TABLE_ROWS, 1)),
    )
    difference = (old.difference_step * np.arange(len(old.natural), dtype=np.float64)) ** 2
    columns = [way.at_difference(difference)[:, None] for way in ways]
    fixed = old.fixed[:, links.source] * links.fixed_share
    natural = old.natural[:, links.source] * links.moving_share
    return TemperatureTable(
        old.mean_start,
        old.mean_step,
        np.concatenate((fixed, np.zeros((len(fixed), len(ways)))), axis=1),
        old.difference_step,
        np.concatenate((natural, *columns), axis=1),
    )
