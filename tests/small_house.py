"""A house small enough to run in a test: a room, an attic, a deck, a ceiling, four holes.

Its run is real and of three years; results that a sentence must not survive are made of it.
"""

from __future__ import annotations

import dataclasses
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

import assembly_sim as sim
from assembly_sim.model import Case
from assembly_sim.solver.result import Result

TEXT = """\
format = 1
name = "Teasel: a small house"
climate = "cold_inland"
years = 3

[room]
temperature = "20 degC"
humidity = { volume = "200 m3", air_changes = "0.4 1/h", generation = "6 L/day" }

[[zone]]
name = "attic"
volume = "80 m3"
heat_capacity = "500 kJ/K"

[[assembly]]
name = "Roof"
area = "100 m2"
tilt = "30 deg"
azimuth = "0 deg"
height = "4 m"
inside = "attic"
solar_absorptance = 0.8
emittance = 0.9
leak = "1 m3/(h m2) at 50 Pa"

[[assembly.layer]]
material = "asphalt shingles, dark"
thickness = "5 mm"

[[assembly.layer]]
name = "deck"
material = "board sheathing, softwood"
thickness = "19 mm"

[[assembly]]
name = "Ceiling"
area = "80 m2"
tilt = "0 deg"
height = "2.5 m"
outside = "attic"
leak = "none"

[[assembly.layer]]
name = "fill"
material = "cellulose, loose in attic"
thickness = "100 mm"

[[assembly.layer]]
name = "lining"
material = "gypsum board"
thickness = "12.5 mm"

[[opening]]
name = "hatch"
size = "40 cm2"
inside = "room"
outside = "attic"
height = "2.5 m"

[[opening]]
name = "door"
size = "60 cm2"
facing = "180 deg"
height = "1 m"

[[opening]]
name = "soffit"
size = "0.1 m2"
inside = "attic"
facing = "0 deg"
height = "2.6 m"

[[opening]]
name = "ridge"
size = "0.1 m2"
inside = "attic"
tilt = "0 deg"
height = "5 m"
"""


def read(text: str = TEXT) -> Case:
    """A case of this text."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "house.toml"
        path.write_text(text)
        return sim.read_case(path)


@cache
def result() -> Result:
    """The house through three years."""
    return sim.run(read())


def with_streams(found: Result, **flows: float) -> Result:
    """The same with some streams' flows multiplied, by name."""
    streams = tuple(
        dataclasses.replace(one, flow=flows.get(one.name, 1.0) * one.flow) for one in found.streams
    )
    return dataclasses.replace(found, streams=streams)


def with_zone(found: Result, **course: np.ndarray | float) -> Result:
    """The same with other courses of its zone, (hours,)."""
    own = {
        name: np.broadcast_to(np.asarray(value, dtype=float), (found.hours,)).copy()
        for name, value in course.items()
    }
    (zone,) = found.zones
    return dataclasses.replace(found, zones=(dataclasses.replace(zone, **own),))
