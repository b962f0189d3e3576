"""What an evaluation gives back: frozen values and read-only arrays, in SI units.

Views, charts, sheet and JSON draw from these and compute nothing of their own.
"""

from __future__ import annotations

from typing import Literal

from core.deferred import Deferred
from core.fault_results import FaultTable
from core.feedback_results import FeedbackTable
from core.findings import Caution, Finding
from core.numeric import BoolArray, FloatArray, IntArray
from core.project.project import Project
from core.records import dataclass
from core.ripple_results import Ripple
from core.sentences import Sentence
from core.shaft_results import ShaftLoad
from core.supply_results import SupplyDetail
from core.units import Kind
from core.winding_results import WindingStudy

Status = Literal["met", "missed", "not checked", "excluded"]


@dataclass(frozen=True, slots=True)
class Margin:
    """One criterion of one candidate.

    `demand`, `limit`, `utilisation` and `margin` are None where the status is "not checked" or
    "excluded". `kind` is the kind of quantity of demand and limit (`core.units`), `unit` its SI unit.
    `segment` (from 0) and `instant` [s in the cycle] say where it happens, where that has a meaning.
    `required` criteria decide the exit code; `equation` is the equation with its numbers. A miss beyond
    any number has no margin; `told_by` names the criterion that says with a number how far off it is.
    """

    criterion: str
    label: str
    kind: Kind
    unit: str
    demand: float | None
    limit: float | None
    utilisation: float | None
    margin: float | None
    target: float
    status: Status
    required: bool
    where: str | Sentence
    why: str | Sentence
    equation: str | Sentence
    segment: int | None = None
    instant: float | None = None
    told_by: str = ""

    @property
    def above_target(self) -> float | None:
        """Margin minus target: what the list is ordered by and what governs."""
        return None if self.margin is None else self.margin - self.target


@dataclass(frozen=True, slots=True)
class LoadPoints:
    """The segments in the speed-torque plane; all arrays have shape (segments,).

    The plane shows speed as a magnitude and torque in the direction of the motion, driving above and
    braking below zero; `direction` (+1 or -1) turns both back into the signs of the duty cycle.
    `torque` is what the motor must deliver beyond its own drag, `T_shaft + J alpha` [N m]. The point of
    a segment is drawn at `speed`, its faster end [rad/s]; `other_speed` is the other end, negative
    where the segment reverses. `at_start` tells which end it is. `inertia_torque` is the part `J alpha`.
    `current` is the amplitude in the candidate's commutation [A], `voltage_utilisation` the worst
    of the segment.
    """

    speed: FloatArray
    other_speed: FloatArray
    torque: FloatArray
    direction: FloatArray
    inertia_torque: FloatArray
    current: FloatArray
    at_start: BoolArray
    voltage_utilisation: FloatArray | None


@dataclass(frozen=True, slots=True)
class RmsPoint:
    """RMS torque of the cycle less mean drag, at the time-mean speed; a picture with limits."""

    torque: float
    speed: float
    valid: bool
    statement: str | Sentence


@dataclass(frozen=True, slots=True)
class PlaneCurves:
    """Limits of one candidate over speed; arrays have shape (speeds,), None where data are missing.

    Motoring curves are positive, braking curves negative. NaN marks speeds that are not reached.
    """

    speed: FloatArray
    voltage_limit: FloatArray | None
    voltage_limit_braking: FloatArray | None
    continuous: FloatArray | None
    continuous_braking: FloatArray | None
    short_time: FloatArray | None
    short_time_braking: FloatArray | None
    short_time_seconds: float
    peak: FloatArray | None
    peak_braking: FloatArray | None
    peak_reason: str
    largest_speed: float | None


@dataclass(frozen=True, slots=True)
class CycleTrace:
    """Temperatures over one cycle of the repeating state, `temps` with shape (times, nodes). [s, degC]"""

    time: FloatArray
    nodes: tuple[str, ...]
    temps: FloatArray


@dataclass(frozen=True, slots=True)
class HeatingUpTrace:
    """From cold to the repeating state: per cycle lowest and highest temperature of each node.

    `lowest` and `highest` have shape (times, nodes). [s, degC] `settled_after` is when the peaks are
    within 1 K of the repeating state, None where it never settles. [s]
    """

    time: FloatArray
    nodes: tuple[str, ...]
    lowest: FloatArray
    highest: FloatArray
    settled_after: float | None


