"""What the supplier of the motor needs to know, as a list to hand over."""

from __future__ import annotations

from core.catalogue.designation import designation_of
from core.project.candidate import Candidate
from core.project.motor import Motor, ShaftEnd
from core.project.paperwork import HandOver
from core.sentences import sentence
from core.sheet.blocks import Block, Cell, Column, Facts, Paragraph, Section, Table, Words
from core.sheet.candidate_facts import brake_words, feedback_words, transmission_words, winding_words
from core.sheet.cells import NOT_GIVEN, given, listed
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import Kind

_OPEN = "to be agreed"


def hand_over(subject: Subject) -> Section:
    """Return the list for the supplier, with what is still open marked as such."""
    title = "Hand-over list for the supplier"
    chosen = subject.chosen
    if chosen is None or chosen.motor is None:
        return Section(title, (lacking(subject, "The motor"),))
    told = chosen.hand_over or HandOver()
    pairs = _pairs(chosen, chosen.motor, told)
    blocks: list[Block] = [*about_chosen(subject), Facts(pairs), *_pins(told)]
    still_open = [str(name).lower() for name, words in pairs if words == _OPEN]
    if still_open:
        blocks.append(Paragraph(f"Still to be agreed: {', '.join(still_open)}.", "caution"))
    if told.wishes:
        blocks += [Paragraph("Special wishes", "strong"), Paragraph(told.wishes)]
    return Section(title, tuple(blocks))


def _pairs(chosen: Candidate, motor: Motor, told: HandOver) -> tuple[tuple[Words, Words], ...]:
    quantity = _OPEN if told.quantity is None else str(told.quantity)
    built_in = ", built into the motor" if chosen.drive.built_in else ""
    fitted = chosen.transmission if chosen.transmission is not None and chosen.transmission.on_motor else None
    return (
        ("Quantity", quantity),
        ("Designation", designation_of(chosen) or told.designation or in_words(chosen)),
        ("Frame", motor.name),
        ("Winding", winding_words(chosen)),
        ("Variant", chosen.variant or _OPEN),
        *given((("Protection", "" if chosen.chosen_variant is None else chosen.chosen_variant.protection),)),
        ("Shaft end, front", told.shaft_front or shaft_words(motor.shaft_front)),
        ("Shaft end, rear", told.shaft_rear or shaft_words(motor.shaft_rear)),
        ("Leads", told.leads or lead_words(motor)),
        ("Connector", told.connector or motor.connector or _OPEN),
        ("Its counterpart", told.counterpart or _OPEN),
        ("Feedback", feedback_words(chosen.feedback)),
        ("Brake", brake_words(chosen)),
        ("Gear on the motor", "none" if fitted is None else transmission_words(fitted)),
        ("Electronics", f"{chosen.drive.name}{built_in}"),
        ("Bearings", motor.bearings or NOT_GIVEN),
        ("Lubrication", told.lubrication or motor.lubrication or _OPEN),
    )


def in_words(candidate: Candidate) -> str:
    """Return what a motor is called where its maker has no designation: frame, winding, variant."""
    parts = (
        "" if candidate.motor is None else candidate.motor.name,
        f"winding {candidate.winding}" if candidate.winding else "",
        candidate.variant or "",
    )
    return ", ".join(part for part in parts if part) or "no motor"


def shaft_words(end: ShaftEnd | None) -> Words:
    """Return a shaft end in words."""
    if end is None:
        return "none"
    flat = "" if end.flat is None else ", flat {flat} deep"
    return sentence(
        f"diameter {{diameter}}, {{length}} long{flat}",
        diameter=(end.diameter, Kind.LENGTH),
        length=(end.length, Kind.LENGTH),
        flat=(end.flat or 0.0, Kind.LENGTH),
    )


def lead_words(motor: Motor) -> Words:
    """Return the leads of a frame in words."""
    leads = motor.leads
    if leads is None:
        return _OPEN
    words = sentence(
        f"{leads.count} leads of {leads.section:g} mm², {{length}} long", length=(leads.length, Kind.LENGTH)
    )
    return listed((words, leads.insulation))


def _pins(told: HandOver) -> list[Block]:
    if not told.pins:
        words = "No table of contacts was written down; agree on it before a connector is ordered."
        return [Paragraph(words, "caution")]
    columns = (Column("Contact", weight=0.4), Column("Carries"), Column("Colour of the lead"))
    rows = tuple((Cell(pin.contact), Cell(pin.signal), Cell(pin.colour or "–")) for pin in told.pins)
    return [Table(columns, rows, "Contacts of the connector")]
