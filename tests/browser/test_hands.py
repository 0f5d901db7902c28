"""Plates, progress and the first question in a real browser: logged in a minute, joined and undone, reached by keys."""

from __future__ import annotations

import json
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import answered
from tests.browser.test_practice import FULL, KEY, focused, kept

QUESTION_INPUT = "form.question :is(input:not([name=unsure]), select)"
CARD = {"ease": 2.5, "interval": 1, "in_a_row": 1, "due": "2026-03-02", "again": False, "seen": 1, "last": 5}
FORM = "groove-angle-meaning"


def reader(name: str, ident: str, *days: int) -> dict:
    answers = {f"2026-03-{day:02d}T08:00:00": 5 for day in days}
    return {"name": name, "cards": {FORM: {**CARD, "seen": len(days)}}, "read": {}, "memory": {}, "ids": [ident],
            "answers": {FORM: answers}}


def state(*readers: dict) -> dict:
    return {"format": "plate-test-guide-progress", "version": 3, "active": 0, "profiles": list(readers)}


def put(page: Page, address: str, data: dict) -> None:
    page.goto(address)
    page.evaluate("([key, text]) => localStorage.setItem(key, text)", [KEY, json.dumps(data)])
    page.goto(address)


@pytest.mark.parametrize("size", [(390, 844), (1280, 800)], ids=["phone", "desk"])
def test_from_opening_practice_three_keys_lead_into_the_first_question(new_context, served: str, size) -> None:
    page = new_context(viewport={"width": size[0], "height": size[1]}).new_page()
    page.goto(f"{served}practice.html")
    start = page.get_by_role("button", name="Start today's set")
    expect(start).to_be_focused()
    expect(start).to_be_in_viewport(ratio=1)
    keys = 0
    page.keyboard.press("Enter")
    keys += 1
    expect(page.locator(".question-head")).to_be_focused()
    while not focused(page, QUESTION_INPUT):
        page.keyboard.press("Tab")
        keys += 1
        assert keys <= 3
    # Nobody who went elsewhere is called back.
    page.goto(f"{served}practice.html#practice-when")
    expect(page.get_by_role("button", name="Go on with it")).to_be_visible()
    assert not focused(page, ".main-button")


def test_the_progress_page_is_six_screens_and_opens_by_chapter(new_context, served: str) -> None:
    page = new_context(viewport={"width": 390, "height": 844}).new_page()
    put(page, f"{served}progress.html", state(reader("7", "p-1", 1)))
    panel = page.locator("[data-practice=progress]")
    expect(panel.locator("[data-totals]")).to_contain_text("7: of")
    groove = page.locator("details.objectives", has_text="The groove").first
    expect(groove.locator("[data-chapter-standing]")).to_contain_text("1 shaky")
    expect(panel.locator("[data-today]")).to_contain_text("Set for today: 1.")
    assert page.evaluate("() => document.documentElement.scrollHeight / innerHeight") <= 6
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    expect(page.locator('[data-standing="groove-angle"]')).to_be_hidden()
    groove.locator("summary").press("Enter")
    expect(page.locator('[data-standing="groove-angle"]')).to_contain_text("shaky")


def test_without_scripts_the_objectives_of_a_chapter_open_too(new_context, served: str) -> None:
    page = new_context(java_script_enabled=False).new_page()
    page.goto(f"{served}progress.html")
    fold = page.locator("details.objectives", has_text="The groove").first
    expect(fold.locator("[data-chapter-standing]")).to_contain_text("objectives")
    fold.locator("summary").click()
    expect(fold.get_by_role("link", name="Practice this chapter")).to_be_visible()
    expect(fold.locator("tbody tr").first).to_be_visible()


