"""Progress as a file: it comes back as it went, a damaged one is refused in words, standings follow what was
answered.
"""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings, strategies as some

from calc.practice.forms import all_forms
from calc.practice.progress import Profile, State, StateError, read_state, standings, state_data
from calc.practice.schedule import Card, review
from calc.web import respond

OBJECTIVE = "groove-width"
FORMS = [form for form in all_forms() if form.objective == OBJECTIVE]
GOOD = state_data(
    State((Profile("7", {"groove-face-width": review(Card(), 5, "2026-03-01")}, {OBJECTIVE: "2026-03-01"}),), 0)
)


def changed(**fields) -> str:
    return json.dumps({**GOOD, **fields})


def test_a_state_comes_back_as_it_went():
    state = read_state(json.dumps(GOOD))
    assert state_data(state) == GOOD
    assert state.profiles[0].cards["groove-face-width"].due == "2026-03-02"


def test_a_state_of_version_1_is_read_and_nothing_of_it_is_lost():
    """Version 1 as a browser kept it; what the plan goes by is worked out from its cards."""
    card = {"ease": 2.6, "interval": 6, "in_a_row": 2, "due": "2026-03-08", "again": False, "seen": 2, "last": 5}
    old = {"format": "plate-test-guide-progress", "version": 1, "active": 0, "profiles": [
        {"name": "7", "cards": {"groove-face-width": card, "groove-gone": card}, "read": {OBJECTIVE: "2026-03-01"}}]}
    (profile,) = (state := read_state(json.dumps(old))).profiles
    now = state_data(state)
    assert now["version"] == 3 and now["profiles"][0]["cards"] == old["profiles"][0]["cards"]
    assert now["profiles"][0]["read"] == old["profiles"][0]["read"]
    assert profile.memory[OBJECTIVE].stability == 6 and profile.memory[OBJECTIVE].last == "2026-03-02"
    assert state_data(read_state(json.dumps(now))) == now


@pytest.mark.parametrize("fields, message", [
    ({"memory": []}, "field “memory” must be"), ({"memory": {"a": 1}}, "not a record"),
    ({"memory": {"a": {"stability": 0, "difficulty": 5, "last": "2026-03-01"}}}, "field “stability” must be"),
    ({"memory": {"a": {"stability": 1, "difficulty": 11, "last": "2026-03-01"}}}, "field “difficulty” must be"),
    ({"memory": {"a": {"stability": True, "difficulty": 5, "last": "2026-03-01"}}}, "field “stability” must be"),
    ({"memory": {"a": {"stability": 1, "difficulty": 5, "last": "soon"}}}, "is not a day"),
    ({"memory": {"a": {"stability": 1, "difficulty": 5, "last": "2026-03-01", "seen": 0}}}, "field “seen” must be"),
    ({"memory": {"<b>": {}}}, "is not the id"), ({"minutes": 0}, "field “minutes” must be"),
    ({"test_date": "2026-02-30"}, "is not a day"), ({"checked": 3}, "field “checked” must"),
    ({"checked": {"expected": 2, "right": 1, "count": 1}}, "no more expected and right"),
    ({"checked": {"expected": "1", "right": 1, "count": 1}}, "no more expected and right"),
])
def test_what_the_plan_goes_by_is_read_with_care(fields, message):
    with pytest.raises(StateError, match=message):
        read_state(json.dumps({**GOOD, "profiles": [{"name": "7", **fields}]}))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "not JSON"), ("[]", "not a progress file"), ('{"format": "x"}', "not a progress file"),
        (json.dumps(GOOD)[:-20], "not JSON"), (changed(version=4), "written by a newer version"),
        (changed(version=True), "has version True"),
        (changed(profiles=[]), "from 1 to 60"), (changed(active=5), "no such profile"),
        (changed(active=-1), "no such profile"), (changed(active=1), "no such profile"),
        (changed(active=True), "no such profile"), (changed(profiles=[{"cards": {}}]), "profile 1: a name is missing"),
        (changed(profiles=[{"name": "a" * 41}]), "from 1 to 40 plain characters"),
        (changed(profiles=[{"name": "a\u0007"}]), "plain characters"),
        (changed(profiles=[{"name": "a", "cards": {"<b>": {}}}]), "is not the id"),
        (
            changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-02-30"}}}]),
            "profile 1, groove-x: “2026-02-30” is not a day",
        ),
        (
            changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "ease": 1}}}]),
            "field “ease” must be",
        ),
        (
            changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "interval": -1}}}]),
            "field “interval” must be",
        ),
        (
            changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "again": 1}}}]),
            "field “again” must be",
        ),
        (changed(profiles=[{"name": "a", "read": {"groove-x": 3}}]), "is not a day"),
        (changed(profiles=[{"name": "a", "read": {"groove-x": "20260301"}}]), "is not a day"),
        (changed(profiles=[{"name": "a", "read": {"groove-x": "2026-W10-1"}}]), "is not a day"),
        ("[" * 100_000, "not JSON"), ("x" * 4_000_001, "longer than"),
    ],
)
def test_a_damaged_file_is_refused_in_words(text, message):
    with pytest.raises(StateError, match=message):
        read_state(text)
    assert message.split(":")[0] in json.loads(respond(json.dumps({"do": "progress-read", "text": text})))["refused"]


