"""The approved file of one calculator: what is published of it, and answers that differ in what they say.

    Anchors, Inputs, Figures, Checks   names are an interface: links, saved forms, records and questions hold them
    Refused                            sets of inputs that the calculator itself turns down
    Turns                              where a check turns: inputs on both sides
    answers                            the first in full; of a later one what differs from the first, and all its checks

The inputs of the answers stand in the file itself; `guide.py approve NAME` chooses them (tools/check/approve.py).
"""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterator

from calc.core.declare import (
    Amount, Calculator, Check, Choice, Clock, Day, InputError, Phrase, Quantity, Result, Rows, Whole, Words,
    phrase_text,
)
from calc.show.drawing import Drawing, described
from calc.show.plot import svg
from calc.core.units import SYSTEMS
from tests import anchors
from tests.approval import HEAD, Item, Teller, drawn, kind_of, read, sections, wrapped

Texts = dict[str, str]
ANSWER = "Answer: "
MOST_ANSWERS = 12
_PAIR = re.compile(r'(\w+) = ("(?:[^"\\]|\\.)*")')


def file_of(name: str) -> str:
    """The approved file of a calculator."""
    return f"{name}.txt"


def written(texts: Texts) -> str:
    """Inputs as they stand in a file.

    >>> written({"gap": "1/4 in", "rule": "a"}), given('gap = "1/4 in", rule = "a"')
    ('gap = "1/4 in", rule = "a"', {'gap': '1/4 in', 'rule': 'a'})
    """
    told = (f"{name} = {json.dumps(text, ensure_ascii=False)}" for name, text in texts.items())
    return ", ".join(told) or "as it opens"


def given(text: str) -> Texts:
    """The inputs that a line of a file names."""
    return {name: json.loads(quoted) for name, quoted in _PAIR.findall(text)}


# --- what is published ------------------------------------------------------------


def taken(owner: str, inputs: tuple) -> Iterator[str]:
    """A line an input: its name, its kind, and what it takes. Whoever changes one on purpose changes old links too."""
    for each in inputs:
        words = [f"{owner}{each.name}"]
        match each:
            case Quantity():
                edge = "above" if each.above_low else "from"
                blank = " or blank" if each.optional else ""
                words += [each.kind.name, f"default {each.default!r}{blank}", f"{edge} {each.low} to {each.high}"]
                if each.slide:
                    words += [f"slides {' / '.join(each.slide.us)}"]
                    words += [f"or {' / '.join(each.slide.si)}"] if each.slide.si else []
            case Whole():
                words += ["count", f"default {each.default!r}", f"from {each.low} to {each.high}"]
            case Choice():
                options = ("=".join((option.value, *option.sizes)) for option in each.options)
                words += ["choice", f"default {each.default!r}", f"of {' / '.join(options)}"]
            case Day():
                words += ["day", f"default {each.default!r}", f"from {each.low} to {each.high}"]
            case Clock():
                words += ["clock", f"default {each.default!r}"]
            case Words():
                words += ["words", f"default {each.default!r}", f"up to {each.longest}"]
            case Rows():
                words += ["rows", f"default {each.default!r}", f"from {each.fewest} to {each.most}"]
        yield ", ".join(words)
        if isinstance(each, Rows):
            yield from taken(f"{owner}{each.name}.", each.columns)


def labelled(owner: str, inputs: tuple) -> Iterator[str]:
    """What the form says of each input."""
    for each in inputs:
        offered = [option.label for option in getattr(each, "options", ())] + list(getattr(each, "common", ()))
        symbol = f", {each.symbol}" if each.symbol else ""
        choice = f" {' / '.join(offered)}" if offered else ""
        yield f"{owner}{each.name}: {each.label}{symbol}, {each.range_text()}. {each.help}{choice}"
        if isinstance(each, Rows):
            yield from labelled(f"{owner}{each.name}.", each.columns)


def figures(calc: Calculator) -> list[str]:
    """A line for each figure that the calculator answers by its defaults or by one of its choices."""
    choices = [{each.name: option.value} for each in calc.inputs if isinstance(each, Choice) for option in each.options]
    seen: dict[str, None] = {}
    for texts in [{}, *choices]:
        try:
            answer = calc.answer(texts)
        except InputError:
            continue
        for value in answer.values:
            shown = "words" if value.kind is None else f"{value.kind.name}, {value.digits} digits"
            fraction = ", as a fraction" if value.as_fraction else ""
            seen[f"{value.name}: {'first, ' if value.main else ''}{shown}{fraction}"] = None
        seen[f"draws {', '.join(drawing.name for drawing in answer.drawings) or 'nothing'}"] = None
    return list(seen)


PUBLISHED: dict[str, Callable[[Calculator], list[str]]] = {
    "Anchors": lambda calc: anchors.of_calculator(calc.id),
    "Inputs": lambda calc: list(taken("", calc.inputs)),
    "Figures": figures,
}
"""What is published of a calculator: parts of its file."""


