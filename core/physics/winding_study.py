r"""Which winding of a frame: the number of turns between voltage and current.

More turns raise the EMF until the voltage no longer reaches; fewer raise the current until the electronics
cannot carry it. Between the two lies the window of turns, and the windings on the shelf fall in it or not.
Every winding of a frame has the same motor constant and the same heat: the choice is one of voltage.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray
from core.physics.input_ranges import require_finite, require_positive
from core.physics.losses import NO_SERIES_PATH, SeriesPath, motor_current
from core.physics.machine_constants import Commutation, MachineConstants
from core.physics.voltage import CASES, worst_voltage
from core.physics.winding import rewound
from core.records import dataclass
from core.sentences import Sentence, sentence
from core.units import Kind

# Turns, relative to those at which the winding alone takes all of the voltage, between which leads and
# switches may still leave a solution: below a thousandth all voltage would have to be lost outside.
_LEAST_SHARE_OF_TURNS = 1e-3


def _counted(point: int) -> str:
    return f"point {point + 1}"


@dataclass(frozen=True, slots=True)
class WindingNeeds:
    """What every winding of the study has to reach and may draw.

    Attributes
    ----------
    em_torque : ndarray, shape (n,)
        Torque in the air gap of each required point, with sign. [N m]
    speed : ndarray, shape (n,)
        Speed of each point, with sign. [rad/s]
    available : float
        Result of `available_voltage` at the lowest supply voltage. [V]
    winding_temps, magnet_temps : tuple of float
        Cold and hot. [degC]
    lasting_torque : float
        Torque whose heat counts: rms of `em_torque` over the cycle. [N m]
    peak_current, lasting_current : float, optional
        Limits of the electronics, in the current of the commutation. [A]
    name_of : callable
        What a sentence calls the point of an index; without it the points are counted. [-]
    """

    em_torque: FloatArray
    speed: FloatArray
    available: float
    winding_temps: tuple[float, float]
    magnet_temps: tuple[float, float]
    lasting_torque: float = 0.0
    peak_current: float | None = None
    lasting_current: float | None = None
    name_of: Callable[[int], str] = _counted

    def __post_init__(self) -> None:
        """Refuse needs that cannot be evaluated."""
        if np.shape(self.em_torque) != np.shape(self.speed) or np.size(self.em_torque) == 0:
            raise InputRangeError(
                "number of torques", np.size(self.em_torque), "", "that of the speeds and above zero"
            )
        require_finite("em_torque", self.em_torque, "N m")
        require_finite("speed", self.speed, "rad/s")
        require_positive("available voltage", self.available, "V")
        for name in ("peak_current", "lasting_current"):
            if getattr(self, name) is not None:
                require_positive(name, getattr(self, name), "A")


@dataclass(frozen=True, slots=True)
class WindingSupply:
    """How the windings are fed, and how far a winding may differ from its data sheet.

    Attributes
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the electronics feed the machine. [-]
    path : SeriesPath
        Leads and switches between link and winding. [SI]
    back_emf_tolerance, resistance_tolerance : float
        Largest deviation to either side. [-]
    """

    commutation: Commutation = "sinusoidal"
    path: SeriesPath = NO_SERIES_PATH
    back_emf_tolerance: float = 0.0
    resistance_tolerance: float = 0.0

    def __post_init__(self) -> None:
        """Refuse tolerances that leave nothing."""
        for name in ("back_emf_tolerance", "resistance_tolerance"):
            if not 0.0 <= getattr(self, name) < 1.0:
                raise InputRangeError(name, getattr(self, name), "", "0 or more and below 1")


@dataclass(frozen=True, slots=True)
class VoltageNeed:
    """The hardest point of a winding.

    Attributes
    ----------
    utilisation : float
        Required over available voltage. [-]
    point : int
        Index of the point. [-]
    case : str
        Which temperatures, one of `CASES`. [-]
    """

    utilisation: float
    point: int
    case: str


def voltage_need(constants: MachineConstants, needs: WindingNeeds, supply: WindingSupply) -> VoltageNeed:
    """Return the largest share of the available voltage that a winding asks for.

    Parameters
    ----------
    constants : MachineConstants
        The winding. [SI]
    needs : WindingNeeds
        Required points, voltage and temperatures. [SI]
    supply : WindingSupply
        Commutation, leads and tolerances. [SI]

    Returns
    -------
    need : VoltageNeed
        Utilisation, point and case of the hardest of points, temperatures and tolerances. [-]

    Notes
    -----
    Back-EMF constant and resistance at both ends of their tolerance in turn: a strong magnet asks for
    more at light load, a weak one at high torque. All points and temperatures in one pass each.

    References
    ----------
    .. [1] As `worst_voltage`; common practice, no source, for the corners.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> needs = WindingNeeds(np.array([0.12]), np.array([500.0]), 20.0, (25.0, 25.0), (25.0, 25.0))
    >>> round(voltage_need(m, needs, WindingSupply("six-step")).utilisation, 4)  # (15 + 4*0.8)/20
    0.91
    """
    hardest = VoltageNeed(-1.0, 0, CASES[0])
    for emf_factor in _corners(supply.back_emf_tolerance):
        for resistance_factor in _corners(supply.resistance_tolerance):
            unit = replace(
                constants,
                back_emf_constant=constants.back_emf_constant * emf_factor,
                resistance=constants.resistance * resistance_factor,
            )
            worst = worst_voltage(
                unit,
                supply.commutation,
                needs.em_torque,
                needs.speed,
                needs.winding_temps,
                needs.magnet_temps,
                needs.available,
                supply.path,
            )
            point = int(worst.utilisation.argmax())
            utilisation = float(worst.utilisation[point])
            if utilisation > hardest.utilisation:
                hardest = VoltageNeed(utilisation, point, CASES[int(worst.case[point])])
    return hardest


def current_need(
    constants: MachineConstants, needs: WindingNeeds, supply: WindingSupply
) -> tuple[float, float]:
    """Return peak and lasting current that a winding draws, with the weakest magnets.

    Parameters
    ----------
    constants : MachineConstants
        The winding. [SI]
    needs : WindingNeeds
        Required points and temperatures. [SI]
    supply : WindingSupply
        Commutation and tolerances. [SI]

    Returns
    -------
    peak, lasting : float
        Current of the largest torque and of the lasting torque, in the current of the commutation:
        link ampere or peak phase ampere. [A]

    References
    ----------
    .. [1] As `motor_current`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> needs = WindingNeeds(np.array([-0.12]), np.array([500.0]), 20.0, (25.0, 25.0), (25.0, 25.0), 0.06)
    >>> [round(amps, 6) for amps in current_need(m, needs, WindingSupply("six-step"))]
    [4.0, 2.0]
    """
    weak = replace(
        constants, back_emf_constant=constants.back_emf_constant * (1.0 - supply.back_emf_tolerance)
    )
    # the magnets are weakest hot, unless their coefficient is zero
    hot = max(needs.magnet_temps)
    peak = motor_current(weak, supply.commutation, float(np.abs(needs.em_torque).max()), hot)
    lasting = motor_current(weak, supply.commutation, abs(needs.lasting_torque), hot)
    return float(peak), float(lasting)


@dataclass(frozen=True, slots=True)
class TurnsWindow:
    """The turns, relative to a known winding, with which a frame does what is asked.

    Attributes
    ----------
    lowest_by_voltage, highest_by_voltage : float
        Between these the voltage reaches all points; infinity and zero where none does. Too few turns
        fail where leads and switches take the voltage. [-]
    lowest_by_current : float
        Fewest turns at which the electronics carry the current; zero without a limit. [-]
    """

    lowest_by_voltage: float
    highest_by_voltage: float
    lowest_by_current: float

    @property
    def fastest(self) -> float:
        """Turns of the fastest winding that reaches all points with a current that is carried. [-]"""
        return max(self.lowest_by_voltage, self.lowest_by_current)

    @property
    def is_open(self) -> bool:
        """Whether any number of turns does."""
        return self.fastest <= self.highest_by_voltage


def turns_window(constants: MachineConstants, needs: WindingNeeds, supply: WindingSupply) -> TurnsWindow:
    r"""Return the turns between which a winding of this frame reaches all points with its current carried.

    Parameters
    ----------
    constants : MachineConstants
        Any one winding of the frame. [SI]
    needs : WindingNeeds
        Required points, voltage, temperatures and current limits. [SI]
    supply : WindingSupply
        Commutation, leads and tolerances. [SI]

    Returns
    -------
    window : TurnsWindow
        Turns over those of the winding given; `rewound` makes the constants of any of them. [-]

    Notes
    -----
    With N the ratio of turns, EMF, resistive and reactive voltage of the winding grow as N while the
    current falls as 1/N; leads and switches add about as 1/N, and a constant drop:

    .. math:: U(N) = A N + B/N + D

    Without leads and switches the largest N is 1/U(1). With them the least U(N) is looked for, and from
    there the turns at which it takes all of the voltage, by bounded search and Brent's method to 1e-9.

    References
    ----------
    .. [1] First principles; equal copper in the slot as in `rewound`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> needs = WindingNeeds(np.array([0.12]), np.array([500.0]), 20.0, (25.0, 25.0), (25.0, 25.0),
    ...                      peak_current=5.0)
    >>> window = turns_window(m, needs, WindingSupply("six-step"))
    >>> round(window.highest_by_voltage, 4), round(window.fastest, 4)  # 20/18.2 and 4/5
    (1.0989, 0.8)
    """
    peak, lasting = current_need(constants, needs, supply)
    by_current = max(
        0.0 if needs.peak_current is None else peak / needs.peak_current,
        0.0 if needs.lasting_current is None else lasting / needs.lasting_current,
    )
    alone = voltage_need(constants, needs, replace(supply, path=NO_SERIES_PATH)).utilisation
    if supply.path == NO_SERIES_PATH or alone == 0.0:
        return TurnsWindow(0.0, 1.0 / alone if alone > 0.0 else math.inf, by_current)
    low, high = _voltage_turns(constants, needs, supply, 1.0 / alone)
    return TurnsWindow(low, high, by_current)


def _voltage_turns(
    constants: MachineConstants, needs: WindingNeeds, supply: WindingSupply, turns_alone: float
) -> tuple[float, float]:
    """Return fewest and most turns at which the voltage reaches, (infinity, 0) where none do."""
    from scipy.optimize import brentq, minimize_scalar  # slow to import: only where it is used

    def excess(log_turns: float) -> float:
        turns = turns_alone * math.exp(log_turns)
        return voltage_need(rewound(constants, turns), needs, supply).utilisation - 1.0

    bottom, top = math.log(_LEAST_SHARE_OF_TURNS), math.log(2.0)
    while excess(top) <= 0.0:
        top += math.log(2.0)  # braking: leads help, so that more turns may do than without them
    found = minimize_scalar(excess, bounds=(bottom, top), method="bounded", options={"xatol": 1e-4})
    best = float(found.x)
    if excess(best) > 0.0:
        return math.inf, 0.0
    high = float(brentq(excess, best, top, xtol=1e-9))
    low = float(brentq(excess, bottom, best, xtol=1e-9)) if excess(bottom) > 0.0 else -math.inf
    return turns_alone * math.exp(low), turns_alone * math.exp(high)


@dataclass(frozen=True, slots=True)
class WindingRow:
    """One winding of a study.

    Attributes
    ----------
    name : str
        Of the winding. [-]
    constants : MachineConstants
        Its constants. [SI]
    voltage : VoltageNeed
        The hardest point. [-]
    peak_current, lasting_current : float
        What it draws, in the current of the commutation. [A]
    fits : bool, optional
        Whether it reaches all points with a current that is carried; None where nothing fails but a
        limit of the electronics is missing. [-]
    reason : Sentence
        Why or why not, with numbers. [-]
    """

    name: str
    constants: MachineConstants
    voltage: VoltageNeed
    peak_current: float
    lasting_current: float
    fits: bool | None
    reason: Sentence


def winding_table(
    windings: Mapping[str, MachineConstants], needs: WindingNeeds, supply: WindingSupply
) -> tuple[WindingRow, ...]:
    """Return each winding with its share of the voltage, its current, and whether it fits.

    Parameters
    ----------
    windings : mapping of str to MachineConstants
        The windings by name. [SI]
    needs : WindingNeeds
        Required points, voltage, temperatures and current limits. [SI]
    supply : WindingSupply
        Commutation, leads and tolerances. [SI]

    Returns
    -------
    rows : tuple of WindingRow
        In the order given. [SI]

    References
    ----------
    .. [1] As `voltage_need` and `current_need`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 1e-9, 8, emf_shape="trapezoidal")
    >>> needs = WindingNeeds(np.array([0.12]), np.array([500.0]), 20.0, (25.0, 25.0), (25.0, 25.0),
    ...                      peak_current=5.0)
    >>> rows = winding_table({"A": rewound(m, 0.5), "B": m, "C": rewound(m, 2.0)}, needs,
    ...                      WindingSupply("six-step"))
    >>> [(row.name, row.fits, round(row.peak_current, 3)) for row in rows]
    [('A', False, 8.0), ('B', True, 4.0), ('C', False, 2.0)]
    """
    return tuple(_row(name, constants, needs, supply) for name, constants in windings.items())


def _row(name: str, constants: MachineConstants, needs: WindingNeeds, supply: WindingSupply) -> WindingRow:
    voltage = voltage_need(constants, needs, supply)
    peak, lasting = current_need(constants, needs, supply)
    faults, values = [], {"share": (voltage.utilisation, Kind.RATIO), "peak": (peak, Kind.CURRENT)}
    if voltage.utilisation > 1.0:
        faults.append(f"{needs.name_of(voltage.point)} asks for {{share}} of the voltage with {voltage.case}")
    limits = [("peak", peak, needs.peak_current)]
    if needs.lasting_torque != 0.0:
        limits.append(("continuous", lasting, needs.lasting_current))
    for kind, current, limit in limits:
        if limit is not None and current > limit:
            faults.append(f"{kind} current {{{kind}}} is above {{{kind}_limit}} of the electronics")
            values |= {kind: (current, Kind.CURRENT), f"{kind}_limit": (limit, Kind.CURRENT)}
    unchecked = [kind for kind, _, limit in limits if limit is None]
    if faults:
        fits, text = False, "Does not fit: " + "; ".join(faults) + "."
    elif unchecked:
        fits, text = None, "Takes {share} of the voltage and up to {peak}; not checked against the limit of "
        text += " and ".join(unchecked) + " current, which is missing."
    else:
        fits, text = True, "Fits: takes {share} of the voltage and up to {peak}."
    return WindingRow(name, constants, voltage, peak, lasting, fits, sentence(text, **values))


def fastest_winding(rows: tuple[WindingRow, ...]) -> WindingRow | None:
    """Return the fastest winding that reaches all points with a current that the electronics carry.

    Parameters
    ----------
    rows : tuple of WindingRow
        Result of `winding_table`. [SI]

    Returns
    -------
    row : WindingRow or None
        The one with the lowest back-EMF constant of those that fit: the most reserve of voltage for
        the current at hand. [SI]

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> fastest_winding(()) is None
    True
    """
    fitting = [row for row in rows if row.fits]
    return min(fitting, key=lambda row: row.constants.back_emf_constant, default=None)


def _corners(tolerance: float) -> tuple[float, ...]:
    return (1.0 - tolerance, 1.0 + tolerance) if tolerance > 0.0 else (1.0,)
