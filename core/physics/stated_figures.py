"""A figure of a data sheet, its convention in words, and what it is in canonical constants."""

from __future__ import annotations

import math
from typing import Literal, get_args

from core.physics.conventions import (
    BackEmfConvention,
    EmfShape,
    InductanceConvention,
    ResistanceConvention,
    SpeedConstantConvention,
    TorqueConstantConvention,
)
from core.physics.input_ranges import require_finite, require_one_of, require_positive
from core.physics.machine_constants import MachineConstants, torque_constant
from core.records import dataclass

FigureKind = Literal["back-EMF constant", "torque constant", "speed constant"]

CONVENTIONS: dict[FigureKind, tuple[str, ...]] = {
    "back-EMF constant": get_args(BackEmfConvention),
    "torque constant": get_args(TorqueConstantConvention),
    "speed constant": get_args(SpeedConstantConvention),
}
TERMINALS: tuple[str, ...] = get_args(ResistanceConvention)

_TO_LINE_TO_LINE = {"line-to-line": 1.0, "phase of star": 2.0, "branch of delta": 2.0 / 3.0}


@dataclass(frozen=True, slots=True)
class StatedFigure:
    """A number as a data sheet states it, in SI units, with the convention it is meant in.

    Attributes
    ----------
    value : float
        Torque constant [N m/A], back-EMF constant [V s/rad], speed constant [rad/(s V)], resistance
        [ohm] or inductance [H]. [SI]
    convention : str
        One of the words in `core.physics.conventions`. [-]
    """

    value: float
    convention: (
        TorqueConstantConvention
        | BackEmfConvention
        | SpeedConstantConvention
        | ResistanceConvention
        | InductanceConvention
    )


def back_emf_from_volts_per_1000_rpm(volts_per_1000_rpm: float) -> float:
    """Return a back-EMF constant in SI units; peak or rms, line or phase stay what they were.

    Parameters
    ----------
    volts_per_1000_rpm : float
        Voltage at 1000 revolutions per minute. [V]

    Returns
    -------
    constant : float
        The same constant per radian per second. [V s/rad]

    References
    ----------
    .. [1] Change of unit: 1000 r/min = 104.7198 rad/s.

    Examples
    --------
    >>> round(back_emf_from_volts_per_1000_rpm(104.7198), 5)
    1.0
    """
    return volts_per_1000_rpm * 60.0 / (2.0 * math.pi * 1000.0)


def speed_constant_from_rpm_per_volt(rpm_per_volt: float) -> float:
    """Return a speed constant in SI units; which volt is meant stays what it was.

    Parameters
    ----------
    rpm_per_volt : float
        Speed per volt. [r/min/V]

    Returns
    -------
    constant : float
        The same constant in radians per second. [rad/(s V)]

    References
    ----------
    .. [1] Change of unit: 1 r/min = pi/30 rad/s.

    Examples
    --------
    >>> round(speed_constant_from_rpm_per_volt(9.5493), 5)
    1.0
    """
    return rpm_per_volt * math.pi / 30.0


