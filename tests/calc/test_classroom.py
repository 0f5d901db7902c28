"""A class at a glance: which files come in, what is said of whom, and that nothing is made up. The verdicts compared
are those of the records' own judge; calendar files are read by icalendar, zips written by zipfile, codings by Python's.
"""

from __future__ import annotations

import base64
import csv
import datetime
import io
import json
import os
import subprocess
import sys
import time
import zipfile
from dataclasses import replace

import icalendar
import pytest

from calc.classroom import cli
from calc.classroom.brought import read_files
from calc.classroom.cli import judge_command
from calc.classroom.glance import glance
from calc.classroom.glance_files import COLUMNS, glance_csv, glance_data, glance_text
from calc.classroom.glance_page import glance_html
from calc.core.declare import Level
from calc.practice.memory import model
from calc.practice.plates import Plate
from calc.practice.progress import Profile, State, state_data
from calc.practice.schedule import Card
from calc.record.demo import LOG, PLATE, TEST
from calc.record.files import write_record
from calc.record.judge import judge
from calc.web import respond
from tools.common import ROOT

TODAY = datetime.date(2026, 3, 20)
GOOD = write_record(PLATE).encode()


def person(name: str, number: int, **values: str):
    """A plate of somebody's."""
    return replace(PLATE, id=f"plate-{number:04d}", values={**PLATE.values, "welder": name, **values})


def written(record) -> bytes:
    return write_record(record).encode()


def progress_of(*profiles: Profile) -> bytes:
    return json.dumps(state_data(State(profiles, 0))).encode()


def practiced(name: str, **more) -> Profile:
    card = Card(last=5, due="2026-03-25", interval=6, in_a_row=2, seen=3)
    return Profile(name, cards={"groove-face-width": card}, **more)


def looked(files, **more):
    brought, refused = read_files(files)
    return glance(brought, refused, TODAY, **more)


def test_records_logs_and_progress_of_one_person_stand_in_one_line():
    found = looked([
        ("a.json", written(person("Trainee 7", 1))), ("b.json", written(LOG)),
        ("c.json", progress_of(practiced("trainee  7", test_date="2026-04-02"))),
    ], model=model())
    (one,) = found.people
    assert one.tested[0].level is judge(PLATE, TODAY).line("test").level
    assert one.due == judge(LOG, TODAY).due
    assert one.ready_on == "2026-04-02" and 0 < one.standing.ready.share < 1
    assert one.files == ["a.json", "b.json", "c.json"]


def test_each_verdict_comes_with_the_first_reason_and_nothing_is_made_up():
    stopped = person("Ann", 1, undercut_depth="1/4 in")
    open_one = person("Bob", 2, undercut_depth="")
    blank = replace(PLATE, id="plate-0003", values={"welder": "Cay"}, rows={})
    found = looked([("a", written(stopped)), ("b", written(open_one)), ("c", written(blank))])
    ann, bob, cay = found.people
    assert ann.tested[0].level is Level.STOP and "ndercut" in ann.tested[0].reason
    assert bob.tested[0].level is Level.INCOMPLETE and bob.tested[0].reason
    assert cay.tested[0].level is Level.INCOMPLETE and cay.tested[0].test == ""
    for each in found.people:
        assert each.due is None and each.standing is None and each.log_level is None
        line = judge(each.tested[0].record, TODAY).line("test")
        assert each.tested[0].level is line.level


def test_progress_alone_has_no_verdict_and_no_model_no_share():
    (one,) = looked([("p.json", progress_of(practiced("Dee")))]).people
    assert one.tested == [] and one.standing is None
    (one,) = looked([("p.json", progress_of(practiced("Dee")))], model=model(), test=datetime.date(2026, 5, 1)).people
    assert one.ready_on == "2026-05-01"
    html = glance_html(looked([("p.json", progress_of(practiced("Dee")))]))
    assert Level.OK.label not in html


REFUSED = {
    "damaged.json": (GOOD[:-40], "damaged at line"), "notes.txt": (b"Buy rods.", "not JSON"),
    "utf16.json": (GOOD.decode().encode("utf-16"), "UTF-16"), "list.json": (b"[]", "not JSON"),
    "ansi.json": (GOOD.decode().replace("Booth 3", "Stand f\xfcr 3").encode("cp1252"), "ANSI"),
    "other.json": (b'{"format": "recipe"}', "not a record, a log, a test or progress"),
    "newer.json": (GOOD.replace(b'"version": 2', b'"version": 99'), "later guide"),
    "picture.json": (b"\x89PNG\r\n\x1a\n\0\0", "not a text file"),
    "hostile.json": (b'{"format": "plate-test-record", "id": ' + b"[" * 5000, "nested deeper"),
}


