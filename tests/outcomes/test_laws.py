"""Laws that must hold whatever the build-up: more water never makes a verdict better.

Three hundred random build-ups of the trade, each run for a year as it is and with one quantity
raised: rain that leaks past the cladding, humidity of the room, moisture at the start, or, where
leaking room air alone brings water, air that leaks out. Level, mould index and moisture of the
worst board may then fall by no more than the tolerances below: wetter material is also a little
colder by evaporation, and a film more or less shifts an hour.

Where the room's vapour comes by diffusion too there is no such law of the leak: a board behind open
layers is as damp as the room can make it, and air that comes through warms it (by 0.3 to 0.7 K at
2e-4 m3/(s m2), which takes 0.4 % off its moisture) and airs it whenever the sun drives vapour
inward. The law of the leak is therefore that of walls with a tight retarder, and of figures above
AIRED: what the start left in a dry wall leaves it faster with a leak.
"""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import pytest
from hypothesis import HealthCheck, given, note, settings
from hypothesis import strategies as st

from assembly_sim.model import AirLayer, AirLeak, Assembly, Case, Constant, OuterSurface, Room
from assembly_sim.solver.run import run
from assembly_sim.verdict.evidence import evidence, findings, within
from assembly_sim.verdict.rules import PAST, RULES, rank_of
from assembly_sim.verdict.verdict import leak_tested
from tests.outcomes.built import climate, layer, sheet

EXAMPLES, PARTS = 300, 3  # each law in parts, which processes side by side share evenly
MOULD = 0.05  # of the index
MOISTURE = 0.003  # kg/kg
AIRED = 1.0, 0.16  # first growth under a microscope; wood in a heated house, common practice
NEAR = 0.03  # of a bound that another check crosses

CLADDING = ("western red cedar", 19), ("portland stucco", 22), ("fibre cement", 8), ("brick", 90)
ROOFING = ("asphalt shingles, dark", 5), ("wood shingles, cedar", 10)
BOARDS = ("osb", 11), ("plywood, exterior grade", 12.7), ("board sheathing, softwood", 19)
FILLS = ("glass-fibre batt", 90), ("glass-fibre batt", 140), ("cellulose, dense-packed", 140)
FOAMS = ("polyiso", 50), ("xps", 50), ("spray foam, closed-cell", 76), ("eps", 50)
BARRIERS = ("spun-bonded polyolefin wrap", "asphalt felt no. 15", "asphalt paper, 30 minute")
RETARDERS = ("polyethylene film 0.15 mm", "kraft facing", "polyamide film, humidity-variable")
TIGHT = RETARDERS[0]
SHEETS = [(name, 0.0) for name in RETARDERS]
LININGS = ("gypsum board", 12.5), ("gypsum plaster", 15)
MASONRY = ("brick, old soft", 215), ("brick", 215), ("aerated concrete", 200)


@dataclass(frozen=True)
class Sample:
    """A build-up by names, (name, mm) of layers, and what surrounds it."""

    weather: str
    slope: float  # degrees
    layers: tuple[tuple[str, float], ...]
    rain_onto: int
    leaked_rain: float
    humidity: float
    leak: float  # m3/(s m2) at 75 Pa
    height: float
    start: float
    azimuth: float
    exposure: float = 1.0


def gap(changes: float) -> tuple[str, float]:
    return ("air", changes)


@st.composite
def framed(draw, outside):
    """Cladding or roofing, perhaps air, a barrier, a board, insulation, a retarder, a lining."""
    parts = [draw(st.sampled_from(outside))]
    parts += draw(st.sampled_from([[], [gap(0.0)], [gap(5.0)], [gap(60.0)]]))
    parts += draw(st.sampled_from([[], *([(name, 0.0)] for name in BARRIERS)]))
    parts += draw(st.sampled_from([[], *([foam] for foam in FOAMS)]))
    onto = len(parts)
    parts.append(draw(st.sampled_from(BOARDS)))
    parts += draw(st.sampled_from([[fill] for fill in (*FILLS, *FOAMS)]))
    parts += draw(st.sampled_from([[], *([(name, 0.0)] for name in RETARDERS)]))
    parts.append(draw(st.sampled_from(LININGS)))
    return tuple(parts), onto


@st.composite
def masonry(draw):
    """A mass wall, bare or insulated inside."""
    parts = [draw(st.sampled_from(MASONRY)), ("lime plaster", 15)]
    parts += draw(st.sampled_from([[], *([one] for one in (*FILLS, *FOAMS))]))
    parts += draw(st.sampled_from([[], *([(name, 0.0)] for name in RETARDERS)]))
    parts.append(draw(st.sampled_from(LININGS)))
    return tuple(parts), 1


