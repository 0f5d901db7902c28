"""Cutting plans for bars, against OR-tools and against plain counting.

Instance families, drawn anew from their published description:
- uniform sizes: Falkenauer, A hybrid grouping genetic algorithm for bin packing, J. Heuristics 2 (1996): bins of
  150, sizes uniform in 20..100.
- classes 1 to 3 of Scholl, Klein and Jürgens, BISON, Computers & Operations Research 24 (1997): bins of 100/120/150
with
  sizes from 1, 20 or 30 to 100; bins of 1000 with an average of 3 to 9 pieces a bin and a spread of 20 to 90 %; bins of
  100000 with sizes in 20000..35000.
- CUTGEN1: Gau and Wäscher, CUTGEN1, European Journal of Operational Research 84 (1995): lengths uniform in v1..v2 of
the
  bar, total demand an average per kind times the kinds, split by uniform shares.
"""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from calc.core.declare import InputError
from calc.core.units import LENGTH, parse
from calc.planning.bars import (
    MOST_KINDS,
    Job,
    Piece,
    PlanError,
    Stock,
    TooLittle,
    TooLong,
    best_plan,
    pair_bound,
    quick_plan,
)
from calc.planning.cut_list import CUT_LIST
from calc.planning.knapsack import fullest, most_valuable

INCH = Fraction("0.0254")


def falkenauer(chance: random.Random) -> tuple[list[int], int]:
    return [chance.randint(20, 100) for _ in range(90)], 150


def scholl_1(chance: random.Random) -> tuple[list[int], int]:
    low = chance.choice((1, 20, 30))
    return [chance.randint(low, 100) for _ in range(80)], chance.choice((100, 120, 150))


def scholl_2(chance: random.Random) -> tuple[list[int], int]:
    average, spread = 1000 / chance.choice((3, 5, 7, 9)), chance.choice((0.2, 0.5, 0.9))
    return [chance.randint(
        max(1, round(average * (1 - spread))), round(average * (1 + spread)),
    ) for _ in range(60)], 1000


def scholl_3(chance: random.Random) -> tuple[list[int], int]:
    return [chance.randint(20000, 35000) for _ in range(45)], 100000


def cutgen(kinds: int, low: float, high: float, demand: int):
    def draw(chance: random.Random) -> tuple[list[int], int]:
        lengths = sorted(
            {int((low + (high - low) * chance.random()) * 1000 + chance.random()) for _ in range(kinds)} - {0}
        )
        shares = [chance.random() for _ in lengths]
        total = demand * len(lengths)
        return [length for length, share in zip(lengths, shares) for _ in range(
            max(1, round(share / sum(shares) * total)),
        )], 1000
    return draw


FAMILIES = {
    "falkenauer-u": falkenauer, "scholl-1": scholl_1, "scholl-2": scholl_2, "scholl-3": scholl_3,
    "cutgen-60-small": cutgen(60, 0.01, 0.2, 10), "cutgen-60-middle": cutgen(60, 0.01, 0.4, 10),
    "cutgen-60-large": cutgen(60, 0.01, 0.8, 10),
    "cutgen-40-many": cutgen(40, 0.05, 0.6, 100),
}


def job_of(items: list[int], room: int, **more) -> Job:
    return Job(
        tuple(Piece("", Fraction(size), count) for size, count in sorted(Counter(items).items())),
        (Stock("", Fraction(room)),), **more,
    )


