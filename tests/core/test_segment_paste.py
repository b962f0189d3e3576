"""Pasted tables: every form that spreadsheets write is read, every other is refused with its place."""

from __future__ import annotations

import contextlib
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import AmpturnError
from core.project.duty_cycle import Segment
from core.segment_columns import column_of_heading
from core.segment_paste import LONGEST_TEXT, PasteError, read_segments, write_segments
from core.units import DisplayUnits, Kind

UNITS = DisplayUnits().with_units({Kind.TORQUE: "N·m", Kind.SPEED: "rad/s", Kind.TIME: "s"})
TWO = [(0.04, 0.058, 0.0, 250.0), (0.18, 0.008, 250.0, 250.0)]


def values(text: str, units: DisplayUnits = UNITS) -> list[tuple[float, float, float, float]]:
    return [(s.duration, s.shaft_torque, s.speed_start, s.speed_end) for s in read_segments(text, units)]


@pytest.mark.parametrize(
    "text",
    [
        "0.04\t0.058\t0\t250\n0.18\t0.008\t250\t250",
        "0.04\t0.058\t0\t250\r\n0.18\t0.008\t250\t250\r\n",
        "0.04\t0.058\t0\t250\r0.18\t0.008\t250\t250\r",
        "\ufeff0.04\t0.058\t0\t250\n\n0.18\t0.008\t250\t250\n\n\n",
        "0,04;0,058;0;250\n0,18;0,008;250;250",
        "0.04,0.058,0,250\n0.18,0.008,250,250",
        '"0,04","0,058","0","250"\n"0,18","0,008","250","250"',
        '"0.04"\t"0.058"\t"0"\t"250"\n"0.18"\t"0.008"\t"250"\t"250"',
        "40 ms\t58 mN*m\t0 rad/s\t250 rad/s\n180 ms\t8 mNm\t250\t250 rad/s",
        "duration\ttorque\tspeed start\tspeed end\n0.04\t0.058\t0\t250\n0.18\t0.008\t250\t250",
        "Duration,Torque,Speed start,Speed end\n0.04,0.058,0,250\n0.18,0.008,250,250",
        "speed at end;TORQUE;speed at start;duration\n250;0,058;0;0,04\n250;0,008;250;0,18",
        "duration (ms)\ttorque [mN·m]\tspeed from\tspeed to\n40\t58\t0\t250\n180\t8\t250\t250",
        "duration_ms\tshaft_torque_mNm\tspeed_start_rad_s\tspeed_end_rad_s\n40\t58\t0\t250\n180\t8\t250\t250",
        "duration, torque, speed at start, speed at end\nms,mN·m,,\n40,58,0,250\n180,8,250,250",
        "ms\tmN·m\trad/s\trad/s\n40\t58\t0\t250\n180\t8\t250\t250",
        "duration\t"
        "motor torque\tcurrent (A)\ttorque\tspeed start\tspeed end\n"
        "0.04\t9\t8\t0.058\t0\t250\n0.18\t7\t6\t0.008\t250\t250",
    ],
)
def test_forms_that_are_read(text: str) -> None:
    assert values(text) == [pytest.approx(row, rel=1e-12) for row in TWO]


def test_bare_numbers_are_in_the_display_unit() -> None:
    trade = DisplayUnits().with_units({Kind.TORQUE: "mN·m", Kind.SPEED: "rpm", Kind.TIME: "ms"})
    # 60 rpm is one turn a second, 2 pi rad/s
    assert values("40\t58\t0\t60", trade) == [pytest.approx((0.04, 0.058, 0.0, 6.283185307179586))]


def test_one_speed_is_the_speed_of_the_whole_segment() -> None:
    assert values("duration;torque;speed\n1;0,5;100") == [(1.0, 0.5, 100.0, 100.0)]
    assert values("1\t0.5\t100") == [(1.0, 0.5, 100.0, 100.0)]


@pytest.mark.parametrize(
    "text",
    [
        "accelerate\t1\t0.5\t0\t100",
        "1\t0.5\t0\t100\taccelerate",
        "torque;name;speed start;speed end;duration\n0,5;accelerate;0;100;1",
        "number\tsegment\tduration\ttorque\tspeed start\tspeed end\n1\taccelerate\t1\t0.5\t0\t100",
    ],
)
def test_names_are_read(text: str) -> None:
    (segment,) = read_segments(text, UNITS)
    assert segment == Segment(
        name="accelerate", duration=1.0, shaft_torque=0.5, speed_start=0.0, speed_end=100.0
    )


def test_a_name_may_begin_with_a_digit() -> None:
    assert read_segments("1 accelerate\t1\t0.5\t0\t100", UNITS)[0].name == "1 accelerate"


GOOD = "1\t0.5\t0\t100\n"


