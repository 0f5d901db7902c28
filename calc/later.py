"""Parts of calc that are loaded at first use: most pages never ask for them, and their calculators should be up
early.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable
from typing import Any

Do = Callable[[dict[str, Any]], dict[str, Any]]


def later(module: str, names: Iterable[str]) -> dict[str, Do]:
    """A door for each name that loads the module when it is first asked, and asks its table `DO`.

    >>> doors = later("calc.record.web", ["record-demo"])
    >>> len(doors["record-demo"]({"ids": ["a"]})["records"])
    1
    """

    def door(name: str) -> Do:
        return lambda request: importlib.import_module(module).DO[name](request)

    return {name: door(name) for name in names}


class Module:
    """A module of calc that is loaded when something of it is first asked for.

    >>> Module("calc.planning.bars").quick_plan.__name__
    'quick_plan'
    """

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, name: str) -> Any:
        return getattr(importlib.import_module(self._name), name)
