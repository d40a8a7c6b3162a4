"""Openings made smaller or larger, and sized where a test of the house told their size."""

from __future__ import annotations

from dataclasses import replace

from assembly_sim.boundary.openings import free_area
from assembly_sim.boundary.tested import sized_in_house
from assembly_sim.model import Case
from assembly_sim.model.opening import FreeArea, LeakageArea, MeasuredFlow, SizedShape, Unsized


def scaled(shape: SizedShape, factor: float) -> SizedShape:
    """A shape that passes `factor` times the flow at any pressure; a hole keeps no form."""
    if isinstance(shape, LeakageArea):
        return replace(shape, area=shape.area * factor)
    if isinstance(shape, MeasuredFlow):
        return replace(shape, flow=shape.flow * factor)
    return FreeArea(free_area(shape) * factor)


def all_sized(case: Case) -> Case:
    """The case with a size for every opening, and no figure of a test left to share.

    Sealing one of those that share a figure must not let the others take its share.
    """
    if not any(isinstance(one.shape, Unsized) for one in case.openings):
        return case
    rooms = [one.name for one in case.rooms]
    openings = sized_in_house(case.openings, rooms, case.blower_door)
    return replace(case, openings=openings, blower_door=None)
