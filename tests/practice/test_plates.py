"""Practice plates: the chance and its band against scipy and against simulated hands, the rule of booking against
brute force, the flaws against their page, a record taken as it judged itself.
"""

from __future__ import annotations

import datetime
import json
import random
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, strategies as some
from scipy.stats import beta, betabinom

from calc.core.declare import InputError
from calc.practice import plates_page
from calc.practice.plates import (
    COLUMNS,
    FLAWS,
    LATER,
    PLATE_CHANCE,
    STAGES,
    Plate,
    beta_cdf,
    beta_quantile,
    chance_to_pass,
    comes_back,
    from_record,
    joined,
    plate_data,
    plates_before_booking,
    read_plate,
    suspected,
)
from calc.record.demo import PLATE
from calc.record.judge import judge
from calc.web import respond

FLAWS_PAGE = (Path(__file__).parents[2] / "docs" / "flaws.md").read_text(encoding="utf-8")
TODAY = "2026-03-02"
PASS, FAIL = Plate(verdict="passed"), Plate(verdict="failed")


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


# --- the chance ------------------------------------------------------------------------


@given(some.floats(0.5, 200.5), some.floats(0.5, 200.5), some.floats(0, 1))
def test_the_distribution_is_that_of_scipy(a, b, x):
    assert beta_cdf(a, b, x) == pytest.approx(beta.cdf(x, a, b), abs=1e-9)


@pytest.mark.parametrize("passed, failed", [(0, 1), (1, 0), (3, 0), (2, 2), (9, 1), (0, 7), (120, 80)])
@pytest.mark.parametrize("band", [80, 90])
def test_the_chance_and_its_band_are_those_of_scipy(passed, failed, band):
    found = chance_to_pass([PASS] * passed + [FAIL] * failed, band=band)
    left = (1 - band / 100) / 2
    assert found.share == pytest.approx(betabinom(1, passed + 0.5, failed + 0.5).pmf(1), rel=1e-9)
    assert found.low == (pytest.approx(beta.ppf(left, passed + 0.5, failed + 0.5), abs=1e-9) if passed else 0)
    assert found.high == (pytest.approx(beta.ppf(1 - left, passed + 0.5, failed + 0.5), abs=1e-9) if failed else 1)
    assert beta_quantile(passed + 0.5, failed + 0.5, 0.5) == pytest.approx(beta.median(passed + 0.5, failed + 0.5))


@pytest.mark.parametrize("band", [80, 90])
@pytest.mark.parametrize("latest", [False, True], ids=["alike", "latest"])
def test_the_band_holds_the_true_chance_as_often_as_it_says(band, latest):
    """2000 hands of every chance, with 1 to 20 plates each."""
    chance, held = random.Random(41), 0
    for _ in range(2000):
        true, count = chance.random(), chance.randint(1, 20)
        found = chance_to_pass([PASS if chance.random() < true else FAIL for _ in range(count)], latest, band)
        held += found.low <= true <= found.high
    assert held / 2000 >= band / 100 - 0.03


@given(some.lists(some.booleans(), max_size=12))
def test_where_the_latest_count_most_each_counts_nine_tenths_of_the_next(results):
    """Summed by hand, from the last plate back."""
    found = chance_to_pass([PASS if each else FAIL for each in results], latest=True)
    passed = sum(0.9**back for back, each in enumerate(reversed(results)) if each)
    whole = sum(0.9**back for back in range(len(results)))
    assert found.share == pytest.approx((passed + 0.5) / (whole + 1))
    assert LATER == Fraction(9, 10)


@given(some.lists(some.sampled_from([PASS, FAIL]), max_size=8), some.integers(1, 5))
def test_a_plate_without_a_verdict_of_the_bend_changes_no_figure_and_is_told(results, many):
    unseen = [Plate(reached="welded"), Plate(reached="looked", verdict="passed"), Plate(), Plate(reached="fit-up")]
    with_them = chance_to_pass(results + [unseen[each % 4] for each in range(many)])
    assert replace(with_them, unknown=0) == chance_to_pass(results) and with_them.unknown == many


@given(some.lists(some.booleans(), min_size=1, max_size=20))
def test_one_more_passed_never_lowers_the_chance_nor_the_band(results):
    plates = [PASS if each else FAIL for each in results]
    before, better, worse = (chance_to_pass([*plates, *more]) for more in ((), (PASS,), (FAIL,)))
    assert worse.share < before.share < better.share
    assert worse.low <= before.low <= better.low and worse.high <= before.high <= better.high
    assert 0 <= before.low < before.share < before.high <= 1


# --- when booking pays -----------------------------------------------------------------


