"""What the fuzzers throw at calc, and what must hold each time. `tools/check/fuzz.py` drives these functions.

A target takes bytes, makes an input from them and raises when a promise is broken: `Broken` for a promise of ours,
any other exception where calc let one out. Bytes are read as choices, so that a fuzzer which knows nothing of the
guide still comes deep into it; some inputs are raw text. When the bytes end, every choice is the first one, which is
the usual one.
"""

from __future__ import annotations

import base64
import csv
import datetime
import io
import json
import math
import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from typing import Any

from calc.catalogue import CALCULATORS, calculator
from calc.core import units
from calc.core.declare import Calculator, Choice, Clock, Day, InputError, Quantity, Rows, Whole, Words
from calc.core.units import SYSTEMS, Kind, Unit, UnitError, parse, show_as_written
from calc.plate_test.fields import FIELDS
from calc.practice import forms
from calc.practice.marking import mark
from calc.practice.questions import draw
from calc.record.demo import DEMOS
from calc.record.files import read_record, write_record
from calc.record.fields import PLATE_TEST
from calc.record.shape import FORMAT, RecordError, as_data, blank
from calc.web import respond

PLANNERS = ("cut-list", "sheet-plan")


class Broken(AssertionError):
    """A promise of the guide that an input broke."""


def demand(holds: bool, *said: object) -> None:
    """Raise `Broken` with what was seen unless it holds."""
    if not holds:
        raise Broken(" ".join(str(each)[:300] for each in said))


class Choices:
    """Bytes read as choices."""

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.at = 0

    def byte(self) -> int:
        if self.at >= len(self.data):
            return 0
        self.at += 1
        return self.data[self.at - 1]

    def below(self, most: int) -> int:
        """A whole number from 0 to most - 1."""
        return (self.byte() if most <= 256 else self.byte() << 8 | self.byte()) % most

    def pick(self, among: Any) -> Any:
        return among[self.below(len(among))]

    def seldom(self, one_in: int) -> bool:
        return self.below(one_in) == one_in - 1

    def some(self, count: int) -> bytes:
        """The next bytes as they are; fewer where the data ends."""
        taken = self.data[self.at : self.at + count]
        self.at += len(taken)
        return taken

    def rest(self) -> bytes:
        return self.some(len(self.data))


# --- texts ---------------------------------------------------------------------------

# Nothing in calc has a tag or an attribute of this name: where one shows up as markup, it came from an input.
CANARIES = ("<fz>", '" fz="', "' fz='", "</script><fz>", "&lt;fz&gt;", "<!--<fz>", "]]><fz>")
MARKUP = re.compile(r"<fz|[\"'] fz=[\"']")
NOT_FINITE = re.compile(r"(?<![a-z0-9])(?:nan|inf|infinity)(?![a-z])", re.IGNORECASE)
_MAY_ECHO = re.compile(r"nan|inf", re.IGNORECASE)
TOKENS = (
    "0", "1", "9", "/", "-", " ", ".", "1/2", "3/8", "1-1/2", "22.5", "1e9", "1e-400", "0x1F", "½", "7/8", "⅞", "⁄",
    "−", "–", ",", "+", "--", "in", "mm", "deg", "°", "°F", "psi", "%", "nan", "inf", "-inf", "Infinity", "NaN",
    "1_000", "१", "²", "٣", "\u00a0", "\u202f", "\u200b", "\u202e", "\x00", "\ud800", "\n", "\r", "\t", "|", ";", "'",
    '"', "\\", "{", "}", "{0}", "{thickness}", "=1+1", "@", "None", "null", "true", "99999999999999999999", "1/0",
    "0/0", "00", "2026-02-30", "2026-03-31", "24:00", "07:30", "yes", "us", "si", "aws", "é", "𝟏", "İ", "ß",
    "𝕏" * 20,
    "9" * 41,
    "a" * 600,
    *CANARIES,
)
THIN_SPACES = " \u202f"
KINDS: tuple[Kind, ...] = tuple(dict.fromkeys(
    [each for each in vars(units).values() if isinstance(each, Kind)]
    + [each.kind for calc in CALCULATORS for each in calc.inputs if isinstance(each, Quantity)]
))
ALL_UNITS: tuple[Unit, ...] = tuple(dict.fromkeys(unit for kind in KINDS for unit in kind.units))


