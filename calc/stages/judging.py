"""Judging the bent specimens by a rule chosen by name: each open discontinuity, their sum, each specimen, the test.

Stage: judging. The rules of different documents are rows of data; how a document
treats an open discontinuity at a corner is one of a few named ways. The default is AWS D1.1,
clause 4.9.3.3 (read). Everything here is study help, never a certification.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from calc.core.declare import Calculator, Choice, InputError, Level, Option, Quantity, Rows, Whole, Working
from calc.core.formula import Formula
from calc.core.sources import (
    API_1104,
    ASME_IX,
    AWS_D11,
    CFR_49_192,
    COMMON,
    DC_12_E1019,
    ENTERED,
    ISO_9606_1,
    NAVEDTRA_14250,
    Citation,
    Fact,
    Standing,
    length_fact,
)
from calc.core.units import LENGTH, NUMBER, parse, show_as_written
from calc.stages.coupons import KIND_SOURCE, KindsFound, kinds_found, kinds_in_words
from calc.stages.judging_drawings import Found, faces

AWS_BENDS = Citation(AWS_D11, "clause 4.9.3.3", Standing.READ, "Read in a reproduction of the page.")
AWS_BENDS_MM = Citation(
    AWS_D11, "clause 4.9.3.3, millimeter figures", Standing.READ,
    "Read in a reproduction of the page. They are rounded, not converted.",
)
ASME_BENDS = Citation(ASME_IX, "QW-163", Standing.READ)
ASME_NO_SUM = Citation(ASME_IX, "QW-163", Standing.FROM_MEMORY, "That there is no limit on a sum is from memory.")
CFR_BENDS = Citation(CFR_49_192, "Section I", Standing.READ)
DC_BENDS = Citation(DC_12_E1019, "", Standing.READ)
ISO_BENDS = Citation(ISO_9606_1, "6.5.3", Standing.FROM_MEMORY)
API_BENDS = Citation(
    API_1104, "5.6.4", Standing.SECONDARY, "That an edge crack with a discontinuity seen in it counts is from memory.",
)
NAVY_BENDS = Citation(NAVEDTRA_14250, "Chapter 7", Standing.READ)


@dataclass(frozen=True)
class Figures:
    """The limits of a rule in one set of figures. None where the rule has no such limit."""

    single: Fact
    floor: Fact | None = None
    total: Fact | None = None
    corner: Fact | None = None


class Corner(Enum):
    """How a rule treats an open discontinuity at a corner of the specimen."""

    OWN_LIMIT = (
        "a limit of its own unless a discontinuity is seen; above it, without a discontinuity, the specimen is replaced"
    )
    NOT_COUNTED_WITHOUT_FLAW = "not counted unless a discontinuity is seen in it"
    NEVER_COUNTED = "not counted"
    SMALL_NOT_COUNTED = "not counted under a limit of its own unless a discontinuity is seen in it"
    LIKE_ANY = "the rule says nothing of corners: judged like any other open discontinuity"


@dataclass(frozen=True)
class BendRule:
    """What one document accepts on a bent specimen."""

    key: str
    name: str
    source: Citation
    inch: Figures
    metric: Figures
    corner: Corner
    coupons: int | None = None
    failing_coupons: int = 1
    fails_at_limit: bool = False
    half_wall: bool = False

    def figures(self, which: str) -> Figures:
        """The figures of this rule in inches for “inch”, else those in millimeters."""
        return self.inch if which == "inch" else self.metric


AWS = BendRule(
    "aws", "AWS D1.1", AWS_BENDS,
    Figures(
        length_fact("bend-single", "Maximum open discontinuity, any direction", "1/8 in", AWS_BENDS),
        length_fact("bend-sum-floor", "Open discontinuities up to this size are left out of the sum", "1/32 in", AWS_BENDS),
        length_fact("bend-sum", "Maximum sum of the open discontinuities on one specimen", "3/8 in", AWS_BENDS),
        length_fact("bend-corner", "Maximum corner crack with no discontinuity seen in it", "1/4 in", AWS_BENDS),
    ),
    Figures(
        length_fact("bend-single-mm", "Maximum open discontinuity, any direction, millimeter figure", "3 mm", AWS_BENDS_MM),
        length_fact("bend-sum-floor-mm", "Left out of the sum, millimeter figure", "1 mm", AWS_BENDS_MM),
        length_fact("bend-sum-mm", "Largest sum, millimeter figure", "10 mm", AWS_BENDS_MM),
        length_fact(
            "bend-corner-mm", "Maximum corner crack with no discontinuity seen, millimeter figure", "6 mm",
            AWS_BENDS_MM,
        ),
    ),
    Corner.OWN_LIMIT, coupons=2,
)
ASME = BendRule(
    "asme", "ASME Section IX", ASME_BENDS,
    Figures(length_fact("bend-single-asme", "Maximum open discontinuity, ASME IX", "1/8 in", ASME_BENDS)),
    Figures(
        length_fact("bend-single-asme-mm", "Maximum open discontinuity, ASME IX, millimeter figure", "3 mm", ASME_BENDS),
    ),
    Corner.NOT_COUNTED_WITHOUT_FLAW, coupons=2,
)
CFR = BendRule(
    "cfr", "49 CFR 192, Appendix C", CFR_BENDS,
    Figures(length_fact("bend-single-cfr", "Maximum crack length, 49 CFR 192", "1/8 in", CFR_BENDS)),
    Figures(length_fact("bend-single-cfr-mm", "Maximum crack length, 49 CFR 192, millimeter figure", "3.2 mm", CFR_BENDS)),
    Corner.NEVER_COUNTED, coupons=4, failing_coupons=2,
)
_ISO_FIGURES = Figures(
    length_fact("bend-single-iso", "Size from which one open discontinuity fails, ISO 9606-1", "3 mm", ISO_BENDS),
    length_fact(
        "bend-sum-floor-iso", "Open discontinuities up to this size are left out of the sum, ISO 9606-1", "1 mm",
        ISO_BENDS,
    ),
    length_fact("bend-sum-iso", "Maximum sum of the open discontinuities on one specimen, ISO 9606-1", "10 mm", ISO_BENDS),
)
ISO = BendRule(
    "iso", "ISO 9606-1", ISO_BENDS, _ISO_FIGURES, _ISO_FIGURES, Corner.NOT_COUNTED_WITHOUT_FLAW, fails_at_limit=True,
)
_DC_FIGURES = Figures(length_fact("bend-single-dc", "Largest defect, DC Municipal Regulations", "3.2 mm", DC_BENDS))
DC = BendRule("dc", "DC Municipal Regulations 12-E1019", DC_BENDS, _DC_FIGURES, _DC_FIGURES, Corner.LIKE_ANY)
_API_FIGURES = Figures(
    length_fact(
        "bend-single-api", "Maximum open discontinuity, or half the wall if that is less, API 1104", "3 mm", API_BENDS,
    ),
    corner=length_fact("bend-corner-api", "Edge cracks under this size are not counted, API 1104", "6 mm", API_BENDS),
)
API = BendRule("api", "API 1104", API_BENDS, _API_FIGURES, _API_FIGURES, Corner.SMALL_NOT_COUNTED, half_wall=True)
_NAVY_FIGURES = Figures(length_fact("bend-single-navy", "Maximum crack, US Navy steelworker course", "1/8 in", NAVY_BENDS))
NAVY = BendRule("navy", "US Navy NAVEDTRA 14250", NAVY_BENDS, _NAVY_FIGURES, _NAVY_FIGURES, Corner.LIKE_ANY)
RULES: tuple[BendRule, ...] = (AWS, ASME, CFR, ISO, DC, API, NAVY)

CFR_FAILING = Fact(
    "bend-cfr-failing", "Specimens over the limit that fail the test, 49 CFR 192", Fraction(2), NUMBER, CFR_BENDS,
)
FACTS: tuple[Fact, ...] = (
    *dict.fromkeys(
        fact for rule in RULES for side in (rule.inch, rule.metric)
        for fact in (side.single, side.floor, side.total, side.corner) if fact is not None
    ),
    CFR_FAILING,
)


@dataclass(frozen=True)
class Opening:
    """An open discontinuity on the convex surface: on which specimen, its largest dimension (m), at a corner or not,
    slag or a fusion discontinuity seen in it or not.
    """

    coupon: int
    size: Fraction
    at_corner: bool
    flaw_seen: bool


class Outcome(Enum):
    """How one open discontinuity comes out."""

    WITHIN = "within the limit"
    NOT_COUNTED = "not counted"
    OVER = "over the limit"
    REPLACE = "no verdict: the specimen is replaced"


class Verdict(Enum):
    """How a specimen, or the whole test, comes out."""

    PASSES = "passes"
    FAILS = "fails"
    REPLACE = "has no verdict yet: discard the specimen and bend a replacement from the same plate"
    UNFINISHED = "is not complete"


@dataclass(frozen=True)
class CouponJudgement:
    """One specimen by one rule: how each of its open discontinuities comes out, what adds up, and the verdict."""

    outcomes: tuple[tuple[Opening, Outcome], ...]
    counted: tuple[Opening, ...]
    total: Fraction
    total_over: bool
    verdict: Verdict


def single_limit(rule: BendRule, figures: Figures, wall: Fraction) -> Fraction:
    """The maximum single open discontinuity (m): the figure of the rule, or half the wall where the rule says so and
    that is less.

    >>> single_limit(AWS, AWS.inch, parse("3/16 in", LENGTH)) == parse("1/8 in", LENGTH)
    True
    >>> single_limit(API, API.inch, parse("3/16 in", LENGTH)) == parse("3/32 in", LENGTH)
    True
    """
    return min(figures.single.amount, wall / 2) if rule.half_wall else figures.single.amount


def judge_opening(rule: BendRule, figures: Figures, opening: Opening, wall: Fraction) -> Outcome:
    """How one open discontinuity comes out. `wall` is the plate or pipe wall (m), which only API 1104 asks for.

    Exactly at a limit passes, except by ISO 9606-1, which as we hold it fails a discontinuity of 3 mm.

    >>> eighth = Opening(1, parse("1/8 in", LENGTH), at_corner=False, flaw_seen=False)
    >>> judge_opening(AWS, AWS.inch, eighth, parse("3/8 in", LENGTH)).value
    'within the limit'
    >>> judge_opening(AWS, AWS.metric, eighth, parse("3/8 in", LENGTH)).value
    'over the limit'
    """
    if opening.at_corner:
        if rule.corner is Corner.NEVER_COUNTED:
            return Outcome.NOT_COUNTED
        if not opening.flaw_seen:
            if rule.corner is Corner.NOT_COUNTED_WITHOUT_FLAW:
                return Outcome.NOT_COUNTED
            if rule.corner is Corner.SMALL_NOT_COUNTED and opening.size < figures.corner.amount:
                return Outcome.NOT_COUNTED
            if rule.corner is Corner.OWN_LIMIT:
                return Outcome.WITHIN if opening.size <= figures.corner.amount else Outcome.REPLACE
    limit = single_limit(rule, figures, wall)
    over = opening.size >= limit if rule.fails_at_limit else opening.size > limit
    return Outcome.OVER if over else Outcome.WITHIN


def judge_coupon(rule: BendRule, figures: Figures, openings: tuple[Opening, ...], wall: Fraction) -> CouponJudgement:
    """One specimen: each open discontinuity, the sum of those over the floor and up to the single limit, the verdict.

    Corner cracks up to the single limit are counted into the sum, since the clause says all
    discontinuities; that is the more cautious reading. No open discontinuity at all is a pass.

    >>> judge_coupon(AWS, AWS.inch, (), parse("3/8 in", LENGTH)).verdict.value
    'passes'
    """
    outcomes = tuple((each, judge_opening(rule, figures, each, wall)) for each in openings)
    counted: tuple[Opening, ...] = ()
    if figures.floor is not None:
        counted = tuple(
            each for each, outcome in outcomes
            if outcome is Outcome.WITHIN and figures.floor.amount < each.size <= figures.single.amount
        )
    total = sum((each.size for each in counted), Fraction(0))
    total_over = figures.total is not None and total > figures.total.amount
    found = {outcome for _, outcome in outcomes}
    if Outcome.OVER in found or total_over:
        verdict = Verdict.FAILS
    else:
        verdict = Verdict.REPLACE if Outcome.REPLACE in found else Verdict.PASSES
    return CouponJudgement(outcomes, counted, total, total_over, verdict)


def judge_test(rule: BendRule, coupons: tuple[CouponJudgement, ...]) -> Verdict:
    """The whole test: fails with as many failing specimens as the rule says, else waits for a replacement or for
    missing specimens.

    >>> clean = judge_coupon(AWS, AWS.inch, (), parse("3/8 in", LENGTH))
    >>> judge_test(AWS, (clean, clean)).value, judge_test(AWS, (clean,)).value
    ('passes', 'is not complete')
    """
    verdicts = [coupon.verdict for coupon in coupons]
    if verdicts.count(Verdict.FAILS) >= rule.failing_coupons:
        return Verdict.FAILS
    if Verdict.REPLACE in verdicts:
        return Verdict.REPLACE
    if rule.coupons is not None and len(coupons) < rule.coupons:
        return Verdict.UNFINISHED
    return Verdict.PASSES


def _judge_all(
    rule: BendRule, which: str, openings: tuple[Opening, ...], coupons: int, wall: Fraction,
) -> tuple[CouponJudgement, ...]:
    figures = rule.figures(which)
    return tuple(
        judge_coupon(rule, figures, tuple(each for each in openings if each.coupon == number), wall)
        for number in range(1, coupons + 1)
    )


def work_bend_judge(
    w: Working, *, rule: str, figures: str, coupons: int, kinds: str,
    openings: tuple[tuple[int, Fraction, str, str], ...],
    wall: Fraction | None, looked: str,
) -> None:
    """The bent specimens by the rule chosen: each open discontinuity, their sum on each specimen, each specimen, and
    the whole test.

    By AWS D1.1 an open discontinuity a may be 1/8 in in any direction; the sum S of those over 1/32 in and up to 1/8 in
    on one specimen 3/8 in; a corner crack 1/4 in, or 1/8 in with a slag or fusion discontinuity seen in it. Lengths in
    m, `wall` t the thickness of the plate or pipe. The test is whole when the kinds and the number of specimens are
    those that the rule asks of that plate; too few, the wrong kind, or a convex surface that nobody inspected is not
    complete, never a pass.

    Valid for 1 to 8 specimens and open discontinuities up to 6 in. Raises `InputError` for an open discontinuity on a
    specimen that was not bent, and for API 1104 without a wall. Source: AWS D1.1:2015, clause 4.9.3.3 (read); the other
    rules as each states.

    The three figures of the clause, each at its limit:

    >>> def told(openings): return BEND_JUDGE.answer(openings=openings)["verdict"].wording.partition(" (")[0]
    >>> told("1 | 1/8 in | face; 1 | 1/8 in | face; 1 | 1/8 in | face; 2 | 1/4 in | corner")
    'passes'
    >>> told("1 | 0.126 in | face"), told("1 | 1/8 in | face; 1 | 1/8 in | face; 1 | 1/8 in | face; 1 | 1/16 in | face")
    ('fails', 'fails')
    """
    chosen = next(each for each in RULES if each.key == rule)
    if wall is None and chosen.half_wall:
        raise InputError(
            "wall", "Plate or pipe wall", "this rule goes by it; write it in inches or millimeters, as in 3/8 in",
        )
    # Only API 1104 takes a limit from the wall; beside it a blank one is compared as a thick one.
    thick = wall if wall is not None else BEND_JUDGE.input("wall").limits[1]
    found = _openings(openings, coupons)
    judged = _judge_all(chosen, figures, found, coupons, thick)
    have = tuple(_kind(kinds, number) for number in range(1, coupons + 1))
    whole = kinds_found(chosen.key, wall, have)
    verdict = judge_test(chosen, judged)
    if verdict is Verdict.PASSES and (looked == "no" or whole.level is Level.INCOMPLETE):
        verdict = Verdict.UNFINISHED
    names = [f"specimen {number} ({kind} bend)" for number, kind in enumerate(have, 1)]
    _write_answer(w, chosen, figures, found, judged, thick, verdict, names)
    _write_other_rules(w, figures, found, coupons, thick)
    w.draw(faces(w, names, _drawn(chosen, figures, judged, found, thick)))
    _check_all(w, chosen, figures, found, judged, verdict, names, looked)
    _check_test(w, chosen, verdict, judged, coupons)
    _check_kinds(w, chosen, whole, have)
    _compare_figures(w, chosen, figures, found, coupons, thick)
    _compare_rules(w, chosen, figures, found, coupons, thick, verdict)
    w.warn(
        "This is study help, not a certification. The verdict belongs to a qualified inspector with the code in force "
        "in hand.",
    )
    w.warn(
        "A bent specimen has sharp edges and open cracks. Wear gloves, and let it cool and come off the plunger before "
        "you handle it.",
    )


def _write_answer(
    w: Working, chosen: BendRule, figures: str, found: tuple[Opening, ...], judged: tuple[CouponJudgement, ...],
    wall: Fraction,
    verdict: Verdict, names: list[str],
) -> None:
    """The verdict, the limits judged by, the open discontinuities, and each specimen with its sum."""
    told = f"{verdict.value} (study help, not a certification)"
    w.words("verdict", f"The test by {chosen.name}", told, source=chosen.source, main=True)
    _limits(w, chosen, figures, wall)
    _list_openings(w, found, names)
    for number, (name, coupon) in enumerate(zip(names, judged, strict=True), 1):
        w.words(f"coupon_{number}", name.capitalize(), coupon.verdict.value, source=chosen.source, main=True)
        if chosen.figures(figures).total is not None:
            _sum(w, chosen, found, coupon, number, name)
    largest = max((each.size for each in found), default=Fraction(0))
    w.value("largest", "Largest open discontinuity of all", largest, LENGTH, source=ENTERED, as_fraction=True)
    each_told = ", ".join(f"{name} {_briefly(coupon)}" for name, coupon in zip(names, judged, strict=True))
    w.say(f"By {chosen.name}, {each_told}. The test {verdict.value}.")


def _write_other_rules(w: Working, figures: str, found: tuple[Opening, ...], coupons: int, wall: Fraction) -> None:
    for other in RULES:
        by_other = judge_test(other, _judge_all(other, figures, found, coupons, wall))
        w.words(
            f"by_{other.key}", f"The same open discontinuities by {other.name}", _short(other, by_other, found),
            source=other.source,
        )


def _check_all(
    w: Working, chosen: BendRule, figures: str, found: tuple[Opening, ...], judged: tuple[CouponJudgement, ...],
    verdict: Verdict,
    names: list[str], looked: str,
) -> None:
    """Each specimen's open discontinuities and sum. One over the limit stops the test only where the rule fails it."""
    over = Level.CAUTION if chosen.failing_coupons > 1 and verdict is not Verdict.FAILS else Level.STOP
    for number, coupon in enumerate(judged, 1):
        name = names[number - 1]
        if looked == "no":
            text = f"Inspect the convex surface of {name} with good light, from edge to edge, before you judge it."
            w.incomplete(f"coupon-{number}", text, source=chosen.source)
        elif not coupon.outcomes:
            w.ok(f"coupon-{number}", f"No open discontinuity was entered for {name}: it passes.", source=chosen.source)
        _check_coupon(w, chosen, figures, found, coupon, number, name, over)


