"""A calculator as HTML: the form, and the answer. One renderer for the build, the browser and paper.

The build writes form and answer into the page; in the browser the same function
writes each new answer. Every text from outside goes through `escape`.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import Any

from calc.core.declare import (
    Calculator,
    Check,
    Choice,
    Clock,
    Day,
    Input,
    InputError,
    Level,
    Phrase,
    Quantity,
    Result,
    Rows,
    Step,
    Value,
    Whole,
    Words,
    phrase_text,
)
from calc.core.sources import Citation, Standing
from calc.core.units import INCH, SYSTEMS, System
from calc.show.drawing import SHEET_WIDTH, Drawing
from calc.show.plot import Listing, Plot, Table, cell_text, film_json, svg
from calc.show.sliders import slide_data



def both(us: str, si: str) -> str:
    """A text in both systems; the page shows one of them, or both where no switch has been set.

    >>> both("1 in", "25.4 mm")
    '<span class="us">1 in</span><span class="si">25.4 mm</span>'
    """
    if us == si:
        return escape(us)
    return f'<span class="us">{escape(us)}</span><span class="si">{escape(si)}</span>'


def phrase_html(phrase: Phrase) -> str:
    """A sentence, its quantities in both systems."""
    return "".join(
        escape(part) if isinstance(part, str) else both(part.text("us"), part.text("si")) for part in phrase
    )


def standing_html(standing: Standing) -> str:
    """How we hold a value, as a small mark; its word and look come from the standing.

    >>> standing_html(Standing.READ)
    '<span class="standing" data-standing="read">read</span>'
    """
    return f'<span class="standing" data-standing="{standing.name.lower()}">{escape(standing.value)}</span>'


def citation_html(citation: Citation) -> str:
    """A citation in full: where, and how we hold it."""
    if citation.document is None:
        where = escape(citation.place)
    else:
        doc = citation.document
        parts = (
            f"<cite>{escape(doc.title)}</cite>", escape(doc.issued_by), escape(doc.edition), escape(citation.place),
        )
        where = ", ".join(part for part in parts if part)
    note = f" {escape(citation.note)}" if citation.note else ""
    return f"{where}. {standing_html(citation.standing)}.{note}"


class _Sources:
    """Numbers the citations of one answer in order of first use."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.numbers: dict[Citation, int] = {}

    def mark(self, citation: Citation) -> str:
        number = self.numbers.setdefault(citation, len(self.numbers) + 1)
        return (
            f'<a class="source-mark" href="#{self.place}-source-{number}">{escape(citation.standing.value)}'
            f'<span class="visually-hidden">, source</span> <span class="source-number">{number}</span></a>'
        )

    def listing(self) -> str:
        items = "".join(
            f'<li id="{self.place}-source-{number}">{citation_html(citation)}</li>'
            for citation, number in self.numbers.items()
        )
        return f'<div class="sources"><ol>{items}</ol></div>' if items else ""


MOST_FIGURES = 5
LEAST_FIGURES = 2
"""So many main figures stand in sight, fewer where checks speak against the answer and need the room; the rest is
folded, so that a form is no taller than two screens of a phone."""
MOST_LEFT_OUT = 3
"""So many checks that wait for something to be inspected or filled in stand in sight; more of them are folded, with
their number."""


