"""The criteria of heat: torque reserve, winding, magnets, and the outside where it can be touched."""

from __future__ import annotations

import numpy as np

from core.evaluation.criterion import (
    WHOLE_CYCLE,
    Criterion,
    Place,
    answered,
    checked,
    checked_reserve,
    missed,
    not_checked,
)
from core.evaluation.heat_model import HeatModel, NoHeatModel
from core.evaluation.temperatures import CycleTemperatures
from core.physics.temperatures import RunAway
from core.project.application import Application
from core.results import Margin, PeakTemperature
from core.sentences import Sentence, sentence
from core.units import Kind

RUN_AWAY = "the temperatures run away: there is no repeating state"
NOTABLE_PHASE_FACTOR = 1.05  # below it the phases of a slow motor are as good as equally warm
LABELS = {"winding": "Winding temperature", "magnets": "Magnet temperature", "outside": "Outside, touched"}


def heat_margins(
    application: Application,
    heat: HeatModel | NoHeatModel,
    temps: CycleTemperatures | None,
    peaks: tuple[PeakTemperature, ...],
) -> list[Margin]:
    """Return torque reserve, winding, magnets and touched outside."""
    if isinstance(heat, NoHeatModel) or temps is None:
        why = heat.why if isinstance(heat, NoHeatModel) else "the duty cycle is empty"
        return [not_checked(criterion, why) for criterion in heat_criteria(application)]
    reserve, winding, magnets, outside = heat_criteria(application)
    found = [_reserve(reserve, temps)]
    if isinstance(temps.state, RunAway):
        found += [missed(criterion, WHOLE_CYCLE, RUN_AWAY, reserve.code) for criterion in (winding, magnets)]
        touch = _touch_without_number(outside, application)
        return [*found, touch or missed(outside, WHOLE_CYCLE, RUN_AWAY, reserve.code)]
    by_role = {peak.role: peak for peak in peaks}
    found.append(
        temperature_margin(winding, by_role["winding"], heat.ambient, "thermal class or limit of the winding")
    )
    found.append(
        temperature_margin(magnets, by_role["magnets"], heat.ambient, "temperature limit of the magnets")
    )
    found.append(_touch(outside, by_role["outside"], heat.ambient, application))
    return found


def heat_criteria(application: Application) -> tuple[Criterion, Criterion, Criterion, Criterion]:
    """Return the criteria of torque reserve, winding, magnets and outside."""
    targets = application.requirements.targets
    contact = touch_words(application.requirements.touch_contact)
    return (
        Criterion("torque_reserve", "Torque reserve", Kind.RATIO, targets.torque_reserve),
        Criterion("winding_temperature", LABELS["winding"], Kind.TEMPERATURE, targets.temperature),
        Criterion("magnet_temperature", LABELS["magnets"], Kind.TEMPERATURE, targets.temperature),
        Criterion("outside_temperature", f"{LABELS['outside']} {contact}", Kind.TEMPERATURE, targets.touch),
    )


def touch_words(contact: int) -> str:
    """Return a contact time in words."""
    return {1: "1 s", 10: "10 s", 60: "1 min", 600: "10 min", 28800: "8 h"}[contact]


# Below, only entries that no drive has are left, and the reciprocal says nothing.
_LEAST_RESERVE = 1e-9
# what ends a reserve before any node is at its limit, in short and as the end of a sentence
_WITHOUT_NODE = {
    "run-away": ("run-away", "the temperatures run away"),
    "saturation": ("saturation", "no current makes more torque, while every temperature is within its limit"),
}


