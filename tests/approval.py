"""Approved answers: what a reader is given, kept as text under `tests/calc/approved/`, and compared with what calc gives now.

A file holds sections, one a case, each under a line that starts with `=== `. A section after the first writes `~ 12-30` for
lines that stand in the first section under these numbers. The files are made anew by `python3 tools/guide.py approve`; whoever
does so reads the difference and looks at the pictures before keeping it. They stand beside the checks against outside sources:
they tell that something changed, never that it is right.

Numbers are rounded in the normal form, so that the last bits of a sine make no difference between machines.
"""

from __future__ import annotations

import difflib
import html
import os
import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from calc.core.declare import Result, phrase_text
from calc.core.units import SYSTEMS

FOLDER = Path(__file__).parent / "calc" / "approved"
HEAD = "=== "
APPROVING = os.environ.get("GUIDE_APPROVE") == "1"
MOST_POINTS = 60
MOST_SHOWN = 60

_made: dict[str, dict[str, list[str]]] = {}


# --- files ----------------------------------------------------------------------


def packed(sections: dict[str, list[str]]) -> str:
    """The text of a file: lines that stand in its first section are named there by their numbers.

    >>> print(packed({"a": ["one", "two", "three"], "b": ["two", "three", "four"]}), end="")
    === a
    one
    two
    three
    === b
    ~ 2-3
    four
    """
    out: list[str] = []
    first: list[str] = []
    places: dict[str, list[int]] = {}
    for name, lines in sections.items():
        out.append(HEAD + name)
        if not first:
            first = lines
            for number, line in enumerate(lines):
                places.setdefault(line, []).append(number)
            out += lines
            continue
        at = 0
        while at < len(lines):
            start, length = 0, 0
            for place in places.get(lines[at], ())[:20]:
                long = 0
                while at + long < len(lines) and place + long < len(first) and lines[at + long] == first[place + long]:
                    long += 1
                if long > length:
                    start, length = place, long
            if length > 1 or (length == 1 and len(lines[at]) > 20):
                out.append(f"~ {start + 1}-{start + length}" if length > 1 else f"~ {start + 1}")
                at += length
            else:
                out.append(lines[at])
                at += 1
    return "".join(f"{line}\n" for line in out)


def unpacked(text: str) -> dict[str, list[str]]:
    """The sections of a file, written out.

    >>> unpacked(packed({"a": ["one", "two", "three"], "b": ["two", "three", "four"]}))["b"]
    ['two', 'three', 'four']
    """
    sections: dict[str, list[str]] = {}
    first: list[str] = []
    current: list[str] = []
    for line in text.split("\n")[:-1]:
        if line.startswith(HEAD):
            current = sections.setdefault(line.removeprefix(HEAD), [])
            first = first if len(sections) > 1 else current
        elif line.startswith("~ ") and current is not first:
            start, _, end = line[2:].partition("-")
            current += first[int(start) - 1 : int(end or start)]
        else:
            current.append(line)
    return sections


@cache
def sections(file: str) -> dict[str, list[str]]:
    """The approved sections of a file; none where there is no such file yet."""
    path = FOLDER / file
    return unpacked(path.read_text(encoding="utf-8")) if path.exists() else {}


def check(file: str, case: str, lines: Iterable[str]) -> None:
    """Compare with what was approved; while approving, keep the lines for the file. A failure prints the lines that differ."""
    now = [each.rstrip() for line in lines for each in line.replace("\r\n", "\n").split("\n")]
    assert not any(each.startswith((HEAD, "~ ")) for each in now), "a line looks like a mark of the file"
    if APPROVING:
        _made.setdefault(file, {})[case] = now
        return
    assert case in sections(file), f"{file} has no section {case}: run tools/guide.py approve and read what it writes"
    approved = sections(file)[case]
    if now != approved:
        differ = [line for line in difflib.unified_diff(approved, now, "approved", "now", lineterm="", n=1)]
        more = [f"... and {len(differ) - MOST_SHOWN} lines more"] if len(differ) > MOST_SHOWN else []
        raise AssertionError("\n".join([f"{file}: {case}", *differ[:MOST_SHOWN], *more]))


def check_complete(file: str, cases: Iterable[str]) -> None:
    """The file holds these sections and no other."""
    if not APPROVING:
        assert list(sections(file)) == list(cases), f"{file} holds other cases than the tests: run tools/guide.py approve"


def write_made() -> None:
    """Write what was gathered while approving."""
    for file, found in _made.items():
        path = FOLDER / file
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(packed(found), encoding="utf-8", newline="\n")


# --- normal forms -----------------------------------------------------------------


def answer_lines(result: Result) -> list[str]:
    """All that an answer says, in both systems, its sources numbered and listed at the end."""
    known: dict[str, int] = {}

    def mark(source) -> str:
        return f"[{known.setdefault(source.text, len(known) + 1)}]"

    def both(us: str, si: str) -> str:
        return us if us == si else f"{us} || {si}"

    lines = [both(*(phrase_text(result.headline, system) for system in SYSTEMS))]
    for value in result.values:
        first = "first " if value.main else ""
        lines.append(f"{first}{value.name}: {value.label}, {value.symbol or '-'} = {both(value.text('us'), value.text('si'))} {mark(value.source)}")
    for step in result.steps:
        lines.append(f"step: {step.label} {mark(step.source)}")
        lines.append(f"  {step.letters()}")
        lines += [f"  {numbers}" for numbers in dict.fromkeys(step.numbers(system) for system in SYSTEMS)]
        lines += [f"  {step.note}"] if step.note else []
    for each in result.checks:
        lines.append(f"{each.level.value}: {both(*(phrase_text(each.phrase, system) for system in SYSTEMS))} {mark(each.source)}")
    lines += [f"take care: {text}" for text in result.cautions]
    lines += [f"draws: {', '.join(drawing.name for drawing in result.drawings)}"] if result.drawings else []
    return lines + [f"[{number}] {text}" for text, number in known.items()]