def answer_pieces(result: Result, place: str | None = None, quick: bool = False) -> dict[str, str]:
    """The answer below its sentence, in named pieces that the page can renew one by one: the picture, figures, checks
    that speak against it, cautions, and folded: other drawings, what is in order and notes, other figures, worked steps
    and sources.

    `place` is the id of the form on the page, for links inside the answer. `quick` leaves out what is folded and plots.
    """
    place = place or result.calculator.id
    sources = _Sources(place)
    loud = [check for check in result.checks if check.level.severity]
    room = max(LEAST_FIGURES, MOST_FIGURES - len(loud))
    main = [value for value in result.values if value.main][:room]
    drawn = {
        "picture" if number == 0 else f"figure-{figure.name}": figure
        for number, figure in enumerate(result.drawings) if not (quick and isinstance(figure, Plot))
    }
    first = drawn.pop("picture", None)
    pieces = {
        **({"picture": _drawn(first, place)} if first else {}),
        "figures": _figures(main, sources, "Main figures"), "checks": _loud(result, loud, sources, place),
        "cautions": _cautions(result.cautions),
        # Not with the picture, which stays in sight and has to leave room for the inputs.
        **({"numbers": _plot_numbers(first)} if isinstance(first, Plot) else {}),
        **{
            name: _folded(name, figure.title, _drawn(figure, place) + _plot_numbers(figure))
            for name, figure in drawn.items()
        },
        "lists": _folded("lists", f"Lists ({len(result.tables)})", listings_html(result.tables)) if result.tables else "",
    }
    if not quick:
        quiet = [check for check in result.checks if not check.level.severity]
        counts = [f"{level.label} ({sum(check.level is level for check in quiet)})" for level in (Level.OK, Level.NOTE)
            if any(check.level is level for check in quiet)]
        rest = [value for value in result.values if value not in main]
        pieces |= {
            "quiet": _folded("quiet", ", ".join(counts), _checks(result, quiet, sources, place)) if quiet else "",
            "others": _folded(
                "other-figures", f"Other figures ({len(rest)})", _figures(rest, sources, "Other figures"),
            ) if rest else "",
            "steps": _folded(
                "steps", f"Worked steps ({len(result.steps)})", _steps(result.steps, sources),
            ) if result.steps else "",
        }
        pieces["sources"] = _folded("sources", f"Sources ({len(sources.numbers)})", sources.listing())
    return {name: f'<div data-piece="{name}">{inside}</div>' for name, inside in pieces.items()}


def answer_html(result: Result, place: str | None = None) -> str:
    """The answer below its sentence, whole."""
    return "".join(answer_pieces(result, place).values())


def shown(result: Result, place: str, quick: bool = False) -> dict[str, Any]:
    """What the page needs to show an answer: the sentence, its pieces, and the sentence as spoken."""
    return {
        "headline": phrase_html(result.headline), "pieces": answer_pieces(result, place, quick),
        "spoken": {each: phrase_text(result.headline, each) for each in SYSTEMS},
    }


def _drawn(figure: Drawing | Plot, place: str) -> str:
    """A drawing with its title; a plot also with its frames where it has some to play."""
    film = f' data-film="{escape(film_json(figure))}"' if isinstance(figure, Plot) and figure.film else ""
    drawn = svg(figure, place)
    if isinstance(figure, Plot) and figure.wide > SHEET_WIDTH:
        drawn = f'<div class="wide" tabindex="0" role="group" aria-label="Chart: {escape(figure.title)}">{drawn}</div>'
    return (
        f'<figure class="drawn" data-figure="{escape(figure.name)}"{film}>{drawn}'
        f"<figcaption>{escape(figure.title)}</figcaption></figure>"
    )


def _plot_numbers(figure: Drawing | Plot) -> str:
    """The numbers of a plot as a table, folded; nothing for a drawing."""
    if not isinstance(figure, Plot):
        return ""
    return _folded(f"numbers-{figure.name}", f"The numbers of this plot: {figure.title}", _plot_table(figure))


def _plot_table(plot: Plot) -> str:
    return _table(plot.table, plot.title, "figures", ' class="visually-hidden"')


def _listing(listing: Listing) -> str:
    """A table that stands open under its title."""
    return _table(listing.table, listing.title, "figures listed")


def _table(table: Table, title: str, kind: str, hidden: str = "") -> str:
    heads = "".join(f'<th scope="col">{escape(column.label)}</th>' for column in table.columns)
    rows = "".join("<tr>" + "".join(_cells(table, row)) + "</tr>" for row in table.rows)
    return (
        f'<div class="wide" tabindex="0" role="group" aria-label="Table: {escape(title)}"><table class="{kind}"><caption{hidden}>{escape(title)}</caption>'
        f"<thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table></div>"
    )


def _cells(table: Table, row: tuple) -> list[str]:
    texts = [
        both(cell_text(cell, column, "us"), cell_text(cell, column, "si"))
        for cell, column in zip(row, table.columns, strict=True)
    ]
    return [f'<th scope="row">{texts[0]}</th>', *(f"<td>{text}</td>" for text in texts[1:])]


def listings_html(listings: tuple[Listing, ...]) -> str:
    """Tables for a sheet of paper."""
    return "".join(map(_listing, listings))