def _check_kinds(w: Working, chosen: BendRule, whole: KindsFound, have: tuple[str, ...]) -> None:
    """Whether these are the specimens that the rule asks of this plate."""
    if chosen.key in KIND_SOURCE:
        bent = f"{kinds_in_words(have)} {'was' if len(have) == 1 else 'were'} bent"
        w.check(whole.level, "kinds", whole.said(bent), source=whole.source)


def _drawn(
    rule: BendRule, which: str, judged: tuple[CouponJudgement, ...], found: tuple[Opening, ...], wall: Fraction,
) -> list[Found]:
    """The open discontinuities as the drawing takes them, each beside the limit it was judged by."""
    figures = rule.figures(which)
    outcomes = {id(each): outcome for coupon in judged for each, outcome in coupon.outcomes}
    return [
        Found(
            number, each.coupon, float(each.size), each.at_corner,
            float(figures.corner.amount if _by_corner(rule, each) else single_limit(rule, figures, wall)),
            _IN_SHORT[outcomes[id(each)]],
        )
        for number, each in enumerate(found, 1)
    ]


_IN_SHORT = {
    Outcome.WITHIN: "within", Outcome.NOT_COUNTED: "not counted", Outcome.OVER: "over", Outcome.REPLACE: "replace",
}


def _by_corner(rule: BendRule, opening: Opening) -> bool:
    """Whether the open discontinuity goes by the rule's own limit for corner cracks."""
    return rule.corner is Corner.OWN_LIMIT and opening.at_corner and not opening.flaw_seen


