"""The solver is compiled before its tests: code that they alone bring about is not kept whole."""

import pytest

from assembly_sim.solver import warm_up


@pytest.fixture(scope="session", autouse=True)
def compiled():
    warm_up.ready()
