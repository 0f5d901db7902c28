"""What comes in is refused with its place, whatever it is; what goes out is harmless and valid by outside readers."""

from __future__ import annotations

import base64
import csv
import datetime
import io
import json
import subprocess
import sys
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import icalendar
import pytest
from hypothesis import given, settings, strategies as st

from calc.classroom.brought import LONGEST
from calc.classroom.cli import judge_command
from calc.record.demo import DEMOS, LOG, PLATE
from calc.record.fields import RECORDS
from calc.record.files import due_date_calendar, read_record, records_csv, write_record
from calc.record.form import form_html, said_html, verdict_html
from calc.record.judge import judge
from calc.show.table import harmless
from calc.record.shape import LARGEST, RecordError, as_data
from calc.record.sheet import blank_html, sheet_html
from calc.web import respond

TODAY = datetime.date(2026, 3, 31)
NOW = "2026-03-31T09:15:00Z"
GOOD = write_record(PLATE)


def changed(*path, to):
    data = json.loads(GOOD)
    parent = data
    for key in path[:-1]:
        parent = parent[key]
    parent[path[-1]] = to
    return json.dumps(data)


# --- import ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, place, words",
    [
        ("", "", "damaged at line 1"), ("PK\x03\x04", "", "damaged"), (GOOD[:-40], "", "damaged at line"),
        ("[]", "", "not a record"), ('{"type": "FeatureCollection"}', "/format", "not a record of this guide"),
        (changed("version", to=99), "/version", "later guide"),
        (changed("version", to=True), "/version", "whole number"),
        (changed("values", "amps", to=120), "/values/amps", "text"),
        (changed("values", "toString", to="x"), "/values/toString", "no such part"),
        (changed("values", "amps", to="x" * 501), "/values/amps", "501 characters"),
        (changed("values", "amps", to="\u0000"), "/values/amps", "control character"),
        (changed("values", "amps", to="\ud800"), "/values/amps", "control character"),
        (changed("rows", "passes", 2, "rods", to=[]), "/rows/passes/2/rods", "text"),
        (changed("rows", "passes", to=[{}] * 41), "/rows/passes", "at most 40"),
        (changed("rows", "coupons", 0, "a/b~c", to="x"), "/rows/coupons/0/a~1b~0c", "no such part"),
        (changed("id", to="../../etc"), "/id", "an id"), (changed("created", to="yesterday"), "/created", "a moment"),
        (changed("kind", to="picnic"), "/kind", "write test-day or continuity"),
        (changed("bare_numbers", to="metric"), "/bare_numbers", "us or si"),
        (changed("archived", to="no"), "/archived", "true or false"),
        (
            changed("photos", to=[{"id": "photo-001", "caption": "", "width": 0, "height": 1}]), "/photos/0/width",
            "whole number",
        ),
        ('{"format": "plate-test-record", "format": "plate-test-record"}', "", "twice"),
        (changed("photos", to={}), "/photos", "a list between square brackets"),
        (changed("values", to=[]), "/values", "an object between braces"),
        (GOOD.replace('"name":', '"title":'), "/title", "no such part"),
        (
            json.dumps({name: part for name, part in json.loads(GOOD).items() if name != "name"}), "/name",
            "this part is missing",
        ),
        ("[" * 100_000, "", "deeper"), ('{"a":' * 50_000, "", "deeper"),
        (changed("version", to=2).replace('"version": 2', '"version": NaN'), "", "NaN"),
        (changed("version", to=2).replace('"version": 2', '"version": ' + "9" * 5000), "", "number"),
        ("x" * (LARGEST + 1), "", "at most"),
    ],
)
def test_a_file_that_is_no_record_is_refused_with_its_place(text, place, words):
    with pytest.raises(RecordError) as told:
        read_record(text)
    assert told.value.place == place
    assert words in told.value.message
    assert len(str(told.value)) < 400


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(GOOD) - 1), st.text(max_size=3))
def test_any_damage_is_refused_or_harmless(place, put):
    """One place of a good file overwritten: either a record that still judges, or a refusal; never another error."""
    try:
        record = read_record(GOOD[:place] + put + GOOD[place + 1:])
    except RecordError:
        return
    assert judge(record).headline


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    )
)
def test_foreign_json_is_refused(data):
    with pytest.raises(RecordError):
        read_record(json.dumps(data))


def test_the_page_gets_the_refusal_not_an_exception():
    answer = json.loads(respond(json.dumps({"do": "record-read", "data": base64.b64encode(changed("values", "amps", to=1).encode()).decode()})))
    assert answer["place"] == "/values/amps" and answer["refused"].startswith("/values/amps")


# --- nothing a record holds is ever markup -------------------------------------------

HOSTILE = '"><img src=x onerror=alert(1)><script>alert(2)</script>&lt;'


class _Tags(HTMLParser):
    def __init__(self, text):
        super().__init__()
        self.seen = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        assert not any(name.startswith("on") for name, _ in attrs)


@pytest.mark.parametrize("record", DEMOS, ids=lambda record: record.kind)
def test_hostile_words_stay_words(record):
    rows = {name: tuple(tuple(HOSTILE for _ in row) for row in each) for name, each in record.rows.items()}
    worst = replace(record, name=HOSTILE, values={name: HOSTILE for name in record.values}, rows=rows)
    judgement = judge(worst, TODAY)
    for html in (sheet_html(judgement), verdict_html(judgement), *said_html(judgement).values()):
        assert not {"img", "script"} & set(_Tags(html).seen)


