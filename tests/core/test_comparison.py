"""Candidates side by side against hand calculation: sizes, torque ratio, band, crossings, rows, verdict."""

from __future__ import annotations

import math
from dataclasses import replace as with_fields
from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from core.errors import InputRangeError
from core.evaluate import evaluate
from core.evaluation.comparison import Comparison, comparison, comparison_table
from core.evaluation.comparison_rows import ComparisonRow, best_of
from core.evaluation.comparison_torque import mean_speed
from core.evaluation.fitted_size import fitted_size
from core.evaluation.torque_course import torque_course
from core.evaluation.torque_ratio import TorqueRatio, torque_ratio
from core.findings import Caution
from core.project.application import Application, Site, Surroundings
from core.project.candidate import Candidate
from core.project.drive import Drive
from core.project.feedback import Encoder
from core.project.fittings import HoldingBrake
from core.project.motor import Tolerates, VariantKind
from core.project.mounting import Guard
from core.project.project import Project
from core.project.project_file import read_project
from core.project.transmission import Transmission
from core.results import Losses, Result
from core.sentences import Sentence, as_text
from core.units import DisplayUnits, Kind
from tests.core.compared_results import LEVEL, RISING, Given, candidate, duty, margin, result
from tests.core.projects import project, segment

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
UNITS = DisplayUnits()


def words(text: str | Sentence) -> str:
    return as_text(text, UNITS).replace("\N{NO-BREAK SPACE}", " ")


def ratio_between(first: Given, second: Given) -> TorqueRatio:
    found = torque_ratio(result(first, second), 0, 1)
    assert found is not None
    return found


def row(of: Result, code: str, first: int = 0, second: int = 1) -> ComparisonRow:
    found = comparison_table(of, (first, second)).row(code)
    assert found is not None, code
    return found


# ---- ratio, band, crossings; RISING is 0.12 N m at 200 rad/s ----


def test_ratio_and_crossing_by_hand() -> None:
    ratio = ratio_between(Given(RISING), Given(LEVEL))
    assert ratio.ratio == pytest.approx([0.1 / 0.12, 0.11 / 0.12, 0.125 / 0.12, 0.14 / 0.12])
    (crossing,) = ratio.crossings
    assert crossing.speed == pytest.approx(200.0)
    assert crossing.rising
    assert not crossing.has_band
    assert ratio.low is None


@pytest.mark.parametrize(
    ("first", "second", "width"),
    [
        pytest.param({"outer surfaces": 0.06}, {"outer surfaces": 0.08}, 0.10, id="own sources, 3-4-5"),
        pytest.param({"outer surfaces": 0.06}, {"end windings": 0.08}, 0.10, id="different sources"),
        pytest.param({"outer surfaces": 0.06, "end windings": 0.08}, {}, 0.10, id="one is sure"),
    ],
)
def test_sources_of_each_add_as_squares(
    first: dict[str, float], second: dict[str, float], width: float
) -> None:
    ratio = ratio_between(Given(RISING, first), Given(LEVEL, second, kind="enclosed"))
    assert ratio.low == pytest.approx(ratio.ratio / (1.0 + width))
    assert ratio.high == pytest.approx(ratio.ratio * (1.0 + width))
    (crossing,) = ratio.crossings
    # high is 1 where RISING is 0.12 / 1.1, low where it is 0.12 * 1.1
    assert crossing.from_speed == pytest.approx((0.12 / 1.1 - 0.1) / 1e-4)
    assert crossing.to_speed == pytest.approx((0.12 * 1.1 - 0.1) / 1e-4)


def test_shared_source_counts_with_its_difference() -> None:
    doubts = ({"end windings": 0.06}, {"end windings": 0.08})
    one, other = Given(RISING, doubts[0], shared=True), Given(LEVEL, doubts[1], shared=True, kind="enclosed")
    (crossing,) = ratio_between(one, other).crossings
    assert crossing.from_speed == pytest.approx((0.12 / 1.02 - 0.1) / 1e-4)
    assert crossing.to_speed == pytest.approx((0.12 * 1.02 - 0.1) / 1e-4)
    other.frame = "another frame"
    far = ratio_between(one, other)
    assert far.low == pytest.approx(far.ratio / 1.1), "another frame has an end winding of its own"


