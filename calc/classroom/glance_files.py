"""The class at a glance as it leaves the guide: a table for a spreadsheet, plain data, and lines for a terminal."""

from __future__ import annotations

from typing import Any

from calc.classroom.glance import Glance, Person, Tested
from calc.core.units import listed
from calc.practice import plates
from calc.record.bench import STUDY_AID
from calc.show.table import UTF_8_MARK, csv_table

COLUMNS = (
    "Name", "Test", "Date of the test", "Verdict", "What decides", "Log", "Act on or before", "Expected share known, %",
    "Lowest, %", "Highest, %", "On the day", "Last practice", "Practice plates", "Judged", "Passed", "Files",
)
"""Heads of the table that leaves the guide; numbers stand bare under them."""


def table(found: Glance) -> list[tuple[str | int, ...]]:
    """A line for each test-day record, the newest of a person first; one for a person without any."""
    lines = []
    for person in found.people:
        for number, tested in enumerate(person.tested or [None]):
            lines.append(
                (
                    person.name, *_test_cells(tested),
                    *(_person_cells(person) if not number else ("",) * (len(COLUMNS) - 6)),
                    "; ".join(person.files) if tested is None else tested.file,
                )
            )
    return lines


def _test_cells(tested: Tested | None) -> tuple[str, ...]:
    if tested is None:
        return "", "", "", ""
    return tested.test, tested.record.text("date"), tested.level.label, tested.reason


def _person_cells(person: Person) -> tuple[str | int, ...]:
    ready = person.standing.ready if person.standing and person.standing.ready.tried else None
    welded = person.plates
    return (
        person.log_level.label if person.log_level else "", person.due.isoformat() if person.due else "",
        *((_hundred(ready.share), _hundred(ready.low), _hundred(ready.high)) if ready else ("", "", "")),
        person.ready_on, person.standing.last_day if person.standing else "",
        len(welded) or "", sum(each.passed is not None for each in welded) if welded else "",
        sum(each.passed is True for each in welded) if any(each.passed is not None for each in welded) else "",
    )


def _hundred(share: float) -> int:
    return round(100 * share)


def glance_csv(found: Glance) -> str:
    """The class for a spreadsheet; files that were not taken stand under it."""
    refused = [("Not taken", "", "", "", each.reason, *("",) * (len(COLUMNS) - 6), each.file) for each in found.refused]
    return UTF_8_MARK + csv_table([COLUMNS, *table(found), *refused])


def glance_data(found: Glance) -> dict[str, Any]:
    """The class as plain data, under the names of `COLUMNS` in one word."""
    keys = [head.split(",")[0].lower().replace(" ", "_") for head in COLUMNS]
    return {
        "people": [
            {key: cell for key, cell in zip(keys, line, strict=True) if cell != ""} for line in table(found)
        ],
        "found": [
            {
                "discontinuity": each.flaw.key, "plates": each.plates, "people": each.people,
                "stages": list(each.flaw.stages), "page": each.flaw.page,
            }
            for each in found.found
        ],
        "tests": [record.name for record in found.tests],
        "refused": [{"file": each.file, "reason": each.reason} for each in found.refused],
    }


def glance_text(found: Glance) -> str:
    """The class for a terminal."""
    lines = []
    for person in found.people:
        lines.append(person.name)
        for tested in person.tested:
            reason = f". {tested.reason}" if tested.reason else ""
            lines.append(f"  {tested.record.text('date') or 'no date'}  {tested.test or 'no test written'}: "
                         f"{tested.level.label}{reason}")
        if person.log_level:
            lines.append(f"  Continuity: {person.log_level.label}" + (f", act by {person.due}" if person.due else ""))
        if person.standing and not person.standing.ready.tried:
            lines.append("  Ready: no answers yet")
        elif person.standing:
            ready = person.standing.ready
            lines.append(
                f"  Ready on {person.ready_on}: {_hundred(ready.share)} % ({_hundred(ready.low)} to "
                f"{_hundred(ready.high)} %), last practice {person.standing.last_day or 'never'}"
            )
    if found.found:
        lines += ["", "Found, by plates"]
        for each in found.found:
            stages = listed([plates.STAGES[name] for name in each.flaw.stages])
            lines.append(f"  {each.plates:>3}  {each.flaw.name}, which can come from {stages}")
    lines += ["", *(f"Test: {record.name}" for record in found.tests)] if found.tests else []
    return "\n".join([*lines, "", STUDY_AID])
