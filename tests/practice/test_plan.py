"""The plan for the test day: it covers all, spaces towards the day, varies, and is worth nearly what an ideal is."""

from __future__ import annotations

import json
import sys

import pytest

from calc.practice import memory, plan, simulate
from calc.practice.cli import plan_command
from calc.practice.forms import all_forms
from calc.practice.memory import Memory, Model, from_cards, model
from calc.practice.plan import LOOK_ALIKE, days_between, objectives_for, plan_set, questions_of
from calc.practice.schedule import Card
from calc.web import respond

FORMS = all_forms()
OBJECTIVES = list(dict.fromkeys(form.objective for form in FORMS))
TODAY, TEST = "2026-03-02", "2026-03-23"


def later(days: int) -> str:
    return simulate.test_day(days)


def asked(do: str, **request: object) -> dict:
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


def test_what_was_never_asked_comes_first_and_all_is_covered():
    cards, memories, seen = {}, {}, set()
    for day in range(7):
        for form in plan_set(FORMS, cards, memories, later(day), TEST, 20, model()):
            seen.add(form.objective)
            memories[form.objective] = model().after(memories.get(form.objective), 5, later(day))
            cards[form.id] = Card(seen=1, due=later(day))
    assert seen == set(OBJECTIVES)


def test_an_objective_rests_a_tenth_of_its_days_and_comes_again_each_time_by_another_question():
    memories = {each: Memory(2.3, 5.0, TODAY) for each in OBJECTIVES}
    late = {**memories, "groove-width": Memory(2.3, 5.0, "2026-02-20")}
    assert objectives_for(OBJECTIVES, late, TODAY, TEST, 1, model()) == ["groove-width"]
    assert objectives_for(OBJECTIVES, memories, TODAY, TEST, 5, model()) == [], "nothing twice on a day"
    cards, seen, widths = {}, [], [each for each in FORMS if each.objective == "groove-width"]
    for day in range(0, 20, 4):
        (form,) = plan_set(widths, cards, {}, later(day), TEST, 1, model())
        seen.append(form.id)
        cards[form.id] = Card(seen=1, due=later(day))
    assert len(set(seen)) == min(5, len(widths))


def test_pictures_that_look_alike_come_together_and_apart_from_each_other():
    pairs = 0
    for day in range(30):
        chosen = plan_set(FORMS, {}, {}, later(day), later(60), 40, model())
        pictures = [form.picture for form in chosen]
        for group in LOOK_ALIKE:
            places = [place for place, picture in enumerate(pictures) if picture in group]
            pairs += len(places) > 1
            assert all(two - one > 1 for one, two in zip(places, places[1:])) or len(chosen) < 3
        assert len({form.id for form in chosen}) == len(chosen) == 40
    assert pairs >= 10


def test_every_picture_of_look_alikes_is_one_of_ours():
    from calc.practice.pictures import PICTURES

    assert {each for group in LOOK_ALIKE for each in group} <= set(PICTURES)


@pytest.mark.parametrize("days", simulate.DAYS)
@pytest.mark.parametrize("minutes", simulate.MINUTES)
def test_the_plan_is_worth_nine_tenths_of_an_ideal_and_more_than_the_older_rule(days, minutes):
    """Learners forget by parameters that the plan does not know."""
    found = simulate.compare(2, days, minutes)
    assert found.plan >= 0.9 * found.ideal and found.plan > found.older and 0 < found.ideal <= 1


def test_simulated_learners_are_the_same_each_time_and_differ_from_each_other():
    one, again, other = (simulate.learner(seed, OBJECTIVES) for seed in (1, 1, 2))
    assert one.truth.rule.parameters == again.truth.rule.parameters != other.truth.rule.parameters
    assert one.truth.rule.parameters != model().rule.parameters and one.before == again.before


