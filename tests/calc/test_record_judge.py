"""The record's verdicts at each published limit: at it, just under it, just over it.

The limits are written here from the register of sources, not taken from calc: AWS D1.1 clause 4.9.3.3 (bends), 4.9.1
(visual), Table 3.3 (preheat), the prequalified groove tolerances and A5.1 current ranges; ASME IX QW-163 and QW-466.1;
49 CFR 192 Appendix C; ISO 9606-1 6.5.3; the six-month clause.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from fractions import Fraction

import pytest

from calc.record.demo import LOG, PLATE
from calc.core.declare import Level, phrase_text
from calc.record.bench import STUDY_AID
from calc.record.form import said_html
from calc.record.judge import judge
from calc.record.shape import blank
from calc.record.sheet import sheet_html

TINY = Fraction(1, 10_000)
WITHIN, BROKEN, OPEN, WAITS = Level.OK, Level.STOP, Level.INCOMPLETE, Level.INCOMPLETE


def inches(value: Fraction) -> str:
    return f"{float(value):.6f} in"


def day(rows=None, **values):
    """The demonstration with other values; its openings taken out."""
    kept = {key: text for key, text in {**PLATE.values, **values}.items() if text}
    return replace(PLATE, values=kept, rows={**PLATE.rows, "findings": (), **(rows or {})})


def opened(*openings, rule="aws", figures="inch", coupons=2, kind=None):
    kinds = [kind] * coupons if kind else ["face", "root"] * (coupons // 2)
    rows = {"findings": tuple(openings), "coupons": tuple((each, "3/8 in", "1-1/2 in", "yes", "") for each in kinds)}
    return judge(day(rows, bend_rule=rule, figures=figures))


def opening(size: Fraction | str, coupon="1", place="face", flaw="no"):
    return (coupon, size if isinstance(size, str) else inches(size), place, flaw, "")


# --- bends ---------------------------------------------------------------------------------


@pytest.mark.parametrize("rule, kind, coupons, limit", [
    ("aws", None, 2, Fraction(1, 8)), ("asme", None, 2, Fraction(1, 8)), ("navy", None, 2, Fraction(1, 8)),
], ids=["AWS 1/8 in", "ASME QW-163 1/8 in", "Navy 1/8 in"])
@pytest.mark.parametrize("off, standing", [(-TINY, WITHIN), (0, WITHIN), (TINY, BROKEN)])
def test_single_opening(rule, kind, coupons, limit, off, standing):
    judgement = opened(opening(limit + off), rule=rule, kind=kind, coupons=coupons)
    assert judgement.line("coupon-1").level is standing
    assert judgement.line("coupon-2").level is WITHIN
    assert judgement.line("bends").level is standing
    # How many coupons the Navy's rule asks for is not held, so nothing of it is told as in order.
    held = standing if rule != "navy" or standing is BROKEN else Level.NOT_KNOWN
    assert judgement.line("test").level is held


@pytest.mark.parametrize("size, standing", [("2.9999 mm", WITHIN), ("3 mm", BROKEN), ("3.0001 mm", BROKEN)])
def test_iso_fails_a_flaw_of_3_mm_itself(size, standing):
    assert opened(opening(size), rule="iso").line("coupon-1").level is standing


@pytest.mark.parametrize("size, standing", [("2.9999 mm", WITHIN), ("3 mm", WITHIN), ("3.0001 mm", BROKEN)])
def test_millimeter_figures_of_aws(size, standing):
    assert opened(opening(size), figures="metric").line("coupon-1").level is standing


@pytest.mark.parametrize("last, standing", [(Fraction(1, 8) - TINY, WITHIN), (Fraction(1, 8), WITHIN)])
def test_sum_at_and_under_three_eighths(last, standing):
    """Three openings of 1/8 in make 3/8 in exactly."""
    eighth = Fraction(1, 8)
    assert opened(opening(eighth), opening(eighth), opening(last)).line("coupon-1").level is standing


@pytest.mark.parametrize("kind", ["root", "side", "face"])
def test_coupons_are_judged_as_the_bends_that_they_are(kind):
    judgement = opened(("1", "1/16 in", "face", "no", ""), kind=kind)
    (said,) = [phrase_text(flag.phrase, "us") for flag in judgement.flags if flag.place == "findings/1/size"]
    assert f"({kind} bend)" in said


def test_sum_just_over_three_eighths():
    eighth = Fraction(1, 8)
    fourth = Fraction(1, 32) + TINY
    assert opened(*[opening(eighth)] * 3, opening(fourth)).line("coupon-1").level is BROKEN
    # An opening of 1/32 in itself is left out of the sum.
    assert opened(*[opening(eighth)] * 3, opening(Fraction(1, 32))).line("coupon-1").level is WITHIN
    # Each coupon has a sum of its own.
    assert opened(*[opening(eighth)] * 3, *[opening(eighth, coupon="2")] * 3).line("bends").level is WITHIN


@pytest.mark.parametrize("off, standing", [(-TINY, WITHIN), (0, WITHIN), (TINY, WAITS)])
def test_corner_crack_of_a_quarter_inch(off, standing):
    judgement = opened(opening(Fraction(1, 4) + off, place="corner"))
    assert judgement.line("coupon-1").level is standing
    assert judgement.line("test").level is standing


@pytest.mark.parametrize("off, standing", [(-TINY, WITHIN), (0, WITHIN), (TINY, BROKEN)])
def test_corner_crack_with_a_flaw_has_the_eighth(off, standing):
    assert opened(opening(Fraction(1, 8) + off, place="corner", flaw="yes")).line("coupon-1").level is standing


@pytest.mark.parametrize("failing, standing", [(1, WITHIN), (2, BROKEN)])
def test_pipeline_rule_fails_with_two_of_four(failing, standing):
    cracks = [opening(Fraction(1, 8) + TINY, coupon=str(number)) for number in range(1, failing + 1)]
    assert opened(*cracks, rule="cfr", kind="root", coupons=4).line("bends").level is standing


def test_a_coupon_not_bent_keeps_the_test_open_and_a_broken_one_does_not_wait():
    rows = {"coupons": (("face", "3/8 in", "1-1/2 in", "yes", ""), ("root", "3/8 in", "1-1/2 in", "no", ""))}
    assert judge(day(rows)).line("bends").level is OPEN
    bad = judge(day({**rows, "findings": (opening(Fraction(1, 4)),)}))
    assert bad.line("bends").level is BROKEN
    assert bad.line("coupon-2").wording == "not bent yet"


def test_sentences_name_the_coupon_as_it_is_noted():
    """Coupon 2 alone is bent and is a side bend: no sentence may call it coupon 1 or a face bend."""
    rows = {
        "coupons": (("side", "3/8 in", "", "no", ""), ("side", "3/8 in", "", "yes", "")),
        "findings": (opening(Fraction(1, 4), coupon="2"),),
    }
    judgement = judge(day(rows))
    said = " ".join(str(flag.phrase) for flag in judgement.flags if flag.place.startswith("findings/1"))
    assert "specimen 2 (side bend)" in said and "specimen 1" not in said
    assert judgement.line("coupon-2").level is BROKEN


def test_an_opening_without_a_usable_size_gives_no_verdict():
    for size in ("", "about 2", "3 pounds"):
        judgement = opened(opening(size))
        assert judgement.line("coupon-1").level is OPEN
        assert judgement.line("test").level is OPEN
        assert any(flag.place == "findings/1/size" for flag in judgement.flags)


def test_an_opening_on_an_unknown_coupon_gives_no_verdict():
    assert opened(opening(Fraction(1, 16), coupon="")).line("bends").level is OPEN


# --- looking it over ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name, limit", [("undercut_depth", Fraction(1, 32)), ("reinforcement", Fraction(1, 8))],
    ids=["undercut 1/32 in", "cap 1/8 in"],
)
@pytest.mark.parametrize("off, mark", [(-TINY, Level.OK), (0, Level.OK), (TINY, Level.STOP)])
def test_test_plate_visual(name, limit, off, mark):
    judgement = judge(day(**{name: inches(limit + off)}))
    assert judgement.at(name)[0].level is mark
    assert judgement.line("visual").level is (BROKEN if mark is Level.STOP else WITHIN)
    assert judgement.line("test").level is (BROKEN if mark is Level.STOP else WITHIN)


@pytest.mark.parametrize("thickness, limit", [("3/8 in", Fraction(1, 16)), ("1 in", Fraction(1, 16))])
@pytest.mark.parametrize("off, standing", [(0, WITHIN), (TINY, BROKEN)])
def test_production_undercut(thickness, limit, off, standing):
    """Table 6.1: 1/16 in, in thin plate for 2 in of any 12 in."""
    values = {
        "visual_rule": "production", "thickness": thickness, "undercut_depth": inches(limit + off),
        "undercut_length": "2 in", "reinforcement": "0 in",
    }
    assert judge(day(**values)).line("visual").level is standing


def test_a_point_the_check_refuses_hides_no_other():
    """Deep undercut by the production rule wants its length; the crack must still be flagged."""
    judgement = judge(day(visual_rule="production", undercut_depth="3/64 in", undercut_length="", cracks="yes"))
    assert judgement.at("cracks")[0].level is Level.STOP
    assert judgement.at("undercut_length")
    assert judgement.line("visual").level is BROKEN


def test_blank_points_are_not_judged_and_leave_the_look_open():
    judgement = judge(day(cracks=""))
    assert [flag.id for flag in judgement.at("cracks")] == ["blank"]
    assert judgement.line("visual").level is OPEN
    assert "any crack" in judgement.line("visual").wording


def test_unfilled_crater_breaks_the_look():
    assert judge(day(craters="no")).line("visual").level is BROKEN


# --- figures flagged at once -----------------------------------------------------------------------


@pytest.mark.parametrize(
    "amps, mark",
    [
        ("115 A", Level.OK), ("114.9 A", Level.STOP), ("112 A", Level.STOP), ("165 A", Level.CAUTION),
        ("165.1 A", Level.STOP),
    ],
)
def test_current_of_e7018_eighth_inch(amps, mark):
    """A5.1 annex: 115 to 165 A; Machinery's Handbook 31, p. 1594: 110 to 160 A. The first is gone by where no WPS is."""
    assert judge(day(amps=amps, amps_low="", amps_high="")).at("amps")[0].level is mark


