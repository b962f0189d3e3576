r"""Periodic duty: the torque that a motor carries for a share of every cycle, for ever.

Intermittent duty S3 (load, then rest) and continuous operation with intermittent load S6 (load, then
no load) differ in the second stretch only: its speed, its losses, its cooling.
"""

from __future__ import annotations

import numpy as np

from core.errors import InputRangeError
from core.numeric import BoolArray, FloatArray, Numeric
from core.physics.input_ranges import require_not_negative, require_positive
from core.physics.modal_response import ModalResponse, limited_at, modal_response, winding_fade
from core.physics.operating_heat import OperatingHeat, phase_excess_gain
from core.physics.short_time import (
    SAMPLE_SHARES,
    loss_that_fills_the_room,
    room_and_guess,
    torque_of_loss,
)


def periodic_torque(
    loaded: OperatingHeat,
    unloaded: OperatingHeat,
    loaded_time: Numeric,
    unloaded_time: Numeric,
    unloaded_copper: Numeric = 0.0,
) -> FloatArray:
    r"""Return the electromagnetic torque of the loaded stretch that the repeating cycle admits.

    Parameters
    ----------
    loaded, unloaded : OperatingHeat
        Heat and conductance of the two stretches, same motor and limits, one row per case. [-]
    loaded_time, unloaded_time : float or ndarray, shape (m,)
        Durations of the two stretches. [s]
    unloaded_copper : float or ndarray, shape (m,), default 0
        Copper loss of the unloaded stretch at the reference winding temperature: 0 where the current
        is off, `no_load_copper` where the drive keeps the motor turning. [W]

    Returns
    -------
    em_torque : ndarray, shape (m,)
        Torque to 1e-4 of itself; zero where the other losses alone pass a limit. [N m]

    Raises
    ------
    InputRangeError
        If a duration is not positive, the copper loss negative, or the row counts differ.

    Notes
    -----
    The stretches are the exact maps :math:`\vartheta \to \Phi\vartheta + d`; the cycle starts at
    :math:`(I - \Phi_0\Phi_1)\vartheta = \Phi_0 d_1 + d_0`, run-away where the spectral radius of
    :math:`\Phi_0\Phi_1` reaches 1. Limits are looked at at six instants of each stretch. The magnets
    keep the flux of their mean temperature over the loaded stretch.

    References
    ----------
    Duty types S3 and S6: IEC 60034-1 (from memory).

    Examples
    --------
    See `tests/reference/test_duty_types_reference.py`: S3 ratings of two textbooks.
    """
    require_positive("duration under load", loaded_time, "s")
    require_positive("duration without load", unloaded_time, "s")
    require_not_negative("copper loss without load", unloaded_copper, "W")
    m = loaded.speed.size
    if unloaded.speed.size != m:
        raise InputRangeError("number of unloaded rows", float(unloaded.speed.size), "", f"{m}, as loaded")
    cycle = _Cycle(loaded, unloaded, _row(loaded_time, m), _row(unloaded_time, m), _row(unloaded_copper, m))
    free, _ = cycle.limited(np.zeros(m))
    probe = np.full(m, 1e-3)
    # rise per watt near zero loss, by a loss so small that its feedback is nothing
    gain = (cycle.limited(probe)[0] - free) / probe[:, None, None]
    room, guess = room_and_guess(loaded, free, np.where(gain > 1e-9, gain, 0.0))
    usable = np.where(room > 0.0, room, np.inf)

    def share_of(loss: FloatArray) -> FloatArray:
        temperatures, stable = cycle.limited(loss)
        share: FloatArray = ((temperatures - free) / usable).max(axis=(1, 2))
        return np.where(stable, share, np.inf)

    loss = loss_that_fills_the_room(share_of, guess)
    return torque_of_loss(loaded, loss, cycle.mean_magnet_temp(loss))


def duty_factor_torque(
    loaded: OperatingHeat,
    unloaded: OperatingHeat,
    duty_factor: Numeric,
    cycle_time: Numeric,
    unloaded_copper: Numeric = 0.0,
) -> FloatArray:
    r"""Return the electromagnetic torque for a cyclic duration factor and a cycle time.

    Parameters
    ----------
    loaded, unloaded : OperatingHeat
        As in `periodic_torque`. [-]
    duty_factor : float or ndarray, shape (m,)
        Cyclic duration factor: time under load over cycle time, above 0 and below 1. [-]
    cycle_time : float or ndarray, shape (m,)
        Duration of one cycle. [s]
    unloaded_copper : float or ndarray, shape (m,), default 0
        As in `periodic_torque`. [W]

    Returns
    -------
    em_torque : ndarray, shape (m,)
        Torque under load. [N m]

    Raises
    ------
    InputRangeError
        If the factor is not between 0 and 1, or as in `periodic_torque`.

    References
    ----------
    Cyclic duration factor: IEC 60034-1 (from memory). S3 cycles there last 10 min unless stated.

    Examples
    --------
    In a cycle far shorter than the time constants, a quarter of the time doubles the torque: see
    `tests/reference/test_duty_types_reference.py`.
    """
    factor = np.asarray(duty_factor, dtype=float)
    inside = (factor > 0.0) & (factor < 1.0)
    if not inside.all():
        raise InputRangeError("cyclic duration factor", float(factor[~inside].flat[0]), "", "> 0 and < 1")
    on = factor * np.asarray(cycle_time, dtype=float)
    return periodic_torque(loaded, unloaded, on, cycle_time - on, unloaded_copper)