def test_the_command_prints_what_the_plan_is_worth(capsys):
    assert plan_command(["--simulate", "--seeds", "1", "--days", "3", "--minutes", "10"]) == 0
    assert "mean of 1 simulated learners" in (told := capsys.readouterr().out) and "   3       10" in told
    assert plan_command(["--simulate", "--days", "0"]) == plan_command([]) == plan_command(["--wrong"]) == 2
    assert plan_command(["--help"]) == 0


def test_the_day_of_the_test_makes_the_set():
    found = asked("practice-daily", cards={}, test_date=TEST, minutes=15, size=5)
    assert found["planned"] and len(found["set"]) == questions_of(15) == 20
    assert found["told"] == "21 days to your test. 20 questions now, about 15 minutes."
    assert asked("practice-daily", cards={}, test_date=TODAY)["told"].startswith("Your test is today.")
    past = asked("practice-daily", cards={}, test_date="2026-03-01", size=5)
    assert "is past" in past["told"] and len(past["set"]) == 5 and "planned" not in past
    for odd in ("", "soon", 3, None, "2100-01-01"):
        assert len(asked("practice-daily", cards={}, test_date=odd, size=5)["set"]) == 5
    assert len(asked("practice-daily", cards={}, test_date=TEST, minutes="many")["set"]) == 20


def test_an_answer_carries_the_memory_of_its_objective_and_the_record_of_guesses():
    first = asked("practice-mark", form="groove-angle-meaning", seed="1", answers=["0"], memory={}, place="q")
    assert first["objective"] == "groove-angle" and first["memory"]["seen"] == 1 and "checked" not in first
    memories = {"groove-angle": {**first["memory"], "last": "2026-02-20"}}
    had = {"form": "groove-angle-meaning", "grade": "had"}
    second = asked("practice-grade", **had, memory=memories)
    assert second["memory"]["seen"] == 2 and second["checked"]["count"] == second["checked"]["right"] == 1
    assert 0 < second["checked"]["expected"] < 1
    old = asked("practice-grade", **had, card={"interval": 6, "due": TODAY, "seen": 3})
    assert old["memory"]["seen"] == 4 and old["memory"]["stability"] > 6, "what was learned under the older rule counts"


def test_without_the_package_the_older_rule_goes_on(monkeypatch, capsys):
    for name in [each for each in sys.modules if each.partition(".")[0] == "fsrs"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "fsrs", None)
    memory.model.cache_clear()
    try:
        with pytest.raises(memory.Missing):
            Model()
        found = asked("practice-daily", cards={}, test_date=TEST, size=5)
        assert found["needs"] == "recall" and "needs the package" in found["told"] and len(found["set"]) == 5
        marked = asked("practice-mark", form="groove-angle-meaning", seed="1", answers=["0"], place="q")
        assert marked["needs"] == "recall" and marked["card"]["seen"] == 1 and "memory" not in marked
        assert asked("practice-ready", test_date=TEST)["needs"] == "recall"
        assert plan_command(["--simulate", "--seeds", "1", "--days", "3"]) == 2
    finally:
        memory.model.cache_clear()
    assert "needs the package fsrs" in capsys.readouterr().err


def test_progress_kept_by_questions_becomes_memories_of_objectives():
    forms = [form for form in FORMS if form.objective == "groove-width"][:2]
    cards = {forms[0].id: Card(ease=2.5, interval=6, due="2026-03-08", seen=2), forms[1].id: Card(due=TODAY, seen=1)}
    found = from_cards(FORMS, cards)
    assert set(found) == {"groove-width"} and found["groove-width"].seen == 3
    assert found["groove-width"].stability == 6 and found["groove-width"].last == "2026-03-02"
    easiest = from_cards(FORMS, {forms[0].id: Card(ease=1000, interval=3650, due="2026-03-08")})
    assert easiest["groove-width"].difficulty >= 1


def test_days_and_questions():
    assert days_between(TODAY, TEST) == 21 and plan.questions_of(1) == 1