@pytest.mark.parametrize("place, change", [
    ("amps", {"amps": "140 A"}), ("passes/1/amps", {"rows": {"passes": (("root", "9", "64 degF", "140 A"),)}}),
])
def test_current_outside_the_wps_is_told_as_that_on_every_door(place, change):
    """WPS: 115 to 135 A. 140 A lies in both tables, and stops by the WPS: at the figure, in the verdict, on paper."""
    judgement = judge(day(**change))
    (stop,) = (flag for flag in judgement.at(place) if flag.level is Level.STOP)
    assert stop.id == "wps"
    assert "140 A is over the maximum in your WPS, 135 A" in phrase_text(stop.phrase, "us").replace("\xa0", " ")
    assert judgement.line("test").level is Level.STOP and place in judgement.line("test").places
    for door in (said_html(judgement)[place], sheet_html(judgement)):
        assert "in your WPS" in door and "<b>Stop</b>" in door.replace("strong", "b")


@pytest.mark.parametrize("low, high, level", [("110 A", "130 A", Level.CAUTION), ("115 A", "135 A", Level.STOP)])
def test_a_wps_wider_than_the_table_is_a_caution_on_the_wps(low, high, level):
    assert judge(day(amps="112 A", amps_low=low, amps_high=high)).at("amps")[0].level is level


