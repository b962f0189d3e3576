"""Sentences with numbers that are shown in whatever units the reader chose.

The core writes `Sentence("{demand} of {limit} at {speed}", demand=(0.05, Kind.TORQUE), ...)`; the
window, the sheet and the command line turn it into text with their display units.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.units import DisplayUnits, Kind

DEFAULT_UNITS = DisplayUnits()


@dataclass(frozen=True, slots=True)
class Sentence:
    """A text with places for quantities; `values` are (name, SI value, kind)."""

    template: str
    values: tuple[tuple[str, float, Kind], ...] = ()

    def text(self, units: DisplayUnits = DEFAULT_UNITS) -> str:
        """Return the sentence with its numbers in these units."""
        return self.template.format(
            **{name: units.format_quantity(value, kind) for name, value, kind in self.values}
        )

    def __str__(self) -> str:
        return self.text()


def sentence(template: str, **values: tuple[float, Kind]) -> Sentence:
    r"""Return a sentence from keyword values `name=(SI value, kind)`.

    Examples
    --------
    >>> str(sentence("{torque} at rest", torque=(0.05, Kind.TORQUE))).replace("\N{NO-BREAK SPACE}", " ")
    '50.0 mN·m at rest'
    """
    return Sentence(template, tuple((name, value, kind) for name, (value, kind) in values.items()))


def as_text(text: str | Sentence, units: DisplayUnits = DEFAULT_UNITS) -> str:
    """Return a plain text or a sentence as text in these units."""
    return text if isinstance(text, str) else text.text(units)
