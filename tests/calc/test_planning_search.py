"""The search for better plans: how it ends, what it proves, and what it says where there is no plan.

The least of each job here is counted by hand, or the job is a sheet that was cut up to make it.
"""

from __future__ import annotations

import json
import random
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from calc.core.declare import InputError, Level
from calc.planning.bars import Job, Piece, Plan, Stock, _Bars, best_plan, improved_plans
from calc.planning.cut_list import SHEET_PLAN, ask
from calc.planning.sheets import (
    Sheet,
    SheetJob,
    SheetPiece,
    SheetPlan,
    _Sheets,
    best_sheets,
    improved_sheets,
    quick_sheets,
)
from calc.planning.task import Column
from calc.web import respond


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, **request})))


def bars(pieces: list[tuple[int, int]], stock: list[tuple[int, int | None, int]], aim: str = "price") -> Job:
    """A job in whole units: pieces as (length, count), stock as (length, count, price)."""
    return Job(
        tuple(Piece("", Fraction(length), count) for length, count in pieces),
        tuple(Stock("", Fraction(length), count, Fraction(price)) for length, count, price in stock), aim=aim,
    )


def sheets(pieces: list[tuple[int, int, int]], stock: list[tuple[int, int, int | None]]) -> SheetJob:
    """A job in whole units: pieces as (length, width, count), stock as (length, width, count). Fewest sheets."""
    return SheetJob(
        tuple(SheetPiece("", Fraction(length), Fraction(width), count) for length, width, count in pieces),
        tuple(Sheet("", Fraction(length), Fraction(width), count) for length, width, count in stock), aim="sheets",
    )


def cut(plan: Plan | SheetPlan) -> Counter:
    """How many of each row of the list the plan cuts."""
    found: Counter = Counter()
    for layout in plan.layouts:
        kinds = layout.cuts if isinstance(plan, Plan) else [kind for strip in layout.strips for kind in strip.pieces]
        found.update({kind: count * layout.times for kind, count in Counter(kinds).items()})
    return found


def wanted(job: Job | SheetJob) -> Counter:
    return Counter({row: piece.count for row, piece in enumerate(job.pieces)})


# --- what is proven --------------------------------------------------------------------------------


LONG_AND_SHORT = bars([(2107, 3), (2802, 28)], [(10000, None, 264154), (3977, 5, 100)])
"""A long bar holds 3 of 2802, or 4 pieces where at least two are of 2107; a short bar holds one piece. There is one
way to have four
in a long bar, since only three are of 2107. Eight long bars and five short ones hold 25 + 5 of the 31 pieces; nine
hold 28, and
three short ones the rest."""
LEAST_OF_THEM = 9 * 264154 + 3 * 100


@pytest.mark.parametrize("turned", [False, True], ids=["long first", "short first"])
def test_a_plan_that_all_plans_were_held_against_is_told_to_be_proven(turned):
    job = replace(LONG_AND_SHORT, stocks=LONG_AND_SHORT.stocks[::-1]) if turned else LONG_AND_SHORT
    plan = best_plan(job)
    assert plan.cost == LEAST_OF_THEM and plan.proven and cut(plan) == wanted(job)
    for stock, bar in enumerate(job.stocks):
        assert bar.count is None or sum(layout.times for layout in plan.layouts if layout.stock == stock) <= bar.count


def test_a_search_that_runs_out_of_work_claims_no_proof():
    plan = best_plan(LONG_AND_SHORT, 2_000)
    assert not plan.proven and plan.least <= LEAST_OF_THEM < plan.cost and cut(plan) == wanted(LONG_AND_SHORT)


def test_a_bar_that_costs_next_to_nothing_is_taken_where_it_can_be():
    """9295 fits the dear bar only; three of 2285 are 6855 and fit the other one: 325010 + 1."""
    plan = best_plan(bars([(2285, 3), (9295, 1)], [(10000, None, 325010), (6985, None, 1)]))
    assert plan.cost == 325011 and plan.proven