def wild_text(take: Choices) -> str:
    """A text of any kind: pieces that mean something somewhere, or raw letters."""
    if take.seldom(3):
        return "".join(map(chr, take.some(take.below(24)))) + chr(take.below(0x3000))
    return "".join(take.pick(TOKENS) for _ in range(take.below(6)))


def digits(take: Choices, most: int = 4) -> str:
    return "".join([str(byte % 10) for byte in take.some(1 + take.below(most))]) or "1"


def written_number(take: Choices) -> str:
    """A number in one of the ways that people write it."""
    shape = take.below(9)
    sign = take.pick(("", "", "", "-", "+", "−"))
    match shape:
        case 0:
            text = digits(take)
        case 1:
            text = f"{digits(take)}.{digits(take)}"
        case 2:
            text = f"{digits(take, 2)}/{digits(take, 3)}"
        case 3:
            text = f"{digits(take, 2)}{take.pick('- ')}{digits(take, 2)}/{digits(take, 2)}"
        case 4:
            text = f".{digits(take)}"
        case 5:
            text = f"{digits(take, 3)}{take.pick(THIN_SPACES)}{digits(take, 3)}.{digits(take)}"
        case 6:
            text = f"{digits(take, 2)}{take.pick('½⅓⅔¼¾⅛⅜⅝⅞')}"
        case 7:
            text = digits(take, 40)
        case _:
            text = wild_text(take)
    return sign + text


def unit_text(take: Choices, kind: Kind) -> str:
    """A unit of the kind, of another kind, none, or something else."""
    match take.below(6):
        case 0:
            return ""
        case 1:
            return take.pick(ALL_UNITS).symbol
        case 2:
            return wild_text(take)
        case _:
            unit = take.pick(kind.units)
            name = take.pick((unit.symbol, *unit.also))
            return name.upper() if take.seldom(8) else name


def fitting(take: Choices, each: Quantity) -> str:
    """A number within the limits of a field, or at or just beyond one of them, in one of its units."""
    low, high = each.limits
    match take.below(8):
        case 0:
            return each.default
        case 1:
            return each.low
        case 2:
            return each.high
        case 3:
            return take.pick(each.common or (each.default,))
        case 4:
            return ""
    unit = take.pick(each.kind.units)
    share = Fraction(take.byte() << 8 | take.byte(), 65535) ** (1 + take.below(3))
    number = unit.from_base(low + (high - low) * share)
    shown = f"{float(number):.{take.below(7)}f}"
    return f"{shown} {unit.symbol}".strip()


def input_text(take: Choices, each: Any) -> str:
    """What might stand in a field: mostly something that it takes."""
    if take.seldom(50):
        return f"{written_number(take)} {unit_text(take, each.kind)}" if isinstance(each, Quantity) else wild_text(take)
    match each:
        case Quantity():
            return fitting(take, each)
        case Whole():
            return take.pick(
                (
                    each.default,
                    str(each.low),
                    str(each.high),
                    str(each.low + take.below(each.high - each.low + 1)),
                    str(each.high + 1),
                )
            )
        case Choice():
            option = take.pick((None, *each.options))
            return each.default if option is None else take.pick((option.value, option.label, *option.sizes))
        case Day():
            return take.pick(
                (
                    each.default,
                    each.low,
                    each.high,
                    f"20{take.below(100):02}-{1 + take.below(13):02}-{1 + take.below(31):02}",
                )
            )
        case Clock():
            return take.pick((each.default, f"{take.below(25):02}:{take.below(61):02}"))
        case Words():
            return take.pick((each.default, take.pick(TOKENS)))
        case Rows():
            return rows_text(take, each)
    raise TypeError(each)


def rows_text(take: Choices, each: Rows) -> str:
    if take.seldom(4):
        return each.default
    count = take.below(min(each.most, 12) + 2)
    return take.pick(("\n", "\n", ";")).join(
        " | ".join(input_text(take, column) for column in each.columns) for _ in range(count)
    )


