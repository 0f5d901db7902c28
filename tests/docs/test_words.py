"""The words of the texts: the trade's terms, US spelling, one word a thing (docs/terms.toml; tests/docs/words.py
looks).
"""

from __future__ import annotations

import re

import pytest

from tests.docs.words import Line, article, faults, faults_of, lines
from tools.build import terms
from tools.build.terms import rules, searched
from tools.common import ROOT

@pytest.mark.parametrize("path", sorted(lines()))
def test_a_text_says_what_the_trade_says(path):
    wrong = faults().get(path, ())
    assert not wrong, "\n".join(map(str, wrong))


@pytest.mark.parametrize(
    "text, found",
    [
        ("Read the written procedure.", "written procedure"), ("It gives the minimum root opening.", None),
        ("Set the opening.", "opening"), ("Look before opening the valve.", None), ("Bend the coupon.", "coupon"),
        ("ASME IX calls the plate a coupon.", None), ("Two bevelled plates.", "bevelled"),
        ("Oxidised metal.", "Oxidised"), ("The colour of the metre.", "colour"), ("Take the tyre.", "tyre"),
        ("Add a opening", "a opening"), ("An hour, a unit, an 8 in plate, a US rule, an E7018 rod.", None),
        ("It is read in in place.", "in in"), ("1 torches", "1 torches"), ("1 pass is 1 inch", None),
        ("Plate A is 20 A.", None), ("Here 11 rods burn.", None), ("Rise and exercise.", None),
    ],
)
def test_what_is_wrong_is_found_and_nothing_else(text, found):
    got = [fault.found for fault in faults_of(Line("docs/x.md", 1, text))]
    assert found in got if found else got == []


def test_a_rule_of_the_practice_page_holds_there_only():
    assert [f.found for f in faults_of(Line("docs/practice.md", 1, "Questions due today"))] == ["due"]
    assert faults_of(Line("docs/after.md", 1, "The record is due today")) == []


def test_every_file_has_its_text_read():
    """Nothing is clean because nothing was read."""
    for path in ("docs/start.md", "calc/stages/groove.py", "calc/questions/start.toml", "docs/assets/practice.js"):
        assert len(lines()[path]) > 15, path


def test_articles():
    """After the rule of any English grammar: the sound decides."""
    assert [
        article(word)
        for word in ("apple", "pear", "hour", "unit", "umbrella", "SMAW", "U", "F4", "8", "80", "18", "100", "WPS")
    ] == ["an", "a", "an", "a", "an", "an", "a", "an", "an", "an", "an", "a", "a"]


# --- the list itself -----------------------------------------------------------------


def test_no_term_is_forbidden_by_another():
    """A word that one entry gives and another forbids would leave a writer no way out."""
    for each in terms.terms():
        wrong = faults_of(Line("docs/glossary.md", 1, f"the {each.word}."))
        assert not wrong, "\n".join(map(str, wrong))
    for rule in rules():
        for bad, better in rule.bad:
            assert bad.lower() != better.lower(), bad


def test_no_word_is_forbidden_twice():
    seen: dict[tuple[str, tuple[str, ...]], str] = {}
    for rule in rules():
        for bad, _ in rule.bad:
            assert (bad, rule.only) not in seen, f"“{bad}” stands under “{seen[bad, rule.only]}” and “{rule.word}”"
            seen[bad, rule.only] = rule.word


def test_no_search_words_lead_to_two_places():
    seen: dict[str, str] = {}
    for place, words in searched().items():
        for word in words:
            assert seen.setdefault(word, place) == place, f"“{word}” leads to {seen[word]} and {place}"


def test_every_term_is_said_in_one_line():
    for each in terms.terms():
        assert len(each.mean) <= 260 and each.mean.endswith("."), each.id


def test_the_list_keeps_to_the_width():
    text = (ROOT / "docs" / "terms.toml").read_text(encoding="utf-8")
    assert [number for number, line in enumerate(text.splitlines(), 1) if len(line) > 120] == []
    assert re.search(r"^\[term\.kerf\]$", text, re.MULTILINE)
