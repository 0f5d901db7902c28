"""What calc refuses, with the words that say why: a table's end, a name that is not there, inputs that cannot go
together.
"""

from __future__ import annotations

import datetime
import json
import math
from dataclasses import replace
from fractions import Fraction

import pytest

from calc.catalogue import CALCULATORS, calculator, fact
from calc.core.declare import Choice, Clock, Day, InputError, Level, Option, Quantity, Rows, Words
from calc.core.sources import Standing
from calc.core.units import LENGTH, MASS, NUMBER, UnitError, parse, show_printed, significant
from calc.planning.bands import Band
from calc.planning.bars import Job, Piece, PlanError, Stock
from calc.planning.timetable import Hours, Shop, first_plan
from calc.planning.sheets import Sheet, SheetJob, SheetPiece
from calc.practice.chance import Chance
from calc.show import pictures as shop_pictures
from calc.show.drawing import drawing_svg
from calc.show.html import answer_html
from calc.show.plot import Column, cell_text
from calc.show.report import as_text
from calc.stages.moving_arc import falling_root
from calc.stages.rods import rod_row
from calc.stages.qualification import continuity_rule, gaps_in, positions_qualified
from calc.stages.safety import hood_row, least_arc_shade
from calc.stages.visual import undercut_limit
from calc.web import respond


def inches(text):
    return parse(text, LENGTH)


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, **request})))


# --- units ---------------------------------------------------------------------------------


def test_a_plain_number_takes_no_unit():
    with pytest.raises(UnitError, match="“kg” after the number; this is a plain number without a unit"):
        parse("3 kg", NUMBER)


@pytest.mark.parametrize("value", [math.inf, -math.inf, math.nan])
def test_what_is_not_finite_is_never_shown(value):
    with pytest.raises(ValueError, match="only a finite number can be shown"):
        significant(value)


def test_a_printed_value_keeps_its_own_unit_in_front():
    assert show_printed(inches("3 mm"), LENGTH, "si") == "3\u00a0mm"
    assert show_printed(0.0031, LENGTH, "us") == "0.122\u00a0in"
    assert show_printed(parse("2 lb", MASS), MASS, "us") == "2\u00a0lb"


# --- inputs -----------------------------------------------------------------------------------


def test_a_day_outside_the_calendar_of_the_guide_is_refused():
    with pytest.raises(InputError, match="1980-01-01 is outside the range; write a date from 1990-01-01"):
        Day("on", "On", "", "").read("1980-01-01", "us")


def test_words_and_rows_are_read_up_to_their_limits():
    assert Words("a", "A", "", "").read("x" * 60, "us") == "x" * 60
    with pytest.raises(InputError, match="write at most 60 plain characters"):
        Words("a", "A", "", "").read("x" * 61, "us")
    rows = Rows("list", "List", (Words("a", "A", "", ""),), "", "")
    assert len(rows.read("\n".join(["x"] * 20), "us")) == 20 and rows.read("x", "us") == (("x",),)
    for text in ("", "\n".join(["x"] * 21)):
        with pytest.raises(InputError, match=f"List: {21 if text else 0} rows; give from 1 to 20 rows"):
            rows.read(text, "us")


@pytest.mark.parametrize("each", [
    Choice("a", "A", (Option("x", "X"),), "x", ""), Day("a", "A", "", ""), Clock("a", "A", "06:00", ""),
], ids=lambda each: type(each).__name__)
def test_of_a_long_text_that_cannot_be_read_forty_letters_are_told(each):
    with pytest.raises(InputError, match=f"“{'z' * 40}”"):
        each.read("z" * 50, "us")
    with pytest.raises(InputError, match=f"^{'z' * 40}: groove has no such input"):
        calculator("groove").answer({"z" * 50: "1"})


def test_a_number_is_read_up_to_forty_characters():
    assert parse("0" * 37 + "1in", LENGTH) == inches("1 in")
    with pytest.raises(UnitError, match="longer than 40 characters"):
        parse("0" * 37 + "1 in", LENGTH)


def test_a_row_with_too_many_cells_is_refused_by_its_number():
    rows = Rows("list", "List", (Words("a", "A", "", ""), Words("b", "B", "", "")), "", "", row_name="Piece")
    with pytest.raises(InputError, match="Piece 2 has 3 cells; at most 2"):
        rows.read("one | two\none | two | three", "us")


def test_a_link_with_an_input_that_is_not_there_keeps_the_rest():
    told = asked("open", calculator="groove", inputs={"thickness": "1/2 in", "depth": "1 in"})
    assert told["inputs"] == {"thickness": "1/2 in"} and "groove has no such input" in told["refused"]["depth"]


@pytest.mark.parametrize("do", ["answer", "quick", "numbers", "try-open", "figure"])
def test_inputs_that_cannot_go_together_are_told_at_their_field(do):
    """A root face thicker than the plate leaves no groove."""
    told = asked(
        do, calculator="groove", inputs={"thickness": "1/4 in", "root_face": "3/8 in"}, figure="groove",
        **{"as": "svg"},
    )
    if do in ("answer", "quick"):
        assert list(told["errors"]) == ["root_face"]
    else:
        assert "root face" in (told.get("error") or told["trouble"]).lower()


