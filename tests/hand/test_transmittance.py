"""U-values against published examples; each source stands beside its check."""

import math

import numpy as np
import pytest

from assembly_sim.envelope.resistances import SteadyLayers, u_value
from assembly_sim.hand.transmittance import (
    corrected,
    fastener_correction,
    gap_correction,
    transmittance,
    transmittance_of,
)
from assembly_sim.model import (
    AirLayer,
    Assembly,
    Bridge,
    Layer,
    Material,
    Membrane,
    OuterSurface,
    Points,
    Sheet,
)
from assembly_sim.physics.resistance import isothermal_planes, parallel_paths
from assembly_sim.physics.surface import air_layer_resistance

WALL = math.pi / 2


def plain(name: str, conductivity: float) -> Material:
    flat = Points((0.0, 1.0), (2e-11, 2e-11))
    return Material(name, 100.0, 1000.0, Points((283.15,), (conductivity,)), flat, 0.5)


def assembly(*layers, tilt=WALL, sheltered=False) -> Assembly:
    outer = OuterSurface(tilt, 0.0, 0.6, 0.9, sheltered=sheltered)
    return Assembly("sample", 10.0, outer, layers, leak=None)


def from_columns(main, bridge, share, inner, outer) -> SteadyLayers:
    paths = np.array([main, bridge])
    shares = np.array([1.0 - share, share])
    return SteadyLayers((), ("main", "framing"), shares, paths, inner, outer, "horizontal")


def timber_frame() -> SteadyLayers:
    """Timber-frame wall of UK Approved Document L and its Scottish counterpart, from memory."""
    shared = [0.132, 0.090, 0.069]
    return from_columns(
        [*shared, 3.684, 0.050], [*shared, 1.077, 0.050], 0.15, inner=0.130, outer=0.040
    )


def test_timber_frame_wall_by_the_combined_method():
    steady = timber_frame()
    result = transmittance_of(steady)
    assert 1 / result.parallel == pytest.approx(3.366, abs=0.0015)
    assert 1 / result.isothermal == pytest.approx(3.214, abs=0.0015)
    assert 1 / result.combined == pytest.approx(3.290, abs=0.0015)
    assert round(result.combined, 2) == 0.30  # published
    assert result.error == pytest.approx((3.366 - 3.214) / (2 * 3.290), abs=2e-4)
    assert result.valid


def test_level_one_gaps_of_that_wall():
    # 0.01 (3.684/3.290)^2, computed from ISO 6946's formula (from memory)
    assert gap_correction(1, 3.684, 3.290) == pytest.approx(0.0125, abs=5e-5)
    assert corrected(0.304, 0.0125) == pytest.approx(0.3165)
    assert corrected(0.304, 0.0068) == 0.304  # below 3 % of U: dropped


def test_wood_frame_wall_by_both_limits():
    # ASHRAE Fundamentals 2021, ch. 27, example 3: 38 x 90 mm studs at 400 mm. The book prints
    # 2.78 as 1/0.36, so the parallel check is on U; its 600 mm figure does not recompute.
    shared = [0.11, 0.70]
    steady = from_columns(
        [*shared, 2.30, 0.08], [*shared, 0.77, 0.08], 0.25, inner=0.12, outer=0.03
    )
    result = transmittance_of(steady)
    assert round(result.parallel, 2) == 0.36
    assert 1 / result.isothermal == pytest.approx(2.58, abs=0.005)
    assert result.isothermal == pytest.approx(0.388, abs=0.0005)


def test_wall_of_panels_is_a_plain_sum():
    # ASHRAE Fundamentals 2021, ch. 27, example 1 with the text's values (its table does not sum)
    layers = [[0.107, 0.011, 0.07, 4.29, 0.079]]
    total = parallel_paths(layers, [1.0], 0.120, 0.030)
    assert total == pytest.approx(4.70, abs=0.01)
    assert round(1 / total, 2) == 0.21


def test_small_uninsulated_hatch_pulls_the_mean_down():
    # 990 ft2 of R-38 and 10 ft2 of R-1 make R-27.7 (Bailes; secondary), in any unit of R
    total = parallel_paths([[38.0], [1.0]], [0.99, 0.01], 0.0, 0.0)
    assert total == pytest.approx(27.7, abs=0.05)


def test_limits_coincide_without_bridges():
    assert isothermal_planes([[1.0, 2.0]], [1.0], 0.13, 0.04) == pytest.approx(3.17)
    assert parallel_paths([[1.0, 2.0]], [1.0], 0.13, 0.04) == pytest.approx(3.17)


def test_metal_through_insulation_is_not_valid():
    steady = from_columns([5.0, 0.05], [0.001, 0.05], 0.05, inner=0.13, outer=0.04)
    assert not transmittance_of(steady).valid


def test_fasteners():
    # computed by hand: 0.8 * 50 * 2e-5 * 4 / 0.1 * (2.5/2.9)^2
    full = fastener_correction(50.0, 2e-5, 4.0, 0.1, 2.5, 2.9)
    assert full == pytest.approx(0.032 * (2.5 / 2.9) ** 2)
    assert fastener_correction(50.0, 2e-5, 4.0, 0.1, 2.5, 2.9, 0.05) == pytest.approx(full / 2)


def test_bridged_assembly_matches_its_columns():
    batt, wood, board = plain("batt", 0.038), plain("wood", 0.13), plain("board", 0.25)
    cavity = Layer("cavity", batt, 0.14, bridges=(Bridge("framing", 0.15, wood),))
    film = Membrane("film", Sheet("film", Points((0.5,), (1e-12,))))
    wall = assembly(cavity, film, Layer("board", board, 0.0125))
    columns = from_columns([0.14 / 0.038, 0.05], [0.14 / 0.13, 0.05], 0.15, 0.13, 0.04)
    expected = transmittance_of(columns)
    result = transmittance(wall)
    assert result.combined == pytest.approx(expected.combined, rel=1e-12)
    assert result.isothermal == pytest.approx(expected.isothermal, rel=1e-12)
    assert u_value(wall) == pytest.approx(result.combined, rel=1e-15)


def test_vented_layer_and_all_outside_it_are_left_out():
    board = Layer("board", plain("board", 0.25), 0.025)
    siding = Layer("siding", plain("siding", 0.13), 0.02)
    vented = assembly(siding, AirLayer("cavity", 0.02, air_changes=20.0), board)
    assert u_value(vented) == pytest.approx(1 / (0.13 + 0.1 + 0.13))
    still = assembly(siding, AirLayer("cavity", 0.02), board)
    gap = air_layer_resistance(0.02, 0.9, 0.9, WALL)
    assert u_value(still) == pytest.approx(1 / (0.04 + 0.02 / 0.13 + gap + 0.1 + 0.13))


def test_attic_side_has_still_air():
    board = Layer("board", plain("board", 0.25), 0.025)
    assert u_value(assembly(board, tilt=0.0, sheltered=True)) == pytest.approx(1 / 0.3)
