"""What a plate test qualifies, what a retest asks, and what keeps a qualification current.

Stages: start and after. The rules of each document are rows of data, chosen by
name: AWS D1.1, ASME Section IX, ISO 9606-1, a state road department, API 1104.
How each row is held stands with it. Dates are counted in calendar months.
"""

from __future__ import annotations

import calendar
import datetime
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from calc.core.declare import Calculator, Choice, Day, InputError, Option, Quantity, Rows, Whole, Working
from calc.core.sources import (
    ASME_IX,
    ASME_IX_UNDATED,
    AWS_D11,
    AWS_D11_2000,
    AWS_D11_2020,
    CFR_46_57,
    COMMON,
    DC_12_E1019,
    ENTERED,
    IOWA_IM_559,
    IOWA_IM_559_NOW,
    ISO_9606_1,
    TRADE_COLUMN_2011,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import LENGTH, NUMBER, listed, parse
from calc.show import scales
from calc.show.sliders import THICKNESS
from calc.stages.bend import PLATE_UNDER, is_plate_of
from calc.stages.coupons import is_between_sizes

D11, ASME, ISO, IOWA, API = "d1.1", "asme-ix", "iso-9606-1", "iowa-dot", "api-1104"
RULE_NAMES = {D11: "AWS D1.1", ASME: "ASME IX", ISO: "ISO 9606-1", IOWA: "Iowa DOT IM 559", API: "API 1104"}

STUDY_HELP = (
    "This is study help, not a certification; the verdict belongs to a qualified inspector and the code in "
    "force."
)


# --- thickness and specimens ---------------------------------------------------

D11_TABLE = "Table 4.11 (Table 6.11 in 2020)"
_REPRODUCED = "Read in a reproduction of the page."
D11_RANGE_REPORTED = Citation(
    AWS_D11_2020, "Table 6.11, as discussions report it", Standing.SECONDARY, "Table 4.11 in 2015.",
)
D11_FROM_MEMORY = Citation(AWS_D11, D11_TABLE, Standing.FROM_MEMORY)
D11_POSITIONS = Citation(AWS_D11_2020, "Table 6.10", Standing.READ, f"{_REPRODUCED} Table 4.10 in 2015.")
D11_ESSENTIALS = Citation(AWS_D11, "essential variables of welder qualification", Standing.FROM_MEMORY)
ASME_RANGE = Citation(ASME_IX_UNDATED, "QW-452.1(b)", Standing.READ, _REPRODUCED)
ASME_COUPONS = Citation(ASME_IX, "QW-452.1(a)", Standing.FROM_MEMORY)
ASME_POSITIONS = Citation(
    ASME_IX, "QW-461.9", Standing.FROM_MEMORY, "The fillet column is narrowed to what we are sure of.",
)
ISO_RANGE = Citation(ISO_9606_1, "Table 6", Standing.FROM_MEMORY)
ISO_COUPONS = Citation(
    ISO_9606_1, "examination and testing", Standing.FROM_MEMORY,
    "We hold the kind of specimen only. The examiner gives the number, and may choose radiography or a break test.",
)
ISO_POSITIONS = Citation(
    ISO_9606_1, "Table 9, butt welds", Standing.FROM_MEMORY, "Held without a second text; check it with your examiner.",
)
POSITION_MIX_UP = Citation(
    None, "A question page of a test shop", Standing.SECONDARY,
    "It mixes groove and fillet welds: horizontal stands in the fillet column of the table, which we "
    "read.",
)
D11_FILLETS = Citation(AWS_D11, f"{D11_TABLE}, notes", Standing.FROM_MEMORY)

LEAST = Fact(
    "qualify-least", "Minimum thickness of work that a plate test qualifies, AWS D1.1", parse("1/8 in", LENGTH), LENGTH,
    D11_RANGE_REPORTED,
)
LIMITED_PLATE = Fact(
    "qualify-limited-plate", "Plate of the limited-thickness test, AWS D1.1", parse("3/8 in", LENGTH), LENGTH,
    D11_RANGE_REPORTED,
)
LIMITED_MOST = Fact(
    "qualify-limited-most", "Maximum thickness of work that a 3/8 in (10 mm) plate qualifies, AWS D1.1",
    parse("3/4 in", LENGTH),
    LENGTH, D11_RANGE_REPORTED,
)
UNLIMITED_PLATE = Fact(
    "qualify-unlimited-plate", "Minimum plate thickness of the unlimited-thickness test, AWS D1.1",
    parse("1 in", LENGTH),
    LENGTH, D11_RANGE_REPORTED,
)
NOMINAL = Fact(
    "qualify-nominal-sizes", "Metric sizes that count as the inch sizes, AWS D1.1", None, None,
    Citation(
        AWS_D11, f"metric column of {D11_TABLE}", Standing.FROM_MEMORY,
        "That plate measured 0.01 in under its size counts too is our reading.",
    ),
    "9.5 mm or 10 mm as 3/8 in; 25 mm as 1 in",
)
ASME_UNLIMITED_DEPOSIT = Fact(
    "qualify-asme-unlimited-deposit", "Minimum deposit that qualifies without upper limit, ASME IX",
    parse("1/2 in", LENGTH), LENGTH, ASME_RANGE,
)
ASME_LAYERS = Fact("qualify-asme-layers", "Minimum layers for that, ASME IX", 3, NUMBER, ASME_RANGE)
ISO_LEAST = Fact("qualify-iso-least", "Thinnest work, ISO 9606-1", parse("3 mm", LENGTH), LENGTH, ISO_RANGE)
ISO_UNLIMITED_DEPOSIT = Fact(
    "qualify-iso-unlimited-deposit", "Minimum deposit that qualifies without upper limit, ISO 9606-1",
    parse("12 mm", LENGTH), LENGTH, ISO_RANGE,
)
RADIOGRAPHY = Fact(
    "qualify-radiography", "What may replace the bends, AWS D1.1", None, None,
    Citation(AWS_D11, "clauses 4.15 and 4.16", Standing.READ, _REPRODUCED),
    "radiographic testing of the plate, except for short-circuit GMAW",
)
PIPE_FROM_PLATE = Fact(
    "qualify-pipe-from-plate",
    "Pipe that a plate test covers, AWS D1.1: only over this outside diameter, with backing or backgouged",
    parse("24 in", LENGTH), LENGTH, Citation(AWS_D11_2020, "Table 6.10, note b", Standing.READ, _REPRODUCED),
)
PUBLIC_LAW_PLATE = Fact(
    "qualify-public-law-plate", "A plate test written into public law", None, None,
    Citation(DC_12_E1019, "", Standing.READ),
    "plates 3/8 in (9.5 mm) thick, 5 × 6 in (127 × 152 mm), single V",
)
SHIP_SUPPLEMENT = Fact(
    "qualify-ship-supplement", "Rule that adds to ASME IX on ships under US law", None, None,
    Citation(CFR_46_57, "", Standing.READ),
    "adds to ASME Section IX, Performance Qualifications",
)
BACKING_MATTERS = Fact(
    "qualify-backing-matters", "A test on backing and work without it", None, None, D11_ESSENTIALS,
    "a test on backing does not qualify a groove welded from one side without backing",
)
WHO_ANSWERS = Fact(
    "qualify-who-answers", "Who is responsible for the qualification of welders, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, responsibility", Standing.FROM_MEMORY),
    "the contractor, that is the company that does the welding",
)
EARLIER_TEST = Fact(
    "qualify-earlier-test", "Who may accept a test taken for another company, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, earlier qualification", Standing.FROM_MEMORY),
    "the engineer who is responsible for the structure",
)
RECORD_KEPT = Fact(
    "qualify-record-kept", "Who keeps the test records, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, records", Standing.FROM_MEMORY),
    "the contractor, who shows them to those authorized to see them",
)
DIRECTION_MATTERS = Fact(
    "qualify-direction-matters", "Direction of a vertical weld", None, None, D11_ESSENTIALS,
    "vertical up and vertical down are two qualifications",
)


@dataclass(frozen=True)
class RangeRow:
    """From which deposit on, and with how many layers, a test qualifies which thickness of work.

    `high` is a length, "twice" the test plate, or "unlimited". `low` is None where the table as we hold it has none.
    """

    rule: str
    id: str
    start: str
    above: bool
    layers: int
    low: str | None
    high: str
    plates: str
    wording: str
    source: Citation

    def holds(self, thickness: Fraction, layers: int | None) -> bool:
        """Whether the row is for this thickness (m), welded in so many layers (None where not known)."""
        start = parse(self.start, LENGTH)
        thick_enough = thickness > start if self.above else thickness >= start
        return thick_enough and (layers or 0) >= self.layers

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        return Fact(
            f"qualify-{self.id}", f"Thickness of work qualified, {RULE_NAMES[self.rule]}, {self.plates}", None, None,
            self.source, self.wording,
        )


