"""Columns that no weather has: each refused or noted by the bound that `climate_doubt` states.

Damage is done to real years, which pass all of it. Bounds are common practice where no source is
named beside them.
"""

import numpy as np
import pytest
from weather_texts import canonical, greensboro, read, refusal

from assembly_sim.files.climate.check import LIMITS
from assembly_sim.files.climate.csv import canonical_text
from assembly_sim.files.climate.doubt import rain_doubt
from assembly_sim.files.climate.gaps import expected_pressure
from assembly_sim.files.climate.read import read_bytes
from assembly_sim.files.climate.rows import Reading
from assembly_sim.files.climate.years import tenth_percentile_year
from assembly_sim.solver.kernel.grids import COLDEST, TEMPERATURE_NODES, TEMPERATURE_STEP

TITLES = {
    "temperature": "temperature degC",
    "dew": "dew point degC",
    "pressure": "pressure Pa",
    "wind": "wind speed m/s",
    "direction": "wind direction degree",
    "sun": "global horizontal W/m2",
    "rain": "rain mm",
}
SOUND = ("cold_inland", "wet_mild_coast", "hot_humid", "greensboro", "sand point")


def with_column(name, change, text=None):
    """The real year with one column changed: an array in, an array or texts out."""
    head, rows = (text or canonical()).split("month,", 1)
    titles, *lines = ("month," + rows).rstrip().split("\n")
    place = titles.split(",").index(TITLES[name])
    cells = [line.split(",") for line in lines]
    changed = change(np.array([float(row[place]) for row in cells]))
    for row, value in zip(cells, changed, strict=True):
        row[place] = value if isinstance(value, str) else f"{value:.2f}"
    return head + "\n".join([titles, *map(",".join, cells)])


def held(first, hours):
    """Values that stay as they are at `first` for some hours."""

    def change(values):
        return np.where(
            (np.arange(8760) >= first) & (np.arange(8760) < first + hours), values[first], values
        )

    return change


def raised(first, hours, by):
    return lambda v: v + by * ((np.arange(8760) >= first) & (np.arange(8760) < first + hours))


def both_raised(first, hours, by):
    """Temperature and dew point together, so that only the step itself is odd."""
    return with_column(
        "dew", raised(first, hours, by), with_column("temperature", raised(first, hours, by))
    )


