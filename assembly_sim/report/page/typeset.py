"""Units as they are set in print: °C, m², kg/m³. Only units are touched."""

from __future__ import annotations

import re

_POWER = re.compile(r"(?<=[ (/])(m|ft|in|cm)([23])(?![A-Za-z0-9])")
_AREA_KELVIN = re.compile(r"(?<=[ (/0-9])m2K/W\b")
_DEGREE = re.compile(r"\bdeg(?=[CF]\b)")
_RAISED = {"2": "\u00b2", "3": "\u00b3"}


def typeset(text: str) -> str:
    """Text with its units set as in print."""
    text = _AREA_KELVIN.sub("m\u00b2 K/W", text)
    text = _POWER.sub(lambda found: found[1] + _RAISED[found[2]], text)
    return _DEGREE.sub("\u00b0", text)
