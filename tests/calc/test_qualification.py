"""Test plan, retest and continuity.

Dates are checked against python-dateutil, whose relativedelta keeps the day of the month and takes the last day of a
shorter one. Rules are checked against the rows of the documents (AWS D1.1, ASME IX, ISO 9606-1, Iowa DOT IM 559 of
April 2016), written out beside each test as the project holds them; most are from memory, as the register says.
"""

from __future__ import annotations

import datetime
from fractions import Fraction

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given, settings, strategies as st

from calc.core.declare import InputError, Level, phrase_text
from calc.core.sources import Standing
from calc.core.units import LENGTH, parse
from calc.stages.qualification import (
    CONTINUITY,
    POSITION_ROWS,
    RETEST,
    SINGLE_TESTS,
    TEST_PLAN,
    add_months,
    continuity_rule,
    gaps_in,
    last_day,
    positions_qualified,
)

QUICK = settings(max_examples=60, deadline=None)
DAYS = st.dates(datetime.date(1990, 1, 1), datetime.date(2100, 12, 31))


def inches(amount) -> Fraction:
    """A length in inches, by the definition 1 in = 25.4 mm (international yard and pound agreement, 1959)."""
    return amount / Fraction("0.0254")


def said(result, level: Level) -> str:
    return " ".join(phrase_text(check.phrase, "us") for check in result.checks if check.level is level)


def day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


# --- what a plate qualifies ---------------------------------------------------


# AWS D1.1:2015 Table 4.11 as we hold it: plate, coupons, from, to (inches; None is unlimited).
@pytest.mark.parametrize("plate, coupons, low, high", [
    ("3/8 in", "1 face bend and 1 root bend", "1/8", "3/4"),
    ("1/2 in", "2 side bends", "1/8", "1"),
    ("3/4 in", "2 side bends", "1/8", "3/2"),
    ("1 in", "2 side bends", "1/8", None),
    ("2 in", "2 side bends", "1/8", None),
])
def test_plate_thickness_by_d11(plate, coupons, low, high):
    result = TEST_PLAN.answer(thickness=plate)
    assert result["coupons"].wording == coupons
    assert inches(result["qualified_low"].amount) == Fraction(low)
    if high is None:
        assert result["qualified_high"].wording == "unlimited"
        assert result["kind_of_test"].wording == "unlimited thickness"
    else:
        assert inches(result["qualified_high"].amount) == Fraction(high)
        assert result["kind_of_test"].wording == "limited thickness"


# The metric column of AWS D1.1M rounds 3/8 in to 10 mm and 1 in to 25 mm; 9.5 mm is how 3/8 in plate is sold.
@pytest.mark.parametrize("plate, coupons, high", [
    ("9.5 mm", "1 face bend and 1 root bend", "19.05"), ("10 mm", "1 face bend and 1 root bend", "19.05"),
    ("10.1 mm", "2 side bends", "20.2"), ("24.9 mm", "2 side bends", "49.8"), ("25 mm", "2 side bends", None),
])
def test_nominal_metric_plates_at_the_edges_of_the_d11_rows(plate, coupons, high):
    result = TEST_PLAN.answer(thickness=plate)
    assert result["coupons"].wording == coupons
    assert result["qualified_high"].amount == (None if high is None else Fraction(high) / 1000)
    assert (result.check("nominal") is not None) == (plate in ("9.5 mm", "10 mm", "25 mm"))


# ASTM A6 (from memory): plate may be 0.01 in under its size.
@pytest.mark.parametrize("plate, high", [("0.365 in", Fraction(3, 4)), ("0.370 in", Fraction(3, 4)), ("0.99 in", None)])
def test_a_plate_as_the_mill_may_deliver_it_takes_its_nominal_size(plate, high):
    result = TEST_PLAN.answer(thickness=plate)
    assert result.check("nominal").level is Level.NOTE
    assert (result["qualified_high"].amount and inches(result["qualified_high"].amount)) == high


