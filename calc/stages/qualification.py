"""What a plate test qualifies, what a retest asks, and what keeps a qualification alive.

Stages: start and after. The rules of each document are rows of data, chosen by
name: AWS D1.1, ASME Section IX, ISO 9606-1, a state road department, API 1104.
Most are held from memory; each row says so. Dates are counted in calendar months.
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
    AWS_D11,
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
from calc.show.scales import covered as draw_covered, timeline as draw_timeline
from calc.show.sliders import THICKNESS

D11, ASME, ISO, IOWA, API = "d1.1", "asme-ix", "iso-9606-1", "iowa-dot", "api-1104"
RULE_NAMES = {D11: "AWS D1.1", ASME: "ASME IX", ISO: "ISO 9606-1", IOWA: "Iowa DOT IM 559", API: "API 1104"}

STUDY_HELP = "This is study help, not a certification; the verdict belongs to a qualified inspector and the code in force."


# --- thickness and coupons ---------------------------------------------------

D11_TABLE = "Table 4.11 (Table 6.11 in 2020)"
D11_RANGE_REPORTED = Citation(
    AWS_D11, D11_TABLE, Standing.SECONDARY, "Seen in a secondary text that reports AWS D1.1, not in the code.",
)
D11_FROM_MEMORY = Citation(AWS_D11, D11_TABLE, Standing.FROM_MEMORY)
D11_POSITIONS = Citation(AWS_D11, "Table 4.10", Standing.FROM_MEMORY)
D11_ESSENTIALS = Citation(AWS_D11, "essential variables of welder qualification", Standing.FROM_MEMORY)
ASME_RANGE = Citation(ASME_IX, "QW-452.1(b)", Standing.FROM_MEMORY)
ASME_COUPONS = Citation(ASME_IX, "QW-452.1(a)", Standing.FROM_MEMORY)
ASME_POSITIONS = Citation(
    ASME_IX, "QW-461.9", Standing.FROM_MEMORY, "The fillet column is narrowed to what we are sure of.",
)
ISO_RANGE = Citation(ISO_9606_1, "Table 6", Standing.FROM_MEMORY)
ISO_COUPONS = Citation(
    ISO_9606_1, "examination and testing", Standing.FROM_MEMORY,
    "We hold the kind of coupon only. The examiner gives the number, and may choose radiography or a break test.",
)
ISO_POSITIONS = Citation(
    ISO_9606_1, "Table 9, butt welds", Standing.FROM_MEMORY, "Held without a second text; check it with your examiner.",
)
POSITION_CONFLICT = Citation(
    None, "A secondary text that reports AWS D1.1", Standing.SECONDARY, "It gives one position more than our memory of Table 4.10.",
)

LEAST = Fact("qualify-least", "Thinnest work that a plate test qualifies, AWS D1.1", parse("1/8 in", LENGTH), LENGTH, D11_RANGE_REPORTED)
LIMITED_PLATE = Fact("qualify-limited-plate", "Plate of the limited-thickness test, AWS D1.1", parse("3/8 in", LENGTH), LENGTH, D11_RANGE_REPORTED)
LIMITED_MOST = Fact(
    "qualify-limited-most", "Thickest work that a 3/8 in (10 mm) plate qualifies, AWS D1.1", parse("3/4 in", LENGTH), LENGTH, D11_RANGE_REPORTED,
)
UNLIMITED_PLATE = Fact(
    "qualify-unlimited-plate", "Thinnest plate of the unlimited-thickness test, AWS D1.1", parse("1 in", LENGTH), LENGTH, D11_RANGE_REPORTED,
)
NOMINAL = Fact(
    "qualify-nominal-sizes", "Metric sizes that count as the inch sizes, AWS D1.1", None, None,
    Citation(AWS_D11, f"metric column of {D11_TABLE}", Standing.FROM_MEMORY, "That 9.5 mm counts as 3/8 in too is our reading."),
    "9.5 mm or 10 mm as 3/8 in; 25 mm as 1 in",
)
ASME_UNLIMITED_DEPOSIT = Fact(
    "qualify-asme-unlimited-deposit", "Least deposit that qualifies without upper limit, ASME IX", parse("1/2 in", LENGTH), LENGTH, ASME_RANGE,
)
ASME_LAYERS = Fact("qualify-asme-layers", "Least layers for that, ASME IX", 3, NUMBER, ASME_RANGE)
ISO_LEAST = Fact("qualify-iso-least", "Thinnest work, ISO 9606-1", parse("3 mm", LENGTH), LENGTH, ISO_RANGE)
ISO_UNLIMITED_DEPOSIT = Fact(
    "qualify-iso-unlimited-deposit", "Least deposit that qualifies without upper limit, ISO 9606-1", parse("12 mm", LENGTH), LENGTH, ISO_RANGE,
)
RADIOGRAPHY = Fact(
    "qualify-radiography", "What may stand in for the bends, AWS D1.1", None, None, D11_FROM_MEMORY, "radiographic testing of the plate",
)
PIPE_FROM_PLATE = Fact(
    "qualify-pipe-from-plate", "Pipe that a plate test covers, AWS D1.1: only over this outside diameter, with backing or backgouged",
    parse("24 in", LENGTH), LENGTH, Citation(AWS_D11, "Table 4.10, notes", Standing.FROM_MEMORY, "We are less sure of this one."),
)
PUBLIC_LAW_PLATE = Fact(
    "qualify-public-law-plate", "A plate test written into public law", None, None, Citation(DC_12_E1019, "", Standing.READ),
    "plates 3/8 in (9.5 mm) thick, 5 × 6 in (127 × 152 mm), single V",
)
SHIP_SUPPLEMENT = Fact(
    "qualify-ship-supplement", "Rule that adds to ASME IX on ships under US law", None, None, Citation(CFR_46_57, "", Standing.READ),
    "adds to ASME Section IX, Performance Qualifications",
)
BACKING_MATTERS = Fact(
    "qualify-backing-matters", "A test on backing and work without it", None, None, D11_ESSENTIALS,
    "a test on backing does not qualify a groove welded from one side without backing",
)
WHO_ANSWERS = Fact(
    "qualify-who-answers", "Who answers for the qualification of welders, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, responsibility", Standing.FROM_MEMORY), "the contractor, that is the firm that does the welding",
)
EARLIER_TEST = Fact(
    "qualify-earlier-test", "Who may accept a test taken for another firm, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, earlier qualification", Standing.FROM_MEMORY), "the engineer who answers for the structure",
)
RECORD_KEPT = Fact(
    "qualify-record-kept", "Who keeps the test records, AWS D1.1", None, None,
    Citation(AWS_D11, "clause 4, records", Standing.FROM_MEMORY), "the contractor, who shows them to those authorized to see them",
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
            f"qualify-{self.id}", f"Thickness of work qualified, {RULE_NAMES[self.rule]}, {self.plates}", None, None, self.source, self.wording,
        )


RANGE_ROWS: tuple[RangeRow, ...] = (
    RangeRow(
        D11, "d11-unlimited", "25 mm", False, 0, "1/8 in", "unlimited", "plate 1 in (25 mm) or more", "1/8 in (3 mm) and more, without upper limit",
        D11_RANGE_REPORTED,
    ),
    RangeRow(
        D11, "d11-middle", "10 mm", True, 0, "1/8 in", "twice", "plate over 3/8 in (10 mm) and under 1 in (25 mm)",
        "1/8 in (3 mm) to twice the plate", D11_FROM_MEMORY,
    ),
    RangeRow(
        D11, "d11-limited", "9.5 mm", False, 0, "1/8 in", "3/4 in", "plate 3/8 in (10 mm)", "1/8 in (3 mm) to 3/4 in (20 mm)", D11_RANGE_REPORTED,
    ),
    RangeRow(
        ASME, "asme-unlimited", "1/2 in", False, 3, None, "unlimited", "deposit 1/2 in (13 mm) or more in 3 layers or more", "without upper limit",
        ASME_RANGE,
    ),
    RangeRow(ASME, "asme-twice", "0 in", True, 0, None, "twice", "any other deposit", "up to twice the deposit", ASME_RANGE),
    RangeRow(ISO, "iso-unlimited", "12 mm", False, 0, "3 mm", "unlimited", "deposit 12 mm or more", "3 mm and more, without upper limit", ISO_RANGE),
    RangeRow(ISO, "iso-twice", "3 mm", False, 0, "3 mm", "twice", "deposit 3 mm to under 12 mm", "3 mm to twice the deposit", ISO_RANGE),
)
"""Thickest row of a rule first: the first that holds is the one."""


@dataclass(frozen=True)
class CouponRow:
    """Which bend coupons are cut from a plate from this thickness on."""

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
            f"qualify-coupons-{self.id}", f"Coupons from a plate, {RULE_NAMES[self.rule]}, {self.plates}", None, None, self.source, self.coupons,
        )


FACE_AND_ROOT, TWO_SIDE = "1 face bend and 1 root bend", "2 side bends"
COUPON_ROWS: tuple[CouponRow, ...] = (
    CouponRow(D11, "d11-thick", "10 mm", True, TWO_SIDE, "over 3/8 in (10 mm)", D11_FROM_MEMORY),
    CouponRow(D11, "d11-thin", "9.5 mm", False, FACE_AND_ROOT, "3/8 in (10 mm)", D11_FROM_MEMORY),
    CouponRow(ASME, "asme-thick", "3/4 in", False, TWO_SIDE, "3/4 in (19 mm) or more", ASME_COUPONS),
    CouponRow(ASME, "asme-middle", "3/8 in", False, f"{FACE_AND_ROOT}, or {TWO_SIDE} in their place", "3/8 in (10 mm) to under 3/4 in (19 mm)", ASME_COUPONS),
    CouponRow(ASME, "asme-thin", "0 in", True, FACE_AND_ROOT, "under 3/8 in (10 mm)", ASME_COUPONS),
    CouponRow(ISO, "iso-thick", "12 mm", False, "side bends (ask the examiner how many)", "12 mm or more", ISO_COUPONS),
    CouponRow(ISO, "iso-thin", "0 in", True, "face and root bends (ask the examiner how many)", "under 12 mm", ISO_COUPONS),
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
    """The row that says which bend coupons a plate of this thickness (m) gives; None where the rule has no row.

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
            f"qualify-positions-{name}-{self.test.lower()}", f"Positions qualified by {self.test}, {RULE_NAMES[self.rule]}", None, None,
            self.source, f"groove welds: {positions_in_words(self.groove)}; fillet welds: {positions_in_words(self.fillet)}",
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
    "qualify-positions-d11-4g-wider", "Groove positions of 4G as one secondary text gives them, AWS D1.1", None, None, POSITION_CONFLICT,
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