def test_same_variant_of_a_frame_shares_every_source() -> None:
    one, other = Given(RISING, {"outer surfaces": 0.06}), Given(LEVEL, {"outer surfaces": 0.08})
    ratio = ratio_between(one, other)
    assert ratio.high == pytest.approx(1.02 * ratio.ratio)


def test_band_that_never_leaves_one_is_open() -> None:
    one, other = Given(RISING, {"a": 0.5}), Given(LEVEL, {"b": 0.0}, kind="enclosed")
    found = comparison(result(one, other), 0, 1)
    assert found.ratio is not None
    (crossing,) = found.ratio.crossings
    assert (crossing.has_band, crossing.from_speed, crossing.to_speed) == (True, None, None)
    assert "within the uncertainty at every speed" in words(found.crossing)


def test_band_open_towards_rest_only() -> None:
    # high at rest is 1.25 * 0.1 / 0.12 = 1.04: the band holds 1 there
    one, other = Given((0.1, 0.11, 0.125, 0.2), {"a": 0.25}), Given(LEVEL, {}, kind="enclosed")
    (crossing,) = ratio_between(one, other).crossings
    assert crossing.from_speed is None
    # low rises from 0.125 / 0.12 / 1.25 = 5/6 at 250 to 0.2 / 0.12 / 1.25 = 8/6 at 400
    assert crossing.to_speed == pytest.approx(300.0)


def test_two_crossings_and_none() -> None:
    twice = ratio_between(Given((0.1, 0.14, 0.14, 0.1)), Given(LEVEL))
    # both are straight: half way between 0 and 100, and between 250 and 400
    assert [crossing.speed for crossing in twice.crossings] == pytest.approx([50.0, 325.0])
    assert [crossing.rising for crossing in twice.crossings] == [True, False]
    ahead = comparison(result(Given((0.15,) * 4), Given(LEVEL)), 0, 1)
    assert ahead.ratio is not None
    assert ahead.ratio.crossings == ()
    assert "A has the larger continuous torque at every speed" in words(ahead.crossing)
    assert "1.25 to 1.25 times" in words(ahead.crossing)
    assert "no uncertainty is known" in words(ahead.crossing)


def test_touching_is_no_crossing_and_a_shared_stretch_has_a_middle() -> None:
    assert ratio_between(Given((0.14, 0.12, 0.14, 0.15)), Given(LEVEL)).crossings == ()
    (crossing,) = ratio_between(Given((0.1, 0.12, 0.12, 0.14)), Given(LEVEL)).crossings
    assert crossing.speed == pytest.approx(175.0)


def test_no_crossing_names_where_the_band_leaves_it_open() -> None:
    # 1.0833 at rest and 100, 1.25 beyond: a factor of 1.1 brings them down to 0.985 and 1.136
    one, other = Given((0.13, 0.13, 0.15, 0.15), {"a": 0.1}), Given(LEVEL, {}, kind="enclosed")
    text = words(comparison(result(one, other), 0, 1).crossing)
    assert "the uncertainty leaves that open between 0 rpm and 955 rpm" in text
    sure = words(comparison(result(with_given(one, doubts={"a": 0.01}), other), 0, 1).crossing)
    assert sure.endswith("beyond the uncertainty.")


def with_given(given: Given, **fields: object) -> Given:
    return with_fields(given, **fields)  # type: ignore[arg-type]


def test_rest_stands_for_itself() -> None:
    course = torque_course(result(Given((0.05, 0.1, 0.1, 0.1))), 0)
    assert course is not None
    assert course.torque_at(0.0) == pytest.approx(0.05)
    assert course.torque_at(10.0) == pytest.approx(0.1), "one phase holds at rest only"
    assert course.torque_at(500.0) is None
    found = ratio_between(Given((0.06, 0.1, 0.1, 0.1)), Given((0.12, 0.1, 0.1, 0.1))).at(10.0)
    assert found is not None
    assert found[0] == pytest.approx(1.0)


