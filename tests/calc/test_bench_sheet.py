"""The bench sheet says every limit of the WPS, each figure once, and never tells a stand-in as the WPS; its QR code
reads back by another's decoder.
"""

from __future__ import annotations

import json
import re
import sys
from dataclasses import replace
from html import unescape

import numpy
import pytest
import zxingcpp
from hypothesis import HealthCheck, given, settings, strategies as st

from calc.core.declare import Choice, Quantity, Rows
from calc.plate_test.cli import test_command as command
from calc.plate_test.fields import FIELDS, SaidBy
from calc.plate_test.qr import LONGEST, QUIET, Missing, TooLong, qr_squares, qr_svg
from calc.plate_test.sheet import STAGES, sheet_html
from calc.plate_test.work import with_facts, work
from calc.record.bench import STUDY_AID
from calc.record.demo import TEST
from calc.record.files import write_record
from calc.record.shape import blank
from calc.web import respond

LINK = "https://guide.example/your-test.html#test=1"
LIMITS = {
    "root_opening": "3/16 in", "opening_over": "1/16 in", "opening_under": "1/32 in", "bevel_angle": "30 deg",
    "bevel_over": "4 deg", "bevel_under": "3 deg", "root_face": "1/16 in", "root_face_over": "1/32 in",
    "cap_height": "3/32 in", "plate_length": "8 in", "backing_width": "1-1/4 in", "backing_thickness": "5/16 in",
    "run_off": "1-1/2 in", "amps_low": "111 A", "amps_high": "137 A", "volts_low": "20.5 V", "volts_high": "24.5 V",
    "travel_low": "3.5 in/min", "travel_high": "7.5 in/min", "heat_most": "55 kJ/in", "preheat_minimum": "70 degF",
    "interpass_maximum": "450 degF", "layer_most": "7/32 in", "exposure_most": "3.5 h",
    "cleaning_tools": "hammer, brush", "polarity": "dcep", "progression": "up", "electrode": "E7018",
    "diameter": "1/8 in", "steel": "A36", "position": "3G", "rule_document": "d1.1", "edition": "2015",
    "wps": "W-7 issue 3",
}


def lines_of(html: str) -> dict[str, str]:
    """What each line says, by its first words."""
    rows = re.findall(r'<tr><th scope="row">(.*?)</th><td>(.*?)</td>', html)
    return {unescape(what): unescape(re.sub(r"<[^>]+>", "", said)).replace("\xa0", " ") for what, said in rows}


def bold_of(html: str) -> str:
    """All that stands in bold in the lines."""
    bold = (each for cell in re.findall(r"<td>.*?</td>", html) for each in re.findall(r"<b>(.*?)</b>", cell))
    return " | ".join(unescape(each).replace("\xa0", " ") for each in bold)


def test_every_limit_of_the_wps_is_said_in_bold():
    html = sheet_html(work(with_facts(TEST, LIMITS)))
    said = lines_of(html)
    assert "3/16 in, 5/32 in to 1/4 in" in said["Root opening"]
    assert "30°, 27° to 34°" in said["Bevel angle, each plate"]
    assert "1/16 in, 1/16 in to 3/32 in" in said["Root face"]
    bold = bold_of(html)
    for limit in (
        "111 A to 137 A", "20.5 V to 24.5 V", "3.5 in/min to 7.5 in/min", "at most 55 kJ/in", "at least 70 °F",
        "at most 450 °F", "at most 7/32 in", "at most 3.5 h", "hammer, brush", "DCEP, electrode positive",
        "3G, vertical, up",
        "E7018, low-hydrogen, 1/8 in (3.2 mm)", "A36", "8 in", "5/16 in, 1-1/4 in, 1-1/2 in", "3/32 in",
        "27° to 34°", "5/32 in to 1/4 in",
    ):
        assert limit in bold, limit
    assert "W-7 issue 3" in html and "2015" in html


def test_the_stages_follow_the_day_and_no_line_stands_twice():
    html = sheet_html(work(TEST))
    titles = re.findall(r'scope="rowgroup">([^<]+)', html)
    assert [title.strip() for title in titles] == [
        "Plates", "Cut and bevel", "Clean", "Fit-up", "Rods", "Machine", "Preheat and interpass", "Passes", "Look",
        "Bend specimens", "Bend",
    ]
    labels = [each for each in re.findall(r'<tr><th scope="row">(.*?)</th>', html) if not each.isdigit()]
    assert len(labels) == len(set(labels))
    assert html.count('class="bench-box"') == len(labels) + 4 + 2  # a box a line, a pass and a hold point
    assert html.count(STUDY_AID) == 1