def _folded(key: str, title: str, inside: str, level: Level | None = None) -> str:
    marked = f' data-level="{level.value}"' if level else ""
    return f'<details data-fold="{key}"{marked}><summary>{escape(title)}</summary>{inside}</details>'


def _figures(values: list[Value], sources: _Sources, caption: str) -> str:
    rows = "".join(_figure(value, sources) for value in values)
    return (
        f'<table class="figures"><caption class="visually-hidden">{caption}</caption><thead class="visually-hidden"><tr>'
        f'<th scope="col">Figure</th><th scope="col">Value and source</th></tr></thead><tbody>{rows}</tbody></table>'
    )


def _figure(value: Value, sources: _Sources) -> str:
    letter = f' <span class="letter">{_letter(value.symbol)}</span>' if value.symbol else ""
    return (
        f'<tr data-value="{escape(value.name)}"><th scope="row">{escape(value.label)}{letter}</th>'
        f'<td><span class="amount">{both(value.text("us"), value.text("si"))}</span> {sources.mark(value.source)}</td></tr>'
    )


def _letter(symbol: str) -> str:
    main, _, below = symbol.partition("_")
    return f"{escape(main)}<sub>{escape(below)}</sub>" if below else escape(main)


def _checks(result: Result, checks: list[Check], sources: _Sources, place: str) -> str:
    told: set[str] = set()
    items = "".join(
        f'<li class="check" data-level="{check.level.value}"><strong>{check.level.label}</strong> '
        f'{phrase_html(check.phrase)} {sources.mark(check.source)}{_places(result, check, place, told)}</li>'
        for check in checks
    )
    return f'<ul class="checks" aria-label="Checks">{items}</ul>' if items else ""


def _loud(result: Result, checks: list[Check], sources: _Sources, place: str) -> str:
    """What speaks against the answer; where much is still to be inspected or filled in that is folded with its number."""
    left_out = [check for check in checks if check.level is Level.INCOMPLETE]
    if len(left_out) <= MOST_LEFT_OUT:
        return _checks(result, checks, sources, place)
    rest = [check for check in checks if check not in left_out]
    title = f"{Level.INCOMPLETE.label} ({len(left_out)})"
    return _checks(result, rest, sources, place) + _folded(
        "incomplete", title, _checks(result, left_out, sources, place), Level.INCOMPLETE,
    )


def _places(result: Result, check: Check, place: str, told: set[str]) -> str:
    """Where the reader's own limit goes, beside the first check that decides by a value from memory for want of it."""
    if check.level is Level.NOTE or check.source.standing is not Standing.FROM_MEMORY:
        return ""
    own = [
        each for each in result.calculator.own_limits(check.id)
        if not result.inputs.get(each.name, "").strip() and each.name not in told
    ]
    told.update(each.name for each in own)
    links = ", ".join(f'<a href="#{place}-{each.name}">{escape(each.label)}</a>' for each in own)
    return f' <span class="note">From memory. Put in your own: {links}.</span>' if links else ""


def _cautions(cautions: tuple[str, ...]) -> str:
    items = "".join(f"<li>{escape(text)}</li>" for text in cautions)
    return f'<div class="cautions"><h4>Take care</h4><ul>{items}</ul></div>' if items else ""


def _steps(steps: tuple[Step, ...], sources: _Sources) -> str:
    return '<ol class="steps">' + "".join(_step(step, sources) for step in steps) + "</ol>"


def _step(step: Step, sources: _Sources) -> str:
    note = f'<p class="note">{escape(step.note)}</p>' if step.note else ""
    factors = {system: step.factor(system) for system in SYSTEMS}
    return (
        f"<li><p>{escape(step.label)} {sources.mark(step.source)}</p>"
        f"<p>{_math(step.symbol, step.formula.letters_mathml())}</p>"
        + _both_blocks({system: _numbers_math(step, system, factors[system]) for system in SYSTEMS})
        + note
        + "</li>"
    )


def _both_blocks(blocks: Mapping[System, str]) -> str:
    if blocks["us"] == blocks["si"]:
        return f"<p>{blocks['us']}</p>"
    return "".join(f'<p class="{system}">{blocks[system]}</p>' for system in SYSTEMS)


def _symbol_math(symbol: str) -> str:
    main, _, below = symbol.partition("_")
    letter = f"<mi>{escape(main)}</mi>"
    return f"<msub>{letter}<mtext>{escape(below)}</mtext></msub>" if below else letter


