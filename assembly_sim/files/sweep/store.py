"""The rows of one shard on disk: found again, added to, and never lost.

A row is kept once it is in the journal. When the journal has grown, its rows and those of the HDF5
file make a new file, moved in whole; then the journal is emptied. Killed between the two, a row
stands in both: rows are known by their keys, so it counts once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np

from assembly_sim.errors import InputError, Problem
from assembly_sim.files.result.rows import (
    Table,
    check_rows,
    joined,
    read_rows,
    table_of,
    taken,
    text,
    write_rows,
)
from assembly_sim.files.sweep import journal
from assembly_sim.files.sweep.columns import VARIANT, Column
from assembly_sim.files.sweep.folder import Shard, files
from assembly_sim.files.sweep.journal import Cells, Journal

LEAST_ROWS = 500
"""Rows of a journal before they go into the table; a tenth of the table's where that is more."""
LEFT_OUT = -1
"""Number of a row that is not of the plan any more."""


class Store:
    """Rows of a shard, open for adding. Use as a context: it ends with a whole table."""

    def __init__(
        self, folder: Path, shard: Shard, columns: Sequence[Column], about: Mapping[str, Any]
    ) -> None:
        self.table_file = folder / f"{shard.stem}.h5"
        self.columns, self.about = tuple(columns), dict(about)
        self._journal = Journal(folder / f"{shard.stem}.journal")
        self._waiting = 0
        for left in folder.glob(f"{shard.stem}.part-*.h5"):  # of a process that was killed
            left.unlink()
        try:
            self._stored = self.checkpoint()
        except BaseException:
            self._journal.close()
            raise

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self.checkpoint()
        finally:
            self._journal.close()

    def rows(self) -> Table:
        """All rows, those of the same key once."""
        return once(self._all())

    def renumber(self, numbers: Mapping[str, int]) -> Table:
        """Give each row the number that its key has in the plan, LEFT_OUT where it has none.

        Returns the rows that were left out by this.
        """
        table = self.rows()
        new = np.array([numbers.get(key, LEFT_OUT) for key in text(table["key"])], np.int64)
        old = table[VARIANT.name]
        if not np.array_equal(new, old):
            table[VARIANT.name] = new
            self._write(table)
        return taken(table, np.flatnonzero((new == LEFT_OUT) & (old != LEFT_OUT)))

    def drop(self, status: str) -> None:
        """Forget the rows of a status, so that they are run again."""
        table = self.rows()
        self._write(taken(table, np.flatnonzero(table["status"] != status.encode())))

    def add(self, row: Cells) -> None:
        """Keep a row; once this returns, no kill loses it."""
        self._journal.append(row)
        self._waiting += 1
        if self._waiting >= max(LEAST_ROWS, self._stored // 10):
            self.checkpoint()

    def checkpoint(self) -> int:
        """Put the journal's rows into the table. Returns how many rows it has."""
        table = self.rows()
        self._write(table)
        return self._stored

    def _write(self, table: Table) -> None:
        write_rows(self.table_file, table, self.columns, self.about)
        self._journal.empty()
        self._stored, self._waiting = len(table["key"]), 0

    def _all(self) -> Table:
        fresh = as_table(self._journal.rows(), self.columns, self._journal.path)
        if not self.table_file.exists():
            return fresh
        return joined([read_rows(self.table_file)[0], fresh], self.columns)


def as_table(rows: Iterable[Cells], columns: Sequence[Column], path: Path) -> Table:
    """Rows of the journal at `path`. InputError that names it where one does not fit."""
    listed = list(rows)  # which says itself what is wrong with a line
    try:
        table = table_of(listed, columns)
        check_rows(table)
    except ValueError as error:  # InputError is one
        problems = getattr(error, "problems", (Problem(str(error)[:200], ""),))
        cure = "remove it: what it held is run again"
        raise InputError(*(Problem(one.cause, cure, str(path)) for one in problems)) from None
    return table


def once(table: Table) -> Table:
    """Rows of which no two have one key: the first of each."""
    _, first = np.unique(table["key"], return_index=True)
    return taken(table, np.sort(first))


def read_folder(folder: Path) -> tuple[Table, tuple[Column, ...], list[tuple[Shard, dict]]]:
    """All rows of a folder, of every shard, with their columns; and what each shard says of itself.

    Rows that are in a journal alone count. No two rows have one key.
    """
    found = list(_parts(folder))
    if not found:
        return {}, (), []
    columns = max((part[1] for part in found), key=len)
    table = once(joined([part[0] for part in found], columns))
    return table, columns, [(shard, about) for _, _, shard, about in found]


def _parts(folder: Path) -> Iterator[tuple[Table, tuple[Column, ...], Shard, dict[str, Any]]]:
    for shard, table_file, rows in files(folder):
        if not table_file.exists():
            continue
        fresh = list(journal.read(rows))  # first: a row goes from here to the table, not back
        table, columns, about = read_rows(table_file)
        if fresh:
            table = joined([table, as_table(fresh, columns, rows)], columns)
        yield table, columns, shard, about
