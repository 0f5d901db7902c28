"""A class: what its people hand in, looked at as one.

    brought.py            files of any kind that the guide writes: told apart, read, or refused by name and reason
    glance.py             the class at a glance: a line a person, what is found most, dates to keep
    glance_page.py, glance_files.py   the same as HTML; as CSV, plain data and text
    web.py, cli.py        what the page may ask; `python -m calc judge FILES…` and `class FILE`
    classfile.py          the class file: what an instructor sets up once, read strictly and written
    classfile_page.py     the same as a trainee sees it, and as text
    classfile_web.py      what the page may ask of it
"""

from __future__ import annotations

from calc.later import later

DOES = ("class-read", "class-glance", "class-csv", "class-calendar")
"""What the page may ask of a class; `calc.classroom.web` does it."""

CLASS_FILE_DOES = ("class-make", "class-text", "class-qr", "class-open", "class-show", "class-questions")
"""What the page may ask of a class file; `calc.classroom.classfile_web` does it."""

CLASSROOM_DO = later("calc.classroom.web", DOES) | later("calc.classroom.classfile_web", CLASS_FILE_DOES)
