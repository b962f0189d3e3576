"""`ampturn shortlist FILE`: every combination of parts files against the application of a project."""

from __future__ import annotations

import argparse
import signal
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import Event
from types import FrameType
from typing import TYPE_CHECKING, get_args

from app.shortlist_options import add_study_options, conditions_of, filter_of, looked_at, pareto_names
from app.terminal import (
    EXIT_MET,
    EXIT_MISSED,
    EXIT_NOT_CHECKED,
    Commands,
    add_units_option,
    announce_unknown_keys,
    complain,
    naming_file,
    open_project,
    write_out,
)
from core.errors import AmpturnError
from core.units import Kind

if TYPE_CHECKING:
    from core.catalogue.parts_file import PartsFile
    from core.shortlist.best import Shortlist
    from core.shortlist.choices import Choices, KeptOut
    from core.shortlist.free_ratio import FreeRatio
    from core.shortlist.listing import Listing
    from core.shortlist.runner import Task
    from core.shortlist.special_winding import SpecialWinding
    from core.shortlist.studies import Condition, Study
    from core.shortlist.workers import OpenPool
    from core.trace_import import ImportedTrace

# What a window does not need to start is imported where it is used.

INTERRUPTED = 130  # what a shell expects of a program ended by Ctrl+C
MOST_WORKERS = 256
DESCRIPTION = """\
Evaluate every combination of the parts files (frame, winding, variant, commutation, transmission with its
ratios, electronics, feedback, brake) against the application of a project. Print the best, and what the
others are out by. Cable, choke and force on the shaft are those of the project's chosen candidate.

Under several conditions (--ambient, --lowest-voltage, --mounting, --duty) each combination of them is
evaluated, and each candidate counts with its worst one, which is named. --special-winding and --free-ratio
take the best candidates of the list and seek the turns or the ratio with the largest smallest margin.

Exit code: 0 a candidate meets every requirement, 1 all miss one or are excluded, 2 the input is refused,
3 none meets all, but of some a required criterion is not checked, 130 cancelled by Ctrl+C, with what was
found so far."""


def add_to(commands: Commands) -> None:
    """Add the command to the command line."""
    parser = commands.add_parser(
        "shortlist",
        help="find the candidates worth looking at among all parts",
        description=DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE", type=Path, help="project file")
    parser.add_argument(
        "--parts", metavar="FILE", type=Path, nargs="+", help="parts files; without it the demo parts"
    )
    parser.add_argument(
        "--without",
        metavar="PART=NAME",
        action="append",
        type=_kept_out,
        default=[],
        help="do not choose a part, as 'drive=NAME', 'variant=enclosed' or 'brake=none'; may be repeated",
    )
    parser.add_argument("--top", metavar="N", type=_positive, default=10, help="how many to print, 10")
    parser.add_argument("--json", action="store_true", help="print the list as JSON for programs")
    parser.add_argument(
        "--workers", metavar="N", type=_workers, default=1, help="processes to evaluate in, 1 without it"
    )
    parser.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help="evaluate at a dask cluster (extra 'cluster'), as tcp://host:8786",
    )
    add_study_options(parser)
    add_units_option(parser)
    parser.set_defaults(run=_run)


def _run(options: argparse.Namespace) -> int:
    from core.shortlist.best import Shortlist, best
    from core.shortlist.choices import choices_of
    from core.shortlist.runner import Task

    project = open_project(options.file)
    parts = [_opened(path) for path in options.parts] if options.parts else [_demo()]
    application = project.application
    asked, pareto = filter_of(options), pareto_names(options)
    limits = _ranges(options)
    conditions = conditions_of(options, project)
    choices = choices_of(parts, application, project.chosen_candidate, options.without)
    with _cancelled_by_ctrl_c() as cancel:
        listing, study = _studied(conditions, choices, _pool(options), cancel)
        first = Task(conditions[0][0].application, choices, conditions[0][1])
        among, count = looked_at(asked, pareto, listing, first)
        rows = best(listing, choices, application, options.top, first.measured, among=among, study=study)
        special, ratios = _free(limits, first, listing, cancel)
    found = Shortlist(application.title, len(choices), listing, rows, count, pareto, study, special, ratios)
    _write(options, found)
    return INTERRUPTED if cancel.is_set() else _exit_code(listing)


def _ranges(options: argparse.Namespace) -> dict[str, tuple[float, float]]:
    """Return the ranges of what is free, so that a mistyped one is refused before anything is evaluated."""
    from core.shortlist.one_variable import require_range
    from core.shortlist.typed import range_of

    found = {}
    for name, kind in (("special_winding", Kind.TORQUE_CONSTANT), ("free_ratio", Kind.NUMBER)):
        text = getattr(options, name)
        if text is not None:
            found[name] = range_of(text, kind, options.units)
            require_range(f"--{name.replace('_', '-')}", *found[name], "")
    if found and (options.ambient or options.lowest_voltage or options.mounting or options.duty):
        raise AmpturnError("--special-winding and --free-ratio are sought under one condition, not several")
    return found


