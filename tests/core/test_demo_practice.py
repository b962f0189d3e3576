"""What the trade knows of open and enclosed flat motors, on all six invented frames, from their dimensions.

Common practice, no source, for every test here. Nothing is asked of the recipe: each frame is evaluated as a
candidate of a project. The one frame whose data sheet has no dimensions of its variants is given them here.
"""

from __future__ import annotations

import functools
import itertools

import numpy as np
import pytest
from msgspec.structs import replace

from core.catalogue import demo_heat
from core.catalogue.demo_frames import FRAMES, Frame
from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate
from core.numeric import FloatArray
from core.project.application import Application, Site, Supply
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.motor import DataSheetHeat, Motor, VariantKind
from core.project.mounting import Mounting, Plate
from core.project.project import Project
from core.results import CandidateResult

STATED, INSULATED, LARGE_PLATE = "stated plate", "insulated", "large plate"
KINDS: tuple[VariantKind, ...] = ("open rotor", "enclosed")
# of the rated speed; the second turns just fast enough for the heat to spread evenly over the phases
SHARES = (0.0, 0.03, 0.1, 0.25, 0.5, 0.75, 1.0)
TOUCHED_BARE_METAL = 65.0  # for 1 s, ISO 13732-1 (from memory) [degC]


def mounting(name: str, frame: Frame) -> Mounting:
    """Return a mounting; the large plate has twice the diameter of the motor."""
    if name == LARGE_PLATE:
        return Mounting(name=name, plate=Plate(side=2.0 * frame.outer_diameter, thickness=3e-3))
    return Mounting(name=name, insulated=name == INSULATED)


every_frame = pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame.name)


@functools.cache
def dimensioned_motor(frame: Frame) -> Motor:
    """Return the motor of a frame with the heat of its variants given by dimensions."""
    motor = load_demo_parts().motor(frame.name)
    variants = tuple(
        replace(variant, heat=demo_heat.dimensioned(frame, variant.kind == "enclosed"))
        if isinstance(variant.heat, DataSheetHeat)
        else variant
        for variant in motor.variants
    )
    return replace(motor, variants=variants)


def evaluated(frame: Frame, kind: VariantKind, place: str, torque: float, speed: float) -> CandidateResult:
    """Evaluate a steady run at 25 degC."""
    motor = dimensioned_motor(frame)
    winding = motor.windings[0].name
    voltage = float(winding.removesuffix(" V"))
    run = Segment(duration=1.0, shaft_torque=torque, speed_start=speed, speed_end=speed)
    application = Application(
        duty_cycle=(run,),
        site=Site(ambient=25.0, mounting=mounting(place, frame)),
        supply=Supply(nominal_voltage=voltage),
    )
    candidate = Candidate(name="A", motor=motor, winding=winding, variant=kind)
    return evaluate(Project(application=application, candidates=(candidate,))).candidates[0]


@functools.cache
def continuous(frame: Frame, kind: VariantKind, place: str) -> FloatArray:
    """Return the continuous torque at the shares of the rated speed."""
    curves = evaluated(frame, kind, place, 0.0, frame.rated_speed).curves
    assert curves is not None
    assert curves.continuous is not None
    speed = np.array(SHARES) * frame.rated_speed
    torque = np.interp(speed, curves.speed, curves.continuous)
    torque.flags.writeable = False
    return torque


@every_frame
@pytest.mark.parametrize("place", [STATED, INSULATED])
def test_the_open_variant_leads_except_near_standstill(frame: Frame, place: str) -> None:
    lead = continuous(frame, "open rotor", place) / continuous(frame, "enclosed", place)
    assert lead[0] < 1.0
    assert (lead[3:] > 1.05).all()


@every_frame
@pytest.mark.parametrize("place", [STATED, INSULATED])
def test_the_lead_grows_with_speed_in_the_medium_range(frame: Frame, place: str) -> None:
    lead = continuous(frame, "open rotor", place) / continuous(frame, "enclosed", place)
    assert all(slow < fast for slow, fast in itertools.pairwise(lead[1:].tolist()))


@every_frame
def test_on_its_plate_the_open_variant_is_about_even_at_rest_and_leads_by_half_at_rated_speed(
    frame: Frame,
) -> None:
    lead = continuous(frame, "open rotor", STATED) / continuous(frame, "enclosed", STATED)
    assert 0.9 <= lead[0] <= 1.05
    assert 1.25 <= lead[-1] <= 1.9


@every_frame
@pytest.mark.parametrize("place", [STATED, INSULATED])
def test_the_enclosed_curve_falls_from_standstill_with_the_iron_loss(frame: Frame, place: str) -> None:
    """From just above rest: at rest one phase may carry more than its share, which costs torque too."""
    torque = continuous(frame, "enclosed", place)
    assert all(slow > fast for slow, fast in itertools.pairwise(torque[1:].tolist()))


@every_frame
def test_a_metal_plate_raises_both_and_narrows_the_lead(frame: Frame) -> None:
    bare, closed = (continuous(frame, kind, LARGE_PLATE) for kind in KINDS)
    free_bare, free_closed = (continuous(frame, kind, INSULATED) for kind in KINDS)
    assert (bare > free_bare).all()
    assert (closed > free_closed).all()
    turning = slice(3, None)
    assert (bare / closed < free_bare / free_closed)[turning].all()


@every_frame
def test_the_housing_is_too_hot_to_touch_before_the_winding_is_at_its_limit(frame: Frame) -> None:
    """At 90 % of the continuous torque: winding and magnets are allowed, a finger is not."""
    for share in (0.25, 0.5, 1.0):
        torque = 0.9 * float(continuous(frame, "enclosed", STATED)[SHARES.index(share)])
        result = evaluated(frame, "enclosed", STATED, torque, share * frame.rated_speed)
        peaks = {peak.node: peak for peak in result.peaks}
        winding, housing = peaks["winding"], peaks["housing"]
        assert winding.limit is not None
        assert winding.temp < winding.limit
        assert housing.temp > TOUCHED_BARE_METAL