def _openings(rows: tuple[tuple[int, Fraction, str, str], ...], coupons: int) -> tuple[Opening, ...]:
    """The rows as open discontinuities. Refuses one on a specimen that is not there."""
    for number, (coupon, *_) in enumerate(rows, 1):
        if coupon > coupons:
            raise InputError(
                "openings", "Open discontinuities found",
                f"Open discontinuity {number}, specimen: there is no specimen {coupon}; write a whole number from 1 "
                f"to {coupons}",
            )
    return tuple(Opening(coupon, size, place == "corner", flaw == "yes") for coupon, size, place, flaw in rows)


def _kind(kinds: str, number: int) -> str:
    if kinds == "face-root":
        return "face" if number % 2 else "root"
    return kinds


def _short(rule: BendRule, verdict: Verdict, found: tuple[Opening, ...]) -> str:
    if verdict is Verdict.UNFINISHED:
        return f"not complete: this rule asks for {rule.coupons} specimens"
    if verdict is Verdict.FAILS and rule.corner is Corner.LIKE_ANY and any(each.at_corner for each in found):
        return (
            f"{verdict.value} (as we hold it, it says nothing of corners, so they are judged like any open "
            "discontinuity)"
        )
    return "a specimen must be replaced" if verdict is Verdict.REPLACE else verdict.value


