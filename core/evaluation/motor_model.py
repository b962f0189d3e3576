"""What a candidate's parts mean as physics: constants, drag, inertia, limits, assumptions."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from core.evaluation.current_limits import peak_current_of, saturation_of
from core.evaluation.drag_of_variant import drag_of_variant
from core.evaluation.feed import NO_FEED, Feed, feed_of, with_choke
from core.evaluation.motor_findings import motor_findings
from core.evaluation.part_limits import PartLimit, part_limits
from core.evaluation.remembered import remembered
from core.evaluation.wires import lead_resistance
from core.findings import Finding
from core.numeric import FloatArray, Numeric
from core.physics.conventions import Commutation
from core.physics.data_sheet_conventions import canonical_constants
from core.physics.drag import DragLaw
from core.physics.hold import sector_edge_loss_factor
from core.physics.losses import SeriesPath, drive_conduction_loss
from core.physics.machine_constants import (
    MachineConstants,
    copper_loss_coefficient,
    copper_loss_factor,
    motor_constant,
    torque_constant,
)
from core.physics.materials import (
    copper_resistance_factor,
    magnet_flux_factor,
    mean_winding_temp_limit,
    thermal_class_limit,
)
from core.physics.peak_limits import SaturationLaw, saturated_current, saturated_torque
from core.physics.stated_figures import StatedFigure
from core.physics.voltage import available_voltage
from core.project.application import Application, Requirements, Site, Supply
from core.project.candidate import Candidate, Drive
from core.project.motor import Motor, Variant, Winding
from core.records import dataclass
from core.results import CanonicalConstants
from core.sentences import sentence
from core.units import Kind

BEYOND_SATURATION = 10.0


@dataclass(frozen=True, slots=True)
class MotorModel:
    """One motor with its winding, variant and electronics, as the equations take it.

    `winding_limit` [degC] is the limit of the hottest place, `mean_winding_limit` that of the mean
    temperature. `cold_temp`, `hot_winding_temp` and `hot_magnet_temp` [degC] are the temperatures
    between which the voltage must do. `peak_current` [A] is the motor's own limit. The inductance of
    `constants` is that of the path, chokes included; `winding_inductance` [H] that of the winding alone.
    `feed` is what the pulses of the electronics add at the supply of the project; `weakening_voltage` the
    phase voltage [V] from which on the field is weakened, None where it cannot be. `added_inertia` [kg m2]
    is that of encoder and brake on the shaft, `part_limits` are those of what is fitted.
    """

    motor: Motor
    winding: Winding
    variant: Variant
    drive: Drive
    constants: MachineConstants
    commutation: Commutation
    drag: DragLaw
    path: SeriesPath
    winding_limit: float | None
    mean_winding_limit: float | None
    magnet_limit: float | None
    cold_temp: float
    hot_winding_temp: float
    hot_magnet_temp: float
    peak_current: float | None
    peak_reason: str
    findings: tuple[Finding, ...]
    winding_inductance: float
    feed: Feed = NO_FEED
    weakening_voltage: float | None = None
    added_inertia: float = 0.0
    part_limits: tuple[PartLimit, ...] = ()
    saturation: SaturationLaw | None = None

    @property
    def inertia(self) -> float:
        """Moment of inertia of the rotor with what sits on its shaft. [kg m2]"""
        return self.variant.rotor_inertia + self.added_inertia

    @property
    def current_limit(self) -> float | None:
        """Largest current that electronics and motor allow for a short time, None where unknown. [A]"""
        known = [one for one in (self.peak_current, self.drive.peak_current) if one is not None]
        return min(known, default=None)

    @property
    def torque_constant(self) -> float:
        """Torque per ampere of the candidate's commutation at the reference temperature. [N m/A]"""
        return torque_constant(self.constants, self.commutation)

    @property
    def copper_per_torque_squared(self) -> float:
        """Copper loss per square of torque at the reference temperatures. [W/(N m)^2]"""
        return copper_loss_coefficient(self.constants, self.commutation)

    @property
    def canonical(self) -> CanonicalConstants:
        """The canonical set of constants."""
        return CanonicalConstants(
            self.constants.back_emf_constant,
            self.torque_constant,
            self.constants.resistance,
            self.winding_inductance,
            motor_constant(self.constants),
        )

    @property
    def hot_flux(self) -> float:
        """Flux of hot magnets over that at their reference temperature. [-]"""
        c = self.constants
        return float(magnet_flux_factor(self.hot_magnet_temp, c.magnet_temp_coefficient, c.magnet_ref_temp))

    @property
    def hot_torque_constant(self) -> float:
        """Torque per ampere at hot magnets. [N m/A]"""
        return self.torque_constant * self.hot_flux

    @property
    def holding_torque_constant(self) -> float:
        """Torque per ampere at hot magnets and the worst angle of rest. [N m/A]"""
        edge = sector_edge_loss_factor(self.commutation, self.constants.emf_shape == "trapezoidal")
        return self.hot_torque_constant / math.sqrt(edge)

    @property
    def largest_torque(self) -> float | None:
        """Electromagnetic torque that no current passes at hot magnets, None for a linear machine. [N m]"""
        law = self.saturation
        if law is None or law.bend == 0.0:
            return None
        return self.hot_torque_constant * law.linear_current * (1.0 + 1.0 / law.bend)

    def torque_of(self, current: float, torque_constant: Numeric) -> FloatArray:
        """Return the torque of a current, with saturation where it is known, shape of the constant. [N m]"""
        if self.saturation is None:
            return np.asarray(torque_constant * current)
        return saturated_torque(self.saturation, torque_constant, current)

    def current_of(self, em_torque: FloatArray, torque_constant: Numeric) -> FloatArray:
        """Return the amount of the current of a torque, with saturation where it is known, same shape. [A]

        Where no current makes the torque it counts as `BEYOND_SATURATION` times that of the linear machine,
        which fails every comparison and stays a number.
        """
        linear: FloatArray = np.abs(em_torque) / torque_constant
        law = self.saturation
        if law is None or float(linear.max(initial=0.0)) <= law.linear_current:
            return linear
        saturated = np.abs(saturated_current(law, torque_constant, em_torque))
        return np.minimum(saturated, BEYOND_SATURATION * linear)

    def series_loss(self, em_torque: FloatArray) -> FloatArray:
        """Return the loss in winding, leads and switches at hot winding and magnets, same shape. [W]"""
        current = self.current_of(em_torque, self.hot_torque_constant)
        ohmic = self.path_loss(current, self.hot_winding_temp)
        switching = self.feed.switching_loss_per_ampere * current
        dropped = drive_conduction_loss(self.commutation, current, 0.0, self.path.device_drop)
        return ohmic + switching + dropped

    def path_loss(self, current: FloatArray, winding_temp: Numeric) -> FloatArray:
        """Return the loss of a current in winding, leads and switches, broadcast shape. [W]"""
        c = self.constants
        rise = copper_resistance_factor(winding_temp, c.resistance_ref_temp, c.copper_constant)
        loop = c.resistance * rise + self.path.loop_resistance
        loss: FloatArray = copper_loss_factor(self.commutation) * loop * current**2
        return loss

    def ripple_loss(self, speed: FloatArray, winding_temp: Numeric) -> FloatArray:
        """Return the copper loss of the current's ripple at winding temperatures, broadcast shape. [W]"""
        c = self.constants
        rise = copper_resistance_factor(winding_temp, c.resistance_ref_temp, c.copper_constant)
        loss: FloatArray = self.feed.ripple_loss(speed) * rise
        return loss


