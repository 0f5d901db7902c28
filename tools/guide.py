#!/usr/bin/env python3
"""The one command of this project: makes its own environment, then serves, builds, tests, packs or measures the guide.

This file uses nothing but the standard library, because it runs before anything is installed.
"""

import sys

if sys.version_info < (3, 11):
    sys.exit("error: Python 3.11 or newer is needed; this is Python %d.%d" % sys.version_info[:2])

import argparse
import hashlib
import os
import shutil
import subprocess
from pathlib import Path

TOOLS = Path(__file__).resolve().parent
ROOT = TOOLS.parent
VENV = ROOT / ".venv"
VENV_PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")

# command -> (module that does the work, requirements that it needs, what it does)
COMMANDS = {
    "serve": ("tools.serve.server", "requirements.txt", "build the guide and serve it on this computer"),
    "build": ("tools.build.site_build", "requirements.txt", "build the guide into site/"),
    "test": ("tools.check.test_run", "requirements-test.txt", "run every test, the browser included"),
    "pack": ("tools.build.packer", "requirements.txt", "make one zip to carry: dist/plate-test-guide.zip"),
    "audit": (
        "tools.check.audit",
        "requirements-audit.txt",
        "check the pins and ask for known vulnerabilities in them",
    ),
    "bench": ("tools.check.bench", "requirements-test.txt", "measure start, typing, weight and build time"),
    "plans": ("tools.check.plans", "requirements-test.txt", "hold cutting plans against exact models of the same jobs"),
    "load": (
        "tools.serve.load",
        "requirements-test.txt",
        "let a whole class fetch the guide at once, beside a well-known server",
    ),
    "approve": ("tools.check.approve", "requirements-test.txt", "write the approved text of the tests anew"),
    "fuzz": ("tools.check.fuzz", "requirements-fuzz.txt", "throw inputs at calc until something breaks"),
    "cover": ("tools.check.cover", "requirements-cover.txt", "measure which branches of calc its tests take"),
    "mutate": (
        "tools.check.mutate",
        "requirements-test.txt",
        "put faults into calc and tell which ones no test notices",
    ),
}
FUZZ_TARGETS = ("numbers", "links", "answers", "plans", "records", "questions", "practice", "tests")


def child_environment(**more: str) -> dict[str, str]:
    """Environment for programs that we start: UTF-8 everywhere, no notice about another program's next version."""
    return {**os.environ, "PYTHONUTF8": "1", "NO_MKDOCS_2_WARNING": "1", "PIP_DISABLE_PIP_VERSION_CHECK": "1", **more}


def fail(words: str) -> None:
    sys.exit(f"error: {words}")


def make_venv() -> None:
    """Create .venv. Debian keeps a part of venv in a package of its own: as root we add it, else we say so."""
    print("Making the environment in .venv ...", flush=True)
    shutil.rmtree(VENV, ignore_errors=True)
    command = [sys.executable, "-m", "venv", str(VENV)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode == 0:
        return
    package = "python%d.%d-venv" % sys.version_info[:2]
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        print(f"Python's venv module is incomplete; installing {package} ...", flush=True)
        quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "check": False}
        subprocess.run(["apt-get", "update"], **quiet)
        subprocess.run(["apt-get", "install", "-y", package], **quiet)
        shutil.rmtree(VENV, ignore_errors=True)
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        if done.returncode == 0:
            return
    shutil.rmtree(VENV, ignore_errors=True)
    said = (done.stdout + done.stderr).strip().splitlines()
    fail(f"could not make an environment with {sys.executable}. On Debian or Ubuntu: apt install {package}\n"
         + "\n".join(said[-3:]))


def stamp_for(requirements: Path) -> str:
    """Changes when the pinned versions or the Python change: then the install runs again."""
    parts = [requirements.read_bytes(), sys.version.encode(), str(VENV).encode()]
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def ensure_environment(requirements_name: str) -> None:
    """Install the pinned libraries into .venv unless they are there already."""
    requirements = TOOLS / requirements_name
    stamp_file = VENV / f"{requirements.stem}.stamp"
    stamp = stamp_for(requirements)
    if VENV_PYTHON.exists() and stamp_file.exists() and stamp_file.read_text() == stamp:
        return
    probe = [str(VENV_PYTHON), "-c", "import sys; print(sys.version)"]
    if not VENV_PYTHON.exists() or subprocess.run(
            probe, capture_output=True, text=True, check=False).stdout.strip() != sys.version.strip():
        make_venv()
    print("Installing the pinned libraries (a minute or so, the first time only) ...", flush=True)
    command = [str(VENV_PYTHON), "-m", "pip", "install", "--quiet", "--progress-bar", "off", "--require-hashes",
               "-r", str(requirements)]
    done = subprocess.run(command, env=child_environment(), capture_output=True, text=True, check=False)
    if done.returncode:
        said = [line for line in done.stderr.splitlines() if line.startswith("ERROR")] or done.stderr.splitlines()
        fail("the libraries could not be installed. The first run needs a network connection.\n"
             + "\n".join(line[:300] for line in said[-4:]))
    stamp_file.write_text(stamp)
    print("Installed.", flush=True)


def parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(
        prog="guide.py", description="Offline study guide for the plate qualification test: serve, build, test, pack.")
    commands = top.add_subparsers(dest="command", required=True, metavar="command")
    parts = {name: commands.add_parser(name, help=words, description=words) for name, (_, _, words) in COMMANDS.items()}
    serve = parts["serve"]
    serve.add_argument("--host", default=None, help="address to serve on (default: this computer only)")
    serve.add_argument(
        "--port", type=port_number, default=None,
        help="port (default: 8000, or the next free one for this computer only)",
    )
    serve.add_argument(
        "--https", action="store_true", help="for a network: over https too, with a certificate that phones must trust"
    )
    for name in ("serve", "pack"):
        parts[name].add_argument(
            "--class", dest="class_file", metavar="FILE", default=None, help="a class file to lay beside the guide"
        )
    serve.add_argument("--base", default=None, help="serve below a path, such as /guide/")
    parts["build"].add_argument("--force", action="store_true", help="build even if nothing changed")
    parts["build"].add_argument(
        "--twice", action="store_true", help="build all of it twice from scratch and compare every byte"
    )
    parts["build"].add_argument(
        "--into",
        type=Path,
        help="build into this folder in place of site/; a relative one counts from the guide's folder",
    )
    parts["test"].add_argument("pytest", nargs=argparse.REMAINDER, help="arguments for pytest")
    parts["audit"].add_argument("--offline", action="store_true", help="check the pins only, ask nobody")
    parts["audit"].add_argument(
        "--service", choices=("pypi", "osv"), default="osv", help="who is asked about Python packages"
    )
    parts["cover"].add_argument("pytest", nargs=argparse.REMAINDER, help="more arguments for pytest")
    parts["bench"].add_argument("--short", action="store_true", help="fewer rounds, for a quick look")
    parts["bench"].add_argument(
        "--heights", action="store_true", help="only the heights of pages and forms, written into docs/measured.md"
    )
    parts["plans"].add_argument("--jobs", type=count, default=100, help="jobs of bars, and as many of sheets")
    parts["plans"].add_argument("--effort", type=count, default=20, help="most that the solver may work on a job")
    parts["load"].add_argument("--short", action="store_true", help="6 readers, one round, this guide's server alone")
    parts["load"].add_argument("--readers", type=count, default=None, help="readers at once (default: 60)")
    parts["load"].add_argument("--rounds", type=count, default=None, help="rounds of each server (default: 7)")
    approve = parts["approve"]
    approve.add_argument(
        "names", nargs="*", help="ids of calculators, or parts: forms, planning, questions, record, shapes (default: "
        "all)",
    )
    approve.add_argument("--choose", action="store_true", help="choose the answers of every calculator anew")
    approve.add_argument("--withdraw", action="store_true", help="take published names out too")
    fuzz = parts["fuzz"]
    fuzz.add_argument("--inputs", type=int, help="how many in all, or for the one target (default: 10 million)")
    fuzz.add_argument("--target", choices=FUZZ_TARGETS, help="one target only")
    fuzz.add_argument("--short", action="store_true", help="ten thousand, in a minute or so")
    fuzz.add_argument(
        "--engine", choices=("atheris", "hypothesis"), help="default: the coverage-guided fuzzer where it can be had"
    )
    fuzz.add_argument("--seed", type=int, default=1, help="another seed throws other inputs")
    fuzz.add_argument("--repeat", type=Path, metavar="FILE", help="run a kept input again")
    fuzz.add_argument("--worker", choices=FUZZ_TARGETS, help=argparse.SUPPRESS)
    mutate = parts["mutate"]
    mutate.add_argument(
        "--module",
        action="append",
        help="a module to mutate, such as calc/core/units.py; may be given again (default: all)",
    )
    mutate.add_argument(
        "--operator", action="append", help="only this operator, such as boundary; may be given again (default: all)"
    )
    mutate.add_argument("--sample", type=int, help="so many mutants, drawn at random (default: every one)")
    mutate.add_argument("--seed", type=int, default=1, help="seed of the draw (default: 1)")
    mutate.add_argument("--workers", type=int, default=2, help="processes at a time (default: 2)")
    mutate.add_argument("--short", action="store_true", help="a handful of mutants in one module, for a quick look")
    mutate.add_argument("--again", action="store_true", help="only those that survived the last run")
    mutate.add_argument(
        "--tests", action="append", help="a file or folder of tests to use in place of all; may be given again"
    )
    mutate.add_argument("--list", action="store_true", help="only list the mutants")
    mutate.add_argument("--out", help="file for the outcomes, one JSON object a line (default: in .cache/mutation/)")
    mutate.add_argument("--root", type=Path, default=ROOT, help=argparse.SUPPRESS)
    mutate.add_argument("--package", default="calc", help=argparse.SUPPRESS)
    return top


def options(command: str, arguments: list[str]) -> argparse.Namespace:
    """What was asked of a command: the modules that do the work read their arguments here, so that each stands once."""
    return parser().parse_args([command, *arguments])


def count(text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 0 < int(text) < 1000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a whole number from 1 to 999")
    return int(text)


def port_number(text: str) -> int:
    value = int(text) if text.isascii() and text.isdigit() else -1
    if not 0 < value < 65536:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port: give a whole number from 1 to 65535")
    return value


def main(arguments: list[str]) -> int:
    # Stops here with a clear message when an argument is wrong; what follows `test` or `cover` is for pytest to judge.
    parser().parse_args(
        arguments[:1] if arguments[:1] in (["test"], ["cover"]) and "-h" not in arguments else arguments
    )
    command, rest = arguments[0], arguments[1:]
    module, requirements, _ = COMMANDS[command]
    ensure_environment(requirements)
    try:
        return subprocess.run([str(VENV_PYTHON), "-m", module, *rest], cwd=ROOT, env=child_environment(),
                              check=False).returncode
    except KeyboardInterrupt:
        return 0 if command == "serve" else 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
