"""A verdict in sentences, in SI or IP: made last, from its keys and numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assembly_sim.verdict.rules import PAST
from assembly_sim.words.checks import reason
from assembly_sim.words.figures import figure, limit_figure
from assembly_sim.words.spaces import some, the

if TYPE_CHECKING:
    from assembly_sim.verdict.house_air import HouseAir
    from assembly_sim.verdict.rules import Judged
    from assembly_sim.verdict.verdict import LeakTested, Moving, Verdict
    from assembly_sim.verdict.withheld import Withheld

SCOPE = "This verdict speaks of moisture alone."
REASONS_SHOWN = 5

WITHHELD = {
    "stopped": "the run stopped: {cause}; {cure}",
    "not converged": "the run did not converge; see its balance errors and state defect",
    "gaps": "the weather of {climate} has gaps; mend the file or take another",
    "no rain": (
        "the outer surface is exposed to rain and the weather has none; bring weather with rain, "
        "or set rain_exposure to 0 if it is sheltered"
    ),
    "too short": "a verdict rests on {least:.0f} years or more; {computed:.3g} were computed",
    "window": "a verdict rests on {least:.0f} years or more; this is {window}",
    "nothing to judge": "nothing in this assembly could be judged",
}


def withheld(why: Withheld) -> str:
    """Why there is no verdict, in a sentence with what would give one."""
    return WITHHELD[why.key].format(**dict(why.names), **dict(why.numbers))


def reasons(verdict: Verdict, system: str = "si") -> tuple[str, ...]:
    """Why a verdict is as it is, the decisive first and the air leak last."""
    if not verdict.judged:
        return (*map(withheld, verdict.withheld), leak(verdict.air, system))
    return (
        *_deciding(verdict, system),
        *(f"not settled when the run ended: {one}" for one in unsettled(verdict, system)),
        *settled(verdict),
        *grounds(verdict),
        leak(verdict.air, system),
    )


def grounds(verdict: Verdict) -> list[str]:
    """What the level does not rest on: limits that are not the usual ones, layers not judged."""
    told = []
    if verdict.unjudged:
        names = ", ".join(verdict.unjudged)
        told.append(f"not judged for want of a mould class or a storage curve of its own: {names}")
    if verdict.loosened:
        names = ", ".join(verdict.loosened)
        told.append(f"the case sets limits that let more pass than the usual ones: {names}")
    return told


def judged(one: Judged, system: str = "si") -> str:
    """A finding that may decide, in a sentence."""
    return reason(one.finding, one.settled_rank < one.rank, one.from_start, system)


def _deciding(verdict: Verdict, system: str) -> list[str]:
    """Findings of the deciding level; where all is dry, what comes nearest to a limit."""
    first = verdict.judged[0]
    if first.rank == 0:
        return [f"nearest to a limit: {judged(first, system)}"]
    alike = [judged(one, system) for one in verdict.judged if one.rank == first.rank]
    more = len(alike) - REASONS_SHOWN
    return alike[:REASONS_SHOWN] + ([f"and {more} more of the kind"] if more > 0 else [])


def settled(verdict: Verdict) -> list[str]:
    """The last year alone, where it is better than all of them."""
    if verdict.settled_level == verdict.level or verdict.finding is None:
        return []
    first = verdict.finding.year == 1
    worse = "the first year, with its starting moisture," if first else "an earlier year"
    return [f"{worse} is worse than the last, which alone is '{verdict.settled_level}'"]


def unsettled(verdict: Verdict, system: str = "si") -> tuple[str, ...]:
    """What had not come to rest when the run ended, a sentence each."""
    return tuple(_moving(one, system) for one in verdict.moving)


def _moving(one: Moving, system: str) -> str:
    since = "since year 1" if one.since_first else f"in year {one.year}"
    direction = "rises" if one.step > 0.0 else "falls"
    return (
        f"water in {one.place} ({one.path} path) still {direction}, by "
        f"{figure(abs(one.step), 'areal mass', system)} {since}"
    )


def qualifier(verdict: Verdict) -> str:
    """What takes a level its weight: layers not judged, loose limits, air not computed; or nothing.

    Past a limit no layer has to be judged and no limit was loose enough: there the air alone.
    """
    if (verdict.rank or 0) >= PAST:
        return _of_air(verdict)
    layers = f", {some(verdict.unjudged)} not judged" if verdict.unjudged else ""
    limits = ", by limits looser than usual" if verdict.loosened else ""
    return f"{layers}{limits}{_of_air(verdict)}"


def _of_air(verdict: Verdict) -> str:
    """The air that was not computed, or that dries; or nothing."""
    air = verdict.air
    if air.house is not None and air.house.zone:
        return _beneath_zone(air, air.house) or _dried(verdict)
    if air.diffusion_only:
        by = ": openings pass it by" if air.house is not None and air.house.passed_by else ""
        return f", by diffusion only{by}"
    if air.leak is not None and air.past_defects:
        return ", leak of room air tested at defects alone"
    if air.leak is not None and not air.room_air_mixes:
        return ", leak of room air not tested"
    return _dried(verdict)


def untested(verdict: Verdict) -> bool:
    """Whether a level rests on less air than may leak: none, past its layers, at defects alone."""
    return _of_air(verdict) not in ("", _dried(verdict))


def _beneath_zone(air: LeakTested, house: HouseAir) -> str:
    """Of an assembly at a zone: whether its air brings the rooms' leaks, and gets where it wets."""
    if not house.reached:
        return f", as described no room air comes into {the(house.inside)}"
    if house.bare or air.room_air_mixes or house.wetted_by:
        return ""
    if air.leak is None:
        return f", by diffusion alone from {the(house.inside)}"
    if air.past_defects:
        return f", leak of {house.inside} air tested at defects alone"
    return f", leak of {house.inside} air not tested"


