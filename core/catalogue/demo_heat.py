r"""Heat figures of the invented frames: resistances from surfaces, capacities from masses.

Two nodes as a data sheet sees them: winding, and everything the copper is wound on. Air takes heat
from surfaces at rest by natural convection and radiation together; the open rotor adds what its own
rotation drives. Sources beside each law; what is a choice of this recipe is marked "assumed".
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from core.catalogue.demo_frames import (
    ALUMINIUM_DENSITY,
    BELL_SHARE,
    Frame,
    air_drag_torque,
    back_emf_per_turn,
    bearing_drag_torque,
    copper_mass,
    core_drag_torque,
    core_mass,
    flange_mass,
    phase_resistance_per_square_turn,
    rotor_mass_and_inertia,
)

RESTING_AIR = 11.0  # natural convection and radiation at this size together [W/(m2 K)], common practice
NATURAL_ALONE = 6.5  # natural convection on faces that see only each other [W/(m2 K)], assumed
SLOT_LINING = 250.0  # winding to steel through lining and impregnation [W/(m2 K)], assumed
AIR_CONDUCTIVITY, AIR_VISCOSITY = 0.0276, 1.75e-5  # about 50 degC [W/(m K)], [m2/s]
COPPER_HEAT, STEEL_HEAT, ALUMINIUM_HEAT = 385.0, 460.0, 900.0  # [J/(kg K)]
PLATE_SIDE, PLATE_THICKNESS = 1.5, 2e-3  # side over motor diameter, [m]
HOUSING_WALL, HOUSING_GAP = 1.2e-3, 1.0e-3  # [m]
HOUSING_FIN_SHARE = 0.7  # how warm the thin bell of the housing is compared with the flange, assumed
AMBIENT = 25.0  # [degC]
HOT_SPOT = 10.0  # hottest place of the winding over its mean [K]
CLASS_LIMIT = {"B": 130.0, "F": 155.0}  # thermal classes 130 and 155, IEC 60085 [degC]


@dataclass(frozen=True, slots=True)
class HeatFigures:
    """What the data sheet of one variant states about heat. [K/W, s]"""

    winding_housing: float
    housing_ambient: float
    winding_time_constant: float
    motor_time_constant: float


def housing_diameter(frame: Frame) -> float:
    """Return the outer diameter of the enclosed variant. [m]"""
    return frame.outer_diameter + 2.0 * (HOUSING_GAP + HOUSING_WALL)


def housing_length(frame: Frame) -> float:
    """Return the length of the enclosed variant's body. [m]"""
    return frame.cup_length + frame.cup_wall + 2.5e-3 + HOUSING_GAP + HOUSING_WALL


def winding_housing_resistance(frame: Frame) -> float:
    """Return the thermal resistance from winding to stator: slot walls behind their lining. [K/W]"""
    perimeter = 4.2 * math.sqrt(frame.slot_area)  # of a slot somewhat deeper than wide
    return 1.0 / (SLOT_LINING * frame.slots * perimeter * frame.stack)


def plate_side(frame: Frame) -> float:
    """Return the side of the stated square aluminium plate, to full 5 mm. [m]"""
    return 5e-3 * float(round(PLATE_SIDE * frame.outer_diameter / 5e-3))


def open_housing_conductance(frame: Frame, speed: float) -> float:
    r"""Return the conductance from the stator of the open variant to the air at a speed. [W/K]

    The plate on its own; through the magnetic gap (conduction :math:`k/g`) to the cup, whose face and
    rim meet the air; and the end windings' faces, washed through the openings of the bell. Turning
    surfaces: laminar disc :math:`h = 0.326\,k\sqrt{\omega/\nu}` (von Karman), blended with the resting
    value by the cubes (Churchill), from memory.
    """
    disc = 0.326 * AIR_CONDUCTIVITY * math.sqrt(abs(speed) / AIR_VISCOSITY)
    outside = math.cbrt(RESTING_AIR**3 + disc**3)
    inside = math.cbrt(NATURAL_ALONE**3 + disc**3)
    diameter = frame.outer_diameter
    cup = outside * (0.25 * math.pi * diameter**2 + math.pi * diameter * frame.cup_length)
    gap = AIR_CONDUCTIVITY / frame.gap * math.pi * frame.gap_diameter * frame.stack
    ring = 0.25 * math.pi * (frame.stator_diameter**2 - frame.yoke_diameter**2)
    washed = (1.0 - BELL_SHARE) * 2.0 * 1.5 * ring  # both ends, coils raise the face by half, assumed
    return _plate_conductance(frame) + cup * gap / (cup + gap) + inside * washed


