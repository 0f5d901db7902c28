"""A photo measured in a browser: chosen, marked by mouse, touch and keys, handed on, kept through kills, placeless."""

from __future__ import annotations

import io
import json
import random
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import BrowserContext, Error, Page, expect

from tests.browser.conftest import answered, frames, scrolls_sideways
from tests.browser.test_everyone import axe, judge, judged  # noqa: F401  fixtures
from tests.photo.camera import INCH, SIZE, Camera

READY = ".photo-desk[data-ready]"
WIDTH, RADIUS, CRACK = 1.5 * INCH, 1.125 * INCH, 0.2 * INCH
CAMERA = Camera(0.14, tilt=0.05, turn=1.2, roll=0.1, focal=1300, lens=0.005)
HIDDEN = b"INVENTED-PLACE"


def on_bend(x, arc) -> list[tuple[float, float]]:
    """Pixels of places on the bent specimen: along its axis, and along the arc from its apex, in meters."""
    x, turn = np.broadcast_arrays(np.asarray(x, float), np.asarray(arc, float) / RADIUS)
    points = np.column_stack([x, RADIUS * np.sin(turn), RADIUS * np.cos(turn) - RADIUS])
    return [tuple(each) for each in CAMERA.pixels(points).tolist()]


REFERENCE = on_bend([-WIDTH / 2, WIDTH / 2], [0, 0])
ENDS = on_bend([-0.1 * INCH, -0.1 * INCH + 0.6 * CRACK], [0.15 * INCH, 0.15 * INCH + 0.8 * CRACK])


def photograph(scale: float = 1.0, turned: bool = False, kind: str = "JPEG") -> bytes:
    """The bent specimen with its crack, as a camera would write it: with a place, a maker's note, and on its side."""
    size = tuple(round(each * scale) for each in SIZE)
    picture = Image.new("RGB", size, (70, 64, 60))
    draw = ImageDraw.Draw(picture)
    arcs = np.linspace(-1.1, 1.1, 45) * RADIUS
    for low, high in zip(arcs, arcs[1:], strict=False):
        corners = on_bend([-WIDTH / 2, WIDTH / 2, WIDTH / 2, -WIDTH / 2], [low, low, high, high])
        light = int(90 + 110 * np.cos((low + high) / 2 / RADIUS))
        draw.polygon([(u * scale, v * scale) for u, v in corners], fill=(light, light, light + 6))
    draw.line([(u * scale, v * scale) for u, v in ENDS], fill=(15, 12, 10), width=max(2, round(4 * scale)))
    exif = Image.Exif()
    exif[0x010E] = HIDDEN.decode()
    exif.get_ifd(0x8825).update({1: "N", 2: (47.0, 12.0, 1.0), 3: "E", 4: (8.0, 1.0, 2.0)})
    if turned:
        picture = picture.transpose(Image.Transpose.ROTATE_90)
        exif[0x0112] = 6
    out = io.BytesIO()
    picture.save(out, kind, exif=exif)
    return out.getvalue()


def choose(page: Page, data: bytes, name: str = "bend.jpg", kind: str = "image/jpeg") -> None:
    page.get_by_label("Choose a picture").set_input_files({"name": name, "mimeType": kind, "buffer": data})


def open_photo(page: Page, address: str, data: bytes | None = None, tail: str = "") -> None:
    page.goto(f"{address}photo.html{tail}")
    page.wait_for_selector(READY)
    if data is not None:
        choose(page, data)
        expect(page.locator(".photo-said")).to_contain_text("on this device only")
        settle(page)


def settle(page: Page) -> None:
    page.wait_for_function("() => !document.querySelector('.behind, [data-stale]')")
    answered(page)


def handle(page: Page, short: str):
    return page.locator(".photo-handle", has_text=re.compile(f"^{short}$"))


def place(page: Page, short: str) -> tuple[float, float]:
    """Where a mark says that it is."""
    label = handle(page, short).get_attribute("aria-label")
    told = re.search(r": ([\d.]+) from the left, ([\d.]+) from the top", label)
    return float(told[1]), float(told[2])


