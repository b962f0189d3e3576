"""What a candidate takes up with all that is fitted: room, mass, inertia, and the guard's clearance."""

from __future__ import annotations

import math

from core.project.application import Site
from core.project.candidate import Candidate
from core.project.motor import Variant
from core.project.mounting import Guard
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class FittedSize:
    """Outer dimensions, volume of the cylinder around them, mass and inertia; None is not known.

    `counted` names what stands in the numbers beside the bare motor, `left_out` what is there but states
    neither size nor mass. [m, m3, kg, kg m2]
    """

    diameter: float | None
    length: float | None
    volume: float | None
    mass: float | None
    rotor_inertia: float | None
    counted: tuple[str, ...]
    left_out: tuple[str, ...]


NOTHING = FittedSize(None, None, None, None, None, (), ())


def fitted_size(candidate: Candidate, site: Site) -> FittedSize:
    """Return the size of a candidate where it sits.

    The delivered length already holds what is fitted at delivery, so encoder and brake lengthen a motor
    only where they reach beyond it. A guard around an open rotor takes its clearance all around and in
    front: the other face is mounted. Electronics count their mass where they are built in.
    """
    variant = candidate.chosen_variant
    if variant is None:
        return NOTHING
    guard = site.around if variant.kind == "open rotor" and isinstance(site.around, Guard) else None
    diameter, length = _outer(variant), _length(candidate, variant)
    if guard is not None:
        diameter = None if diameter is None else diameter + 2.0 * guard.clearance
        length = None if length is None else length + guard.clearance
    volume = None if diameter is None or length is None else 0.25 * math.pi * diameter**2 * length
    return FittedSize(
        diameter=diameter,
        length=length,
        volume=volume,
        mass=_mass(candidate, variant),
        rotor_inertia=candidate.rotor_inertia,
        counted=_counted(candidate, variant, guard),
        left_out=_left_out(candidate),
    )


def _outer(variant: Variant) -> float | None:
    known = [d for d in (variant.diameter, variant.rim_diameter) if d is not None]
    return max(known, default=None)


def _length(candidate: Candidate, variant: Variant) -> float | None:
    encoder, brake = candidate.encoder_on_motor, candidate.brake
    added = (encoder.length if encoder else 0.0) + (brake.length if brake else 0.0)
    bare = None if variant.length is None else variant.length + added
    known = [length for length in (variant.length_with_fittings, bare) if length is not None]
    return max(known, default=None)


def _mass(candidate: Candidate, variant: Variant) -> float | None:
    if variant.mass is None:
        return None
    encoder, brake, drive = candidate.encoder_on_motor, candidate.brake, candidate.drive
    added = (encoder.mass if encoder else 0.0) + (brake.mass if brake else 0.0)
    return variant.mass + added + ((drive.mass or 0.0) if drive.built_in else 0.0)


def _counted(candidate: Candidate, variant: Variant, guard: Guard | None) -> tuple[str, ...]:
    encoder, brake, drive = candidate.encoder_on_motor, candidate.brake, candidate.drive
    there = (
        ("length as delivered", variant.length_with_fittings is not None),
        ("encoder", encoder is not None and (encoder.length > 0.0 or encoder.mass > 0.0)),
        ("brake", brake is not None and (brake.length > 0.0 or brake.mass > 0.0)),
        ("mass of the built-in electronics", drive.built_in and drive.mass is not None),
        ("clearance of the guard", guard is not None),
    )
    return tuple(words for words, is_there in there if is_there)


def _left_out(candidate: Candidate) -> tuple[str, ...]:
    encoder, brake, drive = candidate.encoder_on_motor, candidate.brake, candidate.drive
    there = (
        ("encoder", encoder is not None and encoder.length == encoder.mass == 0.0),
        ("brake", brake is not None and brake.length == brake.mass == 0.0),
        ("built-in electronics", drive.built_in and drive.mass is None),
        ("transmission", candidate.transmission is not None),  # a parts file states no size of it
    )
    return tuple(words for words, is_there in there if is_there)
