"""A question: a form with its numbers drawn from a seed, its right answer, and the marking of a reader's answer.

Drawing is cheap; the calculator runs only when the answer is wanted.
"""

from __future__ import annotations

import datetime
import fnmatch
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from types import MappingProxyType

from calc.catalogue import calculator, fact
from calc.core.declare import (
    Amount, Choice as ChoiceInput, InputError, Phrase, Quantity, Result, Step, Value, phrase_text,
)
from calc.core.units import SYSTEMS, TIME, System, UnitError, parse, split
from calc.practice import forms
from calc.practice.chance import Chance
from calc.practice.forms import HOLE, Case, Choice, Form, Hazard, Judge, Looks, Order, Thing, Verdict
from calc.practice.solution import steps_to

EXACT = 1e-9
"""Two worked-out figures closer than this share are the same figure."""
SHOWN, LEAST_THINGS, LEAST_STEPS, LEAST_LOOKS, MORE = 4, 4, 4, 2, 2
"""Of a form that holds more: the options shown, the least things, steps and looks, and how many counts from these."""
MOST_TRIES, MOST_FAULTS = 40, 5
NOTHING: Mapping[str, str] = MappingProxyType({})
SHARE = re.compile(r"([0-9.]+) ?%")
_TIME = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})|([0-9]{1,2}):([0-9]{2})")


@dataclass(frozen=True)
class Question:
    """A form with its numbers drawn. The same form, seed and figures of the reader's own test give the same question
    everywhere."""

    form: Form
    seed: str
    inputs: Mapping[str, str]
    text: Phrase
    shown: tuple[int, ...]
    """For each line shown (option, step, thing or verdict), which one of the form it is, counted from 0."""
    own: tuple[str, ...] = ()
    """The inputs that were taken from the reader's own test."""
    case: Case | None = None
    """The case of a judgement that the author judges case by case."""
    pictured: tuple[int, ...] = ()
    """The looks that stand side by side, counted from 0, where each is to be named."""

    @cached_property
    def result(self) -> Result | None:
        """The calculator's answer, where the form has a calculator."""
        return answered(self.form.drawn.calculator, tuple(sorted(self.inputs.items()))) if self.form.drawn else None

    @property
    def asked(self) -> Value:
        """The figure that is asked for."""
        return self.result[self.form.body.ask]

    @property
    def lines(self) -> tuple[Phrase, ...]:
        """The options, steps, things or verdicts as shown."""
        return tuple(phrase(line_texts(self.form)[index]) for index in self.shown)

    @property
    def right(self) -> tuple[int, ...]:
        """What is right, as positions among the lines shown, counted from 0: the option, the verdict, the hazards, the
        steps in order, or the name of each drawing. Empty for a number."""
        match self.form.body:
            case Choice(options=options):
                return tuple(place for place, index in enumerate(self.shown) if options[index].right)
            case Hazard(things=things):
                return tuple(place for place, index in enumerate(self.shown) if things[index].hazard)
            case Order():
                return tuple(sorted(range(len(self.shown)), key=lambda place: self.shown[place]))
            case Judge():
                return tuple(self.shown.index(index) for index in right_verdicts(self))
            case Looks():
                return tuple(self.shown.index(index) for index in self.pictured)
        return ()

    @property
    def drawings(self) -> tuple[str, ...]:
        """The names of what is drawn with it."""
        body = self.form.body
        if isinstance(body, Looks):
            return tuple(body.looks[index].picture for index in self.pictured)
        return (self.form.picture,) if self.form.picture else ()


@lru_cache(maxsize=512)
def answered(identifier: str, inputs: tuple[tuple[str, str], ...]) -> Result:
    """The answer of a calculator; kept, since many seeds draw the same numbers. Raises `InputError`."""
    return calculator(identifier).answer(dict(inputs))


