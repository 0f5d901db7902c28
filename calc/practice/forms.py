"""Question forms: read from data that an instructor can edit, and checked with the line that is wrong.

A form is one table of a file `calc/questions/<chapter>.toml`. It says what to ask; `calc.practice.questions` draws the
numbers. Two jobs stand here: `read` turns the text of a file into forms and finds what the form itself breaks; `check`
holds a form against the calculators, the register and the pictures. Each problem names file, line and field.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import PurePath
from typing import Any

from calc.catalogue import CALCULATORS, FACTS, calculator
from calc.core.declare import Amount, Calculator, InputError, Level, Quantity
from calc.core.units import (
    AIR_FLOW,
    ANGLE,
    AREA,
    CURRENT,
    DISTANCE,
    FLOW,
    FORCE,
    GAS_VOLUME,
    HEAT_INPUT,
    INCH,
    LENGTH,
    MASS,
    PERCENTAGE,
    PRESSURE,
    SOUND_LEVEL,
    STRESS,
    TEMPERATURE,
    TIME,
    TRAVEL_SPEED,
    VOLTAGE,
    UnitError,
    parse,
    split,
)
from calc.practice.drawn import DRAWN
from calc.practice.measured import shows

CHAPTERS: dict[str, str] = {
    "start": "Start", "planning": "Planning the material", "safety": "Safety", "groove": "The groove",
    "cutting": "Marking and cutting", "bevelling": "Beveling", "cleaning": "Cleaning", "fit-up": "Fit-up and tacks",
    "machine": "Setting the machine", "rods": "Rods", "heat": "Heat", "heat-flow": "How the heat moves",
    "passes": "Welding the passes", "visual": "Visual inspection", "coupons": "Bend specimens", "bending": "Bending",
    "judging": "Judging", "after": "After the test", "flaws": "Flaws",
}
"""Every chapter with questions, in the order of the job. One file each."""

KINDS = ("number", "judge", "choice", "order", "hazard", "flaw", "looks")
COMMON_PRACTICE, CALCULATOR_SOURCE, SHOP_SOURCE = "common practice", "calculator", "shop"
OWN = "own"
"""What ids of a shop begin with."""
LEVELS = tuple(level.value for level in Level)
CHANGES = ("half", "double", "zero")
LONGEST_RANGE, MOST_OPTIONS = 100, 20
HOLE = re.compile(r"\{(fact:)?([^{}]+)\}")
_QUANTITY = re.compile(r"-?[0-9.][0-9./ -]* ?[^0-9 ].*")
WRITTEN_KINDS = (
    LENGTH, DISTANCE, TEMPERATURE, ANGLE, PRESSURE, MASS, CURRENT, VOLTAGE, TIME, TRAVEL_SPEED, AREA, STRESS, FORCE,
    FLOW, GAS_VOLUME, AIR_FLOW, PERCENTAGE, HEAT_INPUT, SOUND_LEVEL,
)
"""The kinds that a quantity written in a text may have; the first that shows its unit is taken."""


@dataclass(frozen=True)
class Problem:
    """Something wrong in a question file, with its place."""

    file: str
    line: int
    field: str
    message: str

    def __str__(self) -> str:
        where = f"{self.file}, line {self.line}"
        return f"{where}, field “{self.field}”: {self.message}" if self.field else f"{where}: {self.message}"


class QuestionError(ValueError):
    """A question file that cannot be used. Holds every problem found, each with file, line and field."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__("\n".join(str(each) for each in problems))
        self.problems = tuple(problems)


# --- what a form holds -------------------------------------------------------------


@dataclass(frozen=True)
class Drawn:
    """The numbers of a form: for each input a constant or a list to choose from, and cases chosen whole."""

    calculator: str
    lists: Mapping[str, tuple[str, ...]]
    constants: Mapping[str, str]
    cases: tuple[Mapping[str, str], ...]
    picks: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Numbers of no input of their own: texts of inputs and cases hold them, as in `1 | {size} | face | no`."""

    @property
    def said(self) -> frozenset[str]:
        """The names of words that stand only in the text."""
        return frozenset(name for case in self.cases for name in case if name.startswith("say_"))


@dataclass(frozen=True)
class Slip:
    """A common slip of a form: an input changed, another figure given, or the answer times a factor."""

    says: str
    change: Mapping[str, str] = field(default_factory=dict)
    value: str = ""
    times: str = ""


@dataclass(frozen=True)
class Number:
    """A figure that a calculator works out."""

    drawn: Drawn
    ask: str
    within: str
    slips: tuple[Slip, ...] = ()
    given: tuple[str, ...] = ()
    """Figures of the calculator that the text tells: the worked steps start from them."""


@dataclass(frozen=True)
class Verdict:
    """One verdict of a judgement: what it says, and what in the calculator's answer makes it the right one.

    `when` names checks by their ids (`opening-*` any of a list): all of them come out at `level`. In their place,
    `figure` names a figure told in words, and `reads` a part of what it says.
    """

    says: str
    when: tuple[str, ...] = ()
    level: Level = Level.STOP
    figure: str = ""
    reads: str = ""
    right: bool = False

    @property
    def drawn(self) -> bool:
        """Whether the calculator's answer decides that it is right."""
        return bool(self.when or self.figure)


