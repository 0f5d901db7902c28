"""The pages by two builders: mkdocs, which we ship, and Zensical, which runs none of our hooks.

Both load the same extension for our marks.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest
from filelock import FileLock

from tools.common import CACHE, ROOT, digest

REQUIREMENTS = ROOT / "tools" / "requirements-zensical.txt"
# What the pages are made from. mkdocs.yml names all the rest.
SOURCES = ("docs", "calc", "tools", "overrides", "mkdocs.yml", "pyproject.toml", "CHANGELOG.md")
ANCHORS = (ROOT / "tests" / "docs" / "anchors.txt").read_text(encoding="utf-8").splitlines()
MARKS = re.compile(r"\[(calculator|fact): ([^\]\s]+)[^\]\n]*\]")


class Article(HTMLParser):
    """What the article of a page names: anchors, calculators and values, in order."""

    def __init__(self) -> None:
        super().__init__()
        self.inside = False
        self.found: dict[str, list[str]] = {"id": [], "data-calculator": [], "data-fact": []}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.inside = self.inside or tag == "article"
        for name, value in attrs:
            # Zensical puts an anchor of its own at the head of each article.
            if self.inside and name in self.found and value != "__skip":
                self.found[name].append(value or "")

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag != "article"


def articles(folder: Path) -> dict[str, dict[str, list[str]]]:
    found = {}
    for path in sorted(folder.glob("*.html")):
        reader = Article()
        reader.feed(path.read_text(encoding="utf-8"))
        found[path.name] = reader.found
    return found


def zensical() -> Path:
    """A Python of its own with nothing but Zensical at its pinned version."""
    place = CACHE / "zensical" / digest(REQUIREMENTS.read_bytes(), sys.version)[:12]
    python = place / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    with FileLock(CACHE / "zensical.lock"):
        if not (place / "whole").exists():
            subprocess.run([sys.executable, "-m", "venv", "--clear", place], check=True)
            subprocess.run(
                [python, "-m", "pip", "install", "--quiet", "--require-hashes", "-r", REQUIREMENTS], check=True
            )
            (place / "whole").touch()
    return python


@pytest.mark.long
def test_both_builders_make_the_same_calculators_values_and_anchors(site, tmp_path):
    for name in SOURCES:
        source = ROOT / name
        (shutil.copytree if source.is_dir() else shutil.copyfile)(source, tmp_path / name)
    done = subprocess.run(
        [zensical(), "-m", "zensical", "build"],
        cwd=tmp_path, capture_output=True, encoding="utf-8", check=False,
        env={**os.environ, "PYTHONUTF8": "1", "GUIDE_CACHE": str(CACHE), "GUIDE_LOCAL": str(tmp_path / "no-shop")},
    )
    assert done.returncode == 0, done.stdout + done.stderr
    by_mkdocs, by_zensical = articles(site), articles(tmp_path / "site")
    assert by_zensical == by_mkdocs

    pages = {path.stem: path.read_text(encoding="utf-8") for path in sorted((ROOT / "docs").glob("*.md"))}
    for built in (by_mkdocs, by_zensical):
        assert {f"{stem}.html" for stem in pages} <= set(built)
        for stem, text in pages.items():
            for kind, named in MARKS.findall(text):
                assert named in built[f"{stem}.html"][f"data-{kind}"], (stem, kind, named)
        for page, _, anchor in (line.partition("#") for line in ANCHORS):
            assert anchor in built[page.replace(".md", ".html")]["id"], (page, anchor)
