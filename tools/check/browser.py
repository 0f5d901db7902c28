"""Finds a Chromium for the tests and the measurements, or installs one."""

from __future__ import annotations

import os
import shutil
import sys
from pathlib import Path

from tools.common import Trouble, say
from tools.check.debian import found_or_installed, try_install

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge", "microsoft-edge")
# Where installers put a browser that is not on PATH, by platform.
PLACES = {
    "darwin": (
        "/Applications/Chromium.app/Contents/MacOS/Chromium",
        "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
        "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
    ),
    "win32": (
        r"%ProgramFiles%\Google\Chrome\Application\chrome.exe",
        r"%ProgramFiles(x86)%\Google\Chrome\Application\chrome.exe",
        r"%LocalAppData%\Google\Chrome\Application\chrome.exe",
        r"%LocalAppData%\Chromium\Application\chrome.exe",
        r"%ProgramFiles(x86)%\Microsoft\Edge\Application\msedge.exe",
        r"%ProgramFiles%\Microsoft\Edge\Application\msedge.exe",
    ),
}
ARGUMENTS = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]
NEED = ("No Chromium-based browser was found, and none could be installed. Install Chromium, Chrome or Edge, or set "
        "GUIDE_CHROMIUM to the path of one.")


def arguments() -> list[str]:
    """Browser flags: nothing that calls out; as root the sandbox can't start."""
    as_root = hasattr(os, "geteuid") and os.geteuid() == 0
    return [*ARGUMENTS, "--no-sandbox"] if as_root else list(ARGUMENTS)


def installed() -> str | None:
    """Path of a browser that is here, or None. GUIDE_CHROMIUM wins and must exist."""
    asked = os.environ.get("GUIDE_CHROMIUM")
    if asked:
        if not Path(asked).is_file():
            raise Trouble(f"GUIDE_CHROMIUM is {asked!r}, and no file is there")
        return asked
    for name in NAMES:
        found = shutil.which(name)
        if found:
            return found
    places = (os.path.expandvars(place) for place in PLACES.get(sys.platform, ()))
    return next((place for place in places if Path(place).is_file()), None) or playwright_browser()


def playwright_browser() -> str | None:
    """The browser that Playwright downloaded earlier, if any."""
    from playwright.sync_api import Error, sync_playwright

    try:
        with sync_playwright() as playwright:
            path = playwright.chromium.executable_path
    except Error:
        return None
    return path if path and Path(path).is_file() else None


def find_or_install() -> str:
    """Path of a usable browser. Installs one where that is possible; raises Trouble when it is not."""
    found = found_or_installed(installed, "chromium")
    if found:
        return found
    say("Downloading a browser for the tests (some minutes) ...")
    if try_install([sys.executable, "-m", "playwright", "install", "chromium"]):
        found = playwright_browser()
        if found:
            return found
    raise Trouble(NEED)
