"""The cutting lists: what to cut from which bar or sheet, drawn to scale, with a proven least.

Stage: getting the material ready. A form is answered with the plan that is made at
once (`quick_plan`, `quick_sheets`); the page then asks for better ones, and writes
them with the same functions.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Generator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from calc.core.declare import (
    Amount,
    Calculator,
    Choice,
    InputError,
    Option,
    Quantity,
    Result,
    Rows,
    Whole,
    Words,
    Working,
)
from calc.core.sources import COMMON, ENTERED, Citation, Fact, Standing
from calc.core.units import (
    AREA,
    LENGTH,
    MASS,
    NUMBER,
    PERCENTAGE,
    SQUARE_FOOT,
    SQUARE_METRE,
    System,
    parse,
    show,
    show_both,
)
from calc.later import Module
from calc.show.drawing import Drawing, Note, Path, Polygon, box, words
from calc.stages.groove import STEEL_DENSITY

bars, sheets = Module("calc.planning.bars"), Module("calc.planning.sheets")

PLATE_AREA = AREA.shown_in(us=SQUARE_FOOT, si=SQUARE_METRE)
FLOOR_AREA = Citation(
    None, "Column generation with an exact bound; Gilmore and Gomory 1961, 1963 and 1965", Standing.WORKED_OUT,
)
ADDED_UP = Citation(None, "Lengths of your list added up", Standing.WORKED_OUT)
MOST_DRAWN, MOST_SHEETS_DRAWN, ROWS_IN_A_DRAWING = 24, 12, 12

KERF = Fact("plan-kerf", "Kerf of a hand torch on thin plate, to plan with", parse("1/16 in", LENGTH), LENGTH, COMMON)
RUN_OFF = Fact(
    "plan-run-off", "How far a backing bar runs past each end of the weld", parse("1 in", LENGTH), LENGTH, COMMON,
)
FACTS = (KERF, RUN_OFF)


def letter(place: int) -> str:
    """The letter of the piece in a row of the list: A to Z, then AA and on.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    text = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        text = chr(65 + rest) + text
    return text


def in_words(cuts: tuple[int, ...]) -> str:
    """The pieces of a bar in words.

    >>> in_words((0, 0, 0, 1, 1))
    '3 × A, 2 × B'
    """
    return ", ".join(f"{count} × {letter(kind)}" for kind, count in sorted(Counter(cuts).items()))


def _stock_name(name: str, number: int, what: str) -> str:
    return name or f"{what} {number}"


# --- from the form to a job ------------------------------------------------------


def bar_job(
    *, pieces: tuple, stock: tuple, kerf: Fraction, trim: Fraction, least_remnant: Fraction, aim: str, **_: Any,
) -> bars.Job:
    """The job that the form describes. Raises `InputError` on the field that cannot be."""
    try:
        return bars.Job(
            tuple(bars.Piece(name, length, count) for length, count, name in pieces),
            tuple(bars.Stock(name, length, count, price) for length, count, price, name in stock), kerf, trim,
            least_remnant, aim,
        )
    except bars.PlanError as trouble:
        raise _refused(trouble) from None


def sheet_job(
    *, pieces: tuple, stock: tuple, kerf: Fraction, trim: Fraction, least_remnant: Fraction, aim: str, **_: Any,
) -> sheets.SheetJob:
    """The job that the form describes. Raises `InputError` on the field that cannot be."""
    try:
        return sheets.SheetJob(
            tuple(sheets.SheetPiece(name, length, width, count) for length, width, count, name in pieces),
            tuple(sheets.Sheet(name, length, width, count, price) for length, width, count, price, name in stock), kerf,
            trim, least_remnant, aim,
        )
    except bars.PlanError as trouble:
        raise _refused(trouble) from None


