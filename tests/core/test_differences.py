"""What differs between candidates: every field that differs, and none that does not."""

from __future__ import annotations

import msgspec
from msgspec.structs import replace

from core.project import edits
from core.project.candidate import Candidate
from core.project.differences import differences
from core.project.drive import Drive
from core.project.fittings import HoldingBrake, ShaftForce
from core.project.project import Project
from core.sentences import as_text
from core.units import DisplayUnits, Kind
from tests.core.projects import candidate


def found(*candidates: Candidate, units: DisplayUnits | None = None) -> dict[str, tuple[str, ...]]:
    """Return the differences as text, under names that are free."""
    named = tuple(replace(one, name=f"{number} {one.name}") for number, one in enumerate(candidates))
    return {
        one.name: tuple(
            as_text(v, units or DisplayUnits()).replace("\N{NO-BREAK SPACE}", " ") for v in one.values
        )
        for one in differences(Project(candidates=named))
    }


def test_equal_candidates_and_a_single_one_differ_in_nothing() -> None:
    one = candidate()
    assert found(one) == found(one, one) == found(one, one, one, one) == {}


def test_choices_are_named_one_by_one() -> None:
    one = candidate()
    assert found(one, replace(one, variant="open rotor", commutation="six-step", lead_resistance=0.05)) == {
        "Variant": ("enclosed", "open rotor"),
        "Commutation": (one.commutation, "six-step"),
        "Lead resistance": ("0.0200 Ω", "0.0500 Ω"),
    }


def test_numbers_are_in_the_units_of_the_reader() -> None:
    one, two = (candidate(lead_resistance=value) for value in (0.1, 0.2))
    units = DisplayUnits().with_units({Kind.RESISTANCE: "mΩ"})
    assert found(one, two, units=units) == {"Lead resistance": ("100 mΩ", "200 mΩ")}


def test_another_frame_is_one_difference_and_the_same_frame_with_another_figure_is_that_figure() -> None:
    one = candidate()
    other = candidate(frame="31 mm frame")
    assert found(one, other)["Frame"] == ("47 mm frame", "31 mm frame")
    assert one.motor is not None
    assert not any(name.startswith("Frame,") for name in found(one, other))
    heavier = replace(
        one.motor, windings=(replace(one.motor.windings[0], peak_current=9.0), *one.motor.windings[1:])
    )
    listed = found(one, replace(one, motor=heavier))
    (name,) = listed
    assert name == f"Frame, windings {one.motor.windings[0].name}, peak current"
    assert listed[name][1] == "9.00 A"


def test_a_part_that_only_one_has_is_named() -> None:
    one = candidate()
    braked = replace(one, brake=HoldingBrake(name="spring brake", holding_torque=0.3))
    assert found(one, braked) == {"Brake": ("not given", "spring brake")}
    stronger = replace(one, brake=HoldingBrake(name="spring brake", holding_torque=0.4))
    assert found(braked, stronger) == {"Brake, holding torque": ("300 mN·m", "400 mN·m")}


def test_a_part_without_a_name_is_told_by_what_is_given_of_it() -> None:
    one = candidate()
    pulled = replace(one, shaft_force=ShaftForce(radial=20.0, distance=0.01))
    assert found(one, pulled)["Shaft force"] == ("not given", "radial 20.0 N, distance 10.0 mm")


def test_four_candidates_have_four_values_each() -> None:
    four = [candidate(winding=w) for w in ("24 V",) * 3]
    assert found(*four, replace(four[0], commutation="six-step")) == {
        "Commutation": (four[0].commutation, four[0].commutation, four[0].commutation, "six-step")
    }


def test_names_notes_and_reasons_are_no_inputs() -> None:
    one = candidate()
    assert found(one, replace(one, note="quiet", dropped_because="too long")) == {}


def test_no_figure_of_the_electronics_is_left_out() -> None:
    """Each plain number of the electronics, changed alone, is found alone and at its place."""
    drive, tried = Drive(name="x"), 0
    for field in msgspec.structs.fields(Drive):
        value = getattr(drive, field.name)
        if isinstance(value, bool) or not isinstance(value, float):
            continue
        tried += 1
        other = replace(drive, **{field.name: value * 0.5 if value else 0.5})
        a, b = Candidate(name="a", drive=drive), Candidate(name="b", drive=other)
        (only,) = differences(Project(candidates=(a, b)))
        assert only.place == ("drive", field.name)
    assert tried > 2


def test_a_candidate_moves_and_the_chosen_one_stays_chosen() -> None:
    project = Project(candidates=tuple(Candidate(name=n) for n in "abcd"), chosen="b")
    moved = edits.move_candidate(project, 1, 3)
    assert [c.name for c in moved.candidates] == ["a", "c", "d", "b"]
    assert moved.chosen == "b"
    assert edits.move_candidate(moved, 3, 1) == project
    assert edits.move_candidate(project, 0, -1) is project
    assert edits.move_candidate(project, 3, 4) is project
    nobody = Project(candidates=project.candidates)
    assert edits.move_candidate(nobody, 0, 2).chosen_candidate == nobody.chosen_candidate
