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
from assembly_sim.model.room import (
    ColumnOfFile,
    Constant,
    ExcessVapour,
    MoistureBalance,
    OutdoorCurve,
    Room,
    SineOverYear,
)

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
    "ExcessVapour",
    "Layer",
    "Material",
    "Membrane",
    "MoistureBalance",
    "OuterSurface",
    "OutdoorCurve",
    "Points",
    "NamedDepth",
    "RetentionCurve",
    "RetentionTerm",
    "Room",
    "Sheet",
    "SineOverYear",
    "SorptionPoints",
    "Thresholds",
    "TwoPointStorage",
    "UptakeCoefficient",
]
