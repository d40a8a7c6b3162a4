"""Windows cut out of a year of weather, for tests."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from assembly_sim.model import Climate


def window(climate: Climate, first: int, hours: int, begins: str | None = None) -> Climate:
    """These hours of a year, going round where it ends, as a window that begins at a true hour."""
    take = np.arange(first, first + hours) % climate.hours
    columns = {one.name: getattr(climate, one.name) for one in fields(climate)}
    arrays = {n: values[take] for n, values in columns.items() if isinstance(values, np.ndarray)}
    return replace(climate, **arrays, flags={}, begins=begins or str(climate.hour_starts[first]))


def joined(*climates: Climate) -> Climate:
    """Weather of windows that follow each other, as one that begins where the first does."""
    names = [one.name for one in fields(climates[0])]
    arrays = {
        name: np.concatenate([getattr(each, name) for each in climates])
        for name in names
        if isinstance(getattr(climates[0], name), np.ndarray)
    }
    return replace(climates[0], **arrays)
