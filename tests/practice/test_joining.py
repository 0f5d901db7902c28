"""Two files of one reader become one history: nothing lost, nothing counted twice, in whatever order they come."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings, strategies as some

from calc.practice.forms import all_forms, form_named
from calc.practice.memory import model
from calc.practice.plates import Plate
from calc.practice.progress import (
    Before,
    Profile,
    State,
    StateError,
    imported,
    is_blank,
    joined,
    meetings,
    read_state,
    replayed,
    state_data,
)
from calc.practice.ready import standing_of, summary
from calc.practice.schedule import Card, review
from calc.web import respond

FORMS = [form.id for form in all_forms()][:6]
TODAY = "2026-03-20"
MOMENTS = some.builds("2026-03-{:02d}T{:02d}:00:00".format, some.integers(1, 12), some.integers(7, 9))


def asked(do, **request):
    return json.loads(respond(json.dumps({"do": do, "today": TODAY, **request})))


@some.composite
def histories(draw, name="7"):
    """A reader whose cards and memories follow from the answers and from what stood before."""
    grades = some.dictionaries(MOMENTS, some.sampled_from([1, 2, 3, 5]), min_size=1, max_size=4)
    old = draw(some.dictionaries(some.sampled_from(FORMS), some.builds(
        Card, interval=some.sampled_from([1, 6]), in_a_row=some.integers(1, 2), seen=some.integers(1, 4),
        due=some.just("2026-02-20"), last=some.just(5)), max_size=2))
    plates = {
        name: Plate(verdict=draw(some.sampled_from(["passed", "failed"])), id=name, at=draw(MOMENTS))
        for name in draw(some.sets(some.sampled_from(["plate-a", "plate-b"])))
    }
    profile = Profile(
        name, read=draw(some.dictionaries(some.sampled_from(["groove-width", "safety-gas"]), some.sampled_from(
            ["2026-03-01", "2026-03-05"]), max_size=2)),
        answers=draw(some.dictionaries(some.sampled_from(FORMS), grades, max_size=3)), before=Before(old),
        plates=plates,
    )
    return replayed(profile, {}, model())


def history(profile):
    """All that was done, without name, ids and settings."""
    return (profile.cards, profile.memory, profile.checked, profile.answers, profile.before, profile.read, profile.plates)


@given(histories())
@settings(deadline=None)
def test_a_history_joined_to_itself_or_to_nothing_is_as_it_was(one):
    assert joined(one, one, model()) == one == joined(one, Profile("7"), model())
    assert history(joined(Profile("7"), one, model())) == history(one)


@given(histories(), histories(), histories())
@settings(deadline=None, max_examples=60)
def test_the_order_in_which_files_are_joined_does_not_matter(one, two, three):
    assert history(joined(one, two, model())) == history(joined(two, one, model()))
    left = joined(joined(one, two, model()), three, model())
    right = joined(one, joined(two, three, model()), model())
    assert history(left) == history(right)
    assert joined(left, two, model()) == left, "a second time changes nothing"


@given(histories(), histories())
@settings(deadline=None, max_examples=60)
def test_every_answer_stands_once_and_none_is_lost(one, two):
    both = joined(one, two, model())
    said = {(form, moment) for each in (one, two) for form, given in each.answers.items() for moment in given}
    assert said == {(form, moment) for form, given in both.answers.items() for moment in given}
    for form, card in both.cards.items():
        before = max((each.before.cards[form].seen for each in (one, two) if form in each.before.cards), default=0)
        assert card.seen == before + len(both.answers.get(form, {}))
    for name in {*one.read, *two.read}:
        assert both.read[name] == min(each.read[name] for each in (one, two) if name in each.read)
    assert set(both.plates) == {*one.plates, *two.plates}
    back = state_data(read_state(json.dumps(state_data(State((both,), 0)))))
    assert back == state_data(State((both,), 0)), "and it comes back from a file as it went"


def test_answers_worked_out_anew_give_what_the_page_kept_as_they_were_given():
    """The page asks after each answer; joining replays them all."""
    kept = {"cards": {}, "memory": {}, "checked": None}
    answers: dict = {}
    given = ((2, 0, "had"), (2, 1, "partly"), (3, 0, "had"), (9, 0, "missed"), (9, 0, "had"))
    for day, place, grade in given:
        form = FORMS[place]
        count = sum(map(len, answers.values()))
        moment = f"2026-03-{day:02d}T08:00:{count:02d}"
        told = asked("practice-grade", form=form, grade=grade, today=moment[:10], card=kept["cards"].get(form), memory=kept["memory"], checked=kept["checked"])
        answers.setdefault(form, {})[moment] = told["grade"]
        kept["cards"][form] = told["card"]
        kept["memory"][told["objective"]] = told["memory"]
        kept["checked"] = told.get("checked", kept["checked"])
    profile = {"name": "7", "answers": answers, **kept}
    state = read_state(json.dumps({"format": "plate-test-guide-progress", "version": 3, "profiles": [profile]}))
    (read,) = state.profiles
    anew = replayed(read, {}, model())
    assert (anew.cards, anew.memory, anew.checked) == (read.cards, read.memory, read.checked)


def test_what_older_versions_kept_stands_and_new_answers_come_on_top():
    """Two copies of one version 2 file went apart: the answers from before count once."""
    card = {"ease": 2.6, "interval": 6, "in_a_row": 2, "due": "2026-03-08", "again": False, "seen": 2, "last": 5}
    old = {"format": "plate-test-guide-progress", "version": 2, "active": 0, "profiles": [
        {"name": "7", "cards": {FORMS[0]: card}, "read": {}, "memory": {}}]}
    now = state_data(read_state(json.dumps(old)))
    assert now["version"] == 3 and now["profiles"][0]["cards"] == {FORMS[0]: card}
    copies = []
    for moment, grade in (("2026-03-08T08:00:00", 5), ("2026-03-09T08:00:00", 5)):
        copy = json.loads(json.dumps(now))
        copy["profiles"][0]["answers"] = {FORMS[0]: {moment: grade}}
        copies.append(replayed(read_state(json.dumps(copy)).profiles[0], {}, None))
    both = joined(*copies)
    assert both.cards[FORMS[0]].seen == 4 and both.cards == joined(*reversed(copies)).cards
    first = review(read_state(json.dumps(old)).profiles[0].cards[FORMS[0]], 5, "2026-03-08")
    assert both.cards[FORMS[0]] == review(first, 5, "2026-03-09")


def test_without_the_model_the_newer_memory_stands():
    one, two = (replayed(Profile("7", answers={FORMS[0]: {f"2026-03-0{day}T08:00:00": 5}}), {}, model()) for day in (1, 2))
    objective = form_named(FORMS[0]).objective
    assert joined(one, two, None).memory[objective].last == "2026-03-02"
    assert joined(one, two, None).cards[FORMS[0]].seen == 2


# --- whom a file meets ----------------------------------------------------------------


def reader(name, day=1, *ids, form=FORMS[0]):
    return replayed(Profile(name, ids=ids, answers={form: {f"2026-03-{day:02d}T08:00:00": 5}}), {}, model())


def test_the_same_reader_under_another_name_is_joined_unasked():
    here = State((reader("Seven", 1, "p-1"), reader("8", 2, "p-2")), 0)
    file = State((reader("7", 3, "p-1"),), 0)
    (met,) = meetings(here, file)
    assert (met.place, met.asks, met.answers) == (0, False, 1)
    after = imported(here, file, {}, model())
    assert [each.name for each in after.profiles] == ["Seven", "8"] and after.profiles[1] == here.profiles[1]
    assert len(after.profiles[0].answers[FORMS[0]]) == 2
    assert imported(after, file, {}, model()) == after


def test_another_reader_of_the_same_name_is_asked_for_and_can_stand_beside():
    here, file = State((reader("7", 1, "p-1"),), 0), State((reader("7", 2, "p-9"),), 0)
    (met,) = meetings(here, file)
    assert met.asks
    with pytest.raises(StateError, match="7: say whether"):
        imported(here, file, {}, model())
    beside = imported(here, file, {0: "beside"}, model())
    assert [each.name for each in beside.profiles] == ["7", "7 (2)"] and beside.profiles[0] == here.profiles[0]
    assert imported(beside, file, {}, model()) == beside, "it knows him the second time"
    join = imported(here, file, {0: "join"}, model())
    assert join.profiles[0].ids == ("p-1", "p-9") and imported(join, file, {}, model()) == join


def test_two_strangers_whose_older_cards_are_alike_in_part_are_not_taken_for_one():
    """No answer of another person is dropped because somebody here knows more."""
    weak = Profile("7", {FORMS[0]: Card(due="2026-03-02", interval=1, seen=1, last=5)})
    strong = Profile("7", {FORMS[0]: Card(due="2026-03-20", interval=16, in_a_row=3, seen=5, last=5)})
    assert meetings(State((strong,), 0), State((weak,), 0))[0].asks
    assert meetings(State((strong,), 0), State((Profile("9", weak.cards),), 0))[0].place is None


def test_a_new_machine_takes_the_reader_as_he_comes():
    here, file = State((Profile("Reader 1"),), 0), State((reader("7", 2, "p-9"),), 0)
    after = imported(here, file, {}, model())
    assert [each.name for each in after.profiles] == ["Reader 1", "7"] and after.active == 1
    named = imported(here, State((Profile("12"), Profile("13")), 0), {}, model())
    assert [each.name for each in named.profiles] == ["Reader 1", "12", "13"], "a class that has not begun comes too"
    same = imported(here, State((reader("Reader 1", 2, "p-9"),), 0), {}, model())
    assert [each.name for each in same.profiles] == ["Reader 1"] and history(same.profiles[0]) == history(reader("x", 2))
    assert imported(after, State((Profile("Reader 1"),), 0), {}, model()) == after and is_blank(Profile("x"))


def test_no_more_readers_than_may_be():
    here = State(tuple(reader(f"r{each}", 1, f"p-{each}") for each in range(60)), 0)
    with pytest.raises(StateError, match="there would be 61 readers; at most 60"):
        imported(here, State((reader("new", 2, "p-new"),), 0), {}, model())


# --- at the door -----------------------------------------------------------------------


def test_the_door_tells_before_it_changes_and_refuses_in_words():
    here = state_data(State((reader("<b>7", 1, "p-1"),), 0))
    text = json.dumps(state_data(State((reader("<b>7", 2, "p-9"), reader("8", 3, "p-8")), 0)))
    told = asked("progress-bring", state=here, text=text)
    assert told["adds"] and told["asks"] == [0] and "state" not in told and "say whether" in told["waits"]
    assert "<b>7" not in told["html"] and "Is it the same person?" in told["html"] and "1 answer" in told["html"]
    after = asked("progress-bring", state=here, text=text, choices={"0": "join"})["state"]
    assert len(after["profiles"]) == 2
    again = asked("progress-bring", state=after, text=text)
    assert not again["adds"] and again["state"] == after
    for bad, words in (
        (text[:-9], "not JSON"), ('{"format": "other"}', "not a progress file"),
        (text.replace('"version": 3', '"version": 4'), "written by a newer version"),
    ):
        assert words in asked("progress-bring", state=here, text=bad)["refused"]


@pytest.mark.parametrize("fields, message", [
    ({"ids": "p"}, "field “ids”"), ({"ids": ["<b>"]}, "is not the id"), ({"ids": ["p"] * 21}, "field “ids”"),
    ({"answers": []}, "field “answers” must be"), ({"answers": {"a": 3}}, "field “answers” must hold"),
    ({"answers": {"a": {"2026-03-01": 5}}}, "moments"), ({"answers": {"a": {"2026-02-30T08:00:00": 5}}}, "is not a day"),
    ({"answers": {"a": {"2026-03-01T08:00:00": 6}}}, "a grade from 0 to 5"), ({"answers": {"<b>": {}}}, "is not the id"),
    ({"before": 3}, "field “before”"), ({"before": {"cards": 3}}, "field “before”"),
    ({"plates": []}, "field “plates”"), ({"plates": {"a": {"reached": 3}}}, "not a plate"),
    ({"plates": {"a": {"reached": "moon"}}}, "not in the list"), ({"plates": {"a": {"at": "soon"}}}, "must be a moment"),
    ({"plates": {"a": {"reached": "welded", "verdict": "passed"}}}, "no verdict before"),
])
def test_what_version_3_added_is_read_with_care(fields, message):
    text = {"format": "plate-test-guide-progress", "version": 3, "profiles": [{"name": "7", **fields}]}
    with pytest.raises(StateError, match=message):
        read_state(json.dumps(text))


# --- a class at a glance ----------------------------------------------------------------


def test_a_reader_in_a_line_tells_share_last_day_and_plates():
    plates = {"plate-a": Plate("2026-03-02", verdict="passed", id="plate-a"), "plate-b": Plate(reached="welded")}
    one = Profile("7", ids=("p-1",), answers={FORMS[0]: {"2026-03-05T08:00:00": 5}}, plates=plates)
    found = standing_of(replayed(one, {}, model()), TODAY, "2026-04-01", model())
    assert (found.name, found.last_day, found.ready.tried) == ("7", "2026-03-05", 1)
    assert (found.chance.count, found.chance.unknown, found.chance.share) == (1, 1, 0.75)
    assert found.ready.low <= found.ready.share <= found.ready.high and len(found.plates) == 2
    own = Profile("8", test_date="2026-03-25")
    both = summary(State((replayed(one, {}, model()), own), 0), TODAY, "2026-04-01", model())
    assert [each.name for each in both] == ["7", "8"] and both[1].last_day == ""
