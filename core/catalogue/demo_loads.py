"""Sample projects whose duty is derived: what moves and how, through a transmission, to the motor shaft.

A winch that lowers a water sampler into tide pools, where spray and fingers rule the open rotor out
although it carries the load as well; a turntable that shows a figure off its centre in a low plinth,
where only the open rotor is flat enough; and a cart on a sloping greenhouse path, in dust and drips.
`demo_recipe` writes them; what they show is asserted in tests/core/test_demo_loads.py.
"""

from __future__ import annotations

import math

from msgspec.structs import replace

from core.catalogue.demo_fittings import (
    HALLS,
    MAGNETIC_ENCODER,
    MIDDLE_DRIVE,
    PLANETARY_GEAR,
    SMALL_BRAKE,
    SMALL_DRIVE,
    SMALLEST_DRIVE,
    SPUR_GEAR,
    TWO_BELTS,
    brake_named,
    feedback_named,
    transmission_named,
)
from core.catalogue.demo_paperwork import with_paperwork
from core.catalogue.parts_file import PartsFile
from core.physics.linear_mechanisms import slope_from_percent
from core.project.application import (
    Application,
    Envelope,
    Requirements,
    Site,
    Supply,
    Surroundings,
    Targets,
)
from core.project.candidate import Candidate
from core.project.fittings import Cable
from core.project.load import Load
from core.project.mechanism import DrumWinch, LinearFriction, RotaryFriction, RotaryTable, WheelDrive
from core.project.motion import DwellStep, FrictionRange, MotionLimits, MoveStep, RampStep, RunStep
from core.project.mounting import Mounting, Plate
from core.project.project import Project
from core.project.project_file import encode_project

WINCH = "tide_pool_winch.json"
TURNTABLE = "museum_turntable.json"
CART = "greenhouse_cart.json"


def load_samples(parts: PartsFile) -> dict[str, bytes]:
    """Return the content of each sample project by its file name."""
    made = {WINCH: winch, TURNTABLE: turntable, CART: cart}
    return {name: encode_project(with_paperwork(make(parts))) for name, make in made.items()}


def _winch_load() -> Load:
    """Return what the winch moves: the bottle down, held, up, and a rest on the brake."""
    return Load(
        mechanism=DrumWinch(
            mass=2.8, drum_radius=0.030, inclination=0.5 * math.pi, drum_inertia=1.2e-4, efficiency=0.94,
            friction=LinearFriction(constant=1.5),
        ),
        motion=(
            MoveStep(distance=-2.4, duration=6.0, acceleration_share=0.15, deceleration_share=0.15),
            DwellStep(duration=12.0),
            MoveStep(distance=2.4, duration=8.0, acceleration_share=0.15, deceleration_share=0.15),
            DwellStep(duration=34.0, held=False),
        ),
        limits=MotionLimits(speed=0.60, acceleration=1.0),
        friction_range=FrictionRange(low=0.5, high=2.0),
    )  # fmt: skip


def winch(parts: PartsFile) -> Project:
    """Return the winch of a tide-pool water sampler: lower, hold, haul up, rest on the brake."""
    application = Application(
        title="Tide pool winch",
        notes="Invented example: a winch on a steel plate lowers a bottle into a tide pool, holds it "
        "while it fills and hauls it up again; between two samples it rests on its brake. Gravity pulls: "
        "hauling up decides the torque, holding still asks for it too, and lowering gives energy back. The "
        "motor sits in salt spray and within reach, so the open rotor is ruled out, although it is lighter "
        "and flatter and carries the load as well.",
        duty_from="load",
        load=_winch_load(),
        site=Site(
            ambient=30.0,
            lowest_ambient=-5.0,
            mounting=Mounting(
                name="steel plate, 80 mm x 80 mm x 3 mm",
                plate=Plate(material="steel", conductivity=50.0, side=0.08, thickness=3e-3),
            ),
            surroundings=Surroundings(dust="no", magnetic_swarf="no", liquid="yes", reach_of_fingers="yes"),
        ),
        supply=Supply(
            nominal_voltage=24.0, lowest_voltage=22.0, highest_voltage=28.8, source_resistance=0.06,
            takes_energy_back="yes",
        ),
        requirements=Requirements(envelope=Envelope(largest_diameter=0.060, largest_mass=0.30)),
    )  # fmt: skip
    open_rotor, enclosed = _both_variants(parts, "38 mm frame", SMALL_DRIVE, SPUR_GEAR)
    cable = Cable(length=3.0, section=0.75)
    encoder, brake = feedback_named(parts, MAGNETIC_ENCODER), brake_named(parts, SMALL_BRAKE)
    candidates = (
        replace(open_rotor, cable=cable),
        replace(enclosed, cable=cable, feedback=encoder, brake=brake),
    )
    return Project(application=application, candidates=candidates, chosen=enclosed.name)


