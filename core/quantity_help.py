"""Help on a quantity, taken from the docstrings of the fields and of the equations: there is no second text.

An input is known by its place in the project, as `site.ambient`, a criterion by its code. What the input
means stands in the docstring of what holds it; the equations that take a quantity of that name say what it
does there. The symbol is that of the nomenclature in the README beside this file.
"""

from __future__ import annotations

import importlib
import inspect
import re
import types
import typing
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, Final

import msgspec

from core.errors import AmpturnError
from core.help_subjects import CRITERIA, FIELDS_NAMED_OTHERWISE
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.motion import DwellStep, MoveStep, RampStep, RunStep
from core.project.saved import Saved
from core.records import dataclass
from core.sheet.field_kinds import kind_of_field, words_of_field
from core.sheet.method_sources import source_of
from core.sheet.methods_used import METHODS
from core.units import si_symbol

_HEADING = re.compile(r"^(\w[\w ]*)\n-{3,}$\n?", re.MULTILINE)
_UNIT = re.compile(r"\s*\[([^\[\]]+)\]$")
_NOMENCLATURE = re.compile(r"^\| `(\w+)`[^|]*\| ([^|]+?) \| [^|]+ \|$", re.MULTILINE)
_ROOTS: Final = (Application, Candidate)
_STEPS: Final = (MoveStep, RampStep, RunStep, DwellStep)
_MOST_EQUATIONS = 3


@dataclass(frozen=True, slots=True)
class Equation:
    """What one equation says: its name in the program, first line, notes with the formula, and sources."""

    what: str
    name: str
    summary: str
    notes: str
    source: str


@dataclass(frozen=True, slots=True)
class QuantityHelp:
    """Meaning, symbol and unit of a quantity, and the equations that it enters or comes from."""

    key: str
    title: str
    meaning: str
    symbol: str
    unit: str
    equations: tuple[Equation, ...]

    @property
    def text(self) -> str:
        """Everything in it, to be searched."""
        told = [f"{one.what} {one.name} {one.summary} {one.notes} {one.source}" for one in self.equations]
        return " ".join((self.title, self.key, self.meaning, self.symbol, self.unit, *told)).casefold()


@cache
def help_on(key: str) -> QuantityHelp:
    """Return the help on an input by its place, or on a criterion by its code.

    Raises
    ------
    AmpturnError
        If there is no such input or criterion.

    Examples
    --------
    >>> found = help_on("site.altitude")
    >>> found.title, found.meaning, found.unit
    ('Altitude', 'Above sea level; thin air cools less.', 'm')
    """
    if key in CRITERIA:
        return _on_criterion(key)
    owner, field = _found(tuple(key.split(".")))
    entries = fields_of(owner)
    text = entries.get(field.name, "")
    unit = _UNIT.search(text)
    kind = kind_of_field(_blank(owner), field.name, field.encode_name, travels=False)
    symbol = si_symbol(kind) if kind is not None else ""
    words = words_of_field(field.name)
    return QuantityHelp(
        key,
        words[:1].upper() + words[1:],
        _UNIT.sub("", text) or _summary(owner),
        symbols().get(field.name, ""),
        unit[1] if unit is not None else symbol,
        tuple(_taking(field.name)),
    )


def all_keys() -> tuple[str, ...]:
    """Return every key that there is help on: criteria first, then inputs in the order of the fields."""
    return tuple(dict.fromkeys((*CRITERIA, *(key for root in _ROOTS for key in _keys(root, "")))))


def searched(words: str) -> tuple[QuantityHelp, ...]:
    """Return the help in which all words occur; those with the words in the title come first."""
    wanted = words.casefold().split()
    found = [one for one in map(help_on, all_keys()) if all(word in one.text for word in wanted)]
    return tuple(sorted(found, key=lambda one: not all(word in one.title.casefold() for word in wanted)))


def sections_of(text: str) -> dict[str, str]:
    """Return the text under each underlined heading of a docstring; what comes before is under "".

    Examples
    --------
    >>> sections_of("Sum.\\n\\nNotes\\n-----\\nBy hand.")
    {'': 'Sum.', 'Notes': 'By hand.'}
    """
    parts = _HEADING.split(text)
    return {"": parts[0].strip()} | {
        name: body.strip() for name, body in zip(parts[1::2], parts[2::2], strict=True)
    }


def fields_of(owner: type) -> dict[str, str]:
    """Return what the docstrings of a class and of its bases say of each field, each on one line."""
    entries: dict[str, str] = {}
    for base in reversed(owner.__mro__):
        names: list[str] = []
        for line in sections_of(inspect.cleandoc(base.__doc__ or "")).get("Parameters", "").splitlines():
            if line.strip() and not line.startswith(" "):
                names = [name.strip() for name in line.partition(" :")[0].split(",")]
                entries.update(dict.fromkeys(names, ""))
            else:
                entries.update({name: f"{entries[name]} {line.strip()}".strip() for name in names})
    return entries


@cache
def symbols() -> dict[str, str]:
    """Return the symbol of each quantity of the nomenclature by its name."""
    text = (Path(__file__).parent / "README.md").read_text(encoding="utf-8")
    return {name: symbol for name, symbol in _NOMENCLATURE.findall(text) if symbol.strip()}


def plain_notes(text: str) -> str:
    r"""Return notes of a docstring as plain text, formulas by themselves on a line.

    Examples
    --------
    >>> plain_notes("With\n\n.. math:: v = \\sqrt{\\omega_e L}\n\nand no more.")
    'With\n    v = √(ω_e L)\nand no more.'
    """
    lines = []
    for block in re.split(r"\n\s*\n", text):
        if block.lstrip().startswith(".. math::"):
            lines.append("    " + _plain_math(" ".join(block.split()).removeprefix(".. math::").strip()))
        else:
            lines.append(" ".join(re.sub(r":math:`([^`]*)`|`([^`]*)`", _inline, block).split()))
    return "\n".join(lines)


