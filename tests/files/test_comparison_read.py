"""A comparison file: what it says, and for what cannot be: file, line, cause and cure."""

import pytest

from assembly_sim.changes import Seal, Set
from assembly_sim.errors import InputError
from assembly_sim.files.case.comparison import read_comparison
from assembly_sim.files.case.money import amount, cost, price
from assembly_sim.files.case.read import read_case
from assembly_sim.model.fuel import Currency
from assembly_sim.units import read

HOUSE = """format = 1
name = "Alder Fork: floor or roof"
climate = "cold_inland"
years = 3

[room]
temperature = "20 degC"
humidity = { class = 2 }

[[assembly]]
name = "Attic floor"
area = "62 m2"
tilt = "0 deg"
sheltered = true
leak = "1 m3/(h m2) at 50 Pa"

[[assembly.layer]]
name = "loose fill"
material = "cellulose, loose in attic"
thickness = "100 mm"

[[assembly.layer]]
name = "ceiling"
material = "gypsum board"
thickness = "12.5 mm"
"""
FUEL = """
[fuel]
kind = "heating oil"
price = "$4.10 per US_gal"
"""
OPTIONS = """
[[option]]
name = "as found"

[[option]]
name = "seal"
cost = "$400 to 900"
work = "yourself"
[option.change.assembly."Attic floor"]
seal = "80 %"

[[option]]
name = "seal and fill"
as = "seal"
cost = "$2600"
[option.change.assembly."Attic floor".layer."loose fill"]
thickness = "400 mm"
"""


@pytest.fixture
def comparison(tmp_path):
    def written(text):
        path = tmp_path / "house.toml"
        path.write_text(text)
        return read_comparison(path)

    return written


def refused(comparison, text):
    """The first problem of a text, with the line it names."""
    with pytest.raises(InputError) as error:
        comparison(text)
    problem = error.value.problems[0]
    assert problem.file.endswith("house.toml")
    assert problem.cause
    assert problem.cure
    return problem, text.splitlines()[problem.line - 1] if problem.line else ""


def test_options_are_changes_of_what_they_build_on(comparison):
    found = comparison(HOUSE + FUEL + OPTIONS)
    assert [one.name for one in found.options] == ["as found", "seal", "seal and fill"]
    assert found.as_found == "as found"
    assert found.options[1].changes == (Seal("Attic floor", 0.8),)
    both = found.changes_of("seal and fill")
    assert both[0] == Seal("Attic floor", 0.8)
    assert isinstance(both[1], Set)
    floor = found.cases["seal and fill"].assemblies[0]
    assert floor.layers[0].thickness == 0.4
    assert floor.leak.flow == pytest.approx(0.2 * found.case.assemblies[0].leak.flow)


def test_a_cost_is_that_of_all_steps_beyond_the_house_as_found(comparison):
    found = comparison(HOUSE + FUEL + OPTIONS)
    assert found.cost_of("as found") is None
    assert (found.cost_of("seal").low, found.cost_of("seal").high) == (400.0, 900.0)
    both = found.cost_of("seal and fill")
    assert (both.low, both.high, both.currency) == (3000.0, 3500.0, Currency("$"))
    half = comparison(HOUSE + FUEL + OPTIONS.replace('cost = "$2600"\n', ""))
    assert half.cost_of("seal and fill") is None  # a part of it is not known


def test_the_house_as_found_may_be_marked(comparison):
    text = OPTIONS.replace('name = "seal"\n', 'name = "seal"\nas_found = true\n')
    found = comparison(HOUSE + FUEL + text)
    assert found.as_found == "seal"
    assert found.cost_of("seal and fill").low == 2600.0  # what is there is paid already


def test_fuel_presets_are_told_and_overridden(comparison):
    found = comparison(HOUSE + FUEL + OPTIONS).fuel
    gallon = read("1 US_gal", "volume")
    assert found.heat_content * gallon == pytest.approx(138_500 * 1055.056)
    assert found.price * gallon == pytest.approx(4.10)
    assert found.presets == ("heat content", "efficiency 0.8", "CO2")
    own = FUEL + 'efficiency = "85 %"\nco2 = "2.7 kg per L"\nheat_content = "10.7 kWh per L"\n'
    found = comparison(HOUSE + own + OPTIONS).fuel
    assert found.presets == ()
    assert found.co2 * found.heat_content == pytest.approx(2700.0)  # kg a m3


