"""Contrast of two colours, as the eye has it."""

from __future__ import annotations


def luminance(colour: str) -> float:
    """Relative luminance: W3C, Web Content Accessibility Guidelines 2.1; from memory."""
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in _shares(colour))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(first: str, second: str) -> float:
    """Contrast ratio: the same guidelines, success criterion 1.4.3; from memory."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def over(ink: str, ground: str, opacity: float) -> str:
    """Return the colour of an ink that lets some of its ground through."""
    mixed = (
        round(255.0 * (opacity * a + (1.0 - opacity) * b))
        for a, b in zip(_shares(ink), _shares(ground), strict=True)
    )
    return "#" + "".join(f"{share:02X}" for share in mixed)


def _shares(colour: str) -> list[float]:
    return [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