def draw(form: Form, seed: str | int, mine: Mapping[str, str] = NOTHING) -> Question:
    """The question that a seed draws from a form.

    `mine` is what the form's calculator takes from the reader's own test. Every second seed asks about that: what is
    drawn comes from the test where it says so. Not where the form's fixed numbers are of another test, nor where no
    sound question comes out.

    >>> from calc.practice.forms import form_named
    >>> form = form_named("groove-included-angle")
    >>> phrase_text(draw(form, 7).text, "us")
    'Your protractor reads 22.5° from square on each plate. What is the groove angle once the two plates face each other?'
    >>> sorted({draw(form, seed, {"bevel_angle": "31 deg"}).own for seed in range(9)})
    [(), ('bevel_angle',)]
    """
    if mine and form.drawn and form.drawn.lists and Chance(f"{seed}/{form.id}/own").below(2):
        own = _own(form, str(seed), mine)
        if own:
            return own
    chance, body = Chance(f"{seed}/{form.id}"), form.body
    if isinstance(body, Judge) and body.cases:
        wanted = chance.below(len(body.verdicts))
        case = chance.choose([each for each in body.cases if each.right == wanted])
        text = phrase(form.text, said=case.said)
        return Question(form, str(seed), {}, text, tuple(range(len(body.verdicts))), case=case)
    if not isinstance(body, Judge) or body.drawn is None:
        return _drawn(form, str(seed), chance)
    # Every verdict is right as often as any other: whoever guesses gains nothing.
    wanted = chance.below(len(body.verdicts))
    tries = (_drawn(form, str(seed), chance) for _ in range(MOST_TRIES))
    return next((each for each in tries if each.right == (wanted,)), None) or _drawn(form, str(seed), chance)


def _drawn(form: Form, seed: str, chance: Chance) -> Question:
    inputs, said = _numbers(form, chance)
    text = phrase(form.text, form.drawn.calculator if form.drawn else "", inputs, said)
    if isinstance(form.body, Looks):
        places = range(len(form.body.looks))
        pictured = tuple(chance.shuffled(places)[: LEAST_LOOKS + chance.below(MORE)])
        return Question(form, seed, inputs, text, tuple(places), pictured=pictured)
    return Question(form, seed, inputs, text, _shown(form, chance))


def _numbers(form: Form, chance: Chance) -> tuple[dict[str, str], Mapping[str, str]]:
    """The inputs that are drawn, and what the text says of them in words."""
    drawn = form.drawn
    if drawn is None:
        return {}, NOTHING
    picked = {name: chance.choose(texts) for name, texts in drawn.picks.items()}
    case = chance.choose(drawn.cases) if drawn.cases else {}
    texts = {name: text for name, text in case.items() if not name.startswith("say_")} | drawn.constants
    inputs = {name: forms.filled(text, picked) for name, text in texts.items()}
    inputs |= {name: chance.choose(texts) for name, texts in drawn.lists.items()}
    shown = {name: forms.told(text) for name, text in picked.items()}
    return inputs, shown | {name: forms.filled(case[name], shown) for name in case if name.startswith("say_")}


def _own(form: Form, seed: str, mine: Mapping[str, str]) -> Question | None:
    """The same with the figures of the reader's own test; None where that is no question."""
    chance = Chance(f"{seed}/{form.id}")
    identifier, lists = form.drawn.calculator, form.drawn.lists
    inputs, said = _numbers(form, chance)
    own = tuple(name for name in lists if name in mine)
    fixed = {name: text for name, text in inputs.items() if name not in lists and name in mine}
    asked = {**inputs, **{name: mine[name] for name in own}}
    if not own or not _agrees(identifier, fixed, mine) or not _sound(form, asked):
        return None
    return Question(form, seed, asked, phrase(form.text, identifier, asked, said), _shown(form, chance), own)