def _briefly(coupon: CouponJudgement) -> str:
    return "must be replaced" if coupon.verdict is Verdict.REPLACE else coupon.verdict.value


def _limits(w: Working, rule: BendRule, which: str, wall: Fraction) -> None:
    """The limits judged by, each a row of the answer with its source."""
    figures = rule.figures(which)
    w.value(
        "single_limit", figures.single.label, figures.single.amount, LENGTH, source=figures.single.source,
        as_fraction=True,
    )
    if rule.half_wall:
        given = w.given("wall", "t", wall, LENGTH)
        w.let("half_wall", "Half the wall", "t/2", LENGTH, given / 2, source=rule.source, as_fraction=True)
        w.given("single_limit", "a", single_limit(rule, figures, wall), LENGTH)
    for name, fact in (("floor", figures.floor), ("total_limit", figures.total), ("corner_limit", figures.corner)):
        if fact is not None:
            w.value(name, fact.label, fact.amount, LENGTH, source=fact.source, as_fraction=True)


def _list_openings(w: Working, found: tuple[Opening, ...], names: list[str]) -> None:
    for number, each in enumerate(found, 1):
        place = "at a corner" if each.at_corner else "away from the corners"
        flaw = ", slag or fusion discontinuity seen" if each.flaw_seen else ""
        w.value(
            f"opening_{number}", f"Open discontinuity {number}, {names[each.coupon - 1]}, {place}{flaw}", each.size,
            LENGTH,
            source=ENTERED, as_fraction=True, symbol=f"a_{number}",
        )


