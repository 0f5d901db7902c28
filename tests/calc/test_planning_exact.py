"""The arithmetic under a plan: bounds against a linear program solved elsewhere, payable costs by plain counting, and
edges of a job.

The linear program has a column for every way to cut a bar, so nothing is left to a search.
"""

from __future__ import annotations

import itertools
import json
import random
import re
from fractions import Fraction

import numpy
import pytest
from scipy.optimize import linprog

from calc.core.declare import InputError
from calc.planning import knapsack, layings, program, search, task
from calc.planning.bars import Job, Piece, Stock, TooLittle, _Bars, best_plan, improved_plans, pair_bound, quick_plan
from calc.planning.cut_list import CUT_LIST, best_known, remember
from calc.planning.sheets import Sheet, SheetJob, SheetPiece, best_sheets, quick_sheets
from calc.planning.task import SCALE, Need, mixes, need_at, need_by_size
from calc.web import respond


def small_job(seed: int) -> Job:
    """Two to four kinds of pieces and up to three kinds of bars, some of them counted; the least price is asked."""
    chance = random.Random(f"exact/{seed}")
    sizes = sorted(chance.sample(range(9, 50), chance.randint(2, 4)), reverse=True)
    stocks = [(100, None, chance.randint(19, 30))]
    stocks += [(
        chance.randint(50, 99), chance.choice((None, 0, 1, 2, 3, 5)), chance.randint(5, 18),
    ) for _ in range(seed % 3)]
    return Job(
        tuple(Piece("", Fraction(size), chance.randint(1, 9)) for size in sizes),
        tuple(Stock("", Fraction(length), count, Fraction(price)) for length, count, price in stocks), aim="price",
    )


