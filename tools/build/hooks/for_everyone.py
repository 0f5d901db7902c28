"""mkdocs hook: mends the theme's markup where it is not valid, or does not say what a control is.

Each mend replaces one known piece. The theme's version is pinned; should a piece ever look otherwise, the build stops
here instead of losing the mend without a word. What needs a script, docs/assets/everyone.js adds.
"""

from __future__ import annotations

import re

from mkdocs.exceptions import PluginError

# (what the theme writes, what stands in its place, how often a page has it, why)
MENDS = (
    (
        r'(type="checkbox" id="__(?:drawer|search)") autocomplete="off"',
        r"\1",
        {2},
        "HTML allows no autocomplete on a checkbox",
    ),
    (
        r'(<div class="md-search" data-md-component="search") role="dialog"',
        r"\1",
        {1},
        "it is no dialog: it has no name and keeps no focus",
    ),
    (
        r'<nav (class="md-search__options") aria-label="Search">(.*?)</nav>',
        r"<div \1>\2</div>",
        {1},
        "one button is no navigation",
    ),
    (r'<div class="md-search-result__meta"', r"\g<0> " + 'role="status"', {1}, "how much was found is told"),
    (
        r'(<form class="md-header__option" data-md-component="palette")',
        r'\1 aria-label="Look of the page"',
        {1},
        "the choice has no name",
    ),
    (
        r'(data-md-color-scheme="default"[^>]*aria-label=)"Switch to the dark look"',
        r'\1"Light"',
        {1},
        "it is chosen while the page is light",
    ),
    (
        r'(data-md-color-scheme="slate"[^>]*aria-label=)"Switch to the light look"',
        r'\1"Dark"',
        {1},
        "it is chosen while the page is dark",
    ),
    (
        r'(<nav class="md-nav" data-md-level="\d" aria-labelledby="\w+") aria-expanded="(?:true|false)"',
        r"\1",
        {2, 3},
        "a navigation does not expand; its checkbox does",
    ),
    (
        r'(<input class="md-nav__toggle md-toggle\s*" type="checkbox" id="(__nav_\d+)")',
        r'\1 aria-labelledby="\2_label"',
        {2, 3},
        "it has two labels",
    ),
    (
        r'(<label class="md-nav__link" for="__nav_\d+" id="__nav_\d+_label") tabindex="0"',
        r"\1",
        {2, 3},
        "its checkbox takes the focus",
    ),
    (
        r'(<input class="md-nav__toggle md-toggle" type="checkbox" id="__toc")',
        r'\1 aria-label="Table of contents"',
        {0, 1},
        "it has two labels",
    ),
)

# Of the groups in the list of pages there is one more where a shop has pages of its own.


def mended(page: str, name: str) -> str:
    """The page with every mend. Raises PluginError where the theme does not write what a mend expects."""
    for old, new, times, why in MENDS:
        page, count = re.subn(old, new, page, flags=re.DOTALL)
        if count not in times:
            raise PluginError(
                f"{name}: the theme writes {old!r} {count} times ({why}); see tools/build/hooks/for_everyone.py"
            )
    return page


def on_post_page(output, page, config):
    """Mend a page."""
    return mended(output, page.file.src_uri)


def on_post_template(output_content, template_name, config):
    """Mend the page for missing files, which the theme makes from a template of its own."""
    return mended(output_content, template_name) if template_name == "404.html" else output_content