def test_what_decides_the_verdict_is_that_of_the_rule():
    said = lines_of(sheet_html(work(TEST)))
    assert said["Any open discontinuity"].startswith("at most 1/8 in")
    assert said["Their sum on one specimen"].startswith("at most 3/8 in, counting over 1/32 in")
    assert said["Corner crack, nothing in it"].startswith("at most 1/4 in")
    assert said["Undercut"].startswith("at most 1/32 in")
    other = lines_of(sheet_html(work(with_facts(TEST, {"rule_document": "iso-9606-1"}))))
    assert other["Any open discontinuity"].startswith("under 3 mm")
    assert "Undercut" not in other and "ask the inspector" in other["Visual inspection"]


def test_what_is_not_said_is_never_told_as_the_wps():
    """An empty test: no bold figure at all, each line names whom to ask, and what rests on a stand-in is marked."""
    html = sheet_html(work(blank("plate-test", "empty-0001", "2026-03-02T07:30:00Z")))
    assert bold_of(html) == ""
    said = lines_of(html)
    for label in ("Root opening", "Polarity", "Amperage", "Preheat, before each pass",
            "Interpass temperature", "Arc voltage, at the arc", "Travel speed", "Bevel angle, each plate"):
        assert "not said: see your WPS" in said[label], label
    assert "see the plate in front of you" in said["Plate thickness"]
    assert "*" in said["Width to cut each plate"]
    assert "the invented shop's stands in" in html
    assert "facts are blank" in html and "Hold points</b> not said" in html


def test_a_blank_amperage_is_the_middle_of_the_wps():
    said = lines_of(sheet_html(work(with_facts(TEST, {"amps": "", "amps_low": "60 A", "amps_high": "90 A",
        "diameter": "3/32 in"}))))
    assert said["Amperage"] == "75 A, 60 A to 90 A"


def test_a_limit_that_is_broken_is_told_at_the_top():
    html = sheet_html(work(with_facts(TEST, {"amps": "140 A"})))
    top = html[:html.index("<table")]
    assert "Do not start like this" in top and "<b>Stop</b> Amperage" in top


def test_other_rods_have_a_line_each():
    rows = (("root", "E6010", "1/8", "75 A", "125 A", "", ""),)
    said = lines_of(sheet_html(work(replace(TEST, rows={**TEST.rows, "other_rods": rows}))))
    assert said["root: E6010, 1/8 in"] == "75 A to 125 A"


def test_each_caution_is_one_that_its_calculator_gives():
    html = sheet_html(work(TEST))
    said = re.findall(r'class="bench-caution">(.*?)</span>', html)
    assert len(said) == sum(bool(stage.caution) for stage in STAGES) == 7
    assert any("A specimen can break and fly" in each for each in said)
    assert any("wet glove" in each for each in said)


def test_what_was_typed_never_becomes_markup():
    test = with_facts(TEST, {"wps": "<b>x</b>", "cleaning_tools": "<script>1</script>", "volts_low": "<i>"})
    html = sheet_html(work(replace(test, name="<img src=x>")))
    assert "<script" not in html and "<img" not in html and "<b>x" not in html and "<i>" not in html
    assert "“&lt;i&gt;” cannot be read" in html


def _texts(name: str) -> st.SearchStrategy[str]:
    each = FIELDS[name].input
    if isinstance(each, Choice):
        return st.sampled_from(["", *(option.value for option in each.options)])
    if isinstance(each, Quantity):
        return st.sampled_from(["", each.low, each.high, each.default, *each.common, "7", "1e9", "no number"])
    return st.sampled_from(["", "2026-03-02", "some words"])


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.fixed_dictionaries({name: _texts(name) for name, each in FIELDS.items() if not isinstance(each.input, Rows)}),
    st.sampled_from(["us", "si"]))
def test_any_test_gives_a_sheet(values, bare):
    """Whatever is said or left out: a sheet with every stage, and nothing said that is no number."""
    html = sheet_html(work(replace(TEST, values={name: text for name, text in values.items() if text}, bare=bare)))
    assert html.count("<tbody>") == len(STAGES) + 1
    assert not re.search(r"\bnan\b|\binf\b|None", re.sub(r"<[^>]+>", " ", html))


