"""Kelvin's law and storage curves against printed and computed values."""

import numpy as np
import pytest

from assembly_sim.physics import pore_water
from assembly_sim.physics.pore_water import (
    RetentionCurve,
    RetentionTerm,
    SorptionPoints,
    TwoPointStorage,
)

ANNEX_A = RetentionCurve(146.0, (RetentionTerm(1.0, 8e-8, 1.6, 0.375),))
SOFTWOOD = SorptionPoints((0.2, 0.5, 0.8, 0.95), (17.0, 36.0, 66.0, 105.0), 400.0)
STORAGES = (ANNEX_A, SOFTWOOD, TwoPointStorage(60.0, 400.0))


@pytest.mark.parametrize(
    ("humidity", "suction"), [(0.5, 93.78e6), (0.9, 14.255e6), (0.99, 1.3598e6), (1.0, 0.0)]
)
def test_kelvin(humidity, suction):
    """s = -rho Rv T ln(phi) at 20 degC (Kelvin's law), computed."""
    found = pore_water.suction(humidity, 293.15)
    assert found == pytest.approx(suction, rel=1e-3)
    assert pore_water.relative_humidity(found, 293.15) == pytest.approx(humidity, rel=1e-12)


@pytest.mark.parametrize(
    ("humidity", "temperature", "content"), [(0.5, 293.15, 42.943), (0.95, 303.15, 128.298)]
)
def test_retention_curve_of_en_15026(humidity, temperature, content):
    """The curve is EN 15026:2007 annex A's; its values are computed."""
    suction = pore_water.suction(humidity, temperature)
    assert pore_water.water_content(ANNEX_A, suction) == pytest.approx(content, abs=2e-3)


def test_two_pore_families_add_up():
    parts = RetentionTerm(0.4, 1e-6, 2.0, 0.5), RetentionTerm(0.6, 1e-4, 3.0, 0.67)
    both = pore_water.water_content(RetentionCurve(100.0, parts), 1e5)
    alone = sum(pore_water.water_content(RetentionCurve(100.0, (p,)), 1e5) for p in parts)
    assert both == pytest.approx(alone, rel=1e-12)


def test_two_points_go_through_both():
    """Kuenzel 1995 (from memory): w80 at 80 %, saturation at 100 %, nothing when dry."""
    curve = TwoPointStorage(60.0, 400.0)
    for humidity, content in ((0.8, 60.0), (1.0, 400.0), (0.0, 0.0)):
        assert pore_water.two_point(curve, humidity) == pytest.approx(content, rel=1e-12)


def test_sorption_points_are_kept_and_dry_end_is_straight():
    suction = pore_water.suction(np.array(SOFTWOOD.relative_humidity), 293.15)
    assert pore_water.water_content(SOFTWOOD, suction) == pytest.approx(
        np.array(SOFTWOOD.water_content), rel=1e-9
    )
    assert pore_water.water_content(SOFTWOOD, 0.0) == pytest.approx(400.0)
    tenth = pore_water.water_content(SOFTWOOD, pore_water.suction(0.10, 293.15))
    assert tenth == pytest.approx(8.5, rel=0.03)


def test_wet_end_of_sorption_points_rises_only_near_saturation():
    """OSB, 650 kg/m3: 39.1 % at 99.3 % and 160 % at saturation (ASHRAE Fundamentals 2021, ch. 26,
    table 7); a straight line from the last sorption point would put 87 % at 95 %.
    """
    osb = SorptionPoints((0.499, 0.694, 0.903, 0.993), (51.3, 64.3, 113.0, 254.0), 1.6 * 650.0)
    at_95 = pore_water.water_content(osb, pore_water.suction(0.95, 293.15))
    assert 113.0 < at_95 < 200.0


@pytest.mark.parametrize("storage", STORAGES, ids=lambda s: type(s).__name__)
def test_water_never_rises_with_suction(storage):
    suction = np.concatenate(([0.0], np.logspace(0, 9, 500)))
    content = pore_water.water_content(storage, suction)
    assert (np.diff(content) <= 1e-9).all()
    assert (content >= 0.0).all()


@pytest.mark.parametrize("storage", STORAGES, ids=lambda s: type(s).__name__)
def test_suction_at_water_content_is_the_inverse(storage):
    found = pore_water.suction_at_water_content(storage, 50.0)
    assert pore_water.water_content(storage, found) == pytest.approx(50.0, rel=1e-6)
    with pytest.raises(ValueError, match="between dry and saturated"):
        pore_water.suction_at_water_content(storage, 500.0)


def test_unknown_storage_is_refused():
    with pytest.raises(TypeError):
        pore_water.water_content("sponge", 1.0)  # type: ignore[arg-type]
