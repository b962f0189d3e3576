"""Trace files as instruments and spreadsheets write them are read; bad ones are refused with their row."""

from __future__ import annotations

import pickle
from dataclasses import replace
from pathlib import Path
from threading import Event

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import UnitError
from core.trace_columns import column_of
from core.trace_format import TraceError
from core.trace_import import ImportedTrace, TraceCancelledError, preview_trace, read_trace

RPM = np.pi / 30.0
PLAIN = "time [s],torque [mN m],speed [rpm]\n0,12.5,0\n0.1,-3,300\n0.2,0.5e1,600\n"


def written(folder: Path, text: str | bytes, encoding: str = "utf-8") -> Path:
    path = folder / "trace.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def is_the_plain_one(found: ImportedTrace) -> bool:
    trace = found.trace
    return (
        np.allclose(trace.time, [0.0, 0.1, 0.2], rtol=1e-12)
        and np.allclose(trace.torque, [0.0125, -0.003, 0.005], rtol=1e-12)
        and np.allclose(trace.speed, np.array([0.0, 300.0, 600.0]) * RPM, rtol=1e-12)
    )


@pytest.mark.parametrize(
    "text",
    [
        PLAIN,
        PLAIN.replace("\n", "\r\n"),
        PLAIN.replace("\n", "\r"),
        PLAIN.removesuffix("\n"),
        "\ufeff" + PLAIN,
        PLAIN.replace(",", "\t"),
        PLAIN.replace(",", ";"),
        PLAIN.replace(",", ";").replace(".", ","),
        PLAIN.replace(",", " ; "),
        '"time [s]","torque [mN m]","speed [rpm]"\n"0","12,5","0"\n"0,1","-3","300"\n"0,2","0,5e1","600"\n',
        "# logged on the bench\n\nrun 7\n" + PLAIN,
        PLAIN.replace("0.1,", "# a remark, 1, 2\n\n0.1,"),
        PLAIN.replace("time [s],torque [mN m],speed [rpm]", "# time [s],torque [mN m],speed [rpm]"),
        "n (rpm);M (mNm);t (s)\n0;12.5;0\n300;-3;0.1\n600;5;0.2\n",
        "Speed/rpm;Torque/mN m;Time/ms\n0;12.5;0\n300;-3;100\n600;5;200\n",
        '"speed, 1/min","torque, N·m","time, s"\n0,0.0125,0\n300,-0.003,0.1\n600,0.005,0.2\n',
        "time;torque;speed\n[s];[N m];[rad/s]\n0;0.0125;0\n0.1;-0.003;31.41592653589793\n"
        "0.2;0.005;62.83185307179586\n",
        "no;time_s;torque_mNm;speed_rpm;state\n1;0;12.5;0;ok\n2;0.1;-3;300;ok\n3;0.2;5;600;late, but ok\n",
        "time (s);torque setpoint (mN m);torque (mN m);speed (rpm)\n0;9;12.5;0\n.1;9;-3;300\n.2;9;5;600\n",
        "Zeit [s];Drehmoment [mNm];Drehzahl [1/min]\n0;12,5;0\n0,1;\u22123;300\n0,2;5;600\n",
        "time [s],torque [mN m],speed [rpm],\n0,12.5,0,\n0.1,-3,300,\n0.2,5,600,\n",
        PLAIN.replace("\n0,", "\n100000.0,").replace("\n0.", "\n100000."),
    ],
)
def test_the_same_trace_in_many_hands(tmp_path: Path, text: str) -> None:
    assert is_the_plain_one(read_trace(written(tmp_path, text)))


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8-sig", "cp1252"])
def test_encodings(tmp_path: Path, encoding: str) -> None:
    text = "Zeit [s];Drehmoment [mN·m];Drehzahl [min-1]; für später\n0;12,5;0;\n0,1;-3;300;\n0,2;5;600;\n"
    assert is_the_plain_one(read_trace(written(tmp_path, text, encoding)))


def test_preview_shows_what_was_found(tmp_path: Path) -> None:
    text = PLAIN.replace(",", ";").replace(".", ",") + "0,3;1;1\n" * 80
    preview = preview_trace(written(tmp_path, text))
    form = preview.format
    assert (form.separator, form.decimal, form.heading_row, form.first_row, form.cells) == (";", ",", 1, 2, 3)
    assert [(c.field, c.unit) for c in form.columns] == [("time", "s"), ("torque", "mN·m"), ("speed", "rpm")]
    assert len(preview.rows) == 50
    assert preview.rows[0] == ("0", "12,5", "0")
    assert form.problems() == ()


def test_without_a_heading_the_columns_are_chosen(tmp_path: Path) -> None:
    path = written(tmp_path, PLAIN.split("\n", 1)[1])
    form = preview_trace(path).format
    assert len(form.problems()) == 3
    with pytest.raises(TraceError, match="no column with time"):
        read_trace(path)
    form = form.with_column("time", 0, "s").with_column("torque", 1, "mNm").with_column("speed", 2, "rpm")
    assert form.problems() == ()
    assert is_the_plain_one(read_trace(path, form))


