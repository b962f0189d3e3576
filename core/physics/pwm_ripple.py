"""The saw-tooth that switching puts on the current: its size, its heat in the winding, the choke against it.

A current path is what the drive switches: from one lead through two phases to another in six-step. Its
inductance is the line-to-line one of the winding with a choke and a lead on either side. The pulse
frequency is that of the voltage across the path, the carrier frequency where three legs are modulated.
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from core.errors import InputRangeError
from core.numeric import FloatArray, Numeric
from core.physics.input_ranges import require_not_negative, require_one_of, require_positive
from core.physics.machine_constants import COMMUTATIONS, Commutation
from core.physics.voltage import Modulation, available_voltage

Switching = Literal["unipolar", "bipolar"]
"""How a six-step drive pulses the path: between 0 and the link voltage, or between plus and minus of it."""

SWITCHINGS: tuple[Switching, ...] = ("unipolar", "bipolar")

# Factor of the fourth power in the harmonic loss function of a modulation, see `carrier_ripple_rms`.
_FOURTH_POWER = {
    "space-vector": 27.0 / 16.0 - 81.0 * math.sqrt(3.0) / (64.0 * math.pi),
    "sine-triangle": 9.0 / 8.0,
}


def path_inductance(
    winding_inductance: float, choke_inductance: float = 0.0, lead_inductance: float = 0.0
) -> float:
    """Return the inductance of a current path: winding, two chokes, two leads.

    Parameters
    ----------
    winding_inductance : float
        Line-to-line inductance of the winding. [H]
    choke_inductance : float, default 0.0
        One choke in each lead. [H]
    lead_inductance : float, default 0.0
        One conductor between drive and motor. [H]

    Returns
    -------
    inductance : float
        Line-to-line inductance that limits the ripple. [H]

    Raises
    ------
    InputRangeError
        If the winding has none or another is negative.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> round(path_inductance(100e-6, 50e-6), 9)
    0.0002
    """
    require_positive("winding_inductance", winding_inductance, "H")
    require_not_negative("choke_inductance", choke_inductance, "H")
    require_not_negative("lead_inductance", lead_inductance, "H")
    return winding_inductance + 2.0 * (choke_inductance + lead_inductance)


def ripple_peak_to_peak(
    switching: Switching,
    link_voltage: Numeric,
    voltage_ratio: Numeric,
    inductance: float,
    pulse_frequency: float,
) -> FloatArray:
    r"""Return the peak-to-peak ripple of the current in a path that is pulsed with constant duty.

    Parameters
    ----------
    switching : {"unipolar", "bipolar"}
        Between which voltages the path is switched. [-]
    link_voltage : float or ndarray, any shape
        Voltage at the drive. [V]
    voltage_ratio : float or ndarray, shape that broadcasts
        Mean voltage across the path over the link voltage, -1 to 1. [-]
    inductance : float
        Of the whole path, line to line. [H]
    pulse_frequency : float
        Pulses per second across the path: twice the carrier where both legs switch in turn. [Hz]

    Returns
    -------
    ripple : ndarray, broadcast shape
        Peak to peak. [A]

    Raises
    ------
    InputRangeError
        If a ratio is beyond 1 in amount, or voltage, inductance or frequency are not positive.
    UnitError
        If the switching is not one of the two.

    Notes
    -----
    With `d` the voltage ratio, `D = |d|` the duty of unipolar switching:

    .. math:: \Delta I = \frac{U D (1 - D)}{L f} , \qquad \Delta I = \frac{U (1 - d^2)}{2 L f}

    Straight edges: resistance and change of the EMF within a pulse are left out. Resistance R bends
    the edges and makes the ripple smaller, so the result errs on the safe side: with period
    `T = 1/f` and time constant `tau = L/R` by `(T/tau)^2/48` of itself at the duty of largest ripple,
    2 % at `T = tau`, 8 % at `T = 2 tau`.

    References
    ----------
    .. [1] First principles (volt-seconds over inductance); N. Mohan, T. M. Undeland, W. P. Robbins,
       Power Electronics, full-bridge converter (from memory).

    Examples
    --------
    >>> round(float(ripple_peak_to_peak("unipolar", 24.0, 0.5, 100e-6, 50e3)), 6)  # 24/(4*5)
    1.2
    >>> round(float(ripple_peak_to_peak("bipolar", 24.0, 0.0, 100e-6, 50e3)), 6)
    2.4
    """
    require_one_of("switching", switching, SWITCHINGS)
    for name, value, unit in (
        ("link_voltage", link_voltage, "V"),
        ("inductance", inductance, "H"),
        ("pulse_frequency", pulse_frequency, "Hz"),
    ):
        require_positive(name, value, unit)
    d = np.abs(voltage_ratio)
    if not np.all(d <= 1.0):
        raise InputRangeError("voltage_ratio", float(np.max(d)), "", "-1 to 1")
    shape = d * (1.0 - d) if switching == "unipolar" else 0.5 * (1.0 - d * d)
    return np.asarray(link_voltage * shape / (inductance * pulse_frequency))


def worst_voltage_ratio(switching: Switching, lowest: float = 0.0, highest: float = 1.0) -> float:
    """Return the voltage ratio of largest ripple within a range.

    Parameters
    ----------
    switching : {"unipolar", "bipolar"}
        Between which voltages the path is switched. [-]
    lowest, highest : float, default 0.0 and 1.0
        Smallest and largest amount of the voltage ratio that occurs. [-]

    Returns
    -------
    voltage_ratio : float
        The one within the range nearest to 1/2 (unipolar), or the lowest (bipolar). [-]

    Raises
    ------
    InputRangeError
        If the range is not 0 <= lowest <= highest <= 1.
    UnitError
        If the switching is not one of the two.

    References
    ----------
    .. [1] First principles: maximum of the equations of `ripple_peak_to_peak`.

    Examples
    --------
    >>> worst_voltage_ratio("unipolar"), worst_voltage_ratio("unipolar", 0.1, 0.3)
    (0.5, 0.3)
    >>> worst_voltage_ratio("bipolar", 0.2, 0.9)
    0.2
    """
    require_one_of("switching", switching, SWITCHINGS)
    if not 0.0 <= lowest <= highest <= 1.0:
        raise InputRangeError("lowest voltage ratio", lowest, "", f"from 0 to the highest, {highest:g}, <= 1")
    return min(max(0.5, lowest), highest) if switching == "unipolar" else lowest


def triangle_rms(peak_to_peak: Numeric) -> Numeric:
    r"""Return the rms value of a triangular ripple about its mean.

    Parameters
    ----------
    peak_to_peak : float or ndarray, any shape
        Ripple, peak to peak. [A]

    Returns
    -------
    rms : float or ndarray, shape of `peak_to_peak`
        Root mean square. [A]

    Notes
    -----
    .. math:: \Delta I_\mathrm{rms} = \Delta I / (2\sqrt3)

    The same for every duty, as long as the edges are straight.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> round(triangle_rms(1.2), 5)
    0.34641
    """
    return peak_to_peak / (2.0 * math.sqrt(3.0))


def carrier_ripple_rms(
    link_voltage: Numeric,
    phase_voltage: Numeric,
    inductance: float,
    carrier_frequency: float,
    modulation: Modulation = "space-vector",
) -> FloatArray:
    r"""Return the rms ripple of a phase current while three legs make sinusoidal voltage.

    Parameters
    ----------
    link_voltage : float or ndarray, any shape
        Voltage at the drive. [V]
    phase_voltage : float or ndarray, shape that broadcasts
        Peak of the fundamental of the phase voltage. [V]
    inductance : float
        Of the whole path, line to line. [H]
    carrier_frequency : float
        Pulses of each leg per second. [Hz]
    modulation : {"space-vector", "sine-triangle"}, default "space-vector"
        How the sinusoidal voltage is made. [-]

    Returns
    -------
    ripple : ndarray, broadcast shape
        Root mean square over the electrical period, in each phase. [A]

    Raises
    ------
    InputRangeError
        If the phase voltage is negative or beyond the linear range, or another is not positive.
    UnitError
        If the modulation is not one of the two.

    Notes
    -----
    With the modulation depth `M` (phase peak over half the link voltage):

    .. math::
        \Delta I_\mathrm{rms} = \frac{U}{12 L_{LL} f} \sqrt{f_h(M)} , \quad
        f_h = \tfrac32 M^2 - \tfrac{4\sqrt3}{\pi} M^3 + a M^4

    `a = 27/16 - 81 sqrt(3)/(64 pi)` for space vectors with equal zero times, `9/8` for sine-triangle.
    Both rise with `M` throughout the linear range: the highest voltage has the largest ripple.
    A switched simulation agrees within 0.01 % from 12 pulses per electrical period, the EMF held during
    each pulse. Resistance makes the ripple smaller: 0.7 % where the time constant is one carrier period.
    Discontinuous modulations are not covered.

    References
    ----------
    .. [1] D. G. Holmes, T. A. Lipo, Pulse Width Modulation for Power Converters, harmonic loss of
       three-phase modulation (from memory).
    .. [2] A. M. Hava, R. J. Kerkman, T. A. Lipo, Simple analytical and graphical methods for
       carrier-based PWM-VSI drives, IEEE Trans. Power Electronics, 1999, harmonic distortion
       functions (from memory).

    Examples
    --------
    >>> round(float(carrier_ripple_rms(24.0, 12.0, 100e-6, 50e3, "sine-triangle")), 3)  # 0.4 sqrt(0.4197)
    0.259
    """
    require_positive("inductance", inductance, "H")
    require_positive("carrier_frequency", carrier_frequency, "Hz")
    require_not_negative("phase_voltage", phase_voltage, "V")
    limit = np.asarray(available_voltage("sinusoidal", link_voltage, 1.0, modulation))
    if not np.all(phase_voltage <= limit * (1.0 + 1e-9)):
        raise InputRangeError("phase_voltage", float(np.max(phase_voltage)), "V", f"<= {limit.min():g} V")
    m = np.asarray(phase_voltage / (0.5 * np.asarray(link_voltage)))
    a = _FOURTH_POWER[modulation]
    flux_square = m * m * (1.5 - 4.0 * math.sqrt(3.0) / math.pi * m + a * m * m)
    return np.asarray(link_voltage / (12.0 * inductance * carrier_frequency) * np.sqrt(flux_square))


def ripple_copper_loss(commutation: Commutation, ripple_rms: Numeric, winding_resistance: Numeric) -> Numeric:
    r"""Return the heat that the ripple adds in the winding, load or no load.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    ripple_rms : float or ndarray, any shape
        Ripple of the path (six-step) or of each phase (sinusoidal). [A]
    winding_resistance : float or ndarray, shape that broadcasts
        Line-to-line resistance of the winding alone, at its temperature. [ohm]

    Returns
    -------
    loss : float or ndarray, broadcast shape
        Additional copper loss. [W]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Six-step `I^2 R_LL` (two phases carry it), sinusoidal `3/2 I^2 R_LL` (three phases). It adds to the loss
    of the mean current, because the ripple has no mean. With the resistance to direct current: skin
    and proximity effect at the pulse frequency, and the ripple's loss in the iron, come on top.

    References
    ----------
    .. [1] First principles.

    Examples
    --------
    >>> ripple_copper_loss("six-step", 0.5, 0.8), round(ripple_copper_loss("sinusoidal", 0.5, 0.8), 6)
    (0.2, 0.3)
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    share = 1.0 if commutation == "six-step" else 1.5
    loss: Numeric = share * ripple_rms**2 * winding_resistance
    return loss


