"""A comparison as the plain object of `--json` (SI), and as rows for `--csv`."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Any

from assembly_sim import __version__
from assembly_sim.changes import plain as in_words
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.report.compare.amounts import currency
from assembly_sim.report.compare.house_tables import grouped, hole_across, only_seal
from assembly_sim.report.compare.sentences import first_words, merits, moisture, ranked_by
from assembly_sim.report.compare.work import opening_work
from assembly_sim.studies.compare import Compared, OptionFound
from assembly_sim.studies.moisture_change import MoistureChange, Moved
from assembly_sim.studies.option_year import HouseYear, PartYear, Peak
from assembly_sim.studies.ranking import Savings
from assembly_sim.units import in_unit
from assembly_sim.verdict.contract import SCHEMA, assembly_json, number, plain
from assembly_sim.verdict.rules import LEVELS
from assembly_sim.words.figures import say

A_KWH = 3.6e6


def compare_json(found: Compared) -> dict[str, Any]:
    """All of a comparison: numbers in SI and kWh, sentences, None for what is not there."""
    asked = found.asked
    money = currency(asked)
    return {
        "schema": SCHEMA,
        "version": __version__,
        "name": asked.case.name,
        "climate": {"name": asked.case.climate.name, "hours": asked.case.climate.hours},
        "answer": list(first_words(found)),
        "as_found": asked.as_found,
        "ranked_by": ranked_by(found),
        "ranking": [
            {
                "option": found.options[at].option.name,
                "text": merits(found.options[at], found, "si"),
            }
            for at in found.ranked
        ],
        "runs": found.runs,
        "currency": {"before": money.before, "after": money.after},
        "fuel": plain(asked.fuel),
        "cooling": plain(asked.cooling),
        "lifetime_years": asked.lifetime,
        "discount_a_year": asked.discount,
        "bills": bills_json(found),
        "options": [option_json(one, found, n) for n, one in enumerate(found.options)],
        "cautions": list(dict.fromkeys(say(c) for one in found.options for c in one.cautions)),
    }


def bills_json(found: Compared) -> dict[str, Any] | None:
    """What the bills say and how the house as found stands to them; kWh of gross heat."""
    if found.fit is None or found.bills is None:
        return None
    fit, held = found.fit, found.bills
    return {
        "base_kwh_a_day": fit.base / A_KWH,
        "slope_kwh_a_kelvin_day": fit.slope / A_KWH,
        "standard_errors_kwh": [error / A_KWH for error in fit.errors],
        "balance_temperature_k": fit.balance_temperature,
        "balance_range_k": list(fit.balance_range),
        "scatter": number(fit.scatter),
        "base_held_at_zero": fit.base_held,
        "heating_part_kwh": held.billed / A_KWH,
        "computed_kwh": held.computed / A_KWH,
        "miss": number(held.miss),
        "misses": held.misses,
        "typical_weather": found.typical_bills,
    }


def option_json(one: OptionFound, found: Compared, at: int) -> dict[str, Any]:
    """One option: energies in kWh, powers in W."""
    year, saved = one.year, one.saved
    alone, sealed = found.alone[at], only_seal(one, found)
    payback = None if saved is None else saved.payback
    return {
        "name": one.option.name,
        "builds_on": one.option.builds_on,
        "seals_alone": None if sealed is None else sealed.opening,
        "changes": [in_words(change.words) for change in one.option.changes],
        "changed": list(one.changed),
        "converged": one.converged,
        "inputs_sha256": one.inputs_sha256,
        "heating_season_kwh": None if year is None else year.heating / A_KWH,
        "cooling_season_kwh": None if year is None else year.cooling / A_KWH,
        "peak_loss": None if year is None else peak_json(year.peak_loss),
        "peak_gain": None if year is None else peak_json(year.peak_gain),
        "parts_miss_whole_by": None if year is None else year.misses,
        "parts": [] if year is None else [part_json(part) for part in year.parts],
        "beyond_zones": [] if year is None else [part_json(part) for part in year.beyond],
        "boundaries": None if year is None else boundaries_json(year),
        "summer": None if year is None else summer_json(year),
        "saving_kwh": None if saved is None else saved.heating / A_KWH,
        "cost": None if saved is None or saved.cost is None else plain(saved.cost),
        "payback_years": None if payback is None else payback.middle,
        "saved": savings_json(saved),
        "step": savings_json(one.step),
        "alone": None if alone is None else found.options[alone].option.name,
        "verdict": level(one.rank) if one.moisture else None,
        "moisture": [moisture_json(each, one) for each in one.moisture],
        "band": None if one.band is None else band_json(one),
        "first_cautions": [say(text) for text in one.first_cautions],
        "assemblies": [assembly_json(each) for each in one.summaries],
    }


def level(rank: int) -> str | None:
    """A level by its rank, None where there is no verdict."""
    return LEVELS[rank] if rank < len(LEVELS) else None


def peak_json(peak: Peak) -> dict[str, Any]:
    """The hardest hour."""
    return {"power_w": peak.power, "month": peak.month, "hour_begins": peak.clock}


def boundaries_json(year: HouseYear) -> dict[str, Any]:
    """Heat of the heating season by the boundary that it leaves by, of rooms and of the house."""
    inner, outer = grouped(year)
    return {
        "out_of_rooms_kwh": {name: value / A_KWH for name, value in inner.items()},
        "out_of_house_kwh": {name: value / A_KWH for name, value in outer.items()},
    }


def summer_json(year: HouseYear) -> dict[str, Any] | None:
    """What roofs let in, their hardest hour, and the hottest of each zone."""
    summer = year.summer
    if summer is None:
        return None
    return {
        "roof_gain_kwh": summer.roof_gain / A_KWH,
        "roof_peak": None if summer.roof_peak is None else peak_json(summer.roof_peak),
        "hottest_of_zones": {
            name: {"temperature_k": hot.power, "month": hot.month, "hour_begins": hot.clock}
            for name, hot in summer.zones
        },
    }


def part_json(part: PartYear) -> dict[str, Any]:
    """A part in kWh and W."""
    return {
        "name": part.name,
        "kind": part.kind,
        "beyond": part.beyond or OUTDOORS,
        "equal_hole_m": hole_across(part),
        "work": opening_work(part) if part.kind == "opening" else None,
        "leaves_by": part.leaves,
        "area_m2": part.area,
        "resistance_m2k_w": part.resistance,
        "heating_conducted_kwh": part.heating.conducted / A_KWH,
        "heating_carried_kwh": part.heating.carried / A_KWH,
        "cooling_conducted_kwh": part.cooling.conducted / A_KWH,
        "cooling_carried_kwh": part.cooling.carried / A_KWH,
        "at_peak_loss_w": part.peak_loss.total,
        "at_peak_gain_w": part.peak_gain.total,
    }


def savings_json(saved: Savings | None) -> dict[str, Any] | None:
    """What is saved, in kWh and money; a saved unit is a kWh of delivered heat."""
    if saved is None:
        return None
    unit = saved.saved_unit
    return {
        "heating_kwh": saved.heating / A_KWH,
        "cooling_kwh": saved.cooling / A_KWH,
        "share": saved.share,
        "heating_span_kwh": [one / A_KWH for one in saved.span],
        "fuel": saved.fuel,
        "money": saved.money,
        "money_span": plain(saved.money_span),
        "co2_kg": saved.co2,
        "cost": None if saved.cost is None else [saved.cost.low, saved.cost.high],
        "payback_years": plain(saved.payback),
        "saved_kwh_costs": None if unit is None else [one * A_KWH for one in unit],
        "beyond_bills": saved.beyond_bills,
        "saves": saved.saves,
    }


def moisture_json(one: MoistureChange, option: OptionFound) -> dict[str, Any]:
    """A part's level and what moved furthest against the house as found."""
    return {
        "part": one.part,
        "level": level(one.rank),
        "as_found": None if one.before is None else level(one.before),
        "wetter": moved_json(one.wetter),
        "drier": moved_json(one.drier),
        "text": moisture(one, option),
    }