def test_a_choice_moves_a_field_and_its_unit(tmp_path: Path) -> None:
    path = written(
        tmp_path, "time [s];torque a [mNm];torque b [mNm];speed [rpm]\n0;1;12.5;0\n.1;1;-3;300\n.2;1;5;600\n"
    )
    form = preview_trace(path).format
    assert "columns 2 and 3 all hold torque" in form.problems()[0]
    assert is_the_plain_one(read_trace(path, form.with_column("torque", 2, "mN m")))
    with pytest.raises(UnitError, match="kg"):
        form.with_column("torque", 2, "kg cm")
    with pytest.raises(TraceError, match="4 columns"):
        form.with_column("torque", 4, "N m")


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("time", "time", ""),
        ("t / s", "time", "s"),
        ("T [N m]", "torque", "N·m"),
        ("T (ms)", "time", "ms"),
        ("T", None, ""),
        ("M / mN m", "torque", "mN·m"),
        ("n / 1/min", "speed", "rpm"),
        ("shaft torque in oz*in", "torque", "ozf·in"),
        ("motor_speed_rad_s", "speed", "rad/s"),
        ("rpm", "speed", "rpm"),
        ("Nm", "torque", "N·m"),
        ("temperature [K]", None, ""),
        ("current [A]", None, ""),
    ],
)
def test_headings(heading: str, field: str | None, unit: str) -> None:
    column = column_of(0, heading)
    assert (column.field, column.unit, column.problem) == (field, unit, "")


@pytest.mark.parametrize(
    ("text", "row", "column", "words"),
    [
        (PLAIN + "0.2,1,1\n", 5, 1, "repeats"),
        (PLAIN + "0.15,1,1\n0.3,1,1\n", 5, 1, "goes back"),
        (PLAIN + "\n# remark\n0.15,1,1\n", 7, 1, "goes back"),
        (PLAIN + "0.3,nan,1\n", 5, 2, "not a finite number"),
        (PLAIN + "0.3,1,inf\n", 5, 3, "not a finite number"),
        (PLAIN + "0.3,#DIV/0!,1\n", 5, 2, "not a finite number"),
        (PLAIN + "0.3,1e999,1\n", 5, 2, "too large"),
        (PLAIN + "0.3,,1\n", 5, 2, "empty"),
        (PLAIN + "0.3,1\n", 5, 3, "empty"),
        (PLAIN + "0.3,1,\n", 5, 3, "empty"),
        (PLAIN + "0.3,1,off\n", 5, 3, "'off' is not a number"),
        (PLAIN + "12:30:01,1,1\n", 5, 1, "not a number"),
        (PLAIN + "0.3,1,2,9\n", 5, 4, "decimal commas"),
        (PLAIN + "0,3,1,2,5,9\n", 5, 4, "decimal commas"),
        (PLAIN + '0.3,"1,2\n', 5, 0, "quotation"),
        (PLAIN.replace(",", ";") + "0.3;1,5;1\n", 5, 2, "decimal comma"),
        (PLAIN.replace(",", ";").replace(".", ",") + "0,3;1.5;1\n", 5, 2, "decimal point"),
        (PLAIN.replace(",", ";").replace(".", ",") + "0,3;1.000,5;1\n", 5, 2, "not a number"),
        ("time [s],torque [mN m],speed [rpm]\n0,1,1,5,2,5\n1,1,1,5,2,5\n", 2, 4, "6 cells, the heading 3"),
        ("time [s],torque [mN m],speed [rpm]\n0,1,2\n", 0, 0, "1 row of numbers; at least 2"),
        ("time [s],torque [mN m],torque [mN m],speed [rpm]\n0,1,1,2\n1,1,1,2\n", 1, 3, "columns 2 and 3"),
        ("time [s],torque [mN m],current [A]\n0,1,2\n1,1,2\n", 1, 0, "no column with speed"),
        ("time [s],torque,speed [rpm]\n0,1,2\n1,1,2\n", 1, 2, "no unit of torque"),
        ("time [s],torque [kg cm],speed [rpm]\n0,1,2\n1,1,2\n", 1, 2, "mass times a length"),
        ("time [s],torque [mN m],speed [m/s]\n0,1,2\n1,1,2\n", 1, 3, "not of speed"),
        ("", 0, 0, "empty"),
        ("\n\n", 0, 0, "empty"),
        ("some words, but\nno numbers, here, at all\n", 0, 0, "no"),
        ("a;b\n1;2\n3;4\n", 0, 0, "three columns"),
        ("\0\1\2", 0, 0, "zero bytes"),
    ],
)  # fmt: skip
def test_a_bad_trace_is_refused_with_its_place(
    tmp_path: Path, text: str, row: int, column: int, words: str
) -> None:
    with pytest.raises(TraceError, match=words) as caught:
        read_trace(written(tmp_path, text))
    assert (caught.value.row, caught.value.column) == (row, column)
    copy = pickle.loads(pickle.dumps(caught.value))
    assert (str(copy), copy.row) == (str(caught.value), row)


