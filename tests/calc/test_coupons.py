"""Coupon layout against the documents' rows, and against shapely laying the pieces on a plate."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st
from scipy.integrate import quad
from shapely.geometry import box
from shapely.ops import unary_union

from calc.core.declare import InputError, Level, phrase_text
from calc.core.units import INCH, LENGTH, parse
from calc.stages.coupons import COUPON_LAYOUT, coupon_kinds, kinds_found


def inches(result, name: str) -> float:
    return float(result[name].amount / INCH.factor)


def plain(text: str) -> str:
    """Text with ordinary spaces."""
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def level(id: str, **given_texts: str) -> Level | None:
    """How the check of that id came out; None where the answer has none."""
    check = COUPON_LAYOUT.answer(given_texts).check(id)
    return check and check.level


def test_the_layout_worked_by_hand() -> None:
    # Hand arithmetic: 1 + 1/8 + 1-5/8 + 1/8 + 1-5/8 + 1/8 + 1 = 5-5/8 in, of 7 in.
    result = COUPON_LAYOUT.answer()
    marks = [inches(result, name) for name in (
        "start_1", "end_1", "start_2", "end_2", "needed", "spare", "far_discard",
    )]
    assert marks == [1.125, 2.75, 2.875, 4.5, 5.625, 1.375, 2.375]


@pytest.mark.parametrize(
    ("rule", "thickness", "kinds"),
    [
        # AWS D1.1 (2015) Table 4.11: 3/8 in one face and one root; over 3/8 in and under 1 in two side; 1 in and over two side.
        ("aws", "3/8 in", ("face", "root")), ("aws", "10 mm", ("face", "root")), ("aws", "10.1 mm", ("side", "side")),
        ("aws", "1/2 in", ("side", "side")), ("aws", "1 in", ("side", "side")),
        # ASME IX QW-452.1(a): under 3/4 in face and root; 3/4 in and over two side.
        ("asme", "0.749 in", ("face", "root")), ("asme", "3/4 in", ("side", "side")),
        # 49 CFR 192 Appendix C (I): four root bends.
        ("cfr", "1/4 in", ("root",) * 4),
    ],
)
def test_number_and_kind_follow_the_document(rule: str, thickness: str, kinds: tuple[str, ...]) -> None:
    assert coupon_kinds(rule, parse(thickness, LENGTH)) == kinds
    assert COUPON_LAYOUT.answer(rule=rule, thickness=thickness)["kinds"].wording == ", ".join(
        f"{kind} bend" for kind in kinds
    )


@pytest.mark.parametrize(
    ("plunger", "opening", "shoulder"),
    # ASME IX (2010) Figure QW-466.1, rows for specimens 3/8 in thick: A, C, D.
    [("1-1/2 in", 2.375, 1.1875), ("2-1/2 in", 3.375, 1.6875), ("3 in", 3.875, 1.9375), ("3-3/4 in", 4.625, 2.3125)],
)
def test_the_jig_is_the_one_of_the_figure(plunger: str, opening: float, shoulder: float) -> None:
    result = COUPON_LAYOUT.answer(plunger_diameter=plunger, coupon_length="12 in")
    assert inches(result, "jig_opening") == opening
    assert inches(result, "shoulder_radius") == shoulder
    assert inches(result, "least_length") == opening + 2 * shoulder


def test_the_arc_is_the_integral_of_a_half_circle() -> None:
    result = COUPON_LAYOUT.answer()
    radius = 0.75 + 0.1875
    length, _ = quad(lambda angle: radius, 0, math.pi)
    assert inches(result, "bent_arc") == pytest.approx(length, abs=1e-9)
    assert 2 * inches(result, "leg") + length == pytest.approx(6, abs=1e-9)


sizes = st.integers(0, 32).map(lambda count: Fraction(count, 16))


@settings(max_examples=60, deadline=None)
@given(
    discard=sizes, saw=st.integers(0, 6), gap=sizes, allowance=st.integers(0, 8), number=st.integers(1, 8),
    side=st.booleans(),
)
def test_discards_cuts_and_coupons_cover_the_plate_without_overlap(discard, saw, gap, allowance, number, side) -> None:
    # shapely lays the pieces side by side on a strip one unit wide.
    result = COUPON_LAYOUT.answer(
        rule="side" if side else "face-root", discard=f"{discard} in", saw_cut=f"{saw}/16 in", gap=f"{gap} in",
        allowance=f"{allowance}/16 in", number=str(number), plate_length="60 in",
    )
    coupons = [box(inches(result, f"start_{n}"), 0, inches(result, f"end_{n}"), 1) for n in range(1, number + 1)]
    finished = 0.375 if side else 1.5
    assert all(piece.area == pytest.approx(finished + 2 * allowance / 16) for piece in coupons)
    assert unary_union(coupons).area == pytest.approx(sum(piece.area for piece in coupons))
    metal = sum(piece.area for piece in coupons) + 2 * discard + (number - 1) * gap
    cuts = number + 1 if gap == 0 else 2 * number
    assert inches(result, "needed") == pytest.approx(float(metal) + cuts * saw / 16)
    assert inches(result, "needed") + inches(result, "spare") == pytest.approx(60)
    assert inches(result, "far_discard") == pytest.approx(float(discard) + inches(result, "spare"))


def test_the_plate_just_long_enough_and_just_too_short() -> None:
    assert level("plate-length", plate_length="5-5/8 in") is Level.OK
    short = COUPON_LAYOUT.answer(plate_length="5.624 in")
    assert short.check("plate-length").level is Level.STOP
    assert "too short by 0.001 in" in plain(phrase_text(short.headline, "us"))


def test_a_coupon_must_lie_across_both_shoulders_and_fit_on_the_plate() -> None:
    assert level("span", coupon_length="4-3/4 in") is Level.OK
    assert level("span", coupon_length="4.74 in") is Level.STOP
    assert level("plate-width", plate_width="5.9 in") is Level.STOP
    assert level("plate-width", plate_width="6 in") is Level.OK
    # QW-462.3(a): 6 in, or as required.
    assert level("coupon-length", coupon_length="5.9 in") is Level.CAUTION
    assert level("coupon-length", coupon_length="6 in") is None


def test_grinding_thins_a_face_coupon_but_not_a_side_coupon() -> None:
    face = COUPON_LAYOUT.answer(ground="1/32 in")
    assert inches(face, "coupon_thickness") == 0.34375
    assert face.check("coupon-thickness").level is Level.CAUTION
    assert "less severe test" in plain(phrase_text(face.check("coupon-thickness").phrase, "us"))
    # Not thinner by more than 1/32 in: AWS D1.1 (2010) 5.24.3.1.
    assert face.check("flush") is None
    assert level("flush", ground="0.0313 in") is Level.STOP
    side = COUPON_LAYOUT.answer(thickness="1 in", ground="1/32 in")
    assert inches(side, "coupon_thickness") == 0.375
    assert inches(side, "coupon_width") == 0.96875


def test_a_coupon_over_one_and_a_half_inch_wants_a_wider_plunger() -> None:
    # ASME IX QW-162.1: over 1-1/2 in, the mandrel at least 1/4 in wider than the specimen.
    assert level("wide-plunger", width="1-1/2 in") is None
    wide = COUPON_LAYOUT.answer(width="1.6 in")
    assert wide.check("wide-plunger").level is Level.CAUTION
    assert inches(wide, "plunger_width") == pytest.approx(1.85)


def test_thick_side_coupons_go_whole_or_in_strips() -> None:
    # ASME IX (2017) Figure QW-462.2: from 1-1/2 in, strips of 3/4 to 1-1/2 in, or the full width.
    assert level("strips", thickness="1.49 in") is None
    three = COUPON_LAYOUT.answer(thickness="3 in", saw_cut="1/16 in")
    assert any("2 strips of 1.469 in" in plain(phrase_text(check.phrase, "us")) for check in three.checks)
    # 1.55 in with a cut of 1/8 in leaves two strips of 0.7125 in, too narrow.
    assert level("strips", thickness="1.55 in") is Level.CAUTION


def test_fewer_coupons_than_the_rule_asks_is_said() -> None:
    assert level("kinds", number="1") is Level.INCOMPLETE
    assert level("kinds", rule="cfr", number="3") is Level.INCOMPLETE
    assert level("kinds", number="2") is Level.OK


def test_a_short_discard_is_said() -> None:
    assert level("discard", discard="15/16 in") is Level.CAUTION
    assert level("discard", discard="1 in") is Level.OK
    assert level("discard", discard="0.49 in") is Level.STOP


@pytest.mark.parametrize(
    ("width", "expected"),
    # ASME IX (2017) QW-462.3(a): 1-1/2 in wide, no tolerance printed.
    [("1-1/2 in", Level.OK), ("1.47 in", Level.OK), ("1-7/16 in", Level.CAUTION), (
        "1.37 in", Level.STOP,
    ), ("1.63 in", Level.STOP), ("1 in", Level.STOP)],
)
def test_the_width_of_a_face_or_root_coupon(width: str, expected: Level) -> None:
    assert level("coupon-width", width=width) is expected
    assert level("coupon-width", width=width, thickness="1 in") is None  # a side coupon is as wide as the plate


@pytest.mark.parametrize(
    ("radius", "expected"), [("0 in", Level.CAUTION), ("1/8 in", Level.OK), ("0.13 in", Level.STOP)],
)
def test_the_radius_on_the_edges(radius: str, expected: Level) -> None:
    """ASME IX (2017) QW-462.2 and QW-462.3(a): R 1/8 in at most."""
    assert level("edge-radius", radius=radius) is expected


@pytest.mark.parametrize(
    ("rule", "thickness", "have", "expected"),
    [
        # AWS D1.1 Table 4.11 (from memory): 3/8 in face and root, over it side; ASTM A6 (from memory): 0.01 in under.
        ("aws", "3/8 in", ("face", "root"), Level.OK), ("aws", "0.365 in", ("face", "root"), Level.OK),
        ("aws", "0.364 in", ("face", "root"), Level.NOT_KNOWN),
        ("aws", "3/8 in", ("side", "side"), Level.OK), ("aws", "3/8 in", ("root", "root"), Level.INCOMPLETE),
        ("aws", "1/2 in", ("face", "root"), Level.INCOMPLETE),
        ("aws", "0.385 in", ("face", "root"), Level.CAUTION), ("aws", "0.385 in", ("side", "side"), Level.OK),
        ("aws", "10 mm", ("face", "root"), Level.OK),
        ("aws", "1 in", ("side", "side", "side"), Level.OK), ("aws", "1 in", ("side",), Level.INCOMPLETE),
        # ASME IX QW-452.1(a) (from memory): side may from 3/8 in, must from 3/4 in.
        ("asme", "1/4 in", ("side", "side"), Level.INCOMPLETE), ("asme", "3/8 in", ("side", "side"), Level.OK),
        ("asme", "3/4 in", ("face", "root"), Level.INCOMPLETE),
        # 49 CFR 192 Appendix C (I): four root bends.
        ("cfr", "1/4 in", ("root",) * 4, Level.OK), ("cfr", "1/4 in", ("face", "root") * 2, Level.INCOMPLETE),
        ("iso", "3/8 in", ("face", "root"), Level.NOT_KNOWN),
    ],
)
def test_the_wrong_kind_or_too_few_are_never_a_whole_test(rule, thickness, have, expected) -> None:
    assert kinds_found(rule, parse(thickness, LENGTH), have).level is expected


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("ground", "3/8 in", "write less than 3/8 in (9.525 mm)"),
        ("thickness", "7 in", "from 1/8 in to 6 in (from 3.175 mm to 152.4 mm)"),
        ("number", "9", "from 1 to 8"),
        ("saw_cut", "1/2 in", "from 0 in to 3/8 in"),
        ("rule", "other", "choose aws, asme, cfr, face-root or side"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_limit(field: str, text: str, words: str) -> None:
    with pytest.raises(InputError) as trouble:
        COUPON_LAYOUT.answer({field: text})
    assert trouble.value.field == field
    assert words in plain(trouble.value.message)
