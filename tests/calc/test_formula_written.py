"""What a formula writes must mean what it works out: its text and its MathML are read back and worked out anew.

Python's own evaluator reads the text, a reader of a few lines reads the MathML by the W3C's element rules. Neither
knows how calc writes: a bracket too few gives another number.
"""

from __future__ import annotations

import math
from fractions import Fraction
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings, strategies as st

from calc.core.formula import Constant, Formula, Symbol, as_formula, cos, ln, sin, sqrt, tan, unit_factor
from calc.core.units import ANGLE, LENGTH, NUMBER, parse

# Amounts whose figures in inches end within five digits, so that the numbers put in are the numbers themselves.
LETTERS = {"a": "3/8 in", "b": "1-1/4 in", "c": "0.2 in", "d": "5 in"}
SYMBOLS = {name: Symbol(name, parse(text, LENGTH), LENGTH) for name, text in LETTERS.items()}
INCHES = {"a": Fraction(3, 8), "b": Fraction(5, 4), "c": Fraction(1, 5), "d": Fraction(5)}
FUNCTIONS = {
    "tan": lambda degrees: math.tan(math.radians(degrees)), "cos": lambda degrees: math.cos(math.radians(degrees)),
    "sin": lambda degrees: math.sin(math.radians(degrees)), "ln": math.log, "root": math.sqrt,
}


def trees() -> st.SearchStrategy[Formula]:
    leaves = st.one_of(
        st.sampled_from([*SYMBOLS.values()]), st.integers(1, 9).map(Constant),
        st.sampled_from([Fraction(2, 3), Fraction(7, 4), Fraction(5, 7)]).map(Constant),
    )

    def joined(pair: tuple[Formula, Formula, str]) -> Formula:
        left, right, sign = pair
        return {"+": left + right, "-": left - right, "*": left * right, "/": left / right}[sign]

    def grown(parts: st.SearchStrategy[Formula]) -> st.SearchStrategy[Formula]:
        return st.one_of(
            st.tuples(parts, parts, st.sampled_from("+-*/")).map(joined),
            st.tuples(parts, st.sampled_from([2, 3])).map(lambda each: each[0] ** each[1]),
        )

    plain = st.recursive(leaves, grown, max_leaves=5).filter(
        lambda each: each.letters().count("³") + each.letters().count("²") < 3
    )
    named = st.tuples(
        plain, st.sampled_from([tan, cos, sin, lambda part: sqrt(part * part), lambda part: ln(part * part + 1)]),
    ).map(lambda each: each[1](each[0]))
    return st.one_of(
        plain, st.tuples(named, plain, st.sampled_from("+-*/")).map(joined),
        st.tuples(plain, named, st.sampled_from("+-*/")).map(joined),
    )


def read_text(text: str) -> float:
    """The number that a text means, by Python's rules. Functions without brackets take the one word that follows."""
    plain = text.replace(
        "\u00a0in", "",
    ).replace("\u202f", "").replace("−", "-").replace("·", "*").replace("×", "*").replace("÷", "/")
    plain = plain.replace("²", "**2").replace("³", "**3").replace("√(", "root(")
    for name in ("tan", "cos", "sin", "ln"):
        while f"{name} " in plain:
            before, _, rest = plain.partition(f"{name} ")
            end = next((n for n, mark in enumerate(rest) if not (mark.isalnum() or mark in "._")), len(rest))
            plain = f"{before}{name}({rest[:end]}){rest[end:]}"
    return eval(plain, {"__builtins__": {}}, {**FUNCTIONS, **{name: float(value) for name, value in INCHES.items()}})


