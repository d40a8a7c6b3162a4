"""Weather files as text, for tests: real TMY3 years, and EPW and canonical files made from them."""

from functools import cache
from pathlib import Path

import numpy as np

from assembly_sim.errors import InputError
from assembly_sim.files.climate.csv import canonical_text
from assembly_sim.files.climate.read import find_climate, read_bytes
from assembly_sim.model.climate import Climate

EPW_HEAD = """\
LOCATION,"Example, Field",NC,USA,TMY3,000000,36.10,-79.95,-5.0,273.0
DESIGN CONDITIONS,0
TYPICAL/EXTREME PERIODS,0
GROUND TEMPERATURES,1,.5,,,,5.1,4.2,6.0,8.3,13.9,18.8,22.0,22.9,21.0,17.1,12.1,7.8
HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0
COMMENTS 1,invented for a test
COMMENTS 2,none
DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31
"""


@cache
def text_of(name: str) -> str:
    """The shipped or real weather file of this name as text."""
    return Path(find_climate(name)).read_text(encoding="utf-8")


@cache
def greensboro() -> Climate:
    return read("greensboro")


def read(name: str) -> Climate:
    return read_bytes(text_of(name).encode(), name)


@cache
def canonical() -> str:
    """A canonical file with every column, from the real year."""
    return canonical_text(greensboro())


@cache
def epw() -> str:
    """An EPW file of the real year's weather (the units and order of the format)."""
    c = greensboro()
    t = c.temperature - 273.15
    from assembly_sim.physics.moist_air import dew_point, saturation_pressure

    dew = dew_point(c.vapour_pressure) - 273.15
    humidity = 100 * c.vapour_pressure / saturation_pressure(c.temperature)
    stamps = np.datetime64("2001-01-01", "h") + np.arange(8760)
    rows = []
    for i, stamp in enumerate(stamps):
        month, day = str(stamp)[5:7], str(stamp)[8:10]
        rows.append(
            f"1990,{int(month)},{int(day)},{i % 24 + 1},60,?9?9,{t[i]:.1f},{dew[i]:.1f},"
            f"{humidity[i]:.0f},{c.pressure[i]:.0f},0,0,300,{c.global_horizontal[i]:.0f},"
            f"{c.direct_normal[i]:.0f},{c.diffuse_horizontal[i]:.0f},0,0,0,0,"
            f"{np.degrees(c.wind_direction[i]):.0f},{c.wind_speed[i]:.1f},5,"
            f"{c.cloud_cover[i] * 10:.0f},9999,99999,9,999999999,10,0.1,0,88,0,0,0"
        )
    return EPW_HEAD + "\n".join(rows) + "\n"


def with_cell(text: str, line: int, field: int, value: str) -> str:
    """The text with one cell replaced; lines count from 1, fields from 0."""
    lines = text.split("\n")
    cells = lines[line - 1].split(",")
    cells[field] = value
    lines[line - 1] = ",".join(cells)
    return "\n".join(lines)


def without_lines(text: str, first: int, last: int) -> str:
    """The text without lines first to last (from 1, both included)."""
    lines = text.split("\n")
    return "\n".join(lines[: first - 1] + lines[last:])


def refusal(data: str | bytes) -> InputError:
    """The error that reading this content must raise."""
    try:
        read_bytes(data.encode() if isinstance(data, str) else data, "weather.file")
    except InputError as error:
        return error
    raise AssertionError("the file was read")
