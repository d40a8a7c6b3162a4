"""How the march is compiled: the decorators of all of it, so that another target is named here.

Three options are numba's own and not in its documentation. Nothing documented does their work:

* `_nrt`: no function here allocates, so none needs to count references. Counted, a year takes 2.8
  times as long (0.93 s for 0.33 s).
* `no_cpython_wrapper`, `no_cfunc_wrapper`: what Python does not call needs no wrapper for it, which
  is a fifth of the compiling (20 s for 16 s).

Where code is kept is numba's setting `CACHE_DIR`, else read from the environment, which is the
user's and is handed on to other programs. Other packages compile in this process too, so `hours`,
which all else here is imported for, puts the setting back at its end.
"""

from __future__ import annotations

import sys
from typing import Any

import numba

from assembly_sim.solver.kernel import cache

settings: Any = numba.config
FOUND = settings.CACHE_DIR
settings.CACHE_DIR = str(cache.folder() or "")
OPTIONS: dict[str, Any] = {
    "nogil": True,
    "error_model": "numpy",
    "fastmath": {"contract", "arcp", "nsz"},
    "_nrt": False,
}
KEPT: dict[str, Any] = {"cache": cache.folder() is not None}
UNSEEN: dict[str, Any] = {"no_cpython_wrapper": True, "no_cfunc_wrapper": True}
jit = numba.njit(**KEPT, **OPTIONS)  # what Python calls
inner = numba.njit(**UNSEEN, **KEPT, **OPTIONS)
# LLVM inlines these. numba's own inlining does the same work at a quarter more compiling.
inlined = numba.njit(forceinline=True, **UNSEEN, **OPTIONS)


def keep_nothing() -> None:
    """Neither read nor write kept code from now on: for where that fails."""
    from numba.core.caching import NullCache

    here = __name__.rpartition(".")[0]
    modules = [module for name, module in sys.modules.items() if name.startswith(here)]
    for function in (one for module in modules for one in vars(module).values()):
        if hasattr(function, "enable_caching"):
            function._cache = NullCache()
