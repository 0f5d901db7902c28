"""Finds the browsers of the tests and measurements, and what they need of the machine, or installs them."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from tools.common import Trouble, say
from tools.check.debian import Part, try_install

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


def stays_away(program: list[str]) -> str | None:
    """Why a program does not start, in the last line that it says, or None when it does."""
    try:
        done = subprocess.run(program, capture_output=True, text=True, errors="replace", check=False, timeout=300)
    except (OSError, subprocess.TimeoutExpired) as error:
        return str(error)
    said = (done.stderr + done.stdout).strip().splitlines()
    return None if done.returncode == 0 else (said or [f"exit {done.returncode}"])[-1]


def driver_program() -> list[str]:
    """The command that makes Playwright's driver tell its version: it brings a Node of its own."""
    from playwright._impl._driver import compute_driver_executable

    return [*map(str, compute_driver_executable()), "--version"]


def driver() -> str | None:
    """Playwright's driver if it starts, or None."""
    program = driver_program()
    return None if stays_away(program) else program[0]


DRIVER = Part("what the browser driver's Node needs", driver, ("libatomic1",))


def need_driver() -> None:
    """Raise Trouble in one line when Playwright's driver does not start and can't be made to."""
    if not DRIVER.get():
        raise Trouble(f"the browser driver does not start: {stays_away(driver_program())}. {DRIVER.missing}")


def playwright_browser() -> str | None:
    """The browser that Playwright downloaded earlier, if any."""
    from playwright.sync_api import Error, sync_playwright

    if not driver():
        return None
    try:
        with sync_playwright() as playwright:
            path = playwright.chromium.executable_path
    except Error:
        return None
    return path if path and Path(path).is_file() else None


CHROMIUM = Part("Chromium", installed, ("chromium",))


def find_or_install() -> str:
    """Path of a usable browser. Installs one where that is possible; raises Trouble when it is not."""
    need_driver()
    found = CHROMIUM.get()
    if not found:
        say("Downloading a browser for the tests (some minutes) ...")
        try_install([sys.executable, "-m", "playwright", "install", "chromium"])
        found = playwright_browser()
    if not found:
        raise Trouble(NEED)
    # On Linux a browser that lacks a library of the system says which; elsewhere this would open a window.
    why = stays_away([found, "--version"]) if sys.platform == "linux" else None
    if why:
        raise Trouble(f"the browser {found} does not start: {why}")
    return found


# --- the other browsers, and the fonts of the tests -----------------------------------------------------------


def firefox() -> str | None:
    """Path of a Firefox, or None."""
    return shutil.which("firefox-esr") or shutil.which("firefox")


def minibrowser() -> str | None:
    """The window of WebKitGTK that lets itself be driven; Debian keeps it beside the library."""
    found = sorted(
        path for folder in ("/usr/lib", "/usr/libexec") for path in Path(folder).glob("**/webkit2gtk-4.*/MiniBrowser")
    )
    return str(found[-1]) if found else None


def webkit() -> str | None:
    """Path of WebKitGTK's driver if all that it needs is here, or None."""
    screen = os.environ.get("DISPLAY") or shutil.which("Xvfb")
    return shutil.which("WebKitWebDriver") if screen and minibrowser() else None


FIREFOX = Part("Firefox", firefox, ("firefox-esr",))
WEBKIT = Part("WebKit with its driver and a screen", webkit, ("webkit2gtk-driver", "xvfb"))


@dataclass(frozen=True)
class Fonts(Part):
    """A set of fonts: its families (sans-serif, serif, monospaced) and their files, regular and bold."""

    families: tuple[str, ...] = ()
    files: tuple[str, ...] = ()


def fonts(name: str, package: str, regular: str, *families: str) -> Fonts:
    """A set whose files are called after its families; `regular` is how the name of a regular one ends."""
    files = tuple(f"{family.replace(' ', '')}{style}.ttf" for family in families for style in (regular, "-Bold"))

    def find() -> str | None:
        first = min(Path("/usr/share/fonts").rglob(files[0]), default=None)
        return str(first.parent) if first and all((first.parent / each).exists() for each in files) else None

    return Fonts(f"the {name} font of the tests", find, (package,), families, files)


# The guide takes the reader's own fonts. Pages are tried with two that stand at the ends of what readers have: one as wide as the
# default of many Linux desktops, and one with the widths of the default on most other machines, a tenth less.
FONTS = {
    "wide": fonts("wide", "fonts-dejavu-core", "", "DejaVu Sans", "DejaVu Serif", "DejaVu Sans Mono"),
    "narrow": fonts("narrow", "fonts-liberation", "-Regular", "Liberation Sans", "Liberation Serif", "Liberation Mono"),
}
FONT_SETTINGS = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "urn:fontconfig:fonts.dtd">
<fontconfig><dir>{folder}</dir><cachedir>{folder}/cache</cachedir>{aliases}</fontconfig>
"""
FONT_ALIAS = "<alias><family>{kind}</family><prefer><family>{name}</family></prefer></alias>"


def font_environment(name: str, folder: Path) -> dict[str, str]:
    """Environment that shows a browser one of the sets of fonts and no other; links and settings for it are made in the
    folder.

    Empty where the fonts are not to be had.
    """
    chosen = FONTS[name]
    place = chosen.get()
    if not place:
        return {}
    for each in chosen.files:
        (folder / each).symlink_to(Path(place) / each)
    settings = folder / "fonts.conf"
    aliases = "".join(
        FONT_ALIAS.format(kind=kind, name=family)
        for kind, family in zip(("sans-serif", "serif", "monospace"), chosen.families, strict=True)
    )
    settings.write_text(FONT_SETTINGS.format(folder=folder, aliases=aliases), encoding="utf-8")
    return {"FONTCONFIG_FILE": str(settings)}


NEEDS = (DRIVER, CHROMIUM, FIREFOX, WEBKIT, *FONTS.values())
