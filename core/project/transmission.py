"""The transmission between motor and load, as a parts file or a person gives it."""

import msgspec

from core.project.saved import NotNegative, Positive, Saved, Share, Text


class Transmission(Saved, frozen=True, kw_only=True):
    """A gear, belt stage or similar. No transmission at all is direct drive.

    Parameters
    ----------
    ratio : float
        Motor speed over load speed.
    efficiency : float
        While the motor drives the load.
    back_driving_efficiency : float, optional
        While the load drives the motor; without it `2 - 1/efficiency` is taken and said.
    drag_torque : float
        At the motor side, whatever the load. [N m]
    input_inertia : float
        At the motor side. [kg m2]
    backlash : float
        At the load side. [rad]
    continuous_torque, intermittent_torque : float, optional
        Limits at the load side. [N m]
    largest_input_speed : float, optional
        Limit at the motor side. [rad/s]
    on_motor : bool
        Whether it is fitted to the motor, which must be made for it; a belt beside the motor is not.
    available_ratios : tuple of float
        Ratios in which this transmission can be had.
    """

    name: Text = "transmission"
    origin: Text = ""
    ratio: Positive = 1.0
    efficiency: Share = 1.0
    back_driving_efficiency: Share | None = None
    drag_torque: NotNegative = msgspec.field(name="drag_torque_Nm", default=0.0)
    input_inertia: NotNegative = msgspec.field(name="input_inertia_kg_m2", default=0.0)
    backlash: NotNegative = msgspec.field(name="backlash_rad", default=0.0)
    continuous_torque: Positive | None = msgspec.field(name="continuous_torque_Nm", default=None)
    intermittent_torque: Positive | None = msgspec.field(name="intermittent_torque_Nm", default=None)
    largest_input_speed: Positive | None = msgspec.field(name="largest_input_speed_rad_s", default=None)
    on_motor: bool = False
    available_ratios: tuple[Positive, ...] = ()
