"""From a checked case file to the frozen model, and the list of what the user left unsaid."""

from __future__ import annotations

from calendar import month_name
from collections.abc import Iterator
from typing import Any

from assembly_sim.envelope.orientation import is_wall
from assembly_sim.envelope.rain import drainage_plane
from assembly_sim.envelope.resistances import conductivity_at_reference
from assembly_sim.files.case import column as case_column
from assembly_sim.files.case.house_build import unstated_of_house
from assembly_sim.files.case.joined import RULES, rule_text
from assembly_sim.files.case.layers import AirText, LayerText, MembraneText
from assembly_sim.files.case.lines import Path
from assembly_sim.files.case.room import (
    BalanceText,
    ColumnText,
    CurveText,
    ExcessText,
    HumiditySineText,
    TemperatureSineText,
)
from assembly_sim.files.case.schedule import HumiditySchedule, TemperatureSchedule
from assembly_sim.files.case.schema import AssemblyText, CaseFile, ThresholdsText
from assembly_sim.files.case.text import CaseText
from assembly_sim.model import (
    USUAL_LEAK,
    AirLayer,
    AirLeak,
    Assembly,
    Bridge,
    Case,
    Climate,
    ColumnOfFile,
    Constant,
    ExcessVapour,
    Layer,
    Membrane,
    MoistureBalance,
    NamedDepth,
    OutdoorCurve,
    OuterSurface,
    Room,
    SineOverYear,
    Thresholds,
)
from assembly_sim.model.assembly import AnyLayer
from assembly_sim.model.schedule import WEEKDAYS
from assembly_sim.units import marked

# Upper limits of the humidity classes, Pa at or below 0 degC outdoors (ISO 13788 annex A, from
# memory); class 5 has none.
_CLASS_EXCESS = {1: 270.0, 2: 540.0, 3: 810.0, 4: 1080.0}
NOT_DRAINED = (
    "no sheet or air gap behind a cladding and outside board and insulation was found, so nothing "
    "is drained and no rain gets past the outermost layers; name a leaked_rain_layer where it does"
)
HIGH_OCCUPANCY = 0.10  # EN 15026 annex C, from memory


def rooms(text: CaseFile, climate: Climate, source: CaseText) -> tuple[Room, ...]:
    """The rooms' rules; reads the columns that they name."""
    places = [("room",), *(("other_room", number) for number in range(len(text.other_room)))]
    named = [text.room, *text.other_room]
    return tuple(_room(text, one.name, at, climate, source) for one, at in zip(named, places))


def _room(text: CaseFile, name: str, at: Path, climate: Climate, source: CaseText) -> Room:
    rules = {}
    for entry in RULES:
        told, where = rule_text(text, at, entry)
        rules[entry] = rule(told, entry, climate, source, where)
    return Room(**rules, name=name)


def rule(text: Any, entry: str, climate: Climate, source: CaseText, at: Path = ("room",)) -> Any:
    """A rule of the room at a place; reads the column that it names."""
    match text:
        case TemperatureSineText() | HumiditySineText():
            return SineOverYear(text.mean, text.amplitude, text.peak_day)
        case TemperatureSchedule() | HumiditySchedule():
            return text.schedule()
        case CurveText():
            high = text.occupancy == "high" and entry == "humidity"
            return OutdoorCurve(HIGH_OCCUPANCY if high else 0.0)
        case ColumnText():
            return case_column.read_column(text, (*at, entry), climate, source)
        case ExcessText():
            excess = _CLASS_EXCESS[text.humidity_class or 1] if text.excess is None else text.excess
            return ExcessVapour(excess)
        case BalanceText():
            return MoistureBalance(text.volume, text.air_changes, text.generation, text.limit)
    return Constant(text)


def thresholds(text: ThresholdsText) -> Thresholds:
    """The defaults with what the user set."""
    return Thresholds(**text.model_dump(exclude_none=True))