REFUSED = {
    "stuck for days": (
        lambda: with_column("temperature", held(4000, 80)),
        "stays at",
    ),
    "spike of 45 degC": (
        lambda: with_column("temperature", raised(200, 1, 45.0 - 4.0)),
        "is a spike",
    ),
    "spike of three hours": (lambda: both_raised(200, 3, 22.0), "is a spike"),
    "spike downward": (lambda: both_raised(4000, 1, -25.0), "is a spike"),
    "kilometres an hour": (lambda: with_column("wind", lambda v: 19.0 / v.mean() * v), "km/h"),
    "sea level in the mountains": (
        lambda: canonical().replace("# elevation: 273", "# elevation: 1600"),
        "it is that of sea level",
    ),
    "pressure of a mountain": (lambda: with_column("pressure", lambda v: 0.85 * v), "does not fit"),
    "kelvin": (lambda: with_column("temperature", lambda v: v + 273.15), "in K?"),
    "fahrenheit": (lambda: with_column("temperature", lambda v: 32.0 + 1.8 * v), "in degF?"),
    "hectopascal": (lambda: with_column("pressure", lambda v: v / 100.0), "in hPa?"),
    "kilojoule": (lambda: with_column("sun", lambda v: 3.6 * v), "in kJ/m2?"),
    "colder than the solver": (
        lambda: with_column("temperature", lambda v: np.where(np.arange(8760) == 9, -90.0, v)),
        "outside -89 to 60",
    ),
    "humidity as a share": (
        lambda: with_column("dew", lambda v: np.full(8760, 0.5)).replace(
            "dew point degC", "relative humidity %"
        ),
        "not 0 to 1",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_no_weather_is_is_refused(name):
    make, words = REFUSED[name]
    assert words in str(refusal(make()))


def test_stuck_and_spike_name_their_line():
    first = canonical()[: canonical().index("\n1,1,1,")].count("\n") + 2
    assert refusal(REFUSED["stuck for days"][0]()).problems[0].line == first + 4000
    assert refusal(REFUSED["spike of 45 degC"][0]()).problems[0].line == first + 200


NOTED = {
    "stuck for two days": (lambda: with_column("temperature", held(4000, 40)), "for 40 hours"),
    "stuck dew point": (
        lambda: with_column("dew", lambda v: np.r_[v[:4000], np.full(90, -5.0), v[4090:]]),
        "dew point stays at -5 for 90 hours",
    ),
    "stuck wind": (lambda: with_column("wind", held(4003, 60)), "wind speed stays at"),
    "calm for a week": (
        lambda: with_column("wind", lambda v: np.where(np.arange(8760) < 200, 0.0, v)),
        "wind speed stays at 0 for",
    ),
    "a day copied": (
        lambda: with_column("temperature", lambda v: np.r_[v[:24], v[:24], v[48:]]),
        "are copies of the day before",
    ),
    "a wide step": (lambda: both_raised(4000, 4000, 14.0), "more than 12 K within an hour"),
    "wind of a cape": (lambda: with_column("wind", lambda v: 3.2 * v), "no ordinary place"),
    "pressure a little off": (
        lambda: canonical().replace("# elevation: 273", "# elevation: 800"),
        "does not fit an elevation",
    ),
    "rain in every hour": (
        lambda: with_column("rain", lambda v: np.full(8760, 0.1)),
        "rain is not usable: it is spread",
    ),
    "rain of days dealt out": (
        lambda: with_column("rain", lambda v: np.repeat(v.reshape(365, 24).sum(axis=1) / 24, 24)),
        "rain is not usable: sums",
    ),
}


@pytest.mark.parametrize("name", NOTED)
def test_what_may_be_true_is_noted(name):
    make, words = NOTED[name]
    climate = read_bytes(make().encode(), "")
    assert any(words in note for note in climate.notes)
    assert (climate.rain is None) == name.startswith("rain")


@pytest.mark.parametrize("name", SOUND)
def test_sound_years_are_in_no_doubt(name):
    words = [words for _, words in [*NOTED.values(), *REFUSED.values()] if words]
    assert not any(word in note for note in read(name).notes for word in words)


def test_foehn_and_cold_fronts_pass():
    """22 K up and, hours later, down again: so come the largest swings on record."""
    climate = read_bytes(both_raised(4000, 8, 22.0).encode(), "")
    assert any("within an hour 2 times" in note for note in climate.notes)


@pytest.mark.parametrize(
    ("elevation", "pressure"),
    [(0.0, 101325.0), (500.0, 95461.0), (1000.0, 89875.0), (2000.0, 79495.0), (3000.0, 70109.0)],
)
def test_expected_pressure_is_that_of_the_standard_atmosphere(elevation, pressure):
    """ISO 2533 table (from memory), with the standard's own temperature at that height."""
    reading = reading_at(elevation, 15.0 - 0.0065 * elevation)
    assert expected_pressure(reading) == pytest.approx(pressure, rel=1e-3)


def reading_at(elevation, temperature):
    columns = {"temperature": np.full(8760, temperature)}
    return Reading("", "", "", 0.0, 0.0, 0.0, elevation, 2001, columns, np.arange(8760))


def test_rain_of_real_and_invented_years_is_not_even():
    for name in SOUND[:4]:
        assert rain_doubt(read(name).rain) == ""
    assert rain_doubt(np.zeros(8760)) == ""


def test_doubtful_weather_is_told_by_the_file_not_by_the_climate_made_of_it():
    """What is written by us and read again meets the same bounds: a cold or wet year passes."""
    for kind in ("cold", "wet"):
        year = tenth_percentile_year(greensboro(), kind)
        assert read_bytes(canonical_text(year).encode(), "").hours == 8760


def test_temperature_at_the_edge_of_the_solver_is_read_and_below_it_is_not():
    """-89 degC is where the solver's tables begin, with a degree to spare."""
    low, high, _ = LIMITS["temperature"]
    assert low + 273.15 > COLDEST
    assert high + 273.15 < COLDEST + TEMPERATURE_STEP * (TEMPERATURE_NODES - 1)


def test_several_faults_are_told_at_once():
    text = with_column("wind", lambda v: 5.0 * v, with_column("temperature", held(4000, 80)))
    assert {p.field for p in refusal(text).problems} == {"temperature", "wind speed"}