def _sum(
    w: Working, rule: BendRule, found: tuple[Opening, ...], coupon: CouponJudgement, number: int, name: str,
) -> None:
    """The sum of the open discontinuities that count, as a worked step; each keeps the number it has in the list."""
    terms: Formula | None = None
    for position, each in enumerate(found, 1):
        if any(each is other for other in coupon.counted):
            term = w.given(f"opening_{position}", f"a_{position}", each.size, LENGTH)
            terms = term if terms is None else terms + term
    label = f"Sum of the open discontinuities that count, {name}"
    if terms is None:
        w.value(f"sum_{number}", label, Fraction(0), LENGTH, source=rule.source, main=True, as_fraction=True)
    else:
        w.let(f"sum_{number}", label, f"S_{number}", LENGTH, terms, source=rule.source, main=True, as_fraction=True)


def _check_coupon(
    w: Working, rule: BendRule, which: str, found: tuple[Opening, ...], coupon: CouponJudgement, number: int, name: str,
    over: Level,
) -> None:
    """A sentence for each open discontinuity, and one for the sum."""
    for each, outcome in coupon.outcomes:
        position = next(place for place, other in enumerate(found, 1) if other is each)
        head = f"Open discontinuity {position} on {name}, {{opening_{position}}}"
        if outcome is Outcome.NOT_COUNTED:
            w.note(
                f"opening-{position}", f"{head}, is at a corner and not counted: {rule.corner.value}.",
                source=rule.source,
            )
        elif outcome is Outcome.REPLACE:
            text = (
                f"{head}, is a corner crack over {{corner_limit}} with no slag or fusion discontinuity seen in it. "
                "Discard the "
                "specimen and bend a replacement from the same plate."
            )
            w.incomplete(f"opening-{position}", text, source=rule.source)
        elif outcome is Outcome.OVER:
            why = "at or over" if rule.fails_at_limit else "over"
            text = f"{head}, is {why} the limit of {{single_limit}}."
            if each.at_corner and each.flaw_seen:
                text += " A discontinuity seen in a corner crack takes away the allowance for corners."
            w.check(over, f"opening-{position}", text, source=rule.source)
        else:
            own = _by_corner(rule, each)
            limit = "{corner_limit} for a corner crack with no discontinuity seen" if own else "{single_limit}"
            w.ok(f"opening-{position}", f"{head}, is within the limit of {limit}.", source=rule.source)
    if rule.figures(which).total is None or not coupon.outcomes:
        return
    if coupon.total_over:
        w.stop(
            f"total-{number}",
            f"The open discontinuities that count on {name} add up to {{sum_{number}}}, over {{total_limit}}.",
            source=rule.source,
        )
        _check_corners_in_sum(w, rule, which, coupon, number, name)
    else:
        w.ok(
            f"total-{number}",
            f"The open discontinuities that count on {name} add up to {{sum_{number}}}, within {{total_limit}}.",
            source=rule.source,
        )