def inputs_of(take: Choices, calc: Calculator) -> dict[str, str]:
    """Inputs of a calculator, mostly ones that it takes; now and then a name that it has not."""
    found = {each.name: input_text(take, each) for each in calc.inputs if take.below(3)}
    if take.seldom(20):
        found[wild_text(take)] = wild_text(take)
    return found


def wild_value(take: Choices, depth: int = 0) -> Any:
    """Any JSON value."""
    match take.below(10 if depth < 3 else 7):
        case 0 | 1:
            return wild_text(take)
        case 2:
            return take.pick((0, 1, -1, 2, 2**31, 2**63, 10**30, True, False, None))
        case 3:
            return take.pick((0.5, -0.0, 1e308, 5e-324, math.nan, math.inf, -math.inf))
        case 4:
            return take.pick(("us", "si", "groove", "aws", FORMAT, "2026-03-02"))
        case 5 | 6:
            return None
        case 7:
            return [wild_value(take, depth + 1) for _ in range(take.below(4))]
        case _:
            return {wild_text(take): wild_value(take, depth + 1) for _ in range(take.below(4))}


def mutated(take: Choices, value: Any) -> Any:
    """Plain data with some of its parts changed, taken away, doubled or put elsewhere."""
    data = json.loads(json.dumps(value))
    for _ in range(take.below(5)):
        holder, key = data, None
        for _ in range(1 + take.below(4)):
            inner = holder if key is None else holder[key]
            if not isinstance(inner, (dict, list)) or not inner:
                break
            holder, key = inner, take.pick(list(inner) if isinstance(inner, dict) else range(len(inner)))
        if key is None:
            return wild_value(take)
        match take.below(5):
            case 0:
                holder[key] = wild_text(take)
            case 1:
                holder[key] = wild_value(take)
            case 2:
                del holder[key]
            case 3 if isinstance(holder, dict):
                holder[wild_text(take)] = holder[key]
            case 3:
                holder += [holder[key]] * (1 + take.below(30))
            case _:
                holder[key] = f"{written_number(take)} {take.pick(ALL_UNITS).symbol}"
    return data


def cut_about(take: Choices, text: str, pieces: tuple[str, ...] = TOKENS) -> str:
    """A text with pieces taken out, put in and moved."""
    for _ in range(take.below(6)):
        at = take.below(65536) * (len(text) + 1) // 65536
        match take.below(4):
            case 0:
                text = text[:at] + take.pick(pieces) + text[at:]
            case 1:
                text = text[:at] + text[at + 1 + take.below(30) :]
            case 2:
                text = text[:at] + chr(take.below(0x300)) + text[at + 1 :]
            case _:
                text = text[:at]
    return text


# --- what must hold of every answer -----------------------------------------------------------


MARKED_UP = ("html", "headline", "verdict", "answer")
"""The parts of an answer that the page puts in as markup."""


def _no_constant(word: str) -> None:
    raise Broken(f"the answer holds {word}")


def _texts(value: Any, markup: bool = False) -> Any:
    """Every text of an answer, and whether the page takes it as markup."""
    if isinstance(value, str):
        yield value, markup
    elif isinstance(value, dict):
        for name, each in value.items():
            yield from _texts(each, markup or name in MARKED_UP or name in ("read", "said", "drawings"))
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each, markup)


def asked(request: Any, *, well_formed: bool, packed: str = "") -> dict[str, Any]:
    """The guide's answer to a request of the page, held against what is promised of every answer.

    `packed` is the text of a file that the request holds in base64: a refusal may echo its words too.
    """
    text = request if isinstance(request, str) else json.dumps(request)
    answer = json.loads(respond(text), parse_constant=_no_constant)
    demand(isinstance(answer, dict), "the answer is no object:", answer)
    if well_formed:
        demand("trouble" not in answer, "trouble for a request that is well formed:", answer.get("trouble"))
    may_say_so = _MAY_ECHO.search(text + packed)
    for each, markup in _texts(answer):
        demand(not markup or not MARKUP.search(each), "markup from an input:", each[max(0, each.find("fz") - 60) :])
        if not may_say_so and (found := NOT_FINITE.search(each)):
            raise Broken(f"not a finite number: {each[max(0, found.start() - 80) : found.end() + 20]}")
    return answer


