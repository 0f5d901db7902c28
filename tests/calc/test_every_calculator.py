"""What must hold for every calculator, whatever it computes. Inputs are drawn from the declarations themselves."""

from __future__ import annotations

import ast
import datetime
import json
import math
import re
import subprocess
import sys
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from calc import web
from calc.catalogue import CALCULATORS, FACTS
from calc.core.declare import Calculator, Choice, Clock, Day, InputError, Quantity, Rows, Whole, Words
from calc.core.formula import unit_factor
from calc.core.sources import DOCUMENTS, Standing
from calc.core.units import SYSTEMS, parse
from calc.show.html import answer_html, form_html
from calc.show.report import as_json, as_text, usage

ROOT = Path(__file__).resolve().parents[2]
EACH = pytest.mark.parametrize("calc", CALCULATORS, ids=lambda calc: calc.id)
QUICK = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
FEW = settings(QUICK, max_examples=8)
"""For calculators that search, seconds at a time; the fuzzer throws more at them."""


def texts_of(each) -> st.SearchStrategy[str]:
    """Texts that one input reads, drawn from its declared range."""
    match each:
        case Quantity():
            low, high = (each.kind.us.from_base(parse(limit, each.kind)) for limit in (each.low, each.high))
            steps = st.integers(0, 1000).map(lambda step: low + (high - low) * Fraction(step, 1000))
            wide = st.one_of(steps, steps.map(lambda value: low + (value - low) / 50), st.sampled_from([low, high]))
            texts = wide.map(lambda value: f"{float(value):.6f} {each.kind.us.symbol}".strip())
        case Whole():
            texts = st.integers(each.low, each.high).map(str)
        case Choice():
            texts = st.sampled_from([option.value for option in each.options])
        case Day():
            texts = st.dates(datetime.date.fromisoformat(each.low), datetime.date.fromisoformat(each.high)).map(str)
        case Clock():
            texts = st.times().map(lambda time: f"{time:%H:%M}")
        case Words():
            texts = st.text("abc XYZ<&\"'=+-@ 123", max_size=each.longest)
        case Rows():
            row = st.tuples(*(texts_of(column) for column in each.columns)).map(" | ".join)
            texts = st.lists(row, min_size=each.fewest, max_size=min(each.most, 5)).map("\n".join)
    return st.one_of(st.just(""), texts) if each.optional and not isinstance(each, Rows) else texts


def inputs_of(calc: Calculator) -> st.SearchStrategy[dict[str, str]]:
    return st.fixed_dictionaries({each.name: st.one_of(st.just(each.default), texts_of(each)) for each in calc.inputs})


