"""Every input that was not measured, with who set it: a person, the parts, a default, or the method.

Values are found by walking the project, so that a field which is added later cannot be left out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final, Literal

import msgspec

from core.charts.display_axis import letter
from core.findings import Finding
from core.project.application import Application
from core.project.candidate import Candidate
from core.project.mechanism import LINEAR
from core.project.saved import Saved
from core.records import dataclass
from core.sentences import as_text
from core.sheet.blocks import Block, Cell, Column, Folded, Paragraph, Section, Table, Words
from core.sheet.cells import quantity
from core.sheet.field_kinds import in_si, kind_of_field, unit_of_field, words_of_field
from core.sheet.subject import Subject
from core.units import format_number

SetBy = Literal["person", "parts", "default", "method"]
WHO: Final[dict[SetBy, str]] = {
    "person": "entered",
    "parts": "parts file",
    "default": "default",
    "method": "method",
}
# Texts that name a thing or tell a story are no assumptions; the rest has a section of its own.
_LEFT_OUT: Final = frozenset(
    {"unknown_keys", "name", "title", "notes", "note", "origin", "format", "version", "dropped_because",
     "duty_from", "duty_cycle", "trace", "paperwork", "hand_over", "motion", "windings", "variants",
     "stated_plate", "wanted_life"}
)  # fmt: skip
_PARTS: Final = ("motor", "drive", "transmission", "feedback", "brake")


@dataclass(frozen=True, slots=True)
class Assumption:
    """One input: where it stands, its value in words, and who set it. `candidates` are those it holds for."""

    group: str
    name: str
    value: Words
    set_by: SetBy
    source: str = ""
    candidates: tuple[int, ...] = ()


def assumptions(subject: Subject) -> Section:
    """Return all inputs with who set them, and what the methods assume beside them."""
    several = len(subject.project.candidates) > 1
    found = inputs(subject)
    tables: list[Block] = []
    columns = (Column("Input or assumption"), Column("Value", weight=1.3), Column("Set by"))
    for group in dict.fromkeys(one.group for one in found):
        members = [one for one in found if one.group == group]
        before = ("", *(one.source for one in members))
        rows = tuple(_row(one, several, source) for one, source in zip(members, before, strict=False))
        tables.append(Table(columns, rows, group, compact=True))
    count = sum(one.set_by == "default" for one in found)
    by_method = [one for one in found if one.set_by == "method"]
    blocks: list[Block] = [
        Paragraph(
            f"{count} inputs stand at the default of the program and {len(by_method)} are assumed by the "
            "method; the others were entered for this project or come with a part. Results are engineering "
            "estimates to be confirmed by test. What a part states itself is in the section on the figures "
            "of the motors and in the attached project.",
            "strong",
        ),
        Folded(tuple(tables)),
    ]
    return Section("Inputs and who set them", tuple(blocks))


def inputs(subject: Subject) -> tuple[Assumption, ...]:
    """Return the inputs of the application and of each candidate, equal ones of candidates together."""
    shared = list(of_application(subject.application))
    same: dict[tuple[str, str, str, SetBy, str], list[int]] = {}
    words: dict[tuple[str, str, str, SetBy, str], Words] = {}
    for index, candidate in enumerate(subject.project.candidates):
        found = subject.result.candidates[index].findings
        for one in (*of_candidate(candidate), *_of_method(found)):
            key = (one.group, one.name, as_text(one.value, subject.units), one.set_by, one.source)
            words.setdefault(key, one.value)
            indices = same.setdefault(key, [])
            indices += [] if index in indices else [index]
    everyone = len(subject.project.candidates)
    of_all = [
        Assumption(key[0], key[1], words[key], key[3], key[4], () if len(who) == everyone else tuple(who))
        for key, who in same.items()
    ]
    order = list(dict.fromkeys(one.group for one in of_all))
    return (*shared, *sorted(of_all, key=lambda one: (one.set_by == "method", order.index(one.group))))


def of_application(application: Application) -> Iterator[Assumption]:
    """Yield what was entered or left at its default in what all candidates share."""
    groups = (
        ("Where it sits", application.site),
        ("What feeds it", application.supply),
        ("What it must meet", application.requirements),
        ("What moves", application.load),
    )
    travels = application.load is not None and isinstance(application.load.mechanism, LINEAR)
    for group, part in groups:
        if part is not None and (group != "What moves" or application.duty_from == "load"):
            yield from _walk(group, part, "", travels=travels)


def of_candidate(candidate: Candidate) -> Iterator[Assumption]:
    """Yield the choices of a candidate, one row for each of its parts, and what the parts do not state."""
    group = "What drives it"
    own = [name for name in candidate.__struct_fields__ if name not in _PARTS]
    if candidate.cable is not None:
        own.remove("lead_resistance")  # the cable takes its place
    yield from _walk(group, candidate, "", own.__contains__)
    parts = {
        "motor": candidate.motor, "electronics": candidate.drive, "transmission": candidate.transmission,
        "feedback": candidate.feedback, "brake": candidate.brake,
    }  # fmt: skip
    for what, part in parts.items():
        if part is None:
            continue
        if part.origin:
            yield Assumption(group, f"Figures of the {what}", part.name, "parts", part.origin)
        else:
            yield Assumption(group, f"Figures of the {what}", part.name, "person")
        yield from (one for one in _walk(f"Not stated for the {what}", part, "") if _is_default(one))
    if candidate.chosen_variant is not None:
        walked = _walk("Not stated for the motor", candidate.chosen_variant, "variant")
        yield from (one for one in walked if _is_default(one))


def _any(_name: str) -> bool:
    return True


def _is_default(one: Assumption) -> bool:
    return one.set_by == "default"


def _of_method(findings: tuple[Finding, ...]) -> Iterator[Assumption]:
    for finding in findings:
        if finding.severity == "assumed":
            name = sentence_case(finding.code.replace("_", " ").removesuffix(" assumed"))
            yield Assumption("Assumed by the method", name, finding.text, "method")


def _walk(
    group: str, part: Saved, prefix: str, wanted: Callable[[str], bool] = _any, travels: bool = False
) -> Iterator[Assumption]:
    """Yield the numbers and choices of a saved value and of what it holds, in the order of the fields."""
    for field in msgspec.structs.fields(part):
        value = getattr(part, field.name)
        if field.name in _LEFT_OUT or value is None or not wanted(field.name):
            continue
        name = ", ".join(word for word in (prefix, words_of_field(field.name)) if word)
        if isinstance(value, Saved):
            yield from _walk(group, value, name, travels=travels)
        elif isinstance(value, float | int | str) and not isinstance(value, bool) and value != "":
            words = _value(part, field.name, field.encode_name, value, travels)
            set_by: SetBy = "default" if value == field.default else "person"
            yield Assumption(group, sentence_case(name), words, set_by)


def sentence_case(text: str) -> str:
    """Return a text with a capital first letter, the rest as it is."""
    return text[:1].upper() + text[1:]


def _value(part: Saved, name: str, key: str, value: float | int | str, travels: bool) -> Words:
    if isinstance(value, str):
        return value
    kind = kind_of_field(part, name, key, travels)
    if kind is not None:
        return quantity(in_si(float(value), key), kind)
    number = str(value) if isinstance(value, int) else format_number(value)
    return f"{number} {unit_of_field(key)}".rstrip()


def _row(one: Assumption, several: bool, source_before: str) -> tuple[Cell, ...]:
    source = ", same source" if one.source == source_before else f": {one.source}"
    who = WHO[one.set_by] + (source if one.source else "")
    of = f" ({', '.join(letter(index) for index in one.candidates)})" if several and one.candidates else ""
    tone: Literal["caution", "plain"] = "caution" if one.set_by in ("default", "method") else "plain"
    return Cell(f"{one.name}{of}"), Cell(one.value), Cell(who, tone)
