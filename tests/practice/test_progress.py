"""Progress as a file: it comes back as it went, a damaged one is refused in words, standings follow what was answered."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from calc.practice.forms import all_forms
from calc.practice.progress import Profile, State, StateError, read_state, standings, write_state
from calc.practice.schedule import Card, review
from calc.web import respond

OBJECTIVE = "groove-width"
FORMS = [form for form in all_forms() if form.objective == OBJECTIVE]
GOOD = json.loads(write_state(State((Profile("7", {"groove-face-width": review(Card(), 5, "2026-03-01")}, {OBJECTIVE: "2026-03-01"}),))))


def changed(**fields) -> str:
    return json.dumps({**GOOD, **fields})


def test_a_state_comes_back_as_it_went():
    state = read_state(json.dumps(GOOD))
    assert json.loads(write_state(state)) == GOOD
    assert state.profiles[0].cards["groove-face-width"].due == "2026-03-02"


@pytest.mark.parametrize(("text", "message"), [
    ("", "not JSON"), ("[]", "not a progress file"), ('{"format": "x"}', "not a progress file"), (json.dumps(GOOD)[:-20], "not JSON"),
    (changed(version=2), "has version 2"), (changed(profiles=[]), "from 1 to 60"), (changed(active=5), "no such profile"),
    (changed(active=True), "no such profile"), (changed(profiles=[{"cards": {}}]), "profile 1: a name is missing"),
    (changed(profiles=[{"name": "a" * 41}]), "from 1 to 40 plain characters"), (changed(profiles=[{"name": "a\u0007"}]), "plain characters"),
    (changed(profiles=[{"name": "a", "cards": {"<b>": {}}}]), "is not the id"),
    (changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-02-30"}}}]), "profile 1, groove-x: “2026-02-30” is not a day"),
    (changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "ease": 1}}}]), "ease must be"),
    (changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "interval": -1}}}]), "interval must be"),
    (changed(profiles=[{"name": "a", "cards": {"groove-x": {"due": "2026-03-01", "again": 1}}}]), "again must be"),
    (changed(profiles=[{"name": "a", "read": {"groove-x": 3}}]), "is not a day"), ("[" * 100_000, "not JSON"), ("x" * 4_000_001, "longer than"),
])
def test_a_damaged_file_is_refused_in_words(text, message):
    with pytest.raises(StateError, match=message):
        read_state(text)
    assert message.split(":")[0] in json.loads(respond(json.dumps({"do": "progress-read", "text": text})))["refused"]


@settings(max_examples=60, deadline=None)
@given(some.recursive(some.none() | some.booleans() | some.floats() | some.text(max_size=8), lambda inner: some.lists(inner, max_size=3) | some.dictionaries(
    some.sampled_from(["name", "cards", "read", "due", "ease", "groove-x"]), inner, max_size=4), max_leaves=12))
def test_whatever_stands_in_a_file_it_is_read_or_refused(inside):
    try:
        read_state(changed(profiles=inside))
    except StateError:
        pass


def test_an_objective_is_read_then_tried_then_mastered_and_can_be_lost():
    card = Card()
    assert standings(Profile("a"))[OBJECTIVE].word == "not yet"
    assert standings(Profile("a", {}, {OBJECTIVE: "2026-03-01"}))[OBJECTIVE].word == "read"
    card = review(card, 5, "2026-03-01")
    assert standings(Profile("a", {FORMS[0].id: card}))[OBJECTIVE].word == "tried"
    card = review(card, 5, card.due)
    assert standings(Profile("a", {FORMS[0].id: card}))[OBJECTIVE].word == "mastered"
    missed = review(Card(), 1, "2026-03-02")
    assert standings(Profile("a", {FORMS[0].id: card, FORMS[1].id: missed}))[OBJECTIVE].word == "tried"
    assert standings(Profile("a", {FORMS[0].id: review(card, 1, card.due)}))[OBJECTIVE].word == "tried"
