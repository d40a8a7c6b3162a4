"""Several paths in one matrix, and floating zones that border it: a run has none of these yet.

An attic between a roof and a ceiling is the zone. Its temperature and vapour pressure follow from
conductances in series and in parallel, its warming from one exponential, the slopes above it from
balances of their faces (derived).
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import bench_walls as bench
import numpy as np
import pytest
from scipy.optimize import brentq

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.files.material.read import load
from assembly_sim.model import AirLeak, Assembly, Material, Points
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver.chain import Mesh
from assembly_sim.solver.join import Face, Joined, Part, Zone, join, part_of, zone_air
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature, constants_row, march, starting_state, suction_of
from assembly_sim.solver.mesh import HELD_FILM, build_mesh

RAFTER_BAY = Path(__file__).parents[2] / "examples" / "rafter_bay_foam.toml"
HEAT_AND_VAPOUR_APART = Nature(latent_evaporation=0.0, vapour_heat=0.0)
LINK, PERMEANCE = 8.0, 2e-9  # W/(m2 K), kg/(m2 s Pa), from a face to the zone's air
ROOF, CEILING = 30.0, 20.0  # m2
SIGMA = 5.670374e-8  # W/(m2 K4)


def face(part: int, side: str, zone: int = 0) -> Face:
    return Face(part, side, zone, LINK, PERMEANCE)


def attic(
    roof: Mesh, ceiling: Mesh, capacity: float, areas: tuple[float, float] = (ROOF, CEILING)
) -> Joined:
    """A roof whose room side, and a ceiling whose outer side, face a zone instead."""
    parts = [Part(roof, 1, area=areas[0]), Part(ceiling, 1, area=areas[1])]
    return join(parts, [Zone(capacity)], [face(0, "inner"), face(1, "outer")])


def test_cavity_and_framing_in_one_march_are_what_they_are_apart():
    """A month of Greensboro; together they share each step, cut where one of them asks for it.

    In short steps, where a face that freezes errs by less than what is asked here.
    """
    case = read_case(RAFTER_BAY, climate="greensboro")
    (assembly,) = case.assemblies
    rows = boundary_rows(case, assembly)
    row = constants_row(Nature(), HELD_FILM)
    layers, hours = len(assembly.layers), 730
    meshes = [build_mesh(assembly, path, 0.8) for path in ("main", "rafters")]
    steps = {"longest_step": 450.0, "profiles": True}
    apart = [march(mesh, rows, hours, row, layers, **steps) for mesh in meshes]
    joined = join([Part(mesh, layers) for mesh in meshes])
    start = np.hstack([starting_state(mesh, rows) for mesh in meshes])
    assert (starting_state(joined.mesh, rows) == start).all()
    both = march(joined.mesh, rows, hours, row, 2 * layers, **steps)
    assert both.code == numbers.COMPLETED
    for k, one in enumerate(apart):
        part = part_of(both, joined, k)
        assert np.sqrt(((part.profile[:, 0] - one.profile[:, 0]) ** 2).mean()) <= 1e-3
        assert part.profile[:, 2] == pytest.approx(one.profile[:, 2], abs=1e-4)
        assert part.layers == pytest.approx(one.layers, abs=1e-4)
        assert part.film == pytest.approx(one.film, abs=1e-4)
        assert part.planes[0] == pytest.approx(one.planes[0], abs=0.02)
        assert (part.mesh.chain.kinds == one.mesh.chain.kinds).all()
        assert np.abs(part.flows - one.flows)[:, :, 2].max() <= 0.1  # W/m2, of some 100
    assert both.heat_balance_error <= 1e-9
    assert both.moisture_balance_error <= 1e-9


def light(resistance: float, permeability: float = 1e-10) -> Material:
    """A material of which 20 mm resist heat by m2 K/W, and hold hardly any."""
    return bench.material(
        density=1.0,
        specific_heat=1.0,
        conductivity=Points((293.15,), (0.02 / resistance,)),
        permeability=Points((0.5,), (permeability,)),
    )


def sheets_of(resistance: float, permeability: float = 1e-10) -> Mesh:
    """A path of one light layer, 20 mm, that resists heat by m2 K/W."""
    return build_mesh(bench.wall((light(resistance, permeability), 0.02)), "main", 0.5)


def conductance(*resistances: float) -> float:
    return 1.0 / sum(resistances)


@pytest.mark.parametrize("hours", [6, 400])
def test_an_attic_floats_between_roof_and_ceiling(hours):
    """20 degC, 1,000 Pa below and 5 degC, 700 Pa outdoors: series and parallel, one exponential.

    The films at roof and ceiling are the bench's: heat 25 and 7.7 W/(m2 K), vapour 1e-7 and 2e-8.
    """
    capacity = 2e6  # J/K
    mesh = attic(sheets_of(0.2), sheets_of(1.0, 2e-11), capacity).mesh
    room, outdoors = 293.15, 278.15
    rows = bench.rows(
        hours,
        (outdoors, 700.0 / saturation_pressure(outdoors)),
        (room, 1000.0 / saturation_pressure(room)),
        (25.0, 1e-7),
        (7.7, 2e-8),
    )
    row = constants_row(HEAT_AND_VAPOUR_APART, HELD_FILM)
    start = starting_state(mesh, rows)
    start[0] = outdoors
    found = march(mesh, rows, hours, row, 2, start=start, profiles=True)
    assert found.code == numbers.COMPLETED
    up = ROOF * conductance(1 / 25.0, 0.2, 1 / LINK)
    down = CEILING * conductance(1 / 7.7, 1.0, 1 / LINK)
    settled = (up * outdoors + down * room) / (up + down)
    gone = np.exp(-(up + down) * 3600.0 * hours / capacity)
    expected = settled + (outdoors - settled) * gone
    assert found.profile[-1, 0, -1] == pytest.approx(expected, abs=0.002)
    assert (settled - expected > 0.5) == (hours == 6)
    up = ROOF * conductance(1e7, 0.02 / 1e-10, 1 / PERMEANCE)
    down = CEILING * conductance(1 / 2e-8, 0.02 / 2e-11, 1 / PERMEANCE)
    pressure = (up * 700.0 + down * 1000.0) / (up + down)
    suction = suction_of(found.profile[-1, 1, -1])
    held = saturation_pressure(expected) * np.exp(-suction / (1000.0 * 461.5 * expected))
    assert held == pytest.approx(pressure, rel=2e-3)


def test_a_partition_between_two_zones():
    """Outdoors 5 degC, roof, attic, partition, closet, film, room at 20 degC: in series."""
    parts = [Part(sheets_of(0.2), 1, area=ROOF), Part(sheets_of(1.0), 1, area=CEILING)]
    to_room = (numbers.ROOM_SURFACE, 0.0, 0)  # through a film of 1 m2
    zones = [Zone(1e5), Zone(2e5, flows=(to_room,))]
    mesh = join(parts, zones, [face(0, "inner"), face(1, "outer"), face(1, "inner", 1)]).mesh
    rows = bench.rows(400, (278.15, 0.6), (293.15, 0.4), (25.0, 1e-7), (7.7, 2e-8))
    found = march(
        mesh, rows, 400, constants_row(HEAT_AND_VAPOUR_APART, HELD_FILM), 2, profiles=True
    )
    assert found.code == numbers.COMPLETED
    out = ROOF * conductance(1 / 25.0, 0.2, 1 / LINK)
    between = CEILING * conductance(1 / LINK, 1.0, 1 / LINK)
    heat = 15.0 * conductance(1 / out, 1 / between, 1 / 7.7)
    expected = [278.15 + heat / out, 293.15 - heat / 7.7]
    assert found.profile[-1, 0, -2:] == pytest.approx(expected, abs=1e-3)
    assert expected[1] - expected[0] > 1.0


@pytest.mark.parametrize("areas", [(1.0, 1.0), (3.0, 2.0)])
def test_heat_and_water_between_paths_and_zone_add_up(areas):
    """A wet roof and a ceiling in Greensboro's January, latent heat and all."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    (assembly,) = case.assemblies
    rows = boundary_rows(case, assembly)[2 * 2208 :]
    brick = load()["brick, retention curve"]
    wall = bench.wall((brick, 0.05))
    wall = replace(wall, outer=replace(wall.outer, emittance=0.9))
    meshes = [build_mesh(wall, "main", humidity) for humidity in (0.95, 0.6)]
    mesh = attic(*meshes, capacity=2e4, areas=areas).mesh
    row = constants_row(Nature(), HELD_FILM)
    found = march(mesh, rows, 336, row, 2, profiles=True)
    assert found.code == numbers.COMPLETED
    assert found.heat_balance_error <= 1e-9
    assert found.moisture_balance_error <= 1e-9
    zone = found.profile[48:, 0, -1]
    outdoors = rows[98 : 2 * 336 + 1 : 2, numbers.OUTDOOR_TEMPERATURE]
    assert (zone < rows[0, numbers.ROOM_TEMPERATURE]).all()
    assert zone.mean() > outdoors.mean() + 3.0
    assert np.ptp(zone) > 3.0