@st.composite
def samples(draw):
    wall = draw(st.booleans())
    layers, onto = draw(st.one_of(framed(CLADDING), masonry()) if wall else framed(ROOFING))
    return Sample(
        weather=draw(st.sampled_from(["cold_inland", "hot_humid", "wet_mild_coast"])),
        slope=90.0 if wall else draw(st.sampled_from([18.0, 45.0])),
        layers=layers,
        rain_onto=onto,
        leaked_rain=draw(st.sampled_from([0.0, 0.001, 0.01])),
        humidity=draw(st.sampled_from([0.3, 0.4, 0.5])),
        leak=draw(st.sampled_from([0.0, 5e-5, 2e-4, 5e-4])),
        height=draw(st.sampled_from([-2.5, 2.5])),
        start=draw(st.sampled_from([0.5, 0.7, 0.8])),
        azimuth=draw(st.sampled_from([0.0, 90.0, 180.0, 270.0])),
    )


def part(number, one):
    name, size = one
    if name == "air":
        return AirLayer(f"{number} air", 0.025, air_changes=size)
    made = layer(name, size) if size else sheet(name)
    return replace(made, name=f"{number} {name}")


def built(sample: Sample) -> Case:
    layers = tuple(part(number, one) for number, one in enumerate(sample.layers))
    outer = OuterSurface(
        math.radians(sample.slope),
        math.radians(sample.azimuth),
        0.7,
        0.9,
        rain_exposure=sample.exposure,
        leaked_rain=sample.leaked_rain,
        leaked_rain_layer=layers[sample.rain_onto].name,
    )
    leak = None
    if sample.leak:
        leak = AirLeak(sample.leak, 75.0, height_above_neutral_level=sample.height)
    assembly = Assembly("sample", 1.0, outer, layers, leak)
    room = Room(Constant(293.15), Constant(sample.humidity))
    return Case(
        "law", climate(sample.weather), room, (assembly,), years=1, starting_humidity=sample.start
    )


@dataclass(frozen=True)
class Answer:
    """Worst figures that may decide: rank, the same with all values a little lower, and harm."""

    rank: int
    least_rank: int
    mould: float
    moisture: float
    leak_dries: bool


def answer(sample: Sample) -> Answer:
    result = run(built(sample), workers=1)
    found = within(result, result.assemblies[0])
    assert found.outcome.name == "completed"
    deciding = [
        one for one in findings(evidence(result, found)) if one.decides and one.value is not None
    ]
    bounds = [RULES[one.check](result.case.thresholds, one) for one in deciding]

    def rank(scale: float) -> int:
        return max(rank_of(scale * one.value, row) for one, row in zip(deciding, bounds))

    def worst(check: str) -> float:
        return max((one.value for one in deciding if one.check == check), default=0.0)

    found_rank = rank(1.0)
    if worst("mould index") >= 3.0 or worst("wood moisture") >= 0.26:
        assert found_rank >= PAST  # harm to what is no cladding never goes with "dry"
    return Answer(
        found_rank,
        rank(1.0 - NEAR),
        worst("mould index"),
        worst("wood moisture"),
        leak_tested(result, found).net_drying > 0.0,
    )


def more_rain(sample):
    return replace(sample, leaked_rain=0.0), replace(sample, leaked_rain=sample.leaked_rain + 0.02)


def damper_room(sample):
    return sample, replace(sample, humidity=sample.humidity + 0.1)


def wetter_start(sample):
    return sample, replace(sample, start=sample.start + 0.12)


def more_leak(sample):
    """Outward, dry at first, no rain, no diffusion; from a tenth of the usual leak to all of it."""
    *layers, lining = [one for one in sample.layers if one not in SHEETS]
    behind = (*layers, (TIGHT, 0.0), lining)
    dry = replace(sample, layers=behind, exposure=0.0, start=0.5, height=2.5)
    return replace(dry, leak=2e-5), replace(dry, leak=2e-4)


LAWS = (more_rain, damper_room, wetter_start, more_leak)


@settings(
    max_examples=EXAMPLES // (len(LAWS) * PARTS),
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
)
@pytest.mark.parametrize("part", range(PARTS))  # other build-ups: their seed is the test's name
@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.__name__)
@given(sample=samples())
def test_more_water_never_makes_a_verdict_better(law, part, sample):
    with ThreadPoolExecutor(2) as pool:
        less, more = pool.map(answer, law(sample))
    note(f"{less}\n{more}")
    if law is more_leak and (less.leak_dries or more.leak_dries):
        return  # and the verdict's own words say that it dries
    mould, moisture = AIRED if law is more_leak else (0.0, 0.0)
    assert less.mould <= mould or more.mould >= less.mould - MOULD
    assert less.moisture <= moisture or more.moisture >= less.moisture - MOISTURE
    assert more.rank >= less.least_rank
