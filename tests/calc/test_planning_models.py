"""Cutting plans for random jobs against exact models of the same jobs, solved by OR-tools (`tools/check/plans.py`).

Up to eight kinds and about a hundred pieces, several kinds of stock, counted or not, kerf and trim, the three aims. The
seeds are those of which the solver finishes most at once.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from tools.check.plans import KINDS, drawn

pytest.importorskip("ortools.sat.python.cp_model")

EFFORT = 1


@pytest.mark.parametrize("kind, seeds", [("bars", range(20)), ("sheets", range(20))])
def test_plans_cost_within_one_percent_of_the_least_and_most_are_proven(kind, seeds):
    make, quick, best, exact = KINDS[kind]
    solved = proven = 0
    for seed in seeds:
        job = drawn(make, seed)
        first, plan = quick(job), best(job)
        proven += plan.proven
        least = exact(job, EFFORT)
        if least is not None:
            solved += 1
            assert plan.least <= least <= plan.cost <= least * Fraction(101, 100), f"{kind} {seed}"
            assert first is None or first.least <= least <= first.cost, f"{kind} {seed}"
    assert solved >= len(seeds) * 6 // 10, "the solver finished too few: draw smaller jobs"
    assert proven >= len(seeds) * 9 // 10
