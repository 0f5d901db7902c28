"""The guide in Firefox and in WebKit, where they are on this machine. DEVELOPERS.md names the packages that bring them.

Elsewhere these tests are skipped: the test run installs a Chromium alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser import other_browsers
from tests.browser.other_browsers import Driver

ONE_INCH = "1.078 in"
"""Face width of the groove for plate 1 in thick: 0.25 + 2 × tan 22.5° = 1.0784 in."""
ANSWERED = f"document.querySelector('#groove [data-headline]').textContent.replace(/\\u00a0/g, ' ').includes('{ONE_INCH}')"

BROWSERS = {
    "firefox": (other_browsers.missing_for_firefox, other_browsers.firefox),
    "webkit": (other_browsers.missing_for_webkit, other_browsers.webkit),
}


@pytest.fixture(params=BROWSERS)
def driver(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Driver]:
    """A new window of each other browser with an empty profile."""
    missing, start = BROWSERS[request.param]
    if words := missing():
        pytest.skip(words)
    with start(tmp_path / "profile") as opened:
        yield opened


def change_a_number(driver: Driver, page: str) -> None:
    driver.go(page)
    driver.type("#groove-thickness", "1 in")
    driver.wait(ANSWERED)
    assert driver.run("return document.querySelectorAll('#groove .steps > li').length") >= 10


def test_served_it_answers_and_opens_again_without_the_server(driver: Driver, serve) -> None:
    running = serve()
    change_a_number(driver, running.url + "groove.html")
    driver.wait("GuideOffline.state === 'ready'")
    running.stop()
    driver.go(running.url + "groove.html")
    assert driver.run("return document.querySelector('#groove-thickness').value") == "1 in", "what was typed is there"
    driver.wait(ANSWERED)


def test_from_a_folder_it_answers(driver: Driver, file_site: Path) -> None:
    change_a_number(driver, (file_site / "groove.html").as_uri())
    driver.go((file_site / "practice.html").as_uri())
    driver.wait("document.querySelector('[data-practice=review] button[type=submit]')")
    driver.go((file_site / "record.html").as_uri())
    driver.wait("document.querySelector('#record-app[data-ready]')")
