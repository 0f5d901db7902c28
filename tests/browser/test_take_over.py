"""The reader's own test in the record and in practice: taken over, obeyed, and left alone where it is not wanted."""

from __future__ import annotations

import json

from playwright.sync_api import Page, expect

from calc.catalogue import calculator
from calc.core.declare import phrase_text, taken
from calc.plate_test.fields import FIELDS
from calc.plate_test.take_over import words_of
from calc.plate_test.work import fills
from calc.practice.forms import form_named
from calc.practice.questions import Question, draw
from calc.record.demo import TEST
from calc.record.fields import PLATE_TEST
from calc.record.form import templates_html
from calc.record.shape import as_data
from tests.browser.test_record import READY, field, kept, lean, open_page, show, stored
from tools.build import local_pages

LINE = "3G up · 3/8 in A36 · E7018 1/8 in · 115–135 A"


def mine() -> dict:
    """What the page of the test keeps for the other pages."""
    taking = {identifier: {name: taken(calculator(identifier).input(name)) for name in inputs}
              for identifier, inputs in fills(TEST).items()}
    own = {identifier: {name: fact for name, fact in inputs.items() if fact in FIELDS}
           for identifier, inputs in taking.items()}
    return {"id": TEST.id, "name": TEST.name, "line": LINE, "fills": fills(TEST), "own": own, "prose": {},
            "values": dict(TEST.values)}


def said() -> dict[str, dict[str, str]]:
    """What the page of practice passes on: what the reader said of each calculator's inputs."""
    known = mine()
    return {identifier: {name: known["fills"][identifier][name] for name, fact in fields.items()
                         if fact in known["values"]} for identifier, fields in known["own"].items()}


def declare(page: Page) -> None:
    """Make the demonstration's test the reader's own, as the page of the test does."""
    page.evaluate("record => GuideRecord.app.store.write({ id: record.id, record, revision: 0 })", as_data(TEST))
    page.evaluate("mine => Guide.mine.keep(mine)", mine())


def test_a_new_record_starts_from_the_test_and_obeys_its_wps(page: Page, served: str) -> None:
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    declare(page)
    expect(page.locator(".record-mine")).to_have_text(f"Your test: {LINE}")
    page.click("[data-new=from-test]")
    page.wait_for_selector(".record-form")
    expect(page.locator("[data-taken]")).to_have_text(words_of(TEST))
    show(page, "steel", "amps", "electrode")
    assert [field(page, name).input_value() for name in ("procedure", "direction", "amps_high")] == [
        "FL-TP-03, issue 2", "up", "135 A",
    ]
    seen_on_the_day = ("date", "amps", "plate_temperature", "thickness", "plate_length", "plate_width")
    assert [field(page, name).input_value() for name in seen_on_the_day] == [""] * len(seen_on_the_day)
    field(page, "amps").fill("140 A")
    expect(page.locator("[data-said=amps] [data-level=stop]")).to_contain_text("in your WPS")
    show(page, "passes")
    page.click("[data-rows=passes] [data-add-row]")
    page.fill("#record-passes-1-amps", "136 A")
    expect(page.locator("[data-said='passes/1/amps'] [data-level=stop]")).to_contain_text("in your WPS, 135 A")
    expect(page.locator("[data-line=test][data-level=stop]")).to_have_count(1)
    expect(page.locator(".record-paper .sheet-flags")).to_contain_text("140 A is over the maximum in your WPS, 135 A")
    kept(page)
    test = next(entry["record"] for entry in stored(page) if entry["id"] == TEST.id)
    assert test["values"] == as_data(TEST)["values"], "the test itself stays as it was"


def test_a_blank_record_is_there_too_and_a_test_that_is_gone_is_told(page: Page, served: str) -> None:
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    assert page.locator("[data-new=from-test], .record-mine").count() == 0
    declare(page)
    page.click("[data-new=test-day]")
    page.wait_for_selector(".record-form")
    show(page, "steel")
    assert field(page, "steel").input_value() == "" and page.locator("[data-taken]").count() == 0
    page.click("[data-back]")
    page.evaluate("id => GuideRecord.app.store.forget(id)", TEST.id)
    page.click("[data-new=from-test]")
    expect(page.locator(".record-told")).to_contain_text("is no longer in this browser")
    assert page.locator(".record-form").count() == 0


def questions(page: Page) -> list[tuple[Question, str]]:
    """Go through the set under way: each question as drawn with the reader's figures, and what the page shows."""
    found = []
    form, ended = page.locator("form.question:has([type=submit])"), page.locator(".finished")
    while True:
        expect(form.or_(ended)).to_be_visible()
        if ended.count():
            return found
        asked = form_named(form.get_attribute("data-question"))
        figures = said().get(asked.drawn.calculator, {}) if asked.drawn else {}
        found.append((draw(asked, form.get_attribute("data-seed"), figures), form.inner_text()))
        if asked.kind == "number":
            form.locator("input[name=answer]").fill("1")
        elif asked.kind == "order":
            for number, select in enumerate(form.locator("select").all(), 1):
                select.select_option(str(number))
        else:
            form.locator("input[name=answer]").first.check()
        form.locator("[type=submit]").click()
        page.locator(".marked ~ .main-button").click()


def test_questions_of_a_set_are_about_the_reader_s_own_test(page: Page, served: str) -> None:
    page.clock.set_fixed_time("2026-03-02T12:00:00")
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    declare(page)
    page.goto(served + "practice.html")
    review = page.locator("[data-practice=review]")
    review.get_by_text("Choose chapters and length").click()
    review.get_by_role("button", name="None").click()
    review.locator("#review-groove").check()
    review.locator("select[name=size]").select_option("5")
    review.get_by_role("button", name="Start today's set").click()
    found = questions(page)
    assert any(question.own for question, _ in found) and not all(question.own for question, _ in found)
    for question, shown in found:
        assert phrase_text(question.text, "us") in shown.replace("\xa0", " ") or not question.own
        assert ("From your own test:" in shown) == bool(question.own)


def test_a_set_from_a_link_is_the_same_for_everyone(page: Page, served: str) -> None:
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    declare(page)
    page.goto(served + "practice.html?questions=groove-face-width,groove-width-run,groove-included-angle&seed=7")
    page.locator("[data-practice=review] .main-button").click()
    found = questions(page)
    assert any(question.own for question, _ in found), "with this seed a set of the reader's own would ask about the test"
    assert not [shown for _, shown in found if "own test" in shown]


def test_a_test_starts_from_the_shop_s_limits(new_context, site, served) -> None:
    limits = local_pages.read_limits(
        'procedure = "P-7"\n[[limit]]\nname = "Amperage"\nleast = "115 A"\nmost = "135 A"\nfact = "amps"'
    )
    text = json.dumps(as_data(limits.test)).replace("&", "&amp;").replace('"', "&quot;")
    context = new_context()
    lean(context, site, app=templates_html((PLATE_TEST,)) + f'<template data-shop-test="{text}"></template>')
    page = open_page(context, served)
    page.click("[data-new=shop]")
    page.wait_for_selector(".record-form")
    expect(page.locator("[data-taken]")).to_contain_text("P-7. The guide did not check them.")
    show(page, "amps_low", "wps")
    assert [field(page, name).input_value() for name in ("amps_low", "amps_high", "wps", "steel")] == [
        "115 A", "135 A", "P-7", "",
    ]
    kept(page)
    (made,) = stored(page)
    assert made["id"] != "shop-test" and made["record"]["created"] > "2026-01-01T00:00:00Z"
