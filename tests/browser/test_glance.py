"""The table of a class while files come in: one drop after another, cleared in between, with what no browser opens."""

from __future__ import annotations

import json

from playwright.sync_api import Page, expect

from tests.browser.conftest import answered
from tests.browser.test_hands import reader, state

GLANCE = "[data-class-glance]"
NAMES = "table.glance tbody th"
# The bytes of slow.json wait until the test lets them go, and so does the table where `holdTable` says so.
HELD = """() => {
  const read = Blob.prototype.arrayBuffer;
  const bytes = new Promise((go) => { window.letGo = go; });
  Blob.prototype.arrayBuffer = async function () {
    if (this.name === "slow.json") {
      window.waits = true;
      await bytes;
    }
    return read.call(this);
  };
  const call = GuideEngine.call;
  GuideEngine.call = async (request) => {
    const answer = await call(request);
    if (request.do === "class-glance" && window.holdTable) {
      window.tableWaits = true;
      await new Promise((go) => { window.letTable = go; });
    }
    return answer;
  };
}"""
# A file, and a folder with one file that the browser does not open.
DROP = """([zone, text]) => {
  const file = new File([text], "here.json");
  const locked = { isFile: true, fullPath: "/class 3/locked.json", file: (_, fail) => fail(new Error("no")) };
  let rest = [locked];
  const folder = { isFile: false, isDirectory: true, fullPath: "/class 3", createReader: () => ({
    readEntries: (take) => take(rest.splice(0)) }) };
  const event = new Event("drop", { bubbles: true, cancelable: true });
  const items = [
    { kind: "file", getAsFile: () => file, webkitGetAsEntry: () => ({ isFile: true, file: locked.file }) },
    { kind: "file", getAsFile: () => null, webkitGetAsEntry: () => folder },
  ];
  event.dataTransfer = { items, files: [] };
  document.querySelector(zone).dispatchEvent(event);
}"""


def progress(name: str, day: int) -> str:
    return json.dumps(state(reader(name, f"p-{name.lower()}", day)))


def choose(page: Page, **names: str) -> None:
    """Choose files by their names, each the progress of one reader."""
    page.set_input_files("#class-files", [
        {"name": f"{file}.json", "mimeType": "application/json", "buffer": progress(name, 1).encode()}
        for file, name in names.items()])


def test_a_second_drop_waits_for_the_first_and_both_are_in_the_table(page: Page, served: str) -> None:
    page.goto(served + "class.html")
    page.evaluate(HELD)
    choose(page, first="Ada", slow="Bo")
    page.wait_for_function("() => window.waits")
    choose(page, second="Cy")
    answered(page)
    assert page.locator(NAMES).count() == 0, "half a class is not shown"
    page.evaluate("() => letGo()")
    expect(page.locator(f"{GLANCE} .said")).to_have_text("3 in the class.")
    assert sorted(page.locator(NAMES).all_inner_texts()) == ["Ada", "Bo", "Cy"]


def test_a_table_that_is_cleared_stays_clear_whatever_was_under_way(page: Page, served: str) -> None:
    page.goto(served + "class.html")
    said = page.locator(f"{GLANCE} .said")
    clear = page.get_by_role("button", name="Clear the table")
    page.evaluate(HELD)
    choose(page, first="Ada")
    expect(said).to_have_text("1 in the class.")
    choose(page, slow="Bo", third="Cy")
    page.wait_for_function("() => window.waits")
    clear.click()
    page.evaluate("() => letGo()")
    answered(page)
    expect(said).to_contain_text("Cleared.")
    choose(page, fourth="Dee")
    expect(said).to_have_text("1 in the class.")
    assert page.locator(NAMES).all_inner_texts() == ["Dee"]
    page.evaluate("() => { window.holdTable = true; }")
    page.fill("#class-test", "2026-04-02")
    page.wait_for_function("() => window.tableWaits")
    clear.click()
    page.evaluate("() => { window.holdTable = false; letTable(); }")
    answered(page)
    expect(said).to_contain_text("Cleared.")
    assert page.locator(NAMES).count() == 0


def test_what_the_browser_does_not_open_of_a_drop_is_named_beside_what_came_in(page: Page, served: str) -> None:
    page.goto(served + "class.html")
    page.evaluate(DROP, [".glance-drop", progress("Ada", 1)])
    expect(page.locator(f"{GLANCE} .said")).to_have_text("1 in the class.")
    assert page.locator(NAMES).all_inner_texts() == ["Ada"]
    expect(page.locator(".glance-refused li")).to_contain_text("class 3/locked.json")
