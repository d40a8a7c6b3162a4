"""The assembly to scale, with its layers in the reader's units and the places that matter."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from assembly_sim.checks.planes import place_of
from assembly_sim.envelope.resistances import material_on_path, path_shares
from assembly_sim.model import AirLayer, Assembly, Layer, Material, Membrane
from assembly_sim.model.assembly import OUTDOORS, AnyLayer
from assembly_sim.report.page.content import Cell, Column, DataTable, Figure
from assembly_sim.report.page.plots import Build, Mark, Member, Piece
from assembly_sim.report.page.view import View
from assembly_sim.verdict.place import layer_named
from assembly_sim.verdict.rules import Judged
from assembly_sim.words.checks import TELLINGS, title, value_and_limit, when
from assembly_sim.words.figures import figure, limit_figure

MARKS = 3
LETTERS = "ABC"
SCALES = {
    "si": (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0),
    "ip": (0.0127, 0.0254, 0.0508, 0.1524, 0.3048),
}
FILLS = (  # kinds of materials, the first that fits
    ("air-impermeable insulation", "foam"),
    ("foam plastic", "foam"),
    ("insulation", "fibre"),
    ("wood", "wood"),
    ("wood-based board", "wood"),
    ("masonry", "masonry"),
    ("metal", "metal"),
    ("gypsum", "board"),
)


def fill_of(material: Material | None) -> str:
    """How a material is drawn, by its kinds."""
    if material is None:
        return "air"
    return next((fill for kind, fill in FILLS if kind in material.kinds), "other")


def build_figure(view: View) -> Figure:
    """The drawing, with at most three places marked where something that decides is not dry."""
    assembly = view.found.assembly
    marks = tuple(_marks(view))
    return Figure(
        name=f"build-{view.number}",
        title="Drawn to scale, as it stands",
        says=_says(view, marks),
        reading=(
            "Layers from outside to inside, as they stand; framing is drawn by its share of the "
            "area and not by its spacing, sheets as lines."
        ),
        plot=Build(
            pieces=tuple(_pieces(view)),
            members=tuple(_members(assembly)),
            marks=marks,
            tilt=degrees(assembly.outer.tilt),
            outside=outside_of(assembly),
            inside=assembly.inside,
            scale=_scale(assembly, view.system),
        ),
        table=layers_table(view),
    )


def outside_of(assembly: Assembly) -> str:
    """What lies outside, in a word: a space of the house by its name."""
    if assembly.outside != OUTDOORS:
        return assembly.outside
    return "attic or the like" if assembly.outer.sheltered else OUTDOORS


def depths(assembly: Assembly) -> list[float]:
    """Depth (m) of each plane between layers, from the outer surface on."""
    found = [0.0]
    for layer in assembly.layers:
        found.append(found[-1] + (0.0 if isinstance(layer, Membrane) else layer.thickness))
    return found


def _pieces(view: View) -> Iterator[Piece]:
    layers = view.found.assembly.layers
    bounds = depths(view.found.assembly)
    for layer, start, stop in zip(layers, bounds, bounds[1:]):
        material = layer.material if isinstance(layer, Layer) else None
        yield Piece(layer.name, _detail(layer, view.system), fill_of(material), start, stop)


def _detail(layer: AnyLayer, system: str) -> str:
    """Thickness and material, without what the layer's name says already."""
    if isinstance(layer, Membrane):
        return "sheet" if layer.sheet.name == layer.name else layer.sheet.name
    thick = figure(layer.thickness, "length", system)
    if isinstance(layer, AirLayer):
        vented = f", {layer.air_changes:g} air changes an hour" if layer.air_changes else ""
        return f"{thick}, air{vented}"
    return thick if layer.material.name == layer.name else f"{thick}, {layer.material.name}"


def _members(assembly: Assembly) -> Iterator[Member]:
    """Framing of each path: one member for every run of layers that the same material fills."""
    bounds, shares = depths(assembly), path_shares(assembly)
    for path, share in list(shares.items())[1:]:
        for index, layer in enumerate(assembly.layers):
            if isinstance(layer, Membrane):
                continue
            bridge = next((one for one in layer.bridges if one.path == path), None)
            if bridge is not None:
                fill = fill_of(bridge.material)
                yield Member(path, share, bounds[index], bounds[index + 1], fill)