def read_mathml(text: str) -> float:
    """The number that presentation MathML means: rows by the usual order of operations, fractions, powers, roots and
    names.
    """

    def tokens(node: ElementTree.Element) -> str:
        children = list(node)
        match node.tag:
            case "mn":
                return node.text.replace("\u202f", "")
            case "mi":
                return node.text
            case "mtext" | "mspace":
                return ""
            case "mo":
                return {"−": "-", "·": "*", "×": "*", "\u2061": ""}.get(node.text, node.text)
            case "mfrac":
                return f"(({tokens(children[0])})/({tokens(children[1])}))"
            case "msup":
                return f"({tokens(children[0])}**({tokens(children[1])}))"
            case "msqrt":
                return f"root({''.join(map(tokens, children))})"
            case "mrow" if children and children[0].tag == "mi" and children[0].text in FUNCTIONS:
                return f"{children[0].text}({''.join(map(tokens, children[1:]))})"
            case "mrow" | "math":
                return "".join(map(tokens, children))
        raise AssertionError(node.tag)

    plain = tokens(ElementTree.fromstring(f"<math>{text}</math>"))
    return eval(plain, {"__builtins__": {}}, {**FUNCTIONS, **{name: float(value) for name, value in INCHES.items()}})


@given(trees())
@settings(max_examples=60, deadline=None)
def test_text_and_mathml_mean_the_number_that_is_worked_out(formula):
    try:
        raw = float(formula.raw("us"))
    except (ZeroDivisionError, ValueError, OverflowError):
        return
    if not 1e-6 < abs(raw) < 1e9 or "tan" in formula.letters() and abs(raw) > 1e3:
        return
    for read, text in (
        (read_text, formula.letters()), (read_text, formula.numbers("us")), (read_mathml, formula.letters_mathml()),
        (read_mathml, formula.numbers_mathml("us")),
    ):
        assert read(text) == pytest.approx(raw, rel=1e-9), text


A, B, C = (SYMBOLS[name] for name in "abc")


@pytest.mark.parametrize(
    ("formula", "letters", "numbers"),
    [
        (A + B + C, "a + b + c", "0.375\u00a0in + 1.25\u00a0in + 0.2\u00a0in"),
        (A - (B + C), "a − (b + c)", "0.375\u00a0in − (1.25\u00a0in + 0.2\u00a0in)"),
        (A * (B * C), "a·b·c", "0.375\u00a0in × 1.25\u00a0in × 0.2\u00a0in"),
        (2 * A - 1, "2·a − 1", "2 × 0.375\u00a0in − 1"), (1 - A, "1 − a", "1 − 0.375\u00a0in"),
        (1 / A, "1 / a", "1 ÷ 0.375\u00a0in"), (3 + A, "3 + a", "3 + 0.375\u00a0in"),
        (A ** 3, "a³", "(0.375\u00a0in)³"), (A ** 4, "a^4", "(0.375\u00a0in)^4"),
        ((A * B) ** 2, "(a·b)²", "(0.375\u00a0in × 1.25\u00a0in)²"),
        (A ** 2 * B, "a²·b", "(0.375\u00a0in)² × 1.25\u00a0in"), (tan(A), "tan a", "tan 0.375\u00a0in"),
        (A / (B / C), "a / (b / c)", "0.375\u00a0in ÷ (1.25\u00a0in ÷ 0.2\u00a0in)"),
        ((A / B) ** 2, "(a / b)²", "(0.375\u00a0in ÷ 1.25\u00a0in)²"),
        (A + (B + C), "a + b + c", "0.375\u00a0in + 1.25\u00a0in + 0.2\u00a0in"),
        (A / (B * C), "a / (b·c)", "0.375\u00a0in ÷ (1.25\u00a0in × 0.2\u00a0in)"),
    ],
)
def test_no_bracket_too_many(formula, letters, numbers):
    assert (formula.letters(), formula.numbers("us")) == (letters, numbers)


