"""Designations of an owner of parts: written and read, refused where unclear, and followed by the sheet."""

from __future__ import annotations

import itertools
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from core.catalogue.designation import (
    choice_of,
    designated_candidate,
    designation_of,
    format_designation,
    parse_designation,
    with_pattern,
)
from core.catalogue.parts_file import PartsFile, decode_parts, encode_parts, load_demo_parts
from core.errors import ProjectFileError
from core.evaluate import evaluate
from core.project.candidate import Candidate
from core.project.designation_pattern import DesignationPattern, FieldName
from core.project.edits import change_candidate
from core.project.paperwork import HandOver
from core.project.project_file import decode_project, encode_project
from core.sheet.plain_text import plain_text
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits
from tests.core.projects import project, segment

CODES = {
    "frame": {"38": "38 mm frame", "47": "47 mm frame"},
    "winding": {"A": "24 V", "B": "12 V"},
    "variant": {"O": "open rotor", "E": "enclosed"},
    "brake": {"": "", "-K": "holding brake, 0.15 N m"},
    "shaft": {"1": "4 mm, 11 mm long", "2": "without flat"},
}
PATTERN = DesignationPattern(pattern="M{frame}-{winding}{variant}{shaft}{brake}", codes=CODES)


def parts() -> PartsFile:
    return replace(load_demo_parts(), designation=PATTERN)


def pattern(codes: dict[str, dict[str, str]], text: str = "{frame}{winding}{variant}") -> DesignationPattern:
    plain = {"frame": {"1": "a"}, "winding": {"2": "b"}, "variant": {"3": "c"}}
    return DesignationPattern(pattern=text, codes=plain | codes)


def test_every_designation_reads_back_to_the_choice_it_was_written_for() -> None:
    for meanings in itertools.product(*(table.values() for table in CODES.values())):
        choice = dict(zip(CODES, meanings, strict=True))
        text = format_designation(PATTERN, choice)  # type: ignore[arg-type]
        assert text is not None
        assert parse_designation(PATTERN, text) == choice


def test_a_designation_is_written_as_its_pattern_says() -> None:
    choice: dict[FieldName, str] = {
        "frame": "47 mm frame",
        "winding": "24 V",
        "variant": "enclosed",
        "shaft": "without flat",
    }
    assert format_designation(PATTERN, choice) == "M47-AE2"
    assert format_designation(PATTERN, {**choice, "winding": "36 V"}) is None


def test_typing_a_designation_selects_the_parts() -> None:
    found = designated_candidate(parts(), "  m38-ae2-k ")
    assert found.motor == load_demo_parts().motor("38 mm frame")
    assert (found.winding, found.variant) == ("24 V", "enclosed")
    assert found.brake is not None
    assert found.brake.name == "holding brake, 0.15 N m"
    assert found.hand_over is not None
    assert found.hand_over.shaft_front == "without flat"
    assert found.name == designation_of(found) == "M38-AE2-K"


def test_the_designation_follows_the_parts() -> None:
    found = replace(designated_candidate(parts(), "M38-AE2"), winding="12 V", variant="open rotor")
    assert designation_of(found) == "M38-BO2"
    assert designation_of(replace(found, winding="36 V")) is None
    assert choice_of(found, PATTERN)["brake"] == ""


def test_a_project_keeps_the_pattern_and_the_sheet_prints_the_designation() -> None:
    found = replace(designated_candidate(parts(), "M38-AE2"), name="ours")
    one = project(segment(1.0, 0.02, 100.0), candidates=(found,))
    assert decode_project(encode_project(one)) == one
    assert printed(one, "Designation") == "M38-AE2"
    assert printed(change_candidate(one, 0, winding="12 V"), "Designation") == "M38-BE2"
    other = change_candidate(one, 0, winding="36 V")
    assert printed(other, "Designation") == "38 mm frame, winding 36 V, enclosed"


def printed(one: object, name: str) -> str:
    made = sheet_of(
        one,  # type: ignore[arg-type]
        evaluate(one),  # type: ignore[arg-type]
        issued=date(2026, 3, 31),
        project_file=b"",
        units=DisplayUnits(),
    )
    lines = plain_text(made, DisplayUnits()).splitlines()
    return next(line for line in lines if line.startswith(name)).removeprefix(name).strip()


def test_a_parts_file_keeps_its_pattern() -> None:
    assert decode_parts(encode_parts(parts())) == parts()
    assert load_demo_parts().designation is None
    assert b"designation" not in encode_parts(load_demo_parts())


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("X47", "the text must be one of M after ''"),
        ("M40-AE1", "frame must be one of 38, 47 after 'M'"),
        ("M47-CE1", "winding must be one of A, B after 'M47-'"),
        ("M47-AE1-X", "ends after 'M47-AE1'"),
        ("M47-AE", "shaft must be one of 1, 2 after 'M47-AE'"),
        ("", "the text must be one of M"),
    ],
)
def test_a_wrong_designation_is_refused_at_its_place(text: str, words: str) -> None:
    with pytest.raises(ProjectFileError, match=words):
        parse_designation(PATTERN, text)