def enclosed_housing_conductance(frame: Frame) -> float:
    """Return the conductance from stator and housing of the enclosed variant to the air. [W/K]"""
    diameter = housing_diameter(frame)
    shell = 0.25 * math.pi * diameter**2 + math.pi * diameter * housing_length(frame)
    return _plate_conductance(frame) + RESTING_AIR * HOUSING_FIN_SHARE * shell


def _plate_conductance(frame: Frame) -> float:
    both_sides = 2.0 * plate_side(frame) ** 2 - 0.25 * math.pi * frame.outer_diameter**2
    return float(RESTING_AIR * both_sides)


def housing_mass(frame: Frame) -> float:
    """Return the mass of the aluminium bell of the enclosed variant. [kg]"""
    diameter = housing_diameter(frame)
    shell = 0.25 * math.pi * diameter**2 + math.pi * diameter * housing_length(frame)
    return ALUMINIUM_DENSITY * HOUSING_WALL * shell


def variant_mass(frame: Frame, enclosed: bool) -> float:
    """Return the mass of a variant without fittings, bearings and board counted as 8 % more. [kg]"""
    rotor, _ = rotor_mass_and_inertia(frame, 1.0 if enclosed else BELL_SHARE)
    parts = copper_mass(frame) + core_mass(frame) + flange_mass(frame) + rotor
    return 1.08 * (parts + (housing_mass(frame) if enclosed else 0.0))


def heat_figures(frame: Frame, enclosed: bool) -> HeatFigures:
    """Return the heat figures of a variant at standstill; the insulation adds a fifth to the copper."""
    resistance = winding_housing_resistance(frame)
    conductance = enclosed_housing_conductance(frame) if enclosed else open_housing_conductance(frame, 0.0)
    winding = 1.2 * COPPER_HEAT * copper_mass(frame)
    plate = ALUMINIUM_DENSITY * plate_side(frame) ** 2 * PLATE_THICKNESS
    aluminium = flange_mass(frame) + plate + (housing_mass(frame) if enclosed else 0.0)
    housing = STEEL_HEAT * core_mass(frame) + ALUMINIUM_HEAT * aluminium
    return HeatFigures(resistance, 1.0 / conductance, resistance * winding, (winding + housing) / conductance)


def drag_torque(frame: Frame, speed: float, enclosed: bool) -> float:
    """Return the torque that turns the rotor without load. [N m]"""
    solid = core_drag_torque(frame, speed) + bearing_drag_torque(frame, speed)
    return solid + air_drag_torque(frame, speed, 2.0 if enclosed else 3.0)


def continuous_torque(frame: Frame, speed: float, enclosed: bool) -> float:
    """Return the continuous shaft torque of a variant at a speed in six-step commutation. [N m]"""
    return continuous_state(frame, speed, enclosed)[0]


def continuous_state(frame: Frame, speed: float, enclosed: bool) -> tuple[float, float]:
    r"""Return the continuous shaft torque [N m] and the mean winding temperature there [degC].

    :math:`\vartheta_W - \vartheta_A = P R_{wh} + (P + P_d)/G`, :math:`P` copper loss, :math:`P_d` drag
    loss of steel and bearings (the air carries its own away in the open, not in the housing), up to the
    mean limit of the winding or to that of the magnets, which are as warm as the stator.
    :math:`T = k_t(\vartheta_S)\sqrt{P/R(\vartheta_W)} - T_d`, copper by IEC 60034-1 (235 degC).
    """
    conductance = enclosed_housing_conductance(frame) if enclosed else open_housing_conductance(frame, speed)
    lost = core_drag_torque(frame, speed) + bearing_drag_torque(frame, speed)
    lost += air_drag_torque(frame, speed, 2.0) if enclosed else 0.0
    resistance = winding_housing_resistance(frame)
    rise = mean_winding_limit(frame) - AMBIENT - lost * speed / conductance
    by_magnets = (frame.magnet_limit - AMBIENT) * conductance - lost * speed
    copper = min(rise / (resistance + 1.0 / conductance), by_magnets)
    stator = AMBIENT + (copper + lost * speed) / conductance
    winding = stator + copper * resistance
    constant = 3.0 / math.pi * back_emf_per_turn(frame) * (1.0 - 0.0011 * (stator - 25.0))
    hot = 2.0 * phase_resistance_per_square_turn(frame) * (235.0 + winding) / (235.0 + 25.0)
    drag = drag_torque(frame, speed, enclosed) if speed else 0.0
    return constant * math.sqrt(copper / hot) - drag, winding


def mean_winding_limit(frame: Frame) -> float:
    """Return the mean winding temperature at which the hottest place is at the class limit. [degC]"""
    return CLASS_LIMIT[frame.thermal_class] - HOT_SPOT
