"""The searches of a probe against a judge written down by hand, and one probe of a real case."""

import pytest

from assembly_sim.changes import Set, Times, applied
from assembly_sim.envelope.airways import meets_cavity
from assembly_sim.model.ranges import RANGES
from assembly_sim.report.blocks import as_text
from assembly_sim.report.contract import with_probes
from assembly_sim.report.probe import probe_blocks
from assembly_sim.solver.run import run
from assembly_sim.studies import ladders as tried
from assembly_sim.studies import probe as probing
from assembly_sim.studies.closing import board_to_measure, closing_ladder, starting_humidity
from assembly_sim.studies.ladders import Ladder, Variant
from assembly_sim.studies.probe import limit_on, moves, probe, probes, smallest_move
from assembly_sim.verdict.contract import run_summary
from tests import synthetic
from tests.checks.made import ranked
from tests.outcomes.built import (
    PAINTED_BOARD,
    case,
    climate,
    gap,
    layer,
    level,
    sheet,
    solved,
    wall,
)

CASE = synthetic.case()
ROOF = ("assembly", "rafter bay")
LEAK = (*ROOF, "leak")
COLD = "cold_inland"


def ladder(count, start):
    return Ladder(tuple(Variant(str(i), float(i)) for i in range(count)), start)


@pytest.mark.parametrize("start", [0, 4, 9])
@pytest.mark.parametrize("wet_from", range(11))
def test_bisection_finds_the_last_dry_rung_from_anywhere(wet_from, start):
    asked = []

    def judge(variant):
        asked.append(variant.value)
        return ranked(2 if variant.value >= wet_from else 1)

    found = limit_on("any", ladder(10, start), judge)
    assert found.dry_up_to == (wet_from - 1 if wet_from else None)
    assert found.not_dry_from == (wet_from if wet_from < 10 else None)
    assert len(asked) == len(set(asked)) <= 5 + 5  # a second search for the limits
    assert (found.within_limits_up_to, found.past_from) == (9, None)
    assert found.tried == tuple(sorted(asked))


def test_a_leak_that_wets_and_then_dries_is_dry_up_to_where_it_first_is_not():
    """Bisection from the middle would step over the wet variants and call 8 dry."""
    ranks = (0, 0, 3, 3, 0, 0, 0, 0, 0, 0)
    found = limit_on(
        "leak", ladder(10, 6), lambda variant: ranked(ranks[int(variant.value)]), each=True
    )
    assert (found.dry_up_to, found.not_dry_from) == (1, 2)
    assert (found.within_limits_up_to, found.past_from) == (1, 2)


def test_no_limit_is_told_of_a_leak_that_meets_no_cavity():
    foam = layer("spray foam, closed-cell", 152)
    tight = case((layer("asphalt shingles, dark", 5), foam, *PAINTED_BOARD), climate(COLD), 0.4)
    assert not meets_cavity(tight.assemblies[0])
    jobs = probing._jobs(tight, 0, None, ranked(0))
    assert not any("air leak" in job.args for job in jobs)
    names = [job.args[0] for job in probing._jobs(CASE, 0, None, ranked(0))]
    assert "moisture of deck when closed in" in names


@pytest.mark.parametrize(("base", "moved"), [(2, [0, 1]), (0, [1, 2, 3]), (3, [0, 1, 2])])
def test_what_moves_a_level_is_drier_unless_nothing_is(base, moved):
    assert [rank for rank in range(4) if moves(ranked(rank), ranked(base))] == moved
    assert not moves(ranked(None), ranked(0))


def test_the_smallest_change_that_moves_the_level():
    variants = ladder(5, 0).variants
    found = smallest_move(
        "foam", variants, lambda r: ranked(2 - (r.value > 2), r.change), ranked(2)
    )
    assert found.trial.change == "3"
    none = smallest_move("foam", variants, lambda variant: ranked(2), ranked(2))
    assert none.trial is None
    assert none.tried[-1] == "4"


def test_ladders_rise_about_the_case_as_it_is():
    humidity, leak = tried.humidity_ladder(CASE), tried.leak_ladder(CASE, 0)
    for found, here in ((humidity, 0.40), (leak, 2e-4)):
        values = [variant.value for variant in found.variants]
        assert values == sorted(values)
        assert found.variants[found.start].changes == ()
        assert values[found.start] == pytest.approx(here)
    assert humidity.variants[humidity.hard].value == pytest.approx(0.45)
    assert leak.variants[leak.hard].value == pytest.approx(4e-4)
    tight = tried.leak_ladder(Times(LEAK, 0.0).apply(CASE), 0)
    assert (tight.start, tight.hard) == (0, None)


def test_a_sheltered_surface_has_no_colour_and_no_orientation():
    assert len(tried.orientations(CASE, 0)) == 3
    assert len(tried.colours(CASE, 0)) == 1
    sheltered = Set((*ROOF, "sheltered"), True).apply(CASE)
    assert tried.orientations(sheltered, 0) == tried.colours(sheltered, 0) == ()


