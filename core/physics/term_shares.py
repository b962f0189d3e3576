"""What makes up the torque of a load: the work of each cause and its share of the RMS torque."""

from __future__ import annotations

import math

import numpy as np

from core.physics.load_terms import LoadTerms, linear_work
from core.physics.motion import LoadMotion
from core.records import dataclass


def work_by_cause(motion: LoadMotion, terms: LoadTerms) -> dict[str, float]:
    r"""Return the work that each cause takes from the input axis over the motion.

    Parameters
    ----------
    motion : LoadMotion
        Motion of the input axis. [rad]
    terms : LoadTerms
        Torque on its pieces. [N m]

    Returns
    -------
    work : dict of str to float
        Keys acceleration, gravity, friction, process; negative: given back. [J]

    References
    ----------
    First principles: integral of torque times speed, both linear within a piece.

    Examples
    --------
    >>> from core.physics.load_terms import AxisLoad, axis_terms
    >>> from core.physics.motion import motion_of_speeds
    >>> turn = motion_of_speeds(np.array([0.0, 1.0]), np.array([0.0, 10.0]))
    >>> axis, terms = axis_terms(AxisLoad(payload_inertia=0.02), turn)
    >>> round(work_by_cause(axis, terms)["acceleration"], 9)  # 0.02 * 10^2 / 2
    1.0
    """
    speed, duration = motion.speed_ends, motion.duration
    return {
        name: float(linear_work(getattr(terms, name), speed, duration).sum())
        for name in ("acceleration", "gravity", "friction", "process")
    }


@dataclass(frozen=True, slots=True)
class TermShares:
    r"""How the torque of a cycle is made up.

    Attributes
    ----------
    rms_torque : float
        Root of the mean square of the whole torque over the cycle, rests included. [N m]
    rms_share : dict of str to float
        Part of the mean square that goes with each cause, sum 1. [-]
    peak_torque : float
        Highest magnitude of the whole torque. [N m]
    term_peak : dict of str to float
        Highest magnitude of each cause by itself. [N m]
    """

    rms_torque: float
    rms_share: dict[str, float]
    peak_torque: float
    term_peak: dict[str, float]

    @property
    def dominant(self) -> str:
        """The cause with the largest share of the mean square."""
        return max(self.rms_share, key=lambda name: self.rms_share[name])

    @property
    def sum_of_peaks(self) -> float:
        """What the torque would be if all causes peaked together. [N m]"""
        return sum(self.term_peak.values())


def term_shares(motion: LoadMotion, terms: LoadTerms) -> TermShares:
    r"""Return the RMS torque at the input axis and the share of each cause in it.

    Parameters
    ----------
    motion : LoadMotion
        Motion of the input axis. [rad]
    terms : LoadTerms
        Torque on its pieces. [N m]

    Returns
    -------
    shares : TermShares
        Shares and peaks. [-]

    Notes
    -----
    The share of cause :math:`c` is :math:`\overline{T_c T} / \overline{T^2}`; the shares add up to 1.
    A cause that relieves another has a negative share.

    References
    ----------
    Common practice of splitting a variance, no source.

    Examples
    --------
    >>> from core.physics.load_terms import AxisLoad, axis_terms
    >>> from core.physics.motion import motion_of_speeds
    >>> turn = motion_of_speeds(np.array([0.0, 1.0]), np.array([0.0, 10.0]))
    >>> shares = term_shares(*axis_terms(AxisLoad(payload_inertia=0.03, friction_torque=0.1), turn))
    >>> round(shares.rms_torque, 9), round(shares.rms_share["acceleration"], 9), shares.dominant
    (0.4, 0.75, 'acceleration')
    """
    total, duration = terms.total, motion.duration
    names = ("acceleration", "gravity", "friction", "process")
    cycle = motion.cycle_time
    # mean of a product of two linear torques has the form of the work of a torque at a speed
    mean_square = float(linear_work(total, total, duration).sum()) / cycle
    products = {
        name: float(linear_work(getattr(terms, name), total, duration).sum()) / cycle for name in names
    }
    return TermShares(
        math.sqrt(mean_square),
        {name: products[name] / mean_square if mean_square > 0.0 else 0.0 for name in names},
        float(np.abs(total).max()),
        {name: float(np.abs(getattr(terms, name)).max()) for name in names},
    )
