"""`ampturn sheet`: the file it writes, and what it refuses."""

import csv
import io
import re
from pathlib import Path

import pytest

from app.commands import run
from core.project.project_file import read_project

pytestmark = pytest.mark.usefixtures("qapp")
SAMPLE = Path(__file__).parents[2] / "sample_projects" / "sample_carousel.json"


def test_a_sheet_is_written_and_opens_as_the_project(tmp_path: Path) -> None:
    out = tmp_path / "a sheet.pdf"
    assert run(["sheet", str(SAMPLE), "-o", str(out), "--paper", "letter", "--issued", "2026-03-31"]) == 0
    assert read_project(out) == read_project(SAMPLE)
    again = tmp_path / "again.txt"
    assert run(["sheet", str(out), "-o", str(again), "--issued", "2026-03-31"]) == 0
    text = again.read_text(encoding="utf-8")
    assert text.startswith("Sample carousel\n")
    assert "2026-03-31" in text


def test_another_candidate_and_changes_stand_on_it(tmp_path: Path) -> None:
    out, name = tmp_path / "sheet.txt", read_project(SAMPLE).candidates[1].name
    assert run(["sheet", str(SAMPLE), "-o", str(out), "--candidate", name, "--changes"]) == 0
    text = out.read_text(encoding="utf-8")
    assert f"B {name} misses" in text
    assert "single change" in text.lower()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["-o", "x.doc"], "written as .pdf, .txt or"),
        (["-o", "x.pdf", "--issued", "31.3.2026"], "must be a day as 2026-03-31"),
        (["-o", "x.pdf", "--candidate", "nobody"], "nobody"),
        (["-o", "no/such/folder/x.pdf"], "cannot be written"),
        ([], "-o"),
    ],
)
def test_bad_requests_are_refused_in_one_line(
    arguments: list[str],
    words: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(["sheet", str(SAMPLE), *arguments]) == 2
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert words in said
    assert not list(tmp_path.iterdir())


def test_the_project_is_never_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    project = tmp_path / "project.pdf"
    assert run(["sheet", str(SAMPLE), "-o", str(project)]) == 0
    before = project.read_bytes()
    assert run(["sheet", str(project), "-o", str(project)]) == 2
    assert "is the project itself" in capsys.readouterr().err
    assert project.read_bytes() == before


def test_tables_are_written_for_a_spreadsheet(tmp_path: Path) -> None:
    out = tmp_path / "tables.csv"
    assert run(["sheet", str(SAMPLE), "-o", str(out)]) == 0
    rows = list(csv.reader(io.StringIO(out.read_text(encoding="utf-8"), newline="")))
    heads = [row for row in rows if "Criterion" in row[:2]]
    assert len(heads) >= 2
    assert not [cell for row in rows for cell in row if re.match(r"[=@+-](?![\d.]+([eE][+-]?\d+)?$)", cell)]