def test_gears_that_differ_put_both_at_the_load() -> None:
    gear = Transmission(ratio=2.0, efficiency=0.8, drag_torque=0.02)
    geared = Given(LEVEL, {"a": 0.1}, fields={"transmission": gear})
    at_load = Application(title="load", duty_from="load", site=Site(ambient=40.0))
    both = result(geared, Given(LEVEL, {"a": 0.0}), application=at_load)
    ratio = torque_ratio(both, 0, 1)
    assert ratio is not None
    assert ratio.at_load
    assert ratio.speed[-1] == pytest.approx(200.0), "400 rad/s through 2 : 1"
    # (0.12 - 0.02) * 0.8 * 2 = 0.16 N m against 0.12; 10 % of 0.12 N m are 12 % of the 0.10 that are left
    assert ratio.ratio == pytest.approx(0.16 / 0.12)
    assert ratio.high == pytest.approx(1.12 * 0.16 / 0.12)
    entered = torque_ratio(result(geared, Given(LEVEL)), 0, 1)
    assert entered is not None
    assert not entered.at_load, "a duty entered at the shaft passes no gear"
    table = comparison_table(both, (0, 1))
    torque = table.row("torque, mean speed")
    assert torque is not None
    assert torque.kind is Kind.LOAD_TORQUE
    # duty of 150 rad/s in the mean at the shaft of the first: 75 rad/s at the load
    assert "at the load at the mean speed of 716 rpm" in words(torque.label)


def test_unknown_torque_has_no_ratio() -> None:
    found = comparison(result(Given(None), Given(LEVEL)), 0, 1)
    assert found.ratio is None
    assert row(result(Given(None), Given(LEVEL)), "torque, mean speed").texts == ("no continuous torque", "")
    assert "not known of both" in words(found.verdict)


# ---- sizes ----


def test_size_counts_what_is_fitted_and_the_guard() -> None:
    fitted: dict[str, object] = {
        "feedback": Encoder(counts=1024, length=0.008, mass=0.03, inertia=1e-6),
        "brake": HoldingBrake(holding_torque=0.1, length=0.012, mass=0.05, inertia=2e-6),
        "drive": Drive(built_in=True, mass=0.02),
    }
    guard = Site(ambient=40.0, around=Guard(open_share=0.5, clearance=0.01))
    size = fitted_size(candidate(0, Given(fields=fitted)), guard)
    assert size.length == pytest.approx(0.020 + 0.008 + 0.012 + 0.010)
    assert size.diameter == pytest.approx(0.040 + 2 * 0.010)
    assert size.volume == pytest.approx(math.pi / 4.0 * 0.06**2 * 0.05)
    assert size.mass == pytest.approx(0.2 + 0.03 + 0.05 + 0.02)
    assert size.rotor_inertia == pytest.approx(1.3e-5)
    assert set(size.counted) >= {"encoder", "brake", "clearance of the guard"}
    enclosed = fitted_size(candidate(0, Given(kind="enclosed", fields=fitted)), guard)
    assert (enclosed.length, enclosed.diameter) == pytest.approx((0.040, 0.040)), "nothing turns outside"


def test_size_takes_the_delivered_length_where_it_is_longer() -> None:
    short: dict[str, object] = {"feedback": Encoder(counts=64, length=0.003)}
    assert fitted_size(candidate(0, Given(fields=short)), Site()).length == pytest.approx(0.025)
    at_load: dict[str, object] = {"feedback": Encoder(counts=64, length=0.5, at_load=True)}
    assert fitted_size(candidate(0, Given(fields=at_load)), Site()).length == pytest.approx(0.025)
    nothing = fitted_size(Candidate(name="empty"), Site())
    assert (nothing.volume, nothing.mass) == (None, None)


def test_what_states_no_size_is_named() -> None:
    size = fitted_size(candidate(0, Given(fields={"transmission": Transmission(ratio=3.0)})), Site())
    assert size.left_out == ("transmission",)


# ---- rows ----


def test_best_is_marked_and_ties_are_not() -> None:
    assert best_of([1.0, 2.0, 1.5]) == (1,)
    assert best_of([2.0, 2.0, 1.0]) == (0, 1)
    assert best_of([2.0, 2.005]) == ()
    assert best_of([-3.0, -2.0]) == (1,)
    assert best_of([None, 1.0]) == ()
    assert best_of([0.0, 0.0]) == ()


def test_torque_and_power_rows_by_hand() -> None:
    of = result(Given(RISING), Given(LEVEL))
    torque = row(of, "torque, mean speed")
    assert torque.values == pytest.approx((0.1 + 1e-4 * 150.0, 0.12))
    assert torque.better == 1
    power = row(of, "power, highest speed")
    assert power.values == pytest.approx((0.13 * 300.0, 0.12 * 300.0))
    assert power.better == 0
    # volume of the delivered cylinder: pi/4 * 0.04^2 * 0.025 = 31.4159 cm3
    assert row(of, "torque per volume, standstill").values[1] == pytest.approx(0.12 / 31.4159e-6, rel=1e-5)
    assert row(of, "power per mass, highest speed").values[1] == pytest.approx(36.0 / 0.2)
    assert comparison_table(of, (0, 1)).row("power, standstill") is None


