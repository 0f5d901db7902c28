"""Builds the whole site: pages, engine, policy, compressed copies, the service worker. Swaps it in whole at the end.

It does nothing while what decides the site (SITE_INPUTS) is unchanged; `build --force` builds all the same. The same
sources give the same bytes: dates are fixed, lists sorted, nothing asks the clock. A test builds once more with
another time zone and hash seed; `build --twice` makes the engine anew as well, in two empty caches, and compares site
and zip.

sw.js is written near the end: a version (the hash of everything) and each file's hash and size. On install it fetches
all files into a new cache, each checked against its hash, and takes unchanged ones over from the last set; one that
fails stops the whole. Pages are answered from that one set only; query strings choose no other file. A kept file is
held against its hash once in the life of the worker: one that does not fit is fetched anew in the same version or
answered with words. A new version waits until the reader presses "Use the new version": then it takes over, every
open page of the guide reloads, and the old set is removed. It registers only over https or on localhost, never in a
folder; engine/offline.js is its face to the pages.
"""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import os
import shutil
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import brotli

from tools import guide
from tools.build import engine_build, licences, local_pages, postprocess
from tools.common import (
    CACHE, ENGINE_SOURCE, LOCAL, ROOT, SITE, SITE_INPUTS, Step, Trouble, digest, digest_of_paths, files_below,
    main_guard, run, say, write_whole,
)

STAMP = CACHE / "site.stamp"
NEXT = CACHE / "site-next"
COMPRESSED = CACHE / "compressed"
# Zero of every date in the output: the same sources give the same site.
FIXED_DATE = "315532800"

TEXT_TYPES = {".bin", ".html", ".css", ".js", ".mjs", ".json", ".svg", ".wasm", ".zip", ".xml", ".txt", ".webmanifest"}
SMALLEST_WORTH = 512
# Only pages opened from a folder load it, so it is never sent and never cached.
BUNDLE = "assets/engine/offline-bundle.js"
COPY_SUFFIXES = (".br", ".gz")
# A class file laid beside the guide takes the place of these two, which hold none: no kept set may hold them.
CLASS_DATA, CLASS_SCRIPT = "class.json", "class.js"
NO_CLASS = {CLASS_DATA: b"null\n", CLASS_SCRIPT: b"/* No class lies beside this guide. */\n"}
# What the record stores with. Classic scripts: a page opened from a folder may load no other kind.
LIBRARIES = {"idb.js": "idb/build/umd.js", "fflate.js": "fflate/umd/index.js"}


def inputs_digest() -> str:
    """Digest of everything that decides how the site comes out."""
    return digest(digest_of_paths([*(ROOT / name for name in SITE_INPUTS), LOCAL]), str(LOCAL), sys.version)


def run_mkdocs(target: Path, config: Path) -> None:
    """Turn docs/ into pages."""
    with Step("Building the pages"):
        run([sys.executable, "-m", "mkdocs", "build", "--quiet", "--strict", "--clean", "-f", config, "-d", target],
            what="Building the pages", quiet=True, SOURCE_DATE_EPOCH=os.environ.get("SOURCE_DATE_EPOCH", FIXED_DATE))


def prune(site: Path) -> None:
    """Drop what no page uses: source maps, other languages' search, a second site map."""
    shutil.rmtree(site / "assets" / "javascripts" / "lunr", ignore_errors=True)
    for pattern in ("*.min.js.map", "*.min.css.map"):
        for path in site.rglob(pattern):
            path.unlink()
    # The plain one stays: the theme's instant navigation reads it to know the guide's own pages.
    (site / "sitemap.xml.gz").unlink(missing_ok=True)


# The search library writes the edges of a node of its word graph without a mark between them, so that the edges "1 to 23"
# and "12 to 3" read alike, nodes that differ are merged, and a query for a word near them ends in an error: some words
# of a text full of figures find nothing.
EDGES, EDGES_APART = "e=e+s+o.id}return e}", "e=e+s+o.id+','}return e}"


