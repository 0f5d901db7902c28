"""What every browser test stands on: the built site, served and unpacked, and a page that may not leave it."""

from __future__ import annotations

import os
import re
import shutil
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from filelock import FileLock
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from tools.build import packer, site_build
from tools.check import browser as browsers
from tools.serve import server
from tools.common import CACHE

SUBPATH = "/shop/guides/plate-test"
# A folder as people have them: spaces, letters outside ASCII, a hash sign and a percent sign.
ODD_FOLDER = "Prüfung für Schweißer 3 á 50%#"
# Every name but our own server's leads nowhere, for pages, workers and service workers alike.
NOWHERE = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
WIDE = "wide"
in_every_font = pytest.mark.parametrize("fonts", list(browsers.FONTS), indirect=True)
# Milliseconds that a page has for whatever it is asked: no test fails because the machine is busy. One that waits in vain takes as long.
PATIENCE = 40_000
expect.set_options(timeout=PATIENCE)
LOCAL = re.compile(r"^(http://127\.0\.0\.1[:/]|file:|data:|blob:|about:|chrome-error:)")


@dataclass
class Watch:
    """What a page did that a reader would not want: requests to other hosts, errors in its console."""

    outside: list[str] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    expected: list[str] = field(default_factory=list)

    def expect(self, pattern: str) -> None:
        """Let errors that match the pattern pass; a test that provokes an error says so by this."""
        self.expected.append(pattern)

    def unexpected(self) -> list[str]:
        """The errors that no test announced."""
        return [text for text in self.errors if not any(re.search(pattern, text) for pattern in self.expected)]

    def follow(self, context: BrowserContext) -> None:
        """Record all that happens in a browser context."""
        context.on("request", lambda request: None if LOCAL.match(request.url) else self.outside.append(request.url))
        context.on("console", lambda message: self.errors.append(f"{message.text} ({message.location.get('url')})")
                   if message.type == "error" else None)
        context.on("weberror", lambda error: self.errors.append(str(error.error)))


def frames(page: Page, count: int = 10) -> None:
    """Let the page draw so many pictures: what moves by itself has moved after them."""
    page.evaluate("async (count) => { for (; count > 0; count -= 1) await new Promise(requestAnimationFrame); }", count)


def scrolls_sideways(page: Page) -> bool:
    """Whether the page is wider than its window, and stays so: the theme moves its bars for a moment after a change
    of width.
    """
    return page.evaluate("""async () => {
      for (let count = 0; count < 120; count += 1) {
        if (document.documentElement.scrollWidth <= innerWidth) return false;
        await new Promise(requestAnimationFrame);
      }
      return true;
    }""")


def went_wrong(page: Page) -> None:
    """Wait until a picture that is none has failed to load in this page, and with it all that were put into it
    before.
    """
    page.evaluate("""() => new Promise((done) => {
      const picture = new Image();
      picture.addEventListener("error", () => setTimeout(done));
      picture.src = "data:text/plain,x";
    })""")


def answered(page: Page) -> None:
    """Wait until all that the engine was asked is answered and shown: it answers in turn, and this asks last."""
    page.evaluate("GuideEngine.call({ do: 'numbers', calculator: 'groove', inputs: {} })")
    frames(page)


def settled(page: Page) -> None:
    """Wait until the whole answer stands there, and whatever else the engine was asked."""
    page.wait_for_function("() => !document.querySelector('.behind')")
    answered(page)


def copied(site: Path, folder: Path) -> Path:
    """A copy to damage: its files are links where that can be, so change them by `write` alone.

    No compressed copies.
    """
    def take(source: str, target: str) -> None:
        try:
            os.link(source, target)
        except OSError:
            shutil.copy2(source, target)

    shutil.copytree(
        site, folder, copy_function=take, ignore=lambda _,
        names: [name for name in names if name.endswith(site_build.COPY_SUFFIXES)],
    )
    return folder


def write(path: Path, data: bytes) -> None:
    """New bytes at a path, and none in the file that it may be linked to."""
    path.unlink(missing_ok=True)
    path.write_bytes(data)


