"""From the figures of a data sheet, each in its convention, to one canonical set of constants.

The same machine has torque constants that differ by up to the root of three, according to the ampere
that is meant. Each figure therefore comes with its convention in words; this module converts,
compares figures that describe the same thing, and names the conventions under which they agree.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations, product

from core.errors import InputRangeError
from core.findings import Finding
from core.physics.conventions import EmfShape
from core.physics.input_ranges import require_positive
from core.physics.machine_constants import MachineConstants
from core.physics.stated_figures import (
    CONVENTIONS,
    FigureKind,
    StatedFigure,
    back_emf_constant_of,
    line_to_line,
)
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

ORDER_OF_TRUST: tuple[FigureKind, ...] = ("back-EMF constant", "torque constant", "speed constant")
"""Which figure wins. The back-EMF constant comes from spinning the open machine: no current, so no
friction, saturation or commutation in it. A torque constant may have been taken under load with drag
and saturation inside. A speed constant is often a rounded reciprocal or a measured no-load speed."""

FIGURE_UNITS: dict[FigureKind, Kind] = {
    "back-EMF constant": Kind.BACK_EMF_CONSTANT,
    "torque constant": Kind.TORQUE_CONSTANT,
    "speed constant": Kind.SPEED_CONSTANT,
}

KNOWN_RATIOS = {
    "1": 1.0,
    "2/sqrt 3": 2.0 / math.sqrt(3.0),
    "pi/3": math.pi / 3.0,
    "sqrt(3/2)": math.sqrt(1.5),
    "sqrt 2": math.sqrt(2.0),
    "3/2": 1.5,
    "sqrt 3": math.sqrt(3.0),
    "2": 2.0,
    "sqrt 6": math.sqrt(6.0),
    "3": 3.0,
}


@dataclass(frozen=True, slots=True)
class AgreeingPair:
    """Two conventions under which two figures describe the same machine.

    Attributes
    ----------
    first : str
        Convention of the first figure. [-]
    second : str
        Convention of the second figure. [-]
    spread : float
        Ratio of the two back-EMF constants less one. [-]
    readings_changed : int
        How many of the two figures are read otherwise than stated. [-]
    """

    first: str
    second: str
    spread: float
    readings_changed: int


def agreeing_conventions(
    first_kind: FigureKind,
    first: StatedFigure,
    second_kind: FigureKind,
    second: StatedFigure,
    emf_shape: EmfShape = "sinusoidal",
    flat_top_deg: float = 120.0,
    tolerance: float = 0.03,
) -> tuple[AgreeingPair, ...]:
    """Return every pair of conventions under which two figures agree, the likeliest first.

    Parameters
    ----------
    first_kind : {"back-EMF constant", "torque constant", "speed constant"}
        What the first figure describes. [-]
    first : StatedFigure
        First figure. [SI]
    second_kind : {"back-EMF constant", "torque constant", "speed constant"}
        What the second figure describes. [-]
    second : StatedFigure
        Second figure. [SI]
    emf_shape : {"sinusoidal", "trapezoidal"}, default "sinusoidal"
        Shape of the EMF. [-]
    flat_top_deg : float, default 120.0
        Flat top of a trapezoidal phase EMF. [deg electrical]
    tolerance : float, default 0.03
        Largest relative difference that counts as agreement. [-]

    Returns
    -------
    pairs : tuple of AgreeingPair
        Fewest readings changed first, then smallest spread. [-]

    Notes
    -----
    All pairs are tried. Conventions that stand in the ratio 1.03 or less cannot be told apart from
    two figures; a third, or the shape of the EMF, has to decide.

    References
    ----------
    .. [1] Common practice, no source: comparing the ratio of stated constants with known ratios.

    Examples
    --------
    >>> kt = StatedFigure(0.55, "per rms phase ampere, sinusoidal")
    >>> ke = StatedFigure(0.318, "phase rms")
    >>> pairs = agreeing_conventions("torque constant", kt, "back-EMF constant", ke)
    >>> pairs[0].first, pairs[0].second
    ('per rms phase ampere, sinusoidal', 'line-to-line rms')
    """
    found = []
    for a, b in product(CONVENTIONS[first_kind], CONVENTIONS[second_kind]):
        one = back_emf_constant_of(first_kind, _read_as(first, a), emf_shape, flat_top_deg)
        two = back_emf_constant_of(second_kind, _read_as(second, b), emf_shape, flat_top_deg)
        if abs(one / two - 1.0) <= tolerance:
            changed = (a != first.convention) + (b != second.convention)
            found.append(AgreeingPair(a, b, one / two - 1.0, changed))
    return tuple(sorted(found, key=lambda pair: (pair.readings_changed, abs(pair.spread))))


def canonical_constants(
    *,
    torque_constant: StatedFigure | None = None,
    back_emf_constant: StatedFigure | None = None,
    speed_constant: StatedFigure | None = None,
    resistance: StatedFigure,
    inductance: StatedFigure,
    pole_pairs: int,
    resistance_temp: float = 25.0,
    magnet_temp: float = 25.0,
    magnet_temp_coefficient: float = -0.0011,
    emf_shape: EmfShape = "sinusoidal",
    flat_top_deg: float = 120.0,
    tolerance: float = 0.03,
) -> tuple[MachineConstants, tuple[Finding, ...]]:
    """Return the canonical constants of a data sheet, and where its figures contradict each other.

    Parameters
    ----------
    torque_constant : StatedFigure, optional
        Stated torque constant. [N m/A]
    back_emf_constant : StatedFigure, optional
        Stated back-EMF constant. [V s/rad]
    speed_constant : StatedFigure, optional
        Stated speed constant. [rad/(s V)]
    resistance : StatedFigure
        Stated resistance. [ohm]
    inductance : StatedFigure
        Stated inductance. [H]
    pole_pairs : int
        Pole pairs. [-]
    resistance_temp : float, default 25.0
        Temperature at which the resistance is stated. [degC]
    magnet_temp : float, default 25.0
        Magnet temperature at which the constants are stated. [degC]
    magnet_temp_coefficient : float, default -0.0011
        Relative change of the flux. [1/K]
    emf_shape : {"sinusoidal", "trapezoidal"}, default "sinusoidal"
        Shape of the EMF. [-]
    flat_top_deg : float, default 120.0
        Flat top of a trapezoidal phase EMF. [deg electrical]
    tolerance : float, default 0.03
        Relative difference from which two figures contradict each other. [-]

    Returns
    -------
    constants : MachineConstants
        The canonical set, from the most trusted figure as it was stated. [SI]
    findings : tuple of Finding
        One `constants_disagree` for each contradicting pair. [SI]

    Raises
    ------
    InputRangeError
        If none of the three constants is given, or a number is out of range.
    UnitError
        If a convention does not exist for its figure.

    Notes
    -----
    Order of trust: back-EMF constant, torque constant, speed constant (see `ORDER_OF_TRUST`). A
    contradiction is reported, never repaired: the person who has the data sheet decides.

    References
    ----------
    .. [1] Common practice, no source, for the order; conversions as `convention_factor`.

    Examples
    --------
    >>> constants, findings = canonical_constants(
    ...     torque_constant=StatedFigure(0.55, "per rms phase ampere, sinusoidal"),
    ...     back_emf_constant=StatedFigure(0.318, "line-to-line rms"),
    ...     resistance=StatedFigure(0.8, "line-to-line"),
    ...     inductance=StatedFigure(1e-3, "line-to-line"),
    ...     pole_pairs=7,
    ... )
    >>> round(constants.back_emf_constant, 4), findings  # 0.318 * 1.41421
    (0.4497, ())
    """
    named: dict[FigureKind, StatedFigure | None] = {
        "back-EMF constant": back_emf_constant,
        "torque constant": torque_constant,
        "speed constant": speed_constant,
    }
    stated = [(kind, figure) for kind in ORDER_OF_TRUST if (figure := named[kind]) is not None]
    if not stated:
        raise InputRangeError("number of stated torque, back-EMF and speed constants", 0, "", ">= 1")
    require_positive("tolerance", tolerance, "")
    values = {kind: back_emf_constant_of(kind, fig, emf_shape, flat_top_deg) for kind, fig in stated}
    findings = tuple(
        _disagreement(first, second, values, emf_shape, flat_top_deg, tolerance)
        for first, second in combinations(stated, 2)
        if abs(values[first[0]] / values[second[0]] - 1.0) > tolerance
    )
    constants = MachineConstants(
        back_emf_constant=values[stated[0][0]],
        resistance=line_to_line(resistance, "resistance"),
        inductance=line_to_line(inductance, "inductance"),
        pole_pairs=pole_pairs,
        emf_shape=emf_shape,
        resistance_ref_temp=resistance_temp,
        magnet_ref_temp=magnet_temp,
        magnet_temp_coefficient=magnet_temp_coefficient,
        flat_top_deg=flat_top_deg,
    )
    return constants, findings


def _disagreement(
    first: tuple[FigureKind, StatedFigure],
    second: tuple[FigureKind, StatedFigure],
    values: dict[FigureKind, float],
    emf_shape: EmfShape,
    flat_top_deg: float,
    tolerance: float,
) -> Finding:
    (kind_1, figure_1), (kind_2, figure_2) = first, second
    k_1, k_2 = values[kind_1], values[kind_2]
    pairs = agreeing_conventions(kind_1, figure_1, kind_2, figure_2, emf_shape, flat_top_deg, tolerance)
    # two changed readings explain anything: they are named only if one changed reading explains nothing
    likely = [p for p in pairs if p.readings_changed == 1] or list(pairs)
    readings = " or ".join(
        f"the {kind_1} is meant as '{p.first}' and the {kind_2} as '{p.second}'" for p in likely
    )
    explained = f"They agree if {readings}." if likely else "No pair of conventions makes them agree."
    text = sentence(
        f"The {kind_1} ({{figure_1}}, {figure_1.convention}) means {{k_1}} "
        f"peak line-to-line, the {kind_2} ({{figure_2}}, {figure_2.convention}) means {{k_2}}: "
        f"a ratio of {max(k_1, k_2) / min(k_1, k_2):.3f}{_ratio_name(k_1, k_2, tolerance)}. {explained} "
        f"The {kind_1} is used as stated.",
        figure_1=(figure_1.value, FIGURE_UNITS[kind_1]),
        k_1=(k_1, Kind.BACK_EMF_CONSTANT),
        figure_2=(figure_2.value, FIGURE_UNITS[kind_2]),
        k_2=(k_2, Kind.BACK_EMF_CONSTANT),
    )
    numbers = {
        "back_emf_constant_used_V_s_rad": k_1,
        "back_emf_constant_other_V_s_rad": k_2,
        "ratio": k_1 / k_2,
        "agreeing_pairs": float(len(pairs)),
    }
    return Finding("constants_disagree", "warning", text, numbers)


def _ratio_name(k_1: float, k_2: float, tolerance: float) -> str:
    ratio = max(k_1, k_2) / min(k_1, k_2)
    name, known = min(KNOWN_RATIOS.items(), key=lambda item: abs(ratio / item[1] - 1.0))
    return f", near {name}" if abs(ratio / known - 1.0) <= tolerance else ""


def _read_as(figure: StatedFigure, convention: str) -> StatedFigure:
    return replace(figure, convention=convention)  # type: ignore[arg-type]
