r"""The heat network of a motor from its dimensions.

Winding, stator core with flange, cup with magnets, and a housing where there is one. Each surface is a
link of its own, so each keeps its own law of speed and temperature. A motor is taken with its shaft
level, its flange upright.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from core.errors import AmpturnError
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.carrier_links import carrier_link
from core.physics.geometry_findings import range_findings
from core.physics.geometry_links import (
    USUAL_RISE,
    GeometryLink,
    LinkSetting,
    LinkTables,
    link_grid,
    link_tables,
)
from core.physics.heat_network import HeatNetwork, link_conductance_at, node_matrices
from core.physics.input_ranges import require_finite, require_positive
from core.physics.inside_links import end_winding_links, opening_flow, solid_links
from core.physics.motor_dimensions import EnclosedRotor, FrameDimensions, HeatPlace, LawFactors, OpenRotor
from core.physics.motor_surfaces import MotorSurfaces, motor_surfaces, refuse_impossible
from core.physics.outside_links import cup_in_air_links, cup_in_housing_links, flange_link, housing_links
from core.records import dataclass

COPPER_HEAT, STEEL_HEAT, ALUMINIUM_HEAT, ROTOR_HEAT = 385.0, 460.0, 900.0, 450.0
"""Specific heat of copper, core, flange and housing, steel with magnets. From memory. [J/(kg K)]"""

INSULATION_SHARE = 1.15
"""Heat capacity of a winding over that of its copper. Assumed, no source. [-]"""

AS_DIMENSIONED = LawFactors()
WINDING, CORE, ROTOR, HOUSING = 0, 1, 2, 3

SETTLED = 1e-6
"""Change of temperatures at which a state counts as settled; the residual is smaller. [K]"""


@dataclass(frozen=True, slots=True)
class GeometryNetwork:
    """A heat network and what was noticed while it was made.

    Parameters
    ----------
    network : HeatNetwork
        Nodes winding, stator core, rotor, and housing if enclosed; sink ambient air. [-]
    findings : tuple of Finding
        Laws used outside their range, and what was assumed. [-]

    References
    ----------
    Own formulation.
    """

    network: HeatNetwork
    findings: tuple[Finding, ...]


class StandstillResistances(NamedTuple):
    """Thermal resistances as a data sheet states them.

    Attributes
    ----------
    winding_to_housing : float
        From the winding to the outside. [K/W]
    housing_to_ambient : float
        From there to the ambient air. [K/W]
    """

    winding_to_housing: float
    housing_to_ambient: float


def geometry_network(
    frame: FrameDimensions,
    variant: OpenRotor | EnclosedRotor,
    place: HeatPlace,
    factors: LawFactors = AS_DIMENSIONED,
    *,
    highest_speed: float,
) -> GeometryNetwork:
    r"""Return the heat network of a motor from its dimensions.

    Parameters
    ----------
    frame : FrameDimensions
        Inner dimensions and masses. [-]
    variant : OpenRotor or EnclosedRotor
        What is around it. [-]
    place : HeatPlace
        Air and carrier. [-]
    factors : LawFactors, optional
        Factors on the laws. [-]
    highest_speed : float
        Last speed of the tables. [rad/s]

    Returns
    -------
    result : GeometryNetwork
        Network and findings. `fixed` and `natural` of the network hold with all nodes
        `geometry_links.USUAL_RISE` above ambient. [-]

    Raises
    ------
    InputRangeError
        If dimensions cannot go together or a value leaves its range.

    Notes
    -----
    The outside of an enclosed motor is its housing. That of an open one is its core: the flange can be
    touched while the motor runs, is nearest to the winding, and the cup, out of reach while it turns,
    comes towards the core's temperature once it stands and cools itself no longer.

    Rotor-driven parts are taken at one state of the air: films outside at ambient + 30 K, air inside at
    ambient + 60 K. Another 30 K change :math:`k/\nu^{2/3}` of the rim by 3 %, :math:`k/\sqrt\nu` of
    the face by less than 1 %.

    References
    ----------
    Each law in its own file. Lumped networks: A. F. Mills, Heat Transfer (from memory).

    Examples
    --------
    >>> frame = FrameDimensions(0.04, 0.02, 0.01, 5e-4, 0.003, 1e-3, 100.0, 0.045, 0.016, 0.04,
    ...     0.02, 0.04, 0.03, 0.04)
    >>> network = geometry_network(frame, OpenRotor(), HeatPlace(25.0), highest_speed=1000.0).network
    >>> network.nodes, round(float(network.fixed[0]), 6)  # lining: 1e-3 m2 times 100 W/(m2 K)
    (('winding', 'stator core', 'rotor'), 0.1)
    """
    refuse_impossible(frame, variant)
    require_positive("highest tabulated speed", highest_speed, "rad/s")
    require_finite("highest tabulated speed", highest_speed, "rad/s")
    setting = LinkSetting(link_grid(place.ambient_temp, highest_speed), place, factors)
    enclosed = isinstance(variant, EnclosedRotor)
    surfaces = motor_surfaces(frame, 0.0 if isinstance(variant, EnclosedRotor) else variant.opening_share)
    links = _links(frame, variant, surfaces, setting)
    tables = link_tables(links, setting.grid)
    nodes = ("winding", "stator core", "rotor", "housing")[: 4 if enclosed else 3]
    network = _network(nodes, tables, place, _capacities(frame, variant, factors))
    return GeometryNetwork(network, range_findings(frame, variant, place, setting.grid))


def _links(
    frame: FrameDimensions,
    variant: OpenRotor | EnclosedRotor,
    surfaces: MotorSurfaces,
    setting: LinkSetting,
) -> list[GeometryLink]:
    """Return all links; the ambient air is numbered behind the nodes."""
    ends = {
        "end windings": (WINDING, surfaces.end_windings),
        "inside of the cup": (ROTOR, surfaces.cup_inside),
    }
    links = solid_links(frame, surfaces, setting, (WINDING, CORE, ROTOR))
    if isinstance(variant, EnclosedRotor):
        ambient = HOUSING + 1
        # beside the open end of the cup the wall is bare over about the height of the end winding
        strip = np.pi * (frame.rotor_diameter + 2.0 * variant.gap) * frame.end_winding_length
        ends["wall of the housing"] = (HOUSING, float(strip))
        flow = np.zeros_like(setting.grid.speed)
        links += cup_in_housing_links(frame, variant, surfaces, setting, (ROTOR, HOUSING))
        links += housing_links(frame, variant, surfaces, setting, (CORE, HOUSING, ambient))
    else:
        ambient = ROTOR + 1
        flow = opening_flow(variant, surfaces, setting)
        links += cup_in_air_links(frame, variant, surfaces, setting, (ROTOR, ambient))
        links.append(flange_link(frame, variant, surfaces, setting, (CORE, ambient)))
    links += end_winding_links(frame, surfaces, setting, ends, flow, ambient)
    if setting.place.carrier is not None:
        links.append(carrier_link(setting.place.carrier, frame.flange_diameter, setting, (CORE, ambient)))
    return links


def _capacities(
    frame: FrameDimensions, variant: OpenRotor | EnclosedRotor, factors: LawFactors
) -> FloatArray:
    bodies = [
        STEEL_HEAT * frame.core_mass + ALUMINIUM_HEAT * frame.flange_mass,
        ROTOR_HEAT * frame.rotor_mass,
    ]
    if isinstance(variant, EnclosedRotor):
        bodies.append(ALUMINIUM_HEAT * variant.mass)
    winding = factors.winding_capacity * INSULATION_SHARE * COPPER_HEAT * frame.copper_mass
    return np.array([winding, *(factors.body_capacity * body for body in bodies)])


def _network(
    nodes: tuple[str, ...], tables: LinkTables, place: HeatPlace, capacity: FloatArray
) -> HeatNetwork:
    usual_temp = place.ambient_temp + USUAL_RISE
    temps = np.append(np.full(len(nodes), usual_temp), place.ambient_temp)[None, :]
    fixed, natural = tables.by_temperature.at(temps[:, tables.end_a], temps[:, tables.end_b])
    enclosed = len(nodes) > HOUSING
    return HeatNetwork(
        nodes=nodes,
        capacity=capacity,
        sinks=("ambient air",),
        sink_temp=np.array([place.ambient_temp]),
        end_a=tables.end_a,
        end_b=tables.end_b,
        fixed=fixed[0],
        natural=natural[0],
        rotating=np.zeros(tables.end_a.size),
        exponent=np.zeros(tables.end_a.size),
        winding=WINDING,
        core=CORE,
        magnets=ROTOR,
        outside=HOUSING if enclosed else CORE,
        # air that the rotor heats leaves an open motor, but gives its heat to the wall around an enclosed one
        air=HOUSING if enclosed else -1,
        forced=tables.forced,
        by_temperature=tables.by_temperature,
        names=tables.names,
    )


def standstill_resistances(network: HeatNetwork, winding_rise: float) -> StandstillResistances:
    r"""Return the thermal resistances that a data sheet would state for a network.

    Parameters
    ----------
    network : HeatNetwork
        The network; its first sink is the ambient air. [-]
    winding_rise : float
        Of the winding over ambient. [K]

    Returns
    -------
    resistances : StandstillResistances
        Winding to housing and housing to ambient, whose sum is the rise per watt. [K/W]

    Raises
    ------
    InputRangeError
        If the rise is not positive.
    AmpturnError
        If the temperatures do not settle.

    Notes
    -----
    Heat into the winding alone, everything at rest, conductances for the temperatures that come out
    (to `SETTLED`). "Housing" is the node that can be touched: the housing of an enclosed motor, the core with
    its flange of an open one.

    References
    ----------
    Definitions of the trade: common practice, no source.

    Examples
    --------
    >>> chain = HeatNetwork(nodes=("winding", "core"), capacity=np.ones(2), sinks=("ambient air",),
    ...     sink_temp=np.array([25.0]), end_a=np.array([0, 1]), end_b=np.array([1, 2]),
    ...     fixed=np.array([0.5, 0.2]), natural=np.zeros(2), rotating=np.zeros(2), exponent=np.zeros(2),
    ...     winding=0, core=1, magnets=1, outside=1)
    >>> [round(r, 6) for r in standstill_resistances(chain, 70.0)]  # 1/0.5 and 1/0.2
    [2.0, 5.0]
    """
    require_positive("rise of the winding", winding_rise, "K")
    winding, ambient = network.winding, float(network.sink_temp[0])
    alone = replace(network, heat=None)
    temps = np.full(len(network.nodes), ambient + 0.5 * winding_rise)
    temps[winding] = ambient + winding_rise
    others = np.arange(temps.size) != winding
    for _ in range(100):
        matrix, inflow = node_matrices(alone, link_conductance_at(alone, np.zeros(1), temps[None, :]))
        G, q = matrix[0], inflow[0]
        rest = np.linalg.solve(G[np.ix_(others, others)], q[others] - G[others, winding] * temps[winding])
        change = float(np.abs(rest - temps[others]).max(initial=0.0))
        temps[others] = rest
        if change < SETTLED:
            break
    else:
        raise AmpturnError(f"temperatures at rest do not settle: they still change by {change:.3g} K")
    heat = float(G[winding] @ temps - q[winding])
    housing = float(temps[network.outside])
    return StandstillResistances((ambient + winding_rise - housing) / heat, (housing - ambient) / heat)
