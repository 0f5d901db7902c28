"""What a trainee types into the search leads to the right place first, by the worker and the index that the site
ships.
"""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import pytest

from tools.build.terms import link, searched, terms

ASK = Path(__file__).with_name("search_ask.mjs")

# What is typed, and where a reader should come out. From how learners in a shop ask, not from the list of words.
WANTED = {
    "how many rods": "planning.html#class-plan",
    "what amps": "machine.html#machine-current",
    "visual inspection": "visual.html",
    "wps": "start.html#start-procedure",
    "a572": "carbon.html#heat-steels",
    "preheat": "heat.html#heat-preheat",
    "fire watch": "safety.html#safety-fire-watch",
    "shade": "safety.html#safety-shade",
    "bend test": "bending.html",
    "undercut": "flaws.html#flaws-undercut",
    "root opening": "fit-up.html#fit-up-opening",
    "retest": "after.html#after-retest",
    "six months": "after.html#after-continuity",
    "2g 3g 4g": "start.html#start-position",
    "tack": "fit-up.html#fit-up-tacks",
    "arc strike": "flaws.html#flaws-strike",
    "coupon": "coupons.html",
    "hood": "safety.html#safety-ppe",
    "low hydrogen rods": "rods.html#rods-oven",
    "cap too high": "flaws.html#flaws-reinforcement",
    "how wide are the straps": "coupons.html",
    "flashback": "safety-gas.html#safety-flashback",
    "duty cycle": "circuit.html",
    "what tip size": "cutting.html#cutting-speed",
    "ground clamp": "circuit.html#machine-leads",
}


@pytest.fixture(scope="module")
def search(site: Path):
    """Ask the shipped worker a list of questions; for each the pages found, and of each page its places, best first."""
    node = shutil.which("node")
    if not node:
        pytest.skip("needs node")
    (worker,) = (site / "assets" / "javascripts" / "workers").glob("search.*.min.js")

    def ask(questions: list[str]) -> list[list[list[str]]]:
        index = site / "search" / "search_index.json"
        done = subprocess.run(
            [node, ASK, worker, index], input=json.dumps(questions), capture_output=True, text=True, timeout=120,
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return ask


def test_what_a_trainee_types_leads_to_the_right_place_first(search):
    found = zip(WANTED.items(), search(list(WANTED)), strict=True)
    wrong = {
        typed: (wanted, pages[:2]) for (typed, wanted), pages in found if not pages or not _is(pages[0][0], wanted)
    }
    assert wrong == {}


def test_every_search_word_of_the_list_finds_its_place_on_one_of_the_first_three_pages(search):
    asked = [(word, link(place)) for place, words in searched().items() for word in words]
    found = zip(asked, search([word for word, _ in asked]), strict=True)
    wrong = {word: (wanted, pages[:3]) for (word, wanted), pages in found
             if not any(_is(place, wanted) for page in pages[:3] for place in page)}
    assert wrong == {}


def test_a_word_that_stands_nowhere_finds_nothing(search):
    assert search(["xylophone"]) == [[]]


def _is(place: str, wanted: str) -> bool:
    """Whether this is the place wanted; a calculator's place is its heading."""
    return place in (wanted, f"{wanted}-title")


def test_every_word_of_the_glossary_finds_something(search):
    """The search library as shipped ends in an error for some words, by what else the texts hold (mend_search)."""
    words = [each.word for each in terms()]
    assert len(words) > 100 and [word for word, found in zip(words, search(words), strict=True) if not found] == []