def _plan(
    w: Working, *, thickness: Fraction, position: str, rule: str, layers: int | None, work_thickness: Fraction,
    work_position: str, weld: str,
) -> None:
    spans, cut = range_row(rule, thickness, layers), coupon_row(rule, thickness)
    if spans is None:
        raise InputError(
            "thickness", "Test plate thickness",
            f"the {RULE_NAMES[rule]} table as we hold it has no row under 3/8 in (9.5 mm); write 3/8 in (9.5 mm) or more, "
            "or choose another rule",
        )
    groove, fillet = positions_qualified(rule, position)
    T = w.given("thickness", "T", thickness, LENGTH)
    work = w.given("work_thickness", "W", work_thickness, LENGTH)
    w.words("coupons", "Coupons to bend, each test plate", cut.coupons, source=cut.source, main=True)
    high = _write_range(w, spans, T)
    w.words("groove_positions", "Groove welds: positions qualified", positions_in_words(groove), source=_POSITION_SOURCE[rule], main=True)
    w.words("fillet_positions", "Fillet welds: positions qualified", positions_in_words(fillet), source=_POSITION_SOURCE[rule], main=True)
    if rule == D11 and position == "4G":
        w.words("groove_positions_wider", "Groove positions of 4G in a secondary text", OVERHEAD_WIDER.wording, source=OVERHEAD_WIDER.source)
    _write_plate_for(w, rule, work)
    w.words(
        "test_for_position", f"Tests that qualify {POSITION_WORDS[work_position]} {weld} welds", _tests_for(rule, work_position, weld),
        source=_POSITION_SOURCE[rule],
    )
    for other in PLAN_RULES:
        if other != rule:
            _write_other(w, other, thickness, position, layers)

    low = None if spans.low is None else float(parse(spans.low, LENGTH))
    w.draw(draw_covered(w, low, None if high is None else float(high)))
    _say_plan(w, rule, spans, position, groove)
    _check_work(w, spans, high, work_thickness, weld)
    _check_position(w, rule, groove if weld == "groove" else fillet, work_position, weld)
    _check_reading(w, rule, thickness, position, layers, weld)
    w.warn("Your written procedure and the code named on it decide the plate, the coupons and the range. Read them before you strike an arc.")
    w.warn(STUDY_HELP)