def _turntable_load() -> Load:
    """Return what the turntable moves: a figure half a turn at a time, smoothly."""
    lean = math.radians(12.0)
    return Load(
        mechanism=RotaryTable(
            inertia=0.85, axis_tilt=lean, off_centre_mass=6.0, off_centre_distance=0.14,
            friction=RotaryFriction(constant=0.25, viscous=0.05, breakaway=0.45),
        ),
        motion=(
            MoveStep(distance=math.pi, duration=6.0, profile="3-4-5 polynomial"),
            DwellStep(duration=14.0),
            MoveStep(distance=math.pi, duration=6.0, profile="3-4-5 polynomial"),
            DwellStep(duration=14.0),
        ),
        limits=MotionLimits(speed=1.2, acceleration=0.8),
        friction_range=FrictionRange(low=0.6, high=1.8),
        coupling_stiffness=900.0,
    )  # fmt: skip


def turntable(parts: PartsFile) -> Project:
    """Return the turntable of a museum: a figure off its centre, on an axis that leans."""
    application = Application(
        title="Museum turntable",
        notes="Invented example: a turntable shows a stone figure from both sides, half a turn at a time and "
        "smoothly, so that nothing rattles. The figure stands off the centre and the axis leans, so gravity "
        "helps on one side of the turn and resists on the other. The friction of the old slewing ring is "
        "only guessed, between six tenths and 1.8 times the figure entered. The plinth is low and dry: only "
        "the open rotor is flat enough to lie under the plate. The museum stands 1800 m above the sea, where "
        "the air is thin.",
        duty_from="load",
        load=_turntable_load(),
        site=Site(
            ambient=35.0,
            lowest_ambient=15.0,
            altitude=1800.0,
            surroundings=Surroundings(dust="no", magnetic_swarf="no", liquid="no", reach_of_fingers="no"),
        ),
        supply=Supply(
            nominal_voltage=24.0, lowest_voltage=23.0, highest_voltage=25.0, source_resistance=0.05,
            takes_energy_back="no",
        ),
        requirements=Requirements(
            targets=Targets(torque_reserve=0.30), envelope=Envelope(largest_length=0.020)
        ),
    )  # fmt: skip
    candidates = tuple(
        replace(one, lead_resistance=0.012)
        for one in _both_variants(parts, "31 mm frame", SMALLEST_DRIVE, TWO_BELTS)
    )
    return Project(application=application, candidates=candidates, chosen=candidates[0].name)


def _cart_load() -> Load:
    """Return what one driven wheel of the cart moves, up and down the path."""
    return Load(
        mechanism=WheelDrive(
            mass=85.0, wheel_radius=0.10, slope=slope_from_percent(3.0), driven_wheels=2, wheels=4,
            wheel_inertia=6.0e-3, friction=LinearFriction(coefficient=0.025, breakaway_ratio=1.5),
        ),
        motion=(
            RampStep(end_speed=0.8, duration=2.0),
            RunStep(duration=18.0),
            RampStep(end_speed=0.0, duration=1.5),
            DwellStep(duration=25.0, held=False),
            RampStep(end_speed=-0.8, duration=2.0),
            RunStep(duration=18.0),
            RampStep(end_speed=0.0, duration=1.5),
            DwellStep(duration=25.0, held=False),
        ),
        limits=MotionLimits(speed=1.2, acceleration=0.8),
        friction_range=FrictionRange(low=0.7, high=1.5),
    )  # fmt: skip


def cart(parts: PartsFile) -> Project:
    """Return one driven wheel of a greenhouse cart that climbs between the beds."""
    application = Application(
        title="Greenhouse cart",
        notes="Invented example: a cart carries trays along a path that rises by 3 % and rolls back down "
        "just as loaded. Two of its four wheels are driven, each by a motor of its own; at the ends it "
        "stands on its parking brake. Rolling resistance was measured on dry ground and may be half as much "
        "again on wet. Dust, drips and hands reach the motor, so only the enclosed one stays.",
        duty_from="load",
        load=_cart_load(),
        site=Site(
            ambient=40.0,
            lowest_ambient=5.0,
            surroundings=Surroundings(dust="yes", magnetic_swarf="no", liquid="yes", reach_of_fingers="yes"),
        ),
        supply=Supply(
            nominal_voltage=24.0, lowest_voltage=21.0, highest_voltage=29.0, source_resistance=0.04,
            takes_energy_back="yes",
        ),
        requirements=Requirements(envelope=Envelope(largest_diameter=0.060)),
    )  # fmt: skip
    open_rotor, enclosed = _both_variants(parts, "47 mm frame", MIDDLE_DRIVE, PLANETARY_GEAR)
    cable = Cable(length=1.2, section=1.5)
    candidates = (
        replace(open_rotor, cable=cable),
        replace(enclosed, cable=cable, feedback=feedback_named(parts, MAGNETIC_ENCODER)),
    )
    return Project(application=application, candidates=candidates, chosen=enclosed.name)


def _both_variants(
    parts: PartsFile, frame: str, drive: str, transmission: str
) -> tuple[Candidate, Candidate]:
    """Return the open and the enclosed variant of a frame behind one transmission, with Hall sensors."""
    open_rotor = Candidate(
        name=f"{frame}, open rotor",
        motor=parts.motor(frame),
        winding="24 V",
        variant="open rotor",
        commutation="sinusoidal",
        transmission=transmission_named(parts, transmission),
        drive=parts.drive(drive),
        feedback=feedback_named(parts, HALLS),
    )
    return open_rotor, replace(open_rotor, name=f"{frame}, enclosed", variant="enclosed")
