"""Build-ups of the trade: vented bays, films over windows, bubble foil. Each with its source."""

from __future__ import annotations

import functools
from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
import pytest

import assembly_sim as sim
from assembly_sim.envelope.resistances import layer_resistance, u_value
from assembly_sim.files.material.read import load
from assembly_sim.model import AirLayer, Assembly, Defect, Layer, OuterSurface
from assembly_sim.physics.surface import air_layer_resistance
from tests.outcomes import built

EXAMPLES = Path(__file__).parents[2] / "examples"
R = 0.17611


@functools.cache
def year_of(name):
    return sim.run(replace(sim.read_case(EXAMPLES / name), years=1))


def plane(result, assembly, name, path=0):
    found = result.assemblies[assembly].paths[path]
    return found, next(i for i, one in enumerate(found.planes) if one.name == name)


def deck_water(result, assembly, path=0):
    return result.assemblies[assembly].paths[path].layer_water[:, 1]


def test_a_vented_channel_keeps_the_deck_dry_that_wets_above_full_batts():
    # Common practice, no source: in the cold, room air that leaks out wets an unvented deck above
    # batts; outdoor air in a channel carries it off, and there are no batts at the deck to be wet.
    result = year_of("vented_channel.toml")
    vented, full = deck_water(result, 0), deck_water(result, 1)
    assert full.max() > 1.5 * vented.max()
    winter = np.isin(result.month, (1, 2, 3))
    assert full[winter].mean() > 1.8 * vented[winter].mean()


def test_a_ceiling_is_coldest_where_the_batts_are_pulled_aside():
    # Common practice, no source (cold patches and ghost marks on ceilings).
    result = year_of("vented_channel.toml")
    for paths in (one.paths for one in result.assemblies):
        lowest = {path.name: path.temperature[:, -1].min() for path in paths}
        assert lowest["pulled aside"] < lowest["main"] - 3.0
        assert lowest["pulled aside"] == min(lowest.values())


def test_a_film_over_a_window_halves_the_loss_and_warms_what_faces_the_room():
    # A pane and its films alone are R 0.17 (ISO 6946); the air behind the film adds as much again.
    result = year_of("window_film.toml")
    bare, covered = result.assemblies
    assert bare.u_value == pytest.approx(1.0 / (0.13 + 0.003 + 0.04))
    assert covered.u_value == pytest.approx(0.5 * bare.u_value, rel=0.1)
    loss = [one.paths[0].heat_flux_room.clip(min=0.0).sum() for one in (bare, covered)]
    assert loss[1] == pytest.approx(0.5 * loss[0], rel=0.1)
    cold = int(bare.paths[0].temperature[:, -1].argmin())
    assert covered.paths[0].temperature[cold, -1] > bare.paths[0].temperature[cold, -1] + 5.0


def test_water_condenses_on_a_bare_pane_and_hardly_behind_a_film():
    # Common practice, no source: a film keeps room air from the pane, which is then colder.
    result = year_of("window_film.toml")
    bare, at = plane(result, 0, "pane | room")
    covered, behind = plane(result, 1, "pane | air between")
    cold = int(bare.temperature[:, at].argmin())
    assert covered.temperature[cold, behind] < bare.temperature[cold, at]
    assert bare.free_water[:, at].max() > 0.2  # it runs off
    assert covered.free_water[:, behind].max() < 0.2 * bare.free_water[:, at].max()
    assert not bare.planes[at].drained  # and so it counts


def test_a_leaky_film_wets_the_pane():
    # Its reason: room air that gets behind it meets a pane that the film has made colder.
    case = sim.read_case(EXAMPLES / "window_film.toml")
    film = case.assemblies[1]
    leaky = replace(film, leak=replace(film.leak, flow=50.0 * film.leak.flow))
    result = sim.run(replace(case, years=1, assemblies=(leaky,)))
    tight, at = plane(year_of("window_film.toml"), 1, "pane | air between")
    found, there = plane(result, 0, "pane | air between")
    assert found.free_water[:, there].max() > 3.0 * tight.free_water[:, at].max()


