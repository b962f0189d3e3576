"""Friction of bearings and guides as it is given: constant, proportional to speed, and at moving off."""

from __future__ import annotations

from core.physics.input_ranges import require_finite, require_not_negative
from core.records import dataclass


@dataclass(frozen=True, slots=True)
class RotaryFriction:
    """Friction torque of bearings and seals.

    Attributes
    ----------
    constant : float
        Running friction, against the motion. [N m]
    viscous : float
        Friction per speed. [N m s/rad]
    breakaway : float
        Friction at the instant of moving off; the running friction where it is lower. [N m]
    """

    constant: float = 0.0
    viscous: float = 0.0
    breakaway: float = 0.0

    def __post_init__(self) -> None:
        """Refuse friction that would drive."""
        for name, unit in (("constant", "N m"), ("viscous", "N m s/rad"), ("breakaway", "N m")):
            require_not_negative(f"{name} friction", getattr(self, name), unit)
            require_finite(f"{name} friction", getattr(self, name), unit)

    def times(self, factor: float) -> RotaryFriction:
        """Return all of it multiplied."""
        return RotaryFriction(factor * self.constant, factor * self.viscous, factor * self.breakaway)


@dataclass(frozen=True, slots=True)
class LinearFriction:
    """Friction force of guides, seals or rolling.

    Attributes
    ----------
    coefficient : float
        Friction force over the force that presses on the guide or the wheel. [-]
    constant : float
        Running friction that does not depend on the load, as of seals and wipers. [N]
    viscous : float
        Friction per speed. [N s/m]
    breakaway_ratio : float
        Friction at the instant of moving off over the running one, at least 1. [-]
    """

    coefficient: float = 0.0
    constant: float = 0.0
    viscous: float = 0.0
    breakaway_ratio: float = 1.0

    def __post_init__(self) -> None:
        """Refuse friction that would drive."""
        for name, unit in (("coefficient", ""), ("constant", "N"), ("viscous", "N s/m")):
            require_not_negative(f"friction: {name}", getattr(self, name), unit)
            require_finite(f"friction: {name}", getattr(self, name), unit)
        require_not_negative("friction: breakaway ratio above 1", self.breakaway_ratio - 1.0, "")
        require_finite("friction: breakaway ratio", self.breakaway_ratio, "")

    def force(self, normal_force: float) -> float:
        """Return the running friction that does not depend on speed. [N]"""
        return self.coefficient * abs(normal_force) + self.constant

    def times(self, factor: float) -> LinearFriction:
        """Return all of it multiplied; the breakaway ratio stays."""
        return LinearFriction(
            factor * self.coefficient, factor * self.constant, factor * self.viscous, self.breakaway_ratio
        )
