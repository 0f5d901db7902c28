"""The bench sheet: a test on one or two pages for the booth, in the order of the day.

Stage: the day of the test. Each line is what to set or measure, what is planned, the limit, a box to tick and room to
write. The limits of the reader's WPS stand in bold; a figure of the guide says how it is held. Black and white.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from html import escape

from calc.catalogue import calculator
from calc.core.declare import Choice, InputError, Quantity, Result, Value, phrase_text, taken
from calc.core.forms import lowered
from calc.core.sources import Citation, Fact
from calc.core.units import LENGTH, System, is_shop_fraction, parse, shop_fraction, show, show_as_written, split
from calc.plate_test.facts import DERIVED
from calc.plate_test.fields import FIELDS, SaidBy
from calc.plate_test.judge import headline
from calc.plate_test.qr import qr_svg
from calc.plate_test.work import MISSING, Worked, asked_for, fills, other_rods
from calc.record.bench import STUDY_AID
from calc.record.sheet import Numbers, system_of
from calc.show.drawing import Drawing, drawing_svg
from calc.stages.fitup import BACKING_GAP
from calc.stages.judging import RULES as BEND_RULES
from calc.stages.visual import RULES as VISUAL_RULES
from calc.stages.visual import undercut_limit

TITLE = "Bench sheet"
_LOUD_MOST = 3
"""Verdicts told on the sheet beside what is missing; the page of the test tells the rest."""
_LOG_MOST, _LOG_SIDE = 12, 4
"""Passes that have room to write on, and how many before a second column starts."""
_NOT_WORKED_OUT = "not worked out"


@dataclass(frozen=True)
class Cell:
    """A figure on the sheet. `own` is a limit of the reader's WPS; `leans` marks one that rests on a stand-in."""

    text: str = ""
    source: Citation | None = None
    own: bool = False
    leans: bool = False


@dataclass(frozen=True)
class Line:
    """One line: what to set or measure, what is planned, and its limit."""

    what: str
    aim: Cell = Cell()
    limit: Cell = Cell()


Lines = Iterator[Line]


class _Traced(dict):
    """The facts of a test; notes which of them are read."""

    def __init__(self, texts: dict[str, str]) -> None:
        super().__init__(texts)
        self.asked: dict[str, None] = {}

    def __getitem__(self, name: str) -> str:
        self.asked[name] = None
        return super().__getitem__(name)


