"""Every number that the examples hold, of any length and none: told, or taken, never a trace."""

from __future__ import annotations

import re
from itertools import islice
from pathlib import Path

import pytest

from assembly_sim.errors import InputError
from assembly_sim.files.case.comparison import read_comparison
from assembly_sim.files.case.read import read_case
from assembly_sim.files.plan.read import read_plan
from assembly_sim.studies.sweep.points import variants

EXAMPLES = Path(__file__).parents[2] / "examples"
NUMBER = re.compile(r"(?<![\w.])\d+(\.\d+)?(?![\w.])")
ODD = ("9" * 400, "nan")  # TOML has whole numbers of any length


def read_and_draw(file: Path) -> None:
    list(islice(variants(read_plan(file)), 3))


READ = {
    "rafter_sweep.toml": read_and_draw,
    "rafter_bay_foam.toml": read_case,
    "cold_attic.toml": read_case,
    "window_film.toml": read_case,
    "floor_or_gable.toml": read_comparison,
}


@pytest.mark.parametrize("name", READ)
def test_odd_numbers_are_told_in_few_words(name: str, tmp_path: Path) -> None:
    text = (EXAMPLES / name).read_text(encoding="utf-8")
    text = re.sub(r'^(base|case) = "', rf'\1 = "{EXAMPLES.as_posix()}/', text, flags=re.MULTILINE)
    file, told = tmp_path / name, list[int]()
    for number in NUMBER.finditer(text):
        line = text[text.rfind("\n", 0, number.start()) + 1 : number.start()]
        for odd in ODD if "#" not in line else ():
            file.write_text(text[: number.start()] + odd + text[number.end() :], encoding="utf-8")
            try:
                READ[name](file)
            except InputError as error:
                told.append(len(str(error)))
    assert len(told) > 20
    assert max(told) < 6000  # letters: a case has many places
