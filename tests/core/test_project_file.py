"""Project files: nothing is lost, nothing is half written, and every refusal says where and why."""

from __future__ import annotations

import copy
import errno
import json
import math
import os
import random
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from core.catalogue.parts_file import load_demo_parts
from core.errors import InputRangeError, NewerVersionError, ProjectFileError
from core.project import project_file, saved_file
from core.project.application import Application, Site, Supply, Surroundings
from core.project.candidate import Candidate
from core.project.duty_cycle import Segment
from core.project.motor import HeatLink, HeatNode, NetworkHeat
from core.project.project import Project
from core.project.project_file import (
    decode_newer_project,
    decode_project,
    encode_project,
    read_project,
    write_project,
)

RICH = Project(
    application=Application(
        title="Prüfstand ½",
        duty_cycle=(
            Segment(name="up", duration=0.2, shaft_torque=0.05, speed_start=0.0, speed_end=120.0),
            Segment(name="hold", duration=1.5, shaft_torque=-0.01, speed_start=120.0, speed_end=120.0),
        ),
        site=Site(ambient=40.0, surroundings=Surroundings(dust="yes")),
        supply=Supply(nominal_voltage=24.0, lowest_voltage=20.0),
    ),
    candidates=(
        Candidate(
            name="A",
            motor=load_demo_parts().motor("47 mm frame"),
            winding="24 V",
            variant="open rotor",
            drive=load_demo_parts().drives[1],
        ),
        Candidate(name="B"),
    ),
    chosen="A",
)


def document() -> dict[str, Any]:
    """Return the rich project as parsed JSON, free to be changed."""
    parsed: dict[str, Any] = json.loads(encode_project(RICH))
    return parsed


def encoded(changed: dict[str, Any]) -> bytes:
    return json.dumps(changed).encode()


def refusal(changed: dict[str, Any]) -> ProjectFileError:
    with pytest.raises(ProjectFileError) as caught:
        decode_project(encoded(changed))
    return caught.value


# --- round trip -----------------------------------------------------------------------------------


def test_project_survives_saving_and_loading(tmp_path: Path) -> None:
    path = tmp_path / "p.json"
    write_project(path, RICH)
    assert read_project(path) == RICH
    before = path.read_bytes()
    write_project(path, read_project(path))
    assert path.read_bytes() == before


def test_text_is_sorted_indented_and_ends_with_a_line_break() -> None:
    text = encode_project(RICH).decode()
    assert list(json.loads(text)) == sorted(json.loads(text))
    assert text.startswith('{\n  "application": {\n')
    assert text.endswith("}\n")
    assert not text.endswith("\n\n")


def test_absent_figures_are_left_out_of_the_text() -> None:
    assert "null" not in encode_project(RICH).decode()


number = st.floats(-1e15, 1e15).filter(lambda size: size == 0.0 or abs(size) >= 1e-30)
positive = st.floats(min_value=1e-6, max_value=1e9)
words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
segments = st.builds(
    Segment, name=words, duration=positive, shaft_torque=number, speed_start=number, speed_end=number
)
anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | number | words,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(words, inner, max_size=3),
    max_leaves=6,
)


@given(st.lists(segments, max_size=6), words, st.none() | positive)
@settings(max_examples=60, deadline=None)
def test_any_duty_cycle_survives(duty: list[Segment], notes: str, voltage: float | None) -> None:
    application = Application(notes=notes, duty_cycle=tuple(duty), supply=Supply(nominal_voltage=voltage))
    project = replace(RICH, application=application)
    again = decode_project(encode_project(project))
    assert again == project
    assert encode_project(again) == encode_project(project)


# --- unknown keys ---------------------------------------------------------------------------------


def objects_in(value: Any, place: str = "$") -> list[tuple[str, dict[str, Any]]]:
    """Return every JSON object inside a document with its place."""
    found = []
    if isinstance(value, dict):
        found.append((place, value))
        for key, entry in value.items():
            found += objects_in(entry, f"{place}.{key}")
    elif isinstance(value, list):
        for index, entry in enumerate(value):
            found += objects_in(entry, f"{place}[{index}]")
    return found


