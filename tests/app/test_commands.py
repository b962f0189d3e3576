"""The command line: each exit code, each bad input, files written, no Qt where none is needed."""

from __future__ import annotations

import json
import os
import shutil
import struct
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from app import exports
from app.command_chart import CHARTS
from app.commands import run
from core.catalogue.parts_file import load_demo_parts, write_parts
from core.project.application import Application, Supply, Surroundings, Targets
from core.project.project import Project
from core.project.project_file import encode_project, read_project, write_project

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "sample_projects" / "sample_carousel.json"
WINCH = SAMPLE.with_name("tide_pool_winch.json")
CAROUSEL = read_project(SAMPLE)
OPEN, ENCLOSED = (candidate.name for candidate in CAROUSEL.candidates)
NO_TARGETS = Targets(torque_reserve=0.0, temperature=0.0, peak=0.0, voltage=0.0, speed=0.0, frequency=0.0)

# A test that paints text needs the whole application, and Qt allows one only: so it comes first.
pytestmark = pytest.mark.usefixtures("qapp")

Change = Callable[[dict[str, Any]], object]


def application(**changes: Any) -> Project:
    """Return the carousel without wanted margins and with parts of its application changed."""
    requirements = replace(CAROUSEL.application.requirements, targets=changes.pop("targets", NO_TARGETS))
    changed: Application = replace(CAROUSEL.application, requirements=requirements, **changes)
    return replace(CAROUSEL, application=changed)


def surrounded(project: Project, surroundings: Surroundings) -> Project:
    site = replace(project.application.site, surroundings=surroundings)
    return replace(project, application=replace(project.application, site=site))


ALL_MET = application()
MISSED = application(targets=replace(NO_TARGETS, torque_reserve=1.0))  # 1 - 1/lambda stays below 1
NOT_CHECKED = application(supply=Supply())
MISSED_AND_NOT_CHECKED = application(supply=Supply(), targets=replace(NO_TARGETS, torque_reserve=1.0))
# liquid rules out the open rotor and leaves the enclosed one as it was
WET = surrounded(ALL_MET, Surroundings(dust="no", magnetic_swarf="no", liquid="yes", reach_of_fingers="no"))


@pytest.fixture
def saved(tmp_path: Path) -> Callable[[Project], str]:
    def save(project: Project) -> str:
        path = tmp_path / "project with a blank.json"
        write_project(path, project)
        return str(path)

    return save


# --- verdicts -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("project", "options", "code"),
    [
        (ALL_MET, (), 0),
        (MISSED, (), 1),
        (WET, (), 1),
        (WET, ("--candidate", ENCLOSED), 0),
        (WET, ("--candidate", "all"), 1),
        (NOT_CHECKED, (), 3),
        (MISSED_AND_NOT_CHECKED, (), 1),
        (Project(), (), 3),
        (Project(), ("--candidate", "all"), 3),
        (replace(CAROUSEL, candidates=(replace(CAROUSEL.candidates[0], motor=None),)), (), 3),
    ],
    ids=[
        "met", "missed", "excluded", "other candidate met", "all, one excluded", "not checked",
        "missed wins over not checked", "empty", "empty, all", "no motor",
    ],
)  # fmt: skip
@pytest.mark.parametrize("as_json", [False, True], ids=["text", "json"])
def test_exit_code(
    saved: Callable[[Project], str], project: Project, options: Sequence[str], code: int, as_json: bool
) -> None:
    assert run(["evaluate", saved(project), *options, *(["--json"] if as_json else [])]) == code


def test_one_missed_among_unchecked_candidates_decides(
    saved: Callable[[Project], str], capsys: pytest.CaptureFixture[str]
) -> None:
    unfinished = replace(CAROUSEL.candidates[1], motor=None, winding=None, variant=None)
    both = replace(MISSED, candidates=(CAROUSEL.candidates[0], unfinished))
    path = saved(both)
    assert run(["evaluate", path, "--candidate", "all"]) == 1
    assert run(["evaluate", path, "--candidate", ENCLOSED]) == 3
    assert "Missing: a motor." in capsys.readouterr().out


