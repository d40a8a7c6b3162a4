"""Drawings: well-formed, the same bytes twice, named, real text, colours that can be told apart."""

from __future__ import annotations

import itertools
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest

from assembly_sim.report.page.content import figures
from assembly_sim.report.page.draw import _shorter_path, svg
from assembly_sim.report.page.draw_axes import fitted, fitted_parts, legend_rows
from assembly_sim.report.page.draw_charts import STROKES as DRAWN
from assembly_sim.report.page.draw_spots import rays_apart
from assembly_sim.report.page.palette import ROLES, SIDE_BY_SIDE, STROKES, contrast
from assembly_sim.report.page.plots import Build, Map, Piece, Ray, Spots
from assembly_sim.report.page.render import drawing, html
from tests.report import pages

SVG = "{http://www.w3.org/2000/svg}"
TINTS = ("step-0", "step-1", "step-2", "step-3")


@pytest.fixture(scope="module")
def page():
    return pages.page(pages.swinging(), probed=True)


@pytest.fixture(scope="module")
def drawn(page):
    return {one.name: drawing(one) for one in figures(page)}


def test_every_figure_is_drawn_named_and_described(page, drawn):
    assert len(drawn) == 9
    for one in figures(page):
        root = ET.fromstring(drawn[one.name])
        assert root.get("role") == "img"
        ids = root.get("aria-labelledby").split()
        told = {each.get("id"): each.text for each in root}
        assert [told[each] for each in ids] == [one.title, one.says]
        assert "".join(each.text or "" for each in root.iter(f"{SVG}text")).strip()


def test_ids_are_of_one_drawing_alone_and_lead_somewhere(drawn):
    seen: set[str] = set()
    for name, text in drawn.items():
        ids = re.findall(r' id="([^"]+)"', text)
        assert len(ids) == len(set(ids))
        assert all(each.startswith(name) for each in ids)
        assert not seen & set(ids)
        seen |= set(ids)
        used = re.findall(r'url\(#([^)]+)\)|href="#([^"]+)"', text)
        assert {a or b for a, b in used} <= set(ids)


def test_colours_are_variables_but_for_the_scale_of_the_camera(drawn):
    for name, text in drawn.items():
        colours = set(re.findall(r"#[0-9a-f]{6}", text))
        assert name.startswith("camera") or colours == set()
        assert "<style" not in text
        assert "font:" not in text


def test_the_same_plot_gives_the_same_bytes(page):
    one = next(figures(page))
    assert drawing(one) == drawing(one)


@pytest.mark.parametrize("dark", [False, True])
def test_words_and_lines_can_be_read(dark):
    """WCAG 2.2 AA: 4.5 for words, 3 for what is drawn."""
    colour = {role: both[dark] for role, both in ROLES.items()}
    for role in ("ink", "quiet"):
        assert contrast(colour[role], colour["paper"]) >= 4.5
    for tint in TINTS:
        assert contrast(colour["ink"], colour[tint]) >= 4.5
    assert contrast(colour["paper"], colour["moist"]) >= 4.5  # letters of the marks
    for role in (*SIDE_BY_SIDE, "moist", "start", "between", "conducted", "carried", "sheet"):
        assert contrast(colour[role], colour["paper"]) >= 3.0


def test_six_things_side_by_side_have_six_strokes():
    assert len(set(STROKES)) == len(SIDE_BY_SIDE) == 6
    assert set(STROKES) <= set(DRAWN)
    assert len({str(one) for one in DRAWN.values()}) == len(DRAWN)


