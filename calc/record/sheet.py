"""The sheet of paper: a record on one or two pages, its specimens drawn with the findings marked; or a blank one to
write on.

Black and white only. Nothing on it looks like or says that it is a certificate: it names itself a study aid at the top
and at the end, and the lines for a second look and a signature are left to people.
"""

from __future__ import annotations

from fractions import Fraction
from html import escape
from typing import Any

from calc.core.declare import Amount, Choice, InputError, Quantity, Rows
from calc.core.sources import Citation
from calc.core.units import LENGTH, System, counted, parse, show, show_as_written, split
from calc.record.fields import Form, Section
from calc.record.bench import BLANK, STUDY_AID, Flag, Judgement, place_in_words
from calc.record.shape import Record
from calc.show.drawing import Drawing, Note, Path, Polygon, Shape, drawing_svg, words
from calc.show.html import citation_html, phrase_html
from calc.stages.groove import GROOVE

_LINES_FOR_PEOPLE = (
    "Second look at the specimens, by someone else: name and date",
    "What the second look found",
    "Qualified inspector: name, date, signature. The verdict is theirs and stands on their own forms",
)
_SIGNING = "Signing here says that you have read this sheet. It certifies nothing."
_BLANK_ROWS = {"readings": 4, "passes": 8, "coupons": 4, "findings": 6, "uses": 14}


class Numbers:
    """The sources of a sheet, numbered in order of first use."""

    def __init__(self) -> None:
        self.found: dict[Citation, int] = {}

    def mark(self, citation: Citation | None) -> str:
        if citation is None:
            return ""
        return f'<span class="sheet-source">{escape(citation.standing.value)}, {self.found.setdefault(citation, len(self.found) + 1)}</span>'

    def listing(self) -> str:
        items = "".join(f"<li>{citation_html(citation)}</li>" for citation in self.found)
        return f'<section class="sheet-sources"><h3>Sources</h3><ol>{items}</ol></section>' if items else ""


def sheet_html(judgement: Judgement) -> str:
    """The printable sheet of a record."""
    record, numbers = judgement.record, Numbers()
    invented = '<p class="sheet-invented">Invented for demonstration. Nobody welded this.</p>' if record.invented else ""
    verdict = _verdict(judgement, numbers)
    sections = "".join(_section(section, judgement) for section in record.form.sections)
    flagged = _flagged(judgement, numbers)
    return (
        f'<article class="record-sheet"><header><h2>{escape(record.form.title)}: {escape(record.name or "no name")}</h2>'
        f'<p class="sheet-aid">{escape(STUDY_AID)}</p>{invented}</header>{verdict}{_drawings(judgement)}'
        f'<div class="sheet-sections">{sections}</div>{flagged}{_people()}{numbers.listing()}'
        f'<footer><p>{escape(STUDY_AID)} Record {escape(record.id)}, last changed {escape(record.changed)}. '
        f"{len(record.photos)} photographs are kept with the record, not on this sheet.</p></footer></article>"
    )


def blank_html(form: Form) -> str:
    """The same sheet with nothing in it, to print and write on."""
    sections = "".join(_blank_section(section) for section in form.sections)
    return (
        f'<article class="record-sheet blank-sheet"><header><h3>{escape(form.title)}, to write on</h3>'
        f'<p class="sheet-aid">{escape(STUDY_AID)}</p></header><div class="sheet-sections">{sections}</div>{_people()}</article>'
    )


def _people() -> str:
    lines = "".join(f'<div class="sheet-line"><span></span><p>{escape(text)}</p></div>' for text in _LINES_FOR_PEOPLE)
    return f'<section class="sheet-people"><h3>Left for people</h3>{lines}<p class="sheet-note">{escape(_SIGNING)}</p></section>'


# --- what was written ----------------------------------------------------------------


def _section(section: Section, judgement: Judgement) -> str:
    inside = "".join(_field(each, judgement) for each in section.fields)
    if not inside:
        return ""
    return f'<section><h3>{escape(section.title)}</h3>{inside}</section>'


def _field(each: Any, judgement: Judgement) -> str:
    record = judgement.record
    if isinstance(each, Rows):
        return _table(each, judgement) if record.rows.get(each.name) else ""
    text = record.text(each.name)
    if not text:
        return ""
    return (
        f'<div class="sheet-field"><span class="sheet-label">{escape(each.label)}</span> '
        f'<span class="sheet-value">{_shown(each, text, record)}{_tick(judgement.at(each.name))}</span></div>'
    )


