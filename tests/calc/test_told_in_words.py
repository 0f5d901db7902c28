"""What the core calculators tell beside the figure: warnings, cautions, second opinions, and when they must keep
silent.

Mutation testing found each of these: the sentence could go, or come at the wrong time, and no test noticed.
"""

from __future__ import annotations

import pytest
from scipy import constants

from calc.catalogue import CALCULATORS
from calc.core.declare import Choice, Clock, InputError, Level, Value, Whole, phrase_text
from calc.core.sources import GEOMETRY
from calc.core.units import ABSOLUTE_TEMPERATURE, LENGTH, parse
from calc.stages.bend import BEND_FORCE
from calc.stages.current import CURRENT_SETTING, window_for
from calc.stages.groove import GROOVE
from calc.stages.judging import BEND_JUDGE
from calc.stages.qualification import CONTINUITY, RETEST, TEST_PLAN
from calc.stages.rods import ROD_EXPOSURE
from calc.stages.thermal import INTERPASS_WAIT as WAIT


def told(result, level: Level | None = None) -> str:
    """The checks of an answer (of one level) as one text."""
    return "\n".join(
        phrase_text(check.phrase, "us") for check in result.checks if level in (None, check.level)
    ).replace("\u00a0", " ")


def headline(result) -> str:
    return phrase_text(result.headline, "us").replace("\u00a0", " ")


# --- current -----------------------------------------------------------------


@pytest.mark.parametrize(("amps", "position", "high"), [
    # 160 A is the lower top of the two tables; a tenth less in vertical and overhead is 144 A
    ("144 A", "3G", False), ("144.1 A", "3G", True), ("160 A", "4G", True), ("160 A", "1G", False), ("160 A", "2G", False), ("120 A", "3G", False),
])
def test_the_top_tenth_is_told_where_the_puddle_must_be_held(amps, position, high):
    result = CURRENT_SETTING.answer(electrode="E7018", diameter="1/8 in", amps=amps, position=position)
    assert (result.check("window-top") is not None) is high


@pytest.mark.parametrize(
    ("amps", "words"),
    [
        ("114 A", "is below it"), ("115 A", "is inside it, at 0 %"), ("140 A", "is inside it, at 50 %"),
        ("165 A", "is inside it, at 100 %"), ("166 A", "is above it"),
    ],
)
def test_the_headline_says_where_the_setting_stands(amps, words):
    assert words in headline(CURRENT_SETTING.answer(electrode="E7018", diameter="1/8 in", amps=amps))


def test_a_missing_row_lists_the_rows_of_that_rod():
    with pytest.raises(
        InputError, match="no row for E7018 of 1/16 in; it holds 3/32 in, 1/8 in, 5/32 in, 3/16 in, 7/32 in, 1/4 in$",
    ):
        window_for("E7018", "1/16 in")


@pytest.mark.parametrize(("electrode", "diameter", "position", "amps"), [
    # TM 5-3431-217-15 Table 3: gaseous flat, gaseous vertical and overhead, slag flat
    ("E6010", "1/8 in", "1G", 120), ("E6010", "1/8 in", "3G", 110), ("E6010", "1/8 in", "4G", 110), ("E7018", "1/8 in", "1G", 130), ("E7018", "1/8 in", "3G", None),
    ("E6011", "5/32 in", "1G", 150), ("E6011", "5/32 in", "3G", 140), ("E6013", "5/32 in", "1G", 160), ("E6010", "3/16 in", "1G", 175), ("E6010", "3/16 in", "4G", 160),
    ("E7018", "3/16 in", "1G", 200), ("E6010", "1/8 in", "2G", None),
])
def test_the_older_table_as_printed(electrode, diameter, position, amps):
    result = CURRENT_SETTING.answer(electrode=electrode, diameter=diameter, position=position)
    values = {value.name: value.amount for value in result.values}
    assert values.get("second_opinion") == amps


