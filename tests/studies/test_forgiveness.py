"""Water put in at a plane: all of it is there at first, and where it can go it goes."""

import numpy as np
import pytest

from assembly_sim.boundary.forcing import boundary_rows
from assembly_sim.errors import InputError
from assembly_sim.studies.forgiveness import (
    ROOF_WATER,
    WALL_WATER,
    forgiveness,
    held,
    march_with_water,
    wet_plane,
)
from tests.outcomes.built import PAINTED_BOARD, case, climate, layer, sheet, wall

DECK = layer("plywood, exterior grade", 12.7, "deck")
BATT = layer("glass-fibre batt", 140)
SHINGLES = layer("asphalt shingles, dark", 5)
OPEN = case((SHINGLES, DECK, BATT, *PAINTED_BOARD), climate("cold_inland"), 0.4, years=1)
SEALED = case(
    (SHINGLES, DECK, BATT, sheet("aluminium foil facing", airtight=True), *PAINTED_BOARD),
    climate("cold_inland"),
    0.4,
    years=1,
    leak=None,
)


def test_all_the_water_is_there_in_the_first_hour():
    rows = boundary_rows(OPEN, OPEN.assemblies[0])
    dry, wet = (
        march_with_water(OPEN, OPEN.assemblies[0], "main", rows, 2, water, 0.25)
        for water in (0.0, 0.25)
    )
    assert held(wet)[0] - held(dry)[0] == pytest.approx(0.25, rel=0.02)
    assert wet.film[0, 2] > 0.05  # the rest is in the deck by then
    assert dry.film[0, 2] < 1e-3
    assert wet.moisture_balance_error < 1e-9


def test_a_deck_between_shingles_and_foil_keeps_what_an_open_one_gives_off():
    (through,), (enclosed,) = forgiveness(OPEN), forgiveness(SEALED)
    assert through.plane == enclosed.plane == "deck | glass-fibre batt"
    assert through.after_year < 0.1
    assert enclosed.after_year > 0.3
    assert enclosed.months[0] > 0.9
    assert np.all(np.diff(enclosed.months) < 0.01)
    assert enclosed.after_summer == enclosed.months[10]


def test_roofs_and_walls_get_their_own_amount():
    upright = wall(OPEN.assemblies[0].layers, OPEN.climate, 0.4, years=1)
    assert forgiveness(OPEN)[0].water == ROOF_WATER == 0.25
    assert forgiveness(upright)[0].water == WALL_WATER == 0.10
    assert wet_plane(upright.assemblies[0]) == 2


@pytest.mark.parametrize(("plane", "water"), [(-1, 0.1), (9, 0.1), (2, 0.0), (2, 50.0)])
def test_what_cannot_be_is_refused(plane, water):
    with pytest.raises(InputError):
        forgiveness(OPEN, 0, plane, water)
