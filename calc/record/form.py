"""A record as HTML: the form of the day, what is said beside each figure, and the verdict.

The form is printed once, blank; the page fills it. What is said of a figure comes in pieces, by the place of the
figure.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from html import escape
from typing import Any

from calc.core.declare import Choice, Clock, Day, Quantity, Rows, Whole, Words
from calc.core.units import INCH
from calc.record.fields import FORMS, Form, Section
from calc.record.bench import BLANK, STUDY_AID, UNREADABLE, Flag, Judgement, Line, place_in_words
from calc.record.shape import FORMAT, LARGEST, LONGEST, MOST_PHOTOS, VERSION, Record, blank
from calc.show.html import both, citation_html, phrase_html, reading_html



def form_html(form: Form, stand_ins: Mapping[str, str] | None = None) -> str:
    """The blank form of one kind of record.

    `stand_ins` are shown in blank fields as what is used in their place; such a form is compact, its name comes last.
    """
    sections = "".join(_section(section, number, form, stand_ins) for number, section in enumerate(form.sections, 1))
    bare = (
        '<div class="field"><label for="record-bare">A number without a unit is</label><select id="record-bare" data-bare>'
        '<option value="us">US: in, °F</option><option value="si">SI: mm, °C</option></select>'
        '<p class="help">Kept in the record, so that it means the same on every device. Before a change, units are written out.</p></div>'
    )
    name = (
        f'<div class="field"><label for="record-name">Name of this {"record" if stand_ins is None else form.noun}</label>'
        '<input id="record-name" data-name type="text" autocomplete="off" maxlength="120"><p class="help">How you find it in the list.</p></div>'
    )
    head = f'<div class="fields">{name}{bare}</div>'
    if stand_ins is None:
        return f'<form class="record-form" data-kind="{form.kind}" novalidate>{head}{sections}</form>'
    return f'<form class="record-form compact" data-kind="{form.kind}" novalidate>{sections}{head}</form>'


def _section(section: Section, number: int, form: Form, stand_ins: Mapping[str, str] | None) -> str:
    caution = f'<p class="record-caution">{escape(section.caution)}</p>' if section.caution else ""
    fields = "".join(_field(each, stand_ins and stand_ins.get(each.name, "")) for each in section.fields)
    opened = " open" if number == 1 or form.kind == "continuity" else ""
    return (
        f'<details class="record-section" data-section="{section.id}"{opened}><summary><span class="record-number">{number}</span> '
        f'{escape(section.title)} <span class="record-count" data-count></span></summary>'
        f'<p class="record-help">{escape(section.help)}</p>{caution}<div class="fields">{fields}</div></details>'
    )


def _field(each: Any, stand_in: str | None) -> str:
    ident = f"record-{each.name}"
    about = f"{ident}-help {ident}-said"
    if isinstance(each, Rows):
        return (
            f'<div class="field" data-field="{each.name}"><p class="label" id="{ident}-label">{escape(each.label)}</p>'
            f'<p class="help" id="{ident}-help">{escape(each.help)}</p>{_rows(each, ident)}{_said(each.name, ident)}</div>'
        )
    limits = f" Write {_limits(each)}." if isinstance(each, (Quantity, Whole)) else ""
    return (
        f'<div class="field" data-field="{each.name}"><label for="{ident}">{escape(each.label)}</label>{_control(each, ident, about, stand_in=stand_in)}'
        f'{_chips(each)}<p class="help" id="{ident}-help">{escape(each.help)}{limits}</p><p class="read" data-read="{each.name}"></p>'
        f"{_said(each.name, ident)}</div>"
    )


def _said(place: str, ident: str) -> str:
    return f'<div class="record-said" id="{ident}-said" data-said="{escape(place)}"></div>'


def _limits(each: Quantity | Whole) -> str:
    return escape(each.range_text()) if isinstance(each, Whole) else both(each.range_in("us"), each.range_in("si"))


def _control(each: Any, ident: str, about: str, blank_choice: bool = True, stand_in: str | None = None) -> str:
    common = f'id="{ident}" data-input="{each.name}" aria-describedby="{about}"'
    if stand_in and not isinstance(each, Choice):
        common += f' placeholder="{escape(stand_in.replace(" deg", "°"))}"'
    match each:
        case Choice():
            unsaid = "not noted" if stand_in is None else f"{escape(stand_in)}, not said" if stand_in else "not said"
            none = f'<option value="">{unsaid}</option>' if blank_choice else ""
            chosen = "" if blank_choice else each.default
            options = "".join(
                f'<option value="{escape(option.value)}"{" selected" if option.value == chosen else ""}>{escape(option.label)}</option>'
                for option in each.options
            )
            return f"<select {common}>{none}{options}</select>"
        case Day():
            return f'<input {common} type="date" min="{each.low}" max="{each.high}">'
        case Clock():
            return f'<input {common} type="time">'
        case Whole():
            return f'<input {common} type="text" inputmode="numeric" autocomplete="off" maxlength="12">'
        case Words():
            return f'<input {common} type="text" autocomplete="off" maxlength="{min(each.longest, LONGEST)}">'
        case _:
            keyboard = "text" if each.kind.us is INCH else "decimal"
            return f'<input {common} type="text" inputmode="{keyboard}" autocomplete="off" spellcheck="false" maxlength="40">'


def _chips(each: Any) -> str:
    buttons = "".join(
        f'<button type="button" data-fill="{escape(text)}">{escape(text.replace(" deg", "°"))}</button>'
        for text in getattr(each, "common", ())
    )
    return f'<div class="chips" role="group" aria-label="Usual values of {escape(each.label.lower())}">{buttons}</div>' if buttons else ""


def _rows(each: Rows, ident: str) -> str:
    inside = ""
    for column in each.columns:
        cell = f"{ident}-NUMBER-{column.name}"
        place = f"{each.name}/NUMBER/{column.name}"
        read = f'<p class="read" data-read="{place}"></p>' if isinstance(column, Quantity) else ""
        inside += (
            f'<div class="cell"><label for="{cell}">{escape(column.label)}</label>{_control(column, cell, f"{cell}-said", False)}{read}'
            f"{_said(place, cell)}</div>"
        )
    return (
        f'<div class="rows" data-rows="{each.name}" data-most="{each.most}" role="group" aria-labelledby="{ident}-label" aria-describedby="{ident}-help">'
        f'<template><div class="row" data-row><p class="row-name">{escape(each.row_name)} <span data-row-number></span></p>{inside}'
        f'<button type="button" data-remove-row>Remove</button></div></template>'
        f'<button type="button" class="add-row" data-add-row>{escape(each.add_words)}</button></div>'
    )


# --- what is said ------------------------------------------------------------------


def said_html(judgement: Judgement) -> dict[str, str]:
    """What is said beside each figure, by its place. A figure that fits says so once; what to watch is said in full."""
    # A blank figure is told once, in the list of what is missing, not beside each empty field.
    places = dict.fromkeys(flag.place for flag in judgement.flags if flag.id != BLANK)
    return {place: "".join(flag_html(flag) for flag in _worth_saying(judgement.at(place))) for place in places}


def _worth_saying(flags: tuple[Flag, ...]) -> tuple[Flag, ...]:
    loud = tuple(flag for flag in flags if flag.level.severity and flag.id != BLANK)
    return loud or flags[:2]


def flag_html(flag: Flag) -> str:
    """One remark on a figure: how it stands, in words, with its source folded."""
    source = ""
    if flag.source:
        source = (
            f'<details class="record-source"><summary>{escape(flag.source.standing.value)}<span class="visually-hidden">, source</span></summary>'
            f"<p>{citation_html(flag.source)}</p></details>"
        )
    return (
        f'<div class="record-flag" data-level="{flag.level.value}"{" data-unreadable" if flag.id == UNREADABLE else ""}>'
        f"<p><strong>{flag.level.label}</strong> {phrase_html(flag.phrase)}</p>{source}</div>"
    )


def readings_html(record: Record) -> dict[str, str]:
    """How each quantity was read, in both systems, by its place."""
    found = {}
    for each in record.form.fields:
        if isinstance(each, Quantity) and record.text(each.name):
            found[each.name] = reading_html(each, record.text(each.name), record.bare)
        elif isinstance(each, Rows):
            for number, row in enumerate(record.rows.get(each.name, ()), 1):
                for column, text in zip(each.columns, row, strict=True):
                    if isinstance(column, Quantity) and text:
                        found[f"{each.name}/{number}/{column.name}"] = reading_html(column, text, record.bare)
    return found


def verdict_html(judgement: Judgement) -> str:
    """The verdict by specimen and by test, each line with its rule and source."""
    rows = "".join(_verdict_row(line, judgement.record) for line in judgement.lines)
    missing = f'<p class="record-missing">Still blank: {escape(", ".join(judgement.missing))}.</p>' if judgement.missing else ""
    return (
        f'<p class="record-headline">{escape(judgement.headline)}</p>'
        f'<div class="wide" tabindex="0" role="group" aria-label="Table: verdict"><table class="record-verdict"><thead><tr><th scope="col">What</th><th scope="col">Verdict</th>'
        f'<th scope="col">Rule and source</th></tr></thead><tbody>{rows}</tbody></table></div>{missing}<p class="record-aid">{escape(STUDY_AID)}</p>'
    )


def _verdict_row(line: Line, record: Record) -> str:
    rule = f"{escape(line.rule[0].upper() + line.rule[1:])}. " if line.rule else ""
    return (
        f'<tr data-level="{line.level.value}" data-line="{line.name}"><th scope="row">{escape(line.label)}</th>'
        f"<td><strong>{line.level.label}</strong> {escape(line.wording)}{_links(line, record)}</td><td>{rule}{citation_html(line.source)}</td></tr>"
    )


def _links(line: Line, record: Record) -> str:
    """A link to each figure that decides the line."""
    links = ", ".join(
        f'<a href="#record-{place.replace("/", "-")}">{escape(place_in_words(place, record))}</a>'
        for place in line.places
    )
    return f'<p class="record-places">{links}</p>' if links else ""


# --- what the page starts from --------------------------------------------------------


def templates_html(forms: tuple[Form, ...], app: str = "record", stand_ins: Mapping[str, str] | None = None) -> str:
    """The blank forms and blank records for the page, printed at build time. `app` names what the page's script makes
    of them: the records, or the tests.
    """
    parts = "".join(
        f'<template data-record-form="{form.kind}" data-title="{escape(form.title)}" data-one="{escape(form.noun)}" '
        f'data-blank="{escape(_blank_json(form.kind))}">{form_html(form, stand_ins)}</template>'
        for form in forms
    )
    return (
        f'<div id="record-app" data-app="{app}" data-kinds="{" ".join(form.kind for form in FORMS)}" data-format="{FORMAT}" data-version="{VERSION}" data-largest="{LARGEST}" data-longest="{LONGEST}" '
        f'data-photos="{MOST_PHOTOS}">{parts}</div>'
    )


def _blank_json(kind: str) -> str:
    from calc.record.shape import as_data

    return json.dumps(as_data(blank(kind, "blank-00", "2026-01-01T00:00:00Z")))


def summary(record: Record) -> str:
    """One line for the list of records."""
    if record.kind == "continuity":
        parts = (record.text("welder"), record.text("process"))
    else:
        parts = (
            record.text("date"), record.text("welder"), record.text("plate_mark"), record.text("position"),
            record.text("thickness"),
        )
    return ", ".join(part for part in parts if part)


def written_out(record: Record, bare: str) -> Record:
    """The same record with every unit written, read in another system from now on.

    A text that cannot be read stays as it is.
    """
    from dataclasses import replace

    values = {
        each.name: _with_unit(each, record.text(each.name), record) for each in record.form.fields
        if not isinstance(each, Rows) and record.text(each.name)
    }
    rows = {
        each.name: tuple(
            tuple(_with_unit(column, text, record) for column, text in zip(each.columns, row, strict=True))
            for row in record.rows[each.name]
        )
        for each in record.form.fields if isinstance(each, Rows) and each.name in record.rows
    }
    return replace(record, bare=bare, values=values, rows=rows)


def _with_unit(each: Any, text: str, record: Record) -> str:
    # Also where the figure is out of range: else a refused 1/1 mm would be an accepted 1/1 in after the switch.
    return each.with_unit(text, record.bare) if isinstance(each, Quantity) and text.strip() else text