def _agrees(identifier: str, fixed: Mapping[str, str], mine: Mapping[str, str]) -> bool:
    """Whether the fixed numbers of a form are those of the test, where it says them."""
    each_input = calculator(identifier).input
    try:
        return all(each_input(name).read(text, "us") == each_input(name).read(mine[name], "us")
            for name, text in fixed.items())
    except InputError:
        return False


def _sound(form: Form, inputs: Mapping[str, str]) -> bool:
    """Whether these numbers make a question: the calculator takes them, and there is one right answer."""
    question = Question(form, "", inputs, (), tuple(range(len(line_texts(form)))))
    try:
        if isinstance(form.body, Judge):
            return len(right_verdicts(question)) == 1
        return question.asked.amount is not None or bool(_TIME.match(question.asked.wording))
    except (InputError, KeyError, ArithmeticError, StopIteration):  # the last: an answer without this figure
        return False


def _shown(form: Form, chance: Chance) -> tuple[int, ...]:
    match form.body:
        case Choice():
            return tuple(chance.shuffled(_options(form.body, chance)))
        case Hazard(things=things):
            return tuple(_things(things, chance))
        case Order(steps=steps):
            return _steps(form.body, chance.shuffled(range(len(steps))), LEAST_STEPS + chance.below(MORE))
        case Judge(drawn=None):
            return tuple(chance.shuffled(range(len(line_texts(form)))))
    return tuple(range(len(line_texts(form))))


def _things(things: Sequence[Thing], chance: Chance) -> list[int]:
    """One to five things that are wrong, or none, among some that are fine: how many is not to be counted on."""
    wrong = chance.shuffled([index for index, each in enumerate(things) if each.hazard])
    fine = chance.shuffled([index for index, each in enumerate(things) if not each.hazard])
    fewest = 0 if len(fine) >= LEAST_THINGS - 1 else 1
    faults = fewest + chance.below(min(MOST_FAULTS, len(wrong)) + 1 - fewest)
    most = min(len(fine), LEAST_THINGS + MORE - faults)
    least = min(max(LEAST_THINGS - faults, 1), most)
    return chance.shuffled([*wrong[:faults], *fine[: least + chance.below(max(most - least, 0) + 1)]])


def _options(body: Choice, chance: Chance) -> list[int]:
    """One right option and three wrong ones. The right one is the longest as often as chance would have it."""
    length = [len(each.text) for each in body.options]
    right = chance.choose([index for index, each in enumerate(body.options) if each.right])
    wrong = chance.shuffled([index for index, each in enumerate(body.options) if not each.right])
    longer = [index for index in wrong if length[index] > length[right]]
    taken = wrong[: SHOWN - 1]
    if len(wrong) >= SHOWN and chance.below(len(taken) + 1) == 0:
        shorter = [index for index in wrong if index not in longer]
        taken = shorter[: SHOWN - 1] if len(shorter) >= SHOWN - 1 else taken
    elif longer and not set(longer) & set(taken):
        taken = [longer[0], *taken[1:]]
    return [right, *taken]


def _steps(body: Order, mixed: list[int], count: int) -> tuple[int, ...]:
    """So many of the steps, or more, not in order: steps already in order would give the answer away."""
    while len(mixed) > count and len({body.group(step + 1) for step in mixed[:count]}) == 1:
        count += 1
    # Not all of the steps may change places, so turning them ends.
    shown = mixed[:count]
    while in_order(body, shown):
        shown = shown[1:] + shown[:1]
    return tuple(shown)


def worked_steps(question: Question) -> tuple[Step, ...]:
    """The worked steps of a figure, from what the question tells."""
    return steps_to(question.result, question.asked, question.form.body.given)


def line_texts(form: Form) -> tuple[str, ...]:
    """The options, verdicts, steps, things or names of a form; nothing for a number."""
    match form.body:
        case Choice(options=options):
            return tuple(each.text for each in options)
        case Judge(verdicts=verdicts):
            return tuple(each.says for each in verdicts)
        case Order(steps=steps):
            return steps
        case Hazard(things=things):
            return tuple(each.text for each in things)
        case Looks(looks=looks):
            return tuple(each.text for each in looks)
    return ()