class _Ids(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.targets: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        self.ids += [given["id"]] if "id" in given else []
        self.targets += given.get("for", "").split() + given.get(
            "aria-describedby", "",
        ).split() + given.get("aria-labelledby", "").split()
        if given.get("href", "").startswith("#"):
            self.targets.append(given["href"][1:])
        if tag not in ("input", "br", "img"):
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        """An element of MathML or SVG that closes itself."""

    def handle_endtag(self, tag):
        assert self.open and self.open.pop() == tag, f"</{tag}> closes nothing"


@EACH
def test_a_slider_ends_on_a_stop_inside_its_field(calc):
    for each in calc.inputs:
        for system in SYSTEMS if isinstance(each, Quantity) and each.slide else ():
            low, high, step = each.slide.ends(each.kind, system)
            assert low < high and each.slide.stops(each.kind, system)[-1] == high, (each.name, system)
            assert each.limits[0] <= low and high <= each.limits[1], (each.name, system)


@EACH
def test_the_defaults_answer(calc):
    result = calc.answer()
    assert result.headline and result.values and any(value.main for value in result.values)
    assert result.sources


@EACH
def test_ids_and_names_are_plain_and_unique(calc):
    assert re.fullmatch(r"[a-z][a-z0-9-]*", calc.id)
    names = [each.name for each in calc.inputs]
    assert len(set(names)) == len(names) and all(re.fullmatch(r"[a-z][a-z0-9_]*", name) for name in names)
    values = [value.name for value in calc.answer().values]
    assert len(set(values)) == len(values), "two values under one name"
    assert (ROOT / "docs" / calc.page).is_file(), f"{calc.page} is not in docs/"


@EACH
def test_any_input_gives_a_finite_answer_or_an_input_error(calc):
    @given(inputs_of(calc))
    @(FEW if calc.page in ("cut-plans.md", "planning.md") else QUICK)
    def check(texts):
        try:
            result = calc.answer(texts)
        except InputError as trouble:
            assert trouble.field in {each.name for each in calc.inputs}
            assert trouble.message and "None" not in trouble.message
            return
        for value in result.values:
            assert value.amount is None or math.isfinite(float(value.amount))
            for system in SYSTEMS:
                assert value.text(system), value.name
        as_text(result)
        assert ">None<" not in answer_html(result)
        json.dumps(as_json(result), allow_nan=False)

    check()


@EACH
def test_the_worked_steps_hold_on_a_pocket_calculator(calc):
    """The unit factor of a step may not depend on the inputs: else a reader who types the shown numbers gets
    something else.
    """
    factors: dict[tuple[str, str, str], float] = {}

    @given(inputs_of(calc))
    @QUICK
    def check(texts):
        try:
            result = calc.answer(texts)
        except InputError:
            return
        for step in result.steps:
            for system in SYSTEMS:
                if abs(float(step.formula.raw(system))) < 1e-9:
                    continue
                factor = unit_factor(step.formula, step.kind, system)
                first = factors.setdefault((step.label, step.formula.letters(), system), factor)
                assert factor == pytest.approx(first, rel=1e-6), f"{step.letters()} in {system}"

    check()


@EACH
def test_us_and_si_inputs_give_the_same_answer(calc):
    """Each quantity written in its SI unit instead, exactly."""
    in_si = {}
    for each in calc.inputs:
        if isinstance(each, Quantity) and each.default:
            value = each.kind.si.from_base(parse(each.default, each.kind))
            if Fraction(str(float(value))) == value:
                in_si[each.name] = f"{float(value)} {each.kind.si.symbol}".strip()
    if any("e" in text.split()[0] for text in in_si.values()):
        pytest.skip("a default too small to write without an exponent")
    ours, theirs = calc.answer(), calc.answer(in_si)
    assert [value.amount for value in ours.values] == [value.amount for value in theirs.values]


@EACH
def test_writing_the_units_out_changes_nothing(calc):
    """Before a switch of units each bare number gets the unit it was read in."""
    bare = {
        each.name: re.sub(r"(?<=\d) (?:in|ft)(?![/\w])", "", each.default) for each in calc.inputs
        if isinstance(each, (Quantity, Rows)) and each.default
    }
    told = json.loads(web.respond(json.dumps({"do": "link", "calculator": calc.id, "inputs": bare, "system": "us"})))
    ours, theirs = calc.answer(bare, "us"), calc.answer(told["inputs"], "si")
    assert [value.amount for value in ours.values] == [value.amount for value in theirs.values]


@EACH
def test_every_input_out_of_range_is_refused_by_name_limit_and_unit(calc):
    for each in calc.inputs:
        if not isinstance(each, Quantity):
            continue
        high = parse(each.high, each.kind)
        beyond = f"{float(each.kind.us.from_base(high)) * 2 + 10:.4f} {each.kind.us.symbol}".strip()
        with pytest.raises(InputError) as trouble:
            calc.answer({each.name: beyond})
        assert trouble.value.field == each.name
        assert each.label in str(trouble.value)
        assert each.range_text() in str(trouble.value)
        assert not each.kind.us.symbol or each.kind.us.symbol in str(trouble.value)


@EACH
def test_the_form_holds_together(calc):
    page = _Ids()
    page.feed(form_html(calc))
    assert page.open == [], "an element stays open"
    assert len(set(page.ids)) == len(page.ids), "an id twice"
    missing = set(page.targets) - set(page.ids)
    assert not missing, missing


@EACH
def test_every_value_shown_has_a_source_beside_it(calc):
    html = answer_html(calc.answer())
    rows = re.findall(r"<tr data-value=.*?</tr>", html)
    assert len(rows) == len(calc.answer().values)
    assert all('class="source-mark"' in row for row in rows)


@EACH
def test_hostile_text_never_becomes_markup(calc):
    hostile = '"><img src=x onerror=alert(1)>'
    for each in calc.inputs:
        if isinstance(each.columns[0] if isinstance(each, Rows) else each, Words):
            answer = json.loads(
                web.respond(json.dumps({"do": "answer", "calculator": calc.id, "inputs": {each.name: hostile}}))
            )
            assert "<img" not in json.dumps(answer)
            continue
        answer = json.loads(
            web.respond(json.dumps({"do": "answer", "calculator": calc.id, "inputs": {each.name: hostile}}))
        )
        assert each.name in answer["errors"]
        assert "pieces" not in answer
        assert "<" not in "".join(answer["read"].values())
        link = json.loads(
            web.respond(json.dumps({"do": "open", "calculator": calc.id, "inputs": {each.name: hostile}}))
        )
        assert link["inputs"] == {} and each.name in link["refused"]


@EACH
def test_command_line_page_and_library_give_identical_numbers(calc):
    expected = as_json(calc.answer())
    answer = json.loads(web.respond(json.dumps({"do": "numbers", "calculator": calc.id, "inputs": calc.defaults})))
    assert answer == json.loads(json.dumps(expected))
    assert usage(calc).count("\n") > len(calc.inputs)


def test_the_command_line_prints_the_answer_as_data():
    ran = subprocess.run(
        [
            sys.executable, "-m", "calc", "groove", "thickness=3/8 in", "bevel_angle=22.5 deg", "root_opening=1/4 in",
            "--json",
        ],
        cwd=ROOT, capture_output=True, encoding="utf-8", check=True,
    )
    told = json.loads(ran.stdout)
    assert list(told) == ["calculator", "level", "inputs", "values", "steps", "checks", "cautions", "sources"]
    assert {value["name"]: value["value"] for value in told["values"]}["included_angle"] == 45


@pytest.mark.parametrize(
    "arguments, part",
    [
        (
            ["groove", "bevel_angle=90 deg"], "bevel_angle: Bevel angle, each plate: 90° is outside the range; write "
            "from 0° to 60°",
        ),
        (["groove", "color=red"], "has no such input"), (["grove"], "no calculator"),
        (["groove", "thickness"], "write name=value"), (["groove", "root_face=1 in"], "at most 3/8 in (9.525"),
    ],
)
def test_the_command_line_refuses_in_one_line_with_exit_code_2(arguments, part):
    ran = subprocess.run([sys.executable, "-m", "calc", *arguments], cwd=ROOT, capture_output=True, encoding="utf-8")
    assert ran.returncode == 2 and ran.stdout == ""
    assert part in ran.stderr and ran.stderr.count("\n") == 1


@pytest.mark.parametrize(
    "text",
    [
        "", "null", "[]", "{}", '{"do":"x"}', '{"do":"answer"}', '{"do":"answer","calculator":"nope"}',
        '{"do":"answer","calculator":"groove","inputs":[1]}',
    ],
)
def test_the_door_to_the_page_never_raises(text):
    assert "trouble" in json.loads(web.respond(text))


def test_calculator_and_fact_ids_are_unique():
    for ids in ([each.id for each in CALCULATORS], [each.id for each in FACTS], [each.id for each in DOCUMENTS]):
        assert len(set(ids)) == len(ids), sorted(one for one in set(ids) if ids.count(one) > 1)


def test_every_fact_says_what_it_is_and_where_it_is_from():
    for each in FACTS:
        assert (each.amount is None) != (each.wording == ""), each.id
        assert each.amount is None or each.kind is not None, each.id
        assert each.source.document is None or each.source.document in DOCUMENTS, each.id
        if each.source.document is None and each.source.standing is not Standing.WORKED_OUT:
            assert each.source.standing is not Standing.READ, f"{each.id}: read, but in which document?"


def test_calc_uses_the_standard_library_only_and_touches_no_file_clock_or_network():
    """Only the command line may touch the process it runs in; only the QR code and the plan of practice may ask for a
    package, and do without.
    """
    barred = {
        "os", "io", "pathlib", "socket", "urllib", "http", "subprocess", "shutil", "tempfile", "threading",
        "multiprocessing", "time",
    }
    command_line = ("__main__.py", "cli.py")
    for path in (ROOT / "calc").rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and not (
                node.module == "pathlib" and [alias.name for alias in node.names] == ["PurePath"]
                or node.module == "urllib.parse"  # text in, text out
            ):
                names += [node.module or ""]
            for name in (name.partition(".")[0] for name in names):
                packages = {("qr.py", "segno"), ("memory.py", "fsrs")}
                allowed = name == "calc" or (path.name, name) in packages or name in sys.stdlib_module_names
                assert allowed, f"{path.name} imports {name}"
                assert name not in barred or path.name in command_line, f"{path.name} imports {name}"
            if isinstance(node, ast.Call):
                called = ast.unparse(node.func)
                assert called not in (
                    "open", "input", "print", "eval", "exec",
                ) or path.name in command_line, f"{path.name} calls {called}"
                assert not called.endswith(
                    (".now", ".today", ".utcnow")
                ) or path.name in command_line, f"{path.name} asks the clock"
                # Chance must give the same numbers everywhere: only a generator of its own, made from a seed.
                assert called != "random.Random" or node.args, f"{path.name} makes a generator without a seed"
            if isinstance(node, ast.Attribute) and ast.unparse(node.value) == "random":
                assert node.attr == "Random", f"{path.name} uses random.{node.attr}, which has no seed of ours"
            if isinstance(node, ast.ImportFrom) and node.module == "random":
                assert {
                    alias.name for alias in node.names
                } == {"Random"}, f"{path.name} imports from random what has no seed of ours"