class _Bench:
    """A worked test as the sheet's lines ask it."""

    def __init__(self, worked: Worked) -> None:
        self.worked, self.record, self.texts = worked, worked.record, worked.texts
        self.system: System = worked.record.bare
        self.leaned: dict[str, None] = {}
        """The facts that were left blank and that figures of the sheet rest on."""
        self.of_the_day = fills(worked.record)

    def typed(self, name: str) -> str:
        """A fact as written, bare numbers with their unit; "" where it is blank."""
        text, each = self.record.text(name).strip(), FIELDS[name].input
        if not text:
            return ""
        try:
            value = each.read(text, self.system)
            if isinstance(each, Choice):
                return each.label_of(value)
            if isinstance(each, Quantity) and split(text, each.kind)[1] in (None, each.kind.us, each.kind.si):
                return show_as_written(value, each.kind, system_of(each, text, self.system))
        except InputError:
            return f"“{text}” cannot be read"
        return text

    def own(self, text: str, name: str) -> Cell:
        """A limit of the WPS, or whom to ask for it."""
        return Cell(text, own=True) if text else Cell(f"not said: see {FIELDS[name].said_by.value}")

    def fact(self, name: str, what: str = "") -> Line:
        """A fact of the test: a limit where the WPS says it, else what is planned."""
        cell = self.own(self.typed(name), name)
        what = what or FIELDS[name].input.label
        return Line(what, limit=cell) if FIELDS[name].said_by is SaidBy.WPS else Line(what, cell)

    def together(self, what: str, *names: str) -> Line:
        """Facts of the WPS that are looked at together."""
        said = [lowered(self.typed(name)) or "not said" for name in names]
        return Line(what, limit=self.own(", ".join(said) if any(map(self.typed, names)) else "", names[0]))

    def optional(self, name: str, what: str) -> Lines:
        """A limit that a WPS need not state: no line where it does not."""
        if text := self.typed(name):
            yield Line(what, limit=Cell(f"at most {text}" if name.endswith("_most") else text, own=True))

    def band(self, low: str, high: str) -> Cell:
        """Both ends of a band of the WPS, or the one that it states."""
        ends = self.typed(low), self.typed(high)
        if all(ends):
            return Cell(f"{ends[0]} to {ends[1]}", own=True)
        return self.own(f"at least {ends[0]}" if ends[0] else f"at most {ends[1]}" if ends[1] else "", low)

    def toleranced(self, name: str, over: str, under: str = "") -> tuple[Cell, Cell]:
        """A figure of the WPS, and its tolerance as a band; without one, the figure is the limit."""
        plain, more, less = self.own(self.typed(name), name), self.typed(over), self.typed(under) if under else ""
        if not plain.own or not (more or less):
            return Cell(), plain
        try:
            ends = [
                FIELDS[each].input.read(self.record.text(each), self.system) or 0 if each else 0
                for each in (name, over, under)
            ]
        except InputError:
            signed = (f"{sign} {text}" for sign, text in (("+", more), ("−", less)) if text)
            return plain, Cell(", ".join(signed), own=True)
        each = FIELDS[name].input
        system = system_of(each, self.record.text(name), self.system)
        low, high = (show_as_written(end, each.kind, system) for end in (max(ends[0] - ends[2], 0), ends[0] + ends[1]))
        return plain, Cell(f"{low} to {high}", own=True)

    # -- figures of the calculators --

    def result(self, identifier: str, **inputs: str) -> Result | None:
        """The answer of a calculator: of the test, else of one that judges on the day."""
        found = self.worked.result(identifier)
        if found is None and identifier in self.of_the_day:
            try:
                found = calculator(identifier).answer({**self.of_the_day[identifier], **inputs}, self.system)
            except InputError:
                return None
        return found

    def cell(self, identifier: str, *names: str, **inputs: str) -> Cell:
        """One figure of an answer, or two as a band."""
        result = self.result(identifier, **inputs)
        values = [value for name in names for value in (result.values if result else ()) if value.name == name]
        if len(values) < len(names):
            return Cell(_NOT_WORKED_OUT)
        text = " to ".join(dict.fromkeys(value.text(self.system) for value in values))
        if len(values) > 1 and "(about " in text:
            text = "about " + " to ".join(shop_fraction(value.amount, 32) for value in values)
        return Cell(text, values[0].source, leans=self.leans(identifier))

    def rule(self, identifier: str, name: str) -> Cell:
        """A limit that an answer takes from a document as it stands, whatever the test says."""
        return replace(self.cell(identifier, name), leans=False)

    def figure(self, identifier: str, name: str, what: str = "") -> Line:
        """A figure that is planned."""
        return Line(what or self.label(identifier, name), self.cell(identifier, name))

    def label(self, identifier: str, name: str) -> str:
        """What a figure is called in its calculator."""
        result = self.result(identifier) or calculator(identifier).answer()
        return next((value.label for value in result.values if value.name == name), name.replace("_", " "))

    def leans(self, identifier: str) -> bool:
        """Whether an answer rests on a fact of the WPS or the plate that is blank, so that another stands in."""
        blank = [name for name in self._takes(identifier) if FIELDS[name].said_by is not SaidBy.SHOP
            and FIELDS[name].stand_in and not self.record.text(name).strip() and asked_for(name, self.texts)]
        self.leaned.update(dict.fromkeys(blank))
        return bool(blank)

    def _takes(self, identifier: str) -> Iterator[str]:
        for name in map(taken, calculator(identifier).inputs):
            if name is None:
                continue
            if "." in name:
                yield from self._takes(name.split(".")[0])
            elif name in DERIVED:
                traced = _Traced(self.texts)
                DERIVED[name](traced)
                yield from traced.asked
            elif name in FIELDS:
                yield name

    def limit(self, fact: Fact, before: str = "at most") -> Cell:
        """A limit of the register; one that is no fraction of an inch is a document's own in millimeters."""
        if fact.amount is None:
            return Cell(fact.wording, fact.source)
        system: System = "us" if self.system == "us" and is_shop_fraction(fact.amount) else "si"
        shown = show_as_written(fact.amount, fact.kind, "us") if system == "us" else show(fact.amount, fact.kind, "si")
        return Cell(f"{before} {shown}", fact.source)


