"""What an evaluation gives back about the supply: frozen values and read-only arrays, in SI units."""

from __future__ import annotations

from core.numeric import FloatArray
from core.records import dataclass
from core.sentences import Sentence


@dataclass(frozen=True, slots=True)
class BrakingCourse:
    """The stretches of a cycle in which power flows back, cold winding and magnets; shape (events,) each.

    `start` and `duration` [s], `energy` [J] and `peak_power` [W], the last two positive.
    """

    start: FloatArray
    duration: FloatArray
    energy: FloatArray
    peak_power: FloatArray


@dataclass(frozen=True, slots=True)
class BusRise:
    """What energy that the supply does not take does to the voltage of the bus. [V, F, J]

    `energy` is the largest that stands on the bus at once, infinite where a cycle returns more than it
    takes. `voltage` is reached by `capacitance` alone, `held_voltage` with the clamp; `rating` is the
    lowest one on the bus, `required_capacitance` keeps it. The lossless figures are those of all that
    braking releases, as a calculation by hand gives them: an upper bound. None where something is missing.
    """

    start_voltage: float | None
    capacitance: float
    energy: float
    voltage: float | None
    held_voltage: float | None
    rating: float | None
    rating_of: str
    required_capacitance: float | None
    lossless_energy: float | None = None
    lossless_voltage: float | None = None
    lossless_capacitance: float | None = None


@dataclass(frozen=True, slots=True)
class ClampLoad:
    """The clamp resistor that takes all that braking returns, and the one that is given. [V, ohm, W, J]

    Without a given clamp `voltage` is the lowest rating on the bus, the highest at which one may switch.
    """

    voltage: float
    largest_resistance: float
    peak_power: float
    mean_power: float
    largest_energy: float
    given_resistance: float | None
    given_power: float | None


@dataclass(frozen=True, slots=True)
class FeedCurrents:
    """Current of the supply at its lowest voltage, and that of the motor, which is another one. [A]

    Those of the motor are amplitudes of its commutation at hot magnets. None where the voltage is not
    known or the supply cannot give the power.
    """

    supply_mean: float | None
    supply_rms: float | None
    supply_peak: float | None
    motor_rms: float
    motor_peak: float


@dataclass(frozen=True, slots=True)
class BatteryRun:
    """Energy that a cycle takes out of a battery, and how long that lasts. [J, s]

    `returned` counts only where the battery takes it; what the capacitors of the bus keep for later is left
    out, on the safe side, so that the run time may be shorter than by the mean power. It is infinite where
    nothing is drawn.
    """

    drawn: float
    returned: float
    net: float
    run_time: float


@dataclass(frozen=True, slots=True)
class EnergyPart:
    """What one body or cause gives while the largest braking event lasts; negative takes. [J]"""

    name: str
    energy: float


@dataclass(frozen=True, slots=True)
class EnergySplit:
    """Where the energy of the largest braking event comes from, and what becomes of it. [s, J]

    From `start` to `end` the machine slows down or is driven; an end beyond the cycle is in the next one.
    `lost` is what does not come back: friction, gear, winding, iron, electronics.
    """

    start: float
    end: float
    parts: tuple[EnergyPart, ...]
    returned: float

    @property
    def released(self) -> float:
        """All that the parts give together. [J]"""
        return sum(part.energy for part in self.parts)

    @property
    def lost(self) -> float:
        """What is released and does not come back. [J]"""
        return self.released - self.returned

    def share(self, name: str) -> float:
        """Return the share of one part in what is released, 0 where there is no such part."""
        return sum(part.energy for part in self.parts if part.name == name) / self.released


@dataclass(frozen=True, slots=True)
class VoltageTrace:
    """Voltage at the electronics over a cycle, shape (times,) each; NaN where it cannot be told. [s, V]"""

    time: FloatArray
    voltage: FloatArray


@dataclass(frozen=True, slots=True)
class VoltageLine:
    """A voltage with a name, as a limit line beside the course. [V]"""

    name: str
    voltage: float


@dataclass(frozen=True, slots=True)
class SupplyDetail:
    """All about the supply that is not a margin."""

    braking: BrakingCourse
    bus: BusRise
    clamp: ClampLoad | None
    currents: FeedCurrents
    battery: BatteryRun | None
    split: EnergySplit | None
    at_lowest: VoltageTrace | None
    at_highest: VoltageTrace | None
    lines: tuple[VoltageLine, ...]
    statements: tuple[str | Sentence, ...]
