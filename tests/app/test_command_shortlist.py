"""`ampturn shortlist`: what it prints, how it ends, and what it refuses."""

from __future__ import annotations

import json
import os
import signal
import sys
from functools import partial
from pathlib import Path

import msgspec
import pytest
from msgspec.structs import replace

from app.commands import run
from core.catalogue.parts_file import PartsFile, load_demo_parts, write_parts
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.edits import change_candidate
from core.project.project_file import read_project, write_project
from core.shortlist import runner
from core.shortlist.chunk_result import ChunkResult
from core.shortlist.each_candidate import evaluate_each
from core.shortlist.list_json import ShortlistFile

SAMPLE = Path(__file__).parents[2] / "sample_projects" / "sample_carousel.json"
DEMO = load_demo_parts()


@pytest.fixture
def few(tmp_path: Path) -> Path:
    path = tmp_path / "few.json"
    motors = tuple(motor for motor in DEMO.motors if motor.name.startswith("47 mm"))
    write_parts(path, PartsFile(motors=motors[:1], drives=DEMO.drives[:2], feedback=DEMO.feedback[:1]))
    return path


def test_the_best_stand_first_with_what_governs(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["shortlist", str(SAMPLE), "--parts", str(few), "--top", "3"]) == 0
    said = capsys.readouterr()
    lines = said.out.splitlines()
    assert lines[0] == "Sample carousel"
    assert "meet every requirement" in lines[2]
    assert [line.split()[0] for line in lines[6:9]] == ["1", "2", "3"]
    assert "Out by the first condition" in said.out
    assert said.err == ""  # no progress where nobody looks


def test_the_first_is_as_good_evaluated_alone(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["shortlist", str(SAMPLE), "--parts", str(few), "--top", "1", "--json"]) == 0
    found = msgspec.json.decode(capsys.readouterr().out.encode(), type=ShortlistFile)
    assert found.evaluated == found.possible == sum(found.verdicts.values())
    assert sum(found.out_by.values()) == found.verdicts["missed"] + found.verdicts["excluded"]
    choice, governing = found.best[0].choice, found.best[0].governing
    assert governing is not None
    project = read_project(SAMPLE)
    motor = next(one for one in DEMO.motors if one.name == choice.motor)
    drive = next(one for one in DEMO.drives if one.name == choice.drive)
    chosen = project.chosen_candidate
    assert chosen is not None
    place = project.candidates.index(chosen)
    project = change_candidate(
        project, place, motor=motor, winding=choice.winding, variant=choice.variant, drive=drive,
        commutation=choice.commutation, feedback=DEMO.feedback[0], brake=None,
    )  # fmt: skip
    alone = tmp_path / "alone.json"
    write_project(alone, project)
    assert run(["evaluate", str(alone), "--json"]) == 0
    result = json.loads(capsys.readouterr().out)["candidates"][0]
    assert result["governing"] == governing.criterion
    margin = next(one for one in result["margins"] if one["criterion"] == governing.criterion)
    assert governing.margin == pytest.approx(margin["margin"], rel=1e-9)
    assert found.best[0].objectives.smallest_margin == pytest.approx(
        margin["margin"] - margin["target"], rel=1e-9
    )


