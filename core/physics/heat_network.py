r"""The heat network of a motor: nodes, links with speed laws, sinks of known temperature.

Every link carries :math:`G(\omega) = G_f + (G_n^3 + (g\,|\omega|^e)^3)^{1/3}`: a fixed part (solid
conduction, radiation taken as linear), a natural-convection part, and a part driven by the turning
rotor. The cubic blend of natural and forced convection keeps the larger of the two and passes
smoothly between them. A network from dimensions has tables in place of the power of the speed, and its
fixed and natural parts follow the temperatures: `settled_at` gives the network for given temperatures.
"""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, IntArray, read_only
from core.physics.conductance_tables import ForcedTable, TemperatureTable
from core.records import dataclass

# Nodes of a 5-point Gauss-Legendre rule: the mean of the blend law over a ramp is then exact to
# better than 1e-6 of its value unless the ramp starts at standstill, where |w|^0.6 costs 1e-3.
_GAUSS_NODE, _GAUSS_WEIGHT = np.polynomial.legendre.leggauss(5)


@dataclass(frozen=True, slots=True)
class HeatNetwork:
    r"""A network of n nodes, s sinks and l links.

    Parameters
    ----------
    nodes : tuple of str, length n
        Names of the nodes in plain words. [-]
    capacity : ndarray, shape (n,)
        Heat capacities, each positive. [J/K]
    sinks : tuple of str, length s
        Names of the sinks, such as ambient air and mounting plate. [-]
    sink_temp : ndarray, shape (s,)
        Temperatures of the sinks. [degC]
    end_a, end_b : ndarray of int, shape (l,)
        The two ends of each link: 0..n-1 are nodes, n..n+s-1 sinks. [-]
    fixed, natural : ndarray, shape (l,)
        Fixed and natural-convection part of each conductance. [W/K]
    rotating : ndarray, shape (l,)
        Strength g of the rotor-driven part. [W/K per (rad/s)^e]
    exponent : ndarray, shape (l,)
        Exponent e of the rotor-driven part. [-]
    winding, core, magnets, outside : int
        Node that carries the copper loss, the iron and bearing loss, the magnets, and the surface
        that can be touched. [-]
    air : int
        Node that takes the windage; -1 sends it straight to the ambient air. [-]
    forced : ForcedTable, optional
        Rotor-driven conductance of the links over speed, in place of `rotating` and `exponent`. [-]
    by_temperature : TemperatureTable, optional
        How `fixed` and `natural` follow the temperatures; the two hold for some state of them. [-]
    names : tuple of str, length l, optional
        What each link is, in plain words. [-]
    heat : ndarray, shape (n,), optional
        Heat that something else in the place puts into the nodes. [W]

    Raises
    ------
    InputRangeError
        If a capacity is not positive, a conductance negative, or a node has no path to a sink at
        standstill.

    References
    ----------
    Lumped-parameter networks: A. F. Mills, Heat Transfer (from memory). Blend exponent 3 of natural
    and forced convection: S. W. Churchill, AIChE Journal 23 (1977) 10 (from memory).
    """

    nodes: tuple[str, ...]
    capacity: FloatArray
    sinks: tuple[str, ...]
    sink_temp: FloatArray
    end_a: IntArray
    end_b: IntArray
    fixed: FloatArray
    natural: FloatArray
    rotating: FloatArray
    exponent: FloatArray
    winding: int
    core: int
    magnets: int
    outside: int
    air: int = -1
    forced: ForcedTable | None = None
    by_temperature: TemperatureTable | None = None
    names: tuple[str, ...] = ()
    heat: FloatArray | None = None

    def __post_init__(self) -> None:
        for name, capacity in zip(self.nodes, self.capacity, strict=True):
            if not capacity > 0.0:
                raise InputRangeError(f"heat capacity of {name}", float(capacity), "J/K", "> 0")
        for kind in ("fixed", "natural", "rotating"):
            wrong = ~(getattr(self, kind) >= 0.0)
            if wrong.any():
                raise InputRangeError(
                    f"{kind} heat conductance", float(getattr(self, kind)[wrong][0]), "W/K", ">= 0"
                )
        lost = unreached_nodes(len(self.nodes), self.end_a, self.end_b, self.fixed + self.natural)
        if lost:
            name = self.nodes[lost[0]]
            raise InputRangeError(
                f"heat path from {name} to ambient", 0.0, "W/K", "present at standstill for every node"
            )
        read_only(self.capacity, self.sink_temp, self.fixed, self.natural, self.rotating, self.exponent)