# --- the targets --------------------------------------------------------------------------


def numbers(data: bytes) -> None:
    """Reading a number with a unit: an exact finite value that is read back from what is shown, or a plain error."""
    take = Choices(data)
    kind = take.pick(KINDS)
    if take.seldom(4):
        text = take.rest().decode("utf-8", "surrogateescape")
    else:
        text = written_number(take) + take.pick(("", " ", "  ")) + unit_text(take, kind)
    system = SYSTEMS[len(data) & 1]
    try:
        value = parse(text, kind, system)
    except UnitError as error:
        demand(0 < len(str(error)) < 400, "a message of", len(str(error)), "characters")
        return
    demand(type(value) is Fraction and math.isfinite(float(value)), "not exact or not finite:", value)
    if data and data[-1] & 3 == 0:
        # What is shown is written into fields and links, so it must mean the same when it is read again.
        shown, unit = show_as_written(value, kind, system), kind.unit(system)
        demand(not NOT_FINITE.search(shown), "shown as", shown)
        if len(shown) <= units.LONGEST_TEXT:
            meant, back = unit.from_base(value), unit.from_base(parse(shown, kind, system))
            demand(abs(back - meant) <= abs(meant) / 10_000, text, "is shown as", shown, "and read back as", back)


def links(data: bytes) -> None:
    """Opening a link and writing one.

    The inputs sorted into usable and refused; what a link says stays what was meant.
    """
    take = Choices(data)
    calc = take.pick(CALCULATORS)
    system = take.pick(SYSTEMS)
    texts = inputs_of(take, calc)
    if take.seldom(8):
        request = mutated(take, {"do": "open", "calculator": calc.id, "system": system, "inputs": texts})
        asked(cut_about(take, json.dumps(request)) if take.seldom(2) else request, well_formed=False)
        return
    opened = asked({"do": "open", "calculator": calc.id, "system": system, "inputs": texts}, well_formed=True)
    demand(opened["inputs"].keys() | opened["refused"].keys() >= texts.keys(), "an input was lost:", texts)
    again = asked({"do": "open", "calculator": calc.id, "system": system, "inputs": opened["inputs"]}, well_formed=True)
    demand(again["inputs"] == opened["inputs"], "opened a second time:", again, "the first time:", opened)
    link = asked({"do": "link", "calculator": calc.id, "system": system, "inputs": opened["inputs"]}, well_formed=True)[
        "inputs"
    ]
    meant, _ = calc.read(opened["inputs"], system)
    for other in SYSTEMS:
        found, _ = calc.read(link, other)
        for each in calc.inputs:
            if each.name in link and isinstance(each, (Quantity, Rows)) and each.name in meant:
                demand(
                    found.get(each.name) == meant[each.name],
                    each.name, "was", meant[each.name], "and is",
                    found.get(each.name),
                    "by",
                    link[each.name],
                )


@cache
def figures_of(calc: Calculator) -> tuple[str, ...]:
    """The names of the drawings in the answer to the defaults, and one that there is not."""
    return (*(each.name for each in calc.answer().drawings), "no-such")


def answers(data: bytes) -> None:
    """A calculator asked as the page asks it: an answer that is finite and safe, or an error a field."""
    take = Choices(data)
    calc = take.pick(CALCULATORS)
    system = take.pick(SYSTEMS)
    request = {
        "do": take.pick(("answer", "numbers", "quick", "try-open", "figure")),
        "calculator": calc.id,
        "system": system,
        "inputs": inputs_of(take, calc),
    }
    if request["do"] == "figure":
        request |= {"figure": take.pick(figures_of(calc)), "as": take.pick(("svg", "csv"))}
        asked(request, well_formed=False)
    elif take.seldom(16):
        asked(mutated(take, request), well_formed=False)
    else:
        answer = asked(request, well_formed=True)
        if request["do"] == "quick":
            whole = asked({**request, "do": "answer"}, well_formed=True)
            demand(
                whole["errors"] == answer["errors"] and whole.get("headline") == answer.get("headline"),
                "the quick answer is another one:",
                answer,
                whole,
            )