def _check_corners_in_sum(
    w: Working, rule: BendRule, which: str, coupon: CouponJudgement, number: int, name: str,
) -> None:
    """Says so where only clean corner cracks push the sum over: the clause can be read either way."""
    without = sum((each.size for each in coupon.counted if not each.at_corner or each.flaw_seen), Fraction(0))
    if without <= rule.figures(which).total.amount:
        text = (
            f"Without the corner cracks the sum on {name} is within the limit. They are counted here as the more "
            "cautious reading; ask your inspector how the edition in force is read."
        )
        w.caution(f"corners-{number}", text, source=rule.source)


def _check_test(
    w: Working, rule: BendRule, verdict: Verdict, judged: tuple[CouponJudgement, ...], coupons: int,
) -> None:
    failing = sum(coupon.verdict is Verdict.FAILS for coupon in judged)
    if verdict is Verdict.PASSES and failing:
        w.caution(
            "test",
            f"{failing} specimen is over the limit. This rule still accepts the test: it fails with "
            f"{rule.failing_coupons} or more.",
            source=rule.source,
        )
    elif verdict is Verdict.PASSES:
        w.ok("test", "Every specimen bent passes by this rule.", source=rule.source)
    elif verdict is Verdict.FAILS:
        w.stop(
            "test", "The test fails by this rule. One specimen that passes does not make up for one that fails.",
            source=rule.source,
        )
    elif verdict is Verdict.UNFINISHED:
        count = f"{coupons} of {rule.coupons} specimens judged. " if rule.coupons and coupons < rule.coupons else ""
        text = (
            f"{count}All specimens that the rule asks of this plate must be bent and inspected before the test has a "
            f"verdict."
        )
        w.incomplete("test", text, source=rule.source)
    else:
        w.incomplete(
            "test", "The test has no verdict until the replacement specimen is bent and judged.", source=rule.source,
        )
    if rule.inch.total is None:
        text = (
            f"{rule.name}, as we hold it, sets no limit on the sum of small open discontinuities. Rules with a sum "
            "may fail what "
            "this one passes."
        )
        w.note("no-sum", text, source=ASME_NO_SUM if rule is ASME else rule.source)
    if rule.coupons is None:
        w.not_known(
            "count",
            "We do not hold which specimens, and how many, this rule asks of a plate. The verdict is for the specimens "
            "entered; ask the inspector whether these are all.", source=COMMON,
        )