def cut_up(seed: int, strips: int, size: int, sheets_of_it: int, narrowest: Fraction) -> SheetJob:
    """Square sheets cut up alike: into equal strips, each strip into as many pieces as there are strips, each piece as
    wide as its
    strip or down to a share of it. So as many sheets hold all pieces."""
    chance, rows, wide = random.Random(seed), [], size // strips
    for _ in range(strips):
        ends = [0, *sorted(chance.sample(range(size * 6 // 100, size * 94 // 100), strips - 1)), size]
        rows += [(
            end - start, chance.randint(int(wide * narrowest), wide), sheets_of_it,
        ) for start, end in zip(ends, ends[1:])]
    return sheets(rows, [(size, size, None)])


@pytest.mark.parametrize("seed", range(6))
def test_one_sheet_is_never_said_to_be_too_little_for_the_pieces_it_was_cut_into(seed):
    """Going through every layout of one sheet would take too long for most of these; then only the area may speak."""
    job = cut_up(seed, 4, 1000, 1, Fraction(7, 10))
    for plan in (quick_sheets(job), best_sheets(job, 300_000)):
        assert plan.least == 1 <= plan.sheets == plan.cost <= 2 and cut(plan) == wanted(job)


@pytest.mark.parametrize("seed", range(3))
def test_a_search_that_drops_ways_to_fill_a_strip_still_gives_a_bound_that_holds(seed):
    """Twenty-five kinds on a fine scale have more ways to fill a strip than the search keeps. Eight sheets hold all
    pieces, so the
    least must not be more; they have the area of more than seven, so it must not be less."""
    job = cut_up(seed, 5, 6000, 8, Fraction(9, 10))
    plan = best_sheets(job, 400_000)
    assert plan.least == 8 <= plan.sheets <= 9 and cut(plan) == wanted(job)


def test_a_search_that_stops_adding_patterns_early_still_cuts_every_piece():
    """111 pieces of ten kinds with the area of 1.8 sheets; some rounding needs more rounds of new patterns than it
    gets.
    """
    rows = [
        (205, 44, 3), (172, 104, 9), (130, 58, 9), (129, 64, 9), (130, 267, 20), (63, 118, 20), (105, 74, 9),
        (105, 186, 20), (285, 48, 9), (115, 94, 3),
    ]
    job = sheets(rows, [(1000, 1000, None)])
    plan = best_sheets(job, 300_000)
    assert plan.least == 2 <= plan.sheets <= 3 and cut(plan) == wanted(job)


# --- pieces that nobody wants ------------------------------------------------------------------------


def test_no_piece_is_cut_that_nobody_wants():
    """All five lie on one sheet of 20 x 20, strips of 11 and of 4."""
    job = sheets([(5, 11, 2), (6, 4, 3)], [(20, 20, 2)])
    plan = best_sheets(job, 250_000)
    assert plan.sheets == 1 and plan.proven and cut(plan) == wanted(job)


def test_a_bar_or_sheet_that_yields_only_what_nobody_wants_is_not_taken_and_not_paid_for():
    """Two of 5 are wanted; bars with one, two and one of them are offered: the first and the last go."""
    job = bars([(5, 2)], [(10, None, 7)])
    plan = _Bars(job).plan([(Column(0, ((0, 1),)), 1), (Column(0, ((0, 2),)), 1), (Column(0, ((0, 1),)), 1)], 1)
    assert plan.bars == 1 and plan.cost == 7 and cut(plan) == {0: 2}
    flat = sheets([(5, 5, 2)], [(10, 5, None)])
    # A strip of two in row 1, and the sheet that it is cut from.
    spare = _Sheets(flat).plan([(Column(0, ((0, 2),)), 2), (Column(2, ((1, 1),)), 2)], 1)
    assert spare.sheets == spare.cost == 1 and cut(spare) == {0: 2}


def test_of_a_bar_or_sheet_that_yields_one_too_many_the_rest_is_cut():
    """Five of 3 are wanted; two bars, or two strips of a sheet, with three each are offered."""
    job = bars([(3, 5)], [(10, None, 7)])
    plan = _Bars(job).plan([(Column(0, ((0, 3),)), 2)], 14)
    assert sorted(layout.cuts for layout in plan.layouts) == [(0, 0), (0, 0, 0)] and plan.bars == 2 and plan.cost == 14
    flat = sheets([(3, 5, 5)], [(10, 10, None)])
    spare = _Sheets(flat).plan([(Column(0, ((0, 3),)), 2), (Column(1, ((1, 2),)), 1)], 1)
    assert [
        strip.pieces for layout in spare.layouts for strip in layout.strips
    ] == [(0, 0), (0, 0, 0)] and spare.sheets == 1


# --- no plan ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("search, job", [
    (improved_plans, bars([(6, 3)], [(10, 2, 1)])),
    (improved_sheets, sheets([(60, 60, 3)], [(100, 100, 2)])),
], ids=["bars", "sheets"])
def test_a_search_where_no_plan_can_be_ends_without_one(search, job):
    """Each bar holds one piece of 6, each sheet one of 60 x 60; there are three of them and two bars or sheets."""
    steps = list(search(job, 400_000))
    assert all(plan is None for _, plan in steps)
    progress, _ = steps[-1]
    assert progress.share == 1 and progress.words == "Done"
    assert [each.share for each, _ in steps] == sorted(each.share for each, _ in steps)


@pytest.mark.parametrize("size", [0, 1, 5, "some"])
def test_a_slice_tells_its_last_step_and_whether_a_plan_in_it_is_new(size):
    """A slice of no steps takes one, or the search would stand; so does one of a number that is none."""
    inputs = {
        "pieces": "31 in | 3\n41 in | 28", "stock": "148 in | | 264 | \n59 in | 5 | 1 |", "aim": "price",
        "kerf": "0 in", "trim": "0 in",
    }
    steps, told, taken = list(ask("cut-list", inputs, "us").search()), 0, size if size == 5 else 1
    assert len(steps) > 20
    number = asked("plan-start", calculator="cut-list", inputs=inputs)["search"]
    while told < len(steps):
        part, told = steps[told : told + taken], told + taken
        answer = asked("plan-step", search=number, steps=size)
        assert (answer["share"], answer["words"]) == (part[-1][0].share, part[-1][0].words)
        assert ("spoken" in answer) is any(plan is not None for _, plan in part)
        assert answer["done"] is (told > len(steps))


@pytest.mark.parametrize("place", ["", "second"])
def test_a_better_plan_is_shown_in_the_form_that_asked(place):
    """A page may hold the form twice; the ids of the answer begin with the one that asked."""
    number = asked("plan-start", calculator="cut-list", inputs={"pieces": "5 in | 3"})["search"]
    answer = json.dumps(asked("plan-step", search=number, steps=1, **({"place": place} if place else {})))
    assert ("second-" in answer) is bool(place) and ("cut-list-bars" in answer) is not bool(place)


@pytest.mark.parametrize("calculator, inputs", [
    ("cut-list", {"pieces": "6 in | 3", "stock": "10 in | 2 | |", "kerf": "0 in", "trim": "0 in"}),
    ("sheet-plan", {"pieces": "6 in | 6 in | 3", "stock": "10 in | 10 in | 2 | |", "kerf": "0 in", "trim": "0 in"}),
])
def test_without_a_plan_the_page_says_so_and_has_nothing_to_print(calculator, inputs):
    start = asked("plan-start", calculator=calculator, inputs=inputs)
    for _ in range(100):
        step = asked("plan-step", search=start["search"], steps=5000)
        assert "headline" not in step
        if step["done"]:
            break
    # The page may ask once more; a search that has ended has nothing new to tell.
    assert asked("plan-step", search=start["search"], steps=5) == {"done": True}
    assert asked(
        "plan-paper", calculator=calculator, inputs=inputs,
    )["errors"]["stock"].startswith("There is no plan to print")
    assert asked(
        "plan-file", calculator=calculator, inputs=inputs,
    )["errors"]["stock"].startswith("There is no plan to keep")


def test_sheets_large_enough_in_all_but_not_one_by_one_are_told():
    result = SHEET_PLAN.answer(
        {"pieces": "6 in | 6 in | 3", "stock": "10 in | 10 in | 2 | |", "kerf": "0 in", "trim": "0 in"},
    )
    assert float(result["pieces_count"].amount) == 3 and any(check.level is Level.STOP for check in result.checks)
    assert "large enough in all" in "".join(part for part in result.headline if isinstance(part, str))


def test_less_sheet_than_the_pieces_take_is_told_with_both_areas():
    """Three of 12 in x 12 in are 3 ft2; two sheets of 12 in x 15 in are 2.5 ft2. A kerf of 1/2 in adds half an inch to
    every side, of
    pieces and of what is left of a sheet after a trim of 1/4 in."""
    inputs = {"pieces": "12 in | 12 in | 3", "stock": "12 in | 15 in | 2 | |", "kerf": "0 in", "trim": "0 in"}
    with pytest.raises(InputError, match="the pieces take 3\xa0ft² .*, your sheets give 2.5\xa0ft²") as trouble:
        SHEET_PLAN.answer(inputs)
    assert trouble.value.field == "stock"
    SHEET_PLAN.answer({**inputs, "stock": "12 in | 15 in | 2 | |\n12 in | 12 in | | |"})
    # 3 x 12.5 x 12.5 in2 are 3.25521 ft2; 2 x (12.5 - 1/2 + 1/2) x (15 - 1/2 + 1/2) in2 are 2.60417 ft2.
    with pytest.raises(
        InputError, match=r"take 3.25521\xa0ft² \(0.302419\xa0m²\) .* give 2.60417\xa0ft² \(0.241935\xa0m²\)",
    ):
        SHEET_PLAN.answer({**inputs, "stock": "12.5 in | 15 in | 2 | |", "kerf": "1/2 in", "trim": "1/4 in"})


# --- what is drawn and printed -----------------------------------------------------------------------


def test_the_last_strip_that_ends_at_the_edge_has_no_cut_behind_it():
    """Two strips of 12 fill 24 without a kerf: one cut between them. With a sheet 1 in wider there are two."""
    for width, cuts in (("24 in", 1), ("25 in", 2)):
        result = SHEET_PLAN.answer(
            {"pieces": "24 in | 12 in | 2", "stock": f"24 in | {width} | 1 | |", "kerf": "0 in", "trim": "0 in"},
        )
        (drawing,) = result.drawings
        assert sum(getattr(shape, "look", "") == "cut" for shape in drawing.shapes) == cuts


def test_a_price_is_told_where_the_plan_spares_it():
    """Twelve of 7 in x 6 in: three across 24 in - two trims of 1/4 in in strips of 7 in, and the sheet has room for
    six strips.
    """
    inputs = {"pieces": "7 in | 6 in | 12 | plate", "stock": "48 in | 24 in | | 80 | half sheet", "aim": "price"}
    result = SHEET_PLAN.answer(inputs)
    assert float(result["price"].amount) == 80 * float(
        result["sheets"].amount,
    ) and "Minimum price" in result["least"].label