def _reserve(criterion: Criterion, temps: CycleTemperatures) -> Margin:
    reserve = temps.reserve
    if not np.isfinite(temps.heat.limit).any():
        return not_checked(criterion, "neither winding nor magnets have a temperature limit")
    if reserve.end == "no torque":
        return answered(criterion, WHOLE_CYCLE, "the cycle asks for no torque")
    if reserve.end == "drag alone":
        return missed(criterion, WHOLE_CYCLE, "drag and speed alone heat the motor beyond a limit")
    if reserve.factor < _LEAST_RESERVE:
        return missed(criterion, WHOLE_CYCLE, "not even a billionth of the torque can last")
    equation = sentence(
        "T_shaft + J alpha of the whole cycle may be multiplied by lambda = {reserve} until "
        + _first_limit(temps)
        + "; used 1/lambda = {used}",
        reserve=(reserve.factor, Kind.NUMBER),
        used=(1.0 / reserve.factor, Kind.RATIO),
    )
    node = f"{_limiting(temps)} first" if reserve.node >= 0 else f"{_WITHOUT_NODE[reserve.end][0]} first"
    return checked_reserve(criterion, reserve.factor, Place(f"whole cycle, {node}"), equation)


def _limiting(temps: CycleTemperatures) -> str:
    reserve, network = temps.reserve, temps.heat.network
    if reserve.hot_phase and temps.pieces.stall_phase_factor.max() > NOTABLE_PHASE_FACTOR:
        return "hottest phase at standstill"
    if part := temps.heat.limited_part[reserve.node]:
        return f"{part} ({network.nodes[reserve.node]})"
    if reserve.node == network.magnets != network.winding:
        return f"magnets ({network.nodes[network.magnets]})"
    return network.nodes[reserve.node]


def _first_limit(temps: CycleTemperatures) -> str:
    if temps.reserve.node < 0:
        return _WITHOUT_NODE[temps.reserve.end][1]
    return f"the limit of {_limiting(temps)} is reached in the repeating state"


def temperature_margin(criterion: Criterion, peak: PeakTemperature, ambient: float, what: str) -> Margin:
    """Return the margin of a peak temperature, as rise over ambient; `what` is missing without a limit."""
    if peak.limit is None:
        return not_checked(criterion, f"missing: {what}")
    return checked(
        criterion,
        peak.temp,
        peak.limit,
        _where(peak),
        _rise_equation(peak, ambient, peak.limit),
        zero=ambient,
        why=_cold_limit(ambient, peak.limit),
    )


def _touch(criterion: Criterion, peak: PeakTemperature, ambient: float, application: Application) -> Margin:
    without = _touch_without_number(criterion, application)
    if without is not None or peak.limit is None:
        return without or not_checked(criterion, "missing: threshold of touch")
    return checked(
        criterion,
        peak.temp,
        peak.limit,
        _where(peak),
        _rise_equation(peak, ambient, peak.limit),
        zero=ambient,
        why=_cold_limit(ambient, peak.limit),
    )


def _touch_without_number(criterion: Criterion, application: Application) -> Margin | None:
    reach = application.site.surroundings.reach_of_fingers
    if reach == "no":
        return answered(criterion, Place("out of reach of fingers"), "no one can touch it here")
    if reach == "unknown":
        return not_checked(criterion, "say whether fingers can reach the motor")
    return None


def _where(peak: PeakTemperature) -> Place:
    words = sentence(
        f"{peak.node}, {{temp}} of {{limit}}, in segment {peak.segment + 1}",
        temp=(peak.temp, Kind.TEMPERATURE),
        limit=(peak.limit or 0.0, Kind.TEMPERATURE),
    )
    return Place(words, peak.segment, peak.instant)


def _rise_equation(peak: PeakTemperature, ambient: float, limit: float) -> Sentence:
    return sentence(
        "rise over ambient / allowed rise = ({temp} − {ambient}) / ({limit} − {ambient}) = {used}",
        temp=(peak.temp, Kind.TEMPERATURE),
        ambient=(ambient, Kind.TEMPERATURE),
        limit=(limit, Kind.TEMPERATURE),
        used=((peak.temp - ambient) / (limit - ambient) if limit > ambient else np.inf, Kind.RATIO),
    )


def _cold_limit(ambient: float, limit: float) -> str | Sentence:
    if limit > ambient:
        return ""
    return sentence(
        "the limit of {limit} is not above the ambient temperature of {ambient}",
        limit=(limit, Kind.TEMPERATURE),
        ambient=(ambient, Kind.TEMPERATURE),
    )
