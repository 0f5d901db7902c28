"""A record survives being written, read, stored and migrated, word for word; and its published schema says what the
reader does.
"""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings, strategies as st

from calc.core.declare import Rows
from calc.record.demo import DEMOS, LOG, PLATE
from calc.record.fields import FORMS, TEST_DAY
from calc.record.files import read_record, write_record
from calc.record.form import written_out
from calc.record.judge import judge
from calc.record.shape import FORBIDDEN, VERSION, Photo, Record, RecordError, as_data, from_data, schema

PUBLISHED = Path(__file__).parents[2] / "docs" / "assets" / "record.schema.json"
VALIDATOR = jsonschema.Draft202012Validator(schema())

letters = st.characters(
    exclude_categories=["Cc", "Cs"], exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
)
texts = st.one_of(
    st.text(letters, min_size=1, max_size=40),
    st.sampled_from(
        ["3/8 in", "9.5 mm", "1-1/2", "-5 degF", "=1+1", "a|b;c", '"', "E7018", "yes", "  ", "aws", "\u00a0", "🔥"]
    ),
)
identifiers = st.from_regex(r"\A[a-z0-9][a-z0-9-]{7,39}\Z")
moments = st.datetimes().map(lambda when: f"{when:%Y-%m-%dT%H:%M:%SZ}".rjust(20, "0"))


def _rows(each: Rows):
    row = st.tuples(*[st.one_of(st.just(""), texts) for _ in each.columns])
    return st.lists(row, max_size=min(each.most, 4)).map(tuple)


@st.composite
def records(draw, forms=FORMS) -> Record:
    """Any record that a page could hold."""
    form = draw(st.sampled_from(forms))
    lists = {each.name: each for each in form.fields if isinstance(each, Rows)}
    names = [each.name for each in form.fields if each.name not in lists]
    values = draw(st.dictionaries(st.sampled_from(names), texts, max_size=12))
    rows = {name: draw(_rows(each)) for name, each in lists.items()}
    photos = draw(
        st.lists(
            st.builds(Photo, identifiers, texts, st.integers(1, 10_000), st.integers(1, 10_000)), max_size=3,
            unique_by=lambda one: one.id,
        )
    )
    return Record(
        draw(identifiers), form.kind, draw(st.one_of(st.just(""), texts)), draw(moments), draw(moments),
        draw(st.sampled_from(["us", "si"])), draw(st.booleans()), draw(st.booleans()),
        {name: values[name] for name in names if name in values},
        {name: found for name, found in rows.items() if found}, tuple(photos),
    )


@settings(max_examples=40, deadline=None)
@given(records())
def test_written_and_read_back_is_equal(record):
    assert read_record(write_record(record)) == record


@settings(max_examples=40, deadline=None)
@given(records())
def test_every_written_record_fits_the_published_schema(record):
    VALIDATOR.validate(json.loads(write_record(record)))


@settings(max_examples=40, deadline=None)
@given(records())
def test_anything_a_page_holds_can_be_judged(record):
    """No text, however odd, stops the judging; and nothing blank is judged to be within the rules."""
    import datetime

    judgement = judge(record, datetime.date(2026, 3, 31))
    assert judgement.headline
    places = {each.name for each in record.form.fields}
    assert {flag.place.split("/")[0] for flag in judgement.flags} <= places


def as_version_1(record: Record) -> dict:
    """A test-day record as version 1 wrote it: lists as lines of text, `units`, nothing newer."""
    data = as_data(record)
    lists = {each.name: each for each in TEST_DAY.fields if isinstance(each, Rows)}
    old = {key: data[key] for key in ("format", "id", "name", "created", "changed")}
    lines = {
        name: "\n".join(" | ".join(row.get(column.name, "") for column in lists[name].columns) for row in rows)
        for name, rows in data["rows"].items()
    }
    return {**old, "version": 1, "units": data["bare_numbers"], "values": {**data["values"], **lines}}


plain = st.sampled_from(["3/8 in", "9.5 mm", "yes", "root", "E7018", "70 degF", "2"])


@given(
    st.lists(st.tuples(plain, plain, plain, plain), max_size=5),
    st.dictionaries(st.sampled_from(["steel", "amps", "thickness"]), plain), st.sampled_from(["us", "si"]),
)
def test_a_version_1_file_migrates_word_for_word(passes, values, bare):
    record = replace(
        PLATE, bare=bare, invented=False,
        values={each.name: values[each.name] for each in TEST_DAY.fields if each.name in values},
        rows={"passes": tuple(passes)} if passes else {},
    )
    assert from_data(json.loads(json.dumps(as_version_1(record)))) == record


def test_a_migrated_record_gets_the_same_verdict():
    record = replace(PLATE, invented=False)
    assert judge(from_data(as_version_1(record))).lines == judge(record).lines


@settings(max_examples=40, deadline=None)
@given(records())
def test_writing_the_units_out_changes_no_meaning(record):
    """After the switch every figure that could be read has the value it had (the reading is that of
    calc/core/units.py).
    """
    other = written_out(record, "si" if record.bare == "us" else "us")
    mine = {(flag.place, flag.level, flag.phrase) for flag in judge(record).flags if flag.by}
    theirs = {(flag.place, flag.level, flag.phrase) for flag in judge(other).flags if flag.by}
    assert mine == theirs


# --- the schema and the reader agree on what is no record ---------------------------------

junk = st.one_of(
    st.none(), st.booleans(), st.integers(), st.text(max_size=5), st.lists(st.integers(), max_size=2), st.just({}),
    st.just({"x": 1}), st.just("x" * 501), st.just("a\u202eb"),
)


def paths_in(data, here=()):
    yield here
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in items:
        yield from paths_in(value, (*here, key))


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(DEMOS), st.data(), junk, st.sampled_from(["replace", "drop", "add"]))
def test_schema_and_reader_refuse_the_same_files(record, data, value, how):
    """jsonschema is the outside opinion: a file it refuses is refused here, and the other way round."""
    changed = as_data(record)
    path = data.draw(st.sampled_from([path for path in paths_in(changed) if path]))
    parent = changed
    for key in path[:-1]:
        parent = parent[key]
    if how == "drop":
        del parent[path[-1]]
    elif how == "add" and isinstance(parent, dict):
        parent["surplus"] = value
    else:
        parent[path[-1]] = value
    fits = VALIDATOR.is_valid(changed)
    try:
        from_data(changed)
        read = True
    except RecordError:
        read = False
    if changed.get("version") != VERSION:
        return  # an older version is migrated by the reader; the schema is that of today
    assert read == fits


def test_the_published_schema_is_the_one_in_use():
    """docs/assets/record.schema.json is written by: json.dumps(schema(), indent=2, ensure_ascii=False)."""
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == schema()
    jsonschema.Draft202012Validator.check_schema(schema())


def test_demos_are_marked_as_invented():
    for record in DEMOS:
        assert record.invented


def test_forbidden_letters_are_those_of_the_schema():
    for code in (*range(0x20), 0x7F, 0x9F, 0x202E, 0x2067):
        assert FORBIDDEN.search(chr(code))
        assert not VALIDATOR.is_valid({**as_data(LOG), "name": chr(code)})


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.kind)
def test_field_names_stand_once_in_a_form(form):
    names = [each.name for each in form.fields]
    assert len(names) == len(set(names))
