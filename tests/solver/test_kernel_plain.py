"""The kernel as plain Python, without compiling: the same answers, and every line to be seen.

With NUMBA_DISABLE_JIT=1 a debugger and a coverage count see what compiled code hides.
"""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parent.parent.parent
HOURS = 36
CODE = f"""
import sys
import numpy as np
import assembly_sim
from assembly_sim.boundary import forcing, room_state
from assembly_sim.solver import run
from assembly_sim.solver.kernel import hours as kernel
case = assembly_sim.read_case("examples/rafter_bay_foam.toml")
wall = case.assemblies[0]
rows = forcing.boundary_rows(case, wall, room_state.room_rows(case))
found, _ = run.run_path(case, wall, "main", rows, hours={HOURS})
np.savez(sys.argv[1], compiled=hasattr(kernel.march, "signatures"), t=found.temperature,
         p=found.vapour_pressure, water=found.layer_water, q=found.heat_flux_room)
"""


def test_the_kernel_is_the_same_in_plain_python(tmp_path):
    """But for fused multiplications, which compiling allows: 1e-9 of the values."""
    found = []
    for plain in ("0", "1"):
        file = tmp_path / f"{plain}.npz"
        command = [sys.executable, "-c", CODE, str(file)]
        environment = {**os.environ, "NUMBA_DISABLE_JIT": plain}
        subprocess.run(command, check=True, cwd=ROOT, env=environment)
        found.append(dict(np.load(file)))
    assert [bool(one.pop("compiled")) for one in found] == [True, False]
    for name, values in found[0].items():
        assert len(values) == HOURS
        scale = np.abs(values).max()
        np.testing.assert_allclose(found[1][name], values, rtol=0.0, atol=1e-9 * scale)
