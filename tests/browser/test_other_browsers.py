"""The guide in Firefox and in WebKit. The tests install them where that is possible, and are skipped where they are not to be had."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser import other_browsers
from tests.browser.other_browsers import Driver
from tests.browser.test_everyone import JUDGE, NAMES, RULES
from tools.check import debian, test_parts

ONE_INCH = "1.078 in"
"""Face width of the groove for plate 1 in thick: 0.25 + 2 × tan 22.5° = 1.0784 in."""
ANSWERED = f"document.querySelector('#groove [data-headline]').textContent.replace(/\\u00a0/g, ' ').includes('{ONE_INCH}')"

# How each is found, what brings it, how it is started.
BROWSERS = {
    "firefox": (other_browsers.find_firefox, ("firefox-esr",), other_browsers.firefox),
    "webkit": (other_browsers.find_webkit, ("webkit2gtk-driver", "xvfb"), other_browsers.webkit),
}


@pytest.fixture(params=BROWSERS)
def driver(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Driver]:
    """A new window of each other browser with an empty profile."""
    find, packages, start = BROWSERS[request.param]
    if not debian.found_or_installed(find, *packages):
        pytest.skip(f"no {request.param} here (Debian: {', '.join(packages)})")
    with start(tmp_path / "profile") as opened:
        yield opened


def change_a_number(driver: Driver, page: str) -> None:
    driver.go(page)
    driver.type("#groove-thickness", "1 in")
    driver.wait(ANSWERED)
    assert driver.run("return document.querySelectorAll('#groove .steps > li').length") >= 10


def judge(driver: Driver, folder: Path) -> None:
    """Every page from a folder, everything unfolded: no axe-core violation, light or dark, and nothing wider than the window."""
    test_parts.fetch()
    axe = test_parts.AXE.read_text(encoding="utf-8")
    for name in NAMES:
        driver.go((folder / name).as_uri())
        for scheme, units in (("default", "us"), ("slate", "si")):
            found = driver.run(
                axe + """; const [scheme, units, rules] = given;
                document.body.setAttribute("data-md-color-scheme", scheme);
                document.documentElement.dataset.units = units;
                document.querySelectorAll("details").forEach((each) => { each.open = true; });
                await Promise.allSettled(document.getAnimations().map((each) => each.finished));
                return await (""" + JUDGE + """)(["html", { type: "tag", values: rules }]);""", scheme, units, RULES)
            assert found == [], f"{name}, {scheme}, {units}"
        assert driver.run("return document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0, name


def test_served_it_answers_and_opens_again_without_the_server(driver: Driver, serve) -> None:
    running = serve()
    change_a_number(driver, running.url + "groove.html")
    driver.wait("GuideOffline.state === 'ready'")
    running.stop()
    driver.go(running.url + "groove.html")
    assert driver.run("return document.querySelector('#groove-thickness').value") == "1 in", "what was typed is there"
    driver.wait(ANSWERED)


def test_the_engine_starts_from_the_kept_memory_alone(driver: Driver, site: Path, serve, tmp_path: Path) -> None:
    """Without the bytecode there is nothing else to start from."""
    folder = tmp_path / "site"
    shutil.copytree(site, folder)
    removed = [path.unlink() for path in (folder / "assets" / "engine").rglob("*") if path.name.startswith(("library-", "library.", "calc-", "calc."))]
    assert removed
    change_a_number(driver, serve(folder).url + "groove.html")


def test_from_a_folder_it_answers(driver: Driver, file_site: Path) -> None:
    change_a_number(driver, (file_site / "groove.html").as_uri())
    driver.go((file_site / "practice.html").as_uri())
    driver.wait("document.querySelector('[data-practice=review] button[type=submit]')")
    driver.go((file_site / "record.html").as_uri())
    driver.wait("document.querySelector('#record-app[data-ready]')")


@pytest.mark.long
def test_axe_finds_no_violation(driver: Driver, file_site: Path) -> None:
    judge(driver, file_site)
