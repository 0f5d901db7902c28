"""The figures of a test in the sentences of the guide: what the pages print, and what the reader's test puts there."""

from __future__ import annotations

import re

import pytest

from calc.catalogue import calculator
from calc.core.units import SYSTEMS
from calc.plate_test.fields import FIELDS, FORM
from calc.plate_test.prose import printed, prose
from calc.plate_test.work import with_facts, work
from calc.record.demo import TEST
from calc.record.shape import blank
from tools.build import lists

EMPTY = blank(FORM.kind, "demo-0001", "2026-03-02T07:30:00Z")
USED = sorted({said for text in lists.pages().values() for _, said in lists.marks_in(text, "mine")})


def plain(html: str, system: str) -> str:
    found = re.search(f'<span class="{system}">(.*?)</span>', html)
    return (found[1] if found else html).replace("\u00a0", " ")


def test_a_fact_is_told_in_both_systems_as_it_was_written():
    told = prose(work(with_facts(EMPTY, {"thickness": "12.7 mm", "bevel_angle": "22.5", "steel": "A572-50"})))
    assert (plain(told["thickness"], "us"), plain(told["thickness"], "si")) == ("1/2 in", "12.7 mm")
    assert told["bevel_angle"] == "22.5°" and told["steel"] == "A572 grade 50"


def test_the_figures_of_the_invented_shop_never_pass_for_the_readers():
    assert not {name for name in prose(work(EMPTY)) if name in FIELDS}
    assert prose(work(with_facts(EMPTY, {"thickness": "thick"}))) == {}, "nothing follows from what cannot be read"
    assert "groove.face_width" not in prose(work(with_facts(EMPTY, {"root_opening": "1/2 in", "thickness": "99 in"})))


def test_words_that_were_typed_are_no_markup():
    assert prose(work(with_facts(EMPTY, {"wps": "<img src=x>"})))["wps"] == "&lt;img src=x&gt;"


@pytest.mark.parametrize("said", [name for name in USED if "." in name])
def test_a_page_prints_the_figure_of_its_own_form(said):
    identifier, _, name = said.partition(".")
    values = {value.name: value for value in calculator(identifier).answer().values}
    if name not in values:
        pytest.skip("the form gives it only where another one hands its figure on")
    for system in SYSTEMS:
        shown = values[name].text(system).partition(" (about")[0].replace("\u00a0", " ")
        assert shown == plain(printed()[said], system)


@pytest.mark.parametrize("said", USED)
def test_a_whole_test_has_every_figure_that_the_pages_name(said):
    everything = {name: each.stand_in for name, each in FIELDS.items() if each.stand_in not in ("", "unstated")}
    own = with_facts(TEST, {name: text for name, text in everything.items() if not TEST.text(name)})
    assert said in prose(work(own))
