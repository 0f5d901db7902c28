"""A class made in one browser and opened in another: by link, by file, beside a guide served and one in a folder.
Nothing of the reader's is overwritten; leaving forgets the class and nothing else."""

from __future__ import annotations

import json
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, expect

from calc.classroom.classfile import ClassFile, class_link, read_class, write_class
from calc.record.demo import TEST
from tests.browser.conftest import scrolls_sideways
from tests.browser.test_take_over import LINE as TEST_LINE
from tests.browser.test_take_over import declare
from tests.calc.test_class_file import CLASS
from tests.oven_log import OVEN_LOG, SHOP
from tools.build import packer
from tools.serve import server

LINE = ".class-line"
IN_CLASS = f"Your class: Spring 3G, {SHOP}. From the shop: a test, a set of questions, 1 page, 1 question"
YOURS = "[data-class-yours]"
NEWER = replace(CLASS, changed="2026-03-03T07:30:00Z", words="The day has moved.", day="2026-04-27")
OTHER = ClassFile("other-class-1", "2026-03-02T07:30:00Z", "Another invented shop", "Evening 4G")


def as_file(found: ClassFile, name: str = "class.json") -> dict:
    return {"name": name, "mimeType": "application/json", "buffer": write_class(found).encode()}


def open_file(page: Page, found: ClassFile) -> None:
    page.set_input_files("#class-file-in", as_file(found))


def kept(page: Page) -> dict[str, str]:
    """All that this browser keeps in its small storage."""
    return page.evaluate("() => ({ ...localStorage })")


def kept_tests(page: Page) -> list[dict]:
    return page.evaluate("async () => (await (await GuideRecord.openStore()).store.all()).map((each) => each.record)")


def said(page: Page, words: str) -> None:
    expect(page.locator(f"{YOURS} > .said")).to_contain_text(words)


# --- made --------------------------------------------------------------------------------------


def made(page: Page, address: str, name: str = "Spring 3G") -> None:
    """Fill the form as an instructor does, whose test lies in this browser."""
    page.goto(address + "record.html")
    page.wait_for_function("() => window.GuideRecord && GuideRecord.app && GuideRecord.app.store")
    declare(page)
    page.goto(address + "class.html")
    page.click("[data-class-new]")
    page.fill("#class-name", name)
    page.fill("#class-shop", SHOP)
    page.fill("#class-words", CLASS.words)
    page.click("[data-test-in]")
    page.fill("#class-day", CLASS.day)
    page.select_option("#class-minutes", "20")
    page.check(".class-make .boxes input[value=groove]")
    page.check(".class-make .boxes input[value=rods]")
    page.fill("#class-seed", "7")
    page.set_input_files("#class-questions-in", {"name": "oven.toml", "mimeType": "", "buffer": OVEN_LOG.encode()})
    page.get_by_role("button", name="Add a page").click()
    page.fill("#class-page-0-title", CLASS.pages[0].title)
    page.fill("#class-page-0-text", CLASS.pages[0].text)
    expect(page.locator("[data-made]")).to_have_text("The class is ready.")
    expect(page.locator(".class-make .class-shown")).to_contain_text(CLASS.pages[0].title)


def saved(page: Page, button: str) -> bytes:
    with page.expect_download() as download:
        page.click(button)
    return Path(download.value.path()).read_bytes()


def test_a_class_is_made_without_python_and_kept_while_it_is_written(page, served):
    made(page, served)
    expect(page.locator(".class-make")).to_contain_text("1 question joins your practice")
    page.reload()
    expect(page.locator("#class-words")).to_have_value(CLASS.words)
    expect(page.locator("#class-page-0-text")).to_have_value(CLASS.pages[0].text)
    found = read_class(saved(page, "[data-save-class]"))
    assert (found.shop, found.name, found.words, found.day, found.minutes, found.practice_set, found.pages) == (
        CLASS.shop, CLASS.name, CLASS.words, CLASS.day, CLASS.minutes, CLASS.practice_set, CLASS.pages)
    assert dict(found.test.values) == dict(TEST.values) and found.questions == CLASS.questions
    script = saved(page, "[data-save-script]").decode()
    assert read_class(script.removeprefix("Guide.classFile(").removesuffix(");\n")) == found
    # Opened again to change it, it stays the same class and becomes a newer one.
    page.click("[data-clear-class]")
    page.set_input_files("#class-edit", as_file(found))
    expect(page.locator(".class-make .class-words")).to_contain_text("Be on time.")
    page.fill("#class-words", "Other words")
    again = read_class(saved(page, "[data-save-class]"))
    expect(page.locator(".class-make .class-words")).to_contain_text("Other words")
    assert again.id == found.id and again.changed >= found.changed and again.words == "Other words"


