"""What is set in the electronics before the motor turns for the first time."""

from __future__ import annotations

import math

from core.charts.display_axis import time_words
from core.project.candidate import Candidate
from core.project.feedback import Encoder, HallSensors, Sensorless
from core.project.motor import Motor
from core.project.motor_heat import DataSheetHeat, GeometryHeat
from core.results import CandidateResult
from core.sentences import joined, sentence
from core.sheet.blocks import Block, Bullets, Facts, Folded, Paragraph, Section, Words
from core.sheet.cells import NOT_GIVEN, given, listed, quantity
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import DisplayUnits, Kind

_HALL_ORDER = (
    "for three sensors 120° electrical apart, in the positive direction 101, 100, 110, 010, 011, 001; 000 "
    "and 111 never occur. Which sensor belongs to which phase is found at the first run, see the checks "
    "(common practice, no source)"
)


def electronics_settings(subject: Subject) -> Section:
    """Return the settings that follow from motor, limits, feedback, supply and brake."""
    title = "Settings for the electronics"
    chosen, found = subject.chosen, subject.found
    if chosen is None or found is None or chosen.motor is None:
        return Section(title, (lacking(subject, "The settings"),))
    words = (
        "Currents are amplitudes: of the link in six-step commutation, of the phase in sinusoidal "
        "commutation. An rms setting is the amplitude of a sinusoidal current over the square root of two."
    )
    left: tuple[Block, ...] = (*_part("Motor", _motor(subject, chosen, chosen.motor, found)),
            *_part("Currents", _currents(chosen, found)))  # fmt: skip
    right: tuple[Block, ...] = (
        *_part("Feedback", _feedback(chosen, chosen.motor)),
        *_part("Voltages", _voltages(subject, chosen, found)),
        *_part("Holding brake", _brake(chosen, subject.units)),
    )
    blocks: tuple[Block, ...] = (
        *about_chosen(subject), Paragraph(words, "soft"), Folded((*left, *right)),
        Bullets(_told(chosen, found)),
    )  # fmt: skip
    return Section(title, blocks)


def _part(title: str, pairs: tuple[tuple[Words, Words], ...]) -> tuple[Block, ...]:
    return Paragraph(title, "strong"), Facts(pairs, columns=1)


def _told(chosen: Candidate, found: CandidateResult) -> tuple[Words, ...]:
    """Return what takes a sentence."""
    device = chosen.feedback
    by_halls = isinstance(device, HallSensors) and device.sensors == 3
    if isinstance(device, Encoder):
        by_halls = device.start == "Hall sensors"
    jam = None if found.faults is None else found.faults.row("jam")
    words: list[Words] = [
        "The limit of the current lies above what the cycle asks for and no higher than the lowest limit of "
        "electronics and winding; set it low for the first run."
    ]
    if jam is not None:
        words.append(joined("Time at the limit of the current, with the rotor blocked: ", jam.effect))
    if by_halls:
        words.append(f"Order of the Hall signals: {_HALL_ORDER}.")
    return tuple(words)


def _motor(
    subject: Subject, chosen: Candidate, motor: Motor, found: CandidateResult
) -> tuple[tuple[Words, Words], ...]:
    constants, variant = found.constants, chosen.chosen_variant
    phase = None if constants is None else constants.resistance / 2.0
    torque = None if constants is None else constants.torque_constant
    inductance = None if constants is None else constants.inductance / 2.0
    fastest = float(abs(subject.result.duty.speed).max(initial=0.0))
    heat = None if variant is None else variant.heat
    warms = heat.winding_time_constant if isinstance(heat, DataSheetHeat | GeometryHeat) else None
    return (
        ("Commutation", chosen.commutation),
        ("Pole pairs", str(motor.pole_pairs)),
        ("Resistance of a phase in star", quantity(phase, Kind.RESISTANCE, "not known")),
        ("Inductance of a phase in star", quantity(inductance, Kind.INDUCTANCE, "not known")),
        ("Torque constant of this commutation", quantity(torque, Kind.TORQUE_CONSTANT, "not known")),
        *given((("Time constant of the winding, for an I²t limit", quantity(warms, Kind.TIME, "")),)),
        ("Largest speed that the cycle asks for", quantity(fastest or None, Kind.SPEED)),
        ("Limit of the speed, mechanical",
         quantity(None if variant is None else variant.largest_speed, Kind.SPEED, NOT_GIVEN)),
    )  # fmt: skip


