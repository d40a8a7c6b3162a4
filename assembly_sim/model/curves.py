"""Curves of a material that no equation takes, refused whoever made them.

A table of materials is held to the same as it is read, with its file and line; a description made
in Python gets here. Without it a fall in a sorption curve, humidities in per cent or temperatures
in degC were computed with, and the wrong heat was shown as fine.
"""

from __future__ import annotations

from collections.abc import Iterable

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import ROUND_OFF, refuse_outside, refused
from assembly_sim.physics.constants import WATER_DENSITY
from assembly_sim.physics.liquid import (
    CAPILLARY_SHARE,
    ConductivityPoints,
    LiquidTransport,
    UptakeCoefficient,
    capillary_share,
)
from assembly_sim.physics.pore_water import RetentionCurve, SorptionPoints, Storage, TwoPointStorage

WHOLE = 1e-6  # what weights may differ from 1 by


def refuse_each(where: str, field: str, span: str, values: Iterable[float]) -> None:
    """Raise InputError for the first value of a row outside its range."""
    for value in values:
        refuse_outside(where, **{field: (span, value)})


def refuse_falling(field: str, values: tuple[float, ...], strictly: bool) -> None:
    """Raise InputError where a row falls, or strictly: where it does not rise."""
    if any(after < before or strictly and after == before for before, after in _pairs(values)):
        words = "does not rise from point to point" if strictly else "falls from point to point"
        raise refused(field, words, "list points from low to high")


def _pairs(values: tuple[float, ...]) -> Iterable[tuple[float, float]]:
    return zip(values, values[1:])


def refuse_storage(where: str, storage: Storage, porosity: float) -> None:
    """Hold a storage curve to what pores can do: InputError names the field."""
    check_fields(storage)
    field = f"{where}.storage"
    refuse_outside(field, saturation=("saturation", storage.saturation))
    most = porosity * WATER_DENSITY
    if storage.saturation > most * (1.0 + 1e-9):
        cause = f"{storage.saturation:g} kg/m3 do not fit into the pores ({most:g} kg/m3)"
        raise refused(f"{field}.saturation", cause, "lower it or raise the porosity")
    if isinstance(storage, SorptionPoints):
        _refuse_sorption(field, storage)
    elif isinstance(storage, TwoPointStorage):
        _refuse_two_points(field, storage)
    else:
        _refuse_retention(field, storage)


def _refuse_sorption(field: str, storage: SorptionPoints) -> None:
    humidity, water = storage.relative_humidity, storage.water_content
    if not humidity or len(humidity) != len(water):
        cause = f"{len(water)} water contents stand against {len(humidity)} humidities"
        raise refused(f"{field}.water_content", cause, "give one for each, at least one")
    refuse_each(field, "relative_humidity", "humidity of a curve", humidity)
    refuse_falling(f"{field}.relative_humidity", humidity, strictly=True)
    refuse_each(field, "water_content", "water of a curve", water)
    refuse_falling(f"{field}.water_content", water, strictly=False)
    if water[-1] > storage.saturation:
        cause = f"its last point, {water[-1]:g} kg/m3, lies above saturation"
        raise refused(f"{field}.water_content", cause, "raise the saturation or leave it out")


def _refuse_two_points(field: str, storage: TwoPointStorage) -> None:
    refuse_outside(field, at_80_percent=("saturation", storage.at_80_percent))
    if storage.at_80_percent >= 0.8 * storage.saturation:
        cure = "give less than 0.8 of saturation: the fit bends upward only"
        raise refused(f"{field}.at_80_percent", "it is too near saturation", cure)


def _refuse_retention(field: str, storage: RetentionCurve) -> None:
    for term in storage.terms:
        check_fields(term)
        refuse_outside(
            f"{field}.terms",
            weight=("weight of pores", term.weight),
            alpha=("alpha of pores", term.alpha),
            n=("n of pores", term.n),
            m=("m of pores", term.m),
        )
    total = sum(term.weight for term in storage.terms)
    if abs(total - 1.0) > WHOLE:
        raise refused(f"{field}.terms", f"the weights add up to {total:g}", "make them 1")


def refuse_liquid(where: str, liquid: LiquidTransport, storage: Storage | None) -> None:
    """Hold liquid transport to its range and to the storage that it moves along."""
    check_fields(liquid)
    field = f"{where}.liquid"
    if storage is None:
        raise refused(field, "liquid moves only where water is stored", "add a storage curve")
    if isinstance(liquid, ConductivityPoints):
        _refuse_conductivities(field, liquid, storage.saturation)
        return
    uptake = isinstance(liquid, UptakeCoefficient)
    span = "uptake coefficient" if uptake else "liquid diffusivity"
    refuse_outside(field, value=(span, liquid.value))
    if uptake and capillary_share(storage) < CAPILLARY_SHARE:
        cause = "the storage curve is full at 90 %, which leaves no water to draw in"
        raise refused(field, cause, "raise saturation, or give ConductivityPoints")


def _refuse_conductivities(field: str, liquid: ConductivityPoints, saturation: float) -> None:
    water, value = liquid.water_content, liquid.conductivity
    if not water or len(water) != len(value):
        cause = f"{len(value)} conductivities stand against {len(water)} water contents"
        raise refused(field, cause, "give one for each, at least one")
    refuse_each(field, "water_content", "water of a curve", water)
    refuse_falling(f"{field}.water_content", water, strictly=True)
    refuse_each(field, "conductivity", "liquid conductivity", value)
    if water[-1] > saturation * (1.0 + ROUND_OFF):
        cause = f"its last point, {water[-1]:g} kg/m3, lies above saturation"
        raise refused(f"{field}.water_content", cause, "end at saturation")