def assembly(text: AssemblyText) -> Assembly:
    """One assembly, its layers named and its air leak settled; its sizes are known by now."""
    assert text.area is not None
    assert text.inside is not None
    layers = tuple(layer(one, name, text) for one, name in zip(text.layer, text.layer_names()))
    return Assembly(
        text.name,
        text.area,
        _outer(text),
        layers,
        _leak(text),
        text.air_through,
        text.order_meant,
        text.outside,
        text.inside,
    )


def layer(text: Any, name: str, around: AssemblyText | None) -> AnyLayer:
    """A layer; `around` tells the faces of an air layer that does not, None: it does."""
    match text:
        case MembraneText():
            return Membrane(name, text.membrane, text.airtight)
        case AirText():
            outer, inner = _faces(text, around)
            return AirLayer(name, text.air, outer, inner, text.air_changes, _bridges(text))
    return Layer(
        name,
        text.material,
        text.thickness,
        text.starting_humidity,
        text.airtight,
        _bridges(text),
        tuple(NamedDepth(one.name, one.depth) for one in text.probes),
        tuple(one.defect() for one in text.defects),
    )


def _bridges(text: AirText | LayerText) -> tuple[Bridge, ...]:
    return tuple(Bridge(one.path, one.share, one.material) for one in text.bridges)


def _faces(air: AirText, around: AssemblyText | None) -> tuple[float, float]:
    """Emittances of an air layer's two faces: as given, else those of its neighbours."""
    if air.emittance_outer is not None and air.emittance_inner is not None:
        return air.emittance_outer, air.emittance_inner
    assert around is not None
    here = next(number for number, layer in enumerate(around.layer) if layer is air)
    outer, inner = around.layer[here - 1], around.layer[here + 1]
    given = (air.emittance_outer, air.emittance_inner)
    found = (_emittance(outer), _emittance(inner))
    return tuple(f if g is None else g for g, f in zip(given, found))  # type: ignore[return-value]


def _emittance(layer: Any) -> float:
    return float((layer.membrane if isinstance(layer, MembraneText) else layer.material).emittance)


def _outer(text: AssemblyText) -> OuterSurface:
    """The surface outdoors; a sheltered one has no sun, so its absorptance does not count."""
    assert text.tilt is not None
    return OuterSurface(
        tilt=text.tilt,
        azimuth=text.azimuth or 0.0,
        solar_absorptance=text.solar_absorptance or 0.0,
        emittance=0.9 if text.emittance is None else text.emittance,
        height=text.height,
        rain_exposure=text.rain_exposure,
        rain_deposition=text.rain_deposition,
        leaked_rain=text.leaked_rain,
        leaked_rain_layer=text.leaked_rain_layer,
        sheltered=text.is_sheltered,
    )


def _leak(text: AssemblyText) -> AirLeak | None:
    given = text.leak if "leak" in text.model_fields_set else USUAL_LEAK
    return given and AirLeak(
        given.flow,
        given.reference_pressure,
        text.leak_exponent,
        text.height_above_neutral_level,
        text.fan_pressure,
    )


def unstated(text: CaseFile, case: Case) -> tuple[str, ...]:
    """Every default that a result depends on, as a short phrase each."""
    columns = [getattr(one, entry) for one in case.rooms for entry in RULES]
    told = [note for c in columns if isinstance(c, ColumnOfFile) for note in c.notes]
    notes = (*dict.fromkeys(told), *unstated_of_house(text))
    return (
        tuple(_unstated_of_case(text, case.climate.wraps))
        + notes
        + tuple(
            f"{one.name}: {phrase}"
            for one, built in zip(text.assembly, case.assemblies)
            for phrase in _unstated_of_assembly(one, built, case.breathes)
        )
    )