def _write_range(w: Working, row: RangeRow, plate) -> Fraction | None:
    """The rows for the thickness qualified; returns the upper end, None where there is none."""
    if row.low is None:
        w.words("qualified_low", "Thinnest work qualified", "no lower limit in the table as we hold it", source=row.source)
    else:
        w.value("qualified_low", "Thinnest work qualified", parse(row.low, LENGTH), LENGTH, source=row.source, main=True, as_fraction=True)
    if row.high == "unlimited":
        w.words("qualified_high", "Thickest work qualified", "unlimited", source=row.source, main=True)
        high = None
    elif row.high == "twice":
        high = w.let(
            "qualified_high", "Thickest work qualified", "T_max", LENGTH, 2 * plate, source=row.source, main=True, as_fraction=True,
        ).amount
    else:
        high = parse(row.high, LENGTH)
        w.value("qualified_high", "Thickest work qualified", high, LENGTH, source=row.source, main=True, as_fraction=True)
    if row.rule == D11:
        kind = "unlimited thickness" if row.high == "unlimited" else "limited thickness"
        w.words("kind_of_test", "Kind of test", kind, source=row.source)
    return high


def _write_plate_for(w: Working, rule: str, work) -> None:
    """The thinnest test plate whose range takes in the work."""
    label = "Thinnest test plate that covers your work"
    low = {D11: LEAST, ISO: ISO_LEAST}.get(rule)
    if low is not None and work.amount < low.amount:
        w.words("plate_for_work", label, "none: the work is thinner than this rule's plate tests reach", source=low.source, main=True)
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
        w.words(f"{key}_high", f"By {name}, thickest work", "no row for this plate", source=D11_FROM_MEMORY)
        return
    if spans.high == "unlimited":
        w.words(f"{key}_high", f"By {name}, thickest work", "unlimited", source=spans.source)
    else:
        high = 2 * thickness if spans.high == "twice" else parse(spans.high, LENGTH)
        w.value(f"{key}_high", f"By {name}, thickest work", high, LENGTH, source=spans.source, as_fraction=True)
    groove, fillet = positions_qualified(rule, position)
    w.words(f"{key}_coupons", f"By {name}, coupons", cut.coupons, source=cut.source)
    w.words(
        f"{key}_positions", f"By {name}, positions", f"groove: {positions_in_words(groove)}; fillet: {positions_in_words(fillet)}",
        source=_POSITION_SOURCE[rule],
    )


