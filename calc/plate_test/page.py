"""What the page of the test shows: the first useful answer, the verdicts worst first, what a change changes, the test
in one row, and each fact in both systems.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from typing import Any

from calc.core.declare import Amount, Choice, InputError, Phrase, Quantity, Rows, Value
from calc.core.sources import ENTERED, Citation
from calc.core.units import CURRENT, SYSTEMS, parse
from calc.plate_test.facts import DERIVED
from calc.plate_test.fields import FIELDS
from calc.plate_test.prose import prose
from calc.plate_test.work import Change, Verdict, Worked, link, read_facts
from calc.record.shape import Record
from calc.show.html import both, citation_html, phrase_html

FIRST = (
    ("Rods for the joint", "passes", "rods", "rods_most"), ("Width to cut each plate", "groove", "plate_width"),
    ("Minimum preheat", "preheat", "least"), ("Arc time for the joint", "passes", "arc_time"),
)
"""The figures of the first useful answer, a line each: the calculator, its value, and what stands beside it."""


# --- one row, and the facts ---------------------------------------------------------------------------


def one_line(record: Record) -> str:
    """The test in one row, of what the reader says of it; its name where nothing is said.

    >>> from calc.record.demo import TEST
    >>> one_line(TEST)
    '3G up · 3/8 in A36 · E7018 1/8 in · 115–135 A · root opening 1/4 in'
    """
    texts, _ = read_facts(record)

    def said(*names: str) -> str:
        return " ".join(texts[name] for name in names if record.text(name).strip())

    low, high = said("amps_low"), said("amps_high")
    amps = f"{low.removesuffix(' A')}–{high}" if low and high else low or high
    opening = said("root_opening")
    parts = (
        said("position", "progression"), said("thickness", "steel"), said("electrode", "diameter"), amps,
        opening and f"root opening {opening}",
    )
    return " · ".join(part for part in parts if part) or record.name


def fact_html(record: Record, name: str) -> str:
    """A fact as the reader says it, in both systems; "" where nothing is said of it."""
    each = FIELDS[name].input
    if isinstance(each, Rows):
        return "; ".join(", ".join(escape(cell) for cell in row if cell) for row in record.rows.get(name, ()))
    text = record.text(name).strip()
    if not text:
        return ""
    try:
        if isinstance(each, Quantity):
            back = each.read_back(text, record.bare)
            return both(back["us"], back["si"])
        if isinstance(each, Choice):
            return escape(each.label_of(each.read(text, record.bare)))
    except (InputError, StopIteration):
        pass
    return escape(text)


# --- the first useful answer -----------------------------------------------------------------------------


def first_html(worked: Worked) -> str:
    """Rods, amperage, width of the plates, preheat and time: what a reader came for, each with where it is worked out
    and how it is held.
    """
    rods, *rest = (_first_row(worked, *each) for each in FIRST)
    rows = (rods, _amperage(worked), *rest)
    return f'<dl class="test-first">{"".join(rows)}</dl>'


def _first_row(worked: Worked, label: str, identifier: str, name: str, second: str = "") -> str:
    result = worked.result(identifier)
    if result is None:
        return ""
    value = result[name]
    more = result[second] if second else None
    where = link(result.calculator)
    said = f"{_figure(value)} {_mark(value.source, where)}"
    if more:
        said += f"; have {_figure(more)} at hand {_mark(more.source, where)}"
    return _row(label, said, where)


def _figure(value: Value) -> str:
    return both(*(value.text(system) for system in SYSTEMS))


def _amperage(worked: Worked) -> str:
    """What to set, and the band of the reader's WPS; where it says none, the guide's own stands there."""
    result = worked.result("current")
    if result is None:
        return ""
    setting = parse(DERIVED["amps"](worked.texts), CURRENT)
    ends = [worked.texts[name] for name in ("amps_low", "amps_high")]
    if any(ends):
        words = " to ".join(escape(end) for end in ends) if all(ends) else (
            f"at least {escape(ends[0])}" if ends[0] else f"at most {escape(ends[1])}")
        said, source = f"your WPS: {words}", ENTERED
    else:
        low, high = result["window_low"], result["window_high"]
        said, source = f"the guide's window: {_figure(low)} to {_figure(high)}", low.source
    shown = phrase_html((Amount(setting, CURRENT, as_written=True),))
    where = link(result.calculator)
    return _row("Amperage to set", f"{shown}; {said} {_mark(source, where)}", where)


def _row(label: str, said: str, where: str) -> str:
    return f'<div><dt><a href="{where}">{escape(label)}</a></dt><dd>{said}</dd></div>'


def _mark(source: Citation, where: str) -> str:
    """How a figure is held; its source stands in full where it is worked out."""
    return (
        f'<a class="source-mark" href="{where}" title="{escape(source.text)}">{escape(source.standing.value)}'
        f'<span class="visually-hidden">, source</span></a>'
    )


# --- verdicts ----------------------------------------------------------------------------------------------


def verdicts_html(worked: Worked) -> str:
    """Every verdict, worst first; what nothing speaks against is folded, since it asks for nothing."""
    ordered = sorted(worked.verdicts, key=lambda each: -each.level.severity)
    loud = [each for each in ordered if each.level.severity]
    rest = [each for each in ordered if not each.level.severity]
    parts = [f'<ul class="checks">{"".join(map(_verdict, loud))}</ul>'] if loud else []
    if rest:
        parts.append(
            f'<details data-fold="quiet"><summary>Nothing speaks against these, and notes ({len(rest)})</summary>'
            f'<ul class="checks">{"".join(map(_verdict, rest))}</ul></details>'
        )
    return "".join(parts)


def _verdict(each: Verdict) -> str:
    return (
        f'<li class="check" data-level="{each.level.value}" data-check="{each.id}"><strong>{each.level.label}</strong> '
        f'<a href="{each.where}">{escape(each.title)}</a>: {phrase_html(each.phrase)} '
        f'<details class="record-source"><summary>{escape(each.source.standing.value)}<span class="visually-hidden">, '
        f"source</span></summary><p>{citation_html(each.source)}</p></details></li>"
    )


# --- a change ------------------------------------------------------------------------------------------------


def changes_html(found: Sequence[Change]) -> list[str]:
    """What a change changes, a line a figure; the figures of the first useful answer come first."""
    first = [name for _, _, *names in FIRST for name in names]

    def place(change: Change) -> int:
        return first.index(change.after.name) if change.after.name in first else len(first)

    return [phrase_html(change.phrase) for change in sorted(found, key=place)]


# --- what the other pages take ---------------------------------------------------------------------------------


def said_facts(record: Record) -> dict[str, str]:
    """What the reader says, by fact, units written out; lists as lines of text."""
    texts, unreadable = read_facts(record)
    bad = {each.field for each in unreadable}
    return {
        name: texts[name] for name, each in FIELDS.items()
        if name not in bad and (record.rows.get(name) if isinstance(each.input, Rows) else record.text(name).strip())
    }


def mine_data(worked: Worked, fills: dict[str, dict[str, str]], own: dict[str, dict[str, str]]) -> dict[str, Any]:
    """What every page needs of the reader's test."""
    record = worked.record
    return {
        "id": record.id, "name": record.name, "line": one_line(record), "fills": fills, "own": own,
        "prose": prose(worked), "values": said_facts(record),
    }
