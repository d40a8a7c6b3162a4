"""Where the air of an opening mixes that wets a plane: nodes of the paths that march together."""

from __future__ import annotations

from collections.abc import Sequence

from assembly_sim.envelope.paths import OnPath, on_path
from assembly_sim.model import Assembly, Layer, Opening
from assembly_sim.model.wetting import ways_by
from assembly_sim.solver.join import Part, place_of
from assembly_sim.solver.streams import Leakage


def inner_plane(own: OnPath, drawn: int) -> int:
    """The plane at the inner face of the drawn assembly's layer of that index, on one path.

    Of a layer that is not there on the path: the plane where it would be.
    """
    here = [
        place
        for place, (index, piece) in enumerate(zip(own.drawn, own.assembly.layers))
        if index == drawn and isinstance(piece, Layer)
    ]
    return here[-1] + 1 if here else sum(index <= drawn for index in own.drawn)


def wetted_by(
    opening: Opening,
    assemblies: Sequence[Assembly],
    paths: Sequence[tuple[int, str, float]],
    parts: Sequence[Part],
) -> tuple[Leakage, ...]:
    """Where an opening's air mixes; nowhere of one that wets nothing.

    paths: each part's number of its assembly, name and share. All air of the opening spreads over
    the area of its path, or over the whole assembly.
    """
    wets = opening.wets
    if wets is None:
        return ()
    number = [one.name for one in assemblies].index(wets.assembly)
    found = assemblies[number]
    drawn = [one.name for one in found.layers].index(wets.layer)
    out, back = ways_by(opening, found)
    leaks = []
    for part, (which, path, share) in enumerate(paths):
        if which != number or wets.path not in (None, path):
            continue
        plane = inner_plane(on_path(found, path), drawn)
        node = place_of(parts, part) + int(parts[part].mesh.chain.plane_node[plane])
        spread = (share, found.area) if wets.path is None else (1.0, found.area * share)
        leaks.append(Leakage(*spread, node if out else None, node if back else None))
    return tuple(leaks)
