"""A case: a climate, a room, the assemblies between them, and how long to watch."""

from __future__ import annotations

from dataclasses import dataclass, field, fields

from assembly_sim.model.assembly import Assembly
from assembly_sim.model.climate import Climate
from assembly_sim.model.joining import refuse_unjoined
from assembly_sim.model.kinds import check_fields
from assembly_sim.model.opening import Fan, MeasuredFlow, Opening
from assembly_sim.model.ranges import refuse_outside, refused
from assembly_sim.model.room import Room
from assembly_sim.model.zone import Ducts, Pipe, Zone

# Range of each threshold by name; hours are kept in hours, and ranges know seconds.
START_MONTH = 10
THRESHOLDS = {
    **dict.fromkeys(("mould_index", "mould_index_thin"), "index threshold"),
    **dict.fromkeys(("mould_decline", "critical_saturation"), "share threshold"),
    "trend_tolerance": "share threshold",
    **dict.fromkeys(("wood_moisture", "wood_moisture_thin"), "wood threshold"),
    **dict.fromkeys(("wood_decay_moisture", "wood_saturated_moisture"), "wood threshold"),
    **dict.fromkeys(("run_off_water", "free_water_wet", "trend_water"), "water threshold"),
    **dict.fromkeys(
        ("wet_hours", "condensation_hours", "condensation_hours_wet"), "hours threshold"
    ),
    "heating_balance_temperature": "balance temperature",
    "cooling_balance_temperature": "balance temperature",
    "freezing_temperature": "freezing threshold",
}


@dataclass(frozen=True)
class Thresholds:
    """Limits that the checks hold results against; humidities and moisture contents 0-1.

    Balance temperatures in K bound the heating and the cooling season by daily mean outdoors.
    The verdict's own: from `mould_index_thin` and `wood_moisture_thin` up to the limit a margin is
    thin; a plane is wet from `free_water_wet` (kg/m2), `wet_hours` or `condensation_hours_wet` of
    risk in a year; `condensation_hours` of risk leave a thin margin. Water that rises from one
    year to the next by more than the share `trend_tolerance` and `trend_water` (kg/m2) still
    rises. Wet masonry freezes below `freezing_temperature` (K).
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
    condensation_hours_wet: float = 720.0
    trend_tolerance: float = 0.02
    trend_water: float = 0.02
    freezing_temperature: float = 273.15 - 2.0

    def __post_init__(self) -> None:
        check_fields(self)
        given = {}
        for one in fields(self):
            span, value = THRESHOLDS.get(one.name, "humidity threshold"), getattr(self, one.name)
            given[one.name] = (span, 3600.0 * value if span == "hours threshold" else value)
        refuse_outside("thresholds", **given)


@dataclass(frozen=True)
class Case:
    """Everything a run needs. `start_month` 10: a run starts on 1 October.

    Both it and `years` are for weather that wraps: a window runs once, as it is.
    years None: until every year is like the one before it, three at least and ten at most.
    starting_humidity 0-1; `unstated` names the figures the user left to the defaults, for the
    list of assumptions, its quantities left open (`units.marked`); code_zone is the climate zone as
    the user's code names it, or None, and code_edition the year of the code's edition that the
    place has adopted. A house of several spaces has `more_rooms` than the first, zones whose air
    floats, openings, fans and ducts between them, and pipes in zones; blower_door is the figure
    that openings without a size share. Cases are equal whose runs are: what they were read from,
    and what of them was left unsaid, does not count.
    """

    name: str
    climate: Climate
    room: Room
    assemblies: tuple[Assembly, ...]
    years: int | None = None
    start_month: int = START_MONTH
    starting_humidity: float = 0.80
    thresholds: Thresholds = field(default_factory=Thresholds)
    code_zone: str | None = None
    code_edition: str | None = None
    more_rooms: tuple[Room, ...] = ()
    zones: tuple[Zone, ...] = ()
    openings: tuple[Opening, ...] = ()
    fans: tuple[Fan, ...] = ()
    ducts: tuple[Ducts, ...] = ()
    blower_door: MeasuredFlow | None = None
    pipes: tuple[Pipe, ...] = ()
    unstated: tuple[str, ...] = field(default=(), compare=False)
    text: str = field(default="", compare=False)
    file: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            "case",
            years=("years", self.years),
            start_month=("start month", self.start_month),
            starting_humidity=("starting humidity", self.starting_humidity),
        )
        self._refuse_years_of_a_window()
        names = [assembly.name for assembly in self.assemblies]
        for name in {name for name in names if names.count(name) > 1}:
            raise refused(name, "two assemblies have this name", "give each its own")
        edition = self.code_edition
        if edition is not None and not (len(edition) == 4 and edition.isdecimal()):
            raise refused("code_edition", f"{edition!r} is no edition", 'give its year, "2021"')

        refuse_unjoined(self)

    @property
    def rooms(self) -> tuple[Room, ...]:
        """All its rooms, the first one first."""
        return (self.room, *self.more_rooms)

    @property
    def breathes(self) -> bool:
        """Whether the air of its spaces is balanced, so that leaks find their own pressures."""
        return bool(self.zones or self.openings or self.fans)

    def _refuse_years_of_a_window(self) -> None:
        """A window of weather has one order and one length."""
        if self.climate.wraps:
            return
        window = f"the weather is a window from {self.climate.begins}, which runs once, in order"
        if self.years is not None:
            raise refused("years", window, "leave years out, or take weather of a whole year")
        if self.start_month != START_MONTH:
            raise refused("start_month", window, "leave start_month out: the weather tells it")

    def __repr__(self) -> str:
        names = ", ".join(assembly.name for assembly in self.assemblies)
        return (
            f"Case({self.name!r}, climate={self.climate.name!r}, assemblies=[{names}], "
            f"years={self.years}, file={self.file!r})"
        )
