"""Ready climates kept by the hash of the file they came from, so that a file is parsed once."""

from __future__ import annotations

import hashlib
import io
import json
import logging
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np

from assembly_sim import __version__
from assembly_sim.files.output import whole_file
from assembly_sim.files.plain_file import read_plain
from assembly_sim.model.climate import Climate
from assembly_sim.solver.kernel.cache import is_own, user_cache

log = logging.getLogger(__name__)

LARGEST_ENTRY = 60_000_000  # bytes; a leap year has one million
READER = 2  # raise when a reader or check changes what it makes of the same bytes


def folder() -> Path:
    """The folder for climates in the user's cache folder. RuntimeError where there is no home."""
    return user_cache() / "climates"


def _path(sha256: str) -> Path:
    return folder() / f"{sha256}-{__version__}-{READER}.climate"


def load(sha256: str) -> Climate | None:
    """The climate kept for this content, or None; an entry that is not whole is no entry.

    Whatever is wrong with what is kept, the file itself is there to be read: no error is worth
    telling, so none is let out.
    """
    try:
        if not is_own(folder()):
            return None
        digest, _, kept = read_plain(_path(sha256), LARGEST_ENTRY, "a kept climate").partition(
            b"\n"
        )
        if hashlib.sha256(kept).hexdigest().encode() != digest:
            return None
        with np.load(io.BytesIO(kept), allow_pickle=False) as archive:
            return _from_arrays({name: archive[name] for name in archive.files}, sha256)
    except Exception:
        log.debug("kept climate %s does not read", sha256, exc_info=True)
        return None


def store(climate: Climate) -> None:
    """Keep a climate behind the hash of what is kept; where nothing can be written, do not."""
    try:
        folder().parent.mkdir(parents=True, exist_ok=True)
        folder().mkdir(mode=0o700, exist_ok=True)
        if not is_own(folder()):
            return
        content = io.BytesIO()
        np.savez(content, **_to_arrays(climate))
        kept = content.getvalue()
        with whole_file(_path(climate.source_sha256)) as part:
            part.write_bytes(hashlib.sha256(kept).hexdigest().encode() + b"\n" + kept)
    except (OSError, RuntimeError):
        return


def _to_arrays(climate: Climate) -> dict[str, Any]:
    """Arrays under their names, flags as `flag_...`, all else as JSON under `rest`."""
    arrays: dict[str, Any] = {f"flag_{name}": flag for name, flag in climate.flags.items()}
    rest = {}
    for entry in fields(climate):
        value = getattr(climate, entry.name)
        if isinstance(value, np.ndarray):
            arrays[entry.name] = value
        elif entry.name != "flags":
            rest[entry.name] = value
    return {**arrays, "rest": np.array(json.dumps(rest))}


def _from_arrays(arrays: dict[str, Any], sha256: str) -> Climate | None:
    rest = json.loads(str(arrays.pop("rest")))
    rest["notes"] = tuple(rest["notes"])
    flags = {name[5:]: arrays.pop(name) for name in list(arrays) if name.startswith("flag_")}
    climate = Climate(**arrays, **rest, flags=flags)
    return climate if climate.source_sha256 == sha256 else None
