"""Pressed fibres: a printed table of batts by density, and makers' charts of pressed batts."""

import numpy as np
import pytest

from assembly_sim.physics.compression import compressed_conductivity, still_air_conductivity

INCH, R = 0.0254, 0.17611
LABEL = 297.15  # K, at which batts are rated


# Glass-fibre batts of ASHRAE Fundamentals 2021, ch. 26, table 1, middle of each row (kg/m3,
# W/(m K) at 24 degC); the print gives ranges of 2 to 4 %.
@pytest.mark.parametrize(("density", "printed"), [(10.9, 0.0415), (13.5, 0.038), (22.0, 0.033)])
def test_denser_batts_conduct_as_the_handbook_has_them(density, printed):
    loosest = 7.85, 0.047
    found = compressed_conductivity(loosest[1], LABEL, loosest[0] / density)
    assert found == pytest.approx(printed, rel=0.04)


# Makers' charts of glass-fibre batts pressed into cavities, from memory: rated R and thickness, the
# cavity, and R in it, printed to 1.
@pytest.mark.parametrize(
    ("rated", "thickness", "cavity", "printed"),
    [
        (19, 6.25, 5.5, 18),
        (19, 6.25, 3.5, 13),
        (13, 3.5, 2.5, 10),
        (21, 5.5, 3.5, 15),
        (30, 9.5, 7.25, 25),
        (38, 12.0, 9.25, 32),
    ],
)
def test_pressed_batts_have_the_r_of_the_charts(rated, thickness, cavity, printed):
    conductivity = thickness * INCH / (rated * R)
    pressed = compressed_conductivity(conductivity, LABEL, cavity / thickness)
    assert cavity * INCH / pressed / R == pytest.approx(printed, abs=0.7)


def test_pressing_never_gains_resistance_nor_beats_still_air():
    ratio = np.linspace(0.2, 1.0, 30)
    found = compressed_conductivity(0.045, LABEL, ratio)
    assert (np.diff(ratio / found) > 0.0).all()
    assert (found > still_air_conductivity(LABEL)).all()


def test_still_air():  # textbook tables, from memory
    celsius = np.array([-40.0, 0.0, 20.0, 60.0])
    printed = [0.0211, 0.0243, 0.0257, 0.0287]
    assert still_air_conductivity(celsius + 273.15) == pytest.approx(printed, rel=0.012)
