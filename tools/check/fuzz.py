"""Throws inputs at calc until told to stop: a coverage-guided fuzzer and Hypothesis over the targets of `fuzz_targets.py`.

The coverage-guided fuzzer (the PyPI package atheris) comes ready made for Linux on x86-64 and Python up to 3.13; elsewhere
Hypothesis drives the same targets, and this is said. Each target runs in a process of its own under a watch: an input that takes longer than the
limit counts as a hang. What breaks a promise is kept as a file, once for each place in the code, and `--repeat` runs it again.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib.util
import json
import os
import random
import subprocess
import sys
import threading
import time
import traceback
from collections.abc import Callable
from pathlib import Path

from tools.common import CACHE, ROOT, Trouble, child_environment, main_guard, say
from tools.guide import FUZZ_TARGETS

FOLDER = Path(os.environ.get("GUIDE_FUZZ_FOLDER", CACHE / "fuzz"))
"""Where kept inputs, reports and the fuzzer's own memory stand."""
SHARES = {"numbers": 0.9, "links": 0.03, "answers": 0.002, "plans": 0.0005, "records": 0.01, "questions": 0.0525, "practice": 0.005}
"""How a number of inputs is shared out: most of them where an input costs microseconds."""
SHORT = {"numbers": 3000, "links": 300, "answers": 120, "plans": 12, "records": 150, "questions": 1000, "practice": 300}
MILLION = 1_000_000
LONGEST_INPUT = {"numbers": 64, "plans": 1024, "answers": 512}
HANG_SECONDS = 60.0
ENGINES = ("atheris", "hypothesis")


# --- one target, in a process of its own --------------------------------------------------


class Run:
    """One target under watch: counts, times, and keeps what breaks a promise."""

    def __init__(self, name: str, target: Callable[[bytes], None], inputs: int, folder: Path) -> None:
        self.name, self.target, self.inputs, self.folder = name, target, inputs, folder
        self.count, self.slowest, self.slowest_input = 0, 0.0, b""
        self.found: dict[str, str] = {}
        self.began = time.monotonic()
        self.now: tuple[float, bytes] | None = None
        threading.Thread(target=self._watch, daemon=True).start()

    def one(self, data: bytes) -> None:
        """Run one input."""
        # Time of this process alone: on a busy machine the clock on the wall would call a fast input slow.
        start = time.process_time()
        self.now = (start, data)
        try:
            self.target(data)
        except (Exception, RecursionError) as error:
            self.keep(data, place_of(error), "".join(traceback.format_exception(error)[-6:]))
        self.now = None
        took = time.process_time() - start
        if took > self.slowest:
            self.slowest, self.slowest_input = took, data
        self.count += 1
        if self.count % 1000 == 0:
            self.tell()

    def keep(self, data: bytes, place: str, said: str) -> None:
        """Keep the first and, later, any shorter input that breaks a promise at this place."""
        key = hashlib.sha256(place.encode()).hexdigest()[:10]
        path = self.folder / f"{self.name}-{key}.bin"
        if path.exists() and place in self.found and path.stat().st_size <= len(data):
            return
        self.found[place] = path.name
        self.folder.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        path.with_suffix(".txt").write_text(f"{place}\n\n{said}", encoding="utf-8", errors="backslashreplace")

    def _watch(self) -> None:
        while True:
            time.sleep(1)
            now = self.now
            if now and time.process_time() - now[0] > HANG_SECONDS:
                self.keep(now[1], "hang", f"longer than {HANG_SECONDS:g} s\n")
                self.tell()
                os._exit(3)

    def tell(self) -> None:
        """Write how far it is, for the process that started this one."""
        report = {
            "target": self.name, "inputs": self.count, "seconds": round(time.monotonic() - self.began, 1), "slowest": round(self.slowest, 3),
            "found": self.found,
        }
        path = report_file(self.name)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(report))
        path.with_suffix(".slowest").write_bytes(self.slowest_input)


def report_file(name: str) -> Path:
    return FOLDER / "reports" / f"{name}.json"


