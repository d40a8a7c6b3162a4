"""Quantities as text. Every factor is held against pint's own arithmetic (pint's unit registry)."""

import math
import re
import subprocess
import sys

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assembly_sim import units
from assembly_sim.unit_table import ATOMS, KINDS, LITRE_OF_WATER, LOOSE, SHOWN, SYNONYMS
from assembly_sim.units import UnitError, convert, read, show, spellings, to_si

# What pint lacks or names otherwise; its inHg is mercury at 0 degC, as the perm's definition has.
PINT = pint.UnitRegistry()
PINT.define("US_perm = grain / (hour * foot**2 * inHg)")
PINT.define("full_cord = 128 * foot**3")  # stacked; NIST Handbook 130, from memory
WORDS = {
    **{"h": "hour", "deg": "degree", "perm": "US_perm", "in": "inch", "L": "liter"},
    **{"degF": "delta_degF", "degC": "delta_degC", "%": "percent", "mph": "mile/hour"},
    **{"cfm": "foot**3/minute", "US_gal": "gallon", "imp_gal": "imperial_gallon"},
    **{"short_ton": "short_ton", "long_ton": "long_ton", "tonne": "metric_ton", "g": "gram"},
    **{"EC_therm": "thm", "Wh": "watt_hour", "kWh": "kilowatt_hour", "MWh": "megawatt_hour"},
    **{"mmHg": "mmHg", "lb": "pound", "oz": "ounce"},
    **{"min": "minute", "K": "kelvin", "ft": "foot", "J": "joule", "kBtu": "kiloBtu"},
    **{"MMBtu": "megaBtu", "cord": "full_cord"},
}
ACCEPTED = [(kind, unit) for kind in KINDS for unit in spellings(kind)]


def in_pint(unit: str) -> pint.Quantity:
    """The unit as pint computes it, word by word, with powers and one stroke."""

    def word(match: re.Match) -> str:
        power = f"**{match[2]}" if match[2] else ""
        return f"({WORDS.get(match[1], match[1])}){power}"

    above, _, below = unit.partition("/")
    sides = [re.sub(r"([A-Za-z_%]+)([0-9.]*)", word, side.strip("() ")) for side in (above, below)]
    top, bottom = (PINT.Quantity(1, side.replace(" ", "*") or "1") for side in sides)
    return top / bottom


@pytest.mark.parametrize(("kind", "unit"), ACCEPTED)
def test_every_spelling_has_the_factor_pint_computes(kind, unit):
    if kind == "temperature":
        expected = PINT.Quantity(7.0, unit).to("kelvin").magnitude
    elif unit in LITRE_OF_WATER:  # 1 kg a litre
        expected = (7.0 * in_pint(unit) * PINT("1 kg/L")).to("kg/s").magnitude
    else:
        expected = (7.0 * in_pint(unit)).to(in_pint(KINDS[kind][0] or "1").units).magnitude
    # 1e-12: the atoms are defined by the same exact numbers, only rounding differs; pint's therm
    # rests on another Btu (1055.05585 J) and agrees to 1 part in a million
    tolerance = 1e-6 if "therm" in unit else 1e-12
    assert read(f"7 {unit}", kind) == pytest.approx(expected, rel=tolerance)


@pytest.mark.parametrize("synonym", sorted(SYNONYMS))
def test_a_synonym_means_its_unit(synonym):
    atom = re.compile(rf"(?<![A-Za-z_]){re.escape(SYNONYMS[synonym])}(?![A-Za-z_0-9])")
    uses = [(kind, unit) for kind, unit in ACCEPTED if atom.search(unit)]
    assert uses
    for kind, unit in uses:
        assert read(f"3 {atom.sub(synonym, unit)}", kind) == read(f"3 {unit}", kind)


