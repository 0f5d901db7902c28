"""Marking and cutting: the speed table, the timed mark, and the chemistry of the kerf."""

from __future__ import annotations

from fractions import Fraction

import pint
import pytest
import scipy.constants
from chemicals import MW, Hfs
from chemicals.elements import molecular_weight
from chemicals.reaction import balance_stoichiometry
from hypothesis import given, settings, strategies as st

from calc.core.declare import InputError, Level, Result, phrase_text
from calc.core.units import INCH, LENGTH, parse
from calc.stages.cutting import CUT_OXYGEN, CUT_SPEED, CUTTING_ROWS, row_for

UNITS = pint.UnitRegistry()
FEW = settings(max_examples=60, deadline=None)
IRON, OXYGEN, MAGNETITE = "7439-89-6", "7782-44-7", "1317-61-9"
"""CAS numbers, by which the reference library `chemicals` finds its data."""


def amount(result: Result, name: str) -> float:
    return float(result[name].amount)


def levels(result: Result, *ids: str) -> list[Level]:
    """The levels of the checks of these ids, in the order of the answer."""
    return [check.level for check in result.checks if check.id in ids]


# --- the table -----------------------------------------------------------------

# The band as noted for this project, US and SI columns written down separately (plate, orifice mm, O2 bar, speed mm/s).
# Half a unit of the last printed digit each; blank SI cells of the note are left out.
SI_COLUMNS = [
    ("1/4 in", (0.76, 1.5), (1.4, 2.4), (7, 11)),
    ("3/8 in", None, (1.7, 2.8), (6, 10)),
    ("1/2 in", (1.0, 1.5), None, (5, 10)),
    ("3/4 in", None, None, (5, 8.5)),
    ("1 in", None, None, (4, 7.6)),
]


def half_a_digit(printed: float) -> float:
    text = str(printed)
    return 0.5 * 10 ** -(len(text.partition(".")[2]) if "." in text else 0) + 1e-9


@pytest.mark.parametrize(("plate", "orifice", "pressure", "speed"), SI_COLUMNS)
def test_us_and_si_columns_of_the_table_say_the_same(plate, orifice, pressure, speed):
    result = CUT_SPEED.answer(thickness=plate)
    for names, printed, factor in (
        (("orifice_low", "orifice_high"), orifice, 1e3),
        (("oxygen_pressure_low", "oxygen_pressure_high"), pressure, 1e-5),
        (("speed_low", "speed_high"), speed, 1e3),
    ):
        for name, figure in zip(names, printed or (), strict=False):
            assert amount(result, name) * factor == pytest.approx(figure, abs=half_a_digit(figure)), (plate, name)


def test_thicker_rows_are_never_faster_and_never_take_less_pressure():
    for thin, thick in zip(CUTTING_ROWS, CUTTING_ROWS[1:], strict=False):
        assert thick.speed.low <= thin.speed.low and thick.speed.high <= thin.speed.high
        assert thick.oxygen_pressure.low >= thin.oxygen_pressure.low
        assert thick.oxygen_pressure.high >= thin.oxygen_pressure.high


@FEW
@given(st.fractions(min_value=Fraction(1, 4), max_value=1, max_denominator=1000))
def test_a_plate_takes_the_thinnest_row_that_is_not_thinner(inches):
    row = row_for(INCH.to_base(inches))
    thick_enough = [
        each for each in (Fraction(1, 4), Fraction(3, 8), Fraction(1, 2), Fraction(3, 4), Fraction(1)) if each >= inches
    ]
    # The first row also serves plate sold as 6.4 mm, a hair over 1/4 in.
    expected = Fraction(1, 4) if inches * Fraction("25.4") <= Fraction("6.4") else thick_enough[0]
    assert parse(row.plate, LENGTH) == INCH.to_base(expected)


@pytest.mark.parametrize(
    ("thickness", "row", "said"),
    [
        ("3/8 in", "3/8 in", "own"), ("9.5 mm", "3/8 in", "own"), ("6.4 mm", "1/4 in", "own"),
        ("10 mm", "1/2 in", "next"), ("5/8 in", "3/4 in", "next"), ("0.376 in", "1/2 in", "next"),
    ],
)
def test_between_rows_the_next_thicker_row_is_used_and_said(thickness, row, said):
    result, exact = CUT_SPEED.answer(thickness=thickness), CUT_SPEED.answer(thickness=row)
    for name in ("speed_low", "speed_high", "oxygen_pressure_high", "orifice_low"):
        assert result[name].amount == exact[name].amount
    assert levels(result, "table-row") == [Level.NOTE]
    assert ("next thicker" in phrase_text(result.check("table-row").phrase, "us")) is (said == "next")


