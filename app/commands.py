"""The command line: what can be asked for, and how it ends.

Everything but the window works without a display, and nothing here imports Qt before a window or a
chart is asked for. Whatever the user can do wrong ends as one line on stderr and exit code 2.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from app import (
    command_chart,
    command_evaluate,
    command_files,
    command_parts,
    command_sheet,
    command_shortlist,
)
from app.collector import hold_collection, resume_collection
from app.terminal import EXIT_REFUSED, CommandParser, complain, write_out
from core.errors import AmpturnError

DESCRIPTION = """\
Ampturn takes an application (load, motion, supply, envelope, environment) to a justified choice of
small flat brushless motor, with every limit computed and every margin shown."""
EPILOG = """\
Exit codes of evaluate: 0 every required criterion is checked and meets its target, 1 one is missed or
excluded, 2 the input is refused, 3 none is missed, but a required one is not checked.
Results are engineering estimates; local codes, standards and licensed practice decide wherever someone
could be hurt."""
INTERRUPTED = 130  # what a shell expects of a program ended by Ctrl+C


def run(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # the same bytes everywhere, also where the locale cannot write a degree sign
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")
    parser = build_parser()
    try:
        options = parser.parse_args(_with_window_command(list(arguments), parser))
        if options.run is not _window:
            resume_collection()
        code: int = options.run(options)
    except AmpturnError as error:
        complain(str(error))
        return EXIT_REFUSED
    except KeyboardInterrupt:
        return INTERRUPTED
    return code


def build_parser() -> CommandParser:
    """Return the parser of the whole command line."""
    parser = CommandParser(
        prog="ampturn",
        usage="ampturn [FILE]\n       ampturn COMMAND ...",
        description=DESCRIPTION,
        epilog=EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action=_VersionAction, nargs=0, help="show the version and exit")
    commands = parser.add_subparsers(prog="ampturn", metavar="COMMAND", title="commands", required=True)
    window = commands.add_parser(
        "window", help="open the window (also without this word)", description="Open the window."
    )
    window.add_argument("file", metavar="FILE", nargs="?", type=Path, help="project to open")
    window.set_defaults(run=_window)
    command_evaluate.add_to(commands)
    command_chart.add_to(commands)
    command_shortlist.add_to(commands)
    command_sheet.add_to(commands)
    command_files.add_to(commands)
    command_parts.add_to(commands)
    return parser


def _with_window_command(arguments: list[str], parser: CommandParser) -> list[str]:
    """Put the word `window` before a lone file name or nothing, and refuse what is neither."""
    if not arguments:
        return ["window"]
    first = arguments[0]
    if first in _commands(parser) or first in ("-h", "--help", "--version"):
        return arguments
    if not first.startswith("-") and not Path(first).exists() and not Path(first).suffix:
        known = ", ".join(_commands(parser))
        parser.error(f"'{first}' is neither a command ({known}) nor a file")
    return ["window", *arguments]


def _commands(parser: CommandParser) -> list[str]:
    return [
        name
        for action in parser._actions
        if isinstance(action, argparse._SubParsersAction)
        for name in action.choices
    ]


class _VersionAction(argparse.Action):
    """Print the version, which takes longer to find than all other options together."""

    def __call__(self, parser: argparse.ArgumentParser, *_given: object) -> None:
        import importlib.metadata

        try:
            version = importlib.metadata.version("ampturn")
        except importlib.metadata.PackageNotFoundError:
            version = "(not installed)"
        write_out(f"ampturn {version}\n")
        parser.exit()


def _window(options: argparse.Namespace) -> int:
    if options.file is not None and not options.file.is_file():
        raise AmpturnError(f"{options.file}: there is no such file")
    displays = ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    if sys.platform.startswith("linux") and not any(os.environ.get(name) for name in displays):
        raise AmpturnError("no display found, so no window; the other commands work without (--help)")
    hold_collection()  # until the first paint
    from app.start import run_window  # Qt is loaded here and not before

    return run_window(options.file)
