"""The first page: what is asked, what is chosen, how well it holds, what governs, what is assumed."""

from __future__ import annotations

from core.evaluation.comparison_verdict import standing
from core.notices import counted, name_of, notices
from core.project.candidate import Candidate
from core.results import CandidateResult
from core.sentences import as_text, joined, sentence
from core.sheet.assumptions import inputs
from core.sheet.blocks import Beside, Block, Facts, Paragraph, Warned, Words
from core.sheet.candidate_facts import brake_words, feedback_words, transmission_words, winding_words
from core.sheet.cells import NOT_GIVEN, given, listed, quantity, span
from core.sheet.margin_lists import margin_table, margin_words
from core.sheet.requirement import mounting_words
from core.sheet.subject import Subject
from core.units import Kind

_MOST_MARGINS, _MOST_CAUTIONS = 5, 2
# What can hurt or destroy at once goes before what hurts who does not look, and that before the rest.
_GRAVE = (
    "thermal_run_away", "load_moves_without_power", "over_voltage_without_weakening", "over_speed",
    "held_by_current", "feedback_lost", "voltage_rise", "hot_surface", "turning_rotor", "strong_magnets",
)  # fmt: skip


def decision(subject: Subject) -> tuple[Block, ...]:
    """Return what the answer rests on, as it stands below it on the first page."""
    found, chosen = subject.found, subject.chosen
    asked = (Paragraph("What is asked", "strong"), Facts(_asked(subject), columns=1, compact=True))
    if found is None or chosen is None:
        return asked
    taken = (Paragraph("What is chosen", "strong"), Facts(_taken(chosen, found), columns=1, compact=True))
    blocks: list[Block] = [Beside((asked, taken))]
    checked = [margin for margin in found.margins if margin.required and margin.margin is not None]
    without = [m for m in found.margins if m.margin is None and m.status in ("missed", "excluded")]
    if checked or without:
        shown = [*without, *checked][: max(_MOST_MARGINS, len(without))]
        count = len([m for m in found.margins if m.status != "not checked"])
        caption = f"Smallest margins of {counted(count, 'criterion', 'criteria')} checked"
        blocks.append(margin_table(shown, caption, compact=True))
    blocks += [Paragraph(words) for words in (_governs(subject, found), *_beside(subject)) if words]
    blocks += _warned(found)
    if noticed := _noticed(subject):
        blocks.append(Paragraph(noticed, "caution", compact=True))
    blocks.append(Paragraph(_assumed(subject, found), "soft", compact=True))
    return tuple(blocks)


def _asked(subject: Subject) -> tuple[tuple[Words, Words], ...]:
    application, duty = subject.application, subject.result.duty
    site, supply = application.site, application.supply
    shaft: list[tuple[Words, Words]] = []
    if len(duty.edges) > 1:
        shaft = [
            ("Cycle", quantity(float(duty.edges[-1]), Kind.TIME)),
            ("Speed at the shaft, up to", quantity(float(abs(duty.speed).max()), Kind.SPEED)),
            (
                "Shaft torque",
                span(float(duty.shaft_torque.min()), float(duty.shaft_torque.max()), Kind.TORQUE),
            ),
        ]
    elif application.duty_from == "segments":
        shaft = [("Duty cycle", NOT_GIVEN)]
    volts = supply.lowest_voltage, supply.highest_voltage
    fed: Words = quantity(supply.nominal_voltage, Kind.VOLTAGE, NOT_GIVEN)
    if supply.nominal_voltage is not None and volts[0] is not None and volts[1] is not None:
        fed = joined(fed, ", ", span(volts[0], volts[1], Kind.VOLTAGE))
    room = application.requirements.envelope
    box = listed(
        [
            sentence(f"{name} {{size}}", size=(size, kind))
            for name, size, kind in (
                ("diameter", room.largest_diameter, Kind.LENGTH),
                ("length", room.largest_length, Kind.LENGTH),
                ("mass", room.largest_mass, Kind.MASS),
            )
            if size is not None
        ]
    )
    return (
        *shaft,
        ("Highest ambient", quantity(site.ambient, Kind.TEMPERATURE, NOT_GIVEN)),
        ("Mounting", mounting_words(site.mounting)),
        ("Supply", fed),
        *given((("Room, at most", box),)),
    )