def test_what_cannot_be_used_is_told_at_its_field(page, served):
    page.goto(served + "class.html")
    page.click("[data-class-new]")
    page.fill("#class-name", "Spring 3G")
    note = page.locator("[data-made]")
    expect(note).to_contain_text("Name of the shop: is blank")
    expect(page.locator("#class-shop")).to_have_attribute("aria-invalid", "true")
    expect(page.locator("[data-save-class]")).to_be_hidden()
    page.fill("#class-shop", SHOP)
    expect(note).to_have_text("The class is ready.")
    wide = {"name": "wide.toml", "mimeType": "", "buffer": "chapter = 3".encode("utf-16")}
    page.set_input_files("#class-questions-in", wide)
    expect(page.locator(".class-make")).to_contain_text("Not added: wide.toml: this is UTF-16 text")
    page.set_input_files("#class-questions-in", {"name": "a.toml", "mimeType": "", "buffer": b"chapter = 3"})
    expect(page.locator(".class-make .class-shown .notice")).to_contain_text("a.toml")


def test_the_link_carries_the_class_to_another_browser(new_context, served):
    instructor = new_context(permissions=["clipboard-read", "clipboard-write"]).new_page()
    made(instructor, served)
    instructor.click("[data-copy-class]")
    expect(instructor.locator(".class-make")).to_contain_text("Link copied")
    expect(instructor.locator(".class-make")).to_contain_text("on this device only")
    link = instructor.evaluate("() => navigator.clipboard.readText()")
    assert "/index.html#class=1." in link
    trainee = new_context().new_page()
    trainee.goto(link)
    trainee.wait_for_url("**/class.html#class-yours")
    said(trainee, "You are in the class “Spring 3G”. Nothing of yours has changed.")
    expect(trainee.locator(LINE)).to_have_text(IN_CLASS)
    trainee.goto(served + "groove.html")
    expect(trainee.locator(LINE)).to_have_text(IN_CLASS)
    trainee.click(f"{LINE} a")
    expect(trainee.locator(".class-head")).to_have_text(f"Spring 3G, {SHOP}")


def test_a_link_pasted_into_an_open_guide_leads_to_the_class(page, file_site):
    """In a folder: where it is served, the theme's navigation mounts the page anew."""
    page.goto((file_site / "index.html").as_uri())
    page.evaluate("link => { location.hash = link; }", f"class={class_link(CLASS)}")
    page.wait_for_url("**/class.html#class-yours")
    said(page, "You are in the class “Spring 3G”.")


def test_a_class_without_room_is_there_for_the_visit_and_never_half_of_it(page, served):
    page.goto(served + "class.html")
    open_file(page, CLASS)
    said(page, "You are in the class")
    page.evaluate("""() => {
      const set = Storage.prototype.setItem;
      Storage.prototype.setItem = function (key, text) {
        if (key === "guide.class.file") throw new DOMException("full", "QuotaExceededError");
        set.call(this, key, text);
      };
    }""")
    open_file(page, NEWER)
    said(page, "it lasts for this visit")
    expect(page.locator(LINE)).to_have_text(IN_CLASS)
    expect(page.locator(YOURS)).to_contain_text(NEWER.words)
    assert not {"guide.class", "guide.class.file"} & set(kept(page))


def test_a_cleared_form_is_quiet_and_tells_of_a_file_that_it_cannot_read(page, served):
    page.goto(served + "class.html")
    page.set_input_files("#class-edit", as_file(CLASS))
    page.click("[data-clear-class]")
    page.evaluate("() => document.dispatchEvent(new CustomEvent('guide-mine'))")
    page.evaluate("() => { Blob.prototype.arrayBuffer = () => Promise.reject(new Error('no')); }")
    page.set_input_files("#class-edit", as_file(CLASS))
    expect(page.locator(".class-make")).to_contain_text("Not opened: class.json: the browser cannot read it.")
    open_file(page, CLASS)
    said(page, "Not opened: the browser cannot read class.json. Nothing has changed.")