def _refused(trouble: bars.PlanError) -> InputError:
    name = {"pieces": "pieces", "stock": "stock"}[trouble.part]
    label = {"pieces": PIECES_LABEL, "stock": STOCK_LABEL}[name]
    row = f"{'Piece' if name == 'pieces' else 'Stock'} {trouble.row}: " if trouble.row else ""
    match trouble:
        case bars.TooLong():
            if trouble.most <= 0:
                return InputError(
                    "trim", TRIM_LABEL, "the trim takes the whole bar; write a smaller one, or 0 in (0 mm)",
                )
            return InputError(
                name, label,
                f"{row}{show_both(trouble.length, LENGTH)} is longer than any stock gives; write at most "
                f"{show_both(trouble.most, LENGTH)}",
            )
        case bars.TooLittle():
            return InputError(
                "stock", STOCK_LABEL,
                f"the pieces take {show_both(trouble.needed, LENGTH)} with their cuts, your stock gives "
                f"{show_both(trouble.given, LENGTH)}; add stock, or leave a count blank",
            )
        case sheets.TooFew():
            needed, given = (
                f"{show(area, PLATE_AREA, 'us', 6)} "
                f"({show(area, PLATE_AREA, 'si', 6)})" for area in (trouble.needed, trouble.given)
            )
            return InputError(
                "stock", STOCK_LABEL,
                f"the pieces take {needed} with their cuts, your sheets give {given} after the trim; add sheets, or "
                f"leave a count blank",
            )
        case sheets.TooLarge():
            return InputError(
                name, label,
                f"{row}larger than any sheet, trimmed, either way round; write a smaller piece or a larger sheet",
            )
    return InputError(name, label, f"{row}{trouble}")


# --- the better plan, once it was looked for ------------------------------------------

_KEPT: dict[Any, Any] = {}


def remember(job: Any, plan: Any) -> None:
    """Keep the plan of the last search, so that the form, its files and its prints go on showing it for the same
    job.
    """
    for other in [each for each in _KEPT if type(each) is type(job)]:
        del _KEPT[other]
    _KEPT[job] = plan


def best_known(job: Any) -> Any:
    """The plan that a search found for this very job, or None."""
    return _KEPT.get(job)


# --- bars --------------------------------------------------------------------------


def work_cut_list(w: Working, **inputs: Any) -> None:
    """Which pieces to cut from which bar, what is left over, and how far from the best plan that is.

    Stock L = L_p + L_k + L_t + L_r + L_s: pieces, kerfs, trim, remnants kept and scrap, in m. Part of the stock that
    becomes pieces y = 100 L_p / L; mass m = ρ w t L. The plan is over the best one by at most cost / least − 1, where
    no
    plan costs less than `least`. Valid for up to 60 rows of pieces and 8 of stock. Raises `InputError` for pieces that
    the
    stock cannot give. Source: lengths added up; the bound by column generation (Gilmore and Gomory).

    Eight pieces of 7 in with a kerf of 1/16 in from a bar of 60 in less 1/2 in trim: 56-1/2 in, so one bar, and no
    plan takes less.

    >>> result = CUT_LIST.answer(pieces="7 in | 8 |", stock="60 in | | |")
    >>> result["bars"].amount, result.check("proof").level.value
    (1, 'ok')
    """
    job = bar_job(**inputs)
    write_bars(w, job, best_known(job) or bars.quick_plan(job), inputs)


