"""The promises of the layout: who may import whom, and what the front door opens."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import assembly_sim

PACKAGE = Path(assembly_sim.__file__).parent
FILES = sorted(path for path in PACKAGE.rglob("*.py") if "_data" not in path.parts)
ROOMS = (
    ("errors", "unit_table", "units"),
    ("physics",),
    ("model",),
    ("envelope",),
    ("boundary",),
    ("solver",),
    ("changes",),
    ("checks",),
    ("hand",),
    ("words",),
    ("verdict",),
    ("files",),
    ("studies",),
    ("report",),
    ("cli_terminal",),
    ("cli_look", "cli_sweep"),
    ("cli", "api"),
)
RANK = {room: rank for rank, rooms in enumerate(ROOMS) for room in rooms}
HOMES = {
    "pint": "units.py",
    "h5py": "files/result/",
    "click": ("cli.py", "cli_look.py", "cli_sweep.py", "cli_terminal.py"),
    "matplotlib": "report/",
    "numba": "solver/kernel/",
    "pvlib": "boundary/",
    "dask": "studies/",
    "jinja2": "report/",
    "distributed": "studies/",
    "scipy": ("studies/", "hand/"),
}


def imports(path: Path) -> Iterator[str]:
    """Every module a file imports, at its top or inside a function, with dots."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: a relative import"
            yield node.module or ""
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def name(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@pytest.mark.parametrize("path", FILES, ids=name)
def test_a_room_imports_only_from_rooms_above_it(path: Path) -> None:
    if path == PACKAGE / "__init__.py":
        return  # the front door names all rooms, and opens none before it is asked
    own = [other.split(".") for other in imports(path) if other.startswith("assembly_sim.")]
    rooms = {parts[1] for parts in own} - {"__version__"}
    assert rooms <= RANK.keys()
    assert [other for other in rooms if RANK[other] > RANK[room(path)]] == []


@pytest.mark.parametrize("path", sorted((PACKAGE / "solver/kernel").glob("*.py")), ids=name)
def test_compiled_code_knows_physics_alone(path: Path) -> None:
    """What it imports is hashed and compiled again, so that must be little."""
    own = {other for other in imports(path) if other.startswith("assembly_sim.")}
    allowed = (
        "assembly_sim.physics",
        "assembly_sim.solver.kernel",
        "assembly_sim.boundary.columns",
    )
    own -= {"assembly_sim.boundary"}  # the package of `columns`
    assert {other for other in own if not other.startswith(allowed)} == set()


@pytest.mark.parametrize("path", FILES, ids=name)
def test_a_library_is_used_in_its_own_place(path: Path) -> None:
    used = {other.split(".")[0] for other in imports(path)} & HOMES.keys()
    strays = [library for library in used if not name(path).startswith(HOMES[library])]
    assert strays == []


@pytest.mark.parametrize("path", FILES, ids=name)
def test_the_library_prints_nothing(path: Path) -> None:
    calls = [
        node.func for node in ast.walk(ast.parse(path.read_text())) if isinstance(node, ast.Call)
    ]
    assert [call for call in calls if isinstance(call, ast.Name) and call.id == "print"] == []


def test_rule_sees_an_import_inside_a_function(tmp_path: Path) -> None:
    sample = tmp_path / "sample.py"
    sample.write_text("def f():\n    from assembly_sim.report import text\n    import h5py\n")
    assert {"assembly_sim.report.text", "h5py"} <= set(imports(sample))


@pytest.mark.parametrize("public", assembly_sim.__all__)
def test_every_public_name_is_there_and_documented(public: str) -> None:
    assert (getattr(assembly_sim, public).__doc__ or "").strip()


def test_front_door_lists_what_it_opens_and_nothing_else() -> None:
    assert sorted(assembly_sim._HOMES) == sorted(assembly_sim.__all__)
    assert set(assembly_sim.__all__) <= set(dir(assembly_sim))
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        assembly_sim.nothing  # noqa: B018
