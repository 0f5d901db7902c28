"""The board: every clock of the day as it stands now, and what it says.

A clock has no limit of its own: rods out of the oven go by `rod-exposure`, the fire watch by `hot-work`, the wait
between passes by `interpass-wait`, the pause of the machine by `duty-cycle`, each with the facts of the reader's test.
A limit that the test does not say is not known, and its clock counts up only. No clock replaces the person on watch.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from calc.booth import journal
from calc.booth.clocks import Span, arc_left, busiest, cool_again, cooling_pace, time_in_air
from calc.booth.journal import Day, Event
from calc.booth.log import Facts, Judged, Pass, arcs_of, duration, passes_of
from calc.core.declare import Amount, InputError, Level, worst
from calc.core.sources import COMMON, ENTERED
from calc.plate_test.work import Waits, other_rods
from calc.stages.machine import DUTY_CYCLE, ONE_ROD, PERIOD
from calc.stages.rods import RETURN_HOLD, ROD_EXPOSURE
from calc.stages.safety import HOT_WORK_CHECK
from calc.stages.thermal import INTERPASS_WAIT

RODS, WATCH, WAIT, ARC, DUTY = "rods", "watch", "wait", "arc", "duty"
STRICTER_WATCH = HOT_WORK_CHECK.input("rule").default
_LOW_HYDROGEN = "E7018"
"""How the low-hydrogen rods begin that the guide has limits for."""
_OF_RODS = ("exposure", "own-limit", "little-left", "rebake")
_SET = (
    "The clock of this device was set by an amount that nobody knows while this ran. More time may have passed than is "
    "shown: go by another clock."
)


@dataclass(frozen=True)
class Clock:
    """One clock. It counts up from `since`, or down to `until`; seconds on the line of the day.

    `does` are its buttons: event, number and words. `spent` is said when it has run out, until it was answered.
    """

    id: str
    title: str
    since: float | None = None
    until: float | None = None
    judged: tuple[Judged, ...] = ()
    does: tuple[tuple[str, int, str], ...] = ()
    spent: str = ""
    short: str = ""
    """What the strip of the other pages calls it."""
    run: float | None = None
    """What began this run, where its end moves while it runs; s."""
    unsure_from: float | None = None
    """From when on it is not known once the device's clock was set by nobody knows how much, where not from `since`; s."""

    @property
    def runs(self) -> bool:
        """Whether it counts."""
        return self.since is not None or self.until is not None

    @property
    def level(self) -> Level:
        """As bad as the worst that is said of it."""
        return worst(each.level for each in self.judged)

    @property
    def key(self) -> str:
        """Names this run of the clock to its end, so that an answer is about no other."""
        begun = self.until if self.run is None else self.run
        return f"{self.id}@{int(begun)}" if self.until is not None and begun is not None else ""


@dataclass(frozen=True)
class Board:
    """Everything that a day shows now."""

    facts: Facts
    day: Day
    at: int

    @cached_property
    def now(self) -> float:
        """Now on the line of the day, s."""
        return self.day.seconds(self.at)

    @cached_property
    def passes(self) -> tuple[Pass, ...]:
        """The passes of the day."""
        return passes_of(self.facts, self.day, self.now)

    @cached_property
    def current(self) -> Pass | None:
        """The pass under way: the first that is not complete; None once all are."""
        burning = next((each for each in self.passes if each.burns), None)
        return burning or next((each for each in self.passes if not each.done), None)

    @cached_property
    def arcs(self) -> tuple[Span, ...]:
        """Every arc of the day."""
        return arcs_of(self.day)

    @property
    def burns(self) -> bool:
        """Whether an arc burns."""
        return bool(self.arcs) and self.arcs[-1][1] is None

    @cached_property
    def clocks(self) -> tuple[Clock, ...]:
        """The clocks in the order of what one looks for: what burns, what must wait, what runs in the background."""
        found = (*_arc(self), *_wait(self), *_rods(self), _watch(self), *_duty(self))
        return tuple(_unsure(self.day, each) for each in found)

    @cached_property
    def seen(self) -> frozenset[str]:
        """The runs of clocks whose end was answered."""
        return frozenset(each.value for each in self.day.of(journal.SEEN))

    @property
    def set_clocks(self) -> tuple[Event, ...]:
        """The times that the device's clock was set, of which nobody has said yet that it was seen."""
        return tuple(each for each in self.day.jumps if each.id not in self.seen)

    @property
    def spent(self) -> tuple[Clock, ...]:
        """The clocks that have run out and were not answered yet."""
        return tuple(
            each for each in self.clocks
            if each.until is not None and each.until <= self.now and each.spent and each.key not in self.seen
        )


