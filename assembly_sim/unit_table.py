"""The closed table of unit spellings: what may be written, for each kind of quantity.

A spelling is a product over a product of the atoms below; its factor follows from theirs. The
first spelling of a kind is the unit the model computes in: SI, but for air changes (1/h).
Atoms are exact by definition, except: Btu as rounded by ISO 31 (1055.056 J), mercury at 0 degC
(13595.1 kg/m3), which makes 1 perm 57.2135 ng/(m2 s Pa), and the US therm of 1.054804e8 J.
"""

from __future__ import annotations

from math import pi

_INCH, _FOOT, _POUND, _GRAVITY = 0.0254, 0.3048, 0.45359237, 9.80665
_MERCURY, _BTU = 13595.1 * _GRAVITY, 1055.056

ATOMS: dict[str, float] = {
    **{"1": 1.0, "%": 0.01},
    **{"m": 1.0, "km": 1e3, "cm": 1e-2, "mm": 1e-3, "in": _INCH, "ft": _FOOT},
    **{"L": 1e-3, "US_gal": 231 * _INCH**3, "imp_gal": 4.54609e-3, "cord": 128 * _FOOT**3},
    **{"kg": 1.0, "g": 1e-3, "mg": 1e-6, "ng": 1e-12, "tonne": 1e3},
    **{"lb": _POUND, "oz": _POUND / 16, "grain": _POUND / 7000},
    **{"short_ton": 2000 * _POUND, "long_ton": 2240 * _POUND},
    **{"s": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0},
    **{"K": 1.0, "degC": 1.0, "degF": 5 / 9, "deg": pi / 180, "rad": 1.0},
    **{"Pa": 1.0, "hPa": 100.0, "kPa": 1e3, "MPa": 1e6, "mbar": 100.0, "bar": 1e5},
    **{"psi": _POUND * _GRAVITY / _INCH**2, "inHg": _INCH * _MERCURY, "mmHg": 1e-3 * _MERCURY},
    **{"J": 1.0, "kJ": 1e3, "MJ": 1e6, "GJ": 1e9, "Wh": 3600.0, "kWh": 3.6e6, "MWh": 3.6e9},
    **{"Btu": _BTU, "kBtu": 1e3 * _BTU, "MMBtu": 1e6 * _BTU},
    **{"US_therm": 1.054804e8, "EC_therm": 1e5 * _BTU},
    **{"W": 1.0, "mW": 1e-3, "kW": 1e3},
    **{"mph": 5280 * _FOOT / 3600, "knot": 1852 / 3600, "cfm": _FOOT**3 / 60},
    "perm": (_POUND / 7000) / (3600 * _FOOT**2 * _INCH * _MERCURY),
}

SYNONYMS: dict[str, str] = {
    **{"inch": "in", "inches": "in", "foot": "ft", "feet": "ft", "metre": "m", "meter": "m"},
    **{"metres": "m", "meters": "m", "l": "L", "litre": "L", "liter": "L", "litres": "L"},
    **{"liters": "L", "lbs": "lb", "gr": "grain", "grains": "grain", "hr": "h", "hour": "h"},
    **{"hours": "h", "hrs": "h", "sec": "s", "d": "day", "days": "day", "C": "degC"},
    **{"F": "degF", "BTU": "Btu", "btu": "Btu", "kBTU": "kBtu", "perms": "perm"},
    **{"US_perm": "perm", "percent": "%", "degrees": "deg", "degree": "deg"},
    **{"radian": "rad", "radians": "rad", "CFM": "cfm", "sqft": "ft2", "sf": "ft2"},
    **{"knots": "knot", "kn": "knot", "US_gallon": "US_gal", "lbm": "lb"},
    **{"cords": "cord"},
    **{"US_gallons": "US_gal", "imperial_gallon": "imp_gal", "imperial_gallons": "imp_gal"},
}

# Run-together or loose spellings of the trade, each with one meaning only in its kind.
LOOSE: dict[str, str] = {
    **{"W/mK": "W/(m K)", "W/m K": "W/(m K)", "mW/mK": "mW/(m K)", "W/m2K": "W/(m2 K)"},
    **{"W/m2 K": "W/(m2 K)", "J/kgK": "J/(kg K)", "J/kg K": "J/(kg K)", "kJ/kgK": "kJ/(kg K)"},
    **{"pcf": "lb/ft3", "psf": "lb/ft2", "ACH": "1/h", "ach": "1/h", "kph": "km/h"},
    **{"sq ft": "ft2", "sq in": "in2", "cu ft": "ft3", "Btu/hr-ft2-F": "Btu/(h ft2 degF)"},
    **{"m2K/W": "m2 K/W", "W/(mK)": "W/(m K)", "W/(m2K)": "W/(m2 K)", "J/(kgK)": "J/(kg K)"},
}