RANGE_ROWS: tuple[RangeRow, ...] = (
    RangeRow(
        D11, "d11-unlimited", "25 mm", False, 0, "1/8 in", "unlimited", "plate 1 in (25 mm) or more",
        "1/8 in (3 mm) and more, without upper limit",
        D11_RANGE_REPORTED,
    ),
    RangeRow(
        D11, "d11-middle", "10 mm", True, 0, "1/8 in", "twice", "plate over 3/8 in (10 mm) and under 1 in (25 mm)",
        "1/8 in (3 mm) to twice the plate", D11_RANGE_REPORTED,
    ),
    RangeRow(
        D11, "d11-limited", "0.365 in", False, 0, "1/8 in", "3/4 in", "plate 3/8 in (10 mm)",
        "1/8 in (3 mm) to 3/4 in (20 mm)", D11_RANGE_REPORTED,
    ),
    RangeRow(
        ASME, "asme-unlimited", "1/2 in", False, 3, None, "unlimited",
        "deposit 1/2 in (13 mm) or more in 3 layers or more", "without upper limit",
        ASME_RANGE,
    ),
    RangeRow(
        ASME, "asme-twice", "0 in", True, 0, None, "twice", "any other deposit", "up to twice the deposit", ASME_RANGE,
    ),
    RangeRow(
        ISO, "iso-unlimited", "12 mm", False, 0, "3 mm", "unlimited", "deposit 12 mm or more",
        "3 mm and more, without upper limit", ISO_RANGE,
    ),
    RangeRow(
        ISO, "iso-twice", "3 mm", False, 0, "3 mm", "twice", "deposit 3 mm to under 12 mm", "3 mm to twice the deposit",
        ISO_RANGE,
    ),
)
"""Thickest row of a rule first: the first that holds is the one."""


@dataclass(frozen=True)
class CouponRow:
    """Which bend specimens are cut from a plate from this thickness on."""

    rule: str
    id: str
    start: str
    above: bool
    coupons: str
    plates: str
    source: Citation

    def holds(self, thickness: Fraction) -> bool:
        """Whether the row is for a plate of this thickness (m)."""
        start = parse(self.start, LENGTH)
        return thickness > start if self.above else thickness >= start

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        return Fact(
            f"qualify-coupons-{self.id}", f"Specimens from a plate, {RULE_NAMES[self.rule]}, {self.plates}", None, None,
            self.source, self.coupons,
        )


FACE_AND_ROOT, TWO_SIDE = "1 face bend and 1 root bend", "2 side bends"
COUPON_ROWS: tuple[CouponRow, ...] = (
    CouponRow(D11, "d11-thick", "10 mm", True, TWO_SIDE, "over 3/8 in (10 mm)", D11_FROM_MEMORY),
    CouponRow(D11, "d11-thin", "0.365 in", False, FACE_AND_ROOT, "3/8 in (10 mm)", D11_FROM_MEMORY),
    CouponRow(ASME, "asme-thick", "3/4 in", False, TWO_SIDE, "3/4 in (19 mm) or more", ASME_COUPONS),
    CouponRow(
        ASME, "asme-middle", "3/8 in", False, f"{FACE_AND_ROOT}, or {TWO_SIDE} in their place",
        "3/8 in (10 mm) to under 3/4 in (19 mm)", ASME_COUPONS,
    ),
    CouponRow(ASME, "asme-thin", "0 in", True, FACE_AND_ROOT, "under 3/8 in (10 mm)", ASME_COUPONS),
    CouponRow(ISO, "iso-thick", "12 mm", False, "side bends (ask the examiner how many)", "12 mm or more", ISO_COUPONS),
    CouponRow(
        ISO, "iso-thin", "0 in", True, "face and root bends (ask the examiner how many)", "under 12 mm", ISO_COUPONS,
    ),
)


def range_row(rule: str, thickness: Fraction, layers: int | None = None) -> RangeRow | None:
    """The row that says which thickness of work a test plate qualifies; None where the rule has no row.

    `thickness` is that of the test plate in m (for ASME IX and ISO 9606-1, of the weld metal laid down),
    `layers` the layers welded, None where not known.

    >>> range_row("d1.1", parse("3/8 in", LENGTH)).high, range_row("d1.1", parse("1 in", LENGTH)).high
    ('3/4 in', 'unlimited')
    >>> range_row("asme-ix", parse("1/2 in", LENGTH), 2).high, range_row("asme-ix", parse("1/2 in", LENGTH), 3).high
    ('twice', 'unlimited')
    >>> range_row("d1.1", parse("1/4 in", LENGTH)) is None
    True
    """
    return next((row for row in RANGE_ROWS if row.rule == rule and row.holds(thickness, layers)), None)


def coupon_row(rule: str, thickness: Fraction) -> CouponRow | None:
    """The row that says which bend specimens a plate of this thickness (m) gives; None where the rule has no row.

    >>> coupon_row("d1.1", parse("3/8 in", LENGTH)).coupons, coupon_row("d1.1", parse("1/2 in", LENGTH)).coupons
    ('1 face bend and 1 root bend', '2 side bends')
    """
    return next((row for row in COUPON_ROWS if row.rule == rule and row.holds(thickness)), None)


# --- positions ---------------------------------------------------------------

POSITION_WORDS = {"F": "flat", "H": "horizontal", "V": "vertical", "OH": "overhead"}
BOTH_TESTS = "3G-4G"
SINGLE_TESTS = ("1G", "2G", "3G", "4G")


@dataclass(frozen=True)
class PositionRow:
    """Which positions of work one test position qualifies, for groove and for fillet welds."""

    rule: str
    test: str
    groove: tuple[str, ...]
    fillet: tuple[str, ...]
    source: Citation

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        name = self.rule.replace("d1.1", "d11").replace("-ix", "").replace("-9606-1", "")
        return Fact(
            f"qualify-positions-{name}-{self.test.lower()}",
            f"Positions qualified by {self.test}, {RULE_NAMES[self.rule]}", None, None,
            self.source,
            f"groove welds: {positions_in_words(self.groove)}; fillet welds: {positions_in_words(self.fillet)}",
        )


POSITION_ROWS: tuple[PositionRow, ...] = (
    PositionRow(D11, "1G", ("F",), ("F", "H"), D11_POSITIONS),
    PositionRow(D11, "2G", ("F", "H"), ("F", "H"), D11_POSITIONS),
    PositionRow(D11, "3G", ("F", "H", "V"), ("F", "H", "V"), D11_POSITIONS),
    PositionRow(D11, "4G", ("F", "OH"), ("F", "H", "OH"), D11_POSITIONS),
    PositionRow(ASME, "1G", ("F",), ("F",), ASME_POSITIONS),
    PositionRow(ASME, "2G", ("F", "H"), ("F", "H"), ASME_POSITIONS),
    PositionRow(ASME, "3G", ("F", "V"), ("F", "H", "V"), ASME_POSITIONS),
    PositionRow(ASME, "4G", ("F", "OH"), ("F", "H", "OH"), ASME_POSITIONS),
    # A butt weld test of ISO 9606-1:2012 covers no fillet welds by itself; the standard adds a fillet test.
    PositionRow(ISO, "1G", ("F",), (), ISO_POSITIONS),
    PositionRow(ISO, "2G", ("F", "H"), (), ISO_POSITIONS),
    PositionRow(ISO, "3G", ("F", "V"), (), ISO_POSITIONS),
    PositionRow(ISO, "4G", ("F", "H", "OH"), (), ISO_POSITIONS),
)
OVERHEAD_WIDER = Fact(
    "qualify-positions-d11-4g-wider", "Positions of 4G as one page gives them, groove and fillet welds mixed, AWS D1.1",
    None, None,
    POSITION_MIX_UP,
    "flat, horizontal and overhead",
)


def positions_in_words(positions: tuple[str, ...]) -> str:
    """Position letters as words; "none" for an empty list.

    >>> positions_in_words(("F", "H", "OH")), positions_in_words(())
    ('flat, horizontal and overhead', 'none')
    """
    words = [POSITION_WORDS[each] for each in positions]
    return listed(words, "and") if words else "none"