def test_between_the_inch_and_the_metric_size_it_says_so():
    assert TEST_PLAN.answer(thickness="0.385 in").check("nominal").level is Level.CAUTION


def test_a_plate_under_the_d11_table_is_not_known():
    result = TEST_PLAN.answer(thickness="0.364 in")
    assert result.check("thin-plate").level is Level.NOT_KNOWN
    assert "AWS D1.1" in said(result, Level.NOT_KNOWN) and "3/8 in" in said(result, Level.NOT_KNOWN)
    assert result["coupons"].wording.startswith("not known")
    other = TEST_PLAN.answer(thickness="0.364 in", rule="asme-ix")
    assert other["d11_high"].wording == "no row for this plate"


# ASME IX QW-452.1 as we hold it.
@pytest.mark.parametrize("plate, layers, coupons, high", [
    ("1/4 in", "", "1 face bend and 1 root bend", "1/2"),
    ("3/8 in", "", "1 face bend and 1 root bend, or 2 side bends in their place", "3/4"),
    ("1/2 in", "2", "1 face bend and 1 root bend, or 2 side bends in their place", "1"),
    ("0.499 in", "3", "1 face bend and 1 root bend, or 2 side bends in their place", "0.998"),
    ("1/2 in", "3", "1 face bend and 1 root bend, or 2 side bends in their place", None),
    ("1/2 in", "", "1 face bend and 1 root bend, or 2 side bends in their place", "1"),
    ("3/4 in", "4", "2 side bends", None),
])
def test_plate_thickness_by_asme(plate, layers, coupons, high):
    result = TEST_PLAN.answer(thickness=plate, layers=layers, rule="asme-ix")
    assert result["coupons"].wording == coupons
    assert "no lower limit" in result["qualified_low"].wording
    if high is None:
        assert result["qualified_high"].wording == "unlimited"
    else:
        assert inches(result["qualified_high"].amount) == Fraction(high)


# ISO 9606-1:2012 Table 6: 3 mm <= s < 12 mm gives 3 mm to 2s; s >= 12 mm gives 3 mm or more.
@pytest.mark.parametrize("plate, high", [("10 mm", "0.020"), ("11.9 mm", "0.0238"), ("12 mm", None), ("25 mm", None)])
def test_plate_thickness_by_iso(plate, high):
    result = TEST_PLAN.answer(thickness=plate, rule="iso-9606-1")
    assert result["qualified_low"].amount == Fraction("0.003")
    assert result["qualified_high"].amount == (None if high is None else Fraction(high))
    assert (result["qualified_high"].wording == "unlimited") == (high is None)
    assert "ask the examiner" in result["coupons"].wording


# AWS D1.1:2015 Table 4.10, plate groove tests, as we hold it; 3G and 4G together: all.
@pytest.mark.parametrize("test, groove, fillet", [
    ("1G", "F", "F H"), ("2G", "F H", "F H"), ("3G", "F H V", "F H V"), ("4G", "F OH", "F H OH"),
    ("3G-4G", "F H V OH", "F H V OH"),
])
def test_positions_by_d11(test, groove, fillet):
    assert positions_qualified("d1.1", test) == (tuple(groove.split()), tuple(fillet.split()))


# ASME IX QW-461.9, groove column.
@pytest.mark.parametrize("test, groove", [("1G", "F"), ("2G", "F H"), ("3G", "F V"), ("4G", "F OH")])
def test_positions_by_asme(test, groove):
    covered, fillet = positions_qualified("asme-ix", test)
    assert covered == tuple(groove.split())
    assert set(covered) <= set(fillet)


def test_a_butt_weld_by_iso_covers_no_fillet():
    result = TEST_PLAN.answer(rule="iso-9606-1", weld="fillet")
    assert result["fillet_positions"].wording == "none"
    assert "does not qualify vertical fillet welds" in said(result, Level.STOP)
    assert "ask for a fillet test" in said(result, Level.STOP)


