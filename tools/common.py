"""What the tools share: paths, messages, hashes, running other programs."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import time
from collections.abc import Iterable
from pathlib import Path

from tools.guide import ROOT, child_environment

CACHE = Path(os.environ.get("GUIDE_CACHE") or ROOT / ".cache").resolve()
SITE = ROOT / "site"
DIST = ROOT / "dist"
ENGINE_SOURCE = ROOT / "tools" / "build" / "engine"

# Every file that decides how the site comes out. docs and calc are what a writer edits; the rest seldom changes.
SITE_INPUTS = ("docs", "calc", "tools", "overrides", "mkdocs.yml", "pyproject.toml", "CHANGELOG.md", "LICENSE")
# A shop's own pages (tools/build/local_pages.py): outside docs/, so that no update touches them.
LOCAL = Path(os.environ.get("GUIDE_LOCAL") or ROOT / "local").resolve()
SKIPPED_PARTS = {"__pycache__", "node_modules", ".DS_Store"}
# A class of 60 holds 360 connections; some systems allow a program 256 open files until it asks for more.
OPEN_FILES = 4096


class Trouble(Exception):
    """Expected trouble, told to the user in one short message without a traceback."""


def say(words: str) -> None:
    """Print a step at once, so that a long wait is never silent."""
    print(words, flush=True)


class Step:
    """Context manager that prints what is being done and how long it took."""

    def __init__(self, words: str) -> None:
        self.words = words

    def __enter__(self) -> "Step":
        say(f"{self.words} ...")
        self.start = time.monotonic()
        return self

    def __exit__(self, kind: type | None, *_: object) -> None:
        if kind is None:
            say(f"{self.words}: done in {time.monotonic() - self.start:.1f} s")


def run(command: list[str | Path], *, what: str, cwd: Path = ROOT, quiet: bool = False, **more: str) -> str:
    """Run a program; return what it printed when quiet. Raises Trouble with its last lines when it fails."""
    try:
        done = subprocess.run(
            [str(part) for part in command], cwd=cwd, env=child_environment(**more), encoding="utf-8",
            errors="replace", check=False, stdout=subprocess.PIPE if quiet else None,
            stderr=subprocess.PIPE if quiet else None,
        )
    except OSError as error:
        raise Trouble(f"{what} failed: {command[0]} could not be started ({error.strerror})") from error
    if done.returncode:
        said = ((done.stdout or "") + (done.stderr or "")).strip().splitlines()[-15:]
        raise Trouble("\n".join([f"{what} failed (exit {done.returncode})", *(line[:300] for line in said)]))
    return done.stdout or ""


def digest(*parts: bytes | str) -> str:
    """Hex SHA-256 of the parts; each part's length goes in, so that no two lists share a digest."""
    total = hashlib.sha256()
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        total.update(f"{len(data)}:".encode())
        total.update(data)
    return total.hexdigest()


def files_below(folder: Path) -> list[Path]:
    """All files below a folder in one fixed order, without Python's and the system's leftovers."""
    found = (path for path in folder.rglob("*") if path.is_file() and path.suffix != ".pyc")
    return sorted(path for path in found if not SKIPPED_PARTS & set(path.relative_to(folder).parts))


def digest_of_paths(paths: Iterable[Path]) -> str:
    """Digest of the names and bytes of files and folders. A missing path counts as missing."""
    parts: list[bytes | str] = []
    for path in paths:
        members = files_below(path) if path.is_dir() else [path]
        for member in members:
            parts.append(member.relative_to(ROOT).as_posix() if member.is_relative_to(ROOT) else member.name)
            parts.append(member.read_bytes() if member.exists() else "missing")
    return digest(*parts)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file through a neighbor, so that no reader ever sees half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f"{path.name}.{os.getpid()}.part")
    beside.write_bytes(data)
    os.replace(beside, path)


def allow_many_connections() -> None:
    """Ask the system for enough open files; Windows has no such limit."""
    try:
        import resource
    except ImportError:
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = OPEN_FILES if hard == resource.RLIM_INFINITY else min(OPEN_FILES, hard)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))


def main_guard(main) -> None:
    """Run a module's main and turn expected trouble into one message and exit code 1."""
    try:
        sys.exit(main(sys.argv[1:]))
    except Trouble as trouble:
        print(f"error: {trouble}", file=sys.stderr, flush=True)
        sys.exit(1)
    except KeyboardInterrupt:
        sys.exit(130)