def zoom(page: Page) -> float:
    return page.locator(".photo-sheet img").evaluate("(img) => img.clientWidth / img.naturalWidth")


def way(page: Page, short: str, to: tuple[float, float]) -> tuple[float, float, float, float]:
    """From where to where a finger has to go on the screen."""
    handle(page, short).scroll_into_view_if_needed()
    box, share = handle(page, short).bounding_box(), zoom(page)
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    left, top = place(page, short)
    return x, y, x + (to[0] - left) * share, y + (to[1] - top) * share


def by_mouse(page: Page, short: str, to: tuple[float, float]) -> None:
    x, y, right, down = way(page, short, to)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(right, down, steps=3)
    page.mouse.up()


def by_touch(page: Page, short: str, to: tuple[float, float]) -> None:
    x, y, right, down = way(page, short, to)
    finger = page.context.new_cdp_session(page)
    for kind, points in (
        ("touchStart", [(x, y)]), ("touchMove", [((x + right) / 2, (y + down) / 2)]), ("touchMove", [(right, down)]),
        ("touchEnd", []),
    ):
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": u, "y": v} for u, v in points]})


def by_keys(page: Page, short: str, to: tuple[float, float]) -> None:
    """The last pixels: a step a key, ten with Shift. Nothing but the keyboard is touched."""
    handle(page, short).focus()
    for axis, (less, more) in enumerate((("ArrowLeft", "ArrowRight"), ("ArrowUp", "ArrowDown"))):
        off = round(to[axis] - place(page, short)[axis])
        key = more if off > 0 else less
        for _ in range(abs(off) // 10):
            page.keyboard.press(f"Shift+{key}")
        for _ in range(abs(off) % 10):
            page.keyboard.press(key)
    assert place(page, short) == pytest.approx(to, abs=0.6)


def mark_all(page: Page, by: Callable = by_keys) -> None:
    for short, to in zip(("R1", "R2", "1", "2"), (*REFERENCE, *ENDS), strict=True):
        by(page, short, to)
        if by is not by_keys:
            by_keys(page, short, to)
    settle(page)


def told(page: Page) -> tuple[float, float]:
    """The measure and its band, in inches, as the page says them."""
    found = re.search(r"measures ([\d.]+)\sin.*?give or take ([\d.]+)\sin", page.locator(".photo-result").inner_text())
    return float(found[1]), float(found[2])


def in_band(page: Page) -> None:
    size, half = told(page)
    assert abs(size - CRACK / INCH) <= half
    assert half < 0.03


@pytest.mark.parametrize("by", [by_mouse, by_keys])
def test_a_crack_is_measured_and_handed_on(page, served, by):
    open_photo(page, served, photograph(), "#photo-measure?for=bend-judge")
    mark_all(page, by)
    in_band(page)
    expect(page.locator(".photo-result")).to_contain_text("outside the limit")
    page.get_by_role("button", name="Put it into Judging").click()
    said = page.locator(".photo-said")
    expect(said).to_contain_text("is in “Judging bent specimens” now")
    size = re.search(r"([\d.]+) in is", said.inner_text())[1]
    page.get_by_role("link", name="Go there").click()
    rows = page.locator("#bend-judge [data-field='openings'] [data-row]")
    expect(rows).to_have_count(1)
    assert rows.locator("input").nth(1).input_value() == f"{size} in"


def test_handing_on_adds_to_the_list_and_can_be_undone(page, served):
    kept = {"changed": {"openings": "1 | 1/16 | face | no"}, "system": "us"}
    open_photo(page, served, photograph())
    key = "guide.inputs.judging.html#bend-judge"
    page.evaluate("([key, kept]) => localStorage.setItem(key, kept)", [key, json.dumps(kept)])
    mark_all(page)
    page.get_by_role("button", name="Put it into Judging").click()
    page.get_by_role("button", name="Undo", exact=True).wait_for()
    rows = json.loads(page.evaluate("(key) => localStorage.getItem(key)", key))["changed"]["openings"].split("\n")
    assert rows[0] == "1 | 1/16 in | face | no" and len(rows) == 2
    page.get_by_role("button", name="Undo", exact=True).click()
    assert json.loads(page.evaluate("(key) => localStorage.getItem(key)", key)) == kept


def test_a_thumb_marks_on_a_phone(new_context, served):
    """Touch areas of 64 pixels, the loupe while a finger is down, two fingers to zoom; nothing scrolls sideways."""
    page = new_context(viewport={"width": 390, "height": 844}, has_touch=True).new_page()
    open_photo(page, served, photograph())
    for box in (each.bounding_box() for each in page.locator(".photo-handle").all()):
        assert min(box["width"], box["height"]) >= 64
    x, y, *_ = way(page, "1", ENDS[0])
    finger = page.context.new_cdp_session(page)
    finger.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    expect(page.locator(".photo-loupe")).to_be_visible()
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator(".photo-loupe")).to_be_hidden()
    mark_all(page, by_touch)
    in_band(page)
    assert not scrolls_sideways(page)
    before, window = zoom(page), page.locator(".photo-window").bounding_box()
    x, y = window["x"] + 40, window["y"] + 30
    for apart in (60, 90, 120):
        points = [{"x": x, "y": y, "id": 0}, {"x": x + apart, "y": y, "id": 1}]
        kind = "touchStart" if apart == 60 else "touchMove"
        finger.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    frames(page)
    assert zoom(page) == pytest.approx(2 * before, rel=0.1)