def test_speeds_are_mean_highest_and_governing() -> None:
    found = comparison(result(Given(RISING), Given(LEVEL)), 0, 1)
    # segment 1 governs both, at 100 rad/s
    assert [speed.speed for speed in found.speeds] == pytest.approx([0.0, 100.0, 150.0, 300.0])
    label = words(row(result(Given(RISING), Given(LEVEL)), "torque, governing speed A").label)
    assert "955 rpm of segment 1, which governs A" in label
    assert "governs B" in label


def test_mean_speed_counts_a_reversal_by_its_magnitude() -> None:
    # from -100 to 300 rad/s: (100^2 + 300^2) / (2 * 400) = 125
    through = with_fields(
        duty(), time=np.array([0.0, 1.0]), speed=np.array([-100.0, 300.0]), segment=np.array([0, 0])
    )
    assert mean_speed(through) == pytest.approx(125.0)
    assert mean_speed(duty()) == pytest.approx(150.0)


def test_voltage_that_does_not_reach_gives_no_value() -> None:
    reached = Given(LEVEL, voltage_limit=(0.5, 0.3, 0.1, math.nan))
    short = row(result(reached, Given(LEVEL)), "torque, highest speed")
    assert short.values[0] is None
    assert short.values[1] == pytest.approx(0.12)
    assert short.texts[0] == "speed not reached"
    assert short.better is None
    near = row(
        result(with_given(reached, voltage_limit=(0.5, 0.1, 0.1, 0.1)), Given(LEVEL)), "torque, mean speed"
    )
    assert near.note == "by heat; the voltage gives A less here"


def test_torque_within_the_band_is_left_open() -> None:
    # 0.115 against 0.12 at the mean speed: 4 % apart
    sure = result(Given(RISING, {"a": 0.01}), Given(LEVEL, {"b": 0.01}, kind="enclosed"))
    assert row(sure, "torque, mean speed").better == 1
    unsure = result(Given(RISING, {"a": 0.06}), Given(LEVEL, {"b": 0.08}, kind="enclosed"))
    left_open = row(unsure, "torque, mean speed")
    assert left_open.better is None
    assert "within the uncertainty" in words(left_open.note)
    assert row(unsure, "power, mean speed").better is None
    third = result(
        Given(RISING, {"a": 0.06}),
        Given(LEVEL, {"b": 0.08}, kind="enclosed"),
        Given((0.05,) * 4, {"c": 0.01}),
    )
    of_three = comparison_table(third).row("torque, mean speed")
    assert of_three is not None
    assert of_three.best == (0, 1)


def test_room_decides_where_the_band_of_torque_is_narrower_than_it() -> None:
    """1.2 times the torque within a band of 0.3 in a third of the room is ahead for its room."""
    small = Given((0.144,) * 4, {"a": 0.3})
    guarded = result(small, Given(LEVEL, {"b": 0.0}, kind="enclosed"))
    assert row(guarded, "torque, mean speed").better is None
    bulky = with_fields(
        guarded,
        project=replace(
            guarded.project,
            candidates=(
                guarded.project.candidates[0],
                candidate(
                    1,
                    Given(
                        kind="enclosed",
                        fields={"brake": HoldingBrake(holding_torque=0.1, length=0.055)},
                    ),
                ),
            ),
        ),
    )
    # 0.020 + 0.055 against 0.025 m of length: three times the volume
    assert row(bulky, "torque per volume, mean speed").better == 0


def test_peaks_go_by_the_distance_to_their_own_limit() -> None:
    of = result(Given(winding_temp=100.0), Given(winding_temp=110.0))
    assert row(of, "peak winding").better == 0
    cooler = of.candidates[0].peaks[0]
    warm = with_fields(of.candidates[0], peaks=(with_fields(cooler, limit=105.0),))
    assert row(with_fields(of, candidates=(warm, of.candidates[1])), "peak winding").better == 1
    close = result(Given(winding_temp=100.0), Given(winding_temp=100.3))
    assert row(close, "peak winding").better is None
    banded = result(Given(doubts={"a": 0.1}, winding_band=(90.0, 100.0, 112.0)), Given())
    assert "A 90.0 °C to 112 °C" in words(row(banded, "peak winding").note)


