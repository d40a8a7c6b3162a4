"""A march of one path in the words of a result, and how it ended."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from assembly_sim.boundary.carried import streams
from assembly_sim.model import Assembly
from assembly_sim.solver.chain import Mesh
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.march import March, suction_of
from assembly_sim.solver.result import Outcome, PathResult

Floats = NDArray[np.float64]

CAUSES = {
    numbers.NO_STEP: (
        "no time step down to 0.1 s converged",
        "look at the layer's curves (a jump near saturation?), its thickness and the rain on it",
    ),
    numbers.NOT_FINITE: (
        "a state that is not a number",
        "look at the layer's curves and at the climate in that hour",
    ),
    numbers.OUT_OF_RANGE: (
        "its temperature left the range of -89 to 149 degC",
        "look at the outer surface (dark, of low emittance?) and at the sun in that hour",
    ),
}


def path_result(found: March, path: str, share: float, rows: Floats, air: float) -> PathResult:
    """A march in the words of a result, fluxes turned to positive outward.

    rows: those it was marched under; air: kg/(m2 s) through the layers, positive outward.
    """
    mesh, year = found.mesh, streams(rows, air)
    inward = (numbers.AIR_AT_OUTER, numbers.AIR_AT_ROOM) if air < 0.0 else ()
    inward = (numbers.LEAK_INWARD, *inward)
    return PathResult(
        name=path,
        share=share,
        planes=mesh.planes,
        temperature=found.planes[0],
        vapour_pressure=found.planes[1],
        relative_humidity=found.humidity,
        free_water=found.film,
        layer_water=found.layers,
        layer_ice=found.ice,
        initial_layer_water=found.initial_layers,
        heat_flux_room=_flow(found, 2, numbers.ROOM_SURFACE),
        heat_flux_outdoors=-_flow(found, 2, numbers.OUTER_SURFACE),
        vapour_flux_room=_flow(found, 0, numbers.ROOM_SURFACE),
        vapour_flux_outdoors=-_flow(found, 0, numbers.OUTER_SURFACE),
        rain=_flow(found, 0, numbers.RAIN, numbers.LEAKED_RAIN),
        leak_vapour=_flow(found, 0, numbers.LEAK_OUTWARD, numbers.LEAK_INWARD),
        leak_heat=_flow(found, 2, numbers.LEAK_OUTWARD, numbers.LEAK_INWARD),
        carried_heat=np.resize(year.outgoing_heat, found.hours) + _flow(found, 2, *inward),
        carried_vapour=np.resize(year.outgoing_vapour, found.hours) + _flow(found, 0, *inward),
        heat_balance_error=found.heat_balance_error,
        moisture_balance_error=found.moisture_balance_error,
        state_defect=found.state_defect,
        statistics=found.statistics,
        profiles=_profiles(found),
        drained=-_flow(found, 0, numbers.DRAIN),
    )


def _flow(found: March, field: int, *kinds: int) -> Floats:
    """Sum of the flows of these kinds, (hours,): field 0 water, 1 enthalpy, 2 sensible heat."""
    return found.flows[:, np.isin(found.mesh.chain.kinds, kinds), field].sum(axis=1)


def _profiles(found: March) -> dict[str, Floats] | None:
    if found.profile is None:
        return None
    width = found.mesh.chain.nodes[:, numbers.WIDTH]
    return {
        "depth": found.mesh.depth,
        "width": width,
        "temperature": found.profile[:, 0],
        "suction": suction_of(found.profile[:, 1]),
        "water_content": found.profile[:, 2] / np.where(width > 0.0, width, np.inf),
    }


def path_outcome(found: March, assembly: Assembly, path: str) -> Outcome:
    """How the march of a path ended, and where it stopped."""
    if found.code == numbers.COMPLETED:
        return Outcome()
    cause, cure = CAUSES[found.code]
    if not 0 <= found.node < len(found.mesh.depth):  # elsewhere in a house
        return Outcome("stopped", found.hours, path, cause=cause, cure=cure)
    layer = _layer_near(found.mesh, found.node)
    number = found.mesh.chain.materials[found.node, numbers.OUTER_MATERIAL]
    material = found.mesh.materials[number]
    return Outcome(
        name="stopped",
        hour=found.hours,
        path=path,
        layer=assembly.layers[layer].name,
        material=material.name if material else "",
        cause=cause,
        cure=cure,
    )


def _layer_near(mesh: Mesh, node: int) -> int:
    """Number of the layer that holds a node, or the one whose cells are nearest to a plane."""
    layer = mesh.chain.materials[:, numbers.LAYER]
    cells = np.flatnonzero(layer >= 0)
    return int(layer[cells[np.argmin(np.abs(cells - node))]])
