r"""Which laws of a network from dimensions are used outside their range, in plain words."""

from __future__ import annotations

from math import inf

from core.findings import Finding, Severity
from core.physics.air import TEMP_RANGE, air_at
from core.physics.air_friction import (
    ENCLOSED_DISC_CLEARANCE,
    ENCLOSED_DISC_REYNOLDS,
    FREE_DISC_TRANSITION,
    disc_reynolds,
)
from core.physics.annular_gap import MAGNETIC_GAP_REYNOLDS, gap_reynolds
from core.physics.geometry_links import LinkGrid
from core.physics.motor_dimensions import EnclosedRotor, FrameDimensions, HeatPlace, OpenRotor
from core.physics.natural_convection import CYLINDER_RANGE, rayleigh_number
from core.physics.rotating_surfaces import CYLINDER_REYNOLDS, cylinder_reynolds
from core.physics.turning_cup_gap import TAYLOR_LIMIT, taylor_number
from core.physics.ventilation import ASSUMED_FLOW_COEFFICIENT, END_WINDING_SPEED, END_WINDING_SPREAD
from core.records import dataclass
from core.sentences import sentence
from core.units import Kind

FREE_PATH_PRESSURE = 6.9e-3
"""Mean free path of air times its pressure, 68 nm at sea level and 25 degC. From memory. [Pa m]"""

LARGEST_KNUDSEN = 0.01
"""Free path over gap up to which air conducts as a continuum. Common practice, no source. [-]"""


@dataclass(frozen=True, slots=True)
class _Use:
    """How a law is used: its characteristic number, the range of that number, what to make of it."""

    code: str
    law: str
    number: str
    value: float
    low: float
    high: float
    means: str
    speed: float | None = None
    severity: Severity = "warning"
    kind: Kind = Kind.NUMBER

    @property
    def outside(self) -> bool:
        return not self.low <= self.value <= self.high

    def finding(self) -> Finding:
        bounds = "at most {high}" if self.low == -inf else "{low} to {high}"
        shown = {"value": (self.value, self.kind), "high": (self.high, self.kind)}
        if self.low > -inf:
            shown["low"] = (self.low, self.kind)
        unit = {Kind.LINEAR_SPEED: "_m_s", Kind.TEMPERATURE: "_degC"}.get(self.kind, "")
        values = {f"{name}{unit}": value for name, (value, _) in shown.items()}
        when = ""
        if self.speed is not None:
            shown["speed"], values["speed_rad_s"] = (self.speed, Kind.SPEED), self.speed
            when = " at {speed}"
        text = f"{self.law}: {self.number} reaches {{value}}{when}, the law covers {bounds}. {self.means}"
        return Finding(self.code, self.severity, sentence(text, **shown), values)


def range_findings(
    frame: FrameDimensions, variant: OpenRotor | EnclosedRotor, place: HeatPlace, grid: LinkGrid
) -> tuple[Finding, ...]:
    r"""Return a finding for each law that is used outside its range, and for what is assumed.

    Parameters
    ----------
    frame : FrameDimensions
        Inner dimensions. [-]
    variant : OpenRotor or EnclosedRotor
        What is around them. [-]
    place : HeatPlace
        The air. [-]
    grid : LinkGrid
        Speeds and temperatures of the tables. [-]

    Returns
    -------
    findings : tuple of Finding
        One per law, at the highest speed of the tables; none in vacuum. [-]

    Notes
    -----
    Below its range the law of the turning rim fades out beside natural convection, and needs no finding.

    References
    ----------
    The ranges stand with the laws.
    """
    if place.pressure == 0.0:
        return ()
    uses = [*_still_air(frame, variant, place, grid), *_inside(frame, place, grid)]
    if isinstance(variant, EnclosedRotor):
        uses += _enclosed(frame, variant, place, grid)
    else:
        uses += _open(frame, place, grid)
    findings = [use.finding() for use in uses if use.outside]
    findings.append(_end_winding_spread())
    if isinstance(variant, OpenRotor) and variant.opening_share > 0.0:
        findings.append(_flow_coefficient())
    return tuple(findings)


def _still_air(
    frame: FrameDimensions, variant: OpenRotor | EnclosedRotor, place: HeatPlace, grid: LinkGrid
) -> list[_Use]:
    outside = variant.diameter if isinstance(variant, EnclosedRotor) else frame.rotor_diameter
    warmest = grid.usual_temp
    return [
        _Use(
            "air_out_of_range",
            "Properties of the air",
            "its temperature",
            place.ambient_temp if place.ambient_temp < TEMP_RANGE[0] else warmest,
            *TEMP_RANGE,
            "Conductivity and viscosity are continued beyond.",
            kind=Kind.TEMPERATURE,
        ),
        _Use(
            "natural_convection_out_of_range",
            "Natural convection around the outside",
            "its Rayleigh number",
            float(rayleigh_number(outside, warmest, place.ambient_temp, place.pressure)),
            *CYLINDER_RANGE,
            "The law is continued.",
        ),
    ]


