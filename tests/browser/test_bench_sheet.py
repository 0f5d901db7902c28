"""The bench sheet on paper, and its QR code in the browser: nothing of it is fetched before it is asked for."""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy
import pytest
import zxingcpp
from PIL import Image

from calc.plate_test.cli import sheet_page
from calc.plate_test.sheet import sheet_html
from calc.plate_test.work import with_facts, work
from calc.record.demo import PLATE, TEST
from calc.record.files import write_record
from calc.web import respond
from tests.browser.conftest import in_every_font
from tests.browser.test_record import open_page, put_file
from tools.check import test_parts

CALL = "(request) => GuideEngine.call(request)"
LINK = "https://guide.example/your-test.html#test=1:thickness=3/8%20in;amps=115~135"
REQUEST = {"do": "test-sheet", "record": json.loads(write_record(TEST)), "link": LINK}
MUCH = replace(
    with_facts(TEST, {
        "thickness": "1 in", "amps": "200 A", "polarity": "", "interpass_maximum": "", "heat_most": "20 kJ/in",
        "bevel_over": "5 deg", "bevel_under": "2.5 deg", "root_opening": "1/2 in",
    }),
    rows={
        "hold_points": tuple((f"hold point {n}, before the next thing",) for n in range(1, 11)),
        "other_rods": tuple((f"pass {n}", "E6010", "1/8", "75 A", "125 A", "21 V", "25 V") for n in range(1, 7)),
    },
)
"""A test with all that makes a sheet long."""
METRIC = replace(with_facts(TEST, {"thickness": "10 mm", "rule_document": "iso-9606-1", "position": "1G"}), bare="si")
SMALLEST_PX = 11 * 96 / 72


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@in_every_font
@pytest.mark.parametrize("test", [TEST, MUCH, METRIC], ids=["the invented shop's", "much on it", "metric"])
def test_two_pages_at_most_nothing_cut_and_large_enough(page, tmp_path, test):
    """On both papers; every figure and what it is about in letters of 11 points or more."""
    file = tmp_path / "sheet.html"
    file.write_text(sheet_page(work(test), LINK * 12), encoding="utf-8")
    page.goto(file.as_uri())
    for paper in ("Letter", "A4"):
        assert pages(page.pdf(format=paper)) <= 2, paper
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 740, "height": 1000})
    assert page.locator(".grip:visible").count() == 0, "nothing on paper is for pulling"
    sizes = page.evaluate("""() => [...document.querySelectorAll('.bench-sheet > table > tbody :is(th, td, b)')]
        .map((each) => parseFloat(getComputedStyle(each).fontSize))""")
    # The heads of the columns to write in may be smaller.
    heads = page.locator(".bench-log thead th").count()
    assert sum(size < SMALLEST_PX - 0.01 for size in sizes) == heads
    cut = page.evaluate("""() => [...document.querySelectorAll('.bench-sheet :is(th, td, p, li, header, section)')]
        .filter((each) => each.scrollWidth > each.clientWidth + 1 && getComputedStyle(each).display !== 'inline')
        .map((each) => each.textContent.slice(0, 60))""")
    assert cut == []


def test_printed_in_black_and_white_and_its_code_reads_back(page, tmp_path):
    pdftoppm = test_parts.PDFTOPPM.get()
    if not pdftoppm:
        pytest.skip(test_parts.PDFTOPPM.missing)
    file = tmp_path / "sheet.html"
    file.write_text(sheet_page(work(TEST), LINK * 12), encoding="utf-8")
    page.goto(file.as_uri())
    page.pdf(path=tmp_path / "sheet.pdf", format="Letter")
    subprocess.run([pdftoppm, "-r", "150", "-png", str(tmp_path / "sheet.pdf"), str(tmp_path / "page")], check=True)
    drawn = sorted(tmp_path.glob("page*.png"))
    for each in drawn:
        colors = Image.open(each).convert("RGB").getcolors(1 << 24)
        assert all(max(color) - min(color) <= 24 for _, color in colors), "the sheet needs color"
    (found,) = zxingcpp.read_barcodes(numpy.array(Image.open(drawn[0]).convert("L")))
    assert found.text == LINK * 12


def test_printed_from_the_page_as_by_the_command_line(new_context, served, tmp_path):
    """The style of the site gives it two pages too, and leaves nothing else on the paper."""
    page = open_page(new_context(), served)
    put_file(page, "plate.json", write_record(PLATE).encode())
    page.click("[data-open]")
    page.wait_for_selector("[data-verdict] table")
    page.wait_for_selector(".record-paper article", state="attached")
    page.evaluate("(html) => { GuideRecord.app.paper.innerHTML = guideHTML(html); }", sheet_html(work(TEST), LINK))
    for paper in ("Letter", "A4"):
        assert pages(page.pdf(format=paper)) <= 2, paper
    page.emulate_media(media="print")
    size = page.evaluate("() => parseFloat(getComputedStyle(document.querySelector('.bench-sheet tbody td')).fontSize)")
    assert size >= SMALLEST_PX - 0.01


def code_of(answer: dict) -> str:
    return re.search(r'<svg class="qr".*?</svg>', answer["html"], re.DOTALL)[0]


EXPECTED = code_of(json.loads(respond(json.dumps(REQUEST))))


def test_the_part_for_codes_is_fetched_once_when_first_asked_for(page, served):
    asked: list[str] = []
    page.context.on("request", lambda request: asked.append(Path(request.url).name))
    page.goto(served)
    plain = page.evaluate(CALL, {**REQUEST, "link": ""})
    assert "bench-sheet" in plain["html"] and 'class="qr"' not in plain["html"]
    assert [name for name in asked if name.startswith("memory-")] and not [n for n in asked if n.startswith("qr-")]
    for _ in range(2):
        assert code_of(page.evaluate(CALL, REQUEST)) == EXPECTED
    assert len([name for name in asked if name.startswith("qr-")]) == 1


def test_a_code_from_a_folder(page, file_site):
    page.goto((file_site / "groove.html").as_uri())
    assert code_of(page.evaluate(CALL, REQUEST)) == EXPECTED


def test_a_code_without_a_network(new_context, serve):
    page = new_context(service_workers="allow").new_page()
    running = serve()
    page.goto(running.url)
    page.wait_for_function("() => GuideOffline.state === 'ready'")
    running.stop()
    page.goto(running.url + "groove.html")
    assert code_of(page.evaluate(CALL, REQUEST)) == EXPECTED


def test_without_its_part_the_sheet_comes_without_a_code_and_says_so(page, served, watch):
    watch.expect("qr-")
    page.context.route("**/qr-*.zip", lambda route: route.abort())
    page.goto(served)
    answer = page.evaluate(CALL, REQUEST)
    assert "bench-sheet" in answer["html"] and 'class="qr"' not in answer["html"] and "segno" in answer["told"]
