"""What commutation takes from the voltage of a six-step drive, beyond the bridge rectifier equation."""

from __future__ import annotations

import numpy as np

from core.findings import Finding
from core.numeric import FloatArray, Numeric
from core.physics.losses import NO_SERIES_PATH, SeriesPath, winding_resistance
from core.physics.machine_constants import MachineConstants
from core.sentences import sentence
from core.units import Kind

OVERLAP_VALIDITY = 0.8
"""Overlap term over resistance up to which the plain overlap term is trusted. [-]"""

OVERLAP_PLAIN = 3.0 / np.pi
"""Factor of the overlap term in the bridge rectifier equation. [-]"""

# Fit of the mean voltage lost to commutation, from the simulation in tests/reference: see Notes of
# `overlap_factor`.
_LONG_OFFSET, _LONG_SLOPE, _LONG_EMF = 0.28, 0.88, 0.95
_SHORT_OFFSET, _SHORT_EMF, _SHORT_KNEE = 0.98, 0.25, 0.08


def overlap_factor(emf_ratio: Numeric, reactance_ratio: Numeric) -> FloatArray:
    r"""Return kappa in the mean voltage `kappa w_e L_ph I` that six-step loses to commutation.

    Parameters
    ----------
    emf_ratio : float or ndarray, any shape
        Peak line-to-line EMF over link voltage. [-]
    reactance_ratio : float or ndarray, shape that broadcasts
        Reactance over resistance of a phase, `w_e L_LL / R_LL`. [-]

    Returns
    -------
    factor : ndarray, broadcast shape
        3/pi, the value of a bridge rectifier, or more. [-]

    Notes
    -----
    With x the reactance ratio and e the EMF ratio:

    .. math:: \kappa = \max\left(\frac{3}{\pi},\ \frac{1 - 0.95 e}{0.28 + 0.88/x},\
              (0.98 + 0.25 e)\frac{x}{x + 0.08}\right)

    Fitted to a time-domain simulation of the bridge with ideal switches and diodes, commutated 30
    degrees after the zero of the EMF without advance, for sinusoidal and trapezoidal EMF (120
    degrees). The second branch rules where the current of the outgoing phase lasts longer than a sector.
    Against the simulation, over 0.2 <= x <= 20 and 0.02 <= e <= 0.95, the torque that the law
    allows is between 6.5 % low and 6 % high; the plain 3/pi is up to 2.5 times too high.
    Above e = 0.95 the torque is small and its relative error grows: conduction is interrupted.
    Advancing the commutation, as some drives do, gives more torque than this.

    References
    ----------
    .. [1] The simulation in tests/reference/six_step_simulation.py; 3/pi: overlap of a bridge
       rectifier, N. Mohan, T. M. Undeland, W. P. Robbins, Power Electronics (from memory).

    Examples
    --------
    >>> round(float(overlap_factor(0.3, 0.05)), 4)  # 3/pi
    0.9549
    >>> round(float(overlap_factor(0.9, 1e9)), 4)  # 0.98 + 0.225
    1.205
    """
    x, e = np.asarray(reactance_ratio, float), np.asarray(emf_ratio, float)
    long_overlap = (1.0 - _LONG_EMF * e) * x / (_LONG_OFFSET * x + _LONG_SLOPE)
    short_overlap = (_SHORT_OFFSET + _SHORT_EMF * e) * x / (x + _SHORT_KNEE)
    return np.asarray(np.maximum(OVERLAP_PLAIN, np.maximum(long_overlap, short_overlap)))


def six_step_voltage(
    ohmic_voltage: FloatArray,
    overlap_voltage: FloatArray,
    peak_emf: FloatArray,
    reactance_ratio: FloatArray,
) -> FloatArray:
    r"""Return the link voltage of a motoring six-step drive, the overlap resolved for the voltage.

    Parameters
    ----------
    ohmic_voltage : ndarray, any shape
        Mean EMF of a sector, resistive and device drops. [V]
    overlap_voltage : ndarray, shape that broadcasts
        Reactance times current, `w_e L_ph I`, not negative. [V]
    peak_emf : ndarray, shape that broadcasts
        Peak line-to-line EMF. [V]
    reactance_ratio : ndarray, shape that broadcasts
        Reactance over resistance of a phase. [-]

    Returns
    -------
    voltage : ndarray, broadcast shape
        Link voltage times duty. [V]

    Notes
    -----
    `U = U_ohmic + kappa(E/U, x) w_e L_ph I`. Each branch of kappa is linear in `E/U`, so each gives
    a quadratic in U; the largest of the three roots satisfies the maximum of the branches.

    References
    ----------
    .. [1] As `overlap_factor`.

    Examples
    --------
    >>> zero = np.array(0.0)
    >>> float(six_step_voltage(np.array(15.0), zero, zero, zero))
    15.0
    """
    x = reactance_ratio
    voltage = ohmic_voltage + OVERLAP_PLAIN * overlap_voltage
    long_gain = x / (_LONG_OFFSET * x + _LONG_SLOPE)
    short_gain = x / (x + _SHORT_KNEE)
    for a, b in (
        (long_gain, -_LONG_EMF * long_gain),
        (_SHORT_OFFSET * short_gain, _SHORT_EMF * short_gain),
    ):
        half = 0.5 * (ohmic_voltage + a * overlap_voltage)
        # positive also for the falling branch, because 0.95 < 3/pi; the floor guards rounding only
        root = half + np.sqrt(np.maximum(half * half + b * overlap_voltage * peak_emf, 0.0))
        voltage = np.maximum(voltage, root)
    return np.asarray(voltage)


