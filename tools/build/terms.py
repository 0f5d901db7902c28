"""The list of words, docs/terms.toml: the glossary's entries, what the search finds a place by, and what the texts do
not say.

DEVELOPERS.md, *Words*, tells the form. A list that contradicts itself raises Trouble, which names the entry.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from html import escape
from itertools import groupby

from calc.core.sources import DOCUMENTS, Standing
from tools.common import ROOT, Trouble

LIST = ROOT / "docs" / "terms.toml"


@dataclass(frozen=True)
class Rule:
    """Words not to use, the word to use, and where the others are right.

    `bad`: pairs, the word not to use and the one for it (the rule's word, where the list names no other as in "recipe >
    procedure"). `right`: phrases that hold a forbidden word and are right. `beside`: a line that names one of these may
    use it. `only`: the rule holds in files whose path starts so. A word with a capital letter or a star is compared
    exactly.
    """

    word: str
    bad: tuple[tuple[str, str], ...]
    right: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    only: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True)
class Term:
    """A word of the trade. `id` is its anchor and never changes, even where the word does."""

    id: str
    word: str
    mean: str
    document: str
    standing: Standing
    others: tuple[tuple[str, str], ...]
    search: tuple[str, ...]
    place: str
    rule: Rule

    @property
    def anchor(self) -> str:
        return f"term-{self.id}"


def slug(words: str) -> str:
    """The id that a word would have.

    >>> slug("Heat-affected zone")
    'heat-affected-zone'
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")


def _rule(entry: dict) -> Rule:
    pairs = (words.partition(" > ") for words in entry.get("not", ()))
    bad = tuple((word, better or entry["word"]) for word, _, better in pairs)
    return Rule(
        entry["word"], bad, *(tuple(entry.get(name, ())) for name in ("right", "beside", "only")),
        why=entry.get("why", ""),
    )


def _term(ident: str, entry: dict) -> Term:
    document, standing = entry.get("source", ("", Standing.COMMON_PRACTICE.value))
    if document and document not in {each.id for each in DOCUMENTS}:
        raise Trouble(f"{LIST.name}: {ident}: no document “{document}” in the register")
    return Term(
        ident, entry["word"], " ".join(entry["mean"].split()), document, Standing(standing),
        tuple(entry.get("others", {}).items()), tuple(entry.get("search", ())),
        entry.get("place", f"glossary.md#term-{ident}"), _rule(entry),
    )


@cache
def _list() -> dict:
    return tomllib.loads(LIST.read_text(encoding="utf-8"))


@cache
def terms() -> tuple[Term, ...]:
    """Every term, by its word."""
    return tuple(sorted((_term(*item) for item in _list()["term"].items()), key=lambda term: term.word.lower()))


@cache
def term(name: str) -> Term:
    """A term by its id or its word. Raises KeyError."""
    found = [each for each in terms() if slug(name) in (each.id, slug(each.word))]
    if not found:
        raise KeyError(f"the list of words has no term “{name}”")
    return next((each for each in found if slug(each.word) == slug(name)), found[0])


@cache
def rules() -> tuple[Rule, ...]:
    """What the texts do not say: the rules of the terms, then those of plain words."""
    return tuple(each.rule for each in terms() if each.rule.bad) + tuple(_rule(entry) for entry in _list()["plain"])


@cache
def searched() -> dict[str, tuple[str, ...]]:
    """What a reader may type for a place (a page, or a page with an anchor), by the place."""
    found: dict[str, list[str]] = {}
    for place, words in [(each.place, each.search) for each in terms()] + [
        (each["place"], each["search"]) for each in _list()["asked"]
    ]:
        found.setdefault(place, []).extend(words)
    return {place: tuple(words) for place, words in found.items() if words}


# --- the glossary -----------------------------------------------------------------


def link(place: str) -> str:
    """The address of a place.

    >>> link("rods.md#rods-oven")
    'rods.html#rods-oven'
    """
    return place.replace(".md", ".html", 1)


def held(each: Term) -> str:
    """Who defines a term, and how we hold that."""
    title = next((one.title.partition(",")[0] for one in DOCUMENTS if one.id == each.document), "")
    return f"{title}, {each.standing.value}" if title else each.standing.value


def entry_html(each: Term) -> str:
    """One entry of the glossary: meaning, the words of other documents, who defines it, where the guide treats it."""
    notes = [
        f"{escape(who)}: {escape(words)}." for who, words in each.others
    ] + [f"Source of the word: {escape(held(each))}."]
    if not each.place.startswith("glossary.md"):
        notes.append(
            f'<a href="{link(each.place)}">Where the guide uses it<span class="visually-hidden">: {escape(each.word)}</span></a>.'
        )
    meaning = re.sub(r"\*([^*]+)\*", r"<em>\1</em>", escape(each.mean))
    return f'<h3 class="defined" id="{each.anchor}">{escape(each.word)}</h3><p>{meaning}</p><p class="defined-by">{" ".join(notes)}</p>'


def letters() -> list[tuple[str, list[Term]]]:
    """The terms by their first letters."""
    return [(letter, list(group)) for letter, group in groupby(terms(), key=lambda each: each.word[0].upper())]
