"""The log of the passes: what was read and burned in each, its travel speed and heat input, and how they stand.

A pass is judged by the calculators of the stages with the facts that the reader's test says: the limits of the WPS come
first. What was not measured is incomplete, and what the test does not say is not known; neither is in order.
"""

from __future__ import annotations

import fnmatch
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from calc.booth import journal
from calc.booth.clocks import Span, lengths
from calc.booth.journal import Day
from calc.core.declare import Calculator, InputError, Level, Phrase, Result, Value, Working
from calc.core.sources import ENTERED, Citation
from calc.core.units import LENGTH, TRAVEL_SPEED, System, parse
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import Answer, Sheet, Waits, other_rods, read_facts, said_of
from calc.record.shape import Record
from calc.stages.current import CURRENT_SETTING
from calc.stages.heat import HEAT_INPUT_CALCULATOR, PREHEAT
from calc.stages.machine import judge_hand_speed
from calc.stages.own import judge_arc
from calc.stages.passes import BURN_TIME

FEWEST_PASSES = 1
ROOT, COVER = "root", "cover"
_OF_TEMPERATURE = ("preheat", "preheat-wps", "cold-metal", "interpass", "rod-for-steel")
_OF_AMPS = ("wps", "window*")
_OF_ARC = ("volts-wps", "speed-wps", "heat-limit", "arc-volts", "hand-speed")


@dataclass(frozen=True)
class Judged:
    """How something stands, in a sentence, with the source. `id` stays when the words change."""

    id: str
    level: Level
    phrase: Phrase
    source: Citation = ENTERED


@dataclass(frozen=True)
class Facts:
    """What the reader's test says, with another rod's limits where a pass has one. Nothing stands in for a blank."""

    test: Record
    texts: Mapping[str, str]
    said: frozenset[str]

    @classmethod
    def of(cls, test: Record) -> Facts:
        """The facts of a test; one that cannot be read counts as not said."""
        texts, unreadable = read_facts(test)
        return cls(test, texts, said_of(test) - {each.field for each in unreadable})

    @property
    def system(self) -> System:
        """The system that bare numbers of the test are read in."""
        return self.test.bare

    def amount(self, name: str) -> Fraction | None:
        """A fact as a number in base units; None where the test does not say it.

        >>> from calc.record.demo import TEST
        >>> Facts.of(TEST).amount("plate_length") == parse("7 in", LENGTH)
        True
        """
        return FIELDS[name].input.read(self.texts[name], self.system) if name in self.said else None

    def ask(self, calc: Calculator, **given: str) -> Answer:
        """The answer of a calculator for figures of the day, the rest from the test. Raises `InputError`, `Waits`."""
        open_inputs = tuple(each for each in calc.inputs if each.name not in given)
        sheet = Sheet(self.texts, self.system, self.said)
        filled = sheet.fill(replace(calc, inputs=open_inputs), only_said=True)
        stands_in = tuple(name for name in FIELDS if name in sheet.stands_in[calc.id])
        return Answer(calc.answer({**filled, **given}, self.system), "", stands_in)

    def judge(self, calc: Calculator, ids: tuple[str, ...], **given: str) -> Iterator[Judged]:
        """Those checks of a calculator that have one of the ids; what it refuses is incomplete, in its own words."""
        try:
            answer = self.ask(calc, **given)
        except InputError as trouble:
            yield Judged(f"{calc.id}.refused", Level.INCOMPLETE, (str(trouble),))
        except Waits as trouble:
            yield Judged(f"{calc.id}.refused", Level.INCOMPLETE, (f"{calc.title}: {trouble}",))
        else:
            for each in answer.verdicts:
                if any(fnmatch.fnmatchcase(each.id.removeprefix(f"{calc.id}."), id) for id in ids):
                    yield Judged(each.id, each.level, each.phrase, each.source)

    def planned(self) -> int:
        """How many passes the groove of the test takes, by the calculator of the passes.

        >>> from calc.record.demo import TEST
        >>> Facts.of(TEST).planned()
        4
        """
        try:
            result = Sheet(self.texts, self.system, self.said).answer("passes")
        except Waits:
            return FEWEST_PASSES
        return FEWEST_PASSES if isinstance(result, InputError) else int(result["passes"].amount)

    def with_rod_of(self, name: str) -> Facts:
        """The facts for a pass of that name: with its own rod and limits, where the test has a row for it."""
        try:
            rows = list(other_rods(self.test, self.texts))
        except InputError:
            return self
        for layer, texts in rows:
            if layer.strip().lower() == name.lower():
                own = {each for each in ("electrode", "diameter", "amps_low", "amps_high") if texts[each]}
                return replace(self, texts=texts, said=(self.said | own) - {"amps"})
        return self