def _compare_figures(
    w: Working, rule: BendRule, which: str, found, coupons: int, wall: Fraction,
) -> None:
    """Inch and millimeter figures of a clause are not conversions of each other; says where they part."""
    other = "metric" if which == "inch" else "inch"
    if rule.figures(which) is rule.figures(other):
        return
    words = {"inch": "inch", "metric": "millimeter"}
    by_other = _judge_all(rule, other, found, coupons, wall)
    for position, each in enumerate(found, 1):
        mine = judge_opening(rule, rule.figures(which), each, wall)
        theirs = judge_opening(rule, rule.figures(other), each, wall)
        if mine is not theirs:
            text = (
                f"Open discontinuity {position}, {{opening_{position}}}: by the {words[which]} figures {mine.value}, "
                "by the "
                f"{words[other]} figures {theirs.value}. {_pair(rule, each)}"
            )
            w.note(f"figures-{position}", text, source=rule.figures(other).single.source)
    theirs = judge_test(rule, by_other)
    if theirs is not judge_test(rule, _judge_all(rule, which, found, coupons, wall)):
        text = (
            f"By the {words[other]} figures of the same clause the test {theirs.value}. Ask which figures your "
            "inspector measures by."
        )
        w.note("figures", text, source=rule.figures(other).single.source)


