"""Reading a comparison: a case file with options, fuel, cooling and bills."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from assembly_sim.changes import applied
from assembly_sim.changes.comparison import SHARED, Comparison, Option
from assembly_sim.errors import InputError, Problem
from assembly_sim.files.case.changes import from_table
from assembly_sim.files.case.options import OWN, CoolingText, FuelText, OptionText
from assembly_sim.files.case.read import CaseRead, read_whole
from assembly_sim.files.case.text import CaseText
from assembly_sim.files.climate.read import find_climate, read_climate
from assembly_sim.files.words import nearest
from assembly_sim.hand.fuels import PRESETS
from assembly_sim.model import Case, Climate
from assembly_sim.model.fuel import DISCOUNT, LIFETIME, Bill, Currency, Fuel, gap_before
from assembly_sim.units import spellings

HALF_TO_TWICE = 2.0  # a heat content further than this from its preset is a slip of the unit


def read_comparison(
    path: Path | str, climate: str | None = None, materials: Path | None = None
) -> Comparison:
    """The comparison in a case file. InputError with file, line, cause and cure for what is wrong.

    climate: in place of the case's own; materials: a further table of materials.
    """
    read = read_whole(path, climate, materials)
    text = read.checked
    if len(text.option) < 2:
        cause = f"there are {len(text.option)} options to compare"
        cure = "write [[option]] for the house as found, and one for each measure"
        raise InputError(Problem(cause, cure, read.source.file))
    fuel = fuel_of(read)
    cooling = None if text.cooling is None else _cooling(text.cooling, read.source)
    options = _options(read)
    _same_money(read, fuel, cooling, options)
    return Comparison(
        case=read.case,
        options=options,
        as_found=_as_found(read),
        fuel=fuel,
        cooling=cooling,
        bills=_bills(read, fuel),
        bill_climate=_bill_climate(read),
        lifetime=LIFETIME if text.payback.years is None else text.payback.years,
        discount=DISCOUNT if text.payback.interest is None else text.payback.interest,
    )


def fuel_of(read: CaseRead) -> Fuel | None:
    """What a case file says of its fuel; None where it says nothing."""
    text = read.checked
    if text.fuel is None:
        return None
    return _fuel(text.fuel, {one.amount.of for one in text.bill}, read.source)


def _options(read: CaseRead) -> tuple[Option, ...]:
    """Options in order, each with its changes read against the case that it builds on."""
    cases: dict[str, Case] = {}
    found: list[Option] = []
    for number, text in enumerate(read.checked.option):
        below = _below(text, number, cases, read)
        path = ("option", number, "change")
        _refuse_shared(text, path, read.source)
        changes = from_table(text.change, below, read.source, path, read.materials)
        cases[text.name] = applied(below, *changes)
        found.append(Option(text.name, changes, text.builds_on, text.cost, text.work or ""))
    return tuple(found)


def _below(text: OptionText, number: int, cases: dict[str, Case], read: CaseRead) -> Case:
    """The case that an option builds on; what is wrong with its name or with `as`."""
    source = read.source
    if text.name in cases:
        cause = f"two options are called '{text.name}'"
        raise InputError(source.problem(("option", number, "name"), cause, "give each its own"))
    if text.builds_on is None:
        return read.case
    if text.builds_on not in cases:
        cure = nearest(text.builds_on, cases) or f"there are: {', '.join(cases) or 'none'}"
        cause = f"no option above is called '{text.builds_on}'"
        raise InputError(source.problem(("option", number, "as"), cause, cure))
    return cases[text.builds_on]


def _refuse_shared(text: OptionText, path: tuple[Any, ...], source: CaseText) -> None:
    for entry in text.change:
        if entry.removesuffix("_times") in SHARED:
            cause = f"all options share the case's {entry}: they are compared over the same days"
            cure = "change it at the top of the file, or write a file of its own"
            raise InputError(source.problem((*path, entry), cause, cure))


def _as_found(read: CaseRead) -> str:
    """Name of the option that others are held against: the marked one, or the first, unchanged."""
    texts, source = read.checked.option, read.source
    marked = [number for number, one in enumerate(texts) if one.as_found]
    if len(marked) > 1:
        cause = f"'{texts[marked[0]].name}' is as found already: there is one house to start from"
        place = ("option", marked[1], "as_found")
        raise InputError(source.problem(place, cause, "keep as_found = true in one of them"))
    if marked:
        return texts[marked[0]].name
    if texts[0].change or texts[0].builds_on:
        cause = "the first option is the house as found, and this one changes it"
        cure = "put an option without changes first, or write as_found = true in this one"
        raise InputError(source.problem(("option", 0, "change"), cause, cure))
    return texts[0].name


def _fuel(text: FuelText, billed_by: set[str], source: CaseText) -> Fuel:
    """What heats; presets fill what is not said, and are named. billed_by: as of `Fuel.sold_by`."""
    preset = PRESETS.get(text.kind)
    given = text.seasonal_factor if text.kind == "heat pump" else text.efficiency
    sold_by, unit, content, presets = _content(text, billed_by, source)
    if preset is not None and given is None:
        factor = "seasonal factor" if text.kind == "heat pump" else "efficiency"
        presets.append(f"{factor} {preset.efficiency:g}")
    efficiency = given if given is not None else preset.efficiency if preset else 1.0
    co2 = None if preset is None else preset.co2
    if text.co2 is not None:
        co2 = _carbon(text, sold_by, content, source)
    elif co2 is not None:
        presets.append("CO2")
    return Fuel(
        name="fuel" if text.kind == OWN else text.kind,
        sold_by=sold_by,
        unit=unit,
        heat_content=content,
        efficiency=efficiency,
        price=_price(text, sold_by, content),
        currency=Currency() if text.price is None else text.price.currency,
        co2=co2,
        presets=tuple(presets),
    )


def _content(
    text: FuelText, billed_by: set[str], source: CaseText
) -> tuple[str, str, float, list[str]]:
    """What it is sold by, in which unit, the heat in it, and which of these are presets."""
    preset, own, price = PRESETS.get(text.kind), text.heat_content, text.price
    by_energy = price is not None and price.sold_by == "energy"
    if own is not None:
        if price is not None and price.sold_by not in (own.of, "energy"):
            cause = f"the price is by {price.sold_by}, the heat content by {own.of}"
            raise InputError(source.problem(("fuel", "price"), cause, "write both by the same"))
        if preset is not None and preset.sold_by == own.of:
            _refuse_far(own.amount / preset.heat_content, text.kind, source)
        return own.of, own.unit if price is None or by_energy else price.unit, own.amount, []
    assert preset is not None
    if by_energy:
        assert price is not None
        return "energy", price.unit, 1.0, ["heat content"] if billed_by - {"energy"} else []
    if price is not None and price.sold_by != preset.sold_by:
        cause = f"the price is by {price.sold_by}, {text.kind} by its preset by {preset.sold_by}"
        cure = "add its heat_content by what it is sold by"
        raise InputError(source.problem(("fuel", "price"), cause, cure))
    presets = ["heat content"] if preset.sold_by != "energy" else []
    return (
        preset.sold_by,
        preset.unit if price is None else price.unit,
        preset.heat_content,
        presets,
    )


def _refuse_far(ratio: float, kind: str, source: CaseText) -> None:
    if not 1.0 / HALF_TO_TWICE <= ratio <= HALF_TO_TWICE:
        cause = f"this is {ratio:.2g} times what {kind} usually holds"
        cure = 'correct its units, or write kind = "other"'
        raise InputError(source.problem(("fuel", "heat_content"), cause, cure))


def _price(text: FuelText, sold_by: str, content: float) -> float | None:
    """Money an amount of what the fuel is sold by, of a price by that or by energy."""
    if text.price is None:
        return None
    return text.price.amount * (1.0 if text.price.sold_by == sold_by else content)


def _carbon(text: FuelText, sold_by: str, content: float, source: CaseText) -> float:
    """CO2 of the user's own figure, kg a J of gross heat."""
    assert text.co2 is not None
    if text.co2.of == "energy":
        return text.co2.amount
    if text.co2.of != sold_by:
        cause = f"the CO2 is by {text.co2.of}, the fuel is sold by {sold_by}"
        raise InputError(source.problem(("fuel", "co2"), cause, "write both by the same"))
    return text.co2.amount / content


