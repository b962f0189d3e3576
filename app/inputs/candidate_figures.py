"""What a candidate comes to, beside its inputs: from its winding to what it asks of the supply."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from app.inputs.figures import Figure, FigureSource, Looked, given, of_margin, with_numbers
from core.deferred import Deferred
from core.feedback_results import FeedbackRow, FeedbackTable
from core.project import part_edits
from core.project.project import Project
from core.results import CandidateResult
from core.sentences import Sentence, joined
from core.supply_results import SupplyDetail
from core.units import Kind
from core.winding_results import WindingStudy

HOUR = 3600.0  # [s]


def _awaited(looked: Looked, *labels: str) -> tuple[Figure, ...]:
    """Return places for what is computed when the hand rests."""
    return tuple(Figure(label, awaited=True) for label in labels) if looked.awaited else ()


_MANY_POINTS = 50_000  # of a measured trace: beyond them the study of windings takes seconds
_LONG = "over a trace as long as this one the study takes seconds: the page of windings has it"


def _is_long(result: CandidateResult) -> bool:
    return result.duty is not None and result.duty.time.size > _MANY_POINTS


def winding_figures(looked: Looked) -> tuple[Figure, ...]:
    """Constants of the winding, and how it stands among the windings of the frame."""
    constants = looked.result.constants
    if constants is None:
        return ()
    found = (
        *given("Torque constant", Kind.TORQUE_CONSTANT, constants.torque_constant),
        *given("Back-EMF", Kind.BACK_EMF_CONSTANT, constants.back_emf_constant, "peak, line to line"),
        *given("Resistance", Kind.RESISTANCE, constants.resistance, "line to line, at its reference"),
        *given("Inductance", Kind.INDUCTANCE, constants.inductance, "line to line"),
        *given("Motor constant", Kind.MOTOR_CONSTANT, constants.motor_constant, "torque over √loss"),
        *of_margin(looked, "voltage_reserve", "Voltage used"),
    )
    study = looked.detail
    if _is_long(looked.result):
        return (*found, Figure("Fastest fitting", words="see its page", why=_LONG))
    if not isinstance(study, WindingStudy):
        return (*found, *_awaited(looked, "Turns at least", "Turns at most", "Fastest fitting"))
    few, most = study.fewest_turns, study.most_turns
    why = "turns over those of the chosen winding: fewer draw too much current, more ask for too much voltage"
    chosen = study.chosen
    return (
        *found,
        Figure("Turns at least", Kind.RATIO, few, status="met" if few <= 1.0 else "missed", why=why),
        Figure("Turns at most", Kind.RATIO, most, status="met" if most >= 1.0 else "missed", why=why),
        Figure(
            "Fastest fitting",
            words=study.fastest or "none",
            status="missed" if study.fastest is None else "met",
            why=chosen.reason if study.fastest is None else "the lowest back-EMF whose current is carried",
        ),
    )


def electronics_figures(looked: Looked) -> tuple[Figure, ...]:
    """What the cycle asks of the electronics, each of what they can do."""
    return (
        *of_margin(looked, "voltage_reserve", "Usable voltage"),
        *of_margin(looked, "continuous_current", "Cont. current"),
        *of_margin(looked, "peak_current", "Peak current"),
        *of_margin(looked, "peak_current_time", "Above cont."),
        *with_numbers(of_margin(looked, "standstill_current", "Held at rest")),
        *of_margin(looked, "electrical_frequency", "Electr. freq."),
        *of_margin(looked, "highest_supply", "Highest supply"),
        *_words_when_bad(looked, "commutation", "Commutation"),
        *_words_when_bad(looked, "electronics_ambient", "Around it"),
        *_ripple(looked),
    )


STATED_CURRENTS = ("Cont. current", "Peak current", "Held at rest")


def as_stated(figures: tuple[Figure, ...], looked: Looked, as_rms: bool) -> tuple[Figure, ...]:
    """Return figures with currents as amplitudes or rms values, in the way their limits are typed."""
    if not as_rms:
        return figures

    def rms(current: float | None) -> float | None:
        commutation = looked.candidate.commutation
        return None if current is None else part_edits.stated_current(current, commutation, as_rms=True)

    return tuple(
        replace(figure, value=rms(figure.value), limit=rms(figure.limit), note="rms")
        if figure.label in STATED_CURRENTS
        else figure
        for figure in figures
    )


def _words_when_bad(looked: Looked, criterion: str, label: str) -> tuple[Figure, ...]:
    return tuple(figure for figure in of_margin(looked, criterion, label) if figure.status != "met")


def _ripple(looked: Looked) -> tuple[Figure, ...]:
    ripple = looked.result.ripple
    if ripple is None:
        return ()
    margin = looked.result.margin("current_ripple")
    why = "peak to peak at the highest supply" if margin is None else margin.equation
    return (
        Figure(
            "Ripple", Kind.CURRENT, ripple.peak_to_peak, status=margin.status if margin else "met", why=why
        ),
        *given(
            "It warms by",
            Kind.TEMPERATURE_DIFFERENCE,
            ripple.winding_rise,
            "mean winding, by the copper loss of the ripple",
        ),
    )


_PERIODS = "electrical time constant over the period of the current control: how many of them it lasts"


def cable_figures(looked: Looked) -> tuple[Figure, ...]:
    """Resistance of the lead, ripple and what choke would cure it."""
    result, ripple = looked.result, looked.result.ripple
    if result.constants is None:
        return ()
    lead = given("One lead", Kind.RESISTANCE, result.lead_resistance, "one conductor, at its temperature")
    if ripple is None:
        return lead
    cure = given("Choke to cure", Kind.INDUCTANCE, ripple.choke, "in each lead: ripple on target")
    return (
        *lead,
        *given("Inductance", Kind.INDUCTANCE, ripple.inductance, "of the current's path, chokes included"),
        *given("Time constant", Kind.NUMBER, ripple.control_periods, _PERIODS),
        *_ripple(looked),
        *(cure if ripple.choke else ()),
    )


def feedback_figures(looked: Looked) -> tuple[Figure, ...]:
    """What the feedback tells, and whether that is enough."""
    if looked.candidate.feedback is None:
        return ()
    return (
        *_of_table(looked),
        *of_margin(looked, "feedback_frequency", "Signal"),
        *of_margin(looked, "encoder_speed", "Its speed"),
        *of_margin(looked, "hall_temperature", "Board's temp."),
        *of_margin(looked, "encoder_temperature", "Encoder's temp."),
        *_words_when_bad(looked, "feedback_kind", "Electronics"),
        *_words_when_bad(looked, "fitted", "Variant"),
    )


def _of_table(looked: Looked) -> tuple[Figure, ...]:
    if not isinstance(looked.detail, FeedbackTable):
        return _awaited(looked, "Adequate", "Steps a turn", "Error at load")
    row = next((row for row in looked.detail.rows if row.chosen), None)
    if row is None:
        return ()
    edges = None if row.kind == "sensorless" else float(row.edges)
    return (
        _adequate(row),
        *given("Steps a turn", Kind.NUMBER, edges, _STEPS),
        *given("Error at load", Kind.ANGLE, row.position_error, "largest error of the load's position"),
        *given("Edges, lowest", Kind.FREQUENCY, row.edge_rate, "edges a second at the wanted lowest speed"),
        *given("Least at start", Kind.RATIO, row.start_torque, "share of the torque at a start"),
    )


_STEPS = "states of Hall sensors or counts of an encoder, a turn of its shaft"


def _adequate(row: FeedbackRow) -> Figure:
    if row.verdict == "fail":
        no = [] if row.taken is not False else ["the electronics do not take it"]
        return Figure("Adequate", words="no", status="missed", why=_reasons(row, "fail", *no))
    if row.verdict == "unknown":
        return Figure("Adequate", words="not known", status="not checked", why=_reasons(row, "unknown"))
    asked = "all that is asked of the motion is met" if row.cells else "nothing is asked of the motion"
    return Figure("Adequate", words="yes" if row.cells else "not asked", why=asked)


def _reasons(row: FeedbackRow, verdict: str, *others: str) -> Sentence:
    """Return why a feedback is not adequate, requirement by requirement."""
    parts: list[str | Sentence] = list(others)
    for cell in row.cells:
        if cell.verdict == verdict:
            parts += ["; " if parts else "", f"{cell.requirement}: ", cell.reason]
    return joined(*parts)


def brake_figures(looked: Looked) -> tuple[Figure, ...]:
    """Needed torque of the torque there is, drop, energy of a stop, heat of the coil."""
    brake = looked.candidate.brake
    if brake is None:
        return ()
    coil = looked.result.coil_power if brake.on_motor else None
    return (
        *of_margin(looked, "brake_holding_torque", "Must hold"),
        *of_margin(looked, "brake_drop", "Drop"),
        *of_margin(looked, "brake_energy", "Emergency stop"),
        *of_margin(looked, "brake_temperature", "Temperature"),
        *given("Coil heats by", Kind.POWER, coil, "mean over the cycle, into the motor"),
        *_words_when_bad(looked, "fitted", "Variant"),
    )


def shaft_figures(looked: Looked) -> tuple[Figure, ...]:
    """What the bearings answer, and how long they last."""
    load = looked.result.shaft_load
    if load is None:
        return ()
    return (
        *given("Front bearing", Kind.FORCE, load.front_reaction, "radial reaction"),
        *given("Rear bearing", Kind.FORCE, load.rear_reaction, "radial reaction"),
        *given("Radial allowed", Kind.FORCE, load.allowed_here, "at this distance, for the wanted life"),
        *_life(looked, "front_bearing_life", "Front lasts", load.front_life),
        *_life(looked, "rear_bearing_life", "Rear lasts", load.rear_life),
    )


def _life(looked: Looked, criterion: str, label: str, hours: float) -> tuple[Figure, ...]:
    margin = looked.result.margin(criterion)
    why = "" if margin is None else (margin.why or margin.equation)
    status = "met" if margin is None or margin.status == "not checked" else margin.status
    return (Figure(label, Kind.LIFE, hours * HOUR, status=status, why=why),)


def gear_figures(looked: Looked) -> tuple[Figure, ...]:
    """Load of a transmission of its limits."""
    if looked.candidate.transmission is None:
        return ()
    return (
        *of_margin(looked, "gear_torque", "Cont. torque"),
        *of_margin(looked, "gear_peak_torque", "Peak torque"),
        *of_margin(looked, "gear_speed", "Input speed"),
        *_words_when_bad(looked, "fitted", "Variant"),
    )


def supply_figures(looked: Looked) -> tuple[Figure, ...]:
    """What the supply gives and takes."""
    demand = looked.result.supply
    if demand is None:
        return ()
    under_sag = looked.result.margin("supply_range")
    detail = looked.detail if isinstance(looked.detail, SupplyDetail) else None
    return (
        *given("Mean power", Kind.POWER, demand.mean_power),
        *given("Mean current", Kind.CURRENT, demand.mean_current, "at the lowest voltage"),
        *given("Peak current", Kind.CURRENT, demand.peak_current, "at the lowest voltage"),
        *_lowest(under_sag.limit if under_sag else None, detail),
        *given("Energy back", Kind.ENERGY, demand.energy_back, "each cycle"),
        *with_numbers(of_margin(looked, "bus_voltage", "Bus rises to")),
        *with_numbers(of_margin(looked, "clamp_power", "Clamp")),
        *_battery(looked, detail),
    )


def _lowest(voltage: float | None, detail: SupplyDetail | None) -> tuple[Figure, ...]:
    why = "at the electronics, under the largest load of the cycle"
    if voltage is None and detail is not None and detail.at_lowest is not None:
        trace = detail.at_lowest.voltage
        voltage = None if bool(np.isnan(trace).all()) else float(np.nanmin(trace))
    return given("Lowest on bus", Kind.VOLTAGE, voltage, why)


def _battery(looked: Looked, detail: SupplyDetail | None) -> tuple[Figure, ...]:
    if detail is None or detail.battery is None:
        return _awaited(looked, "Battery lasts")
    return given("Battery lasts", Kind.LIFE, detail.battery.run_time)


def _winding_study(result: CandidateResult, _project: Project) -> Deferred[Any] | None:
    return None if _is_long(result) else result.winding_later


def _supply_detail(result: CandidateResult, project: Project) -> Deferred[Any] | None:
    """Return the detail of the supply where a figure needs it."""
    known = result.margin("supply_range")
    needed = project.application.supply.battery_energy is not None or known is None or known.limit is None
    return result.supply_later if needed else None


WINDING = FigureSource(winding_figures, _winding_study)
CABLE = FigureSource(cable_figures)
FEEDBACK = FigureSource(feedback_figures, lambda result, _project: result.feedback_later)
BRAKE = FigureSource(brake_figures)
SHAFT = FigureSource(shaft_figures)
GEAR = FigureSource(gear_figures)
SUPPLY = FigureSource(supply_figures, _supply_detail)
