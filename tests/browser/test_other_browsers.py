"""The guide in Firefox and in WebKit.

The tests install them where that is possible, and are skipped where they are not to be had.

Firefox is driven by its makers' Marionette client, since no package that we can pin brings geckodriver; WebKitGTK by
Selenium.
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

import pytest
from marionette_driver.marionette import Marionette
from selenium import webdriver
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service

from tests.browser.conftest import copied
from tests.browser.test_everyone import JUDGE, NAMES, RULES
from tools.check import browser as browsers
from tools.check import test_parts

ANSWERS_WITHIN = 300
"""Seconds for the longest wait: no test fails because the machine is busy."""
ONE_INCH = "1.078 in"
"""Face width of the groove for plate 1 in thick: 0.25 + 2 × tan 22.5° = 1.0784 in."""
ANSWERED = (
    f"document.querySelector('#groove [data-headline]').textContent.replace(/\\u00a0/g, ' ').includes('{ONE_INCH}')"
)
# Runs the body of an async function in the page, with its own arguments.
ASYNC = """const given = [...arguments], done = given.pop();
(async function () { %s }).apply(null, given).then((value) => done({ value }), (error) => done({ error: String(error) }));"""
# Waits in the page: an expression is looked at ten times a second. An engine that failed says why.
UNTIL = """while (!(%s)) {
  if (window.GuideEngine && GuideEngine.state === "failed") throw new Error(GuideEngine.detail);
  await new Promise((go) => setTimeout(go, 100));
}"""


class Window(Protocol):
    """A window of another browser."""

    def go(self, address: str) -> None:
        """Open a page and wait until it is loaded."""

    def run(self, code: str, *given: Any) -> Any:
        """What the body of an async function returns; `given` is what it was given."""

    def type(self, selector: str, text: str) -> None:
        """Empty a field and type into it, by keys."""


def told(answer: dict[str, Any]) -> Any:
    assert "error" not in answer, answer["error"]
    return answer.get("value")


class Firefox:
    """Firefox over Marionette."""

    def __init__(self, marionette: Marionette) -> None:
        self.marionette = marionette

    def go(self, address: str) -> None:
        self.marionette.navigate(address)

    def run(self, code: str, *given: Any) -> Any:
        return told(self.marionette.execute_async_script(ASYNC % code, script_args=given, sandbox=None))

    def type(self, selector: str, text: str) -> None:
        field = self.marionette.find_element("css selector", selector)
        field.clear()
        field.send_keys(text)


class WebKit:
    """WebKitGTK over WebDriver."""

    def __init__(self, driver: webdriver.WebKitGTK) -> None:
        self.driver = driver

    def go(self, address: str) -> None:
        self.driver.get(address)

    def run(self, code: str, *given: Any) -> Any:
        return told(self.driver.execute_async_script(ASYNC % code, *given))

    def type(self, selector: str, text: str) -> None:
        field = self.driver.find_element("css selector", selector)
        field.clear()
        field.send_keys(text)


@contextmanager
def firefox(folder: Path) -> Iterator[Window]:
    """A Firefox without a window, its profile in the folder."""
    marionette = Marionette(
        bin=browsers.firefox(), port=0, headless=True, socket_timeout=ANSWERS_WITHIN, startup_timeout=ANSWERS_WITHIN,
        workspace=str(folder), gecko_log=str(folder / "log"),
    )
    try:
        marionette.start_session({"timeouts": {"script": ANSWERS_WITHIN * 1000, "pageLoad": ANSWERS_WITHIN * 1000}})
        yield Firefox(marionette)
    finally:
        marionette.cleanup()


@contextmanager
def screen() -> Iterator[str]:
    """The name of a screen: the machine's own, or one that nobody sees, which says its number when it is ready."""
    if os.environ.get("DISPLAY"):
        yield os.environ["DISPLAY"]
        return
    with subprocess.Popen(
        ["Xvfb", "-displayfd", "1", "-screen", "0", "1280x900x24", "-nolisten", "tcp"], stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    ) as started:
        try:
            yield f":{started.stdout.readline().strip()}"
        finally:
            started.terminate()


