"""What an evaluation tells of the current's ripple."""

from __future__ import annotations

from core.records import dataclass


@dataclass(frozen=True, slots=True)
class Ripple:
    """The ripple of the current in one cycle, on the electronics' pulses at the highest supply voltage.

    `peak_to_peak` and `rms` [A] are those at the duty of the cycle at which they are largest; in sinusoidal
    commutation peak-to-peak is that of the triangle with the same rms value. `share` is peak-to-peak over
    `continuous_current` [A], the motor's continuous current, or that of the electronics where the motor's
    is not known. `loss` [W] is the mean copper loss of the ripple, `winding_rise` [K] how much warmer the
    mean winding is for it. `choke` [H] more in each lead brings the ripple under its target, 0 where it
    is; `least_choke` [H] is all that each lead needs for that while the continuous current stays as it is.
    `time_constant` [s] is that of the cold path, `inductance` [H] of it with its chokes; `control_periods`
    is how many periods of the control at `control_frequency` [Hz] it lasts.
    """

    peak_to_peak: float
    rms: float
    frequency: float
    inductance: float
    time_constant: float
    continuous_current: float | None = None
    share: float | None = None
    loss: float | None = None
    winding_rise: float | None = None
    choke: float | None = None
    least_choke: float | None = None
    control_frequency: float | None = None
    control_periods: float | None = None
