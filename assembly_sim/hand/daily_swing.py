"""How an assembly answers a daily swing: the heat transfer matrix of ISO 13786.

Formulas from memory of ISO 13786:2017; layers in order from inside to outside, as the standard's
side 1 is the room and side 2 outdoors. For plane layers without bridges; air layers and surfaces
are resistances without mass.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from assembly_sim.envelope.resistances import (
    MAIN_PATH,
    conductivity_at_reference,
    layer_resistance,
    material_on_path,
    steady_layers,
)
from assembly_sim.model import Assembly, Membrane
from assembly_sim.model.assembly import AnyLayer

Matrix = NDArray[np.complex128]
DAY = 86400.0


@dataclass(frozen=True)
class DynamicCharacteristics:
    """Admittances W/(m2 K) with time shifts h (positive leads), for one period.

    admittance_inside (Y11), admittance_outside (Y22), transmittance (Y12), each with its shift;
    decrement = |Y12| / U; heat capacities per area of each side, J/(m2 K).
    """

    u_value: float
    admittance_inside: float
    shift_inside: float
    admittance_outside: float
    shift_outside: float
    transmittance: float
    shift_through: float
    decrement: float
    capacity_inside: float
    capacity_outside: float


def layer_matrix(
    thickness: float, conductivity: float, density: float, heat: float, period: float = DAY
) -> Matrix:
    """Heat transfer matrix (2, 2) of a layer of m, W/(m K), kg/m3, J/(kg K) over a period, s.

    With delta = sqrt(lambda P / (pi rho c)), xi = d/delta: Z11 = Z22 = cosh(xi + i xi),
    Z12 = -sinh((1+i) xi) delta / (lambda (1+i)), Z21 = -(lambda (1+i) / delta) sinh((1+i) xi),
    which is the standard's form in complex functions.
    """
    depth = np.sqrt(conductivity * period / (np.pi * density * heat))
    argument = (1 + 1j) * thickness / depth
    wave = conductivity * (1 + 1j) / depth
    sinh, cosh = np.sinh(argument), np.cosh(argument)
    return np.array([[cosh, -sinh / wave], [-wave * sinh, cosh]])


def resistance_matrix(resistance: float) -> Matrix:
    """Heat transfer matrix (2, 2) of a resistance without mass, m2K/W."""
    return np.array([[1.0, -resistance], [0.0, 1.0]], dtype=complex)


def chain(matrices: list[Matrix]) -> Matrix:
    """Z = Z_n ... Z_2 Z_1, matrices listed from inside to outside."""
    product = np.eye(2, dtype=complex)
    for matrix in matrices:
        product = matrix @ product
    return product


def characteristics(matrix: Matrix, u_value: float, period: float = DAY) -> DynamicCharacteristics:
    """Admittances, shifts, decrement and areal capacities of a whole element's matrix.

    Y11 = -Z11/Z12, Y22 = -Z22/Z12, Y12 = -1/Z12 with a time shift P/(2 pi) arg(Y), that of Y12
    a lag between -P and 0; kappa = P/(2 pi) |(Z - 1)/Z12|.
    """
    (z11, z12), (_, z22) = matrix
    inside, outside, through = -z11 / z12, -z22 / z12, -1.0 / z12
    hours = period / 3600.0 / (2.0 * np.pi)
    lag = np.angle(through)
    capacity = period / (2.0 * np.pi)
    return DynamicCharacteristics(
        u_value=float(u_value),
        admittance_inside=float(abs(inside)),
        shift_inside=float(np.angle(inside) * hours),
        admittance_outside=float(abs(outside)),
        shift_outside=float(np.angle(outside) * hours),
        transmittance=float(abs(through)),
        shift_through=float((lag - 2.0 * np.pi if lag > 0.0 else lag) * hours),
        decrement=float(abs(through) / u_value),
        capacity_inside=float(capacity * abs((z11 - 1.0) / z12)),
        capacity_outside=float(capacity * abs((z22 - 1.0) / z12)),
    )


def dynamic_characteristics(assembly: Assembly, path: str = MAIN_PATH) -> DynamicCharacteristics:
    """Answer of one path of an assembly to a swing of 24 hours, dry materials at 10 degC."""
    steady = steady_layers(assembly)
    inner_first = steady.layers[::-1]
    matrices = [
        resistance_matrix(steady.inner_surface),
        *(_matrix(layer, path, assembly.outer.tilt) for layer in inner_first),
        resistance_matrix(steady.outer_surface),
    ]
    resistance = steady.resistances[steady.paths.index(path)].sum()
    total = resistance + steady.inner_surface + steady.outer_surface
    return characteristics(chain(matrices), 1.0 / total)


def _matrix(layer: AnyLayer, path: str, tilt: float) -> Matrix:
    material = material_on_path(layer, path)
    if material is None or isinstance(layer, Membrane):
        return resistance_matrix(layer_resistance(layer, path, tilt))
    conductivity = conductivity_at_reference(material)
    return layer_matrix(layer.thickness, conductivity, material.density, material.specific_heat)
