"""Radiation between the flat faces of a space, all meeting at one temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
MOST_FACTOR = 1e6  # of a face that is larger than all others together: they see nothing else
ROUNDS = 500


def view_of_rest(areas: ArrayLike) -> Array:
    """Factors F_i by which each face i sees a node that stands for all others, (faces,).

        F_i = 1 / (1 - A_i F_i / sum A_j F_j)

    Carroll's network (1980, from memory): views go by area, and no face sees itself. Two equal
    plates that face each other get 2 each, in series the 1 that they have. A face larger than all
    others together must see itself: its factor grows without end, and the others see it alone
    with a factor of 1, as in a hood.
    """
    size = np.asarray(areas, dtype=float)
    if len(size) < 2:
        return np.full(len(size), MOST_FACTOR)
    factor = np.full(len(size), 1.5)
    for _ in range(ROUNDS):
        share = size * factor / (size * factor).sum()
        factor = np.minimum(0.5 * (factor + 1.0 / np.maximum(1.0 - share, 1e-9)), MOST_FACTOR)
    return factor


def radiant_emissivities(areas: ArrayLike, emittances: ArrayLike) -> Array:
    """E_i of E_i sigma (T_i^4 - T_r^4), W/m2, from each face to the node where all meet, (faces,).

    The face's own resistance (1 - e) / e and that of its view, 1 / F, in series. areas m2,
    emittances 0-1; one that sends nothing gets 0.
    """
    own = np.asarray(emittances, dtype=float)
    sends = own > 0.0
    resistance = (1.0 - own) / np.where(sends, own, 1.0) + 1.0 / view_of_rest(areas)
    return np.where(sends, 1.0 / resistance, 0.0)
