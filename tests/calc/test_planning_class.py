"""The class plan against plain sums, published relations, the chemistry bound; its order and its saved timetable."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from calc import catalogue
from calc.core.declare import InputError, Level, phrase_text
from calc.core.units import CUBIC_FOOT, LENGTH, POUND, parse
from calc.planning.bands import Band, banded, swings
from calc.planning.class_plan import CLASS_PLAN, ESTIMATES, UNCERTAIN
from calc.web import respond

NO_BANDS = {"bands": ""}
POUNDS = float(POUND.factor)


def test_plates_and_weight_of_a_class_by_hand():
    """12 trainees, 2 welds each, 20 % retests: 28.8, so 29 welds, 58 plates. Handbook: 3/8 in plate 15.31 lb/ft2, so a
    plate of
    7 x 3-1/4 in weighs 2.419 lb; a backing bar of 9 x 1 x 1/4 in 0.638 lb at 0.2836 lb/in3: 158.8 lb in all."""
    result = CLASS_PLAN.answer()
    assert result["welds"].amount == 29 and result["plates"].amount == 58 and result["backing_bars"].amount == 29
    assert float(result["plate_mass"].amount) / POUNDS == pytest.approx(15.31 * 7 * 3.25 / 144, rel=2e-3)
    assert float(result["steel_mass"].amount) / POUNDS == pytest.approx(58 * 2.419 + 29 * 9 * 0.25 * 0.2836, rel=2e-3)


def test_rods_by_the_published_deposition_relation():
    """Filler to buy P = W L / E (weld metal over efficiency), with E times 12/14 for a 2 in stub of 14 in: widely
    published.
    Weld metal with a 1/16 in cap on 3/8 in plate: 0.5968 lb/ft."""
    result = CLASS_PLAN.answer({"rods": "E7018 | 1/8 | 100 %", **NO_BANDS})
    welds = result["welds"].amount
    metal = welds * 0.5968 * 7 / 12
    assert float(result["weld_metal"].amount) / POUNDS == pytest.approx(metal, rel=2e-3)
    bought = float(result["rods_mass"].amount) / POUNDS
    one = float(result["rod_mass_1"].amount) / POUNDS
    published = metal / (0.71 * 12 / 14)
    assert published <= bought * 1.002 and bought <= published * 1.002 + one


def test_rods_agree_with_the_rods_calculator():
    """One weld of the class and the calculator of the passes page count the same rods before rounding."""
    ours = CLASS_PLAN.answer(
        {"trainees": "1", "tests": "3G | 1", "retest": "0 %", "rods": "E7018 | 1/8 | 100 %", **NO_BANDS},
    )
    theirs = catalogue.calculator("passes").answer()
    assert ours["rods_1"].amount == theirs["rods"].amount


def test_shares_split_the_weld_metal_over_classes_and_sizes():
    """30 % and 70 %: each class lays its share, to within the one rod that rounding up adds."""
    result = CLASS_PLAN.answer(NO_BANDS)
    metal = float(result["weld_metal"].amount)
    for number, share in ((1, 0.3), (2, 0.7)):
        laid = result[f"rods_{number}"].amount * float(result[f"deposit_{number}"].amount)
        assert share * metal <= laid < share * metal + float(result[f"deposit_{number}"].amount)


@given(
    st.sampled_from(["1/4 in", "3/8 in", "3/4 in", "1 in"]), st.integers(1, 40),
    st.sampled_from(["10 ft3/h", "50 ft3/h", "200 ft3/h"]),
    st.sampled_from(["", "5 in/min", "30 in/min", "60 in/min"]), st.sampled_from(["1/32 in", "1/16 in", "1/4 in"]),
)
@settings(max_examples=25, deadline=None)
def test_oxygen_is_never_under_what_the_iron_burns(thickness, trainees, flow, speed, kerf):
    """3 Fe + 2 O2 -> Fe3O4: 4.62 ft3 of oxygen for a pound of iron at 70 F, by textbook chemistry. The low end of the
    band too
    stays above the bound of the fewest welds."""
    result = CLASS_PLAN.answer(
        {"thickness": thickness, "trainees": f"{trainees}", "oxygen_flow": flow, "speed": speed, "kerf": kerf},
    )
    bound = 4.61 * float(result["kerf_mass"].amount) / POUNDS * float(CUBIC_FOOT.factor)
    assert float(result["oxygen"].amount) >= bound
    fewest = result["welds_low"].amount / result["welds"].amount
    assert float(result["oxygen_low"].amount) >= bound * fewest * 0.999


def test_acetylene_cylinders_by_the_rule_of_one_tenth():
    """Two torches of 11.5 ft3/h draw 23 ft3/h; a cylinder of 145 ft3 may give 14.5 ft3/h: two cylinders, though 16 ft3
    is used.
    """
    result = CLASS_PLAN.answer()
    assert result["manifold"].amount == 2 and result["acetylene_cylinders"].amount == 2
    assert CLASS_PLAN.answer({"torches": "1"})["acetylene_cylinders"].amount == 1


@pytest.mark.parametrize(
    "flow, level",
    [("14.5 ft3/h", Level.OK), ("14.6 ft3/h", Level.CAUTION), (
        "20.7 ft3/h", Level.CAUTION,
    ), ("20.8 ft3/h", Level.STOP)],
)
def test_one_torch_on_one_cylinder(flow, level):
    """145 ft3: one tenth is 14.5 ft3/h, one seventh 20.71."""
    assert CLASS_PLAN.answer({"fuel_flow": flow}).check("acetylene").level is level


@pytest.mark.parametrize("inputs, id, level", [
    # The coupons of a 3/8 in plate need 5-5/8 in, worked by hand in the tests of the layout.
    ({"plate_length": "5-5/8 in"}, "plate-length", Level.OK), ({"plate_length": "5.6 in"}, "plate-length", Level.STOP),
    # b - 1/4 - 1/16 / cos 22.5 = (6 - 1/4) / 2 at b = 3.193 in.
    ({"plate_width": "3.193 in"}, "joint-width", Level.OK), ({"plate_width": "3.192 in"}, "joint-width", Level.STOP),
    ({"thickness": "1/4 in"}, "thin-plate", Level.NOT_KNOWN), ({"coupons": "1"}, "coupons", Level.INCOMPLETE),
    ({"backing_thickness": "1/8 in"}, "backing-thickness", Level.CAUTION),
    ({"bevel_angle": "10 deg"}, "included-angle-low", Level.STOP),
    # AWS D1.1:2020 Table 5.1 (read): upright 3/16 in; its note for low-hydrogen (from memory) 5/32 in.
    ({"rods": "E6010 | 3/16 | 100 %"}, "rod-size-1", Level.OK),
    ({"rods": "E7018 | 3/16 | 100 %"}, "rod-size-1", Level.STOP),
    ({"rods": "E7018 | 3/16 | 100 %", "roster": "1 | 1G"}, "rod-size-1", Level.OK),
    ({"stub": "1/2 in"}, "stub", Level.CAUTION), ({"factor": "51 %"}, "factor", Level.CAUTION),
])
def test_a_plan_for_a_plate_that_is_no_test_plate_says_so(inputs, id, level):
    assert CLASS_PLAN.answer({**NO_BANDS, **inputs}).check(id).level is level


def test_the_invented_class_is_in_order_and_its_lists_agree():
    """The plates and bars of the class plan are the pieces of the cutting lists."""
    plan = CLASS_PLAN.answer()
    assert plan.level is Level.OK
    for name in ("cut-list", "sheet-plan"):
        listed = catalogue.calculator(name)
        pieces = listed.input("pieces").cells(listed.defaults["pieces"])
        assert sum(int(row[-2]) for row in pieces if "test plate" in row[-1]) == plan["plates"].amount
        assert {row[0] for row in pieces if "test plate" in row[-1]} == {CLASS_PLAN.defaults["plate_length"]}
    assert catalogue.calculator("cut-list").defaults["bar_width"] == CLASS_PLAN.defaults["plate_width"]


def test_times_by_hand():
    """29 welds: cut 2 x (7 + 3-1/4) + 1 = 21.5 in each at 19.5 in/min and 5 starts of 20 s; arc time over a factor of
    25 % is four
    times the arc time."""
    result = CLASS_PLAN.answer()
    minutes = 29 * 21.5 / 19.5 + 29 * 5 * 20 / 60
    assert float(result["cut_time"].amount) / 60 == pytest.approx(minutes, rel=1e-6)
    assert float(result["booth_time"].amount) == pytest.approx(4 * float(result["arc_time"].amount))
    assert float(result["arc_time"].amount) == pytest.approx(55 * result["rods"].amount)


def test_costs_add_up():
    prices = {"steel_price": "1.20 per lb", "rods_price": "3 per lb", "oxygen_price": "40", "acetylene_price": "60", "hour_price": "30 per h"}
    result = CLASS_PLAN.answer(prices)
    by_hand = (
        1.2 * float(result["steel_mass"].amount) / POUNDS + 3 * float(result["rods_mass"].amount) / POUNDS
        + 40 * result["oxygen_cylinders"].amount + 60 * result["acetylene_cylinders"].amount + 30 * float(
            result["hands_on"].amount,
        ) / 3600
    )
    assert float(result["cost"].amount) == pytest.approx(by_hand)
    assert "cost" not in [value.name for value in CLASS_PLAN.answer().values]


def test_every_estimate_has_a_band_round_its_likely_figure_and_names_its_driver():
    result = CLASS_PLAN.answer()
    likely = {value.name: value.amount for value in result.values}
    for each in ESTIMATES:
        assert float(likely[f"{each.key}_low"]) <= float(likely[each.key]) <= float(
            likely[f"{each.key}_high"],
        ), each.key
        assert float(likely[f"{each.key}_low"]) < float(likely[f"{each.key}_high"])
        assert result[f"{each.key}_driver"].wording in [one.label.lower() for one in UNCERTAIN]


def test_the_widest_swing_is_the_first_bar_of_the_chart():
    """A time that doubles or halves with the operating factor alone: only that input may stand on top."""
    result = CLASS_PLAN.answer({"bands": "factor | 50 % | 100 %\nburn_time | 1 % | 1 %", "drive": "booth_time"})
    assert result["booth_time_driver"].wording == "operating factor"
    low, likely, high = (float(result[name].amount) for name in ("booth_time_low", "booth_time", "booth_time_high"))
    assert high / likely == pytest.approx(2, rel=2e-3) and low / likely == pytest.approx(0.5, rel=2e-3)


def test_without_bands_low_likely_and_high_are_one():
    result = CLASS_PLAN.answer(NO_BANDS)
    for each in ESTIMATES:
        assert float(result[f"{each.key}_low"].amount) == pytest.approx(float(result[f"{each.key}_high"].amount))


@given(st.lists(st.tuples(st.floats(0.1, 0.9), st.floats(0.1, 2)), min_size=1, max_size=4))
def test_a_band_lies_inside_the_corners_and_holds_every_single_swing(spreads):
    """Product of factors: the band reaches at least as far as the widest single input, at most as far as all
    together.
    """
    inputs = {f"x{number}": Band(1 - low, 1.0, 1 + high) for number, (low, high) in enumerate(spreads)}
    model = lambda x: {"product": math.prod(x.values())}  # noqa: E731
    found = swings(model, inputs)
    band = banded(model, inputs, found)["product"]
    assert math.prod(each.low for each in inputs.values()) - 1e-9 <= band.low <= min(
        each.low for each in inputs.values()
    ) + 1e-9
    assert max(each.high for each in inputs.values()) - 1e-9 <= band.high <= math.prod(
        each.high for each in inputs.values()
    ) + 1e-9


# --- roster and days ---------------------------------------------------------------------


def test_thicknesses_of_the_roster_are_worked_out_apart_and_added():
    """Two on 3/8 in and two on 1 in weigh and burn as the two classes of one thickness do together."""
    mixed = CLASS_PLAN.answer({"roster": "1-2 | 3G | 3/8 in | 1; 3-4 | 3G | 1 in | 1", "retest": "0 %", **NO_BANDS})
    alone = [
        CLASS_PLAN.answer({"roster": f"1-2 | 3G | {size} | 1", "retest": "0 %", **NO_BANDS})
        for size in ("3/8 in", "1 in")
    ]
    for name in ("welds", "steel_mass", "weld_metal", "kerf_mass", "cut_time", "acetylene", "fit_total"):
        assert float(mixed[name].amount) == pytest.approx(sum(float(each[name].amount) for each in alone)), name
    assert sorted((float(mixed["plate_mass"].amount), float(mixed["plate_mass_t2"].amount))) == pytest.approx(
        sorted(float(each["plate_mass"].amount) for each in alone),
    )


def timetable_of(inputs: dict[str, str]) -> list[dict[str, str]]:
    """The rows of the saved timetable."""
    asked = {"do": "plan-file", "kind": "timetable", "calculator": "class-plan", "inputs": inputs}
    return list(csv.DictReader(io.StringIO(json.loads(respond(json.dumps(asked)))["text"].removeprefix("\ufeff"))))


def minute(row: dict[str, str], what: str) -> int:
    hours, minutes = row[what].split(":")
    return int(row["day"]) * 1440 + int(hours) * 60 + int(minutes)


WORKDAY = ((420, 570), (585, 720), (750, 930))


def test_the_saved_timetable_could_be_lived():
    """Each plate goes its way once, nobody and no place is taken twice at once, breaks and hours are kept."""
    inputs = {"roster": "Ada, Ben | 3G 4G | | 2; 7-15 | 4G | 1/2 in | 1", "bend_time": "9 min"}
    rows = timetable_of(inputs)
    steps = ["Cut", "Fit-up", "Weld", "Visual inspection", "Specimens", "Bends"]
    plates, persons, places = {}, {}, {}
    for row in rows:
        span = minute(row, "start"), minute(row, "end")
        plates.setdefault((row["trainee"], row["position"], row["plate"]), []).append((span, row["step"]))
        if row["step"] != "Visual inspection":
            persons.setdefault(row["trainee"], []).append(span)
        for place in row["place"].split(" and "):
            places.setdefault(place, []).append(span)
        if row["step"] != "Weld":
            start, end = (each % 1440 for each in span)
            assert any(low <= start and end <= high for low, high in WORKDAY), row
        if "Inspector" in row["place"]:
            assert 480 <= span[0] % 1440 and span[1] % 1440 <= 930
        assert int(row["minutes"]) <= span[1] - span[0]
    assert len(plates) == 2 * 2 * 2 + 9
    for visits in plates.values():
        assert [step for _, step in sorted(visits)] == steps
        assert all(one[1] <= other[0] for (one, _), (other, _) in zip(sorted(visits), sorted(visits)[1:]))
    for spans in (*persons.values(), *places.values()):
        assert all(one[1] <= other[0] for one, other in zip(sorted(spans), sorted(spans)[1:]))


def test_a_weld_pauses_in_a_break_between_passes_and_not_inside_one():
    """One trainee, one weld of 60 min in six passes from 07:18: 9:30 to 9:45 is a break; a late start runs into it."""
    inputs = {"roster": "1 | 3G | | 1", "day_start": "08:42", "inspector_start": "", "retest": "0 %"}
    weld = next(row for row in timetable_of(inputs) if row["step"] == "Weld")
    assert minute(weld, "start") % 1440 == 9 * 60 and minute(weld, "end") - minute(weld, "start") > int(weld["minutes"])


@pytest.mark.parametrize("inputs, names", [
    ({"roster": "1-3 | 3G | | 1"}, ["1", "2", "3"]), ({"roster": "Ada, Ben | 3G"}, ["Ada", "Ben"]),
    ({"roster": " | 3G; | 4G"}, ["1", "2"]), ({"roster": "Ada | 3G; Ada | 4G"}, ["Ada"]),
    ({"trainees": "2"}, ["1", "2"]),
])
def test_names_and_numbers_of_a_roster(inputs, names):
    assert sorted({row["trainee"] for row in timetable_of(inputs)}) == names


def test_the_class_says_what_a_row_leaves_open():
    """Tests and thickness: those of the reader's own test, where the page has one."""
    rows = timetable_of({"roster": "1 | usual; 2 | 4G | 1/2 in", "tests": "2G | 1", "thickness": "1 in"})
    assert {(row["trainee"], row["position"], row["thickness, in"]) for row in rows} == {
        ("1", "2G", "1.0"), ("2", "4G", "0.5"),
    }


