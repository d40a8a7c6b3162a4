"""The kernel's equations under another integrator: SUNDIALS' IDA and CVODE (scikit-sundae).

The right-hand side is the kernel's own (storage, links, flows, tables, mesh, weather linear
between half-hour rows, rain constant), so that what is compared is integration in time alone:
one step of two stages there, BDF of variable order up to 5 here.

    IDA     dM/d(T, z) (T', z') - F = 0
    CVODE   (T', z') = (dM/d(T, z))^-1 F

z is u down to saturation and stretches the film beyond it, f = f0 (exp(z_sat - z) - 1), f0 the
storage per unit of u just before: so dW/dz has no jump there, which in u is one of 1 to 5,000,000
that a Newton method with a kept matrix does not get across. A plane stores no heat; here it gets
PLANE_CAPACITY, which shifts it by some mK. Both have banded matrices with exact slopes, and
everything they call is compiled.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from assembly_sim.solver.chain import Mesh
from assembly_sim.solver.curve_tables import build_tables
from assembly_sim.solver.kernel import numbers
from assembly_sim.solver.kernel.flows import flow
from assembly_sim.solver.kernel.grids import (
    COLDEST,
    SATURATED,
    TEMPERATURE_NODES,
    TEMPERATURE_STEP,
)
from assembly_sim.solver.kernel.links import air_inwards, link
from assembly_sim.solver.kernel.nodes import node_state
from assembly_sim.solver.kernel.weather import INTERVAL
from assembly_sim.solver.march import starting_state

Floats = NDArray[np.float64]
RESTARTS = 20
PLANE_CAPACITY = 10.0  # J/(m2 K): 5 um of wood
WARMEST = COLDEST + TEMPERATURE_STEP * (TEMPERATURE_NODES - 1) - 0.01
SHIFT_T, SHIFT_U = 1e-4, 1e-6  # of the central differences of the slopes of storage
MW, MW_U, MH, MH_T, MH_U = numbers.MW, numbers.MW_U, numbers.MH, numbers.MH_T, numbers.MH_U
G, G_T, G_U, E, E_T, E_U = numbers.G, numbers.G_T, numbers.G_U, numbers.E, numbers.E_T, numbers.E_U
WIDTH, CAPACITY, OVERFLOW = numbers.WIDTH, numbers.CAPACITY, numbers.OVERFLOW
FIRST_HELD, COLUMNS = numbers.RAIN_ON_SURFACE, numbers.COLUMNS
compiled = numba.njit(error_model="numpy", fastmath={"contract"})


@compiled
def weather(rows, t, row):
    """Boundary values t seconds after the first row."""
    j = min(int(t / INTERVAL), rows.shape[0] - 2)
    part = t / INTERVAL - j
    for c in range(FIRST_HELD):
        row[0, c] = rows[j, c] + (rows[j + 1, c] - rows[j, c]) * part
    for c in range(FIRST_HELD, COLUMNS):
        row[0, c] = rows[j, c]


@compiled
def unfold(z, soft, u, stretch):
    """u of z, and du/dz, of every node; `soft` is f0 over the film's spring."""
    for i in range(len(u)):
        grown = math.exp(min(max(SATURATED - z[i], 0.0), 50.0))
        u[i] = max(z[i], SATURATED) - soft[i] * (grown - 1.0)
        stretch[i] = 1.0 if z[i] >= SATURATED else soft[i] * grown


@compiled
def states(work, temperature, u, chain, tables, const):
    """The kernel's state of every node."""
    for i in range(len(u)):
        within = min(max(temperature[i], COLDEST), WARMEST)
        node_state(
            work, i, within, u[i], chain.nodes, chain.materials,
            tables.curves, tables.thermal, tables.wet, tables.state, const,
        )  # fmt: skip