@pytest.mark.parametrize(
    ("diameter", "position", "told_ok"),
    [
        ("1/8 in", "3G", True), ("5/32 in", "4G", True), ("3/16 in", "3G", False), ("1/8 in", "1G", True),
        ("7/32 in", "1G", False),
    ],
)
def test_a_rod_that_is_not_too_large_for_any_pass_is_told(diameter, position, told_ok):
    result = CURRENT_SETTING.answer(electrode="E7018", diameter=diameter, position=position)
    assert (result.check("rod-size") is not None and result.check("rod-size").level is Level.OK) is told_ok


def test_the_window_is_drawn():
    assert [drawing.name for drawing in CURRENT_SETTING.answer().drawings]


# --- what a plate qualifies ----------------------------------------------------


@pytest.mark.parametrize(("work", "rule", "said"), [
    # D1.1: 3/8 in covers to 3/4 in; twice 10 mm is 20 mm: between them half the work is still the nominal 3/8 in plate
    ("1/2 in", "d1.1", "3/8 in"), ("3/4 in", "d1.1", "3/8 in"), ("19.5 mm", "d1.1", "just over 3/8 in (10 mm)"), ("20 mm", "d1.1", "just over 3/8 in (10 mm)"),
    ("20.1 mm", "d1.1", "0.3957 in"), ("1-1/2 in", "d1.1", "3/4 in"), ("2 in", "d1.1", "1 in"), ("3 in", "d1.1", "1 in"), ("1/16 in", "d1.1", "none"),
    ("3/4 in", "asme-ix", "3/8 in"), ("1 in", "asme-ix", "1/2 in"), ("3 in", "asme-ix", "1/2 in"),
    ("3 mm", "iso-9606-1", "0.1181 in"), ("6 mm", "iso-9606-1", "0.1181 in"), ("10 mm", "iso-9606-1", "0.1969 in"), ("24 mm", "iso-9606-1", "0.4724 in"),
])
def test_the_thinnest_plate_for_the_work(work, rule, said):
    value = TEST_PLAN.answer(work_thickness=work, rule=rule, thickness="1 in")["plate_for_work"]
    assert value.text("us").replace("\u00a0", " ").startswith(said) and value.main


@pytest.mark.parametrize(
    ("rule", "position", "weld", "tests"),
    [
        ("d1.1", "F", "groove", "1G, 2G, 3G or 4G"), ("d1.1", "H", "groove", "2G or 3G"), ("d1.1", "V", "groove", "3G"),
        ("d1.1", "OH", "groove", "4G"), ("asme-ix", "H", "groove", "2G"),
        ("iso-9606-1", "F", "fillet", "none of the groove tests; ask for a fillet test"),
    ],
)
def test_the_tests_that_cover_a_position(rule, position, weld, tests):
    assert TEST_PLAN.answer(rule=rule, work_position=position, weld=weld)["test_for_position"].wording == tests


@pytest.mark.parametrize(
    ("thickness", "nominal"),
    [
        ("3/8 in", False), ("9.5 mm", True), ("9.6 mm", True), ("10 mm", True), ("10.1 mm", False), ("24.9 mm", False),
        ("25 mm", True), ("25.3 mm", True), ("1 in", False), ("26 mm", False),
    ],
)
def test_a_rounded_plate_size_is_told(thickness, nominal):
    assert (TEST_PLAN.answer(thickness=thickness, rule="d1.1").check("nominal") is not None) is nominal


@pytest.mark.parametrize(
    ("rule", "thickness", "layers", "hint"),
    [
        ("asme-ix", "1/2 in", "", True), ("asme-ix", "3/8 in", "", False), ("asme-ix", "1/2 in", "3", False),
        ("d1.1", "1 in", "", False),
    ],
)
def test_layers_are_asked_for_where_they_matter(rule, thickness, layers, hint):
    assert ("Write the layers" in told(TEST_PLAN.answer(rule=rule, thickness=thickness, layers=layers))) is hint