# --- the stages of the day ---------------------------------------------------------------------------


def _plates(bench: _Bench) -> Lines:
    yield bench.fact("steel")
    yield bench.fact("thickness")
    yield bench.figure("groove", "plate_width")
    yield bench.fact("plate_length")
    yield bench.together("Backing: thick, wide, ends", "backing_thickness", "backing_width", "run_off")


def _cut(bench: _Bench) -> Lines:
    yield Line("Bevel angle, each plate", *bench.toleranced("bevel_angle", "bevel_over", "bevel_under"))
    yield Line("Root face", *bench.toleranced("root_face", "root_face_over"))
    yield bench.figure("bevel-cut", "line_from_edge", "Old edge to cutting line")
    yield bench.figure("bevel-cut", "path", "Set the torch for a path of")
    own = bench.typed("cut_speed_low") or bench.typed("cut_speed_high")
    yield Line("Cutting speed, to start with", bench.band("cut_speed_low", "cut_speed_high") if own
        else bench.cell("bevel-cut", "speed_low", "speed_high"))


def _clean(bench: _Bench) -> Lines:
    yield Line("Bright from the bevel edge", limit=bench.cell("clean-band", "band"))
    yield Line("What has to be off", limit=bench.rule("clean-band", "free_from"))


def _fit_up(bench: _Bench) -> Lines:
    # Nothing is measured yet: one opening as the WPS has it gives the limits.
    now = {"openings": f"0 in | {bench.texts['root_opening']}", "mismatch": "", "backing_gap": ""}
    opening, limit = bench.toleranced("root_opening", "opening_over", "opening_under")
    if not opening.text:
        opening, limit = limit, bench.cell("fit-up", "lowest_allowed", "highest_allowed", **now)
    yield Line("Root opening", opening, limit)
    yield Line("Misalignment", limit=_most(bench.cell("fit-up", "mismatch_limit", **now)))
    yield Line("Gap at the backing", limit=bench.limit(BACKING_GAP))
    yield Line("Shim, if you preset", bench.cell("preset", "shim_low", "shim_high"))


def _most(cell: Cell) -> Cell:
    return cell if cell.text == _NOT_WORKED_OUT else replace(cell, text=f"at most {cell.text}")


def _rods(bench: _Bench) -> Lines:
    yield bench.together("Electrode, core diameter", "electrode", "diameter")
    yield bench.figure("passes", "rods_most")
    if bench.typed("exposure_most") or bench.texts["electrode"] == "E7018":
        own = bench.typed("exposure_most")
        yield Line("Time out of the oven", limit=Cell(f"at most {own}", own=True) if own
            else _most(bench.cell("rod-exposure", "limit")))


def _machine(bench: _Bench) -> Lines:
    if bench.texts["position"] == "3G":
        yield bench.together("Position, direction", "position", "progression")
    else:
        yield bench.fact("position")
    yield bench.fact("polarity")
    current = bench.result("current")
    amps = bench.typed("amps") or (current.inputs.get("amps", "") if current else "")
    yield Line("Amperage", Cell(amps, leans=not bench.typed("amps") and bench.leans("current")),
        bench.band("amps_low", "amps_high"))
    for layer, own in other_rods(bench.record, bench.texts):
        ends = " to ".join(filter(None, (own["amps_low"], own["amps_high"])))
        volts = " to ".join(filter(None, (own["volts_low"], own["volts_high"])))
        yield Line(f"{layer}: {own['electrode']}, {own['diameter']}", limit=Cell(
            ", ".join(filter(None, (ends, volts))), own=True))
    yield Line("Arc voltage, at the arc", limit=bench.band("volts_low", "volts_high"))
    yield Line("Travel speed", limit=bench.band("travel_low", "travel_high"))
    yield Line("Arc length", limit=_most(bench.cell("arc-length", "longest")))
    yield Line("Arc time in each 10 min", limit=_most(bench.cell("duty-cycle", "minutes_on")))
    yield Line("Lens shade, or darker", bench.cell("lens-shade", "start_shade"))