@pytest.mark.parametrize("thickness", ["0.249 in", "1.001 in", "6.3 mm", "26 mm"])
def test_outside_the_table_is_refused_with_both_limits(thickness):
    with pytest.raises(InputError) as refused:
        CUT_SPEED.answer(thickness=thickness)
    assert refused.value.field == "thickness"
    assert "from 1/4 in to 1 in (from 6.35 mm to 25.4 mm)" in refused.value.message.replace("\xa0", " ")


@pytest.mark.parametrize("thickness", ["1/4 in", "1 in", "25.4 mm"])
def test_both_ends_of_the_table_are_inside(thickness):
    assert CUT_SPEED.answer(thickness=thickness)["speed_low"].amount > 0


def test_the_table_says_that_it_is_from_memory_until_a_card_replaces_it():
    assert levels(CUT_SPEED.answer(), "band") == [Level.NOTE]
    own = CUT_SPEED.answer(own_low="17 in/min", own_high="20 in/min")
    assert levels(own, "band") == [Level.NOTE]
    assert (own["speed_low"].text("us"), own["table_speed_low"].text("us")) == ("17\xa0in/min", "15\xa0in/min")
    assert own["speed_low"].source.text.startswith("Your own figure")


@pytest.mark.parametrize(
    ("low", "high", "apart"),
    [
        ("24 in/min", "30 in/min", False), ("24.1 in/min", "30 in/min", True), ("5 in/min", "15 in/min", False),
        ("5 in/min", "14.9 in/min", True),
    ],
)
def test_a_card_that_does_not_meet_the_table_is_pointed_out(low, high, apart):
    assert levels(CUT_SPEED.answer(own_low=low, own_high=high), "band") == [Level.CAUTION if apart else Level.NOTE]


# --- times and gas ---------------------------------------------------------------


def test_times_and_gas_by_a_unit_library():
    # Independent arithmetic: pint carries the units, the figures are those of the table row for 1 in and of the flow
    # band.
    result = CUT_SPEED.answer(thickness="1 in", length="21 in")
    length, slow, fast = UNITS("21 inch"), UNITS("9 inch/minute"), UNITS("18 inch/minute")
    least, most = (length / fast).to("second"), (length / slow).to("second")
    assert (
        amount(result, "time_least"), amount(result, "time_most"),
    ) == pytest.approx((least.magnitude, most.magnitude))
    for name, flow, time in (
        ("oxygen_least", "50 ft^3/hour", least), ("oxygen_most", "130 ft^3/hour", most),
        ("fuel_least", "7 ft^3/hour", least), ("fuel_most", "16 ft^3/hour", most),
    ):
        assert amount(result, name) == pytest.approx((UNITS(flow) * time).to("meter**3").magnitude)


@FEW
@given(st.integers(1, 240), st.sampled_from(CUTTING_ROWS))
def test_twice_the_length_takes_twice_the_time_and_gas(inches, row):
    one = CUT_SPEED.answer(thickness=row.plate, length=f"{Fraction(inches, 2)} in")
    two = CUT_SPEED.answer(thickness=row.plate, length=f"{inches} in")
    for name in ("time_least", "time_most", "oxygen_least", "oxygen_most", "fuel_least", "fuel_most"):
        assert two[name].amount == 2 * one[name].amount
    assert two["time_least"].amount < two["time_most"].amount and two["oxygen_least"].amount < two["oxygen_most"].amount


