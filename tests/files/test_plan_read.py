"""Plans as files: what they say becomes changes of the case, what is wrong is told at its line."""

import math
from pathlib import Path

import pytest

from assembly_sim.changes import Set, Times
from assembly_sim.changes.factors import Choice, Range
from assembly_sim.errors import InputError
from assembly_sim.files.case.read import read_case
from assembly_sim.files.plan.read import read_plan
from assembly_sim.files.plan.uncertain import uncertain_plan, usual
from assembly_sim.model import SineOverYear
from assembly_sim.studies.sweep.points import count, variants

ROOF = 'assembly."North roof"'
EXAMPLES = Path(__file__).parents[2] / "examples"
HEAD = f"""format = 1
name = "try"
case = "{(EXAMPLES / "rafter_bay_foam.toml").as_posix()}"
"""
FOAM = f"""
[[factor]]
name = "foam"
path = '{ROOF}.layer."rigid foam".thickness'
"""


@pytest.fixture
def read(tmp_path):
    def reads(text, head=HEAD):
        (tmp_path / "plan.toml").write_text(head + text, encoding="utf-8")
        return read_plan(tmp_path / "plan.toml")

    return reads


def test_values_are_numbers_in_si_where_they_are_numbers(read):
    plan = read(FOAM + 'values = ["1 in", "50 mm"]\ncost = [10, 20]\n')
    (foam,) = plan.factors
    assert isinstance(foam, Choice)
    assert [one.value for one in foam.options] == pytest.approx([0.0254, 0.05])
    assert [one.cost for one in foam.options] == [10.0, 20.0]
    assert foam.kind == "length"
    assert foam.options[1].changes[0] == Set(f'{ROOF}.layer."rigid foam".thickness', 0.05)


def test_a_range_is_uniform_between_its_ends_in_any_unit(read):
    (foam,) = read(FOAM + 'range = ["1 in", "100 mm"]\nlevels = 3\n').factors
    assert [one.value for one in foam.levels()] == pytest.approx([0.0254, 0.0627, 0.1])


def test_climates_and_options_are_labels(read):
    plan = read(f"""
[[factor]]
name = "climate"
path = "climate"
values = ["greensboro", "hot_humid"]

[[factor]]
name = "foam"
options."none" = {{ {ROOF}.layer."rigid foam".remove = true }}
options."eps, thick" = {{ {ROOF}.layer."rigid foam" = {{ material = "eps", thickness = "6 in" }} }}
""")
    assert [one.values for one in variants(plan)] == [
        ("greensboro", "none"),
        ("greensboro", "eps, thick"),
        ("hot_humid", "none"),
        ("hot_humid", "eps, thick"),
    ]
    assert len(plan.factors[1].options[1].changes) == 2


def test_a_part_of_a_rule_of_the_room_is_that_part_alone(read):
    plan = read("""
[[factor]]
name = "swing"
path = "room.humidity.amplitude"
range = ["0 %", "20 %"]
""")
    change = plan.factors[0].at(0.5).changes[0]
    assert change == Set("room.humidity.amplitude", 0.1)
    rule = change.apply(plan.case).room.humidity
    assert isinstance(rule, SineOverYear)
    assert (rule.amplitude, rule.mean) == (0.1, 0.4)


def test_distributions_have_units_and_spreads(read):
    plan = read(
        f"""
[[factor]]
name = "leak"
path = '{ROOF}.leak'
distribution.lognormal = ["0.2 L/(s m2) at 75 Pa", 1.8]

[[factor]]
name = "room"
path = "room.temperature"
distribution = {{ normal = ["68 degF", "1 K"], within = ["18 degC", "22 degC"] }}

[[factor]]
name = "conductivity"
path = 'material."polyiso".conductivity_times'
distribution.triangular = [0.9, 1.0, 1.3]
""",
        HEAD + 'method = "random"\ncount = 5\n',
    )
    leak, room, conductivity = plan.factors
    assert leak.of(leak.law.quantile(0.5)).value == pytest.approx(2e-4)
    assert room.law.quantile(0.5) == pytest.approx(293.15, abs=0.1)
    assert (room.law.low, room.law.high) == pytest.approx((291.15, 295.15))
    assert conductivity.at(0.0).changes == (Times('material."polyiso".conductivity', 0.9),)
    assert count(plan) == 5


def test_one_number_goes_to_several_places(read):
    plan = read("""
[[factor]]
name = "both"
path = ['material."polyiso".conductivity_times', 'material."glass-fibre batt".conductivity_times']
range = [0.9, 1.1]
""")
    assert [one.factor for one in plan.factors[0].at(1.0).changes] == [1.1, 1.1]


def test_a_table_from_a_file_and_changes_of_the_base(read, tmp_path):
    (tmp_path / "points.csv").write_text("foam,note\n1 in,a\n2 in,b\n", encoding="utf-8")
    plan = read('method = "table"\nrows = "points.csv"\n[change]\nyears = 3\n' + FOAM)
    assert plan.case.years == 3
    assert [one.values[0] for one in variants(plan)] == pytest.approx([0.0254, 0.0508])


