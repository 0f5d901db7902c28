"""A new test-day record that starts from the reader's test: what is declared stands there already, what is measured on
the day stays blank.

Only what the reader said is taken, never what stands in for a blank fact. A field of the record takes the fact that an
input of a calculator takes (`calc.core.declare.taken`); where the two differ, `TAKES` says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from calc.core.declare import Rows, taken
from calc.plate_test.facts import DERIVED
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import Sheet, read_facts, said_of
from calc.record.fields import TEST_DAY
from calc.record.shape import LONGEST, Record, blank
from calc.stages.steels import OTHER

TAKES: dict[str, str | None] = {
    "procedure": "wps", "direction": "progression",
    # Read on the machine and in the air on the day; the declared ones are what was planned.
    "amps": None, "air": None, "plate_temperature": None,
    # Measured on the plate, once it is cut and beveled: what was declared is not seen yet.
    **dict.fromkeys(("thickness", "plate_length", "plate_width", "bevel_angle", "root_face")),
    # An R behind the class is seen on the rod, and no test says that there is none.
    "rod_suffix": None,
}
"""The fields of a record that take another fact than their input does, or none."""


def record_of(test: Record, identifier: str, moment: str) -> Record:
    """A new test-day record with what a test declares. A fact that cannot be read is left blank.

    >>> from calc.record.demo import TEST
    >>> day = record_of(TEST, "your-day-1", "2026-03-02T07:30:00Z")
    >>> day.text("amps_high"), day.text("direction"), day.text("amps"), day.text("bend_rule")
    ('135 A', 'up', '', 'aws')
    """
    new = blank(TEST_DAY.kind, identifier, moment, test.name, test.bare)
    return replace(new, invented=test.invented, values=dict(_values(test)))


def _values(test: Record) -> Iterator[tuple[str, str]]:
    texts, unreadable = read_facts(test)
    said = said_of(test) - {each.field for each in unreadable}
    sheet = Sheet(texts, test.bare, said)
    for each in TEST_DAY.fields:
        fact = TAKES.get(each.name, taken(each))
        if isinstance(each, Rows) or fact not in {*FIELDS, *DERIVED}:
            continue
        text, seen, _ = sheet.take(replace(each, takes=fact))
        if text and seen & said and not (each.name == "steel" and text == OTHER):
            yield each.name, text[:LONGEST]


def words_of(test: Record) -> str:
    """What the page says of a record that was taken from a test.

    >>> from calc.record.demo import TEST
    >>> words_of(TEST)[:52]
    'Taken from your test “Fennick Lock, 3G on 3/8 in”. W'
    """
    parts = [f"Taken from your test “{test.name or 'no name'}”. What only the day can tell is blank."]
    if test.rows.get("other_rods"):
        parts.append("This record judges every pass by the limits of the main rod: it does not know your other rods.")
    return " ".join(parts)
