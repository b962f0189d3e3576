"""What a draft of a data sheet amounts to: what it lacks, its constants, comparisons, findings."""

from __future__ import annotations

from collections.abc import Iterator

from core.catalogue.likely_readings import OtherReading, likely_readings
from core.catalogue.motor_draft import FigureError, Missing, MotorDraft, missing_figures, motor_of, place_of
from core.catalogue.parts_check import check_motor
from core.catalogue.sheet_checks import REFERENCE_TEMP, CrossCheck, constants_of, cross_checks
from core.errors import AmpturnError
from core.findings import Finding
from core.physics.machine_constants import MachineConstants, motor_constant, torque_constant
from core.project.motor import Motor
from core.records import dataclass
from core.sentences import Sentence, joined, sentence
from core.units import Kind

# What the comparisons and the list of what is missing say in more detail.
_SAID_ELSEWHERE = (
    "constants_disagree",
    "motor_constant_uneven",
    "magnet_limit_missing",
    "winding_limit_missing",
    "heat_missing",
    "continuous_point_missing",
    "drag_missing",
)


@dataclass(frozen=True, slots=True)
class ReadWinding:
    """A winding with its canonical constants, None while figures for them are missing."""

    place: str
    constants: MachineConstants | None

    def canonical(self) -> tuple[tuple[str, float, Kind], ...]:
        """Return the canonical set: words, SI value, kind."""
        c = self.constants
        if c is None:
            return ()
        return (
            ("back-EMF constant, line-to-line peak", c.back_emf_constant, Kind.BACK_EMF_CONSTANT),
            ("torque constant, six-step", torque_constant(c, "six-step"), Kind.TORQUE_CONSTANT),
            (
                "torque constant, sinusoidal, per peak ampere",
                torque_constant(c, "sinusoidal"),
                Kind.TORQUE_CONSTANT,
            ),
            ("resistance, line-to-line", c.resistance, Kind.RESISTANCE),
            ("at winding temperature", c.resistance_ref_temp, Kind.TEMPERATURE),
            ("inductance, line-to-line", c.inductance, Kind.INDUCTANCE),
            ("motor constant, six-step", motor_constant(c), Kind.MOTOR_CONSTANT),
        )


@dataclass(frozen=True, slots=True)
class SheetReading:
    """A draft as read; `motor` is what would be saved, `refusal` why it cannot be."""

    draft: MotorDraft
    missing: tuple[Missing, ...]
    windings: tuple[ReadWinding, ...]
    checks: tuple[CrossCheck, ...]
    readings: tuple[OtherReading, ...]
    findings: tuple[Finding, ...]
    motor: Motor | None
    refusal: FigureError | None

    @property
    def drags(self) -> tuple[Sentence, ...]:
        """The drag of each variant that has one, and where it is from."""
        if self.motor is None:
            return ()
        return tuple(
            sentence(
                f"Drag, {variant.kind}: {{torque}} at {{speed}}"
                f"{'' if 'drag torque' in figures else ', from the no-load current of a winding'}",
                torque=(point.drag_torque, Kind.TORQUE),
                speed=(point.speed, Kind.SPEED),
            )
            for variant, figures in zip(self.motor.variants, self.draft.variants, strict=True)
            for point in variant.no_load
        )

    @property
    def contradictions(self) -> tuple[CrossCheck, ...]:
        """The comparisons that do not agree."""
        return tuple(check for check in self.checks if check.verdict == "contradicts")


def read_sheet(draft: MotorDraft) -> SheetReading:
    """Return all that can be said of a draft; nothing in it is an error."""
    missing = missing_figures(draft)
    motor, refusal = None, None
    if not any(one.needed for one in missing):
        try:
            motor = motor_of(draft)
        except FigureError as error:
            refusal = error
    findings = () if motor is None else (*check_motor(motor), *_refused_heat(motor))
    checks = cross_checks(draft)
    return SheetReading(
        draft=draft,
        missing=missing,
        windings=tuple(
            ReadWinding(place_of("winding", figures, number), constants_of(draft, number))
            for number, figures in enumerate(draft.windings)
        ),
        checks=checks,
        readings=likely_readings(draft, checks),
        findings=tuple(one for one in findings if one.code not in _SAID_ELSEWHERE),
        motor=motor,
        refusal=refusal,
    )


def _refused_heat(motor: Motor) -> Iterator[Finding]:
    """Yield where the heat figures of a variant make no network, as an evaluation would find."""
    from core.evaluation.heat_model import NoHeatModel, heat_model
    from core.evaluation.motor_model import motor_model
    from core.project.application import Requirements, Site
    from core.project.candidate import Candidate

    site = Site(ambient=REFERENCE_TEMP)
    for variant in motor.variants:
        if variant.heat is None:
            continue
        chosen = Candidate(name=motor.name, motor=motor, winding=motor.windings[0].name, variant=variant.kind)
        try:
            model = motor_model(site, Requirements(), chosen)
        except AmpturnError:
            continue  # its constants are refused, which `check_motor` says
        heat = None if model is None else heat_model(site, model)
        if isinstance(heat, NoHeatModel):
            for finding in heat.findings:
                text = joined(f"{motor.name}, {variant.kind}: ", finding.text)
                yield Finding(finding.code, finding.severity, text, finding.values)