def _math(symbol: str, inside: str) -> str:
    return f'<math displaystyle="true"><mrow>{_symbol_math(symbol)}<mo>=</mo>{inside}</mrow></math>'


def _numbers_math(step: Step, system: System, factor: str) -> str:
    inside = f"<mrow>{step.formula.numbers_mathml(system)}</mrow>"
    if factor:
        bracketed = f"<mo>(</mo>{inside}<mo>)</mo>" if " + " in step.formula.numbers(
            system
        ) or " − " in step.formula.numbers(system) else inside
        inside = f"{bracketed}<mo>×</mo><mn>{factor}</mn>"
    # Two formulas, so that a narrow screen may break the line before the result.
    math = _math(step.symbol, inside)
    result = f"<math><mrow><mo>=</mo><mtext>{escape(step.result_text(system))}</mtext></mrow></math>"
    hint = f' <span class="note">{factor} fits the units together.</span>' if factor else ""
    return f"{math} {result}{hint}"


def solution_html(steps: tuple[Step, ...], place: str) -> str:
    """Worked steps on their own with their sources, for a worked solution."""
    sources = _Sources(place)
    return _steps(steps, sources) + sources.listing()


# --- the form ----------------------------------------------------------------


def form_html(
    calculator: Calculator, given: Mapping[str, str] | None = None, place: str | None = None, case: str = "",
) -> str:
    """The form with its answer, already worked out for the defaults (or for `given`). Raises `InputError`.

    `case` tells two forms of one calculator apart in their titles. A form with numbers given keeps to them: it is marked,
    and does not take those of the reader's own test.
    """
    place = place or calculator.id
    title = f"{calculator.title}: {case}" if case else calculator.title
    texts = {**calculator.defaults, **(given or {})}
    result = calculator.answer(texts)
    fields = {each.name: _field(each, texts[each.name], place) for each in calculator.inputs}
    main = "".join(fields.pop(name) for name in calculator.main)
    more = (
        f'<details class="more" data-fold="more"><summary>More inputs ({len(fields)})</summary>'
        f'<div class="fields">{"".join(fields.values())}</div></details>'
    ) if fields else ""
    pieces = answer_pieces(result, place)
    picture, below = pieces.pop("picture", ""), "".join(pieces.values())
    return (
        f'<section class="calculator" id="{place}" data-calculator="{calculator.id}"{" data-given" if given else ""} '
        f'aria-labelledby="{place}-title">'
        f'<form data-place="{place}" novalidate><fieldset><legend><h3 id="{place}-title">{escape(title)}</h3></legend>'
        f'<p class="question">{escape(calculator.question)}</p>'
        f'<noscript><p class="notice">The answers below are for the numbers shown. Changing numbers needs scripts, '
        f"which are off in this browser.</p></noscript>"
        f'<div class="view"><p class="headline" data-headline>{phrase_html(result.headline)}</p>{picture}</div>'
        f'<div class="inputs"><div class="fields main">{main}</div>{more}<p class="engine" data-engine></p></div>'
        f'</fieldset></form><div class="answer" data-answer>{below}</div>'
        f'<p class="visually-hidden" role="status" data-spoken></p></section>'
    )


def _field(each: Input, text: str, place: str) -> str:
    ident = f"{place}-{each.name}"
    letter = f' <span class="letter">{_letter(each.symbol)}</span>' if each.symbol else ""
    may = ' <span class="may">may be blank</span>' if each.optional else ""
    about = f"{ident}-help {ident}-read {ident}-error"
    if isinstance(each, Rows):
        head = f'<p class="label" id="{ident}-label">{escape(each.label)}{letter}{may}</p>'
        control = _rows(each, text, ident)
    else:
        head = f'<label for="{ident}">{escape(each.label)}{letter}{may}</label>'
        control = _control(each, text, ident, each.name, about)
    reading = _reading(each, text)
    limits = f" Write {_limits(each)}." if isinstance(each, (Quantity, Whole)) else ""
    return (
        f'<div class="field" data-field="{each.name}">{head}{control}{_chips(each)}'
        f'<p class="help" id="{ident}-help">{escape(each.help)}{limits}</p>'
        f'<p class="read" id="{ident}-read" data-read>{reading}</p>'
        f'<p class="error" id="{ident}-error" data-error></p></div>'
    )


