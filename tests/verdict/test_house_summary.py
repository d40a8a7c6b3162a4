"""What a run of a house is summed up to, against sums, dates and mixing worked out apart."""

import dataclasses
import math
from datetime import datetime, timedelta

import numpy as np
import pytest

from assembly_sim.boundary.network import wind_pressure
from assembly_sim.checks.energy import energy
from assembly_sim.checks.house import hourly, temperatures, ways_out
from assembly_sim.hand.ventilation import effective_ventilation
from assembly_sim.model import Pipe, Zone
from assembly_sim.physics.airflow import air_density
from assembly_sim.report.house import pipe_told
from assembly_sim.verdict.contract import run_summary
from assembly_sim.verdict.house_air import room_air_into
from assembly_sim.verdict.house_summary import neutral_levels, spaces_of
from assembly_sim.verdict.moment import moment_of
from assembly_sim.verdict.summary import typed_summary
from tests import small_house, synthetic

YEAR = 8760


@pytest.fixture(scope="module")
def run():
    return small_house.result()


@pytest.fixture(scope="module")
def spaces(run):
    return spaces_of(run)


def way(spaces, name):
    return next(one for one in spaces.house.ways if one.name == name)


def test_ways_add_up_to_the_house_and_each_is_there_once(run, spaces):
    """Law: sums over the same hours. The roof joins no room, so it is no way out of one."""
    house = spaces.house
    for span, whole in (
        ("heating_season", house.heating_season_kwh),
        ("year", house.year_kwh),
    ):
        heats = [getattr(one, span) for one in house.ways]
        assert sum(heat.total_kwh for heat in heats) == pytest.approx(whole, rel=1e-12)
        assert all(
            heat.total_kwh == pytest.approx(heat.conducted_kwh + heat.carried_kwh) for heat in heats
        )
    assert sum(one.share for one in house.ways) == pytest.approx(1.0)
    names = [one.name for one in house.ways]
    assert sorted(names) == ["Ceiling", "door", "hatch", "ventilation of room"]
    whole = np.sum([one.total for one in ways_out(run)], axis=0)[-YEAR:]
    assert house.year_kwh == pytest.approx(1e-3 * whole[whole > 0.0].sum())
    assert house.peak_w == pytest.approx(whole.max())
    assert house.heating_season_kwh < house.year_kwh


def test_a_part_that_joins_no_room_says_so(run):
    roof, ceiling = typed_summary(run).assemblies
    assert (roof.inside, roof.faces_room) == ("attic", False)
    assert (ceiling.inside, ceiling.outside, ceiling.faces_room) == ("room", "attic", True)


def test_an_air_that_goes_through_one_hole_is_told_of_that_hole(run, spaces):
    """Mean of |m| / 1.2 over the season, kg of the year; a ridge vent has no heat of rooms."""
    hatch = next(one for one in spaces.streams if one.name == "hatch")
    flow = next(one for one in run.streams if one.name == "hatch").flow[-YEAR:]
    assert hatch.year_outward_kg == pytest.approx(3600.0 * flow[flow > 0.0].sum())
    assert hatch.year_inward_kg == pytest.approx(-3600.0 * flow[flow < 0.0].sum())
    assert hatch.heating_season_kwh == pytest.approx(
        way(spaces, "hatch").heating_season.carried_kwh
    )
    ridge = next(one for one in spaces.streams if one.name == "ridge")
    assert ridge.heating_season_kwh is None
    assert 0 < hatch.hours_outward <= hatch.heating_season_hours


def test_seasons_are_those_of_outdoor_air_also_for_a_ceiling_under_an_attic(run):
    """An attic is warmer than outdoors by day; the days of a season hang on weather alone."""
    floor = run.assemblies[1]
    told = energy(run, floor).heating_season_loss.total
    outdoors = run.assemblies[0].drivers  # the roof's
    moved = dataclasses.replace(
        floor.drivers, outdoor_temperature=outdoors.outdoor_temperature + 100.0
    )
    assert energy(run, dataclasses.replace(floor, drivers=moved)).heating_season_loss.total == told
    hours = np.arange(run.hours)
    daily = run.case.climate.temperature.reshape(-1, 24).mean(axis=1)
    season = np.roll(np.repeat(daily < 288.65, 24), -273 * 24)
    loss = floor.paths[0].heat_flux_room + floor.paths[0].carried_heat
    counted = (hours >= 2 * YEAR) & (loss > 0.0) & np.tile(season, 3)
    assert told == pytest.approx(1e-3 * loss[counted].sum(), rel=2e-3)  # hour means of days


