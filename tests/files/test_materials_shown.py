"""The list, the page and the figure of materials."""

import pytest

from assembly_sim.files.material import read as materials
from assembly_sim.report.materials import material_figure, material_text, materials_list

ALL = materials.load()


def test_the_list_has_a_line_for_each_with_its_values():
    lines = materials_list(ALL).splitlines()
    assert len(lines) == len(ALL) + 3  # two headings and a blank line between
    osb = next(line for line in lines if line.startswith("osb  "))
    assert "650 kg/m3" in osb
    assert " 164 " in osb  # resistance factor at 50 %, computed from the printed 110 ng
    assert osb.endswith("measured")
    film = next(line for line in lines if line.startswith("polyethylene film 0.15 mm"))
    assert "3.4 ng/(m2 s Pa)" in film


def test_the_list_in_inch_pound_units():
    line = next(x for x in materials_list(ALL, "ip").splitlines() if x.startswith("kraft facing"))
    assert "perm" in line


@pytest.mark.parametrize("name", ["osb", "brick, retention curve", "concrete", "eps"])
def test_the_page_of_a_material_shows_every_source(name):
    text = material_text(ALL[name])
    for key, source in ALL[name].sources.items():
        assert source in text, key


def test_the_page_of_a_sheet_shows_its_curve():
    text = material_text(ALL["polyamide film, humidity-variable"])
    assert "53.0 ng/(m2 s Pa) at 30 %" in text
    assert "2000.0 ng/(m2 s Pa) at 90 %" in text


@pytest.mark.parametrize("name", ["brick, retention curve", "glass-fibre batt", "kraft facing"])
def test_the_figure_is_written(name, tmp_path):
    path = tmp_path / "curves.svg"
    material_figure(ALL[name], path)
    text = path.read_text()
    assert text.count('<g id="axes_') == {"kraft facing": 1, "glass-fibre batt": 4}.get(name, 5)
