"""A record with one fault is never told as in order, and the whole is as bad as the worst that is flagged.

The tables in `decisions/record` are written from the documents that their rows name, not from the code. Each row
starts from the demonstration record and makes one change: `set` fields, `clear` fields, or whole `rows` replaced.
`faults.toml` says the verdict of the whole test and the place where it must be flagged; `orders.toml` the worst that
an orderly record may be told; `continuity.toml` the verdict of the log on a given day. A row with `needs` waits for a
field that is not there yet.
"""

from __future__ import annotations

import datetime
import json
import re
import tomllib
from dataclasses import replace
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

import pytest

from calc.core.declare import Level
from calc.record.bench import Flag, Judgement
from calc.classroom.cli import judge_command
from calc.record.report import as_data, as_text
from calc.record.demo import LOG, PLATE
from calc.record.files import write_record
from calc.record.form import verdict_html
from calc.record.judge import judge
from calc.record.shape import Record
from calc.record.sheet import sheet_html

FOLDER = Path(__file__).parent / "decisions" / "record"
TABLES = ("faults", "orders", "continuity")
FAULTS, ORDERS, LOGS = (tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))["row"] for name in TABLES)
WORSE_AND_WORSE = [level.value for level in Level if level is not Level.NOTE]
DECIDE_NOTHING = {
    "shop", "heat_number", "plate_mark", "lot", "rod_storage", "machine", "saw_cut",
    "passes_note", "visual_note", "bends_note", "note_1", "note_2",
}
"""Fields that no rule judges by a figure; whether they may be blank is the shop's own matter."""


def rank(level: Level) -> int:
    """How bad a level is, by its place in the list; what only informs is as good as in order."""
    return level.severity


def changed(record: Record, row: dict[str, Any]) -> Record:
    """The record with the one change of a row."""
    values = {**record.values, **row.get("set", {})}
    lists = {name: tuple(map(tuple, cells)) for name, cells in row.get("rows", {}).items()}
    kept = {name: text for name, text in values.items() if name not in row.get("clear", ())}
    return replace(record, values=kept, rows={**record.rows, **lists})


@cache
def judged(case: str) -> Judgement:
    """The judgement of a row of faults or orders, made once."""
    return judge(changed(PLATE, next(row for row in [*FAULTS, *ORDERS] if row["case"] == case)))


def touched(row: dict[str, Any]) -> set[str]:
    return {*row.get("set", ()), *row.get("clear", ()), *row.get("rows", ())}


def cases(rows: list[dict[str, Any]], record: Record) -> list[Any]:
    """The rows as cases; one that waits for a field which is not there is known to fail."""
    fields = {each.name for each in record.form.fields}
    listed = []
    for row in rows:
        waits = "needs" in row and not touched(row) <= fields
        marks = [pytest.mark.xfail(reason=row["needs"], strict=True)] if waits else []
        listed.append(pytest.param(row, id=row["case"], marks=marks))
    return listed


def standing_at(judgement: Judgement, place: str) -> tuple[Flag, ...]:
    """The flags of a field, or of any row of a list."""
    return tuple(flag for flag in judgement.flags if flag.place.split("/")[0] == place)


def told(judgement: Judgement) -> str:
    return "; ".join(f"{flag.place} {flag.level.value}" for flag in judgement.flags if rank(flag.level))


@pytest.mark.parametrize("row", cases(FAULTS, PLATE))
def test_a_record_with_one_fault(row):
    judgement = judged(row["case"])
    assert judgement.line("test").level.value == row["expect"], (row["source"], told(judgement))
    worst = max((rank(flag.level) for flag in standing_at(judgement, row["place"])), default=0)
    assert WORSE_AND_WORSE[worst] == row["expect"], (row["place"], told(judgement))


@pytest.mark.parametrize("row", cases(ORDERS, PLATE))
def test_a_record_in_order(row):
    judgement = judged(row["case"])
    assert rank(judgement.line("test").level) <= WORSE_AND_WORSE.index(row["expect"]), (row["source"], told(judgement))


@pytest.mark.parametrize("row", cases(LOGS, LOG))
def test_a_log_on_a_day(row):
    record = changed(LOG, row)
    assert touched(row) <= {each.name for each in record.form.fields}, "a field of the row is not there"
    judgement = judge(record, datetime.date.fromisoformat(row["today"]))
    assert judgement.line("continuity").level.value == row["expect"], (row["source"], told(judgement))


@pytest.mark.parametrize("row", [pytest.param(row, id=row["case"]) for row in [*FAULTS, *ORDERS]])
def test_the_whole_is_as_bad_as_its_worst_part_on_every_door(row):
    judgement = judged(row["case"])
    line = judgement.line("test")
    assert rank(line.level) == max(rank(each.level) for each in [*judgement.flags, *judgement.lines]), told(judgement)
    for door in (as_text(judgement), sheet_html(judgement), verdict_html(judgement)):
        said = escape(line.wording) if "<" in door else line.wording
        (told_of,) = [part for part in re.split(r"<tr>|\n", door) if said in part and line.label in part]
        assert re.search(rf"\b{line.level.value}\b", told_of, re.IGNORECASE), told_of
    data = as_data(judgement)
    (there,) = (each for each in data["lines"] if each["name"] == "test")
    assert (there["level"], there["wording"]) == (line.level.value, line.wording)
    assert [each["level"] for each in data["flags"]] == [flag.level.value for flag in judgement.flags]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["case"]) for row in (FAULTS[0], FAULTS[-1], ORDERS[0])])
def test_the_command_line_says_the_same(row, tmp_path, capsys):
    judgement = judged(row["case"])
    file = tmp_path / "record.json"
    file.write_text(write_record(judgement.record), encoding="utf-8")
    assert judge_command([str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == as_data(judgement)
    assert judge_command([str(file)]) == 0
    assert capsys.readouterr().out.rstrip("\n") == as_text(judgement)


@pytest.mark.parametrize("rows, record", [(FAULTS, PLATE), (ORDERS, PLATE), (LOGS, LOG)], ids=TABLES)
def test_a_table_is_whole(rows, record):
    names = [row["case"] for row in rows]
    assert len(set(names)) == len(names), "two rows of one name"
    fields = {each.name for each in record.form.fields}
    for row in rows:
        assert row["expect"] in WORSE_AND_WORSE and row["source"], row["case"]
        assert "needs" in row or touched(row) <= fields, f"{row['case']}: no such field"
        assert row.get("place", next(iter(fields))) in fields, f"{row['case']}: no such place"


def test_every_field_that_decides_has_its_fault():
    assert not {row["case"] for row in FAULTS} & {row["case"] for row in ORDERS}, "one name in both tables"
    assert all(row["expect"] != "ok" for row in FAULTS) and all(row["expect"] in ("ok", "caution") for row in ORDERS)
    named = {row["place"] for row in FAULTS} | {name for row in FAULTS for name in touched(row)}
    assert {each.name for each in PLATE.form.fields} - named == DECIDE_NOTHING