def test_a_frame_without_the_winding_is_refused() -> None:
    motor = parts().motor("47 mm frame")
    poorer = replace(motor, windings=tuple(one for one in motor.windings if one.name != "12 V"))
    others = tuple(one for one in parts().motors if one.name != motor.name)
    with pytest.raises(ProjectFileError, match="47 mm frame has no winding 12 V"):
        designated_candidate(replace(parts(), motors=(*others, poorer)), "M47-BE1")
    with pytest.raises(ProjectFileError, match="has no pattern"):
        designated_candidate(load_demo_parts(), "M47-BE1")


def test_a_code_for_a_part_that_is_not_there_is_refused() -> None:
    codes = CODES | {"frame": {"99": "99 mm frame"}}
    with pytest.raises(ProjectFileError, match=r"designation.codes.frame.99: must name a part of this file"):
        replace(load_demo_parts(), designation=DesignationPattern(pattern=PATTERN.pattern, codes=codes))


@pytest.mark.parametrize(
    ("text", "codes", "words"),
    [
        ("{frame}{winding}", {}, "needs the field {variant}"),
        ("{frame}{frame}{winding}{variant}", {}, "a field may occur once"),
        ("{frame}{winding}{variant}{colour}", {}, "a field must be one of"),
        ("{frame}{winding}{variant}{", {}, "brace without its partner"),
        ("{frame}{winding}{variant}{brake}", {}, "must be those of the fields"),
        ("{frame}{winding}{variant}", {"frame": {}}, "needs 1 to 200 codes, got 0"),
        ("{frame}{winding}{variant}", {"frame": {"a": "x", "A": "y"}}, "differ in more than capitals"),
        ("{frame}{winding}{variant}", {"frame": {"a": "x", "b": "x"}}, "must stand for another thing"),
    ],
)
def test_an_unclear_pattern_is_refused(text: str, codes: dict[str, dict[str, str]], words: str) -> None:
    with pytest.raises(ProjectFileError, match=words):
        pattern(codes, text)


@pytest.mark.parametrize(
    ("frame", "winding", "twice"),
    [
        ({"1": "a", "12": "b"}, {"2": "c", "22": "d"}, "1223"),  # 1 22 or 12 2
        ({"1": "a", "1-": "b"}, {"x": "c", "-x": "d"}, "1-x3"),
        ({"": "a", "x": "b"}, {"": "c", "X": "d"}, "x3"),
    ],
)
def test_an_ambiguous_pattern_is_refused_with_an_example(
    frame: dict[str, str], winding: dict[str, str], twice: str
) -> None:
    with pytest.raises(ProjectFileError, match=f"could mean two things, got '{twice}'"):
        pattern({"frame": frame, "winding": winding})


def test_codes_of_different_length_are_no_ambiguity_where_the_rest_decides() -> None:
    """4 and 47 begin alike, but what follows begins with a letter."""
    clear = pattern({"frame": {"4": "a", "47": "b"}, "winding": {"A": "c", "B7": "d"}})
    assert parse_designation(clear, "47B73") == {"frame": "b", "winding": "d", "variant": "c"}


CODE = st.text(alphabet="ab", max_size=3)
TABLE = st.lists(CODE, min_size=1, max_size=3, unique=True)


@given(TABLE, TABLE, TABLE)
def test_ambiguity_is_found_exactly_where_two_choices_are_written_alike(
    frame: list[str], winding: list[str], variant: list[str]
) -> None:
    """Against all designations written out."""
    written = ["".join(codes) for codes in itertools.product(frame, winding, variant)]
    tables = {"frame": frame, "winding": winding, "variant": variant}
    codes = {name: {code: f"{name} {code}" for code in table} for name, table in tables.items()}
    if len(set(written)) < len(written):
        with pytest.raises(ProjectFileError, match="could mean two things"):
            pattern(codes)
    else:
        assert all(parse_designation(pattern(codes), text) for text in written)


def test_a_motor_of_a_patterned_file_brings_its_pattern() -> None:
    file = parts()
    taken = with_pattern(Candidate(name="one", motor=file.motors[0], winding="24 V"), [file])
    assert taken.hand_over == HandOver(pattern=PATTERN)
    told = replace(taken, hand_over=HandOver(quantity=3, pattern=PATTERN))
    without = with_pattern(told, [load_demo_parts()])
    assert without.hand_over == HandOver(quantity=3), "the pattern of another file would name it falsely"
    assert with_pattern(taken, []) == taken


def test_a_motor_without_a_pattern_has_no_hand_over_for_it() -> None:
    plain = load_demo_parts()
    assert with_pattern(Candidate(name="one", motor=plain.motors[0]), [plain]).hand_over is None