def plans(data: bytes) -> None:
    """The cutting lists: started, searched for a while, printed and kept as a file."""
    take = Choices(data)
    calc = calculator(take.pick(PLANNERS))
    request = {"calculator": calc.id, "system": take.pick(SYSTEMS), "inputs": inputs_of(take, calc)}
    asked({"do": "numbers", **request}, well_formed=True)
    told = asked({"do": "plan-start", **request}, well_formed=True)
    if told["errors"]:
        return
    shares = []
    for _ in range(1 + take.below(3)):
        step = asked({"do": "plan-step", "search": told["search"], "steps": 1 + take.below(40)}, well_formed=True)
        shares += [step["share"]] if "share" in step else []
        if step["done"]:
            break
    demand(all(0 <= share <= 1 for share in shares), "how far the search is:", shares)
    match take.below(4):
        case 0:
            asked({"do": "plan-file", "kind": "csv", **request}, well_formed=True)
        case 1:
            kept = asked({"do": "plan-file", "kind": "json", **request}, well_formed=True)
            if "text" in kept:
                json.loads(kept["text"], parse_constant=_no_constant)
        case 2:
            asked({"do": "plan-paper", "page": take.pick(("shopping", "cutting")), **request}, well_formed=True)
        case _:
            asked(mutated(take, {"do": "plan-step", "search": told["search"], "steps": 3}), well_formed=False)


_TODAY = datetime.date(2026, 3, 31)
_OLD = {
    "format": FORMAT, "version": 1, "id": "old-record-1", "name": "Plate", "created": "2026-03-02T07:30:00Z",
    "changed": "2026-03-02T07:30:00Z", "units": "us",
    "values": {
        "thickness": "3/8 in",
        "passes": "root | 2 | 64 degF | 125 A\ncap | 2",
        "coupons": "face | 3/8 in | 1-1/2 in | yes",
    },
}
RECORDS: tuple[dict[str, Any], ...] = (*(as_data(each) for each in DEMOS), _OLD)


def _refilled(take: Choices, data: dict[str, Any]) -> dict[str, Any]:
    """A record with some figures written anew, mostly ones that the fields take."""
    data = json.loads(json.dumps(data))
    form = next(each.form for each in DEMOS if each.kind == data.get("kind", "test-day"))
    for _ in range(take.below(6)):
        each = take.pick(tuple(form.fields))
        if not isinstance(each, Rows):
            data["values"][each.name] = input_text(take, each)
        elif "rows" in data:
            rows = range(take.below(min(each.most, 6) + 1))
            data["rows"][each.name] = [
                {column.name: input_text(take, column) for column in each.columns if take.below(5)} for _ in rows
            ]
    return data


def records(data: bytes) -> None:
    """A record file brought in, judged, printed and written again: refused with its place, or kept as it is."""
    take = Choices(data)
    source = take.pick(RECORDS)
    shape = take.below(4)
    if shape == 3:
        text = take.rest().decode("utf-8", "surrogateescape")
    else:
        changed = _refilled(take, source)
        text = json.dumps(mutated(take, changed) if shape == 1 else changed, ensure_ascii=take.seldom(2))
        text = cut_about(take, text) if shape == 2 else text
    try:
        record = read_record(text)
    except RecordError as trouble:
        demand(
            trouble.message and (not trouble.place or trouble.place.startswith("/")),
            "a refusal without a place:",
            trouble,
        )
        as_bytes = text.encode("utf-8", "surrogateescape")
        packed = base64.b64encode(as_bytes).decode()
        asked({"do": "record-read", "data": packed}, well_formed=True, packed=text)
        return
    demand(read_record(write_record(record)) == record, "written and read again, the record is another one")
    plain, today = as_data(record), take.pick((_TODAY.isoformat(), "", "1999-01-01", "9999-12-31"))
    match take.below(10):
        case 0 | 1 | 2:
            asked({"do": "record-judge", "record": plain, "today": today}, well_formed=True)
        case 3:
            told = asked({"do": "record-csv", "records": [plain], "today": today}, well_formed=True)
            for cells in csv.reader(io.StringIO(told["text"].removeprefix("\ufeff"))):
                demand(
                    len(cells) == 12 and not any(cell[:1] in tuple("=+-@\t\r") for cell in cells if cell),
                    "a cell that a spreadsheet runs:",
                    cells,
                )
        case 4:
            told = asked(
                {"do": "record-calendar", "record": plain, "today": today, "moment": "2026-03-31T08:00:00Z"},
                well_formed=True,
            )
            for line in told.get("text", "").split("\r\n"):
                demand(len(line.encode()) <= 75, "a calendar line of", len(line.encode()), "octets")
        case 5:
            asked({"do": "record-sheet", "record": plain, "today": today}, well_formed=True)
        case 6:
            told = asked(
                {"do": "record-bare", "record": plain, "bare": "si" if record.bare == "us" else "us"}, well_formed=True
            )
            if "record" in told:
                _same_figures(record, read_record(json.dumps(told["record"])))