def phrase(
    text: str, identifier: str = "", inputs: Mapping[str, str] = NOTHING, said: Mapping[str, str] = NOTHING,
) -> Phrase:
    """A text of a form with its numbers and values of the register put in, each to be shown in either system.

    `inputs` are those of the calculator `identifier`; `said` are words that stand in for a name.
    """
    parts: list[str | Amount] = []
    end = 0
    for hole in HOLE.finditer(text):
        parts.append(text[end : hole.start()])
        end = hole.end()
        if hole[1]:
            parts.append(_fact_part(hole[2]))
        elif hole[2] in said:
            parts += phrase(said[hole[2]])
        elif hole[2] in inputs:
            parts.append(_input_part(hole[2], identifier, inputs))
        else:
            parts.append(forms.written_amount(hole[2]))
    return tuple(part for part in (*parts, text[end:]) if part != "")


def _fact_part(identifier: str) -> str | Amount:
    each = fact(identifier)
    return each.wording if each.amount is None else Amount(each.amount, each.kind, as_written=True)


def _input_part(name: str, identifier: str, inputs: Mapping[str, str]) -> str | Amount:
    each = calculator(identifier).input(name)
    value = each.read(inputs[name], "us")
    if isinstance(each, Quantity):
        return Amount(value, each.kind, as_written=True) if value is not None else "nothing"
    return each.label_of(value) if isinstance(each, ChoiceInput) else inputs[name]


# --- what is right -----------------------------------------------------------------------


def right_verdicts(question: Question) -> list[int]:
    """The verdicts that are right; a sound form gives exactly one."""
    body = question.form.body
    assert isinstance(body, Judge)
    if question.case:
        return [question.case.right]
    if body.drawn is None:
        return [index for index, each in enumerate(body.verdicts) if each.right]
    assert question.result is not None
    found = [index for index, each in enumerate(body.verdicts) if each.drawn and _holds(each, question.result)]
    return found or [index for index, each in enumerate(body.verdicts) if not each.drawn]


def _holds(verdict: Verdict, result: Result) -> bool:
    if verdict.figure:
        return any(value.name == verdict.figure and verdict.reads in value.wording for value in result.values)
    found = [each.id for each in result.checks if each.level is verdict.level]
    return all(fnmatch.filter(found, id) for id in verdict.when)


def in_order(body: Order, indices: list[int] | tuple[int, ...]) -> bool:
    """Whether steps (counted from 0) stand in their order, groups that may swap allowed.

    >>> steps = Order(("clamp", "tack", "gauge", "weld"), any_order=((2, 3),))
    >>> in_order(steps, [0, 2, 1, 3]), in_order(steps, [0, 1, 3, 2])
    (True, False)
    """
    groups = [body.group(index + 1) for index in indices]
    return groups == sorted(groups)


def tolerance_of(value: Value, within: str) -> float:
    """A tolerance as written (`1/32 in`, `2 %`, `0`), in base units of a figure with a unit. Raises `UnitError`.

    What the guide shows is rounded, so half a unit of the last digit shown is always allowed.

    >>> width = calculator("groove").answer()["face_width"]
    >>> round(tolerance_of(width, "1/32 in"), 8), round(tolerance_of(width, "2 %") / float(width.amount), 8)
    (0.00079375, 0.02)
    """
    share = SHARE.fullmatch(within)
    if share:
        allowed = float(share[1]) / 100 * abs(float(value.amount))
    else:
        number, unit = split(within, value.kind)
        allowed = float(number * (unit or value.kind.us).factor)
    return max(allowed, *(_rounding(value, system) for system in SYSTEMS)) * (1 + EXACT)


