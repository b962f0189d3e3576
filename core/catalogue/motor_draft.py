"""A motor as far as it has been read off a data sheet: what is missing, and the saved motor it becomes.

A draft may lack anything. It never repairs: what cannot be saved is refused with the figure that is wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from typing import Any

from msgspec.structs import replace

from core.catalogue.sheet_figures import FIGURE, LEVELS, Figures, Level, Value
from core.errors import AmpturnError, InputRangeError
from core.physics.machine_constants import torque_constant
from core.project.motor import (
    BackEmfConstant,
    ContinuousPoint,
    DataSheetHeat,
    Inductance,
    Motor,
    NoLoadPoint,
    Resistance,
    SpeedConstant,
    Tolerates,
    TorqueConstant,
    Variant,
    Winding,
)
from core.project.mounting import Plate
from core.records import dataclass
from core.sentences import DEFAULT_UNITS
from core.units import Kind, format_number

CONSTANTS = ("torque constant", "back-EMF constant", "speed constant")
HEAT = (
    "thermal resistance winding to housing",
    "thermal resistance housing to ambient",
    "winding time constant",
    "motor time constant",
)
_CONTINUOUS = ("continuous torque", "continuous torque speed", "continuous torque winding")
_PLAIN = {
    level: tuple(one for one in figures if one.field and one.key not in HEAT)
    for level, figures in LEVELS.items()
}
_STANDS = {
    "stands dust": "dust",
    "stands magnetic swarf": "magnetic_swarf",
    "stands liquid": "liquid",
    "reach of fingers": "reach_of_fingers",
}


class FigureError(AmpturnError, ValueError):
    """A figure of a draft is missing or wrong. `key` names it, `place` the part it belongs to."""

    def __init__(self, place: str, key: str, rule: str) -> None:
        super().__init__(f"{place}, {key}: {rule}" if place else f"{key}: {rule}")
        self.place, self.key, self.rule = place, key, rule

    def __reduce__(self) -> tuple[type[FigureError], tuple[str, str, str]]:
        return type(self), (self.place, self.key, self.rule)


@dataclass(frozen=True, slots=True)
class MotorDraft:
    """Figures of a frame, of each winding and of each variant, by the keys of `sheet_figures`, in SI."""

    frame: Figures = field(default_factory=dict)
    windings: tuple[Figures, ...] = ()
    variants: tuple[Figures, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """A figure that is not given. Without what is `needed` nothing can be saved; the rest costs an answer."""

    place: str
    key: str
    why: str
    needed: bool


def place_of(level: Level, figures: Figures, number: int = 0) -> str:
    """Return the words for a part of a draft, as "winding 24 V".

    Examples
    --------
    >>> place_of("winding", {"winding": "24 V"}), place_of("winding", {}, 1)
    ('winding 24 V', 'winding 2')
    """
    if level == "frame":
        return "frame"
    name = figures.get(level)
    if level == "variant":
        return str(name or f"variant {number + 1}")
    return f"winding {name or number + 1}"


def missing_figures(draft: MotorDraft) -> tuple[Missing, ...]:
    """Return what a draft lacks, what is needed to save it first."""
    found = [*_needed("frame", draft.frame)]
    for number, one in enumerate(draft.windings or ({},)):
        found += _needed("winding", one, number)
        if not any(key in one for key in CONSTANTS):
            place = place_of("winding", one, number)
            found.append(Missing(place, "torque constant", "or a back-EMF or speed constant", True))
        found += _unmeant(one, number)
    for number, one in enumerate(draft.variants or ({},)):
        found += _needed("variant", one, number)
    return (*found, *_costing(draft))


def motor_of(draft: MotorDraft) -> Motor:
    """Return the saved motor of a draft; `FigureError` names the first figure that forbids it."""
    first = next((one for one in missing_figures(draft) if one.needed), None)
    if first is not None:
        raise FigureError(first.place, first.key, f"is needed ({first.why})")
    return assembled(draft)


def assembled(draft: MotorDraft) -> Motor:
    """Return the saved motor of a draft that may lack all windings or all variants, as a parts file may."""
    windings = tuple(winding_of(figures, number) for number, figures in enumerate(draft.windings))
    variants = tuple(variant_of(figures, number) for number, figures in enumerate(draft.variants))
    return with_parts(draft, windings, variants)


def with_parts(draft: MotorDraft, windings: tuple[Winding, ...], variants: tuple[Variant, ...]) -> Motor:
    """Return the saved motor of a draft whose parts are made; a drag that is not given is drawn from them."""
    motor = frame_of(draft.frame, windings, variants)
    if variants and not variants[0].no_load:
        point = drag_of_winding(draft, motor)
        if point is not None:
            first_variant = replace(variants[0], no_load=(point,))
            motor = frame_of(draft.frame, windings, (first_variant, *variants[1:]))
    return motor


def frame_of(figures: Figures, windings: tuple[Winding, ...], variants: tuple[Variant, ...]) -> Motor:
    """Return the frame with its parts."""
    _require("frame", figures)
    motor: Motor = _built(Motor, "frame", figures, {"windings": windings, "variants": variants})
    return motor


def winding_of(figures: Figures, number: int = 0) -> Winding:
    """Return a winding of its figures."""
    place = place_of("winding", figures, number)
    _require("winding", figures, number)
    if not any(key in figures for key in CONSTANTS):
        raise FigureError(place, "torque constant", "is needed, or a back-EMF or speed constant")
    made: dict[str, Any] = {}
    kinds = (TorqueConstant, BackEmfConstant, SpeedConstant)
    for key, kind in zip(CONSTANTS, kinds, strict=True):
        if key not in figures:
            continue
        if f"{key} meaning" not in figures:
            choices = "', '".join(FIGURE[f"{key} meaning"].choices)
            raise FigureError(place, f"{key} meaning", f"is needed beside the figure, one of '{choices}'")
        parts = {"value": figures[key], "convention": figures[f"{key} meaning"]}
        made[key.replace(" ", "_").replace("-", "_").lower()] = _made(kind, place, key, parts)
    terminals = {"value": figures["resistance"], "convention": _given(figures, "resistance meaning")}
    terminals["temp"] = _given(figures, "resistance temperature")
    made["resistance"] = _made(Resistance, place, "resistance", terminals)
    coil = {"value": figures["inductance"], "convention": _given(figures, "inductance meaning")}
    made["inductance"] = _made(Inductance, place, "inductance", coil)
    winding: Winding = _built(Winding, "winding", figures, made, number)
    return winding


def variant_of(figures: Figures, number: int = 0) -> Variant:
    """Return a variant of its figures."""
    _require("variant", figures, number)
    place = place_of("variant", figures, number)
    made: dict[str, Any] = {"heat": _heat_of(figures, place)}
    if "drag torque" in figures or "drag speed" in figures:
        _together(place, figures, ("drag torque", "drag speed"))
        parts = {"speed": figures["drag speed"], "drag_torque": figures["drag torque"]}
        made["no_load"] = (_made(NoLoadPoint, place, "drag torque", parts),)
    answers: dict[str, Any] = {name: figures[key] == "yes" for key, name in _STANDS.items() if key in figures}
    made["tolerates"] = Tolerates(**answers)
    variant: Variant = _built(Variant, "variant", figures, made, number)
    return variant


def drag_of_winding(draft: MotorDraft, motor: Motor) -> NoLoadPoint | None:
    """Return the drag that the no-load figures of a winding stand for, None where none has them.

    Notes
    -----
    T_drag = k_t I_0 with the six-step torque constant, since the no-load current is that of the link.
    """
    from core.catalogue.parts_check import winding_constants

    for figures, winding in zip(draft.windings, motor.windings, strict=True):
        speed, current = figures.get("no-load speed"), figures.get("no-load current")
        if isinstance(speed, float) and isinstance(current, float) and speed > 0.0:
            constants, _ = winding_constants(motor, winding)
            return NoLoadPoint(speed=speed, drag_torque=torque_constant(constants, "six-step") * current)
    return None


def _heat_of(figures: Figures, place: str) -> DataSheetHeat | None:
    if not any(key in figures for key in (*HEAT, "continuous torque")):
        return None
    _together(place, figures, HEAT)
    parts: dict[str, Any] = {FIGURE[key].field: figures[key] for key in HEAT}
    parts["stated_mounting"] = _given(figures, "measured on")
    if "plate side" in figures or "plate thickness" in figures:
        _together(place, figures, ("plate side", "plate thickness"))
        plate = {"side": figures["plate side"], "thickness": figures["plate thickness"]}
        parts["stated_plate"] = _made(Plate, place, "plate side", plate)
    if any(key in figures for key in _CONTINUOUS):
        _together(place, figures, _CONTINUOUS)
        torque, speed, winding = (figures[key] for key in _CONTINUOUS)
        point = {
            "shaft_torque": torque, "speed": speed, "winding_temp": winding,
            "ambient": _given(figures, "continuous torque ambient"),
            "commutation": _given(figures, "continuous torque commutation"),
        }  # fmt: skip
        parts["continuous_point"] = _made(ContinuousPoint, place, "continuous torque", point)
    heat: DataSheetHeat = _made(DataSheetHeat, place, HEAT[0], parts)
    return heat


def _needed(level: Level, figures: Figures, number: int = 0) -> Iterator[Missing]:
    for one in LEVELS[level]:
        if one.needed and one.key not in figures:
            yield Missing(place_of(level, figures, number), one.key, one.hint, True)


def _unmeant(winding: Figures, number: int) -> Iterator[Missing]:
    """Yield the meanings without which a stated constant stands for nothing."""
    for key in CONSTANTS:
        meaning = f"{key} meaning"
        if key in winding and meaning not in winding:
            yield Missing(place_of("winding", winding, number), meaning, FIGURE[meaning].hint, True)


def _costing(draft: MotorDraft) -> Iterator[Missing]:
    if not {"thermal class", "winding limit"} & set(draft.frame):
        yield Missing("frame", "thermal class", "or a winding limit: without it no torque is judged", False)
    if "magnet limit" not in draft.frame:
        yield Missing("frame", "magnet limit", "without it the magnets are not checked", False)
    for number, one in enumerate(draft.variants):
        place = place_of("variant", one, number)
        lacking = [key for key in HEAT if key not in one]
        if lacking:
            yield Missing(place, lacking[0], "all four heat figures, or no temperature is computed", False)
        elif one.get("variant") == "open rotor" and "continuous torque" not in one:
            why = "with it the cooling by the turning rotor is found"
            yield Missing(place, "continuous torque", why, False)
        drawn = number == 0 and any({"no-load speed", "no-load current"} <= set(w) for w in draft.windings)
        if "drag torque" not in one and not drawn:
            yield Missing(
                place, "drag torque", "or no-load current: without it no drag loss is counted", False
            )


def _require(level: Level, figures: Figures, number: int = 0) -> None:
    for one in _needed(level, figures, number):
        raise FigureError(one.place, one.key, f"is needed ({one.why})")


def _together(place: str, figures: Figures, keys: tuple[str, ...]) -> None:
    for key in keys:
        if key not in figures:
            others = ", ".join(other for other in keys if other != key)
            raise FigureError(place, key, f"is needed together with {others}")


def _given(figures: Figures, key: str) -> Value | None:
    return figures.get(key, FIGURE[key].default)


def _built(kind: type[Any], level: Level, figures: Figures, made: dict[str, Any], number: int = 0) -> Any:
    """Return a part made of the figures that are saved as they stand and of those put together."""
    fields = {f.field: f.saved(figures[f.key]) for f in _PLAIN[level] if f.key in figures}
    return _made(kind, place_of(level, figures, number), "", {**fields, **made})


def _made(kind: type[Any], place: str, key: str, fields: dict[str, Any]) -> Any:
    """Return a saved part; what it refuses is named by the figure."""
    try:
        return kind(**fields)
    except AmpturnError as error:
        name = getattr(error, "name", getattr(error, "place", ""))
        figure = next((f for f in FIGURE.values() if f.field and f.field == name), FIGURE.get(key))
        rule = _rule(error, None if figure is None else figure.kind)
        raise FigureError(place, figure.key if figure else "figures", rule) from error


def _rule(error: AmpturnError, kind: Kind | None) -> str:
    if not isinstance(error, InputRangeError):
        return str(error)
    got = format_number(error.value, 6) if kind is None else DEFAULT_UNITS.format_quantity(error.value, kind)
    return f"must be {error.rule}, got {got}"
