"""From a typed designation to the parts it names, and back, by the pattern of a parts file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from msgspec.structs import replace

from core.errors import ProjectFileError
from core.project.candidate import Candidate
from core.project.designation_pattern import DesignationPattern, FieldName
from core.project.drive import Drive
from core.project.motor import VariantKind
from core.project.paperwork import HandOver

if TYPE_CHECKING:
    from core.catalogue.parts_file import PartsFile

Choice = Mapping[FieldName, str]


def format_designation(pattern: DesignationPattern, choice: Choice) -> str | None:
    """Return the designation of a choice; None where something chosen has no code.

    Examples
    --------
    >>> codes = {"frame": {"47": "47 mm frame"}, "winding": {"A": "24 V"}, "variant": {"O": "open rotor"}}
    >>> pattern = DesignationPattern(pattern="M{frame}-{winding}{variant}", codes=codes)
    >>> format_designation(pattern, {"frame": "47 mm frame", "winding": "24 V", "variant": "open rotor"})
    'M47-AO'
    """
    codes = {}
    for field, table in pattern.codes.items():
        code = next((one for one, meaning in table.items() if meaning == _chosen(choice, field)), None)
        if code is None:
            return None
        codes[field] = code
    return pattern.pattern.format(**codes)


def _chosen(choice: Choice, field: str) -> str:
    return next((meaning for name, meaning in choice.items() if name == field), "")


def parse_designation(pattern: DesignationPattern, text: str) -> dict[FieldName, str]:
    """Return what each field of a designation stands for; blanks around it and capitals do not count.

    Raises `ProjectFileError` with the place from which on nothing fits, and what could stand there.

    Examples
    --------
    >>> codes = {"frame": {"47": "47 mm frame"}, "winding": {"A": "24 V"}, "variant": {"O": "open rotor"}}
    >>> pattern = DesignationPattern(pattern="M{frame}-{winding}{variant}", codes=codes)
    >>> parse_designation(pattern, " m47-ao ")["winding"]
    '24 V'
    """
    typed = text.strip()
    folded, pieces = typed.casefold(), pattern.pieces()
    furthest = (0, 0)  # letters read and piece reached by the reading that got furthest
    readings: list[tuple[int, int, dict[FieldName, str]]] = [(0, 0, {})]
    while readings:
        at, place, read = readings.pop()
        furthest = max(furthest, (at, place))
        if place == len(pieces):
            if at == len(folded):
                return read
            continue
        field, codes = pieces[place]
        for code, meaning in codes.items():
            if folded.startswith(code, at):
                step = read if field is None else {**read, field: meaning}
                readings.append((at + len(code), place + 1, step))
    at, place = furthest
    if place == len(pieces):
        raise ProjectFileError("designation", f"ends after {typed[:at]!r}; there is more in", typed, True)
    field, codes = pieces[place]
    listed = ", ".join(code.upper() for code in codes)
    what = f"{'the text' if field is None else field} must be one of {listed}"
    raise ProjectFileError("designation", f"{what} after {typed[:at]!r}", typed, True)


def choice_of(candidate: Candidate, pattern: DesignationPattern) -> dict[FieldName, str]:
    """Return what a candidate has chosen for the fields of a pattern; nothing fitted is an empty word."""
    told = candidate.hand_over or HandOver()
    chosen: dict[FieldName, str] = {
        "frame": "" if candidate.motor is None else candidate.motor.name,
        "winding": candidate.winding or "",
        "variant": candidate.variant or "",
        "shaft": told.shaft_front,
        "leads": told.leads,
        "feedback": "" if candidate.feedback is None else candidate.feedback.name,
        "brake": "" if candidate.brake is None else candidate.brake.name,
        "transmission": "" if candidate.transmission is None else candidate.transmission.name,
        "electronics": candidate.drive.name,
    }
    return {field: meaning for field, meaning in chosen.items() if field in pattern.codes}


def designation_of(candidate: Candidate) -> str | None:
    """Return the designation of a candidate as it is now; None without a pattern, or where it has no code."""
    pattern = None if candidate.hand_over is None else candidate.hand_over.pattern
    return None if pattern is None else format_designation(pattern, choice_of(candidate, pattern))


def with_pattern(candidate: Candidate, files: Iterable[PartsFile]) -> Candidate:
    """Return a candidate with the pattern of the parts file that holds its motor, which then names it.

    A file without a pattern takes that of another maker away; a motor that is in none of the files keeps
    what it has.
    """
    file = next((one for one in files if candidate.motor in one.motors), None)
    if file is None:
        return candidate
    told = replace(candidate.hand_over or HandOver(), pattern=file.designation)
    return replace(candidate, hand_over=None if told == HandOver() else told)


def designated_candidate(parts: PartsFile, text: str) -> Candidate:
    """Return the candidate that a designation names, with its parts out of a parts file.

    Raises `ProjectFileError` without a pattern, where a code does not fit, and where the frame does not have
    the winding or the variant.
    """
    pattern = parts.designation
    if pattern is None:
        raise ProjectFileError("designation", "this parts file has no pattern of designations", text, True)
    read = parse_designation(pattern, text)
    motor = parts.motor(read["frame"])
    if all(winding.name != read["winding"] for winding in motor.windings):
        raise ProjectFileError("designation", f"{motor.name} has no winding {read['winding']}", text, True)
    variant: VariantKind | None = next(
        (one.kind for one in motor.variants if one.kind == read["variant"]), None
    )
    if variant is None:
        raise ProjectFileError("designation", f"{motor.name} has no variant {read['variant']}", text, True)

    def named(field: FieldName) -> str | None:
        return read.get(field) or None

    told = HandOver(shaft_front=read.get("shaft", ""), leads=read.get("leads", ""), pattern=pattern)
    electronics = named("electronics")
    return Candidate(
        name=format_designation(pattern, read) or text.strip(),
        motor=motor,
        winding=read["winding"],
        variant=variant,
        feedback=next((one for one in parts.feedback if one.name == named("feedback")), None),
        brake=next((one for one in parts.brakes if one.name == named("brake")), None),
        transmission=next((one for one in parts.transmissions if one.name == named("transmission")), None),
        drive=Drive() if electronics is None else parts.drive(electronics),
        hand_over=told,
    )


def require_known_parts(parts: PartsFile) -> None:
    """Refuse a pattern whose codes stand for parts that the file does not hold."""
    if parts.designation is None:
        return
    names: dict[FieldName, set[str]] = {
        "frame": {motor.name for motor in parts.motors},
        "winding": {winding.name for motor in parts.motors for winding in motor.windings},
        "variant": {variant.kind for motor in parts.motors for variant in motor.variants},
        "feedback": {"", *(one.name for one in parts.feedback)},
        "brake": {"", *(one.name for one in parts.brakes)},
        "transmission": {"", *(one.name for one in parts.transmissions)},
        "electronics": {one.name for one in parts.drives},
    }
    for field, known in names.items():
        for code, meaning in parts.designation.codes.get(field, {}).items():
            if meaning not in known:
                there = ", ".join(sorted(name for name in known if name)) or "none"
                place = f"designation.codes.{field}.{code}"
                raise ProjectFileError(
                    place, f"must name a part of this file (there are: {there})", meaning, True
                )
