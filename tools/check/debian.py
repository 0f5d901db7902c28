"""Brings programs that the tests and measurements need from Debian's packages, where that is possible."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cache

from filelock import FileLock

from tools.common import CACHE, child_environment, say


def try_install(command: list[str]) -> bool:
    """Run an installer quietly; say whether it worked."""
    try:
        return subprocess.run(command, env=child_environment(DEBIAN_FRONTEND="noninteractive"), check=False,
                              stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=900).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


@dataclass(frozen=True)
class Part:
    """Something that a test needs of the machine: how it is found, and Debian's packages that bring it."""

    name: str
    find: Callable[[], str | None]
    packages: tuple[str, ...]

    def get(self) -> str | None:
        """Where it is, if need be after an installation, or None."""
        return found_or_installed(self.find, *self.packages)

    @property
    def missing(self) -> str:
        """The one line that says what to install."""
        return f"{self.name} is not here (Debian and Ubuntu: apt install {' '.join(self.packages)})"


def can_install() -> bool:
    """Whether we are root on Debian or what comes of it."""
    return bool(shutil.which("apt-get")) and hasattr(os, "geteuid") and os.geteuid() == 0


def install(packages: Iterable[str]) -> None:
    """Install packages, whatever comes of it. Only one process at a time."""
    say(f"Installing Debian's {', '.join(packages)} ...")
    try_install(["apt-get", "update"])
    try_install(["apt-get", "install", "-y", "--no-install-recommends", *packages])


@cache
def found_or_installed(find: Callable[[], str | None], *packages: str) -> str | None:
    """What `find` finds, if need be after these packages are installed."""
    found = find()
    if found or not can_install():
        return found
    CACHE.mkdir(exist_ok=True)
    with FileLock(CACHE / "debian.lock"):
        if not find():
            install(packages)
    return find()


def bring(parts: Iterable[Part]) -> list[Part]:
    """Install in one go what is missing of the parts, where that is possible; the parts that are missing after it."""
    missing = [part for part in parts if not part.find()]
    if missing and can_install():
        CACHE.mkdir(exist_ok=True)
        with FileLock(CACHE / "debian.lock"):
            install(dict.fromkeys(package for part in missing for package in part.packages))
    return [part for part in missing if not part.get()]
