"""Descriptions of the wrong kind, and curves that no equation takes, whoever makes them.

What may be is the law of the formats (materials/README.md) and common practice, no source.
"""

import dataclasses
from datetime import date
from fractions import Fraction

import numpy as np
import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.material.read import load
from assembly_sim.model import (
    ConductivityPoints,
    ConstantDiffusivity,
    ExcessVapour,
    Material,
    MoistureBalance,
    NamedDepth,
    OutdoorCurve,
    Points,
    RetentionCurve,
    RetentionTerm,
    SineOverYear,
    SorptionPoints,
    TwoPointStorage,
    UptakeCoefficient,
)
from assembly_sim.model.assembly import Bridge
from assembly_sim.model.defect import Defect
from assembly_sim.model.fuel import Bill, Cost, Currency, Fuel
from assembly_sim.model.opening import Fan, Gap, Opening, Side
from assembly_sim.model.schedule import Schedule, ScheduleEntry
from assembly_sim.model.zone import Ducts, Zone
from tests import synthetic

CASE = synthetic.case()
BOARD = synthetic.BOARD
CLIMATE = synthetic.climate()
MORE = (
    *(SineOverYear(0.4, 0.1), ExcessVapour(500.0), OutdoorCurve(), MoistureBalance(250, 0.3, 1e-4)),
    *(NamedDepth("pipe", 0.01), Bridge("stud", 0.1, BOARD), Points((0.3, 0.5), (1.0, 2.0))),
    *(Opening("gap", Gap(0.01, 1.0), 2.0, Side()), Fan(0.1), Zone("attic", 80.0)),
    Ducts("heat", "attic", 0.2, 10.0, 8.0, 1.0, 320.0, 250.0, 290.0),
    *(Defect("void", 0.1), Schedule(0.4, (ScheduleEntry(0.5, hours=(1, 2)),))),
    Fuel("oil", "volume", "L", 1e9, 0.8, 1.0, Currency("$")),
    *(Cost(1.0, 2.0), Bill(date(2021, 1, 1), date(2021, 2, 1), 3.0)),
)
ODD = (
    *(None, "x", "", b"x", (), (None,), {}, [1], {1}, True, 7, -1.0, 1e300, 10**400, -(10**5000)),
    *(float("nan"), float("inf"), object(), 1j, np.array([1.0]), np.array(["x"]), Points, BOARD),
)


def descriptions(thing):
    """A description and all within it, each once."""
    if dataclasses.is_dataclass(thing):
        yield thing
        for field in dataclasses.fields(thing):
            yield from descriptions(getattr(thing, field.name))
    elif isinstance(thing, tuple):
        for item in thing:
            yield from descriptions(item)


KINDS = {type(one).__name__: one for each in (CASE, *MORE) for one in descriptions(each)}
CURVES = {"SorptionPoints"}  # held by the material that carries them


@pytest.mark.parametrize("name", sorted(KINDS.keys() - CURVES))
def test_any_value_in_any_field_is_taken_or_refused_in_one_way(name):
    """Half of these ended in TypeError, AttributeError or OverflowError, at once or in a run."""
    sound, refused = KINDS[name], 0
    for field in dataclasses.fields(sound):
        for value in ODD:
            try:
                dataclasses.replace(sound, **{field.name: value})
            except InputError:
                refused += 1
    assert refused >= 10 * len(dataclasses.fields(sound))


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: dataclasses.replace(CASE, years=2.0), "is a float; give a whole number or None"),
        (lambda: dataclasses.replace(CASE, climate=None), "Case.climate: is None; give Climate"),
        (lambda: dataclasses.replace(CASE, assemblies=[]), "give a tuple, each item Assembly"),
        (lambda: dataclasses.replace(BOARD, kinds=frozenset({3})), "kinds: is an int; give a text"),
        (lambda: dataclasses.replace(BOARD, density=10**400), "is a number too large"),
        (lambda: dataclasses.replace(BOARD, density=10**5000), "is a number too large"),
        (lambda: Points("12", (1.0, 2.0)), "a str is no row of numbers"),
    ],
)
def test_what_is_of_another_kind_is_told_with_what_to_give(make, said):
    with pytest.raises(InputError) as refused:
        make()
    assert said in str(refused.value)


def test_numbers_of_other_libraries_are_numbers():
    rows = (np.array([0.2, 0.8]), [Fraction(1, 2), np.float32(2.0)])
    assert Points(*rows) == Points((0.2, 0.8), (0.5, 2.0))
    assert dataclasses.replace(CASE, years=np.int64(3)).years == 3
    assert dataclasses.replace(BOARD, density=np.float32(500)) == BOARD


