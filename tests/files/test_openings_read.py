"""Openings as people write them, and the presets."""

import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.opening.options import Price, read_price, situation
from assembly_sim.files.opening.read import presets, read_hole
from assembly_sim.model.opening import (
    FreeArea,
    Gap,
    LeakageArea,
    MeasuredFlow,
    RoundHole,
    SquareHole,
)

INCH = 0.0254


@pytest.mark.parametrize(
    ("text", "shape"),
    [
        ("1/4 in x 36 in", Gap(0.25 * INCH, 36 * INCH)),
        ("36 in x 1/4 in", Gap(0.25 * INCH, 36 * INCH)),
        ('1/4" x 36"', Gap(0.25 * INCH, 36 * INCH)),
        ("1/4 in × 3 ft", Gap(0.25 * INCH, 36 * INCH)),
        ("6 mm by 90 cm", Gap(0.006, 0.9)),
        ("1/4 in x 6' 8\"", Gap(0.25 * INCH, 80 * INCH)),
        ("3 in round", RoundHole(3 * INCH)),
        ("3 in square hole", SquareHole(3 * INCH)),
        ("20 cm2", FreeArea(20e-4)),
        ("1/2 ft2", FreeArea(0.5 * 0.3048**2)),
        ("20 cm2 at 4 Pa", LeakageArea(20e-4)),
        ("100 cfm at 50 Pa", MeasuredFlow(100 * 0.3048**3 / 60, 50.0)),
        ("outlet", LeakageArea(2.5e-4)),
        ("6 x Outlets", LeakageArea(15e-4)),
        ("attic hatch, tight", LeakageArea(18e-4)),
        ("double-hung sash, 4 m", LeakageArea(10e-4)),
        ("2 x sash, tight, 400 cm", LeakageArea(5.2e-4)),
    ],
)
def test_what_may_be_written(text: str, shape: object) -> None:
    found = read_hole(text).shape
    assert type(found) is type(shape)
    for name, value in vars(shape).items():
        assert getattr(found, name) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "write "),
        ("1/4 x 36 in", "no unit"),
        ("1/4 in", "measures length"),
        ("1 in x 2 in x 3 in", "more than two sides"),
        ("-1 in round", "out of range"),
        ("0 x outlet", "out of range"),
        ("20 cm2 at 10 Pa", "at 4 Pa"),
        ("20 kg at 4 Pa", "measures mass"),
        ("outlet, 4 m", "counted by number"),
        ("sash", "counted by its length"),
        ("sash, tight, leaky, 3 m", "tight and leaky"),
        ("recesed light", "did you mean 'recessed light'"),
        ("chimney chase, tight", "no figure is known"),
        ("1e400 cm2", "finite"),
        ("9" * 200 + " cm2", "too long"),
    ],
)
def test_what_is_refused_and_how(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_hole(text)


def test_presets_say_where_they_come_from_and_sealing_helps() -> None:
    """Every figure marked; a tight part leaks less than a leaky one; sizes of what they are."""
    for one in presets().values():
        assert "from memory" in one.source
        assert 1e-5 < one.leaky < 0.1
        if one.tight is not None:
            assert one.tight < one.leaky
            assert one.tightened
    words = [word for one in presets().values() for word in (one.name, *one.also)]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("text", "price", "of_ten_kwh"),
    [
        ("0.15 per kWh", Price(0.15, 3.6e6), "1.50"),
        ("$0.15 per kWh", Price(0.15, 3.6e6, "$"), "$1.50"),
        ("0.30 EUR per kWh", Price(0.30, 3.6e6, "", "EUR"), "3.00 EUR"),
    ],
)
def test_prices(text: str, price: Price, of_ten_kwh: str) -> None:
    assert read_price(text) == price
    assert price.of(3.6e7) == of_ten_kwh


@pytest.mark.parametrize(
    "text", ["", "5", "per kWh", "0.15 per", "1 per kW", "1 per therm", "-1 per kWh"]
)
def test_no_prices(text: str) -> None:
    with pytest.raises(InputError, match="--price"):
        read_price(text)


def test_where_a_hole_is() -> None:
    found = situation("8 ft", "68 degF", "90 deg")
    assert found.height == pytest.approx(2.4384)
    assert found.room_temperature == pytest.approx(293.15)
    assert found.side is not None
    with pytest.raises(InputError, match="--height"):
        situation("8", "68 degF", None)
    with pytest.raises(InputError, match="room"):
        situation("8 ft", "168 degF", None)