def _unsure(day: Day, clock: Clock) -> Clock:
    since = clock.unsure_from
    if since is None and clock.runs:
        since = clock.since if clock.since is not None else 0
    if since is None or not day.unsure_since(since):
        return clock
    return replace(clock, judged=(Judged(f"{clock.id}.clock-set", Level.NOT_KNOWN, (_SET,)), *clock.judged))


# --- an arc ----------------------------------------------------------------------------------------------


def _arc(board: Board) -> Iterator[Clock]:
    if board.burns:
        yield Clock(ARC, "Arc time of this rod", since=board.arcs[-1][0], short="Arc")


# --- rods out of the oven ----------------------------------------------------------------------------------


def batches(day: Day) -> dict[int, tuple[tuple[Span, ...], Event]]:
    """The trips of each batch of rods out of the oven, and when it was last taken out.

    >>> out, back = (Event(f"t.{n}", n, n * 60_000, 0, do, 1) for n, do in enumerate(("out", "in")))
    >>> batches(Day("day-00001", "", (out, back)))[1][0]
    ((0.0, 60.0),)
    """
    found: dict[int, tuple[tuple[Span, ...], Event]] = {}
    for each in day.of(journal.OUT, journal.IN):
        trips, last = found.get(each.number, ((), each))
        is_out = bool(trips) and trips[-1][1] is None
        if each.do == journal.OUT and not is_out:
            found[each.number] = (*trips, (day.taken(each), None)), each
        elif each.do == journal.IN and is_out:
            found[each.number] = (*trips[:-1], (trips[-1][0], day.taken(each))), last
    return found


def _rods(board: Board) -> Iterator[Clock]:
    """A clock for each batch. The limit is that of the test or the table; rods that have none are not timed."""
    known = batches(board.day)
    limit = exposure(board.facts, 0)[0] if known else None
    for number, (trips, _) in known.items():
        name = "Rods out of the oven" if len(known) == 1 else f"Rods out of the oven, batch {number}"
        before, last = time_in_air(trips, board.now, float(RETURN_HOLD.amount), limit)
        out = trips[-1][1] is None
        judged = exposure(board.facts, before + last)[1]
        start = trips[-1][0] - before
        until = start + limit if limit is not None else None
        does = ((journal.IN, number, "Back in the oven") if out else (journal.OUT, number, "Out again"),)
        if number == max(known):
            does = (*does, (journal.OUT, number + 1, "Other rods out of the oven"))
        if out:
            yield Clock(f"{RODS}-{number}", name, start, until, judged, does, "Rods: their time out of the oven is "
                "over. Do not weld with them.", "Rods", unsure_from=trips[0][0])
        else:
            resting = Judged("rods.back", Level.NOTE, (f"Back in the oven. Out for {duration(before + last)} so far, "
                "until they have been in it for ", Amount(RETURN_HOLD.amount, RETURN_HOLD.kind), "."),
                RETURN_HOLD.source)
            yield Clock(f"{RODS}-{number}", name, judged=(resting, *judged), does=does, short="Rods",
                unsure_from=trips[0][0])
    if not known:
        yield Clock(f"{RODS}-1", "Rods out of the oven", does=((journal.OUT, 1, "Rods out of the oven"),))


def exposure(facts: Facts, seconds: float) -> tuple[float | None, tuple[Judged, ...]]:
    """The limit of the time out of the oven for the rods of a test, s, and how so many seconds stand to it; None where
    no limit is known.

    >>> from calc.record.demo import TEST
    >>> limit, judged = exposure(Facts.of(TEST), 5 * 3600)  # the invented test allows 4 h
    >>> float(limit), judged[0].level.value
    (14400.0, 'stop')
    """
    facts = _low_hydrogen(facts)
    if "electrode" not in facts.said:
        return None, (Judged("rods.limit", Level.NOT_KNOWN, ("Your test does not say the rod, so its time out of the "
            "oven is not limited here. Ask the electrode maker's limit.",)),)
    if not facts.texts["electrode"].startswith(_LOW_HYDROGEN):
        return None, (Judged("rods.limit", Level.NOTE, (f"The guide holds no limit for {facts.texts['electrode']}: it "
            "is not a low-hydrogen rod. Go by the maker's instructions.",)),)
    given = {"out_at": "00:00", "now": "00:00", "earlier": f"{seconds:.3f} s"}
    try:
        result = facts.ask(ROD_EXPOSURE, **given).result
    except (InputError, Waits) as trouble:
        return None, (Judged("rods.refused", Level.INCOMPLETE, (str(trouble),)),)
    return float(result["limit"].amount), tuple(facts.judge(ROD_EXPOSURE, _OF_RODS, **given))


