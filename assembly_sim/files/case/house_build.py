"""From the checked tables of a house to the model: zones, openings, fans, ducts, the test."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from math import pi
from typing import Any, TypeVar

from assembly_sim.boundary.tested import sized_in_house
from assembly_sim.errors import InputError
from assembly_sim.files.case.house_schema import (
    BlowerDoorText,
    DuctsText,
    FanText,
    OpeningText,
    PipeText,
    ZoneText,
)
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.roof import FLOOR, drawn, parts
from assembly_sim.files.case.schema import CaseFile
from assembly_sim.files.case.text import CaseText
from assembly_sim.model import Assembly, Ducts, Fan, MeasuredFlow, Opening, Pipe, Side, Zone
from assembly_sim.model.assembly import OUTDOORS
from assembly_sim.model.opening import Shape, Unsized, Wetted, blower_door
from assembly_sim.model.wetting import refuse_wet_nowhere

Thing = TypeVar("Thing")
WALL = re.compile(r"\S+ wall")  # of the storey below, which a case may leave out


def house(text: CaseFile, source: CaseText) -> dict[str, Any]:
    """Fields of a case that only a house has; InputError with the lines of what cannot be."""
    test = placed(source, ("blower_door",), lambda: tested(text.blower_door))
    openings = _each(text.opening, "opening", opening, source)
    _refuse_sizes(text, openings, test, source)
    return {
        "zones": _each(text.zone, "zone", zone, source),
        "openings": openings,
        "fans": _each(text.fan, "fan", fan, source),
        "ducts": _each(text.ducts, "ducts", ducts, source),
        "pipes": _each(text.pipe, "pipe", pipe, source),
        "blower_door": test,
    }


def placed(source: CaseText, path: Path, make: Callable[[], Thing]) -> Thing:
    """What `make` makes; what is wrong with it is told at the entry's line."""
    try:
        return make()
    except InputError as error:
        found = (source.problem(path, one.cause, one.cure) for one in error.problems)
        raise InputError(*found) from None


def _each(
    texts: list[Any], word: str, make: Callable[[Any], Thing], source: CaseText
) -> tuple[Thing, ...]:
    return tuple(
        placed(source, (word, number), lambda one=one: make(one))  # type: ignore[misc]
        for number, one in enumerate(texts)
    )


def zone(text: ZoneText) -> Zone:
    """A space whose air floats."""
    return Zone(**text.model_dump(exclude={"part"}))


def opening(text: OpeningText) -> Opening:
    """A way for air, whose place is known by now."""
    assert text.height is not None
    assert text.inside is not None
    side = side_of(text) if text.outside == OUTDOORS else None
    ends = (text.inside, text.outside)
    return Opening(text.name, shape(text), text.height, side, *ends, wetted(text))


def wetted(text: OpeningText) -> Wetted | None:
    """The plane that its air wets, of the assembly it is on unless it names another."""
    if text.wets is None:
        return None
    return Wetted(text.wets.assembly or text.on or "", text.wets.layer, text.wets.path)


def refuse_wet_planes(
    openings: tuple[Opening, ...],
    assemblies: tuple[Assembly, ...],
    text: CaseFile,
    source: CaseText,
) -> None:
    """Refuse at its line an opening whose air does not come by what it is said to wet."""
    zones = [zone(one) for one in text.zone]
    for number, one in enumerate(openings):
        at = ("opening", number, "wets")
        placed(source, at, lambda one=one: refuse_wet_nowhere(one, assemblies, zones))  # type: ignore[misc]


def shape(text: OpeningText) -> Shape:
    """Its size, or its weight among those that have none."""
    if text.size is None:
        return Unsized(text.weight)
    found: Shape = text.size.shape
    return found if text.exponent is None else replace(found, exponent=text.exponent)


def side_of(text: OpeningText) -> Side | None:
    """The plane it is in, upright unless it says; None where no wind presses."""
    if text.facing is None and text.tilt is None:
        return None
    return Side(0.5 * pi if text.tilt is None else text.tilt, text.facing or 0.0)


