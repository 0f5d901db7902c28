"""What a reader has read, tried, knows and welded, and the file that carries it from one machine to another.

Every answer is kept with its moment, so two files of one reader join into one history: `joined`. What follows from the
answers, cards and memories, is then worked out anew from them.

The state is plain data (JSON). It comes from the browser's storage or from a file, so it is untrusted: `read_state`
takes nothing that it does not know, and says what is wrong in words.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from calc.core.declare import InputError
from calc.practice import plates
from calc.practice.forms import Form, all_forms
from calc.practice.memory import EASIEST, HARDEST, LONGEST, SHORTEST, Checked, Memory, Model, from_cards
from calc.practice.plates import Plate
from calc.practice.plan import LEAST_MINUTES, MOST_MINUTES, USUAL_MINUTES
from calc.practice.schedule import FIRST_EASE, LEAST_EASE, LONGEST_INTERVAL, MASTERED_DAYS, PASS, Card, review

FORMAT, VERSION = "plate-test-guide-progress", 3
OLDER = (1, 2)
"""Versions that are read too. Version 1 kept cards alone: what the plan needs is worked out from them. Version 2 kept
no answers: what it says of a reader stands as `Before`.
"""
MOST_PROFILES, LONGEST_NAME, MOST_CARDS = 60, 40, 5000
LONGEST_TEXT = 4_000_000
MOST_EASE = 1000
EASE_DIGITS = 4
MOST_IDS = 20
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9]Z?")


class StateError(ValueError):
    """A progress file that cannot be used; the message says what is wrong and where."""


@dataclass(frozen=True)
class Before:
    """What was known of a reader before answers were kept one by one."""

    cards: Mapping[str, Card] = field(default_factory=dict)
    memory: Mapping[str, Memory] = field(default_factory=dict)
    checked: Checked = Checked()


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
    ids: tuple[str, ...] = ()
    """Who this is, whatever the name: an id made at random, and those of readers that were joined to this one."""
    answers: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    """Every answer: question, moment (the reader's own day and time), grade."""
    before: Before = Before()
    plates: Mapping[str, Plate] = field(default_factory=dict)


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
    if isinstance(version, int) and version > VERSION:
        raise StateError("the file was written by a newer version of the guide")
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
    memory = (from_cards(all_forms(), kept) if version == 1 else {}) | read_memories(data.get("memory", {}), where)
    checked = read_checked(data.get("checked"), where)
    before = Before(kept, memory, checked) if version in OLDER else _before(data.get("before"), where)
    return Profile(
        name, kept, {_identifier(key, where): _day(value, f"{where}, {key}") for key, value in read.items()}, memory,
        test_date and _day(test_date, where), minutes, checked, _ids(data.get("ids", []), where),
        _answers(data.get("answers", {}), where), before, read_plates(data.get("plates", {}), where),
    )


def _ids(data: Any, where: str) -> tuple[str, ...]:
    if not isinstance(data, list) or len(data) > MOST_IDS or not all(isinstance(each, str) for each in data):
        raise _wrong(where, "ids", f"must be a list of at most {MOST_IDS} ids")
    return tuple(dict.fromkeys(_identifier(each, where) for each in data))


def _answers(data: Any, where: str) -> dict[str, dict[str, int]]:
    if not isinstance(data, dict) or len(data) > MOST_CARDS:
        raise _wrong(where, "answers", f"must be a list by name, at most {MOST_CARDS}")
    found = {}
    for form, given in data.items():
        if not isinstance(given, dict):
            raise _wrong(where, "answers", "must hold a list of moments for each question")
        for moment, grade in given.items():
            if not _MOMENT.fullmatch(moment) or not _whole(grade, 0, 5):
                raise _wrong(where, "answers", "must hold moments, each with a grade from 0 to 5")
            _day(moment[:10], f"{where}, {form[:40]}")
        found[_identifier(form, where)] = dict(given)
    return found


def _before(data: Any, where: str) -> Before:
    if data is None:
        return Before()
    if not isinstance(data, dict) or not isinstance(data.get("cards", {}), dict):
        raise _wrong(where, "before", "must hold what was answered before")
    cards = {_identifier(key, where): _card(value, f"{where}, {key}") for key, value in data.get("cards", {}).items()}
    return Before(cards, read_memories(data.get("memory", {}), where), read_checked(data.get("checked"), where))


def read_plates(data: Any, where: str = "plates") -> dict[str, Plate]:
    """Practice plates by id, from plain data. Raises `StateError`."""
    if not isinstance(data, dict) or len(data) > plates.MOST_PLATES:
        raise _wrong(where, "plates", f"must be a list by name, at most {plates.MOST_PLATES}")
    return {_identifier(key, where): _plate(key, value, f"{where}, {key}") for key, value in data.items()}


def _plate(identifier: str, data: Any, where: str) -> Plate:
    if not isinstance(data, dict) or not all(isinstance(each, str) for each in data.values()):
        raise StateError(f"{where}: not a plate")
    record, at = data.get("record", ""), data.get("at", "")
    if len(record) > 60 or at and not _MOMENT.fullmatch(at):
        raise StateError(f"{where}: field “at” must be a moment, and field “record” an id")
    try:
        return plates.read_plate(data, id=identifier, record=record and _identifier(record, where), at=at)
    except InputError as trouble:
        raise StateError(f"{where}: {trouble}") from None


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
                **({"ids": list(each.ids)} if each.ids else {}),
                **({"answers": {form: dict(given) for form, given in each.answers.items()}} if each.answers else {}),
                **({"before": _before_data(each.before)} if each.before != Before() else {}),
                **({"plates": {key: plates.plate_data(one) for key, one in each.plates.items()}} if each.plates else {}),
            }
            for each in state.profiles
        ],
    }


