"""What a draft of a data sheet lacks, the motor it becomes, and its figures compared with each other.

Every expected number is worked by hand beside it, from first principles.
"""

from __future__ import annotations

import math

import pytest

from core.catalogue.likely_readings import likely_readings
from core.catalogue.motor_draft import FigureError, MotorDraft, missing_figures, motor_of
from core.catalogue.sheet_checks import CrossCheck, cross_checks
from core.catalogue.sheet_figures import FIGURE, FRAME, VARIANT, WINDING, Figures
from core.project.motor import DataSheetHeat

FRAME_FIGURES: Figures = {"frame": "own flat motor", "pole pairs": 7.0}
WINDING_24: Figures = {
    "winding": "24 V",
    "torque constant": 0.05,
    "torque constant meaning": "per link ampere, six-step",
    "resistance": 1.2,
    "inductance": 0.6e-3,
}
OPEN: Figures = {"variant": "open rotor", "rotor inertia": 1e-5}
HEAT: Figures = {
    "thermal resistance winding to housing": 1.5,
    "thermal resistance housing to ambient": 7.5,
    "winding time constant": 15.0,
    "motor time constant": 750.0,
}


def draft(
    winding: Figures | None = None, variant: Figures | None = None, frame: Figures | None = None
) -> MotorDraft:
    return MotorDraft(
        {**FRAME_FIGURES, **(frame or {})},
        ({**WINDING_24, **(winding or {})},),
        ({**OPEN, **(variant or {})},),
    )


def check(code: str, of: MotorDraft) -> CrossCheck:
    found = [one for one in cross_checks(of) if one.code == code]
    assert len(found) == 1, [one.code for one in cross_checks(of)]
    return found[0]


def text(one: CrossCheck) -> str:
    return str(one.sentence).replace("\N{NO-BREAK SPACE}", " ")


def test_an_empty_draft_names_what_is_needed() -> None:
    needed = [one.key for one in missing_figures(MotorDraft()) if one.needed]
    assert needed == [
        "frame", "pole pairs", "winding", "resistance", "inductance", "torque constant", "variant",
        "rotor inertia",
    ]  # fmt: skip


def test_what_costs_an_answer_is_named_without_being_needed() -> None:
    lacking = missing_figures(draft())
    assert not any(one.needed for one in lacking)
    assert [one.key for one in lacking] == [
        "thermal class", "magnet limit", "thermal resistance winding to housing", "drag torque",
    ]  # fmt: skip


def test_figures_become_the_saved_motor() -> None:
    rated: Figures = {
        "continuous torque": 0.2, "continuous torque speed": 300.0, "continuous torque winding": 115.0,
        "plate side": 0.1, "plate thickness": 0.005, "stands dust": "no",
    }  # fmt: skip
    motor = motor_of(draft({"resistance temperature": 20.0}, {**HEAT, **rated}, {"thermal class": "F"}))
    winding, variant = motor.windings[0], motor.variants[0]
    assert (motor.name, motor.pole_pairs, motor.thermal_class) == ("own flat motor", 7, "F")
    assert (winding.resistance.value, winding.resistance.temp) == (1.2, 20.0)
    assert isinstance(variant.heat, DataSheetHeat)
    assert variant.heat.stated_plate is not None
    assert variant.heat.stated_plate.side == 0.1
    assert variant.heat.continuous_point is not None
    assert variant.heat.continuous_point.ambient == 25.0
    assert variant.tolerates.dust is False
    assert variant.tolerates.liquid is None


def test_drag_follows_from_the_no_load_current_where_no_drag_is_given() -> None:
    # 0.05 N m/A * 0.2 A = 0.010 N m
    motor = motor_of(draft({"no-load speed": 400.0, "no-load current": 0.2}))
    assert motor.variants[0].no_load[0].speed == 400.0
    assert motor.variants[0].no_load[0].drag_torque == pytest.approx(0.010, rel=1e-12)
    stated = motor_of(
        draft({"no-load speed": 400.0, "no-load current": 0.2}, {"drag torque": 0.02, "drag speed": 300.0})
    )
    assert stated.variants[0].no_load[0].drag_torque == 0.02


@pytest.mark.parametrize(
    ("winding", "variant", "key", "word"),
    [
        ({"resistance": -1.2}, {}, "resistance", "must be > 0, got"),
        ({"back-EMF constant": 0.05}, {}, "back-EMF constant meaning", "which volt is meant"),
        ({}, {"rotor inertia": -1e-5}, "rotor inertia", "must be >= 0, got −100 g·cm²"),
        ({}, {"drag torque": 0.01}, "drag speed", "together with"),
        ({}, {"motor time constant": 600.0}, "thermal resistance winding to housing", "together with"),
    ],
)
def test_a_figure_that_cannot_be_is_named(winding: Figures, variant: Figures, key: str, word: str) -> None:
    with pytest.raises(FigureError) as caught:
        motor_of(draft(winding, variant))
    assert caught.value.key == key
    assert word in str(caught.value).replace("\N{NO-BREAK SPACE}", " ")


