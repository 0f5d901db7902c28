"""The whole test in a link: it always means the same, and whatever a link holds ends in an answer or a clear
refusal.
"""

from __future__ import annotations

import json
import math
import random
import re
from dataclasses import replace
from urllib.parse import quote_plus

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calc.core.declare import Choice, Day, InputError, Quantity, Rows
from calc.plate_test.fields import BANDS, FIELDS, FORM
from calc.plate_test.link import LARGEST, LinkError, link_text, read_link
from calc.plate_test.work import work
from calc.record.demo import TEST
from calc.record.shape import as_data, blank, from_data
from calc.web import respond

MOMENT = "2026-03-02T07:30:00Z"
NEW = ("from-a-link-1", MOMENT)
WORDS = "fit-up; root | cap % 100, “quoted” <b>&amp; é 中 #=+"


def drawn(chance: random.Random):
    """A test with facts said at random, in either system, with and without units."""
    system = chance.choice(["us", "si"])
    values, rows = {}, {}
    for name, each in FIELDS.items():
        if chance.random() < .4 or name in [high for _, high in BANDS]:
            continue
        if isinstance(each.input, Rows):
            rows[name] = tuple(tuple(cell(chance, column, system) for column in each.input.columns)
                for _ in range(chance.randint(1, 3)))
        else:
            values[name] = cell(chance, each.input, system)
    kept = {name: text for name, text in values.items() if text}
    return replace(blank(FORM.kind, "drawn-test-1", MOMENT, "Drawn " + WORDS, system), values=kept, rows=rows)


def cell(chance: random.Random, each, system: str) -> str:
    if isinstance(each, Choice):
        return chance.choice(each.options).value
    if isinstance(each, Quantity):
        low, high = each.limits
        amount = low + (high - low) * chance.randint(1, 9) / 10
        unit = each.kind.unit(system)
        text = f"{float(unit.from_base(amount)):.6g}"
        text = chance.choice([text, f"{text} {unit.symbol}"])
        try:
            each.read(text, system)
        except InputError:
            return ""
        return text
    if isinstance(each, Day):
        return "2026-03-02"
    return WORDS[:getattr(each, "longest", 20)].strip()


@pytest.mark.parametrize("seed", range(60))
def test_a_link_says_the_same_as_the_test(seed):
    test = drawn(random.Random(seed))
    text = link_text(test)
    assert re.fullmatch(r"[A-Za-z0-9_.~%&=+-]+", text), "it needs no quoting in an address"
    found, refused = read_link(text, *NEW)
    assert refused == () and found.name == test.name.strip()
    before, after = work(test), work(found)
    assert before.missing == after.missing and len(before.refusals) == len(after.refusals)
    for one, other in zip(before.answers, after.answers, strict=True):
        for value, same in zip(one.result.values, other.result.values, strict=True):
            assert value.wording == same.wording
            # What one calculator hands on to the next is rounded to ten digits in the system of the record.
            assert value.amount is None or math.isclose(value.amount, same.amount, rel_tol=1e-5, abs_tol=1e-9)
    assert link_text(found) == text


def test_the_demonstration_comes_back_word_for_word():
    found, refused = read_link(link_text(TEST), *NEW)
    assert (found.values, found.rows, found.name, refused) == (TEST.values, TEST.rows, TEST.name, ())


@pytest.mark.parametrize("part, words", [
    ("thickness=1%2F2", "has no unit"), ("thickness=12", "has no unit"), ("thickness=9+in", "outside the range"),
    ("thickness=", "nothing is said of it"), ("position=9G", "not in the list"), ("depth=1+in", "no such fact"),
    ("steel=%FF", "damaged here"), ("wps=a%00b", "control character"), ("wps=" + "a" * 600, "at most 500"),
    ("wps=%E2%80%AEa", "control character"), ("hold_points=a|b", "2 cells in a row; at most 1"),
    ("other_rods=root|E9999", "not in the list"), ("other_rods=root|E7018|1%2F8+in|90", None), ("", "no such fact"),
])
def test_a_part_that_cannot_be_used_is_refused_by_itself(part, words):
    found, refused = read_link(f"1&kerf=0.1+in&{part}", *NEW)
    assert found.values["kerf"] == "0.1 in"
    assert (words is None and not refused) or words in refused[0].message


def test_a_fact_said_twice_keeps_the_first():
    found, (refused,) = read_link("1&kerf=0.1+in&kerf=0.2+in", *NEW)
    assert found.values == {"kerf": "0.1 in"} and "said twice" in refused.message


def test_more_rows_than_a_list_holds_are_refused():
    found, refused = read_link("1" + "&hold_points=a" * 12, *NEW)
    assert len(found.rows["hold_points"]) == FIELDS["hold_points"].input.most == 12 - len(refused)


@pytest.mark.parametrize("text, words", [
    ("", "damaged"), ("0&kerf=0.1+in", "damaged"), ("x", "damaged"), ("2&kerf=0.1+in", "later version"),
    ("²&kerf=1+in", "damaged"), ("1" * 400, "damaged"), ("1&wps=" + "a" * LARGEST, "too long"),
])
def test_a_text_that_carries_no_test_is_refused_whole(text, words):
    with pytest.raises(LinkError, match=words):
        read_link(text, *NEW)


def test_a_fact_that_cannot_be_read_makes_no_link():
    with pytest.raises(LinkError, match="Plate thickness"):
        link_text(replace(TEST, values={"thickness": "thick"}))


PARTS = st.tuples(
    st.sampled_from([*FIELDS, "name", "x"]),
    st.one_of(st.text(max_size=40), st.sampled_from(list(TEST.values.values()))),
)


def joined(parts: list[tuple[str, str]]) -> str:
    return "&".join(["1", *(f"{name}={quote_plus(text, errors='ignore')}" for name, text in parts)])


def asked(do: str, **more):
    return json.loads(respond(json.dumps({"do": do, "id": NEW[0], "moment": MOMENT, "current": as_data(TEST), **more})))


@given(st.one_of(st.text(max_size=300), st.lists(PARTS, max_size=20).map(joined)))
def test_whatever_a_link_holds_is_answered_or_refused(text):
    told = asked("test-open", text=text)
    assert "trouble" not in told
    if "record" in told:
        refused = [each for each in work(from_data(told["record"])).refusals if not each.calculator]
        assert all("over its maximum" in each.message for each in refused), "what a link gives can be read"
        again = asked("test-open", text=asked("test-link", record=told["record"])["text"])
        assert again["record"] == told["record"]