@pytest.mark.parametrize(
    ("rule", "position", "wider"), [("d1.1", "4G", True), ("d1.1", "3G", False), ("asme-ix", "4G", False)],
)
def test_the_wider_reading_of_4g_stands_beside_the_narrow_one(rule, position, wider):
    names = {value.name for value in TEST_PLAN.answer(rule=rule, position=position).values}
    assert ("groove_positions_wider" in names) is wider


def test_the_plan_sends_you_to_your_procedure():
    cautions = " ".join(TEST_PLAN.answer().cautions)
    assert "WPS" in cautions and "not a certification" in cautions


# --- retest and continuity -------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "failed", "words"), [("d1.1", "1", "takes 2 test plates"), ("d1.1", "2", "takes 4 test plates")],
)
def test_the_retest_counts_its_plates_in_words(rule, failed, words):
    said = headline(RETEST.answer(rule=rule, route="immediate", failed=failed))
    assert words in said and "all must pass" in said
    one = headline(RETEST.answer(rule=rule, route="training", failed="1"))
    assert "takes 1 test plate," in one and "it must pass" in one


def test_each_route_has_its_own_warning_and_nobody_but_the_employer_opens_it():
    at_once, trained = (told(RETEST.answer(route=route), Level.NOTE) for route in ("immediate", "training"))
    assert "doubles the plates" in at_once and "doubles the plates" not in trained
    assert "note of the training" in trained and "note of the training" not in at_once
    assert all("for the employer and the inspector to say" in each for each in (at_once, trained))


def test_the_rule_stands_beside_its_reckoning():
    assert "6 months" in CONTINUITY.answer(rule="d1.1")["rule_in_words"].wording
    assert "no clause" in CONTINUITY.answer(rule="api-1104")["rule_in_words"].wording
    last = CONTINUITY.answer(rule="api-1104", qualified_on="2026-01-05", uses="2026-03-01 | signed", today="2026-04-01")
    assert last["last_counted"].wording == "2026-03-01"


@pytest.mark.parametrize(
    ("rule", "words"),
    [("d1.1", "That day itself is still in time."), ("asme-ix", "The day before it is the last in time.")],
)
def test_whether_the_day_itself_counts_is_told(rule, words):
    assert words in told(
        CONTINUITY.answer(rule=rule, qualified_on="2026-01-05", uses="", today="2026-02-01"), Level.NOTE,
    )


def test_a_due_date_that_is_near_is_told_and_a_far_one_is_not():
    near = CONTINUITY.answer(rule="d1.1", qualified_on="2026-01-05", uses="", today="2026-07-01")
    far = CONTINUITY.answer(rule="d1.1", qualified_on="2026-01-05", uses="", today="2026-01-06")
    assert "Days left: 4." in told(near, Level.CAUTION) and "Days left" not in told(far)
    assert near["gaps"].amount == 0


# --- bending ---------------------------------------------------------------------


def test_a_test_that_lacks_a_count_says_so_and_one_that_has_it_does_not():
    assert BEND_JUDGE.answer(rule="iso").check("count").level is Level.NOT_KNOWN
    assert BEND_JUDGE.answer(rule="aws").check("count") is None


def test_the_test_as_a_whole_is_told():
    clean = BEND_JUDGE.answer(rule="aws", coupons="2", openings="1 | 0.01 in | face | no")
    assert clean.check("test").level is Level.OK and "over the limit. This rule still accepts" not in told(clean)
    torn = BEND_JUDGE.answer(rule="aws", coupons="2", openings="1 | 1/4 in | face | no")
    assert "The test fails by this rule" in told(torn, Level.STOP)
    # 49 CFR 192, Appendix C, fails the test with two of four coupons.
    borne = BEND_JUDGE.answer(rule="cfr", coupons="4", kinds="root", openings="3 | 1/4 in | face | no")
    assert "1 specimen is over the limit. This rule still accepts the test: it fails with 2 or more." in told(
        borne, Level.CAUTION,
    )
    assert "fails by this rule" in told(
        BEND_JUDGE.answer(
            rule="cfr", coupons="4", kinds="root", openings="3 | 1/4 in | face | no\n1 | 1/4 in | face | no",
        ),
        Level.STOP,
    )
    short = BEND_JUDGE.answer(rule="aws", coupons="1", openings="1 | 0.01 in | face | no")
    assert "1 of 2 specimens judged" in told(short, Level.INCOMPLETE)


