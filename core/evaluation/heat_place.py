"""Where it sits, as the equations of heat take it: air, what carries the motor, guard and box."""

from __future__ import annotations

from core.evaluation.remembered import remembered
from core.findings import Finding, Severity
from core.numeric import FloatArray
from core.physics.air import pressure_at_altitude
from core.physics.closed_box import ClosedBox
from core.physics.data_sheet_mounting import SEA_LEVEL
from core.physics.heat_network import HeatNetwork
from core.physics.motor_dimensions import CarryingBracket, CarryingPlate, HeatPlace
from core.physics.rotor_guard import SWIRL, RotorGuard
from core.physics.surroundings import behind_guard, in_box
from core.project.application import Site
from core.project.motor import Motor, Variant
from core.project.mounting import Box, Bracket, Guard, Mounting, Plate
from core.sentences import sentence
from core.units import Kind

PLAIN_ALTITUDE, HIGHEST_ALTITUDE = 1000.0, 4000.0
"""Up to which ratings hold, and beyond which they are agreed specially: IEC 60034-1 as a public glossary
gives it. [m]"""

FLANGE_SHARE = 0.75
"""Diameter of the mounted face over that of the motor, where no dimensions are given. Assumed. [-]"""

GUARDED_SHARE = 0.6
"""Length of what turns over that of the motor, where no dimensions are given. Assumed. [-]"""


@remembered()
def place_pressure(site: Site) -> float:
    """Return the pressure of the air; 0 is vacuum. [Pa]"""
    return 0.0 if site.air == "vacuum" else pressure_at_altitude(site.altitude)


def carrying_plate(plate: Plate) -> CarryingPlate:
    """Return a plate as the equations take it."""
    return CarryingPlate(
        plate.conductivity, plate.side, plate.thickness, plate.emissivity, plate.joint_resistance
    )


def carrying_bracket(bracket: Bracket) -> CarryingBracket:
    """Return a bracket as the equations take it."""
    b = bracket
    return CarryingBracket(b.conductivity, b.section, b.length, b.perimeter, b.emissivity, b.joint_resistance)


def carrier(mounting: Mounting, stated_plate: Plate | None) -> CarryingPlate | CarryingBracket | None:
    """Return what carries the motor; None where its flange gives off no heat, or where that is not known.

    A thermal resistance as the mounting says nothing of a carrier.
    """
    if mounting.plate is not None:
        return carrying_plate(mounting.plate)
    if mounting.bracket is not None:
        return carrying_bracket(mounting.bracket)
    if mounting.as_stated and stated_plate is not None:
        return carrying_plate(stated_plate)
    return None


def heat_place(site: Site, stated_plate: Plate | None) -> HeatPlace:
    """Return where a motor sits; the ambient must be given."""
    if site.ambient is None:
        raise ValueError("a place of heat needs an ambient temperature")
    return HeatPlace(site.ambient, place_pressure(site), carrier(site.mounting, stated_plate))


def flange_diameter(motor: Motor, variant: Variant) -> float | None:
    """Return the diameter of the mounted face, by its dimensions or as a share of the motor's; None. [m]"""
    if motor.geometry is not None:
        return motor.geometry.flange_diameter
    return None if variant.diameter is None else FLANGE_SHARE * variant.diameter


NARROW_PLATE = 1.2
"""Side of a plate over the diameter of the flange below which its law overstates it noticeably. [-]"""


def plate_findings(mounting: Mounting, flange: float | None) -> tuple[Finding, ...]:
    """Return a finding where a plate barely larger than the flange [m] counts as a disc of its area.

    The disc reaches beyond the flange on all sides, the square only at its corners: by finite elements of
    the square its conductance is 22 % too high at 1.05 times the flange and 7 % at 1.2 times.
    """
    plate = mounting.plate
    if plate is None or flange is None or plate.side >= NARROW_PLATE * flange:
        return ()
    text = sentence(
        "The plate of {side} is barely larger than the flange of {flange}: its cooling is overstated, by 7 % "
        "at 1.2 times the flange and by 22 % at 1.05 times.",
        side=(plate.side, Kind.LENGTH),
        flange=(flange, Kind.LENGTH),
    )
    values = {"side_m": plate.side, "flange_m": flange}
    return (Finding("plate_barely_larger", "warning", text, values),)


