"""Thermal data of a variant: figures of a data sheet, dimensions, or a heat network node by node."""

import msgspec
import numpy as np

from core.errors import ProjectFileError
from core.physics.conventions import Commutation
from core.physics.heat_network import unreached_nodes
from core.project.motor_geometry import BellOpenings, HousingGeometry
from core.project.mounting import Emissivity, Plate
from core.project.saved import Name, NotNegative, Positive, Saved, Temperature

AMBIENT = "ambient"


class ContinuousPoint(Saved, frozen=True, kw_only=True):
    """One continuous torque at a rated speed, with the conditions for which it was given.

    `winding_temp` is the mean temperature of the winding that the rating allows.
    """

    speed: Positive = msgspec.field(name="speed_rad_s")
    shaft_torque: Positive = msgspec.field(name="shaft_torque_Nm")
    ambient: Temperature = msgspec.field(name="ambient_degC", default=25.0)
    winding_temp: Temperature = msgspec.field(name="winding_temp_degC")
    commutation: Commutation = "sinusoidal"


class DataSheetHeat(Saved, frozen=True, kw_only=True, tag_field="given_as", tag="data sheet"):
    """Heat figures as data sheets give them.

    Parameters
    ----------
    winding_housing_resistance, housing_ambient_resistance : float
        Thermal resistances, the second at standstill on `stated_mounting`. [K/W]
    winding_time_constant, motor_time_constant : float
        `R_wh C_w` and `R_ha (C_w + C_h)`. [s]
    continuous_point : ContinuousPoint, optional
        Needed for an open rotor: from it the cooling by the own airflow is found. The torque is the
        shaft torque of any winding of the frame (rewinding gains no heat).
    stated_plate : Plate, optional
        The plate of `stated_mounting`; without it no other plate can take its place.
    """

    winding_housing_resistance: Positive = msgspec.field(name="winding_housing_resistance_K_W")
    housing_ambient_resistance: Positive = msgspec.field(name="housing_ambient_resistance_K_W")
    winding_time_constant: Positive = msgspec.field(name="winding_time_constant_s")
    motor_time_constant: Positive = msgspec.field(name="motor_time_constant_s")
    stated_mounting: Name
    stated_plate: Plate | None = None
    continuous_point: ContinuousPoint | None = None


class GeometryHeat(Saved, frozen=True, kw_only=True, tag_field="given_as", tag="geometry"):
    """Heat from dimensions (`Motor.geometry`), calibrated by whichever figures of the data sheet exist.

    Parameters
    ----------
    openings : BellOpenings, optional
        Of an open rotor.
    housing : HousingGeometry, optional
        Of an enclosed variant, which needs it.
    rotor_emissivity, flange_emissivity : float
        Of the surfaces that meet the air.
    stated_plate : Plate, optional
        Plate of the data sheet; without it the figures hold for a motor hung in free air.
    winding_housing_resistance, housing_ambient_resistance : float, optional
        Measured or stated thermal resistances, at standstill on `stated_plate`. [K/W]
    winding_time_constant, motor_time_constant : float, optional
        `R_wh C_w` and `R_ha (C_w + C_h)`. [s]
    continuous_points : tuple of ContinuousPoint
        Continuous torques at speeds, on `stated_plate`.
    """

    openings: BellOpenings | None = None
    housing: HousingGeometry | None = None
    rotor_emissivity: Emissivity = 0.85
    flange_emissivity: Emissivity = 0.85
    stated_mounting: Name = "free air"
    stated_plate: Plate | None = None
    winding_housing_resistance: Positive | None = msgspec.field(
        name="winding_housing_resistance_K_W", default=None
    )
    housing_ambient_resistance: Positive | None = msgspec.field(
        name="housing_ambient_resistance_K_W", default=None
    )
    winding_time_constant: Positive | None = msgspec.field(name="winding_time_constant_s", default=None)
    motor_time_constant: Positive | None = msgspec.field(name="motor_time_constant_s", default=None)
    continuous_points: tuple[ContinuousPoint, ...] = ()


class HeatNode(Saved, frozen=True, kw_only=True):
    """A node of a heat network."""

    name: Name
    capacity: Positive = msgspec.field(name="capacity_J_K")


class HeatLink(Saved, frozen=True, kw_only=True):
    """A link between two nodes, or a node and "ambient": fixed + natural blended with rotor-driven."""

    between: tuple[Name, Name]
    fixed: NotNegative = msgspec.field(name="fixed_W_K", default=0.0)
    natural: NotNegative = msgspec.field(name="natural_W_K", default=0.0)
    rotating: NotNegative = msgspec.field(name="rotating_W_K_at_1_rad_s", default=0.0)
    exponent: NotNegative = 0.6


class NetworkHeat(Saved, frozen=True, kw_only=True, tag_field="given_as", tag="network"):
    """A heat network given node by node, for one mounting; the sink is called "ambient"."""

    nodes: tuple[HeatNode, ...]
    links: tuple[HeatLink, ...]
    winding: Name
    core: Name
    magnets: Name
    outside: Name
    windage_into: Name = AMBIENT
    stated_mounting: Name

    def __post_init__(self) -> None:
        super().__post_init__()
        names = [node.name for node in self.nodes]
        known = (*names, AMBIENT)
        if len(set(known)) < len(known):
            double = next(name for name in known if known.count(name) > 1)
            raise ProjectFileError(
                "nodes", f'each needs a name of its own, other than "{AMBIENT}"', double, True
            )
        for index, link in enumerate(self.links):
            for end in link.between:
                _require_node(f"links[{index}].between", end, known)
        for role in ("winding", "core", "magnets", "outside"):
            _require_node(role, getattr(self, role), tuple(names))
        _require_node("windage_into", self.windage_into, known)
        self._require_paths(names)

    def _require_paths(self, names: list[str]) -> None:
        number = {name: index for index, name in enumerate((*names, AMBIENT))}
        ends = np.array([[number[end] for end in link.between] for link in self.links], dtype=np.int64)
        conductance = np.array([link.fixed + link.natural for link in self.links])
        end_a, end_b = ends.reshape(-1, 2).T
        lost = unreached_nodes(len(names), end_a, end_b, conductance)
        if lost:
            rule = f'every node needs a heat path to "{AMBIENT}" at standstill; there is none from'
            raise ProjectFileError("links", rule, names[lost[0]], True)


def _require_node(place: str, name: str, known: tuple[str, ...]) -> None:
    if name not in known:
        raise ProjectFileError(place, f"must be one of {', '.join(known)}", name, True)