def _free(
    limits: dict[str, tuple[float, float]], task: Task, listing: Listing, cancel: Event
) -> tuple[tuple[SpecialWinding, ...], tuple[FreeRatio, ...]]:
    """Return what turns and ratios that are free give, best first."""
    from core.shortlist.free_ratio import free_ratios, ratio_families
    from core.shortlist.one_variable import best_first
    from core.shortlist.special_winding import special_windings, winding_families

    special: list[SpecialWinding] = []
    ratios: list[FreeRatio] = []
    if "special_winding" in limits and not cancel.is_set():
        numbers = winding_families(listing, task.choices)
        for one in special_windings(
            task.application, task.choices, numbers, limits["special_winding"], task.measured
        ):
            special.append(one)
            _progress(f"{len(special)} of {len(numbers)} special windings")
            if cancel.is_set():
                break
    if "free_ratio" in limits and not cancel.is_set():
        numbers = ratio_families(listing, task.choices)
        for other in free_ratios(
            task.application, task.choices, numbers, limits["free_ratio"], task.measured
        ):
            ratios.append(other)
            _progress(f"{len(ratios)} of {len(numbers)} free ratios")
            if cancel.is_set():
                break
    _progress("")
    return (
        tuple(sorted(special, key=lambda one: best_first(one.best))),
        tuple(sorted(ratios, key=lambda one: best_first(one.best))),
    )


def _studied(
    conditions: Sequence[tuple[Condition, ImportedTrace | None]],
    choices: Choices,
    pool: OpenPool | None,
    cancel: Event,
) -> tuple[Listing, Study | None]:
    """Return the listing under the worst condition, and the study where there are several of them."""
    from core.shortlist.runner import Task
    from core.shortlist.studies import Study, worst_case, worst_listing

    listings = []
    for place, (condition, measured) in enumerate(conditions):
        words = "" if len(conditions) == 1 else f"condition {place + 1} of {len(conditions)}: "
        listings.append(_listing(Task(condition.application, choices, measured), pool, cancel, words))
        if cancel.is_set():
            break
    if len(conditions) == 1:
        return listings[0], None
    if len(listings[-1]) < len(listings[0]):
        listings.pop()  # cancelled: a worst case needs the same candidates under each
    made, traces = zip(*conditions[: len(listings)], strict=True)
    worst = worst_case(listings)
    return worst_listing(listings, worst), Study(made, traces, worst)


def _listing(task: Task, pool: OpenPool | None, cancel: Event, words: str) -> Listing:
    from core.shortlist.chunk_result import MET
    from core.shortlist.listing import ListingInProgress
    from core.shortlist.runner import run

    gathered, done, met = ListingInProgress(), 0, 0
    for _, result in run(task, pool, cancel=cancel, report=complain):
        kept = gathered.add(result)
        done, met = done + len(kept), met + int((kept.verdict == MET).sum())
        _progress(f"{words}{done} of {len(task.choices)} candidates, {met} meet every requirement")
    _progress("")
    return gathered.listing()


def _progress(text: str) -> None:
    """Show on one line of a terminal how far it is; nothing where nobody looks."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r\x1b[K{text}")
        sys.stderr.flush()


def _write(options: argparse.Namespace, found: Shortlist) -> None:
    if options.json:
        from core.shortlist.list_json import encode_shortlist

        write_out(encode_shortlist(found, options.units).decode())
        return
    from core.shortlist.list_text import shortlist_text

    write_out(shortlist_text(found, options.units))


def _exit_code(listing: Listing) -> int:
    from core.shortlist.chunk_result import MET, NOT_CHECKED

    if (listing.verdict == MET).any():
        return EXIT_MET
    if not len(listing) or (listing.verdict == NOT_CHECKED).any():
        return EXIT_NOT_CHECKED
    return EXIT_MISSED


def _pool(options: argparse.Namespace) -> OpenPool | None:
    from core.shortlist.workers import cluster, processes

    if options.scheduler is not None:
        if options.workers > 1:
            raise AmpturnError(
                "--workers: the cluster of --scheduler has workers of its own; give one of both"
            )
        return cluster(options.scheduler)
    return processes(options.workers) if options.workers > 1 else None


@contextmanager
def _cancelled_by_ctrl_c() -> Iterator[Event]:
    """Yield an event that Ctrl+C sets, so that a run ends in order and shows what it has."""
    cancel = Event()

    def ask(_signal: int, _frame: FrameType | None) -> None:
        cancel.set()

    before = signal.signal(signal.SIGINT, ask)
    try:
        yield cancel
    finally:
        signal.signal(signal.SIGINT, before)


def _demo() -> PartsFile:
    from core.catalogue.parts_file import load_demo_parts

    return load_demo_parts()


def _opened(path: Path) -> PartsFile:
    from core.catalogue.parts_file import read_parts

    with naming_file(path):
        parts = read_parts(path)
    announce_unknown_keys(path, parts)
    return parts


def _kept_out(text: str) -> tuple[KeptOut, str]:
    from core.shortlist.choices import KeptOut

    part, equals, name = text.partition("=")
    for known in get_args(KeptOut):
        if equals and part.strip() == known:
            return known, name.strip()
    kinds = ", ".join(get_args(KeptOut))
    raise argparse.ArgumentTypeError(f"'{text}' must be PART=NAME with PART one of {kinds}")


def _positive(text: str) -> int:
    if not text.isascii() or not text.isdigit() or int(text) < 1:
        raise argparse.ArgumentTypeError(f"must be a whole number from 1, got '{text}'")
    return int(text)


def _workers(text: str) -> int:
    count = _positive(text)
    if count > MOST_WORKERS:
        raise argparse.ArgumentTypeError(f"must be at most {MOST_WORKERS}, got {count}")
    return count
