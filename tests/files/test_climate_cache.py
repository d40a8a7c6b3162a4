"""A ready climate is kept by the hash of its file: never served for another content."""

import os
import time

import numpy as np
import pytest
from weather_texts import canonical

from assembly_sim.files import climate_cache
from assembly_sim.files.climates import find_climate, read_climate


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def test_second_reading_comes_from_the_cache_and_is_the_same(tmp_path, monkeypatch):
    path = find_climate("greensboro")
    first = read_climate(path)
    monkeypatch.setattr("assembly_sim.files.climates.read_bytes", None)  # may not be called
    second = read_climate(path)
    np.testing.assert_array_equal(first.temperature, second.temperature)
    assert second.sky_longwave is None
    assert (second.name, second.notes, second.year) == (first.name, first.notes, first.year)
    assert set(second.flags) == set(first.flags)


def test_altered_file_is_read_anew(tmp_path):
    path = tmp_path / "year.csv"
    path.write_text(canonical())
    before = read_climate(path)
    stamp = path.stat().st_mtime_ns
    path.write_text(canonical().replace("# elevation: 273", "# elevation: 274"))
    os.utime(path, ns=(stamp, stamp))
    after = read_climate(path)
    assert (before.elevation, after.elevation) == (273.0, 274.0)
    assert before.source_sha256 != after.source_sha256


@pytest.mark.parametrize("damage", [b"", b"not an archive", b"PK\x03\x04 cut"])
def test_damaged_entry_is_no_entry(damage):
    path = find_climate("greensboro")
    first = read_climate(path)
    for entry in climate_cache.folder().iterdir():
        entry.write_bytes(damage)
    np.testing.assert_array_equal(read_climate(path).temperature, first.temperature)


def test_entry_of_another_file_is_not_served():
    path = find_climate("greensboro")
    first = read_climate(path)
    entry = next(climate_cache.folder().iterdir())
    other = "0" * 64
    entry.rename(entry.with_name(entry.name.replace(first.source_sha256, other)))
    assert climate_cache.load(other) is None


def test_no_cache_where_nothing_can_be_written(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert read_climate(find_climate("greensboro")).hours == 8760


def test_reading_a_typical_year_takes_a_fraction_of_a_second():
    """Bound 0.4 s with one orientation prepared; a third of it is the reader's, thrice allowed."""
    import pandas  # noqa: F401  (the import is not part of the bound)

    start = time.perf_counter()
    read_climate(find_climate("greensboro"))
    assert time.perf_counter() - start < 0.4
