r"""Holding torque: a motor that stands under current warms one phase more than the others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from core.numeric import FloatArray, Numeric
from core.physics.continuous_torque import ContinuousTorque, continuous_torque, steady_response
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive
from core.physics.operating_heat import OperatingHeat
from core.records import dataclass

COMMUTATIONS = ("sinusoidal", "six-step")
STANDING_PHASE_FACTOR = {"sinusoidal": 2.0, "six-step": 1.5}
"""Loss of the hottest phase over the mean of the phases at the worst angle of rest. [-]

Sinusoidal: the phase at its crest carries I_pk^2 R, the mean is I_pk^2 R/2. Six-step: two phases carry
I^2 R, the mean of three is 2/3 of it. First principles.
"""


@dataclass(frozen=True, slots=True)
class HoldingTorque:
    """Continuous torque at rest and what it costs.

    Parameters
    ----------
    torque : ndarray, shape (m,)
        Holding torque at the worst angle. [N m]
    derating : ndarray, shape (m,)
        Holding torque over the torque with the same loss spread evenly over the phases. [-]
    copper_loss : ndarray, shape (m,)
        Copper loss at the holding torque, with no shaft power at all. [W]
    limits : ContinuousTorque
        Temperatures and limiting node. [-]

    References
    ----------
    Common practice, no source: derating 0.83 to 0.91, at worst 0.71.
    """

    torque: FloatArray
    derating: FloatArray
    copper_loss: FloatArray
    limits: ContinuousTorque


def phase_loss_factor(
    electrical_frequency: Numeric, winding_time_constant: float, commutation: str
) -> FloatArray:
    r"""Return the highest rise of a phase over the core, relative to the mean of the phases.

    Parameters
    ----------
    electrical_frequency : float or ndarray, shape (m,)
        Electrical frequency; the sign does not matter. [Hz]
    winding_time_constant : float
        Time constant of the winding against the core. [s]
    commutation : str
        "sinusoidal" or "six-step". [-]

    Returns
    -------
    factor : ndarray, shape (m,)
        From 2 (six-step 1.5) at rest to 1. [-]

    Raises
    ------
    InputRangeError
        If the time constant is not positive.
    UnitError
        If the commutation is neither word.

    Notes
    -----
    The loss of one phase pulses at twice the electrical frequency and its rise follows with the time
    constant. Sinusoidal: :math:`1 + 1/\sqrt{1 + (2\omega_e\tau)^2}`. Six-step, current on for two
    thirds of every half period :math:`h`:
    :math:`\frac{3}{2}\,(1 - e^{-2h/3\tau})/(1 - e^{-h/\tau})`. Both are exact for one time constant.
    Where :math:`1/f` is 0.1 of the time constant both are within 1 % of 1: below that frequency the
    standing values begin to count, and they hold in full only where :math:`1/f` is far longer than the
    time constant.

    References
    ----------
    First-order lag driven by a sine and by a periodic pulse, first principles.

    Examples
    --------
    >>> [round(float(f), 4) for f in phase_loss_factor(np.array([0.0, 1.0]), 10.0, "sinusoidal")]
    [2.0, 1.008]
    >>> [round(float(f), 4) for f in phase_loss_factor(np.array([0.0, 1.0]), 10.0, "six-step")]
    [1.5, 1.0083]
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    require_positive("winding time constant", winding_time_constant, "s")
    frequency = np.abs(np.asarray(electrical_frequency, dtype=float))
    if commutation == "sinusoidal":
        swing: FloatArray = 1.0 / np.hypot(1.0, 4.0 * np.pi * frequency * winding_time_constant)
        return 1.0 + swing
    periods = frequency * winding_time_constant
    turning = periods > 1e-3  # below, exp(-333) is nothing and the phase sees its standing loss in full
    half_period = 0.5 / np.where(turning, periods, 1.0)
    factor: FloatArray = np.where(turning, 1.5 * np.expm1(-half_period / 1.5) / np.expm1(-half_period), 1.5)
    return factor


