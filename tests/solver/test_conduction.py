"""Dry conduction against closed forms: Carslaw and Jaeger, Conduction of Heat in Solids.

The formulas are the textbook's (from memory); the numbers beside them are computed.
"""

from __future__ import annotations

import bench_walls as bench
import numpy as np
import pytest
from scipy.special import erfc

from assembly_sim.solver.kernel import numbers

CONCRETE = bench.material(density=2400.0, specific_heat=1000.0, conductivity=bench.constant(1.8))
ALPHA = 7.5e-7  # m2/s
DEPTHS = np.array([0.0, 0.02, 0.05, 0.1, 0.2, 0.4])  # m
HELD_FACE = {  # hours: rise (K) at the depths for a face held 10 K warmer, computed
    6: (10.0, 9.1153, 7.8118, 5.7851, 2.6652, 0.2627),
    24: (10.0, 9.5570, 8.8954, 7.8118, 5.7851, 2.6652),
    120: (10.0, 9.8018, 9.5047, 9.0114, 8.0378, 6.1926),
}
THROUGH_FILM = {  # the same through a film of 8 W/(m2 K), computed
    6: (4.1650, 3.6631, 2.9768, 2.0213, 0.7897, 0.0582),
    24: (6.0581, 5.7120, 5.2098, 4.4231, 3.0627, 1.2382),
    120: (7.9139, 7.7290, 7.4541, 7.0030, 6.1324, 4.5513),
}
HEAT_TAKEN = {6: 3.446861e6, 24: 6.893723e6, 120: 1.541483e7}  # J/m2, held face, computed


def stepped(films: tuple[float, float]):
    boundary = bench.rows(120, (303.15, 0.3), (293.15, 0.3), films, bench.SEALED)
    return bench.marched(
        bench.wall((CONCRETE, 4.0)), boundary, 120, (293.15, 0.3), bench.DRY_STILL, refine=2.0
    )


@pytest.mark.parametrize(
    ("films", "expected"),
    [(bench.HELD, HELD_FACE), ((8.0, 0.0), THROUGH_FILM)],
    ids=["held face", "film"],
)
def test_step_into_a_thick_wall(films, expected):
    march = stepped(films)
    for hours, rise in expected.items():
        found = bench.temperatures(march, hours, DEPTHS) - 293.15
        assert found == pytest.approx(np.array(rise), abs=0.02), hours


def test_typed_numbers_follow_the_formulas():
    for hours, rise in HELD_FACE.items():
        assert 10.0 * erfc(DEPTHS / (2.0 * np.sqrt(ALPHA * 3600.0 * hours))) == pytest.approx(
            np.array(rise), abs=1e-4
        )


def test_heat_taken_up_by_a_held_face():
    march = stepped(bench.HELD)
    heat = 3600.0 * np.cumsum(bench.flow(march, numbers.OUTER_SURFACE, 2))
    for hours, expected in HEAT_TAKEN.items():
        assert heat[hours - 1] == pytest.approx(expected, rel=0.003)


def test_slab_with_both_faces_stepped():
    """Share of the step reached by a 0.2 m slab's middle and by its mean, computed."""
    boundary = bench.rows(6, (303.15, 0.3), (303.15, 0.3))
    march = bench.marched(
        bench.wall((CONCRETE, 0.2)), boundary, 6, (293.15, 0.3), bench.DRY_STILL, refine=2.0
    )
    width = march.mesh.chain.nodes[:, numbers.WIDTH]
    expected = {1: (0.347047, 0.583421), 3: (0.827443, 0.890147), 6: (0.976614, 0.985112)}
    for hours, (middle, mean) in expected.items():
        rise = (march.profile[hours - 1, 0] - 293.15) / 10.0
        assert np.interp(0.1, march.mesh.depth, rise) == pytest.approx(middle, abs=0.01)
        assert (rise * width).sum() / width.sum() == pytest.approx(mean, abs=0.005)