@compiled
def gains(work, temperature, u, net, row, chain, tables, const):
    """Heat and water into every node, (n, 2). Call after `states`."""
    net[:] = 0.0
    for k in range(len(chain.flow_kind)):
        i = chain.flow_node[k]
        f = flow(
            chain.flow_kind[k], chain.flow_value[k], row[0], chain.surfaces[0],
            work, i, temperature[i], u[i], chain.nodes[i, OVERFLOW], const,
        )  # fmt: skip
        net[i, 0] += f[E]
        net[i, 1] += f[G]
    air, ratio = air_inwards(0, chain.materials, chain.surfaces, row, const)
    for i in range(len(u) - 1):
        found = link(
            work, i, temperature, chain.nodes, chain.materials, tables.sheets, air, ratio, const
        )
        net[i, 0] -= found[1]
        net[i, 1] -= found[0]
        net[i + 1, 0] += found[1]
        net[i + 1, 1] += found[0]


@compiled
def gain_slopes(work, temperature, u, slopes, stretch, row, chain, tables, const):
    """Slopes of the gains, (n, 2, 3, 2): over the outer neighbour's, own and inner (T, z)."""
    slopes[:] = 0.0
    for k in range(len(chain.flow_kind)):
        i = chain.flow_node[k]
        f = flow(
            chain.flow_kind[k], chain.flow_value[k], row[0], chain.surfaces[0],
            work, i, temperature[i], u[i], chain.nodes[i, OVERFLOW], const,
        )  # fmt: skip
        slopes[i, 0, 1, 0] += f[E_T]
        slopes[i, 0, 1, 1] += f[E_U] * stretch[i]
        slopes[i, 1, 1, 0] += f[G_T]
        slopes[i, 1, 1, 1] += f[G_U] * stretch[i]
    air, ratio = air_inwards(0, chain.materials, chain.surfaces, row, const)
    for i in range(len(u) - 1):
        j = i + 1
        (w, h, w_it, w_iu, w_jt, w_ju, h_it, h_iu, h_jt, h_ju) = link(
            work, i, temperature, chain.nodes, chain.materials, tables.sheets, air, ratio, const
        )
        for of, over, own, far in (
            (0, 0, h_it, h_jt),
            (0, 1, h_iu * stretch[i], h_ju * stretch[j]),
            (1, 0, w_it, w_jt),
            (1, 1, w_iu * stretch[i], w_ju * stretch[j]),
        ):
            slopes[i, of, 1, over] -= own
            slopes[i, of, 2, over] -= far
            slopes[j, of, 0, over] += own
            slopes[j, of, 1, over] += far


@compiled
def evaluated(t, temperature, z, work, net, slopes, fold, row, rows, chain, tables, const):
    """State and gains at time t, slopes of storage over z in place of u."""
    u, stretch = fold[1], fold[2]
    weather(rows, t, row)
    unfold(z, fold[0], u, stretch)
    states(work, temperature, u, chain, tables, const)
    gains(work, temperature, u, net, row, chain, tables, const)
    for i in range(len(u)):
        work[i, MW_U] *= stretch[i]
        work[i, MH_U] *= stretch[i]


@compiled
def rates(t, y, out, work, net, slopes, fold, row, rows, chain, tables, const):
    """(T', z') of every node."""
    evaluated(t, y[0::2], y[1::2], work, net, slopes, fold, row, rows, chain, tables, const)
    for i in range(len(net)):
        z_t = net[i, 1] / work[i, MW_U]
        out[2 * i + 1] = z_t
        out[2 * i] = (net[i, 0] - work[i, MH_U] * z_t) / work[i, MH_T]


@compiled
def storage_rates(work, y_t, curve, k, sign, stretch):
    """Add sign dM/d(T, z) (T', z') of every node to curve[:, k]: heat, water."""
    for i in range(len(curve)):
        z_t = y_t[2 * i + 1] * stretch[i]
        curve[i, k, 0] += sign * (work[i, MH_T] * y_t[2 * i] + work[i, MH_U] * z_t)
        curve[i, k, 1] += sign * work[i, MW_U] * z_t