def place_of(error: BaseException) -> str:
    """What names a finding: the kind of error and the innermost line of calc, or the promise that broke."""
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "calc" in Path(frame.filename).parts]
    where = f"{Path(frames[-1].filename).name}:{frames[-1].name}" if frames else ""
    own = [frame.lineno for frame in traceback.extract_tb(error.__traceback__) if Path(frame.filename).name == "fuzz_targets.py"]
    return f"{type(error).__name__} {where}" if where else f"{type(error).__name__} {own}"


def with_atheris(name: str, inputs: int, seed: int) -> None:
    """Drive a target by the coverage of calc. Never returns."""
    import atheris

    with atheris.instrument_imports(include=["calc"]):
        from tools.check import fuzz_targets
    run = Run(name, fuzz_targets.TARGETS[name], inputs, FOLDER / "findings")

    def once(data: bytes) -> None:
        run.one(data)
        if run.count >= inputs:
            run.tell()
            os._exit(0)

    corpus = FOLDER / "corpus" / name
    corpus.mkdir(parents=True, exist_ok=True)
    dictionary = FOLDER / f"{name}.dict"
    dictionary.write_text(dictionary_text(fuzz_targets.TOKENS + (fuzz_targets.TOML_PIECES if name == "questions" else ())))
    longest = LONGEST_INPUT.get(name, 2048)
    seeds = random.Random(seed)
    for number in range(40):
        (corpus / f"seed-{number:02}").write_bytes(seeds.randbytes(seeds.randrange(1, longest)))
    # Our own watch tells a hang and keeps its input; the fuzzer's timer only stands behind it.
    arguments = [
        "fuzz", str(corpus), f"-seed={seed}", f"-max_len={longest}", f"-dict={dictionary}", f"-runs={inputs * 10}", "-verbosity=0", f"-timeout={int(10 * HANG_SECONDS)}",
        "-rss_limit_mb=4096", f"-artifact_prefix={FOLDER}{os.sep}", "-print_final_stats=0", "-len_control=20",
    ]
    atheris.Setup(arguments, once)
    atheris.Fuzz()


def dictionary_text(tokens: tuple[str, ...]) -> str:
    """Tokens in libFuzzer's form: bytes in quotes, what is not plain as \\xNN."""
    lines = []
    for token in tokens:
        data = token.encode("utf-8", "surrogatepass")[:60]
        plain = "".join(chr(byte) if 32 <= byte < 127 and byte not in b'"\\' else f"\\x{byte:02x}" for byte in data)
        lines.append(f'"{plain}"')
    return "\n".join(dict.fromkeys(lines)) + "\n"


def with_hypothesis(name: str, inputs: int, seed: int) -> None:
    """Drive a target by Hypothesis."""
    from hypothesis import HealthCheck, Phase, given, settings
    from hypothesis import seed as seeded
    from hypothesis import strategies as st

    from tools.check import fuzz_targets

    run = Run(name, fuzz_targets.TARGETS[name], inputs, FOLDER / "findings")
    longest = LONGEST_INPUT.get(name, 1024)
    batch = 0
    while run.count < inputs:

        @seeded(seed + batch)
        @settings(max_examples=min(5000, inputs - run.count), deadline=None, database=None, phases=[Phase.generate],
                  suppress_health_check=list(HealthCheck))
        @given(st.one_of(st.binary(max_size=24), st.binary(min_size=16, max_size=longest)))
        def drive(data: bytes) -> None:
            if run.count < inputs:
                run.one(data)

        drive()
        batch += 1
    run.tell()


# --- all targets ----------------------------------------------------------------------------


def shared_out(inputs: int, target: str | None) -> dict[str, int]:
    """How many inputs each target gets.

    >>> shared_out(10_000_000, None)["numbers"], shared_out(500, "links")
    (9000000, {'links': 500})
    """
    return {target: inputs} if target else {name: max(1, round(inputs * share)) for name, share in SHARES.items()}