def slow_speed(pole_pairs: int, winding_time_constant: float) -> float:
    r"""Return the shaft speed below which the phases no longer warm evenly.

    Parameters
    ----------
    pole_pairs : int
        Pole pairs. [-]
    winding_time_constant : float
        Time constant of the winding against the core. [s]

    Returns
    -------
    speed : float
        Speed at which one electrical period is a tenth of the time constant. [rad/s]

    Raises
    ------
    InputRangeError
        If a value is not positive.

    Notes
    -----
    At this speed `phase_loss_factor` is still within 1 % of 1: the standing factor in full below it is
    on the safe side.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    7 pole pairs, 10 s: one period a second, 1/7 turn a second.

    >>> round(slow_speed(7, 10.0), 4)
    0.8976
    """
    require_positive("pole pairs", float(pole_pairs), "")
    require_positive("winding time constant", winding_time_constant, "s")
    return float(2.0 * np.pi * 10.0 / (winding_time_constant * pole_pairs))


def own_resistance_share(
    base_temp: Numeric,
    rise_per_watt: Numeric,
    winding_conductance: Numeric,
    limit: Numeric,
    copper_constant: float,
    commutation: str,
) -> FloatArray:
    r"""Return what the higher resistance of the hottest phase adds to its excess at the holding torque.

    Parameters
    ----------
    base_temp : float or ndarray, shape (m,)
        Winding temperature at rest without copper loss. [degC]
    rise_per_watt : float or ndarray, shape (m,)
        Lasting rise of the winding per watt of copper loss that all phases share. [K/W]
    winding_conductance : float or ndarray, shape (m,)
        Conductance from the winding to all its neighbours together. [W/K]
    limit : float or ndarray, shape (m,)
        Limit of the winding. [degC]
    copper_constant : float
        k of :math:`R \propto k + \vartheta`. [degC]
    commutation : str
        "sinusoidal" or "six-step". [-]

    Returns
    -------
    share : ndarray, shape (m,)
        a, so that :math:`f + (f - 1) a` in place of the factor f leads to the torque at which the hottest
        phase itself is at the limit; 0 where the winding is at its limit already. [-]

    Raises
    ------
    UnitError
        If the commutation is neither word.

    Notes
    -----
    Three phases with a third of the capacity and of the conductance :math:`G_W` each, which meet beyond
    the winding; L is the loss of all of them per kelvin of :math:`k + \vartheta`, e the excess of the hottest
    over their mean :math:`\vartheta_W = \vartheta_{max} - e`, and :math:`q = 1 - s`:

    .. math::

       \vartheta_W - \vartheta_0 &= H L\,(k + \vartheta_W + s e) \\
       G_W e &= L\,\bigl((f - 1)(k + \vartheta_W) + (f - s) e\bigr)

    Sinusoidal current stands with one phase at its crest and two at half of it (loss shares 2/3, 1/6, 1/6),
    the cooler ones e/2 below the mean: f = 2, s = 1/2. Six-step has two hot phases and one without current,
    2 e below: f = 3/2, s = 1. Without L it is a quadratic in e. The share is read off the rise of a winding
    of one temperature, :math:`(\vartheta_m - \vartheta_0)(1 - HL) = HL(k + \vartheta_0)`. The magnets take
    the loss of that winding: where they weaken the torque is up to 0.4 % too high. At less than the holding
    torque the share is on the safe side.

    References
    ----------
    Three parallel paths, first principles.

    Examples
    --------
    Six-step, 1 K/W of 2.5 K/W, 100 K: e = 0.5*100/(2.5 + 0.5) = 16.667 K, L = 83.333/(2.5*360) = 0.092593.
    A winding of one temperature takes (25 + 0.231481*235)/(1 - 0.231481) = 103.313 degC and 31.325 W, and
    21.687/(0.5*31.325) - 1 = 0.385:

    >>> round(float(own_resistance_share(25.0, 2.5, 1.0, 125.0, 235.0, "six-step")), 3)
    0.385
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    base, gain, way, top = (
        np.asarray(x, float) for x in (base_temp, rise_per_watt, winding_conductance, limit)
    )
    f, q = STANDING_PHASE_FACTOR[commutation], 0.5 if commutation == "sinusoidal" else 0.0
    there = (top > base) & np.isfinite(top)
    room, hot = np.where(there, top - base, 1.0), copper_constant + np.where(there, top, base + 1.0)
    # q (1 - G H) e^2 + b e - (f - 1) room hot = 0, in the form that keeps its digits where q is zero
    b, c = (gain * way + f - 1.0) * hot - room * q, (f - 1.0) * room * hot
    excess = 2.0 * c / (b + np.sqrt(b * b + 4.0 * q * (1.0 - gain * way) * c))
    per_kelvin = (room - excess) / (gain * (hot - q * excess))
    even = (base + gain * per_kelvin * copper_constant) / (1.0 - gain * per_kelvin)
    loss = per_kelvin * (copper_constant + even)
    share = (base + room - even) * way / (loss * (f - 1.0)) - 1.0
    return np.where(there, share, 0.0)


def sector_edge_loss_factor(commutation: str, trapezoidal_emf: bool = False) -> float:
    r"""Return the copper loss at the worst angle of rest over the loss of the same torque turning.

    Parameters
    ----------
    commutation : str
        "sinusoidal" or "six-step". [-]
    trapezoidal_emf : bool, default False
        True for an EMF with a flat top of at least 120 electrical degrees. [-]

    Returns
    -------
    factor : float
        1, or 1.216 for six-step current on a sinusoidal EMF. [-]

    Raises
    ------
    UnitError
        If the commutation is neither word.

    Notes
    -----
    Six-step torque per ampere is :math:`(3/\pi) k_e` on the mean of a sector and
    :math:`(\sqrt3/2) k_e` at its edge; the loss goes with the square of their ratio.

    References
    ----------
    First principles: line-to-line EMF 30 electrical degrees beside its crest.

    Examples
    --------
    >>> round(sector_edge_loss_factor("six-step"), 4)  # (0.95493/0.86603)^2
    1.2159
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    if commutation == "sinusoidal" or trapezoidal_emf:
        return 1.0
    return float((3.0 / np.pi) ** 2 / 0.75)


