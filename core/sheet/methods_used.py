"""Which methods a result used: each named by the equation of `core.physics` that carries its source."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from core.project.drive import Drive
from core.project.motion import MoveStep, ProfileName
from core.project.motor_heat import DataSheetHeat, GeometryHeat
from core.records import dataclass
from core.sheet.subject import Subject


@dataclass(frozen=True, slots=True)
class Method:
    """What was computed, by which function of `core.physics`, and whether a result used it."""

    what: str
    module: str
    function: str
    used: Callable[[Subject], bool]


def _with_motor(subject: Subject) -> bool:
    return any(one.constants is not None for one in subject.result.candidates)


def _with_heat(subject: Subject) -> bool:
    return any(
        one.curves is not None and one.curves.continuous is not None for one in subject.result.candidates
    )


def _with_cycle(subject: Subject) -> bool:
    return any(one.cycle is not None for one in subject.result.candidates)


def _heat_given_as(kind: type) -> Callable[[Subject], bool]:
    def used(subject: Subject) -> bool:
        variants = [candidate.chosen_variant for candidate in subject.project.candidates]
        return any(variant is not None and isinstance(variant.heat, kind) for variant in variants)

    return used


def _with_load(subject: Subject) -> bool:
    return subject.result.load is not None and subject.application.duty_from == "load"


def _moved_with(profile: ProfileName) -> Callable[[Subject], bool]:
    def used(subject: Subject) -> bool:
        load = subject.application.load
        steps = () if load is None else load.motion
        return _with_load(subject) and any(isinstance(s, MoveStep) and s.profile == profile for s in steps)

    return used


def _with_gear(subject: Subject) -> bool:
    return any(candidate.transmission is not None for candidate in subject.project.candidates)


def _with_trace(subject: Subject) -> bool:
    return subject.application.duty_from == "trace"


def _drive_with(test: Callable[[Drive], bool]) -> Callable[[Subject], bool]:
    return lambda subject: any(test(candidate.drive) for candidate in subject.project.candidates)


def _six_step(subject: Subject) -> bool:
    return any(candidate.commutation == "six-step" for candidate in subject.project.candidates)


def _saturating(subject: Subject) -> bool:
    windings = [candidate.chosen_winding for candidate in subject.project.candidates]
    return any(winding is not None and winding.saturated_torque is not None for winding in windings)


def _with_ripple(subject: Subject) -> bool:
    return any(one.ripple is not None for one in subject.result.candidates)


def _with_band(subject: Subject) -> bool:
    return any(one.band is not None for one in subject.result.candidates)


def _with_supply(subject: Subject) -> bool:
    return subject.found is not None and subject.found.supply is not None


def _braking(subject: Subject) -> bool:
    found = subject.found
    return found is not None and found.supply is not None and found.supply.energy_back > 0.0


def _with_battery(subject: Subject) -> bool:
    return subject.application.supply.battery_energy is not None


def _with_brake(subject: Subject) -> bool:
    return any(candidate.brake is not None for candidate in subject.project.candidates)


def _with_shaft_load(subject: Subject) -> bool:
    return any(one.shaft_load is not None for one in subject.result.candidates)


def _with_faults(subject: Subject) -> bool:
    return subject.found is not None and subject.found.faults is not None


def _with_cable(subject: Subject) -> bool:
    cables = [subject.application.supply.cable, *(one.cable for one in subject.project.candidates)]
    return any(cable is not None for cable in cables)


def _touched(subject: Subject) -> bool:
    return any(
        peak.role == "outside" and peak.limit for one in subject.result.candidates for peak in one.peaks
    )


_BY_DIMENSIONS, _BY_FIGURES = _heat_given_as(GeometryHeat), _heat_given_as(DataSheetHeat)

METHODS: Final[tuple[Method, ...]] = (
    Method("Torque of the load by cause", "load_terms", "axis_terms", _with_load),
    Method("Trapezoidal move", "profile_shapes", "trapezoid", _moved_with("trapezoid")),
    Method("Triangular move", "profile_shapes", "triangle", _moved_with("triangle")),
    Method("Move limited in jerk", "profile_shapes", "s_curve", _moved_with("S-curve")),
    Method("Parabolic move", "profile_shapes", "parabola", _moved_with("parabola")),
    Method("Cycloidal move", "profile_shapes", "cycloid", _moved_with("cycloid")),
    Method("Modified sine", "profile_shapes", "modified_sine", _moved_with("modified sine")),
    Method("Modified trapezoid", "profile_shapes", "modified_trapezoid", _moved_with("modified trapezoid")),
    Method("Move by polynomial", "profile_shapes", "polynomial_345", _moved_with("3-4-5 polynomial")),
    Method("Move by polynomial", "profile_shapes", "polynomial_4567", _moved_with("4-5-6-7 polynomial")),
    Method("Sinusoidal move", "profile_shapes", "harmonic", _moved_with("sinusoid")),
    Method("Duty through the transmission", "transmission", "shaft_timeline", _with_gear),
    Method("Work in the transmission", "gear_findings", "gear_demand", _with_gear),
    Method("Duty from a measured trace", "sampled_trace", "trace_intervals", _with_trace),
    Method("Duty at the shaft, with the rotor", "shaft_duty", "shaft_duty", _with_cycle),
    Method("Conventions of stated constants", "stated_figures", "convention_factor", _with_motor),
    Method("One set of constants from a sheet", "data_sheet_conventions", "canonical_constants", _with_motor),
    Method("Torque constant of a commutation", "machine_constants", "torque_constant", _with_motor),
    Method("Copper loss of a commutation", "machine_constants", "copper_loss_factor", _with_motor),
    Method("Resistance against temperature", "materials", "copper_resistance_factor", _with_motor),
    Method("Flux of the magnets against temperature", "materials", "magnet_flux_factor", _with_motor),
    Method("Limit by thermal class", "materials", "thermal_class_limit", _with_motor),
    Method("Drag of iron and bearings", "drag", "core_drag_torque", _with_motor),
    Method("Drag of the air", "drag", "air_drag_torque", _with_motor),
    Method("Saturation of the torque", "peak_limits", "saturation_from_point", _saturating),
    Method("Voltage that is needed", "voltage", "required_voltage", _with_motor),
    Method("Voltage that is available", "voltage", "available_voltage", _with_motor),
    Method("Overlap of six-step commutation", "commutation_overlap", "overlap_factor", _six_step),
    Method("Weakened field", "field_weakening", "weakened_field", _drive_with(lambda d: d.field_weakening)),
    Method("Ripple of the current", "pwm_ripple", "ripple_peak_to_peak", _with_ripple),
    Method("Heat network from dimensions", "heat_from_geometry", "geometry_network", _BY_DIMENSIONS),
    Method("Network brought to stated figures", "heat_calibration", "calibrated", _BY_DIMENSIONS),
    Method("Heat network from stated figures", "heat_from_data_sheet", "open_network", _BY_FIGURES),
    Method("Natural and forced convection together", "heat_network", "link_conductance", _with_heat),
    Method("Natural convection", "natural_convection", "vertical_plate_nusselt", _BY_DIMENSIONS),
    Method("Heat from a turning surface", "rotating_surfaces", "cylinder_nusselt", _BY_DIMENSIONS),
    Method("Radiation", "radiation", "radiation_coefficient", _BY_DIMENSIONS),
    Method("Continuous torque", "continuous_torque", "continuous_torque", _with_heat),
    Method("Short-time torque", "short_time", "torque_for_time", _with_heat),
    Method("Repeating temperatures of the cycle", "temperatures", "repeating_state", _with_cycle),
    Method("Torque reserve", "torque_reserve", "torque_reserve", _with_cycle),
    Method("Heat of a motor that stands", "hold", "phase_loss_factor", _with_cycle),
    Method("RMS torque", "rms_torque", "rms_of_segments", _with_cycle),
    Method("Uncertainty of the heat", "heat_uncertainty", "band", _with_band),
    Method("Touching the outside", "surface_contact", "touch_threshold", _touched),
    Method("Power and current of the supply", "bus", "supply_current", _with_supply),
    Method("Rise of the bus on braking", "bus", "bus_rise", _braking),
    Method("Battery", "bus", "battery_use", _with_battery),
    Method("Resistance of cables", "conductors", "conductor_resistance", _with_cable),
    Method("Feedback against what is asked", "feedback_adequacy", "feedback_adequacy", _with_motor),
    Method("Holding brake", "brake", "holding_brake_torque", _with_brake),
    Method("Stop by the brake", "brake", "brake_stop", _with_brake),
    Method("Life of the bearings", "bearing_life", "rating_life", _with_shaft_load),
    Method("Bearing reactions", "shaft_load", "bearing_reactions", _with_shaft_load),
    Method("Shorted winding", "short_circuit", "short_circuit", _with_faults),
    Method("Jammed rotor", "short_time", "time_to_limit", _with_faults),
    Method("Loss of the load", "fault_facts", "run_away_speed", _with_faults),
)  # fmt: skip
