"""Files that something has damaged, or somebody made to do harm: a sound file with one to four wounds."""

from __future__ import annotations

import copy
import json
import random
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

from core.catalogue.parts_check import check_parts
from core.catalogue.parts_file import decode_parts, encode_parts, load_demo_parts
from core.errors import AmpturnError, ProjectFileError
from core.evaluate import evaluate
from core.project.project_file import decode_project, encode_project

ROOT = Path(__file__).resolve().parents[2]
STRANGE: tuple[Any, ...] = (
    None, True, -1, 0, 1, 1e308, -1e308, 5e-324, 10**30, 2**63, "", "x" * 300, "\ud83d", "\x00", [], {}, [[]],
    {"": None}, "24 V", "∞", "../../etc/passwd", "/etc/passwd", "<b>bold</b>", "=1+1", -273.15, 1e15, 1e-30,
)  # fmt: skip


def sources() -> tuple[list[bytes], list[bytes]]:
    """Return the sound files that are damaged: the sample projects, and a parts file of each kind."""
    projects = [path.read_bytes() for path in sorted((ROOT / "sample_projects").glob("*.json"))]
    parts = load_demo_parts()
    return projects, [encode_parts(parts)]


def mutated(content: bytes, chance: random.Random) -> bytes:
    """Return the text of a file with wounds in its values, in its shape or in its bytes."""
    if chance.random() < 0.3:
        return _wound_in_bytes(content, chance)
    parsed = json.loads(content)
    for _ in range(chance.randint(1, 4)):
        _wound_in_values(parsed, chance)
    text = json.dumps(parsed)
    return text.encode()


def _wound_in_bytes(content: bytes, chance: random.Random) -> bytes:
    at, length = chance.randrange(len(content)), chance.randrange(1, 200)
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: content[:at],
        lambda: content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :],
        lambda: content[:at] + content[at + length :],
        lambda: content[:at] + content[at : at + length] * 2 + content[at + length :],
        lambda: content[:at] + chance.randbytes(length) + content[at:],
        lambda: content[:at] + b"[" * 5000 + content[at:],
        lambda: content[:at] + b"1" * 5000 + content[at:],
        lambda: content.replace(b"0", b"NaN", at % 50),
        lambda: content.replace(b"1", b"1e999", at % 50),
        lambda: content.decode().encode("utf-16"),
    )
    return chance.choice(ways)()


def _wound_in_values(parsed: Any, chance: random.Random) -> None:
    owners = [entry for entry in _containers(parsed) if entry]
    if not owners:
        return
    owner = chance.choice(owners)
    key = chance.choice(sorted(owner)) if isinstance(owner, dict) else chance.randrange(len(owner))
    value, way = owner[key], chance.randrange(7)
    if way == 0:
        del owner[key]
    elif way == 1:
        owner[key] = chance.choice(STRANGE)
    elif way == 2:
        # a copy, since an object that holds itself is no JSON
        owner[key] = copy.deepcopy(chance.choice(list(_values(chance.choice(owners)))))
    elif way == 3 and isinstance(value, list) and value:
        owner[key] = value * chance.choice((2, 50, 500))
    elif way == 4 and isinstance(owner, dict):
        owner[f"{key}_"] = owner.pop(key)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        owner[key] = value * chance.choice((-1.0, 0.0, 1e-3, 1e3, 1e-9, 1e9, 1e-28, 1e14))
    else:
        owner[key] = [value]


def _containers(value: Any) -> list[Any]:
    """Return every object and list inside a value, itself included, in order."""
    found: list[Any] = []
    waiting = [value]
    while waiting:
        entry = waiting.pop()
        if isinstance(entry, dict | list):
            found.append(entry)
            waiting += reversed(list(_values(entry)))
    return found


def _values(owner: Any) -> Any:
    return owner.values() if isinstance(owner, dict) else owner


def judge_project(content: bytes) -> str:
    """Return "loaded" or "refused" for a project file; anything else that happens is raised.

    What is loaded is evaluated too: it gives a result or is refused in words.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            project = decode_project(content)
        except ProjectFileError as refusal:
            _check_words(refusal)
            return "refused"
        assert decode_project(encode_project(project)) == project
        try:
            evaluate(project)
        except AmpturnError:
            return "not evaluated"
        return "loaded"


def judge_parts(content: bytes) -> str:
    """Return "loaded" or "refused" for a parts file; what is loaded is checked too."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            parts = decode_parts(content)
        except ProjectFileError as refusal:
            _check_words(refusal)
            return "refused"
        assert decode_parts(encode_parts(parts)) == parts
        check_parts(parts)
        return "loaded"


def _check_words(refusal: ProjectFileError) -> None:
    """See that a refusal names a place and a rule."""
    assert refusal.place, refusal
    assert refusal.rule, refusal
    assert str(refusal).startswith(refusal.place), refusal