@dataclass(frozen=True)
class Case:
    """A case that the author judges: the words that stand in the text, the verdict (counted from 0), and why."""

    said: Mapping[str, str]
    right: int
    why: str


@dataclass(frozen=True)
class Judge:
    """Pass or fail, and by which rule. `drawn` is None where the author says which verdict is right, for the whole form
    or for each of its `cases`.
    """

    verdicts: tuple[Verdict, ...]
    drawn: Drawn | None = None
    cases: tuple[Case, ...] = ()


@dataclass(frozen=True)
class Option:
    """One answer to choose, and why it is right or wrong."""

    text: str
    why: str
    right: bool


@dataclass(frozen=True)
class Choice:
    """One right answer among several. Also the body of a name-the-flaw form.

    A form may hold more options than a question shows: each question takes one right one and three wrong ones.
    """

    options: tuple[Option, ...]


@dataclass(frozen=True)
class Order:
    """Steps in their right order; the steps of one group of `any_order` (counted from 1) may stand in any order."""

    steps: tuple[str, ...]
    any_order: tuple[tuple[int, ...], ...] = ()

    def group(self, step: int) -> int:
        """The first step of the group that a step (counted from 1) belongs to."""
        return next((min(group) for group in self.any_order if step in group), step)


@dataclass(frozen=True)
class Thing:
    """Something seen in a scene."""

    text: str
    hazard: bool
    why: str


@dataclass(frozen=True)
class Hazard:
    """A scene with hazards to find."""

    scene: str
    things: tuple[Thing, ...]


@dataclass(frozen=True)
class Named:
    """A drawing, its name, and what it is known by."""

    picture: str
    text: str
    why: str


@dataclass(frozen=True)
class Looks:
    """Drawings that are easily taken for each other: each question shows some of them side by side and asks the name of
    each.
    """

    looks: tuple[Named, ...]


Body = Number | Judge | Choice | Order | Hazard | Looks


@dataclass(frozen=True)
class Form:
    """A question form. `place` knows the lines of its fields."""

    id: str
    kind: str
    chapter: str
    objective: str
    sources: tuple[str, ...]
    text: str
    why: str
    picture: str
    oral: bool
    body: Body
    place: _Place = field(repr=False)
    shop: str = ""
    """Whose question it is; empty for one of the guide."""

    @property
    def drawn(self) -> Drawn | None:
        """What is drawn for a number or a judgement; None for the other kinds."""
        return self.body.drawn if isinstance(self.body, (Number, Judge)) else None


# --- where things stand in a file ----------------------------------------------------


_HEADER = re.compile(r"^\s*(\[\[|\[)\s*([\w.-]+)\s*(\]\]|\])")
_KEY = re.compile(r"^\s*([A-Za-z0-9_-]+)\s*=")


@lru_cache(maxsize=64)
def line_map(text: str) -> dict[tuple[str | int, ...], int]:
    """The line of every table and key, by its path.

    >>> line_map('chapter = "x"\\n[[question]]\\nid = "a"')[("question", 0, "id")]
    3
    """
    lines: dict[tuple[str | int, ...], int] = {}
    counts: dict[tuple[str | int, ...], int] = {}
    path: tuple[str | int, ...] = ()
    inside = ""
    # TOML has no other line ends; what else looks like one may stand in a text.
    for number, line in enumerate(text.split("\n"), 1):
        if inside:
            inside = "" if inside in line else inside
            continue
        if header := _HEADER.match(line):
            path = _enter(header[2].split("."), header[1] == "[[", counts)
            lines.setdefault(path, number)
        elif key := _KEY.match(line):
            lines.setdefault((*path, key[1]), number)
        for quotes in ('"""', "'''"):
            if line.count(quotes) == 1:
                inside = quotes
    return lines


def _enter(names: list[str], many: bool, counts: dict[tuple[str | int, ...], int]) -> tuple[str | int, ...]:
    """The path of a table header; the last table of a list is the one that is meant."""
    path: tuple[str | int, ...] = ()
    for position, name in enumerate(names):
        path = (*path, name)
        last = position == len(names) - 1
        if last and many:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


@dataclass(frozen=True)
class _Place:
    """A table of a file: finds the lines of its fields, once one is asked for."""

    file: str
    text: str
    path: tuple[str | int, ...]

    def problem(self, name: str, message: str) -> Problem:
        lines, path = line_map(self.text), (*self.path, name)
        while path and path not in lines:
            # What is wrong with a list of tables is told at its first one.
            path = (*path, 0) if (*path, 0) in lines else path[:-1]
        return Problem(self.file, lines.get(path, 1), name, message)

    def inner(self, *parts: str | int) -> _Place:
        return _Place(self.file, self.text, (*self.path, *parts))