def write_bars(w: Working, job: bars.Job, plan: bars.Plan | None, inputs: dict[str, Any]) -> None:
    """Write the answer for a plan, or say that none was found."""
    if plan is None:
        _no_plan(w, sum(piece.count for piece in job.pieces), "long")
        return
    w.given("kerf_width", "k", job.kerf, LENGTH)
    w.value("bars", "Bars to take", plan.bars, NUMBER, source=ENTERED, main=True)
    figures = dict(source=ADDED_UP, digits=8, as_fraction=True)
    pieces = w.value(
        "pieces_length", "Pieces, end to end", plan.total("pieces"), LENGTH, symbol="L_p", main=True, **figures,
    )
    kerf = w.value("kerf_length", "Lost in the kerfs", plan.total("kerf"), LENGTH, symbol="L_k", **figures)
    trim = w.value("trim_length", "Trimmed off the ends", plan.total("trim"), LENGTH, symbol="L_t", **figures)
    kept = w.value("kept_length", "Remnants to keep", plan.kept, LENGTH, symbol="L_r", main=True, **figures)
    scrap = w.value(
        "scrap_length", "Scrap, too short to keep", plan.total("remnant") - plan.kept, LENGTH, symbol="L_s",
        **figures,
    )
    stock = w.let("stock_length", "Stock taken", "L", LENGTH, pieces + kerf + trim + kept + scrap, main=True, **figures)
    w.let(
        "yield_share", "Part of the stock that becomes pieces", "y", PERCENTAGE, pieces / stock * 100, source=ADDED_UP,
        main=True, digits=3,
    )
    width = w.given("bar_width", "w", inputs["bar_width"], LENGTH)
    thickness = w.given("bar_thickness", "t", inputs["bar_thickness"], LENGTH)
    rho = w.fact(STEEL_DENSITY, "ρ")
    w.let(
        "stock_mass", "Stock taken, mass", "m", MASS, rho * width * thickness * stock, source=STEEL_DENSITY.source,
        main=True, digits=3,
    )
    longest = w.value(
        "longest_bar", "Longest bar to carry", max(job.stocks[each.stock].length for each in plan.layouts), LENGTH,
        symbol="L_1", source=ENTERED, as_fraction=True,
    )
    w.let(
        "bar_mass", "That bar, mass", "m_1", MASS, rho * width * thickness * longest, source=STEEL_DENSITY.source,
        digits=3,
    )
    _write_cost(w, plan, "length", LENGTH)
    for number, layout in enumerate(plan.layouts, 1):
        name = _stock_name(job.stocks[layout.stock].name, layout.stock + 1, "bar")
        w.words(
            f"layout_{number}", f"Layout {number}: {layout.times} × {name}, {show_both(layout.length, LENGTH)}",
            f"{in_words(layout.cuts)}; {_rest_in_words(plan, layout)}", source=ADDED_UP,
        )
    plural = "bar" if plan.bars == 1 else "bars"
    w.say(f"Take {{bars}} {plural}, {{stock_length}}. {{yield_share}} becomes pieces." + _said(plan))
    _check_plan(w, plan)
    _check_kerf(w, job.kerf)
    _cautions(w)
    for drawing in bar_drawings(plan):
        w.draw(drawing)


def _rest_in_words(plan: bars.Plan, layout: bars.Layout) -> str:
    if not layout.remnant:
        return "no remnant"
    return f"{show_both(layout.remnant, LENGTH)} left, {'keep it' if plan.is_kept(layout) else 'scrap'}"


def _no_plan(w: Working, count: int, enough: str) -> None:
    w.value("pieces_count", "Pieces wanted", count, NUMBER, source=ENTERED, main=True)
    w.say(
        f"No plan was found: the counted stock is {enough} enough in all, but the pieces did not fit into it one by "
        f"one.",
    )
    w.stop(
        "unplaced", "Add stock, or leave a count blank. If no search was made yet, it may find a plan.", source=ENTERED,
    )


_AIMS = {"bars": "bars", "sheets": "sheets", "price": "in your money"}


def _write_cost(w: Working, plan: bars.Plan | sheets.SheetPlan, own: str, kind) -> None:
    """What the plan spares, the least of it that any plan takes, and the gap between the two."""
    aim = plan.job.aim
    label = {
        own: f"Minimum {own} of stock", "price": "Minimum price of stock", "bars": "Minimum number of bars",
        "sheets": "Minimum number of sheets",
    }[aim]
    shown = kind if aim == own else NUMBER
    w.value("least", f"{label} that any plan takes, proven", plan.least, shown, source=FLOOR_AREA, digits=6)
    if aim == "price":
        w.value(
            "price", "Price of the stock taken, in your money", plan.cost, NUMBER, source=ENTERED, main=True, digits=6,
        )
    w.value("gap", "This plan is over the best one by at most", plan.gap * 100, PERCENTAGE, source=FLOOR_AREA, digits=3)


