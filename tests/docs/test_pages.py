"""The pages as their Markdown says them: nothing missing, nothing unsourced, nothing dead."""

from __future__ import annotations

import re

import pytest
from markdown_it import MarkdownIt

from calc.catalogue import CALCULATORS, FACTS
from tests.anchors import HEADING, PAGES, PUBLISHED, ROOT, anchors, marks, moved, of_pages
from tests.docs.words import lines
from tools.build import terms
from tools.build.lists import chapter_of

CHAPTERS = (
    "start.md", "safety.md", "groove.md", "cutting.md", "bevelling.md", "cleaning.md", "fit-up.md", "machine.md",
    "rods.md", "heat.md", "passes.md", "visual.md", "coupons.md", "bending.md", "judging.md", "after.md",
)
# Terms that the texts do not say yet; the rewriting brings them in. A term that is said comes off; none goes on.
NOT_YET_SAID = set("""
strongback
""".split())
LINK = re.compile(r"\]\(([^)\s]+)\)")
UNITS = r"(?:in|mm|ft|m|lb|kg|psi|psig|bar|kPa|MPa|ksi|A|V|°F|°C|ft³|m³|ft³/h|dBA|mg/m³|kJ/in|kJ/mm|in/min|mm/s)"
NUMBER_WITH_UNIT = re.compile(rf"(?<![\w/])\d+(?:[-/.]\d+)*(?:/\d+)?[\s\u00a0]?{UNITS}(?![\w/])")
LIMIT_WORDS = re.compile(
    r"\b(at most|at least|no more than|not more than|more than|less than|minimum|maximum|limit|must not|never (?:over|above|below|under)|"
    r"within|not exceed|exceeds?|no closer|required|allowed|allows|permits?|up to)\b", re.IGNORECASE,
)


def sentences(page: str) -> list[str]:
    """The sentences and table cells of a page, marks left in."""
    text = re.sub(r"^---.*?---", "", PAGES[page], count=1, flags=re.DOTALL)
    found: list[str] = []
    for token in MarkdownIt("commonmark").enable("table").parse(text):
        if token.type == "inline":
            found += re.split(r"(?<=[.?!:])\s+(?=[A-Z\[*])", token.content.replace("\n", " "))
    return found


@pytest.mark.parametrize("page", CHAPTERS)
def test_a_chapter_has_every_part(page):
    stem = page.removesuffix(".md")
    ids = {match[3] for match in HEADING.finditer(PAGES[page])}
    for part in ("why", "good", "steps", "wrong", "objectives", "sources"):
        assert f"{stem}-{part}" in ids, f"{page} has no section {stem}-{part}"
    assert re.search(r"^!!! (danger|warning)", PAGES[page], re.MULTILINE), "no caution"
    assert "[sources]" in PAGES[page]
    assert len(marks(page, "objective")) >= 3


@pytest.mark.parametrize("page", PAGES)
def test_headings_carry_their_own_ids(page):
    for level, title, ident in HEADING.findall(PAGES[page]):
        assert level == "#" or ident, f"“{title}” has no id"


@pytest.mark.parametrize("page", PAGES)
def test_a_number_that_states_a_limit_carries_its_source(page):
    for sentence in sentences(page):
        bare = re.sub(r"\[(?:fact|calculator|objective): [^\]]+\]", "", sentence)
        if NUMBER_WITH_UNIT.search(bare) and LIMIT_WORDS.search(bare):
            assert re.search(r"\[(?:source|fact): ", sentence), sentence


@pytest.mark.parametrize("page", PAGES)
def test_every_mark_names_something_that_exists(page):
    facts = {each.id for each in FACTS}
    calculators = {each.id for each in CALCULATORS}
    for name, text in marks(page, "fact", "source"):
        assert text in facts, text
    for name, text in marks(page, "term"):
        assert terms.term(text.partition("|")[0].strip())
    for name, text in marks(page, "calculator"):
        assert text.split()[0] in calculators, text


def test_every_calculator_stands_on_its_page():
    for each in CALCULATORS:
        own = [text.split()[0] for _, text in marks(each.page, "calculator") if "as=" not in text]
        assert each.id in own, f"{each.id} is not on {each.page} under its own id"


def test_terms_are_used():
    """The glossary defines what the guide says: a term is marked on a page, or its word stands in a text."""
    marked = {terms.term(text.partition("|")[0].strip()).id for page in PAGES for _, text in marks(page, "term")}
    texts = (line.text for path, found in lines().items() if path != "docs/terms.toml" for line in found)
    said = " ".join(texts).lower()
    unsaid = {each.id for each in terms.terms() if each.id not in marked and each.word.lower() not in said}
    assert unsaid == NOT_YET_SAID


def test_every_place_that_the_list_of_words_names_is_there():
    for place in terms.searched():
        name, _, anchor = place.partition("#")
        assert name in PAGES and (not anchor or anchor in anchors(name)), place


def test_objectives_are_unique_and_found_by_the_page_of_their_chapter():
    """The scripts of the practice look for an objective on the page of the chapter that it is named after."""
    seen: set[str] = set()
    for page in PAGES:
        for _, text in marks(page, "objective"):
            assert text not in seen, text
            chapter = f"{chapter_of(text)}.md"
            assert page == chapter or moved().get(f"{chapter}#objective-{text}") == page, f"{text} on {page}"
            seen.add(text)


@pytest.mark.parametrize("page", PAGES)
def test_no_link_is_dead_or_leaves_the_guide(page):
    for target in LINK.findall(PAGES[page]):
        name, _, anchor = target.partition("#")
        assert "://" not in target, f"{target} leaves the guide"
        name = name or page
        if name.endswith(".md"):
            assert name in PAGES, target
            assert not anchor or anchor in anchors(name), f"{page}: no anchor {target}"


@pytest.mark.parametrize("page", PAGES)
def test_every_page_is_in_the_navigation(page):
    assert f": {page}" in (ROOT / "mkdocs.yml").read_text(encoding="utf-8")


def test_a_moved_place_is_where_its_old_address_leads_and_no_longer_on_the_old_page():
    assert moved()
    for old, target in moved().items():
        page, _, anchor = old.partition("#")
        assert anchor in anchors(target) and anchor not in anchors(page), f"{old} -> {target}"


def test_published_anchors_stay():
    """Anchors are an interface: links and worksheets use them. Those of calculators stand in tests/calc/approved."""
    now, frozen = of_pages(), PUBLISHED.read_text(encoding="utf-8").split()
    new, gone = ([each for each in one if each not in other] for one, other in ((now, frozen), (frozen, now)))
    assert not gone, "\n".join(["published anchors that are gone:", *gone])
    assert not new, "\n".join(["new anchors; guide.py approve adds them to tests/docs/anchors.txt, or paste:", *new])
