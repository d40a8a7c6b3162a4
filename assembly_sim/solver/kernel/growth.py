"""Growth of mould hour by hour, which each hour's index makes of the one before: `checks/mould`."""

from __future__ import annotations

import math

from assembly_sim.solver.kernel.compiled import jit


@jit
def grow(rates, highest, declines, below, above, trace):
    """Fill `trace` with the index after each hour of growth, all (hours,).

    rates: growth an hour on pine below 1; highest: the index that the hour's conditions lead to;
    declines: what was lost since the hour of growth before; below, above: factors on the rate below
    an index of 1 and from there on.
    """
    index = 0.0
    for i in range(len(rates)):
        if declines[i] > 0.0:
            index = max(0.0, index - declines[i])
        if index < highest[i]:
            factor = below if index < 1.0 else above
            index += rates[i] * factor * (1.0 - math.exp(2.3 * (index - highest[i])))
        trace[i] = index