def test_the_mix_up_on_4g_is_told():
    """AWS D1.1:2020 Table 6.10 (read): 4G gives flat and overhead grooves, and flat, horizontal and overhead
    fillets.
    """
    result = TEST_PLAN.answer(position="4G", work_position="H")
    assert result["groove_positions"].wording == "flat and overhead"
    assert result["groove_positions_wider"].wording == "flat, horizontal and overhead"
    assert result["groove_positions_wider"].source.standing is Standing.SECONDARY
    assert result.check("four-g").level is Level.NOTE
    assert result.check("position").level is Level.STOP
    assert TEST_PLAN.answer(position="3G").check("four-g") is None


def test_layers_not_counted_leave_the_range_open():
    """ASME IX QW-452.1(b) (read): from 1/2 in with three layers or more, the most to be welded."""
    half = {"rule": "asme-ix", "thickness": "1/2 in", "work_thickness": "2 in"}
    assert TEST_PLAN.answer(half).check("layers").level is Level.INCOMPLETE
    assert TEST_PLAN.answer(half, layers="2").check("thickness-high").level is Level.STOP
    assert TEST_PLAN.answer(half, layers="3").check("thickness").level is Level.OK


@pytest.mark.parametrize("work, fits", [("1/8 in", True), ("3/4 in", True), ("0.751 in", False), ("0.124 in", False)])
def test_work_at_and_beside_the_ends_of_the_range(work, fits):
    result = TEST_PLAN.answer(thickness="3/8 in", work_thickness=work)
    assert (result.check("thickness") is not None) == fits
    assert (result.level is Level.STOP) != fits


# Independent of the formula: the plate named for the work must itself qualify that work by the table above.
@given(st.integers(13, 300), st.sampled_from(["d1.1", "asme-ix", "iso-9606-1"]))
@QUICK
def test_the_plate_named_for_the_work_covers_it_and_a_thinner_one_does_not(hundredths, rule):
    work = f"{hundredths / 100} in"
    answer = TEST_PLAN.answer(work_thickness=work, thickness="1 in", rule=rule)
    plate = answer["plate_for_work"].amount
    if plate is None:
        assert rule == "d1.1" and "just over 3/8 in" in answer["plate_for_work"].wording
        assert Fraction("0.75") < parse(work, LENGTH) / Fraction("0.0254") <= Fraction(20) / Fraction("25.4")
        return
    if inches(plate) >= Fraction(1, 8):
        shown = f"{float(plate) * 1000:.9f} mm"
        covering = TEST_PLAN.answer(work_thickness=work, thickness=shown, rule=rule, layers="3")
        high = covering["qualified_high"].amount
        assert high is None or float(high) >= float(parse(work, LENGTH)) - 1e-9
    thinner = plate * Fraction(98, 100)
    assume(inches(thinner) >= Fraction(3, 8))
    if rule == "d1.1":
        assume(plate != parse("1 in", LENGTH))  # 25 mm counts as 1 in
    below = TEST_PLAN.answer(work_thickness=work, thickness=f"{float(thinner) * 1000:.9f} mm", rule=rule, layers="3")
    assert below["qualified_high"].amount is not None and below["qualified_high"].amount < parse(work, LENGTH)


def test_work_thinner_than_any_plate_test_is_told():
    result = TEST_PLAN.answer(work_thickness="1/16 in")
    assert result["plate_for_work"].wording.startswith("none")


@given(st.integers(375, 4000), st.integers(0, 400), st.sampled_from(["d1.1", "asme-ix", "iso-9606-1"]))
@QUICK
def test_a_thicker_test_plate_never_qualifies_less(thousandths, more, rule):
    def top(plate: int) -> float:
        amount = TEST_PLAN.answer(
            thickness=f"{min(plate, 4000) / 1000} in", rule=rule, layers="3",
        )["qualified_high"].amount
        return float("inf") if amount is None else float(amount)

    assert top(thousandths + more) >= top(thousandths)