def test_unknown_keys_are_kept_at_every_depth() -> None:
    changed = document()
    every = objects_in(changed)
    assert len(every) > 50  # down to the constants of each winding
    for number_, (_, entry) in enumerate(every):
        entry["from a later version"] = {"deep": [number_, None, "é"]}
    project = decode_project(encoded(changed))
    assert json.loads(encode_project(project)) == changed
    kept = saved_file.unknown_places(project)
    assert sorted(kept) == sorted(f"{place}.from a later version" for place, _ in every)


def test_unknown_keys_survive_an_edit() -> None:
    changed = document()
    changed["application"]["duty_cycle"][0]["jerk_rad_s3"] = 12.5
    project = decode_project(encoded(changed))
    first = replace(project.application.duty_cycle[0], shaft_torque=0.01)
    edited = replace(project, application=replace(project.application, duty_cycle=(first,)))
    assert json.loads(encode_project(edited))["application"]["duty_cycle"][0]["jerk_rad_s3"] == 12.5


@given(st.dictionaries(words.filter(lambda key: key != "_unknown_keys"), anything, max_size=4))
@settings(max_examples=40, deadline=None)
def test_any_content_of_unknown_keys_survives(extra: dict[str, Any]) -> None:
    changed = document()
    fresh = {key: value for key, value in extra.items() if key not in changed["application"]["site"]}
    changed["application"]["site"].update(copy.deepcopy(fresh))
    again = json.loads(encode_project(decode_project(encoded(changed))))
    assert again == changed


def test_heat_network_keeps_its_kind_and_its_unknown_keys() -> None:
    network = NetworkHeat(
        nodes=(HeatNode(name="winding", capacity=9.0), HeatNode(name="core", capacity=40.0)),
        links=(
            HeatLink(between=("winding", "core"), fixed=0.5),
            HeatLink(between=("core", "ambient"), natural=0.2, rotating=0.01),
        ),
        winding="winding", core="core", magnets="core", outside="core", stated_mounting="bracket",
    )  # fmt: skip
    motor = RICH.candidates[0].motor
    assert motor is not None
    changed_variant = replace(motor.variants[0], heat=network)
    candidate = replace(RICH.candidates[0], motor=replace(motor, variants=(changed_variant,)))
    project = replace(RICH, candidates=(candidate,))
    assert decode_project(encode_project(project)) == project
    raw = json.loads(encode_project(project))
    heat = raw["candidates"][0]["motor"]["variants"][0]["heat"]
    heat["links"][1]["emissivity"] = 0.9
    assert json.loads(encode_project(decode_project(encoded(raw)))) == raw


# --- versions -------------------------------------------------------------------------------------


def test_an_older_document_is_migrated_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """As if this were version 3: version 1 had rpm and one list "steps", version 2 renamed the list."""

    def from_1(raw: dict[str, Any]) -> dict[str, Any]:
        raw["application"]["duty_cycle"] = raw["application"].pop("steps")
        return raw

    def from_2(raw: dict[str, Any]) -> dict[str, Any]:
        for step in raw["application"]["duty_cycle"]:
            for end in ("start", "end"):
                step[f"speed_{end}_rad_s"] = step.pop(f"speed_{end}_rpm") * math.pi / 30.0
        return raw

    old = document()
    old["version"] = 1
    steps = old["application"].pop("duty_cycle")
    for step in steps:
        step["speed_start_rpm"] = 1000.0
        step["speed_end_rpm"] = 3000.0
        del step["speed_start_rad_s"], step["speed_end_rad_s"]
    old["application"]["steps"] = steps
    monkeypatch.setattr(project_file, "PROJECT_VERSION", 3)
    monkeypatch.setattr(project_file, "MIGRATIONS", {1: from_1, 2: from_2})
    project = decode_project(encoded(old))
    assert project.version == 3
    assert project.application.duty_cycle[0].speed_end == pytest.approx(314.159265, rel=1e-8)
    assert project.application.duty_cycle[1].duration == 1.5
    assert not saved_file.unknown_places(project)