def test_an_import_joins_three_readers_asks_for_strangers_and_is_undone(page: Page, served: str, tmp_path) -> None:
    here = state(reader("7", "p-7", 1), reader("Ada (invented)", "p-ada", 2), reader("9", "p-9", 3))
    put(page, f"{served}progress.html", here)
    panel = page.locator("[data-practice=progress]")
    expect(panel.locator("[data-totals]")).to_contain_text("7: of")
    before = kept(page)
    file = tmp_path / "progress.json"
    brought = state(reader("seven", "p-7", 1, 4), reader("9", "p-stranger", 5), reader("12", "p-12", 6))
    file.write_text(json.dumps(brought))
    chooser = panel.get_by_label(re.compile("Import from a file"))
    chooser.set_input_files(file)
    expect(panel.get_by_role("heading", name="What this file would change")).to_be_focused()
    expect(panel.locator('[data-meeting="0"]')).to_contain_text("adds to “7”: 1 answer")
    expect(panel.locator('[data-meeting="1"]')).to_contain_text("Is it the same person?")
    expect(panel.locator('[data-meeting="2"]')).to_contain_text("comes beside the readers here, with 1 answer")
    assert kept(page) == before, "nothing changes before it is said"
    panel.get_by_role("button", name="Import this").click()
    expect(panel.locator(".bring").get_by_role("alert")).to_have_text("Say first who is who.")
    panel.get_by_label(re.compile("Another person")).check()
    panel.get_by_role("button", name="Import this").click()
    expect(panel.locator(".said")).to_have_text("Imported. Nothing that was here is lost.")
    after = kept(page)
    assert [each["name"] for each in after["profiles"]] == ["7", "Ada (invented)", "9", "9 (2)", "12"]
    assert len(after["profiles"][0]["answers"][FORM]) == 2 and after["profiles"][0]["cards"][FORM]["seen"] == 2
    assert after["profiles"][1:3] == before["profiles"][1:3]
    chooser.set_input_files(file)
    expect(panel.locator(".said")).to_have_text("Nothing was changed: all that the file holds is here already.")
    assert kept(page) == after
    page.reload()
    panel.get_by_role("button", name="Undo the import").click()
    expect(panel.locator(".said")).to_have_text("The import is undone.")
    assert kept(page)["profiles"] == before["profiles"]
    expect(panel.get_by_role("button", name="Undo the import")).to_have_count(0)


def test_what_was_done_after_an_import_is_never_undone(page: Page, served: str, tmp_path) -> None:
    put(page, f"{served}progress.html", state(reader("7", "p-7", 1)))
    panel = page.locator("[data-practice=progress]")
    file = tmp_path / "progress.json"
    file.write_text(json.dumps(state(reader("12", "p-12", 6))))
    panel.get_by_label(re.compile("Import from a file")).set_input_files(file)
    panel.get_by_role("button", name="Import this").click()
    expect(panel.get_by_role("button", name="Undo the import")).to_be_visible()
    panel.get_by_label("Who is reading").select_option("1")
    expect(panel.locator("[data-totals]")).to_contain_text("12: of")
    expect(panel.get_by_role("button", name="Undo the import")).to_have_count(0)


def test_two_tabs_change_the_readers_that_they_show(page: Page, served: str) -> None:
    put(page, f"{served}progress.html", state(reader("7", "p-7", 1), reader("8", "p-8", 2), reader("9", "p-9", 3)))
    other = page.context.new_page()
    other.goto(page.url)
    for tab in (page, other):
        expect(tab.locator("[data-totals]")).to_contain_text("7: of")
        tab.get_by_text("Readers: add, rename, remove").click()

    def names() -> list[str]:
        return [each["name"] for each in kept(page)["profiles"]]

    other.get_by_label("Who is reading").select_option("8")
    expect(other.locator("[data-totals]")).to_contain_text("8: of")
    page.get_by_label("Name or number").fill("9")
    page.get_by_role("button", name="Rename the present reader").click()
    expect(page.locator("[data-practice=progress] .said")).to_have_text("There is a reader “9” already.")
    page.get_by_label("Name or number").fill("Ada (invented)")
    page.get_by_role("button", name="Rename the present reader").click()
    expect(page.locator("[data-practice=progress] .said")).to_have_text("Renamed to Ada (invented).")
    assert names() == ["Ada (invented)", "8", "9"] and kept(page)["active"] == 1
    # The first tab shows 8 now. The second takes 9 away, which the first still lists.
    other.get_by_label("Who is reading").select_option("9")
    expect(other.locator("[data-totals]")).to_contain_text("9: of")
    other.get_by_text("Readers: add, rename, remove").click()
    other.get_by_role("button", name="Remove the present reader").click()
    other.get_by_role("button", name="Yes, remove this reader").click()
    expect(other.locator("[data-practice=progress] .said")).to_contain_text("Removed: 9.")
    page.get_by_label("Who is reading").select_option("9")
    expect(page.locator("[data-practice=progress] .said")).to_contain_text("There is no reader “9” any more")
    assert names() == ["Ada (invented)", "8"] and kept(page)["active"] == 0
    page.reload()
    expect(page.locator("[data-totals]")).to_contain_text("Ada (invented): of")