def test_coupons_of_a_thin_plate_take_turns_face_and_root():
    result = BEND_JUDGE.answer(rule="cfr", coupons="4", kinds="face-root", openings="1 | 0.01 in | face | no")
    labels = [result[f"coupon_{number}"].label for number in range(1, 5)]
    assert labels == [
        "Specimen 1 (face bend)", "Specimen 2 (root bend)", "Specimen 3 (face bend)", "Specimen 4 (root bend)",
    ]
    assert all(result[f"coupon_{number}"].main for number in range(1, 5)) and result["verdict"].main


def test_rules_that_part_are_named_and_rules_that_agree_are_not():
    between = BEND_JUDGE.answer(rule="aws", coupons="2", openings="1 | 0.123 in | face | no")  # under 1/8 in, over ISO's 3 mm
    assert "ISO 9606-1" in told(between, Level.NOTE) and "would fail these specimens" in told(between)
    clean = BEND_JUDGE.answer(rule="cfr", coupons="4", openings="1 | 0.01 in | face | no")
    assert "would fail these specimens" not in told(clean)


@pytest.mark.parametrize("plunger", ["1-1/2 in", "2 in", "2-1/2 in"])
def test_the_bending_load_is_shown_as_an_order_of_magnitude(plunger):
    """No more than two figures in either system."""
    load = BEND_FORCE.answer(plunger_diameter=plunger)["load"]
    for system in ("us", "si"):
        figures = load.text(system).split("\u00a0")[0].replace("\u202f", "").replace(".", "").strip("0")
        assert 1 <= len(figures) <= 2, load.text(system)


# --- the groove, and declarations ----------------------------------------------


def test_the_groove_answers_in_one_sentence():
    said = headline(GROOVE.answer())
    assert said.startswith(
        "Cut each plate 3.193 in wide. Beveled 22.5°, the two make a joint 6 in across with a groove angle of 45°"
    )
    assert said.endswith("of weld metal over 7 in.")


def test_counts_take_their_own_ends():
    count = Whole("n", "Count", "2", 1, 4, "")
    assert [count.read(str(number), "us") for number in (1, 4)] == [1, 4]
    for number in (0, 5):
        with pytest.raises(InputError, match=f"{number} is outside the range; write a whole number from 1 to 4"):
            count.read(str(number), "us")


def test_long_nonsense_is_quoted_in_part():
    with pytest.raises(InputError) as trouble:
        Clock("at", "At", "10:00", "").read("x" * 60, "us")
    assert f"“{'x' * 40}”" in str(trouble.value)
    with pytest.raises(InputError) as trouble:
        GROOVE.input("y" * 60)
    assert trouble.value.label == "y" * 40


@pytest.mark.parametrize(
    ("inches", "shown"),
    [
        ("0.56 in", "0.56 in (about 9/16 in)"), ("3/8 in", "3/8 in"), ("0.01 in", "0.01 in"),
        ("0.02 in", "0.02 in (about 1/32 in)"),
    ],
)
def test_a_length_is_shown_with_the_nearest_mark_of_a_rule_in_32nds(inches, shown):
    value = Value("x", "X", "", LENGTH, parse(inches, LENGTH), GEOMETRY, as_fraction=True)
    assert value.text("us").replace("\u00a0", " ") == shown


