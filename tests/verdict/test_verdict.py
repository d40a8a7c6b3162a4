"""The verdict's five levels, what decides them, and when there is none."""

import dataclasses
import math

import numpy as np
import pytest

from assembly_sim.model import AirLayer, Thresholds
from assembly_sim.solver.result import Outcome
from assembly_sim.verdict.rules import PAST, THIN
from assembly_sim.verdict.told import SCOPE
from assembly_sim.verdict.verdict import verdict
from tests.checks import made

DRY_ROOM = {"room_vapour_pressure": 100.0}  # Pa: no dew on a surface however cold
END = 3 * made.YEAR
MASS = 500.0 * 0.012  # kg/m2 of the sheathing


def given(result):
    return verdict(result, result.assemblies[0])


def board(moisture):
    """Water of the layers with the sheathing at these moistures (kg/kg), scalar or (hours,)."""
    water = np.tile([0.0, 0.0, 0.5], (END, 1))
    water[:, 0] = MASS * np.asarray(moisture)
    return water


def winters(low, high):
    """Moistures that are high in the first half of each year and low in the other."""
    return np.tile(np.repeat([high, low], made.YEAR // 2), 3)


def test_a_dry_wall_has_margin_and_says_what_comes_nearest():
    found = given(made.run(humidity=0.6, layer_water=board(0.12)))
    assert found.level == "dry with margin"
    assert found.decided_by == "wood moisture"
    assert (found.plane, found.path) == ("sheathing", "main")
    assert found.margin == pytest.approx(0.20 - 0.12)
    assert found.reasons[0].startswith("nearest to a limit: sheathing (main path): wood moisture")
    assert found.scope == SCOPE


@pytest.mark.parametrize(
    ("moisture", "level"),
    [
        (0.17, "dry with margin"),
        (0.19, "dry, thin margin"),
        (winters(0.14, 0.24), "past a limit"),
        (0.24, "past a limit"),  # it is wet, and gets no wetter
    ],
)
def test_levels_by_the_moisture_of_a_board(moisture, level):
    assert given(made.run(humidity=0.7, layer_water=board(moisture))).level == level


def test_a_limit_of_the_case_moves_the_level():
    result = made.run(humidity=0.7, layer_water=board(0.19))
    strict = {"thresholds": Thresholds(wood_moisture=0.185)}
    moved = made.run(humidity=0.7, layer_water=board(0.19), case=strict)
    assert given(result).level == "dry, thin margin"
    assert given(moved).level == "past a limit"


def test_by_how_much_and_for_how_long_is_said():
    wet = given(made.run(humidity=0.7, layer_water=board(winters(0.14, 0.24))))
    assert wet.reasons[0].startswith(
        "sheathing (main path): wood moisture reaches 24.0 % by mass (limit 20 %), in October of "
        "year 1, above the limit for 182 days of that year"
    )
    assert "26 %" not in wet.reasons[0]
    wetter = given(made.run(humidity=0.7, layer_water=board(winters(0.14, 0.52))))
    assert wetter.reasons[0].endswith("for 182 days of that year and above 26 % for 182 days")


def test_first_year_and_settled_year_are_told_apart():
    """The start is over after a year: the level counts it, and what stays stands beside it."""
    start = np.concatenate([winters(0.14, 0.24)[: made.YEAR], np.full(2 * made.YEAR, 0.12)])
    found = given(made.run(humidity=0.6, layer_water=board(start)))
    assert (found.level, found.rank) == ("gets wet, within limits", 2)
    assert found.settled_level == "dry with margin"
    assert found.reasons[0].endswith("; in the last year 12.0 %")
    assert any(
        reason.startswith("the first year, with its starting moisture, is worse than the last")
        for reason in found.reasons
    )
    assert found.unsettled == ()


def test_a_transient_that_is_not_over_says_so():
    drying = np.repeat([0.19, 0.17, 0.15], made.YEAR)
    found = given(made.run(humidity=0.6, layer_water=board(drying)))
    assert found.unsettled == ("water in sheathing (main path) still falls, by 120 g/m2 in year 3",)
    assert any(reason.startswith("not settled when the run ended") for reason in found.reasons)


def test_an_index_that_still_rises_does_not_end_with_the_run():
    """Months of growth each year: 3 lies after the run's end. That is not dry, and says when."""
    celsius, humidity = np.full((END, 4), 5.0), np.full((END, 4), 0.6)
    for year in range(3):
        celsius[year * made.YEAR : year * made.YEAR + 600] = 20.0
        humidity[year * made.YEAR : year * made.YEAR + 600, 1] = 0.94
    keeps = {"thresholds": Thresholds(mould_decline=0.001)}
    found = given(made.run(celsius + 273.15, humidity, layer_water=board(0.1), case=keeps))
    assert (found.level, found.decided_by) == ("gets wet, within limits", "mould index")
    assert 1.0 < found.value < 3.0
    year = int(found.reasons[0].split("reach 3 in year ")[1].split(" if")[0])
    assert 3 < year <= 10


@pytest.mark.parametrize(
    ("first_year", "later", "level"),
    [
        (0.24, 0.15, "gets wet, within limits"),  # dries from its start within half a year
        (0.27, 0.15, "past a limit"),  # moist enough to decay
        (0.24, 0.21, "past a limit"),  # it stays
    ],
)
def test_wood_that_dries_from_its_start_is_told_from_wood_in_service(first_year, later, level):
    start = np.concatenate([winters(later, first_year)[: made.YEAR], np.full(2 * made.YEAR, later)])
    assert given(made.run(humidity=0.6, layer_water=board(start))).level == level


@pytest.mark.parametrize(
    ("moisture", "mould", "rank"),
    [(0.261, 0.6, PAST), (0.14, 1.0, PAST), (0.199, 0.6, THIN), (0.1, 0.6, 0)],
)
def test_harm_never_goes_with_dry(moisture, mould, rank):
    """Moisture >= 26 % in, or an index >= 3 on, what is no cladding, where rain drains too."""
    humidity = np.full((END, 4), 0.6)
    humidity[:, 1] = mould
    for drained in (False, True):
        result = made.run(293.15, humidity, layer_water=board(moisture))
        found, path = made.only(result)
        planes = tuple(dataclasses.replace(plane, drained=drained) for plane in path.planes)
        path = dataclasses.replace(path, planes=planes)
        assert verdict(result, dataclasses.replace(found, paths=(path,))).rank == rank


def test_still_wetting_fails_whatever_its_first_year_shows():
    rising = np.repeat([0.12, 0.14, 0.16], made.YEAR)  # each year below every limit of wood
    found = given(made.run(humidity=0.85, temperature=276.15, layer_water=board(rising)))
    assert found.level == "keeps getting wetter"
    assert found.decided_by == "trend of water"
    assert "rises by 120 g/m2" in found.reasons[0]


def test_mould_is_counted_through_all_years():
    humidity = np.full((END, 4), 0.6)
    humidity[: made.YEAR, 1] = 0.945  # decay begins above 95 %
    water = np.zeros((END, 4))
    found = given(
        made.run(temperature=293.15, humidity=humidity, layer_water=board(0.1), free_water=water)
    )
    assert found.level == "past a limit"
    assert found.settled_level == "past a limit"  # with almost no decline it is there to stay
    assert found.decided_by == "mould index"
    assert found.plane == "sheathing | batt"
    assert found.value == pytest.approx(4.0, abs=0.2)  # near its ceiling at that humidity


@pytest.mark.parametrize(
    ("free", "level"),
    [
        (0.0005, "dry with margin"),
        (0.01, "dry, thin margin"),
        (0.1, "gets wet, within limits"),
        (0.2, "past a limit"),  # enough to run off
    ],
)
def test_levels_by_free_water(free, level):
    water = np.zeros((made.YEAR, 4))
    water[3000:4000, 1] = free
    water = np.tile(water, (3, 1))
    assert given(made.run(layer_water=board(0.1), free_water=water)).level == level


@pytest.mark.parametrize(
    ("free", "hours", "level"),
    [
        (0.01, 4380, "dry with margin"),
        (0.01, 4381, "gets wet, within limits"),  # more of the year than not
        (0.1, 4380, "dry, thin margin"),
        (0.25, 4380, "past a limit"),
    ],
)
def test_between_foam_and_fibre_a_film_counts_once_it_would_run_off(free, hours, level):
    # About 0.2 kg/m2 stay on a face that does not absorb (from memory).
    foam, fibre = (
        dataclasses.replace(material, mould_class="medium resistant", storage=None)
        for material in (made.BOARD, made.synthetic.BATT)
    )
    plane = dataclasses.replace(made.planes(foam)[1], inner_material=fibre)
    water = np.zeros((made.YEAR, 4))
    water[3000:4000, 1] = free
    humidity = np.full((made.YEAR, 4), 0.6)
    humidity[:hours, 1] = 1.0
    result = made.run(
        humidity=np.tile(humidity, (3, 1)),
        temperature=266.15,
        layer_water=board(0.1),
        free_water=np.tile(water, (3, 1)),
        drivers=DRY_ROOM,
    )
    found, path = made.only(result)
    path = dataclasses.replace(path, planes=(path.planes[0], plane, *path.planes[2:]))
    assert verdict(result, dataclasses.replace(found, paths=(path,))).level == level


def wetted(**plane):
    """A run whose second plane is wet and carries water all winter, with that plane changed."""
    humidity = np.full((END, 4), 0.6)
    humidity[:, 1] = 1.0
    water = np.zeros((made.YEAR, 4))
    water[:4000, 1] = 0.15
    result = made.run(
        *(263.15, humidity),
        layer_water=board(0.1),
        free_water=np.tile(water, (3, 1)),
        drivers=DRY_ROOM,
    )
    found, path = made.only(result)
    changed = dataclasses.replace(path.planes[1], **plane)
    path = dataclasses.replace(path, planes=(path.planes[0], changed, *path.planes[2:]))
    return verdict(result, dataclasses.replace(found, paths=(path,)))


def test_counts_of_water_never_decide_where_rain_or_outdoor_air_wets_by_design():
    assert wetted().level == "gets wet, within limits"
    assert wetted(drained=True).level == "dry with margin"
    assert wetted(reach="outdoors").level == "dry with margin"
    assert wetted(index=0).level == "dry with margin"


def test_water_that_never_dries_is_past_a_limit():
    """ISO 13788: a residue after twelve months fails (from memory)."""
    water = np.zeros((END, 4))
    water[:, 1] = 0.05
    found = given(
        made.run(humidity=0.7, temperature=263.15, layer_water=board(0.1), free_water=water)
    )
    assert (found.level, found.decided_by) == ("past a limit", "free water that stays")
    assert "left all year" in found.reasons[0]


def test_cladding_is_there_to_get_wet():
    siding = dataclasses.replace(made.BOARD, kinds=made.BOARD.kinds | {"cladding"})
    outer, _, lining = made.wall(siding).layers
    gap = AirLayer("gap", 0.02)
    before_a_gap = dataclasses.replace(made.wall(), layers=(outer, gap, lining))
    humidity = np.full((END, 4), 0.6)
    humidity[:, :2] = 1.0
    wet = made.run(humidity=humidity, layer_water=board(0.3), assembly=before_a_gap)
    found, path = made.only(wet)
    outer, back, *rest = path.planes
    back = dataclasses.replace(back, inner_material=None)  # a sheet behind it
    path = dataclasses.replace(path, planes=(outer, back, *rest))
    assert verdict(wet, dataclasses.replace(found, paths=(path,))).level == "dry with margin"


def test_dew_on_a_plane_that_outdoor_air_washes_is_weather_and_its_mould_is_not():
    humidity = np.full((END, 4), 0.6)
    humidity[:, 1] = 1.0
    for kelvin, level in ((265.15, "dry with margin"), (293.15, "past a limit")):
        percent = np.where(humidity > 0.9, 0.9 if kelvin < 270 else 0.949, 0.6)
        result = made.run(kelvin, percent, drivers=DRY_ROOM)
        found, path = made.only(result)
        washed = dataclasses.replace(path.planes[1], reach="outdoors")
        path = dataclasses.replace(
            path, planes=(path.planes[0], washed, *path.planes[2:]), layer_water=board(0.1)
        )
        judged = verdict(result, dataclasses.replace(found, paths=(path,)))
        assert judged.level == level
    assert judged.decided_by == "mould index"


def test_the_worst_path_decides():
    result = made.run(humidity=0.6, layer_water=board(0.12))
    found, path = made.only(result)
    wet = dataclasses.replace(path, name="framing", share=0.1, layer_water=board(0.19))
    both = verdict(result, dataclasses.replace(found, paths=(path, wet)))
    assert (both.level, both.path) == ("dry, thin margin", "framing")


def test_frozen_wet_masonry_is_no_dry_wall():
    # A swing below -2 degC and back in every third night of a brick that is saturated.
    humidity = np.full((END, 4), 0.6)
    humidity[:, 1] = 0.9
    humidity[-2000, 1] = 1.0
    celsius = np.full((END, 4), 5.0)
    celsius[-1999, 1] = -4.0
    result = made.run(celsius + 273.15, humidity, assembly=made.wall(made.BRICK))
    found = given(result)
    assert found.decided_by == "freeze-thaw cycles above critical saturation"
    assert found.level == "past a limit"


def withheld(result, words):
    found = given(result)
    assert found.level is None
    assert found.decided_by == ""
    return words in found.reasons[0]


def test_no_verdict_on_a_run_that_stopped_or_did_not_converge():
    result = made.run()
    (found,) = result.assemblies
    loose = dataclasses.replace(found, converged=False)
    assert withheld(dataclasses.replace(result, assemblies=(loose,)), "did not converge")
    stopped = Outcome("stopped", 5, cause="no step", cure="a finer mesh")
    ended = dataclasses.replace(found, outcome=stopped, converged=False)
    assert withheld(dataclasses.replace(result, assemblies=(ended,)), "no step; a finer mesh")


def test_no_verdict_on_two_years_or_on_weather_with_gaps():
    assert withheld(made.run(years=2), "3 years or more; 2 were computed")
    weather = made.synthetic.climate()
    gap = np.where(np.arange(weather.hours) == 100, math.nan, weather.temperature)
    weather = dataclasses.replace(weather, temperature=gap)
    assert withheld(made.run(case={"climate": weather}, drivers={"leak": 0.0}), "has gaps")


def test_a_wall_in_the_rain_needs_weather_with_rain_and_a_roof_or_shelter_does_not():
    dry = dataclasses.replace(made.synthetic.climate(), rain=None)
    assert withheld(made.run(case={"climate": dry}), "exposed to rain")
    roofing = dataclasses.replace(made.BOARD, kinds=frozenset({"roofing"}), liquid=None)
    assert given(made.run(case={"climate": dry}, assembly=made.wall(roofing, tilt=20.0))).level
    assert withheld(made.run(case={"climate": dry}, assembly=made.wall(tilt=20.0)), "rain")
    wall = made.wall()
    sheltered = dataclasses.replace(wall, outer=dataclasses.replace(wall.outer, rain_exposure=0.0))
    assert given(made.run(case={"climate": dry}, assembly=sheltered)).level


def test_the_leak_is_always_named():
    leaky = given(made.run())
    assert leaky.leak_statement.startswith("with an air leak of 0.2 L/(s m2) at 75 Pa")
    tight = given(made.run(assembly=made.wall(leak=None)))
    assert tight.leak_statement.startswith("diffusion only")
    for found in (leaky, tight, given(made.run(years=1))):
        assert found.leak_statement == found.reasons[-1]


def test_no_reason_ever_calls_a_wall_safe():
    for result in (made.run(), made.run(humidity=0.99), made.run(years=1)):
        words = " ".join(given(result).reasons).lower()
        assert "safe" not in words