def test_a_class_that_does_not_fit_one_day_takes_several():
    result = CLASS_PLAN.answer({"day_end": "11:00", **NO_BANDS})
    assert result["days"].amount > 1 and result["end"].wording.startswith("day ")
    assert result["bound"].wording <= result["end"].wording


def test_a_second_jig_helps_where_jig_and_inspector_are_narrow():
    narrow, wide = ({"bend_time": "30 min", **NO_BANDS}, {"bend_time": "30 min", "jigs": "3", "inspectors": "3", **NO_BANDS})
    narrow, wide = CLASS_PLAN.answer(narrow), CLASS_PLAN.answer(wide)
    assert narrow["narrowest"].wording in ("Bending jigs", "Inspectors")
    assert float(wide["day_middle"].amount) < 0.7 * float(narrow["day_middle"].amount)


@pytest.mark.parametrize("inputs, id", [
    ({"roster": ""}, "roster"), ({"day_end": ""}, "day"), ({"coupons": "0"}, "coupons"),
])
def test_what_is_missing_is_incomplete_and_never_in_order(inputs, id):
    assert CLASS_PLAN.answer({**NO_BANDS, **inputs}).check(id).level is Level.INCOMPLETE


def test_a_step_that_no_day_holds_is_told_and_the_order_stands():
    result = CLASS_PLAN.answer({"coupon_time": "400 min", **NO_BANDS})
    assert result.check("day").level is Level.STOP and "end" not in [value.name for value in result.values]
    assert [listing.name for listing in result.tables] == ["order-bars", "order-rods", "order-gas"]


