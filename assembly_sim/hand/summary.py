"""Hand methods beside the transient run: U-value, surface factor, monthly condensation, codes.

They leave out storage, liquid water, air leaks and sun, and so may clear what a leak would wet,
or condemn what storage carries through: they are a second opinion and never decide a verdict.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.boundary.room_temperature import of_room
from assembly_sim.envelope.resistances import MAIN_PATH, SteadyLayers, steady_layers
from assembly_sim.envelope.retarders import Retarder, retarders
from assembly_sim.hand.code_rows import CodeIndication, code_indications
from assembly_sim.hand.code_tables import LATEST
from assembly_sim.hand.daily_swing import DynamicCharacteristics, dynamic_characteristics
from assembly_sim.hand.dew_point_method import coldest_month_profile
from assembly_sim.hand.interface import InterfaceCheck, interface_check
from assembly_sim.hand.monthly_air import MonthlyAir, monthly_air
from assembly_sim.hand.monthly_condensation import MonthlyCondensation, condensation
from assembly_sim.hand.surface_factor import SurfaceFactor, surface_factor
from assembly_sim.hand.transmittance import Transmittance, transmittance
from assembly_sim.model import Assembly, Case
from assembly_sim.model.assembly import OUTDOORS

THIRTY_DAYS = 30 * 86400.0
BETWEEN_OTHERS = (
    "it does not lie between a room and outdoors: methods by months and code indications, which "
    "presume that, are left out"
)


@dataclass(frozen=True)
class SteadyCondensation:
    """The monthly method on one path, in kg/m2, worst path first in a summary.

    plane names where most water lies in the peak month (None when dry); month of the peak 1-12;
    verdict in words.
    """

    path: str
    verdict: str
    peak: float
    peak_month: int | None
    residual: float
    plane: str | None


@dataclass(frozen=True)
class SteadySummary:
    """Hand methods for one assembly; `remarks` say what was left out or is missing.

    dew_point_condensation: kg/m2 in 30 days at the means of the coldest month, main path; without
    a whole year of weather None, and no method by months is there;
    interface: None without air-permeable insulation; code: empty where the case names no zone.
    """

    u_value: Transmittance
    surface: SurfaceFactor
    condensation: tuple[SteadyCondensation, ...]
    dew_point_condensation: float | None
    dynamic: DynamicCharacteristics
    retarders: tuple[Retarder, ...]
    interface: InterfaceCheck | None
    code: tuple[CodeIndication, ...]
    remarks: tuple[str, ...]


def plane_name(steady: SteadyLayers, year: MonthlyCondensation, plane: int) -> str:
    """A cut point in words: the two layers it parts (outer first), or the layer it lies in."""
    inner_first = [layer.name for layer in steady.layers[::-1]]
    index = year.plane_layers[plane]
    if year.at_interface[plane]:
        return f"{inner_first[index + 1]} / {inner_first[index]}"
    return f"within {inner_first[index]}"


def path_condensation(assembly: Assembly, air: MonthlyAir, path: str) -> SteadyCondensation:
    """The monthly method on one path, with the plane that holds most at the peak."""
    year = condensation(assembly, air, path)
    plane = None
    if year.peak_month is not None:
        at_peak = year.amounts[year.months.index(year.peak_month)]
        plane = plane_name(steady_layers(assembly), year, int(at_peak.argmax()))
    return SteadyCondensation(path, year.verdict, year.peak, year.peak_month, year.residual, plane)


def remarks(case: Case, assembly: Assembly, steady: SteadyLayers) -> tuple[str, ...]:
    """What the hand methods could not see in this assembly, in words."""
    found = []
    if monthly_air(case) is None:
        found.append("methods by months (ISO 13788, dew point) need a whole year: left out")
    if steady.left_out:
        names = ", ".join(steady.left_out)
        found.append(f"vented to outdoors, so left out with all outside it: {names}")
    if case.code_zone is None:
        found.append("no code indication: the case names no code_zone, and none is inferred")
    elif case.code_edition is None:
        found.append(
            f"code indications follow tables of {LATEST}, the strictest where editions differ: "
            'name the edition that your place has adopted, as in code_edition = "2018"'
        )
    if not any("insulation" in kind for kind in _kinds(assembly)):
        found.append("no layer is of the kind insulation, so ratios of insulation are not shown")
    return tuple(found)


def _kinds(assembly: Assembly) -> set[str]:
    materials = [getattr(layer, "material", None) for layer in assembly.layers]
    return {kind for material in materials if material for kind in material.kinds}


def in_thirty_days(assembly: Assembly, air: MonthlyAir) -> float:
    """Condensate (kg/m2) of 30 days at the means of the coldest month, main path."""
    rates = coldest_month_profile(assembly, air).condensation
    return float(rates.clip(min=0.0).sum()) * THIRTY_DAYS


def steady_summary(case: Case, assembly: Assembly) -> SteadySummary:
    """Every hand method for one assembly of a case, by monthly means of its climate and room."""
    rooms = {room.name for room in case.rooms}
    faces_room = assembly.outside == OUTDOORS and assembly.inside in rooms
    air = monthly_air(of_room(case, assembly.inside)) if faces_room else None
    steady = steady_layers(assembly)
    paths = [path_condensation(assembly, air, path) for path in steady.paths] if air else []
    zone = case.code_zone if faces_room else None
    return SteadySummary(
        u_value=transmittance(assembly),
        surface=surface_factor(assembly, air, case.thresholds.surface_humidity),
        condensation=tuple(sorted(paths, key=lambda p: (p.residual, p.peak), reverse=True)),
        dew_point_condensation=None if air is None else in_thirty_days(assembly, air),
        dynamic=dynamic_characteristics(assembly, MAIN_PATH),
        retarders=retarders(assembly.layers),
        interface=None if air is None else interface_check(assembly, air),
        code=code_indications(assembly, zone, case.code_edition) if zone is not None else (),
        remarks=remarks(case, assembly, steady) if faces_room else (BETWEEN_OTHERS,),
    )
