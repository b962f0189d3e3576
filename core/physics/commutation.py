"""What the kind of commutation means for the current in a lead and for the smoothness of the torque."""

from __future__ import annotations

import math

from core.numeric import Numeric
from core.physics.input_ranges import require_one_of
from core.physics.machine_constants import COMMUTATIONS, Commutation, MachineConstants, torque_constant


def phase_rms_current(commutation: Commutation, current: Numeric) -> Numeric:
    """Return the rms current in one lead, as drives and cables are rated.

    Parameters
    ----------
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]
    current : float or ndarray, any shape
        Link ampere (six-step) or peak phase ampere (sinusoidal). [A]

    Returns
    -------
    current : float or ndarray, shape of `current`
        `sqrt(2/3)` of a six-step link current, which flows during two thirds of the time;
        `1/sqrt(2)` of a sine. [A]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Ideal blocks without overlap; the ripple of the switching is left out.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> round(phase_rms_current("six-step", 16.0), 2)
    13.06
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    return current * math.sqrt(2.0 / 3.0 if commutation == "six-step" else 0.5)


def commutation_torque_ripple(constants: MachineConstants, commutation: Commutation) -> float:
    r"""Return the peak-to-peak ripple of ideal commutation relative to the mean torque.

    Parameters
    ----------
    constants : MachineConstants
        The machine; only the shape of its EMF counts. [SI]
    commutation : {"six-step", "sinusoidal"}
        How the drive feeds the machine. [-]

    Returns
    -------
    ripple : float
        Peak-to-peak torque over mean torque. [-]

    Raises
    ------
    UnitError
        If the commutation is not one of the two.

    Notes
    -----
    Six-step on a sinusoidal EMF follows the top of the line-to-line wave, from `k_e` down to
    `k_e cos 30 deg`: 14.0 % of the mean, 13.4 % of the peak. Sinusoidal current on a trapezoidal EMF
    swings between the same two values, whatever the flat top. Matching shapes give none.

    Cogging, current rise and switching are left out: real ripple is larger.

    References
    ----------
    .. [1] First principles; textbook fact from memory.

    Examples
    --------
    >>> m = MachineConstants(0.030, 0.8, 0.35e-3, 8)
    >>> round(commutation_torque_ripple(m, "six-step"), 4)
    0.1403
    """
    require_one_of("commutation", commutation, COMMUTATIONS)
    sine = constants.emf_shape == "sinusoidal"
    if sine == (commutation == "sinusoidal"):
        return 0.0
    swing = (1.0 - math.cos(math.pi / 6.0)) * constants.back_emf_constant
    return swing / torque_constant(constants, commutation)
