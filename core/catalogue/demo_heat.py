r"""Heat and drag of the invented frames, as a test bench would find them.

The laws are those of `core.physics.heat_from_geometry` and `core.physics.windage`, with the dimensions that
the parts file states. A real motor is not quite what laws of heat transfer say, so each variant has factors
of its own on them, invented within the widths that the laws are known to: what is "measured" here is what a
calibration has to find again. Measured in still air of 25 degC at sea level, on the stated plate.
"""

from __future__ import annotations

import functools
import math

import numpy as np

from core.catalogue.demo_frames import (
    BELL_SHARE,
    FACE_CLEARANCE,
    HOUSING_GAP,
    OPENING_RADIUS,
    PLATE_THICKNESS,
    Frame,
    back_emf_per_turn,
    bearing_drag_torque,
    copper_mass,
    core_drag_torque,
    core_mass,
    flange_mass,
    housing_mass,
    phase_resistance_per_square_turn,
    printed,
    rotor_mass_and_inertia,
    slot_wall_area,
)
from core.evaluation.heat_geometry import (
    MEASURING_AMBIENT,
    MEASURING_RISE,
    frame_dimensions,
    variant_dimensions,
)
from core.evaluation.heat_place import carrying_plate
from core.numeric import FloatArray
from core.physics.air import air_at
from core.physics.continuous_torque import continuous_torque as lasting_torque
from core.physics.heat_figures import HeatFigures
from core.physics.heat_from_geometry import geometry_network, standstill_resistances
from core.physics.heat_network import HeatNetwork
from core.physics.heat_pieces import CopperLaw
from core.physics.materials import mean_winding_temp_limit, thermal_class_limit
from core.physics.motor_dimensions import HeatPlace, LawFactors
from core.physics.operating_heat import OperatingHeat, operating_heat
from core.physics.settled_rows import settled_rows
from core.physics.ventilation import BellOpenings as VentingOpenings
from core.physics.windage import (
    EnclosedRotor,
    FreeRotor,
    MagneticGap,
    enclosed_rotor_windage,
    free_rotor_windage,
)
from core.project.motor import (
    BellOpenings,
    FrameGeometry,
    GeometryHeat,
    HousingGeometry,
    Variant,
    VariantKind,
)
from core.project.mounting import Plate

HOT_SPOT = 10.0  # hottest place of the winding over its mean [K]
AIR_TEMP = 40.0  # of the air that the rotor stirs, for its drag [degC]
FLUX_COEFFICIENT = -0.0011  # of the magnets [1/K]
LARGEST_SPEED = 1.9  # mechanical limit over rated speed

# Invented: lining, end winding, surfaces, what turns, capacity of the winding, of everything else.
TRUTH: dict[str, dict[VariantKind, LawFactors]] = {
    "23 mm frame": {
        "open rotor": LawFactors(0.92, 0.88, 0.96, 0.93, 1.05, 0.97),
        "enclosed": LawFactors(0.89, 1.06, 1.04, 1.02, 1.03, 1.02),
    },
    "31 mm frame": {
        "open rotor": LawFactors(1.14, 0.76, 1.03, 0.88, 0.96, 1.06),
        "enclosed": LawFactors(1.10, 0.84, 1.00, 0.95, 0.98, 1.04),
    },
    "38 mm frame": {
        "open rotor": LawFactors(0.84, 1.18, 0.94, 0.95, 1.00, 0.94),
        "enclosed": LawFactors(0.87, 1.09, 0.97, 1.04, 1.02, 0.98),
    },
    "47 mm frame": {
        "open rotor": LawFactors(1.22, 0.82, 1.06, 0.87, 0.94, 1.08),
        "enclosed": LawFactors(1.17, 0.91, 1.10, 1.07, 0.97, 1.05),
    },
    "58 mm frame": {
        "open rotor": LawFactors(0.78, 1.34, 0.97, 0.91, 1.07, 1.01),
        "enclosed": LawFactors(0.81, 1.26, 1.02, 0.89, 1.04, 0.96),
    },
    "73 mm frame": {
        "open rotor": LawFactors(1.07, 0.94, 0.92, 0.98, 1.02, 1.09),
        "enclosed": LawFactors(1.04, 0.86, 0.95, 1.11, 0.99, 1.07),
    },
}


def frame_geometry(frame: Frame) -> FrameGeometry:
    """Return the inner dimensions of a frame as its parts file states them."""
    return FrameGeometry(
        stator_diameter=printed(frame.stator_diameter),
        yoke_diameter=printed(frame.yoke_diameter),
        stack_length=printed(frame.stack),
        gap=printed(frame.gap),
        end_winding_length=printed(frame.end_winding),
        slot_wall_area=printed(slot_wall_area(frame)),
        rotor_diameter=printed(frame.outer_diameter),
        rotor_length=printed(frame.cup_length),
        flange_diameter=printed(frame.flange_diameter),
        copper_mass=printed(copper_mass(frame)),
        core_mass=printed(core_mass(frame)),
        flange_mass=printed(flange_mass(frame)),
        # of the cup with openings; the closed one is heavier by a few per cent
        rotor_mass=printed(rotor_mass_and_inertia(frame, BELL_SHARE)[0]),
    )


