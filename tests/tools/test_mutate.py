"""Mutation testing: a plain fault is killed, one that no test can see is told with its place, in a tree made for it."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tools.check import mutate
from tools.check.mutants import compile_mutant, mutants_of, mutated_tree
from tools.common import ROOT

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="mutation testing needs fork")

MODULE = '''
"""A module for the test."""

from functools import cache

LIMIT = 10
UNTESTED = "3/8 in"


def within(value):
    """Whether a value is at most the limit."""
    return value <= LIMIT


def unseen(value):
    """No test calls it."""
    return value + 1


def countdown(value):
    """Counts down to nothing."""
    while value > 0:
        value -= 1
    return value


@cache
def kept(value):
    """Its answers are kept; the first test only asks."""
    return value + 30
'''
TEST = '''
import small.limits

def test_the_limit_itself():
    assert small.limits.within(10) is True
    assert small.limits.within(11) is False

def test_countdown():
    assert small.limits.countdown(3) == 0

def test_a_kept_answer_is_asked_for():
    small.limits.kept(1)

def test_a_kept_answer_is_right():
    assert small.limits.kept(1) == 31
'''


def run(*arguments: str | Path) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "tools.check.mutate", *map(str, arguments)],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=600,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> str:
    root = tmp_path_factory.mktemp("tree")
    for name, text in {"small/__init__.py": "", "small/limits.py": MODULE, "tests/test_limits.py": TEST}.items():
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(text)
    return run("--root", root, "--package", "small", "--tests", "tests")


def survivors(report: str) -> list[str]:
    return [line.strip() for line in report.partition("Survivors:")[2].splitlines() if line.strip()]


def test_faults_that_a_test_sees_are_killed(report):
    alive = "\n".join(survivors(report))
    for fault in ("value <= LIMIT  ->  value < LIMIT", "value <= LIMIT  ->  value > LIMIT", "10  ->  11", "10  ->  9"):
        assert fault not in alive


def test_faults_that_no_test_sees_are_told_with_file_line_and_change(report):
    alive = survivors(report)
    assert "small/limits.py:7: figure: '3/8 in'  ->  '4/8 in'" in alive
    assert "small/limits.py:17: arithmetic: value + 1  ->  value - 1 (no test reaches it)" in alive



def test_a_fault_in_a_kept_answer_is_seen_by_every_test_that_asks_for_it(report):
    assert "value + 30" in MODULE
    assert not [line for line in survivors(report) if "30" in line]


def test_a_fault_that_never_ends_counts_as_killed(report):
    """`value += 1` counts up for ever."""
    assert not [line for line in survivors(report) if "value -= 1" in line]
    assert "out of time" in report


@pytest.mark.long
def test_the_short_form_judges_a_handful_of_calc():
    said = run("--short", "--seed", "3")
    assert f"{mutate.SHORT_MUTANTS} mutants of " in said
    assert f"{mutate.SHORT}" in said and "Killed: " in said


def test_every_mutant_of_a_module_is_another_program():
    """Each compiles, differs from the original, and from every other mutant of its place."""
    source = (ROOT / "calc" / "planning" / "bands.py").read_text(encoding="utf-8")
    original = ast.dump(ast.parse(source))
    seen = set()
    for mutant in mutants_of(source, "calc/planning/bands.py"):
        compile_mutant(source, mutant, "bands.py")
        changed = ast.dump(mutated_tree(source, mutant))
        assert changed != original, mutant
        assert changed not in seen, mutant
        seen.add(changed)


@pytest.mark.parametrize(("source", "expected"), [
    ("a = b < c", {"b <= c", "b >= c"}),
    ("def f(x):\n    return x and 2 * x", {"x or 2 * x", "2 / x", "return None", "3", "1"}),
    ("SIZES = ('1-1/2 in', 'face up', '0.25 mm')", {"'1-2/2 in'", "'0.26 mm'"}),
    ("def f(x: int = 3) -> 'list[1]':\n    '''12'''\n    g(x)", {"4", "2", "pass"}),
])
def test_operators(source, expected):
    shown = {mutant.after for mutant in mutants_of(source, "m.py")}
    assert expected <= {each.replace("return 2 / x", "2 / x") for each in shown}
    assert not {each for each in shown if "face" in each or "'13'" in each}
