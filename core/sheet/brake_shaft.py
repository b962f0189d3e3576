"""The holding brake, and the forces on the shaft with the life of its bearings."""

from __future__ import annotations

import math

from core.charts.display_axis import time_words
from core.project.candidate import Candidate
from core.sentences import joined, sentence
from core.shaft_results import ShaftLoad
from core.sheet.blocks import Block, Bullets, Facts, Paragraph, Section, Words
from core.sheet.candidate_facts import brake_words
from core.sheet.cells import NOT_GIVEN, given, quantity
from core.sheet.margin_lists import margin_words
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import DisplayUnits, Kind

_BRAKE_CRITERIA = ("brake_", "front_bearing", "rear_bearing")


def brake_and_shaft(subject: Subject) -> Section:
    """Return the holding brake and the forces on the shaft, with their margins."""
    chosen, found = subject.chosen, subject.found
    title = "Brake and shaft"
    if chosen is None or found is None:
        return Section(title, (lacking(subject, "Brake and shaft"),))
    blocks: list[Block] = [*about_chosen(subject), *_brake(chosen, subject.units)]
    blocks += _shaft(found.shaft_load)
    words = [
        joined(margin_words(margin), *((": ", margin.why) if margin.why else ()))
        for margin in found.margins
        if margin.criterion.startswith(_BRAKE_CRITERIA) and margin.status != "not checked"
    ]
    if words:
        blocks.append(Bullets(tuple(words)))
    return Section(title, tuple(blocks))


def _brake(chosen: Candidate, units: DisplayUnits) -> list[Block]:
    brake = chosen.brake
    if brake is None:
        return [Paragraph("There is no holding brake: without power nothing but friction holds the shaft.")]
    pairs = (
        ("Brake", brake_words(chosen)),
        ("Holds after", time_words(brake.engage_delay, units)),
        ("Is free after", time_words(brake.release_delay, units)),
        ("Largest energy of one stop", quantity(brake.largest_stop_energy, Kind.ENERGY, NOT_GIVEN)),
        ("Power of the coil", quantity(brake.pull_in_power, Kind.POWER)),
        ("Share of the voltage at which it is held", quantity(brake.hold_voltage_share, Kind.RATIO)),
        ("Full voltage for", time_words(brake.pull_in_time, units)),
        ("Its heat goes", "into the motor" if brake.on_motor else "elsewhere"),
    )
    order = (
        "A holding brake only. Torque on first, then release it; close it first, then take the torque away. "
        "It is no brake for service stops, and a gear is no brake."
    )
    return [Facts(pairs, compact=True), Paragraph(order, "caution")]


def _life(hours: float) -> Words:
    if math.isinf(hours):
        return "without end: nothing loads it"
    return sentence("{life}", life=(hours * 3600.0, Kind.LIFE))


def _shaft(load: ShaftLoad | None) -> list[Block]:
    if load is None:
        return [Paragraph("No force on the shaft end is stated, so its bearings are not checked.")]
    pairs: tuple[tuple[Words, Words], ...] = (
        ("Radial force", quantity(load.radial, Kind.FORCE)),
        ("at a distance from the mounting face of", quantity(load.distance, Kind.LENGTH)),
        ("Axial force", quantity(load.axial, Kind.FORCE)),
        ("Front bearing answers with", quantity(load.front_reaction, Kind.FORCE)),
        ("Rear bearing answers with", quantity(load.rear_reaction, Kind.FORCE)),
        ("Front bearing lasts (L10)", _life(load.front_life)),
        ("Rear bearing lasts (L10)", _life(load.rear_life)),
        *given(
            (
                ("Wanted life", None if load.wanted_life is None else _life(load.wanted_life)),
                ("Largest radial force here for it", quantity(load.allowed_here, Kind.FORCE, "")),
            )
        ),
    )
    return [Paragraph("Forces on the shaft end", "strong"), Facts(pairs, compact=True)]