@pytest.mark.parametrize("text, words", [
    ('{"format": "plate-test-guide-prog', "the file is damaged: it is not JSON"),
    ('{"format": "other"}', "this is not a progress file of this guide"),
    (json.dumps(state() | {"version": 9}), "the file was written by a newer version of the guide"),
], ids=["damaged", "foreign", "newer"])
def test_a_file_that_cannot_be_used_gets_a_plain_line(page: Page, served: str, tmp_path, text: str, words: str) -> None:
    put(page, f"{served}progress.html", state(reader("7", "p-7", 1)))
    panel = page.locator("[data-practice=progress]")
    expect(panel.locator("[data-totals]")).to_contain_text("7: of")
    before = kept(page)
    file = tmp_path / "progress.json"
    file.write_text(text)
    panel.get_by_label(re.compile("Import from a file")).set_input_files(file)
    expect(panel.locator(".said")).to_have_text(f"Nothing was changed: {words}.")
    assert kept(page) == before


def test_a_plate_is_kept_fills_the_calculator_and_stands_beside_the_answers(page: Page, served: str) -> None:
    page.goto(f"{served}plates.html")
    panel = page.locator("[data-practice=plates]")
    panel.get_by_label("Opened in the bend").select_option("slag-inclusion")
    panel.get_by_label("Verdict").select_option("failed")
    panel.get_by_role("button", name="Keep this plate").click()
    expect(panel.get_by_role("alert")).to_have_text("Say on which specimen it opened.")
    expect(panel.get_by_label("On which specimen")).to_be_focused()
    panel.get_by_label("On which specimen").select_option("face")
    panel.get_by_role("button", name="Keep this plate").click()
    expect(panel.get_by_role("status").filter(has_text="The plate is kept.")).to_be_visible()
    panel.get_by_label("Verdict").select_option("passed")
    panel.get_by_role("button", name="Keep this plate").click()
    expect(panel).to_contain_text("1 of 2 plates passed")
    headline = page.locator("#plate-chance [data-headline]")
    expect(headline).to_contain_text("1 of 2 plates passed")
    plates = kept(page)["profiles"][0]["plates"]
    assert sorted(each["verdict"] for each in plates.values()) == ["failed", "passed"]
    panel.get_by_text("2 plates kept").click()
    panel.get_by_role("button", name=re.compile("Remove the plate")).first.click()
    expect(panel).to_contain_text("of 1 plates passed")
    panel.get_by_role("button", name="Undo: put it back").click()
    expect(panel).to_contain_text("1 of 2 plates passed")
    assert kept(page)["profiles"][0]["plates"] == plates
    page.goto(f"{served}practice.html")
    ready = page.locator("[data-practice=ready]")
    ready.get_by_role("button", name="Work it out").click()
    expect(ready.get_by_role("heading", name="Hands")).to_be_visible()
    expect(ready).to_contain_text("Chance to pass the next plate: 50 %")


