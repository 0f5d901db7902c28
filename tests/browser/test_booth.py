"""At the booth in a browser: a day by thumb alone, clocks that survive, what goes into the record."""

from __future__ import annotations

import contextlib
import datetime
import json
import random
import re
import time
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Error, Page

from calc.booth.log import Facts
from calc.record.demo import TEST
from tests.browser.conftest import PATIENCE, scrolls_sideways
from tests.browser.test_everyone import axe, judge, judged  # noqa: F401 - the fixtures
from tests.browser.test_record import kill_browser

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
MORNING = datetime.datetime(2026, 3, 2, 15, 30, tzinfo=datetime.UTC)
"""07:30 by the wall clock of the shop."""
SHOP = "America/Los_Angeles"
MOST_TAPS = 60
RODS = (2, 2, 3, 2)
"""The rods of the invented shop's plate by pass, as its record has them."""
ARC_SECONDS, PAUSE_SECONDS = 52, 40
COUNT_TAPS = """
window.taps = 0;
document.addEventListener("click", () => { window.taps += 1; }, true);
window.typed = 0;
document.addEventListener("keydown", () => { window.typed += 1; }, true);
"""


def with_test(context: BrowserContext, served: str) -> Page:
    """A page in a browser that has the invented shop's test as its own."""
    page = context.new_page()
    page.goto(served + "your-test.html")
    page.click("[data-demo]")
    page.wait_for_function("() => localStorage.getItem('guide.mine')")
    return page


def at_the_booth(page: Page, served: str) -> Page:
    """The page of the booth, its board drawn."""
    page.goto(served + "booth.html")
    drawn(page)
    return page


def drawn(page: Page) -> None:
    """Wait until the board has followed the last press."""
    page.wait_for_selector("#booth-app[data-ready]:not(.booth-behind) [data-part=now] .booth-key")


def press(page: Page, do: str) -> None:
    """One tap on the button of an event."""
    page.tap(f"#booth-app [data-do={do}] >> nth=0")
    drawn(page)


def read(page: Page, pad: str, value: str) -> None:
    """A reading by the pad: one tap opens it, then the value."""
    page.tap(f"#booth-app [data-pad={pad}]")
    page.tap(f".booth-pad .booth-values button:text-is('{value}')")
    drawn(page)


def journal(page: Page) -> list[dict]:
    """What is kept of the day."""
    return page.evaluate("GuideBooth.app.days.current.events")


def later(page: Page, seconds: float) -> None:
    """So much later by the clock of the device."""
    page.clock.fast_forward(int(seconds * 1000))


@pytest.fixture
def phone(new_context) -> BrowserContext:
    """A phone in the shop, its clock in our hand."""
    context = new_context(**PHONE, timezone_id=SHOP)
    context.clock.install(time=MORNING)
    return context


def pad_value(page: Page, pad: str, keys: int) -> str:
    """The value on the pad so many keys above its middle."""
    return page.evaluate(
        """([name, keys]) => {
          const pad = GuideBooth.app.pads.find((each) => each.do === name);
          return pad.values[pad.at + keys * pad.stride][1];
        }""", [pad, keys],
    )


# --- the whole day -------------------------------------------------------------------------------------


def test_the_whole_day_by_thumb_in_sixty_taps(phone, served):
    """The invented shop's plate from the oven to the record, on a phone: every tap counted, no key pressed."""
    assert sum(RODS) == 9 and len(RODS) == Facts.of(TEST).planned()
    page = with_test(phone, served)
    phone.add_init_script(COUNT_TAPS)
    page = at_the_booth(page, served)
    press(page, "out")
    for number, rods in enumerate(RODS):
        later(page, 240)
        read(page, "temperature", pad_value(page, "temperature", 4 if number else 0))
        read(page, "amps", pad_value(page, "amps", 0))
        for _ in range(rods):
            press(page, "arc")
            later(page, ARC_SECONDS)
            press(page, "stop")
            later(page, PAUSE_SECONDS)
        read(page, "volts", pad_value(page, "volts", 0))
        press(page, "done")
    press(page, "in")
    press(page, "spark")
    later(page, 3700)
    page.wait_for_selector("[data-spent]")
    press(page, "seen")
    press(page, "watched")
    page.tap("[data-put]")
    page.wait_for_selector("[data-put-done]")
    assert page.evaluate("typed") == 0
    assert page.evaluate("taps") <= MOST_TAPS
    record = records(page)[0]
    assert [row["rods"] for row in record["rows"]["passes"]] == [str(rods) for rods in RODS]
    assert record["values"]["note_2"].startswith("Fire watch from") and record["values"]["rods_out"] == "07:30"
    speeds = re.findall(r"([\d.]+) in/min", record["values"]["passes_note"])
    times = [round(7 * 60 / (rods * ARC_SECONDS), 1) for rods in RODS]
    assert [float(speed) for speed in speeds] == pytest.approx(times, rel=0.1), "taps take a moment of their own"


