"""Approved answers: a change is told with its lines, and the proposed inputs meet the places where a check changes."""

from __future__ import annotations

import random

import pytest

from calc.catalogue import calculator
from calc.core.units import LENGTH, parse
from tests import approval
from tools.check import approve


@pytest.fixture
def kept(tmp_path, monkeypatch):
    monkeypatch.setattr(approval, "FOLDER", tmp_path)
    monkeypatch.setattr(approval, "APPROVING", False)
    approval.sections.cache_clear()
    (tmp_path / "a.txt").write_text(approval.packed({"one": ["width 2", "height 3"], "two": ["width 2", "height 4"]}), encoding="utf-8")
    yield
    approval.sections.cache_clear()


def test_what_is_as_approved_passes(kept):
    approval.check("a.txt", "two", ["width 2", "height 4"])


def test_a_change_is_told_with_its_lines(kept):
    with pytest.raises(AssertionError, match=r"(?s)a\.txt: two.*-height 4\n\+height 5"):
        approval.check("a.txt", "two", ["width 2", "height 5"])


def test_a_case_that_nobody_approved_fails(kept):
    with pytest.raises(AssertionError, match="no section three"):
        approval.check("a.txt", "three", ["width 2"])


def test_a_section_that_no_test_makes_any_more_fails(kept):
    with pytest.raises(AssertionError, match="other cases"):
        approval.check_complete("a.txt", ["one"])


def test_a_picture_is_told_to_a_tenth_with_its_words():
    svg = '<svg viewBox="0 0 10 5.04"><polygon class="area plate" points="0.04,0.06 5,5"/><text x="1.26" y="2">1/4 in<tspan class="si"> 6 mm</tspan></text></svg>'
    assert approval.picture_lines(svg) == [
        "svg viewBox 0 0 10 5", "polygon .area.plate 0,0.1 5,5", "text x 1.3 y 2 “1/4 in” .si “ 6 mm”",
    ]


def test_proposed_inputs_meet_the_ends_and_choices_of_a_calculator():
    groove = calculator("groove")
    texts = list(approve.candidates(groove, random.Random(1)))
    thickness = groove.input("thickness")
    given = {parse(each["thickness"], LENGTH) for each in texts if "thickness" in each}
    assert {parse(thickness.low, LENGTH), parse(thickness.high, LENGTH)} <= given


def test_proposed_inputs_stand_at_both_sides_of_a_change():
    visual = calculator("visual-check")
    limit = parse("1/8 in", LENGTH)  # the largest cap of AWS D1.1 clause 4.9.1, for the rule of the defaults
    caps = [parse(each["reinforcement"], LENGTH) for each in approve.edges(visual, {}) if "reinforcement" in each]
    near = [cap for cap in caps if abs(cap - limit) < limit / 1000]
    assert limit in near and min(near) < limit < max(near)
