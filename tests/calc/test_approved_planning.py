"""Plans as approved: cutting plans at once and improved, what is printed and kept of them, a class's files, the day.

A search counts its work, not time: how far it is and what it says is approved too.
"""

from __future__ import annotations

import itertools
import json
import math
import random
from fractions import Fraction

from calc.show.plot import svg
from calc.planning import bands, bars, knapsack, sheets, task
from calc.planning.cut_list import sheet_drawings
from calc.core.units import MASS
from calc.web import respond
from tests import approval

FORMS = {
    "bars": ("cut-list", {}),
    "bars that are counted": (
        "cut-list",
        {
            "pieces": "7 in | 5 | plate\n10-1/2 in | 3 | \n5-1/4 in | 4 | =tack",
            "stock": "40 in | 2 | 9.5 | short\n60 in | 1 | 13 | long\n92 in | | 21 |",
            "aim": "price",
            "kerf": "3/32 in",
            "least_remnant": "4 in",
        },
    ),
    "bars in millimeters": (
        "cut-list",
        {
            "pieces": "180 mm | 11 | a\n265 mm | 7 | b\n133 mm | 0 | none\n90 mm | 13 | c",
            "stock": "1000 mm | | | bar",
            "aim": "bars",
            "trim": "0 in",
            "kerf": "2 mm",
        },
    ),
    "bars that do not suffice": (
        "cut-list",
        {"pieces": "30 in | 3 | a", "stock": "50 in | 2 | | b\n20 in | 9 | | c", "trim": "0 in"},
    ),
    "sheets": ("sheet-plan", {}),
    "sheets that are counted": (
        "sheet-plan",
        {
            "pieces": "7 in | 4 in | 9 | plate\n10-1/2 in | 3 in | 5 | long\n6 in | 6 in | 2 | square",
            "stock": "24 in | 20 in | 2 | 30 | small\n48 in | 24 in | | 55 | large",
            "aim": "price",
            "kerf": "1/8 in",
        },
    ),
    "sheets, fewest": (
        "sheet-plan",
        {
            "pieces": "200 mm | 120 mm | 14 | a\n90 mm | 60 mm | 11 | b",
            "stock": "600 mm | 400 mm | | | s",
            "aim": "sheets",
            "trim": "0 in",
        },
    ),
}


def asked(do: str, name: str, **more: object) -> dict:
    calculator, inputs = FORMS[name]
    return json.loads(respond(json.dumps({"do": do, "calculator": calculator, "inputs": inputs, **more})))


def test_what_is_kept_and_printed_of_plans_is_as_approved():
    told = {}
    for name in ("bars that are counted", "bars in millimeters", "sheets that are counted"):
        for what in ("shopping", "cutting"):
            answer = asked("plan-paper", name, page=what)
            told[f"{name}, {what}"] = [str(answer["errors"]), *approval.page_lines(answer.get("html", ""))]
        for what in ("csv", "json"):
            answer = asked("plan-file", name, kind=what)
            lines = approval.table_lines(answer.pop("text", ""), 12, "\r\n" if what == "csv" else "\n")
            told[f"{name}, {what}"] = [str(answer), *lines]
    for name in ("bars that do not suffice", "sheets, fewest"):
        told[f"{name}, shopping"] = approval.page_lines(asked("plan-paper", name, page="shopping").get("html", ""))
    approval.check("planning/kept.txt", approval.parts(told))


def test_what_is_kept_of_a_class_is_as_approved():
    told = {}
    for kind in ("csv", "timetable", "json", "order", "times"):
        on_paper = kind in ("order", "times")
        page = "timetable" if kind == "times" else kind
        request = {
            "do": "plan-paper" if on_paper else "plan-file", "kind": kind, "page": page, "calculator": "class-plan",
        }
        answer = json.loads(respond(json.dumps({**request, "inputs": {"roster": "1-2, Ada | 3G 4G", "steel_price": ""}})))
        text = answer.pop("text", "") + answer.pop("html", "")
        lines = approval.page_lines(text) if on_paper else approval.table_lines(text, 40, "\n")
        told[kind] = [str(answer), *lines]
    approval.check("planning/class.txt", approval.parts(told))


