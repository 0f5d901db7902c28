"""Names, defaults, ranges and choices of the inputs are an interface: links, saved forms and records of a class hold them.

`inputs.txt` lists what is published. A link from last year must be read and mean the same: an input that it leaves out had
the default written there, and a value it carries was inside the range written there. Whoever changes an input on purpose
changes that line too. A new input is added there.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from calc.catalogue import CALCULATORS
from calc.core.declare import Choice, Clock, Day, Quantity, Rows, Whole, Words

PUBLISHED = Path(__file__).parent / "inputs.txt"


def described(owner: str, inputs: tuple) -> Iterator[str]:
    """A line an input: its name, its kind, and what it takes."""
    for each in inputs:
        words = [f"{owner}.{each.name}"]
        match each:
            case Quantity():
                edge = "above" if each.above_low else "from"
                words += [each.kind.name, f"default {each.default!r}{' or blank' if each.optional else ''}", f"{edge} {each.low} to {each.high}"]
                if each.slide:
                    words += [f"slides {' / '.join(each.slide.us)}", *([f"or {' / '.join(each.slide.si)}"] if each.slide.si else [])]
            case Whole():
                words += ["count", f"default {each.default!r}", f"from {each.low} to {each.high}"]
            case Choice():
                options = (f"{option.value}{'=' + '='.join(option.sizes) if option.sizes else ''}" for option in each.options)
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
            yield from described(f"{owner}.{each.name}", each.columns)


def test_every_input_takes_what_was_published():
    now = [line for calc in CALCULATORS for line in described(calc.id, calc.inputs)]
    published = PUBLISHED.read_text(encoding="utf-8").splitlines()
    assert sorted(now) == sorted(published)