@pytest.mark.parametrize("passed, failed, cost, test, mended", [
    (1, 1, 25, 400, 0.1), (3, 1, 25, 400, 0.3), (0, 3, 10, 1000, 0.2), (5, 0, 25, 100, 0.5), (2, 3, 5, 900, 0.15),
])
def test_the_rule_of_booking_is_the_cheapest_of_all_by_brute_force(passed, failed, cost, test, mended):
    """Hands drawn from what the plates say; each welds so many more plates, then takes the test once."""
    chance, hands = random.Random(5), 8_000
    fails = [chance.betavariate(failed + 0.5, passed + 0.5) for _ in range(hands)]
    lucks = [chance.random() for _ in range(hands)]

    def spent(more):
        return sum(more * cost + test * (luck < fail * (1 - mended) ** more) for fail, luck in zip(fails, lucks)) / hands

    costs = [spent(more) for more in range(18)]
    rule = plates_before_booking((failed + 0.5) / (passed + failed + 1), cost, test, mended)
    # Three standard errors of a simulated cost.
    assert costs[rule] <= min(costs) + 3 * test * 0.5 / hands**0.5
    assert rule == 0 or costs[rule] < costs[0]
    far = [each for each in range(18) if abs(each - rule) > 6]
    assert all(costs[each] > costs[rule] for each in far)


def test_the_calculator_counts_as_the_rule_and_says_that_it_is_no_verdict():
    rows = "\n".join([FAIL.row, PASS.row, PASS.row])
    costs = {"plates": rows, "plate_cost": "25", "test_cost": "400"}
    answer = PLATE_CHANCE.answer(costs, mended="20 %")
    # By hand: 1.5/4 fail = 37.5 %; 0.375 × 400 = 150; it brings 30, then 24.
    assert (float(answer["book_now"].amount), float(answer["brings"].amount), answer["more"].amount) == (150, 30, 1)
    assert float(answer["pays_below"].amount) == 31.25
    assert PLATE_CHANCE.answer(costs).check("booking").level.value == "not known"
    dear = PLATE_CHANCE.answer(costs | {"plate_cost": "200"}).check("booking")
    assert dear.level.value == "note" and "says nothing of whether you will pass" in "".join(map(str, dear.phrase))
    assert any("not a certification" in each for each in answer.cautions)


def test_costs_are_asked_and_never_assumed():
    assert all(PLATE_CHANCE.defaults[name] == "" for name in ("plate_cost", "test_cost", "mended"))
    assert PLATE_CHANCE.answer().check("booking").level.value == "incomplete"


# --- what is found -----------------------------------------------------------------------


PAGES_OF_WORDS = {
    "Cleaning": ["cleaning"], "Rods": ["rods"], "Machine": ["machine"], "Passes": ["passes"], "Heat": ["heat"],
    "Cutting and cleaning": ["cutting", "cleaning"], "Fit-up": ["fit-up"], "Tacks": ["fit-up"],
    "Beveling": ["bevelling"],
}


def test_the_flaws_and_the_stages_that_make_them_are_those_of_their_page():
    table = re.findall(r"^\| \[([^]]+)\]\(#flaws-([a-z]+)\) \|", FLAWS_PAGE, re.MULTILINE)
    ours = [("Cracks" if each.key == "crack" else each.name, each.anchor) for each in FLAWS]
    assert ours == table
    for flaw in FLAWS:
        section = re.search(rf"\{{#flaws-{flaw.anchor}\}}(.*?)^## ", FLAWS_PAGE, re.DOTALL | re.MULTILINE)[1]
        starts = re.search(r"\*\*Where (?:it starts|they start)\.\*\*(.*?)\*\*In the bend", section, re.DOTALL)[1]
        stages = {page for word in re.findall(r"\*([A-Z][a-z -]+):\*", starts) for page in PAGES_OF_WORDS[word]}
        assert set(flaw.stages) == stages, flaw.key
    assert {stage for flaw in FLAWS for stage in flaw.stages} == set(STAGES)


def test_a_flaw_comes_back_on_its_second_plate_and_the_stage_is_one_that_makes_them_all():
    plates = [Plate(opened="slag-inclusion", specimen="face"), Plate(looked="mismatch"), Plate(looked="mismatch")]
    assert [(each.key, count) for each, count in comes_back(plates)] == [("mismatch", 2)]
    assert suspected(plates) == [("fit-up", 3)] and comes_back(plates[:2]) == [] and suspected([PASS]) == []


@pytest.mark.parametrize("cells, column", [
    ({"reached": "welded", "looked": "undercut"}, "looked"), ({"reached": "looked", "opened": "porosity"}, "opened"),
    ({"specimen": "face"}, "opened"), ({"opened": "porosity"}, "specimen"),
    ({"reached": "fit-up", "verdict": "failed"}, "verdict"), ({"date": "soon"}, "date"), ({"looked": "rust"}, "looked"),
])
def test_a_plate_that_contradicts_itself_is_refused_by_its_column(cells, column):
    with pytest.raises(InputError) as trouble:
        read_plate(cells)
    assert trouble.value.field == column
    told = asked("plates-log", cells=cells, id="plate-1", at="2026-03-02T10:00:00")
    assert told["field"] == column and "plate" not in told