@pytest.mark.parametrize("row", POSITION_ROWS, ids=lambda row: f"{row.rule}-{row.test}")
def test_every_test_position_qualifies_itself(row):
    """True of every code: you may weld grooves in the position you were tested in."""
    own = {"1G": "F", "2G": "H", "3G": "V", "4G": "OH"}[row.test]
    assert own in row.groove and "F" in row.groove


def test_the_other_documents_are_shown_beside_the_chosen_one():
    result = TEST_PLAN.answer(position="3G")
    assert result["asme_ix_positions"].wording == "groove: flat and vertical; fillet: flat, horizontal and vertical"
    assert inches(result["asme_ix_high"].amount) == inches(result["iso_9606_1_high"].amount) == Fraction(3, 4)


def test_backing_is_always_told():
    for test in (*SINGLE_TESTS, "3G-4G"):
        assert "without backing" in phrase_text(TEST_PLAN.answer(position=test).check("backing").phrase, "us")


# --- calendar months -----------------------------------------------------------


@given(DAYS, st.integers(0, 60))
@QUICK
def test_months_agree_with_dateutil(start, months):
    assert add_months(start, months) == start + relativedelta(months=months)


# Month ends and leap days, from the calendar: 2024 and 2000 had a 29 February, 2100 has none.
@pytest.mark.parametrize("start, months, end", [
    ("2025-08-31", 6, "2026-02-28"), ("2023-08-31", 6, "2024-02-29"), ("2023-08-29", 6, "2024-02-29"),
    ("2022-08-29", 6, "2023-02-28"),
    ("2024-02-29", 6, "2024-08-29"), ("2024-02-29", 12, "2025-02-28"), ("2024-02-29", 48, "2028-02-29"),
    ("2099-08-31", 6, "2100-02-28"),
    ("1999-08-30", 6, "2000-02-29"), ("2025-03-31", 6, "2025-09-30"), ("2025-12-31", 1, "2026-01-31"),
    ("2025-07-15", 6, "2026-01-15"),
    ("2025-07-15", 0, "2025-07-15"),
])
def test_month_ends_and_leap_days(start, months, end):
    assert add_months(day(start), months) == day(end)


@given(DAYS, st.integers(0, 36))
@QUICK
def test_months_never_leave_the_month_meant_nor_pass_the_day(start, months):
    end = add_months(start, months)
    assert (end.year - start.year) * 12 + end.month - start.month == months
    assert end.day <= start.day
    assert end.day == start.day or (end + datetime.timedelta(days=1)).day == 1


@pytest.mark.parametrize("months", [-1, 1201, 1.5, True, "6"])
def test_a_count_of_months_out_of_range_is_refused(months):
    with pytest.raises(ValueError, match="whole number from 0 to 1200 months"):
        add_months(day("2025-01-01"), months)


def test_a_hundred_years_are_the_most_months():
    assert add_months(day("2025-01-01"), 1200) == day("2125-01-01")


# --- retest ----------------------------------------------------------------------


# AWS D1.1:2004 4.32.1, ASME IX QW-321, Iowa DOT IM 559 (April 2016) as we hold them.
@pytest.mark.parametrize("rule, route, failed, plates", [
    ("d1.1", "immediate", 1, 2), ("d1.1", "immediate", 3, 6), ("d1.1", "training", 1, 1), ("d1.1", "training", 2, 2),
    ("asme-ix", "immediate", 1, 2), ("asme-ix", "training", 2, 2), ("iowa-dot", "immediate", 2, 4),
])
def test_plates_of_a_retest(rule, route, failed, plates):
    result = RETEST.answer(rule=rule, route=route, failed=str(failed))
    assert result["plates"].amount == plates
    assert result["bend_coupons"].amount == 2 * plates
    if rule != "iowa-dot":
        assert "no date" in result["latest_date"].wording


