"""Assemblies that are parts of the case's `[roof]`: what they do not say of size and place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import degrees

from assembly_sim.envelope.roof_geometry import (
    Plane,
    RoofPlan,
    above_knee_walls,
    knee_parts,
    knee_space,
    roof,
    walls,
)
from assembly_sim.errors import InputError
from assembly_sim.files.case.house_schema import RoofText
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.schema import AssemblyText, CaseFile
from assembly_sim.files.words import nearest

Found = tuple[Path, str, str]
"""Where something is wrong, cause and cure."""

MISS = 1e-3  # of a part's area, which its assemblies may leave open or take twice


COMPASS = ("north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest")
FLOOR = "attic floor"


def drawn(text: RoofText) -> RoofPlan:
    """The plan that a case describes; InputError for what cannot be."""
    return RoofPlan(
        length=text.length,
        width=text.width,
        eave_height=text.eave_height,
        pitch=text.pitch,
        ridge_azimuth=text.ridge,
        kind=text.form,
        knee_wall=text.knee_wall,
    )


def parts(plan: RoofPlan) -> dict[str, Plane]:
    """Slopes, gables and walls by the side they face, `south slope`, and the `attic floor`.

    With knee walls what lies above and between them, and `south knee wall`, `south knee slope`,
    `south knee floor` and `south knee east end` of the space along each eave.
    """
    house, behind = roof(plan), knee_parts(plan)
    above = [above_knee_walls(one, plan) for one in (*house.slopes, *house.gables)]
    under = sum(one.area for one in behind if one.name.startswith("knee floor"))
    level = Plane(FLOOR, house.attic_floor - under, 0.0, 0.0, plan.eave_height)
    named = {_called(one): one for one in (*above, *walls(plan))}
    sides = {one.name: _side(one) for one in behind if one.name.startswith("knee wall")}
    return named | {FLOOR: level} | {_called_behind(one, sides): one for one in behind}


def _called_behind(plane: Plane, sides: dict[str, str]) -> str:
    """`south knee wall`, `south knee east end`: by the eave, and an end by its gable too."""
    word, eave = plane.name.split()[1:3]
    end = f"{_side(plane)} end" if word == "end" else word
    return f"{sides[f'knee wall {eave}']} knee {end}"


def knee_volumes(plan: RoofPlan) -> dict[str, float]:
    """Volume (m3) of the space behind each knee wall by its name, `south knee space`."""
    if plan.knee_wall is None:
        return {}
    names = [name for name in parts(plan) if name.endswith(" knee wall")]
    volume = knee_space(plan, plan.knee_wall).volume
    return {name.replace(" wall", " space"): volume for name in names}


def _called(plane: Plane) -> str:
    """`south slope`: the nearest point of the compass, and what it is."""
    return f"{_side(plane)} {plane.name.split()[0]}"


def _side(plane: Plane) -> str:
    """The nearest point of the compass that a plane faces."""
    return COMPASS[round(degrees(plane.azimuth) / 45.0) % 8]


def with_roof(checked: CaseFile) -> CaseFile:
    """The case with each part's area, tilt, azimuth and height said, and the attic's volume."""
    if checked.roof is None:
        return checked
    plan = drawn(checked.roof)
    known, knees = parts(plan), knee_volumes(plan)
    volume = roof(plan).attic_volume - sum(knees.values())
    rest = {name: _left(name, known[name].area, checked.assembly) for name in known}
    assemblies = [
        one if one.part not in known else _placed(one, known[one.part], rest[one.part])
        for one in checked.assembly
    ]
    zones = [
        one
        if one.volume is not None
        else one.model_copy(update={"volume": knees.get(one.part or "", volume)})
        for one in checked.zone
    ]
    return checked.model_copy(update={"assembly": assemblies, "zone": zones})


def _placed(text: AssemblyText, part: Plane, rest: float) -> AssemblyText:
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
    try:
        known = parts(drawn(checked.roof))
    except InputError as error:
        yield from ((("roof",), one.cause, one.cure) for one in error.problems)
        return
    for number, one in enumerate(checked.assembly):
        if one.part is not None and one.part not in known:
            cure = nearest(one.part, known) or "it has none like this"
            listed = f"{cure} its parts are {', '.join(known)}"
            yield ("assembly", number, "part"), f"the roof has no part '{one.part}'", listed
    for name, part in known.items():
        yield from _shares(name, part.area, checked.assembly)
    yield from _zone_parts(checked, [*knee_volumes(drawn(checked.roof))])
    bare = ((number, one) for number, one in enumerate(checked.zone) if one.part is None)
    under = [number for number, one in bare if one.volume is None]
    for number in under[1:]:
        cure = f"add a volume: only '{checked.zone[under[0]].name}' is the attic under the roof"
        yield ("zone", number), "'volume' is missing", cure


def _zone_parts(checked: CaseFile, known: Sequence[str]) -> Iterator[Found]:
    """Zones that are no space behind a knee wall, or that are two of one."""
    taken: set[str] = set()
    for number, one in enumerate(checked.zone):
        if one.part is None:
            continue
        if one.part not in known:
            spaces = f"its spaces are {', '.join(known)}" if known else "give it a knee_wall"
            cure = f"{nearest(one.part, known) or ''} {spaces}".strip()
            yield ("zone", number, "part"), f"the roof has no space '{one.part}'", cure
        if one.part in taken:
            yield ("zone", number, "part"), "another zone is this space", "name the other side's"
        taken.add(one.part)


def _without_roof(checked: CaseFile) -> Iterator[Found]:
    for number, one in enumerate(checked.assembly):
        if one.part is not None:
            cure = "describe the roof's pitch and plan in [roof], or write area and tilt"
            yield ("assembly", number, "part"), "there is no roof to be a part of", cure
    for number, zone in enumerate(checked.zone):
        if zone.part is not None:
            cure = 'describe it in [roof], with knee_wall = "4 ft"'
            yield ("zone", number, "part"), "there is no roof to be a space of", cure
        elif zone.volume is None:
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
    windowed = name.endswith(" wall") and "knee" not in name  # windows are no assemblies
    too_much = left <= MISS * area if open_ else left < -MISS * area
    too_little = left > MISS * area and not open_ and not windowed
    if of_it and (too_much or too_little):
        told = f"its assemblies have {area - left:.4g} m2, the {name} has {area:.4g} m2"
        cure = "correct the areas" if open_ else "leave the area of one out: it takes the rest"
        yield ("assembly", of_it[-1][0], "part"), told, cure
