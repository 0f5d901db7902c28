"""A whole declared test is judged as its decision tables say, and what is drawn is answered or clearly refused.

The tables in `decisions/test` are written from the documents that their rows name, not from the code. Each row starts
from the complete test of `base.toml`: `said` facts are written otherwise, `blank` ones left out, `rods` are the passes
with another rod. Then has to hold what the row says of these:

* `expect`: the worst level of all verdicts whose id matches a pattern. `ok` takes a note too; `not ok` and `not stop`
  take any level but that one; `untold` asks that no such verdict is told as OK.
* `level`: the level of the whole; `missing`: exactly the facts told as missing; `same`: level and id of every verdict
  are those of another row.
* `refused`: one of these facts is refused, or the figure that a calculator takes from it, and the whole is not in
  order. `either`: the same, or the whole is not in order without a refusal, or it is read as the base.

A row with `waits` waits for a calculator that is not there yet. A row with `differs` is one that the code doesn't keep;
the words say what it tells instead.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections import Counter
from dataclasses import replace
from fnmatch import fnmatch
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import Choice, Day, Input, Level, Quantity, Rows, taken
from calc.core.units import SYSTEMS, parse
from calc.plate_test.cli import test_command as run_test
from calc.plate_test.cli import test_json as whole_as_json
from calc.plate_test.facts import DERIVED
from calc.plate_test.fields import BANDS, FIELDS, FORM, deciding
from calc.plate_test.judge import headline, judge_test
from calc.plate_test.work import Worked, fills, work
from calc.record.files import write_record
from calc.record.shape import Record, blank

FOLDER = Path(__file__).parent / "decisions" / "test"
BASE: dict[str, str] = tomllib.loads((FOLDER / "base.toml").read_text(encoding="utf-8"))["said"]
TABLES = {path.stem: tomllib.loads(path.read_text(encoding="utf-8"))["row"]
    for path in sorted(FOLDER.glob("*.toml")) if path.stem != "base"}
ROWS: dict[str, dict[str, Any]] = {row["case"]: row for table in TABLES.values() for row in table}
WAITS_FOR = {"wps": "wps-check"}
"""The calculator that a row waits for, by the row's word."""
LEVELS = [level.value for level in Level if level is not Level.NOTE]
WORDS = [*LEVELS, "not ok", "not stop"]
MOMENT = "2026-03-02T07:30:00Z"
RODS = FIELDS["other_rods"].input


# --- rows --------------------------------------------------------------------


def record_of(said: dict[str, str], rods: list[dict[str, str]] = (), bare: str = "us") -> Record:
    """A test with these facts and passes with another rod."""
    cells = tuple(tuple(row.get(column.name, "") for column in RODS.columns) for row in rods)
    return replace(blank(FORM.kind, "table-0001", MOMENT, "Table", bare), values=said, rows={"other_rods": cells})


def record_for(row: dict[str, Any]) -> Record:
    without = set(BASE) if row.get("blank") == ["*"] else set(row.get("blank", ()))
    kept = {name: text for name, text in BASE.items() if name not in without}
    return record_of({**kept, **row.get("said", {})}, row.get("rods", ()))


@cache
def worked(case: str) -> Worked:
    """The test of a row, worked out once."""
    return work(record_for(ROWS[case]))


def said_level(level: Level) -> str:
    """What only informs is as good as in order."""
    return "ok" if level is Level.NOTE else level.value


def keeps(level: str, wanted: str) -> bool:
    return level != wanted.removeprefix("not ") if wanted in ("not ok", "not stop") else level == wanted


def told(found: Worked) -> str:
    return "; ".join(f"{each.id} {each.level.value}" for each in found.verdicts if each.level.severity)


def refused_facts(found: Worked) -> set[str]:
    """The facts that a refusal is about; of a calculator's refusal, what its input takes."""
    facts = set()
    for refusal in found.refusals:
        if refusal.calculator and refusal.field:
            facts.add(taken(calculator(refusal.calculator).input(refusal.field)))
        else:
            facts.add(refusal.field)
    return facts


