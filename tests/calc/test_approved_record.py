"""Records as approved: what is said of each figure, the verdict, files, the printed sheet and the form.

The records are the invented demonstrations with one thing changed: each field blank, small, large and unreadable, each choice.
"""

from __future__ import annotations

import datetime
import json
import random
import re
from collections.abc import Iterator
from dataclasses import replace

import pytest

from calc.core.declare import Choice, Day, InputError, Quantity, Rows, phrase_text
from calc.record.cli import as_data, as_text
from calc.record.demo import LOG, PLATE
from calc.record.fields import FORMS
from calc.record.files import due_date_calendar, file_name, read_record, records_csv, write_record
from calc.record.form import form_html, readings_html, said_html, summary, templates_html, verdict_html, written_out
from calc.record.judge import judge
from calc.record.shape import Photo, Record, RecordError, blank
from calc.record.sheet import blank_html, findings_drawing, layout_drawing, sheet_html
from calc.show.drawing import svg
from tests import approval

TODAY = datetime.date(2026, 3, 10)


def changed(record: Record, **values: str) -> Record:
    return replace(record, values={name: text for name, text in {**record.values, **values}.items() if text})


def variants() -> Iterator[tuple[str, Record]]:
    yield "the plate", PLATE
    yield "the log", LOG
    for record in (PLATE, LOG):
        for each in record.form.fields:
            if isinstance(each, Rows):
                yield f"{record.kind}: no {each.name}", replace(record, rows={name: rows for name, rows in record.rows.items() if name != each.name})
                rows = record.rows.get(each.name, ())
                for number in range(len(rows[:1])):
                    for place, column in enumerate(each.columns):
                        for text in texts_of(column, rows[number][place]):
                            row = (*rows[number][:place], text, *rows[number][place + 1 :])
                            more = {**record.rows, each.name: (*rows[:number], row, *rows[number + 1 :])}
                            yield f"{record.kind}: {each.name} {number + 1}, {column.name} = {text!r}", replace(record, rows=more)
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
            return [text for text in ("", "1/32 in", "3/16 in", "10 mm", "1 in", "3 in", "90 degF", "-10 degF", "500 degF", "140 A", "x") if text != now and fits(each, text)]
        case Day():
            return ["", "2025-09-10", "2025-09-09", "2026-02-30"]
        case _:
            return [""] if now else []


def fits(each: Quantity, text: str) -> bool:
    """Whether the text's unit is one of the field's, so that every field gets figures and one that cannot be read."""
    unit = text.partition(" ")[2]
    return not unit or unit in [one.symbol for one in each.kind.units] or unit in each.default


def told_of(record: Record) -> list[str]:
    judgement = judge(record, TODAY)
    data = as_data(judgement)
    lines = [data["headline"], f"due {data['due'] or 'never'}; blank: {', '.join(data['missing'])}", summary(record)]
    for line in data["lines"]:
        lines += [f"{line['name']}: {line['label']}: {line['standing']}: {line['wording']}", f"  {line['rule']}; {line['source']}"]
    for flag in sorted(data["flags"], key=lambda flag: flag["place"]):
        both = flag["us"] if flag["us"] == flag["si"] else f"{flag['us']} || {flag['si']}"
        lines += [f"{flag['place']} {flag['mark']} by {flag['by']}: {both}", f"  {flag['source']}"]
    lines += [f"marked: {judgement.marked}"] if hasattr(judgement, "marked") else []
    return lines