def _said(plan: bars.Plan | sheets.SheetPlan) -> str:
    return " No plan takes less." if plan.proven else " This plan is over the best one by at most {gap}."


def _check_plan(w: Working, plan: bars.Plan | sheets.SheetPlan) -> None:
    if plan.proven:
        w.ok("proof", "This plan is proven: none takes less.", source=FLOOR_AREA)
    else:
        w.note(
            "proof",
            "Not proven: this plan may be over the best one by up to {gap}. A search may find a better one.",
            source=FLOOR_AREA,
        )


def _check_kerf(w: Working, kerf: Fraction) -> None:
    if not kerf:
        w.caution(
            "kerf",
            "Every cut takes metal: with no kerf in the plan the last piece comes out short. Measure yours on scrap.",
            source=COMMON,
        )


def _cautions(w: Working) -> None:
    w.warn("Cut pieces and remnants stay hot long after they stop glowing. Mark them HOT, and move them with tongs.")
    w.warn(
        "Support both sides of a cut. A long bar or a wide strip swings or drops as it comes free; keep feet and hoses "
        "from under it.",
    )
    w.warn(
        "Measure the kerf of your own torch or saw on scrap first, and mark out each piece after the cut before it, so "
        "that errors do not add up.",
    )


def bar_drawings(plan: bars.Plan) -> list[Drawing]:
    """The layouts, a bar a line, lengths to scale; the height of a bar is the same for all and says nothing."""
    shown = plan.layouts[:MOST_DRAWN]
    parts = [shown[start : start + ROWS_IN_A_DRAWING] for start in range(0, len(shown), ROWS_IN_A_DRAWING)]
    longest = max(float(each.length) for each in shown)
    return [
        _bar_drawing(plan, part, number, longest, start=number * ROWS_IN_A_DRAWING) for number, part in enumerate(parts)
    ]


def _left_out(count: int, drawn: int) -> tuple[str, ...]:
    return (f"The first {drawn} of {count} layouts are drawn; the list holds all.",) if count > drawn else ()


_PITCH, _HIGH = 66, 20
"""Sheet units from bar to bar, and the height of a bar."""


def _bar_drawing(plan: bars.Plan, layouts, number: int, longest: float, start: int) -> Drawing:
    unit = longest / 324
    shapes: list = []
    for row, layout in enumerate(layouts):
        top = -row * _PITCH * unit
        name = _stock_name(plan.job.stocks[layout.stock].name, layout.stock + 1, "bar")
        shapes.append(
            Note(
                (0, top), (f"{start + row + 1}: {layout.times} × {name}, ", Amount(layout.length, LENGTH, 5, True)),
                "start", up=5,
            ),
        )
        shapes += _bar_row(plan, layout, top, _HIGH * unit)
    title = "Cutting plan" + (f", part {number + 1}" if number else "")
    described = "; ".join(
        f"{each.times} × {in_words(each.cuts)}, {show_both(each.remnant, LENGTH)} left" for each in layouts
    )
    return Drawing(
        f"bars-{number + 1}", title, words(f"{len(layouts)} layouts, a bar a line: {described}."), tuple(shapes),
        tallest=math.inf, extra=((longest, 20 * unit), (longest, -(len(layouts) * _PITCH - 26) * unit)),
        legend=("Lengths are to scale, the height of a bar is not.", *_left_out(len(plan.layouts), MOST_DRAWN)),
    )


