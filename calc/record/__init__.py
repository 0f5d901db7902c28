"""The test-day record and the continuity log: what they hold, how they are judged, printed, exported and read back.

Stage: the day of the test and the months after. Every figure goes through the calculators of the guide; nothing here has a
limit of its own. Everything is study help: the verdict belongs to the qualified inspector under the code in force.
"""

from __future__ import annotations

from calc.later import later

DOES = ("record-judge", "record-read", "record-write", "record-csv", "record-calendar", "record-sheet", "record-bare", "record-demo")
"""What the page may ask of records; `calc.record.web` does it."""

RECORD_DO = later("calc.record.web", DOES)