TILTS, EMITTANCES, SUNS = (0.3, 1.0), (0.9, 0.2), (250.0, 40.0)  # rad, -, W/m2 absorbed
SKY, OUTDOORS, ROOM = 230.0, 278.15, 293.15  # W/m2, K, K
SLOPES = (25.0, 40.0)  # m2
VENT = 0.02  # kg/s


def slope(emittance: float, resistance: float = 0.3) -> Mesh:
    """A light layer under an outer face of its own emittance."""
    part = bench.wall((light(resistance), 0.02))
    return build_mesh(replace(part, outer=replace(part.outer, emittance=emittance)), "main", 0.5)


def long_wave(tilt: float, emittance: float) -> float:
    """Absorbed by a slope that sees sky and ground, the ground at outdoor temperature."""
    sky = 0.5 * (1.0 + np.cos(tilt))
    return emittance * (sky * SKY + (1.0 - sky) * SIGMA * OUTDOORS**4)


def three_surfaces(hours: int, long_waves) -> np.ndarray:
    """Rows of two slopes and of a ceiling, whose outer face sees none of them."""
    films = ((25.0, 1e-7), (7.7, 2e-8))
    airs = ((OUTDOORS, 0.7), (ROOM, 0.5))
    made = np.stack([bench.rows(hours, *airs, *films) for _ in range(3)], axis=1)
    made[:, :2, numbers.ABSORBED_SUN] = SUNS
    made[:, :2, numbers.ABSORBED_LONG_WAVE] = long_waves
    return made


