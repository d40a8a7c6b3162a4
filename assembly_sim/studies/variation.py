"""One assembly of a case by itself, in the room that all of them give."""

from __future__ import annotations

from dataclasses import replace

from assembly_sim.changes.room import room_columns
from assembly_sim.model import Case, ColumnOfFile


def alone(case: Case, at: int) -> Case:
    """The case with this assembly only, in the room that all of them give (hourly columns).

    A room's moisture balance counts the leaks of every assembly, so it is worked out first.
    """
    temperature, humidity = room_columns(case)
    room = replace(
        case.room,
        temperature=ColumnOfFile(tuple(temperature.tolist()), "the room's temperature"),
        humidity=ColumnOfFile(tuple(humidity.tolist()), "the room's humidity"),
    )
    return replace(case, room=room, assemblies=(case.assemblies[at],))