def warm(
    temp: float, frame: str, shared: bool = False, kind: VariantKind = "open rotor", **doubts: float
) -> Given:
    return Given(
        kind=kind,
        winding_temp=temp,
        frame=frame,
        shared=shared,
        doubts=dict.fromkeys(doubts, 0.1),
        peak_doubts=tuple(doubts.values()),
    )


def test_peaks_that_the_doubt_does_not_tell_apart_are_open() -> None:
    """6 and 8 K of causes of their own make 10 K of doubt about a difference of 9 K."""
    of = row(result(warm(100.0, "one", a=6.0), warm(109.0, "other", b=8.0)), "peak winding")
    assert of.better is None
    assert "A or B: within the uncertainty" in words(of.note)
    apart = row(result(warm(100.0, "one", a=6.0), warm(111.0, "other", b=8.0)), "peak winding")
    assert apart.better == 0
    assert "within the uncertainty" not in words(apart.note)
    # nothing is known of the third one's doubt: it stays behind both
    of_three = comparison_table(
        result(warm(100.0, "one", a=6.0), warm(109.0, "other", b=8.0), Given(winding_temp=130.0))
    ).row("peak winding")
    assert of_three is not None
    assert of_three.best == (0, 1)


def test_what_two_variants_share_moves_both_peaks() -> None:
    """The same law moves both by 6 and 8 K, and so their difference of 9 K by 2 K."""
    pair = (warm(100.0, "one", True, a=6.0), warm(109.0, "one", True, "enclosed", a=8.0))
    assert row(result(*pair), "peak winding").better == 0


def test_losses_add_up_and_less_is_better() -> None:
    of = result(Given(losses=Losses(4.0, 2.0, 0.5, 1.0, 0.5)), Given(losses=Losses(3.0, 2.0, 0.5, 1.5, 0.5)))
    assert row(of, "loss total").values == pytest.approx((8.0, 7.5))
    assert row(of, "loss total").better == 1
    assert row(of, "loss copper").better == 1
    assert row(of, "loss leads_and_switches").better == 0
    assert row(of, "loss idle").better is None


def test_inertia_is_a_matter_of_need() -> None:
    heavy = Given(fields={"brake": HoldingBrake(holding_torque=0.1, inertia=5e-5, mass=0.1)})
    of = result(heavy, Given())
    assert row(of, "rotor_inertia").better is None
    assert row(of, "mass").better == 1


@pytest.mark.parametrize(("there", "better"), [("yes", 1), ("no", None), ("unknown", None)])
def test_what_is_tolerated_counts_where_the_place_asks_for_it(there: str, better: int | None) -> None:
    site = Site(ambient=40.0, surroundings=Surroundings(dust=there))  # type: ignore[arg-type]
    of = result(Given(), Given(kind="enclosed"), site=site)
    candidates = []
    for own, stands in zip(of.project.candidates, (False, True), strict=True):
        assert own.motor is not None
        variant = replace(own.motor.variants[0], tolerates=Tolerates(dust=stands))
        candidates.append(replace(own, motor=replace(own.motor, variants=(variant,))))
    of = with_fields(of, project=replace(of.project, candidates=tuple(candidates)))
    dust = row(of, "dust")
    assert dust.texts == ("no", "yes")
    assert dust.better == better


def test_fewer_hazards_are_better_only_where_no_other_one_comes() -> None:
    of = result(Given(), Given())
    hot, turning = Caution("hot", "Hot surface", ""), Caution("turning", "Turning rotor", "")

    def hazards(*of_each: tuple[Caution, ...]) -> ComparisonRow:
        found = [with_fields(one, cautions=own) for one, own in zip(of.candidates, of_each, strict=True)]
        return row(with_fields(of, candidates=tuple(found)), "cautions")

    assert hazards((hot, turning), (hot,)).better == 1
    assert hazards((turning,), (hot,)).better is None
    assert hazards((hot,), (hot,)).better is None
    assert hazards((hot,), ()).texts == ("Hot surface", "nothing found")


# ---- verdict ----


def verdict(first: Given, second: Given) -> str:
    return words(comparison(result(first, second), 0, 1).verdict)


