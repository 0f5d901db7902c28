"""Fetches what only the tests need: axe-core, which judges pages, the Nu HTML checker with a Java to run it, and the
like.

Nothing of this goes into the guide. It comes by exact version into .cache, the first time a test asks for it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

from filelock import FileLock

from tools.check.debian import Part
from tools.common import CACHE, ROOT
from tools.build.engine_build import npm_parts

SOURCE = ROOT / "tests" / "browser" / "parts"
PARTS = CACHE / "test-parts"
AXE = PARTS / "node_modules" / "axe-core" / "axe.min.js"
NU = PARTS / "node_modules" / "vnu-jar" / "build" / "dist" / "vnu.jar"


def fetch() -> None:
    """Fetch axe-core and the checker at their pinned versions, unless they are here."""
    CACHE.mkdir(exist_ok=True)
    with FileLock(CACHE / "test-parts.lock"):
        npm_parts(SOURCE, PARTS, "what the tests judge the pages with (34 MB)", [AXE, NU])


def runs(java: str) -> bool:
    """Whether a Java starts: macOS has one that only tells where to get Java."""
    try:
        return subprocess.run([java, "-version"], capture_output=True, check=False, timeout=300).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def java_here() -> str | None:
    """Path of a Java that starts, or None."""
    home = os.environ.get("JAVA_HOME")
    places = (home and shutil.which("java", path=str(Path(home) / "bin")), shutil.which("java"))
    return next((found for found in places if found and runs(found)), None)


JAVA = Part("Java 11 or newer for the Nu HTML checker", java_here, ("default-jre-headless",))
OPENSSL = Part("openssl to make a certificate with", lambda: shutil.which("openssl"), ("openssl",))
PDFTOPPM = Part("pdftoppm to draw printed pages with", lambda: shutil.which("pdftoppm"), ("poppler-utils",))
NEEDS = (JAVA, OPENSSL, PDFTOPPM)
