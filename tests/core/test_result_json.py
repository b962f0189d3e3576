"""The result file: SI numbers that come back as they went, no infinity, a reason for every null."""

from __future__ import annotations

import dataclasses
import json
import math
from pathlib import Path
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from core.evaluate import evaluate
from core.project.candidate import Candidate
from core.project.project import Project
from core.project.project_file import read_project
from core.result_json import ResultFile, encode_result, result_file, result_schema
from core.results import CandidateResult, Result
from core.units import DisplayUnits, Kind

SAMPLES = Path(__file__).resolve().parents[2] / "sample_projects"
CAROUSEL = read_project(SAMPLES / "sample_carousel.json")


def with_torques(project: Project, factor: float) -> Project:
    """Return the project with all shaft torques multiplied."""
    cycle = tuple(
        replace(segment, shaft_torque=factor * segment.shaft_torque)
        for segment in project.application.duty_cycle
    )
    return replace(project, application=replace(project.application, duty_cycle=cycle))


def parsed(result: Result) -> dict[str, Any]:
    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    read: dict[str, Any] = json.loads(encode_result(result, result.candidates), parse_constant=refuse)
    return read


RUN_AWAY = evaluate(with_torques(CAROUSEL, 20.0))
EMPTY = evaluate(Project(candidates=(Candidate(name="nothing yet"),)))
RESULTS = [evaluate(read_project(path)) for path in sorted(SAMPLES.glob("*.json"))] + [RUN_AWAY, EMPTY]


@pytest.mark.parametrize("result", RESULTS, ids=lambda result: result.project.application.title)
def test_comes_back_as_it_went(result: Result) -> None:
    text = encode_result(result, result.candidates)
    assert msgspec.json.decode(text, type=ResultFile) == result_file(result, result.candidates)


def test_has_the_documented_keys() -> None:
    found = parsed(evaluate(CAROUSEL))
    assert (found["format"], found["version"]) == ("ampturn result", 1)
    candidate = found["candidates"][0]
    keys = "name margins governing findings cautions temperatures torque_reserve rms_torque_Nm supply losses"
    assert set(keys.split()) <= set(candidate)
    margin_keys = "criterion demand limit unit utilisation margin target where status why"
    assert all(set(margin_keys.split()) <= set(margin) for margin in candidate["margins"])
    peaks = ["winding_peak_degC", "magnet_peak_degC", "housing_peak_degC"]
    assert list(candidate["temperatures"]) == peaks


def test_numbers_are_those_of_the_project_in_si() -> None:
    candidate = CAROUSEL.candidates[0]
    assert candidate.chosen_variant is not None
    demand = candidate.chosen_variant.diameter
    limit = CAROUSEL.application.requirements.envelope.largest_diameter
    assert demand is not None
    assert limit is not None
    margins = {m["criterion"]: m for m in parsed(evaluate(CAROUSEL))["candidates"][0]["margins"]}
    diameter = margins["diameter"]
    assert (diameter["demand"], diameter["limit"], diameter["unit"]) == (demand, limit, "m")
    assert diameter["utilisation"] == pytest.approx(demand / limit, rel=1e-12)
    assert diameter["margin"] == pytest.approx(1.0 - demand / limit, rel=1e-12)
    fastest = max(abs(segment.speed_end) for segment in CAROUSEL.application.duty_cycle)
    assert margins["mechanical_speed"]["demand"] == pytest.approx(fastest, rel=1e-12)


def test_governing_is_the_smallest_margin_above_its_target() -> None:
    for candidate in parsed(evaluate(CAROUSEL))["candidates"]:
        above = {
            m["criterion"]: m["margin"] - m["target"] for m in candidate["margins"] if m["margin"] is not None
        }
        assert candidate["governing"] == min(above, key=lambda criterion: above[criterion])


def test_run_away_is_null_with_its_reason() -> None:
    candidate = parsed(RUN_AWAY)["candidates"][0]
    winding = next(m for m in candidate["margins"] if m["criterion"] == "winding_temperature")
    assert winding["status"] == "missed"
    assert winding["demand"] is winding["utilisation"] is winding["margin"] is None
    assert "run away" in winding["why"]
    assert candidate["temperatures"]["winding_peak_degC"] is None
    assert "run away" in candidate["why_null"]["temperatures"]
    assert "run away" in candidate["why_null"]["losses"]


def test_infinite_value_is_null_with_its_reason() -> None:
    result = evaluate(CAROUSEL)
    candidate = result.candidates[0]
    margin = dataclasses.replace(
        candidate.margins[0], utilisation=math.inf, margin=-math.inf, why="nothing may be demanded"
    )
    candidate = dataclasses.replace(candidate, margins=(margin,))
    (entry,) = result_file(result, [candidate]).candidates[0].margins
    assert entry.utilisation is entry.margin is None
    assert entry.demand == margin.demand
    reason = "infinite: nothing may be demanded"
    assert entry.why_null == {"utilisation": reason, "margin": reason}


def test_limit_below_ambient_is_missed_and_says_so() -> None:
    # ambient above the magnets' limit of 120 degC: nothing can be demanded at all
    hot = replace(CAROUSEL.application.site, ambient=130.0)
    result = evaluate(replace(CAROUSEL, application=replace(CAROUSEL.application, site=hot)))
    margins = {m["criterion"]: m for m in parsed(result)["candidates"][0]["margins"]}
    magnets = margins["magnet_temperature"]
    assert (magnets["status"], magnets["limit"], magnets["margin"]) == ("missed", 120.0, None)
    assert "is not above the ambient temperature" in magnets["why"]


