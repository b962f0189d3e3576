"""Winding factors, cogging periods and feasibility against swat-em, a winding program of its own making.

swat-em (MIT licence, checked with 0.6.3) lays the coils out slot by slot and analyses the field; our star of
slots is a closed form. Pole pairs go up to the number of slots: beyond it, with more than two poles to a
tooth, swat-em no longer resolves the fundamental of every combination.
"""

from __future__ import annotations

from typing import Any

import pytest

from core.errors import InputRangeError
from core.physics.winding import Layers, WindingFacts, winding_facts

swat_em = pytest.importorskip("swat_em", reason="needs the package swat-em")

SLOTS = range(3, 49, 3)


def other_winding(slots: int, pole_pairs: int, layers: Layers, coil_span: int) -> Any:
    """Return the winding as the other program lays it out; its factors are None where it finds none."""
    winding = swat_em.datamodel()
    winding.genwdg(Q=slots, P=2 * pole_pairs, m=3, layers=layers, w=coil_span)
    return winding


def feasible(layers: Layers, slots: int) -> dict[int, WindingFacts | None]:
    """Return our facts for each number of pole pairs, None where we refuse the combination."""
    found: dict[int, WindingFacts | None] = {}
    for pole_pairs in range(1, slots + 1):
        try:
            found[pole_pairs] = winding_facts(slots, pole_pairs, layers)
        except InputRangeError:
            found[pole_pairs] = None
    return found


@pytest.mark.parametrize("slots", SLOTS)
@pytest.mark.parametrize("layers", [1, 2])
def test_every_combination(layers: Layers, slots: int) -> None:
    for pole_pairs, ours in feasible(layers, slots).items():
        name = f"{slots} slots, {2 * pole_pairs} poles, {layers} layers"
        if ours is None:
            theirs = other_winding(slots, pole_pairs, layers, 1)
            assert theirs.get_fundamental_windingfactor() is None, f"{name}: only we refuse it"
            continue
        theirs = other_winding(slots, pole_pairs, layers, ours.coil_span)
        factors = theirs.get_fundamental_windingfactor()
        assert factors is not None, f"{name}: only we allow it"
        assert [ours.winding_factor] * 3 == pytest.approx([abs(f) for f in factors], rel=1e-9), name
        assert ours.cogging_periods == theirs.get_lcmQP(), name


@pytest.mark.parametrize(
    ("slots", "pole_pairs", "coil_span"), [(36, 2, 9), (36, 2, 7), (144, 8, 7), (108, 6, 9), (24, 1, 10)]
)
def test_distributed_windings_of_a_chosen_span(slots: int, pole_pairs: int, coil_span: int) -> None:
    factors = other_winding(slots, pole_pairs, 2, coil_span).get_fundamental_windingfactor()
    ours = winding_facts(slots, pole_pairs, 2, coil_span).winding_factor
    assert [ours] * 3 == pytest.approx([abs(f) for f in factors], rel=1e-9)


def test_the_comparison_covers_many_windings() -> None:
    counts = [sum(facts is not None for facts in feasible(2, slots).values()) for slots in SLOTS]
    assert sum(counts) > 200