def _heat(bench: _Bench) -> Lines:
    least, table = bench.typed("preheat_minimum"), bench.cell("preheat", "by_table")
    yield Line("Preheat, before each pass", replace(table, text=f"table: {table.text}"),
        bench.own(f"at least {least}" if least else "", "preheat_minimum"))
    top = bench.typed("interpass_maximum")
    yield Line("Interpass temperature", limit=bench.own(f"at most {top}" if top else "", "interpass_maximum"))
    most = bench.typed("heat_most")
    yield Line("Heat input H at mid-band", bench.cell("heat-input", "plain"),
        Cell(f"at most {most}", own=True) if most else Cell())


def _passes(bench: _Bench) -> Lines:
    passes, layers = bench.cell("passes", "passes"), bench.cell("passes", "layers")
    yield Line("Passes, layers", replace(passes, text=f"{passes.text} in {layers.text} layers"))
    yield from bench.optional("layer_most", "Thickness of a layer")
    yield from bench.optional("cleaning_tools", "Interpass cleaning")


def _look(bench: _Bench) -> Lines:
    cap = bench.typed("cap_height")
    if bench.texts["rule_document"] != "d1.1":
        yield Line("Visual inspection", limit=Cell("ask the inspector: the guide holds no visual limits of this "
            "rule document"))
        yield bench.fact("cap_height")
        return
    rule = VISUAL_RULES[0]
    undercut = undercut_limit(rule.id, parse(bench.texts["thickness"], LENGTH, bench.system)).anywhere
    yield Line("Cracks", limit=bench.limit(rule.crack))
    yield Line("Craters", limit=bench.limit(rule.crater))
    if rule.face:
        yield Line("Weld face", limit=bench.limit(rule.face))
    yield Line("Height of the reinforcement", Cell(cap, own=True), bench.limit(rule.reinforcement))
    yield Line("Undercut", limit=bench.limit(undercut))
    yield Line("Root", limit=bench.limit(rule.root))


def _coupons(bench: _Bench) -> Lines:
    result = bench.result("coupon-layout")
    if result is None:
        yield Line("Specimens", Cell(_NOT_WORKED_OUT))
        return
    for number, kind in enumerate(result["kinds"].wording.split(", "), 1):
        yield Line(f"Specimen {number}, {kind.split()[0]}: from, to",
            bench.cell("coupon-layout", f"start_{number}", f"end_{number}"))
    yield bench.figure("coupon-layout", "blank_width", "Saw each specimen this wide")
    yield bench.figure("coupon-layout", "coupon_thickness", "Specimen, ground flush")
    yield Line("Radius on the long edges", limit=_most(bench.rule("coupon-layout", "edge_radius")))


def _bend(bench: _Bench) -> Lines:
    result = bench.result("bend-ratio")
    plunger = Cell(bench.typed("plunger_diameter"))
    rule_plunger = _value(result, "rule_plunger")
    yield Line("Plunger diameter", plunger, bench.cell("bend-ratio", "rule_plunger") if rule_plunger else Cell())
    yield bench.figure("bend-ratio", "die_opening", "Jig opening")
    key = DERIVED["bend_rule"](bench.texts)
    rule = next(rule for rule in BEND_RULES if rule.key == key)
    figures = rule.figures("inch" if bench.system == "us" else "metric")
    most = "under" if rule.fails_at_limit else "at most"
    yield Line("Any open discontinuity", limit=bench.limit(figures.single, most))
    if figures.total:
        left_out = bench.limit(figures.floor, ", counting over").text if figures.floor else ""
        total = bench.limit(figures.total)
        yield Line("Their sum on one specimen", limit=replace(total, text=total.text + left_out))
    if figures.corner:
        yield Line("Corner crack, nothing in it", limit=bench.limit(figures.corner))


def _value(result: Result | None, name: str) -> Value | None:
    return next((value for value in result.values if value.name == name), None) if result else None


@dataclass(frozen=True)
class Stage:
    """One stage of the day: its lines, and the caution that belongs at the bench, by calculator and place."""

    title: str
    lines: Callable[[_Bench], Lines]
    caution: tuple[str, int] | None = None


