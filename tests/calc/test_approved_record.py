"""Records as approved: what is said of each figure, the verdict, files, the printed sheet and the form.

The records are the invented demonstrations with one thing changed: each field blank, small, large and unreadable, each
choice.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from calc.core.declare import Choice, Day, InputError, Quantity, Rows
from calc.show.plot import svg
from calc.record.demo import LOG, PLATE
from calc.record.fields import FORMS, RECORDS
from calc.record.files import due_date_calendar, file_name, read_record, records_csv, write_record
from calc.record.form import form_html, readings_html, said_html, summary, templates_html, verdict_html, written_out
from calc.record.judge import judge
from calc.record.report import as_data, as_text
from calc.record.shape import Photo, Record, RecordError, blank
from calc.record.sheet import blank_html, findings_drawing, layout_drawing, sheet_html
from tests import approval
from tests.approved_calculator import item

TODAY = datetime.date(2026, 3, 10)


def changed(record: Record, **values: str) -> Record:
    return replace(record, values={name: text for name, text in {**record.values, **values}.items() if text})


def variants() -> Iterator[tuple[str, Record]]:
    yield "the plate", PLATE
    yield "the log", LOG
    for record in (PLATE, LOG):
        for each in record.form.fields:
            if isinstance(each, Rows):
                yield f"{record.kind}: no {each.name}", replace(
                    record, rows={name: rows for name, rows in record.rows.items() if name != each.name}
                )
                rows = record.rows.get(each.name, ())
                for number in range(len(rows[:1])):
                    for place, column in enumerate(each.columns):
                        for text in texts_of(column, rows[number][place]):
                            row = (*rows[number][:place], text, *rows[number][place + 1 :])
                            more = {**record.rows, each.name: (*rows[:number], row, *rows[number + 1 :])}
                            yield f"{record.kind}: {each.name} {number + 1}, {column.name} = {text!r}", replace(
                                record, rows=more
                            )
                continue
            for text in texts_of(each, record.text(each.name)):
                yield f"{record.kind}: {each.name} = {text!r}", changed(record, **{each.name: text})
    yield "in millimeters", replace(written_out(PLATE, "si"), bare="si")
    yield "a blank day", blank("test-day", "demo-blank-01", "2026-03-02T07:30:00Z", "")
    yield "a blank log", blank("continuity", "demo-blank-02", "2026-03-02T07:30:00Z", "New")


def texts_of(each, now: str) -> list[str]:
    match each:
        case Choice():
            return [option.value for option in each.options if option.value != now] + ["", "no such"]
        case Quantity():
            return [
                text
                for text in (
                    "",
                    "1/32 in",
                    "3/16 in",
                    "10 mm",
                    "1 in",
                    "3 in",
                    "90 degF",
                    "-10 degF",
                    "500 degF",
                    "140 A",
                    "x",
                )
                if text != now and fits(each, text)
            ]
        case Day():
            return ["", "2025-09-10", "2025-09-09", "2026-02-30"]
        case _:
            return [""] if now else []


def fits(each: Quantity, text: str) -> bool:
    """Whether the text's unit is one of the field's, so that every field gets figures and one that cannot be read."""
    unit = text.partition(" ")[2]
    return not unit or unit in [one.symbol for one in each.kind.units] or unit in each.default


def said_of(record: Record) -> tuple[list[approval.Item], list[approval.Item]]:
    """What is said of a record: its own words, and the remarks by their places and the calculators that made them.

    The sentences of the calculators stand in the files of those.
    """
    judgement = judge(record, TODAY)
    data = as_data(judgement)
    own = [
        approval.Item.of("headline", data["headline"]),
        approval.Item.of("due", data["due"] or "never"),
        approval.Item.of("blank", ", ".join(data["missing"]) or "nothing"),
        approval.Item.of("summary", summary(record)),
    ]
    own += [
        approval.Item.of(
            f"{line['name']} {line['standing']}",
            f"{line['label']}: {line['wording']}",
            f"{line['rule']}; {line['source']}",
        )
        for line in data["lines"]
    ]
    remarks = []
    for flag in sorted(judgement.flags, key=lambda flag: flag.place):
        if flag.by:
            remarks.append(
                approval.Item(f"{flag.place} {flag.id} {flag.level.value} by {flag.by}".replace("  ", " "), "")
            )
        else:
            own.append(item(f"{flag.place} {flag.level.value}", flag.phrase))
    return own, remarks


VARIANTS = dict(variants())


def most_telling(most: int) -> list[str]:
    """The names of so many records that together say the most, the first of each kind among them."""
    left = {
        name: {(each.key, each.sentence) for part in said_of(record) for each in part}
        for name, record in VARIANTS.items()
    }
    chosen, seen = [], set()
    while len(chosen) < most:
        name = (
            ("the plate", "the log")[len(chosen)]
            if len(chosen) < 2
            else max(left, key=lambda name: len(left[name] - seen))
        )
        new = left.pop(name)
        if not new - seen:
            break
        chosen.append(name)
        seen |= new
    return [name for name in VARIANTS if name in chosen]


def test_what_is_said_of_records_is_as_approved():
    """Of each record what differs from the first of its kind; `guide.py approve record` chooses the most telling."""
    file = "record/judged.txt"
    teller, told, first = approval.Teller(), {}, {}
    for name in most_telling(44) if approval.APPROVING else approval.sections(approval.read(file)):
        own, remarks = said_of(VARIANTS[name])
        base_own, base_remarks = first.setdefault(VARIANTS[name].kind, (own, remarks))
        if own is base_own:
            told[name] = [*teller.tell(own), *(each.key for each in remarks)]
            continue
        told[name] = teller.tell(each for each in own if each not in base_own)
        now = [each.key for each in remarks if each not in base_remarks]
        keys = {each.key for each in (*own, *remarks)}
        gone = [each.key for each in (*base_own, *base_remarks) if each.key not in keys]
        for word, names in (("now", now), ("without", gone)):
            told[name] += approval.wrapped(f"{word} {', '.join(names)}") if names else []
    approval.check(file, approval.parts(told))


def test_the_printed_sheet_is_as_approved():
    for name in ("the plate", "the log"):
        sheet = sheet_html(judge(VARIANTS[name], TODAY))
        approval.check(f"record/sheet-of-{name.replace(' ', '-')}.txt", approval.page_lines(sheet))


def test_the_drawings_of_a_record_are_as_approved():
    told = {}
    for name in (
        "the plate",
        "in millimeters",
        "test-day: thickness = '3/16 in'",
        "test-day: no findings",
        "a blank day",
    ):
        judgement = judge(VARIANTS[name], TODAY)
        drawings = layout_drawing(judgement), findings_drawing(judgement)
        told[name] = [
            line for each in drawings for line in (approval.drawn_by_look(svg(each)) if each else ["no drawing"])
        ]
    approval.check("record/drawings.txt", approval.parts(told))


@pytest.mark.parametrize("name", ["the plate", "the log"])
def test_the_files_and_the_page_of_a_record_are_as_approved(name):
    record = replace(VARIANTS[name], photos=(Photo("photo-0001", "cap & root", 640, 480),))
    judgement = judge(record, TODAY)
    lines = [
        file_name(record, "json"),
        *approval.table_lines(write_record(record), 40, "\n"),
        *approval.table_lines(records_csv([record], TODAY), 400),
    ]
    lines += as_text(judgement).split("\n") + approval.page_lines(verdict_html(judgement))
    lines += [f"{place}: {html}" for place, html in {**readings_html(record), **said_html(judgement)}.items()][:40]
    try:
        lines += due_date_calendar([record], TODAY, "2026-03-10T08:00:00Z").split("\r\n")
    except RecordError as trouble:
        lines.append(f"refused: {trouble}")
    approval.check(f"record/files-of-{name.replace(' ', '-')}.txt", lines)


def damaged() -> Iterator[tuple[str, str]]:
    """Files of a record that somebody changed by hand, and files at the edges of what one may hold."""
    whole = json.loads(write_record(replace(PLATE, photos=(Photo("photo-0001", "cap", 640, 480),))))

    def file(**parts: object) -> str:
        return json.dumps({**whole, **parts})

    photo = whole["photos"][0]
    for name in whole:
        yield f"without {name}", json.dumps({key: value for key, value in whole.items() if key != name})
        for value in (
            None,
            7,
            "",
            "x",
            [],
            {},
            True,
            "2026-13-02T07:30:00Z",
            "2026-03-02T24:30:00Z",
            "2026-03-02T07:30:59Z",
        ):
            yield f"{name} = {value!r}", file(**{name: value})
    for version in (0, 1, 2, 3, True, 1.0, "2"):
        yield f"version {version!r}", file(version=version)
    for long in (7, 8, 40, 41):
        yield f"an id of {long}", file(id="a" * long)
    for long in (500, 501):
        yield f"a name of {long}", file(name="n" * long)
        yield f"a note of {long}", file(values={"visual_note": "n" * long})
    for text in ("a\tb", "a\nb", "a\u0085b", "a\u202eb", "a\u2066b", "\ud800", "a\u00a0b", "é"):
        yield f"a note {text!r}", file(values={"visual_note": text})
    for many in (24, 25):
        yield f"{many} photographs", file(photos=[{**photo, "id": f"photo-{number:04d}"} for number in range(many)])
    for name, value in (
        ("width", 0),
        ("width", 1),
        ("width", 10_000),
        ("width", 10_001),
        ("height", 1.5),
        ("height", True),
        ("caption", 3),
        ("id", "x"),
        ("more", 1),
    ):
        yield f"photograph {name} = {value!r}", file(photos=[{**photo, name: value}])
    for name in photo:
        yield f"a photograph without {name}", file(photos=[{key: value for key, value in photo.items() if key != name}])
    yield "a photograph twice", file(photos=[photo, photo])
    yield "a photograph that is none", file(photos=[3])
    for each in PLATE.form.fields:
        if isinstance(each, Rows):
            for many in (each.most, each.most + 1):
                yield f"{many} rows of {each.name}", file(rows={each.name: [{each.columns[0].name: "1"}] * many})
    yield "an unknown list", file(rows={"a/b~c": []})
    yield "an unknown cell", file(rows={"passes": [{"sheep": "1"}]})
    yield "a cell that is a number", file(rows={"passes": [{"name": 1}]})
    yield "an unknown field", file(values={"sheep": "1"})
    yield "a blank field", file(values={"welder": ""}, rows={"passes": []})
    yield "an old file", json.dumps(
        {
            key: value
            for key, value in {
                **whole,
                "version": 1,
                "units": "si",
                "values": {**whole["values"], "passes": "root | 2\n | \nfill|3|90 degF"},
            }.items()
            if key not in ("rows", "photos", "bare_numbers")
        }
    )
    for deep in range(9, 15):
        yield f"lists {deep} deep", "[" * deep + "]" * deep
    for name, text in (
        ("nothing", ""),
        ("a list", "[]"),
        ("a number", "7"),
        ("not a number", "NaN"),
        ("endless", "Infinity"),
        ("twice", '{"a": 1, "a": 2}'),
        ("no end", "{"),
        ("many digits", "1" * 5000),
        ("brackets in a text", json.dumps("[" * 30)),
        ("too long", " " * 2_000_001),
    ):
        yield name, text


def test_what_is_said_of_a_damaged_file_is_as_approved():
    pairs = []
    for name, text in damaged():
        try:
            record = read_record(text)
            rows = f"{record.rows.get('passes', ())!s:.90}"
            told = f"read: {record.kind} {record.bare}, {len(record.values)} values, {len(record.rows)} lists, {rows}"
        except RecordError as trouble:
            # The reader of JSON has its own words in each version of Python.
            words = re.sub("(column [0-9]+: ).*", r"\1(why)", str(trouble))
            told = f"refused at {trouble.place!r}: {words[:150]}"
        pairs.append((name, told))
    approval.check("record/damaged.txt", approval.grouped(pairs))


def limits(each, inside: str = "") -> Iterator[tuple[str, str]]:
    """What a field says of too much: too long a text, too many rows, too large a figure."""
    texts = {Rows: "\n".join(["1"] * 500), Quantity: "1000000"}
    try:
        told = f"reads {each.read(texts.get(type(each), '9' * 500), 'us')!r}"
    except InputError as trouble:
        told = trouble.message.replace("9" * 500, "(500 times 9)")
    yield f"{inside}{each.name}", told
    if isinstance(each, Rows):
        for column in each.columns:
            yield from limits(column, f"{each.name}, ")


@pytest.mark.parametrize("form", RECORDS, ids=lambda form: form.kind)
def test_the_blank_form_is_as_approved(form):
    told = [
        *approval.page_lines(form_html(form)),
        "-- on paper",
        *approval.page_lines(blank_html(form)),
        "-- takes at most",
    ]
    told += [f"{name}: {outcome}" for each in form.fields for name, outcome in limits(each)]
    head, _, _ = templates_html(FORMS).partition('<form class="record-form"')
    approval.check(f"record/form-of-{form.kind}.txt", [*told, "-- templates", head])
