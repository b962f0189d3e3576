"""What each single change gains: it is the plain evaluation of the changed project, with a true reason."""

from __future__ import annotations

import numpy as np
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.evaluation.change_reasons import NOTABLE
from core.evaluation.torque_ratio import torque_ratio
from core.evaluation.what_helps import Change, what_helps, what_helps_steps, with_change
from core.project import edits
from core.project.application import Surroundings
from core.project.duty_cycle import Segment
from core.project.motor import NoLoadPoint, Variant
from core.project.motor_heat import ContinuousPoint, DataSheetHeat
from core.project.mounting import Plate
from core.project.project import Project
from core.project.transmission import Transmission
from tests.core.projects import CLEAN, candidate, project, segment
from tests.core.test_load_side import FLYWHEEL, with_load

GEAR = Transmission(ratio=3.0, efficiency=0.9, available_ratios=(2.0, 3.0, 5.0, 8.0))
FAST = (segment(4.0, 0.09, 250.0), segment(1.0, 0.0, 250.0))
SLOW = (segment(4.0, 0.06, 2.0), segment(1.0, 0.0, 2.0))


def of_subject(changes: tuple[Change, ...], subject: str) -> tuple[Change, ...]:
    return tuple(change for change in changes if change.proposal.subject == subject)


def only(changes: tuple[Change, ...], subject: str) -> Change:
    (change,) = of_subject(changes, subject)
    return change


def winding_temps(change: Change) -> tuple[float, float]:
    before, after = change.before.winding_temp, change.after.winding_temp
    assert before is not None
    assert after is not None
    return before, after


def sheet_variant(variant: Variant, plate: Plate | None) -> Variant:
    """Return a variant with the heat of a data sheet and a drag, invented ones."""
    point = ContinuousPoint(speed=544.5, shaft_torque=0.1081, winding_temp=145.0, commutation="six-step")
    heat = DataSheetHeat(
        winding_housing_resistance=1.74,
        housing_ambient_resistance=7.98,
        winding_time_constant=18.2,
        motor_time_constant=533.0,
        stated_mounting="plate in still air",
        stated_plate=plate,
        continuous_point=point if variant.kind == "open rotor" else None,
    )
    drag = (NoLoadPoint(speed=217.8, drag_torque=0.00554), NoLoadPoint(speed=653.5, drag_torque=0.01075))
    return replace(variant, heat=heat, no_load=drag)


def hot_project(
    *duty: Segment,
    plate: Plate | None = None,
    around: Surroundings = CLEAN,
    gear: Transmission | None = None,
) -> Project:
    """Return a project with the enclosed and the open variant of a motor by its data sheet."""
    enclosed, opened = candidate(transmission=gear), candidate(variant="open rotor", transmission=gear)
    assert enclosed.motor is not None
    variants = tuple(sheet_variant(variant, plate) for variant in enclosed.motor.variants)
    motor = replace(enclosed.motor, variants=variants)
    both = tuple(replace(one, motor=motor) for one in (enclosed, opened))
    return project(*duty, candidates=both, surroundings=around)


def test_each_change_is_the_evaluation_of_the_project_it_makes() -> None:
    of = with_load(FLYWHEEL, GEAR)
    for change in what_helps(of, 0):
        made = with_change(of, change)
        result = evaluate(made).candidates[-1]
        assert change.after.torque_reserve == pytest.approx(result.torque_reserve)
        least = min(m.above_target for m in result.margins if m.above_target is not None)
        assert change.after.least_margin == pytest.approx(least)
        assert change.before.least_margin is not None
        assert change.gained == pytest.approx(least - change.before.least_margin)


def test_nothing_of_the_project_is_lost() -> None:
    of = with_load(FLYWHEEL, GEAR)
    of = edits.change_application(of, notes="kept", duty_cycle=(segment(1.0, 0.01, 5.0),))
    for change in what_helps(of, 0):
        made = with_change(of, change)
        if change.kind == "candidate":
            assert made.application == of.application
            assert made.candidates[:-1] == of.candidates
            assert made.candidates[-1].drive == of.candidates[0].drive
            assert made.candidates[-1].name != of.candidates[0].name
        else:
            assert made.candidates == of.candidates
            old, new = of.application, made.application
            differing = [name for name in old.__struct_fields__ if getattr(old, name) != getattr(new, name)]
            assert len(differing) == 1


def test_an_enclosed_motor_that_is_too_hot_gains_by_an_open_rotor_at_high_speed() -> None:
    # common practice, no source: the open variant leads except near standstill
    changes = what_helps(hot_project(*FAST), 0)
    opened = only(changes, "variant")
    assert opened.before.least_margin is not None
    assert opened.before.least_margin < 0.0
    assert opened.helps
    before, after = winding_temps(opened)
    assert after < before
    assert opened.proposal.candidate is not None
    assert opened.proposal.candidate.name == "47 mm frame, open rotor"


