"""Practice plates as HTML: the short form, the list, the chance beside the answers. Every text from outside is
escaped.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from calc.core.declare import Choice
from calc.practice.plates import (
    BAND,
    COLUMNS,
    FEW,
    NOT_JUDGED,
    NOTHING,
    STAGES,
    Plate,
    chance_to_pass,
    comes_back,
    suspected,
)

_LABEL = {column.name: column for column in COLUMNS}


def form_html(today: str, place: str) -> str:
    """The short form of one plate: a field a column of the calculator's list."""
    fields = "".join(_field(column, today, f"{place}-{column.name}") for column in COLUMNS)
    return (
        f'<form class="practice-start plate-form" novalidate>{fields}<p class="error" id="{place}-error" role="alert" '
        'data-error></p><button type="submit" class="main-button">Keep this plate</button></form>'
    )


def _field(column: object, today: str, ident: str) -> str:
    if isinstance(column, Choice):
        options = "".join(
            f'<option value="{each.value}"{_chosen(column, each.value)}>{escape(each.label)}</option>'
            for each in column.options
        )
        control = f'<select id="{ident}" name="{column.name}">{options}</select>'
    else:
        control = f'<input id="{ident}" name="{column.name}" type="date" value="{today}" max="{today}">'
    label = f'<label for="{ident}">{escape(column.label)}</label>'
    return f'<p class="reply" data-column="{column.name}">{label}{control}</p>'


def _chosen(column: Choice, value: str) -> str:
    return " selected" if value == column.default else ""


def kept_html(plates: Sequence[Plate]) -> str:
    """Every plate that was kept, the latest first, each with a button that removes it; and what they say together."""
    if not plates:
        return "<p>No plate is kept yet.</p>"
    items = "".join(
        f'<li><span>{escape(in_words(each))}</span> '
        f'<button type="button" class="plain-button" data-remove-plate="{each.id}" aria-label="Remove the plate: {escape(in_words(each))}">Remove</button></li>'
        for each in reversed(plates)
    )
    noun = "plate" if len(plates) == 1 else "plates"
    return (
        f'{hands_html(plates)}<details class="plates-kept"><summary>{len(plates)} {noun} kept</summary>'
        f'<ul class="plates">{items}</ul></details>'
    )


def in_words(plate: Plate) -> str:
    """A plate in a few words.

    >>> in_words(Plate("2026-02-02", "3G", "bent", opened="porosity", specimen="face", verdict="failed"))
    '2026-02-02, 3G, bent: failed, opened in the bend: porosity'
    """
    def word(name: str) -> str:
        return _LABEL[name].label_of(getattr(plate, name))

    parts = [plate.date or "No date"]
    parts += [plate.position] if plate.position != "not-said" else []
    if plate.verdict != NOT_JUDGED:
        parts.append(f"{word('reached').lower()}: {word('verdict').lower()}")
    else:
        parts.append(f"{word('reached').lower()}, not judged")
    parts += [f"{_LABEL[name].label.lower()}: {word(name).lower()}" for name in ("fit_up", "looked", "opened")
              if getattr(plate, name) != NOTHING]
    return ", ".join(parts) + (", from a record" if plate.record else "")


def hands_html(plates: Sequence[Plate]) -> str:
    """The chance to pass a plate with its band, what few plates cannot tell, the flaw that comes back and the stages
    that make it.
    """
    found = chance_to_pass(plates)
    if not found.count:
        waits = f" {found.unknown} without a verdict of the bend tell nothing yet." if found.unknown else ""
        return f'<p>No practice plate has a verdict yet.{waits} <a href="plates.html">Log a plate</a>.</p>'
    passed = round(found.passed)
    percent = [f"{round(100 * each)} %" for each in (found.share, found.low, found.high)]
    little = (
        f" {found.count} {'plate tells' if found.count == 1 else 'plates tell'} little: they cannot tell a sure hand "
        "from a lucky one." if found.count < FEW else ""
    )
    unknown = f" Not known: {found.unknown}." if found.unknown else ""
    return (
        f'<p class="right-answer">Chance to pass the next plate: <strong>{percent[0]}</strong>, {BAND} % band from '
        f"{percent[1]} to {percent[2]}.</p><p>{passed} of {found.count} plates passed.{unknown}{little}</p>"
        f'{_flaws(plates)}<p class="note">All plates count alike; before the first, half a plate counts as passed and '
        'half as failed. Study help, not a certification. <a href="plates.html">Plates and costs</a></p>'
    )


def _flaws(plates: Sequence[Plate]) -> str:
    back, stages = comes_back(plates), suspected(plates)
    links = ", ".join(f'<a href="{stage}.html">{STAGES[stage]}</a>' for stage, _ in stages)
    if back:
        flaw, count = back[0]
        links = ", ".join(f'<a href="{stage}.html">{STAGES[stage]}</a>' for stage in flaw.stages)
        name = f'<a href="{flaw.page}">{escape(flaw.name)}</a>'
        return f"<p>What comes back: {name}, on {count} plates. It starts at: {links}.</p>"
    return f"<p>No discontinuity came back. What was found can start at: {links}.</p>" if links else ""
