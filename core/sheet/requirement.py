"""What is asked: the requirement with its source, and the place, the supply and the room it must meet."""

from __future__ import annotations

from core.project.application import Site, Supply
from core.project.fittings import Cable
from core.project.mounting import Box, Guard, Mounting
from core.project.paperwork import Paperwork
from core.sentences import sentence
from core.sheet.blocks import Beside, Block, Facts, Paragraph, Section, Words
from core.sheet.cells import NOT_GIVEN, given, listed, quantity
from core.sheet.subject import Subject
from core.units import Kind

_ASKED = {"yes": "yes", "no": "no", "unknown": "not answered"}


def requirement(subject: Subject) -> Section:
    """Return what is asked of the drive and by whom."""
    application = subject.application
    paperwork = application.paperwork
    blocks: list[Block] = [Facts(source_facts(paperwork))] if paperwork is not None else []
    if paperwork is None or not paperwork.requirement_source:
        blocks.append(Paragraph("No document is named that states this requirement.", "caution"))
    if application.notes:
        blocks.append(Paragraph(application.notes))
    blocks += [
        Beside(
            (
                (Paragraph("Where it sits", "strong"), Facts(_site(application.site), columns=1)),
                (Paragraph("What feeds it", "strong"), Facts(_supply(application.supply), columns=1)),
            )
        ),
        Paragraph("What it must meet, beside the targets of the margins", "strong"),
        Facts(_limits(subject)),
    ]
    return Section("What is asked", tuple(blocks))


def source_facts(paperwork: Paperwork) -> tuple[tuple[Words, Words], ...]:
    """Return source, revision and date of the requirement, and who answers for the sheet."""
    return (
        *given((("Customer", paperwork.customer), ("Their reference", paperwork.customer_reference))),
        ("Requirement", paperwork.requirement_source or NOT_GIVEN),
        ("Revision", paperwork.revision or NOT_GIVEN),
        ("Date of the requirement", paperwork.requirement_date or NOT_GIVEN),
        ("Prepared by", paperwork.prepared_by or NOT_GIVEN),
        ("Checked by", paperwork.checked_by or NOT_GIVEN),
    )


def _site(site: Site) -> tuple[tuple[Words, Words], ...]:
    stands = site.surroundings
    return (
        ("Highest ambient", quantity(site.ambient, Kind.TEMPERATURE, NOT_GIVEN)),
        ("Lowest ambient", quantity(site.lowest_ambient, Kind.TEMPERATURE, NOT_GIVEN)),
        ("Altitude", quantity(site.altitude, Kind.ALTITUDE)),
        ("Around it", f"{site.air}{_around(site.around)}"),
        ("Mounting", mounting_words(site.mounting)),
        ("Dust", _ASKED[stands.dust]),
        ("Magnetic swarf", _ASKED[stands.magnetic_swarf]),
        ("Liquid", _ASKED[stands.liquid]),
        ("Within reach of fingers", _ASKED[stands.reach_of_fingers]),
    )


def _around(around: Guard | Box | None) -> str:
    if isinstance(around, Guard):
        return f", a guard that is open by {100.0 * around.open_share:g} %"
    return ", in a closed box" if isinstance(around, Box) else ", stands free"


def mounting_words(mounting: Mounting) -> Words:
    """Return a mounting in words, with the numbers that say what it is."""
    if mounting.housing_ambient_resistance is not None:
        words = sentence(
            "{resistance} from housing to ambient", resistance=(mounting.housing_ambient_resistance,
                                                                 Kind.THERMAL_RESISTANCE)
        )  # fmt: skip
        return listed((mounting.name, words))
    if mounting.plate is not None:
        plate = mounting.plate
        words = sentence(
            "{side} square, {thickness} thick",
            side=(plate.side, Kind.LENGTH),
            thickness=(plate.thickness, Kind.LENGTH),
        )
        return listed((mounting.name, plate.material, words))
    return listed((mounting.name, "the flange gives no heat off" if mounting.insulated else ""))


def _supply(supply: Supply) -> tuple[tuple[Words, Words], ...]:
    clamp = None
    if supply.clamp_voltage is not None:
        clamp = listed(
            (
                quantity(supply.clamp_voltage, Kind.VOLTAGE),
                quantity(supply.clamp_resistance, Kind.RESISTANCE, ""),
                quantity(supply.clamp_power, Kind.POWER, ""),
            )
        )
    return (
        ("Nominal voltage", quantity(supply.nominal_voltage, Kind.VOLTAGE, NOT_GIVEN)),
        ("Lowest voltage", quantity(supply.lowest_voltage, Kind.VOLTAGE, NOT_GIVEN)),
        ("Highest voltage", quantity(supply.highest_voltage, Kind.VOLTAGE, NOT_GIVEN)),
        ("Resistance of source and leads", quantity(supply.source_resistance, Kind.RESISTANCE)),
        ("Takes braking energy back", _ASKED[supply.takes_energy_back]),
        ("Capacitance beside that of the electronics", quantity(supply.capacitance, Kind.CAPACITANCE)),
        *given(
            (
                ("Cable from the source", None if supply.cable is None else cable_words(supply.cable)),
                ("Clamp resistor", clamp),
                ("Battery, usable", quantity(supply.battery_energy, Kind.ENERGY, "")),
            )
        ),
    )


def cable_words(cable: Cable) -> Words:
    """Return a cable in words."""
    size = f"AWG {cable.gauge}" if cable.gauge is not None else f"{cable.section:g} mm²"
    return sentence(
        f"{{length}} one way, {size}, conductors at {{temp}}",
        length=(cable.length, Kind.LENGTH),
        temp=(cable.temp, Kind.TEMPERATURE),
    )


def _limits(subject: Subject) -> tuple[tuple[Words, Words], ...]:
    asked = subject.application.requirements
    room, motion = asked.envelope, asked.motion
    contact = quantity(float(asked.touch_contact), Kind.TIME)
    optional = (
        ("Largest diameter", quantity(room.largest_diameter, Kind.LENGTH, "")),
        ("Largest length", quantity(room.largest_length, Kind.LENGTH, "")),
        ("Largest mass", quantity(room.largest_mass, Kind.MASS, "")),
        ("Lowest controlled speed of the load", quantity(motion.lowest_speed, Kind.SPEED, "")),
        ("Swing of the speed there", quantity(motion.speed_ripple, Kind.RATIO, "")),
        ("Position of the load within", quantity(motion.position_accuracy, Kind.ANGLE, "")),
        ("Bandwidth of the speed loop", quantity(motion.loop_bandwidth, Kind.FREQUENCY, "")),
        ("Torque at the start over the continuous one", quantity(motion.start_torque_share, Kind.RATIO, "")),
        ("The load may move before the brake holds", quantity(asked.largest_drop, Kind.ANGLE, "")),
    )
    return (
        *given(optional),
        ("Touch for which the outside must be safe", contact),
        ("Short-time torque drawn for", quantity(asked.short_time, Kind.TIME)),
        ("Hottest place of the winding above its mean", quantity(asked.hot_spot_allowance,
                                                                 Kind.TEMPERATURE_DIFFERENCE)),
        ("Current ripple over continuous current", quantity(asked.largest_ripple, Kind.RATIO)),
    )  # fmt: skip