@given(DAYS)
@QUICK
def test_the_owner_rule_gives_one_month(failed_on):
    latest = RETEST.answer(rule="iowa-dot", failed_on=str(failed_on))["latest_date"].wording
    assert day(latest) == failed_on + relativedelta(months=1)


@pytest.mark.parametrize(
    "retest_on, level", [("2026-04-29", Level.OK), ("2026-04-30", Level.OK), ("2026-05-01", Level.STOP)],
)
def test_a_retest_before_on_and_after_the_last_day(retest_on, level):
    result = RETEST.answer(rule="iowa-dot", failed_on="2026-03-31", retest_on=retest_on)
    assert result["latest_date"].wording == "2026-04-30"
    assert retest_on in said(result, level)
    assert "current issue" in said(result, Level.CAUTION)


def test_a_retest_before_the_failed_test_is_refused():
    with pytest.raises(InputError) as trouble:
        RETEST.answer(failed_on="2026-03-31", retest_on="2026-03-30")
    assert trouble.value.field == "retest_on" and "2026-03-31 or a later date" in trouble.value.message


def test_a_route_that_the_rule_does_not_name_is_not_known():
    result = RETEST.answer(rule="iowa-dot", route="training")
    assert result.check("route").level is Level.NOT_KNOWN
    assert "Iowa DOT IM 559" in said(result, Level.NOT_KNOWN)
    assert "plates" not in {value.name for value in result.values}


def test_no_retest_at_once_after_a_failed_one_to_requalify():
    """AWS D1.1:2004 4.32.1.4, quoted in a discussion; the other rules as we hold them say nothing of it."""
    assert RETEST.answer(after_lapse="yes").check("requalification").level is Level.STOP
    assert RETEST.answer(after_lapse="yes", rule="asme-ix").check("requalification").level is Level.NOT_KNOWN
    assert RETEST.answer(after_lapse="yes", route="training").check("requalification") is None


def test_no_date_is_invented_where_the_rule_has_none():
    result = RETEST.answer(rule="d1.1", retest_on="2026-09-01")
    assert result.check("retest-date").level is Level.NOT_KNOWN
    assert "not at once, as we read it" in said(result, Level.NOT_KNOWN)
    assert not said(result, Level.STOP)


# --- continuity ------------------------------------------------------------------


def continuity(rule: str = "d1.1", qualified: str = "2025-01-15", uses: str = "", today: str = "2025-06-01"):
    return CONTINUITY.answer(rule=rule, qualified_on=qualified, uses=uses, today=today)


# "more than" six months: the day itself is in time (AWS D1.1:2015, 4.2.3.1). ASME IX: "6 months or more" from memory.
@pytest.mark.parametrize("rule, today, status", [
    ("d1.1", "2025-07-14", "current"), ("d1.1", "2025-07-15", "current"), ("d1.1", "2025-07-16", "lapsed"),
    ("iowa-dot", "2025-07-15", "current"), ("iowa-dot", "2025-07-16", "lapsed"),
    ("asme-ix", "2025-07-14", "current"), ("asme-ix", "2025-07-15", "lapsed"),
    ("iso-9606-1", "2025-07-15", "current"), ("iso-9606-1", "2025-07-16", "lapsed"),
])
def test_the_last_day_and_the_day_after(rule, today, status):
    result = continuity(rule, today=today)
    assert result["status"].wording == status
    if status == "current":
        assert result["days_left"].amount == (day(result["due_date"].wording) - day(today)).days
    else:
        lapsed = "2025-07-15" if rule == "asme-ix" else "2025-07-16"
        assert result["lapsed_on"].wording == lapsed
        assert "does not make the qualification current again" in said(result, Level.STOP)


def test_a_use_moves_the_due_date_from_its_own_day():
    assert continuity(uses="2025-05-31")["due_date"].wording == "2025-11-30"
    assert continuity(uses="2025-05-31; 2025-03-02")["due_date"].wording == "2025-11-30"