def ways(pieces: tuple[Piece, ...], room: int) -> list[tuple[int, ...]]:
    """Every way to fill a bar with pieces that are wanted, full or not."""
    if not pieces:
        return [()]
    size, most = int(pieces[0].length), pieces[0].count
    return [(count, *rest) for count in range(min(most, room // size) + 1) for rest in ways(
        pieces[1:], room - count * size,
    )]


def relaxed(job: Job) -> tuple[float, list[float], list[float]]:
    """The least price where bars may be taken in parts, and what one more piece of each kind would add to it, and
    the bars taken of each stock.
    """
    columns_, costs, owners = [], [], []
    for place, stock in enumerate(job.stocks):
        for way in ways(job.pieces, int(stock.length)):
            columns_.append(way)
            costs.append(float(stock.price))
            owners.append(place)
    counted = [place for place, stock in enumerate(job.stocks) if stock.count is not None]
    rows = [*(-numpy.array(columns_, dtype=float).T), *(
        numpy.array([float(owner == place) for owner in owners]) for place in counted
    )]
    limits = [*(-float(piece.count) for piece in job.pieces), *(float(job.stocks[place].count) for place in counted)]
    found = linprog(costs, A_ub=numpy.array(rows), b_ub=limits)
    taken = [sum(use for use, owner in zip(found.x, owners) if owner == place) for place in range(len(job.stocks))]
    return found.fun, [-float(each) for each in found.ineqlin.marginals[: len(job.pieces)]], taken


@pytest.mark.parametrize("seed", range(12))
def test_a_need_holds_for_every_choice_of_stock_in_parts_and_its_own_prices_rule_out_what_costs_less(seed):
    """At the prices of the linear program the cheapest stock in parts that meets the need costs as much as the program
    says; at other prices the stock that the program takes meets the need all the same.
    """
    job = small_job(seed)
    task, (least, prices, taken) = _Bars(job).task, relaxed(job)
    chance = random.Random(seed)
    own, _ = need_at(task, prices)
    others = [need_at(task, [max(0.0, price + chance.uniform(-2, 3)) for price in prices])[0] for _ in range(4)]
    counts = {task.kinds + place: count for place, count in enumerate(taken)}
    for need in (own, *others):
        assert sum(need.tops[row] * count for row, count in counts.items()) >= need.load * (1 - 1e-6)
    found = linprog(
        [float(stock.price) for stock in job.stocks], A_ub=[[-own.tops[row] / SCALE for row in counts]],
        b_ub=[-own.load / SCALE], bounds=[(0, stock.count) for stock in job.stocks],
    )
    assert found.fun == pytest.approx(least, rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_the_search_comes_to_the_least_with_bars_in_parts(seed):
    """Where its bound is found, it is that of a linear program over all patterns, in whole prices; and no plan lies
    under it.
    """
    job = small_job(seed)
    steps = list(improved_plans(job, 300_000))
    unit, (least, *_) = _Bars(job).cost_unit, relaxed(job)
    plan = next(plan for _, plan in reversed(steps) if plan)
    if any(progress.words == "Bound found" for progress, _ in steps):
        assert plan.least >= least - 1e-6
    assert plan.least <= plan.cost and steps[-1][0].least * unit == plan.least


@pytest.mark.parametrize("seed", range(30))
def test_choices_of_stock_by_plain_counting(seed):
    """All numbers of bars there can be, counted out: those that are as long as all pieces together, the cheapest
    first. A need that comes later rules out what it rules out, and nothing else is left out.
    """
    job = small_job(seed)
    task = _Bars(job).task
    sized, chance = need_by_size(task), random.Random(seed)
    later = Need(sized.load * 5 // 4, {row: top * chance.randint(8, 12) // 10 for row, top in sized.tops.items()})
    rows = [task.kinds + place for place in range(len(job.stocks))]
    most = [min(-task.wanted[row], 12) for row in rows]
    cost = lambda counts: sum(blank.cost * count for blank, count in zip(task.blanks, counts))  # noqa: E731
    limit = cost(most) // max(1, len(rows)) // 2
    all_of_them = [
        counts for counts in itertools.product(*(range(each + 1) for each in most)) if cost(counts) <= limit
    ]
    for known in (0, 3):
        needs, found = [sized], []
        for price, mix in mixes(task, needs):
            if price > limit:
                break
            if len(found) == known:
                needs.append(later)
            if all(need.met(mix) for need in needs):
                found.append(tuple(mix[row] for row in rows))
        first, rest = set(found[:known]), set(found[known:])
        assert [cost(counts) for counts in found] == sorted(map(cost, found))
        met = [counts for counts in all_of_them if sized.met(dict(zip(rows, counts)))]
        assert rest >= {counts for counts in met if later.met(dict(zip(rows, counts)))} - first
        assert all(counts in met for counts in found)


def test_too_many_choices_of_stock_are_told_by_what_the_rest_costs_at_least():
    """Twelve stocks at prices close to each other: after so many beginnings there is only a least, again and again."""
    stocks = tuple(Stock("", Fraction(10_000 + place), None, Fraction(1_000_003 + 7 * place)) for place in range(12))
    task = _Bars(Job((Piece("", Fraction(3000), 5000),), stocks, aim="price")).task
    found = mixes(task, [need_by_size(task)])
    last = [(price, mix) for price, mix in itertools.islice(found, 30_000)][-2:]
    assert last[0] == last[1] and last[0][1] is None and last[0][0] >= 1500 * 1_000_003


def test_no_plan_hangs_on_how_sum_rounds(monkeypatch):
    """Python adds floats by sum() in another way from 3.12 on; whole numbers and fractions it adds alike."""
    def added(items, start=0):
        items = list(items)
        assert not any(isinstance(each, float) for each in items), "sum() of floats"
        return sum(items, start)

    for module in (knapsack, layings, program, search, task):
        monkeypatch.setattr(module, "sum", added, raising=False)
    job = Job(
        tuple(Piece("", Fraction(size), 7) for size in (61, 47, 33, 21)),
        (Stock("", Fraction(144), 4), Stock("", Fraction(120))), Fraction(1),
    )
    flat = SheetJob(
        tuple(SheetPiece("", Fraction(a), Fraction(b), 5) for a, b in ((27, 19), (22, 13), (15, 8))),
        (Sheet("", Fraction(60), Fraction(48)),),
    )
    assert best_plan(job, 400_000).bars and best_sheets(flat, 200_000).sheets


# --- bounds without a search -----------------------------------------------------------------------


@pytest.mark.parametrize("stocks, proven", [
    ([(100, None, 5)], True), ([(100, None, 5), (100, 3, 5)], True), ([(100, None, 5), (100, None, 6)], False),
    ([(100, None, 5), (90, None, 5)], False),
    ([(100, None, 5), (101, 0, 1)], False),
])
def test_pieces_over_half_a_bar_take_a_bar_each_where_all_bars_are_alike(stocks, proven):
    """Nine pieces of 51 and 52 have the length of less than five bars of 100. One length and one price of bar: nine
    are proven at once.
    A bar that is not there lowers nothing."""
    job = Job(
        (Piece("", Fraction(52), 1), Piece("", Fraction(51), 8)),
        tuple(Stock("", Fraction(length), count, Fraction(price)) for length, count, price in stocks), aim="price",
    )
    plan = quick_plan(job)
    assert plan.bars == 9 and plan.cost == 45 and plan.proven is proven
    assert plan.least == (45 if proven else 25)


def test_the_pair_bound_against_all_ways_to_share_bars():
    """Small lists, every way to put the pieces into bars tried: never more than the fewest, and most often that."""
    chance, hits = random.Random(7), 0

    def fewest(pieces: list[int], rooms: list[int]) -> int:
        if not pieces:
            return len(rooms)
        first, *rest = pieces
        found = [fewest(
            rest, [*rooms[:at], left - first, *rooms[at + 1 :]],
        ) for at, left in enumerate(rooms) if left >= first]
        return min([*found, fewest(rest, [*rooms, 20 - first])])

    for _ in range(40):
        pieces = sorted((chance.randint(3, 20) for _ in range(5)), reverse=True)
        bound, true = pair_bound(pieces, [1] * 5, 20), fewest(pieces, [])
        assert bound <= true
        hits += bound == true
    assert hits >= 36


@pytest.mark.parametrize("capacity, counts", [(1 << 21, [0, 2]), ((1 << 21) + 1, [1, 0])])
def test_a_length_of_very_many_units_is_filled_largest_first(capacity, counts):
    """Two halves fill it; the piece well over half comes first and leaves no room for one."""
    half = capacity // 2
    assert knapsack.fullest([half + 9, half], [1, 2], capacity) == counts


@pytest.mark.parametrize("most", range(1, 12))
def test_every_number_of_pieces_can_be_the_fullest(most):
    for count in range(most + 3):
        assert knapsack.fullest([7], [most], 7 * count + 5) == [min(count, most)] == knapsack.greedy(
            [7], [most], 7 * count + 5,
        )


# --- edges of a job --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "inputs, given",
    [
        (
            {"pieces": "6 in | 3", "stock": "10 in | 1 | |\n1/8 in | 9 | |", "kerf": "0 in", "trim": "1 in"},
            "8 in (203.2 mm)",
        ),
        (
            {"pieces": "6 in | 3", "stock": "10 in | 1 | |\n2 in | 9 | |", "kerf": "1/2 in", "trim": "1 in"},
            "13 in (330.2 mm)",
        ),
    ],
)
def test_the_length_that_the_stock_gives_is_told(inputs, given):
    """10 in less two trims of 1 in is 8 in. A bar that the trims take whole gives nothing, or its kerf: 8-1/2 in and
    nine times 1/2 in.
    """
    with pytest.raises(InputError, match="your stock gives") as trouble:
        CUT_LIST.answer(inputs)
    assert f"your stock gives {given}" in str(trouble.value).replace("\u00a0", " ")


def test_a_piece_a_little_too_long_for_a_short_bar_is_told_its_limit():
    with pytest.raises(InputError) as trouble:
        CUT_LIST.answer({"pieces": "12 in | 1", "stock": "12 in | | |", "trim": "1/4 in"})
    assert trouble.value.field == "pieces" and "write at most 11-1/2 in" in str(trouble.value)


def test_a_sheet_as_narrow_as_its_trims_gives_nothing():
    """10 x 10 less trims of 1 is 8 x 8, 64 in all; 3 x 10 leaves 1 x 8, 2 x 10 nothing. Three of 6 x 6 take 108."""
    piece = SheetPiece("", Fraction(6), Fraction(6), 3)
    for narrow, given in ((2, 64), (3, 72)):
        with pytest.raises(ValueError) as trouble:
            SheetJob(
                (piece,), (Sheet("", Fraction(10), Fraction(10), 1), Sheet("", Fraction(10), Fraction(narrow), 1)),
                trim=Fraction(1),
            )
        assert trouble.value.given == given and trouble.value.needed == 108


@pytest.mark.parametrize(
    "pieces",
    [
        [(10, 10, 1)], [(10, 5, 2)], [(5, 10, 2)], [(5, 5, 4)], [(10, 7, 1), (10, 3, 1)], [(6, 10, 1), (4, 10, 1)],
        [(6, 7, 1), (4, 7, 1), (5, 3, 2)],
    ],
)
@pytest.mark.parametrize("kerf, side", [(0, 10), (1, 10), (1, 11)])
def test_a_sheet_filled_to_its_edges_is_enough(pieces, kerf, side):
    """Each list covers 10 x 10. With a kerf of 1 one sheet of 10 holds a list of one piece, one of 11 those that are
    parted once each way.
    """
    job = SheetJob(
        tuple(SheetPiece("", Fraction(a), Fraction(b), count) for a, b, count in pieces),
        (Sheet("", Fraction(side), Fraction(side)),), Fraction(kerf), aim="sheets",
    )
    enough = not kerf or side == 11 or pieces == [(10, 10, 1)]
    plan = quick_sheets(job)
    assert plan.least == (1 if enough else 2) <= plan.sheets and plan.sheets <= (1 if enough else 4)


def test_just_enough_stock_is_no_trouble_and_a_little_less_is():
    pieces = (Piece("", Fraction(5), 4),)
    assert quick_plan(Job(pieces, (Stock("", Fraction(11), 2),), Fraction(1))).bars == 2
    with pytest.raises(TooLittle) as trouble:
        Job(pieces, (Stock("", Fraction(23, 2), 1), Stock("", Fraction(10), 1)), Fraction(1))
    assert (trouble.value.needed, trouble.value.given) == (24, Fraction(47, 2))


# --- what is drawn, printed and kept -----------------------------------------------------------------


def many_layouts(count: int, more: bool = False) -> dict[str, str]:
    """Pieces of so many lengths, each over half a bar: a bar each. With `more` the first is wanted twice, once from a
    bar of its own.
    """
    rows = [f"{200 - number} in | {1 + (more and number == 0)} |" for number in range(count)]
    return {"pieces": "\n".join(rows), "stock": "240 in | | |" + (
        "\n201 in | 1 | |" if more else ""
    ), "kerf": "0 in", "trim": "0 in"}


@pytest.mark.parametrize("count, drawn", [(12, [12]), (13, [12, 1]), (24, [12, 12]), (25, [12, 12])])
def test_bars_are_drawn_twelve_to_a_drawing_and_two_dozen_in_all(count, drawn):
    result = CUT_LIST.answer(many_layouts(count))
    bars = [drawing for drawing in result.drawings if drawing.name.startswith("bars-")]
    numbers = [
        [
            shape.label[0].split(":")[0] for shape in drawing.shapes if hasattr(shape, "label")
            and " × " in str(shape.label[0])
        ]
        for drawing in bars
    ]
    assert [len(each) for each in numbers] == drawn
    assert [int(each) for row in numbers for each in row] == list(
        range(1, sum(drawn) + 1),
    ), "numbered through, as in the list"
    assert [drawing.title for drawing in bars] == ["Cutting plan", "Cutting plan, part 2"][: len(drawn)]
    assert [drawing.name for drawing in bars] == ["bars-1", "bars-2"][: len(drawn)]
    told = "The first 24 of 25 layouts are drawn; the list holds all."
    assert all((told in drawing.lines) is (count > 24) for drawing in bars)


def printed(calculator: str, inputs: dict[str, str], page: str) -> str:
    return json.loads(
        respond(json.dumps({"do": "plan-paper", "calculator": calculator, "inputs": inputs, "page": page})),
    )["html"]


@pytest.mark.parametrize("count, columns_", [(20, 1), (21, 2), (40, 2), (41, 3)])
def test_a_long_shopping_list_stands_in_columns(count, columns_):
    assert f'class="paper-list" data-columns="{columns_}"' in printed("cut-list", many_layouts(count), "shopping")


@pytest.mark.parametrize("count, more, columns_", [(24, False, 1), (25, False, 2), (60, False, 2), (60, True, 3)])
def test_a_long_list_of_layouts_stands_in_columns(count, more, columns_):
    html = printed("cut-list", many_layouts(count, more), "cutting")
    assert f'class="paper-list" data-columns="{columns_}"' in html
    assert html.count("<li>") == count + more


def test_the_drawings_of_many_sheets_stand_in_columns():
    for count, columns_ in ((1, 1), (2, 2), (4, 2), (5, 3)):
        rows = "\n".join(f"{10 + number} in | 11 in | 1 |" for number in range(count))
        html = printed("sheet-plan", {"pieces": rows, "stock": "20 in | 20 in | | |"}, "cutting")
        assert f'class="paper-drawings" data-columns="{columns_}"' in html and html.count("<figure>") == count


@pytest.mark.parametrize(
    "calculator, inputs", [("cut-list", {"pieces": "7 in | 3 | Öse"}), ("class-plan", {"trainees": "1"})],
)
def test_the_data_of_a_plan_are_for_people_too(calculator, inputs):
    """A line each, letters as they are."""
    text = json.loads(
        respond(json.dumps({"do": "plan-file", "kind": "json", "calculator": calculator, "inputs": inputs})),
    )["text"]
    assert text == json.dumps(
        json.loads(text), indent=1, ensure_ascii=False,
    ) and ("Öse" in text or calculator == "class-plan")
    assert json.loads(text)["version"] == 1 and ("\u00b3" in text or "Öse" in text)


def test_a_bar_without_a_rest_has_nothing_to_keep():
    """Two of 5 in fill 10 in; from 11 in a rest of 1 in is kept where the least is 1 in, or none at all."""
    for stock, least, used in (
        ("10 in", "0 in", "scrap"), ("11 in", "0 in", "keep"), ("11 in", "1 in", "keep"),
        ("11 in", "1-1/8 in", "scrap"),
    ):
        inputs = {
            "pieces": "5 in | 2", "stock": f"{stock} | | |", "kerf": "0 in", "trim": "0 in", "least_remnant": least,
        }
        text = json.loads(
            respond(json.dumps({"do": "plan-file", "kind": "csv", "calculator": "cut-list", "inputs": inputs})),
        )["text"]
        assert text.strip().rpartition(",")[2] == f'"{used}"'


def test_only_the_plan_of_the_last_search_is_kept():
    """A form whose better plan was found shows it until another is looked for."""
    one, two = (Job((Piece("", Fraction(size), 3),), (Stock("", Fraction(10)),)) for size in (3, 4))
    remember(one, quick_plan(one))
    assert best_known(one) == quick_plan(one) and best_known(two) is None
    remember(two, quick_plan(two))
    assert best_known(one) is None and best_known(two) == quick_plan(two)
    remember(two, None)


# --- the page's requests -------------------------------------------------------------------------------


def asked(**request: object) -> dict:
    return json.loads(respond(json.dumps({"calculator": "cut-list", **request})))


def paper(**request: object) -> str:
    told = asked(do="plan-paper", page="shopping", **request)
    return re.sub("<[^>]+>", "", told["html"]).replace("\u00a0", " ") if told["errors"] == {} else str(told["errors"])


def test_a_print_after_a_search_shows_what_it_found():
    pieces = ((36.5, 2), (26.5, 9), (35.5, 6), (40.5, 7), (47, 5), (42, 4), (28, 4), (16, 6))
    inputs = {
        "pieces": "\n".join(f"{length} in | {count} | " for length, count in pieces), "stock": "120 in | | | bar",
        "aim": "bars",
    }
    assert "No plan takes less" not in paper(inputs=inputs)
    number = asked(do="plan-start", inputs=inputs)["search"]
    while not asked(do="plan-step", search=number, steps=500)["done"]:
        pass
    assert "Take 13 bars" in paper(inputs=inputs) and "No plan takes less" in paper(inputs=inputs)


def test_bare_numbers_of_a_plan_are_read_in_the_readers_system():
    inputs = {"pieces": "600 | 4 | ", "stock": "6000 | | | bar", "kerf": "2", "trim": "5"}
    assert "6000 mm" in paper(inputs=inputs, system="si")
    assert "6000 in is outside the range" in paper(inputs=inputs, system="us")
