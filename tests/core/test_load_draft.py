"""A mechanism is asked for all it needs; nothing comes about before, and what is known carries over."""

from __future__ import annotations

import math

import msgspec
import pytest

from core.errors import InputRangeError
from core.evaluate import evaluate
from core.load_draft import FORMS, LoadDraft, MechanismForm, draft_of, form_of
from core.project import edits
from core.project.load import Load
from core.project.mechanism import (
    BeltDrive,
    DrumWinch,
    LinearFriction,
    RotaryTable,
    ScrewDrive,
    WheelDrive,
)
from core.project.motion import DwellStep, FrictionRange, MotionStep, MoveStep, RampStep, RunStep
from core.project.project import Project
from core.project.project_file import decode_project, encode_project
from core.results import Result

FIGURES = {"driven_wheels": 2.0, "wheels": 4.0, "efficiency": 0.9, "friction_angle": 0.1}
WINCH = Load(
    mechanism=DrumWinch(
        mass=3.0, drum_radius=0.05, inclination=1.2, counterweight=1.0, friction=LinearFriction(constant=2.0)
    ),
    motion=(MoveStep(distance=0.4, duration=1.0),),
    start_position=0.2,
    friction_range=FrictionRange(low=0.5, high=2.0),
)


def form(words: str) -> MechanismForm:
    return next(form for form in FORMS if form.words == words)


def filled(draft: LoadDraft) -> LoadDraft:
    for place in draft.lacking:
        draft = draft.with_figure(place, FIGURES.get(place[0], 0.3))
    return draft


@pytest.mark.parametrize("one", FORMS, ids=lambda one: one.words)
def test_each_form_leads_to_its_mechanism_and_to_a_file(one: MechanismForm) -> None:
    load = filled(LoadDraft(one)).load()
    assert form_of(load.mechanism) is one
    project = edits.take_load(Project(), load)
    assert project.application.duty_from == "load"
    assert decode_project(encode_project(project)) == project


@pytest.mark.parametrize("one", FORMS, ids=lambda one: one.words)
def test_every_field_without_a_default_is_asked(one: MechanismForm) -> None:
    asked = {place[0] for place in one.required}
    without_default = {field.name for field in msgspec.structs.fields(one.kind) if field.required}
    assert without_default
    assert without_default <= asked
    assert len(LoadDraft(one).lacking) == len(one.required)


@pytest.mark.parametrize("name", ["axis_tilt", "zero_angle", "inclination", "slope"])
def test_no_angle_against_gravity_is_ever_taken_over_from_another_mechanism(name: str) -> None:
    forms = [one for one in FORMS if (name,) in one.required and one.kind is not DrumWinch]
    assert forms or name == "inclination"
    for one in forms:
        assert (name,) in draft_of(one, WINCH).lacking


def test_a_figure_that_no_mechanism_can_have_is_refused_at_once() -> None:
    belt = LoadDraft(form("belt or rack"))
    for place, value in ((("mass",), -1.0), (("pulley_radius",), 0.0), (("inclination",), 2.0)):
        with pytest.raises(InputRangeError):
            belt.with_figure(place, value)
    with pytest.raises(InputRangeError):
        LoadDraft(form("drum or winch")).with_figure(("inclination",), -0.1)  # a rope only pulls
    with pytest.raises(InputRangeError, match="whole number"):
        LoadDraft(form("wheels")).with_figure(("driven_wheels",), 1.5)


def test_more_driven_wheels_than_wheels_are_refused_when_both_are_known() -> None:
    draft = filled(LoadDraft(form("wheels"))).with_figure(("driven_wheels",), 6.0)
    with pytest.raises(InputRangeError, match="number of wheels"):
        draft.load()


def test_a_figure_can_be_taken_away_again() -> None:
    draft = filled(LoadDraft(form("belt or rack"))).with_figure(("mass",), None)
    assert draft.lacking == (("mass",),)