def records(page: Page) -> list[dict]:
    """The test-day records of this browser."""
    entries = page.evaluate("GuideBooth.app.store.all()")
    return [entry["record"] for entry in entries if entry["record"]["kind"] == "test-day"]


# --- what survives -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "kills", [pytest.param(4, id="4 kills"), pytest.param(200, id="200 kills", marks=pytest.mark.long)],
)
def test_kills_lose_no_press_and_no_clock_is_off_by_a_second(new_context, served, kills):
    """The page is crashed after a press, at once or a moment later; the next one has every press, and its clocks go by
    the moments at which they were pressed, as this test noted them by its own clock."""
    chance = random.Random(8)
    context = new_context(**PHONE)
    with_test(context, served).close()
    pressed: list[tuple[str, float]] = []
    strikes = {"arc": 0.0, "out": 0.0}
    for number in range(kills):
        page = at_the_booth(context.new_page(), served)
        assert [each["do"] for each in journal(page)] == [do for do, _ in pressed]
        check_clocks(page, pressed, strikes)
        do = "out" if not number else "stop" if pressed[-1][0] == "arc" else "arc"
        page.eval_on_selector(f"#booth-app [data-do={do}]", "(button) => button.click()")
        strikes[do] = time.time()
        pressed.append((do, strikes[do]))
        if chance.random() < 0.5:
            page.evaluate("(wait) => new Promise((done) => { setTimeout(done, wait); })", chance.randint(0, 150))
        with pytest.raises(Error):
            page.goto("chrome://crash")
        page.close()
    page = at_the_booth(context.new_page(), served)
    assert [each["do"] for each in journal(page)] == [do for do, _ in pressed]
    check_clocks(page, pressed, strikes)


def check_clocks(page: Page, pressed: list[tuple[str, float]], strikes: dict[str, float]) -> None:
    """Every clock on the board within a second of what was noted."""
    if not pressed:
        return
    until = float(page.get_attribute("[data-clock=rods-1] [data-until]", "data-until"))
    assert abs(until / 1000 - (strikes["out"] + 4 * 3600)) < 1
    if pressed[-1][0] == "arc":
        since = float(page.get_attribute("[data-part=now] [data-since]", "data-since"))
        assert abs(since / 1000 - strikes["arc"]) < 1


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="finds the browser the way of Linux")
def test_a_killed_browser_keeps_the_day(browser, launching, fonts, served, tmp_path):
    """The whole browser gone at once: the database has what the small storage had not written yet."""
    for number in range(3):
        context = browser.browser_type.launch_persistent_context(str(tmp_path), **launching(fonts), **PHONE)
        context.set_default_timeout(PATIENCE)
        page = at_the_booth(context.new_page(), served)
        assert len(journal(page)) == number
        press(page, "more")
        page.evaluate("GuideBooth.app.days.saved")
        kill_browser(tmp_path)
        with contextlib.suppress(Error):
            context.close()


def test_another_time_zone_changes_no_clock(new_context, served):
    context = new_context(**PHONE)
    page = at_the_booth(with_test(context, served), served)
    press(page, "spark")
    until = page.get_attribute("[data-clock=watch] [data-until]", "data-until")
    context.new_cdp_session(page).send("Emulation.setTimezoneOverride", {"timezoneId": "Asia/Tokyo"})
    page.reload()
    drawn(page)
    press(page, "out")
    assert journal(page)[-1]["offset"] == 540
    assert page.get_attribute("[data-clock=watch] [data-until]", "data-until") == until
    page.locator("summary", has_text="What was pressed").tap()
    assert "UTC+9:00" in page.inner_text("[data-part=events]"), "two zones in one day are told apart"


def test_a_clock_that_is_set_back_is_told_and_left_out(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "out")
    later(page, 600)
    page.clock.set_system_time(MORNING - datetime.timedelta(hours=1))
    page.wait_for_selector("[data-spent]:has-text('set back by')")
    drawn(page)
    left = page.inner_text("[data-clock=rods-1] .booth-digits")
    hours, minutes, _ = map(int, left.split(":"))
    assert (hours, minutes) in {(3, 49), (3, 50)}, "ten minutes of four hours are gone, not ten less sixty"
    press(page, "seen")
    assert page.locator("[data-spent]").count() == 0


