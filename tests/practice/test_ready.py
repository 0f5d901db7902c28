"""Am I ready: what is expected on the test day comes out so for simulated learners who forget by other parameters."""

from __future__ import annotations

import json
from functools import cache

from calc.practice import plan, progress, simulate
from calc.practice.forms import CHAPTERS, all_forms
from calc.practice.memory import Checked, Memory, model
from calc.practice.ready import Ready, expected, ready
from calc.web import respond

FORMS = all_forms()
OBJECTIVES = list(dict.fromkeys(form.objective for form in FORMS))
TODAY, TEST = "2026-03-02", "2026-03-23"
COURSES = ((3, 14), (7, 21), (10, 21), (14, 42), (20, 42))
LEARNERS = 20


@cache
def outcomes() -> tuple[list[tuple[Ready, float]], list[tuple[float, bool, float]]]:
    """For each learner what was expected and the share right on the day; for each objective of each what was expected,
    whether it was right, and 1 where the progress page calls it known.
    """
    shares, rows = [], []
    for seed in range(LEARNERS):
        practiced, days = COURSES[seed % len(COURSES)]
        who, test = simulate.learner(1000 + seed, OBJECTIVES), simulate.test_day(days)
        for day in range(practiced):
            for form in simulate.by_plan(who, simulate.test_day(day), test, plan.questions_of((10, 15, 30)[seed % 3])):
                who.ask(form, simulate.test_day(day))
        found = ready(FORMS, who.seen, simulate.test_day(practiced), test, model(), who.checked)
        chances = expected(who.before, who.seen, test, model(), who.checked)
        standing = progress.standings(progress.Profile("1", who.cards))
        right = {each: simulate.even(who.chance) < who.known(each, test) for each in who.before}
        shares.append((found, sum(right.values()) / len(right)))
        rows += [(chances[each], right[each], float(standing[each].known)) for each in right]
    return shares, rows


def brier(pairs: list[tuple[float, bool]]) -> float:
    return sum((chance - right) ** 2 for chance, right in pairs) / len(pairs)


def test_the_guess_is_better_than_the_base_rate_and_than_known_or_not():
    _, rows = outcomes()
    base = sum(right for _, right, _ in rows) / len(rows)
    ours = brier([(chance, right) for chance, right, _ in rows])
    assert ours < 0.85 * brier([(base, right) for _, right, _ in rows])
    assert ours < 0.5 * brier([(known, right) for _, right, known in rows])


def test_what_is_expected_comes_out():
    """Reliability: in every tenth of the chances, the share right is within ten points of what was expected."""
    _, rows = outcomes()
    for tenth in range(10):
        inside = [(chance, right) for chance, right, _ in rows if tenth / 10 <= chance < (tenth + 1) / 10]
        if len(inside) > 100:
            assert abs(sum(chance - right for chance, right in inside)) / len(inside) < 0.1, tenth


def test_four_bands_in_five_hold_what_came_out():
    shares, _ = outcomes()
    inside = sum(found.low <= share <= found.high for found, share in shares)
    assert 0.7 * LEARNERS <= inside, inside
    assert all(found.high - found.low < 0.3 for found, _ in shares), "a band that holds all tells nothing"


def test_the_answer_names_stages_the_weakest_and_what_an_hour_adds():
    memories = {form.objective: Memory(30.0, 5.0, TODAY) for form in FORMS if form.chapter != "flaws"}
    found = ready(FORMS, memories, TODAY, TEST, model())
    assert list(found.stages) == list(CHAPTERS)
    assert min(found.stages, key=found.stages.get) == "flaws" and len(found.weakest) == 3
    assert all(each.startswith("flaws-") for each in found.weakest) and 0 < found.hour < 0.1
    assert found.tried == len(memories) and 0 <= found.low < found.share < found.high <= 1


def test_a_reader_who_forgets_faster_is_told_less():
    memories = {form.objective: Memory(10.0, 5.0, TODAY) for form in FORMS}
    records = (Checked(), Checked(80.0, 40, 100))
    plain, faster = (ready(FORMS, memories, TODAY, TEST, model(), each).share for each in records)
    assert faster < plain - 0.1


def asked(**request: object) -> dict:
    return json.loads(respond(json.dumps({"do": "practice-ready", "today": TODAY, **request})))


def test_the_page_is_told_in_words_and_never_as_a_certification():
    html = asked(test_date=TEST, memory={"groove-width": {"stability": 9, "difficulty": 5, "last": TODAY}})["html"]
    assert "Expected on the day of your test" in html and "Tried so far: 1 of " in html and "no certification" in html
    for odd in ("", "2026-03-01", "soon"):
        assert "Set the day of your test" in asked(test_date=odd)["html"]