def _shown(each: Any, text: str, record: Record) -> str:
    """As written; a choice by its words, a quantity with its unit and in the other system."""
    if not text.strip():
        return ""
    try:
        if isinstance(each, Choice):
            return escape(each.label_of(each.read(text, record.bare)))
        if isinstance(each, Quantity):
            return _both_systems(each, text, record)
    except InputError:
        return escape(text)
    return escape(text)


def system_of(each: Quantity, text: str, bare: System) -> System:
    """The system that a quantity is written in; that of the record for a bare number, and for a unit of neither.

    >>> system_of(GROOVE.input("thickness"), "10 mm", "us"), system_of(GROOVE.input("thickness"), "10", "si")
    ('si', 'si')
    """
    _, unit = split(text, each.kind)
    return "us" if unit is each.kind.us else "si" if unit is each.kind.si else bare


def _both_systems(each: Quantity, text: str, record: Record) -> str:
    """In the system it was written in as it was read; in the other to three digits, enough for paper."""
    value, mine = each.read(text, record.bare), system_of(each, text, record.bare)
    other: System = "si" if mine == "us" else "us"
    first, second = show_as_written(value, each.kind, mine), show(value, each.kind, other, 3)
    if each.kind.us is each.kind.si:
        return escape(first)
    return f'{escape(first)} <span class="sheet-si">({escape(second)})</span>'


def _tick(flags: tuple[Flag, ...]) -> str:
    if not flags:
        return ""
    return f' <b class="sheet-mark" data-level="{flags[0].level.value}">{flags[0].level.label}</b>'


def _table(each: Rows, judgement: Judgement) -> str:
    record = judgement.record
    head = "".join(f'<th scope="col">{escape(column.label)}</th>' for column in each.columns)
    rows = ""
    for number, row in enumerate(record.rows[each.name], 1):
        cells = "".join(
            f"<td>{_shown(column, text, record) if text else ''}{_tick(judgement.at(f'{each.name}/{number}/{column.name}'))}</td>"
            for column, text in zip(each.columns, row, strict=True)
        )
        rows += f'<tr><th scope="row">{number}</th>{cells}</tr>'
    return f'<p class="sheet-label">{escape(each.label)}{_tick(judgement.at(each.name))}</p>' + _listed(
        each.label, head, rows,
    )


def _listed(title: str, head: str, rows: str, first: str = "No.") -> str:
    """A table of the sheet. Where the screen is too narrow it scrolls by itself, and takes the focus for it."""
    return (
        f'<div class="wide" tabindex="0" role="group" aria-label="Table: {escape(title)}"><table class="sheet-table">'
        f'<thead><tr><th scope="col">{first}</th>{head}</tr></thead><tbody>{rows}</tbody></table></div>'
    )


def _blank_section(section: Section) -> str:
    inside = ""
    for each in section.fields:
        if isinstance(each, Rows):
            head = "".join(f'<th scope="col">{escape(column.label)}{_choices(column)}</th>' for column in each.columns)
            empty = "<td></td>" * len(each.columns)
            rows = "".join(
                f'<tr><th scope="row">{number}</th>{empty}</tr>' for number in range(1, _BLANK_ROWS[each.name] + 1)
            )
            inside += f'<p class="sheet-label">{escape(each.label)}</p>' + _listed(each.label, head, rows)
        else:
            inside += (
                f'<div class="sheet-field"><span class="sheet-label">{escape(each.label)}{_choices(each)}</span><span class="sheet-rule"></span></div>'
            )
    caution = f'<p class="sheet-note">{escape(section.caution)}</p>' if section.caution else ""
    return f"<section><h4>{escape(section.title)}</h4>{caution}{inside}</section>"


def _choices(each: Any) -> str:
    if not isinstance(each, Choice) or len(each.options) > 4:
        return ""
    return f' <span class="sheet-choices">({escape(" / ".join(option.value for option in each.options))})</span>'


# --- what is said -----------------------------------------------------------------------


def _verdict(judgement: Judgement, numbers: Numbers) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(line.label)}</th><td><b>{line.level.label}</b>: {escape(line.wording)}</td>'
        f"<td>{escape(line.rule)} {numbers.mark(line.source)}</td></tr>"
        for line in judgement.lines
    )
    head = '<th scope="col">How it stands</th><th scope="col">Rule and source</th>'
    return f'<section class="sheet-verdict"><h3>Verdict on what is written here</h3>{_listed("verdict", head, rows, "What")}</section>'


