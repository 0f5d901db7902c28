"""The engine and the search work each way the guide can be opened, and failures are told in plain words."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from calc.web import respond
from tests.browser.conftest import copied, frames, went_wrong, write
from tools.build import site_build

REQUEST = {"do": "answer", "calculator": "groove", "inputs": {"thickness": "3/8 in"}}
CALL = "(request) => GuideEngine.call(request)"
SEARCH = "[data-md-component=search-query]"
RESULTS = ".md-search-result__item"


@pytest.fixture
def page(new_context):
    """An empty page in a profile that may keep the guide, as a reader's does."""
    return new_context(service_workers="allow").new_page()


def expected_answer() -> dict:
    """What calc answers here, in the Python that runs the tests."""
    return json.loads(respond(json.dumps(REQUEST)))


def search_finds(page, word: str) -> bool:
    """Type a word into the search and wait for a result."""
    page.click(SEARCH)
    page.keyboard.type(word)
    page.wait_for_selector(RESULTS, state="attached")
    return page.locator(RESULTS).count() > 0


def wait_for_offline(page, state: str) -> None:
    """Wait until the page says how far the keeping of the guide is."""
    page.wait_for_function("(state) => GuideOffline.state === state", arg=state)


def test_served_at_the_root(page, served):
    """The answer of the browser is the answer of calc; the search finds a page."""
    page.goto(served)
    assert page.evaluate(CALL, REQUEST) == expected_answer()
    assert search_finds(page, "groove")


def test_served_below_a_sub_path(page, served_subpath):
    page.goto(served_subpath + "groove.html")
    assert page.evaluate(CALL, REQUEST) == expected_answer()
    assert search_finds(page, "groove")


def test_opened_from_a_folder(page, file_site):
    """Double-click on index.html in a folder with an awkward name: nothing is fetched, everything works."""
    page.goto((file_site / "index.html").as_uri())
    assert page.evaluate(CALL, REQUEST) == expected_answer()
    assert page.evaluate("GuideOffline.state") == "unsupported"
    assert search_finds(page, "groove")


def test_folder_page_without_workers_answers_on_the_page(new_context, file_site):
    """Some browsers refuse a Blob worker in pages from a folder: the page itself then answers."""
    context = new_context()
    context.add_init_script("window.Worker = function () { throw new Error('refused'); };")
    page = context.new_page()
    page.goto((file_site / "groove.html").as_uri())
    assert page.evaluate(CALL, REQUEST) == expected_answer()


def test_kept_for_use_without_a_network(page, serve):
    """After one visit the server goes away: other pages, search and engine still work; a wrong address is told."""
    running = serve()
    page.goto(running.url)
    wait_for_offline(page, "ready")
    running.stop()
    page.goto(running.url + "groove.html?thickness=3%2F8#top")
    assert page.evaluate(CALL, REQUEST) == expected_answer()
    assert search_finds(page, "groove")
    response = page.goto(running.url + "index.html")
    assert response.ok and response.from_service_worker


def test_off_switch_forgets_everything(page, served):
    page.goto(served)
    wait_for_offline(page, "ready")
    page.evaluate("GuideOffline.off()")
    page.wait_for_function("async () => (await caches.keys()).length === 0")
    page.wait_for_function("async () => !(await navigator.serviceWorker.getRegistration())")
    page.reload()
    wait_for_offline(page, "off")
    frames(page)
    assert page.evaluate("caches.keys()") == []


def changed_copy(site: Path, folder: Path) -> Path:
    """A second version of the site: one more word on the first page."""
    copied(site, folder)
    start = folder / "index.html"
    write(start, start.read_text(encoding="utf-8").replace("<title>", "<title>Second version of ").encode())
    (folder / "sw.js").unlink()
    site_build.write_service_worker(folder)
    return folder


def test_new_version_waits_for_the_reader_and_swaps_whole(page, serve, site, tmp_path):
    """Old pages stay until the reader accepts; then the page is the new one, and the old set is gone."""
    first = serve()
    page.goto(first.url)
    wait_for_offline(page, "ready")
    first.stop()
    serve(changed_copy(site, tmp_path / "second"), "", first.port)
    page.reload()
    assert not page.title().startswith("Second version")
    wait_for_offline(page, "update-ready")
    bar = page.locator(".guide-update[role=status]")
    with page.expect_navigation():
        bar.get_by_role("button", name="Use the new version").click()
    assert page.title().startswith("Second version")
    page.wait_for_function("async () => (await caches.keys()).length === 1")


def test_half_a_set_is_never_kept(page, serve, site, tmp_path, watch):
    """A file that does not fit its hash stops the keeping: no cache stays, and the page says that it failed."""
    watch.expect(
        "sha256|integrity|Failed to find a valid digest|Failed to load resource|TypeError: Failed to fetch|sw.js"
    )
    folder = copied(site, tmp_path / "damaged")
    write(folder / "groove.html", b"damaged")
    running = serve(folder)
    page.goto(running.url)
    wait_for_offline(page, "failed")
    page.wait_for_function("async () => (await caches.keys()).length === 0")


