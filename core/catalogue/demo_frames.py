r"""Six invented frames: their main dimensions, and the equations from geometry to machine constants.

An outer-rotor machine: a stator with one coil a tooth (two coil sides a slot) inside a cup whose rim
carries the magnets. The equations are the textbook ones of a surface-magnet machine, so that every
winding of a frame follows from its turns alone:

- constants :math:`k_e \sim N`, resistance and inductance :math:`\sim N^2` at equal copper fill;
- masses and inertia from volumes, drag from iron mass and bearing grease; `demo_heat` adds the air.

Sources: first principles and, from memory, J. Pyrhonen, T. Jokinen, V. Hrabovcova, Design of Rotating
Electrical Machines (air gap, slots, winding factors). What is a choice of this recipe and not a law is
marked "assumed".
"""

from __future__ import annotations

import math
from typing import Literal

from core.physics.winding import winding_factor
from core.records import dataclass

VACUUM_PERMEABILITY = 4e-7 * math.pi  # [H/m]
COPPER_RESISTIVITY = 1.757e-8  # at 25 degC, from 1.724e-8 at 20 degC (IACS) [ohm m]
COPPER_DENSITY, STEEL_DENSITY, ALUMINIUM_DENSITY, MAGNET_DENSITY = 8930.0, 7800.0, 2700.0, 6100.0

COPPER_FILL = 0.36  # bare copper of the slot, needle winding, assumed
SLOT_SHARE = 0.42  # slots of the ring between tooth tips and yoke, the rest is teeth, assumed
FLUX_SHARE = 0.88  # of the gap flux that links a short stack, assumed
POLE_ARC = 0.85  # of the pole pitch, ring magnet with blurred borders, assumed
CORE_FLUX_DENSITY = 1.4  # in the teeth, amplitude [T], assumed
BELL_SHARE = 0.6  # of the rotor's face that is left beside its openings, assumed
OPENING_RADIUS = 0.35  # of the middle of the openings over the diameter of the cup, assumed
FLANGE_SHARE = 0.8  # diameter of the flange over that of the cup, which turns around it, assumed
FLANGE_THICKNESS = 2.5e-3  # with the bearing tube [m]
SLOT_PERIMETER = 4.2  # over the root of its area, of a slot somewhat deeper than wide
HOUSING_WALL, HOUSING_GAP, FACE_CLEARANCE = 1.2e-3, 1.0e-3, 1.0e-3  # [m]
PLATE_SIDE, PLATE_THICKNESS = 1.5, 2e-3  # stated plate: side over motor diameter, [m]


@dataclass(frozen=True, slots=True)
class Frame:
    """Main dimensions of a frame in SI units, and what its data sheet is to look like."""

    outer_diameter: float  # of the turning cup [m]
    slots: int
    pole_pairs: int
    stack: float  # axial length of the stator steel [m]
    cup_wall: float
    magnet: float  # radial thickness of the magnets [m]
    gap: float  # magnetic air gap [m]
    remanence: float  # at 25 degC [T]
    shaft: float  # diameter [m]
    rated_speed: float  # [rad/s]
    voltages: tuple[int, ...]  # the windings, each named by the voltage of its rated speed [V]
    delta_voltage: int | None  # the one winding that is joined in delta [V]
    thermal_class: Literal["B", "F"]
    magnet_limit: float  # [degC]
    no_load_points: int

    @property
    def name(self) -> str:
        """The frame in plain words: its diameter in millimetres."""
        return f"{1000.0 * self.outer_diameter:.0f} mm frame"

    @property
    def gap_diameter(self) -> float:
        """Diameter of the middle of the gap. [m]"""
        return self.outer_diameter - 2.0 * (self.cup_wall + self.magnet) - self.gap

    @property
    def stator_diameter(self) -> float:
        """Over the tooth tips. [m]"""
        return self.gap_diameter - self.gap

    @property
    def yoke_diameter(self) -> float:
        """Where the slots end, at half the stator diameter. [m]"""
        return 0.5 * self.stator_diameter

    @property
    def cup_length(self) -> float:
        """Axial length of the rim: the stack with its end windings. [m]"""
        return self.stack + 2.0 * self.end_winding

    @property
    def end_winding(self) -> float:
        """Height of the end winding on each side, a third of the tooth pitch, assumed. [m]"""
        return math.pi * self.stator_diameter / self.slots / 3.0

    @property
    def flange_diameter(self) -> float:
        """Of the face that is mounted. [m]"""
        return FLANGE_SHARE * self.outer_diameter

    @property
    def housing_diameter(self) -> float:
        """Outer diameter of the enclosed variant. [m]"""
        return self.outer_diameter + 2.0 * (HOUSING_GAP + HOUSING_WALL)

    @property
    def open_length(self) -> float:
        """Length of the open variant: flange, rim, face. [m]"""
        return FLANGE_THICKNESS + self.cup_length + self.cup_wall

    @property
    def housing_length(self) -> float:
        """Length of the enclosed variant. [m]"""
        return self.open_length + FACE_CLEARANCE + HOUSING_WALL

    @property
    def plate_side(self) -> float:
        """Side of the square plate on which the data sheet has it, to full 5 mm. [m]"""
        return 5e-3 * float(round(PLATE_SIDE * self.outer_diameter / 5e-3))

    @property
    def slot_area(self) -> float:
        """Area of one slot. [m2]"""
        ring = 0.25 * math.pi * (self.stator_diameter**2 - self.yoke_diameter**2)
        return SLOT_SHARE * ring / self.slots

    @property
    def mean_turn(self) -> float:
        """Mean length of a turn around one tooth. [m]"""
        pitch = math.pi * 0.5 * (self.stator_diameter + self.yoke_diameter) / self.slots
        return 2.0 * (self.stack + 1.3 * pitch)


