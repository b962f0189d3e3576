"""A candidate: one complete choice of motor, winding, variant and drive electronics."""

from __future__ import annotations

from typing import Literal

import msgspec

from core.errors import InputRangeError, ProjectFileError
from core.physics.conventions import Commutation
from core.project.motor import Motor, Variant, VariantKind, Winding
from core.project.saved import Name, NotNegative, Positive, Saved, Text
from core.project.transmission import Transmission

Modulation = Literal["space-vector", "sine-triangle"]


class Drive(Saved, frozen=True, kw_only=True):
    """The drive electronics.

    Currents are amplitudes: link current in six-step, peak phase current in sinusoidal commutation.

    Parameters
    ----------
    continuous_current, peak_current : float, optional
        Limits. [A]
    largest_duty : float
        Largest usable share of the supply voltage. [-]
    modulation : {"space-vector", "sine-triangle"}
        How sinusoidal voltage is made; decides U/sqrt3 or U/2.
    on_resistance : float
        Of one switch. [ohm]
    device_drop : float
        Constant voltage drop of the conducting devices, six-step. [V]
    largest_electrical_frequency : float, optional
        [Hz]
    idle_power : float
        [W]
    """

    name: Name = "unnamed electronics"
    origin: Text = ""
    continuous_current: Positive | None = msgspec.field(name="continuous_current_A", default=None)
    peak_current: Positive | None = msgspec.field(name="peak_current_A", default=None)
    largest_duty: Positive = 0.95
    modulation: Modulation = "space-vector"
    on_resistance: NotNegative = msgspec.field(name="on_resistance_ohm", default=0.0)
    device_drop: NotNegative = msgspec.field(name="device_drop_V", default=0.0)
    largest_electrical_frequency: Positive | None = msgspec.field(
        name="largest_electrical_frequency_Hz", default=None
    )
    idle_power: NotNegative = msgspec.field(name="idle_power_W", default=0.0)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.largest_duty > 1.0:
            raise InputRangeError("largest_duty", self.largest_duty, "", "> 0 and <= 1")


class Candidate(Saved, frozen=True, kw_only=True):
    """One complete choice. The whole motor is embedded, so that a project is complete by itself.

    Parameters
    ----------
    winding, variant : str
        Which of the motor's windings and variants is chosen.
    transmission : Transmission, optional
        Between motor and load; none is direct drive.
    lead_resistance : float
        Of one conductor between electronics and motor. [ohm]
    """

    name: Name
    motor: Motor | None = None
    winding: str | None = None
    variant: VariantKind | None = None
    commutation: Commutation = "sinusoidal"
    transmission: Transmission | None = None
    drive: Drive = Drive()
    lead_resistance: NotNegative = msgspec.field(name="lead_resistance_ohm", default=0.0)
    note: Text = ""

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.motor is None:
            return
        if self.winding is not None and self.chosen_winding is None:
            names = ", ".join(winding.name for winding in self.motor.windings) or "none"
            raise ProjectFileError(
                "winding", f"must be one of this motor's windings ({names})", self.winding, True
            )
        if self.variant is not None and self.chosen_variant is None:
            kinds = ", ".join(variant.kind for variant in self.motor.variants) or "none"
            raise ProjectFileError(
                "variant", f"must be one of this motor's variants ({kinds})", self.variant, True
            )

    @property
    def chosen_winding(self) -> Winding | None:
        """The winding named by `winding`, or None."""
        windings = self.motor.windings if self.motor else ()
        return next((winding for winding in windings if winding.name == self.winding), None)

    @property
    def chosen_variant(self) -> Variant | None:
        """The variant named by `variant`, or None."""
        variants = self.motor.variants if self.motor else ()
        return next((variant for variant in variants if variant.kind == self.variant), None)