def check_row(row: dict[str, Any]) -> None:
    found = worked(row["case"])
    about = row["why"], row["source"], told(found)
    if "refused" in row:
        assert refused_facts(found) & set(row["refused"]), (found.refusals, *about)
        assert all(refusal.message for refusal in found.refusals)
        assert not keeps(said_level(found.level), "ok"), about
        return
    if "either" in row:
        read_as_base = {each.id: each.level for each in found.verdicts} == levels("the base itself")
        refused = refused_facts(found)
        assert refused & set(row["either"]) if refused else read_as_base or said_level(found.level) != "ok", about
        return
    for pattern, wanted in row.get("expect", {}).items():
        verdicts = [each for each in found.verdicts if fnmatch(each.id, pattern)]
        if wanted == "untold":
            assert not [each for each in verdicts if each.level is Level.OK], (pattern, *about)
            continue
        assert verdicts, (f"no verdict {pattern}", *about)
        worst = max((each.level for each in verdicts), key=lambda level: level.severity)
        assert keeps(said_level(worst), wanted), (pattern, said_level(worst), *about)
    if "level" in row:
        assert keeps(said_level(found.level), row["level"]), (said_level(found.level), *about)
    if "missing" in row:
        assert set(found.missing) == set(row["missing"]), about
    if "same" in row:
        assert Counter((each.id, each.level) for each in found.verdicts) == Counter(
            (each.id, each.level) for each in worked(row["same"]).verdicts), about


def levels(case: str) -> dict[str, Level]:
    return {each.id: each.level for each in worked(case).verdicts}


def is_there(identifier: str) -> bool:
    return identifier in {each.id for each in CALCULATORS}


def row_cases() -> list[Any]:
    """The rows as cases; one that waits, and one that the code doesn't keep, is known to fail."""
    listed = []
    for case, row in ROWS.items():
        waits = "waits" in row and not is_there(WAITS_FOR[row["waits"]])
        reason = f"waits for {WAITS_FOR[row['waits']]}" if waits else row.get("differs", "")
        marks = [pytest.mark.xfail(reason=reason, strict=True, raises=AssertionError)] if reason else []
        listed.append(pytest.param(row, id=case, marks=marks))
    return listed


@pytest.mark.parametrize("row", row_cases())
def test_a_row(row):
    check_row(row)


@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_whole(name):
    known = {"case", "said", "blank", "rods", "expect", "level", "missing", "same", "refused", "either", "why",
        "source", "waits", "differs"}
    for row in TABLES[name]:
        assert set(row) <= known and row["why"] and row["source"], row["case"]
        assert {"expect", "level", "missing", "same", "refused", "either"} & set(row), f"{row['case']} asks for nothing"
        assert row.get("level", "ok") in WORDS, row["case"]
        assert set(row.get("expect", {}).values()) <= {*WORDS, "untold"}, row["case"]
        facts = {*row.get("said", {}), *row.get("refused", ()), *row.get("either", ()), *row.get("missing", ()),
            *(name for name in row.get("blank", ()) if name != "*")}
        assert facts <= set(FIELDS), (row["case"], facts - set(FIELDS))
        assert row.get("same", "the base itself") in ROWS and row.get("waits", "wps") in WAITS_FOR, row["case"]


def test_each_row_has_a_name_of_its_own():
    assert len(ROWS) == sum(map(len, TABLES.values())) >= 120


def test_the_base_says_every_fact_but_those_that_stay_blank_in_most_shops():
    unsaid = {"root_face_over", "heat_most", "rod_mass", "efficiency", "cut_speed_low", "cut_speed_high", "other_rods",
        "hold_points"}
    assert set(FIELDS) - set(BASE) == unsaid


# --- what decides is asked for -----------------------------------------------


@pytest.mark.parametrize("name", list(deciding()))
def test_a_deciding_fact_left_blank_is_told_as_missing(name):
    found = work(record_of({fact: text for fact, text in BASE.items() if fact != name}))
    assert name in found.missing
    assert found.level.severity >= Level.INCOMPLETE.severity, told(found)
    label = FIELDS[name].input.label
    (line,) = [each for each in found.verdicts if each.id == "test.missing"]
    assert label[1:] in "".join(map(str, line.phrase))


@pytest.mark.parametrize("low, high", BANDS)
def test_a_band_upside_down_is_refused_by_name_and_with_its_limit(low, high):
    said = {**BASE, low: BASE.get(high, "24 in/min"), high: BASE.get(low, "15 in/min")}
    (refusal,) = work(record_of(said)).refusals
    assert refusal.field == low and FIELDS[low].input.label in refusal.message
    number = re.match(r"[\d.]+", said[high])[0]
    assert number in refusal.message.replace("\u00a0", " "), refusal.message


# --- the command line says the same ------------------------------------------

SAMPLE = ["the base itself", "1 A over the maximum of the WPS", "polarity left blank", "a steel that is not held",
    "root and cover pass with rods of their own", "temperatures in Celsius", "reinforcement just over 1/8 in"]