def _mm(*lengths: float) -> tuple[float, ...]:
    return tuple(length / 1000.0 for length in lengths)


def _frame(
    lengths: tuple[float, float, float, float, float, float],
    slots: int,
    pole_pairs: int,
    remanence: float,
    rated_rpm: float,
    voltages: tuple[int, ...],
    delta_voltage: int | None,
    limits: tuple[Literal["B", "F"], float],
    no_load_points: int,
) -> Frame:
    outer, stack, wall, magnet, gap, shaft = _mm(*lengths)
    return Frame(
        outer, slots, pole_pairs, stack, wall, magnet, gap, remanence, shaft, rated_rpm * math.pi / 30.0,
        voltages, delta_voltage, limits[0], limits[1], no_load_points,
    )  # fmt: skip


# Millimetres: outer diameter, stack, cup wall, magnet, gap, shaft. Every number here is invented.
FRAMES = (
    _frame((23, 3.6, 0.8, 1.0, 0.20, 2.0), 9, 4, 0.68, 9500, (6, 9, 12, 18, 24), None, ("B", 110.0), 1),
    _frame((31, 4.8, 1.0, 1.2, 0.25, 3.0), 9, 5, 0.68, 7400, (9, 12, 18, 24, 36), 12, ("B", 115.0), 3),
    _frame((38, 6.2, 1.2, 1.6, 0.25, 4.0), 12, 5, 0.70, 6200, (12, 18, 24, 36, 48), None, ("B", 120.0), 1),
    _frame((47, 8.0, 1.5, 1.9, 0.30, 5.0), 12, 8, 0.72, 5200, (12, 18, 24, 36, 48), 24, ("F", 120.0), 3),
    _frame((58, 10.0, 1.7, 2.2, 0.35, 6.0), 18, 8, 0.72, 4300, (12, 18, 24, 36, 48), None, ("F", 125.0), 3),
    _frame((73, 12.5, 2.0, 2.6, 0.40, 8.0), 24, 10, 0.74, 3300, (18, 24, 36, 48), None, ("F", 130.0), 1),
)


def back_emf_per_turn(frame: Frame) -> float:
    r"""Return the peak line-to-line back-EMF of a star, per turn of each coil. [V s/rad]

    Gap field of a thin magnet :math:`B = B_r t/(t + 1.05 g)`, its fundamental
    :math:`4/\pi\,B \sin(a\pi/2)`, flux of a full pole :math:`B_1 D l/p`, and all
    :math:`Q/3` coils of a phase in series: :math:`k_e = \sqrt3\,k_w (Q/3) B_1 D l` for one turn.
    """
    field = frame.remanence * frame.magnet / (frame.magnet + 1.05 * frame.gap)
    fundamental = FLUX_SHARE * 4.0 / math.pi * field * math.sin(0.5 * math.pi * POLE_ARC)
    coils = frame.slots / 3
    factor = winding_factor(frame.slots, frame.pole_pairs)
    return math.sqrt(3.0) * factor * coils * fundamental * frame.gap_diameter * frame.stack


def phase_resistance_per_square_turn(frame: Frame) -> float:
    """Return the resistance of one phase at 25 degC for one turn a coil; it grows with turns squared. [ohm]

    Each coil side fills half a slot, so one turn has all the copper of half a slot.
    """
    copper_area = 0.5 * COPPER_FILL * frame.slot_area
    return COPPER_RESISTIVITY * frame.mean_turn / copper_area * frame.slots / 3


def phase_inductance_per_square_turn(frame: Frame) -> float:
    """Return the inductance of one phase for one turn a coil: gap and slot leakage of its teeth. [H]

    Tooth coils hardly share flux, so the mutual part is left out. Slot leakage permeance 1.5, assumed.
    """
    tooth_face = math.pi * frame.gap_diameter / frame.slots * frame.stack
    gap = VACUUM_PERMEABILITY * tooth_face / (frame.gap + frame.magnet / 1.05)
    leakage = VACUUM_PERMEABILITY * 2.0 * 1.5 * frame.stack
    return (gap + leakage) * frame.slots / 3