def _cooling(text: CoolingText, source: CaseText) -> Fuel:
    price, co2 = text.price, text.co2
    by = {"price": price.sold_by if price else "energy", "co2": co2.of if co2 else "energy"}
    for entry, sold_by in by.items():
        if sold_by != "energy":
            cause = "what cools is electricity, by energy"
            raise InputError(source.problem(("cooling", entry), cause, "write it per kWh"))
    said = "seasonal_factor" in text.model_fields_set
    return Fuel(
        name="electricity to cool",
        sold_by="energy",
        unit="kWh" if text.price is None else text.price.unit,
        heat_content=1.0,
        efficiency=text.seasonal_factor,
        price=None if text.price is None else text.price.amount,
        currency=Currency() if text.price is None else text.price.currency,
        co2=None if text.co2 is None else text.co2.amount,
        presets=() if said else (f"seasonal factor {text.seasonal_factor:g}",),
    )


def _same_money(
    read: CaseRead, fuel: Fuel | None, cooling: Fuel | None, options: tuple[Option, ...]
) -> None:
    """Refuse two currencies in one file: no rate of exchange is known."""
    prices: list[tuple[tuple[Any, ...], Currency]] = []
    for entry, one in (("fuel", fuel), ("cooling", cooling)):
        if one is not None and one.price is not None:
            prices.append(((entry, "price"), one.currency))
    prices += [
        (("option", number, "cost"), one.cost.currency)
        for number, one in enumerate(options)
        if one.cost is not None
    ]
    for place, currency in prices:
        if currency != prices[0][1]:
            first, other = (one.written(1.0) for one in (prices[0][1], currency))
            cause = f"money is written as {other} here and as {first} elsewhere"
            raise InputError(read.source.problem(place, cause, "write all of it in one currency"))


