"""Time of wetness and its classes (ISO 9223:2012, from memory)."""

import numpy as np
import pytest

from assembly_sim.checks.metal import metal_findings, time_of_wetness, wetness_class
from tests.checks import made


@pytest.mark.parametrize(
    ("hours", "name"),
    [(10, "tau1"), (11, "tau2"), (250, "tau2"), (2500, "tau3"), (5500, "tau4"), (5501, "tau5")],
)
def test_classes(hours, name):
    assert wetness_class(hours) == name


def test_frozen_hours_and_dry_hours_do_not_count():
    kelvin = np.array([272.0, 275.0, 275.0, 275.0])
    assert time_of_wetness(kelvin, np.array([0.9, 0.9, 0.8, 0.85]), 0.8) == 2


def test_planes_of_wood_are_where_fasteners_sit():
    humidity = np.full((made.YEAR, 4), 0.5)
    humidity[:300, 1] = 0.9
    result = made.run(humidity=humidity, years=1, assembly=made.wall(made.BRICK))
    found, path = made.only(result)
    findings = metal_findings(result, found.assembly, path)
    assert [finding.place for finding in findings] == ["batt | lining", "inner surface"]
    result = made.run(humidity=humidity, years=1)
    found, path = made.only(result)
    sheathing = metal_findings(result, found.assembly, path)[1]
    assert (sheathing.value, sheathing.note) == (300, "ISO 9223 class tau3")