_TAG = re.compile(r"<(/?)([a-zA-Z][\w-]*)((?:\s[^<>]*?)?)(/?)>|([^<]+)")
_ATTRIBUTE = re.compile(r'([\w:-]+)="([^"]*)"')
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
_PLACED = {"points", "d", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "width", "height", "viewBox", "data-from", "data-to"}
_MEASURED = {"data-scale", "data-x", "data-y", "data-low", "data-high"}
_LEFT_OUT = {"id", "aria-labelledby", "role", "xmlns"}


def _tenth(text: str, places: int = 1) -> str:
    number = round(float(text), places)
    return f"{number + 0.0:g}"


def _five(match: re.Match) -> str:
    number = float(match[0])
    return "0" if abs(number) < 1e-12 else f"{number:.5g}"


def _points(text: str, places: int) -> str:
    pairs = [tuple(map(float, pair.split(","))) for pair in text.split()]
    if len(pairs) <= MOST_POINTS:
        return " ".join(f"{_tenth(x, places)},{_tenth(y, places)}" for x, y in (pair.split(",") for pair in text.split()))
    xs, ys = zip(*pairs, strict=True)
    some = pairs[:: max(1, len(pairs) // 6)] + [pairs[-1]]
    shown = " ".join(f"{_tenth(x)},{_tenth(y)}" for x, y in some)
    return f"{len(pairs)} points, sums {sum(xs):.0f},{sum(ys):.0f}: {shown}"


def _attributes(text: str, places: int) -> str:
    told = []
    for name, value in _ATTRIBUTE.findall(text):
        if name in _LEFT_OUT:
            continue
        if name == "class":
            told.insert(0, "." + ".".join(value.split()))
        elif name == "points":
            told.append(_points(value, places))
        elif name in _PLACED:
            told.append(f"{name} {_NUMBER.sub(lambda match: _tenth(match[0], places), value)}")
        elif name in _MEASURED:
            told.append(f"{name} {_NUMBER.sub(_five, value)}")
        else:
            told.append(f"{name} {html.unescape(value)}")
    return " ".join(told)


def picture_lines(svg: str, places: int = 1) -> list[str]:
    """A drawing or plot, a line an element: its kind, looks, place to a tenth of a unit of the sheet, and its words.

    `places` are the decimals kept of its coordinates: two where the drawing has no inputs.
    """
    lines: list[str] = []
    last_points = ""
    for closing, tag, attributes, _, text in _TAG.findall(svg):
        if text:
            lines[-1] += f" “{html.unescape(text)}”" if lines else text
        elif not closing:
            points = re.search(r'\spoints="([^"]*)"', attributes)
            if points and points[1] == last_points:
                attributes = attributes.replace(points[0], "")
                lines.append(f"{tag} {_attributes(attributes, places)} on the same points")
            elif tag == "tspan":
                lines[-1] += f" {_attributes(attributes, places)}"
            else:
                lines.append(f"{tag} {_attributes(attributes, places)}".rstrip())
            last_points = points[1] if points else ""
    return lines


def markup_lines(text: str) -> list[str]:
    """Markup, a line an element with its attributes and words; drawings inside by their normal form."""
    lines: list[str] = []
    for part in re.split(r"(<svg.*?</svg>)", text, flags=re.DOTALL):
        if part.startswith("<svg"):
            lines += [f"  {line}" for line in picture_lines(part)]
            continue
        for closing, tag, attributes, _, words in _TAG.findall(part):
            if words:
                if lines:
                    lines[-1] += f" “{html.unescape(words)}”"
                else:
                    lines.append(html.unescape(words))
            elif not closing:
                short = re.sub(r'(data-stops(?:-si)?)="([^"]*)"', _stops, attributes)
                lines.append(f"<{tag}{short}>")
    return lines


def _stops(match: re.Match) -> str:
    stops = match[2].split("|")
    return f'{match[1]}="{len(stops)}: {" ".join(stops[:3])} to {stops[-1]}"'


def table_lines(text: str, most: int = 8) -> list[str]:
    """Comma-separated values: all lines of a short table, else the first and last ones with their count."""
    lines = [line.replace("\ufeff", "(mark) ") for line in text.split("\r\n")]
    if len(lines) <= 2 * most:
        return lines
    return [*lines[:most], f"({len(lines) - 2 * most} lines more)", *lines[-most:]]


def wrapped(lines: Iterable[str], longest: int = 2000) -> Iterator[str]:
    """Lines cut to a length, so that one line never hides what differs in it."""
    for line in lines:
        yield from (line[at : at + longest] for at in range(0, max(len(line), 1), longest))
