"""A judged record as plain data, and as lines for a terminal."""

from __future__ import annotations

from calc.core.declare import Level, phrase_text
from calc.record.bench import BLANK, STUDY_AID, UNREADABLE, Judgement, place_in_words

_STANDINGS = {
    Level.OK: "within", Level.NOTE: "within", Level.CAUTION: "waits", Level.NOT_KNOWN: "waits",
    Level.INCOMPLETE: "open", Level.STOP: "broken",
}
"""The four words that a reader of the data knew before there were levels."""


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
