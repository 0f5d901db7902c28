"""The command line: what it prints for a person and for a program, and that a wrong word is told in one line with
exit code 2.
"""

from __future__ import annotations

import io
import json
import re
import runpy
import sys

import pytest

from calc.__main__ import main
from calc.record.demo import LOG, PLATE
from calc.record.files import write_record
from calc.record.bench import STUDY_AID


@pytest.fixture
def run(capsys):
    """Run a command; its exit code and what it printed."""
    def runs(*arguments: str) -> tuple[int, str, str]:
        code = main(list(arguments))
        said = capsys.readouterr()
        return code, said.out, said.err

    return runs


def test_without_a_word_the_calculators_are_listed(run):
    for words in ((), ("--help",)):
        code, out, _ = run(*words)
        assert code == 0 and "  groove " in out and "  class-plan " in out


def test_an_answer_for_a_person_and_for_a_program(run):
    code, out, _ = run("groove", "thickness=3/8 in", "bevel_angle=30 deg")
    # 2 x 3/8 in x tan 30 + 1/4 in = 0.683 in
    assert code == 0 and "0.683" in out and "Worked steps" in out and "Sources" in out
    code, out, _ = run("groove", "--json", "thickness=3/8 in", "bevel_angle=30 deg")
    values = {value["name"]: value for value in json.loads(out)["values"]}
    assert code == 0 and "face_width" in values
    code, out, _ = run("groove", "--svg")
    assert code == 0 and out.startswith("<svg")
    code, out, _ = run("groove", "-h")
    assert code == 0 and "thickness" in out and "bevel_angle" in out


@pytest.mark.parametrize("arguments, said", [
    (("grove",), "there is no calculator “grove”"),
    (("groove", "3/8"), "“3/8” is not an input; write name=value"),
    (("groove", "thickness=1 in", "thickness=2 in"), "thickness is given twice"),
    (("groove", "thickness=3 kg"), "thickness: "),
    (("groove", "depth=3 in"), "groove has no such input"),
    (("fume-limit", "exposures=other | 1 mg/m3 | 1 h |", "--svg"), "has no drawing"),
    (("questions", "--show"), "--show needs a whole number from 1 to 50"),
    (("questions", "--show", "51"), "--show needs a whole number from 1 to 50"),
    (("questions", "grove"), "“grove” is not a chapter"),
    (("worksheet", "--seed"), "--seed needs a value after it"),
    (("worksheet", "--color"), "“--color” is not an option here"),
    (("worksheet", "--papers", "0"), "worksheets (--papers): write a whole number from 1 to 60"),
    (("worksheet", "--chapter", "grove"), "“grove” is not a chapter"),
    (("judge",), "name a record file"),
    (("judge", "a.json", "b.json", "--csv", "--json"), "choose one of"),
    (("judge", "--today", "soon", "a.json"), "--today wants a date"),
    (("judge", "--today"), "--today wants a date"),
    (("judge", "no-such.json"), "cannot be opened"),
])
def test_a_wrong_word_is_told_in_a_line(run, arguments, said):
    code, out, err = run(*arguments)
    assert code == 2 and out == "" and said in err and err.count("\n") == 1


def test_a_plan_is_searched_for_unless_the_first_one_is_asked(run):
    """Two half sheets, where the area alone allows less: the search proves that none takes less."""
    code, out, _ = run("sheet-plan")
    assert code == 0 and "Take 2 sheets" in out and "No plan takes less." in out
    code, out, _ = run("sheet-plan", "--quick")
    assert code == 0 and "This plan is over the best one by at most 41.7" in out
    assert "--quick" in run("cut-list", "--help")[1] and "--quick" not in run("groove", "--help")[1]
    assert run("groove", "--quick")[0] == 2


def test_questions_are_checked_and_shown_with_their_answers(run):
    code, out, _ = run("questions", "groove", "--show", "1")
    assert code == 0 and "== groove-face-width (number" in out and "within" in out and "no problem found" in out
    code, out, _ = run("questions", "safety", "machine", "--show", "1")
    assert code == 0 and "(hazard" in out and "     * " in out
    code, out, _ = run("questions", "cutting", "--show", "1")
    assert code == 0 and "     1 " in out


def test_questions_are_only_checked_without_show_and_shown_fifty_times_at_most(run):
    code, out, _ = run("questions", "after")
    assert code == 0 and out.count("\n") == 1 and "no problem found" in out
    code, out, _ = run("questions", "after", "--show", "50")
    assert code == 0 and "\n  49. " in out and "\n  50. " not in out


def test_question_files_with_problems_end_with_code_1(run, monkeypatch):
    from calc.practice import forms

    monkeypatch.setattr(
        forms, "forms_of",
        lambda chapter: forms.read(
            f'chapter = "{chapter}"\n[[question]]\nid = "x"\nkind = "riddle"', f"{chapter}.toml",
        ),
    )
    code, out, err = run("questions", "groove")
    assert code == 1 and out == "" and "groove.toml, line 4, field “kind”" in err


