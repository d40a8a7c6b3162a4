"""A case: a climate, a room, the assemblies between them, and how long to watch."""

from __future__ import annotations

from dataclasses import dataclass, field

from assembly_sim.model.assembly import Assembly
from assembly_sim.model.climate import Climate
from assembly_sim.model.room import Room


@dataclass(frozen=True)
class Thresholds:
    """Limits that the checks hold results against; humidities and moisture contents 0-1.

    Balance temperatures in K bound the heating and the cooling season by daily mean outdoors.
    The verdict's own: from `mould_index_thin` and `wood_moisture_thin` up to the limit a margin is
    thin; a plane is wet from `free_water_wet` (kg/m2) or `wet_hours` in a year; more than
    `condensation_hours` of risk in a year leave a thin margin. Water that rises from one year to
    the next by more than the share `trend_tolerance` and `trend_water` (kg/m2) still rises. Wet
    masonry freezes below `freezing_temperature` (K).
    """

    condensation_humidity: float = 0.95
    wet_humidity: float = 0.995
    mould_index: float = 3.0
    mould_decline: float = 0.1
    wood_moisture: float = 0.20
    wood_decay_moisture: float = 0.26
    wood_saturated_moisture: float = 0.28
    run_off_water: float = 0.2
    critical_saturation: float = 0.85
    metal_humidity: float = 0.80
    surface_humidity: float = 0.80
    heating_balance_temperature: float = 273.15 + 15.5
    cooling_balance_temperature: float = 273.15 + 18.3
    mould_index_thin: float = 1.0
    wood_moisture_thin: float = 0.18
    free_water_wet: float = 0.02
    wet_hours: float = 168.0
    condensation_hours: float = 168.0
    trend_tolerance: float = 0.02
    trend_water: float = 0.02
    freezing_temperature: float = 273.15 - 2.0


@dataclass(frozen=True)
class Case:
    """Everything a run needs. `start_month` 10: a run starts on 1 October.

    starting_humidity 0-1; `unstated` names the figures the user left to the defaults, for the
    list of assumptions; code_zone is the climate zone as the user's code names it, or None, and
    code_edition the year of the code's edition that the place has adopted.
    """

    name: str
    climate: Climate
    room: Room
    assemblies: tuple[Assembly, ...]
    years: int = 3
    start_month: int = 10
    starting_humidity: float = 0.80
    repeat_until_periodic: bool = False
    thresholds: Thresholds = field(default_factory=Thresholds)
    code_zone: str | None = None
    code_edition: str | None = None
    unstated: tuple[str, ...] = ()
    text: str = ""
    file: str = ""