def test_an_open_rotor_without_its_rated_point_is_not_checked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = json.loads(encode_project(ALL_MET))
    chosen_variant(document)["heat"] = {"given_as": "data sheet", **SHEET_FIGURES}
    path = tmp_path / "p.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    assert run(["evaluate", str(path)]) == 3
    assert "Torque reserve: missing: one continuous torque at a rated speed" in capsys.readouterr().out


# --- what is printed ------------------------------------------------------------------------------


def printed(arguments: Sequence[str], capsys: pytest.CaptureFixture[str]) -> str:
    assert run(arguments) != 2, capsys.readouterr().err
    captured = capsys.readouterr()
    assert captured.err == ""
    return captured.out


def test_text_has_table_governing_cautions_and_closing(capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(["evaluate", str(SAMPLE)], capsys)
    lines = out.splitlines()
    heading = next(line for line in lines if line.startswith("Criterion"))
    assert heading.split() == ["Criterion", "Demand", "Limit", "Used", "Margin", "Target", "Status", "Where"]
    # 0.047 m of 0.060 m stand in the file
    diameter = next(line for line in lines if line.startswith("Diameter"))
    assert diameter.split()[1:9] == ["47.0", "mm", "60.0", "mm", "78.3", "%", "+22", "%"]
    assert f"{OPEN} (the chosen candidate)" in lines
    assert sum(line.startswith("Governing: ") for line in lines) == 1
    assert "Turning rotor: The outside turns at up to" in out
    assert any(line.startswith("Assumed (") for line in lines)
    assert lines[-1].startswith("An engineering estimate. Local codes, standards and licensed practice")
    assert "\N{NO-BREAK SPACE}" not in out


def test_excluded_and_unchecked_are_listed_with_reasons(
    saved: Callable[[Project], str], capsys: pytest.CaptureFixture[str]
) -> None:
    project = surrounded(NOT_CHECKED, Surroundings(liquid="yes"))
    out = printed(["evaluate", saved(project)], capsys)
    assert "Excluded (1)\n  Liquid: liquid reaches the winding of this variant\n" in out
    assert "\n  Voltage reserve: missing: lowest (or nominal) voltage of the supply\n" in out
    assert "\n  Dust: say whether there is dust\n" in out


def test_all_candidates_are_printed_in_turn(capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(["evaluate", str(SAMPLE), "--candidate", "all"], capsys)
    assert out.count("Criterion ") == 2
    assert out.index(OPEN) < out.index(ENCLOSED)


def test_units_and_equations_can_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    out = printed(["evaluate", str(SAMPLE), "--units", "length=in,speed=rad/s", "--equations"], capsys)
    diameter = next(line for line in out.splitlines() if line.startswith("Diameter"))
    assert diameter.split()[1:5] == ["1.85", "in", "2.36", "in"]  # 47 and 60 mm over 25.4 mm
    assert "\nEquations\n" in out
    assert "Diameter: 1.85 in of 2.36 in: 78.3 %" in out


def test_json_holds_the_candidates_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    for options, names in ((), [OPEN]), (("--candidate", "all"), [OPEN, ENCLOSED]):
        found = json.loads(printed(["evaluate", str(SAMPLE), "--json", *options], capsys))
        assert [candidate["name"] for candidate in found["candidates"]] == names


@pytest.mark.parametrize("kind", ["project", "parts", "result"])
def test_schema_is_printed(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    schema = json.loads(printed(["schema", kind], capsys))
    assert schema["title"] == f"Ampturn {kind}"
    assert schema["$ref"].removeprefix("#/$defs/") in schema["$defs"]


def test_a_name_from_a_file_cannot_control_the_terminal(
    saved: Callable[[Project], str], capsys: pytest.CaptureFixture[str]
) -> None:
    out = printed(["evaluate", saved(application(title="red \x1b[31m title"))], capsys)
    assert "\x1b" not in out


def test_unknown_keys_are_announced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    raw = json.loads(SAMPLE.read_bytes())
    raw["application"]["site"]["ambient_degc"] = 50.0
    path = tmp_path / "p.json"
    path.write_text(json.dumps(raw), encoding="utf-8")
    assert run(["evaluate", str(path)]) != 2
    note = capsys.readouterr().err
    assert "$.application.site.ambient_degc" in note
    assert note.count("\n") == 1


# --- parts ----------------------------------------------------------------------------------------


def test_demo_parts_are_plausible(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "parts.json"
    write_parts(path, load_demo_parts())
    assert run(["parts", "check", str(path)]) == 0
    assert "Nothing is implausible." in capsys.readouterr().out


def test_implausible_parts_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    parts = load_demo_parts()
    motor = parts.motors[0]
    first = motor.windings[0]
    doubled = replace(first, resistance=replace(first.resistance, value=2.0 * first.resistance.value))
    odd = replace(parts, motors=(replace(motor, windings=(doubled, *motor.windings[1:])),))
    path = tmp_path / "parts.json"
    write_parts(path, odd)
    assert run(["parts", "check", str(path)]) == 1
    assert f"{motor.name}: motor constant" in capsys.readouterr().out


def test_parts_file_is_refused_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["parts", "check", str(SAMPLE)]) == 2
    assert '$.format: must be "ampturn parts"' in capsys.readouterr().err


# --- refusals -------------------------------------------------------------------------------------


def set_at(*path: str | int, value: object) -> Change:
    """Return a change that puts a value at a place of a document."""

    def change(document: Any) -> None:
        for key in path[:-1]:
            document = document[key]
        document[path[-1]] = value

    return change


def chosen_variant(document: dict[str, Any]) -> Any:
    candidate = document["candidates"][0]
    return next(v for v in candidate["motor"]["variants"] if v["kind"] == candidate["variant"])


SHEET_FIGURES = {
    "winding_housing_resistance_K_W": 1.74,
    "housing_ambient_resistance_K_W": 7.98,
    "winding_time_constant_s": 18.2,
    "motor_time_constant_s": 533.0,
    "stated_mounting": "a plate",
}


def on_data_sheet(**figures: float) -> Change:
    """Change the heat of the chosen variant to a data sheet without dimensions, with other figures."""
    point = {"speed_rad_s": 544.5, "shaft_torque_Nm": 0.1081, "winding_temp_degC": 145.0}
    heat = {"given_as": "data sheet", **SHEET_FIGURES, "continuous_point": point, **figures}
    return lambda document: chosen_variant(document).update({"heat": heat})


def without_path_to_ambient(document: dict[str, Any]) -> None:
    chosen_variant(document)["heat"] = {
        "given_as": "network",
        "nodes": [{"name": "copper", "capacity_J_K": 9.0}, {"name": "iron", "capacity_J_K": 60.0}],
        "links": [{"between": ["copper", "iron"], "fixed_W_K": 0.5}],
        "winding": "copper", "core": "iron", "magnets": "iron", "outside": "iron",
        "stated_mounting": "none",
    }  # fmt: skip


SEGMENT = ("application", "duty_cycle", 1)
MOTOR = ("candidates", 0, "motor")
BAD: dict[str, tuple[Change, tuple[str, ...]]] = {
    "wrong type": (
        set_at(*SEGMENT, "shaft_torque_Nm", value="much"),
        ("$.application.duty_cycle[1].shaft_torque_Nm", "must be a number", "'much'"),
    ),
    "negative duration": (
        set_at(*SEGMENT, "duration_s", value=-1.0),
        ("$.application.duty_cycle[1].duration_s", "must be a number > 0", "-1.0"),
    ),
    "zero resistance": (
        set_at(*MOTOR, "windings", 0, "resistance", "value_ohm", value=0.0),
        ("$.candidates[0].motor.windings[0].resistance.value_ohm", "must be a number > 0", "0.0"),
    ),
    "unknown winding": (
        set_at("candidates", 0, "winding", value="77 V"),
        ("$.candidates[0].winding", "must be one of this motor's windings", "'77 V'"),
    ),
    "unknown chosen candidate": (
        set_at("chosen", value="nobody"),
        ("chosen", "must be the name of a candidate", "'nobody'"),
    ),
    "network without a path to ambient": (
        without_path_to_ambient,
        ("$.candidates[0].motor.variants[", "].heat.links", 'needs a heat path to "ambient"', "'copper'"),
    ),
    "time constants that contradict each other": (
        on_data_sheet(winding_time_constant_s=5000.0),
        ("$.candidates[0].motor.variants[", "].heat: ", "time constant of the motor must be >", "got "),
    ),
    "later version": (set_at("version", value=999), ("$.version", "later version", "999")),
    "another format": (set_at("format", value="letter"), ("$.format", "ampturn project", "'letter'")),
}


@pytest.mark.parametrize("command", ["evaluate", "chart"])
@pytest.mark.parametrize(("change", "parts"), BAD.values(), ids=BAD.keys())
def test_bad_value_is_refused_in_one_line(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    command: str,
    change: Change,
    parts: tuple[str, ...],
) -> None:
    document = json.loads(encode_project(CAROUSEL))
    change(document)
    path, out = tmp_path / "bad.json", tmp_path / "chart.svg"
    path.write_text(json.dumps(document), encoding="utf-8")
    options = [] if command == "evaluate" else ["--of", "cycle", "-o", str(out)]
    assert_refused([command, str(path), *options], (str(path), *parts), capsys)
    assert not out.exists()


@pytest.mark.parametrize(
    ("content", "parts"),
    [
        (b'{"format": "ampturn project",\n "version": }', ("line 2, column 13", "is not valid JSON")),
        (encode_project(CAROUSEL).replace(b"0.3", b"NaN", 1), ("line ", "is not valid JSON")),
        (b"[]", ("$", "must be a JSON object")),
        (b"", ("is not valid JSON",)),
        (b"\xff\xfe\x00", ("is not valid JSON",)),
        (b'"' + b"x" * 10_000_000 + b'"', ("may have at most 4 MB", "10.0 MB")),
        (b"[" * 200_000, ("is not valid JSON",)),
    ],
    ids=["wrong JSON", "NaN", "list", "empty", "binary", "10 MB", "nested"],
)
def test_bad_content_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes, parts: tuple[str, ...]
) -> None:
    path = tmp_path / "bad.json"
    path.write_bytes(content)
    assert_refused(["evaluate", str(path)], (str(path), *parts), capsys)


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        (
            ["evalute", "x.json"],
            ("'evalute' is neither a command", "evaluate, chart, shortlist, sheet, schema, parts"),
        ),
        (["evaluate"], ("required: FILE", "ampturn evaluate --help")),
        (["evaluate", "nowhere.json"], ("nowhere.json: cannot be read", "No such file")),
        (["nowhere.json"], ("nowhere.json: there is no such file",)),
        (["evaluate", str(SAMPLE), "--candidate", "C"], ("--candidate: must be one of", OPEN, "got 'C'")),
        (["evaluate", str(SAMPLE), "--units", "torque=kg"], ("'kg' is a mass", "N·m")),
        (["evaluate", str(SAMPLE), "--units", "taste=N"], ("'taste=N' must be KIND=UNIT",)),
        (["chart", str(SAMPLE), "--of", "taste", "-o", "x.pdf"], ("'taste'", "speed-torque")),
        (["chart", str(SAMPLE), "--of", "cycle", "-o", "x.gif"], ("x.gif", ".pdf, .svg or .png")),
        (["chart", str(SAMPLE), "--of", "cycle", "-o", "x.pdf", "--size", "wide"], ("160x110", "'wide'")),
        (["chart", str(SAMPLE), "--of", "cycle", "-o", "x.pdf", "--size", "1x1"], ("60 to 1200 mm",)),
        (["chart", str(SAMPLE), "--of", "cycle", "-o", "/nowhere/x.pdf"], ("/nowhere/x.pdf", "written")),
        (["schema", "taste"], ("'taste'", "project")),
        (["parts"], ("required: ACTION",)),
    ],
    ids=lambda value: " ".join(Path(part).name for part in value) if isinstance(value, list) else "",
)
def test_bad_request_is_refused_in_one_line(
    arguments: list[str], parts: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert_refused(arguments, parts, capsys)


def test_a_value_that_no_motor_can_have_names_its_candidate(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    document = json.loads(encode_project(CAROUSEL))
    # each figure is in its range, but the flux of such magnets would be negative below their limit
    document["candidates"][1]["motor"] |= {"magnet_temp_coefficient_per_K": -0.01, "magnet_limit_degC": 200.0}
    path = tmp_path / "bad.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    parts = (str(path), f"$.candidates[1] ({ENCLOSED})", "must be", "got")
    assert_refused(["evaluate", str(path)], parts, capsys)


def assert_refused(
    arguments: Sequence[str], parts: Sequence[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith("ampturn: ")
    assert captured.err.count("\n") == 1
    for part in parts:
        assert part in captured.err


# --- a duty that is a measured trace --------------------------------------------------------------


def traced(folder: Path) -> str:
    """Save the carousel with its duty read from a trace file beside it, and return the project's path."""
    document = json.loads(encode_project(ALL_MET))
    document["application"]["duty_from"] = "trace"
    document["application"]["trace"] = {
        "file": "measured.csv",
        "time": {"number": 0, "unit": "s"},
        "torque": {"number": 1, "unit": "mN·m"},
        "speed": {"number": 2, "unit": "rpm"},
    }
    path = folder / "p.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def test_a_trace_is_read_from_beside_the_project(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = [f"{0.01 * k:.2f},{50 if k % 50 < 10 else 30},1500" for k in range(401)]
    (tmp_path / "measured.csv").write_text(
        "\n".join(["time s,torque mN·m,speed rpm", *rows]), encoding="utf-8"
    )
    assert run(["evaluate", traced(tmp_path)]) == 0
    out = capsys.readouterr().out
    assert "cycle 4.00 s" in out
    speed = next(line for line in out.splitlines() if line.startswith("Mechanical speed"))
    assert speed.split()[2:4] == ["1500", "rpm"]


def test_a_trace_that_is_missing_or_bad_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = traced(tmp_path)
    assert_refused(["evaluate", path], ("$.application.trace.file: measured.csv cannot be read",), capsys)
    content = "time s,torque mN·m,speed rpm\n0,30,1500\n0.1,thirty,1500\n0.2,30,1500\n"
    (tmp_path / "measured.csv").write_text(content, encoding="utf-8")
    assert_refused(["evaluate", path], ("measured.csv: row 3", "thirty"), capsys)


# --- charts ---------------------------------------------------------------------------------------

WORDS = {"speed-torque": "torque", "cycle": "speed", "temperature": "temperature"}


@pytest.mark.parametrize("what", WORDS)
def test_chart_is_written_with_text_as_text(what: str, tmp_path: Path) -> None:
    out = tmp_path / "chart.svg"
    assert run(["chart", str(SAMPLE), "--of", what, "-o", str(out)]) == 0
    drawn = " ".join(ET.parse(out).getroot().itertext())
    assert WORDS[what] in drawn
    assert "40" in drawn  # the ambient temperature of the file, in the headline


# What each chart of the load, of the chosen candidate or of a comparison must have in words.
OTHER_WORDS = {
    "load": "acceleration",
    "ratio": "ratio",
    "windings": "fastest that fits",
    "supply-voltage": "trip",
    "shaft": "allowed for 10000 h",
    "heat-flow": "ambient air",
    "peak-temperatures": "winding",
    "losses": "copper",
    "continuous-torque": "A continuous",
    "torque-ratio": "equal",
}


@pytest.mark.parametrize("what", OTHER_WORDS)
def test_each_other_chart_is_written_too(what: str, tmp_path: Path) -> None:
    out = tmp_path / "chart.svg"
    sample = WINCH if what in ("load", "ratio") else SAMPLE
    assert run(["chart", str(sample), "--of", what, "-o", str(out)]) == 0
    assert OTHER_WORDS[what] in " ".join(ET.parse(out).getroot().itertext())


@pytest.mark.parametrize("what", ["load", "ratio", "windings", "supply-voltage", "shaft", "heat-flow"])
def test_a_chart_with_nothing_to_draw_is_refused_with_what_it_needs(
    what: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bare.json"
    write_project(path, replace(CAROUSEL, candidates=(), chosen=None))
    arguments = ["chart", str(path), "--of", what, "-o", str(tmp_path / "chart.svg")]
    assert_refused(arguments, ("there is no chart of the", "it needs"), capsys)


def test_every_chart_of_the_command_is_tested() -> None:
    assert set(CHARTS) == {*WORDS, *OTHER_WORDS}
    assert set(CHARTS.values()) == {*exports.CHARTS, *exports.CHOSEN_CHARTS, *exports.SIDE_CHARTS}


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="poppler-utils is not installed")
def test_pdf_has_the_size_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "chart.pdf"
    arguments = ["chart", str(SAMPLE), "--of", "speed-torque", "-o", str(out), "--size", "200x120"]
    assert run([*arguments, "--candidate", ENCLOSED, "--units", "speed=rad/s"]) == 0
    text = subprocess.run(["pdftotext", str(out), "-"], check=True, capture_output=True, text=True).stdout
    assert "rad/s" in text
    info = subprocess.run(["pdfinfo", str(out)], check=True, capture_output=True, text=True).stdout
    size = next(line for line in info.splitlines() if line.startswith("Page size")).split()
    assert float(size[2]) == pytest.approx(200.0 * 72.0 / 25.4, abs=0.5)
    assert float(size[4]) == pytest.approx(120.0 * 72.0 / 25.4, abs=0.5)


def test_png_has_200_dots_per_inch(tmp_path: Path) -> None:
    out = tmp_path / "chart.png"
    assert run(["chart", str(SAMPLE), "--of", "cycle", "-o", str(out), "--size", "127x76.2mm"]) == 0
    content = out.read_bytes()
    assert content.startswith(b"\x89PNG")
    assert struct.unpack(">II", content[16:24]) == (1000, 600)


# --- processes ------------------------------------------------------------------------------------


def no_display() -> dict[str, str]:
    hidden = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    return {key: value for key, value in os.environ.items() if key not in hidden}


@pytest.mark.parametrize(
    "arguments",
    [
        ["evaluate", str(SAMPLE), "--candidate", "all"],
        ["evaluate", str(SAMPLE), "--json"],
        ["schema", "result"],
        ["parts", "check", str(ROOT / "core" / "catalogue" / "demo_parts.json")],
        ["evaluate", "nowhere.json"],
    ],
    ids=lambda arguments: " ".join(Path(part).name for part in arguments),
)
def test_no_qt_is_loaded(arguments: list[str]) -> None:
    program = (
        "import sys\n"
        "from app.commands import run\n"
        f"run({arguments!r})\n"
        "found = {name.partition('.')[0] for name in sys.modules}\n"
        "print(sorted(found & {'PySide6', 'shiboken6', 'pyqtgraph', 'pint'}), file=sys.stderr)\n"
    )
    ended = subprocess.run(
        [sys.executable, "-c", program],
        cwd=ROOT,
        env=no_display(),
        capture_output=True,
        text=True,
        check=True,
    )
    assert ended.stderr.splitlines()[-1] == "[]"


def module(arguments: Sequence[str], **options: Any) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-m", "app", *arguments]
    return subprocess.Popen(command, cwd=ROOT, env=no_display(), stderr=subprocess.PIPE, **options)


def test_a_reader_that_leaves_does_not_change_the_verdict(saved: Callable[[Project], str]) -> None:
    reading, writing = os.pipe()
    with module(["evaluate", saved(MISSED), "--json"], stdout=writing) as process:
        os.close(writing)
        os.close(reading)
        assert process.stderr is not None
        assert process.stderr.read() == b""
    assert process.returncode == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_said_in_one_line() -> None:
    with Path("/dev/full").open("wb") as full, module(["evaluate", str(SAMPLE)], stdout=full) as process:
        assert process.stderr is not None
        assert process.stderr.read().count(b"\n") == 1
    assert process.returncode == 2


@pytest.mark.skipif(sys.platform != "linux", reason="only there a display may be absent")
@pytest.mark.parametrize("arguments", [[], [str(SAMPLE)]], ids=["no file", "file"])
def test_window_without_a_display_is_refused(arguments: list[str]) -> None:
    with module(arguments, stdout=subprocess.PIPE) as process:
        assert process.stderr is not None
        assert b"no display found" in process.stderr.read()
    assert process.returncode == 2


def test_a_chart_needs_no_display(tmp_path: Path) -> None:
    out = tmp_path / "chart.pdf"
    arguments = ["chart", str(SAMPLE), "--of", "temperature", "-o", str(out)]
    with module(arguments, stdout=subprocess.PIPE) as process:
        assert process.stderr is not None
        assert process.stderr.read() == b""
    assert process.returncode == 0
    assert out.read_bytes().startswith(b"%PDF")


def test_version_and_help_are_printed(capsys: pytest.CaptureFixture[str]) -> None:
    for option, word in (("--version", "ampturn "), ("--help", "evaluate")):
        with pytest.raises(SystemExit) as ended:
            run([option])
        assert ended.value.code == 0
        assert word in capsys.readouterr().out
