"""Assemblies that are parts of the case's `[roof]`: what they do not say of size and place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from assembly_sim.envelope.roof_geometry import Part, Roof, attic_volume, parts
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.schema import AssemblyText, CaseFile
from assembly_sim.files.words import nearest

Found = tuple[Path, str, str]
"""Where something is wrong, cause and cure."""

MISS = 1e-3  # of a part's area, which its assemblies may leave open or take twice


def with_roof(checked: CaseFile) -> CaseFile:
    """The case with each part's area, tilt, azimuth and height said, and the attic's volume."""
    if checked.roof is None:
        return checked
    roof = drawn(checked)
    known, zones = parts(roof), [_zone(one, roof) for one in checked.zone]
    rest = {name: _left(name, known[name].area, checked.assembly) for name in known}
    assemblies = [
        one if one.part not in known else _placed(one, known[one.part], rest[one.part])
        for one in checked.assembly
    ]
    return checked.model_copy(update={"assembly": assemblies, "zone": zones})


def drawn(checked: CaseFile) -> Roof:
    """The roof that a case describes."""
    text = checked.roof
    assert text is not None
    return Roof(**text.model_dump())


def _zone(text: Any, roof: Roof) -> Any:
    if text.volume is not None:
        return text
    return text.model_copy(update={"volume": attic_volume(roof)})


def _placed(text: AssemblyText, part: Part, rest: float) -> AssemblyText:
    """The assembly with what the roof tells of it; what it says itself stays."""
    told = {"area": rest, "tilt": part.tilt, "azimuth": part.azimuth, "height": part.height}
    new = {name: value for name, value in told.items() if name not in text.model_fields_set}
    return text.model_copy(update=new)


def _left(name: str, area: float, assemblies: Sequence[AssemblyText]) -> float:
    """Area (m2) of a part that the assemblies which say their own leave."""
    return area - sum(one.area or 0.0 for one in assemblies if one.part == name)


def roof_problems(checked: CaseFile) -> Iterator[Found]:
    """Parts that there are not, and parts whose assemblies do not fill them."""
    if checked.roof is None:
        yield from _without_roof(checked)
        return
    roof = drawn(checked)
    known = parts(roof)
    for number, one in enumerate(checked.assembly):
        if one.part is not None and one.part not in known:
            cure = nearest(one.part, known) or "it has none like this"
            listed = f"{cure} its parts are {', '.join(known)}"
            yield ("assembly", number, "part"), f"the roof has no part '{one.part}'", listed
    for name, part in known.items():
        yield from _shares(name, part.area, checked.assembly)
    under = [number for number, one in enumerate(checked.zone) if one.volume is None]
    for number in under[1:]:
        cure = f"add a volume: only '{checked.zone[under[0]].name}' is the attic under the roof"
        yield ("zone", number), "'volume' is missing", cure


def _without_roof(checked: CaseFile) -> Iterator[Found]:
    for number, one in enumerate(checked.assembly):
        if one.part is not None:
            cure = "describe the roof's pitch and plan in [roof], or write area and tilt"
            yield ("assembly", number, "part"), "there is no roof to be a part of", cure
    for number, zone in enumerate(checked.zone):
        if zone.volume is None:
            cure = 'add volume = "120 m3", or a [roof] over it'
            yield ("zone", number), "'volume' is missing", cure


def _shares(name: str, area: float, assemblies: Sequence[AssemblyText]) -> Iterator[Found]:
    """Assemblies of one part make up its area; one of them may leave its own out."""
    of_it = [(number, one) for number, one in enumerate(assemblies) if one.part == name]
    open_ = [number for number, one in of_it if one.area is None]
    for number in open_[1:]:
        cause, cure = f"two assemblies take the rest of the {name}", "give all but one an area"
        yield ("assembly", number, "part"), cause, cure
    left = _left(name, area, assemblies)
    too_much, too_little = left < -MISS * area, left > MISS * area and not open_
    if of_it and (too_much or too_little or (open_ and left <= MISS * area)):
        told = f"its assemblies have {area - left:.4g} m2, the {name} has {area:.4g} m2"
        cure = "leave the area of one of them out: it takes the rest"
        number = of_it[-1][0]
        place = "part" if of_it[-1][1].area is None else "area"
        yield ("assembly", number, place), told, "correct the areas" if open_ else cure
