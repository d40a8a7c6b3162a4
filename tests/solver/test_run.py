"""A run and its signs: heat goes out in winter, leaks wet, what cannot converge says so and why."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.envelope.resistances import u_value
from assembly_sim.errors import InputError
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.files.material.read import load
from assembly_sim.model import (
    AirLeak,
    Assembly,
    Bridge,
    Case,
    Climate,
    ColumnOfFile,
    Constant,
    Layer,
    Membrane,
    NamedDepth,
    OuterSurface,
    Room,
)
from assembly_sim.physics.constants import LATENT_HEAT_EVAPORATION
from assembly_sim.solver import leaks
from assembly_sim.solver import run as running
from assembly_sim.solver.jobs import Options, PathJob
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import Nature, continued
from assembly_sim.solver.path_result import path_result
from assembly_sim.solver.run import run, run_path
from assembly_sim.verdict.contract import run_summary
from tests import synthetic

JANUARY = 31 * 24  # h
ROOM = Room(Constant(294.15), Constant(0.45))


@pytest.fixture(scope="module")
def greensboro() -> Climate:
    return read_climate(find_climate("greensboro"))


def bay(leak: float | None = None, retarder: bool = False) -> Assembly:
    """A north roof of deck, batt and gypsum board; leak in m3/(s m2) at 75 Pa."""
    shipped = load()
    fill = Layer(
        "fill",
        shipped["glass-fibre batt"],
        0.14,
        bridges=(Bridge("rafters", 0.12, shipped["spruce"]),),
    )
    layers = [
        Layer(
            "deck", shipped["plywood, douglas fir"], 0.0127, probes=(NamedDepth("nails", 0.012),)
        ),
        fill,
        Layer("lining", shipped["gypsum board"], 0.0127),
    ]
    if retarder:
        layers.insert(2, Membrane("foil", shipped["aluminium foil facing"]))
    return Assembly(
        "bay",
        20.0,
        OuterSurface(0.8, 0.0, 0.8, 0.9, leaked_rain=0.0),
        tuple(layers),
        None if leak is None else AirLeak(leak, 75.0),
    )


def january(climate: Climate, part: Assembly, path: str = "main", **options):
    case = Case("month", climate, ROOM, (part,), start_month=1)
    rows = options.pop("rows", None)
    rows = boundary_rows(case, part) if rows is None else rows
    return run_path(case, part, path, rows, JANUARY, **options)


def test_heat_flows_out_in_january(greensboro):
    path, outcome = january(greensboro, bay())
    assert outcome.name == "completed"
    assert path.heat_flux_room.shape == (JANUARY,)
    assert path.heat_flux_room.mean() > 0.0
    outdoors = greensboro.temperature[:JANUARY].mean()
    rough = u_value(bay()) * (ROOM.temperature.value - outdoors)
    assert path.heat_flux_room[48:].mean() == pytest.approx(rough, rel=0.25)
    both = [  # what arrives at the roof goes out as heat and as evaporated water
        (heat + LATENT_HEAT_EVAPORATION * vapour)[48:].mean()
        for heat, vapour in (
            (path.heat_flux_room, path.vapour_flux_room),
            (path.heat_flux_outdoors, path.vapour_flux_outdoors),
        )
    ]
    assert both[1] == pytest.approx(both[0], rel=0.05)


def test_framing_loses_more_than_the_cavity(greensboro):
    cavity, _ = january(greensboro, bay())
    framing, _ = january(greensboro, bay(), "rafters")
    assert framing.share == pytest.approx(0.12)
    assert framing.heat_flux_room.mean() > 1.5 * cavity.heat_flux_room.mean()


def test_vapour_flows_out_in_january_and_a_foil_stops_it(greensboro):
    open_bay, _ = january(greensboro, bay())
    foiled, _ = january(greensboro, bay(retarder=True))
    assert open_bay.vapour_flux_room.mean() > 0.0
    assert abs(foiled.vapour_flux_room.mean()) < 0.3 * open_bay.vapour_flux_room.mean()


def test_a_leak_of_room_air_wets_the_deck(greensboro):
    tight, _ = january(greensboro, bay(retarder=True))
    leaky, _ = january(greensboro, bay(leak=0.4e-3, retarder=True))
    assert (tight.leak_vapour == 0.0).all()
    assert leaky.leak_vapour.sum() > 0.0
    assert leaky.leak_heat.sum() > 0.0  # warm air leaves heat at the cold deck
    assert leaky.layer_water[-1, 0] > tight.layer_water[-1, 0] + 0.01
    assert leaky.temperature[:, 1].mean() > tight.temperature[:, 1].mean()


def test_water_adds_up(greensboro):
    """Stored = what came from the room, left outdoors, leaked in and drained, layer by layer."""
    path, _ = january(greensboro, bay(leak=0.4e-3))
    gained = 3600.0 * (
        path.vapour_flux_room - path.vapour_flux_outdoors + path.leak_vapour + path.rain
    )
    gained = gained.sum() - 3600.0 * path.drained.sum()
    stored = (path.layer_water[-1] - path.initial_layer_water).sum() + path.free_water[-1].sum()
    assert stored == pytest.approx(gained, abs=1e-3)  # films on planes between layers left out
    assert path.moisture_balance_error < 1e-9
    assert path.heat_balance_error < 1e-9


def test_planes_and_probes_are_reported(greensboro):
    path, _ = january(greensboro, bay())
    names = [plane.name for plane in path.planes]
    assert names == ["outdoors | deck", "deck | fill", "fill | lining", "lining | room", "nails"]
    assert path.temperature.shape == path.vapour_pressure.shape == (JANUARY, 5)
    coldest = path.temperature.mean(axis=0)
    assert coldest[0] < coldest[1] < coldest[2] < coldest[3] < 294.15


def test_profiles_on_request(greensboro):
    path, _ = january(greensboro, bay(), profiles=True)
    assert path.profiles is not None
    nodes = len(path.profiles["depth"])
    for name in ("temperature", "suction", "water_content"):
        assert path.profiles[name].shape == (JANUARY, nodes)
    width = path.profiles["width"]
    held = (path.profiles["water_content"][-1] * width).sum()
    assert held == pytest.approx(path.layer_water[-1].sum(), rel=1e-9)
    assert january(greensboro, bay())[0].profiles is None


def test_progress_is_told_about_each_month(greensboro):
    seen: list[int] = []
    january(greensboro, bay(), month=seen.append)
    assert seen[-1] == JANUARY
    assert len(seen) == 2


@pytest.mark.parametrize("value", [np.nan, 2000.0], ids=["no number", "impossible heat"])
def test_a_run_that_cannot_converge_says_where_and_what_to_do(greensboro, value):
    case = Case("month", greensboro, ROOM, (bay(),), start_month=1)
    rows = boundary_rows(case, bay())
    rows[200:204, numbers.OUTDOOR_TEMPERATURE] = value
    path, outcome = january(greensboro, bay(), rows=rows)
    assert outcome.name == "stopped"
    assert outcome.hour in (99, 100)
    assert outcome.layer in ("deck", "fill", "lining")
    assert outcome.path == "main"
    assert outcome.cause
    assert outcome.cure
    assert len(path.temperature) == outcome.hour
    assert np.isfinite(path.temperature).all()


def test_a_surface_too_hot_to_compute_says_so(greensboro):
    """8 kW/m2 absorbed, which radiation alone gives off above 340 degC (computed)."""
    case = Case("month", greensboro, ROOM, (bay(),), start_month=1)
    rows = boundary_rows(case, bay())
    rows[200:300, numbers.ABSORBED_SUN] = 8000.0
    _, outcome = january(greensboro, bay(), rows=rows)
    assert outcome.name == "stopped"
    assert outcome.layer == "deck"
    assert "149 degC" in outcome.cause
    assert "outer surface" in outcome.cure


@pytest.mark.parametrize("first_row", [0, 2000])
def test_a_stopped_run_keeps_what_was_computed(greensboro, monkeypatch, first_row):
    def broken(case, part, room=None):
        rows = boundary_rows(case, part, room)
        rows[first_row : first_row + 4, numbers.OUTDOOR_CONVECTION] = np.nan
        return rows

    monkeypatch.setattr(leaks, "boundary_rows", broken)
    result = run(Case("stopped", greensboro, ROOM, (bay(),), years=1))
    (found,) = result.assemblies
    assert found.outcome.name == "stopped"
    assert not found.converged
    assert result.hours == found.outcome.hour
    assert result.hours in (first_row // 2 - 1, first_row // 2)
    assert len(result.month) == len(result.day) == result.hours


def test_a_year_ends_where_it_says_and_names_its_months(greensboro):
    seen: list[float] = []
    result = run(
        Case("year", greensboro, ROOM, (bay(),), years=1),
        progress=lambda share, name: seen.append(share),
    )
    assert result.hours == 8760
    assert list(result.month[[0, -1]]) == [10, 9]
    assert seen[-1] == pytest.approx(1.0)
    (found,) = result.assemblies
    assert found.converged
    assert [path.share for path in found.paths] == pytest.approx([0.88, 0.12])
    assert {"version", "inputs_sha256", "numba"} <= set(result.provenance)


def test_the_same_case_gives_the_same_digits(greensboro):
    case = Case("twice", greensboro, ROOM, (bay(leak=0.2e-3),), years=1)
    one, two = (run(case).assemblies[0].paths[0] for _ in range(2))
    assert (one.temperature == two.temperature).all()
    assert (one.layer_water == two.layer_water).all()


def test_without_years_a_run_goes_on_until_each_is_like_the_one_before(greensboro):
    wet = replace(
        bay(), layers=(replace(bay().layers[0], starting_humidity=0.97),) + bay().layers[1:]
    )
    result = run(Case("settles", greensboro, ROOM, (wet,)))
    assert result.hours % 8760 == 0
    assert running.LEAST_YEARS * 8760 <= result.hours <= running.MOST_YEARS * 8760
    np.testing.assert_array_equal(result.day, np.arange(result.hours) // 24)
    np.testing.assert_array_equal(result.month[8760:], result.month[:-8760])
    for path in result.assemblies[0].paths:
        loss = np.maximum(path.heat_flux_room, 0.0)
        last, before = loss[-8760:].sum(), loss[-2 * 8760 : -8760].sum()
        assert before == pytest.approx(last, rel=0.005)
        peaks = path.layer_water.reshape(-1, 8760, path.layer_water.shape[1]).max(axis=1)
        assert np.abs(peaks[-1] - peaks[-2]).max() <= max(0.02, 0.02 * peaks[-2].max())


def test_a_run_gone_on_with_is_the_run_in_one_go(greensboro):
    """Three years and one more, against four: the same to the last digit, balances included."""
    case = Case("on", greensboro, ROOM, (bay(leak=0.2e-3),))
    whole, rows = replace(case, years=2), [boundary_rows(case, bay(leak=0.2e-3))]
    job = PathJob(case, 0, "main", rows[0], Options(Nature()))
    first = job.march(8760, None)
    joint = continued(first, job.march(8760, None, first.kept))
    at_once = run(whole).assemblies[0].paths[0]
    parted = path_result(joint, "main", at_once.share, rows[0], 0.0)
    assert (parted.temperature == at_once.temperature).all()
    assert (parted.layer_water == at_once.layer_water).all()
    assert parted.moisture_balance_error == at_once.moisture_balance_error <= 1e-9
    assert parted.statistics == at_once.statistics


def test_starting_moisture_decides_how_wet_a_run_begins(greensboro):
    dry, wet = (
        run_path(
            Case("start", greensboro, ROOM, (bay(),), starting_humidity=humidity),
            bay(),
            "main",
            boundary_rows(Case("start", greensboro, ROOM, (bay(),)), bay()),
            24,
        )[0]
        for humidity in (0.5, 0.9)
    )
    assert wet.initial_layer_water[0] > 1.5 * dry.initial_layer_water[0]


def test_jumps_of_40_k_every_hour_are_sound_and_their_steps_are_counted(greensboro):
    """They were told as NOT CONVERGED by the count of small steps, with a defect of 1e-11."""
    warm = np.where(np.arange(greensboro.hours) % 2, 313.15, 273.15)
    room = Room(ColumnOfFile(tuple(warm)), Constant(0.45))
    result = run(Case("jumps", greensboro, room, (bay(),), years=1))
    (found,), (summary,) = result.assemblies, run_summary(result)["assemblies"]
    assert found.converged
    assert max(path.state_defect for path in found.paths) <= 1e-6
    counted = max(path.statistics["fallback steps"] for path in found.paths)
    assert summary["fallback_steps"] == counted > 100


@pytest.mark.parametrize("field", ["state_defect", "heat_balance_error", "moisture_balance_error"])
@pytest.mark.parametrize("error", [2e-6, float("nan")])
def test_a_run_whose_heat_or_water_does_not_add_up_is_not_sound(field, error):
    path = synthetic.result(hours=24).assemblies[0].paths[0]
    assert running.is_sound(path)
    assert not running.is_sound(replace(path, **{field: error}))


def test_a_case_without_assemblies_is_refused(greensboro):
    with pytest.raises(InputError, match="no assembly"):
        run(replace(Case("empty", greensboro, ROOM, ())))


def test_a_run_of_minutes_a_year_says_so_once_as_it_goes(monkeypatch, caplog):
    """By its own clock: two path years, a quarter of them done after 150 s, are 5 min a year."""
    now = [0.0]
    monkeypatch.setattr(running.time, "perf_counter", lambda: now[0])
    look = running._says_if_slow(2.0)
    now[0] = 1.0
    look(0.001)  # too early to tell
    assert not caplog.records
    now[0] = 150.0
    look(0.25)
    look(0.26)
    (record,) = caplog.records
    assert "5.0 minutes a path and year, and some 8 minutes more" in record.getMessage()


def test_a_run_of_seconds_a_year_says_nothing(monkeypatch, caplog):
    now = [0.0]
    monkeypatch.setattr(running.time, "perf_counter", lambda: now[0])
    look = running._says_if_slow(2.0)
    now[0] = 30.0
    look(0.9)
    assert not caplog.records
