"""A form of several sections: what is written down of a day, or declared of a test, by the inputs of the calculators
that use it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from calc.core.declare import NOT_LOOKED_AT, Calculator, Choice, Input, Words


@dataclass(frozen=True)
class Section:
    """One part of the day: its fields and the cautions that belong before it."""

    id: str
    title: str
    help: str
    fields: tuple[Input, ...]
    caution: str = ""


@dataclass(frozen=True)
class Form:
    """All sections of one kind of record. `one` is what a page calls one of them: the title in small letters unless
    it says another.
    """

    kind: str
    title: str
    sections: tuple[Section, ...]
    one: str = ""

    @property
    def noun(self) -> str:
        """What one of them is called, as in “New test-day record”."""
        return self.one or self.title.lower()

    @property
    def fields(self) -> Iterator[Input]:
        """Every field, in the order of the page."""
        return (each for section in self.sections for each in section.fields)

    def field(self, name: str) -> Input:
        """The field of that name. Raises `KeyError`."""
        for each in self.fields:
            if each.name == name:
                return each
        raise KeyError(name)


def taken_from(calculator: Calculator, source: str, /, **changes) -> Input:
    """A field that is the input of a calculator, blank at first; `changes` give it another name, label or help.

    A blank says that nobody has looked: no option is needed for it.
    """
    each = calculator.input(source)
    if isinstance(each, Choice):
        options = changes.get("options", each.options)
        changes["options"] = tuple(option for option in options if option != NOT_LOOKED_AT)
    return replace(each, default="", **changes)


def lowered(label: str) -> str:
    """A label inside a sentence; an abbreviation keeps its capitals.

    >>> lowered("Plate thickness"), lowered("WPS"), lowered("DCEP, electrode positive"), lowered("")
    ('plate thickness', 'WPS', 'DCEP, electrode positive', '')
    """
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


def words(name: str, label: str, help: str, longest: int = 80) -> Words:
    """A field for words of the reader's own, blank at first."""
    return Words(name, label, "", help, longest)
