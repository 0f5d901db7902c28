"""Writes the approved answers under tests/calc/approved/ anew, and proposes the inputs that they are given for.

Read the difference that version control shows, and look at the drawings it touches, before you keep it.
"""

from __future__ import annotations

import argparse
import itertools
import json
import random
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from fractions import Fraction

from tools.common import ROOT, Trouble, child_environment, main_guard, say

CASES = ROOT / "tests" / "calc" / "approved" / "cases.txt"
MORE = CASES.with_name("more.txt")
MOST_CASES, MOST_PICTURED = 40, 7
MOST_DRAWN, MOST_EDGES, SECONDS_MORE = 16, 36, 15
# Of those whose answer takes long: so many drawn, so many edges.
FEWER = {"class-plan": (8, 6), "sheet-plan": (12, 8), "plate-heat": (16, 14), "cut-list": (14, 10)}
SECONDS = 60  # of searching for one calculator
Texts = dict[str, str]


# --- proposing inputs ---------------------------------------------------------------


def signature(result: object) -> tuple:
    """What kind of answer it is: its checks, steps, figures and words, without the amounts that a formula gives."""
    bare = lambda phrase: "".join(part if isinstance(part, str) else "#" for part in phrase)  # noqa: E731
    stepped = {step.symbol for step in result.steps}
    return (
        re.sub(r"[0-9]+", "#", bare(result.headline)), tuple((check.level.value, bare(check.phrase)) for check in result.checks),
        tuple(step.letters() for step in result.steps), tuple(drawing.name for drawing in result.drawings),
        tuple((value.name, re.sub(r"[0-9]+", "#", value.wording) if value.kind is None else value.symbol not in stepped and value.text("us"))
              for value in result.values),
        result.cautions,
    )


def look(result: object) -> tuple:
    """What kind of pictures it has: elements, looks and words without numbers."""
    from calc.show.plot import svg
    return tuple(re.sub(r"[0-9.,/⁄ -]+", "#", re.sub(r'(points|d)="[^"]*"', "", svg(drawing))) for drawing in result.drawings)


