"""The table of a sweep read back, for questions: numbers as arrays, texts as lists."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.result.rows import joined, table_of, taken, text
from assembly_sim.files.sweep.columns import OUTCOMES, VARIANT, Column
from assembly_sim.files.sweep.journal import Cells
from assembly_sim.files.sweep.merge import missing
from assembly_sim.files.sweep.store import read_folder
from assembly_sim.files.words import nearest

if TYPE_CHECKING:
    import pandas as pd

Array = NDArray[Any]


@dataclass(frozen=True)
class Sweep:
    """Rows of a plan in the order of their numbers.

    values: by column, arrays of floats or of texts, (rows,); kinds: of each factor's unit, `name`
    where its values are labels; absent: numbers of the plan without a row; stale: rows that rest on
    an earlier plan and are left out; about: what the file says of itself.
    """

    columns: Mapping[str, Column]
    values: Mapping[str, Array]
    kinds: Mapping[str, str]
    absent: tuple[int, ...]
    stale: int
    about: Mapping[str, Any]

    def __len__(self) -> int:
        return len(self.values[VARIANT.name])

    def column(self, name: str) -> Array:
        """A column by name. InputError with the nearest name where there is none."""
        if name in self.values:
            return self.values[name]
        cure = nearest(name, self.values) or f"there are {', '.join(self.values)}"
        raise InputError(Problem(f"there is no column '{name[:60]}'", cure[:400]))

    def number(self, name: str) -> Array:
        """A column of numbers. InputError for one of texts."""
        values = self.column(name)
        if values.dtype.kind not in "if":
            cause = f"column '{name}' holds texts"
            raise InputError(Problem(cause, "name a column of numbers"))
        return values.astype(float)

    @property
    def factors(self) -> tuple[str, ...]:
        """Names of the factors in the order of the plan."""
        return tuple(self.kinds)


def read_sweep(folder: Path | str) -> Sweep:
    """All rows of the folder of a sweep, merged or not. InputError where it holds none."""
    table, columns, shards = read_folder(Path(folder))
    if not shards:
        cause = "holds no table of a sweep"
        raise InputError(Problem(cause, "name the folder of --out", str(folder)))
    about = shards[-1][1]
    current = table[VARIANT.name] >= 0
    table = taken(table, np.flatnonzero(current))
    table = taken(table, np.argsort(table[VARIANT.name], kind="stable"))
    values = {
        one.name: np.array(text(table[one.name]), dtype=object)
        if one.kind == "text"
        else table[one.name]
        for one in columns
    }
    return Sweep(
        columns={one.name: one for one in columns},
        values=values,
        kinds=dict(json.loads(about["factors"])),
        absent=tuple(missing(table, int(about["variants"]))),
        stale=int((~current).sum()),
        about=about,
    )


def sweep_table(folder: Path | str) -> pd.DataFrame:
    """The table of a sweep for pandas: a row a variant, factors first, SI.

    Read it with `absent` of `read_sweep` in mind while a sweep is not finished.
    """
    import pandas as pd

    found = read_sweep(folder)
    order = [VARIANT.name, *found.factors, *(one.name for one in OUTCOMES)]
    frame = pd.DataFrame({name: found.values[name] for name in order})
    return frame.set_index(VARIANT.name)


def of_rows(rows: list[Cells], columns: list[Column], kinds: dict[str, str]) -> Sweep:
    """The same from rows at hand, for studies that keep no folder."""
    table = joined([table_of(rows, columns)], columns)
    values = {
        one.name: np.array(text(table[one.name]), dtype=object)
        if one.kind == "text"
        else table[one.name]
        for one in columns
    }
    return Sweep({one.name: one for one in columns}, values, kinds, (), 0, {})
