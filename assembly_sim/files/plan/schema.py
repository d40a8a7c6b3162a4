"""What a plan of a sweep may hold: one pydantic model a table."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, model_validator

from assembly_sim.changes.plan import METHODS
from assembly_sim.files.case import fields as of
from assembly_sim.files.case.fields import EntryError, Table

MOST_FACTORS = 200
WAYS = ("values", "range", "distribution", "options")


class DistributionText(Table):
    """A distribution by its name and parameters; `within`: ends at which it is cut off."""

    uniform: list[Any] | None = Field(None, min_length=2, max_length=2)
    normal: list[Any] | None = Field(None, min_length=2, max_length=2)
    lognormal: list[Any] | None = Field(None, min_length=2, max_length=2)
    triangular: list[Any] | None = Field(None, min_length=3, max_length=3)
    within: list[Any] | None = Field(None, min_length=2, max_length=2)

    @model_validator(mode="after")
    def _has_one(self) -> DistributionText:
        if len(self.given) != 1:
            cure = "write one of normal, lognormal, triangular, uniform"
            raise EntryError("a distribution is one of several", cure)
        return self

    @property
    def given(self) -> dict[str, list[Any]]:
        """Parameters by the distribution's name."""
        kinds = ("uniform", "normal", "lognormal", "triangular")
        return {kind: found for kind in kinds if (found := getattr(self, kind)) is not None}


class FactorText(Table):
    """One thing that is varied: a path, or several, and how; or options, each a table of changes.

    `levels`: of a range in a factorial. `cost`: of each value or option, or at both ends.
    """

    name: of.Name
    path: str | list[str] | None = None
    values: list[Any] | None = Field(None, min_length=1)
    range: list[Any] | None = Field(None, min_length=2, max_length=2)
    distribution: DistributionText | None = None
    options: dict[str, dict[str, Any]] | None = Field(None, min_length=1)
    levels: int | None = Field(None, ge=2, le=1000)
    cost: list[of.Number] | None = None

    @model_validator(mode="after")
    def _is_told(self) -> FactorText:
        ways = [way for way in WAYS if getattr(self, way) is not None]
        if len(ways) > 1:
            raise EntryError(f"{' and '.join(ways)} exclude each other", "keep one", ways[-1])
        if (self.path is None) == (self.options is None):
            cure = "write path = 'assembly.\"North roof\".leak', or a table of options"
            raise EntryError("a factor has a path or options", cure)
        return self


class PlanFile(Table):
    """A whole plan, format 1."""

    format: Literal[1]
    name: of.Name
    case: of.Place
    climate: of.Place | None = None
    assembly: of.Name | None = None
    method: str = "factorial"
    count: int | list[int] | None = None
    seed: int = Field(1, ge=0)
    rows: str | list[list[Any]] | None = None
    refine: of.Number = 1.0
    steps: of.Number = 1.0
    hourly: bool = False
    change: dict[str, Any] = {}
    factor: list[FactorText] = Field(min_length=1, max_length=MOST_FACTORS)

    @model_validator(mode="after")
    def _method_is_known(self) -> PlanFile:
        if self.method not in METHODS:
            cause = f"'{self.method[:40]}' is no method"
            raise EntryError(cause, f"write one of {', '.join(METHODS)}", "method")
        return self
