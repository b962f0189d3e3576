"""Checks that are still to be done: at the bench and at the first run, with the numbers to expect."""

from __future__ import annotations

from core.evaluation.bench_values import COLD, BenchValues, NoLoadRun, WarmingUp, bench_values, warming_up
from core.project.candidate import Candidate
from core.project.feedback import Encoder, HallSensors
from core.results import CandidateResult
from core.sentences import sentence
from core.sheet.blocks import Block, Bullets, Folded, Paragraph, Section, Words
from core.sheet.subject import Subject, about_chosen, lacking
from core.units import Kind

_SAFE = (
    "Fix the motor, limit current and time, cover what turns, wear eye protection, and keep a way to cut the "
    "power within reach."
)
_SPREAD = (
    "Numbers are those of the data; a sample differs by its tolerances, of resistance and back-EMF often by "
    "5 to 10 % (common practice, no source)."
)


def first_checks(subject: Subject) -> Section:
    """Return what is to be measured before use and at the first run."""
    title = "Checks still to be done"
    chosen, found = subject.chosen, subject.found
    values = None if chosen is None else bench_values(subject.application, chosen)
    if chosen is None or found is None or values is None:
        return Section(title, (lacking(subject, "The values to expect"),))
    blocks: list[Block] = [
        *about_chosen(subject),
        Paragraph(_SAFE, "caution"),
        Paragraph(_SPREAD, "soft"),
        Folded(
            (
                *_ticked("At the bench, before use", _bench(chosen, values)),
                *_ticked("At the first run", _first_run(subject, chosen, found)),
            )
        ),
    ]
    return Section(title, tuple(blocks))


def _ticked(title: str, checks: list[Words]) -> tuple[Block, ...]:
    return Paragraph(title, "strong"), Bullets(tuple(checks), to_tick=True)


def _bench(chosen: Candidate, values: BenchValues) -> list[Words]:
    resistance = sentence(
        "Resistance between any two leads, cold: {low} at {t_low}, {high} at {t_high}; all three pairs "
        "alike. Let the motor lie in the room for hours before, and measure with four wires.",
        low=(values.resistance[0], Kind.RESISTANCE),
        t_low=(COLD[0], Kind.TEMPERATURE),
        high=(values.resistance[1], Kind.RESISTANCE),
        t_high=(COLD[1], Kind.TEMPERATURE),
    )
    checks: list[Words] = [
        "Leads against the housing: no connection; the test voltage is that of the standard that applies.",
        resistance,
        _emf(values),
        "Turned by hand: the shaft turns evenly between the steps of the cogging, without scraping.",
    ]
    if values.no_load is not None:
        checks.append(_no_load(chosen, values.no_load))
    pole_pairs = 0 if chosen.motor is None else chosen.motor.pole_pairs
    if isinstance(chosen.feedback, HallSensors):
        checks.append(
            f"Hall signals: {2 * chosen.feedback.sensors * pole_pairs} edges in one turn by hand, "
            "six states in a fixed order, never all high or all low."
        )
    if isinstance(chosen.feedback, Encoder) and not chosen.feedback.at_load:
        index = " and one index" if chosen.feedback.index else ""
        checks.append(f"Encoder: {chosen.feedback.counts} counts{index} in one turn by hand, rising forward.")
    if chosen.brake is not None:
        checks.append(_brake(chosen.brake.holding_torque))
    return checks


def _brake(torque: float) -> Words:
    return sentence(
        "Brake without voltage: holds {torque} at the shaft; with voltage: audibly free, and the shaft "
        "turns.",
        torque=(torque, Kind.TORQUE),
    )


def _emf(values: BenchValues) -> Words:
    rms = "" if values.back_emf_rms is None else ", {rms} by a true-rms meter"
    return sentence(
        f"Back-EMF between two leads, driven at {{speed}} with open leads at {{temp}}: {{peak}} peak{rms}, "
        "at {frequency}; all three pairs alike.",
        speed=(values.speed, Kind.SPEED),
        temp=(COLD[1], Kind.TEMPERATURE),
        peak=(values.back_emf, Kind.VOLTAGE),
        rms=(values.back_emf_rms or 0.0, Kind.VOLTAGE),
        frequency=(values.phase_frequency, Kind.FREQUENCY),
    )


def _no_load(chosen: Candidate, run: NoLoadRun) -> Words:
    limit = None if chosen.chosen_variant is None else chosen.chosen_variant.largest_speed
    if limit is not None and run.speed > limit:
        return sentence(
            "Without load at the nominal {voltage} the motor would reach {speed}, above its largest speed of "
            "{limit}: limit the speed, and compare the current on the way up.",
            voltage=(run.voltage, Kind.VOLTAGE),
            speed=(run.speed, Kind.SPEED),
            limit=(limit, Kind.SPEED),
        )
    return sentence(
        f"Without load on the electronics, nominal {{voltage}}, full voltage, {chosen.commutation}: "
        f"{{speed}} at "
        "{frequency} electrical, current amplitude {current} (drag {drag}).",
        voltage=(run.voltage, Kind.VOLTAGE),
        speed=(run.speed, Kind.SPEED),
        frequency=(run.frequency, Kind.FREQUENCY),
        current=(run.current, Kind.CURRENT),
        drag=(run.drag_torque, Kind.TORQUE),
    )


def _first_run(subject: Subject, chosen: Candidate, found: CandidateResult) -> list[Words]:
    checks: list[Words] = [
        "With low current and speed limit: a positive command turns the shaft in the positive direction of "
        "the duty cycle, and speed and position count up.",
        "The order of feedback and phases is right: smooth start from every position of the rotor, the same "
        "current in both directions. A wrong order runs rough, warm, or backwards.",
        "The limits of current, speed and voltage act: reach each of them once, gently.",
        "Power cut in motion, and feedback unplugged at low speed: the drive stops as the table of faults "
        "says.",
    ]
    if found.supply is not None and found.supply.energy_back > 0.0:
        checks.append(
            "The fastest stop with a cold motor, supply at its highest: record the voltage of the bus."
        )
    if chosen.transmission is not None:
        checks.append("The direction of the load behind the transmission, and the current at constant speed.")
    warm = warming_up(subject.application, chosen, found)
    if warm is not None:
        checks += _warm(warm, found)
    if found.supply is not None:
        checks.append(
            sentence(
                "Mean power of the supply over the settled cycle: {power}.",
                power=(found.supply.mean_power, Kind.POWER),
            )
        )
    return checks


def _warm(warm: WarmingUp, found: CandidateResult) -> list[Words]:
    ambient = "at the highest ambient"
    outside = next(peak.node for peak in found.peaks if peak.role == "outside")
    first = sentence(
        f"In the cycle from cold, {ambient}: the {outside} is at {{then}} after {{time}} (63 % of its rise), "
        "and settles at {end}; in a cooler room by as much cooler as the room is.",
        then=(warm.outside_then, Kind.TEMPERATURE),
        time=(warm.time, Kind.TIME),
        end=(warm.outside_end, Kind.TEMPERATURE),
    )
    second = sentence(
        "Settled, measured at once after a stop: {resistance} between two leads; the mean winding is at "
        "{temp}.",
        resistance=(warm.resistance, Kind.RESISTANCE),
        temp=(warm.winding, Kind.TEMPERATURE),
    )
    return [first, second]