def _low_hydrogen(facts: Facts) -> Facts:
    """The facts with the low-hydrogen rod of another pass, where the test's own rod is none: a batch does not say which
    rod it is.
    """
    if facts.texts["electrode"].startswith(_LOW_HYDROGEN):
        return facts
    try:
        rows = [texts for _, texts in other_rods(facts.test, facts.texts)]
    except InputError:
        return facts
    texts = next((each for each in rows if each["electrode"].startswith(_LOW_HYDROGEN)), None)
    return replace(facts, texts=texts, said=facts.said | {"electrode"}) if texts else facts


# --- the fire watch -------------------------------------------------------------------------------------


def rule_of(day: Day) -> str:
    """The rule of the fire watch that was chosen last; the longer one while none was.

    >>> rule_of(Day("day-00001", ""))
    'nfpa'
    """
    chosen = [each.value for each in day.of(journal.RULE)]
    known = [option.value for option in HOT_WORK_CHECK.input("rule").options]
    return chosen[-1] if chosen and chosen[-1] in known else STRICTER_WATCH


def last_spark(day: Day) -> Event | None:
    """The press that started the fire watch; None while there is none, or once an arc was struck after it."""
    found = None
    for each in day.of(journal.SPARK, journal.ARC, journal.SAME_ROD):
        found = each if each.do == journal.SPARK else None
    return found


def _watch(board: Board) -> Clock:
    day = board.day
    spark = last_spark(day)
    result = HOT_WORK_CHECK.answer(rule=rule_of(day))
    length = float(result["watch"].amount)
    chosen = result.check("watch")
    if spark is None:
        press = ((journal.SPARK, 0, "Last spark: start the fire watch"),)
        judged = ()
        if any(day.of(journal.SPARK)):
            judged = (Judged("watch.again", Level.INCOMPLETE, ("An arc was struck after the last spark. Start the fire "
                "watch anew when it is out.",), result["watch"].source),)
        return Clock(WATCH, "Fire watch", judged=judged, does=press)
    since, until = day.taken(spark), day.taken(spark) + length
    ended = next((each for each in day.of(journal.WATCHED) if each.order > spark.order), None)
    if ended is not None:
        short = until - day.taken(ended)
        if short > 0:
            told = Judged("watch.early", Level.STOP, (f"The fire watch was ended {duration(short)} early. Go back and "
                "watch.",), result["watch"].source)
        else:
            told = Judged("watch.kept", Level.OK, (f"The fire watch was kept from {spark.wall} to {ended.wall}.",),
                result["watch"].source)
        return Clock(WATCH, "Fire watch", judged=(told,), does=((journal.SPARK, 0, "Last spark again"),))
    over = board.now >= until
    words = "The time is over. Walk the circle once more, then say that the watch is over." if over else (
        "Somebody must watch until the time is over. This clock watches nothing.")
    judged = [Judged("watch.runs", Level.INCOMPLETE, (words,), result["watch"].source)]
    if rule_of(day) != STRICTER_WATCH:
        judged.append(Judged("watch.rule", Level.CAUTION, ("You chose the shorter watch. Your permit says whether "
            "it is enough.",), chosen.source))
    return Clock(WATCH, "Fire watch", since, until, tuple(judged), ((journal.WATCHED, 0, "The watch is over"),),
        "Fire watch: the time is over. Look once more before anybody leaves.", "Fire watch")


# --- the wait between passes ---------------------------------------------------------------------------------