@pytest.mark.parametrize("loose", sorted(LOOSE))
def test_a_loose_spelling_means_its_unit(loose):
    kind = next(k for k in KINDS if units._parse(LOOSE[loose]) in units._index(k))
    assert read(f"3 {loose}", kind) == read(f"3 {LOOSE[loose]}", kind)


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("5 1/2 in", "length", 5.5 * 0.0254),
        ("5-1/2 in", "length", 5.5 * 0.0254),
        ("1/2 in", "length", 0.0127),
        ('5.5"', "length", 5.5 * 0.0254),
        ('5 1/2"', "length", 5.5 * 0.0254),
        ("8'", "length", 8 * 0.3048),
        ("8' 6\"", "length", 8.5 * 0.3048),
        ("8'-6 1/2\"", "length", 8 * 0.3048 + 6.5 * 0.0254),
        ("140mm", "length", 0.14),
        ("1.4e2 mm", "length", 0.14),
        ("R-13", "resistance", 13 * 0.176110),  # 1 R = 0.17611 m2 K/W, the trade's constant
        ("RSI 2.3", "resistance", 2.3),
        ("RSI-2.3", "resistance", 2.3),
        ("13 hr*ft^2*degF/Btu", "resistance", 13 * 0.176110),
        ("13 h·ft²·°F/Btu", "resistance", 13 * 0.176110),
        ("0.029 W/mK", "conductivity", 0.029),
        ("0.029 W/m·K", "conductivity", 0.029),
        ("5:12", "angle", math.atan(5 / 12)),
        ("5/12", "angle", math.atan(5 / 12)),
        ("20 °C", "temperature", 293.15),
        ("\u22125 degC", "temperature", 268.15),  # a real minus sign
        ("68 F", "temperature", 293.15),
        ("9 degF", "temperature difference", 5.0),
        ("50 %", "fraction", 0.5),
        ("0.5", "fraction", 0.5),
        (0.5, "fraction", 0.5),
        ("12%", "moisture content", 0.12),
        ("0.06 perm", "permeance", 0.06 * 5.72135e-11),  # 1 perm is 57.2135 ng/(Pa s m2)
        ("57.2135 ng/(Pa s m2)", "permeance", 5.72135e-11),
        ("8 L/day", "mass flow", 8 / 86400),
        ("1 kg/(m2 sqrt(s))", "uptake coefficient", 1.0),
        ("1 kg/(m² s^0.5)", "uptake coefficient", 1.0),
        ("0.3 ACH", "air changes", 0.3),
        ("3 US gal", "volume", 3 * 3.785411784e-3),
        ("3 imperial gallons", "volume", 3 * 4.54609e-3),
    ],
)
def test_what_the_trade_writes_is_read_as_it_means(text, kind, expected):
    assert read(text, kind) == pytest.approx(expected, rel=3e-6)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("5.5", "length", "no unit"),
        (5.5, "length", "no unit"),
        (True, "fraction", "quantity is needed"),
        ([1], "length", "quantity is needed"),
        ("", "length", "does not start with a number"),
        ('"', "length", "does not start with a number"),
        ("5,5 in", "length", "comma"),
        ("1,000 mm", "length", "comma"),
        ("25 mil", "length", "more than one meaning"),
        ("3 gal", "volume", "country"),
        ("3 gallons", "volume", "country"),
        ("2 ton", "mass", "short_ton"),
        ("2 therms", "energy", "US_therm"),
        ("9 pints", "volume", "country"),
        ("0.06 perm in", "permeance", "measures permeability, not permeance"),
        ("0.06 perm", "permeability", "measures permeance, not permeability"),
        ("20 degC", "length", "measures temperature, not length"),
        ("5 K/W", "resistance", "not known"),
        ("1 cfm", "length", "measures air flow, not length"),
        ("5 kg/m s Pa", "permeability", "not known"),
        ("U-0.3", "transmittance", "does not say its unit"),
        ("U 0.3", "transmittance", "W/(m2 K)"),
        ("R13", "resistance", "R-13"),  # R2.8 is metric in some countries
        ("R 13", "resistance", "R-13"),
        ("R-13", "conductivity", "does not say its unit"),
        ("R-13 per inch", "resistance", "does not say its unit"),
        ("5:12", "length", "not known"),
        ("5:0", "angle", "not known"),
        ("5 3/2 in", "length", "proper fraction"),
        ("1/0 in", "length", "proper fraction"),
        ("nan m", "length", "does not start with a number"),
        ("inf m", "length", "does not start with a number"),
        (float("nan"), "fraction", "does not start with a number"),
        ("1e999 m", "length", "finite"),
        ("1e308 km", "length", "finite"),
        ("-300 degC", "temperature", "absolute zero"),
        ("\u20135 degC", "temperature", "does not start with a number"),  # a dash, not a minus
        ("１２ mm", "length", "does not start with a number"),  # full-width digits
        ("1.2.3 m", "length", "does not start with a number"),
        ("5 in in", "length", "not known"),
        ("3 m/s2", "speed", "not known"),
        ("12", "moisture content", "no unit"),
        ("9" * 5000 + " 1/2 in", "length", "too long"),
    ],
)
def test_what_could_mean_another_thing_is_refused(text, kind, said):
    with pytest.raises(UnitError) as refused:
        read(text, kind)
    assert said in str(refused.value)
    assert refused.value.cure


def test_a_quantity_of_any_pint_registry_is_taken():
    other = pint.UnitRegistry().Quantity
    assert to_si(other(5.5, "inch"), "length") == pytest.approx(0.1397)
    assert to_si(other(20, "degC"), "temperature") == pytest.approx(293.15)
    assert to_si(other(9, "delta_degF"), "temperature difference") == pytest.approx(5.0)
    assert to_si(other(2, "1/hour"), "air changes") == pytest.approx(2.0)
    assert to_si("140 mm", "length") == pytest.approx(0.14)


@pytest.mark.parametrize(
    ("number", "unit", "kind"),
    [
        (5, "kg", "length"),
        (5, "degC", "temperature difference"),
        (5, "delta_degC", "temperature"),
        (5, "degC", "length"),
        (math.nan, "m", "length"),
    ],
)
def test_a_pint_quantity_of_another_kind_is_refused(number, unit, kind):
    with pytest.raises(UnitError):
        to_si(PINT.Quantity(number, unit), kind)


@pytest.mark.parametrize("thing", [object(), None, PINT.Quantity([1.0, 2.0], "m")])
def test_what_is_no_single_quantity_is_refused(thing):
    with pytest.raises(UnitError):
        to_si(thing, "length")


@given(
    value=st.floats(1e-6, 1e6),
    kind=st.sampled_from(sorted(SHOWN)),
    system=st.sampled_from(["si", "ip"]),
)
def test_what_is_shown_can_be_read_back(value, kind, system):
    number, unit = convert(value, kind, system)
    assert read(f"{number!r} {unit}", kind) == pytest.approx(value, rel=1e-9, abs=1e-9)


def test_shown_values_carry_the_unit_of_the_system():
    assert show(0.25, "transmittance", "si") == "0.250 W/(m2 K)"
    assert show(0.25, "transmittance", "ip") == "0.044 Btu/(h ft2 degF)"
    assert show(293.15, "temperature", "ip") == "68.0 degF"


def test_every_atom_is_used_and_every_kind_can_be_shown():
    assert set(SHOWN) == set(KINDS)
    used = {word for _, unit in ACCEPTED for word in re.findall(r"[A-Za-z_%]+|^1", unit)}
    assert set(ATOMS) <= used | {"1"}


def test_reading_units_does_not_load_pint():
    code = "import sys; from assembly_sim.units import read; read('1 mm', 'length');"
    check = f"{code} sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0
