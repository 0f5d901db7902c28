"""Approved text: what a reader is given, kept readable under `tests/calc/approved/` and compared with what calc gives.

The files are made anew by `python3 tools/guide.py approve`; whoever does so reads the difference that git shows. They
stand beside the checks against outside sources: they tell that something changed, never that it is right.

A sentence is printed where it is first said and named by its key from then on, so that one changed sentence changes few
lines. Numbers are rounded, so that the last bits of a sine make no difference between machines.
"""

from __future__ import annotations

import difflib
import html
import os
import re
import textwrap
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).parent / "calc" / "approved"
HEAD = "=== "
APPROVING = os.environ.get("GUIDE_APPROVE") == "1"
WIDE = 120
MOST_POINTS = 60
MOST_SHOWN = 60


# --- files ----------------------------------------------------------------------


def read(file: str) -> str:
    """The approved text; empty where there is none yet."""
    path = FOLDER / file
    return path.read_text(encoding="utf-8") if path.exists() else ""


def write(file: str, text: str) -> None:
    """Keep the text as approved."""
    path = FOLDER / file
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def joined(lines: Iterable[str]) -> str:
    """The lines as the text of a file, none of them ending in a space."""
    return "".join(f"{each.rstrip()}\n" for line in lines for each in line.replace("\r\n", "\n").split("\n"))


def sections(text: str) -> dict[str, list[str]]:
    """The parts of a text, each under its head.

    >>> sections("a guide\\n\\n=== one\\nfirst\\n\\n=== two\\n")
    {'one': ['first'], 'two': []}
    """
    found: dict[str, list[str]] = {}
    lines: list[str] = []
    for line in text.splitlines():
        if line.startswith(HEAD):
            lines = found.setdefault(line.removeprefix(HEAD), [])
        elif line:
            lines.append(line)
    return found


def check(file: str, lines: Iterable[str]) -> None:
    """Compare with what was approved, or keep it while approving. A failure prints the lines that differ."""
    text = joined(lines)
    if APPROVING:
        write(file, text)
        return
    approved = read(file)
    if text != approved:
        before, now = approved.splitlines(), text.splitlines()
        differ = list(difflib.unified_diff(before, now, "approved", "now", lineterm="", n=1))
        more = [f"... and {len(differ) - MOST_SHOWN} lines more"] if len(differ) > MOST_SHOWN else []
        raise AssertionError("\n".join([f"{file} (guide.py approve writes it anew)", *differ[:MOST_SHOWN], *more]))


# --- sentences, each told once ------------------------------------------------------

_NUMBER = re.compile(r"-?\d+(?:[.,⁄/-]\d+)*(?:e-?\d+)?")


@dataclass(frozen=True)
class Item:
    """Something said: its key, by which it is named later, the sentence with `{}` for amounts, the amounts, more."""

    key: str
    sentence: str
    amounts: tuple[str, ...] = ()
    more: tuple[str, ...] = ()

    @classmethod
    def of(cls, key: str, text: str, *more: str) -> Item:
        """From a plain text, its numbers taken out.

        >>> Item.of("gap", "A gap of 3 mm.").amounts
        ('3',)
        """
        return cls(key, _NUMBER.sub("{}", text), tuple(_NUMBER.findall(text)), more)

    def text(self) -> str:
        """The sentence with its amounts."""
        amounts = iter(self.amounts)
        return re.sub(r"\{\}", lambda _: next(amounts), self.sentence)


@dataclass
class Teller:
    """Tells items one answer after the other: in full at first, by their keys and amounts when said again."""

    said: dict[tuple, Item] = field(default_factory=dict)
    below: dict[str, set[str]] = field(default_factory=dict)
    """What stood under each key; it is not repeated."""

    def tell(self, items: Iterable[Item]) -> list[str]:
        """The lines for these items; what was said before with the same amounts is named in one line at the end."""
        lines, again = [], []
        for item in items:
            kind = kind_of(item.key)
            first = self.said.get((kind, item.sentence, item.more))
            if not first:
                self.said[kind, item.sentence, item.more] = item
                told = self.below.setdefault(kind, set())
                lines += [f"{item.key}: {item.text()}", *(f"    {each}" for each in item.more if each not in told)]
                told.update(item.more)
            elif first.amounts == item.amounts:
                again.append(item.key)
            else:
                lines.append(f"{item.key}, as above with {'; '.join(item.amounts)}")
        return lines + (wrapped(f"as above: {', '.join(again)}") if again else [])


def kind_of(key: str) -> str:
    """A key without its numbers: what is said of the second reading is told as what is said of the first.

    >>> kind_of("reading-2 ok")
    'reading-# ok'
    """
    return re.sub("[0-9]+", "#", key)


def wrapped(text: str) -> list[str]:
    """A long text in lines of at most 120 characters."""
    return textwrap.wrap(text, WIDE, subsequent_indent="    ", break_long_words=False, break_on_hyphens=False) or [""]


# --- normal forms -----------------------------------------------------------------


_TAG = re.compile(r"<(/?)([a-zA-Z][\w-]*)((?:\s[^<>]*?)?)(/?)>|([^<]+)")
_ATTRIBUTE = re.compile(r'([\w:-]+)="([^"]*)"')
_PLAIN = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
_PLACED = {"points", "d", "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "r", "width", "height", "viewBox",
           "data-from", "data-to"}
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
        return " ".join(",".join(_tenth(each, places) for each in pair.split(",")) for pair in text.split())
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
            told.append(f"{name} {_PLAIN.sub(lambda match: _tenth(match[0], places), value)}")
        elif name in _MEASURED:
            told.append(f"{name} {_PLAIN.sub(_five, value)}")
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


