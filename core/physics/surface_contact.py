r"""How hot an outside may be when it is touched."""

from __future__ import annotations

from core.errors import InputRangeError

# Burn thresholds of bare smooth metal, lower bounds, by contact time [s] -> [degC]. The scope of
# ISO 13732-1 was read (contact of 0.5 s and longer; thresholds, not limits); the numbers are from memory.
BARE_METAL_THRESHOLD = {1: 65.0, 10: 55.0, 60: 51.0, 600: 48.0, 28800: 43.0}


def touch_threshold(contact_time: int) -> float:
    r"""Return the temperature of bare smooth metal above which contact of a given time may burn skin.

    Parameters
    ----------
    contact_time : int
        1, 10, 60, 600 or 28800. [s]

    Returns
    -------
    threshold : float
        Lower bound of the burn threshold. [degC]

    Raises
    ------
    InputRangeError
        For another contact time: values between the tabulated ones are not guessed.

    Notes
    -----
    Bare metal is the hottest to the touch; using its value for coated metal and plastic is on the
    safe side. A threshold is not a limit: local rules decide what may be touched.

    References
    ----------
    ISO 13732-1, Ergonomics of the thermal environment - Methods for the assessment of human responses
    to contact with surfaces - Part 1: Hot surfaces. Scope read; the numbers are from memory.

    Examples
    --------
    >>> touch_threshold(1)
    65.0
    """
    if contact_time not in BARE_METAL_THRESHOLD:
        times = ", ".join(str(time) for time in BARE_METAL_THRESHOLD)
        raise InputRangeError("contact time", contact_time, "s", f"one of {times}")
    return BARE_METAL_THRESHOLD[contact_time]
