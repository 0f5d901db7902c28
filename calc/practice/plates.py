"""Practice plates: what was found on each, the chance to pass the next one, and whether one more plate pays.

Stage: between practice and the test. A plate passes that was bent and passed; it fails where it failed visual
inspection or the bend. Whatever did not come so far is not known and counts neither way. The chance is a share from
counts: prior Beta(½, ½), so after s passed of n its chance has the distribution Beta(s + ½, n − s + ½). No document is leaned
on; the flaws and the steps of the work that make them are those of the page Flaws (a test compares the two).
"""

from __future__ import annotations

import datetime
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from typing import Any

from calc.core.declare import Calculator, Choice, Day, InputError, Level, Option, Quantity, Rows, Working
from calc.core.sources import COMMON, ENTERED, Citation, Standing
from calc.core.units import NUMBER, PERCENTAGE, listed
from calc.show import scales
from calc.stages.current import CURRENT_SETTING

COUNTED = Citation(None, "Share from counts with the prior Beta(½, ½)", Standing.WORKED_OUT)
EXPECTED = Citation(None, "Expected cost: chance times cost", Standing.WORKED_OUT)
STUDY_HELP = (
    "Study help, not a certification. It counts practice plates and knows nothing of the plate in your hands. The "
    "inspector decides."
)


# --- flaws, and the stages that make them ------------------------------------------


@dataclass(frozen=True)
class Flaw:
    """A kind of discontinuity: its name, its place on the page Flaws, and the pages of the stages where it starts."""

    key: str
    name: str
    anchor: str
    stages: tuple[str, ...]

    @property
    def page(self) -> str:
        """Where the guide tells of it."""
        return f"flaws.html#flaws-{self.anchor}"


STAGES = {
    "cutting": "cutting", "bevelling": "beveling", "cleaning": "cleaning", "fit-up": "fit-up and tacks",
    "machine": "setting the machine", "rods": "rods", "heat": "heat", "passes": "welding the passes",
}
"""Stages by page, in the order of the work, as the words that a sentence takes."""
FLAWS = (
    Flaw("porosity", "Porosity", "porosity", ("cleaning", "rods", "machine", "passes")),
    Flaw("slag-inclusion", "Slag inclusion", "slag", ("cutting", "cleaning", "fit-up", "machine", "passes")),
    Flaw("incomplete-fusion", "Incomplete fusion", "fusion", ("cleaning", "machine", "heat", "passes")),
    Flaw(
        "incomplete-penetration", "Incomplete joint penetration", "penetration",
        ("bevelling", "fit-up", "rods", "passes"),
    ),
    Flaw("undercut", "Undercut", "undercut", ("machine", "passes")),
    Flaw("overlap", "Overlap", "overlap", ("cleaning", "machine", "passes")),
    Flaw("crack", "Crack", "cracks", ("fit-up", "rods", "heat", "passes")),
    Flaw("underfill", "Underfill", "underfill", ("passes",)),
    Flaw("excess-reinforcement", "Excess reinforcement", "reinforcement", ("machine", "passes")),
    Flaw("spatter", "Spatter", "spatter", ("machine", "rods", "passes")),
    Flaw("arc-strike", "Arc strike", "strike", ("machine", "passes")),
    Flaw("mismatch", "Misalignment", "mismatch", ("fit-up",)),
)
_BY_KEY = {each.key: each for each in FLAWS}
NOTHING = "none"


# --- one plate ------------------------------------------------------------------------


REACHED = ("fit-up", "welded", "looked", "bent")
PASSED, FAILED, NOT_JUDGED = "passed", "failed", "not-judged"
_FOUND = (Option(NOTHING, "Nothing"), *(Option(each.key, each.name) for each in FLAWS))
COLUMNS = (
    Day("date", "Date", "", "Year-month-day. May stay blank."),
    Choice(
        "position", "Position", (Option("not-said", "Not said"), *CURRENT_SETTING.input("position").options),
        "not-said", "In which the plate was welded.",
    ),
    Choice(
        "reached", "How far it came",
        (Option("fit-up", "Fit-up"), Option("welded", "Welded"), Option("looked", "Visual inspection"),
         Option("bent", "Bent")),
        "bent", "The last step of the work that was done on it.",
    ),
    Choice("fit_up", "Found at fit-up", _FOUND, NOTHING, "The worst of it."),
    Choice("looked", "Found at visual inspection", _FOUND, NOTHING, "The worst of it, within the limit or over it."),
    Choice("opened", "Opened in the bend", _FOUND, NOTHING, "What the worst open discontinuity is."),
    Choice(
        "specimen", "On which specimen",
        (Option(NOTHING, "None"), Option("face", "Face bend"), Option("root", "Root bend"),
         Option("side", "Side bend")),
        NOTHING, "That it opened on.",
    ),
    Choice(
        "verdict", "Verdict",
        (Option(NOT_JUDGED, "Not judged"), Option(PASSED, "Passed"), Option(FAILED, "Failed")), NOT_JUDGED,
        "By the rule you work to, at visual inspection or at the bend. Nobody judged it: not judged.",
    ),
)
CRACK = "crack"
MOST_PLATES = 200