def _limits(each: Quantity | Whole) -> str:
    return escape(each.range_text()) if isinstance(each, Whole) else both(each.range_in("us"), each.range_in("si"))


def _control(each: Input, text: str, ident: str, name: str, about: str) -> str:
    common = f'id="{ident}" name="{name}" aria-describedby="{about}"'
    match each:
        case Choice():
            options = "".join(
                f'<option value="{escape(option.value)}"{" selected" if option.value == text else ""}>{escape(option.label)}</option>'
                for option in each.options
            )
            return f"<select {common}>{options}</select>"
        case Day():
            return f'<input {common} type="date" value="{escape(text)}" min="{each.low}" max="{each.high}">'
        case Clock():
            return f'<input {common} type="time" value="{escape(text)}">'
        case Whole():
            return f'<input {common} type="text" inputmode="numeric" autocomplete="off" value="{escape(text)}">'
        case Words():
            return f'<input {common} type="text" autocomplete="off" maxlength="{each.longest}" value="{escape(text)}">'
        case _:
            # A decimal keypad has no slash, so a length in inches gets the full keyboard.
            keyboard = "text" if each.kind.us is INCH else "decimal"
            return f'<input {common} type="text" inputmode="{keyboard}" autocomplete="off" spellcheck="false" value="{escape(text)}"{slide_data(each, text)}>'


def _chips(each: Input) -> str:
    common = getattr(each, "common", ())
    buttons = "".join(
        f'<button type="button" data-fill="{escape(text)}">{escape(text.replace(" deg", "°"))}</button>'
        for text in common
    )
    return f'<div class="chips" role="group" aria-label="Usual values of {escape(each.label.lower())}">{buttons}</div>' if buttons else ""


def _rows(each: Rows, text: str, ident: str) -> str:
    rows = "".join(_row(each, cells, f"{ident}-{number}") for number, cells in enumerate(each.cells(text), 1))
    blank = _row(each, [column.default for column in each.columns], f"{ident}-NUMBER")
    return (
        f'<div class="rows" data-rows="{each.name}" data-most="{each.most}" data-fewest="{each.fewest}" role="group" '
        f'aria-labelledby="{ident}-label" aria-describedby="{ident}-help {ident}-error">'
        f'<button type="button" class="add-row" data-add-row>Add<span class="visually-hidden">{escape(each.add_words.removeprefix("Add"))}</span></button>{rows}'
        f"<template>{blank}</template></div>"
    )


def _row(each: Rows, cells: list[str], ident: str) -> str:
    inside = ""
    for position, column in enumerate(each.columns):
        text = cells[position] if position < len(cells) and cells[position] else column.default
        cell = f"{ident}-{column.name}"
        inside += f'<div class="cell{_width(column)}"><label for="{cell}">{escape(column.label)}</label>{_control(column, text, cell, column.name, "")}</div>'
    inside = inside.replace(' aria-describedby=""', "")
    return (
        f'<div class="row" data-row>{inside}<button type="button" data-remove-row aria-label="Remove this {escape(each.row_name.lower())}">'
        f"×</button></div>"
    )


LONG_OPTION = 8
"""From so many letters on a choice needs more of its line than other cells."""


def _width(column: Input) -> str:
    """How much of its line a cell needs, as a class: counts and short choices little, choices in words much.

    >>> [_width(Whole("n", "n", "1", 0, 9, "")), _width(Words("name", "Name", "", ""))]
    [' brief', '']
    """
    if isinstance(column, Choice):
        return " wordy" if max(len(option.label) for option in column.options) > LONG_OPTION else " brief"
    return " brief" if isinstance(column, Whole) else ""


def _reading(each: Input, text: str) -> str:
    """What the guide understood, in the system the reader did not write in."""
    return reading_html(each, text, "us") if isinstance(each, Quantity) else ""


def reading_html(each: Quantity, text: str, system: System) -> str:
    """The reading-back line of a field, or nothing where both systems read the same or the field is blank."""
    try:
        back = each.read_back(text, system)
    except InputError:
        back = {}
    return f"{escape(back['us'])} = {escape(back['si'])}" if back and back["us"] != back["si"] else ""