def test_bad_files_are_named_with_their_reason_and_the_others_come_in():
    files = [(name, data) for name, (data, _) in REFUSED.items()]
    found = looked([*files, ("good.json", GOOD), ("double.json", GOOD)])
    told = {each.file: each.reason for each in found.refused}
    assert set(told) == {*REFUSED, "double.json"}
    for name, (_, words) in REFUSED.items():
        assert words in told[name], (name, told[name])
    assert "the same as good.json" in told["double.json"]
    assert len(found.people) == 1


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("ending", [b"\n", b"\r\n", b"\r"])
def test_a_mark_and_any_line_ends_are_taken(mark, ending):
    found = looked([("a.json", mark + GOOD.replace(b"\n", ending))])
    assert not found.refused and found.people[0].tested[0].record == PLATE


def test_the_newer_version_of_a_record_counts_and_the_older_is_told():
    newer = replace(PLATE, changed="2026-03-09T10:00:00Z", values={**PLATE.values, "undercut_depth": "1/4 in"})
    for files in ([("new", written(newer)), ("old", GOOD)], [("old", GOOD), ("new", written(newer))]):
        found = looked(files)
        assert found.people[0].tested[0].record == newer
        (older,) = found.refused
        assert (older.file, older.reason) == ("old", "an older version of the record in new")


def test_one_record_filled_in_by_two_people_is_two_records():
    one, two = (replace(person(name, 1), changed=PLATE.changed) for name in ("Trainee 1", "Trainee 2"))
    found = looked([("a", written(one)), ("b", written(two))])
    assert [each.name for each in found.people] == ["Trainee 1", "Trainee 2"] and not found.refused
    other = replace(one, values={**one.values, "undercut_depth": "1/4 in"})
    (told,) = looked([("a", written(one)), ("b", written(other))]).refused
    assert told.reason.startswith("another version, written at the same moment")


def test_a_zip_that_is_too_long_says_how_much_of_it_was_read(tmp_path, monkeypatch, capsys):
    monkeypatch.setattr(cli, "MOST_IN_ZIP", 2)
    with zipfile.ZipFile(tmp_path / "set.zip", "w") as archive:
        for number in range(3):
            archive.writestr(f"{number}.json", written(person(f"Trainee {number}", number)))
    judge_command([str(tmp_path / "set.zip")])
    assert "only the first 2 of its 3 files were read" in capsys.readouterr().err


def test_nobody_is_a_share_ready_without_an_answer_and_no_plate_failed_without_a_verdict():
    asked_nothing = Profile("Dee", test_date="2026-05-01", plates={
        each.id: each for each in (
            Plate(id="plate-1", verdict="passed"), Plate(id="plate-2"), Plate(id="plate-3", reached="welded"))})
    found = looked([("p.json", progress_of(asked_nothing))], model=model())
    html = glance_html(found)
    assert "no answers yet" in html and "1 of 1 passed, 2 not known" in html
    (row,) = csv.DictReader(io.StringIO(glance_csv(found).removeprefix("\ufeff")))
    assert (row["Practice plates"], row["Judged"], row["Passed"]) == ("3", "1", "1")
    assert not any(text for head, text in row.items() if "%" in head)


def test_a_test_that_is_handed_in_is_no_person():
    found = looked([("t.json", written(TEST))])
    assert found.people == () and found.tests == (TEST,)


def test_names_are_never_markup_nor_formulas():
    found = looked([("=x<b>.json", written(person("<img src=x onerror=1>", 1))), ("p", written(person("=1+1", 2)))])
    assert "<img" not in glance_html(found)
    cells = [row[0] for row in csv.reader(io.StringIO(glance_csv(found).lstrip("\ufeff")))]
    assert "'=1+1" in cells


def test_the_table_holds_bare_numbers_with_units_in_the_head():
    text = glance_csv(looked([("p.json", progress_of(practiced("Dee", test_date="2026-04-02")))], model=model()))
    head, line = csv.reader(io.StringIO(text.lstrip("\ufeff")))
    row = dict(zip(head, line, strict=True))
    assert head == list(COLUMNS)
    for name in ("Expected share known, %", "Lowest, %", "Highest, %"):
        assert 0 <= int(row[name]) <= 100
    assert not any("\u2009" in cell or "\u00a0" in cell for cell in [*head, *line])


def test_all_due_dates_go_into_one_calendar(tmp_path, capsys):
    logs = [replace(LOG, id=f"log-{number:04d}", values={**LOG.values, "welder": f"W {number}"}) for number in range(3)]
    for each in logs:
        (tmp_path / f"{each.id}.json").write_bytes(written(each))
    assert judge_command([str(tmp_path), "--calendar", "--today", TODAY.isoformat()]) == 0
    events = icalendar.Calendar.from_ical(capsys.readouterr().out).walk("VEVENT")
    assert len({str(each["UID"]) for each in events}) == 3
    assert {each["DTSTART"].dt for each in events} == {judge(LOG, TODAY).due}


# --- the command line ------------------------------------------------------------


