"""Approved text: a change is told with its lines, no name goes unseen, the chosen answers say all that can be said."""

from __future__ import annotations

import pytest

from calc.catalogue import CALCULATORS, calculator
from calc.core.declare import InputError
from calc.core.units import LENGTH, parse
from tests import anchors, approval, approved_calculator
from tests.approval import kind_of
from tests.approved_calculator import answers, given, id_of, kept_cases, levels
from tools.check import approve
from tools.common import Trouble


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """Approved files of our own, with one in it."""
    monkeypatch.setattr(approval, "FOLDER", tmp_path)
    monkeypatch.setattr(approval, "APPROVING", False)
    approval.write("a.txt", approval.joined(["width 2", "height 3"]))
    return tmp_path


def test_what_is_as_approved_passes(folder):
    approval.check("a.txt", ["width 2", "height 3"])


def test_a_change_is_told_with_its_lines(folder):
    with pytest.raises(AssertionError, match=r"(?s)a\.txt.*approve.*-height 3\n\+height 5"):
        approval.check("a.txt", ["width 2", "height 5"])


def test_a_file_that_nobody_approved_fails(folder):
    with pytest.raises(AssertionError, match="b.txt"):
        approval.check("b.txt", ["width 2"])


def test_a_sentence_is_told_in_full_once():
    """Said again, it is named by its key, with its amounts where they differ."""
    teller = approval.Teller()
    one, other = (approval.Item.of("gap ok", f"A gap of {size} mm leaves room.", "from a book") for size in (3, 4))
    assert teller.tell([one]) == ["gap ok: A gap of 3 mm leaves room.", "    from a book"]
    assert teller.tell([one]) == ["as above: gap ok"]
    assert teller.tell([other]) == ["gap ok, as above with 4"]


def test_a_picture_is_told_to_a_tenth_with_its_words():
    svg = ('<svg viewBox="0 0 10 5.04"><polygon class="area plate" points="0.04,0.06 5,5"/>'
           '<text x="1.26" y="2">1/4 in<tspan class="si"> 6 mm</tspan></text></svg>')
    assert approval.picture_lines(svg) == [
        "svg viewBox 0 0 10 5", "polygon .area.plate 0,0.1 5,5", "text x 1.3 y 2 “1/4 in” .si “ 6 mm”",
    ]


def test_a_shape_that_moves_is_seen():
    drawn = '<svg><polygon class="area plate" points="0,0 5,{}"/></svg>'
    assert approval.drawn(drawn.format("5")) != approval.drawn(drawn.format("6"))
    assert approval.drawn_by_look(drawn.format("5")) != approval.drawn_by_look(drawn.format("5.1"))


def test_the_chosen_answers_hold_every_check_that_one_changed_input_leads_to():
    """Looked for another way than the choice does: every choice and end of range on its own."""
    missing = []
    for calc in CALCULATORS:
        cases, _, turns = kept_cases(calc.id)
        held_by = [*cases, *(side for pair in turns for side in pair)]
        held = {kind_of(name) for texts in held_by for name in levels(calc, texts)}
        for each in calc.inputs:
            ends = [option.value for option in getattr(each, "options", ())]
            ends = ends or [getattr(each, "low", ""), getattr(each, "high", "")]
            for end in ends:
                try:
                    found = {kind_of(id_of(check)) for check in calc.answer({each.name: str(end)}).checks}
                except InputError:
                    continue
                missing += [f"{calc.id}, {each.name}={end}: {name}" for name in found - held]
    assert not missing, "\n".join(missing)


def test_a_turn_stands_at_both_sides_of_a_limit():
    visual = calculator("visual-check")
    limit = parse("1/8 in", LENGTH)  # the largest cap of AWS D1.1 clause 4.9.1, for the rule of the defaults
    pairs = approve.turns_along(visual, {}, visual.input("reinforcement"), lambda texts: levels(visual, texts))
    sides = [sorted(parse(side["reinforcement"], LENGTH) for side in pair) for pair in pairs]
    assert any(low == limit and limit < high < limit * 1001 / 1000 for low, high in sides)


def test_inputs_are_read_back_as_they_were_written():
    texts = {"pieces": '7 in | 5 | "a", b\n3 in | 1 |', "rule": "aws"}
    assert given(approved_calculator.written(texts)) == texts


def test_an_answer_after_the_first_says_what_differs():
    lines = answers(calculator("groove"), [{}, {"bevel_angle": "30 deg"}])
    later = lines[lines.index('=== Answer: bevel_angle = "30 deg"') :]
    assert len(later) < len(lines) / 4
    assert any("included_angle 60°" in line for line in later)
    assert not any("thickness" in line for line in later)


def test_a_published_name_that_is_gone_stops_the_command(folder, monkeypatch):
    monkeypatch.setattr(anchors, "PUBLISHED", folder / "anchors.txt")
    (folder / "anchors.txt").write_text("start.md#no-such-place\n", encoding="utf-8")
    approval.write("groove.txt", "=== Inputs\nsheep, count, default '1', from 1 to 2\n")
    with pytest.raises(Trouble, match=r"(?s)groove, Inputs: sheep.*start\.md#no-such-place"):
        approve.write_calculators(["groove"], anew=False, withdraw=False)
    approve.write_calculators(["groove"], anew=False, withdraw=True)
    assert "sheep" not in approval.read("groove.txt")
    approve.write_calculators(["groove"], anew=False, withdraw=False)


def test_an_unknown_name_is_told():
    with pytest.raises(Trouble, match="there is no sheep"):
        approve.main(["sheep"])