def test_a_later_use_does_not_heal_an_old_gap():
    result = continuity(uses="2025-09-01 | used\n2026-01-10 | used", today="2026-02-01")
    assert result["status"].wording == "lapsed" and result["gaps"].amount == 1
    assert result["lapsed_on"].wording == "2025-07-16"
    # 15 July to 1 September: 16 + 31 + 1 days.
    assert "From 2025-01-15 to 2025-09-01 is too long: 48 days past 2025-07-15" in said(result, Level.STOP)
    assert result["renewal"].wording == "a test on plate 3/8 in (10 mm) thick"


def test_every_gap_is_found_the_open_one_too():
    result = continuity(uses="2025-09-01\n2025-12-01", today="2026-06-02")
    assert result["gaps"].amount == 2
    assert "to today, 2026-06-02" in said(result, Level.STOP)


# Independent of the code: a plain walk over every day, with dateutil's months.
@given(
    st.dates(datetime.date(2020, 1, 1), datetime.date(2021, 12, 31)), st.lists(st.integers(0, 1500), max_size=8),
    st.integers(0, 300),
)
@QUICK
def test_alive_agrees_with_a_walk_day_by_day(start, offsets, after):
    uses = [start + datetime.timedelta(days=each) for each in offsets]
    today = max([start, *uses]) + datetime.timedelta(days=after)
    known, last, alive = set(uses), start, True
    for number in range((today - start).days + 1):
        walked = start + datetime.timedelta(days=number)
        alive = alive and walked <= last + relativedelta(months=6)
        if walked in known:
            last = walked
    result = continuity(qualified=str(start), uses="\n".join(map(str, uses)), today=str(today))
    assert (result["status"].wording == "current") == alive


@given(st.lists(DAYS, min_size=1, max_size=8), st.randoms(use_true_random=False))
@QUICK
def test_the_order_of_the_log_does_not_matter(dates, shuffler):
    mixed = dates[:]
    shuffler.shuffle(mixed)
    rule = continuity_rule("d1.1")
    assert gaps_in(dates, max(dates), rule) == gaps_in(mixed, max(dates), rule)


def test_iso_counts_signed_entries_only():
    unsigned = continuity("iso-9606-1", uses="2025-06-01 | used", today="2025-09-01")
    signed = continuity("iso-9606-1", uses="2025-06-01 | signed", today="2025-09-01")
    assert unsigned["status"].wording == "lapsed" and signed["status"].wording == "current"
    assert "1 of 1 entries carry no signature" in said(unsigned, Level.CAUTION)
    assert continuity("d1.1", uses="2025-06-01 | used", today="2025-09-01")["status"].wording == "current"


# ISO 9606-1 clause 9.3, first option: three years from the test.
def test_iso_ends_after_three_years_whatever_is_signed():
    log = "\n".join(f"{year}-{month:02d}-28 | signed" for year in (2024, 2025, 2026) for month in (4, 8, 12))
    last = continuity("iso-9606-1", "2024-02-29", log, "2027-02-28")
    assert last["revalidation_date"].wording == "2027-02-28"
    assert last["status"].wording == "current" and last["days_left"].amount == 0
    assert "pass a new test" in phrase_text(last.headline, "us")
    over = continuity("iso-9606-1", "2024-02-29", log, "2027-03-01")
    assert over["status"].wording == "lapsed" and over["lapsed_on"].wording == "2027-03-01"
    assert "three years ended on 2027-02-28" in said(over, Level.STOP)


def test_the_yearly_extension_of_the_owner_rule():
    result = continuity("iowa-dot", "2024-02-29", "2024-08-01\n2025-01-20\n2025-07-01", "2025-08-01")
    assert result["extension_date"].wording == "2026-02-28"


# A trade column of 2011 says that API 1104 has no clause of six months.
def test_api_gives_no_date():
    result = continuity("api-1104", "1995-05-05", "", "2026-03-31")
    assert result["due_date"].wording == "no date in this rule"
    assert "lapsed" not in result["status"].wording.split()
    assert "employer" in said(result, Level.CAUTION)
    assert continuity("api-1104").check("owner").level is Level.NOTE