def handed_in(folder):
    """A class as it comes: loose files, a folder, a zip with pictures, one file damaged."""
    (folder / "deep").mkdir()
    (folder / "deep" / "ann.json").write_bytes(written(person("Ann", 1)))
    (folder / ".hidden").write_bytes(b"x")
    (folder / "damaged.json").write_bytes(GOOD[:-9])
    with zipfile.ZipFile(folder / "set.zip", "w") as archive:
        archive.writestr("records/bob.json", written(person("Bob", 2, undercut_depth="1/4 in")))
        archive.writestr("photos/plate-0002/p1.jpg", b"\xff\xd8")
    (folder / "torn.zip").write_bytes((folder / "set.zip").read_bytes()[:-30])
    return folder


def test_a_folder_is_judged_and_what_was_not_taken_is_told(tmp_path, capsys):
    assert judge_command([str(handed_in(tmp_path)), "--json", "--today", TODAY.isoformat()]) == 1
    said = capsys.readouterr()
    data = json.loads(said.out)
    assert [(each["name"], each["verdict"]) for each in data["people"]] == [("Ann", "OK"), ("Bob", "Stop")]
    assert "damaged.json: " in said.err and "torn.zip: " in said.err and "hidden" not in said.err
    assert {os.path.basename(each["file"]) for each in data["refused"]} == {"damaged.json", "torn.zip"}


def test_one_file_is_told_as_ever_and_several_as_a_class(tmp_path, capsys):
    one, two = tmp_path / "one.json", tmp_path / "two.json"
    one.write_bytes(GOOD)
    two.write_bytes(written(person("Bob", 2)))
    assert judge_command([str(one)]) == 0
    assert "Test-day record: " in capsys.readouterr().out
    assert judge_command([str(one), str(two)]) == 0
    out = capsys.readouterr().out
    assert "Trainee 7" in out and "Bob" in out
    assert judge_command([str(tmp_path / "none.json")]) == 2
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("arguments", [["--csv", "--json", "x"], ["--what", "x"], ["--today", "soon"], []])
def test_wrong_arguments_are_told_in_a_line(arguments, capsys):
    assert judge_command(arguments) == 2
    assert capsys.readouterr().err.count("\n") == 1


def test_a_reader_that_has_seen_enough_gets_no_traceback():
    for arguments in (["questions", "--show", "3"], ["groove", "--json"], []):
        run = subprocess.Popen(
            [sys.executable, "-m", "calc", *arguments], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        run.stdout.read(10)
        run.stdout.close()
        assert run.stderr.read() == b""
        run.wait(60)


def test_five_hundred_files_take_less_than_judging_each_alone_would():
    """A ratio in one run: a class asks much the same over and over, and it is worked out once."""
    files = [
        (f"{at}.json", written(person(f"W {at}", at, amps=f"{115 + at % 20} A"))) for at in range(500)
    ]
    start = time.perf_counter()
    found = looked(files)
    whole = time.perf_counter() - start
    assert len(found.people) == 500 and not found.refused
    fresh = "import time; from calc.record.demo import PLATE; from calc.record.judge import judge; import datetime\n" \
        "s = time.perf_counter(); judge(PLATE, datetime.date(2026, 3, 20)); print(time.perf_counter() - s)"
    alone = float(subprocess.run([sys.executable, "-c", fresh], cwd=ROOT, capture_output=True, text=True).stdout)
    assert whole < 500 * alone / 2


# --- the page's door ------------------------------------------------------------------


def asked(do, files, **more):
    coded = [{"name": name, "data": base64.b64encode(data).decode()} for name, data in files]
    return json.loads(respond(json.dumps({"do": do, "files": coded, "today": TODAY.isoformat(), **more})))


def test_the_page_gets_what_the_command_line_gets():
    files = [("a.json", GOOD), ("b.json", written(LOG)), ("bad.json", b"{")]
    assert asked("class-read", files) == {"taken": 2, "refused": 1}
    answer = asked("class-glance", files, refused=[{"name": "big.zip", "reason": "larger than a set can be"}])
    assert answer["people"] == 1 and answer["logs"] == 1
    assert "big.zip" in answer["html"] and "bad.json" in answer["html"] and "Study aid" in answer["html"]
    brought, refused = read_files(files)
    assert asked("class-csv", files)["text"] == glance_csv(glance(brought, refused, TODAY, model()))
    assert "BEGIN:VEVENT" in asked("class-calendar", files, moment="2026-03-20T08:00:00Z")["text"]
    assert "refused" in asked("class-calendar", files[:1], moment="2026-03-20T08:00:00Z")


def test_text_and_data_say_the_same():
    found = looked([("a", written(person("Ann", 1, undercut_depth="1/4 in"))), ("b", written(LOG))])
    text = glance_text(found)
    for each in glance_data(found)["people"]:
        assert each["name"] in text
        assert each.get("what_decides", "") in text