def test_undo_takes_back_each_move(page, served):
    open_photo(page, served, photograph())
    expect(page.locator(".photo-result")).to_contain_text("Nothing is measured yet")
    start = place(page, "1")
    handle(page, "1").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    assert place(page, "1") == (start[0] + 1, start[1] + 10)
    for _ in range(2):
        page.get_by_role("button", name="Undo the last move").click()
    assert place(page, "1") == start
    expect(page.get_by_role("button", name="Undo the last move")).to_be_disabled()


def test_the_marks_follow_what_is_measured(page, served):
    """A gap has four marks, four corners are four; what does not count is not asked."""
    open_photo(page, served, photograph())
    expect(page.locator(".photo-handle")).to_have_count(4)
    for field, value, count in (
        ("purpose", "alone", 4), ("what", "gap", 6), ("reference", "corners", 8), ("what", "angle", 7),
    ):
        page.locator(f"#photo-measure [data-field='{field}'] select").select_option(value)
        expect(page.locator(".photo-handle")).to_have_count(count)
    settle(page)
    expect(page.locator(".photo-result")).to_contain_text("Nothing is measured yet")
    page.get_by_role("button", name="Every mark is at its place").click()
    settle(page)
    expect(page.locator("#photo-measure [data-field='plunger_diameter']")).to_have_class(re.compile("photo-unused"))
    assert page.locator("[data-error]:not(:empty)").count() == 0
    expect(page.locator(".photo-result")).to_contain_text("angle")


def test_too_close_goes_nowhere(page, served):
    """The limit inside the band: the page says so, and hands nothing on."""
    open_photo(page, served, photograph())
    mark_all(page)
    by_keys(page, "2", tuple(a + (b - a) * 0.125 / 0.2 for a, b in zip(ENDS[0], ENDS[1], strict=True)))
    settle(page)
    expect(page.locator(".photo-result")).to_contain_text("Too close: measure with a gauge")
    page.get_by_role("button", name="Put it into Judging").click()
    expect(page.locator(".photo-said")).to_contain_text("Nothing was handed on")
    assert page.evaluate("() => Object.keys(localStorage).filter((key) => key.includes('judging'))") == []


# --- what is kept, and what is not -------------------------------------------------------------


STORED = """() => new Promise((done, fail) => {
  const asked = indexedDB.open("guide-photo");
  asked.onerror = () => fail(asked.error);
  asked.onsuccess = () => {
    const found = asked.result.transaction("pictures").objectStore("pictures").get("now");
    found.onsuccess = () => { asked.result.close(); done(found.result); };
  };
})"""