def _dried(verdict: Verdict) -> str:
    dried = verdict.air.net_drying and (verdict.rank or 0) < PAST
    return ", while its leak dries it" if dried else ""


def leak(air: LeakTested, system: str = "si") -> str:
    """The air that a verdict rests on, and whether it can wet or dries more."""
    if air.diffusion_only:
        return "; ".join([_without_leak(air), *beside_leak(air, system)])
    parts = [*_leak(air, system)] if air.leak else _without_own_leak(air, system)
    if air.through:
        flow = limit_figure(abs(air.through), "air flow per area", system)
        parts.append(f"{flow} through the layers, {'outward' if air.through > 0.0 else 'inward'}")
    return "; ".join([*parts, *beside_leak(air, system)])


def _without_own_leak(air: LeakTested, system: str) -> list[str]:
    """Of what openings wet that has no leak of its own: whether their air dries it."""
    if not air.wetted_by:
        return []
    dried = figure(air.net_drying, "areal mass", system)
    more = [f"their air carried off {dried} more in {air.span} than it brought"]
    return ["computed without a leak of its own, as the case asks", *(more * bool(air.net_drying))]


def _without_leak(air: LeakTested) -> str:
    if air.house is not None and air.house.zone:
        return "computed without any air leak through its layers, as the case asks"
    return "diffusion only: computed without any air leak, as the case asks"


def beside_leak(air: LeakTested, system: str = "si") -> list[str]:
    """In a house: room air in the zone it looks into, and the openings that pass it by."""
    house, parts = air.house, []
    if house is None:
        return []
    if house.zone and house.reached:
        flow = figure(house.room_air, "air flow", system)
        parts.append(
            f"the air of {the(house.inside)} that it faces is computed with it: {flow} of the "
            f"rooms' air came in there in the mean of {house.span}, mixed with all of its air: "
            "right over a hole it may be wetter"
        )
    elif house.zone:
        parts.append(
            f"as described no room air comes into {the(house.inside)} that it faces, so none "
            "wets it: with a leak from the rooms it may get wetter than this"
        )
    if house.wetted_by:
        whose = f"the air of {some(house.wetted_by)}"
        parts.append(f"{whose} mixes fully where the case says that it wets it")
    if house.passed_by and not house.zone:
        pass_it = "openings pass it by" if len(house.passed_by) > 1 else "an opening passes it by"
        parts.append(f"{pass_it} ({some(house.passed_by)})")
    return parts


def _pressures(air: LeakTested, system: str) -> str:
    """What drives a leak: a stated height, or in a house the balance of its air."""
    assert air.leak is not None
    if air.house is not None:
        return "under the pressures that the house's air takes"
    above = air.leak.height_above_neutral_level
    height = limit_figure(abs(above), "height", system)
    return f"{height} {'below' if above < 0.0 else 'above'} the neutral level"


def _leak(air: LeakTested, system: str) -> list[str]:
    assert air.leak is not None
    flow = limit_figure(air.leak.flow, "air flow per area", system)
    pressure = figure(air.leak.reference_pressure, "leak pressure")
    parts = [f"with an air leak of {flow} at {pressure}, {_pressures(air, system)}"]
    zone = air.house is not None and air.house.zone
    what = f"{air.house.inside} air" if air.house is not None and zone else "room air"
    bare = air.house is not None and zone and air.house.bare
    if not air.meets_cavity:
        if not bare:
            parts.append("it finds no cavity to mix in, so it wets nothing here and is not tested")
        return parts
    if air.past_defects:
        gaps = ", ".join(air.past_defects)
        parts.append(
            f"{what} that leaks out finds a cavity to mix in only where the insulation is not as "
            f"drawn ({gaps}), which gets more than computed where all of it gathers there"
        )
    elif not air.room_air_mixes and not bare:
        parts.append(
            f"{what} that leaks out finds no cavity to mix in, so it wets nothing here and is "
            "not tested"
        )
    if air.net_drying:
        carried = figure(air.net_drying, "areal mass", system)
        parts.append(
            f"its air carried off {carried} more in {air.span} than it brought, so a "
            "tighter one may be wetter"
        )
    return parts
