"""Columns of a sweep's table: what each is called, its unit and what it says.

A row is a mapping from these names, and from the factors', to a number or a text; a number that
does not exist is NaN, a text that does not is empty. Energies are those of the contract of the
summary, of the last year; of moisture the largest of all years over what may decide a verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from assembly_sim.changes.factors import Choice, Factor
from assembly_sim.errors import InputError, Problem
from assembly_sim.unit_table import KINDS

Row = Mapping[str, float | str]
NAN = math.nan
MOST_TEXT = 1000  # bytes of a cell


@dataclass(frozen=True)
class Column:
    """One column. kind: `number`, `count` (a whole number) or `text`; role: `factor` or ''."""

    name: str
    kind: str
    long_name: str
    units: str = ""
    role: str = ""

    @property
    def empty(self) -> float | str:
        """What stands where there is nothing."""
        return "" if self.kind == "text" else NAN


VARIANT = Column("variant", "count", "number of the variant in its plan, from 0")
STATUSES = {
    "ok": "run to its end and judged",
    "no verdict": "run to its end, and there is no verdict",
    "not converged": "run to its end with a state that did not converge",
    "stopped": "the solver stopped",
    "failed": "it could not be run",
}
OUTCOMES = (
    Column("status", "text", f"how it went: {', '.join(STATUSES)}"),
    Column("reason", "text", "why there is no verdict, or no run"),
    Column("level", "text", "level of the verdict"),
    Column("rank", "number", "rank of the level, 0 dry with margin to 4 keeps getting wetter", "1"),
    Column("settled_rank", "number", "rank of the last year alone", "1"),
    Column("worst_rank", "number", "rank of the wettest assembly that ran with it", "1"),
    Column("worst_assembly", "text", "that assembly, or one without a verdict"),
    Column("decided_by", "text", "the check that decides"),
    Column("place", "text", "the plane or layer at which it decides"),
    Column("path", "text", "the path on which it decides"),
    Column("value", "number", "the value that decides, in the unit of `unit`"),
    Column("limit", "number", "its limit"),
    Column("margin", "number", "its distance from the limit, positive on the good side"),
    Column("unit", "text", "unit of value, limit and margin"),
    Column("nearest_limit", "number", "larger of mould index and wood moisture over limits", "1"),
    Column("nearest_limit_last_year", "number", "the same of the last year alone", "1"),
    Column("mould_index_max", "number", "highest mould index", "1"),
    Column("wood_moisture_max", "number", "highest moisture content of wood", "kg/kg"),
    Column("free_water_max_kg_m2", "number", "most free water at a plane", "kg m-2"),
    Column("condensation_risk_hours", "number", "hours of condensation risk in a year", "h"),
    Column("wet_hours", "number", "hours at a wet plane in a year", "h"),
    Column("annual_heat_loss_total_kwh_m2", "number", "heat out of the room", "kW h m-2"),
    Column("annual_heat_loss_conducted_kwh_m2", "number", "conducted part of it", "kW h m-2"),
    Column("annual_heat_loss_carried_kwh_m2", "number", "part carried by air", "kW h m-2"),
    Column("annual_heat_gain_total_kwh_m2", "number", "heat into the room", "kW h m-2"),
    Column("heating_season_loss_total_kwh_m2", "number", "heat out in heating season", "kW h m-2"),
    Column("cooling_season_gain_total_kwh_m2", "number", "heat in in cooling season", "kW h m-2"),
    Column("peak_loss_total_w_m2", "number", "largest hour of loss", "W m-2"),
    Column("peak_gain_total_w_m2", "number", "largest hour of gain", "W m-2"),
    Column("house_loss_kwh", "number", "heat out of the rooms of a house of zones", "kW h"),
    Column("u_value_w_m2k", "number", "steady U-value", "W m-2 K-1"),
    Column("cost", "number", "cost of its levels, in the money of the plan"),
    Column("years", "number", "years that were computed", "year"),
    Column("heat_balance_error", "number", "relative error of the heat balance", "1"),
    Column("moisture_balance_error", "number", "relative error of the moisture balance", "1"),
    Column("state_defect", "number", "carried state against the recomputed one", "1"),
    Column("seconds", "number", "processor time", "s"),
    Column("marched_seconds", "number", "part of it that the march took", "s"),
    Column("inputs_sha256", "text", "hash of the resolved case"),
    Column("base_sha256", "text", "hash of base case, settings and version"),
    Column("key", "text", "hash of all that the variant depends on"),
)
NOT_RESULTS = ("seconds", "marched_seconds")
"""Columns that two runs of one variant do not share."""


def factor_columns(factors: Iterable[Factor]) -> tuple[Column, ...]:
    """A column for each factor. InputError for a name that another column has, or no file takes."""
    taken = {one.name for one in (VARIANT, *OUTCOMES)}
    columns = []
    for factor in factors:
        if factor.name in taken or "/" in factor.name or not factor.name.isprintable():
            cause = f"a factor cannot be called '{factor.name[:40]}'"
            raise InputError(Problem(cause, "the table has this column, or '/' in it: rename it"))
        if isinstance(factor, Choice) and any(_too_long(one.value) for one in factor.options):
            cause = f"a value of factor '{factor.name[:40]}' has more than {MOST_TEXT} bytes"
            raise InputError(Problem(cause, "give options with short names"))
        kind, said = ("text" if factor.kind == "name" else "number"), f"factor {factor.name}"
        units = KINDS[factor.kind][0] if factor.kind in KINDS else ""
        options = isinstance(factor, Choice) and kind == "text"
        columns.append(Column(factor.name, kind, said, "" if options else units or "1", "factor"))
    return tuple(columns)


def _too_long(value: float | str) -> bool:
    return isinstance(value, str) and len(value.encode("utf-8", "replace")) > MOST_TEXT


def columns_of(factors: Iterable[Factor]) -> tuple[Column, ...]:
    """All columns of a plan's table."""
    return (VARIANT, *factor_columns(factors), *OUTCOMES)