# 3/8 in: the band is 15 to 24 in/min. 5 in in 20 s is 15 in/min, in 12.5 s 24 in/min: both limits belong to the band.
@pytest.mark.parametrize(
    ("seconds", "level", "id", "word"),
    [
        ("20", Level.OK, "speed", "inside"), ("20.1", Level.CAUTION, "speed-low", "slower"),
        ("12.5", Level.OK, "speed", "inside"), ("12.4", Level.CAUTION, "speed-high", "faster"),
    ],
)
def test_a_timed_mark_is_set_against_the_band_at_both_limits(seconds, level, id, word):
    result = CUT_SPEED.answer(mark_distance="5 in", mark_time=seconds)
    assert amount(result, "your_speed") == pytest.approx(
        UNITS(f"5 inch / ({seconds} second)").to("meter/second").magnitude
    )
    assert [(check.id, check.level) for check in result.checks if check.id.startswith("speed")] == [(id, level)]
    assert word in phrase_text(result.headline, "us").split("You went")[1]


def test_a_timed_mark_is_set_against_the_card_where_one_is_given():
    mark = {"mark_distance": "5 in", "mark_time": "20 s"}
    assert levels(CUT_SPEED.answer(mark, own_low="18 in/min", own_high="22 in/min"), "speed-low") == [Level.CAUTION]


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"mark_distance": "5 in"}, "mark_time"), ({"mark_time": "15 s"}, "mark_distance"),
        ({"own_low": "15 in/min"}, "own_high"), ({"own_high": "15 in/min"}, "own_low"),
        ({"own_low": "20 in/min", "own_high": "19 in/min"}, "own_low"),
        ({"mark_distance": "5 in", "mark_time": "0 s"}, "mark_time"),
    ],
)
def test_half_a_pair_or_a_turned_pair_is_refused_by_name(inputs, field):
    with pytest.raises(InputError) as refused:
        CUT_SPEED.answer(inputs)
    assert refused.value.field == field


def test_a_turned_pair_names_the_limit_in_both_systems():
    with pytest.raises(InputError, match=r"write at most 19\sin/min \(8\.0433\smm/s\)"):
        CUT_SPEED.answer(own_low="20 in/min", own_high="19 in/min")


# --- chemistry -------------------------------------------------------------------


def test_oxygen_for_a_pound_of_iron_is_the_classic_figure():
    # Printed in the trade for generations: 4.6 cubic feet of oxygen a pound of iron.
    assert float(CUT_OXYGEN.answer()["oxygen_per_iron"].text("us").split("\xa0")[0]) == pytest.approx(4.6, abs=0.05)


@pytest.mark.parametrize(
    ("reference", "name", "system", "printed"),
    [
        ("15C", "oxygen_per_iron", "si", 0.2823), ("70F", "oxygen_per_iron", "us", 4.62),
        ("15C", "oxygen_per_iron_feo", "si", 0.2117), ("70F", "heat_per_iron", "si", 6676.0),
    ],
)
def test_constants_noted_for_the_project(reference, name, system, printed):
    # The project's list of values, section on oxygen cutting, to half a unit of its last digit.
    shown = float(CUT_OXYGEN.answer(reference=reference)[name].text(system).split("\xa0")[0])
    assert shown == pytest.approx(printed, abs=max(half_a_digit(printed), 0.5 if printed > 100 else 0))


def test_least_oxygen_by_a_chemistry_library():
    # Molar mass and balance of the reaction from `chemicals`, gas constant and atmosphere from scipy (CODATA), density
    # 7850 kg/m3.
    reagents = [{"Fe": 1}, {"O": 2}, {"Fe": 3, "O": 4}]
    matrix = [
        [each.get(element, 0) * sign for each, sign in zip(reagents, (1, 1, -1), strict=True)]
        for element in ("Fe", "O")
    ]
    iron, oxygen, _ = balance_stoichiometry(matrix)
    assert (iron, oxygen) == (3, 2)
    thickness, kerf, length = 0.0254, 0.002, 0.178
    moles = 7850 * thickness * kerf * length / (MW(IRON) / 1000) * oxygen / iron
    volume = moles * scipy.constants.R * 288.15 / scipy.constants.atm
    result = CUT_OXYGEN.answer(thickness="25.4 mm", kerf="2 mm", length="178 mm", reference="15C")
    assert amount(result, "least_oxygen") == pytest.approx(volume, rel=1e-6)