def test_a_clock_that_is_set_back_while_none_runs_shortens_no_watch(phone, served):
    """Nothing ticks then: the press itself must notice, and stand behind it."""
    page = at_the_booth(with_test(phone, served), served)
    read(page, "temperature", pad_value(page, "temperature", 2))
    page.clock.set_system_time(MORNING - datetime.timedelta(hours=1))
    press(page, "spark")
    *hours, minutes, _ = map(int, page.inner_text("[data-clock=watch] .booth-digits").split(":"))
    assert 60 * sum(hours) + minutes >= 59


def test_a_clock_that_was_set_back_while_no_page_looked_is_not_known(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "out")
    page.goto(served + "changelog.html")
    page.clock.set_system_time(MORNING - datetime.timedelta(hours=2))
    at_the_booth(page, served)
    page.wait_for_selector("[data-spent]:has-text('or more')")
    drawn(page)
    assert page.get_attribute("[data-clock=rods-1]", "data-level") == "not known"


def test_a_clock_that_went_ahead_is_asked_about(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "spark")
    page.clock.set_system_time(MORNING + datetime.timedelta(minutes=50))
    page.tap("[data-leap=set]")
    drawn(page)
    minutes = int(page.inner_text("[data-clock=watch] .booth-digits").split(":")[0])
    assert minutes >= 58, "fifty minutes that were none do not shorten the watch"


def test_everything_can_be_taken_back(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "out")
    read(page, "temperature", pad_value(page, "temperature", 2))
    press(page, "arc")
    for _ in range(3):
        page.tap("[data-part=undo] [data-do=undo]")
        drawn(page)
        page.wait_for_function("() => !document.querySelector('.booth-behind')")
    assert page.locator("[data-part=undo] [data-do=undo]").count() == 0
    assert "not read" in page.inner_text("[data-pad=temperature]") and len(journal(page)) == 6


# --- the other pages, the record -----------------------------------------------------------------------