def mixtures(count: int) -> Iterator[tuple[str, Record]]:
    """Several things of the day changed at once, drawn by a seed."""
    fields = [each for each in PLATE.form.fields if not isinstance(each, Rows)]
    for seed in range(count):
        chance, values, rows = random.Random(seed), {}, dict(PLATE.rows)
        for each in chance.sample(fields, 9):
            values[each.name] = chance.choice(texts_of(each, PLATE.text(each.name)) or [PLATE.text(each.name)])
        for each in PLATE.form.fields:
            if isinstance(each, Rows) and chance.random() < 0.6:
                changed_rows = [
                    tuple(chance.choice([text, text, *texts_of(column, text)]) for column, text in zip(each.columns, chance.choice(rows[each.name]), strict=True))
                    for _ in range(chance.randint(0, 4))
                ]
                rows[each.name] = tuple(changed_rows)
        yield f"mixture {seed}", replace(changed(PLATE, **values), rows=rows)
    for seed in range(count // 2):
        chance = random.Random(seed)
        days = sorted(str(datetime.date(2025, 3, 1) + datetime.timedelta(days=chance.randint(0, 370))) for _ in range(chance.randint(0, 4)))
        uses = tuple((day, chance.choice(("used", "signed")), "") for day in days)
        rules = [option.value for each in LOG.form.fields if each.name == "continuity_rule" for option in each.options]
        log = changed(LOG, qualified_on=str(datetime.date(2025, 1, 1) + datetime.timedelta(days=chance.randint(0, 250))), continuity_rule=chance.choice(rules))
        yield f"log {seed}", replace(log, rows={"uses": uses})


VARIANTS = dict(variants())
MIXTURES = dict(mixtures(70))
DRAWN = ["the plate", "in millimeters", "test-day: coupons 1, kind = 'root'", "test-day: thickness = '3/16 in'", "test-day: no findings"]


# The usual run takes every third; --long takes all.
@pytest.mark.parametrize("name", [pytest.param(name, marks=pytest.mark.long if place % 3 else ()) for place, name in enumerate(VARIANTS)])
def test_what_is_said_of_a_record_is_as_approved(name):
    approval.check("record/judged.txt", name, told_of(VARIANTS[name]))


@pytest.mark.long
@pytest.mark.parametrize("name", MIXTURES)
def test_what_is_said_of_many_changes_is_as_approved(name):
    record = MIXTURES[name]
    lines = [str({each: text for each, text in record.values.items() if text != (PLATE if record.kind == "test-day" else LOG).text(each)})]
    lines += [f"{each}: {rows}" for each, rows in record.rows.items() if rows != PLATE.rows.get(each)]
    judgement = judge(record, TODAY)
    for drawing in (layout_drawing(judgement), findings_drawing(judgement)) if record.kind == "test-day" else ():
        lines += approval.picture_lines(svg(drawing)) if drawing else ["no drawing"]
    sheet = re.sub(r"<svg.*?</svg>", "(drawing)", sheet_html(judgement), flags=re.DOTALL)
    approval.check("record/mixtures.txt", name, [*lines, *told_of(record), f"sheet of {len(sheet)} signs"])


def test_every_variant_is_kept():
    approval.check_complete("record/judged.txt", VARIANTS)


@pytest.mark.parametrize("name", [name for name in DRAWN if name in VARIANTS] + ["a blank day", "the log"])
def test_the_printed_sheet_is_as_approved(name):
    judgement = judge(VARIANTS[name], TODAY)
    lines = approval.markup_lines(sheet_html(judgement))
    for drawing in (layout_drawing(judgement), findings_drawing(judgement)) if VARIANTS[name].kind == "test-day" else ():
        lines += approval.picture_lines(svg(drawing)) if drawing else ["no drawing"]
    approval.check("record/sheets.txt", name, lines)


@pytest.mark.parametrize("name", ["the plate", "the log", "in millimeters", "test-day: amps = 'x'"])
def test_the_files_and_the_page_of_a_record_are_as_approved(name):
    record = replace(VARIANTS[name], photos=(Photo("photo-0001", "cap & root", 640, 480),))
    judgement = judge(record, TODAY)
    lines = [file_name(record, "json"), *write_record(record).split("\n"), *approval.table_lines(records_csv([record], TODAY), 400)]
    lines += as_text(judgement).split("\n") + approval.markup_lines(verdict_html(judgement))
    lines += [f"{place}: {html}" for place, html in {**readings_html(record), **said_html(judgement)}.items()]
    try:
        lines += due_date_calendar(record, TODAY, "2026-03-10T08:00:00Z").split("\r\n")
    except RecordError as trouble:
        lines.append(f"refused: {trouble}")
    approval.check("record/files.txt", name, lines)


def damaged() -> Iterator[tuple[str, str]]:
    """Files of a record that somebody changed by hand, and files at the edges of what one may hold."""
    whole = json.loads(write_record(replace(PLATE, photos=(Photo("photo-0001", "cap", 640, 480),))))

    def file(**parts: object) -> str:
        return json.dumps({**whole, **parts})

    photo = whole["photos"][0]
    for name in whole:
        yield f"without {name}", json.dumps({key: value for key, value in whole.items() if key != name})
        for value in (None, 7, "", "x", [], {}, True, "2026-13-02T07:30:00Z", "2026-03-02T24:30:00Z", "2026-03-02T07:30:59Z"):
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
    for name, value in (("width", 0), ("width", 1), ("width", 10_000), ("width", 10_001), ("height", 1.5), ("height", True), ("caption", 3), ("id", "x"), ("more", 1)):
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
    yield "an old file", json.dumps({key: value for key, value in {**whole, "version": 1, "units": "si", "values": {**whole["values"], "passes": "root | 2\n | \nfill|3|90 degF"}}.items() if key not in ("rows", "photos", "bare_numbers")})
    for deep in range(9, 15):
        yield f"lists {deep} deep", "[" * deep + "]" * deep
    for name, text in (("nothing", ""), ("a list", "[]"), ("a number", "7"), ("not a number", "NaN"), ("endless", "Infinity"), ("twice", '{"a": 1, "a": 2}'), ("no end", "{"),
                       ("many digits", "1" * 5000), ("brackets in a text", json.dumps("[" * 30)), ("too long", " " * 2_000_001)):
        yield name, text


def test_what_is_said_of_a_damaged_file_is_as_approved():
    lines = []
    for name, text in damaged():
        try:
            record = read_record(text)
            told = f"read: {record.kind} {record.id} {record.bare} {len(record.values)} {len(record.rows)} {len(record.photos)} {record.rows.get('passes', ())!s:.150}"
        except RecordError as trouble:
            # The reader of JSON has its own words in each version of Python.
            words = re.sub("(column [0-9]+: ).*", r"\1(why)", str(trouble))
            told = f"refused at {trouble.place!r}: {words[:150]}"
        lines.append(f"{name}: {told}")
    approval.check("record/damaged.txt", "files", lines)


@pytest.mark.parametrize("form", FORMS, ids=lambda form: form.kind)
def test_the_blank_forms_are_as_approved(form):
    approval.check("record/forms.txt", form.kind, [*approval.markup_lines(form_html(form)), "-- on paper", *approval.markup_lines(blank_html(form))])


def limits(each, inside: str = "") -> Iterator[str]:
    """What a field says of too much: too long a text, too many rows, too large a figure."""
    texts = {Rows: "\n".join(["1"] * 500), Quantity: "1000000"}
    try:
        told = f"reads {each.read(texts.get(type(each), '9' * 500), 'us')!r}"
    except InputError as trouble:
        told = trouble.message.replace("9" * 500, "(500 times 9)")
    yield f"{inside}{each.name}: {told}"
    if isinstance(each, Rows):
        for column in each.columns:
            yield from limits(column, f"{each.name}, ")


def test_what_a_field_takes_at_most_is_as_approved():
    for form in FORMS:
        approval.check("record/forms.txt", f"{form.kind}, limits", [line for each in form.fields for line in limits(each)])


def test_the_templates_of_the_page_are_as_approved():
    head, _, _ = templates_html(FORMS).partition('<form class="record-form"')
    approval.check("record/forms.txt", "templates", [head, json.dumps([form.kind for form in FORMS])])


def test_the_phrases_of_the_flags_name_both_systems_as_approved():
    flags = judge(PLATE, TODAY).flags
    approval.check("record/forms.txt", "flags", [f"{flag.place}: {phrase_text(flag.phrase, 'si')}" for flag in flags])