def names_of(count: int) -> tuple[str, ...]:
    """What so many passes are called: the root, the fills, the cover.

    >>> names_of(4), names_of(1)
    (('root', 'fill 1', 'fill 2', 'cover'), ('root',))
    """
    fills = tuple(f"fill {number}" for number in range(1, count - 1))
    return (ROOT, *fills, COVER)[:max(count, FEWEST_PASSES)] if count > 1 else (ROOT,)


@dataclass(frozen=True)
class Pass:
    """One pass: what was pressed for it, and the facts that it is judged by."""

    number: int
    name: str
    facts: Facts
    day: Day
    now: float = 0.0

    @cached_property
    def arcs(self) -> tuple[Span, ...]:
        """From when to when an arc burned in it."""
        return arcs_of(self.day, self.number)

    @property
    def burns(self) -> bool:
        """Whether an arc burns in it now."""
        return bool(self.arcs) and self.arcs[-1][1] is None

    @property
    def arc_time(self) -> float:
        """Its arc time so far, s."""
        return sum(lengths(self.arcs, self.now))

    @property
    def rods(self) -> int:
        """Rods struck in it; a restart on the same rod counts none."""
        return sum(1 for _ in self.day.of(journal.ARC, number=self.number))

    @cached_property
    def done(self) -> bool:
        """Whether it was said to be complete, and not opened again."""
        last = [each.do for each in self.day.of(journal.DONE, journal.AGAIN, number=self.number)]
        return bool(last) and last[-1] == journal.DONE

    def reading(self, do: str) -> str:
        """The last reading of that kind in it; "" where there is none."""
        found = [each.value for each in self.day.of(do, number=self.number)]
        return found[-1] if found else ""

    @cached_property
    def temperature_before(self) -> str:
        """The last temperature that was read before its first arc; "" where none was."""
        first = next((each.order for each in self.day.of(journal.ARC, journal.SAME_ROD, number=self.number)), None)
        found = [
            each.value for each in self.day.of(journal.TEMPERATURE, number=self.number)
            if first is None or each.order < first
        ]
        return found[-1] if found else ""

    def stood(self, do: str) -> tuple[str, ...]:
        """The readings of that kind that an arc was struck or burned by, and the last one; each once. A reading that
        was put right before the arc is none of them.
        """
        found: list[str] = []
        reading, counts, burns = "", False, False
        for each in self.day.of(do, journal.ARC, journal.SAME_ROD, journal.STOP, number=self.number):
            if each.do == do:
                found += [reading] if counts else []
                reading, counts = each.value, burns
            else:
                burns = each.do != journal.STOP
                counts |= burns
        return tuple(dict.fromkeys(each for each in (*found, reading) if each))

    # -- what follows --

    @cached_property
    def arc(self) -> Working | None:
        """Its travel speed and, where both were read, its heat input on a sheet; None without arc time or length.

        v = L / t: travel speed, m/s; H = U × I / v: heat input, J/m, as `calc.stages.heat` has it. L: length of the
        weld as the test says; t: arc time of the whole pass, stops left out.
        """
        length = self.facts.amount("plate_length")
        if length is None or not self.arcs or self.burns or not self.arc_time:
            return None
        w = Working()
        run = w.given("length", "L", length, LENGTH)
        took = w.given("time", "t", Fraction(self.arc_time), BURN_TIME)
        speed = w.let("speed", "Travel speed", "v", TRAVEL_SPEED, run / took, source=ENTERED, main=True, digits=3)
        judge_arc(w, speed=(self.facts.amount("travel_low"), self.facts.amount("travel_high")))
        judge_hand_speed(w, "speed", speed.amount)
        return w

    @cached_property
    def heat(self) -> Result | None:
        """The answer of the heat input calculator for this pass; None where a figure of it is missing or refused."""
        volts, amps = self.reading(journal.VOLTS), self.reading(journal.AMPS)
        if self.arc is None or not volts or not amps:
            return None
        try:
            return self.facts.ask(HEAT_INPUT_CALCULATOR, **self._arc_figures).result
        except (InputError, Waits):
            return None

    @property
    def _arc_figures(self) -> dict[str, str]:
        speed = self.arc.values[0].amount
        return {
            "volts": self.reading(journal.VOLTS), "amps": self.reading(journal.AMPS), "process": "smaw",
            "speed": f"{float(speed * 1000):.9f} mm/s",
        }

    @property
    def _struck_again(self) -> tuple[str, ...]:
        """The temperatures after the first arc of the pass that another arc of it was struck at."""
        found: list[str] = []
        reading, struck = "", False
        for each in self.day.of(journal.TEMPERATURE, journal.ARC, journal.SAME_ROD, number=self.number):
            if each.do == journal.TEMPERATURE:
                reading = each.value if struck else ""
            else:
                found += [reading] if reading else []
                struck = True
        return tuple(dict.fromkeys(found))

    @property
    def speed(self) -> Value | None:
        """Its travel speed, by the length of the whole weld."""
        return self.arc.values[0] if self.arc else None

    @property
    def heat_input(self) -> Value | None:
        """Its heat input H, without arc efficiency."""
        return self.heat["plain"] if self.heat else None

    def judged(self) -> Iterator[Judged]:
        """How the pass stands so far, by what was read; what is missing of a pass under way or complete says so."""
        facts = self.facts
        if self.temperature_before:
            yield from facts.judge(PREHEAT, _OF_TEMPERATURE, metal=self.temperature_before)
        elif self.arcs or self.done:
            yield Judged("log.temperature", Level.INCOMPLETE,
                ("No temperature of the plate was taken before the first arc of this pass.",))
        for warm in self._struck_again:
            yield from facts.judge(PREHEAT, ("interpass",), metal=warm)
        for amps in self.stood(journal.AMPS):
            yield from facts.judge(CURRENT_SETTING, _OF_AMPS, amps=amps)
        if self.reading(journal.AMPS):
            if not facts.said & {"amps_low", "amps_high"}:
                yield Judged("log.amps-wps", Level.NOT_KNOWN, ("Your test does not say the amperage of the WPS.",))
        elif self.arcs or self.done:
            yield Judged("log.amps", Level.INCOMPLETE, ("The amperage of this pass was not read.",))
        if self.done:
            yield from self._judged_arc()

    def _judged_arc(self) -> Iterator[Judged]:
        """Travel speed, arc voltage and heat input of a complete pass."""
        if not self.arcs:
            yield Judged("log.arc", Level.INCOMPLETE, ("No arc of this pass was timed.",))
        elif self.facts.amount("plate_length") is None:
            yield Judged("log.speed", Level.NOT_KNOWN, ("Your test does not say the length of the plate, so the "
                "travel speed is not known.",))
        elif self.arc is None:
            yield Judged("log.arc", Level.INCOMPLETE, ("An arc of this pass was not stopped.",))
        elif self.reading(journal.VOLTS) and self.reading(journal.AMPS):
            yield from self.facts.judge(HEAT_INPUT_CALCULATOR, _OF_ARC, **self._arc_figures)
            for volts in sorted(set(self.stood(journal.VOLTS)) - {self.reading(journal.VOLTS)}):
                yield from self.facts.judge(HEAT_INPUT_CALCULATOR, ("volts-wps", "arc-volts"),
                    **self._arc_figures | {"volts": volts})
        else:
            for each in self.arc.checks:
                yield Judged(f"{HEAT_INPUT_CALCULATOR.id}.{each.id}", each.level, each.phrase, each.source)
            yield Judged("log.volts", Level.INCOMPLETE, ("The arc voltage of this pass was not read, so its heat input "
                "is not known.",))