def positions_qualified(rule: str, test: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The groove and fillet positions (letters F, H, V, OH) that a test position qualifies under a rule.

    `test` is 1G, 2G, 3G, 4G, or 3G-4G for both of these tests passed; that one is the two rows together.
    Raises `KeyError` for another.

    >>> positions_qualified("d1.1", "4G")
    (('F', 'OH'), ('F', 'H', 'OH'))
    >>> positions_qualified("d1.1", "3G-4G")[0]
    ('F', 'H', 'V', 'OH')
    """
    tests = ("3G", "4G") if test == BOTH_TESTS else (test,)
    rows = [row for row in POSITION_ROWS if row.rule == rule and row.test in tests]
    if not rows:
        raise KeyError(f"no row for {test} under {rule}")
    groove = {each for row in rows for each in row.groove}
    fillet = {each for row in rows for each in row.fillet}
    return tuple(p for p in POSITION_WORDS if p in groove), tuple(p for p in POSITION_WORDS if p in fillet)


# --- test-plan ---------------------------------------------------------------

PLAN_RULES = (D11, ASME, ISO)
_POSITION_SOURCE = {D11: D11_POSITIONS, ASME: ASME_POSITIONS, ISO: ISO_POSITIONS}


def work_test_plan(
    w: Working, *, thickness: Fraction, position: str, rule: str, layers: int | None, work_thickness: Fraction,
    work_position: str, weld: str,
) -> None:
    """Which specimens a test plate gives, which thickness and position of work it qualifies, and whether that covers
    the work.

    By AWS D1.1 plate T of 3/8 in qualifies 1/8 to 3/4 in; over 3/8 and under 1 in, 1/8 in to 2 T; 1 in and over, 1/8 in
    and more. By ASME IX 2 T of the deposit, without limit from 1/2 in in three layers; by ISO 9606-1 3 mm to 2 s,
    without
    limit from 12 mm. Lengths in m. A plate as a mill may deliver it, 0.01 in under 3/8 in, takes its nominal size.
    Where
    the table has no row, the answer is not known. Source: the citation of each row.

    Raises nothing beyond the ranges of the inputs. The row of 3/8 in and the vertical test, as reported and read:

    >>> result = TEST_PLAN.answer(thickness="3/8 in", position="3G", work_thickness="3/4 in", work_position="H")
    >>> result.check("thickness").level.value, result.check("position").level.value
    ('ok', 'ok')
    """
    spans, cut = range_row(rule, thickness, layers), coupon_row(rule, thickness)
    groove, fillet = positions_qualified(rule, position)
    T = w.given("thickness", "T", thickness, LENGTH)
    work = w.given("work_thickness", "W", work_thickness, LENGTH)
    if spans is None or cut is None:
        _say_no_row(w, rule)
        high = None
    else:
        w.words("coupons", "Specimens to bend, each test plate", cut.coupons, source=cut.source, main=True)
        high = _write_range(w, spans, T)
    _write_positions(w, rule, position, groove, fillet)
    _write_plate_for(w, rule, work)
    w.words(
        "test_for_position", f"Tests that qualify {POSITION_WORDS[work_position]} {weld} welds",
        _tests_for(rule, work_position, weld),
        source=_POSITION_SOURCE[rule],
    )
    for other in PLAN_RULES:
        if other != rule:
            _write_other(w, other, thickness, position, layers)
    if spans is not None:
        low = None if spans.low is None else float(parse(spans.low, LENGTH))
        w.draw(scales.covered(w, low, None if high is None else float(high)))
        _say_plan(w, rule, spans, position, groove)
        _check_work(w, spans, high, work_thickness, weld, thickness, layers)
    _check_position(w, rule, groove if weld == "groove" else fillet, work_position, weld)
    _check_reading(w, rule, thickness, position, layers, weld)
    w.warn(
        "Your WPS and the code named on it decide the plate, the specimens and the range. Read them before "
        "you strike an arc.",
    )
    w.warn(STUDY_HELP)


def _say_no_row(w: Working, rule: str) -> None:
    """The table as we hold it has no row for this plate: nothing is made up in its place."""
    first = LIMITED_PLATE
    w.mention("first_plate", first)
    w.words(
        "coupons", "Specimens to bend, each test plate", "not known: ask which test applies", source=first.source,
        main=True,
    )
    w.words("qualified_low", "Minimum thickness of work qualified", "not known", source=first.source)
    w.words("qualified_high", "Maximum thickness of work qualified", "not known", source=first.source, main=True)
    text = (
        f"The table of {RULE_NAMES[rule]} as we hold it has no plate thinner than {{first_plate}}. Ask which test "
        f"{{thickness}} plate is for."
    )
    w.not_known("thin-plate", text, source=first.source)
    w.say(
        f"By {RULE_NAMES[rule]}, as we hold it, there is no row for a test plate of {{thickness}}. Ask which test "
        f"applies."
    )


def _write_positions(w: Working, rule: str, position: str, groove: tuple[str, ...], fillet: tuple[str, ...]) -> None:
    source = _POSITION_SOURCE[rule]
    w.words(
        "groove_positions", "Groove welds: positions qualified", positions_in_words(groove), source=source, main=True,
    )
    w.words(
        "fillet_positions", "Fillet welds: positions qualified", positions_in_words(fillet), source=source, main=True,
    )
    if rule == D11 and position == "4G":
        w.words("groove_positions_wider", OVERHEAD_WIDER.label, OVERHEAD_WIDER.wording, source=OVERHEAD_WIDER.source)


def _write_range(w: Working, row: RangeRow, plate) -> Fraction | None:
    """The rows for the thickness qualified; returns the upper end, None where there is none."""
    if row.low is None:
        w.words(
            "qualified_low", "Minimum thickness of work qualified", "no lower limit in the table as we hold it",
            source=row.source,
        )
    else:
        w.value(
            "qualified_low", "Minimum thickness of work qualified", parse(row.low, LENGTH), LENGTH, source=row.source,
            main=True,
            as_fraction=True,
        )
    if row.high == "unlimited":
        w.words("qualified_high", "Maximum thickness of work qualified", "unlimited", source=row.source, main=True)
        high = None
    elif row.high == "twice":
        high = w.let(
            "qualified_high", "Maximum thickness of work qualified", "T_max", LENGTH, 2 * plate, source=row.source,
            main=True,
            as_fraction=True,
        ).amount
    else:
        high = parse(row.high, LENGTH)
        w.value(
            "qualified_high", "Maximum thickness of work qualified", high, LENGTH, source=row.source, main=True,
            as_fraction=True,
        )
    if row.rule == D11:
        kind = "unlimited thickness" if row.high == "unlimited" else "limited thickness"
        w.words("kind_of_test", "Kind of test", kind, source=row.source)
    return high


def _write_plate_for(w: Working, rule: str, work) -> None:
    """The thinnest test plate whose range takes in the work."""
    label = "Minimum test plate that covers your work"
    low = {D11: LEAST, ISO: ISO_LEAST}.get(rule)
    if low is not None and work.amount < low.amount:
        w.words(
            "plate_for_work", label, "none: the work is thinner than this rule's plate tests reach", source=low.source,
            main=True,
        )
        return
    start, reach, top = {
        D11: (LIMITED_PLATE, LIMITED_MOST.amount, UNLIMITED_PLATE), ASME: (None, None, ASME_UNLIMITED_DEPOSIT),
        ISO: (ISO_LEAST, 2 * ISO_LEAST.amount, ISO_UNLIMITED_DEPOSIT),
    }[rule]
    if rule == D11 and reach < work.amount <= 2 * parse("10 mm", LENGTH):
        # Half of such work is still the nominal 3/8 in plate, whose range ends at 3/4 in.
        w.words("plate_for_work", label, "just over 3/8 in (10 mm)", source=D11_FROM_MEMORY, main=True)
    elif start is not None and work.amount <= reach:
        w.value("plate_for_work", label, start.amount, LENGTH, source=start.source, main=True, as_fraction=True)
    elif work.amount >= 2 * top.amount:
        layers = f", in {ASME_LAYERS.amount} layers or more" if rule == ASME else ""
        w.value("plate_for_work", label + layers, top.amount, LENGTH, source=top.source, main=True, as_fraction=True)
    else:
        source = {D11: D11_FROM_MEMORY, ASME: ASME_RANGE, ISO: ISO_RANGE}[rule]
        w.let("plate_for_work", label, "T_need", LENGTH, work / 2, source=source, main=True, as_fraction=True)


def _tests_for(rule: str, position: str, weld: str) -> str:
    """The single tests that cover a position; words where none does."""
    side = 0 if weld == "groove" else 1
    tests = [test for test in SINGLE_TESTS if position in positions_qualified(rule, test)[side]]
    return listed(tests) if tests else "none of the groove tests; ask for a fillet test"


def _write_other(w: Working, rule: str, thickness: Fraction, position: str, layers: int | None) -> None:
    """What another document would make of the same plate."""
    name, key = RULE_NAMES[rule], rule.replace(".", "").replace("-", "_")
    spans, cut = range_row(rule, thickness, layers), coupon_row(rule, thickness)
    if spans is None:
        w.words(f"{key}_high", f"By {name}, maximum thickness of work", "no row for this plate", source=D11_FROM_MEMORY)
        return
    if spans.high == "unlimited":
        w.words(f"{key}_high", f"By {name}, maximum thickness of work", "unlimited", source=spans.source)
    else:
        high = 2 * thickness if spans.high == "twice" else parse(spans.high, LENGTH)
        w.value(
            f"{key}_high", f"By {name}, maximum thickness of work", high, LENGTH, source=spans.source, as_fraction=True,
        )
    groove, fillet = positions_qualified(rule, position)
    w.words(f"{key}_coupons", f"By {name}, specimens", cut.coupons, source=cut.source)
    w.words(
        f"{key}_positions", f"By {name}, positions",
        f"groove: {positions_in_words(groove)}; fillet: {positions_in_words(fillet)}",
        source=_POSITION_SOURCE[rule],
    )


def _say_plan(w: Working, rule: str, spans: RangeRow, position: str, groove: tuple[str, ...]) -> None:
    tests = "3G and 4G" if position == BOTH_TESTS else position
    if spans.high == "unlimited":
        reach = "from {qualified_low} up, without upper limit" if spans.low else "without upper limit"
    else:
        reach = "from {qualified_low} to {qualified_high}" if spans.low else "up to {qualified_high}"
    w.say(
        f"By {RULE_NAMES[rule]}, a test plate of {{thickness}} in {tests} gives {{coupons}}. A pass qualifies groove "
        f"welds "
        f"in work {reach}, {positions_in_words(groove)}."
    )


def _check_work(
    w: Working, spans: RangeRow, high: Fraction | None, work: Fraction, weld: str, thickness: Fraction,
    layers: int | None,
) -> None:
    uncounted = spans.rule == ASME and layers is None and thickness >= ASME_UNLIMITED_DEPOSIT.amount
    if weld == "fillet" and spans.rule == D11:
        text = (
            "The thickness range above is for groove welds. As we remember the table, a groove test covers fillet "
            "welds of any size; ask."
        )
        w.not_known("thickness", text, source=D11_FILLETS)
    elif weld == "fillet":
        text = "The thickness range above is for groove welds. Ask which fillet sizes and thicknesses the test covers."
        w.not_known("thickness", text, source=ENTERED)
    elif spans.low is not None and work < parse(spans.low, LENGTH):
        w.stop(
            "thickness-low",
            "Work of {work_thickness} is thinner than the {qualified_low} that is the minimum of this test.",
            source=spans.source,
        )
    elif high is not None and work > high and uncounted:
        text = (
            "Work of {work_thickness} is thicker than {qualified_high}. Count the layers of the deposit: in three or "
            "more the range has no upper limit."
        )
        w.incomplete("layers", text, source=spans.source)
    elif high is not None and work > high:
        w.stop(
            "thickness-high", "Work of {work_thickness} is thicker than the {qualified_high} that this test qualifies.",
            source=spans.source,
        )
    else:
        w.ok("thickness", "Work of {work_thickness} is inside the thickness this test qualifies.", source=spans.source)


def _check_position(w: Working, rule: str, covered: tuple[str, ...], wanted: str, weld: str) -> None:
    name = POSITION_WORDS[wanted]
    if wanted in covered:
        w.ok("position", f"This test qualifies {name} {weld} welds.", source=_POSITION_SOURCE[rule])
    else:
        w.stop(
            "position", f"This test does not qualify {name} {weld} welds. Tests that do: {{test_for_position}}.",
            source=_POSITION_SOURCE[rule],
        )


def _check_nominal(w: Working, thickness: Fraction) -> None:
    """A measured plate that is taken as one of the sizes of the table."""
    w.mention("plate_under", PLATE_UNDER)
    for size, metric in ((LIMITED_PLATE, "10 mm"), (UNLIMITED_PLATE, "25 mm")):
        w.mention("size", size)
        if thickness == parse(metric, LENGTH):
            w.note(
                "nominal", "{thickness} is the size beside {size} in the metric column.",
                source=NOMINAL.source,
            )
        elif thickness != size.amount and is_plate_of(size, thickness):
            text = "{thickness} is taken as {size} plate: a mill may deliver it {plate_under} under its size."
            w.note("nominal", text, source=PLATE_UNDER.source)
        elif size is UNLIMITED_PLATE and parse(metric, LENGTH) < thickness < size.amount:
            w.note("nominal", "{thickness} is taken as {size} plate, since 25 mm counts as it.", source=NOMINAL.source)
    if is_between_sizes(thickness):
        w.mention("size", LIMITED_PLATE)
        text = (
            "{thickness} is over {size} and under 10 mm, the same plate in millimeters. It is taken as that plate; ask "
            "your inspector."
        )
        w.caution("nominal", text, source=NOMINAL.source)


def _check_reading(w: Working, rule: str, thickness: Fraction, position: str, layers: int | None, weld: str) -> None:
    """What a reader must know beside the tables: rounded sizes, backing, direction, pipe, a mix-up that goes round."""
    if rule == D11 and position == "4G":
        text = (
            "Some say that 4G covers horizontal grooves too. The table gives 4G flat and overhead grooves; horizontal "
            "is for its fillets."
        )
        w.note("four-g", text, source=D11_POSITIONS)
    if rule == D11:
        _check_nominal(w, thickness)
    covers_more = rule == ASME and thickness >= ASME_UNLIMITED_DEPOSIT.amount and layers is None
    if covers_more and not any(check.id == "layers" for check in w.checks):
        w.note(
            "layers", "With three layers or more the range has no upper limit. Write the layers to see it.",
            source=ASME_RANGE,
        )
    w.note(
        "backing", "A test on backing does not qualify a groove welded from one side without backing.",
        source=BACKING_MATTERS.source,
    )
    if position in ("3G", BOTH_TESTS):
        w.note(
            "direction", "Vertical up and vertical down are two qualifications. You qualify in the direction you weld.",
            source=DIRECTION_MATTERS.source,
        )
    if rule == D11 and weld == "groove":
        w.mention("pipe", PIPE_FROM_PLATE)
        w.note(
            "pipe",
            "A plate test covers groove welds in pipe only over {pipe} outside diameter, with backing or backgouged.",
            source=PIPE_FROM_PLATE.source,
        )


_RULE_HELP = "The document your test is held under. Documents differ; the others are shown beside it."
TEST_PLAN = Calculator(
    id="test-plan",
    title="Test plan",
    question="What does this test plate give me: which specimens, and which thickness and position of work?",
    page="start.md",
    work=work_test_plan,
    main=("thickness", "position", "rule"),
    inputs=(
        Quantity(
            "thickness", "Test plate thickness", LENGTH, "3/8 in", "1/8 in", "4 in",
            "Of the plate that you weld for the test. For ASME IX and ISO 9606-1, of the weld metal deposited.", "T",
            common=("3/8 in", "1/2 in", "3/4 in", "1 in"), slide=THICKNESS,
        ),
        Choice(
            "position", "Test position", (
                Option("1G", "1G, flat (ISO: PA)"), Option("2G", "2G, horizontal (ISO: PC)"),
                Option("3G", "3G, vertical (ISO: PF, upward)"), Option("4G", "4G, overhead (ISO: PE)"),
                Option(BOTH_TESTS, "3G and 4G, two plates"),
            ), "3G", "How the plate stands while you weld it.",
        ),
        Choice(
            "rule", "Rule document", (
                Option(D11, "AWS D1.1, structural steel"), Option(ASME, "ASME Section IX"), Option(ISO, "ISO 9606-1"),
            ), D11, _RULE_HELP,
            takes="rule_document",
        ),
        Whole(
            "layers", "Layers of weld metal", "", 1, 60, "Counts under ASME IX only. May stay blank.",
            common=("3", "5", "8"),
        ),
        Quantity(
            "work_thickness", "Thickness of the work you want to weld", LENGTH, "1/2 in", "1/16 in", "12 in",
            "The thickest part you expect on the job.", "W", common=("1/2 in", "3/4 in", "1 in", "2 in"),
        ),
        Choice(
            "work_position", "Position of the work", tuple(Option(key, word) for key, word in POSITION_WORDS.items()),
            "V",
            "How the joint lies on the job.",
        ),
        Choice(
            "weld", "Weld on the job", (Option("groove", "Groove weld"), Option("fillet", "Fillet weld")), "groove",
            "What you will be asked to weld.",
        ),
    ),
)


# --- calendar months ---------------------------------------------------------

MONTHS_COUNTED = Citation(
    None, "Calendar months, our way of counting", Standing.COMMON_PRACTICE,
    "The same day of a later month; where that month is shorter, its last day. No code we hold says how to count.",
)
DAYS_TO_WARN = 31
"""A month before the last day is time to arrange an hour of welding; no document asks for it."""
MONTH_RULE = Fact(
    "calendar-months", "How months are counted", None, None, MONTHS_COUNTED,
    "to the same day of the month, or to the last day of a shorter month",
)


def add_months(day: datetime.date, months: int) -> datetime.date:
    """The date so many whole calendar months after `day`.

    The day of the month is kept; where the month reached is shorter, its last day is taken, the earlier
    and so the more cautious reading. `months` is a whole number from 0 to 1200. Raises `ValueError` for
    another number, and where the date would lie after the year 9999. Source: `MONTHS_COUNTED`.

    >>> add_months(datetime.date(2025, 8, 31), 6), add_months(datetime.date(2023, 8, 31), 6)
    (datetime.date(2026, 2, 28), datetime.date(2024, 2, 29))
    >>> add_months(datetime.date(2024, 2, 29), 36)
    datetime.date(2027, 2, 28)
    """
    if isinstance(months, bool) or not isinstance(months, int) or not 0 <= months <= 1200:
        raise ValueError(f"months: {months!r} is not a whole number from 0 to 1200 months")
    count = day.year * 12 + day.month - 1 + months
    year, month = count // 12, count % 12 + 1
    return datetime.date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def last_day(start: datetime.date, months: int, *, day_itself: bool = True) -> datetime.date:
    """The last day that is still in time, `months` calendar months after `start`.

    Where a rule speaks of a period exceeding the months, the day itself is in time. Where it speaks of
    the months "or more", the day before is the last (`day_itself` False). Raises `ValueError` as `add_months`.

    >>> last_day(datetime.date(2025, 8, 31), 6)
    datetime.date(2026, 2, 28)
    >>> last_day(datetime.date(2025, 8, 31), 6, day_itself=False)
    datetime.date(2026, 2, 27)
    """
    return add_months(start, months) - datetime.timedelta(days=0 if day_itself else 1)


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


# --- retest ------------------------------------------------------------------


@dataclass(frozen=True)
class RetestRule:
    """How many welds a retest takes for each test failed, and in what time where the rule says so."""

    rule: str
    route: str
    welds: int
    months: int | None
    wording: str
    source: Citation

    @property
    def fact(self) -> Fact:
        """The rule as an entry of the register."""
        name = {D11: "d11", ASME: "asme", IOWA: "iowa"}[self.rule]
        return Fact(
            f"retest-{name}-{self.route}", f"Retest, {RULE_NAMES[self.rule]}, {ROUTE_WORDS[self.route]}", None, None,
            self.source, self.wording,
        )


ROUTE_WORDS = {"immediate": "at once", "training": "after more training"}
D11_RETEST = Citation(
    AWS_D11_2000, "clause 4.32.1", Standing.SECONDARY,
    "A discussion quotes the clause of 2004. In 2015 it is 4.24.1, by the references to it.",
)
ASME_RETEST = Citation(ASME_IX, "QW-321, as a page of questions reports it", Standing.SECONDARY)
AT_ONCE_DAYS = 31
"""Up to a month counts as at once here: the one owner's rule that sets a time gives a month. Our judgement, no
source.
"""
RETEST_RULES: tuple[RetestRule, ...] = (
    RetestRule(D11, "immediate", 2, None, "two welds of each type and position failed, and all must pass", D11_RETEST),
    RetestRule(
        D11, "training", 1, None, "one complete retest, with evidence of further training or practice", D11_RETEST,
    ),
    RetestRule(
        ASME, "immediate", 2, None, "two consecutive specimens for each position failed, and all must pass",
        ASME_RETEST,
    ),
    RetestRule(
        ASME, "training", 1, None, "one new test for each position failed, after further training or practice",
        ASME_RETEST,
    ),
    RetestRule(
        IOWA, "immediate", 2, 1, "two plates of the type and position failed, both must pass, within one month",
        Citation(IOWA_IM_559, "retest", Standing.READ, "From which day the month runs is our reading."),
    ),
)
NO_IMMEDIATE_AGAIN = Fact(
    "retest-d11-requalification", "Retest at once after a failed requalification test, AWS D1.1", None, None,
    Citation(AWS_D11_2000, "clause 4.32.1.4", Standing.SECONDARY, "A discussion quotes the clause of 2004."), "none",
)
BENDS_PER_PLATE = Fact("retest-bends-per-plate", "Bend specimens from each test plate", 2, NUMBER, D11_FROM_MEMORY)
IOWA_NOW = Fact(
    "retest-iowa-now", "Retest in the current issue of the same memorandum", None, None,
    Citation(IOWA_IM_559_NOW, "retest", Standing.READ),
    "retest to AWS D1.5",
)


def retest_rule(rule: str, route: str) -> RetestRule | None:
    """The rule for a retest; None where the document as we hold it has none for this route.

    >>> retest_rule("d1.1", "immediate").welds, retest_rule("d1.1", "training").welds
    (2, 1)
    >>> retest_rule("iowa-dot", "training") is None
    True
    """
    return next((each for each in RETEST_RULES if (each.rule, each.route) == (rule, route)), None)


def work_retest(
    w: Working, *, rule: str, route: str, failed: int, failed_on: datetime.date, retest_on: datetime.date | None,
    after_lapse: str,
) -> None:
    """How many plates a retest takes, and by when where the rule says so.

    Plates N = n k: n welds for each test failed (two at once, one after training), k tests failed; bends N_b = 2 N.
    Calendar months run as `add_months`. Valid for 1 to 8 tests failed. Raises `InputError` for a retest before the
    failed test. A way that the document does not name is not known. Source: the citation of each rule.

    Clause 4.32.1 of 2004, quoted: two welds of each type and position failed, or after training one complete retest.

    >>> [int(RETEST.answer(failed="1", route=route)["plates"].amount) for route in ("immediate", "training")]
    [2, 1]
    """
    if retest_on is not None and retest_on < failed_on:
        raise InputError(
            "retest_on", "Date of the retest",
            f"{retest_on} is before the failed test; write {failed_on} or a later date",
        )
    chosen = retest_rule(rule, route)
    if chosen is None:
        _say_no_route(w, rule, route)
    else:
        latest = _write_retest(w, chosen, failed, failed_on)
        _check_date(w, chosen, failed_on, retest_on, latest)
        _check_requalifying(w, chosen, after_lapse)
    for other in RETEST_RULES:
        if other is not chosen and other.route == route:
            name = f"{other.rule.replace('.', '').replace('-', '_')}_asks"
            w.words(name, f"{RULE_NAMES[other.rule]} would ask", other.wording, source=other.source)
    w.note(
        "who-decides", "Which retest is open to you is for the employer and the inspector to say, not for the welder.",
        source=COMMON,
    )
    w.warn(STUDY_HELP)


def _say_no_route(w: Working, rule: str, route: str) -> None:
    source = next(each.source for each in RETEST_RULES if each.rule == rule)
    w.words("latest_date", "Last day for the retest", "not known", source=source, main=True)
    text = (
        f"{RULE_NAMES[rule]} as we hold it names no retest {ROUTE_WORDS[route]}. Ask the owner which retest is open to "
        "you."
    )
    w.not_known("route", text, source=source)
    w.say(text)


def _write_retest(w: Working, chosen: RetestRule, failed: int, failed_on: datetime.date) -> datetime.date | None:
    """Plates, bends and the last day; returns the last day, None where the rule sets none."""
    count = w.given("failed", "k", failed, NUMBER)
    each = w.given("welds_each", "n", chosen.welds, NUMBER)
    plates = w.let("plates", "Test plates to weld", "N", NUMBER, each * count, source=chosen.source, main=True)
    bends = w.given("bends_per_plate", "b", BENDS_PER_PLATE.amount, NUMBER)
    bends_source = {D11: D11_FROM_MEMORY, ASME: ASME_COUPONS}.get(chosen.rule, COMMON)
    w.let("bend_coupons", "Bend specimens that must pass", "N_b", NUMBER, bends * plates, source=bends_source)
    w.words("rule_in_words", f"What {RULE_NAMES[chosen.rule]} asks", chosen.wording, source=chosen.source)
    latest = add_months(failed_on, chosen.months) if chosen.months else None
    latest_text = str(latest) if latest else "no date in this rule as we hold it"
    w.draw(scales.plates_again(int(plates.amount), int(bends.amount * plates.amount)))
    w.words("latest_date", "Last day for the retest", latest_text, source=chosen.source, main=True)
    by = f" by {latest}" if latest else ""
    noun, all_of_them = ("plate", "it") if plates.amount == 1 else ("plates", "all")
    w.say(
        f"By {RULE_NAMES[chosen.rule]}, a retest {ROUTE_WORDS[chosen.route]} takes {plates.amount} test {noun}{by}, "
        f"and {all_of_them} must pass."
    )
    return latest


def _check_date(
    w: Working, chosen: RetestRule, failed_on: datetime.date, retest_on: datetime.date | None,
    latest: datetime.date | None,
) -> None:
    """The date of the retest against the rule's last day, or against what “at once” and “after training” can mean."""
    if retest_on and latest:
        if retest_on > latest:
            w.stop("retest-date", f"{retest_on} is after {latest}, the last day for this retest.", source=chosen.source)
        else:
            late = _days((latest - retest_on).days)
            w.ok(
                "retest-date", f"{retest_on} is in time: the last day is {latest}, {late} later.", source=chosen.source,
            )
    elif retest_on:
        text = (
            f"This rule as we hold it sets no last day, so {retest_on} is not judged. Ask for the time your owner or "
            f"shop allows."
        )
        days = (retest_on - failed_on).days
        if chosen.route == "training" and not days:
            text += (
                " Evidence of training will be asked for, and there is none between a test and its retest of the same "
                "day."
            )
        elif chosen.route == "immediate" and days > AT_ONCE_DAYS:
            text += f" {_days(days)} after the failed test is not at once, as we read it."
        w.not_known("retest-date", text, source=chosen.source)
    if latest:
        w.note(
            "month", "The month is counted from the failed test to the same day of the next month, or to its last day.",
            source=MONTHS_COUNTED,
        )
        w.caution(
            "edition", f"This is the April 2016 issue. The current issue says: {IOWA_NOW.wording}.",
            source=IOWA_NOW.source,
        )


def _check_requalifying(w: Working, chosen: RetestRule, after_lapse: str) -> None:
    """A retest at once is not open to one who failed the retest that was taken because a qualification had lapsed."""
    if chosen.route != "immediate":
        text = (
            "Keep a written note of the training: what you practiced, how long, who watched. You will be asked for "
            "it."
        )
        w.note("training", text, source=chosen.source)
        return
    text = (
        "A retest at once doubles the plates, and one failure among them fails the retest. Find the cause before "
        "you choose it."
    )
    w.note("doubled", text, source=chosen.source)
    if after_lapse == "yes" and chosen.rule == D11:
        text = (
            "The test that failed was taken because a qualification had lapsed: there is no retest at once after it. "
            "Train "
            "first."
        )
        w.stop("requalification", text, source=NO_IMMEDIATE_AGAIN.source)
    elif after_lapse == "yes":
        text = (
            "Whether this rule allows a retest at once after a failed test to requalify is not held here. Ask the "
            "inspector."
        )
        w.not_known("requalification", text, source=chosen.source)


RETEST = Calculator(
    id="retest",
    title="Retest",
    question="I failed. How many plates does the retest take, and is there a last day?",
    page="after.md",
    work=work_retest,
    main=("rule", "route", "failed"),
    inputs=(
        Choice(
            "rule", "Rule document", (
                Option(D11, "AWS D1.1, structural steel"), Option(ASME, "ASME Section IX"),
                Option(IOWA, "Iowa DOT IM 559, April 2016 (an example of an owner's rule)"),
            ), D11, _RULE_HELP,
            takes="rule_document",
        ),
        Choice(
            "route", "Kind of retest",
            (Option("immediate", "At once"), Option("training", "After more training or practice")), "immediate",
            "Whether you weld again now or train first.",
        ),
        Whole(
            "failed", "Tests failed", "1", 1, 8, "Count each type and position that you failed.", "k",
            common=("1", "2"),
        ),
        Day("failed_on", "Date of the failed test", "2026-03-31", "Year-month-day. Some owners' rules count from it."),
        Day("retest_on", "Date of the retest", "", "If one is planned. May stay blank."),
        Choice(
            "after_lapse", "Failed test was to requalify", (Option("no", "No"), Option("yes", "Yes, after a lapse")),
            "no",
            "Whether the failed test was taken because a qualification had lapsed.",
        ),
    ),
)


# --- continuity --------------------------------------------------------------


@dataclass(frozen=True)
class ContinuityRule:
    """What keeps a qualification current under a document.

    `months` is the longest stretch without the process, None where the document has no such clause. With
    `signed_only`, only uses confirmed by signature count. `ends_after` is the months after which the whole
    qualification runs out, `extend_every` the months after which it is extended on its log. `day_itself`
    says whether a use on the very day that the months are full is still in time.
    """

    rule: str
    months: int | None
    wording: str
    source: Citation
    renew: str
    renew_source: Citation
    signed_only: bool = False
    ends_after: int | None = None
    ends_source: Citation = COMMON
    extend_every: int | None = None
    day_itself: bool = True

    def last_day(self, start: datetime.date) -> datetime.date:
        """The last day for the next use. Only for a rule that has a clause of months."""
        assert self.months is not None, self.rule
        return last_day(start, self.months, day_itself=self.day_itself)

    @property
    def fact(self) -> Fact:
        """The rule as an entry of the register."""
        name = {D11: "d11", ASME: "asme", IOWA: "iowa", ISO: "iso", API: "api"}[self.rule]
        return Fact(
            f"continuity-{name}", f"What keeps a qualification current, {RULE_NAMES[self.rule]}", None, None,
            self.source,
            self.wording,
        )


SIX_MONTHS = Citation(
    TRADE_COLUMN_2011, "", Standing.SECONDARY,
    "It reports AWS D1.3 and D1.5, ASME Section IX and API 1104. Check the code in force.",
)
D11_SIX_MONTHS = Citation(AWS_D11, "clause 4.2.3.1", Standing.READ, _REPRODUCED)
ISO_CONFIRM = Citation(ISO_9606_1, "clause 9.2", Standing.FROM_MEMORY)
ISO_VALID = Citation(ISO_9606_1, "clause 9.3", Standing.FROM_MEMORY)
IOWA_YEAR = Citation(IOWA_IM_559, "continuity", Standing.READ, "Which issue this line stood in was not noted.")
RENEW_D11 = Fact(
    "continuity-renew-d11", "Test that makes a lapsed qualification current again, AWS D1.1", None, None,
    D11_FROM_MEMORY,
    "a test on plate 3/8 in (10 mm) thick",
)
RENEW_ASME = Fact(
    "continuity-renew-asme", "Test that makes a lapsed qualification current again, ASME IX", None, None,
    Citation(ASME_IX, "QW-322.2", Standing.SECONDARY, "Seen in a secondary text."),
    "one test specimen with the process",
)
ISO_RETEST = Fact(
    "continuity-iso-retest", "New test, ISO 9606-1, first option", None, None, ISO_VALID, "a new test every 3 years",
)
ISO_RECORDS = Fact(
    "continuity-iso-records", "Extension by records, ISO 9606-1, second option", None, None, ISO_VALID,
    "every 2 years, on records of tested production welds",
)
ASME_OR_MORE = Fact(
    "continuity-asme-or-more", "Last day of the six months, ASME IX", None, None,
    Citation(
        ASME_IX, "QW-322.1", Standing.FROM_MEMORY,
        "We remember “6 months or more”; a trade column reports “exceeding” 6 months. The more cautious reading is "
        "used.",
    ), "the day before 6 months are full",
)
BY_RECORDS_MONTHS = 24
"""The months of `ISO_RECORDS`."""
NO_CLAUSE_MONTHS = 6
"""After how long without use a rule that has no clause of months still calls for a question: the period of the
others.
"""
ASK = "ask the employer and the inspector"
CONTINUITY_RULES: tuple[ContinuityRule, ...] = (
    ContinuityRule(
        D11, 6,
        "current indefinitely, unless the process was not used for a period exceeding 6 months or there is reason to "
        "question the welder's ability",
        D11_SIX_MONTHS, RENEW_D11.wording, RENEW_D11.source,
    ),
    ContinuityRule(
        ASME, 6,
        "current for each process, unless that process was not used for 6 months or there is reason to question the "
        "welder's ability",
        Citation(ASME_IX, "QW-322.1", Standing.SECONDARY, "Seen in a secondary text."), RENEW_ASME.wording,
        RENEW_ASME.source, day_itself=False,
    ),
    ContinuityRule(
        IOWA, 6, "extended each year on a continuity log without any interruption of more than 6 months", IOWA_YEAR,
        ASK, COMMON, extend_every=12,
    ),
    ContinuityRule(
        ISO, 6,
        "confirmed by signature every 6 months, and revalidated: a new test after 3 years, or another option of the "
        "clause", ISO_CONFIRM,
        "a new test", ISO_VALID, signed_only=True, ends_after=36, ends_source=ISO_VALID,
    ),
    ContinuityRule(API, None, "no clause of 6 months", SIX_MONTHS, ASK, COMMON),
)


def continuity_rule(rule: str) -> ContinuityRule:
    """The continuity rule of that name. Raises `KeyError`.

    >>> continuity_rule("d1.1").months, continuity_rule("api-1104").months
    (6, None)
    """
    for each in CONTINUITY_RULES:
        if each.rule == rule:
            return each
    raise KeyError(f"no continuity rule “{rule}”")


@dataclass(frozen=True)
class Gap:
    """A stretch without the process that was too long: from the last use before it to the next use, or to today."""

    start: datetime.date
    end: datetime.date
    due: datetime.date
    open: bool


def gaps_in(dates: list[datetime.date], today: datetime.date, rule: ContinuityRule) -> list[Gap]:
    """Every stretch between dates, and from the last one to today, that is longer than the rule allows.

    `dates` must hold at least one date, in any order; `rule` must have a clause of months. Raises `ValueError`
    for an empty list.

    >>> uses = [datetime.date(2024, 1, 15), datetime.date(2024, 9, 1)]
    >>> [str(gap.due) for gap in gaps_in(uses, datetime.date(2024, 12, 1), continuity_rule("d1.1"))]
    ['2024-07-15']
    """
    if not dates:
        raise ValueError("dates: the list is empty; give at least 1 date")
    ordered = sorted(set(dates))
    pairs = [(start, end, False) for start, end in pairwise(ordered)] + [(ordered[-1], today, True)]
    return [
        Gap(start, end, rule.last_day(start), is_open) for start, end, is_open in pairs if end > rule.last_day(start)
    ]


def work_continuity(
    w: Working, *, rule: str, qualified_on: datetime.date, uses: tuple[tuple[datetime.date, str], ...],
    today: datetime.date,
    questioned: str, extended_on: datetime.date | None,
) -> None:
    """Whether a qualification is current on a day, and by when the process must be used again.

    A stretch between uses that count, and from the last one to today, may be as long as the rule's months, counted by
    `add_months`; one that was too long stays too long after a later use. A reason to question the welder's ability
    ends it whatever the log says. Raises `InputError` for dates out of order and for a use without its date. Source:
    the citation of each rule; AWS D1.1:2015, clause 4.2.3.1 (read), for “more than six months” and for the reason to
    question.

    >>> def told(today): return CONTINUITY.answer(qualified_on="2025-01-15", uses="", today=today)["status"].wording
    >>> told("2025-07-15"), told("2025-07-16")
    ('current', 'lapsed')
    """
    _refuse_impossible_dates(qualified_on, uses, today)
    chosen = continuity_rule(rule)
    if extended_on is not None and not qualified_on <= extended_on <= today:
        raise InputError("extended_on", "Last yearly extension", f"write a date from {qualified_on} to {today}")
    counted = [day for day, entry in uses if entry == "signed" or not chosen.signed_only]
    dates = sorted({qualified_on, *counted})
    w.words("rule_in_words", f"What {RULE_NAMES[rule]} asks", chosen.wording, source=chosen.source)
    if chosen.months is None:
        _say_no_clause(w, chosen, dates[-1], today, questioned == "yes")
    else:
        _judge_dates(w, chosen, qualified_on, dates, today, questioned == "yes", extended_on)
    if questioned == "yes":
        text = (
            "There is reason to question the welder's ability. The dates alone do not keep it current; a new "
            "test is for the employer and the inspector to say."
        )
        w.stop("questioned", text, source=chosen.source)
    if chosen.signed_only and len(counted) < len(uses):
        text = (
            f"{len(uses) - len(counted)} of {len(uses)} entries carry no signature and do not count here. The "
            f"supervisor, or the examiner, "
            "confirms the use by signing."
        )
        w.caution("unsigned", text, source=chosen.source)
    for other in CONTINUITY_RULES:
        if other is not chosen:
            name = f"{other.rule.replace('.', '').replace('-', '_')}_asks"
            w.words(name, f"{RULE_NAMES[other.rule]} asks", other.wording, source=other.source)
    if chosen.months is not None:
        last = "That day itself is still in time." if chosen.day_itself else "The day before it is the last in time."
        text = f"A gap is counted to the same day of the month, or to the last day of a shorter month. {last}"
        w.note("counting", text, source=MONTHS_COUNTED if chosen.day_itself else ASME_OR_MORE.source)
        w.note(
            "process",
            "It is the process that counts, such as stick welding. Using another process keeps nothing current.",
            source=chosen.source,
        )
    w.warn(STUDY_HELP)


def _refuse_impossible_dates(
    qualified_on: datetime.date, uses: tuple[tuple[datetime.date, str], ...], today: datetime.date,
) -> None:
    if today < qualified_on:
        raise InputError(
            "today", "Today", f"{today} is before the test was passed; write {qualified_on} or a later date",
        )
    for number, (day, _) in enumerate(uses, 1):
        if day is None:
            raise InputError(
                "uses", "Uses of the process",
                f"Use {number}, date: nothing is written; write year-month-day or remove the row",
            )
        if not qualified_on <= day <= today:
            side = "before the test was passed" if day < qualified_on else "after today"
            raise InputError(
                "uses", "Uses of the process",
                f"Use {number}, date: {day} is {side}; write a date from {qualified_on} to {today}",
            )


IN_QUESTION = "in question"


def _say_no_clause(
    w: Working, chosen: ContinuityRule, last: datetime.date, today: datetime.date, questioned: bool,
) -> None:
    standing = IN_QUESTION if questioned else "nothing lapses by this rule alone"
    w.words("status", "Standing today", standing, source=chosen.source, main=True)
    w.words("due_date", "Use the process by", "no date in this rule", source=chosen.source, main=True)
    w.words("last_counted", "Last use that counts", str(last), source=ENTERED)
    w.say(f"{RULE_NAMES[chosen.rule]} has no clause of six months, so no date comes from it.")
    text = "Your employer or the owner of the work may set a time of their own. Ask before you rely on an old test."
    if today > last_day(last, NO_CLAUSE_MONTHS):
        text = (
            f"Not used since {last}: by most documents that is a lapse, and it can be reason to question the ability. "
            f"{text}"
        )
        w.caution("owner", text, source=chosen.source)
    else:
        w.note("owner", text, source=chosen.source)


def _judge_dates(
    w: Working, chosen: ContinuityRule, qualified_on: datetime.date, dates: list[datetime.date], today: datetime.date,
    questioned: bool,
    extended_on: datetime.date | None,
) -> None:
    gaps = gaps_in(dates, today, chosen)
    due = chosen.last_day(dates[-1])
    ends = add_months(qualified_on, chosen.ends_after) if chosen.ends_after else None
    run_out = ends is not None and today > ends
    current = not gaps and not run_out
    w.draw(scales.timeline(w, dates, [chosen.last_day(day) for day in dates], today, current))
    standing = "lapsed" if not current else IN_QUESTION if questioned else "current"
    w.words("status", "Standing today", standing, source=chosen.source, main=True)
    if current:
        _write_due(w, chosen, due, ends, today, standing)
    else:
        lapsed = min([gap.due for gap in gaps] + ([ends] if run_out else [])) + datetime.timedelta(days=1)
        _write_lapse(w, chosen, lapsed)
    w.value("gaps", "Gaps that were too long", len(gaps), NUMBER, source=chosen.source)
    for number, gap in enumerate(gaps, 1):
        until = "today, " if gap.open else ""
        text = (
            f"From {gap.start} to {until}{gap.end} is too long: {_days((gap.end - gap.due).days)} past {gap.due}, the "
            f"last day in time."
        )
        w.stop("open-gap" if gap.open else f"gap-{number}", text, source=chosen.source)
    stretch = max(pairwise([*dates, today]), key=lambda pair: pair[1] - pair[0])
    w.words(
        "longest", "Longest gap", f"{stretch[0]} to {stretch[1]}, {_days((stretch[1] - stretch[0]).days)}",
        source=ENTERED,
    )
    w.words("last_counted", "Last use that counts", str(dates[-1]), source=ENTERED)
    if ends is not None:
        _write_end(w, chosen, qualified_on, ends, today)
    if chosen.extend_every and current:
        _write_extension(w, chosen, qualified_on, extended_on, today)


def _write_lapse(w: Working, chosen: ContinuityRule, lapsed: datetime.date) -> None:
    w.words("lapsed_on", "First day without a current qualification", str(lapsed), source=chosen.source, main=True)
    w.words("renewal", "What makes it current again", chosen.renew, source=chosen.renew_source)
    w.say(f"By {RULE_NAMES[chosen.rule]}, lapsed since {lapsed}. To make it current again: {chosen.renew}.")
    text = (
        "A use after the lapse does not make the qualification current again. Do not weld code work on it until you "
        "have "
        "requalified."
    )
    w.stop("after-lapse", text, source=chosen.source)


def _write_extension(
    w: Working, chosen: ContinuityRule, qualified_on: datetime.date, extended_on: datetime.date | None,
    today: datetime.date,
) -> None:
    """The yearly extension on the log: in time, overdue, or not known where a year is over and none is entered."""
    every = chosen.extend_every
    assert every is not None
    w.words(
        "extension_date", "Next yearly extension", str(_next_turn(extended_on or qualified_on, today, every)),
        source=chosen.source,
    )
    text = "The year is counted from the date you wrote. Where a list of the owner gives a date, go by that."
    w.note("test-date", text, source=chosen.source)
    runs_to = add_months(extended_on or qualified_on, every)
    if today <= runs_to:
        w.ok("extension", f"The year runs to {runs_to}.", source=chosen.source)
    elif extended_on is None:
        text = (
            f"The first year ended on {runs_to}, and no extension is entered. Ask for the list of the owner, and "
            f"write the date of the last one."
        )
        w.not_known("extension", text, source=chosen.source)
    else:
        w.stop(
            "extension", f"The extension of {extended_on} ran to {runs_to}. Without the next one it has lapsed.",
            source=chosen.source,
        )


def _write_due(
    w: Working, chosen: ContinuityRule, due: datetime.date, ends: datetime.date | None, today: datetime.date,
    standing: str,
) -> None:
    """What must happen next and by when: a use, or a new test where the whole qualification runs out first."""
    label, what = ("Use and signature needed by", "use the process and have it signed") if chosen.signed_only else (
        "Use the process by", "use the process",
    )
    if ends is not None and ends <= due:
        label, what, due = "New test needed by", "pass a new test", ends
    w.words("due_date", label, str(due), source=chosen.source, main=True)
    w.value("days_left", "Days from today to that day", (due - today).days, NUMBER, source=ENTERED, main=True, digits=5)
    w.say(f"By {RULE_NAMES[chosen.rule]}, {standing} on {today}. Next: {what} on or before {due}.")
    w.ok(
        "continuity",
        f"No gap without the process up to {today} is longer than the {chosen.months} months that the rule allows.",
        source=chosen.source,
    )
    if (due - today).days <= DAYS_TO_WARN:
        w.caution(
            "days-left",
            f"Days left: {(due - today).days}. Arrange the work now, and write it in the log on the same day.",
            source=chosen.source,
        )


def _write_end(
    w: Working, chosen: ContinuityRule, qualified_on: datetime.date, ends: datetime.date, today: datetime.date,
) -> None:
    """When the whole qualification runs out, by the first option of the clause; the second one comes a year before."""
    w.words("revalidation_date", "New test due, first option", str(ends), source=chosen.ends_source, main=True)
    w.words("revalidation_other", "Second option instead", ISO_RECORDS.wording, source=ISO_RECORDS.source)
    by_records = add_months(qualified_on, BY_RECORDS_MONTHS)
    if today > ends:
        w.stop(
            "term", f"The three years ended on {ends}. Under the first option of the clause a new test is due.",
            source=chosen.ends_source,
        )
    elif today > by_records:
        text = (
            f"Two years ended on {by_records}, three end on {ends}. By which option of the clause your certificate "
            f"goes is not known here: "
            "ask the examining body."
        )
        w.not_known("term", text, source=chosen.ends_source)
    else:
        text = (
            f"Signatures alone do not extend it past {ends}. Ask now which option of the clause your certificate "
            f"names."
        )
        w.caution("term", text, source=chosen.ends_source)


def _next_turn(start: datetime.date, today: datetime.date, every: int) -> datetime.date:
    """The first whole turn of `every` months after `start` that is not before `today`."""
    turns = 1
    while add_months(start, turns * every) < today:
        turns += 1
    return add_months(start, turns * every)


CONTINUITY = Calculator(
    id="continuity",
    title="Continuity",
    question="Is my qualification still current, and by when must I use the process again?",
    page="after.md",
    work=work_continuity,
    main=("rule", "uses", "today"),
    inputs=(
        Choice(
            "rule", "Rule document", (
                Option(D11, "AWS D1.1, structural steel"), Option(ASME, "ASME Section IX"), Option(ISO, "ISO 9606-1"),
                Option(IOWA, "Iowa DOT IM 559, April 2016 (an example of an owner's rule)"),
                Option(API, "API 1104, pipelines"),
            ), D11, _RULE_HELP,
            takes="rule_document",
        ),
        Day(
            "qualified_on", "Date the test was passed", "2025-08-31",
            "Year-month-day, from the record. After a lapse, the date of the new test.",
        ),
        Rows(
            "uses", "Uses of the process", (
                Day("used_on", "Date", "", "Year-month-day, from the log."),
                Choice(
                    "entry", "Entry",
                    (Option("used", "Used"), Option("signed", "Used, and signed by supervisor or examiner")), "used",
                    "ISO 9606-1 counts signed entries only.",
                ),
            ),
            "2025-11-14 | used\n2026-02-27 | signed",
            "One row a date. Any order will do. The dates shown are invented.", "Use", fewest=0, most=40,
        ),
        Day("today", "Today", "2026-03-31", "The day you ask for. Enter today's date."),
        Choice(
            "questioned", "Reason to question the ability", (Option("no", "No"), Option("yes", "Yes")), "no",
            "Such as welds that were rejected, or a supervisor's doubt.",
        ),
        Day(
            "extended_on", "Last yearly extension", "",
            "Only an owner's rule with a yearly extension asks for it. May stay blank.",
        ),
    ),
)

FACTS = (
    LEAST, LIMITED_PLATE, LIMITED_MOST, UNLIMITED_PLATE, NOMINAL, ASME_UNLIMITED_DEPOSIT, ASME_LAYERS, ISO_LEAST,
    ISO_UNLIMITED_DEPOSIT,
    RADIOGRAPHY, PIPE_FROM_PLATE, PUBLIC_LAW_PLATE, SHIP_SUPPLEMENT, BACKING_MATTERS, DIRECTION_MATTERS,
    WHO_ANSWERS, EARLIER_TEST, RECORD_KEPT,
    *(row.fact for row in RANGE_ROWS), *(row.fact for row in COUPON_ROWS), *(row.fact for row in POSITION_ROWS),
    OVERHEAD_WIDER,
    MONTH_RULE, *(each.fact for each in RETEST_RULES), BENDS_PER_PLATE, NO_IMMEDIATE_AGAIN, IOWA_NOW,
    ASME_OR_MORE, RENEW_D11, RENEW_ASME, ISO_RETEST, ISO_RECORDS, *(each.fact for each in CONTINUITY_RULES),
)