def bars_by_or_tools(job: Job, most: int) -> int | None:
    """The fewest equal bars by OR-tools, by arc flow over the lengths that sums of pieces reach (Valério de Carvalho
    1999);
    None where it does not finish in its time. `most` is a number of bars that is known to do."""
    pywraplp = pytest.importorskip("ortools.linear_solver.pywraplp")
    room = int(job.stocks[0].length)
    sizes = sorted(((int(piece.length), piece.count) for piece in job.pieces), reverse=True)
    solver = pywraplp.Solver.CreateSolver("SCIP")
    reached, arcs = {0}, []
    for size, count in sizes:
        fresh = set()
        for start in sorted(reached):
            for times in range(count):
                at = start + times * size
                if at + size > room:
                    break
                arcs.append((at, at + size, size))
                fresh.add(at + size)
        reached |= fresh
    flow = {arc: solver.IntVar(0, most, "") for arc in set(arcs)}
    nodes = sorted(reached)
    loss = {(a, b): solver.NumVar(0, most, "") for a, b in zip(nodes, nodes[1:])}
    bars = solver.IntVar(0, most, "")
    for node in nodes:
        into = sum((var for (_, end, _), var in flow.items() if end == node), start=0) + sum(
            (var for (_, end), var in loss.items() if end == node), start=0,
        )
        out = sum((var for (start, _, _), var in flow.items() if start == node), start=0) + sum(
            (var for (start, _), var in loss.items() if start == node), start=0,
        )
        solver.Add(into + (bars if node == 0 else 0) == out + (bars if node == nodes[-1] else 0))
    for size, count in sizes:
        solver.Add(sum(var for (_, _, own), var in flow.items() if own == size) >= count)
    solver.Minimize(bars)
    solver.SetTimeLimit(15_000)
    return round(solver.Objective().Value()) if solver.Solve() == pywraplp.Solver.OPTIMAL else None


@pytest.mark.parametrize("family", FAMILIES)
def test_bars_within_one_percent_of_the_proven_least(family):
    """The sum over a family: our bars against our own bound, which the next test holds against OR-tools."""
    ours = least = 0
    for number in range(3):
        items, room = FAMILIES[family](random.Random(f"{family}/{number}"))
        plan = best_plan(job_of(items, room))
        assert len(plan.job.pieces) <= 80
        ours, least = ours + plan.bars, least + plan.least / room
    assert ours <= Fraction(101, 100) * least


@pytest.mark.parametrize("family", ["falkenauer-u", "scholl-1"])
def test_as_few_bars_as_or_tools(family):
    """Families whose bars are short enough for an arc-flow model to be solved to the end."""
    for number in range(2):
        items, room = FAMILIES[family](random.Random(f"or/{family}/{number}"))
        plan = best_plan(job_of(items, room))
        theirs = bars_by_or_tools(plan.job, plan.bars)
        assert theirs is not None, "OR-tools did not finish: draw a smaller instance"
        assert plan.bars <= Fraction(101, 100) * theirs
        assert plan.least / room <= theirs <= plan.bars


