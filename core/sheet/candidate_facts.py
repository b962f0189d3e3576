"""The candidates with their data, and every figure of a data sheet with the convention it was read in."""

from __future__ import annotations

from collections.abc import Callable

from core.project.candidate import Candidate
from core.project.feedback import Encoder, Feedback, HallSensors
from core.project.motor import Motor, Winding
from core.project.motor_heat import ContinuousPoint, DataSheetHeat, GeometryHeat, NetworkHeat
from core.project.transmission import Transmission
from core.results import CandidateResult, CanonicalConstants
from core.sentences import joined, sentence
from core.sheet.blocks import Block, Cell, Column, Paragraph, Section, Table, Words
from core.sheet.cells import DASH, NOT_GIVEN, figures, listed, quantity
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
                cells = (Cell(text or DASH, candidate=k) for k, text in enumerate(words))
                rows.append((Cell(label, "soft"), *cells))
    blocks: list[Block] = [Table(columns, tuple(rows), "What each candidate is made of", tuple(groups))]
    for candidate, found in zip(candidates, subject.result.candidates, strict=True):
        blocks += _constants(subject, candidate, found)
    return Section(title, tuple(blocks))


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


def _constants(subject: Subject, candidate: Candidate, found: CandidateResult) -> list[Block]:
    """Return the constants of one motor as stated, and as the calculation uses them."""
    motor, winding = candidate.motor, candidate.chosen_winding
    if motor is None or winding is None:
        return [
            Paragraph(
                f"{subject.name(found.index)}: no winding is chosen, so there are no constants.", "soft"
            )
        ]
    columns = (
        Column("", weight=0.7),
        figures("Data sheet"),
        Column("which means"),
        figures("Calculated with"),
        Column("which means"),
    )
    rows = (*_machine_rows(motor, winding, candidate, found.constants), *_heat_rows(candidate))
    caption = joined(f"{subject.name(found.index)}: ", motor.name, ", winding ", winding.name)
    return [Table(columns, rows, caption)]


def _row(label: str, stated: Words, convention: Words, used: Words, meaning: Words) -> tuple[Cell, ...]:
    return Cell(label), Cell(stated), Cell(convention, "soft"), Cell(used), Cell(meaning, "soft")


def _machine_rows(
    motor: Motor, winding: Winding, candidate: Candidate, used: CanonicalConstants | None
) -> list[tuple[Cell, ...]]:
    per = {"six-step": "per link ampere", "sinusoidal": "per peak phase ampere"}[candidate.commutation]
    ampere = f"{per}, {candidate.commutation}"
    magnets = sentence("magnets at {temp}", temp=(motor.magnet_ref_temp, Kind.TEMPERATURE))
    cold = sentence("winding at {temp}", temp=(winding.resistance.temp, Kind.TEMPERATURE))
    speed = winding.speed_constant
    stated = (
        ("Back-EMF constant", winding.back_emf_constant, Kind.BACK_EMF_CONSTANT, "",
         None if used is None else used.back_emf_constant, listed(("line-to-line peak", magnets))),
        ("Torque constant", winding.torque_constant, Kind.TORQUE_CONSTANT, "",
         None if used is None else used.torque_constant, listed((ampere, magnets))),
        ("Resistance", winding.resistance, Kind.RESISTANCE, cold,
         None if used is None else used.resistance, listed(("line-to-line", cold))),
        ("Inductance", winding.inductance, Kind.INDUCTANCE, "",
         None if used is None else used.inductance, "line-to-line"),
    )  # fmt: skip
    rows = []
    for label, figure, kind, at, value, meaning in stated:
        read = DASH if figure is None else quantity(figure.value, kind)
        convention = "not stated" if figure is None else listed((figure.convention, at))
        rows.append(_row(label, read, convention, quantity(value, kind), meaning))
    if speed is not None:
        rows.append(_row("Speed constant", quantity(speed.value, Kind.SPEED_CONSTANT), speed.convention, DASH,
                         "taken into the back-EMF constant"))  # fmt: skip
    if used is not None:
        constant = quantity(used.motor_constant, Kind.MOTOR_CONSTANT)
        rows.append(_row("Motor constant", DASH, "", constant, "torque over root of copper loss, six-step"))
    return rows


def _heat_rows(candidate: Candidate) -> list[tuple[Cell, ...]]:
    """Return the thermal figures of the data sheet; what the network gives for them is in the uncertainty."""
    variant = candidate.chosen_variant
    heat = None if variant is None else variant.heat
    if not isinstance(heat, DataSheetHeat | GeometryHeat):
        return []
    at_rest = listed(("at standstill", heat.stated_mounting))
    named = (
        ("Winding to housing", heat.winding_housing_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Housing to ambient", heat.housing_ambient_resistance, Kind.THERMAL_RESISTANCE, at_rest),
        ("Time constant of the winding", heat.winding_time_constant, Kind.TIME,
         "winding to housing times heat capacity of the winding"),
        ("Time constant of the motor", heat.motor_time_constant, Kind.TIME,
         "housing to ambient times the whole heat capacity"),
    )  # fmt: skip
    use = "as stated" if isinstance(heat, DataSheetHeat) else "the network is brought to it"
    rows = [
        _row(label, quantity(value, kind), meaning, DASH, use)
        for label, value, kind, meaning in named
        if value is not None
    ]
    points = heat.continuous_points if isinstance(heat, GeometryHeat) else (heat.continuous_point,)
    rows += [
        _row("Continuous torque", *_point_words(point), DASH, use) for point in points if point is not None
    ]
    return rows


def _point_words(point: ContinuousPoint) -> tuple[Words, Words]:
    conditions = sentence(
        f"at the shaft at {{speed}}, ambient {{ambient}}, mean winding {{winding}}, {point.commutation}",
        speed=(point.speed, Kind.SPEED),
        ambient=(point.ambient, Kind.TEMPERATURE),
        winding=(point.winding_temp, Kind.TEMPERATURE),
    )
    return quantity(point.shaft_torque, Kind.TORQUE), conditions