def page_lines(text: str) -> list[str]:
    """Markup in fewer lines: what it says, a line a paragraph, row or field, with the attributes that matter.

    >>> page_lines('<p class="a">One <b>two</b></p><input name="gap" value="1"><svg>...</svg>')
    ['p.a: One two', 'input name=gap value=1']
    """
    text = re.sub(r"<svg.*?</svg>", "", text, flags=re.DOTALL)
    lines = [""]
    for closing, tag, attributes, _, words in _TAG.findall(text):
        if words:
            lines[-1] += html.unescape(words)
        elif not closing and tag not in _INLINE:
            given = dict(_ATTRIBUTE.findall(attributes))
            told = " ".join(f"{name}={html.unescape(given[name])}" for name in _TELLING if name in given)
            look = f".{given['class']}" if "class" in given else ""
            lines.append(f"{tag}{look}{' ' if told else ''}{told}: ")
    return [line for each in lines if (line := " ".join(each.split()).removesuffix(":")) and not _BARE.fullmatch(line)]


_INLINE = {"b", "i", "em", "strong", "span", "a", "code", "td", "th", "option", "small", "abbr", "br"}
_TELLING = ("name", "value", "type", "min", "max", "maxlength", "data-level", "data-value", "data-piece", "data-field",
            "data-read", "href", "hidden")
_BARE = re.compile(r"(tr|tbody|thead|table|div|ul|ol|dl|fieldset|section|p)(\.[\w -]*)?")


def _stops(match: re.Match) -> str:
    stops = match[2].split("|")
    return f'{match[1]}="{len(stops)}: {" ".join(stops[:3])} to {stops[-1]}"'


def table_lines(text: str, most: int = 8, end: str = "\r\n") -> list[str]:
    """Comma-separated values or a listing: all lines of a short one, else the first and last ones with their count."""
    lines = [line.replace("\ufeff", "(mark) ") for line in text.split(end)]
    if len(lines) <= 2 * most:
        return lines
    return [*lines[:most], f"({len(lines) - 2 * most} lines more)", *lines[-most:]]


_WHERE = re.compile(r'\s(?:points|d|x|y|x1|y1|x2|y2|cx|cy|r)="([^"]*)"')


def drawn(svg: str, coarse: bool = False) -> tuple[list[str], str, str]:
    """A drawing in short: its words, how many shapes have which look, and a number that moves with any of their places.

    That number is the sum of all coordinates, each weighed by its turn; `coarse` leaves it out.
    """
    words = [html.unescape(re.sub("<[^>]*>", "", each)) for each in re.findall(r"<text[^>]*>(.*?)</text>", svg)]
    looks = Counter(_look(each) for each in re.findall(r'<(?!svg)[a-z]+ class="([^"]*)"', svg))
    for each in ("us", "si", "sep"):
        looks.pop(each, None)
    told = ", ".join(f"{count} {look}" for look, count in sorted(looks.items()))
    return words, told, "" if coarse else f"{sheet(svg)}places {_places(svg):.0f}"


def sheet(svg: str) -> str:
    """The size of the sheet, and its scale where it has one.

    >>> sheet('<svg viewBox="0 -5.2 360 96.1" data-scale="6409.3084">')
    'sheet 360 × 96, scale 6409.3, '
    """
    box, scale = (re.search(f' {name}="([^"]*)"', svg) for name in ("viewBox", "data-scale"))
    size = " × ".join(f"{float(each):.0f}" for each in box[1].split()[2:]) if box else "without a box"
    return f"sheet {size}, {f'scale {float(scale[1]):.5g}, ' if scale else ''}"


def drawn_by_look(svg: str) -> list[str]:
    """A drawing that has no inputs: its words, and for each look how many shapes have it and about where."""
    words, _, _ = drawn(svg)
    places: dict[str, list[float]] = {}
    for tag in re.findall(r"<(?:polygon|polyline|line|circle|path|rect|text)\b[^>]*>", svg):
        look = re.search(r'class="([^"]*)"', tag)
        places.setdefault(_look(look[1]) if look else tag.split()[0][1:], []).append(_places(tag))
    told = [f"{len(sums)} {look}, places {sum(sums):.1f}" for look, sums in places.items()]
    return [*wrapped(" / ".join(words)), *wrapped(sheet(svg) + "; ".join(told))]


def _look(names: str) -> str:
    return re.sub("^(line|area) ", "", names).strip()


def _places(svg: str) -> float:
    flat = [float(each) for part in _WHERE.findall(svg) for each in re.findall(r"-?\d+\.?\d*", part)]
    return sum(number * (1 + place % 7) for place, number in enumerate(flat))


def grouped(told: Iterable[tuple[str, str]]) -> list[str]:
    """What led to what: each outcome once, with all that led to it.

    >>> grouped([("a", "fine"), ("b", "bad in line 1"), ("c", "fine"), ("d", "bad in line 2")])
    ['fine', '    a; c', 'bad in line 1', '    b; d']
    """
    outcomes: dict[str, tuple[str, list[str]]] = {}
    for what, outcome in told:
        outcomes.setdefault(_NUMBER.sub("{}", outcome), (outcome, []))[1].append(what)
    return [line for outcome, whats in outcomes.values() for line in (outcome, *wrapped(f"    {'; '.join(whats)}"))]


def parts(told: dict[str, Iterable[str]]) -> list[str]:
    """The lines of a file in parts, each under its head."""
    return [line for name, lines in told.items() for line in (f"{HEAD}{name}", *lines, "")][:-1]