def _bar_row(plan: bars.Plan, layout: bars.Layout, top: float, high: float) -> list:
    """One bar: trim, pieces with a cut after each, remnant; under each run of the same piece its letter and count."""
    job, shapes, notes = plan.job, [], []

    def part(start: Fraction, long: Fraction, look: str, name: str) -> None:
        if long > 0:
            shapes.append(Polygon(box(float(start), top - high, float(start + long), top), look, name))

    def under(start: Fraction, end: Fraction, text: str) -> None:
        notes.append(Note((float(start + end) / 2, top - high), words(text), up=-14, may_go=True))

    here, run = layout.trim / 2, layout.trim / 2
    part(Fraction(0), here, "waste", "trim")
    for place, kind in enumerate(layout.cuts):
        long = job.pieces[kind].length
        part(here, long, "plate", f"piece-{letter(kind)}")
        here += long
        last = place + 1 == len(layout.cuts)
        if last or layout.cuts[place + 1] != kind:
            count = layout.cuts.count(kind)
            under(run, here, letter(kind) if count == 1 else f"{count} {letter(kind)}")
            run = here + job.kerf
        if not last or layout.remnant:
            at = float(here + job.kerf / 2)
            shapes.append(Path(((at, top), (at, top - high)), "thin"))
        here += job.kerf
    end = layout.length - layout.trim / 2
    if layout.remnant:
        kept = plan.is_kept(layout)
        part(end - layout.remnant, layout.remnant, "plain" if kept else "waste", "remnant")
        under(end - layout.remnant, end, "keep" if kept else "scrap")
    part(end, layout.trim / 2, "waste", "trim")
    return shapes + notes


# --- sheets --------------------------------------------------------------------------


def work_sheet_plan(w: Working, **inputs: Any) -> None:
    """How to part sheets into strips and strips into pieces, what is left over, and how far from the best such plan
    that is.

    Stock A = A_p + A_k + A_t + A_r + A_s: pieces, kerfs, trim, remnants kept and scrap, in m²; y = 100 A_p / A, mass
    m = ρ t A. The plan is over the best one by at most cost / least − 1. Cuts go right across: strips first. Valid for
    up
    to 20 rows of pieces and 4 of stock. Raises `InputError` for pieces that the stock cannot give. Source: areas added
    up;
    the bound by column generation in two stages (Gilmore and Gomory 1965).

    >>> result = SHEET_PLAN.answer(pieces="7 in | 4 in | 4 |", stock="48 in | 24 in | 1 | |")
    >>> result["sheets"].amount, result.check("proof").level.value
    (1, 'ok')
    """
    job = sheet_job(**inputs)
    write_sheets(w, job, best_known(job) or sheets.quick_sheets(job), inputs)


