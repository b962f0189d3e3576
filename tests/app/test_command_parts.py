"""`ampturn parts import` and `columns` on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.commands import run
from core.catalogue.parts_file import read_parts

TABLE = """\
frame;pole pairs;thermal class;magnet limit [°C];variant;rotor inertia [g cm2];winding;torque \
constant [mN m/A];torque constant meaning;resistance [Ω];inductance [mH];drag torque [mN m];drag speed [rpm];\
price
disc 60;7;F;120;open rotor;105;24 V;49,5;per link ampere, six-step;1,2;0,6;4;3000;12
disc 60;;;;open rotor;;48 V;99;per link ampere;4,8;2,4;;;12
"""


def test_a_table_becomes_a_parts_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, parts = tmp_path / "own.csv", tmp_path / "own.json"
    table.write_text(TABLE, encoding="utf-8")
    assert run(["parts", "import", str(table), "-o", str(parts)]) == 1
    said = capsys.readouterr()
    assert "not taken: line 3, torque constant meaning: 'per link ampere' is none of" in said.out
    assert "1 row taken, 1 not" in said.out
    assert "column 'price' is not known" in said.err
    (motor,) = read_parts(parts).motors
    assert [winding.name for winding in motor.windings] == ["24 V"]


def test_a_file_that_is_there_is_not_written_over_unasked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table, parts = tmp_path / "own.csv", tmp_path / "own.json"
    table.write_text(TABLE, encoding="utf-8")
    parts.write_text("kept", encoding="utf-8")
    assert run(["parts", "import", str(table), "-o", str(parts)]) == 2
    assert "--replace writes over it" in capsys.readouterr().err
    assert parts.read_text(encoding="utf-8") == "kept"
    run(["parts", "import", str(table), "-o", str(parts), "--replace"])
    assert len(read_parts(parts).motors) == 1


def test_nothing_is_written_where_no_row_is_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, parts = tmp_path / "own.csv", tmp_path / "own.json"
    table.write_text("frame,winding\nx,y\n", encoding="utf-8")
    assert run(["parts", "import", str(table), "-o", str(parts)]) == 1
    assert "nothing is written" in capsys.readouterr().out
    assert not parts.exists()


def test_a_table_that_cannot_be_read_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "own.csv"
    table.write_bytes(b"frame,winding\nm\xfcller,y\n")
    assert run(["parts", "import", str(table), "-o", str(tmp_path / "own.json")]) == 2
    assert f"{table}: line 2: byte 0xFC" in capsys.readouterr().err


def test_a_table_that_is_checked_as_a_parts_file_is_told_how_to_become_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "own.csv"
    table.write_text(TABLE, encoding="utf-8")
    assert run(["parts", "check", str(table)]) == 2
    said = capsys.readouterr().err
    assert f"{table}: is a table, and no parts file: `ampturn parts import`" in said
    assert "JSON" not in said


def test_the_columns_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["parts", "columns"]) == 0
    assert "  torque constant meaning " in capsys.readouterr().out


def test_checks_speak_in_the_chosen_units(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, parts = tmp_path / "own.csv", tmp_path / "own.json"
    rows = TABLE.splitlines()
    heading = rows[0].replace(";price", ";mass [g];diameter [mm]")
    table.write_text(f"{heading}\n{rows[1].removesuffix('12')}1;60\n", encoding="utf-8")
    run(["parts", "import", str(table), "-o", str(parts)])
    capsys.readouterr()
    run(["parts", "check", str(parts), "--units", "moment of inertia=kg*mm^2"])
    # 105 g cm2 = 10.5 kg mm2
    assert "rotor inertia 10.5\N{NO-BREAK SPACE}kg·mm² does not fit" in capsys.readouterr().out