def standing_heat(heat: OperatingHeat, commutation: str, trapezoidal_emf: bool = False) -> OperatingHeat:
    """Return the same rows with the current frozen at the worst angle.

    Parameters
    ----------
    heat : OperatingHeat
        Rows at zero speed. [-]
    commutation : str
        "sinusoidal" or "six-step". [-]
    trapezoidal_emf : bool, default False
        As in `sector_edge_loss_factor`. [-]

    Returns
    -------
    heat : OperatingHeat
        Rows for continuous, short-time and periodic torque at rest. [-]

    Raises
    ------
    UnitError
        If the commutation is neither word.

    References
    ----------
    First principles, see `STANDING_PHASE_FACTOR` and `sector_edge_loss_factor`.

    Examples
    --------
    See `holding_torque`.
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    edge, factor = sector_edge_loss_factor(commutation, trapezoidal_emf), STANDING_PHASE_FACTOR[commutation]
    (base, gain), w = (one[:, heat.winding] for one in steady_response(heat)), heat.winding
    share = own_resistance_share(
        base, gain, heat.matrix[:, w, w], heat.limit[..., w], heat.copper_law.copper_constant, commutation
    )
    return replace(
        heat,
        copper_per_torque_squared=heat.copper_per_torque_squared * edge,
        phase_factor=factor + (factor - 1.0) * share,
    )


def holding_torque(heat: OperatingHeat, commutation: str, trapezoidal_emf: bool = False) -> HoldingTorque:
    r"""Return the torque a standing motor holds for ever at its worst angle.

    Parameters
    ----------
    heat : OperatingHeat
        Rows at zero speed; their phase factor is replaced. [-]
    commutation : str
        "sinusoidal" or "six-step". [-]
    trapezoidal_emf : bool, default False
        As in `sector_edge_loss_factor`. [-]

    Returns
    -------
    hold : HoldingTorque
        Torque, derating and loss. [-]

    Raises
    ------
    UnitError
        If the commutation is neither word.

    Notes
    -----
    The whole copper loss warms the core as ever, only the rise of the winding over its neighbours takes
    the phase factor. For a winding of resistance :math:`R_w` on a housing of resistance :math:`R_h` to the
    air the derating of sinusoidal current is :math:`\sqrt{(R_w + R_h)/(2R_w + R_h)}`.

    The higher resistance of the hottest phase counts: `own_resistance_share`. It costs 1.6 % of the torque
    where :math:`R_w` is a fifth of the way and the winding 100 K over the air, 3.8 % at 45 %.

    References
    ----------
    Common practice, no source; derating formula from first principles.

    Examples
    --------
    Six-step, 1 K/W from winding to housing, 3 K/W to the air. The hottest phase is 0.5*100/(4 + 0.5) =
    11.111 K above the mean, which takes 88.889/(4*360) = 0.061728 W/K; 0.061728*(235 + 110.245) W:

    >>> from core.physics.heat_network import HeatNetwork
    >>> from core.physics.operating_heat import operating_heat
    >>> two = HeatNetwork(("winding", "housing"), np.array([10.0, 90.0]), ("air",), np.array([25.0]),
    ...     np.array([0, 1]), np.array([1, 2]), np.array([1.0, 1 / 3]), np.zeros(2), np.zeros(2),
    ...     np.ones(2), 0, 1, 1, 1)
    >>> heat = operating_heat(two, np.array([0.0]), limit=np.array([125.0, np.inf]),
    ...     copper_per_torque_squared=50.0)
    >>> round(float(holding_torque(heat, "six-step").copper_loss[0]), 2)
    21.31
    """
    even = continuous_torque(replace(heat, phase_factor=np.ones_like(heat.phase_factor)))
    worst = continuous_torque(standing_heat(heat, commutation, trapezoidal_emf))
    holds = even.em_torque > 0.0
    derating = np.where(holds, worst.em_torque / np.where(holds, even.em_torque, 1.0), 0.0)
    return HoldingTorque(worst.em_torque, derating, worst.copper_loss, worst)


def winding_heating_rate(copper_loss: Numeric, winding_capacity: float) -> FloatArray:
    """Return how fast a winding warms before it can pass any heat on.

    Parameters
    ----------
    copper_loss : float or ndarray, shape (m,)
        Copper loss. [W]
    winding_capacity : float
        Heat capacity of the winding. [J/K]

    Returns
    -------
    rate : ndarray, shape (m,)
        Initial rate of rise, an upper bound from then on at constant loss. [K/s]

    Raises
    ------
    InputRangeError
        If the loss is negative or the capacity not positive.

    References
    ----------
    Energy balance, first principles.

    Examples
    --------
    >>> float(winding_heating_rate(120.0, 40.0))
    3.0
    """
    require_not_negative("copper loss", copper_loss, "W")
    require_positive("heat capacity of the winding", winding_capacity, "J/K")
    return np.asarray(copper_loss, dtype=float) / winding_capacity


def copper_heating_rate(
    current_density: Numeric, resistivity: float = 1.7241e-8, volumetric_heat: float = 3.45e6
) -> FloatArray:
    r"""Return how fast copper itself warms at a current density: the check of a winding's capacity.

    Parameters
    ----------
    current_density : float or ndarray, shape (m,)
        Current over copper section. [A/m^2]
    resistivity : float, default 1.7241e-8
        Of annealed copper at 20 degC. [ohm m]
    volumetric_heat : float, default 3.45e6
        Heat per volume. [J/(m^3 K)]

    Returns
    -------
    rate : ndarray, shape (m,)
        Adiabatic rate of rise. [K/s]

    Raises
    ------
    InputRangeError
        If the resistivity or the heat is not positive.

    Notes
    -----
    :math:`J^2\rho/(dc)`. A winding whose stated heat capacity makes it warm faster than its bare
    copper would has too small a capacity: slots, insulation and ends only add to it.

    References
    ----------
    Resistivity: IEC 60028 (from memory). Volumetric heat: IEC 60949 (from memory).

    Examples
    --------
    >>> round(float(copper_heating_rate(10e6)), 3)  # 10 A/mm^2: half a kelvin per second
    0.5
    """
    require_positive("resistivity", resistivity, "ohm m")
    require_positive("heat per volume", volumetric_heat, "J/(m^3 K)")
    return np.asarray(current_density, dtype=float) ** 2 * (resistivity / volumetric_heat)