def missing_parts(candidate: Candidate) -> tuple[str, ...]:
    """Return what a candidate lacks before anything of its motor can be computed."""
    if candidate.motor is None:
        return ("a motor",)
    missing = []
    winding = candidate.chosen_winding
    if winding is None:
        missing.append("a winding")
    elif not (winding.torque_constant or winding.back_emf_constant or winding.speed_constant):
        missing.append(f"a torque, back-EMF or speed constant of winding {winding.name}")
    if candidate.chosen_variant is None:
        missing.append("a variant (open rotor or enclosed)")
    return tuple(missing)


@remembered()
def motor_model(site: Site, requirements: Requirements, candidate: Candidate) -> MotorModel | None:
    """Return the model of a candidate, None where `missing_parts` names something."""
    motor, winding, variant = candidate.motor, candidate.chosen_winding, candidate.chosen_variant
    if missing_parts(candidate) or motor is None or winding is None or variant is None:
        return None
    bare, findings = _constants(motor, winding)
    constants = with_choke(bare, candidate.choke)
    drag, drag_findings = drag_of_variant(motor, variant)
    temps = _temp_range(site, requirements, motor)
    peak = peak_current_of(winding, temps.cold, temps.hot_magnets)
    saturation, saturation_words = saturation_of(winding, bare)
    limits = (temps.winding_limit, temps.hot_winding, temps.hot_magnets)
    return MotorModel(
        motor=motor,
        winding=winding,
        variant=variant,
        drive=candidate.drive,
        constants=constants,
        commutation=candidate.commutation,
        drag=drag,
        path=_series_path(candidate),
        winding_limit=temps.winding_limit,
        mean_winding_limit=temps.mean_winding_limit,
        magnet_limit=motor.magnet_limit,
        cold_temp=temps.cold,
        hot_winding_temp=temps.hot_winding,
        hot_magnet_temp=temps.hot_magnets,
        peak_current=peak[0],
        peak_reason=peak[1],
        findings=(
            *findings,
            *drag_findings,
            *temps.findings,
            *saturation_words,
            *motor_findings(motor, winding, bare, *limits, candidate.drive.pwm_frequency),
        ),
        winding_inductance=bare.inductance,
        added_inertia=candidate.added_inertia,
        part_limits=part_limits(candidate),
        saturation=saturation,
    )