@pytest.mark.parametrize(
    "temperature, mark", [("49.9 degF", Level.STOP), ("50 degF", Level.OK), ("50.1 degF", Level.OK)],
)
def test_preheat_of_one_inch_plate(temperature, mark):
    """Table 3.3, category B, over 3/4 to 1-1/2 in: 50 F."""
    assert judge(day(thickness="1 in", plate_temperature=temperature)).at("plate_temperature")[0].level is mark


@pytest.mark.parametrize("temperature, mark", [("400 degF", Level.OK), ("400.1 degF", Level.STOP)])
def test_interpass_of_the_procedure(temperature, mark):
    rows = {"passes": (("root", "2", "70 degF", ""), ("cap", "2", temperature, ""))}
    judgement = judge(day(rows))
    assert judgement.at("passes/2/temperature")[0].level is mark
    assert judgement.at("passes/1/temperature")[0].level is Level.OK


@pytest.mark.parametrize(
    "off, mark",
    [(-TINY, Level.STOP), (0, Level.OK), (Fraction(1, 16), Level.OK), (Fraction(1, 16) + TINY, Level.STOP)],
)
def test_root_opening_as_detailed(off, mark):
    """As detailed: +1/16 in, -0."""
    rows = {"readings": (("0 in", "1/4 in"), ("7 in", inches(Fraction(1, 4) + off)))}
    judgement = judge(day(rows))
    assert judgement.at("readings/2/opening")[0].level is mark
    assert judgement.at("readings/1/opening")[0].level is Level.OK