STAGES = (
    Stage("Plates", _plates),
    Stage("Cut and bevel", _cut, ("cut-speed", 1)),
    Stage("Clean", _clean, ("clean-band", 0)),
    Stage("Fit-up", _fit_up),
    Stage("Rods", _rods),
    Stage("Machine", _machine, ("current", 1)),
    Stage("Preheat and interpass", _heat, ("preheat", 0)),
    Stage("Passes", _passes, ("passes", 0)),
    Stage("Look", _look),
    Stage("Bend specimens", _coupons, ("coupon-layout", 1)),
    Stage("Bend", _bend, ("bend-ratio", 0)),
)
_HOLDS_BESIDE = 4
"""Hold points that stand beside the QR code; more take the whole width."""
_ROOMY_MOST = 70
"""Lines of a sheet that stand wide apart on two pages; more stand closer."""
_AT_THE_TOP = (("groove", "section", 120.0), ("coupon-layout", "layout", 140.0))
"""Drawings by calculator and name, and how tall they are: low ones have large words beside what is drawn."""


# --- as HTML ------------------------------------------------------------------------------------------


def sheet_html(worked: Worked, link: str = "") -> str:
    """The bench sheet of a worked test; with a link, its QR code. Raises what `qr_svg` raises.

    >>> from calc.plate_test.work import work
    >>> from calc.record.demo import TEST
    >>> "115\\xa0A to 135\\xa0A" in sheet_html(work(TEST))
    True
    """
    bench, numbers = _Bench(worked), Numbers()
    stages = "".join(_stage(stage, bench, numbers) for stage in STAGES)
    head, drawings = _head(bench, link), _drawings(bench)
    full = " bench-full" if sum((head + stages).count(mark) for mark in ("<tr", "<li")) > _ROOMY_MOST else ""
    return (
        f'<article class="bench-sheet{full}">{head}{drawings}'
        '<table class="bench-table"><thead><tr><th scope="col">Set or measure</th>'
        '<th scope="col">Planned, or <b>limit of your WPS</b></th><th scope="col">Done</th>'
        '<th scope="col">You read</th></tr></thead>'
        f"{stages}</table>{_foot(bench, numbers)}</article>"
    )


def _head(bench: _Bench, link: str) -> str:
    record = bench.record
    rule = ", ".join(filter(None, (bench.typed("rule_document"), bench.typed("edition"))))
    facts = [f"WPS: {bench.typed('wps') or 'not said'}", rule, bench.typed("test_date")]
    invented = "Invented for demonstration. " if record.invented else ""
    code = f'<div class="bench-code">{qr_svg(link)}<p>This test in the guide</p></div>' if link else ""
    standing, holds = _standing(bench), _holds(bench)
    beside, below = (holds, "") if holds.count("<li>") <= _HOLDS_BESIDE else ("", holds)
    return (
        f'<header><div><h2>{TITLE}: {escape(record.name or "no name")}</h2>'
        f"<p>{escape('. '.join(filter(None, facts)))}. {invented}"
        'Welder:&#160;<span class="bench-blank"></span></p>'
        f'<p class="bench-aid">{escape(STUDY_AID)}</p>{standing}{beside}</div>{code}</header>{below}'
    )


def _standing(bench: _Bench) -> str:
    """How the whole stands, the loudest verdicts, and what is missing."""
    worked, system = bench.worked, bench.system
    missing = [each for each in worked.verdicts if each.id == MISSING]
    loud = sorted(
        (each for each in worked.verdicts if each.level.severity and each.id != MISSING),
        key=lambda each: -each.level.severity,
    )
    items = "".join(
        f"<li><b>{each.level.label}</b> {escape(each.title)}: {escape(phrase_text(each.phrase, system))}</li>"
        for each in (*loud[:_LOUD_MOST], *missing)
    )
    if len(loud) > _LOUD_MOST:
        items += f"<li>{len(loud) - _LOUD_MOST} more: the guide tells them.</li>"
    told = f"<ul>{items}</ul>" if items else ""
    return f'<section class="bench-standing"><p><b>{escape(headline(worked))}</b></p>{told}</section>'


def _holds(bench: _Bench) -> str:
    """Where to stop and call the inspector."""
    points = "".join(
        f'<li><span class="bench-box"></span>{escape(row[0])}</li>' for row in bench.record.rows.get("hold_points", ())
        if row and row[0].strip()
    )
    said = (f"<p><b>Hold points: stop and call the inspector</b></p><ul>{points}</ul>" if points
        else "<p><b>Hold points</b> not said: ask where you stop and call the inspector.</p>")
    return f'<section class="bench-standing bench-holds">{said}</section>'


