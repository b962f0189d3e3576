"""What the variant can carry: parts that do not fit rule it out by name and stay, and take room and mass."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate
from core.project import edits
from core.project.application import Envelope
from core.project.feedback import Encoder, HallSensors
from core.project.fittings import HoldingBrake
from core.project.project import Project
from core.project.transmission import Transmission
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

ENCODER = Encoder(name="some encoder", counts=4096, length=0.010, mass=0.020)
BRAKE = HoldingBrake(name="some brake", holding_torque=0.5, length=0.020, mass=0.100)


def held(**fields: object) -> Project:
    return project(segment(10.0, 0.02, 100.0), candidates=(candidate(**fields),))  # type: ignore[arg-type]


def first(one: Project) -> CandidateResult:
    return evaluate(one).candidates[0]


def test_what_fits_is_answered_and_nothing_fitted_is_silent() -> None:
    fits = first(held(feedback=ENCODER, brake=BRAKE)).margin("fitted")
    assert fits is not None
    assert fits.status == "met"
    assert "encoder, brake" in str(fits.why)
    assert first(held()).margin("fitted") is None


def test_the_open_variant_keeps_its_parts_and_says_what_no_longer_fits() -> None:
    closed = held(feedback=ENCODER, brake=BRAKE)
    opened = edits.change_candidate(closed, 0, variant="open rotor")
    assert opened.candidates[0].feedback == ENCODER
    assert opened.candidates[0].brake == BRAKE
    result = first(opened)
    assert result.governing is not None
    fitted = result.margin("fitted")
    assert fitted is not None
    assert fitted.status == "excluded"
    for words in ("open rotor", "some encoder", "some brake", "enclosed variant can"):
        assert words in str(fitted.why)
    found = [finding for finding in result.findings if finding.code == "does_not_fit"]
    assert [finding.severity for finding in found] == ["serious", "serious"]
    assert "some encoder" in str(found[0].text)
    assert "some brake" in str(found[1].text)


@pytest.mark.parametrize(
    "fields",
    [
        {"feedback": replace(ENCODER, at_load=True)},  # not at the motor
        {"feedback": HallSensors()},  # listed
        {"transmission": Transmission(ratio=5.0)},  # stands beside the motor
        {"brake": replace(BRAKE, on_motor=False)},
    ],
)
def test_what_is_not_at_the_motor_or_is_listed_does_not_exclude(fields: dict[str, object]) -> None:
    result = first(held(variant="open rotor", frame="31 mm frame", **fields))
    fitted = result.margin("fitted")
    assert fitted is None or fitted.status == "met"


def test_a_gear_on_the_motor_and_built_in_electronics_need_a_variant_made_for_them() -> None:
    on_motor = Transmission(name="some gear", ratio=5.0, on_motor=True)
    drive = replace(candidate().drive, name="some electronics", built_in=True)
    result = first(held(variant="open rotor", frame="31 mm frame", transmission=on_motor, drive=drive))
    fitted = result.margin("fitted")
    assert fitted is not None
    assert fitted.status == "excluded"
    assert "some gear" in str(fitted.why)
    assert "some electronics" in str(fitted.why)


def test_a_variant_that_lists_nothing_rules_nothing_out() -> None:
    motor = load_demo_parts().motor("47 mm frame")
    silent = replace(motor, variants=tuple(replace(v, can_be_fitted_with=()) for v in motor.variants))
    assert first(held(variant="open rotor", motor=silent, feedback=ENCODER)).margin("fitted") is None


def test_room_and_mass_count_what_is_fitted() -> None:
    one = held(feedback=ENCODER, brake=BRAKE)
    variant = one.candidates[0].chosen_variant
    assert variant is not None
    assert variant.length is not None
    assert variant.mass is not None
    requirements = replace(
        one.application.requirements, envelope=Envelope(largest_length=0.2, largest_mass=1.0)
    )
    result = first(edits.change_application(one, requirements=requirements))
    length, mass = result.margin("length"), result.margin("mass")
    assert length is not None
    assert mass is not None
    assert length.demand == pytest.approx(variant.length + 0.030)  # sums by hand
    assert mass.demand == pytest.approx(variant.mass + 0.120)
    assert "with encoder, brake" in str(mass.equation)