@pytest.fixture(scope="session")
def site() -> Path:
    """The built site. Built once, whichever test process comes first."""
    CACHE.mkdir(exist_ok=True)
    with FileLock(CACHE / "build.lock"):
        return site_build.build()


@pytest.fixture(scope="session")
def served(site: Path) -> Iterator[str]:
    """Address of the site on a server at the root."""
    with server.Running(site) as running:
        yield running.url


@pytest.fixture(scope="session")
def served_subpath(site: Path) -> Iterator[str]:
    """Address of the site below a sub-path."""
    with server.Running(site, SUBPATH) as running:
        yield running.url


@pytest.fixture
def serve(site: Path) -> Iterator[Callable[..., server.Running]]:
    """Starts a server of the test's own, to be stopped in the middle: serve(), serve(folder, base, port)."""
    started: list[server.Running] = []

    def start(folder: Path = site, base: str = "", port: int = 0) -> server.Running:
        started.append(server.Running(folder, base, port))
        return started[-1]

    yield start
    for running in started:
        running.stop()


@pytest.fixture(scope="session")
def file_site(site: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Folder of the unpacked zip, below a folder with an awkward name."""
    folder = tmp_path_factory.mktemp("stick") / ODD_FOLDER
    archive = packer.pack(site, folder.parent / packer.ARCHIVE)
    with zipfile.ZipFile(archive) as packed:
        packed.extractall(folder)
    return folder / packer.FOLDER


@pytest.fixture(scope="session")
def launching(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], dict[str, Any]]:
    """What a Chromium of the tests is started with, by its set of fonts."""
    chromium = browsers.find_or_install()

    @cache
    def options(fonts: str) -> dict[str, Any]:
        environment = {**os.environ, **browsers.font_environment(fonts, tmp_path_factory.mktemp(fonts))}
        return {"executable_path": chromium, "args": [*browsers.arguments(), NOWHERE], "env": environment}

    return options


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What starts browsers."""
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser_with(playwright: Playwright, launching: Callable[[str], dict[str, Any]]) -> Callable[[str], Browser]:
    """One Chromium for each set of fonts and session; each test has a profile of its own in it."""
    return cache(lambda fonts: playwright.chromium.launch(**launching(fonts)))


@pytest.fixture
def fonts(request: pytest.FixtureRequest) -> str:
    """The fonts that a test sees, whatever this machine has: the wide ones, which show more faults.

    `@in_every_font` runs a test with each set. Where the wide ones are not to be had the machine's own take their
    place.
    """
    name = getattr(request, "param", WIDE)
    if name != WIDE and not browsers.FONTS[name].get():
        pytest.skip(browsers.FONTS[name].missing)
    return name


@pytest.fixture
def browser(browser_with: Callable[[str], Browser], fonts: str) -> Browser:
    """The Chromium of the test's fonts."""
    return browser_with(fonts)


@pytest.fixture
def watch() -> Watch:
    """The record of this test's pages."""
    return Watch()


@pytest.fixture
def new_context(browser: Browser, watch: Watch) -> Iterator[Callable[..., BrowserContext]]:
    """Makes watched profiles: new_context(java_script_enabled=False, ...). Fails the test for what Watch collects.

    The guide is not kept in them (a test that is not about that would fetch and hash the whole set each time);
    new_context(service_workers="allow") keeps it.
    """
    made: list[BrowserContext] = []

    def make(**options: object) -> BrowserContext:
        context = browser.new_context(**{"service_workers": "block", **options})
        context.set_default_timeout(PATIENCE)
        watch.follow(context)
        made.append(context)
        return context

    yield make
    for context in made:
        context.close()
    assert watch.outside == [], "requests left the site"
    assert watch.unexpected() == [], "errors in the console"


@pytest.fixture
def page(new_context: Callable[..., BrowserContext]) -> Page:
    """An empty page in a profile of its own."""
    return new_context().new_page()
