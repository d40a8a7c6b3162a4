"""Heat that air carries: parts that add up to the room, and leaks that never save heat.

The room's balance is drawn up here from states and mass flows alone, (1) of `boundary/carried.py`;
everything is derived, nothing is taken from the account under test.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

import bench_walls as bench
import numpy as np
import pytest
import random_walls
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assembly_sim.boundary.carried import mass_through, streams
from assembly_sim.boundary.drivers import hourly_drivers
from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.checks.energy import energy
from assembly_sim.envelope.airways import airways
from assembly_sim.files.case.read import read_case
from assembly_sim.model import AirLeak, Assembly, Layer, Membrane, OuterSurface, Sheet
from assembly_sim.physics.constants import DRY_AIR_HEAT_CAPACITY as C_P
from assembly_sim.physics.moist_air import humidity_ratio, saturation_pressure
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature
from assembly_sim.solver.mesh import build_mesh
from assembly_sim.solver.run import run, run_path
from assembly_sim.units import to_si
from tests import synthetic

HEAT_ALONE = random_walls.HEAT_ALONE
ROOT, FLOW = Path(__file__).parents[2], "air flow per area"
INSULATION = frozenset({"insulation"})
BOARD = bench.material(
    "board", density=500.0, conductivity=bench.constant(0.12), permeability=bench.constant(2e-11)
)
BATT = bench.material(
    "batt",
    density=15.0,
    conductivity=bench.constant(0.04),
    permeability=bench.constant(1.5e-10),
    kinds=INSULATION,
)
FOAM = bench.material("foam", density=30.0, conductivity=bench.constant(0.025))
FELT = Membrane("felt", Sheet("felt", bench.constant(3e-10)))
LEAK = AirLeak(1e-4, 75.0)
OUTER = OuterSurface(np.pi / 2, 0.0, 0.0, 0.0)
ROOF = (FELT, Layer("deck", BOARD, 0.02), Layer("batt", BATT, 0.14), Layer("foam", FOAM, 0.05))
WALL = (Layer("sheathing", BOARD, 0.012), Layer("batt", BATT, 0.09), Layer("lining", BOARD, 0.012))
CEILING = (Layer("batt", BATT, 0.2), Layer("lining", BOARD, 0.012))
K = {"deck": 0.12, "batt": 0.04, "foam": 0.025, "sheathing": 0.12, "lining": 0.12}


def part(name: str, area: float, layers, leak: AirLeak | None = LEAK, through: float = 0.0):
    return Assembly(name, area, OUTER, layers, leak, through)


def rows_of(hours: int, outdoors, leak: float, films=((15.0, 1e-8), (8.0, 1e-8))):
    made = bench.rows(hours, (outdoors, 0.8), (293.15, 0.4), *films)
    made[:, numbers.LEAK] = leak
    return made


def marched(
    assembly: Assembly, rows, hours: int, nature: Nature = HEAT_ALONE, profiles: bool = False
):
    found, outcome = run_path(CASE, assembly, "main", rows, hours, profiles=profiles, nature=nature)
    assert outcome.name == "completed"
    return found


CASE = synthetic.case(starting_humidity=0.4)


def house(through: float = 0.0):
    """(assembly, leak kg/(s m2)): out through roof and ceiling, in through two walls, balanced.

    The ceiling has no plane where leak air going out meets it; the dense wall none for air coming
    in, whose T_a is then T_o. Air also goes in and out through the layers of two further walls.
    """
    dense = (Layer("brick", BOARD, 0.1),)
    flows = [
        (part("roof", 40.0, ROOF), 3.0e-4),
        (part("ceiling", 10.0, CEILING), 9.0e-4),
        (part("wall", 50.0, WALL), -3.6e-4),
        (part("dense wall", 30.0, dense), -1.0e-4),
    ]
    if through:
        flows += [
            (part("inlet", 25.0, CEILING[:1], None, -through), 0.0),
            (part("outlet", 25.0, CEILING[:1], None, through), 0.0),
        ]
    assert sum(one.area * leak for one, leak in flows) == pytest.approx(0.0, abs=1e-15)
    return flows


def arrival(assembly: Assembly, found, outdoors: float) -> float:
    """Temperature (K) at which inward air comes into the room in the last hour."""
    if assembly.air_through < 0.0:
        return found.temperature[-1, -1]
    plane = airways(assembly).inward
    if plane is None:
        return outdoors
    (at,) = [k for k, one in enumerate(found.planes) if one.index == plane]
    return found.temperature[-1, at]


def test_a_closed_house_adds_up_to_its_room_s_balance():
    """Steady: h (T_i - T_surface) of every surface, and m c_p (T_i - T_a) of all air coming in."""
    outdoors, hours, parts, room = 263.15, 1500, 0.0, 0.0
    for assembly, leak in house(through=2e-4):
        found = marched(assembly, rows_of(hours, outdoors, leak), hours)
        through = mass_through(assembly)
        inward = max(-leak, 0.0) + max(-through, 0.0)
        warmth = inward * C_P * (293.15 - arrival(assembly, found, outdoors))
        surface = 8.0 * (293.15 - found.temperature[-1, -1])
        room += assembly.area * (surface + warmth)
        parts += assembly.area * (found.heat_flux_room[-1] + found.carried_heat[-1])
    assert parts == pytest.approx(room, rel=1e-9)


def stored_heat(assembly: Assembly, found, rows) -> float:
    """Heat (J/m2) that the cells took up since the start, straight between the two airs."""
    chain = build_mesh(assembly, "main", CASE.starting_humidity).chain
    depth = found.profiles["depth"] / found.profiles["depth"][-1]
    cold, warm = rows[0, numbers.OUTDOOR_TEMPERATURE], rows[0, numbers.ROOM_TEMPERATURE]
    rise = found.profiles["temperature"][-1] - (cold + (warm - cold) * depth)
    return float(chain.nodes[:, numbers.CAPACITY] @ rise)


def test_the_same_house_through_a_changing_week_from_its_other_side():
    """What leaves the room is stored in the assemblies or leaves outdoors, by surface or by air."""
    hours = 168
    half = np.arange(2 * hours + 1) / 2
    outdoors = 270.0 + 8.0 * np.sin(2 * np.pi * half / 24) + 3.0 * np.cos(half / 7)
    mean = 0.25 * (outdoors[:-2:2] + 2.0 * outdoors[1:-1:2] + outdoors[2::2])
    parts = outside = 0.0
    for assembly, leak in house():
        rows = rows_of(hours, outdoors, leak)
        found = marched(assembly, rows, hours, profiles=True)
        parts += 3600.0 * assembly.area * (found.heat_flux_room + found.carried_heat).sum()
        gone = found.heat_flux_outdoors
        if leak > 0.0:  # its air leaves outdoors at T_i less what it left on its way
            gone = gone + leak * C_P * (293.15 - mean) - found.leak_heat
        stored = stored_heat(assembly, found, rows)
        assert abs(stored) > 100.0
        outside += assembly.area * (3600.0 * gone.sum() + stored)
    assert parts == pytest.approx(outside, rel=1e-9)


def test_humidity_of_a_closed_house_adds_up_too():
    """Steady, with vapour: m (x_i - x_a) of all air coming in, x_a that of its plane."""
    outdoors, hours, parts, room = 263.15, 1500, 0.0, 0.0
    inside = humidity_ratio(0.4 * saturation_pressure(293.15), 101325.0)
    brought = humidity_ratio(0.8 * saturation_pressure(outdoors), 101325.0)
    moistened = False
    for assembly, leak in house():
        found = marched(assembly, rows_of(hours, outdoors, leak), hours, Nature())
        plane = airways(assembly).inward
        arrives = brought
        if plane is not None:
            (at,) = [k for k, one in enumerate(found.planes) if one.index == plane]
            arrives = humidity_ratio(found.vapour_pressure[-1, at], 101325.0)
        moistened = moistened or float(arrives - brought) > 1e-5
        room += assembly.area * max(-leak, 0.0) * (inside - arrives)
        parts += assembly.area * found.carried_vapour[-1]
    assert moistened
    assert parts == pytest.approx(room, rel=1e-6)  # the lining's water still moves a little


def sums(assembly: Assembly, rows, hours: int, nature: Nature = HEAT_ALONE) -> tuple[float, float]:
    """(total, total and what warms incoming air) over a run, Wh/m2."""
    found = marched(assembly, rows, hours, nature)
    total = float((found.heat_flux_room + found.carried_heat).sum())
    incoming = hourly_drivers(rows, 1, mass_through(assembly)).incoming_heat
    return total, total + float(incoming.sum())


SIZES = (0.0, 1e-5, 1e-4, 3e-4, 1e-3, 1e-2)


@pytest.mark.parametrize("layers", [ROOF, WALL, CEILING], ids=["roof", "wall", "ceiling"])
def test_a_leak_in_steady_cold_by_hand(layers):
    """One node between G_i to the room and G_o to outdoors, in the steady state.

    G_i G_o dT / (G_i + G_o + m c_p) is q_c where air leaves, and the total where it comes in.
    """
    way = airways(part("any", 1.0, layers))
    resistances = [1 / 15.0, *(getattr(a, "thickness", 0.0) / K.get(a.name, 1.0) for a in layers)]
    resistances.append(1 / 8.0)
    for leak in (3e-4, -3e-4):
        plane = way.outward if leak > 0.0 else way.inward
        if plane is None:
            continue
        to_room, to_outdoors = 1 / sum(resistances[plane + 1 :]), 1 / sum(resistances[: plane + 1])
        found = marched(part("any", 1.0, layers), rows_of(1500, 263.15, leak), 1500)
        shared = to_room * to_outdoors * 30.0 / (to_room + to_outdoors + abs(leak) * C_P)
        total = found.heat_flux_room[-1] + found.carried_heat[-1]
        if leak > 0.0:
            assert found.heat_flux_room[-1] == pytest.approx(shared, rel=1e-4)  # felt resists too
            assert total == pytest.approx(shared + leak * C_P * 30.0, rel=1e-4)
        else:
            assert total == pytest.approx(shared, rel=1e-4)


@pytest.mark.parametrize("layers", [ROOF, WALL, CEILING], ids=["roof", "wall", "ceiling"])
@pytest.mark.parametrize("way", ["outward", "inward", "both"])
def test_sealing_never_saves_less_than_nothing(layers, way):
    """A cold week: any larger leak costs more; air that only goes out, by the total alone."""
    half = np.arange(337) / 2
    outdoors = 265.0 + 8.0 * np.sin(2 * np.pi * half / 24)
    turn = {"outward": 1.0, "inward": -1.0, "both": np.sin(2 * np.pi * half / 31)}[way]
    found = [
        sums(part("any", 1.0, layers), rows_of(168, outdoors, size * turn), 168) for size in SIZES
    ]
    totals, with_incoming = np.array(found).T
    assert (np.diff(with_incoming) > 0.0).all()
    if way == "outward":
        assert (np.diff(totals) > 0.0).all()
        assert totals == pytest.approx(with_incoming)
    if way == "inward":  # why the report names what is counted elsewhere
        assert (np.diff(totals) <= 1e-9 * totals[0]).all()


def test_conduction_alone_would_make_sealing_look_harmful():
    """The account is needed: by q_c alone the tight roof loses more than the leaky one."""
    tight, leaky = (
        marched(part("roof", 1.0, ROOF), rows_of(168, 263.15, leak), 168).heat_flux_room.sum()
        for leak in (1e-5, 1e-3)
    )
    assert tight > 1.05 * leaky


@given(
    random_walls.walls(),
    st.sampled_from([1.0, -1.0]),
    st.sampled_from([(0.0, 2e-5), (2e-5, 1e-4), (1e-4, 1e-3), (1e-3, 1e-2)]),
)
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_leak_saves_heat_in_any_wall(wall, turn, sizes):
    """Random walls, a random week brought to be cold: at least 8 K below the room, without sun."""
    wall = dataclasses.replace(wall, leak=1e-4, room_temperature=20.0, air_through=0.0)
    assembly = random_walls.built(wall)
    rows = random_walls.week(wall)
    room = rows[:, numbers.ROOM_TEMPERATURE]
    outdoors = rows[:, numbers.OUTDOOR_TEMPERATURE]
    over = max(0.0, (outdoors - room).max() + 8.0)
    rows[:, numbers.OUTDOOR_TEMPERATURE] = outdoors - over
    rows[:, numbers.ABSORBED_SUN] = 0.0
    black = 5.670374419e-8 * (outdoors - over) ** 4
    rows[:, numbers.ABSORBED_LONG_WAVE] = wall.emittance * black
    found = []
    for size in sizes:
        rows[:, numbers.LEAK] = turn * size
        found.append(sums(assembly, rows, random_walls.HOURS))
    (total_tight, tight), (total_leaky, leaky) = found
    assert leaky >= tight - 1e-6 * abs(tight)
    if turn > 0.0:
        assert total_leaky >= total_tight - 1e-6 * abs(total_tight)


# m3/(m2 h) outward of 1.2 kg/m3 and 1005 J/(kg K): conduction at 20 degC and at -10 degC, W/m2,
# of 0.2 m of 0.04 W/(m K) (Hagentoft, Introduction to Building Physics: formula; computed)
THROUGH = {1.0: (2.31631, 12.36631), 2.0: (0.73084, 20.83084), 5.0: (0.01159, 50.26159)}


@pytest.mark.parametrize("volume", THROUGH)
@pytest.mark.parametrize("turn", [1.0, -1.0], ids=["outward", "inward"])
def test_air_through_the_layers(volume, turn):
    """Outward the total is all that conducts and flows; inward what is left at the cold side.

    q_cond(0) + m c_p (T_i - T_o) = q_cond(L) outward; inward air arrives at 20 degC, so the total
    is q_cond at the room less m c_p 30 K.
    """
    heat = volume / 3600.0 * 1.2 * 1005.0
    air = turn * heat / C_P
    assembly = part("layer", 1.0, (Layer("batt", BATT, 0.2),), None)
    litres = air / mass_through(one_litre(assembly))
    assembly = dataclasses.replace(assembly, air_through=1e-3 * litres)
    rows = rows_of(200, 263.15, 0.0, (bench.HELD, bench.HELD))
    found = marched(assembly, rows, 200)
    warm, cold = THROUGH[volume] if turn > 0.0 else THROUGH[volume][::-1]
    assert found.heat_flux_room[-1] == pytest.approx(warm, abs=2e-3)
    assert found.heat_flux_outdoors[-1] == pytest.approx(cold, abs=2e-3)
    total = found.heat_flux_room[-1] + found.carried_heat[-1]
    assert total == pytest.approx(warm + turn * heat * 30.0, abs=2e-3)
    assert total == pytest.approx(cold if turn > 0.0 else THROUGH[volume][0], abs=2e-3)


def one_litre(assembly: Assembly) -> Assembly:
    return dataclasses.replace(assembly, air_through=1e-3)


def test_a_run_s_flows_are_those_of_its_weather():
    """Hourly means of what air costs, against a fine sum over the lines between rows."""
    assembly = dataclasses.replace(CASE.assemblies[0], air_through=-1e-4)
    rows = boundary_rows(CASE, assembly)[: 2 * 500 + 1]
    fine = (np.arange(100_000) + 0.5) / 100
    at = {k: np.interp(fine, np.arange(1001), rows[:, k]) for k in range(numbers.COLUMNS)}
    warming = C_P * (at[numbers.ROOM_TEMPERATURE] - at[numbers.OUTDOOR_TEMPERATURE])
    leak, through = at[numbers.LEAK], mass_through(assembly)
    assert (leak > 0.0).any()
    found = streams(rows, through)
    out = (np.maximum(leak, 0.0) * warming).reshape(500, 200).mean(axis=1)
    inward = ((np.maximum(-leak, 0.0) - through) * warming).reshape(500, 200).mean(axis=1)
    by_hour = leak.reshape(500, 200)
    turns = (by_hour.max(axis=1) > 0.0) & (by_hour.min(axis=1) < 0.0)
    assert 0 < turns.sum() < 100
    for each, expected in ((found.outgoing_heat, out), (found.incoming_heat, inward)):
        assert each[~turns] == pytest.approx(expected[~turns], rel=1e-4, abs=1e-9)
        assert each == pytest.approx(expected, abs=0.005)  # a half hour with a kink
        assert each.sum() == pytest.approx(expected.sum(), rel=1e-4)


def test_sealing_the_rafter_bay_saves_heat():
    """From 1.0 to 0.04 cfm/ft2 at 75 Pa: conduction alone shows nothing, the total a third."""
    case = read_case(ROOT / "examples" / "rafter_bay_foam.toml")
    (roof,) = case.assemblies
    leaks = [dataclasses.replace(roof.leak, flow=to_si(f"{x} cfm/ft2", FLOW)) for x in (1, 0.04)]
    roofs = tuple(
        dataclasses.replace(roof, name=f"roof {k}", leak=leak) for k, leak in enumerate(leaks)
    )
    result = run(dataclasses.replace(case, assemblies=roofs, years=1))
    leaky, tight = (energy(result, found).heating_season_loss for found in result.assemblies)
    assert tight.surface > leaky.surface
    assert tight.total < leaky.total / 3