@dataclass(frozen=True)
class Plate:
    """A practice plate as it was found. `id` is unique; `record` is the id of the record it was taken from, and `at`
    the moment it was last written, both empty in the rows of a calculator.
    """

    date: str = ""
    position: str = "not-said"
    reached: str = "bent"
    fit_up: str = NOTHING
    looked: str = NOTHING
    opened: str = NOTHING
    specimen: str = NOTHING
    verdict: str = NOT_JUDGED
    id: str = ""
    record: str = ""
    at: str = ""

    @property
    def passed(self) -> bool | None:
        """Whether the plate passed; None where that is not known, as where it is said to have passed with a crack.

        >>> [Plate(reached=reached, verdict="passed").passed for reached in ("welded", "looked", "bent")]
        [None, None, True]
        >>> Plate(reached="looked", verdict="failed").passed
        False
        """
        if self.verdict == FAILED and self.reached in ("looked", "bent"):
            return False
        return True if self.verdict == PASSED and self.reached == "bent" and self.looked != CRACK else None

    @property
    def flaws(self) -> tuple[str, ...]:
        """What was found on it, each kind once."""
        return tuple(dict.fromkeys(each for each in (self.fit_up, self.looked, self.opened) if each != NOTHING))

    @property
    def row(self) -> str:
        """The plate as a row of the calculator."""
        return " | ".join(str(getattr(self, column.name)) for column in COLUMNS)


def wrong(plate: Plate) -> tuple[str, str]:
    """The column of a plate that contradicts the stage reached, and what to write; empty where none does.

    >>> wrong(Plate(reached="welded", opened="porosity", specimen="face"))[0]
    'opened'
    """
    stage = REACHED.index(plate.reached)
    if plate.looked != NOTHING and stage < REACHED.index("looked"):
        return "looked", "this plate was not inspected; set how far it came to visual inspection or bent"
    if plate.opened != NOTHING and plate.reached != "bent":
        return "opened", "this plate was not bent; set how far it came to bent"
    if plate.specimen != NOTHING and plate.opened == NOTHING:
        return "opened", "say what opened on the specimen, or set the specimen to none"
    if plate.opened != NOTHING and plate.specimen == NOTHING:
        return "specimen", "say on which specimen it opened"
    if plate.verdict != NOT_JUDGED and stage < REACHED.index("looked"):
        return "verdict", "there is no verdict before visual inspection; set it to not judged"
    return "", ""


def ruled_out(plate: Plate) -> tuple[str, str]:
    """As `wrong`; also a verdict that no rule gives. Plates that were kept before may hold one.

    >>> ruled_out(Plate(looked="crack", verdict="passed"))[0]
    'verdict'
    """
    if plate.verdict == PASSED and plate.looked == CRACK:
        return "verdict", "no crack is allowed, of any size; set it to failed or not judged"
    return wrong(plate)


def read_plate(texts: Mapping[str, str], **more: str) -> Plate:
    """A plate from the texts of a form, by column. Raises `InputError` that names the column.

    >>> read_plate({"reached": "bent", "verdict": "passed"}).passed
    True
    """
    cells = {column.name: str(texts.get(column.name, "")).strip() or column.default for column in COLUMNS}
    plate = Plate(**{column.name: str(column.read(cells[column.name], "us") or "") for column in COLUMNS}, **more)
    return _sound(plate, wrong(plate))


def _sound(plate: Plate, trouble: tuple[str, str]) -> Plate:
    column, message = trouble
    if column:
        raise InputError(column, next(each.label for each in COLUMNS if each.name == column), message)
    return plate


