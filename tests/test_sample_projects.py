"""The sample projects load, save to the same bytes, and tell the story they were made for."""

from __future__ import annotations

import itertools
from pathlib import Path

import msgspec
import pytest

from core.catalogue.demo_loads import CART, TURNTABLE, WINCH
from core.catalogue.demo_samples import CAROUSEL, SPRAYER
from core.catalogue.demo_trace import CART_TRACE, MEASURED_CART
from core.catalogue.parts_file import load_demo_parts
from core.evaluate import evaluate
from core.project import saved_file
from core.project.feedback import HallSensors
from core.project.mounting import Guard
from core.project.project import Project
from core.project.project_file import decode_project, encode_project, read_project, write_project
from core.results import CandidateResult, Result
from core.trace_format import preview_trace
from core.trace_source import open_trace, source_of

FOLDER = Path(__file__).resolve().parents[1] / "sample_projects"
SAMPLES = sorted(FOLDER.glob("*.json"))


def result_of(name: str) -> Result:
    project = read_project(FOLDER / name)
    application = project.application
    if application.duty_from != "trace" or application.trace is None:
        return evaluate(project)
    return evaluate(project, open_trace(application.trace, FOLDER))


def by_variant(result: Result) -> dict[str, CandidateResult]:
    variants = [candidate.variant for candidate in result.project.candidates]
    return {str(variant): one for variant, one in zip(variants, result.candidates, strict=True)}


def statuses(candidate: CandidateResult) -> dict[str, str]:
    return {margin.criterion: margin.status for margin in candidate.margins}


def reserve(candidate: CandidateResult) -> float:
    assert candidate.torque_reserve is not None
    return candidate.torque_reserve


def test_all_samples_are_there() -> None:
    assert {path.name for path in SAMPLES} == {CAROUSEL, SPRAYER, WINCH, TURNTABLE, CART, MEASURED_CART}


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_loads_and_saves_to_the_same_bytes(path: Path, tmp_path: Path) -> None:
    project = read_project(path)
    copy = tmp_path / path.name
    write_project(copy, project)
    assert copy.read_bytes() == path.read_bytes()
    assert decode_project(encode_project(project)) == project
    assert saved_file.unknown_places(project) == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_uses_the_demo_parts_and_says_that_it_is_invented(path: Path) -> None:
    project = read_project(path)
    parts = load_demo_parts()
    assert project.application.notes.startswith("Invented example")
    for candidate in project.candidates:
        assert candidate.motor is not None
        assert candidate.motor == parts.motor(candidate.motor.name)
        assert candidate.drive == parts.drive(candidate.drive.name)


def loops(project: Project) -> bool:
    """Whether every segment starts, round the cycle, at the speed at which the one before ends."""
    duty = project.application.duty_cycle
    return all(one.speed_end == other.speed_start for one, other in itertools.pairwise((*duty, duty[0])))


@pytest.mark.parametrize("name", [CAROUSEL, SPRAYER])
def test_a_sample_of_segments_has_a_closed_cycle_with_named_segments(name: str) -> None:
    project = read_project(FOLDER / name)
    assert loops(project)
    assert len({segment.name for segment in project.application.duty_cycle}) == 4


def test_the_cycles_are_as_short_and_as_long_as_meant() -> None:
    carousel, sprayer = (read_project(FOLDER / name).application for name in (CAROUSEL, SPRAYER))
    assert 0.3 <= sum(segment.duration for segment in carousel.duty_cycle) <= 0.6
    assert sum(segment.duration for segment in sprayer.duty_cycle) >= 60.0


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_leaves_no_criterion_unchecked(path: Path) -> None:
    for candidate in result_of(path.name).candidates:
        assert candidate.missing == ()
        assert "not checked" not in statuses(candidate).values()


def test_in_the_carousel_the_open_rotor_carries_what_the_enclosed_one_does_not() -> None:
    result = result_of(CAROUSEL)
    bare, closed = by_variant(result)["open rotor"], by_variant(result)["enclosed"]
    assert result.chosen_candidate is bare
    assert set(statuses(bare).values()) == {"met"}
    margin = bare.margin("torque_reserve")
    assert margin is not None
    assert margin.margin is not None
    assert 0.3 <= margin.margin <= 0.4
    assert statuses(closed)["torque_reserve"] == "missed"
    assert reserve(closed) < reserve(bare)


def test_on_the_sprayer_the_open_rotor_is_cooler_and_still_ruled_out() -> None:
    result = result_of(SPRAYER)
    bare, closed = by_variant(result)["open rotor"], by_variant(result)["enclosed"]
    assert result.chosen_candidate is closed
    assert set(statuses(closed).values()) == {"met"}
    assert statuses(bare)["liquid"] == statuses(bare)["dust"] == "excluded"
    assert reserve(bare) > 1.1 * reserve(closed)
    assert max(peak.temp for peak in bare.peaks) < max(peak.temp for peak in closed.peaks)


def test_samples_show_a_plate_a_guard_and_thin_air() -> None:
    sites = {path.name: read_project(path).application.site for path in SAMPLES}
    assert sites[WINCH].mounting.plate is not None
    assert isinstance(sites[SPRAYER].around, Guard)
    assert sites[TURNTABLE].altitude > 1000.0


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_is_fitted_is_a_demo_part_that_fits_the_motor_and_the_electronics(path: Path) -> None:
    parts = load_demo_parts()
    for candidate in read_project(path).candidates:
        variant = candidate.chosen_variant
        assert variant is not None
        assert candidate.feedback in parts.feedback
        assert candidate.feedback is not None
        kind = "Hall sensors" if isinstance(candidate.feedback, HallSensors) else "encoder"
        assert kind in variant.can_be_fitted_with
        assert kind in candidate.drive.feedback_kinds
        assert candidate.brake is None or candidate.brake in parts.brakes
        assert candidate.brake is None or "brake" in variant.can_be_fitted_with
        assert candidate.transmission is None or candidate.transmission in parts.transmissions
        assert candidate.cable is not None or candidate.lead_resistance > 0.0


def test_the_measured_cart_has_its_trace_beside_it() -> None:
    path = FOLDER / CART_TRACE
    project = read_project(FOLDER / MEASURED_CART)
    assert path.stat().st_size < 150_000
    source = project.application.trace
    assert source is not None
    assert source == msgspec.structs.replace(source_of(path, preview_trace(path).format), at="load")
    measured = open_trace(source, FOLDER)
    assert measured.findings == ()
    assert measured.trace.duration == pytest.approx(93.0)
    assert measured.trace.speed[[0, -1]].tolist() == [0.0, 0.0]  # so that it can repeat


def test_the_measured_cart_asks_more_of_its_gear_than_was_calculated() -> None:
    rows = [line.split(",") for line in (FOLDER / CART_TRACE).read_text(encoding="utf-8").splitlines()[1:]]
    peak = max(abs(float(torque)) for _, torque, _ in rows)
    chosen = result_of(MEASURED_CART).chosen_candidate
    calculated = result_of(CART).chosen_candidate
    assert chosen is not None
    assert calculated is not None
    assert set(statuses(chosen).values()) == {"met"}
    margin, before = chosen.margin("gear_peak_torque"), calculated.margin("gear_peak_torque")
    assert margin is not None
    assert margin.demand is not None
    assert before is not None
    assert before.demand is not None
    assert before.demand < margin.demand
    # the gear sees the torque of the hub as it was measured
    assert margin.demand == pytest.approx(peak, rel=1e-9)