def test_the_way_back_says_that_the_airflow_is_missing() -> None:
    enclosed = only(what_helps(hot_project(*FAST), 1), "variant")
    assert not enclosed.helps
    assert enclosed.gained is not None
    assert enclosed.gained < 0.0
    assert str(enclosed.reason).startswith("the airflow of the open rotor is missing, at 2390")


def test_where_the_variants_cross_the_band_leaves_the_gain_open() -> None:
    def at(speed: float) -> Project:
        return project(segment(10.0, 0.1, speed))

    ratio = torque_ratio(evaluate(at(20.0)), 1, 0)
    assert ratio is not None
    (crossing,) = ratio.crossings
    assert crossing.to_speed is not None
    between = 0.5 * (crossing.speed + crossing.to_speed)
    for index in (0, 1):
        change = only(what_helps(at(between), index), "variant")
        assert change.is_open
        assert not change.helps
        assert str(change.reason).startswith("the band leaves it open: ")
        assert change.temp_is_open  # at speeds where both carry about the same, both are about as warm
    beyond = only(what_helps(at(4.0 * crossing.to_speed), 0), "variant")
    assert beyond.helps
    assert not beyond.is_open
    assert not beyond.temp_is_open


def test_a_rewinding_gains_no_heat() -> None:
    changes = of_subject(what_helps(hot_project(*SLOW), 0), "winding")
    assert len(changes) == 4
    for change in changes:
        assert not change.helps
        before, after = winding_temps(change)
        assert after == pytest.approx(before, abs=0.5)
        assert str(change.reason).startswith("a rewinding gains no heat: the motor constant, ")


def test_a_winding_for_too_little_voltage_loses_and_says_what_governs() -> None:
    starved = next(
        change
        for change in of_subject(what_helps(hot_project(*FAST), 0), "winding")
        if str(change.label) == "winding 48 V instead of 24 V"
    )
    assert starved.gained is not None
    assert starved.gained < 0.0
    assert str(starved.reason).startswith("then voltage reserve governs: margin −")


def test_a_longer_move_over_the_same_way_takes_less_torque() -> None:
    of = with_load(replace(FLYWHEEL, friction_factor=0.0))
    moves = only(what_helps(of, 0), "moves")
    before, after = winding_temps(moves)
    assert after < before
    made = with_change(of, moves)
    duty = evaluate(made).duty
    # by hand: speed 150/1.1 in 0.33 s, J = 1e-4; the dwell of 1 s stays
    torque = duty.shaft_torque.reshape(-1, 2).mean(axis=1)
    np.testing.assert_allclose(torque, [0.05 / 1.21, 0.0, -0.075 / 1.21, 0.0], atol=1e-12)
    np.testing.assert_allclose(duty.edges, [0.0, 0.33, 0.88, 1.1, 2.1])
    assert str(moves.label).endswith("cycle 2.00 s → 2.10 s".replace(" s", "\N{NO-BREAK SPACE}s"))


def test_rests_are_longer_by_a_tenth_of_the_cycle_and_entered_moves_stay() -> None:
    cycle = (
        segment(1.0, 0.1, 0.0, 200.0),
        segment(1.0, -0.1, 200.0, 0.0),
        segment(0.5, 0.0, 0.0),
        segment(0.5, 0.02, 0.0),
    )
    changes = what_helps(project(*cycle), 0)
    assert not of_subject(changes, "moves"), "the torque of an entered segment at another speed is not known"
    rests = only(changes, "rests")
    assert "longer rests, moves as entered" in str(rests.label)
    made = with_change(project(*cycle), rests).application.duty_cycle
    # by hand: 10 % of 3 s, shared by the two rests of 0.5 s
    assert [part.duration for part in made] == pytest.approx([1.0, 1.0, 0.65, 0.65])
    assert [replace(part, duration=1.0) for part in made] == [replace(part, duration=1.0) for part in cycle]
    assert not of_subject(what_helps(hot_project(*FAST), 0), "rests"), "a drive that never rests"


def test_largest_gain_first_and_what_loses_last() -> None:
    changes = what_helps(with_load(FLYWHEEL, GEAR), 0)
    gained = [0.0 if abs(c.gained or 0.0) <= NOTABLE else c.gained or 0.0 for c in changes]
    assert gained == sorted(gained, reverse=True)
    assert gained[0] > 0.0 > gained[-1]
    assert all(change.reason for change in changes if not change.helps), "no loss without a reason"


