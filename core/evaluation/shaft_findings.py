"""What is easily got wrong about the shaft end: pulleys that are too small, wheels hung on it, axial load."""

from __future__ import annotations

from core.evaluation.criteria_shaft import pair_of
from core.evaluation.motor_model import MotorModel
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.physics.bearing_life import axial_load_factor
from core.physics.shaft_forces import BELT_FACTOR, belt_squeeze_force
from core.physics.shaft_load import bearing_axial_forces, bearing_reactions
from core.project.fittings import ShaftBearings, ShaftForce
from core.project.motor import Motor, ShaftEnd
from core.sentences import sentence
from core.shaft_results import ShaftLoad
from core.units import Kind

FAR_OUT = 1.0  # lever over span of the bearings, from which the front one carries twice the force; assumed
RATED_SHARE = 0.5  # of the dynamic rating, up to which the life equation holds: ISO 281, from memory
SQUEEZE = 22.0  # [N] of two fingers on a belt
DEFLECTION, FREE_LENGTH = 0.0066, 0.100  # [m] of the belt between them; see `belt_squeeze_force`


def shaft_findings(
    force: ShaftForce | None, load: ShaftLoad | None, motor: MotorModel, peak_torque: float
) -> tuple[Finding, ...]:
    """Return what is to be said about the forces on the shaft; `peak_torque` is that of the duty [N m]."""
    if force is None:
        return ()
    found = [_too_much(load, peak_torque), *_of_the_place(force, motor.motor)]
    return tuple(finding for finding in found if finding is not None)


def _too_much(load: ShaftLoad | None, peak_torque: float) -> Finding | None:
    """Return a finding where a larger pulley or a place nearer to the bearing is needed."""
    if load is None or load.allowed_here is None or load.radial <= load.allowed_here:
        return None
    squeezed = float(belt_squeeze_force(SQUEEZE, DEFLECTION, FREE_LENGTH))
    values = {"radial_N": load.radial, "allowed_N": load.allowed_here}
    pulley = ""
    if load.allowed_here > 0.0 and peak_torque > 0.0:
        values["least_pulley_diameter_m"] = 2.0 * BELT_FACTOR * peak_torque / load.allowed_here
        pulley = " For the {torque} of this duty a toothed belt needs a pulley of at least {diameter}."
    text = sentence(
        "The radial force of {radial} at {distance} is more than the {allowed} that leaves the bearings "
        f"their wanted life. A small pulley makes a large force.{pulley} A belt tightened by feel "
        "makes more: {squeeze} between two fingers can be {squeezed} on the shaft. Take a larger pulley, "
        "bring it nearer, or give it bearings of its own.",
        radial=(load.radial, Kind.FORCE),
        distance=(load.distance, Kind.LENGTH),
        allowed=(load.allowed_here, Kind.FORCE),
        torque=(peak_torque, Kind.TORQUE),
        diameter=(values.get("least_pulley_diameter_m", 0.0), Kind.LENGTH),
        squeeze=(SQUEEZE, Kind.FORCE),
        squeezed=(squeezed, Kind.FORCE),
    )
    return Finding("shaft_force_too_large", "warning", text, values)


@remembered()
def _of_the_place(force: ShaftForce, motor: Motor) -> tuple[Finding | None, ...]:
    bearings = motor.bearing_data
    if bearings is None:
        return ()
    return (
        _hung_on_the_shaft(force, bearings, motor.shaft_front),
        _axial(force, bearings.preload),
        _beyond_rating(force, bearings),
    )


def _hung_on_the_shaft(force: ShaftForce, bearings: ShaftBearings, end: ShaftEnd | None) -> Finding | None:
    if force.radial <= 0.0:
        return None
    lever = force.distance + bearings.front_distance
    off_the_end = end is not None and 0.0 < end.length < force.distance
    if lever < FAR_OUT * bearings.span and not off_the_end:
        return None
    front, _ = bearing_reactions(pair_of(bearings), force.radial, force.distance)
    beyond = f", beyond the shaft's end at {end.length * 1e3:.3g} mm" if off_the_end and end else ""
    text = sentence(
        f"The radial force acts {{distance}} from the mounting face{beyond}: on bearings only {{span}} apart "
        "the front one carries {front} of {radial}. A wheel that bears weight does not belong on the motor "
        "shaft: give it bearings of its own and a coupling.",
        distance=(force.distance, Kind.LENGTH),
        span=(bearings.span, Kind.LENGTH),
        front=(float(front), Kind.FORCE),
        radial=(force.radial, Kind.FORCE),
    )
    values = {"lever_m": lever, "span_m": bearings.span, "front_reaction_N": float(front)}
    return Finding("force_far_from_bearings", "warning", text, values)


def _axial(force: ShaftForce, preload: float) -> Finding | None:
    if force.axial <= 0.0:
        return None
    lifts = force.axial > preload
    text = sentence(
        "The axial force of {axial} goes through one bearing. "
        + (
            "It is more than the preload of {preload}: away from the preload it lifts the rotor, which "
            "rattles and, in a flat motor, changes the air gap. "
            if lifts
            else "It stays below the preload of {preload}. "
        )
        + "Never press a pulley on against the bearings: support the rear end of the shaft.",
        axial=(force.axial, Kind.FORCE),
        preload=(preload, Kind.FORCE),
    )
    values = {"axial_N": force.axial, "preload_N": preload}
    return Finding("axial_force_on_shaft", "warning" if lifts else "note", text, values)


def _beyond_rating(force: ShaftForce, bearings: ShaftBearings) -> Finding | None:
    """Return a finding where the equation of life no longer holds."""
    pair = pair_of(bearings)
    radial, _ = bearing_reactions(pair, force.radial, force.distance)
    axial, _ = bearing_axial_forces(pair, force.axial)
    _, in_table = axial_load_factor(pair.front, axial)
    rating = bearings.front.dynamic_rating
    if float(radial) <= RATED_SHARE * rating and bool(in_table):
        return None
    text = sentence(
        "The front bearing takes {radial} radial and {axial} axial of a dynamic rating of {rating}: beyond "
        "half of it the rating life no longer holds.",
        radial=(float(radial), Kind.FORCE),
        axial=(float(axial), Kind.FORCE),
        rating=(rating, Kind.FORCE),
    )
    values = {"radial_N": float(radial), "axial_N": float(axial), "rating_N": rating}
    return Finding("bearing_beyond_rating", "serious", text, values)