def _unstated_of_case(text: CaseFile, wraps: bool) -> Iterator[str]:
    if "starting_humidity" not in text.model_fields_set:
        start = marked(text.starting_humidity, "percent")
        yield f"starting moisture in equilibrium with {start} relative humidity"
    if wraps and "years" not in text.model_fields_set:
        yield "the run goes on until it settles, three years at least and ten at most"
    if wraps and "start_month" not in text.model_fields_set:
        yield f"the run starts on 1 {month_name[text.start_month]}"
    for rule in (text.room.temperature, text.room.humidity):
        if isinstance(rule, TemperatureSchedule | HumiditySchedule):
            yield "a room on a schedule follows it within the hour: heavy rooms cool more slowly"
            by_day = any(len(one.weekdays) < len(WEEKDAYS) for one in rule.entries())
            if wraps and by_day and "first_day" not in rule.model_fields_set:
                yield "1 January is a Monday"
    balance = text.room.humidity
    if isinstance(balance, BalanceText) and "limit" not in balance.model_fields_set:
        yield f"room humidity is held at or below {marked(balance.limit, 'percent')}"
    yield "no snow lies on any surface"
    if text.option:
        told = f"{len(text.option)} options of the file are left out"
        yield f"{told}: this is the house as the rest of it tells, `compare` runs them"


def _unstated_of_assembly(text: AssemblyText, built: Assembly, breathes: bool) -> Iterator[str]:
    said, outer = text.model_fields_set, built.outer
    yield from _washed(text)
    if "leak" not in said:
        yield f"air leak {_told(USUAL_LEAK)}, the usual limit for an assembly"
    if built.leak and "leak_exponent" not in said:
        yield f"air leak with the exponent {built.leak.exponent:g}"
    if built.leak and breathes:
        yield from _unstated_of_level(text, built)
    elif built.leak and "height_above_neutral_level" not in said:
        yield f"{marked(built.leak.height_above_neutral_level, 'height')} above the neutral level"
    if outer.sheltered:
        return
    if "height" not in said:
        yield f"{marked(outer.height, 'height')} above ground for wind and rain"
    if not {"rain_exposure", "rain_deposition"} <= said:
        yield f"rain exposure {outer.rain_exposure:g}, rain deposition {outer.rain_deposition:g}"
    drainage = drainage_plane(built)
    if drainage is None:
        if outer.leaked_rain > 0.0 and outer.leaked_rain_layer is None:
            yield NOT_DRAINED if is_wall(built) else "no rain gets past the roofing"
    elif not {"leaked_rain", "leaked_rain_layer"} <= said:
        behind = built.layers[drainage].name
        yield f"{100 * outer.leaked_rain:g} % of the rain gets onto the outer face of {behind}"


def _washed(text: AssemblyText) -> Iterator[str]:
    """Where wind enters insulation, and what it leaves there of the layer's resistance."""
    for one, name in zip(text.layer, text.layer_names()):
        if not isinstance(one, LayerText):
            continue
        for defect in (each for each in one.defects if each.wind_washed is not None):
            depth, changes = defect.washed(one.thickness)
            conductivity = conductivity_at_reference(one.material)
            sound, left = (each / conductivity for each in (one.thickness, defect.left or 0.0))
            preset = isinstance(defect.wind_washed, str)
            by = f", a preset, '{defect.wind_washed}', that nobody measured" if preset else ""
            yield (
                f"wind washes the outer {marked(depth, 'length')} of {name} over "
                f"{100.0 * (defect.share or 0.0):.2g} % of the area ({defect.path}) with "
                f"{changes:g} air changes an hour{by}: {marked(left, 'resistance')} are left there "
                f"of {marked(sound, 'resistance')}, by a hand method"
            )


def _unstated_of_level(text: AssemblyText, built: Assembly) -> Iterator[str]:
    """Where the leak is in a house whose neutral level is solved for."""
    if "height" not in text.model_fields_set and built.outer.sheltered:
        yield f"{marked(built.outer.height, 'height')} above ground"
    if "height_above_neutral_level" in text.model_fields_set:
        yield "its height above the neutral level does not count: the house's air is solved for"


def _told(leak: AirLeak) -> str:
    flow = marked(leak.flow, "air flow per area")
    return f"{flow} at {marked(leak.reference_pressure, 'leak pressure')}"