def test_drawn_numbers_that_the_calculator_refuses_are_shown_as_refused(run, monkeypatch):
    """The check tries one draw only; printing more of them shows an instructor what cannot be: a root face higher
    than the plate.
    """
    from calc.practice import forms

    text = """chapter = "groove"
[[question]]
id = "groove-a"
kind = "number"
objective = "groove-width"
source = "calculator"
calculator = "groove"
ask = "face_width"
within = "1/32 in"
text = "{root_face}"
[question.draw]
thickness = "3/8 in"
root_face = ["0 in", "1/2 in"]"""
    monkeypatch.setattr(forms, "forms_of", lambda chapter: forms.read(text, f"{chapter}.toml"))
    code, out, err = run("questions", "groove", "--show", "8")
    assert code == 0 and err == ""
    drawn = re.split(r"\n  (?=[0-9])", out)[1:]
    for each in drawn:
        assert ("REFUSED by the calculator" in each) == (". 1/2 in" in each.partition("\n")[0]), each
    assert {"REFUSED" in each for each in drawn} == {True, False}


def test_a_terminal_that_knows_only_ascii_gets_the_signs_all_the_same(monkeypatch):
    """Degrees, minus signs and the like are no letters of ASCII; the answer comes as UTF-8, with its exit code."""
    screen = io.TextIOWrapper(io.BytesIO(), encoding="ascii")
    monkeypatch.setattr(sys, "stdout", screen)
    monkeypatch.setattr(sys, "argv", ["calc", "groove", "bevel_angle=30 deg"])
    monkeypatch.delitem(sys.modules, "calc.__main__")
    with pytest.raises(SystemExit) as end:
        runpy.run_module("calc", run_name="__main__")
    screen.flush()
    assert end.value.code == 0 and "30°" in screen.buffer.getvalue().decode("utf-8")


def test_worksheets_with_keys_as_text_and_as_a_document(run):
    code, out, _ = run(
        "worksheet", "--seed", "7", "--papers", "2", "--questions", "3", "--chapter", "groove,cutting", "--key",
        "--units", "both",
    )
    assert code == 0 and out.count(", seed 7, answer key\n") == 2
    assert run(
        "worksheet", "--seed", "7", "--papers", "2", "--questions", "3", "--chapter", "groove,cutting", "--key",
        "--units", "both",
    )[1] == out
    code, page, _ = run("worksheet", "--seed", "7", "--questions", "3", "--html")
    assert code == 0 and page.startswith("<!doctype html>") and "key" not in page.split("</style>")[1][:200]
    assert run("worksheet", "--help")[1].startswith("python -m calc worksheet")


def test_a_record_is_judged_for_a_person_and_for_a_program(run, tmp_path):
    plate, log = tmp_path / "plate.json", tmp_path / "log.json"
    plate.write_text(write_record(PLATE), encoding="utf-8")
    log.write_text(write_record(LOG), encoding="utf-8-sig")
    code, out, _ = run("judge", str(plate))
    assert code == 0 and STUDY_AID in out and "Fennick Lock" in out and "The test: OK, In order" in out
    code, out, _ = run("judge", str(log), "--today", "2026-03-31", "--json")
    told = json.loads(out)
    assert code == 0 and told["due"] == "2026-08-27" and told["lines"][0]["standing"] == "within"
    assert run("judge", "--help")[1].startswith("python -m calc judge")


def test_a_record_with_blanks_names_them(run, tmp_path):
    from dataclasses import replace

    bare = tmp_path / "bare.json"
    bare.write_text(
        write_record(replace(PLATE, name="Plate", values={"thickness": "thick"}, rows={})), encoding="utf-8",
    )
    code, out, _ = run("judge", str(bare))
    assert code == 0 and "Plate (invented)" in out and "Incomplete  Plate thickness: " in out and "Still blank: Date" in out
    # Nothing is written, so nothing is flagged: no heading stands over an empty list.
    bare.write_text(write_record(replace(PLATE, values={}, rows={})), encoding="utf-8")
    code, out, _ = run("judge", str(bare))
    assert code == 0 and "Flagged figures" not in out and "Still blank: Date" in out


@pytest.mark.parametrize("data, said", [
    (b"\xff\xfe{}", "UTF-16"),
    (b" " * 8_000_001, "larger than a file of this guide can be"),
    (b"{", "damaged at line 1"),
], ids=["UTF-16", "too large", "damaged"])
def test_a_file_that_is_no_record_is_told_in_a_line(run, tmp_path, data, said):
    path = tmp_path / "odd.json"
    path.write_bytes(data)
    code, out, err = run("judge", str(path))
    assert code == 2 and out == "" and said in err and err.count("\n") == 1