def printed_space(half, ordinary):
    """A space of the pane's and a film's faces, from those of effective emittance 0.5 and 0.82."""
    effective = 1.0 / (1.0 / 0.84 + 1.0 / 0.9 - 1.0)
    conductances = np.interp(effective, (0.5, 0.82), (1.0 / half, 1.0 / ordinary))
    return 1.0 / conductances


def test_the_air_behind_the_film_against_the_table_of_plane_air_spaces():
    # ASHRAE Fundamentals 2021, ch. 26, table 3, vertical, 40 mm: 0.26, 0.18 at 10 degC and 5.6 K;
    # 0.27 and 0.20 at -18 degC and 11 K, printed to 0.01; conductances are linear in emittance.
    found = air_layer_resistance(0.040, 0.84, 0.9, pi / 2)
    assert found == pytest.approx(printed_space(0.26, 0.18), abs=0.006)
    frost = printed_space(0.27, 0.20)  # ISO 6946, which the solver takes, holds at 10 degC
    assert found == pytest.approx(frost, rel=0.11)
    assert found < frost  # so the loss computed in frost is too high, not too low


GAPS = Defect("edge gaps", 0.025)


@functools.cache
def foamed(*defects):
    """A deck with foam cut to fit between rafters below it, both tight, for a year."""
    layers = (
        built.layer("asphalt shingles, dark", 5),
        built.layer("plywood, exterior grade", 12.7, "deck", airtight=True),
        replace(built.layer("polyiso", 140, "foam"), defects=defects),
        built.layer("gypsum board", 12.5, airtight=True),
    )
    return sim.run(built.case(layers, built.climate("cold_inland"), 0.40, years=1))


def test_foam_cut_to_fit_fails_at_its_edges():
    # Common practice, no source: the deck behind tight foam stays as dry as it was; room air that
    # goes up gaps at the edges finds it cold.
    result = foamed(GAPS)
    main, gaps = result.assemblies[0].paths
    assert gaps.layer_water[:, 1].max() > 3.0 * main.layer_water[:, 1].max()
    assert np.array_equal(main.layer_water, foamed().assemblies[0].paths[0].layer_water)


def test_what_is_said_of_its_leak_is_true():
    results = foamed(), foamed(GAPS)
    (as_drawn,), (with_gaps,) = (sim.summary(result)["assemblies"] for result in results)
    assert "wets nothing here and is not tested" in as_drawn["verdict"]["leak_statement"]
    said = with_gaps["verdict"]["leak_statement"]
    assert "only where the insulation is not as drawn (edge gaps)" in said
    assert "not tested" not in said


FOIL = Layer("bubble foil", load()["bubble foil"], 0.008)
BOARD = Layer("board", load()["osb"], 0.0125)


def wall(*layers):
    return Assembly("wall", 1.0, OuterSurface(pi / 2, 0.0, 0.5, 0.9), layers, None)


def test_bubble_foil_is_about_r_1_where_it_faces_no_air():
    # Common practice, no source: for two layers of bubbles.
    assert layer_resistance(FOIL, "main", pi / 2) / R == pytest.approx(1.05, abs=0.1)
    added = 1.0 / u_value(wall(BOARD, FOIL, BOARD)) - 1.0 / u_value(wall(BOARD, BOARD))
    assert added / R == pytest.approx(1.05, abs=0.1)


def test_its_foil_counts_towards_an_air_space():
    # ASHRAE Fundamentals 2021, ch. 26, table 3: vertical, 20 mm, 10 degC, 5.6 K: 0.61 with a bright
    # face, 0.18 with ordinary ones
    bright = AirLayer("space", 0.020, 0.9, FOIL.material.emittance)
    dull = AirLayer("space", 0.020)
    with_foil = 1.0 / u_value(wall(BOARD, bright, FOIL, BOARD))
    without = 1.0 / u_value(wall(BOARD, FOIL, BOARD))
    assert with_foil - without == pytest.approx(0.61, rel=0.1)
    assert layer_resistance(dull, "main", pi / 2) == pytest.approx(0.18, rel=0.03)