def _currents(chosen: Candidate, found: CandidateResult) -> tuple[tuple[Words, Words], ...]:
    """Return the limits of electronics and winding, and what the cycle asks for."""
    drive, winding = chosen.drive, chosen.chosen_winding
    held = (
        "" if drive.peak_time is None else sentence("for {time} at most", time=(drive.peak_time, Kind.TIME))
    )
    asked = None if found.load_points is None else float(abs(found.load_points.current).max(initial=0.0))
    peak = quantity(drive.peak_current, Kind.CURRENT, NOT_GIVEN)
    peak_margin = found.margin("peak_torque")
    reached = None if peak_margin is None else peak_margin.limit
    limits = [value for value in (drive.peak_current, None if winding is None else winding.peak_current)
              if value is not None]  # fmt: skip
    pairs = given(
        (
            ("Largest current that the cycle asks for", quantity(asked, Kind.CURRENT, "")),
            ("Peak current of the winding, six-step, as its data sheet states",
             quantity(None if winding is None else winding.peak_current, Kind.CURRENT, "")),
            ("Torque at the lowest of the peak limits, hot magnets", quantity(reached, Kind.TORQUE, "")),
            ("Limit of the current, at most", quantity(min(limits, default=None), Kind.CURRENT, "")),
        )
    )  # fmt: skip
    return (
        (
            "Continuous current of the electronics",
            quantity(drive.continuous_current, Kind.CURRENT, NOT_GIVEN),
        ),
        ("Peak current of the electronics", listed((peak, held))),
        *pairs,
        ("Switching frequency", quantity(drive.pwm_frequency, Kind.FREQUENCY, NOT_GIVEN)),
    )


def _feedback(chosen: Candidate, motor: Motor) -> tuple[tuple[Words, Words], ...]:
    device = chosen.feedback
    if isinstance(device, HallSensors):
        states = 2 * device.sensors * motor.pole_pairs
        return (
            ("Feedback", device.name),
            ("Edges a turn", str(states)),
            ("Order of the Hall signals",
             "see below" if device.sensors == 3 else "as the maker of the sensors states"),
        )  # fmt: skip
    if isinstance(device, Encoder):
        ratio = f"{device.counts / motor.pole_pairs:.6g}"
        return (
            ("Feedback", device.name),
            ("Counts a turn, all edges", str(device.counts)),
            ("Lines a turn", f"{device.counts / device.edges_per_line:g}"),
            ("Counts in an electrical turn", ratio if not device.at_load else "the encoder sits at the load"),
            ("Angle at switch-on", device.start),
            ("Index", "yes" if device.index else "no"),
            *given((("Order of the Hall signals", "see below" if device.start == "Hall sensors" else ""),)),
        )
    if isinstance(device, Sensorless):
        share = sentence("{share} of the supply voltage", share=(device.least_emf_share, Kind.RATIO))
        return (("Feedback", "none, by the back-EMF"), ("Back-EMF at the lowest speed", share))
    return (("Feedback", "not chosen"),)


def _voltages(subject: Subject, chosen: Candidate, found: CandidateResult) -> tuple[tuple[Words, Words], ...]:
    drive, supply = chosen.drive, subject.application.supply
    clamp = quantity(supply.clamp_voltage, Kind.VOLTAGE, "none")
    detail = found.supply_detail
    rises = None
    if detail is not None and len(detail.braking.start):
        rises = detail.bus.held_voltage or detail.bus.voltage
    reached: Words = quantity(rises, Kind.VOLTAGE, "")
    if rises is not None and math.isinf(rises):
        reached = "rises from cycle to cycle"
    return (
        ("Lowest voltage of the electronics", quantity(drive.lowest_supply, Kind.VOLTAGE, NOT_GIVEN)),
        ("Highest voltage of the electronics", quantity(drive.highest_supply, Kind.VOLTAGE, NOT_GIVEN)),
        ("Trips at", quantity(drive.trip_voltage, Kind.VOLTAGE, NOT_GIVEN)),
        ("Clamp switches at", clamp),
        *given((("Bus on braking, where the supply takes nothing back", reached),)),
    )


def _brake(chosen: Candidate, units: DisplayUnits) -> tuple[tuple[Words, Words], ...]:
    brake = chosen.brake
    if brake is None:
        return (("Brake", "none"),)
    return (
        ("Its coil on: wait before motion", time_words(brake.release_delay, units)),
        ("Its coil off: keep the torque for", time_words(brake.engage_delay, units)),
        ("Full voltage on the coil for", time_words(brake.pull_in_time, units)),
        ("then this share of it", quantity(brake.hold_voltage_share, Kind.RATIO)),
    )