def test_constants_that_agree() -> None:
    # six-step k_t of a sine is 3/pi of the peak line-to-line back-EMF constant
    one = check(
        "constants",
        draft({"back-EMF constant": 0.05 * math.pi / 3.0, "back-EMF constant meaning": "line-to-line peak"}),
    )
    assert one.follows == pytest.approx(0.05, rel=1e-9)
    assert one.verdict == "agrees"
    assert one.tolerance == "May differ by 3\N{NO-BREAK SPACE}%."


def test_constants_apart_by_the_root_of_two_name_the_reading_that_agrees() -> None:
    one = check(
        "constants",
        draft({"back-EMF constant": 0.05 * math.pi / 3.0, "back-EMF constant meaning": "line-to-line rms"}),
    )
    assert one.verdict == "contradicts"
    assert one.follows == pytest.approx(0.05 * math.sqrt(2.0), rel=1e-9)
    assert "1.414, near sqrt 2" in text(one)
    assert "the back-EMF constant means 'line-to-line peak'" in text(one)
    assert "used as stated" in text(one)


def test_a_speed_constant_is_compared_as_a_reciprocal() -> None:
    # 1 / 0.05 = 20 rad/(s V) of the mean six-step voltage, for which k_e equals k_t
    one = check(
        "constants", draft({"speed constant": 20.0, "speed constant meaning": "of mean six-step voltage"})
    )
    assert one.follows == pytest.approx(20.0, rel=1e-9)
    assert one.verdict == "agrees"


@pytest.mark.parametrize(
    ("stated", "verdict", "words"),
    [
        (20.0, "agrees", ""),  # 24 V / 1.2 ohm
        (10.0, "contradicts", "the resistance means 'phase of star' and not 'line-to-line'"),
        (30.0, "contradicts", "the resistance means 'branch of delta' and not 'line-to-line'"),
        # (235 + 25) * 20/15 - 235 = 111.7 degC, copper constant of IEC 60034-1
        (15.0, "contradicts", "the winding was at 112 °C"),
        (4.0, "contradicts", "electronics may limit the current"),
    ],
)
def test_stall_current(stated: float, verdict: str, words: str) -> None:
    one = check("stall current", draft({"sheet voltage": 24.0, "stall current": stated}))
    assert one.follows == pytest.approx(20.0, rel=1e-12)
    assert one.verdict == verdict
    assert words in text(one)


def test_stall_torque_is_the_constant_times_the_current() -> None:
    # 0.05 N m/A * 20 A = 1 N m
    figures: Figures = {"sheet voltage": 24.0, "stall current": 20.0, "stall torque": 0.6}
    one = check("stall torque", draft(figures))
    assert one.follows == pytest.approx(1.0, rel=1e-12)
    assert one.deviation == pytest.approx(-0.4, rel=1e-12)
    assert "Saturation" in text(one)
    in_thousandths = check("stall torque", draft({**figures, "stall torque": 1e-3}))
    assert "ten to the power -3: a unit may be wrong" in text(in_thousandths)


def test_no_load_speed_counts_the_drop_of_the_no_load_current() -> None:
    # (24 V - 1.2 ohm * 0.2 A) / 0.05 V s/rad = 475.2 rad/s
    figures: Figures = {"sheet voltage": 24.0, "no-load current": 0.2, "no-load speed": 475.2}
    assert check("no-load speed", draft(figures)).follows == pytest.approx(475.2, rel=1e-12)
    slow = check("no-load speed", draft({**figures, "no-load speed": 427.68}))
    assert slow.verdict == "contradicts"
    assert "limit of 90 %" in text(slow)


@pytest.mark.parametrize(
    ("stated", "verdict", "words"),
    [
        (4.8e-3, "agrees", ""),  # 1e-5 * 1.2 / 0.05^2
        (9.6e-3, "contradicts", "2.000, near 2: the resistance in it may be that of a phase"),
        (4.8, "contradicts", "ten to the power 3"),
    ],
)
def test_mechanical_time_constant(stated: float, verdict: str, words: str) -> None:
    one = check("mechanical time constant", draft(None, {"mechanical time constant": stated}))
    assert one.follows == pytest.approx(4.8e-3, rel=1e-12)
    assert one.verdict == verdict
    assert words in text(one)


def test_windings_of_a_frame_share_the_motor_constant() -> None:
    # twice the turns: twice the constant, four times the resistance; half of that is a phase
    twice: Figures = {**WINDING_24, "winding": "48 V", "torque constant": 0.1, "resistance": 4.8}
    good = MotorDraft(FRAME_FIGURES, (WINDING_24, twice), (OPEN,))
    assert check("motor constants", good).verdict == "agrees"
    bad = MotorDraft(FRAME_FIGURES, (WINDING_24, {**twice, "resistance": 2.4}), (OPEN,))
    one = check("motor constants", bad)
    assert one.place == "winding 48 V"
    assert one.stated / one.follows == pytest.approx(math.sqrt(2.0), rel=1e-9)
    assert "phase of the star" in text(one)