@pytest.mark.parametrize("version", [0, -1, True, 1.0, "1", None])
def test_a_version_that_never_was_is_refused(version: object) -> None:
    assert refusal(document() | {"version": version}).place == "$.version"


def test_a_newer_version_is_refused_for_saving_and_readable_for_looking() -> None:
    newer = document() | {"version": 2}
    newer["application"]["cooling"] = {"fan": "yes"}
    error = refusal(newer)
    assert isinstance(error, NewerVersionError)
    assert error.place == "$.version"
    assert "later version" in str(error)
    seen = decode_newer_project(encoded(newer))
    assert seen.application.duty_cycle == RICH.application.duty_cycle
    assert saved_file.unknown_places(seen) == ["$.application.cooling"]


def test_a_newer_version_with_another_shape_says_what_it_cannot_read() -> None:
    newer = document() | {"version": 2}
    newer["application"]["duty_cycle"] = {"kind": "spline"}
    with pytest.raises(ProjectFileError) as caught:
        decode_newer_project(encoded(newer))
    assert caught.value.place == "$.application.duty_cycle"


def test_another_format_is_refused() -> None:
    assert refusal(document() | {"format": "ampturn parts"}).place == "$.format"


# --- refusals -------------------------------------------------------------------------------------

FIRST = "$.application.duty_cycle[0]"


def with_value(*path: str | int, value: object) -> dict[str, Any]:
    changed = document()
    place: Any = changed
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    return changed


@pytest.mark.parametrize(
    ("path", "value", "place", "words_of_rule"),
    [
        (("application", "duty_cycle", 0, "duration_s"), -1.0, f"{FIRST}.duration_s", ["> 0", "-1"]),
        (("application", "duty_cycle", 0, "duration_s"), "2", f"{FIRST}.duration_s", ["a number", "'2'"]),
        (("application", "duty_cycle", 0, "shaft_torque_Nm"), True, f"{FIRST}.shaft_torque_Nm", ["a number"]),
        (("application", "duty_cycle"), {"0": {}}, "$.application.duty_cycle", ["a list"]),
        (("application", "site", "ambient_degC"), -300.0, "$.application.site.ambient_degC", ["-273.15"]),
        (("candidates", 0, "winding"), "230 V", "$.candidates[0].winding", ["24 V", "230 V"]),
        (("candidates", 1, "name"), "A", "$.candidates", ["a name of its own", "'A'"]),
        (("chosen",), "C", "$.chosen", ["A, B", "'C'"]),
        (
            ("candidates", 0, "motor", "windings", 2, "resistance", "value_ohm"),
            0.0,
            "$.candidates[0].motor.windings[2].resistance.value_ohm",
            ["> 0", "0"],
        ),
        (
            ("candidates", 0, "motor", "variants", 0, "heat", "given_as"),
            "guess",
            "$.candidates[0].motor.variants[0].heat.given_as",
            ["guess"],
        ),
        (("candidates", 0, "drive", "largest_duty"), 1.5, "$.candidates[0].drive", ["<= 1", "1.5"]),
    ],
)
def test_a_bad_value_is_refused_with_place_rule_and_value(
    path: tuple[str | int, ...], value: object, place: str, words_of_rule: list[str]
) -> None:
    error = refusal(with_value(*path, value=value))
    assert error.place == place
    for word in words_of_rule:
        assert word in str(error)


def test_a_missing_figure_is_named() -> None:
    changed = document()
    del changed["application"]["duty_cycle"][1]["duration_s"]
    error = refusal(changed)
    assert error.place == "$.application.duty_cycle[1]"
    assert "duration_s" in str(error)


