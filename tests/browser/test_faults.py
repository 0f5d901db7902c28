"""Things that break around the guide: the reader sees in words what happened, and loses nothing.

Faults are made as near to the truth as the browser lets us: a server that falls silent, a browser killed by its
process, bytes changed in the cache, a quota set at the browser, site data forbidden in the browser's own settings, a
worker that is gone. What stands elsewhere is not repeated here: parts of the engine withheld or damaged
(test_ways_to_open.py), a crash while typing, a database that is closed and photographs without room (test_record.py),
damaged progress (test_practice.py).
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from calc.practice import progress
from calc.record.demo import PLATE
from calc.record.files import write_record
from tests.browser.conftest import PATIENCE, copied, write
from tests.browser.test_record import kill_browser, show
from tools.build import policy, site_build
from tools.serve import server

STATUS = "[data-offline-status]"
THICK = "#groove-thickness"
HEADLINE = "#groove [data-headline]"
PRINTED, ONE_INCH = "0.5607", "1.078"
"""Face width of the groove: 0.25 + 2 × 0.375 × tan 22.5° = 0.5607 in as printed, 0.25 + 2 × tan 22.5° = 1.0784 in for 1 in."""
READY = "#record-app[data-ready]"
SET = "practice.html?questions=groove-angle-meaning,groove-included-angle&seed=7"
LOST = "ERR_|Failed to (load|fetch)|integrity|digest|ServiceWorker|sw.js|could not be fetched|dynamically imported"
"""What the console says of files that did not come."""


# --- sites to break ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def small(site, tmp_path_factory) -> Path:
    """The guide without its calculators and most chapters: how it is kept is the same, and it is kept at once."""
    folder = copied(site, tmp_path_factory.mktemp("small") / "site")
    shutil.rmtree(folder / "assets" / "engine")
    (folder / "assets" / "engine").mkdir()
    shutil.copy2(site / "assets" / "engine" / "offline.js", folder / "assets" / "engine")
    (folder / "sw.js").unlink()
    write(folder / "assets" / "engine" / "engine.js", b"")
    site_build.write_service_worker(folder)
    return folder


def next_version(folder: Path, made: Path, name: str = "index.html") -> Path:
    """The version after: one page of it has another title."""
    copied(folder, made)
    page = (made / name).read_text(encoding="utf-8")
    write(made / name, page.replace("<title>", "<title>Second version of ").encode())
    (made / "sw.js").unlink()
    site_build.write_service_worker(made)
    return made


@pytest.fixture
def silent_for(monkeypatch) -> Callable[[str | None], None]:
    """Makes servers of this process never answer for one address, or answer again: what waits is cut off when the
    server stops.
    """
    answer = server.SiteFiles.get_response

    def silence(address: str | None) -> None:
        async def answer_or_wait(self, path, scope):
            if scope["path"] == address:
                await asyncio.Event().wait()
            return await answer(self, path, scope)

        monkeypatch.setattr(server.SiteFiles, "get_response", answer_or_wait)

    return silence


def says(page, words: str, place: str = STATUS) -> None:
    expect(page.locator(place).first).to_contain_text(words)


def caches_of(page) -> list[str]:
    return page.evaluate("caches.keys()")


# --- keeping the guide: interrupted, damaged, out of room -----------------------------------------------


def test_a_server_that_dies_while_the_guide_is_saved(new_context, serve, small, watch, silent_for):
    """Half a set is not used and is told; when the server is back it becomes a whole one at the press of a button."""
    watch.expect(LOST)
    silent_for("/register.html")
    running = serve(small)
    page = new_context(service_workers="allow").new_page()
    page.goto(running.url + "offline.html")
    page.wait_for_function("() => GuideOffline.state === 'caching' && GuideOffline.detail.done > 0")
    assert re.search(r"Saving: \d+ %", page.inner_text(STATUS))
    assert len(caches_of(page)) == 1, "the set is half filled"
    running.stop()
    says(
        page, "did not come whole from the network. The guide still works with the network. Try again here, or on your "
        "next visit.",
    )
    assert caches_of(page) == []
    with pytest.raises(Error):
        page.context.new_page().goto(running.url + "index.html")
    silent_for(None)
    again = serve(small, "", running.port)
    page.get_by_role("button", name="Save the guide in this browser").click()
    says(page, "Saved. You can use this guide without a network.")
    again.stop()
    page.goto(running.url + "register.html")
    assert "Sources" in page.title() or page.locator("main h1").inner_text()


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="finds the browser the way of Linux")
def test_a_browser_killed_while_the_guide_is_saved(browser, launching, fonts, serve, small, tmp_path, silent_for):
    """The half that lies in the cache is not used after it; the next visit makes a whole set."""
    def opened():
        context = browser.browser_type.launch_persistent_context(str(tmp_path), **launching(fonts))
        context.set_default_timeout(PATIENCE)
        return context

    silent_for("/register.html")
    running = serve(small)
    context = opened()
    page = context.new_page()
    page.goto(running.url + "offline.html")
    page.wait_for_function("() => GuideOffline.state === 'caching' && GuideOffline.detail.done > 0")
    kill_browser(tmp_path)
    with contextlib.suppress(Error):
        context.close()
    running.stop()

    silent_for(None)
    context = opened()
    try:
        with pytest.raises(Error):
            context.new_page().goto(running.url + "offline.html")
        page = context.new_page()
        again = serve(small, "", running.port)
        page.goto(again.url + "offline.html")
        says(page, "Saved. You can use this guide without a network.")
        again.stop()
        page.goto(again.url + "register.html")
        assert page.locator("main h1").is_visible()
    finally:
        context.close()


@pytest.mark.parametrize("fault", ["damaged", "missing"])
def test_a_file_of_the_set_that_is_not_as_listed(new_context, serve, small, tmp_path, watch, fault):
    """The guide is not saved and says which file it was; with the network it goes on."""
    watch.expect(LOST)
    folder = copied(small, tmp_path / fault)
    (folder / "groove.html").unlink()
    if fault == "damaged":
        write(folder / "groove.html", b"garbage")
    page = new_context(service_workers="allow").new_page()
    page.goto(serve(folder).url + "offline.html")
    says(page, "Not saved: the file groove.html did not come whole from the network")
    says(page, "still works with the network")
    assert caches_of(page) == []
    page.goto(page.url.replace("offline", "bending"))
    assert page.locator("main h1").is_visible()


DAMAGE = """async (names) => {
  const [name] = await caches.keys();
  const cache = await caches.open(name);
  for (const path of names) {
    const kept = await cache.match(new URL(path, location.href).href);
    if (path.startsWith("gone") || !kept) throw new Error(path);
    if (path === "bending.html") await cache.delete(kept.url);
    else await cache.put(kept.url, new Response("garbage", { headers: kept.headers }));
  }
}"""


def test_kept_files_that_are_damaged_later(new_context, serve, site, watch):
    """With the network a damaged page mends itself; without it words stand there and never what is damaged.

    The same for the engine.
    """
    watch.expect(LOST + "|503|installing the standard library|wasm")
    running = serve()
    context = new_context(service_workers="allow")
    page = context.new_page()
    page.goto(running.url + "offline.html")
    says(page, "Saved.")
    both_ways = [
        path.relative_to(site).as_posix() for path in (site / "assets" / "engine").glob("[cm]*-*.*")
        if path.suffix in {".zip", ".bin"}
    ]
    page.evaluate(DAMAGE, ["register.html", "groove.html", "bending.html", *both_ways])
    page.goto(running.url + "register.html")  # has no form, so that the engine is not fetched yet
    assert page.locator("main h1").is_visible() and "garbage" not in page.content()
    assert "garbage" not in page.evaluate(
        "async () => (await (await caches.open((await caches.keys())[0])).match(location.href)).text()"
    )

    running.stop()
    for name in ("groove.html", "bending.html"):
        page.goto(running.url + name)
        says(page, "This page is damaged", "main")
        says(page, "Nothing you typed is lost", "main")
    page.get_by_role("link", name="To the first page").click()
    assert page.locator(".md-header").is_visible()
    page.goto(running.url + "bevelling.html")
    page.wait_for_selector(".engine")
    page.evaluate("GuideEngine.start()")
    says(page, "could not start: the calculators could not be fetched", ".engine[data-state=failed]")
    says(page, "printed answers on this page still hold", ".engine[data-state=failed]")

    serve(site, "", running.port)
    page.locator(".engine[data-state=failed] button").first.click()
    page.wait_for_selector(".engine[data-state=ready]")
    page.goto(running.url + "groove.html")
    expect(page.locator(HEADLINE)).to_contain_text(PRINTED)


def test_no_room_to_save_the_guide_or_its_next_version(new_context, serve, small, tmp_path, watch):
    """The quota of the browser itself. The guide goes on, says how much it needs, and keeps the version that it has."""
    watch.expect("Quota|sw.js|ServiceWorker")
    first = serve(small)
    page = new_context(service_workers="allow").new_page()
    devtools = page.context.new_cdp_session(page)

    def quota(size: int | None) -> None:
        devtools.send(
            "Storage.overrideQuotaForOrigin",
            {"origin": first.url.rstrip("/"), **({} if size is None else {"quotaSize": size})},
        )

    quota(100_000)
    page.goto(first.url + "offline.html")
    says(page, "Not saved: this device gives the browser no room for it")
    assert caches_of(page) == []
    quota(None)
    page.get_by_role("button", name="Save the guide in this browser").click()
    says(page, "Saved. You can use this guide without a network.")
    first.stop()

    serve(next_version(small, tmp_path / "second"), "", first.port)
    quota(100_000)
    page.evaluate("async () => { (await navigator.serviceWorker.getRegistration()).update().catch(() => {}); }")
    says(page, "A newer version could not be saved: this device gives the browser no room")
    page.goto(first.url + "index.html")
    assert not page.title().startswith("Second version")


# --- a new version while tabs are open --------------------------------------------------------------------


@pytest.mark.long
def test_a_new_version_takes_nothing_from_the_open_tabs(new_context, serve, site, tmp_path, watch):
    """Two versions on three tabs: the old ones go on from the old set; after the swap the typed numbers, the record
    and the set are there.
    """
    first = serve(site)
    context = new_context(service_workers="allow")
    numbers, record, practice = context.new_page(), context.new_page(), context.new_page()
    numbers.goto(first.url + "groove.html")
    numbers.wait_for_function("() => GuideOffline.state === 'ready'")
    first.stop()
    serve(next_version(site, tmp_path / "second", "groove.html"), "", first.port)
    numbers.evaluate("async () => { await (await navigator.serviceWorker.getRegistration()).update(); }")
    bar = numbers.locator(".guide-update[role=status]")
    expect(bar).to_contain_text("A new version of this guide is ready. Your entries are kept.")

    # Before the swap every tab is of the old version, the engine as well.
    numbers.reload()
    assert not numbers.title().startswith("Second version")
    numbers.fill(THICK, "1 in")
    expect(numbers.locator(HEADLINE)).to_contain_text(ONE_INCH)
    record.goto(first.url + "record.html")
    record.wait_for_selector(READY)
    record.click("[data-new=test-day]")
    record.fill("#record-name", "Plate of the swap")
    practice.goto(first.url + SET)
    practice.get_by_role("button", name="Start the set of 2").click()
    practice.locator("input[name=answer]").first.check()
    practice.get_by_role("button", name="Check my answer").click()
    practice.get_by_role("button", name=re.compile("Next question")).click()
    second = practice.locator("form.question input[type=text]")
    second.fill("44 deg")

    pages = (numbers, record, practice)
    for page in pages:
        page.evaluate("window.before = true")
    record.evaluate("document.querySelector('#record-name').value += ' and one word more'")
    record.locator("#record-name").dispatch_event("input")
    numbers.get_by_role("button", name="Use the new version").click()
    for page in pages:
        page.wait_for_function("() => !window.before && document.readyState === 'complete'")
    assert numbers.title().startswith("Second version")
    assert numbers.input_value(THICK) == "1 in"
    expect(numbers.locator(HEADLINE)).to_contain_text(ONE_INCH)
    record.wait_for_selector(READY)
    assert record.locator("[data-open]").inner_text() == "Plate of the swap and one word more"
    says(practice, "You are in the middle of a set: 1 of", "[data-under-way]")
    practice.get_by_role("button", name="Go on with it").click()
    expect(second).to_have_value("44 deg")
    says(practice, "Question 2 of", ".question-head")


NEWER = """async () => {
  const entry = (await GuideRecord.app.store.all())[0];
  const record = { ...entry.record, version: 99, name: "From the newer guide", values: { ...entry.record.values, of_tomorrow: "kept" } };
  const db = await new Promise((done) => { const asked = indexedDB.open("guide-records"); asked.onsuccess = () => done(asked.result); });
  const work = db.transaction("records", "readwrite");
  work.objectStore("records").put({ ...entry, record, revision: entry.revision + 1, writer: "tnewer" });
  await new Promise((done) => { work.oncomplete = done; });
  db.close();
  new BroadcastChannel("guide-record").postMessage({ id: entry.id });
}"""


def test_a_record_of_a_newer_version_is_refused_and_left_as_it_is(new_context, served, watch, tmp_path):
    """The tab that has it open closes it and says so; the list names it, does not open it, and gives it out whole."""
    page = new_context().new_page()
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    page.click("[data-new=test-day]")
    page.fill("#record-name", "Old")
    page.wait_for_function("() => GuideRecord.app.waiting.size === 0 && !GuideRecord.app.saving")
    page.evaluate(NEWER)
    says(
        page, "written by a newer version of the guide. It was changed in another tab, and is closed here",
        ".record-told",
    )
    stored = page.evaluate("GuideRecord.app.store.all()")
    page.reload()
    page.wait_for_selector(READY)
    item = page.locator("[data-strange]")
    expect(item).to_contain_text("From the newer guide")
    expect(item).to_contain_text("written by a newer version of the guide. It is left as it is and not opened here")
    assert page.locator("[data-open]").count() == 0
    with page.expect_download() as got:
        item.get_by_role("button", name="Export").click()
    assert json.loads(Path(got.value.path()).read_text(encoding="utf-8")) == stored[0]["record"]
    file = {"name": "newer.json", "mimeType": "application/json", "buffer": json.dumps(stored[0]["record"]).encode()}
    page.set_input_files("#record-import", file)
    expect(page.locator(".record-told")).to_contain_text("nothing was changed")
    expect(page.locator(".record-told")).to_contain_text("written by a later guide (version 99)")
    assert page.evaluate("GuideRecord.app.store.all()") == stored


UPGRADE = """() => new Promise((done, wrong) => {
  const asked = indexedDB.open("guide-records", 99);
  asked.onupgradeneeded = () => {};
  asked.onsuccess = () => { asked.result.close(); done(); };
  asked.onerror = () => wrong(asked.error);
})"""


def test_a_newer_version_that_changed_the_database(new_context, served):
    """The old tab is told that it keeps nothing any more; what was typed there waits in the journal, and is not
    thrown away by a page of the old version.
    """
    context = new_context()
    page = context.new_page()
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    page.click("[data-new=test-day]")
    page.fill("#record-name", "Old tab")
    page.wait_for_function("() => GuideRecord.app.waiting.size === 0 && !GuideRecord.app.saving")
    other = context.new_page()
    other.goto(served + "404.html")
    other.evaluate(UPGRADE)
    page.locator("#record-name").press("End")
    page.locator("#record-name").press_sequentially(", typed after")
    says(page, "NOT kept", "[data-status]")
    says(page, "Export this record now", "[data-status]")
    assert page.input_value("#record-name") == "Old tab, typed after"
    for _ in range(2):
        late = context.new_page()
        late.goto(served + "record.html")
        late.wait_for_selector(READY)
        says(late, "written by a newer version of the guide. Nothing was changed.", "#record-app > .notice")
        assert late.locator("[data-open]").inner_text() == "Old tab, typed after"
        late.close(run_before_unload=False)


def test_progress_of_a_newer_version_is_left_as_it_is(new_context, served):
    newer = json.dumps({"format": "plate-test-guide-progress", "version": progress.VERSION + 1, "active": 0,
                        "profiles": [{"name": "Reader 1", "cards": {}, "read": {}, "of_tomorrow": 1}]})
    page = new_context().new_page()
    page.goto(served + "404.html")
    page.evaluate("text => localStorage.setItem('guide.practice', text)", newer)
    page.goto(served + "progress.html")
    says(
        page, "it was written by a newer version of the guide. It is left as it is, and this visit is not kept.",
        "[data-practice=progress] [role=alert]",
    )
    page.goto(served + SET)
    page.get_by_role("button", name="Start the set of 2").click()
    page.locator("input[name=answer]").first.check()
    page.get_by_role("button", name="Check my answer").click()
    expect(page.locator("[role=alert]").filter(has_text="newer version of the guide").first).to_be_visible()
    assert page.evaluate("localStorage.getItem('guide.practice')") == newer


# --- full and forbidden storage ----------------------------------------------------------------------------


FILL = """() => {
  let size = 1 << 22;
  for (let number = 0; size >= 1; number += 1) {
    try { localStorage.setItem("filler." + number, "x".repeat(size)); } catch { size >>= 1; }
  }
}"""


@pytest.mark.long
def test_a_small_storage_that_is_really_full(new_context, served):
    """Filled to its last character.

    Numbers, progress and the record go on; what is not kept is told, and can be carried out.
    """
    page = new_context().new_page()
    page.goto(served + "groove.html")
    page.evaluate(FILL)
    page.fill(THICK, "1 in")
    says(
        page, "This browser has no room left: your numbers last until you close the page. Copy the link to keep them.",
        "#groove .said",
    )
    expect(page.locator(HEADLINE)).to_contain_text(ONE_INCH)

    page.goto(served + SET)
    page.get_by_role("button", name="Start the set of 2").click()
    page.locator("input[name=answer]").first.check()
    page.get_by_role("button", name="Check my answer").click()
    expect(
        page.locator("[role=alert]").filter(has_text="no room left, so the newest progress is not kept. Export it")
    ).to_be_visible()
    for button in ("Export your progress", "Export to a file"):
        with page.expect_download() as got:
            page.get_by_role("button", name=button).first.click()
        kept = json.loads(Path(got.value.path()).read_text(encoding="utf-8"))
        assert list(kept["profiles"][0]["cards"]) == ["groove-angle-meaning"]
        page.locator(".md-nav__link[href$='progress.html']").first.dispatch_event("click")
        page.wait_for_url("**/progress.html")

    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    page.click("[data-new=test-day]")
    page.fill("#record-name", "While full")
    says(page, "Kept in this browser.", "[data-status]")
    page.reload()
    page.wait_for_selector(READY)
    assert page.locator("[data-open]").inner_text() == "While full", "the record has the database"


def forbid_site_data(profile: Path) -> None:
    """What the settings page of the browser writes when its reader forbids sites to keep data on the device."""
    (profile / "Default").mkdir(parents=True)
    settings = {"profile": {"default_content_setting_values": {"cookies": 2}}}
    (profile / "Default" / "Preferences").write_text(json.dumps(settings), encoding="utf-8")


@pytest.mark.long
def test_site_data_forbidden_in_the_browser(browser, launching, fonts, served, site, tmp_path):
    """Forbidden in the browser's own settings: every page opens and says what it must, calculators compute, units
    switch, the record is written.
    """
    forbid_site_data(tmp_path / "profile")
    context = browser.browser_type.launch_persistent_context(str(tmp_path / "profile"), **launching(fonts))
    context.set_default_timeout(PATIENCE)
    try:
        faults: list[str] = []
        context.on("weberror", lambda error: faults.append(str(error.error)))
        page = context.new_page()
        page.goto(served + "groove.html")
        for storage in ("localStorage", "sessionStorage"):
            with pytest.raises(Error, match="denied"):
                page.evaluate(f"{storage}.length")
        page.fill(THICK, "1 in")
        says(
            page, "This browser keeps nothing for this page: your numbers last until you close the page.",
            "#groove .said",
        )
        expect(page.locator(HEADLINE)).to_contain_text(ONE_INCH)
        # A bare number is read in the units that are shown, also when the choice cannot be kept.
        page.click("label[for=units-si]")
        page.fill(THICK, "25.4")
        expect(page.locator(HEADLINE)).to_contain_text("27.39")

        page.goto(served + "record.html")
        page.wait_for_selector(READY)
        says(page, "This browser keeps nothing for this page.", "#record-app > .notice")
        page.click("[data-new=test-day]")
        page.fill("#record-name", "Nowhere")
        with page.expect_download() as got:
            page.click("[data-export]")
        assert json.loads(Path(got.value.path()).read_text(encoding="utf-8"))["name"] == "Nowhere"
        page.on("dialog", lambda dialog: dialog.accept())
        page.goto(served + "offline.html")
        says(page, "Not saved: ")
        page.goto(served + SET)
        page.get_by_role("button", name="Start the set of 2").click()
        expect(page.locator("form.question")).to_be_visible()
        for name in sorted(path.name for path in site.glob("*.html")):
            page.goto(served + name)
            assert page.locator("main h1").first.is_visible(), name
        # The theme's own scripts ask for the storage without a guard.
        assert [fault for fault in faults if "denied" not in fault and "Access" not in fault] == []
    finally:
        context.close()


# --- the engine ----------------------------------------------------------------------------------------------


def end_worker(page) -> None:
    """The worker ends without a word to the page, as when the browser takes its memory back."""
    next(worker for worker in page.workers if "/engine/" in worker.url).evaluate("() => self.close()")


def test_a_worker_that_is_killed(page, served):
    """The last answer stays, the reader is told, and Try again answers what was typed meanwhile."""
    page.goto(served + "groove.html")
    page.fill(THICK, "3/4 in")
    expect(page.locator(HEADLINE)).to_contain_text("0.8713")
    end_worker(page)
    says(
        page, "The live calculators stopped: the browser ended them. What you typed is kept.",
        "#groove .engine[data-state=failed]",
    )
    expect(page.locator(HEADLINE)).to_contain_text("0.8713")
    page.fill(THICK, "1 in")
    says(page, "Your numbers are kept. Their answer could not be worked out here.", "#groove [data-stale]")
    page.locator("#groove .engine button").click()
    expect(page.locator(HEADLINE)).to_contain_text(ONE_INCH)
    assert page.input_value(THICK) == "1 in" and page.locator("#groove [data-stale]").count() == 0


@pytest.mark.long
def test_a_worker_that_is_killed_under_practice_and_record(page, served):
    """A picked answer is marked all the same; a record says that it is kept and not judged, and is judged after Try
    again.
    """
    page.goto(served + SET)
    page.get_by_role("button", name="Start the set of 2").click()
    page.locator("input[name=answer]").first.check()
    end_worker(page)
    page.wait_for_function("() => GuideEngine.state === 'failed'")
    page.get_by_role("button", name="Check my answer").click()
    expect(page.locator(".marked")).to_be_visible()

    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    page.set_input_files(
        "#record-import",
        {"name": "plate.json", "mimeType": "application/json", "buffer": write_record(PLATE).encode()},
    )
    page.locator("[data-open]").click()
    page.wait_for_selector("[data-verdict] table")
    end_worker(page)
    page.wait_for_function("() => GuideEngine.state === 'failed'")
    page.fill("#record-name", "Typed without calculators")
    says(page, "Not judged: The live calculators stopped", "[data-record-headline]")
    says(page, "Your figures are kept.", "[data-record-headline]")
    page.click("[data-retry]")
    expect(page.locator("[data-record-headline]")).not_to_contain_text("judged")
    assert page.input_value("#record-name") == "Typed without calculators"


def test_webassembly_forbidden_by_the_policy(page, serve, watch, monkeypatch):
    """A host, or a school's filter, that sends a stricter policy: words at once, and the printed answer stays."""
    watch.expect("wasm|WebAssembly|Content Security Policy")
    strict = policy.CONTENT_SECURITY_POLICY.replace(" 'wasm-unsafe-eval'", "")
    monkeypatch.setitem(policy.HEADERS, "Content-Security-Policy", strict)
    page.goto(serve().url + "groove.html")
    page.fill(THICK, "1 in")
    says(page, "The live calculators could not start: ", "#groove .engine[data-state=failed]")
    says(page, "The printed answers on this page still hold.", "#groove .engine[data-state=failed]")
    says(page, "belongs to other numbers", "#groove [data-stale]")
    expect(page.locator(HEADLINE)).to_contain_text(PRINTED)
    assert page.input_value(THICK) == "1 in"


