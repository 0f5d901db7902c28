"""Judging of bent coupons against the clauses, each limit at, just under and just over.

The figures beside the rules are typed here from the clauses, not taken from the code under test.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from calc.core.declare import InputError, Level, phrase_text
from calc.core.sources import Standing
from calc.core.units import INCH, LENGTH, parse
from calc.stages.judging import AWS, BEND_JUDGE, CFR, RULES, Opening, Verdict, judge_coupon, judge_test

WALL = parse("3/8 in", LENGTH)


def verdict(openings: str, **more: str) -> str:
    """The first words of the verdict on the whole test."""
    return BEND_JUDGE.answer(openings=openings, **more)["verdict"].wording.split(" (")[0].split(":")[0]


def sentences(result) -> str:
    return " ".join(phrase_text(check.phrase, "us") for check in result.checks).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("rule", "figures", "at", "over"),
    [
        # AWS D1.1 (2015) 4.9.3.3 (1): 1/8 in (3 mm), any direction.
        ("aws", "inch", "1/8 in", "0.1251 in"), ("aws", "metric", "3 mm", "3.01 mm"),
        # ASME IX (2010) QW-163: none "exceeding 1/8 in. (3 mm)".
        ("asme", "inch", "1/8 in", "0.1251 in"), ("asme", "metric", "3 mm", "3.01 mm"),
        # DC Municipal Regulations 12-E1019: fails over 3.2 mm in any direction.
        ("dc", "inch", "3.2 mm", "3.21 mm"),
        # API 1104 (2005) 5.6.4, by a secondary text: 3.0 mm.
        ("api", "inch", "3 mm", "3.01 mm"),
        # NAVEDTRA 14250 Chapter 7: no crack greater than 1/8 inch.
        ("navy", "inch", "1/8 in", "0.1251 in"),
        # ISO 9606-1 (2012) 6.5.3: no flaw of 3 mm or more, so the limit itself fails.
        ("iso", "metric", "2.99 mm", "3 mm"),
    ],
)
def test_the_largest_single_opening(rule: str, figures: str, at: str, over: str) -> None:
    assert verdict(f"1 | {at} | face", rule=rule, figures=figures) == "passes"
    assert verdict(f"1 | {over} | face", rule=rule, figures=figures) == "fails"


def test_the_pipeline_rule_fails_with_two_of_four_over_the_limit() -> None:
    # 49 CFR 192 Appendix C (I): unacceptable if two or more of four show a crack more than 1/8 in (3.2 mm) long.
    four = {"rule": "cfr", "coupons": "4", "kinds": "root"}
    assert verdict("1 | 1/4 in | face", **four) == "passes"
    assert verdict("1 | 1/4 in | face ; 1 | 1/4 in | face", **four) == "passes"
    assert verdict("1 | 1/4 in | face ; 3 | 0.1251 in | face", **four) == "fails"
    assert verdict("1 | 1/4 in | face ; 3 | 1/8 in | face", **four) == "passes"
    assert verdict("1 | 3.2 mm | face ; 3 | 3.2 mm | face", figures="metric", **four) == "passes"
    # Corner cracks are not considered, whatever is seen in them.
    assert verdict("1 | 1 in | corner | yes ; 3 | 1 in | corner", **four) == "passes"


@pytest.mark.parametrize(
    ("openings", "outcome"),
    [
        # AWS D1.1 4.9.3.3 (2): 3/8 in for the sum of those over 1/32 in and up to 1/8 in, on one coupon.
        ("1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/8 in", "passes"),  # 3/8 in exactly
        ("1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/32 in", "passes"),  # 1/32 in is left out
        ("1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/8 in ; 1 | 0.0313 in", "fails"),  # just over 1/32 in counts
        ("1 | 1/8 in ; 1 | 1/8 in ; 2 | 1/8 in ; 2 | 1/8 in", "passes"),  # 1/2 in over two coupons, 1/4 in each
        # (3): corner cracks to 1/4 in; 1/8 in with a slag or fusion flaw seen; over 1/4 in without one: replace.
        ("1 | 1/4 in | corner | no", "passes"),
        ("1 | 0.2501 in | corner | no", "has no verdict yet"),
        ("1 | 1/8 in | corner | yes", "passes"),
        ("1 | 0.1251 in | corner | yes", "fails"),
        ("1 | 0.3 in | corner | yes", "fails"),
        ("1 | 0.3 in | corner | no ; 2 | 0.2 in | face", "fails"),
        # a failed coupon is not mended by replacing the other
    ],
)
def test_the_sum_and_the_corners_of_the_structural_code(openings: str, outcome: str) -> None:
    assert verdict(openings) == outcome


def test_the_sum_in_millimeters() -> None:
    # AWS D1.1 metric figures: 10 mm for the sum of those over 1 mm, up to 3 mm; ISO 9606-1: 1 to 3 mm, 10 mm.
    for rule, largest in (("aws", "3 mm"), ("iso", "2.8 mm")):
        three = " ; ".join([f"1 | {largest}"] * 3)
        rest = 10 - 3 * float(largest.split()[0])
        assert verdict(f"{three} ; 1 | {rest:.1f} mm", rule=rule, figures="metric") == "passes"
        assert verdict(f"{three} ; 1 | {rest + 0.05:.2f} mm", rule=rule, figures="metric") == "fails"
        if rest <= 1:
            assert verdict(f"{three} ; 1 | 1 mm ; 1 | 1 mm", rule=rule, figures="metric") == "passes"


def test_corners_by_the_other_documents() -> None:
    # ASME IX QW-163: corner openings ignored unless from lack of fusion, slag or other internal discontinuity. ISO: likewise.
    for rule in ("asme", "iso"):
        assert verdict("1 | 1 in | corner | no", rule=rule) == "passes"
        assert verdict("1 | 1/4 in | corner | yes", rule=rule) == "fails"
    # API 1104: edge cracks under 6 mm ignored.
    assert verdict("1 | 5.9 mm | corner | no", rule="api") == "passes"
    assert verdict("1 | 6 mm | corner | no", rule="api") == "fails"


def test_half_the_wall_of_a_thin_pipe() -> None:
    # API 1104: 3 mm or half the wall, whichever is smaller: 4 mm wall, 2 mm.
    assert verdict("1 | 2 mm", rule="api", wall="4 mm") == "passes"
    assert verdict("1 | 2.01 mm", rule="api", wall="4 mm") == "fails"
    assert verdict("1 | 2.01 mm", rule="api", wall="10 mm") == "passes"


def test_no_opening_passes_and_both_coupons_count() -> None:
    assert verdict("") == "passes"
    assert verdict("2 | 0.2 in | face") == "fails"
    assert verdict("", coupons="1") == "is not complete"
    assert verdict("1 | 1 in | face", coupons="1") == "fails"
    assert verdict("", rule="cfr", coupons="2") == "is not complete"


def test_the_sum_is_worked_from_the_openings_that_count() -> None:
    result = BEND_JUDGE.answer(openings="1 | 1/8 in ; 2 | 1/16 in ; 1 | 1/32 in ; 1 | 3/32 in ; 1 | 3/16 in | corner")
    assert result["sum_1"].amount / INCH.factor == Fraction(7, 32)
    assert result["sum_2"].amount / INCH.factor == Fraction(1, 16)
    assert [step.formula.letters() for step in result.steps] == ["a_1 + a_4", "a_2"]


def test_the_wrong_kind_or_too_few_coupons_never_pass() -> None:
    """Table 4.11 (from memory): 1/2 in plate takes two side bends; 3/8 in one face and one root."""
    for more in ({"wall": "1/2 in"}, {"kinds": "root"}, {"coupons": "1"}, {"looked": "no"}):
        result = BEND_JUDGE.answer({"openings": "", **more})
        assert result["verdict"].wording.startswith("is not complete"), more
        assert result.level is Level.INCOMPLETE, more
    assert BEND_JUDGE.answer(openings="", wall="1/2 in", kinds="side").level is Level.OK
    assert BEND_JUDGE.answer(openings="", wall="").check("kinds").level is Level.NOT_KNOWN
    # What is over the limit fails whatever is missing.
    assert BEND_JUDGE.answer(openings="1 | 1/2 in", coupons="1", looked="no").level is Level.STOP


def test_where_inch_and_millimeter_figures_part_it_is_said() -> None:
    # 1/8 in is 3.175 mm, over the 3 mm printed beside it.
    between = BEND_JUDGE.answer(openings="1 | 1/8 in")
    assert "by the millimeter figures over the limit" in sentences(between)
    assert "The clause prints 1/8 in and 3 mm" in sentences(between)
    corner = BEND_JUDGE.answer(openings="1 | 1/4 in | corner")
    assert "The clause prints 1/4 in and 6 mm" in sentences(corner)
    under = BEND_JUDGE.answer(openings="1 | 3 mm")
    assert "figures" not in sentences(under)


def test_a_sum_that_only_corner_cracks_push_over_is_flagged() -> None:
    result = BEND_JUDGE.answer(openings="1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/16 in | corner")
    assert result["verdict"].wording.startswith("fails")
    assert "Without the corner cracks the sum" in sentences(result)
    plain = BEND_JUDGE.answer(openings="1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/8 in ; 1 | 1/16 in | face")
    assert "Without the corner cracks" not in sentences(plain)


def test_the_reader_sees_every_rule_and_where_they_part() -> None:
    # Four openings of 0.1 in add to 0.4 in: over 3/8 in for AWS; ASME IX has no sum rule (from memory).
    result = BEND_JUDGE.answer(rule="asme", openings=" ; ".join(["1 | 0.1 in"] * 4))
    assert result["verdict"].wording.startswith("passes")
    assert result["by_aws"].wording == "fails"
    assert "AWS D1.1, ISO 9606-1 would fail these specimens" in sentences(result)
    assert {value.name for value in result.values} >= {f"by_{rule.key}" for rule in RULES}


@pytest.mark.parametrize("rule", [rule.key for rule in RULES])
def test_no_verdict_without_the_words_study_help(rule: str) -> None:
    result = BEND_JUDGE.answer(rule=rule)
    assert "study help, not a certification" in result["verdict"].wording
    assert any("qualified inspector" in caution for caution in result.cautions)


def test_standings_are_not_raised() -> None:
    # As held: clause 4.9.3.3, QW-163, 49 CFR, the DC rule and the Navy course were read; ISO is from memory; API is secondary.
    held = {rule.key: rule.source.standing for rule in RULES}
    read, memory = Standing.READ, Standing.FROM_MEMORY
    assert held == {
        "aws": read, "asme": read, "cfr": read, "iso": memory, "dc": read, "api": Standing.SECONDARY, "navy": read,
    }


eighths = st.integers(1, 40).map(lambda count: Fraction(count, 64) * INCH.factor)
lists = st.lists(st.builds(Opening, st.just(1), eighths, st.booleans(), st.booleans()), max_size=8)


@settings(max_examples=60, deadline=None)
@given(
    openings=lists, more=st.builds(Opening, st.just(1), eighths, st.booleans(), st.booleans()),
    rule=st.sampled_from(RULES),
)
def test_one_more_opening_never_makes_a_failed_coupon_pass(openings, more, rule) -> None:
    before = judge_coupon(rule, rule.inch, tuple(openings), WALL).verdict
    after = judge_coupon(rule, rule.inch, (*openings, more), WALL).verdict
    if before is Verdict.FAILS:
        assert after is Verdict.FAILS


@settings(max_examples=60, deadline=None)
@given(openings=lists, rule=st.sampled_from(RULES))
def test_seeing_a_flaw_never_helps_a_coupon_to_pass(openings, rule) -> None:
    seen = tuple(Opening(each.coupon, each.size, each.at_corner, True) for each in openings)
    if judge_coupon(rule, rule.inch, seen, WALL).verdict is Verdict.PASSES:
        assert judge_coupon(rule, rule.inch, tuple(openings), WALL).verdict is Verdict.PASSES


@settings(max_examples=40, deadline=None)
@given(one=lists, two=lists)
def test_a_structural_test_passes_only_when_both_coupons_pass(one, two) -> None:
    coupons = tuple(judge_coupon(AWS, AWS.inch, tuple(each), WALL) for each in (one, two))
    both = all(coupon.verdict is Verdict.PASSES for coupon in coupons)
    assert (judge_test(AWS, coupons) is Verdict.PASSES) == both
    assert judge_test(CFR, coupons) is not Verdict.PASSES  # two of four coupons are no test


def test_checks_speak_of_stop_only_where_a_limit_is_passed() -> None:
    assert Level.STOP not in [check.level for check in BEND_JUDGE.answer().checks]
    assert Level.STOP in [check.level for check in BEND_JUDGE.answer(openings="1 | 1/4 in | face").checks]


@pytest.mark.parametrize(
    ("given_texts", "field", "words"),
    [
        (
            {"openings": "3 | 1/8 in"}, "openings", "Open discontinuity 1, specimen: there is no specimen 3; write a "
            "whole number from 1 to 2",
        ),
        (
            {"openings": "1 | 0 in"}, "openings", "Open discontinuity 1, largest size: 0 in is outside the range; "
            "write above 0 in up to 6 in",
        ),
        ({"openings": "1 | 1/8 in | side"}, "openings", "choose face or corner"),
        ({"openings": " ; ".join(["1 | 1/16 in"] * 21)}, "openings", "from 0 to 20 rows"),
        ({"coupons": "0"}, "coupons", "from 1 to 8"), ({"rule": "api", "wall": ""}, "wall", "this rule goes by it"),
        ({"rule": "mine"}, "rule", "choose aws, asme, cfr, iso, dc, api or navy"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_limit(given_texts, field: str, words: str) -> None:
    with pytest.raises(InputError) as trouble:
        BEND_JUDGE.answer(given_texts)
    assert trouble.value.field == field
    assert words in trouble.value.message.replace("\u00a0", " ")