def placeless(data: bytes) -> None:
    """No EXIF, no text of the camera's: not a segment that could hold it."""
    assert data.startswith(b"\xff\xd8")
    assert not any(part in data for part in (HIDDEN, b"Exif", b"GPS", b"http://ns.adobe"))
    assert not Image.open(io.BytesIO(data)).getexif()


def as_bytes(page: Page, address: str) -> bytes:
    return bytes(page.evaluate("async (data) => [...new Uint8Array(await (await fetch(data)).arrayBuffer())]", address))


def test_the_picture_is_small_upright_and_placeless(new_context, served):
    """12 megapixels from a phone held upright, with its place in it: what is kept and what is saved have none."""
    page = new_context(bypass_csp=True).new_page()
    taken = photograph(2.5, turned=True)
    assert HIDDEN in taken and Image.open(io.BytesIO(taken)).size == (3000, 4000)
    open_photo(page, served, taken)
    stored = page.evaluate(STORED)
    assert (stored["width"], stored["height"]) == tuple(map(int, SIZE))
    kept = as_bytes(page, stored["data"])
    placeless(kept)
    # Upright: the specimen's light lies where the camera saw it.
    theirs, ours = (
        np.asarray(Image.open(io.BytesIO(data)).convert("L").resize((80, 60)), float) for data in (photograph(), kept)
    )
    assert np.abs(theirs - ours).mean() < 6
    mark_all(page)
    in_band(page)
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the marked picture").click()
    marked = Path(saved.value.path()).read_bytes()
    placeless(marked)
    drawn = np.asarray(Image.open(io.BytesIO(marked)).convert("L"), float)
    u, v = (round(each) for each in ENDS[0])
    assert drawn[v - 12:v + 12, u].max() > 240, "no cross is drawn at the mark"


@pytest.mark.parametrize("name, data", [
    ("plate.heic", b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 400),
    ("torn.jpg", photograph()[:2000]), ("words.png", b"no picture at all"), ("empty.jpg", b""),
])
def test_a_file_that_is_no_picture_is_told_plainly(page, served, name, data):
    open_photo(page, served, photograph())
    by_keys(page, "1", ENDS[0])
    before = page.evaluate(STORED)["id"]
    choose(page, data, name)
    expect(page.locator(".photo-said")).to_contain_text(f"“{name}” is not a picture that this browser can read")
    assert page.evaluate(STORED)["id"] == before
    assert place(page, "1") == pytest.approx(ENDS[0], abs=0.6)


def test_reload_keeps_picture_and_marks_and_the_picture_before_comes_back(page, served):
    open_photo(page, served, photograph())
    mark_all(page)
    marks, answer = [place(page, short) for short in ("R1", "R2", "1", "2")], told(page)
    page.reload()
    page.wait_for_selector(READY)
    settle(page)
    assert [place(page, short) for short in ("R1", "R2", "1", "2")] == marks and told(page) == answer
    choose(page, photograph(0.5), "other.jpg")
    back = page.get_by_role("button", name="Back to the picture before")
    expect(back).to_be_visible()
    expect(page.get_by_role("button", name="Undo the last move")).to_be_disabled()
    expect(page.get_by_role("button", name="Every mark is at its place")).to_be_visible()
    back.click()
    expect(page.locator(".photo-said")).to_contain_text("is back")
    assert [place(page, short) for short in ("R1", "R2", "1", "2")] == marks


def test_the_size_and_the_marked_picture_go_into_a_record(page, served):
    page.goto(served + "record.html")
    page.wait_for_selector("#record-app[data-ready]")
    page.click("[data-new='test-day']")
    page.fill("#record-name", "Plate of the photo")
    # By the menu: the tab stays the same one.
    page.evaluate("document.querySelector('.md-sidebar--primary a[href$=\"photo.html\"]').click()")
    page.wait_for_selector(READY)
    choose(page, photograph())
    settle(page)
    mark_all(page)
    page.get_by_role("button", name="Put it into the record").click()
    expect(page.locator(".photo-said")).to_contain_text("In “Plate of the photo” now")
    page.get_by_role("link", name="Go to the record").click()
    page.click("[data-open]")
    expect(page.locator("[data-photo] img")).to_have_count(1)
    caption = page.locator("[data-photo] input").input_value()
    assert caption.startswith("Measured on a photo: 0.")
    placeless(as_bytes_of_image(page))
    sizes = page.locator(".record-form [data-field='findings'] [data-row] input")
    assert any(re.fullmatch(r"0\.2\d* in", each.input_value()) for each in sizes.all())


