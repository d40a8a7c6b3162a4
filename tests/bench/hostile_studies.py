"""More of what `hostile.py` throws: houses, comparisons, plans, logger files."""

from __future__ import annotations

import calendar
import random
from functools import cache
from pathlib import Path

import numpy as np

from tests.bench.hostile_inputs import (
    ROOT,
    Attempt,
    bytes_of,
    command,
    run_of,
    short,
    spoiled_or_nudged,
)

BOARD = """format = 1
name = "Hayfork"
climate = "cold_inland"

[room]
temperature = "20 degC"
humidity = { volume = "200 m3", air_changes = "0.4 1/h", generation = "6 L/day" }

[[assembly]]
name = "wall"
area = "30 m2"
tilt = "90 deg"
azimuth = "0 deg"
solar_absorptance = 0.5
emittance = 0.9
leak = "1 m3/(h m2) at 50 Pa"
height_above_neutral_level = "1 m"

[[assembly.layer]]
name = "board"
material = "plywood, exterior grade"
thickness = "18 mm"

[[assembly.layer]]
name = "batt"
material = "glass-fibre batt"
thickness = "90 mm"

[[assembly.layer]]
name = "wallboard"
material = "gypsum board"
thickness = "12.5 mm"
"""

MONEY = """
[fuel]
kind = "heating oil"
price = "$4.10 per US_gal"
efficiency = "82 %"

[cooling]
price = "$0.22 per kWh"
seasonal_factor = 3.0

[payback]
years = 30
interest = "3 %"
"""

OPTIONS = """
[[option]]
name = "as found"

[[option]]
name = "seal"
cost = "$400 to 900"
work = "yourself"
[option.change.assembly."wall"]
seal = "80 %"

[[option]]
name = "thick"
as = "seal"
cost = "$2600"
[option.change.assembly."wall".layer."batt"]
thickness = "140 mm"
"""

HOUSE_OPTIONS = """
[[option]]
name = "as found"

[[option]]
name = "tight"
cost = "$400"
[option.change]
seal_between = [{ one = "room", other = "attic", share = "90 %" }]
"""

PLAN = """format = 1
name = "boards"
case = "case.toml"
method = "random"
count = 3
seed = 2
refine = 0.1

[change]
years = 1

[[factor]]
name = "batt"
path = 'assembly."wall".layer."batt".thickness'
range = ["90 mm", "140 mm"]
cost = [5.0, 8.0]

[[factor]]
name = "leak"
path = 'assembly."wall".leak'
distribution.lognormal = ["0.2 L/(s m2) at 75 Pa", 2.5]
distribution.within = ["0.02 L/(s m2) at 75 Pa", "2 L/(s m2) at 75 Pa"]

[[factor]]
name = "board"
options."plywood" = {}
options."osb" = { assembly."wall".layer."board".material = "osb" }

[[factor]]
name = "climate"
path = "climate"
values = ["cold_inland", "greensboro"]
"""

TABLE = """format = 1
name = "as measured"
case = "case.toml"
method = "table"
rows = "points.csv"
refine = 0.1
change = { years = 1 }

[[factor]]
name = "batt"
path = 'assembly."wall".layer."batt".thickness'
"""
POINTS = "batt\n90 mm\n5 1/2 in\n0.1 m\n"


def bills() -> str:
    """A year of bills, one a month."""
    found = []
    for month in range(1, 13):
        last = calendar.monthrange(2023, month)[1]
        dates = f"from = 2023-{month:02d}-01\nto = 2023-{month:02d}-{last}"
        found.append(f'\n[[bill]]\n{dates}\namount = "{40 + 30 * abs(6 - month)} L"\n')
    return "".join(found)


@cache
def houses() -> tuple[str, ...]:
    """Sound cases with zones, openings, fans and ducts."""
    import sys

    from tests import small_house

    sys.path.append(str(ROOT / "tests" / "files"))  # as pytest has it
    from tests.files.house_texts import HOUSE

    return HOUSE, small_house.TEXT


