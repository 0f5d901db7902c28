"""The test-day record and the continuity log: what they hold, how they are judged, printed, exported and read back.

Stage: the day of the test and the months after. Every figure goes through the calculators of the guide; nothing here
has a limit of its own. Everything is study help: the verdict belongs to the qualified inspector under the code in
force.

    fields.py, shape.py   what is written down, in which order; reading a record, versions and migration, the schema
    judge.py              each figure through the calculators; flags, verdicts by specimen and test, the continuity log
    form.py, sheet.py     the form and the printed sheet as HTML
    files.py, demo.py     files in and out: JSON, CSV, calendar; the invented demo records
    web.py, report.py     what the page may ask; a judged record as data and as text

The page's script keeps records in the browser and knows no limit. The published schema,
docs/assets/record.schema.json, is what `shape.schema()` says; a test compares the two.
"""

from __future__ import annotations

from calc.later import later

DOES = (
    "record-judge", "record-read", "record-write", "record-csv", "record-calendar", "record-sheet", "record-bare",
    "record-demo",
)
"""What the page may ask of records; `calc.record.web` does it."""

RECORD_DO = later("calc.record.web", DOES)
