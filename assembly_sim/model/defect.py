"""Where insulation is missing, thin or crushed over a share of the area: a route of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.material import Material
from assembly_sim.model.ranges import THINNEST, refuse_outside, refused
from assembly_sim.physics.compression import DENSEST, still_air_conductivity

INSULATIONS = frozenset({"insulation", "air-impermeable insulation"})
WOODS = frozenset({"wood", "wood-based board"})
SIDES = ("outer", "inner")
MOST_CONDUCTIVE = 5.0
"""W/(m K) of what may bridge a layer: the hardest stone has 3.5, stainless steel 17."""


@dataclass(frozen=True)
class Defect:
    """Insulation that is not there, or not as drawn, over a share of the area.

    left: its thickness there, m; 0 is a void. compressed: pressed to that thickness, so denser, and
    not merely thinner. space: on which side of it the air is left, `outer` or `inner`. Defects and
    bridges of one `path` name in several layers are one route, with one share.
    """

    path: str
    share: float
    left: float = 0.0
    compressed: bool = False
    space: str = "outer"

    def __post_init__(self) -> None:
        check_fields(self)
        where = f"defect {self.path}"
        left = ("thickness left", self.left)
        refuse_outside(where, share=("bridge share", self.share), left=left)
        if self.space not in SIDES:
            raise refused(f"{where}.space", f"'{self.space}' is no side", 'give "outer" or "inner"')
        if self.compressed and self.left == 0.0:
            raise refused(f"{where}.left", "nothing is pressed to nothing", "give what is left")


def refuse_defects(
    where: str, material: Material, thickness: float, defects: Iterable[Defect]
) -> None:
    """Raise InputError for the first defect that a layer of this material (m) cannot have."""
    for defect in defects:
        found = trouble(material, thickness, defect)
        if found is not None:
            raise refused(f"{where}.defects", f"{defect.path}: {found[0]}", found[1])


def trouble(material: Material, thickness: float, defect: Defect) -> tuple[str, str] | None:
    """Why a layer (m) cannot have this defect: cause and cure, None where it can."""
    if not material.kinds & INSULATIONS or material.kinds & WOODS:
        cure = 'write it as a bridge, or give your own material the kind "insulation"'
        return f"only insulation has defects, and {material.name} is none", cure
    if 0.0 < defect.left < 10.0 * THINNEST or defect.left > thickness - 10.0 * THINNEST:
        cure = f"leave out what is as drawn; else give 0 or {1e4 * THINNEST:g} mm and more of each"
        return "what is left is as thick as the layer, or next to nothing", cure
    return _compression_trouble(material, thickness, defect) if defect.compressed else None


def _compression_trouble(
    material: Material, thickness: float, defect: Defect
) -> tuple[str, str] | None:
    curve = material.conductivity
    if "air-impermeable insulation" in material.kinds or any(
        np.asarray(curve.y) <= still_air_conductivity(curve.x)
    ):
        cure = "give it as left, which is thinner but no denser"
        return f"{material.name} is not of fibres that can be pressed together", cure
    density = material.density * thickness / defect.left
    if density > DENSEST:
        cure = f"give no less than {1000 * thickness * material.density / DENSEST:.0f} mm"
        return f"{density:.0f} kg/m3 is past the law of compressed fibres ({DENSEST:g})", cure
    return None


def metal_trouble(material: Material) -> tuple[str, str] | None:
    """Why a material cannot bridge a layer as a parallel route: cause and cure, None: it can.

    Parallel routes hold where conductivities are of one order (ASHRAE Fundamentals 2021, ch. 27).
    """
    most = max(material.conductivity.y)
    if most <= MOST_CONDUCTIVE:
        return None
    cause = (
        f"{material.name} conducts {most:g} W/(m K), hundreds of times what wood does: heat "
        "gathers in it from the sides, which routes side by side do not see"
    )
    cure = "metal framing needs a zone method by hand; lower the insulation to what that gives"
    return cause, cure