def moved_json(moved: Moved | None) -> dict[str, Any] | None:
    """One judged value in both houses."""
    if moved is None:
        return None
    finding = moved.planned.finding
    before = None if moved.before is None else moved.before.finding.value
    return {
        "check": finding.check,
        "place": finding.place,
        "path": finding.path,
        "value": number(finding.value),
        "as_found": number(before),
        "limit": number(finding.limit),
        "unit": finding.unit,
        "share_of_limit": number(moved.by),
    }


def band_json(one: OptionFound) -> dict[str, Any]:
    """Savings and levels under other leaks and humidity."""
    assert one.band is not None
    return {
        "savings_kwh": {change: value / A_KWH for change, value in one.band.savings},
        "levels": {change: level(rank) for change, rank in one.band.ranks},
    }


def compare_csv(found: Compared, system: str = "si") -> str:
    """One row for each part of each option, and one for the whole, `all`."""
    rows = [row for one in found.options for row in _rows(one, system)]
    file = io.StringIO()
    writer = csv.DictWriter(file, list(rows[0]) if rows else [], lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return file.getvalue()


def _rows(one: OptionFound, system: str) -> Iterator[dict[str, Any]]:
    if one.year is None:
        return
    ranks = {each.part: each for each in one.moisture}
    year = one.year
    for part in (*year.parts, None, *year.beyond):
        if part is None:
            yield _whole(one, system) | {"side": "whole"}
            continue
        beyond = part in year.beyond
        known = ranks.get(part.name)
        yield _row(one, part, system) | {
            "moisture": "" if known is None else level(known.rank) or "no verdict",
            **_money_row(None),
            "side": "out of a zone" if beyond else "out of the rooms",
        }


UNITS = {
    "area": ("m2", "ft2"),
    "resistance": ("m2 K/W", "h ft2 degF/Btu"),
    "energy": ("kWh", "MMBtu"),
    "power": ("W", "Btu/h"),
}


def _cell(value: float | None, kind: str, system: str, name: str) -> tuple[str, str]:
    unit = UNITS[kind][("si", "ip").index(system)]
    return f"{name} ({unit})", "" if value is None else f"{in_unit(value, kind, unit):.6g}"


def _row(one: OptionFound, part: PartYear, system: str) -> dict[str, Any]:
    cells = [
        _cell(part.area, "area", system, "area"),
        _cell(part.resistance, "resistance", system, "R"),
        _cell(part.heating.total, "energy", system, "heating"),
        _cell(part.heating.conducted, "energy", system, "heating, conducted"),
        _cell(part.heating.carried, "energy", system, "heating, by air"),
        _cell(part.cooling.total, "energy", system, "cooling"),
        _cell(part.peak_loss.total, "power", system, "at the peak loss"),
        _cell(part.peak_gain.total, "power", system, "at the peak gain"),
    ]
    named = {"option": one.option.name, "part": part.name, "leaves by": part.leaves}
    return named | dict(cells)


def _whole(one: OptionFound, system: str) -> dict[str, Any]:
    year = one.year
    assert year is not None
    streams = [
        sum(getattr(part.heating, stream) for part in year.parts)
        for stream in ("conducted", "carried")
    ]
    cells = [
        _cell(sum(part.area for part in year.parts), "area", system, "area"),
        _cell(None, "resistance", system, "R"),
        _cell(year.heating, "energy", system, "heating"),
        _cell(streams[0], "energy", system, "heating, conducted"),
        _cell(streams[1], "energy", system, "heating, by air"),
        _cell(year.cooling, "energy", system, "cooling"),
        _cell(year.peak_loss.power, "power", system, "at the peak loss"),
        _cell(year.peak_gain.power, "power", system, "at the peak gain"),
    ]
    named = {"option": one.option.name, "part": "all", "leaves by": ""}
    return (
        named | dict(cells) | {"moisture": level(one.rank) or "no verdict"} | _money_row(one.saved)
    )


def _money_row(saved: Savings | None) -> dict[str, Any]:
    """Money in the file's own currency; empty for parts and for the house as found."""
    payback = None if saved is None else saved.payback
    cost = None if saved is None else saved.cost
    known = {
        "saved share": None if saved is None else saved.share,
        "money saved": None if saved is None else saved.money,
        "CO2 saved (kg)": None if saved is None else saved.co2,
        "cost, low": None if cost is None else cost.low,
        "cost, high": None if cost is None else cost.high,
        "payback, low (years)": None if payback is None else payback.low,
        "payback (years)": None if payback is None else payback.middle,
        "payback, high (years)": None if payback is None else payback.high,
    }
    return {name: "" if value is None else f"{value:.6g}" for name, value in known.items()}
