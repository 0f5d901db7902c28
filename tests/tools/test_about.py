"""What the guide says of itself: version, sources, changes, licences of everything that it ships."""

from __future__ import annotations

import json
import re
import tomllib
from fnmatch import fnmatch
from html.parser import HTMLParser

import markdown
import pytest

from tools.build import licences, marks
from tools.common import ROOT

LOCK = json.loads((ROOT / "tools" / "build" / "engine" / "package-lock.json").read_text(encoding="utf-8"))["packages"]
VERSION = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]


class _Rows(HTMLParser):
    """The rows of the table of licences: words of each cell, and the addresses in it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.rows: list[list[str]] = []
        self.links: list[list[str]] = []
        self.inside = False
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        named = dict(attrs)
        self.inside = named.get("class") == "licences" or self.inside and tag != "table"
        if self.inside and tag == "tr":
            self.rows.append([])
            self.links.append([])
        elif self.inside and tag in {"th", "td"}:
            self.rows[-1].append("")
        elif self.inside and tag == "a":
            self.links[-1].append(named["href"])

    def handle_endtag(self, tag):
        self.inside = self.inside and tag != "table"

    def handle_data(self, data):
        if self.inside and self.rows and self.rows[-1]:
            self.rows[-1][-1] += data


@pytest.fixture(scope="module")
def table(site) -> _Rows:
    return _Rows((site / "licences.html").read_text(encoding="utf-8"))


def test_versions_on_the_page_are_the_pinned_ones(table):
    shown = {row[0]: row[1] for row in table.rows[1:]}
    wanted = {"This guide": VERSION}
    pins = (ROOT / "tools" / "requirements.in").read_text(encoding="utf-8")
    wanted["mkdocs-material"] = re.search(r"^mkdocs-material==(.+)$", pins, re.MULTILINE)[1]
    wanted |= {
        "Pyodide" if name == "pyodide" else name: LOCK[f"node_modules/{name}"]["version"]
        for name in ("pyodide", "idb", "fflate", "iframe-worker")
    }
    assert {name: shown[name] for name in wanted} == wanted


def test_the_python_version_is_the_one_that_runs(table, engine, site):
    """Bytecode tells its Python by its magic number; the interpreter's words are in the runtime."""
    shown = {row[0]: row[1] for row in table.rows[1:]}["Python"]
    wasm = next(site.glob("assets/engine/py-*/pyodide.asm.wasm")).read_bytes()
    assert re.search(rb"(?<![0-9.])" + re.escape(shown.encode()) + rb"(?![0-9])", wasm)


def test_every_package_is_listed_or_said_not_to_ship(site):
    named = {part.origin for part in licences.parts()} | set(licences.not_shipped())
    assert {f"npm:{path.removeprefix('node_modules/')}" for path in LOCK if path} <= named
    for name in licences.not_shipped():
        package = name.removeprefix("npm:")
        assert not list(site.rglob(f"*{package.rpartition('/')[2]}.js")), f"{package} is in the site"


def test_every_file_of_the_site_belongs_to_a_part_and_every_part_is_there(site):
    """The guide's own patterns come last.

    What lies in the theme's, the runtime's or the libraries' folders must be another's.
    """
    own, *others = licences.parts()
    files = [
        path.relative_to(site).as_posix()
        for path in site.rglob("*")
        if path.is_file() and path.suffix not in {".br", ".gz"}
    ]
    patterns = [pattern for part in others for pattern in part.files]
    left = [name for name in files if not any(fnmatch(name, pattern) for pattern in patterns)]
    foreign = [name for name in left if re.match(r"assets/(javascripts|stylesheets|images|vendor|engine/py-)", name)
               or not any(fnmatch(name, pattern) for pattern in own.files)]
    assert foreign == []
    assert [pattern for pattern in patterns if not any(fnmatch(name, pattern) for name in files)] == []


@pytest.mark.parametrize("part", [part for part in licences.parts() if part.seen], ids=lambda part: part.name)
def test_a_part_inside_another_is_really_there(site, part):
    pattern, words = part.seen
    assert part.inside in {each.name for each in licences.parts()}
    assert any(words.encode() in path.read_bytes() for path in site.glob(pattern))


def test_every_licence_text_is_in_the_site_and_says_something(site, table):
    for row, links in zip(table.rows[1:], table.links[1:], strict=True):
        assert links, f"{row[0]} has no text"
        for link in links:
            assert len((site / link).read_text(encoding="utf-8")) > 500, link
    assert (site / "licences" / "this-guide.txt").read_bytes() == (ROOT / "LICENSE").read_bytes()


def test_every_page_says_its_version_and_when_the_sources_were_looked_at(site):
    pages = sorted(site.glob("*.html"))
    assert len(pages) > 25
    for page in pages:
        foot = page.read_text(encoding="utf-8").partition('class="md-copyright"')[2][:800]
        assert f"Version {VERSION}</a>" in foot and re.search(
            r"checked against the sources we hold on \d{1,2} \w+ 20\d\d", foot
        ), page.name
        assert all(f'href="{name}.html"' in foot for name in ("changelog", "register", "licences")), page.name


def test_the_changelog_is_a_page_and_its_newest_release_is_this_version(site):
    text = (site / "changelog.html").read_text(encoding="utf-8")
    assert re.findall(r'<h2 id="(changelog-[\d-]+)"', text)[0] == "changelog-" + VERSION.replace(".", "-")


def test_a_version_without_its_changes_stops_the_build(tmp_path, monkeypatch):
    """The place where both meet, with a changelog that is one release behind."""
    (tmp_path / "CHANGELOG.md").write_text("# Changes\n\n## 0.0.1, 1 January 2026\n\n- x\n", encoding="utf-8")
    monkeypatch.setattr(marks, "ROOT", tmp_path)
    with pytest.raises(marks.BuildError, match=f"its first release is 0.0.1, pyproject.toml says {VERSION}"):
        markdown.markdown("# Changes\n\n[changelog]\n", extensions=["tools.build.marks"])