def as_bytes_of_image(page: Page) -> bytes:
    import base64
    return base64.b64decode(page.locator("[data-photo] img").get_attribute("src").split(",")[1])


KEYS = """() => {
  const mark = [...document.querySelectorAll('.photo-handle')].find((each) => each.textContent === '1');
  window.keys = 0;
  const step = () => {
    mark.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true, cancelable: true }));
    window.keys += 1;
    console.debug(`moved ${window.keys}`);
    if (window.keys < 200) setTimeout(step, Math.random() * 4);
  };
  step();
}"""


@pytest.mark.parametrize("kills", [pytest.param(2, id="2"), pytest.param(200, id="200", marks=pytest.mark.long)])
def test_kills_lose_no_picture_and_no_mark(new_context, served, kills):
    """The page's process is crashed at a random moment while marks move, now and then while a picture is chosen."""
    chance, context = random.Random(19), new_context()
    pictures = [photograph(), photograph(0.9)]
    moved = [0]

    def heard(message) -> None:
        if message.text.startswith("moved "):
            moved.append(int(message.text.split()[1]))

    context.on("console", heard)
    page = context.new_page()
    open_photo(page, served, pictures[0])
    for number in range(kills):
        start = place(page, "1")
        moved[:] = [0]
        if number % 5 == 4:
            choose(page, pictures[number % 2])
        else:
            page.evaluate(KEYS)
            page.wait_for_function("(count) => window.keys >= count", arg=chance.randint(1, 60), polling=1)
        with pytest.raises(Error):
            page.goto("chrome://crash")
        page.close()
        page = context.new_page()
        open_photo(page, served)
        expect(page.locator(".photo-handle")).to_have_count(4)
        assert page.evaluate("() => document.querySelector('.photo-sheet img').naturalWidth") in (1600, 1440)
        if number % 5 != 4:
            assert place(page, "1")[0] >= start[0] + max(moved), "a key that was finished is lost"
            assert place(page, "1")[1] == start[1]
        if place(page, "1")[0] > 1200:
            by_keys(page, "1", (300, 500))
    settle(page)


def test_from_a_folder(page, file_site):
    """A double click on the page's file: the picture is measured and kept as when served."""
    page.goto((file_site / "photo.html").as_uri())
    page.wait_for_selector(READY)
    choose(page, photograph())
    expect(page.locator(".photo-said")).to_contain_text("on this device only")
    mark_all(page)
    in_band(page)
    page.reload()
    page.wait_for_selector(READY)
    assert place(page, "2") == pytest.approx(ENDS[1], abs=0.6)


def test_the_desk_is_for_everyone(judged, served):  # noqa: F811
    open_photo(judged, served, photograph())
    handle(judged, "1").focus()
    for width in (390, 1280):
        judged.set_viewport_size({"width": width, "height": 800})
        assert not scrolls_sideways(judged)
        assert judge(judged, f"photo.html at {width}", ".photo-desk") == []


def test_other_pages_load_none_of_the_desk(new_context, served):
    """What measures a photo is fetched where a photo is measured."""
    context: BrowserContext = new_context()
    asked: list[str] = []
    context.on("request", lambda request: asked.append(request.url))
    page = context.new_page()
    page.goto(served + "judging.html")
    page.wait_for_function("() => window.Guide && Guide.forms().length > 0")
    assert not [each for each in asked if "photo-" in each]
    open_photo(page, served)
    assert len([each for each in asked if "photo-" in each]) == 2
