"""Mutation testing of calc: puts one small fault in, runs the tests that reach it, and tells which faults no test
noticed.

What tests can notice a fault is worked out once, by running every test with coverage. Then each mutant runs in a
forked child of a process that holds pytest and the tests already: the tests that reach its lines, those first that
tell most for their time, until one fails. A fault in a function changes that function alone; one in a table (or in
what runs while modules load) loads all of calc anew, and meets the tests in files that import its module or one
that does. What survives the fast tests meets the slow ones too, up to ten seconds of them. Tests that are left out
so can only make the share of killed faults smaller. What test files work out while they are collected comes from
calc without the fault, where the fault is in a function.

Tests: the doctests of calc, tests/calc and tests/practice. Tests with a browser or a built site are left out, so is
what happens in other processes. Hypothesis draws the same few examples each time. A mutant that runs out of time, or
of memory, counts as killed. A survivor is a fault that those tests let pass: a missing test, or a change that means
nothing.

    guide.py mutate --module calc/core/units.py          every fault in one module
    guide.py mutate --sample 1500 --seed 1               a random sample over all of calc
    guide.py mutate --sample 1500 --seed 1 --again       only what survived the last run, after you wrote tests
    guide.py mutate --operator boundary                  only one kind of fault
    guide.py mutate --short                              a handful of faults in one module

The first run works out which test reaches which line; that is kept in .cache/mutation for each file of tests until it
or calc changes. `--tests` names files of tests in place of all: a run is quick then and counts too many survivors.
Times are of the processor, so a busy machine kills nothing. Linux and macOS only: it needs fork. Faults in tables
meet the approved answers first, because few files load quickly. tests/mutants-explained.md tells of the last sample's
survivors, one line each.
"""

from __future__ import annotations

import ast
import contextlib
import functools
import gc
import hashlib
import importlib
import importlib.machinery
import json
import math
import os
import platform
import random
import re
import signal
import sys
import tempfile
import time
import types
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path

import pytest

from tools import guide
from tools.check.mutants import Mutant, compile_mutant, mutants_of
from tools.common import CACHE, ROOT, Trouble, digest, digest_of_paths, main_guard, say

TESTS = ("calc", "tests/calc", "tests/practice")
EXAMPLES = 10  # of each property that hypothesis checks
FIRST_ROUND = 2.0  # seconds of tests that a mutant meets in the first round
SECOND_ROUND = 10.0  # and in the second, if it survives; tests beyond that are left out
KILLED, OUT_OF_TIME, SURVIVED, UNREACHED = "killed", "out of time", "survived", "not reached"
QUICK_FILES = ("test_approved_", "test_values_typed_again")
LOOKS_AT = 20  # a test of approved text looks at as much as so many others that take as long
ANEW = "to be loaded anew"
LONGEST_QUICK = 0.5
SHORT = "calc/core/units.py"
SHORT_TESTS = ("calc/core/units.py", "tests/calc/test_units.py")
SHORT_MUTANTS = 6

PYTEST = ["-q", "-s", "-p", "no:cacheprovider", "-p", "no:xdist", "--tb=no",
          "--import-mode=importlib", "--doctest-modules", "--rootdir"]


@dataclass
class Place:
    """A tree that is tested: its root, the files that may be mutated, and what pytest is given."""

    root: Path = ROOT
    package: str = "calc"
    tests: tuple[str, ...] = TESTS

    @property
    def kept(self) -> Path:
        """The folder for what a later run may use."""
        return (CACHE if self.root == ROOT else self.root / ".cache") / "mutation"

    def modules(self) -> list[str]:
        return sorted(path.relative_to(self.root).as_posix() for path in (self.root / self.package).rglob("*.py"))

    def test_files(self) -> list[str]:
        """The files that hold tests: those named, what is in the folders named, and the modules for their doctests."""
        found = set()
        for name in self.tests:
            path = self.root / name
            pattern = "*.py" if name == self.package else "test_*.py"
            found |= {path} if path.is_file() else set(path.rglob(pattern))
        return sorted(each.relative_to(self.root).as_posix() for each in found)

    def source(self, module: str) -> str:
        return (self.root / module).read_text(encoding="utf-8")


