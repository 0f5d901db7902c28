"""The reader's own test, declared once: what the WPS, the plate and the shop say, and all that follows from it.

Stage: before all others. A test is a kind of record (calc/record): it is kept, exported and read back as one.

    fields.py    the facts, each declared once, and what stands in for the blank ones
    facts.py     what follows from them in words, for calculators that ask in their own way
    work.py      every stage worked out in the order of what it hands on; verdicts; what a change changes
    judge.py     the test judged as a kind of record
    page.py      the first useful answer, the verdicts and the test in one row, as the page shows them
    link.py      the whole test as the text of a link, and such a text read back
    web.py       what the page may ask; `calc/web.py` lists it
    prose.py     the figures as they stand in a sentence of the guide
    sheet.py     the bench sheet: the test on paper for the booth; sheet.css its looks
    qr.py        a link as a QR code
    take_over.py a new test-day record from a test
    cli.py       python -m calc test my-test.json
"""

from __future__ import annotations

from calc.later import later

DOES = ("test-work", "test-set", "test-link", "test-open", "test-demo", "test-sheet", "test-record")
"""What the page may ask of a test; `calc.plate_test.web` does it."""

TEST_DO = later("calc.plate_test.web", DOES)
