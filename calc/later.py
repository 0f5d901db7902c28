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
