"""Packs the site into one zip to carry: unzip it anywhere and open index.html."""

from __future__ import annotations

import hashlib
import os
import zipfile
from pathlib import Path

from calc.classroom.classfile import ClassFile, read_class, write_class, write_script
from calc.classroom.cli import bytes_of
from tools import guide
from tools.build import site_build
from tools.common import DIST, ROOT, Step, Trouble, files_below, main_guard, say

FOLDER = "plate-test-guide"
ARCHIVE = f"{FOLDER}.zip"
SUMS = "SHA256SUMS.txt"
FIXED_TIME = (1980, 1, 1, 0, 0, 0)


def packed_files(site: Path) -> list[Path]:
    """What goes into the zip: all but the compressed copies, which only a server sends."""
    return [path for path in files_below(site) if path.suffix not in site_build.COPY_SUFFIXES]


def class_named(name: str | None) -> ClassFile | None:
    """The class in a file; None where none is named."""
    if name is None:
        return None
    try:
        return read_class(bytes_of(Path(name)))
    except ValueError as trouble:
        raise Trouble(f"{name}: {trouble}") from None


def class_files(found: ClassFile | None) -> dict[str, bytes]:
    """What lies beside the guide for a class, by name: data for a served guide, a script for one in a folder."""
    if found is None:
        return {}
    return {
        site_build.CLASS_DATA: write_class(found).encode(), site_build.CLASS_SCRIPT: write_script(found).encode(),
    }


def sums(members: dict[str, bytes]) -> bytes:
    """The list of files with their SHA-256, in the form that sha256sum -c reads."""
    rows = (f"{hashlib.sha256(data).hexdigest()}  {name}" for name, data in members.items())
    return ("\n".join(rows) + "\n").encode()


def write_member(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    """Add one file with fixed time and rights: the same site gives the same zip."""
    info = zipfile.ZipInfo(f"{FOLDER}/{name}", FIXED_TIME)
    info.compress_type = zipfile.ZIP_DEFLATED
    info.create_system = 3
    info.external_attr = 0o100644 << 16
    archive.writestr(info, data, compresslevel=9)


def pack(site: Path | None = None, target: Path = DIST / ARCHIVE, found: ClassFile | None = None) -> Path:
    """Write the zip, with a class beside the guide where one is given, and return its path. Without a site given, the
    project's own is built first.
    """
    if site is None:
        site = site_build.build()
    members = {path.relative_to(site).as_posix(): path.read_bytes() for path in packed_files(site)}
    members |= class_files(found)
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(f".{os.getpid()}.part")
    with Step(f"Packing {len(members)} files"):
        with zipfile.ZipFile(part, "w") as archive:
            for name, data in members.items():
                write_member(archive, name, data)
            write_member(archive, SUMS, sums(members))
    os.replace(part, target)
    return target


def main(arguments: list[str]) -> int:
    options = guide.options("pack", arguments)
    made = pack(found=class_named(options.class_file))
    say(f"Packed {made.relative_to(ROOT).as_posix()}, {made.stat().st_size / 1e6:.1f} MB. "
        "Unzip it anywhere and open index.html.")
    return 0


if __name__ == "__main__":
    main_guard(main)
