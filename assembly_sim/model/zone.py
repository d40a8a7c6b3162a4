"""Spaces that nobody heats, whose air floats between what surrounds them; ducts, pipes in them."""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.model.kinds import check_fields
from assembly_sim.model.ranges import refuse_outside, refused


@dataclass(frozen=True)
class Zone:
    """An attic, a knee-wall space, an unheated wing, a crawl space: m3 of air that floats.

    heat_capacity: J/K of what stands in it, beside its air and the assemblies around it;
    air_changes: of outdoor air, 1/h, whatever the weather, beside what its openings pass;
    heat_gain (W) and moisture (kg/s): what is given off in it all the time.
    """

    name: str
    volume: float
    heat_capacity: float = 0.0
    air_changes: float = 0.0
    heat_gain: float = 0.0
    moisture: float = 0.0

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            f"zone {self.name}",
            volume=("zone volume", self.volume),
            heat_capacity=("zone heat capacity", self.heat_capacity),
            air_changes=("zone air changes", self.air_changes),
            heat_gain=("heat gain", self.heat_gain),
            moisture=("moisture generation", self.moisture),
        )


@dataclass(frozen=True)
class Ducts:
    """Ducts and air handler of a room's heating or cooling that lie in a zone.

    flow: m3/s of air while it runs; area (m2) and resistance (m2 K/W, films included) of the
    surface of supply and of return; leaks: shares of the flow lost from the supply and drawn into
    the return; supply_temperature K. It runs for a share of the time that is 0 at
    balance_temperature outdoors and 1 at full_load_temperature (K both; which is the warmer of the
    two tells heating from cooling).
    """

    name: str
    zone: str
    flow: float
    supply_area: float
    return_area: float
    resistance: float
    supply_temperature: float
    full_load_temperature: float
    balance_temperature: float
    supply_leak: float = 0.0
    return_leak: float = 0.0
    room: str = "room"

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            f"ducts {self.name}",
            flow=("duct flow", self.flow),
            supply_area=("duct area", self.supply_area),
            return_area=("duct area", self.return_area),
            resistance=("duct resistance", self.resistance),
            supply_temperature=("supply temperature", self.supply_temperature),
            full_load_temperature=("full-load temperature", self.full_load_temperature),
            balance_temperature=("balance temperature", self.balance_temperature),
            supply_leak=("duct leak", self.supply_leak),
            return_leak=("duct leak", self.return_leak),
        )
        if self.full_load_temperature == self.balance_temperature:
            cure = "heating runs always at a lower outdoor temperature than it begins at"
            raise refused(f"ducts {self.name}", "it begins where it runs always", cure)
        if self.heats != (self.supply_temperature > self.balance_temperature):
            cause = "its supply heats and its outdoor temperatures are of cooling, or the reverse"
            cure = "heating: warm supply, full load colder outdoors than the balance; cooling: both"
            raise refused(f"ducts {self.name}", cause, f"{cure} the other way")

    @property
    def heats(self) -> bool:
        """Whether it heats, rather than cools."""
        return self.full_load_temperature < self.balance_temperature


@dataclass(frozen=True)
class Pipe:
    """A water pipe in a zone: m of its bore and across it, m of insulation, W/(m K) of that.

    It changes nothing of the run: what its air does to it is told. Without insulation it follows
    the air. The sizes are those of a half-inch pipe of steel.
    """

    name: str
    zone: str
    inner_diameter: float = 0.0158
    outer_diameter: float = 0.0213
    insulation: float = 0.0
    conductivity: float = 0.04

    def __post_init__(self) -> None:
        check_fields(self)
        refuse_outside(
            f"pipe {self.name}",
            inner_diameter=("pipe diameter", self.inner_diameter),
            outer_diameter=("pipe diameter", self.outer_diameter),
            insulation=("pipe insulation", self.insulation),
            conductivity=("conductivity", self.conductivity),
        )
        if self.inner_diameter >= self.outer_diameter:
            cure = "give the bore as inner_diameter and what is around it as outer_diameter"
            raise refused(f"pipe {self.name}", "its bore is as wide as the pipe", cure)
