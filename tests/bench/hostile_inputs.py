"""What `hostile.py` throws: each function draws one attempt and writes its files into a folder."""

from __future__ import annotations

import dataclasses
import math
import os
import random
import re
import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
ODD_NUMBERS = (
    *("0", "-1", "1e-9", "1e9", "1e400", "nan", "inf", "-0.0", "1" + "0" * 400, "0x10", "1_000"),
    *("1/0", "1/2", "5 1/2", "1,5", "٣", "99.9", "100", "0.0000001", "", "-", "1e", "--1"),
)
ODD_TEXTS = (
    *("", " ", "\0", "\x1b[2J", "\u202e", "\r", "\\", '"', "'", "'''", '"""', "{", "}", "[", "]"),
    *("=", ".", "," * 50, "#", "\n\n", "[[assembly]]", "[room]", "base = 'case.toml'", "\ufeff"),
    *("= =", "a.b.c.d = 1", "true", "1979-05-27", "../../../etc/passwd", "~nobody/x", "main"),
    *("A" * 5000, "é", "五", "\ud7ff", "[" * 400, "a." * 300, "{ x = " * 60, "/dev/zero", "-"),
)


@dataclasses.dataclass(frozen=True)
class Attempt:
    """What a child does; files (`a|b`) of which a refusal names one; outputs; years."""

    act: Callable[[], object]
    named: str = ""
    outputs: tuple[str, ...] = ()
    years: int = 1
    given: tuple[str, ...] = ()


def with_given(attempt: Attempt, given: tuple[str, ...]) -> Attempt:
    """The attempt with the names of the files that were there before it."""
    return dataclasses.replace(attempt, given=given)


def command(*arguments: str) -> Callable[[], object]:
    """What calls the command line."""
    from assembly_sim import cli

    return lambda: cli.main(list(arguments))


@cache
def load() -> None:
    """Load and compile all that a child would spend its time on."""
    import assembly_sim.api  # noqa: F401
    import assembly_sim.files.result.write  # noqa: F401
    from assembly_sim.files.material.read import load as materials
    from assembly_sim.report.text import run_text
    from assembly_sim.solver import warm_up
    from assembly_sim.solver.run import run

    for kind in (warm_up.PATHS, warm_up.ZONES):
        warm_up.ready(kind)
    materials()
    case = dataclasses.replace(sound_case(), years=1)
    result = run(case)
    run_text(result, "si")


@cache
def texts() -> tuple[str, ...]:
    """Sound cases to spoil: the examples and one with every kind of layer, a year long each."""
    from tests.files.case_texts import SOUND

    examples = [path.read_text() for path in sorted((ROOT / "examples").glob("*.toml"))]
    whole = [text for text in examples if "base =" not in text and "[[factor]]" not in text]
    return tuple(re.sub(r"(?m)^years = .*$", "", text) for text in (*whole, SOUND, SOUND, SOUND))


@cache
def sound_case() -> Any:
    from assembly_sim.files.case.read import read_case

    return read_case(ROOT / "examples" / "attic_floor.toml")


def spoiled(text: str, chance: random.Random) -> str:
    """A text with one to six changes: of numbers, words, lines, or of anything."""
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        text = chance.choice((_number, _number, _word, _line, _chunk, _cut, _same_line))(
            text, chance
        )
    return text


def nudged(text: str, chance: random.Random) -> str:
    """A text in good form with one to three of its numbers others: most of them can be meant."""
    for _ in range(chance.choice((1, 2, 3))):
        found = chance.choice(list(re.finditer(r"\d+(\.\d+)?", text)))
        value = float(found[0]) * math.exp(chance.gauss(0.0, 1.0))
        new = f"{value:.3g}" if "." in found[0] else str(round(value))
        text = text[: found.start()] + new + text[found.end() :]
    return text


def spoiled_or_nudged(text: str, chance: random.Random) -> str:
    """One in good form as often as one that hardly is: what is read goes further."""
    return chance.choice((spoiled, nudged))(text, chance)