def test_workers_print_the_same(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["shortlist", str(SAMPLE), "--parts", str(few), "--json"]
    run(arguments)
    alone = capsys.readouterr().out
    run([*arguments, "--workers", "2"])
    assert capsys.readouterr().out == alone


def test_the_exit_code_is_the_verdict_on_the_best(few: Path, tmp_path: Path) -> None:
    project = read_project(SAMPLE)
    envelope = replace(project.application.requirements.envelope, largest_diameter=1e-3)
    requirements = replace(project.application.requirements, envelope=envelope)
    tight = replace(project, application=replace(project.application, requirements=requirements))
    path = tmp_path / "tight.json"
    write_project(path, tight)
    assert run(["shortlist", str(path), "--parts", str(few)]) == 1
    none = tmp_path / "none.json"
    write_parts(none, PartsFile())
    assert run(["shortlist", str(SAMPLE), "--parts", str(none)]) == 3


def test_ctrl_c_shows_what_was_found(
    few: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(application: Application, some: list[Candidate], measured: None) -> ChunkResult:
        os.kill(os.getpid(), signal.SIGINT)
        return evaluate_each(application, some, measured)

    monkeypatch.setattr(runner, "evaluate_each", interrupted)
    monkeypatch.setattr(runner, "run", partial(runner.run, chunk=5))
    before = signal.getsignal(signal.SIGINT)
    assert run(["shortlist", str(SAMPLE), "--parts", str(few)]) == 130
    assert "Cancelled after 5 of " in capsys.readouterr().out
    assert signal.getsignal(signal.SIGINT) is before


def test_progress_is_one_line_of_a_terminal(
    few: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert run(["shortlist", str(SAMPLE), "--parts", str(few), "--json"]) == 0
    said = capsys.readouterr().err
    assert "candidates" in said
    assert "\n" not in said
    assert said.endswith("\x1b[K")  # nothing is left of it


def test_without_leaves_parts_out(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run(["shortlist", str(SAMPLE), "--parts", str(few), "--json", "--without", "commutation=six-step"])
    found = msgspec.json.decode(capsys.readouterr().out.encode(), type=ShortlistFile)
    assert {row.choice.commutation for row in found.best} == {"sinusoidal"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--top", "0"], "whole number from 1"),
        (["--workers", "x"], "whole number from 1"),
        (["--workers", "999"], "at most 256"),
        (["--without", "price=high"], "must be PART=NAME"),
        (["--parts", "nowhere.json"], "nowhere.json"),
        (["--where", "price < 3"], "one of margin"),
        (["--pareto", "mass"], "two or more"),
        (["--ambient", "x"], "does not begin with a number"),
        (["--mounting", "on a shelf"], "must be 'data sheet'"),
        (["--lowest-voltage", "-3"], "above 0 V"),
        (["--special-winding", "20"], "FROM..TO"),
        (["--free-ratio", "0..5"], "must be positive"),
        (["--free-ratio", "2..5"], "needs the duty from a load"),
        (["--special-winding", "20..50", "--ambient", "50"], "under one condition"),
        (["--duty", "nowhere.json"], "nowhere.json"),
        (["--scheduler", "tcp://127.0.0.1:1", "--workers", "2"], "give one of both"),
    ],
)
def test_bad_requests_are_refused_in_one_line(
    arguments: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["shortlist", str(SAMPLE), *arguments]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert words in said


def test_the_schema_is_that_of_what_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["schema", "shortlist"]) == 0
    assert '"best"' in capsys.readouterr().out


def asked(capsys: pytest.CaptureFixture[str], *arguments: str) -> ShortlistFile:
    run(["shortlist", str(SAMPLE), "--json", *arguments])
    return msgspec.json.decode(capsys.readouterr().out.encode(), type=ShortlistFile)


def test_each_candidate_counts_with_its_worst_condition(
    few: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = ["--parts", str(few), "--top", "100"]
    each = {ambient: asked(capsys, *parts, "--ambient", ambient) for ambient in ("20", "75 degC")}
    both = asked(capsys, *parts, "--ambient", "20", "--ambient", "75 degC")
    assert len(both.conditions) == 2
    margins = {
        ambient: {row.number: row.objectives.smallest_margin for row in one.best}
        for ambient, one in each.items()
    }
    for row in both.best:
        assert row.condition is not None
        ambient = "20" if row.condition == both.conditions[0] else "75 degC"
        assert row.objectives.smallest_margin == margins[ambient][row.number]
    other = read_project(SAMPLE)
    calm = tuple(replace(one, shaft_torque=0.0) for one in other.application.duty_cycle)
    path = tmp_path / "calm.json"
    write_project(path, replace(other, application=replace(other.application, title="calm", duty_cycle=calm)))
    found = asked(capsys, *parts, "--duty", str(path), "--lowest-voltage", "18..24 V")
    assert len(found.conditions) == 6
    assert sum("calm" in words for words in found.conditions) == 3


def test_bounds_reasons_and_pareto_sets_tell_who_is_listed(
    few: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    parts = ["--parts", str(few), "--top", "1000"]
    every = asked(capsys, *parts)
    heavy = max(row.objectives.mass or 0.0 for row in every.best)
    light = asked(capsys, *parts, "--where", f"mass < {0.99 * heavy:.9g} kg")
    wanted = [row.number for row in every.best if (row.objectives.mass or 9.0) < 0.99 * heavy]
    assert [row.number for row in light.best] == wanted
    assert light.looked_at == len(wanted)
    front = asked(capsys, *parts, "--pareto", "mass,losses")
    met = [row for row in every.best if row.verdict == "met"]
    points = {row.number: (row.objectives.mass or 9.0, row.objectives.mean_losses or 9.0) for row in met}
    best = {
        number
        for number, (m, w) in points.items()
        if not any(a <= m and b <= w and (a, b) != (m, w) for a, b in points.values())
    }
    assert {row.number for row in front.best} == best
    voltage = asked(capsys, *parts, "--reason", "voltage_reserve")
    assert voltage.looked_at is not None
    assert all("voltage" in row.why.lower() for row in voltage.best)


def test_a_special_winding_is_named_with_its_turns(few: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = ["shortlist", str(SAMPLE), "--parts", str(few), "--top", "1", "--special-winding"]
    assert run([*arguments, "10..60 mN*m/A"]) == 0
    said = capsys.readouterr().out
    assert "Special windings, in the copper of a listed one" in said
    assert "times the turns of" in said
    assert "turns a coil" in said
    found = asked(capsys, "--parts", str(few), "--special-winding", "10..60 mN*m/A")
    for one in found.special_windings:
        assert 0.0099 < one.torque_constant < 0.0606