@pytest.mark.parametrize("case", SAMPLE)
def test_the_command_line_says_the_same(case, tmp_path, capsys):
    found = worked(case)
    file = tmp_path / "test.json"
    file.write_text(write_record(record_for(ROWS[case])), encoding="utf-8")
    assert run_test([str(file), "--json"]) == 0
    data = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert data == json.loads(json.dumps(whole_as_json(found)))
    assert data["level"] == found.level.value and data["missing"] == list(found.missing)
    assert [(each["id"], each["level"]) for each in data["verdicts"]] == [
        (each.id, each.level.value) for each in found.verdicts]
    assert all(each["us"] and each["si"] and each["source"] and each["where"] for each in data["verdicts"])
    for answer in data["answers"]:
        ids = [each["id"] for each in data["verdicts"] if each["id"].startswith(f"{answer['calculator']}.")]
        assert ids or not calculator(answer["calculator"]).answer().checks
    assert run_test([str(file)]) == 0
    text = capsys.readouterr().out
    assert headline(found) in text
    for each in data["verdicts"]:
        if each["level"] in ("stop", "caution", "incomplete", "not known"):
            assert each["us"] in text, each["id"]


@pytest.mark.parametrize("case", [case for case, row in ROWS.items() if set(row.get("refused", ())) & set(FIELDS)
    and any(not refusal.calculator for refusal in worked(case).refusals)])
def test_the_command_line_refuses_in_one_clear_line(case, tmp_path, capsys):
    file = tmp_path / "test.json"
    file.write_text(write_record(record_for(ROWS[case])), encoding="utf-8")
    assert run_test([str(file), "--json"]) == 2
    out, err = capsys.readouterr()
    assert not out and err.count("\n") == 1
    (name,) = set(ROWS[case]["refused"]) & {refusal.field for refusal in worked(case).refusals}
    assert name in err


# --- anything drawn ----------------------------------------------------------


def amounts(each: Quantity) -> st.SearchStrategy[str]:
    """A quantity in its range, at its ends and just past them, in US units or in SI."""
    low, high = parse(each.low, each.kind), parse(each.high, each.kind)
    places = st.one_of(
        st.integers(0, 1000).map(lambda part: low + (high - low) * part / 1000),
        st.sampled_from([low, high, low - 1, high + 1]),
    )
    return st.builds(lambda value, system: in_unit(value, each, system), places, st.sampled_from(SYSTEMS))


def in_unit(value: Fraction, each: Quantity, system: str) -> str:
    unit = each.kind.unit(system)
    return f"{float(unit.from_base(value)):.9f} {unit.symbol}"


def texts(each: Input) -> st.SearchStrategy[str]:
    """What may stand in the field of a fact: mostly of its kind, now and then nonsense."""
    if isinstance(each, Quantity):
        good = amounts(each)
    elif isinstance(each, Choice):
        good = st.sampled_from([option.value for option in each.options])
    elif isinstance(each, Day):
        good = st.dates().map(str)
    else:
        good = st.text("abc 123-|<>&\"'", max_size=20)
    junk = st.sampled_from(["", "nan", "inf", "-1 in", "1/0 in", "1e999 A", "<b>", "\u00bd in", "unstated"])
    return st.one_of(*[good] * 7, junk)


SINGLE = {name for name, each in FIELDS.items() if not isinstance(each.input, Rows)}
SAID = st.lists(st.sampled_from(sorted(SINGLE)), unique=True, max_size=6).flatmap(
    lambda names: st.fixed_dictionaries({name: texts(FIELDS[name].input) for name in names}))
ROD_ROWS = st.lists(st.fixed_dictionaries({column.name: texts(column) for column in RODS.columns}), max_size=2)


@settings(max_examples=150)
@given(said=SAID, rods=ROD_ROWS, unsaid=st.sets(st.sampled_from(sorted(BASE)), max_size=4),
    bare=st.sampled_from(SYSTEMS))
def test_anything_drawn_is_answered_or_clearly_refused(said, rods, unsaid, bare):
    kept = {name: text for name, text in BASE.items() if name not in unsaid}
    found = work(record_of({**kept, **said}, rods, bare))
    assert found.level is max((each.level for each in found.verdicts), key=lambda level: level.severity)
    json.dumps(whole_as_json(found), allow_nan=False)
    assert judge_test(found.record).line("test").level is found.level and headline(found)
    assert set(fills(found.record)) <= {each.id for each in CALCULATORS}
    for refusal in found.refusals:
        assert refusal.message and "Traceback" not in refusal.message
        assert refusal.calculator or FIELDS[refusal.field].input.label in refusal.message
    for answer in found.answers:
        assert all(math.isfinite(value.amount) for value in answer.result.values if value.amount is not None)
        ids = [check.id for check in answer.result.checks]
        assert len(set(ids)) == len(ids), ids


@st.composite
def parts_of_ranges(draw) -> dict[str, Fraction]:
    """Some quantities of the test, each a part of the way through its range."""
    quantities = [name for name, each in FIELDS.items() if isinstance(each.input, Quantity)]
    names = draw(st.lists(st.sampled_from(quantities), unique=True, min_size=1, max_size=5))
    drawn = {}
    for name in names:
        each = FIELDS[name].input
        low, high = parse(each.low, each.kind), parse(each.high, each.kind)
        drawn[name] = low + (high - low) * draw(st.integers(1, 96)) / 97
    return drawn