def _flagged(judgement: Judgement, numbers: Numbers) -> str:
    """Every figure that does not simply fit, in full."""
    loud = [flag for flag in judgement.flags if flag.level.severity and flag.id != BLANK]
    if not loud:
        return ""
    items = "".join(
        f"<li><b>{flag.level.label}</b> {escape(place_in_words(flag.place, judgement.record))}: {phrase_html(flag.phrase)} {numbers.mark(flag.source)}</li>"
        for flag in loud
    )
    return f'<section class="sheet-flags"><h3>Flagged figures</h3><ul>{items}</ul></section>'


# --- drawn ----------------------------------------------------------------------------------


def _drawings(judgement: Judgement) -> str:
    drawings = [drawing for drawing in (layout_drawing(judgement), findings_drawing(judgement)) if drawing]
    figures = "".join(
        f'<figure class="drawn">{drawing_svg(drawing, "sheet")}<figcaption>{escape(drawing.title)}</figcaption></figure>'
        for drawing in drawings
    )
    return f'<div class="sheet-drawings">{figures}</div>' if figures else ""


def _read(record: Record, name: str) -> Fraction | None:
    try:
        return record.form.field(name).read(record.text(name), record.bare) if record.text(name) else None
    except InputError:
        return None


def _cell(record: Record, each: Any, text: str, name: str) -> Any:
    """A cell of a list as read, None where it can't be. Blank is a choice's default; no number is made up."""
    column = next(column for column in each.columns if column.name == name)
    text = text or (column.default if isinstance(column, Choice) else "")
    try:
        return column.read(text, record.bare) if text else None
    except InputError:
        return None


def _amount(value: Fraction) -> Amount:
    return Amount(value, LENGTH, as_written=True)


def _number_of(record: Record) -> list[dict[str, Any]]:
    """The specimens noted, read as far as they can be."""
    each = record.form.field("coupons")
    names = [column.name for column in each.columns]
    return [
        {name: _cell(record, each, text, name) for name, text in zip(names, row, strict=True)}
        for row in record.rows.get("coupons", ())
    ]


def layout_drawing(judgement: Judgement) -> Drawing | None:
    """The plate from above: the weld, each specimen where it is cut, the discards. None without plate sizes."""
    answer, record = judgement.layout, judgement.record
    width = _read(record, "plate_width") if record.kind == "test-day" else None
    length = _read(record, "plate_length") if width else None
    if answer is None or width is None or length is None:
        return None
    W, L = float(width), float(length)
    values = {value.name: value for value in answer.values}
    kinds = answer["kinds"].wording.split(", ")
    bead = _weld_width(record)
    band = min(float(bead), W / 2) / 2 if bead else None
    shapes: list[Shape] = [Polygon(((0, 0), (L, 0), (L, W), (0, W)), "plain")]
    across = min(float(_read(record, "coupon_length") or width), W)
    low, high = (W - across) / 2, (W + across) / 2
    ends = [
        (float(values[f"start_{number}"].amount), float(values[f"end_{number}"].amount))
        for number in range(1, len(kinds) + 1)
    ]
    on_plate = [
        (number, kind, start, end) for number, (kind, (start, end)) in enumerate(zip(kinds, ends), 1) if end <= L
    ]
    shapes += [
        Polygon(((start, low), (end, low), (end, high), (start, high)), "plate") for _, _, start, end in on_plate
    ]
    shapes += [
        Polygon(((0, W / 2 - band), (L, W / 2 - band), (L, W / 2 + band), (0, W / 2 + band)), "weld")
    ] if band else [Path(((0, W / 2), (L, W / 2)), "center")]
    for number, kind, start, end in on_plate:
        middle = (start + end) / 2
        shapes += [
            Note((middle, W * 0.78), words(f"{number}"), up=2),
            Note((middle, W * 0.78), words(kind.split()[0]), up=-13),
        ]
        shapes.append(
            Note((start, 0.0), (_amount(values[f"start_{number}"].amount),), "middle", up=-31 + 15 * (number % 2))
        )
    shapes.append(Note((0, W), words("measured from this end"), "start", up=7))
    text = (
        "The plate from above, ", _amount(length), " along the weld and ", _amount(width),
        f" across, with {counted(len(kinds), 'specimen')}: {', '.join(kinds)}.",
    )
    return Drawing(
        "layout", "Where the specimens lie, to scale; starts measured from the left end", text, tuple(shapes),
        margin=40, tallest=300,
    )


