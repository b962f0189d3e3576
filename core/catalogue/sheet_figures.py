"""The figures of a motor's data sheet: name, unit, meaning, and where in a saved motor each one goes.

One table serves the parts editor and the import of tables. A figure belongs to the frame, to one winding or
to one variant. Figures without a `field` are not saved as they stand: they choose the meaning of another one,
are put together with others, or are only compared with what follows from the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, get_args

from core.errors import InputRangeError
from core.physics.conventions import (
    BackEmfConvention,
    Commutation,
    EmfShape,
    ResistanceConvention,
    SpeedConstantConvention,
    TorqueConstantConvention,
)
from core.project.motor import ThermalClass, VariantKind
from core.records import dataclass
from core.units import Kind

Level = Literal["frame", "winding", "variant"]
Value = float | str
Figures = Mapping[str, Value]

YES_NO: Final = ("yes", "no")
_MAY_BE_NEGATIVE: Final = (Kind.TEMPERATURE, Kind.TEMPERATURE_COEFFICIENT)
_MAY_BE_ZERO: Final = ("rotor inertia", "drag torque", "cogging torque", "no-load current")
TERMINALS: Final[tuple[str, ...]] = get_args(ResistanceConvention)


@dataclass(frozen=True, slots=True)
class SheetFigure:
    """One figure: a quantity of a `kind`, a whole number, one of `choices`, or a text.

    `key` names it in words, in the editor and as the column of a table; `field` is the field of the saved
    part that takes it. `many` takes several, each one of `choices` or a number. `default` is what holds when
    it is not given; what is `needed` must be given before the part can be saved. `apart` names the group of
    what a first answer does not need.
    """

    key: str
    level: str
    hint: str
    kind: Kind | None = None
    field: str = ""
    whole: bool = False
    choices: tuple[str, ...] = ()
    many: bool = False
    default: Value | None = None
    needed: bool = False
    apart: str = ""

    @property
    def is_text(self) -> bool:
        """Whether it is plain text."""
        return self.kind is None and not self.choices and not self.whole

    def saved(self, value: Value | tuple[Value, ...]) -> object:
        """Return what the field of the saved part takes for a value: yes and no are true and false there."""
        if self.whole and isinstance(value, float):
            return int(value)
        return value == "yes" if self.choices == YES_NO else value

    def check(self, value: float) -> None:
        """Refuse what the figure can never be; what it cannot be beside others is said by the draft."""
        if self.kind in _MAY_BE_NEGATIVE or (self.key in _MAY_BE_ZERO and value == 0.0):
            return
        if not value > 0.0:
            raise InputRangeError(self.key, value, "", "> 0")


def _frame(key: str, hint: str, **more: object) -> SheetFigure:
    return SheetFigure(key, "frame", hint, **more)  # type: ignore[arg-type]


def _winding(key: str, hint: str, **more: object) -> SheetFigure:
    return SheetFigure(key, "winding", hint, **more)  # type: ignore[arg-type]


def _variant(key: str, hint: str, **more: object) -> SheetFigure:
    return SheetFigure(key, "variant", hint, **more)  # type: ignore[arg-type]


_SIZE, _LIMITS, _DRAG, _HEAT = "mass and size", "limits", "drag", "heat"
_PEAK, _AT_VOLTAGE, _PLACE = "short-time limits", "at a voltage", "surroundings"

FRAME: Final = (
    _frame("frame", "the motor frame in plain words", field="name", needed=True),
    _frame("pole pairs", "half the number of magnet poles", field="pole_pairs", whole=True, needed=True),
    _frame("thermal class", "of the winding", field="thermal_class", choices=get_args(ThermalClass)),
    _frame(
        "winding limit", "if it differs from the thermal class", kind=Kind.TEMPERATURE, field="winding_limit"
    ),
    _frame("magnet limit", "highest temperature of the magnets", kind=Kind.TEMPERATURE, field="magnet_limit"),
    _frame(
        "EMF shape", "between two leads", field="emf_shape", choices=get_args(EmfShape), default="sinusoidal"
    ),
    _frame("origin", "where the figures come from", field="origin", apart="more about the frame"),
    _frame("slots", "of the stator", field="slots", whole=True, apart="more about the frame"),
    _frame(
        "magnet coefficient",
        "change of the flux per kelvin, negative",
        field="magnet_temp_coefficient",
        kind=Kind.TEMPERATURE_COEFFICIENT,
        default=-0.0011,
        apart="more about the frame",
    ),
    _frame(
        "magnet reference",
        "magnet temperature of the stated constants",
        kind=Kind.TEMPERATURE,
        field="magnet_ref_temp",
        default=25.0,
        apart="more about the frame",
    ),
    _frame(
        "cogging torque", "amplitude", kind=Kind.TORQUE, field="cogging_torque", apart="more about the frame"
    ),
    _frame(
        "Hall board limit",
        "highest temperature",
        kind=Kind.TEMPERATURE,
        field="hall_limit",
        apart="more about the frame",
    ),
    _frame("bearings", "in words", field="bearings", apart="more about the frame"),
    _frame("lubrication", "in words", field="lubrication", apart="more about the frame"),
    _frame("connector", "in words", field="connector", apart="more about the frame"),
)

WINDING: Final = (
    _winding("winding", "its name, as 24 V", field="name", needed=True),
    _winding("torque constant", "torque per ampere", kind=Kind.TORQUE_CONSTANT),
    _winding("torque constant meaning", "which ampere is meant", choices=get_args(TorqueConstantConvention)),
    _winding("back-EMF constant", "voltage per speed", kind=Kind.BACK_EMF_CONSTANT),
    _winding("back-EMF constant meaning", "which volt is meant", choices=get_args(BackEmfConvention)),
    _winding("speed constant", "speed per volt", kind=Kind.SPEED_CONSTANT),
    _winding("speed constant meaning", "which volt is meant", choices=get_args(SpeedConstantConvention)),
    _winding("resistance", "of the winding", kind=Kind.RESISTANCE, needed=True),
    _winding("resistance meaning", "between which points", choices=TERMINALS, default="line-to-line"),
    _winding("resistance temperature", "at which it was measured", kind=Kind.TEMPERATURE, default=25.0),
    _winding("inductance", "of the winding", kind=Kind.INDUCTANCE, needed=True),
    _winding("inductance meaning", "between which points", choices=TERMINALS, default="line-to-line"),
    _winding("sheet voltage", "link voltage of the figures below", kind=Kind.VOLTAGE, apart=_AT_VOLTAGE),
    _winding("no-load speed", "at that voltage", kind=Kind.SPEED, apart=_AT_VOLTAGE),
    _winding(
        "no-load current",
        "in the link, at that speed; it sets the drag where none is stated",
        kind=Kind.CURRENT,
        apart=_AT_VOLTAGE,
    ),
    _winding("stall current", "in the link, cold", kind=Kind.CURRENT, apart=_AT_VOLTAGE),
    _winding("stall torque", "at that current", kind=Kind.TORQUE, apart=_AT_VOLTAGE),
    _winding(
        "peak current", "for a short time, six-step", kind=Kind.CURRENT, field="peak_current", apart=_PEAK
    ),
    _winding(
        "linear current",
        "up to which torque follows current",
        kind=Kind.CURRENT,
        field="linear_current",
        apart=_PEAK,
    ),
    _winding(
        "saturated current", "of a point beyond it", kind=Kind.CURRENT, field="saturated_current", apart=_PEAK
    ),
    _winding(
        "saturated torque",
        "at the saturated current",
        kind=Kind.TORQUE,
        field="saturated_torque",
        apart=_PEAK,
    ),
    _winding(
        "demagnetisation current",
        "weakens the magnets for good",
        kind=Kind.CURRENT,
        field="demagnetisation_current",
        apart=_PEAK,
    ),
    _winding(
        "demagnetisation temperature",
        "at which it does",
        kind=Kind.TEMPERATURE,
        field="demagnetisation_temp",
        apart=_PEAK,
    ),
    _winding("turns per coil", "of this winding", field="turns_per_coil", whole=True, apart=_PEAK),
    _winding(
        "connection",
        "of the phases",
        field="connection",
        choices=("star", "delta"),
        default="star",
        apart=_PEAK,
    ),
)

VARIANT: Final = (
    _variant("variant", "open rotor or enclosed", field="kind", choices=get_args(VariantKind), needed=True),
    _variant("rotor inertia", "of all that turns", kind=Kind.INERTIA, field="rotor_inertia", needed=True),
    _variant("largest speed", "mechanical limit", kind=Kind.SPEED, field="largest_speed"),
    _variant("drag torque", "to turn it without load", kind=Kind.TORQUE, apart=_DRAG),
    _variant("drag speed", "of the drag torque", kind=Kind.SPEED, apart=_DRAG),
    _variant(
        "thermal resistance winding to housing",
        "open rotor: to the stator",
        kind=Kind.THERMAL_RESISTANCE,
        field="winding_housing_resistance",
        apart=_HEAT,
    ),
    _variant(
        "thermal resistance housing to ambient",
        "at standstill",
        kind=Kind.THERMAL_RESISTANCE,
        field="housing_ambient_resistance",
        apart=_HEAT,
    ),
    _variant("winding time constant", "thermal", kind=Kind.TIME, field="winding_time_constant", apart=_HEAT),
    _variant("motor time constant", "thermal", kind=Kind.TIME, field="motor_time_constant", apart=_HEAT),
    _variant("measured on", "mounting of the heat figures", default="free air", apart=_HEAT),
    _variant("plate side", "of a square plate, if on one", kind=Kind.LENGTH, apart=_HEAT),
    _variant("plate thickness", "of that plate", kind=Kind.LENGTH, apart=_HEAT),
    _variant("continuous torque", "at the shaft, at a speed", kind=Kind.TORQUE, apart=_HEAT),
    _variant("continuous torque speed", "rated speed", kind=Kind.SPEED, apart=_HEAT),
    _variant(
        "continuous torque ambient", "air of that rating", kind=Kind.TEMPERATURE, default=25.0, apart=_HEAT
    ),
    _variant("continuous torque winding", "winding of that rating, mean", kind=Kind.TEMPERATURE, apart=_HEAT),
    _variant(
        "continuous torque commutation",
        "of that rating",
        choices=get_args(Commutation),
        default="sinusoidal",
        apart=_HEAT,
    ),
    _variant("mechanical time constant", "compared only", kind=Kind.TIME, apart="compared only"),
    _variant("mass", "without fittings", kind=Kind.MASS, field="mass", apart=_SIZE),
    _variant("diameter", "without fittings", kind=Kind.LENGTH, field="diameter", apart=_SIZE),
    _variant("length", "without fittings", kind=Kind.LENGTH, field="length", apart=_SIZE),
    _variant(
        "length with fittings", "as delivered", kind=Kind.LENGTH, field="length_with_fittings", apart=_SIZE
    ),
    _variant(
        "rim diameter", "of what turns in the open", kind=Kind.LENGTH, field="rim_diameter", apart=_SIZE
    ),
    _variant(
        "outside surface",
        "of what can be touched",
        field="outside_surface",
        choices=("bare metal", "coated metal", "plastic"),
        default="bare metal",
        apart=_PLACE,
    ),
    _variant("stands dust", "yes or no", choices=YES_NO, apart=_PLACE),
    _variant("stands magnetic swarf", "yes or no", choices=YES_NO, apart=_PLACE),
    _variant("stands liquid", "yes or no", choices=YES_NO, apart=_PLACE),
    _variant("reach of fingers", "can they reach turning parts", choices=YES_NO, apart=_PLACE),
    _variant("protection", "in words or as a code", field="protection", apart=_PLACE),
)

LEVELS: Final[dict[Level, tuple[SheetFigure, ...]]] = {"frame": FRAME, "winding": WINDING, "variant": VARIANT}
FIGURE: Final = {figure.key: figure for figures in LEVELS.values() for figure in figures}
