"""A project whose duty is a measured trace: the same as its segments, its file named, its gear passed."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import numpy as np
import pytest
from msgspec.structs import replace

from core.errors import ProjectFileError
from core.evaluate import evaluate
from core.evaluation.motor_model import motor_of
from core.evaluation.trace_side import traced_duty
from core.project import edits
from core.project.load import Load, TraceSource
from core.project.mechanism import DirectRotaryLoad
from core.project.motion import RampStep
from core.project.project import Project
from core.project.project_file import decode_project, encode_project
from core.project.transmission import Transmission
from core.trace_format import preview_trace
from core.trace_source import copy_beside, open_trace, source_of
from tests.core.projects import candidate, project, segment

DUTY = (
    segment(0.5, 0.05, 0.0, 150.0),
    segment(1.5, 0.02, 150.0),
    segment(0.5, -0.03, 150.0, 0.0),
    segment(1.0, 0.0, 0.0),
)


def written(folder: Path, step: float = 0.001) -> TraceSource:
    """Write the duty above as a trace file with a German keyboard's decimal comma and return its source."""
    ends = np.cumsum([0.0, *(s.duration for s in DUTY)])
    time = np.arange(0.0, ends[-1] + step / 2, step)
    number = np.minimum(np.searchsorted(ends, time, side="right") - 1, len(DUTY) - 1)
    torque = np.array([DUTY[k].shaft_torque for k in number])
    speed = np.interp(time, ends, [0.0, *(s.speed_end for s in DUTY)])
    rows = "\n".join(
        f"{t:.4f};{m:.5f};{w:.4f}".replace(".", ",") for t, m, w in zip(time, torque, speed, strict=True)
    )
    path = folder / "cart.csv"
    path.write_text(f"time [s];torque [N·m];speed [rad/s]\n{rows}\n", encoding="utf-8")
    return source_of(path, preview_trace(path).format)


def traced(source: TraceSource, transmission: Transmission | None = None) -> Project:
    chosen = candidate(transmission=transmission)
    return edits.change_application(project(candidates=(chosen,)), duty_from="trace", trace=source)


def test_a_trace_of_the_duty_has_its_margins(tmp_path: Path) -> None:
    source = written(tmp_path)
    result = evaluate(traced(source), open_trace(source, tmp_path)).candidates[0]
    by_hand = evaluate(project(*DUTY, candidates=(candidate(),))).candidates[0]
    for code, tolerance in (
        ("torque_reserve", 2e-3), ("winding_temperature", 1e-3), ("voltage_reserve", 2e-3),
        ("peak_current", 2e-3),
        ("mechanical_speed", 1e-6), ("continuous_current", 2e-3),
    ):  # fmt: skip
        margins = result.margin(code), by_hand.margin(code)
        assert margins[0] is not None
        assert margins[1] is not None
        assert margins[0].margin == pytest.approx(margins[1].margin, abs=tolerance), code
    assert result.load_points is not None
    assert 4 <= result.load_points.speed.size <= 24
    assert result.duty is not None
    assert result.duty.speed.max() == pytest.approx(150.0)


def test_a_trace_at_the_load_passes_the_transmission(tmp_path: Path) -> None:
    source = replace(written(tmp_path), at="load")
    measured = open_trace(source, tmp_path)
    gear = Transmission(ratio=2.0, efficiency=0.8)
    geared = evaluate(traced(source, gear), measured).candidates[0]
    assert geared.duty is not None
    assert geared.duty.speed.max() == pytest.approx(300.0)
    # where the speed is steady no rotor takes any
    assert np.isclose(geared.duty.shaft_torque, 0.05 / 2.0 / 0.8, rtol=1e-6).any()
    # no rotor is in a torque at the load, whatever the file says
    said = traced(replace(source, contains_rotor=True), gear)
    again = evaluate(said, measured).candidates[0]
    assert again.torque_reserve == geared.torque_reserve


def test_the_limits_of_a_gear_are_compared_with_the_trace_and_not_with_a_load_that_is_kept(
    tmp_path: Path,
) -> None:
    gear = Transmission(ratio=2.0, intermittent_torque=0.2, continuous_torque=0.1, largest_input_speed=600.0)
    kept = Load(
        mechanism=DirectRotaryLoad(inertia=1e-4, steady_torque=0.15),
        motion=(RampStep(end_speed=5.0, duration=1.0), RampStep(end_speed=0.0, duration=1.0)),
    )
    source = replace(written(tmp_path), at="load")
    measured = open_trace(source, tmp_path)
    both = edits.change_application(traced(source, gear), load=kept)
    result = evaluate(both, measured).candidates[0]
    demands = {code: result.margin(code) for code in ("gear_peak_torque", "gear_speed")}
    # of DUTY: 0.05 N m at the output, 150 rad/s there and twice that at the input
    assert [margin.demand for margin in demands.values() if margin] == pytest.approx([0.05, 300.0])
    at_shaft = edits.change_application(both, trace=replace(source, at="motor shaft"))
    unknown = evaluate(at_shaft, measured).candidates[0]
    margin = unknown.margin("gear_peak_torque")
    assert margin is not None
    assert margin.status == "not checked"
    assert "transmission_not_used" in {finding.code for finding in unknown.findings}