def test_the_next_ratios_that_can_be_had() -> None:
    labels = {str(c.label) for c in of_subject(what_helps(with_load(FLYWHEEL, GEAR), 0), "ratio")}
    assert labels == {"gear ratio 2 : 1 instead of 3 : 1", "gear ratio 5 : 1 instead of 3 : 1"}
    any_ratio = Transmission(ratio=4.0)
    labels = {str(c.label) for c in of_subject(what_helps(with_load(FLYWHEEL, any_ratio), 0), "ratio")}
    assert labels == {"gear ratio 3.2 : 1 instead of 4 : 1", "gear ratio 5 : 1 instead of 4 : 1"}
    assert not of_subject(what_helps(with_load(FLYWHEEL), 0), "ratio"), "direct drive"


def test_a_ratio_without_effect_says_why() -> None:
    ratios = of_subject(what_helps(hot_project(*FAST, gear=GEAR), 0), "ratio")
    assert len(ratios) == 2
    assert all("duty is entered at the motor shaft" in str(change.reason) for change in ratios)
    assert all(change.gained == 0.0 for change in ratios)


def test_an_open_rotor_that_is_ruled_out_says_so() -> None:
    dusty = replace(CLEAN, dust="yes")
    of = hot_project(*SLOW, around=dusty)
    opened = only(what_helps(of, 0), "variant")
    assert opened.gained is None
    assert not opened.helps
    assert str(opened.reason).startswith("ruled out: dust, ")
    assert what_helps(of, 0)[-1] is not None
    assert what_helps(of, 0)[-1].proposal.subject == "variant"
    back = what_helps(of, 1)
    assert back[0].proposal.subject == "variant"
    assert back[0].helps
    assert str(back[0].reason) == "no longer ruled out: dust"
    assert all(str(change.reason) == "still ruled out: dust" for change in of_subject(back, "winding"))


def test_a_larger_plate_gains_and_none_loses_where_the_plate_of_the_data_sheet_is_known() -> None:
    of = hot_project(segment(4.0, 0.03, 2.0), plate=Plate(side=0.050, thickness=0.002))
    without, twice = sorted(
        of_subject(what_helps(of, 0), "mounting"), key=lambda change: change.gained or 0.0
    )
    assert str(without.label) == "no plate: the flange gives off no heat"
    assert winding_temps(without)[1] > winding_temps(without)[0]
    for change in (without, twice):  # the continuous torque with and without, beside the margin
        assert str(change.reason).startswith("continuous torque ")
        assert " as it is" in str(change.reason)
    assert twice.helps
    assert twice.proposal.application is not None
    plate = twice.proposal.application.site.mounting.plate
    assert plate is not None
    assert (plate.side, plate.thickness, plate.material) == (0.100, 0.002, "aluminium")
    on_it = with_change(of, twice)
    labels = {str(change.label) for change in of_subject(what_helps(on_it, 0), "mounting")}
    assert "plate as in the data sheet" in labels


def test_a_mounting_that_cannot_be_applied_says_why() -> None:
    mounting = only(what_helps(hot_project(*SLOW), 0), "mounting")
    assert mounting.gained == 0.0
    assert "the plate of its data sheet is not known" in str(mounting.reason)


def test_other_current_has_the_ratio_of_copper_losses_as_its_reason() -> None:
    current = only(what_helps(hot_project(*SLOW), 0), "current")
    assert str(current.label) == "six-step current instead of sinusoidal"
    # closed form for a sinusoidal EMF: mean torque of a 60 degree sector is 3/pi of its peak, so the same
    # torque takes (pi^2/6) / (3/2) = 1.0966 times the copper loss
    assert "takes 1.10 times the copper loss" in str(current.reason)
    six_step = edits.change_candidate(hot_project(*SLOW), 0, commutation="six-step")
    assert only(what_helps(six_step, 0), "current").helps


def test_cooler_air_is_ten_kelvin_cooler() -> None:
    cooler = only(what_helps(hot_project(*SLOW), 0), "ambient")
    assert cooler.helps
    assert cooler.proposal.application is not None
    assert cooler.proposal.application.site.ambient == 30.0


def test_the_governing_room_is_not_touched_by_heat() -> None:
    of = edits.change_application_part(
        hot_project(*SLOW), ("requirements", "envelope", "largest_diameter"), 0.030
    )
    ambient = only(what_helps(of, 0), "ambient")
    assert ambient.gained == 0.0
    assert ambient.reason == "diameter governs and is not touched by it"


def test_without_a_duty_there_is_nothing_to_gain() -> None:
    assert what_helps(project(), 0) == ()
    assert list(what_helps_steps(project(), 0)) == []
    trace = edits.change_application(hot_project(*SLOW), duty_from="trace")
    assert what_helps(trace, 0) == ()


def test_no_step_is_longer_than_one_evaluation_or_one_band() -> None:
    steps = list(what_helps_steps(hot_project(*SLOW), 0))
    assert steps[:-1] == [None] * (len(steps) - 1)
    assert steps[-1] is not None
    # the candidate as it is, each change, and the bands of the two variants; then the answer
    assert len(steps) == 1 + len(steps[-1]) + 2 + 1