def test_an_old_link_opens_and_says_what_it_did():
    told = json.loads(respond(json.dumps({
        "do": "open", "calculator": "class-plan", "inputs": {"trainees": "5", "tests": "2G | 1", "booths": "3"},
    })))
    assert told["refused"] == {} and "roster" in told["renewed"]["trainees"]
    assert told["inputs"]["tests"] == "2G | 1" and told["inputs"]["booths"] == "3"
    result = CLASS_PLAN.answer(told["inputs"])
    assert (result["trainees"].amount, result["first_tests"].amount, result["position_1"].label) == (
        5, 5, "Planned tests in 2G",
    )


# --- the order ----------------------------------------------------------------------------


def order_of(inputs: dict[str, str]) -> list[dict[str, str]]:
    asked = {"do": "plan-file", "kind": "csv", "calculator": "class-plan", "inputs": inputs}
    return list(csv.DictReader(io.StringIO(json.loads(respond(json.dumps(asked)))["text"].removeprefix("\ufeff"))))


def test_the_order_by_hand():
    """58 plates of 7 in and a kerf: 33 to a bar of 240 in, so 2 bars of 3-1/4 x 3/8, 15.31 lb/ft2: 165.9 lb. 29 backing
    bars of 9 in: 26 to a bar, 2 bars.
    """
    plates, backing, *_ = order_of({"steel": "A36"})
    assert (plates["needed"], plates["buy"], plates["sold as"], plates["steel, class or gas"]) == ("58", "2", "bar", "A36")
    assert (plates["width, in"], plates["thickness, in"], plates["length of one, in"]) == ("3.25", "0.375", "7")
    assert float(plates["weight in all, lb"]) == pytest.approx(2 * 20 * 15.31 * 3.25 / 12, rel=2e-3)
    assert (backing["needed"], backing["buy"], backing["width, mm"]) == ("29", "2", "25.4")


