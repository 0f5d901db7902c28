"""The class file: what is written is read back, by file, link and script; what is wrong is refused by its place. The
link is read back by Python's own zlib and base64 in one test, the script by its JSON."""

from __future__ import annotations

import base64
import datetime
import json
import subprocess
import sys
import zlib
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calc.classroom.classfile import (
    LARGEST, LARGEST_LINK, ClassFile, ShopPage, class_data, class_link, read_class, read_class_link, relation,
    write_class, write_script,
)
from calc.classroom.cli import class_command
from calc.classroom.classfile_page import class_html, class_line, class_text, lines_html
from calc.practice.own import read_own
from calc.record.demo import PLATE, TEST
from calc.record.shape import RecordError, as_data
from calc.web import respond
from tests.oven_log import OVEN_LOG, SHOP
from tools.common import ROOT

CLASS = ClassFile(
    "demo-class-1", "2026-03-02T07:30:00Z", SHOP, "Spring 3G", "Bring your hood.\n\nBe on time.", TEST, "2026-04-20",
    20,
    {"chapters": "groove,rods", "count": "10", "seed": "7"}, {"oven.toml": OVEN_LOG},
    (ShopPage("The oven", "# Where\n\nBehind booth 4.\n- shut\n- logged"),),
)


def asked(do: str, **fields):
    return json.loads(respond(json.dumps({"do": do, **fields})))


# --- out and in -------------------------------------------------------------------------------


WORDS = st.text(st.characters(exclude_categories=("Cc", "Cs"), exclude_characters="\u202a\u202b\u202c\u202d\u202e"
                              "\u2066\u2067\u2068\u2069"), max_size=60).map(str.strip)
LINE = WORDS.filter(bool)
CLASSES = st.builds(
    ClassFile, st.from_regex(r"[a-z0-9][a-z0-9-]{7,39}", fullmatch=True),
    st.datetimes(min_value=datetime.datetime(2000, 1, 1)).map(lambda at: f"{at:%Y-%m-%dT%H:%M:%SZ}"),
    LINE, LINE, WORDS, st.sampled_from([None, TEST]), st.dates().map(str) | st.just(""),
    st.none() | st.integers(5, 60), st.just({}) | st.fixed_dictionaries({"chapters": LINE}, optional={"seed": LINE}),
    st.dictionaries(st.sampled_from(["a.toml", "Öfen 2.TOML"]), WORDS, max_size=2),
    st.lists(st.builds(ShopPage, LINE, st.lists(LINE, min_size=1, max_size=3).map("\n".join)), max_size=3).map(tuple),
)


@settings(max_examples=60, deadline=None)
@given(CLASSES)
def test_what_is_written_is_read_back_by_file_link_and_script(found):
    assert read_class(write_class(found)) == found
    assert read_class(write_class(found).replace("\n", "\r\n").encode("utf-8-sig")) == found
    assert read_class_link(class_link(found)) == found
    script = write_script(found)
    assert script.isascii() and script.startswith("Guide.classFile(") and script.endswith(");\n")
    assert json.loads(script[len("Guide.classFile("):-3]) == class_data(found)


@settings(max_examples=60, deadline=None)
@given(CLASSES)
def test_nothing_that_a_shop_writes_becomes_markup(found):
    """Every tag of the page is one that the guide writes: read back by Python's own HTML reader."""
    seen = set()

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            seen.add(tag)
            assert {name for name, _ in attrs} <= {"class", "href", "data-class-test", "data-class-days"}

    Reader().feed(class_html(replace(found, words="<img src=x onerror=alert(1)>" + found.words), read_own({})))
    assert seen <= {"p", "strong", "div", "h3", "h4", "a", "ul", "li", "details", "summary"}


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=300))
def test_anything_at_all_is_read_or_refused(data):
    with pytest.raises(RecordError):
        read_class(data)
    with pytest.raises(RecordError):
        read_class_link(data if isinstance(data, str) else data.decode("latin-1"))


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_damaged_file_is_read_or_refused(data):
    text = write_class(CLASS)
    at = data.draw(st.integers(0, len(text) - 1))
    damaged = text[:at] + data.draw(st.sampled_from(["", "{", '"', "\0", "9", "\ud800"])) + text[at + 1:]
    try:
        read_class(damaged)
    except RecordError as trouble:
        assert trouble.message


# --- refusals ---------------------------------------------------------------------------------