def test_gas_may_be_priced_by_heat(comparison):
    gas = '\n[fuel]\nkind = "natural gas"\nprice = "$1.20 per US_therm"\n'
    found = comparison(HOUSE + gas + OPTIONS).fuel
    assert (found.sold_by, found.unit) == ("energy", "US_therm")
    assert found.price * read("1 US_therm", "energy") == pytest.approx(1.20)
    content = gas + 'heat_content = "38 MJ per m3"\n'
    found = comparison(HOUSE + content + OPTIONS).fuel
    assert found.sold_by == "volume"
    assert found.price / found.heat_content * read("1 US_therm", "energy") == pytest.approx(1.20)


def test_bills_by_month_and_by_day(comparison):
    bills = (
        '\n[[bill]]\nmonth = "2023-01"\namount = "120 US_gal"\n'
        '\n[[bill]]\nfrom = 2023-02-01\nto = "2023-03-15"\namount = "30 MMBtu"\n'
    )
    january, later = comparison(HOUSE + FUEL + bills + OPTIONS).bills
    assert january.days == 31
    assert january.amount == pytest.approx(read("120 US_gal", "volume"))
    assert later.days == 28 + 15
    assert later.amount == pytest.approx(30e6 / 138_500 * read("1 US_gal", "volume"))


def test_run_reads_the_house_and_says_that_options_are_left_out(tmp_path):
    path = tmp_path / "house.toml"
    path.write_text(HOUSE + FUEL + OPTIONS)
    case = read_case(path)
    assert case.assemblies[0].layers[0].thickness == 0.1
    assert any("3 options" in phrase for phrase in case.unstated)
    path.write_text(HOUSE)
    assert case == read_case(path)


BAD = {
    "a layer that is not there": (
        OPTIONS.replace('layer."loose fill"', 'layer."foam board"'),
        'thickness = "400 mm"',
        "foam board",
    ),
    "an assembly that is not there": (
        OPTIONS.replace('assembly."Attic floor"]\nseal', 'assembly."Roof"]\nseal'),
        'seal = "80 %"',
        "Roof",
    ),
    "two first options": (
        OPTIONS.replace('name = "as found"', 'name = "as found"\nas_found = true').replace(
            'work = "yourself"', "as_found = true"
        ),
        "as_found = true",
        "already",
    ),
    "a first option that changes the house": (
        OPTIONS.split("\n\n", 1)[1],
        "",
        "the first option is the house as found",
    ),
    "two options of one name": (
        OPTIONS.replace('name = "seal and fill"', 'name = "seal"'),
        'name = "seal"',
        "two options",
    ),
    "building on what is not there": (
        OPTIONS.replace('as = "seal"', 'as = "sealing"'),
        'as = "sealing"',
        "no option above",
    ),
    "building on itself": (
        OPTIONS.replace('as = "seal"', 'as = "seal and fill"'),
        'as = "seal and fill"',
        "no option above",
    ),
    "weather of its own": (
        OPTIONS + '\n[option.change]\nclimate = "wet_mild_coast"\n',
        'climate = "wet_mild_coast"',
        "same days",
    ),
    "a single option": ('\n[[option]]\nname = "as found"\n', "", "1 options"),
    "a misspelt entry": (OPTIONS.replace("cost =", "costs ="), "costs = ", "unknown entry"),
    "a cost below zero": (
        OPTIONS.replace('"$2600"', '"$-2600"'),
        'cost = "$-2600"',
        "below zero",
    ),
    "another currency": (
        OPTIONS.replace('"$2600"', '"2600 EUR"'),
        'cost = "2600 EUR"',
        "one currency",
    ),
    "a leak sealed twice over": (
        OPTIONS.replace('seal = "80 %"', 'seal = "180 %"'),
        'seal = "180 %"',
        "out of range",
    ),
    "nobody's work": (
        OPTIONS.replace('"yourself"', '"nobody"'),
        'work = "nobody"',
        "not one of the accepted values",
    ),
}


