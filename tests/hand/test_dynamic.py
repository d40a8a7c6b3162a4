"""Dynamic characteristics of ISO 13786 (from memory): values computed from its formulas.

They are regression values by separate code, not the standard's printed examples; what must hold
for any layer (unit determinant, the steady limit, splitting) is checked beside them.
"""

import math

import numpy as np
import pytest

from assembly_sim.hand.daily_swing import (
    chain,
    characteristics,
    dynamic_characteristics,
    layer_matrix,
    resistance_matrix,
)
from assembly_sim.model import AirLayer, Assembly, Layer, Material, OuterSurface, Points
from assembly_sim.physics.surface import air_layer_resistance

CONCRETE = (0.20, 1.8, 2400.0, 1000.0)
INSULATION = (0.10, 0.04, 30.0, 1400.0)
COATING = (0.005, 1.0, 1200.0, 1500.0)
LIGHT = (
    (0.0125, 0.25, 900.0, 1000.0),
    (0.20, 0.036, 20.0, 1030.0),
    (0.022, 0.13, 600.0, 1700.0),
)


def element(layers, inner=0.13, outer=0.04):
    films = resistance_matrix(inner), resistance_matrix(outer)
    matrix = chain([films[0], *(layer_matrix(*layer) for layer in layers), films[1]])
    total = inner + outer + sum(layer[0] / layer[1] for layer in layers)
    return matrix, characteristics(matrix, 1.0 / total)


@pytest.mark.parametrize(
    ("layers", "films", "expected"),
    [
        (
            [CONCRETE],
            (0.0, 0.0),
            (9.0, 15.7871, 2.835, 15.7871, 2.835, 8.32355, -2.397, 0.9248, 224.28, 224.28),
        ),
        (
            [CONCRETE],
            (0.13, 0.04),
            (3.5573, 5.7043, 0.948, 11.5919, 1.873, 1.82707, -5.676, 0.5136, 86.17, 170.87),
        ),
        (
            [CONCRETE, INSULATION, COATING],
            (0.13, 0.04),
            (0.3589, 5.9418, 0.853, 0.8470, 4.032, 0.06056, -8.109, 0.1687, 82.29, 12.48),
        ),
        (
            [COATING, INSULATION, CONCRETE],
            (0.13, 0.04),
            (0.3589, 0.8150, 3.791, 12.0538, 1.779, 0.11816, -7.426, 0.3292, 12.80, 166.96),
        ),
        (
            LIGHT,
            (0.13, 0.04),
            (0.1682, 0.9027, 4.736, 1.6669, 4.962, 0.16088, -2.414, 0.9564, 13.24, 23.79),
        ),
    ],
)
def test_daily_swing(layers, films, expected):
    _, result = element(layers, *films)
    values = np.array(list(vars(result).values()))
    values[-2:] /= 1000.0
    assert values == pytest.approx(expected, rel=1e-3)


def test_matrix_of_concrete():
    z = layer_matrix(*CONCRETE)  # computed from the standard's formulas
    assert z[0, 0] == pytest.approx(0.378820 + 1.858463j, abs=1e-6)
    assert z[0, 1] == pytest.approx(-0.097252 - 0.070540j, abs=1e-6)
    assert z[1, 0] == pytest.approx(22.160937 - 30.552550j, abs=1e-5)
    assert z[1, 1] == z[0, 0]


def test_determinant_is_one():
    matrix, _ = element([CONCRETE, INSULATION, COATING])
    assert np.linalg.det(matrix) == pytest.approx(1.0, abs=1e-9)


def test_a_slow_swing_is_steady():
    period = 86400.0 * 1e5
    matrix = layer_matrix(*CONCRETE, period=period)
    assert abs(1 / matrix[0, 1]) == pytest.approx(9.0, rel=1e-4)


def test_a_layer_in_two_parts_is_the_layer():
    half = layer_matrix(CONCRETE[0] / 2, *CONCRETE[1:])
    assert chain([half, half]) == pytest.approx(layer_matrix(*CONCRETE))


def test_assembly_runs_from_outside_to_inside():
    def layer(name, thickness, conductivity, density, heat):
        flat = Points((0.0,), (1e-11,))
        material = Material(name, density, heat, Points((283.15,), (conductivity,)), flat, 0.3)
        return Layer(name, material, thickness)

    outer = OuterSurface(math.pi / 2, 0.0, 0.6, 0.9)
    layers = (layer("outer", *INSULATION), AirLayer("gap", 0.02), layer("inner", *CONCRETE))
    result = dynamic_characteristics(Assembly("wall", 1.0, outer, layers, leak=None))
    gap = air_layer_resistance(0.02, 0.9, 0.9, math.pi / 2)
    by_hand = chain(
        [
            resistance_matrix(0.13),
            layer_matrix(*CONCRETE),
            resistance_matrix(gap),
            layer_matrix(*INSULATION),
            resistance_matrix(0.04),
        ]
    )
    assert result == characteristics(by_hand, result.u_value)
    assert result.admittance_inside > 5 * result.admittance_outside  # the mass is inside