@dataclass(frozen=True, slots=True)
class PeakTemperature:
    """Highest temperature of one node in the repeating state, and its limit. [degC]

    `temp` includes the hot-spot allowance where one applies; `role` is "winding", "magnets" or "outside".
    """

    role: str
    node: str
    temp: float
    mean: float
    limit: float | None
    segment: int
    instant: float


@dataclass(frozen=True, slots=True)
class Losses:
    """Mean losses over the cycle by cause. [W]"""

    copper: float
    core_and_bearing: float
    windage: float
    leads_and_switches: float
    idle: float


@dataclass(frozen=True, slots=True)
class HeatBand:
    """How far continuous torque and peak temperatures may be off, low to high.

    Arrays have shape (speeds,). `sources` are the causes of doubt by name; each was varied alone, and
    `effects` with shape (sources, speeds) holds the relative change of the continuous torque by the half
    width of each; low and high combine them as the root of the sum of squares. `shared` tells which
    sources two variants of the same frame have in common. `winding` and `outside` are low, mid and high
    peak temperature in the cycle [degC], None where the cycle has no repeating state; `peak_effects` with
    shape (sources, 2) holds the change of both by the half width of each source [K].
    """

    speed: FloatArray
    low: FloatArray
    mid: FloatArray
    high: FloatArray
    sources: tuple[str, ...]
    effects: FloatArray
    shared: tuple[bool, ...]
    winding: tuple[float, float, float] | None
    outside: tuple[float, float, float] | None
    peak_effects: FloatArray | None = None


@dataclass(frozen=True, slots=True)
class HeatFlows:
    """The heat network with its temperatures and flows over one cycle of the repeating state.

    `time` [s] has shape (times,), `temps` [degC] (times, nodes), `flow` [W] (times, links), positive from
    the first end to the second; `mean_temps` and `mean_flow` are their time means. `ends` has shape
    (links, 2): nodes first, then sinks. `heat_in` [W] holds the mean heat by cause into each node,
    `laws` one sentence per link: its law with its numbers.
    """

    nodes: tuple[str, ...]
    sinks: tuple[str, ...]
    sink_temp: FloatArray
    links: tuple[str, ...]
    ends: IntArray
    time: FloatArray
    temps: FloatArray
    flow: FloatArray
    mean_temps: FloatArray
    mean_flow: FloatArray
    heat_in: dict[str, FloatArray]
    laws: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """A figure of the data sheet, what the calibrated network gives for it, and their difference."""

    figure: str
    kind: Kind
    stated: float
    modelled: float

    @property
    def residual(self) -> float:
        """Difference as a share of the stated figure."""
        return self.modelled / self.stated - 1.0


@dataclass(frozen=True, slots=True)
class CalibrationFactor:
    """A factor on the laws of heat: its value, how sure it is, and whether the figures tell it.

    `width` is the relative half width that is left, `prior_width` the one before any figure.
    """

    name: str
    value: float
    width: float
    prior_width: float
    told: bool


@dataclass(frozen=True, slots=True)
class HeatCalibration:
    """How the heat network from dimensions was brought to the figures of the data sheet."""

    rows: tuple[CalibrationRow, ...]
    factors: tuple[CalibrationFactor, ...]


@dataclass(frozen=True, slots=True)
class SupplyDemand:
    """What the supply delivers over the cycle at its lowest voltage. [W, A, J]

    The means count what flows back as used again unless a clamp burns it.
    """

    mean_power: float
    peak_power: float
    mean_current: float | None
    peak_current: float | None
    energy_back: float


@dataclass(frozen=True, slots=True)
class CanonicalConstants:
    """The machine constants after conversion, as the sheet prints them."""

    back_emf_constant: float  # peak line-to-line [V s/rad]
    torque_constant: float  # of the candidate's commutation [N m/A]
    resistance: float  # line-to-line at its reference temperature [ohm]
    inductance: float  # line-to-line [H]
    motor_constant: float  # six-step [N m/sqrt(W)]