def test_a_strip_on_every_page_while_a_clock_runs_and_no_engine_for_it(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    page.goto(served + "changelog.html")
    assert page.locator(".booth-strip").count() == 0
    press(at_the_booth(page, served), "spark")
    page.goto(served + "changelog.html")
    assert "Fire watch 59:" in page.inner_text(".booth-strip a")
    assert page.evaluate("GuideEngine.state") == "idle"
    later(page, 3601)
    page.wait_for_function("() => document.querySelector('.booth-strip p').textContent.includes('time is over')")
    page.tap(".booth-strip a")
    page.wait_for_selector("[data-spent]")


def test_the_record_follows_and_keeps_what_was_typed(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    read(page, "temperature", pad_value(page, "temperature", 0))
    page.tap("[data-put]")
    page.wait_for_selector("[data-put-done]")
    assert records(page)[0]["values"]["plate_temperature"] == "60 degF"
    page.tap("[data-open-record=welder]")
    page.wait_for_selector(".record-form")
    assert page.evaluate("document.activeElement.id") == "record-welder"
    page.fill("#record-welder", "Trainee 7 (invented)")
    page.eval_on_selector("#record-plate_temperature", "(each) => { each.closest('details').open = true; }")
    page.fill("#record-plate_temperature", "61 degF")
    page.wait_for_function("() => GuideRecord.app.waiting.size === 0 && !GuideRecord.app.saving")
    at_the_booth(page, served)
    read(page, "amps", pad_value(page, "amps", 1))
    page.wait_for_function("() => GuideBooth.app.days.current.given.amps === '125 A'")
    values = records(page)[0]["values"]
    assert (values["amps"], values["plate_temperature"]) == ("125 A", "61 degF")
    page.tap("[data-take=plate_temperature]")
    page.wait_for_function("() => GuideBooth.app.days.current.given.plate_temperature === '60 degF'")
    assert records(page)[0]["values"]["plate_temperature"] == "60 degF"


def test_a_day_is_exported_and_read_back(phone, new_context, served, tmp_path):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "out")
    read(page, "volts", pad_value(page, "volts", 0))
    page.locator("summary", has_text="Other days").tap()
    with page.expect_download() as got:
        page.tap("[data-export-day]")
    path = tmp_path / "day.json"
    got.value.save_as(path)
    other = at_the_booth(new_context(**PHONE).new_page(), served)
    other.set_input_files("#booth-import", path)
    other.wait_for_selector("[data-clock=rods-1] [data-since], [data-clock=rods-1] [data-until]")
    assert journal(other) == json.loads(path.read_text())["events"]
    path.write_text(json.dumps({"format": "plate-test-booth", "version": 1, "id": "x", "events": [{"do": "fly"}]}))
    other.set_input_files("#booth-import", path)
    other.wait_for_function("() => document.querySelector('[data-booth-said]').textContent.startsWith('Not read')")


def test_from_a_folder(new_context, file_site):
    context = new_context(**PHONE)
    address = (file_site / "index.html").as_uri().removesuffix("index.html")
    page = at_the_booth(with_test(context, address), address)
    press(page, "out")
    page.reload()
    drawn(page)
    assert [each["do"] for each in journal(page)] == ["out"]
    page.goto(address + "rods.html")
    assert "Rods 3:59:" in page.inner_text(".booth-strip a")


def test_full_storage_is_told(phone, served):
    phone.add_init_script("""
      const set = Storage.prototype.setItem;
      Storage.prototype.setItem = function (...given) {
        if (window.full) throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
        return set.apply(this, given);
      };
      const put = IDBObjectStore.prototype.put;
      IDBObjectStore.prototype.put = function (...given) {
        if (window.full) throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
        return put.apply(this, given);
      };""")
    page = at_the_booth(with_test(phone, served), served)
    page.evaluate("window.full = true")
    press(page, "spark")
    page.wait_for_function("() => document.querySelector('[data-booth-said]').textContent.startsWith('NOT kept')")
    assert [each["do"] for each in journal(page)] == ["spark"], "it goes on with what it has"


# --- hands, eyes, keys ---------------------------------------------------------------------------------


@pytest.mark.parametrize("size", [(390, 844), (844, 390), (1280, 800)], ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_key_is_large_enough_for_a_glove_and_nothing_scrolls_sideways(phone, served, size):
    page = at_the_booth(with_test(phone, served), served)
    page.set_viewport_size({"width": size[0], "height": size[1]})
    press(page, "out")
    press(page, "arc")
    press(page, "stop")
    page.evaluate("() => document.querySelectorAll('#booth-app details').forEach((each) => { each.open = true; })")
    small = """() => [...document.querySelectorAll("#booth-app .booth-key")].map((each) => each.getBoundingClientRect())
      .filter(({ width, height }) => width && (width < 64 || height < 64)).length"""
    assert page.evaluate(small) == 0
    assert not scrolls_sideways(page)
    page.tap("[data-pad=amps]")
    assert page.evaluate(small) == 0
    inside = page.evaluate("""() => [...document.querySelectorAll(".booth-pad button")].every((each) => {
      const box = each.getBoundingClientRect();
      return box.top >= 0 && box.bottom <= innerHeight + 1 && box.left >= 0 && box.right <= innerWidth;
    })""")
    assert inside, "the whole pad is in sight"


def test_the_left_hand_finds_the_keys_on_the_left(phone, served):
    page = at_the_booth(with_test(phone, served), served)
    press(page, "out")
    side = """() => {
      const clock = document.querySelector("[data-clock=rods-1]");
      const [digits, key] = [".booth-digits", ".booth-key"].map((each) => clock.querySelector(each)
        .getBoundingClientRect().left);
      return key < digits ? "left" : "right";
    }"""
    assert page.evaluate(side) == "right"
    page.locator("summary", has_text="This device").tap()
    page.tap("[data-hand]:is(button)")
    assert page.evaluate(side) == "left"
    page.reload()
    drawn(page)
    assert page.evaluate(side) == "left", "it is kept"


def test_axe_and_focus_through_a_day(judged, served):
    with_test(judged.context, served).close()
    page = at_the_booth(judged, served)
    press_keys(page, "[data-do=out]")
    press_keys(page, "[data-pad=temperature]")
    assert page.evaluate("document.activeElement.closest('dialog') !== null"), "the pad has the focus"
    assert judge(page, "pad") == []
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.dataset.pad") == "temperature", "and gives it back"
    press_keys(page, "[data-do=arc]")
    assert page.evaluate("document.activeElement.dataset.do") == "stop", "the next press is under the same thumb"
    press_keys(page, "[data-do=stop]")
    press_keys(page, "[data-do=spark]")
    page.evaluate("() => document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    assert judge(page, "board") == []


def press_keys(page: Page, selector: str) -> None:
    """The same by keyboard."""
    page.locator(f"#booth-app {selector} >> nth=0").focus()
    page.keyboard.press("Enter")
    drawn(page)


def test_forced_colors_keep_the_main_key_apart(new_context, served):
    page = at_the_booth(with_test(new_context(**PHONE, forced_colors="active"), served), served)
    width = "(each) => parseFloat(getComputedStyle(each).borderTopWidth)"
    main, other = (page.eval_on_selector(each, width) for each in (".booth-main", "[data-pad=amps]"))
    assert main > other
