"""Measures which branches of calc its own tests take, and fails where one is not taken.

What runs calc counts: its doctests, and the tests of calc, of the practice questions and of the pages. No line is
excused: what no input reaches is taken out of calc; what can be reached gets a test on what a user sees.
"""

from __future__ import annotations

import subprocess
import sys

from tools.common import CACHE, ROOT, child_environment, main_guard

TESTS = ("calc", "tests/calc", "tests/practice", "tests/docs")
WANTED = 100


def main(arguments: list[str]) -> int:
    data = CACHE / "cover"
    data.mkdir(parents=True, exist_ok=True)
    command = [
        sys.executable, "-m", "pytest", "-q", "-n", "2", "--dist", "worksteal", *TESTS, "--cov=calc", "--cov-branch",
        f"--cov-fail-under={WANTED}", "--cov-report=term-missing:skip-covered",
        f"--cov-report=json:{data / 'coverage.json'}", *arguments,
    ]
    return subprocess.run(
        command, cwd=ROOT, env=child_environment(COVERAGE_FILE=str(data / "coverage")), check=False
    ).returncode


if __name__ == "__main__":
    main_guard(main)
