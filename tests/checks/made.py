"""A wall with the plane states that a test writes down, as a run would give them back."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np

from assembly_sim.checks.finding import Finding
from assembly_sim.model import AirLeak, Assembly, Layer, Material, OuterSurface
from assembly_sim.physics.moist_air import saturation_pressure
from assembly_sim.solver.result import AssemblyResult, PathResult, Plane, Result
from assembly_sim.studies.probe import Trial
from assembly_sim.verdict.rules import Judged
from assembly_sim.verdict.verdict import LeakTested, Verdict
from assembly_sim.verdict.withheld import Withheld
from tests import synthetic

YEAR = 8760
BOARD = dataclasses.replace(synthetic.BOARD, kinds=frozenset({"wood-based board"}))
BRICK = dataclasses.replace(
    BOARD,
    name="brick",
    density=1800.0,
    porosity=0.4,
    kinds=frozenset({"masonry"}),
    mould_class="medium resistant",
)
LEAK = AirLeak(2e-4, 75.0)


def wall(board: Material = BOARD, leak: AirLeak | None = LEAK, tilt: float = 90.0) -> Assembly:
    surface = OuterSurface(math.radians(tilt), 0.0, solar_absorptance=0.6, emittance=0.9)
    layers = (
        Layer("sheathing", board, 0.012),
        Layer("batt", synthetic.BATT, 0.14),
        Layer("lining", BOARD, 0.0125),
    )
    return Assembly("wall", 10.0, surface, layers, leak)


def planes(board: Material) -> tuple[Plane, ...]:
    batt = synthetic.BATT
    return (
        Plane(0, "outer surface", "both", 0.0, None, board, "outdoors"),
        Plane(1, "sheathing | batt", "both", 0.012, board, batt, "room"),
        Plane(2, "batt | lining", "both", 0.152, batt, BOARD, "room"),
        Plane(3, "inner surface", "both", 0.1645, BOARD, None, "room"),
    )


def path(board: Material, hours: int, temperature: Any, humidity: Any, **fields: Any) -> PathResult:
    """Temperatures (K) and humidities (0-1) of the planes, of any shape that fits (hours, 4)."""
    kelvin = np.broadcast_to(np.asarray(temperature, dtype=float), (hours, 4)).copy()
    nothing = np.zeros(hours)
    made = PathResult(
        name="main",
        share=1.0,
        planes=planes(board),
        temperature=kelvin,
        vapour_pressure=saturation_pressure(kelvin) * humidity,
        relative_humidity=np.broadcast_to(np.asarray(humidity, dtype=float), (hours, 4)).copy(),
        free_water=np.zeros((hours, 4)),
        layer_water=np.tile([0.10 * 500.0 * 0.012, 0.0, 0.08 * 500.0 * 0.0125], (hours, 1)),
        layer_ice=np.zeros((hours, 3)),
        initial_layer_water=np.zeros(3),
        heat_flux_room=nothing,
        heat_flux_outdoors=nothing,
        vapour_flux_room=nothing,
        vapour_flux_outdoors=nothing,
        rain=nothing,
        leak_vapour=nothing,
        leak_heat=nothing,
        carried_heat=nothing,
        carried_vapour=nothing,
        heat_balance_error=0.0,
        moisture_balance_error=0.0,
        state_defect=0.0,
    )
    return dataclasses.replace(made, **fields)


def run(
    temperature: Any = 283.15,
    humidity: Any = 0.6,
    years: int = 3,
    assembly: Assembly | None = None,
    case: dict[str, Any] | None = None,
    drivers: dict[str, Any] | None = None,
    **fields: Any,
) -> Result:
    """A run of whole years; `case`, `drivers` and `fields` of the path replace what is usual."""
    hours = years * YEAR
    drawn = assembly or wall()
    blank = synthetic.result(hours=hours, years=years, assemblies=(drawn,), **(case or {}))
    first = blank.assemblies[0]
    layer = drawn.layers[0]
    assert isinstance(layer, Layer)
    made = path(layer.material, hours, temperature, humidity, **fields)
    air = {name: np.broadcast_to(value, (hours,)) for name, value in (drivers or {}).items()}
    found = dataclasses.replace(
        first, paths=(made,), drivers=dataclasses.replace(first.drivers, **air)
    )
    return dataclasses.replace(blank, assemblies=(found,))


def only(result: Result) -> tuple[AssemblyResult, PathResult]:
    """The one assembly of a run and its one path."""
    found = result.assemblies[0]
    return found, found.paths[0]


def ranked(rank: int | None, change: str = "") -> Trial:
    """A changed case whose verdict is of this rank, None: withheld."""
    if rank is None:
        return Trial(change, Verdict(LeakTested(None), withheld=(Withheld("not converged"),)))
    finding = Finding("mould index", "deck", "main", 2.0, 3.0, decides=True, settled=2.0)
    return Trial(change, Verdict(LeakTested(None), (Judged(rank, rank, 1.0, finding),)))