def mend_search(site: Path) -> None:
    """Put a mark between the edges in the theme's search worker."""
    (worker,) = (site / "assets" / "javascripts" / "workers").glob("search.*.min.js")
    text = worker.read_text(encoding="utf-8")
    if text.count(EDGES) != 1:
        raise Trouble("the theme's search worker is another: look whether it still needs its mend (mend_search)")
    write_whole(worker, text.replace(EDGES, EDGES_APART).encode())


def add_parts(site: Path, engine: dict[str, Path]) -> None:
    """Put the engine's files and the record's libraries where the pages look for them, and the licences of all."""
    libraries = {
        f"assets/vendor/{name}": engine_build.PACKAGES / "node_modules" / inside for name, inside in LIBRARIES.items()
    }
    # The command line writes the same style into the sheet that it prints.
    style = {"assets/sheet.css": engine_build.CALC / "plate_test" / "sheet.css"}
    for inside, source in (engine | libraries | style).items():
        target = site / inside
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    for name, data in NO_CLASS.items():
        (site / name).write_bytes(data)
    licences.write_texts(site)


def cached_files(site: Path) -> list[Path]:
    """The files that the service worker keeps: everything but itself, the folder bundle, the class beside the guide and
    compressed copies.
    """
    left_out = {site / "sw.js", site / BUNDLE, *(site / name for name in NO_CLASS)}
    return [path for path in files_below(site) if path not in left_out and path.suffix not in COPY_SUFFIXES]


def manifest(site: Path) -> list[list[object]]:
    """[[path, base64 SHA-256, size], ...] of every file that the service worker keeps."""
    rows = []
    for path in cached_files(site):
        data = path.read_bytes()
        sha = base64.b64encode(hashlib.sha256(data).digest()).decode()
        rows.append([path.relative_to(site).as_posix(), sha, len(data)])
    return rows


def write_service_worker(site: Path) -> None:
    """Write sw.js for exactly the files at hand; its version is the hash of them all."""
    rows = manifest(site)
    template = (ENGINE_SOURCE / "sw.template.js").read_bytes()
    version = digest(template, json.dumps(rows))[:16]
    text = engine_build.fill("sw.template.js", VERSION=json.dumps(version), FILES=rows)
    write_whole(site / "sw.js", text.encode())


def compressed(data: bytes, suffix: str, quality: int) -> bytes:
    """Compress, keeping the result under the hash of the content: the engine takes half a minute otherwise."""
    kept = COMPRESSED / f"{digest(data)[:32]}-{quality}{suffix}"
    if kept.exists():
        return kept.read_bytes()
    packed = brotli.compress(data, quality=quality) if suffix == ".br" else gzip.compress(data, 9, mtime=0)
    write_whole(kept, packed)
    return packed


def compress_one(path: Path, site: Path) -> None:
    """Write the compressed copies of one file, where they are smaller."""
    data = path.read_bytes()
    lasting = path.relative_to(site).as_posix().startswith("assets/engine/")
    for suffix in COPY_SUFFIXES:
        packed = compressed(data, suffix, 11 if lasting else 9)
        if len(packed) < len(data):
            path.with_name(path.name + suffix).write_bytes(packed)


def precompress(site: Path) -> None:
    """Compressed copies beside every text and engine file."""
    wanted = [path for path in files_below(site) if path.suffix in TEXT_TYPES and path.stat().st_size >= SMALLEST_WORTH
              and path != site / BUNDLE]
    with Step("Compressing (the engine takes about half a minute, once)"):
        with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            list(pool.map(lambda path: compress_one(path, site), wanted))
    forget_old(COMPRESSED, 400)


