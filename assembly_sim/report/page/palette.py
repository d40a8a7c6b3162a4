"""Colours by role, for light and for dark, and how they reach a page: as variables of its style.

Our own. Roles are told apart by stroke and hatch too, never by colour alone; text has a contrast of
4.5 or more on paper and on every tint it stands on, lines 3 or more (WCAG 2.2 AA; tested).
"""

from __future__ import annotations

# Each role: on light paper, on dark paper. Light values are unlike one another: a drawing is made
# with them, and each is then replaced by its variable.
ROLES: dict[str, tuple[str, str]] = {
    "paper": ("#fcfbf8", "#1b1d20"),
    "ink": ("#1f2429", "#e8e6e1"),
    "quiet": ("#545b62", "#abb0b6"),
    "rule": ("#d8d3c9", "#3d4147"),
    # what is drawn
    "moist": ("#74378a", "#cf9ae2"),
    "moist-soft": ("#e4d5eb", "#4a3656"),
    "start": ("#a86a08", "#e6b45a"),
    "between": ("#8a8f95", "#7b8087"),
    "conducted": ("#3f5e79", "#93b5d3"),
    "carried": ("#c07f1c", "#e9bd6c"),
    # things of one kind side by side, such as options: with STROKES in this order
    "one": ("#74378b", "#cf9be3"),
    "two": ("#a86a09", "#e6b45b"),
    "three": ("#16756f", "#5fc7bd"),
    "four": ("#3a5f9a", "#8fb1ea"),
    "five": ("#9b3f63", "#ec9ab8"),
    "six": ("#5d6167", "#b4b9bf"),
    # steps of a scale, palest first; ink stands on the first four
    "step-0": ("#f1eee7", "#25282c"),
    "step-1": ("#e6d6ee", "#443150"),
    "step-2": ("#cda4dc", "#66417c"),
    "step-3": ("#b27fc6", "#7d4f93"),
    "step-4": ("#4a1a5c", "#f2dcfb"),
    # what an assembly is made of
    "fibre": ("#f0e5c5", "#4d4531"),
    "foam": ("#dde3ec", "#38404b"),
    "wood": ("#dac19c", "#614e37"),
    "masonry": ("#d9c8be", "#52443c"),
    "board": ("#e7e5e0", "#414448"),
    "metal": ("#b7bdc5", "#5f656c"),
    "sheet": ("#3a4047", "#c9ccd1"),
    "other": ("#e1dccf", "#4a4740"),
}


SIDE_BY_SIDE = ("one", "two", "three", "four", "five", "six")
STROKES = ("solid", "dashed", "dotted", "dash-dot", "long dashes", "thin")


def variables(dark: bool) -> str:
    """The roles as declarations of a style sheet."""
    return "".join(f"--{role}:{both[dark]};" for role, both in ROLES.items())


def light(role: str) -> str:
    """The colour that a role is drawn with."""
    return ROLES[role][0]


def by_variable(svg: str) -> str:
    """A drawing whose colours are variables of the page it stands in."""
    for role, (colour, _) in ROLES.items():
        svg = svg.replace(colour, f"var(--{role})")
    return svg


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, 1 to 21 (WCAG 2.2, relative luminance)."""
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _luminance(colour: str) -> float:
    parts = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    linear = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return sum(weight * one for weight, one in zip((0.2126, 0.7152, 0.0722), linear))