def _stage(stage: Stage, bench: _Bench, numbers: Numbers) -> str:
    rows = "".join(_row(line, numbers) for line in stage.lines(bench))
    said = ""
    if stage.caution:
        identifier, place = stage.caution
        result = bench.worked.result(identifier) or calculator(identifier).answer()
        said = f' <span class="bench-caution">{escape(result.cautions[place])}</span>'
    log = f'<tr><td colspan="4" class="bench-log">{_log(bench)}</td></tr>' if stage.lines is _passes else ""
    return (
        f'<tbody><tr class="bench-stage"><th colspan="4" scope="rowgroup">{escape(stage.title)}{said}</th></tr>'
        f"{rows}{log}</tbody>"
    )


def _row(line: Line, numbers: Numbers) -> str:
    figures = ", ".join(_cell(cell, numbers) for cell in (line.aim, line.limit) if cell.text)
    return (
        f'<tr><th scope="row">{escape(line.what)}</th><td>{figures}</td>'
        '<td><span class="bench-box"></span></td><td></td></tr>'
    )


def _cell(cell: Cell, numbers: Numbers) -> str:
    text = escape(cell.text) + ("*" if cell.leans else "")
    # Where a citation says more than the place, the guide tells it: the sheet has one line for each.
    mark = f" {numbers.mark(replace(cell.source, note=''))}" if cell.source else ""
    return (f"<b>{text}</b>" if cell.own else text) + mark


def _log(bench: _Bench) -> str:
    """Room to write for each pass, in two columns where there are many."""
    value = _value(bench.result("passes"), "passes")
    count = min(max(int(value.amount), 1), _LOG_MOST) if value and value.amount is not None else _LOG_MOST
    columns = 1 if count <= _LOG_SIDE else 2
    heads = ("Pass", "Temp.", "A", "V", "Travel", "Slag off")
    head = "".join(f'<th scope="col">{words}</th>' for words in heads)
    deep = -(-count // columns)
    rows = "".join(f"<tr>{''.join(_log_cells(row + deep * column, count) for column in range(columns))}</tr>"
        for row in range(1, deep + 1))
    return f'<table class="bench-table"><thead><tr>{head * columns}</tr></thead><tbody>{rows}</tbody></table>'


def _log_cells(number: int, count: int) -> str:
    if number > count:
        return "<td></td>" * 6
    return f'<th scope="row">{number}</th>{"<td></td>" * 4}<td><span class="bench-box"></span></td>'


def _drawings(bench: _Bench) -> str:
    drawn = ""
    for identifier, name, tallest in _AT_THE_TOP:
        result = bench.result(identifier)
        for drawing in result.drawings if result else ():
            if drawing.name == name:
                star = "*" if bench.leans(identifier) else ""
                drawn += (
                    f'<figure>{drawing_svg(for_the_wall(drawing, bench.system, tallest), "bench")}'
                    f"<figcaption>{escape(drawing.title)}{star}</figcaption></figure>"
                )
    return f'<div class="bench-drawings">{drawn}</div>' if drawn else ""


def for_the_wall(drawing: Drawing, system: System, tallest: float) -> Drawing:
    """The same drawing with its words in one system, and no taller than that."""
    shapes = tuple(
        replace(shape, label=(phrase_text(shape.label, system),)) if hasattr(shape, "label") else shape
        for shape in drawing.shapes
    )
    return replace(drawing, shapes=shapes, tallest=tallest)


def _foot(bench: _Bench, numbers: Numbers) -> str:
    leaned = ", ".join(FIELDS[name].input.label for name in bench.leaned)
    star = f"<p>* Your test does not say, and the invented shop's stands in: {escape(leaned)}.</p>" if leaned else ""
    return f'<footer>{star}<p class="bench-sources"><b>Sources.</b> {_sources(numbers)}</p></footer>'


def _sources(numbers: Numbers) -> str:
    """The citations by their numbers, each document once."""
    by_document: dict[str, list[str]] = {}
    for citation, number in numbers.found.items():
        document = citation.document
        title = f"{', '.join(filter(None, (document.title, document.issued_by)))}: " if document else ""
        place = ", ".join(filter(None, (document.edition if document else "", citation.place)))
        by_document.setdefault(title, []).append(f"<b>{number}</b> {escape(place)} ({citation.standing.value})")
    return ". ".join(escape(title) + "; ".join(places) for title, places in by_document.items()) + "."
