"""The detail of the test joint, a single V on a backing bar: its figures, and how each input is judged by them.

Stage: bevel, fit-up and every later stage that asks for the same figure. One function judges one subject, so that an
opening, an angle, a root face, a reinforcement, a kerf or a drop margin is judged alike by every calculator that asks.

The tolerances of the prequalified joint with backing were read in a reproduction of the page for the single bevel
(TC-U4a). For the single V (B-U2a), which the test plate has, we hold the same figures from reports and from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from calc.core.declare import Amount, InputError, Level, Working
from calc.core.sources import (
    AWS_D11,
    AWS_D11_2000,
    AWS_D11_2020,
    AWS_D11_2025,
    COMMON,
    GEOMETRY,
    Citation,
    Fact,
    Standing,
    length_fact,
)
from calc.core.units import ANGLE, LENGTH, Number, parse, show_both

REPRODUCED = "Read in a reproduction of the page."
SAME_AS_READ = "The page of the single bevel with backing (TC-U4a), which we read, says the same."
_SINGLE_BEVEL = Citation(
    AWS_D11_2020, "Figure 5.1, joint TC-U4a, with clauses 5.4.1.1 and 5.4.1.8", Standing.READ, REPRODUCED,
)
_DETAIL = Citation(AWS_D11, "prequalified joint B-U2a, tolerance as detailed", Standing.FROM_MEMORY, SAME_AS_READ)
_FIT = Citation(
    AWS_D11_2025, "prequalified joint B-U2a, tolerance as fit-up, in a summary", Standing.SECONDARY, SAME_AS_READ,
)
_FIT_ANGLE = Citation(
    AWS_D11, "prequalified joint with backing, included angle as fit-up, in a discussion", Standing.SECONDARY,
    SAME_AS_READ,
)
_OPTIONS = Citation(AWS_D11_2025, "Figure 5.1, joint B-U2a, in a summary", Standing.SECONDARY, SAME_AS_READ)
_NARROWEST = Citation(AWS_D11_2025, "Figure 5.1, joint B-U2a, in a summary", Standing.SECONDARY)


def _angle(identifier: str, label: str, degrees: int, source: Citation) -> Fact:
    return Fact(identifier, label, Fraction(degrees), ANGLE, source)


GROOVE_ANGLE = _angle("groove-angle", "Groove angle of the usual test groove on backing", 45, COMMON)
GROOVE_ANGLE_OVER = _angle("groove-angle-over", "How far the groove angle may go over the drawing", 10, _DETAIL)
ROOT_OPENING = length_fact("groove-root-opening", "Root opening of the usual test groove on backing", "1/4 in", COMMON)
DETAIL_OVER = length_fact("fit-detail-over", "Root opening over the figure, as detailed", "1/16 in", _DETAIL)
DETAIL_UNDER = length_fact("fit-detail-under", "Root opening under the figure, as detailed", "0 in", _DETAIL)
FIT_OVER = length_fact("fit-over", "Root opening over the figure, as fit-up", "1/4 in", _FIT)
FIT_UNDER = length_fact("fit-under", "Root opening under the figure, as fit-up", "1/16 in", _FIT)
FIT_ANGLE_OVER = _angle("fit-angle-over", "Groove angle over the figure, as fit-up", 10, _FIT_ANGLE)
FIT_ANGLE_UNDER = _angle("fit-angle-under", "Groove angle under the figure, as fit-up", 5, _FIT_ANGLE)
MIDDLE_ANGLE = _angle("groove-angle-middle", "Groove angle that goes with a wider root opening", 30, _OPTIONS)
MIDDLE_OPENING = length_fact(
    "groove-opening-middle", "Root opening that goes with it, not for horizontal welds", "3/8 in", _OPTIONS,
)
NARROW_ANGLE = _angle(
    "groove-angle-narrowest", "Minimum groove angle of the prequalified V on backing", 20, _NARROWEST,
)
NARROW_OPENING = length_fact(
    "groove-opening-widest", "Root opening that goes with it, not for horizontal welds", "1/2 in", _NARROWEST,
)
SINGLE_BEVEL_OPENING = Fact(
    "groove-single-bevel-opening", "Root opening 1/4 in of the single bevel with backing, its tolerances", None, None,
    _SINGLE_BEVEL, "as detailed +1/16 in, −0 (+2 mm, −0); as fit-up +1/4 in, −1/16 in (+6 mm, −2 mm)",
)
SINGLE_BEVEL_ANGLE = Fact(
    "groove-single-bevel-angle", "Groove angle of the single bevel with backing, its tolerances", None, None,
    _SINGLE_BEVEL, "as detailed +10°, −0°; as fit-up +10°, −5°",
)
NO_ROOT_FACE = Citation(AWS_D11, "prequalified joint B-U2a has no root face", Standing.FROM_MEMORY)
ROOT_FACE_MOST = length_fact(
    "groove-root-face-most", "Maximum root face that some grind on a plate for backing", "1/16 in", COMMON,
)
CAP_LIMIT = length_fact(
    "cap-limit", "Maximum height of the reinforcement on a test plate", "1/8 in",
    Citation(
        AWS_D11_2000, "clause 4.8.1, quoted in a discussion", Standing.SECONDARY, "Clause 4.9.1 in the 2015 edition.",
    ),
)
CAP_LAP = length_fact("cap-lap-most", "Maximum lap of a cover pass past each edge of its groove", "1/8 in", COMMON)
KERF_LEAST = length_fact(
    "kerf-least", "Narrowest kerf that a cutting jet leaves: the smallest orifice", "0.030 in",
    Citation(None, "Typical band for oxyacetylene cutting by hand", Standing.FROM_MEMORY),
)
KERF_MOST = length_fact("kerf-most", "Widest kerf of a sound hand cut in plate up to 1 in", "1/8 in", COMMON)
KERF_PLATE = parse("1 in", LENGTH)
DROP_MARGIN = length_fact("bevel-drop-margin", "Stock left on the drop of a bevel cut, to start with", "1/4 in", COMMON)
FACTS = (
    GROOVE_ANGLE, GROOVE_ANGLE_OVER, ROOT_OPENING, DETAIL_OVER, DETAIL_UNDER, FIT_OVER, FIT_UNDER, FIT_ANGLE_OVER,
    FIT_ANGLE_UNDER, MIDDLE_ANGLE, MIDDLE_OPENING, NARROW_ANGLE, NARROW_OPENING, SINGLE_BEVEL_OPENING,
    SINGLE_BEVEL_ANGLE, ROOT_FACE_MOST, CAP_LIMIT, CAP_LAP, KERF_LEAST, KERF_MOST, DROP_MARGIN,
)


@dataclass(frozen=True)
class Tolerance:
    """How far a root opening and a groove angle may go over and under their figures, and who says so.

    `over` and `under` are lengths in metres.
    """

    name: str
    over: Fraction
    under: Fraction
    source: Citation
    angle_over: Fraction = FIT_ANGLE_OVER.amount
    angle_under: Fraction = FIT_ANGLE_UNDER.amount

    def lowest(self, required: Fraction) -> Fraction:
        """The tightest opening allowed, in metres; an opening cannot be less than nothing.

        >>> float(TOLERANCES["fit-up"].lowest(parse("1/4 in", LENGTH)) / parse("1 in", LENGTH))
        0.1875
        """
        return max(required - self.under, Fraction(0))

    def highest(self, required: Fraction) -> Fraction:
        """The widest opening allowed, in metres.

        >>> float(TOLERANCES["as-detailed"].highest(parse("1/4 in", LENGTH)) / parse("1 in", LENGTH))
        0.3125
        """
        return required + self.over

    def holds(self, required: Fraction, opening: Fraction) -> bool:
        """Whether an opening is within the tolerance; the limits themselves are."""
        return self.lowest(required) <= opening <= self.highest(required)

    def holds_angle(self, figure: Fraction, angle: Number) -> bool:
        """Whether a groove angle (degrees) is within the tolerance; the limits themselves are."""
        return figure - self.angle_under <= angle <= figure + self.angle_over


TOLERANCES = {
    "as-detailed": Tolerance(
        "as detailed", DETAIL_OVER.amount, DETAIL_UNDER.amount, _DETAIL, GROOVE_ANGLE_OVER.amount, Fraction(0),
    ),
    "fit-up": Tolerance("as fit-up", FIT_OVER.amount, FIT_UNDER.amount, _FIT),
}
AS_DETAILED, AS_FIT_UP = TOLERANCES["as-detailed"], TOLERANCES["fit-up"]


@dataclass(frozen=True)
class Detail:
    """A groove angle and the root opening that goes with it."""

    angle: Fact
    opening: Fact

    def level(self, angle: Number, opening: Number) -> Level:
        """How an angle (degrees) and an opening (metres) stand to this detail: as detailed, as fit-up, or neither."""
        required = self.opening.amount
        if AS_DETAILED.holds_angle(self.angle.amount, angle) and AS_DETAILED.holds(required, opening):
            return Level.OK if self is DETAILS[0] else Level.CAUTION
        fits = AS_FIT_UP.holds_angle(self.angle.amount, angle) and AS_FIT_UP.holds(required, opening)
        return Level.CAUTION if fits else Level.STOP


DETAILS = (
    Detail(GROOVE_ANGLE, ROOT_OPENING), Detail(MIDDLE_ANGLE, MIDDLE_OPENING), Detail(NARROW_ANGLE, NARROW_OPENING),
)
"""The prequalified V on backing. The first is for all positions, the two others not for horizontal welds."""


def detail_of(angle: Number, opening: Number) -> Detail:
    """The detail that a groove angle (degrees) and a root opening (metres) come nearest to; the first where none
    holds.

    >>> [int(detail_of(Fraction(30), parse(opening, LENGTH)).angle.amount) for opening in ("3/8 in", "1/4 in")]
    [30, 45]
    """
    return min(DETAILS, key=lambda detail: detail.level(angle, opening).severity)


# --- one subject, one function ------------------------------------------------------


def judge_joint(w: Working, angle: Number, opening: Fraction, *, bad_only: bool = False) -> None:
    """Judges groove angle (degrees) and root opening (metres) together by the prequalified V on backing.

    As detailed it is in order, as fit-up it asks for a closer look, past that it stops. `bad_only` leaves out what is
    in order: for a calculator that has another question. Checks: `included-angle`, `opening`, with `-low` or `-high`
    where they are off.

    Source: AWS D1.1, prequalified joint B-U2a (secondary and from memory); TC-U4a of the same figure (read).
    """
    detail = detail_of(angle, opening)
    _judge_angle(w, angle, detail, bad_only)
    judge_opening(w, opening, detail, bad_only=bad_only)


def _judge_angle(w: Working, angle: Number, detail: Detail, bad_only: bool) -> None:
    figure = detail.angle.amount
    w.known.update(judged_angle=Amount(angle, ANGLE, as_written=isinstance(angle, Fraction)))
    _name_detail(w, detail)
    if not AS_FIT_UP.holds_angle(figure, angle) and angle < figure:
        w.stop(
            "included-angle-low", "A groove angle of {judged_angle} is less than {angle_least}, the minimum as fit-up "
            "with this root opening: the rod does not reach the root corners.", source=_FIT_ANGLE,
        )
    elif not AS_FIT_UP.holds_angle(figure, angle):
        w.stop(
            "included-angle-high", "A groove angle of {judged_angle} is more than {angle_over} over {detail_angle}: "
            "more weld metal and more pull than the joint is made for.", source=_FIT_ANGLE,
        )
    elif angle < figure:
        w.caution(
            "included-angle-low", "A groove angle of {judged_angle} is less than the usual {detail_angle}, though not "
            "under {angle_least}, the minimum as fit-up: the rod hardly reaches the root corners.", source=_FIT_ANGLE,
        )
    elif detail is not DETAILS[0]:
        w.caution(
            "included-angle-low", "A groove angle of {judged_angle} goes only with a root opening of {detail_opening}, "
            "and not for horizontal welds. Your WPS has to name both.", source=detail.angle.source,
        )
    elif not bad_only:
        w.ok(
            "included-angle", "A groove angle of {judged_angle} is at the usual {detail_angle} or not more than "
            "{angle_over} over it.", source=GROOVE_ANGLE_OVER.source,
        )


def _name_detail(w: Working, detail: Detail) -> None:
    figure = detail.angle.amount
    w.mention("detail_angle", detail.angle)
    w.mention("detail_opening", detail.opening)
    w.mention("angle_over", FIT_ANGLE_OVER)
    w.known["angle_least"] = Amount(figure - AS_FIT_UP.angle_under, ANGLE, as_written=True)
    for name, tolerance in (("detail", AS_DETAILED), ("fit", AS_FIT_UP)):
        w.known[f"{name}_low"] = Amount(tolerance.lowest(detail.opening.amount), LENGTH, as_written=True)
        w.known[f"{name}_high"] = Amount(tolerance.highest(detail.opening.amount), LENGTH, as_written=True)


def judge_opening(w: Working, opening: Fraction, detail: Detail, *, bad_only: bool = False) -> None:
    """Judges a root opening (metres) by a detail; checks `opening`, `opening-low`, `opening-high`.

    See `judge_joint`.
    """
    _name_detail(w, detail)
    required = detail.opening.amount
    w.known["judged_opening"] = Amount(opening, LENGTH, as_written=True)
    fits = AS_FIT_UP.holds(required, opening)
    if AS_DETAILED.holds(required, opening):
        if not bad_only:
            w.ok(
                "opening", "A root opening of {judged_opening} leaves room to melt both corners and the backing: "
                "{detail_low} to {detail_high} as detailed.", source=AS_DETAILED.source,
            )
        return
    side = "low" if opening < required else "high"
    if fits:
        why = {
            "low": "is tighter than {detail_low}, though not under {fit_low}, the minimum as fit-up: it gets hard to "
                   "melt both corners and the backing",
            "high": "is wider than {detail_high}, though not over {fit_high}, the maximum as fit-up: more metal, more "
                    "passes, more pull",
        }[side]
    else:
        why = {
            "low": "is tighter than {fit_low}, the minimum as fit-up: the rod does not reach both corners and the "
                   "backing",
            "high": "is wider than {fit_high}, the maximum as fit-up: it has to be built up first, where your WPS "
                    "allows it",
        }[side]
    w.check(
        Level.CAUTION if fits else Level.STOP, f"opening-{side}", f"A root opening of {{judged_opening}} {why}.",
        source=AS_FIT_UP.source,
    )


def judge_bevel(w: Working, angle: Number) -> None:
    """Judges the groove angle (degrees) that two bevels make, where the opening is not known.

    As detailed with the usual opening it is in order. What only goes as fit-up, or with a wider opening, asks for a
    closer look. Below the narrowest detail and above the usual one it stops.
    """
    least = NARROW_ANGLE.amount - AS_FIT_UP.angle_under
    w.known["narrowest"] = Amount(least, ANGLE, as_written=True)
    w.known["judged_angle"] = Amount(angle, ANGLE, as_written=isinstance(angle, Fraction))
    _name_detail(w, DETAILS[0])
    if angle >= GROOVE_ANGLE.amount:
        _judge_angle(w, angle, DETAILS[0], bad_only=False)
    elif angle >= least:
        w.caution(
            "included-angle-low", "Two such plates make a groove angle of {judged_angle}, less than the usual "
            "{detail_angle}. Down to {angle_least} it passes as fit-up; below, it takes a wider root opening that your "
            "WPS has to name.", source=_FIT_ANGLE,
        )
    else:
        w.stop(
            "included-angle-low", "Two such plates make a groove angle of {judged_angle}. No prequalified V on backing "
            "is narrower than {narrowest}.", source=_NARROWEST,
        )


def judge_own_tolerance(w: Working, over: Fraction, under: Fraction, *, bad_only: bool = False) -> None:
    """Judges how far a WPS lets the root opening go over and under its figure (metres), by the prequalified joint as
    fit-up: wider is a caution on the WPS. Check `own-tolerance`.

    Source: AWS D1.1, prequalified joint B-U2a (secondary); TC-U4a of the same figure (read).
    """
    w.known["own_over"], w.known["own_under"] = (Amount(each, LENGTH, as_written=True) for each in (over, under))
    w.mention("fit_over", FIT_OVER)
    w.mention("fit_under", FIT_UNDER)
    if over > FIT_OVER.amount or under > FIT_UNDER.amount:
        w.caution(
            "own-tolerance", "Your own tolerance, {own_over} over and {own_under} under, is wider than the widest that "
            "we know for this joint, {fit_over} over and {fit_under} under. See that your WPS was qualified with it.",
            source=FIT_OVER.source,
        )
    elif not bad_only:
        w.ok(
            "own-tolerance", "Your own tolerance, {own_over} over and {own_under} under, is not wider than the "
            "{fit_over} over and {fit_under} under of the joint as fit-up.", source=FIT_OVER.source,
        )


def judge_angle_by(w: Working, angle: Number, tolerance: Tolerance) -> None:
    """Judges the groove angle (degrees) by the tolerance chosen for a joint that is fitted; check
    `included-angle`.
    """
    figure = GROOVE_ANGLE.amount
    w.known["judged_angle"] = Amount(angle, ANGLE, as_written=isinstance(angle, Fraction))
    w.known["angle_low"] = Amount(figure - tolerance.angle_under, ANGLE, as_written=True)
    w.known["angle_high"] = Amount(figure + tolerance.angle_over, ANGLE, as_written=True)
    if tolerance.holds_angle(figure, angle):
        w.ok(
            "included-angle", "A groove angle of {judged_angle} is within {angle_low} to {angle_high}.",
            source=tolerance.source,
        )
    elif angle < figure:
        w.stop(
            "included-angle-low", "A groove angle of {judged_angle} is less than {angle_low}. Cut or grind the bevels "
            "again.", source=tolerance.source,
        )
    else:
        w.stop(
            "included-angle-high", "A groove angle of {judged_angle} is more than {angle_high}. Ask before you weld "
            "it.", source=tolerance.source,
        )


def judge_root_face(w: Working, root_face: Fraction) -> None:
    """Judges a root face (metres) on a plate for backing: none is the detail, a little asks for a look, more stops.

    Source: the prequalified joint has none (from memory); what is ground now and then is common practice.
    """
    if root_face == 0:
        return
    w.known["judged_face"] = Amount(root_face, LENGTH, as_written=True)
    w.mention("root_face_most", ROOT_FACE_MOST)
    if root_face > ROOT_FACE_MOST.amount:
        w.stop(
            "root-face", "A root face of {judged_face} on backing is more than {root_face_most}: its corner stays "
            "unmelted. The joint on backing has none.", source=NO_ROOT_FACE,
        )
    else:
        w.caution(
            "root-face", "A root face of {judged_face} on backing makes the corner of the root harder to melt. The "
            "joint on backing has none; see your WPS.", source=NO_ROOT_FACE,
        )


def judge_cap(w: Working, height: Fraction, *, bad_only: bool = False) -> None:
    """Judges the height of the cap (metres) on a test plate: flush or higher, at most 1/8 in."""
    w.known["judged_cap"] = Amount(height, LENGTH, as_written=True)
    w.mention("cap_limit", CAP_LIMIT)
    if height > CAP_LIMIT.amount:
        w.stop(
            "cap", "A reinforcement of {judged_cap} is higher than the {cap_limit} allowed on a test plate.",
            source=CAP_LIMIT.source,
        )
    elif not bad_only:
        w.ok(
            "cap", "A reinforcement of {judged_cap} is within the {cap_limit} allowed on a test plate.",
            source=CAP_LIMIT.source,
        )


def judge_cap_width(w: Working, width: Number, face: Number) -> None:
    """Judges the width of the cap against the face of the groove (both in metres): it covers it and laps a little
    past.
    """
    w.known["judged_width"] = Amount(width, LENGTH, as_written=isinstance(width, Fraction))
    w.known["judged_face"] = Amount(face, LENGTH)
    w.mention("cap_lap", CAP_LAP)
    if width < face:
        w.stop(
            "cap-width", "A cover pass {judged_width} wide does not cover the groove, which is {judged_face} wide: the "
            "edges stay unfilled.", source=GEOMETRY,
        )
    elif width > face + 2 * CAP_LAP.amount:
        w.caution(
            "cap-width", "A cover pass {judged_width} wide laps more than {cap_lap} past each edge of the groove, "
            "which is {judged_face} wide. Measure both again.", source=CAP_LAP.source,
        )
    else:
        w.ok(
            "cap-width", "A cover pass {judged_width} wide covers the groove, which is {judged_face} wide.",
            source=GEOMETRY,
        )


def judge_kerf(w: Working, kerf: Fraction, thickness: Number) -> None:
    """Judges a kerf (metres) entered for a torch cut in a plate (metres): no jet leaves a slot narrower than its
    orifice.

    The widest kerf is held for plate up to 1 in only. Says nothing where nothing speaks against the figure.
    """
    w.known["judged_kerf"] = Amount(kerf, LENGTH, as_written=True)
    w.mention("kerf_least", KERF_LEAST)
    w.mention("kerf_most", KERF_MOST)
    if kerf < KERF_LEAST.amount:
        w.caution(
            "kerf", "A kerf of {judged_kerf} is narrower than the smallest jet, {kerf_least}: the plate comes out too "
            "narrow. Measure a practice cut.", source=KERF_LEAST.source,
        )
    elif thickness <= KERF_PLATE and kerf > KERF_MOST.amount:
        w.caution(
            "kerf", "A kerf of {judged_kerf} is wider than a sound cut leaves in such plate, {kerf_most}. Clean the "
            "tip, set the oxygen down to the tip chart, and measure a practice cut again.", source=KERF_MOST.source,
        )


def judge_drop_margin(w: Working, margin: Fraction) -> None:
    """Judges the stock left on the drop of a bevel cut (metres): none, too little, or enough."""
    w.known["judged_margin"] = Amount(margin, LENGTH, as_written=True)
    w.mention("drop_margin_usual", DROP_MARGIN)
    if margin == 0:
        w.caution(
            "drop-margin", "With no margin the lower edge of the drop is sharp and thin, and the kerf has no wall "
            "there: you lose the cut easily. Where the stock allows, leave {drop_margin_usual}.", source=COMMON,
        )
    elif margin < DROP_MARGIN.amount:
        w.caution(
            "drop-margin", "A margin of {judged_margin} is less than {drop_margin_usual}: the lower edge of the drop "
            "may melt away. Leave more where the stock allows.", source=COMMON,
        )
    else:
        w.ok(
            "drop-margin", "A margin of {judged_margin} gives the jet a wall on both sides all the way down.",
            source=COMMON,
        )


def require_backing_reach(backing_width: Fraction, opening: Fraction) -> None:
    """A backing (width in metres) has to reach under both plates across the opening.

    Raises `InputError` on `backing_width`.
    """
    if backing_width <= opening:
        raise InputError(
            "backing_width", "Backing width", "the backing has to reach under both plates; write more than the root "
            f"opening of {show_both(opening, LENGTH)}",
        )
