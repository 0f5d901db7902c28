"""The fortnight of a class, played by browsers: `python -m tests.browser.fortnight FOLDER TRAINEES KILLS HOST`.

An instructor makes the class file in a browser and serves the guide with it. Each trainee has a browser of their own
that joins by the printed address, takes the test over, practices, keeps a record and saves the files. Tabs crash and
whole browsers are killed in between. What each trainee saved lies in FOLDER/handed afterwards; what was found on the
way is printed as JSON. It is a program of its own so that it can run in a network that leads nowhere.
"""

from __future__ import annotations

import contextlib
import json
import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Error, Page, Playwright, expect, sync_playwright

from calc.classroom.classfile import read_class
from tests.browser.conftest import PATIENCE
from tests.browser.test_class_file import IN_CLASS, LINE, TEST_LINE, kept_tests, made, saved
from tests.browser.test_record import READY, kept, kill_browser, show
from tools.check import browser as browsers
from tools.common import ROOT, SITE
from tools.serve import server

QUESTIONS = "groove-angle-meaning,own-oven-log-morning"
PRACTICE, RECORD = "practice", "record"


def stages(trainees: int, kills: int) -> list[list[str]]:
    """At which stages each trainee's browser ends at once: kills shared out in turn.

    >>> stages(3, 4)
    [['practice', 'record'], ['record'], ['practice']]
    """
    shared: list[list[str]] = [[] for _ in range(trainees)]
    for number in range(kills):
        round_, trainee = divmod(number, trainees)
        shared[trainee].append((PRACTICE, RECORD)[(trainee + round_) % 2])
    return shared


class Trainee:
    """A browser with a profile of its own on disk, which outlives it."""

    def __init__(self, playwright: Playwright, folder: Path, number: int, address: str) -> None:
        self.playwright, self.profile, self.address = playwright, folder / f"profile-{number}", address
        self.name = f"Trainee {number}"
        self.errors: list[str] = []
        self.context = self.start()

    def start(self) -> BrowserContext:
        context = self.playwright.chromium.launch_persistent_context(
            self.profile, executable_path=browsers.find_or_install(), args=browsers.arguments())
        context.set_default_timeout(PATIENCE)
        context.on("weberror", lambda error: self.errors.append(str(error.error)))
        return context

    def page(self, name: str) -> Page:
        page = self.context.pages[0] if self.context.pages else self.context.new_page()
        page.goto(self.address + name)
        return page

    def kill(self) -> None:
        """The whole browser ends at once, with the record open. Chromium writes its small storage to disk minutes
        later, or when the last process that uses it ends: so a tab crashes before, and the record, which lies in the
        database, is opened again."""
        before = on_disk(self.profile)
        self.context.pages[0].evaluate("() => localStorage.setItem('fortnight', Math.random())")
        self.crash()
        wait_for(lambda: on_disk(self.profile) != before)
        page = self.page("record.html")
        page.click("[data-open]")
        page.wait_for_selector(".record-form")
        kill_browser(self.profile)
        with contextlib.suppress(Error):
            self.context.close()
        for lock in self.profile.glob("Singleton*"):
            lock.unlink()
        self.context = self.start()

    def crash(self) -> None:
        """The process of the tab ends at once."""
        page = self.context.pages[0]
        self.context.new_page()
        with contextlib.suppress(Error):
            page.goto("chrome://crash")
        page.close()

    # --- the stages ---

    def join(self) -> None:
        page = self.page("")
        expect(page.locator(LINE)).to_have_text(IN_CLASS)
        page.click(f"{LINE} a")
        page.click("[data-take-test]")
        expect(page.locator(".mine-line")).to_contain_text(TEST_LINE)
        page = self.page("progress.html")
        page.get_by_text("Readers: add, rename, remove").click()
        page.get_by_label("Name or number").fill(self.name)
        page.get_by_role("button", name="Rename the present reader").click()
        expect(page.locator("[data-totals]")).to_contain_text(self.name)

    def practice(self) -> dict[str, Any]:
        """Answer the questions, and give back what the browser keeps of it."""
        page = self.page(f"practice.html?questions={QUESTIONS}&seed=7")
        page.get_by_role("button", name=re.compile("^Start the set")).click()
        for number in range(len(QUESTIONS.split(","))):
            expect(page.locator(".question-head")).to_contain_text(f"Question {number + 1} of")
            page.locator("form.question input[name=answer]").first.check()
            page.locator("form.question button[type=submit]").click()
            expect(page.locator(".marked")).to_be_visible()
            page.locator(".marked ~ .main-button").click()
        return self.state(page)

    def state(self, page: Page) -> dict[str, Any]:
        return json.loads(page.evaluate("() => localStorage.getItem('guide.practice')"))

    def record(self) -> list[dict]:
        page = self.page("record.html")
        page.wait_for_selector(READY)
        page.click("[data-new=from-test]")
        page.wait_for_selector(".record-form")
        show(page, "welder")
        page.fill("#record-welder", self.name)
        kept(page)
        return self.records(page)

    def records(self, page: Page) -> list[dict]:
        return sorted(kept_tests(page), key=lambda each: each["id"])

    def hand_in(self, folder: Path) -> None:
        page = self.page("progress.html")
        (folder / f"{self.name} progress.json").write_bytes(saved(page, "text=Export to a file"))
        page = self.page("record.html")
        page.wait_for_selector(READY)
        page.click("[data-open]")
        (folder / f"{self.name} plate.json").write_bytes(saved(page, "[data-export]"))


