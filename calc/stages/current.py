"""Welding current for a covered electrode: the windows of two tables, the reader's own WPS, and what the rod is made
for.

Stage: setting the machine. A window is a row by electrode class and core diameter; a combination that a table does not
hold is refused by name and never interpolated. Two tables are held and differ: the one chosen gives the figures, both
judge. The WPS's own band comes before either. Polarity, progression and the largest rod are judged by class and
position.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Level, Option, Quantity, Working
from calc.core.formula import PI, Symbol
from calc.core.sources import (
    AWS_A51,
    AWS_D11,
    AWS_D11_2020,
    COMMON,
    FILLER_METAL_HANDBOOK,
    MACHINERYS_HANDBOOK,
    TM_5_3431_217,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import (
    AMPERE_PER_INCH,
    CURRENT,
    CURRENT_DENSITY,
    CURRENT_PER_LENGTH,
    LENGTH,
    NUMBER,
    PERCENTAGE,
    Number,
    listed,
    parse,
)
from calc.show.scales import current as draw_window
from calc.show.sliders import CURRENT_SET
from calc.stages.own import AMPS_BAND, judge_band, require_order

ANNEX, HANDBOOK = "annex", "handbook"
_ANNEX_PLACE = "annex, typical amperage ranges"
FIRM = Citation(AWS_A51, _ANNEX_PLACE, Standing.FROM_MEMORY)
LOOSE = Citation(AWS_A51, _ANNEX_PLACE, Standing.FROM_MEMORY, "We are less sure of this row. Take the range from the "
    "box.")
REBUILT = Citation(
    MACHINERYS_HANDBOOK, "page 1594, Tables 13 and 14", Standing.SECONDARY,
    "Seen in a reproduction and rebuilt from broken text: compare the row with the page.",
)


@dataclass(frozen=True)
class Window:
    """A row of a current table: the lowest and highest ampere for a class and a core diameter. `table` is the one it is
    from."""

    electrode: str
    diameter: str
    low: int
    high: int
    source: Citation
    table: str = ANNEX

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        size = self.diameter.replace(" in", "").replace("/", "-")
        table = "" if self.table == ANNEX else f"{self.table}-"
        words = "Amperage window" if self.table == ANNEX else "Amperage window, second table"
        return Fact(
            f"current-{table}{self.electrode.lower()}-{size}", f"{words}, {self.electrode}, {self.diameter}", None,
            None,
            self.source, f"{self.low} to {self.high} A",
        )

    def holds(self, amps: Number) -> bool:
        """Whether a current is inside, both ends included."""
        return self.low <= amps <= self.high


def _annex(electrode: str, ranges: dict[str, tuple[int, int]]) -> tuple[Window, ...]:
    firm = ("1/8 in", "5/32 in", "3/16 in")
    return tuple(Window(electrode, size, *pair, FIRM if size in firm else LOOSE) for size, pair in ranges.items())


def _handbook(electrode: str, ranges: dict[str, tuple[int, int]]) -> tuple[Window, ...]:
    return tuple(Window(electrode, size, *pair, REBUILT, HANDBOOK) for size, pair in ranges.items())


_CELLULOSIC = {
    "3/32 in": (40, 80), "1/8 in": (75, 125), "5/32 in": (110, 170),
    "3/16 in": (140, 215), "7/32 in": (170, 250), "1/4 in": (210, 320),
}
_CELLULOSIC_HANDBOOK = {
    "3/32 in": (40, 75), "1/8 in": (75, 130), "5/32 in": (90, 170), "3/16 in": (135, 220), "1/4 in": (205, 325),
}
WINDOWS: tuple[Window, ...] = (
    *_annex("E6010", _CELLULOSIC),
    *_annex("E6011", _CELLULOSIC),
    *_annex("E6013", {
        "3/32 in": (45, 90), "1/8 in": (80, 130), "5/32 in": (105, 180),
        "3/16 in": (150, 230), "7/32 in": (210, 300), "1/4 in": (250, 350),
    }),
    *_annex("E7018", {
        "3/32 in": (70, 100), "1/8 in": (115, 165), "5/32 in": (150, 220),
        "3/16 in": (200, 275), "7/32 in": (260, 340), "1/4 in": (315, 400),
    }),
    *_handbook("E6010", _CELLULOSIC_HANDBOOK),
    *_handbook("E6011", _CELLULOSIC_HANDBOOK),
    *_handbook("E6013", {
        "3/32 in": (50, 100), "1/8 in": (75, 135), "5/32 in": (110, 185), "3/16 in": (150, 235), "1/4 in": (240, 340),
    }),
    *_handbook("E7018", {
        "3/32 in": (70, 105), "1/8 in": (110, 160), "5/32 in": (150, 215), "3/16 in": (180, 275), "7/32 in": (255, 350),
        "1/4 in": (295, 360),
    }),
)


@dataclass(frozen=True)
class CoatingRow:
    """A single figure of an older table that sorts rods by coating family and position, not by class."""

    family: str
    diameter: str
    flat: int
    vertical_overhead: int | None


_ARMY = Citation(
    TM_5_3431_217, "Table 3", Standing.READ,
    "Read from a scan. The table says gaseous or slag covering; which class belongs to which is our reading.",
)
COATING_ROWS: tuple[CoatingRow, ...] = (
    CoatingRow("gaseous", "1/8 in", 120, 110), CoatingRow("gaseous", "5/32 in", 150, 140),
    CoatingRow("gaseous", "3/16 in", 175, 160),
    CoatingRow("slag", "1/8 in", 130, None), CoatingRow("slag", "5/32 in", 160, None),
    CoatingRow("slag", "3/16 in", 200, None),
)
_FAMILY = {"E6010": "gaseous", "E6011": "gaseous", "E6013": "slag", "E7018": "slag"}

RULE = Fact(
    "ampere-per-thousandth", "One ampere for each thousandth of an inch of core",
    AMPERE_PER_INCH.to_base(Fraction(1000)),
    CURRENT_PER_LENGTH, Citation(None, "Trade rule", Standing.FROM_MEMORY),
)
OUT_OF_POSITION = Fact(
    "current-out-of-position", "Share of the flat amperage that vertical and overhead take, about", Fraction(9, 10),
    NUMBER,
    Citation(
        None, "An instructor's article: 10 % less in vertical, 5 % overhead", Standing.SECONDARY,
        "A machine maker's article takes 15 % off overhead.",
    ),
)
FAR = Fact(
    "current-far", "Share over or under both tables at which we doubt even the band of a WPS", Fraction(1, 4), NUMBER,
    COMMON,
)

_TABLE_5_1 = Citation(AWS_D11_2020, "Table 5.1", Standing.READ, "Read in a reproduction. For prequalified WPSs.")
_TABLE_5_1_AND_COURSE = Citation(
    AWS_D11_2020, "Table 5.1", Standing.READ, "Read in a reproduction. OD1651, Task 1, page 29 (read), has the same.",
)
LARGEST_FLAT = Fact("largest-rod-flat", "Largest electrode, groove weld in the flat position", parse("1/4 in", LENGTH),
    LENGTH, _TABLE_5_1)
LARGEST_ROOT = Fact("largest-rod-root", "Largest electrode for the root pass", parse("3/16 in", LENGTH), LENGTH,
    _TABLE_5_1)
LARGEST_HORIZONTAL = Fact("largest-rod-horizontal", "Largest electrode, groove weld in the horizontal position",
    parse("3/16 in", LENGTH), LENGTH, _TABLE_5_1)
LARGEST_OUT_OF_POSITION = Fact(
    "largest-rod-vertical-overhead", "Largest electrode for vertical and overhead", parse("3/16 in", LENGTH), LENGTH,
    _TABLE_5_1_AND_COURSE,
)
LARGEST_LOW_HYDROGEN = Fact(
    "largest-low-hydrogen-vertical-overhead", "Largest low-hydrogen electrode for vertical and overhead",
    parse("5/32 in", LENGTH), LENGTH,
    Citation(
        AWS_D11_2020, "Table 5.1, note to vertical and overhead", Standing.FROM_MEMORY,
        "The table itself prints 3/16 in with a note mark; the text of the note was not seen. The smaller size is "
        "taken.",
    ),
)
PROGRESSION = Fact(
    "progression-vertical", "Direction of the passes of a vertical weld", None, None,
    Citation(AWS_D11, "clause 3.7.1", Standing.FROM_MEMORY, "Only a WPS that was qualified for it lifts this."),
    "upward",
)
POSITION_DIGIT = Fact(
    "position-digit", "Digit of a rod that is made for vertical down", None, None,
    Citation(FILLER_METAL_HANDBOOK, "on AWS A5.1, third digit", Standing.SECONDARY),
    "4, as in E7048; 1 is all positions, vertical upward",
)
_TYPES = Citation(FILLER_METAL_HANDBOOK, "on AWS A5.1, type of current", Standing.SECONDARY,
    "A supplier's table differs for E6011 and E7018.")
_POLES = {"dcep": "DCEP", "dcen": "DCEN", "ac": "AC"}
POLARITIES: dict[str, tuple[str, ...]] = {"E6010": ("dcep",), "E6011": ("ac", "dcep"), "E6013": ("ac", "dcep", "dcen"),
    "E7018": ("dcep", "ac")}
"""The types of current that each class is made for."""
CURRENT_TYPES: dict[str, Fact] = {
    electrode: Fact(
        f"current-type-{electrode.lower()}", f"Type of current for {electrode}", None, None, _TYPES,
        " or ".join(_POLES[pole] for pole in poles),
    )
    for electrode, poles in POLARITIES.items()
}
FACTS = (
    RULE, OUT_OF_POSITION, FAR, LARGEST_FLAT, LARGEST_ROOT, LARGEST_HORIZONTAL, LARGEST_OUT_OF_POSITION,
    LARGEST_LOW_HYDROGEN, PROGRESSION,
    POSITION_DIGIT, *CURRENT_TYPES.values(), *(window.fact for window in WINDOWS),
)

SIZES = (
    Option("3/32 in", "3/32 in (2.4 mm)", ("3/32 in", "2.4 mm", "2.5 mm")),
    Option("1/8 in", "1/8 in (3.2 mm)", ("1/8 in", "3.2 mm")),
    Option("5/32 in", "5/32 in (4.0 mm)", ("5/32 in", "4 mm")),
    Option("3/16 in", "3/16 in (4.8 mm)", ("3/16 in", "4.8 mm")),
    Option("7/32 in", "7/32 in (5.6 mm)", ("7/32 in", "5.6 mm")),
    Option("1/4 in", "1/4 in (6.4 mm)", ("1/4 in", "6.4 mm")),
)
POSITIONS = (
    Option("1G", "1G, flat"), Option("2G", "2G, horizontal"), Option("3G", "3G, vertical"),
    Option("4G", "4G, overhead"),
)
ELECTRODES = (
    Option("E7018", "E7018, low-hydrogen"), Option("E6010", "E6010, cellulosic, DC"),
    Option("E6011", "E6011, cellulosic, AC or DC"), Option("E6013", "E6013, rutile"),
)


UNSTATED = "unstated"
UPRIGHT = ("3G", "4G")
"""The positions in which the puddle has to be held up."""


def window_for(electrode: str, diameter: str, table: str = ANNEX) -> Window:
    """The row of a current table. Raises `InputError` that lists the rows held where the table has none.

    Source: the annex of AWS A5.1, from memory, or Machinery's Handbook, page 1594, secondary.

    >>> window_for("E7018", "1/8 in").low, window_for("E7018", "1/8 in").high
    (115, 165)
    >>> window_for("E7018", "1/8 in", "handbook").low, window_for("E7018", "1/8 in", "handbook").high
    (110, 160)
    """
    for window in WINDOWS:
        if (window.electrode, window.diameter, window.table) == (electrode, diameter, table):
            return window
    held = ", ".join(row.diameter for row in WINDOWS if (row.electrode, row.table) == (electrode, table))
    raise InputError("diameter", "Core diameter", f"the table has no row for {electrode} of {diameter}; it holds "
        f"{held}")


def windows_for(electrode: str, diameter: str) -> tuple[Window, ...]:
    """The rows of all tables for a class and a core diameter; none where no table has it."""
    return tuple(window for window in WINDOWS if (window.electrode, window.diameter) == (electrode, diameter))


def work_current(
    w: Working, *, electrode: str, diameter: str, position: str, amps: Fraction, rule: str, progression: str,
    polarity: str,
    wps_low: Fraction | None, wps_high: Fraction | None,
) -> None:
    """Where the current stands in the window of the rod, and whether rod, pole and direction fit the position.

    p = (I − I_low) / (I_high − I_low) × 100: place in the window, %; I, I_low, I_high in A.
    I_rule = 1 A per 0.001 in of core; J = I / (π/4 × d²): current density, A/m²; d the core diameter, m.

    Valid for the classes and diameters of the tables, 10 to 600 A. Outside the table gone by it is a stop, inside it
    and outside the other a caution; in vertical and overhead a tenth less is expected. The band of the WPS is judged
    first. Raises `InputError` where the chosen table has no row, or where the WPS band is upside down.
    Source: AWS A5.1 annex (from memory); Machinery's Handbook, page 1594 (secondary); AWS D1.1:2020, Table 5.1 (read).

    >>> answer = CURRENT_SETTING.answer(electrode="E7018", diameter="1/8 in")
    >>> round(float(answer["thumb_rule"].amount)), answer.check("window").level.value  # the trade's 125 A for 1/8 in
    (125, 'ok')
    """
    chosen = window_for(electrode, diameter, rule)
    core = parse(diameter, LENGTH)
    d = w.given("diameter", "d", core, LENGTH)
    current = w.given("amps", "I", amps, CURRENT)
    _window_figures(w, chosen, current)
    per_length = w.given("per_length", "k", RULE.amount, CURRENT_PER_LENGTH)
    thumb = w.let("thumb_rule", "One ampere per thousandth of an inch", "I_rule", CURRENT, per_length * d,
        source=RULE.source, digits=3)
    w.let("current_density", "Current for each square millimeter of core", "J", CURRENT_DENSITY,
        current / (PI * d**2 / 4), digits=3)
    _second_opinion(w, electrode, diameter, position)
    require_order(wps_low, wps_high, CURRENT_SETTING.input("wps_low"))
    held = windows_for(electrode, diameter)
    _other_table(w, held, chosen)

    w.draw(draw_window(w))
    w.say(f"For {electrode}, {diameter}: the window is {{window_low}} to {{window_high}}. " + _standing(chosen, amps))
    own = judge_band(w, "wps", "amps", wps_low, wps_high)
    judge_window(w, electrode, diameter, amps, table=rule, upright=position in UPRIGHT, own=own)
    _note_rule(w, chosen, thumb.amount)
    judge_rod_size(w, electrode, core, position)
    judge_progression(w, electrode, position, progression)
    judge_polarity(w, electrode, polarity)
    w.warn(
        "Start from the range printed on the electrode box and your WPS. Set by running beads on scrap of the "
        "same thickness, with an instructor near."
    )
    w.warn("An electrode holder, a wet glove or bare skin in the circuit can kill. Keep dry and insulated; switch off "
        "to change leads.")


def _window_figures(w: Working, chosen: Window, current: Symbol) -> None:
    low = w.value("window_low", "Minimum of the window", chosen.low, CURRENT, source=chosen.source,
        symbol="I_low", main=True)
    high = w.value("window_high", "Maximum of the window", chosen.high, CURRENT, source=chosen.source,
        symbol="I_high", main=True)
    w.let(
        "place_in_window", "Where your setting is in the window (0 % is its minimum, 100 % its maximum)", "p",
        PERCENTAGE, (current - low) / (high - low) * 100, main=True, digits=3,
    )


def _other_table(w: Working, held: tuple[Window, ...], chosen: Window) -> None:
    """The window of the other table beside the chosen one, where it differs."""
    other = next((window for window in held if window.table != chosen.table), None)
    if other is None:
        w.note("other-table", "Only this table has a row for this rod; the other one has none.",
            source=chosen.source)
    elif (other.low, other.high) != (chosen.low, chosen.high):
        w.value("other_low", "Minimum by the other table", other.low, CURRENT, source=other.source)
        w.value("other_high", "Maximum by the other table", other.high, CURRENT, source=other.source)
        w.note("other-table", "The tables differ: the other one gives {other_low} to {other_high}. The box and the WPS "
            "come first.",
            source=other.source,
        )


def _second_opinion(w: Working, electrode: str, diameter: str, position: str) -> None:
    """The figure of the older table where it has one for this rod in this position; nothing where it has none."""
    for row in COATING_ROWS:
        if (row.family, row.diameter) == (_FAMILY[electrode], diameter):
            amps = row.vertical_overhead if position in UPRIGHT else row.flat if position == "1G" else None
            if amps is not None:
                w.value("second_opinion", "An older table, by kind of covering", amps, CURRENT, source=_ARMY)


def _standing(window: Window, amps: Fraction) -> str:
    if amps < window.low:
        return "Your {amps} is below it."
    if amps > window.high:
        return "Your {amps} is above it."
    return "Your {amps} is inside it, at {place_in_window} of the way up."


COLD = "expect a rod that sticks, a tall narrow bead, slag trapped at the toes and poor melting into the root"
HOT = "expect a hot, fluid puddle, undercut, spatter and a covering that burns away early"


def judge_window(
    w: Working, electrode: str, diameter: str, amps: Number, *, table: str = ANNEX, upright: bool = False,
    own: bool = False,
) -> None:
    """Judge a current, known to the sheet as `amps`, by the table gone by and by the other one.

    Outside the table gone by it is a stop, inside it and outside the other a caution, inside both OK. In vertical and
    overhead (`upright`) a tenth less is expected, so the top tenth is a caution; it lowers no limit. Where a WPS band
    is `own`, what lies outside the tables is a caution on the WPS, and a stop only far outside all of them.
    """
    held = windows_for(electrode, diameter)
    chosen = next((window for window in held if window.table == table), None)
    if chosen is None:
        w.not_known("window", "The table that you chose does not have this rod. Take the range from the box and the "
            "WPS.", source=FIRM)
        return
    w.known["tables"] = listed((f"{each.low} to {each.high} A" for each in held), "and")
    outside = [each for each in held if not each.holds(amps)]
    if not outside:
        w.ok("window", "{amps} is inside every table that we hold: {tables}.", source=chosen.source)
        if upright and amps > min(each.high for each in held) * OUT_OF_POSITION.amount:
            w.caution("window-top", "{amps} is in the top tenth of the window. Vertical and overhead take about a "
                "tenth less, to hold the puddle.",
                source=OUT_OF_POSITION.source,
            )
        return
    level = Level.CAUTION if chosen not in outside or (own and _near(held, amps)) else Level.STOP
    ask = " Ask who wrote the WPS whether its limits are meant for this rod." if own and level is Level.CAUTION else ""
    which = "the chosen window" if chosen in outside else "the other table's window"
    source = (chosen if chosen in outside else outside[0]).source
    if amps < outside[0].low:
        w.check(level, "window-low", f"{{amps}} is below {which} ({{tables}}): {COLD}.{ask}", source=source)
    else:
        w.check(level, "window-high", f"{{amps}} is above {which} ({{tables}}): {HOT}.{ask}", source=source)


def _near(held: tuple[Window, ...], amps: Number) -> bool:
    """Whether a current is no more than a quarter past all tables."""
    share = FAR.amount
    return min(each.low for each in held) * (1 - share) <= amps <= max(each.high for each in held) * (1 + share)


def _note_rule(w: Working, window: Window, thumb: Number) -> None:
    if window.low <= thumb <= window.high:
        w.note("thumb-rule", "The rule of thumb gives {thumb_rule}, inside the window.", source=RULE.source)
        return
    side = "below" if thumb < window.low else "above"
    w.note("thumb-rule", f"The rule of thumb gives {{thumb_rule}}, {side} the window of {{window_low}} to "
        f"{{window_high}}. "
        "Where the two disagree, go by the window and the box.", source=RULE.source,
    )


def largest_rod(electrode: str, position: str) -> Fact:
    """The largest rod of a class for groove welds in a test position: the table's, and the note's for low-hydrogen
    upright.

    >>> asked = (("E6010", "3G"), ("E7018", "3G"), ("E7018", "1G"))
    >>> [largest_rod(electrode, position).id for electrode, position in asked]
    ['largest-rod-vertical-overhead', 'largest-low-hydrogen-vertical-overhead', 'largest-rod-flat']
    """
    if position in UPRIGHT and electrode == "E7018":
        return LARGEST_LOW_HYDROGEN
    return {"1G": LARGEST_FLAT, "2G": LARGEST_HORIZONTAL}.get(position, LARGEST_OUT_OF_POSITION)


def judge_rod_size(w: Working, electrode: str, core: Fraction, position: str) -> None:
    """The largest rod for the position; which pass is welded is not asked, so a rod over the root's size is a
    caution."""
    w.mention("largest_low_hydrogen", LARGEST_LOW_HYDROGEN)
    w.mention("largest_root", LARGEST_ROOT)
    largest = {"1G": LARGEST_FLAT, "2G": LARGEST_HORIZONTAL}.get(position, LARGEST_OUT_OF_POSITION)
    w.mention("largest", largest)
    if core > largest.amount:
        w.stop("rod-size", f"{{diameter}} is too large for {position}: the maximum is {{largest}}.",
            source=largest.source)
    elif position in UPRIGHT and electrode == "E7018" and core > LARGEST_LOW_HYDROGEN.amount:
        w.stop("rod-size", f"{{diameter}} is too large for {position} with a low-hydrogen rod: the maximum is "
            f"{{largest_low_hydrogen}} by a note of "
            "the table that prints {largest}. We hold the note from memory and take the smaller size.",
            source=LARGEST_LOW_HYDROGEN.source,
        )
    elif core > LARGEST_ROOT.amount:
        w.caution("rod-size", "{diameter} is not too large for fill passes in this position, but for the root pass the "
            "maximum is {largest_root}.",
            source=LARGEST_ROOT.source,
        )
    else:
        w.ok("rod-size", f"{{diameter}} is not too large for {position}: the maximum is {{largest}}.",
            source=largest.source)


def judge_progression(w: Working, electrode: str, position: str, progression: str) -> None:
    """Judge the direction of the passes, in the vertical position only: up is in order, down is a stop.

    Source: AWS D1.1:2015, clause 3.7.1 (from memory); AWS A5.1, third digit (secondary).
    """
    if position != "3G":
        return
    if progression == UNSTATED:
        w.note("progression", "You did not say upward or downward, so it is not judged. You qualify for the "
            "progression that you weld.", source=PROGRESSION.source)
    elif progression == "up":
        w.ok("progression", "Vertical passes are welded upward.", source=PROGRESSION.source)
    elif electrode == "E7018":
        w.stop("progression", "An E7018 is not made to be run downward: slag runs ahead of the "
            "arc and stays in the root.",
            source=POSITION_DIGIT.source,
        )
    else:
        w.stop("progression", "Vertical passes are welded upward unless your WPS was qualified for downward. Ask for "
            "that WPS before you weld.",
            source=PROGRESSION.source,
        )


def judge_polarity(w: Working, electrode: str, polarity: str) -> None:
    """Judge the polarity by what the class of rod is made for. Source: AWS A5.1, type of current (secondary)."""
    fact = CURRENT_TYPES[electrode]
    if polarity == UNSTATED:
        w.note("polarity", f"You did not give the polarity, so it is not judged. {electrode} is made for "
            f"{fact.wording}.", source=fact.source)
    elif polarity in POLARITIES[electrode]:
        w.ok("polarity", f"{electrode} is made for {fact.wording}; you have {_POLES[polarity]}. The WPS names one of "
            f"them.", source=fact.source)
    else:
        w.stop("polarity", f"{electrode} is made for {fact.wording}, not for {_POLES[polarity]}. Look at the plugs, "
            f"the box and your WPS.",
            source=fact.source,
        )


CURRENT_SETTING = Calculator(
    id="current",
    title="Amperage",
    question="Is my amperage right for this rod, and how sure is that?",
    page="machine.md",
    work=work_current,
    main=("electrode", "diameter", "position", "amps"),
    inputs=(
        Choice("electrode", "Electrode class", ELECTRODES, "E7018", "Printed on the rod near the bare end."),
        Choice("diameter", "Core diameter", SIZES, "1/8 in", "The bare wire, not the covering.", "d"),
        Choice("position", "Test position", POSITIONS, "3G", "How the plate stands during the test."),
        Quantity(
            "amps", "Amperage set", CURRENT, "120 A", "10 A", "600 A",
            "What the machine shows, or better, what a clamp meter shows.",
            "I", common=("90 A", "115 A", "120 A", "140 A"), slide=CURRENT_SET,
        ),
        Choice(
            "rule", "Table to go by", (
                Option(ANNEX, "The electrode standard's annex"), Option(HANDBOOK, "A general handbook's table"),
            ), ANNEX, "This one decides; the other one is shown and compared too.",
        ),
        Choice(
            "progression", "Direction, vertical only", (
                Option(UNSTATED, "Not stated"), Option("up", "Up"), Option("down", "Down"),
            ), UNSTATED, "As your WPS says.",
        ),
        Choice(
            "polarity", "Polarity", (
                Option(UNSTATED, "Not stated"), Option("dcep", "DCEP, electrode positive"),
                Option("dcen", "DCEN, electrode negative"), Option("ac", "AC"),
            ), UNSTATED, "As the leads are plugged in now.",
        ),
        *(
            replace(each, name=name, symbol=letter, help="If it states one. It comes before any table.",
                takes=each.name)
            for each, name, letter in zip(AMPS_BAND, ("wps_low", "wps_high"), ("I_min", "I_max"))
        ),
    ),
)
