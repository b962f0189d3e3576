"""Electrical frequency of a turning machine, and the three ways in which a limit of it is stated."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np

from core.numeric import Numeric
from core.physics.input_ranges import require_finite, require_one_of, require_positive

FrequencyStatement = Literal["electrical frequency", "electrical speed", "speed of a two-pole motor"]
FREQUENCY_STATEMENTS: tuple[str, ...] = (
    "electrical frequency",
    "electrical speed",
    "speed of a two-pole motor",
)


def electrical_frequency(speed: Numeric, pole_pairs: int) -> Numeric:
    r"""Return the frequency of current and EMF at a speed.

    Parameters
    ----------
    speed : float or ndarray, any shape
        Shaft speed; its sign does not matter. [rad/s]
    pole_pairs : int
        Pole pairs. [-]

    Returns
    -------
    frequency : float or ndarray, shape of `speed`
        `p w / (2 pi)`. [Hz]

    Raises
    ------
    InputRangeError
        If the number of pole pairs is not positive.

    References
    ----------
    .. [1] B. S. Guru, H. R. Hiziroglu, Electric Machinery and Transformers, Ex. 7.5 (as re-worked in a
       public textbook-companion notebook; the printed page was not seen).

    Examples
    --------
    >>> round(float(electrical_frequency(3000.0 * math.pi / 30.0, 21)), 6)  # 50 turns a second
    1050.0
    """
    require_positive("pole_pairs", pole_pairs, "")
    frequency: Numeric = np.abs(speed) * pole_pairs / (2.0 * math.pi)
    return frequency


def speed_at_frequency(frequency: Numeric, pole_pairs: int) -> Numeric:
    """Return the shaft speed at an electrical frequency.

    Parameters
    ----------
    frequency : float or ndarray, any shape
        Electrical frequency. [Hz]
    pole_pairs : int
        Pole pairs. [-]

    Returns
    -------
    speed : float or ndarray, shape of `frequency`
        Shaft speed. [rad/s]

    Raises
    ------
    InputRangeError
        If the number of pole pairs is not positive.

    References
    ----------
    .. [1] As `electrical_frequency`.

    Examples
    --------
    >>> round(speed_at_frequency(1050.0, 21) * 30.0 / math.pi, 6)
    3000.0
    """
    require_positive("pole_pairs", pole_pairs, "")
    return 2.0 * math.pi * frequency / pole_pairs


def frequency_limit(stated: float, statement: FrequencyStatement) -> float:
    """Return the electrical frequency that a stated limit of the electronics means.

    Parameters
    ----------
    stated : float
        What the data sheet states: a frequency, or a speed in rad/s. [Hz or rad/s]
    statement : {"electrical frequency", "electrical speed", "speed of a two-pole motor"}
        What the figure is. [-]

    Returns
    -------
    frequency : float
        Largest electrical frequency. [Hz]

    Raises
    ------
    InputRangeError
        If the figure is not positive and finite.
    UnitError
        If the statement is not one of the three.

    Notes
    -----
    Electrical speed is pole pairs times shaft speed, often written eRPM. A two-pole motor has one pole
    pair, so its shaft speed is the electrical speed: the two differ in words only.

    References
    ----------
    .. [1] Common practice, no source.

    Examples
    --------
    >>> round(frequency_limit(63000.0 * math.pi / 30.0, "electrical speed"), 6)
    1050.0
    """
    require_one_of("statement of the frequency limit", statement, FREQUENCY_STATEMENTS)
    unit = "Hz" if statement == "electrical frequency" else "rad/s"
    require_positive("frequency limit", stated, unit)
    require_finite("frequency limit", stated, unit)
    return stated if unit == "Hz" else stated / (2.0 * math.pi)


def stated_limit(frequency: float, statement: FrequencyStatement) -> float:
    """Return an electrical frequency in the way in which a data sheet states its limit.

    Parameters
    ----------
    frequency : float
        Largest electrical frequency. [Hz]
    statement : {"electrical frequency", "electrical speed", "speed of a two-pole motor"}
        What the figure shall be. [-]

    Returns
    -------
    stated : float
        The frequency, or a speed. [Hz or rad/s]

    Raises
    ------
    InputRangeError
        If the frequency is not positive and finite.
    UnitError
        If the statement is not one of the three.

    References
    ----------
    .. [1] As `frequency_limit`.

    Examples
    --------
    >>> round(stated_limit(1050.0, "speed of a two-pole motor") * 30.0 / math.pi, 6)
    63000.0
    """
    require_one_of("statement of the frequency limit", statement, FREQUENCY_STATEMENTS)
    require_positive("frequency limit", frequency, "Hz")
    require_finite("frequency limit", frequency, "Hz")
    return frequency if statement == "electrical frequency" else 2.0 * math.pi * frequency