def _before_data(before: Before) -> dict[str, Any]:
    return {
        "cards": {key: card_data(card) for key, card in before.cards.items()},
        "memory": {key: memory_data(one) for key, one in before.memory.items()},
        **({"checked": asdict(before.checked)} if before.checked.count else {}),
    }


def card_data(card: Card) -> dict[str, Any]:
    """A card as plain data."""
    return {
        "ease": round(card.ease, EASE_DIGITS), "interval": card.interval, "in_a_row": card.in_a_row, "due": card.due,
        "again": card.again, "seen": card.seen, "last": card.last,
    }


def read_card(data: Any) -> Card:
    """A card from plain data. Raises `StateError`."""
    return Card() if data is None else _card(data, "card")


# --- joining ----------------------------------------------------------------------------------


def joined(one: Profile, other: Profile, model: Model | None = None) -> Profile:
    """Both histories of a reader as one: every answer once, every objective read on its first day, every plate once.

    Name, day of the test and minutes stay those of `one` where it has them. Cards and memories are worked out anew from
    the answers, in the order of their moments; where `other` adds nothing, `one` comes back as it is. Without the
    model an objective keeps the newer of its memories.

    >>> here = Profile("7", answers={"groove-face-width": {"2026-03-01T08:00:00": 5}})
    >>> there = Profile("7", answers={"groove-face-width": {"2026-03-02T08:00:00": 5}})
    >>> joined(here, there).cards["groove-face-width"].due, joined(here, there) == joined(joined(here, there), there)
    ('2026-03-08', True)
    """
    grades = {
        form: {
            moment: min(each.answers.get(form, {}).get(moment, 5) for each in (one, other))
            for moment in sorted({*one.answers.get(form, {}), *other.answers.get(form, {})})
        }
        for form in sorted({*one.answers, *other.answers})
    }
    before = _joined_before(earlier(one), earlier(other))
    read = {
        name: min(each.read[name] for each in (one, other) if name in each.read)
        for name in sorted({*one.read, *other.read})
    }
    whole = replace(
        one, read=read, test_date=one.test_date or other.test_date,
        minutes=other.minutes if one.minutes == USUAL_MINUTES else one.minutes,
        ids=tuple(dict.fromkeys((*one.ids, *other.ids))), answers=grades, before=before,
        plates=plates.joined(one.plates, other.plates),
    )
    if grades == one.answers and before == earlier(one):
        return replace(whole, answers=one.answers, before=one.before)
    return replayed(whole, _newest(one.memory, other.memory), model)


def earlier(profile: Profile) -> Before:
    """What is known of a reader that no kept answer explains: what stood before, and cards without an answer."""
    objectives = {form.objective for form in all_forms() if form.id in profile.answers}
    cards = {name: card for name, card in profile.cards.items() if name not in profile.answers}
    memory = {name: one for name, one in profile.memory.items() if name not in objectives}
    checked = profile.checked if not profile.answers else profile.before.checked
    return Before({**cards, **profile.before.cards}, {**memory, **profile.before.memory}, checked)


def _joined_before(one: Before, other: Before) -> Before:
    """Of every question and objective what rests on more answers: the two may have answers in common."""
    cards = {name: max((each.cards[name] for each in (one, other) if name in each.cards), key=_rank)
             for name in sorted({*one.cards, *other.cards})}
    checked = max(one.checked, other.checked, key=lambda each: (each.count, each.right, each.expected))
    return Before(cards, _newest(one.memory, other.memory), checked)


def _newest(one: Mapping[str, Memory], other: Mapping[str, Memory]) -> dict[str, Memory]:
    return {name: max((each[name] for each in (one, other) if name in each), key=_memory_rank)
            for name in sorted({*one, *other})}


def _rank(card: Card) -> tuple[Any, ...]:
    return card.seen, card.due, card.interval, card.in_a_row, card.last, card.ease, card.again


def _memory_rank(memory: Memory) -> tuple[Any, ...]:
    return memory.seen, memory.last, memory.stability, memory.difficulty


