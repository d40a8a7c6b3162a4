"""The block of energies: total first, its parts beside it, and words only where they are true."""

from __future__ import annotations

import dataclasses

import numpy as np

from assembly_sim.report.blocks import as_text
from assembly_sim.report.energy import energy_blocks, energy_in_short
from assembly_sim.verdict.summary import typed_assembly
from tests.checks import made


def known(**air):
    incoming = {"incoming_heat": air.pop("incoming_heat", 0.0)}
    flux = np.full(made.YEAR, 5.0)
    result = made.run(years=1, drivers=incoming, heat_flux_room=flux, **air)
    return result, typed_assembly(result, result.assemblies[0])


def block(system="si", **air):
    result, summary = known(**air)
    return as_text(energy_blocks(summary, result.case.thresholds, system))


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
    result, summary = known()
    part = dataclasses.replace(summary, energy=None)
    text = as_text(energy_blocks(part, result.case.thresholds, "ip"))
    assert rows(text)["heat loss"][2:6] == ["-", "-", "-", "-"]
    assert "by air:" not in text
    assert "no whole year" in energy_in_short(part)[1]


def test_five_lines_hold_u_and_r_loss_gain_seasons_and_peaks():
    """R is 1/U and 1 h ft2 degF/Btu = 0.17611 m2 K/W; 10 m2 at 43.8 kWh/m2 are 438 kWh."""
    _, summary = known()
    lines = energy_in_short(summary)
    assert len(lines) == 5
    u = summary.u_value_w_m2k
    assert f"{u:.3f} W/(m2 K), R {1 / u:.1f} m2 K/W" in lines[0]
    assert "438 kWh a year, 43.8 kWh/m2: 43.8 conducted, 0.0 by air" in lines[1]
    assert "5.0 W/m2 (50 W) out" in lines[4]
    imperial = energy_in_short(summary, "ip")
    assert f"R-{1 / u / 0.17611:.0f} " in imperial[0] or f"R-{1 / u / 0.17611:.1f} " in imperial[0]
    assert "1.49 MMBtu a year" in imperial[1]  # 438 kWh x 3412.14 Btu/kWh
    assert "W" not in "".join(imperial).replace("U-value", "")
