"""Writes the approved text under tests/calc/approved/ anew, and chooses the answers that stand in it.

    guide.py approve groove      all of one calculator: what is published of it, answers that cover all it says
    guide.py approve record      one of the other parts: forms, planning, questions, record, shapes
    guide.py approve             everything, with the inputs that the files hold

A calculator's answers are chosen so that together they hold every check at every level, then every sentence, figure and
branch of its code that can be had in twelve answers; those that the file holds go first.
"""

from __future__ import annotations

import datetime
import functools
import itertools
import random
import re
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from types import FrameType

from tools import guide
from tools.common import ROOT, Trouble, child_environment, main_guard, say

MOST_REFUSED, MOST_TURNS = 10, 24
DRAWN = 140  # sets of inputs looked at besides those that change one or two of them
FEWER = {"class-plan": 25, "sheet-plan": 60, "cut-list": 80, "plate-heat": 80}  # where an answer takes long
MUST, SENTENCE, FIGURE, BRANCH = 1000, 8, 4, 1  # what something new is worth
MOST_BASES = 8  # inputs from which turns are looked for
LEAST_WORTH = 2
LEAST_ANSWERS = 4
Texts = dict[str, str]
Turn = tuple[Texts, Texts]
Levels = Callable[[Texts], tuple[str, ...]]


# --- proposing inputs ---------------------------------------------------------------


