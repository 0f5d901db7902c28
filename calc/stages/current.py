"""Welding current for a covered electrode: the window of the table, the thumb rule, and where the set value stands.

Stage: setting the machine. The window is a table by electrode class and core
diameter; a combination that the table does not hold is refused by name and never
interpolated. The rule of one ampere per thousandth of an inch is shown beside it,
also where the two disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Option, Quantity, Working
from calc.core.formula import PI
from calc.core.sources import AWS_A51, COMMON, OD1651, TM_5_3431_217, Citation, Fact, Standing
from calc.core.units import AMPERE_PER_INCH, CURRENT, CURRENT_DENSITY, CURRENT_PER_LENGTH, LENGTH, PERCENTAGE, parse
from calc.show.scales import current as draw_window
from calc.show.sliders import CURRENT_SET

ANNEX = "annex, typical amperage ranges"
FIRM = Citation(AWS_A51, ANNEX, Standing.FROM_MEMORY)
LOOSE = Citation(AWS_A51, ANNEX, Standing.FROM_MEMORY, "We are less sure of this row. Take the range from the box.")


@dataclass(frozen=True)
class Window:
    """A row of the current table: the lowest and highest ampere for a class and a core diameter."""

    electrode: str
    diameter: str
    low: int
    high: int
    source: Citation

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        size = self.diameter.replace(" in", "").replace("/", "-")
        return Fact(
            f"current-{self.electrode.lower()}-{size}", f"Current window, {self.electrode}, {self.diameter}", None, None,
            self.source, f"{self.low} to {self.high} A",
        )


def _rows(electrode: str, ranges: dict[str, tuple[int, int]]) -> tuple[Window, ...]:
    firm = ("1/8 in", "5/32 in", "3/16 in")
    return tuple(Window(electrode, size, *pair, FIRM if size in firm else LOOSE) for size, pair in ranges.items())


_CELLULOSIC = {
    "3/32 in": (40, 80), "1/8 in": (75, 125), "5/32 in": (110, 170),
    "3/16 in": (140, 215), "7/32 in": (170, 250), "1/4 in": (210, 320),
}
WINDOWS: tuple[Window, ...] = (
    *_rows("E6010", _CELLULOSIC),
    *_rows("E6011", _CELLULOSIC),
    *_rows("E6013", {
        "3/32 in": (45, 90), "1/8 in": (80, 130), "5/32 in": (105, 180),
        "3/16 in": (150, 230), "7/32 in": (210, 300), "1/4 in": (250, 350),
    }),
    *_rows("E7018", {
        "3/32 in": (70, 100), "1/8 in": (115, 165), "5/32 in": (150, 220),
        "3/16 in": (200, 275), "7/32 in": (260, 340), "1/4 in": (315, 400),
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
    "Read from a scan. The table says gaseous or slag coating; which class belongs to which is our reading.",
)
COATING_ROWS: tuple[CoatingRow, ...] = (
    CoatingRow("gaseous", "1/8 in", 120, 110), CoatingRow("gaseous", "5/32 in", 150, 140), CoatingRow("gaseous", "3/16 in", 175, 160),
    CoatingRow("slag", "1/8 in", 130, None), CoatingRow("slag", "5/32 in", 160, None), CoatingRow("slag", "3/16 in", 200, None),
)
_FAMILY = {"E6010": "gaseous", "E6011": "gaseous", "E6013": "slag", "E7018": "slag"}

RULE = Fact(
    "ampere-per-thousandth", "One ampere for each thousandth of an inch of core", AMPERE_PER_INCH.to_base(Fraction(1000)),
    CURRENT_PER_LENGTH, Citation(None, "Trade rule", Standing.FROM_MEMORY),
)
LARGEST_OUT_OF_POSITION = Fact(
    "largest-rod-vertical-overhead", "Largest electrode for vertical and overhead", parse("3/16 in", LENGTH), LENGTH,
    Citation(OD1651, "Task 1, page 29", Standing.READ),
)
LARGEST_LOW_HYDROGEN = Fact(
    "largest-low-hydrogen-vertical-overhead", "Largest low-hydrogen electrode for vertical and overhead",
    parse("5/32 in", LENGTH), LENGTH, Citation(AWS_A51, "classification table, welding positions", Standing.FROM_MEMORY),
)
_TYPES = Citation(AWS_A51, "classification table, type of current", Standing.FROM_MEMORY)
_POLES = {"dcep": "DCEP", "dcen": "DCEN", "ac": "AC"}
POLARITIES: dict[str, tuple[str, ...]] = {"E6010": ("dcep",), "E6011": ("ac", "dcep"), "E6013": ("ac", "dcep", "dcen"), "E7018": ("dcep", "ac")}
"""The types of current that each class is made for."""
CURRENT_TYPES: dict[str, Fact] = {
    electrode: Fact(f"current-type-{electrode.lower()}", f"Type of current for {electrode}", None, None, _TYPES, " or ".join(_POLES[pole] for pole in poles))
    for electrode, poles in POLARITIES.items()
}
FACTS = (RULE, LARGEST_OUT_OF_POSITION, LARGEST_LOW_HYDROGEN, *CURRENT_TYPES.values(), *(window.fact for window in WINDOWS))

SIZES = (
    Option("3/32 in", "3/32 in (2.4 mm)", ("3/32 in", "2.4 mm", "2.5 mm")),
    Option("1/8 in", "1/8 in (3.2 mm)", ("1/8 in", "3.2 mm")),
    Option("5/32 in", "5/32 in (4.0 mm)", ("5/32 in", "4 mm")),
    Option("3/16 in", "3/16 in (4.8 mm)", ("3/16 in", "4.8 mm")),
    Option("7/32 in", "7/32 in (5.6 mm)", ("7/32 in", "5.6 mm")),
    Option("1/4 in", "1/4 in (6.4 mm)", ("1/4 in", "6.4 mm")),
)
POSITIONS = (
    Option("1G", "1G, flat"), Option("2G", "2G, horizontal"), Option("3G", "3G, vertical"), Option("4G", "4G, overhead"),
)
ELECTRODES = (
    Option("E7018", "E7018, low-hydrogen"), Option("E6010", "E6010, cellulosic, DC"),
    Option("E6011", "E6011, cellulosic, AC or DC"), Option("E6013", "E6013, rutile"),
)


def window_for(electrode: str, diameter: str) -> Window:
    """The row of the current table. Raises `InputError` where the table has none.

    >>> window_for("E7018", "1/8 in").low, window_for("E7018", "1/8 in").high
    (115, 165)
    """
    for window in WINDOWS:
        if (window.electrode, window.diameter) == (electrode, diameter):
            return window
    held = ", ".join(row.diameter for row in WINDOWS if row.electrode == electrode)
    raise InputError("diameter", "Core diameter", f"the table has no row for {electrode} of {diameter}; it holds {held}")


def _work(w: Working, *, electrode: str, diameter: str, position: str, amps: Fraction) -> None:
    window = window_for(electrode, diameter)
    core = parse(diameter, LENGTH)
    d = w.given("diameter", "d", core, LENGTH)
    current = w.given("amps", "I", amps, CURRENT)
    low = w.value("window_low", "Lowest current of the window", window.low, CURRENT, source=window.source, symbol="I_low", main=True)
    high = w.value("window_high", "Highest current of the window", window.high, CURRENT, source=window.source, symbol="I_high", main=True)
    w.let(
        "place_in_window", "Where your setting stands (0 % is the lowest, 100 % the highest)", "p", PERCENTAGE,
        (current - low) / (high - low) * 100, main=True, digits=3,
    )
    per_length = w.given("per_length", "k", RULE.amount, CURRENT_PER_LENGTH)
    thumb = w.let("thumb_rule", "One ampere per thousandth of an inch", "I_rule", CURRENT, per_length * d, source=RULE.source, digits=3)
    w.let("current_density", "Current for each square millimeter of core", "J", CURRENT_DENSITY, current / (PI * d**2 / 4), digits=3)
    _second_opinion(w, electrode, diameter, position)

    w.draw(draw_window(w))
    w.say(f"For {electrode}, {diameter}: the window is {{window_low}} to {{window_high}}. " + _standing(window, amps))
    _check_window(w, window, amps, position)
    _check_rule(w, window, thumb.amount)
    _check_size(w, electrode, core, position)
    w.caution(
        "Start from the range printed on the electrode box and your written procedure. Set by running beads on scrap of the "
        "same thickness, with an instructor near."
    )
    w.caution("An electrode holder, a wet glove or bare skin in the circuit can kill. Keep dry and insulated; switch off to change leads.")


def _second_opinion(w: Working, electrode: str, diameter: str, position: str) -> None:
    """The figure of the older table where it has one for this rod in this position; nothing where it has none."""
    for row in COATING_ROWS:
        if (row.family, row.diameter) == (_FAMILY[electrode], diameter):
            amps = row.vertical_overhead if position in ("3G", "4G") else row.flat if position == "1G" else None
            if amps is not None:
                w.value("second_opinion", "An older table, by coating family", amps, CURRENT, source=_ARMY)


def _standing(window: Window, amps: Fraction) -> str:
    if amps < window.low:
        return "Your {amps} is below it."
    if amps > window.high:
        return "Your {amps} is above it."
    return "Your {amps} is inside it, at {place_in_window} of the way up."


def _check_window(w: Working, window: Window, amps: Fraction, position: str) -> None:
    if amps < window.low:
        w.stop(
            "{amps} is below the window: expect a rod that sticks, a tall narrow bead, slag trapped at the edges and "
            "poor melting into the root.", source=window.source,
        )
    elif amps > window.high:
        w.stop(
            "{amps} is above the window: expect a hot, fluid puddle, undercut, spatter and a coating that burns away early.",
            source=window.source,
        )
    else:
        w.ok("{amps} is inside the window of {window_low} to {window_high}.", source=window.source)
        if position in ("3G", "4G") and amps > window.low + Fraction(3, 4) * (window.high - window.low):
            w.watch("{amps} is in the top quarter of the window. In vertical and overhead most welders run lower to hold the puddle.", source=COMMON)


def _check_rule(w: Working, window: Window, thumb: Fraction) -> None:
    if window.low <= thumb <= window.high:
        w.ok("The thumb rule gives {thumb_rule}, inside the window.", source=RULE.source)
    else:
        side = "below" if thumb < window.low else "above"
        w.watch(
            f"The thumb rule gives {{thumb_rule}}, {side} the window of {{window_low}} to {{window_high}}. "
            "Where the two disagree, go by the window and the box.", source=RULE.source,
        )


def _check_size(w: Working, electrode: str, core: Fraction, position: str) -> None:
    if position not in ("3G", "4G"):
        return
    w.mention("largest", LARGEST_OUT_OF_POSITION)
    w.mention("largest_low_hydrogen", LARGEST_LOW_HYDROGEN)
    if core > LARGEST_OUT_OF_POSITION.amount:
        w.stop(f"{{diameter}} is too large for {position}: {{largest}} is the largest for vertical and overhead.", source=LARGEST_OUT_OF_POSITION.source)
    elif electrode == "E7018" and core > LARGEST_LOW_HYDROGEN.amount:
        w.stop(
            f"{{diameter}} is too large for {position} with a low-hydrogen rod: {{largest_low_hydrogen}} is the largest for "
            "vertical and overhead.", source=LARGEST_LOW_HYDROGEN.source,
        )
    else:
        w.ok(f"{{diameter}} is not too large for {position}.", source=LARGEST_OUT_OF_POSITION.source)


CURRENT_SETTING = Calculator(
    id="current",
    title="Welding current",
    question="Is my current right for this rod, and how sure is that?",
    page="machine.md",
    work=_work,
    inputs=(
        Choice("electrode", "Electrode class", ELECTRODES, "E7018", "Printed on the rod near the bare end."),
        Choice("diameter", "Core diameter", SIZES, "1/8 in", "The bare wire, not the coating.", "d"),
        Choice("position", "Test position", POSITIONS, "3G", "How the plate stands during the test."),
        Quantity(
            "amps", "Current set", CURRENT, "120 A", "10 A", "600 A", "What the machine shows, or better, what a clamp meter shows.",
            "I", common=("90 A", "115 A", "120 A", "140 A"), slide=CURRENT_SET,
        ),
    ),
)