def values_of(each: object, chance: random.Random) -> list[str]:
    """Texts for one input: its ends, places between, usual values, and some that it refuses."""
    from calc.core.declare import Choice, Clock, Day, Quantity, Rows, Whole, Words
    from calc.core.units import parse, show_as_written
    plain = lambda amount, system: show_as_written(amount, each.kind, system).replace("\u00a0", " ")  # noqa: E731
    match each:
        case Quantity():
            low, high = (parse(limit, each.kind) for limit in (each.low, each.high))
            inside = [low + (high - low) * Fraction(part, 100) for part in (1, 3, 8, 15, 25, 40, 55, 70, 85)]
            default = [parse(each.default, each.kind) * Fraction(part, 10) for part in (5, 8, 11, 13, 20)] if each.default else []
            amounts = [low, high, *inside, *(amount for amount in default if low <= amount <= high)]
            return [plain(amount, chance.choice(("us", "si"))) for amount in amounts] + list(each.common) + ([""] if each.optional else [])
        case Whole():
            wide = each.high - each.low
            return [str(number) for number in sorted({each.low, each.high, *(each.low + wide * part // 12 for part in range(13)), each.low + 1, each.low + 2})]
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
            more = [[chance.choice(values_of(column, chance)) or column.default for column in each.columns] for _ in range(8)]
            lists = [rows[:1], rows * 2, rows + more[:1], more[:3], more[3:5], more[5:6], more]
            return ["; ".join(" | ".join(row) for row in some) for some in lists]


def candidates(calc: object, chance: random.Random) -> Iterator[Texts]:
    """Inputs worth a look: one changed, two choices changed, all drawn."""
    from calc.core.declare import Choice
    texts = {each.name: values_of(each, chance) for each in calc.inputs}
    for each in calc.inputs:
        yield from ({each.name: text} for text in texts[each.name])
    choices = [each.name for each in calc.inputs if isinstance(each, Choice)]
    for one, other in itertools.combinations(choices, 2):
        if len(texts[one]) * len(texts[other]) <= 80:
            yield from ({one: a, other: b} for a in texts[one] for b in texts[other])
    for _ in range(400):
        yield {each.name: chance.choice(texts[each.name]) for each in calc.inputs if chance.random() < 0.5}


def edges(calc: object, base: Texts) -> Iterator[Texts]:
    """For each quantity: inputs at, just under and just over the places where the checks or the words change."""
    from calc.core.declare import InputError, Quantity
    from calc.core.units import parse, show_as_written

    def kind_at(each: Quantity, amount: Fraction) -> object:
        text = f"{float(each.kind.us.from_base(amount)):.9f} {each.kind.us.symbol}".strip()
        try:
            found = signature(calc.answer({**base, each.name: text}))
            return found[:2], text
        except InputError as trouble:
            return (trouble.field, re.sub(r"[0-9.,/]+", "#", trouble.message)), text
        except (ArithmeticError, ValueError) as trouble:
            say(f"{calc.id} breaks with {each.name}={text}: {trouble}")
            return "breaks", text

    for each in calc.inputs:
        if not isinstance(each, Quantity):
            continue
        low, high = (parse(limit, each.kind) for limit in (each.low, each.high))
        stops = [low + (high - low) * Fraction(part * part, 400) for part in range(21)]
        kinds = [kind_at(each, stop)[0] for stop in stops]
        for (a, before), (b, after) in itertools.pairwise(zip(stops, kinds, strict=True)):
            if before == after:
                continue
            for _ in range(32):
                middle = (a + b) / 2
                a, b = (middle, b) if kind_at(each, middle)[0] == before else (a, middle)
            near = [(1, 64), (1, 1000)] if each.kind.us.symbol == "in" else [(1, 1000)]
            for system in ("us", "si"):
                unit = each.kind.unit(system)
                for over, under in near:
                    step = Fraction(over, under)
                    nice = round(unit.from_base((a + b) / 2) / step) * step
                    exact = unit.to_base(nice)
                    if abs(exact - a) <= (high - low) / 10**7:
                        yield {**base, each.name: show_as_written(exact, each.kind, system).replace("\u00a0", " ")}
                        break
            if "breaks" in (before, after):
                continue
            little = (high - low) / 10**5
            for amount in (a - little, b + little):
                if low <= amount <= high:
                    yield {**base, each.name: kind_at(each, amount)[1]}


def proposed(calc: object) -> list[tuple[Texts, bool]]:
    """Inputs for the approved answers of a calculator, and whether the drawings of the answer are kept too."""
    from calc.core.declare import InputError
    chance = random.Random(calc.id)
    chosen: list[tuple[Texts, bool]] = []
    signatures, looks, parts = set(), set(), set()
    until = time.process_time() + SECONDS
    pictured = 0

    def consider(texts: Texts, always: bool = False) -> None:
        nonlocal pictured
        try:
            result = calc.answer(texts)
            found = signature(result)
            # A new check, step or figure counts, not each new combination of them.
            new = {part for whole in found for part in (whole if isinstance(whole, tuple) else (whole,))} - parts
        except InputError as trouble:
            result, found = None, (trouble.field, re.sub(r"[0-9.,/]+", "#", trouble.message))
            new = {found} - parts
        if not always and (not new or found in signatures):
            return
        signatures.add(found)
        parts.update(new)
        drawn = False
        if result is not None and result.drawings and pictured < MOST_PICTURED:
            kind = look(result)
            drawn = kind not in looks
            looks.add(kind)
            pictured += drawn
        if texts not in [each for each, _ in chosen]:
            chosen.append((texts, drawn))

    consider({}, True)
    for texts in edges(calc, {}):
        if len(chosen) < MOST_CASES / 2 and time.process_time() < until:
            consider(texts, True)
    for texts in candidates(calc, chance):
        if len(chosen) >= MOST_CASES or time.process_time() > until:
            break
        consider(texts)
    for _ in range(3):
        everything = {each.name: chance.choice(values_of(each, chance)) for each in calc.inputs}
        consider(everything, True)
    return chosen


def more(calc: object) -> list[tuple[Texts, bool]]:
    """Further inputs that are told in short: all drawn at once, and the edges of checks for some of them."""
    from calc.core.declare import InputError
    chance = random.Random(f"more {calc.id}")
    until = time.process_time() + SECONDS_MORE
    most_drawn, most_edges = FEWER.get(calc.id, (MOST_DRAWN, MOST_EDGES))
    drawn: list[Texts] = []
    for _ in range(20 * most_drawn):
        share = chance.choice((0.3, 0.6, 1.0))
        texts = {each.name: chance.choice(values_of(each, chance)) for each in calc.inputs if chance.random() < share}
        try:
            calc.answer(texts)
        except InputError:
            continue
        if texts not in drawn:
            drawn.append(texts)
        if len(drawn) >= most_drawn or time.process_time() > until:
            break
    near: list[Texts] = []
    for base in ({}, *drawn):
        found = []
        for texts in edges(calc, base):
            found.append(texts)
            if time.process_time() > until:
                break
        near += chance.sample(found, min(len(found), 18 if not base else 9))
        if len(near) >= most_edges or time.process_time() > until:
            break
    return [(texts, True) for texts in drawn] + [(texts, False) for texts in near[:most_edges]]


def write_cases(names: list[str]) -> None:
    """Propose the inputs of these calculators (of all, where none is named) and put them into the file."""
    sys.path.insert(0, str(ROOT))
    from calc.catalogue import CALCULATORS
    known = {each.id for each in CALCULATORS}
    if wrong := [name for name in names if name not in known]:
        raise Trouble(f"there is no calculator {', '.join(wrong)}")
    for file, propose in ((CASES, proposed), (MORE, more)):
        kept = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
        lines = []
        for calc in CALCULATORS:
            if names and calc.id not in names:
                lines += [line for line in kept if line.split()[0].removeprefix("*") == calc.id]
                continue
            found = propose(calc)
            say(f"{calc.id}: {len(found)} cases for {file.name}, {sum(drawn for _, drawn in found)} with drawings")
            lines += [f"{'*' if drawn else ''}{calc.id} {json.dumps(texts, ensure_ascii=False)}" for texts, drawn in found]
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8", newline="\n")


# --- the command ----------------------------------------------------------------------


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="guide.py approve", description="Write the approved answers anew.")
    parser.add_argument("--cases", action="store_true", help="propose the inputs of the calculators named (of all) anew")
    parser.add_argument("names", nargs="*", help="with --cases: ids of calculators; else parts to write: answers, pictures, ...")
    given = parser.parse_args(arguments)
    if given.cases:
        write_cases(given.names)
        return 0
    files = [ROOT / "tests" / "calc" / f"test_approved_{name}.py" for name in given.names] or sorted(
        (ROOT / "tests" / "calc").glob("test_approved_*.py"))
    if missing := [file.name for file in files if not file.exists()]:
        raise Trouble(f"there is no {', '.join(missing)}")
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *map(str, files)]
    code = subprocess.run(command, cwd=ROOT, env=child_environment(GUIDE_APPROVE="1"), check=False).returncode
    if not code:
        say("Written. Read the difference, and look at every drawing it touches, before you keep it.")
    return code


if __name__ == "__main__":
    main_guard(main)