@dataclass(frozen=True, slots=True)
class _TempRange:
    """Limits of the winding, and between which temperatures the motor works. [degC]"""

    winding_limit: float | None
    mean_winding_limit: float | None
    cold: float
    hot_winding: float
    hot_magnets: float
    findings: tuple[Finding, ...]


def _temp_range(site: Site, requirements: Requirements, motor: Motor) -> _TempRange:
    limit = _winding_limit(motor)
    mean_limit = None if limit is None else mean_winding_temp_limit(limit, requirements.hot_spot_allowance)
    ambient = site.ambient if site.ambient is not None else 25.0
    cold, findings = _cold_temp(site, ambient)
    hot_winding = max(ambient, mean_limit if mean_limit is not None else ambient)
    hot_magnets = hot_winding if motor.magnet_limit is None else max(ambient, motor.magnet_limit)
    return _TempRange(limit, mean_limit, cold, hot_winding, hot_magnets, findings)


def _series_path(candidate: Candidate) -> SeriesPath:
    drive = candidate.drive
    return SeriesPath(lead_resistance(candidate), drive.on_resistance, drive.device_drop)


def motor_of(application: Application, candidate: Candidate) -> MotorModel | None:
    """Return the model of a candidate at the supply of an application; None as `motor_model`."""
    motor = motor_model(application.site, application.requirements, candidate)
    return None if motor is None else fed_motor(motor, application.supply)


@remembered()
def fed_motor(motor: MotorModel, supply: Supply) -> MotorModel:
    """Return a motor with what the pulses of its electronics add at a supply, the same where nothing.

    The heat of the ripple, the loss of switching and the voltage follow from it wherever the motor is used.
    """
    feed = feed_of(motor.constants, motor.commutation, motor.drive, supply)
    voltage = _weakening_voltage(motor, supply)
    if feed is NO_FEED and voltage is None:
        return motor
    return replace(motor, feed=feed, weakening_voltage=voltage)


def _weakening_voltage(motor: MotorModel, supply: Supply) -> float | None:
    drive, lowest = motor.drive, supply.lowest_voltage or supply.nominal_voltage
    if not drive.field_weakening or motor.commutation != "sinusoidal" or lowest is None:
        return None
    if motor.current_limit is None:
        return None
    return float(available_voltage("sinusoidal", lowest, drive.largest_duty, drive.modulation))


# constants and drag stay the same objects while leads, electronics or limits are edited, so that what
# follows from them alone is remembered too
@remembered()
def _constants(motor: Motor, winding: Winding) -> tuple[MachineConstants, tuple[Finding, ...]]:
    def stated(figure: object) -> StatedFigure | None:
        return None if figure is None else StatedFigure(figure.value, figure.convention)  # type: ignore[attr-defined]

    resistance, inductance = winding.resistance, winding.inductance
    return canonical_constants(
        torque_constant=stated(winding.torque_constant),
        back_emf_constant=stated(winding.back_emf_constant),
        speed_constant=stated(winding.speed_constant),
        resistance=StatedFigure(resistance.value, resistance.convention),
        inductance=StatedFigure(inductance.value, inductance.convention),
        pole_pairs=motor.pole_pairs,
        resistance_temp=resistance.temp,
        magnet_temp=motor.magnet_ref_temp,
        magnet_temp_coefficient=motor.magnet_temp_coefficient,
        emf_shape=motor.emf_shape,
    )


def _winding_limit(motor: Motor) -> float | None:
    if motor.winding_limit is not None:
        return motor.winding_limit
    return None if motor.thermal_class is None else thermal_class_limit(motor.thermal_class)


def _cold_temp(site: Site, ambient: float) -> tuple[float, tuple[Finding, ...]]:
    lowest = site.lowest_ambient
    if lowest is not None and lowest <= ambient:
        return lowest, ()
    if lowest is not None:
        return ambient, (_turned_ambients(lowest, ambient),)
    text = sentence(
        "No lowest ambient temperature is given: a cold start is assumed at {cold}. Colder magnets raise "
        "the back-EMF and take voltage reserve.",
        cold=(ambient, Kind.TEMPERATURE),
    )
    return ambient, (Finding("cold_start_assumed", "assumed", text, {"cold_degC": ambient}),)


def _turned_ambients(lowest: float, highest: float) -> Finding:
    text = sentence(
        "The lowest ambient, {lowest}, is above the highest, {highest}: one cannot be right. A cold start is "
        "taken at {highest}.",
        lowest=(lowest, Kind.TEMPERATURE),
        highest=(highest, Kind.TEMPERATURE),
    )
    values = {"lowest_degC": lowest, "highest_degC": highest}
    return Finding("ambient_temperatures_contradict", "warning", text, values)
