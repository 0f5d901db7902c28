"""What a reader has read, tried and knows, and the file that carries it from one machine to another.

The state is plain data (JSON). It comes from the browser's storage or from a file, so it is untrusted: `read_state`
takes nothing that it does not know, and says what is wrong in words.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from typing import Any

from calc.practice.forms import Form, all_forms
from calc.practice.memory import EASIEST, HARDEST, LONGEST, SHORTEST, Checked, Memory, from_cards
from calc.practice.plan import LEAST_MINUTES, MOST_MINUTES, USUAL_MINUTES
from calc.practice.schedule import FIRST_EASE, LEAST_EASE, LONGEST_INTERVAL, MASTERED_DAYS, PASS, Card

FORMAT, VERSION = "plate-test-guide-progress", 2
OLDER = (1,)
"""Versions that are read too. Version 1 kept cards alone: what the plan needs is worked out from them."""
MOST_PROFILES, LONGEST_NAME, MOST_CARDS = 60, 40, 5000
LONGEST_TEXT = 4_000_000
MOST_EASE = 1000
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class StateError(ValueError):
    """A progress file that cannot be used; the message says what is wrong and where."""


@dataclass(frozen=True)
class Profile:
    """One reader: a name or number, what was practiced, the day each objective was read, the day of the test, and the
    minutes a day for practice.
    """

    name: str
    cards: Mapping[str, Card] = field(default_factory=dict)
    read: Mapping[str, str] = field(default_factory=dict)
    memory: Mapping[str, Memory] = field(default_factory=dict)
    """What is remembered of each objective; the plan goes by it."""
    test_date: str = ""
    minutes: int = USUAL_MINUTES
    checked: Checked = Checked()


@dataclass(frozen=True)
class State:
    """Every reader of one machine; `active` is the place of the one who reads now."""

    profiles: tuple[Profile, ...]
    active: int


def read_state(text: str) -> State:
    """The state that a text holds. Raises `StateError`.

    >>> read_state('{"format": "something"}')
    Traceback (most recent call last):
    ...
    calc.practice.progress.StateError: this is not a progress file of this guide
    """
    if len(text) > LONGEST_TEXT:
        raise StateError(f"the file is longer than {LONGEST_TEXT // 10**6} million characters")
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise StateError("the file is damaged: it is not JSON") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise StateError("this is not a progress file of this guide")
    version = data.get("version")
    if version not in (*OLDER, VERSION) or isinstance(version, bool):
        raise StateError(f"the file has version {str(version)[:20]}; this guide reads versions 1 to {VERSION}")
    profiles = data.get("profiles")
    if not isinstance(profiles, list) or not 1 <= len(profiles) <= MOST_PROFILES:
        raise StateError(f"profiles: there must be from 1 to {MOST_PROFILES}")
    readers = tuple(_profile(each, f"profile {number}", version) for number, each in enumerate(profiles, 1))
    active = data.get("active", 0)
    if not _whole(active, 0, len(readers) - 1):
        raise StateError("active: no such profile")
    return State(readers, active)


def _profile(data: Any, where: str, version: int) -> Profile:
    if not isinstance(data, dict) or not isinstance(data.get("name"), str):
        raise StateError(f"{where}: a name is missing")
    name = " ".join(data["name"].split())
    if not 1 <= len(name) <= LONGEST_NAME or not name.isprintable():
        raise StateError(f"{where}: a name has from 1 to {LONGEST_NAME} plain characters")
    cards, read = data.get("cards", {}), data.get("read", {})
    if not isinstance(cards, dict) or not isinstance(read, dict) or len(cards) > MOST_CARDS or len(read) > MOST_CARDS:
        raise _wrong(where, "cards", f"and field “read” must each be a list by name, at most {MOST_CARDS}")
    minutes = data.get("minutes", USUAL_MINUTES)
    if not _whole(minutes, LEAST_MINUTES, MOST_MINUTES):
        raise _wrong(where, "minutes", f"must be a whole number from {LEAST_MINUTES} to {MOST_MINUTES}")
    test_date = data.get("test_date", "")
    kept = {_identifier(key, where): _card(value, f"{where}, {key}") for key, value in cards.items()}
    return Profile(
        name, kept, {_identifier(key, where): _day(value, f"{where}, {key}") for key, value in read.items()},
        (from_cards(all_forms(), kept) if version in OLDER else {}) | read_memories(data.get("memory", {}), where),
        test_date and _day(test_date, where), minutes, read_checked(data.get("checked"), where),
    )


def read_checked(data: Any, where: str = "checked") -> Checked:
    """How the guesses came out for a reader, from plain data. Raises `StateError`."""
    if data is None:
        return Checked()
    names = ("expected", "right", "count")
    if not isinstance(data, dict) or not all(_whole(data.get(name), 0, 1_000_000) for name in names[1:]):
        raise _wrong(where, "checked", "must hold right and count, whole numbers, and expected")
    expected = data.get("expected")
    fits = isinstance(expected, (int, float)) and not isinstance(expected, bool)
    if not fits or not 0 <= expected <= data["count"] or data["right"] > data["count"]:
        raise _wrong(where, "checked", "must hold no more expected and right than count")
    return Checked(float(expected), data["right"], data["count"])


def read_memories(data: Any, where: str = "memory") -> dict[str, Memory]:
    """Memories by objective from plain data. Raises `StateError`."""
    if not isinstance(data, dict) or len(data) > MOST_CARDS:
        raise _wrong(where, "memory", f"must be a list by name, at most {MOST_CARDS}")
    return {_identifier(key, where): _memory(value, f"{where}, {key}") for key, value in data.items()}


def _memory(data: Any, where: str) -> Memory:
    if not isinstance(data, dict):
        raise StateError(f"{where}: not a record")
    for name, low, high in (("stability", SHORTEST, LONGEST), ("difficulty", EASIEST, HARDEST)):
        number = data.get(name)
        if isinstance(number, bool) or not isinstance(number, (int, float)) or not low <= number <= high:
            raise _wrong(where, name, f"must be a number from {low} to {high}")
    seen = data.get("seen", 1)
    if not _whole(seen, 1, 1_000_000):
        raise _wrong(where, "seen", "must be a whole number from 1 to 1000000")
    return Memory(float(data["stability"]), float(data["difficulty"]), _day(data.get("last"), where), seen)


def memory_data(memory: Memory) -> dict[str, Any]:
    """A memory as plain data."""
    return asdict(memory)


def _wrong(where: str, name: str, wanted: str) -> StateError:
    return StateError(f"{where}: field “{name}” {wanted}")


def _identifier(key: str, where: str) -> str:
    if len(key) > 100 or not _ID.fullmatch(key):
        raise StateError(f"{where}: “{key[:40]}” is not the id of a question or an objective")
    return key


def _card(data: Any, where: str) -> Card:
    if not isinstance(data, dict):
        raise StateError(f"{where}: not a record")
    ease, again = data.get("ease", FIRST_EASE), data.get("again", False)
    if isinstance(ease, bool) or not isinstance(ease, (int, float)) or not LEAST_EASE <= ease <= MOST_EASE:
        raise _wrong(where, "ease", f"must be a number from {LEAST_EASE} to {MOST_EASE}")
    if not isinstance(again, bool):
        raise _wrong(where, "again", "must be true or false")
    counts = {name: data.get(name, 0) for name in ("interval", "in_a_row", "seen", "last")}
    for name, most in (("interval", LONGEST_INTERVAL), ("in_a_row", 100_000), ("seen", 1_000_000), ("last", 5)):
        if not _whole(counts[name], 0, most):
            raise _wrong(where, name, f"must be a whole number from 0 to {most}")
    return Card(ease=float(ease), due=_day(data.get("due"), where), again=again, **counts)


def _whole(value: Any, low: int, high: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and low <= value <= high


def _day(value: Any, where: str) -> str:
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
            raise ValueError
        datetime.date.fromisoformat(value)
    except (ValueError, TypeError):
        raise StateError(f"{where}: “{str(value)[:20]}” is not a day, written year-month-day") from None
    return value


def state_data(state: State) -> dict[str, Any]:
    """The state as plain data; `read_state` reads its JSON. What was never set is left out."""
    return {
        "format": FORMAT, "version": VERSION, "active": state.active,
        "profiles": [
            {
                "name": each.name, "cards": {key: card_data(card) for key, card in each.cards.items()},
                "read": dict(each.read), "memory": {key: memory_data(one) for key, one in each.memory.items()},
                **({"test_date": each.test_date} if each.test_date else {}),
                **({"minutes": each.minutes} if each.minutes != USUAL_MINUTES else {}),
                **({"checked": asdict(each.checked)} if each.checked.count else {}),
            }
            for each in state.profiles
        ],
    }


def card_data(card: Card) -> dict[str, Any]:
    """A card as plain data."""
    return {
        "ease": round(card.ease, 4), "interval": card.interval, "in_a_row": card.in_a_row, "due": card.due,
        "again": card.again, "seen": card.seen, "last": card.last,
    }


def read_card(data: Any) -> Card:
    """A card from plain data. Raises `StateError`."""
    return Card() if data is None else _card(data, "card")


# --- standing by objective ------------------------------------------------------------------


@dataclass(frozen=True)
class Progress:
    """How a reader stands with one objective."""

    read: bool
    forms: int
    tried: int
    right: int
    known: bool

    @property
    def word(self) -> str:
        """The standing in a few words."""
        if self.known:
            return "known"
        if self.tried:
            return "shaky"
        return "read" if self.read else "not tried yet"


def standings(profile: Profile) -> dict[str, Progress]:
    """The standing of every objective that has a question or was read.

    Known: at least one question of it was right twice in a row, each time on the day that it was set for, so that it is
    now set for six days later or more; and all that were tried were right the last time. Shaky: tried, and not known.
    """
    by_objective: dict[str, list[Form]] = {}
    for form in all_forms():
        by_objective.setdefault(form.objective, []).append(form)
    return {name: _standing(profile, name, by_objective.get(name, [])) for name in {**by_objective, **profile.read}}


def _standing(profile: Profile, objective: str, forms: list[Form]) -> Progress:
    cards = [profile.cards[form.id] for form in forms if form.id in profile.cards]
    right = [card for card in cards if card.last >= PASS]
    settled = any(card.interval >= MASTERED_DAYS for card in right)
    return Progress(objective in profile.read, len(forms), len(cards), len(right), settled and len(right) == len(cards))