def patterns(sizes: list[int], counts: list[int], room: int) -> list[tuple[int, ...]]:
    """Every way to fill a bar that leaves no room for a further piece of the smallest kind or more."""
    if not sizes:
        return [()]
    return [(times, *rest) for times in range(min(counts[0], room // sizes[0]) + 1) for rest in patterns(
        sizes[1:], counts[1:], room - times * sizes[0],
    )]


@pytest.mark.parametrize("number", range(8))
def test_several_stock_lengths_cost_what_or_tools_says(number):
    """Small jobs with counted and priced stock: OR-tools picks among all patterns there are."""
    pywraplp = pytest.importorskip("ortools.linear_solver.pywraplp")
    chance = random.Random(f"stocks/{number}")
    sizes = sorted(chance.sample(range(20, 90), 4), reverse=True)
    counts = [chance.randint(1, 9) for _ in sizes]
    stocks = ((200, None, 100), (140, 3, 55), (100, None, chance.randint(45, 60)))
    job = Job(
        tuple(Piece("", Fraction(size), count) for size, count in zip(sizes, counts)),
        tuple(Stock("", Fraction(length), count, Fraction(price)) for length, count, price in stocks), aim="price",
    )
    solver = pywraplp.Solver.CreateSolver("SCIP")
    uses = [
        (stock, pattern, solver.IntVar(0, 99, "")) for stock, (length, _, _) in enumerate(stocks)
        for pattern in patterns(sizes, counts, length)
    ]
    for kind, count in enumerate(counts):
        solver.Add(sum(pattern[kind] * var for _, pattern, var in uses) >= count)
    solver.Add(sum(var for stock, _, var in uses if stock == 1) <= 3)
    solver.Minimize(sum(stocks[stock][2] * var for stock, _, var in uses))
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    theirs = round(solver.Objective().Value())
    plan = best_plan(job)
    assert plan.least <= theirs <= plan.cost <= Fraction(101, 100) * theirs


lengths = st.integers(1, 60 * 32).map(lambda count: Fraction(count, 32) * INCH) | st.integers(1, 1500).map(
    lambda count: Fraction(count, 1000),
)
some_pieces = st.lists(st.builds(Piece, st.just(""), lengths, st.integers(0, 12)), min_size=1, max_size=8)
some_stock = st.lists(
    st.builds(
        Stock, st.just(""), st.sampled_from([Fraction(60) * INCH, Fraction(96) * INCH, Fraction(6), Fraction(2)]),
        st.none() | st.integers(1, 6),
    ),
    min_size=1, max_size=3,
)
small = st.integers(0, 16).map(lambda count: Fraction(count, 32) * INCH)


@given(some_pieces, some_stock, small, small, st.sampled_from(["length", "bars"]), st.booleans())
@settings(max_examples=60, deadline=None)
def test_every_plan_adds_up_to_the_last_bit(pieces, stock, kerf, trim, aim, better):
    """Stock = pieces + kerf + trim + remnant in every bar and in all; every piece is cut, none too often; counts are
    kept.
    """
    try:
        job = Job(tuple(pieces), tuple(stock), kerf, trim, Fraction(1, 10), aim)
    except PlanError:
        return
    plan = best_plan(job, 200_000) if better else quick_plan(job)
    if plan is None:
        return
    for each in plan.layouts:
        assert each.length == each.pieces + each.kerf + each.trim + each.remnant
        assert each.remnant >= 0 and each.pieces == sum(job.pieces[kind].length for kind in each.cuts)
        assert 0 <= each.kerf <= len(each.cuts) * kerf and each.kerf >= (len(each.cuts) - 1) * kerf
    cut = Counter()
    for each in plan.layouts:
        for kind in each.cuts:
            cut[kind] += each.times
    assert cut == Counter({row: piece.count for row, piece in enumerate(job.pieces) if piece.count})
    for row, one in enumerate(job.stocks):
        used = sum(each.times for each in plan.layouts if each.stock == row)
        assert one.count is None or used <= one.count
    assert plan.least <= plan.cost
    assert plan.total("length") == plan.total("pieces") + plan.total("kerf") + plan.total("trim") + plan.total(
        "remnant"
    )


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(0, 3), st.integers(0, 40)), min_size=1, max_size=5),
    st.integers(1, 70),
)
@settings(max_examples=80, deadline=None)
def test_the_best_filling_is_the_best_of_all(kinds, room):
    """Against all fillings, counted out one by one."""
    kinds = sorted(kinds, reverse=True)
    sizes, counts, values = [k[0] for k in kinds], [k[1] for k in kinds], [k[2] for k in kinds]
    every = patterns(sizes, counts, room)
    found = most_valuable(sizes, values, counts, room)
    assert found.value == found.above == max(sum(v * n for v, n in zip(values, pattern)) for pattern in every)
    full = fullest(sizes, counts, room)
    assert sum(s * n for s, n in zip(sizes, full)) == max(
        sum(s * n for s, n in zip(sizes, pattern)) for pattern in every
    )
    assert all(n <= most for n, most in zip(full, counts))


def test_the_pair_bound_on_the_example_of_its_kind():
    """Nine pieces over half a bar take nine bars, whatever their sum."""
    assert pair_bound([51], [9], 100) == 9
    assert pair_bound([70, 40], [3, 3], 100) == 5