def _replaced(text: str, pattern: str, new: str, chance: random.Random) -> str:
    found = list(re.finditer(pattern, text))
    if not found:
        return text
    one = chance.choice(found)
    return text[: one.start()] + new + text[one.end() :]


def _number(text: str, chance: random.Random) -> str:
    return _replaced(text, r"\d+(\.\d+)?", chance.choice(ODD_NUMBERS), chance)


def _word(text: str, chance: random.Random) -> str:
    other = chance.choice(re.findall(r"[A-Za-z_]+", text) or ["x"])
    return _replaced(text, r"[A-Za-z_]+", chance.choice((other, chance.choice(ODD_TEXTS))), chance)


def _line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at, to = chance.randrange(len(lines)), chance.randrange(len(lines))
    line = lines.pop(at) if chance.random() < 0.5 else lines[at]
    lines[to:to] = [line] * chance.choice((0, 1, 1, 2, 300))
    return "\n".join(lines)


def _same_line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    head = lines[at].partition("=")[0]
    lines[at] = f"{head}= {chance.choice((*ODD_NUMBERS, *ODD_TEXTS, '[]', '{}', '[{}]'))}"
    return "\n".join(lines)


def _chunk(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(ODD_TEXTS) + text[at + chance.choice((0, 1, 5)) :]


def _cut(text: str, chance: random.Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] if chance.random() < 0.5 else text[:at] + text[at + chance.randrange(200) :]


def bytes_of(text: str, chance: random.Random) -> bytes:
    """A text as a file holds it, one in ten times with a byte changed."""
    data = bytearray(text.encode("utf-8", "surrogatepass"))
    if chance.random() < 0.1 and data:
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def short(text: str) -> str:
    """A text that asks for one year: time is not what is tried here."""
    return "years = 1\n" + re.sub(r"(?m)^years\s*=\s*\d+\s*$", "", text)


def run_of(text: str, chance: random.Random, folder: Path, years: int = 2) -> Attempt:
    """A run of a case, with any of its outputs; `years`: times ten seconds that it may take."""
    name = chance.choice(("case.toml", "case.toml", "c a\x1bse.toml", "fünf.toml"))
    (folder / name).write_bytes(bytes_of(short(text), chance))
    options = {"--json": "out.json", "--out": "out.h5", "--csv": "tables"}
    chosen = [option for option in options if chance.random() < 0.4]
    arguments = [part for option in chosen for part in (option, options[option])]
    units = ["--units", "ip"] if chance.random() < 0.3 else []
    units += ["--refine", "0.25"] if years > 2 else []  # a house takes its time
    outputs = tuple(options[option] for option in chosen)
    return Attempt(command("run", name, *arguments, *units), name[-6:], outputs, years)


def mutated_case(chance: random.Random, folder: Path) -> Attempt:
    """A sound case, spoiled."""
    text = spoiled(chance.choice(texts()), chance)
    if chance.random() < 0.2:
        (folder / "base.toml").write_bytes(bytes_of(short(text), chance))
        change = f'[change."Back wall".layer.batt]\nthickness = "{chance.choice(ODD_NUMBERS)} mm"\n'
        text = 'base = "base.toml"\n' + chance.choice(("", change, "[change]\nx = 3\n"))
        name = "top.toml"
        (folder / name).write_text(text)
        return Attempt(command("run", name), ".toml", (), 2)
    return run_of(text, chance, folder)


LAYER_KINDS = ("material", "material", "material", "membrane", "air")


def generated_case(chance: random.Random, folder: Path) -> Attempt:
    """A case in good form with any layers and with values out to the bounds and past them."""
    from assembly_sim.files.material.read import load as materials
    from assembly_sim.model import Material

    known = materials()
    solid = [name for name, one in known.items() if isinstance(one, Material)]
    sheets = [name for name in known if name not in solid]

    def value(low: float, high: float, unit: str) -> str:
        draw = chance.uniform(low, high) if chance.random() < 0.8 else chance.choice((low, high))
        past = chance.choice((0.0, -1.0, 1e6)) if chance.random() < 0.005 else 1.0
        return f'"{draw * past:.6g} {unit}"'

    layers = []
    kind = "air"
    for _ in range(chance.randint(1, 6)):
        kind = chance.choice(LAYER_KINDS[: -1 if kind == "air" else None])
        if kind == "material":
            thick = math.exp(chance.uniform(math.log(0.04), math.log(600.0)))
            layers.append(
                f'[[assembly.layer]]\nmaterial = "{chance.choice(solid)}"\n'
                f"thickness = {value(thick, thick, 'mm')}\n"
            )
            if chance.random() < 0.3:
                share, path = value(1, 40, "%"), chance.choice(("framing", "studs", "κ", "屋" * 9))
                bridge = f'path = "{path}", material = "{chance.choice(solid)}", share = {share}'
                layers.append(f"bridges = [{{ {bridge} }}]\n")
        elif kind == "membrane":
            layers.append(f'[[assembly.layer]]\nmembrane = "{chance.choice(sheets)}"\n')
        else:
            layers.append(
                f"[[assembly.layer]]\nair = {value(1, 300, 'mm')}\n"
                f"air_changes = {value(0, 500, '1/h')}\nemittance_outer = {value(0, 100, '%')}\n"
            )
    climate = chance.choice(sorted(p.stem for p in (ROOT / "climates").glob("*.csv")))
    text = (
        f'format = 1\nname = "n"\nclimate = "{climate}"\nyears = 1\n'
        f"start_month = {chance.randint(1, 12)}\nstarting_humidity = {value(1, 100, '%')}\n"
        f"[room]\ntemperature = {value(-30, 45, 'degC')}\nhumidity = {value(1, 100, '%')}\n"
        f'[[assembly]]\nname = "{chance.choice(("w", "屋根", "a/b", "..", "x" * 80))}"\n'
        f"area = {value(0.1, 1e4, 'm2')}\ntilt = {value(0, 180, 'deg')}\n"
        f"azimuth = {value(0, 360, 'deg')}\nsolar_absorptance = {value(0, 100, '%')}\n"
        f"emittance = {value(0, 100, '%')}\nleak = {value(1e-3, 20, 'L/(s m2) at 75 Pa')}\n"
        f"leaked_rain = {value(0, 100, '%')}\n" + "".join(layers)
    )
    return run_of(text.replace("years = 1\n", ""), chance, folder)


def mutated_materials(chance: random.Random, folder: Path) -> Attempt:
    """A table of materials, spoiled, listed or taken for a run."""
    files = sorted(p for p in (ROOT / "materials").glob("*.toml") if p.stem != "references")
    text = spoiled(chance.choice(files).read_text(), chance)
    (folder / "own.toml").write_bytes(bytes_of(text, chance))
    if chance.random() < 0.7:
        return Attempt(command("materials", "--materials", "own.toml"), "own.toml")
    (folder / "case.toml").write_text(short(texts()[-1]))
    return Attempt(command("run", "case.toml", "--materials", "own.toml"), ".toml", (), 2)


@cache
def _weather() -> tuple[str, ...]:
    from assembly_sim.files.climate.read import find_climate

    names = ("cold_inland", "greensboro")
    return tuple(find_climate(name).read_text() for name in names)


def mutated_weather(chance: random.Random, folder: Path) -> Attempt:
    """A weather file, spoiled, most of all in its head."""
    text = chance.choice(_weather())
    at = chance.choice((600, 3000, len(text)))
    (folder / "year.csv").write_bytes(bytes_of(spoiled(text[:at], chance) + text[at:], chance))
    to = ("--to", "out.csv") if chance.random() < 0.3 else ()
    return Attempt(command("climate", "year.csv", *to), "year.csv", ("out.csv",) if to else ())


@cache
def _result() -> bytes:
    import tempfile

    from assembly_sim.files.result.write import write_hdf5
    from tests import synthetic

    with tempfile.TemporaryDirectory() as folder:
        write_hdf5(synthetic.result(hours=300), Path(folder) / "run.h5")
        return (Path(folder) / "run.h5").read_bytes()


def damaged(data: bytes, chance: random.Random) -> bytes:
    """Bytes cut short, zeroed in part, or changed here and there."""
    changed, at = bytearray(data), chance.randrange(len(data))
    way = chance.randrange(4)
    if way == 0:
        return bytes(changed[:at])
    if way == 1:
        size = chance.choice((16, 512, 4096))
        changed[at : at + size] = bytes(len(changed[at : at + size]))
    reach = len(data) if way == 2 else min(len(data), 30_000)
    for _ in range(chance.choice((1, 4, 30)) if way > 1 else 0):
        changed[chance.randrange(reach)] = chance.randrange(256)
    return bytes(changed)


def _or_refused(act: Callable[[], object]) -> Callable[[], object]:
    """What ends as the command line does where an input is refused."""
    from assembly_sim import cli
    from assembly_sim.errors import InputError

    def acted() -> None:
        try:
            act()
        except InputError as error:
            raise SystemExit(cli.complain(str(error), 2)) from None

    return acted


def mutated_result(chance: random.Random, folder: Path) -> Attempt:
    """A kept result, damaged, read back and reported."""
    from assembly_sim.files.result.write import read_hdf5
    from assembly_sim.verdict.contract import run_summary

    (folder / "run.h5").write_bytes(damaged(_result(), chance))

    def act() -> None:
        result = read_hdf5("run.h5")
        run_summary(result)

    return Attempt(_or_refused(act), "run.h5")


def damaged_kept(chance: random.Random, folder: Path) -> Attempt:
    """A climate kept ready, or compiled code, damaged: never taken for what it was."""
    from assembly_sim.files.climate import kept as climate_cache
    from assembly_sim.files.climate.read import find_climate, read_climate
    from assembly_sim.solver.kernel import cache as kept_code

    here = kept_code.folder()
    if here is not None and chance.random() < 0.5:
        copy = folder / "code"
        shutil.copytree(here, copy, copy_function=os.link)
        file = chance.choice([each for each in copy.rglob("*") if each.suffix in (".nbi", ".nbc")])
        before = file.read_bytes()
        file.unlink()
        file.write_bytes(damaged(before, chance))
        same = file.read_bytes() == before

        def look() -> None:
            assert kept_code.is_whole(copy) == same

        return Attempt(look)
    os.environ["XDG_CACHE_HOME"] = str(folder)  # of this process and its children
    path = find_climate("cold_inland")
    first = read_climate(path)
    (entry,) = climate_cache.folder().iterdir()
    entry.write_bytes(damaged(entry.read_bytes(), chance))

    def act() -> None:
        again = read_climate(path)
        assert np.array_equal(again.temperature, first.temperature)
        assert np.array_equal(again.rain, first.rain)
        assert again.name == first.name

    return Attempt(act)


ODD_VALUES: tuple[Any, ...] = (
    *(0.0, -1.0, float("nan"), float("inf"), 1e300, -1e-300, 10**400, None, "x", "\0", (), True),
    *((None,), {}, 7, b"x", float("-inf"), [1]),
)


def impossible_description(chance: random.Random, folder: Path) -> Attempt:
    """A case made in Python with one value replaced by what it cannot be, then run for a year."""
    import assembly_sim as sim

    case = dataclasses.replace(sound_case(), years=1)

    def act() -> None:
        spoiled_case = _spoiled_object(case, chance)
        result = sim.run(spoiled_case)
        sim.summary(result)

    return Attempt(_or_refused(act))


def _spoiled_object(value: Any, chance: random.Random) -> Any:
    """A frozen description with one field, at any depth, replaced."""
    if isinstance(value, tuple) and value and chance.random() < 0.9:
        at = chance.randrange(len(value))
        return (*value[:at], _spoiled_object(value[at], chance), *value[at + 1 :])
    if dataclasses.is_dataclass(value) and not isinstance(value, type) and chance.random() < 0.95:
        field = chance.choice(dataclasses.fields(value))
        inner = getattr(value, field.name)
        if not isinstance(inner, np.ndarray):
            return dataclasses.replace(value, **{field.name: _spoiled_object(inner, chance)})
    return chance.choice(ODD_VALUES)
