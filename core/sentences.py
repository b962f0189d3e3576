"""Sentences with numbers that are shown in whatever units the reader chose.

The core writes `Sentence("{demand} of {limit} at {speed}", demand=(0.05, Kind.TORQUE), ...)`; the
window, the sheet and the command line turn it into text with their display units.
"""

from __future__ import annotations

from string import Formatter

from core.records import dataclass
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


def joined(*parts: str | Sentence) -> Sentence:
    r"""Return parts as one sentence; a plain text stands as it is, braces included.

    Examples
    --------
    >>> one = sentence("{torque} here", torque=(0.05, Kind.TORQUE))
    >>> str(joined("A {new} frame: ", one, ", ", one)).replace("\N{NO-BREAK SPACE}", " ")
    'A {new} frame: 50.0 mN·m here, 50.0 mN·m here'
    """
    template, values = "", []
    for number, part in enumerate(parts):
        whole = Sentence(_escaped(part)) if isinstance(part, str) else part
        for literal, name, _, _ in Formatter().parse(whole.template):
            template += _escaped(literal)
            template += "" if name is None else f"{{{name}_{number}}}"
        values += [(f"{name}_{number}", value, kind) for name, value, kind in whole.values]
    return Sentence(template, tuple(values))


def _escaped(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def as_text(text: str | Sentence, units: DisplayUnits = DEFAULT_UNITS) -> str:
    """Return a plain text or a sentence as text in these units."""
    return text if isinstance(text, str) else text.text(units)
