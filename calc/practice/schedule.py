"""When a question comes back: the SM-2 rule, and the daily set.

The rule is SM-2 of 1987 as published in "Optimization of learning" (master's thesis, Poznan University of
Technology, 1990): an item answered well waits 1 day, then 6 days, then its last interval times its ease; a miss starts
it over and leaves the ease alone. Ease changes by 0.1 − (5 − q)·(0.08 + (5 − q)·0.02) for a grade q of 3, 4 or 5, and
never goes under 1.3; intervals round up to whole days. An item graded under 4 is asked again the same day.

The guide grades 5 for right and sure, 3 for right and unsure, 2 for a recognised slip, 1 for wrong. Practice ahead of
the due day changes nothing while it goes right, since the rule speaks only of items that are due.

The daily set takes what is due first, then new questions, and mixes the chapters: mixed practice is slower on the day
and holds better.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import zip_longest

from calc.practice.chance import Chance
from calc.practice.forms import Form

FIRST_EASE, LEAST_EASE = 2.5, 1.3
FIRST_INTERVAL, SECOND_INTERVAL = 1, 6
PASS, NO_REPEAT = 3, 4
MASTERED_DAYS = SECOND_INTERVAL
LONGEST_INTERVAL = 3650
CLOCK_SLACK_DAYS = 31
"""A due day may lie this much farther ahead than the interval says. A clock that is off by less costs no more than that wait."""


@dataclass(frozen=True)
class Card:
    """What is known of a reader and a question: ease, interval in days, times right in a row, due day, last grade."""

    ease: float = FIRST_EASE
    interval: int = 0
    in_a_row: int = 0
    due: str = ""
    again: bool = False
    seen: int = 0
    last: int = 0


def next_ease(ease: float, grade: int) -> float:
    """The ease after a grade. Raises `ValueError` for a grade outside 0 to 5.

    >>> round(next_ease(2.5, 5), 2), round(next_ease(2.5, 3), 2), next_ease(2.5, 1)
    (2.6, 2.36, 2.5)
    """
    if not 0 <= grade <= 5:
        raise ValueError("a grade is a whole number from 0 to 5")
    if grade < PASS:
        return ease
    return max(LEAST_EASE, ease + 0.1 - (5 - grade) * (0.08 + (5 - grade) * 0.02))


def review(card: Card, grade: int, today: str) -> Card:
    """The card after an answer on a day (year-month-day). Raises `ValueError` for a bad grade or day.

    >>> card = review(Card(), 5, "2026-03-01"); card.due
    '2026-03-02'
    >>> review(card, 5, card.due).due, review(card, 2, card.due).due
    ('2026-03-08', '2026-03-02')
    """
    day = datetime.date.fromisoformat(today)
    ease = next_ease(card.ease, grade)
    seen = replace(card, seen=card.seen + 1, last=grade)
    if card.again:
        # The same-day repetition: its grade only says whether it is enough for today.
        return replace(seen, again=grade < NO_REPEAT, due=_later(day, card.interval) if grade >= NO_REPEAT else today)
    if grade < PASS:
        return replace(seen, in_a_row=0, interval=0, due=today)
    if card.due and today < card.due and not clock_is_off(card, today):
        return seen
    interval = _interval(card, ease)
    again = grade < NO_REPEAT
    return replace(
        seen, ease=ease, interval=interval, in_a_row=card.in_a_row + 1, again=again,
        due=today if again else _later(day, interval),
    )


def clock_is_off(card: Card, today: str) -> bool:
    """Whether a card was answered on a later day than today: the clock was wrong then or is wrong now.

    >>> clock_is_off(Card(interval=6, due="2026-03-08"), "2026-03-02"), clock_is_off(Card(interval=6, due="2026-03-08"), "2016-03-02")
    (False, True)
    """
    if not card.due:
        return False
    ahead = datetime.date.fromisoformat(card.due) - datetime.date.fromisoformat(today)
    return ahead.days > max(card.interval, FIRST_INTERVAL) + CLOCK_SLACK_DAYS


def is_due(card: Card, today: str) -> bool:
    """Whether a question is due.

    One whose day a wrong clock set far ahead is due too: it would otherwise wait for years.

    >>> [is_due(Card(interval=6, due="2026-03-08"), today) for today in ("2026-03-07", "2026-03-08", "2016-03-08")]
    [False, True, True]
    """
    return card.due <= today or clock_is_off(card, today)


def _interval(card: Card, ease: float) -> int:
    if card.in_a_row == 0:
        return FIRST_INTERVAL
    if card.in_a_row == 1:
        return SECOND_INTERVAL
    # A product such as 15 × 2.6 must not round up for its last binary digit.
    return min(LONGEST_INTERVAL, math.ceil(round(card.interval * ease, 9)))


def _later(day: datetime.date, days: int) -> str:
    # Past the last day that a calendar here has, the last day stands.
    return datetime.date.fromordinal(min(day.toordinal() + days, datetime.date.max.toordinal())).isoformat()


# --- the daily set ---------------------------------------------------------------------


def daily_set(forms: Sequence[Form], cards: Mapping[str, Card], today: str, size: int) -> list[Form]:
    """The questions of a day: what is due, longest due first, then new ones; neighbors from different chapters."""
    due = sorted(
        (form for form in forms if form.id in cards and is_due(cards[form.id], today)),
        key=lambda form: (cards[form.id].due, form.id),
    )
    new = Chance(f"new/{today}").shuffled([form for form in forms if form.id not in cards])
    return interleaved([*due, *spread(new)][:size])


def spread(forms: Iterable[Form]) -> list[Form]:
    """The forms in rounds: one of each chapter, then the next of each."""
    by_chapter: dict[str, list[Form]] = {}
    for form in forms:
        by_chapter.setdefault(form.chapter, []).append(form)
    return [form for turn in zip_longest(*by_chapter.values()) for form in turn if form]


def interleaved(forms: Sequence[Form]) -> list[Form]:
    """The forms so mixed that neighbors come from different chapters as far as that can be; otherwise in their
    order.
    """
    left = list(forms)
    mixed: list[Form] = []
    while left:
        counts = {form.chapter: sum(other.chapter == form.chapter for other in left) for form in left}
        most = max(counts.values())
        before = mixed[-1].chapter if mixed else ""
        others = [form for form in left if form.chapter != before]
        # A chapter that fills more than half of what is left must come now, or its questions meet at the end.
        pressing = [form for form in others if counts[form.chapter] == most and 2 * most > len(left)]
        chosen = (pressing or others or left)[0]
        left.remove(chosen)
        mixed.append(chosen)
    return mixed


def days_until_next(cards: Mapping[str, Card], today: str) -> int | None:
    """Days until something is due; 0 where something is, None where nothing was ever practiced.

    >>> days_until_next({"a": Card(due="2026-03-08"), "b": Card(due="2026-03-05")}, "2026-03-02"), days_until_next({}, "2026-03-02")
    (3, None)
    """
    days = [datetime.date.fromisoformat(card.due) for card in cards.values() if card.due]
    return max(0, (min(days) - datetime.date.fromisoformat(today)).days) if days else None