def test_verdict_names_who_is_ahead_and_by_how_much() -> None:
    text = verdict(Given((0.156,) * 4, {"a": 0.06}, margin=0.4), Given(LEVEL, {"b": 0.08}, kind="enclosed"))
    assert text == (
        "A is ahead: its governing margin (Winding) is 30.0 % above its target, that of B 20.0 % above its "
        "target; its continuous torque at the mean speed of 1430 rpm is 1.30 times that of B (1.18 to 1.43)."
    )
    # 1.3 / 1.1 and 1.3 * 1.1, from either side
    mirrored = verdict(
        Given(LEVEL, {"b": 0.08}, kind="enclosed"), Given((0.156,) * 4, {"a": 0.06}, margin=0.4)
    )
    assert mirrored.startswith("B is ahead: ")
    assert "is 1.30 times that of A (1.18 to 1.43)" in mirrored


def test_verdict_without_uncertainty_says_so() -> None:
    text = verdict(Given((0.15,) * 4, margin=0.4), Given(LEVEL))
    assert "1.25 times that of B, no uncertainty known." in text


def test_verdict_leaves_open_what_the_band_leaves_open() -> None:
    text = verdict(Given((0.1272,) * 4, {"a": 0.06}, margin=0.4), Given(LEVEL, {"b": 0.08}, kind="enclosed"))
    assert text.startswith("Undecided within the uncertainty: the continuous torque of A")
    assert "is 1.06 times that of B, but the band of 0.964 to 1.17 includes 1" in text
    assert "A: its governing margin (Winding) is 30.0 % above its target" in text


def test_verdict_on_contrary_leads() -> None:
    text = verdict(Given((0.15,) * 4, margin=0.2), Given(LEVEL, margin=0.4))
    assert text.startswith("Neither is ahead in both: B at the governing margin, ")
    assert "; A in torque, its continuous torque" in text


def test_verdict_on_equals() -> None:
    text = verdict(Given(), Given(kind="enclosed"))
    assert text.startswith("A and B are equal: the governing margin (Winding) is the same, ")
    assert text.endswith("the continuous torque at the mean speed of 1430 rpm is the same.")


def test_verdict_where_one_is_excluded() -> None:
    out = Given((0.15,) * 4, margin=None, status="excluded", label="Dust {x}")
    text = verdict(out, Given())
    assert text.startswith("B is ahead: it meets every required criterion, while A is excluded by Dust {x} (")
    assert "of a reason" in text
    assert "; A: its continuous torque" in text, "the torque is told all the same"
    assert verdict(out, with_given(out, label="Liquid")).startswith(
        "Neither can be used: both are excluded, "
    )


def test_verdict_where_one_misses() -> None:
    missed = Given(margin=0.04, status="missed")
    text = verdict(missed, Given())
    assert text.startswith(
        "B is ahead: it meets every required criterion, while A misses Winding, 6.00 % below "
    )
    beyond = verdict(Given(), Given(margin=None, status="missed"))
    assert "while B misses Winding beyond any number" in beyond
    assert verdict(missed, with_given(missed, margin=0.02)).startswith(
        "Neither meets its targets: A is ahead: "
    )
    out = Given(margin=None, status="excluded")
    assert verdict(out, missed).startswith("Neither can be used as it is: A is excluded by Winding")


def test_verdict_says_what_was_not_checked() -> None:
    of = result(Given(margin=0.4), Given())
    open_one = with_fields(margin(Given(status="not checked", margin=None)), criterion="dust", label="Dust")
    first = with_fields(of.candidates[0], margins=(*of.candidates[0].margins, open_one))
    of = with_fields(of, candidates=(first, of.candidates[1]))
    assert words(comparison(of, 0, 1).verdict).startswith("As far as it is checked: A is ahead: ")
    other = result(Given(margin=0.4), Given(margin=0.04, status="missed")).candidates[1]
    of = with_fields(of, candidates=(first, other))
    assert "A is ahead: it meets all that is checked" in words(comparison(of, 0, 1).verdict)


def test_verdict_on_nothing() -> None:
    empty = evaluate(Project(candidates=(Candidate(name="first"), Candidate(name="second"))))
    found = comparison(empty, 0, 1)
    assert words(found.verdict).startswith("Not to be compared yet: A lacks ")
    assert found.ratio is None
    assert all(row.better is None for row in found.table.rows)


def test_no_such_candidate_is_refused() -> None:
    of = result(Given(), Given())
    for first, second in ((0, 2), (-1, 0)):
        with pytest.raises(InputRangeError, match="candidate"):
            comparison(of, first, second)


