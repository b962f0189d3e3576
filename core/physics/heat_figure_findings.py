"""What was used and assumed when a heat network is made from data-sheet figures, in plain words."""

from __future__ import annotations

import numpy as np

from core.findings import Finding
from core.physics.heat_figures import HeatFigures, Mounting, RotorFigures
from core.physics.heat_network import HeatNetwork, link_conductance, node_matrices
from core.sentences import sentence
from core.units import Kind


def assumption_findings(
    figures: HeatFigures,
    mounting: Mounting,
    rotor: RotorFigures | None,
    assumed_share: float | None,
    network: HeatNetwork,
) -> list[Finding]:
    """Return what was used and what was assumed to make a network from data-sheet figures.

    Parameters
    ----------
    figures : HeatFigures
        Figures of the data sheet. [-]
    mounting : Mounting
        The project's surroundings. [-]
    rotor : RotorFigures or None
        Figures of the rotor where known. [-]
    assumed_share : float or None
        Share of radiation and conduction, if it was assumed. [-]
    network : HeatNetwork
        The network made of them. [-]

    Returns
    -------
    findings : list of Finding
        Notes and assumptions. [-]

    References
    ----------
    Definitions of the time constants: common practice, no source.
    """
    findings = [_figures_used(figures), _time_constants(figures, network)]
    if assumed_share is not None:
        findings.append(_surface_split(assumed_share))
    if rotor is None:
        findings.append(_magnet_node(network.nodes[network.core]))
    if mounting.housing_to_ambient is not None:
        findings.append(_other_mounting(mounting.housing_to_ambient, figures.housing_to_ambient))
    if mounting.plate_share > 0.0:
        findings.append(_plate(mounting.plate_share))
    return findings


def _surface_split(fixed_share: float) -> Finding:
    return Finding(
        "surface_split_assumed",
        "assumed",
        sentence(
            "Radiation and conduction are taken as {share} of the cooling at standstill, convection as the "
            "rest.",
            share=(fixed_share, Kind.RATIO),
        ),
        {"fixed_share": fixed_share},
    )


def _magnet_node(core: str) -> Finding:
    return Finding(
        "magnet_node_assumed",
        "assumed",
        f"Without figures of the rotor the magnets take the temperature of the {core}.",
    )


def _other_mounting(here: float, stated: float) -> Finding:
    return Finding(
        "mounting_replaces_data_sheet",
        "note",
        sentence(
            "This mounting has {here} to ambient, the data sheet {stated} on its plate.",
            here=(here, Kind.THERMAL_RESISTANCE),
            stated=(stated, Kind.THERMAL_RESISTANCE),
        ),
        {"mounting_K_W": here, "data_sheet_K_W": stated},
    )


def _plate(share: float) -> Finding:
    return Finding(
        "plate_share_assumed",
        "assumed",
        sentence(
            "The mounting plate takes {share} of the heat at standstill and keeps its temperature.",
            share=(share, Kind.RATIO),
        ),
        {"plate_share": share},
    )


def _figures_used(figures: HeatFigures) -> Finding:
    return Finding(
        "heat_figures_used",
        "note",
        "The heat network follows from two thermal resistances and two time constants of the data sheet.",
        {
            "winding_to_housing_K_W": figures.winding_to_housing,
            "housing_to_ambient_K_W": figures.housing_to_ambient,
            "winding_time_constant_s": figures.winding_time_constant,
            "motor_time_constant_s": figures.motor_time_constant,
            "winding_capacity_J_per_K": figures.winding_capacity,
            "housing_capacity_J_per_K": figures.housing_capacity,
        },
    )


def _time_constants(figures: HeatFigures, network: HeatNetwork) -> Finding:
    """Compare the stated time constants with those the network has when it cools without current."""
    matrix, _ = node_matrices(network, link_conductance(network, np.zeros(1)))
    root = np.sqrt(network.capacity)
    rates = np.linalg.eigvalsh(matrix[0] / (root[:, None] * root))
    longest, shortest = 1.0 / float(rates[0]), 1.0 / float(rates[-1])
    return Finding(
        "time_constants_of_network",
        "note",
        sentence(
            "Cooling without current the network has time constants of {shortest} and {longest}; the data "
            "sheet states {winding} and {motor}. Differences up to 30 % come from the definition: each "
            "figure holds the other part still.",
            shortest=(shortest, Kind.TIME),
            longest=(longest, Kind.TIME),
            winding=(figures.winding_time_constant, Kind.TIME),
            motor=(figures.motor_time_constant, Kind.TIME),
        ),
        {
            "winding_network_s": shortest,
            "winding_stated_s": figures.winding_time_constant,
            "motor_network_s": longest,
            "motor_stated_s": figures.motor_time_constant,
        },
    )
