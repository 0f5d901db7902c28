"""Practice: questions drawn from forms that are data, marked, spaced and printed. Knows no screen and no clock."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

DOES = (
    "practice-menu", "practice-daily", "practice-mixed", "practice-link", "practice-oral", "practice-question", "practice-mark",
    "practice-grade", "try-open", "try-mark", "progress-read", "progress-standing", "worksheet",
)
"""What the page may ask of practice; `calc.practice.web` does it."""


def _later(name: str) -> Callable[[dict[str, Any]], dict[str, Any]]:
    def do(request: dict[str, Any]) -> dict[str, Any]:
        # Loaded at first use: most pages never practice, and their calculators should be up early.
        from calc.practice.web import DO

        return DO[name](request)

    return do


PRACTICE_DO = {name: _later(name) for name in DOES}