def test_the_code_for_the_projector_is_the_link(new_context, site, launching, playwright, tmp_path):
    """Under a name that phones reach; a code of a page that is open on this device alone would lead nowhere."""
    given = launching("wide")
    rules = "--host-resolver-rules=MAP plate-guide.local 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
    args = [*(each for each in given["args"] if not each.startswith("--host-resolver-rules")), rules]
    with server.Running(site) as running, playwright.chromium.launch(**{**given, "args": args}) as browser:
        page = browser.new_page()
        page.set_default_timeout(40_000)
        page.goto(f"http://plate-guide.local:{running.port}/class.html")
        page.set_input_files("#class-edit", as_file(CLASS))
        page.click("[data-code-class]")
        code = page.locator(".class-code svg")
        code.screenshot(path=tmp_path / "code.png")
        (found,) = zxingcpp.read_barcodes(Image.open(tmp_path / "code.png"))
        text = class_link(read_class(write_class(CLASS)))
        assert found.text == f"http://plate-guide.local:{running.port}/index.html#class={text}"
        page.goto(f"http://127.0.0.1:{running.port}/class.html")
        page.set_input_files("#class-edit", as_file(CLASS))
        page.click("[data-code-class]")
        expect(page.locator(".class-make")).to_contain_text("a phone could not reach it")


# --- opened ------------------------------------------------------------------------------------


def test_nothing_of_the_readers_is_overwritten_and_leaving_forgets_the_class_alone(page, served):
    page.goto(served + "record.html")
    page.wait_for_function("() => window.GuideRecord && GuideRecord.app && GuideRecord.app.store")
    declare(page)
    page.goto(served + "class.html")
    before, tests = kept(page), kept_tests(page)
    open_file(page, CLASS)
    said(page, "You are in the class")
    after = kept(page)
    assert {key: text for key, text in after.items() if not key.startswith("guide.class")} == before
    page.click("[data-take-test]")
    expect(page.locator(YOURS)).to_contain_text("You have a test of your own")
    page.click("[data-take-list]")
    said(page, "The pages work with your own as before.")
    assert len(kept_tests(page)) == 2 and tests[0] in kept_tests(page)
    assert json.loads(kept(page)["guide.mine"])["id"] == TEST.id
    page.click("[data-class-leave]")
    said(page, "All that is yours stays")
    assert {key for key in kept(page) if key.startswith("guide.class")} == {"guide.class.left"}
    assert len(kept_tests(page)) == 2
    expect(page.locator(LINE)).to_be_hidden()


def test_the_test_is_taken_over_and_every_page_works_with_it(page, served):
    page.goto(served + "class.html")
    open_file(page, CLASS)
    page.click("[data-take-test]")
    said(page, "every page works with it")
    expect(page.locator(".mine-line")).to_contain_text(TEST_LINE)
    (record,) = kept_tests(page)
    assert record["id"] != TEST.id and record["values"] == dict(TEST.values)
    page.goto(served + "your-test.html")
    expect(page.locator("#record-thickness")).to_have_value(TEST.values["thickness"])


def test_day_and_minutes_stand_where_the_reader_set_none_and_questions_join(page, served):
    page.goto(served + "class.html")
    open_file(page, replace(CLASS, day="2099-04-20", test=None))
    said(page, "You are in the class")
    page.goto(served + "practice.html")
    expect(page.locator("input[name=test-date]")).to_have_value("2099-04-20")
    expect(page.locator("select[name=minutes]")).to_have_value("20")
    assert "test_date" not in kept(page).get("guide.practice", ""), "it is said, and not kept as the reader's"
    page.fill("input[name=test-date]", "2098-01-02")
    expect(page.locator("input[name=test-date]")).to_have_value("2098-01-02")
    page.goto(served + "class.html")
    expect(page.locator("[data-class-days]")).to_contain_text("what you set yourself")
    page.click("[data-use-days]")
    said(page, "goes by the day and the minutes of the class")
    page.goto(served + "practice.html?questions=own-oven-log-morning")
    page.get_by_role("button", name="Start the set of 1").click()
    expect(page.locator("form.question")).to_contain_text(f"Question of {SHOP}")


def test_a_newer_file_is_taken_with_a_word_and_another_class_is_asked_about(page, served):
    page.goto(served + "class.html")
    open_file(page, CLASS)
    said(page, "You are in the class")
    open_file(page, NEWER)
    said(page, "has changed. You have the newer one now.")
    expect(page.locator(YOURS)).to_contain_text("The day has moved.")
    open_file(page, CLASS)
    said(page, "You have a newer form of this class. It stays.")
    open_file(page, OTHER)
    expect(page.locator(".class-ask h3")).to_be_focused()
    assert json.loads(kept(page)["guide.class"])["id"] == CLASS.id
    page.get_by_role("button", name="Stay").click()
    said(page, "You stay in the class “Spring 3G”.")
    open_file(page, OTHER)
    page.get_by_role("button", name="Change the class").click()
    expect(page.locator(LINE)).to_have_text("Your class: Evening 4G, Another invented shop")


