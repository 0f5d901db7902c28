"""A classroom on one laptop: many readers at once fetch the whole offline set, from this guide's server and from nginx.

Every reader fetches exactly what the service worker fetches (the list in sw.js), over six connections of its own,
cold. Every body is checked against the hash in that list. The servers take turns with the same files and the same
compressed copies.
"""

from __future__ import annotations

import contextlib
import json
import os
import platform
import re
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from tools import guide
from tools.build import site_build
from tools.common import ROOT, SITE, Trouble, child_environment, main_guard, say
from tools.serve import nginx

READERS, ROUNDS = 60, 7
SHORT_READERS, SHORT_ROUNDS = 6, 1
# An ordinary file server in one process of Python, beside one in C with a process for each processor.
LEAST_RATIO = 0.5
OWN, OTHER = "this guide's server", "nginx"


def offline_set(site: Path) -> dict[str, str]:
    """What the service worker keeps: path -> base64 SHA-256, read from the site's own sw.js."""
    found = re.search(r"^const FILES = (\[.*\]);", (site / "sw.js").read_text(encoding="utf-8"), re.MULTILINE)
    if not found:
        raise Trouble("sw.js has no list of files")
    return {path: sha for path, sha, _ in json.loads(found[1])}


@dataclass(frozen=True)
class Round:
    """What one round of all readers brought."""

    wanted: int
    complete: int
    faults: list[str]
    bytes: int
    seconds: float
    reader_cpu: float
    server_cpu: float | None = None

    @property
    def rate(self) -> float:
        """Megabytes in a second, as sent."""
        return self.bytes / 1e6 / self.seconds

    @property
    def well(self) -> bool:
        return self.complete == self.wanted and not self.faults


def shares(readers: int, processes: int) -> list[int]:
    """How many readers each process takes."""
    return [readers // processes + (n < readers % processes) for n in range(min(readers, processes))]


def fetch_all(address: str, files: dict[str, str], readers: int) -> Round:
    """Let the readers fetch all files at once, from processes of their own so that no one process holds them back."""
    started = []
    try:
        for count in shares(readers, os.cpu_count() or 1):
            started.append(
                subprocess.Popen(
                    [sys.executable, "-m", "tools.serve.load_reader", address, str(count)],
                    cwd=ROOT,
                    env=child_environment(),
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    encoding="utf-8",
                )
            )
        for process in started:
            tell(process, json.dumps(list(files.items())))
        for process in started:
            hear(process, "ready")
        start = time.monotonic()
        for process in started:
            tell(process, "go")
        for process in started:
            hear(process, "done")
        seconds = time.monotonic() - start
        told = [json.loads(process.stdout.readline()) for process in started]
    finally:
        for process in started:
            process.stdin.close()
            process.wait(60)
    return Round(
        readers * len(files),
        sum(each["complete"] for each in told),
        [x for each in told for x in each["faults"]],
        sum(each["bytes"] for each in told),
        seconds,
        sum(each["cpu"] for each in told),
    )


def tell(process: subprocess.Popen, words: str) -> None:
    process.stdin.write(words + "\n")
    process.stdin.flush()


def hear(process: subprocess.Popen, word: str) -> None:
    if process.stdout.readline().strip() != word:
        raise Trouble("a process of readers ended before it was done")


@contextlib.contextmanager
def own_server() -> Iterator[tuple[str, int]]:
    """(address, process id) of `guide.py serve` in a process of its own, on the port that it chooses."""
    process = subprocess.Popen([sys.executable, "-m", "tools.serve.server"], cwd=ROOT, env=child_environment(),
                               stdout=subprocess.PIPE, encoding="utf-8")
    try:
        for line in process.stdout:
            if found := re.search(r"The guide is at (http://\S+)", line):
                nginx.wait_until_up(found[1], process)
                yield found[1], process.pid
                return
        raise Trouble("the guide's own server ended before it served")
    finally:
        process.terminate()
        process.wait(20)
        process.stdout.close()


@contextlib.contextmanager
def other_server() -> Iterator[tuple[str, int]]:
    """(address, process id) of nginx with the documented configuration."""
    with nginx.Nginx(SITE, brotli=nginx.BROTLI_MODULE.exists()) as running:
        yield running.url, running.process.pid


def cpu_seconds(pid: int) -> float | None:
    """Processor time of a process and its children so far, where the system tells it in files (Linux)."""
    total, found = 0, False
    try:
        for path in Path("/proc").glob("[0-9]*/stat"):
            with contextlib.suppress(OSError):
                fields = path.read_text().rpartition(")")[2].split()
                if pid in {int(path.parent.name), int(fields[1])}:
                    total, found = total + int(fields[11]) + int(fields[12]), True
        return total / os.sysconf("SC_CLK_TCK") if found else None
    except (AttributeError, OSError, ValueError):
        return None


def measured(address: str, pid: int, files: dict[str, str], readers: int) -> Round:
    """One round, with the processor time that the server took for it."""
    before = cpu_seconds(pid)
    done = fetch_all(address, files, readers)
    after = cpu_seconds(pid)
    return Round(**{**vars(done), "server_cpu": None if before is None or after is None else after - before})


def told(name: str, done: Round) -> str:
    """A round in one line."""
    cpu = (
        ""
        if done.server_cpu is None
        else f", processor: server {done.server_cpu:.2f} s, readers {done.reader_cpu:.2f} s"
    )
    return (f"  {name}: {done.complete} of {done.wanted} files complete, {len(done.faults)} errors, "
            f"{done.bytes / 1e6:.0f} MB in {done.seconds:.2f} s, {done.rate:.0f} MB/s{cpu}")


def report(rounds: dict[str, list[Round]]) -> bool:
    """Print the medians and their ratio; say whether every file of every round was complete."""
    middle = {}
    for name, done in rounds.items():
        rates = [each.rate for each in done]
        middle[name] = statistics.median(rates)
        say(f"  {name}: min {min(rates):.0f}, median {middle[name]:.0f}, max {max(rates):.0f} MB/s, n={len(rates)}")
    if OTHER in middle:
        ratio = middle[OWN] / middle[OTHER]
        say(
            f"  ratio of medians: {ratio:.2f}  (target at least {LEAST_RATIO:g}: "
            f"{'met' if ratio >= LEAST_RATIO else 'MISSED'})"
        )
    faults = [f"{name}: {fault}" for name, done in rounds.items() for each in done for fault in each.faults]
    for fault in faults[:10]:
        say(f"  error, {fault}")
    return all(each.well for done in rounds.values() for each in done)


def main(arguments: list[str]) -> int:
    options = guide.options("load", arguments)
    readers = options.readers or (SHORT_READERS if options.short else READERS)
    if not options.short:
        nginx.find_or_install()  # before the build: a missing part is told at once
    site_build.build()
    files = offline_set(SITE)
    say(f"\n{readers} readers at once, {len(files)} files each, every file checked; {platform.system()} "
        f"{platform.machine()}, {os.cpu_count()} processors, Python {platform.python_version()}")
    rounds: dict[str, list[Round]] = {OWN: []} | ({} if options.short else {OTHER: []})
    with contextlib.ExitStack() as stack:
        places = {OWN: stack.enter_context(own_server())}
        if not options.short:
            places[OTHER] = stack.enter_context(other_server())
        for _ in range(options.rounds or (SHORT_ROUNDS if options.short else ROUNDS)):
            for name, (address, pid) in places.items():
                rounds[name].append(measured(address, pid, files, readers))
                say(told(name, rounds[name][-1]))
    return 0 if report(rounds) else 1


if __name__ == "__main__":
    main_guard(main)
