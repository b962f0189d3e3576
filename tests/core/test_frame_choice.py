"""Another frame for a candidate keeps what the frames share and says what it had to replace."""

from __future__ import annotations

from core.project.candidate import Candidate
from core.project.frame_choice import new_candidate, take_frame
from core.project.motor import Inductance, Motor, Resistance, Variant, VariantKind, Winding
from core.project.project import Project


def motor(name: str, windings: list[str], *kinds: VariantKind) -> Motor:
    return Motor(
        name=name,
        pole_pairs=7,
        windings=tuple(
            Winding(name=w, resistance=Resistance(value=1.0), inductance=Inductance(value=1e-3))
            for w in windings
        ),
        variants=tuple(Variant(kind=kind, rotor_inertia=1e-6) for kind in kinds),
    )


def project(winding: str | None = "24 V", variant: VariantKind | None = "open rotor") -> Project:
    small = motor("frame 30", ["12 V", "24 V"], "open rotor", "enclosed")
    return Project(candidates=(Candidate(name="A", motor=small, winding=winding, variant=variant),))


def test_shared_names_are_kept_without_a_word() -> None:
    large = motor("frame 50", ["24 V", "48 V"], "enclosed", "open rotor")
    taken = take_frame(project(), 0, large)
    candidate = taken.project.candidates[0]
    assert (candidate.motor, candidate.winding, candidate.variant) == (large, "24 V", "open rotor")
    assert taken.note == ""


def test_nearest_voltage_is_taken_and_named() -> None:
    taken = take_frame(project(), 0, motor("frame 50", ["12 V", "36 V", "96 V"], "enclosed"))
    candidate = taken.project.candidates[0]
    # 36 / 24 = 1.5 is nearer than 24 / 12 = 2
    assert (candidate.winding, candidate.variant) == ("36 V", "enclosed")
    assert taken.note == (
        "frame 50 has no winding 24 V: 36 V is taken; frame 50 is not made open rotor: enclosed is taken"
    )


def test_names_without_a_voltage_still_give_a_winding_of_the_frame() -> None:
    taken = take_frame(project(), 0, motor("frame 50", ["slow", "fast"], "open rotor"))
    assert taken.project.candidates[0].winding == "slow"
    assert "slow is taken" in taken.note


def test_nothing_chosen_stays_nothing_chosen() -> None:
    taken = take_frame(project(None, None), 0, motor("frame 50", ["48 V"], "enclosed"))
    assert (taken.project.candidates[0].winding, taken.project.candidates[0].variant) == (None, None)
    assert taken.note == ""


def test_a_frame_without_windings_and_variants_is_said() -> None:
    taken = take_frame(project(), 0, motor("bare frame", []))
    assert (taken.project.candidates[0].winding, taken.project.candidates[0].variant) == (None, None)
    assert taken.note == "bare frame has no winding; bare frame has no variant"


def test_a_new_candidate_takes_the_winding_nearest_to_the_supply() -> None:
    frame = motor("frame 50", ["12 V", "36 V", "48 V"], "enclosed", "open rotor")
    candidate = new_candidate(frame, 24.0)
    assert (candidate.name, candidate.winding, candidate.variant) == (
        "frame 50, enclosed",
        "36 V",
        "enclosed",
    )
    assert new_candidate(frame, None).winding == "12 V"
    assert new_candidate(None, 24.0).motor is None
