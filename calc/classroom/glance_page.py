"""The class at a glance as a page: the table, what is found most, the files that were not taken."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from calc.classroom.glance import Glance, Person, Tested
from calc.core.units import counted
from calc.practice import plates
from calc.practice.ready import tenths
from calc.record.bench import STUDY_AID

_HEADS = ("Name", "Test", "Verdict and what decides", "Continuity", "Ready on the day", "Last practice", "Plates")


def glance_html(found: Glance) -> str:
    """The class as a page; only what was handed in is shown."""
    parts = [_refused(found)]
    if found.people:
        lines = "".join(_person(each) for each in found.people)
        heads = "".join(f'<th scope="col">{head}</th>' for head in _HEADS)
        parts += [
            f'<table class="glance"><caption>{_counted(found)}</caption><thead><tr>{heads}</tr></thead>'
            f"<tbody>{lines}</tbody></table>", f"<p>{escape(STUDY_AID)}</p>", _found(found),
        ]
    if found.tests:
        names = "".join(f"<li>{escape(each.name or each.id)}</li>" for each in found.tests)
        parts.append(f"<h3>Tests that were handed in</h3><ul>{names}</ul>")
    return "".join(parts)


def _counted(found: Glance) -> str:
    tested = sum(len(each.tested) for each in found.people)
    return f"{len(found.people)} in the class, {counted(tested, 'test-day record')}"


def plates_line(passed: Sequence[bool | None]) -> str:
    """How many practice plates of those with a verdict passed; what is not known is told apart.

    >>> plates_line([True, None, None]), plates_line([None]), plates_line([])
    ('1 of 1 passed, 2 not known', 'none judged', '')
    """
    known = [each for each in passed if each is not None]
    told = f"{sum(known)} of {len(known)} passed" if known else "none judged"
    return (told + (f", {len(passed) - len(known)} not known" if 0 < len(known) < len(passed) else "")) if passed else ""


def _person(person: Person) -> str:
    first, *older = person.tested or [None]
    span = f' rowspan="{1 + len(older)}"' if older else ""
    due = f", act on or before {person.due}" if person.due else ""
    log = f"<strong>{person.log_level.label}</strong>{due}" if person.log_level else ""
    ready, last = "", ""
    if person.standing and not person.standing.ready.tried:
        ready, last = "no answers yet", person.standing.last_day or "never"
    elif person.standing:
        share = person.standing.ready
        ready = f"{tenths(share.share)} ({tenths(share.low)} to {tenths(share.high)}), {person.ready_on}"
        last = person.standing.last_day or "never"
    welded = person.plates
    passed = plates_line([each.passed for each in welded])
    cells = "".join(
        f'<td{span} data-head="{head}">{cell}</td>'
        for head, cell in zip(_HEADS[3:], (log, ready, last, passed), strict=True)
    )
    more = "".join(f"<tr>{_tested(each)}</tr>" for each in older)
    return f'<tr><th scope="row"{span}>{escape(person.name)}</th>{_tested(first)}{cells}</tr>{more}'


def _tested(tested: Tested | None) -> str:
    if tested is None:
        return "<td></td><td></td>"
    day = tested.record.text("date")
    test = ", ".join(filter(None, (tested.test, day))) or tested.record.name
    invented = " (invented)" if tested.record.invented else ""
    return (
        f'<td data-head="{_HEADS[1]}">{escape(test)}{invented}</td><td data-level="{tested.level.value}">'
        f"<strong>{tested.level.label}</strong> {escape(tested.reason)}</td>"
    )


def _found(found: Glance) -> str:
    """What was found, as bars, with the pages of the stages that can make it."""
    ranked = found.found
    if not ranked:
        return "<h3>Found over the class</h3><p>No discontinuity is written down in these files.</p>"
    most = ranked[0].plates
    lines = "".join(
        f'<tr><th scope="row"><a href="{each.flaw.page}">{escape(each.flaw.name)}</a></th>'
        f'<td><span class="glance-bar" style="inline-size: {100 * each.plates / most:.0f}%"></span></td>'
        f'<td data-head="Plates">{each.plates}</td><td data-head="People">{each.people}</td>'
        f'<td data-head="Can come from">{_stages(each.flaw.stages)}</td></tr>'
        for each in ranked
    )
    return (
        '<h3>Found over the class</h3><table class="glance glance-found"><thead><tr><th scope="col">Discontinuity</th>'
        '<td></td><th scope="col">Plates</th><th scope="col">People</th><th scope="col">Can come from</th></tr></thead>'
        f"<tbody>{lines}</tbody></table>"
    )


def _stages(pages: tuple[str, ...]) -> str:
    return ", ".join(f'<a href="{page}.html">{escape(plates.STAGES[page])}</a>' for page in pages)


def _refused(found: Glance) -> str:
    if not found.refused:
        return ""
    lines = "".join(f"<li><b>{escape(each.file)}</b>: {escape(each.reason)}</li>" for each in found.refused)
    count = len(found.refused)
    files = "1 file was" if count == 1 else f"{count} files were"
    return f'<div class="glance-refused"><h3>{files} not taken</h3><ul>{lines}</ul></div>'
