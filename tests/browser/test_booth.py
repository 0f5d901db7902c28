"""At the booth in a browser: a day by thumb alone, clocks that survive, what goes into the record."""

from __future__ import annotations

import datetime
import json
import random
import re

import pytest
from playwright.sync_api import BrowserContext, Error, Page

from calc.booth.log import Facts
from calc.record.demo import TEST
from tests.browser.conftest import PATIENCE, frames
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


def test_the_whole_day_by_thumb_in_sixty_taps(phone, served):
    assert sum(RODS) == 9 and len(RODS) == Facts.of(TEST).planned()
    page = with_test(phone, served)
    phone.add_init_script(COUNT_TAPS)
    page = at_the_booth(page, served)
    temperatures = ("62 °F", "162 °F", "237 °F", "312 °F")
    press(page, "out")
    for number, rods in enumerate(RODS):
        later(page, 240)
        read(page, "temperature", pad_value(page, "temperature", 4 if number else 0))
        read(page, "amps", pad_value(page, "amps", 0))
        for rod in range(rods):
            press(page, "arc")
            later(page, ARC_SECONDS)
            press(page, "stop")
            later(page, PAUSE_SECONDS)
        read(page, "volts", pad_value(page, "volts", 0))
        press(page, "done")
    press(page, "in")
    press(page, "spark")
    later(page, 3700)
    press(page, "seen")
    press(page, "watched")
    page.tap("[data-put]")
    page.wait_for_selector("[data-put-done]")
    print(page.evaluate("taps"), temperatures)
    assert page.evaluate("typed") == 0
    assert page.evaluate("taps") <= MOST_TAPS


def pad_value(page: Page, pad: str, keys: int) -> str:
    """The value on the pad so many keys above its middle."""
    return page.evaluate(
        """([name, keys]) => {
          const pad = GuideBooth.app.pads.find((each) => each.do === name);
          return pad.values[pad.at + keys * pad.stride][1];
        }""", [pad, keys],
    )
