"""Parts from a table: what is taken, and the reason for each kind of row and file that is not."""

from __future__ import annotations

from threading import Event

import pytest

from core.catalogue.csv_cells import CsvError
from core.catalogue.csv_import import CsvImport, ImportCancelledError, Watcher, parts_of_table
from core.catalogue.part_columns import ROW_KINDS, columns_of, columns_text
from core.catalogue.parts_file import decode_parts, encode_parts
from core.project.feedback import Encoder, HallSensors

HEADING = (
    "frame,pole pairs,variant,rotor inertia [g cm2],winding,torque constant [mN m/A],torque constant meaning,"
    "resistance [ohm],inductance [mH]"
)
FIRST = 'disc 60,7,open rotor,105,24 V,49.5,"per link ampere, six-step",1.2,0.6'
SECOND = 'disc 60,,open rotor,,48 V,99,"per link ampere, six-step",4.8,2.4'


def table(*rows: str, heading: str = HEADING) -> CsvImport:
    return parts_of_table("\n".join([heading, *rows]).encode())


def only(imported: CsvImport) -> str:
    assert len(imported.rejected) == 1, [str(row) for row in imported.rejected]
    return str(imported.rejected[0])


def test_how_far_the_reading_is_and_that_it_can_be_stopped() -> None:
    rows = [FIRST.replace("disc 60", f"disc {number}") for number in range(1200)]
    content = "\n".join([HEADING, *rows]).encode()
    told: list[float] = []
    found = parts_of_table(content, watcher=Watcher(told.append, Event()))
    assert len(found.parts.motors) == 1200
    assert told == sorted(told)
    assert len(told) == len(set(told)) == 6  # rows 0, 500, 1000, then as many frames
    assert told[0] == 0.0
    assert told[-1] < 1.0
    stop = Event()
    with pytest.raises(ImportCancelledError):
        parts_of_table(content, watcher=Watcher(lambda share: stop.set() if share > 0.5 else None, stop))


def test_rows_of_a_frame_become_one_motor() -> None:
    imported = table(FIRST, SECOND)
    assert imported.rejected == ()
    assert imported.accepted == 2
    (motor,) = imported.parts.motors
    assert (motor.name, motor.pole_pairs) == ("disc 60", 7)
    assert [winding.name for winding in motor.windings] == ["24 V", "48 V"]
    assert motor.variants[0].rotor_inertia == pytest.approx(105e-7)
    constant = motor.windings[1].torque_constant
    assert constant is not None
    assert constant.value == pytest.approx(0.099)
    assert constant.convention == "per link ampere, six-step"
    assert decode_parts(encode_parts(imported.parts)) == imported.parts


def test_a_second_variant_is_a_row_of_its_own() -> None:
    imported = table(FIRST, "disc 60,,enclosed,120,,,,,")
    assert imported.rejected == ()
    assert [variant.kind for variant in imported.parts.motors[0].variants] == ["open rotor", "enclosed"]


def test_every_kind_of_part_can_be_imported() -> None:
    heading = (
        "kind;name;continuous current [A];field weakening;commutations;sensors;edge error [deg];counts;"
        "holding torque [N m];ratio;available ratios;efficiency [%];least EMF share [%]"
    )
    imported = table(
        "electronics;small one;12,5;yes;six-step|sinusoidal;;;;;;;;",
        "Hall sensors;three;;;;3;4;;;;;;",
        "encoder;fine;;;;;;4096;;;;;",
        "sensorless;none;;;;;;;;;;;12",
        "brake;holder;;;;;;;0,4;;;;",
        "gear;planet;;;;;;;;6,25;4|6,25;90;",
        heading=heading,
    )
    assert imported.rejected == ()
    parts = imported.parts
    assert (parts.drives[0].continuous_current, parts.drives[0].field_weakening) == (12.5, True)
    assert parts.drives[0].commutations == ("six-step", "sinusoidal")
    hall, encoder, _ = parts.feedback
    assert isinstance(hall, HallSensors)
    assert hall.edge_error == pytest.approx(0.0698132, rel=1e-5)  # 4 deg * pi/180
    assert isinstance(encoder, Encoder)
    assert encoder.counts == 4096
    assert parts.brakes[0].holding_torque == 0.4
    assert (parts.transmissions[0].efficiency, parts.transmissions[0].available_ratios) == (0.9, (4.0, 6.25))


