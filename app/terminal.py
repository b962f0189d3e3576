"""What every command shares: exit codes, reading a project, and writing to the terminal."""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn, TypeAlias

from core.errors import AmpturnError, ProjectFileError, UnitError
from core.project.project import Project
from core.project.project_file import read_project
from core.project.saved import Saved
from core.project.saved_file import unknown_places
from core.units import DisplayUnits, Kind

EXIT_MET, EXIT_MISSED, EXIT_REFUSED, EXIT_NOT_CHECKED = 0, 1, 2, 3


class CommandParser(argparse.ArgumentParser):
    """A parser whose refusals are one line, like all others; its subcommands inherit that."""

    def error(self, message: str) -> NoReturn:
        raise AmpturnError(f"{message}; see {self.prog} --help")


Commands: TypeAlias = "argparse._SubParsersAction[CommandParser]"


def complain(message: str) -> None:
    """Say on one line of stderr what is wrong."""
    print(f"ampturn: {' '.join(message.split())}", file=sys.stderr)


def write_out(text: str) -> None:
    """Write to stdout; a reader that has seen enough (`| head`) is no error."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # what is still buffered would fail once more when Python ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise AmpturnError(f"the output cannot be written ({error.strerror or error})") from error


def open_project(path: Path) -> Project:
    """Return the project in a file; a refusal begins with the file's name."""
    with naming_file(path):
        project = read_project(path)
    announce_unknown_keys(path, project)
    return project


def announce_unknown_keys(path: Path, value: Saved) -> None:
    """Say which keys are kept but not used: a misspelt key must not be taken for an input."""
    places = unknown_places(value)
    if places:
        complain(f"note: {path}: not used, but kept when the file is saved: {', '.join(places)}")


@contextlib.contextmanager
def naming_file(path: Path) -> Iterator[None]:
    """Let a refusal of a file's content begin with the name of the file."""
    try:
        yield
    except ProjectFileError as error:
        text = str(error)
        raise AmpturnError(text if text.startswith(str(path)) else f"{path}: {text}") from error


def add_units_option(parser: argparse.ArgumentParser) -> None:
    """Let a command show its numbers in other units."""
    parser.add_argument(
        "--units",
        metavar="KIND=UNIT,...",
        default=DisplayUnits(),
        type=_display_units,
        help="show some kinds of quantity in other units, as torque=oz*in,speed=rad/s",
    )


def _display_units(text: str) -> DisplayUnits:
    chosen: dict[Kind, str] = {}
    for entry in text.split(","):
        name, equals, unit = entry.partition("=")
        kind = next((kind for kind in Kind if kind.value == name.strip()), None)
        if not equals or kind is None:
            kinds = ", ".join(kind.value for kind in Kind)
            raise argparse.ArgumentTypeError(f"'{entry}' must be KIND=UNIT with KIND one of {kinds}")
        chosen[kind] = unit.strip()
    try:
        return DisplayUnits().with_units(chosen)
    except UnitError as error:
        raise argparse.ArgumentTypeError(str(error)) from error