@contextmanager
def webkit(folder: Path) -> Iterator[Window]:
    """A WebKit, its files in the folder."""
    options = Options()
    options.binary_location = browsers.minibrowser()
    options.add_argument("--automation")
    with screen() as display:
        places = {"HOME": folder, "XDG_CACHE_HOME": folder / "cache", "XDG_DATA_HOME": folder / "data"}
        service = Service(
            browsers.webkit(),
            env={**os.environ, "DISPLAY": display, **{name: str(place) for name, place in places.items()}},
        )
        driver = webdriver.WebKitGTK(options, service)
        try:
            driver.command_executor.client_config.timeout = ANSWERS_WITHIN
            driver.set_script_timeout(ANSWERS_WITHIN)
            driver.set_page_load_timeout(ANSWERS_WITHIN)
            yield WebKit(driver)
        finally:
            driver.quit()


BROWSERS = {"firefox": (browsers.FIREFOX, firefox), "webkit": (browsers.WEBKIT, webkit)}


@pytest.fixture(params=BROWSERS)
def window(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Window]:
    """A new window of each other browser with an empty profile."""
    part, start = BROWSERS[request.param]
    if not part.get():
        pytest.skip(part.missing)
    folder = tmp_path / "profile"
    folder.mkdir()
    with start(folder) as opened:
        yield opened


def wait(window: Window, expression: str) -> None:
    """Wait until an expression of the page holds."""
    window.run(UNTIL % expression)


def change_a_number(window: Window, page: str) -> None:
    window.go(page)
    window.type("#groove-thickness", "1 in")
    wait(window, ANSWERED)
    assert window.run("return document.querySelectorAll('#groove .steps > li').length") >= 10


def judge(window: Window, folder: Path) -> None:
    """Every page from a folder, everything unfolded: no axe-core violation, light or dark, and nothing wider than
    the window.
    """
    test_parts.fetch()
    axe = test_parts.AXE.read_text(encoding="utf-8")
    for name in NAMES:
        window.go((folder / name).as_uri())
        for scheme, units in (("default", "us"), ("slate", "si")):
            found = window.run(
                axe + """; const [scheme, units, rules] = arguments;
                document.body.setAttribute("data-md-color-scheme", scheme);
                document.documentElement.dataset.units = units;
                document.querySelectorAll("details").forEach((each) => { each.open = true; });
                await Promise.allSettled(document.getAnimations().map((each) => each.finished));
                return await (""" + JUDGE + """)(["html", { type: "tag", values: rules }]);""", scheme, units, RULES)
            assert found == [], f"{name}, {scheme}, {units}"
        assert window.run(
            "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
        ) <= 0, name


def test_served_it_answers_and_opens_again_without_the_server(window: Window, serve) -> None:
    running = serve()
    change_a_number(window, running.url + "groove.html")
    wait(window, "GuideOffline.state === 'ready'")
    running.stop()
    window.go(running.url + "groove.html")
    assert window.run("return document.querySelector('#groove-thickness').value") == "1 in", "what was typed is there"
    wait(window, ANSWERED)


def test_the_engine_starts_from_the_kept_memory_alone(window: Window, site: Path, serve, tmp_path: Path) -> None:
    """Without the bytecode there is nothing else to start from."""
    folder = copied(site, tmp_path / "site")
    removed = [
        path.unlink() for path in (folder / "assets" / "engine").rglob("*")
        if path.name.startswith(("library-", "library.", "calc-", "calc."))
    ]
    assert removed
    change_a_number(window, serve(folder).url + "groove.html")


def test_from_a_folder_it_answers(window: Window, file_site: Path) -> None:
    change_a_number(window, (file_site / "groove.html").as_uri())
    window.go((file_site / "practice.html").as_uri())
    wait(window, "document.querySelector('[data-practice=review] button[type=submit]')")
    window.go((file_site / "record.html").as_uri())
    wait(window, "document.querySelector('#record-app[data-ready]')")


@pytest.mark.long
def test_axe_finds_no_violation(window: Window, file_site: Path) -> None:
    judge(window, file_site)
