"""Folders of sweeps for `hostile.py`: what a stranger, or a failing disk, makes of one."""

from __future__ import annotations

import json
import random
import shutil
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import h5py
import numpy as np

from tests.bench.hostile_inputs import ODD_TEXTS, ODD_VALUES, Attempt, command, damaged

NAMES = ("sweep-1-of-2.h5", "sweep-0-of-0.h5", "sweep-2-of-1.h5")
ODD_CELLS: tuple[Any, ...] = (
    *(None, [], {}, "x", "\x1b[2J", 1e300, -5, True, 10**30, [[1]], "A" * 99_999),
)


@cache
def _sweep() -> Path:
    """The folder of a small sweep, run once: a table, and a journal with a row that waits."""
    import atexit
    import tempfile

    from assembly_sim.files.sweep.journal import Journal
    from assembly_sim.studies.sweep.run import sweep
    from tests.studies.sweeps import small_plan

    kept = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, kept, True)
    folder = Path(kept) / "swept"
    rows = list(sweep(small_plan(states=True, counts=(4,)), folder, workers=1))
    journal = Journal(folder / "sweep.journal")
    journal.append(rows[0] | {"key": "another", "variant": 9})
    journal.close()
    return folder


def mutated_sweep(chance: random.Random, folder: Path) -> Attempt:
    """A sweep's folder of a stranger, its files damaged or well made and wrong; asked or merged."""
    place = folder / "swept"
    shutil.copytree(_sweep(), place)
    for _ in range(chance.choice((1, 1, 2))):
        chance.choice(SPOILED)(place, chance)
    way = chance.random()
    if way < 0.6:
        more = chance.choice(((), (), ("--units", "ip"), ("--where", "thickness <= 0.02")))
        return Attempt(command("sweep", "report", "swept", *more), "swept")
    if way < 0.8:
        return Attempt(command("sweep", "merge", "swept", "--incomplete"), "swept")
    return Attempt(_swept_again, "swept", (), 2)


def _swept_again() -> None:
    """The plan run again in the folder, ended as the command line does."""
    from assembly_sim import cli
    from assembly_sim.errors import InputError
    from assembly_sim.studies.sweep.run import sweep
    from tests.studies.sweeps import small_plan

    try:
        list(sweep(small_plan(states=True, counts=(4,)), "swept", workers=1))
    except InputError as error:
        raise SystemExit(cli.complain(str(error), 2)) from None
    except OSError as error:
        raise SystemExit(cli.complain(str(error), 1)) from None


def _bytes_damaged(place: Path, chance: random.Random) -> None:
    """Any of its files, cut, zeroed or changed."""
    names = ("sweep.h5", "sweep.h5", "sweep.h5", "sweep.journal", "plan.json", "states-sweep.h5")
    file = place / chance.choice(names)
    if file.is_file() and (data := file.read_bytes()):
        file.write_bytes(damaged(data, chance))


def _made_odd(place: Path, chance: random.Random) -> None:
    """One of its files made a folder or a device, or put under another name."""
    file = place / chance.choice(("sweep.h5", "sweep.journal", "plan.json"))
    if not file.is_file() or file.is_symlink():
        return
    way = chance.randrange(4)
    if way == 0:
        file.unlink()
        file.mkdir()
    elif way == 1:
        file.unlink()
        file.symlink_to("/dev/zero")
    elif way == 2:
        file.rename(place / chance.choice(NAMES))
    else:
        file.unlink()


def _line_forged(place: Path, chance: random.Random) -> None:
    """A line of the journal whose checksum is right and whose row is none."""
    journal = place / "sweep.journal"
    if not journal.is_file():
        return
    line = journal.read_bytes().split(b"\n")[0]
    try:
        row: Any = json.loads(line[9:])
    except (ValueError, RecursionError):
        return
    if not isinstance(row, dict) or not row:  # forged before
        return
    name = chance.choice(list(row))
    odd = chance.choice(
        (None, [], {}, "x", "\x1b[2J", 1e300, -5, True, 10**30, [[1]], "A" * 99_999)
    )
    row[name] = odd
    row = chance.choice((row, row, row, [row], 5, {}, None, {name: odd}))
    data = json.dumps(row).encode() if chance.random() < 0.9 else b"[" * 100_000
    journal.write_bytes(b"%08x " % zlib.crc32(data) + data + b"\n")