def test_an_order_is_bare_numbers_with_units_in_the_head():
    for row in order_of({"quantity": "safe"}):
        for name, cell in row.items():
            if name not in ("what", "steel, class or gas", "quantity", "sold as"):
                assert cell == "" or float(cell) >= 0, (name, cell)
        assert not re.search("[\u00a0\u2009\u202f]", "".join(row.values()))


def test_a_safe_order_is_the_upper_end_of_the_bands_and_never_less_than_the_likely_one():
    likely, safe = order_of({}), order_of({"quantity": "safe"})
    result = CLASS_PLAN.answer()
    assert int(safe[0]["needed"]) == 2 * result["welds_high"].amount
    rods = sum(int(row["needed"]) for row in safe if row["what"] == "rods")
    assert float(result["rods_high"].amount) <= rods <= float(result["rods_high"].amount) * 1.05 + 2
    plates = safe[0]["needed"]
    assert f"Safe order with retests: {plates} plates" in phrase_text(CLASS_PLAN.answer({"quantity": "safe"}).headline, "us")
    for one, other in zip(likely, safe):
        assert int(one["buy"]) <= int(other["buy"]) and (one["needed"] == "" or int(one["needed"]) <= int(other["needed"]))


@given(st.integers(1, 60), st.sampled_from(["5 lb", "10 lb", "50 lb"]), st.sampled_from(["10 ft", "20 ft", "40 ft"]))
@settings(max_examples=10, deadline=None)
def test_what_is_bought_holds_what_is_needed_and_one_less_would_not(people, package, bar):
    for row in order_of({"roster": f"1-{people} | 3G", "package": package, "bar_length": bar, "day_end": "", **NO_BANDS}):
        buy = int(row["buy"])
        if row["what"] == "rods":
            need, one = float(row["used weight, lb"]), float(row["sold weight, lb"])
            assert (buy - 1) * one < need * 1.0001 and need <= buy * one * 1.0001
        if row["what"].startswith("flat bar"):
            long, kerf, length = float(row["sold length, in"]), 1 / 16, float(row["length of one, in"])
            each = int((long + kerf) / (length + kerf) + 1e-9)
            assert (buy - 1) * each < int(row["needed"]) <= buy * each