@pytest.mark.parametrize("thickness, mark", [
    ("3/8 in", Level.OK), ("0.374 in", Level.CAUTION), ("0.364 in", Level.STOP), ("0.376 in", Level.STOP),
])
def test_coupon_thickness_on_the_jig(thickness, mark):
    """QW-466.1: 3/8 in on a 1-1/2 in plunger is 20 %; thinner is bent softer.

    ASTM A6 lets the mill deliver 0.01 in under.

    Thicker than the plate it was cut from it cannot be.
    """
    rows = {"coupons": (("face", thickness, "1-1/2 in", "yes", ""), ("root", "3/8 in", "1-1/2 in", "yes", ""))}
    assert judge(day(rows)).at("coupons/1/thickness")[0].level is mark


@pytest.mark.parametrize("width, flagged", [("1-1/2 in", False), ("1.501 in", True)])
def test_wide_coupon(width, flagged):
    """QW-162.1: over 1-1/2 in wide, the plunger must be wider; QW-462.3(a): face and root specimens are 1-1/2 in
    wide.
    """
    rows = {"coupons": (("face", "3/8 in", width, "yes", ""), ("root", "3/8 in", "1-1/2 in", "yes", ""))}
    assert bool([flag for flag in judge(day(rows)).at("coupons/1/width") if flag.level.severity]) is flagged


@pytest.mark.parametrize(
    "thickness, kinds, mark",
    [
        ("3/8 in", ("face", "root"), Level.OK), ("1/2 in", ("face", "side"), Level.INCOMPLETE),
        ("1 in", ("side", "side"), Level.OK), ("1 in", ("face", "root"), Level.INCOMPLETE),
        ("3/8 in", ("face",), Level.INCOMPLETE),
    ],
)
def test_kind_of_coupons_by_aws(thickness, kinds, mark):
    rows = {"coupons": tuple((kind, "3/8 in", "", "yes", "") for kind in kinds)}
    assert judge(day(rows, thickness=thickness)).at("coupons")[0].level is mark


def test_a_figure_that_cannot_be_read_is_flagged_where_it_stands():
    flags = judge(day(amps="many", thickness="9 m")).flags
    assert {flag.place for flag in flags if flag.level is Level.INCOMPLETE} == {"amps", "thickness"}


def test_a_verdict_within_the_rules_does_not_hide_a_flagged_figure():
    judgement = judge(day(amps="180 A", mismatch="1/16 in"))
    assert judgement.line("test").level is Level.STOP
    assert judgement.line("test").places == ("mismatch", "amps")
    assert judgement.headline.startswith("Not in order: misalignment measured, amperage seen")
    assert judge(day()).headline.startswith("In order")


def test_us_and_si_give_the_same_verdict():
    """The same plate noted in millimeters, bare numbers read as such."""
    eighth = judge(replace(day({"findings": (("1", "3.175", "face", "no", ""),)}), bare="si"))
    over = judge(replace(day({"findings": (("1", "3.1751", "face", "no", ""),)}), bare="si"))
    assert (eighth.line("coupon-1").level, over.line("coupon-1").level) == (WITHIN, BROKEN)


def test_a_blank_record_is_judged_to_be_nothing():
    judgement = judge(blank("test-day", "blank-0001", "2026-03-02T07:30:00Z"))
    assert {flag.id for flag in judgement.flags} == {"blank"}
    assert {line.level for line in judgement.lines} == {OPEN}


def test_every_line_has_a_source_and_no_word_certifies():
    judgement = judge(PLATE)
    for line in judgement.lines:
        assert line.source.text
        assert not any(
            word in (line.wording + line.label).lower() for word in ("certif", "qualified", "approved", "accepted")
        )
    assert "not a certificate" in STUDY_AID and "qualified inspector" in STUDY_AID


# --- continuity -----------------------------------------------------------------------------------------


def log(uses, today, rule="d1.1", since="2025-08-31"):
    record = replace(
        LOG, values={**LOG.values, "continuity_rule": rule, "qualified_on": since},
        rows={"uses": tuple((use, "used", "") for use in uses)} if uses else {},
    )
    return judge(record, datetime.date.fromisoformat(today))


