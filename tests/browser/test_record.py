"""The test-day record in a browser: nothing typed is lost, no version is written over, no file does harm."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import os
import random
import re
import signal
import subprocess
import zipfile
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Error, Page, expect

from calc.record.demo import DEMOS, PLATE
from calc.record.files import read_record, write_record
from calc.record.judge import judge
from calc.record.shape import LARGEST, as_data
from tests.browser.conftest import PATIENCE
from tools.check import test_parts

READY = "#record-app[data-ready]"


def lean(context, site: Path, name: str = "record.html", app: str = "") -> None:
    """The record's part of a page alone (or another `app`) and no calculators: what is kept is the same, and it opens
    at once."""
    page = (site / name).read_text(encoding="utf-8")
    app = app or re.search(r'<div id="record-app".*?(?=<noscript>)', page, re.DOTALL)[0]
    silent = "{ state: 'failed', call: async () => ({ ok: false, reason: 'no calculators in this test' }) }"
    scripts = re.findall(r'<script src="assets/(?:trusted-types|core|mine|record[a-z-]*)\.js"></script>', page)
    body = (f'<!doctype html><meta charset="utf-8"><script>window.GuideEngine = {silent};</script>{app}'
            f'{"".join(scripts)}')
    context.route(f"**/{name}", lambda route: route.fulfill(body=body, content_type="text/html"))
    context.route("**/favicon*", lambda route: route.fulfill(body=""))


def open_page(context, address: str, store: str = "indexed") -> Page:
    page = context.new_page()
    page.goto(address + "record.html")
    page.wait_for_selector(READY)
    assert page.get_attribute("#record-app", "data-ready") == store
    return page


def show(page: Page, *names: str) -> None:
    """Open the sections that hold these fields."""
    for name in names:
        page.evaluate(
            "(name) => "
            "{ document.querySelector(`.record-form [data-field='${name}']`).closest('details').open = true; }", name,
        )


def field(page: Page, name: str):
    return page.locator(f"#record-{name}")


def new_record(page: Page, name: str = "") -> str:
    page.click("[data-new=test-day]")
    page.wait_for_selector(".record-form")
    show(page, "steel", "amps", "note_1")
    if name:
        page.fill("#record-name", name)
    kept(page)
    return page.evaluate("GuideRecord.app.current.id")


def kept(page: Page) -> None:
    """Wait until the store has all that was typed."""
    page.wait_for_function("() => GuideRecord.app.waiting.size === 0 && !GuideRecord.app.saving")


def stored(page: Page) -> list[dict]:
    return page.evaluate("GuideRecord.app.store.all()")


def put_file(
    page: Page, name: str, data: bytes, place: str = "#record-import", mime: str = "application/octet-stream",
) -> None:
    page.set_input_files(place, {"name": name, "mimeType": mime, "buffer": data})


# --- kept, found, copied, undone --------------------------------------------------------


def test_typed_kept_found_copied_archived_deleted_and_brought_back(new_context, site, served):
    context = new_context()
    lean(context, site)
    page = open_page(context, served)
    new_record(page, "Plate nine")
    field(page, "steel").press_sequentially("A36 heat 9")
    show(page, "passes")
    page.click("[data-rows=passes] [data-add-row]")
    page.fill("#record-passes-1-name", "root")
    page.click("[data-rows=passes] [data-add-row]")
    page.fill("#record-passes-2-name", "cap")
    page.click("[data-rows=passes] [data-row]:first-of-type [data-remove-row] >> nth=0")
    page.close()

    page = open_page(context, served)
    page.fill("#record-search", "HEAT 9")
    page.click("[data-open]")
    assert field(page, "steel").input_value() == "A36 heat 9"
    assert page.locator("#record-passes-1-name").input_value() == "cap"
    page.click("[data-back]")
    page.fill("#record-search", "nothing has this")
    assert page.locator("[data-record]").count() == 0
    page.fill("#record-search", "")
    page.click("[data-duplicate]")
    page.wait_for_function("() => document.querySelectorAll('[data-record]').length === 2")
    page.click("[data-record] >> nth=0 >> [data-archive]")
    page.wait_for_function("() => document.querySelectorAll('[data-record]').length === 1")
    page.click("[data-delete]")
    page.wait_for_selector("[data-undo]")
    assert page.locator("[data-record]").count() == 0
    page.click("[data-undo]")
    page.wait_for_selector("[data-record]")
    page.select_option("#record-filter", "archived")
    assert page.locator("[data-record]").inner_text().startswith("Plate nine (copy)")


# --- killed ----------------------------------------------------------------------------------

OPEN_ALL = """(ids) => ids.map((id, place) => {
  window.frames[place].GuideRecord.app.openRecord(id);
  return window.frames[place].document.querySelector('#record-note_1').value;
})"""
TYPE_IN_ALL = """([ids, round]) => {
  window.keys = 0;
  ids.forEach((id, place) => {
    const control = window.frames[place].document.querySelector('#record-note_1');
    let count = 0;
    const step = () => {
      control.value = `${round}:` + 'abcdefghij'.repeat(40).slice(0, count + 1);
      control.dispatchEvent(new Event('input', { bubbles: true }));
      count += 1;
      window.keys += 1;
      console.debug(`typed ${id} ${round} ${count}`);
      if (count < 380) setTimeout(step, Math.random() * 4);
    };
    setTimeout(step, Math.random() * 4);
  });
}"""


@pytest.mark.parametrize(
    "rounds", [pytest.param(3, id="24 kills"), pytest.param(25, id="200 kills", marks=pytest.mark.long)],
)
def test_kills_lose_at_most_the_key_under_way(new_context, site, served, rounds):
    """Rounds of 8 pages side by side in one process, each typing into its own record; the process is crashed at a
    random moment.
    """
    chance = random.Random(6)
    context = new_context()
    lean(context, site)
    context.route(
        "**/frames.html",
        lambda route: route.fulfill(body='<iframe src="record.html"></iframe>' * 8, content_type="text/html"),
    )
    first = open_page(context, served)
    ids = []
    for number in range(8):
        ids.append(new_record(first, f"Plate {number}"))
        first.click("[data-back]")
    first.close()
    typed: dict[str, int] = {}

    def heard(message) -> None:
        if message.text.startswith("typed "):
            _, identifier, number, count = message.text.split()
            typed[f"{identifier} {number}"] = int(count)

    context.on("console", heard)
    for number in range(rounds):
        page = context.new_page()
        page.goto(served + "frames.html")
        page.wait_for_function(
            "(ready) => frames.length === 8 && [...Array(8).keys()].every((place) => "
            "frames[place].document.querySelector(ready))", arg=READY,
        )
        notes = page.evaluate(OPEN_ALL, ids)
        for identifier, note in zip(ids, notes, strict=True):
            if number:
                check_round(note, typed.get(f"{identifier} {number - 1}", 0), number - 1)
        page.evaluate(TYPE_IN_ALL, [ids, number])
        page.wait_for_function("(count) => window.keys >= count", arg=chance.randint(1, 160), polling=1)
        with pytest.raises(Error):
            page.goto("chrome://crash")
        page.close()
    last = open_page(context, served)
    entries = {entry["id"]: entry["record"] for entry in stored(last)}
    assert sorted(entries) == sorted(ids), "a kill made or lost a record"
    for identifier in ids:
        check_round(
            entries[identifier]["values"].get("note_1", ""), typed.get(f"{identifier} {rounds - 1}", 0), rounds - 1,
        )
    assert len(typed) > 4 * rounds, "most of the kills came in the middle of typing"


def check_round(note: str, count: int, number: int) -> None:
    """Every key that was finished before the kill is there, in order; more may be, if the kill came before we heard
    of them.
    """
    if note.startswith(f"{number}:"):
        letters = note.removeprefix(f"{number}:")
        assert ("abcdefghij" * 40).startswith(letters)
        assert len(letters) >= count
    else:
        assert count == 0, f"{count} keys were typed, and the note is {note!r}"


def kill_browser(profile: Path) -> None:
    """SIGKILL for every process of the browser that runs on this profile, and for no other."""
    for folder in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if f"--user-data-dir={profile}".encode() in (folder / "cmdline").read_bytes().split(b"\0"):
                os.kill(int(folder.name), signal.SIGKILL)


@pytest.mark.skipif(not Path("/proc/self/cmdline").exists(), reason="finds the browser the way of Linux")
def test_killed_browser_keeps_what_was_typed(browser, launching, fonts, site, served, tmp_path):
    """The whole browser gone at once, three times; the text in the store survives it."""
    for number in range(3):
        context = browser.browser_type.launch_persistent_context(
            str(tmp_path), **launching(fonts))
        context.set_default_timeout(PATIENCE)
        lean(context, site)
        page = open_page(context, served)
        if number:
            page.click("[data-open]")
            show(page, "note_1")
            assert field(page, "note_1").input_value() == f"typed in round {number - 1}"
        else:
            new_record(page)
        field(page, "note_1").fill("")
        field(page, "note_1").press_sequentially(f"typed in round {number}")
        kept(page)
        kill_browser(tmp_path)
        with contextlib.suppress(Error):
            context.close()


# --- two tabs ------------------------------------------------------------------------------


def two_tabs(context, served) -> tuple[Page, Page, str]:
    one = open_page(context, served)
    identifier = new_record(one, "Shared")
    two = open_page(context, served)
    two.click("[data-open]")
    show(two, "steel", "note_1")
    return one, two, identifier


def test_second_tab_sees_the_newer_version(new_context, site, served):
    context = new_context()
    lean(context, site)
    one, two, _ = two_tabs(context, served)
    field(one, "steel").press_sequentially("A36")
    two.wait_for_function("() => document.querySelector('#record-steel').value === 'A36'")
    field(two, "note_1").press_sequentially("from two")
    one.wait_for_function("() => document.querySelector('#record-note_1').value === 'from two'")
    assert "another tab" in one.locator(".record-told").inner_text()
    assert len(stored(one)) == 1


def test_second_writer_is_told_and_both_versions_stay(new_context, site, served):
    """Tabs that cannot hear each other, as when one was asleep: no version takes the place of the other."""
    context = new_context()
    lean(context, site)
    context.add_init_script("delete window.BroadcastChannel")
    one, two, identifier = two_tabs(context, served)
    field(one, "steel").press_sequentially("first")
    kept(one)
    field(two, "steel").press_sequentially("second")
    two.wait_for_function(
        "() => document.querySelector('.record-told').textContent.includes('Nothing was written over')"
    )
    field(two, "note_1").press_sequentially("more")
    kept(two)
    found = {entry["id"]: entry["record"] for entry in stored(two)}
    assert found.pop(identifier)["values"] == {"steel": "first"}
    (copy,) = found.values()
    assert copy["values"] == {"steel": "second", "note_1": "more"} and copy["name"] == "Shared (second version)"


# --- storage that is full, closed or badly timed -----------------------------------------------


FULL = """
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (...given) {
  if (window.storageIsFull) throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
  return put.apply(this, given);
};
const set = Storage.prototype.setItem;
Storage.prototype.setItem = function (...given) {
  if (window.storageIsFull) throw new DOMException("The quota has been exceeded.", "QuotaExceededError");
  return set.apply(this, given);
};
"""


def test_full_storage_is_told_and_nothing_is_lost(new_context, site, served):
    """A quota that is set low stops no write of this size in Chromium, so the error it gives at the quota is thrown
    here.
    """
    context = new_context()
    lean(context, site)
    context.add_init_script(FULL)
    page = open_page(context, served)
    identifier = new_record(page, "Full")
    field(page, "steel").fill("A36")
    kept(page)
    page.evaluate("window.storageIsFull = true")
    field(page, "note_1").press_sequentially("typed while full")
    page.wait_for_selector(".record-failed")
    assert "storage is full" in page.locator("[data-status]").inner_text()
    assert stored(page)[0]["record"]["values"] == {"steel": "A36"}
    put_file(page, "plate.jpg", photograph(), "#record-camera", "image/jpeg")
    page.wait_for_function("() => document.querySelector('.record-told').textContent.includes('No room')")
    with page.expect_download() as got:
        page.click("[data-export]")
    assert read_record(Path(got.value.path()).read_text(encoding="utf-8")).text("note_1") == "typed while full"
    page.evaluate("window.storageIsFull = false")
    field(page, "note_1").press("End")
    field(page, "note_1").press_sequentially(".")
    kept(page)
    assert page.locator("[data-status]").inner_text() == "Kept in this browser."
    assert [
        (entry["id"], entry["record"]["values"]["note_1"]) for entry in stored(page)
    ] == [(identifier, "typed while full.")]


@pytest.mark.parametrize(
    "closed, store, words",
    [
        ("indexedDB.open = () => { throw new DOMException('no', 'SecurityError'); };", "local", "small storage"),
        (
            "indexedDB.open = () => { throw new Error('no'); }; Object.defineProperty(window, 'localStorage', "
            "{ get() { throw new DOMException('no', 'SecurityError'); } });", "memory", "keeps nothing",
        ),
    ],
    ids=["no database", "no storage at all"],
)
def test_closed_storage_is_told(new_context, site, served, closed, store, words):
    context = new_context()
    lean(context, site)
    context.add_init_script(closed)
    page = open_page(context, served, store)
    assert words in page.locator("#record-app > .notice").inner_text()
    new_record(page)
    field(page, "steel").press_sequentially("A36")
    kept(page)
    assert stored(page)[0]["record"]["values"] == {"steel": "A36"}
    if store == "local":
        page.reload()
        page.wait_for_selector(READY)
        assert page.evaluate("GuideRecord.app.store.all()")[0]["record"]["values"] == {"steel": "A36"}


def test_a_wrong_clock_changes_neither_order_nor_content(new_context, site, served):
    """The clock jumps years back between two edits: the last edit stays the last."""
    context = new_context()
    lean(context, site)
    page = context.new_page()
    page.clock.install(time="2031-05-05T10:00:00")
    page.goto(served + "record.html")
    page.wait_for_selector(READY)
    new_record(page, "Older")
    field(page, "steel").fill("first")
    kept(page)
    page.click("[data-back]")
    new_record(page, "Newer")
    page.clock.set_system_time("1999-01-01T00:00:00")
    field(page, "steel").fill("second")
    kept(page)
    page.click("[data-back]")
    page.click("[data-open] >> nth=1")
    show(page, "steel")
    field(page, "steel").fill("first, mended in 1999")
    kept(page)
    page.reload()
    page.wait_for_selector(READY)
    names = page.locator("[data-open]").all_inner_texts()
    assert names == ["Older", "Newer"]
    page.click("[data-open] >> nth=0")
    assert field(page, "steel").input_value() == "first, mended in 1999"


def test_opened_from_a_folder(new_context, file_site):
    """Double-click: the record is kept and judged, whatever store the browser gives such a page."""
    context = new_context()
    page = context.new_page()
    page.goto((file_site / "record.html").as_uri())
    page.wait_for_selector(READY)
    assert page.get_attribute("#record-app", "data-ready") in ("indexed", "local")
    new_record(page, "From a folder")
    field(page, "amps").press_sequentially("120 A")
    page.wait_for_selector("[data-verdict] table")
    kept(page)
    page.reload()
    page.wait_for_selector(READY)
    page.click("[data-open]")
    assert field(page, "amps").input_value() == "120 A"


# --- photographs ----------------------------------------------------------------------------------


def photograph() -> bytes:
    """A picture as a phone makes it, with the place in its hidden lines."""
    picture = Image.effect_noise((2400, 1800), 60).convert("RGB")
    hidden = Image.Exif()
    hidden[0x010F] = "Maker"
    hidden[0x8825] = {1: "N", 2: (52.0, 30.0, 12.0), 3: "E", 4: (13.0, 24.0, 18.0)}
    out = io.BytesIO()
    picture.save(out, "JPEG", exif=hidden)
    return out.getvalue()


def test_photographs_are_small_placeless_and_travel_in_the_set(new_context, site, served):
    """Pillow reads the place out of what goes in, and finds no hidden line in what comes out."""
    taken = photograph()
    assert Image.open(io.BytesIO(taken)).getexif().get_ifd(0x8825)[1] == "N"
    context = new_context()
    lean(context, site)
    page = open_page(context, served)
    new_record(page, "With picture")
    put_file(page, "plate.jpg", taken, "#record-camera", "image/jpeg")
    page.wait_for_selector("[data-photo] img")
    put_file(page, "no-picture.jpg", b"GIF? no", "#record-picture", "image/jpeg")
    page.wait_for_function("() => document.querySelector('.record-told').textContent.includes('is not a picture')")
    page.fill("#record-caption-0", "Coupon 1")
    kept(page)
    page.click("[data-back]")
    with page.expect_download() as got:
        page.click("[data-export-zip]")
    packed = Path(got.value.path()).read_bytes()
    with zipfile.ZipFile(io.BytesIO(packed)) as archive:
        (picture,) = [name for name in archive.namelist() if name.startswith("photos/")]
        (record,) = [name for name in archive.namelist() if name.startswith("records/")]
        data, text = archive.read(picture), archive.read(record).decode()
    out = Image.open(io.BytesIO(data))
    assert max(out.size) == 1600 and not out.getexif() and b"Exif" not in data
    photo = read_record(text).photos[0]
    assert (photo.caption, photo.width, photo.height) == ("Coupon 1", *out.size)
    assert len(data) < len(taken)


# --- files ------------------------------------------------------------------------------------------


def bomb() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("records/big.json", b" " * (4 * LARGEST + 1))
    return out.getvalue()


def zipped(**files: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in files.items():
            archive.writestr(f"records/{name}.json", text)
    return out.getvalue()


def test_a_set_without_room_for_its_photographs_says_so_and_brings_them_later(new_context, served):
    context = new_context()
    context.add_init_script(FULL.replace("window.storageIsFull", 'window.storageIsFull === this.name'))
    page = open_page(context, served)
    photo = {"id": "photo-0001", "caption": "", "width": 8, "height": 8}
    record = write_record(read_record(json.dumps({**as_data(PLATE), "photos": [photo]})))
    picture = io.BytesIO()
    Image.new("RGB", (8, 8)).save(picture, "JPEG")
    out = io.BytesIO(zipped(a=record))
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr(f"photos/{PLATE.id}/{photo['id']}.jpg", picture.getvalue())
    page.evaluate("() => { window.storageIsFull = 'photos'; }")
    put_file(page, "set.zip", out.getvalue())
    told = page.locator(".record-told")
    expect(told).to_have_text("Imported: 1. No room for photographs: 1. Make room, then import the set again.")
    page.evaluate("() => { window.storageIsFull = ''; }")
    put_file(page, "set.zip", out.getvalue())
    expect(told).to_have_text("Imported: 0. Already here, word for word: 1.")
    assert page.evaluate("async ([id, photo]) => Boolean(await GuideRecord.app.store.getPhoto(id, photo))",
                         [PLATE.id, photo["id"]])


def test_files_in_and_out(new_context, served):
    """With the calculators up: a good set comes in whole, a bad one changes nothing, what goes out is what is kept."""
    page = open_page(new_context(), served)
    good = write_record(PLATE)
    broken = json.dumps({**as_data(PLATE), "values": {"amps": 1}})
    for name, data, told in (
        ("cut.json", good[:-30].encode(), "damaged at line"), ("foreign.json", b'{"a": 1}', "/format"),
        ("place.json", broken.encode(), "/values/amps"), ("picture.json", b"\xff\xd8\xff", "not UTF-8"),
        ("huge.json", b" " * (4 * LARGEST + 1), "larger than a record"), ("bomb.zip", bomb(), "larger than a record"),
        ("torn.zip", zipped(a=good)[:-30], "torn.zip"),
        ("empty.zip", zipped(), "no record"),
    ):
        put_file(page, name, data)
        page.wait_for_function(
            "(words) => document.querySelector('.record-told').textContent.includes(words)", arg=told,
        )
        assert "nothing was changed" in page.locator(".record-told").inner_text()
        assert stored(page) == []
        page.evaluate("GuideRecord.app.tell('')")
    put_file(page, "half.zip", zipped(a=good, b=broken))
    expect(page.locator(".record-told")).to_contain_text("Imported: 1. Not taken: half.zip, records/b.json: /values/amps")
    put_file(page, "set.zip", zipped(a=good, b=write_record(DEMOS[1])))
    page.wait_for_function("() => document.querySelectorAll('[data-record]').length === 2")
    assert {
        json.dumps(entry["record"], sort_keys=True) for entry in stored(page)
    } == {json.dumps(as_data(each), sort_keys=True) for each in DEMOS}
    put_file(page, "again.json", good.encode())
    page.wait_for_function("() => document.querySelector('.record-told').textContent.includes('word for word: 1')")
    put_file(page, "other.json", good.replace("INV-88", "INV-89").encode())
    page.wait_for_function("() => document.querySelectorAll('[data-record]').length === 3")
    with page.expect_download() as got:
        page.click("[data-export-csv]")
    rows = list(csv.DictReader(io.StringIO(Path(got.value.path()).read_text(encoding="utf-8-sig"))))
    assert {row["As written"] for row in rows if row["Field"] == "Lot number"} == {"INV-88", "INV-89"}


def test_judged_at_once_and_printed_on_two_pages(new_context, served, tmp_path):
    """A figure out of range is flagged beside it; the verdict is that of calc; the sheet has two pages, black and
    white.
    """
    page = open_page(new_context(), served)
    put_file(page, "plate.json", write_record(PLATE).encode())
    page.click("[data-open]")
    page.wait_for_selector("[data-verdict] table")
    assert page.locator("[data-record-headline]").inner_text() == judge(PLATE).headline
    show(page, "amps")
    field(page, "amps").fill("180 A")
    page.wait_for_selector('[data-said=amps] [data-level=stop]')
    page.select_option("[data-bare]", "si")
    page.wait_for_function(
        "() => document.querySelector('#record-amps').value === '180 A' && GuideRecord.app.current.record.bare_numbers "
        "=== 'si'"
    )
    show(page, "findings")
    page.fill("#record-findings-1-size", "3.3")
    page.wait_for_selector("[data-line=test][data-level=stop]")
    page.wait_for_function("() => document.querySelector('.record-paper').textContent.includes('Stop')")
    pdf = tmp_path / "sheet.pdf"
    page.pdf(path=pdf, format="Letter")
    assert len(re.findall(rb"/Type\s*/Page\b", pdf.read_bytes())) <= 2
    pdftoppm = test_parts.PDFTOPPM.get()
    if not pdftoppm:
        pytest.skip(test_parts.PDFTOPPM.missing)
    subprocess.run([pdftoppm, "-r", "60", "-png", str(pdf), str(tmp_path / "page")], check=True)
    for drawn in tmp_path.glob("page*.png"):
        picture = Image.open(drawn).convert("RGB")
        assert all(max(color) - min(color) <= 24 for _, color in picture.getcolors(1 << 24)), "the sheet needs color"
        dark = sum(count for count, color in picture.getcolors(1 << 24) if max(color) < 128)
        assert dark > 500, "the page is empty"


def test_blank_sheet_without_scripts(new_context, served):
    page = new_context(java_script_enabled=False).new_page()
    page.goto(served + "record.html")
    sheet = page.locator(".blank-sheet").first
    assert sheet.is_visible() and "Study aid, not a certificate." in sheet.inner_text()
    assert "Heat number" in sheet.inner_text() and "Second look" in sheet.inner_text()
    assert page.locator("noscript .notice, .notice").first.is_visible()
