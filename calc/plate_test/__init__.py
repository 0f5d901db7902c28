"""The reader's own test, declared once: what the WPS, the plate and the shop say, and all that follows from it.

Stage: before all others. A test is a kind of record (calc/record): it is kept, exported and read back as one.

    fields.py    the facts, each declared once, and what stands in for the blank ones
    facts.py     what follows from them in words, for calculators that ask in their own way
    work.py      every stage worked out in the order of what it hands on; verdicts; what a change changes
    take_over.py a new test-day record from a test
    cli.py       python -m calc test my-test.json
"""

from __future__ import annotations

from calc.later import later

TAKE_OVER_DO = later("calc.plate_test.take_over", ("test-record",))
"""What the record's page may ask of a test."""
