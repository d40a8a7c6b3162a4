"""A ready climate is kept by the hash of its file: never served for another content."""

import hashlib
import io
import os
import time
import zipfile

import numpy as np
import pytest
from weather_texts import canonical

from assembly_sim.files.climate import kept as climate_cache
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.solver.kernel.cache import is_own


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def test_second_reading_comes_from_the_cache_and_is_the_same(tmp_path, monkeypatch):
    path = find_climate("greensboro")
    first = read_climate(path)
    monkeypatch.setattr("assembly_sim.files.climate.read.read_bytes", None)  # may not be called
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


def half(entry):
    return entry[: len(entry) // 2]


def one_bit(place):
    """The entry with one bit turned over, at a share of its length."""

    def turned(entry):
        at = int(place * (len(entry) - 1))
        return entry[:at] + bytes([entry[at] ^ 4]) + entry[at + 1 :]

    return turned


def forged(entry):
    """Sound by its hash, no climate in it."""
    content = io.BytesIO()
    np.savez(content, rest=np.array("[]"))
    return hashlib.sha256(content.getvalue()).hexdigest().encode() + b"\n" + content.getvalue()


def endless(entry):
    """Sound by its hash, an array in it that claims more than any memory holds."""
    head = b"{'descr': '<f8', 'fortran_order': False, 'shape': (900000000000000,), }"
    array = b"\x93NUMPY\x01\x00" + len(head).to_bytes(2, "little") + head + bytes(80)
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w") as archive:
        archive.writestr("rest.npy", array)
    return hashlib.sha256(content.getvalue()).hexdigest().encode() + b"\n" + content.getvalue()


DAMAGES = {
    "empty": lambda entry: b"",
    "no archive": lambda entry: b"not an archive",
    "cut zip": lambda entry: b"PK\x03\x04 cut",
    "zeros": lambda entry: bytes(len(entry)),
    "half": half,
    "longer": lambda entry: entry + b"x",
    "too large": lambda entry: bytes(climate_cache.LARGEST_ENTRY),
    **{f"bit at {place}": one_bit(place) for place in (0.0, 0.01, 0.3, 0.6, 0.95, 1.0)},
    "forged": forged,
    "endless": endless,
}


@pytest.mark.parametrize("name", DAMAGES)
def test_damaged_entry_is_no_entry_and_is_made_anew(name):
    path = find_climate("cold_inland")
    first = read_climate(path)
    (entry,) = climate_cache.folder().iterdir()
    sound = entry.read_bytes()
    entry.write_bytes(DAMAGES[name](sound))
    assert climate_cache.load(first.source_sha256) is None
    np.testing.assert_array_equal(read_climate(path).temperature, first.temperature)
    assert climate_cache.load(first.source_sha256) is not None


@pytest.mark.parametrize("kind", ["folder", "pipe"])
def test_entry_that_is_no_file_does_not_stop_a_reading(kind):
    path = find_climate("cold_inland")
    read_climate(path)
    (entry,) = climate_cache.folder().iterdir()
    entry.unlink()
    entry.mkdir() if kind == "folder" else os.mkfifo(entry)
    assert read_climate(path).hours == 8760


def test_nothing_is_taken_from_a_folder_that_others_may_write_to():
    path = find_climate("cold_inland")
    sha256 = read_climate(path).source_sha256
    assert climate_cache.folder().stat().st_mode & 0o777 == 0o700
    for mode, ours in ((0o777, False), (0o770, False), (0o755, True), (0o700, True)):
        climate_cache.folder().chmod(mode)
        assert (climate_cache.load(sha256) is not None) == ours
        assert read_climate(path).hours == 8760


def test_folder_of_another_account_is_not_ours(tmp_path, monkeypatch):
    tmp_path.chmod(0o700)
    assert is_own(tmp_path)
    monkeypatch.setattr(os, "geteuid", lambda: tmp_path.stat().st_uid + 1)
    assert not is_own(tmp_path)


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

    start = time.process_time()
    read_climate(find_climate("greensboro"))
    assert time.process_time() - start < 0.4
