"""The hand methods beside a run, as text: a second opinion that leaves out leaks and storage."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator
from math import floor

from assembly_sim.hand.code_rows import CodeIndication
from assembly_sim.hand.code_tables import R_VALUE
from assembly_sim.hand.summary import SteadyCondensation, SteadySummary
from assembly_sim.report.blocks import Listing
from assembly_sim.units import show
from assembly_sim.words.figures import figure, say

TITLE = "Hand methods, for comparison (no storage, no liquid water, no air leak; they never decide)"


def steady_block(found: SteadySummary, system: str = "si") -> Listing:
    """Return the block of steady cross-checks of one assembly; `system` is `si` or `ip`."""
    lines = [
        *heat_lines(found, system),
        *(condensation_line(path, system) for path in found.condensation),
        *dew_point_lines(found, system),
        *vapour_lines(found, system),
        *(code_line(rule, system) for rule in found.code),
        *(say(remark, system) for remark in found.remarks),
    ]
    return Listing(TITLE, tuple(lines))


def dew_point_lines(found: SteadySummary, system: str) -> Iterator[str]:
    """Yield what the dew-point method finds, where the weather has a coldest month."""
    if found.dew_point_condensation is not None:
        amount = show(found.dew_point_condensation, "areal mass", system)
        yield f"dew-point method: {amount} in 30 days of the coldest month's means"


def heat_lines(found: SteadySummary, system: str) -> Iterator[str]:
    """Yield U-values by method, the surface temperature factor and the daily swing."""
    u = found.u_value

    parallel, isothermal, combined = (
        show(value, "transmittance", system) for value in (u.parallel, u.isothermal, u.combined)
    )
    yield (
        f"U-value: parallel paths {parallel.split()[0]}, isothermal planes "
        f"{isothermal.split()[0]}, combined (ISO 6946) {combined}"
        + ("" if u.valid else "; outside that method's range, the paths differ too much")
    )
    surface = found.surface
    none = (
        "the weather has not all months"
        if not found.condensation
        else "no month is colder outdoors"
    )
    least = none if surface.needed is None else f"{surface.needed:.2f}"
    month = f" in {month_name[surface.month]}" if surface.month else ""
    yield (
        f"surface temperature factor (ISO 13788): {surface.element:.2f} ({surface.path}), least "
        f"against mould: {least}{month}"
    )
    yield (
        f"daily swing (ISO 13786): {100 * found.dynamic.decrement:.0f} % passes, "
        f"{abs(found.dynamic.shift_through):.1f} h later"
    )


def condensation_line(path: SteadyCondensation, system: str) -> str:
    """Return what the monthly method finds on one path."""
    line = f"monthly condensation (ISO 13788), {path.path}: {path.verdict}"
    if path.peak_month is None:
        return line
    peak, left = (figure(amount, "areal mass", system) for amount in (path.peak, path.residual))
    stays = f", {left} stay" if path.residual else ""
    return f"{line}; at most {peak} at {path.plane} in {month_name[path.peak_month]}{stays}"


def vapour_lines(found: SteadySummary, system: str) -> Iterator[str]:
    """Yield vapour retarders by class, and the coldest plane that code names."""
    for retarder in found.retarders:
        permeance = show(retarder.permeance, "permeance", system)
        yield f"vapour retarder class {retarder.retarder_class}: {retarder.name}, {permeance} dry"
    if found.interface is not None:
        plane, limit = (
            show(kelvin, "temperature", system)
            for kelvin in (found.interface.temperature, found.interface.limit)
        )
        line = f"outer face of the air-permeable insulation, three coldest months: {plane}"
        met = found.interface.met
        answer = "" if met is None else f", {'met' if met else 'not met'}"
        asks = f"; the IRC's other way for unvented roofs (R806.5): at least {limit}{answer}"
        yield line + (asks if met is not None else "")


def code_line(rule: CodeIndication, system: str) -> str:
    """Return one rule of a code: whether it is met, what there is, what is asked, and why."""
    answer = {None: "not decided", True: "met", False: "not met"}[rule.met]
    found, required = (
        None if value is None else code_value(value, rule.quantity, system)
        for value in (rule.found, rule.required)
    )
    compared = [f"has {found}"] * (found is not None) + [f"asked {rule.bound} {required}"] * bool(
        required
    )
    parts = "; ".join([", ".join([answer, *compared]), say(rule.reason, system)])
    return f"code (check locally), {rule.rule}: {parts}"


def code_value(value: float, quantity: str, system: str) -> str:
    """Return a figure of a code in its table's terms; rounded down, lest it seem to reach one."""
    if quantity == "resistance":
        rated = f"R-{_down(value / R_VALUE, 10):g}"
        return rated if system == "ip" else f"{rated} ({show(value, quantity, system)})"
    if quantity == "fraction":
        return f"{_down(100.0 * value, 1):.0f} %"
    return f"{_down(value, 100):.2f}" if quantity == "ratio" else show(value, quantity, system)


def _down(value: float, parts: int) -> float:
    return floor(value * parts + 1e-6) / parts