def test_extremes_have_their_hour_and_its_date(run):
    """A course with one cold, one hot and one damp hour in the last year, and worse before it."""
    air, damp = np.full(run.hours, 280.0), np.full(run.hours, 0.5)
    air[100] = 200.0  # of the first year: not told
    cold, hot, humid = 2 * YEAR + 2000, 2 * YEAR + 7000, 2 * YEAR + 50
    air[cold : cold + 5], air[hot], damp[humid] = 272.0, 310.0, 0.97
    air[cold + 2] = 260.0
    (zone,) = spaces_of(small_house.with_zone(run, temperature=air, relative_humidity=damp)).zones
    assert (zone.coldest.value, zone.hottest.value, zone.most_humid.value) == (260.0, 310.0, 0.97)
    assert (zone.hours_below_0_degc, zone.longest_below_0_degc) == (5, 5)
    assert (zone.hours_below_minus_6_7_degc, zone.hours_above_95_percent) == (1, 1)
    start = datetime(2001, 10, 1)
    for extreme, hour in ((zone.coldest, cold + 2), (zone.hottest, hot), (zone.most_humid, humid)):
        begins = start + timedelta(hours=hour % YEAR)
        at = extreme.at
        assert (at.hour, at.year, at.month, at.day, at.clock) == (
            hour,
            3,
            begins.month,
            begins.day,
            begins.hour + 1,
        )


def test_fog_is_told_in_kilograms_and_air_is_at_most_saturated(run):
    """Tons of water that air cannot take away stand some per cent past saturation in the run."""
    drowned = small_house.with_zone(run, relative_humidity=np.full(run.hours, 1.02))
    (zone,) = spaces_of(drowned).zones
    assert (zone.most_humid.value, zone.mean_relative_humidity) == (1.0, 1.0)


@pytest.mark.parametrize("month", [1, 3, 10])
def test_a_moment_is_that_of_the_calendar(month):
    """Against the calendar of a common year."""
    result = synthetic.result(hours=2 * YEAR, years=2, start_month=month)
    for hour in (0, 23, 24, 1415, 1416, 5000, 8759, 8760, 12345):
        begins = datetime(2001, month, 1) + timedelta(hours=hour % YEAR)
        found = moment_of(result, hour)
        assert (found.month, found.day, found.clock) == (begins.month, begins.day, begins.hour + 1)
        assert found.year == 1 + hour // YEAR


def test_steady_air_dilutes_as_itself_and_air_that_comes_and_goes_less():
    """Slow changes: one over the mean of 1 / Q (0.015 of 0.01 and 0.03); fast ones: their mean."""
    assert effective_ventilation(np.full(100, 0.02), 5.0) == pytest.approx(0.02, rel=1e-3)
    slow = np.tile(np.repeat([0.01, 0.03], 2000), 4)
    assert effective_ventilation(slow, 20.0) == pytest.approx(0.015, rel=2e-2)
    fast = np.tile([0.01, 0.03], 4000)
    assert effective_ventilation(fast, 20000.0) == pytest.approx(0.02, rel=1e-3)
    calm = np.tile(np.repeat([0.0, 0.04], 200), 10)
    assert effective_ventilation(calm, 200.0) < 0.02
    assert math.isfinite(effective_ventilation(np.zeros(100), 5.0))


def test_room_air_comes_through_other_zones_too_by_its_share(run):
    """Into the porch 2 L/s of the room and 6 of outdoors; a quarter of 4 L/s on to the attic."""
    hours = np.ones(run.hours)
    made = [
        ("a", "room", "porch", 2e-3),
        ("b", "outdoors", "porch", 6e-3),
        ("c", "porch", "attic", 4e-3),
        ("d", "attic", "outdoors", 4e-3),
    ]
    one = run.streams[0]
    streams = tuple(
        dataclasses.replace(one, name=n, inside=i, outside=o, flow=1.2 * f * hours)
        for n, i, o, f in made
    )
    wall = dataclasses.replace(run.case.assemblies[0], name="Porch", inside="porch")
    case = dataclasses.replace(
        run.case,
        zones=(*run.case.zones, Zone("porch", 10.0)),
        assemblies=(*run.case.assemblies, wall),
    )
    odd = dataclasses.replace(run, case=case, streams=streams)
    assert room_air_into(odd, "porch") == pytest.approx(2e-3)
    assert room_air_into(odd, "attic") == pytest.approx(4e-3 * 2.0 / 8.0)


def test_icings_by_the_hours_near_the_design_temperature(run):
    """An attic 0.1 K below 30 degF and above; a warm one melts snow in all frost."""
    limit = 273.15 + (30.0 - 32.0) / 1.8
    for kelvin, met in ((limit - 0.1, True), (limit + 0.1, False)):
        (zone,) = spaces_of(small_house.with_zone(run, temperature=kelvin)).zones
        assert zone.ice_dam.met is met
        assert (zone.ice_dam.melting_hours > 0) is not met
    outdoors = run.assemblies[0].drivers.outdoor_temperature[-YEAR:]
    cold = np.count_nonzero(outdoors <= 273.15 - 10.0 / 1.8)
    assert zone.ice_dam.melting_hours == pytest.approx(cold, rel=0.05)