@pytest.mark.parametrize("data, words", [
    (b"\xff\xfe{\x00", "UTF-16"), ("{Länge".encode("cp1252"), "ANSI"), (b"{}", "not a class file"),
    (json.dumps({"format": "plate-test-guide-class", "version": 9}).encode(), "later guide"),
])
def test_a_file_that_is_none_is_refused_and_changes_nothing(page, served, data, words):
    page.goto(served + "class.html")
    before = kept(page)
    page.set_input_files("#class-file-in", {"name": "class.json", "mimeType": "", "buffer": data})
    said(page, words)
    assert kept(page) == before


def test_a_hostile_class_stays_text(page, served):
    bad = "<img src=x onerror=\"document.title='x'\"><script>document.title='x'</script>"
    page.goto(served + "class.html")
    open_file(page, replace(CLASS, shop=bad, name=bad[:90], words=bad))
    said(page, "You are in the class")
    expect(page.locator(".class-words")).to_contain_text("<script>")
    assert page.locator(f"{YOURS} img, {YOURS} script").count() == 0
    assert page.title() != "x"


# --- beside the guide ----------------------------------------------------------------------------


def test_a_class_beside_a_served_guide_is_there_at_once_and_a_left_one_stays_left(new_context, site):
    with server.Running(site, beside=packer.class_files(CLASS)) as running:
        page = new_context().new_page()
        page.goto(running.url)
        expect(page.locator(LINE)).to_have_text(IN_CLASS)
        page.goto(running.url + "class.html")
        page.click("[data-class-leave]")
        page.evaluate("() => sessionStorage.clear()")
        with page.expect_response("**/class.json"):
            page.goto(running.url)
        expect(page.locator(LINE)).to_be_hidden()
        page.goto(running.url + "class.html")
        page.get_by_role("button", name="Join this class").click()
        expect(page.locator(LINE)).to_have_text(IN_CLASS)


def test_a_guide_without_a_class_asks_once_and_shows_nothing(new_context, served):
    page = new_context().new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url) if "/class.js" in request.url else None)
    with page.expect_response("**/class.json"):
        page.goto(served)
    page.goto(served + "groove.html")
    page.goto(served)
    expect(page.locator(LINE)).to_be_hidden()
    assert [url for url in asked if "/assets/" not in url] == [served + "class.json"]


def test_a_class_beside_a_guide_in_a_folder(new_context, file_site, site, tmp_path):
    """As `guide.py pack --class` lays it there: without reading a file, which a folder does not let a page do."""
    packed = tmp_path / "packed.zip"
    packer.pack(site, packed, CLASS)
    with zipfile.ZipFile(packed) as archive:
        archive.extractall(tmp_path / "Klasse 3 é")
    page = new_context().new_page()
    page.goto((tmp_path / "Klasse 3 é" / packer.FOLDER / "index.html").as_uri())
    expect(page.locator(LINE)).to_have_text(IN_CLASS)
    page.click(f"{LINE} a")
    expect(page.locator(".class-head")).to_have_text(f"Spring 3G, {SHOP}")


# --- looks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [390, 1280])
def test_form_and_class_fit_the_screen(new_context, served, width):
    page = new_context(viewport={"width": width, "height": 800}).new_page()
    page.goto(served + "class.html")
    open_file(page, CLASS)
    said(page, "You are in the class")
    page.set_input_files("#class-edit", as_file(CLASS))
    expect(page.locator(".class-make .class-shown h3").first).to_be_visible()
    assert not scrolls_sideways(page)
    small = page.evaluate("""() => [...document.querySelectorAll(
      ".class-yours button, .class-make button, .class-make input, .class-make select, .class-make .boxes label")]
      .filter((each) => each.checkVisibility() && each.type !== "checkbox")
      .map((each) => [each.getBoundingClientRect().height, each.outerHTML.slice(0, 90)])
      .filter(([height]) => height < 43.9)""")
    assert small == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_form_and_class_are_judged_by_axe(judged_by_axe, served, scheme):
    page = judged_by_axe(scheme)
    page.goto(served + "class.html")
    open_file(page, CLASS)
    said(page, "You are in the class")
    page.set_input_files("#class-edit", as_file(CLASS))
    expect(page.locator(".class-make .class-shown h3").first).to_be_visible()
    found = page.evaluate("""async () => (await axe.run(document, { preload: false })).violations
      .flatMap((each) => each.nodes.map((node) => `${each.id} ${node.html.slice(0, 100)}`))""")
    assert found == []


@pytest.fixture
def judged_by_axe(new_context):
    from tools.check import test_parts

    test_parts.fetch()

    def make(scheme: str) -> Page:
        context = new_context(bypass_csp=True, reduced_motion="reduce", color_scheme=scheme)
        context.add_init_script(path=test_parts.AXE)
        return context.new_page()

    return make
