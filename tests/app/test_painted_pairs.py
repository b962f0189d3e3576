"""What painters put on each other can be told apart, in both themes; no painter has a colour of its own."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.painted_pairs import DECORATION, PAIRS, Pair
from app.theme import DARK, ICON_FOLDER, LIGHT, Tokens
from tests.app.contrasts import contrast, over

LEAST = {"text": 4.5, "mark": 3.0}
APP = Path(__file__).resolve().parents[2] / "app"
FIELDS = frozenset(Tokens.__dataclass_fields__) - {"name"}
NAMED = {"Qt.GlobalColor", "QColorConstants"}


def colours(tokens: Tokens, name: str) -> list[str]:
    if name == "candidates":
        return [look.colour for look in tokens.candidates]
    return [getattr(tokens, name)]


def ratio(tokens: Tokens, pair: Pair) -> float:
    """Return the contrast of a pair, the least of the four for candidates."""
    (ground,) = colours(tokens, pair.ground)
    ratios = []
    for ink in colours(tokens, pair.ink):
        below = over(ink, ground, pair.wash)
        ratios.append(contrast(over(ink, below, pair.opacity), below))
    return min(ratios)


def test_an_ink_over_a_ground() -> None:
    assert over("#000000", "#FFFFFF", 1.0) == "#000000"
    assert over("#000000", "#FFFFFF", 0.0) == "#FFFFFF"
    assert over("#102030", "#304050", 0.5) == "#203040"


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_every_pair_has_its_contrast(tokens: Tokens) -> None:
    poor = {
        (pair.kind, pair.ink, pair.ground, pair.painters): round(ratio(tokens, pair), 2)
        for pair in PAIRS
        if ratio(tokens, pair) < LEAST[pair.kind]
    }
    assert poor == {}


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
def test_arrows_and_ticks_are_seen_on_their_fields(tokens: Tokens) -> None:
    def stroke(icon: str) -> str:
        found = re.search(r'stroke="(#[0-9A-F]{6})"', (ICON_FOLDER / icon).read_text(encoding="utf-8"))
        assert found is not None
        return found[1]

    for icon in ("arrow_down.svg", "arrow_up.svg"):
        assert contrast(stroke(icon), tokens.ground) >= 3.0
    assert contrast(stroke(f"tick_{tokens.name}.svg"), tokens.focus) >= 3.0


def app_files() -> Iterator[tuple[str, ast.Module]]:
    """Return each file of the app but the theme, by its name in `Pair.painters`."""
    for path in sorted(APP.rglob("*.py")):
        name = path.relative_to(APP).with_suffix("").as_posix()
        if name != "theme":
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def tokens_read(tree: ast.Module) -> set[str]:
    return {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr in FIELDS and _is_tokens(node.value)
    }


def _is_tokens(owner: ast.expr) -> bool:
    words = ast.unparse(owner)
    return "tokens" in words or words in ("LIGHT", "DARK")


def test_who_reads_a_token_has_its_pair() -> None:
    named: dict[str, set[str]] = {}
    for pair in PAIRS:
        for painter in pair.painters:
            named.setdefault(painter, set()).update((pair.ink, pair.ground))
    missing = {}
    for name, tree in app_files():
        # grounds alone need no pair: what stands on them is named by who paints it
        inks = tokens_read(tree) - {"pane", "ground", "selection", "caution_ground", *DECORATION}
        left = inks - named.get(name, set())
        if left:
            missing[name] = left
    assert missing == {}


def test_painters_of_the_table_are_there() -> None:
    there = {name for name, _ in app_files()} | {"theme"}
    assert {painter for pair in PAIRS for painter in pair.painters} <= there
    assert {name for pair in PAIRS for name in (pair.ink, pair.ground)} <= FIELDS


def test_no_painter_has_a_colour_of_its_own() -> None:
    own = []
    for name, tree in app_files():
        for node in ast.walk(tree):
            literal = isinstance(node, ast.Constant) and isinstance(node.value, str)
            if literal and re.fullmatch(r"#[0-9A-Fa-f]{3,8}", ast.literal_eval(ast.unparse(node))):
                own.append(f"{name}: {ast.unparse(node)}")
            named = isinstance(node, ast.Attribute) and ast.unparse(node.value) in NAMED
            if named and not ast.unparse(node).endswith(".transparent"):
                own.append(f"{name}: {ast.unparse(node)}")
            made = isinstance(node, ast.Call) and ast.unparse(node.func).startswith("QColor")
            if made and re.match(r"QColor[.\w]*\(['\"0-9]", ast.unparse(node)):
                own.append(f"{name}: {ast.unparse(node)}")
    assert own == []
