"""Check whether the limits of a motor fit each other: saturation, demagnetisation, the Hall board."""

from __future__ import annotations

from collections.abc import Iterator

from core.errors import AmpturnError
from core.findings import Finding
from core.physics.machine_constants import MachineConstants, torque_constant
from core.physics.peak_limits import saturation_from_point
from core.project.motor import Motor, Winding
from core.sentences import joined, sentence
from core.units import Kind

ROUNDING = 1.002  # of a stated torque and the stated constant that it is compared with


def peak_limit_findings(motor: Motor, winding: Winding, constants: MachineConstants) -> Iterator[Finding]:
    """Yield what cannot be among the saturation and demagnetisation figures of a winding."""
    place = f"{motor.name}, winding {winding.name}"
    yield from _saturation(place, winding, constants)
    yield from _demagnetisation(place, winding)


def hall_limit_findings(motor: Motor) -> Iterator[Finding]:
    """Yield where the Hall board would be the first to be too hot, which is seldom meant."""
    if motor.hall_limit is None or motor.magnet_limit is None or motor.hall_limit >= motor.magnet_limit:
        return
    below = sentence(
        "the limit of the Hall board, {board}, is below that of the magnets, {magnets}",
        board=(motor.hall_limit, Kind.TEMPERATURE),
        magnets=(motor.magnet_limit, Kind.TEMPERATURE),
    )
    text = joined(f"{motor.name}: ", below)
    values = {"hall_limit_degC": motor.hall_limit, "magnet_limit_degC": motor.magnet_limit}
    yield Finding("hall_limit_low", "warning", text, values)


def _saturation(place: str, winding: Winding, constants: MachineConstants) -> Iterator[Finding]:
    figures = (winding.linear_current, winding.saturated_current, winding.saturated_torque)
    linear, current, torque = figures
    if linear is None or current is None or torque is None:
        if any(figure is not None for figure in figures):
            text = f"{place}: saturation needs linear current, and current and torque of a point beyond it"
            yield Finding("saturation_point_incomplete", "warning", text)
        return
    try:
        saturation_from_point(ROUNDING * torque_constant(constants, "six-step"), linear, current, torque)
    except AmpturnError as error:
        yield Finding("saturation_point_impossible", "serious", f"{place}: {error}")


def _demagnetisation(place: str, winding: Winding) -> Iterator[Finding]:
    points = [
        (temp, current)
        for temp, current in (
            (winding.demagnetisation_temp, winding.demagnetisation_current),
            (winding.second_demagnetisation_temp, winding.second_demagnetisation_current),
        )
        if temp is not None and current is not None
    ]
    if len(points) < 2:
        return
    (cold_temp, cold), (hot_temp, hot) = sorted(points)
    if cold > hot:
        return
    words = sentence(
        "{cold} weaken the magnets at {cold_temp} and {hot} at {hot_temp}; rare-earth magnets bear less when "
        "they are hot",
        cold=(cold, Kind.CURRENT),
        cold_temp=(cold_temp, Kind.TEMPERATURE),
        hot=(hot, Kind.CURRENT),
        hot_temp=(hot_temp, Kind.TEMPERATURE),
    )
    text = joined(f"{place}: ", words)
    yield Finding("demagnetisation_falls_when_cold", "warning", text, {"cold_A": cold, "hot_A": hot})