def replayed(profile: Profile, memory: Mapping[str, Memory], model: Model | None) -> Profile:
    """The profile with its cards and memories worked out from what stood before and from its answers in their order.

    `memory` stands where the model is missing, and for objectives whose questions are gone.
    """
    objective = {form.id: form.objective for form in all_forms()}
    cards, known, checked = dict(profile.before.cards), dict(profile.before.memory), profile.before.checked
    events = sorted((moment, form, grade) for form, given in profile.answers.items() for moment, grade in given.items())
    for moment, form, grade in events:
        day = moment[:10]
        after = review(cards.get(form, Card()), grade, day)
        cards[form] = replace(after, ease=round(after.ease, EASE_DIGITS))
        if model and form in objective:
            held = known.get(objective[form])
            checked = model.checked(checked, held, grade, day)
            known[objective[form]] = model.after(held, grade, day)
    memory = {**memory, **known} if model else _newest(memory, known)
    return replace(profile, cards=cards, memory=memory, checked=checked)


@dataclass(frozen=True)
class Meeting:
    """A reader of a file and whom it meets here: `place` in the state here, None where it meets nobody. `asks`: the two
    only share a name, and whether they are one person is for the reader to say. What it would add, in numbers.
    """

    name: str
    place: int | None
    asks: bool
    answers: int
    read: int
    plates: int
    older: int

    @property
    def adds(self) -> bool:
        """Whether anything would change."""
        return self.place is None or any((self.answers, self.read, self.plates, self.older))


def meetings(here: State, file: State) -> list[Meeting]:
    """Whom each reader of a file meets here: the one with an id in common, or whose history holds all of it, or who has
    the same name.
    """
    return [_meeting(here, each) for each in file.profiles]


def _meeting(here: State, brought: Profile) -> Meeting:
    same = [place for place, each in enumerate(here.profiles) if set(each.ids) & set(brought.ids)]
    held = [place for place, each in enumerate(here.profiles) if _holds(each, brought)]
    named = [place for place, each in enumerate(here.profiles) if each.name == brought.name]
    named = sorted(named, key=lambda place: place not in held)
    if is_blank(brought) and not same:
        found = named[:1]
    else:
        found = same[:1] or [place for place in named if place in held][:1] or held[:1] or named[:1]
    if not found:
        return Meeting(brought.name, None, False, *_added(Profile(""), brought))
    place = found[0]
    asks = place not in same and place not in held and not is_blank(here.profiles[place])
    return Meeting(brought.name, place, asks, *_added(here.profiles[place], brought))


def _holds(here: Profile, brought: Profile) -> bool:
    """Whether a history has all of another in it, to the letter: no two people answered in the same moments."""
    older = earlier(brought).cards.items()
    cards = all(card in (here.cards.get(name), here.before.cards.get(name)) for name, card in older)
    read = all(here.read.get(name) == day for name, day in brought.read.items())
    return cards and read and not any(_added(here, brought))


def is_blank(profile: Profile) -> bool:
    """Whether nothing was done under this name."""
    return not (profile.cards or profile.read or profile.memory or profile.answers or profile.plates)


def _added(here: Profile, brought: Profile) -> tuple[int, int, int, int]:
    """How many answers, objectives read, plates, and questions answered in older days a history would add."""
    answers = sum(
        moment not in here.answers.get(form, {}) for form, given in brought.answers.items() for moment in given
    )
    read = sum(day < here.read.get(name, "9999-12-31") for name, day in brought.read.items())
    plates_ = plates.joined(here.plates, brought.plates)
    mine = earlier(here)
    both = _joined_before(mine, earlier(brought))
    older = sum(both.cards[name] != mine.cards.get(name) for name in both.cards)
    older += both.memory != mine.memory and not older
    return answers, read, sum(plates_[name] != here.plates.get(name) for name in plates_), older


def imported(here: State, file: State, choices: Mapping[int, str], model: Model | None = None) -> State:
    """The state here with the readers of a file joined to it: nothing here is lost or replaced.

    `choices` says of a reader that only shares a name, by its place in the file, `join` or `beside`. Raises
    `StateError` where that is missing, and where there would be too many readers.
    """
    readers, active = list(here.profiles), here.active
    for place, (brought, met) in enumerate(zip(file.profiles, meetings(here, file), strict=True)):
        choice = choices.get(place) if met.asks else "join"
        if choice not in ("join", "beside"):
            raise StateError(f"{brought.name}: say whether this is the reader of that name here")
        if met.place is None or choice == "beside":
            if is_blank(readers[active]) and len(here.profiles) == 1:
                active = len(readers)
            readers.append(replace(brought, name=_free_name(brought.name, readers)))
        elif met.adds:
            readers[met.place] = joined(readers[met.place], brought, model)
    if len(readers) > MOST_PROFILES:
        raise StateError(f"there would be {len(readers)} readers; at most {MOST_PROFILES}")
    return State(tuple(readers), active)


def _free_name(name: str, readers: list[Profile]) -> str:
    taken, number, free = {each.name for each in readers}, 1, name
    while free in taken:
        number += 1
        mark = f" ({number})"
        free = name[: LONGEST_NAME - len(mark)] + mark
    return free


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
