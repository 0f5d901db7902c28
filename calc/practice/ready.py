"""Am I ready? What a reader may expect to know on the test day, from what was answered so far.

The figure is what `calc.practice.memory` expects of every objective on that day when nothing more is practiced, bent
by how its guesses came out for this reader so far. It is a guess from answers given here: it knows nothing of the
hand, and it is no verdict of anyone.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from calc.practice import plan, plates
from calc.practice.forms import CHAPTERS, Form, all_forms
from calc.practice.memory import UNSEEN, Checked, Memory, Model, from_cards
from calc.practice.progress import Profile, State

BAND = 1.28
"""Standard deviations on each side: four days in five are to fall into the band."""
MODEL_SPREAD = 0.06
"""How far the model itself may be off for one reader, as a standard deviation of the share. Found by simulated
learners (tests/practice/test_ready.py)."""
WEAKEST = 3
HOUR = 60


@dataclass(frozen=True)
class Ready:
    """What is expected on the test day: the share, its band, by stage, the weakest objectives, and what an hour of
    questions today would add. Shares from 0 to 1.
    """

    share: float
    low: float
    high: float
    stages: Mapping[str, float]
    weakest: tuple[str, ...]
    hour: float
    tried: int
    objectives: int


def ready(
    forms: Sequence[Form], memories: Mapping[str, Memory], today: str, test: str, model: Model,
    checked: Checked = Checked(),
) -> Ready:
    """What a reader may expect on the test day.

    >>> from calc.practice.forms import all_forms
    >>> from calc.practice.memory import model
    >>> found = ready(all_forms(), {}, "2026-03-02", "2026-03-20", model())
    >>> found.share, found.tried, found.low < found.share < found.high, found.hour > 0.1
    (0.25, 0, True, True)
    """
    chapter = {form.objective: form.chapter for form in forms}
    known = expected(chapter, memories, test, model, checked)
    share = sum(known.values()) / len(known)
    chance = sum(each * (1 - each) for each in known.values()) / len(known) ** 2
    half = BAND * math.sqrt(chance + MODEL_SPREAD**2)
    stages = {name: [known[each] for each in chapter if chapter[each] == name] for name in CHAPTERS}
    wanted = plan.objectives_for(list(chapter), memories, today, test, plan.questions_of(HOUR), model)
    return Ready(
        share, max(0.0, share - half), min(1.0, share + half),
        {name: sum(each) / len(each) for name, each in stages.items() if each},
        tuple(sorted(known, key=lambda each: (known[each], each))[:WEAKEST]),
        sum(model.gain(memories.get(each), today, test) for each in wanted) / len(known),
        sum(each in memories for each in chapter), len(known),
    )


def expected(
    objectives: Iterable[str], memories: Mapping[str, Memory], test: str, model: Model, checked: Checked,
) -> dict[str, float]:
    """The chance that each objective is known on the test day, as the reader's own answers bend it."""
    return {
        each: checked.bend(model.known(memories[each], test)) if each in memories else UNSEEN for each in objectives
    }


@dataclass(frozen=True)
class Standing:
    """One reader of a progress file in a line: expected share with its band (as `Ready`), the last day of practice
    (year-month-day, empty where there was none), and the plates: each, and the chance to pass the next one.
    """

    name: str
    ready: Ready
    last_day: str
    plates: tuple[plates.Plate, ...]
    chance: plates.Chance


def standing_of(profile: Profile, today: str, test: str, model: Model) -> Standing:
    """How one reader stands, for `test`, a day that is not before `today`; both year-month-day.

    The share is what is expected to be known on that day if nothing more is practiced. The chance to pass a plate comes
    from the plates that were kept; `chance.count` says how many of them have a verdict, and with none it is only the
    prior. Study help, never a certification. Raises `ValueError` for a day that is none.

    >>> from calc.practice.memory import model
    >>> found = standing_of(Profile("7"), "2026-03-02", "2026-03-20", model())
    >>> found.ready.tried, found.last_day, found.chance.count
    (0, '', 0)
    """
    known = all_forms()
    memories = from_cards(known, profile.cards) | dict(profile.memory)
    found = ready(known, memories, today, test, model, profile.checked)
    days = [each.last for each in memories.values()]
    days += [moment[:10] for given in profile.answers.values() for moment in given]
    logged = tuple(plates.ordered(profile.plates.values()))
    return Standing(profile.name, found, max(days, default=""), logged, plates.chance_to_pass(logged))


def summary(state: State, today: str, test: str, model: Model) -> list[Standing]:
    """Every reader of a progress file, for a class at a glance: `standing_of` each. `test` stands where a reader set no
    day of the test ahead; the file is read by `calc.practice.progress.read_state`.

    >>> from calc.practice.memory import model
    >>> [each.name for each in summary(State((Profile("7"), Profile("8")), 0), "2026-03-02", "2026-03-20", model())]
    ['7', '8']
    """
    return [
        standing_of(each, today, each.test_date if each.test_date >= today else test, model) for each in state.profiles
    ]


def tenths(share: float) -> str:
    """A share as it is told: no finer than the model is.

    >>> tenths(0.634), tenths(1.0)
    ('63 %', '100 %')
    """
    return f"{round(100 * share)} %"