def arcs_of(day: Day, number: int | None = None) -> tuple[Span, ...]:
    """From when to when an arc burned, in one pass or in all; the last end is None while it burns.

    A second strike without a stop between ends the arc before it: nobody burns two.
    """
    spans: list[Span] = []
    for each in day.of(journal.ARC, journal.SAME_ROD, journal.STOP):
        at = day.taken(each)
        if spans and spans[-1][1] is None and spans[-1][0] <= at:
            spans[-1] = (*spans[-1][:1], at, *spans[-1][2:])
        if each.do != journal.STOP:
            spans.append((at, None, each.number))
    return tuple(span[:2] for span in spans if number in (None, span[2]))


def passes_of(facts: Facts, day: Day, now: float) -> tuple[Pass, ...]:
    """Every pass of the day: those that the groove takes, and what was added."""
    last = max((each.number for each in day.live if journal.DOES[each.do] == "pass"), default=0)
    more = sum(1 for _ in day.of(journal.MORE))
    count = max(facts.planned() + more, last)
    return tuple(
        Pass(number, name, facts.with_rod_of(name), day, now) for number, name in enumerate(names_of(count), 1)
    )


def digits(seconds: float) -> str:
    """A time as the digits of a clock, whole seconds, rounded down; the page counts on in the same form.

    >>> digits(59.9), digits(125), digits(7260), digits(-61)
    ('0:59', '2:05', '2:01:00', 'over by 1:01')
    """
    whole = int(abs(seconds))
    hours, minutes, rest = whole // 3600, whole % 3600 // 60, whole % 60
    shown = f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"
    return f"over by {shown}" if seconds < 0 and whole else shown


def duration(seconds: float) -> str:
    """A time in words that a stop watch shows; whole seconds, rounded down.

    >>> duration(59.9), duration(125), duration(7260), duration(-3)
    ('59 s', '2 min 5 s', '2 h 1 min', '0 s')
    """
    whole = max(0, int(seconds))
    hours, minutes, rest = whole // 3600, whole % 3600 // 60, whole % 60
    if hours:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return (f"{minutes} min {rest} s" if rest else f"{minutes} min") if minutes else f"{rest} s"