@compiled
def residual(t, y, y_t, out, work, net, slopes, fold, row, rows, chain, tables, const):
    """Rate of storage less gain of every node: heat, water."""
    evaluated(t, y[0::2], y[1::2], work, net, slopes, fold, row, rows, chain, tables, const)
    for i in range(len(net)):
        out[2 * i] = work[i, MH_T] * y_t[2 * i] + work[i, MH_U] * y_t[2 * i + 1] - net[i, 0]
        out[2 * i + 1] = work[i, MW_U] * y_t[2 * i + 1] - net[i, 1]


@compiled
def residual_slopes(
    t, y, y_t, rate, jacobian, curve, work, net, slopes, fold, row, rows, chain, tables, const
):
    """d residual / d y + rate d residual / d y', slopes of the storage's own by differences."""
    temperature, z = y[0::2], y[1::2]
    u, stretch = fold[1], fold[2]
    curve[:] = 0.0
    for sign in (1.0, -1.0):
        for k in range(2):
            moved_t = temperature + (sign * SHIFT_T if k == 0 else 0.0)
            unfold(z + (sign * SHIFT_U if k == 1 else 0.0), fold[0], u, stretch)
            states(work, moved_t, u, chain, tables, const)
            per_shift = 0.5 * sign / (SHIFT_T if k == 0 else SHIFT_U)
            storage_rates(work, y_t, curve, k, per_shift, stretch)
    evaluated(t, temperature, z, work, net, slopes, fold, row, rows, chain, tables, const)
    gain_slopes(work, temperature, u, slopes, stretch, row, chain, tables, const)
    n = len(net)
    for i in range(n):
        for k in range(3):
            j = i + k - 1
            if 0 <= j < n:
                for of in range(2):
                    for over in range(2):
                        jacobian[2 * i + of, 2 * j + over] = -slopes[i, of, k, over]
        for over in range(2):
            jacobian[2 * i, 2 * i + over] += curve[i, over, 0]
            jacobian[2 * i + 1, 2 * i + over] += curve[i, over, 1]
        jacobian[2 * i, 2 * i] += rate * work[i, MH_T]
        jacobian[2 * i, 2 * i + 1] += rate * work[i, MH_U]
        jacobian[2 * i + 1, 2 * i + 1] += rate * work[i, MW_U]


@compiled
def rate_slopes(
    t, y, y_t, jacobian, curve, work, net, slopes, fold, row, rows, chain, tables, const
):
    """d(T', z')/d(T, z): the inverse of dM/d(T, z) on the slopes of the residual, turned."""
    residual_slopes(
        t, y, y_t, 0.0, jacobian, curve,
        work, net, slopes, fold, row, rows, chain, tables, const,
    )  # fmt: skip
    n = len(net)
    for i in range(n):
        for k in range(max(2 * i - 2, 0), min(2 * i + 4, 2 * n)):
            z_t = -jacobian[2 * i + 1, k] / work[i, MW_U]
            jacobian[2 * i, k] = (-jacobian[2 * i, k] - work[i, MH_U] * z_t) / work[i, MH_T]
            jacobian[2 * i + 1, k] = z_t


@dataclass(frozen=True)
class Peer:
    """A chain under its weather, ready for either integrator.

    start: unknowns (2, nodes), T and u (not past saturation); arguments: what every compiled
    function takes at its end.
    """

    start: Floats
    arguments: tuple[Any, ...]

    @property
    def nodes(self) -> Floats:
        return self.arguments[6].nodes


def peer(mesh: Mesh, rows: Floats, constants: Floats, start: Floats | None = None) -> Peer:
    """The march's own problem: same mesh, boundary rows, constants and starting unknowns."""
    n = len(mesh.chain.nodes)
    work, net, slopes = np.zeros((n, numbers.SCRATCH)), np.zeros((n, 2)), np.zeros((n, 2, 3, 2))
    tables = build_tables(mesh.materials, mesh.sheets)
    nodes = mesh.chain.nodes.copy()
    nodes[nodes[:, WIDTH] == 0.0, CAPACITY] = PLANE_CAPACITY
    chain = mesh.chain._replace(nodes=nodes)
    begin = starting_state(mesh, rows) if start is None else start
    states(work, begin[0], np.full(n, SATURATED), chain, tables, constants)
    fold = np.array([-work[:, MW_U] / nodes[:, OVERFLOW], begin[1], np.ones(n)])
    arguments = (work, net, slopes, fold, np.zeros((1, COLUMNS)), rows, chain, tables, constants)
    return Peer(begin, arguments)


