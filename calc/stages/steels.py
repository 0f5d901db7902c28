"""The steels a test shop meets: minimum yield strength, and the row of the preheat table that holds them.

Stage: before heat and before the bend. Each steel is one row of data with how we hold it. A steel that is not listed is
refused by name: a neighbor's row is no answer. The categories are those of AWS D1.1:2015, Table 3.3: A for rods that
are not low-hydrogen, B and C for low-hydrogen ones; quenched and tempered steel had a row of its own in older editions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from calc.core.declare import Choice, InputError, Option
from calc.core.sources import AWS_D11, SECONDARY_STEELS, Citation, Fact, Standing
from calc.core.units import STRESS, System, parse

A36_REPORTED = Citation(None, "ASTM A36, as another text reports it", Standing.SECONDARY)
_READ = Citation(AWS_D11, "Table 3.3", Standing.READ, "Read in a reproduction of the page.")
_REPORTED = Citation(SECONDARY_STEELS, "categories of D1.1, Table 3.3", Standing.SECONDARY)
_HELD = Citation(AWS_D11, "Table 3.3", Standing.FROM_MEMORY, "That this steel is in the category is from memory. "
    "Ask for the row of your WPS.")
_QT_HELD = Citation(
    AWS_D11, "row for quenched and tempered steel of older editions", Standing.FROM_MEMORY,
    "We hold neither the edition nor the page. Go by the WPS and the mill.",
)


def _standard(name: str) -> Citation:
    return Citation(None, name, Standing.FROM_MEMORY, "The mill certificate states the yield of your plate.")


@dataclass(frozen=True)
class Steel:
    """A steel by specification and grade.

    `yields` is the specified minimum yield strength; `category` the category of the preheat table for low-hydrogen
    rods; `other` the one for rods that are not low-hydrogen, blank where the table holds none for this steel.
    """

    value: str
    label: str
    yields: str
    category: str
    other: str
    standing: Citation
    yield_source: Citation
    also: tuple[str, ...] = field(default=())

    @property
    def id(self) -> str:
        """The name as part of an id: `a572-50`."""
        return self.value.lower()

    @property
    def yield_fact(self) -> Fact:
        """The specified minimum yield strength, as an entry of the register."""
        name = "a36-yield" if self.value == "A36" else f"yield-{self.id}"
        return Fact(name, f"Specified minimum yield strength, {self.label}", parse(self.yields, STRESS), STRESS,
            self.yield_source)

    @property
    def category_fact(self) -> Fact:
        """The category of the preheat table, as an entry of the register."""
        other = f", {self.other} with other rods" if self.other else ", none held for other rods"
        told = "quenched and tempered" if self.category == QUENCHED else self.category
        return Fact(f"preheat-category-{self.id}", f"Preheat category, {self.label}", None, None, self.standing,
            f"{told} with low-hydrogen rods{other}")


QUENCHED = "Q"
"""Our letter for the row of quenched and tempered steel; the table of 2015 has none of that name."""


def _held(value: str, label: str, yields: str, category: str, other: str = "", also: tuple[str, ...] = ()) -> Steel:
    """A steel of which we hold everything from memory."""
    source = _QT_HELD if category == QUENCHED else _HELD
    return Steel(value, label, yields, category, other, source, _standard(f"ASTM {label}"), also)


def _a572(grade: int, category: str, source: Citation) -> Steel:
    return Steel(f"A572-{grade}", f"A572 grade {grade}", f"{grade} ksi", category, "", source,
        _standard(f"ASTM A572, grade {grade}"), ())


STEELS: tuple[Steel, ...] = (
    Steel("A36", "A36", "36 ksi", "B", "A", _READ, A36_REPORTED, ("mild steel",)),
    _held("A53-B", "A53 grade B", "35 ksi", "B", "A"),
    _held("A106-B", "A106 grade B", "35 ksi", "B", "A"),
    _held("A131-B", "A131 grade B", "34 ksi", "B", "A"),
    _held("A500-B", "A500 grade B, shaped", "46 ksi", "B", "A", ("A500 grade B",)),
    _held("A500-C", "A500 grade C, shaped", "50 ksi", "B", "A", ("A500 grade C",)),
    _held("A501-A", "A501 grade A", "36 ksi", "B", "A", ("A501",)),
    _held("A516-70", "A516 grade 70", "38 ksi", "B", "A"),
    _held("A529-50", "A529 grade 50", "50 ksi", "B"),
    _a572(42, "B", _REPORTED), _a572(50, "B", _REPORTED), _a572(55, "B", _HELD), _a572(60, "C", _REPORTED),
    _a572(65, "C", _REPORTED),
    _held("A588", "A588", "50 ksi", "B"),
    _held("A709-36", "A709 grade 36", "36 ksi", "B", "A"),
    _held("A709-50", "A709 grade 50", "50 ksi", "B"),
    _held("A709-50W", "A709 grade 50W", "50 ksi", "B"),
    _held("A913-50", "A913 grade 50", "50 ksi", "B"),
    _held("A992", "A992", "50 ksi", "B"),
    _held("A514", "A514, quenched and tempered", "100 ksi", QUENCHED, "", ("A514",)),
)
LOW_HYDROGEN_ONLY = Fact(
    "low-hydrogen-only", "Rods for the steels of 50 ksi and more in the preheat table", None, None,
    Citation(AWS_D11, "Tables 3.1 and 3.3", Standing.FROM_MEMORY), "low-hydrogen only",
)
YIELD_MEANT = Fact(
    "bend-yield-meant", "Which yield strength the bend jig goes by", None, None,
    Citation(AWS_D11, "guided bend jig, heading of the table", Standing.FROM_MEMORY,
        "The wording was not seen in the text."),
    "“specified or actual”: the heading names the yield of the specification and that of the mill certificate, and we "
    "hold nothing that says which one counts where they lie in different rows; the inspector says",
)
"""The yield of the specification is a minimum; that of the mill certificate was measured on the heat and is higher."""

FACTS: tuple[Fact, ...] = (
    *(steel.yield_fact for steel in STEELS), *(steel.category_fact for steel in STEELS),
    LOW_HYDROGEN_ONLY, YIELD_MEANT,
)


def _key(text: str) -> str:
    """A name without what shops write differently: case, spaces, dashes, the words ASTM, grade, gr and type."""
    words = re.sub(r"\b(astm|grade|gr|type|class)\b\.?", " ",
        text.lower().replace("grade", " grade ").replace("gr.", " gr "))
    return re.sub(r"[^a-z0-9]", "", words)


_NAMES = {_key(name): steel for steel in STEELS for name in (steel.value, steel.label, *steel.also)}


def find_steel(name: str) -> Steel | None:
    """The steel of that name, however a shop writes it; None for one that is not listed.

    >>> names = ("a36", "ASTM A572 Gr 50", "A572-50", "A572 grade 50", "A 572 gr. 50", "A709 50w")
    >>> [find_steel(name).value for name in names]
    ['A36', 'A572-50', 'A572-50', 'A572-50', 'A572-50', 'A709-50W']
    >>> find_steel("4140"), find_steel("A572")
    (None, None)
    """
    return _NAMES.get(_key(name))


OTHER = "other"
ASK_FOR = (
    "ask for the minimum preheat of your WPS and for the mill certificate, and work out its carbon equivalent with the "
    "calculator of that name"
)


@dataclass(frozen=True)
class SteelChoice(Choice):
    """A choice of steel that reads the usual spellings, and says by name what it does not hold and what to ask for."""

    def read(self, text: str, system: System) -> str:
        """The steel's value. Raises `InputError` with the steel's own name."""
        steel = find_steel(text)
        if steel:
            return steel.value
        for option in self.options:
            if text.strip().lower() in (option.value, option.label.lower()):
                return option.value
        grades = [each.label for each in STEELS if _key(text) and each.value.lower().partition("-")[0] == _key(text)]
        if grades:
            raise InputError(self.name, self.label, f"“{text[:40]}” has several grades here; write "
                f"{' or '.join(grades)}")
        raise InputError(self.name, self.label, f"“{text[:40]}” is not among the steels that we hold a row for; "
            f"{ASK_FOR}. Held are {self.range_text()}")


STEEL_OPTIONS = (
    *(Option(steel.value, steel.label) for steel in STEELS), Option(OTHER, "Another steel: my WPS gives the preheat"),
)
