"""A candidate: one complete choice of motor, winding, variant and drive electronics."""

import msgspec

from core.errors import ProjectFileError
from core.physics.conventions import Commutation
from core.project.drive import Drive, Modulation
from core.project.feedback import Encoder, Feedback
from core.project.fittings import Cable, HoldingBrake, ShaftForce
from core.project.motor import Motor, Variant, VariantKind, Winding
from core.project.paperwork import HandOver
from core.project.saved import Name, NotNegative, Saved, Text
from core.project.transmission import Transmission

__all__ = ["Candidate", "Drive", "Modulation"]


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
    cable : Cable, optional
        Between electronics and motor, in place of `lead_resistance`.
    choke : float
        Inductance of a choke, of which each lead has one. [H]
    feedback : HallSensors, Encoder or Sensorless, optional
        What tells the electronics where the rotor is.
    brake : HoldingBrake, optional
        On the motor shaft.
    shaft_force : ShaftForce, optional
        Belt, pinion or wheel on the shaft.
    dropped_because : str
        Why this candidate is not taken, in the user's words.
    hand_over : HandOver, optional
        What the supplier is told beside it.
    """

    name: Name
    motor: Motor | None = None
    winding: str | None = None
    variant: VariantKind | None = None
    commutation: Commutation = "sinusoidal"
    transmission: Transmission | None = None
    drive: Drive = Drive()
    lead_resistance: NotNegative = msgspec.field(name="lead_resistance_ohm", default=0.0)
    cable: Cable | None = None
    choke: NotNegative = msgspec.field(name="choke_H", default=0.0)
    feedback: Feedback | None = None
    brake: HoldingBrake | None = None
    shaft_force: ShaftForce | None = None
    dropped_because: Text = ""
    note: Text = ""
    hand_over: HandOver | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.cable is not None and self.lead_resistance > 0.0:
            rule = "is given by the cable or as a resistance, not both; the resistance is [ohm]"
            raise ProjectFileError("lead_resistance_ohm", rule, f"{self.lead_resistance:g}", True)
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

    @property
    def encoder_on_motor(self) -> Encoder | None:
        """The encoder at the motor; None where there is none or where it sits at the load."""
        feedback = self.feedback
        return feedback if isinstance(feedback, Encoder) and not feedback.at_load else None

    @property
    def added_inertia(self) -> float:
        """Moment of inertia of what sits on the motor shaft beside the rotor: encoder and brake. [kg m2]"""
        fitted = (self.encoder_on_motor, self.brake)
        return sum(part.inertia for part in fitted if part is not None)

    @property
    def rotor_inertia(self) -> float:
        """Moment of inertia of the rotor with encoder and brake, zero without a variant. [kg m2]"""
        variant = self.chosen_variant
        return 0.0 if variant is None else variant.rotor_inertia + self.added_inertia
