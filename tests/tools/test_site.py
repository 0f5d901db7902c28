"""The built site as a whole: what the service worker lists, what the zip carries, what the server says."""

from __future__ import annotations

import base64
import hashlib
import http.client
import json
import re
import zipfile

import pytest

from tools import packer, policy, server, site_build


def listed(site) -> dict[str, tuple[str, int]]:
    """The files that sw.js lists: path -> (hash, size)."""
    text = (site / "sw.js").read_text(encoding="utf-8")
    rows = json.loads(re.search(r"^const FILES = (\[.*\]);", text, re.MULTILINE).group(1))
    return {path: (sha, size) for path, sha, size in rows}


def on_disk(site) -> dict[str, bytes]:
    """Every file of the site, without compressed copies."""
    found = (path for path in site.rglob("*") if path.is_file() and path.suffix not in {".br", ".gz"})
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in found}


def test_service_worker_lists_every_file_with_its_true_hash(site):
    files = on_disk(site)
    del files["sw.js"], files["assets/engine/offline-bundle.js"]
    hashes = {name: (base64.b64encode(hashlib.sha256(data).digest()).decode(), len(data)) for name, data in files.items()}
    assert listed(site) == hashes


def test_service_worker_version_changes_with_any_file(tmp_path):
    def version() -> str:
        site_build.write_service_worker(tmp_path)
        return re.search(r"VERSION = (.*);", (tmp_path / "sw.js").read_text()).group(1)

    (tmp_path / "index.html").write_text("one")
    first = version()
    assert version() == first
    (tmp_path / "index.html").write_text("two")
    assert version() != first


def test_zip_is_the_same_twice_and_carries_every_file(site, tmp_path):
    once, twice = packer.pack(site, tmp_path / "a.zip"), packer.pack(site, tmp_path / "b.zip")
    assert once.read_bytes() == twice.read_bytes()
    with zipfile.ZipFile(once) as archive:
        carried = {name.removeprefix("plate-test-guide/"): archive.read(name) for name in archive.namelist()}
    sums = carried.pop("SHA256SUMS.txt").decode().splitlines()
    assert carried == on_disk(site)
    assert dict(reversed(row.split("  ")) for row in sums) == {
        name: hashlib.sha256(data).hexdigest() for name, data in carried.items()}


def get(running, path: str, **headers: str):
    """One request; (status, headers, body)."""
    link = http.client.HTTPConnection("127.0.0.1", running.port, timeout=20)
    link.request("GET", path, headers={name.replace("_", "-"): value for name, value in headers.items()})
    answer = link.getresponse()
    body = answer.read()
    link.close()
    return answer.status, answer.headers, body


@pytest.fixture(scope="module")
def running(site):
    with server.Running(site) as at_root:
        yield at_root


def test_every_response_carries_the_policy(running):
    for path in ("/", "/assets/engine/engine.js", "/nothing-here.html", "/sw.js"):
        _, headers, _ = get(running, path)
        for name, value in policy.HEADERS.items():
            assert headers[name] == value


def test_types_that_browsers_insist_on(running, engine):
    names = {"pyodide.asm.wasm": "application/wasm", "pyodide.mjs": "text/javascript", "library.zip": "application/zip"}
    for name, kind in names.items():
        _, headers, _ = get(running, f"/{engine.folder}/{name}")
        assert headers["Content-Type"].split(";")[0] == kind


@pytest.mark.parametrize(("accept", "encoding"), [
    ("gzip, deflate, br", "br"), ("gzip", "gzip"), ("identity", None), ("br;q=0, gzip", "gzip"),
])
def test_compressed_copy_is_chosen_by_what_the_browser_takes(running, site, accept, encoding):
    status, headers, body = get(running, "/assets/engine/engine.js", Accept_Encoding=accept)
    assert (status, headers["Content-Encoding"]) == (200, encoding)
    suffix = {"br": ".br", "gzip": ".gz", None: ""}[encoding]
    assert body == (site / f"assets/engine/engine.js{suffix}").read_bytes()


def test_unchanged_page_is_not_sent_again(running):
    _, headers, _ = get(running, "/index.html", Accept_Encoding="br")
    status, _, body = get(running, "/index.html", Accept_Encoding="br", If_None_Match=headers["ETag"])
    assert (status, body) == (304, b"")


def test_hashed_names_last_and_pages_are_asked_for_again(running, engine):
    assert "immutable" in get(running, f"/{engine.folder}/library.zip")[1]["Cache-Control"]
    assert get(running, "/index.html")[1]["Cache-Control"] == "no-cache"
    assert get(running, "/sw.js")[1]["Cache-Control"] == "no-cache"


def test_part_of_a_file_can_be_asked_for(running, site):
    status, _, body = get(running, "/index.html", Range="bytes=0-14", Accept_Encoding="br")
    assert status == 206
    assert body == (site / "index.html").read_bytes()[:15]


@pytest.mark.parametrize("path", ["/../pyproject.toml", "/%2e%2e/pyproject.toml", "/assets/..%2f..%2fpyproject.toml"])
def test_nothing_outside_the_site_is_served(running, path):
    status, _, body = get(running, path)
    assert status == 404
    assert b"[project]" not in body
