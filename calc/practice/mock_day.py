"""A mock test day, drawn from a seed: a WPS, a plate, a machine, readings, temperatures, bent specimens, and one
decision after another in the order of the day.

No limit stands here, and no answer. What is drawn goes to the calculator of its step; its verdict, figure, reason and
source are the key (`mock_day_bench`). Each decision has its own stream of chance, so that one does not move the others.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from calc.core.declare import InputError
from calc.core.forms import lowered
from calc.plate_test.fields import FIELDS
from calc.plate_test.work import Sheet, Waits, read_facts, said_of
from calc.practice.chance import Chance
from calc.practice.mock_day_after import (
    ask_kinds, ask_layout, ask_opening, ask_plate, ask_record, ask_retest, ask_specimen, ask_sum, ask_visual,
)
from calc.practice.mock_day_bench import Bench, CannotDraw, Decision, Texts, Told, wps_table
from calc.practice.mock_day_weld import (
    ask_amps, ask_duty, ask_fit_up, ask_heat, ask_interpass, ask_interpass_2, ask_layer, ask_preheat, ask_rods,
    ask_scope, ask_wait, ask_wps,
)
from calc.practice.mock_day_wps import draw_wps, spoiled
from calc.record.shape import Record, blank

EXTRAS = 2
"""How many of the decisions that are not asked every day."""
SEED = re.compile(r"[A-Za-z0-9._-]{1,40}")
SEED_WORDS = "seed: write 1 to 40 letters, digits, dots, hyphens or underscores"
_MOMENT = "2026-01-01T00:00:00Z"


@dataclass(frozen=True)
class Day:
    """A mock test day. `wps` is the sheet as it is handed out first, `issue_2` the one that is welded to; `notes` say
    what was drawn that the reader's own test does not say, and which decision it gives no ground for.
    """

    seed: str
    test: Record
    wps: Told
    issue_2: Told
    decisions: tuple[Decision, ...]
    notes: tuple[str, ...] = ()
    own: bool = False


ASKS: tuple[tuple[str, Callable[[Bench], Decision]], ...] = (
    ("scope", ask_scope), ("fit-up", ask_fit_up), ("rods", ask_rods), ("amps", ask_amps), ("duty", ask_duty),
    ("preheat", ask_preheat), ("interpass", ask_interpass), ("wait", ask_wait), ("layer", ask_layer),
    ("heat", ask_heat), ("interpass-2", ask_interpass_2), ("visual", ask_visual), ("kinds", ask_kinds),
    ("layout", ask_layout), ("opening", ask_opening), ("specimen", ask_specimen), ("sum", ask_sum),
    ("plate", ask_plate), ("retest", ask_retest), ("record", ask_record),
)
"""The decisions after the WPS, in the order of the day."""
SOMETIMES = ("duty", "wait", "interpass-2", "layout", "sum")
"""Those of which a day asks two."""


def draw_day(seed: str, own: Record | None = None) -> Day:
    """The day of a seed: with the reader's own test where one is given, what it leaves blank drawn.

    Raises `ValueError` for a seed that cannot be used, or for an own test with a fact that cannot be read.

    >>> day = draw_day("7")
    >>> day.wps == draw_day("7").wps, [each.id for each in day.decisions][:3]
    (True, ['wps', 'scope', 'fit-up'])
    """
    if not SEED.fullmatch(seed):
        raise ValueError(SEED_WORDS)
    given = {name: text for name, text in own.values.items() if text.strip() and name in FIELDS} if own else {}
    if own is not None and (refused := read_facts(own)[1]):
        raise ValueError(f"your test: {refused[0].message}")
    drawn = draw_wps(Chance(f"mock-day/{seed}/wps"), given)
    record = Record("mock-day", "plate-test", f"Mock test day {seed}", _MOMENT, _MOMENT, own.bare if own else "us", invented=True,
        values={**drawn, **given}, rows=own.rows) if own else blank_of(seed, drawn)
    texts, refused = read_facts(record)
    if refused:
        raise ValueError(f"your test: {refused[0].message}")
    handed = texts if own else spoiled(Chance(f"mock-day/{seed}/trap"), texts)
    extras = Chance(f"mock-day/{seed}/extras").shuffled(SOMETIMES)[:EXTRAS]
    bench = Bench(seed, record, texts, Sheet(texts, "us", said_of(record)))
    decisions, left_out = [], []
    for name, ask in (("wps", lambda each: ask_wps(each, handed)), *ASKS):
        if name in SOMETIMES and name not in extras:
            continue
        bench.chance = Chance(f"mock-day/{seed}/{name}")
        try:
            decisions.append(ask(bench))
        except (CannotDraw, InputError, Waits) as trouble:
            left_out.append(f"{name}: {trouble}")
    notes = tuple(f"Left out: {each}." for each in left_out)
    if own and (names := [name for name in drawn if name not in given and texts[name]]):
        said = ", ".join(lowered(FIELDS[name].input.label) for name in names)
        notes = (f"Drawn, since your test does not say it: {said}.", *notes)
    return Day(seed, record, wps_table(handed), wps_table(texts), tuple(decisions), notes, own is not None)


def blank_of(seed: str, drawn: Texts) -> Record:
    """A test that holds nothing but what was drawn."""
    empty = blank("plate-test", "mock-day", _MOMENT, f"Mock test day {seed}")
    return Record(empty.id, empty.kind, empty.name, empty.created, empty.changed, invented=True, values=dict(drawn))