def choke_for_ripple(present_inductance: float, ripple: float, target: float) -> float:
    r"""Return the choke in each lead that brings the ripple down to a target.

    Parameters
    ----------
    present_inductance : float
        Of the whole path as it is, line to line. [H]
    ripple : float
        Ripple with that inductance, peak to peak or rms. [A]
    target : float
        Largest ripple wanted, of the same kind. [A]

    Returns
    -------
    choke_inductance : float
        One choke, of which every lead gets one; 0 if none is needed. [H]

    Raises
    ------
    InputRangeError
        If inductance or target are not positive, or the ripple is negative.

    Notes
    -----
    .. math:: L_c = \tfrac12 L \left(\frac{\Delta I}{\Delta I_\mathrm{target}} - 1\right)

    The choke must hold its inductance at the peak current. Its resistance heats the choke and takes
    voltage; its inductance adds to the commutation, so the voltage limit must be looked at anew.

    References
    ----------
    .. [1] First principles: the ripple goes with the inverse of the inductance.

    Examples
    --------
    >>> round(choke_for_ripple(100e-6, 1.2, 0.4), 9)
    0.0001
    """
    require_positive("present_inductance", present_inductance, "H")
    require_positive("target", target, "A")
    require_not_negative("ripple", ripple, "A")
    return 0.5 * present_inductance * max(ripple / target - 1.0, 0.0)