def test_no_plate_passes_with_a_crack():
    """AWS D1.1, 4.9.1 and Table 6.1: no crack of any size. What was kept before is kept, and does not count as passed."""
    cells = {"looked": "crack", "verdict": "passed"}
    assert asked("plates-log", cells=cells, id="plate-1", at="2026-03-02T10:00:00")["field"] == "verdict"
    with pytest.raises(InputError, match="Plate 1, verdict: no crack"):
        PLATE_CHANCE.answer(plates=" | ".join(["", "not-said", "bent", "none", "crack", "none", "none", "passed"]))
    assert read_plate(cells).passed is None


def test_a_plate_is_kept_as_it_was_logged():
    cells = {"date": "2026-03-01", "position": "3G", "opened": "porosity", "specimen": "root", "verdict": "failed"}
    told = asked("plates-log", cells=cells, id="plate-1", at="2026-03-02T10:00:00")
    assert told["plate"] | cells == told["plate"] and told["plate"]["at"] == "2026-03-02T10:00:00"
    assert "not come" in asked("plates-log", cells={"date": "2026-03-03"}, id="plate-1")["error"]
    told = asked("plates-told", plates={"plate-1": told["plate"]})
    assert told["rows"] == "2026-03-01 | 3G | bent | none | none | porosity | root | failed"
    assert "0 of 1 plates passed" in told["html"] and "1 plate tells little" in told["short"]
    assert "not a plate" in asked("plates-told", plates={"plate-1": 3})["refused"]


def test_the_form_has_a_field_for_every_column_and_today_stands_in_it():
    html = asked("plates-form", place="plate")["html"]
    assert all(f'name="{column.name}"' in html for column in COLUMNS) and f'value="{TODAY}"' in html


def test_names_from_outside_never_become_markup():
    assert "<b>" not in plates_page.kept_html([Plate("<b>", id="plate-1")])


@given(some.dictionaries(some.sampled_from("abc"), some.builds(
    Plate, verdict=some.sampled_from(["passed", "failed"]), at=some.sampled_from(["", "2026-03-01T10:00:00"])), max_size=3),
    some.dictionaries(some.sampled_from("abc"), some.builds(Plate, at=some.just("2026-03-02T10:00:00")), max_size=3))
def test_of_two_logs_every_plate_stands_once_in_its_latest_writing(one, other):
    both = joined(one, other)
    assert both == joined(other, one) == joined(both, other) and set(both) == {*one, *other}
    assert all(both[name] == plate for name, plate in other.items())


# --- from a record -----------------------------------------------------------------------


def plate_of(**changes):
    rows = {**PLATE.rows, **changes.pop("rows", {})}
    values = {**PLATE.values, **changes}
    return from_record(judge(replace(PLATE, values=values, rows=rows), datetime.date(2026, 3, 3)))


def test_a_finished_record_is_the_plate_that_it_judged():
    """The demo: in order at visual inspection; 3/16 in at a corner with nothing seen in it is within AWS D1.1."""
    found = plate_of()
    verdict = {"ok": "passed", "stop": "failed"}[judge(PLATE).line("bends").level.value]
    assert (found.date, found.position, found.reached, found.verdict) == ("2026-03-02", "3G", "bent", verdict)
    assert found.opened == found.looked == "none", "a record does not say which kind opened"
    wide = plate_of(rows={"findings": (("1", "1/4 in", "face", "no", ""),)})
    assert wide.passed is False and wide.reached == "bent"


def test_a_record_that_failed_visual_inspection_failed_by_that_flaw():
    found = plate_of(undercut_depth="1/8 in", rows={"coupons": (), "findings": ()})
    assert (found.reached, found.looked, found.passed) == ("looked", "undercut", False)


@pytest.mark.parametrize("changes", [
    {"rows": {"coupons": (), "findings": ()}}, {"cracks": "", "rows": {"coupons": (), "findings": ()}},
    {"bend_rule": ""}, {"cracks": ""},
    {"rows": {"coupons": (("face", "3/8 in", "1-1/2 in", "yes", "1/16 in"), ("root", "", "", "no", ""))}},
], ids=["not bent", "not looked over", "no rule", "a point of the inspection is blank", "one of two is bent"])
def test_what_a_record_has_not_judged_is_not_known(changes):
    assert plate_of(**changes).passed is None


def test_the_page_takes_finished_records_and_counts_the_others():
    from calc.record.shape import as_data

    real = [replace(PLATE, invented=False, id=f"record-000{number}", name="<b>") for number in (1, 2)]
    real[1] = replace(real[1], rows={})
    told = asked("plates-of-records", records=[*map(as_data, real), as_data(PLATE), {"format": "x"}])
    assert list(told["plates"]) == ["plate-record-0001"] and told["unfinished"] == 1
    kept = told["plates"]["plate-record-0001"]["plate"]
    assert kept["record"] == "record-0001" and asked("plates-told", plates={"plate-record-0001": kept})["rows"]
    assert plate_data(plate_of()) | {"id": "", "record": ""} == kept | {"id": "", "record": ""}