def _weld_width(record: Record) -> Fraction | None:
    """Face width of the groove as noted; the band in the drawings."""
    names = {"thickness": "thickness", "bevel_angle": "bevel_angle", "root_opening": "required"}
    texts = {theirs: record.text(ours) for theirs, ours in names.items()}
    if not all(texts.values()):
        return None
    try:
        return GROOVE.answer({**texts, "finished_width": "48 in"}, record.bare)["face_width"].amount
    except InputError:
        return None


def findings_drawing(judgement: Judgement) -> Drawing | None:
    """The convex surface of each specimen laid flat, with every open discontinuity in its place and to its size.

    None without specimens.
    """
    record = judgement.record
    coupons = _number_of(record) if record.kind == "test-day" else []
    if not coupons:
        return None
    long = float(_read(record, "coupon_length") or parse("6 in", LENGTH))
    wide = [float(coupon["width"] or parse("1-1/2 in", LENGTH)) for coupon in coupons]
    bead = _weld_width(record)
    band = min(float(bead) / 2, long / 4) if bead else None
    step, shapes, bottoms = 0.016, [], []
    top = 0.0
    for number, (coupon, width) in enumerate(zip(coupons, wide, strict=True), 1):
        bottom = top - width
        bottoms.append(bottom)
        shapes.append(Polygon(((0, bottom), (long, bottom), (long, top), (0, top)), "plain"))
        if band:
            shapes.append(
                Polygon(
                    (
                        (long / 2 - band, bottom), (long / 2 + band, bottom), (long / 2 + band, top),
                        (long / 2 - band, top),
                    ),
                    "weld",
                )
            )
        state = "" if coupon["bent"] == "yes" else ", not bent yet"
        shapes.append(
            Note((0, top), words(f"Specimen {number}, {coupon['kind'] or 'unnamed'} bend{state}"), "start", up=5)
        )
        top = bottom - step
    notes, listed = _openings(record, coupons, wide, bottoms, long)
    text: list[Any] = [
        f"The convex surfaces of {counted(len(coupons), 'specimen')}, laid flat, with "
        f"{counted(len(listed), 'open discontinuity', 'open discontinuities')}. ",
    ]
    for number, (coupon, size, corner) in enumerate(listed, 1):
        text += [
            f"Open discontinuity {number} on specimen {coupon}, ", _amount(size),
            ", at a corner. " if corner else ", away from the corners. ",
        ]
    return Drawing(
        "findings", "Open discontinuities found, to scale, on the convex surfaces laid flat; weld dotted", tuple(text),
        (*shapes, *notes), margin=30,
    )


def _openings(record: Record, coupons, wide, bottoms, long) -> tuple[list[Shape], list[tuple[int, Fraction, bool]]]:
    each = record.form.field("findings")
    names = [column.name for column in each.columns]
    shapes: list[Shape] = []
    listed: list[tuple[int, Fraction, bool]] = []
    for position, row in enumerate(record.rows.get("findings", ()), 1):
        found = {name: _cell(record, each, text, name) for name, text in zip(names, row, strict=True)}
        if not found["coupon"] or found["coupon"] > len(coupons) or not found["size"]:
            continue
        number = found["coupon"] - 1
        corner = found["place"] == "corner"
        along = min(float(found["along"]), long) if found["along"] is not None else long / 2
        across = bottoms[number] + wide[number] * (1.0 if corner else 0.3 + 0.4 * (position % 2))
        half = float(found["size"]) / 2
        ends = ((along, across), (along, across - 2 * half)) if corner else (
            (along - half, across), (along + half, across),
        )
        shapes.append(Path(ends, "cut"))
        rest = (
            f"{', slag or fusion' if found['flaw'] == 'yes' else ''}{'' if found['along'] is not None else ', place not noted'}"
        )
        shapes.append(
            Note(
                (along + half, across), (f"{position}: ", _amount(found["size"]), rest), "start", right=7,
                up=-14 if corner else -4,
            )
        )
        listed.append((found["coupon"], found["size"], corner))
    return shapes, listed
