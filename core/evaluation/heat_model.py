"""The heat network of a candidate, from whatever its parts file gives, with the limits of its nodes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.errors import AmpturnError
from core.evaluation.heat_geometry import GeometryModel, geometry_model
from core.evaluation.heat_place import (
    air_findings,
    carrying_plate,
    flange_diameter,
    heat_place,
    in_surroundings,
    place_pressure,
    plate_findings,
)
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.numeric import FloatArray
from core.physics.data_sheet_mounting import PlacedMounting, convection_factor, placed_mounting
from core.physics.drag import DragLaw, core_drag_torque, drag_torque
from core.physics.heat_figures import HeatFigures, Mounting, RatedPoint
from core.physics.heat_from_data_sheet import enclosed_network, open_network
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.machine_constants import MachineConstants, copper_loss_coefficient
from core.project.application import Site
from core.project.motor import Motor, Variant, VariantKind
from core.project.motor_heat import AMBIENT, ContinuousPoint, DataSheetHeat, GeometryHeat, NetworkHeat
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class HeatModel:
    """Network, copper law and limits of a candidate at the project's ambient.

    `limit` [degC, shape (n,)] holds the limits of winding (mean), magnets and what is fitted, infinite
    elsewhere; `limited_part` names the fitted part that sets the limit of a node, empty elsewhere;
    `winding_time_constant` [s] is that of the winding against its neighbours; `geometry` has what a
    network from dimensions was calibrated with.
    """

    network: HeatNetwork
    law: CopperLaw
    limit: FloatArray
    ambient: float
    winding_time_constant: float
    findings: tuple[Finding, ...]
    geometry: GeometryModel | None = None
    limited_part: tuple[str, ...] = ()

    def node_name(self, node: int) -> str:
        """Return the name of a node; one past the last is the hottest phase at standstill."""
        nodes = self.network.nodes
        return nodes[node] if node < len(nodes) else "hottest phase at standstill"


@dataclass(frozen=True, slots=True)
class NoHeatModel:
    """Why there is no heat network."""

    why: str
    findings: tuple[Finding, ...] = ()


@remembered()
def heat_model(site: Site, motor: MotorModel) -> HeatModel | NoHeatModel:
    """Return the heat network of a candidate, or why there is none."""
    if site.ambient is None:
        return NoHeatModel("the ambient temperature is missing")
    heat = motor.variant.heat
    if heat is None:
        return NoHeatModel(f"{motor.motor.name}, {motor.variant.kind}, has no thermal data")
    if isinstance(heat, DataSheetHeat) and motor.variant.kind == "open rotor" and not heat.continuous_point:
        return NoHeatModel(
            "missing: one continuous torque at a rated speed, from which the cooling of an open rotor by its "
            "own airflow is found"
        )
    geometry: GeometryModel | None = None
    try:
        if isinstance(heat, GeometryHeat):
            geometry = _geometry_model(heat, site, motor.variant, motor.motor, motor.constants, motor.drag)
            network, findings = geometry.network, geometry.findings
        elif isinstance(heat, NetworkHeat):
            network, findings = _explicit_network(heat, site, motor.variant, motor.motor)
        else:
            network, findings = _data_sheet_network(
                heat, site, motor.variant, motor.motor, motor.constants, motor.drag
            )
    except AmpturnError as error:
        text = f"The thermal data contradict each other: {error}."
        return NoHeatModel(str(error), (Finding("heat_data_refused", "serious", text),))
    network = _with_electronics(network, motor)
    limit, limited_part = _limits(network, motor)
    conductance = network.fixed + network.natural
    at_winding = (network.end_a == network.winding) | (network.end_b == network.winding)
    return HeatModel(
        network=network,
        law=_copper_law(motor.constants),
        limit=limit,
        ambient=site.ambient,
        winding_time_constant=float(network.capacity[network.winding] / conductance[at_winding].sum()),
        findings=(*findings, *_of_the_plate(heat, site, motor), *air_findings(site)),
        geometry=geometry,
        limited_part=limited_part,
    )


def _of_the_plate(
    heat: DataSheetHeat | GeometryHeat | NetworkHeat, site: Site, motor: MotorModel
) -> tuple[Finding, ...]:
    if isinstance(heat, NetworkHeat):  # given for one mounting, whatever the project has
        return ()
    return plate_findings(site.mounting, flange_diameter(motor.motor, motor.variant))


def stator_side(network: HeatNetwork, kind: VariantKind) -> int:
    """Return the node at which an encoder or a brake sits: the housing, else the stator core.

    The outside of an open rotor turns, so what is fitted behind it stands at the stator.
    """
    return network.outside if kind == "enclosed" else network.core


@remembered()
def _geometry_model(
    heat: GeometryHeat, site: Site, variant: Variant, frame: Motor, constants: MachineConstants, drag: DragLaw
) -> GeometryModel:
    return geometry_model(heat, site, variant, frame, _rated_points(heat, constants, drag))


# the same object again, so that a calibration is not made anew when the motor is put elsewhere
@remembered(64)
def _rated_points(heat: GeometryHeat, constants: MachineConstants, drag: DragLaw) -> tuple[RatedPoint, ...]:
    return tuple(_rated_point(point, constants, drag) for point in heat.continuous_points)


def _copper_law(constants: MachineConstants) -> CopperLaw:
    c = constants
    return CopperLaw(c.copper_constant, c.resistance_ref_temp, c.magnet_ref_temp, c.magnet_temp_coefficient)


def _with_electronics(network: HeatNetwork, motor: MotorModel) -> HeatNetwork:
    """Return the network with the idle power of built-in electronics, which warms the outside."""
    drive = motor.drive
    if not drive.built_in or drive.idle_power == 0.0:
        return network
    into = np.zeros(len(network.nodes)) if network.heat is None else network.heat.copy()
    into[network.outside] += drive.idle_power
    return replace(network, heat=into)


def _limits(network: HeatNetwork, motor: MotorModel) -> tuple[FloatArray, tuple[str, ...]]:
    limit = np.full(len(network.nodes), np.inf)
    if motor.magnet_limit is not None:
        limit[network.magnets] = motor.magnet_limit
    if motor.mean_winding_limit is not None:
        limit[network.winding] = min(limit[network.winding], motor.mean_winding_limit)
    part = [""] * limit.size
    nodes = {
        "core": network.core,
        "outside": network.outside,
        "stator side": stator_side(network, motor.variant.kind),
    }
    for one in motor.part_limits:
        node = nodes[one.place]
        if one.limit < limit[node]:
            limit[node], part[node] = one.limit, one.part
    return limit, tuple(part)


@remembered()
def _data_sheet_network(
    heat: DataSheetHeat,
    site: Site,
    variant: Variant,
    frame: Motor,
    constants: MachineConstants,
    drag: DragLaw,
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    figures = HeatFigures(
        heat.winding_housing_resistance,
        heat.housing_ambient_resistance,
        heat.winding_time_constant,
        heat.motor_time_constant,
    )
    placed = _placed(heat, figures, site, flange_diameter(frame, variant))
    point, share = heat.continuous_point, placed.fixed_share
    rated = None if point is None else _rated_point(point, constants, drag)
    if variant.kind == "enclosed":
        built = enclosed_network(figures, placed.mounting, None, rated, share)
    else:
        assert rated is not None  # `heat_model` asks for it
        built = open_network(figures, rated, placed.mounting, None, share)
    network = built.network
    to_air = (network.end_a == network.core) & (network.end_b >= len(network.nodes))
    staying = np.where(to_air, placed.carrier_conductance, 0.0)
    around, findings = in_surroundings(network, site, variant, frame, staying)
    return around, (*built.findings, *placed.findings, *findings)


def _placed(heat: DataSheetHeat, figures: HeatFigures, site: Site, flange: float | None) -> PlacedMounting:
    """Return the mounting of the project for a data-sheet motor."""
    place, mounting = heat_place(site, heat.stated_plate), site.mounting
    if mounting.housing_ambient_resistance is not None:
        thin = convection_factor(place.pressure)
        given = Mounting(place.ambient_temp, mounting.housing_ambient_resistance, convection_factor=thin)
        return PlacedMounting(given, None, 0.0, ())
    stated = None if heat.stated_plate is None else carrying_plate(heat.stated_plate)
    return placed_mounting(figures, place, stated, flange, as_stated=mounting.as_stated)


def _rated_point(point: ContinuousPoint, constants: MachineConstants, drag: DragLaw) -> RatedPoint:
    return RatedPoint(
        shaft_torque=point.shaft_torque,
        speed=point.speed,
        ambient_temp=point.ambient,
        winding_limit=point.winding_temp,
        drag_torque=float(drag_torque(drag, point.speed)),
        core_drag_torque=float(core_drag_torque(drag, point.speed)),
        copper_per_torque_squared=copper_loss_coefficient(constants, point.commutation),
        copper_law=_copper_law(constants),
    )


def _explicit_network(
    heat: NetworkHeat, site: Site, variant: Variant, frame: Motor
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    names = [node.name for node in heat.nodes]
    number = {name: index for index, name in enumerate(names)} | {AMBIENT: len(names)}
    links, thin = heat.links, convection_factor(place_pressure(site))
    network = HeatNetwork(
        nodes=tuple(names),
        capacity=np.array([node.capacity for node in heat.nodes]),
        sinks=(AMBIENT,),
        sink_temp=np.array([site.ambient], dtype=float),
        end_a=np.array([number[link.between[0]] for link in links], dtype=np.int64),
        end_b=np.array([number[link.between[1]] for link in links], dtype=np.int64),
        fixed=np.array([link.fixed for link in links]),
        natural=thin * np.array([link.natural for link in links]),
        rotating=thin * np.array([link.rotating for link in links]),
        exponent=np.array([link.exponent for link in links]),
        winding=number[heat.winding],
        core=number[heat.core],
        magnets=number[heat.magnets],
        outside=number[heat.outside],
        air=-1 if heat.windage_into == AMBIENT else number[heat.windage_into],
    )
    network, findings = in_surroundings(network, site, variant, frame)
    if site.mounting.as_stated:
        return network, findings
    text = (
        "The mounting of the project is not applied: this motor's heat network is given node by node, "
        f"for {heat.stated_mounting}."
    )
    return network, (*findings, Finding("mounting_not_applied", "warning", text))
