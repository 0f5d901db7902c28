"""Keeping everyone safe: lens shade, hot work, air, acetylene, noise and fume.

Stage: safety, before any other. The limits are those of US federal rules, of state
rules that copy them, and of recommendations that ask for more; where they differ
the reader chooses the rule by name and sees both. Nothing here replaces the permit,
the WPS or a qualified person on the spot.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import (
    Amount,
    Calculator,
    Choice,
    Clock,
    InputError,
    Level,
    Option,
    Quantity,
    Rows,
    Whole,
    Working,
    worst,
)
from calc.core.formula import Constant, Formula, Symbol, ln
from calc.core.sources import (
    ACGIH_TLV,
    CFR_1910_95,
    CFR_1910_133,
    CFR_1910_146,
    CFR_1910_252,
    CFR_1910_253,
    CFR_1910_1026,
    CFR_1915_504,
    CFR_1915_1000,
    CGA_G1,
    COMMON,
    ENTERED,
    MICHIGAN_R408,
    NFPA_51B,
    NIOSH,
    OD0017,
    OSHA_SAMPLING,
    RTECS,
    WAC_296_24,
    WAC_296_155,
    WAC_296_307,
    WAC_CYLINDERS,
    Citation,
    Fact,
    Standing,
)
from calc.core.units import (
    AIR_FLOW,
    AIR_SPEED,
    CONCENTRATION,
    CURRENT,
    DISTANCE,
    FLOW,
    GAS_VOLUME,
    HOUR,
    LENGTH,
    MASS,
    MICROGRAM_PER_CUBIC_METRE,
    NUMBER,
    PERCENTAGE,
    PRESSURE,
    SOUND_LEVEL,
    SOUND_STEP,
    TIME,
    Kind,
    parse,
    show,
)
from calc.show import scales
from calc.show.sliders import AWAY, CURRENT_SET
from calc.stages.cutting import ACETYLENE_PRESSURE
from calc.stages.safety_drawings import clear_circle, room as draw_room

HOURS = TIME.shown_in(HOUR, HOUR)
MICROGRAMS = CONCENTRATION.shown_in(MICROGRAM_PER_CUBIC_METRE, MICROGRAM_PER_CUBIC_METRE)
YES_NO = (Option("yes", "Yes"), Option("no", "No"))
LOOKED = (*YES_NO, Option("unseen", "Not looked yet"))
WORKING_DAY = parse("8 h", HOURS)
DAY = parse("24 h", HOURS)


# --- lens shade --------------------------------------------------------------

SHADE_LEAST = Citation(CFR_1910_133, "(a)(5)", Standing.READ)
SHADE_GUIDE = Citation(
    MICHIGAN_R408, "R 408.40624a, Table 2", Standing.READ,
    "The older list of 29 CFR 1910.252(b)(2)(ii)(H). NAVEDTRA 14119, Table 7-1 prints the same.",
)


@dataclass(frozen=True)
class ArcShade:
    """A row of the table of least shades for stick welding. Sizes and currents hold the row's ends, both included."""

    key: str
    words: str
    least_size: str
    most_size: str
    least_amps: int
    most_amps: int
    shade: int

    def has_size(self, size: Fraction) -> bool:
        """Whether the rod belongs to this row; the first row stops short of 3/32 in, the last starts past 1/4 in."""
        low, high = parse(self.least_size, LENGTH), parse(self.most_size, LENGTH)
        if self.shade == 7:
            return size < high
        return low < size if self.shade == 11 else low <= size <= high

    def has_amps(self, amps: Fraction) -> bool:
        """Whether the current belongs to this row; the first row stops short of 60 A."""
        return amps < self.most_amps if self.shade == 7 else self.least_amps <= amps <= self.most_amps

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        return Fact(
            f"shade-least-arc-{self.key}", f"Minimum shade, stick welding, {self.words}", self.shade, NUMBER,
            SHADE_LEAST,
        )


ARC_SHADES: tuple[ArcShade, ...] = (
    ArcShade("under-60", "rod under 3/32 in (2.4 mm), under 60 A", "0 in", "3/32 in", 0, 60, 7),
    ArcShade("60-160", "rod 3/32 to 5/32 in (2.4 to 4 mm), 60 to 160 A", "3/32 in", "5/32 in", 60, 160, 8),
    ArcShade("160-250", "rod 5/32 to 1/4 in (4 to 6.4 mm), 160 to 250 A", "5/32 in", "1/4 in", 160, 250, 10),
    ArcShade("250-550", "rod over 1/4 in (6.4 mm), 250 to 550 A", "1/4 in", "3/8 in", 250, 550, 11),
)


@dataclass(frozen=True)
class GuideShade:
    """A row of the older guide list for stick welding: one shade up to a core diameter."""

    most_size: str
    words: str
    shade: int

    @property
    def fact(self) -> Fact:
        """The row as an entry of the register."""
        key = self.most_size.replace(" in", "").replace("/", "-")
        return Fact(
            f"shade-guide-arc-{key}", f"Guide shade, stick welding, {self.words}", self.shade, NUMBER, SHADE_GUIDE,
        )


GUIDE_SHADES: tuple[GuideShade, ...] = (
    GuideShade("5/32 in", "rod 1/16 to 5/32 in (1.6 to 4 mm)", 10),
    GuideShade("1/4 in", "rod 3/16 to 1/4 in (4.8 to 6.4 mm)", 12),
    GuideShade("3/8 in", "rod 5/16 to 3/8 in (7.9 to 9.5 mm)", 14),
)


@dataclass(frozen=True)
class CutShade:
    """A row for oxygen cutting: the least shade, and the two shades of the older guide list."""

    key: str
    words: str
    least: int
    guide_light: int
    guide_dark: int

    @property
    def facts(self) -> tuple[Fact, Fact]:
        """The row as two entries of the register: least shade and guide shades."""
        return (
            Fact(
                f"shade-least-cut-{self.key}", f"Minimum shade, oxygen cutting, {self.words}", self.least, NUMBER,
                SHADE_LEAST,
            ),
            Fact(
                f"shade-guide-cut-{self.key}", f"Guide shade, oxygen cutting, {self.words}", None, None, SHADE_GUIDE,
                f"{self.guide_light} or {self.guide_dark}",
            ),
        )


CUT_SHADES: tuple[CutShade, ...] = (
    CutShade("under-1", "plate under 1 in (25 mm)", 3, 3, 4),
    CutShade("1-6", "plate 1 to 6 in (25 to 150 mm)", 4, 4, 5),
    CutShade("over-6", "plate over 6 in (150 mm)", 5, 5, 6),
)
SHADE_RULE = Fact(
    "shade-start-dark", "How to choose a shade", None, None, SHADE_LEAST,
    "start with a shade that is too dark, then go lighter, never below the minimum shade",
)

DARKER = Fact(
    "shade-darker", "How many shades darker than the start still let you see the work, about", Fraction(2), NUMBER,
    COMMON,
)

ROD_SIZES = tuple(
    Option(size, f"{size} ({metric})", (size, *also))
    for size, metric, also in (
        ("1/16 in", "1.6 mm", ("1.6 mm",)), ("5/64 in", "2.0 mm", ("2 mm",)),
        ("3/32 in", "2.4 mm", ("2.4 mm", "2.5 mm")), ("1/8 in", "3.2 mm", ("3.2 mm",)),
        ("5/32 in", "4.0 mm", ("4 mm",)), ("3/16 in", "4.8 mm", ("4.8 mm", "5 mm")), ("7/32 in", "5.6 mm", ("5.6 mm",)),
        ("1/4 in", "6.4 mm", ("6.4 mm", "6 mm")), ("5/16 in", "7.9 mm", ("7.9 mm", "8 mm")),
        ("3/8 in", "9.5 mm", ("9.5 mm", "10 mm")),
    )
)


def least_arc_shade(size: Fraction, amps: Fraction) -> tuple[ArcShade, bool]:
    """The row of least shades for a rod (core diameter in metres, up to 3/8 in) and a current (A, up to 550).

    Also says whether one row holds both. Where none does, and where two rows meet,
    the darker one is taken. Source: 29 CFR 1910.133(a)(5). Raises `ValueError` above 550 A or 3/8 in.

    >>> row, agreed = least_arc_shade(parse("5/32 in", LENGTH), Fraction(120))
    >>> row.shade, agreed
    (8, True)
    >>> row, agreed = least_arc_shade(parse("1/8 in", LENGTH), Fraction(200))
    >>> row.shade, agreed
    (10, False)
    """
    if amps > ARC_SHADES[-1].most_amps or size > parse(ARC_SHADES[-1].most_size, LENGTH):
        raise ValueError("the table ends at 550 A and 3/8 in (9.525 mm)")
    by_size = [row for row in ARC_SHADES if row.has_size(size)]
    by_amps = [row for row in ARC_SHADES if row.has_amps(amps)]
    held = [row for row in by_size if row in by_amps]
    return max(held or by_size + by_amps, key=lambda row: row.shade), bool(held)


def cut_shade(thickness: Fraction) -> CutShade:
    """The row of shades for oxygen cutting of a plate (m): 1 in and 6 in belong to the middle row.

    >>> cut_shade(parse("3/8 in", LENGTH)).least, cut_shade(parse("1 in", LENGTH)).least
    (3, 4)
    """
    if thickness < parse("1 in", LENGTH):
        return CUT_SHADES[0]
    return CUT_SHADES[1] if thickness <= parse("6 in", LENGTH) else CUT_SHADES[2]