@pytest.mark.parametrize(
    ("formula", "expected"),
    [
        (A + B, "<mi>a</mi><mo>+</mo><mi>b</mi>"), (A * B + C, "<mi>a</mi><mo>·</mo><mi>b</mi><mo>+</mo><mi>c</mi>"),
        (A - (B - C), "<mi>a</mi><mo>−</mo><mrow><mo>(</mo><mi>b</mi><mo>−</mo><mi>c</mi><mo>)</mo></mrow>"),
        (A + (B - C), "<mi>a</mi><mo>+</mo><mi>b</mi><mo>−</mo><mi>c</mi>"),
        (A * (B * C), "<mi>a</mi><mo>·</mo><mi>b</mi><mo>·</mo><mi>c</mi>"),
        (A ** 2, "<msup><mrow><mi>a</mi></mrow><mrow><mn>2</mn></mrow></msup>"),
        (tan(A), '<mrow><mi>tan</mi><mo>&#x2061;</mo><mspace width="0.17em"/><mi>a</mi></mrow>'),
        (2 * A, "<mn>2</mn><mo>×</mo><mi>a</mi>"),
    ],
)
def test_mathml_has_no_bracket_too_many(formula, expected):
    assert formula.letters_mathml() == expected


def test_numbers_in_mathml_carry_their_units_and_a_power_of_one_stands_in_brackets():
    angle = Symbol("β_1", Fraction(45, 2), ANGLE)
    assert angle.numbers_mathml("us") == "<mrow><mn>22.5</mn><mtext>°</mtext></mrow>"
    assert angle.letters_mathml() == "<msub><mi>β</mi><mtext>1</mtext></msub>"
    assert A.numbers_mathml("si") == '<mrow><mn>9.525</mn><mspace width="0.17em"/><mtext>mm</mtext></mrow>'
    assert Symbol("n", 4, NUMBER).numbers_mathml("us") == "<mn>4</mn>"
    assert "<mo>(</mo>" in (A ** 2).numbers_mathml("us")
    assert "<mo>(</mo>" not in (Symbol("n", 4, NUMBER) ** 2).numbers_mathml("us")


@pytest.mark.parametrize(
    ("number", "written"),
    [
        (Fraction(1, 2), "0.5"), (Fraction(3, 4), "0.75"), (Fraction(1, 5), "0.2"), (Fraction(1, 10), "0.1"),
        (Fraction(1, 20), "0.05"), (Fraction(7, 100), "0.07"), (Fraction(1, 1000), "0.001"), (Fraction(5), "5"),
        (Fraction(1, 3), "1/3"), (Fraction(1, 8), "1/8"), (1.2345678, "1.234568"), (1000000, "1\u202f000\u202f000"),
    ],
)
def test_plain_numbers_in_a_formula(number, written):
    assert Constant(number).letters() == written


def test_a_fraction_in_a_product_binds_like_a_division():
    assert (A / Fraction(1, 3)).letters() == "a / (1/3)"
    assert (A / Fraction(1, 2)).letters() == "a / 0.5"


def test_angles_at_their_ends_are_exact():
    zero = Symbol("β", Fraction(0), ANGLE)
    assert tan(zero).value == 0 and isinstance(tan(zero).value, int)
    assert cos(zero).value == 1 and isinstance(cos(zero).value, int)
    assert sin(Symbol("β", Fraction(30), ANGLE)).value == pytest.approx(0.5)
    assert as_formula(A) is A


def test_whole_numbers_divide_exactly():
    assert (Constant(1) / Constant(3)).value == Fraction(1, 3)


def test_a_symbol_is_put_in_with_the_unit_it_asks_for():
    from calc.core.units import CENTIMETRE, FOOT
    long = Symbol("L", parse("6 in", LENGTH), LENGTH, us=FOOT, si=CENTIMETRE)
    assert (long.numbers("us"), long.numbers("si")) == ("0.5\u00a0ft", "15.24\u00a0cm")
    assert (long.raw("us"), long.raw("si")) == (Fraction(1, 2), Fraction("15.24"))


def test_unit_factor_of_nothing_is_one_and_a_slip_of_rounding_is_none():
    nothing = Symbol("x", Fraction(0), LENGTH)
    assert unit_factor(nothing * 2, LENGTH, "us") == 1.0
    assert unit_factor(A + B, LENGTH, "us", LENGTH.si) == pytest.approx(25.4)
    assert unit_factor(A * Constant(1 + 1e-12), LENGTH, "us") == 1.0
