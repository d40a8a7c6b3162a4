"""CVODE called without Python in its way: the peer's right-hand side and Jacobian as C functions.

`peer.by_cvode` crosses from C through Python at every call, which the march need not. Here the
same compiled functions (`rates`, `rate_slopes` of `peer.py`) are C callbacks that numba makes, and
the library that scikit-sundae brings is called by ctypes: band matrix, exact slopes, absolute
tolerances. The arrays that the functions work on are reached by their addresses, so a peer is
compiled for one problem, and the problem must outlive it.
"""

from __future__ import annotations

import ctypes
import os
from collections.abc import Callable
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic
from numpy.typing import NDArray

from tests.solver.peer import RESTARTS, Peer, rate_slopes, rates, unfold

Floats = NDArray[np.float64]
BDF, NORMAL, NO_COMMUNICATOR = 2, 1, 0  # of sundials' headers
BAND = 3
MOST_STEPS = 1_000_000


@intrinsic
def pointed(context, address):  # type: ignore[no-untyped-def]
    """An address as a pointer to anything."""

    def made(context, builder, signature, arguments):  # type: ignore[no-untyped-def]
        return builder.inttoptr(arguments[0], cgutils.voidptr_t)

    return types.voidptr(address), made


def library(name: str) -> ctypes.CDLL:
    """A library of sundials among those that scikit-sundae is installed with."""
    files = distribution("scikit-sundae").files or []
    found = [one for one in files if Path(one.name).name.startswith(f"libsundials_{name}")]
    return ctypes.CDLL(str(found[0].locate()), mode=ctypes.RTLD_GLOBAL)


def function(of: ctypes.CDLL, name: str, result: Any, *arguments: Any) -> Any:
    """A function of a library with its types."""
    found = getattr(of, name)
    found.restype, found.argtypes = result, arguments
    return found


class Sundials:
    """The functions of the library that a solution takes."""

    def __init__(self) -> None:
        for stream in ("ERROR", "WARNING"):  # what it gives up on is told by codes too
            os.environ.setdefault(f"SUNLOGGER_{stream}_FILENAME", os.devnull)
        pointer, real, whole, size = (
            *(ctypes.c_void_p, ctypes.c_double, ctypes.c_int, ctypes.c_int64),
        )
        core, vectors = library("core"), library("nvecserial")
        matrices, solvers = library("sunmatrixband"), library("sunlinsolband")
        cvode = library("cvode")
        self.context = function(core, "SUNContext_Create", whole, whole, ctypes.POINTER(pointer))
        self.values = function(core, "N_VGetArrayPointer", pointer, pointer)
        self.vector = function(vectors, "N_VMake_Serial", pointer, size, pointer, pointer)
        self.band = function(matrices, "SUNBandMatrix", pointer, size, size, size, pointer)
        self.band_data = function(matrices, "SUNBandMatrix_Data", pointer, pointer)
        self.band_height = function(matrices, "SUNBandMatrix_LDim", size, pointer)
        self.band_stored = function(matrices, "SUNBandMatrix_StoredUpperBandwidth", size, pointer)
        self.solver = function(solvers, "SUNLinSol_Band", pointer, pointer, pointer, pointer)
        self.create = function(cvode, "CVodeCreate", pointer, whole, pointer)
        self.begin = function(cvode, "CVodeInit", whole, pointer, pointer, real, pointer)
        self.again = function(cvode, "CVodeReInit", whole, pointer, real, pointer)
        self.tolerances = function(cvode, "CVodeSVtolerances", whole, pointer, real, pointer)
        self.linear = function(cvode, "CVodeSetLinearSolver", whole, pointer, pointer, pointer)
        self.jacobian = function(cvode, "CVodeSetJacFn", whole, pointer, pointer)
        self.steps = function(cvode, "CVodeSetMaxNumSteps", whole, pointer, ctypes.c_long)
        self.advance = function(
            cvode, "CVode", whole, pointer, real, pointer, ctypes.POINTER(real), whole
        )


def viewed(arguments: tuple[Any, ...]) -> Callable[[], Any]:
    """A compiled function that gives the problem's arrays, by their addresses."""
    names: dict[str, Any] = {"carray": numba.carray, "pointed": pointed, "np": np}

    def text(value: Any) -> str:
        if value is None:
            return "None"
        if isinstance(value, np.ndarray):
            assert value.flags.c_contiguous
            kind = f"np.{value.dtype}"
            return f"carray(pointed({value.ctypes.data}), {value.shape}, {kind})"
        if hasattr(value, "_fields"):
            names[type(value).__name__] = type(value)
            return f"{type(value).__name__}({', '.join(map(text, value))})"
        raise TypeError(type(value).__name__)

    body = ", ".join(map(text, arguments))
    exec(f"def view():\n    return ({body})", names)
    made: Callable[[], Any] = numba.njit(names["view"])
    return made