def test_a_missing_or_changed_file_is_named(tmp_path: Path) -> None:
    source = written(tmp_path)
    missing = evaluate(traced(source)).candidates[0]
    assert "the trace file cart.csv" in missing.missing
    reserve = missing.margin("torque_reserve")
    assert reserve is not None
    assert reserve.status == "not checked"
    path = tmp_path / "cart.csv"
    path.write_text(path.read_text(encoding="utf-8") + "3,6;0;0\n", encoding="utf-8")
    codes = [finding.code for finding in open_trace(source, tmp_path).findings]
    assert "trace_file_changed" in codes


def test_the_file_stays_beside_the_project(tmp_path: Path) -> None:
    source = written(tmp_path)
    for name in ("../cart.csv", "/etc/passwd", "a\\b.csv", ".."):
        with pytest.raises(ProjectFileError, match="plain name of a file"):
            replace(source, file=name)
    kept = traced(source)
    assert decode_project(encode_project(kept)) == kept


def test_a_copy_beside_the_project_replaces_nothing(tmp_path: Path) -> None:
    there, here = tmp_path / "there", tmp_path / "here"
    there.mkdir()
    here.mkdir()
    written(there)
    path = there / "cart.csv"
    assert copy_beside(path, here) == here / "cart.csv"
    assert (here / "cart.csv").read_bytes() == path.read_bytes()
    assert copy_beside(path, here) == here / "cart.csv"  # the same content is not copied twice
    (here / "cart.csv").write_text("another one", encoding="utf-8")
    assert copy_beside(path, here) == here / "cart 2.csv"
    assert (here / "cart.csv").read_text(encoding="utf-8") == "another one"
    assert sorted(one.name for one in here.iterdir()) == ["cart 2.csv", "cart.csv"]


def test_the_band_of_a_trace_has_its_peak_in_the_middle(tmp_path: Path) -> None:
    """The doubt is about the same pieces that the peak was computed from, not about the trace cut again."""
    source = written(tmp_path)
    result = evaluate(traced(source), open_trace(source, tmp_path)).candidates[0]
    peak = next(peak for peak in result.peaks if peak.role == "winding")
    assert result.band is not None
    assert result.band.winding is not None
    low, middle, high = result.band.winding
    assert middle == pytest.approx(peak.temp, abs=1e-9)
    assert low < middle < high


def noisy(folder: Path) -> TraceSource:
    """Write 2 s at 0.05 N m and 10 rad/s with a speed that jitters by 0.01 rad/s from sample to sample."""
    time = np.arange(2001) * 1e-3
    rows = "\n".join(f"{t:.4f};0.05;{10.0 + 0.005 * (-1) ** k:.5f}" for k, t in enumerate(time))
    path = folder / "jitter.csv"
    path.write_text(f"time [s];torque [N·m];speed [rad/s]\n{rows}\n", encoding="utf-8")
    return source_of(path, preview_trace(path).format)


@pytest.mark.parametrize("at", ["motor shaft", "load"])
def test_smoothing_averages_the_acceleration_wherever_the_trace_was_measured(
    tmp_path: Path, at: Literal["motor shaft", "load"]
) -> None:
    """10 rad/s2 that are not there, over two intervals none: what is left is the torque that was measured."""
    source = replace(noisy(tmp_path), at=at, smoothed_over=2)
    gear = Transmission(ratio=4.0, efficiency=0.8, input_inertia=2e-5) if at == "load" else None
    project_of = traced(source, gear)
    motor = motor_of(project_of.application, project_of.candidates[0])
    assert motor is not None
    duty = traced_duty(open_trace(source, tmp_path).trace, source, gear, motor)
    expected = 0.05 if gear is None else 0.05 / (4.0 * 0.8)
    inner = slice(5, -5)  # at the ends one interval alone is left
    for torque in (duty.duty.torque_start, duty.duty.torque_end, duty.drawn.shaft_torque):
        assert torque[inner] == pytest.approx(expected, abs=1e-12)
    as_measured = traced_duty(
        open_trace(source, tmp_path).trace, replace(source, smoothed_over=1), gear, motor
    )
    ratio, own = (1.0, 0.0) if gear is None else (4.0, 2e-5)
    swing = np.ptp(as_measured.duty.torque_start[inner])
    assert swing == pytest.approx(2.0 * 10.0 * ratio * (motor.inertia + own), rel=1e-6)