def _same_figures(record: Any, other: Any) -> None:
    """Writing out the units may not change what a figure means."""
    for each in record.form.fields:
        if isinstance(each, Quantity) and record.text(each.name):
            before, after = ({**each_record.values}.get(each.name, "") for each_record in (record, other))
            try:
                meant = parse(before, each.kind, record.bare)
            except UnitError:
                continue
            demand(parse(after, each.kind, other.bare) == meant, each.name, "was", before, "and is", after)


FILES: tuple[str, ...] = tuple(text for text in map(forms.file_text, forms.CHAPTERS) if text)
BLOCKS: tuple[tuple[str, tuple[str, ...]], ...] = tuple(
    (text.split("[[question]]")[0], tuple("[[question]]" + part for part in text.split("[[question]]")[1:]))
    for text in FILES
)
TOML_PIECES = (
    "[[question]]\n", "[[question.option]]\n", "[[question.verdict]]\n", "[[question.thing]]\n", "[[question.slip]]\n",
    "[[question.case]]\n", "[question.draw]\n", "[question]\n", "[question.slip.change]\n", 'kind = "number"\n',
    'kind = "judge"\n', 'kind = "order"\n', 'kind = "hazard"\n', 'id = "a"\n', "right = true\n", "hazard = true\n",
    "any_order = [[1, 2]]\n", "any_order = [[true, 2.0]]\n", 'when = "a"\n', 'level = "ok"\n', 'ask = "face_width"\n',
    'within = "2 %"\n', 'value = "area"\n', 'times = "0.5"\n', 'times = "1/0"\n', 'thickness = ["3/8 in"]\n',
    "thickness = 1\n", 'thickness = { from = "0 in", to = "1 in", step = "1/64 in" }\n',
    '= { from = "1/0 in", to = "9 in", step = "-1 in" }\n', "{thickness}", "{fact:cap-limit}", "{3/16 in}", "{20 ft}",
    "{", "}", "{}", '"', '"""', "'''", "\n", "#", "= [", "]", "= 1\n", "= nan\n", "= inf\n", "= 1979-05-27\n",
    "= []\n", "= {}\n",
    "[" * 400,
    "= " + "[" * 400,
    "= " + "9" * 5000 + "\n",
    "= 1e999\n", "\u2028", "\x85", "\x0b", "\x0c", "\r", "\r\n", "\x00", "\\", "\\u0000", "\\ud800", *CANARIES,
)


