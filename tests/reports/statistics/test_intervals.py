"""Wilson's interval against published figures, its definition, and its known coverage.

Published: Newcombe, R. G. (1998), "Two-sided confidence intervals for the single proportion", Stat. Med. 17, 857–872,
Table I, method 3 (score, no continuity correction): 81/263, 15/148, 0/20, 1/29, as commonly quoted in test suites.
"""

from __future__ import annotations

import json
import os
from math import comb
from pathlib import Path
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from checkoffs.reports.statistics.intervals import wilson

NEWCOMBE = [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)]


@pytest.mark.parametrize(("hits", "n", "low", "high"), NEWCOMBE)
def test_published_figures(hits: int, n: int, low: float, high: float) -> None:
    found = wilson(hits, n)
    assert (found.low, found.high) == (pytest.approx(low, abs=5.1e-5), pytest.approx(high, abs=5.1e-5))


def reference() -> list[dict]:
    """The collected published cases, where this machine has them."""
    path = Path(os.environ.get("STATISTICS_CASES", "../shared/reference/statistics_cases.json"))
    if not path.exists():
        return []
    return [case for case in json.loads(path.read_text("utf-8")) if case["statistic"].startswith("Wilson")]


@pytest.mark.skipif(not reference(), reason="the collected published cases are not on this machine")
def test_collected_cases() -> None:
    for case in reference():
        found = wilson(case["data"]["x"], case["data"]["n"], case["parameters"]["level"])
        expected = case["expected"]["wilson"]
        assert [found.low, found.high] == pytest.approx(expected, abs=case["tolerance"]), case["id"]


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), st.floats(0.5, 0.999))
def test_ends_solve_the_score_equation(counts: tuple[int, int], level: float) -> None:
    """The definition (Wilson 1927): at each end p, (share − p)² = z² p (1 − p) / n."""
    hits, n = counts
    found, z = wilson(hits, n, level), NormalDist().inv_cdf(0.5 + level / 2)
    assert found.low is not None
    assert found.high is not None
    for end in (found.low, found.high):
        assert (hits / n - end) ** 2 == pytest.approx(z * z * end * (1 - end) / n, abs=1e-9)
    assert 0 <= found.low <= hits / n <= found.high <= 1


def test_coverage_at_thirty_is_the_known_one() -> None:
    """Exact coverage from the binomial law, for true rates of 5 to 95 % in steps of one.

    Nominally 0.95; the band the project's statistics page states for n = 30 is 0.930 to 0.978.
    """
    intervals = [wilson(hits, 30) for hits in range(31)]
    covers = {}
    for hundredth in range(5, 96):
        rate = hundredth / 100
        covers[hundredth] = sum(
            comb(30, hits) * rate**hits * (1 - rate) ** (30 - hits)
            for hits, found in enumerate(intervals)
            if found.low <= rate <= found.high  # type: ignore[operator]
        )
    assert min(covers.values()) == pytest.approx(0.930, abs=0.0005)
    assert covers[30] == min(covers.values())
    assert 0.95 < max(covers.values()) <= 0.978


def test_nothing_of_nothing_is_no_share() -> None:
    found = wilson(0, 0)
    assert (found.share, found.low, found.high, found.computable) == (None, None, None, False)


@pytest.mark.parametrize(("hits", "n", "level"), [(-1, 5, 0.95), (6, 5, 0.95), (1, 5, 0.0), (1, 5, 1.0)])
def test_nonsense_is_refused(hits: int, n: int, level: float) -> None:
    with pytest.raises(ValueError, match="is no"):
        wilson(hits, n, level)


@pytest.mark.parametrize(
    ("n", "few", "suppressed"), [(4, True, True), (5, True, False), (9, True, False), (10, False, False)]
)
def test_few_and_suppressed(n: int, few: bool, suppressed: bool) -> None:
    """Under 5 a cell does not leave the program (*common practice*); under 10 no conclusion is drawn."""
    found = wilson(1, n)
    assert (found.few, found.suppressed) == (few, suppressed)
