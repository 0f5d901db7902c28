"""Asks for known vulnerabilities in every pinned package, and checks offline that everything is pinned.

    exit 0  asked, and nothing is known        exit 1  something is known, or a pin is not whole
    exit 3  could not ask: the service was not reached, so nothing is known either way

The files `requirements*.in` say what we want; `requirements*.txt` hold every version with its hashes, for every
platform and Python from 3.11. Make one anew with the PyPI package uv, in tools/, each against those that it shares an
environment with:

    uv pip compile --universal --python-version 3.11 --generate-hashes --no-header --no-annotate X.in -c Y.txt -o X.txt

    X                          Y                       X                     Y
    requirements               -                       requirements-audit    requirements-test
    requirements-test          requirements            requirements-node     -
    requirements-fuzz, -cover  requirements-test       requirements-zensical requirements-test

Every requirement is one version with SHA-256, every entry of a package lock has an SHA-512 and no address.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tools import guide
from tools.build import engine_build
from tools.common import ENGINE_SOURCE, ROOT, child_environment, main_guard, say

TOOLS = ROOT / "tools"
LOCK = ENGINE_SOURCE / "package-lock.json"
CLEAN, KNOWN, NOT_ASKED = 0, 1, 3
REQUIREMENT = re.compile(r"^[A-Za-z0-9._-]+(\[[\w,-]+\])?==[A-Za-z0-9.!+_-]+(\s*;[^\\]+)?$")
HASH = re.compile(r"^--hash=sha256:[0-9a-f]{64}$")
INTEGRITY = re.compile(r"^sha512-[A-Za-z0-9+/]{86}==$")


def requirement_faults(text: str) -> list[str]:
    """What is not pinned in a requirements file: each line needs one exact version and at least one SHA-256.

    >>> requirement_faults("six==1.16.0\\nattrs>=23\\n")
    ['line 1: six==1.16.0 has no hash', 'line 2: attrs>=23 is not one exact version']
    """
    faults, logical, start = [], "", 0
    for number, line in enumerate([*text.splitlines(), ""], 1):
        line = re.sub(r"(^|\s)#.*", "", line).rstrip()
        if not logical:
            start = number
        if line.endswith("\\"):
            logical += line[:-1] + " "
            continue
        words, logical = logical + line, ""
        if not words.strip():
            continue
        named, *hashes = re.split(r"\s+(?=--hash)", words.strip())
        if not REQUIREMENT.match(named.strip()):
            faults.append(f"line {start}: {named.strip()} is not one exact version")
        elif not hashes:
            faults.append(f"line {start}: {named.strip()} has no hash")
        faults += [
            f"line {start}: {named.strip()} has a hash that is no SHA-256"
            for each in hashes
            if not HASH.match(each.strip())
        ]
    return faults


def lock_faults(text: str) -> list[str]:
    """What is not pinned in an npm lock file: each package needs a version and an SHA-512, and no address."""
    faults = []
    for path, each in json.loads(text)["packages"].items():
        if not path:
            loose = {
                name: wanted
                for name, wanted in each.get("dependencies", {}).items()
                if not re.fullmatch(r"\d+\.\d+\.\d+", wanted)
            }
            faults += [f"{name} {wanted} is not one exact version" for name, wanted in loose.items()]
            continue
        if not INTEGRITY.match(each.get("integrity", "")):
            faults.append(f"{path} has no whole integrity hash")
        if "resolved" in each or not each.get("version"):
            faults.append(f"{path} carries an address or no version")
    return faults


def pin_faults() -> list[str]:
    """Every fault of every pin file of the project."""
    files = sorted(TOOLS.glob("requirements*.txt"))
    return [
        f"{path.relative_to(ROOT).as_posix()}: {fault}"
        for path in files
        for fault in requirement_faults(path.read_text(encoding="utf-8"))
    ] + [
        f"{path.relative_to(ROOT).as_posix()}: {fault}"
        for path in lock_files()
        for fault in lock_faults(path.read_text(encoding="utf-8"))
    ]


def lock_files() -> list[Path]:
    """The npm lock files of the project."""
    return [path for path in sorted(TOOLS.rglob("package-lock.json")) if "node_modules" not in path.parts]


def python_findings(said: str) -> list[str] | None:
    """The findings in pip-audit's JSON; None when it gave no whole report."""
    try:
        packages = json.loads(said)["dependencies"]
    except (ValueError, KeyError, TypeError):
        return None
    if any("skip_reason" in each for each in packages):
        return None
    return [
        f"{each['name']} {each['version']}: {one['id']}"
        + (f", mended in {', '.join(one['fix_versions'])}" if one.get("fix_versions") else "")
        for each in packages
        for one in each["vulns"]
    ]