def demagnetising_ampere_turns(frame: Frame, magnet_temp: float) -> float:
    r"""Return the ampere turns of one coil that weaken the magnets at a temperature in degC. [A]

    The intrinsic coercivity (700 kA/m at 25 degC, -0.4 %/K, bonded rare earth, from memory) may be used
    to 80 %; the open gap takes :math:`(B_r - B)/\mu_0` of it, the rest drops over magnet and gap.
    """
    bearable = 0.8 * 700e3 * (1.0 - 0.004 * (magnet_temp - 25.0))
    share = frame.magnet / (frame.magnet + 1.05 * frame.gap)
    working = frame.remanence * (1.0 - share) / (1.05 * VACUUM_PERMEABILITY)
    return (bearable - working) * (frame.magnet + frame.gap)


def copper_mass(frame: Frame) -> float:
    """Return the mass of the copper: fill of all slots times half the mean turn. [kg]"""
    return COPPER_DENSITY * COPPER_FILL * frame.slot_area * frame.slots * 0.5 * frame.mean_turn


def core_mass(frame: Frame) -> float:
    """Return the mass of the stator steel: ring from a quarter to the full diameter less the slots. [kg]"""
    ring = 0.25 * math.pi * frame.stator_diameter**2 * (1.0 - 0.25**2)
    return STEEL_DENSITY * (ring - frame.slots * frame.slot_area) * frame.stack


def slot_wall_area(frame: Frame) -> float:
    """Return the area through which the winding touches the steel: all slot walls. [m2]"""
    return frame.slots * SLOT_PERIMETER * math.sqrt(frame.slot_area) * frame.stack


def flange_mass(frame: Frame) -> float:
    """Return the mass of the aluminium flange with the bearing tube, as a disc. [kg]"""
    return ALUMINIUM_DENSITY * 0.25 * math.pi * frame.flange_diameter**2 * FLANGE_THICKNESS


def housing_mass(frame: Frame) -> float:
    """Return the mass of the aluminium bell of the enclosed variant. [kg]"""
    diameter = frame.housing_diameter
    shell = 0.25 * math.pi * diameter**2 + math.pi * diameter * frame.housing_length
    return ALUMINIUM_DENSITY * HOUSING_WALL * shell


def variant_mass(frame: Frame, enclosed: bool) -> float:
    """Return the mass of a variant without fittings, bearings and board counted as 8 % more. [kg]"""
    rotor, _ = rotor_mass_and_inertia(frame, 1.0 if enclosed else BELL_SHARE)
    parts = copper_mass(frame) + core_mass(frame) + flange_mass(frame) + rotor
    return 1.08 * (parts + (housing_mass(frame) if enclosed else 0.0))


def rotor_mass_and_inertia(frame: Frame, face_share: float) -> tuple[float, float]:
    """Return mass [kg] and moment of inertia [kg m2] of the cup, its magnets and the shaft.

    Rim and magnets as rings at their mean radius, the face as a disc of which `face_share` is left.
    """
    radius = 0.5 * frame.outer_diameter
    wall, length = frame.cup_wall, frame.cup_length
    rim_radius = radius - 0.5 * wall
    rim = STEEL_DENSITY * 2.0 * math.pi * rim_radius * wall * length
    magnet_radius = radius - wall - 0.5 * frame.magnet
    magnets = MAGNET_DENSITY * 2.0 * math.pi * magnet_radius * frame.magnet * (frame.stack + 1e-3)
    face = STEEL_DENSITY * face_share * math.pi * radius**2 * wall
    shaft = STEEL_DENSITY * 0.25 * math.pi * frame.shaft**2 * 2.5 * length
    inertia = rim * rim_radius**2 + magnets * magnet_radius**2
    inertia += 0.5 * face * radius**2 + 0.125 * shaft * frame.shaft**2
    return rim + magnets + face + shaft, inertia


def core_drag_torque(frame: Frame, speed: float) -> float:
    """Return the drag of the stator steel. [N m]

    Hysteresis 0.02 W/(kg T2 Hz) and eddy currents 0.7e-4 W/(kg T2 Hz2), sheet of 0.27 mm with excess
    loss, both assumed: the torque has a constant part and one that grows with speed.
    """
    hertz_per_rad_s = frame.pole_pairs / (2.0 * math.pi)
    square = core_mass(frame) * CORE_FLUX_DENSITY**2
    return square * (0.02 * hertz_per_rad_s + 0.7e-4 * hertz_per_rad_s**2 * speed)


def bearing_drag_torque(frame: Frame, speed: float) -> float:
    """Return the drag of both grease-lubricated bearings. [N m]

    Palmgren's viscous law `1e-7 f (v n)^(2/3) d^3` in N mm (f = 2, grease of 30 mm2/s, mean bearing
    diameter twice the shaft; from memory) at rated speed, half of it constant and half with speed, assumed.
    """
    rpm = frame.rated_speed * 30.0 / math.pi
    rated = 1e-7 * 2.0 * math.pow(30.0 * rpm, 2.0 / 3.0) * (2000.0 * frame.shaft) ** 3 * 1e-3
    return 2.0 * rated * (0.5 + 0.5 * speed / frame.rated_speed)


def printed(value: float, figures: int = 4) -> float:
    """Return a value as a data sheet prints it: rounded to significant figures."""
    return float(f"{value:.{figures}g}")