def test_a_safe_order_of_acetylene_holds_at_the_upper_end_of_the_flow():
    """Two torches of 11.5 ft3/h and 35 % more draw 31.05 ft3/h; a cylinder of 145 ft3 gives a tenth, 14.5: three of them."""
    of_gas = [next(row["buy"] for row in order_of(given) if "acetylene" in row["steel, class or gas"])
        for given in ({}, {"quantity": "safe"})]
    assert of_gas == ["2", "3"]


def test_acetylene_is_counted_once_for_all_thicknesses():
    """Two thicknesses share the cylinders that the draw of two torches takes: two, not two each."""
    rows = order_of({"roster": "1-2 | 3G | 3/8 in; 3-4 | 3G | 1/2 in"})
    assert [row["buy"] for row in rows if row["steel, class or gas"] == "acetylene"] == ["2"]


def test_a_piece_longer_than_a_bar_is_told_plainly():
    result = CLASS_PLAN.answer({"plate_length": "60 in", "bar_length": "4 ft", **NO_BANDS})
    assert result.check("bar-length").level is Level.STOP


@pytest.mark.parametrize("inputs, field, words", [
    ({"roster": "1-9 | 5G"}, "roster", "Row 1, tests"), ({"roster": "9-1 | 3G"}, "roster", "wrong way round"),
    ({"roster": "1-101 | 3G"}, "roster", "more than 100"), ({"roster": "1-90; a-b; 91-120"}, "roster", "more than 100"),
    ({"roster": "1-60 | 1G 2G 3G 4G | | 2"}, "roster", "plan from 1 to 240"),
    ({"roster": "1", "tests": "3G | 0"}, "tests", "there is no test"),
    ({"trainees": "none"}, "roster", "not in the list"), ({"trainees": "0"}, "roster", "wrong way round"),
    ({"day_end": "06:00"}, "day_end", "must come after 07:00"),
    ({"breaks": "12:00 | 12:00"}, "breaks", "has no length"), ({"breaks": "06:00 | 16:00"}, "breaks", "the whole day"),
    ({"inspector_start": "17:00", "inspector_end": ""}, "inspector_start", "lies in the working day"),
    ({"inspector_start": "10:00", "inspector_end": "09:00"}, "inspector_end", "lies in the working day"),
    ({"rods": "E7018 | 1/8 | 60 %"}, "rods", "must make 100 %"),
    ({"bands": "stub | 1 % | 1 %\nstub | 2 % | 2 %"}, "bands", "stands twice"),
    ({"stub": "4 in", "rod_length": "9 in", "bands": "stub | 0 % | 300 %"}, "stub", "write a shorter stub"),
    ({"retest": "-1 %"}, "retest", "from 0 % to 100 %"),
    ({"torches": "0"}, "torches", "from 1 to 60"),
])
def test_what_cannot_be_is_told_by_field_and_limit(inputs, field, words):
    with pytest.raises(InputError) as trouble:
        CLASS_PLAN.answer(inputs)
    assert trouble.value.field == field and words in str(trouble.value).replace("\u00a0", " ")


