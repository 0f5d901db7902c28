"""The built site as a whole: what the service worker lists, what the zip carries."""

from __future__ import annotations

import base64
import hashlib
import json
import re
import zipfile

from tools.build import packer, site_build


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
    for name in ("sw.js", "assets/engine/offline-bundle.js", *site_build.NO_CLASS):
        del files[name]
    hashes = {
        name: (base64.b64encode(hashlib.sha256(data).digest()).decode(), len(data)) for name, data in files.items()
    }
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
