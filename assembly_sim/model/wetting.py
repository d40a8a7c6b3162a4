"""Whether the plane that an opening's air is said to wet is one that this air comes by."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assembly_sim.model.assembly import OUTDOORS, AirLayer, Assembly, Layer, in_place_of
from assembly_sim.model.opening import Opening, Wetted
from assembly_sim.model.ranges import refused
from assembly_sim.model.zone import Zone

MAIN = "main"  # the route that no bridge takes


def refuse_wet_nowhere(
    opening: Opening, assemblies: Iterable[Assembly], zones: Iterable[Zone]
) -> None:
    """InputError where an opening wets a layer or a route that is not there, or that it misses."""
    wets = opening.wets
    if wets is None:
        return
    where = f"opening {opening.name}.wets"
    if not list(zones):
        cause = "without a zone each assembly is computed alone, with no air but that of its leak"
        raise refused(where, cause, f"give {wets.assembly} a leak in this opening's place")
    by_name = {one.name: one for one in assemblies}
    if wets.assembly not in by_name:
        known = f"name one of {', '.join(by_name)}"
        raise refused(where, f"there is no assembly '{wets.assembly}'", known)
    found = by_name[wets.assembly]
    for cause, cure in (*_lost(wets, found), *_missed(opening, found, zones)):
        raise refused(where, cause, cure)


def _lost(wets: Wetted, found: Assembly) -> Iterator[tuple[str, str]]:
    """The layer or the route that the assembly does not have."""
    layers = [one for one in found.layers if one.name == wets.layer]
    if len(layers) != 1 or isinstance(layers[0], AirLayer):
        solid = [one.name for one in found.layers if not isinstance(one, AirLayer)]
        cause = f"'{wets.layer}' is not one of the solid layers of {found.name}"
        yield cause, f"its air wets the inner face of one of {', '.join(solid)}"
    paths = [MAIN, *(one.path for layer in found.layers for one in in_place_of(layer))]
    if wets.path is not None and wets.path not in paths:
        cure = f"name one of {', '.join(dict.fromkeys(paths))}, or leave it out"
        yield f"{found.name} has no path '{wets.path}'", cure
    for layer in layers:
        defects = layer.defects if isinstance(layer, Layer) else ()
        if any(one.path == wets.path and not one.left for one in defects):
            yield f"'{wets.layer}' is not there on the path '{wets.path}'", "name another layer"


def _missed(opening: Opening, found: Assembly, zones: Iterable[Zone]) -> Iterator[tuple[str, str]]:
    """An assembly that the air does not come by: neither through it nor into a zone beside it."""
    ends, around = {opening.inside, opening.outside}, {found.inside, found.outside}
    if ends != around and not ends & around & {zone.name for zone in zones}:
        cause = f"its air goes from {opening.inside} to {opening.outside}, not by {found.name}"
        yield cause, "name an assembly between these two, or beside the zone it comes into"


def ways_by(opening: Opening, found: Assembly) -> tuple[bool, bool]:
    """Whether air comes by the assembly as it goes outward, and as it goes inward.

    Between the same two spaces both ways; else only as it comes into the space that they share.
    """
    around = {found.inside, found.outside} - {OUTDOORS}
    through = {opening.inside, opening.outside} == {found.inside, found.outside}
    return through or opening.outside in around, through or opening.inside in around
