"""Numbers as a person writes them, in SI and IP.

IP by 1 lb = 453.59237 g, 1 ft = 0.3048 m, 1 Btu = 1055.056 J, computed beside each.
"""

import pytest

from assembly_sim.checks.finding import Finding
from assembly_sim.units import marked
from assembly_sim.words.checks import TELLINGS, distance, sentence
from assembly_sim.words.figures import against, figure, limit_figure, percent, say


@pytest.mark.parametrize(
    ("value", "kind", "si", "ip"),
    [
        (0.221, "moisture content", "22.1 %", "22.1 %"),
        (0.0872, "areal mass", "87 g/m2", "0.29 oz/ft2"),  # 87.2 / 28.3495 x 0.092903
        (1.2, "areal mass", "1.20 kg/m2", "3.93 oz/ft2"),
        (8.4, "areal mass", "8.40 kg/m2", "1.72 lb/ft2"),
        (1122 * 3.6e6, "energy", "1122 kWh", "3.83 MMBtu"),  # x 3412.14 Btu/kWh
        (138 * 3.6e6, "energy", "138 kWh", "471 kBtu"),
        (3e5 * 3.6e6, "energy", "300.0 MWh", "1024 MMBtu"),
        (0.0079, "length", "8 mm", "0.3 in"),
        (0.0508, "length", "51 mm", "2.0 in"),
        (3.0, "length", "3.0 m", "9.8 ft"),
        (5.712, "resistance", "5.7 m2 K/W", "32 h ft2 degF/Btu"),
        (293.15, "temperature", "20.0 degC", "68.0 degF"),
        (-29.1, "degrees Celsius", "-29.1 degC", "-20.4 degF"),
        (2.4e-4, "air flow per area", "0.240 L/(s m2)", "0.047 cfm/ft2"),
        (-1e-9, "areal mass", "0 g/m2", "0.00 oz/ft2"),
    ],
)
def test_a_quantity_has_the_unit_of_its_size_and_no_idle_digits(value, kind, si, ip):
    assert (figure(value, kind), figure(value, kind, "ip")) == (si, ip)


@pytest.mark.parametrize(
    ("limit", "kind", "si", "ip"),
    [
        (0.2, "moisture content", "20 %", "20 %"),
        (0.155, "moisture content", "15.5 %", "15.5 %"),
        (168.0, "hours", "168 h", "168 h"),
        (5500.0, "hours", "5500 h", "5500 h"),
        (0.02, "areal mass", "20 g/m2", "0.066 oz/ft2"),
        (2e-4, "air flow per area", "0.2 L/(s m2)", "0.039 cfm/ft2"),
    ],
)
def test_a_limit_is_written_as_it_was_set(limit, kind, si, ip):
    assert (limit_figure(limit, kind), limit_figure(limit, kind, "ip")) == (si, ip)


@pytest.mark.parametrize("system", ["si", "ip"])
@pytest.mark.parametrize("kind", ["moisture content", "index", "areal mass", "factor", "percent"])
@pytest.mark.parametrize("share", [1.0 - 3e-5, 1.0 - 1e-3, 1.001, 1.0 + 3e-5])
def test_a_value_beside_its_limit_never_looks_like_it(kind, system, share):
    value, limit = against(0.2 * share, 0.2, kind, system)
    assert (float(value.split()[0]) > float(limit.split()[0])) is (share > 1.0)


def test_a_sentence_is_finished_in_the_readers_units_and_what_a_user_wrote_is_left_alone():
    text = f"foam {marked(0.0508, 'length')} thick on {{oak}} {{3 feet}}"
    assert say(text, "ip") == "foam 2 in thick on {oak} {3 feet}"
    assert say(text) == "foam 51 mm thick on {oak} {3 feet}"


@pytest.mark.parametrize("check", TELLINGS)
@pytest.mark.parametrize("value", [0.0, 1e-7, 0.5, 3.0, 2000.0])
def test_no_sentence_shows_a_bare_unit_of_the_model_or_a_margin(check, value):
    finding = Finding(check, "deck", "main", value, 1.0, "kg/kg", settled=value)
    for system in ("si", "ip"):
        told = f"{sentence(finding, system)} {distance(finding, system)}"
        assert "kg/kg" not in told
        assert "margin -" not in told
        assert "{" not in told


def test_distance_is_told_on_the_right_side():
    wet = Finding("wood moisture", "deck", "main", 0.246, 0.2)
    assert distance(wet) == "4.6 points above its limit of 20 %"
    dry = Finding("wood moisture", "deck", "main", 0.16, 0.2)
    assert distance(dry, "ip") == "4.0 points below its limit of 20 %"
    film = Finding("free water", "deck", "main", 0.087, 0.02)
    assert distance(film) == "67 g/m2 above its limit of 20 g/m2"
    factor = Finding("surface temperature factor", "wall", "main", 0.5, 0.6, at_least=True)
    assert distance(factor).startswith("0.10 below")
    assert distance(Finding("decay, mass loss of the wetter face", "deck", "", 1.0, 0.0)) == ""


def test_one_is_written_in_the_singular():
    assert [figure(n, "months") for n in (0.0, 1.0, 2.0)] == ["0 months", "1 month", "2 months"]
    assert figure(1.0, "cycles") == "1 cycle"


@pytest.mark.parametrize(
    ("share", "told"),
    [
        *((0.0, "0 %"), (1e-9, "under 0.1 %"), (0.004, "0.4 %"), (-0.001, "-0.1 %")),
        *((0.124, "12 %"), (0.9999, "over 99 %"), (1.0, "100 %"), (1.3, "130 %")),
    ],
)
def test_all_and_none_are_said_only_of_all_and_none(share, told):
    assert percent(share) == told