def dimensioned(frame: Frame, enclosed: bool) -> GeometryHeat:
    """Return the dimensions of a variant and its stated plate, without any figure of heat."""
    side = 1e3 * frame.plate_side
    openings = BellOpenings(
        share=printed(1.0 - BELL_SHARE), mean_radius=printed(OPENING_RADIUS * frame.outer_diameter)
    )
    housing = HousingGeometry(
        diameter=printed(frame.housing_diameter),
        length=printed(frame.housing_length),
        gap=HOUSING_GAP,
        face_clearance=FACE_CLEARANCE,
        mass=printed(housing_mass(frame)),
    )
    return GeometryHeat(
        openings=None if enclosed else openings,
        housing=housing if enclosed else None,
        stated_mounting=f"aluminium plate {side:.0f} mm x {side:.0f} mm x 2 mm, vertical, in still air",
        stated_plate=Plate(side=printed(frame.plate_side), thickness=PLATE_THICKNESS),
    )


@functools.cache
def bench_network(frame: Frame, enclosed: bool) -> HeatNetwork:
    """Return the heat network of a variant on the bench."""
    heat, kind = dimensioned(frame, enclosed), _kind(enclosed)
    _, inertia = rotor_mass_and_inertia(frame, 1.0 if enclosed else BELL_SHARE)
    assert heat.stated_plate is not None
    place = HeatPlace(MEASURING_AMBIENT, carrier=carrying_plate(heat.stated_plate))
    return geometry_network(
        frame_dimensions(frame_geometry(frame)),
        variant_dimensions(heat, Variant(kind=kind, rotor_inertia=inertia, heat=heat)),
        place,
        TRUTH[frame.name][kind],
        highest_speed=LARGEST_SPEED * frame.rated_speed,
    ).network


def heat_figures(frame: Frame, enclosed: bool) -> HeatFigures:
    """Return what is measured of a variant at standstill: resistances and time constants."""
    network = bench_network(frame, enclosed)
    inner, outer = standstill_resistances(network, MEASURING_RISE)
    winding = float(network.capacity[network.winding])
    return HeatFigures(inner, outer, inner * winding, outer * float(network.capacity.sum()))


def drag_torque(frame: Frame, speed: float, enclosed: bool) -> float:
    """Return the torque that turns the rotor without load. [N m]"""
    return _solid_drag(frame, speed) + _air_drag(frame, speed, enclosed)


def continuous_torque(frame: Frame, speed: float, enclosed: bool) -> float:
    """Return the continuous shaft torque of a variant at a speed in six-step commutation. [N m]"""
    return continuous_state(frame, speed, enclosed)[0]


@functools.cache
def continuous_state(frame: Frame, speed: float, enclosed: bool) -> tuple[float, float]:
    """Return the continuous shaft torque [N m] and the mean winding temperature there [degC].

    The winding is at its mean limit, or the magnets at theirs before.
    """
    network = bench_network(frame, enclosed)
    limit = np.full(len(network.nodes), math.inf)
    limit[network.magnets] = frame.magnet_limit
    limit[network.winding] = mean_winding_limit(frame)
    solid, air = (_solid_drag(frame, speed), _air_drag(frame, speed, enclosed)) if speed else (0.0, 0.0)
    heat = np.zeros((1, len(network.nodes)))
    heat[0, network.core] = solid * speed
    if network.air >= 0:
        heat[0, network.air] += air * speed
    per_ampere = 3.0 / math.pi * back_emf_per_turn(frame)
    coefficient = 2.0 * phase_resistance_per_square_turn(frame) / per_ampere**2

    def rows(temps: FloatArray | None) -> OperatingHeat:
        return operating_heat(
            network,
            np.array([speed]),
            limit=limit,
            copper_per_torque_squared=coefficient,
            drag_torque=solid + air,
            fixed_heat=heat,
            copper_law=CopperLaw(magnet_temp_coefficient=FLUX_COEFFICIENT),
            temps=temps,
        )

    found = lasting_torque(settled_rows(network, rows))
    return float(found.motoring[0]), float(found.node_temp[0, network.winding])


def mean_winding_limit(frame: Frame) -> float:
    """Return the mean winding temperature at which the hottest place is at the class limit. [degC]"""
    return float(mean_winding_temp_limit(thermal_class_limit(frame.thermal_class), HOT_SPOT))


def _solid_drag(frame: Frame, speed: float) -> float:
    return core_drag_torque(frame, speed) + bearing_drag_torque(frame, speed)


def _air_drag(frame: Frame, speed: float, enclosed: bool) -> float:
    """Return the drag of the air: face, rim, gap, and what the openings throw out. [N m]"""
    air = air_at(AIR_TEMP)
    properties = (float(air.density), float(air.viscosity))
    radius, length = 0.5 * frame.outer_diameter, frame.cup_length
    gap = MagneticGap(0.5 * frame.stator_diameter, frame.gap, frame.stack)
    if enclosed:
        inside = EnclosedRotor(radius, length, gap, HOUSING_GAP, (FACE_CLEARANCE,))
        return float(enclosed_rotor_windage(inside, speed, *properties).total) / speed
    area = (1.0 - BELL_SHARE) * math.pi * radius**2
    vents = VentingOpenings(area, OPENING_RADIUS * frame.outer_diameter)
    bell = FreeRotor(radius, length, gap, openings=vents)
    return float(free_rotor_windage(bell, speed, *properties).total) / speed


def _kind(enclosed: bool) -> VariantKind:
    return "enclosed" if enclosed else "open rotor"
