"""From the shape of an opening to its law of flow, and a test's figure to openings not sized."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from assembly_sim.model.opening import (
    OUTDOORS,
    Gap,
    LeakageArea,
    MeasuredFlow,
    Opening,
    RoundHole,
    SizedShape,
    SquareHole,
    Unsized,
)
from assembly_sim.model.ranges import refused
from assembly_sim.physics.airflow import (
    SHARP_EDGED,
    flow_coefficient,
    hole_area,
    leakage_area,
    power_law_flow,
)


@dataclass(frozen=True)
class Law:
    """Flow c |dp|^n, m3/s of air of 1.2 kg/m3: coefficient (m3/s Pa^-n) and exponent."""

    coefficient: float
    exponent: float

    def flow(self, pressure: float) -> float:
        """Flow (m3/s) at a pressure (Pa)."""
        return float(power_law_flow(self.coefficient, pressure, self.exponent))


def law(shape: SizedShape) -> Law:
    """The law of flow of a shape: an orifice, or a power law through what is known of it."""
    if isinstance(shape, LeakageArea):
        return Law(flow_coefficient(shape.area, shape.exponent), shape.exponent)
    if isinstance(shape, MeasuredFlow):
        return Law(shape.flow / shape.pressure**shape.exponent, shape.exponent)
    return Law(flow_coefficient(free_area(shape), 0.5, discharge=SHARP_EDGED), 0.5)


def free_area(shape: SizedShape) -> float:
    """Area (m2) of a hole; of a leakage area or a tested flow that of the hole equal at 4 Pa."""
    if isinstance(shape, Gap):
        return shape.width * shape.length
    if isinstance(shape, RoundHole):
        return hole_area(shape.diameter)
    if isinstance(shape, SquareHole):
        return shape.side**2
    if isinstance(shape, LeakageArea | MeasuredFlow):
        return leakage_area(law(shape).flow(4.0), 4.0, SHARP_EDGED)
    return shape.area


def sized(openings: Sequence[Opening], test: MeasuredFlow | None = None) -> tuple[Opening, ...]:
    """Openings with a size each: those without share, by weight, what a test leaves to them.

    `test` is the blower door's figure of the whole house: what the openings to outdoors of known
    size pass at its pressure is taken off. Raises InputError where that is more than was measured,
    where nothing is left to be sized, or where a size is missing and there is no test.
    """
    weights = [one.shape.weight for one in openings if isinstance(one.shape, Unsized)]
    if test is None:
        if weights:
            raise refused("openings", "one has no size", "give its size, or a test of the house")
        return tuple(openings)
    left = _left(openings, test, bool(weights))
    total = sum(weights)
    return tuple(
        replace(one, shape=replace(test, flow=left * one.shape.weight / total))
        if isinstance(one.shape, Unsized)
        else one
        for one in openings
    )


def _left(openings: Sequence[Opening], test: MeasuredFlow, any_unsized: bool) -> float:
    """Flow (m3/s) that a test leaves to the openings without a size."""
    known = sum(
        law(one.shape).flow(test.pressure)
        for one in openings
        if not isinstance(one.shape, Unsized) and one.outside == OUTDOORS
    )
    told = f"openings pass {known:.3g} m3/s at {test.pressure:g} Pa, the test {test.flow:.3g}"
    if any_unsized and known >= test.flow:
        raise refused("openings", f"{told}: nothing is left", "make the known ones smaller")
    if not any_unsized:
        raise refused("openings", f"{told}, and all have a size", "leave one of them unsized")
    return test.flow - known
