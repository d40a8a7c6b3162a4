"""The block of energies: total first, its parts beside it, and words only where they are true."""

from __future__ import annotations

import numpy as np

from assembly_sim.report.text import energy
from assembly_sim.verdict.summary import assembly_summary
from tests.checks import made


def block(system="si", **air):
    incoming = {"incoming_heat": air.pop("incoming_heat", 0.0)}
    flux = np.full(made.YEAR, 5.0)
    result = made.run(years=1, drivers=incoming, heat_flux_room=flux, **air)
    figures = assembly_summary(result, result.assemblies[0])
    return energy(figures, result.case.thresholds, system)


def rows(text):
    return {
        line.strip().rsplit("  ", 1)[0].split("  ")[0]: line.split() for line in text.splitlines()
    }


def test_total_stands_first_and_is_the_sum_of_what_stands_beside_it():
    text = block(carried_heat=np.full(made.YEAR, 2.5))
    assert rows(text)["heat loss"][2:7] == ["65.7", "kWh/m2", "43.8", "21.9", "657"]
    assert rows(text)["peak loss"][2:6] == ["7.5", "W/m2", "5.0", "2.5"]
    assert rows(text)["heat gain"][2:7] == ["0.0", "kWh/m2", "0.0", "0.0", "0"]
    assert "by air: air that leaves here" in text
    assert "comes in here" not in text
    assert "humidity by air" not in text


def test_no_word_of_air_where_none_flows():
    text = block()
    assert rows(text)["heat loss"][2:6] == ["43.8", "kWh/m2", "43.8", "0.0"]
    for word in ("by air:", "comes in here", "humidity by air"):
        assert word not in text


def test_what_is_counted_elsewhere_and_humidity_are_said():
    text = block(
        carried_heat=np.full(made.YEAR, -1.0),
        carried_vapour=np.full(made.YEAR, 1e-6),
        incoming_heat=4.0,
    )
    assert rows(text)["heat loss"][2:6] == ["35.0", "kWh/m2", "43.8", "-8.8"]
    assert "air that comes in here: 35.0 kWh/m2 to warm it" in text
    assert "apart from all above: 21.9 kWh/m2 out, 0.0 kWh/m2 in" in text


def test_a_run_without_a_whole_year_has_dashes_and_no_notes():
    figures = {"name": "wall", "area_m2": 10.0, "u_value_w_m2k": 0.3, "surface_resistances": "-"}
    result = made.run(years=1)
    known = assembly_summary(result, result.assemblies[0])
    text = energy({**dict.fromkeys(known), **figures}, result.case.thresholds, "ip")
    assert rows(text)["heat loss"][2:6] == ["-", "-", "-", "-"]
    assert "by air:" not in text