def convention_factor(
    kind: FigureKind, convention: str, emf_shape: EmfShape = "sinusoidal", flat_top_deg: float = 120.0
) -> float:
    r"""Return what a figure would be for a machine with a peak line-to-line constant of 1 V s/rad.

    Parameters
    ----------
    kind : {"back-EMF constant", "torque constant", "speed constant"}
        What the figure describes. [-]
    convention : str
        One of `CONVENTIONS` of that kind. [-]
    emf_shape : {"sinusoidal", "trapezoidal"}, default "sinusoidal"
        Shape of the EMF. [-]
    flat_top_deg : float, default 120.0
        Flat top of a trapezoidal phase EMF. [deg electrical]

    Returns
    -------
    factor : float
        Stated figure over back-EMF constant, for the speed constant its product with it. [-]

    Raises
    ------
    UnitError
        If the convention does not exist for the kind.

    Notes
    -----
    "Phase" is line to neutral of the star, also for a machine in delta. With half ramp delta the
    line-to-line wave of a trapezoid has the mean square `(2/3 pi - 2/3 delta)/pi` of its peak squared,
    the phase wave `1 - (2/3)(2 delta/pi)` of its own.

    References
    ----------
    .. [1] First principles (integrated numerically in the tests); textbook fact from memory.

    Examples
    --------
    >>> round(convention_factor("torque constant", "per rms phase ampere, sinusoidal"), 4)  # sqrt(3/2)
    1.2247
    >>> round(convention_factor("back-EMF constant", "line-to-line rms"), 4)
    0.7071
    """
    require_one_of(f"convention of the {kind}", convention, CONVENTIONS[kind])
    if kind == "speed constant":
        per_volt_of = {
            "of mean six-step voltage": "mean of six-step",
            "of peak line-to-line voltage": "line-to-line peak",
            "of rms line-to-line voltage": "line-to-line rms",
        }
        return 1.0 / convention_factor("back-EMF constant", per_volt_of[convention], emf_shape, flat_top_deg)
    unit = MachineConstants(1.0, 1.0, 1.0, 1, emf_shape, flat_top_deg=flat_top_deg)
    per_peak = torque_constant(unit, "sinusoidal")
    six_step = torque_constant(unit, "six-step")
    sine = emf_shape == "sinusoidal"
    delta = math.radians(180.0 - flat_top_deg) / 2.0
    factors = {
        "per link ampere, six-step": six_step,
        "per peak phase ampere, sinusoidal": per_peak,
        "per rms phase ampere, sinusoidal": math.sqrt(2.0) * per_peak,
        "line-to-line peak": 1.0,
        "line-to-line rms": math.sqrt(0.5 if sine else 2.0 / 3.0 * (1.0 - delta / math.pi)),
        "phase peak": 1.0 / math.sqrt(3.0) if sine else 0.5,
        "phase rms": 1.0 / math.sqrt(6.0) if sine else 0.5 * math.sqrt(1.0 - 4.0 * delta / (3.0 * math.pi)),
        "mean of six-step": six_step,
    }
    return factors[convention]


def back_emf_constant_of(
    kind: FigureKind,
    figure: StatedFigure,
    emf_shape: EmfShape = "sinusoidal",
    flat_top_deg: float = 120.0,
) -> float:
    """Return the peak line-to-line back-EMF constant that a stated figure stands for.

    Parameters
    ----------
    kind : {"back-EMF constant", "torque constant", "speed constant"}
        What the figure describes. [-]
    figure : StatedFigure
        Value and convention. [SI]
    emf_shape : {"sinusoidal", "trapezoidal"}, default "sinusoidal"
        Shape of the EMF. [-]
    flat_top_deg : float, default 120.0
        Flat top of a trapezoidal phase EMF. [deg electrical]

    Returns
    -------
    back_emf_constant : float
        Canonical constant. [V s/rad]

    Raises
    ------
    InputRangeError
        If the value is not positive and finite.
    UnitError
        If the convention does not exist for the kind.

    References
    ----------
    .. [1] As `convention_factor`.

    Examples
    --------
    >>> figure = StatedFigure(0.55, "per rms phase ampere, sinusoidal")
    >>> round(back_emf_constant_of("torque constant", figure), 4)  # 0.55 / 1.22474
    0.4491
    """
    require_positive(kind, figure.value, "SI")
    require_finite(kind, figure.value, "SI")
    factor = convention_factor(kind, figure.convention, emf_shape, flat_top_deg)
    return factor / figure.value if kind == "speed constant" else figure.value / factor


def line_to_line(figure: StatedFigure, name: str = "resistance") -> float:
    """Return a resistance or inductance between two terminals.

    Parameters
    ----------
    figure : StatedFigure
        Value and "line-to-line", "phase of star" or "branch of delta". [ohm or H]
    name : str, default "resistance"
        What it is, for the message. [-]

    Returns
    -------
    value : float
        Line-to-line value: twice the phase of a star, two thirds of the branch of a delta. [ohm or H]

    Raises
    ------
    InputRangeError
        If the value is not positive and finite.
    UnitError
        If the convention is none of the three.

    Notes
    -----
    For an inductance the phase value is the one with all three phases carrying current (mutual
    inductance included), as seen with balanced currents.

    References
    ----------
    .. [1] First principles: two phases in series; one branch beside the other two.

    Examples
    --------
    >>> line_to_line(StatedFigure(0.4, "phase of star")), line_to_line(StatedFigure(1.5, "branch of delta"))
    (0.8, 1.0)
    """
    require_one_of(f"convention of the {name}", figure.convention, TERMINALS)
    require_positive(name, figure.value, "")
    require_finite(name, figure.value, "")
    return figure.value * _TO_LINE_TO_LINE[figure.convention]
