"""Contrast of two colours: Web Content Accessibility Guidelines (WCAG) 2.2, W3C 2023, definitions
"relative luminance" and "contrast ratio"; the limits are those of success criteria 1.4.3 and 1.4.11."""

from __future__ import annotations

import re

# Least contrast of text of any size (1.4.3), and of what shows where the focus is (1.4.11).
TEXT = 4.5
FOCUS = 3.0

Colour = tuple[float, float, float, float]


def colour(css: str) -> Colour:
    """Red, green, blue and opacity, 0 to 1, of a computed CSS colour or of `#rrggbb`."""
    if re.fullmatch(r"#[0-9a-fA-F]{6}", css):
        return tuple(int(css[i : i + 2], 16) / 255 for i in (1, 3, 5)) + (1.0,)
    found = re.fullmatch(r"rgba?\(([^)]*)\)", css)
    if not found:
        raise ValueError(f"not a colour that can be judged: {css}")
    numbers = [float(n) for n in re.split(r"[\s,/]+", found.group(1).strip())]
    red, green, blue = (n / 255 for n in numbers[:3])
    return (red, green, blue, numbers[3] if len(numbers) == 4 else 1.0)


def over(top: Colour, ground: Colour) -> Colour:
    """A colour laid over an opaque ground."""
    a = top[3]
    return tuple(a * t + (1 - a) * g for t, g in zip(top[:3], ground[:3])) + (1.0,)


def luminance(of: Colour) -> float:
    """Relative luminance, 0 for black to 1 for white."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in of[:3]]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def ratio(a: Colour, b: Colour) -> float:
    """1 for alike to 21 for black on white."""
    dark, light = sorted((luminance(a), luminance(b)))
    return (light + 0.05) / (dark + 0.05)


def on_grounds(top: str, grounds: list[str]) -> float:
    """Contrast of a colour with what lies under it, nearest first; the last is opaque."""
    ground = (1.0, 1.0, 1.0, 1.0)
    for css in reversed(grounds):
        ground = over(colour(css), ground)
    return ratio(over(colour(top), ground), ground)