KINDS: dict[str, tuple[str, ...]] = {
    "length": ("m", "cm", "mm", "in", "ft", "km"),
    "equivalent air-layer thickness": ("m", "cm", "mm", "ft"),
    "area": ("m2", "cm2", "mm2", "ft2", "in2"),
    "opening area": ("m2", "cm2", "mm2", "in2", "ft2"),
    "volume": ("m3", "L", "ft3", "in3", "US_gal", "imp_gal", "cord"),
    "mass": ("kg", "g", "lb", "oz", "tonne", "short_ton", "long_ton"),
    "time": ("s", "min", "h", "day"),
    "temperature": ("K", "degC", "degF"),
    "temperature difference": ("K", "degC", "degF"),
    "angle": ("rad", "deg"),
    "fraction": ("", "1", "%"),
    "moisture content": ("kg/kg", "g/g", "%", "lb/lb"),
    "density": ("kg/m3", "g/cm3", "lb/ft3"),
    "water content": ("kg/m3", "g/cm3", "lb/ft3"),
    "areal mass": ("kg/m2", "g/m2", "lb/ft2", "oz/ft2"),
    "specific heat": ("J/(kg K)", "kJ/(kg K)", "Btu/(lb degF)"),
    "conductivity": ("W/(m K)", "mW/(m K)", "Btu/(h ft degF)", "Btu in/(h ft2 degF)"),
    "conductivity per water content": ("W m2/(kg K)", "mW m2/(kg K)"),
    "resistance": ("m2 K/W", "h ft2 degF/Btu"),
    "transmittance": ("W/(m2 K)", "Btu/(h ft2 degF)"),
    "permeability": (
        *("kg/(m s Pa)", "ng/(m s Pa)", "g/(m s Pa)", "mg/(m h Pa)", "g/(m h Pa)"),
        *("perm in", "grain/(h ft inHg)", "grain in/(h ft2 inHg)"),
    ),
    "permeance": (
        *("kg/(m2 s Pa)", "ng/(m2 s Pa)", "g/(m2 s Pa)", "mg/(m2 h Pa)", "perm"),
        "grain/(h ft2 inHg)",
    ),
    "pressure": ("Pa", "hPa", "kPa", "MPa", "mbar", "bar", "psi", "inHg", "mmHg"),
    "inverse pressure": ("1/Pa", "1/kPa", "1/MPa"),
    "air flow per area": ("m3/(s m2)", "L/(s m2)", "m3/(h m2)", "cfm/ft2", "m/s"),
    "air flow": ("m3/s", "L/s", "m3/h", "cfm", "ft3/min"),
    "air permeability": ("kg/(m s Pa)", "g/(m s Pa)", "mg/(m s Pa)"),
    "air permeance": ("kg/(m2 s Pa)", "g/(m2 s Pa)", "mg/(m2 s Pa)"),
    "vapour flux": ("kg/(m2 s)", "g/(m2 h)", "grain/(h ft2)"),
    "mass flow": ("kg/s", "g/s", "kg/h", "g/h", "kg/day", "lb/h", "lb/day", "L/day", "L/h"),
    "uptake coefficient": ("kg/(m2 s0.5)", "g/(m2 s0.5)", "kg/(m2 h0.5)"),
    "diffusivity": ("m2/s", "mm2/s", "cm2/s", "m2/h"),
    "liquid conductivity": ("s", "kg/(m s Pa)"),
    "air changes": ("1/h", "1/s", "1/day"),
    "speed": ("m/s", "km/h", "mph", "knot", "ft/min"),
    "power": ("W", "kW", "Btu/h", "kBtu/h"),
    "heat flux": ("W/m2", "Btu/(h ft2)"),
    "heat capacity": ("J/K", "kJ/K", "MJ/K", "Wh/K", "kWh/K", "Btu/degF"),
    "energy": (
        *("J", "kJ", "MJ", "GJ", "Wh", "kWh", "MWh", "Btu", "kBtu", "MMBtu"),
        *("US_therm", "EC_therm"),
    ),
    "energy per area": ("J/m2", "MJ/m2", "Wh/m2", "kWh/m2", "Btu/ft2", "kBtu/ft2"),
}

# Water given by volume: 1 L is 1 kg. ("mass flow" is what moisture generation is read as.)
LITRE_OF_WATER = ("L/day", "L/h")