def test_no_heating_season_leaves_no_share_and_no_neutral_level(run):
    roof = run.assemblies[0]
    hot = dataclasses.replace(
        roof.drivers, outdoor_temperature=roof.drivers.outdoor_temperature + 60.0
    )
    found = spaces_of(
        dataclasses.replace(
            run, assemblies=(dataclasses.replace(roof, drivers=hot), run.assemblies[1])
        )
    )
    assert found.house.heating_season_hours == 0
    assert {one.share for one in found.house.ways} == {None}
    assert found.house.year_kwh > 0.0


def test_the_contract_has_the_house_in_plain_numbers_and_nothing_of_it_otherwise(run):
    told = run_summary(run)
    (attic,) = told["zones"]
    assert attic["ice_dam"]["met"] in (True, False)
    assert {one["name"] for one in told["streams"]} == {one.name for one in run.streams}
    assert told["house"]["ways"][0]["heating_season"]["total_kwh"] > 0.0
    assert [one["faces_room"] for one in told["assemblies"]] == [False, True]
    towards = {one["towards"] for one in told["assemblies"][0]["findings"]}
    assert "attic" in towards
    plain = run_summary(synthetic.result())
    assert (plain["house"], plain["zones"], plain["streams"]) == (None, [], [])


def test_the_neutral_level_is_that_of_the_air_that_the_run_found(run):
    """The door's flow of the run from its height below the level: C A sqrt(2 rho dp), by hand.

    dp = (h - level) g (rho_o - rho_i), less the wind on the door; hourly means, in a day of winter.
    """
    hours = np.zeros(run.hours, dtype=bool)
    hours[-24 * 250 : -24 * 240] = True
    level, known = neutral_levels(run, hours)["room"], temperatures(run)
    door = next(one for one in run.streams if one.name == "door")
    climate = run.case.climate
    wind, pressure = (
        hourly(run.case, course, run.hours)[hours]
        for course in (wind_pressure(door.opening.side, 1.0, climate), climate.pressure)
    )
    inner, outer = (air_density(known[name][hours], pressure) for name in ("room", "outdoors"))
    drop = (1.0 - level) * 9.80665 * (outer - inner) - wind
    source = np.where(drop > 0.0, inner, outer)
    by_hand = np.sign(drop) * 0.6 * 60e-4 * np.sqrt(2.0 * source * np.abs(drop))
    found = door.flow[: run.hours][hours]
    assert np.abs(found).max() > 5e-3
    assert np.median(np.abs(by_hand - found)) < 0.03 * np.abs(found).mean()


def test_a_pipe_that_is_bare_has_the_frost_of_its_air_and_insulation_only_delays(run):
    """5 degC the year round but for a week of frost: counted by hand, delayed by its constant."""
    air = np.full(run.hours, 278.15)
    air[-400:-232] = 268.15  # 168 h
    bare = Pipe("bare", "attic")
    lagged = Pipe("lagged", "attic", 0.0525, 0.0603, 0.05, 0.0432)
    case = dataclasses.replace(run.case, pipes=(bare, lagged))
    frosty = dataclasses.replace(small_house.with_zone(run, temperature=air), case=case)
    one, other = typed_summary(frosty).zones[0].pipes
    assert (one.hours_below_0_degc, one.longest_below_0_degc) == (168, 168)
    assert one.coldest_k == pytest.approx(268.15)
    assert one.time_constant_h is None
    # ASHRAE Fundamentals 2021, ch. 23, table: 50 mm on a DN50, 5.5 to 0 degC at -28 degC: 1.7 h
    assert other.time_constant_h * np.log(33.5 / 28.0) == pytest.approx(1.7, abs=0.15)
    assert other.longest_below_0_degc == pytest.approx(168, abs=1)
    assert (one.fails_h, other.fails_h) == (0.0, 0.0)
    told = " ".join(pipe_told(one, typed_summary(frosty).zones[0]).split())
    assert "below freezing for 168 h, 168 h in a row with the heating on" in told
    mild = small_house.with_zone(dataclasses.replace(run, case=case), temperature=288.15)
    summary = typed_summary(mild).zones[0]
    first, second = summary.pipes
    assert 0.0 < first.fails_h < second.fails_h
    assert f"at freezing after {first.fails_h:.1f} h at the soonest" in pipe_told(first, summary)
    (zone,) = run_summary(mild)["zones"]
    assert [one["name"] for one in zone["pipes"]] == ["bare", "lagged"]