@pytest.mark.parametrize("name", BAD)
def test_what_no_comparison_may_be_is_told_with_its_line(comparison, name):
    options, line, word = BAD[name]
    problem, found = refused(comparison, HOUSE + FUEL + options)
    assert found.startswith(line) or not line
    assert word in f"{problem.cause} {problem.cure} {problem.field}"


BILLS = "".join(
    f'\n[[bill]]\nmonth = "2023-{month:02d}"\namount = "{10 * month} US_gal"\n'
    for month in range(1, 9)
)
BAD_MONEY = {
    "a negative price": ('price = "$-4.10 per US_gal"', "below zero"),
    "a price of nothing": ('price = "$4.10"', "no price"),
    "a gallon of no country": ('price = "$4.10 per gallon"', "meaning"),
    "a price by what has no preset": ('price = "$4.10 per kg"', "by mass"),
    "an efficiency above one": ('efficiency = "400 %"', "no burner"),
    "a factor of a boiler": ('seasonal_factor = "2"', "no seasonal_factor"),
    "a heat content in the wrong unit": (
        'heat_content = "138500 Btu per L"',
        "times what heating oil usually holds",
    ),
}


@pytest.mark.parametrize("name", BAD_MONEY)
def test_what_no_fuel_may_be_is_told_with_its_line(comparison, name):
    line, word = BAD_MONEY[name]
    fuel = FUEL.replace('price = "$4.10 per US_gal"', line)
    problem, found = refused(comparison, HOUSE + fuel + OPTIONS)
    assert found.startswith(line)
    assert word in f"{problem.cause} {problem.cure}"


@pytest.mark.parametrize(
    ("old", "new", "line", "word"),
    [
        ('\n[[bill]]\nmonth = "2023-04"\namount = "40 US_gal"\n', "", "[[bill]]", "2023-04-01"),
        ('month = "2023-04"', 'month = "2023-03"', "[[bill]]", "begins on 2023-03-01"),
        ('"40 US_gal"', '"-40 US_gal"', "amount", "below zero"),
        ('"40 US_gal"', '"40 kg"', "amount", "by mass"),
        ('"40 US_gal"', '"40"', "amount", "no amount"),
        ('month = "2023-04"', 'month = "April"', "month", "no month"),
        ('month = "2023-04"', 'from = "2023-04-01"', "[[bill]]", "of a month, or from one day"),
    ],
)
def test_what_no_bill_may_be_is_told_with_its_line(comparison, old, new, line, word):
    assert old in BILLS
    problem, found = refused(comparison, HOUSE + FUEL + BILLS.replace(old, new) + OPTIONS)
    assert found.startswith(line)
    assert word in f"{problem.cause} {problem.cure}"


def test_bills_without_a_fuel_are_refused(comparison):
    problem, found = refused(comparison, HOUSE + BILLS + OPTIONS)
    assert found == "[[bill]]"
    assert "[fuel]" in problem.cure


@pytest.mark.parametrize(
    ("text", "low", "high", "written"),
    [
        ("$1200", 1200.0, 1200.0, "$1,200"),
        ("900 to 1500 EUR", 900.0, 1500.0, "900 EUR"),
        ("$900 - $1500", 900.0, 1500.0, "$900"),
        ("0", 0.0, 0.0, "0.00"),
    ],
)
def test_sums_of_money(text, low, high, written):
    found = cost(text)
    assert (found.low, found.high) == (low, high)
    assert found.currency.written(low) == written


@pytest.mark.parametrize("text", ["", "dear", "1,200 EUR", "12 to 10 EUR", "$5 to £6", 1200, None])
def test_what_is_no_sum_is_refused(text):
    with pytest.raises(ValueError, match=";"):
        cost(text)


@pytest.mark.parametrize("text", ["4 per", "per L", "$4.10 per mile", "$4.10 per L per day"])
def test_what_is_no_price_is_refused(text):
    with pytest.raises(ValueError, match=";"):
        price(text)


def test_prices_and_amounts():
    found = price("0.95 EUR per L")
    assert found.amount == pytest.approx(950.0)
    assert (found.sold_by, found.unit, found.currency.after) == ("volume", "L", "EUR")
    assert amount("2 cord").amount == pytest.approx(2 * 128 * 0.3048**3)