def heat_of_slope(attic_air: float, emittance: float, gain: float, area: float) -> float:
    """Heat (W) from a slope into the attic: h (T_o - T) + gain - e sigma T^4 = U (T - T_a)."""
    inward = 1.0 / (0.3 + 1.0 / LINK)

    def left(face: float) -> float:
        lost = emittance * SIGMA * face**4 + inward * (face - attic_air)
        return 25.0 * (OUTDOORS - face) + gain - lost

    return area * inward * (brentq(left, 200.0, 400.0, xtol=1e-9) - attic_air)


def hand_solution(emittances, gains) -> float:
    """Temperature of an attic under two slopes, over a ceiling, with outdoor air blown in."""
    ceiling = CEILING / (1.0 / LINK + 1.0 + 1.0 / 7.7)

    def left(air: float) -> float:
        slopes = zip(emittances, gains, SLOPES)
        return (
            sum(heat_of_slope(air, *each) for each in slopes)
            + ceiling * (ROOM - air)
            + VENT * 1006.0 * (OUTDOORS - air)
        )

    return brentq(left, 250.0, 350.0, xtol=1e-9)


def hand_pressure() -> float:
    """Its vapour pressure: films, layers and faces in series, the blown air by mixing ratio."""
    layers = [1.0 / (1.0 / film + 0.02 / 1e-10 + 1.0 / PERMEANCE) for film in (1e-7, 2e-8)]
    outside = 0.7 * saturation_pressure(OUTDOORS)
    inside = 0.5 * saturation_pressure(ROOM)

    def ratio(pressure: float) -> float:
        return 0.62195 * pressure / (101325.0 - pressure)

    def left(pressure: float) -> float:
        passed = sum(SLOPES) * layers[0] * (outside - pressure)
        passed += CEILING * layers[1] * (inside - pressure)
        return passed + VENT * (ratio(outside) - ratio(pressure))

    return brentq(left, 1.0, 3000.0, xtol=1e-6)


