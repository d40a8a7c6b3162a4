"""One assembly by itself, in the room that all of them give."""

import dataclasses

import numpy as np

from assembly_sim.boundary.room_state import room_rows
from assembly_sim.model import Constant, MoistureBalance, Room
from assembly_sim.studies.variation import alone
from tests import synthetic

CASE = synthetic.case()


def test_alone_the_assembly_has_the_room_that_all_of_them_give():
    leaky = dataclasses.replace(
        CASE,
        room=Room(Constant(294.15), MoistureBalance(300.0, 0.1, 1e-4)),
        assemblies=(synthetic.assembly("one"), synthetic.assembly("two")),
    )
    single = alone(leaky, 1)
    assert [one.name for one in single.assemblies] == ["two"]
    for before, after in zip(room_rows(leaky), room_rows(single)):
        np.testing.assert_allclose(after, before, rtol=1e-12)
