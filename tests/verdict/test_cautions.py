"""Cautions come with what a case contains, and only then (common practice, no source)."""

import dataclasses

import pytest

from assembly_sim.model import AirLayer, AirLeak, Layer, Membrane, NamedDepth, Sheet
from assembly_sim.verdict.cautions import caution_words, cautions
from tests import synthetic
from tests.checks import made

FOAM = dataclasses.replace(
    synthetic.BATT,
    name="foam",
    kinds=frozenset({"foam plastic", "air-impermeable insulation", "spray foam"}),
)
LEAKY = AirLeak(1e-3, 75.0)


def case(assembly):
    return synthetic.case(assemblies=(assembly,))


def shown(assembly, *words):
    """Whether a caution holds all of these words."""
    return any(all(word in text for word in words) for text in cautions(case(assembly)))


PLAIN = made.wall(leak=LEAKY)
ROOF = made.wall(tilt=20.0, leak=LEAKY)


def with_layers(assembly, *layers):
    return dataclasses.replace(assembly, layers=layers)


@pytest.mark.parametrize(
    ("words", "without", "having"),
    [
        (("thermal barrier",), PLAIN, with_layers(PLAIN, Layer("fill", FOAM, 0.1))),
        (("isocyanates",), PLAIN, with_layers(PLAIN, Layer("fill", FOAM, 0.1))),
        (
            ("termites",),
            with_layers(ROOF, Layer("fill", FOAM, 0.1)),
            with_layers(PLAIN, Layer("fill", FOAM, 0.1)),
        ),
        (("back-draughting", "carbon monoxide"), PLAIN, made.wall(leak=None)),
        (("radon",), PLAIN, ROOF),
        (("Recessed lights",), PLAIN, ROOF),
        (("flues and chimneys", "metal"), with_layers(PLAIN, PLAIN.layers[0]), PLAIN),
        (("junction boxes",), with_layers(PLAIN, PLAIN.layers[0]), PLAIN),
        (("joists or boards", "heat, dust"), PLAIN, ROOF),
        (("fans", "outdoors"), PLAIN, ROOF),
        (("snow",), PLAIN, ROOF),
        (("spall", "joist ends"), PLAIN, made.wall(made.BRICK, leak=LEAKY)),
        (("wet, mouldy or leaking",), with_layers(PLAIN, PLAIN.layers[1]), PLAIN),
        (("vermiculite", "tested"), PLAIN, ROOF),
        (
            ("foil and staples", "live cables"),
            PLAIN,
            with_layers(
                PLAIN,
                *PLAIN.layers,
                Membrane("foil", Sheet("foil", synthetic.flat(0.0), emittance=0.05)),
            ),
        ),
        (
            ("way of escape",),
            PLAIN,
            with_layers(PLAIN, *PLAIN.layers, Membrane("film", Sheet("film", synthetic.flat(0.0)))),
        ),
    ],
)
def test_each_caution_is_tied_to_what_the_case_contains(words, without, having):
    assert shown(having, *words)
    assert not shown(without, *words)


def test_pipes_bring_theirs_together():
    batt = dataclasses.replace(PLAIN.layers[1], probes=(NamedDepth("water pipe", 0.05),))
    piped = with_layers(PLAIN, PLAIN.layers[0], batt)
    for words in (
        ("drain them",),
        ("Sprinklers", "licensed"),
        ("time to burst", "promise"),
        ("heat tape",),
    ):
        assert shown(piped, *words)
        assert not shown(PLAIN, *words)


def test_an_attic_floor_keeps_its_vents_open_and_carries_no_deck():
    floor = dataclasses.replace(ROOF, outer=dataclasses.replace(ROOF.outer, sheltered=True))
    assert shown(floor, "vents open")
    assert shown(floor, "too weak for a deck")
    assert not shown(ROOF, "vents open")


def test_a_vented_roof_is_not_sealed():
    channel = AirLayer("channel", 0.03, air_changes=30.0)
    vented = with_layers(ROOF, *ROOF.layers[:-1], channel, ROOF.layers[-1])
    assert "sealed roof" in caution_words(case(ROOF))
    assert "sealed roof" not in caution_words(case(vented))


def test_every_case_is_told_that_moisture_is_all_and_that_codes_rule():
    assert shown(PLAIN, "moisture alone", "Local codes", "licensed")
    assert shown(PLAIN, "old wiring", "lead paint", "asbestos")


def test_a_leak_is_tight_by_its_flow_at_75_pascal_whatever_pressure_it_is_given_at():
    at_50 = AirLeak(0.2e-3 * (50 / 75) ** 0.65, 50.0)
    assert "tight" in caution_words(case(made.wall(leak=at_50)))
    assert "tight" not in caution_words(case(PLAIN))
