"""The class at a glance: who stands where, what is found most and which stage makes it, which dates to keep.

Records and logs go by the welder that they name, progress by its reader; names that differ only in spaces and capital
letters are one. Every verdict is that of the record's own page. Nothing is guessed: what no file says stays blank.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache

from calc.classroom.brought import Brought, Refused
from calc.core.declare import Level, phrase_text
from calc.practice import plates, progress
from calc.practice.memory import Model
from calc.practice.plates import Flaw, Plate
from calc.practice.progress import Profile
from calc.practice.ready import Standing, standing_of
from calc.record.bench import Judgement, place_in_words
from calc.record.fields import CONTINUITY_LOG, PLATE_TEST
from calc.record.judge import judge
from calc.record.shape import Record

NAMELESS = "No name written"


@dataclass(frozen=True)
class Tested:
    """A test-day record, judged."""

    file: str
    judgement: Judgement

    @property
    def record(self) -> Record:
        return self.judgement.record

    @property
    def level(self) -> Level:
        return self.judgement.line("test").level

    @property
    def test(self) -> str:
        """The test in a few words, as written.

        >>> from calc.record.demo import PLATE
        >>> Tested("", judge(PLATE)).test
        '3G, 3/8 in, E7018'
        """
        return ", ".join(filter(None, map(self.record.text, ("position", "thickness", "electrode"))))

    @property
    def reason(self) -> str:
        """What decides, in one sentence; "" where nothing speaks against it."""
        line = self.judgement.line("test")
        if not line.level.severity:
            return ""
        for place in line.places:
            for flag in self.judgement.at(place):
                if flag.level is line.level:
                    where = place_in_words(place, self.record)
                    return f"{where}: {phrase_text(flag.phrase, self.record.bare)}"
        deciding = [each for each in self.judgement.lines if each.level is line.level and each is not line]
        return f"{deciding[0].label}: {deciding[0].wording}" if deciding else line.wording


@dataclass
class Person:
    """One of the class: what was handed in under a name."""

    name: str
    tested: list[Tested] = field(default_factory=list)
    logs: list[Judgement] = field(default_factory=list)
    profile: Profile | None = None
    standing: Standing | None = None
    ready_on: str = ""
    """The day that `standing` looks at: the reader's own day of the test while it is ahead, else the class's."""
    files: list[str] = field(default_factory=list)

    @property
    def due(self) -> datetime.date | None:
        """The first date on which somebody has to act."""
        return min((each.due for each in self.logs if each.due), default=None)

    @property
    def log_level(self) -> Level | None:
        """How the worst of the logs stands; None without one."""
        levels = [each.lines[-1].level for each in self.logs]
        return max(levels, key=lambda each: each.severity, default=None)

    @property
    def plates(self) -> list[Plate]:
        """Every plate that was welded, once: one that the log took from a record is that record's."""
        from_records = {each.record.id: plates.from_record(each.judgement) for each in self.tested}
        logged = self.profile.plates.values() if self.profile else ()
        return [*from_records.values(), *(each for each in logged if each.record not in from_records)]


@dataclass(frozen=True)
class Found:
    """A discontinuity over the class: on how many plates, of how many people, and the pages of what can make it."""

    flaw: Flaw
    plates: int
    people: int


@dataclass(frozen=True)
class Glance:
    """The class: its people by name, tests that were handed in, and the files that were not taken."""

    people: tuple[Person, ...]
    tests: tuple[Record, ...]
    refused: tuple[Refused, ...]

    @property
    def found(self) -> tuple[Found, ...]:
        """What was found, on the most plates first."""
        on_plates: Counter[str] = Counter()
        of_people: Counter[str] = Counter()
        for person in self.people:
            kinds = [each for plate in person.plates for each in plate.flaws]
            on_plates.update(kinds)
            of_people.update(set(kinds))
        ranked = sorted(plates.FLAWS, key=lambda each: -on_plates[each.key])
        return tuple(Found(each, on_plates[each.key], of_people[each.key]) for each in ranked if on_plates[each.key])

    @property
    def logs(self) -> list[Record]:
        """Every continuity log, for one calendar."""
        return [each.record for person in self.people for each in person.logs]


@lru_cache(maxsize=4096)
def judged(brought: Brought, today: datetime.date) -> Judgement:
    """The verdict of a record that was brought, worked out once. Raises `TypeError` for progress."""
    if not isinstance(brought.content, Record):
        raise TypeError("progress is not judged")
    return judge(brought.content, today)


def glance(
    brought: Iterable[Brought], refused: Iterable[Refused], today: datetime.date, model: Model | None = None,
    test: datetime.date | None = None,
) -> Glance:
    """The class as its files tell; `test` is the day of its test. Of two versions of a record the newer one counts, and
    the other is told; progress of one reader in several files is joined. Without the model of memory nothing is said of
    who is ready.

    >>> from calc.record.demo import LOG, PLATE
    >>> found = glance([Brought("a", PLATE), Brought("b", LOG)], [], datetime.date(2026, 3, 20))
    >>> [(each.name, each.tested[0].level.label, str(each.due)) for each in found.people]
    [('Trainee 7', 'OK', '2026-08-27')]
    """
    people: dict[str, Person] = {}
    told = list(refused)
    tests: list[Record] = []

    def person(name: str, file: str) -> Person:
        plain = _plain(name)
        found = people.setdefault(plain.casefold(), Person(plain or NAMELESS))
        found.files.append(file)
        return found

    for each in _newest(brought, told):
        if isinstance(each.content, Record):
            record = each.content
            if record.kind == PLATE_TEST.kind:
                tests.append(record)
                continue
            judgement, whose = judged(each, today), person(record.text("welder"), each.file)
            if record.kind == CONTINUITY_LOG.kind:
                whose.logs.append(judgement)
            else:
                whose.tested.append(Tested(each.file, judgement))
        else:
            for profile in each.content.profiles:
                if progress.is_blank(profile):
                    continue
                whose = person(profile.name, each.file)
                whose.profile = progress.joined(whose.profile, profile, model) if whose.profile else profile
    for each in people.values():
        each.tested.sort(key=lambda tested: tested.record.text("date"), reverse=True)
        if each.profile and model:
            ahead = each.profile.test_date >= today.isoformat()
            each.ready_on = each.profile.test_date if ahead else max(test or today, today).isoformat()
            each.standing = standing_of(each.profile, today.isoformat(), each.ready_on, model)
    ordered = sorted(people.values(), key=lambda each: (each.name == NAMELESS, each.name.casefold()))
    return Glance(tuple(ordered), tuple(tests), tuple(told))


def _plain(name: str) -> str:
    """A name with one space between its words."""
    return " ".join(name.split())


def _newest(brought: Iterable[Brought], told: list[Refused]) -> list[Brought]:
    """The files with the newest version of each record; those of an older one are told."""
    kept: dict[tuple[str, str], Brought] = {}
    others: list[Brought] = []
    for each in brought:
        if not isinstance(each.content, Record):
            others.append(each)
            continue
        key = (each.content.id, _plain(each.content.text("welder")).casefold())
        other = kept.setdefault(key, each)
        if other is each:
            continue
        newer, older = (each, other) if each.content.changed > other.content.changed else (other, each)
        if newer.content == older.content:
            what = "the same record as"
        elif newer.content.changed == older.content.changed:
            what = "another version, written at the same moment, of the record"
        else:
            what = "an older version of the record"
        told.append(Refused(older.file, f"{what} in {newer.file}"))
        kept[key] = newer
    return [*kept.values(), *others]