LIMITS = {"ease": (1.3, 1000), "interval": (0, 3650), "in_a_row": (0, 100_000), "seen": (0, 1_000_000), "last": (0, 5)}


@pytest.mark.parametrize("name", LIMITS)
def test_a_number_of_a_card_is_read_up_to_its_limits_and_no_farther(name):
    low, high = LIMITS[name]

    def read(value):
        text = changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", name: value}}}])
        return getattr(read_state(text).profiles[0].cards["groove-x"], name)

    assert read(low) == low and read(high) == high
    for value in (low - 0.1 if name == "ease" else low - 1, high + 1, str(high), True):
        with pytest.raises(
            StateError, match=f"profile 1, groove-x: field “{name}” must be a .*number from {low} to {high}$",
        ):
            read(value)


def test_a_card_without_its_numbers_is_one_that_was_never_answered():
    card = read_state(
        changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01"}}}])
    ).profiles[0].cards["groove-x"]
    assert card == Card(due="2026-03-01")
    assert read_state(json.dumps({name: part for name, part in GOOD.items() if name != "active"})).active == 0


def test_an_ease_is_kept_to_four_decimals():
    card = {**GOOD["profiles"][0]["cards"]["groove-face-width"], "ease": 2.123456}
    state = read_state(changed(profiles=[{"name": "a", "cards": {"groove-x": card}}]))
    assert state_data(state)["profiles"][0]["cards"]["groove-x"] == {**card, "ease": 2.1235}


def test_as_many_readers_and_as_long_names_as_may_be_are_read():
    readers = [{"name": "a" * 40, "cards": {"g" * 100: {"due": "2026-03-01"}}}] * 60
    state = read_state(changed(profiles=readers, active=59))
    assert len(state.profiles) == 60 and state.active == 59 and list(state.profiles[0].cards) == ["g" * 100]
    cards = {f"c{number}": {"due": "2026-03-01"} for number in range(5000)}
    read = dict.fromkeys(cards, "2026-03-01")
    assert len(read_state(changed(profiles=[{"name": "a", "cards": cards, "read": read}])).profiles[0].cards) == 5000
    for more in ({"cards": {**cards, "more": {"due": "2026-03-01"}}}, {"read": {**read, "more": "2026-03-01"}}):
        with pytest.raises(
            StateError, match="field “cards” and field “read” must each be a list by name, at most 5000",
        ):
            read_state(changed(profiles=[{"name": "a", **more}]))
    for wrong, message in (
        (readers + readers[:1], "from 1 to 60"), ([{"name": "a", "read": {"g" * 101: "2026-03-01"}}], "is not the id"),
        ([{"name": " \n"}], "from 1 to 40"),
    ):
        with pytest.raises(StateError, match=message):
            read_state(changed(profiles=wrong))


def test_a_file_of_4_million_characters_is_still_read():
    text = json.dumps(GOOD)
    assert read_state(text + " " * (4_000_000 - len(text))) == read_state(text)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (changed(version="v" * 30), f"the file has version {'v' * 20};"),
        (changed(profiles=[{"name": "a", "read": {"K" * 50: "2026-03-01"}}]), f"“{'K' * 40}” is not the id"),
        (changed(profiles=[{"name": "a", "read": {"groove-x": "d" * 30}}]), f"“{'d' * 20}” is not a day"),
    ],
)
def test_what_is_quoted_of_a_damaged_file_is_short(text, message):
    with pytest.raises(StateError, match=message):
        read_state(text)


@settings(max_examples=60, deadline=None)
@given(
    some.recursive(
        some.none() | some.booleans() | some.floats() | some.text(max_size=8),
        lambda inner: some.lists(inner, max_size=3) | some.dictionaries(
            some.sampled_from(["name", "cards", "read", "due", "ease", "groove-x"]), inner, max_size=4,
        ),
        max_leaves=12,
    )
)
def test_whatever_stands_in_a_file_it_is_read_or_refused(inside):
    try:
        read_state(changed(profiles=inside))
    except StateError:
        pass


def test_an_objective_is_read_then_shaky_then_known_and_can_be_lost():
    card = Card()
    assert standings(Profile("a"))[OBJECTIVE].word == "not tried yet"
    assert standings(Profile("a", {}, {OBJECTIVE: "2026-03-01"}))[OBJECTIVE].word == "read"
    card = review(card, 5, "2026-03-01")
    assert standings(Profile("a", {FORMS[0].id: card}))[OBJECTIVE].word == "shaky"
    card = review(card, 5, card.due)
    assert standings(Profile("a", {FORMS[0].id: card}))[OBJECTIVE].word == "known"
    missed = review(Card(), 1, "2026-03-02")
    assert standings(Profile("a", {FORMS[0].id: card, FORMS[1].id: missed}))[OBJECTIVE].word == "shaky"
    assert standings(Profile("a", {FORMS[0].id: review(card, 1, card.due)}))[OBJECTIVE].word == "shaky"
