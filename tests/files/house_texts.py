"""A small sound house, one entry a line, for tests that read, change and break it."""

from pathlib import Path

from case_texts import line_of, problems

from assembly_sim.errors import Problem

LAYER = """
[[assembly.layer]]
material = "board sheathing, softwood"
thickness = "19 mm"
"""

HOUSE = f"""\
format = 1
name = "Hayfork"
climate = "cold_inland"

[room]
temperature = "20 degC"
humidity = "35 %"

[[other_room]]
name = "wing"
temperature = "10 degC"
humidity = {{ as = "room" }}

[[zone]]
name = "attic"

[[zone]]
name = "porch"
volume = "20 m3"

[roof]
form = "gable"
pitch = "6/12"
length = "10 m"
width = "8 m"
eave_height = "3 m"
ridge = "east-west"

[[assembly]]
name = "North slope"
part = "north slope"
inside = "attic"
solar_absorptance = 0.85
emittance = 0.9
leak = "none"
{LAYER}
[[assembly]]
name = "South slope"
part = "south slope"
inside = "attic"
solar_absorptance = 0.85
emittance = 0.9
leak = "none"
{LAYER}
[[assembly]]
name = "Floor"
part = "attic floor"
outside = "attic"
leak = "none"
{LAYER}
[[assembly]]
name = "Hatch"
part = "attic floor"
area = "0.5 m2"
outside = "attic"
leak = "none"
{LAYER}
[[assembly]]
name = "Porch wall"
area = "12 m2"
tilt = "90 deg"
inside = "porch"
azimuth = "90 deg"
solar_absorptance = 0.5
emittance = 0.9
height = "1.5 m"
leak = "none"
{LAYER}
[[assembly]]
name = "Door wall"
area = "9 m2"
tilt = "90 deg"
outside = "porch"
inside = "wing"
leak = "none"
{LAYER}
[[opening]]
name = "hatch"
size = "attic hatch"
on = "Hatch"

[[opening]]
name = "slot"
size = "1/4 in x 36 in"
on = "Porch wall"

[[opening]]
name = "porch door"
size = "exterior door"
inside = "wing"
outside = "porch"
height = "1 m"

[[opening]]
name = "joints"
weight = 2
facing = "180 deg"
height = "1 m"

[[opening]]
name = "more joints"
facing = "0 deg"
height = "2 m"

[[opening]]
name = "ridge vent"
size = "0.2 m2"
inside = "attic"
tilt = "0 deg"
height = "5 m"

[blower_door]
air_changes = "6 ACH50"
volume = "300 m3"

[[fan]]
flow = "20 L/s"
from = "room"
to = "outdoors"

[[fan]]
name = "supply"
flow = "15 L/s"
from = "porch"
to = "wing"

[[ducts]]
zone = "attic"
flow = "0.3 m3/s"
supply_area = "20 m2"
return_area = "8 m2"
resistance = "R-8"
supply_leak = "11 %"
supply_temperature = "50 degC"
balance_temperature = "15 degC"
full_load_temperature = "-25 degC"

[[pipe]]
name = "tap"
zone = "porch"
insulation = "1 in"
"""


def house(old: str = "", new: str = "") -> str:
    """The sound house, with one piece of its text replaced."""
    assert HOUSE.count(old) >= 1, old
    return HOUSE.replace(old, new, 1)


def house_problems(old: str, new: str, folder: Path) -> tuple[Problem, ...]:
    """Problems of the house with one piece replaced; each has its line."""
    found = problems(house(old, new), folder)
    assert all(one.line is not None for one in found), [str(one) for one in found]
    assert all(one.cure for one in found)
    return found


__all__ = ["HOUSE", "LAYER", "house", "house_problems", "line_of"]