def published(calc: Calculator) -> dict[str, list[str]]:
    """The lines of each published part."""
    return {part: lines(calc) for part, lines in PUBLISHED.items()}


def names_of(part: str, lines: list[str]) -> list[str]:
    """The names that a part publishes, which may never go."""
    if part == "Anchors":
        return lines
    return list(dict.fromkeys(re.split("[,:]", line)[0] for line in lines if not line.startswith("draws ")))


def gone(name: str, now: dict[str, list[str]]) -> list[str]:
    """The published names of a calculator that it has no more."""
    kept = sections(read(file_of(name)))
    return [f"{name}, {part}: {each}" for part in PUBLISHED
            for each in names_of(part, kept.get(part, [])) if each not in names_of(part, now[part])]


# --- answers ------------------------------------------------------------------------


def in_both(each: Amount) -> str:
    """An amount in both systems, or once where they say the same."""
    return " | ".join(dict.fromkeys(each.text(system) for system in SYSTEMS))


def item(key: str, phrase: Phrase, *more: str) -> Item:
    """A sentence with its amounts taken out, those that stand in its words too."""
    sentence, amounts = "", []
    for part in phrase:
        plain = Item.of(key, part) if isinstance(part, str) else Item(key, "{}", (in_both(part),))
        sentence, amounts = sentence + plain.sentence, [*amounts, *plain.amounts]
    return Item(key, sentence, tuple(amounts), more)


def id_of(check: Check) -> str:
    """The name of a judgement: the id of its check, and the level."""
    return f"{check.id} {check.level.value}"