def write_sheets(w: Working, job: sheets.SheetJob, plan: sheets.SheetPlan | None, inputs: dict[str, Any]) -> None:
    """Write the answer for a plan, or say that none was found."""
    if plan is None:
        _no_plan(w, sum(piece.count for piece in job.pieces), "large")
        return
    w.value("sheets", "Sheets to take", plan.sheets, NUMBER, source=ENTERED, main=True)
    figures = dict(source=ADDED_UP, digits=6)
    pieces = w.value("pieces_area", "Pieces", plan.total("pieces"), PLATE_AREA, symbol="A_p", main=True, **figures)
    kerf = w.value("kerf_area", "Lost in the kerfs", plan.total("kerf"), PLATE_AREA, symbol="A_k", **figures)
    trim = w.value("trim_area", "Trimmed off the edges", plan.total("trim"), PLATE_AREA, symbol="A_t", **figures)
    kept = w.value(
        "kept_area", "Remnants to keep", plan.total("kept"), PLATE_AREA, symbol="A_r", main=True, **figures,
    )
    scrap = w.value(
        "scrap_area", "Scrap, too small to keep", plan.total("remnant") - plan.total("kept"), PLATE_AREA,
        symbol="A_s", **figures,
    )
    stock = w.let(
        "stock_area", "Stock taken", "A", PLATE_AREA, pieces + kerf + trim + kept + scrap, main=True, **figures,
    )
    w.let(
        "yield_share", "Part of the stock that becomes pieces", "y", PERCENTAGE, pieces / stock * 100, source=ADDED_UP,
        main=True, digits=3,
    )
    thickness = w.given("thickness", "t", inputs["thickness"], LENGTH)
    rho = w.fact(STEEL_DENSITY, "ρ")
    w.let(
        "stock_mass", "Stock taken, mass", "m", MASS, rho * thickness * stock, source=STEEL_DENSITY.source, main=True,
        digits=3,
    )
    largest = w.value(
        "largest_sheet", "Largest sheet to lift",
        max(job.sheets[each.sheet].length * job.sheets[each.sheet].width for each in plan.layouts), PLATE_AREA,
        symbol="A_1", source=ENTERED,
    )
    w.let(
        "sheet_mass", "That sheet, mass", "m_1", MASS, rho * thickness * largest, source=STEEL_DENSITY.source, digits=3,
    )
    _write_cost(w, plan, "area", PLATE_AREA)
    for number, layout in enumerate(plan.layouts, 1):
        name = _stock_name(job.sheets[layout.sheet].name, layout.sheet + 1, "sheet")
        way = "along its length" if layout.lengthwise else "across its length"
        w.words(
            f"layout_{number}", f"Layout {number}: {layout.times} × {name}, strips {way}", _strips_in_words(layout),
            source=ADDED_UP,
        )
    plural = "sheet" if plan.sheets == 1 else "sheets"
    w.say(f"Take {{sheets}} {plural}. {{yield_share}} of the stock becomes pieces." + _said(plan))
    _check_plan(w, plan)
    _check_kerf(w, job.kerf)
    text = (
        "The plan cuts strips right across a sheet, then pieces right across a strip. A freer layout may save more, "
        "but it takes a torch that can turn corners."
    )
    w.note("two-stage", text, source=FLOOR_AREA)
    _cautions(w)
    for drawing in sheet_drawings(plan):
        w.draw(drawing)


def _strips_in_words(layout: sheets.SheetLayout) -> str:
    """The strips of a sheet, alike ones counted together."""
    alike = Counter((strip.width, tuple(sorted(strip.pieces))) for strip in layout.strips)
    return "; ".join(
        f"{count} × strip {show_both(width, LENGTH)}: {in_words(pieces)}" for (width, pieces), count in alike.items()
    )


def sheet_drawings(plan: sheets.SheetPlan) -> list[Drawing]:
    """Each layout to scale, strips and pieces in their places."""
    return [_sheet_drawing(plan, layout, number) for number, layout in enumerate(plan.layouts[:MOST_SHEETS_DRAWN], 1)]


def _sheet_drawing(plan: sheets.SheetPlan, layout: sheets.SheetLayout, number: int) -> Drawing:
    job, sheet = plan.job, plan.job.sheets[layout.sheet]
    def rectangle(x: Fraction, y: Fraction, long: Fraction, wide: Fraction) -> tuple:
        a, b, c, d = float(x), float(y), float(x + long), float(y + wide)
        corners = ((a, b), (c, b), (c, d), (a, d))
        return corners if layout.lengthwise else tuple((q, p) for p, q in corners)

    along, across = (sheet.length, sheet.width) if layout.lengthwise else (sheet.width, sheet.length)
    shapes: list = [Polygon(rectangle(Fraction(0), Fraction(0), along, across), "waste")]
    y = job.trim
    for strip in layout.strips:
        x = job.trim
        for kind in strip.pieces:
            piece = job.pieces[kind]
            corners = rectangle(x, y, piece.length, piece.width)
            shapes.append(Polygon(corners, "plate", f"piece-{letter(kind)}"))
            middle = (corners[0][0] + corners[2][0]) / 2, (corners[0][1] + corners[2][1]) / 2
            shapes.append(Note(middle, words(letter(kind)), up=-4.5, may_go=True))
            x += piece.length + job.kerf
        y += strip.width
        if y < across - job.trim:
            at = y + job.kerf / 2
            ends = rectangle(Fraction(0), at, along, Fraction(0))
            shapes.append(Path((ends[0], ends[1]), "cut"))
        y += job.kerf
    name = _stock_name(sheet.name, layout.sheet + 1, "sheet")
    return Drawing(
        f"sheet-{number}", f"Layout {number}: {layout.times} × {name}",
        words(
            f"Sheet {show_both(sheet.length, LENGTH)} by {show_both(sheet.width, LENGTH)}. {_strips_in_words(layout)}.",
        ), tuple(shapes),
        legend=(
            "Heavy lines are the first cuts, right across the sheet.", *_left_out(len(plan.layouts), MOST_SHEETS_DRAWN),
        ),
    )