def test_contrast_is_that_of_the_standard():
    """Black on white is 21, #767676 on white 4.54 (WCAG 2.2 and its technique G18)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


SEEN_BY = {  # linear RGB as a dichromat has it (Vienot et al. 1999, from memory)
    "protanope": ((0.11238, 0.88762, 0.0), (0.11238, 0.88762, 0.0), (0.00401, -0.00401, 1.0)),
    "deuteranope": ((0.29275, 0.70725, 0.0), (0.29275, 0.70725, 0.0), (-0.02234, 0.02234, 1.0)),
}


def luminances(colour: str) -> np.ndarray:
    parts = np.array([int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)])
    return np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("seen_by", SEEN_BY)
def test_what_stands_side_by_side_is_told_apart_without_red_and_green(seen_by, dark):
    """Pairs differ in what is left of colour by a fifth of its range, or in lightness by 1.25."""
    turn = np.array(SEEN_BY[seen_by])
    for group in (("moist", "start", "between"), ("conducted", "carried"), (*TINTS[:3], "step-4")):
        for one, other in itertools.combinations(group, 2):
            a, b = (turn @ luminances(ROLES[role][dark]) for role in (one, other))
            lightness = [0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2] + 0.05 for c in (a, b)]
            apart = max(lightness) / min(lightness)
            hue = np.abs(np.cbrt(np.maximum(a, 0.0)) - np.cbrt(np.maximum(b, 0.0))).max()
            assert apart >= 1.15 or hue >= 0.2, (one, other)


@pytest.mark.parametrize("degrees", [0, 20, 45, 70, 90, 110, 150, 180])
def test_an_assembly_stands_as_it_is_tilted(degrees):
    """Outside lies above a roof, left of a wall, below a floor over outdoors."""
    shown = pages.figure(pages.page(pages.tilted(degrees)), "build")
    root = ET.fromstring(drawing(shown))
    places = {}
    for text in root.iter(f"{SVG}text"):
        if text.text in ("outdoors", "room"):
            moved = re.search(r"translate\(([-0-9.]+) ([-0-9.]+)\)", text.get("transform") or "")
            at = (moved[1], moved[2]) if moved else (text.get("x"), text.get("y"))
            places[text.text] = tuple(float(each) for each in at)
    across = places["room"][0] - places["outdoors"][0]
    down = places["room"][1] - places["outdoors"][1]
    turn = np.radians(degrees)
    assert across * np.sin(turn) + down * np.cos(turn) > 0.0
    assert np.cos(turn) < 0.5 or down > 0.0


def test_layers_are_to_scale():
    """Of a level roof: heights of what is drawn are as their thicknesses."""
    pieces = (
        Piece("thick", "", "other", 0.0, 0.2),
        Piece("thin", "", "board", 0.2, 0.25),
    )
    plot = Build(pieces, (), (), 0.0, "outdoors", "room", (0.1, "100 mm"))
    root = ET.fromstring(svg(plot, "made", "a", "b"))
    fills = ("var(--other)", "var(--board)")
    heights = {}
    for path in root.iter(f"{SVG}path"):
        for fill in fills:
            if f"fill: {fill}" in (path.get("style") or ""):
                found = re.findall(r"(?:V|[ML][-0-9.]+ )(-?[0-9.]+)", path.get("d"))
                heights[fill] = max(map(float, found)) - min(map(float, found))
    assert heights[fills[0]] / heights[fills[1]] == pytest.approx(4.0, rel=0.02)


def test_text_is_never_a_formula_nor_markup():
    text = drawing(pages.figure(pages.page(pages.hostile()), "build"))
    assert "<script" not in text
    assert "$\\frac" in text
    assert "\u202e" not in text
    ET.fromstring(text)


@pytest.mark.parametrize(
    ("long", "short"),
    [
        ("M 1.5 2 \nL 3 2 \nL 3 4 \nL 1.5 4 \nz\n", "M1.5 2H3V4H1.5z"),
        ("M 1 2 \nL 3 4 \nM 3 4 \nL 5 4 \n", "M1 2L3 4M3 4H5"),
        ("M 0 0 \nC 1 2 3 4 5 6 \nL 5 7 \n", "M0 0C1 2 3 4 5 6L5 7"),
        ("M 0 0 \nQ 1 2 3 4 \nL 3 4 \n", "M0 0Q1 2 3 4L3 4"),
    ],
)
def test_a_shorter_path_is_the_same_path(long, short):
    assert _shorter_path(f' d="{long}"') == f' d="{short}"'


def test_a_map_without_areas_is_drawn():
    plot = Map("a", "b", (0.0, 1.0, 0.0, 1.0), (), (), ())
    assert ET.fromstring(svg(plot, "made", "a", "b")).tag == f"{SVG}svg"


def test_names_are_cut_where_they_do_not_fit():
    assert fitted("short", 200.0) == "short"
    assert fitted("x" * 200, 100.0).endswith("...")
    cut = fitted_parts("asphalt shingles, dark | underlay | roof deck, inner side", 150.0, 9.0)
    assert cut.endswith(", inner side")
    assert len(cut) < 42


def test_legends_keep_to_their_width():
    rows = legend_rows(["a" * 30] * 4, 420.0, 22.0)
    assert [len(row) for row in rows] == [2, 2]


def test_a_page_is_small_and_fetches_nothing(page):
    text = html(page)
    assert len(text.encode()) < 1.5e6
    assert "<script" not in text
    assert "<link" not in text
    assert "@import" not in text
    outside = set(re.findall(r"https?://[^\"' )<]+", text))
    assert outside <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


def test_lines_of_payback_are_left_out_where_their_words_would_meet():
    """One option that costs far more than all others puts the lines of short paybacks together."""
    rays = tuple(Ray(1.0 / years, f"{years:g} years") for years in (5.0, 10.0, 20.0, 40.0))

    def kept(dearest):
        return [
            one.label for one in rays_apart(Spots("", "", (0.0, dearest, 0.0, 70.0), (), (), rays))
        ]

    assert kept(10000.0) == ["40 years", "20 years"]
    assert kept(1e6) == ["40 years"]
