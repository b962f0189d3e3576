"""A project file is only ever read: nothing in it is executed or sent, and no other file is opened.

What the interpreter does is heard by its audit hook, in a process of its own, while a hostile project is
loaded, evaluated and printed, after the same was done once so that every module is there.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from core.errors import ProjectFileError
from core.project.project_file import decode_project

ROOT = Path(__file__).resolve().parents[2]
MEASURED = ROOT / "sample_projects" / "greenhouse_cart_measured.json"

HOSTILE_TEXTS = (
    "__import__('os').system('touch executed')",
    "$(touch executed)",
    "`touch executed`",
    "!!python/object/apply:os.system ['touch executed']",
    "{0.__class__.__init__.__globals__}",
    "%s%n%x",
    "<img src='http://example.invalid/x.png'><script>touch()</script>",
    "file:///etc/passwd",
    "=cmd|'/c calc'!A0",
    "../../etc/passwd",
)

WATCHED = """
import sys
from datetime import date
from pathlib import Path
from core.evaluate import evaluate
from core.project.project_file import encode_project, read_project
from core.sheet.plain_text import plain_text
from core.sheet.sheet import sheet_of
from core.units import DisplayUnits

def work(path):
    project = read_project(path)
    result = evaluate(project)
    units = DisplayUnits()
    made = sheet_of(
        project, result, issued=date(2026, 1, 1), project_file=encode_project(project), units=units
    )
    return len(plain_text(made, units))

path = Path(sys.argv[1])
assert work(path) > 1000
heard, listening = [], False

def hook(event, arguments):
    if listening and event.split(".")[0] in WORDS:
        heard.append((event, [repr(one)[:200] for one in arguments]))

WORDS = {"open", "socket", "subprocess", "os", "exec", "compile", "import", "urllib", "ctypes", "shutil",
         "pty", "ftplib", "http", "webbrowser", "pickle", "marshal", "glob", "pathlib", "tempfile"}
sys.addaudithook(hook)
listening = True
work(path)
listening = False
import json
print(json.dumps(heard))
"""


def with_hostile_texts(value: Any, number: list[int]) -> Any:
    """Return a project with a hostile text at the end of every text that may be any text."""
    if isinstance(value, dict):
        return {key: with_hostile_text(key, entry, number) for key, entry in value.items()}
    if isinstance(value, list):
        return [with_hostile_texts(entry, number) for entry in value]
    return value


def with_hostile_text(key: str, entry: Any, number: list[int]) -> Any:
    if isinstance(entry, str) and key in ("title", "notes", "origin", "source", "note"):
        number[0] += 1
        return HOSTILE_TEXTS[number[0] % len(HOSTILE_TEXTS)]
    return with_hostile_texts(entry, number)


def heard_of(path: Path) -> list[tuple[str, list[str]]]:
    """Return what the interpreter did while a project was loaded, evaluated and printed."""
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, str(path)],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    found: list[tuple[str, list[str]]] = json.loads(done.stdout.splitlines()[-1])
    return found


@pytest.mark.parametrize("name", ["sample_carousel.json", "greenhouse_cart_measured.json"])
def test_a_hostile_project_is_only_read(tmp_path: Path, name: str) -> None:
    number = [0]
    content = json.loads((ROOT / "sample_projects" / name).read_text(encoding="utf-8"))
    path = tmp_path / "hostile.json"
    path.write_text(json.dumps(with_hostile_texts(content, number)), encoding="utf-8")
    assert number[0] >= len(HOSTILE_TEXTS)
    heard = heard_of(path)
    # the program reads its own type hints, which are compiled; nothing of the project is among them
    own = [said for event, said in heard if event == "compile"]
    assert all(said[1] == "'<string>'" and said[0].removeprefix("b'")[0].isalpha() for said in own)
    assert not [said for said in own if any(text[:12] in said[0] for text in HOSTILE_TEXTS)]
    beyond = [said for event, said in heard if event == "open" and str(path) not in said[0]]
    beyond += [said for event, said in heard if event not in ("open", "compile", "exec")]
    assert beyond == []
    assert heard  # the file itself was opened, so the hook does hear
    assert [left.name for left in tmp_path.iterdir()] == ["hostile.json"]


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd", "/etc/passwd", "..", ".", "sub/trace.csv", "\\\\server\\share\\trace.csv",
        "//server/share/trace.csv", "C:trace.csv", "C:\\trace.csv", "trace.csv:stream", "a\x00.csv",
    ],
)  # fmt: skip
def test_a_trace_lies_beside_its_project_and_nowhere_else(name: str) -> None:
    raw = json.loads(MEASURED.read_text(encoding="utf-8"))
    raw["application"]["trace"]["file"] = name
    with pytest.raises(ProjectFileError, match="plain name of a file beside the project") as caught:
        decode_project(json.dumps(raw).encode())
    assert caught.value.place == "$.application.trace.file"
