"""What the command `hole` prints: figures with units, and what they do not say."""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from assembly_sim import cli
from assembly_sim.errors import InputError

GAP = "1/4 in x 36 in"


def printed(*arguments: str) -> str:
    found = CliRunner().invoke(cli.commands, ["hole", *arguments])
    if found.exception:
        raise found.exception
    return found.output


def figure(text: str, row: str) -> float:
    match = re.search(rf"^  {row} +[$]?([\d.]+)", text, re.MULTILINE)
    assert match, row
    return float(match[1])


def test_a_gap_by_its_geometry() -> None:
    """9 in2, 3.385 in across, 3 in a side; 9.0 L/s or 19.1 cfm at 4 Pa (computed by hand)."""
    inches, metric = printed(GAP, "--units", "ip"), printed(GAP)
    assert figure(inches, "free area") == pytest.approx(9.0, abs=0.005)
    assert figure(inches, "equal round hole") == pytest.approx(3.385, abs=0.006)
    assert figure(inches, "equal square hole") == pytest.approx(3.0, abs=0.005)
    assert figure(inches, "flow at 4 Pa") == pytest.approx(19.1, abs=0.06)
    assert figure(metric, "flow at 4 Pa") == pytest.approx(9.0, abs=0.06)
    assert "preset" not in metric


def test_a_year_in_both_systems_of_units_is_one_year() -> None:
    year = ("--climate", "cold_inland", "--height", "8 ft", "--price", "$0.10 per kWh")
    metric, inches = printed(GAP, *year), printed(GAP, *year, "--units", "ip")
    heat = figure(metric, "heat in heating season")
    assert figure(inches, "heat in heating season") == pytest.approx(heat * 3.412, rel=2e-3)
    assert figure(metric, "its price") == figure(inches, "its price")
    assert figure(metric, "its price") == pytest.approx(0.10 * heat, rel=2e-3)
    assert "8.0 ft above the neutral level" in inches
    assert "stack alone" in metric
    assert "stack alone" not in printed(GAP, *year, "--facing", "90 deg")


def test_presets_are_marked_and_every_print_warns() -> None:
    text = printed("recessed light", "1 in round")
    assert len(re.findall("a preset, from memory", text)) == 1
    assert "(assumed)" in text
    for words in ("burn fuel", "clearances", "Local codes", "vents"):
        assert words in text
    listed = printed()
    assert "recessed light" in listed
    assert "from memory" in listed


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("recesed light",), "did you mean"),
        ((GAP, "--price", "0.1 per kWh"), "--climate"),
        ((GAP, "--climate", "cold_inland", "--price", ""), "no price"),
        ((GAP, "--climate", "cold_inland", "--height", "0 m"), "which way the wall faces"),
        ((GAP, "--climate", "nowhere"), "no such climate"),
        ((GAP, "--climate", ""), "no climate is named"),
        ((GAP, "--climate", "cold_inland", "--facing", "east"), "--facing"),
    ],
)
def test_bad_input_says_what_and_how(arguments: tuple[str, ...], words: str) -> None:
    with pytest.raises(InputError, match=words):
        printed(*arguments)