@pytest.fixture(scope="module")
def long_text() -> str:
    """More than two blocks of reading, in decimal commas."""
    rows = [f"{k / 1000:.3f};{k % 97 / 10:.4f};{k % 1013:.5f}".replace(".", ",") for k in range(260_000)]
    return "time [s];torque [mN m];speed [rpm]\n" + "\n".join(rows) + "\n"


def test_rows_are_counted_across_blocks(tmp_path: Path, long_text: str) -> None:
    path = written(tmp_path, long_text)
    assert path.stat().st_size > 2 * (1 << 21)
    shares: list[float] = []
    found = read_trace(path, progress=shares.append)
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(shares) >= 3
    k = np.arange(260_000)
    assert found.trace.time == pytest.approx(k / 1000, abs=1e-9)
    assert found.trace.torque == pytest.approx(k % 97 / 1e4, abs=1e-9)
    assert found.trace.speed == pytest.approx(k % 1013 * RPM, abs=1e-6)
    assert not found.findings
    for bad, words in ((";x;", "not a number"), (";;", "empty"), (";NaN;", "finite")):
        lines = long_text.split("\n")
        lines[250_000] = lines[250_000].replace(";" + lines[250_000].split(";")[1] + ";", bad)
        with pytest.raises(TraceError, match=words) as caught:
            read_trace(written(tmp_path, "\r\n".join(lines)))
        assert caught.value.row == 250_001


def test_a_step_back_far_down_names_its_row(tmp_path: Path, long_text: str) -> None:
    lines = long_text.split("\n")
    lines[200_000], lines[200_001] = lines[200_001], lines[200_000]
    lines.insert(5, "# a remark that shifts the rows")
    with pytest.raises(TraceError, match="goes back") as caught:
        read_trace(written(tmp_path, "\n".join(lines)))
    assert caught.value.row == 200_003


def test_reading_can_be_cancelled(tmp_path: Path, long_text: str) -> None:
    stop = Event()
    with pytest.raises(TraceCancelledError):
        read_trace(written(tmp_path, long_text), progress=lambda share: stop.set(), cancel=stop)


def test_gaps_are_found_with_their_row(tmp_path: Path) -> None:
    steps = np.full(40, 0.01)
    steps[[9, 29]] = [0.2, 0.5]
    time = np.concatenate(([0.0], np.cumsum(steps)))
    text = "time [s];torque [mN m];speed [rpm]\n" + "".join(f"{t:.4f};1;1\n" for t in time)
    (finding,) = read_trace(written(tmp_path, text)).findings
    assert (finding.code, finding.severity) == ("trace_gap", "warning")
    assert finding.values["gaps"] == 2.0
    assert finding.values["row"] == 32.0  # sample 30, counted from 0, under one heading
    assert finding.values["first_row"] == 12.0
    assert finding.values["longest_s"] == pytest.approx(0.5)


def test_arrays_cannot_be_changed(tmp_path: Path) -> None:
    trace = read_trace(written(tmp_path, PLAIN)).trace
    for array in (trace.time, trace.torque, trace.speed):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0


def test_decimal_can_be_corrected(tmp_path: Path) -> None:
    text = (
        "time [s];torque [mN m];speed [rpm]\n"
        + "".join(f"{k};1;1\n" for k in range(20_000))
        + "20000;1,5;1\n"
    )
    path = written(tmp_path, text)
    with pytest.raises(TraceError, match="decimal comma") as caught:
        read_trace(path)
    assert caught.value.row == 20_002
    form = replace(preview_trace(path).format, decimal=",")
    assert read_trace(path, form).trace.torque[-1] == pytest.approx(0.0015)


number = st.floats(-1e6, 1e6, allow_nan=False)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(number, number), min_size=2, max_size=20), st.sampled_from([";", "\t", ","]),
       st.booleans(), st.booleans())  # fmt: skip
def test_what_is_written_is_read(
    tmp_path_factory: pytest.TempPathFactory,
    rows: list[tuple[float, float]],
    separator: str,
    comma: bool,
    quoted: bool,
) -> None:
    comma = comma and (quoted or separator != ",")
    lines = []
    for k, (torque, speed) in enumerate(rows):
        cells = [repr(value).replace(".", "," if comma else ".") for value in (float(k), torque, speed)]
        lines.append(separator.join(f'"{cell}"' if quoted else cell for cell in cells))
    heading = separator.join(["time [s]", "torque [N m]", "speed [rad/s]"])
    path = written(tmp_path_factory.mktemp("trace"), "\n".join([heading, *lines]))
    trace = read_trace(path).trace
    assert trace.torque.tolist() == [torque for torque, _ in rows]
    assert trace.speed.tolist() == [speed for _, speed in rows]


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet='0123456789.,;\t"\n\r#-eE tspNmrad/[]()%\ufeff\x00é', max_size=120))
def test_any_text_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    for content in (text, PLAIN + text):
        path = written(tmp_path_factory.mktemp("trace"), content)
        try:
            found = read_trace(path)
        except TraceError:
            continue
        assert found.trace.time.size >= 2
