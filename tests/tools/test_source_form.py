"""How the page's sources are laid out: lines that stand beside each other on a screen, scripts that can be read at a
sitting, none that no page loads."""

from __future__ import annotations

import re

import pytest

from tools.common import ENGINE_SOURCE, ROOT, files_below

WIDEST = 120
LONGEST = 400
# Files whose lines are held to the width. Python and the question files follow.
SUFFIXES = {".js", ".mjs", ".css"}
ASSETS = ROOT / "docs" / "assets"
# The style of a sheet that the command line writes lies in calc; the build puts it beside the others.
IN_CALC = [path for path in files_below(ROOT / "calc") if path.suffix in SUFFIXES]
WRITTEN = [
    path for folder in (ASSETS, ENGINE_SOURCE) for path in files_below(folder) if path.suffix in SUFFIXES
] + IN_CALC


@pytest.mark.parametrize("path", WRITTEN, ids=lambda path: path.name)
def test_no_line_is_too_wide_and_no_file_too_long(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [number for number, line in enumerate(lines, 1) if len(line) > WIDEST] == []
    assert len(lines) <= LONGEST


def test_the_pages_load_every_script_and_style_sheet_that_there_is():
    listed = "".join((ROOT / name).read_text(encoding="utf-8") for name in ("mkdocs.yml", "overrides/main.html"))
    loaded = re.findall(r"assets/([a-z-]+\.(?:js|css))\b", listed)
    # A script that is heavy and wanted on one page only is loaded there, by one that names it.
    loaded += re.findall(r'"([a-z-]+\.js)"', (ASSETS / "photo.js").read_text(encoding="utf-8"))
    assert sorted(loaded) == sorted(path.name for path in [*ASSETS.iterdir(), *IN_CALC] if path.suffix in SUFFIXES)