def _say_plan(w: Working, rule: str, spans: RangeRow, position: str, groove: tuple[str, ...]) -> None:
    tests = "3G and 4G" if position == BOTH_TESTS else position
    if spans.high == "unlimited":
        reach = "from {qualified_low} up, without upper limit" if spans.low else "without upper limit"
    else:
        reach = "from {qualified_low} to {qualified_high}" if spans.low else "up to {qualified_high}"
    w.say(
        f"By {RULE_NAMES[rule]}, a test plate of {{thickness}} in {tests} gives {{coupons}}. A pass qualifies groove welds "
        f"in work {reach}, {positions_in_words(groove)}."
    )


def _check_work(w: Working, spans: RangeRow, high: Fraction | None, work: Fraction, weld: str) -> None:
    if weld == "fillet":
        w.not_known("thickness", "The thickness range above is for groove welds. Ask which fillet sizes and thicknesses the test covers.", source=ENTERED)
        return
    if spans.low is not None and work < parse(spans.low, LENGTH):
        w.stop("thickness-low", "Work of {work_thickness} is thinner than the {qualified_low} this test reaches down to.", source=spans.source)
    elif high is not None and work > high:
        w.stop("thickness-high", "Work of {work_thickness} is thicker than the {qualified_high} this test qualifies.", source=spans.source)
    else:
        w.ok("thickness", "Work of {work_thickness} is inside the thickness this test qualifies.", source=spans.source)


def _check_position(w: Working, rule: str, covered: tuple[str, ...], wanted: str, weld: str) -> None:
    name = POSITION_WORDS[wanted]
    if wanted in covered:
        w.ok("position", f"This test qualifies {name} {weld} welds.", source=_POSITION_SOURCE[rule])
    else:
        w.stop("position", f"This test does not qualify {name} {weld} welds. Tests that do: {{test_for_position}}.", source=_POSITION_SOURCE[rule])


def _check_reading(w: Working, rule: str, thickness: Fraction, position: str, layers: int | None, weld: str) -> None:
    """What a reader must know beside the tables: conflicts, rounded sizes, backing, direction, pipe."""
    if rule == D11 and position == "4G":
        w.caution("four-g", "Documents differ on 4G: our memory of AWS D1.1 gives flat and overhead grooves, one secondary text adds horizontal. "
            "The narrower reading is shown; check the code in force.", source=POSITION_CONFLICT,
        )
    plate_sizes = (LIMITED_PLATE.amount, UNLIMITED_PLATE.amount)
    if rule == D11 and thickness not in plate_sizes and (
        parse("9.5 mm", LENGTH) <= thickness <= parse("10 mm", LENGTH) or parse("25 mm", LENGTH) <= thickness < plate_sizes[1]
    ):
        w.note("nominal", "{thickness} is taken as the nominal size: 9.5 mm or 10 mm count as 3/8 in, and 25 mm as 1 in.", source=NOMINAL.source)
    if rule == ASME and thickness >= ASME_UNLIMITED_DEPOSIT.amount and layers is None:
        w.note("layers", "With three layers or more the range has no upper limit. Write the layers to see it.", source=ASME_RANGE)
    w.note("backing", "A test on backing does not qualify a groove welded from one side without backing.", source=BACKING_MATTERS.source,
    )
    if position in ("3G", BOTH_TESTS):
        w.note("direction", "Vertical up and vertical down are two qualifications. You qualify in the direction you weld.", source=DIRECTION_MATTERS.source)
    if rule == D11 and weld == "groove":
        w.mention("pipe", PIPE_FROM_PLATE)
        w.note("pipe", "A plate test covers groove welds in pipe only over {pipe} outside diameter, with backing or backgouged.", source=PIPE_FROM_PLATE.source)