def test_a_reason_to_question_the_ability_ends_it_whatever_the_log_says():
    """AWS D1.1:2015, 4.2.3.1: in force unless more than six months, or a specific reason to question ability."""
    result = CONTINUITY.answer(questioned="yes")
    assert result["status"].wording == "in question"
    assert result.check("questioned").level is Level.STOP


# ISO 9606-1 9.3: by records every two years, by a new test after three.
@pytest.mark.parametrize(
    "today, level",
    [("2027-08-31", Level.CAUTION), ("2027-09-01", Level.NOT_KNOWN), (
        "2028-08-31", Level.NOT_KNOWN,
    ), ("2028-09-01", Level.STOP)],
)
def test_the_options_of_iso_as_the_years_pass(today, level):
    uses = "\n".join(
        f"{each} | signed" for each in (
            "2026-02-15", "2026-08-10", "2027-02-05", "2027-08-01", "2028-01-25", "2028-07-20",
        ) if each <= today
    )
    assert CONTINUITY.answer(rule="iso-9606-1", uses=uses, today=today).check("term").level is level


@pytest.mark.parametrize("extended, level", [("", Level.NOT_KNOWN), ("2026-08-20", Level.OK)])
def test_an_extension_that_is_not_entered_is_not_known(extended, level):
    """Iowa DOT IM 559: extended yearly with the logs."""
    more = {"rule": "iowa-dot", "uses": "2026-02-15 | signed; 2026-08-10 | signed", "today": "2026-10-01"}
    assert CONTINUITY.answer(more, extended_on=extended).check("extension").level is level
    assert CONTINUITY.answer(rule="iowa-dot").check("extension").level is Level.OK


@pytest.mark.parametrize(
    "given_texts, field, part",
    [
        ({"today": "2025-01-14"}, "today", "2025-01-15 or a later date"),
        (
            {"uses": "2025-01-14"}, "uses", "Use 1, date: 2025-01-14 is before the test was passed; write a date from "
            "2025-01-15 to 2025-06-01",
        ),
        ({"uses": "2025-02-01\n2025-06-02"}, "uses", "Use 2, date: 2025-06-02 is after today"),
        ({"uses": "| signed"}, "uses", "Use 1, date: nothing is written"),
        ({"uses": "2025-02-30"}, "uses", "is not a date"),
    ],
)
def test_dates_that_cannot_be_are_refused(given_texts, field, part):
    with pytest.raises(InputError) as trouble:
        continuity(**given_texts)
    assert trouble.value.field == field and part in trouble.value.message


def test_the_forms_of_words_for_the_last_day():
    assert last_day(day("2023-08-31"), 6) == day("2024-02-29")
    assert last_day(day("2023-08-31"), 6, day_itself=False) == day("2024-02-28")


@pytest.mark.parametrize("calculator", [TEST_PLAN, RETEST, CONTINUITY], ids=lambda each: each.id)
def test_each_judgement_says_that_it_is_study_help(calculator):
    cautions = " ".join(calculator.answer().cautions)
    assert "study help, not a certification" in cautions and "qualified inspector" in cautions


@pytest.mark.parametrize("today, turn", [
    ("2025-02-28", "2026-02-28"), ("2025-03-01", "2026-02-28"), ("2026-02-28", "2026-02-28"),
    ("2026-03-01", "2027-02-28"),
])
def test_a_yearly_extension_comes_first_a_year_after_the_test(today, turn):
    result = CONTINUITY.answer(
        rule="iowa-dot", qualified_on="2025-02-28",
        uses="\n".join(f"{each} | signed" for each in ("2025-02-28", "2025-08-20", "2026-02-10") if each <= today),
        today=today,
    )
    assert result["status"].wording == "current" and result["extension_date"].wording == turn
    assert (result.check("extension").level is Level.OK) == (today <= "2026-02-28")