def questions(data: bytes) -> None:
    """A question file as an instructor might leave it: forms that can be asked, or problems with their lines."""
    take = Choices(data)
    head, blocks = take.pick(BLOCKS)
    if take.seldom(8):
        text = take.rest().decode("utf-8", "replace")
    else:
        chosen = [blocks[take.below(len(blocks))] for _ in range(1 + take.below(2))]
        text = head + "".join(_lines_about(take, each) for each in chosen)
        text = cut_about(take, text, TOML_PIECES) if take.seldom(3) else text
    try:
        read = forms.read(text, "fuzz.toml")
    except forms.QuestionError as trouble:
        _have_lines(trouble.problems, text)
        demand(bool(trouble.problems), "refused without a problem")
        return
    for form in read:
        problems = forms.check(form)
        _have_lines(problems, text)
        if not problems:
            question = draw(form, take.below(200))
            demand(bool(question.text), "a question without words")
            if isinstance(form.body, forms.Number):
                try:
                    demand(
                        mark(question, [question.asked.text("us").split(" (about")[0].replace("\u202f", "")]).right,
                        "the right answer is marked wrong:",
                        form.id,
                    )
                    mark(question, ["0.123"], "si")
                except InputError:
                    # Numbers that a form draws may not fit together; the tests of the guide's own forms ask for
                    # every draw.
                    pass


def _lines_about(take: Choices, block: str) -> str:
    """A question with some of its lines taken out, doubled, moved or given another value."""
    lines = block.splitlines(keepends=True)
    for _ in range(take.below(3)):
        at = take.below(len(lines))
        match take.below(4):
            case 0:
                del lines[at]
            case 1:
                lines.insert(take.below(len(lines)), lines[at])
            case 2:
                lines[at] = take.pick(TOML_PIECES)
            case _:
                value = take.pick(
                    (
                        '""', '"a"', "1", "true", "[]", "{}", '["a", "b"]', '["3/8 in", "nan"]', '"3/8"', '"1 %"',
                        "nan", '[["a"]]',
                    )
                )
                lines[at] = f"{lines[at].split('=')[0]}= {value}\n" if take.seldom(2) else _other_words(take, lines[at])
        if not lines:
            break
    return "".join(lines)