def choke_for_loss(present_inductance: float, loss: float, target: float) -> float:
    r"""Return the choke in each lead that brings the heat of the ripple down to a target.

    Parameters
    ----------
    present_inductance : float
        Of the whole path as it is, line to line. [H]
    loss : float
        Copper loss of the ripple with that inductance. [W]
    target : float
        Largest such loss wanted. [W]

    Returns
    -------
    choke_inductance : float
        One choke, of which every lead gets one; 0 if none is needed. [H]

    Raises
    ------
    InputRangeError
        If inductance or target are not positive, or the loss is negative.

    Notes
    -----
    .. math:: L_c = \tfrac12 L \left(\sqrt{P / P_\mathrm{target}} - 1\right)

    References
    ----------
    .. [1] First principles: the loss goes with the square of the ripple.

    Examples
    --------
    >>> round(choke_for_loss(100e-6, 0.9, 0.1), 9)
    0.0001
    """
    require_positive("target", target, "W")
    require_not_negative("loss", loss, "W")
    return choke_for_ripple(present_inductance, math.sqrt(loss), math.sqrt(target))


def periods_per_time_constant(inductance: float, resistance: float, frequency: float) -> float:
    r"""Return how many pulse or control periods pass in one electrical time constant.

    Parameters
    ----------
    inductance : float
        Of the whole path, line to line. [H]
    resistance : float
        Of the whole path: winding, two leads, two switches. [ohm]
    frequency : float
        Of the pulses, or of the steps of the current control. [Hz]

    Returns
    -------
    periods : float
        Time constant over period. [-]

    Raises
    ------
    InputRangeError
        If a value is not positive.

    Notes
    -----
    .. math:: n = f L / R

    Below about 1 the current follows each pulse and a current control that steps once in a period
    cannot shape it; from about 10 the ripple formulas are exact to 0.02 %.

    References
    ----------
    .. [1] First principles; that a control wants several steps in a time constant is common practice,
       no source.

    Examples
    --------
    >>> round(periods_per_time_constant(100e-6, 0.5, 50e3), 6)
    10.0
    """
    for name, value, unit in (
        ("inductance", inductance, "H"),
        ("resistance", resistance, "ohm"),
        ("frequency", frequency, "Hz"),
    ):
        require_positive(name, value, unit)
    return frequency * inductance / resistance
