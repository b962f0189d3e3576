r"""How far heat may be off: one cause of doubt varied at a time, the effects added as squares.

Causes that have nothing to do with each other seldom all go wrong the same way, so their effects combine by
the root of the sum of squares. What a calibration leaves is not independent: a stated resistance holds slot
lining and end windings together, one up, the other down. Directions that are independent come from its
covariance, each as close to one law as can be, and carry its name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple, replace
from typing import Final

import numpy as np

from core.numeric import BoolArray, FloatArray, read_only
from core.physics.calibration_findings import FACTOR_WORDS
from core.physics.heat_calibration import FACTOR_NAMES, Calibration, FactorWidths
from core.physics.heat_network import HeatNetwork
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.motor_dimensions import LawFactors
from core.records import dataclass

HOT_SPOT: Final = 10.0
"""Hottest place of a winding above its mean. Common practice, no source. [K]"""

HOT_SPOT_WIDTH: Final = 5.0
"""How far that may be off: one standard deviation. Assumed, no source. [K]"""

SPEED_LAW_WIDTH: Final = 0.1
"""Of what the rotor drives, so much stays open at other speeds than those of the stated torques: exponents
lie between 0.5 and 0.8, and 0.1 of an exponent makes 0.1 over a factor e of speed. Assumed, no source. [-]"""

SPEED_LAW_NAME: Final = "law of speed of the turning rotor"
HOT_SPOT_NAME: Final = "hot spot of the winding"

_LASTING: Final = 4  # the first factors; those on heat capacities change nothing that lasts


@dataclass(frozen=True, slots=True)
class HeatSource:
    """One cause of doubt, independent of the others.

    Parameters
    ----------
    name : str
        In plain words. [-]
    change : ndarray, shape (6,)
        What one standard deviation of it changes in the logarithms of the factors. [-]
    hot_spot : float
        What it changes in the excess of the hot spot. [K]

    References
    ----------
    Own formulation.
    """

    name: str
    change: FloatArray
    hot_spot: float = 0.0


@dataclass(frozen=True, slots=True)
class HeatSources:
    """What is most probable, and all causes of doubt about it.

    Parameters
    ----------
    factors : LawFactors
        The most probable factors. [-]
    hot_spot : float
        The most probable excess of the hot spot over the mean winding. [K]
    sources : tuple of HeatSource
        The causes. [-]

    References
    ----------
    Own formulation.
    """

    factors: LawFactors
    hot_spot: float
    sources: tuple[HeatSource, ...]

    def varied(self, source: HeatSource, widths: float) -> tuple[LawFactors, float]:
        """Return factors and hot spot, never below zero, one cause moved by so many of its widths. [K]"""
        logs = np.log(astuple(self.factors)) + widths * source.change
        excess = max(self.hot_spot + widths * source.hot_spot, 0.0)
        return LawFactors(*(float(factor) for factor in np.exp(logs))), excess


@dataclass(frozen=True, slots=True)
class Band:
    """A quantity with its doubt.

    Parameters
    ----------
    low, mid, high : ndarray, any one shape
        Least and most within the coverage, and most probable. [as the quantity]
    effects : ndarray, shape (sources, ...)
        Half the difference that each cause makes from one side to the other. [as the quantity]
    sources : tuple of str
        Names of the causes. [-]

    References
    ----------
    Own formulation.
    """

    low: FloatArray
    mid: FloatArray
    high: FloatArray
    effects: FloatArray
    sources: tuple[str, ...]


def heat_sources(
    calibration: Calibration,
    *,
    hot_spot: float = HOT_SPOT,
    hot_spot_width: float = HOT_SPOT_WIDTH,
    lasting: bool = False,
) -> HeatSources:
    r"""Return the independent causes of doubt that a calibration leaves, and the hot spot.

    Parameters
    ----------
    calibration : Calibration
        With or without figures. [-]
    hot_spot, hot_spot_width : float
        Excess of the hot spot over the mean winding and its standard deviation. [K]
    lasting : bool
        True leaves out heat capacities, which change nothing that lasts. [-]

    Returns
    -------
    sources : HeatSources
        One per factor, then the law of speed, then the hot spot. [-]

    Raises
    ------
    InputRangeError
        If the hot spot or its width is below zero.

    Notes
    -----
    With the covariance :math:`D C D`, D the widths and C the correlations, the columns of
    :math:`D C^{1/2}` are independent directions of one width each. Of all such sets they are closest to the
    factors themselves, and no order of the factors enters.

    References
    ----------
    A. Kessy, A. Lewin, K. Strimmer, Optimal whitening and decorrelation, The American Statistician 72
    (2018) 309 (from memory).

    Examples
    --------
    Without figures each factor is a cause of its own, by the width of its law:

    >>> from core.physics.calibration_figures import StatedHeat
    >>> from core.physics.heat_calibration import calibrated
    >>> one = HeatNetwork(("winding",), np.ones(1), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.ones(1), np.zeros(1), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> found = heat_sources(calibrated(lambda factors: one, StatedHeat()), lasting=True)
    >>> [(source.name, float(source.change.max())) for source in found.sources[2:4]]
    [('outer surfaces', 0.15), ('cooling by the turning rotor', 0.2)]
    """
    count = _LASTING if lasting else len(FACTOR_NAMES)
    covariance = calibration.covariance[:count, :count]
    widths = np.sqrt(np.diag(covariance))
    share, direction = np.linalg.eigh(covariance / np.outer(widths, widths))
    root = (direction * np.sqrt(np.maximum(share, 0.0))) @ direction.T
    change = np.zeros((count + 1, len(FACTOR_NAMES)))
    change[:count, :count] = (widths[:, None] * root).T
    change[count, FACTOR_NAMES.index("turning")] = SPEED_LAW_WIDTH
    names = (*(FACTOR_WORDS[name] for name in FACTOR_NAMES[:count]), SPEED_LAW_NAME)
    return _with_hot_spot(calibration.factors, change, names, hot_spot, hot_spot_width)


def network_sources(
    widths: FactorWidths | None = None,
    *,
    hot_spot: float = HOT_SPOT,
    hot_spot_width: float = HOT_SPOT_WIDTH,
) -> HeatSources:
    """Return the causes of doubt about a network without dimensions: surfaces, turning, hot spot.

    Parameters
    ----------
    widths : FactorWidths, optional
        Standard deviations of the logarithms; surface and turning are used. [-]
    hot_spot, hot_spot_width : float
        Excess of the hot spot over the mean winding and its standard deviation. [K]

    Returns
    -------
    sources : HeatSources
        Made for `varied_network`. [-]

    Raises
    ------
    InputRangeError
        If the hot spot or its width is below zero.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> [source.name for source in network_sources().sources]
    ['outer surfaces', 'cooling by the turning rotor', 'hot spot of the winding']
    """
    given = widths or FactorWidths()
    names = ("surface", "turning")
    change = np.zeros((len(names), len(FACTOR_NAMES)))
    for row, name in enumerate(names):
        change[row, FACTOR_NAMES.index(name)] = getattr(given, name)
    words = tuple(FACTOR_WORDS[name] for name in names)
    return _with_hot_spot(LawFactors(), change, words, hot_spot, hot_spot_width)


def _with_hot_spot(
    factors: LawFactors, change: FloatArray, names: tuple[str, ...], hot_spot: float, width: float
) -> HeatSources:
    require_not_negative("excess of the hot spot", hot_spot, "K")
    require_not_negative("width of the hot spot", width, "K")
    read_only(change)
    laws = [HeatSource(name, row) for name, row in zip(names, change, strict=True)]
    spot = HeatSource(HOT_SPOT_NAME, np.zeros(len(FACTOR_NAMES)), width)
    return HeatSources(factors, hot_spot, (*laws, spot))


def band(
    quantity: Callable[[LawFactors, float], FloatArray], sources: HeatSources, coverage: float = 1.0
) -> Band:
    r"""Return a quantity with the doubt of all causes.

    Parameters
    ----------
    quantity : callable
        Gives the quantity, as an array of one shape, for factors and hot spot. [any]
    sources : HeatSources
        What is most probable and what may be off. [-]
    coverage : float, default 1
        Half width of the band in standard deviations: 1 covers two cases of three, 2 about 95 %. [-]

    Returns
    -------
    band : Band
        Low, mid, high, effects. [as the quantity]

    Raises
    ------
    InputRangeError
        If the coverage is not positive.

    Notes
    -----
    Each cause is moved by its width to either side, with d the change it makes. Upwards and downwards are
    added apart, since a winding near its run-away answers unevenly:
    :math:`y_+ = y + k \sqrt{\sum_i \max(d_{i+}, d_{i-}, 0)^2}`, and likewise down. Where the most
    probable value is itself infinite, low is the lowest value of any single cause.

    References
    ----------
    Uncorrelated input quantities: JCGM 100:2008, 5.1.2 (from memory).

    Examples
    --------
    3 K/K of the hot spot and nothing else, plus or minus 5 K:

    >>> found = band(lambda factors, hot_spot: np.array([100.0 + 3.0 * hot_spot]), network_sources())
    >>> found.low.tolist(), found.mid.tolist(), found.high.tolist()
    ([115.0], [130.0], [145.0])
    """
    require_positive("coverage", coverage, "")
    mid = np.asarray(quantity(sources.factors, sources.hot_spot), dtype=float)
    sides = np.array(
        [[quantity(*sources.varied(s, side)) for side in (1.0, -1.0)] for s in sources.sources], dtype=float
    )
    finite = np.isfinite(mid)
    moved = np.where(finite, sides - np.where(finite, mid, 0.0), 0.0)
    up = coverage * np.sqrt((np.maximum(moved, 0.0).max(axis=1) ** 2).sum(axis=0))
    down = coverage * np.sqrt((np.minimum(moved, 0.0).min(axis=1) ** 2).sum(axis=0))
    result = Band(
        low=np.where(finite, mid - down, sides.min(axis=(0, 1))),
        mid=mid,
        high=mid + up,
        effects=0.5 * (moved[:, 0] - moved[:, 1]),
        sources=tuple(source.name for source in sources.sources),
    )
    read_only(result.low, result.mid, result.high, result.effects)
    return result


def varied_network(network: HeatNetwork, *, surface: float = 1.0, turning: float = 1.0) -> HeatNetwork:
    """Return a network whose surfaces cool better or worse by given factors.

    Parameters
    ----------
    network : HeatNetwork
        From dimensions, data sheet or node by node. [-]
    surface : float
        On natural convection and radiation of links to sinks that air reaches; a link to a sink without
        natural convection and without a rotor-driven part is solid and stays. [-]
    turning : float
        On every rotor-driven part. [-]

    Returns
    -------
    network : HeatNetwork
        The same with other conductances. [-]

    Raises
    ------
    InputRangeError
        If a factor is not positive.

    References
    ----------
    Own formulation.

    Examples
    --------
    >>> one = HeatNetwork(("winding",), np.ones(1), ("air",), np.array([25.0]), np.array([0]),
    ...     np.array([1]), np.array([0.1]), np.array([0.2]), np.zeros(1), np.ones(1), 0, 0, 0, 0)
    >>> varied_network(one, surface=1.5).fixed.tolist()
    [0.15000000000000002]
    """
    require_positive("factor on the surfaces", surface, "")
    require_positive("factor on what the rotor drives", turning, "")
    to_sink = (network.end_a >= len(network.nodes)) | (network.end_b >= len(network.nodes))
    cooled = np.where(to_sink & _meets_air(network), surface, 1.0)
    table, forced = network.by_temperature, network.forced
    if table is not None:
        table = replace(table, fixed=table.fixed * cooled, natural=table.natural * cooled)
    if forced is not None:
        forced = replace(forced, conductance=forced.conductance * turning)
    return replace(
        network,
        fixed=network.fixed * cooled,
        natural=network.natural * cooled,
        rotating=network.rotating * turning,
        by_temperature=table,
        forced=forced,
    )


def _meets_air(network: HeatNetwork) -> BoolArray:
    """Return which links have natural convection or a rotor-driven part, shape (l,)."""
    meets = (network.natural > 0.0) | (network.rotating > 0.0)
    if network.by_temperature is not None:
        meets = meets | (network.by_temperature.natural > 0.0).any(axis=0)
    if network.forced is not None:
        meets = meets | (network.forced.conductance > 0.0).any(axis=0)
    return meets
