"""The result of one candidate as plain text for a terminal: margins as a table, the rest as paragraphs."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from core.margin_rows import percent
from core.notices import CLOSING
from core.project.candidate import Candidate
from core.results import CandidateResult, Margin, Result, Status
from core.sentences import as_text
from core.units import DisplayUnits, Kind, format_number

HEADINGS = ("Criterion", "Demand", "Limit", "Used", "Margin", "Target", "Status", "Where")
NUMBER_COLUMNS = range(1, 6)
_GAP = "  "
_TEXT_WIDTH = 100  # as long as a line of prose is read well
_INDENT = "  "


def report(
    result: Result, candidate: CandidateResult, units: DisplayUnits, with_equations: bool = False
) -> str:
    """Return the margins of one candidate with everything that belongs to them, as lines of text."""
    blocks = [
        _heading(result, candidate, units),
        _missing(candidate),
        margin_table(candidate.margins, units),
        _governing(candidate, units),
        _reasons("Excluded", candidate, "excluded", units),
        _reasons("Not checked", candidate, "not checked", units),
        _cautions(candidate, units),
        _findings(candidate, units),
        _assumptions(candidate, units),
        _figures(candidate, units),
        _equations(candidate, units) if with_equations else "",
        CLOSING,
    ]
    return _plain("\n\n".join(block for block in blocks if block)) + "\n"


def margin_table(margins: Sequence[Margin], units: DisplayUnits) -> str:
    """Return the criteria with a verdict as a table; those not checked are listed apart."""
    rows = [_row(margin, units) for margin in margins if margin.status != "not checked"]
    if not rows:
        return ""
    table = [HEADINGS, *rows]
    widths = [max(len(row[column]) for row in table) for column in range(len(HEADINGS))]
    lines = [_line(row, widths) for row in table]
    lines.insert(1, "-" * max(map(len, lines)))
    return "\n".join(lines)


def _plain(text: str) -> str:
    """Return text that a terminal only shows: no-break spaces have done their work when lines are wrapped,
    and a name from a file must not be able to send it control characters."""
    plain = text.replace("\N{NO-BREAK SPACE}", " ")
    return "".join(
        letter if letter.isprintable() or letter == "\n" else "\N{REPLACEMENT CHARACTER}" for letter in plain
    )


def _row(margin: Margin, units: DisplayUnits) -> tuple[str, ...]:
    # a reserve is a factor, and reads badly in percent
    kind = Kind.NUMBER if margin.criterion == "torque_reserve" else margin.kind
    return (
        margin.label,
        "" if margin.demand is None else units.format_quantity(margin.demand, kind),
        "" if margin.limit is None else units.format_quantity(margin.limit, kind),
        "" if margin.utilisation is None else f"{format_number(100.0 * margin.utilisation)} %",
        "" if margin.margin is None else percent(margin.margin, margin.target),
        "" if margin.margin is None else f"{100.0 * margin.target:g} %",
        margin.status,
        as_text(margin.where, units),
    )


def _line(row: tuple[str, ...], widths: list[int]) -> str:
    cells = [
        cell.rjust(width) if column in NUMBER_COLUMNS else cell.ljust(width)
        for column, (cell, width) in enumerate(zip(row, widths, strict=True))
    ]
    return _GAP.join(cells).rstrip()


def _heading(result: Result, candidate: CandidateResult, units: DisplayUnits) -> str:
    application = result.project.application
    chosen = " (the chosen candidate)" if candidate is result.chosen_candidate else ""
    return "\n".join(
        [
            application.title,
            f"{candidate.name}{chosen}",
            _choice(result.project.candidates[candidate.index]),
            _conditions(result, candidate, units),
        ]
    )


def _choice(candidate: Candidate) -> str:
    """Return in words what a candidate is made of."""
    parts = [
        candidate.motor.name if candidate.motor else "no motor",
        f"winding {candidate.winding}" if candidate.winding else "no winding",
        candidate.variant or "no variant",
        f"{candidate.commutation} commutation",
        candidate.drive.name,
    ]
    if candidate.transmission is not None:
        parts.append(f"{candidate.transmission.name} {candidate.transmission.ratio:g}:1")
    return ", ".join(parts)


def _conditions(result: Result, candidate: CandidateResult, units: DisplayUnits) -> str:
    site, supply = result.project.application.site, result.project.application.supply
    lowest = supply.lowest_voltage or supply.nominal_voltage
    parts = [
        "no ambient temperature given"
        if site.ambient is None
        else f"ambient {units.format_quantity(site.ambient, Kind.TEMPERATURE)}",
        site.mounting.name,
        "no supply voltage given"
        if lowest is None
        else f"supply {units.format_quantity(lowest, Kind.VOLTAGE)} at its lowest",
        _duty(candidate, units),
    ]
    return ", ".join(parts)


def _duty(candidate: CandidateResult, units: DisplayUnits) -> str:
    if candidate.duty is None:
        return "no duty cycle"
    edges = candidate.duty.edges
    segments = len(edges) - 1
    cycle = units.format_quantity(float(edges[-1]), Kind.TIME)
    return f"cycle {cycle} in {segments} segment{'' if segments == 1 else 's'}"


def _missing(candidate: CandidateResult) -> str:
    return f"Missing: {', '.join(candidate.missing)}." if candidate.missing else ""


def _governing(candidate: CandidateResult, units: DisplayUnits) -> str:
    margin = candidate.governing
    if margin is None:
        return "" if not candidate.margins else "No criterion governs: none has a number."
    reason = as_text(margin.why, units)
    verdict = f"Governing: {margin.label}, {margin.status}"
    if margin.margin is not None:
        verdict += f" (margin {percent(margin.margin, margin.target)}, target {100.0 * margin.target:g} %)"
    lines = [f"{verdict}: {reason}." if reason else f"{verdict}."]
    equation = as_text(margin.equation, units)
    return "\n".join([*lines, *(_wrapped(equation) if equation and equation != reason else ())])


def _reasons(title: str, candidate: CandidateResult, status: Status, units: DisplayUnits) -> str:
    lines = [
        f"{margin.label}{'' if margin.required else ' (not required)'}: {as_text(margin.why, units)}"
        for margin in candidate.margins
        if margin.status == status
    ]
    return _section(f"{title} ({len(lines)})", lines)


def _cautions(candidate: CandidateResult, units: DisplayUnits) -> str:
    return _section(
        "Cautions", [f"{caution.title}: {as_text(caution.text, units)}" for caution in candidate.cautions]
    )


def _findings(candidate: CandidateResult, units: DisplayUnits) -> str:
    lines = []
    for severity in ("serious", "warning", "note"):
        for finding in candidate.findings:
            if finding.severity == severity:
                place = "" if finding.segment is None else f", segment {finding.segment + 1}"
                lines.append(f"{severity.capitalize()}{place}: {as_text(finding.text, units)}")
    return _section("Findings", lines)


def _assumptions(candidate: CandidateResult, units: DisplayUnits) -> str:
    lines = [as_text(f.text, units) for f in candidate.findings if f.severity == "assumed"]
    return _section(f"Assumed ({len(lines)})", lines)


def _figures(candidate: CandidateResult, units: DisplayUnits) -> str:
    """Return the figures that a colleague asks for first."""
    lines = []
    if candidate.peaks:
        peaks = [f"{p.role} {units.format_quantity(p.temp, Kind.TEMPERATURE)}" for p in candidate.peaks]
        lines.append(f"Highest temperatures of the repeating cycle: {', '.join(peaks)}")
    if (rms := candidate.rms) is not None:
        lines.append(
            f"RMS torque {units.format_quantity(rms.torque, Kind.TORQUE)} "
            f"at a mean speed of {units.format_quantity(rms.speed, Kind.SPEED)}; "
            f"{as_text(rms.statement, units)}"
        )
    if (losses := candidate.losses) is not None:
        causes = (
            ("copper", losses.copper),
            ("core and bearing", losses.core_and_bearing),
            ("air drag", losses.windage),
            ("leads and switches", losses.leads_and_switches),
            ("electronics at idle", losses.idle),
        )
        parts = [f"{words} {units.format_quantity(watts, Kind.POWER)}" for words, watts in causes]
        lines.append(f"Mean losses: {', '.join(parts)}")
    if (supply := candidate.supply) is not None:
        mean, peak = supply.mean_power, supply.peak_power
        lines.append(
            f"Supply: mean {units.format_quantity(mean, Kind.POWER)}, "
            f"peak {units.format_quantity(peak, Kind.POWER)}, "
            f"back per cycle {units.format_quantity(supply.energy_back, Kind.ENERGY)}"
        )
    return _section("Figures", lines)


def _equations(candidate: CandidateResult, units: DisplayUnits) -> str:
    lines = [f"{m.label}: {as_text(m.equation, units)}" for m in candidate.margins if m.equation]
    return _section("Equations", lines)


def _section(title: str, lines: Sequence[str]) -> str:
    if not lines:
        return ""
    return "\n".join([title, *(line for text in lines for line in _wrapped(text))])


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(
        text,
        _TEXT_WIDTH,
        initial_indent=_INDENT,
        subsequent_indent=2 * _INDENT,
        break_on_hyphens=False,
        break_long_words=False,
    )