def test_mass_friction_and_motion_carry_over_to_another_way_along_a_line() -> None:
    draft = draft_of(form("belt or rack"), WINCH)
    assert draft.lacking == (("pulley_radius",), ("inclination",))
    load = filled(draft).load()
    assert isinstance(load.mechanism, BeltDrive)
    assert load.mechanism.mass == 3.0
    assert load.mechanism.friction.constant == 2.0
    assert load.motion == WINCH.motion
    assert load.start_position == 0.2


def test_metres_never_become_radians() -> None:
    load = filled(draft_of(form("rotary table"), WINCH)).load()
    assert isinstance(load.mechanism, RotaryTable)
    assert load.motion == ()
    assert load.start_position == 0.0
    assert load.friction_range == WINCH.friction_range


def test_the_other_form_of_a_screw_keeps_its_figures_and_drops_the_other_loss() -> None:
    screw = ScrewDrive(mass=5.0, lead=0.005, inclination=0.5 * math.pi, efficiency=0.4, preload_torque=0.02)
    draft = draft_of(form("screw, thread friction known"), Load(mechanism=screw))
    assert draft.lacking == (("friction_angle",), ("pitch_diameter",))
    changed = draft.with_figure(("friction_angle",), 0.1).with_figure(("pitch_diameter",), 0.014).load()
    mechanism = changed.mechanism
    assert isinstance(mechanism, ScrewDrive)
    assert (mechanism.mass, mechanism.inclination, mechanism.preload_torque) == (5.0, 0.5 * math.pi, 0.02)
    assert (mechanism.efficiency, mechanism.friction_angle) == (None, 0.1)


def test_the_friction_of_wheels_is_their_rolling_resistance() -> None:
    load = filled(LoadDraft(form("wheels"))).load()
    assert isinstance(load.mechanism, WheelDrive)
    assert load.mechanism.friction == LinearFriction(coefficient=0.3)
    assert (load.mechanism.driven_wheels, load.mechanism.wheels) == (2, 4)


STEPS: tuple[MotionStep, ...] = (
    RampStep(end_speed=2.0, duration=1.0),
    RunStep(duration=3.0),
    RampStep(end_speed=0.0, duration=1.0),
    DwellStep(duration=2.0),
)


def moving(*steps: MotionStep) -> Project:
    return edits.take_load(Project(), Load(mechanism=WINCH.mechanism, motion=steps))


def motion(project: Project) -> tuple[MotionStep, ...]:
    assert project.application.load is not None
    return project.application.load.motion


def test_steps_are_inserted_moved_changed_and_removed() -> None:
    project = moving(*STEPS)
    extra = DwellStep(duration=9.0, held=False)
    assert motion(edits.insert_steps(project, 1, [extra])) == (STEPS[0], extra, *STEPS[1:])
    assert motion(edits.remove_step(project, 1)) == (STEPS[0], *STEPS[2:])
    assert motion(edits.change_step(project, 3, extra)) == (*STEPS[:3], extra)
    assert motion(edits.move_step(project, 3, 2)) == (STEPS[0], STEPS[1], STEPS[3], STEPS[2])
    assert edits.move_step(project, 0, -1) is project
    assert edits.move_step(project, 3, 4) is project


def test_the_way_back_is_the_same_motion_in_the_other_direction() -> None:
    back = motion(edits.add_way_back(moving(*STEPS)))[len(STEPS) :]
    assert back == (RampStep(end_speed=-2.0, duration=1.0), STEPS[1], STEPS[2], STEPS[3])
    there = MoveStep(distance=0.4, duration=1.0, acceleration_share=0.2)
    (_, returning) = motion(edits.add_way_back(moving(there)))
    assert returning == MoveStep(distance=-0.4, duration=1.0, acceleration_share=0.2)


def test_the_way_back_ends_where_the_way_there_began() -> None:
    result: Result = evaluate(edits.add_way_back(moving(*STEPS)))
    assert result.load is not None
    assert result.load.position[-1] == pytest.approx(result.load.position[0], abs=1e-12)