def test_a_rule_by_yield_strength_asks_for_it():
    with pytest.raises(InputError, match="this rule goes by it; write it in ksi or MPa"):
        calculator("bend-ratio").answer({"rule": "yield", "yield_strength": ""})


# --- names and the ends of tables ------------------------------------------------------------------


@pytest.mark.parametrize(
    "find",
    [
        lambda: fact("no-such"), lambda: continuity_rule("no-such"), lambda: positions_qualified("d1.1", "9G"),
        lambda: undercut_limit("no-such", inches("1 in")), lambda: shop_pictures.picture("no-such"),
    ],
)
def test_a_name_that_is_not_there_is_a_key_error(find):
    with pytest.raises(KeyError):
        find()


def test_tables_say_where_they_end():
    with pytest.raises(ValueError, match="the table ends at 550 A and 3/8 in"):
        least_arc_shade(inches("1/8 in"), Fraction(551))
    with pytest.raises(ValueError, match="the table ends at 550 A and 3/8 in"):
        least_arc_shade(inches("7/16 in"), Fraction(100))
    with pytest.raises(ValueError, match="the table ends at 12 in"):
        hood_row(inches("12.01 in"))
    assert hood_row(inches("0.5 in")) == hood_row(inches("4 in"))
    with pytest.raises(InputError, match="no row for E9999; choose "):
        rod_row("E9999")


def test_no_gap_is_found_in_no_dates():
    with pytest.raises(ValueError, match="give at least 1 date"):
        gaps_in([], datetime.date(2026, 3, 31), continuity_rule("d1.1"))


def test_manganese_at_the_danger_level_says_get_out():
    """NIOSH: 500 mg/m3 of manganese is a danger to life at once."""
    calc = calculator("fume-limit")
    name = next(each.name for each in calc.inputs if isinstance(each, Rows))
    columns = calc.input(name).columns
    row = " | ".join(
        "manganese" if index == 0 else "500 mg/m3" if isinstance(each, Quantity) and each.kind.base == "kg/m3"
        else each.default for index, each in enumerate(columns)
    )
    result = calc.answer({name: row})
    assert any(
        check.level is Level.STOP and "Get out" in "".join(str(part) for part in check.phrase)
        for check in result.checks
    )


def test_a_root_is_sought_only_where_there_is_one():
    assert falling_root(lambda x: -x, 0.0, 1.0) == 0.0 and falling_root(lambda x: 1 - x, 0.0, 1.0) == 1.0
    # A step has no point of its own at zero; the search still ends, at the step.
    assert falling_root(lambda x: 1.0 if x < 0.3 else -1.0, 0.0, 1.0) == pytest.approx(0.3, abs=1e-6)
    with pytest.raises(ValueError, match="does not fall through zero"):
        falling_root(lambda x: x, 1.0, 2.0)


# --- plans -----------------------------------------------------------------------------------------


PIECE, STOCK = Piece("", Fraction(1), 2), Stock("", Fraction(6))


@pytest.mark.parametrize("changes, part, said", [
    ({"stocks": ()}, "stock", "0 kinds of stock"),
    ({"pieces": ()}, "pieces", "0 kinds of pieces"),
    ({"pieces": (replace(PIECE, length=Fraction(0)),)}, "pieces", "above 0"),
    ({"stocks": (replace(STOCK, length=Fraction(0)),)}, "stock", "above 0"),
    ({"stocks": (replace(STOCK, count=-1),)}, "stock", "not below 0"),
    ({"stocks": (replace(STOCK, count=0),)}, "stock", "there is no bar"),
    ({"kerf": Fraction(-1)}, "stock", "must not be below 0"),
    ({"aim": "beauty"}, "stock", "no such aim"),
    ({"aim": "price"}, "stock", "has no price"),
    ({"pieces": (replace(PIECE, count=0),)}, "pieces", "the counts add up to 0"),
])
def test_a_list_of_bars_that_cannot_be_is_refused(changes, part, said):
    with pytest.raises(PlanError, match=said) as trouble:
        Job(**{"pieces": (PIECE,), "stocks": (STOCK,), **changes})
    assert trouble.value.part == part


FLAT, SHEET = SheetPiece("", Fraction(1), Fraction(1), 2), Sheet("", Fraction(6), Fraction(4))


@pytest.mark.parametrize("changes, part, said", [
    ({"pieces": ()}, "pieces", "0 kinds of pieces"),
    ({"sheets": ()}, "stock", "0 kinds of sheet"),
    ({"pieces": (replace(FLAT, width=Fraction(0)),)}, "pieces", "above 0"),
    ({"sheets": (replace(SHEET, width=Fraction(0)),)}, "stock", "above 0"),
    ({"sheets": (replace(SHEET, count=0),)}, "stock", "there is no sheet"),
    ({"pieces": (replace(FLAT, count=0),)}, "pieces", "the counts add up to 0"),
])
def test_a_list_of_sheets_that_cannot_be_is_refused(changes, part, said):
    with pytest.raises(PlanError, match=said) as trouble:
        SheetJob(**{"pieces": (FLAT,), "sheets": (SHEET,), **changes})
    assert trouble.value.part == part


