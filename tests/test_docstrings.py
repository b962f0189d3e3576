"""The docstring of an equation is its contract: units, shapes, errors and the source. This test reads it."""

from __future__ import annotations

import ast
import inspect
import re
import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PHYSICS_FILES = sorted((ROOT / "core/physics").rglob("*.py"))
CORE_FILES = sorted((ROOT / "core").rglob("*.py"))

FunctionNode = ast.FunctionDef | ast.AsyncFunctionDef
SECTION_ORDER = ["Parameters", "Attributes", "Returns", "Yields", "Raises", "Notes", "References", "Examples"]
NUMBER = re.compile(r"\b(float|int|complex|Numeric|FloatArray|IntArray|NDArray|ndarray)\b")
ARRAY = re.compile(r"\b(FloatArray|IntArray|BoolArray|NDArray|ndarray)\b")
UNITLESS_ENTRY = re.compile(r"\b(bool|str)\b")


def is_public(name: str) -> bool:
    return not name.startswith("_")


def sections_of(doc: str) -> dict[str, str]:
    """Return the text under each underlined heading of a numpydoc docstring, in the order written."""
    parts = re.split(r"^(\w[\w ]*)\n-{3,}$\n?", doc, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def entries_of(section: str) -> list[tuple[str, str]]:
    """Return (head line, whole entry on one line) of each unindented entry of a section."""
    entries: list[list[str]] = []
    for line in section.splitlines():
        if line.strip() and not line.startswith(" "):
            entries.append([line.strip()])
        elif line.strip() and entries:
            entries[-1].append(line.strip())
    return [(lines[0], " ".join(lines)) for lines in entries]


def closes_with_unit(entry: str) -> bool:
    return bool(re.search(r"\[[^\[\]]+\]$", entry.rstrip(" .")))


def named_entries(section: str) -> dict[str, str]:
    """Return the entry of each name; `a, b : float` documents both."""
    return {
        name.strip().lstrip("*"): entry
        for head, entry in entries_of(section)
        for name in head.partition(" :")[0].split(",")
    }


def value_faults(owner: str, names: dict[str, str], section: str) -> Iterator[str]:
    """Yield what is missing for the named values, given as name -> annotation."""
    entries = named_entries(section)
    for name, annotation in names.items():
        entry = entries.get(name)
        if entry is None:
            yield f"{owner}: {name} is not documented: write `{name} : type`, closing with its [unit]"
            continue
        if NUMBER.search(annotation) and not closes_with_unit(entry):
            yield f"{owner}: the entry of {name} does not close with its [unit]"
        if ARRAY.search(annotation) and "Numeric" not in annotation and "shape" not in entry:
            yield f"{owner}: the entry of {name} gives no shape"
    for name in entries.keys() - names.keys():
        yield f"{owner}: {name} is documented but does not exist"


def text_of(annotation: ast.expr | None) -> str:
    return "" if annotation is None else ast.unparse(annotation)


def parameters_of(function: FunctionNode) -> dict[str, str]:
    arguments = function.args
    every = [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]
    every += [argument for argument in (arguments.vararg, arguments.kwarg) if argument]
    return {arg.arg: text_of(arg.annotation) for arg in every if arg.arg not in ("self", "cls")}


def raises_itself(function: FunctionNode) -> bool:
    return any(isinstance(node, ast.Raise) for node in ast.walk(function))


def return_faults(owner: str, function: FunctionNode, sections: dict[str, str]) -> Iterator[str]:
    annotation = text_of(function.returns)
    if annotation in ("None", "Never", "NoReturn"):
        return
    entries = entries_of(sections.get("Returns", sections.get("Yields", "")))
    if not entries:
        yield f"{owner}: no Returns section"
    for head, entry in entries:
        if NUMBER.search(annotation) and not UNITLESS_ENTRY.search(head) and not closes_with_unit(entry):
            yield f"{owner}: Returns, `{head}` does not close with its [unit]"
    if ARRAY.search(annotation) and not any("shape" in entry for _, entry in entries):
        yield f"{owner}: Returns gives no shape"


def order_faults(owner: str, sections: dict[str, str]) -> Iterator[str]:
    known = [name for name in sections if name in SECTION_ORDER]
    if known != sorted(known, key=SECTION_ORDER.index):
        yield f"{owner}: sections are in the order {known}"


def function_faults(owner: str, function: FunctionNode) -> Iterator[str]:
    """Yield what a public function of core.physics lacks."""
    doc = ast.get_docstring(function)
    if not doc:
        yield f"{owner}: no docstring"
        return
    sections = sections_of(doc)
    yield from order_faults(owner, sections)
    yield from value_faults(owner, parameters_of(function), sections.get("Parameters", ""))
    yield from return_faults(owner, function, sections)
    if raises_itself(function) and not sections.get("Raises", "").strip():
        yield f"{owner}: raises, but has no Raises section"
    if not sections.get("References", "").strip():
        yield f"{owner}: no source under References"


def is_dataclass(node: ast.ClassDef) -> bool:
    return any(re.match(r"(dataclasses\.)?dataclass\b", ast.unparse(mark)) for mark in node.decorator_list)


def fields_of(node: ast.ClassDef) -> dict[str, str]:
    return {
        part.target.id: ast.unparse(part.annotation)
        for part in node.body
        if isinstance(part, ast.AnnAssign)
        and isinstance(part.target, ast.Name)
        and is_public(part.target.id)
        and not ast.unparse(part.annotation).startswith("ClassVar")
    }


def method_faults(owner: str, method: FunctionNode) -> Iterator[str]:
    """Yield what a public method or property lacks; its class carries the source."""
    doc = ast.get_docstring(method)
    if not doc:
        yield f"{owner}: no docstring"
    elif NUMBER.search(text_of(method.returns)) and not re.search(r"\[[^\[\]]+\]", doc):
        yield f"{owner}: returns a number, but the docstring has no [unit]"


def class_faults(node: ast.ClassDef) -> Iterator[str]:
    """Yield what a public class of core.physics lacks."""
    doc = ast.get_docstring(node)
    if not doc:
        yield f"{node.name}: no docstring"
        return
    if is_dataclass(node):
        sections = sections_of(doc)
        yield from order_faults(node.name, sections)
        described = sections.get("Attributes", sections.get("Parameters", ""))
        yield from value_faults(node.name, fields_of(node), described)
    for part in node.body:
        if isinstance(part, FunctionNode) and is_public(part.name):
            yield from method_faults(f"{node.name}.{part.name}", part)


def physics_faults(source: str) -> list[str]:
    """Return every fault against the contract in one file of core.physics."""
    tree = ast.parse(source)
    faults = [] if ast.get_docstring(tree) else ["the file has no docstring"]
    for node in tree.body:
        if isinstance(node, FunctionNode) and is_public(node.name):
            faults += function_faults(node.name, node)
        elif isinstance(node, ast.ClassDef) and is_public(node.name):
            faults += class_faults(node)
    return faults


def missing_docstrings(source: str) -> list[str]:
    """Return the public functions, classes and methods of one file that have no docstring."""
    tree = ast.parse(source)
    missing = [] if ast.get_docstring(tree) else ["the file itself"]

    def visit(body: list[ast.stmt], owner: str) -> None:
        for node in body:
            if isinstance(node, FunctionNode | ast.ClassDef) and is_public(node.name):
                if not ast.get_docstring(node):
                    missing.append(owner + node.name)
                if isinstance(node, ast.ClassDef):
                    visit(node.body, f"{owner}{node.name}.")

    visit(tree.body, "")
    return missing


def relative(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("path", PHYSICS_FILES, ids=relative)
def test_physics_keeps_the_contract(path: Path) -> None:
    faults = physics_faults(path.read_text(encoding="utf-8"))
    assert not faults, "\n" + "\n".join(faults)


@pytest.mark.parametrize("path", CORE_FILES, ids=relative)
def test_everything_public_in_core_has_a_docstring(path: Path) -> None:
    missing = missing_docstrings(path.read_text(encoding="utf-8"))
    assert not missing, missing


GOOD = '''
"""Losses."""

def copper_loss(current: Numeric, weights: FloatArray, star: bool, *, factor: float = 1.0) -> Numeric:
    """Return the ohmic loss.

    Parameters
    ----------
    current : float or ndarray, shape (n,)
        Motor current. [A]
    weights : ndarray, shape (n,)
        Share of each segment,
        as a fraction. [1]
    star : bool
        Whether the winding is star connected.
    factor : float
        Skin effect. [1]

    Returns
    -------
    float or ndarray, shape (n,)
        Loss. [W]

    Raises
    ------
    InputRangeError
        If `factor` is below 1.

    References
    ----------
    Common practice, no source.
    """
    if factor < 1.0:
        raise InputRangeError("factor", factor, "", ">= 1")
    return current**2 * factor

@dataclass(frozen=True)
class Network:
    """Nodes.

    Attributes
    ----------
    capacities : ndarray, shape (n_nodes,)
        Heat capacities. [J/K]
    names : tuple of str
        One a node.
    """

    capacities: FloatArray
    names: tuple[str, ...]

    @property
    def total(self) -> float:
        """Heat capacity of all nodes. [J/K]"""
        return float(self.capacities.sum())
'''


def test_contract_accepts_a_good_example() -> None:
    assert not physics_faults(GOOD)
    assert not missing_docstrings(GOOD)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("Motor current. [A]", "Motor current.", "current does not close with its [unit]"),
        ("Motor current. [A]", "The [A] comes first.", "current does not close with its [unit]"),
        ("as a fraction. [1]", "as a fraction.", "weights does not close with its [unit]"),
        ("weights : ndarray, shape (n,)", "weights : ndarray", "weights gives no shape"),
        ("    star : bool\n        Whether the winding is star connected.\n", "", "star is not documented"),
        ("    star : bool", "    delta : bool", "delta is documented but does not exist"),
        ("Loss. [W]", "Loss.", "Returns, `float or ndarray, shape (n,)` does not close"),
        ("Returns\n    -------", "Result\n    -------", "no Returns section"),
        ("Raises\n    ------", "Errors\n    ------", "no Raises section"),
        ("Common practice, no source.", "", "no source under References"),
        ("Heat capacities. [J/K]", "Heat capacities.", "capacities does not close with its [unit]"),
        ("    names : tuple of str\n        One a node.\n", "", "names is not documented"),
        ("all nodes. [J/K]", "all nodes.", "Network.total: returns a number"),
        ('"""Losses."""', "", "the file has no docstring"),
    ],
)
def test_contract_refuses_a_bad_example(old: str, new: str, fault: str) -> None:
    assert GOOD.count(old) == 1
    faults = physics_faults(GOOD.replace(old, new))
    assert any(fault in line for line in faults), faults


def test_contract_refuses_a_wrong_order() -> None:
    swapped = GOOD.replace("References\n    ----------", "X").replace(
        "Raises\n    ------", "References\n    ----------"
    )
    swapped = swapped.replace("    X\n", "    Raises\n    ------\n")
    assert any("order" in line for line in physics_faults(swapped))


def test_missing_docstrings_are_seen() -> None:
    source = textwrap.dedent(
        inspect.cleandoc(
            '''
            def f() -> None: ...
            def _g() -> None: ...
            class A:
                def h(self) -> None: ...
                def good(self) -> None:
                    """Do nothing."""
            '''
        )
    )
    assert missing_docstrings(source) == ["the file itself", "f", "A", "A.h"]
