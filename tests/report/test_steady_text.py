"""Code rows as printed: nothing reads `met` but the rule that is met, figures in its own terms."""

import pytest

from assembly_sim.hand.code_rows import CodeIndication
from assembly_sim.hand.code_tables import R_VALUE
from assembly_sim.report.steady import code_line


def line(found, required, met, quantity, system="si"):
    return code_line(CodeIndication("IRC 2021 X", found, required, met, "why", quantity), system)


def test_a_row_tells_found_and_asked_in_the_tables_terms():
    asked = 25 * R_VALUE
    assert line(20 * R_VALUE, asked, False, "resistance") == (
        "code (check locally), IRC 2021 X: not met, has R-20 (3.52 m2 K/W), "
        "asked at least R-25 (4.40 m2 K/W); why"
    )
    assert "has R-20, asked at least R-25;" in line(20 * R_VALUE, asked, False, "resistance", "ip")
    assert "met, has 51 %, asked at least 50 %;" in line(25 / 49, 0.5, True, "fraction")
    assert "met, has 0.31, asked at least 0.30;" in line(0.315, 0.3, True, "ratio")
    assert "0.40 perm" in line(23e-12, 57e-12, True, "permeance", "ip")
    assert line(None, None, None, "").endswith("X: not decided; why")


@pytest.mark.parametrize(
    ("found", "required", "quantity"),
    [
        (24.97 * R_VALUE, 25 * R_VALUE, "resistance"),
        (0.4996, 0.5, "fraction"),
        (0.2999, 0.3, "ratio"),
    ],
)
def test_what_falls_short_never_looks_equal(found, required, quantity):
    shown = line(found, required, False, quantity, "ip").split("has ")[1].split(";")[0]
    has, table = shown.split(", asked at least ")
    assert has != table