def _scale(assembly: Assembly, system: str) -> tuple[float, str]:
    """The longest bar that is no longer than the assembly is thick."""
    thick = depths(assembly)[-1]
    long = max((one for one in SCALES[system] if one <= thick), default=SCALES[system][0])
    return long, limit_figure(long, "length", system)


def _marks(view: View) -> Iterator[Mark]:
    """The worst places of what decides that are not dry with margin, each once."""
    seen: set[str] = set()
    for judged in view.one.verdict.judged:
        finding = judged.finding
        depth = _depth(view, judged)
        if judged.rank < 1 or finding.place in seen or depth is None:
            continue
        if len(seen) == MARKS:
            return
        seen.add(finding.place)
        yield Mark(depth, LETTERS[len(seen) - 1], _mark_words(view, judged))


def _mark_words(view: View, judged: Judged) -> str:
    finding = judged.finding
    value = value_and_limit(finding, view.system)[0]
    value = value.removeprefix("-") if TELLINGS[finding.check].kind == "areal mass" else value
    time = f", {when(finding)}" if when(finding) else ""
    return f"{title(finding, view.system)} {value}{time}: {finding.place}"


def _depth(view: View, judged: Judged) -> float | None:
    """Depth of the plane that a finding names, or of the middle of its layer."""
    finding = judged.finding
    path = next((one for one in view.found.paths if one.name == finding.path), None)
    if path is None:
        return None
    for plane in path.planes:
        if finding.place in (place_of(plane), plane.name):
            return plane.depth
    layer = layer_named(view.found.assembly, path, finding.place)
    bounds = depths(view.found.assembly)
    return None if layer is None else 0.5 * (bounds[layer] + bounds[layer + 1])


def _says(view: View, marks: tuple[Mark, ...]) -> str:
    found, assembly = view.one.verdict, view.found.assembly
    thick = figure(depths(assembly)[-1], "length", view.system)
    said = f"{thick} thick in all, of {len(assembly.layers)} layers and sheets. "
    if not found.judged:
        return f"{said}No place is marked, since there is no verdict."
    if not marks and found.rank:
        return f"{said}What decides lies at no place that can be marked."
    if not marks:
        return f"{said}No place is marked: nothing that decides here comes near its limit."
    last = ("A marks", "A and B mark", "A to C mark")[len(marks) - 1]
    return (
        f"{said}{last} where what decides comes nearest to a limit or passes it, the worst first."
    )


def layers_table(view: View) -> DataTable:
    """Layers outside to inside with thickness, material and what fills them on other paths."""
    assembly = view.found.assembly
    unit = view.unit("length")
    rows: list[tuple[Cell, ...]] = [
        (number, layer.name, *_filled(view, layer), _other_paths(assembly, layer))
        for number, layer in enumerate(assembly.layers, start=1)
    ]
    columns = (
        *(Column("no.", 0), Column("layer"), Column("material or sheet")),
        *(Column(f"thickness, {unit}", 1 if view.system == "si" else 2), Column("on other paths")),
    )
    return DataTable("layers", "Layers, outside to inside", columns, tuple(rows))


def _filled(view: View, layer: AnyLayer) -> tuple[Cell, Cell]:
    """What a layer is made of, and its thickness."""
    if isinstance(layer, Membrane):
        return layer.sheet.name, None
    name = layer.material.name if isinstance(layer, Layer) else "air"
    return name, float(view.shown(layer.thickness, "length"))


def _other_paths(assembly: Assembly, layer: AnyLayer) -> str:
    told = []
    for path, share in list(path_shares(assembly).items())[1:]:
        if not isinstance(layer, Membrane) and any(b.path == path for b in layer.bridges):
            material = material_on_path(layer, path)
            told.append(f"{path}: {material.name if material else 'air'}, {100 * share:.3g} %")
    return "; ".join(told)