def _inside(frame: FrameDimensions, place: HeatPlace, grid: LinkGrid) -> list[_Use]:
    speed, radius = float(grid.speed[-1]), 0.5 * frame.stator_diameter
    nu = float(air_at(grid.usual_temp, place.pressure).kinematic_viscosity)
    outer = float(gap_reynolds(speed, radius, frame.gap, nu)) * (1.0 + frame.gap / radius)
    return [
        _Use(
            "magnetic_gap_out_of_range",
            "Heat across the magnetic gap",
            "its Reynolds number",
            outer,
            -inf,
            MAGNETIC_GAP_REYNOLDS,
            "Its air may stir and carry more.",
            speed,
        ),
        _Use(
            "thin_air_out_of_range",
            "Conduction of thin air in the magnetic gap",
            "the free path of its molecules over the gap",
            FREE_PATH_PRESSURE / (place.pressure * frame.gap),
            -inf,
            LARGEST_KNUDSEN,
            "It conducts less than computed, down to nothing in vacuum.",
        ),
        _Use(
            "end_winding_out_of_range",
            "Heat of the end windings",
            "the speed of the rotor beside them",
            speed * radius,
            -inf,
            END_WINDING_SPEED,
            "The straight line over speed is stretched.",
            speed,
            kind=Kind.LINEAR_SPEED,
        ),
    ]


def _open(frame: FrameDimensions, place: HeatPlace, grid: LinkGrid) -> list[_Use]:
    speed, radius = float(grid.speed[-1]), 0.5 * frame.rotor_diameter
    nu = float(air_at(grid.usual_film_temp, place.pressure).kinematic_viscosity)
    return [
        _Use(
            "rim_out_of_range",
            "Heat of the turning rim",
            "its Reynolds number",
            float(cylinder_reynolds(speed, radius, nu)),
            -inf,
            CYLINDER_REYNOLDS[1],
            "The law is continued with the same power of the speed.",
            speed,
        ),
        _Use(
            "face_in_transition",
            "Heat of the turning face",
            "its Reynolds number",
            float(disc_reynolds(speed, radius, nu)),
            -inf,
            FREE_DISC_TRANSITION[0],
            "Above, the flow turns turbulent, at a speed not exactly known.",
            speed,
            severity="note",
        ),
    ]


def _enclosed(frame: FrameDimensions, variant: EnclosedRotor, place: HeatPlace, grid: LinkGrid) -> list[_Use]:
    speed, radius = float(grid.speed[-1]), 0.5 * frame.rotor_diameter
    nu = float(air_at(grid.usual_temp, place.pressure).kinematic_viscosity)
    uses = [
        _Use(
            "rim_gap_out_of_range",
            "Heat from the rim to the housing",
            "its Taylor number",
            float(taylor_number(speed, radius, variant.gap, nu)),
            -inf,
            TAYLOR_LIMIT,
            "The law is continued with the same power of the speed.",
            speed,
        ),
        _Use(
            "face_gap_out_of_range",
            "Heat from the face to the housing",
            "its Reynolds number",
            float(disc_reynolds(speed, radius, nu)),
            -inf,
            ENCLOSED_DISC_REYNOLDS[1],
            "The law is continued with the same power of the speed.",
            speed,
        ),
    ]
    if uses[1].value > ENCLOSED_DISC_REYNOLDS[0]:
        uses.append(
            _Use(
                "face_clearance_out_of_range",
                "Heat from the face to the housing",
                "clearance over radius",
                variant.face_clearance / radius,
                *ENCLOSED_DISC_CLEARANCE,
                "The law is continued with the same power of the clearance.",
            )
        )
    return uses


def _end_winding_spread() -> Finding:
    return Finding(
        "end_winding_law_uncertain",
        "assumed",
        sentence(
            "The heat of the end windings into the air inside is the least certain law: other authors "
            "give up to {spread} times more or less.",
            spread=(END_WINDING_SPREAD, Kind.NUMBER),
        ),
        {"spread": END_WINDING_SPREAD},
    )


def _flow_coefficient() -> Finding:
    return Finding(
        "opening_flow_assumed",
        "assumed",
        sentence(
            "Air is taken to leave the openings of the rotor at {share} of their speed.",
            share=(ASSUMED_FLOW_COEFFICIENT, Kind.RATIO),
        ),
        {"flow_coefficient": ASSUMED_FLOW_COEFFICIENT},
    )