# --- the searches -------------------------------------------------------------------


def layouts(plan) -> list[str]:
    if plan is None:
        return ["no plan"]
    head = f"cost {float(plan.cost):.5g}, least {float(plan.least):.5g}, proven {plan.proven}"
    if hasattr(plan, "bars"):
        return [
            f"{head}, {plan.bars} bars, kept {float(plan.kept):.5g}, gap {float(plan.gap):.4f}",
            *(
                f"  {each.times} x {each.stock}: {each.cuts} "
                f"kerf {float(each.kerf):.5g} remnant {float(each.remnant):.5g}"
                for each in plan.layouts
            ),
        ]
    return [
        f"{head}, {plan.sheets} sheets",
        *(
            f"  {each.times} x {each.sheet} {'along' if each.lengthwise else 'across'}: "
            + "; ".join(f"{float(strip.width):.4g} {strip.pieces}" for strip in each.strips)
            for each in plan.layouts
        ),
    ]


def bar_job(seed: int) -> bars.Job:
    """Bars of several lengths, some of them counted, by a seed."""
    chance = random.Random(seed)
    kinds = chance.randint(3, 12)
    pieces = tuple(bars.Piece(f"p{n}", Fraction(chance.randint(8, 70)), chance.randint(1, 14)) for n in range(kinds))
    stocks = [bars.Stock("long", Fraction(chance.choice((100, 120, 144))), None, Fraction(chance.randint(20, 30)))]
    if seed % 2:
        stocks.append(
            bars.Stock(
                "short",
                Fraction(chance.choice((72, 75, 80))),
                chance.randint(1, 6) if seed % 3 else None,
                Fraction(chance.randint(12, 20)),
            )
        )
    if seed % 5 == 0:
        stocks.append(bars.Stock("rest", Fraction(90), 2, Fraction(9)))
    aim = ("length", "bars", "price")[seed % 3]
    return bars.Job(
        pieces, tuple(stocks), Fraction(chance.choice((0, 1, 2))), Fraction(chance.choice((0, 1))), Fraction(12), aim
    )


def sheet_job(seed: int) -> sheets.SheetJob:
    chance = random.Random(seed)
    pieces = tuple(
        sheets.SheetPiece(
            f"p{n}", Fraction(chance.randint(5, 30)), Fraction(chance.randint(4, 20)), chance.randint(1, 9)
        )
        for n in range(chance.randint(2, 6))
    )
    stock = [sheets.Sheet("large", Fraction(60), Fraction(chance.choice((36, 48, 60))), None, Fraction(70))]
    if seed % 2:
        stock.append(sheets.Sheet("small", Fraction(36), Fraction(24), chance.randint(1, 3), Fraction(19)))
    aim = ("area", "sheets", "price")[seed % 3]
    return sheets.SheetJob(
        pieces, tuple(stock), Fraction(chance.choice((0, 1))), Fraction(chance.choice((0, 1))), Fraction(0), aim
    )


