"""Pages of results that a test writes down: no solver runs for them."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from assembly_sim.model import Assembly
from assembly_sim.report.page.content import Figure, Page, Section, figures
from assembly_sim.report.page.run_page import run_page
from assembly_sim.solver.result import Outcome, Result
from assembly_sim.studies.probe import Limit, Probing
from assembly_sim.verdict.summary import typed_summary
from tests import synthetic, windows
from tests.checks import made

HOSTILE = "$\\frac{1}{2}$ <script>document.title='pwned'</script> &lt; \u202e\"'"


def page(result: Result, system: str = "si", probed: bool = False) -> Page:
    summary = typed_summary(result)
    probes = [probing(one.name) for one in summary.assemblies] if probed else []
    return run_page(result, summary, system, probes)


def probing(name: str, level: str = "dry, thin margin") -> Probing:
    limits = (
        Limit("winter humidity of the room", "1", 0.45, 0.475, 0.1, 0.8, 0.6, 0.625),
        Limit("air leak", "m3/(s m2) at 75 Pa", 2.8e-4, 4e-4, 0.0, 2e-3, 1e-3, 2e-3),
    )
    return Probing(name, level, limits, runs=20)


def figure(of: Page, name: str) -> Figure:
    (found,) = [one for one in figures(of) if one.name == f"{name}-1"]
    return found


def part(of: Page) -> Section:
    return next(section for section in of.sections if section.answer is not None)


def swinging(**more: object) -> Result:
    """Three years with a humid winter: dry, wet and frosty hours, mould, moving wood."""
    hour = np.arange(3 * made.YEAR)
    winter = np.cos(2.0 * np.pi * (hour - 2900.0) / made.YEAR)
    day = np.cos(2.0 * np.pi * (hour % 24 - 14.0) / 24.0)
    cold = 281.0 - 11.0 * winter + 3.0 * day
    temperature = np.stack([cold, cold + 3.0, np.full(len(hour), 290.0), cold * 0 + 292.0], 1)
    fading = np.exp(-hour / made.YEAR)
    humidity = np.clip(0.78 + 0.19 * winter + 0.06 * fading - 0.03 * day, 0.2, 1.0)
    water = np.zeros((len(hour), 3))
    water[:, 0] = 0.012 * 500.0 * (0.14 + 0.05 * winter + 0.05 * fading)
    water[:, 2] = 0.4
    free = np.zeros((len(hour), 4))
    free[:, 1] = np.where(humidity > 0.965, 0.03, 0.0)
    flux = 0.2 * (294.15 - cold)
    fields = {
        "layer_water": water,
        "initial_layer_water": np.array([1.2, 0.0, 0.4]),
        "free_water": free,
        "heat_flux_room": flux,
        "carried_heat": 0.1 * np.maximum(flux, 0.0),
    }
    at = np.stack([humidity, humidity, humidity * 0.6, humidity * 0.5], axis=1)
    return made.run(temperature=temperature, humidity=at, **(fields | more))


def hostile() -> Result:
    """Every name that a user can give, as an attack and as a formula."""
    drawn = synthetic.assembly()
    layers = tuple(
        dataclasses.replace(one, name=f"{HOSTILE}{number}")
        for number, one in enumerate(drawn.layers)
    )
    named = dataclasses.replace(drawn, name=HOSTILE, layers=layers)
    text = f'name = "{HOSTILE}"\n</pre></details>'
    return synthetic.result(name=f"{HOSTILE}\x1b[31m", assemblies=(named,), text=text)


def tilted(degrees: float) -> Result:
    drawn = synthetic.assembly()
    outer = dataclasses.replace(drawn.outer, tilt=math.radians(degrees))
    return synthetic.result(assemblies=(dataclasses.replace(drawn, outer=outer),))


def several(*names: str) -> Result:
    parts: tuple[Assembly, ...] = tuple(synthetic.assembly(name) for name in names)
    return synthetic.result(assemblies=parts)


def stopped(hours: int) -> Result:
    ended = Outcome("stopped", hours, "cavity", "deck", "board", "no solution", "a finer mesh")
    return synthetic.result(hours=hours, outcome=ended)


def through(hours: int, begins: str = "2019-11-12T14:00") -> Result:
    """A result of a window of weather."""
    weather = windows.window(synthetic.climate(), 7000, hours, begins)
    blank = synthetic.result(hours=hours)
    starts = weather.hour_starts
    days = starts.astype("datetime64[D]").astype(int)
    case = dataclasses.replace(blank.case, climate=weather, years=None)
    months = starts.astype("datetime64[M]").astype(int) % 12 + 1
    return dataclasses.replace(blank, case=case, month=months, day=days - days[0])