# ---- whole projects ----


def samples() -> list[Path]:
    return sorted(path for path in SAMPLES.glob("*.json"))


@pytest.fixture(scope="module")
def evaluated() -> dict[str, Result]:
    return {path.stem: evaluate(read_project(path)) for path in samples()}


@pytest.mark.parametrize("name", [path.stem for path in samples()])
def test_samples_run_through_and_mirror(evaluated: dict[str, Result], name: str) -> None:
    of = evaluated[name]
    there, back = comparison(of, 0, 1), comparison(of, 1, 0)
    for one, other in zip(there.table.rows, back.table.rows, strict=True):
        assert one.values == other.values[::-1]
        assert one.better == (None if other.better is None else 1 - other.better), one.code
        assert words(one.label)
        assert all(one.shown(place, UNITS) for place in (0, 1))
    assert there.ratio is not None
    assert back.ratio is not None
    assert there.ratio.ratio * back.ratio.ratio == pytest.approx(1.0)
    for text in (there.verdict, there.crossing):
        assert words(text).endswith(".")
        assert "{" not in words(text)


@pytest.mark.parametrize("name", [path.stem for path in samples()])
def test_identical_candidates_are_equal_in_all_rows(evaluated: dict[str, Result], name: str) -> None:
    project = evaluated[name].project
    twin = replace(project.candidates[0], name="twin")
    twins = evaluate(replace(project, candidates=(project.candidates[0], twin), chosen=None))
    for found in (comparison(twins, 0, 1), comparison(twins, 0, 0)):
        for one in found.table.rows:
            assert one.best == (), one.code
            assert one.values[0] == one.values[1]
            assert one.texts[0] == one.texts[1]
        assert found.ratio is not None
        assert found.ratio.equal
        if found.ratio.low is not None:
            assert found.ratio.low == pytest.approx(1.0), "the same motor has the same doubts"
        assert words(found.crossing) == "Both have the same continuous torque at every speed."


def test_table_over_all_candidates_marks_the_best() -> None:
    of = result(Given(winding_temp=120.0), Given(winding_temp=90.0), Given(winding_temp=100.0))
    table = comparison_table(of)
    assert table.indices == (0, 1, 2)
    found = table.row("peak winding")
    assert found is not None
    assert found.best == (1,)
    assert len(table.groups) == 10
    assert sum(len(rows) for _, rows in table.groups) == len(table.rows)
    assert len({one.code for one in table.rows}) == len(table.rows)
    pair: Comparison = comparison(of, 2, 0)
    mine = pair.table.row("peak winding")
    assert mine is not None
    assert (mine.values, mine.better) == ((100.0, 120.0), 0)


def test_mounting_rows_hold_the_torque_of_the_project_as_it_is_and_fall_without_a_plate() -> None:
    of = evaluate(project(segment(10.0, 0.05, 150.0)))
    table = comparison_table(of)
    stated, here, none = (table.row(f"torque mounted {code}") for code in ("as stated", "here", "insulated"))
    assert stated is not None
    assert here is not None
    assert none is not None
    assert stated.values == here.values  # the project has the mounting of the data sheet
    for place, candidate_result in enumerate(of.candidates):
        curves = candidate_result.curves
        assert curves is not None
        assert curves.continuous is not None
        value, bare = here.values[place], none.values[place]
        assert value is not None
        assert bare is not None
        # the curve is drawn through 97 speeds
        assert value == pytest.approx(float(np.interp(150.0, curves.speed, curves.continuous)), rel=1e-3)
        assert bare < value


def test_mounting_rows_count_the_coil_of_a_brake_like_the_continuous_torque_does() -> None:
    table = comparison_table(evaluate(read_project(SAMPLES / "tide_pool_winch.json")))
    here, over_speed = table.row("torque mounted here"), table.row("torque, mean speed")
    assert here is not None
    assert over_speed is not None
    enclosed = 1  # the one with the brake
    # the curve over speed is drawn through 97 speeds; the coil takes two per cent of the torque
    assert here.values[enclosed] == pytest.approx(over_speed.values[enclosed], rel=1e-3)


def test_mounting_rows_say_why_a_torque_is_not_known() -> None:
    empty = comparison_table(result(Given(), Given()))
    row_of = empty.row("torque mounted here")
    assert row_of is not None
    assert row_of.values == (None, None)
    assert all(row_of.texts)