def test_units_stand_in_the_heading_or_in_the_cell() -> None:
    heading = HEADING.replace("resistance [ohm]", "Resistance").replace("[mH]", "(mH)")
    good = table(FIRST.replace("1.2", "1200 mohm"), heading=heading)
    resistance = good.parts.motors[0].windings[0].resistance
    assert resistance.value == pytest.approx(1.2)
    bare = table(FIRST, heading=heading)
    assert "line 2, resistance: '1.2' has no unit: put it into the heading, as [Ω]" in only(bare)


def test_separators_and_decimal_marks_are_found() -> None:
    heading = HEADING.replace(",", ";")
    row = "disc 60;7;open rotor;105;24 V;49,5;per link ampere, six-step;1,234;0,6"
    winding = table(row, heading=heading).parts.motors[0].windings[0]
    # the other commas are decimal ones beyond doubt, so this one is
    assert winding.resistance.value == 1.234
    tabs = table(row.replace(";", "\t"), heading=heading.replace(";", "\t")).parts.motors[0].windings[0]
    assert tabs == winding


@pytest.mark.parametrize(
    ("old", "new", "where", "words"),
    [
        ("49.5", "abc", "torque constant", "does not begin with a number"),
        ("49.5", "49.5 V", "torque constant", "accepted: mN·m/A"),
        ("1.2", '"1,234"', "resistance", "is ambiguous"),
        ("1.2", "-1.2", "resistance", "must be > 0"),
        ("1.2", "", "resistance", "is needed"),
        ("1.2", "1e999", "resistance", "too large"),
        ("1.2", "nan", "resistance", "not a finite number"),
        ("49.5", "", "torque constant", "is needed, or a back-EMF or speed constant"),
        ('"per link ampere, six-step"', "", "torque constant meaning", "is needed beside the figure"),
        ('"per link ampere, six-step"', "per ampere", "torque constant meaning", "is none of"),
        (",7,", ",7.5,", "pole pairs", "is not a whole number"),
        (",7,", ",0,", "pole pairs", "must be >= 1"),
        (",7,", ",,", "pole pairs", "is needed"),
        ("open rotor", "half open", "variant", "is none of 'open rotor', 'enclosed'"),
        (",105,", ",-1,", "rotor inertia", "must be >= 0"),
        ("disc 60", "", "frame", "is needed"),
        ("24 V", "", "torque constant", "belongs to a winding, and the row names none"),
        ("disc 60", "disc\x00 60", "frame", "control character"),
        ("disc 60", "x" * 201, "frame", "must have 1 to 200 characters"),
        ("disc 60", "x" * 30_000, "frame", "has 30000 characters"),
        (",0.6", "", "", "has 8 cells, the heading has 9"),
    ],
)
def test_a_bad_row_is_named_with_line_column_and_rule(old: str, new: str, where: str, words: str) -> None:
    good = FIRST.replace("disc 60", "disc 80")
    imported = table(good, FIRST.replace(old, new, 1))
    text = only(imported)
    assert text.startswith(f"line 3, {where}: " if where else "line 3: ")
    assert words in text
    assert [motor.name for motor in imported.parts.motors] == ["disc 80"]


def test_a_figure_that_two_rows_share_must_not_differ() -> None:
    imported = table(FIRST, SECOND.replace("60,,", "60,8,"))
    assert only(imported) == "line 3, pole pairs: differs from line 2 of the same frame (the cell has '8')"
    assert len(imported.parts.motors[0].windings) == 1