def _other_words(take: Choices, line: str) -> str:
    """The line with one of its texts changed to another that may stand there."""
    parts = line.split('"')
    if len(parts) < 3:
        return line
    at = 1 + 2 * take.below(len(parts) // 2)
    parts[at] = take.pick(
        (
            "", "3/8 in", "22.5 deg", "0 in", "1/0 in", "9999 in", "2 %", "1/16 in", "0.5", "-1", "us", "no",
            "common practice", "calculator", "groove", "bend-ratio", "{fact:cap-limit}", "{3/16 in}", "{1 °C}",
            "{thickness}", "half", "double", "zero", "stop", "words", "face_width", "2026-03-31", "07:30",
            parts[at] + " ",
            parts[at].upper(),
            parts[at][: len(parts[at]) // 2],
            "<fz>",
            "nan",
        )
    )
    return '"'.join(parts)


def _have_lines(problems: Any, text: str) -> None:
    last = text.count("\n") + 1
    for each in problems:
        demand(1 <= each.line <= last and each.message, "line", each.line, "of", last, each)


_FORMS = forms.all_forms()
_CARD = {"ease": 2.5, "interval": 6, "in_a_row": 2, "due": "2026-03-02", "again": False, "seen": 3, "last": 5}
_STATE = {
    "format": "plate-test-guide-progress",
    "version": 1,
    "active": 0,
    "profiles": [
        {
            "name": "Reader 1",
            "cards": {"groove-face-width": _CARD, "cutting-layout-order": _CARD},
            "read": {"cutting-layout": "2026-03-01"},
        }
    ],
}


def practice(data: bytes) -> None:
    """The practice pages: a progress file brought in, sets, links to sets, answers marked, worksheets."""
    take = Choices(data)
    form = take.pick(_FORMS)
    day = take.pick(("2026-03-02", "2026-03-02", "9999-12-31", "0001-01-01"))
    shape = take.below(8)
    match shape:
        case 0:
            text = json.dumps(mutated(take, _STATE))
            asked({"do": "progress-read", "text": cut_about(take, text) if take.seldom(2) else text}, well_formed=True)
            return
        case 1:
            replies = [input_text(take, Whole("a", "a", "0", 0, 9, "")) for _ in range(take.below(8))]
            reply = [f"{written_number(take)} {take.pick(ALL_UNITS).symbol}"] if take.seldom(2) else replies
            request = {
                "do": "practice-mark",
                "form": form.id,
                "seed": str(take.below(50)),
                "answers": reply,
                "system": take.pick(SYSTEMS),
                "today": "2026-03-02",
                "card": take.pick((None, _CARD)),
            }
        case 2:
            request = {
                "do": "practice-link",
                "fields": {
                    name: take.pick(
                        (
                            form.id,
                            form.objective,
                            form.chapter,
                            digits(take, 6),
                            wild_text(take),
                            f"{form.chapter},{wild_text(take)}",
                        )
                    )
                    for name in ("questions", "objectives", "chapters", "count", "seed")
                    if take.below(2)
                },
            }
        case 3:
            request = {
                "do": "practice-daily",
                "today": "2026-03-02",
                "cards": {form.id: _CARD},
                "size": take.below(80),
                "chapters": [form.chapter][: take.below(2)],
            }
        case 4:
            request = {"do": "progress-standing", "profile": _STATE["profiles"][0]}
        case 5:
            request = {
                "do": "practice-question",
                "form": form.id,
                "seed": wild_text(take),
                "place": wild_text(take),
                "heading": wild_text(take),
            }
        case 6:
            request = {
                "do": "worksheet",
                "settings": {
                    "seed": take.pick(("1", wild_text(take))),
                    "papers": take.pick((1, "2", wild_value(take))),
                    "questions": take.pick((1, "3", wild_value(take))),
                    "chapters": [form.chapter],
                    "units": take.pick((*SYSTEMS, "both", wild_text(take))),
                    "key": take.pick((True, False, 1)),
                },
            }
            if str(request["settings"]["papers"]).strip() in map(str, range(3, 61)):
                request["settings"]["papers"] = 2
        case _:
            calc = take.pick(CALCULATORS)
            request = {
                "do": "try-mark",
                "calculator": calc.id,
                "inputs": {},
                "what": take.pick(("face_width", "area", "")),
                "answer": f"{written_number(take)} {take.pick(ALL_UNITS).symbol}",
            }
    if take.seldom(3):
        request = mutated(take, {**request, "today": day})
        asked(request, well_formed=False)
    else:
        asked(request, well_formed=shape < 7)


def tests(data: bytes) -> None:
    """A declared test, drawn fact by fact, through the page's doors, out as a link and in again; and wild links.

    Any test gives an answer or a clear refusal, and so does any link; a link means the same test.
    """
    take = Choices(data)
    values = {
        name: input_text(take, each.input) for name, each in FIELDS.items()
        if not isinstance(each.input, Rows) and take.below(3)
    }
    rows = {
        name: [{column.name: input_text(take, column) for column in each.input.columns} for _ in range(take.below(4))]
        for name, each in FIELDS.items() if isinstance(each.input, Rows)
    }
    record = as_data(blank(PLATE_TEST.kind, "fuzzed-0001", "2026-03-02T07:30:00Z", bare=take.pick(SYSTEMS)))
    record |= {"values": values, "rows": rows}
    if take.seldom(4):
        record = mutated(take, record)
    answer = asked({"do": "test-work", "record": record}, well_formed=False)
    demand({"refused", "trouble"} & answer.keys() or answer.get("headline"), "neither answer nor refusal:", answer)
    linked = asked({"do": "test-link", "record": record}, well_formed=False)
    text = cut_about(take, linked["text"]) if "text" in linked and take.seldom(2) else linked.get("text", wild_text(take))
    request = {"do": "test-open", "text": text, "current": None, "id": "fuzzed-0002", "moment": "2026-03-02T07:30:00Z"}
    opened = asked(request, well_formed=False)
    demand({"refused", "record", "trouble"} & opened.keys(), "a link is neither opened nor refused:", opened)
    if text == linked.get("text"):
        demand(not opened.get("refused"), "a link of the guide's own is refused:", opened.get("refused"))
        again = asked({"do": "test-link", "record": opened["record"]}, well_formed=True)
        demand(again.get("text") == text, "a link that changes on its way:", text, again)


TARGETS: dict[str, Callable[[bytes], None]] = {
    "numbers": numbers, "links": links, "answers": answers, "plans": plans, "records": records, "questions": questions,
    "practice": practice, "tests": tests,
}