# --- the QR code -----------------------------------------------------------------------------------------


def read_back(squares) -> str:
    """What a decoder of someone else's reads from the squares."""
    dark = numpy.array(squares, dtype=bool)
    paper = numpy.pad(numpy.where(dark, 0, 255).astype(numpy.uint8), QUIET, constant_values=255)
    (found,) = zxingcpp.read_barcodes(numpy.kron(paper, numpy.ones((3, 3), dtype=numpy.uint8)))
    return found.text


@pytest.mark.parametrize("length", [1, 60, 500, 1200, LONGEST])
def test_a_link_reads_back(length):
    link = (LINK + "&opening=1/4%20in;amps=115~135" * 100)[:length]
    assert read_back(qr_squares(link)) == link


@settings(max_examples=30, deadline=None)
@given(st.text(st.characters(min_codepoint=33, max_codepoint=126), min_size=1, max_size=300))
def test_any_plain_text_reads_back(text):
    assert read_back(qr_squares(text)) == text


def test_the_drawing_has_the_squares_and_a_quiet_zone():
    svg = qr_svg(LINK)
    squares = qr_squares(LINK)
    side = len(squares) + 2 * QUIET
    assert f'viewBox="0 0 {side} {side}"' in svg
    drawn = [[False] * len(squares) for _ in squares]
    for x, y, long in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", svg):
        for at in range(int(x), int(x) + int(long)):
            drawn[int(y) - QUIET][at - QUIET] = True
    assert tuple(map(tuple, drawn)) == squares
    assert f"as a QR code: {LINK}" in svg


def test_a_link_too_long_is_refused_in_one_line():
    with pytest.raises(TooLong, match=f"too long for a QR code: {LONGEST + 1} characters; at most {LONGEST}"):
        qr_squares("x" * (LONGEST + 1))


def test_without_the_package_all_else_works(monkeypatch, tmp_path, capsys):
    for name in [each for each in sys.modules if each.partition(".")[0] == "segno"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "segno", None)
    with pytest.raises(Missing, match="needs the package segno; everything else works without it"):
        qr_svg(LINK)
    file = tmp_path / "test.json"
    file.write_text(write_record(TEST), encoding="utf-8")
    assert command([str(file), "--sheet", "--link", LINK]) == 2
    assert "the QR code needs the package segno" in capsys.readouterr().err
    assert command([str(file), "--sheet"]) == 0
    answer = ask(link=LINK)
    assert answer["needs"] == "qr" and "bench-sheet" in answer["html"] and "segno" in answer["told"]


# --- the doors -----------------------------------------------------------------------------------------


def ask(**more) -> dict:
    record = json.loads(write_record(TEST))
    return json.loads(respond(json.dumps({"do": "test-sheet", "record": record, **more})))


def test_the_page_gets_the_sheet_and_its_code():
    assert 'class="qr"' not in ask()["html"]
    assert 'class="qr"' in ask(link=LINK)["html"]
    long = ask(link="x" * (LONGEST + 1))
    assert 'class="qr"' not in long["html"] and "too long" in long["told"]
    refused = json.loads(respond(json.dumps({"do": "test-sheet", "record": {"format": "x"}})))
    assert "not a record" in refused["refused"]


def test_the_command_line_prints_a_page_of_its_own(tmp_path, capsys):
    file = tmp_path / "test.json"
    file.write_text(write_record(TEST), encoding="utf-8")
    assert command([str(file), "--sheet", "--link", LINK, "amps=130 A"]) == 0
    page = capsys.readouterr().out
    assert page.startswith("<!DOCTYPE html>") and "@page bench" in page and 'class="qr"' in page and "130\xa0A" in page
    assert not re.search(r'(?:src|href)=', page)
    assert command([str(file), "--link", LINK]) == 2
    assert command([str(file), "--sheet", "--link"]) == 2


def test_said_by_shop_is_never_marked_as_a_stand_in():
    """What the shop has may be another day's; only what the WPS and the plate say is marked."""
    html = sheet_html(work(TEST))
    told = re.search(r"stands in: (.*?)\.</p>", html)[1]
    assert all(FIELDS[name].input.label not in told for name, each in FIELDS.items() if each.said_by is SaidBy.SHOP)