def test_a_plate_counts_once_however_often_the_button_is_pressed(page: Page, served: str) -> None:
    page.goto(f"{served}plates.html")
    panel = page.locator("[data-practice=plates]")
    panel.get_by_role("button", name="Keep this plate").evaluate("button => { button.click(); button.click(); }")
    expect(panel).to_contain_text("1 plate kept")
    answered(page)
    assert len(kept(page)["profiles"][0]["plates"]) == 1
    # Kept by a browser that has no room, it is not said to be kept.
    page.evaluate(f"() => {{ {FULL} }}")
    panel.get_by_role("button", name="Keep this plate").click()
    expect(panel.get_by_role("alert").filter(has_text="no room left")).to_be_visible()
    expect(panel).to_contain_text("2 plates kept")
    expect(panel.get_by_text("The plate is kept.")).to_have_count(0)


def test_rows_that_the_reader_wrote_are_not_replaced_unasked(page: Page, served: str) -> None:
    page.goto(f"{served}plates.html")
    section = page.locator("#plate-chance")
    section.get_by_text(re.compile("More inputs")).click()
    section.locator("[data-row] select").last.select_option("passed")
    section.locator("[data-row]").first.get_by_role("button").last.click()
    own = page.evaluate("() => Guide.forms()[0].texts().plates")
    panel = page.locator("[data-practice=plates]")
    panel.get_by_label("Verdict").select_option("passed")
    panel.get_by_role("button", name="Keep this plate").click()
    put_in = panel.get_by_role("button", name="Put these plates into the calculator")
    expect(put_in).to_be_visible()
    assert page.evaluate("() => Guide.forms()[0].texts().plates") == own
    put_in.click()
    expect(section.locator("[data-headline]")).to_contain_text("1 of 1 plates passed")


def test_a_finished_record_of_this_browser_becomes_a_plate_once(page: Page, served: str) -> None:
    from dataclasses import replace

    from calc.record.demo import PLATE
    from calc.record.shape import as_data

    done = as_data(replace(PLATE, invented=False, id="record-0001", name="Plate of Monday"))
    page.goto(f"{served}plates.html")
    panel = page.locator("[data-practice=plates]")
    expect(panel.get_by_role("button", name="Keep this plate")).to_be_visible()
    page.evaluate(
        "async record => { const { store } = await GuideRecord.openStore();"
        " await store.write({ id: record.id, record, revision: 0, keys: 1 }); }", done)
    take = panel.get_by_role("button", name="Take plates from my records")
    take.click()
    expect(panel.get_by_label(re.compile("Plate of Monday"))).to_be_checked()
    panel.get_by_role("button", name="Keep these plates").click()
    expect(panel.get_by_role("status").filter(has_text="Plates kept: 1.")).to_be_visible()
    (plate,) = kept(page)["profiles"][0]["plates"].values()
    assert plate["record"] == "record-0001" and plate["position"] == "3G"
    take.click()
    expect(panel.get_by_role("status").filter(has_text="No finished record that is not kept already.")).to_be_visible()


def test_a_reader_of_an_older_version_goes_on_and_each_answer_is_kept(page: Page, served: str) -> None:
    old = {"format": "plate-test-guide-progress", "version": 2, "active": 0,
           "profiles": [{"name": "7", "cards": {FORM: CARD}, "read": {}, "memory": {}}]}
    put(page, f"{served}practice.html?questions={FORM}&seed=7", old)
    page.get_by_role("button", name="Start the set of 1").click()
    page.locator("input[name=answer]").first.check()
    page.get_by_role("button", name="Check my answer").click()
    expect(page.locator(".marked")).to_be_visible()
    (profile,) = kept(page)["profiles"]
    assert kept(page)["version"] == 3 and profile["before"]["cards"] == {FORM: CARD} and len(profile["ids"]) == 1
    assert profile["cards"][FORM]["seen"] == 2 and len(profile["answers"][FORM]) == 1


def test_two_machines_tell_their_readers_apart(new_context, served: str) -> None:
    """Two machines make two different ids for a reader of one name."""
    ids = []
    for _ in range(2):
        page = new_context().new_page()
        page.goto(f"{served}plates.html")
        page.get_by_role("button", name="Keep this plate").click()
        expect(page.locator("[data-practice=plates]")).to_contain_text("1 plate kept")
        ids += kept(page)["profiles"][0]["ids"]
    assert len(set(ids)) == 2