@settings(max_examples=80)
@given(drawn=parts_of_ranges())
def test_us_and_si_writings_are_judged_alike(drawn):
    said = {system: {**BASE, **{name: in_unit(value, FIELDS[name].input, system) for name, value in drawn.items()}}
        for system in SYSTEMS}
    us, si = (work(record_of(said[system], bare=system)) for system in SYSTEMS)
    assert [(each.id, each.level) for each in us.verdicts] == [(each.id, each.level) for each in si.verdicts]
    assert us.missing == si.missing and us.level is si.level


@pytest.mark.parametrize("case", [case for case, row in ROWS.items() if "refused" not in row and "either" not in row])
def test_a_verdict_is_unique_in_its_answer(case):
    for answer in worked(case).answers:
        ids = [check.id for check in answer.result.checks]
        assert len(set(ids)) == len(ids), answer.result.calculator.id


@pytest.mark.parametrize("case", list(ROWS))
def test_the_whole_is_as_bad_as_its_worst_part(case):
    found = worked(case)
    assert found.level.severity == max(each.level.severity for each in found.verdicts)
    assert judge_test(found.record).line("test").level is found.level


# --- a fact is typed once ----------------------------------------------------

MEANS_ANOTHER_THING = {
    "acetylene-draw.rule": "which rule for the flow from a cylinder, not which document the test is held under",
    "plate-heat.chosen": "any temperature that the reader asks about",
    "plate-heat.steel": "a class of thermal figures, not a grade",
    "passes.run_out": "the bead that one rod makes; the rod's own length is another input",
    "travel-speed.time": "read for the bead that was measured; what one rod burns is the plan",
    "travel-speed.volts": "read while that bead was laid; the limits of the WPS are judged against it",
    "visual-check.rule": "test plate or production weld",
    "visual-check.reinforcement": "measured on the finished weld; the fact is the plan",
    "retest.failed_on": "the day of a test that was failed, which an earlier test may be",
    "continuity.qualified_on": "the day of a test that was passed, which an earlier test may be",
}
"""Inputs that are named like a fact of the test, take none, and mean another thing: which."""
SMALL_WORDS = {"the", "of", "a", "an", "your", "each", "at", "in", "for", "that", "is", "and", "to", "you", "wps", "on",
    "one", "by"}


def inputs() -> list[tuple[str, Input]]:
    return [(calc.id, each) for calc in CALCULATORS for each in calc.inputs]


@pytest.mark.parametrize("identifier, each", [pytest.param(identifier, each, id=f"{identifier}.{each.name}")
    for identifier, each in inputs() if taken(each) is not None and each.takes != ""])
def test_what_an_input_takes_is_there(identifier, each):
    name = taken(each)
    if "." not in name:
        assert name in FIELDS or name in DERIVED, name
        return
    source, figure = name.split(".")
    assert source != identifier
    assert figure in {value.name for value in calculator(source).answer().values}, name


def label_words(each: Input) -> set[str]:
    return set(re.findall(r"[a-z]+", each.label.lower())) - SMALL_WORDS


def of_one_kind(one: Input, other: Input) -> bool:
    if isinstance(one, Quantity) and isinstance(other, Quantity):
        return one.kind is other.kind
    return type(one) is type(other) and not isinstance(one, Rows)


def named_like(each: Input) -> list[str]:
    """The facts that an input is named like: by its name, its label, or the words of its label at the same kind."""
    mine = label_words(each)
    alike = []
    for name, fact in FIELDS.items():
        words = label_words(fact.input)
        of_its_words = mine and of_one_kind(each, fact.input) and (mine <= words or words <= mine)
        if name == each.name or each.label.lower() == fact.input.label.lower() or of_its_words:
            alike.append(name)
    return alike


def test_no_fact_is_declared_twice():
    """An input that is named like a fact takes a fact, or stands in the list with what it means instead."""
    alike = {
        f"{identifier}.{each.name}": named_like(each) for identifier, each in inputs()
        if not (name := taken(each) or "") in {*FIELDS, *DERIVED} and "." not in name and named_like(each)
    }
    assert alike.keys() == MEANS_ANOTHER_THING.keys(), alike


def test_the_work_that_a_test_is_planned_for_is_its_own():
    """What the job will be is no fact of a test: its own thickness and position are looked up."""
    for case in ("1 in plate, what it qualifies", "horizontal test"):
        found = worked(case)
        plan = found.result("test-plan").inputs
        assert plan["work_thickness"] == plan["thickness"] == found.texts["thickness"]
        assert plan["position"] == found.texts["position"]
