"""The duty cycle: any number of segments, each with one shaft torque and a linear change of speed."""

import msgspec

from core.project.saved import Positive, Saved


class Segment(Saved, frozen=True, kw_only=True):
    """One piece of the duty cycle at the motor shaft.

    Parameters
    ----------
    duration : float
        Length in time. [s]
    shaft_torque : float
        Torque that the load needs at the coupling; the inertia of the rotor is added by the tool.
        Torque times speed positive is motoring. [N m]
    speed_start, speed_end : float
        Speed at both ends; it changes linearly between them. [rad/s]
    name : str
        What happens here, in the user's words.
    """

    duration: Positive = msgspec.field(name="duration_s")
    shaft_torque: float = msgspec.field(name="shaft_torque_Nm")
    speed_start: float = msgspec.field(name="speed_start_rad_s")
    speed_end: float = msgspec.field(name="speed_end_rad_s")
    name: str = ""