@dataclass
class Reference:
    """What the tests reach, from one run without faults."""

    seconds: dict[str, float] = field(default_factory=dict)
    reached: dict[str, dict[int, list[str]]] = field(default_factory=dict)
    loading: dict[str, set[int]] = field(default_factory=dict)
    imports: dict[str, set[str]] = field(default_factory=dict)

    def tests_for(self, mutant: Mutant) -> list[str]:
        """The tests that can notice a mutant, those first that tell most for their time."""
        lines = self.reached.get(mutant.module, {})
        if self.while_loading(mutant):
            users = {mutant.module} | {file for file, names in self.imports.items() if mutant.module in names}
            found = {test for file in users for tests in self.reached.get(file, {}).values() for test in tests}
            found |= set(self.near(mutant, list(self.seconds)))
            own = {
                test
                for line, tests in lines.items()
                if line not in self.loading.get(mutant.module, ())
                for test in tests
            }
            return sorted(found | own, key=lambda test: (test not in own, self.turn(test), test))
        found = {test for line in range(mutant.first, mutant.last + 1) for test in lines.get(line, ())}
        return sorted(found, key=lambda test: (self.turn(test), test))

    def turn(self, test: str) -> float:
        """How late a test has its turn: by its seconds, those that compare whole files of approved text earlier."""
        approved = test.split("::")[0].rpartition("/")[2].startswith(QUICK_FILES)
        return self.seconds[test] / (LOOKS_AT if approved else 1)

    def approvals(self, mutant: Mutant, source: str) -> list[str]:
        """Those of its tests that compare with approved text, or with values typed again: few files, quick to load.

        First those that run in its module or are named after a calculator declared in its source, else of each test
        function one case, then a second, and so on: a function with many cases keeps no other out. Tests that take long
        are left out here.
        """
        lines = self.reached.get(mutant.module, {})
        own = {
            test for line, tests in lines.items() if line not in self.loading.get(mutant.module, ()) for test in tests
        }
        names = tuple(re.findall(r'\bid="([a-z0-9-]+)"', source)) or ("no calculator",)
        turns: Counter[tuple[bool, str]] = Counter()
        ranked = []
        for place, test in enumerate(self.tests_for(mutant)):
            file, function = test.split("::")[0], test.split("[")[0]
            if file.rpartition("/")[2].startswith(QUICK_FILES) and self.seconds[test] <= LONGEST_QUICK:
                alone = "[" not in test  # the tests of whole lists, such as the published inputs
                named = test.partition("[")[2].startswith(names)
                far = not (alone or named or test in own)
                ranked.append((far, turns[far, function], place, test))
                turns[far, function] += 1
        return [test for *_, test in sorted(ranked)]

    def near(self, mutant: Mutant, tests: list[str]) -> list[str]:
        """Those of the tests that stand in files which import the module, or a module that imports it."""
        users = {mutant.module}
        for _ in range(2):
            users |= {file for file, names in self.imports.items() if names & users}
        return [test for test in tests if test.split("::")[0] in users]

    def while_loading(self, mutant: Mutant) -> bool:
        """Whether the fault acts while modules load, so that all must be loaded anew."""
        loading = self.loading.get(mutant.module, set())
        return not mutant.owner or any(line in loading for line in range(mutant.first, mutant.last + 1))


@dataclass
class Outcome:
    """What became of a mutant."""

    mutant: Mutant
    verdict: str
    by: str = ""


# --- running pytest in this process -------------------------------------------


class _Calm:
    """A pytest plugin: hypothesis draws few examples, the same each time, and does not shrink them."""

    def __init__(self, examples: int = EXAMPLES) -> None:
        self.examples = examples

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        from hypothesis import HealthCheck, Phase, settings
        for item in items:
            test = getattr(item, "obj", None)
            drawn = getattr(test, "_hypothesis_internal_use_settings", None)
            if drawn is not None:
                calm = settings(
                    drawn,
                    max_examples=min(drawn.max_examples, self.examples),
                    derandomize=True,
                    deadline=None,
                    database=None,
                    phases=(Phase.explicit, Phase.generate),
                    suppress_health_check=list(HealthCheck),
                )
                getattr(test, "__func__", test)._hypothesis_internal_use_settings = calm