def items_of(result: Result, brief: bool = False) -> tuple[list[Item], list[Item]]:
    """All that an answer says: what is told of a later answer only where it differs, and its judgements.

    `brief` leaves out the numbers of worked steps, and drawings.
    """
    steps = {(step.symbol, step.label): step for step in result.steps}
    told: list[Item] = []
    source = ""

    def cited(citation: object) -> list[str]:
        nonlocal source
        before, source = source, citation.text
        return [f"from {source}"] if source != before else []

    def worked(step: object) -> list[str]:
        numbers = () if brief else dict.fromkeys(step.numbers(system) for system in SYSTEMS)
        return [step.letters(), *numbers, *([step.note] if step.note else [])]

    for value in result.values:
        first = ", first" if value.main else ""
        symbol = f", {value.symbol}" if value.symbol else ""
        step = steps.pop((value.symbol, value.label), None)
        more = tuple((worked(step) if step else []) + cited(value.source))
        told.append(Item(value.name, f"{value.label}{first}{symbol} = {{}}", (in_both(value),), more))
    for step in steps.values():
        told.append(Item(f"step {step.symbol}", step.label, (), tuple(worked(step) + cited(step.source))))
    for number, text in enumerate(result.cautions, 1):
        told.append(Item("take care", text))
    for drawing in () if brief else result.drawings:
        plotted = not isinstance(drawing, Drawing)
        words, looks, places = drawn(svg(drawing, result.calculator.id), plotted)
        if plotted:
            axes = ("x", drawing.x), ("y", drawing.y)
            places = ", ".join(f"{name} {each.low:.4g} to {each.high:.4g}" for name, each in axes)
            film = drawing.film.frames if drawing.film else ()
            words += [phrase_text(frame.says, "us") for frame in film[:: max(1, len(film) // 4)]]
        more = described(drawing.description), *words
        told.append(Item(f"draws {drawing.name}", f"{drawing.title}; {{}}{{}}", (looks, places), more))
    checks = [item(id_of(each), each.phrase, f"from {each.source.text}") for each in result.checks]
    return told, [item("says", result.headline), *checks]


def _later(now: list[Item], first: list[Item], said: dict[tuple, Item],
           sources: dict[str, set[str]]) -> Iterator[str]:
    """What differs from the first answer: in full where words are new, else the amounts alone."""
    amounts = []
    for each in now:
        before = said.get(told_by(each))
        if each in first:
            continue
        if not before:
            new = tuple(line for line in each.more if line not in sources[each.key])
            yield from full(Item(each.key, each.sentence, each.amounts, new))
            sources[each.key] |= {line for line in each.more if line.startswith("from ")}
        elif each.key.startswith("draws "):
            looks, places = each.amounts
            new = [looks] if looks != before.amounts[0] else []
            words = " / ".join(text for text in each.more[1:] if text not in before.more)
            yield from wrapped(f"{each.key}: {'; '.join([*new, places, *([words] if words else [])])}")
        else:
            told = f" {each.amounts[0].partition(' | ')[0]}" if each.amounts else ", as above"
            amounts.append(f"{each.key}{told}")
    if amounts:
        yield from wrapped(f"figures: {'; '.join(amounts)}")
    keys = {each.key for each in now}
    if without := [each.key for each in first if each.key not in keys]:
        yield from wrapped(f"without {', '.join(without)}")


def told_by(each: Item) -> tuple[str, ...]:
    """What must be told before an item can be told in short: its key, its words, its formula in letters."""
    formula = each.more[0] if each.more and " = " in each.more[0] and not each.key.startswith("draws ") else ""
    return each.key, each.sentence, formula


def full(each: Item) -> list[str]:
    """An item in full; the words of a drawing in one paragraph."""
    if each.key.startswith("draws "):
        words = wrapped(f"    {' / '.join(each.more[1:])}") if each.more[1:] else []
        looks, places = each.amounts
        title = each.sentence.partition(";")[0]
        below = each.more[0], *wrapped(f"{looks}; {places}")
        return [f"{each.key}: {title}", *(f"    {line}" for line in below), *words]
    return [f"{each.key}: {each.text()}", *(f"    {line}" for line in each.more)]


def answers(calc: Calculator, cases: list[Texts]) -> list[str]:
    """The lines of these answers, the first of which is given for the defaults."""
    lines: list[str] = []
    first: list[Item] = []
    said: dict[tuple, Item] = {}
    sources: dict[str, set[str]] = defaultdict(set)
    teller = Teller()
    for texts in cases:
        lines += ["", f"{HEAD}{ANSWER}{written(texts)}"]
        try:
            told, judged = items_of(calc.answer(texts))
        except InputError as trouble:
            lines.append(f"refused: {trouble.field}: {trouble}")
            continue
        judgements = teller.tell(judged)
        if not first:
            first = told
            lines += judgements
            lines += [line for each in told for line in full(each)]
        else:
            lines += [*judgements, *_later(told, first, said, sources)]
        for each in told:
            said.setdefault(told_by(each), each)
            sources[each.key] |= {line for line in each.more if line.startswith("from ")} if each in first else set()
    return lines


def refusal(calc: Calculator, texts: Texts) -> str:
    """What is said of inputs that cannot be; empty where they can."""
    try:
        calc.answer(texts)
    except InputError as trouble:
        return f"{trouble.field}: {trouble}"
    return ""


def levels(calc: Calculator, texts: Texts) -> tuple[str, ...]:
    """The judgements by name and level alone."""
    try:
        return tuple(map(id_of, calc.answer(texts).checks))
    except InputError as trouble:
        return (f"refused for {trouble.field}",)


def differing(here: tuple[str, ...], there: tuple[str, ...]) -> tuple[list[str], list[str]]:
    """The judgements that only one side has; beside a refusal, that alone.

    >>> differing(("gap ok", "cap ok"), ("gap stop", "cap ok")), differing(("gap ok",), ("refused for gap",))
    ((['gap ok'], ['gap stop']), ([], ['refused for gap']))
    """
    sides = [each for each in here if each not in there], [each for each in there if each not in here]
    refused = tuple([each for each in side if each.startswith("refused ")] for side in sides)
    return refused if any(refused) else sides


def turned(calc: Calculator, turns: list[tuple[Texts, Texts]]) -> list[str]:
    """Where checks turn: both sides of the place, and the judgements that only one of them has."""
    lines = []
    for one, other in turns:
        left, right = differing(levels(calc, one), levels(calc, other))
        lines.append(f"{written(one)} / {written(other)}: {', '.join(left) or '-'} / {', '.join(right) or '-'}")
    return lines


# --- the file -------------------------------------------------------------------------


def kept_cases(name: str) -> tuple[list[Texts], list[Texts], list[tuple[Texts, Texts]]]:
    """The inputs that a file holds: of its answers, of what is refused, and of its turns."""
    kept = sections(read(file_of(name)))
    cases = [given(head.removeprefix(ANSWER)) for head in kept if head.startswith(ANSWER)]
    refused = [given(line.partition(" -> ")[0]) for line in kept.get("Refused", [])]
    turns = [tuple(map(given, line.split(" / ")[:2])) for line in kept.get("Turns", [])]
    return cases[:MOST_ANSWERS] or [{}], refused, turns


def checks_of(calc: Calculator, cases: list[Texts]) -> list[str]:
    """Each check of these answers with its levels."""
    found: dict[str, dict[str, None]] = {}
    for texts in cases:
        if not refusal(calc, texts):
            for check in calc.answer(texts).checks:
                found.setdefault(kind_of(check.id), {})[check.level.value] = None
    return [f"{name}: {', '.join(levels)}" for name, levels in found.items()]


def file_lines(
    calc: Calculator, cases: list[Texts], refused: list[Texts], turns: list[tuple[Texts, Texts]],
) -> list[str]:
    """The file of a calculator."""
    parts = published(calc)
    parts["Inputs in words"] = list(labelled("", calc.inputs))
    parts["Checks"] = checks_of(calc, cases)
    parts["Refused"] = [f"{written(texts)} -> {refusal(calc, texts) or 'taken'}" for texts in refused]
    parts["Turns"] = turned(calc, turns)
    lines = [f"{calc.title}. {calc.question}", f"Page {calc.page}. Written by: guide.py approve {calc.id}"]
    for part, told in parts.items():
        if told:
            lines += ["", f"{HEAD}{part}", *told]
    return lines + answers(calc, cases)