def test_the_sheet_says_what_it_is_and_leaves_the_signature_to_people():
    html = sheet_html(judge(PLATE))
    assert html.count("Study aid, not a certificate.") == 2
    assert "Invented for demonstration" in html
    assert "certifies nothing" in html and "Second look" in html
    for form in RECORDS:
        assert "Study aid, not a certificate." in blank_html(form)


def test_every_field_of_the_form_has_a_label():
    for form in RECORDS:
        html = form_html(form)
        for each in form.fields:
            assert f'for="record-{each.name}"' in html or f'id="record-{each.name}-label"' in html


# --- CSV -------------------------------------------------------------------------------

FORMULAS = [
    "=1+1", "+1", "-1", "@SUM(A1)", " =1", "\t=1".strip("\t"), "=cmd|' /C calc'!A0", "＝1+1", "a;=1+1", "a;  @x", "|x",
    "%x",
]


@pytest.mark.parametrize("formula", FORMULAS)
def test_no_cell_is_a_formula(formula):
    """By the signs that spreadsheets start a formula with; read by Python's csv module with comma and with
    semicolon.
    """
    record = replace(PLATE, name=formula, values={**PLATE.values, "steel": formula, "note_1": f"two; parts; {formula}"})
    text = records_csv([record]).removeprefix("\ufeff")
    for delimiter in ",;":
        for row in csv.reader(io.StringIO(text), delimiter=delimiter):
            for cell in row:
                assert not cell.lstrip(' "').startswith(("=", "+", "-", "@", "＝", "＋", "－", "＠")), cell


@given(st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=60))
def test_harmless_text_is_kept_but_for_apostrophes(text):
    assert harmless(text).replace("'", "") == text.replace("'", "")


def test_csv_holds_every_figure_and_the_verdict():
    rows = list(csv.DictReader(io.StringIO(records_csv(DEMOS, TODAY).removeprefix("\ufeff"))))
    amps = next(row for row in rows if row["Field"] == "Amperage seen")
    assert (amps["As written"], amps["Mark"]) == ("120 A", "ok") and "from memory" in amps["Source"]
    last = [row for row in rows if row["Section"] == "Verdict" and row["Field"].startswith("The test")]
    assert last and "Study aid, not a certificate." in last[0]["What is said"]
    written = {(row["Row"], row["Field"], row["As written"]) for row in rows}
    assert ("Pass 4", "Plate before the pass", "340 degF") in written


# --- the calendar file --------------------------------------------------------------------


def event_of(text: str):
    (event,) = icalendar.Calendar.from_ical(text).walk("VEVENT")
    return event


def test_calendar_file_is_read_by_an_outside_library():
    """The icalendar library reads it; the date is that of the six-month clause: 27 February and six months."""
    event = event_of(due_date_calendar([LOG], TODAY, NOW))
    assert event.decoded("DTSTART") == datetime.date(2026, 8, 27)
    assert event.decoded("DTEND") == datetime.date(2026, 8, 28)
    assert event.decoded("DTSTAMP") == datetime.datetime(2026, 3, 31, 9, 15, tzinfo=datetime.UTC)
    assert "Study aid, not a certificate." in event["DESCRIPTION"]
    (alarm,) = event.walk("VALARM")
    assert alarm.decoded("TRIGGER") == datetime.timedelta(days=-30)


@given(
    st.text(
        st.characters(
            exclude_categories=["Cc", "Cs"], exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
        ),
        min_size=1, max_size=120,
    ).filter(str.strip)
)
def test_any_name_survives_escaping_and_folding(name):
    text = due_date_calendar(
        [replace(LOG, invented=False, values={**LOG.values, "welder": name, "process": "x"})], TODAY, NOW
    )
    lines = text.split("\r\n")
    assert all(len(line.encode()) <= 75 for line in lines)  # RFC 5545, 3.1
    assert not any("\n" in line or "\r" in line for line in lines)
    assert str(event_of(text)["SUMMARY"]) == f"Last day to act on the qualification: {name}, x"


def test_a_lapsed_log_has_no_calendar_file():
    with pytest.raises(RecordError, match="no date"):
        due_date_calendar([LOG], datetime.date(2027, 3, 31), NOW)


# --- the command line ---------------------------------------------------------------------------


def test_the_command_line_gives_the_verdict_of_the_page(tmp_path: Path):
    file = tmp_path / "record.json"
    file.write_text(GOOD, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "calc", "judge", str(file), "--json"], capture_output=True, encoding="utf-8", check=True,
        cwd=Path(__file__).parents[2],
    )
    said = json.loads(done.stdout)
    page = json.loads(respond(json.dumps({"do": "record-judge", "record": as_data(PLATE)})))
    assert said["headline"] == page["headline"]
    for line in said["lines"]:
        assert line["wording"].replace("'", "&#x27;") in page["verdict"]


@pytest.mark.parametrize(
    "content, words",
    [
        (b"\xff\xfe\x00", "UTF-16"), (b"\xe4", "not UTF-8"), (b"{}", "not a record"), (None, "cannot be opened"),
        (GOOD.encode() + b" " * (2 * LARGEST), "characters"), (b" " * (LONGEST + 1), "larger"),
    ],
)
def test_the_command_line_refuses_in_one_line(tmp_path, capsys, content, words):
    file = tmp_path / "record.json"
    if content is not None:
        file.write_bytes(content)
    assert judge_command([str(file)]) == 2
    told = capsys.readouterr().err.strip()
    assert words in told and "\n" not in told