def test_oxygen_is_the_weight_that_the_oxide_gains():
    # Independent route: weigh the oxide. Mass of Fe3O4 less mass of its iron, turned to gas with the molar mass of
    # oxygen.
    # The formula is weighed, not the library's entry for the mineral: that entry (239.6 g/mol) is not the weight of
    # Fe3O4.
    oxide = molecular_weight({"Fe": 3, "O": 4})
    gained = (oxide - 3 * MW(IRON)) / (3 * MW(IRON))
    gas = gained / (MW(OXYGEN) / 1000) * scipy.constants.R * (273.15 + 15) / scipy.constants.atm
    assert amount(CUT_OXYGEN.answer(reference="15C"), "oxygen_per_iron") == pytest.approx(gas, rel=1e-4)


def test_heat_of_burning_by_a_chemistry_library():
    # Enthalpy of formation of solid Fe3O4 from the tables in `chemicals`; iron and oxygen are elements, so theirs is
    # nil.
    heat = -Hfs(MAGNETITE) / (3 * MW(IRON) / 1000)
    result = CUT_OXYGEN.answer()
    assert amount(result, "heat_per_iron") == pytest.approx(heat, rel=1e-4)
    assert amount(result, "heat") == pytest.approx(heat * amount(result, "kerf_mass"), rel=1e-4)


def test_a_warm_volume_is_larger_in_the_ratio_of_the_absolute_temperatures():
    # Charles's law, with scipy's conversion of 70 °F to kelvin.
    warm, cool = (amount(CUT_OXYGEN.answer(reference=each), "least_oxygen") for each in ("70F", "15C"))
    assert warm / cool == pytest.approx(scipy.constants.convert_temperature(70, "Fahrenheit", "Kelvin") / 288.15)


@FEW
@given(st.integers(1, 100), st.integers(1, 64), st.integers(1, 32))
def test_need_grows_with_share_and_kerf_in_proportion_and_feo_always_takes_three_quarters(
    share, sixteenths, sixty_fourths,
):
    size = {"thickness": f"{sixteenths + 1}/16 in", "kerf": f"{sixty_fourths}/64 in"}
    full, part = CUT_OXYGEN.answer(size, share="100 %"), CUT_OXYGEN.answer(size, share=f"{share} %")
    assert amount(part, "least_oxygen") == pytest.approx(amount(full, "least_oxygen") * share / 100)
    # 1/2 mole of oxygen for a mole of iron against 2/3.
    assert amount(part, "least_oxygen_feo") == pytest.approx(0.75 * amount(part, "least_oxygen"))


# --- flow and time against the bound ----------------------------------------------

# 3/8 in, kerf 1/16 in, 7 in long: 0.04653 lb of iron, 0.2148 ft3 to Fe3O4 and 0.1611 ft3 to FeO. At 60 ft3/h that is
# 12.89 s and 9.67 s.
@pytest.mark.parametrize(
    ("seconds", "level"), [("13", Level.OK), ("12.8", Level.CAUTION), ("9.7", Level.CAUTION), ("9.6", Level.STOP)],
)
def test_delivered_oxygen_is_judged_at_both_bounds(seconds, level):
    result = CUT_OXYGEN.answer(flow="60 ft3/h", time=seconds)
    assert levels(result, "oxygen-supply") == [level]
    assert amount(result, "delivered") == pytest.approx(
        (UNITS("60 ft^3/hour") * UNITS(f"{seconds} second")).to("meter**3").magnitude
    )


def test_flow_alone_bounds_the_travel_and_time_alone_bounds_the_flow():
    flow, time = CUT_OXYGEN.answer(flow="60 ft3/h"), CUT_OXYGEN.answer(time="20 s")
    need = amount(flow, "least_oxygen")
    assert amount(flow, "fastest_speed") == pytest.approx(
        0.1778 / (need / UNITS("60 ft^3/hour").to("meter**3/second").magnitude)
    )
    assert amount(time, "least_flow") == pytest.approx(need / 20)
    assert not levels(flow, "oxygen-supply") and not levels(time, "oxygen-supply")


@pytest.mark.parametrize(
    ("flow", "ids"),
    [("49.9 ft3/h", ["flow-low"]), ("50 ft3/h", []), ("130 ft3/h", []), ("130.1 ft3/h", ["flow-high"])],
)
def test_the_flow_of_a_hand_torch_has_two_sides(flow, ids):
    # One band for the whole table, 50 to 130 ft3/h, from memory; over 1 in there is none.
    assert [check.id for check in CUT_OXYGEN.answer(flow=flow).checks if check.level is Level.CAUTION] == ids
    assert levels(CUT_OXYGEN.answer(flow=flow, thickness="1-1/8 in"), "flow") == [Level.NOT_KNOWN]


