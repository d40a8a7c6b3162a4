"""What a verdict hangs on, as text: limits, changes that move it, hard conditions, forgiveness."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from assembly_sim.report.words import bullets
from assembly_sim.units import show

Found = Mapping[str, Any]


def probe_text(found: Found, system: str = "si") -> str:
    """Return the block of a probe from the summary's `probe`; `system` is `si` or `ip`."""
    if found["level"] is None:
        return bullets("What the verdict hangs on", ["not probed: there is no verdict"])
    blocks = [
        bullets(
            f"What the verdict hangs on ({found['runs']} further runs, one thing changed in each)",
            (limit_line(limit) for limit in found["limits"]),
        ),
        bullets(
            f"What moves it from '{found['level']}', by the smallest change tried",
            (move_line(move) for move in found["moves"]),
        ),
        bullets(
            "Does the level hold?", (hold_line(trial, found["level"]) for trial in found["holds"])
        ),
        bullets(
            "Water that gets in by accident in autumn", forgiveness(found["forgiveness"], system)
        ),
    ]
    return "\n".join(block for block in blocks if block)


def limit_line(limit: Found) -> str:
    """Return one limit: up to where it stays dry and within limits, all else as it is."""
    unit = limit["unit"]
    dry, within = (
        reach(limit[up_to], limit[beyond], limit["lowest"], unit)
        for up_to, beyond in (("dry_up_to", "not_dry_from"), ("within_limits_up_to", "past_from"))
    )
    return f"{limit['quantity']}: dry {dry}; within limits {within}"


def reach(up_to: float | None, beyond: float | None, lowest: float, unit: str) -> str:
    """Return how far a level reaches, in words that hold for what was tried."""
    if up_to is None:
        return f"not even at {amount(lowest, unit)}"
    if beyond is None:
        return f"up to {amount(up_to, unit)}, the highest tried"
    return f"up to {amount(up_to, unit)}, not at {amount(beyond, unit)}"


def amount(value: float, unit: str) -> str:
    """Return a limit's value in the words of the trade."""
    if unit == "1":
        return f"{100.0 * value:.3g} % RH"
    if unit == "kg/kg":
        return f"{100.0 * value:.3g} % by mass"
    return f"{1000.0 * value:.3g} L{unit.removeprefix('m3')}" if value else "no leak at all"


def move_line(move: Found) -> str:
    """Return the smallest change of a quantity that moves the level, or what was tried in vain."""
    if move["trial"] is None:
        return f"{move['quantity']}: nothing tried moves it ({'; '.join(move['tried'])})"
    trial = move["trial"]
    line = f"{trial['change']} makes it '{trial['level']}'"
    return line if line.startswith(move["quantity"]) else f"{move['quantity']}: {line}"


def hold_line(trial: Found, level: str) -> str:
    """Return whether the level holds in a hard condition, with the reason where it does not."""
    if trial["level"] == level:
        return f"{trial['change']}: it holds"
    if trial["level"] is None:
        return f"{trial['change']}: no verdict; {trial['reason']}"
    return f"{trial['change']}: '{trial['level']}'; {trial['reason']}"


def forgiveness(found: list[Found], system: str) -> Iterator[str]:
    """Yield, path by path, what is left of water put in at a plane."""
    for one in found:
        start = f"{one['path']}: of {show(one['water'], 'areal mass', system)} at {one['plane']}"
        if one["after_year"] is None:
            yield f"{start}: the run stopped"
            continue
        summer, year = max(0.0, one["after_summer"]), max(0.0, one["after_year"])
        yield f"{start}, {summer:.0%} are left at the end of August, {year:.0%} after a year"