@pytest.mark.parametrize("word", [b"NaN", b"Infinity", b"-Infinity", b"1e999"])
def test_numbers_that_are_none_are_refused(word: bytes) -> None:
    content = encode_project(RICH).replace(b'"shaft_torque_Nm": 0.05', b'"shaft_torque_Nm": ' + word)
    assert word in content
    with pytest.raises(ProjectFileError) as caught:
        decode_project(content)
    assert caught.value.place


def test_nan_cannot_get_into_a_project_by_an_edit() -> None:
    with pytest.raises(InputRangeError, match="duration must be a finite number, got nan s"):
        replace(RICH.application.duty_cycle[0], duration=math.nan)


@pytest.mark.parametrize("size", [1.1e15, -1e308, 0.9e-30, -5e-324])
def test_a_size_that_no_drive_has_is_refused(size: float) -> None:
    """Products of such numbers would leave the range of floating-point numbers."""
    with pytest.raises(InputRangeError, match=r"shaft_torque must be 0 or from 1e-30 to 1e\+15 in size, got"):
        replace(RICH.application.duty_cycle[0], shaft_torque=size)
    content = encode_project(RICH).replace(b'"shaft_torque_Nm": 0.05', b'"shaft_torque_Nm": %r' % size)
    with pytest.raises(ProjectFileError) as caught:
        decode_project(content)
    assert caught.value.place.startswith("$.application.duty_cycle[0]")


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        (lambda: Application(title=""), "title: must have 1 to 200 characters, got ''"),
        (lambda: replace(RICH.application, title="x" * 201), "title: must have 1 to 200"),
        (lambda: replace(RICH.application, notes="x" * 20_001), "notes: must have 0 to 20000"),
        (lambda: replace(RICH.candidates[1], name=""), "name: must have 1 to 200"),
        (lambda: replace(RICH.application.duty_cycle[0], name="\ud83d"), "name: holds half a character"),
        (lambda: Candidate(name="A", winding="\udc00"), "winding: holds half a character"),
    ],
)
def test_a_text_that_no_file_may_hold_cannot_get_into_a_project(
    change: Callable[[], object], rule: str
) -> None:
    with pytest.raises(ProjectFileError, match=rule):
        change()


def test_any_whole_character_may_stand_in_a_text() -> None:
    application = replace(RICH.application, title="\U0001f600 \uffff \x00", notes="é\n\t")
    project = replace(RICH, application=application)
    assert decode_project(encode_project(project)) == project


def test_truncated_text_is_refused_at_every_length() -> None:
    content = encode_project(RICH)
    for length in range(0, len(content) - 2, 97):
        with pytest.raises(ProjectFileError) as caught:
            decode_project(content[:length])
        assert caught.value.place


def test_the_place_of_broken_json_is_a_line_and_a_column() -> None:
    with pytest.raises(ProjectFileError) as caught:
        decode_project(b'{\n  "format": "ampturn project",\n  "version": oops\n}')
    assert caught.value.place == "line 3, column 14"


@pytest.mark.parametrize(
    "content", [b"", b"[]", b"null", b"\xff\xfe\x00", b"[" * 100_000, b'{"a":' * 100_000, b'"\xe9"']
)
def test_what_is_no_project_at_all_is_refused(content: bytes) -> None:
    with pytest.raises(ProjectFileError):
        decode_project(content)


def test_a_file_too_large_is_refused_before_it_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "large.json"
    with path.open("wb") as stream:
        stream.truncate(10_000_000)
    monkeypatch.setattr(Path, "read_bytes", lambda _: pytest.fail("was read"))
    with pytest.raises(ProjectFileError, match=r"at most 4 MB, got '10\.0 MB'"):
        read_project(path)


def test_a_file_that_is_not_there_is_refused_with_its_name(tmp_path: Path) -> None:
    with pytest.raises(ProjectFileError, match=r"nowhere\.json: cannot be read"):
        read_project(tmp_path / "nowhere.json")


# --- writing --------------------------------------------------------------------------------------


def files_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_full_disk_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "p.json"
    write_project(path, RICH)
    before = path.read_bytes()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(ProjectFileError, match="cannot be written"):
        write_project(path, replace(RICH, chosen="B"))
    assert path.read_bytes() == before
    assert files_in(tmp_path) == ["p.json"]