def test_a_bad_variant_takes_its_rows_with_it_and_says_whose_figure_it_is() -> None:
    imported = table(FIRST.replace(",105,", ",-105,"), SECOND, "disc 60,,enclosed,120,,,,,")
    assert [row.line for row in imported.rejected] == [2, 3, 4]
    assert "on line 2" in str(imported.rejected[1])
    assert "pole pairs: is needed" in str(imported.rejected[2])  # it stood on line 2


def test_rows_of_other_kinds_are_refused_for_what_is_not_theirs() -> None:
    heading = "kind,name,ratio,counts"
    wrong = table("gear,planet,4,1024", heading=heading)
    assert "line 2, counts: a row of kind 'gear' has no such figure" in only(wrong)
    kind = table("gears,planet,4,", heading=heading)
    assert "line 2, kind: 'gears' is none of motor, electronics" in only(kind)
    double = table("gear,planet,4,", "gear,planet,5,", heading=heading)
    assert "line 3, name: 'planet' is also on line 2" in only(double)


def test_a_point_that_may_separate_thousands_is_ambiguous_beside_decimal_commas() -> None:
    heading = "kind;name;continuous current [A];highest supply [V]"
    imported = table("electronics;one;12,5;48,5", "electronics;two;1.234;48", heading=heading)
    assert "line 3, continuous current: '1.234' is ambiguous" in only(imported)


def test_lines_are_those_of_the_file() -> None:
    imported = table("# a remark", "", '"disc\n60",x,open rotor,105,24 V,1,,1,1', FIRST.replace("49.5", "?"))
    assert [row.line for row in imported.rejected] == [4, 6]


def test_unknown_columns_are_said_not_swallowed() -> None:
    imported = table(f"{FIRST},12,1", heading=f"{HEADING},price,rotor inertja [g cm2]")
    assert imported.accepted == 1
    assert imported.notes == (
        "column 'price' is not known and was not read",
        "column 'rotor inertja [g cm2]' is not known and was not read (is 'rotor inertia' meant?)",
    )


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "the table is empty"),
        (b"a,b\n1,2\n", "line 1: the heading has no known column"),
        (b"frame,pole pairs\nm\xfcller,7\n", "line 2: byte 0xFC at place 19 of the file is not UTF-8"),
        ("frame,pole pairs\n".encode("utf-16"), "line 1: the table is written in UTF-16"),
        (b"frame,winding;variant,pole pairs;slots\n", "line 1: the heading can be read with"),
        (b"frame,frame\nx,y\n", "line 1: column 'frame' is there twice"),
        (b"frame,resistance [mH]\nx,1\n", "line 1: column 'resistance': unit 'mH' is a unit of inductance"),
        (b"frame,variant [mm]\nx,1\n", "line 1: column 'variant' has no unit"),
        (b'frame,winding\nx,y\nx,"y\n' + b"z\n" * 9, "line 3: the cells cannot be told apart"),
        (b"frame,winding\nx," + b"y" * 200_000 + b"\n", "line 2: the cells cannot be told apart"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_whole(content: bytes, words: str) -> None:
    with pytest.raises(CsvError) as caught:
        parts_of_table(content)
    assert words in str(caught.value)


def test_a_mark_at_the_start_of_the_file_is_no_letter() -> None:
    imported = parts_of_table(b"\xef\xbb\xbf" + "\r\n".join([HEADING, FIRST]).encode())
    assert imported.accepted == 1


def test_a_column_means_one_kind_of_quantity_in_every_row() -> None:
    kinds: dict[str, object] = {}
    for row_kind in ROW_KINDS:
        for figure in columns_of(row_kind):
            shape = (figure.kind, figure.whole)
            assert kinds.setdefault(figure.key, shape) == shape, figure.key


def test_every_column_is_listed() -> None:
    text = columns_text()
    assert all(f"\n  {figure.key} " in text for kind in ROW_KINDS for figure in columns_of(kind))
