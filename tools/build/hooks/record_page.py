"""mkdocs hook for the page of the test-day record: its blank forms and worksheets, and the two libraries it stores with.

    [record: app]                 the blank forms that the page's script fills
    [record: blank test-day]      a worksheet to print and write on, for scripts off
"""

from __future__ import annotations

import re
import shutil
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402

from calc.record.fields import FORMS, form_of  # noqa: E402
from calc.record.form import templates_html  # noqa: E402
from calc.record.sheet import blank_html  # noqa: E402
from tools.build import engine_build  # noqa: E402

MARK = re.compile(r"^\[record: ([^\]\n]+)\]$", re.MULTILINE)
# Classic scripts: a page opened from a folder may load no other kind.
LIBRARIES = {"idb.js": "idb/build/umd.js", "fflate.js": "fflate/umd/index.js"}

_slots: dict[str, dict[str, str]] = {}


def on_page_markdown(markdown, page, config, files):
    """Put slots where the marks stand; Markdown leaves them alone."""
    slots = _slots[page.file.src_uri] = {}

    def replace(match: re.Match[str]) -> str:
        slot = f"record-slot-{len(slots)}"
        slots[slot] = _content(match[1].strip(), page.file.src_uri)
        return slot

    return MARK.sub(replace, markdown)


def _content(what: str, source: str) -> str:
    if what == "app":
        return templates_html(FORMS)
    try:
        return blank_html(form_of(what.removeprefix("blank ")))
    except KeyError:
        raise PluginError(f"{source}: [record: {what}]: there is app, {' and '.join('blank ' + form.kind for form in FORMS)}") from None


def on_page_content(html, page, config, files):
    """Fill the slots."""
    for slot, content in _slots.get(page.file.src_uri, {}).items():
        html = html.replace(f"<p>{slot}</p>", content)
    return html


def on_post_build(config):
    """Copy the libraries into the site at their pinned versions."""
    engine_build.fetch_packages()
    folder = Path(config["site_dir"]) / "assets" / "vendor"
    folder.mkdir(parents=True, exist_ok=True)
    for name, inside in LIBRARIES.items():
        shutil.copyfile(engine_build.PACKAGES / "node_modules" / inside, folder / name)