def npm_findings(said: str) -> list[str] | None:
    """The findings in npm's JSON; None when it gave no report."""
    try:
        data = json.loads(said)
        found = data["vulnerabilities"]
        if "error" in data:
            return None
    except (ValueError, KeyError, TypeError):
        return None
    return [
        f"{name}: {each['severity']}, "
        + "; ".join(sorted(one["title"] if isinstance(one, dict) else f"by way of {one}" for one in each["via"]))
        for name, each in sorted(found.items())
    ]


def run_quietly(command: list[str | Path], cwd: Path, **more: str) -> tuple[str, str]:
    """(standard output, last line of the errors) of a program that may fail."""
    done = subprocess.run(
        [str(part) for part in command],
        cwd=cwd,
        env=child_environment(**more),
        capture_output=True, encoding="utf-8", errors="replace", check=False,
    )
    lines = [
        line.strip()
        for line in done.stderr.splitlines()
        if line.strip() and "npm error code" not in line and "complete log" not in line
    ]
    return done.stdout, (lines[-1][:160] if lines else f"exit {done.returncode}")


def ask_python(requirements: Path, service: str) -> tuple[list[str] | None, str]:
    """What is known of the packages of one file, and what pip-audit said when that is nothing."""
    said, trouble = run_quietly(
        [
            sys.executable, "-m", "pip_audit", "--requirement", requirements, "--require-hashes", "--disable-pip",
            "--vulnerability-service", service, "--format", "json", "--progress-spinner", "off", "--timeout", "20",
        ],
        ROOT,
    )
    return python_findings(said), trouble


def ask_npm(lock: Path) -> tuple[list[str] | None, str]:
    """The same for an npm lock file. Works on a copy: npm may not write into the source."""
    _, npm = engine_build.find_node()
    with tempfile.TemporaryDirectory() as folder:
        for name in ("package.json", "package-lock.json"):
            shutil.copyfile(lock.with_name(name), Path(folder) / name)
        said, trouble = run_quietly([npm, "audit", "--package-lock-only", "--json", "--fetch-retries=0"], Path(folder),
                                    PATH=str(Path(npm).parent) + os.pathsep + os.environ.get("PATH", ""))
    return npm_findings(said), trouble


def main(arguments: list[str]) -> int:
    options = guide.options("audit", arguments)
    faults = pin_faults()
    for fault in faults:
        say(fault)
    say("Every package is pinned by version and hash." if not faults else f"{len(faults)} pins are not whole.")
    if options.offline:
        return KNOWN if faults else CLEAN
    findings, silent, reasons = [], [], {}
    for path in [*sorted(TOOLS.glob("requirements*.txt")), *lock_files()]:
        name = path.relative_to(ROOT).as_posix()
        if path.suffix in reasons:  # who did not answer once is not asked again
            silent.append(name)
            continue
        found, trouble = ask_python(path, options.service) if path.suffix == ".txt" else ask_npm(path)
        if found is None:
            silent.append(name)
            reasons[path.suffix] = trouble
        else:
            findings += [f"{name}: {each}" for each in found]
    for finding in findings:
        say(finding)
    if silent:
        say(f"Could not ask about {', '.join(silent)}: no report from the service ({'; '.join(reasons.values())}).")
    elif not findings:
        say("No vulnerability is known in them.")
    return KNOWN if faults or findings else NOT_ASKED if silent else CLEAN


if __name__ == "__main__":
    main_guard(main)