def read_new_plate(texts: Mapping[str, str], **more: str) -> Plate:
    """A plate that is written now, from the texts of a form, by column. Raises `InputError` that names the column.

    >>> read_new_plate({"looked": "crack", "verdict": "failed"}).passed
    False
    """
    plate = read_plate(texts, **more)
    return _sound(plate, ruled_out(plate))


_OF_FIELD = {
    "cracks": "crack", "fusion": "incomplete-fusion", "undercut_depth": "undercut", "underfill": "underfill",
    "reinforcement": "excess-reinforcement", "porosity": "porosity", "mismatch_after": "mismatch",
    "root_flaw": "incomplete-penetration",
}
"""The points of a record's visual inspection that are a flaw of the list."""


def from_record(judgement: Any) -> Plate:
    """The plate of a judged test-day record (`calc.record.judge.Judgement`): what the record says, and nothing guessed.

    A record does not say which kind of discontinuity opened, so `opened` is left at nothing; the verdict is that of the
    bent specimens together, or of the visual inspection where nothing was bent or where it broke the rule.
    """
    record = judgement.record
    verdicts = {Level.OK: PASSED, Level.STOP: FAILED}
    looked, bent = judgement.line("visual"), judgement.line("bends")
    was_bent = any("yes" in row for row in record.rows.get("coupons", ()))
    seen = was_bent or looked.level in verdicts
    reached = "bent" if was_bent else "looked" if seen else "welded" if record.rows.get("passes") else "fit-up"
    verdict = FAILED if looked.level is Level.STOP else verdicts.get((bent if was_bent else looked).level, NOT_JUDGED)
    if was_bent and verdict == PASSED and looked.level is not Level.OK:
        verdict = NOT_JUDGED
    over = [flag.place for flag in judgement.flags if flag.level is Level.STOP and flag.place in _OF_FIELD]
    position, date = record.text("position"), record.text("date")
    known = {option.value for option in COLUMNS[1].options}
    try:
        date = datetime.date.fromisoformat(date).isoformat()
    except ValueError:
        date = ""
    return Plate(
        date, position if position in known else "not-said", reached,
        looked=_OF_FIELD[over[0]] if over and seen else NOTHING, verdict=verdict if seen else NOT_JUDGED,
        id=f"plate-{record.id}"[:60], record=record.id, at=record.changed,
    )


def plate_data(plate: Plate) -> dict[str, str]:
    """A plate as plain data; what is at its usual value is left out."""
    usual = asdict(Plate())
    return {name: value for name, value in asdict(plate).items() if value != usual[name] or name == "reached"}


# --- the chance ------------------------------------------------------------------------


def beta_cdf(a: float, b: float, x: float) -> float:
    """The chance that a Beta(a, b) share is at most x: the regularized incomplete beta function, by its continued
    fraction. a and b over 0, x from 0 to 1.

    >>> round(beta_cdf(1, 1, 0.3), 9), round(beta_cdf(2, 1, 0.3), 9)
    (0.3, 0.09)
    """
    if x <= 0 or x >= 1:
        return 0.0 if x <= 0 else 1.0
    if x > (a + 1) / (a + b + 2):
        return 1 - beta_cdf(b, a, 1 - x)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)) / a
    below = 0.0
    for m in range(12 + int(3 * math.sqrt(a + b)), 0, -1):  # as many terms as the last digits need
        below = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)) / (1 + below)
        below = -(a + m - 1) * (a + b + m - 1) * x / ((a + 2 * m - 2) * (a + 2 * m - 1)) / (1 + below)
    return front / (1 + below)


def beta_quantile(a: float, b: float, share: float) -> float:
    """The x under which a Beta(a, b) share lies with a chance, by halving.

    >>> round(beta_quantile(1, 1, 0.05), 9), round(beta_quantile(2, 1, 0.25), 9)
    (0.05, 0.5)
    """
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if beta_cdf(a, b, middle) < share else (low, middle)
    return (low + high) / 2


PRIOR = Fraction(1, 2)
"""Both figures of the prior: half a plate passed and half a plate failed before the first."""


@dataclass(frozen=True)
class Chance:
    """The chance to pass a plate: its expected value and its band, shares from 0 to 1; and from what it comes."""

    share: float
    low: float
    high: float
    passed: float
    decided: float
    count: int
    unknown: int


LATER = Fraction(9, 10)
"""What a plate counts of the one after it, where the latest plates count more. A choice of ours."""
BAND = Fraction(90)


