"""A record with one fault is never told as in order, and the whole is as bad as the worst that is flagged.

The tables in `decisions/record` are written from the documents that their rows name, not from the code. Each row starts from the
demonstration record and makes one change: `set` fields, `clear` fields, or whole `rows` replaced. `faults.toml` says the verdict
of the whole test and the place where it must be flagged; `orders.toml` the worst that an orderly record may be told;
`continuity.toml` the verdict of the log on a given day. A row with `needs` waits for a field that is not there yet.
"""

from __future__ import annotations

import datetime
import json
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any

import pytest

from calc.core.declare import Level
from calc.record.cli import as_text, judge_command
from calc.record.demo import LOG, PLATE
from calc.record.files import write_record
from calc.record.form import verdict_html
from calc.record.judge import Flag, Judgement, judge
from calc.record.shape import Record
from calc.record.sheet import sheet_html

FOLDER = Path(__file__).parent / "decisions" / "record"
FAULTS, ORDERS, LOGS = (
    tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))["row"] for name in ("faults", "orders", "continuity")
)
WORSE_AND_WORSE = ("ok", "caution", "not known", "incomplete", "stop")
DECIDE_NOTHING = {
    "shop", "heat_number", "plate_mark", "lot", "rod_storage", "machine", "passes_note", "visual_note", "bends_note", "note_1", "note_2",
    "saw_cut",
}
"""Fields that no rule judges by a figure; whether they may be blank is the shop's own matter."""


def rank(level: Level) -> int:
    """How bad a level is; what only informs is as good as in order."""
    return 0 if level is Level.NOTE else WORSE_AND_WORSE.index(level.value)


def changed(record: Record, row: dict[str, Any]) -> Record:
    """The record with the one change of a row."""
    values = {name: text for name, text in {**record.values, **row.get("set", {})}.items() if name not in row.get("clear", ())}
    rows = {**record.rows, **{name: tuple(tuple(cells) for cells in lists) for name, lists in row.get("rows", {}).items()}}
    return replace(record, values=values, rows=rows)


def touched(row: dict[str, Any]) -> set[str]:
    return {*row.get("set", ()), *row.get("clear", ()), *row.get("rows", ())}


def cases(rows: list[dict[str, Any]], record: Record) -> Iterator[Any]:
    fields = {each.name for each in record.form.fields}
    for row in rows:
        waits = "needs" in row and not touched(row) <= fields
        marks = [pytest.mark.xfail(reason=row["needs"], strict=True)] if waits else []
        yield pytest.param(row, id=row["case"], marks=marks)


def standing_at(judgement: Judgement, place: str) -> tuple[Flag, ...]:
    """The flags of a field, or of any row of a list."""
    return tuple(flag for flag in judgement.flags if flag.place.split("/")[0] == place)


def told(judgement: Judgement) -> str:
    return "; ".join(f"{flag.place} {flag.level.value}" for flag in judgement.flags if rank(flag.level))


@pytest.mark.parametrize("row", cases(FAULTS, PLATE))
def test_a_record_with_one_fault(row):
    judgement = judge(changed(PLATE, row))
    assert judgement.line("test").level.value == row["expect"], (row["source"], told(judgement))
    worst = max((rank(flag.level) for flag in standing_at(judgement, row["place"])), default=0)
    assert WORSE_AND_WORSE[worst] == row["expect"], (row["place"], told(judgement))


@pytest.mark.parametrize("row", cases(ORDERS, PLATE))
def test_a_record_in_order(row):
    judgement = judge(changed(PLATE, row))
    assert rank(judgement.line("test").level) <= WORSE_AND_WORSE.index(row["expect"]), (row["source"], told(judgement))


@pytest.mark.parametrize("row", cases(LOGS, LOG))
def test_a_log_on_a_day(row):
    record = changed(LOG, row)
    assert touched(row) <= {each.name for each in record.form.fields}, "a field of the row is not there"
    judgement = judge(record, datetime.date.fromisoformat(row["today"]))
    assert judgement.line("continuity").level.value == row["expect"], (row["source"], told(judgement))


@pytest.mark.parametrize("row", [pytest.param(row, id=row["case"]) for row in [*FAULTS, *ORDERS]])
def test_the_whole_is_as_bad_as_its_worst_part(row):
    judgement = judge(changed(PLATE, row))
    whole = rank(judgement.line("test").level)
    assert whole == max(rank(each.level) for each in [*judgement.flags, *judgement.lines]), told(judgement)


@pytest.mark.parametrize("row", [pytest.param(row, id=row["case"]) for row in [*FAULTS, *ORDERS]])
def test_one_verdict_on_every_door(row, tmp_path, capsys):
    record = changed(PLATE, row)
    judgement = judge(record)
    line = judgement.line("test")
    text = as_text(judgement)
    for door in (text, sheet_html(judgement), verdict_html(judgement)):
        said = escape(line.wording) if "<" in door else line.wording
        (told_of,) = [part for part in re.split(r"<tr>|\n", door) if said in part and line.label in part]
        assert re.search(rf"\b{line.level.value}\b", told_of, re.IGNORECASE), told_of
    file = tmp_path / "record.json"
    file.write_text(write_record(record), encoding="utf-8")
    assert judge_command([str(file), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    (there,) = (each for each in data["lines"] if each["name"] == "test")
    assert (there["level"], there["wording"]) == (line.level.value, line.wording)
    assert [each["level"] for each in data["flags"]] == [flag.level.value for flag in judgement.flags]
    assert judge_command([str(file)]) == 0
    assert capsys.readouterr().out.rstrip("\n") == text


@pytest.mark.parametrize("rows, record", [(FAULTS, PLATE), (ORDERS, PLATE), (LOGS, LOG)], ids=["faults", "orders", "continuity"])
def test_a_table_is_whole(rows, record):
    names = [row["case"] for row in rows]
    assert len(set(names)) == len(names), "two rows of one name"
    fields = {each.name for each in record.form.fields}
    for row in rows:
        assert row["expect"] in WORSE_AND_WORSE and row["source"], row["case"]
        assert "needs" in row or touched(row) <= fields, f"{row['case']}: no such field"
        assert row.get("place", next(iter(fields))) in fields, f"{row['case']}: no such place"


def test_every_field_that_decides_has_its_fault():
    assert all(row["expect"] != "ok" for row in FAULTS) and all(row["expect"] in ("ok", "caution") for row in ORDERS)
    named = {row["place"] for row in FAULTS} | {name for row in FAULTS for name in touched(row)}
    assert {each.name for each in PLATE.form.fields} - named == DECIDE_NOTHING
