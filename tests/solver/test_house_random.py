"""Random houses: whatever stands between whatever, no hour fails and every balance closes."""

from __future__ import annotations

import random_houses
from hypothesis import HealthCheck, given, settings


@given(random_houses.houses())
@settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
def test_any_house(house):
    """Zones of a tenth to 500 m3, some of next to no storage, in any shipped climate."""
    assert random_houses.faults(random_houses.run_house(house)) == []