def _taken(chosen: Candidate, found: CandidateResult) -> tuple[tuple[Words, Words], ...]:
    variant = chosen.chosen_variant
    size: Words = ""
    if variant is not None:
        size = listed(
            (
                quantity(variant.diameter, Kind.LENGTH, ""),
                quantity(variant.length, Kind.LENGTH, ""),
                quantity(variant.mass, Kind.MASS, ""),
            )
        )
    winding = next((peak for peak in found.peaks if peak.role == "winding"), None)
    peak: Words = "" if winding is None else quantity(winding.temp, Kind.TEMPERATURE)
    if winding is not None and found.band is not None and found.band.winding is not None:
        low, _, high = found.band.winding
        peak = joined(peak, " (", span(low, high, Kind.TEMPERATURE), " by the uncertainty)")
    power = None if found.supply is None else quantity(found.supply.mean_power, Kind.POWER)
    return given(
        (
            ("Frame", "not chosen" if chosen.motor is None else chosen.motor.name),
            ("Winding", winding_words(chosen)),
            ("Variant", chosen.variant or "not chosen"),
            ("Diameter, length, mass", size),
            ("Electronics", f"{chosen.drive.name}, {chosen.commutation}"),
            ("Transmission", transmission_words(chosen.transmission)),
            ("Feedback", feedback_words(chosen.feedback)),
            ("Brake", brake_words(chosen)),
            ("Winding, hottest", peak),
            ("Mean power of the supply", power),
        )
    )


def _governs(subject: Subject, found: CandidateResult) -> Words:
    """Return what decides how much the motor may do, and how much more that is."""
    governing = found.governing
    if governing is None:
        return ""
    words: Words = ""
    if as_text(governing.where, subject.units):
        words = joined(f"{governing.label} governs; it is closest at: ", governing.where, ".")
    if found.torque_reserve is not None:
        reserve = sentence(
            " The torque of the whole cycle could be {reserve} times as much before a temperature reaches "
            "its limit.",
            reserve=(found.torque_reserve, Kind.NUMBER),
        )
        words = joined(words, reserve)
    return words


def _beside(subject: Subject) -> list[Words]:
    """Return how the other candidates stand, each in one sentence."""
    words: list[Words] = []
    for one in subject.others:
        name, stands = name_of(one, one.index), standing(one)
        against = [m for m in one.margins if m.required and m.status == stands]
        if stands == "nothing":
            words.append(f"{name}: not complete.")
        elif against and stands in ("missed", "excluded"):
            more = f", and {len(against) - 1} more" if len(against) > 1 else ""
            words.append(joined(f"Not taken: {name}: ", margin_words(against[0]), f"{more}."))
        elif one.governing is not None:
            words.append(joined(f"Not taken: {name}; governing is ", margin_words(one.governing), "."))
    return words


def _warned(found: CandidateResult) -> list[Block]:
    if not found.cautions:
        return []
    ranked = sorted(found.cautions, key=lambda one: _rank(one.code))
    shown = ranked[:_MOST_CAUTIONS]
    framed: list[Block] = [
        Beside(tuple((Warned(caution.title, caution.text),) for caution in shown)),
    ]
    if len(ranked) > len(shown):
        rest = ", ".join(caution.title.lower() for caution in ranked[_MOST_CAUTIONS:])
        framed.append(
            Paragraph(f"Further cautions, in full in the section of that name: {rest}.", "caution", True)
        )
    return framed


def _noticed(subject: Subject) -> str:
    """Return how much the findings weigh, where they are more than notes."""
    ranks = [notice.rank for notice in notices(subject.result.candidates, subject.units)]
    counts = [
        f"{ranks.count(rank)} {one if ranks.count(rank) == 1 else many}"
        for rank, one, many in (("serious", "is serious", "are serious"), ("warning", "warns", "warn"))
        if rank in ranks
    ]
    return f"Findings on all candidates, in the section of that name: {', '.join(counts)}." if counts else ""


def _rank(code: str) -> int:
    return _GRAVE.index(code) if code in _GRAVE else len(_GRAVE)


def _assumed(subject: Subject, found: CandidateResult) -> Words:
    every = inputs(subject)
    defaults = sum(one.set_by == "default" for one in every)
    by_method = sum(one.set_by == "method" for one in every)
    open_ones = [margin.label.lower() for margin in found.margins if margin.status == "not checked"]
    unchecked = f" Not checked: {', '.join(open_ones)}." if open_ones else ""
    return (
        f"Assumed: {defaults} inputs at the default of the program, {by_method} set by the method; the "
        f"section on inputs lists them.{unchecked} The figures of the parts are taken as their makers state "
        "them. This is an engineering estimate, to be confirmed by test."
    )
