"""Runs every test: doctests of calc, and tests/ with a real browser against the built site."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

# The tests are about the guide, not about a shop's own pages that may lie beside it. Set before the paths are read.
os.environ["GUIDE_LOCAL"] = str(Path(__file__).resolve().parents[2] / ".cache" / "no-shop")

from tools.build import site_build  # noqa: E402
from tools.check import browser, debian, test_parts  # noqa: E402
from tools.common import ROOT, Trouble, child_environment, main_guard, say  # noqa: E402
from tools.serve import nginx  # noqa: E402

DEFAULT_TARGETS = ["calc", "tests"]
# What lies below these needs neither a browser nor the built site.
PLAIN_TARGETS = ("calc", "tests/calc", "tests/practice")
# One process more than there are processors: tests with a browser wait half of their time.
PROCESSES = min(5, (os.cpu_count() or 2) + 1)


def names_a_target(argument: str) -> bool:
    """Whether a pytest argument names a file, folder or test."""
    return not argument.startswith("-") and (ROOT / argument.split("::")[0]).exists()


def pytest_arguments(given: list[str]) -> list[str]:
    """pytest's arguments: ours first so that the user's win.

    Without a named test: all but the long ones, or all with --long.
    """
    kept = [argument for argument in given if argument != "--long"]
    named = any(names_a_target(argument) for argument in kept)
    short = [] if named or "--long" in given else ["-m", "not long"]
    return ["-n", str(PROCESSES), "--dist", "worksteal", *short, *kept, *([] if named else DEFAULT_TARGETS)]


def plain(given: list[str]) -> bool:
    """Whether the tests that are named need neither a browser nor the built site."""
    named = [(ROOT / argument.split("::")[0]).resolve() for argument in given if names_a_target(argument)]
    return bool(named) and all(any(path.is_relative_to(ROOT / each) for each in PLAIN_TARGETS) for path in named)


def set_up() -> dict[str, str]:
    """Bring what the tests need of this machine, say what is missing, build the site; the environment of the tests."""
    for part in debian.bring([*browser.NEEDS, *test_parts.NEEDS]):
        if part not in (browser.DRIVER, browser.CHROMIUM):  # without those two nothing begins
            say(f"Skipped, where a test needs it: {part.missing}")
    try:
        nginx.find_or_install()
    except Trouble as trouble:
        say(f"Skipped, where a test needs it: {trouble}")
    chromium = browser.find_or_install()
    say(f"Browser for the tests: {os.path.basename(chromium)}")
    test_parts.fetch()
    site_build.build()
    return {"GUIDE_CHROMIUM": chromium}


def main(arguments: list[str]) -> int:
    more = {} if plain(arguments) else set_up()
    command = [sys.executable, "-m", "pytest", *pytest_arguments(arguments)]
    return subprocess.run(command, cwd=ROOT, env=child_environment(**more), check=False).returncode


if __name__ == "__main__":
    main_guard(main)
