"""Distributions against scipy's own, and what is no distribution."""

import math

import pytest
from scipy import stats

from assembly_sim.changes.laws import Law
from assembly_sim.errors import InputError

SHARES = [0.001, 0.03, 0.3, 0.5, 0.77, 0.999]
KNOWN = [
    (Law("uniform", 2.0, 5.0), stats.uniform(2.0, 3.0)),
    (Law("normal", 10.0, 0.5), stats.norm(10.0, 0.5)),
    (Law("lognormal", 0.2, 1.8), stats.lognorm(math.log(1.8), scale=0.2)),
    (Law("triangular", 1.0, 2.0, 5.0), stats.triang(0.25, 1.0, 4.0)),
    (Law("triangular", 1.0, 1.0, 5.0), stats.triang(0.0, 1.0, 4.0)),
    (Law("triangular", 1.0, 5.0, 5.0), stats.triang(1.0, 1.0, 4.0)),
    (Law("normal", 1.0, 0.1, low=0.8, high=1.1), stats.truncnorm(-2.0, 1.0, 1.0, 0.1)),
]


@pytest.mark.parametrize(("law", "known"), KNOWN, ids=lambda one: getattr(one, "kind", ""))
def test_quantiles_are_those_of_scipy(law, known):
    for share in SHARES:
        assert law.quantile(share) == pytest.approx(known.ppf(share), rel=1e-9)


@pytest.mark.parametrize(("law", "known"), KNOWN, ids=lambda one: getattr(one, "kind", ""))
def test_what_is_cut_off_is_never_drawn_and_nothing_piles_up_at_the_ends(law, known):
    low, high = known.ppf(0.2), known.ppf(0.9)
    cut = Law(law.kind, law.a, law.b, law.c, low=low, high=high)
    drawn = [cut.quantile(i / 400) for i in range(401)]
    assert low <= drawn[0] < drawn[1] < drawn[-2] < drawn[-1] <= high
    assert cut.quantile(0.5) == pytest.approx(known.ppf(0.55), rel=1e-9)


@pytest.mark.parametrize(
    "given",
    [
        ("normal", 1.0, -0.1),
        ("normal", 1.0, 0.0),
        ("lognormal", 1.0, 0.8),
        ("lognormal", -1.0, 1.8),
        ("uniform", 2.0, 1.0),
        ("triangular", 1.0, 0.5, 2.0),
        ("normal", math.nan, 1.0),
        ("gaussian", 1.0, 1.0),
    ],
)
def test_what_is_no_distribution_is_refused(given):
    with pytest.raises(InputError, match="distribution"):
        Law(*given)


def test_ends_that_leave_nothing_are_refused():
    with pytest.raises(InputError, match="nothing is left"):
        Law("normal", 0.0, 1.0, low=50.0, high=60.0)
