"""The steels by name: every usual spelling finds the same one, what is not listed finds none, and how each is held."""

import pytest

from calc.core.declare import InputError
from calc.core.sources import Standing
from calc.core.units import STRESS, parse
from calc.stages.steels import OTHER, STEEL_OPTIONS, STEELS, SteelChoice, find_steel

CHOICE = SteelChoice("steel", "Steel", STEEL_OPTIONS, "A36", "")


@pytest.mark.parametrize("steel", STEELS, ids=lambda steel: steel.value)
def test_a_steel_is_found_however_a_shop_writes_it(steel):
    specification, _, grade = steel.value.partition("-")
    spellings = [steel.value, steel.value.lower(), f"ASTM {steel.value}", steel.label.upper()]
    if grade:
        spellings += [f"{specification} {grade}", f"{specification} Gr {grade}", f"{specification} gr. {grade}"]
        spellings += [f"{specification} Grade {grade}", f"astm {specification}/{grade}", f"{specification}{grade}"]
    assert {find_steel(text) for text in spellings} == {steel}
    assert {CHOICE.read(text, "us") for text in spellings} == {steel.value}


@pytest.mark.parametrize("name", ["4140", "A572", "A500", "A709", "1018", "S355", "A3", "A360", "", "36"])
def test_what_is_not_listed_finds_none_and_is_refused_by_name(name):
    assert find_steel(name) is None
    with pytest.raises(InputError) as trouble:
        CHOICE.read(name, "us")
    assert trouble.value.field == "steel" and f"“{name}”" in trouble.value.message


def test_no_two_steels_share_a_name():
    names = [text for steel in STEELS for text in {steel.value, steel.label, *steel.also}]
    assert len(names) == len({name.lower() for name in names})


def test_the_row_of_a36_alone_was_read():
    # AWS D1.1:2015 Table 3.3, read for A36; A572 grades 42, 50, 60 and 65 by a secondary text; the rest from memory.
    held = {standing: {s.value for s in STEELS if s.standing.standing is standing} for standing in Standing}
    assert held[Standing.READ] == {"A36"}
    assert held[Standing.SECONDARY] == {"A572-42", "A572-50", "A572-60", "A572-65"}
    assert held[Standing.FROM_MEMORY] == {s.value for s in STEELS} - held[Standing.READ] - held[Standing.SECONDARY]


def test_the_grade_of_a572_is_its_yield():
    # By the specification the grade number is the minimum yield in ksi.
    for steel in STEELS:
        if steel.value.startswith("A572-"):
            assert steel.yield_fact.amount == parse(f"{steel.value[5:]} ksi", STRESS)


def test_strong_steels_take_low_hydrogen_rods_only():
    # AWS D1.1 Tables 3.1 and 3.3 (from memory): category A holds no steel of 50 ksi but tube.
    fifty = parse("50 ksi", STRESS)
    for steel in STEELS:
        if steel.other:
            assert steel.yield_fact.amount < fifty or steel.value == "A500-C"


def test_another_steel_can_be_chosen():
    assert CHOICE.read("other", "us") == CHOICE.read("Another steel: my WPS gives the preheat", "si") == OTHER
