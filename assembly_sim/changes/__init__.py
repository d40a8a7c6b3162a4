"""Changes of a case as data: what a probe, a comparison, a sweep or a desk turns.

A change is frozen, compares, hashes and pickles; `apply(case)` gives a new case and leaves the old
one as it is. Numbers are SI. The list is closed:

| change | what it does |
|---|---|
| `Set(path, value)` | puts a value in a field: thickness, material, leak, start, orientation ... |
| `Times(path, factor)` | multiplies a field: leak, thickness, conductivity of a material ... |
| `AddLayer(assembly, layer, before)` | puts a layer in; before None: innermost |
| `RemoveLayer(assembly, layer)` | takes a layer out |
| `FillCavity(assembly, layer, material)` | an air layer becomes a layer of a material |
| `ChangeSheet(assembly, layer, sheet)` | another sheet in place of one, or before a layer |
| `Seal(assembly, share)` | closes a share of the air leak |
| `SealOpening(opening, share)` | closes a share of an opening; the others keep their sizes |
| `SealBetween(one, other, share)` | closes a share of every opening between two spaces |
| `DuctsIndoors(ducts)` | ducts moved from a zone into the rooms |
| `RemoveFan(fan)` | takes a fan out |
| `WinterHumidity(points)` | a room damper in winter by points of humidity |

A path names a field as the case file does, `assembly."North roof".layer."foam".thickness` or
`zone."attic".air_changes` (`changes.path`). What is not there raises InputError with the nearest
name.
"""

from assembly_sim.changes.ducts import DuctsIndoors, RemoveFan
from assembly_sim.changes.field import Set, Times
from assembly_sim.changes.layers import AddLayer, ChangeSheet, FillCavity, RemoveLayer
from assembly_sim.changes.leak import Seal, SealBetween, SealOpening
from assembly_sim.changes.room import WinterHumidity
from assembly_sim.changes.words import Words, plain
from assembly_sim.model import Case

Change = (
    Set
    | Times
    | AddLayer
    | RemoveLayer
    | FillCavity
    | ChangeSheet
    | Seal
    | SealOpening
    | SealBetween
    | DuctsIndoors
    | RemoveFan
    | WinterHumidity
)

__all__ = [
    "AddLayer",
    "Change",
    "ChangeSheet",
    "DuctsIndoors",
    "FillCavity",
    "RemoveFan",
    "RemoveLayer",
    "Seal",
    "SealBetween",
    "SealOpening",
    "Set",
    "Times",
    "WinterHumidity",
    "Words",
    "applied",
    "plain",
]


def applied(case: Case, *changes: Change) -> Case:
    """The case with the changes made one after the other. InputError for what cannot be."""
    for change in changes:
        case = change.apply(case)
    return case
