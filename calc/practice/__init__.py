"""Practice: questions drawn from forms that are data, marked, spaced and printed. Knows no screen and no clock."""

from __future__ import annotations

from calc.later import later

DOES = (
    "practice-menu", "practice-daily", "practice-mixed", "practice-link", "practice-oral", "practice-question", "practice-mark",
    "practice-grade", "try-open", "try-mark", "progress-read", "progress-standing", "worksheet",
)
"""What the page may ask of practice; `calc.practice.web` does it."""

PRACTICE_DO = later("calc.practice.web", DOES)
