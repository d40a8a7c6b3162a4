"""A small sound case, one entry a line, for tests that break it."""

from pathlib import Path

import pytest

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.read import read_case

SOUND = """\
format = 1
name = "Lean-to"
climate = "cold_inland"
years = 1
start_month = 10
starting_humidity = "75 %"

[room]
temperature = "20 degC"
humidity = "40 %"

[thresholds]
mould_index = 2

[[assembly]]
name = "Back wall"
area = "12 m2"
tilt = "90 deg"
azimuth = "180 deg"
solar_absorptance = 0.6
emittance = 0.9
leak = "0.2 L/(s m2) at 75 Pa"

[[assembly.layer]]
material = "osb"
thickness = "11 mm"
starting_moisture_content = "14 %"

[[assembly.layer]]
air = "25 mm"
emittance_outer = 0.05

[[assembly.layer]]
name = "batt"
material = "glass-fibre batt"
thickness = "5 1/2 in"
bridges = [{ path = "studs", material = "spruce", share = "23 %" }]
probes = [{ name = "pipe", depth = "30 mm" }]

[[assembly.layer]]
membrane = "kraft facing"
"""

# What no message may show: the libraries beneath, their words, Python's.
INTERNALS = ("pydantic", "tomllib", "toml.", "traceback", "valueerror", "type=", "input should be")
INTERNALS += ("union", "discriminator", "none type", "dataclass", "float(", "nonetype", "loc=")


def changed(old: str, new: str) -> str:
    """The sound case with one piece of its text replaced."""
    assert SOUND.count(old) >= 1, old
    return SOUND.replace(old, new, 1)


def line_of(text: str, piece: str) -> int:
    return text[: text.index(piece)].count("\n") + 1


def problems(text: str | bytes, folder: Path) -> tuple[Problem, ...]:
    """Problems of a case with this text; each is held to what every message must be."""
    path = folder / "case.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    before = sorted(folder.iterdir())
    with pytest.raises(InputError) as refused:
        read_case(path)
    assert sorted(folder.iterdir()) == before
    for one in refused.value.problems:
        assert one.file.startswith(str(folder))
        assert one.cause
        assert "\n" not in one.cause + one.cure
        assert len(one.cause + one.cure) < 400
        assert not [word for word in INTERNALS if word in (one.cause + one.cure).lower()]
    return refused.value.problems