# how it is found ---------------------------------------------------------------------------------------


def _on_criterion(code: str) -> QuantityHelp:
    title, *told = CRITERIA[code]
    words = {f"{method.module}.{method.function}": method.what for method in METHODS}
    equations = tuple(_equation(words.get(name, title), *name.split(".")) for name in told if "." in name)
    meanings = [one.summary for one in equations]
    for name in told:
        if "." not in name:
            meanings.append(help_on(name.replace("/", ".")).meaning)
    return QuantityHelp(code, title, " ".join(meanings), "", "", equations)


def _equation(what: str, module: str, function: str) -> Equation:
    owner = getattr(importlib.import_module(f"core.physics.{module}"), function)
    sections = sections_of(inspect.getdoc(owner) or "")
    summary = " ".join(sections[""].split()).removeprefix("Return ")
    summary = summary[:1].upper() + summary[1:]
    return Equation(
        what,
        f"{module}.{function}",
        summary,
        plain_notes(sections.get("Notes", "")),
        source_of(module, function),
    )


def _taking(name: str) -> Iterator[Equation]:
    """Yield the equations among the methods that take a quantity of this name."""
    found = 0
    for method in METHODS:
        owner = getattr(importlib.import_module(f"core.physics.{method.module}"), method.function, None)
        takes_it = inspect.isfunction(owner) and name in inspect.signature(owner).parameters
        if takes_it and found < _MOST_EQUATIONS:
            found += 1
            yield _equation(method.what, method.module, method.function)


def _found(place: tuple[str, ...]) -> tuple[type[Saved], msgspec.structs.FieldInfo]:
    """Return the class and the field at a place, whatever way of mounting, feedback or mechanism it is of."""
    last = FIELDS_NAMED_OTHERWISE.get(place[-1], place[-1])
    owners: list[type[Saved]] = [*_ROOTS, *_STEPS] if len(place) == 1 else list(_ROOTS)
    for name in place[:-1]:
        inner = [one for owner in owners for one in _inside(owner, name)]
        owners = inner or owners
    for owner in owners:
        for field in msgspec.structs.fields(owner):
            if field.name == last:
                return owner, field
    raise AmpturnError(f"there is no help on {'.'.join(place)}: no such input")


def _inside(owner: type[Saved], name: str) -> list[type[Saved]]:
    fields = [field for field in msgspec.structs.fields(owner) if field.name == name]
    return [kind for field in fields for kind in _kinds(field.type)]


def _kinds(annotation: Any) -> list[type[Saved]]:
    """Return the saved classes in an annotation: those of a union, or of the elements of a tuple."""
    if isinstance(annotation, type) and issubclass(annotation, Saved):
        return [annotation]
    if isinstance(annotation, types.UnionType) or typing.get_origin(annotation) is not None:
        return [kind for part in typing.get_args(annotation) for kind in _kinds(part)]
    return []


def _keys(owner: type[Saved], prefix: str) -> Iterator[str]:
    for field in msgspec.structs.fields(owner):
        inner = _kinds(field.type)
        if field.name != "unknown_keys" and not inner:
            yield f"{prefix}{field.name}"
        for kind in inner:
            yield from _keys(kind, f"{prefix}{field.name}.")


def _summary(owner: type) -> str:
    return " ".join(sections_of(inspect.cleandoc(owner.__doc__ or ""))[""].split())


def _blank(owner: type[Saved]) -> Any:
    """Return what the kind of a field is read off where only its class matters."""
    required = [f for f in msgspec.structs.fields(owner) if f.required]
    return None if required else owner()


_TEX: Final = (
    (r"\\mathrm\{([^}]*)\}|\\text\{([^}]*)\}", r"\1\2"), (r"\\sqrt\{([^{}]*)\}", r"√(\1)"),
    (r"\\[td]?frac\{([^{}]*)\}\{([^{}]*)\}", r"(\1) / (\2)"), (r"\\(left|right|,|;|!|quad|qquad)", " "),
    (r"\\(cdot|times)", "·"), (r"\\leq?\b", "≤"), (r"\\geq?\b", "≥"), (r"\\int", "∫"), (r"\\sum", "Σ"),
    (r"\\infty", "∞"), (r"\\pi", "π"), (r"\\omega", "ω"), (r"\\alpha", "α"), (r"\\eta", "η"),
    (r"\\kappa", "κ"), (r"\\lambda", "λ"), (r"\\tau", "τ"), (r"\\theta", "θ"), (r"\\vartheta", "ϑ"),
    (r"\\varphi|\\phi", "φ"), (r"\\Delta", "Δ"), (r"\\mu", "µ"), (r"\\rho", "ρ"), (r"\\sigma", "σ"),
    (r"\\varepsilon|\\epsilon", "ε"), (r"\\beta", "β"), (r"\\gamma", "γ"), (r"\\psi", "ψ"),
    (r"\^2(?![0-9])", "²"), (r"\^3(?![0-9])", "³"), (r"[\^]\{([^{}]*)\}", r"^(\1)"),
    (r"_\{([^{}]*)\}", r"_\1"), (r"\\([a-zA-Z]+)", r"\1"), (r"[{}]", ""),
)  # fmt: skip


def _plain_math(formula: str) -> str:
    for pattern, plain in _TEX:
        formula = re.sub(pattern, plain, formula)
    return " ".join(formula.split())


def _inline(match: re.Match[str]) -> str:
    return _plain_math(match[1]) if match[1] is not None else match[2]