@remembered()
def air_findings(site: Site) -> tuple[Finding, ...]:
    """Return what thin air or vacuum means for the motor."""
    if site.air == "vacuum":
        words = (
            "In vacuum only radiation and conduction cool. Friction in air is still counted, and lubricants, "
            "windings and bearings must be made for vacuum."
        )
        return (Finding("vacuum", "warning", words),)
    if site.altitude <= PLAIN_ALTITUDE:
        return ()
    pressure = place_pressure(site) / SEA_LEVEL
    values = {"altitude_m": site.altitude, "relative_pressure": pressure}
    severity: Severity = "note"
    beyond, limit = (
        "Ratings by IEC 60034-1 hold up to {limit}, above it where the ambient is cooler.",
        PLAIN_ALTITUDE,
    )
    if site.altitude > HIGHEST_ALTITUDE:
        severity, limit = "warning", HIGHEST_ALTITUDE
        beyond = "Above {limit} IEC 60034-1 asks for a special agreement with the maker."
    text = sentence(
        "At {altitude} the air has {pressure} of its pressure at sea level and cools less, which is counted. "
        + beyond,
        altitude=(site.altitude, Kind.ALTITUDE),
        pressure=(pressure, Kind.RATIO),
        limit=(limit, Kind.ALTITUDE),
    )
    return (Finding("thin_air", severity, text, values),)


def in_surroundings(
    network: HeatNetwork,
    site: Site,
    variant: Variant,
    motor: Motor,
    staying: FloatArray | None = None,
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    """Return a network in what stands around it in the project, and what that means.

    `staying` [W/K, shape (l,)] is the part of each link that goes through the mounting, where links do not
    tell it themselves. The first sink of the network is the air.
    """
    if isinstance(site.around, Box):
        return _boxed(network, site.around, place_pressure(site), variant)
    if isinstance(site.around, Guard):
        return _guarded(network, site.around, place_pressure(site), variant, motor, staying)
    return network, ()


def _boxed(
    network: HeatNetwork, box: Box, pressure: float, variant: Variant
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    walls = ClosedBox(
        box.width, box.depth, box.height, box.wall_thickness, box.wall_conductivity, box.emissivity,
        box.other_heat,
    )  # fmt: skip
    assumed = Finding(
        "box_assumed",
        "assumed",
        sentence(
            "The motor and {other} of other heat warm the air in the box, which has one temperature; four "
            "sides and the lid give it off, the floor nothing. No source for a motor in a box.",
            other=(box.other_heat, Kind.POWER),
        ),
        {"other_heat_W": box.other_heat},
    )
    boxed = in_box(network, walls, pressure, sink=network.sinks[0])
    return boxed, (assumed, *_lost_advantage(variant, "box"))


def _guarded(
    network: HeatNetwork,
    guard: Guard,
    pressure: float,
    variant: Variant,
    motor: Motor,
    staying: FloatArray | None,
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    if variant.kind == "enclosed":
        text = "The guard does not change the cooling of the enclosed variant: nothing of it turns outside."
        return network, (Finding("guard_without_effect", "note", text),)
    dimensions, length = motor.geometry, variant.length
    diameter = variant.rim_diameter or (variant.diameter if dimensions is None else dimensions.rotor_diameter)
    rotor_length = None if length is None else GUARDED_SHARE * length
    if dimensions is not None:
        rotor_length = dimensions.rotor_length
    if diameter is None or rotor_length is None:
        text = "The guard is not counted: diameter or length of the rotor is not given."
        return network, (Finding("guard_not_applied", "warning", text),)
    around = RotorGuard(guard.open_share, diameter, rotor_length, guard.clearance, guard.emissivity)
    assumed = Finding(
        "guard_assumed",
        "assumed",
        sentence(
            "Behind the guard, open by {open}, air that turns with {swirl} of the rotor's speed and the "
            "draught of its warmth carry heat through the openings; film inside as at rest. No source.",
            open=(guard.open_share, Kind.RATIO),
            swirl=(SWIRL, Kind.RATIO),
        ),
        {"open_share": guard.open_share, "swirl": SWIRL},
    )
    findings = [assumed, *_lost_advantage(variant, "guard")]
    if staying is not None and not staying.any():
        text = "What the mounting carries is not known apart, so it counts as behind the guard: safe side."
        findings.insert(1, Finding("mounting_behind_guard", "assumed", text))
    guarded = behind_guard(network, around, pressure, sink=network.sinks[0], staying=staying)
    return guarded, tuple(findings)


def _lost_advantage(variant: Variant, what: str) -> tuple[Finding, ...]:
    if variant.kind == "enclosed":
        return ()
    text = (
        f"A {what} takes from an open rotor what it is chosen for: its own airflow meets air that it has "
        "warmed itself."
    )
    return (Finding(f"{what}_costs_the_open_rotor", "note", text),)
