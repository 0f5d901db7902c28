"""What the practice pages ask for: sets, links, answers marked, figures tried first, standing.

As the browser asks it.
"""

from __future__ import annotations

import json

import pytest

from calc.catalogue import calculator
from calc.core.declare import InputError
from calc.practice import forms, pictures, slips
from calc.practice.forms import CHAPTERS, Slip, all_forms, form_named
from calc.practice.marking import mark, right_text
from calc.practice.pages import citations, marked_html, question_html
from calc.practice.questions import draw, plain_time
from calc.practice.schedule import next_ease
from calc.show.drawing import Path, Polygon
from calc.web import respond

TODAY = "2026-03-02"
CARD = {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": "2026-03-01", "again": False, "seen": 3, "last": 5}


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


def of_kind(kind):
    return next(form for form in all_forms() if form.kind == kind)


def test_the_menu_lists_every_chapter_with_its_count():
    chapters = asked("practice-menu")["chapters"]
    assert sum(each["forms"] for each in chapters) == len(all_forms())
    assert {each["id"] for each in chapters} <= set(CHAPTERS)


def test_the_daily_set_takes_what_is_due_and_then_new():
    due = all_forms()[3].id
    told = asked("practice-daily", cards={due: CARD}, size=4)
    assert told["due"] == 1 and len(told["set"]) == 4 and told["next"] == 0
    assert {"form": due, "seed": f"{TODAY}.3"} in told["set"]
    assert len(asked("practice-daily", size="many")["set"]) == 10
    assert asked("practice-daily", today="no day")["trouble"]


@pytest.mark.parametrize("days, told", [
    (["2026-03-08"], ""),
    (["2031-03-08"], "but one question was answered on a later day"),
    (["2031-03-08", "2032-03-08"], "but 2 questions were answered on a later day"),
], ids=["on time", "one later", "two later"])
def test_a_clock_that_runs_behind_the_answers_is_told(days, told):
    """A card that the browser keeps empty was never answered, so it says nothing of the clock."""
    cards = {form.id: {**CARD, "due": day} for form, day in zip(all_forms(), days)}
    clock = asked("practice-daily", cards={**cards, "never-asked": None})["clock"]
    assert told in clock and ("2026-03-02" in clock) == bool(told)


def test_a_mixed_set_is_the_same_for_its_seed():
    first = asked("practice-mixed", seed="7", chapters=["groove", "cutting", "no-such"], size=6)
    assert first == asked("practice-mixed", seed="7", chapters=["groove", "cutting"], size=6) and len(first["set"]) == 6
    assert asked("practice-mixed", seed="<7>", chapters=["groove"], size=1)["set"][0]["seed"] == "1"


def test_a_link_gives_what_it_names_and_says_what_it_cannot():
    form = all_forms()[0]
    told = asked("practice-link", fields={"questions": f"{form.id}, no-such", "objectives": f"{form.objective},nothing", "chapters": "groove,nowhere", "count": "2", "seed": "a b"})
    assert told["set"][0]["form"] == form.id and len({each["form"] for each in told["set"]}) == len(told["set"])
    assert told["refused"] == [
        "seed: write letters, digits, dots and hyphens", "there is no question “no-such”", "no question belongs to the objective “nothing”",
        "there is no chapter “nowhere”",
    ]
    assert asked("practice-link", fields={}) == {"set": [], "refused": []}


def test_a_set_has_no_more_than_60_and_no_fewer_than_one():
    for size, length in ((0, 1), (1, 1), (60, 60), (61, 60)):
        assert len(asked("practice-mixed", size=size)["set"]) == length
    names = [form.id for form in all_forms()[:70]]
    for fields in ({"questions": ",".join(names)}, {"questions": ",".join(names[:40]), "chapters": ",".join(CHAPTERS), "count": "60"}):
        assert len(asked("practice-link", fields=fields)["set"]) == 60
    assert len(asked("practice-link", fields={"chapters": ",".join(CHAPTERS)})["set"]) == len(asked("practice-mixed")["set"]) == 10
    assert len(asked("practice-link", fields={"questions": ",".join([*["no-such"] * 60, names[0]])})["set"]) == 0


@pytest.mark.parametrize("count", ["0", "61", "many", "1" * 5000, "-1"])
def test_a_count_that_cannot_be_is_refused_and_ten_are_given(count):
    told = asked("practice-link", fields={"chapters": "groove,cutting", "count": count})
    assert told["refused"] == ["count: write a whole number from 1 to 60"] and len(told["set"]) == 10
    assert asked("practice-link", fields={"chapters": "groove", "count": "1"})["refused"] == []


def test_of_a_long_name_in_a_link_the_first_sixty_letters_are_told():
    told = asked("practice-link", fields={"questions": "q" * 70, "objectives": "o" * 70, "chapters": "c" * 70})
    assert told["refused"] == [
        f"there is no question “{'q' * 60}”", f"no question belongs to the objective “{'o' * 60}”", f"there is no chapter “{'c' * 60}”"]
    with pytest.raises(KeyError, match=f"there is no question “{'q' * 80}”"):
        form_named("q" * 90)


@pytest.mark.parametrize("seed", ["", "a b", "s" * 61])
@pytest.mark.parametrize("do", ["practice-mixed", "practice-question"])
def test_a_seed_that_cannot_be_one_counts_as_the_first(do, seed):
    first = asked(do, form=all_forms()[0].id, size=3, seed="1")
    assert asked(do, form=all_forms()[0].id, size=3, seed=seed) == asked(do, form=all_forms()[0].id, size=3) == first
    assert asked("practice-mixed", size=3, seed="s" * 60)["set"][0]["seed"] == "s" * 60


def test_a_mock_oral_leaves_out_a_chapter_without_a_question_to_speak_of(monkeypatch):
    """An instructor may keep only figures in a file; a figure is not asked aloud."""
    held = forms.forms_of
    monkeypatch.setattr(forms, "forms_of", lambda chapter: tuple(each for each in held(chapter) if chapter != "groove" or each.kind == "number"))
    spoken = [each["chapter"] for each in asked("practice-oral", seed="7")["asked"]]
    assert CHAPTERS["groove"] not in spoken and CHAPTERS["cutting"] in spoken


def test_a_mock_oral_asks_along_the_day_with_its_answers():
    told = asked("practice-oral", seed="3")
    assert told["seed"] == "3" and told == asked("practice-oral", seed=" 3 ")
    assert asked("practice-oral", seed="3 4")["refused"].startswith("seed: write 1 to 40 letters")
    order = [list(CHAPTERS.values()).index(each["chapter"]) for each in told["asked"]]
    assert order == sorted(order) and len(order) > 5 and all(each["html"] and each["answer"] for each in told["asked"])


@pytest.mark.parametrize("grade, due", [("had", "2026-03-18"), ("missed", TODAY)])
def test_an_own_grade_moves_the_card(grade, due):
    """An item right twice in a row with ease 2.5 waits its 6 days times its new ease of 2.6: 16 days."""
    card = asked("practice-grade", form=all_forms()[0].id, grade=grade, card=CARD)["card"]
    assert card["due"] == due and card["seen"] == 4


@pytest.mark.parametrize("kind", ["choice", "judge", "order", "hazard", "flaw", "number"])
def test_an_answer_is_marked_and_explained(kind):
    form = of_kind(kind)
    question = draw(form, "5")
    right = [question.asked.text("us")] if kind == "number" else [str(place) for place in question.right]
    told = asked("practice-mark", form=form.id, seed="5", answers=right, place="q1")
    assert told["right"] and told["spoken"] == "Right." and told["card"]["last"] == 5
    unsure = asked("practice-mark", form=form.id, seed="5", answers=right, unsure=True, card=CARD)
    assert unsure["right"] and unsure["card"]["last"] == 3 and unsure["again"]
    wrong = ["0.001 in"] if kind == "number" and form.body.within.endswith("in") else ["0"] if kind == "number" else list(reversed(right)) if kind == "order" else \
        [str(place) for place in range(len(question.shown)) if place not in question.right][:1]
    told = asked("practice-mark", form=form.id, seed="5", answers=wrong)
    assert "error" in told or (told["right"] is False and told["spoken"].startswith("Not right.") and told["card"]["last"] < 3)
    assert asked("practice-question", form=form.id, seed="5", place="Q 1")["kind"] == kind
    assert question_html(question, "q") and marked_html(question, mark(question, right), "q") and citations(question)


@pytest.mark.parametrize("kind, answers, said", [
    ("choice", [], "Choose one answer."), ("choice", ["0", "1"], "Choose one answer."), ("order", ["0"], "Give each step its own number"),
    ("order", ["a"], "Name lines by their numbers"), ("number", [], "Nothing is written here"), ("number", ["many"], "“many” does not start with a number"),
])
def test_an_answer_that_cannot_be_read_is_told(kind, answers, said):
    assert asked("practice-mark", form=of_kind(kind).id, seed="1", answers=answers)["error"].startswith(said)


def test_a_hazard_missed_and_a_fine_thing_marked_are_both_told():
    question = draw(of_kind("hazard"), "1")
    fine = [place for place in range(len(question.shown)) if place not in question.right]
    marked = mark(question, [str(place) for place in (*question.right[1:], fine[0])])
    page = marked_html(question, marked, "q")
    assert not marked.right and "(you missed it)" in page and "(you marked it)" in page


def test_the_right_answer_in_words_is_the_option_or_the_verdict():
    choice = draw(of_kind("choice"), "1")
    assert right_text(choice) == choice.lines[choice.right[0]]
    assert right_text(draw(of_kind("order"), "1")) == ()


def test_a_figure_has_no_lines_to_choose_from():
    question = draw(of_kind("number"), "1")
    assert question.lines == () and question.right == () and right_text(question) == ()


def test_a_date_or_a_time_is_read_in_one_way_of_writing():
    form = next((form for form in all_forms() if form.kind == "number" and draw(form, "1").asked.kind is None), None)
    assert form is not None
    question = draw(form, "1")
    right = plain_time(question.asked.wording)
    assert mark(question, [right]).right and not mark(question, ["1999-01-01" if "-" in right else "03:07"]).right
    with pytest.raises(InputError, match="as year-month-day|as hours and minutes"):
        mark(question, ["soon"])
    assert plain_time("lapsed") == "lapsed"


@pytest.mark.parametrize("name, wanted, hint", [
    ("after-retest-last-day", "a date as year-month-day, or as month/day/year", "Write a date as year-month-day or month/day/year."),
    ("rods-exposure-until", "a time as hours and minutes, 14:05 or 2:05 pm", "Write the time as hours and minutes, as in 14:05 or 2:05 pm."),
    ("safety-watch-end-nfpa", "a time as hours and minutes, 14:05 or 2:05 pm", "Write the time as hours and minutes, as in 14:05 or 2:05 pm."),
])
def test_a_reader_is_told_whether_a_date_or_a_time_is_asked_for(name, wanted, hint):
    question = draw(form_named(name), "1")
    assert hint in question_html(question, "q")
    with pytest.raises(InputError, match=f"write {wanted}$"):
        mark(question, ["soon"])


def test_a_number_without_a_unit_is_read_in_the_system_of_the_page():
    """A page that names no system, or one that there is not, is read in inches and pounds."""
    question = draw(form_named("groove-face-width"), "1")
    metres = float(question.asked.amount)
    for request, right in (({"system": "si"}, "mm"), ({"system": "us"}, "in"), ({}, "in"), ({"system": "other"}, "in")):
        for unit, number in (("mm", metres * 1000), ("in", metres / 0.0254)):
            told = asked("practice-mark", form="groove-face-width", seed="1", answers=[f"{number:.4f}"], **request)
            assert told["right"] == (unit == right)


# --- try first -------------------------------------------------------------------------------------


def test_a_figure_is_tried_before_it_is_shown():
    opened = asked("try-open", calculator="groove", inputs={"bevel_angle": "30 deg"})
    assert "face_width" in opened["names"] and "Within 2 % counts as right." in opened["html"]
    # 2 x 3/8 in x tan 30 + 1/4 in = 0.683 in
    right = asked("try-mark", calculator="groove", inputs={"bevel_angle": "30 deg", "thickness": "3/8 in", "root_opening": "1/4 in"}, what="face_width", answer="0.683 in")
    assert right["right"] and right["spoken"] == "Right." and "data-steps" in right["html"]
    # The cosine-for-tangent and other slips are named; a figure from nowhere is not.
    wrong = asked("try-mark", calculator="groove", inputs={}, what="face_width", answer="17 in")
    assert wrong["right"] is False and wrong["spoken"] == "Not right."
    assert asked("try-mark", calculator="groove", inputs={}, what="face_width", answer="wide")["error"].startswith("“wide” does not start with a number")
    assert asked("try-mark", calculator="groove", inputs={}, what="no-such", answer="1 in")["trouble"].endswith("(KeyError).")


def test_an_answer_in_words_has_no_figure_to_try_first():
    """ASME IX judges each opening by itself: no sum is worked out, so there are only verdicts."""
    assert asked("try-open", calculator="bend-judge", inputs={"rule": "asme"})["error"] == "This answer is in words, so there is no figure to work out first."
    assert "sum_1" in asked("try-open", calculator="bend-judge", inputs={"rule": "aws"})["names"]


def test_a_slip_that_cannot_be_worked_out_is_passed_over():
    """Square edges: the tangent of 0 has no reciprocal.

    A slip whose changed input is refused gives no figure; the next one is named.
    """
    groove = calculator("groove")
    square = groove.answer({"bevel_angle": "0 deg", "root_opening": "1/4 in"})
    named = [each.says for each in slips.candidates(groove, square, square["face_width"])]
    assert "you took a tangent where the steps take another function of the angle" in named
    assert "you turned the tangent upside down" not in named
    answer = groove.answer({"bevel_angle": "30 deg"})
    declared = (Slip("you took a plate of 99 in", change={"thickness": "99 in"}), Slip("you gave a third", times="1/3"))
    third = float(answer["face_width"].amount) / 3
    assert slips.recognised(groove, answer, answer["face_width"], third, third / 100, declared) == "you gave a third"
    assert [each.says for each in slips.candidates(groove, answer, answer["face_width"], declared)][0] == "you gave a third"
    assert asked("try-open", calculator="groove", inputs={"thickness": "wide"})["error"].startswith("Plate thickness: ")


def test_counts_are_asked_for_exactly_and_temperatures_within_degrees():
    pages = "".join(asked("try-open", calculator=name, inputs={}).get("html", "") for name in ("class-plan", "preheat", "cut-list", "coupon-layout"))
    assert "Give the exact count." in pages and "Within 5 °F counts as right." in pages


def test_a_slip_is_named_near_its_figure_and_clear_of_the_right_one():
    """45° in all: half of it, 22.5°, is named where the answer is as good as that figure, whatever counts as right."""
    groove = calculator("groove")
    answer = groove.answer({"bevel_angle": "22.5 deg"})
    asked = answer["included_angle"]
    assert asked.amount == 45

    def named(given, within):
        return slips.recognised(groove, answer, asked, given, within)

    assert all("half the angle" in named(given, 0.5) for given in (22.4, 22.5, 22.6)) and named(22, 0.5) == named(23, 0.5) == ""
    assert "half the angle" in named(22.5, 11.2) and named(22.5, 11.25) == "", "two tolerances from the right answer, and no less"
    # Readers round: half a hundredth of the slip's figure is near enough where the tolerance is less.
    assert "half the angle" in named(22.5 * 1.00499, 0.01) and named(22.5 * 1.00501, 0.01) == ""


def test_a_slip_of_a_field_left_blank_or_at_nothing_gives_no_figure():
    groove = calculator("groove")
    answer = groove.answer({"root_opening": "0 in", "root_face": "0 in", "cap_width": ""})
    says = [each.says for each in slips.candidates(groove, answer, answer["face_width"])]
    assert "you left something out: root opening" not in says and "you left something out: root face" not in says
    assert slips.declared_amount(Slip("it was doubled", change={"cap_width": "double"}), groove, answer, answer["face_width"]) is None
    given = groove.answer({"root_opening": "1/8 in", "root_face": "1/16 in"})
    says = [each.says for each in slips.candidates(groove, given, given["face_width"])]
    assert "you left something out: root opening" in says and "you left something out: root face" in says


@pytest.mark.parametrize("factor, says", [
    (2, "twice"), (0.5, "half"), (10, "ten times"), (0.1, "a tenth"), (100, "a hundred times"), (0.01, "a hundredth"), (-1, "the sign"),
])
def test_an_answer_off_by_a_factor_is_named_after_it(factor, says):
    """The elongation of a bend has no half angle and no other unit: only the factor can have made it."""
    ratio = calculator("bend-ratio")
    answer = ratio.answer()
    right = float(answer["elongation"].amount)
    found = [each.amount for each in slips.candidates(ratio, answer, answer["elongation"]) if says in each.says]
    assert any(amount == pytest.approx(factor * right) for amount in found), found


# --- progress ------------------------------------------------------------------------------------------


STATE = {"format": "plate-test-guide-progress", "version": 1, "active": 0, "profiles": [{"name": "Reader 1", "cards": {"groove-face-width": CARD}, "read": {"groove-width": TODAY}}]}


def test_progress_is_read_and_stands_by_objective():
    told = asked("progress-read", text=json.dumps(STATE))
    assert told["profiles"] == 1 and told["cards"] == 1 and told["state"]["profiles"][0]["cards"]["groove-face-width"] == CARD
    objectives = asked("progress-standing", profile=STATE["profiles"][0])["objectives"]
    assert objectives[form_named("groove-face-width").objective]["word"] == "known"
    assert {"not tried yet"} < {each["word"] for each in objectives.values()}
    assert asked("progress-standing", profile={"cards": {}})["refused"].startswith("profile 1: a name is missing")


@pytest.mark.parametrize("profile, said", [
    ({"name": "A", "cards": [], "read": {}}, "field “cards” and field “read” must each be a list by name"),
    ({"name": "A", "cards": {"groove-face-width": 3}}, "not a record"),
    ({"name": "A", "cards": {"groove-face-width": {"due": "tomorrow"}}}, "is not a day"),
    ({"name": "A", "cards": {"groove-face-width": {**CARD, "again": 1}}}, "field “again” must be true or false"),
    ({"name": "A", "cards": {"No Id": CARD}}, "is not the id of a question"),
    ({"name": "\u202eA"}, "a name has from 1 to 40 plain characters"),
])
def test_a_damaged_progress_file_says_where(profile, said):
    assert said in asked("progress-read", text=json.dumps({**STATE, "profiles": [profile]}))["refused"]


def test_a_file_longer_than_any_progress_is_refused():
    assert "longer than 4 million" in asked("progress-read", text=" " * 4_000_001)["refused"]


# --- worksheets, spacing, slips -----------------------------------------------------------------------------


def test_worksheets_on_the_page_and_their_limits():
    told = asked("worksheet", settings={"seed": "7", "questions": 40, "key": True})
    assert told["html"].count('class="paper"') == 1 and told["html"].count('class="paper key"') == 1 and told["line"].endswith("--key")
    assert "chapter: write a list" in asked("worksheet", settings={"chapters": "groove"})["refused"]


@pytest.mark.parametrize("grade", [-1, 6])
def test_a_grade_outside_the_rule_is_refused(grade):
    with pytest.raises(ValueError, match="from 0 to 5"):
        next_ease(2.5, grade)


def test_the_beads_are_drawn_as_they_are_told():
    """Too fast: thin, ripples far apart. Too slow: wide, ripples crowded. The right one lies between."""
    wide, ripples = [], []
    for name in ("bead-too-fast", "bead-right", "bead-too-slow"):
        shapes = pictures.picture(name).shapes
        (bead,) = [shape for shape in shapes if isinstance(shape, Polygon) and shape.look == "weld"]
        wide.append(max(y for _, y in bead.points) - min(y for _, y in bead.points))
        ripples.append(sum(isinstance(shape, Path) for shape in shapes))
    assert wide[0] < wide[1] < wide[2] and ripples[0] < ripples[1] < ripples[2]


def test_a_slip_of_radius_and_diameter_is_named():
    from calc.core.declare import Quantity
    from calc.core.units import LENGTH

    field = Quantity("r", "Bend radius", LENGTH, "1 in", "0 in", "9 in", "")
    assert ("double", "you took the diameter where the bend radius is meant") in slips._ways(field, "bend radius")
    assert ("half", "you took the radius where the plunger diameter is meant") in slips._ways(field, "plunger diameter")
