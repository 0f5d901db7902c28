"""The anchors of the pages: an interface, since links and worksheets use them.

Those of a calculator are listed in its approved file, all others in `tests/docs/anchors.txt`.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from calc.catalogue import CALCULATORS, FACTS
from tools.build import terms

ROOT = Path(__file__).resolve().parents[1]
PAGES = {path.name: path.read_text(encoding="utf-8") for path in sorted((ROOT / "docs").glob("*.md"))}
PUBLISHED = ROOT / "tests" / "docs" / "anchors.txt"

MARK = re.compile(r"\[(calculator|fact|source|term|objective|moved): ([^\]\n]+)\]")
HEADING = re.compile(r"^(#+) (.+?)(?:\s*\{\s*#([a-z0-9-]+)\s*\})?\s*$", re.MULTILINE)


def marks(page: str, *names: str) -> list[tuple[str, str]]:
    """The marks of these names on a page: (name, what stands behind the colon)."""
    return [(match[1], match[2].strip()) for match in MARK.finditer(PAGES[page]) if match[1] in names]


@cache
def forms(page: str) -> dict[str, str]:
    """The anchors of the calculators on a page, each with the calculator's id."""
    found = {}
    for _, text in marks(page, "calculator"):
        other = re.search(r'as="([^"]+)"', text)
        found[other[1] if other else text.split()[0]] = text.split()[0]
    return found


def anchors(page: str) -> set[str]:
    """Every anchor of a page."""
    text = PAGES[page]
    found = {match[3] for match in HEADING.finditer(text) if match[3]} | set(forms(page))
    found |= {f"objective-{text}" for _, text in marks(page, "objective")}
    if re.search(r"^\[glossary\]$", text, re.MULTILINE):
        found |= {each.anchor for each in terms.terms()}
        found |= {f"glossary-{letter.lower()}" for letter, _ in terms.letters()}
    if "[register]" in text:
        found |= {f"value-{each.id}" for each in FACTS}
    if "[reference]" in text:
        found |= {f"reference-{each.id}" for each in CALCULATORS}
    return found


@cache
def moved() -> dict[str, str]:
    """Old addresses that lead on: page and anchor, and the page where the same anchor stands now."""
    found = {}
    for page in PAGES:
        for _, text in marks(page, "moved"):
            target, _, named = text.partition("|")
            found |= {f"{page}#{each.strip()}": target.strip() for each in named.split(",")}
    return found


def of_calculator(name: str) -> list[str]:
    """The places of a calculator in the pages: its forms, and its entry in the reference."""
    found = [f"{page}#{anchor}" for page in PAGES for anchor, each in forms(page).items() if each == name]
    old = [each for each, target in moved().items() if f"{target}#{each.partition('#')[2]}" in found]
    return found + old + [f"{page}#reference-{name}" for page in PAGES if "[reference]" in PAGES[page]]


def of_pages() -> list[str]:
    """All other anchors, also those that lead on to another page, but those of the values in the register, which have lists of their own."""
    theirs = {each for calc in CALCULATORS for each in of_calculator(calc.id)}
    now = {f"{page}#{anchor}" for page in PAGES for anchor in anchors(page) if not anchor.startswith("value-")}
    return sorted((now | set(moved())) - theirs)