@pytest.mark.parametrize("since, today, due, alive", [
    ("2025-08-31", "2026-02-28", "2026-02-28", True),  # month end: August has a 31st, February has not
    ("2025-08-31", "2026-03-01", "", False),
    ("2023-08-31", "2024-02-29", "2024-02-29", True),  # leap day
    ("2023-08-31", "2024-03-01", "", False),
    ("2024-02-29", "2024-08-29", "2024-08-29", True),
    ("2024-02-29", "2024-08-30", "", False),
])
def test_six_months_over_month_ends_and_leap_days(since, today, due, alive):
    """The last day is the same day of the sixth month, or the last of a shorter one (Python's calendar agrees on
    month lengths).
    """
    judgement = log([], today, since=since)
    # On the last day itself the log still holds, with a word that nothing is left.
    assert judgement.line("continuity").level is (Level.CAUTION if alive else BROKEN)
    assert (judgement.due.isoformat() if judgement.due else "") == due


def test_a_gap_between_uses_is_found():
    judgement = log(["2025-11-14", "2026-06-01"], "2026-06-02")
    assert judgement.line("continuity").level is BROKEN
    assert any(flag.place == "uses" and flag.level is Level.STOP for flag in judgement.flags)


def test_a_clock_before_the_test_is_named():
    judgement = log([], "1999-12-31")
    assert judgement.line("continuity").level is OPEN
    assert "clock" in str([flag.phrase for flag in judgement.flags])


def test_two_hundred_uses_are_judged():
    days = [(datetime.date(2025, 9, 1) + datetime.timedelta(days=number)).isoformat() for number in range(200)]
    assert log(days, "2026-04-01").line("continuity").level is WITHIN


@pytest.mark.parametrize(
    "radius, mark",
    [
        ("0 in", Level.CAUTION), ("1/64 in", Level.OK), ("1/8 in", Level.OK), ("9/64 in", Level.STOP),
        ("3.175 mm", Level.OK), ("3.2 mm", Level.STOP), ("", None),
    ],
)
def test_the_edge_radius_of_a_coupon_is_held_against_an_eighth(radius, mark):
    """Edge radius 1/8 in at most: specimen figure of ASME IX 2017, QW-462.2. Blank is not judged."""
    rows = {"coupons": (("face", "3/8 in", "1-1/2 in", "no", radius), ("root", "3/8 in", "1-1/2 in", "no", ""))}
    flags = judge(replace(day(), rows=rows)).at("coupons/1/radius")
    assert [flag.level for flag in flags] == ([mark] if mark else [])


@pytest.mark.parametrize("electrode, polarity, mark", [
    ("E7018", "dcep", Level.OK), ("E7018", "ac", Level.OK), ("E7018", "dcen", Level.STOP), ("E6010", "ac", Level.STOP),
    ("E6010", "dcep", Level.OK), ("E6011", "ac", Level.OK), ("E6011", "dcen", Level.STOP), ("E6013", "dcen", Level.OK),
])
def test_a_polarity_the_rod_is_not_made_for_is_flagged_at_once(electrode, polarity, mark):
    """The types of current of the AWS A5.1 classification table, from memory: low-hydrogen rods run on DCEP or AC."""
    flags = judge(day(electrode=electrode, polarity=polarity)).at("polarity")
    assert [flag.level for flag in flags] == [mark]


@pytest.mark.parametrize(
    "last, extra, mark",
    [
        ("11:59", {}, Level.OK), ("12:00", {}, Level.STOP), ("12:01", {}, Level.STOP),
        ("16:59", {"rod_suffix": "E7018R"}, None), ("17:00", {"rod_suffix": "E7018R"}, Level.STOP),
        ("09:59", {"rods_limit": "2 h"}, Level.OK), ("10:01", {"rods_limit": "2 h"}, Level.STOP),
    ],
)
def test_rods_out_of_the_oven_too_long_are_flagged(last, extra, mark):
    """AWS D1.1 Table 5.1: E70XX four hours, E70XXR nine; a shorter limit of the procedure comes first.

    The nine hours are held from memory: past four they are a caution.
    """
    flags = judge(day(rods_out="08:00", rods_last=last, **{"rod_suffix": "E7018", **extra})).at("rods_last")
    # Shortly before the limit a word of warning stands beside it.
    assert {flag.level for flag in flags} - {Level.CAUTION} == ({mark} if mark else set())
    assert not any("oven reads" in str(flag.phrase) for flag in flags), "the oven is not on this sheet"


def test_rods_of_another_class_have_no_such_limit():
    assert judge(day(electrode="E6010", rods_out="08:00", rods_last="20:00")).at("rods_last") == ()