# --- the clock ---------------------------------------------------------------------------------------------


@pytest.mark.long
def test_a_clock_ten_years_back(new_context, serve, small, served):
    """Practice says so and asks all the same, nothing of the progress is lost; the log names the clock; what is kept
    opens.
    """
    context = new_context()
    card = {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": "2026-03-08", "again": False, "seen": 2, "last": 5}
    progress = {
        "format": "plate-test-guide-progress", "version": 1, "active": 0,
        "profiles": [
            {"name": "Reader 1", "cards": {"groove-angle-meaning": card}, "read": {"groove-angle": "2026-03-01"}}
        ],
    }
    page = context.new_page()
    page.clock.install(time="2016-03-02T10:00:00")
    page.goto(served + "404.html")
    page.evaluate("text => localStorage.setItem('guide.practice', text)", json.dumps(progress))
    page.goto(served + "practice.html")
    says(
        page, "The clock of this device says 2016-03-02, but one question was answered on a later day.", "[data-clock]",
    )
    says(page, "Set for today: 1.", "[data-practice=review] .reader")
    assert json.loads(page.evaluate("localStorage.getItem('guide.practice')")) == progress

    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    page.click("[data-new=continuity]")
    page.wait_for_selector(".record-form [data-field=continuity_rule]", state="attached")
    show(page, "continuity_rule", "qualified_on")
    page.select_option("#record-continuity_rule", index=1)
    page.fill("#record-qualified_on", "2025-11-03")
    says(page, "The clock of this device says 2016-03-02 is before the test was passed", "[data-said=qualified_on]")
    says(page, "Set the clock, or mend the date of the test.", "[data-said=qualified_on]")
    assert page.input_value("#record-qualified_on") == "2025-11-03"

    running = serve(small)
    keeping = new_context(service_workers="allow").new_page()
    keeping.goto(running.url + "offline.html")
    says(keeping, "Saved.")
    running.stop()
    keeping.clock.install(time="2016-03-02T10:00:00")
    keeping.goto(running.url + "bending.html")
    assert keeping.locator("main h1").is_visible()