@pytest.mark.parametrize("damage", [lambda read: read[:-40], lambda read: read.replace(b"0.05", b"0.06")])
def test_a_disk_that_reads_back_something_else_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, damage: Callable[[bytes], bytes]
) -> None:
    path = tmp_path / "p.json"
    write_project(path, RICH)
    before = path.read_bytes()
    read = Path.read_bytes
    with monkeypatch.context() as patch:
        patch.setattr(Path, "read_bytes", lambda self: damage(read(self)))
        with pytest.raises(ProjectFileError):
            write_project(path, replace(RICH, chosen="B"))
    assert path.read_bytes() == before
    assert files_in(tmp_path) == ["p.json"]


def test_the_file_is_never_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What stands under the name just before the replacement is still the whole old file."""
    path = tmp_path / "p.json"
    write_project(path, RICH)
    before, seen = path.read_bytes(), []
    move = Path.replace

    def watched(self: Path, target: Path) -> Path:
        seen.append((path.read_bytes(), self.read_bytes()))
        return move(self, target)

    monkeypatch.setattr(Path, "replace", watched)
    other = replace(RICH, chosen="B")
    write_project(path, other)
    assert seen == [(before, encode_project(other))]


def test_a_symbolic_link_stays_one(tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    target, link = folder / "real.json", tmp_path / "link.json"
    write_project(target, RICH)
    target.chmod(0o600)
    link.symlink_to(target)
    other = replace(RICH, chosen="B")
    write_project(link, other)
    assert link.is_symlink()
    assert read_project(target) == other
    assert target.stat().st_mode & 0o777 == 0o600
    assert files_in(tmp_path) == ["elsewhere", "link.json"]


def test_a_folder_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(ProjectFileError, match="cannot be written"):
        write_project(tmp_path / "missing" / "p.json", RICH)


# --- damage ---------------------------------------------------------------------------------------

STRANGE: list[Any] = [
    None, True, -1, 0, 1e308, -1e308, 10**30, "", "x" * 300, "\ud83d", [], {}, [[]], {"": None}, "24 V", "∞",
]  # fmt: skip


def damaged(content: bytes, chance: random.Random) -> bytes:
    """Return the text of a file with one wound: in its bytes, or in its values."""
    kind = chance.randrange(6)
    at, length = chance.randrange(len(content)), chance.randrange(1, 40)
    if kind == 0:
        return content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
    if kind == 1:
        return content[:at] + content[at + length :]
    if kind == 2:
        return content[:at] + content[at : at + length] + content[at:]
    parsed = json.loads(content)
    owners: list[Any] = [entry for _, entry in objects_in(parsed) if entry]
    owner = chance.choice(owners)
    key = chance.choice(sorted(owner))
    if kind == 3:
        del owner[key]
    elif kind == 4:
        owner[key] = chance.choice(STRANGE)
    else:
        owner[key] = chance.choice(list(chance.choice(owners).values()))
    return json.dumps(parsed).encode()


@pytest.mark.parametrize("block", range(6))
def test_a_damaged_file_is_read_or_refused_with_a_place(block: int) -> None:
    """300 wounds: what is read is a sound project, what is not says where; nothing else is raised."""
    content = encode_project(RICH)
    refusals: dict[int, ProjectFileError] = {}
    for seed in range(50 * block, 50 * block + 50):
        wounded = damaged(content, random.Random(seed))
        try:
            project = decode_project(wounded)
        except ProjectFileError as error:
            refusals[seed] = error
        else:
            assert decode_project(encode_project(project)) == project, seed
    for seed, refused in refusals.items():
        assert refused.place, seed
        assert str(refused).startswith(refused.place), seed
    assert 5 < len(refusals) < 50  # neither everything nor nothing is accepted


@given(st.binary(max_size=200))
@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_noise_is_refused(content: bytes) -> None:
    with pytest.raises(ProjectFileError):
        decode_project(content)
