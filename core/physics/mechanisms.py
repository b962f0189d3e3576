"""From a mechanism and the motion of its payload to torque, speed and findings at its input axis."""

from __future__ import annotations

from core.findings import Finding
from core.physics.load_terms import LoadTerms, axis_terms
from core.physics.mechanism_findings import mechanism_findings
from core.physics.mechanism_kinds import Mechanism
from core.physics.motion import LoadMotion


def load_terms(
    mechanism: Mechanism, motion_of_payload: LoadMotion
) -> tuple[LoadMotion, LoadTerms, list[Finding]]:
    r"""Return what a mechanism asks of its input axis while its payload moves.

    Parameters
    ----------
    mechanism : Mechanism
        Rotary, linear or fluid mechanism. [-]
    motion_of_payload : LoadMotion
        Motion in the payload's own coordinate. [rad or m]

    Returns
    -------
    motion : LoadMotion
        Motion of the input axis, on pieces of its own. [rad]
    terms : LoadTerms
        Torque by cause on these pieces. [N m]
    findings : list of Finding
        What is noteworthy. [-]

    References
    ----------
    See `axis_terms` and the mechanism.

    Examples
    --------
    >>> from core.physics.linear_mechanisms import BeltDrive
    >>> from core.physics.moves import Dwell, MoveBy, load_motion
    >>> cycle = load_motion([MoveBy(0.3, 0.3), Dwell(0.2), MoveBy(-0.3, 0.3), Dwell(0.2)])
    >>> motion, terms, findings = load_terms(BeltDrive(2.0, 0.02, 0.0), cycle)
    >>> round(float(motion.speed.max()), 9), round(float(terms.total.max()), 9)  # 1.5/0.02; 2*15*0.02
    (75.0, 0.6)
    """
    load = mechanism.axis_load()
    motion, terms = axis_terms(load, motion_of_payload)
    return motion, terms, mechanism_findings(mechanism, load, motion, terms)
