"""Check whether the figures of a parts file can belong to real motors, and say which cannot.

A parts file that reads well may still hold a phase resistance that was meant line-to-line or a time
constant in minutes. The checks compare figures that physics ties together; each finding names the
motor, the winding or variant, and the numbers. Bounds without a source are common practice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator

from core.catalogue.fittings_check import check_fittings
from core.catalogue.limits_check import hall_limit_findings, peak_limit_findings
from core.catalogue.parts_file import PartsFile
from core.errors import AmpturnError
from core.findings import Finding
from core.physics.data_sheet_conventions import canonical_constants
from core.physics.machine_constants import MachineConstants, motor_constant
from core.physics.materials import copper_resistance_factor
from core.physics.stated_figures import StatedFigure
from core.project.motor import (
    BackEmfConstant,
    DataSheetHeat,
    GeometryHeat,
    Inductance,
    Motor,
    NetworkHeat,
    Resistance,
    SpeedConstant,
    TorqueConstant,
    Variant,
    Winding,
)
from core.sentences import joined, sentence
from core.units import Kind

MOTOR_CONSTANT_SPREAD = 0.03  # rewinding changes nothing but the rounding to whole turns and wires
TURNS_SPREAD = 0.06  # twice as much, since resistance and inductance go with the square
REFERENCE_TEMP = 25.0  # where resistances of a frame are compared [degC]

# What is plausible for flat motors up to a few hundred watts on a plate: common practice, no source.
HEAT_RANGES = {
    "winding_housing_resistance": (0.05, 50.0, Kind.THERMAL_RESISTANCE),
    "housing_ambient_resistance": (0.3, 150.0, Kind.THERMAL_RESISTANCE),
    "winding_time_constant": (0.5, 300.0, Kind.TIME),
    "motor_time_constant": (20.0, 10_000.0, Kind.TIME),
}


def check_parts(parts: PartsFile) -> tuple[Finding, ...]:
    """Return what is implausible in a parts file, part by part; empty where nothing is."""
    motors = tuple(finding for motor in parts.motors for finding in check_motor(motor))
    return (*motors, *check_fittings(parts))


def check_motor(motor: Motor) -> tuple[Finding, ...]:
    """Return what is implausible in one motor."""
    findings = [*_missing_limits(motor), *hall_limit_findings(motor)]
    constants: list[tuple[Winding, MachineConstants]] = []
    for winding in motor.windings:
        try:
            canonical, disagreements = winding_constants(motor, winding)
        except AmpturnError as error:
            text = f"{motor.name}, winding {winding.name}: {error}"
            findings.append(Finding("constants_unusable", "serious", text))
            continue
        constants.append((winding, canonical))
        for one in disagreements:
            whose = joined(f"{motor.name}, winding {winding.name}: ", one.text)
            findings.append(Finding(one.code, one.severity, whose, one.values))
        findings += peak_limit_findings(motor, winding, canonical)
    findings += _uneven_motor_constant(motor, constants)
    findings += _uneven_turns(motor, constants)
    for variant in motor.variants:
        findings += _variant_findings(motor, variant)
    return tuple(findings)


def winding_constants(motor: Motor, winding: Winding) -> tuple[MachineConstants, tuple[Finding, ...]]:
    """Return the canonical constants of a winding, and where its stated figures contradict each other."""
    return canonical_constants(
        torque_constant=_stated(winding.torque_constant),
        back_emf_constant=_stated(winding.back_emf_constant),
        speed_constant=_stated(winding.speed_constant),
        resistance=StatedFigure(winding.resistance.value, winding.resistance.convention),
        inductance=StatedFigure(winding.inductance.value, winding.inductance.convention),
        pole_pairs=motor.pole_pairs,
        resistance_temp=winding.resistance.temp,
        magnet_temp=motor.magnet_ref_temp,
        magnet_temp_coefficient=motor.magnet_temp_coefficient,
        emf_shape=motor.emf_shape,
    )


def _stated(
    figure: TorqueConstant | BackEmfConstant | SpeedConstant | Resistance | Inductance | None,
) -> StatedFigure | None:
    return None if figure is None else StatedFigure(figure.value, figure.convention)


def _missing_limits(motor: Motor) -> Iterator[Finding]:
    if not motor.windings:
        yield Finding("no_winding", "serious", f"{motor.name}: no winding is given")
    if not motor.variants:
        yield Finding("no_variant", "serious", f"{motor.name}: neither variant is given")
    if motor.magnet_limit is None:
        text = f"{motor.name}: no magnet limit is given, so it is not checked"
        yield Finding("magnet_limit_missing", "warning", text)
    if motor.winding_limit is None and motor.thermal_class is None:
        text = f"{motor.name}: neither thermal class nor winding limit is given; no torque can be judged"
        yield Finding("winding_limit_missing", "serious", text)


def _resistance_at_reference(constants: MachineConstants) -> float:
    # a frame's windings may be stated at 20 and at 25 degC
    factor = copper_resistance_factor(
        REFERENCE_TEMP, constants.resistance_ref_temp, constants.copper_constant
    )
    return constants.resistance * float(factor)


def _uneven_motor_constant(
    motor: Motor, constants: list[tuple[Winding, MachineConstants]]
) -> Iterator[Finding]:
    """Yield where windings of one frame have different motor constants: rewinding gains no heat."""
    values = [
        (winding.name, motor_constant(one) * math.sqrt(one.resistance / _resistance_at_reference(one)))
        for winding, one in constants
    ]
    yield from _uneven(
        values, MOTOR_CONSTANT_SPREAD, "motor_constant_uneven", f"{motor.name}: motor constant",
        Kind.MOTOR_CONSTANT, "windings of one frame share it",
    )  # fmt: skip


def _uneven_turns(motor: Motor, constants: list[tuple[Winding, MachineConstants]]) -> Iterator[Finding]:
    """Yield where resistance or inductance do not follow the turns squared."""
    laws: tuple[tuple[str, Kind, Callable[[MachineConstants], float]], ...] = (
        ("resistance", Kind.RESISTANCE, _resistance_at_reference),
        ("inductance", Kind.INDUCTANCE, lambda one: one.inductance),
    )
    for name, kind, of in laws:
        values = [
            (winding.name, of(one) / _star_turns(winding) ** 2) for winding, one in constants
            if winding.turns_per_coil is not None
        ]  # fmt: skip
        yield from _uneven(
            values, TURNS_SPREAD, f"{name}_uneven", f"{motor.name}: {name} per turn squared", kind,
            "at equal copper fill it is the same",
        )  # fmt: skip


def _star_turns(winding: Winding) -> float:
    """Return the turns of the star that equals this winding: a delta needs sqrt(3) times as many."""
    turns = float(winding.turns_per_coil or 1)
    return turns / math.sqrt(3.0) if winding.connection == "delta" else turns


def _uneven(
    values: Iterable[tuple[str, float]], spread: float, code: str, what: str, kind: Kind, why: str
) -> Iterator[Finding]:
    ordered = sorted(values, key=lambda entry: entry[1])
    if len(ordered) < 2 or ordered[-1][1] <= ordered[0][1] * (1.0 + spread):
        return
    (low_name, low), (high_name, high) = ordered[0], ordered[-1]
    text = joined(
        f"{what} is ",
        sentence("{low}", low=(low, kind)),
        f" with winding {low_name} and ",
        sentence("{high}", high=(high, kind)),
        f" with winding {high_name}, {100.0 * (high / low - 1.0):.1f} % apart; {why} "
        f"(within {100.0 * spread:.0f} %)",
    )
    yield Finding(code, "warning", text, {"lowest": low, "highest": high})


def _variant_findings(motor: Motor, variant: Variant) -> Iterator[Finding]:
    place = f"{motor.name}, {variant.kind}"
    if variant.heat is None:
        yield Finding("heat_missing", "warning", f"{place}: no thermal figures; no torque can be judged")
    elif not isinstance(variant.heat, NetworkHeat):
        yield from _heat_findings(place, variant, variant.heat)
    if not variant.no_load:
        yield Finding("drag_missing", "warning", f"{place}: no no-load point; the drag is unknown")
    yield from _falling_drag(place, variant)
    if variant.length and variant.length_with_fittings and variant.length_with_fittings < variant.length:
        fitted = sentence(
            "length with fittings {fitted} is less than {bare} without",
            fitted=(variant.length_with_fittings, Kind.LENGTH),
            bare=(variant.length, Kind.LENGTH),
        )
        text = joined(f"{place}: ", fitted)
        values = {"length_m": variant.length, "length_with_fittings_m": variant.length_with_fittings}
        yield Finding("length_with_fittings_short", "warning", text, values)
    yield from _implausible_inertia(place, variant)


def _heat_findings(place: str, variant: Variant, heat: DataSheetHeat | GeometryHeat) -> Iterator[Finding]:
    """Yield what is wrong with the figures of a data sheet; beside dimensions any of them may be missing."""
    for name, (low, high, kind) in HEAT_RANGES.items():
        value = getattr(heat, name)
        if value is not None and not low <= value <= high:
            words = name.replace("_", " ")
            outside = sentence(
                "{value} is outside the usual {low} to {high}",
                value=(value, kind),
                low=(low, kind),
                high=(high, kind),
            )
            range_text = joined(f"{place}: {words} ", outside)
            yield Finding("heat_figure_implausible", "warning", range_text, {name: value})
    yield from _time_constant_findings(place, heat)
    if isinstance(heat, DataSheetHeat) and variant.kind == "open rotor" and heat.continuous_point is None:
        text = f"{place}: no continuous torque at a speed, so the cooling by the turning rotor is unknown"
        yield Finding("continuous_point_missing", "warning", text)


def _time_constant_findings(place: str, heat: DataSheetHeat | GeometryHeat) -> Iterator[Finding]:
    fast, slow = heat.winding_time_constant, heat.motor_time_constant
    if fast is None or slow is None:
        return
    if fast >= slow:
        swapped = sentence(
            "the winding time constant {fast} is not below that of the motor, {slow}",
            fast=(fast, Kind.TIME),
            slow=(slow, Kind.TIME),
        )
        yield Finding("time_constants_swapped", "serious", joined(f"{place}: ", swapped))
        return
    inner, outer = heat.winding_housing_resistance, heat.housing_ambient_resistance
    # C_h from tau_m = R_ha (C_w + C_h) and tau_w = R_wh C_w
    if inner is not None and outer is not None and slow / outer <= fast / inner:
        text = f"{place}: the time constants leave the housing no heat capacity"
        yield Finding("housing_without_capacity", "serious", text)


def _falling_drag(place: str, variant: Variant) -> Iterator[Finding]:
    points = sorted(variant.no_load, key=lambda point: point.speed)
    for slow, fast in itertools.pairwise(points):
        if fast.drag_torque < slow.drag_torque:
            falls = sentence(
                "the drag falls from {more} at {slow} to {less} at {fast}",
                more=(slow.drag_torque, Kind.TORQUE),
                slow=(slow.speed, Kind.SPEED),
                less=(fast.drag_torque, Kind.TORQUE),
                fast=(fast.speed, Kind.SPEED),
            )
            text = joined(f"{place}: ", falls)
            yield Finding("drag_falls", "warning", text)


def _implausible_inertia(place: str, variant: Variant) -> Iterator[Finding]:
    if not (variant.mass and variant.diameter):
        return
    ring = variant.mass * (0.5 * variant.diameter) ** 2  # all of the mass at the largest radius
    if not 0.01 * ring <= variant.rotor_inertia <= ring:
        unlike = sentence(
            "rotor inertia {inertia} does not fit its mass and diameter (a ring of them has {ring})",
            inertia=(variant.rotor_inertia, Kind.INERTIA),
            ring=(ring, Kind.INERTIA),
        )
        text = joined(f"{place}: ", unlike)
        yield Finding("rotor_inertia_implausible", "warning", text)