def no_load_copper(heat: OperatingHeat) -> FloatArray:
    """Return the copper loss at reference that drag torque and ripple cost without load.

    Parameters
    ----------
    heat : OperatingHeat
        The rows. [-]

    Returns
    -------
    loss : ndarray, shape (m,)
        Copper loss at the reference temperatures. [W]

    References
    ----------
    Copper law of the row, own formulation.

    Examples
    --------
    50 W/(N m)^2 and 0.1 N m of drag: 0.5 W.
    """
    loss: FloatArray = heat.copper_per_torque_squared * heat.drag_torque**2 + heat.extra_copper
    return loss


class _Cycle:
    """The two stretches, and their repeating state for any loss of the first."""

    def __init__(
        self,
        loaded: OperatingHeat,
        unloaded: OperatingHeat,
        loaded_time: FloatArray,
        unloaded_time: FloatArray,
        unloaded_copper: FloatArray,
    ) -> None:
        self.loaded, self.unloaded = loaded, unloaded
        self.loaded_time, self.unloaded_time = loaded_time, unloaded_time
        self.anywhere = np.zeros_like(loaded.inflow)
        self.unloaded_copper = unloaded_copper
        self.rest = modal_response(unloaded, unloaded_copper, self.anywhere)
        self.rest_map = self.rest.map(unloaded_time)

    def repeating(self, loss: FloatArray) -> tuple[ModalResponse, ModalResponse, FloatArray]:
        """Return both responses in the repeating state, and the spectral radius of the cycle."""
        on = modal_response(self.loaded, loss, self.anywhere)
        phi_on, d_on = on.map(self.loaded_time)
        phi_off, d_off = self.rest_map
        phi = np.matmul(phi_off, phi_on)
        offset = np.matmul(phi_off, d_on[..., None]) + d_off[..., None]
        radius = np.abs(np.linalg.eigvals(phi)).max(axis=1)
        system = np.eye(phi.shape[1]) - np.where((radius < 1.0)[:, None, None], phi, 0.0)
        start = np.linalg.solve(system, offset)
        end_of_load = np.matmul(phi_on, start)[..., 0] + d_on
        return on.starting_from(start[..., 0]), self.rest.starting_from(end_of_load), radius

    def limited(self, loss: FloatArray) -> tuple[FloatArray, BoolArray]:
        """Return the limited temperatures at the samples, shape (m, j, n + 1), and where they repeat."""
        on, off, radius = self.repeating(loss)
        excess, after_load = self._phase_excess(on, loss)
        on_times, off_times = (t[:, None] * SAMPLE_SHARES for t in (self.loaded_time, self.unloaded_time))
        under_load = limited_at(self.loaded, on, loss, on_times, excess)
        at_rest = limited_at(self.unloaded, off, self.unloaded_copper, off_times, after_load)
        return np.concatenate([under_load, at_rest], axis=1), radius < 1.0

    def mean_magnet_temp(self, loss: FloatArray) -> FloatArray:
        on, _, _ = self.repeating(loss)
        mean: FloatArray = on.mean_temperatures(self.loaded_time[:, None])[:, 0, self.loaded.magnets]
        return mean

    def _phase_excess(
        self, on: ModalResponse, loss: FloatArray
    ) -> tuple[FloatArray | None, FloatArray | None]:
        """Return the repeating excess of the hottest phase before and after the loaded stretch."""
        gain = phase_excess_gain(self.loaded)
        if not gain.any():
            return None, None
        fade_on = winding_fade(self.loaded, self.loaded_time[:, None])[:, 0]
        fade_off = winding_fade(self.unloaded, self.unloaded_time[:, None])[:, 0]
        winding = on.mean_temperatures(self.loaded_time[:, None])[:, 0, self.loaded.winding]
        law = self.loaded.copper_law
        rho = (law.copper_constant + winding) / (law.copper_constant + law.winding_ref_temp)
        # the rest adds none: without load the phases are taken as evenly warm
        after = gain * loss * rho * (1.0 - fade_on) / (1.0 - fade_on * fade_off)
        return after * fade_off, after


def _row(value: Numeric, m: int) -> FloatArray:
    return np.broadcast_to(np.asarray(value, dtype=float), (m,))