class _Table:
    """One table of a file, read field by field; problems are noted, not raised."""

    def __init__(self, data: Mapping[str, Any], place: _Place, problems: list[Problem]) -> None:
        self.data, self.place, self.problems = data, place, problems
        self.used: set[str] = set()

    def wrong(self, name: str, message: str) -> None:
        self.problems.append(self.place.problem(name, message))

    def text(self, name: str, *, needed: bool = True) -> str:
        self.used.add(name)
        value = self.data.get(name)
        if value is None and not needed:
            return ""
        if value is None:
            self.wrong(name, "is missing")
        elif not isinstance(value, str) or not value.strip():
            self.wrong(name, "write words in quotes")
        else:
            return " ".join(value.split())
        return ""

    def flag(self, name: str, *, needed: bool = False) -> bool:
        self.used.add(name)
        value = self.data.get(name, None if needed else False)
        if not isinstance(value, bool):
            self.wrong(name, "write true or false" if name in self.data else "is missing; write true or false")
        return value is True

    def texts(self, name: str, *, needed: bool = True) -> tuple[str, ...]:
        """A text or a list of texts."""
        self.used.add(name)
        value = self.data.get(name)
        if value is None:
            if needed:
                self.wrong(name, "is missing")
            return ()
        values = [value] if isinstance(value, str) else value
        if not isinstance(values, list) or not values or not all(
            isinstance(each, str) and each.strip() for each in values
        ):
            self.wrong(name, "write words in quotes, or a list of them")
            return ()
        return tuple(" ".join(each.split()) for each in values)

    def tables(self, name: str) -> list[_Table]:
        self.used.add(name)
        value = self.data.get(name, [])
        if not isinstance(value, list) or not all(isinstance(each, dict) for each in value):
            self.wrong(name, f"write each as a table of its own, [[question.{name}]]")
            return []
        return [_Table(each, self.place.inner(name, number), self.problems) for number, each in enumerate(value)]

    def table(self, name: str) -> _Table:
        self.used.add(name)
        value = self.data.get(name, {})
        if not isinstance(value, dict):
            self.wrong(name, f"write a table, [question.{name}]")
            value = {}
        return _Table(value, self.place.inner(name), self.problems)

    def no_more(self) -> None:
        for name in self.data:
            if name not in self.used:
                self.wrong(name, f"is not a field here; there are {', '.join(sorted(self.used))}")


# --- reading a file --------------------------------------------------------------------


def read_shop(text: str, file: str) -> tuple[tuple[Form, ...], dict[str, str]]:
    """The forms of a file of a shop, and the objectives that the shop writes itself. Raises `QuestionError`."""
    own: dict[str, str] = {}
    return read(text, file, own), own