def work_lens_shade(
    w: Working, *, process: str, electrode: str, amps: Fraction, thickness: Fraction, lens: int | None,
) -> None:
    """The least shade by rule, the shade to start with, and how a lens in hand stands to them.

    A reading of tables, no formula: rod (core diameter, m) and current (A) for stick welding, up to 3/8 in and 550 A;
    plate thickness (m) for oxygen cutting. Where rod and current name two rows the darker one counts.

    Raises nothing of its own: the fields hold the ranges. Source: 29 CFR 1910.133(a)(5), read, for the least shade; the
    older list in Michigan R 408.40624a, Table 2, read, for the start; how dark is too dark is common practice.

    1910.133(a)(5) prints 8 for rods of 3/32 to 5/32 in at 60 to 160 A, the older list 10:

    >>> answer = LENS_SHADE.answer(electrode="1/8 in", amps="120 A")
    >>> answer["least_shade"].amount, answer["start_shade"].amount
    (8, 10)
    """
    if process == "arc":
        least, start = _arc_shades(w, parse(electrode, LENGTH), amps)
        lightest, seen = start, "the puddle and its edges"
    else:
        least, lightest, start = _cut_shades(w, thickness)
        seen = "the cut and its line"
    source = SHADE_LEAST if start == least else SHADE_GUIDE
    w.value("start_shade", "Shade to start with, or darker", start, NUMBER, source=source, main=True)
    w.say(
        f"Start with shade {{start_shade}} or darker. Go lighter only as far as you need to see {seen}, and never "
        "below shade {least_shade}."
    )
    if lens is not None:
        _check_lens(w, lens, least, lightest, start)
    w.draw(scales.shades(w, lens))
    w.warn(
        "A lens too light lets the arc burn your eyes, and you feel it only hours later. A lens too dark makes you "
        "lean into the fume to see."
    )
    w.warn("Wear safety glasses under the welding helmet. The helmet comes up while slag still flies.")
    w.warn("If your eyes tire or water after welding, say so the same day and go darker.")


def _arc_shades(w: Working, size: Fraction, amps: Fraction) -> tuple[int, int]:
    w.given("electrode", "d", size, LENGTH)
    w.given("amps", "I", amps, CURRENT)
    row, agreed = least_arc_shade(size, amps)
    guide = next(each for each in GUIDE_SHADES if size <= parse(each.most_size, LENGTH))
    w.value("least_shade", f"Minimum shade by rule, {row.words}", row.shade, NUMBER, source=SHADE_LEAST, main=True)
    w.value(
        "guide_shade", f"Shade of the older guide list, {guide.words}", guide.shade, NUMBER, source=SHADE_GUIDE,
        main=True,
    )
    if agreed:
        w.note("table-row", "One row of the table holds both your {electrode} rod and your {amps}.", source=SHADE_LEAST)
    else:
        w.caution(
            "table-row", "No row of the table holds both a {electrode} rod and {amps}: check the two figures. "
            "The darker of the two rows is taken.", source=SHADE_LEAST,
        )
    return row.shade, max(row.shade, guide.shade)


def _cut_shades(w: Working, thickness: Fraction) -> tuple[int, int, int]:
    """The least shade by rule, and the lighter and the darker one of the older list."""
    row = cut_shade(thickness)
    w.value("least_shade", f"Minimum shade by rule, {row.words}", row.least, NUMBER, source=SHADE_LEAST, main=True)
    w.words(
        "guide_shade", f"Shade of the older guide list, {row.words}", f"{row.guide_light} or {row.guide_dark}",
        source=SHADE_GUIDE, main=True,
    )
    return row.least, row.guide_light, row.guide_dark


def _check_lens(w: Working, lens: int, least: int, lightest: int, start: int) -> None:
    w.given("lens", "s", lens, NUMBER)
    if lens < least:
        w.stop(
            "lens", "Shade {lens} is lighter than the minimum shade {least_shade}. Do not strike an arc or light a "
            "torch with it.", source=SHADE_LEAST,
        )
    elif lens < lightest:
        w.caution(
            "lens", "Shade {lens} is allowed, but it is lighter than shade {start_shade}, where the guide list starts. "
            "Come down to it from a darker one.", source=SHADE_GUIDE,
        )
    elif lens > start + DARKER.amount:
        w.mention("darker", DARKER)
        w.caution(
            "lens", "Shade {lens} is more than {darker} shades darker than shade {start_shade}, where the guide list "
            "starts: you will not see the work and will lean into the fume. Go lighter.", source=DARKER.source,
        )
    else:
        w.ok(
            "lens", "Shade {lens} is dark enough. If you cannot see the work well, go one shade lighter, never below "
            "shade {least_shade}.", source=SHADE_RULE.source,
        )


LENS_SHADE = Calculator(
    id="lens-shade",
    title="Lens shade",
    question="What shade must my lens have, and what shade do I start with?",
    page="safety.md",
    work=work_lens_shade,
    main=("electrode", "amps", "lens"),
    inputs=(
        Choice(
            "process", "What you are doing", (Option("arc", "Stick welding"), Option("cutting", "Oxygen cutting")),
            "arc", "Other processes have other rows. Ask your instructor.",
        ),
        Choice(
            "electrode", "Core diameter of the rod", ROD_SIZES, "1/8 in",
            "For welding. The bare wire, without the covering.", "d",
            takes="diameter",
        ),
        Quantity(
            "amps", "Amperage set", CURRENT, "120 A", "1 A", "550 A", "For welding. The table ends at 550 A.", "I",
            slide=CURRENT_SET,
        ),
        Quantity(
            "thickness", "Plate thickness", LENGTH, "3/8 in", "1/16 in", "24 in", "For cutting.", "t",
            common=("3/8 in", "1 in"),
        ),
        Whole(
            "lens", "Shade of the lens in your hand", "", 1, 14,
            "Stamped on its edge or corner. Leave blank to skip the check.", "s",
        ),
    ),
)


# --- hot work ----------------------------------------------------------------

HOT_WORK = Citation(WAC_296_307, "fire watch", Standing.READ, "The state text mirrors 29 CFR 1910.252(a)(2)(iii).")
HOT_WORK_SHIPYARD = Citation(CFR_1915_504, "", Standing.READ)
SHIELDING = Citation(CFR_1910_252, "(a)(2)(vii)", Standing.FROM_MEMORY)
LONG_WATCH = Citation(NFPA_51B, "fire watch", Standing.FROM_MEMORY)
HOT_WORK_RADIUS = Fact(
    "hot-work-radius", "Distance that must be clear of anything that burns, and of open holes",
    parse("35 ft", DISTANCE), DISTANCE, HOT_WORK,
)
WATCH_OSHA = Fact("fire-watch-osha", "Fire watch after the work ends, OSHA", parse("30 min", TIME), TIME, HOT_WORK)
WATCH_SHIPYARD = Fact(
    "fire-watch-shipyard", "Fire watch after the work ends, OSHA shipyards", parse("30 min", TIME), TIME,
    HOT_WORK_SHIPYARD,
)
WATCH_NFPA = Fact(
    "fire-watch-nfpa", "Fire watch after the work ends, NFPA 51B", parse("60 min", TIME), TIME, LONG_WATCH,
)
_WATCHES = {"osha": WATCH_OSHA, "nfpa": WATCH_NFPA}