@pytest.mark.parametrize("changed, place, words", [
    ({"format": "plate-test-record"}, "/format", "not a class file"),
    ({"version": 2}, "/version", "later guide (version 2)"), ({"version": True}, "/version", "whole number"),
    ({"id": "A"}, "/id", "an id"), ({"changed": "today"}, "/changed", "a moment"),
    ({"shop": " "}, "/shop", "blank"), ({"name": "a\nb"}, "/name", "one line"), ({"name": 7}, "/name", "a text"),
    ({"name": "n" * 121}, "/name", "121 characters; at most 120"), ({"words": "w" * 2001}, "/words", "at most 2000"),
    ({"words": "turn \u202e"}, "/words", "control character"), ({"hidden": 1}, "/hidden", "no such part"),
    ({"test": {}}, "/test/format", "not a record"), ({"test": as_data(PLATE)}, "/test/kind", "not a test"),
    ({"test": {**as_data(TEST), "values": {"thickness": 3}}}, "/test/values/thickness", "a text"),
    ({"day": "20.4.2026"}, "/day", "a date"), ({"day": "2026-02-30"}, "/day", "a date"),
    ({"minutes": 0}, "/minutes", "whole number from"), ({"minutes": "20"}, "/minutes", "whole number from"),
    ({"set": {"count": "5"}}, "/set", "chapters"), ({"set": {"to": "x"}}, "/set/to", "no such part"),
    ({"set": []}, "/set", "braces"), ({"questions": {"../a.toml": ""}}, "/questions/..~1a.toml", ".toml"),
    ({"questions": {"a.exe": ""}}, "/questions/a.exe", ".toml"), ({"questions": []}, "/questions", "braces"),
    ({"questions": {f"{n}.toml": "" for n in range(61)}}, "/questions", "at most 60"),
    ({"pages": [{"title": "A", "text": " "}]}, "/pages/0/text", "blank"), ({"pages": {}}, "/pages", "list"),
    ({"pages": [{"title": "A", "text": "B"}] * 21}, "/pages", "at most 20"),
    ({"pages": [{"title": "A", "text": "t" * 20_001}]}, "/pages/0/text", "at most 20000"),
])
def test_what_is_wrong_is_refused_by_its_place(changed, place, words):
    with pytest.raises(RecordError) as refused:
        read_class(json.dumps({**class_data(CLASS), **changed}))
    assert refused.value.place == place and words in refused.value.message


@pytest.mark.parametrize("missing", ["format", "version", "id", "changed", "shop", "name"])
def test_what_is_missing_is_named(missing):
    data = {name: part for name, part in class_data(CLASS).items() if name != missing}
    with pytest.raises(RecordError) as refused:
        read_class(json.dumps(data))
    assert refused.value.place == f"/{missing}"


@pytest.mark.parametrize("data, words", [
    (write_class(CLASS).encode("utf-16"), "UTF-16"), ("Länge".encode("cp1252"), "ANSI"), (b"", "damaged"),
    (b"\x00\x01", "UTF-16"), (b"null", "JSON object"), (b"[" * 50, "nested deeper"), (b'{"a":1,"a":2}', "stands twice"),
    (b'{"a": NaN}', "NaN"), (b" " * (LARGEST + 1), "at most"), (b" " * (4 * LARGEST + 1), "longer than"),
    (write_class(CLASS)[:-40].encode(), "damaged at line"),
])
def test_files_that_are_none_are_refused_plainly(data, words):
    with pytest.raises(RecordError, match=words):
        read_class(data)


def packed(data: bytes) -> str:
    return "1." + base64.urlsafe_b64encode(zlib.compress(data, 9)).decode().rstrip("=")


def test_a_link_is_json_that_any_tool_can_unpack():
    text = class_link(CLASS).removeprefix("1.")
    assert json.loads(zlib.decompress(base64.urlsafe_b64decode(text + "=" * (-len(text) % 4)))) == class_data(CLASS)


@pytest.mark.parametrize("text", ["", "1.", "1.!!", "1.AAAA", "2." + class_link(CLASS)[2:], class_link(CLASS)[:-8],
                                  "1." + "A" * LARGEST_LINK, packed(b" " * 50_000_000)[:LARGEST_LINK + 9]])
def test_damaged_links_are_refused(text):
    with pytest.raises(RecordError):
        read_class_link(text)


def test_a_link_that_swells_is_refused_before_it_fills_the_memory():
    bomb = packed(b" " * 10_000_000)
    assert len(bomb) < LARGEST_LINK
    with pytest.raises(RecordError, match="damaged"):
        read_class_link(bomb)


def test_a_class_too_long_for_a_link_says_so_and_goes_as_a_file():
    noise = "".join(chr(0x4E00 + 7919 * n % 20_000) for n in range(19_000))
    long = replace(CLASS, pages=(ShopPage("Long", noise),))
    with pytest.raises(RecordError, match="too long for a link"):
        class_link(long)
    answer = asked("class-make", data=class_data(long))
    assert answer["link"] == "" and "too long" in answer["long"] and read_class(answer["text"]) == long


# --- one class and another; questions ---------------------------------------------------------