def unreached_nodes(
    node_count: int, end_a: IntArray, end_b: IntArray, conductance: FloatArray
) -> tuple[int, ...]:
    """Return the nodes from which no chain of conducting links reaches a sink.

    Parameters
    ----------
    node_count : int
        Number of nodes n. [-]
    end_a, end_b : ndarray of int, shape (l,)
        Ends of the links, sinks numbered from n. [-]
    conductance : ndarray, shape (l,)
        Conductance of each link; only positive ones conduct. [W/K]

    Returns
    -------
    nodes : tuple of int
        Numbers of the nodes left without a path. [-]

    References
    ----------
    Reachability in an undirected graph, textbook method (from memory).

    Examples
    --------
    >>> unreached_nodes(2, np.array([0]), np.array([2]), np.array([0.1]))
    (1,)
    """
    reached = set(range(node_count, int(max(end_a.max(initial=0), end_b.max(initial=0))) + 1))
    conducting = [(int(a), int(b)) for a, b, g in zip(end_a, end_b, conductance, strict=True) if g > 0.0]
    growing = True
    while growing:
        newly = {a for a, b in conducting if b in reached} | {b for a, b in conducting if a in reached}
        growing = not newly <= reached
        reached |= newly
    return tuple(node for node in range(node_count) if node not in reached)


def link_conductance(network: HeatNetwork, speed: FloatArray) -> FloatArray:
    r"""Return the conductance of every link at constant speeds.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    speed : ndarray, shape (m,)
        Shaft speeds; the sign does not matter. [rad/s]

    Returns
    -------
    conductance : ndarray, shape (m, l)
        :math:`G_f + (G_n^3 + (g |\omega|^e)^3)^{1/3}`. [W/K]

    References
    ----------
    S. W. Churchill, AIChE Journal 23 (1977) 10, blend of natural and forced convection (from memory).
    """
    forced = _forced(network, speed)
    blend: FloatArray = network.fixed + np.cbrt(network.natural**3 + forced**3)
    return blend


def settled_at(network: HeatNetwork, temps: FloatArray) -> HeatNetwork:
    """Return the network with its conductances for given temperatures of its nodes.

    Parameters
    ----------
    network : HeatNetwork
        The network; without `by_temperature` it comes back as it is. [-]
    temps : ndarray, shape (n,)
        Temperatures of the nodes. [degC]

    Returns
    -------
    network : HeatNetwork
        The same with `fixed` and `natural` for these temperatures. [-]

    References
    ----------
    Own formulation.
    """
    if network.by_temperature is None:
        return network
    fixed, natural = conductance_parts(network, temps)
    return replace(network, fixed=fixed, natural=natural)


def link_conductance_at(network: HeatNetwork, speed: FloatArray, temps: FloatArray) -> FloatArray:
    """Return the conductance of every link at constant speeds and temperatures.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    speed : ndarray, shape (m,)
        Shaft speeds; the sign does not matter. [rad/s]
    temps : ndarray, shape (m, n)
        Temperatures of the nodes at each speed. [degC]

    Returns
    -------
    conductance : ndarray, shape (m, l)
        As `link_conductance`. [W/K]

    References
    ----------
    As `link_conductance`.
    """
    if network.by_temperature is None:
        return link_conductance(network, speed)
    fixed, natural = _parts_at(network, temps)
    blend: FloatArray = fixed + np.cbrt(natural**3 + _forced(network, speed) ** 3)
    return blend


