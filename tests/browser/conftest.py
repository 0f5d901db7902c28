"""What every browser test stands on: the built site, served and unpacked, and a page that may not leave it."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from filelock import FileLock
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tools.build import packer, site_build
from tools.check import browser as browsers
from tools.serve import server
from tools.common import CACHE

SUBPATH = "/shop/guides/plate-test"
# A folder as people have them: spaces, letters outside ASCII, a hash sign and a percent sign.
ODD_FOLDER = "Prüfung für Schweißer 3 á 50%#"
# Every name but our own server's leads nowhere, for pages, workers and service workers alike.
NOWHERE = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
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
def browser() -> Iterator[Browser]:
    """One Chromium for the session; each test has a profile of its own in it."""
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=browsers.find_or_install(), args=[*browsers.arguments(), NOWHERE])
        yield opened
        opened.close()


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
        context.set_default_timeout(30_000)
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