def test_two_slopes_of_different_tilt_and_emittance_over_one_ceiling():
    """Steady, by hand; one emittance or one sky for both slopes would miss it by half a kelvin."""
    waves = [long_wave(*each) for each in zip(TILTS, EMITTANCES)]
    rows = three_surfaces(400, waves)
    parts = [Part(slope(e), 1, k, area) for k, (e, area) in enumerate(zip(EMITTANCES, SLOPES))]
    parts.append(Part(sheets_of(1.0), 1, 2, CEILING))
    faces = [face(0, "inner"), face(1, "inner"), face(2, "outer")]
    joined = join(parts, [Zone(1e6, flows=((numbers.VENT, VENT, 0),))], faces)
    row = constants_row(HEAT_AND_VAPOUR_APART, HELD_FILM)
    found = march(joined.mesh, rows, 400, row, 3)
    assert found.code == numbers.COMPLETED
    gains = [sun + wave for sun, wave in zip(SUNS, waves)]
    expected = hand_solution(EMITTANCES, gains)
    (temperature,), (pressure,) = zone_air(found)[:, -1]
    assert temperature == pytest.approx(expected, abs=2e-3)
    assert pressure == pytest.approx(hand_pressure(), rel=2e-3)
    for wrong in ((EMITTANCES[0],) * 2, (EMITTANCES[1],) * 2, EMITTANCES[::-1]):
        assert abs(hand_solution(wrong, gains) - expected) > 0.5
    skies = [sun + long_wave(TILTS[0], e) for sun, e in zip(SUNS, EMITTANCES)]
    assert abs(hand_solution(EMITTANCES, skies) - expected) > 0.01
    for k, (emittance, area) in enumerate(zip(EMITTANCES, SLOPES)):
        entering = area * bench.flow(part_of(found, joined, k), numbers.OUTER_SURFACE, 2)[-1]
        by_hand = heat_of_slope(expected, emittance, gains[k], area)
        assert entering == pytest.approx(by_hand, abs=0.2)
    assert found.heat_balance_error <= 1e-9
    assert found.moisture_balance_error <= 1e-9


def greensboro_slopes() -> tuple[list[Assembly], np.ndarray]:
    """The rafter bay as a steep north slope and as a flat shiny south one, a month's rows."""
    case = read_case(RAFTER_BAY, climate="greensboro")
    (bay,) = case.assemblies
    north = replace(bay.outer, tilt=0.9, azimuth=0.0)
    south = replace(bay.outer, tilt=0.2, azimuth=np.pi, emittance=0.25)
    slopes = [replace(bay, outer=north, leak=None, air_through=5e-5)]
    slopes.append(replace(bay, outer=south, leak=bay.leak or AirLeak(2e-4, 75.0)))
    return slopes, np.stack([boundary_rows(case, each) for each in slopes], axis=1)


def test_slopes_in_one_march_are_what_they_are_alone():
    """Tilt, emittance, leak and air through the layers differ, and each keeps its own."""
    slopes, rows = greensboro_slopes()
    layers, hours = len(slopes[0].layers), 400
    row = constants_row(Nature(), HELD_FILM)
    steps = {"longest_step": 450.0, "profiles": True}
    meshes = [build_mesh(each, "main", 0.8) for each in slopes]
    joined = join([Part(mesh, layers, k) for k, mesh in enumerate(meshes)])
    both = march(joined.mesh, rows, hours, row, 2 * layers, **steps)
    alone = [march(meshes[k], rows[:, k], hours, row, layers, **steps) for k in range(2)]
    assert both.code == numbers.COMPLETED
    for k, one in enumerate(alone):
        part = part_of(both, joined, k)
        assert np.sqrt(((part.profile[:, 0] - one.profile[:, 0]) ** 2).mean()) <= 1e-3
        assert part.profile[:, 2] == pytest.approx(one.profile[:, 2], abs=1e-4)
        apart = np.abs(part.flows - one.flows)[:, :, 2]
        assert np.sqrt((apart**2).mean()) <= 0.02  # W/m2
        assert apart.max() <= 1.0  # an hour in which a film dries on one slope cuts both's steps
    difference = alone[0].profile[:, 0, 0] - alone[1].profile[:, 0, 0]
    assert np.abs(difference).max() > 5.0  # K, of their outer faces
    assert both.heat_balance_error <= 1e-9
    assert both.moisture_balance_error <= 1e-9