def test_endless_reserve_is_null_with_its_reason() -> None:
    still = tuple(
        replace(segment, shaft_torque=0.0, speed_start=0.0, speed_end=0.0)
        for segment in CAROUSEL.application.duty_cycle
    )
    result = evaluate(replace(CAROUSEL, application=replace(CAROUSEL.application, duty_cycle=still)))
    reserve = result.candidates[0].torque_reserve
    assert reserve is not None
    assert math.isinf(reserve)
    candidate = parsed(result)["candidates"][0]
    assert candidate["torque_reserve"] is None
    assert candidate["why_null"]["torque_reserve"] == "infinite: the cycle asks for no torque"


def test_what_is_missing_is_named_for_every_null() -> None:
    candidate = parsed(EMPTY)["candidates"][0]
    assert candidate["missing"] == ["a motor"]
    for key in ("losses", "supply", "constants", "torque_reserve", "rms_torque_Nm", "temperatures"):
        assert candidate["why_null"][key] == "missing: a motor"
    for key in ("ripple", "winding_study", "shaft_load", "faults"):
        assert candidate[key] is None
        assert candidate["why_null"][key] == "missing: a motor"


def test_every_part_that_is_null_says_why() -> None:
    for result in RESULTS:
        for candidate in parsed(result)["candidates"]:
            for key in ("ripple", "winding_study", "shaft_load", "faults"):
                assert (candidate[key] is None) == (key in candidate["why_null"]), key
                assert candidate["why_null"].get(key) != ""


def candidates_with(part: str) -> list[tuple[CandidateResult, dict[str, Any]]]:
    """Return the candidates of the samples that have a part, as computed and as written."""
    pairs = [
        (computed, written)
        for result in RESULTS
        for computed, written in zip(result.candidates, parsed(result)["candidates"], strict=True)
        if written[part] is not None
    ]
    assert pairs, part
    return pairs


def test_ripple_is_that_of_the_result_with_the_unit_in_its_keys() -> None:
    for computed, written in candidates_with("ripple"):
        assert computed.ripple is not None
        assert written["ripple"]["peak_to_peak_A"] == computed.ripple.peak_to_peak
        assert written["ripple"]["frequency_Hz"] == computed.ripple.frequency
        assert written["ripple"]["loss_W"] == computed.ripple.loss
        for key in ("share", "loss_W", "winding_rise_K", "choke_H"):
            assert (written["ripple"][key] is None) == (key in written["ripple"]["why_null"])


def test_windings_go_from_the_fastest_and_one_is_chosen() -> None:
    for computed, written in candidates_with("winding_study"):
        study = written["winding_study"]
        assert computed.winding_study is not None
        constants = [winding["back_emf_constant_V_s_rad"] for winding in study["windings"]]
        assert constants == sorted(constants)
        assert sum(winding["chosen"] for winding in study["windings"]) == 1
        assert study["fastest"] in {None, *(w["name"] for w in study["windings"] if w["fits"] is not False)}
        assert all(winding["reason"] for winding in study["windings"])


def test_shaft_load_gives_the_lives_in_hours() -> None:
    for computed, written in candidates_with("shaft_load"):
        load = computed.shaft_load
        assert load is not None
        assert written["shaft_load"]["radial_N"] == load.radial
        for key, life in (("front_life_h", load.front_life), ("rear_life_h", load.rear_life)):
            assert written["shaft_load"][key] == (life if math.isfinite(life) else None)
            assert (key in written["shaft_load"]["why_null"]) == math.isinf(life)


def test_faults_come_with_their_numbers_and_what_is_needed() -> None:
    for computed, written in candidates_with("faults"):
        assert computed.faults is not None
        assert [row["code"] for row in written["faults"]["rows"]] == [r.code for r in computed.faults.rows]
        assert written["faults"]["inertia_kg_m2"] == computed.faults.inertia
        assert all(row["effect"] and row["measure"] for row in written["faults"]["rows"])


def test_sentences_follow_the_units_and_numbers_do_not() -> None:
    result = evaluate(CAROUSEL)
    units = DisplayUnits().with_units({Kind.LENGTH: "in"})
    plain = result_file(result, result.candidates).candidates[0].margins
    inches = result_file(result, result.candidates, units).candidates[0].margins
    one, other = (next(m for m in margins if m.criterion == "diameter") for margins in (plain, inches))
    assert one.demand == other.demand
    assert " mm" in one.equation.replace("\N{NO-BREAK SPACE}", " ")
    assert " in" in other.equation.replace("\N{NO-BREAK SPACE}", " ")


def test_schema_names_what_the_file_holds() -> None:
    schema = result_schema()
    definitions = schema["$defs"]
    found = parsed(evaluate(CAROUSEL))
    candidate = found["candidates"][0]
    for name, content in (
        ("ResultFile", found),
        ("CandidateEntry", candidate),
        ("MarginEntry", candidate["margins"][0]),
        ("SupplyEntry", candidate["supply"]),
        ("LossEntry", candidate["losses"]),
        ("ConstantsEntry", candidate["constants"]),
        ("TemperatureEntry", candidate["temperatures"]),
        ("WindingStudyEntry", candidate["winding_study"]),
        ("WindingEntry", candidate["winding_study"]["windings"][0]),
        ("FaultTableEntry", candidate["faults"]),
        ("FaultEntry", candidate["faults"]["rows"][0]),
    ):
        assert set(definitions[name]["properties"]) == set(content), name
    statuses = definitions["MarginEntry"]["properties"]["status"]["enum"]
    assert set(statuses) == {"met", "missed", "not checked", "excluded"}