def _parts_at(network: HeatNetwork, temps: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return fixed and natural parts for temperatures of the nodes, shape (..., n), as (..., l)."""
    assert network.by_temperature is not None
    n = len(network.nodes)
    every = np.empty((*temps.shape[:-1], n + network.sink_temp.size))
    every[..., :n], every[..., n:] = temps, network.sink_temp
    return network.by_temperature.at(every.take(network.end_a, axis=-1), every.take(network.end_b, axis=-1))


def _forced(network: HeatNetwork, speed: FloatArray) -> FloatArray:
    """Return the rotor-driven part of every link, shape (m, l). [W/K]"""
    if network.forced is not None:
        return network.forced.at(speed)
    forced: FloatArray = network.rotating * np.abs(speed)[:, None] ** network.exponent
    return forced


def mean_link_conductance(
    network: HeatNetwork, speed_start: FloatArray, speed_end: FloatArray, temps: FloatArray | None = None
) -> FloatArray:
    r"""Return the time mean of every link's conductance over linear speed ramps.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    speed_start, speed_end : ndarray, shape (m,)
        Speeds at the ends of each ramp. [rad/s]
    temps : ndarray, shape (..., n), optional
        Node temperatures for which it is asked, where the network follows them; by default as it is. [degC]

    Returns
    -------
    conductance : ndarray, shape (..., m, l)
        Mean conductance, with the leading dimensions of the temperatures. [W/K]

    Notes
    -----
    Tabulated conductances are integrated exactly, straight between the lines of the table; the power of
    the speed by Gauss-Legendre with 5 nodes: a ramp from standstill is met to about 1e-3 of the forced
    part and better once it is halved.

    References
    ----------
    M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 25.4.29 (from memory).
    """
    fixed, natural = network.fixed, network.natural
    if temps is not None:
        fixed, natural = conductance_parts(network, temps)
    if network.forced is not None:
        blend = np.cbrt(natural[..., None, :] ** 3 + network.forced.cubed)
        weights = network.forced.ramp_weights(speed_start, speed_end)
        return fixed[..., None, :] + np.maximum(weights @ blend, 0.0)
    if not network.rotating.any() or np.array_equal(speed_start, speed_end):
        cubed = natural[..., None, :] ** 3 + _forced(network, speed_start) ** 3
        return fixed[..., None, :] + np.cbrt(cubed)
    middle, half = 0.5 * (speed_start + speed_end), 0.5 * (speed_end - speed_start)
    speeds = middle[:, None] + half[:, None] * _GAUSS_NODE
    forced = _forced(network, speeds.ravel()).reshape(*speeds.shape, -1)
    values = np.cbrt(natural[..., None, None, :] ** 3 + forced**3)
    mean: FloatArray = fixed[..., None, :] + 0.5 * np.einsum("k,...mkl->...ml", _GAUSS_WEIGHT, values)
    return mean


def conductance_parts(network: HeatNetwork, temps: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return fixed and natural part of every link at given temperatures of the nodes.

    Parameters
    ----------
    network : HeatNetwork
        The network; without `by_temperature` its own parts come back. [-]
    temps : ndarray, shape (n,)
        Temperatures of the nodes. [degC]

    Returns
    -------
    fixed, natural : ndarray, shape (l,)
        The parts. [W/K]

    References
    ----------
    Own formulation.
    """
    if network.by_temperature is None:
        return network.fixed, network.natural
    return _parts_at(network, temps)


def node_matrices(network: HeatNetwork, conductance: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the symmetric node matrices and the heat that flows in from the sinks.

    Parameters
    ----------
    network : HeatNetwork
        The network. [-]
    conductance : ndarray, shape (m, l)
        Link conductances, one row per speed or piece. [W/K]

    Returns
    -------
    matrix : ndarray, shape (m, n, n)
        G of `C dT/dt = -G T + inflow + q`: positive diagonal, negative off-diagonal. [W/K]
    inflow : ndarray, shape (m, n)
        Sum of sink conductance times sink temperature for each node, with `network.heat`. [W]

    References
    ----------
    Nodal analysis of a conductance network, textbook method (from memory).
    """
    n, s = len(network.nodes), len(network.sinks)
    outer = _incidence_products(network.end_a.tobytes(), network.end_b.tobytes(), n + s)
    full = (conductance @ outer).reshape(-1, n + s, n + s)
    matrix = np.ascontiguousarray(full[:, :n, :n])
    inflow: FloatArray = -(full[:, :n, n:] @ network.sink_temp)
    if network.heat is not None:
        inflow += network.heat
    return matrix, inflow


@functools.lru_cache(maxsize=32)
def _incidence_products(end_a: bytes, end_b: bytes, count: int) -> FloatArray:
    """Return how each link enters the matrix of nodes and sinks together, shape (l, count^2). [-]"""
    # incidence[l, i] = +1 at end a, -1 at end b: G = A^T diag(g) A
    ends = [np.frombuffer(end, dtype=np.int64) for end in (end_a, end_b)]
    incidence, link = np.zeros((ends[0].size, count)), np.arange(ends[0].size)
    incidence[link, ends[0]] = 1.0
    incidence[link, ends[1]] = -1.0
    outer: FloatArray = (incidence[:, :, None] * incidence[:, None, :]).reshape(link.size, -1)
    read_only(outer)
    return outer