def course(search) -> list[str]:
    """The course of a search: what it says, how far it is, what the best plan costs; and the last plan found.

    Some steps are told one by one; the shares added up tell of a change in any other.
    """
    items = list(search)
    plans = [plan for _, plan in items if plan is not None]
    some = items[:: max(1, len(items) // 5)] + items[-1:]
    lines = [f"{progress.words} {progress.share:.5f}: {progress.cost} of {progress.least}" for progress, _ in some]
    shares = math.fsum(progress.share for progress, _ in items)
    costs = math.fsum(float(plan.cost) for plan in plans)
    head = f"{len(items)} steps, {len(plans)} plans of {costs:.7g}, shares of {shares:.5f}"
    return [head, *lines, *layouts(plans[-1] if plans else None)]


def test_the_search_for_bars_is_as_approved():
    told = {}
    for seed in range(12):
        job = bar_job(seed)
        told[f"seed {seed}"] = [*layouts(bars.quick_plan(job)), *course(bars.improved_plans(job, 400_000))]
    approval.check("planning/bars.txt", approval.parts(told))


def test_the_search_for_sheets_is_as_approved():
    told = {}
    for seed in range(8):
        job = sheet_job(seed)
        quick = sheets.quick_sheets(job)
        drawings = sheet_drawings(quick)[:1] if seed < 3 else []
        told[f"seed {seed}"] = [*layouts(quick), *course(sheets.improved_sheets(job, 150_000))]
        told[f"seed {seed}"] += [line for each in drawings for line in approval.drawn_by_look(svg(each))]
    approval.check("planning/sheets.txt", approval.parts(told))


def test_a_search_that_drops_ways_to_fill_a_bar_or_a_strip_is_as_approved():
    """On a fine scale there are more ways to fill one than a search keeps."""
    chance = random.Random("fine")
    pieces = tuple(bars.Piece("", Fraction(chance.randint(20_000, 35_000)), chance.randint(1, 2)) for _ in range(32))
    stock = (bars.Stock("", Fraction(100_000), None, Fraction(103)), bars.Stock("", Fraction(64_000), 4, Fraction(60)))
    told = {"bars": course(bars.improved_plans(bars.Job(pieces, stock, aim="price"), 900_000))}
    chance = random.Random("fine strips")
    flat = tuple(
        sheets.SheetPiece(
            "", Fraction(chance.randint(400, 2000)), Fraction(chance.randint(300, 1200)), chance.randint(1, 9)
        )
        for _ in range(24)
    )
    job = sheets.SheetJob(flat, (sheets.Sheet("", Fraction(6001), Fraction(6001)),))
    told["strips"] = course(sheets.improved_sheets(job, 900_000))
    approval.check("planning/fine-scale.txt", approval.parts(told))


def test_fillings_are_as_approved():
    chance, lines = random.Random(0), []
    for _ in range(40):
        sizes = sorted((chance.randint(2, 40) for _ in range(chance.randint(2, 9))), reverse=True)
        limits = [chance.randint(0, 5) for _ in sizes]
        worth = [chance.randint(0, 60) for _ in sizes]
        room, floor, widest = chance.randint(20, 120), chance.choice((0, 0, 40)), chance.choice((3, 8, 4000))
        found = knapsack.most_valuable(sizes, worth, limits, room, floor, widest)
        greedy, fullest = knapsack.greedy(sizes, limits, room), knapsack.fullest(sizes, limits, room)
        lines.append(f"{sizes} {limits} in {room}: greedy {greedy}, fullest {fullest}")
        best = f"{found.value} of {found.above} by {found.counts} after {found.visited}"
        lines.append(f"  worth {worth} over {floor}: {best}; {found.others}")
        lines.append(f"  at least {bars.pair_bound(sizes, limits, room)}")
    approval.check("planning/fillings.txt", lines)


def test_choices_of_stock_are_as_approved():
    """The cheapest choices of stock that hold all by size, and what prices ask of the stock."""
    told = {}
    for seed in range(6):
        own = bars._Bars(bar_job(seed)).task
        found = itertools.islice(task.mixes(own, [task.need_by_size(own)]), 8)
        need, work = task.need_at(own, [size / 9 for size in own.sizes])
        told[f"seed {seed}"] = [*(f"{cost}: {mix}" for cost, mix in found), f"{need} by {work}"]
    approval.check("planning/choices.txt", approval.parts(told))


def refused(make) -> str:
    try:
        make()
    except (bars.PlanError, ValueError) as trouble:
        return f"{type(trouble).__name__} {getattr(trouble, 'part', '')} {getattr(trouble, 'row', '')}: {trouble}"
    return "taken"


def test_bars_that_cannot_be_planned_are_refused_as_approved():
    a, bar, priced = (
        bars.Piece("a", Fraction(5), 2),
        bars.Stock("b", Fraction(20)),
        bars.Stock("b", Fraction(20), None, Fraction(3)),
    )
    none, few = bars.Stock("n", Fraction(50), 0), bars.Stock("f", Fraction(11), 1)
    jobs = {
        "no pieces": ((), (bar,)),
        "no stock": ((a,), ()),
        "100 kinds": ((a,) * 100, (bar,)),
        "101 kinds": ((a,) * 101, (bar,)),
        "12 stocks": ((a,), (bar,) * 12),
        "13 stocks": ((a,), (bar,) * 13),
        "no length": ((a, bars.Piece("z", Fraction(0), 1)), (bar,)),
        "less than none": ((a, bars.Piece("z", Fraction(1), -1)), (bar,)),
        "a row of none": ((a, bars.Piece("z", Fraction(1), 0)), (bar,)),
        "stock without length": ((a,), (bar, bars.Stock("z", Fraction(0)))),
        "stock less than none": ((a,), (bar, bars.Stock("z", Fraction(9), -1))),
        "no bar": ((a,), (none,)),
        "none and some": ((a,), (none, bar)),
        "none wanted": ((bars.Piece("a", Fraction(5), 0),), (bar,)),
        "20000 pieces": ((bars.Piece("a", Fraction(5), 20_000),), (bar,)),
        "20001 pieces": ((bars.Piece("a", Fraction(5), 20_001),), (bar,)),
        "as long as the bar": ((bars.Piece("a", Fraction(20), 1),), (bar,)),
        "longer": ((a, bars.Piece("a", Fraction(201, 10), 1)), (bar,)),
        "longer than what is there": ((bars.Piece("a", Fraction(21), 1),), (none, bar)),
        "just enough": ((bars.Piece("a", Fraction(5), 2),), (few,)),
        "too little": ((bars.Piece("a", Fraction(6), 2),), (few,)),
    }
    lines = [f"{name}: {refused(lambda job=job: bars.Job(*job))}" for name, job in jobs.items()]
    for more in (
        {"kerf": Fraction(-1)},
        {"trim": Fraction(-1)},
        {"least_remnant": Fraction(-1)},
        {"aim": "beauty"},
        {"aim": "price"},
        {"kerf": Fraction(1)},
        {"trim": Fraction(15, 2)},
        {"trim": Fraction(8)},
    ):
        lines.append(f"{more}: {refused(lambda more=more: bars.Job((a,), (bar,), **more))}")
    lines.append(f"priced: {refused(lambda: bars.Job((a,), (priced,), aim='price'))}")
    lines.append(f"one price missing: {refused(lambda: bars.Job((a,), (priced, bar), aim='price'))}")
    free, five = bars.Stock("b", Fraction(20), None, Fraction(0)), bars.Piece("a", Fraction(5), 2)
    lines.append(f"a price of nothing: {refused(lambda: bars.Job((a,), (free,), aim='price'))}")
    lines.append(f"kerf in counted stock: {refused(lambda: bars.Job((five,), (few,), kerf=Fraction(2)))}")
    approval.check("planning/refused-bars.txt", lines)


def test_sheets_that_cannot_be_planned_are_refused_as_approved():
    piece, sheet = sheets.SheetPiece("a", Fraction(5), Fraction(3), 2), sheets.Sheet("s", Fraction(20), Fraction(10))

    def other(long=5, wide=3, count=1):
        return sheets.SheetPiece("z", Fraction(long), Fraction(wide), count)

    jobs = {
        "no pieces": ((), (sheet,)),
        "no sheet": ((piece,), ()),
        "30 kinds": ((piece,) * 30, (sheet,)),
        "31 kinds": ((piece,) * 31, (sheet,)),
        "6 sheets": ((piece,), (sheet,) * 6),
        "7 sheets": ((piece,), (sheet,) * 7),
        "no length": ((piece, other(0)), (sheet,)),
        "no width": ((piece, other(5, 0)), (sheet,)),
        "less than none": ((piece, other(count=-1)), (sheet,)),
        "a row of none": ((piece, other(count=0)), (sheet,)),
        "none wanted": ((other(count=0),), (sheet,)),
        "5000 pieces": ((other(count=5000),), (sheet,)),
        "5001 pieces": ((other(count=5001),), (sheet,)),
        "sheet without width": ((piece,), (sheet, sheets.Sheet("z", Fraction(3), Fraction(0)))),
        "sheet less than none": ((piece,), (sheet, sheets.Sheet("z", Fraction(3), Fraction(3), -1))),
        "none there": ((piece,), (sheets.Sheet("z", Fraction(30), Fraction(30), 0),)),
        "as large as the sheet": ((other(20, 10),), (sheet,)),
        "turned": ((other(10, 20),), (sheet,)),
        "wider": ((piece, other(20, 11)), (sheet,)),
        "too large for what is there": ((other(21, 10),), (sheet, sheets.Sheet("z", Fraction(30), Fraction(30), 0))),
        "too large, but none wanted": ((piece, other(99, 99, 0)), (sheet,)),
    }
    lines = [f"{name}: {refused(lambda job=job: sheets.SheetJob(*job))}" for name, job in jobs.items()]
    priced = sheets.Sheet("p", Fraction(20), Fraction(10), None, Fraction(1))
    lines.append(f"one price missing: {refused(lambda: sheets.SheetJob((piece,), (priced, sheet), aim='price'))}")
    lines.append(f"trim: {refused(lambda: sheets.SheetJob((other(18, 8),), (sheet,), trim=Fraction(1)))}")
    lines.append(f"more trim: {refused(lambda: sheets.SheetJob((other(18, 8),), (sheet,), trim=Fraction(11, 10)))}")
    lines += [
        str(sheets.SheetJob((piece,), (sheet, sheets.Sheet("q", Fraction(9), Fraction(9))), trim=Fraction(1)).ways())
    ]
    approval.check("planning/refused-sheets.txt", lines)


def test_a_search_in_slices_is_as_approved():
    pieces = "23 in | 9 | a; 31 in | 7 | b; 17 in | 5 | c"
    parts = {}
    for steps in (1, 3, "many", "none told", 10_000):
        told = json.loads(
            respond(json.dumps({"do": "plan-start", "calculator": "cut-list", "inputs": {"pieces": pieces}}))
        )
        lines = [str(sorted(told)), str(told["errors"])]
        for _ in range(4):
            request = {
                "do": "plan-step",
                "search": told["search"],
                **({} if steps == "none told" else {"steps": steps}),
            }
            step = json.loads(respond(json.dumps(request)))
            share = f"{step.get('share', 0):.5f}"
            lines.append(
                f"{step.get('done')} {step.get('gone')} {share} {step.get('words')} {step.get('spoken', {}).get('us')}"
            )
        lines.append(str(json.loads(respond(json.dumps({"do": "plan-step", "search": told["search"] + 1})))))
        wrong = json.dumps({"do": "plan-start", "calculator": "cut-list", "inputs": {"kerf": "x"}})
        parts[f"{steps} steps"] = [*lines, str(json.loads(respond(wrong)))]
    approval.check("planning/slices.txt", approval.parts(parts))


# --- estimates --------------------------------------------------------------


def test_bands_and_their_drawing_are_as_approved():
    inputs = {
        "a": bands.Band(2, 3, 5),
        "b": bands.Band(4, 4, 4),
        "c": bands.Band(Fraction(1, 2), 1, Fraction(3, 2)),
        "d": bands.Band(10, 11, 11),
    }
    models = (
        lambda x: {"mass": x["a"] * x["b"] / x["c"]},
        lambda x: {"mass": x["a"] - x["c"] + x["d"]},
        lambda x: {"mass": x["b"]},
        lambda x: {"mass": x["a"] * x["d"], "other": 1 / x["c"] + x["a"]},
        lambda x: {"mass": 0 * x["b"]},
    )
    told = {}
    for case, model in enumerate(models):
        found = bands.swings(model, inputs)
        lines = told.setdefault(f"case {case}", [])
        for name, each in found.items():
            band = bands.banded(model, inputs, found)[name]
            lines.append(f"{name}: {float(band.low):.6f} {float(band.likely):.6f} {float(band.high):.6f}")
            lines += [f"  {swing.name}: {swing.at_low:.6f} {swing.at_high:.6f} {swing.width:.6f}" for swing in each]
            labels = {key: f"input {key}" for key in inputs}
            lines += approval.drawn_by_look(
                svg(bands.tornado("moves", name, each, float(band.likely), labels, MASS, 3))
            )
    approval.check("planning/bands.txt", approval.parts(told))