@pytest.mark.parametrize("kept, word", [
    ({}, "new"), ({"id": "other-class", "changed": "x"}, "other"),
    ({"id": CLASS.id, "changed": CLASS.changed}, "same"),
    ({"id": CLASS.id, "changed": "2025-01-01T00:00:00Z"}, "newer"),
    ({"id": CLASS.id, "changed": "2027-01-01T00:00:00Z"}, "older"),
])
def test_what_a_class_is_to_the_one_that_the_reader_is_in(kept, word):
    assert relation(CLASS, kept) == word
    assert asked("class-open", text=write_class(CLASS), kept=kept)["relation"] == word


def test_questions_join_practice_and_go_again():
    link = {"do": "practice-link", "fields": {"questions": "own-oven-log-morning"}}

    def found() -> list:
        return json.loads(respond(json.dumps(link)))["set"]

    assert asked("class-questions", key="one") == {"wanted": True}
    assert asked("class-questions", key="one", text=write_class(CLASS)) == {"wanted": False}
    assert [each["form"] for each in found()] == ["own-oven-log-morning"]
    shown = asked("practice-question", form="own-oven-log-morning", seed="1", place="q")
    assert f"Question of {SHOP}" in shown["html"]
    assert asked("class-questions", key="one") == {"wanted": False}
    assert asked("class-questions", key="") == {"wanted": False}
    assert found() == []


def test_the_door_takes_files_links_and_texts_alike_and_refuses_in_words():
    data = base64.b64encode(write_class(CLASS).encode()).decode()
    ways = [asked("class-open", **way) for way in (
        {"data": data}, {"text": write_class(CLASS)}, {"link": class_link(CLASS)})]
    assert ways[0] == ways[1] == ways[2]
    assert ways[0]["mine"]["line"] == class_line(CLASS, read_own(CLASS.questions))
    assert "not a file" in asked("class-open", data="!")["refused"]
    assert asked("class-text", name="a.toml", data=base64.b64encode(b"a\r\n").decode()) == {"text": "a\n"}
    wide = base64.b64encode("a".encode("utf-16")).decode()
    assert asked("class-text", name="a.toml", data=wide)["refused"].startswith("a.toml: this is UTF-16")
    assert "whole file" in asked("class-open", text="[]")["refused"]


# --- what is said of it -------------------------------------------------------------------------


def test_all_that_is_the_shops_is_said_and_marked():
    html, text = (make(CLASS, read_own(CLASS.questions)) for make in (class_html, class_text))
    for words in (SHOP, "Spring 3G", "Fennick Lock, 3G on 3/8 in", "2026-04-20", "20 minutes", "The oven"):
        assert words in html and words in text
    assert html.count("The guide did not check") == 2, "at the test and at the page"
    assert 'href="practice.html?chapters=groove%2Crods&amp;count=10&amp;seed=7"' in html


def test_lines_are_paragraphs_lists_and_headings():
    assert lines_html("# A\nb\n\n\nc\nd\n- e\n-f\n- g\n#h") == (
        "<h4>A</h4><p>b</p><p>c d</p><ul><li>e</li></ul><p>-f</p><ul><li>g</li></ul><p>#h</p>"
    )


def run(*arguments: str):
    return subprocess.run([sys.executable, "-m", "calc", "class", *arguments], capture_output=True, cwd=ROOT, text=True,
                          encoding="utf-8", check=False)


def test_the_command_line_tells_the_same(tmp_path, capsys):
    file = tmp_path / "class.json"
    file.write_text(write_class(CLASS), encoding="utf-8")
    done = run(str(file))
    assert done.returncode == 0 and done.stdout.strip() == class_text(CLASS, read_own(CLASS.questions))
    assert class_command([str(file), "--script"]) == 0
    assert capsys.readouterr().out == write_script(read_class(file.read_bytes()))
    assert class_command([str(file), "--link"]) == 0
    assert read_class_link(capsys.readouterr().out.strip()) == CLASS


@pytest.mark.parametrize("content, code, words", [
    (write_class(replace(CLASS, questions={"bad.toml": "chapter = 3"})).encode(), 1, "bad.toml"),
    (b"\xff\xfe{\x00", 2, "UTF-16"), (b"{}", 2, "/format"), (None, 2, "cannot be opened"),
])
def test_the_command_line_names_what_is_wrong(tmp_path, capsys, content, code, words):
    file = tmp_path / "class.json"
    if content is not None:
        file.write_bytes(content)
    assert class_command([str(file)]) == code
    assert words in capsys.readouterr().err


def test_the_command_line_asks_for_one_file(capsys):
    assert class_command([]) == class_command(["a", "b"]) == class_command(["a", "--loud"]) == 2
    assert "name one class file" in capsys.readouterr().err
    assert class_command(["--help"]) == 0
    assert "--script" in capsys.readouterr().out
