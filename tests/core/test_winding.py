"""Winding factors against a sum over conductors written another way; windings that do not exist."""

from __future__ import annotations

import cmath
import math

import pytest

from core.errors import InputRangeError
from core.physics.machine_constants import MachineConstants, copper_loss_coefficient, motor_constant
from core.physics.winding import Layers, cogging_periods, rewound, winding_factor, winding_facts


def conductor_sum(slots: int, pole_pairs: int, span: int, step: int) -> list[complex]:
    """Wind coil after coil onto the phase axis it helps most, and add up the EMF of every conductor.

    Returns the phasor of each phase over its number of conductors. `step` is the distance between slots
    in which coils start.
    """
    sides: list[list[complex]] = [[], [], []]
    for start in range(0, slots, step):
        go = cmath.exp(2j * math.pi * pole_pairs * start / slots)
        back = -cmath.exp(2j * math.pi * pole_pairs * (start + span) / slots)
        best = (-1.0, 0, 1)
        for phase in range(3):
            for sense in (1, -1):
                # axes in the middle of sectors that begin at the first slot; a hair off, to settle ties
                axis = cmath.exp(1j * (2.0 * math.pi / 3.0 * phase + math.pi / 6.0 + 1e-6))
                best = max(best, (sense * (go / axis).real, phase, sense))
        _, phase, sense = best
        sides[phase] += [sense * go, sense * back]
    return [sum(phase) / len(phase) if phase else 0j for phase in sides]


DOUBLE = [
    (9, 3),
    (9, 4),
    (9, 5),
    (12, 4),
    (12, 5),
    (12, 7),
    (15, 7),
    (15, 8),
    (18, 8),
    (24, 13),
    (27, 15),
    (36, 2),
]


@pytest.mark.parametrize(("slots", "pole_pairs"), DOUBLE)
def test_double_layer_equals_conductor_sum(slots: int, pole_pairs: int) -> None:
    span = winding_facts(slots, pole_pairs).coil_span
    phases = conductor_sum(slots, pole_pairs, span, 1)
    assert winding_factor(slots, pole_pairs) == pytest.approx(abs(phases[0]), rel=1e-9)
    assert abs(phases[1]) == pytest.approx(abs(phases[0]), rel=1e-9)
    assert abs(sum(phases)) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("slots", "pole_pairs"), [(12, 5), (12, 7), (24, 10), (18, 8), (36, 2), (6, 2)])
def test_single_layer_equals_conductor_sum(slots: int, pole_pairs: int) -> None:
    span = winding_facts(slots, pole_pairs, 1).coil_span
    phases = conductor_sum(slots, pole_pairs, span, 2)
    assert winding_factor(slots, pole_pairs, 1) == pytest.approx(abs(phases[0]), rel=1e-9)


@pytest.mark.parametrize("span", [5, 7, 8, 9, 10])
def test_span_of_an_integer_slot_winding(span: int) -> None:
    phases = conductor_sum(36, 2, span, 1)
    assert winding_factor(36, 2, coil_span=span) == pytest.approx(abs(phases[0]), rel=1e-9)


@pytest.mark.parametrize("layers", [1, 2])
@pytest.mark.parametrize("pole_pairs", range(1, 15))
@pytest.mark.parametrize("slots", [6, 9, 12, 15, 18, 24, 36])
def test_factor_is_in_range_or_the_winding_is_refused(slots: int, pole_pairs: int, layers: Layers) -> None:
    step = 3 - layers
    lengths = [abs(phase) for phase in conductor_sum(slots, pole_pairs, 1, step)]
    whole = slots % (3 * step) == 0
    if whole and min(lengths) > 1e-9 and max(lengths) - min(lengths) < 1e-9:
        facts = winding_facts(slots, pole_pairs, layers)
        assert 0.0 < facts.winding_factor <= 1.0
        assert facts.cogging_periods % slots == facts.cogging_periods % (2 * pole_pairs) == 0
    else:
        with pytest.raises(InputRangeError):
            winding_facts(slots, pole_pairs, layers)


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "layers", "span", "name"),
    [
        (10, 4, 2, None, "slots"),
        (12, 6, 2, None, "spokes"),
        (12, 3, 2, None, "spokes"),
        (9, 4, 1, None, "six for a single layer"),
        (0, 4, 2, None, "slots"),
        (12, 0, 2, None, "pole_pairs"),
        (12, 7, 3, None, "layers"),
        (12, 7, 2, 12, "coil_span"),
        (36, 2, 1, 8, "odd for a single layer"),
    ],
)
def test_windings_that_do_not_exist(
    slots: int, pole_pairs: int, layers: int, span: int | None, name: str
) -> None:
    with pytest.raises(InputRangeError, match=name):
        winding_factor(slots, pole_pairs, layers, span)  # type: ignore[arg-type]


def test_unbalanced_pull() -> None:
    assert winding_facts(9, 4).unbalanced_pull
    assert not winding_facts(12, 7).unbalanced_pull
    assert not winding_facts(9, 3).unbalanced_pull


def test_cogging_refuses_zero() -> None:
    with pytest.raises(InputRangeError, match="pole_pairs"):
        cogging_periods(12, 0)


@pytest.mark.parametrize("ratio", [0.25, 1.0, 3.7])
def test_rewinding_gains_no_heat(ratio: float) -> None:
    old = MachineConstants(0.030, 0.8, 0.35e-3, 8, magnet_temp_coefficient=-0.001)
    new = rewound(old, ratio)
    assert new.back_emf_constant == pytest.approx(ratio * old.back_emf_constant)
    assert motor_constant(new) == pytest.approx(motor_constant(old))
    assert copper_loss_coefficient(new, "sinusoidal") == pytest.approx(
        copper_loss_coefficient(old, "sinusoidal")
    )
    assert new.inductance / new.resistance == pytest.approx(old.inductance / old.resistance)
    assert new.magnet_temp_coefficient == old.magnet_temp_coefficient
    with pytest.raises(InputRangeError, match="turns_ratio"):
        rewound(old, 0.0)