def forget_old(folder: Path, keep: int) -> None:
    """Keep only the newest files of a cache folder."""
    newest = sorted(folder.glob("*"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in newest[keep:]:
        path.unlink(missing_ok=True)


def swap_in(new: Path, target: Path) -> None:
    """Replace the target by the new folder; a reader sees the old site or the new, hardly ever neither."""
    old = new.with_name(new.name + "-old")
    shutil.rmtree(old, ignore_errors=True)
    if target.exists():
        os.replace(target, old)
    os.replace(new, target)
    shutil.rmtree(old, ignore_errors=True)


def build(*, force: bool = False, config: Path = ROOT / "mkdocs.yml", target: Path = SITE,
          calc: Path = engine_build.CALC) -> Path:
    """Build the site unless nothing changed since the last build. Returns its folder."""
    if not config.exists():
        raise Trouble(f"{config.name} is missing")
    stamp = inputs_digest()
    if not force and target == SITE and target.exists() and STAMP.exists() and STAMP.read_text() == stamp:
        say("The site is up to date.")
        return target
    CACHE.mkdir(parents=True, exist_ok=True)
    new = NEXT if target == SITE else target.with_name(target.name + "-next")
    if target == SITE:
        STAMP.unlink(missing_ok=True)
    shutil.rmtree(new, ignore_errors=True)
    questions = local_pages.packed_questions()
    shop = {local_pages.PACKED: engine_build.product("own.json", questions)} if questions else {}
    engine = engine_build.build(calc, shop)
    run_mkdocs(new, config)
    prune(new)
    mend_search(new)
    add_parts(new, engine)
    postprocess.process(new)
    write_service_worker(new)
    precompress(new)
    swap_in(new, target)
    if target == SITE:
        STAMP.write_text(stamp)
    say(f"Built {target.relative_to(ROOT) if target.is_relative_to(ROOT) else target}.")
    return target


# What may differ between two machines and must not show: the order of sets, the clock's zone, the words of the system.
OTHER_MACHINES = ({"PYTHONHASHSEED": "1", "TZ": "Pacific/Kiritimati", "LC_ALL": "C"},
                  {"PYTHONHASHSEED": "2", "TZ": "Pacific/Pago_Pago", "LC_ALL": "C.UTF-8"})


def build_elsewhere(target: Path, **environment: str) -> None:
    """Build into another folder, in a process with another environment."""
    run(
        [sys.executable, "-m", "tools.build.site_build", "--force", "--into", target],
        what="Building the site",
        quiet=True,
        **environment,
    )


def differences(one: Path, other: Path) -> list[str]:
    """The files that two folders don't have alike."""
    first, second = (
        {path.relative_to(folder).as_posix(): path.read_bytes() for path in files_below(folder)}
        for folder in (one, other)
    )
    return sorted(name for name in first.keys() | second.keys() if first.get(name) != second.get(name))


def build_twice() -> int:
    """Build everything twice, each time with an empty cache but for the fetched packages, and compare.

    Returns an exit code.
    """
    from tools.build import packer

    engine_build.fetch_packages()
    with tempfile.TemporaryDirectory() as name:
        made = []
        for number, environment in enumerate(OTHER_MACHINES, 1):
            folder = Path(name) / str(number)
            shutil.copytree(engine_build.PACKAGES, folder / "cache" / "engine", symlinks=True)
            with Step(f"Build {number} of 2, engine and all (minutes)"):
                build_elsewhere(folder / "site", GUIDE_CACHE=str(folder / "cache"), **environment)
            made.append((folder / "site", packer.pack(folder / "site", folder / "packed.zip")))
        different = differences(made[0][0], made[1][0])
        if made[0][1].read_bytes() != made[1][1].read_bytes():
            different.append("the packed zip")
        count = len(files_below(made[0][0]))
    for each in different:
        say(f"different: {each}")
    say(
        f"{len(different)} of {count} files differ."
        if different
        else f"Both builds are the same: {count} files and the zip, byte for byte."
    )
    return 1 if different else 0


def main(arguments: list[str]) -> int:
    options = guide.options("build", arguments)
    if options.twice:
        return build_twice()
    target = options.into.resolve() if options.into else SITE
    if (
        target != SITE
        and target.exists()
        and (not target.is_dir() or any(target.iterdir()) and not (target / "sw.js").exists())
    ):
        raise Trouble(f"{target} holds something else than a built site: name a new or empty folder")
    build(force=options.force, target=target)
    return 0


if __name__ == "__main__":
    main_guard(main)