def mutated_house(chance: random.Random, folder: Path) -> Attempt:
    """A house, spoiled."""
    return run_of(spoiled_or_nudged(chance.choice(houses()), chance), chance, folder, years=3)


def mutated_comparison(chance: random.Random, folder: Path) -> Attempt:
    """Options, money and bills, spoiled with their case, or in one that builds on it."""
    wall = BOARD + MONEY + (bills() if chance.random() < 0.5 else "") + OPTIONS
    text = houses()[0] + MONEY + HOUSE_OPTIONS if chance.random() < 0.1 else wall
    if chance.random() < 0.3:
        (folder / "base.toml").write_text(short(BOARD))
        text = 'format = 1\nbase = "base.toml"\n' + text.removeprefix(BOARD)
    (folder / "case.toml").write_bytes(bytes_of(short(spoiled_or_nudged(text, chance)), chance))
    options = {"--json": "out.json", "--csv": "out.csv", "--report": "out.html"}
    chosen = [option for option in options if chance.random() < 0.25]
    arguments = [part for option in chosen for part in (option, options[option])]
    arguments += ["--checklist"] if chance.random() < 0.2 else []
    outputs = tuple(options[option] for option in chosen)
    return Attempt(command("compare", "case.toml", *arguments), ".toml", outputs, 4)


def mutated_plan(chance: random.Random, folder: Path) -> Attempt:
    """A plan, its table or the case that it varies, spoiled; looked at, or asked for its bounds."""
    plan, case, points = chance.choice((PLAN, PLAN, TABLE)), short(BOARD), POINTS
    way = chance.random()
    if way < 0.15:
        case = spoiled_or_nudged(case, chance)
    elif way < 0.3 and plan is TABLE:
        points = spoiled_or_nudged(points, chance)
    else:
        plan = spoiled_or_nudged(plan, chance)
    (folder / "case.toml").write_bytes(bytes_of(case, chance))
    (folder / "plan.toml").write_bytes(bytes_of(plan, chance))
    (folder / "points.csv").write_bytes(bytes_of(points, chance))
    way = chance.random()
    if way < 0.8:
        return Attempt(command("sweep", "plan.toml", "--look"), ".toml|.csv", (), 2)
    if way < 0.9:
        smallest = ("sweep", "smallest", "plan.toml", "--factor", "batt")
        return Attempt(command(*smallest), "", (), 6)
    uncertain = '[[uncertain]]\npath = "room.temperature"\nnormal = ["20 degC", "1 K"]\n'
    (folder / "case.toml").write_text(spoiled_or_nudged(case + uncertain, chance))
    line = ("sweep", "uncertain", "case.toml", "--count", "10", "-j", "1", "--out", "out")
    return Attempt(command(*line), "", ("out",), 6)


def mutated_logger(chance: random.Random, folder: Path) -> Attempt:
    """A room's logger file, spoiled, most of all in its head."""
    step = chance.choice((60, 60, 180))
    moments = np.datetime64("2022-01-01T00:00") + np.arange(0, 8760 * 60, step)
    heading, column = chance.choice((("time,RH (%)", "RH"), ("Date/Time,Humidity %", "Humidity")))
    rows = [f"{moment},{40 + number % 13}" for number, moment in enumerate(moments)]
    at = chance.choice((4, 40))
    head = spoiled_or_nudged("\n".join([heading, *rows[:at]]), chance)
    data = bytes_of("\n".join([head, *rows[at:]]), chance)
    (folder / "room.csv").write_bytes(data)
    column = column if chance.random() < 0.8 else "humidity"
    rule = f'{{ file = "room.csv", column = "{column}", unit = "%" }}'
    text = BOARD.replace(BOARD[BOARD.index("{ volume") : BOARD.index("\n\n[[assembly")], rule)
    (folder / "case.toml").write_text(short(text))
    return Attempt(command("run", "case.toml"), "case.toml|room.csv", (), 2)