def read(text: str, file: str = "questions.toml", own: dict[str, str] | None = None) -> tuple[Form, ...]:
    """The forms of one file; `own` takes the objectives of a file of a shop. Raises `QuestionError` with every problem of
    the form, each with its line.

    >>> read('chapter = "groove"\\n[[question]]\\nid = "groove-a"\\nkind = "riddle"', "groove.toml")
    Traceback (most recent call last):
    ...
    calc.practice.forms.QuestionError: groove.toml, line 4, field “kind”: “riddle” is not a kind; there are number, judge, choice, order, hazard, flaw, looks
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as trouble:
        found = re.search(r"line (\d+)", str(trouble))
        line = int(found[1]) if found else text.count("\n") + 1
        raise QuestionError([Problem(file, line, "", f"this is not TOML: {trouble}")]) from None
    except RecursionError:
        line = _first_most(text, lambda each: each.count("[") + each.count("{"))
        raise QuestionError([Problem(file, line, "", "lists are nested too deep to be read")]) from None
    except ValueError:
        # The only other trouble of the reader: a whole number with more digits than Python converts.
        line = _first_most(text, lambda each: max(map(len, re.findall(r"[0-9_]*", each))))
        raise QuestionError([Problem(file, line, "", "this number is too long to be read")]) from None
    problems: list[Problem] = []
    top = _Table(data, _Place(file, text, ()), problems)
    chapter = top.text("chapter")
    shop = top.text("shop") if own is not None else ""
    if own is not None:
        own |= _objectives(top)
    if chapter and chapter not in CHAPTERS:
        top.wrong("chapter", f"“{chapter}” is not a chapter; there are {', '.join(CHAPTERS)}")
    pools = {each.text("name"): _pooled(each) for each in top.tables("pool")}
    forms = [_form(_from_pool(each, pools), chapter, shop, own is not None) for each in top.tables("question")]
    top.no_more()
    seen: set[str] = set()
    for form in forms:
        if form and form.id in seen:
            problems.append(form.place.problem("id", f"“{form.id}” is used twice"))
        if form:
            seen.add(form.id)
    if problems:
        raise QuestionError(sorted(problems, key=lambda each: each.line))
    return tuple(form for form in forms if form)


def _objectives(top: _Table) -> dict[str, str]:
    """What the readers of a shop can do, by id."""
    found: dict[str, str] = {}
    for each in top.tables("objective"):
        identifier, words = each.text("id"), each.text("text")
        each.no_more()
        if identifier and not re.fullmatch(rf"{OWN}(-[a-z0-9]+)+", identifier):
            each.wrong("id", f"write “{OWN}-”, then lower-case words, digits and hyphens")
        elif identifier in found:
            each.wrong("id", f"“{identifier}” is used twice")
        found[identifier] = words
    return found


Pool = dict[str, dict[str, str]]


def _pooled(table: _Table) -> Pool:
    """Options that several questions draw from, by their text."""
    found: Pool = {}
    for each in table.tables("option"):
        text = each.text("text")
        found[text] = {"text": text, "why": each.text("why")}
        each.no_more()
    table.no_more()
    return found


def _from_pool(table: _Table, pools: Mapping[str, Pool]) -> _Table:
    """A question that takes its options from a pool, with those options in place: `pool` names it, `right` the right
    option, `not` those that could be right too.
    """
    if "pool" not in table.data:
        return table
    name, right, left_out = table.text("pool"), table.text("right"), table.texts("not", needed=False)
    pool = pools.get(name, {})
    if not pool:
        table.wrong("pool", f"no options are named “{name}”; there are {', '.join(pools)}")
    for field_name, text in (("right", right), *(("not", each) for each in left_out)):
        if pool and text not in pool:
            table.wrong(field_name, f"“{text}” is not an option of “{name}”")
    data = {key: value for key, value in table.data.items() if key not in ("pool", "right", "not")}
    data["option"] = [
        {**option, "right": True} if text == right else option for text, option in pool.items() if text not in left_out
    ]
    return _Table(data, table.place, table.problems)


def _first_most(text: str, count: Callable[[str], int]) -> int:
    """The first line, counted from 1, that has most of something."""
    counts = [count(line) for line in text.split("\n")]
    return counts.index(max(counts)) + 1


def _form(table: _Table, chapter: str, shop: str = "", own: bool = False) -> Form | None:
    before = len(table.problems)
    kind = table.text("kind")
    if kind and kind not in KINDS:
        table.wrong("kind", f"“{kind}” is not a kind; there are {', '.join(KINDS)}")
    if kind not in KINDS:
        return None
    identifier = table.text("id")
    first = OWN if own else chapter
    if identifier and not re.fullmatch(rf"{re.escape(first)}(-[a-z0-9]+)+", identifier):
        table.wrong("id", f"write “{first}-”, then lower-case words, digits and hyphens")
    body = _BODIES[kind](table)
    form = Form(
        identifier, kind, chapter, table.text("objective"),
        table.texts("source", needed=not own) or ((SHOP_SOURCE,) if own else ()), table.text("text"),
        table.text("why", needed=kind == "order" or (isinstance(body, Judge) and not (body.drawn or body.cases))),
        table.text("picture", needed=kind == "flaw"), table.flag("oral"), body, table.place, shop,
    )
    table.no_more()
    return form if len(table.problems) == before else None


def _drawn(table: _Table) -> Drawn:
    lists, constants = _drawn_table(table.table("draw"))
    picks, words = _drawn_table(table.table("pick"))
    for name in words:
        table.wrong("pick", f"“{name}” is one text; write a list or a range")
    cases = []
    for case in table.tables("case"):
        cases.append({name: case.text(name) for name in case.data})
    if len({frozenset(case) for case in cases}) > 1:
        table.wrong("case", "give every case the same fields")
    for name in {name for case in cases for name in case} & {*lists, *constants}:
        table.wrong("case", f"“{name}” stands in the cases and in draw; leave it in one")
    return Drawn(table.text("calculator"), lists, constants, tuple(cases), picks)


def _drawn_table(draw: _Table) -> tuple[dict[str, tuple[str, ...]], dict[str, str]]:
    """What a table draws from, and what it holds fast."""
    lists: dict[str, tuple[str, ...]] = {}
    constants: dict[str, str] = {}
    for name, value in draw.data.items():
        if isinstance(value, str):
            constants[name] = value
        elif isinstance(value, list) and value and all(isinstance(each, str) for each in value):
            lists[name] = tuple(value)
        elif isinstance(value, dict):
            try:
                lists[name] = _range(value)
            except ValueError as trouble:
                draw.wrong(name, str(trouble))
        else:
            draw.wrong(name, "write a text, a list of texts, or { from = …, to = …, step = … }")
    return lists, constants


def filled(text: str, picked: Mapping[str, str]) -> str:
    """A text with what was picked in its braces.

    >>> filled("1 | {size} | face | no", {"size": "1/8 in"})
    '1 | 1/8 in | face | no'
    """
    for name, value in picked.items():
        text = text.replace(f"{{{name}}}", value)
    return text


def told(value: str) -> str:
    """What was picked as the text shows it: a quantity in braces, anything else as it is.

    >>> told("1/8 in"), told("10:20")
    ('{1/8 in}', '10:20')
    """
    return f"{{{value}}}" if re.fullmatch(r"[0-9./-]+ [^0-9].*", value) else value


def _range(value: Mapping[str, Any]) -> tuple[str, ...]:
    if set(value) != {"from", "to", "step"} or not all(isinstance(each, str) for each in value.values()):
        raise ValueError("a range has from, to and step, each in quotes")
    return stepped(value["from"], value["to"], value["step"])


_NUMBER_AND_UNIT = re.compile(r"^\s*(-?[0-9./ -]*[0-9.])\s*(.*?)\s*$")


def stepped(first: str, last: str, step: str) -> tuple[str, ...]:
    """The texts of a stepped range, ends included, in the unit they are written in. Raises `ValueError`.

    >>> stepped("3/16 in", "3/8 in", "1/16 in"), stepped("20 deg", "25 deg", "2.5 deg")
    (('3/16 in', '1/4 in', '5/16 in', '3/8 in'), ('20 deg', '22.5 deg', '25 deg'))
    """
    parts = []
    for text in (first, last, step):
        match = _NUMBER_AND_UNIT.match(text)
        if not match:
            raise ValueError(f"“{text}” is not a number with a unit")
        try:
            parts.append((_plain_number(match[1]), match[2]))
        except (UnitError, ZeroDivisionError):
            raise ValueError(f"“{text}” is not a number with a unit") from None
    (low, unit), (high, high_unit), (by, by_unit) = parts
    if not unit == high_unit == by_unit:
        raise ValueError("write from, to and step in one unit")
    if by <= 0 or not 0 < (steps := (high - low) / by) <= LONGEST_RANGE or steps.denominator != 1:
        raise ValueError(f"whole steps must lead from {first} to {last}, at most {LONGEST_RANGE}")
    inches = unit == INCH.symbol or unit in INCH.also
    return tuple(f"{_written(low + by * turn, inches)} {unit}".strip() for turn in range(steps.numerator + 1))


def _plain_number(text: str) -> Fraction:
    from calc.core.units import NUMBER

    return split(text, NUMBER)[0]


def _written(number: Fraction, inches: bool) -> str:
    if number.denominator == 1:
        return str(number.numerator)
    if inches and number.denominator <= 64:
        whole, rest = divmod(number, 1)
        return f"{whole}-{rest}" if whole else str(rest)
    return f"{float(number):.6f}".rstrip("0")


def _number(table: _Table) -> Number:
    return Number(
        _drawn(table), table.text("ask"), table.text("within"), tuple(_slip(each) for each in table.tables("slip")),
        table.texts("given", needed=False),
    )


_TIMES = re.compile(r"-?[0-9]{1,9}(\.[0-9]{1,9})?(/[1-9][0-9]{0,8})?")


def _slip(table: _Table) -> Slip:
    change = table.table("change")
    changed = {name: change.text(name) for name in change.data}
    slip = Slip(table.text("says"), changed, table.text("value", needed=False), table.text("times", needed=False))
    table.no_more()
    if sum(bool(part) for part in (slip.change, slip.value, slip.times)) != 1:
        table.wrong("says", "a slip has exactly one of change, value and times")
    if slip.times and not _TIMES.fullmatch(slip.times):
        table.wrong("times", "write a number or a fraction, as in 0.5 or 1/3")
    return slip


def _judge(table: _Table) -> Judge:
    drawn = _drawn(table) if "calculator" in table.data else None
    cases = () if drawn else tuple(_case(each) for each in table.tables("case"))
    verdicts = []
    for each in table.tables("verdict"):
        level = each.text("level", needed=False) or Level.STOP.value
        if level not in LEVELS:
            each.wrong("level", f"write one of {', '.join(LEVELS)}")
            level = Level.STOP.value
        verdict = Verdict(
            each.text("says"), each.texts("when", needed=False), Level(level), each.text("figure", needed=False),
            each.text("reads", needed=False), each.flag("right"),
        )
        verdicts.append(verdict)
        if bool(verdict.figure) != bool(verdict.reads) or (verdict.figure and verdict.when):
            each.wrong("figure", "goes with reads, the words of that figure, and without when")
        if drawn and verdict.right:
            each.wrong("right", "the calculator says which verdict is right; write when in its place")
        if not drawn and verdict.drawn:
            each.wrong("when", "needs a calculator; write right = true at the right verdict")
        each.no_more()
    if len(verdicts) < 2:
        table.wrong("verdict", "give two verdicts or more")
    if drawn and sum(not each.drawn for each in verdicts) > 1:
        table.wrong("verdict", "only one verdict may stand without when")
    if not drawn and sum(each.right for each in verdicts) != (0 if cases else 1):
        table.wrong("verdict", "exactly one verdict has right = true" if not cases else "the cases say which is right")
    if cases and {each.right for each in cases} != set(range(len(verdicts))):
        table.wrong("case", f"give every verdict a case, by its number from 1 to {len(verdicts)}")
    if len({frozenset(each.said) for each in cases}) > 1:
        table.wrong("case", "give every case the same fields")
    _distinct(table, "verdict", [each.says for each in verdicts])
    return Judge(tuple(verdicts), drawn, cases)


def _case(table: _Table) -> Case:
    table.used |= {"right", "why"}
    right = table.data.get("right")
    if not isinstance(right, int) or isinstance(right, bool):
        table.wrong("right", "write the number of the right verdict, 1 for the first")
        right = 0
    said = {name: table.text(name) for name in table.data if name.startswith("say_")}
    case = Case(said, right - 1, table.text("why"))
    table.no_more()
    return case


def _choice(table: _Table) -> Choice:
    options = []
    for each in table.tables("option"):
        options.append(Option(each.text("text"), each.text("why"), each.flag("right")))
        each.no_more()
    if not 3 <= len(options) <= MOST_OPTIONS:
        table.wrong("option", f"give 3 to {MOST_OPTIONS} options")
    if not 0 < sum(each.right for each in options) <= len(options) - 2:
        table.wrong("option", "give one right option or more, with right = true, and two wrong ones or more")
    _distinct(table, "option", [each.text for each in options])
    return Choice(tuple(options))


def _order(table: _Table) -> Order:
    steps = table.texts("steps")
    if steps and not 3 <= len(steps) <= 8:
        table.wrong("steps", "give 3 to 8 steps")
    _distinct(table, "steps", steps)
    table.used.add("any_order")
    groups = table.data.get("any_order", [])
    fits = isinstance(groups, list) and all(
        isinstance(group, list) and len(group) > 1
        and all(isinstance(step, int) and 1 <= step <= len(steps) for step in group)
        and sorted(group) == list(range(min(group), min(group) + len(group))) for group in groups
    )
    order = Order(steps, tuple(tuple(group) for group in groups) if fits else ())
    # Lists that share a step are one: if all steps came together so, no order would be wrong.
    if not fits or (groups and len({order.group(step) for step in range(1, len(steps) + 1)}) == 1):
        table.wrong("any_order", "write lists of neighboring step numbers, as in [[2, 3]]; not all steps in one list")
    return order


def _hazard(table: _Table) -> Hazard:
    things = []
    for each in table.tables("thing"):
        things.append(Thing(each.text("text"), each.flag("hazard", needed=True), each.text("why")))
        each.no_more()
    hazards = sum(each.hazard for each in things)
    if not 4 <= len(things) <= MOST_OPTIONS:
        table.wrong("thing", f"give 4 to {MOST_OPTIONS} things")
    if hazards < 2 or hazards == len(things):
        table.wrong("thing", "give two hazards or more, and one thing or more that is fine")
    _distinct(table, "thing", [each.text for each in things])
    return Hazard(table.text("scene"), tuple(things))


def _looks(table: _Table) -> Looks:
    looks = []
    for each in table.tables("look"):
        looks.append(Named(each.text("picture"), each.text("text"), each.text("why")))
        each.no_more()
    if not 3 <= len(looks) <= MOST_OPTIONS:
        table.wrong("look", f"give 3 to {MOST_OPTIONS} looks")
    _distinct(table, "look", [each.text for each in looks])
    _distinct(table, "look", [each.picture for each in looks])
    return Looks(tuple(looks))


_BODIES = {
    "number": _number, "judge": _judge, "choice": _choice, "order": _order, "hazard": _hazard, "flaw": _choice,
    "looks": _looks,
}


def _distinct(table: _Table, name: str, texts: Iterable[str]) -> None:
    seen: set[str] = set()
    for text in texts:
        plain = text.strip(" .").lower()
        if plain and plain in seen:
            table.wrong(name, f"“{text}” is there twice")
        seen.add(plain)


# --- holding a form against the rest of the guide ------------------------------------------


def check(form: Form) -> list[Problem]:
    """What a form names that does not exist, or a number that its calculator would refuse.

    Nothing where all is well.
    """
    return list(_check(form))


def _check(form: Form) -> Iterator[Problem]:
    facts = {each.id for each in FACTS}
    for source in form.sources:
        if source == CALCULATOR_SOURCE and not form.drawn:
            yield form.place.problem("source", "this form names no calculator")
        elif source == SHOP_SOURCE and form.shop:
            continue
        elif source not in facts and source not in (COMMON_PRACTICE, CALCULATOR_SOURCE):
            yield form.place.problem(
                "source", f"there is no fact “{source}”; write a fact id, “{COMMON_PRACTICE}” or “{CALCULATOR_SOURCE}”",
            )
    named = [each.picture for each in form.body.looks] if isinstance(form.body, Looks) else []
    for place, name in (("picture", form.picture), *(("look", each) for each in named)):
        if name and name not in DRAWN:
            yield form.place.problem(place, f"there is no picture “{name}”; there are {', '.join(DRAWN)}")
    if shows(form.picture) and not (form.drawn and shows(form.picture) & _told(form.drawn)):
        names = ", ".join(sorted(shows(form.picture)))
        yield form.place.problem("picture", f"this drawing shows one of {names}; draw it")
    known = set(form.drawn.lists) | set(form.drawn.constants) | form.drawn.said if form.drawn else set()
    known |= {name for case in form.drawn.cases for name in case} | set(form.drawn.picks) if form.drawn else set()
    known |= {name for case in form.body.cases for name in case.said} if isinstance(form.body, Judge) else set()
    for name, text in _all_texts(form):
        for is_fact, hole in HOLE.findall(text):
            if is_fact and hole not in facts:
                yield form.place.problem(name, f"there is no fact “{hole}” in the register")
            elif not is_fact and _QUANTITY.fullmatch(hole):
                try:
                    written_amount(hole)
                except UnitError as trouble:
                    yield form.place.problem(name, str(trouble))
            elif not is_fact and (hole not in known or name not in ("text", "case")):
                yield form.place.problem(name, f"nothing is drawn for {{{hole}}}")
    if form.drawn:
        yield from _check_drawn(form, form.drawn)


def _told(drawn: Drawn) -> set[str]:
    """The inputs that a form gives its calculator."""
    return {*drawn.lists, *drawn.constants, *(name for case in drawn.cases for name in case)}


def written_amount(text: str) -> Amount:
    """A quantity written in braces, to be shown in either system. Raises `UnitError`.

    >>> written_amount("3/16 in").text("us"), written_amount("20 ft").text("si")
    ('3/16 in', '6.096\xa0m')
    """
    for kind in WRITTEN_KINDS:
        try:
            _, unit = split(text, kind)
        except UnitError:
            continue
        if unit in (kind.us, kind.si):
            return Amount(parse(text, kind), kind, as_written=True)
    raise UnitError(f"“{text}” is not a number with a unit that the guide shows")


def _all_texts(form: Form) -> Iterator[tuple[str, str]]:
    yield "text", form.text
    yield "why", form.why
    for case in form.drawn.cases if form.drawn else ():
        yield from (("case", text) for name, text in case.items() if name.startswith("say_"))
    match form.body:
        case Choice(options=options):
            yield from (("option", text) for each in options for text in (each.text, each.why))
        case Judge(verdicts=verdicts, cases=cases):
            yield from (("verdict", each.says) for each in verdicts)
            yield from (("case", text) for each in cases for text in (*each.said.values(), each.why))
        case Order(steps=steps):
            yield from (("steps", step) for step in steps)
        case Looks(looks=looks):
            yield from (("look", text) for each in looks for text in (each.text, each.why))
        case Hazard(scene=scene, things=things):
            yield "scene", scene
            yield from (("thing", text) for each in things for text in (each.text, each.why))


def _check_drawn(form: Form, drawn: Drawn) -> Iterator[Problem]:
    try:
        calc = calculator(drawn.calculator)
    except KeyError:
        names = ", ".join(each.id for each in CALCULATORS)
        yield form.place.problem("calculator", f"there is no calculator “{drawn.calculator}”; there are {names}")
        return
    found = list(_check_inputs(form, drawn, calc))
    yield from found
    if not found and isinstance(form.body, Number):
        yield from _check_asked(form, form.body, calc)


def _check_inputs(form: Form, drawn: Drawn, calc: Calculator) -> Iterator[Problem]:
    draw = form.place.inner("draw")
    holes = {hole for is_fact, hole in HOLE.findall(form.text) if not is_fact}
    for name in drawn.lists:
        if name not in holes | shows(form.picture):
            yield draw.problem(name, f"is drawn, so the text must hold it: {{{name}}}")
    texts = [(draw, name, text) for name, each in drawn.lists.items() for text in each]
    texts += [(draw, name, text) for name, text in drawn.constants.items()]
    for number, case in enumerate(drawn.cases):
        texts += [
            (form.place.inner("case", number), name, text) for name, text in case.items() if not name.startswith("say_")
        ]
    picked = {name: each[0] for name, each in drawn.picks.items()}
    for place, name, text in texts:
        text = filled(text, picked)
        try:
            calc.input(name).read(text, "us")
        except InputError as trouble:
            yield place.problem(name, trouble.message)
        else:
            if isinstance(calc.input(name), Quantity) and not _has_unit(calc.input(name), text):
                yield place.problem(name, f"“{text}” has no unit")


def _has_unit(each: Quantity, text: str) -> bool:
    # A field that may be blank takes a blank text; that says no number, so it needs no unit.
    return not each.kind.us.symbol or not text.strip() or split(text, each.kind)[1] is not None


def _check_asked(form: Form, body: Number, calc: Calculator) -> Iterator[Problem]:
    picked = {name: each[0] for name, each in body.drawn.picks.items()}
    first = {name: texts[0] for name, texts in body.drawn.lists.items()} | dict(body.drawn.constants)
    for case in body.drawn.cases or ({},):
        texts = first | {name: text for name, text in case.items() if not name.startswith("say_")}
        try:
            result = calc.answer({name: filled(text, picked) for name, text in texts.items()})
        except InputError as trouble:
            yield form.place.problem("draw", f"the calculator refuses these numbers: {trouble}")
            return
    names = [value.name for value in result.values]
    asked = [("ask", body.ask), *(("given", name) for name in body.given)]
    for place, name in [*asked, *(("slip", slip.value) for slip in body.slips if slip.value)]:
        if name not in names:
            yield form.place.problem(place, f"calculator “{calc.id}” has no value “{name}”; it has {', '.join(names)}")
            return
    kind = result[body.ask].kind
    for slip in body.slips:
        if slip.value and result[slip.value].amount is None:
            yield form.place.problem("slip", f"“{slip.value}” is answered in words; a slip needs a figure")
    share = re.fullmatch(r"([0-9]+\.?[0-9]*|\.[0-9]+) ?%", body.within)
    if kind is None and not re.match(r"[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9]{1,2}:[0-9]{2}", result[body.ask].wording):
        yield form.place.problem("ask", f"“{body.ask}” is answered in words; ask it as judge or choice")
    elif share and kind is not None and kind.us.offset:
        yield form.place.problem("within", "a share of a temperature means nothing; write degrees, as in 5 °F")
    elif not share and kind is not None:
        try:
            parse(body.within, kind)
        except UnitError as trouble:
            yield form.place.problem("within", str(trouble))
    for slip in body.slips:
        for name in slip.change:
            if name not in {each.name for each in calc.inputs}:
                yield form.place.problem("slip", f"calculator “{calc.id}” has no input “{name}”")


# --- the forms of the guide -----------------------------------------------------------------


def file_text(chapter: str) -> str:
    """The text of a chapter's question file; empty where there is none."""
    return packed_text(f"{chapter}.toml")


