"""The spacing rule against its publication and against an independent library; the daily set."""

from __future__ import annotations

import datetime
import random

import pytest
import sm_2

from calc.practice.forms import all_forms
from calc.practice.schedule import Card, daily_set, days_until_next, interleaved, next_ease, review

TODAY = "2026-03-01"


@pytest.mark.parametrize(("grade", "change"), [(5, 0.10), (4, 0.0), (3, -0.14)])
def test_ease_changes_as_published(grade, change):
    # EF' = EF + (0.1 - (5 - q)(0.08 + (5 - q) 0.02)), SM-2, "Optimization of learning", 1990.
    assert next_ease(2.5, grade) == pytest.approx(2.5 + change)


def test_ease_stays_within_its_publication():
    assert next_ease(1.3, 3) == 1.3
    with pytest.raises(ValueError, match="0 to 5"):
        next_ease(2.5, 6)


def test_intervals_follow_the_publication():
    """I(1) = 1, I(2) = 6, I(n) = I(n-1) times the ease, rounded up; with ease 2.5 held by grade 4: 15, 38, 95."""
    card, day, waits = Card(), datetime.date.fromisoformat(TODAY), []
    for _ in range(5):
        card = review(card, 4, day.isoformat())
        waits.append(card.interval)
        day = datetime.date.fromisoformat(card.due)
    assert waits == [1, 6, 15, 38, 95]


@pytest.mark.parametrize("seed", range(40))
def test_long_runs_agree_with_an_independent_library(seed):
    """The package sm-2 (0.3.0), reviewed on each due day with the same grades."""
    grades = random.Random(seed)
    start = datetime.datetime(2026, 3, 1, tzinfo=datetime.timezone.utc)
    theirs, ours = sm_2.Card(due=start), Card()
    for _ in range(25):
        grade, day = grades.choice([1, 2, 3, 4, 5, 5, 5]), theirs.due
        theirs, _ = sm_2.Scheduler.review_card(theirs, grade, day)
        # Their ease gathers binary dust: 6 times 3.0000000000000004 would round up to 19.
        theirs.EF = round(theirs.EF, 9)
        if theirs.I > 3650:
            break  # Ours waits ten years at most.
        ours = review(ours, grade, day.date().isoformat())
        assert (ours.interval, ours.in_a_row, ours.again) == (theirs.I, theirs.n, theirs.needs_extra_review)
        assert ours.ease == pytest.approx(theirs.EF)
        assert ours.due == theirs.due.date().isoformat()


def test_a_miss_comes_back_sooner():
    known = review(review(Card(), 5, TODAY), 5, "2026-03-02")
    missed = review(known, 1, known.due)
    assert missed.due == known.due and review(missed, 5, known.due).due == "2026-03-09"
    assert review(known, 5, known.due).due > "2026-03-20"


def test_practice_ahead_of_time_changes_the_wait_only_by_a_miss():
    known = review(review(Card(), 5, TODAY), 5, "2026-03-02")
    early = review(known, 5, "2026-03-03")
    assert (early.due, early.interval, early.ease) == (known.due, known.interval, known.ease)
    assert review(known, 1, "2026-03-03").due == "2026-03-03"


def test_a_daily_set_takes_what_is_due_first_then_new():
    forms = all_forms()
    late, later = forms[0], forms[60]
    cards = {
        late.id: Card(due="2026-02-20", seen=1), later.id: Card(due="2026-02-27", seen=1),
        forms[5].id: Card(due="2026-03-09", seen=1),
    }
    chosen = daily_set(forms, cards, TODAY, 10)
    assert len(chosen) == len({form.id for form in chosen}) == 10
    assert late in chosen and later in chosen and forms[5] not in chosen
    assert daily_set(forms, cards, TODAY, 1) == [late]
    assert daily_set(forms, cards, TODAY, 10) == chosen, "the set of a day stays"
    assert daily_set(forms, cards, "2026-03-02", 10) != chosen


def test_a_daily_set_is_full_and_takes_a_new_question_of_each_chapter_in_turn():
    forms = [form for form in all_forms() if form.chapter in ("groove", "rods", "bending")]
    for size in (1, 2, 3, 9, len(forms), len(forms) + 5):
        chosen = daily_set(forms, {}, TODAY, size)
        counts = [sum(form.chapter == chapter for form in chosen) for chapter in ("groove", "rods", "bending")]
        assert len(chosen) == min(size, len(forms))
        assert size > 9 or max(counts) - min(counts) <= 1, counts
    known = {form.id: Card(due="2026-02-20") for form in forms[:3]}
    assert set(form.id for form in daily_set(forms, known, TODAY, 3)) == set(known), "what is due fills the set"
    assert daily_set([], {}, TODAY, 5) == []


def test_neighbors_come_from_different_chapters():
    forms = all_forms()
    mixed = interleaved(forms)
    assert sorted(form.id for form in mixed) == sorted(form.id for form in forms)
    assert all(one.chapter != other.chapter for one, other in zip(mixed, mixed[1:]))
    alone = [form for form in forms if form.chapter == "groove"]
    assert interleaved(alone) == alone


def test_days_until_something_is_due():
    assert days_until_next({}, TODAY) is None
    assert days_until_next({"a": Card(due="2026-03-05"), "b": Card(due="2026-03-08")}, TODAY) == 4
    assert days_until_next({"a": Card(due="2026-02-05")}, TODAY) == 0


def test_a_day_that_no_right_clock_can_have_set_is_due_and_starts_counting_anew():
    """A due day lies at most one interval after the day of the answer: one farther ahead was set by a clock that is
    off.
    """
    form = all_forms()[0]
    answered = review(review(Card(), 5, "2036-03-01"), 5, "2036-03-02")
    assert form in daily_set([form], {form.id: answered}, TODAY, 1)
    again = review(answered, 5, TODAY)
    assert TODAY < again.due < "2026-04-01" and again.in_a_row == 3 and again.seen == 3
    # Practice ahead of time by a right clock, even across the date line, is none of that.
    for day in ("2036-03-02", "2036-03-03", "2036-03-01"):
        assert daily_set([form], {form.id: answered}, day, 1) == [] and review(answered, 5, day).due == answered.due
