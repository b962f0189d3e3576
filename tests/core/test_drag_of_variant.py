"""One no-load point and dimensions: the air's part follows from the dimensions, the rest is shared."""

from __future__ import annotations

from math import pi, sqrt

import pytest
from msgspec.structs import replace

from core.evaluation.drag_of_variant import drag_of_variant, windage_torque
from core.physics.drag import air_drag_torque, core_drag_torque
from core.project.motor import BellOpenings, FrameGeometry, GeometryHeat, Motor, NoLoadPoint, Variant

SPEED = 500.0
GEOMETRY = FrameGeometry(
    stator_diameter=0.038,
    yoke_diameter=0.02,
    stack_length=0.008,
    gap=4e-4,
    end_winding_length=0.003,
    slot_wall_area=2e-3,
    rotor_diameter=0.046,
    rotor_length=0.014,
    flange_diameter=0.036,
    copper_mass=0.02,
    core_mass=0.04,
    flange_mass=0.01,
    rotor_mass=0.05,
)


def motor(drag: float, openings: BellOpenings | None = None) -> Motor:
    variant = Variant(
        kind="open rotor",
        rotor_inertia=1e-5,
        no_load=(NoLoadPoint(speed=SPEED, drag_torque=drag),),
        heat=GeometryHeat(openings=openings),
    )
    return Motor(name="invented", pole_pairs=7, geometry=GEOMETRY, variants=(variant,))


def test_the_air_takes_what_a_disc_of_that_size_takes_and_somewhat_more() -> None:
    """One face of a laminar free disc: M = (3.87/2)/sqrt(Re) rho w^2 r^5 / 2 (von Karman, Cochran; from
    memory); rim and magnetic gap of a flat motor add no more than four times that."""
    radius, density, viscosity = 0.023, 1.127, 1.91e-5  # air of 40 degC
    reynolds = density * SPEED * radius**2 / viscosity
    face = 0.5 * 3.87 / sqrt(reynolds) * 0.5 * density * SPEED**2 * radius**5
    frame = motor(1e-3)
    found = windage_torque(frame, frame.variants[0], SPEED)
    assert found is not None
    assert face < found < 5.0 * face


def test_openings_throw_air_out_and_cost_torque() -> None:
    plain, open_bell = motor(1e-3), motor(1e-3, BellOpenings(share=0.4, mean_radius=0.015))
    without = windage_torque(plain, plain.variants[0], SPEED)
    with_openings = windage_torque(open_bell, open_bell.variants[0], SPEED)
    assert without is not None
    assert with_openings is not None
    # phi rho w r A (w r)^2 / w with phi = 0.2, the face's openings at their radius
    thrown = 0.2 * 1.127 * SPEED * 0.015 * 0.4 * pi * 0.023**2 * (SPEED * 0.015) ** 2 / SPEED
    assert with_openings - without == pytest.approx(thrown, rel=0.3)  # the face has lost its openings


def test_the_stated_point_is_met_and_the_rest_shared_in_halves() -> None:
    frame = motor(1e-3)
    law, findings = drag_of_variant(frame, frame.variants[0])
    air = windage_torque(frame, frame.variants[0], SPEED)
    assert float(air_drag_torque(law, SPEED)) == pytest.approx(air)
    assert float(air_drag_torque(law, SPEED) + core_drag_torque(law, SPEED)) == pytest.approx(1e-3)
    assert law.constant == pytest.approx(law.linear * SPEED)
    assert [finding.code for finding in findings] == ["drag_split_assumed"]


def test_a_point_below_what_the_air_alone_takes_is_a_finding() -> None:
    frame = motor(1e-6)
    law, findings = drag_of_variant(frame, frame.variants[0])
    assert [finding.code for finding in findings] == ["drag_split_assumed", "drag_below_windage"]
    assert float(core_drag_torque(law, SPEED)) == pytest.approx(1e-6)


def test_without_dimensions_the_air_takes_no_part() -> None:
    frame = motor(1e-3)
    variant = replace(frame.variants[0], heat=None)
    assert windage_torque(frame, variant, SPEED) is None
    assert drag_of_variant(frame, variant)[0].windage == 0.0