def engine_here() -> str:
    return "atheris" if importlib.util.find_spec("atheris") else "hypothesis"


def run_target(name: str, inputs: int, engine: str, seed: int) -> dict:
    """Run one target in a process of its own; its report."""
    report_file(name).unlink(missing_ok=True)
    command = [sys.executable, "-m", "tools.check.fuzz", "--worker", name, "--inputs", str(inputs), "--engine", engine, "--seed", str(seed)]
    done = subprocess.run(command, cwd=ROOT, env=child_environment(), capture_output=True, encoding="utf-8", errors="replace", check=False)
    report = json.loads(report_file(name).read_text()) if report_file(name).exists() else None
    if report is None or (done.returncode and not report["found"]) or report["inputs"] < inputs and "hang" not in report["found"]:
        last = "\n".join(done.stderr.strip().splitlines()[-8:])
        raise Trouble(f"the target {name} ended with code {done.returncode} after {report['inputs'] if report else 0} inputs\n{last}")
    return report


def repeat(path: Path) -> int:
    """Run one kept input again, in the open."""
    from tools.check import fuzz_targets

    name = path.name.split("-")[0]
    if name not in fuzz_targets.TARGETS or not path.exists():
        raise Trouble(f"{path} is not a kept input; they are named after their target and stand in {FOLDER / 'findings'}")
    fuzz_targets.TARGETS[name](path.read_bytes())
    say("This input breaks nothing.")
    return 0


def parser() -> argparse.ArgumentParser:
    parts = argparse.ArgumentParser(prog="guide.py fuzz", description=__doc__.splitlines()[0])
    parts.add_argument("--inputs", type=int, default=10 * MILLION, help="how many in all, or for the one target (default: 10 million)")
    parts.add_argument("--target", choices=FUZZ_TARGETS, help="one target only")
    parts.add_argument("--short", action="store_true", help="some thousands, in seconds")
    parts.add_argument("--engine", choices=ENGINES, help="default: the coverage-guided fuzzer where it can be had")
    parts.add_argument("--seed", type=int, default=1, help="another seed throws other inputs")
    parts.add_argument("--repeat", type=Path, help="run a kept input again")
    parts.add_argument("--worker", choices=FUZZ_TARGETS, help=argparse.SUPPRESS)
    return parts


def main(arguments: list[str]) -> int:
    given = parser().parse_args(arguments)
    if given.repeat:
        return repeat(given.repeat)
    engine = given.engine or engine_here()
    if engine == "atheris" and engine_here() != "atheris":
        raise Trouble("the coverage-guided fuzzer is ready made for Linux on x86-64 and Python up to 3.13 only; use --engine hypothesis here")
    if given.worker:
        (with_atheris if engine == "atheris" else with_hypothesis)(given.worker, given.inputs, given.seed)
        return 0
    if given.inputs < 1:
        raise Trouble("--inputs: write a whole number from 1")
    if engine == "hypothesis" and not given.engine:
        say("The coverage-guided fuzzer cannot be had on this machine; Hypothesis drives the same targets.")
    if given.short:
        shares = {name: count for name, count in SHORT.items() if given.target in (None, name)}
    else:
        shares = shared_out(given.inputs, given.target)
    found: dict[str, str] = {}
    for name, count in shares.items():
        report = run_target(name, count, engine, given.seed)
        rate = report["inputs"] / max(report["seconds"], 0.1)
        say(f"{name:10} {report['inputs']:>10,} inputs, {rate:>8,.0f} a second, slowest {report['slowest']:.2f} s of work, findings {len(report['found'])}")
        found |= {f"{name}: {place}": file for place, file in report["found"].items()}
    for place, file in found.items():
        say(f"  {place}\n    python3 tools/guide.py fuzz --repeat {os.path.relpath(FOLDER / 'findings' / file, ROOT)}")
    say(f"{sum(shares.values()):,} inputs by {engine}, {len(found)} findings.")
    return 1 if found else 0


if __name__ == "__main__":
    main_guard(main)
