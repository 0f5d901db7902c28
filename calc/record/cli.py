"""The command line of the record.

    python -m calc judge record.json            the verdict, the same as on the page
    python -m calc judge record.json --json     the same as data
    python -m calc judge log.json --today 2026-03-31

Exit code 0 for a record that was judged, 2 with one clear line for a file that cannot be read.
"""

from __future__ import annotations

import datetime
import json
import sys
from pathlib import Path

from calc.core.declare import Level, phrase_text
from calc.record.files import read_record
from calc.record.bench import BLANK, STUDY_AID, UNREADABLE, Judgement, place_in_words
from calc.record.judge import judge
from calc.record.shape import LARGEST, RecordError

_USAGE = "python -m calc judge record.json [--json] [--today 2026-03-31]"
_STANDINGS = {
    Level.OK: "within", Level.NOTE: "within", Level.CAUTION: "waits", Level.NOT_KNOWN: "waits",
    Level.INCOMPLETE: "open", Level.STOP: "broken",
}
"""The four words that a reader of the data knew before there were levels."""


def judge_command(arguments: list[str]) -> int:
    """Judge one record file. The file is read here; calc itself opens nothing."""
    today, as_json, names = datetime.date.today(), False, []
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if word in ("-h", "--help"):
            print(_USAGE)
            return 0
        if word == "--json":
            as_json = True
        elif word == "--today":
            try:
                today = datetime.date.fromisoformat(rest.pop(0) if rest else "")
            except ValueError:
                return _refuse("--today wants a date, as in 2026-03-31")
        else:
            names.append(word)
    if len(names) != 1:
        return _refuse(f"name one record file: {_USAGE}")
    (name,) = names
    try:
        judgement = judge(read_record(text_of(Path(name))), today)
    except RecordError as trouble:
        return _refuse(f"{name}: {trouble}")
    print(json.dumps(as_data(judgement), indent=2, ensure_ascii=False) if as_json else as_text(judgement))
    return 0


def text_of(path: Path) -> str:
    """The text of a file, never more than a record can have. Raises `RecordError`."""
    try:
        with path.open("rb") as opened:
            data = opened.read(4 * LARGEST + 1)
        if len(data) > 4 * LARGEST:
            raise RecordError("", f"larger than a record can be, {LARGEST} characters")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        raise RecordError("", f"byte {trouble.start} is not UTF-8 text; a record is a JSON file") from None
    except OSError as trouble:
        raise RecordError("", f"cannot be opened ({trouble.strerror})") from None


def as_data(judgement: Judgement) -> dict:
    """The judgement as plain data."""
    return {
        "record": judgement.record.id, "headline": judgement.headline, "study_aid": STUDY_AID,
        "lines": [
            {
                "name": line.name, "label": line.label, "level": line.level.value, "standing": _STANDINGS[line.level],
                "wording": line.wording, "rule": line.rule, "source": line.source.text, "places": list(line.places),
            }
            for line in judgement.lines
        ],
        "flags": [
            {
                "place": flag.place, "id": flag.id, "level": flag.level.value,
                "mark": "error" if flag.id == UNREADABLE else flag.level.value, "us": phrase_text(flag.phrase, "us"),
                "si": phrase_text(flag.phrase, "si"), "source": flag.source.text if flag.source else "", "by": flag.by,
            }
            for flag in judgement.flags
        ],
        "missing": list(judgement.missing), "due": judgement.due.isoformat() if judgement.due else "",
    }


def as_text(judgement: Judgement) -> str:
    """The judgement for a terminal."""
    record = judgement.record
    invented = " (invented)" if record.invented and "(invented)" not in record.name else ""
    lines = [f"{record.form.title}: {record.name or record.id}{invented}", STUDY_AID, "", judgement.headline, ""]
    for line in judgement.lines:
        lines += [
            f"{line.label}: {line.level.label}, {line.wording}", "    "
            f"{line.rule + '. ' if line.rule else ''}{line.source.text}",
        ]
    loud = [flag for flag in judgement.flags if flag.level.severity and flag.id != BLANK]
    if loud:
        lines += ["", "Flagged figures"]
        for flag in loud:
            lines.append(
                f"  {flag.level.label}  {place_in_words(flag.place, record)}: {phrase_text(flag.phrase, 'us')}"
            )
            if flag.source:
                lines.append(f"        {flag.source.text}")
    if judgement.missing:
        lines += ["", f"Still blank: {', '.join(judgement.missing)}"]
    return "\n".join(lines)


def _refuse(line: str) -> int:
    print(line, file=sys.stderr)
    return 2
