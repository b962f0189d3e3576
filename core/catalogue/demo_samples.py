"""The two sample projects: invented applications in which the better variant is not the same.

A carousel in a clean, guarded cabinet, where the open rotor carries what the enclosed one does not; and
an atomiser disc on an orchard sprayer, where the open rotor would be the cooler one and the spray rules
it out. `demo_recipe` writes them; what they show is asserted in tests/test_sample_projects.py.
"""

from __future__ import annotations

from msgspec.structs import replace

from core.catalogue.demo_fittings import HALLS, MIDDLE_DRIVE, feedback_named
from core.catalogue.demo_paperwork import with_paperwork
from core.catalogue.parts_file import PartsFile
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
from core.project.duty_cycle import Segment
from core.project.fittings import Cable, ShaftForce
from core.project.motor import VariantKind
from core.project.mounting import Guard
from core.project.project import Project
from core.project.project_file import encode_project

CAROUSEL = "sample_carousel.json"
SPRAYER = "orchard_sprayer.json"
FRAME = "47 mm frame"


def sample_projects(parts: PartsFile) -> dict[str, bytes]:
    """Return the content of each sample project by its file name."""
    return {
        CAROUSEL: encode_project(with_paperwork(carousel(parts))),
        SPRAYER: encode_project(sprayer(parts)),
    }


def carousel(parts: PartsFile) -> Project:
    """Return the indexing carousel of a laboratory cabinet."""
    speed, inertia, friction = 310.0, 2.6e-5, 0.036  # at the shaft [rad/s, kg m2, N m]
    start_time, brake_time = 0.10, 0.09
    duty = (
        _segment("accelerate", start_time, inertia * speed / start_time + friction, 0.0, speed),
        _segment("run", 0.25, friction, speed, speed),
        _segment("brake", brake_time, -inertia * speed / brake_time + friction, speed, 0.0),
        _segment("dwell, held", 0.08, 0.030, 0.0, 0.0),
    )
    application = Application(
        title="Sample carousel",
        notes="Invented example: a carousel brings sample tubes to a reader, one station after the other. "
        "The motor sits in the closed base of a laboratory cabinet, out of reach. The duty is given at its "
        "shaft, where belt and carousel count as 0.26 kg cm2 and 36 mN m of friction; while the reader "
        "works, the motor holds against the spring of a detent. A quarter of the torque is kept in reserve, "
        "for tubes that are heavier than was thought.",
        duty_cycle=duty,
        site=Site(
            ambient=40.0,
            lowest_ambient=10.0,
            surroundings=Surroundings(
                dust="no", magnetic_swarf="no", liquid="no", reach_of_fingers="no"
            ),
        ),
        supply=Supply(
            nominal_voltage=24.0, lowest_voltage=21.6, highest_voltage=25.2, source_resistance=0.05,
            takes_energy_back="no",
        ),
        requirements=Requirements(
            targets=Targets(torque_reserve=0.25),
            envelope=Envelope(largest_diameter=0.060, largest_length=0.045),
        ),
    )  # fmt: skip
    candidates = _both(parts, "24 V")
    belt = ShaftForce(radial=18.0, distance=0.008, wanted_life=10_000.0)
    candidates = tuple(replace(one, lead_resistance=0.012, shaft_force=belt) for one in candidates)
    return Project(application=application, candidates=candidates, chosen=f"{FRAME}, open rotor")


def sprayer(parts: PartsFile) -> Project:
    """Return the atomiser disc of an orchard sprayer."""
    duty = (
        _segment("spin up", 3.0, 0.040, 60.0, 400.0),
        _segment("spray along the row", 55.0, 0.042, 400.0, 400.0),
        _segment("slow down", 3.0, 0.010, 400.0, 60.0),
        _segment("turn at the row end", 14.0, 0.006, 60.0, 60.0),
    )
    application = Application(
        title="Orchard sprayer",
        notes="Invented example: a disc throws spray into fine drops by its speed. It is fed from the "
        "vehicle's battery, sits in its own spray and in dust, and can be reached from the ground. A wire "
        "guard would keep fingers and twigs away from an open rotor, but neither spray nor dust.",
        duty_cycle=duty,
        site=Site(
            ambient=35.0,
            lowest_ambient=0.0,
            around=Guard(open_share=0.6, clearance=0.008),
            surroundings=Surroundings(dust="yes", magnetic_swarf="no", liquid="yes", reach_of_fingers="yes"),
        ),
        supply=Supply(
            nominal_voltage=12.0, lowest_voltage=10.8, highest_voltage=14.4, source_resistance=0.03,
            takes_energy_back="yes",
        ),
        requirements=Requirements(envelope=Envelope(largest_diameter=0.070, largest_mass=0.35)),
    )  # fmt: skip
    cable = Cable(length=2.5, section=2.5)
    candidates = tuple(replace(one, cable=cable) for one in _both(parts, "12 V"))
    return Project(application=application, candidates=candidates, chosen=f"{FRAME}, enclosed")


def _segment(name: str, duration: float, shaft_torque: float, start: float, end: float) -> Segment:
    """Return a segment from seconds, newton metres and radians per second."""
    return Segment(name=name, duration=duration, shaft_torque=shaft_torque, speed_start=start, speed_end=end)


def _both(parts: PartsFile, winding: str) -> tuple[Candidate, ...]:
    """Return both variants of the frame side by side, else alike."""
    kinds: tuple[VariantKind, ...] = ("open rotor", "enclosed")
    return tuple(
        Candidate(
            name=f"{FRAME}, {kind}",
            motor=parts.motor(FRAME),
            winding=winding,
            variant=kind,
            commutation="sinusoidal",
            drive=parts.drive(MIDDLE_DRIVE),
            feedback=feedback_named(parts, HALLS),
        )
        for kind in kinds
    )