def watch_end(finished: datetime.time, watch: Fraction) -> tuple[datetime.time, int]:
    """When a watch of so many seconds ends, and how many midnights it crosses.

    >>> watch_end(datetime.time(23, 40), parse("61 min", TIME))
    (datetime.time(0, 41), 1)
    """
    minutes = finished.hour * 60 + finished.minute + math.ceil(watch / 60)
    days, rest = divmod(minutes, 24 * 60)
    return datetime.time(rest // 60, rest % 60), days


def _clock_words(finished: datetime.time, watch: Fraction) -> str:
    end, days = watch_end(finished, watch)
    return f"{end:%H:%M}" + (" the next day" if days else "")


def work_hot_work(
    w: Working, *, combustibles: Fraction, movable: str, openings: str, metal_walls: str, finished: datetime.time,
    rule: str, shielded: str, covered: str,
) -> None:
    """Whether the place is clear enough for sparks, and until when somebody watches.

        s = r − x    end of the watch = end of the work + length of the watch

    x distance to the nearest thing that burns and r the clear radius, m; s what is missing.

    Raises nothing of its own: the fields hold the ranges. Source: WAC 296-307-49503 as 29 CFR 1910.252(a)(2), read, 35
    ft and 30 min; NFPA 51B, from memory, 60 min. What may be shielded: 29 CFR 1910.252(a)(2)(vii), from memory.

    >>> HOT_WORK_CHECK.answer(finished="23:40", rule="nfpa")["watch_end"].wording
    '00:40 the next day'
    """
    near = w.given("combustibles", "x", combustibles, DISTANCE)
    radius = w.value(
        "clear_radius", HOT_WORK_RADIUS.label, HOT_WORK_RADIUS.amount, DISTANCE, source=HOT_WORK, symbol="r", main=True,
    )
    _watch(w, finished, rule)
    short = combustibles < HOT_WORK_RADIUS.amount
    if short:
        w.let("shortfall", "How much clear distance is missing", "s", DISTANCE, radius - near, source=HOT_WORK)
    w.draw(clear_circle(w))
    _check_distance(w, short, movable, shielded)
    _check_openings(w, openings, covered)
    _check_metal(w, metal_walls)
    if rule == "osha":
        w.caution(
            "watch", "You chose {half_hour}. NFPA 51B asks for {full_hour}: stay until {end_nfpa} unless your permit "
            "says more.", source=LONG_WATCH,
        )
    start = {
        Level.STOP: "Do not start yet: see the checks.", Level.INCOMPLETE: "Look first: see the checks.",
        Level.CAUTION: "Only with a fire watch from the first spark: see the checks.",
    }.get(worst(check.level for check in w.checks), "Nothing that you entered forbids it; the permit decides.")
    w.say(f"{start} Work that ends at {finished:%H:%M} is watched for {{watch}}, until {{watch_end}}.")
    w.warn(
        "The hot work permit decides: who may give it, how far, how long. If it asks for more than this, it wins."
    )
    w.warn(
        "The fire watch does nothing else, has a charged extinguisher or hose in reach, and knows how to sound the "
        "alarm."
    )
    w.warn("Sparks from overhead work, and sparks in wind, go farther. Then clear more.")


def _watch(w: Working, finished: datetime.time, rule: str) -> None:
    """Length and end of the watch by the rule chosen, and both ends beside it."""
    chosen = _WATCHES[rule]
    w.value(
        "watch", "Length of the fire watch by the rule chosen", chosen.amount, TIME, source=chosen.source, main=True,
    )
    w.words(
        "watch_end", "The fire watch ends at", _clock_words(finished, chosen.amount), source=chosen.source, main=True,
    )
    for name, fact, place in (("end_osha", WATCH_OSHA, "OSHA"), ("end_nfpa", WATCH_NFPA, "NFPA 51B")):
        w.words(name, f"End of the fire watch, {place}", _clock_words(finished, fact.amount), source=fact.source)
    w.mention("half_hour", WATCH_OSHA)
    w.mention("full_hour", WATCH_NFPA)


def _check_distance(w: Working, short: bool, movable: str, shielded: str) -> None:
    if not short:
        w.ok(
            "distance", "The nearest thing that burns is {combustibles} away, not closer than {clear_radius}.",
            source=HOT_WORK,
        )
    elif movable == "yes":
        w.stop(
            "distance", "What burns is {combustibles} away, closer than {clear_radius}. Move it, or move the work, "
            "{shortfall} farther before you start.", source=HOT_WORK,
        )
    elif shielded == "yes":
        w.caution(
            "distance", "What burns is {combustibles} away, closer than {clear_radius}, cannot be moved and is "
            "shielded. See that guards and covers do not burn and leave no gap, and keep a fire watch from the first "
            "spark.", source=SHIELDING,
        )
    else:
        w.stop(
            "distance", "What burns is {combustibles} away, closer than {clear_radius}, and cannot be moved. Move the "
            "work. If that cannot be done either, shield it with guards or covers that do not burn, and keep a fire "
            "watch. If it cannot be shielded, do not weld or cut here.", source=HOT_WORK,
        )


def _check_openings(w: Working, openings: str, covered: str) -> None:
    if openings == "unseen":
        w.incomplete(
            "openings", "Nobody has looked for holes and cracks within {clear_radius} yet. Walk the circle: floor, "
            "walls, drains, ducts, cable holes, doors.", source=HOT_WORK,
        )
    elif openings == "no":
        w.note(
            "openings", "You entered no hole. Walk around once more and look, also for cracks, drains and cable "
            "holes.", source=COMMON,
        )
    elif covered == "yes":
        w.caution(
            "openings", "The holes within {clear_radius} are covered. Have the floor below and the far side of the "
            "walls watched all the same.", source=HOT_WORK,
        )
    else:
        w.stop(
            "openings", "Cover or plug every hole and crack in floor and walls within {clear_radius}. Sparks fall "
            "through and start a fire where nobody looks. Have the floor below watched too.", source=HOT_WORK,
        )


def _check_metal(w: Working, metal_walls: str) -> None:
    if metal_walls == "unseen":
        w.incomplete(
            "metal-walls", "Nobody has looked at the far side of metal walls, ceilings and pipes yet. Go and look.",
            source=HOT_WORK,
        )
    elif metal_walls == "no":
        w.note(
            "metal-walls", "You entered no metal wall with something that burns behind it. Look at the far side once "
            "more.", source=COMMON,
        )
    else:
        w.stop(
            "metal-walls", "Metal carries heat through. Move what burns away from the far side, and put a second fire "
            "watch there.", source=HOT_WORK,
        )


HOT_WORK_CHECK = Calculator(
    id="hot-work",
    title="Hot work and fire watch",
    question="Is the place clear enough for hot work, and when does the fire watch end?",
    page="safety.md",
    work=work_hot_work,
    main=("combustibles", "movable", "finished"),
    inputs=(
        Quantity(
            "combustibles", "Distance to the nearest thing that burns", DISTANCE, "20 ft", "0 ft", "1000 ft",
            "In any direction, also below and behind. Rags, wood, paper, oil, fuel, dust.", "x",
            common=("20 ft", "35 ft"), slide=AWAY,
        ),
        Choice("movable", "Can it be moved", YES_NO, "yes", "Something built in cannot."),
        Choice(
            "openings", "Holes in floor or walls in that circle", LOOKED, "no",
            "Cracks, drains, ducts, cable holes, open doors.",
        ),
        Choice(
            "metal_walls", "Metal wall, ceiling or pipe with something that burns behind it", LOOKED, "no",
            "Look at the far side.",
        ),
        Clock("finished", "When the last spark fell", "23:40", "Torch, arc and grinder all off."),
        Choice(
            "rule", "Rule for the fire watch",
            (Option("nfpa", "60 minutes (NFPA 51B)"), Option("osha", "30 minutes (OSHA)")), "nfpa",
            "Your permit names the rule.",
        ),
        Choice(
            "shielded", "Shielded with guards that do not burn", YES_NO, "no", "Counts only for what cannot be moved.",
        ),
        Choice("covered", "Holes covered or plugged", YES_NO, "no", "All of them, with something that does not burn."),
    ),
)


# --- ventilation -------------------------------------------------------------

ROOM_AIR = Citation(CFR_1910_252, "(c)(2)", Standing.READ)
HOODS = Citation(WAC_296_24, "296-24-71505", Standing.READ, "The state text mirrors 29 CFR 1910.252(c)(3).")
CONFINED = Citation(CFR_1910_252, "(c)(4)", Standing.FROM_MEMORY, "See also 29 CFR 1910.146.")
OWN_RULES = Citation(CFR_1910_252, "(c)(5) to (c)(12)", Standing.FROM_MEMORY)
NO_OXYGEN = Citation(WAC_296_155, "296-155-415", Standing.READ)
ROOM_VOLUME = Fact(
    "ventilation-volume", "Room volume for each welder below which mechanical ventilation is needed",
    parse("10000 ft3", GAS_VOLUME), GAS_VOLUME,
    Citation(CFR_1910_252, "(c)(2)", Standing.READ, "The text prints 284 m³ beside it."),
)
ROOM_HEIGHT = Fact(
    "ventilation-ceiling", "Ceiling height below which mechanical ventilation is needed", parse("16 ft", DISTANCE),
    DISTANCE,
    Citation(CFR_1910_252, "(c)(2)", Standing.READ, "The text prints 5 m beside it."),
)
ROOM_FLOW = Fact(
    "ventilation-flow", "Air to move for each welder", parse("2000 ft3/min", AIR_FLOW), AIR_FLOW,
    Citation(CFR_1910_252, "(c)(2)", Standing.READ, "The text prints 57 m³/min beside it."),
)
HOOD_SPEED = Fact(
    "ventilation-hood-speed", "Minimum air speed at the weld, toward the local exhaust", parse("100 ft/min", AIR_SPEED),
    AIR_SPEED, HOODS,
)
CONFINED_RULE = Fact(
    "confined-space-rule", "Confined spaces", None, None, Citation(CFR_1910_146, "", Standing.FROM_MEMORY),
    "permit, tested air, a trained attendant outside and a way to get you out",
)
OXYGEN_RULE = Fact("ventilation-never-oxygen", "Oxygen for ventilation", None, None, NO_OXYGEN, "never")
METRIC_VOLUME, METRIC_HEIGHT = parse("284 m3", GAS_VOLUME), parse("5 m", DISTANCE)


@dataclass(frozen=True)
class HoodRow:
    """A row of the table of local exhaust: distance from the arc, minimum air flow, duct diameter."""

    least: str
    most: str
    flow: str
    duct: str

    @property
    def facts(self) -> tuple[Fact, Fact]:
        """The row as two entries of the register: flow and duct."""
        key = f"{self.least.removesuffix(' in')}-{self.most.removesuffix(' in')}"
        metric = " to ".join(f"{float(parse(end, LENGTH)) * 1000:.0f}" for end in (self.least, self.most))
        words = f"local exhaust {self.least.removesuffix(' in')} to {self.most} ({metric} mm) from the arc"
        return (
            Fact(f"hood-flow-{key}", f"Minimum air flow, {words}", parse(self.flow, AIR_FLOW), AIR_FLOW, HOODS),
            Fact(f"hood-duct-{key}", f"Duct diameter, {words}", parse(self.duct, LENGTH), LENGTH, HOODS),
        )


HOOD_ROWS: tuple[HoodRow, ...] = (
    HoodRow("4 in", "6 in", "150 ft3/min", "3 in"),
    HoodRow("6 in", "8 in", "275 ft3/min", "3-1/2 in"),
    HoodRow("8 in", "10 in", "425 ft3/min", "4-1/2 in"),
    HoodRow("10 in", "12 in", "600 ft3/min", "5-1/2 in"),
)


def hood_row(distance: Fraction) -> HoodRow:
    """The row for a hood so far from the arc (m, up to 12 in). Where two rows meet, the one with more air.

    Closer than the table begins, its first row. Source: WAC 296-24-71505. Raises `ValueError` beyond 12 in.

    >>> hood_row(parse("8 in", LENGTH)).flow
    '425 ft3/min'
    """
    for row in reversed(HOOD_ROWS):
        if parse(row.least, LENGTH) <= distance <= parse(row.most, LENGTH):
            return row
    if distance > parse(HOOD_ROWS[-1].most, LENGTH):
        raise ValueError("the table ends at 12 in (304.8 mm)")
    return HOOD_ROWS[0]


def work_ventilation(
    w: Working, *, length: Fraction, width: Fraction, height: Fraction, welders: int, confined: str,
    hood: Fraction | None, fan: Fraction | None, metal: str,
) -> None:
    """Whether air must be moved in a room, and how much.

        V = L·W·H    V_1 = V / n    Q = q·n    N = Q·T / V

    L, W, H of the room, m; n people with an arc or a torch; q air to move for each, m³/s; T one hour; N changes an
    hour.

    Raises nothing of its own: the fields hold the ranges. Source: 29 CFR 1910.252(c)(2), read, for room and flow, and
    (c)(3) for hoods; (c)(4) to (c)(12) from memory for confined spaces and for metals with rules of their own.

    The rule prints 57 m³/min beside its 2,000 ft³/min:

    >>> round(float(VENTILATION.answer(welders="1")["total_flow"].amount) * 60)
    57
    """
    _room_figures(w, length, width, height, welders)
    w.draw(draw_room(w, welders))
    per_welder = w.known["volume_per_welder"].amount
    reasons = _check_room(w, per_welder, height, confined)
    w.words(
        "needed", "Mechanical ventilation", "needed" if reasons else "not required by these figures", source=ROOM_AIR,
        main=True,
    )
    _check_moved_air(w, "volume" in reasons or "height" in reasons, fan, hood is not None)
    if hood is not None:
        _hood(w, hood)
    _check_metal_air(w, metal)
    _say_ventilation(w, reasons)
    w.warn("Keep your head out of the plume. Moving your face to the side does more than any fan.")
    w.warn("Never freshen the air with oxygen. Clothes and hair then burn at once and fiercely.")
    w.warn(
        "Coated, plated or stainless metal, or a fume that makes you cough or feel sick: stop, get out, tell your "
        "instructor."
    )


def _room_figures(w: Working, length: Fraction, width: Fraction, height: Fraction, welders: int) -> None:
    """Volume, volume for each welder, air to move and how often that renews the air."""
    long = w.given("length", "L", length, DISTANCE)
    wide = w.given("width", "W", width, DISTANCE)
    high = w.given("height", "H", height, DISTANCE)
    count = w.given("welders", "n", welders, NUMBER)
    room = w.let("room_volume", "Volume of the room", "V", GAS_VOLUME, long * wide * high)
    w.let("volume_per_welder", "Volume for each welder", "V_1", GAS_VOLUME, room / count, main=True)
    per_welder = w.fact(ROOM_FLOW, "q")
    flow = w.let(
        "total_flow", "Air to move for all welders", "Q", AIR_FLOW, per_welder * count, source=ROOM_FLOW.source,
        main=True,
    )
    hour = w.given("hour", "T", parse("60 min", TIME), TIME)
    w.let("air_changes", "How often that renews the air in an hour", "N", NUMBER, flow * hour / room, digits=3)


def _say_ventilation(w: Working, reasons: list[str]) -> None:
    if "confined" in reasons:
        w.say(
            "Do not work here: a confined space has rules of its own, and room figures do not make it safe. Each "
            "welder has {volume_per_welder}; the room rule alone would ask for {total_flow}."
        )
    elif reasons:
        w.say(
            "Mechanical ventilation is needed here. Each welder has {volume_per_welder}; move at least {total_flow} in "
            "all, or use local exhaust at each arc."
        )
    else:
        w.say(
            "These figures alone do not call for mechanical ventilation: each welder has {volume_per_welder}. If fume "
            "hangs in the air, move {total_flow} all the same."
        )


def _check_room(w: Working, per_welder: Fraction, height: Fraction, confined: str) -> list[str]:
    """The reasons that call for moved air, each with its note; a confined space stops the work."""
    w.mention("least_volume", ROOM_VOLUME)
    w.mention("least_height", ROOM_HEIGHT)
    reasons = []
    if confined == "yes":
        reasons.append("confined")
        w.stop(
            "confined", "Never practice alone in a confined or closed-in space: it takes a permit, tested air, a "
            "trained attendant outside and a way to get you out. Room figures do not make it safe.", source=CONFINED,
        )
    for name, value, limit, metric, words, source in (
        (
            "volume", per_welder, ROOM_VOLUME.amount, METRIC_VOLUME, "{volume_per_welder} for each welder",
            ROOM_VOLUME.source,
        ),
        ("height", height, ROOM_HEIGHT.amount, METRIC_HEIGHT, "A ceiling of {height}", ROOM_HEIGHT.source),
    ):
        if value < limit:
            reasons.append(name)
            w.note(name, f"{words} is less than {{least_{name}}}: mechanical ventilation is needed.", source=source)
        elif value < metric:
            reasons.append(f"{name} in meters")
            w.caution(
                name, f"{words} is not less than {{least_{name}}}, but less than the rounded metric figure that the "
                "text prints beside it. Move the air all the same.", source=source,
            )
        else:
            w.ok(name, f"{words} is not less than {{least_{name}}}.", source=source)
    return reasons


def _check_moved_air(w: Working, needed: bool, fan: Fraction | None, hooded: bool) -> None:
    """The air that is moved against what the rule asks for; check `moved-air`."""
    needs = w.known["total_flow"].amount
    if fan is not None:
        w.given("fan", "Q_fan", fan, AIR_FLOW)
        if fan >= needs:
            w.ok(
                "moved-air", "Fans that move {fan} bring the {total_flow} that the rule asks for.",
                source=ROOM_FLOW.source,
            )
        elif needed:
            w.stop(
                "moved-air", "Fans that move {fan} bring less than the {total_flow} that this room asks for.",
                source=ROOM_FLOW.source,
            )
        else:
            w.note(
                "moved-air", "Fans that move {fan} bring less than {total_flow}; these figures alone do not ask for "
                "it.",
                source=ROOM_FLOW.source,
            )
    elif needed and hooded:
        w.caution(
            "moved-air", "The room needs mechanical ventilation, and you entered a local exhaust. Have its flow "
            "measured, and see that every arc has one.", source=HOODS,
        )
    elif needed:
        w.incomplete(
            "moved-air", "The room needs {total_flow} of air moved. Whether fans or local exhaust bring it was not "
            "entered: have it measured, and enter it.", source=ROOM_AIR,
        )


def _check_metal_air(w: Working, metal: str) -> None:
    if metal == "zinc-coated":
        w.stop(
            "metal", "Zinc, and other coatings and metals, have rules of their own for air, whatever the room. Take "
            "the coating off well past the heat, or work by those rules with a qualified person.", source=OWN_RULES,
        )
    elif metal == "other":
        w.not_known(
            "metal", "Which rule of air your metal has is not known here: lead, cadmium, beryllium, mercury, fluorides "
            "and stainless steel each have their own. Ask for its safety data sheet, and ask your instructor.",
            source=OWN_RULES,
        )


def _hood(w: Working, distance: Fraction) -> None:
    w.given("hood", "x", distance, LENGTH)
    row = hood_row(distance)
    flow, duct = row.facts
    w.value("hood_flow", flow.label, flow.amount, AIR_FLOW, source=HOODS, main=True)
    w.value("hood_duct", duct.label, duct.amount, LENGTH, source=HOODS, as_fraction=True)
    if distance < parse(HOOD_ROWS[0].least, LENGTH):
        w.caution(
            "hood", "A local exhaust {hood} away is closer than the table begins; its first row is taken. See that it "
            "does not draw off the shielding gas of your arc.", source=HOODS,
        )
    else:
        w.note(
            "hood", "A local exhaust {hood} from the arc must draw at least {hood_flow} through a duct of {hood_duct}. "
            "Whether yours does was not measured.", source=HOODS,
        )


VENTILATION = Calculator(
    id="ventilation",
    title="Air for the welders",
    question="Does this room need mechanical ventilation, and how much air must it move?",
    page="safety-body.md",
    work=work_ventilation,
    main=("length", "width", "height", "welders"),
    inputs=(
        Quantity("length", "Length of the room", DISTANCE, "40 ft", "3 ft", "1000 ft", "Inside, wall to wall.", "L"),
        Quantity("width", "Width of the room", DISTANCE, "30 ft", "3 ft", "1000 ft", "Inside, wall to wall.", "W"),
        Quantity(
            "height", "Height of the ceiling", DISTANCE, "14 ft", "3 ft", "200 ft", "At its lowest.", "H",
            common=("12 ft", "16 ft"),
        ),
        Whole(
            "welders", "People welding or cutting at once", "4", 1, 200, "Count everyone with an arc or a torch.", "n",
        ),
        Choice(
            "confined", "Confined, or walled off so that air cannot cross", YES_NO, "no",
            "A tank, a pit, a box section, a booth closed to the ceiling.",
        ),
        Quantity(
            "hood", "Local exhaust, distance from the arc", LENGTH, "", "1 in", "12 in",
            "Leave blank where there is none.", "x", common=("5 in", "8 in"),
        ),
        Quantity(
            "fan", "Air that the fans of the room move", AIR_FLOW, "", "1 ft3/min", "10000000 ft3/min",
            "All together, as measured. Leave blank where there are none, or where nobody measured.", "Q_fan",
        ),
        Choice(
            "metal", "Metal",
            (
                Option("plain", "Plain steel, bare and clean"), Option("zinc-coated", "Zinc-coated steel"),
                Option("other", "Another metal or coating"),
            ),
            "plain", "Coated and other metals have rules of their own.",
        ),
    ),
)


# --- acetylene ---------------------------------------------------------------

ACETYLENE_LEAST = Fact(
    "acetylene-pressure-least", "Minimum acetylene pressure at a cutting tip, by the gauge", parse("3 psi", PRESSURE),
    PRESSURE,
    Citation(
        None, "Typical band for oxyacetylene cutting by hand", Standing.FROM_MEMORY,
        "Low confidence. Use the maker's tip chart.",
    ),
)


@dataclass(frozen=True)
class DrawRule:
    """A rule for how fast a cylinder may give acetylene: emptied over no fewer than so many hours."""

    key: str
    share: str
    use: str
    hours: int
    source: Citation

    @property
    def fact(self) -> Fact:
        """The rule as an entry of the register."""
        label = f"Maximum acetylene to draw from a cylinder in an hour, {self.use}"
        return Fact(f"acetylene-draw-{self.key}", label, None, None, self.source, f"{self.share} of its content")


_GAS_ASSOCIATION = "We are not sure of the edition. Ask your supplier."
DRAW_RULES: tuple[DrawRule, ...] = (
    DrawRule(
        "seventh", "one seventh", "older rule", 7,
        Citation(None, "Older trade rule, reported in a secondary text", Standing.SECONDARY),
    ),
    DrawRule(
        "tenth", "one tenth", "intermittent use", 10,
        Citation(
            CGA_G1, "withdrawal rates", Standing.FROM_MEMORY, f"{_GAS_ASSOCIATION} A secondary text reports one tenth "
            "as the stricter rule.",
        ),
    ),
    DrawRule(
        "fifteenth", "one fifteenth", "continuous use", 15,
        Citation(CGA_G1, "withdrawal rates", Standing.FROM_MEMORY, _GAS_ASSOCIATION),
    ),
)
DRAW_ARMY = Fact(
    "acetylene-draw-most", "Maximum continuous draw from one cylinder", parse("50 ft3/h", FLOW), FLOW,
    Citation(OD0017, "page 107", Standing.READ),
)
_BY_USE = {"intermittent": "tenth", "continuous": "fifteenth"}


def draw_rule(key: str) -> DrawRule:
    """The rule of that key: `seventh`, `tenth` or `fifteenth`. Raises `StopIteration` for another.

    >>> draw_rule("fifteenth").hours
    15
    """
    return next(rule for rule in DRAW_RULES if rule.key == key)


def work_acetylene_draw(
    w: Working, *, content: Fraction, flow: Fraction, use: str, rule: str, pressure: Fraction,
) -> None:
    """Whether a cylinder may give the flow wanted, how many are needed, and whether the pressure is allowed.

        Q_T = V / T    n = Q / Q_T, rounded up    Q_1 = Q / n

    V acetylene left in the cylinder, m³; T 7, 10 or 15 hours by the rule; Q flow wanted, m³/s.

    Raises nothing of its own: the fields hold the ranges. Source: one seventh, secondary; one tenth and one fifteenth,
    from memory; 50 ft³/h from OD0017, read; 15 psi from 29 CFR 1910.253(a)(2), read.

    A tenth of 300 ft³ is 30 ft³/h:

    >>> answer = ACETYLENE_DRAW.answer(content="300 ft3", use="intermittent")
    >>> answer["safe_rate"].amount == parse("30 ft3/h", FLOW)
    True
    """
    held = w.given("content", "V", content, GAS_VOLUME)
    wanted = w.given("flow", "Q", flow, FLOW)
    w.given("pressure", "p", pressure, PRESSURE)
    chosen = draw_rule(_BY_USE[use] if rule == "by-use" else rule)
    rates: dict[str, Symbol] = {}
    for each in DRAW_RULES:
        hours = w.given(f"hours_{each.key}", f"T_{each.hours}", each.hours * 3600, HOURS)
        rates[each.key] = w.let(
            f"rate_{each.key}", f"Rate from one cylinder, {each.share} an hour", f"Q_{each.hours}", FLOW, held / hours,
            source=each.source,
        )
    rate = rates[chosen.key]
    w.value(
        "safe_rate", f"Safe rate from one cylinder, {chosen.share} an hour", rate.amount, FLOW, source=chosen.source,
        main=True,
    )
    w.let("share", "Cylinders by the rule, before rounding up", "n", NUMBER, wanted / rate, source=chosen.source)
    cylinders = math.ceil(flow / rate.amount)
    w.value("cylinders", "Cylinders needed", cylinders, NUMBER, source=chosen.source, main=True)
    w.let("each_gives", "Each cylinder then gives", "Q_1", FLOW, wanted / Symbol("N", cylinders, NUMBER))
    _check_draw(w, chosen, use, flow, cylinders, rates[_BY_USE[use]].amount)
    _check_pressure(w, pressure)
    first = "Turn the acetylene down first: {pressure} is too high. " if pressure > ACETYLENE_PRESSURE.amount else ""
    needs = "one cylinder" if cylinders == 1 else "{cylinders} cylinders on one manifold"
    w.say(f"{first}One cylinder may give {{safe_rate}} by this rule. Your {{flow}} needs {needs}.")
    w.draw(scales.acetylene(w))
    w.warn(
        "Draw too fast and the solvent comes out with the gas: the flame spits, the hose rots, the cylinder is left "
        "dry and unsafe."
    )
    w.warn(
        "Keep acetylene cylinders upright in use and in storage. One that has lain flat must stand upright before it "
        "is used."
    )
    w.warn(
        "A manifold is built, checked and opened by a person who is qualified for it. Never join cylinders with your "
        "own fittings."
    )


def _check_draw(
    w: Working, chosen: DrawRule, use: str, flow: Fraction, cylinders: int, cautious_rate: Fraction,
) -> None:
    source, cautious = chosen.source, draw_rule(_BY_USE[use])
    if flow / cylinders > cautious_rate:
        w.caution(
            "draw-rule", f"The rule chosen allows more than the rule for {use} use, which is {{rate_{cautious.key}}} "
            "from one cylinder. Each would give {each_gives}.", source=cautious.source,
        )
    if cylinders == 1:
        w.ok("cylinders", "{flow} is not more than the {safe_rate} that one cylinder may give.", source=source)
    else:
        w.stop(
            "cylinders", "{flow} is more than the {safe_rate} that one cylinder may give. One cylinder is not enough.",
            source=source,
        )
    w.mention("army", DRAW_ARMY)
    if flow / cylinders > DRAW_ARMY.amount:
        w.check(
            Level.STOP if use == "continuous" else Level.CAUTION, "continuous-draw", "Each cylinder would give "
            "{each_gives}. An army course sets {army} as the maximum for continuous use.", source=DRAW_ARMY.source,
        )


def _check_pressure(w: Working, pressure: Fraction) -> None:
    w.mention("most_pressure", ACETYLENE_PRESSURE)
    w.mention("least_pressure", ACETYLENE_LEAST)
    if pressure > ACETYLENE_PRESSURE.amount:
        w.stop(
            "pressure", "{pressure} is over {most_pressure}. Free acetylene can explode above it without air or flame. "
            "Turn it down now.", source=ACETYLENE_PRESSURE.source,
        )
    elif pressure < ACETYLENE_LEAST.amount:
        w.caution(
            "pressure", "{pressure} is less than {least_pressure}, where cutting tips begin: too little starves the "
            "tip and lets the flame burn back into it. Read the gauge again, and go by the tip chart.",
            source=ACETYLENE_LEAST.source,
        )
    else:
        w.ok(
            "pressure", "{pressure} is not over {most_pressure}. Set no more than the tip chart asks for.",
            source=ACETYLENE_PRESSURE.source,
        )


ACETYLENE_DRAW = Calculator(
    id="acetylene-draw",
    title="Acetylene draw",
    question="May this cylinder give the flow I want, and at this pressure?",
    page="safety-gas.md",
    work=work_acetylene_draw,
    main=("content", "flow", "pressure"),
    inputs=(
        Quantity(
            "content", "Acetylene in the cylinder", GAS_VOLUME, "145 ft3", "5 ft3", "1000 ft3",
            "What is left in it now, not what it holds when full.", "V", common=("75 ft3", "145 ft3", "300 ft3"),
            takes="acetylene_cylinder",
        ),
        Quantity(
            "flow", "Flow wanted", FLOW, "16 ft3/h", "0.1 ft3/h", "2000 ft3/h",
            "From the tip chart: preheat flames at full flow, all torches.", "Q",
            takes="cut-speed.fuel_flow_high",
        ),
        Choice(
            "use", "Use",
            (
                Option("intermittent", "Intermittent: short cuts with pauses"),
                Option("continuous", "Continuous: one long draw"),
            ),
            "intermittent", "A long track cut or heating is continuous.",
        ),
        Choice(
            "rule", "Rule",
            (
                Option("by-use", "By use: one tenth, or one fifteenth if continuous"),
                Option("seventh", "One seventh an hour (older)"), Option("tenth", "One tenth an hour"),
                Option("fifteenth", "One fifteenth an hour"),
            ),
            "by-use", "Your shop or the gas supplier names one.",
        ),
        Quantity(
            "pressure", "Pressure at the acetylene regulator", PRESSURE, "5 psi", "0 psi", "40 psi",
            "By the low-pressure gauge, gas flowing.", "p",
        ),
    ),
)


# --- noise -------------------------------------------------------------------

NOISE_TABLE = Citation(CFR_1910_95, "Table G-16", Standing.READ)
NOISE_FORMULA = Citation(
    CFR_1910_95, "Appendix A", Standing.FROM_MEMORY, "The rows of Table G-16 are its results, rounded.",
)
NOISE_NIOSH = Citation(NIOSH, "noise", Standing.FROM_MEMORY)
OSHA_LEVEL = Fact("noise-osha-level", "Noise level for 8 hours, OSHA limit", Fraction(90), SOUND_LEVEL, NOISE_TABLE)
OSHA_STEP = Fact("noise-osha-step", "Step that halves the time, OSHA", Fraction(5), SOUND_STEP, NOISE_TABLE)
OSHA_TOP = Fact("noise-osha-top", "Level at which the OSHA table ends", Fraction(115), SOUND_LEVEL, NOISE_TABLE)
OSHA_ACTION = Fact(
    "noise-osha-action", "Eight-hour average that starts a hearing program", Fraction(85), SOUND_LEVEL,
    Citation(CFR_1910_95, "hearing conservation program", Standing.FROM_MEMORY),
)
NIOSH_LEVEL = Fact(
    "noise-niosh-level", "Noise level for 8 hours, NIOSH recommendation", Fraction(85), SOUND_LEVEL, NOISE_NIOSH,
)
NIOSH_STEP = Fact("noise-niosh-step", "Step that halves the time, NIOSH", Fraction(3), SOUND_STEP, NOISE_NIOSH)


@dataclass(frozen=True)
class NoiseRule:
    """A rule for noise dose: the level allowed for 8 hours and the step that halves the time."""

    key: str
    name: str
    level: Fact
    step: Fact
    source: Citation


NOISE_RULES = (
    NoiseRule("osha", "OSHA", OSHA_LEVEL, OSHA_STEP, NOISE_FORMULA),
    NoiseRule("niosh", "NIOSH", NIOSH_LEVEL, NIOSH_STEP, NOISE_NIOSH),
)


def permitted_hours(level: float, criterion: float, step: float) -> float:
    """Hours allowed at a level (dBA) when `criterion` is allowed for 8 h and each `step` (dB) halves it.

    >>> permitted_hours(95, 90, 5), round(permitted_hours(95, 85, 3), 3)
    (4.0, 0.794)
    """
    return 8 / 2 ** ((level - criterion) / step)


def work_noise_dose(w: Working, *, exposures: tuple[tuple[Fraction, Fraction], ...]) -> None:
    """The dose of noise of a day and its average over 8 hours, by OSHA and by NIOSH.

        T_i = T_c / 2^((L_i − L_c) / q)    D = 100·Σ C_i / T_i    L_avg = L_c + q·ln(D / 100) / ln 2

    L_i levels at the ear, dBA; C_i their times and T_c 8 hours, s; L_c level for 8 hours and q the step that halves the
    time: 90 dBA and 5 dB by OSHA, 85 dBA and 3 dB by NIOSH. Every row counts, quiet ones too, which is the careful way.

    `InputError` where the rows make more than a day. Source: 29 CFR 1910.95, Table G-16, read; its formula and NIOSH
    from memory. NIOSH recommends and is no law; the two differ, so the more careful one counts too.

    Table G-16 gives 2 h at 100 dBA:

    >>> NOISE_DOSE.answer(exposures="100 dBA | 1 h")["osha_time_1"].text("us"), permitted_hours(100, 90, 5)
    ('2\xa0h', 2.0)
    """
    total = sum(hours for _, hours in exposures)
    if total > DAY:
        raise InputError(
            "exposures", "Noise through the day", f"the rows add up to {show(total, HOURS, 'us')}; a day has 24 h, "
            "write at most that",
        )
    levels = [w.given(f"level_{row}", f"L_{row}", level, SOUND_LEVEL) for row, (level, _) in enumerate(exposures, 1)]
    spans = [w.given(f"time_{row}", f"C_{row}", hours, HOURS) for row, (_, hours) in enumerate(exposures, 1)]
    w.let("total_time", "Time of all rows", "C", HOURS, _sum(spans))
    for rule in NOISE_RULES:
        _noise_by(w, rule, levels, spans)
    w.say(
        "By OSHA the dose is {osha_dose}, an 8 h average of {osha_average}. By NIOSH it is {niosh_dose}, an 8 h "
        "average of {niosh_average}."
    )
    w.draw(scales.noise(w))
    _check_noise(w, exposures)
    w.warn(
        "Lost hearing does not come back. Wear earplugs or earmuffs for grinding, air arc gouging and chipping, "
        "however short the job."
    )
    w.warn("Earmuffs also keep sparks out of the ear. Overhead, wear earplugs that do not burn or melt.")


def _sum(parts: Sequence[Formula]) -> Formula:
    total = parts[0]
    for part in parts[1:]:
        total = total + part
    return total


def _noise_by(w: Working, rule: NoiseRule, levels: Sequence[Symbol], spans: Sequence[Symbol]) -> None:
    criterion = w.given(f"{rule.key}_level", "L_c", rule.level.amount, SOUND_LEVEL)
    step = w.given(f"{rule.key}_step", "q", rule.step.amount, SOUND_STEP)
    day = w.given("working_day", "T_c", WORKING_DAY, HOURS)
    allowed = [
        w.let(
            f"{rule.key}_time_{row}", f"Time allowed in row {row}, {rule.name}", f"T_{row}", HOURS,
            day / Constant(2) ** ((level - criterion) / step), source=rule.source, digits=3,
        )
        for row, level in enumerate(levels, 1)
    ]
    dose = w.let(
        f"{rule.key}_dose", f"Dose, {rule.name}", "D", PERCENTAGE,
        _sum([span / limit for span, limit in zip(spans, allowed)]) * 100, source=rule.source, main=True, digits=3,
    )
    w.let(
        f"{rule.key}_average", f"Average over 8 hours, {rule.name}", "L_avg", SOUND_LEVEL,
        criterion + step * ln(dose / 100) / ln(Constant(2)), source=rule.source, main=True, digits=3,
    )


def _check_noise(w: Working, exposures: tuple[tuple[Fraction, Fraction], ...]) -> None:
    w.mention("top", OSHA_TOP)
    w.mention("action", OSHA_ACTION)
    dose = {
        rule.key: next(value.amount for value in w.values if value.name == f"{rule.key}_dose") for rule in NOISE_RULES
    }
    average = next(value.amount for value in w.values if value.name == "osha_average")
    loudest, row = max((level, -number) for number, (level, _) in enumerate(exposures, 1))
    if loudest > OSHA_TOP.amount:
        w.stop(
            "loudest", f"Row {-row} is at {{level_{-row}}}. The OSHA table ends at {{top}}: no time at all without "
            "hearing protection.", source=NOISE_TABLE,
        )
    for rule in NOISE_RULES:
        if dose[rule.key] > 100:
            w.stop(
                f"{rule.key}-dose", f"{rule.name}: a dose of {{{rule.key}_dose}} is over 100 %. Lower the noise or the "
                "time, and wear hearing protection.", source=rule.level.source,
            )
        else:
            w.ok(
                f"{rule.key}-dose", f"{rule.name}: a dose of {{{rule.key}_dose}} is not over 100 %.",
                source=rule.level.source,
            )
    if average >= OSHA_ACTION.amount:
        w.caution(
            "hearing-program", "An average of {osha_average} is not below {action}: OSHA asks for a hearing program, "
            "with tests and protection.", source=OSHA_ACTION.source,
        )
    w.note(
        "threshold", "Every row counts here, also quiet ones. A dosimeter leaves out what is below its threshold, so "
        "it may show less.", source=COMMON,
    )


NOISE_DOSE = Calculator(
    id="noise-dose",
    title="Noise dose",
    question="How much of a day's noise have I had, by OSHA and by NIOSH?",
    page="safety-body.md",
    work=work_noise_dose,
    main=("exposures",),
    inputs=(
        Rows(
            "exposures", "Noise through the day",
            (
                Quantity(
                    "level", "Level", SOUND_LEVEL, "85 dBA", "60 dBA", "140 dBA", "At the ear, without protection.",
                ),
                Quantity("hours", "Time", HOURS, "1 h", "0 h", "24 h", "In hours.", above_low=True),
            ),
            "90 dBA | 4 h\n95 dBA | 2 h\n80 dBA | 2 h", "A row for each job of the day. These levels are invented: "
            "measure yours, or ask who did.", row_name="Row", most=12,
        ),
    ),
)


# --- fume --------------------------------------------------------------------

DOSE_SUM = Citation(CFR_1915_1000, "(d)", Standing.READ)
MIXTURE_SUM = Citation(CFR_1915_1000, "(d), mixtures", Standing.FROM_MEMORY)
_MANGANESE = Citation(OSHA_SAMPLING, "exposure limits", Standing.READ)
_CHROMIUM = Citation(CFR_1910_1026, "(b) and (c)", Standing.FROM_MEMORY)
_NIOSH_MEMORY = Citation(NIOSH, "", Standing.FROM_MEMORY)


def _limit(ident: str, label: str, text: str, source: Citation, kind: Kind = CONCENTRATION) -> Fact:
    return Fact(ident, label, parse(text, kind), kind, source)


MANGANESE_OSHA = _limit(
    "fume-manganese-osha", "Manganese, OSHA ceiling, never to be exceeded", "5 mg/m3", _MANGANESE,
)
MANGANESE_NIOSH = _limit("fume-manganese-niosh", "Manganese, NIOSH, average over the shift", "1 mg/m3", _MANGANESE)
MANGANESE_SHORT = _limit("fume-manganese-niosh-short", "Manganese, NIOSH, short-term", "3 mg/m3", _MANGANESE)
MANGANESE_DANGER = _limit(
    "fume-manganese-danger", "Manganese, immediately dangerous to life or health", "500 mg/m3", _MANGANESE,
)
MANGANESE_GUIDE = _limit(
    "fume-manganese-guideline", "Manganese, ACGIH guideline, respirable dust", "0.02 mg/m3",
    Citation(ACGIH_TLV, "manganese", Standing.SECONDARY),
)
MANGANESE_INHALABLE = _limit(
    "fume-manganese-guideline-inhalable", "Manganese, ACGIH guideline, inhalable dust", "0.1 mg/m3",
    Citation(ACGIH_TLV, "manganese", Standing.SECONDARY),
)
IRON_OSHA = _limit(
    "fume-iron-oxide-osha", "Iron oxide fume, OSHA, 8 h average", "10 mg/m3",
    Citation(RTECS, "exposure limits", Standing.READ),
)
IRON_NIOSH = _limit("fume-iron-oxide-niosh", "Iron oxide fume, NIOSH, average over the shift", "5 mg/m3", _NIOSH_MEMORY)
CHROMIUM_OSHA = _limit("fume-chromium-osha", "Chromium (VI), OSHA, 8 h average", "5 ug/m3", _CHROMIUM, MICROGRAMS)
CHROMIUM_ACTION = _limit("fume-chromium-action", "Chromium (VI), OSHA action level", "2.5 ug/m3", _CHROMIUM, MICROGRAMS)
CHROMIUM_NIOSH = _limit(
    "fume-chromium-niosh", "Chromium (VI), NIOSH, average over the shift", "0.2 ug/m3", _NIOSH_MEMORY, MICROGRAMS,
)


@dataclass(frozen=True)
class Substance:
    """A part of the fume: its limit by each rule, and whether the OSHA one is a ceiling that no average may hide."""

    key: str
    label: str
    limits: dict[str, Fact]
    ceilings: tuple[str, ...] = ()


SUBSTANCES: tuple[Substance, ...] = (
    Substance("manganese", "Manganese", {"osha": MANGANESE_OSHA, "niosh": MANGANESE_NIOSH}, ("osha",)),
    Substance("iron-oxide", "Iron oxide", {"osha": IRON_OSHA, "niosh": IRON_NIOSH}),
    Substance("chromium-6", "Chromium (VI)", {"osha": CHROMIUM_OSHA, "niosh": CHROMIUM_NIOSH}),
    Substance("other", "Another, by its own limit", {}),
)
_SUBSTANCE = {each.key: each for each in SUBSTANCES}
NIOSH_SHIFT = "NIOSH averages over shifts of up to 10 h. Dividing by 8 h is the more careful way."
Exposure = tuple[str, Fraction, Fraction, Fraction | None]


def work_fume_limit(w: Working, *, exposures: tuple[Exposure, ...], rule: str) -> None:
    """Whether the measured parts of the fume, taken together, stay under their limits.

        E_i = C_i·T_i / T_day, against a ceiling E_i = C_i    S_i = E_i / L_i    E_m = Σ S_i

    C_i measured and L_i limit, kg/m³; T_i time of the row and T_day 8 hours, s. Of the rows of one ceiling the highest
    counts. A substance that no document of ours limits is left out of the sum, and told as not known, until its limit
    is written beside it.

    `InputError` where the rows of one substance make more than a day, and by the reader's own rule for a row without a
    limit. Source: 29 CFR 1915.1000(d), read, for the average, from memory for the sum; OSHA's sampling page, read, for
    manganese; RTECS, read, for iron oxide; the rest from memory.

    The rule's own example, quoted from memory: 500 of 1000, 45 of 200 and 40 of 200 make 0.925.

    >>> rows = "other|500 mg/m3|8 h|1000 mg/m3; other|45 mg/m3|8 h|200 mg/m3; other|40 mg/m3|8 h|200 mg/m3"
    >>> round(float(FUME_LIMIT.answer(exposures=rows)["mixture"].amount), 6)
    0.925
    """
    _refuse_long_days(exposures)
    if rule == "own":
        _refuse_without_limit(exposures)
    day = w.given("working_day", "T_day", WORKING_DAY, HOURS)
    shares = []
    for row, exposure in enumerate(exposures, 1):
        shares += _share(w, row, exposure, rule, day)
    if shares:
        total = w.let(
            "mixture", "Sum of the shares", "E_m", NUMBER, _sum(_counted(shares)), source=MIXTURE_SUM, main=True,
        ).amount
    else:
        total = Fraction(0)
        w.words("mixture", "Sum of the shares", "not known", source=MIXTURE_SUM, main=True)
    if total > 1:
        w.stop(
            "mixture", "The shares add up to {mixture}, over 1: together these are over the limit. Ventilate more, or "
            "stop.", source=MIXTURE_SUM,
        )
    elif shares:
        w.ok("mixture", "The shares add up to {mixture}, not over 1.", source=MIXTURE_SUM)
    if shares:
        w.draw(scales.fume(w, [f"share_{row}" for row in range(1, len(exposures) + 1) if f"share_{row}" in w.known]))
    _check_rows(w, exposures, rule)
    _check_other_rules(w, exposures, rule)
    _check_manganese(w, exposures)
    _check_chromium(w, exposures)
    _say_fume(w, total, bool(shares))
    w.warn(
        "A sum below 1 is no proof that the air is safe. To be careful, parts that act on different organs are added "
        "up here too."
    )
    w.warn(
        "Numbers come from air samples at your collar, taken and read by someone trained for it. This sum is study "
        "help."
    )
    w.warn(
        "First keep the fume away: head out of the plume, local exhaust at the arc, ventilation. A respirator comes "
        "last and needs a fit test."
    )


def _share(w: Working, row: int, exposure: Exposure, rule: str, day: Symbol) -> list[tuple[str, bool, Symbol]]:
    """The share that a row takes of its limit: substance, whether the limit is a ceiling, the share.

    Nothing where it has no limit.
    """
    key, measured, hours, own = exposure
    held = _limit_of(_SUBSTANCE[key], own, rule)
    name = _SUBSTANCE[key].label.split(",")[0]
    c = w.given(f"measured_{row}", f"C_{row}", measured, CONCENTRATION)
    t = w.given(f"hours_{row}", f"T_{row}", hours, HOURS)
    if held is None:
        return []
    limit, source, ceiling = held
    top = w.value(f"limit_{row}", f"Limit of row {row}, {name}", limit, CONCENTRATION, source=source, symbol=f"L_{row}")
    if ceiling:
        mean = w.let(
            f"exposure_{row}", f"Row {row}, {name}: counts whole against a ceiling", f"E_{row}", CONCENTRATION, c,
            source=source,
        )
    else:
        mean = w.let(
            f"exposure_{row}", f"Row {row}, {name}: averaged over 8 h", f"E_{row}", CONCENTRATION, c * t / day,
            source=DOSE_SUM, note=NIOSH_SHIFT if rule == "niosh" else "",
        )
    return [
        (
            key, ceiling,
            w.let(
                f"share_{row}", f"Row {row}, {name}: share of its limit", f"S_{row}", NUMBER, mean / top,
                source=MIXTURE_SUM,
            ),
        ),
    ]


def _refuse_long_days(exposures: tuple[Exposure, ...]) -> None:
    for key in dict.fromkeys(each[0] for each in exposures if each[0] != "other"):
        total = sum(hours for substance, _, hours, _ in exposures if substance == key)
        if total > DAY:
            raise InputError(
                "exposures", "Fume through the day", f"the rows of {_SUBSTANCE[key].label.lower()} add up to "
                f"{show(total, HOURS, 'us')}; a day has 24 h, write at most that",
            )


def _refuse_without_limit(exposures: tuple[Exposure, ...]) -> None:
    for row, (_, _, _, own) in enumerate(exposures, 1):
        if own is None:
            raise InputError(
                "exposures", "Fume through the day", f"Row {row}: write your own limit in mg/m³, above 0 mg/m³",
            )


def _limit_of(substance: Substance, own: Fraction | None, rule: str) -> tuple[Fraction, Citation, bool] | None:
    """The limit of a row, its source and whether it is a ceiling; None where it has none."""
    if rule == "own" or not substance.limits:
        return None if own is None else (own, ENTERED, False)
    fact = substance.limits[rule]
    return fact.amount, fact.source, rule in substance.ceilings


def _check_rows(w: Working, exposures: tuple[Exposure, ...], rule: str) -> None:
    """Rows that have no limit, a limit looser than the documents', or nothing measured."""
    for row, (key, measured, _, own) in enumerate(exposures, 1):
        substance = _SUBSTANCE[key]
        if _limit_of(substance, own, rule) is None:
            w.not_known(
                f"limit-{row}", f"Row {row}: no limit is entered, so this row is left out of the sum. The safety data "
                "sheet, or who samples your air, names it; write it in the last column.", source=ENTERED,
            )
        elif rule == "own" and substance.limits and own > substance.limits["niosh"].amount:
            recommended = substance.limits["niosh"]
            w.known.update(
                own_limit=Amount(own, CONCENTRATION), recommended=Amount(recommended.amount, recommended.kind),
            )
            w.caution(
                f"limit-{row}", f"Row {row}: your own limit of {{own_limit}} is looser than the {{recommended}} that "
                "NIOSH recommends.", source=recommended.source,
            )
        if measured == 0:
            w.caution(
                f"measured-{row}", f"Row {row}: 0 is no measured figure. A report names the smallest amount that the "
                "sample can show; write that, or measure.", source=COMMON,
            )


def _check_other_rules(w: Working, exposures: tuple[Exposure, ...], rule: str) -> None:
    """The sums by the rules that were not chosen, of the substances that have a limit there: OSHA's is law whatever
    is chosen.
    """
    for other, level, name in (
        ("osha", Level.STOP, "OSHA, the law"), ("niosh", Level.CAUTION, "NIOSH, a recommendation"),
    ):
        total = _plain_sum(exposures, other)
        if other != rule and total > 1:
            w.known[f"{other}_sum"] = Amount(total, NUMBER, 3)
            w.check(
                level, f"{other}-sum", f"By the limits of {name}, the shares add up to {{{other}_sum}}, over 1.",
                source=MIXTURE_SUM,
            )


def _plain_sum(exposures: tuple[Exposure, ...], rule: str) -> Fraction:
    """The sum of the shares by OSHA or NIOSH, of the substances that have a limit there."""
    averaged, ceilings = Fraction(0), {}
    for key, measured, hours, _ in exposures:
        held = _limit_of(_SUBSTANCE[key], None, rule)
        if held is not None and held[2]:
            ceilings[key] = max(ceilings.get(key, Fraction(0)), measured / held[0])
        elif held is not None:
            averaged += measured * hours / WORKING_DAY / held[0]
    return averaged + sum(ceilings.values())


def _counted(shares: Sequence[tuple[str, bool, Symbol]]) -> list[Symbol]:
    """The shares to add: all of them, but of the rows of one ceiling only the highest, which is what a ceiling looks
    at.
    """
    counted = [share for _, ceiling, share in shares if not ceiling]
    for key in dict.fromkeys(key for key, ceiling, _ in shares if ceiling):
        counted.append(
            max((share for other, ceiling, share in shares if ceiling and other == key), key=lambda share: share.amount)
        )
    return counted


def _say_fume(w: Working, total: Fraction, summed: bool) -> None:
    """The sentence must not sound like a pass where another check says stop, or where rows were left out."""
    levels = {check.level for check in w.checks}
    left_out = " A row without a limit is left out." if Level.NOT_KNOWN in levels else ""
    if not summed:
        w.say("No row has a limit to go by, so nothing is summed. Find the limits first.")
    elif total > 1:
        w.say("The shares add up to {mixture}. Over 1 is over the limit." + left_out)
    elif Level.STOP in levels:
        w.say(
            "Stop: the shares add up to {mixture}, not over 1, but one of the fumes is over a limit of its own, or "
            "over the limit of the law."
            + left_out
        )
    else:
        w.say("The shares add up to {mixture}. That is not over 1, the limit of the sum by the rule chosen." + left_out)


def _check_manganese(w: Working, exposures: tuple[Exposure, ...]) -> None:
    rows = [(row, each) for row, each in enumerate(exposures, 1) if each[0] == "manganese"]
    if not rows:
        return
    for name, fact in (
        ("short", MANGANESE_SHORT), ("danger", MANGANESE_DANGER), ("guide", MANGANESE_GUIDE),
        ("ceiling", MANGANESE_OSHA),
    ):
        w.mention(name, fact)
    row, (_, most, _, _) = max(rows, key=lambda pair: pair[1][1])
    if most >= MANGANESE_DANGER.amount:
        w.stop(
            "manganese-peak", f"Row {row}: {{measured_{row}}} of manganese reaches {{danger}}, a danger to life at "
            "once. Get out.", source=MANGANESE_DANGER.source,
        )
    elif most > MANGANESE_OSHA.amount:
        w.stop(
            "manganese-peak", f"Row {row}: {{measured_{row}}} of manganese is over the OSHA ceiling of {{ceiling}}, at "
            "any time.", source=MANGANESE_OSHA.source,
        )
    elif most > MANGANESE_SHORT.amount:
        w.stop(
            "manganese-peak", f"Row {row}: {{measured_{row}}} of manganese is over {{short}}, the NIOSH short-term "
            "limit.",
            source=MANGANESE_SHORT.source,
        )
    average = sum(c * t for _, (_, c, t, _) in rows) / WORKING_DAY
    if average > MANGANESE_GUIDE.amount:
        w.caution(
            "manganese-guideline", "The manganese of the day averages over the newer guideline of {guide} respirable, "
            "far stricter than the law.", source=MANGANESE_GUIDE.source,
        )


def _check_chromium(w: Working, exposures: tuple[Exposure, ...]) -> None:
    average = sum(c * t for key, c, t, _ in exposures if key == "chromium-6") / WORKING_DAY
    if average >= CHROMIUM_ACTION.amount:
        w.mention("action_level", CHROMIUM_ACTION)
        w.caution(
            "chromium-action", "Chromium (VI) averages at least the action level of {action_level}: OSHA asks for "
            "monitoring and medical care.", source=CHROMIUM_ACTION.source,
        )


FUME_LIMIT = Calculator(
    id="fume-limit",
    title="Fume: sum of shares",
    question="Do the measured parts of the fume, taken together, stay under their limits?",
    page="safety-body.md",
    work=work_fume_limit,
    main=("exposures",),
    inputs=(
        Rows(
            "exposures", "Fume through the day",
            (
                Choice(
                    "substance", "Part of the fume", tuple(Option(each.key, each.label) for each in SUBSTANCES),
                    "iron-oxide", "",
                ),
                Quantity(
                    "measured", "Measured", CONCENTRATION, "0 mg/m3", "0 mg/m3", "1000 mg/m3",
                    "In the air you breathe.",
                ),
                Quantity("hours", "Time", HOURS, "8 h", "0 h", "24 h", "In hours.", above_low=True),
                Quantity(
                    "own", "Own limit", CONCENTRATION, "", "0 mg/m3", "1000 mg/m3", "For your own rule.",
                    above_low=True,
                ),
            ),
            "manganese | 0.2 mg/m3 | 6 h |\niron-oxide | 2 mg/m3 | 6 h |", "A row for each part and time. These "
            "figures are invented: use your own air samples.", row_name="Row", most=12,
        ),
        Choice(
            "rule", "Limits to go by",
            (
                Option("niosh", "NIOSH, recommended"), Option("osha", "OSHA, the law"),
                Option("own", "Your own, from the last column"),
            ),
            "niosh", "The recommended limits are the stricter ones.",
        ),
    ),
)


# --- values that only the chapter names --------------------------------------

_CYLINDERS = Citation(CFR_1910_253, "(b)(4)(iii)", Standing.READ, "29 CFR 1926.350(a)(10) says the same.")
CYLINDER_DISTANCE = Fact(
    "cylinder-distance", "Distance between stored oxygen and fuel cylinders", parse("20 ft", DISTANCE), DISTANCE,
    _CYLINDERS,
)
CYLINDER_COMBUSTIBLES = Fact(
    "cylinder-combustibles", "Distance of stored cylinders from what burns easily", parse("20 ft", DISTANCE), DISTANCE,
    Citation(WAC_CYLINDERS, "section not noted", Standing.READ),
)
CYLINDER_WALL = Fact(
    "cylinder-wall-height", "Height of the wall that may stand between them instead", parse("5 ft", DISTANCE), DISTANCE,
    _CYLINDERS,
)
CYLINDER_WALL_RATING = Fact(
    "cylinder-wall-rating", "How long that wall must hold against fire", parse("30 min", TIME), TIME, _CYLINDERS,
)
ACETYLENE_VALVE = Fact(
    "acetylene-valve-turns", "Maximum turns of an acetylene cylinder valve", None, None,
    Citation(CFR_1910_253, "(b)(5)(iii)(B)", Standing.FROM_MEMORY), "one and a half turns",
)
ACETYLENE_VALVE_NAVY = Fact(
    "acetylene-valve-half-turn", "Turns of a fuel gas cylinder valve, the more cautious figure", None, None,
    Citation(None, "US Navy training text, in a reprint", Standing.SECONDARY), "half a turn",
)
OXYGEN_VALVE = Fact(
    "oxygen-valve-turns", "How far an oxygen cylinder valve is opened in use", None, None,
    Citation(None, "US Navy training text, in a reprint", Standing.SECONDARY), "fully open",
)
PLATE_WEIGHT = Fact(
    "plate-weight-inch", "Weight of one square foot of plate 1 in thick", parse("40.84 lb", MASS), MASS,
    Citation(
        None, "Handbook weight of steel plate", Standing.SECONDARY, "From 30.63 lb for 3/4 in plate, in proportion.",
    ),
)
BURN_COOLING = Fact(
    "burn-cooling", "How long to cool a burn under running water", parse("20 min", TIME), TIME,
    Citation(None, "General first-aid guidance", Standing.FROM_MEMORY, "Local first-aid rules come first."),
)

FACTS: tuple[Fact, ...] = (
    *(row.fact for row in ARC_SHADES), *(row.fact for row in GUIDE_SHADES),
    *(fact for row in CUT_SHADES for fact in row.facts), SHADE_RULE, DARKER, HOT_WORK_RADIUS, WATCH_OSHA,
    WATCH_SHIPYARD, WATCH_NFPA, ROOM_VOLUME, ROOM_HEIGHT, ROOM_FLOW, HOOD_SPEED,
    *(fact for row in HOOD_ROWS for fact in row.facts), CONFINED_RULE, OXYGEN_RULE, ACETYLENE_PRESSURE, ACETYLENE_LEAST,
    *(rule.fact for rule in DRAW_RULES), DRAW_ARMY, OSHA_LEVEL, OSHA_STEP, OSHA_TOP, OSHA_ACTION, NIOSH_LEVEL,
    NIOSH_STEP, MANGANESE_OSHA, MANGANESE_NIOSH, MANGANESE_SHORT, MANGANESE_DANGER, MANGANESE_GUIDE,
    MANGANESE_INHALABLE, IRON_OSHA, IRON_NIOSH, CHROMIUM_OSHA, CHROMIUM_ACTION, CHROMIUM_NIOSH, CYLINDER_DISTANCE,
    CYLINDER_COMBUSTIBLES, CYLINDER_WALL, CYLINDER_WALL_RATING, ACETYLENE_VALVE, ACETYLENE_VALVE_NAVY, OXYGEN_VALVE,
    PLATE_WEIGHT, BURN_COOLING,
)