def packed_text(name: str) -> str:
    """A file among the questions, from a folder or from inside an archive. Empty where there is none."""
    path = PurePath(__file__).parent.parent / "questions" / name
    try:
        # The loader reads from wherever this module itself was loaded, which in the browser is a zip archive.
        return __loader__.get_data(str(path)).decode("utf-8")  # type: ignore[name-defined]
    except OSError:
        return ""


@cache
def _of_guide(chapter: str) -> tuple[Form, ...]:
    text = file_text(chapter)
    return read(text, f"{chapter}.toml") if text else ()


def guide_forms() -> tuple[Form, ...]:
    """The forms of the guide alone. Raises `QuestionError`."""
    return tuple(form for chapter in CHAPTERS for form in _of_guide(chapter))


_shop: list[Form] = []
_shop_objectives: dict[str, str] = {}


def take(forms: Iterable[Form], objectives: Mapping[str, str]) -> None:
    """Practice the forms of a shop along with the guide's, in place of any taken before; see `calc.practice.own`."""
    _shop[:] = forms
    _shop_objectives.clear()
    _shop_objectives.update(objectives)
    _by_id.cache_clear()


def shop_objectives() -> Mapping[str, str]:
    """What the readers of the shop can do, by id; nothing where no questions of a shop were taken."""
    return _shop_objectives


