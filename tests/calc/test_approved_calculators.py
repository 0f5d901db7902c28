"""Every calculator has its approved file: the names published of it, and answers that differ in what they say.

Names, defaults, ranges and choices of the inputs are an interface: links, saved forms and records of a class hold them.
So are the names of the figures, how many digits they are shown with, and the anchors of the pages. A link from last
year must be read and mean the same.
"""

from __future__ import annotations

import pytest

from calc.catalogue import CALCULATORS
from tests import approval
from tests.approved_calculator import ANSWER, MOST_ANSWERS, PUBLISHED, file_lines, file_of, kept_cases

EACH = pytest.mark.parametrize("calc", CALCULATORS, ids=lambda calc: calc.id)


@pytest.mark.parametrize("part", PUBLISHED)
def test_what_is_published_stays(part):
    """For all calculators at once, so that one look tells what else changed."""
    wrong = []
    for calc in CALCULATORS:
        now, kept = PUBLISHED[part](calc), approval.sections(approval.read(file_of(calc.id))).get(part, [])
        missing, over = ([each for each in one if each not in other] for one, other in ((now, kept), (kept, now)))
        if now != kept:
            wrong.append(f"{file_of(calc.id)}, {part}: guide.py approve {calc.id} writes it, or paste")
            wrong += [f"{mark}{each}" for mark, lines in (("", missing), ("in place of: ", over)) for each in lines]
    assert not wrong, "\n".join(["not as published", *wrong])


@EACH
def test_the_answers_are_as_approved(calc):
    approval.check(file_of(calc.id), file_lines(calc, *kept_cases(calc.id)))


@EACH
def test_the_answers_are_few_and_start_with_the_defaults(calc):
    heads = [head for head in approval.sections(approval.read(file_of(calc.id))) if head.startswith(ANSWER)]
    assert heads[0] == f"{ANSWER}as it opens" and len(heads) <= MOST_ANSWERS


def test_no_file_is_left_over():
    assert {path.name for path in approval.FOLDER.glob("*.txt")} == {file_of(calc.id) for calc in CALCULATORS}