# Storage and liquid of a board of 0.6 pores, and a word of why not.
IMPOSSIBLE = {
    "below none": ({"storage": TwoPointStorage(50.0, -1.0)}, "saturation"),
    "more than pores": ({"storage": TwoPointStorage(50.0, 601.0)}, "do not fit into the pores"),
    "bends down": ({"storage": TwoPointStorage(80.0, 100.0)}, "too near saturation"),
    "no points": ({"storage": SorptionPoints((), (), 200.0)}, "at least one"),
    "unpaired": ({"storage": SorptionPoints((0.5, 0.8), (20.0,), 200.0)}, "stand against"),
    "falling": ({"storage": SorptionPoints((0.3, 0.6), (50.0, 20.0), 200.0)}, "falls"),
    "turned round": ({"storage": SorptionPoints((0.6, 0.3), (20.0, 50.0), 200.0)}, "not rise"),
    "per cent": ({"storage": SorptionPoints((30.0, 60.0), (20.0, 50.0), 200.0)}, "out of range"),
    "above all": ({"storage": SorptionPoints((0.3, 0.6), (20.0, 250.0), 200.0)}, "above sat"),
    "no pores": ({"storage": RetentionCurve(200.0, ())}, "add up to 0"),
    "no term": ({"storage": RetentionCurve(200.0, (None,))}, "give RetentionTerm"),
    "part": ({"storage": RetentionCurve(200.0, (RetentionTerm(0.5, 1e-5, 2, 1),))}, "up to 0.5"),
    "grows": ({"storage": RetentionCurve(200.0, (RetentionTerm(1.0, -1e-5, 2, 1),))}, "alpha"),
    "a text": ({"storage": TwoPointStorage("50", 200.0)}, "is a str"),
    "sinks": ({"liquid": UptakeCoefficient(-0.1)}, "out of range"),
    "floods": ({"liquid": UptakeCoefficient(1e300)}, "out of range"),
    "backwards": ({"liquid": ConstantDiffusivity(-1e-9)}, "out of range"),
    "none given": ({"liquid": ConductivityPoints((), ())}, "at least one"),
    "zero": ({"liquid": ConductivityPoints((0.0, 100.0), (0.0, 1e-10))}, "out of range"),
    "fall": ({"liquid": ConductivityPoints((100.0, 0.0), (1e-12, 1e-10))}, "does not rise"),
    "too wet": ({"liquid": ConductivityPoints((0.0, 500.0), (1e-12, 1e-10))}, "above saturation"),
    "held nowhere": ({"liquid": UptakeCoefficient(0.1), "storage": None}, "add a storage curve"),
    "full at 90 %": (
        {
            "storage": SorptionPoints((0.3, 0.9), (25.0, 200.0), 200.0),
            "liquid": UptakeCoefficient(0.1),
        },
        "no water to draw in",
    ),
    "degC": ({"conductivity": Points((10.0, 30.0), (0.1, 0.12))}, "conductivity.x"),
    "humidity in per cent": ({"permeability": Points((30.0, 80.0), (1e-12, 2e-12))}, "bility.x"),
    "cooler by water": ({"conductivity_per_water": -1.0}, "conductivity_per_water"),
    "mould": ({"mould_class": "tender"}, "is no class"),
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_curves_that_no_equation_takes_are_refused(name):
    """Eleven of them ran to the end and gave a heat loss, wrong by up to 91 %, as converged."""
    fields, said = IMPOSSIBLE[name]
    with pytest.raises(InputError, match=said):
        dataclasses.replace(BOARD, **fields)


def test_every_shipped_material_passes():
    solid = [one for one in load().values() if isinstance(one, Material)]
    assert len(solid) > 20
    for one in solid:
        assert dataclasses.replace(one, name="again").storage == one.storage


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"temperature": CLIMATE.temperature.astype(object)}, "give a row of numbers"),
        ({"temperature": CLIMATE.temperature.astype(str)}, "give a row of numbers"),
        ({"temperature": CLIMATE.temperature.astype(complex)}, "give a row of numbers"),
        ({"temperature": CLIMATE.temperature[:, None]}, "give a row of numbers"),
        ({"temperature": CLIMATE.temperature[:0]}, "give a row of numbers"),
        ({"wind_direction": np.full(8760, 180.0)}, "wind_direction"),  # degrees
        ({"snow_depth": np.full(8760, 300.0)}, "snow_depth"),  # centimetres
        ({"flags": {"rain": np.zeros(3, bool)}}, "columns differ in length"),
        ({"flags": {"rain": "x"}}, "is a str"),
        ({"time_zone": 60.0}, "time_zone"),
        ({"year": 0}, "year"),
        ({"begins": 20211112}, "Climate.begins: is an int"),
    ],
)
def test_weather_that_is_no_rows_of_numbers_is_refused(fields, said):
    with pytest.raises(InputError, match=said):
        dataclasses.replace(CLIMATE, **fields)
