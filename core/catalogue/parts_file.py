"""Parts files: motors with their windings and variants, and drive electronics; read, written, listed.

Same style as a project file: strict on types, unknown keys kept, written in one step.
"""

import functools
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from core.catalogue.designation import require_known_parts
from core.errors import ProjectFileError
from core.project import saved_file
from core.project.designation_pattern import DesignationPattern
from core.project.drive import Drive
from core.project.feedback import Feedback
from core.project.fittings import HoldingBrake
from core.project.motor import Motor
from core.project.saved import Saved, Text
from core.project.saved_file import Migration
from core.project.schema import json_schema
from core.project.transmission import Transmission

PARTS_FORMAT = "ampturn parts"
PARTS_VERSION = 1
LARGEST_PARTS_FILE = 200_000_000  # [bytes]; a hundred thousand windings take about half of it
TABLE_ENDINGS = (".csv", ".tsv")
DEMO_PARTS = "demo_parts.json"  # beside this file; made by core.catalogue.demo_recipe

# MIGRATIONS[n] turns a document of version n into one of version n + 1; version 1 is the first.
MIGRATIONS: Mapping[int, Migration] = {}


class PartsFile(Saved, frozen=True, kw_only=True):
    """What a parts file holds.

    Parameters
    ----------
    origin : str
        Where the figures come from, in words.
    motors : tuple of Motor
        Frames; a name may occur once.
    drives : tuple of Drive
        Drive electronics; a name may occur once.
    transmissions : tuple of Transmission
        Gears and belts; a name may occur once.
    feedback : tuple of HallSensors, Encoder or Sensorless
        Feedback devices; a name may occur once.
    brakes : tuple of HoldingBrake
        Holding brakes; a name may occur once.
    designation : DesignationPattern, optional
        How the owner of the parts calls them; its codes stand for parts of this file.
    """

    format: str = PARTS_FORMAT
    version: int = PARTS_VERSION
    origin: Text = ""
    motors: tuple[Motor, ...] = ()
    drives: tuple[Drive, ...] = ()
    transmissions: tuple[Transmission, ...] = ()
    feedback: tuple[Feedback, ...] = ()
    brakes: tuple[HoldingBrake, ...] = ()
    designation: DesignationPattern | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        _require_own_names("motors", [motor.name for motor in self.motors])
        _require_own_names("drives", [drive.name for drive in self.drives])
        _require_own_names("transmissions", [transmission.name for transmission in self.transmissions])
        _require_own_names("feedback", [device.name for device in self.feedback])
        _require_own_names("brakes", [brake.name for brake in self.brakes])
        for motor in self.motors:
            place = f"motors ({motor.name})"
            _require_own_names(f"{place}.windings", [winding.name for winding in motor.windings])
            _require_own_names(f"{place}.variants", [variant.kind for variant in motor.variants])
        require_known_parts(self)

    def motor(self, name: str) -> Motor:
        """Return the motor of a name; `ProjectFileError` with the names there are if it is missing."""
        found = next((motor for motor in self.motors if motor.name == name), None)
        if found is None:
            names = ", ".join(motor.name for motor in self.motors) or "none"
            raise ProjectFileError(
                "motors", f"must hold the motor asked for (there are: {names})", name, True
            )
        return found

    def drive(self, name: str) -> Drive:
        """Return the electronics of a name; `ProjectFileError` with the names there are if missing."""
        found = next((drive for drive in self.drives if drive.name == name), None)
        if found is None:
            names = ", ".join(drive.name for drive in self.drives) or "none"
            raise ProjectFileError(
                "drives", f"must hold the electronics asked for (there are: {names})", name, True
            )
        return found


def read_parts(path: Path) -> PartsFile:
    """Return the parts in a file; every refusal names the place, the rule and the value."""
    content = saved_file.read_bytes(path, LARGEST_PARTS_FILE)
    try:
        return decode_parts(content)
    except ProjectFileError as error:
        if path.suffix.lower() not in TABLE_ENDINGS:
            raise
        rule = (
            "is a table, and no parts file: `ampturn parts import`, or Parts, Import parts from CSV in the "
            "window, makes a parts file of it"
        )
        raise ProjectFileError(str(path), rule) from error


def decode_parts(content: bytes) -> PartsFile:
    """Return the parts in a JSON text."""
    return saved_file.decode(content, PartsFile, PARTS_FORMAT, PARTS_VERSION, MIGRATIONS)


def encode_parts(parts: PartsFile) -> bytes:
    """Return the JSON text of a parts file; the same parts always give the same text."""
    return saved_file.encode(parts)


def write_parts(path: Path, parts: PartsFile) -> None:
    """Save parts in one step: the old file stays until the new one has been read back equal."""
    saved_file.write_bytes(path, encode_parts(parts), lambda read: decode_parts(read) == parts)


def parts_schema() -> dict[str, Any]:
    """Return the JSON Schema of a parts file."""
    return json_schema(PartsFile, "Ampturn parts")


@functools.cache
def load_demo_parts() -> PartsFile:
    """Return the invented parts that come with the tool; frozen, so they may be shared."""
    from importlib import resources  # half a dozen modules that nothing else at start-up needs

    return decode_parts(resources.files("core.catalogue").joinpath(DEMO_PARTS).read_bytes())


def _require_own_names(place: str, names: list[str]) -> None:
    double = next((name for name, count in Counter(names).items() if count > 1), None)
    if double is not None:
        raise ProjectFileError(place, "each entry needs a name of its own", double, True)