HUGE = "9" * 400  # TOML has whole numbers of any length
WRONG = [
    (FOAM.replace("rigid", "rigd") + 'range = ["1 in", "2 in"]\n', 8, "did you mean"),
    (FOAM + 'range = ["1 in", "2 pints"]\n', 8, "pints"),
    (FOAM + 'range = ["2 in", "1 in"]\n', 5, "low end is not below"),
    (FOAM + 'distribution.normal = ["2 in", "-0.1 in"]\n', 5, "spread is not above 0"),
    (FOAM + "distribution.normal = [2]\n", 8, ""),
    (FOAM + 'values = ["1 in"]\nrange = ["1 in", "2 in"]\n', 9, "exclude"),
    (FOAM, 5, "nothing says what its values are"),
    (FOAM + 'values = ["1 in", "1 in"]\n', 5, "stands twice"),
    (FOAM + 'values = ["1 in", "2 in"]\ncost = [1]\n', 9, "1 costs for 2"),
    ('method = "guess"\n' + FOAM + 'values = ["1 in"]\n', 4, "no method"),
    ("count = 5\n" + FOAM + 'values = ["1 in"]\n', 4, "leave count out"),
    ('assembly = "South roof"\n' + FOAM + 'values = ["1 in"]\n', 4, "no assembly"),
    ('method = "table"\nrows = [["1 in", 2]]\n' + FOAM, 5, "2 values for 1 factors"),
    ('method = "table"\nrows = "none.csv"\n' + FOAM, 5, "no table of points 'none.csv'"),
    ("colour = 1\n" + FOAM + 'values = ["1 in"]\n', 4, "unknown entry"),
    (f"refine = {HUGE}\n" + FOAM + 'values = ["1 in"]\n', 4, "too large"),
    (f"steps = {HUGE}\n" + FOAM + 'values = ["1 in"]\n', 4, "too large"),
    (FOAM + f'values = ["1 in"]\ncost = [{HUGE}]\n', 9, "too large"),
    (FOAM + f'distribution.lognormal = ["2 in", {HUGE}]\n', 8, "no bare number"),
    (FOAM + f"values = [{HUGE}]\n", 8, ""),
    (f"[change]\nyears = {HUGE}\n" + FOAM + 'values = ["1 in"]\n', 5, ""),
    ("[change]\nyers = 3\n" + FOAM + 'values = ["1 in"]\n', 5, "did you mean 'years'"),
]


@pytest.mark.parametrize(("text", "line", "said"), WRONG)
def test_what_is_wrong_is_told_at_its_line(read, text, line, said):
    with pytest.raises(InputError) as told:
        read(text)
    problem = told.value.problems[0]
    assert said in str(problem)
    assert problem.line == line
    assert problem.file


def test_a_case_that_is_not_there(read):
    with pytest.raises(InputError, match=r"plan\.toml:3: case: there is no case file"):
        read(FOAM, 'format = 1\nname = "a"\ncase = "none.toml"\n')


def test_a_case_in_place_of_a_plan_and_a_plan_in_place_of_a_case_are_told_once():
    with pytest.raises(InputError) as told:
        read_plan(EXAMPLES / "gable_wall.toml")
    assert [one.cause for one in told.value.problems] == ["this is a case, no plan of a sweep"]
    with pytest.raises(InputError) as told:
        read_case(EXAMPLES / "rafter_sweep.toml")
    assert [one.cause for one in told.value.problems] == ["this is a plan of a sweep, no case"]


def test_a_plan_of_two_cases_is_told_that_it_has_one(read):
    with pytest.raises(InputError, match=r"plan\.toml:3: case: a plan has one case; name one"):
        read(FOAM, 'format = 1\nname = "a"\ncase = ["one.toml", "two.toml"]\n')


def test_the_example_has_2048_variants_of_five_factors():
    plan = read_plan(EXAMPLES / "rafter_sweep.toml")
    assert (count(plan), len(plan.factors)) == (2048, 5)


def uncertain(tmp_path, table):
    base = (EXAMPLES / "rafter_bay_foam.toml").as_posix()
    file = tmp_path / "case.toml"
    file.write_text(f'format = 1\nbase = "{base}"\nname = "u"\n{table}', encoding="utf-8")
    return uncertain_plan(file, 20)


def test_usual_spreads_have_sources_and_stay_possible(tmp_path):
    assert all(row["source"] for row in usual().values())
    plan = uncertain(tmp_path, "")
    names = [one.name for one in plan.factors]
    assert {"air leak", "winter humidity", "starting humidity", "solar absorptance"} <= set(names)
    assert "conductivity of polyiso" in names
    assert "conductivity of gypsum board" not in names
    from assembly_sim.changes import applied

    for one in variants(plan):
        applied(plan.case, *one.changes)  # no variant leaves what a case may be


def test_a_case_says_what_is_certain_and_how_far_the_rest_spreads(tmp_path):
    plan = uncertain(tmp_path, '[uncertain]\nleak = 3.0\nhumidity = "2 %"\nabsorptance = false\n')
    by_name = {one.name: one for one in plan.factors}
    assert isinstance(by_name["air leak"], Range)
    assert by_name["air leak"].law.b == 3.0
    assert by_name["winter humidity"].law.b == pytest.approx(0.02)
    assert "solar absorptance" not in by_name
    assert math.isfinite(by_name["starting humidity"].law.high)


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("humidity = -0.1", "spread is not above 0"),
        ("leak = 0.5", "factor not above 1"),
        ('humidity = "2 m"', "measures length"),
        ("wind = 1", "unknown entry"),
    ],
)
def test_an_uncertainty_that_is_none_is_refused(tmp_path, table, said):
    with pytest.raises(InputError, match=said):
        uncertain(tmp_path, f"[uncertain]\n{table}\n")
