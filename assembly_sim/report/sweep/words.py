"""Names, units and numbers of a sweep's columns, as a reader wants them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.studies.sweep.table import Sweep
from assembly_sim.units import KINDS, convert, show

SHORT = {
    "annual_heat_loss_total_kwh_m2": "heat loss, kWh/m2 a year",
    "annual_heat_gain_total_kwh_m2": "heat gain, kWh/m2 a year",
    "nearest_limit": "moisture over its limit",
    "nearest_limit_last_year": "moisture over its limit, last year",
    "mould_index_max": "mould index",
    "wood_moisture_max": "wood moisture, kg/kg",
    "free_water_max_kg_m2": "free water, kg/m2",
    "cost": "cost",
}
LONGEST = 40


def short(name: str) -> str:
    """A column's name as a figure or a table has room for it."""
    name = SHORT.get(name, name)
    return name if len(name) <= LONGEST else f"{name[: LONGEST - 3]}..."


def axis(sweep: Sweep, name: str) -> str:
    """A column's name with its unit."""
    if name in SHORT:
        return SHORT[name]
    units = sweep.columns[name].units
    return f"{short(name)}, {units}" if units not in ("", "1") else short(name)


def factor_values(
    sweep: Sweep, name: str, values: NDArray[Any], system: str
) -> tuple[NDArray[Any], str]:
    """Values of a factor in the reader's units, and its name with the unit."""
    kind = sweep.kinds.get(name, "name")
    if kind not in KINDS or values.dtype.kind in "OU":
        return values, short(name)
    shown = np.array([convert(float(one), kind, system)[0] for one in values])
    return shown, f"{short(name)}, {convert(float(values[0]), kind, system)[1]}"


def told(kind: str, value: Any, system: str) -> str:
    """One value of a factor as text."""
    if isinstance(value, str):
        return value
    return show(float(value), kind, system) if kind in KINDS else f"{float(value):.4g}"


def number(value: float) -> str:
    """A number of a result as text."""
    return "-" if not math.isfinite(value) else f"{value:.4g}"


def span(seconds: float) -> str:
    """A time as text: `40 s`, `12 min`, `3.5 h`."""
    if not math.isfinite(seconds):
        return "unknown"
    if seconds < 90.0:
        return f"{seconds:.0f} s"
    return f"{seconds / 60.0:.0f} min" if seconds < 5400.0 else f"{seconds / 3600.0:.1f} h"