def _wait(board: Board) -> Iterator[Clock]:
    """From the readings since the last arc: the curve of `interpass-wait`, at the pace that the readings show."""
    day, facts = board.day, board.facts
    if board.burns or board.current is None:
        return
    last_arc = max((each.order for each in day.of(journal.ARC, journal.SAME_ROD, journal.STOP)), default=-1)
    readings = [each for each in day.of(journal.TEMPERATURE) if each.order > last_arc]
    if not readings:
        return
    last = readings[-1]
    title = "Wait between passes"
    if facts.amount("interpass_maximum") is None:
        yield Clock(WAIT, title, since=day.taken(last), judged=(Judged("wait.limit", Level.NOT_KNOWN, ("Your test does "
            "not say the maximum interpass temperature, so the wait is not known.",)),), short="Since the reading")
        return
    wait, pace = wait_for(facts, [(day.taken(each), each.value) for each in readings])
    if wait is None:
        yield Clock(WAIT, title, judged=tuple(facts.judge(INTERPASS_WAIT, (), now=last.value)))
    if not wait:
        return
    judged = []
    if pace != 1:
        speed = "slower" if pace > 1 else "faster"
        judged.append(Judged("wait.pace", Level.NOTE, (f"By your readings the plate cools {speed} than was worked out: "
            f"{pace:.2g} of that time. The wait is put right by it.",), ENTERED))
    until = day.taken(last) + wait
    if board.now >= until:
        judged.append(Judged("wait.measure", Level.INCOMPLETE, ("The time is over. Measure again: the time alone says "
            "nothing of your plate.",), COMMON))
    yield Clock(WAIT, title, until=until, judged=tuple(judged), spent="Wait between passes: measure the plate again.",
        short="Measure again in")


def wait_for(facts: Facts, readings: Sequence[tuple[float, str]]) -> tuple[float | None, float]:
    """The wait from the last of some readings (instant, temperature) on, s, and the pace at which the plate cools
    against what was worked out; None where it cannot be worked out.

    Readings before the last rise are left out: heat was still spreading, or more was put in.
    """
    each = INTERPASS_WAIT.input("now")
    read = [(at, each.read(text, facts.system), text) for at, text in readings]
    rises = [place for place, (before, after) in enumerate(pairwise(read), 1) if after[1] >= before[1]]
    falling = read[rises[-1]:] if rises else read
    try:
        wait = float(facts.ask(INTERPASS_WAIT, now=read[-1][2]).result["wait"].amount)
        worked = [
            float(facts.ask(INTERPASS_WAIT, now=before[2], limit=after[2], preheat="").result["wait"].amount)
            for before, after in pairwise(falling)
        ]
    except (InputError, Waits):
        return None, 1
    pace = cooling_pace([(at, float(amount)) for at, amount, _ in falling], worked) if worked else 1
    return wait * pace, pace


# --- the pause of the machine -----------------------------------------------------------------------------


def _duty(board: Board) -> Iterator[Clock]:
    if not board.arcs:
        return
    title, facts = "Duty cycle of the machine", board.facts
    period = float(PERIOD.amount)
    most = busiest(board.arcs, board.now, period)
    seen: tuple[str | Amount, ...] = ("Most arc time in any ", Amount(PERIOD.amount, PERIOD.kind), f" so far: "
        f"{duration(most)}")
    if not {"rated_current", "rated_duty"} <= facts.said:
        yield Clock(DUTY, title, judged=(Judged("duty.rating", Level.NOT_KNOWN, (*seen, ". Your test does not say the "
            "rated current and duty cycle of the machine: read its rating plate."), PERIOD.source),))
        return
    amps = max((each.value for each in board.day.of(journal.AMPS)), key=lambda text: DUTY_CYCLE.input("amps").read(
        text, facts.system), default="")
    try:
        answer = facts.ask(DUTY_CYCLE, **({"amps": amps} if amps else {})).result
    except (InputError, Waits) as trouble:
        yield Clock(DUTY, title, judged=(Judged("duty.refused", Level.INCOMPLETE, (str(trouble),)),))
        return
    allowed = float(answer["minutes_on"].amount)
    limit = (*seen, " of ", Amount(answer["minutes_on"].amount, answer["minutes_on"].kind, 3))
    rated = tuple(facts.judge(DUTY_CYCLE, ("rated-current",), **({"amps": amps} if amps else {})))
    rated = tuple(each for each in rated if each.level.severity)
    if most > allowed:
        stands = Judged("duty.over", Level.CAUTION, (*limit, ". Let it rest with the fan running."),
            answer["minutes_on"].source)
    else:
        stands = Judged("duty.within", Level.OK, (*limit, "."), answer["minutes_on"].source)
    left = arc_left(board.arcs, board.now, period, allowed)
    if board.burns and left != float("inf"):
        yield Clock(DUTY, title, until=board.now + left, judged=(stands, *rated), short="Machine rests in",
            spent="Duty cycle: the machine must rest.", run=board.arcs[-1][0])
        return
    rest = cool_again(board.arcs, board.now, period, allowed, float(ONE_ROD.amount))
    if rest and not board.burns:
        yield Clock(DUTY, title, until=board.now + rest, judged=(stands, *rated), short="Machine rests for")
        return
    yield Clock(DUTY, title, judged=(stands, *rated))