def test_a_blank_input_reads_back_as_nothing_and_a_written_one_in_both_systems():
    width = GROOVE.input("cap_width")
    assert width.read_back("", "us") == {}
    assert width.read_back("1/2", "us") == {"us": "1/2 in", "si": "12.7\u00a0mm"}


# --- retest dates, rods, and the sum that a rule leaves out -----------------------


def test_a_month_is_explained_where_a_rule_counts_one():
    owner = RETEST.answer(rule="iowa-dot", route="immediate")
    assert "The month is counted from the failed test to the same day of the next month" in told(owner, Level.NOTE)
    assert "The current issue says" in told(owner, Level.CAUTION)
    assert "The month is counted" not in told(RETEST.answer(rule="d1.1"))


@pytest.mark.parametrize(("rule", "place"), [("asme", "QW-163"), ("navy", None)])
def test_a_rule_without_a_sum_says_so_with_its_own_source(rule, place):
    check = next(
        check for check in BEND_JUDGE.answer(rule=rule).checks
        if "sets no limit on the sum" in phrase_text(check.phrase, "us")
    )
    if place:
        assert (check.source.place, check.source.standing.value) == (place, "from memory")
    else:
        assert check.source.document.id == BEND_JUDGE.answer(rule=rule)["verdict"].source.document.id


def test_both_ends_of_the_range_are_main_figures():
    result = TEST_PLAN.answer(thickness="3/8 in", rule="d1.1")
    assert result["qualified_low"].main and result["qualified_high"].main
    assert TEST_PLAN.answer(thickness="1 in", rule="d1.1")["qualified_high"].main


@pytest.mark.parametrize("calculator", CALCULATORS, ids=lambda each: each.id)
def test_every_answer_has_its_sentence_whatever_is_chosen(calculator):
    """Each choice of each calculator in turn: what can be answered is answered in a sentence."""
    for each in calculator.inputs:
        for option in each.options if isinstance(each, Choice) else ():
            try:
                result = calculator.answer({each.name: option.value})
            except InputError:
                continue
            assert headline(result).strip(), (each.name, option.value)


@pytest.mark.parametrize(("given", "sentence", "do"), [
    # AWS D1.1:2015 5.3.2: out for 4 h at most, rebaked no more than once, wet rods not used
    ({"out_at": "08:00", "now": "10:30"}, "Use them or put them back before 12:00", "use them now, or put them back"),
    ({"out_at": "08:00", "now": "12:01"}, "Do not weld with them: rebake them once, or discard them", "rebake once"),
    ({"out_at": "08:00", "now": "12:01", "rebaked": "1"}, "they were rebaked before. Discard them", "discard them"),
    ({"out_at": "08:00", "now": "08:05", "wet": "yes"}, "These rods have been wet. Discard them", "discard them"),
])
def test_what_to_do_with_rods_is_said_in_the_headline(given, sentence, do):
    result = ROD_EXPOSURE.answer(given)
    assert sentence in headline(result) and do in result["what_to_do"].wording


def test_kelvin_are_counted_from_the_defined_zero():
    """0 °C is 273.15 K by definition, as scipy holds it."""
    steps = [step for step in WAIT.answer().steps if step.kind is ABSOLUTE_TEMPERATURE]
    assert steps
    for step in steps:
        celsius = step.formula.left.value
        assert float(step.formula.value - celsius) == pytest.approx(constants.zero_Celsius, abs=1e-9)


@pytest.mark.parametrize(
    ("retest_on", "words"),
    [("2026-04-29", "1 day later"), ("2026-04-28", "2 days later"), ("2026-04-30", "0 days later")],
)
def test_days_are_counted_in_words(retest_on, words):
    """Failed on the last of March: a month runs to the last of April."""
    assert words in told(RETEST.answer(rule="iowa-dot", failed_on="2026-03-31", retest_on=retest_on), Level.OK)