def test_two_seven_inch_plates_from_a_bar_worked_by_hand():
    """24 in bar, kerf 1/8, no trim: 3 plates of 7 in and 2 cuts use 21-1/4 in; a third cut parts 2-5/8 in."""
    plan = best_plan(Job((Piece("plate", 7 * INCH, 3),), (Stock("bar", 24 * INCH),), INCH / 8))
    (layout,) = plan.layouts
    assert layout.kerf == 3 * INCH / 8 and layout.remnant == Fraction(21, 8) * INCH
    # A rest no wider than the kerf goes with it: 3 x 7 in + 2 x 1/8 in leave 1/16 in of a 21-5/16 in bar.
    (tight,) = best_plan(
        Job((Piece("plate", 7 * INCH, 3),), (Stock("bar", Fraction(341, 16) * INCH),), INCH / 8),
    ).layouts
    assert tight.remnant == 0 and tight.kerf == Fraction(5, 16) * INCH


def test_the_same_job_gives_the_same_plan():
    items, room = scholl_2(random.Random(5))
    assert best_plan(job_of(items, room)) == best_plan(job_of(items, room))


@pytest.mark.parametrize("inputs, field, words", [
    ({"pieces": "7 in | -3"}, "pieces", "whole number from 0 to 5000"),
    ({"pieces": "-7 in | 3"}, "pieces", "from 1/8 in"),
    ({"pieces": "241 in | 1"}, "pieces", "longer than any stock gives; write at most 239-1/2 in (6083.3"),
    ({"pieces": "7 in | 0"}, "pieces", "plan from 1 to 20000"),
    ({"pieces": "\n".join(["7 in | 1"] * 1000)}, "pieces", "1000 rows; give from 1 to 60 rows"),
    ({"stock": "240 in | 1 | |"}, "stock", "your stock gives"),
    ({"stock": "240 in | 0 | |"}, "stock", "there is no bar"),
    ({"aim": "price"}, "stock", "has no price"),
    ({"trim": "6 in", "stock": "12 in | | |"}, "trim", "trim takes the whole bar"),
])
def test_a_job_that_cannot_be_is_told_by_field_and_limit(inputs, field, words):
    with pytest.raises(InputError) as trouble:
        CUT_LIST.answer(inputs)
    assert trouble.value.field == field and words in str(trouble.value)


def test_limits_of_the_planner_itself():
    many = tuple(Piece("", Fraction(number + 1), 1) for number in range(1000))
    with pytest.raises(PlanError, match=f"1000 kinds of pieces; give from 1 to {MOST_KINDS}"):
        Job(many, (Stock("", Fraction(2000)),))
    with pytest.raises(TooLong):
        Job((Piece("", Fraction(3), 1),), (Stock("", Fraction(2)),))
    with pytest.raises(TooLittle):
        Job((Piece("", Fraction(1), 3),), (Stock("", Fraction(2), 1),))
    with pytest.raises(PlanError, match="not below 0"):
        Job((Piece("", Fraction(1), -1),), (Stock("", Fraction(2)),))


def test_stock_long_enough_in_all_but_not_one_by_one_is_told():
    """Two bars of 10 in hold 20 in, but not three pieces of 6 in."""
    result = CUT_LIST.answer({"pieces": "6 in | 3", "stock": "10 in | 2 | |", "kerf": "0 in", "trim": "0 in"})
    assert any(check.level.value == "stop" for check in result.checks)


def test_the_mass_of_a_bar_is_that_of_the_handbook():
    """Flat bar 4 x 3/8 in: 5.10 lb/ft in handbook tables of flat bars; 3/8 in plate weighs 15.31 lb a square foot."""
    mass = float(
        CUT_LIST.answer(
            {"pieces": "120 in | 1", "stock": "120 in | | |", "trim": "0 in", "bar_width": "4 in"},
        )["stock_mass"].amount,
    )
    assert mass / 0.45359237 == pytest.approx(15.31 * 10 * 4 / 12, rel=2e-3)


def test_a_link_without_units_in_millimetres_reads_the_same():
    us = CUT_LIST.answer({"pieces": "10 in | 7", "stock": "100 in | | |"}, "us")
    si = CUT_LIST.answer({"pieces": "254 | 7", "stock": "2540 | | |"}, "si")
    assert us["stock_length"].amount == si["stock_length"].amount == parse("100 in", LENGTH)
