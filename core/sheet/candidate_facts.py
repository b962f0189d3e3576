"""The candidates with their data."""

from __future__ import annotations

from collections.abc import Callable

from core.project.candidate import Candidate
from core.project.feedback import Encoder, Feedback, HallSensors
from core.project.motor import Motor
from core.project.motor_heat import DataSheetHeat, GeometryHeat, NetworkHeat
from core.project.transmission import Transmission
from core.sentences import sentence
from core.sheet.blocks import Cell, Column, Paragraph, Section, Table, Words
from core.sheet.cells import DASH, NOT_GIVEN, listed, quantity
from core.sheet.requirement import cable_words
from core.sheet.subject import Subject
from core.units import Kind

_Fact = tuple[str, Callable[[Candidate], Words]]


def candidate_facts(subject: Subject) -> Section:
    """Return what each candidate is made of, and the constants of its motor."""
    title = "The candidates"
    candidates = subject.project.candidates
    if not candidates:
        return Section(title, (Paragraph("There is no candidate yet.", "soft"),))
    heads = (subject.name(index) for index in range(len(candidates)))
    columns = (Column("", weight=0.8), *(Column(head) for head in heads))
    rows: list[tuple[Cell, ...]] = []
    groups: list[tuple[int, Words]] = []
    for group, facts in _GROUPS:
        groups.append((len(rows), group))
        for label, fact in facts:
            words = [fact(candidate) for candidate in candidates]
            if any(words):
                cells = (Cell(text or DASH) for text in words)
                rows.append((Cell(label, "soft"), *cells))
    caption = "What each candidate is made of"
    return Section(title, (Table(columns, tuple(rows), caption, tuple(groups), compact=True),))


def _of_motor(fact: Callable[[Motor], Words]) -> Callable[[Candidate], Words]:
    return lambda candidate: "" if candidate.motor is None else fact(candidate.motor)


def _temp(value: float | None) -> Words:
    return quantity(value, Kind.TEMPERATURE, "")


def winding_words(candidate: Candidate) -> Words:
    """Return winding and how its phases are joined."""
    winding = candidate.chosen_winding
    if winding is None:
        return "not chosen"
    turns = "" if winding.turns_per_coil is None else f"{winding.turns_per_coil} turns a coil"
    return listed((winding.name, winding.connection, turns))


def transmission_words(transmission: Transmission | None) -> Words:
    """Return a transmission in words, with what it loses."""
    if transmission is None:
        return "none, direct drive"
    back = transmission.back_driving_efficiency
    words = sentence(
        f"{transmission.ratio:g}:1, efficiency {{driving}}" + (", driven back {back}" if back else ""),
        driving=(transmission.efficiency, Kind.RATIO),
        back=(back or 0.0, Kind.RATIO),
    )
    return listed((transmission.name, words))


def feedback_words(feedback: Feedback | None) -> Words:
    """Return a feedback device in words."""
    if feedback is None:
        return "not chosen"
    if isinstance(feedback, HallSensors):
        return feedback.name
    if isinstance(feedback, Encoder):
        place = "at the load" if feedback.at_load else "at the motor"
        counts = "" if str(feedback.counts) in feedback.name else f"{feedback.counts} counts a turn"
        return listed((feedback.name, counts, place))
    return feedback.name


def brake_words(candidate: Candidate) -> Words:
    """Return the holding brake in words."""
    if candidate.brake is None:
        return "none"
    torque = sentence("holds {torque}", torque=(candidate.brake.holding_torque, Kind.TORQUE))
    return listed((candidate.brake.name, torque))


def leads_words(candidate: Candidate) -> Words:
    """Return the conductors between electronics and motor."""
    if candidate.cable is not None:
        return cable_words(candidate.cable)
    return sentence("{each} a conductor", each=(candidate.lead_resistance, Kind.RESISTANCE))


def heat_words(candidate: Candidate) -> Words:
    """Return how the heat of a variant is given."""
    variant = candidate.chosen_variant
    heat = None if variant is None else variant.heat
    if isinstance(heat, DataSheetHeat):
        return listed(("figures of a data sheet", heat.stated_mounting))
    if isinstance(heat, GeometryHeat):
        return listed(("dimensions, brought to the figures of the data sheet", heat.stated_mounting))
    if isinstance(heat, NetworkHeat):
        return listed(("heat network node by node", heat.stated_mounting))
    return NOT_GIVEN


def _of_variant(name: str, kind: Kind) -> Callable[[Candidate], Words]:
    def fact(candidate: Candidate) -> Words:
        variant = candidate.chosen_variant
        return "" if variant is None else quantity(getattr(variant, name), kind, "")

    return fact


def _slots(motor: Motor) -> str:
    slots = "" if motor.slots is None else f", {motor.slots} slots"
    return f"{motor.pole_pairs} pole pairs{slots}, {motor.emf_shape} back-EMF"


_GROUPS: tuple[tuple[str, tuple[_Fact, ...]], ...] = (
    (
        "Motor",
        (
            ("Frame", lambda one: "not chosen" if one.motor is None else one.motor.name),
            ("Winding", winding_words),
            ("Variant", lambda one: one.variant or "not chosen"),
            ("Poles", _of_motor(_slots)),
            ("Thermal class", _of_motor(lambda motor: motor.thermal_class or "")),
            ("Limit of the winding, where stated", _of_motor(lambda motor: _temp(motor.winding_limit))),
            ("Limit of the magnets", _of_motor(lambda motor: _temp(motor.magnet_limit))),
            ("Cogging torque, amplitude", _of_motor(
                lambda motor: quantity(motor.cogging_torque, Kind.TORQUE, ""))),
            ("Rotor inertia", _of_variant("rotor_inertia", Kind.INERTIA)),
            ("Mass", _of_variant("mass", Kind.MASS)),
            ("Diameter", _of_variant("diameter", Kind.LENGTH)),
            ("Length", _of_variant("length", Kind.LENGTH)),
            ("Largest speed", _of_variant("largest_speed", Kind.SPEED)),
            ("Heat given as", heat_words),
        ),
    ),
    (
        "What belongs to it",
        (
            ("Transmission", lambda one: transmission_words(one.transmission)),
            ("Feedback", lambda one: feedback_words(one.feedback)),
            ("Brake", brake_words),
            ("Electronics", lambda one: one.drive.name),
            ("Commutation", lambda one: one.commutation),
            ("Between electronics and motor", leads_words),
            ("Choke", lambda one: quantity(one.choke or None, Kind.INDUCTANCE, "")),
            ("Note", lambda one: one.note),
        ),
    ),
    (
        "Where the figures come from",
        (
            ("Motor", _of_motor(lambda motor: motor.origin or "entered, no source stated")),
            ("Electronics", lambda one: one.drive.origin or "entered, no source stated"),
        ),
    ),
)  # fmt: skip