def test_a_thermal_resistance_that_the_size_cannot_have_without_a_plate() -> None:
    # 60 mm by 25 mm: pi*0.06*0.025 + pi*0.06^2/2 = 0.01037 m2. Radiation at 80/25 degC with 0.9:
    # 0.9*5.67e-8*(353.15+298.15)*(353.15^2+298.15^2) = 7.1 W/(m2 K); natural convection 5 to 8 W/(m2 K).
    size: Figures = {"diameter": 0.060, "length": 0.025}
    fair = check("surface", draft(None, {**HEAT, **size}))
    assert 1.0 / (0.01037 * (7.1 + 8.0)) < fair.follows < 1.0 / (0.01037 * (7.1 + 5.0))
    assert fair.verdict == "agrees"
    assert fair.tolerance.startswith("May differ by a factor of 2.5: finish of the surface")
    small = check("surface", draft(None, {**HEAT, **size, "thermal resistance housing to ambient": 1.8}))
    assert small.verdict == "contradicts"
    assert "impossible for the size without a plate" in text(small)
    plate: Figures = {"plate side": 0.2, "plate thickness": 0.006}
    on_plate = {**HEAT, **size, **plate, "thermal resistance housing to ambient": 1.8}
    assert check("surface", draft(None, on_plate)).verdict == "agrees"


def test_heat_capacity_against_mass() -> None:
    # 750 s / 7.5 K/W = 100 J/K; 0.2 kg * 480 J/(kg K) = 96 J/K
    one = check("heat capacity", draft(None, {**HEAT, "mass": 0.2}))
    assert one.stated == pytest.approx(100.0)
    assert one.follows == pytest.approx(96.0)
    minutes = check("heat capacity", draft(None, {**HEAT, "mass": 0.2, "motor time constant": 12.5}))
    assert minutes.verdict == "contradicts"
    assert "minutes" in text(minutes)


def test_continuous_torque_against_the_heat_figures() -> None:
    # 90 K over 9 K/W is 10 W. Six-step at constant flux: k_m^2 = 0.05^2/1.2 = 2.0833e-3 (N m)^2/W at 25 degC;
    # hot resistance (235+115)/(235+25) = 1.34615: T = sqrt(10 * 2.0833e-3 / 1.34615) = 0.12440 N m
    rated: Figures = {
        "variant": "enclosed", "continuous torque": 0.12, "continuous torque speed": 300.0,
        "continuous torque winding": 115.0, "continuous torque commutation": "six-step",
    }  # fmt: skip
    one = check("continuous torque", draft(None, {**HEAT, **rated}))
    # the flux at the housing, 25 + 90*7.5/9 = 100 degC: 1 - 0.0011*75 = 0.9175
    assert one.follows == pytest.approx(0.9175 * 0.12440, rel=1e-4)
    assert one.verdict == "agrees"
    assert one.tolerance == "May differ by 15\N{NO-BREAK SPACE}%."
    cooled = check(
        "continuous torque", draft(None, {**HEAT, **rated, "variant": "open rotor", "continuous torque": 0.2})
    )
    assert cooled.verdict == "agrees"
    assert cooled.tolerance.startswith("May differ by a factor of 2.5: an open rotor cools itself")
    high = check("continuous torque", draft(None, {**HEAT, **rated, "continuous torque": 0.3}))
    assert high.verdict == "contradicts"
    assert "another plate" in text(high)


def test_an_incomplete_draft_gives_the_comparisons_it_can() -> None:
    half = MotorDraft({}, ({"winding": "24 V", "resistance": 1.2, "sheet voltage": 24.0},), ({},))
    assert cross_checks(half) == ()


def test_every_key_is_there_once() -> None:
    assert len(FIGURE) == len(FRAME) + len(WINDING) + len(VARIANT)


def test_the_one_reading_that_settles_most_is_named() -> None:
    # k_e is stated as rms and is the peak: k_t, stall torque and no-load speed all speak against it
    figures: Figures = {
        "back-EMF constant": 0.05 * math.pi / 3.0, "back-EMF constant meaning": "line-to-line rms",
        "sheet voltage": 24.0, "stall current": 20.0, "stall torque": 1.0, "no-load speed": 480.0,
    }  # fmt: skip
    of = draft(figures)
    checks = cross_checks(of)
    assert sum(one.verdict == "contradicts" for one in checks) == 3
    (reading,) = likely_readings(of, checks)
    assert (reading.key, reading.other, reading.contradictions) == (
        "back-EMF constant meaning",
        "line-to-line peak",
        0,
    )
    assert reading.sentence == (
        "If the back-EMF constant means 'line-to-line peak' and not 'line-to-line rms', nothing contradicts."
    )


def test_no_reading_is_offered_where_nothing_contradicts_or_none_helps() -> None:
    good = draft({"sheet voltage": 24.0, "stall current": 20.0})
    assert likely_readings(good, cross_checks(good)) == ()
    odd = draft({"sheet voltage": 24.0, "stall current": 3.0})
    assert likely_readings(odd, cross_checks(odd)) == ()
