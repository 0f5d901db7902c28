"""Throws inputs at calc: a fuzzer led by the coverage of calc, or Hypothesis, over the targets of `fuzz_targets.py`.

The coverage-guided fuzzer (the PyPI package atheris, which is libFuzzer for Python) comes ready made for Linux on
x86-64 and Python up to 3.13; elsewhere Hypothesis drives the same targets, and this is said. Each target runs in a
process of its own, since libFuzzer ends the process that it runs in, and ends at its first finding. What breaks a
promise is told with its traceback:

- libFuzzer keeps the input as a file in `.cache/fuzz/findings/`, and `fuzz --repeat FILE` runs it again; an input
  that takes longer than a minute counts as one too. What it learns stays in `.cache/fuzz/corpus/` for the next run.
- Hypothesis makes the input as small as it can, prints it, keeps it, and tries it first in the next run.

Mend the cause, add the input's sense to `tests/calc` or `tests/practice`, and write the counts into docs/measured.md.
"""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from tools import guide
from tools.common import CACHE, ROOT, Trouble, child_environment, main_guard, say

FOLDER = CACHE / "fuzz"
SHARES = {
    "numbers": 0.9, "links": 0.03, "answers": 0.002, "plans": 0.0005, "records": 0.01, "questions": 0.0505,
    "practice": 0.005, "tests": 0.002,
}
"""How a number of inputs is shared out: most of them where an input costs microseconds."""
MANY, FEW = 10_000_000, 10_000
LONGEST_INPUT = {"numbers": 64, "plans": 1024, "answers": 512}
HANG_SECONDS = 60


def dictionary_text(tokens: tuple[str, ...]) -> str:
    """Tokens in libFuzzer's form: bytes in quotes, what is not plain as \\xNN."""
    lines = []
    for token in tokens:
        data = token.encode("utf-8", "surrogatepass")[:60]
        plain = "".join(chr(byte) if 32 <= byte < 127 and byte not in b'"\\' else f"\\x{byte:02x}" for byte in data)
        lines.append(f'"{plain}"')
    return "\n".join(dict.fromkeys(lines)) + "\n"


def with_atheris(name: str, inputs: int, seed: int) -> None:
    """Drive a target by the coverage of calc. Never returns."""
    import atheris

    with atheris.instrument_imports(include=["calc"]):
        from tools.check import fuzz_targets
    corpus, findings = FOLDER / "corpus" / name, FOLDER / "findings"
    for folder in (corpus, findings):
        folder.mkdir(parents=True, exist_ok=True)
    dictionary = FOLDER / f"{name}.dict"
    dictionary.write_text(
        dictionary_text(fuzz_targets.TOKENS + (fuzz_targets.TOML_PIECES if name == "questions" else ()))
    )
    atheris.Setup(
        [
            "fuzz",
            str(corpus),
            f"-seed={seed}", f"-runs={inputs}", f"-max_len={LONGEST_INPUT.get(name, 2048)}", "-len_control=0",
            f"-dict={dictionary}", f"-timeout={HANG_SECONDS}", "-rss_limit_mb=4096",
            f"-artifact_prefix={findings}/{name}-", "-verbosity=0",
        ],
        fuzz_targets.TARGETS[name],
    )
    atheris.Fuzz()


def by_hypothesis(target: Callable[[bytes], None], inputs: int, seed: int) -> Callable[[], None]:
    """The target as a test of Hypothesis."""
    import hypothesis
    from hypothesis import strategies
    from hypothesis.database import DirectoryBasedExampleDatabase

    longest = LONGEST_INPUT.get(target.__name__, 1024)

    @hypothesis.seed(seed)
    @hypothesis.settings(
        max_examples=inputs,
        deadline=timedelta(seconds=HANG_SECONDS),
        suppress_health_check=list(hypothesis.HealthCheck),
        database=DirectoryBasedExampleDatabase(FOLDER / "hypothesis" / target.__name__),
    )
    @hypothesis.given(
        strategies.one_of(strategies.binary(max_size=24), strategies.binary(min_size=16, max_size=longest))
    )
    def holds(data: bytes) -> None:
        target(data)

    return holds


def shared_out(inputs: int, target: str | None) -> dict[str, int]:
    """How many inputs each target gets.

    >>> shared_out(10_000_000, None)["numbers"], shared_out(500, "links")
    (9000000, {'links': 500})
    """
    return {target: inputs} if target else {name: max(1, round(inputs * share)) for name, share in SHARES.items()}


def repeat(path: Path) -> int:
    """Run one kept input again, in the open."""
    from tools.check import fuzz_targets

    name = path.name.split("-")[0]
    if name not in fuzz_targets.TARGETS or not path.exists():
        raise Trouble(
            f"{path} is not a kept input; they are named after their target and stand in {FOLDER / 'findings'}"
        )
    fuzz_targets.TARGETS[name](path.read_bytes())
    say("This input breaks nothing.")
    return 0


def main(arguments: list[str]) -> int:
    given = guide.options("fuzz", arguments)
    if given.repeat:
        return repeat(given.repeat)
    here = "atheris" if importlib.util.find_spec("atheris") else "hypothesis"
    engine = given.engine or here
    if engine == "atheris" and here != "atheris":
        raise Trouble(
            "the coverage-guided fuzzer is ready made for Linux on x86-64 and Python up to 3.13 only; use "
            "--engine hypothesis here"
        )
    inputs = (FEW if given.short else MANY) if given.inputs is None else given.inputs
    if inputs < 1:
        raise Trouble("--inputs: write a whole number from 1")
    if given.worker and engine == "atheris":
        with_atheris(given.worker, inputs, given.seed)
    if given.worker:
        from tools.check import fuzz_targets

        by_hypothesis(fuzz_targets.TARGETS[given.worker], inputs, given.seed)()
        return 0
    if engine != (given.engine or "atheris"):
        say("The coverage-guided fuzzer cannot be had on this machine; Hypothesis drives the same targets.")
    broken = []
    for name, count in shared_out(inputs, given.target).items():
        say(f"{name}: {count:,} inputs by {engine}")
        command = [
            sys.executable, "-m", "tools.check.fuzz", "--worker", name, "--inputs",
            str(count),
            "--engine",
            engine,
            "--seed",
            str(given.seed),
        ]
        if subprocess.run(command, cwd=ROOT, env=child_environment(), check=False).returncode:
            broken.append(name)
    say(f"Broken: {', '.join(broken)}; see above." if broken else "No input broke a promise.")
    return 1 if broken else 0


if __name__ == "__main__":
    main_guard(main)
