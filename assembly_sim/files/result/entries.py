"""What each array of a result is called and measured in, for files that other programs open.

Standard names are those of the CF standard name table (from memory); where it has none for what
happens inside a wall, only the long name and the unit are given.
"""

from __future__ import annotations

from typing import NamedTuple

MEAN, END, TOTAL = "time: mean", "time: point", "time: sum"


class Entry(NamedTuple):
    """Dimensions, unit, description, cell method and CF standard name of one array."""

    dimensions: tuple[str, ...]
    units: str
    long_name: str
    cell_methods: str = ""
    standard_name: str = ""


HOUR, PLANES, LAYERS = ("time",), ("time", "plane"), ("time", "layer")
YEAR = ("hour",)
FLUX, FLOW, FILM = "W m-2", "kg m-2 s-1", "kg m-2"
OUTWARD = "positive from inside to outside"

ARRAYS: dict[str, Entry] = {
    "Result.month": Entry(HOUR, "1", "month of the year, 1 to 12"),
    "Result.day": Entry(HOUR, "1", "day counted from the start of the run"),
    "PathResult.temperature": Entry(PLANES, "K", "temperature at the plane", MEAN),
    "PathResult.vapour_pressure": Entry(PLANES, "Pa", "vapour pressure at the plane", MEAN),
    "PathResult.relative_humidity": Entry(
        PLANES, "1", "relative humidity over liquid water", MEAN, "relative_humidity"
    ),
    "PathResult.free_water": Entry(PLANES, FILM, "film of water or frost at the plane", END),
    "PathResult.layer_water": Entry(LAYERS, FILM, "water in the layer, ice included", END),
    "PathResult.layer_ice": Entry(LAYERS, FILM, "ice in the layer", END),
    "PathResult.initial_layer_water": Entry(("layer",), FILM, "water in the layer at the start"),
    "PathResult.heat_flux_room": Entry(
        HOUR, FLUX, f"heat flux through the room-side surface, {OUTWARD}", MEAN
    ),
    "PathResult.heat_flux_outdoors": Entry(
        HOUR, FLUX, f"heat flux through the outer surface, {OUTWARD}", MEAN
    ),
    "PathResult.vapour_flux_room": Entry(
        HOUR, FLOW, f"vapour flux through the room-side surface, {OUTWARD}", MEAN
    ),
    "PathResult.vapour_flux_outdoors": Entry(
        HOUR, FLOW, f"vapour flux through the outer surface, {OUTWARD}", MEAN
    ),
    "PathResult.rain": Entry(HOUR, FLOW, "rain that the assembly took in", MEAN),
    "PathResult.leak_vapour": Entry(HOUR, FLOW, "vapour that leaking air left behind", MEAN),
    "PathResult.leak_heat": Entry(HOUR, FLUX, "heat that leaking air left behind", MEAN),
    "PathResult.carried_heat": Entry(
        HOUR, FLUX, f"heat that air carries, by the account of the documentation, {OUTWARD}", MEAN
    ),
    "PathResult.carried_vapour": Entry(
        HOUR, FLOW, f"vapour that air carries, by the same account, {OUTWARD}", MEAN
    ),
    "PathResult.drained": Entry(HOUR, FLOW, "water that drained away at the planes", MEAN),
    "ZoneResult.temperature": Entry(HOUR, "K", "air temperature", MEAN, "air_temperature"),
    "ZoneResult.vapour_pressure": Entry(
        HOUR, "Pa", "vapour pressure", MEAN, "water_vapor_partial_pressure_in_air"
    ),
    "ZoneResult.relative_humidity": Entry(
        HOUR, "1", "relative humidity over liquid water", MEAN, "relative_humidity"
    ),
    "ZoneResult.radiant_temperature": Entry(
        HOUR, "K", "temperature at which the faces of the zone meet by radiation", MEAN
    ),
    "ZoneResult.free_water": Entry(HOUR, "kg", "fog in the zone's air and what it left", END),
    "ZoneResult.heat_gain": Entry(HOUR, "W", "heat given off in the zone", MEAN),
    "ZoneResult.duct_heat": Entry(HOUR, "W", "heat that ducts conduct into the zone", MEAN),
    "StreamResult.flow": Entry(HOUR, "kg s-1", f"dry air between two spaces, {OUTWARD}", MEAN),
    "StreamResult.left_heat": Entry(
        HOUR, "W", "heat that its air left at the planes that it wets", MEAN
    ),
    "Drivers.outdoor_temperature": Entry(
        HOUR, "K", "outdoor air temperature", END, "air_temperature"
    ),
    "Drivers.outdoor_vapour_pressure": Entry(
        HOUR, "Pa", "outdoor vapour pressure", END, "water_vapor_partial_pressure_in_air"
    ),
    "Drivers.room_temperature": Entry(HOUR, "K", "room air temperature", END, "air_temperature"),
    "Drivers.room_vapour_pressure": Entry(
        HOUR, "Pa", "room vapour pressure", END, "water_vapor_partial_pressure_in_air"
    ),
    "Drivers.leak": Entry(HOUR, FLOW, f"dry air through the leak, {OUTWARD}", END),
    "Drivers.sun": Entry(HOUR, FLUX, "sun absorbed at the outer surface", MEAN),
    "Drivers.rain": Entry(HOUR, FLOW, "rain that hits the outer surface", MEAN),
    "Drivers.atmospheric_pressure": Entry(HOUR, "Pa", "air pressure", END, "air_pressure"),
    "Drivers.incoming_heat": Entry(
        HOUR, FLUX, "heat that warms incoming air from outdoors to room temperature", MEAN
    ),
    "Climate.temperature": Entry(YEAR, "K", "air temperature", END, "air_temperature"),
    "Climate.vapour_pressure": Entry(
        YEAR, "Pa", "vapour pressure", END, "water_vapor_partial_pressure_in_air"
    ),
    "Climate.pressure": Entry(YEAR, "Pa", "air pressure", END, "air_pressure"),
    "Climate.wind_speed": Entry(YEAR, "m s-1", "wind speed", END, "wind_speed"),
    "Climate.wind_direction": Entry(
        YEAR, "radian", "where the wind comes from", END, "wind_from_direction"
    ),
    "Climate.global_horizontal": Entry(
        YEAR, FLUX, "global radiation", MEAN, "surface_downwelling_shortwave_flux_in_air"
    ),
    "Climate.direct_normal": Entry(
        YEAR, FLUX, "beam", MEAN, "surface_direct_along_beam_shortwave_flux_in_air"
    ),
    "Climate.diffuse_horizontal": Entry(
        YEAR, FLUX, "diffuse radiation", MEAN, "surface_diffuse_downwelling_shortwave_flux_in_air"
    ),
    "Climate.cloud_cover": Entry(YEAR, "1", "cloud cover", END, "cloud_area_fraction"),
    "Climate.sky_longwave": Entry(
        YEAR, FLUX, "long-wave from the sky", MEAN, "surface_downwelling_longwave_flux_in_air"
    ),
    "Climate.rain": Entry(YEAR, FILM, "rain of the hour", TOTAL, "rainfall_amount"),
    "Climate.snow_depth": Entry(YEAR, "m", "snow depth", END, "surface_snow_thickness"),
    "Climate.flags": Entry(YEAR, "1", "1 where the value was filled or judged doubtful"),
}

CHECKS: dict[str, Entry] = {
    "mould_index": Entry(PLANES, "1", "mould index, 0 to 6", END),
    "wood_moisture": Entry(PLANES, "1", "moisture content by mass of the wood", END),
}

PROFILES: dict[str, tuple[str, str]] = {
    "depth": ("m", "depth of the cell's centre from the outer surface"),
    "width": ("m", "width of the cell; planes between cells have none"),
    "temperature": ("K", "temperature at the hour's end"),
    "suction": ("Pa", "suction of the pore water at the hour's end"),
    "water_content": ("kg m-3", "water content at the hour's end"),
}