# What `si` and `ip` show: unit in the case-file spelling, format.
SHOWN: dict[str, tuple[tuple[str, str], tuple[str, str]]] = {
    "length": (("mm", ".1f"), ("in", ".2f")),
    "equivalent air-layer thickness": (("m", ".3f"), ("m", ".3f")),
    "area": (("m2", ".1f"), ("ft2", ".0f")),
    "opening area": (("cm2", ".2f"), ("in2", ".2f")),
    "volume": (("m3", ".1f"), ("ft3", ".0f")),
    "mass": (("kg", ".2f"), ("lb", ".2f")),
    "time": (("h", ".1f"), ("h", ".1f")),
    "temperature": (("degC", ".1f"), ("degF", ".1f")),
    "temperature difference": (("K", ".1f"), ("degF", ".1f")),
    "angle": (("deg", ".1f"), ("deg", ".1f")),
    "fraction": (("%", ".1f"), ("%", ".1f")),
    "moisture content": (("%", ".1f"), ("%", ".1f")),
    "density": (("kg/m3", ".0f"), ("lb/ft3", ".1f")),
    "water content": (("kg/m3", ".1f"), ("lb/ft3", ".2f")),
    "areal mass": (("kg/m2", ".3f"), ("lb/ft2", ".4f")),
    "specific heat": (("J/(kg K)", ".0f"), ("Btu/(lb degF)", ".3f")),
    "conductivity": (("W/(m K)", ".4f"), ("Btu in/(h ft2 degF)", ".3f")),
    "conductivity per water content": (("W m2/(kg K)", ".5f"), ("W m2/(kg K)", ".5f")),
    "resistance": (("m2 K/W", ".2f"), ("h ft2 degF/Btu", ".1f")),
    "transmittance": (("W/(m2 K)", ".3f"), ("Btu/(h ft2 degF)", ".3f")),
    "permeability": (("ng/(m s Pa)", ".2f"), ("perm in", ".2f")),
    "permeance": (("ng/(m2 s Pa)", ".1f"), ("perm", ".2f")),
    "pressure": (("Pa", ".0f"), ("inHg", ".3f")),
    "inverse pressure": (("1/Pa", ".3g"), ("1/Pa", ".3g")),
    "air flow per area": (("L/(s m2)", ".3f"), ("cfm/ft2", ".4f")),
    "air flow": (("L/s", ".2f"), ("cfm", ".1f")),
    "air permeability": (("kg/(m s Pa)", ".3g"), ("kg/(m s Pa)", ".3g")),
    "air permeance": (("kg/(m2 s Pa)", ".3g"), ("kg/(m2 s Pa)", ".3g")),
    "vapour flux": (("g/(m2 h)", ".3g"), ("grain/(h ft2)", ".3g")),
    "mass flow": (("kg/day", ".2f"), ("lb/day", ".2f")),
    "uptake coefficient": (("kg/(m2 s0.5)", ".4f"), ("kg/(m2 s0.5)", ".4f")),
    "diffusivity": (("m2/s", ".3g"), ("m2/s", ".3g")),
    "liquid conductivity": (("s", ".3g"), ("s", ".3g")),
    "air changes": (("1/h", ".2f"), ("1/h", ".2f")),
    "speed": (("m/s", ".1f"), ("mph", ".1f")),
    "power": (("W", ".0f"), ("Btu/h", ".0f")),
    "heat capacity": (("kJ/K", ".0f"), ("Btu/degF", ".0f")),
    "heat flux": (("W/m2", ".1f"), ("Btu/(h ft2)", ".1f")),
    "energy": (("kWh", ".0f"), ("kBtu", ".0f")),
    "energy per area": (("kWh/m2", ".1f"), ("kBtu/ft2", ".1f")),
}

# Written by people, but more than one thing: word -> what would make it one thing.
AMBIGUOUS: dict[str, str] = {
    **dict.fromkeys(
        ("gal", "gallon", "gallons", "gpd"),
        "a gallon is not the same in every country: write US_gal, imp_gal or L",
    ),
    **dict.fromkeys(
        ("ton", "tons"),
        "a ton may be short, long, metric or of cooling: write short_ton, long_ton, tonne or kW",
    ),
    **dict.fromkeys(
        ("therm", "therms", "thm"),
        "a therm differs between countries: write US_therm, EC_therm or kWh",
    ),
    **dict.fromkeys(
        ("mil", "mils"), "a mil is 1/1000 in for some and 1 mm for others: write in or mm"
    ),
    **dict.fromkeys(
        ("pint", "pints", "pt", "quart", "quarts", "qt"),
        "pints and quarts are not the same in every country: write L or kg",
    ),
    **dict.fromkeys(("cal", "kcal"), "a calorie has several values: write kJ"),
}
