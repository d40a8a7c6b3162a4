"""From delivered heat to fuel, money and CO2; usual heat contents and efficiencies as presets.

Gross heat contents: US Energy Information Administration, units and calculators (from memory);
CO2 when burned: its emission coefficients (from memory). Wood and pellets, and all seasonal
efficiencies: common practice, no source. A preset is told as one wherever it is used: a maker's
label, a bill and a supplier know better.
"""

from __future__ import annotations

from dataclasses import dataclass

from assembly_sim.model.fuel import Fuel

BTU = 1055.056  # J
GALLON = 231 * 0.0254**3  # m3, US
CUBIC_FOOT = 0.3048**3
CORD = 128 * CUBIC_FOOT  # m3, stacked
A_MMBTU = 1e6 * BTU


@dataclass(frozen=True)
class FuelPreset:
    """Usual figures of a fuel: as in `Fuel`; least and most: efficiencies that are met."""

    sold_by: str
    unit: str
    heat_content: float
    efficiency: float
    co2: float | None
    least: float
    most: float


PRESETS: dict[str, FuelPreset] = {
    "natural gas": FuelPreset(
        "volume", "m3", 1037 * BTU / CUBIC_FOOT, 0.80, 52.9 / A_MMBTU, 0.65, 0.97
    ),
    "heating oil": FuelPreset(
        "volume", "L", 138_500 * BTU / GALLON, 0.80, 74.1 / A_MMBTU, 0.65, 0.95
    ),
    "propane": FuelPreset("volume", "L", 91_500 * BTU / GALLON, 0.80, 62.9 / A_MMBTU, 0.65, 0.97),
    "hardwood": FuelPreset("volume", "cord", 20 * A_MMBTU / CORD, 0.65, None, 0.10, 0.85),
    "pellets": FuelPreset("mass", "kg", 4.8 * 3.6e6, 0.80, None, 0.60, 0.95),
    "electric resistance": FuelPreset("energy", "kWh", 1.0, 1.0, None, 1.0, 1.0),
    "heat pump": FuelPreset("energy", "kWh", 1.0, 2.5, None, 1.5, 6.0),
}
"""By name; wood's carbon and a grid's depend on forest and grid, so they are the user's."""


def gross_heat(heat: float, efficiency: float) -> float:
    """Heat that a fuel must hold (J) to deliver `heat` (J): Q / eta."""
    return heat / efficiency


def amount_of(fuel: Fuel, heat: float) -> float:
    """Fuel (J, m3 or kg) that delivers `heat` (J): Q / (eta H)."""
    return gross_heat(heat, fuel.efficiency) / fuel.heat_content


def price_of(fuel: Fuel, heat: float) -> float | None:
    """What delivering `heat` (J) costs; None without a price."""
    return None if fuel.price is None else amount_of(fuel, heat) * fuel.price


def carbon_of(fuel: Fuel, heat: float) -> float | None:
    """CO2 (kg) of delivering `heat` (J); None where no figure is known."""
    return None if fuel.co2 is None else gross_heat(heat, fuel.efficiency) * fuel.co2


def heat_of(fuel: Fuel, amount: float) -> float:
    """Heat (J) that an amount of fuel delivers."""
    return amount * fuel.heat_content * fuel.efficiency