def on_disk(profile: Path) -> set[tuple[str, int, int]]:
    """The files of a browser's small storage, with their sizes and times."""
    found = set()
    for path in (profile / "Default" / "Local Storage" / "leveldb").glob("*"):
        with contextlib.suppress(FileNotFoundError):
            found.add((path.name, path.stat().st_size, path.stat().st_mtime_ns))
    return found


def wait_for(true: Callable[[], bool]) -> None:
    """Look again and again until it is so, for as long as a page has patience."""
    until = time.monotonic() + PATIENCE / 1000
    while not true():
        assert time.monotonic() < until, "it never came"
        time.sleep(0.1)


@contextlib.contextmanager
def served(class_file: Path, host: str):
    """The printed address of the guide, served with a class beside it."""
    command = [sys.executable, "-m", "tools.serve.server", "--host", host, "--class", str(class_file)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=ROOT,
                               encoding="utf-8")
    told = []
    for line in process.stdout:
        told.append(line)
        if "stop with Ctrl+C)" in line:
            break
    try:
        yield re.search(r"The guide is at (http://\S+/)", "".join(told))[1]
    finally:
        process.terminate()
        process.wait()


def play(folder: Path, trainees: int, kills: int, host: str) -> dict[str, Any]:
    """The whole of it; raises at the first thing that is not as it should be."""
    handed = folder / "handed"
    handed.mkdir()
    class_file = folder / "class.json"
    killed, lost, errors = 0, [], []
    with sync_playwright() as playwright:
        with server.Running(SITE) as own, playwright.chromium.launch(
                executable_path=browsers.find_or_install(), args=browsers.arguments()) as browser:
            page = browser.new_page()
            page.set_default_timeout(PATIENCE)
            made(page, own.url)
            class_file.write_bytes(saved(page, "[data-save-class]"))
        read_class(class_file.read_bytes())
        with served(class_file, host) as address:
            for number, ends in enumerate(stages(trainees, kills), 1):
                one = Trainee(playwright, folder, number, address)
                one.join()
                before = one.practice()
                if PRACTICE in ends:
                    one.crash()
                    killed += 1
                records = one.record()
                if RECORD in ends:
                    one.kill()
                    killed += 1
                page = one.page("record.html")
                page.wait_for_selector(READY)
                if one.state(page) != before or one.records(page) != records:
                    lost.append(one.name)
                expect(page.locator(LINE)).to_have_text(IN_CLASS)
                one.hand_in(handed)
                errors += one.errors
                one.context.close()
    return {"address": address, "killed": killed, "lost": lost, "errors": errors}


if __name__ == "__main__":
    print(json.dumps(play(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]), sys.argv[4])))
