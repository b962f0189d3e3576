"""Which candidates have some words in what they are called, without making the words of each."""

from __future__ import annotations

import re

import numpy as np

from core.numeric import BoolArray
from core.shortlist.choices import Block, Choices


def has_words(choices: Choices, text: str) -> BoolArray:
    """Return who has every word of a text in the names of the parts, whatever their case.

    Words are what stands between spaces and commas. A part is looked at once for all candidates that have it.
    """
    words = [word for word in re.split(r"[\s,]+", text.casefold()) if word]
    if not words:
        return np.ones(len(choices), dtype=bool)
    blocks = [np.logical_and.reduce([_has(block, word) for word in words]) for block in choices.blocks]
    found: BoolArray = np.concatenate([np.zeros(0, dtype=bool), *(one.ravel() for one in blocks)])
    return found


def _has(block: Block, word: str) -> BoolArray:
    """Return who of a block has a word, one axis for each of its lists in the order of the numbers."""
    electronics: list[tuple[str, ...]] = [
        (commutation, drive.name, "" if device is None else device.name)
        for drive, commutation, device in block.electronics
    ]
    gears: list[tuple[str, ...]] = [
        ("" if gear is None else f"{gear.name} {gear.ratio:g}:1",) for gear in block.transmissions
    ]
    brakes: list[tuple[str, ...]] = [("" if brake is None else brake.name,) for brake in block.brakes]
    windings: list[tuple[str, ...]] = [(name,) for name in block.windings]
    lists = (windings, electronics, gears, brakes)
    shape = tuple(len(one) for one in lists)
    found: BoolArray = np.full(shape, word in block.motor.name.casefold() or word in block.variant.casefold())
    for axis, names in enumerate(lists):
        has = np.array([any(word in name.casefold() for name in each) for each in names])
        found |= has.reshape([-1 if k == axis else 1 for k in range(len(lists))])
    return found