def by_ida(problem: Peer, hours: int, relative: float, **options: Any) -> Floats:
    """Hourly unknowns (hours, 2, nodes), T and u, by IDA; RuntimeError if it gives up.

    relative: tolerance of z, and of T over 20 K.
    """
    from sksundae.ida import IDA

    n, arguments = len(problem.nodes), problem.arguments
    curve = np.zeros((n, 2, 2))

    def of(t: float, y: Floats, y_t: Floats, out: Floats) -> None:
        residual(t, y, y_t, out, *arguments)

    def slopes_of(
        t: float, y: Floats, y_t: Floats, out: Floats, rate: float, jacobian: Floats
    ) -> None:
        residual_slopes(t, y, y_t, rate, jacobian, curve, *arguments)

    solver = IDA(of, jacfn=slopes_of, **_options(n, relative), **options)

    def solve(times: Floats, start: Floats) -> Any:
        rate = np.zeros(2 * n)
        rates(times[0], start, rate, *arguments)
        return solver.solve(times, start, rate)

    return _hourly(problem, hours, solve)


def by_cvode(problem: Peer, hours: int, relative: float, **options: Any) -> Floats:
    """The same by CVODE."""
    from sksundae.cvode import CVODE

    n, arguments = len(problem.nodes), problem.arguments
    curve = np.zeros((n, 2, 2))

    def of(t: float, y: Floats, out: Floats) -> None:
        rates(t, y, out, *arguments)

    def slopes_of(t: float, y: Floats, y_t: Floats, jacobian: Floats) -> None:
        rate_slopes(t, y, y_t, jacobian, curve, *arguments)

    solver = CVODE(of, jacfn=slopes_of, **_options(n, relative), **options)
    return _hourly(problem, hours, solver.solve)


def _options(nodes: int, relative: float) -> dict[str, Any]:
    tolerances = relative * np.tile([20.0, 1.0], nodes)
    band = {"linsolver": "band", "lband": 3, "uband": 3}
    return {**band, "rtol": 1e-12, "atol": tolerances, "max_num_steps": 1_000_000}


def _hourly(problem: Peer, hours: int, solve: Callable[[Floats, Floats], Any]) -> Floats:
    """Unknowns (hours, 2, nodes), T and u, of `solve(times, start)` with its rows of (T, z).

    Where an integrator gives up within an hour it is started again from that hour, at order one:
    how many steps it may cut in a row is not ours to set.
    """
    times, rows = 3600.0 * np.arange(hours + 1), [problem.start.T.ravel()]
    for _ in range(1 + RESTARTS):
        found = solve(times[len(rows) - 1 :], rows[-1])
        rows += list(found.y[1:][np.isin(found.t[1:], times)])
        if len(rows) > hours:
            break
    else:
        raise RuntimeError(f"gave up after {len(rows) - 1} hours: {found.message}")
    n, soft = len(problem.nodes), problem.arguments[3][0]
    unknowns = np.array(rows[1:]).reshape(hours, n, 2).transpose(0, 2, 1).copy()
    for hour in unknowns:
        unfold(hour[1].copy(), soft, hour[1], np.empty(n))
    return unknowns


INTEGRATORS: dict[str, Callable[..., Floats]] = {"IDA": by_ida, "CVODE": by_cvode}


def water(problem: Peer, found: Floats) -> Floats:
    """Water (hours, nodes), kg/m2, of hourly unknowns."""
    work, chain, tables, const = problem.arguments[0], *problem.arguments[6:]
    held = np.empty((len(found), len(problem.nodes)))
    for hour, (temperature, u) in enumerate(found):
        states(work, temperature, u, chain, tables, const)
        held[hour] = work[:, MW]
    return held