def braking_overlap_factor(emf_ratio: Numeric, reactance_ratio: Numeric) -> FloatArray:
    r"""Return kappa for braking with the link voltage applied against the motion.

    Parameters
    ----------
    emf_ratio : float or ndarray, any shape
        Peak line-to-line EMF over link voltage. [-]
    reactance_ratio : float or ndarray, shape that broadcasts
        Reactance over resistance of a phase, `w_e L_LL / R_LL`. [-]

    Returns
    -------
    factor : ndarray, broadcast shape
        3/pi or more. [-]

    Notes
    -----
    The branch of long overlap in `overlap_factor`, continued to a negative EMF. In the simulation of
    the same bridge with the sectors turned by 180 degrees, over 0.2 <= x <= 18 and
    0.05 <= e <= 0.95, the torque from `(U + k_t w)/(R + kappa X)` is between 19 % low and 3 % high;
    with 3/pi alone it is up to three times too high.

    References
    ----------
    .. [1] The simulation in tests/reference/six_step_simulation.py.

    Examples
    --------
    >>> round(float(braking_overlap_factor(0.0, 1e9)), 3)  # 1/0.28
    3.571
    """
    x, e = np.asarray(reactance_ratio, float), np.asarray(emf_ratio, float)
    return np.asarray(np.maximum(OVERLAP_PLAIN, (1.0 + _LONG_EMF * e) * x / (_LONG_OFFSET * x + _LONG_SLOPE)))


def six_step_braking_voltage(
    net_voltage: FloatArray,
    overlap_voltage: FloatArray,
    peak_emf: FloatArray,
    reactance_ratio: FloatArray,
) -> FloatArray:
    r"""Return the link voltage applied against the motion that a braking current needs.

    Parameters
    ----------
    net_voltage : ndarray, any shape
        Resistive drop less mean EMF of a sector; negative while the EMF drives the current. [V]
    overlap_voltage : ndarray, shape that broadcasts
        Reactance times amount of current. [V]
    peak_emf : ndarray, shape that broadcasts
        Peak line-to-line EMF. [V]
    reactance_ratio : ndarray, shape that broadcasts
        Reactance over resistance of a phase. [-]

    Returns
    -------
    voltage : ndarray, broadcast shape
        Link voltage times duty, not negative. [V]

    Notes
    -----
    `U = R I - k_t w + kappa w_e L_ph I` with kappa from `braking_overlap_factor`, resolved for U.

    References
    ----------
    .. [1] As `braking_overlap_factor`.

    Examples
    --------
    >>> zero = np.array(0.0)
    >>> float(six_step_braking_voltage(np.array(9.0), zero, zero, zero))
    9.0
    """
    gain = reactance_ratio / (_LONG_OFFSET * reactance_ratio + _LONG_SLOPE)
    half = 0.5 * (net_voltage + gain * overlap_voltage)
    root = half + np.sqrt(half * half + _LONG_EMF * gain * overlap_voltage * peak_emf)
    return np.asarray(np.maximum(root, net_voltage + OVERLAP_PLAIN * overlap_voltage))


def overlap_ratio(
    constants: MachineConstants,
    speed: Numeric,
    winding_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> FloatArray:
    """Return the plain commutation overlap term of six-step over the resistance.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    ratio : ndarray, broadcast shape
        `(3/pi) w_e L_ph / R`, R the whole loop. [-]

    References
    ----------
    .. [1] As `overlap_factor`.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8)
    >>> round(float(overlap_ratio(m, 712.09, 25.0)), 2)  # 0.955 * 5697/s * 0.175 mH / 0.8 ohm
    1.19
    """
    reactance = np.abs(speed) * (constants.pole_pairs * 0.5 * constants.inductance)
    loop = winding_resistance(constants, winding_temp) + path.loop_resistance
    return np.asarray(OVERLAP_PLAIN * reactance / loop)


def overlap_finding(
    constants: MachineConstants,
    speed: Numeric,
    winding_temp: Numeric,
    path: SeriesPath = NO_SERIES_PATH,
) -> Finding | None:
    """Return a finding where the plain overlap term of six-step would be optimistic.

    Parameters
    ----------
    constants : MachineConstants
        The machine. [SI]
    speed : float or ndarray, any shape
        Shaft speeds that matter. [rad/s]
    winding_temp : float or ndarray, shape that broadcasts
        Mean winding temperature. [degC]
    path : SeriesPath, default nothing in series
        Leads and switches between link and winding. [SI]

    Returns
    -------
    finding : Finding or None
        `overlap_term_optimistic` if the ratio exceeds 0.8 anywhere, with ratio and speed. [SI]

    Notes
    -----
    The limits in `voltage` are already corrected by `overlap_factor`; the finding says that the
    correction matters here and how far it can be trusted.

    References
    ----------
    .. [1] The simulation in tests/reference/six_step_simulation.py.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8)
    >>> overlap_finding(m, 52.4, 25.0) is None, overlap_finding(m, 712.0, 25.0).code
    (True, 'overlap_term_optimistic')
    """
    ratio = overlap_ratio(constants, speed, winding_temp, path)
    if not ratio.size or not ratio.max() > OVERLAP_VALIDITY:
        return None
    at = float(np.ravel(np.broadcast_to(np.abs(speed), ratio.shape))[ratio.argmax()])
    largest = float(ratio.max())
    text = sentence(
        f"At {{speed}} the commutation overlap takes {largest:.2g} times as much voltage as the "
        f"resistance. Above {OVERLAP_VALIDITY:g} the plain formula promises too much torque; the limit "
        "shown is corrected by a fit to a switched simulation, good to about 6 %.",
        speed=(at, Kind.SPEED),
    )
    values = {"overlap_ratio": largest, "overlap_ratio_limit": OVERLAP_VALIDITY, "speed_rad_s": at}
    return Finding("overlap_term_optimistic", "warning", text, values)