class CompiledPeer:
    """CVODE on one problem, all callbacks compiled. `solve` may be called as often as wanted."""

    def __init__(self, problem: Peer) -> None:
        self.problem, self.size = problem, 2 * len(problem.nodes)
        self.lib = Sundials()
        self.scratch = (np.zeros((self.size, self.size)), np.zeros((len(problem.nodes), 2, 2)))
        self.right_hand_side = _right_hand_side(problem, self.size, self.lib)
        self.slopes = _slopes(problem, self.size, self.lib, self.scratch)

    def solve(self, hours: int, relative: float) -> Floats:
        """Hourly unknowns (hours, 2, nodes), T and u; relative: tolerance of z, of T over 20 K."""
        lib, n = self.lib, self.size
        context = ctypes.c_void_p()
        assert lib.context(NO_COMMUNICATOR, ctypes.byref(context)) == 0
        state = self.problem.start.T.ravel().copy()
        allowed = relative * np.tile([20.0, 1.0], n // 2)
        y = lib.vector(n, state.ctypes.data, context)
        tolerance = lib.vector(n, allowed.ctypes.data, context)
        memory = lib.create(BDF, context)
        matrix = lib.band(n, BAND, BAND, context)
        for code in (
            lib.begin(memory, self.right_hand_side.address, 0.0, y),
            lib.tolerances(memory, 1e-12, tolerance),
            lib.linear(memory, lib.solver(y, matrix, context), matrix),
            lib.jacobian(memory, self.slopes.address),
            lib.steps(memory, MOST_STEPS),
        ):
            assert code == 0, code
        return self._read(self._march(memory, y, state, hours))

    def _march(self, memory: Any, y: Any, state: Floats, hours: int) -> Floats:
        """Rows of (T, z), an hour each; started again from an hour in which it gives up."""
        reached, failed = ctypes.c_double(), 0
        rows = np.empty((hours, self.size))
        hour = 0
        while hour < hours:
            code = self.lib.advance(memory, 3600.0 * (hour + 1), y, reached, NORMAL)
            if code < 0:
                failed += 1
                if failed > RESTARTS:
                    raise RuntimeError(f"gave up after {hour} hours: {code}")
                state[:] = rows[hour - 1] if hour else self.problem.start.T.ravel()
                assert self.lib.again(memory, 3600.0 * hour, y) == 0
                continue
            rows[hour] = state
            hour += 1
        return rows

    def _read(self, rows: Floats) -> Floats:
        n, soft = self.size // 2, self.problem.arguments[3][0]
        unknowns = rows.reshape(len(rows), n, 2).transpose(0, 2, 1).copy()
        for hour in unknowns:
            unfold(hour[1].copy(), soft, hour[1], np.empty(n))
        return unknowns


def _right_hand_side(problem: Peer, size: int, lib: Sundials) -> Any:
    view, values = viewed(problem.arguments), lib.values

    @numba.cfunc(types.int32(types.float64, types.intp, types.intp, types.intp))
    def right_hand_side(t, y, out, data):  # type: ignore[no-untyped-def]
        state = numba.carray(pointed(values(y)), (size,), np.float64)
        rate = numba.carray(pointed(values(out)), (size,), np.float64)
        rates(t, state, rate, *view())
        return 0

    return right_hand_side


def _slopes(problem: Peer, size: int, lib: Sundials, scratch: tuple[Floats, Floats]) -> Any:
    view, inner = viewed(problem.arguments), viewed(scratch)
    values, data_of, height_of, stored_of = (
        *(lib.values, lib.band_data, lib.band_height, lib.band_stored),
    )
    kind = types.int32(types.float64, *[types.intp] * 7)

    @numba.cfunc(kind)
    def slopes(t, y, rate, matrix, data, one, two, three):  # type: ignore[no-untyped-def]
        state = numba.carray(pointed(values(y)), (size,), np.float64)
        moved = numba.carray(pointed(values(rate)), (size,), np.float64)
        full, curve = inner()
        rate_slopes(t, state, moved, full, curve, *view())
        height, stored = height_of(matrix), stored_of(matrix)
        band = numba.carray(pointed(data_of(matrix)), (size, height), np.float64)
        for j in range(size):
            for i in range(max(0, j - BAND), min(size, j + BAND + 1)):
                band[j, stored + i - j] = full[i, j]
        return 0

    return slopes
