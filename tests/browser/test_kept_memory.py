"""The engine starts from the kept memory of a Python with calc loaded, and from the bytecode where that can't be or
shouldn't.
"""

from __future__ import annotations

import json
import re

import pytest

from calc.web import respond
from tests.browser.conftest import copied, write
from tools.build import engine_build

REQUESTS = [
    {"do": "answer", "calculator": "groove", "inputs": {"thickness": "1/2 in"}},
    {"do": "answer", "calculator": "groove", "inputs": {"thickness": "thick"}, "system": "si"},
    # Modules that are loaded when they are wanted, and question files that are read then.
    {"do": "practice-objectives"},
    {"do": "practice-set", "chapters": ["safety"], "seed": "3", "count": 5},
]
CALL = "(requests) => Promise.all(requests.map((request) => GuideEngine.call(request)))"
LATENCY = 400  # ms; from 270 on Chromium calls a line slow


def expected() -> list[dict]:
    return [json.loads(respond(json.dumps(request))) for request in REQUESTS]


@pytest.fixture
def copy(site, tmp_path):
    """A copy of the site whose engine a test may change: (folder, a function that changes a file of it)."""
    folder = copied(site, tmp_path / "site")

    def change(pattern: str, change_bytes) -> None:
        (path,) = folder.glob(f"assets/engine/{pattern}")
        changed = change_bytes(path.read_bytes())
        path.unlink() if changed is None else write(path, changed)

    return folder, change


def parts_asked_for(page) -> list[str]:
    """Names of the engine's big parts as the page asks for them, kept up to date."""
    asked: list[str] = []
    page.on(
        "request",
        lambda request: asked.extend(re.findall(r"/assets/engine/(?:py-\w+/)?(memory|library|calc)[-.]", request.url)),
    )
    return asked


def slow_line(page) -> None:
    """Make the browser call the line slow."""
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions",
                 {"offline": False, "latency": LATENCY, "downloadThroughput": 50e6, "uploadThroughput": 50e6})


def test_answers_from_the_kept_memory_are_those_of_calc(page, served):
    asked = parts_asked_for(page)
    page.goto(served + "groove.html")
    assert page.evaluate(CALL, REQUESTS) == expected()
    assert set(asked) == {"memory"}


def test_the_restored_memory_is_the_kept_one_to_the_byte(page, serve, copy):
    """The browser's runtime, just made, must be the one that the build compared with."""
    folder, change = copy
    mark = "options._loadSnapshot.set(pieces.head);"
    telling = ('crypto.subtle.digest("SHA-256", runtime.HEAPU8.slice()).then((hash) => console.log("memory "'
               ' + [...new Uint8Array(hash)].map((byte) => byte.toString(16).padStart(2, "0")).join("")));')

    def with_telling(worker: bytes) -> bytes:
        assert worker.decode().count(mark) == 1
        return worker.decode().replace(mark, telling + mark).encode()

    change("worker-*.mjs", with_telling)
    running = serve(folder)
    page.goto(running.url + "groove.html")
    with page.expect_console_message(lambda message: message.text.startswith("memory ")) as told:
        assert page.evaluate("GuideEngine.start()") is True
    sources = engine_build.calc_files()
    _, about = engine_build.build_memory(
        engine_build.build_library(engine_build.calc_imports(sources)), engine_build.build_calc(sources)[0],
    )
    assert told.value.text == f"memory {about['sha256']}"


@pytest.mark.parametrize("damage", [
    pytest.param(lambda kept: None, id="missing"),
    pytest.param(lambda kept: kept[: len(kept) // 2], id="cut short"),
    pytest.param(lambda kept: kept + b"more", id="too long"),
    pytest.param(lambda kept: kept[:4] + (7).to_bytes(4, "little") + kept[8:], id="lengths that do not fit"),
])
def test_without_a_whole_memory_the_bytecode_answers(page, serve, copy, watch, damage):
    watch.expect(
        "Failed to load resource|installing the standard library|could not be fetched|come whole|longer than|not "
        "whole|typed array"
    )
    folder, change = copy
    change("memory-*.bin", damage)
    page.goto(serve(folder).url + "groove.html")
    assert page.evaluate(CALL, REQUESTS) == expected()


def test_without_either_the_reader_is_told(page, serve, copy, watch):
    watch.expect("Failed to load resource|installing the standard library|could not be fetched")
    folder, change = copy
    for pattern in ("memory-*.bin", "py-*/library.zip"):
        change(pattern, lambda kept: None)
    page.goto(serve(folder).url + "groove.html")
    answer, *_ = page.evaluate(CALL, REQUESTS[:1])
    assert answer["engine"] == "failed"
    assert "the Python library could not be fetched" in answer["reason"] and "printed answers" in answer["reason"]


def test_a_slow_line_is_spared_the_kept_memory(page, served):
    """Less is sent; the answers are the same."""
    slow_line(page)
    asked = parts_asked_for(page)
    page.goto(served + "groove.html")
    assert page.evaluate(CALL, REQUESTS) == expected()
    assert set(asked) == {"library", "calc"}


def test_what_the_browser_keeps_already_is_used_on_a_slow_line_too(new_context, served):
    page = new_context(service_workers="allow").new_page()
    page.goto(served + "groove.html")
    page.wait_for_function("() => GuideOffline.state === 'ready'")
    slow_line(page)
    asked = parts_asked_for(page)
    page.reload()
    assert page.evaluate(CALL, REQUESTS) == expected()
    assert set(asked) == {"memory"}