def _plan_forged(place: Path, chance: random.Random) -> None:
    """What the folder says of its plan, with another entry."""
    file = place / "plan.json"
    if not file.is_file() or file.is_symlink():
        return
    try:
        told = json.loads(file.read_bytes())
    except (ValueError, RecursionError):
        return
    if not isinstance(told, dict) or not isinstance(told.get("plan"), dict):  # forged before
        return
    inner = told["plan"] if chance.random() < 0.7 else told
    inner[chance.choice(list(inner))] = chance.choice(
        (None, [], {}, "x", "\x1b[2J", 10**30, "A" * 9999)
    )
    data = json.dumps(told) if chance.random() < 0.9 else "[" * 100_000
    file.write_text(data)


def _table_forged(place: Path, chance: random.Random) -> None:
    """A table in good form whose head or columns are not those of a sweep."""
    try:
        with h5py.File(place / "sweep.h5", "a") as file:
            way = chance.random()
            if way < 0.1:
                name = chance.choice(list(file.attrs))
                file.attrs[name] = _odd_value(chance)
            elif way < 0.5:
                _head_forged(file, chance)
            else:
                chance.choice(COLUMNS)(file, chance.choice(list(file)), chance)
    except (OSError, ValueError, TypeError, LookupError, RuntimeError, OverflowError):
        return  # damaged already, or what no file can hold


def _head_forged(file: h5py.File, chance: random.Random) -> None:
    """What the table says of itself, or of one of its columns, with another entry."""
    told = json.loads(file["texts/about"].asstr()[()])
    inner = chance.choice((told, told["about"], told["about"], *told["columns"][:4]))
    name = chance.choice(list(inner))
    inner[name] = chance.choice((*ODD_CELLS, 10**12, '[["a"]]', "[1]", "[" * 10_000))
    del file["texts/about"]
    data = json.dumps(told).encode()
    kind = h5py.string_dtype("utf-8", len(data))
    file.create_dataset("texts/about", data=data, dtype=kind)


def _odd_value(chance: random.Random) -> Any:
    return chance.choice((*ODD_VALUES, *ODD_TEXTS, np.zeros(5000), 10**12, '[["a"]]', "[1]", "{}"))


def _gone(file: h5py.File, name: str, chance: random.Random) -> None:
    del file[name]


def _other(file: h5py.File, name: str, chance: random.Random) -> None:
    attributes = dict(file[name].attrs)
    del file[name]
    size = chance.choice((0, 1, 4, 5000))
    values = chance.choice(
        (np.zeros(size), np.full(size, np.nan), np.full(size, -1), np.full(size, 2**62))
        + (np.array([b"\xff\xfe"] * size, "S3"), np.zeros((4, 4)), np.float64(3), np.zeros(4, "?"))
        + (
            np.array([b"\x1b[2J"] * 4),
            np.array([1, 1, 1, 1]),
            np.full(4, np.inf),
            np.zeros(4, "c16"),
        )
    )
    data = file.create_dataset(name, data=values)
    data.attrs.update({k: v for k, v in attributes.items() if isinstance(v, str)})


def _role(file: h5py.File, name: str, chance: random.Random) -> None:
    entry = chance.choice(("kind", "role", "units", "long_name"))
    file[name].attrs[entry] = chance.choice((b"text", "number", "count", "factor", 5, "\x1b[2J"))


def _linked(file: h5py.File, name: str, chance: random.Random) -> None:
    del file[name]
    links = (
        h5py.ExternalLink("/etc/hostname", "/x"),
        h5py.SoftLink("/nowhere"),
        h5py.SoftLink("/"),
    )
    file[name] = chance.choice(links)


def _grouped(file: h5py.File, name: str, chance: random.Random) -> None:
    del file[name]
    file.create_group(name).create_dataset("x", data=np.zeros(4))


def _declared(file: h5py.File, name: str, chance: random.Random) -> None:
    del file[name]
    data = file.create_dataset(name, (10**10,), float, chunks=(1000,), compression="gzip")
    data.attrs.update(kind="number", role="")


COLUMNS: tuple[Callable[[h5py.File, str, random.Random], None], ...] = (
    *(_gone, _other, _other, _other, _role, _linked, _grouped, _declared),
)
SPOILED: tuple[Callable[[Path, random.Random], None], ...] = (
    *(_bytes_damaged, _bytes_damaged, _made_odd, _line_forged, _plan_forged),
    *(_table_forged, _table_forged, _table_forged),
)
