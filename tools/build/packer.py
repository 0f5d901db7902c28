"""Packs the site into one zip to carry: unzip it anywhere and open index.html."""

from __future__ import annotations

import hashlib
import os
import zipfile
from pathlib import Path

from tools import guide
from tools.build import site_build
from tools.common import DIST, ROOT, Step, files_below, main_guard, say

FOLDER = "plate-test-guide"
ARCHIVE = f"{FOLDER}.zip"
SUMS = "SHA256SUMS.txt"
FIXED_TIME = (1980, 1, 1, 0, 0, 0)


def packed_files(site: Path) -> list[Path]:
    """What goes into the zip: all but the compressed copies, which only a server sends."""
    return [path for path in files_below(site) if path.suffix not in site_build.COPY_SUFFIXES]


def sums(site: Path, files: list[Path]) -> bytes:
    """The list of files with their SHA-256, in the form that sha256sum -c reads."""
    rows = (f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.relative_to(site).as_posix()}" for path in files)
    return ("\n".join(rows) + "\n").encode()


def write_member(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    """Add one file with fixed time and rights: the same site gives the same zip."""
    info = zipfile.ZipInfo(f"{FOLDER}/{name}", FIXED_TIME)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.create_system = 3
    info.external_attr = 0o100644 << 16
    archive.writestr(info, data, compresslevel=9)


def pack(site: Path | None = None, target: Path = DIST / ARCHIVE) -> Path:
    """Write the zip and return its path. Without a site given, the project's own is built first."""
    if site is None:
        site = site_build.build()
    files = packed_files(site)
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(f".{os.getpid()}.part")
    with Step(f"Packing {len(files)} files"):
        with zipfile.ZipFile(part, "w") as archive:
            for path in files:
                write_member(archive, path.relative_to(site).as_posix(), path.read_bytes())
            write_member(archive, SUMS, sums(site, files))
    os.replace(part, target)
    return target


def main(arguments: list[str]) -> int:
    guide.options("pack", arguments)
    made = pack()
    say(f"Packed {made.relative_to(ROOT).as_posix()}, {made.stat().st_size / 1e6:.1f} MB. "
        "Unzip it anywhere and open index.html.")
    return 0


if __name__ == "__main__":
    main_guard(main)
