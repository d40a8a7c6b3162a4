"""Who does a task, and who seals an opening: yourself or a licensed trade."""

from __future__ import annotations

import re

from assembly_sim.changes import (
    AddLayer,
    Change,
    DuctsIndoors,
    FillCavity,
    RemoveFan,
    Seal,
    SealBetween,
    SealOpening,
)
from assembly_sim.model import Layer, Material
from assembly_sim.studies.compare import OptionFound
from assembly_sim.studies.option_year import PartYear

WHO = {"yourself": "do it yourself", "licensed": "licensed trade"}
FOAMS = ("spray foam",)
"""Kinds of material that trained installers alone put in (common practice, no source)."""
FIRE = {"chimney", "chimneys", "flue", "flues", "stove", "fireplace"}
LIGHTS = {"light", "lights", "lamp", "lamps", "downlight", "downlights", "fixture", "fixtures"}
FIRE_WORK = "licensed: fire-safe materials"
LIGHT_WORK = "licensed: rated fixtures"
OWN_WORK = "do it yourself"
"""What the words of a name say of the work (common practice, no source)."""


def who(one: OptionFound, change: Change) -> str:
    """Who does a task: what the user says, else by what is put in."""
    if one.option.work:
        return WHO[one.option.work]
    made = material_of(change)
    if made is not None and any(kind in made.kinds for kind in FOAMS):
        return WHO["licensed"]
    if isinstance(change, DuctsIndoors | RemoveFan):
        return WHO["licensed"]
    if isinstance(change, SealOpening) and named_work(change.opening) != OWN_WORK:
        return named_work(change.opening)
    if isinstance(change, Seal | SealOpening | SealBetween):
        return f"{WHO['yourself']}; appliances that burn fuel tested first by a licensed trade"
    return "by yourself or a trade: the file does not say"


def opening_work(part: PartYear) -> str:
    """Who seals an opening, by its name."""
    return named_work(part.name)


def named_work(name: str) -> str:
    """Chimneys, flues and lamps ask for a trade; other holes anyone may seal."""
    words = set(re.findall("[a-z]+", name.lower()))
    if words & FIRE:
        return FIRE_WORK
    return LIGHT_WORK if words & LIGHTS else OWN_WORK


def material_of(change: Change) -> Material | None:
    """What a change puts in."""
    if isinstance(change, FillCavity):
        return change.material
    if isinstance(change, AddLayer) and isinstance(change.layer, Layer):
        return change.layer.material
    value = getattr(change, "value", None)
    return value if isinstance(value, Material) else None
