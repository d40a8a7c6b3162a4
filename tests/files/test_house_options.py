"""Options of a house in a file: ducts brought in, fans taken out, what is refused at its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from assembly_sim.changes import DuctsIndoors, RemoveFan, SealBetween, applied, plain
from assembly_sim.errors import InputError
from assembly_sim.files.case.comparison import read_comparison
from assembly_sim.files.case.read import read_case

EXAMPLES = Path(__file__).parents[2] / "examples"
EXAMPLE = EXAMPLES / "attic_or_roof.toml"
HEAD = f"""format = 1
base = "{EXAMPLES / "cold_attic.toml"}"
name = "options of a house"

[[fan]]
name = "bath fan"
flow = "1 L/s"
from = "room"
to = "attic"

[[option]]
name = "as found"

[[option]]
name = "planned"
[option.change]
"""


def asked(tmp_path, change):
    path = tmp_path / "case.toml"
    path.write_text(HEAD + change + "\n")
    return read_comparison(path)


def test_the_example_moves_the_plane_of_insulation():
    """The fill goes, foam comes, every vent is closed; ducts stay until an option moves them."""
    read = read_comparison(EXAMPLE)
    roof = read.cases["foam slopes and gables"]
    by_name = {one.name: one for one in roof.assemblies}
    assert "loose fill" not in [layer.name for layer in by_name["Attic floor"].layers]
    for name in ("North slope", "South slope", "West gable", "East gable"):
        assert "foam" in by_name[name].layers[-1].name
    spaces = [{one.inside, one.outside} for one in roof.openings]
    assert {"attic", "outdoors"} not in spaces
    assert {"room", "attic"} in spaces
    assert len(roof.ducts) == 2
    assert not read.cases["seal the floor, ducts into the rooms"].ducts
    assert len(read.case.ducts) == 2


def test_ducts_and_fans_by_name(tmp_path):
    change = 'ducts."furnace ducts".indoors = true\nfan."bath fan".remove = true'
    read = asked(tmp_path, change)
    planned = read.named("planned")
    assert planned.changes == (DuctsIndoors("furnace ducts"), RemoveFan("bath fan"))
    assert read.cases["planned"].ducts == ()
    assert read.cases["planned"].fans == ()
    assert read.case.fans
    assert [plain(one.words) for one in planned.changes] == [
        "furnace ducts: moved into the rooms",
        "bath fan: taken out",
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    {
        "no such ducts": ('ducts."furnace duct".indoors = true', "furnace ducts"),
        "ducts not brought in": ('ducts."furnace ducts".indoors = false', "leave it out"),
        "a fan half out": ('fan."bath fan".remove = "half"', "remove"),
        "a fan indoors": ('fan."bath fan".indoors = true', "remove"),
        "no such opening": ('opening."attic hatches".seal = "80 %"', "attic hatch"),
        "more than all of it": ('opening."attic hatch".seal = "120 %"', "seal"),
        "no such space": ('seal_between = [{ one = "room", other = "cellar" }]', "attic"),
        "a layer that is gone": ('assembly."Attic floor".layer."batt".remove = true', "loose fill"),
    }.values(),
)
def test_what_is_not_there_is_refused_at_its_line(tmp_path, change, said):
    with pytest.raises(InputError) as refused:
        asked(tmp_path, change)
    (problem, *_) = refused.value.problems
    assert problem.file.endswith("case.toml")
    assert problem.line == HEAD.count("\n") + 1
    assert problem.cure
    assert said in str(refused.value)


def test_changes_are_refused_in_python_too():
    case = read_case(EXAMPLES / "cold_attic.toml")
    for change in (DuctsIndoors("none"), RemoveFan("none"), SealBetween("room", "cellar")):
        with pytest.raises(InputError):
            applied(case, change)