@pytest.mark.parametrize(
    ("text", "row", "column", "word"),
    [
        ("", 0, 0, "no rows"),
        ("\n \t \n", 0, 0, "no rows"),
        ("x" * (LONGEST_TEXT + 1), 0, 0, "characters"),
        ("duration\ttorque\tspeed", 0, 0, "no row under it"),
        (GOOD + "1\tabc\t0\t100", 2, 2, "accepted"),
        (GOOD + "1\t\t0\t100", 2, 2, "empty"),
        (GOOD + "\n1\t0.5\t0", 3, 4, "empty"),
        (GOOD + "1\t1,234\t0\t100", 2, 2, "ambiguous"),
        (GOOD + "1\t0.5 kg*cm\t0\t100", 2, 2, "kgf·cm"),
        (GOOD + "1\t0.5\t0\t100 Hz", 2, 4, "accepted"),
        (GOOD + "1\t0.5\tnan\t100", 2, 3, "finite"),
        (GOOD + "1\t0.5\t0\t1e400", 2, 4, "too large"),
        (GOOD + "-1\t0.5\t0\t100", 2, 1, "duration must be > 0"),
        (GOOD + "0\t0.5\t0\t100", 2, 1, "duration must be > 0"),
        (GOOD + "1\t0.5\t0\t100\t7", 2, 5, "beyond"),
        ("1\t2\t3\t4\t5\t6", 1, 0, "heading"),
        ("1\t2\t3\t4\t5", 1, 0, "heading"),
        ("1\t2", 1, 0, "heading"),
        ("1,5,10,100", 1, 0, "commas"),
        ("duration;speed\n1;2", 1, 0, "shaft torque"),
        ("torque;speed\n1;2", 1, 0, "duration"),
        ("duration;torque\n1;2", 1, 0, "speed"),
        ("duration;torque;speed start\n1;2;3", 1, 0, "speed at end"),
        ("duration;torque;speed;torque\n1;2;3;4", 1, 4, "second"),
        ("duration;torque;speed;colour\n1;2;3;4", 1, 4, "not known"),
        ("time;torque;speed\n1;2;3", 1, 1, "points in time"),
        ("duration;torque (kg);speed\n1;2;3", 1, 2, "accepted"),
        ("duration_weeks;torque;speed\n1;2;3", 1, 1, "accepted"),
        ("duration;torque;speed\ns;kg;rpm\n1;2;3", 2, 1, "accepted"),
        (GOOD + '"1\t0.5\t0\t100', 2, 0, "quotation"),
    ],
)
def test_every_refusal_names_its_place_and_reason(text: str, row: int, column: int, word: str) -> None:
    with pytest.raises(PasteError) as refused:
        read_segments(text, UNITS)
    assert (refused.value.row, refused.value.column) == (row, column)
    assert word in refused.value.reason
    assert str(refused.value).startswith("Nothing was pasted")
    assert not row or f"row {row}" in str(refused.value)


def test_the_error_survives_the_way_back_from_another_process() -> None:
    error = pickle.loads(pickle.dumps(PasteError(2, 3, "reason")))
    assert (error.row, error.column, error.reason) == (2, 3, "reason")


def test_headings_without_a_known_word() -> None:
    assert column_of_heading("colour", UNITS) is None
    assert column_of_heading("", UNITS) is None


@given(st.text())
def test_no_text_does_anything_but_read_or_refuse(text: str) -> None:
    with contextlib.suppress(AmpturnError):
        assert read_segments(text, UNITS)


_cells = st.one_of(
    st.sampled_from(["duration", "torque (mN·m)", "speed", "speed end", "time", "name", "ms", "rpm", ""]),
    st.sampled_from(
        ["1", "0,5", "-3 rpm", "1,234", "1.2.3", "nan", "5 kg*cm", '"', '""', '"a', "1e400", "∞"]
    ),
    st.floats().map(str),
    st.text(max_size=5),
)


@given(
    st.lists(st.lists(_cells, max_size=6), max_size=5),
    st.sampled_from("\t;,"),
    st.sampled_from(["\n", "\r\n"]),
)
def test_no_table_does_anything_but_read_or_refuse(table: list[list[str]], mark: str, end: str) -> None:
    with contextlib.suppress(AmpturnError):
        assert read_segments(end.join(mark.join(row) for row in table), UNITS)


_number = st.floats(-1e9, 1e9).filter(lambda x: x == 0.0 or abs(x) > 1e-9)


@given(
    st.lists(
        st.builds(
            lambda d, t, a, b, n: Segment(duration=d, shaft_torque=t, speed_start=a, speed_end=b, name=n),
            st.floats(1e-9, 1e9),
            _number,
            _number,
            _number,
            st.text().map(lambda text: " ".join(text.split())),
        ),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from([DisplayUnits(), UNITS, DisplayUnits().with_units({Kind.TORQUE: "oz*in"})]),
)
def test_copied_rows_paste_as_they_were(segments: list[Segment], units: DisplayUnits) -> None:
    back = read_segments(write_segments(segments, units), units)
    assert [s.name for s in back] == [s.name for s in segments]
    for new, old in zip(back, segments, strict=True):
        for field in ("duration", "shaft_torque", "speed_start", "speed_end"):
            # twelve digits are copied
            assert getattr(new, field) == pytest.approx(getattr(old, field), rel=1e-11)


def test_copies_are_for_spreadsheets() -> None:
    segment = Segment(name="brake", duration=0.04, shaft_torque=-0.046, speed_start=250.0, speed_end=0.0)
    head, row, end = write_segments([segment], UNITS).split("\n")
    assert head.split("\t")[:3] == ["name", "duration (s)", "shaft torque (N·m)"]
    assert row == "brake\t0.04\t-0.046\t250\t0"
    assert end == ""