def values_of(each: object, chance: random.Random) -> list[str]:
    """Texts for one input: its ends, places between, usual values."""
    from calc.core.declare import Choice, Clock, Day, Quantity, Rows, Whole, Words
    from calc.core.units import parse, show_as_written

    def plain(amount: Fraction, system: str) -> str:
        return show_as_written(amount, each.kind, system).replace("\u00a0", " ")

    match each:
        case Quantity():
            low, high = (parse(limit, each.kind) for limit in (each.low, each.high))
            inside = [low + (high - low) * Fraction(part, 100) for part in (1, 3, 8, 15, 25, 40, 55, 70, 85)]
            usual = parse(each.default, each.kind) if each.default else None
            near = [usual * Fraction(part, 10) for part in (5, 8, 11, 13, 20)] if usual is not None else []
            amounts = [low, high, *inside, *(amount for amount in near if low <= amount <= high)]
            shown = [plain(amount, chance.choice(("us", "si"))) for amount in amounts]
            return shown + list(each.common) + ([""] if each.optional else [])
        case Whole():
            wide = each.high - each.low
            inside = {each.low + wide * part // 12 for part in range(13)}
            return [str(number) for number in sorted({each.low, each.high, *inside, each.low + 1, each.low + 2})]
        case Choice():
            return [option.value for option in each.options]
        case Day():
            return ["2024-02-29", "2025-12-31", "2026-01-01", "2026-08-31"]
        case Clock():
            return ["00:00", "06:05", "23:59"]
        case Words():
            return ["", "piece A"]
        case Rows():
            rows = each.cells(each.default)
            more = [
                [chance.choice(values_of(column, chance)) or column.default for column in each.columns]
                for _ in range(8)
            ]
            lists = [rows[:1], rows * 2, rows + more[:1], more[:3], more[3:5], more[5:6], more]
            return ["; ".join(" | ".join(row) for row in some) for some in lists]


def candidates(calc: object) -> Iterator[Texts]:
    """Inputs worth a look: one changed, two choices changed, several drawn. The same each time."""
    from calc.core.declare import Choice
    chance = random.Random(calc.id)
    most = FEWER.get(calc.id, DRAWN)
    texts = {each.name: values_of(each, chance) for each in calc.inputs}
    for each in calc.inputs:
        one = [{each.name: text} for text in texts[each.name]]
        yield from one if most == DRAWN else chance.sample(one, min(3 if most > 50 else 1, len(one)))
    choices = [each.name for each in calc.inputs if isinstance(each, Choice)] if most == DRAWN else []
    for one, other in itertools.combinations(choices, 2):
        if len(texts[one]) * len(texts[other]) <= 80:
            yield from ({one: a, other: b} for a in texts[one] for b in texts[other])
    for _ in range(most):
        share = chance.choice((0.3, 0.5, 1.0))
        yield {each.name: chance.choice(texts[each.name]) for each in calc.inputs if chance.random() < share}


# --- where checks turn ----------------------------------------------------------------


def plain_number(value: float) -> str:
    """A number as a reader writes it: seven places, no exponent.

    >>> plain_number(0.5), plain_number(0.00003), plain_number(-0.0)
    ('0.5', '0.00003', '0')
    """
    return f"{value + 0.0:.7f}".rstrip("0").rstrip(".")


def axis(each: object, parts: int) -> tuple[list, Callable[[object], str]] | None:
    """Places along an input, more of them near its low end, and how one is written; nothing for choices and words."""
    from calc.core.declare import Day, Quantity, Whole
    from calc.core.units import parse
    match each:
        case Quantity():
            low, high = (parse(limit, each.kind) for limit in (each.low, each.high))
            unit = each.kind.us
            return ([low + (high - low) * Fraction(part * part, parts * parts) for part in range(parts + 1)],
                    lambda amount: f"{plain_number(float(unit.from_base(amount)))} {unit.symbol}".strip())
        case Whole():
            return sorted({each.low + (each.high - each.low) * part // parts for part in range(parts + 1)}), str
        case Day():
            low, high = (datetime.date.fromisoformat(day).toordinal() for day in ("2015-01-01", "2035-01-01"))
            return list(range(low, high, 2520 // parts)), lambda day: str(datetime.date.fromordinal(day))
    return None


def turns_along(calc: object, base: Texts, each: object, levels: Levels) -> Iterator[Turn]:
    """Pairs of inputs close to each other between which a check turns: the round figure there, and one just past it."""
    from calc.core.units import show_as_written
    found = axis(each, 4 if calc.id in FEWER else 14)
    if found is None:
        return
    stops, text = found

    def at(place: object) -> str:
        return levels({**base, each.name: text(place)})

    kinds = [at(stop) for stop in stops]
    for (a, before), (b, after) in itertools.pairwise(zip(stops, kinds, strict=True)):
        if before == after:
            continue
        whole = not isinstance(a, Fraction)
        for _ in range(26):
            middle = (a + b) // 2 if whole else (a + b) / 2
            if middle in (a, b):
                break
            a, b = (middle, b) if at(middle) == before else (a, middle)
        sides = [{**base, each.name: text(a)}, {**base, each.name: text(b)}]
        if not whole:
            little = (stops[-1] - stops[0]) / 10**5
            ends = max(a - little, stops[0]), min(b + little, stops[-1])
            sides = [{**base, each.name: text(end)} for end in ends]
            for system, step in itertools.product(("us", "si"), (Fraction(1, 64), Fraction(1, 1000))):
                unit = each.kind.unit(system)
                nice = unit.to_base(round(unit.from_base((a + b) / 2) / step) * step)
                if abs(nice - a) <= (stops[-1] - stops[0]) / 10**6:
                    exact = {**base, each.name: show_as_written(nice, each.kind, system).replace("\u00a0", " ")}
                    other = next((side for side in sides if levels(side) != levels(exact)), None)
                    sides = [exact, other] if other else sides
                    break
        if levels(sides[0]) != levels(sides[1]):
            yield sides[0], sides[1]


def turns(calc: object, bases: Iterable[Texts], levels: Levels) -> list[Turn]:
    """The turns of a calculator from these inputs, each kind of turn along each input once."""
    from tests.approval import kind_of
    from tests.approved_calculator import differing
    found: dict[tuple, Turn] = {}
    for base in bases:
        for each in calc.inputs:
            for one, other in turns_along(calc, base, each, levels):
                kind = frozenset(frozenset(map(kind_of, side)) for side in differing(levels(one), levels(other)))
                found.setdefault((each.name, kind), (one, other))
    # Of each kind of turn one first, whatever the input; the rest as far as there is room.
    kinds: dict[frozenset, Turn] = {}
    for (_, kind), pair in found.items():
        kinds.setdefault(kind, pair)
    rest = [pair for pair in found.values() if pair not in kinds.values()]
    return [*kinds.values(), *rest][:MOST_TURNS]


# --- choosing answers -------------------------------------------------------------------


def branches(work: Callable[[], object]) -> tuple[object, set[tuple]]:
    """What the work returns, and the steps from line to line that it took in calc."""
    below, taken = str(ROOT / "calc"), set()

    def local(frame: FrameType, event: str, _: object) -> object:
        if event == "line":
            taken.add((frame.f_code.co_filename, last.get(frame, 0), frame.f_lineno))
            last[frame] = frame.f_lineno
        return local

    def each_call(frame: FrameType, *_: object) -> object:
        return local if frame.f_code.co_filename.startswith(below) else None

    last: dict[FrameType, int] = {}
    before = sys.gettrace()
    sys.settrace(each_call)
    try:
        return work(), taken
    finally:
        sys.settrace(before)


def features(result: object, taken: set[tuple]) -> dict[object, int]:
    """What an answer shows, and what each of it is worth when no other answer shows it."""
    from tests.approval import kind_of
    from tests.approved_calculator import id_of, items_of, told_by
    told, judged = items_of(result, brief=True)
    found: dict[object, int] = {("branch", *arc): BRANCH for arc in taken}
    found |= {("told", *map(kind_of, told_by(each))): FIGURE for each in told}
    found |= {("words", each.name, kind_of(each.wording)): FIGURE for each in result.values if each.kind is None}
    found |= {("drawing", each.name): FIGURE for each in result.drawings}
    found |= {("said", kind_of(each.key), each.sentence): SENTENCE for each in judged}
    found |= {("check", kind_of(id_of(each))): MUST for each in result.checks}
    return found


def picked(shown: list[tuple[Texts, dict[object, int]]], kept: list[Texts]) -> list[Texts]:
    """At most twelve of these answers: those kept, then the most telling of the others.

    A kept one goes only where a check at a level would find no room. The first of `shown` is always in.
    """
    from tests.approved_calculator import MOST_ANSWERS
    answers = [each for each in shown if each is shown[0] or each[0] in kept][:MOST_ANSWERS]

    def worth(new: dict[object, int], others: list[tuple[Texts, dict[object, int]]]) -> int:
        seen = {each for _, one in others for each in one}
        return sum(value for each, value in new.items() if each not in seen)

    while True:
        left = [each for each in shown if each not in answers]
        best = max(left, key=lambda each: worth(each[1], answers), default=None)
        gain = worth(best[1], answers) if best else 0
        if len(answers) < MOST_ANSWERS and gain and (gain >= LEAST_WORTH or len(answers) < LEAST_ANSWERS):
            answers.append(best)
            continue
        own = [worth(one[1], [each for each in answers if each is not one]) for one in answers]
        least = min(range(1, len(answers)), key=own.__getitem__, default=0)
        if gain < MUST or own[least] >= MUST:
            return [texts for texts, _ in answers]
        del answers[least]


def chosen(calc: object, extra: Iterable[Texts] = ()) -> tuple[list[Texts], list[Texts], list[Turn]]:
    """The inputs for a calculator's file: of its answers, of what it refuses, of its turns."""
    from calc.core.declare import Choice, InputError
    from tests.approval import Item
    from tests.approved_calculator import given, kept_cases, levels, written
    kept, kept_refused, kept_turns = kept_cases(calc.id)
    pool: list[Texts] = []
    sides = [side for pair in kept_turns for side in pair]
    for texts in [{}, *kept, *kept_refused, *extra, *sides, *candidates(calc)]:
        if texts not in pool:
            pool.append(texts)
    shown: list[tuple[Texts, dict[object, int]]] = []
    refused: dict[tuple, Texts] = {}
    for texts in pool:
        try:
            result, taken = branches(lambda texts=texts: calc.answer(texts))
        except InputError as trouble:
            if not calc.read(texts)[1]:  # turned down by the calculator itself, not by one field
                kind = trouble.field, Item.of("", trouble.message).sentence
                refused[kind] = min(refused.get(kind, texts), texts, key=len)
            continue
        shown.append((texts, features(result, taken)))

    @functools.cache
    def levels_of(text: str) -> tuple[str, ...]:
        return levels(calc, given(text))

    def kept_levels(texts: Texts) -> tuple[str, ...]:
        return levels_of(written(texts))

    answers = picked(shown, kept)
    choices = [{each.name: option.value} for each in calc.inputs if isinstance(each, Choice) for option in each.options]
    bases = [{}, *([] if calc.id in FEWER else [*choices, *(texts for texts in answers[1:] if len(texts) < 3)])]
    return answers, list(refused.values())[:MOST_REFUSED], turns(calc, bases[:MOST_BASES], kept_levels)


# --- the command ----------------------------------------------------------------------


def write_calculators(
    names: list[str], anew: bool, withdraw: bool, extra: dict[str, list[Texts]] | None = None,
) -> None:
    """Write the files of these calculators; `anew` looks for better answers too, among `extra` inputs first."""
    from calc.catalogue import CALCULATORS
    from tests import anchors, approval
    from tests.approved_calculator import file_lines, file_of, gone, kept_cases, published
    wanted = [calc for calc in CALCULATORS if calc.id in names]
    lost = [each for calc in wanted for each in gone(calc.id, published(calc))]
    now = {f"{page}#{each}" for page in anchors.PAGES for each in anchors.anchors(page)} | set(anchors.moved())
    lost += [f"anchor {each}" for each in anchors.PUBLISHED.read_text(encoding="utf-8").split() if each not in now]
    if lost and not withdraw:
        told = "published names are gone, which old links and files hold (--withdraw if you mean it):"
        raise Trouble("\n".join([told, *lost]))
    for calc in wanted:
        cases = chosen(calc, (extra or {}).get(calc.id, ())) if anew else kept_cases(calc.id)
        approval.write(file_of(calc.id), approval.joined(file_lines(calc, *cases)))
        if anew:
            say(f"{calc.id}: {len(cases[0])} answers, {len(cases[1])} refused, {len(cases[2])} turns")
    anchors.PUBLISHED.write_text("".join(f"{each}\n" for each in anchors.of_pages()), encoding="utf-8", newline="\n")


def main(arguments: list[str]) -> int:
    given = guide.options("approve", arguments)
    sys.path.insert(0, str(ROOT))
    from calc.catalogue import CALCULATORS
    ids = [calc.id for calc in CALCULATORS]
    paths = sorted((ROOT / "tests" / "calc").glob("test_approved_*.py"))
    parts = {path.stem.removeprefix("test_approved_"): path for path in paths}
    del parts["calculators"]
    if wrong := [name for name in given.names if name not in ids and name not in parts]:
        raise Trouble(f"there is no {', '.join(wrong)}; there are the calculators and {', '.join(parts)}")
    names = [name for name in given.names if name in ids] if given.names else ids
    if names:
        write_calculators(names, bool(given.names) or given.choose, given.withdraw)
    files = [path for name, path in parts.items() if name in given.names or not given.names]
    code = 0
    if files:
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *map(str, files)]
        code = subprocess.run(command, cwd=ROOT, env=child_environment(GUIDE_APPROVE="1"), check=False).returncode
    if not code:
        say("Written. Read the difference that git shows before you keep it.")
    return code


if __name__ == "__main__":
    main_guard(main)
