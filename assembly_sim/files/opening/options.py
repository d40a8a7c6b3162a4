"""Where an opening is, and what heat costs, as a command's options give them."""

from __future__ import annotations

import re
from dataclasses import dataclass

from assembly_sim import units
from assembly_sim.errors import InputError, Problem
from assembly_sim.hand.hole_year import Situation
from assembly_sim.model.opening import Side
from assembly_sim.model.ranges import refuse_outside

_PRICE = re.compile(
    r" *([^-+\d.\s]{0,5}) *(\d{1,12}(?:\.\d{0,12})?|\.\d{1,12}) *([^\d\s]{0,8}) +per +(.{1,40})"
)


@dataclass(frozen=True)
class Price:
    """Money for heat that is delivered: a sum for an energy (J), and what stands around the sum."""

    amount: float
    energy: float
    before: str = ""
    after: str = ""

    def of(self, heat: float) -> str:
        """What a heat (J) costs, written as the price was."""
        return f"{self.before}{heat / self.energy * self.amount:.2f} {self.after}".rstrip()


def read_price(text: str) -> Price:
    """`0.15 per kWh`, `$1.20 per US_therm`, `0.30 EUR per kWh`; InputError for anything else."""
    found = _PRICE.fullmatch(text)
    cure = 'write an amount of money and an energy, "0.15 per kWh"'
    if not found:
        raise InputError(Problem("this is no price of heat", cure, field=f"--price {text[:40]}"))
    energy = quantity(f"1 {found[4].strip()}", "energy", "--price")
    return Price(float(found[2]), energy, found[1], found[3])


def quantity(text: str, kind: str, option: str) -> float:
    """An option's quantity in the model's unit; InputError that names the option."""
    try:
        return units.read(text, kind)
    except units.UnitError as error:
        raise InputError(Problem(error.cause, error.cure, field=option)) from None


def situation(height: str, room: str, facing: str | None) -> Situation:
    """Where a hole is: above the neutral level, in a room, on a wall that the wind finds."""
    above = quantity(height, "length", "--height")
    temperature = quantity(room, "temperature", "--room")
    refuse_outside(
        "opening",
        height=("height above the neutral level", above),
        room=("room temperature", temperature),
    )
    side = None if facing is None else Side(azimuth=quantity(facing, "angle", "--facing"))
    return Situation(above, temperature, side)
