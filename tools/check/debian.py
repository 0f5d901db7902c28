"""Brings programs that the tests and measurements need from Debian's packages, where that is possible."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
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


@cache
def found_or_installed(find: Callable[[], str | None], *packages: str) -> str | None:
    """What `find` finds, if need be after these packages are installed: as root on Debian and what comes of it."""
    found = find()
    if found or not (shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0):
        return found
    CACHE.mkdir(exist_ok=True)
    with FileLock(CACHE / "debian.lock"):
        if not find():
            say(f"Installing Debian's {', '.join(packages)} ...")
            try_install(["apt-get", "update"])
            try_install(["apt-get", "install", "-y", "--no-install-recommends", *packages])
    return find()
