"""Bearings of a candidate under what pulls at its shaft, against ISO 281 by hand."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.findings import Finding
from core.project.candidate import Candidate
from core.project.fittings import BearingData, ShaftBearings, ShaftForce
from core.project.motor import ShaftEnd
from core.results import CandidateResult
from tests.core.projects import candidate, project, segment

BEARINGS = ShaftBearings(
    front=BearingData(dynamic_rating=2000.0, static_rating=1000.0),
    rear=BearingData(dynamic_rating=2000.0, static_rating=1000.0),
    front_distance=0.005,
    span=0.030,
)
DUTY = (segment(6.0, 0.02, 200.0), segment(2.0, 0.02, -100.0), segment(2.0, 0.0, 0.0))  # mean 140 rad/s


def pulled(force: ShaftForce, bearings: ShaftBearings | None = BEARINGS, **fields: object) -> Candidate:
    chosen = candidate()
    assert chosen.motor is not None
    end = ShaftEnd(diameter=0.005, length=0.020)
    motor = replace(chosen.motor, bearing_data=bearings, shaft_front=end, **fields)
    return replace(chosen, motor=motor, shaft_force=force)


def first(chosen: Candidate) -> CandidateResult:
    return evaluate(project(*DUTY, candidates=(chosen,))).candidates[0]


def finding(result: CandidateResult, code: str) -> Finding | None:
    return next((one for one in result.findings if one.code == code), None)


def test_life_is_the_cube_of_rating_over_load_at_the_mean_speed() -> None:
    """60 N at 10 mm, lever 15 mm on 30 mm: 90 N and 30 N (ISO 281, L10 = (C/P)^3 1e6 turns)."""
    result = first(pulled(ShaftForce(radial=60.0, distance=0.010, wanted_life=10_000.0)))
    load = result.shaft_load
    assert load is not None
    assert (load.front_reaction, load.rear_reaction) == pytest.approx((90.0, 30.0))
    turns_an_hour = 3600.0 * 140.0 / (2.0 * math.pi)
    assert load.front_life == pytest.approx((2000.0 / 90.0) ** 3 * 1e6 / turns_an_hour)
    assert load.rear_life == pytest.approx((2000.0 / 30.0) ** 3 * 1e6 / turns_an_hour)
    for code, life in (("front_bearing_life", load.front_life), ("rear_bearing_life", load.rear_life)):
        margin = result.margin(code)
        assert margin is not None
        assert margin.utilisation == pytest.approx(10_000.0 / life)
        assert margin.limit == pytest.approx(life * 3600.0)


def test_the_allowed_force_falls_with_its_distance_and_is_just_enough() -> None:
    load = first(pulled(ShaftForce(radial=60.0, distance=0.010, wanted_life=10_000.0))).shaft_load
    assert load is not None
    assert load.allowed is not None
    assert load.distances[[0, -1]] == pytest.approx([0.0, 0.020])
    assert (load.allowed[1:] < load.allowed[:-1]).all()
    assert load.allowed_here is not None
    just = ShaftForce(radial=load.allowed_here, distance=0.010, wanted_life=10_000.0)
    margin = first(pulled(just)).margin("front_bearing_life")
    assert margin is not None
    assert margin.utilisation == pytest.approx(1.0, rel=1e-9)


def test_what_is_missing_for_a_life_is_said() -> None:
    force = ShaftForce(radial=60.0, distance=0.010, wanted_life=10_000.0)
    unknown = first(pulled(force, None)).margin("front_bearing_life")
    assert unknown is not None
    assert unknown.status == "not checked"
    assert "bearings" in str(unknown.why)
    unasked = first(pulled(replace(force, wanted_life=None)))
    margin = unasked.margin("rear_bearing_life")
    assert margin is not None
    assert margin.status == "not checked"
    assert unasked.shaft_load is not None
    assert unasked.shaft_load.allowed is None
    assert evaluate(project(*DUTY)).candidates[0].margin("front_bearing_life") is None


def test_a_small_pulley_is_told_the_least_diameter() -> None:
    """A toothed belt pulls with about twice the force of its torque: common practice, no source."""
    result = first(pulled(ShaftForce(radial=900.0, distance=0.010, wanted_life=10_000.0)))
    told, load = finding(result, "shaft_force_too_large"), result.shaft_load
    assert told is not None
    assert load is not None
    assert load.allowed_here is not None
    assert told.values["least_pulley_diameter_m"] == pytest.approx(2.0 * 2.0 * 0.02 / load.allowed_here)
    assert "167 N" in str(told.text).replace("\N{NO-BREAK SPACE}", " ")  # 22 N of squeeze, tangent 0.132
    assert finding(result, "bearing_beyond_rating") is not None
    light = first(pulled(ShaftForce(radial=20.0, distance=0.010, wanted_life=10_000.0)))
    assert finding(light, "shaft_force_too_large") is None
    assert finding(light, "bearing_beyond_rating") is None


def test_a_wheel_hung_on_the_shaft_is_a_finding() -> None:
    far = finding(first(pulled(ShaftForce(radial=20.0, distance=0.040))), "force_far_from_bearings")
    assert far is not None
    assert far.values["front_reaction_N"] == pytest.approx(20.0 * (0.040 + 0.005 + 0.030) / 0.030)
    assert finding(first(pulled(ShaftForce(radial=20.0, distance=0.010))), "force_far_from_bearings") is None


def test_axial_force_beyond_the_preload_lifts_the_rotor() -> None:
    preloaded = replace(BEARINGS, preload=10.0)
    lifted = finding(first(pulled(ShaftForce(axial=15.0), preloaded)), "axial_force_on_shaft")
    assert lifted is not None
    assert lifted.severity == "warning"
    stays = finding(first(pulled(ShaftForce(axial=5.0), preloaded)), "axial_force_on_shaft")
    assert stays is not None
    assert stays.severity == "note"
    assert finding(first(pulled(ShaftForce(radial=5.0), preloaded)), "axial_force_on_shaft") is None
