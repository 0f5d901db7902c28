"""The guide on a file store behind a content network, as docs/hosting.md tells to set it up, and on a host that sets
nothing.
"""

from __future__ import annotations

import fnmatch
import http.server
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

from tests.browser.test_ways_to_open import CALL, REQUEST, expected_answer
from tests.tools.hosts import table

COPIES = {".br", ".gz"}


class Store:
    """A file store and its content network in one: knows the headers it was given, and nothing of its own."""

    def __init__(self, site: Path, headers_of: Callable[[str], dict[str, str]], *, packed: bool = False) -> None:
        self.objects: dict[str, tuple[dict[str, str], bytes]] = {}
        for path in (path for path in site.rglob("*") if path.is_file() and path.suffix not in COPIES):
            name, copy = path.relative_to(site).as_posix(), path.with_name(path.name + ".gz")
            headers = headers_of(name)
            if packed and copy.exists():
                headers["Content-Encoding"] = "gzip"
            self.objects[name] = headers, (copy if "Content-Encoding" in headers else path).read_bytes()
        self.server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), self.handler())
        self.url = f"http://127.0.0.1:{self.server.server_address[1]}/"
        self.thread = threading.Thread(target=self.server.serve_forever, daemon=True)
        self.thread.start()

    def handler(self) -> type[http.server.BaseHTTPRequestHandler]:
        objects = self.objects

        class Handler(http.server.BaseHTTPRequestHandler):
            protocol_version = "HTTP/1.1"

            def do_GET(self) -> None:
                name = unquote(urlsplit(self.path).path).removeprefix("/") or "index.html"
                headers, body = objects.get(name, objects["404.html"])
                self.send_response(200 if name in objects else 404)
                for key, value in headers.items():
                    self.send_header(key, value)
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: object) -> None:
                """Say nothing."""

        return Handler

    def stop(self) -> None:
        self.server.shutdown()
        self.server.server_close()


@pytest.fixture
def store(site) -> Iterator[Callable[..., Store]]:
    """Starts stores: store(headers_of, packed=False)."""
    started: list[Store] = []

    def start(headers_of: Callable[[str], dict[str, str]], **more: bool) -> Store:
        started.append(Store(site, headers_of, **more))
        return started[-1]

    yield start
    for each in started:
        each.stop()


def by_the_page(name: str) -> dict[str, str]:
    """The headers of a file as the tables of the page give them: the first row that fits."""
    fits = {column: next(value for pattern, value in table(section) if fnmatch.fnmatchcase(name, pattern))
            for column, section in (("Content-Type", "hosting-types"), ("Cache-Control", "hosting-cache"))}
    return fits | dict(table("hosting-policy"))


def only_the_needed_types(name: str) -> dict[str, str]:
    """A host that sets nothing but the five types that the page calls needed."""
    needed = {".html": "text/html", ".css": "text/css", ".js": "text/javascript", ".mjs": "text/javascript",
              ".wasm": "application/wasm"}
    kind = needed.get(Path(name).suffix)
    return {"Content-Type": kind} if kind else {}


def works_then_works_without_it(page, running: Store) -> None:
    """Open, answer, keep; then the host goes away, and another page opens and answers."""
    page.goto(running.url)
    page.wait_for_function("() => GuideOffline.state === 'ready'")
    running.stop()
    for name in ("groove.html", "index.html"):
        response = page.goto(running.url + name)
        assert response.ok and response.from_service_worker
    assert page.evaluate(CALL, REQUEST) == expected_answer()


@pytest.mark.long
@pytest.mark.parametrize("packed", [False, True])
def test_a_file_store_set_up_by_the_tables_carries_the_guide(new_context, store, packed):
    running = store(by_the_page, packed=packed)
    page = new_context(service_workers="allow").new_page()
    page.goto(running.url + "groove.html")
    assert page.evaluate(CALL, REQUEST) == expected_answer()
    works_then_works_without_it(page, running)


def test_a_host_that_sets_hardly_anything_carries_the_guide_too(new_context, store):
    works_then_works_without_it(new_context(service_workers="allow").new_page(), store(only_the_needed_types))


def test_a_missing_page_is_told_from_a_file_store(page, store, watch):
    watch.expect("404")
    assert page.goto(store(by_the_page).url + "moved-away.html").status == 404
    assert "no page at this address" in page.locator("main").inner_text()