class _Survey(_Calm):
    """Runs every test once with coverage and notes which test reached which line."""

    def __init__(self, cover: object, place: Place) -> None:
        super().__init__()
        self.cover, self.caches = cover, caches_of(place)
        self.seconds: dict[str, float] = {}
        self.failed: set[str] = set()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> object:
        for each in self.caches:
            each.cache_clear()
        self.cover.switch_context(item.nodeid)
        started = time.process_time()  # of the processor: a busy machine makes no test slow
        result = yield
        self.seconds[item.nodeid] = time.process_time() - started
        self.cover.switch_context("between tests")
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed or report.skipped:
            self.failed.add(report.nodeid)


class _Judge(_Calm):
    """Runs chosen tests in the child of a fork and ends the child at the first failure."""

    def __init__(self, known: Iterable[str] = (), chosen: Iterable[str] = (), examples: int = EXAMPLES) -> None:
        super().__init__(examples)
        self.known, self.chosen = set(known), list(chosen)
        self.on_failure: Callable[[str], None] | None = None

    def pytest_runtest_makereport(self, item: pytest.Item, call: pytest.CallInfo) -> None:
        error = call.excinfo
        if error and not isinstance(error.value, pytest.skip.Exception) and self.on_failure:
            if item.get_closest_marker("xfail") is None:
                self.on_failure(item.nodeid)

    def run(self, items: list[pytest.Item]) -> None:
        for item, following in zip(items, [*items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        by_name = {item.nodeid: item for item in session.items}
        new = [item for item in session.items if item.nodeid not in self.known]
        self.run([*(by_name[name] for name in self.chosen if name in by_name), *new])
        return True


def caches_of(place: Place) -> list[functools._lru_cache_wrapper]:
    """The functions of the package that keep answers: a kept one would hide a fault, and which tests reach it."""
    below = f"{place.package}."
    return [
        each
        for each in gc.get_objects()
        if isinstance(each, functools._lru_cache_wrapper) and str(each.__module__).startswith(below)
    ]


def run_pytest(place: Place, arguments: Iterable[str], plugin: object) -> int:
    """pytest in this process, silent, with one of the plugins above."""
    os.chdir(place.root)
    if str(place.root) not in sys.path:
        sys.path.insert(0, str(place.root))
    configured = (place.root / "pyproject.toml").exists()
    return int(
        pytest.main(
            [*PYTEST, str(place.root), *([] if configured else ["-c", os.devnull]), *arguments], plugins=[plugin]
        )
    )


# --- processes ----------------------------------------------------------------


def in_child(work: Callable[[Callable[[str], None]], object], seconds: float, quiet: bool = True) -> tuple[str, str]:
    """Do the work in a fork: (verdict, its words). The work gets a function that ends the child as killed."""
    import resource
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.close(reader)
            # Processor time, so that a busy machine kills nothing; the clock only stops what sleeps for ever.
            resource.setrlimit(resource.RLIMIT_CPU, (math.ceil(seconds), math.ceil(seconds) + 2))
            with contextlib.suppress(ValueError, OSError):
                held = 8 * 2**30
                resource.setrlimit(resource.RLIMIT_AS, (held, held))
            signal.signal(signal.SIGALRM, signal.SIG_DFL)
            signal.alarm(math.ceil(20 * seconds) + 60)
            if quiet:
                nowhere = os.open(os.devnull, os.O_RDWR)
                for number in (0, 1, 2):
                    os.dup2(nowhere, number)
            gc.freeze()

            def end(words: str) -> None:
                os.write(writer, words.encode("utf-8", "replace")[:4000])
                os._exit(1)

            code = work(end)
            os._exit(1 if code else 0)
        except BaseException as error:  # whatever it is, the fault was noticed
            with contextlib.suppress(BaseException):
                os.write(writer, f"{type(error).__name__}: {error}".encode("utf-8", "replace")[:4000])
            os._exit(1)
    os.close(writer)
    with os.fdopen(reader, "rb") as stream:
        words = stream.read().decode("utf-8", "replace")
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        return OUT_OF_TIME, f"signal {os.WTERMSIG(status)}"
    return (KILLED, words) if os.WEXITSTATUS(status) else (SURVIVED, words)


def load_libraries() -> None:
    """What the tests import from outside this project, so that each fork has it already."""
    import hypothesis.extra  # noqa: F401
    with contextlib.suppress(ImportError):
        import hypothesis.internal.conjecture.engine  # noqa: F401
    for name in (
        "numpy", "scipy.integrate", "scipy.optimize", "scipy.special", "shapely", "sympy", "pint", "jsonschema",
        "icalendar", "chemicals", "PIL.Image", "sm_2", "markdown_it", "ortools.sat.python.cp_model", "zoneinfo",
        "tomllib", "statistics",
    ):
        with contextlib.suppress(ImportError):
            importlib.import_module(name)


def _name_of(module: str) -> str:
    return module.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


# --- the reference run --------------------------------------------------------


def _imports_of(place: Place) -> dict[str, set[str]]:
    """For each module and test file, the modules of the package that it imports by name."""
    modules = set(place.modules())
    files = sorted({*modules, *place.test_files()})
    found: dict[str, set[str]] = {}
    for file in files:
        names: set[str] = set()
        for node in ast.walk(ast.parse((place.root / file).read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
            elif isinstance(node, ast.Import):
                names |= {alias.name for alias in node.names}
        paths = {f"{name.replace('.', '/')}.py" for name in names} | {
            f"{name.replace('.', '/')}/__init__.py" for name in names
        }
        found[file] = paths & modules
    return found


def _survey(place: Place, files: list[str], target: Path) -> int:
    import coverage

    cover = coverage.Coverage(
        data_file=None, source=[str(place.root / place.package)], context="loading", config_file=False, messages=False
    )
    # A static context stays part of every name: "loading" alone is what ran while modules were loaded.
    cover.start()
    sys.path.insert(0, str(place.root))
    for module in place.modules():
        if not module.endswith("__main__.py"):
            importlib.import_module(_name_of(module))
    cover.switch_context("collecting")
    plugin = _Survey(cover, place)
    if run_pytest(place, files, plugin) > 1:  # 1 says that tests failed; more, that they could not even be collected
        return 1
    cover.stop()
    data = cover.get_data()
    reached: dict[str, dict[int, list[str]]] = {}
    loading: dict[str, list[int]] = {}
    for file in data.measured_files():
        name = Path(file).relative_to(place.root).as_posix()
        lines: dict[int, list[str]] = {}
        early = []
        for line, contexts in data.contexts_by_lineno(file).items():
            tests = sorted(context.removeprefix("loading|") for context in contexts if context != "loading")
            lines[line] = [test for test in tests if test in plugin.seconds and test not in plugin.failed]
            if "loading" in contexts:
                early.append(line)
        reached[name], loading[name] = lines, early
    failed = sorted(plugin.failed)
    seconds = {test: round(took, 4) for test, took in plugin.seconds.items() if test not in plugin.failed}
    target.write_text(json.dumps({"seconds": seconds, "reached": reached, "loading": loading, "failed": failed}))
    return 0


def reference(place: Place) -> Reference:
    """Which test reaches which line: kept for each file of tests until it or calc changes."""
    place.kept.mkdir(parents=True, exist_ok=True)
    package = digest_of_paths([place.root / place.package])
    kept = {
        file: place.kept / f"reach-{digest(package, file, (place.root / file).read_bytes())[:20]}.json"
        for file in place.test_files()
    }
    missing = [file for file, path in kept.items() if not path.exists()]
    if missing:
        say(f"Running the tests of {len(missing)} files once to see what each of them reaches ...")
        beside = place.kept / f"survey.{os.getpid()}.part"
        verdict, words = in_child(lambda _: _survey(place, missing, beside), 3600)
        if verdict != SURVIVED or not beside.exists():
            raise Trouble(f"the run without faults failed: {words or verdict}")
        for file, part in by_file(json.loads(beside.read_text()), missing).items():
            kept[file].write_text(json.dumps(part))
        beside.unlink()
    known = Reference(imports=_imports_of(place))
    failed = []
    for path in kept.values():
        part = json.loads(path.read_text())
        known.seconds |= part["seconds"]
        failed += part["failed"]
        for file, lines in part["reached"].items():
            known.loading.setdefault(file, set()).update(part["loading"].get(file, ()))
            for line, tests in lines.items():
                known.reached.setdefault(file, {}).setdefault(int(line), []).extend(tests)
    if failed:
        say(f"Left out, because they fail or are skipped without any fault: {', '.join(failed)}")
    if not known.seconds:
        raise Trouble("no test ran without a fault")
    return known


def by_file(survey: dict, files: Iterable[str]) -> dict[str, dict]:
    """The survey's figures split by the file of the test."""
    parts = {file: {"seconds": {}, "reached": {}, "loading": survey["loading"], "failed": []} for file in files}
    for test, took in survey["seconds"].items():
        parts[test.split("::")[0]]["seconds"][test] = took
    for test in survey["failed"]:
        parts[test.split("::")[0]]["failed"].append(test)
    for module, lines in survey["reached"].items():
        for part in parts.values():
            part["reached"].setdefault(module, {})
        for line, tests in lines.items():
            for test in tests:
                parts[test.split("::")[0]]["reached"][module].setdefault(line, []).append(test)
    return parts


# --- one mutant ---------------------------------------------------------------


@contextlib.contextmanager
def serving(path: str, code: types.CodeType) -> Iterator[None]:
    """While it lasts, the module at the path loads with this code."""
    real = importlib.machinery.SourceFileLoader.get_code

    def get_code(loader: importlib.machinery.SourceFileLoader, name: str) -> types.CodeType | None:
        return code if os.path.realpath(loader.path) == os.path.realpath(path) else real(loader, name)

    importlib.machinery.SourceFileLoader.get_code = get_code
    try:
        yield
    finally:
        importlib.machinery.SourceFileLoader.get_code = real


def _codes(code: types.CodeType) -> Iterator[types.CodeType]:
    for each in code.co_consts:
        if isinstance(each, types.CodeType):
            yield each
            yield from _codes(each)


def _functions(place: Place) -> dict[tuple[str, str, int], list[types.FunctionType]]:
    """Every living function of the package by file, name and first line."""
    found: dict[tuple[str, str, int], list[types.FunctionType]] = defaultdict(list)
    below = str(place.root / place.package)
    for each in gc.get_objects():
        if type(each) is types.FunctionType and each.__code__.co_filename.startswith(below):
            code = each.__code__
            found[code.co_filename, code.co_qualname, code.co_firstlineno].append(each)
    return found


def _limit(known: Reference, tests: Iterable[str]) -> float:
    """Processor seconds that a mutant may take: several times what its tests take without a fault."""
    return 5 + 5 * sum(known.seconds[test] for test in tests)


def _first(known: Reference, tests: list[str], seconds: float) -> list[str]:
    """As many of the tests, fastest first, as fit in the time; at least one."""
    chosen, total = [], 0.0
    for test in tests:
        total += known.seconds[test]
        if total > seconds and chosen:
            break
        chosen.append(test)
    return chosen


class _Warm(_Judge):
    """Collects every test once, then judges mutants of functions: each in a fork that has that function changed."""

    def __init__(self, place: Place, known: Reference, mutants: list[Mutant], tell: Callable[[Outcome], None],
                 after: float, until: float) -> None:
        super().__init__()
        self.place, self.reference, self.mutants, self.tell, self.after, self.until = (
            place, known, mutants, tell, after, until,
        )

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        items = {item.nodeid: item for item in session.items}
        functions, self.caches = _functions(self.place), caches_of(self.place)
        gc.collect()
        gc.freeze()
        for mutant in self.mutants:
            tests = self.reference.tests_for(mutant)
            done = len(_first(self.reference, tests, self.after)) if self.after else 0
            chosen = _first(self.reference, tests, self.until)[done:]
            self.tell(self.judge(mutant, [items[test] for test in chosen if test in items], chosen, functions))
        return True

    def judge(self, mutant: Mutant, items: list[pytest.Item], names: list[str], functions: dict) -> Outcome:
        path = str(self.place.root / mutant.module)
        try:
            code = compile_mutant(self.place.source(mutant.module), mutant, path)
        except (SyntaxError, ValueError) as error:
            return Outcome(mutant, KILLED, f"does not compile: {error}")
        living = functions.get((path, mutant.owner, mutant.owner_line), [])
        new = next(
            (
                each
                for each in _codes(code)
                if (each.co_qualname, each.co_firstlineno) == (mutant.owner, mutant.owner_line)
            ),
            None,
        )
        if not living or new is None or any(each.__code__.co_freevars != new.co_freevars for each in living):
            return Outcome(mutant, SURVIVED, ANEW)

        def work(end: Callable[[str], None]) -> int:
            for each in living:
                each.__code__ = new
            for each in self.caches:
                each.cache_clear()
            self.on_failure = end
            self.run(items)
            return 0

        verdict, words = in_child(work, _limit(self.reference, names))
        return Outcome(mutant, verdict, words)


def judge_anew(place: Place, known: Reference, mutant: Mutant, tests: list[str], examples: int = EXAMPLES) -> Outcome:
    """Load calc with the fault in a fork, collect the tests and run them."""
    path = str(place.root / mutant.module)
    try:
        code = compile_mutant(place.source(mutant.module), mutant, path)
    except (SyntaxError, ValueError) as error:
        return Outcome(mutant, KILLED, f"does not compile: {error}")
    files = list(dict.fromkeys(test.split("::")[0] for test in tests))
    if not files:
        return Outcome(mutant, UNREACHED)

    def work(end: Callable[[str], None]) -> int:
        plugin = _Judge(known.seconds, tests, examples)
        plugin.on_failure = end
        with serving(path, code):
            sys.path.insert(0, str(place.root))
            importlib.import_module(_name_of(mutant.module))
            return run_pytest(place, files, plugin)

    # Collecting takes time too, which the reference run does not tell.
    verdict, words = in_child(work, _limit(known, tests) * max(1, examples / EXAMPLES) + 40)
    return Outcome(mutant, verdict, words)


# --- many mutants -------------------------------------------------------------


def _spread(mutants: list[Mutant], workers: int, work: Callable[[list[Mutant], Callable[[Outcome], None]], None],
            each: Callable[[Outcome], None]) -> None:
    """Share the mutants among forked workers; hand each outcome on as it comes."""
    readers = {}
    children = []
    for number in range(workers):
        share = mutants[number::workers]
        if not share:
            continue
        reader, writer = os.pipe()
        child = os.fork()
        if not child:
            code = 1
            try:
                os.close(reader)
                os.setsid()

                def tell(outcome: Outcome, writer: int = writer) -> None:
                    os.write(
                        writer, (json.dumps([outcome.mutant.key, outcome.verdict, outcome.by[:600]]) + "\n").encode()
                    )

                if not os.environ.get("MUTATE_LOUD"):
                    nowhere = os.open(os.devnull, os.O_RDWR)
                    os.dup2(nowhere, 1)
                    os.dup2(nowhere, 2)
                work(share, tell)
                code = 0
            finally:
                os._exit(code)
        os.close(writer)
        children.append(child)
        readers[reader] = b""
    by_key = {mutant.key: mutant for mutant in mutants}
    import selectors
    with selectors.DefaultSelector() as chooser:
        for reader in readers:
            chooser.register(reader, selectors.EVENT_READ)
        try:
            while readers:
                for event, _ in chooser.select():
                    reader = event.fd
                    more = os.read(reader, 65536)
                    *lines, readers[reader] = (readers[reader] + more).split(b"\n")
                    for line in lines:
                        key, verdict, by = json.loads(line)
                        each(Outcome(by_key.pop(key), verdict, by))
                    if not more:
                        chooser.unregister(reader)
                        os.close(reader)
                        del readers[reader]
        except BaseException:
            for child in children:
                with contextlib.suppress(ProcessLookupError):
                    os.killpg(child, signal.SIGKILL)
            raise
    for child in children:
        os.waitpid(child, 0)
    if by_key:
        raise Trouble(f"{len(by_key)} mutants were not judged: a worker ended early")


def judge_all(place: Place, known: Reference, mutants: list[Mutant], workers: int = 2,
              each: Callable[[Outcome], None] = lambda _: None) -> list[Outcome]:
    """Judge every mutant: first with the fast tests, then survivors with every test that reaches them."""
    outcomes: dict[str, Outcome] = {}
    started = time.monotonic()

    def note(outcome: Outcome) -> None:
        outcomes[outcome.mutant.key] = outcome
        each(outcome)
        if len(outcomes) % 50 == 0:
            counts = Counter(found.verdict for found in outcomes.values())
            say(f"  {len(outcomes)} judged in {time.monotonic() - started:.0f} s: {dict(counts)}")

    reached = [mutant for mutant in mutants if known.tests_for(mutant)]
    for mutant in mutants:
        if not known.tests_for(mutant):
            note(Outcome(mutant, UNREACHED))
    anew = [mutant for mutant in reached if known.while_loading(mutant)]
    # In an order without meaning, so that a run that is stopped has judged a random part.
    warm = sorted(
        (mutant for mutant in reached if not known.while_loading(mutant)),
        key=lambda each: hashlib.sha256(each.key.encode()).digest(),
    )

    def warm_round(after: float, until: float) -> Callable:
        return lambda share, tell: run_pytest(place, place.tests, _Warm(place, known, share, tell, after, until))

    def anew_round(share: list[Mutant], tell: Callable[[Outcome], None]) -> None:
        for mutant in share:
            quick = _first(known, known.approvals(mutant, place.source(mutant.module)), 2 * FIRST_ROUND)
            outcome = judge_anew(place, known, mutant, quick) if quick else None
            if outcome is None or outcome.verdict == SURVIVED:
                tests = [test for test in known.tests_for(mutant) if test not in quick]
                others = _first(known, known.near(mutant, tests) or tests, SECOND_ROUND)
                outcome = judge_anew(place, known, mutant, others) if others else outcome
            tell(outcome)

    def slow_ones(mutant: Mutant) -> bool:
        tests = known.tests_for(mutant)
        return len(_first(known, tests, FIRST_ROUND)) < len(_first(known, tests, SECOND_ROUND))

    _spread(warm, workers, warm_round(0, FIRST_ROUND), note)
    more = [
        mutant
        for mutant in warm
        if outcomes[mutant.key].verdict == SURVIVED and outcomes[mutant.key].by != ANEW and slow_ones(mutant)
    ]
    if more:
        say(f"{len(more)} survived the fast tests; they meet the slow ones too ...")
        _spread(more, workers, warm_round(FIRST_ROUND, SECOND_ROUND), note)
    anew += [mutant for mutant in warm if outcomes[mutant.key].by == ANEW]
    _spread(anew, workers, anew_round, note)
    return [outcomes[mutant.key] for mutant in mutants]


# --- telling ------------------------------------------------------------------


def share_band(killed: int, total: int) -> tuple[float, float]:
    """The 95 % band of a share seen in a random sample (E. B. Wilson, 1927), as fractions.

    >>> [round(end, 3) for end in share_band(95, 100)]
    [0.888, 0.978]
    """
    z = 1.959964
    share = killed / total
    middle, spread = (
        share + z * z / (2 * total),
        z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total)),
    )
    return (middle - spread) / (1 + z * z / total), (middle + spread) / (1 + z * z / total)


def told(outcomes: list[Outcome], of: int, sampled: bool) -> str:
    """The result in words: the share killed, by module, and each survivor."""
    verdicts = Counter(outcome.verdict for outcome in outcomes)
    killed = verdicts[KILLED] + verdicts[OUT_OF_TIME]
    lines = [
        f"{len(outcomes)} mutants of {of}: {killed} killed ({verdicts[OUT_OF_TIME]} of them out of time), "
        f"{verdicts[SURVIVED]} survived, {verdicts[UNREACHED]} reached by no test.",
        f"Killed: {100 * killed / len(outcomes):.1f} %.",
    ]
    if sampled:
        low, high = share_band(killed, len(outcomes))
        lines.append(
            f"For all {of} mutants that means {100 * low:.1f} % to {100 * high:.1f} % (95 % band of a random sample)."
        )
    by_module: dict[str, Counter] = defaultdict(Counter)
    for outcome in outcomes:
        by_module[outcome.mutant.module][outcome.verdict in (KILLED, OUT_OF_TIME)] += 1
    width = max(map(len, by_module))
    lines += ["", "By module (killed / run):"]
    lines += [f"  {module:{width}}  {counts[True]:5} / {counts.total():<5} {100 * counts[True] / counts.total():5.1f} %"
              for module, counts in sorted(by_module.items())]
    alive = [outcome for outcome in outcomes if outcome.verdict in (SURVIVED, UNREACHED)]
    lines += ["", "Survivors:" if alive else "No survivors."]
    lines += [
        f"  {outcome.mutant}{' (no test reaches it)' if outcome.verdict == UNREACHED else ''}" for outcome in alive
    ]
    return "\n".join(lines)


def row_of(outcome: Outcome) -> str:
    """An outcome as one line of JSON."""
    told_of = {"key": outcome.mutant.key, "verdict": outcome.verdict, "by": outcome.by, **asdict(outcome.mutant)}
    return json.dumps(told_of, ensure_ascii=False)


def mutants_in(place: Place, modules: Iterable[str]) -> list[Mutant]:
    return [mutant for module in modules for mutant in mutants_of(place.source(module), module)]


def main(arguments: list[str]) -> int:
    given = guide.options("mutate", arguments)
    if not hasattr(os, "fork"):
        raise Trouble("mutation testing needs fork, which Linux and macOS have; it does not run on this system")
    place = Place(given.root.resolve(), given.package, tuple(given.tests or TESTS))
    if given.short:
        place = Place(tests=SHORT_TESTS)
    modules = place.modules()
    for name in given.module or ():
        if name not in modules:
            raise Trouble(f"there is no module {name}; write it as calc/core/units.py")
    every = [
        each
        for each in mutants_in(place, given.module or modules)
        if not given.operator or each.operator in given.operator
    ]
    chosen = every
    if given.short:
        every = mutants_in(place, [SHORT])
        chosen = random.Random(given.seed).sample(every, SHORT_MUTANTS)
    elif given.sample is not None and given.sample < len(every):
        picked = set(random.Random(given.seed).sample(range(len(every)), given.sample))
        chosen = [mutant for number, mutant in enumerate(every) if number in picked]
    if given.list:
        print(*chosen, sep="\n")
        return 0
    load_libraries()
    known = reference(place)
    last = Path(given.out) if given.out else place.kept / "last.jsonl"
    if given.again:
        alive = {
            row["key"]
            for row in map(json.loads, last.read_text().splitlines())
            if row["verdict"] in (SURVIVED, UNREACHED)
        }
        chosen = [mutant for mutant in chosen if mutant.key in alive]
    started = time.monotonic()
    say(
        f"{len(chosen)} mutants of {len(every)}, on {platform.system()}, Python {platform.python_version()}, "
        f"{os.cpu_count()} cores ..."
    )
    with tempfile.TemporaryDirectory() as folder, open(f"{last}.part", "w", encoding="utf-8") as part:
        tempfile.tempdir = folder
        outcomes = judge_all(
            place, known, chosen, given.workers, lambda outcome: print(row_of(outcome), file=part, flush=True)
        )
        tempfile.tempdir = None
    last.write_text("".join(f"{row_of(outcome)}\n" for outcome in outcomes), encoding="utf-8")
    Path(f"{last}.part").unlink()
    say(
        f"Took {(time.monotonic() - started) / 60:.1f} min.\n\n"
        + told(outcomes, len(every), len(chosen) < len(every) and not given.again)
    )
    return 0


if __name__ == "__main__":
    main_guard(main)
