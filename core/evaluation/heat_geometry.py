"""The heat network of a candidate from its dimensions, calibrated by the figures of its data sheet."""

from __future__ import annotations

from collections.abc import Callable

from core.evaluation.heat_place import carrying_plate, heat_place, in_surroundings
from core.evaluation.remembered import remembered
from core.findings import Finding
from core.physics.added_link import with_solid_link
from core.physics.calibration_figures import StatedHeat
from core.physics.heat_calibration import FACTOR_NAMES, Calibration, calibrated
from core.physics.heat_figures import RatedPoint
from core.physics.heat_from_geometry import geometry_network, standstill_resistances
from core.physics.heat_network import HeatNetwork
from core.physics.motor_dimensions import EnclosedRotor, FrameDimensions, HeatPlace, LawFactors, OpenRotor
from core.project.application import Site
from core.project.motor import Motor, Variant
from core.project.motor_geometry import FrameGeometry
from core.project.motor_heat import GeometryHeat
from core.records import dataclass
from core.results import CalibrationFactor, CalibrationRow, HeatCalibration
from core.sentences import sentence
from core.units import Kind

UNKNOWN_SPEED = 1500.0  # tables end here where the largest speed is not given; straight on beyond [rad/s]
MEASURING_AMBIENT = 25.0  # at which resistances of data sheets are taken to be measured [degC]
MEASURING_RISE = 80.0  # of the winding, for the resistance of a mounting [K]


@dataclass(frozen=True, slots=True)
class GeometryModel:
    """Network in its place, how it was calibrated, and the same network with other factors."""

    network: HeatNetwork
    calibration: Calibration
    build: Callable[[LawFactors], HeatNetwork]
    findings: tuple[Finding, ...]


def geometry_model(
    heat: GeometryHeat, site: Site, variant: Variant, frame: Motor, rated: tuple[RatedPoint, ...]
) -> GeometryModel:
    """Return the network of a variant where it sits.

    Parameters
    ----------
    rated : tuple of RatedPoint
        The continuous torques of the data sheet, with the losses of this winding.
    """
    dimensions, form, highest = _dimensions(frame, heat, variant)
    calibration = _calibration(frame, heat, variant, rated)
    place = heat_place(site, heat.stated_plate)
    made = geometry_network(dimensions, form, place, calibration.factors, highest_speed=highest)

    def build(factors: LawFactors) -> HeatNetwork:
        network = geometry_network(dimensions, form, place, factors, highest_speed=highest).network
        return _placed(network, site, variant, frame)[0]

    network, findings = _placed(made.network, site, variant, frame)
    return GeometryModel(network, calibration, build, (*made.findings, *calibration.findings, *findings))


def _placed(
    network: HeatNetwork, site: Site, variant: Variant, frame: Motor
) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    """Return the network with the mounting that is given as a resistance, in what stands around it."""
    wanted = site.mounting.housing_ambient_resistance
    found: tuple[Finding, ...] = ()
    if wanted is not None:
        network, found = _with_resistance(network, wanted)
    around, findings = in_surroundings(network, site, variant, frame)
    return around, (*found, *findings)


def _with_resistance(network: HeatNetwork, wanted: float) -> tuple[HeatNetwork, tuple[Finding, ...]]:
    bare = standstill_resistances(network, MEASURING_RISE).housing_to_ambient
    if wanted >= bare:
        text = sentence(
            "The mounting of the project is to leave {wanted}, but dimensions alone give {bare} without any "
            "mounting: it is taken without one.",
            wanted=(wanted, Kind.THERMAL_RESISTANCE),
            bare=(bare, Kind.THERMAL_RESISTANCE),
        )
        values = {"wanted_K_W": wanted, "bare_K_W": bare}
        return network, (Finding("mounting_below_bare_motor", "warning", text, values),)
    extra = 1.0 / wanted - 1.0 / bare
    return with_solid_link(network, network.outside, extra, "mounting to ambient"), ()


def _dimensions(
    frame: Motor, heat: GeometryHeat, variant: Variant
) -> tuple[FrameDimensions, OpenRotor | EnclosedRotor, float]:
    """Return the dimensions of frame and variant, and the last speed of the tables."""
    assert frame.geometry is not None  # `Motor` asks for it
    highest = variant.largest_speed or UNKNOWN_SPEED
    return frame_dimensions(frame.geometry), variant_dimensions(heat, variant), highest


# it takes tens of milliseconds and does not depend on where the motor sits
@remembered(64)
def _calibration(
    frame: Motor, heat: GeometryHeat, variant: Variant, rated: tuple[RatedPoint, ...]
) -> Calibration:
    """Return the factors that the figures tell, on the stated plate in still air at sea level."""
    dimensions, form, highest = _dimensions(frame, heat, variant)
    carrier = None if heat.stated_plate is None else carrying_plate(heat.stated_plate)
    stated, bare = HeatPlace(MEASURING_AMBIENT, carrier=carrier), HeatPlace(MEASURING_AMBIENT)

    def build(factors: LawFactors) -> HeatNetwork:
        return geometry_network(dimensions, form, stated, factors, highest_speed=highest).network

    def without_carrier(factors: LawFactors) -> HeatNetwork:
        return geometry_network(dimensions, form, bare, factors, highest_speed=highest).network

    figures = StatedHeat(
        winding_to_housing=heat.winding_housing_resistance,
        housing_to_ambient=heat.housing_ambient_resistance,
        winding_time_constant=heat.winding_time_constant,
        motor_time_constant=heat.motor_time_constant,
        torques=rated,
    )
    return calibrated(build, figures, bare=without_carrier)


def calibration_result(calibration: Calibration) -> HeatCalibration:
    """Return a calibration as the window and the sheet show it."""
    rows = tuple(
        CalibrationRow(row.figure.name, row.figure.kind, row.figure.stated, row.modelled)
        for row in calibration.rows
    )
    factors = tuple(
        CalibrationFactor(
            name=name,
            value=getattr(calibration.factors, name),
            width=getattr(calibration.posterior_width, name),
            prior_width=getattr(calibration.prior_width, name),
            told=calibration.told_by_data[name],
        )
        for name in FACTOR_NAMES
    )
    return HeatCalibration(rows, factors)


def frame_dimensions(geometry: FrameGeometry) -> FrameDimensions:
    """Return the dimensions of a frame as the equations take them."""
    return FrameDimensions(**{name: getattr(geometry, name) for name in FrameDimensions.__slots__})


def variant_dimensions(heat: GeometryHeat, variant: Variant) -> OpenRotor | EnclosedRotor:
    """Return the dimensions of a variant as the equations take them."""
    housing = heat.housing
    if variant.kind == "enclosed":
        assert housing is not None  # `Motor` asks for it
        return EnclosedRotor(
            housing.diameter,
            housing.length,
            housing.gap,
            housing.face_clearance,
            housing.mass,
            housing.flange_contact,
            housing.emissivity,
            heat.rotor_emissivity,
            heat.flange_emissivity,
        )
    share, radius = (0.0, 0.0) if heat.openings is None else (heat.openings.share, heat.openings.mean_radius)
    return OpenRotor(share, radius, heat.rotor_emissivity, heat.flange_emissivity)