def test_stock_for_the_class_is_what_the_cutting_list_takes():
    """The pieces of the class put into the list for bars: pieces and one kerf each, to the last bit."""
    plan, plates = CLASS_PLAN.answer(), "7 in | 58"
    cut = catalogue.calculator("cut-list").answer({"pieces": plates, "stock": "1000 in | | |", "trim": "0 in"})
    assert cut["pieces_length"].amount + cut["kerf_length"].amount == plan["plate_stock"].amount == 58 * (
        parse("7 in", LENGTH) + parse("1/16 in", LENGTH)
    )
    assert isinstance(plan["plate_stock"].amount, Fraction)


def test_the_shopping_list_of_the_class_holds_what_the_answer_says():
    """As the page asks for it: paper, table and data, with no cell that a spreadsheet would run."""
    asked = {"calculator": "class-plan", "inputs": {"trainees": "5"}}
    paper, table, data = (
        json.loads(respond(json.dumps({**asked, **more})))
        for more in (
            {"do": "plan-paper", "page": "shopping"}, {"do": "plan-file", "kind": "csv"},
            {"do": "plan-file", "kind": "json"},
        )
    )
    result = CLASS_PLAN.answer({"trainees": "5"})
    assert f"<td>{result['rods_1'].amount}</td>" in paper["html"] and f"<td>{result['plates'].amount}</td>" in paper["html"]
    told = {value["name"]: value["value"] for value in json.loads(data["text"])["answer"]["values"]}
    assert told["plates"] == result["plates"].amount
    rows = list(csv.reader(io.StringIO(table["text"].removeprefix("\ufeff"))))
    assert len(rows) == 1 + 2 + 2 + 2 and not any(
        cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row
    )
    assert "errors" in json.loads(
        respond(json.dumps({"do": "plan-paper", "calculator": "class-plan", "inputs": {"roster": "5-1"}})),
    )
