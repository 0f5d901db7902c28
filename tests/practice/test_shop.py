"""A shop's own questions: read whatever they are saved as or refused with the line, every problem told at once, shown as
the shop's, counted in practice and progress.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from calc.practice import forms, own
from calc.practice.cli import questions_command
from calc.practice.marking import mark
from calc.practice.pages import question_html, solution
from calc.practice.questions import draw
from calc.practice.worksheet import Settings, as_text
from calc.web import respond
from tests.oven_log import OVEN_LOG, SHOP

ROOT = Path(__file__).resolve().parents[2]
SOUND = OVEN_LOG + """
[[question]]
id = "own-groove-width"
kind = "number"
objective = "groove-width"
source = "calculator"
calculator = "groove"
ask = "face_width"
within = "1/32 in"
text = "Our plates are {thickness} thick, beveled {bevel_angle}, root opening {root_opening}. How wide is the groove at the face?"
[question.draw]
thickness = ["1/4 in", "3/8 in", "1/2 in"]
bevel_angle = ["22.5 deg", "30 deg"]
root_opening = ["1/4 in", "5/16 in"]
root_face = "0 in"
"""


def line_of(words: str) -> int:
    """The line of the sound file that holds these words first."""
    return SOUND[: SOUND.index(words)].count("\n") + 1


WIDTH = line_of('objective = "groove-width"')


def told(files: dict[str, str | bytes]) -> list[str]:
    return [str(each) for each in own.read_own(files).problems]


@pytest.fixture
def taken():
    found = own.read_own({"ours.toml": SOUND})
    assert found.problems == ()
    own.take(found)
    yield found
    own.take(own.Own())


@pytest.mark.parametrize(
    "data",
    [
        SOUND,
        SOUND.encode(),
        SOUND.encode("utf-8-sig"),
        SOUND.replace("\n", "\r\n").encode(),
        "\ufeff" + SOUND,
        SOUND.replace("\n", "\r").encode(),
        SOUND.replace("\n", "\r\n").encode("utf-8-sig"),
    ],
    ids=["text", "bytes", "mark", "CRLF", "text with mark", "CR", "mark and CRLF"],
)
def test_a_file_is_read_however_its_lines_end(data):
    found = own.read_own({"ours.toml": data})
    assert found.problems == () and [form.id for form in found.forms] == ["own-oven-log-morning", "own-groove-width"]
    assert {form.shop for form in found.forms} == {SHOP}


@pytest.mark.parametrize(
    ("data", "line", "said"),
    [
        (SOUND.encode("utf-16"), 1, "saved as UTF-16"),
        (SOUND.encode("utf-16-be"), 1, "saved as UTF-16"),
        (SOUND.replace("So says", "Schweißer says").encode("cp1252"), line_of("So says"), "saved as ANSI"),
        (SOUND.replace("So says", "Schwei\ufffder says"), line_of("So says"), "not saved as UTF-8"),
        (SOUND.encode("utf-16").decode("latin-1"), 1, "saved as UTF-16"),
    ],
    ids=["UTF-16", "UTF-16 without its mark", "ANSI", "ANSI read by a browser", "UTF-16 read by a browser"],
)
def test_a_file_saved_in_another_way_is_refused_with_the_line_and_the_cure(data, line, said):
    (problem,) = told({"ours.toml": data})
    assert problem.startswith(f"ours.toml, line {line}: ") and said in problem and "choose Save as" in problem


def test_every_problem_of_every_file_is_told_at_once():
    files = {
        "a.toml": SOUND.replace("own-oven-log-morning", "rods-oven-log"),
        "b.toml": SOUND.encode("utf-16"),
        "c.toml": "",
        "d.toml": SOUND.replace('"1/4 in", "3/8 in"', '"1/4", "3/8 in"')
        .replace("own-oven", "own-door")
        .replace("own-groove", "own-wide"),
        "e.toml": SOUND.replace(f'shop = "{SHOP}"', "").replace('kind = "choice"', 'kind = "riddle"'),
        "notes.docx": b"PK",
        "f.toml": SOUND.replace("own-oven", "own-f")
        .replace("own-groove", "own-g")
        .replace('"groove-width"', '"groove-wide"'),
        "g.toml": "chapter = \x00",
        "h.toml": b"\xff" * 10,
        "i.toml": 'chapter = "rods"\nshop = "x"\n',
        "j.toml": "x = [" * 2000,
    }
    problems = told(files)
    for start in (
        f"a.toml, line {line_of('own-oven-log-m')}, field “id”: write “own-”",
        "b.toml, line 1: the file is saved as UTF-16",
        "c.toml, line 1, field “chapter”: is missing",
        f"d.toml, line {line_of('thickness = ')}, field “thickness”: “1/4” has no unit",
        "e.toml, line 1, field “shop”: is missing",
        f"e.toml, line {line_of('kind = ')}, field “kind”: “riddle” is not a kind",
        "notes.docx, line 1: only files ending in .toml",
        f"f.toml, line {WIDTH}, field “objective”: there is no objective “groove-wide”",
        "g.toml, line 1: the file is saved as UTF-16",
        "h.toml, line 1: a character here can't be read",
        "i.toml, line 1: there is no question",
        "j.toml, line 1: ",
    ):
        assert any(each.startswith(start) for each in problems), (start, problems)
    assert own.read_own(files).forms == ()


def test_ids_never_meet():
    assert not any(form.id.startswith("own-") or form.objective.startswith("own-") for form in forms.guide_forms())
    twice = told({"a.toml": SOUND, "b.toml": SOUND})
    assert any(
        each.startswith(
            f"b.toml, line {line_of('own-oven-log-m')}, field “id”: “own-oven-log-morning” is used in a.toml too"
        )
        for each in twice
    )
    assert any("“own-oven-log” stands in two files" in each for each in twice)


def test_they_are_shown_as_the_shop_s(taken):
    question = draw(taken.forms[0], 1)
    assert f"Question of {SHOP}" in question_html(question, "q")
    shown = solution(question, "q", mark(question, ["0"]))
    assert f"{SHOP} wrote this question. The guide did not check it." in shown
    text = as_text(Settings("1", 1, len(forms.all_forms(["rods"])), ("rods",), "us", True))
    assert (
        f"Question of {SHOP}. Who signs the oven log" in " ".join(text.split())
        and "The guide did not check it." in text
    )
    assert "--folder local/questions" in text


def test_they_count_in_practice_and_progress(taken):
    def asked(do, **more):
        return json.loads(respond(json.dumps({"do": do, "today": "2026-03-02", **more})))

    assert {each["form"] for each in asked("practice-link", fields={"objectives": "own-oven-log"})["set"]} == {
        "own-oven-log-morning"
    }
    assert "own-groove-width" in {
        each["form"] for each in asked("practice-link", fields={"objectives": "groove-width"})["set"]
    }
    (place,) = draw(forms.form_named("own-oven-log-morning"), "4").right
    marked = asked("practice-mark", form="own-oven-log-morning", seed="4", answers=[str(place)])
    assert marked["right"] and marked["objective"] == "own-oven-log"
    profile = {"name": "R1", "cards": {"own-oven-log-morning": marked["card"]}, "read": {}}
    standing = asked("progress-standing", profile=profile)["objectives"]["own-oven-log"]
    assert standing["tried"] == standing["right"] == standing["forms"] == 1
    own.take(own.Own())
    assert asked("practice-link", fields={"objectives": "own-oven-log"})["set"] == []
    assert asked("progress-standing", profile=profile)[
        "objectives"
    ], "the progress file is still read without the shop's questions"


def test_the_command_line_finds_them_in_a_folder(tmp_path, capsys):
    (tmp_path / "ours.toml").write_bytes(SOUND.replace("\n", "\r\n").encode("utf-8-sig"))
    (tmp_path / "Thumbs.db").write_bytes(b"x")
    try:
        assert questions_command(["--folder", str(tmp_path), "--show", "1"]) == 0
        assert "own-oven-log-morning (choice, objective own-oven-log, question of Fennick" in (
            said := capsys.readouterr().out
        )
        assert "2 question forms, no problem found" in said and "== groove-" not in said
        (tmp_path / "old.toml").write_bytes(SOUND.encode("utf-16"))
        (tmp_path / "more").mkdir()
        assert questions_command(["--folder", str(tmp_path)]) == 1
        wrong = capsys.readouterr().err.splitlines()
        assert [each.partition(",")[0] for each in wrong] == ["more", "old.toml"]
        assert questions_command(["--folder", str(tmp_path / "none")]) == 2
    finally:
        own.take(own.Own())
    (tmp_path / "old.toml").unlink()
    (tmp_path / "more").rmdir()
    made = subprocess.run(
        [
            sys.executable,
            "-m",
            "calc",
            "worksheet",
            "--chapter",
            "rods",
            "--questions",
            "21",
            "--folder",
            str(tmp_path),
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 0 and f"Question of {SHOP}" in made.stdout, made.stderr


def test_what_the_build_packs_is_what_the_browser_takes(monkeypatch):
    text = own.packed({"ours.toml": SOUND.replace("\n", "\r\n").encode("utf-8-sig")})
    monkeypatch.setattr(forms, "packed_text", lambda name: text if name == own.PACKED else "")
    try:
        own.take_packed()
        assert forms.form_named("own-oven-log-morning").shop == SHOP
    finally:
        own.take(own.Own())