def _pair(rule: BendRule, opening: Opening) -> str:
    """The two figures of one limit, side by side."""
    own = _by_corner(rule, opening)
    inch, metric = (side.corner if own else side.single for side in (rule.inch, rule.metric))
    return (
        f"The clause prints {show_as_written(inch.amount, LENGTH, 'us')} and "
        f"{show_as_written(metric.amount, LENGTH, 'si')}, "
        "which are not the same length."
    )


def _compare_rules(
    w: Working, chosen: BendRule, which: str, found, coupons: int, wall: Fraction, verdict: Verdict,
) -> None:
    """Where another rule comes to the opposite verdict on the same specimens, names it."""
    opposite = {Verdict.PASSES: Verdict.FAILS, Verdict.FAILS: Verdict.PASSES}.get(verdict)
    differing = [
        other.name for other in RULES
        if other is not chosen and judge_test(other, _judge_all(other, which, found, coupons, wall)) is opposite
    ]
    if differing:
        verb = "would fail" if opposite is Verdict.FAILS else "would pass"
        w.note(
            "other-rules",
            f"Other rules differ from this one: {', '.join(differing)} {verb} these specimens. Your WPS says "
            "which rule holds.",
            source=chosen.source,
        )


BEND_JUDGE = Calculator(
    id="bend-judge",
    title="Judging bent specimens",
    question="Do my bent specimens pass, and by which rule?",
    page="judging.md",
    work=work_bend_judge,
    main=("rule", "openings"),
    inputs=(
        Choice(
            "rule", "Rule to judge by", (
                Option("aws", "AWS D1.1, structural steel"),
                Option("asme", "ASME IX"),
                Option("cfr", "49 CFR 192, Appendix C: four root bends"),
                Option("iso", "ISO 9606-1"),
                Option("dc", "DC Municipal Regulations 12-E1019"),
                Option("api", "API 1104"),
                Option("navy", "US Navy NAVEDTRA 14250"),
            ), "aws", "Your WPS names it.",
            takes="bend_rule",
        ),
        Choice(
            "figures", "Figures to judge by", (Option("inch", "Inch figures"), Option("metric", "Millimeter figures")),
            "inch",
            "The two differ a little in some clauses. Use what your inspector measures by.",
        ),
        Whole(
            "coupons", "Specimens bent", "2", 1, 8, "All that were bent, also those without an open discontinuity.",
            common=("2", "4"),
        ),
        Choice(
            "kinds", "Kind of specimens", (
                Option("face-root", "Face and root, in turn"), Option("side", "Side"), Option("root", "Root"),
            ), "face-root",
            "Compared with what the rule asks of this plate. Face and root: odd numbers are face bends.",
        ),
        Rows(
            "openings", "Open discontinuities found", (
                Whole("coupon", "Specimen number", "1", 1, 8, "On which specimen."),
                Quantity(
                    "size", "Largest size", LENGTH, "1/16 in", "0 in", "6 in",
                    "The longest distance across it, in any direction.", above_low=True,
                ),
                Choice(
                    "place", "Place", (Option("face", "On the convex surface"), Option("corner", "At a corner")),
                    "face",
                    "One at a corner starts at the long edge of the specimen.",
                ),
                Choice(
                    "flaw", "Slag or fusion discontinuity seen in it", (Option("no", "No"), Option("yes", "Yes")), "no",
                    "Look into it with good light.",
                ),
            ),
            "1 | 1/16 in | face | no\n1 | 3/32 in | face | no\n2 | 3/16 in | corner | no",
            "One row each, measured as found. Leave no rows where nothing opened. Write 1/8 in as 1/8 in: 3.2 mm is a "
            "little more.",
            row_name="Open discontinuity", fewest=0, most=20,
        ),
        Quantity(
            "wall", "Plate or pipe wall", LENGTH, "3/8 in", "1/16 in", "3 in",
            "It decides which specimens the rule asks for. API 1104 takes a limit from it. Blank: not known.", "t",
            may_be_blank=True,
            takes="thickness",
        ),
        Choice(
            "looked", "Convex surfaces inspected", (Option("yes", "Yes, every one"), Option("no", "Not yet")), "yes",
            "A convex surface that nobody inspected has no rows, and is not clean.",
        ),
    ),
)