@pytest.mark.parametrize("part", ["pyodide.asm.wasm", "pyodide.mjs", "pyodide.asm.mjs"])
def test_withheld_part_is_told_in_plain_words(page, serve, site, tmp_path, watch, part):
    """The engine without one of its parts: a reason, no endless waiting, and the printed answers stay."""
    watch.expect("Failed to load resource|dynamically imported module|could not be fetched")
    folder = copied(site, tmp_path / "withheld")
    for path in folder.glob(f"assets/engine/py-*/{part}*"):
        path.unlink()
    page.goto(serve(folder).url + "groove.html")
    answer = page.evaluate(CALL, REQUEST)
    assert answer["ok"] is False and answer["engine"] == "failed"
    assert page.evaluate("GuideEngine.state") == "failed"
    assert "could not" in answer["reason"] and "printed answers" in answer["reason"]
    assert page.locator("[data-answer]").first.inner_text().strip()


def test_damaged_runtime_is_told_and_can_be_tried_again(page, serve, site, tmp_path, watch):
    """Pyodide only logs a WebAssembly that will not start; the reader gets a reason, and a retry works once it is
    whole.
    """
    watch.expect("wasm|WebAssembly")
    folder = copied(site, tmp_path / "damaged")
    wasm = next(folder.glob("assets/engine/py-*/pyodide.asm.wasm"))
    whole = wasm.read_bytes()
    write(wasm, b"\0asm damaged")
    page.goto(serve(folder).url + "groove.html")
    answer = page.evaluate(CALL, REQUEST)
    assert answer["engine"] == "failed" and "WebAssembly" in answer["detail"]
    write(wasm, whole)
    assert page.evaluate("GuideEngine.retry()") is True
    assert page.evaluate(CALL, REQUEST) == expected_answer()


def test_cancel_ends_the_call_and_the_next_one_works(page, served):
    page.goto(served)
    page.evaluate("GuideEngine.start()")
    cancelled = page.evaluate(
        "(request) => { const call = GuideEngine.call(request); Promise.resolve().then(() => GuideEngine.cancel());"
        " return call; }", REQUEST)
    assert cancelled["engine"] == "cancelled"
    assert page.evaluate("GuideEngine.state") == "idle"
    assert page.evaluate(CALL, REQUEST) == expected_answer()


def test_policy_forbids_what_it_should(page, served, watch):
    """Text that gets into a page does not run: neither as a script element, nor as a handler, nor by eval."""
    watch.expect("Content Security Policy|requires 'Trusted")
    page.goto(served)
    page.evaluate("""() => {
      window.ran = [];
      const attempt = (work) => { try { work(); } catch { /* refused */ } };
      const script = document.createElement("script");
      attempt(() => { script.textContent = "ran.push('script')"; });
      document.body.append(script);
      const parsed = document.createElement("script");
      parsed.append("ran.push('parsed')");
      attempt(() => document.body.append(parsed));
      const image = document.createElement("img");
      attempt(() => image.setAttribute("onerror", "ran.push('handler')"));
      image.src = "data:text/plain,x";
      document.body.append(image);
      attempt(() => setTimeout("ran.push('eval')", 0));
    }""")
    went_wrong(page)
    assert page.evaluate("ran") == []
    blocked = [text for text in watch.errors if re.search(watch.expected[0], text)]
    assert len(blocked) >= 3


def test_a_missing_page_is_told_with_the_looks_and_links_of_the_guide(page, served_subpath, watch):
    watch.expect("404")
    assert page.goto(served_subpath + "moved-away.html").status == 404
    assert "no page at this address" in page.locator("main").inner_text()
    assert page.evaluate("getComputedStyle(document.querySelector('.md-header')).position") == "sticky"
    page.locator("main").get_by_role("link", name="start of the guide").click()
    page.wait_for_url(lambda url: url.startswith(served_subpath) and url.endswith("index.html"))


@pytest.mark.long
def test_nothing_is_requested_from_elsewhere_in_a_full_crawl(page, served, site):
    """Every page of the site, opened in turn. The watch fails the test for any other host."""
    pages = sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html") if path.name != "404.html")
    assert len(pages) > 1
    for name in pages:
        assert page.goto(served + name).ok, name


@pytest.mark.parametrize("way", ["served", "folder"])
def test_the_list_of_pages_ends_above_the_foot_of_a_short_page(new_context, served, file_site, way):
    """The theme fits it by script, which must also run in a folder; else the list lies over the foot."""
    page = new_context(viewport={"width": 1280, "height": 800}).new_page()
    page.goto(served + "changelog.html" if way == "served" else (file_site / "changelog.html").as_uri())
    page.wait_for_function("""() => document.querySelector('.md-sidebar--primary .md-sidebar__scrollwrap').getBoundingClientRect().bottom
      <= document.querySelector('.md-footer').getBoundingClientRect().top""")
