"""The built site, made once for all test processes, and the engine in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
from filelock import FileLock

from tools.build import engine_build, site_build
from tools.common import CACHE


@pytest.fixture(scope="session")
def site() -> Path:
    """The built site."""
    CACHE.mkdir(exist_ok=True)
    with FileLock(CACHE / "build.lock"):
        return site_build.build()


@dataclass(frozen=True)
class Carried:
    """The engine's parts as the site carries them."""

    calc: Path
    source: Path
    library: Path
    memory: Path
    later: dict[str, Path]
    folder: str


@pytest.fixture(scope="session")
def engine(site: Path) -> Carried:
    """The parts, found by their names in the site."""
    source = site / "assets" / "engine" / "calc-source.zip"
    (calc,) = (path for path in site.glob("assets/engine/calc-*.zip") if path != source)
    (library,) = site.glob("assets/engine/py-*/library.zip")
    (memory,) = site.glob("assets/engine/memory-*.bin")
    later = {name: next(site.glob(f"assets/engine/{name}-*.zip")) for name in engine_build.LATER}
    return Carried(calc, source, library, memory, later, library.parent.relative_to(site).as_posix())
