"""Layers put in, taken out, filled, and sheets exchanged; leaked rain still drains where it did."""

from __future__ import annotations

from dataclasses import dataclass, replace

from assembly_sim.changes.path import changed_at, not_there, place_of
from assembly_sim.changes.words import Quantity, Words, named
from assembly_sim.envelope.airways import is_airtight
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.errors import InputError, Problem
from assembly_sim.model import AirLayer, Assembly, Case, Layer, Material, Membrane, Sheet
from assembly_sim.model.assembly import NOWHERE, AnyLayer


@dataclass(frozen=True)
class AddLayer:
    """A layer put in on the outer side of another (its name or index); before None: innermost."""

    assembly: str
    layer: AnyLayer
    before: str | int | None = None

    def apply(self, case: Case) -> Case:
        """The case with this layer more."""

        def change(old: Assembly) -> Assembly:
            index = len(old.layers)
            if self.before is not None:
                index = _index(old, self.before)
            return inserted(old, index, self.layer)

        return _in_assembly(case, self.assembly, change)

    @property
    def words(self) -> Words:
        """`North roof: {0} of polyiso outside roof deck`."""
        place = "innermost" if self.before is None else f"outside {_called(self.before)}"
        text, size = _said(self.layer)
        return Words(f"{named(self.assembly)}: {text} {named(place)}", size)


@dataclass(frozen=True)
class RemoveLayer:
    """A layer taken out. InputError where leaked rain is said to drain onto it."""

    assembly: str
    layer: str | int

    def apply(self, case: Case) -> Case:
        """The case without this layer."""

        def change(old: Assembly) -> Assembly:
            index = _index(old, self.layer)
            if old.outer.leaked_rain_layer == old.layers[index].name:
                cause = "leaked rain drains onto this layer"
                cure = "set leaked_rain_layer to another first"
                raise InputError(Problem(cause, cure, field=f"{old.name}: {self.layer}"))
            return replace(old, layers=(*old.layers[:index], *old.layers[index + 1 :]))

        return _in_assembly(case, self.assembly, change)

    @property
    def words(self) -> Words:
        """`North roof: without paint`."""
        return Words(named(f"{self.assembly}: without {_called(self.layer)}"))


@dataclass(frozen=True)
class FillCavity:
    """An air layer filled with a material, as thick as it was; what was vented no longer is.

    Rain that drained down behind the cavity now meets the fill, on its outer face.
    """

    assembly: str
    layer: str | int
    material: Material

    def apply(self, case: Case) -> Case:
        """The case with this cavity filled. InputError where the layer is no air."""

        def change(old: Assembly) -> Assembly:
            index = _index(old, self.layer)
            air = old.layers[index]
            if not isinstance(air, AirLayer):
                names = [one.name for one in old.layers if isinstance(one, AirLayer)]
                cause = f"'{air.name}' is no air layer"
                raise not_there(cause, "", names, ("assembly", old.name, "layer", self.layer))
            filled = Layer(air.name, self.material, air.thickness)
            drainage, outer = drainage_plane(old), old.outer
            if drainage is not None and drainage > index:
                outer = replace(outer, leaked_rain_layer=air.name)
            layers = (*old.layers[:index], filled, *old.layers[index + 1 :])
            return replace(old, outer=outer, layers=layers)

        return _in_assembly(case, self.assembly, change)

    @property
    def words(self) -> Words:
        """`West gable: vented gap filled with cellulose`."""
        return Words(
            named(f"{self.assembly}: {_called(self.layer)} filled with {self.material.name}")
        )


@dataclass(frozen=True)
class ChangeSheet:
    """Another sheet in place of the one at `layer`; where no sheet is there, put in before it.

    What replaces a sheet is as airtight as that was, and what is put in is not, so that only
    vapour changes.
    """

    assembly: str
    layer: str | int
    sheet: Sheet

    def apply(self, case: Case) -> Case:
        """The case with this sheet."""

        def change(assembly: Assembly) -> Assembly:
            index = _index(assembly, self.layer)
            old = assembly.layers[index]
            if not isinstance(old, Membrane):
                return inserted(assembly, index, Membrane(self.sheet.name, self.sheet, False))
            new = replace(old, sheet=self.sheet, name=self.sheet.name, airtight=is_airtight(old))
            drained = assembly.outer.leaked_rain_layer
            outer = replace(
                assembly.outer, leaked_rain_layer=new.name if drained == old.name else drained
            )
            layers = (*assembly.layers[:index], new, *assembly.layers[index + 1 :])
            return replace(assembly, outer=outer, layers=layers)

        return _in_assembly(case, self.assembly, change)

    @property
    def words(self) -> Words:
        """`North roof: kraft facing at vapour retarder`."""
        return Words(named(f"{self.assembly}: {self.sheet.name} at {_called(self.layer)}"))


def inserted(assembly: Assembly, index: int, layer: AnyLayer) -> Assembly:
    """The assembly with a layer put in before layer `index`."""
    drainage = drainage_plane(assembly)
    drained = NOWHERE if drainage is None else assembly.layers[drainage].name
    layers = (*assembly.layers[:index], layer, *assembly.layers[index:])
    outer = replace(assembly.outer, leaked_rain_layer=drained)
    return replace(assembly, outer=outer, layers=layers)


def _called(layer: str | int) -> str:
    return layer if isinstance(layer, str) else f"layer {layer + 1}"


def _in_assembly(case: Case, name: str, change: object) -> Case:
    return changed_at(case, ("assembly", name), change)  # type: ignore[arg-type]


def _index(assembly: Assembly, layer: str | int) -> int:
    return place_of(assembly.layers, layer, ("assembly", assembly.name, "layer", layer))


def _said(layer: AnyLayer) -> tuple[str, tuple[Quantity, ...]]:
    if isinstance(layer, Membrane):
        return named(layer.sheet.name), ()
    inside = "air" if isinstance(layer, AirLayer) else layer.material.name
    return f"{{0}} of {named(inside)}", ((layer.thickness, "length"),)
