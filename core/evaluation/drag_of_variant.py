"""The drag of a variant: from its no-load points, and where dimensions are known the air's part of one."""

from __future__ import annotations

from math import pi

import numpy as np

from core.evaluation.remembered import remembered
from core.findings import Finding
from core.physics.air import air_at
from core.physics.drag import DragLaw, DragShares, fit_no_load_points, from_one_no_load_point
from core.physics.ventilation import BellOpenings
from core.physics.windage import (
    EnclosedRotor,
    FreeRotor,
    MagneticGap,
    enclosed_rotor_windage,
    free_rotor_windage,
)
from core.project.motor import Motor, Variant
from core.project.motor_heat import GeometryHeat
from core.sentences import sentence
from core.units import Kind

NO_LOAD_AIR = 40.0  # temperature of the air around a motor that runs without load, assumed [degC]


@remembered()
def drag_of_variant(motor: Motor, variant: Variant) -> tuple[DragLaw, tuple[Finding, ...]]:
    """Return the drag law of a variant and what had to be assumed for it."""
    points = variant.no_load
    if not points:
        words = "No no-load figure is given: iron, bearing and air losses are taken as zero."
        return DragLaw(), (Finding("drag_unknown", "warning", words),)
    if len(points) > 1:
        law, finding = fit_no_load_points(
            np.array([point.speed for point in points]), np.array([point.drag_torque for point in points])
        )
        return law, (finding,)
    point = points[0]
    air = windage_torque(motor, variant, point.speed)
    if air is None:
        law, finding = from_one_no_load_point(point.speed, drag_torque=point.drag_torque)
        return law, (finding,)
    if air >= point.drag_torque:
        law, finding = from_one_no_load_point(point.speed, drag_torque=point.drag_torque)
        text = sentence(
            "At {speed} dimensions alone give {air} of drag in the air, the no-load point {stated} in all: "
            "one of the two is wrong. The air's part is left out.",
            speed=(point.speed, Kind.SPEED),
            air=(air, Kind.TORQUE),
            stated=(point.drag_torque, Kind.TORQUE),
        )
        values = {"air_Nm": air, "stated_Nm": point.drag_torque}
        return law, (finding, Finding("drag_below_windage", "warning", text, values))
    share = air / point.drag_torque
    law, finding = from_one_no_load_point(
        point.speed,
        drag_torque=point.drag_torque,
        shares=DragShares(0.5 * (1.0 - share), 0.5 * (1.0 - share), share),
    )
    return law, (finding,)


def windage_torque(motor: Motor, variant: Variant, speed: float) -> float | None:
    """Return the drag torque of the air at a speed, None without dimensions. [N m]"""
    heat, frame = variant.heat, motor.geometry
    if not isinstance(heat, GeometryHeat) or frame is None:
        return None
    gap = MagneticGap(0.5 * frame.stator_diameter, frame.gap, frame.stack_length)
    radius, length = 0.5 * frame.rotor_diameter, frame.rotor_length
    air = air_at(NO_LOAD_AIR)
    density, viscosity = float(air.density), float(air.viscosity)
    at = np.array([speed])
    if variant.kind == "enclosed":
        assert heat.housing is not None  # `Motor` asks for it
        inside = EnclosedRotor(radius, length, gap, heat.housing.gap, (heat.housing.face_clearance,))
        power = enclosed_rotor_windage(inside, at, density, viscosity).total
    else:
        openings = None
        if heat.openings is not None and heat.openings.share > 0.0:
            openings = BellOpenings(heat.openings.share * pi * radius**2, heat.openings.mean_radius)
        outside = FreeRotor(radius, length, gap, openings=openings)
        power = free_rotor_windage(outside, at, density, viscosity).total
    return float(power[0]) / speed