def test_a_band_runs_upwards_and_a_timetable_needs_a_plate():
    with pytest.raises(ValueError, match="from low over likely to high"):
        Band(Fraction(2), Fraction(1), Fraction(3))
    with pytest.raises(ValueError, match="a timetable needs a plate"):
        first_plan(Shop(Hours(((0, 60),)), (), ()))


def test_the_page_searches_prints_and_keeps_a_plan():
    inputs = {
        "pieces": "7 in | 30 | plate\n14 in | 12 | bar\n31 in | 7",
        "stock": "20 ft | | 30 | long\n12 ft | 2 | 20 | short",
    }
    start = asked("plan-start", calculator="cut-list", inputs=inputs)
    assert start["errors"] == {}
    for _ in range(400):
        step = asked("plan-step", search=start["search"], steps=200)
        if step["done"]:
            break
    assert step["done"] and asked("plan-step", search=start["search"] + 1)["gone"]
    plain = json.loads(asked("plan-file", calculator="cut-list", inputs=inputs, kind="json")["text"])
    assert plain["proven"] and plain["cost"] == plain["least"]
    cut = sum(row["count"] * row["times"] for row in plain["rows"])
    assert cut == 30 + 12 + 7
    table = asked("plan-file", calculator="cut-list", inputs=inputs, kind="csv")
    assert table["name"] == "cut-list.csv" and table["text"].startswith('\ufeff"layout","times"')
    shopping = asked("plan-paper", calculator="cut-list", inputs=inputs, page="shopping")["html"]
    assert "Shopping list" in shopping and "long" in shopping
    assert "Cutting plan" in asked("plan-paper", calculator="cut-list", inputs=inputs, page="cutting")["html"]


def test_sheets_are_printed_and_kept_too():
    inputs = {"pieces": "7 in | 6 in | 12 | plate", "stock": "48 in | 24 in | | 80 | half sheet"}
    start = asked("plan-start", calculator="sheet-plan", inputs=inputs)
    step = asked("plan-step", search=start["search"], steps=5000)
    assert start["errors"] == {} and step["done"] and step["share"] == 1 and "headline" in step
    plain = json.loads(asked("plan-file", calculator="sheet-plan", inputs=inputs, kind="json")["text"])
    assert sum(row["count"] * row["times"] for row in plain["rows"]) == 12
    assert "half sheet" in asked("plan-paper", calculator="sheet-plan", inputs=inputs, page="shopping")["html"]


@pytest.mark.parametrize("do", ["plan-start", "plan-paper", "plan-file"])
def test_a_plan_that_cannot_be_is_told_at_its_field(do):
    assert list(asked(do, calculator="cut-list", inputs={"pieces": "90 ft | 1"})["errors"]) == ["pieces"]
    assert list(asked(do, calculator="cut-list", inputs={"pieces": "none"})["errors"]) == ["pieces"]


@pytest.mark.parametrize("do", ["plan-paper", "plan-file"])
def test_a_class_is_printed_kept_and_refused(do):
    told = asked(do, calculator="class-plan", inputs={}, kind="csv")
    assert told["errors"] == {} and (
        "Order list for the class" in told.get("html", "") or '"steel, class or gas"' in told.get("text", "")
    )
    assert asked(do, calculator="class-plan", inputs={"roster": "none | 5G"})["errors"]
    if do == "plan-file":
        assert json.loads(
            asked(do, calculator="class-plan", inputs={}, kind="json")["text"]
        )["format"] == "plate-test-guide class"


# --- showing -----------------------------------------------------------------------------------------


def test_an_answer_without_cautions_has_no_heading_for_them():
    result = calculator("groove").answer()
    assert "Take care" in answer_html(result) and "Take care" in as_text(result)
    quiet = replace(result, cautions=())
    assert "Take care" not in answer_html(quiet) and "Take care" not in as_text(quiet)


def test_a_cell_without_a_figure_is_a_dash():
    assert cell_text(None, Column("Length", LENGTH), "us") == "–"


def test_every_standing_is_explained_in_a_sentence():
    meanings = [each.meaning for each in Standing]
    assert len(set(meanings)) == len(meanings) and all(text.endswith(".") for text in meanings)


@pytest.mark.parametrize("name", shop_pictures.PICTURES)
def test_every_picture_of_the_shop_is_drawn_with_its_words(name):
    drawn = drawing_svg(shop_pictures.picture(name), name)
    assert "<title" in drawn and "<desc" in drawn and drawn.count("<text") >= 1


def test_chance_stays_below_any_count_and_refuses_none():
    # Just over half of all numbers fit this count, so that nearly every second one must be drawn again.
    most = 2**63 + 1
    drawn = [Chance(f"seed {turn}").below(most) for turn in range(60)]
    assert all(0 <= each < most for each in drawn) and len(set(drawn)) == 60
    with pytest.raises(ValueError, match="nothing to choose from"):
        Chance(1).below(0)


def test_every_calculator_can_be_asked_for_by_its_id():
    assert all(calculator(each.id) is each for each in CALCULATORS)
