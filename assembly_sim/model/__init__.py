"""What the user describes: frozen descriptions in SI units, replaced and never changed."""

from assembly_sim.model.assembly import (
    USUAL_LEAK,
    AirLayer,
    AirLeak,
    Assembly,
    Bridge,
    Layer,
    Membrane,
    NamedDepth,
    OuterSurface,
)
from assembly_sim.model.case import Case, Thresholds
from assembly_sim.model.climate import Climate
from assembly_sim.model.defect import Defect
from assembly_sim.model.material import (
    ConductivityPoints,
    ConstantDiffusivity,
    Material,
    Points,
    RetentionCurve,
    RetentionTerm,
    Sheet,
    SorptionPoints,
    TwoPointStorage,
    UptakeCoefficient,
)
from assembly_sim.model.opening import Fan, FreeArea, MeasuredFlow, Opening, Side
from assembly_sim.model.room import (
    ColumnOfFile,
    Constant,
    ExcessVapour,
    MoistureBalance,
    OutdoorCurve,
    Room,
    SineOverYear,
)
from assembly_sim.model.schedule import Schedule, ScheduleEntry
from assembly_sim.model.zone import Ducts, Pipe, Zone

__all__ = [
    "USUAL_LEAK",
    "AirLayer",
    "AirLeak",
    "Assembly",
    "Bridge",
    "Case",
    "Climate",
    "ColumnOfFile",
    "ConductivityPoints",
    "Constant",
    "ConstantDiffusivity",
    "Defect",
    "Ducts",
    "ExcessVapour",
    "Fan",
    "FreeArea",
    "Layer",
    "Material",
    "MeasuredFlow",
    "Membrane",
    "MoistureBalance",
    "NamedDepth",
    "Opening",
    "OutdoorCurve",
    "OuterSurface",
    "Pipe",
    "Points",
    "RetentionCurve",
    "RetentionTerm",
    "Room",
    "Schedule",
    "ScheduleEntry",
    "Sheet",
    "Side",
    "SineOverYear",
    "SorptionPoints",
    "Thresholds",
    "TwoPointStorage",
    "UptakeCoefficient",
    "Zone",
]
