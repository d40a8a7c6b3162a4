"""How an assembly stands: as a roof, a wall or a floor over outdoors."""

from __future__ import annotations

from assembly_sim.model import Assembly
from assembly_sim.physics.surface import heat_flow_direction


def is_roof(assembly: Assembly) -> bool:
    """Whether heat leaves upward: tilt below 60 degrees, as ISO 6946 draws the line."""
    return heat_flow_direction(assembly.outer.tilt) == "up"


def is_wall(assembly: Assembly) -> bool:
    """Whether heat leaves sideways, tilt from 60 to 120 degrees: clad and drained as walls are."""
    return heat_flow_direction(assembly.outer.tilt) == "horizontal"
