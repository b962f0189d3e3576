"""Refusals shared by the equations: one wording for a value outside the range of an equation."""

from __future__ import annotations

from math import isfinite

import numpy as np

from core.errors import InputRangeError, UnitError
from core.numeric import BoolArray, Numeric


def require_positive(name: str, value: Numeric, unit: str) -> None:
    """Refuse a value, or any element of an array, that is not above zero (NaN included).

    Parameters
    ----------
    name : str
        Quantity as the message shall name it. [-]
    value : float or ndarray, any shape
        What was given. [unit]
    unit : str
        Unit symbol for the message. [-]

    Raises
    ------
    InputRangeError
        If an element is not above zero; the message shows the first such element.

    References
    ----------
    None: input check, no physics. Common practice, no source.

    Examples
    --------
    >>> require_positive("resistance", 0.8, "ohm")
    """
    if isinstance(value, float) and value > 0.0:
        return  # as an array a single number would take twenty times as long
    good = np.greater(value, 0.0)
    if not good.all():
        raise InputRangeError(name, _first_bad(value, good), unit, "> 0")


def require_not_negative(name: str, value: Numeric, unit: str) -> None:
    """Refuse a value, or any element of an array, below zero (NaN included).

    Parameters
    ----------
    name : str
        Quantity as the message shall name it. [-]
    value : float or ndarray, any shape
        What was given. [unit]
    unit : str
        Unit symbol for the message. [-]

    Raises
    ------
    InputRangeError
        If an element is below zero; the message shows the first such element.

    References
    ----------
    None: input check, no physics. Common practice, no source.

    Examples
    --------
    >>> require_not_negative("windage", 0.0, "N m")
    """
    if isinstance(value, float) and value >= 0.0:
        return
    good = np.greater_equal(value, 0.0)
    if not good.all():
        raise InputRangeError(name, _first_bad(value, good), unit, ">= 0")


def require_finite(name: str, value: Numeric, unit: str) -> None:
    """Refuse infinities and NaN.

    Parameters
    ----------
    name : str
        Quantity as the message shall name it. [-]
    value : float or ndarray, any shape
        What was given. [unit]
    unit : str
        Unit symbol for the message. [-]

    Raises
    ------
    InputRangeError
        If an element is not finite.

    References
    ----------
    None: input check, no physics. Common practice, no source.

    Examples
    --------
    >>> require_finite("speed", -300.0, "rad/s")
    """
    if isinstance(value, float) and isfinite(value):
        return
    good = np.isfinite(value)
    if not good.all():
        raise InputRangeError(name, _first_bad(value, good), unit, "finite")


def require_one_of(name: str, value: object, choices: tuple[str, ...]) -> None:
    """Refuse a word that is not in the list, and name the words that are.

    Parameters
    ----------
    name : str
        What the word chooses. [-]
    value : object
        The word given. [-]
    choices : tuple of str
        The words that exist. [-]

    Raises
    ------
    UnitError
        If the word is not one of them: the number it qualifies cannot be read.

    References
    ----------
    None: input check, no physics. Common practice, no source.

    Examples
    --------
    >>> require_one_of("commutation", "six-step", ("six-step", "sinusoidal"))
    """
    if value not in choices:
        raise UnitError(f"{name} must be one of {', '.join(map(repr, choices))}, got {value!r}")


def _first_bad(value: Numeric, good: BoolArray) -> float:
    return float(np.ravel(np.broadcast_to(value, good.shape))[~np.ravel(good)][0])
