"""The command line of a test.

    python -m calc test my-test.json              every stage worked out: figures, sources, verdicts
    python -m calc test my-test.json --json       the same as data
    python -m calc test my-test.json --sheet > sheet.html    the bench sheet to print; --link URL puts a QR code on it
    python -m calc test my-test.json thickness="1/2 in"      with a fact said otherwise: what that changes
    python -m calc test --template                an empty test with every fact
    python -m calc test --demo                    the invented shop's test
    python -m calc test --help                    every fact: what may be written, and whom to ask

Exit code 0 for a test that was worked out, 2 with one clear line for a file or a fact that cannot be used.
"""

from __future__ import annotations

import json
from html import escape
from pathlib import Path
from typing import Any

from calc.classroom.cli import bytes_of
from calc.cli import refuse
from calc.core.declare import Level, Quantity, Rows, phrase_text
from calc.core.texts import text_of
from calc.core.units import SYSTEMS
from calc.plate_test.fields import FIELDS, FORM, PARTS
from calc.plate_test.judge import headline
from calc.plate_test.qr import Missing, TooLong
from calc.plate_test.sheet import TITLE, sheet_html
from calc.plate_test.work import Verdict, Worked, changes, with_facts, work
from calc.record.bench import STUDY_AID
from calc.record.demo import TEST
from calc.record.files import read_record
from calc.record.shape import Record, as_data, blank
from calc.show.report import as_json

_USAGE = 'python -m calc test my-test.json [--json | --sheet [--link URL]] [fact="text"] | --template | --demo'
_MOMENT = "2026-01-01T00:00:00Z"


def test_command(arguments: list[str]) -> int:
    """Work out one test file. The file is read here; calc itself opens nothing."""
    link = ""
    if "--link" in arguments:
        at = arguments.index("--link")
        if "--sheet" not in arguments or at + 1 == len(arguments):
            return refuse(f"--link goes with --sheet and needs a link: {_USAGE}")
        link, arguments = arguments[at + 1], [*arguments[:at], *arguments[at + 2:]]
    options = [word for word in arguments if word.startswith("-")]
    unknown = [word for word in options if word not in ("--json", "--sheet", "--template", "--demo", "-h", "--help")]
    if unknown:
        return refuse(f"there is no option {unknown[0]}: {_USAGE}")
    if "-h" in options or "--help" in options:
        print(usage())
        return 0
    if "--template" in options:
        print(json.dumps(template(), indent=2, ensure_ascii=False))
        return 0
    given = dict(word.split("=", 1) for word in arguments if word not in options and "=" in word)
    names = [word for word in arguments if word not in options and "=" not in word]
    if "--demo" in options and not names:
        record = TEST
        if not given and not {"--json", "--sheet"} & set(options):
            print(json.dumps(as_data(record), indent=2, ensure_ascii=False))
            return 0
    elif len(names) == 1:
        try:
            record = read_record(text_of(bytes_of(Path(names[0]))))
        except ValueError as trouble:
            return refuse(f"{names[0]}: {trouble}")
        if record.kind != FORM.kind:
            return refuse(f"{names[0]}: this is a {record.form.title.lower()}, not a test; "
                f"python -m calc judge reads it")
    else:
        return refuse(f"name one test file: {_USAGE}")
    return _print(record, given, options, link)


def _print(record: Record, given: dict[str, str], options: list[str], link: str) -> int:
    try:
        changed = with_facts(record, given)
    except KeyError as trouble:
        return refuse(f"{trouble.args[0][:40]}: there is no such fact in a test; {_USAGE}")
    worked = work(changed)
    unreadable = [each for each in worked.refusals if not each.calculator]
    if unreadable:
        return refuse("; ".join(f"{each.field}: {each.message}" for each in unreadable))
    if "--sheet" in options:
        try:
            print(sheet_page(worked, link))
        except (Missing, TooLong) as trouble:
            return refuse(str(trouble))
    elif "--json" in options:
        print(json.dumps(test_json(worked), indent=2, ensure_ascii=False))
    else:
        print(as_text(worked, work(record) if given else None))
    return 0


def template() -> dict[str, Any]:
    """An empty test with every fact, as its file holds it."""
    data = as_data(blank(FORM.kind, "your-test-1", _MOMENT, "Your test"))
    data["values"] = {name: "" for name, each in FIELDS.items() if not isinstance(each.input, Rows)}
    data["rows"] = {name: [] for name, each in FIELDS.items() if isinstance(each.input, Rows)}
    return data


def sheet_page(worked: Worked, link: str = "") -> str:
    """The bench sheet as a page of its own, its style inside. Raises what `qr_svg` raises."""
    style = Path(__file__).with_name("sheet.css").read_text(encoding="utf-8")
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{TITLE}: {escape(worked.record.name)}'
        f'</title><style>\n{style}</style></head><body class="bench-page">{sheet_html(worked, link)}</body></html>'
    )


def test_json(worked: Worked) -> dict[str, Any]:
    """The test and all that follows from it, as plain data."""
    return {
        "test": {name: text for name, text in worked.texts.items() if text}, "level": worked.level.value,
        "headline": headline(worked), "study_aid": STUDY_AID,
        "answers": [
            as_json(answer.result) | ({"layer": answer.layer} if answer.layer else {}) for answer in worked.answers
        ],
        "verdicts": [_verdict_json(each) for each in worked.verdicts], "missing": list(worked.missing),
    }


def _verdict_json(verdict: Verdict) -> dict[str, str]:
    us, si = (phrase_text(verdict.phrase, system) for system in SYSTEMS)
    return {"id": verdict.id, "level": verdict.level.value, "us": us, "si": si, "source": verdict.source.text,
        "where": verdict.where}


def as_text(worked: Worked, before: Worked | None = None) -> str:
    """The test for a terminal; `before` is the test that a change was made to."""
    record = worked.record
    system = record.bare
    lines = [f"{FORM.title}: {record.name or record.id}", STUDY_AID, "", headline(worked)]
    if before:
        found = changes(before, worked)
        lines += ["", "What this changes"] if found else ["", "This changes no main figure."]
        lines += [f"  {change.title}: {phrase_text(change.phrase, system)}" for change in found]
    loud = [each for each in worked.verdicts if each.level.severity]
    for level in sorted({each.level for each in loud}, key=list(Level).index, reverse=True):
        lines += ["", level.label]
        for each in loud:
            if each.level is level:
                lines += [f"  {each.title}: {phrase_text(each.phrase, system)}", f"      {each.source.text}"]
    for answer in worked.answers:
        result = answer.result
        lines += ["", answer.title, f"  {phrase_text(result.headline, system)}"]
        lines += [
            f"  {value.label}: {value.text(system)}  [{value.source.standing.value}]" for value in result.values
            if value.main
        ]
    cautions = dict.fromkeys(text for answer in worked.answers for text in answer.result.cautions)
    return "\n".join([*lines, "", "Take care", *(f"  {text}" for text in cautions)])


def usage() -> str:
    """Every fact of a test, as `--help` prints it."""
    lines = [_USAGE, "", "The facts of a test. Blank is: not said."]
    for part in PARTS:
        lines += ["", f"{part.title}. {part.help}"]
        for each in part.fields:
            one = each.input
            kind = f"{one.kind.name}, " if isinstance(one, Quantity) else ""
            stands = f"; {each.stand_in} stands in" if each.stand_in else ""
            lines += [f"  {one.name}  ({kind}{one.range_text()}{stands}; from {each.said_by.value})",
                f"      {one.label}. {one.help}"]
    return "\n".join(lines)
