"""Files and functions stay small enough to be read at one sitting, and files say what they hold."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

FILE_LINES = {"core": 500, "app": 400}
FUNCTION_LINES = 40
VAGUE_WORDS = {"util", "utils", "helper", "helpers", "manager", "managers", "data", "misc", "common"}

NOT_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
    tokenize.ENCODING,
}


def code_lines(source: str) -> set[int]:
    """Return the numbers of the lines that hold more than blanks and comments."""
    lines: set[int] = set()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type not in NOT_CODE:
            lines.update(range(token.start[0], token.end[0] + 1))
    return lines


def long_functions(source: str, limit: int = FUNCTION_LINES) -> list[str]:
    """Return the functions whose body has more than `limit` lines of code, docstring not counted."""
    code = code_lines(source)
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        body = node.body[1:] if ast.get_docstring(node) is not None else node.body
        if body:
            count = len(code & set(range(body[0].lineno, (node.end_lineno or 0) + 1)))
            if count > limit:
                found.append(f"{node.name} has {count} lines of code, limit {limit}")
    return found


def vague_parts(path: Path) -> set[str]:
    """Return the words in a file's path that tell nothing about what is inside."""
    # a data sheet is a thing of the trade, not a vague word
    parts = [part.lower().replace("data_sheet", "datasheet") for part in path.with_suffix("").parts]
    return {word for part in parts for word in re.split(r"[_\-.]", part)} & VAGUE_WORDS


def python_files(*folders: str) -> list[Path]:
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def relative(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", python_files("core", "app"), ids=relative)
def test_file_is_short(path: Path) -> None:
    limit = FILE_LINES[path.relative_to(ROOT).parts[0]]
    count = len(path.read_text(encoding="utf-8").splitlines())
    assert count <= limit, f"{count} lines, limit {limit}: split it by subject"


@pytest.mark.parametrize("path", python_files("core", "app"), ids=relative)
def test_functions_are_short(path: Path) -> None:
    assert not long_functions(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", python_files("core", "app", "tests"), ids=relative)
def test_file_name_says_what_is_inside(path: Path) -> None:
    assert not vague_parts(path.relative_to(ROOT))


def function_of(lines: int) -> str:
    filling = '    """Docstring\n\n    of three lines."""\n    # a comment\n\n'
    return "def f(\n    a: int,\n    b: int,\n) -> None:\n" + filling + "    a = b\n" * lines


def test_long_functions_are_seen() -> None:
    assert not long_functions(function_of(FUNCTION_LINES))
    assert long_functions(function_of(FUNCTION_LINES + 1)) == ["f has 41 lines of code, limit 40"]
    inside = "class A:\n" + "".join(f"    {line}\n" for line in function_of(41).splitlines())
    assert long_functions(inside)


def test_a_long_text_counts_in_full() -> None:
    assert long_functions('def f():\n    return """' + "\n" * 50 + '"""\n')


@pytest.mark.parametrize(
    "name", ["core/utils.py", "app/plot_helper.py", "core/data/x.py", "app/window_manager.py"]
)
def test_vague_names_are_seen(name: str) -> None:
    assert vague_parts(Path(name))


@pytest.mark.parametrize("name", ["core/metadata.py", "core/database_search.py", "core/commonality.py"])
def test_only_whole_words_count(name: str) -> None:
    assert not vague_parts(Path(name))