def chance_to_pass(plates: Sequence[Plate], latest: bool = False, band: float = float(BAND)) -> Chance:
    """The chance to pass the next plate, from the plates before it in the order they were welded.

    E = (s + ½) / (n + 1), with s passed of n that are decided; the band is that of Beta(s + ½, n − s + ½), the same
    chance left out on both sides. It reaches 1 where all passed, and 0 where none did. `latest`: each plate counts
    `LATER` of the one after it. `band` in percent.

    >>> three = chance_to_pass([Plate(verdict="passed")] * 3)
    >>> three.share, round(three.low, 2), three.high
    (0.875, 0.56, 1.0)
    """
    known = [each.passed for each in plates if each.passed is not None]
    weights = [float(LATER) ** (len(known) - 1 - place) if latest else 1 for place in range(len(known))]
    passed, decided = sum(w for w, each in zip(weights, known) if each), sum(weights)
    a, b, out = passed + float(PRIOR), decided - passed + float(PRIOR), (1 - band / 100) / 2
    low = beta_quantile(a, b, out) if passed else 0.0
    high = beta_quantile(a, b, 1 - out) if passed < decided or not decided else 1.0
    return Chance(a / (a + b), low, high, passed, decided, len(known), len(plates) - len(known))


def comes_back(plates: Iterable[Plate]) -> list[tuple[Flaw, int]]:
    """The flaws found on two plates or more, the most frequent first.

    >>> two = [Plate(opened="porosity", looked="undercut"), Plate(looked="undercut")]
    >>> [(each.key, count) for each, count in comes_back(two)]
    [('undercut', 2)]
    """
    counted = Counter(flaw for plate in plates for flaw in plate.flaws)
    return [(_BY_KEY[key], count) for key, count in sorted(counted.items(), key=lambda each: (-each[1], each[0]))
            if count > 1]


def suspected(plates: Iterable[Plate]) -> list[tuple[str, int]]:
    """The stages that can make what was found, by on how many plates; only those that come first.

    >>> suspected([Plate(opened="slag-inclusion"), Plate(looked="mismatch")])
    [('fit-up', 2)]
    """
    counted = Counter(
        stage for plate in plates for stage in {stage for flaw in plate.flaws for stage in _BY_KEY[flaw].stages}
    )
    most = max(counted.values(), default=0)
    return [(stage, most) for stage in STAGES if counted[stage] == most and most]


def plates_before_booking(fail: float, plate_cost: float, test_cost: float, mended: float) -> int:
    """How many more plates pay before booking.

    Booking now is expected to cost q·F, with q the chance to fail and F the cost of a failed test. One more plate costs
    c and takes the share r away of q, so that it brings q·r·F. Plates pay while q·(1 − r)ᵏ·r·F > c after k of them. `fail` and `mended` from 0 to 1.

    >>> [plates_before_booking(0.4, 25, 400, mended) for mended in (0.0, 0.1, 0.3)]
    [0, 0, 2]
    """
    count = 0
    while fail * (1 - mended) ** count * mended * test_cost > plate_cost:
        count += 1
    return count


# --- the calculator ------------------------------------------------------------------------


FEW = 5
"""Decided plates below which the guide says that they are few. A choice of ours."""