# --- the two forms ---------------------------------------------------------------------

PIECES_LABEL, STOCK_LABEL, TRIM_LABEL = "Pieces wanted", "Stock on hand", "Trim at each end"
_NAME = Words("name", "Name", "", "Your own word for it.", 30)
_COUNT = Whole("count", "How many", "1", 0, 5000, "0 leaves the row out.")
_STOCK_COUNT = Whole("count", "How many (blank: any)", "", 0, 5000, "Leave blank for as many as it takes.")
_PRICE = Quantity("price", "Price of one", NUMBER, "", "0", "1000000", "In your own money.", above_low=True)


def _length(name: str, label: str, default: str) -> Quantity:
    return Quantity(name, label, LENGTH, default, "1/8 in", "1000 in", "With its unit, if it is not the one shown.")


def _aim(own: str, label: str, count: str) -> Choice:
    return Choice(
        "aim", "Save", (Option(own, label), Option(count, f"Fewest {count}"), Option("price", "Lowest price")), own,
        "To plan by price, every row of the stock needs a price.",
    )


_KERF = Quantity(
    "kerf", "Kerf", LENGTH, "1/16 in", "0 in", "1/2 in", "Width of one cut. Measure it on scrap.", "k",
    common=("1/16 in", "3/32 in", "1/8 in"),
)
_TRIM = Quantity(
    "trim", TRIM_LABEL, LENGTH, "1/4 in", "0 in", "6 in", "What the rough or rusty end loses first, its cut included.",
    "e", common=("0 in", "1/4 in", "1/2 in"),
)
_REMNANT = Quantity(
    "least_remnant", "Minimum length of a remnant", LENGTH, "10 in", "0 in", "240 in", "What is shorter is scrap.",
)