@pytest.mark.parametrize(
    ("purity", "level"),
    [("99.5 %", Level.OK), ("99.4 %", Level.CAUTION), ("95 %", Level.CAUTION), ("94.9 %", Level.STOP)],
)
def test_purity_of_the_oxygen(purity, level):
    # 99.5 % or more; under 95 % no cut (secondary).
    assert levels(CUT_OXYGEN.answer(purity=purity), "purity") == [level]


def test_a_part_that_cannot_feed_the_cut_is_pointed_out():
    assert levels(
        CUT_OXYGEN.answer(share="49 %"), "share",
    ) == [Level.CAUTION] and not levels(CUT_OXYGEN.answer(share="50 %"), "share")


@pytest.mark.parametrize(
    ("seconds", "ids"), [("17.4", ["travel-high"]), ("17.5", []), ("28", []), ("28.1", ["travel-low"])],
)
def test_the_travel_of_a_time_is_set_against_the_table(seconds, ids):
    # 7 in at 24 in/min takes 17.5 s, at 15 in/min 28 s.
    assert [check.id for check in CUT_OXYGEN.answer(time=seconds).checks] == ids


@pytest.mark.parametrize(("seconds", "refused"), [("4.9", True), ("5", False), ("300", False), ("301", True)])
def test_a_timed_speed_that_no_torch_has_is_refused(seconds, refused):
    # 5 in in 5 s is 60 in/min, in 300 s 1 in/min: the ends of the fields for the maker's card.
    if refused:
        with pytest.raises(InputError, match="no torch cuts at") as trouble:
            CUT_SPEED.answer(mark_distance="5 in", mark_time=seconds)
        assert trouble.value.field == "mark_time"
    else:
        assert CUT_SPEED.answer(mark_distance="5 in", mark_time=seconds)["your_speed"].amount


def test_the_fastest_fed_travel_does_not_depend_on_the_length():
    short, long = (
        amount(CUT_OXYGEN.answer(flow="60 ft3/h", length=each), "fastest_speed") for each in ("1 in", "100 in")
    )
    assert short == pytest.approx(long)


@pytest.mark.parametrize(
    ("inputs", "field", "limit"),
    [
        ({"share": "0.9 %"}, "share", "from 1 % to 100 %"), ({"share": "100.1 %"}, "share", "from 1 % to 100 %"),
        ({"kerf": "0 in"}, "kerf", "1/64 in"), ({"flow": "0.5 ft3/h"}, "flow", "ft³/h"),
        ({"reference": "60F"}, "reference", "70F or 15C"),
    ],
)
def test_impossible_figures_are_refused_with_the_limit(inputs, field, limit):
    with pytest.raises(InputError) as refused:
        CUT_OXYGEN.answer(inputs)
    assert refused.value.field == field
    assert limit in refused.value.message.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("typed", "id", "level"),
    # The row of 3/8 in: oxygen 25 to 40 psi, acetylene 3 to 5 psi, from memory; 15 psi by 29 CFR 1910.253(a)(2), read.
    [
        ({"oxygen_pressure": "24.9 psi"}, "oxygen-pressure-low", Level.CAUTION),
        ({"oxygen_pressure": "25 psi"}, "oxygen-pressure", Level.OK),
        ({"oxygen_pressure": "40 psi"}, "oxygen-pressure", Level.OK),
        ({"oxygen_pressure": "40.1 psi"}, "oxygen-pressure-high", Level.CAUTION),
        ({"fuel_pressure": "2.9 psi"}, "fuel-pressure-low", Level.CAUTION),
        ({"fuel_pressure": "5 psi"}, "fuel-pressure", Level.OK),
        ({"fuel_pressure": "15 psi"}, "fuel-pressure-high", Level.CAUTION),
        ({"fuel_pressure": "15.1 psi"}, "fuel-pressure", Level.STOP),
    ],
)
def test_pressures_have_two_sides(typed, id, level):
    assert [
        (check.id, check.level) for check in CUT_SPEED.answer(typed).checks if "pressure" in check.id
    ] == [(id, level)]