def fan(text: FanText) -> Fan:
    """A fan by the zone it serves: where it blows to, or what it empties outdoors."""
    name = text.name or "fan"
    if text.target == OUTDOORS:
        return Fan(0.0 - text.flow, text.source, text.target, name)
    return Fan(text.flow, text.target, text.source, name)


def ducts(text: DuctsText) -> Ducts:
    """Ducts in a zone."""
    return Ducts(**text.model_dump())


def pipe(text: PipeText) -> Pipe:
    """A water pipe in a zone."""
    return Pipe(**text.model_dump())


def tested(text: BlowerDoorText | None) -> MeasuredFlow | None:
    """What the blower door found."""
    if text is None:
        return None
    if text.flow is not None:
        return MeasuredFlow(*text.flow, text.exponent)
    assert text.air_changes is not None
    assert text.volume is not None
    return blower_door(text.air_changes, text.volume, text.exponent)


def _refuse_sizes(
    text: CaseFile, openings: tuple[Opening, ...], test: MeasuredFlow | None, source: CaseText
) -> None:
    """Every opening has a size, or a share of what the test leaves."""
    bare = next((i for i, one in enumerate(openings) if isinstance(one.shape, Unsized)), None)
    if test is None and bare is not None:
        cure = 'add size = "1/4 in x 36 in", or a [blower_door] whose figure it shares'
        raise InputError(source.problem(("opening", bare), "it has no size", cure))
    if text.opening or test is not None:
        rooms = [text.room.name, *(one.name for one in text.other_room)]
        placed(source, ("blower_door",), lambda: sized_in_house(openings, rooms, test))


def unstated_of_house(text: CaseFile) -> Iterator[str]:
    """What a house leaves to the defaults, and what nobody measured."""
    if text.roof is not None and text.zone:
        taken = {one.part for one in text.assembly}
        for name in parts(drawn(text.roof)):
            inside = name == FLOOR and text.roof.knee_wall  # a half-storey's, between its rooms
            if name not in taken and not inside and not WALL.fullmatch(name):
                yield f"no assembly is the {name} of the roof: nothing passes there"
    for zone in text.zone:
        yield from _unstated_of_zone(zone, text)
    for one in text.opening:
        yield from _unstated_of_opening(one)
    if text.blower_door and "exponent" not in text.blower_door.model_fields_set:
        yield f"blower door: flow by pressure to the power {text.blower_door.exponent:g}"
    for duct in text.ducts:
        tight = [one for one in ("supply", "return") if f"{one}_leak" not in duct.model_fields_set]
        if tight:
            which = " and ".join(tight)
            yield f"{duct.name}: no air leaks from the {which}, where a tenth is usual"
    for line in text.pipe:
        if line.insulation and "inner_diameter" not in line.model_fields_set:
            yield f"pipe {line.name}: of half an inch"
        if line.insulation and "conductivity" not in line.model_fields_set:
            yield f"pipe {line.name}: its insulation conducts {line.conductivity:g} W/(m K)"


def _unstated_of_zone(zone: ZoneText, text: CaseFile) -> Iterator[str]:
    said = zone.model_fields_set
    if not said & {"heat_capacity", "heat_gain", "moisture"}:
        yield f"{zone.name}: nothing stands in it, nothing in it gives off heat or moisture"
    ways = {end for one in text.opening for end in (one.inside, one.outside)}
    if "air_changes" not in said and zone.name not in ways:
        yield f"{zone.name}: sealed but for the leaks of the assemblies around it"


def _unstated_of_opening(text: OpeningText) -> Iterator[str]:
    name = f"opening {text.name}"
    if text.size is None:
        yield f"{name}: nobody measured it; it has a share of the blower door's figure by weight"
    elif text.size.preset is not None:
        yield f"{name}: nobody measured it; '{text.size.text}' is a preset, threefold either way"
    wets = wetted(text)
    if wets is not None:
        told = f"{name}: its air mixes fully at the inner face of {wets.layer} of {wets.assembly}"
        spread = "over all its area; where it gathers it wets more than that (name a path)"
        yield f"{told}, {spread if wets.path is None else f'all of it on the path {wets.path}'}"
    if text.outside == OUTDOORS and text.facing is None and text.tilt is None:
        yield f"{name}: no wind presses on it"