CUT_LIST = Calculator(
    id="cut-list",
    title="Cutting list for bars",
    question="Which pieces do I cut from which bar?",
    page="cut-plans.md",
    work=work_cut_list,
    main=("pieces", "stock"),
    inputs=(
        Rows(
            "pieces", PIECES_LABEL, (_length("length", "Length", "7 in"), _COUNT, _NAME),
            "7 in | 48 | test plate\n7 in | 10 | test plate for retests\n10-1/2 in | 16 | practice plate\n5-1/4 in | "
            "16 | fit-up plate",
            "All of one section. Backing bars are another section: give them a list of their own, run-off in the "
            "length.", "Piece", most=60, takes="pieces_of_plates",
        ),
        Rows(
            "stock", STOCK_LABEL, (_length("length", "Length", "240 in"), _STOCK_COUNT, _PRICE, _NAME),
            "240 in |  |  | full bar\n92 in | 2 |  | remnant from last term", "Remnants of earlier jobs count too.",
            "Stock", most=8,
        ),
        _KERF, _TRIM, _REMNANT, _aim("length", "Minimum length of stock", "bars"),
        Quantity("bar_width", "Width of the bar", LENGTH, "3-1/4 in", "1/4 in", "24 in", "For the mass.", "w",
            takes="groove.plate_width"),
        Quantity("bar_thickness", "Thickness of the bar", LENGTH, "3/8 in", "1/16 in", "6 in", "For the mass.", "t",
            takes="thickness"),
    ),
)
SHEET_PLAN = Calculator(
    id="sheet-plan",
    title="Cutting plan for sheets",
    question="How do I cut sheets into strips and pieces?",
    page="cut-plans.md",
    work=work_sheet_plan,
    main=("pieces", "stock"),
    inputs=(
        Rows(
            "pieces", PIECES_LABEL,
            (_length("length", "Length along the strip", "7 in"), _length("width", "Width", "3-1/4 in"), _COUNT, _NAME),
            "7 in | 3-1/4 in | 58 | test plate\n10-1/2 in | 3-1/4 in | 16 | practice plate\n5-1/4 in | 3-1/4 in | 16 | "
            "fit-up plate",
            "The length lies along the strip. Look at the rolling direction if your WPS names one.", "Piece",
            most=20,
        ),
        Rows(
            "stock", STOCK_LABEL,
            (_length("length", "Length", "48 in"), _length("width", "Width", "48 in"), _STOCK_COUNT, _PRICE, _NAME),
            "48 in | 48 in |  |  | half sheet\n40 in | 24 in | 1 |  | remnant", "Remnants count too.", "Stock", most=4,
        ),
        _KERF,
        Quantity(
            "trim", "Trim at each edge", LENGTH, "1/4 in", "0 in", "6 in",
            "What the rough edge loses first, its cut included.", "e",
        ),
        _REMNANT, _aim("area", "Minimum area of stock", "sheets"),
        Quantity("thickness", "Thickness of the sheet", LENGTH, "3/8 in", "1/16 in", "6 in", "For the mass.", "t"),
    ),
)


# --- for the page: better plans, with the same answer ------------------------------------


@dataclass(frozen=True)
class Planner:
    """What a planning form needs besides its answer: its job, its search for better plans, its writer."""

    calculator: Calculator
    job: Any
    at_once: Any
    better: Any
    write: Any


PLANNERS = {
    CUT_LIST.id: Planner(
        CUT_LIST, bar_job, lambda job: bars.quick_plan(job), lambda job: bars.improved_plans(job), write_bars,
    ),
    SHEET_PLAN.id: Planner(
        SHEET_PLAN, sheet_job, lambda job: sheets.quick_sheets(job), lambda job: sheets.improved_sheets(job),
        write_sheets,
    ),
}


@dataclass(frozen=True)
class Asked:
    """A form as it was filled in: its planner, its texts and what they mean."""

    planner: Planner
    texts: dict[str, str]
    values: dict[str, Any]
    job: Any

    @property
    def plan(self) -> Any:
        """The best plan known for this job; None where there is none."""
        return best_known(self.job) or self.planner.at_once(self.job)

    def search(self) -> Generator[tuple[Any, Any], None, None]:
        """The search for better plans, step by step: how far it is, and the plan where it is a new one."""
        return self.planner.better(self.job)

    @property
    def best(self) -> Any:
        """The plan at the end of the search; None where there is none."""
        *_, (_, plan) = self.search()
        return plan

    def result(self, plan: Any) -> Result:
        """The answer of the form with this plan in it."""
        sheet = Working()
        self.planner.write(sheet, self.job, plan, self.values)
        return sheet.result(self.planner.calculator, self.texts)


def ask(identifier: str, texts: dict[str, str], system: System) -> Asked:
    """Read a planning form. Raises `KeyError` for a form that does not plan, `InputError` for what cannot be used."""
    return asked(PLANNERS[identifier], texts, system)


def asked(planner: Planner, texts: dict[str, str], system: System) -> Asked:
    """Read the form of a planner. Raises `InputError` for what cannot be used."""
    values, errors = planner.calculator.read(texts, system)
    if errors:
        raise next(iter(errors.values()))
    return Asked(planner, texts, values, planner.job(**values))