def _rounding(value: Value, system: System) -> float:
    """Half a unit of the last digit that a figure is shown with, in base units."""
    unit = value.kind.unit(system)
    shown = abs(float(unit.from_base(value.amount)))
    if shown == 0:
        return EXACT
    return 0.5 * 10.0 ** (math.floor(math.log10(shown)) - value.digits + 1) * float(unit.factor)


def read_reply(value: Value, text: str, system: System) -> float | str:
    """What the reader answered to a figure: in base units, or as plain text for a date or a time of day.

    Raises `InputError` where it cannot be read.
    """
    if value.amount is None:
        plain = _date_reply(text) if is_date(value) else _time_reply(text)
        if not plain:
            wanted = ("a date as year-month-day, or as month/day/year" if is_date(value)
                      else "a time as hours and minutes, 14:05 or 2:05 pm")
            raise InputError("answer", "Your answer", f"write {wanted}")
        return plain
    try:
        return float(_duration(text) if value.kind.base == TIME.base and _DURATION.fullmatch(text)
                     else parse(text, value.kind, system))
    except UnitError as trouble:
        raise InputError("answer", "Your answer", str(trouble)) from None


_DURATION = re.compile(r"\s*([0-9.]+) ?h(?:ours?)? ?(?:and )?([0-9.]+) ?m(?:in(?:utes?)?)?\s*")
_CLOCK = re.compile(r"([0-9]{1,2}):([0-9]{2}) ?(?:([ap])\.?m\.?)?", re.IGNORECASE)


def _duration(text: str) -> Fraction:
    """`4 h 30 min` in seconds."""
    hours, minutes = _DURATION.fullmatch(text).groups()
    return parse(f"{hours} h", TIME) + parse(f"{minutes} min", TIME)


def _time_reply(text: str) -> str:
    """A time of day in 24 hours, from `14:05` or `2:05 pm`; empty where it is none."""
    found = _CLOCK.fullmatch(" ".join(text.split()))
    if not found:
        return ""
    hours, half = int(found[1]), (found[3] or "").lower()
    if half and not 1 <= hours <= 12:
        return ""
    hours = hours % 12 + 12 * (half == "p") if half else hours
    return f"{hours:02d}:{found[2]}" if hours < 24 and int(found[2]) < 60 else ""


def _date_reply(text: str) -> str:
    """A date as year-month-day, from that or from month/day/year; empty where it is none."""
    found = re.fullmatch(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{4})", "".join(text.split()))
    plain = f"{found[3]}-{int(found[1]):02d}-{int(found[2]):02d}" if found else text.strip()
    try:
        return datetime.date.fromisoformat(plain).isoformat() if re.fullmatch(r"[0-9-]{10}", plain) else ""
    except ValueError:
        return ""


def is_printed(value: Value, amount: float) -> bool:
    """Whether an answer is what the guide prints for a figure: `0.5607 in (about 9/16 in)` prints two.

    >>> width = calculator("groove").answer()["face_width"]
    >>> width.text("us"), is_printed(width, 9 / 16 * 0.0254), is_printed(width, 1 / 2 * 0.0254)
    ('0.5607\\xa0in (about 9/16 in)', True, False)
    """
    printed = (text for system in SYSTEMS for text in _PRINTED.findall(value.text(system)))
    return any(math.isclose(float(parse(text.replace("\u202f", ""), value.kind)), amount, rel_tol=EXACT)
               for text in printed)


_PRINTED = re.compile(r"\(about ([^()]+)\)")


def is_date(value: Value) -> bool:
    """Whether a figure told in words is a date; otherwise it is a time of day."""
    return "-" in plain_time(value.wording)


def plain_time(text: str) -> str:
    """The date or the time at the start of a worded value, in one way of writing.

    >>> plain_time("00:40 the next day"), plain_time("8:05"), plain_time("2026-03-31")
    ('00:40', '08:05', '2026-03-31')
    """
    found = _TIME.match(text)
    if not found:
        return text
    return found[1] or f"{int(found[2]):02d}:{found[3]}"