@dataclass(frozen=True, slots=True)
class DutyTrace:
    """The duty at the motor shaft: corner points of torque and speed over one cycle. [s, N m, rad/s]

    Arrays have shape (2 parts,): start and end of each part, between which all is linear. A segment is
    one part where it was entered, or several where it was derived; `edges` has shape (segments + 1,)
    and `names` one text a segment.
    """

    time: FloatArray
    shaft_torque: FloatArray
    speed: FloatArray
    edges: FloatArray
    segment: IntArray
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LoadCourse:
    """The load over one cycle, for the lanes of the window; None of it depends on a candidate.

    `time` with shape (2 pieces,) belongs to the torque by cause at the mechanism's axis [N m];
    `payload_time`, `position`, `speed` [rad or m, per s] with shape (knots,) and `acceleration` with
    shape (knots - 1,) to the payload. `rms_share` says which share of the mean square torque each
    cause has.
    """

    time: FloatArray
    torque: dict[str, FloatArray]
    segment: IntArray
    payload_time: FloatArray
    position: FloatArray
    speed: FloatArray
    acceleration: FloatArray
    rms_share: dict[str, float]
    linear: bool


@dataclass(frozen=True, slots=True)
class CandidateResult:
    """Everything about one candidate; what could not be computed is None, with the reason in `missing`."""

    index: int
    name: str
    margins: tuple[Margin, ...]
    governing: Margin | None
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    missing: tuple[str, ...]
    constants: CanonicalConstants | None = None
    duty: DutyTrace | None = None
    load_points: LoadPoints | None = None
    rms: RmsPoint | None = None
    curves: PlaneCurves | None = None
    cycle: CycleTrace | None = None
    heating_up_later: Deferred[HeatingUpTrace] | None = None
    peaks: tuple[PeakTemperature, ...] = ()
    losses: Losses | None = None
    supply: SupplyDemand | None = None
    torque_reserve: float | None = None
    calibration: HeatCalibration | None = None
    band_later: Deferred[HeatBand | None] | None = None
    flows_later: Deferred[HeatFlows] | None = None
    supply_later: Deferred[SupplyDetail] | None = None
    ripple: Ripple | None = None
    feedback_later: Deferred[FeedbackTable] | None = None
    shaft_load: ShaftLoad | None = None
    faults_later: Deferred[FaultTable | None] | None = None
    winding_later: Deferred[WindingStudy | None] | None = None
    coil_power: float = 0.0  # mean over the cycle, of a brake on the motor [W]
    lead_resistance: float = 0.0  # of one conductor from electronics to motor, its cable included [ohm]

    @property
    def band(self) -> HeatBand | None:
        """How far the heat may be off. The first look costs a hundred milliseconds: not within a drag."""
        return None if self.band_later is None else self.band_later.value()

    @property
    def flows(self) -> HeatFlows | None:
        """The heat network with its flows; not within a drag."""
        return None if self.flows_later is None else self.flows_later.value()

    @property
    def supply_detail(self) -> SupplyDetail | None:
        """Braking, bus, clamp, battery, and the voltage over the cycle; not within a drag."""
        return None if self.supply_later is None else self.supply_later.value()

    @property
    def winding_study(self) -> WindingStudy | None:
        """All windings of the frame against the cycle; not within a drag."""
        return None if self.winding_later is None else self.winding_later.value()

    @property
    def faults(self) -> FaultTable | None:
        """What happens when something fails; not within a drag."""
        return None if self.faults_later is None else self.faults_later.value()

    @property
    def heating_up(self) -> HeatingUpTrace | None:
        """The heating-up from cold. The first look costs tens of milliseconds: not within a drag."""
        return None if self.heating_up_later is None else self.heating_up_later.value()

    @property
    def feedback_table(self) -> FeedbackTable | None:
        """Each kind of feedback against what is asked of the motion; not within a drag."""
        return None if self.feedback_later is None else self.feedback_later.value()

    def margin(self, criterion: str) -> Margin | None:
        """Return the margin of a criterion by its code, None where it is not in the list."""
        return next((margin for margin in self.margins if margin.criterion == criterion), None)


@dataclass(frozen=True, slots=True)
class Result:
    """The result of a project, whole. `project` is what it was computed from.

    `duty` is that of the chosen candidate. `ghost` is the duty that load and motion would give, where
    the segments were detached from them; `load` their course, where they are in use or kept.
    """

    project: Project
    duty: DutyTrace
    candidates: tuple[CandidateResult, ...]
    chosen: int | None
    ghost: DutyTrace | None = None
    load: LoadCourse | None = None

    @property
    def chosen_candidate(self) -> CandidateResult | None:
        """The result of the chosen candidate."""
        return None if self.chosen is None else self.candidates[self.chosen]