def forms_of(chapter: str) -> tuple[Form, ...]:
    """The forms of one chapter, those of a shop last. Raises `QuestionError`."""
    return (*_of_guide(chapter), *(form for form in _shop if form.chapter == chapter))


def all_forms(chapters: Iterable[str] = ()) -> tuple[Form, ...]:
    """The forms of these chapters (of all, where none is named), in the order of the job. Raises `QuestionError`."""
    wanted = set(chapters)
    return tuple(form for chapter in CHAPTERS if not wanted or chapter in wanted for form in forms_of(chapter))


@cache
def _by_id() -> dict[str, Form]:
    return {form.id: form for form in all_forms()}


def form_named(identifier: str) -> Form:
    """The form of that id. Raises `KeyError`.

    >>> form_named("groove-face-width").kind
    'number'
    """
    try:
        return _by_id()[identifier]
    except KeyError:
        raise KeyError(f"there is no question “{identifier[:80]}”") from None


def problems(chapters: Iterable[str] = ()) -> list[Problem]:
    """Every problem of the question files: what the build and the command line report."""
    found: list[Problem] = []
    for chapter in chapters or CHAPTERS:
        try:
            forms = forms_of(chapter)
        except QuestionError as trouble:
            found += trouble.problems
            continue
        if any(form.chapter != chapter for form in forms):
            found.append(Problem(f"{chapter}.toml", 1, "chapter", f"this file is for the chapter “{chapter}”"))
        found += [problem for form in forms for problem in check(form)]
    return found