def test_the_board_to_measure_is_where_room_air_arrives():
    assert board_to_measure(CASE.assemblies[0]) == 0
    moistures = [variant.value for variant in closing_ladder(CASE, 0).variants]
    assert moistures == [percent / 100.0 for percent in range(8, 31)]
    # 70 kg/m3 at 80 %, of 500 kg/m3: 14 % by mass
    assert starting_humidity(synthetic.BOARD, 0.14) == pytest.approx(0.80, abs=0.002)


def test_without_a_verdict_nothing_is_run():
    found = probe(synthetic.result(hours=100))
    assert (found.level, found.runs) == (None, 0)
    assert "no verdict" in as_text(probe_blocks(found))


def test_a_probe_of_a_roof_by_its_own_runs(monkeypatch):
    for question in ("sheets", "colours", "orientations", "outside_foam"):  # to save time
        monkeypatch.setattr(tried, question, lambda case, at: ())
    monkeypatch.setattr(tried, "LEAK_FACTORS", (0.0, 0.5, 1.0, 2.0, 5.0, 10.0))
    layers = (
        layer("asphalt shingles, dark", 5),
        layer("plywood, exterior grade", 12.7, "deck"),
        layer("glass-fibre batt", 140),
        *PAINTED_BOARD,
    )
    result = run(case(layers, climate("wet_mild_coast"), 0.40))
    seen = []
    trials = probes(result, lambda share, what: seen.append(share))
    summary = with_probes(run_summary(result), trials)
    (figures,) = summary["assemblies"]
    found = figures["probe"]
    assert found["level"] == figures["verdict"]["level"]
    assert seen[-1] == 1.0
    leak = next(limit for limit in found["limits"] if limit["quantity"] == "air leak")
    dry, wet = leak["dry_up_to"], leak["not_dry_from"]
    for flow, is_dry in ((dry, True), (wet, False)):
        if flow is not None:
            leak = ("assembly", result.case.assemblies[0].name, "leak")
            again = Times(leak, flow / 2e-4).apply(result.case)
            level = run_summary(run(again))["assemblies"][0]["verdict"]["level"]
            assert level.startswith("dry") is is_dry
    text = as_text(probe_blocks(trials[0]))
    assert "air leak" in text
    assert "left at the end of August" in text


def foamed(millimetres, *inside):
    """A wall of foam outside its sheathing in a cold winter, at the usual leak."""
    layers = (
        layer("fibre cement", 8),
        gap(20.0),
        sheet("spun-bonded polyolefin wrap"),
        layer("xps", millimetres),
        layer("osb", 11, "sheathing"),
        layer("glass-fibre batt", 140),
        *inside,
        *PAINTED_BOARD,
    )
    return wall(layers, climate(COLD), 0.40)


def test_foam_and_sheets_by_their_own_runs(monkeypatch):
    """Thin foam outside condenses, thicker does not; the rungs' levels are those of walls made so.

    That more foam outside keeps sheathing drier is common practice, no source.
    """
    for constant, value in (("LEAK_FACTORS", (1.0,)), ("LEAST_HUMIDITY", 0.4)):  # to save time
        monkeypatch.setattr(tried, constant, value)
    monkeypatch.setattr(tried, "MOST_HUMIDITY", 0.4)
    monkeypatch.setattr(probing, "closing_ladder", lambda *_: None)
    for question in ("colours", "orientations", "hard_years"):
        monkeypatch.setattr(tried, question, lambda case, at: ())
    found = probe(solved(foamed(20)))
    assert found.level == "past a limit"
    moved = {move.quantity: move for move in found.moves}
    own, added, retarder = (moved[name] for name in ("own foam", "added foam", "vapour retarder"))
    assert [len(one.tried) for one in (own, added, retarder)] == [2, 2, 3]
    assert own.trial.change == "xps {0.045 length} thick"
    assert own.trial.level == level(solved(foamed(45)))
    assert moves(own.trial, ranked(3))
    assert added.trial.change == "{0.025 length} of polyiso outside sheathing"
    assert retarder.trial.change == "kraft facing on the room side of glass-fibre batt"
    assert retarder.trial.level == level(solved(foamed(20, sheet("kraft facing"))))
    assert found.runs == 7


def test_ladders_end_where_no_case_may_go():
    """Every variant can be made, however leaky or thin the case is to begin with."""
    very_leaky = Times(LEAK, 100.0).apply(CASE)
    leaky = tried.leak_ladder(very_leaky, 0)
    assert max(variant.value for variant in leaky.variants) <= RANGES["leak flow"].high
    assert leaky.variants[leaky.start].changes == ()
    thin = case((layer("polyiso", 2.0), *PAINTED_BOARD), climate("cold_inland"), 0.4)
    foam = tried.foam_ladder(thin, 0)
    for start, variants in ((very_leaky, leaky.variants), (thin, foam.variants)):
        for variant in variants:
            assert (applied(start, *variant.changes) == start) is (not variant.changes)
    assert foam.variants[foam.start].changes == ()