def work_plate_chance(
    w: Working, *, plates: tuple[tuple[Any, ...], ...], weigh: str, band: str, plate_cost: Fraction | None,
    test_cost: Fraction | None, mended: Fraction | None,
) -> None:
    """The chance to pass the next plate, and whether one more practice plate pays before the test is booked.

    p = (s + ½) / (n + 1) × 100: chance to pass, %; s plates passed of n that are decided. The band is that of
    Beta(s + ½, n − s + ½). C = (1 − p / 100) × F: expected cost of booking now, with F the cost of a failed test. One
    more plate of cost c pays if it lowers the chance to fail by more than c / F.

    Valid for plates welded like the one of the test, by one hand. Raises `InputError` for a row that contradicts the
    stage reached. Source: worked out here; the prior is Beta(½, ½).

    >>> answer = PLATE_CHANCE.answer(plates="| | bent | | | | | passed; | | bent | | | | | passed")
    >>> answer["chance"].text("us")  # by hand: (2 + 1/2) / 3
    '83\xa0%'
    """
    logged = [_of_row(number, row) for number, row in enumerate(plates, 1)]
    found = chance_to_pass(logged, weigh == "latest", float(band))
    s = w.given("passed", "s", round(found.passed, 6), NUMBER)
    n = w.given("decided", "n", round(found.decided, 6), NUMBER)
    p = w.let(
        "chance", "Chance to pass the next plate", "p", PERCENTAGE, (s + PRIOR) / (n + 1) * 100, source=COUNTED,
        main=True, digits=2,
    )
    low, high = (w.value(
        name, f"{label} of the {band} % band", 100 * end, PERCENTAGE, source=COUNTED, main=True, digits=2,
    ) for name, label, end in (("low", "Low end", found.low), ("high", "High end", found.high)))
    w.words("counted", "Plates that count", _counted(logged, weigh), source=ENTERED)
    w.say(f"{_headline(logged, found)}: chance to pass the next one about {{chance}}, {band} % band from {{low}} to "
          "{high}.")
    _tell_how_sure(w, found, band)
    _tell_flaws(w, logged)
    costs = plate_cost is not None and test_cost is not None
    if costs:
        _book_or_weld(w, p, plate_cost, test_cost, mended)
    else:
        w.incomplete(
            "booking", "Write what one plate and a failed test cost you; then booking now and one more plate are "
            "compared.", source=EXPECTED,
        )
    w.draw(scales.pass_chance(w, band))
    w.warn(STUDY_HELP)


def _of_row(number: int, row: tuple[Any, ...]) -> Plate:
    plate = Plate(*(str(cell or "") for cell in row))
    try:
        return _sound(plate, ruled_out(plate))
    except InputError as trouble:
        raise InputError("plates", "Plates", f"Plate {number}, {trouble.label.lower()}: {trouble.message}") from None


def _headline(plates: Sequence[Plate], found: Chance) -> str:
    passed = sum(each.passed is True for each in plates)
    return f"{passed} of {found.count} plates passed" if found.count else "No plate has a verdict yet"


def _counted(plates: Sequence[Plate], weigh: str) -> str:
    how = "each 9/10 of the one after it" if weigh == "latest" else "all alike"
    known = [each.passed for each in plates]
    return f"{known.count(True)} passed, {known.count(False)} failed, {known.count(None)} not known; {how}"


def _tell_how_sure(w: Working, found: Chance, band: str) -> None:
    if found.unknown:
        noun = "plate has" if found.unknown == 1 else "plates have"
        w.not_known(
            "unfinished", f"{found.unknown} {noun} no verdict of the bend. Whether it would pass is not known. It counts "
            "neither as passed nor as failed." if found.unknown == 1 else f"{found.unknown} {noun} no verdict of the "
            "bend. Whether they would pass is not known. They count neither as passed nor as failed.", source=ENTERED,
        )
    if not found.count:
        w.incomplete(
            "few", "No plate was bent and judged, and none failed before. The figures above are only what is assumed "
            "before the first plate: half a plate passed, half a plate failed.", source=COUNTED,
        )
    elif found.count < FEW:
        w.caution(
            "few", f"{found.count} {'plate tells' if found.count == 1 else 'plates tell'} little: the band still "
            "reaches from {low} to {high}. They cannot tell a sure hand from a lucky one.", source=COUNTED,
        )
    else:
        w.note(
            "few", f"Of hands like this, about {band} in 100 have their true chance inside the band. It holds for "
            "plates welded like these, and not for another position, rod or joint.", source=COUNTED,
        )


def _tell_flaws(w: Working, plates: Sequence[Plate]) -> None:
    back, stages = comes_back(plates), suspected(plates)
    if back:
        flaw, count = back[0]
        names = listed([STAGES[each] for each in flaw.stages])
        w.caution(
            "comes-back", f"{flaw.name} came back on {count} plates. It starts at: {names}. Change one habit on the "
            "next plate.", source=COMMON,
        )
    elif stages:
        names = listed([STAGES[stage] for stage, _ in stages])
        w.note("comes-back", f"No discontinuity came back. What was found can start at: {names}.", source=COMMON)