def _bills(read: CaseRead, fuel: Fuel | None) -> tuple[Bill, ...]:
    """Bills in their order, each following the one before."""
    texts, source = read.checked.bill, read.source
    if texts and fuel is None:
        cause = "bills are of a fuel, and the file names none"
        raise InputError(source.problem(("bill", 0), cause, "add [fuel] with its kind"))
    found = []
    for number, text in enumerate(texts):
        assert fuel is not None
        found.append(Bill(*text.days, _billed(text.amount, fuel, number, source)))
    if (gap := gap_before(tuple(found))) is not None:
        number, cause = gap
        cure = "write one bill for every month, in order; the last one may be the newest"
        raise InputError(source.problem(("bill", number), cause, cure))
    return tuple(found)


def _billed(given: Any, fuel: Fuel, number: int, source: CaseText) -> float:
    """An amount in what the fuel is sold by; energy counts as gross heat."""
    if given.of == fuel.sold_by:
        return float(given.amount)
    if given.of == "energy":
        return float(given.amount / fuel.heat_content)
    preset = PRESETS.get(fuel.name)
    if fuel.sold_by == "energy" and preset is not None and preset.sold_by == given.of:
        return float(given.amount * preset.heat_content)
    cause = f"the bill is by {given.of}, the fuel by {fuel.sold_by}"
    cure = f"write it in one of {', '.join(spellings(fuel.sold_by))}"
    raise InputError(source.problem(("bill", number, "amount"), cause, cure))


def _bill_climate(read: CaseRead) -> Climate | None:
    """Weather of the bills' own months, looked for beside the file that names it."""
    name, source = read.checked.bill_weather, read.source
    if name is None:
        return None
    folder = Path(source.place(("bill_weather",)).file).parent
    try:
        return read_climate(find_climate(name, folder))
    except InputError as error:
        first = error.problems[0]
        cause = f"'{name}': {first.cause}"
        raise InputError(source.problem(("bill_weather",), cause, first.cure)) from None