_RULE_HELP = "The document your test is held under. Documents differ; the others are shown beside it."
TEST_PLAN = Calculator(
    id="test-plan",
    title="Test plan",
    question="What does this test plate give me: which coupons, and which thickness and position of work?",
    page="start.md",
    work=_plan,
    inputs=(
        Quantity(
            "thickness", "Test plate thickness", LENGTH, "3/8 in", "1/8 in", "4 in",
            "Of the plate you weld for the test. For ASME IX and ISO 9606-1, of the weld metal laid down.", "T",
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
        ),
        Whole("layers", "Layers of weld metal", "", 1, 60, "Counts under ASME IX only. May stay blank.", common=("3", "5", "8")),
        Quantity(
            "work_thickness", "Thickness of the work you want to weld", LENGTH, "1/2 in", "1/16 in", "12 in",
            "The thickest part you expect on the job.", "W", common=("1/2 in", "3/4 in", "1 in", "2 in"),
        ),
        Choice(
            "work_position", "Position of the work", tuple(Option(key, word) for key, word in POSITION_WORDS.items()), "V",
            "How the joint lies on the job.",
        ),
        Choice("weld", "Weld on the job", (Option("groove", "Groove weld"), Option("fillet", "Fillet weld")), "groove", "What you will be asked to weld."),
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
        return Fact(f"retest-{name}-{self.route}", f"Retest, {RULE_NAMES[self.rule]}, {ROUTE_WORDS[self.route]}", None, None, self.source, self.wording)


ROUTE_WORDS = {"immediate": "at once", "training": "after more training"}
D11_RETEST = Citation(AWS_D11, "clause 4.25 (4.33 in other editions)", Standing.FROM_MEMORY)
RETEST_RULES: tuple[RetestRule, ...] = (
    RetestRule(D11, "immediate", 2, None, "two welds of each type and position failed, and all must pass", D11_RETEST),
    RetestRule(D11, "training", 1, None, "one complete retest, with evidence of further training or practice", D11_RETEST),
    RetestRule(
        ASME, "immediate", 2, None, "two consecutive coupons for each position failed, and all must pass",
        Citation(ASME_IX, "QW-321.2", Standing.FROM_MEMORY),
    ),
    RetestRule(
        ASME, "training", 1, None, "one new test for each position failed, after further training or practice",
        Citation(ASME_IX, "QW-321.3", Standing.FROM_MEMORY),
    ),
    RetestRule(
        IOWA, "immediate", 2, 1, "two plates of the type and position failed, both must pass, within one month",
        Citation(IOWA_IM_559, "retest", Standing.READ, "From which day the month runs is our reading."),
    ),
)
BENDS_PER_PLATE = Fact("retest-bends-per-plate", "Bend coupons from each test plate", 2, NUMBER, D11_FROM_MEMORY)
IOWA_NOW = Fact(
    "retest-iowa-now", "Retest in the current issue of the same memorandum", None, None, Citation(IOWA_IM_559_NOW, "retest", Standing.READ),
    "retest to AWS D1.5",
)


def retest_rule(rule: str, route: str) -> RetestRule:
    """The rule for a retest. Raises `InputError` where the document as we hold it has none for this route.

    >>> retest_rule("d1.1", "immediate").welds, retest_rule("d1.1", "training").welds
    (2, 1)
    """
    for each in RETEST_RULES:
        if (each.rule, each.route) == (rule, route):
            return each
    raise InputError(
        "route", "Way to the retest", f"{RULE_NAMES[rule]} as we hold it says nothing of a retest {ROUTE_WORDS[route]}; choose immediate",
    )


def _retest(
    w: Working, *, rule: str, route: str, failed: int, failed_on: datetime.date, retest_on: datetime.date | None,
) -> None:
    chosen = retest_rule(rule, route)
    if retest_on is not None and retest_on < failed_on:
        raise InputError("retest_on", "Date of the retest", f"{retest_on} is before the failed test; write {failed_on} or a later date")
    count = w.given("failed", "k", failed, NUMBER)
    each = w.given("welds_each", "n", chosen.welds, NUMBER)
    plates = w.let("plates", "Test plates to weld", "N", NUMBER, each * count, source=chosen.source, main=True)
    bends = w.given("bends_per_plate", "b", BENDS_PER_PLATE.amount, NUMBER)
    bends_source = {D11: D11_FROM_MEMORY, ASME: ASME_COUPONS}.get(rule, COMMON)
    w.let("bend_coupons", "Bend coupons that must pass", "N_b", NUMBER, bends * plates, source=bends_source)
    w.words("rule_in_words", f"What {RULE_NAMES[rule]} asks", chosen.wording, source=chosen.source)
    latest = add_months(failed_on, chosen.months) if chosen.months else None
    latest_text = str(latest) if latest else "no date in this rule as we hold it"
    w.words("latest_date", "Last day for the retest", latest_text, source=chosen.source, main=True)
    for other in RETEST_RULES:
        if other is not chosen and other.route == route:
            w.words(f"{other.rule.replace('.', '').replace('-', '_')}_asks", f"{RULE_NAMES[other.rule]} would ask", other.wording, source=other.source)

    by = f" by {latest}" if latest else ""
    noun = "plate" if plates.amount == 1 else "plates"
    w.say(f"By {RULE_NAMES[rule]}, a retest {ROUTE_WORDS[route]} takes {plates.amount} test {noun}{by}, and {'it' if plates.amount == 1 else 'all'} must pass.")
    if retest_on and latest is None:
        w.not_known("retest-date", f"This rule as we hold it sets no last day, so {retest_on} is not judged. Ask for the time your owner or shop allows.", source=chosen.source)
    if latest and retest_on:
        if retest_on > latest:
            w.stop("retest-date", f"{retest_on} is after {latest}, the last day for this retest.", source=chosen.source)
        else:
            w.ok("retest-date", f"{retest_on} is in time: the last day is {latest}, {_days((latest - retest_on).days)} later.", source=chosen.source)
    if latest:
        w.note("month", "The month is counted from the failed test to the same day of the next month, or to its last day.", source=MONTHS_COUNTED)
        w.caution("edition", f"This is the April 2016 issue. The current issue says: {IOWA_NOW.wording}.", source=IOWA_NOW.source)
    if route == "immediate":
        w.note("doubled", "Going again at once doubles the plates, and one failure among them fails the retest. Find the cause before you choose it.", source=chosen.source)
    else:
        w.note("training", "Keep a written note of the training: what you practiced, how long, who watched. You will be asked for it.", source=chosen.source)
    w.note("who-decides", "Which way is open to you is for the employer and the inspector to say, not for the welder.", source=COMMON)
    w.warn(STUDY_HELP)


RETEST = Calculator(
    id="retest",
    title="Retest",
    question="I failed. How many plates does the retest take, and is there a last day?",
    page="after.md",
    work=_retest,
    inputs=(
        Choice(
            "rule", "Rule document", (
                Option(D11, "AWS D1.1, structural steel"), Option(ASME, "ASME Section IX"),
                Option(IOWA, "Iowa DOT IM 559, April 2016 (an example of an owner's rule)"),
            ), D11, _RULE_HELP,
        ),
        Choice(
            "route", "Way to the retest", (Option("immediate", "At once"), Option("training", "After more training or practice")), "immediate",
            "Whether you weld again now or train first.",
        ),
        Whole("failed", "Tests failed", "1", 1, 8, "Count each type and position you failed.", "k", common=("1", "2")),
        Day("failed_on", "Date of the failed test", "2026-03-31", "Year-month-day. Some owners' rules count from it."),
        Day("retest_on", "Date of the retest", "", "If one is planned. May stay blank."),
    ),
)


# --- continuity --------------------------------------------------------------


@dataclass(frozen=True)
class ContinuityRule:
    """What keeps a qualification alive under a document.

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
        return Fact(f"continuity-{name}", f"What keeps a qualification alive, {RULE_NAMES[self.rule]}", None, None, self.source, self.wording)


SIX_MONTHS = Citation(
    TRADE_COLUMN_2011, "", Standing.SECONDARY, "It reports AWS D1.1, D1.3 and D1.5, ASME Section IX and API 1104. Check the code in force.",
)
ISO_CONFIRM = Citation(ISO_9606_1, "clause 9.2", Standing.FROM_MEMORY)
ISO_VALID = Citation(ISO_9606_1, "clause 9.3", Standing.FROM_MEMORY)
IOWA_YEAR = Citation(IOWA_IM_559, "continuity", Standing.READ, "Which issue this line stood in was not noted.")
RENEW_D11 = Fact(
    "continuity-renew-d11", "Test that brings a lapsed qualification back, AWS D1.1", None, None, D11_FROM_MEMORY, "a test on plate 3/8 in (10 mm) thick",
)
RENEW_ASME = Fact(
    "continuity-renew-asme", "Test that brings a lapsed qualification back, ASME IX", None, None,
    Citation(ASME_IX, "QW-322.2", Standing.SECONDARY, "Seen in a secondary text."), "one test coupon with the process",
)
ISO_RETEST = Fact("continuity-iso-retest", "New test, ISO 9606-1, first option", None, None, ISO_VALID, "a new test every 3 years")
ISO_RECORDS = Fact(
    "continuity-iso-records", "Extension by records, ISO 9606-1, second option", None, None, ISO_VALID, "every 2 years, on records of tested production welds",
)
ASME_OR_MORE = Fact(
    "continuity-asme-or-more", "Last day of the six months, ASME IX", None, None,
    Citation(
        ASME_IX, "QW-322.1", Standing.FROM_MEMORY,
        "We remember “6 months or more”; a trade column reports “exceeding” 6 months. The more cautious reading is used.",
    ), "the day before 6 months are full",
)
ASK = "ask the employer and the inspector"
CONTINUITY_RULES: tuple[ContinuityRule, ...] = (
    ContinuityRule(
        D11, 6, "alive without end, unless the process was not used for a period exceeding 6 months or there is reason to question the welder's ability",
        SIX_MONTHS, RENEW_D11.wording, RENEW_D11.source,
    ),
    ContinuityRule(
        ASME, 6, "alive for each process, unless that process was not used for 6 months or there is reason to question the welder's ability",
        Citation(ASME_IX, "QW-322.1", Standing.SECONDARY, "Seen in a secondary text."), RENEW_ASME.wording, RENEW_ASME.source, day_itself=False,
    ),
    ContinuityRule(
        IOWA, 6, "extended each year on a continuity log without any interruption of more than 6 months", IOWA_YEAR, ASK, COMMON, extend_every=12,
    ),
    ContinuityRule(
        ISO, 6, "confirmed by signature every 6 months, and revalidated: a new test after 3 years, or another option of the clause", ISO_CONFIRM,
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


def _continuity(
    w: Working, *, rule: str, qualified_on: datetime.date, uses: tuple[tuple[datetime.date, str], ...], today: datetime.date,
) -> None:
    _refuse_impossible_dates(qualified_on, uses, today)
    chosen = continuity_rule(rule)
    counted = [day for day, entry in uses if entry == "signed" or not chosen.signed_only]
    dates = sorted({qualified_on, *counted})
    w.words("rule_in_words", f"What {RULE_NAMES[rule]} asks", chosen.wording, source=chosen.source)
    if chosen.months is None:
        _say_no_clause(w, chosen, dates[-1])
    else:
        _judge_dates(w, chosen, qualified_on, dates, today)
    if chosen.signed_only and len(counted) < len(uses):
        w.caution("unsigned", f"{len(uses) - len(counted)} of {len(uses)} entries carry no signature and do not count here. The supervisor, or the examiner, "
            "confirms the use by signing.", source=chosen.source,
        )
    for other in CONTINUITY_RULES:
        if other is not chosen:
            w.words(f"{other.rule.replace('.', '').replace('-', '_')}_asks", f"{RULE_NAMES[other.rule]} asks", other.wording, source=other.source)
    if chosen.months is not None:
        w.note("counting", "A stretch runs to the same day of the month, or to the last day of a shorter month. " + (
            "That day itself is still in time." if chosen.day_itself else "The day before it is the last in time."
        ), source=MONTHS_COUNTED if chosen.day_itself else ASME_OR_MORE.source)
        w.note("process", "It is the process that counts, such as stick welding. Using another process keeps nothing alive.", source=chosen.source)
    w.warn(STUDY_HELP)


def _refuse_impossible_dates(qualified_on: datetime.date, uses: tuple[tuple[datetime.date, str], ...], today: datetime.date) -> None:
    if today < qualified_on:
        raise InputError("today", "Today", f"{today} is before the test was passed; write {qualified_on} or a later date")
    for number, (day, _) in enumerate(uses, 1):
        if day is None:
            raise InputError("uses", "Uses of the process", f"Use {number}, date: nothing is written; write year-month-day or take the row out")
        if not qualified_on <= day <= today:
            side = "before the test was passed" if day < qualified_on else "after today"
            raise InputError(
                "uses", "Uses of the process", f"Use {number}, date: {day} is {side}; write a date from {qualified_on} to {today}",
            )


def _say_no_clause(w: Working, chosen: ContinuityRule, last: datetime.date) -> None:
    w.words("status", "Standing today", "nothing lapses by this rule alone", source=chosen.source, main=True)
    w.words("due_date", "Use the process by", "no date in this rule", source=chosen.source, main=True)
    w.words("last_counted", "Last use that counts", str(last), source=ENTERED)
    w.say(f"{RULE_NAMES[chosen.rule]} has no clause of six months, so no date comes from it.")
    w.note("owner", "Your employer or the owner of the work may set a time of their own. Ask before you rely on an old test.", source=chosen.source)


def _judge_dates(w: Working, chosen: ContinuityRule, qualified_on: datetime.date, dates: list[datetime.date], today: datetime.date) -> None:
    gaps = gaps_in(dates, today, chosen)
    due = chosen.last_day(dates[-1])
    ends = add_months(qualified_on, chosen.ends_after) if chosen.ends_after else None
    run_out = ends is not None and today > ends
    alive = not gaps and not run_out
    w.draw(draw_timeline(w, dates, [chosen.last_day(day) for day in dates], today, alive))
    w.words("status", "Standing today", "alive" if alive else "lapsed", source=chosen.source, main=True)
    if alive:
        _write_due(w, chosen, due, ends, today)
    else:
        lapsed = min([gap.due for gap in gaps] + ([ends] if run_out else [])) + datetime.timedelta(days=1)
        w.words("lapsed_on", "First day without a live qualification", str(lapsed), source=chosen.source, main=True)
        w.words("renewal", "What brings it back", chosen.renew, source=chosen.renew_source)
        w.say(f"By {RULE_NAMES[chosen.rule]}, lapsed since {lapsed}. To bring it back: {chosen.renew}.")
        w.stop("after-lapse", "A use after the lapse does not bring the qualification back. Do not weld code work on it until you have requalified.", source=chosen.source)
    w.value("gaps", "Stretches that were too long", len(gaps), NUMBER, source=chosen.source)
    for number, gap in enumerate(gaps, 1):
        until = "today, " if gap.open else ""
        w.stop(f"gap-{number}", f"From {gap.start} to {until}{gap.end} is too long: {_days((gap.end - gap.due).days)} past {gap.due}, the last day in time.",
            source=chosen.source,
        )
    stretch = max(pairwise([*dates, today]), key=lambda pair: pair[1] - pair[0])
    w.words("longest", "Longest stretch", f"{stretch[0]} to {stretch[1]}, {_days((stretch[1] - stretch[0]).days)}", source=ENTERED)
    w.words("last_counted", "Last use that counts", str(dates[-1]), source=ENTERED)
    if ends is not None:
        _write_end(w, chosen, ends, run_out)
    if chosen.extend_every and alive:
        w.words("extension_date", "Next yearly extension", str(_next_turn(qualified_on, today, chosen.extend_every)), source=chosen.source)
        w.note("test-date", "The year is counted from the test date you wrote. Where a card or list of the owner carries a date, go by that.", source=chosen.source)


def _write_due(w: Working, chosen: ContinuityRule, due: datetime.date, ends: datetime.date | None, today: datetime.date) -> None:
    """What must happen next and by when: a use, or a new test where the whole qualification runs out first."""
    label, what = ("Use and signature needed by", "use the process and have it signed") if chosen.signed_only else ("Use the process by", "use the process")
    if ends is not None and ends <= due:
        label, what, due = "New test needed by", "pass a new test", ends
    w.words("due_date", label, str(due), source=chosen.source, main=True)
    w.value("days_left", "Days from today to that day", (due - today).days, NUMBER, source=ENTERED, main=True, digits=5)
    w.say(f"By {RULE_NAMES[chosen.rule]}, alive on {today}. Next: {what} on or before {due}.")
    w.ok("continuity", f"No stretch without the process up to {today} is longer than the {chosen.months} months allow.", source=chosen.source)
    if (due - today).days <= DAYS_TO_WARN:
        w.caution("days-left", f"Days left: {(due - today).days}. Arrange the work now, and write it into the log the same day.", source=chosen.source)


def _write_end(w: Working, chosen: ContinuityRule, ends: datetime.date, run_out: bool) -> None:
    w.words("revalidation_date", "New test due, first option", str(ends), source=chosen.ends_source, main=True)
    w.words("revalidation_other", "Second option in its place", ISO_RECORDS.wording, source=ISO_RECORDS.source)
    if run_out:
        w.stop("term", f"The three years ended on {ends}. Under the first option of the clause a new test is due.", source=chosen.ends_source)
    else:
        w.caution("term", f"Signatures alone do not carry it past {ends}. Ask now which option of the clause your certificate names.", source=chosen.ends_source)


def _next_turn(start: datetime.date, today: datetime.date, every: int) -> datetime.date:
    """The first whole turn of `every` months after `start` that is not before `today`."""
    turns = 1
    while add_months(start, turns * every) < today:
        turns += 1
    return add_months(start, turns * every)


CONTINUITY = Calculator(
    id="continuity",
    title="Continuity",
    question="Is my qualification still alive, and by when must I use the process again?",
    page="after.md",
    work=_continuity,
    inputs=(
        Choice(
            "rule", "Rule document", (
                Option(D11, "AWS D1.1, structural steel"), Option(ASME, "ASME Section IX"), Option(ISO, "ISO 9606-1"),
                Option(IOWA, "Iowa DOT IM 559, April 2016 (an example of an owner's rule)"), Option(API, "API 1104, pipelines"),
            ), D11, _RULE_HELP,
        ),
        Day("qualified_on", "Date the test was passed", "2025-08-31", "Year-month-day, from the record. After a lapse, the date of the new test."),
        Rows(
            "uses", "Uses of the process", (
                Day("used_on", "Date", "", "Year-month-day, from the log."),
                Choice(
                    "entry", "Entry", (Option("used", "Used"), Option("signed", "Used, and signed by supervisor or examiner")), "used",
                    "ISO 9606-1 counts signed entries only.",
                ),
            ),
            "2025-11-14 | used\n2026-02-27 | signed", "One row a date. Any order will do. The dates shown are invented.", "Use", fewest=0, most=40,
        ),
        Day("today", "Today", "2026-03-31", "The day you ask for. Put in today's date."),
    ),
)

FACTS = (
    LEAST, LIMITED_PLATE, LIMITED_MOST, UNLIMITED_PLATE, NOMINAL, ASME_UNLIMITED_DEPOSIT, ASME_LAYERS, ISO_LEAST, ISO_UNLIMITED_DEPOSIT,
    RADIOGRAPHY, PIPE_FROM_PLATE, PUBLIC_LAW_PLATE, SHIP_SUPPLEMENT, BACKING_MATTERS, DIRECTION_MATTERS,
    WHO_ANSWERS, EARLIER_TEST, RECORD_KEPT,
    *(row.fact for row in RANGE_ROWS), *(row.fact for row in COUPON_ROWS), *(row.fact for row in POSITION_ROWS), OVERHEAD_WIDER,
    MONTH_RULE, *(each.fact for each in RETEST_RULES), BENDS_PER_PLATE, IOWA_NOW,
    ASME_OR_MORE, RENEW_D11, RENEW_ASME, ISO_RETEST, ISO_RECORDS, *(each.fact for each in CONTINUITY_RULES),
)