def _book_or_weld(w: Working, p: Any, plate_cost: Fraction, test_cost: Fraction, mended: Fraction | None) -> None:
    c = w.given("plate_cost", "c", plate_cost, NUMBER)
    f = w.given("test_cost", "F", test_cost, NUMBER)
    q = w.let("fail", "Chance to fail", "q", PERCENTAGE, 100 - p, source=COUNTED, digits=2)
    w.let(
        "book_now", "Expected cost of booking now, in your money", "C", NUMBER, q / 100 * f, source=EXPECTED, main=True,
        digits=3,
    )
    below = q.amount - plate_cost / test_cost * 100
    if below > 0:
        w.let(
            "pays_below", "One more plate pays if it brings the chance to fail below", "q_1", PERCENTAGE,
            q - c / f * 100, source=EXPECTED, main=True, digits=2,
        )
    if mended is None or below <= 0:
        if below > 0:
            w.not_known(
                "booking", "How much one more plate lowers your chance to fail is yours to judge. It pays if it brings "
                "that chance from {fail} below {pays_below}.", source=EXPECTED,
            )
        else:
            w.note("booking", f"Booking now is expected to cost {{book_now}}, and one more plate {{plate_cost}}: it does "
                   f"not pay. {NO_VERDICT}", source=EXPECTED)
        return
    r = w.given("mended", "r", mended, PERCENTAGE)
    w.let(
        "brings", "What one more plate brings, in your money", "B", NUMBER, q / 100 * r / 100 * f, source=EXPECTED,
        digits=3,
    )
    count = plates_before_booking(float(q.amount) / 100, float(plate_cost), float(test_cost), float(mended) / 100)
    w.value("more", "More plates before booking pays", count, NUMBER, source=EXPECTED, main=True)
    if count:
        plates = "plate" if count == 1 else "plates"
        w.caution(
            "booking", f"By your figures {count} more {plates} pay before you book: the next one brings {{brings}} and "
            "costs {plate_cost}.", source=EXPECTED,
        )
    else:
        w.note(
            "booking", f"By your figures one more plate brings {{brings}} and costs {{plate_cost}}: it does not pay. "
            f"{NO_VERDICT}", source=EXPECTED,
        )


NO_VERDICT = "That says nothing of whether you will pass."
PLATE_CHANCE = Calculator(
    id="plate-chance",
    title="Chance to pass a plate",
    question="How likely do I pass the next plate, and does one more practice plate pay before I book the test?",
    page="plates.md",
    work=work_plate_chance,
    main=("weigh", "plate_cost", "test_cost", "mended"),
    inputs=(
        Rows(
            "plates", "Plates", COLUMNS,
            "2026-01-12 | 3G | looked | none | undercut | none | none | failed\n"
            "2026-01-19 | 3G | bent | none | none | slag-inclusion | face | failed\n"
            "2026-01-26 | 3G | bent | none | undercut | none | none | passed\n"
            "2026-02-02 | 3G | bent | none | none | none | none | passed\n"
            "2026-02-09 | 3G | welded | none | none | none | none | not-judged",
            "One row a plate, in the order they were welded. The rows shown are invented.", "Plate", fewest=0,
            most=MOST_PLATES,
        ),
        Choice(
            "weigh", "How plates count", (Option("alike", "All alike"), Option("latest", "The latest count most")),
            "alike", "The latest count most: each plate counts 9/10 of the one after it.",
        ),
        Choice(
            "band", "Band", (Option("80", "80 %"), Option("90", "90 %")), "90",
            "Of many hands, this share has its true chance inside the band.",
        ),
        Quantity("plate_cost", "Cost of one more plate", NUMBER, "", "0.01", "100000",
            "In your own money: steel, rods, gas, your time.", "c"),
        Quantity("test_cost", "Cost of a failed test", NUMBER, "", "0.01", "1000000",
            "In your own money: fee, plate, the day lost, the job that waits.", "F"),
        Quantity(
            "mended", "What one plate takes away of the chance to fail", PERCENTAGE, "", "1 %", "90 %",
            "Your own judgment, such as one tenth. Leave it blank if you cannot say.", "r",
        ),
    ),
)

def joined(one: Mapping[str, Plate], other: Mapping[str, Plate]) -> dict[str, Plate]:
    """Both logs as one: each plate once, by its id; of two writings of a plate the later one."""
    newest = dict(one)
    for name, plate in other.items():
        newest[name] = max(newest.get(name, plate), plate, key=lambda each: (each.at, each.row, each.record))
    return newest


def ordered(plates: Iterable[Plate]) -> list[Plate]:
    """Plates in the order they were welded; those without a date come first."""
    return sorted(plates, key=lambda each: (each.date, each.at, each.id))
