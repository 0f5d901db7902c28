"""mkdocs hook: adds the shop's own pages (tools/build/local_pages.py) under "Our shop", where there are any.

They lie beside the guide's own pages and can use its marks, but [define: …] and [objective: …] belong to the guide.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[3]))

from mkdocs.exceptions import PluginError  # noqa: E402
from mkdocs.structure.files import File  # noqa: E402

from calc.practice import own  # noqa: E402
from tools.build import local_pages  # noqa: E402

SECTION = "Our shop"
OWN_PAGE = "our-limits.md"
PREFIX = "local-"
MARK = re.compile(r"^\[limits\]$", re.MULTILINE)
GUIDES_OWN = re.compile(r"\[(define|objective|record): ")
BANNER = (
    '!!! info "From your shop"\n    This page is your shop\'s own and not part of the guide. The guide did not '
    'check what stands here. '
    "Where it differs from the rest, ask your instructor; the signed procedure decides.\n\n"
)

_own: set[str] = set()


def on_files(files, config):
    """Add the pages and pictures, and their place in the navigation."""
    _own.clear()
    try:
        pages, pictures = local_pages.local_files()
        texts = {path.name: local_pages.read_text(path) for path in pages}
        limits, shop_test = local_pages.limits_table(), local_pages.shop_test()
        own.take(local_pages.shop_questions())
    except local_pages.LocalError as trouble:
        raise PluginError(f"your shop's folder has problems:\n{trouble}") from None
    made = [
        File(path.name, str(path.parent), config.site_dir, use_directory_urls=False, dest_uri=_place(path.name))
        for path in (*pages, *pictures)
    ]
    if limits and not any(MARK.search(text) for text in texts.values()):
        texts[OWN_PAGE] = "# Limits of our procedure\n\n[limits]\n"
        made.append(File.generated(config, OWN_PAGE, content=texts[OWN_PAGE]))
        made[-1].dest_uri = _place(OWN_PAGE)
    if shop_test:
        made.append(File.generated(config, local_pages.SHOP_TEST, content=shop_test))
    for file in made:
        if files.get_file_from_path(file.src_uri):
            raise PluginError(f"local/{file.src_uri}: the guide has a file of that name; choose another")
        files.append(file)
    for name, text in texts.items():
        for number, line in enumerate(text.splitlines(), 1):
            if found := GUIDES_OWN.search(line):
                raise PluginError(f"local/{name}, line {number}: [{found[1]}: …] belongs to the guide's own pages")
            if line == "[limits]" and not limits:
                raise PluginError(f"local/{name}, line {number}: [limits] needs the file local/{local_pages.LIMITS}")
    _own.update(texts)
    if texts and not any(SECTION in each for each in config.nav if isinstance(each, dict)):
        config.nav.append({SECTION: sorted(texts)})
    return files


def _place(name: str) -> str:
    return PREFIX + (name.removesuffix(".md") + ".html" if name.endswith(".md") else name)


def on_page_markdown(markdown, page, config, files):
    """Say whose page it is, below its title."""
    if page.file.src_uri not in _own:
        return markdown
    title, found, rest = re.match(r"(\s*#[^\n]*\n)?()(.*)", markdown, re.DOTALL).groups()
    return f"{title or ''}\n{BANNER}{rest}"
