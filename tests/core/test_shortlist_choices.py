"""All combinations of parts: how many there are, each once, and none that the parts rule out."""

from __future__ import annotations

import itertools

import pytest
from msgspec.structs import replace

from core.catalogue.parts_file import PartsFile, load_demo_parts
from core.evaluation.fits import what_does_not_fit
from core.project.application import Application
from core.project.candidate import Candidate, Drive
from core.project.fittings import Cable, HoldingBrake
from core.shortlist.choices import NONE, Choices, KeptOut, choices_of

PARTS = load_demo_parts()
AT_THE_LOAD = HoldingBrake(name="brake at the load", holding_torque=1.0, on_motor=False)  # fits everywhere
FEW = replace(PARTS, motors=PARTS.motors[:2], designation=None)


def everything(choices: Choices) -> list[Candidate]:
    return choices.candidates(0, len(choices))


def test_every_combination_that_belongs_together_is_there_once() -> None:
    found = everything(choices_of([FEW], Application(duty_from="load")))
    gears = [
        None,
        *(
            replace(one, ratio=r)
            for one in FEW.transmissions
            for r in sorted({one.ratio, *one.available_ratios})
        ),
    ]
    expected = []
    for motor, drive, feedback, gear, brake in itertools.product(
        FEW.motors, FEW.drives, FEW.feedback, gears, (None, *FEW.brakes)
    ):
        if feedback.__struct_config__.tag not in drive.feedback_kinds:
            continue
        for winding, variant, commutation in itertools.product(
            motor.windings, motor.variants, drive.commutations
        ):
            one = Candidate(
                name="x", motor=motor, winding=winding.name, variant=variant.kind,
                commutation=commutation, transmission=gear, drive=drive, feedback=feedback, brake=brake,
            )  # fmt: skip
            if not what_does_not_fit(one):
                expected.append(one)
    plain = [replace(one, name="x") for one in found]
    assert len(plain) == len(expected)
    assert sorted(map(repr, plain)) == sorted(map(repr, expected))
    assert len({one.name for one in found}) == len(found)


def test_a_duty_at_the_shaft_leaves_no_choice_of_transmission() -> None:
    gear = PARTS.transmissions[0]
    pattern = Candidate(name="x", transmission=gear)
    assert all(one.transmission == gear for one in everything(choices_of([FEW], Application(), pattern)))


def test_what_is_common_comes_from_the_pattern_and_its_words_do_not() -> None:
    cable = Cable(length=2.0, section=0.5)
    pattern = Candidate(
        name="mine", cable=cable, choke=1e-4, dropped_because="too dear", note="ask", drive=Drive(name="own")
    )
    bare = replace(FEW, drives=(), feedback=())
    for one in everything(choices_of([bare], Application(), pattern)):
        assert (one.cable, one.choke, one.drive) == (cable, 1e-4, pattern.drive)
        assert (one.dropped_because, one.note) == ("", "")


def test_what_is_kept_out_is_not_chosen() -> None:
    drive = FEW.drives[0].name
    out: list[tuple[KeptOut, str]] = [
        ("brake", NONE),
        ("commutation", "six-step"),
        ("drive", drive),
        ("variant", "enclosed"),
    ]
    parts = replace(FEW, brakes=(*FEW.brakes, AT_THE_LOAD))
    found = everything(choices_of([parts], Application(), kept_out=out))
    assert found
    for one in found:
        assert one.brake is not None
        assert one.commutation == "sinusoidal"
        assert one.drive.name != drive
        assert one.variant == "open rotor"


def test_a_part_that_two_files_share_is_chosen_once() -> None:
    once = choices_of([FEW], Application())
    more = PartsFile(motors=FEW.motors[:1], brakes=(AT_THE_LOAD,))
    alike = choices_of([FEW, PartsFile(motors=FEW.motors[:1])], Application())
    assert len(alike) == len(once)
    assert len(choices_of([FEW, more], Application())) > len(once)


def test_numbers_beyond_the_last_are_refused_and_no_parts_are_no_candidates() -> None:
    choices = choices_of([FEW], Application())
    with pytest.raises(IndexError, match=f"there are {len(choices)} candidates"):
        choices.candidate(len(choices))
    with pytest.raises(IndexError, match="got number -1"):
        choices.candidate(-1)
    assert len(choices_of([], Application())) == 0