def test_two_slopes_and_a_ceiling_in_a_winter_add_up():
    """Weather, sun, sky, rain and latent heat on slopes of 40 and 30 m2, a vented attic below."""
    slopes, rows = greensboro_slopes()
    rows = np.concatenate([rows, rows[:, :1]], axis=1)[2 * 2208 :]
    slopes = [replace(each, leak=None, air_through=0.0) for each in slopes]
    brick = load()["brick, retention curve"]
    meshes = [build_mesh(each, "main", 0.8) for each in slopes]
    layers = len(slopes[0].layers)
    parts = [Part(mesh, layers, k, area) for k, (mesh, area) in enumerate(zip(meshes, (40, 30)))]
    parts.append(Part(build_mesh(bench.wall((brick, 0.05)), "main", 0.9), 1, 2, 60.0))
    joined = join(
        parts,
        [Zone(5e5, flows=((numbers.VENT, 0.05, 0),))],
        [face(0, "inner"), face(1, "inner"), face(2, "outer")],
    )
    found = march(joined.mesh, rows, 336, constants_row(Nature(), HELD_FILM), 2 * layers + 1)
    assert found.code == numbers.COMPLETED
    assert found.heat_balance_error <= 1e-9
    assert found.moisture_balance_error <= 1e-9
    assert found.state_defect <= 1e-6
    air = zone_air(found)[0, :, 0]
    outdoors = rows[2 : 2 * 336 + 1 : 2, 0, numbers.OUTDOOR_TEMPERATURE]
    assert air[48:].mean() > outdoors[48:].mean() + 1.0
    assert np.ptp(air[48:]) > 3.0


def refused() -> dict[str, tuple]:
    """What cannot be joined: parts, zones, faces, and a word of the reason."""
    (leaky,) = read_case(RAFTER_BAY, climate="greensboro").assemblies
    blown = replace(bench.wall((light(0.2), 0.02)), air_through=1e-4)
    part, zone = Part(sheets_of(0.2), 1), Zone(1e5)
    twice = [face(0, "inner"), face(0, "inner", 1)]
    return {
        "leak": ([Part(build_mesh(leaky, "main", 0.5), 9)], [zone], [face(0, "inner")], "air"),
        "air": ([Part(build_mesh(blown, "main", 0.5), 1)], [zone], [face(0, "outer")], "air"),
        "no such zone": ([part], [zone], [face(0, "inner", 1)], "zone 1"),
        "no such part": ([part], [zone], [face(-1, "inner")], "part -1"),
        "side": ([part], [zone], [face(0, "middle")], "middle"),
        "two zones": ([part], [zone, zone], twice, "two zones"),
        "no film": ([part], [zone], [Face(0, "inner", 0, 0.0, 1e-9)], "film"),
        "no capacity": ([part], [Zone(0.0)], [face(0, "inner")], "0 J/K"),
        "no area": ([part._replace(area=0.0)], [], [], "area"),
        "surface left out": ([part._replace(surface=1)], [], [], "surfaces"),
        "unknown surface": ([part], [Zone(1e5, flows=((numbers.VENT, 0.1, 1),))], [], "unknown"),
        "two emittances": ([Part(slope(0.9), 1), Part(slope(0.2), 1)], [], [], "emittance"),
    }


@pytest.mark.parametrize("name", refused())
def test_what_cannot_be_joined_is_refused(name):
    *arguments, reason = refused()[name]
    with pytest.raises(InputError, match=reason):
        join(*arguments)


def test_rows_of_too_few_surfaces_are_refused():
    joined = join([Part(slope(0.9), 1, 0), Part(slope(0.2), 1, 1)])
    row = constants_row(Nature(), HELD_FILM)
    with pytest.raises(ValueError, match="reshape"):
        march(joined.mesh, three_surfaces(2, (0.0, 0.0)), 2, row, 2)
